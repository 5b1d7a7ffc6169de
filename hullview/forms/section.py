"""A plane's cut of the planking's inside as one flat curve: panels joined at their knuckles, trimmed at
the centre line and at the deck."""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from hullview.arrays import Array
from hullview.forms.skin import Plane, Rows, Trace, traces
from hullview.shape.curve import chords
from hullview.shape.spline import through_points
from hullview.shape.vectors import unit

BETWEEN = 4
"""Samples between two rows of the grid: two or so for each millimetre of girth."""
MEETING = 150
"""Samples from the end of a panel within which the next one is met: some 70 mm."""
ON_CENTRE = 1e-7
"""A half-breadth that is none [m]."""
FOLD = 120
"""Samples either side of a fold within which the line crosses itself."""
REACH = 0.03
"""How far panels are carried on straight to meet at a hollow knuckle [m]."""
CHORD = 1.5e-5
"""Greatest distance of a chord of the finished edge from the curve [m]: half of what a machine is asked to
keep."""
LONGEST_STEP = 0.007
"""Longest step along a finished edge [m]."""
FLAT = np.array([-1.0, 1.0])


@dataclass(frozen=True)
class Edge:
    """A flat curve on the planking's inside, starboard, in the coordinates of its plane.

    points : (k, 2) half-breadth and height [m] (on a raked plane: distance up the plane from the base line);
    from the keel up, or for a deck from the sheer inboard.
    normals : (k, 3) unit normals of the skin out of the boat. corners : indices of knuckles.
    on_centre : it begins on the centre line (for a deck: ends there).
    """

    points: Array
    normals: Array
    corners: tuple[int, ...]
    on_centre: bool

    @property
    def girth(self) -> Array:
        """Distance along the edge from its first point (k,) [m]."""
        return chords(self.points)


def in_plane(plane: Plane, points: Array) -> Array:
    """Flat coordinates (k, 2) of points (k, 3) on a plane: half-breadth, and height up the plane."""
    nx, _, nz = plane.normal
    return np.column_stack([points[:, 1], points @ np.array([-nz, 0.0, nx])])


def flat_normals(plane: Plane, normals: Array) -> Array:
    """What of unit normals (k, 3) lies in the plane, as unit vectors (k, 2)."""
    flat = in_plane(plane, normals)
    return unit(flat)


def side_edges(panels: Sequence[Rows], planes: tuple[Plane, ...]) -> list[Edge | None]:
    """The edge of the side in each plane, from the keel line or the stem's foot to the sheer mark; None where
    there is no skin.

    Its last point is the foot of the normal from the sheer, which is where the sheer is marked.
    """
    cut = [traces(rows, planes) for rows in panels]
    return [_joined([c[k] for c in cut], plane) for k, plane in enumerate(planes)]


def deck_edges(rows: Rows, planes: tuple[Plane, ...]) -> list[Edge | None]:
    """The edge of the deck in each plane, from the sheer to the centre line."""
    found: list[Edge | None] = []
    for trace, plane in zip(traces(rows, planes), planes):
        if trace is None:
            found.append(None)
            continue
        points, normals = _dense(trace, plane)
        found.append(_to_centre(Edge(points[::-1], normals[::-1], (), False)))
    return [None if e is None else _turned(e) for e in found]


def _turned(edge: Edge) -> Edge:
    last = len(edge.points) - 1
    return Edge(edge.points[::-1], edge.normals[::-1], tuple(last - c for c in edge.corners), edge.on_centre)


def _dense(trace: Trace, plane: Plane) -> tuple[Array, Array]:
    """A trace as a fine line: points (n, 2) and unit normals (n, 3), by a spline through the crossings of
    the rows."""
    p, n = in_plane(plane, trace.points), trace.normals
    before, after = 0, 0
    if trace.level_start:
        before = len(p) - 1
        p, n = np.concatenate([p[:0:-1] * FLAT, p]), np.concatenate([n[:0:-1] * [1, -1, 1], n])
    if trace.level_end:
        after = len(p) - 1 - before
        p, n = (
            np.concatenate([p, p[-2 : before - 1 if before else None : -1] * FLAT]),
            np.concatenate([n, n[-2 : before - 1 if before else None : -1] * [1, -1, 1]]),
        )
    t = chords(p)
    apart = np.append(True, np.diff(t) > 1e-9)
    if not apart.all():
        before = int(apart[:before].sum())
        p, n, t = p[apart], n[apart], t[apart]
        after = min(after, len(t) - before - 2)
    curve = through_points(t, np.column_stack([p, n]))
    mine = t[before : len(t) - after]
    steps = np.arange(BETWEEN) / BETWEEN
    at = np.append((mine[:-1, None] + np.diff(mine)[:, None] * steps).ravel(), mine[-1])
    sixes = curve(at)
    return sixes[:, :2], unit(sixes[:, 2:])


