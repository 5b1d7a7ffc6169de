"""Body: a closed mesh indexed once, then cut by any plane.

It knows nothing of water, wood or people: a cube tests it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from hullview.arrays import Array
from hullview.errors import UsageError
from hullview.shape import compiled
from hullview.shape.closed import checked
from hullview.shape.polygon import moments
from hullview.shape.tree import Crossing, Tree


@dataclass(frozen=True)
class Immersed:
    """What lies on the far side of a plane n . p = offset, the side n points away from.

    volume [m3]; centroid (3,) [m], nan where the volume is zero; wetted_area [m2] of the skin.
    plane_area [m2]; plane_centroid (3,) [m], nan where the plane misses; plane_second_moments (3, 3) [m4]:
    the integral of r r over the cut with r from its centroid, so zero along n.
    """

    volume: float
    centroid: Array
    wetted_area: float
    plane_area: float
    plane_centroid: Array
    plane_second_moments: Array

    def __repr__(self) -> str:
        return f"<Immersed: volume {self.volume:.6g} m3, water plane {self.plane_area:.6g} m2>"


class Body:
    """A closed triangle mesh: vertices (n, 3) [m], faces (m, 3), counter-clockwise seen from outside.

    A mesh that is open, inside out or empty raises `MeshError` and says what is wrong and where. Several
    bodies in one mesh are allowed.

    >>> corners = np.array([[x, y, z] for x in (0, 1) for y in (0, 1) for z in (0, 1)], float)
    >>> quads = [[0, 1, 3, 2], [4, 6, 7, 5], [0, 4, 5, 1], [2, 3, 7, 6], [0, 2, 6, 4], [1, 5, 7, 3]]
    >>> faces = [[a, b, c] for a, *rest in quads for b, c in zip(rest, rest[1:])]
    >>> cube = Body(corners, faces)
    >>> round(cube.volume, 12), round(cube.immersed((0, 0, 1), 0.25).volume, 12)
    (1.0, 0.25)
    """

    def __init__(self, vertices: ArrayLike, faces: ArrayLike):
        self._index(*checked(vertices, faces))

    def _index(self, vertices: Array, faces: Array, area_share: Array | None = None) -> None:
        self.vertices, self.faces = vertices, faces
        self.bare = self
        """The body itself, or where parts were added to it, the one without."""
        self._tree = Tree(vertices, faces, area_share)
        totals = self._tree.totals
        self.volume = float(totals[7] + totals[11] + totals[15]) / 3
        self.centroid: Array = totals[4:7] / (4 * self.volume) + self._tree.origin
        self.area = float(totals[3])
        self.size = self._tree.size
        """The longest side of its box along the axes [m]."""

    def with_parts(self, vertices: ArrayLike, faces: ArrayLike, area_share: ArrayLike) -> Body:
        """The body and closed parts that touch it from outside.

        Parameters
        ----------
        vertices : array_like, shape (k, 3)
            Of the parts [m].
        faces : array_like of int, shape (m, 3)
            Of the parts, counter-clockwise from outside.
        area_share : array_like, shape (m,)
            1 for skin the water touches, 0 for faces where parts meet, -1 where a part covers the body's own
            skin.

        Returns
        -------
        Body
            Whose `bare` is this one.
        """
        added = np.asarray(vertices, float)
        share = np.concatenate([np.ones(len(self.faces)), np.asarray(area_share, float)])
        faces = np.concatenate([self.faces, np.asarray(faces, self.faces.dtype) + len(self.vertices)])
        whole = signed_sum([(np.concatenate([self.vertices, added]), faces, 1)], share)
        whole.bare = self
        return whole

    @property
    def nbytes(self) -> int:
        """Memory held [bytes]."""
        return self._tree.nbytes + self.vertices.nbytes + self.faces.nbytes

    def immersed(self, normal: ArrayLike, offset: float) -> Immersed:
        """All that hydrostatics asks of the part where normal . p <= offset.

        Parameters
        ----------
        normal : array_like, shape (3,)
            Of the plane, upwards out of the water; of any length.
        offset : float
            Of the plane, in the normal's length [m].

        Returns
        -------
        Immersed

        Raises
        ------
        UsageError
            No plane: the normal is nought or a number is not finite.

        Notes
        -----
        Volume and centroid come from the wet faces alone, with the reference point p0 on the plane, which
        then needs no closing (divergence theorem)::

            V = 1/3 sum over wet triangles of (c - p0) . n A

        The plane's area, centroid and second moments come from the oriented cut of each crossed face by
        Green's theorem.
        """
        n, offset = _unit(normal, offset)
        tree, basis, loops = self._tree, plane_basis(n), compiled.in_use()
        below = offset - float(n @ tree.origin)
        if loops is not None:
            volume, moment, area, plane_area, centroid, second = tree.looped(loops, n, below, basis)
        else:
            volume, moment, area, crossing = tree.cut(n, below)
            plane_area, centroid, second = _inside(basis, crossing)
        if volume > 0:
            where = moment / volume + tree.origin
        else:
            volume, where = 0.0, np.full(3, np.nan)
        return Immersed(volume, where, area, plane_area, centroid + tree.origin, basis.T @ second @ basis)

    def section(self, normal: ArrayLike, offset: float) -> Array:
        """The cut of a plane as directed segments, counter-clockwise round the immersed part seen from
        where
        the normal points.

        Parameters
        ----------
        normal : array_like, shape (3,)
            Of the plane; of any length.
        offset : float
            Of the plane, in the normal's length [m].

        Returns
        -------
        ndarray, shape (k, 2, 3)
            From, to [m].

        Raises
        ------
        UsageError
            No plane: the normal is nought or a number is not finite.
        """
        n, offset = _unit(normal, offset)
        tree = self._tree
        crossing = tree.crossing(n, offset - float(n @ tree.origin))
        ends = np.stack([crossing.p.T, crossing.q.T], axis=1) + tree.origin
        backward = crossing.sign > 0
        ends[backward] = ends[backward, ::-1]
        return np.asarray(ends)

    def extent(self, normal: ArrayLike) -> tuple[float, float]:
        """Least and greatest normal . p over the body.

        Parameters
        ----------
        normal : array_like, shape (3,)

        Returns
        -------
        (float, float)
            [m], where the normal is a unit vector.
        """
        along = self.vertices @ np.asarray(normal, float)
        return float(along.min()), float(along.max())


def signed_sum(parts: Sequence[tuple[Array, Array, int]], area_share: Array | None = None) -> Body:
    """Closed meshes (vertices, faces, +1 or -1) as one body: what a part with -1 encloses is taken away.

    Sums over faces do not mind that parts touch or lie in one another, so a tank comes off the space it
    stands in. Not checked as a mesh of one solid would be: the parts must each be closed, and the sum must
    make sense. Areas and sections are those of all the skins.
    """
    vertices, faces, count = [], [], 0
    for points, triangles, sign in parts:
        vertices.append(points)
        faces.append((triangles if sign > 0 else triangles[:, ::-1]) + count)
        count += len(points)
    body = object.__new__(Body)
    body._index(np.concatenate(vertices), np.concatenate(faces), area_share)
    return body


def plane_basis(n: Array) -> Array:
    """Two unit vectors in the plane, as rows (2, 3): aft along it, then to starboard; with n they are
    right-handed.

    Where n lies along the boat, "aft" has no meaning in the plane and the height takes its place.

    >>> (plane_basis(np.array([0.0, 0.0, 1.0])) + 0.0).tolist()
    [[1.0, 0.0, 0.0], [0.0, 1.0, 0.0]]
    """
    x, y, z = n.tolist()
    if abs(x) < 0.9999:
        c = (1 - x * x) ** 0.5
        return np.array([[c, -x * y / c, -x * z / c], [0.0, z / c, -y / c]])
    c = (1 - z * z) ** 0.5
    return np.array([[-z * x / c, -z * y / c, c], [y / c, -x / c, 0.0]])


def _unit(normal: ArrayLike, offset: float) -> tuple[Array, float]:
    n = np.asarray(normal, float)
    length = float(np.sqrt(n @ n)) if n.shape == (3,) else 0.0
    if not (0 < length < np.inf and np.isfinite(offset)):
        raise UsageError(
            "a plane needs a normal of three finite numbers, not all zero, and a finite offset: got"
            f" {n.tolist()}, {offset}"
        )
    return n / length, float(offset) / length


def _inside(basis: Array, crossing: Crossing) -> tuple[float, Array, Array]:
    """Area, centroid (3,) and second moments (2, 2) inside the cut, in the plane's own axes."""
    area, centroid, second = moments(basis @ crossing.p, basis @ crossing.q, -crossing.sign)
    if area <= 0:
        return 0.0, np.full(3, np.nan), np.zeros((2, 2))
    at = crossing.p[:, 0]
    return area, basis.T @ (centroid - basis @ at) + at, second
