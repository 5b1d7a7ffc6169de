"""The planking's inside as splines: the grid that was floated, moved in along its normals, and where planes
cut it.

A panel is the skin between two knuckles. Its rows are cubic splines from stem to stern, so that a plane is
met between the columns of the grid as truly as on them; by chords between them a section came out 0.14 mm off
on the short kayak.
"""

from __future__ import annotations

import itertools
from dataclasses import dataclass

import numpy as np

from hullview.arrays import Array
from hullview.shape.curve import chords
from hullview.shape.hull import SurfaceGrid
from hullview.shape.spline import slopes_of_many, through_points
from hullview.shape.vectors import unit

MIRROR = np.array([1.0, -1.0, 1.0])
SAME = 1e-9
"""Points of a row nearer than this to the one before are that one again [m]."""
NEAR_EDGE = 5e-4
"""A row's crossing nearer than this to where the panel's own end is crossed says nothing more [m]."""
OVER = 0.03
"""How far past its last column a row may be carried on to meet a plane [m]: over a raked transom's edge,
no further."""
ASIDE, BESIDE, LEANS = 3, 3, np.radians(6.0)
"""A row whose normal leans by this more out of line with those so many rows aside than they do from each
other is left out of a section, with so many above it: it has just left the stem and ripples."""
HALVINGS, NEWTONS = 4, 8


@dataclass(frozen=True)
class Panel:
    """The skin between two knuckles as a grid, exactly on the fair surface, starboard.

    points, normals: (rows, columns, 3) [m] and unit vectors out of the boat; row 0 is nearest the keel (of a
    deck: nearest the sheer). level: (columns,) where row 0 crosses the centre line smoothly; level_last the
    same for the last row (of a deck).
    """

    points: Array
    normals: Array
    level: Array
    level_last: Array


def panels_of(grid: SurfaceGrid, deck: bool = False) -> tuple[Panel, ...]:
    """The panels of a skin, each with normals of its own up to its edges.

    Parameters
    ----------
    grid : SurfaceGrid
        Side (row 0 at the keel) or deck (row 0 at the sheer) on the outside of the planking [m].
    deck : bool
        The last row lies on the centre line instead of the first.

    Returns
    -------
    tuple of Panel
        From the keel to the sheer.

    Notes
    -----
    Normals are the cross product of the slopes of two splines, by chord length along the row and along the
    column. Differences of neighbouring points are not enough: columns lie closer in the ends, and there they
    leaned by up to a degree.
    """
    bounds = [0, *grid.corners, len(grid.points) - 1]
    none = np.zeros(grid.points.shape[1], bool)
    found = []
    for a, b in itertools.pairwise(bounds):
        points = grid.points[a : b + 1]
        level = _level(points[0], grid.normals[0]) if a == 0 and not deck else none
        last = _level(points[-1], grid.normals[-1]) if deck else none
        outward = grid.normals[a : b + 1]
        found.append(Panel(points, _normals(points, outward, level, last), level, last))
    return tuple(found)


def _level(row: Array, normals: Array) -> Array:
    """Columns (n,) at which a row on the centre line is crossed smoothly: the grid keeps its normal in the
    centre plane there."""
    return np.asarray((row[:, 1] < SAME) & (np.abs(normals[:, 1]) < 1e-12))


def _slopes(lines: Array) -> Array:
    """Slopes (m, k, 3) of the splines by chord length through points (m, k, 3); nan where a point stands
    twice."""
    steps = np.linalg.norm(np.diff(lines, axis=1), axis=2)
    plain = (steps > SAME).all(axis=1) & (lines.shape[1] > 3)
    out = np.full(lines.shape, np.nan)
    knots = np.concatenate([np.zeros((len(lines), 1)), np.cumsum(steps, axis=1)], axis=1)
    if plain.any():
        out[plain] = slopes_of_many(knots[plain], lines[plain])
    for r in np.flatnonzero(~plain):
        apart = np.append(True, steps[r] > SAME)
        if apart.sum() > 1:
            kept = lines[r, apart]
            out[r, apart] = through_points(chords(kept), kept).slopes
    return out


