"""The rows and columns of a table as lines and sections: set on its transom, followed out to its stems, each
offset held against the batten through the others."""

from __future__ import annotations

import functools
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

import numpy as np

from hullview.arrays import Array
from hullview.boat.model import End, Table, TableLine
from hullview.shape.batten import around, left_out
from hullview.shape.curve import through
from hullview.shape.sections import in_order

_ACROSS, _UP, _BEARS = np.array([1.0, 0.0]), np.array([0.0, 1.0]), np.array([np.nan, np.nan])


@dataclass(frozen=True)
class Line:
    """A row of the table with what is known of its ends: x, v (n,); cell (n,): the station's index, -1 for
    a point on a stem."""

    row: TableLine
    x: Array
    v: Array
    cell: Array
    residual: Array
    spread: Array


def line_of(table: Table, row: TableLine, ends: tuple[End, End]) -> Line:
    """A row with its points in place: on a transom where that stands, and on to the stems where their
    profile says how it ends."""
    cell = np.array([j for j, v in enumerate(row.values) if v is not None], int)
    x = np.array(table.stations)[cell]
    v = np.array([row.values[j] for j in cell], float)
    last = len(table.stations) - 1
    for end, column, side in ((ends[0], 0, 0), (ends[1], last, -1)):
        if end.profile is None or not len(cell):
            continue
        if end.transom:
            if cell[side] == column:
                x[side] = _on_transom(table, row, end, column)
            continue
        point = _on_stem(row, end)
        beyond = point is not None and (point[0] < x[0] if side == 0 else point[0] > x[-1])
        if (
            point is not None
            and beyond
            and cell[side] != column
            and abs(point[0] - x[side]) > 0.02 * (x[-1] - x[0] + 1e-9)
        ):
            where = 0 if side == 0 else len(x)
            x, v, cell = (
                np.insert(x, where, point[0]),
                np.insert(v, where, point[1]),
                np.insert(cell, where, -1),
            )
    if len(x) > 1 and (np.diff(x) <= 0).any():
        return Line(row, x, v, cell, np.full((len(x), len(x)), np.nan), np.full(len(x), np.nan))
    residual, spread = left_out(tuple(x.tolist()))
    spread = spread.copy()
    if len(x):
        spread[[0, -1]] = np.nan
    return Line(row, x, v, cell, np.where(np.isnan(spread)[:, None], np.nan, residual), spread)


def _on_transom(table: Table, row: TableLine, end: End, column: int) -> float:
    """Where a transom stands at the height of this row's offset [m aft]."""
    assert end.profile is not None
    profile = np.array(sorted((z, x) for x, z in end.profile))
    height = row.values[column] if row.measure == "height" else row.at
    if height is None:
        other = table.find("height", row.name)
        height = other.values[column] if other is not None else None
    return float(np.interp(profile[:, 0].mean() if height is None else height, profile[:, 0], profile[:, 1]))


def _on_stem(row: TableLine, end: End) -> tuple[float, float] | None:
    """Where the row ends on a stem: (position, value) [m], or None where the profile does not say."""
    assert end.profile is not None
    profile = _profile(end)
    if row.name == "waterline" and row.at is not None:
        z = profile[:, 1]
        if z.min() < row.at < z.max():
            k = int(np.flatnonzero((z[:-1] - row.at) * (z[1:] - row.at) <= 0)[0])
            f = (row.at - z[k]) / (z[k + 1] - z[k])
            return float(profile[k, 0] + f * (profile[k + 1, 0] - profile[k, 0])), end.siding / 2
    elif row.at is None and row.measure == "height" and row.name in ("keel", "rabbet"):
        return float(profile[0, 0]), float(profile[0, 1])
    elif row.name == "sheer":
        return float(profile[-1, 0]), float(profile[-1, 1]) if row.measure == "height" else end.siding / 2
    return None


@functools.lru_cache(maxsize=8)
def _profile(end: End) -> Array:
    """The stem's profile (k, 2) as a fine line from the keel line up."""
    p = np.array(list(dict.fromkeys(end.profile or ())), float)[::-1]
    return through(p).samples if len(p) > 2 else p


def section_residuals(table: Table, values: Array, j: int, ends: tuple[End, End]) -> Array:
    """How far the offsets of station j lie off the spline around it through the others (rows,) [m]; nan for
    those it does not hold.

    values (rows,): the column of the table, nan where blank.
    """
    out = np.full(len(table.lines), np.nan)
    named = {(r.measure, r.name): values[i] for i, r in enumerate(table.lines) if r.at is None}
    sheer = np.array([named.get(("half-breadth", "sheer"), np.nan), named.get(("height", "sheer"), np.nan)])
    if np.isnan(sheer).any():
        return out
    points: list[tuple[float, float, int, Array, bool]] = []
    for i, r in enumerate(table.lines):
        if np.isnan(values[i]):
            continue
        if r.name == "waterline" and r.at is not None:
            points.append((values[i], r.at, i, _ACROSS, False))
        elif r.name == "buttock" and r.at is not None:
            points.append((r.at, values[i], i, _UP, False))
        elif r.name == "diagonal" and r.at is not None and r.angle is not None:
            along = np.array([np.cos(r.angle), -np.sin(r.angle)])
            points.append((values[i] * along[0], r.at + values[i] * along[1], i, along, False))
        elif r.name.startswith("chine") and r.measure == "height":
            points.append((named.get(("half-breadth", r.name), np.nan), values[i], -1, _BEARS, True))
    points = [p for p in points if not np.isnan(p[0])]
    if len(points) < 2:
        return out
    foot = _foot(table, named, j, ends)
    yz = np.array([p[:2] for p in points])
    order = in_order(yz, sheer)
    yz = np.concatenate([foot[None], yz[order], sheer[None]])
    kept = [points[k] for k in order]
    level = table.keel_shape[j] == "round" and foot[0] < 1e-6
    measured = np.array([_BEARS, *(p[3] for p in kept), _BEARS])
    corner = np.array([False, *(p[4] for p in kept), False])
    if np.isnan(foot).any():
        yz, measured, corner, kept = yz[1:], measured[1:].copy(), corner[1:], kept[1:]
        measured[0], level = np.nan, False
    off = around(yz, measured, corner, level)
    for k, p in enumerate(kept, 1):
        if p[2] >= 0:
            out[p[2]] = off[k]
    return out


def _foot(
    table: Table,
    named: Mapping[tuple[Literal["height", "half-breadth"], str], float],
    j: int,
    ends: tuple[End, End],
) -> Array:
    """The foot of a section: the keel line's (half-breadth, height), or the stem's where that passes the
    station; nan if unknown."""
    name = "rabbet" if ("height", "rabbet") in named else "keel"
    z = named.get(("height", name), np.nan)
    y = named.get(("half-breadth", name), 0.0)
    if not np.isnan(z):
        return np.array([0.0 if np.isnan(y) else y, z])
    for end in ends:
        if end.profile is not None and not end.transom:
            p, x = _profile(end), table.stations[j]
            cross = np.flatnonzero((p[:-1, 0] - x) * (p[1:, 0] - x) < 0)
            if len(cross):
                return np.array([end.siding / 2, p[cross[0], 1]])
    return np.array([np.nan, np.nan])
