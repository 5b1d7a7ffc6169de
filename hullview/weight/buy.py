"""What to order for one build: strips, boards, sheets, cloth, tape, resin, flour, coatings; what is used,
what is waste, what to buy.

Each line names its waste. Wood and cloth are counted from the hull itself: strips along their own lines,
cloth against the girth of each station. The shop's own settings are those of `[order]`.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from hullview.boat.model import Boat, Order
from hullview.materials import library
from hullview.shape.hull import Hull
from hullview.weight.areas import places_of
from hullview.weight.order import OrderLine, SheetsCut
from hullview.weight.order_cloth import ClothCut, cloth_cuts, cloth_lines, tapes
from hullview.weight.order_resin import coatings, resins
from hullview.weight.order_wood import pieces, sheets, sticks, strips
from hullview.weight.total import StepMass, Weight


@dataclass(frozen=True)
class Usage:
    """Wood, resin or glue by step [kg]: bought = left on the boat + sanded off + wasted + over (what
    rounding up leaves in the shop)."""

    what: str
    step: str
    bought: float
    left: float
    sanded: float
    wasted: float
    over: float = 0.0


@dataclass(frozen=True)
class Shopping:
    """The whole order: lines, how the cloth is cut, and where wood and resin end up by step."""

    build: str
    lines: tuple[OrderLine, ...]
    cuts: tuple[ClothCut, ...]
    usage: tuple[Usage, ...]

    def __repr__(self) -> str:
        return f"<Shopping for {self.build[:80]!r}: {len(self.lines)} lines>"

    @property
    def costs(self) -> dict[str, float]:
        """What is priced, summed by currency."""
        found: dict[str, float] = {}
        for line in self.lines:
            if line.cost is not None:
                found[line.currency or ""] = found.get(line.currency or "", 0.0) + line.cost
        return found

    @property
    def unpriced(self) -> tuple[str, ...]:
        """Items that have no price; strips and sticks and the boards they may be ripped from instead are
        one thing."""
        ripped = {line.material for line in self.lines if line.instead and line.cost is not None}
        return tuple(
            dict.fromkeys(
                line.item
                for line in self.lines
                if line.cost is None
                and not line.instead
                and not (line.group in ("strips", "sticks") and line.material in ripped)
            )
        )


def buy(boat: Boat, hull: Hull, weight: Weight) -> Shopping:
    """The order for the build that was weighed."""
    build, lib, order, units = boat.build(weight.build), library(boat.materials), boat.order, boat.units_shown
    places = places_of(hull, build.schedule)
    cuts = tuple(cloth_cuts(build, hull, order, lib))
    lines = (
        *strips(build, hull, weight, order, lib, units),
        *sticks(build, hull, places, order, lib, units),
        *sheets(build, hull, weight, order, lib),
        *pieces(build, boat.appendages, lib),
        *cloth_lines(build, places, boat, lib),
        *tapes(build, places, lib, units),
        *resins(weight, order, lib),
        *coatings(build, places, boat, lib),
        *_consumables(boat),
    )
    return Shopping(build.name, lines, cuts, tuple(_usage(weight, order, lines)))


def _consumables(boat: Boat) -> Iterator[OrderLine]:
    """The shop's own list, as it stands."""
    for c in boat.consumables:
        first = (c.quantity.split() or [""])[0]
        number = "".join(ch for ch in first if ch.isdigit() or ch == ".")
        count = float(number) if number.strip(".") else 1.0
        cost = None if c.price is None else c.price * count
        yield OrderLine(
            "consumables", c.name, count, count, "pieces", kind="consumable", words=c.quantity, cost=cost
        )


def _usage(weight: Weight, order: Order, lines: Sequence[OrderLine]) -> Iterator[Usage]:
    """Bought, left, sanded, wasted and over by step, for wood, resin and glue: the kilograms of the
    order's own lines."""
    for s in weight.steps:
        if s.group in ("planking", "other wood"):
            yield _wood(s, [x for x in lines if not x.instead])
        elif s.step == "edge glue":
            for line in (x for x in lines if x.kind == "edge glue"):
                over = line.buy - line.need
                yield Usage(s.group, s.step, line.buy, s.left, s.sanded, line.buy - s.put_on - over, over)
        elif s.group in ("resin", "glue"):
            mixed = s.put_on * (1 + (order.squeeze_out if s.step == "glue line" else 0.0))
            bought = mixed * (1 + order.resin_waste)
            yield Usage(s.group, s.step, bought, s.left, s.sanded, bought - s.put_on)
    for kind, why in (("resin", "to the upper end of the range, in whole packs"), ("flour", "rounded up")):
        over = sum(line.buy - line.need for line in lines if line.kind == kind)
        if over > 1e-9:
            yield Usage(kind, why, over, 0.0, 0.0, 0.0, over)


def _wood(s: StepMass, lines: Sequence[OrderLine]) -> Usage:
    """One step of wood: what the order buys for it, by the share of a line that is for it."""
    bought = over = 0.0
    for line in lines:
        share = _share_for(s, line)
        if share > 0 and line.mass:
            bought += share * line.mass
            over += share * line.mass * max(line.buy - line.need, 0.0) / line.buy
    return Usage(s.group, s.step, bought, s.left, s.sanded, bought - s.put_on - over, over)


STEPS = {
    "strips": "planking", "sheet": "planking", "lapped": "planking", "lamination": "lamination",
    "solid": "solid", "piece": "solid", "bulkhead": "solid",
}  # fmt: skip
"""The step of the weight that a kind of wood is bought for."""


def _share_for(s: StepMass, line: OrderLine) -> float:
    """How much of a line is bought for a step."""
    if isinstance(line.made, SheetsCut):
        return sum(use.area for use in line.made.uses if STEPS[use.kind] == s.step) / line.use
    return float(STEPS.get(line.kind) == s.step)