def _normals(points: Array, outward: Array, level: Array, last: Array) -> Array:
    """Unit normals (rows, columns, 3), pointing as `outward` does on the whole."""
    along, columns, rows = _slopes(points), points.swapaxes(0, 1), len(points)
    around = np.empty_like(points)
    if level.any():
        both = np.concatenate([columns[level, :0:-1] * MIRROR, columns[level]], axis=1)
        around[:, level] = _slopes(both)[:, rows - 1 :].swapaxes(0, 1)
    if (last := last & ~level).any():
        both = np.concatenate([columns[last], columns[last, -2::-1] * MIRROR], axis=1)
        around[:, last] = _slopes(both)[:, :rows].swapaxes(0, 1)
    if (other := ~level & ~last).any():
        around[:, other] = _slopes(columns[other]).swapaxes(0, 1)
    n = np.cross(around, along)
    size = np.linalg.norm(n, axis=-1, keepdims=True)
    with np.errstate(invalid="ignore"):
        n = np.where(size > 1e-9, n / size, np.nan)
    if np.nansum(n * outward) < 0:
        n = -n
    return _filled(n, outward)


def _filled(n: Array, otherwise: Array) -> Array:
    """Where points coincide and the surface has no direction, that of the nearest point along the row
    which has one."""
    none = np.isnan(n).any(axis=-1)
    for r in np.flatnonzero(none.any(axis=1)):
        have = np.flatnonzero(~none[r])
        if len(have):
            nearest = have[np.abs(np.arange(n.shape[1])[:, None] - have).argmin(axis=1)]
            n[r] = n[r, nearest]
        else:
            n[r] = otherwise[r]
    return n


@dataclass(frozen=True)
class Rows:
    """A panel moved in square to itself, its rows as splines.

    knots: (rows, columns) chord length of the outside [m], the same where points coincide. values, slopes:
    (rows, columns, 6): point on the inside [m] and unit normal. first, last: the panel's ends (rows, 6), on
    stem or transom.
    """

    knots: Array
    values: Array
    slopes: Array
    level: Array
    level_last: Array
    carried: tuple[bool, bool] = (False, False)


def moved_in(panel: Panel, distance: float, carried: tuple[bool, bool] = (False, False)) -> Rows:
    """The panel moved in by a distance [m] square to itself.

    carried: whether a row that stops just short of a plane is carried on to it at the bow, at the stern: at a
    raked transom the inside does.
    """
    both = np.concatenate([panel.points - distance * panel.normals, panel.normals], axis=-1)
    knots = np.array([chords(row) for row in panel.points])
    slopes = np.zeros_like(both)
    plain = (np.diff(knots, axis=1) > SAME).all(axis=1) & (knots.shape[1] > 3)
    if plain.any():
        slopes[plain] = slopes_of_many(knots[plain], both[plain])
    for r in np.flatnonzero(~plain):
        t = knots[r]
        apart = np.append(True, np.diff(t) > SAME)
        if apart.sum() > 1:
            slopes[r, apart] = through_points(t[apart], both[r, apart]).slopes
            if not apart.all():
                where = np.maximum.accumulate(np.where(apart, np.arange(len(t)), 0))
                slopes[r] = slopes[r, where]
    return Rows(knots, both, slopes, panel.level, panel.level_last, carried)


@dataclass(frozen=True)
class Plane:
    """The plane normal . p = offset; normal (3,) is a unit vector in the centre plane of the boat."""

    normal: tuple[float, float, float]
    offset: float


def station_plane(x: float) -> Plane:
    """The plane of a station at x aft of the datum [m]."""
    return Plane((1.0, 0.0, 0.0), x)


@dataclass(frozen=True)
class Trace:
    """Where a plane cuts a panel: points (k, 3) [m] from the keel up and unit normals (k, 3); level: it
    crosses the centre line smoothly at its start (or, of a deck, its end). begun, ended: that end lies on the
    panel's own edge row, not on a stem."""

    points: Array
    normals: Array
    level_start: bool
    level_end: bool
    begun: bool
    ended: bool


