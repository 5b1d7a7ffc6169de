"""A closed mesh that the builder gave -> its hull: what is deck or lid and what is hull, told by which way
the faces look.

The deck is the piece of surface that looks up and covers most of its plan; the sheer is the line around it.
Whatever that line cuts off on the side of the deck belongs to the deck. Where this cannot be told it is an
error: no part of the hull is guessed.
"""

from __future__ import annotations

import numpy as np

from hullview.arrays import Array
from hullview.boat.model import Boat
from hullview.errors import ShapeError
from hullview.shape.closed import checked
from hullview.shape.deck import cut_openings, flooding_lines, rim_line
from hullview.shape.hull import Hull, NamedLine
from hullview.shape.mesh import Patches
from hullview.shape.polygon import ring_area
from hullview.shape.vectors import unit

MIRROR = np.array([1.0, -1.0, 1.0])

LOOKS_UP = 0.5
"""A face looks up if the upward part of its normal is over this: decks slope less than 60 degrees, topsides
that tumble home less than 30 from plumb."""
OFF_CENTRE = 0.02
"""Share of its beam by which one side may differ from the other."""
STEEP = np.tan(np.radians(15.0))
"""Where the profile is steeper than this it is a stem, not the keel line."""
ACROSS = 0.15
"""An end wider than this share of the beam, on deck, is a transom and has no stem."""


def hull_from_mesh(boat: Boat) -> Hull:
    """The hull of a boat whose shape is a mesh, taken as the outside of the planking; no sections, no
    grids, no coarser mesh."""
    assert boat.hull.mesh is not None
    file = boat.hull.mesh_file or "the mesh"
    vertices, faces = checked(*boat.hull.mesh)
    _refuse(boat, file, vertices)
    normals = _normals(vertices, faces)
    on_deck, ring = _deck(vertices, faces, normals, file)
    decked = boat.hull.type == "decked"
    patches = Patches()
    patches.add("hull", faces[~on_deck])
    patches.add("deck" if decked else "lid", faces[on_deck])
    lines = _named_lines(vertices, faces, normals, on_deck, ring, file)
    if not decked:
        lines["sheer"] = _without_deck(lines["sheer"])
    _refuse_shell(vertices, faces[~on_deck], faces[on_deck], lines["sheer"].points, file)
    cut, rims = cut_openings(boat, vertices, patches)
    lines.update({name: rim_line(name, points) for name, (points, _, _) in rims.items()})
    faces, region, regions = patches.joined()
    used, faces = np.unique(faces, return_inverse=True)
    nothing = np.full(len(used), np.nan)
    flooding = flooding_lines(boat, lines["sheer"].points, rims)
    note = f"shape from {file}, taken as the outside of its planking"
    return Hull(
        cut[used], faces.reshape(-1, 3), region, regions, lines, flooding, nothing, nothing, None, None,
        open_top=not decked, notes=(note,),
    )  # fmt: skip


def _refuse(boat: Boat, file: str, vertices: Array) -> None:
    """What a mesh cannot be, or cannot tell."""
    size = np.ptp(vertices, axis=0)
    if size.argmax() != 0:
        raise ShapeError(
            f"its length must lie along x, and the mesh is longest along {'xyz'[int(size.argmax())]}."
            " Turn it: x aft, y to starboard, z up.",
            place=file,
        )
    side = vertices[:, 1].max() + vertices[:, 1].min()
    if abs(side) > OFF_CENTRE * size[1]:
        raise ShapeError(
            f"one side is {abs(side) * 1000:.0f} mm wider than the other. Put its centre line at y = 0.",
            place=file,
        )
    if boat.hull.measured_to == "inside":
        raise ShapeError(
            'a mesh is taken as the outside of the planking. Say measured_to = "outside", and give'
            " that surface.",
            place=file,
        )
    for build in boat.builds:
        if any(p.band for p in build.schedule.planking) or any(
            s.girth is not None for s in build.schedule.skins
        ):
            raise ShapeError(
                "girths cannot be told on a mesh. Give the band or the girth as a region, or a skin"
                " `below` a height.",
                place=file,
            )


