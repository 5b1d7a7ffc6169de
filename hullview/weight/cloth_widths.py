"""Widths of cloth side by side: the girth of a skin at every station against its roll, and how much lies
double in the laps."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from hullview.boat.model import Order, Skin
from hullview.materials import Cloth
from hullview.shape.hull import Hull

CLOTH_LAP = 0.05
"""Two widths lie over one another by this much [m] (common practice, no source)."""


USUAL_ROLL = 1.27
"""Of a cloth that is sold as tape, where it is to cover a skin [m] (common practice, no source)."""


def roll_of(cloth: Cloth, order: Order) -> float:
    """Width of the roll that a cloth is cut from [m]: what the shop says of the cloth, of all its rolls,
    or the cloth's usual one."""
    if cloth.shops_roll:
        return cloth.roll_width
    return order.roll_width or cloth.roll_width or USUAL_ROLL


def lap_of(roll: float) -> float:
    """How far one width of a roll lies over the next [m]: half of a very narrow one at the most.

    >>> lap_of(1.27), lap_of(0.04)
    (0.05, 0.02)
    """
    return min(CLOTH_LAP, roll / 2)


@dataclass(frozen=True)
class StationGirth:
    """Full girth of a skin at a place [m] against the roll's width: shortfall 0 where one width covers it."""

    station: str
    position: float
    girth: float
    shortfall: float


def where_short(
    stations: Sequence[StationGirth], covered: float, ends: tuple[float, float]
) -> tuple[float, float]:
    """From the last station before to the first one after those whose girth is more than what the full
    widths cover [m]."""
    short = [i for i, g in enumerate(stations) if g.girth > covered]
    places = [ends[0], *(g.position for g in stations), ends[1]]
    return places[short[0]], places[short[-1] + 2]


def station_girths(s: Skin, hull: Hull, roll: float, overhang: float) -> Iterator[StationGirth]:
    """Both sides' girth of a skin at each column of its grid, named where it is a station."""
    grid = (
        hull.deck
        if s.where.startswith("deck")
        else hull.side
        if s.where.startswith(("hull", "bottom"))
        else None
    )
    if grid is None:
        return
    p = grid.points
    step = np.sqrt((np.diff(p, axis=0) ** 2).sum(axis=2))
    from_edge = np.concatenate([np.zeros((1, p.shape[1])), np.cumsum(step, axis=0)])
    half = from_edge[-1]
    if grid is hull.side:
        from_centre = from_edge + p[0, :, 1]
        half = from_centre[-1]
        if s.girth is not None:
            half = np.minimum(half, s.girth)
        if s.below is not None:
            half = np.minimum(
                half, [float(np.interp(s.below, p[:, j, 2], from_centre[:, j])) for j in range(p.shape[1])]
            )
    x = p[:, :, 0].mean(axis=0)
    for name, at in zip(hull.station_names, hull.stations):
        if x[0] < at < x[-1]:
            girth = 2 * float(np.interp(at, x, half))
            yield StationGirth(name, float(at), girth, max(0.0, girth + 2 * overhang - roll))


def lapped_area(s: Skin, hull: Hull, roll: float) -> float:
    """Area over which one layer of a skin's cloth lies double, because its roll [m] is narrower than it is
    round [m2].

    One lap for each width past the first, from where the widths before it begin to fall short to where they
    cease to.
    """
    stations = tuple(station_girths(s, hull, roll, 0.0))
    if not stations:
        return 0.0
    ends = float(hull.sheer[:, 0].min()), float(hull.sheer[:, 0].max())
    widest = max(g.girth for g in stations) + 2 * s.overlap
    length, covered = 0.0, roll
    while covered < widest - 1e-9:
        first, last = where_short(stations, covered - 2 * s.overlap, ends)
        length += last - first
        covered += roll - lap_of(roll)
    return lap_of(roll) * length