def traces(rows: Rows, planes: tuple[Plane, ...]) -> list[Trace | None]:
    """Where each plane cuts a panel; None where it does not."""
    found = []
    at = _crossings(rows, planes)
    ends = [_end_crossings(rows, column, planes) for column in (0, -1)]
    for k in range(len(planes)):
        inside = np.flatnonzero(~np.isnan(at[:, k, 0]))
        edge = next((e[k] for e in ends if e[k] is not None), None)
        found.append(_trace(rows, at[:, k], inside, edge, planes[k]))
    return found


def _trace(rows: Rows, at: Array, inside: Array, edge: Array | None, plane: Plane) -> Trace | None:
    if len(inside) == 0:
        return None
    # the unbroken stretch of rows that holds the most
    stretches = np.split(inside, np.flatnonzero(np.diff(inside) > 1) + 1)
    kept = max(stretches, key=len)
    sixes = at[kept]
    begun, ended = kept[0] == 0, kept[-1] == len(at) - 1
    if edge is not None and not begun:
        far = np.linalg.norm(sixes[:, :3] - edge[:3], axis=1) > NEAR_EDGE
        sixes = np.vstack([edge, sixes[far]]) if far.any() else sixes
    elif edge is not None and not ended:
        far = np.linalg.norm(sixes[:, :3] - edge[:3], axis=1) > NEAR_EDGE
        sixes = np.vstack([sixes[far], edge]) if far.any() else sixes
    sixes = _without_ripples(sixes)
    if len(sixes) < 2:
        return None
    normals = unit(sixes[:, 3:])
    return Trace(
        sixes[:, :3],
        normals,
        bool(begun and _smooth_at(rows, rows.level, 0, plane)),
        bool(ended and _smooth_at(rows, rows.level_last, -1, plane)),
        bool(begun),
        bool(ended),
    )


def _without_ripples(sixes: Array) -> Array:
    """Crossings (k, 6) without those of rows that have just left the stem and lean out of line with the rows
    on both sides of them, and without the next above those."""
    n = unit(sixes[:, 3:])
    if len(n) < 4 * ASIDE:
        return sixes
    before, here, after = n[: -2 * ASIDE], n[ASIDE:-ASIDE], n[2 * ASIDE :]
    span = np.arccos(np.clip((before * after).sum(axis=1), -1.0, 1.0))
    lean = np.arccos(np.clip((here * unit(before + after)).sum(axis=1), -1.0, 1.0))
    out = np.flatnonzero(lean > span + LEANS) + ASIDE
    near = {int(k + by) for k in out for by in range(BESIDE + 1)} - {0, len(n) - 1}
    return np.delete(sixes, sorted(near), axis=0) if len(near) < len(n) // 4 else sixes


def _smooth_at(rows: Rows, level: Array, row: int, plane: Plane) -> bool:
    """Whether the columns on both sides of where a row meets a plane are level at the centre line."""
    f = rows.values[row, :, :3] @ np.array(plane.normal) - plane.offset
    cross = np.flatnonzero(f[:-1] * f[1:] <= 0)
    return bool(len(cross) and level[cross[0]] and level[cross[0] + 1])


def _crossings(rows: Rows, planes: tuple[Plane, ...]) -> Array:
    """Point and normal (rows, planes, 6) where each row meets each plane; nan where it does not.

    A row that meets a plane more than once, folded where it is bent closer than it was moved, is taken
    nearest its middle.
    """
    n, m = len(rows.values), rows.values.shape[1]
    out = np.full((n, len(planes), 6), np.nan)
    middle = (m - 1) / 2
    for k, plane in enumerate(planes):
        direction = np.array(plane.normal)
        f = rows.values[..., :3] @ direction - plane.offset
        g = rows.slopes[..., :3] @ direction
        crossed = ((f[:, :-1] <= 0) & (f[:, 1:] > 0)) | ((f[:, :-1] >= 0) & (f[:, 1:] < 0))
        crossed &= np.diff(rows.knots, axis=1) > SAME
        away = np.where(crossed, np.abs(np.arange(m - 1) - middle + 0.5)[None, :], np.inf)
        i = away.argmin(axis=1)
        hit = np.flatnonzero(np.isfinite(away.min(axis=1)))
        if len(hit):
            out[hit, k] = _solved(rows, f, g, hit, i[hit])
        for r in np.setdiff1d(np.arange(n), hit):
            out[r, k] = _carried_on(rows, r, f[r], g[r])
    return out


