"""A part of a closed mesh, cut off by planes and closed again."""

from __future__ import annotations

import numpy as np

from hullview.arrays import Array
from hullview.shape.clip import crossed

Mesh = tuple[Array, Array]
"""Vertices (n, 3) [m], faces (m, 3) counter-clockwise seen from outside."""


def part(mesh: Mesh, *planes: tuple[Array, float]) -> Mesh:
    """What is left of a closed mesh where n . p <= offset for every plane (n, offset); no faces where nothing
    is.

    A cut is closed by a fan from one point: its triangles may overlap where it is not star-shaped, which sums
    over faces do not mind; its drawn area is not to be used.
    """
    for normal, offset in planes:
        mesh = _halved(mesh, np.asarray(normal, float), float(offset))
    return mesh


def enclosed(mesh: Mesh) -> float:
    """Volume inside a closed mesh [m3]."""
    vertices, faces = mesh
    if not len(faces):
        return 0.0
    corners = vertices - vertices[faces[0, 0]]
    a, b, c = (corners[faces[:, i]] for i in range(3))
    return float((a * np.cross(b, c)).sum()) / 6


def _halved(mesh: Mesh, n: Array, offset: float) -> Mesh:
    vertices, faces = mesh
    height = vertices @ n - offset
    wet = height <= 0
    if not len(faces) or wet[faces].all():
        return mesh
    if not wet[faces].any():
        return vertices[:0], faces[:0]
    whole, met = crossed(height[faces], wet[faces])
    turned = met.turned(faces)
    one, two = turned[met.tip_inside], turned[~met.tip_inside]
    # from wet to dry
    crossings = np.concatenate([one[:, [0, 1]], one[:, [0, 2]], two[:, [1, 0]], two[:, [2, 0]]])
    edges, which = np.unique(crossings, axis=0, return_inverse=True)
    share = height[edges[:, 0]] / (height[edges[:, 0]] - height[edges[:, 1]])
    meet = vertices[edges[:, 0]] + share[:, None] * (vertices[edges[:, 1]] - vertices[edges[:, 0]])
    ab, ac, ba, ca = np.split(which.ravel() + len(vertices), np.cumsum([len(one), len(one), len(two)]))
    middle = np.full(len(one) + len(two), len(vertices) + len(meet))
    # the cut of each face as its wet part has it
    left, right = np.concatenate([ab, ca]), np.concatenate([ac, ba])
    made = [
        faces[whole],
        np.column_stack([one[:, 0], ab, ac]),
        np.column_stack([two[:, 1], two[:, 2], ca]),
        np.column_stack([two[:, 1], ca, ba]),
        np.column_stack([middle, right, left]),
    ]
    return _used(np.concatenate([vertices, meet, meet.mean(axis=0, keepdims=True)]), np.concatenate(made))


def _used(vertices: Array, faces: Array) -> Mesh:
    """The same without vertices that no face uses."""
    used = np.zeros(len(vertices), bool)
    used[faces] = True
    return vertices[used], (np.cumsum(used) - 1)[faces]
