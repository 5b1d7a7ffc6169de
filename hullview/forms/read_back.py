"""A table to the inside of planking, and how near the boat that it gives when it is read comes to the one it
was taken from."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from hullview.arrays import Array
from hullview.boat.model import Boat, Table
from hullview.shape.assemble import choose_net, read_sections, skin


@dataclass(frozen=True)
class InsideTable:
    """The table and what `[hull]` must say beside it; profiles (k, 2) from the sheer down [m], None for a
    plumb end of the table.

    siding: width of the stems' faces at the inside, bow and stern [m]. folded: stations at which a round
    bottom turns within the planking's thickness, with how much higher than the table's keel, which is that of
    the skin moved in square, the insides of both sides meet [m].
    """

    table: Table
    unit: str
    step: float
    bow: Array | None
    stern: Array | None
    siding: tuple[float, float]
    transom: tuple[bool, bool]
    folded: tuple[tuple[str, float], ...] = ()


def off_when_read_back(boat: Boat, made: InsideTable) -> dict[str, float]:
    """How far the offsets of each station lie at most off the outside that a table to the inside gives when
    it is read [m]; square to the skin."""
    from scipy.spatial import cKDTree

    table, bow, stern = boat.hull.table, boat.hull.bow, boat.hull.stern
    assert table is not None
    ends = [
        replace(
            end,
            profile=end.profile if line is None else tuple((float(x), float(z)) for x, z in line),
            siding=wide,
        )
        for end, line, wide in ((bow, made.bow, made.siding[0]), (stern, made.stern, made.siding[1]))
    ]
    hull = replace(boat.hull, table=made.table, measured_to="inside", bow=ends[0], stern=ends[1])
    inside = replace(boat, hull=hull)
    lofted = read_sections(inside)
    outside = skin(inside, lofted, choose_net(lofted))
    tree, normals = cKDTree(outside.side.reshape(-1, 3)), outside.after.reshape(-1, 3)
    found: dict[str, float] = {}
    for j, x in enumerate(table.stations):
        points = np.array([(x, *p) for p in _offsets_at(table, j)])
        if len(points):
            nearest = tree.query(points)[1]
            gaps = ((points - tree.data[nearest]) * normals[nearest]).sum(axis=1)
            found[table.column(j)] = float(np.abs(gaps).max())
    return found


def _offsets_at(table: Table, j: int) -> list[tuple[float, float]]:
    """Half-breadth and height of a station's offsets on waterlines, buttocks and the keel [m]."""
    found = []
    for row in table.lines:
        v = row.values[j]
        if v is None:
            continue
        if row.name == "waterline" and row.at is not None:
            found.append((v, row.at))
        elif row.name == "buttock" and row.at is not None:
            found.append((row.at, v))
        elif row.name in ("keel", "rabbet") and row.measure == "height":
            found.append((0.0, v))
    return found
