"""Section curves -> a fair surface between stem and stern: rows of equal girth share, each a spline from
end to end."""

from __future__ import annotations

import itertools
from dataclasses import dataclass

import numpy as np

from hullview.arrays import Array
from hullview.shape.curve import chords
from hullview.shape.ends import EndCurve
from hullview.shape.sections import Section
from hullview.shape.spline import through_points

MOST_ON_KEEL = 0.0002
"""The keel line leaves the surface by no more than this [m], however sharply the sections turn there: its
heights are given."""

LEAST_GAP = 0.1
"""A row skips a station in the overhang of a stem when the stem is nearer to it than this share of the next
span: the table's rounding, not the boat, would set the row's direction there."""


@dataclass(frozen=True)
class Net:
    """How fine the grid is: where the rows lie in each panel between corners, as shares of it from 0 up to 1,
    which is the next panel's 0; columns for each interval between whole stations; deck rows."""

    rows: tuple[tuple[float, ...], ...]
    columns: tuple[int, ...]
    deck_rows: int


def row_coordinates(net: Net) -> tuple[Array, tuple[int, ...]]:
    """Row coordinate of each row, and which rows are corners between panels.

    >>> row_coordinates(Net(((0, 0.4), (0,)), (), 0))
    (array([0. , 0.4, 1. , 2. ]), (2,))
    """
    g = np.concatenate([k + np.array(shares) for k, shares in enumerate(net.rows)] + [[float(len(net.rows))]])
    return g, tuple(int(c) for c in np.cumsum([len(shares) for shares in net.rows])[:-1])


def whole_stations(sections: tuple[Section, ...]) -> list[int]:
    """Indices of the stations of the table that every row crosses."""
    return [i for i, s in enumerate(sections) if s.fractions[0] == 0 and not s.laid]


def loft_side(sections: tuple[Section, ...], bow: EndCurve, stern: EndCurve, net: Net) -> Array:
    """Points (rows, columns, 3) of the starboard side, on a surface through every section."""
    g, _ = row_coordinates(net)
    starts = [s.fractions[0] for s in sections]
    whole = whole_stations(sections)
    at = [s.at(np.maximum(g, s.fractions[0])) for s in sections]
    ends = bow.at(g), stern.at(g)
    rows = []
    for r, row in enumerate(g):
        use = [i for i in range(len(sections)) if row >= starts[i]]
        knots = [ends[0][r], *(at[i][r] for i in use), ends[1][r]]
        marks = [-1, *use, -2]
        knots, marks = _without_crowding(knots, marks, whole)
        rows.append(_row(np.array(knots), [marks.index(m) for m in (-1, *whole, -2)], net.columns))
    return np.array(rows)


def loft_deck(sections: tuple[Section, ...], bow: EndCurve, stern: EndCurve, net: Net, edge: Array) -> Array:
    """Points (deck rows, columns, 3) of the starboard deck, from the sheer `edge` (columns, 3) to the
    centre line."""
    share = np.linspace(0.0, 1.0, net.deck_rows + 1)
    whole = whole_stations(sections)
    at = [s.deck_at(share) for s in sections]
    ends = bow.deck_at(share), stern.deck_at(share)
    rows = []
    for r in range(len(share)):
        knots = np.array([ends[0][r], *(p[r] for p in at), ends[1][r]])
        rows.append(_row(knots, [0, *(i + 1 for i in whole), len(knots) - 1], net.columns))
    grid = np.array(rows)
    grid[0] = edge
    return grid


def _without_crowding(
    knots: list[Array], marks: list[int], whole: list[int]
) -> tuple[list[Array], list[int]]:
    """Drop the first or last overhang station of a row where it all but touches the stem."""
    for a, b, c in ((0, 1, 2), (-1, -2, -3)):
        if len(knots) > 3 and marks[b] >= 0 and marks[b] not in whole:
            near = np.linalg.norm(knots[b] - knots[a])
            if near < LEAST_GAP * np.linalg.norm(knots[c] - knots[b]):
                knots, marks = list(knots), list(marks)
                del knots[b], marks[b]
    return knots, marks


def _row(knots: Array, whole: list[int], columns: tuple[int, ...]) -> Array:
    """One row: spline by chord length through its knots (k, 3), sampled evenly between those that every
    row has."""
    t = chords(knots)
    # A stem that joins the keel line at a station gives the same point twice: the columns between lie in it.
    apart = np.concatenate([[True], np.diff(t) > 1e-9])
    if apart.sum() < 2:
        t, apart = np.arange(len(knots), dtype=float), np.ones(len(knots), bool)
    curve = through_points(t[apart], knots[apart])
    at = t[whole]
    steps = np.concatenate([np.arange(n) / n for n in columns])
    out = curve(np.append(np.repeat(at[:-1], columns) + steps * np.repeat(np.diff(at), columns), at[-1]))
    out[:, 1] = np.maximum(out[:, 1], 0.0)
    return out


