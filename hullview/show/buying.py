"""What to buy as tables of the page and of the bench sheet: the telling of the order in the builder's unit."""

from __future__ import annotations

from hullview.show.chapters import Table
from hullview.show.units import in_words, shown
from hullview.tell import order
from hullview.tell.model import Units
from hullview.weight.buy import Shopping


def buy_tables(shopping: Shopping, units: Units) -> tuple[Table, ...]:
    """The order line by line with its waste, the cloth to cut, and where wood and resin end up."""
    lines = tuple(
        tuple(
            in_words(words, units, both=False)
            for words in (
                order.label(line), order.bought(line), order.amount(line, line.use), order.amount(line, line.waste),
                order.note(line), order.cost(line),
            )
        )
        for line in shopping.lines
    )  # fmt: skip
    sums = ", ".join(f"{total:.2f} {currency}".strip() for currency, total in shopping.costs.items())
    left = ", ".join(shopping.unpriced) or "nothing"
    priced = f"Cost of what has a price: {sums}; without one: {left}." if sums else ""
    cuts = tuple(
        (
            in_words(order.cut_words(c), units, both=False),
            str(c.pieces),
            shown("place", c.length, units),
            shown("place", c.width, units),
        )
        for c in shopping.cuts
    )
    usage = tuple(
        (
            f"{u.what}, {u.step}",
            *(shown("fine mass", v, units) for v in (u.bought, u.left, u.sanded, u.wasted, u.over)),
        )
        for u in shopping.usage
    )
    heads = ("what", "buy", "used", "waste", "how, and why it is wasted", "cost")
    made = [
        Table(f"To order for {shopping.build}", heads, lines, "lrrrlr", note=priced),
        Table("Cloth to cut", ("where and what", "pieces", "long", "wide"), cuts, "lrrr"),
        Table(
            "Wood and resin by step",
            ("what and step", "bought", "left on the boat", "sanded off", "wasted", "over"),
            usage,
            "lrrrrr",
        ),
    ]
    return tuple(t for t in made if t.rows)


def short_list(shopping: Shopping, units: Units) -> tuple[Table, ...]:
    """The order for the bench: what and how much, nothing else."""
    lines = tuple(
        (in_words(order.label(line), units, both=False), in_words(order.bought(line), units, both=False))
        for line in shopping.lines
    )
    half = (len(lines) + 1) // 2
    return tuple(
        Table(f"To order for {shopping.build}{more}", ("what", "buy"), part, "lr")
        for more, part in (("", lines[:half]), (", the rest", lines[half:]))
        if part
    )
