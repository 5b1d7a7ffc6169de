"""The lines of a hull as flat curves for paper: profile, half-breadth plan and body plan, in the boat's
own metres."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np

from hullview.arrays import Array
from hullview.boat.wording import INCH, feet_inches
from hullview.shape.hull import Hull
from hullview.show.outlines import cut, joined, thinned

if TYPE_CHECKING:
    from hullview.afloat.equilibrium import Floating

SCALES = (1, 2, 2.5, 4, 5, 6, 8, 10, 12, 12.5, 15, 16, 20, 24, 25, 30, 40, 50, 100)
"""Scales of drawings in use: metric ones, and the 1/2 in, 3/4 in, 1 in, 1-1/2 in, 2 in and 3 in to
the foot."""
STEPS = {
    "metric": (0.01, 0.02, 0.025, 0.05, 0.1, 0.2, 0.25, 0.5),
    "imperial": tuple(INCH * n for n in (0.5, 1, 2, 3, 4, 6, 12)),
}
"""Spacings of waterlines and buttocks [m], in the builder's kind of unit."""


@dataclass(frozen=True)
class Curve:
    """A flat curve (n, 2) [m] and what it is: "outline", "station", "waterline", "buttock", "diagonal",
    "load", "opening", "base", "sheer" (where a station meets it, twice)."""

    kind: str
    points: Array
    name: str = ""


@dataclass(frozen=True)
class LinesPlan:
    """profile in (aft, up), half_breadth in (aft, out), body in (out, up): sections ahead of the widest at
    positive `out`. Diagonals lie on the far side of the centre line of the half-breadth plan, laid out flat:
    by how far down the diagonal from the centre plane."""

    profile: tuple[Curve, ...]
    half_breadth: tuple[Curve, ...]
    body: tuple[Curve, ...]
    waterline_step: float
    buttock_step: float


def lines_plan(
    hull: Hull,
    floating: Floating | None = None,
    tolerance: float = 2e-4,
    units: str = "metric",
    diagonals: Sequence[tuple[float, float]] = (),
) -> LinesPlan:
    """The lines of a hull, gridded in the builder's units.

    Parameters
    ----------
    hull : Hull
    floating : Floating, optional
        Adds the loaded waterline.
    tolerance : float
        Within which curves are thinned [m].
    units : "metric" or "imperial"
    diagonals : sequence of (height, angle)
        Where each meets the centre plane [m] and how steeply it runs down and out [rad]; if left out, two at
        45 degrees from lines of the grid.
    """
    seen = hull.faces[np.isin(hull.region, [r for r in hull.regions if not r.startswith(("lid", "coaming"))])]
    planked = hull.faces_of("hull", "transom", "keel", "bow stem", "stern stem")
    low, high = hull.vertices.min(axis=0), hull.vertices.max(axis=0)
    top = float(hull.sheer[:, 2].max())
    level, out = spacing(top - low[2], 6, units), spacing(high[1], 3, units)
    heights = np.arange(np.floor(low[2] / level + 0.2) + 1, np.ceil(top / level - 1e-6)) * level
    breadths = np.arange(1, np.ceil(high[1] / out - 1e-6)) * out
    waterlines = [
        c for h in heights for c in _cut(hull, planked, "waterline", [0, 0, 1], h, (0, 1), _words(h, units))
    ]
    buttocks = [
        c for b in breadths for c in _cut(hull, seen, "buttock", [0, 1, 0], b, (0, 2), _words(b, units))
    ]
    ends = np.array([low[0], high[0]])
    down = list(diagonals) or [(float(heights[k]), np.pi / 4) for k in diagonals_at(len(heights))]
    profile = [
        *_named(hull, (0, 2)),
        *_deck_centre(hull),
        *buttocks,
        *(Curve("waterline", np.column_stack([ends, [h, h]]), _words(h, units)) for h in heights),
        *_station_marks(hull, low[2], top),
        *_load_profile(floating, ends),
    ]
    flat = [_diagonal(hull, planked, h, angle, _words(h, units)) for h, angle in down]
    reach = [
        max((-float(c.points[:, 1].min()) * np.cos(angle) for c in curves), default=0.0)
        for (_, angle), curves in zip(down, flat)
    ]
    half = [
        *_named(hull, (0, 1)),
        Curve("base", np.column_stack([ends, [0.0, 0.0]])),
        *waterlines,
        *(Curve("buttock", np.column_stack([ends, [b, b]]), _words(b, units)) for b in breadths),
        *_station_marks(hull, 0.0, float(high[1])),
        *_load_half(hull, planked, floating),
        *(c for curves in flat for c in curves),
    ]
    crossing = [(*d, out) for d, out in zip(down, reach)]
    thin = [
        tuple(Curve(c.kind, thinned(c.points, tolerance), c.name) for c in view)
        for view in (
            profile,
            half,
            _body(hull, heights, breadths, floating, units, crossing),
        )
    ]
    return LinesPlan(thin[0], thin[1], thin[2], level, out)


