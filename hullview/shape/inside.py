"""The spaces inside a hull that water can fill: its inside cut at bulkheads, less tanks and flotation."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from hullview.arrays import Array
from hullview.boat.model import Bulkhead, Flotation, Tank
from hullview.shape.body import Body, signed_sum
from hullview.shape.hull import Hull
from hullview.shape.part import Mesh, enclosed, part

_AFT, _SIDE, _UP = np.eye(3)
_LEAST = 1e-6
"""A space under this [m3] is none."""


@dataclass(frozen=True)
class Space:
    """A space that fills as one. parts: the closed meshes it is the sum of (+1) and less (-1: tanks,
    flotation in it).

    start, end [m] aft; rims (k, 3): points where water comes in, none where it is sealed. kind: "compartment"
    or "tank".
    """

    name: str
    kind: str
    start: float
    end: float
    rims: Array
    parts: tuple[tuple[Array, Array, int], ...]

    @property
    def open(self) -> bool:
        return len(self.rims) > 0

    @property
    def body(self) -> Body:
        return signed_sum(self.parts)


def spaces(
    hull: Hull,
    solids: float,
    bulkheads: Sequence[Bulkhead] = (),
    tanks: Sequence[Tank] = (),
    flotation: Sequence[Flotation] = (),
) -> tuple[Space, ...]:
    """Compartments between watertight bulkheads, then the tanks.

    solids: volume of wood, cloth and resin [m3], spread as one thickness over its skin, so that it displaces
    it where it is. Flotation is taken as a cube about its centre, or where that would stand out through the
    skin, as what is inside of a greater one.
    """
    inside = inner_skin(hull, solids)
    low, high = float(inside[0][:, 0].min()), float(inside[0][:, 0].max())
    walls = sorted({b.position for b in bulkheads if b.watertight and low < b.position < high})
    rims = np.concatenate([np.empty((0, 3)), *(line.points for line in hull.flooding)])
    out = []
    for i, (start, end) in enumerate(pairwise((low, *walls, high))):
        room = part(inside, (-_AFT, -start), (_AFT, end))
        parts = [(*room, 1)]
        parts += [
            (*piece, -1) for tank in tanks for piece in tank_parts(room, tank) if enclosed(piece) > _LEAST
        ]
        parts += [
            (*_fitted(f, room), -1)
            for f in flotation
            if start <= f.at[0] < end or (end == high and f.at[0] >= high)
        ]
        if sum(sign * enclosed((v, f)) for v, f, sign in parts) > _LEAST:
            here = rims[(rims[:, 0] >= start) & (rims[:, 0] <= end)]
            out.append(Space(_named(i, len(walls)), "compartment", start, end, here, tuple(parts)))
    for tank in tanks:
        pieces = [(*piece, 1) for piece in tank_parts(inside, tank) if enclosed(piece) > _LEAST]
        if pieces:
            out.append(Space(tank.name, "tank", tank.start, tank.end, np.empty((0, 3)), tuple(pieces)))
    return tuple(out)


def _named(i: int, walls: int) -> str:
    if not walls:
        return "inside"
    if i in (0, walls):
        return "forward compartment" if i == 0 else "after compartment"
    return "middle compartment" if walls == 2 else f"compartment {i + 1}"


def tank_parts(room: Mesh, tank: Tank) -> list[Mesh]:
    """What of a tank lies in a room: one piece, or one on each side where it stands outboard of a
    half-breadth."""
    planes = [(-_AFT, -tank.start), (_AFT, tank.end)]
    if tank.top is not None:
        planes.append((_UP, tank.top))
    cut = part(room, *planes)
    if tank.inboard is None:
        return [cut]
    return [part(cut, (-_SIDE, -tank.inboard)), part(cut, (_SIDE, -tank.inboard))]


def _fitted(flotation: Flotation, room: Mesh) -> Mesh:
    """Its cube; where that stands out of the room, the part inside of one that is greater till it holds the
    volume: out there it would keep no water out."""
    centre, volume = np.array(flotation.at, float), flotation.volume

    def inside(half: float) -> Mesh:
        return part(
            room,
            *(
                (sign * axis, sign * c + half)
                for axis, c in zip((_AFT, _SIDE, _UP), centre)
                for sign in (1, -1)
            ),
        )

    half = volume ** (1 / 3) / 2
    if enclosed(inside(half)) > (1 - 1e-9) * volume:
        return _cube(flotation)
    low, high = half, float(np.abs(room[0] - centre).max())
    if enclosed(room) <= volume:
        return room
    while high - low > 1e-6 * half:
        middle = (low + high) / 2
        low, high = (middle, high) if enclosed(inside(middle)) < volume else (low, middle)
    return inside(high)


def _cube(flotation: Flotation) -> Mesh:
    side = flotation.volume ** (1 / 3)
    corners = np.array([[x, y, z] for x in (-1, 1) for y in (-1, 1) for z in (-1, 1)], float) * side / 2
    quads = ((0, 1, 3, 2), (4, 6, 7, 5), (0, 4, 5, 1), (2, 3, 7, 6), (0, 2, 6, 4), (1, 5, 7, 3))
    faces = np.array([[q[0], q[i], q[i + 1]] for q in quads for i in (1, 2)])
    return corners + np.array(flotation.at), faces


def inner_skin(hull: Hull, solids: float) -> Mesh:
    """The hull's mesh drawn inward over its skin, never over its lids, until it holds `solids` [m3] less."""
    vertices, faces = np.asarray(hull.vertices, float), np.asarray(hull.faces)
    if not solids > 0:
        return vertices, faces
    names = np.array([name.rstrip(" 0123456789") for name in hull.regions])
    skin = faces[~np.isin(names[hull.region_of_face], ("lid",))]
    a, b, c = (vertices[skin[:, i]] for i in range(3))
    vectors = np.cross(b - a, c - a)
    normal = np.zeros_like(vertices)
    for i in range(3):
        np.add.at(normal, skin[:, i], vectors)
    length = np.sqrt((normal**2).sum(axis=1, keepdims=True))
    normal = np.divide(normal, length, out=np.zeros_like(normal), where=length > 0)
    area = float(np.sqrt((vectors**2).sum(axis=1)).sum()) / 2
    whole, depth = enclosed((vertices, faces)), solids / area
    for _ in range(4):
        taken = whole - enclosed((vertices - depth * normal, faces))
        depth *= solids / taken
    return vertices - depth * normal, faces
