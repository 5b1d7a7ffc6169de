"""Cloth to order: how each skin is cut from its roll, against the girth of every station; panels nested; tape."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from hullview.boat.model import Boat, Build, Order
from hullview.materials import Library
from hullview.shape.hull import Hull
from hullview.weight.areas import Places, skin_spread
from hullview.weight.cloth_widths import StationGirth, lap_of, lapped_area, station_girths, where_short
from hullview.weight.lengths import spread_along
from hullview.weight.order import OrderLine, priced

TAPE_WASTE = 0.05
"""Share of what is used (common practice, no source)."""


@dataclass(frozen=True)
class ClothCut:
    """Panels of cloth to cut, each `length` by `width` [m]; stations against the roll, with the first panel of a skin."""

    where: str
    cloth: str
    pieces: int
    length: float
    width: float
    stations: tuple[StationGirth, ...]


def cloth_cuts(build: Build, hull: Hull, order: Order, lib: Library) -> Iterator[ClothCut]:
    """How each skin's cloth is cut from its roll: full widths, and where they fall short a strip beside them with a lap; all with overhang."""
    for s in build.schedule.skins:
        if not s.cloth or s.layers < 1 or s.coating:
            continue
        cloth = lib.cloth(s.cloth)
        roll = cloth.roll_width or order.roll_width
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
        beside = f"{s.where} (strip, lapped {lap * 1000:.0f} mm)"
        length = min(reach[1] - reach[0] + 2 * order.cloth_overhang, whole)
        yield ClothCut(beside, cloth.name, s.layers, length, widest - full * step, ())


def cloth_lines(
    cuts: Sequence[ClothCut], build: Build, places: Places, boat: Boat, lib: Library
) -> Iterator[OrderLine]:
    """Each cloth by the metre off its roll, panels nested side by side where two fit its width."""
    used: dict[str, float] = {}
    for s in build.schedule.skins:
        if s.cloth and not s.coating:
            cloth = lib.cloth(s.cloth)
            laid = skin_spread(s, places, boat).size + lapped_area(
                s, places.hull, cloth.roll_width or boat.order.roll_width
            )
            used[cloth.name] = used.get(cloth.name, 0.0) + s.layers * laid
    for name, area in used.items():
        cloth = lib.cloth(name)
        roll = cloth.roll_width or boat.order.roll_width
        panels = [(c.length, c.width, c.where) for c in cuts if c.cloth == name for _ in range(c.pieces)]
        shelves = nested(panels, roll)
        cut_area = sum(length * width for length, width, _ in panels)
        length = (
            sum(shelf[0][0] for shelf in shelves) + max(0.0, area - cut_area if not panels else 0.0) / roll
        )
        buy_length = float(np.ceil(length * 10 - 1e-9) / 10)
        side_by_side = "; ".join(
            " beside ".join(w for _, _, w in shelf) for shelf in shelves if len(shelf) > 1
        )
        line = OrderLine(
            "cloth", f"{cloth.name}, roll {roll:.2f} m wide", area, buy_length * roll - area, buy_length * roll, "m2",
            f"{buy_length:.1f} m off the roll in {len(shelves)} length{'s' if len(shelves) != 1 else ''}" + (f"; {side_by_side}" if side_by_side else ""),
            f"{boat.order.cloth_overhang * 1000:.0f} mm overhang and the roll's edges",
        )  # fmt: skip
        yield priced(line, cloth, {"m2": line.buy, "m": buy_length, "kg": line.buy * cloth.areal[1]})


def nested(panels: Sequence[tuple[float, float, str]], roll: float) -> list[list[tuple[float, float, str]]]:
    """Panels (length, width, name) laid on lengths of a roll: longest first, each beside the first one that leaves room for it.

    >>> [[p[2] for p in shelf] for shelf in nested([(3.2, 0.7, "hull"), (3.1, 0.5, "deck"), (2.0, 0.3, "bottom")], 1.27)]
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


def tapes(build: Build, places: Places, lib: Library) -> Iterator[OrderLine]:
    """Tape by width and length."""
    for run in build.schedule.runs:
        if run.kind == "tape" and run.cloth and run.width:
            cloth = lib.cloth(run.cloth)
            used = spread_along(run, places).size * run.layers
            waste = TAPE_WASTE * used
            line = OrderLine(
                "tape", f"{cloth.name}, {run.width * 1000:.4g} mm wide, {run.name or run.along}", used, waste,
                float(np.ceil((used + waste) * 2) / 2), "m", f"{run.layers} layer{'s' if run.layers > 1 else ''}", f"{TAPE_WASTE:.0%} at the ends",
            )  # fmt: skip
            area = line.buy * run.width
            yield priced(line, cloth, {"m": line.buy, "m2": area, "kg": area * cloth.areal[1]})
