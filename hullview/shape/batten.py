"""Where a batten through all the other points would pass: along a line of the table, and around a section.

Along a line the batten is a cubic spline that leans on the best quartic through the eight points nearest to
the one left out: stiff enough that one slip stands out, free enough to follow any fair line.
Around a section it is the spline that the section is drawn with.
"""

from __future__ import annotations

import bisect
import functools
import itertools
import math

import numpy as np

from hullview.arrays import Array
from hullview.shape.curve import spline

WINDOW = 9
"""Points of a line that are looked at together."""
DEGREE = 4
FEWEST = 5
"""A line with fewer points than this tells nothing of any one of them."""
REACH = 10
"""Points of a section on either side that have a say; those beyond move the batten by less than a
millionth."""
CROWDED = 0.02
"""Points of a section nearer than this share of its girth to the one before do not bend the batten between
them."""


@functools.lru_cache(maxsize=512)
def left_out(x: tuple[float, ...]) -> tuple[Array, Array]:
    """For points of a line at x (n,): the matrix (n, n) that turns their values into how far each lies off
    the batten through the others, and how much less surely than amidships it tells, (n,) of 1 or more; nan
    where it cannot tell.

    Kriging with a polynomial drift and |h|^3: with P the inverse of the covariance seen apart from the drift,
    the value left out is missed by (P v)_i / P_ii, with a spread of P_ii^-1/2.

    >>> r, s = left_out(tuple(range(12)))
    >>> v = np.arange(12.0) ** 3
    >>> v[5] += 6.0
    >>> round(float((r @ v)[5]), 6), round(float(s[5]), 3)
    (6.0, 1.0)
    """
    n = len(x)
    out, spread = np.zeros((n, n)), np.full(n, np.nan)
    if n < FEWEST:
        return out * np.nan, spread
    at = np.array(x)
    at = (at - at[0]) / float(np.median(np.diff(at)))
    p, at_first = np.zeros((0, 0)), -1
    for i in range(n):
        first = min(max(0, i - WINDOW // 2), max(0, n - WINDOW))
        last = min(n, first + WINDOW)
        if first != at_first:
            p, at_first = _precision(at[first:last]), first
        out[i, first:last] = p[i - first] / p[i - first, i - first]
        spread[i] = p[i - first, i - first] ** -0.5
    return out, np.maximum(spread / _spread_amidships(), 1.0)


def _precision(at: Array) -> Array:
    """P (n, n) of a window of points."""
    n = len(at)
    drift = np.vander((at - at.mean()) / (at[-1] - at[0]), min(DEGREE, n - 3) + 1)
    free = np.linalg.qr(drift, mode="complete")[0][:, drift.shape[1] :]
    cov = np.abs(at[:, None] - at[None]) ** 3 + 1e-3 * np.eye(n)
    return free @ np.linalg.solve(free.T @ cov @ free, free.T)


@functools.cache
def _spread_amidships() -> float:
    p = _precision(np.arange(float(WINDOW)))
    return float(p[WINDOW // 2, WINDOW // 2] ** -0.5)


def around(yz: Array, measured: Array, corner: Array, level: bool) -> Array:
    """How far each point of a section lies off the spline through the others [m], in the direction it was
    measured; (k,), nan if unknown.

    yz (k, 2): from the keel line to the sheer. measured (k, 2): the unit vector along which each was
    measured, nan for points that only bear the batten. corner (k,): where the section is broken. level: it
    crosses the centre line level.
    """
    girth = float(np.linalg.norm(np.diff(yz, axis=0), axis=1).sum())
    out = np.full(len(yz), np.nan)
    cuts = [0, *np.flatnonzero(corner[1:-1]) + 1, len(yz) - 1]
    for a, b in itertools.pairwise(cuts):
        for i in range(a + 1, b):
            if not np.isnan(measured[i, 0]):
                out[i] = _off_spline(yz[a : b + 1], i - a, measured[i], level and a == 0, girth)
    return out


def _off_spline(yz: Array, i: int, along: Array, level: bool, girth: float) -> float:
    """How far point i lies off the spline through the others, `along` (2,) a unit vector; nan where that
    spline does not come by."""
    points, keep = yz.tolist(), [0]
    for k in range(1, len(yz)):
        if k != i and (math.dist(points[k], points[keep[-1]]) > CROWDED * girth or k == len(yz) - 1):
            keep.append(k)
    nearest = bisect.bisect(keep, i)
    first, last = max(nearest - REACH, 0), nearest + REACH
    keep, level = keep[first:last], level and first == 0
    if len(keep) < 3 and not (level and len(keep) == 2):
        return np.nan
    curve, low, _ = spline(yz[keep], "start" if level else "")
    knots = curve.x[curve.x >= low - 1e-15]
    before = max(k for k, q in enumerate(keep) if q < i)
    t = np.linspace(knots[max(before - 1, 0)], knots[min(before + 2, len(knots) - 1)], 97)
    apart = curve(t) - yz[i]
    gap, ahead = apart @ np.array([-along[1], along[0]]), apart @ along
    cross = np.flatnonzero(gap[:-1] * gap[1:] <= 0)
    if not len(cross):
        return np.nan
    f = gap[cross] / np.where(gap[cross] == gap[cross + 1], 1.0, gap[cross] - gap[cross + 1])
    off = -(ahead[cross] + f * (ahead[cross + 1] - ahead[cross]))
    return float(off[np.argmin(np.abs(off))])
