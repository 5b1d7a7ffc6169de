"""What to buy, for a person and as rows: the text of `buy`."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from hullview.answer.cautions import cautions
from hullview.boat.model import Boat
from hullview.show import words
from hullview.show.amounts import bought, cost, in_units, number, said, unit_of
from hullview.show.tables import columns, joined, paragraph
from hullview.weight.buy import Shopping, Usage
from hullview.weight.order import OrderLine
from hullview.weight.order_cloth import ClothCut

WITHOUT_WASTE = ("pieces", "consumables")


def buy_text(shopping: Shopping, boat: Boat) -> str:
    """The order by group, how the cloth is cut, and where wood and resin end up."""
    groups = dict.fromkeys(line.group for line in shopping.lines)
    return joined(
        paragraph(f"What to buy for {boat.name}, built {shopping.build}"),
        *(_group(g, [line for line in shopping.lines if line.group == g], boat.units_shown) for g in groups),
        _costs(shopping),
        _cuts(shopping.cuts, boat.units_shown),
        _usage(shopping.usage, boat.units_shown),
        "\n".join(paragraph(c.text) for c in cautions("shop")),
    )


def _group(name: str, lines: Sequence[OrderLine], units: str) -> str:
    """One group: what to buy of each, what is used and what is lost, and why."""
    rows = [
        (
            said(line.item, units),
            bought(line, units),
            _much(line, line.use, units),
            _much(line, line.waste, units),
            cost(line),
        )
        for line in lines
    ]
    notes = [
        said(
            "; ".join(p for p in (line.detail, f"waste: {line.waste_note}" if line.waste_note else "") if p),
            units,
        )
        for line in lines
    ]
    if name in WITHOUT_WASTE:
        return columns((name, "buy", "cost"), [(row[0], row[1], row[4]) for row in rows], "wrr", notes=notes)
    return columns((name, "buy", "used", "waste", "cost"), rows, "wrrrr", notes=notes)


def _much(line: OrderLine, value: float, units: str) -> str:
    return number(in_units(value, line.unit, units))


def _costs(shopping: Shopping) -> str:
    """What is priced, summed; nothing where the shop gave no price."""
    if not shopping.costs:
        return ""
    sums = ", ".join(f"{cost:.2f} {currency}".strip() for currency, cost in shopping.costs.items())
    left = f"; without a price: {', '.join(shopping.unpriced)}" if shopping.unpriced else ""
    return paragraph(f"Cost of what has a price: {sums}{left}")


def _cuts(cuts: Sequence[ClothCut], units: str) -> str:
    """Panels to cut, and the stations where one width of the roll falls short."""
    if not cuts:
        return ""
    rows = [
        (f"{c.where}, {c.cloth}", str(c.pieces), words.place(c.length, units), words.place(c.width, units))
        for c in cuts
    ]
    short = [
        f"{c.where}: {', '.join(f'station {s.station} by {words.length(s.shortfall, units, False)}' for s in c.stations if s.shortfall > 0)}"
        for c in cuts
        if any(s.shortfall > 0 for s in c.stations)
    ]
    table = columns(("cloth to cut", "pieces", "long", "wide"), rows, "wrrr")
    return "\n".join([table, *(paragraph(f"one width falls short, {s}", "", "  ") for s in short)])


def _usage(usage: Sequence[Usage], units: str) -> str:
    """Bought, left on the boat, sanded off, wasted."""
    rows = [
        (
            u.what if u.what == u.step else f"{u.what}, {u.step}",
            *(f"{in_units(v, 'kg', units):.2f}" for v in (u.bought, u.left, u.sanded, u.wasted)),
        )
        for u in usage
    ]
    return (
        columns(
            (f"{unit_of('kg', units)} of", "bought", "left aboard", "sanded off", "wasted"), rows, "wrrrr"
        )
        if rows
        else ""
    )


def order_records(shopping: Shopping) -> list[dict[str, Any]]:
    """A record for each line of the order."""
    return [
        {
            "group": line.group, "item": line.item, "buy": line.buy, "unit": line.unit, "use": line.use, "waste": line.waste,
            "need": line.need, "need_high": line.high, "detail": line.detail, "waste_note": line.waste_note, "cost": line.cost,
            "currency": line.currency,
        }
        for line in shopping.lines
    ]  # fmt: skip


def shopping_record(shopping: Shopping) -> dict[str, Any]:
    """The object of `buy`."""
    return {
        "build": shopping.build,
        "lines": order_records(shopping),
        "cloth_cuts": [
            {
                "where": c.where, "cloth": c.cloth, "pieces": c.pieces, "length_m": c.length, "width_m": c.width,
                "stations": [
                    {"station": s.station, "position_m": s.position, "girth_m": s.girth, "shortfall_m": s.shortfall} for s in c.stations
                ],
            }
            for c in shopping.cuts
        ],
        "usage": [
            {"what": u.what, "step": u.step, "bought_kg": u.bought, "left_kg": u.left, "sanded_kg": u.sanded, "wasted_kg": u.wasted}
            for u in shopping.usage
        ],
        "costs": shopping.costs,
        "unpriced": list(shopping.unpriced),
    }  # fmt: skip
