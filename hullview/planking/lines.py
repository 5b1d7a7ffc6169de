"""The middles of strips laid edge to edge from the sheer, and anew from each knuckle: fronts of geodesics
shot square off it, half a strip's cover and then whole ones away."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from itertools import pairwise

import numpy as np

from hullview.arrays import Array
from hullview.planking.rays import Front, Rays, front, shoot, starts
from hullview.planking.skin import skin_spline
from hullview.shape.curve import chords
from hullview.shape.hull import SurfaceGrid

STEPS_A_STRIP = 2
MOST_STRIPS = 2000


@dataclass(frozen=True)
class StripLine:
    """The middle of one strip: number from the sheer, points (k, 3) [m] bow to stern, panel (0 at the sheer),
    and at each point (k,) its bend across the flat and edge-set [1/m] and its twist [rad/m].

    With unit normal N out of the boat, tangent T and curvature vector K of the line: bend = K . N, edge-set
    the part of K in the skin, twist = dN/ds . (N x T) (do Carmo, Differential Geometry of Curves and
    Surfaces, 3-2 and 4-4, from memory).
    """

    number: int
    points: Array
    bend: Array
    edge_set: Array
    twist: Array
    panel: int = 0

    @property
    def length(self) -> float:
        return float(chords(self.points)[-1])


def girths(grid: SurfaceGrid) -> Array:
    """Girth of the half section at each column [m], centre line to sheer."""
    return np.asarray(np.sqrt((np.diff(grid.points, axis=0) ** 2).sum(axis=2)).sum(axis=0))


def panels(grid: SurfaceGrid, sheer_row: int) -> list[Array]:
    """Rows (k,) of each panel between knuckles, the row nearest the sheer first, walking away from it."""
    rows = len(grid.points)
    stops = [0, *sorted(c for c in grid.corners if 0 < c < rows - 1), rows - 1]
    found = [np.arange(a, b + 1) for a, b in pairwise(stops)]
    return [rows[::-1] for rows in reversed(found)] if sheer_row else found


@lru_cache(maxsize=8)
def strip_lines(grid: SurfaceGrid, face: float, sheer_row: int = -1) -> tuple[StripLine, ...]:
    """The middles of strips laid from the sheer, from where they come onto the skin to where they leave it.

    face: width of skin a strip covers [m]; sheer_row: -1 where the grid's last row is the sheer (hull), 0
    where its first is (deck).
    """
    found: list[StripLine] = []
    for panel, rows in enumerate(panels(grid, sheer_row)):
        skin = skin_spline(grid.points[rows])
        outward = _outward(skin.at(np.array([0.5]), np.array([0.5])).normal, grid.normals[rows])
        rays = shoot(skin, starts(skin), face / STEPS_A_STRIP)
        for made in _fronts(rays, face):
            number, bend, twist = len(found) + 1, outward * made.bend, outward * made.twist
            found.append(StripLine(number, made.points, bend, made.edge_set, twist, panel))
    return tuple(found)


def _outward(normal: Array, normals: Array) -> float:
    """1 where the spline's normal points out of the boat as the grid's does, else -1."""
    middle = normals[len(normals) // 2, normals.shape[1] // 2]
    return 1.0 if float(normal[0] @ middle) >= 0 else -1.0


def _fronts(rays: Rays, face: float) -> list[Front]:
    found = []
    for k in range(MOST_STRIPS):
        made = front(rays, (k + 0.5) * face)
        # shorter than it is wide, and no strip
        if made is None or chords(made.points)[-1] < face:
            break
        found.append(made)
    return found


def stretches(wanted: Array) -> list[Array]:
    """The unbroken stretches of indices where `wanted` (n,) holds.

    >>> [x.tolist() for x in stretches(np.array([True, False, True, True]))]
    [[0], [2, 3]]
    """
    edges = np.flatnonzero(np.diff(np.concatenate([[False], wanted, [False]]).astype(int)))
    return [np.arange(a, b) for a, b in zip(edges[::2], edges[1::2])]


def longest(wanted: Array) -> Array:
    """The longest unbroken stretch of indices: a strip is one piece."""
    return max(stretches(wanted), key=len, default=np.zeros(0, dtype=int))
