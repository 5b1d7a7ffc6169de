"""The heel at which water comes in, displacement held and trim free, in a handful of cuts."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from hullview.afloat.equilibrium import Rest, at_heel, up
from hullview.arrays import Array
from hullview.shape.body import Body, Immersed
from hullview.shape.hull import Hull

_CLOSE = 1e-11
_MOST_STEPS = 25
_STRIDE = 0.25
"""Longest step of heel or trim [rad]."""


@dataclass(frozen=True)
class Flooding:
    """It lies so when water reaches the first point of a rim: heel (port negative) and trim [rad], the
    plane, what is immersed."""

    heel: float
    trim: float
    normal: Array
    offset: float
    immersed: Immersed


def rims(hull: Hull) -> Array:
    """Every point where water comes in, (k, 3) [m]; none with spray decks on and hatches sealed."""
    lines = [line.points for line in hull.flooding if not line.sealed_by_cover]
    return np.concatenate(lines) if lines else np.empty((0, 3))


def flooding(points: Array, body: Body, centre: Array, lying: Rest, side: float = 1.0) -> Flooding | None:
    """The least heel to starboard (side 1) or port (side -1) at which one of the points (k, 3) [m] meets the
    water; None if none does.

    The plane is kept on the lowest point p of the rims, so that heel and trim are the only unknowns of two
    equations: the volume is held and B - G has no part along the trim. With V the volume, A, c and I the
    water plane's area, centroid and second moments, the plane turning by dn about p changes V by A dn . (p -
    c) and V B by A (c - B) dn . (p - c) - I dn: Newton's steps from there. lying: how it lies with this load
    before it heels.
    """
    if (
        not len(points)
        or lying.normal is None
        or lying.offset is None
        or lying.immersed is None
        or lying.trim is None
    ):
        return None
    volume = lying.mass / lying.density
    height = float((points @ lying.normal).min()) - lying.offset
    half_beam = max(float(np.abs(points[:, 1]).max()), 0.05 * body.size)
    found = _newton(points, body, volume, centre, side * math.atan(height / half_beam), lying.trim)
    if found is not None and 0 <= found.heel * side < math.pi:
        return found
    return _scanned(points, body, centre, lying, side)


def _newton(
    points: Array, body: Body, volume: float, centre: Array, heel: float, trim: float
) -> Flooding | None:
    for _ in range(_MOST_STEPS):
        n = up(heel, trim)
        heights = points @ n
        p = points[int(heights.argmin())]
        offset = float(heights.min())
        cut = body.immersed(n, offset)
        if cut.volume <= 0 or cut.plane_area <= 0:
            return None
        by_heel = np.array([0.0, -n[2], n[1]])  # of n
        sin, cos = math.sin(trim), math.cos(trim)
        by_trim = np.array([-cos, sin * math.sin(heel), -sin * math.cos(heel)])
        both = np.stack([by_heel, by_trim])
        arm = cut.centroid - centre
        missing, leverage = cut.volume - volume, float(arm @ by_trim)
        if abs(missing) <= _CLOSE * volume and abs(leverage) <= _CLOSE * body.size:
            return Flooding(heel, trim, n, offset, cut)
        lift = cut.plane_area * (both @ (p - cut.plane_centroid))
        shift = (
            lift[:, None] * (cut.plane_centroid - cut.centroid) - both @ cut.plane_second_moments
        ) / cut.volume
        turn = np.array([0.0, sin * math.cos(heel), sin * math.sin(heel)])
        slope = shift @ by_trim + np.array([arm @ turn, -(arm @ n)])
        det = float(lift[0] * slope[1] - lift[1] * slope[0])
        if abs(det) < 1e-300:
            return None
        d_heel = -(missing * slope[1] - leverage * lift[1]) / det
        d_trim = -(leverage * lift[0] - missing * slope[0]) / det
        longest = max(abs(d_heel), abs(d_trim)) / _STRIDE
        heel, trim = heel + d_heel / max(longest, 1.0), trim + d_trim / max(longest, 1.0)
        if not (abs(heel) < math.pi and abs(trim) < 1.4):
            return None
    return None


def _scanned(points: Array, body: Body, centre: Array, lying: Rest, side: float) -> Flooding | None:
    """The slow and sure way: heel it by 5 degrees at a time until a point is wet, then halve."""

    def height(heel: float, start: Rest) -> tuple[float, Rest]:
        at = at_heel(body, lying.mass, centre, lying.density, side * heel, start=start)
        assert at.normal is not None and at.offset is not None
        return float((points @ at.normal).min()) - at.offset, at

    dry, start = 0.0, lying
    for wet in np.radians(np.arange(5.0, 180.1, 5.0)):
        least, start = height(float(wet), start)
        if least <= 0:
            break
        dry = float(wet)
    else:
        return None
    low, high = dry, float(wet)
    while high - low > 1e-12:
        middle = (low + high) / 2
        least, start = height(middle, start)
        low, high = (low, middle) if least <= 0 else (middle, high)
    assert (
        start.normal is not None
        and start.offset is not None
        and start.immersed is not None
        and start.trim is not None
    )
    return Flooding(side * high, start.trim, start.normal, start.offset, start.immersed)
