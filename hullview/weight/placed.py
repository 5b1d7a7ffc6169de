"""Where pieces of a size lie on board: each a box, as written or as the inside of the planking leaves it."""

from __future__ import annotations

import numpy as np

from hullview.arrays import Array
from hullview.boat.model import Piece, Schedule
from hullview.shape.hull import Hull
from hullview.shape.room import Room, room_of
from hullview.weight.patch import Spread, joined

SLICES, LAYERS = 24, 8
"""Parts a box is looked at in, along the boat and up."""


def room_in(hull: Hull, schedule: Schedule) -> Room | None:
    """The room inside the planking of a schedule; None for a hull read as a mesh."""
    thick = {p.where: p.finished for p in schedule.planking if p.band is None}
    return room_of(hull, thick.get("hull", 0.0), thick.get("deck", 0.0), thick.get("transom", 0.0))


def spread_of(piece: Piece, room: Room | None) -> Spread:
    """Where the mass of a piece lies; size: how many pieces as written it comes to, less than its count
    where it is scribed to the skin."""
    apart = piece.places or tuple(dict.fromkeys(piece.each))
    times = len(piece.each) / len(apart)
    if piece.scribed and room is not None:
        return joined(_left(at, piece.extent, room) for at in apart).scaled(times)
    own = np.diag(np.square(piece.extent)) / 12
    ones = [Spread(1.0, p := np.array(at, float), np.outer(p, p) + own) for at in apart]
    return joined(ones).scaled(times)


def inside_share(at: tuple[float, float, float], extent: tuple[float, float, float], room: Room) -> float:
    """Share of a box's volume that lies within the planking's inside."""
    return _left(at, extent, room).size


def _left(at: tuple[float, float, float], extent: tuple[float, float, float], room: Room) -> Spread:
    """What of a box lies within the planking, as a share of the whole box: sums over cells as wide as the
    boat lets them be."""
    x, z = (_middles(at[i], extent[i], n) for i, n in ((0, SLICES), (2, LAYERS)))
    places = np.stack(np.meshgrid(x, z, indexing="ij"), axis=-1).reshape(-1, 2)
    reach = np.nan_to_num(room.half_breadth(places[:, 0], places[:, 1]), nan=0.0)
    low = np.maximum(at[1] - extent[1] / 2, -reach)
    high = np.minimum(at[1] + extent[1] / 2, reach)
    wide = np.maximum(high - low, 0.0)
    own = np.array([extent[0] / SLICES, 0.0, extent[2] / LAYERS])
    return joined(
        Spread(
            float(w / extent[1] / len(places)),
            p := np.array([px, (lo + hi) / 2, pz]),
            np.outer(p, p) + np.diag(np.square(own + [0.0, w, 0.0])) / 12,
        )
        for (px, pz), lo, hi, w in zip(places, low, high, wide)
    )


def _middles(middle: float, size: float, count: int) -> Array:
    return middle + size * ((np.arange(count) + 0.5) / count - 0.5)
