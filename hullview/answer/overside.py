"""A reach over the side: the arm goes out over the rim, head and torso follow a little."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from hullview.answer.limits import setting
from hullview.arrays import Array
from hullview.boat.model import Boat, Paddler
from hullview.shape.hull import Hull

ARM, TORSO = 0.05, 0.58
"""Shares of a body's mass in one arm, and in head and torso (data/people.csv: from memory)."""
TORSO_SHIFT = 0.060
"""How far head and torso go along [m] (data/people.csv: common practice, no source)."""
SHOULDER = 0.20
"""From the middle of the body to a shoulder, where the arm hangs before [m] (data/people.csv: from
memory)."""


def rim_beside(hull: Hull, x: float) -> Array:
    """The rim of the opening at a seat, or the sheer of an open boat, to starboard (3,) [m]."""
    lines = [line.points for line in hull.flooding if line.points[:, 0].min() <= x <= line.points[:, 0].max()]
    points = np.concatenate(lines) if lines else hull.sheer
    starboard = points[points[:, 1] >= 0]
    near = starboard[np.abs(starboard[:, 0] - x) <= np.abs(starboard[:, 0] - x).min() + 0.05]
    found: Array = near[near[:, 1].argmax()]
    return found


def reach_shift(boat: Boat, hull: Hull, paddler: Paddler, side: float = 1.0) -> float:
    """How far a reach over that side (1 starboard, -1 port) shifts one paddler's whole-body centre [m].

    The hand is the limit `reach` outside the rim or sheer abreast of the body. The arm's centre goes from
    under the shoulder to halfway between shoulder and hand, head and torso by `TORSO_SHIFT`. The shoulder is
    taken where it was: going along with the torso it would carry the arm's centre 30 mm further, 1.5 mm of
    the body's.
    """
    middle = side * paddler.side
    abreast = paddler.seat_back + paddler.ahead * paddler.reaches[1]
    hand = float(rim_beside(hull, abreast)[1]) + setting(boat, "reach") - middle
    return ARM * max((SHOULDER + hand) / 2 - SHOULDER, 0.0) + TORSO * TORSO_SHIFT


def farthest_reach(boat: Boat, hull: Hull, paddlers: Sequence[Paddler], side: float) -> float:
    """The greatest moment of one paddler's reach over that side, one at a time [kg m]."""
    return max((p.mass * reach_shift(boat, hull, p, side) for p in paddlers), default=0.0)
