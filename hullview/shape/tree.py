"""Blocks of faces in a tree, so that a plane asks only the faces it crosses.

Faces are ordered in space and cut into leaves of 16; 16 blocks make one of the next level. A block carries
its box and the sums of n, x n, x (x . n) and area over its faces, from which volume and centroid follow for
any plane: with the reference point on the plane, tetrahedra from it to the cap have no volume, so wet faces
alone give both.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise

import numpy as np

from hullview.arrays import Array
from hullview.shape.compiled import FAN, Loops

_FEW = 2048
"""The topmost level is looked at whole; more blocks than this get one more level over them."""
_AT_ONCE = FAN * 2**14
"""Faces summed at once, so that a great mesh is not held twice over while it is indexed."""
_SLACK = 1e-13
"""A block nearer to the plane than this share of the body's size is opened, so that rounding of a box never
disagrees with rounding of a corner."""

# By the wet corners of a face as a number of three bits: does the whole face count (all three wet, or two:
# then less the dry corner's triangle), which corner is alone on its side, and is that corner wet (+1) or dry
# (-1).
_WHOLE = np.array([0, 0, 0, 1, 0, 1, 1, 1], bool)
_CROSSED = np.array([0, 1, 1, 1, 1, 1, 1, 0], bool)
_LONE = np.array([0, 0, 1, 2, 2, 1, 0, 0])
_SIGN = np.array([0.0, 1.0, 1.0, -1.0, 1.0, -1.0, -1.0, 0.0])

_CORNERS = np.array([[0, 1, 2], [1, 2, 0], [2, 0, 1]])  # the lone corner first, the others as they follow
_D_ROWS = (_CORNERS * FAN).T.copy()  # (3 corners, 3 lone) into a leaf's heights
_X_ROWS = np.concatenate([_D_ROWS + axis * 3 * FAN for axis in range(3)])  # (9, 3) into a leaf's coordinates


def _morton(points: Array) -> Array:
    """Order of points (n, 3) along a curve that keeps neighbours together: the bits of the three cell
    numbers woven."""
    low = points.min(axis=0)
    size = float((points.max(axis=0) - low).max()) or 1.0
    cell = ((points - low) * (2047.0 / size)).astype(np.int64)
    for shift, mask in ((32, 0x1F00000000FFFF), (16, 0x1F0000FF0000FF), (8, 0x100F00F00F00F00F)):
        cell = (cell | (cell << shift)) & mask
    cell = (cell | (cell << 4)) & 0x10C30C30C30C30C3
    cell = (cell | (cell << 2)) & 0x1249249249249249
    return np.argsort(cell[:, 0] | (cell[:, 1] << 1) | (cell[:, 2] << 2))


def _padded(faces: Array) -> Array:
    """Faces of no size at the end, so that every block of every level is full."""
    full = FAN
    while len(faces) / full > _FEW:
        full *= FAN
    missing = -len(faces) % full
    return np.concatenate([faces, np.broadcast_to(faces[-1:, :1], (missing, 3))])


def _sums(rows: Array) -> Array:
    """What a leaf carries (leaves, 16): sums over its faces of n, area, x . n times centre, and centre
    times n."""
    each = np.empty((len(rows), 16))
    each[:, :4] = rows[:, :4]
    each[:, 4:7] = rows[:, 4:5] * rows[:, 5:]
    each[:, 7:] = (rows[:, 5:, None] * rows[:, None, :3]).reshape(-1, 9)
    return np.asarray(each.reshape(-1, FAN, 16).sum(axis=1))


@dataclass(frozen=True)
class _Level:
    """Blocks of one size: boxes (blocks, 6) as centre and half-size, sums (blocks, 16) as `_sums` has
    them."""

    boxes: Array
    sums: Array

    @cached_property
    def families(self) -> tuple[Array, Array]:
        """The same, 16 brothers to a row."""
        return self.boxes.reshape(-1, FAN, 6), self.sums.reshape(-1, FAN, 16)


@dataclass(frozen=True)
class Crossing:
    """The faces a plane crosses: ends p and q (3, k) of the cut of each, and the sign that makes p -> q run
    the one way.

    sign is +1 where the face's lone corner is wet; then q -> p runs counter-clockwise round the water plane
    seen from above.
    """

    p: Array
    q: Array
    sign: Array


class Tree:
    """The faces of a closed mesh, indexed once; everything inside is measured from `origin`.

    area_share (n,): how much of each face's area counts as skin; all of it if not given.
    """

    def __init__(self, vertices: Array, faces: Array, area_share: Array | None = None):
        low, high = vertices.min(axis=0), vertices.max(axis=0)
        self.origin = (low + high) / 2
        self.size = float((high - low).max())
        points = vertices - self.origin
        order = _morton(points[faces[:, 0]] + points[faces[:, 1]] + points[faces[:, 2]])
        corners = points[_padded(faces[order])]  # (n, 3 corners, 3 axes)
        a, b, c = corners[:, 0], corners[:, 1], corners[:, 2]
        area_vector = np.cross(b - a, c - a) / 2
        # n, area, x . n, centre: a face in eight numbers
        rows = np.empty((len(corners), 8))
        rows[:, :3] = area_vector
        rows[:, 3] = np.sqrt((area_vector**2).sum(axis=1))
        if area_share is not None:
            rows[: len(order), 3] *= area_share[order]
        rows[:, 4] = (area_vector * a).sum(axis=1)
        rows[:, 5:] = (a + b + c) / 3
        self._rows = rows
        # (leaf, 9 coordinates, 16 faces): the three corners' x, their y, their z
        self._leaves = np.ascontiguousarray(corners.reshape(-1, FAN, 3, 3).transpose(0, 3, 2, 1)).reshape(
            -1, 9, FAN
        )
        self._levels = self._built()
        self._boxes, self._block_sums, self._starts = self._joined()
        self.totals = self._levels[-1].sums.sum(axis=0)

    def _built(self) -> tuple[_Level, ...]:
        points = self._leaves.reshape(-1, 3, 3 * FAN)
        low, high = points.min(axis=2), points.max(axis=2)
        sums = np.concatenate(
            [_sums(self._rows[i : i + _AT_ONCE]) for i in range(0, len(self._rows), _AT_ONCE)]
        )
        levels = []
        while True:
            levels.append(_Level(np.hstack([(low + high) / 2, (high - low) / 2]), sums))
            if len(low) <= _FEW:
                return tuple(levels)
            low, high = low.reshape(-1, FAN, 3).min(axis=1), high.reshape(-1, FAN, 3).max(axis=1)
            sums = sums.reshape(-1, FAN, 16).sum(axis=1)

    def _joined(self) -> tuple[Array, Array, Array]:
        """Boxes and sums of all levels one after the other, the leaves first, and where each level starts;
        the levels become views of them."""
        starts = np.cumsum([0, *(len(level.boxes) for level in self._levels)])
        boxes, sums = (np.concatenate([getattr(v, key) for v in self._levels]) for key in ("boxes", "sums"))
        self._levels = tuple(_Level(boxes[a:b], sums[a:b]) for a, b in pairwise(starts))
        return boxes, sums, starts

    @property
    def nbytes(self) -> int:
        """Memory of the index [bytes]."""
        return (
            self._rows.nbytes
            + self._leaves.nbytes
            + sum(v.boxes.nbytes + v.sums.nbytes for v in self._levels)
        )

    def _descend(self, n: Array, offset: float) -> tuple[Array, Array]:
        """Sums (16,) over the blocks that are wholly wet, and the leaves that the plane crosses."""
        slack = _SLACK * (self.size + abs(offset))
        ends = np.empty((6, 2))
        ends[:3] = n[:, None]
        ends[3:, 0] = np.abs(n)
        ends[3:, 1] = -ends[3:, 0]
        top = self._levels[-1]
        heights = top.boxes @ ends
        wet = heights[:, 0] < offset - slack
        sums = wet.astype(float) @ top.sums
        ids = np.flatnonzero(~wet & (heights[:, 1] <= offset + slack))
        for level in reversed(self._levels[:-1]):
            boxes, family_sums = level.families
            heights = boxes.take(ids, axis=0).reshape(-1, 6) @ ends
            wet = heights[:, 0] < offset - slack
            sums += wet.astype(float) @ family_sums.take(ids, axis=0).reshape(-1, 16)
            open_ = np.flatnonzero(~wet & (heights[:, 1] <= offset + slack))
            ids = ids[open_ >> 4] * FAN + (open_ & 15)
        return sums, ids

    def _open(self, ids: Array, n: Array, offset: float) -> tuple[Array, Array, Array, Array]:
        """Coordinates, heights and wet-corner codes of the faces in some leaves; the places of those that are
        crossed.

        Heights are sums of products one element at a time: a corner shared by faces gets the same height in
        each.
        """
        x = self._leaves.take(ids, axis=0)
        d = x[:, 0:3] * n[0]
        d += x[:, 3:6] * n[1]
        d += x[:, 6:9] * n[2]
        d -= offset
        wet = (d <= 0).view(np.uint8)
        code = (wet[:, 0] + 2 * wet[:, 1] + 4 * wet[:, 2]).ravel()
        return x.ravel(), d.ravel(), code, np.flatnonzero(_CROSSED[code])

    @staticmethod
    def _lone(x: Array, d: Array, code: Array, at: Array) -> tuple[Array, Array, Array, Array, Array, Array]:
        """Crossed faces as (lone corner a, a -> p, a -> q, (3, k) each, shares of the two edges, sign)."""
        kind = code[at]
        lone = _LONE[kind]
        leaf, place = at >> 4, at & 15
        x = x.take(_X_ROWS[:, lone] + (leaf * (9 * FAN) + place))
        da, db, dc = d.take(_D_ROWS[:, lone] + (leaf * (3 * FAN) + place))
        share_b, share_c = da / (da - db), da / (da - dc)
        a = x[0::3]
        return a, (x[1::3] - a) * share_b, (x[2::3] - a) * share_c, share_b, share_c, _SIGN[kind]

    def cut(self, n: Array, offset: float) -> tuple[float, Array, float, Crossing]:
        """Volume, its first moment about the origin (3,), wetted area, and the crossed faces, below n . x
        = offset."""
        sums, ids = self._descend(n, offset)
        p0 = n * offset
        along = float(sums[7] + sums[11] + sums[15] - sums[:3] @ p0)
        moment = sums[4:7] - sums[7:].reshape(3, 3) @ p0
        area = float(sums[3])
        x, d, code, at = self._open(ids, n, offset)
        whole = np.flatnonzero(_WHOLE[code])
        rows = self._rows.take(ids[whole >> 4] * FAN + (whole & 15), axis=0)
        flux = rows[:, 4] - rows[:, :3] @ p0
        moment += flux @ rows[:, 5:]
        along += float(flux.sum())
        area += float(rows[:, 3].sum())
        a, ap, aq, share_b, share_c, sign = self._lone(x, d, code, at)
        rows = self._rows.take(ids[at >> 4] * FAN + (at & 15), axis=0)
        small = share_b * share_c * sign
        area += float(small @ rows[:, 3])
        flux = (rows[:, 4] - rows[:, :3] @ p0) * small
        moment += (a + (ap + aq) / 3) @ flux
        along += float(flux.sum())
        # tetrahedra from p0: a third of the flux; centres three quarters of the way from p0 to the face
        volume = along / 3
        return volume, moment / 4 + p0 * (volume / 4), area, Crossing(a + ap, a + aq, sign)

    def looped(
        self, loops: Loops, n: Array, offset: float, basis: Array
    ) -> tuple[float, Array, float, float, Array, Array]:
        """Volume, its first moment (3,), wetted area, and the plane's area, centroid (3,) and second moments
        (2, 2) in the axes of `basis`, by compiled loops."""
        wet, crossed = np.zeros(16), np.empty(len(self._leaves), np.int64)
        slack = _SLACK * (self.size + abs(offset))
        count = loops.gather(self._boxes, self._block_sums, self._starts, n, offset, slack, wet, crossed)
        p0 = n * offset
        found, segments = np.zeros(5), np.empty((FAN * count, 7))
        found[0] = wet[7] + wet[11] + wet[15] - wet[:3] @ p0
        found[1:4] = wet[4:7] - wet[7:].reshape(3, 3) @ p0
        found[4] = wet[3]
        cut = loops.opened(self._leaves, self._rows, crossed[:count], n, offset, found, segments)
        volume = float(found[0]) / 3
        moment = found[1:4] / 4 + p0 * (volume / 4)
        of_plane = np.zeros(9)
        if cut:
            loops.plane(segments[:cut], basis, of_plane)
        area = float(of_plane[0])
        if area <= 0:
            return volume, moment, float(found[4]), 0.0, np.full(3, np.nan), np.zeros((2, 2))
        centroid = of_plane[3:6] + of_plane[1:3] @ basis
        uu, vv, uv = of_plane[6:].tolist()
        return volume, moment, float(found[4]), area, centroid, np.array([[uu, uv], [uv, vv]])

    def crossing(self, n: Array, offset: float) -> Crossing:
        """Only the crossed faces."""
        ids = self._descend(n, offset)[1]
        a, ap, aq, _, _, sign = self._lone(*self._open(ids, n, offset))
        return Crossing(a + ap, a + aq, sign)