def _normals(vertices: Array, faces: Array) -> Array:
    """Normals (m, 3) of the faces, as long as twice their area."""
    a, b, c = vertices[faces.T]
    return np.cross(b - a, c - a)


def _edges(faces: Array) -> tuple[Array, Array, Array]:
    """Directed edges (3m, 2), a number for each undirected edge (3m,), and the face of each (3m,)."""
    directed = np.concatenate([faces[:, [0, 1]], faces[:, [1, 2]], faces[:, [2, 0]]])
    key = directed.min(axis=1).astype(np.int64) * (int(faces.max()) + 1) + directed.max(axis=1)
    _, number = np.unique(key, return_inverse=True)
    return directed, number.ravel(), np.tile(np.arange(len(faces)), 3)


def _pieces(count: int, number: Array, face: Array, among: Array) -> Array:
    """Piece (m,) of each face: those among which one can step from face to face over the edges marked
    `among` (3m,)."""
    from scipy.sparse import coo_array
    from scipy.sparse.csgraph import connected_components

    order = np.argsort(number[among], kind="stable")
    n, f = number[among][order], face[among][order]
    same = np.flatnonzero(n[:-1] == n[1:])
    joined = coo_array((np.ones(len(same), np.int8), (f[same], f[same + 1])), shape=(count, count))
    return np.asarray(connected_components(joined, directed=False)[1])


def _deck(vertices: Array, faces: Array, normals: Array, file: str) -> tuple[Array, Array]:
    """Which faces lie on the deck's side of the sheer (m,), and the sheer once round, as vertex numbers
    (k,), deck to port going aft."""
    directed, number, face = _edges(faces)
    up = unit(normals)[:, 2] > LOOKS_UP
    piece = _pieces(len(faces), number, face, up[face])
    plan = np.bincount(piece[up], weights=normals[up, 2], minlength=int(piece.max()) + 1)
    main = up & (piece == int(plan.argmax()))
    inside = main[face]
    border = inside & (np.bincount(number, weights=inside, minlength=int(number.max()) + 1)[number] == 1)
    rings = _rings(directed[border])
    if not rings:
        raise ShapeError(
            "nothing in it looks up. Close it with a deck, or with a lid at the sheer.", place=file
        )
    ring = max(rings, key=lambda r: abs(ring_area(vertices[r][:, :2])))
    sheer = np.isin(number, _numbers(directed, number, ring))
    piece = _pieces(len(faces), number, face, ~sheer)
    on_deck = piece == piece[int(np.flatnonzero(main)[0])]
    if on_deck.all():
        raise ShapeError(
            "no line around the deck parts it from the hull. Give it a sheer, or trim the mesh to"
            " what floats.",
            place=file,
        )
    if abs(ring_area(vertices[ring][:, :2])) < 0.5 * _plan_area_of_all(vertices):
        raise ShapeError(
            "no one deck or lid covers most of it. Close the mesh with a deck, or with a lid at the sheer.",
            place=file,
        )
    return on_deck, ring


def _numbers(directed: Array, number: Array, ring: Array) -> Array:
    """Numbers of the edges along a ring of vertices."""
    steps = np.column_stack([ring, np.roll(ring, -1)])
    key = directed[:, 0].astype(np.int64) * (int(directed.max()) + 1) + directed[:, 1]
    order = np.argsort(key)
    wanted = steps[:, 0].astype(np.int64) * (int(directed.max()) + 1) + steps[:, 1]
    return np.asarray(number[order[np.searchsorted(key[order], wanted)]])


