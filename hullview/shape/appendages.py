"""What is hung on the hull on its centre line: skegs, outer keels, outer stems, as closed prisms outside the
skin.

The outline less the hull's own profile is cut into upright slabs between all corners and crossings, so that
no edges cross within a slab: what remains there are trapezia. Each becomes a closed prism across the boat.
Nothing inside the hull counts twice, and neither does skin: faces where prisms meet count for nothing, those
laid on the hull take off what they cover.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import pairwise

import numpy as np

from hullview.arrays import Array
from hullview.boat.model import Appendage
from hullview.errors import ShapeError
from hullview.shape.body import Body
from hullview.shape.hull import Hull

_THIN = 1e-9
"""Slabs and gaps under this [m] are nothing."""
_OUTLINE, _HULL = 0, 1


@dataclass(frozen=True)
class _Edges:
    """Edges (k, 2, 2) of the profile plane (x, z), and whose each is: the outline's, or of what is there
    already."""

    ends: Array
    owner: Array

    def heights(self, x: float, spanning: Array) -> Array:
        (x0, z0), (x1, z1) = np.moveaxis(self.ends[spanning], 0, -1)
        return np.asarray(z0 + (z1 - z0) * ((x - x0) / (x1 - x0)))


@dataclass(frozen=True)
class _Trapezium:
    """Between two stations (x0, x1): heights of the lower and upper edge at both, whose each edge is."""

    x: tuple[float, float]
    low: tuple[float, float]
    high: tuple[float, float]
    owners: tuple[int, int]


@dataclass(frozen=True)
class _Slab:
    x: tuple[float, float]
    kept: tuple[_Trapezium, ...]
    hull: tuple[tuple[float, float], ...]
    """Intervals of height at its middle that are taken already."""


def body_of(hull: Hull, appendages: Sequence[Appendage] = ()) -> Body:
    """The hull's mesh, ready to be cut, with its appendages where it has any: `.bare` is then the hull alone.

    The bodies of the last few hulls are kept: a study asks for those of its fine and its coarse mesh again
    and again.
    """
    return _body_of(hull, tuple(appendages))


@lru_cache(maxsize=4)
def _body_of(hull: Hull, appendages: tuple[Appendage, ...]) -> Body:
    bare = _body_of(hull, ()) if appendages else Body(hull.vertices, hull.faces)
    vertices, faces, shares = [], [], []
    count = 0
    for appendage, slabs in zip(appendages, _all_slabs(bare, appendages)):
        for v, f, share in _prisms(slabs, appendage):
            vertices.append(v)
            faces.append(f + count)
            shares.append(share)
            count += len(v)
    return (
        bare.with_parts(np.concatenate(vertices), np.concatenate(faces), np.concatenate(shares))
        if vertices
        else bare
    )


def outside_of(hull: Hull, appendages: Sequence[Appendage]) -> tuple[tuple[Array, ...], ...]:
    """For each appendage the pieces of its outline outside the hull and outside those before it, corners
    (4, 2) of (x, z), anticlockwise."""
    if not appendages:
        return ()
    return tuple(
        tuple(
            np.array([(p.x[0], p.low[0]), (p.x[1], p.low[1]), (p.x[1], p.high[1]), (p.x[0], p.high[0])])
            for slab in slabs for p in slab.kept
        )
        for slabs in _all_slabs(body_of(hull), appendages)
    )  # fmt: skip


def _all_slabs(bare: Body, appendages: Sequence[Appendage]) -> list[list[_Slab]]:
    """Slabs of each appendage in turn; what an earlier one takes up is not there for the next."""
    found, taken = [], np.empty((0, 2, 2))
    for appendage in appendages:
        outline = _outline(appendage)
        found.append(_slabs(bare, outline, appendage.thickness, taken))
        taken = np.concatenate([taken, outline])
    return found


def _outline(appendage: Appendage) -> Array:
    points = np.array(appendage.outline, float)
    if len(points) < 3:
        raise ShapeError(
            f"appendage {appendage.name!r}: an outline needs three points or more, [aft of the datum,"
            " height]."
        )
    if not appendage.thickness > 0:
        raise ShapeError(f"appendage {appendage.name!r}: its thickness must be more than 0.")
    return np.stack([points, np.roll(points, -1, axis=0)], axis=1)


def _slabs(bare: Body, outline: Array, thickness: float, taken: Array) -> list[_Slab]:
    """The profile between the ends of the outline, slab by slab.

    The hull's profile is taken a quarter of the thickness off the centre line: there a skin that rises
    straight outward stands at its mean height over the half.
    """
    section = bare.section((0.0, 1.0, 0.0), thickness / 4)[:, :, [0, 2]]
    low, high = outline[:, :, 0].min(), outline[:, :, 0].max()
    near = (section[:, :, 0].max(axis=1) > low) & (section[:, :, 0].min(axis=1) < high)
    ends = np.concatenate([outline, section[near], taken])
    owner = np.concatenate(
        [np.full(len(outline), _OUTLINE), np.full(int(near.sum()), _HULL), np.full(len(taken), 2)]
    )
    places = np.concatenate(
        [ends[:, :, 0].ravel(), _meetings(outline, ends[len(outline) :]), _meetings(taken, section[near])]
    )
    places = np.unique(places[(places >= low) & (places <= high)])
    places = places[np.append(True, np.diff(places) > _THIN)]
    edges = _Edges(ends, owner)
    return [_slab(edges, float(a), float(b)) for a, b in pairwise(places)]


def _meetings(some: Array, others: Array) -> Array:
    """x of every crossing of two sets of edges."""
    if not (len(some) and len(others)):
        return np.empty(0)
    p, r = some[:, None, 0], some[:, None, 1] - some[:, None, 0]
    q, s = others[None, :, 0], others[None, :, 1] - others[None, :, 0]
    across = r[..., 0] * s[..., 1] - r[..., 1] * s[..., 0]
    level = np.abs(across) < 1e-15
    gap = q - p
    across = np.where(level, 1.0, across)
    t = (gap[..., 0] * s[..., 1] - gap[..., 1] * s[..., 0]) / across
    u = (gap[..., 0] * r[..., 1] - gap[..., 1] * r[..., 0]) / across
    met = ~level & (t >= 0) & (t <= 1) & (u >= 0) & (u <= 1)
    return np.asarray((p[..., 0] + t * r[..., 0])[met])


def _slab(edges: _Edges, a: float, b: float) -> _Slab:
    """Walk up the middle of a slab: what is inside the outline and in nothing else is kept."""
    middle = (a + b) / 2
    x = edges.ends[:, :, 0]
    spanning = np.flatnonzero((x.min(axis=1) < middle) & (x.max(axis=1) > middle))
    at = edges.heights(middle, spanning)
    order = np.argsort(at, kind="stable")
    spanning, at = spanning[order], at[order]
    left, right = edges.heights(a, spanning), edges.heights(b, spanning)
    # edges on one another change sides together
    groups = np.split(np.arange(len(spanning)), np.flatnonzero(np.diff(at) >= _THIN) + 1)
    inside, states = [False, False, False], []
    for group in groups:
        for i in group.tolist():
            inside[edges.owner[spanning[i]]] ^= True
        states.append((inside[0], inside[1] or inside[2]))
    kept, taken = [], []
    for g, (drawn, there) in enumerate(states[:-1]):
        low, high = int(groups[g][-1]), int(groups[g + 1][0])
        if there:
            taken.append((float(at[low]), float(at[high])))
        elif drawn:
            owners = _HULL if g and states[g - 1][1] else _OUTLINE, _HULL if states[g + 1][1] else _OUTLINE
            kept.append(
                _Trapezium(
                    (a, b),
                    (float(left[low]), float(right[low])),
                    (float(left[high]), float(right[high])),
                    owners,
                )
            )
    return _Slab((a, b), tuple(kept), tuple(taken))


def _prisms(slabs: list[_Slab], appendage: Appendage) -> list[tuple[Array, Array, Array]]:
    """A closed prism for each trapezium: vertices (8, 3), faces (12, 3), share of each face's area that is
    skin (12,)."""
    out = []
    nothing = _Slab((0.0, 0.0), (), ())
    for i, slab in enumerate(slabs):
        before, after = slabs[i - 1] if i else nothing, slabs[i + 1] if i + 1 < len(slabs) else nothing
        for piece in slab.kept:
            ends = (
                _exposed(piece.low[0], piece.high[0], before, 1),
                _exposed(piece.low[1], piece.high[1], after, 0),
            )
            out.append(_prism(piece, appendage.thickness, ends))
    return out


def _exposed(low: float, high: float, beyond: _Slab, side: int) -> float:
    """How much of an upright end is skin, as a share: what the next slab does not carry on; less what lies
    on the hull."""
    if high - low < _THIN:
        return 0.0
    free = high - low
    for piece in beyond.kept:
        free -= max(0.0, min(high, piece.high[side]) - max(low, piece.low[side]))
    for bottom, top in beyond.hull:
        covered = max(0.0, min(high, top) - max(low, bottom))
        free -= 2 * covered
    return free / (high - low)


_BOX = np.array(
    [
        [0, 3, 2],
        [0, 1, 3],
        [4, 7, 5],
        [4, 6, 7],
        [0, 5, 1],
        [0, 4, 5],
        [2, 7, 6],
        [2, 3, 7],
        [0, 6, 4],
        [0, 2, 6],
        [1, 7, 3],
        [1, 5, 7],
    ]
)
"""Faces of a prism whose vertices run: port then starboard; in each the lower then the upper edge; in each
fore then aft."""


def _prism(piece: _Trapezium, thickness: float, ends: tuple[float, float]) -> tuple[Array, Array, Array]:
    (x0, x1), (l0, l1), (h0, h1) = piece.x, piece.low, piece.high
    profile = np.array([[x0, l0], [x1, l1], [x0, h0], [x1, h1]])
    half = thickness / 2
    vertices = np.concatenate([np.insert(profile, 1, side, axis=1) for side in (-half, half)])
    skin = [1.0 if owner == _OUTLINE else -1.0 for owner in piece.owners]
    share = np.repeat([1.0, 1.0, skin[0], skin[1], ends[0], ends[1]], 2)
    return vertices, _BOX.copy(), share