def without_loops(points: Array, normals: Array) -> tuple[Array, Array]:
    """A line (k, 2) cut short where it crosses itself: skin that turns closer than it was moved in folds
    over, and no edge can follow it.

    normals (k, 3): of the skin; a stretch that runs against the way they say is a fold.
    """
    onward = np.column_stack([-normals[:, 2], normals[:, 1]])
    back = np.flatnonzero((np.diff(points, axis=0) * (onward[:-1] + onward[1:])).sum(axis=1) < 0)
    while len(back):
        first, last = max(int(back[0]) - FOLD, 0), min(int(back[0]) + FOLD, len(points) - 1)
        while last < len(points) - 1 and (back == last).any():
            last = min(last + FOLD, len(points) - 1)
        found = _own_crossing(points[first : last + 1])
        if found is None:
            break
        i, j, at = found[0] + first, found[1] + first, found[2]
        middle = normals[i] + normals[j + 1]
        middle = unit(middle)
        points = np.vstack([points[: i + 1], at, points[j + 1 :]])
        normals = np.vstack([normals[: i + 1], middle, normals[j + 1 :]])
        left = back[back > j] - (j - i - 1)
        back = left
    return points, normals


def _own_crossing(p: Array) -> tuple[int, int, Array] | None:
    """The widest loop of a polyline (n, 2): the two segments that cross, and where; None if none do."""
    d = np.diff(p, axis=0)
    gap = p[None, :-1] - p[:-1, None]
    det = d[:, None, 0] * d[None, :, 1] - d[:, None, 1] * d[None, :, 0]
    safe = np.where(np.abs(det) > 1e-20, det, np.inf)
    s = (gap[..., 0] * d[None, :, 1] - gap[..., 1] * d[None, :, 0]) / safe
    t = (gap[..., 0] * d[:, None, 1] - gap[..., 1] * d[:, None, 0]) / safe
    hit = np.triu((s >= 0) & (s <= 1) & (t >= 0) & (t <= 1), 2)
    pairs = np.argwhere(hit)
    if not len(pairs):
        return None
    i, j = (int(v) for v in pairs[np.argmax(pairs[:, 1] - pairs[:, 0])])
    return i, j, p[i] + s[i, j] * d[i]


def _joined(parts: Sequence[Trace | None], plane: Plane) -> Edge | None:
    """Panels of one section from the keel up, each trimmed where it meets the next."""
    there = [without_loops(*_dense(p, plane)) for p in parts if p is not None]
    if not there:
        return None
    points, normals = there[0]
    corners: list[int] = []
    for more, their in there[1:]:
        points, normals, more, their = _meet(points, normals, more, their)
        corners.append(len(points) - 1)
        points, normals = np.concatenate([points, more[1:]]), np.concatenate([normals, their[1:]])
    return _to_centre(Edge(points, normals, tuple(corners), False))


def _meet(a: Array, na: Array, b: Array, nb: Array) -> tuple[Array, Array, Array, Array]:
    """Two panels' lines trimmed to the point where they cross; carried on straight to it where they stop
    short of one another."""
    if np.linalg.norm(a[-1] - b[0]) < 1e-7:
        return a, na, b, nb
    tail, head = max(0, len(a) - MEETING), min(len(b), MEETING)
    long_a = np.vstack([a, a[-1] + _ahead(a[-1] - a[-2])])
    long_b = np.vstack([b[0] + _ahead(b[0] - b[1]), b])
    found = crossing(long_a[tail:], long_b[: head + 1])
    if found is None:
        middle = (a[-1] + b[0]) / 2
        return np.vstack([a[:-1], middle]), na, np.vstack([middle, b[1:]]), nb
    i, j, point = found
    i, j = i + tail, j - 1
    na_end, nb_start = na[min(i, len(na) - 1)], nb[max(j, 0)]
    return (
        np.vstack([a[: i + 1], point]),
        np.vstack([na[: i + 1], na_end]),
        np.vstack([point, b[j + 1 :]]),
        np.vstack([nb_start, nb[j + 1 :]]),
    )