def _solved(rows: Rows, f: Array, g: Array, r: Array, i: Array) -> Array:
    """Point and normal (len(r), 6) at the root of rows r within spans i."""
    h = rows.knots[r, i + 1] - rows.knots[r, i]
    ends = f[r, i], f[r, i + 1], h * g[r, i], h * g[r, i + 1]
    low, high = np.zeros(len(r)), np.ones(len(r))
    u = ends[0] / (ends[0] - ends[1])
    for step in range(HALVINGS + NEWTONS):
        value = _hermite(u, *ends)
        below = np.sign(value) == np.sign(ends[0])
        low, high = np.where(below, u, low), np.where(below, high, u)
        slope = _hermite_slope(u, *ends)
        newton = u - value / np.where(np.abs(slope) > 1e-15, slope, 1e-15)
        good = (newton > low) & (newton < high) & (step >= 0)
        u = np.where(np.abs(value) < 1e-13, u, np.where(good, newton, (low + high) / 2))
    return _hermite(
        u[:, None],
        rows.values[r, i],
        rows.values[r, i + 1],
        h[:, None] * rows.slopes[r, i],
        h[:, None] * rows.slopes[r, i + 1],
    )


def _carried_on(rows: Rows, r: int, f: Array, g: Array) -> Array:
    """A row that stops just short of a plane, as the inside does at a raked transom, carried on straight
    to meet it; nan where it does not."""
    for end, allowed in zip((0, -1), rows.carried):
        if not allowed:
            continue
        ahead = -f[end] / g[end] if abs(g[end]) > 1e-6 else np.inf
        if abs(ahead) <= OVER and (ahead > 0) == (end == -1):
            return np.concatenate(
                [rows.values[r, end, :3] + ahead * rows.slopes[r, end, :3], rows.values[r, end, 3:]]
            )
    return np.full(6, np.nan)


def _hermite(u: Array, a: Array, b: Array, da: Array, db: Array) -> Array:
    v = 1.0 - u
    return np.asarray((1 + 2 * u) * v * v * a + u * u * (3 - 2 * u) * b + u * v * v * da - u * u * v * db)


def _hermite_slope(u: Array, a: Array, b: Array, da: Array, db: Array) -> Array:
    return np.asarray(6 * u * (1 - u) * (b - a) + (1 - u) * (1 - 3 * u) * da + u * (3 * u - 2) * db)


def _end_crossings(rows: Rows, column: int, planes: tuple[Plane, ...]) -> list[Array | None]:
    """Point and normal (6,) where the panel's own end, on a stem, meets each plane; None where it does
    not."""
    line = rows.values[:, column]
    apart = np.append(True, np.linalg.norm(np.diff(line[:, :3], axis=0), axis=1) > SAME)
    found: list[Array | None] = []
    line = line[apart]
    if len(line) < 3:
        return [None] * len(planes)
    t = chords(line[:, :3])
    curve = through_points(t, line)
    fine = np.linspace(t[0], t[-1], 8 * len(t))
    dense = curve(fine)
    for plane in planes:
        f = dense[:, :3] @ np.array(plane.normal) - plane.offset
        cross = np.flatnonzero((f[:-1] <= 0) != (f[1:] <= 0))
        if not len(cross):
            found.append(None)
            continue
        i = int(cross[-1])
        w = f[i] / (f[i] - f[i + 1])
        found.append(curve(fine[i] + w * (fine[i + 1] - fine[i])))
    return found
