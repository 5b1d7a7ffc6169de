"""A skin as a smooth surface: a tensor cubic spline over the share of a row's length and the mean share of
girth, with its slopes and second derivatives.

u runs from the bow, 0, to the stern, 1, along a row; v from the edge that strips are laid from, 0, to the
other, 1. Splining by row number instead of by girth was 1.6 mm wrong between rows that lie unevenly.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from hullview.arrays import Array
from hullview.shape.curve import chords

COLUMNS = 161
PAST = 0.08
"""Share of its rows' length by which a skin is carried on past each end, straight along them: a strip's first
line has to reach past a stem for the strips below it to cover the skin up to there."""
LEAST_END = 0.02
"""An end shorter than this [m] is a point, which rows run into: there is nothing to carry on."""


@dataclass(frozen=True)
class Slopes:
    """At points of a surface: place p, first derivatives pu, pv, second puu, puv, pvv, each (n, 3)."""

    p: Array
    pu: Array
    pv: Array
    puu: Array
    puv: Array
    pvv: Array

    @cached_property
    def metric(self) -> tuple[Array, Array, Array]:
        """E, F, G of the first fundamental form (n,)."""
        return (
            (self.pu * self.pu).sum(axis=1),
            (self.pu * self.pv).sum(axis=1),
            (self.pv * self.pv).sum(axis=1),
        )

    @cached_property
    def determinant(self) -> Array:
        """E G - F^2 (n,), never less than a little."""
        e, f, g = self.metric
        return np.asarray(np.maximum(e * g - f * f, 1e-14))

    @cached_property
    def normal(self) -> Array:
        """Unit normals along pu x pv (n, 3)."""
        return np.asarray(np.cross(self.pu, self.pv) / np.sqrt(self.determinant)[:, None])

    @cached_property
    def second(self) -> tuple[Array, Array, Array]:
        """L, M, N of the second fundamental form (n,), along `normal`."""
        n = self.normal
        return (self.puu * n).sum(axis=1), (self.puv * n).sum(axis=1), (self.pvv * n).sum(axis=1)

    @property
    def gauss(self) -> Array:
        """Gauss curvature (n,) [1/m2]."""
        big, m, n = self.second
        return np.asarray((big * n - m * m) / self.determinant)

    def components(self, vector: Array) -> tuple[Array, Array]:
        """A vector in the tangent planes (n, 3) as parts along pu and pv, (n,) each."""
        e, f, g = self.metric
        a, b = (vector * self.pu).sum(axis=1), (vector * self.pv).sum(axis=1)
        return (g * a - f * b) / self.determinant, (e * b - f * a) / self.determinant

    def bends(self, one: Array, other: Array) -> Array:
        """The second fundamental form of two tangent vectors (n, 3): for a unit vector twice, its normal
        curvature [1/m]."""
        a, b = self.components(one), self.components(other)
        big, m, n = self.second
        return np.asarray(big * a[0] * b[0] + m * (a[0] * b[1] + a[1] * b[0]) + n * a[1] * b[1])


@dataclass(frozen=True, eq=False)
class SkinSpline:
    """A bicubic spline: u (columns,), v (rows,), nodes (rows, columns, 4, 3) with value, slope along u, along
    v and the mixed second derivative. The skin itself lies within 0 and 1 both ways; u goes on past it."""

    u: Array
    v: Array
    nodes: Array

    def at(self, u: Array, v: Array) -> Slopes:
        """The surface at parameters u, v (n,); beyond its edges the last cubic is carried on."""
        i = np.clip(np.searchsorted(self.u, u, side="right") - 1, 0, len(self.u) - 2)
        # an end itself is the skin's, not of what is carried on past it
        i = np.where(np.abs(u - 1.0) < 1e-9, np.searchsorted(self.u, 1.0 - 1e-6) - 1, i)
        i = np.where(np.abs(u) < 1e-9, np.searchsorted(self.u, 1e-6) - 1, i)
        j = np.clip(np.searchsorted(self.v, v, side="right") - 1, 0, len(self.v) - 2)
        h, k = self.u[i + 1] - self.u[i], self.v[j + 1] - self.v[j]
        along, across = _cubics((u - self.u[i]) / h, h), _cubics((v - self.v[j]) / k, k)
        # the corners of each cell, by which end along u and which along v: value and slope each way
        cell = np.empty((len(u), 4, 4, 3))
        for a in (0, 1):
            for b in (0, 1):
                node = self.nodes[j + b, i + a]
                cell[:, a, b], cell[:, 2 + a, b] = node[:, 0], node[:, 1]
                cell[:, a, 2 + b], cell[:, 2 + a, 2 + b] = node[:, 2], node[:, 3]
        strips = [np.einsum("na,nabk->nbk", w, cell) for w in along]
        return Slopes(
            *(
                np.einsum("nb,nbk->nk", across[q], strips[p])
                for p, q in ((0, 0), (1, 0), (0, 1), (2, 0), (1, 1), (0, 2))
            )
        )


def _cubics(s: Array, h: Array) -> tuple[Array, Array, Array]:
    """Weights (n, 4) of start and end value and start and end slope at s of a span h long: for the value, its
    first and second derivative."""
    t = 1.0 - s
    return (
        np.stack([(1 + 2 * s) * t * t, s * s * (3 - 2 * s), h * s * t * t, -h * s * s * t], axis=1),
        np.stack([-6 * s * t / h, 6 * s * t / h, t * (1 - 3 * s), s * (3 * s - 2)], axis=1),
        np.stack([(12 * s - 6) / h**2, (6 - 12 * s) / h**2, (6 * s - 4) / h, (6 * s - 2) / h], axis=1),
    )


def skin_spline(points: Array) -> SkinSpline:
    """The surface through rows of points (rows, columns, 3) [m], the row that strips are laid from first.

    Each row is taken at equal shares of its own length; columns of the grid lean towards a stem and change
    their spacing there.
    """
    from scipy.interpolate import CubicSpline

    share = np.linspace(0.0, 1.0, COLUMNS)
    rows = np.empty((len(points), COLUMNS, 3))
    for i, row in enumerate(points):
        apart = np.append(True, np.linalg.norm(np.diff(row, axis=0), axis=1) > 1e-9)
        s = chords(row[apart])
        rows[i] = CubicSpline(s, row[apart], axis=0)(share * s[-1])
    v = np.linalg.norm(np.diff(rows, axis=0), axis=2)[:, 1:-1].mean(axis=1)
    v = np.concatenate([[0.0], np.cumsum(v)])
    v /= v[-1]
    pu, pv = CubicSpline(share, rows, axis=1)(share, 1), CubicSpline(v, rows, axis=0)(v, 1)
    puv = CubicSpline(v, pu, axis=0)(v, 1)
    return _carried_past(share, v, np.stack([rows, pu, pv, puv], axis=2))


def _carried_past(u: Array, v: Array, nodes: Array) -> SkinSpline:
    """The surface carried on straight along its rows past each end that is no point."""

    def on(column: int, by: float) -> Array:
        p, pu, pv, puv = (nodes[:, column, k] for k in range(4))
        return np.stack([p + by * pu, pu, pv + by * puv, puv], axis=1)[:, None]

    def wide(column: int) -> bool:
        return bool(np.linalg.norm(np.diff(nodes[:, column, 0], axis=0), axis=1).sum() > LEAST_END)

    before, after = wide(0), wide(-1)
    parts = [on(0, -PAST)] * before + [nodes] + [on(-1, PAST)] * after
    u = np.concatenate([[-PAST] * before, u, [1.0 + PAST] * after])
    return SkinSpline(u, v, np.concatenate(parts, axis=1))