def normals(grid: Array, outward: Array) -> Array:
    """Unit normals (rows, columns, 3) of a grid by differences, turned so that they point along `outward`
    (3,) on the whole."""
    along = np.gradient(grid, axis=1, edge_order=1)
    around = np.gradient(grid, axis=0, edge_order=1)
    n = np.cross(around, along)
    size = np.linalg.norm(n, axis=-1, keepdims=True)
    n = n / np.where(size > 1e-15, size, 1.0)
    return _filled(n if (n @ outward).sum() > 0 else -n)


def _filled(n: Array) -> Array:
    """Where points coincide and the surface has no direction, that of the next point along the row which
    has one."""
    none = np.abs(n).sum(axis=-1) < 0.5
    for r in np.flatnonzero(none.any(axis=1) & ~none.all(axis=1)):
        have = np.flatnonzero(~none[r])
        n[r] = n[r, have[np.abs(np.arange(n.shape[1])[:, None] - have).argmin(axis=1)]]
    return n


def panel_normals(
    grid: Array, corners: tuple[int, ...], level_first: bool, outward: Array
) -> tuple[Array, Array]:
    """Normals seen from the panel toward row 0 and from the one beyond: two arrays (rows, columns, 3), alike
    but at corners.

    level_first: row 0 lies on the centre line and the surface crosses it smoothly.
    """
    bounds = [0, *corners, grid.shape[0] - 1]
    before, after = np.empty_like(grid), np.empty_like(grid)
    for a, b in itertools.pairwise(bounds):
        n = normals(grid[a : b + 1], outward)
        after[a:b] = n[:-1]
        before[a + 1 : b + 1] = n[1:]
        if a == 0:
            before[0] = n[0]
        if b == bounds[-1]:
            after[b] = n[-1]
    if level_first:
        flat = before[0] * np.array([1.0, 0.0, 1.0])
        size = np.linalg.norm(flat, axis=-1, keepdims=True)
        before[0] = after[0] = np.where(size > 1e-9, flat / np.maximum(size, 1e-9), before[0])
    return before, after


def even_out(grid: Array, corners: tuple[int, ...], normal: Array, mirror_first: Array) -> Array:
    """Move vertices off the surface so that the flat faces between them enclose what the surface encloses.

    A chord of length h across a curve of curvature k lies inside it and cuts off k h^3 / 12; a vertex moved
    out by k h^2 / 12 gives that back, and no point of the faces is then further from the surface than k h^2 /
    12 (inscribed: k h^2 / 8). Rows that are corners, the edges and the ends stay where they are. mirror_first
    (columns,) of bool: where row 0 goes on smoothly across the centre line.
    """
    shift = np.zeros(grid.shape[:2])
    shift[1:-1] += _bulge(grid[:-2], grid[1:-1], grid[2:], normal[1:-1])
    for c in corners:
        shift[c] = 0.0
    mirrored = grid[1] * np.array([1.0, -1.0, 1.0])
    shift[0] += np.where(mirror_first, _bulge(mirrored, grid[0], grid[1], normal[0]), 0.0)
    lengthwise = np.zeros_like(shift)
    lengthwise[:, 1:-1] = _bulge(grid[:, :-2], grid[:, 1:-1], grid[:, 2:], normal[:, 1:-1])
    lengthwise[-1] = 0.0
    for c in corners:
        lengthwise[c] = 0.0
    lengthwise[0] = np.where(mirror_first, lengthwise[0], 0.0)
    shift += lengthwise
    shift[:, 0] = shift[:, -1] = 0.0
    shift[0] = np.clip(shift[0], -MOST_ON_KEEL, MOST_ON_KEEL)
    out = grid + shift[..., None] * normal
    out[..., 1] = np.maximum(out[..., 1], 0.0)
    out[0, :, 1] = grid[0, :, 1]
    return np.asarray(out)


def _bulge(before: Array, here: Array, after: Array, normal: Array) -> Array:
    """Outward shift [m] at `here` that makes up for the two chords to its neighbours: -n . P'' (a^3 + b^3)
    / (12 (a + b))."""
    a, b = np.linalg.norm(here - before, axis=-1), np.linalg.norm(after - here, axis=-1)
    ok = (a > 1e-9) & (b > 1e-9)
    a, b = np.where(ok, a, 1.0), np.where(ok, b, 1.0)
    bend = 2.0 * ((after - here) / b[..., None] - (here - before) / a[..., None]) / (a + b)[..., None]
    return np.where(ok, -(bend * normal).sum(-1) * (a**3 + b**3) / (12.0 * (a + b)), 0.0)
