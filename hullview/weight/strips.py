"""Where strips run on a skin: lines at equal girth from the sheer, measured square to the strips, as
stand-ins for the real ones.

Strips of one width laid one under another from the sheer are such lines. With the skin S(u, v), u along the
boat and v rows away from the sheer, the line at girth d is v = f(u, d), and a step of girth square to it
moves it by

    df/dd = |S_u + f' S_v| / |S_u x S_v|

Along each line: bend across the flat, edge-set, twist. A strip lying on a surface with unit normal N, its
tangent T and curvature vector K = dT/ds has normal curvature K . N (bends the flat), geodesic curvature K .
(N x T) (edge-set) and geodesic torsion dN/ds . (N x T) (twist), as in any book of differential geometry (do
Carmo, Differential Geometry of Curves and Surfaces, 3-2 and 4-4, from memory).
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from itertools import pairwise

import numpy as np

from hullview.arrays import Array
from hullview.shape.hull import SurfaceGrid
from hullview.shape.vectors import unit


@dataclass(frozen=True)
class StripLine:
    """The middle of one strip: number from the sheer, points (k, 3) [m] bow to stern, unit outward normals
    (k, 3), panel (0 at the sheer)."""

    number: int
    points: Array
    normals: Array
    panel: int = 0

    @property
    def length(self) -> float:
        return float(np.sqrt((np.diff(self.points, axis=0) ** 2).sum(axis=1)).sum())


@dataclass(frozen=True)
class Along:
    """At each point of a line on a surface: distance [m], bend across the flat, edge-set [1/m], twist
    [rad/m]."""

    distance: Array
    bend: Array
    edge_set: Array
    twist: Array


def girths(grid: SurfaceGrid) -> Array:
    """Girth of the half section at each column [m], centre line to sheer."""
    return np.asarray(np.sqrt((np.diff(grid.points, axis=0) ** 2).sum(axis=2)).sum(axis=0))


def panels(grid: SurfaceGrid, sheer_row: int) -> list[tuple[int, int]]:
    """Rows (from, to) of each panel between knuckles, walking away from the sheer."""
    rows = len(grid.points)
    inner = [c for c in grid.corners if 0 < c < rows - 1]
    stops = [0, *sorted(inner), rows - 1]
    found = list(pairwise(stops))
    return [(b, a) for a, b in reversed(found)] if sheer_row else found


@dataclass(frozen=True)
class _Panel:
    """Rows of a skin from the sheer (or a knuckle) away: points, normals (rows, columns, 3), slopes along
    and across (rows, columns, 6), and u (columns,)."""

    points: Array
    normals: Array
    slopes: Array
    u: Array


STEPS_A_STRIP, MOST_STRIPS, COLUMNS = 6, 2000, 161
SMOOTHING = 0.02
"""Share of a step by which a line is drawn to the mean of its neighbours, so that parallels that crowd
together stay one line."""
LEAST_COLUMNS = 8


def _panel(grid: SurfaceGrid, start: int, end: int) -> _Panel:
    """The rows between two, from the sheer's side, each taken at equal fractions of its own length: smooth
    both ways, where the grid's own columns lean towards a stem and change their spacing."""
    from scipy.interpolate import CubicSpline

    step = 1 if end > start else -1
    rows = np.arange(start, end + step, step)
    share = np.linspace(0.0, 1.0, COLUMNS)
    p, n = np.empty((len(rows), COLUMNS, 3)), np.empty((len(rows), COLUMNS, 3))
    for i, row in enumerate(rows):
        apart = np.maximum(np.sqrt((np.diff(grid.points[row], axis=0) ** 2).sum(axis=1)), 1e-9)
        s = np.concatenate([[0.0], np.cumsum(apart)])
        both = CubicSpline(s, np.concatenate([grid.points[row], grid.normals[row]], axis=1), axis=0)(
            share * s[-1]
        )
        p[i], n[i] = both[:, :3], unit(both[:, 3:])
    index = np.arange(len(rows))
    slopes = [CubicSpline(share, p, axis=1)(share, 1), CubicSpline(index, p, axis=0)(index, 1)]
    return _Panel(p, n, np.concatenate(slopes, axis=2), share)