def _rings(border: Array) -> list[Array]:
    """Closed chains of directed edges (k, 2), each as vertex numbers."""
    follows: dict[int, list[int]] = {}
    for a, b in border.tolist():
        follows.setdefault(a, []).append(b)
    rings = []
    while follows:
        start = next(iter(follows))
        chain = [start]
        while chain[-1] in follows:
            ways = follows[chain[-1]]
            nxt = ways.pop()
            if not ways:
                del follows[chain[-1]]
            if nxt == start:
                rings.append(np.array(chain))
                break
            chain.append(nxt)
    return rings


def _plan_area_of_all(vertices: Array) -> float:
    """Area of its plan [m2], seen from above, from the widths of slices along it."""
    x = vertices[:, 0]
    edges = np.linspace(x.min(), x.max(), 41)
    slot = np.clip(np.searchsorted(edges, x, side="right") - 1, 0, 39)
    half = np.zeros(40)
    np.maximum.at(half, slot, np.abs(vertices[:, 1]))
    known = half > 0
    return float(2 * np.interp(np.arange(40), np.flatnonzero(known), half[known]).mean() * np.ptp(x))


# ---------------------------------------------------------------- lines


def _named_lines(
    vertices: Array, faces: Array, normals: Array, on_deck: Array, ring: Array, file: str
) -> dict[str, NamedLine]:
    hull_n, deck_n = (_at_vertices(faces[k], normals[k], len(vertices)) for k in (~on_deck, on_deck))
    sheer = _starboard(vertices, ring, file)
    points, on_hull, on_top = (_along(v, sheer) for v in (vertices, hull_n, deck_n))
    lines = {"sheer": NamedLine("sheer", points, True, False, unit(on_hull), unit(on_top))}
    profile, n = _profile(vertices, faces[~on_deck], normals[~on_deck], file)
    step = np.diff(profile, axis=0)
    steep = np.abs(step[:, 2]) > STEEP * np.maximum(np.abs(step[:, 0]), 1e-12)
    first = int(np.argmin(steep)) if not steep.all() else len(steep) // 2
    last = len(steep) - int(np.argmin(steep[::-1])) if not steep.all() else len(steep) // 2 + 1
    beam = np.ptp(vertices[:, 1])
    parts = {"bow stem": slice(0, first + 1), "keel": slice(first, last + 1), "stern stem": slice(last, None)}
    ends = {"bow stem": points[0, 1], "keel": 0.0, "stern stem": points[-1, 1]}
    for name, part in parts.items():
        if len(profile[part]) > 1 and 2 * ends[name] < ACROSS * beam:
            lines[name] = NamedLine(name, profile[part], False, False, n[part], n[part] * MIRROR)
    return lines


def _without_deck(line: NamedLine) -> NamedLine:
    return NamedLine(
        line.name, line.points, line.paired, line.closed, line.hull_normals, np.zeros_like(line.points)
    )


def _at_vertices(faces: Array, normals: Array, count: int) -> Array:
    """Normals (n, 3) at the vertices, the mean of the faces around them by area."""
    out = np.zeros((count, 3))
    for corner in range(3):
        np.add.at(out, faces[:, corner], normals)
    return out


def _starboard(vertices: Array, ring: Array, file: str) -> tuple[Array, Array, Array]:
    """The starboard half of the ring from bow to stern, as (vertex, next vertex, share of the way) for
    each point."""
    y = vertices[ring, 1]
    nxt = np.roll(ring, -1)
    y2 = vertices[nxt, 1]
    tiny = 1e-6 * np.ptp(vertices[:, 1])
    onto, off = np.flatnonzero((y <= tiny) & (y2 > tiny)), np.flatnonzero((y > tiny) & (y2 <= tiny))
    if len(onto) != 1 or len(off) != 1:
        raise ShapeError(
            f"the line around the deck crosses the centre line {len(onto) + len(off)} times, not once"
            " at the bow and once at the stern.",
            place=file,
        )
    start, stop = int(onto[0]), int(off[0])
    index = np.arange(start, stop + 1 if stop >= start else stop + 1 + len(ring)) % len(ring)
    a, b = ring[index], nxt[index]
    share = np.zeros(len(index))
    gap = y2[index] - y[index]
    share[0] = np.clip(-y[index[0]] / gap[0], 0, 1)
    a, b = np.append(a, a[-1]), np.append(b, b[-1])
    share = np.append(share, np.clip(-y[index[-1]] / gap[-1], 0, 1))
    if vertices[a[0], 0] > vertices[a[-1], 0]:
        a, b, share = a[::-1], b[::-1], share[::-1]
    p = vertices[a] + share[:, None] * (vertices[b] - vertices[a])
    step = np.diff(p, axis=0)
    along = np.abs(step[:, 1]) <= 2 * np.abs(step[:, 0])
    if not along.any():
        raise ShapeError("the line around the deck does not run from bow to stern.", place=file)
    keep = slice(int(np.argmax(along)), len(along) - int(np.argmax(along[::-1])) + 1)
    return a[keep], b[keep], share[keep]


