"""Openings and hatches as parts of the deck: the deck's faces are cut along each rim, so that the mesh
stays closed."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from hullview.arrays import Array
from hullview.boat.model import Boat, Hatch, Opening
from hullview.errors import ShapeError
from hullview.shape.clip import crossed
from hullview.shape.hull import FloodingLine, NamedLine
from hullview.shape.mesh import Patches
from hullview.shape.vectors import unit

Outline = Callable[[Array], Array]
"""Takes points (n, 3) or (n, 2), gives a number (n,) that is negative inside the outline in plan, positive
outside."""
Rims = dict[str, tuple[Array, Array, bool]]
"""By name: the line on the deck (k, 3), the line where water enters (k, 3), and whether it is held shut."""


def outline_of(part: Opening | Hatch) -> Outline:
    """The rim in plan: an ellipse of length by width, or the half-widths given along it."""
    points = getattr(part, "outline", None)
    if points:
        x, half = np.array(points, float).T
        first, last = x[0], x[-1]

        def from_points(p: Array) -> Array:
            beyond = np.maximum(first - p[:, 0], p[:, 0] - last)
            return np.asarray(
                np.where(
                    beyond > 0,
                    np.abs(p[:, 1]) + beyond,
                    np.maximum(np.abs(p[:, 1]) - np.interp(p[:, 0], x, half), beyond),
                )
            )

        return from_points
    a, b = part.length / 2, part.width / 2

    def ellipse(p: Array) -> Array:
        return (np.hypot((p[:, 0] - part.centre) / a, p[:, 1] / b) - 1.0) * b

    return ellipse


@dataclass(frozen=True)
class Cut:
    """vertices (n', 3): the old ones and those on the outline; inside, outside: faces; rim: directed edges
    (k, 2) of `inside`."""

    vertices: Array
    inside: Array
    outside: Array
    rim: Array


def cut_faces(vertices: Array, faces: Array, outline: Outline) -> Cut:
    """Split faces (m, 3) along the line where `outline` changes sign."""
    f = np.full(len(vertices), np.inf)
    used = np.unique(faces)
    f[used] = outline(vertices[used])
    f = np.where(f == 0.0, 1e-12, f)
    values = f[faces]
    whole, met = crossed(values, values < 0)
    out = ~whole
    out[met.which] = False
    tip_inside = met.tip_inside
    a, b, c = met.turned(faces).T
    pairs = np.sort(np.concatenate([np.column_stack([a, b]), np.column_stack([a, c])]), axis=1)
    edges, which = np.unique(pairs, axis=0, return_inverse=True)
    which = which.ravel()
    points = _on_outline(
        vertices[edges[:, 0]], vertices[edges[:, 1]], f[edges[:, 0]], f[edges[:, 1]], outline
    )
    ab, ac = (len(vertices) + which[: len(a)], len(vertices) + which[len(a) :])
    tip = np.column_stack([a, ab, ac])
    both = np.concatenate([vertices, points])
    # the shorter diagonal of what is left, so that port is cut as starboard is
    short = (((both[ab] - both[c]) ** 2).sum(axis=1) <= ((both[ac] - both[b]) ** 2).sum(axis=1))[:, None]
    rest = np.concatenate(
        [
            np.where(short, np.column_stack([ab, b, c]), np.column_stack([ab, b, ac])),
            np.where(short, np.column_stack([ab, c, ac]), np.column_stack([b, c, ac])),
        ]
    )
    twice = np.concatenate([tip_inside, tip_inside])
    inside = np.concatenate([faces[whole], tip[tip_inside], rest[~twice]])
    outside = np.concatenate([faces[out], tip[~tip_inside], rest[twice]])
    rim = np.where(tip_inside[:, None], np.column_stack([ab, ac]), np.column_stack([ac, ab]))
    return Cut(both, inside, outside, rim)


def _on_outline(p: Array, q: Array, fp: Array, fq: Array, outline: Outline) -> Array:
    """Points of the edges p-q (k, 3) on the outline, by regula falsi, kept a fiftieth of the edge away
    from its ends so that no sliver arises."""
    low, high = np.zeros(len(p)), np.ones(len(p))
    flow, fhigh = fp.copy(), fq.copy()
    t = np.full(len(p), 0.5)
    for _ in range(6):
        t = low - flow * (high - low) / (fhigh - flow)
        ft = outline(p + t[:, None] * (q - p))
        same = np.sign(ft) == np.sign(flow)
        low, flow = np.where(same, t, low), np.where(same, ft, flow)
        high, fhigh = np.where(same, high, t), np.where(same, fhigh, ft)
    t = np.clip(t, 0.02, 0.98)
    return np.asarray(p + t[:, None] * (q - p))


def loop(rim: Array, name: str) -> Array:
    """Vertex numbers (k,) once round the rim, from its directed edges."""
    follows = dict(zip(rim[:, 0].tolist(), rim[:, 1].tolist()))
    if len(follows) < 3:
        raise ShapeError(
            f"{name}: lies off the deck. Move its centre aft of the stem and keep it within the deck."
        )
    start = int(rim[0, 0])
    out = [start]
    while (nxt := follows[out[-1]]) != start:
        out.append(nxt)
        if len(out) > len(follows):
            break
    if len(out) != len(follows):
        raise ShapeError(
            f"{name}: its outline crosses the deck more than once. Keep it one closed line within the deck."
        )
    return np.array(out)


def rim_height(opening: Opening, x: Array) -> Array:
    """Height of the coaming above the deck at positions x: fore, side and aft heights joined by two
    parabolas."""
    fore, side, aft = opening.coaming
    if opening.outline:
        first, last = opening.outline[0][0], opening.outline[-1][0]
        centre, half = (first + last) / 2, (last - first) / 2
    else:
        centre, half = opening.centre, opening.length / 2
    u = np.clip((x - centre) / half, -1, 1)
    return side + np.where(u < 0, fore - side, aft - side) * u**2


def raise_coaming(cut: Cut, opening: Opening, name: str) -> tuple[Array, Array, Array, Array, Array]:
    """Wall and lid of an opening: (vertices, wall faces, lid faces, rim loop on the deck, rim loop on top).

    The lid is the cut-out piece of deck lifted to the rim: geometry only, so that the body is closed up to
    where water enters.
    """
    ring = loop(cut.rim, name)
    if max(opening.coaming) <= 0:
        return cut.vertices, np.empty((0, 3), int), cut.inside, ring, ring
    own = np.unique(cut.inside)
    lifted = cut.vertices[own].copy()
    lifted[:, 2] += np.maximum(rim_height(opening, lifted[:, 0]), 1e-4)
    renumber = np.full(len(cut.vertices), -1)
    renumber[own] = len(cut.vertices) + np.arange(len(own))
    i, j = cut.rim.T
    wall = np.concatenate(
        [np.column_stack([i, j, renumber[j]]), np.column_stack([i, renumber[j], renumber[i]])]
    )
    return np.concatenate([cut.vertices, lifted]), wall, renumber[cut.inside], ring, renumber[ring]


def cut_openings(boat: Boat, vertices: Array, patches: Patches) -> tuple[Array, Rims]:
    """Cut cockpits and hatches into the deck; returns vertices and the rims."""
    rims: Rims = {}
    for k, opening in enumerate(boat.openings, 1):
        name = f"coaming {k}"
        cut = _cut_deck(vertices, patches, outline_of(opening), name)
        vertices, wall, lid, ring, top = raise_coaming(cut, opening, f"opening {k}")
        patches.add(name, wall)
        patches.add(f"lid {k}", lid)
        rims[name] = (vertices[ring], vertices[top], opening.cover == "spray deck")
    for k, hatch in enumerate(boat.hatches, 1):
        name = f"hatch {k}"
        cut = _cut_deck(vertices, patches, outline_of(hatch), name)
        vertices = cut.vertices
        patches.add(name, cut.inside)
        ring = loop(cut.rim, name)
        rims[name] = (vertices[ring], vertices[ring], hatch.cover == "sealed")
    return vertices, rims


def _cut_deck(vertices: Array, patches: Patches, outline: Outline, name: str) -> Cut:
    """Cut the deck's faces along an outline, leaving what lies outside it in place."""
    where = [i for i, n in enumerate(patches.names) if n == "deck"]
    if not where:
        raise ShapeError(
            f"{name}: an open boat has no deck to cut it in. Leave it out, or give the deck rows in the"
            " table."
        )
    faces = np.concatenate([patches.faces[i] for i in where])
    cut = cut_faces(vertices, faces, outline)
    edge = np.sort(
        np.concatenate([cut.inside[:, [0, 1]], cut.inside[:, [1, 2]], cut.inside[:, [2, 0]]]), axis=1
    )
    _, count = np.unique(edge, axis=0, return_counts=True)
    if (count == 1).sum() != len(cut.rim):
        raise ShapeError(
            f"{name}: reaches past the edge of the deck. Make it narrower or shorter, or move it."
        )
    for i in reversed(where):
        del patches.names[i], patches.faces[i]
    patches.add("deck", cut.outside)
    return cut


def rim_line(name: str, points: Array) -> NamedLine:
    """The line once round a rim, its normals outward in plan and up."""
    out = points - points.mean(axis=0)
    out[:, 2] = 0
    return NamedLine(name, points, False, True, unit(out), np.tile([0.0, 0.0, 1.0], (len(points), 1)))


def flooding_lines(boat: Boat, sheer: Array, rims: Rims) -> tuple[FloodingLine, ...]:
    """Where water comes in: an open boat's sheer (k, 3) on both sides, coaming rims, loose hatches, the
    builder's own points."""
    found = []
    if boat.hull.type == "open":
        found.append(FloodingLine("sheer", np.concatenate([sheer, sheer[::-1] * np.array([1.0, -1.0, 1.0])])))
    for name, (_, top, shut) in rims.items():
        if name.startswith("coaming"):
            found.append(FloodingLine(name, top, shut))
        elif not shut:
            found.append(FloodingLine(name, top))
    found += [FloodingLine(p.name, np.array([p.at])) for p in boat.flooding]
    return tuple(found)