def spacing(size: float, about: int, units: str = "metric") -> float:
    """The step of STEPS that divides `size` [m] into about so many parts.

    >>> spacing(0.31, 6), spacing(0.33, 3), spacing(0.31, 6, "imperial") / INCH
    (0.05, 0.1, 2.0)
    """
    return min(STEPS[units], key=lambda s: abs(np.log(size / s / about)))


def scale_for(width: float, height: float, paper: tuple[float, float]) -> float:
    """The largest drawing of SCALES that puts width by height [m] on paper [mm]: 10 for 1:10.

    >>> scale_for(3.1, 1.2, (255.0, 180.0))
    12.5
    """
    return next((s for s in SCALES if width * 1000 / s <= paper[0] and height * 1000 / s <= paper[1]), 100.0)


def extent(curves: Iterable[Curve]) -> tuple[Array, Array]:
    points = np.concatenate([c.points for c in curves])
    return points.min(axis=0), points.max(axis=0)


def _words(metres: float, units: str) -> str:
    """A height or half-breadth of the grid: 150, or 6"."""
    return feet_inches(metres) if units == "imperial" else f"{metres * 1000:g}"


def _cut(
    hull: Hull, faces: Array, kind: str, normal: Any, offset: float, axes: tuple[int, int], name: str
) -> list[Curve]:
    """The starboard half of a plane's cut, as curves in two of the axes."""
    segments, _ = cut(hull.vertices, faces, np.array(normal, float), offset)
    segments = segments[(segments[:, :, 1] > -1e-9).all(axis=1)]
    return [Curve(kind, line[:, axes], name) for line in joined(segments) if len(line) > 1]


