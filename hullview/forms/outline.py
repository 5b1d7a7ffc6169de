"""The sawn shape of a form: hull and deck edges or legs closed to one outline, both halves, notched, holed
and relieved for a round tool."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

import numpy as np

from hullview.arrays import Array
from hullview.forms.clamp import Notch
from hullview.forms.edges import Trued
from hullview.forms.section import crossing
from hullview.shape.vectors import unit
from hullview.weight.customs import customs

if TYPE_CHECKING:
    from shapely import Polygon

LEAST_PIECE = 2e-4
"""What falls off and is smaller is waste [m2]."""
SHARP = np.radians(25)
"""An inner corner that turns by more is relieved for a round tool."""
NEARLY, LEAST_EDGE = 1e-4, 2e-4
"""Where the outline is looked over for corners it may be off by so much, and an edge shorter than the
other makes none [m]."""
ROUND_TO = 1e-5
"""The sides of a round hole lie no further off the circle [m]."""
FLIP = np.array([-1.0, 1.0])


def half_ring(side: Array, deck: Array | None) -> Array:
    """The half outline (k, 2) of a decked form from its centre line at the keel round to its centre line
    at the deck."""
    assert deck is not None
    tail = side[max(0, len(side) - 120) :]
    past = np.vstack([tail, tail[-1] + unit(tail[-1] - tail[-2]) * 0.05])
    found = crossing(past, deck)
    if found is None:
        return np.concatenate([side, deck])
    i, j, point = found
    upto = len(side) - len(tail) + i + 1
    return np.concatenate([side[: min(upto, len(side))], [point], deck[j + 1 :]])


def legged_ring(side: Array, set_up: float, ladder: float) -> Array:
    """The half outline (k, 2) of an open form with a leg up to the set-up line, to stand upside down on a
    ladder of that width."""
    shop = customs()
    end = side[-1] + unit(side[-1] - side[-2]) * shop["edge_past_sheer"]
    outer = min(ladder / 2, float(end[0]))
    inner = outer - shop["leg"]
    top = [[outer, end[1]], [outer, set_up]] if outer < end[0] - 1e-6 else [[outer, set_up]]
    if inner < 0.5 * shop["leg"]:
        top += [[0.0, set_up]]
    else:
        top += [[inner, set_up], [inner, end[1]], [0.0, end[1]]]
    return np.concatenate([side, [end], top])


def whole(half: Array) -> Polygon:
    """Both halves of an outline (k, 2) that begins and ends on the centre line or beside it."""
    from shapely import Polygon

    other = half[::-1] * FLIP
    other = other[1:] if half[-1, 0] < 1e-9 else other
    other = other[:-1] if half[0, 0] < 1e-9 else other
    return Polygon(np.concatenate([half, other]))


def notched(shape: Polygon, notches: Sequence[Notch]) -> tuple[Polygon, ...]:
    """The shape less its notches, both sides: in one piece, or where notches meet across it in several,
    the largest first."""
    from shapely import MultiPolygon, Polygon

    left = shape
    for n in notches:
        for ring in (n.corners, n.corners * FLIP):
            left = left.difference(Polygon(ring).buffer(0))
    pieces = list(left.geoms) if isinstance(left, MultiPolygon) else [left]
    kept = [p for p in pieces if p.area > LEAST_PIECE]
    return tuple(sorted(kept, key=lambda p: -p.area))


def relieved(shape: Polygon, tool: float) -> Polygon:
    """The shape with a hole of the tool's size at each sharp inner corner, through the corner itself, so
    that a square stick goes home."""
    from shapely import Polygon, union_all

    plain = shape.simplify(NEARLY)  # two corners next to one another are one to the tool
    rings = [plain.exterior, *plain.interiors]
    holes = []
    for ring in rings:
        p = np.array(ring.coords)[:-1]
        before, after = p - np.roll(p, 1, axis=0), np.roll(p, -1, axis=0) - p
        a, b = np.linalg.norm(before, axis=1), np.linalg.norm(after, axis=1)
        ok = (a > 1e-9) & (b > 1e-9)
        turn = np.zeros(len(p))
        cross = before[:, 0] * after[:, 1] - before[:, 1] * after[:, 0]
        turn[ok] = np.arctan2(cross[ok], (before * after).sum(axis=1)[ok])
        # the wood lies on the left of an outer ring that runs anticlockwise, on the right of a hole that does
        inner = (turn < -SHARP) if ring.is_ccw == (ring is rings[0]) else (turn > SHARP)
        for k in np.flatnonzero(inner & (a > LEAST_EDGE) & (b > LEAST_EDGE)):
            into = unit(after[k] / b[k] - before[k] / a[k])
            x, y = p[k] + into * tool / 2
            holes.append(round_hole((float(x), float(y)), tool))
    if not holes:
        return shape
    left = shape.difference(union_all(holes))
    return left if isinstance(left, Polygon) else max(left.geoms, key=lambda g: g.area)


def with_hole(shape: Polygon, hole: Polygon) -> Polygon:
    """The shape less a hole; what is left in one piece, the largest."""
    from shapely import Polygon

    left = shape.difference(hole)
    return left if isinstance(left, Polygon) else max(left.geoms, key=lambda g: g.area)


def round_hole(at: tuple[float, float], size: float) -> Polygon:
    """A round hole of a diameter [m]."""
    from shapely import Point

    quarter = np.pi / 4 / np.arccos(1 - ROUND_TO / max(size / 2, 2 * ROUND_TO))
    return Point(at).buffer(size / 2, quad_segs=int(np.ceil(quarter)))


def rings_of(shape: Polygon) -> tuple[Array, ...]:
    """The closed rings (k, 2) of a shape, outer first, the first point not repeated."""
    return tuple(np.array(r.coords)[:-1] for r in (shape.exterior, *shape.interiors))


def closed_shape(side: Trued, deck: Trued | None, set_up: float | None, ladder: float) -> Polygon:
    """The whole outline of a form before anything is cut out of it."""
    if deck is not None:
        half = half_ring(side.cut, deck.cut)
    else:
        assert set_up is not None
        half = legged_ring(side.cut, set_up, ladder)
    if half[0, 0] > 1e-9:
        half = np.vstack([[0.0, half[0, 1]], half])
    return whole(half)
