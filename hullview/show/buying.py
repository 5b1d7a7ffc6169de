"""What to buy as tables of the page and of the bench sheet."""

from __future__ import annotations

from hullview.show import words
from hullview.show.amounts import bought, cost, in_units, number, said, unit_of
from hullview.show.chapters import Table
from hullview.weight.buy import Shopping


def buy_tables(shopping: Shopping, units: str) -> tuple[Table, ...]:
    """The order line by line with its waste, the cloth to cut, and where wood and resin end up."""
    lines = tuple(
        (
            f"{line.group}: {said(line.item, units)}", bought(line, units), number(in_units(line.use, line.unit, units)),
            number(in_units(line.waste, line.unit, units)), said(line.waste_note or line.detail, units), cost(line),
        )
        for line in shopping.lines
    )  # fmt: skip
    sums = ", ".join(f"{total:.2f} {currency}".strip() for currency, total in shopping.costs.items())
    priced = (
        f"Cost of what has a price: {sums}; without one: {', '.join(shopping.unpriced) or 'nothing'}."
        if sums
        else ""
    )
    cuts = tuple(
        (f"{c.where}, {c.cloth}", str(c.pieces), words.place(c.length, units), words.place(c.width, units))
        for c in shopping.cuts
    )
    usage = tuple(
        (
            f"{u.what}, {u.step}",
            *(f"{in_units(v, 'kg', units):.2f}" for v in (u.bought, u.left, u.sanded, u.wasted)),
        )
        for u in shopping.usage
    )
    made = [
        Table(
            f"To order for {shopping.build}",
            ("what", "buy", "used", "waste", "why", "cost"),
            lines,
            "lrrrlr",
            note=priced,
        ),
        Table("Cloth to cut", ("where and what", "pieces", "long", "wide"), cuts, "lrrr"),
        Table(
            f"Wood and resin by step, {unit_of('kg', units)}",
            ("what and step", "bought", "left aboard", "sanded off", "wasted"),
            usage,
            "lrrrr",
        ),
    ]
    return tuple(t for t in made if t.rows)


def short_list(shopping: Shopping, units: str) -> tuple[Table, ...]:
    """The order for the bench: what and how much, nothing else."""
    lines = tuple((said(line.item, units), bought(line, units)) for line in shopping.lines)
    half = (len(lines) + 1) // 2
    return tuple(
        Table(f"To order for {shopping.build}{more}", ("what", "buy"), part, "lr")
        for more, part in (("", lines[:half]), (", the rest", lines[half:]))
        if part
    )