def diagonals_at(lines: int) -> tuple[int, ...]:
    """Which two waterlines of a grid of so many diagonals start from: about a half and all the way up.

    >>> diagonals_at(6), diagonals_at(2), diagonals_at(0)
    ((2, 5), (0, 1), ())
    """
    return tuple(sorted({(lines - 1) // 2, lines - 1})) if lines else ()


def _diagonal(hull: Hull, faces: Array, height: float, angle: float, name: str) -> list[Curve]:
    """The starboard half of a diagonal plane's cut, laid out flat: (aft, less how far down it)."""
    normal = np.array([0.0, np.sin(angle), np.cos(angle)])
    segments, _ = cut(hull.vertices, faces, normal, height * float(np.cos(angle)))
    segments = segments[(segments[:, :, 1] > -1e-9).all(axis=1)]
    return [
        Curve("diagonal", np.column_stack([line[:, 0], -line[:, 1] / np.cos(angle)]), name)
        for line in joined(segments)
        if len(line) > 1
    ]


def _named(hull: Hull, axes: tuple[int, int]) -> list[Curve]:
    """The hull's own lines: sheer, keel, stems, chines, transom, and the rims of openings."""
    found = []
    for name, line in hull.lines.items():
        points = np.concatenate([line.points, line.points[:1]]) if line.closed else line.points
        kind = "opening" if line.closed else "outline"
        flat = points[:, axes]
        if axes == (0, 1) and not line.closed and not line.paired and np.ptp(flat[:, 1]) < 1e-9:
            continue  # keel and stems lie on the centre line in plan
        if line.closed and axes == (0, 1):
            flat = np.column_stack([flat[:, 0], np.maximum(flat[:, 1], 0)])
        found.append(Curve(kind, flat, name))
    return found


def _deck_centre(hull: Hull) -> list[Curve]:
    if hull.deck is None:
        return []
    return [Curve("outline", hull.deck.points[-1][:, (0, 2)], "deck")]


def sections_of(hull: Hull) -> list[tuple[str, float, Array]]:
    """Name, place [m aft] and starboard section (k, 3) of each station; of a hull without a table, nine
    evenly along it."""
    if hull.sections:
        return list(zip(hull.station_names, hull.stations, hull.sections))
    low, high = float(hull.vertices[:, 0].min()), float(hull.vertices[:, 0].max())
    faces = hull.faces[np.isin(hull.region, [r for r in hull.regions if not r.startswith("lid")])]
    found = []
    for i in range(1, 10):
        x = low + (high - low) * i / 10
        segments, _ = cut(hull.vertices, faces, np.array([1.0, 0, 0]), x)
        half = joined(segments[(segments[:, :, 1] > -1e-9).all(axis=1)])
        if half:
            found.append((str(i), x, max(half, key=len)))
    return found


def _station_marks(hull: Hull, low: float, high: float) -> list[Curve]:
    return [Curve("station", np.array([[x, low], [x, high]]), name) for name, x, _ in sections_of(hull)]


def _load_profile(floating: Floating | None, ends: Array) -> list[Curve]:
    """Trace of the water's surface on the centre plane."""
    if floating is None or floating.normal is None or floating.offset is None:
        return []
    n = floating.normal
    return [
        Curve("load", np.column_stack([ends, (floating.offset - n[0] * ends) / n[2]]), "loaded waterline")
    ]


def _load_half(hull: Hull, faces: Array, floating: Floating | None) -> list[Curve]:
    if floating is None or floating.normal is None or floating.offset is None:
        return []
    return _cut(hull, faces, "load", floating.normal, floating.offset, (0, 1), "loaded waterline")


def _body(
    hull: Hull,
    heights: Array,
    breadths: Array,
    floating: Floating | None,
    units: str,
    diagonals: Sequence[tuple[float, float, float]],
) -> list[Curve]:
    """Sections at the stations, those ahead of the widest to the right; the grid behind them; the water
    amidships."""
    low, high = hull.vertices.min(axis=0), hull.vertices.max(axis=0)
    wide = float(high[1])
    top = float(max(hull.sheer[:, 2].max(), 0.0 if hull.deck is None else hull.deck.points[..., 2].max()))
    curves = [Curve("base", np.array([[0.0, low[2]], [0.0, top]]))]
    curves += [Curve("waterline", np.array([[-wide, h], [wide, h]]), _words(h, units)) for h in heights]
    curves += [
        Curve("buttock", np.array([[s * b, low[2]], [s * b, top]]), _words(b, units))
        for b in breadths
        for s in (-1, 1)
    ]
    for height, angle, reach in diagonals:
        ends = np.array([[0.0, height], [reach, height - reach * np.tan(angle)]])
        curves += [Curve("diagonal", ends * [side, 1.0], _words(height, units)) for side in (-1.0, 1.0)]
    widest = float(hull.sheer[hull.sheer[:, 1].argmax(), 0])
    for name, x, section in sections_of(hull):
        if len(section) > 1:
            side = 1.0 if x <= widest else -1.0
            curves.append(Curve("station", section[:, (1, 2)] * [side, 1.0], name))
            at = [
                side * np.interp(x, hull.sheer[:, 0], hull.sheer[:, 1]),
                np.interp(x, hull.sheer[:, 0], hull.sheer[:, 2]),
            ]
            curves.append(Curve("sheer", np.array([at, at]), name))
    if floating is not None and floating.normal is not None and floating.offset is not None:
        n, out = floating.normal, np.array([-wide, wide])
        level = (floating.offset - n[0] * widest - n[1] * out) / n[2]
        curves.append(Curve("load", np.column_stack([out, level]), "loaded waterline"))
    return curves
