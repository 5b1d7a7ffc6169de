"""Pieces and bulkheads as solids at their place: boxes along or across the boat, on the flat or on edge,
cut to the inside of the planking."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from hullview.arrays import Array
from hullview.boat.model import Bulkhead, Piece
from hullview.shape.hull import Hull
from hullview.shape.room import Room
from hullview.show.outlines import cut, joined
from hullview.show.parts import Patch

TALL = 0.05
"""A piece higher than this [m] is cut to the skin at many heights; a plank at its two faces."""
ON_THE_SHEER = 0.035
"""A piece that lies this near the height of an open sheer [m], and reaches most of the way out to it, is
bent along it: an end deck."""
MOST_OF_THE_WAY = 0.6


def boxes(piece: Piece, room: Room | None) -> Iterator[Patch]:
    """Each of a piece with a size, where it stands."""
    for at in dict.fromkeys(piece.each):
        yield _box(np.array(at, float), np.array(piece.extent), room, piece.direction == "athwart")


def wall(bulkhead: Bulkhead, hull: Hull, room: Room | None) -> Patch:
    """A bulkhead that fills the section at its place."""
    if room is None:
        return _plate_of_mesh(hull, bulkhead.position, bulkhead.thickness)
    x = np.array([bulkhead.position])
    low, high = float(room.bottom(x, 0 * x)[0]), float(room.top(x, 0 * x)[0])
    high = high if np.isfinite(high) else float(room.sheer(x)[0])
    at = np.array([bulkhead.position, 0.0, (low + high) / 2])
    return _box(at, np.array([bulkhead.thickness, 20.0, high - low]), room, athwart=True)


def plate(at: Array, size: Array, room: Room | None) -> Patch:
    """A board of a size (3,) at its centre [m], cut to the inside of the planking."""
    return _box(at, size, room, athwart=False)


def _box(at: Array, size: Array, room: Room | None, athwart: bool) -> Patch:
    low, high = at - size / 2, at + size / 2
    if room is None or not _within(at, room):
        x, z = np.array([low[0], high[0]]), np.tile([low[2], high[2]], (2, 1))
        left, right = (np.full((2, 2), y) for y in (low[1], high[1]))
        return _closed(x, z, left, right, athwart)
    x = np.linspace(low[0], high[0], 2 if size[0] < TALL else 13)
    z = _levels(x, low[2], high[2], room)
    if _on_the_sheer(at, size, room):
        z = z + (room.sheer(x) - room.sheer(at[:1]))[:, None]
    reach = np.nan_to_num(room.half_breadth(np.repeat(x[:, None], z.shape[1], axis=1), z), nan=0.0)
    left, right = (np.clip(y, -reach, reach) for y in (low[1], high[1]))
    return _closed(x, z, left, right, athwart)


def _within(at: Array, room: Room) -> bool:
    """Whether the middle of a piece lies inside the planking; a rudder, a leeboard or what stands on deck
    is left as it is."""
    reach = float(room.half_breadth(at[0], at[2]))
    return bool(abs(at[1]) <= reach)


def _on_the_sheer(at: Array, size: Array, room: Room) -> bool:
    x = at[:1]
    reach = float(room.half_breadth(at[0], at[2]))
    near = abs(at[2] - float(room.sheer(x)[0])) < ON_THE_SHEER
    return room.deck is None and near and size[2] < TALL and size[1] / 2 > MOST_OF_THE_WAY * reach


def _levels(x: Array, low: float, high: float, room: Room) -> Array:
    """Heights (k, m) at which a piece is cut to the skin: its two faces, or for a tall one from the
    planking up."""
    if high - low < TALL:
        return np.tile([low, high], (len(x), 1))
    foot = np.fmax(low, room.bottom(x, np.zeros_like(x)))
    head = np.fmin(high, room.top(x, np.zeros_like(x)))
    share = (1 - np.cos(np.linspace(0, np.pi, 21))) / 2
    return np.asarray(foot[:, None] + (head - foot)[:, None] * share)


def _closed(x: Array, z: Array, left: Array, right: Array, athwart: bool) -> Patch:
    """The closed skin of a solid given by its half-breadths `left` and `right` (k, m) at places aft x (k,)
    and heights z (k, m)."""
    aft = np.repeat(x[:, None], z.shape[1], axis=1)
    points = np.stack([np.stack([aft, y, z], axis=-1) for y in (left, right)])
    index = np.arange(left.size * 2).reshape(points.shape[:3])
    port, starboard = index
    quads = [
        _quads(port),
        _quads(starboard)[:, ::-1],
        _quads(np.stack([port[:, 0], starboard[:, 0]], axis=1))[:, ::-1],
        _quads(np.stack([port[:, -1], starboard[:, -1]], axis=1)),
        _quads(np.stack([port[0], starboard[0]]))[:, ::-1],
        _quads(np.stack([port[-1], starboard[-1]])),
    ]
    corners = np.concatenate(quads)
    faces = np.concatenate([corners[:, [0, 1, 2]], corners[:, [0, 2, 3]]])
    vertices = points.reshape(-1, 3)
    along, across = (1, 0) if athwart else (0, 1)
    return Patch(vertices, faces, vertices[:, along], vertices[:, across] + vertices[:, 2])


def _quads(grid: Array) -> Array:
    """Corners (n, 4) of the cells of a grid of indices, in turn."""
    return np.stack([grid[:-1, :-1], grid[1:, :-1], grid[1:, 1:], grid[:-1, 1:]], axis=-1).reshape(-1, 4)


def _plate_of_mesh(hull: Hull, position: float, thickness: float) -> Patch:
    """A plate in the section of a hull that was read as a mesh, drawn in a little from its skin."""
    lines = joined(cut(hull.vertices, hull.faces, np.array([1.0, 0, 0]), position)[0])
    rim = max(lines, key=len)[:-1]
    middle = rim.mean(axis=0)
    rim = middle + (rim - middle) * 0.985
    half = np.array([thickness / 2, 0.0, 0.0])
    vertices = np.concatenate([np.vstack([rim, middle]) - half, np.vstack([rim, middle]) + half])
    count = len(rim)
    around = np.column_stack([np.arange(count), (np.arange(count) + 1) % count, np.full(count, count)])
    faces = np.concatenate([around, around[:, ::-1] + count + 1])
    return Patch(vertices, faces, vertices[:, 1], vertices[:, 2])
