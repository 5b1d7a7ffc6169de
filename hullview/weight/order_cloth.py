"""Cloth to order: how each skin is cut from its roll, against the girth of every station; panels nested;
tape."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np

from hullview.boat.model import Boat, Build, Order
from hullview.materials import Cloth, Library
from hullview.shape.hull import Hull
from hullview.weight.areas import Places, skin_spread
from hullview.weight.cloth_widths import (
    StationGirth,
    lap_of,
    lapped_area,
    roll_of,
    station_girths,
    where_short,
)
from hullview.weight.lengths import spread_along
from hullview.weight.order import ClothCutting, Layers, Loss, OrderLine, Roll, priced

YARD = 0.9144
"""A yard [m]."""
TAPE_WASTE = 0.05
"""Share of what is used (common practice, no source)."""


@dataclass(frozen=True)
class ClothCut:
    """Panels of cloth to cut, each `length` by `width` [m]; stations against the roll, with the first panel
    of a skin. region: the skin; lap: of a strip beside full widths, how far it lies over them [m], 0 for a
    full width."""

    region: str
    cloth: str
    pieces: int
    length: float
    width: float
    stations: tuple[StationGirth, ...]
    lap: float = 0.0

    @property
    def where(self) -> str:
        """The skin, and whether it is the strip beside it."""
        return f"{self.region}, strip beside it" if self.lap else self.region


def cloth_cuts(build: Build, hull: Hull, order: Order, lib: Library) -> Iterator[ClothCut]:
    """How each skin's cloth is cut from its roll: full widths, and where they fall short a strip beside
    them with a lap; all with overhang."""
    for s in build.schedule.skins:
        if not s.cloth or s.layers < 1 or s.coating:
            continue
        cloth = lib.cloth(s.cloth)
        roll = roll_of(cloth, order)
        stations = tuple(station_girths(s, hull, roll, order.cloth_overhang))
        if not stations:
            continue
        beyond = 2 * (order.cloth_overhang + s.overlap)
        widest = max(g.girth for g in stations) + beyond
        ends = float(hull.sheer[:, 0].min()), float(hull.sheer[:, 0].max())
        whole = ends[1] - ends[0] + 2 * order.cloth_overhang
        if widest <= roll + 1e-9:
            yield ClothCut(s.where, cloth.name, s.layers, whole, widest, stations)
            continue
        lap = lap_of(roll)
        step = roll - lap
        full = max(int(np.ceil((widest - roll) / step - 1e-9)), 1)
        yield ClothCut(s.where, cloth.name, full * s.layers, whole, roll, stations)
        reach = where_short(stations, full * step + lap - beyond, ends)
        length = min(reach[1] - reach[0] + 2 * order.cloth_overhang, whole)
        yield ClothCut(s.where, cloth.name, s.layers, length, widest - full * step, (), lap)


def cloth_lines(build: Build, places: Places, boat: Boat, lib: Library) -> Iterator[OrderLine]:
    """Each cloth by the running length off its roll, panels nested side by side where two fit its width;
    the other rolls beside it."""
    used: dict[str, float] = {}
    for s in build.schedule.skins:
        if s.cloth and not s.coating:
            cloth = lib.cloth(s.cloth)
            laid = skin_spread(s, places, boat).size + lapped_area(s, places.hull, roll_of(cloth, boat.order))
            used[cloth.name] = used.get(cloth.name, 0.0) + s.layers * laid
    for name, area in used.items():
        cloth = lib.cloth(name)
        here = roll_of(cloth, boat.order)
        others = () if cloth.shops_roll else sorted({cloth.roll_width, *cloth.other_rolls} - {here, 0.0})
        roll, shelves = _rolled(build, places.hull, boat, lib, cloth, area, here)
        made = ClothCutting(
            roll,
            tuple(tuple(where for _, _, where in shelf) for shelf in shelves if len(shelf) > 1),
            tuple(_rolled(build, places.hull, boat, lib, cloth, area, w)[0] for w in others),
        )
        buy = running(roll.length, boat.units_shown)
        line = OrderLine(
            "cloth",
            cloth.name,
            area / here,
            buy,
            "m",
            kind="cloth",
            material=cloth.name,
            sizes=(here,),
            made=made,
            losses=(Loss("overhang and the roll's edges", buy - area / here),),
            mass=buy * here * cloth.areal[1],
        )
        yield priced(line, cloth, {"m": buy, "yd": buy / YARD, "m2": buy * here, "kg": line.mass or 0.0})


def _rolled(
    build: Build, hull: Hull, boat: Boat, lib: Library, cloth: Cloth, area: float, width: float
) -> tuple[Roll, list[list[tuple[float, float, str]]]]:
    """What is needed of one width of roll, and the panels that are cut from each length of it."""
    order = replace(boat.order, roll_width=width)
    cuts = [c for c in cloth_cuts(build, hull, order, lib) if c.cloth == cloth.name]
    panels = [(c.length, c.width, c.where) for c in cuts for _ in range(c.pieces)]
    shelves = nested(panels, width)
    bare = 0.0 if panels else area / width
    return Roll(width, sum(shelf[0][0] for shelf in shelves) + bare, len(shelves)), shelves


def running(length: float, units: str) -> float:
    """A length of cloth as shops sell it [m]: to the next tenth of a metre, or quarter of a yard (common
    practice, no source).

    >>> running(9.53, "metric"), round(running(9.53, "imperial") / 0.9144, 6)
    (9.6, 10.5)
    """
    if units == "imperial":
        return float(np.ceil(length / YARD * 4 - 1e-9) / 4) * YARD
    return float(np.ceil(length * 10 - 1e-9) / 10)


def nested(panels: Sequence[tuple[float, float, str]], roll: float) -> list[list[tuple[float, float, str]]]:
    """Panels (length, width, name) laid on lengths of a roll: longest first, each beside the first one that
    leaves room for it.

    >>> shelves = nested([(3.2, 0.7, "hull"), (3.1, 0.5, "deck"), (2.0, 0.3, "bottom")], 1.27)
    >>> [[p[2] for p in shelf] for shelf in shelves]
    [['hull', 'deck'], ['bottom']]
    """
    shelves: list[list[tuple[float, float, str]]] = []
    for panel in sorted(panels, key=lambda p: (-p[0], -p[1], p[2])):
        room = next((s for s in shelves if sum(p[1] for p in s) + panel[1] <= roll + 1e-9), None)
        if room is None:
            shelves.append([panel])
        else:
            room.append(panel)
    return shelves


def tapes(build: Build, places: Places, lib: Library, units: str) -> Iterator[OrderLine]:
    """Tape by width and length."""
    for run in build.schedule.runs:
        if run.kind == "tape" and run.cloth and run.width:
            cloth, what = lib.cloth(run.cloth), run.name or run.along
            used = spread_along(run, places).size * run.layers
            buy = running((1 + TAPE_WASTE) * used, units)
            area = buy * run.width
            line = OrderLine(
                "tape",
                f"{cloth.name}, {what}",
                used,
                buy,
                "m",
                kind="tape",
                material=cloth.name,
                purpose=what,
                sizes=(run.width,),
                losses=(Loss("cut off at the ends", TAPE_WASTE * used, TAPE_WASTE),),
                made=Layers(run.layers),
                mass=area * cloth.areal[1],
            )
            yield priced(line, cloth, {"m": buy, "yd": buy / YARD, "m2": area, "kg": line.mass or 0.0})