def _ahead(step: Array) -> Array:
    return unit(step) * REACH


def crossing(a: Array, b: Array) -> tuple[int, int, Array] | None:
    """Where polyline a (n, 2) last crosses polyline b (m, 2): segment of a, segment of b, the point; None if
    it does not.

    >>> i, j, p = crossing(np.array([[0, 0], [2.0, 0]]), np.array([[1.0, -1], [1, 1]]))
    >>> i, j, p.tolist()
    (0, 0, [1.0, 0.0])
    """
    da, db = np.diff(a, axis=0), np.diff(b, axis=0)
    gap = b[None, :-1] - a[:-1, None]
    det = da[:, None, 0] * db[None, :, 1] - da[:, None, 1] * db[None, :, 0]
    safe = np.where(np.abs(det) > 1e-18, det, np.inf)
    s = (gap[..., 0] * db[None, :, 1] - gap[..., 1] * db[None, :, 0]) / safe
    t = (gap[..., 0] * da[:, None, 1] - gap[..., 1] * da[:, None, 0]) / safe
    hit = (np.abs(det) > 1e-18) & (s >= -1e-9) & (s <= 1 + 1e-9) & (t >= -1e-9) & (t <= 1 + 1e-9)
    pairs = np.argwhere(hit)
    if not len(pairs):
        return None
    i, j = (int(v) for v in pairs[-1])
    return i, j, a[i] + np.clip(s[i, j], 0, 1) * da[i]


def _to_centre(edge: Edge) -> Edge | None:
    """The edge trimmed where it crosses the centre line, towards its first point."""
    y = edge.points[:, 0]
    # the last place near its start at which it comes across: planking that meets on the centre line may fold
    # there
    below = np.flatnonzero(
        (y[:-1] <= ON_CENTRE) & (y[1:] > ON_CENTRE) & (edge.girth[:-1] < 0.5 * edge.girth[-1])
    )
    if not len(below):
        return edge if y[0] > ON_CENTRE else None
    first = int(below[-1]) + 1
    a, b = edge.points[first - 1], edge.points[first]
    w = -a[0] / (b[0] - a[0]) if b[0] > a[0] else 0.0
    start = a + w * (b - a)
    start[0] = 0.0
    points = np.vstack([start, edge.points[first:]])
    n = edge.normals[first - 1] + w * (edge.normals[first] - edge.normals[first - 1])
    normals = np.vstack([unit(n), edge.normals[first:]])
    corners = tuple(c - first + 1 for c in edge.corners if c - first + 1 > 0)
    return Edge(points, normals, corners, True)


def thinned(edge: Edge) -> Edge:
    """The same edge with points only as close as its turning asks: chords within `CHORD`, knuckles and
    ends kept."""
    marks = [0, *edge.corners, len(edge.points) - 1]
    keep: list[int] = [0]
    for a, b in itertools.pairwise(marks):
        keep += [*(a + k for k in _kept(edge.points[a : b + 1])), b]
    index = np.array(sorted(set(keep)))
    corners = tuple(int(np.searchsorted(index, c)) for c in edge.corners)
    return Edge(edge.points[index], edge.normals[index], corners, edge.on_centre)


def _kept(points: Array) -> list[int]:
    """Indices to keep of a smooth line (n, 2), so that each chord stands off by about CHORD at most: s^2 k
    / 8."""
    if len(points) < 4:
        return list(range(len(points)))
    s = chords(points)
    step = np.diff(points, axis=0)
    way = np.unwrap(np.arctan2(step[:, 1], step[:, 0]))
    middle = (s[1:] + s[:-1]) / 2
    bend = np.abs(np.gradient(way, middle))
    long = np.clip(np.sqrt(8 * CHORD / np.maximum(bend, 1e-9)), 0.0005, LONGEST_STEP)
    count = np.concatenate([[0.0], np.cumsum(np.diff(s) / long)])
    wanted = np.linspace(0, count[-1], max(2, int(np.ceil(count[-1])) + 1))
    return sorted({int(np.abs(count - w).argmin()) for w in wanted})
