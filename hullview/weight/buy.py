"""What to order for one build: strips, boards, sheets, cloth, tape, resin, flour, coatings; what is used, what is waste, what to buy.

Each line names its waste. Wood and cloth are counted from the hull itself: strips along their own lines, cloth against the girth of each
station. The shop's own settings are those of `[order]`.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from hullview.boat.model import Boat, Order
from hullview.materials import library
from hullview.shape.hull import Hull
from hullview.weight.areas import places_of
from hullview.weight.order import OrderLine
from hullview.weight.order_cloth import ClothCut, cloth_cuts, cloth_lines, tapes
from hullview.weight.order_resin import coatings, resins
from hullview.weight.order_wood import SHEET_WASTE, STICK_WASTE, pieces, sheets, sticks, strips
from hullview.weight.total import Weight


@dataclass(frozen=True)
class Usage:
    """Wood or resin by step: bought, left on the boat, sanded off, wasted [kg]."""

    what: str
    step: str
    bought: float
    left: float
    sanded: float
    wasted: float


@dataclass(frozen=True)
class Shopping:
    """The whole order: lines, how the cloth is cut, and where wood and resin end up by step."""

    build: str
    lines: tuple[OrderLine, ...]
    cuts: tuple[ClothCut, ...]
    usage: tuple[Usage, ...]

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
        """Items that have no price; strips and the boards they may be ripped from instead are one thing."""
        ripped = any(line.group == "boards" and line.cost is not None for line in self.lines)
        instead = {"boards"} | ({"strips"} if ripped else set())
        return tuple(
            dict.fromkeys(line.item for line in self.lines if line.cost is None and line.group not in instead)
        )


def buy(boat: Boat, hull: Hull, weight: Weight) -> Shopping:
    """The order for the build that was weighed."""
    build, lib, order = boat.build(weight.build), library(boat.materials), boat.order
    places = places_of(hull, build.schedule)
    cuts = tuple(cloth_cuts(build, hull, order, lib))
    lines = [
        *strips(build, hull, weight, order, lib), *sticks(build, places, order, lib), *sheets(build, hull, weight, order, lib),
        *pieces(build, lib), *cloth_lines(cuts, build, places, boat, lib), *tapes(build, places, lib),
        *resins(weight, order, lib), *coatings(build, places, boat, lib), *_consumables(boat),
    ]  # fmt: skip
    return Shopping(build.name, tuple(lines), cuts, tuple(_usage(weight, order)))


def _consumables(boat: Boat) -> Iterator[OrderLine]:
    """The shop's own list, as it stands."""
    for c in boat.consumables:
        number = (
            "".join(ch for ch in c.quantity.split()[0] if ch.isdigit() or ch == ".")
            if c.quantity.split()
            else ""
        )
        count = float(number) if number.strip(".") else 1.0
        yield OrderLine(
            "consumables",
            c.name,
            count,
            0.0,
            count,
            c.quantity,
            cost=None if c.price is None else c.price * count,
        )


def _usage(weight: Weight, order: Order) -> Iterator[Usage]:
    """Bought, left, sanded and wasted by step, for wood, resin and glue."""
    share = {
        "planking": order.strip_waste,
        "resin": order.resin_waste,
        "glue": order.resin_waste,
        "other wood": STICK_WASTE,
    }
    stripped = any(x.kind == "strip" for x in weight.lines)
    for s in weight.steps:
        if s.group in share:
            rate = SHEET_WASTE if s.group == "planking" and not stripped else share[s.group]
            waste = rate * s.put_on
            yield Usage(s.group, s.step, s.put_on + waste, s.left, s.sanded, waste)
