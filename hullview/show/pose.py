"""From the boat's frame to the water's: z up from the water's surface, x still aft, y still to starboard."""

from __future__ import annotations

import numpy as np

from hullview.arrays import Array
from hullview.shape.vectors import unit


def pose(normal: Array, offset: float) -> Array:
    """Rigid motion (4, 4) that lays the plane normal . p = offset [m] at z = 0 with the boat's own direction
    ahead kept.

    >>> float((pose(np.array([0.0, 0.0, 1.0]), 0.25) @ [1.0, 2.0, 0.25, 1.0])[2])
    0.0
    """
    up = unit(np.asarray(normal, float))
    # on end, aft has no direction along the water: the boat's own down is then aft enough for a picture
    ahead = np.array([1.0, 0.0, 0.0]) if abs(up[0]) < 0.9999 else np.array([0.0, 0.0, -np.sign(up[0])])
    aft = ahead - (ahead @ up) * up
    aft = unit(aft)
    motion = np.eye(4)
    motion[:3, :3] = aft, np.cross(up, aft), up
    motion[2, 3] = -offset
    return motion


def move(motion: Array, points: Array) -> Array:
    """Points (..., 3) of the boat's frame in the water's."""
    return np.asarray(np.asarray(points, float) @ motion[:3, :3].T + motion[:3, 3])
