"""What to buy as tables of the page and of the bench sheet."""

from __future__ import annotations

from hullview.show import words
from hullview.show.chapters import Table
from hullview.weight.buy import Shopping
from hullview.weight.order import OrderLine


def buy_tables(shopping: Shopping, units: str) -> tuple[Table, ...]:
    """The order line by line with its waste, the cloth to cut, and where wood and resin end up."""
    lines = tuple(
        (f"{line.group}: {line.item}", amount(line), f"{line.use:.4g}", f"{line.waste:.3g}", line.waste_note or line.detail, cost(line))
        for line in shopping.lines
    )
    sums = ", ".join(f"{total:.2f} {currency}".strip() for currency, total in shopping.costs.items())
    priced = f"Cost of what has a price: {sums}; without one: {', '.join(shopping.unpriced) or 'nothing'}." if sums else ""
    cuts = tuple((f"{c.where}, {c.cloth}", str(c.pieces), words.place(c.length, units), words.place(c.width, units)) for c in shopping.cuts)
    usage = tuple((f"{u.what}, {u.step}", *(f"{v:.2f}" for v in (u.bought, u.left, u.sanded, u.wasted))) for u in shopping.usage)
    made = [
        Table(f"To order for {shopping.build}", ("what", "buy", "used", "waste", "why", "cost"), lines, "lrrrlr", note=priced),
        Table("Cloth to cut", ("where and what", "pieces", "long", "wide"), cuts, "lrrr"),
        Table("Wood and resin by step, kg", ("what and step", "bought", "left aboard", "sanded off", "wasted"), usage, "lrrrr"),
    ]
    return tuple(t for t in made if t.rows)


def short_list(shopping: Shopping) -> tuple[Table, ...]:
    """The order for the bench: what and how much, nothing else."""
    lines = tuple((line.item, amount(line)) for line in shopping.lines)
    half = (len(lines) + 1) // 2
    return tuple(Table(f"To order for {shopping.build}{more}", ("what", "buy"), part, "lr") for more, part in (("", lines[:half]), (", the rest", lines[half:])) if part)


def amount(line: OrderLine) -> str:
    """How much to buy; a consumable in the shop's own words."""
    if line.group == "consumables":
        return line.unit
    return f"{line.buy:.0f}" if line.unit == "pieces" else f"{line.buy:.4g} {line.unit}"


def cost(line: OrderLine) -> str:
    """What it costs, where the shop gave a price."""
    return "" if line.cost is None else f"{line.cost:.2f} {line.currency or ''}".strip()
