"""Area, centroid and second moments inside a closed line in a plane, by Green's theorem."""

from __future__ import annotations

import numpy as np

from hullview.arrays import Array


def moments(p: Array, q: Array, times: Array | float = 1.0) -> tuple[float, Array, Array]:
    """Of what directed segments enclose, whatever their order.

    Parameters
    ----------
    p, q : ndarray, shape (2, k)
        Starts and ends of the segments [m]; together they close. What is on their left counts as inside.
    times : ndarray, shape (k,), optional
        How often each counts; -1 for one that is given the wrong way round.

    Returns
    -------
    area : float
        [m2]; negative where the line runs clockwise.
    centroid : ndarray, shape (2,)
        [m]; nan where there is no area.
    second : ndarray, shape (2, 2)
        Second moments about the centroid [m4], of the sign of the area.

    Notes
    -----
    The integral of a polynomial over the inside is that of a form along the line; the figures are summed
    about the middle of the ends, so that a small line far out loses no digits.

    Examples
    --------
    >>> p = np.array([[0.0, 3, 3, 0], [0, 0, 2, 2]])
    >>> area, centroid, second = moments(p, np.roll(p, -1, axis=1))
    >>> area, centroid.tolist(), second.tolist()
    (6.0, [1.5, 1.0], [[4.5, 0.0], [0.0, 2.0]])
    """
    if not p.size:
        return 0.0, np.full(2, np.nan), np.zeros((2, 2))
    middle = (p.mean(axis=1) + q.mean(axis=1)) / 2
    (u1, v1), (u2, v2) = p - middle[:, None], q - middle[:, None]
    turn = (u1 * v2 - u2 * v1) * times
    area = float(turn.sum()) / 2
    if area == 0.0:
        return 0.0, np.full(2, np.nan), np.zeros((2, 2))
    u, v = u1 + u2, v1 + v2
    cu, cv = float(turn @ u) / (6 * area), float(turn @ v) / (6 * area)
    uu = float(turn @ (u1 * u1 + u * u2)) / 12 - area * cu * cu
    vv = float(turn @ (v1 * v1 + v * v2)) / 12 - area * cv * cv
    uv = float(turn @ (u * v + u1 * v1 + u2 * v2)) / 24 - area * cu * cv
    return area, middle + np.array([cu, cv]), np.array([[uu, uv], [uv, vv]])


def ring_area(ring: Array) -> float:
    """Area [m2] inside a ring of points (k, 2), positive counter-clockwise."""
    return moments(ring.T, np.roll(ring, -1, axis=0).T)[0]
