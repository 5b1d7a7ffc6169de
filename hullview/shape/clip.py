"""Triangles cut along the line where a value, linear over each of them, is nought."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from hullview.arrays import Array


@dataclass(frozen=True)
class Crossed:
    """The triangles that the line crosses, each with the corner first that is alone on its side (the tip).

    which (k,): their numbers; order (k, 3): their corners from the tip on, turned as before; share (k, 2):
    how far along from the tip to the second and to the third corner the line lies; tip_inside (k,): whether
    the tip is on the side that is kept.
    """

    which: Array
    order: Array
    share: Array
    tip_inside: Array

    def turned(self, of: Array) -> Array:
        """What the corners (m, 3, ...) of all triangles carry, for those crossed and from the tip on."""
        return np.asarray(of[self.which[:, None], self.order])

    def ends(self, turned: Array) -> Array:
        """The same (k, 2, ...) where the line crosses the tip's two edges, from `turned` (k, 3, ...)."""
        share = self.share.reshape(*self.share.shape, *(1,) * (turned.ndim - 2))
        return np.asarray(turned[:, :1] + share * (turned[:, 1:] - turned[:, :1]))


def crossed(values: Array, inside: Array) -> tuple[Array, Crossed]:
    """Sort triangles by which of their corners are inside.

    Parameters
    ----------
    values : ndarray, shape (m, 3)
        At the corners of each triangle; nought on the line.
    inside : ndarray of bool, shape (m, 3)
        Corners on the side that is kept: all whose value is negative, with or without those on the line.

    Returns
    -------
    whole : ndarray of bool, shape (m,)
        Triangles that are wholly inside.
    crossed : Crossed
        Those that are partly so.

    Examples
    --------
    >>> values = np.array([[-1.0, 1.0, 3.0]])
    >>> whole, met = crossed(values, values < 0)
    >>> bool(whole[0]), met.share.tolist(), met.tip_inside.tolist()
    (False, [[0.5, 0.25]], [True])
    """
    count = inside.sum(axis=1)
    which = np.flatnonzero((count == 1) | (count == 2))
    tip_inside = count[which] == 1
    tip = np.argmax(inside[which] == tip_inside[:, None], axis=1)
    order = (tip[:, None] + np.arange(3)) % 3
    value = values[which[:, None], order]
    return count == 3, Crossed(which, order, value[:, :1] / (value[:, :1] - value[:, 1:]), tip_inside)


def kept(triangles: Array, whole: Array, met: Crossed) -> Array:
    """What of triangles (m, 3, ...) is inside, cut and divided into triangles again (n, 3, ...)."""
    turned = met.turned(triangles)
    ends = met.ends(turned)
    tips, rest = met.tip_inside, ~met.tip_inside
    p, q = ends[:, 0], ends[:, 1]
    return np.concatenate(
        [
            triangles[whole],
            np.stack([turned[tips, 0], p[tips], q[tips]], axis=1),
            np.stack([p[rest], turned[rest, 1], turned[rest, 2]], axis=1),
            np.stack([p[rest], turned[rest, 2], q[rest]], axis=1),
        ]
    )