@lru_cache(maxsize=8)
def strip_lines(grid: SurfaceGrid, face: float, sheer_row: int = -1) -> tuple[StripLine, ...]:
    """The middles of strips laid from the sheer (and anew from each knuckle), as far fore and aft as they
    keep their width.

    face: width of skin a strip covers [m]; sheer_row: -1 where the grid's last row is the sheer (hull), 0
    where its first is (deck).
    """
    found: list[StripLine] = []
    number = 0
    for k, (start, end) in enumerate(panels(grid, sheer_row)):
        panel = _panel(grid, start, end)
        last = len(panel.points) - 1
        f = np.zeros(len(panel.u))
        for _ in range(MOST_STRIPS):
            if (f > last).all():
                break
            middle = f
            for step in range(STEPS_A_STRIP):
                f = _further(panel, f, face / STEPS_A_STRIP)
                middle = f if step == STEPS_A_STRIP // 2 - 1 else middle
            # where its far edge is past the skin's a strip is planed to a sliver; the last one of all is
            # nothing but that
            columns = longest(f <= last)
            columns = columns if len(columns) >= LEAST_COLUMNS else longest(middle <= last)
            if len(columns) >= LEAST_COLUMNS:
                number += 1
                points, normals = (
                    _at_rows(v, middle[columns], columns) for v in (panel.points, panel.normals)
                )
                found.append(StripLine(number, points, unit(normals), panel=k))
    return tuple(found)


def _further(panel: _Panel, f: Array, d: float) -> Array:
    """The line `d` of girth further on, by two half steps (Heun); columns where it has left the skin no
    longer count."""
    on = longest(f <= len(panel.points) - 1)
    moved = np.full_like(f, np.inf)
    if len(on) < 3:
        return moved
    first = _speed(panel, f[on], on)
    second = _speed(panel, f[on] + d * first, on)
    ahead = f[on] + d * (first + second) / 2
    mean = ahead.copy()
    mean[1:-1] = (ahead[:-2] + ahead[2:]) / 2
    moved[on] = ahead + SMOOTHING * (mean - ahead)
    return moved


def _speed(panel: _Panel, f: Array, columns: Array) -> Array:
    """df/dd at each column: rows a metre of girth, square to the line."""
    slope = np.gradient(f, panel.u[columns])
    slopes = _at_rows(panel.slopes, np.minimum(f, len(panel.points) - 1.0), columns)
    su, sv = slopes[:, :3], slopes[:, 3:]
    uu, uv, vv = (np.einsum("ij,ij->i", a, b) for a, b in ((su, su), (su, sv), (sv, sv)))
    length = np.sqrt(uu + slope * (2 * uv + slope * vv))
    area = np.sqrt(np.maximum(uu * vv - uv**2, 0.0))
    # where a skin comes to a point a strip runs off it at once
    return np.asarray(length / np.maximum(area, 1e-12))


def stretches(wanted: Array) -> list[Array]:
    """The unbroken stretches of indices where `wanted` (n,) holds.

    >>> [x.tolist() for x in stretches(np.array([True, False, True, True]))]
    [[0], [2, 3]]
    """
    edges = np.flatnonzero(np.diff(np.concatenate([[False], wanted, [False]]).astype(int)))
    return [np.arange(a, b) for a, b in zip(edges[::2], edges[1::2])]


def longest(wanted: Array) -> Array:
    """The longest unbroken stretch of indices: a strip is one piece."""
    return max(stretches(wanted), key=len, default=np.zeros(0, dtype=int))


def _at_rows(values: Array, f: Array, columns: Array) -> Array:
    """Values (rows, all columns, k) at a row f and a part of one in each of some columns, by a cubic through
    the four nearest rows: as fair as they are."""
    rows = len(values)
    width = min(4, rows)
    first = np.clip(np.floor(f).astype(int) - (width // 2 - 1), 0, rows - width)
    away, every = f - first, np.arange(width)
    share = [
        np.prod([(away - j) / (i - j) for j in every if j != i], axis=0) * np.ones(len(columns))
        for i in every
    ]
    return np.asarray(np.einsum("ic,ick->ck", np.array(share), values[first + every[:, None], columns]))


def along(points: Array, normals: Array) -> Along:
    """Bend, edge-set and twist along a line (k, 3) on a surface with unit normals (k, 3), by cubic splines
    over the chord length."""
    from scipy.interpolate import CubicSpline

    step = np.maximum(np.sqrt((np.diff(points, axis=0) ** 2).sum(axis=1)), 1e-9)
    s = np.concatenate([[0.0], np.cumsum(step)])
    curve, turn = CubicSpline(s, points, axis=0), CubicSpline(s, normals, axis=0)
    first, second = curve(s, 1), curve(s, 2)
    speed = np.sqrt((first**2).sum(axis=1))[:, None]
    t = first / speed
    k = (second - (second * t).sum(axis=1)[:, None] * t) / speed**2
    across = np.cross(normals, t)
    twist = (turn(s, 1) * across).sum(axis=1) / speed[:, 0]
    return Along(s, (k * normals).sum(axis=1), (k * across).sum(axis=1), twist)
