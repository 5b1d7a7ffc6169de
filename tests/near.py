"""How near a mesh passes to the offsets of a table: the exact distance from a point to triangles."""

from __future__ import annotations

import numpy as np

from hullview.boat.model import Boat, End, Table
from hullview.shape.hull import Hull

Array = np.ndarray


def offsets_in_space(boat: Boat) -> list[tuple[str, int, Array]]:
    """Each offset as (line, station index, point (3,) [m]), every kind of row; those on a raked transom at
    its true place."""
    table = boat.hull.table
    assert table is not None
    last = len(table.stations) - 1
    found = []
    for row in table.lines:
        for j, value in enumerate(row.values):
            if value is None:
                continue
            yz = _place(table, row, j, value)
            if yz is not None:
                end = boat.hull.bow if j == 0 else boat.hull.stern if j == last else End()
                found.append((row.label, j, np.array([_position(table.stations[j], end, yz[1]), *yz])))
    return found


def _place(table: Table, row, j: int, value: float) -> tuple[float, float] | None:
    """(half-breadth, height) of one cell; of a pair of rows for a named line, the height row speaks for
    both."""
    if row.name == "deck" and row.at is None:
        return 0.0, value
    if row.at is not None:
        if row.angle is not None:
            return value * np.cos(row.angle), row.at - value * np.sin(row.angle)
        return (value, row.at) if row.measure == "half-breadth" else (row.at, value)
    if row.measure != "height":
        return None
    other = table.find("half-breadth", row.name)
    breadth = None if other is None else other.values[j]
    if breadth is None:
        return (0.0, value) if row.name in ("keel", "rabbet") else None
    return breadth, value


def _position(station: float, end: End, z: float) -> float:
    if not (end.transom and end.profile):
        return station
    (za, xa), *_, (zb, xb) = sorted((q, p) for p, q in end.profile)
    return xa + (z - za) * (xb - xa) / (zb - za)


def furthest(boat: Boat, hull: Hull) -> tuple[float, str, int]:
    """The offset furthest from the hull's faces: distance [m], line, station index."""
    skin = hull.vertices[hull.faces_of(*(r for r in hull.regions if not r.startswith("lid")))]
    low, high = skin.min(axis=1) - 0.02, skin.max(axis=1) + 0.02
    worst = (0.0, "", -1)
    for line, j, p in offsets_in_space(boat):
        near = ((low < p) & (high > p)).all(axis=1)
        d = to_triangles(p, skin[near]) if near.any() else np.inf
        worst = max(worst, (d, line, j))
    return worst


def to_triangles(p: Array, triangles: Array) -> float:
    """Distance [m] from a point (3,) to the nearest of the triangles (m, 3, 3)."""
    a, b, c = triangles[:, 0], triangles[:, 1], triangles[:, 2]
    ab, ac, ap = b - a, c - a, p - a
    n = np.cross(ab, ac)
    nn = np.maximum((n * n).sum(axis=1), 1e-300)
    v = (np.cross(ap, ac) * n).sum(axis=1) / nn
    w = (np.cross(ab, ap) * n).sum(axis=1) / nn
    inside = (v >= 0) & (w >= 0) & (v + w <= 1)
    best = np.where(inside, np.abs((ap * n).sum(axis=1)) / np.sqrt(nn), np.inf)
    for start, edge in ((a, ab), (a, ac), (b, c - b)):
        t = np.clip(
            ((p - start) * edge).sum(axis=1) / np.maximum((edge * edge).sum(axis=1), 1e-300), 0.0, 1.0
        )
        best = np.minimum(best, np.linalg.norm(start + t[:, None] * edge - p, axis=1))
    return float(best.min())
