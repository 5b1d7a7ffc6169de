"""The forms as they stand on the strongback, the clamp in its notches, under the planking as a thin skin."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np

from hullview.arrays import Array
from hullview.boat.wording import length_text
from hullview.forms.clamp import Clamp
from hullview.forms.form import Forms
from hullview.forms.stems import Stem
from hullview.show import colours
from hullview.show.parts import Part, Patch
from hullview.show.picture import Picture, dry

if TYPE_CHECKING:
    from shapely import Polygon

    from hullview.shape.hull import Hull

SKIN = 0.22
"""Opacity of the planking."""
FITTED = ("coaming", "hatch")
"""Regions that are not there before the boat is off the forms."""
PLANKING = "#cdb79f"
PLY, BAR, BULKHEAD, GLUED = "#d8c49a", "#8c7a5c", "#b9a98a", "#8c3b1f"
STEPS = 120
"""Sections of a clamp as it is drawn."""
RAIL = 0.04
"""Thickness of a ladder's rails as drawn [m]."""


def forms_picture(forms: Forms, hull: Hull) -> Picture:
    """The picture: planking as a thin skin over all that is set up before the first strip is laid."""
    made = dry(forms.boat, hull, "regions")
    x = np.array([1.0, 0.0, 0.0])
    upright = np.array([[0.0, 1.0, 0.0], [0.0, 0.0, 1.0]])
    along = np.array([[1.0, 0.0, 0.0], [0.0, 0.0, 1.0]])
    sawn = [
        _plate(piece, upright, f.x * x, (f.x + f.sign * f.thickness) * x)
        for f in forms.forms
        for piece in f.pieces
    ]
    half = np.array([0.0, 0.5, 0.0])
    centres = [_plate(c.shape, along, -c.thickness * half, c.thickness * half) for c in forms.centre_forms]
    walls = [
        _plate(piece, upright, w.x * x, (w.x + w.sign * w.thickness) * x)
        for w in forms.bulkheads
        for piece in w.pieces
    ]
    stems = [_stem(s) for s in forms.stems if s.moulded > 0]
    clamps = [sheet for c in forms.clamps for sheet in _clamp(c)]
    solids = (
        *_part(
            "forms",
            f"forms, {length_text(forms.thickness, forms.boat.units_shown, 0, both=False)}",
            PLY,
            sawn,
        ),
        *_part("centre-line forms", "centre-line forms", colours.OTHER_WOOD, centres),
        *_part("strongback", "strongback", BAR, _strongback(forms)),
        *_part("clamps", "glued up on the forms", GLUED, [*clamps, *stems]),
        *_part("bulkheads", "bulkheads, fitted later", BULKHEAD, walls),
    )
    skin = tuple(
        replace(part, words="planking", colour=PLANKING, opacity=SKIN)
        for part in made.parts
        if part.words not in FITTED
    )
    stand = "a bar" if forms.strongback.kind == "inside" else "a ladder"
    words = f"{forms.build.name}  ·  {len(forms.forms)} forms on {stand}, edges {forms.edge}"
    return replace(made, parts=skin, solids=solids, subtitle=words)


def _part(name: str, words: str, colour: str, sheets: list[Patch]) -> tuple[Part, ...]:
    if not sheets:
        return ()
    whole = sheets[0]
    for sheet in sheets[1:]:
        whole = whole + sheet
    return (Part(name, words, colour, whole),)


def _patch(vertices: Array, faces: Array) -> Patch:
    """Corners of its own for every face, so that edges stay sharp in any shading."""
    corners = np.asarray(vertices, float)[faces].reshape(-1, 3)
    none = np.zeros(len(corners))
    return Patch(corners, np.arange(len(corners)).reshape(-1, 3), none, none)


def _plate(shape: Polygon, axes: Array, near: Array, far: Array) -> Patch:
    """A flat shape in two axes (2, 3) as a solid between two planes through `near` and `far` (3,)."""
    import shapely

    if (far - near) @ np.cross(axes[0], axes[1]) < 0:
        near, far = far, near
    flat = np.array(
        [t.exterior.coords[:3] for t in shapely.constrained_delaunay_triangles(shape).geoms], float
    )
    one, other = flat[:, 1] - flat[:, 0], flat[:, 2] - flat[:, 0]
    clockwise = one[:, 0] * other[:, 1] < one[:, 1] * other[:, 0]
    flat[clockwise] = flat[clockwise, ::-1]
    faces = [(flat @ axes + near)[:, ::-1], flat @ axes + far]
    whole = shapely.geometry.polygon.orient(shape)
    for ring in (whole.exterior, *whole.interiors):
        p = np.array(ring.coords) @ axes
        a, b, c, d = p[:-1] + near, p[1:] + near, p[1:] + far, p[:-1] + far
        faces += [np.stack([a, b, c], axis=1), np.stack([a, c, d], axis=1)]
    triangles = np.concatenate(faces)
    return _patch(triangles.reshape(-1, 3), np.arange(3 * len(triangles)).reshape(-1, 3))


def _swept(sections: Array) -> Patch:
    """Closed rings (n, m, 3) one behind another as the skin of a solid, its ends flat."""
    n, m = sections.shape[:2]
    i, j = (k.ravel() for k in np.meshgrid(np.arange(n - 1), np.arange(m), indexing="ij"))
    a, b = i * m + j, i * m + (j + 1) % m
    c, d = b + m, a + m
    fan = np.array([[0, k + 1, k] for k in range(1, m - 1)])
    faces = np.concatenate(
        [np.column_stack([a, b, c]), np.column_stack([a, c, d]), fan, fan[:, ::-1] + (n - 1) * m]
    )
    return _patch(sections.reshape(-1, 3), faces)


def _clamp(clamp: Clamp) -> list[Patch]:
    """Both sides of a clamp, from where it begins to where it ends."""
    s = np.linspace(clamp.arc[0], clamp.arc[-1], STEPS)
    sections = clamp.corners(s)
    x = sections[:, 0, 0]
    sections = sections[(x >= clamp.start) & (x <= clamp.end)]
    return [_swept(sections), _swept((sections * [1.0, -1.0, 1.0])[:, ::-1])]


def _stem(stem: Stem) -> Patch:
    """An inner stem between the line where the planking meets and its back."""
    half = np.array([0.0, stem.width / 2, 0.0])
    front, back = (np.column_stack([p[:, 0], np.zeros(len(p)), p[:, 1]]) for p in (stem.middle, stem.back))
    return _swept(np.stack([front - half, front + half, back + half, back - half], axis=1))


def _strongback(forms: Forms) -> list[Patch]:
    """The bar through the forms, or the two rails under those of an open boat."""
    stand = forms.strongback
    if stand.kind == "inside":
        return [_box(stand.start, stand.end, 0.0, stand.at, stand.width, stand.height)]
    ends = min(f.x for f in forms.forms), max(f.x for f in forms.forms)
    out = stand.width / 2
    return [_box(ends[0] - 0.1, ends[1] + 0.1, y, stand.at + RAIL, RAIL, 2 * RAIL) for y in (-out, out)]


def _box(start: float, end: float, y: float, z: float, wide: float, high: float) -> Patch:
    """A box along the boat about a middle line [m]."""
    ring = np.array([[-1, -1], [1, -1], [1, 1], [-1, 1]]) / 2 * [wide, high] + [y, z]
    return _swept(np.stack([np.column_stack([np.full(4, x), ring]) for x in (start, end)]))