def _along(values: Array, chain: tuple[Array, Array, Array]) -> Array:
    a, b, share = chain
    return np.asarray(values[a] + share[:, None] * (values[b] - values[a]))


def _profile(vertices: Array, faces: Array, normals: Array, file: str) -> tuple[Array, Array]:
    """Its outline below the deck on the centre line, from the sheer at the bow to that at the stern (k,
    3), and normals of the starboard side."""
    eps = 1e-8 * np.ptp(vertices[:, 1])
    above = vertices[:, 1] > eps
    up = above[faces]
    mixed = np.flatnonzero(up.any(axis=1) & ~up.all(axis=1))
    ends: dict[tuple[int, int], list[int]] = {}
    for k in mixed.tolist():
        f = faces[k].tolist()
        for a, b in ((f[0], f[1]), (f[1], f[2]), (f[2], f[0])):
            if above[a] != above[b]:
                ends.setdefault((min(a, b), max(a, b)), []).append(k)
    touching: dict[int, list[tuple[int, int]]] = {}
    for edge, owners in ends.items():
        for k in owners:
            touching.setdefault(k, []).append(edge)
    loose = [edge for edge, owners in ends.items() if len(owners) == 1]
    if len(loose) != 2:
        raise ShapeError(
            "its outline on the centre line, below the deck, is not one line from stem to stern.", place=file
        )
    edge, chain, seen = loose[0], [loose[0]], set()
    rows = []
    while True:
        ways = [k for k in ends[edge] if k not in seen]
        if not ways:
            break
        seen.add(ways[0])
        rows.append(ways[0])
        edge = next(e for e in touching[ways[0]] if e != edge)
        chain.append(edge)
    a, b = np.array(chain).T
    f = ((eps - vertices[a, 1]) / (vertices[b, 1] - vertices[a, 1]))[:, None]
    points = vertices[a] + f * (vertices[b] - vertices[a])
    n = unit(normals[rows])
    n = unit(np.concatenate([n[:1], n[:-1] + n[1:], n[-1:]]))
    points[:, 1] = 0.0
    keep = np.append(True, np.linalg.norm(np.diff(points, axis=0), axis=1) > 1e-9)
    points, n = points[keep], n[keep]
    return (points, n) if points[0, 0] < points[-1, 0] else (points[::-1], n[::-1])


def _refuse_shell(vertices: Array, hull: Array, lid: Array, sheer: Array, file: str) -> None:
    """A mesh must end at its deck or its lid: with an inside of its own it would displace no more than its
    wood."""
    order = np.argsort(sheer[:, 0], kind="stable")
    depth = float(np.ptp(vertices[:, 2]))

    def over(faces: Array) -> Array:
        middle = vertices[faces].mean(axis=1)
        return np.asarray(middle[:, 2] - np.interp(middle[:, 0], sheer[order, 0], sheer[order, 2]))

    if over(hull).max() > 0.3 * depth or over(lid).min() < -0.3 * depth:
        raise ShapeError(
            "has an inside as well as an outside, so it would displace no more than its planking."
            " Close it with a deck, or with a lid at the sheer.",
            place=file,
        )
