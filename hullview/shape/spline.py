"""Cubic splines through given points, as slopes at the points: fast to make for the few points of a
section or a row, and easy to turn."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from hullview.arrays import Array

FEW = 64
"""Points up to which a dense solver is the faster."""


@dataclass(frozen=True)
class Spline:
    """A piecewise cubic: knots x (n,), values (n, ...) and slopes (n, ...) there; carried on beyond its ends.

    >>> s = through_points(np.arange(6.0), np.arange(6.0) ** 3)
    >>> round(float(s(2.5)), 9), round(float(s(7.0)), 6)
    (15.625, 343.0)
    """

    x: Array
    values: Array
    slopes: Array

    def __call__(self, at: Array | float) -> Array:
        """Values at parameters `at` (...)."""
        at = np.asarray(at, float)
        i = np.clip(np.searchsorted(self.x, at, side="right") - 1, 0, len(self.x) - 2)
        h = self.x[i + 1] - self.x[i]
        u = (at - self.x[i]) / h
        more = (...,) + (None,) * (self.values.ndim - 1)
        uu, v = u * u, 1.0 - u
        start, end = (1.0 + 2.0 * u) * v * v, uu * (3.0 - 2.0 * u)
        leave, reach = h * u * v * v, -h * uu * v
        return np.asarray(
            start[more] * self.values[i]
            + end[more] * self.values[i + 1]
            + leave[more] * self.slopes[i]
            + reach[more] * self.slopes[i + 1]
        )


def through_points(x: Array, values: Array) -> Spline:
    """The cubic spline through values (n, ...) at knots x (n,), its second derivative continuous.

    At the first and last inner knot the third is continuous as well, so that any cubic is met exactly; with
    three points it is a parabola, with two a straight line.
    """
    x, values = np.asarray(x, float), np.asarray(values, float)
    h = np.diff(x)
    flat = values.reshape(len(x), -1)
    chord = np.diff(flat, axis=0) / h[:, None]
    if len(x) == 2:
        slopes = np.repeat(chord, 2, axis=0)
    elif len(x) == 3:
        bend = (chord[1] - chord[0]) / (h[0] + h[1])
        slopes = np.stack([chord[0] - bend * h[0], chord[0] + bend * h[0], chord[1] + bend * h[1]])
    else:
        slopes = _slopes(h, chord)
    return Spline(x, values, slopes.reshape(values.shape))


def _slopes(h: Array, chord: Array) -> Array:
    """Slopes (n, d) at the knots from the spans h (n - 1,) and the slopes of the chords (n - 1, d).

    h_k s_k-1 + 2 (h_k-1 + h_k) s_k + h_k-1 s_k+1 = 3 (h_k c_k-1 + h_k-1 c_k) for the second derivative, and
    at either end one equation more for the third.
    """
    above, middle, below, right = (part[0] for part in _equations(h[None], chord[None]))
    if len(middle) <= FEW:
        matrix = np.diag(middle) + np.diag(above[:-1], 1) + np.diag(below[1:], -1)
        return np.linalg.solve(matrix, right)
    from scipy.linalg import solve_banded

    banded = np.stack([np.append(0.0, above[:-1]), middle, np.append(below[1:], 0.0)])
    return np.asarray(solve_banded((1, 1), banded, right))


def _equations(h: Array, chord: Array) -> tuple[Array, Array, Array, Array]:
    """Above, on and below the diagonal (m, n), and the right side (m, n, d), of m splines at once: row k of a
    system reads below_k s_k-1 + middle_k s_k + above_k s_k+1 = right_k."""
    m, n = h.shape[0], h.shape[1] + 1
    wide = h[..., None]
    right = np.empty((m, n, chord.shape[2]))
    right[:, 1:-1] = 3.0 * (wide[:, 1:] * chord[:, :-1] + wide[:, :-1] * chord[:, 1:])
    both, other = wide[:, 0] + wide[:, 1], wide[:, -1] + wide[:, -2]
    right[:, 0] = ((wide[:, 0] + 2 * both) * wide[:, 1] * chord[:, 0] + wide[:, 0] ** 2 * chord[:, 1]) / both
    right[:, -1] = (
        (wide[:, -1] + 2 * other) * wide[:, -2] * chord[:, -1] + wide[:, -1] ** 2 * chord[:, -2]
    ) / other
    above, middle, below = np.zeros((m, n)), np.empty((m, n)), np.zeros((m, n))
    middle[:, 1:-1], above[:, 1:-1], below[:, 1:-1] = 2.0 * (h[:, :-1] + h[:, 1:]), h[:, :-1], h[:, 1:]
    middle[:, 0], above[:, 0], middle[:, -1], below[:, -1] = h[:, 1], both[:, 0], h[:, -2], other[:, 0]
    return above, middle, below, right


def slopes_of_many(x: Array, values: Array) -> Array:
    """Slopes (m, n, d) at their knots of the m splines of `through_points`, through values (m, n, d) at knots
    x (m, n), n of 4 or more: one elimination for all (Thomas's, the systems being tridiagonal)."""
    h = np.diff(x, axis=1)
    above, middle, below, right = _equations(h, np.diff(values, axis=1) / h[..., None])
    for k in range(1, x.shape[1]):
        share = below[:, k] / middle[:, k - 1]
        middle[:, k] -= share * above[:, k - 1]
        right[:, k] -= share[:, None] * right[:, k - 1]
    right[:, -1] /= middle[:, -1, None]
    for k in range(x.shape[1] - 2, -1, -1):
        right[:, k] = (right[:, k] - above[:, k, None] * right[:, k + 1]) / middle[:, k, None]
    return right
