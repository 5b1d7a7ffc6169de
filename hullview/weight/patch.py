"""What a weight per area or per length is spread over: its size, its centre and its second moments, from
triangles and segments.

Nothing here knows of boats: a cube tests it.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np

from hullview.arrays import Array
from hullview.shape.clip import crossed, kept
from hullview.shape.polygon import moments
from hullview.shape.vectors import unit


@dataclass(frozen=True)
class Spread:
    """size: area [m2] or length [m] (or 1 for a piece); centre (3,) [m]; second (3, 3): mean of p p^T over
    it [m2]."""

    size: float
    centre: Array
    second: Array

    def both_sides(self) -> Spread:
        """The same and its mirror image across the centre line."""
        keep = np.array([[1, 0, 1], [0, 1, 0], [1, 0, 1]])
        return Spread(2 * self.size, self.centre * np.array([1.0, 0.0, 1.0]), self.second * keep)

    def scaled(self, k: float) -> Spread:
        """The same place with k times the size."""
        return Spread(k * self.size, self.centre, self.second)


NOTHING = Spread(0.0, np.zeros(3), np.zeros((3, 3)))


def joined(parts: Iterable[Spread]) -> Spread:
    """All parts as one."""
    parts = tuple(p for p in parts if p.size != 0)
    size = sum(p.size for p in parts)
    if size <= 0:
        return NOTHING
    centre = sum((p.size * p.centre for p in parts), np.zeros(3)) / size
    second = sum((p.size * p.second for p in parts), np.zeros((3, 3))) / size
    return Spread(float(size), centre, second)


def less(whole: Spread, part: Spread) -> Spread:
    """What is left of a whole when a part of it is taken out."""
    return joined((whole, part.scaled(-1.0))) if part.size > 0 else whole


def at_point(point: Iterable[float], size: float = 1.0) -> Spread:
    """All in one place."""
    p = np.array(tuple(point), dtype=float)
    return Spread(size, p, np.outer(p, p))


def over_triangles(triangles: Array) -> Spread:
    """Spread evenly over triangles (m, 3, 3): mean of p p^T is (sum of p p^T over the corners + 9 c c^T) /
    12.

    >>> flat = np.array([[[0.0, 0, 0], [3, 0, 0], [0, 3, 0]]])
    >>> float(over_triangles(flat).size), over_triangles(flat).centre.tolist()
    (4.5, [1.0, 1.0, 0.0])
    """
    # one row a coordinate: long rows are several times faster here than triples
    a, b, c = (np.ascontiguousarray(triangles[:, i].T) for i in range(3))
    area = 0.5 * np.sqrt((_cross(b - a, c - a) ** 2).sum(axis=0))
    total = float(area.sum())
    if total <= 0:
        return NOTHING
    three = a + b + c
    # not by matrix products: for so few rows their threads cost more than they save
    second = sum((np.einsum("im,jm->ij", v * area, v) for v in (three, a, b, c)), np.zeros((3, 3)))
    return Spread(total, (three * area).sum(axis=1) / (3 * total), second / (12 * total))


def _cross(u: Array, v: Array) -> Array:
    """Cross product of vectors held as columns, (3, m)."""
    return np.stack([u[1] * v[2] - u[2] * v[1], u[2] * v[0] - u[0] * v[2], u[0] * v[1] - u[1] * v[0]])


def over_segments(segments: Array, weights: Array | None = None) -> Spread:
    """Spread along segments (m, 2, 3), each with the weight at its two ends (m, 2) (None: 1).

    size is the integral of the weight along the length, so with a section area [m2] as the weight it is a
    volume.
    """
    a, b = segments[:, 0], segments[:, 1]
    length = np.sqrt(((b - a) ** 2).sum(axis=1))
    w = np.ones((len(segments), 2)) if weights is None else weights
    u, v = w[:, 0], w[:, 1]
    size = float((length * (u + v) / 2).sum())
    if size <= 0:
        return NOTHING
    centre = (length * (2 * u + v) / 6) @ a + (length * (u + 2 * v) / 6) @ b
    aa, ab, bb = length * (3 * u + v) / 12, length * (u + v) / 12, length * (u + 3 * v) / 12
    second = (a * aa[:, None]).T @ a + (b * bb[:, None]).T @ b
    cross = (a * ab[:, None]).T @ b
    return Spread(size, centre / size, (second + cross + cross.T) / size)


@dataclass(frozen=True)
class Skinned:
    """Part of a closed mesh that is planked: faces (m, 3) into vertices (n, 3); inward: (n, 3), how a vertex
    moves for 1 m of thickness so that every face round it moves 1 m along its own normal (a mitre at
    corners)."""

    vertices: Array
    faces: Array
    inward: Array

    def triangles(self, depth: float = 0.0) -> Array:
        """The triangles (m, 3, 3) of the surface `depth` [m] inside the outer one."""
        v = self.vertices if depth == 0 else self.vertices + depth * self.inward
        return np.asarray(v[self.faces])


_THIN = 1e-6
"""Sine of a corner below which a triangle is taken as a line."""


def skinned(vertices: Array, faces: Array) -> Skinned:
    """Vertex normals weighted by the corners' angles, n, then inward = -n / |n|^2: exact where planes meet at
    equal angles.

    At a knife edge |n|^2 is held at 1/4, so that a point moves at most twice the thickness.
    """
    if len(faces) == 0:
        return Skinned(vertices, faces, np.zeros_like(vertices))
    a, b, c = (np.ascontiguousarray(vertices[faces[:, i]].T) for i in range(3))
    ab, bc, ca = unit(b - a, 0), unit(c - b, 0), unit(a - c, 0)
    normal = _cross(ab, bc)
    # A triangle whose corners lie in a line has no normal but what rounding makes, and a half turn of angle
    # at its middle corner.
    sound = np.sqrt((normal**2).sum(axis=0)) > _THIN
    normal = np.where(sound, unit(normal, 0), 0.0)
    n = len(vertices)
    whole, mean = np.zeros(n), np.zeros((3, n))
    for i, (to, back) in enumerate(((ab, ca), (bc, ab), (ca, bc))):
        angle = np.where(sound, np.arccos(np.clip(-(to * back).sum(axis=0), -1.0, 1.0)), 0.0)
        corner = faces[:, i]
        whole += np.bincount(corner, angle, n)
        for j in range(3):
            mean[j] += np.bincount(corner, angle * normal[j], n)
    mean /= np.maximum(whole, 1e-300)
    if not sound.all():
        mean = _from_neighbours(mean, whole > 0, faces[~sound])
    return Skinned(vertices, faces, -(mean / np.maximum((mean**2).sum(axis=0), 0.25)).T)


def _from_neighbours(mean: Array, known: Array, lines: Array) -> Array:
    """Normals (3, n) where all faces of a vertex are lines: the mean of those beside it along them, from
    the known ones inward."""
    while True:
        reached = lines[(known[lines].any(axis=1)) & ~known[lines].all(axis=1)]
        if len(reached) == 0:
            return mean
        corner, sums = reached.ravel(), (mean[:, reached] * known[reached]).sum(axis=2)
        count = np.bincount(corner, np.repeat(known[reached].sum(axis=1), 3), len(known))
        new = ~known & (count > 0)
        for j in range(3):
            mean[j, new] = np.bincount(corner, np.repeat(sums[j], 3), len(known))[new] / count[new]
        known = known | new


def below(triangles: Array, values: Array, limit: float) -> tuple[Array, Array]:
    """The parts of triangles (m, 3, 3) where a value given at the corners (m, 3) is at or below a limit:
    cut, with their values."""
    parts = kept(np.dstack([triangles, values]), *crossed(values - limit, values <= limit))
    return parts[..., :3], parts[..., 3]


def between(triangles: Array, values: Array, low: float, high: float) -> Array:
    """The parts of triangles where a value given at the corners lies between two limits."""
    cut, v = below(triangles, values, high)
    return below(cut, -v, -low)[0]


def clipped_segments(
    segments: Array, weights: Array, start: float | None, end: float | None
) -> tuple[Array, Array]:
    """The parts of segments (m, 2, 3), weights (m, 2), whose x lies between two limits [m]."""
    for limit, sign in ((start, -1.0), (end, 1.0)):
        if limit is None:
            continue
        s = sign * (segments[:, :, 0] - limit)
        share = np.clip(s[:, 0] / np.where(s[:, 0] == s[:, 1], 1.0, s[:, 0] - s[:, 1]), 0.0, 1.0)
        cut = segments[:, 0] + share[:, None] * (segments[:, 1] - segments[:, 0])
        cut_weight = weights[:, 0] + share * (weights[:, 1] - weights[:, 0])
        segments, weights = segments.copy(), weights.copy()
        for i in (0, 1):
            out = s[:, i] > 0
            segments[out, i], weights[out, i] = cut[out], cut_weight[out]
        keep = (s <= 0).any(axis=1)
        segments, weights = segments[keep], weights[keep]
    return segments, weights


def section(vertices: Array, faces: Array, x: float) -> tuple[float, Array, Array, float]:
    """The cut of a closed mesh by the plane at x: area [m2], centre (3,), second moments (3, 3) as `Spread`,
    perimeter [m].

    The faces crossed give directed segments; Green's theorem gives the rest.
    """
    s = vertices[faces, 0] - x
    _, met = crossed(s, s <= 0)
    ends = met.ends(met.turned(vertices[faces]))[..., 1:]
    p, q = ends[:, 0].T, ends[:, 1].T
    area, centroid, about = moments(p, q, np.where(met.tip_inside, 1.0, -1.0))
    if abs(area) < 1e-12:
        return 0.0, np.zeros(3), np.zeros((3, 3)), 0.0
    where = np.array([x, *centroid])
    second = np.outer(where, where)
    second[1:, 1:] += about / area
    return abs(area), where, second, float(np.sqrt(((q - p) ** 2).sum(axis=0)).sum())
