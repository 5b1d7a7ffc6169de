"""Is a mesh closed, the right way out and not empty: what is wrong with it, and where."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
from numpy.typing import ArrayLike

from hullview.arrays import Array
from hullview.errors import MeshError

_THIN = 1e-12
"""A body that fills less than this share of its box encloses nothing."""

_PROBES = 12
"""Points of each part tried against the others."""

_FAR = 1e6
"""No boat reaches this far [m]; products of coordinates stay finite below it."""


def checked(vertices: ArrayLike, faces: ArrayLike) -> tuple[Array, Array]:
    """Vertices (n, 3) float and faces (m, 3) int of a closed mesh turned outward, or a `MeshError`.

    Corners that lie exactly on one another are taken as one where the mesh is open without that.
    """
    return _proved(*_arrays(vertices, faces))


def _proved(vertices: Array, faces: Array) -> tuple[Array, Array]:
    odd, repeated = _unpaired(faces, len(vertices))
    if odd.size:
        _, first, same = np.unique(vertices + 0.0, axis=0, return_index=True, return_inverse=True)
        faces = first[same.ravel()][faces]
        odd, repeated = _unpaired(faces, len(vertices))
    if odd.size:
        raise MeshError(_how_open(vertices, faces, odd))
    if repeated:
        _refuse_doubled(vertices, faces)
    _refuse_empty_or_inside_out(vertices, faces)
    return vertices, faces


def _arrays(vertices: ArrayLike, faces: ArrayLike) -> tuple[Array, Array]:
    vertices = np.array(vertices, dtype=float, order="C")
    given = np.asarray(faces)
    if vertices.ndim != 2 or vertices.shape[1] != 3:
        raise MeshError(f"vertices must be an array of shape (n, 3), not {vertices.shape}.")
    if given.size == 0:
        raise MeshError("the mesh has no faces: it displaces nothing.")
    if given.ndim != 2 or given.shape[1] != 3:
        raise MeshError(f"faces must be an array of shape (m, 3), not {given.shape}. Triangulate the mesh.")
    if not np.issubdtype(given.dtype, np.integer):
        raise MeshError(f"faces must be whole numbers that count vertices from 0, not {given.dtype}.")
    if given.min() < 0 or given.max() >= len(vertices):
        bad = int(np.flatnonzero(((given < 0) | (given >= len(vertices))).any(axis=1))[0])
        raise MeshError(
            f"face {bad} names vertex {given[bad].tolist()}, and there are {len(vertices)} (from 0)."
        )
    if not np.isfinite(vertices).all():
        bad = int(np.flatnonzero(~np.isfinite(vertices).all(axis=1))[0])
        raise MeshError(
            f"vertex {bad} is {vertices[bad].tolist()}: every coordinate must be a finite number."
        )
    if np.abs(vertices).max() > _FAR:
        bad = int(np.abs(vertices).max(axis=1).argmax())
        raise MeshError(
            f"vertex {bad} lies at {vertices[bad].tolist()} m: more than {_FAR:g} m off. Are the units right?"
        )
    return vertices, given.astype(np.int32 if len(vertices) < 2**31 else np.int64)


def _unpaired(faces: Array, count: int) -> tuple[Array, bool]:
    """Edges (as low * count + high) walked more often one way than the other, and whether any is walked
    twice one way."""
    start = faces.astype(np.int64)
    end = start[:, [1, 2, 0]].ravel()
    start = start.ravel()
    up = np.sort((start * count + end)[start < end])
    down = np.sort((end * count + start)[start > end])
    repeated = bool((up[1:] == up[:-1]).any())
    if up.size == down.size and (up == down).all():
        return up[:0], repeated
    edges, times_up = np.unique(up, return_counts=True)
    more, times_down = np.unique(down, return_counts=True)
    balance = dict(zip(edges.tolist(), times_up.tolist()))
    for edge, times in zip(more.tolist(), times_down.tolist()):
        balance[edge] = balance.get(edge, 0) - times
    return np.array([edge for edge, net in balance.items() if net], np.int64), repeated


def _how_open(vertices: Array, faces: Array, odd: Array) -> str:
    count = len(vertices)
    ends = vertices[np.stack([odd // count, odd % count])]
    x, y, z = ends.mean(axis=0)[0]
    where = f"the first near x {x:.4g}, y {y:.4g}, z {z:.4g} m"
    pairs = np.sort(
        np.concatenate([faces[:, [0, 1]], faces[:, [1, 2]], faces[:, [2, 0]]]).astype(np.int64), axis=1
    )
    keys, times = np.unique(pairs[:, 0] * count + pairs[:, 1], return_counts=True)
    edges = f"{odd.size} edge" + ("s" if odd.size > 1 else "")
    if (times[np.isin(keys, odd)] % 2 == 0).all():
        return (
            f"faces are turned different ways: {edges} where neighbours disagree which side is outside,"
            f" {where}. Turn them all outward."
        )
    return (
        f"the mesh is open: {edges} with a face on one side only, {where}. Close it (a deck or a lid at the"
        " sheer will do)."
    )


def _refuse_doubled(vertices: Array, faces: Array) -> None:
    """The same face twice the same way round; edges alone may be shared by more, where parts touch."""
    turned = np.take_along_axis(faces, (faces.argmin(axis=1)[:, None] + np.arange(3)) % 3, axis=1)
    turned = turned[
        (turned[:, 0] != turned[:, 1]) & (turned[:, 1] != turned[:, 2]) & (turned[:, 0] != turned[:, 2])
    ]
    kinds, times = np.unique(turned, axis=0, return_counts=True)
    if (times > 1).any():
        x, y, z = vertices[kinds[times > 1][0]].mean(axis=0)
        raise MeshError(
            f"{int((times > 1).sum())} faces are in the mesh more than once, the first near x {x:.4g}, y"
            f" {y:.4g}, z {z:.4g} m. Remove the doubles: their water would count twice."
        )


def _flux(vertices: Array, faces: Array) -> Array:
    """Six times the volume of the tetrahedron from the middle of the box to each face (m,)."""
    corners = (vertices - (vertices.min(axis=0) + vertices.max(axis=0)) / 2).T
    (ax, ay, az), (bx, by, bz), (cx, cy, cz) = (corners[:, faces[:, i]] for i in range(3))
    return np.asarray(ax * (by * cz - bz * cy) + ay * (bz * cx - bx * cz) + az * (bx * cy - by * cx))


def _refuse_empty_or_inside_out(vertices: Array, faces: Array) -> None:
    flux = _flux(vertices, faces)
    volume = float(flux.sum()) / 6
    box = float(np.prod(np.ptp(vertices[faces.ravel()], axis=0)))
    if not abs(volume) > _THIN * box > 0:
        raise MeshError(
            f"the mesh encloses no volume ({volume:.3g} m3): it is flat, or its parts cancel out."
        )
    part_of_vertex = _parts(faces, len(vertices))
    parts = part_of_vertex[faces[:, 0]]
    if parts.max() == 0:
        if volume < 0:
            raise MeshError(
                f"the mesh is inside out (its volume comes to {volume:.4g} m3): turn every face round."
            )
        return
    _refuse_wrong_parts(vertices, faces, parts, flux)


def _parts(faces: Array, count: int) -> Array:
    """A number for each vertex, the same for all that faces join; 0 for every vertex in use where all is
    one piece."""
    from scipy.sparse import coo_array
    from scipy.sparse.csgraph import connected_components

    ones = np.ones(2 * len(faces), np.int8)
    joined = coo_array((ones, (faces[:, [0, 0]].ravel(), faces[:, [1, 2]].ravel())), shape=(count, count))
    label = connected_components(joined, directed=False)[1]
    used = np.zeros(int(label.max()) + 1, bool)
    used[label[faces[:, 0]]] = True
    return np.asarray((np.cumsum(used) - 1)[label])


def _refuse_wrong_parts(vertices: Array, faces: Array, parts: Array, flux: Array) -> None:
    """Each part must be solid and outside the others, or a hollow turned inward inside one of them; none
    may cross another."""
    count = int(parts.max()) + 1
    volumes = np.bincount(parts, weights=flux) / 6
    order = np.argsort(parts, kind="stable")
    starts = np.searchsorted(parts[order], np.arange(count + 1))
    groups = [faces[order[i:j]] for i, j in pairwise(starts)]
    boxes = [vertices[np.unique(group)] for group in groups]
    low, high = np.array([b.min(axis=0) for b in boxes]), np.array([b.max(axis=0) for b in boxes])
    for part, group in enumerate(groups):
        some = group[np.linspace(0, len(group) - 1, min(len(group), _PROBES)).astype(int)]
        points = np.concatenate([vertices[some].mean(axis=1), vertices[some[:, 0]]])
        near = np.flatnonzero((low <= high[part]).all(axis=1) & (high >= low[part]).all(axis=1))
        others = [groups[i] for i in near.tolist() if i != part]
        turns = (
            [sum(_winding(vertices, other, point) for other in others) for point in points]
            if others
            else [0.0]
        )
        inside = {round(t) for t in turns if abs(t - round(t)) < 0.1} or {0}  # between: where the two touch
        x, y, z = vertices[group.ravel()].mean(axis=0)
        what = f"the part around x {x:.4g}, y {y:.4g}, z {z:.4g} m"
        if len(inside) > 1:
            raise MeshError(
                f"{what} crosses another: the water of both would count twice. Join them into one, or move"
                " them apart."
            )
        if volumes[part] < 0 and max(inside) < 1:
            raise MeshError(f"{what} is inside out ({volumes[part]:.4g} m3): turn its faces round.")
        if volumes[part] > 0 and max(inside) > 0:
            raise MeshError(
                f"{what} lies inside another: its water would count twice. Remove it, or turn it inward if it"
                " is hollow."
            )
    if volumes.sum() <= 0:
        raise MeshError(
            f"the mesh encloses no volume: its parts come to {volumes.sum():.3g} m3. Turn those that are"
            " inside out."
        )


def _winding(vertices: Array, faces: Array, point: Array) -> float:
    """How many times closed faces go round a point: the sum of their solid angles over 4 pi (van Oosterom
    and Strackee 1983)."""
    a, b, c = (vertices[faces[:, i]] - point for i in range(3))
    la, lb, lc = (np.sqrt((v * v).sum(axis=1)) for v in (a, b, c))
    triple = (a * np.cross(b, c)).sum(axis=1)
    below = la * lb * lc + (a * b).sum(axis=1) * lc + (b * c).sum(axis=1) * la + (c * a).sum(axis=1) * lb
    turn = np.arctan2(triple, below)
    turn[np.abs(triple) <= 1e-12 * la * lb * lc] = (
        0.0  # seen edgewise; or the point lies on the face, which is half a turn short
    )
    return float(turn.sum()) / (2 * np.pi)
