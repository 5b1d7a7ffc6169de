"""A stick glued up along the sheer inside the planking, as a solid swept along the boat, and the notch
that it lies in at each form."""

from __future__ import annotations

import itertools
from dataclasses import dataclass
from typing import Literal

import numpy as np

from hullview.arrays import Array
from hullview.boat.model import Run
from hullview.errors import UsageError
from hullview.forms.inside import Inside
from hullview.forms.section import Edge
from hullview.forms.skin import station_plane
from hullview.shape.curve import chords
from hullview.shape.spline import Spline, through_points
from hullview.shape.vectors import unit
from hullview.weight.clamp import section_of, top_allowance
from hullview.weight.customs import customs

PLANES = 72
"""Sections through which a clamp is led."""
IN_A_FORM = 9
"""Sections of the clamp within the thickness of one form whose union is its notch."""
FINE = 30
"""Samples between two of the sections, where its corners are met by a plane."""
OUTWARD = 0.04
"""How far past the form's edge the notch is open [m]."""
Face = Literal["station", "other"]
Kind = Literal["sheer", "stem", "keel", "chine"]
STRAIGHTER = 2e-6
"""Corners that stand off by less than this are none [m]."""


@dataclass(frozen=True)
class Clamp:
    """A stick inside along the sheer, swept along the boat, starboard.

    Parameters
    ----------
    name : str
    thickness, depth : float
        Across its plies with their glue lines and the release tape, and along the side below the sheer mark
        [m].
    top : float
        How far it stands proud of the sheer mark along the side, to be planed to the deck's angle [m].
    plies, ply : int, float
    arc, corners : Spline and array
        Distance along the sheer mark [m], and by it the corners (4, 3): foot and top of the outer face, top
        and foot of the inner.
    axes : Spline
        By the same: unit vectors along the stick, up along the side, and out of the boat (3, 3).
    deck_angle : (k,)
        Between side and deck inside the boat at the sections x (k,) [rad] (nan: no deck).
    start, end : float
        Where it begins and ends [m aft of the datum].
    """

    name: str
    run: Run
    thickness: float
    depth: float
    top: float
    plies: int
    ply: float
    arc: Array
    corners: Spline
    axes: Spline
    x: Array
    deck_angle: Array
    start: float
    end: float

    def section(self, x: float) -> Array:
        """Where its four edges meet the plane of a station (4, 2) [m]: outer foot, outer top, inner top,
        inner foot."""
        s = np.linspace(self.arc[0], self.arc[-1], FINE * (len(self.arc) - 1) + 1)
        found = self.corners(s)
        return np.array([[np.interp(x, found[:, k, 0], found[:, k, i]) for i in (1, 2)] for k in range(4)])

    def axes_at(self, x: float) -> Array:
        """Unit vectors along, up and out (3, 3) where its outer foot meets the plane of a station."""
        s = np.linspace(self.arc[0], self.arc[-1], FINE * (len(self.arc) - 1) + 1)
        at = float(np.interp(x, self.corners(s)[:, 0, 0], s))
        axes = self.axes(at)
        return unit(axes)


@dataclass(frozen=True)
class SheerSections:
    """Sections of the inside along the sheer, through which every clamp of a boat is led: places x (k,) [m
    aft of the datum], edges of hull and deck there, and the sheer's ends [m]."""

    x: Array
    sides: list[Edge | None]
    decks: list[Edge | None]
    ends: tuple[float, float]


def sheer_sections(inside: Inside, ends: tuple[float, float]) -> SheerSections:
    """The sections for the clamps of a boat whose sheer runs between two places [m aft of the datum]."""
    margin = 0.003 * (ends[1] - ends[0])
    xs = np.linspace(ends[0] + margin, ends[1] - margin, PLANES)
    planes = [station_plane(float(x)) for x in xs]
    return SheerSections(xs, inside.side_edges(planes), inside.deck_edges(planes), ends)


def sweep(run: Run, name: str, along_sheer: SheerSections) -> Clamp:
    """The clamp of a run, along the inside of the planking.

    Parameters
    ----------
    run : Run
        A lamination or a solid along the sheer, inside.
    along_sheer : SheerSections

    Notes
    -----
    Its outer face is plane across: through the sheer mark and the foot, its depth below along the side square
    to the sheer, and moved out by as much as the skin bulges between them, so that it is flush or proud of
    the forms' edges and never shy of them.
    """
    thickness, plies, ply = section_of(run)
    depth = run.depth or 0.0
    edges, decks, ends = along_sheer.sides, along_sheer.decks, along_sheer.ends
    kept = [k for k, e in enumerate(edges) if e is not None and e.girth[-1] > 1.2 * depth]
    if len(kept) < 8:
        raise UsageError(
            f"{name}: {depth * 1000:.3g} mm deep, deeper than the side of the boat inside its planking. Give"
            " it less depth."
        )
    there = [e for k in kept if (e := edges[k]) is not None]
    xs = along_sheer.x[kept]
    mark = np.array([[x, *e.points[-1]] for x, e in zip(xs, there)])
    arc = chords(mark)
    along = through_points(arc, mark).slopes
    along = unit(along)
    lines = np.array([_outer_face(e, x, t, depth) for e, x, t in zip(there, xs, along)])
    up, out, bulge = lines[:, :3], lines[:, 3:6], lines[:, 6]
    angles = _deck_angles(there, [decks[k] for k in kept])
    top = top_allowance(thickness, angles)
    face = mark + bulge[:, None] * out
    outer = np.stack([face - depth * up, face + top * up], axis=1)
    inner = outer[:, ::-1] - thickness * out[:, None]
    axes = np.stack([along, up, out], axis=1)
    start, end = run.start if run.start is not None else ends[0], run.end if run.end is not None else ends[1]
    return Clamp(
        name, run, thickness, depth, top, plies, ply, arc,
        through_points(arc, np.concatenate([outer, inner], axis=1)), through_points(arc, axes),
        xs, angles, start, end,
    )  # fmt: skip


def _outer_face(edge: Edge, x: float, along: Array, depth: float) -> Array:
    """Up and out (unit vectors) of the outer face at a section, and how far the skin bulges past its chord
    [m]: (7,)."""
    below = edge.girth[-1] - edge.girth
    reach = depth
    for _ in range(3):
        foot = np.array([np.interp(edge.girth[-1] - reach, edge.girth, edge.points[:, i]) for i in (0, 1)])
        chord = np.array([0.0, *(edge.points[-1] - foot)])
        chord = unit(chord)
        up = chord - (chord @ along) * along
        up = unit(up)
        reach = depth / max(float(chord @ up), 0.2)
    out = np.cross(up, along)
    between = edge.points[below <= reach]
    off = (np.column_stack([np.full(len(between), x), between]) - np.array([x, *edge.points[-1]])) @ out
    return np.array([*up, *out, max(float(off.max(initial=0.0)), 0.0)])


def _deck_angles(sides: list[Edge], decks: list[Edge | None]) -> Array:
    """Angle between side and deck inside the boat at each section [rad]; nan where there is no deck."""
    found = []
    for side, deck in zip(sides, decks):
        if deck is None:
            found.append(np.nan)
            continue
        cosine = float(side.normals[-1] @ deck.normals[0])
        found.append(np.pi - np.arccos(np.clip(cosine, -1.0, 1.0)))
    return np.array(found)


@dataclass(frozen=True)
class Notch:
    """A notch of one form, starboard, in the plane of its station face.

    Parameters
    ----------
    what : str
        The stick that lies in it.
    corners : (k, 2)
        Its outline [m], open outboard past the form's edge (through the edge, on the centre line, for a stem
        or a keelson).
    depth : float
        From the sheer mark down along the side to its bottom (of a notch on the centre line: from the edge
        up) [m].
    width : float
        The stick's own width in the plane of the form: thickness / cos of the plan angle [m].
    angle : float
        Of the side there, outward from plumb [rad].
    top_bevel : float or None
        To plane on the stick's top: the angle of the deck above square to the side [rad], positive where it
        rises inboard; None without a deck.
    tight : "station" or "other"
        The face at which the stick bears on the notch's back.
    gap : float
        Between stick and back at the other face, if the notch is cut square [m].
    back_bevel : float
        To cut instead, so that it bears all through: the plan angle of the stick [rad].
    proud : float
        How far its outer face stands out of the form's edge at most [m].
    """

    what: str
    kind: Kind
    corners: Array
    depth: float
    width: float
    angle: float
    top_bevel: float | None
    tight: Face
    gap: float
    back_bevel: float
    proud: float
    meets_twin: bool = False


def notch_for(clamp: Clamp, x: float, body: float, form: float, edge: Edge) -> Notch | None:
    """The notch of a form for a clamp.

    Parameters
    ----------
    clamp : Clamp
    x, body, form : float
        The station [m], 1 or -1 for a body aft or forward of it, and the form's thickness [m].
    edge : Edge
        The section at the station.

    Returns
    -------
    Notch or None
        None where the clamp does not pass this form.

    Raises
    ------
    UsageError
        The clamp is deeper than the form is high.
    """
    faces = np.linspace(x, x + body * form, IN_A_FORM)
    if max(faces[0], faces[-1]) < clamp.start or min(faces[0], faces[-1]) > clamp.end:
        return None
    quads = np.array([clamp.section(float(f)) for f in faces])
    mark = edge.points[-1]
    down = unit(quads[0, 0] - quads[0, 1])
    low = quads[0, 0] if edge.points[0, 1] < mark[1] else edge.points[0]
    if low[1] < edge.points[0, 1] or edge.girth[-1] < clamp.depth:
        raise UsageError(
            f"{clamp.name}: {clamp.depth * 1000:.3g} mm deep, and the form at {x * 1000:.0f} mm is only"
            f" {edge.girth[-1] * 1000:.0f} mm from keel to sheer. Give it less depth, or end it short of this"
            " form with from and to."
        )
    free = customs()["notch_below"]
    quads = quads.copy()
    quads[:, [0, 3]] += free * down
    quads[:, [1, 2]] -= free * down
    _, _, out = clamp.axes_at(x)
    outward = np.array([-down[1], down[0]])
    outward = outward if outward @ out[1:] > 0 else -outward
    corners = swept(np.concatenate([quads, quads[:, [0, 1]] + OUTWARD * outward], axis=1))
    backs = (quads[:, 2:] - quads[0, 2:]) @ outward  # of the inner face's top and foot
    tight: Face = "station" if backs[-1].sum() >= 0 else "other"
    deck = np.interp(x, clamp.x, clamp.deck_angle)
    return Notch(
        clamp.name,
        "sheer",
        corners,
        float(max((corners - mark) @ down)),
        clamp.thickness / float(np.hypot(out[1], out[2])),
        float(np.arctan2(-down[0], -down[1])),
        None if np.isnan(deck) else float(deck - np.pi / 2),
        tight,
        float(np.abs(backs[-1]).max()),
        float(abs(np.arcsin(out[0]))),
        float(_proud(quads[0] - free * np.array([1, -1, -1, 1])[:, None] * down, edge, outward)),
        bool((quads[:, [2, 3], 0] < 0).any()),
    )  # fmt: skip


def _proud(quad: Array, edge: Edge, outward: Array) -> float:
    """How far the outer face stands out of the section at most, over the stick's depth [m]; negative would
    be shy of it."""
    way = quad[1] - quad[0]
    share = ((edge.points - quad[0]) @ way) / (way @ way)
    beside = (share >= 0) & (share <= 1)
    if not beside.any():
        return 0.0
    return float(((quad[0] - edge.points[beside]) @ outward).max())


def swept(shapes: Array) -> Array:
    """The outline (k, 2) of all that a convex shape (n, m, 2) passes through on its way."""
    from shapely import MultiPoint, Polygon, union_all

    pieces = [MultiPoint(np.concatenate([a, b])).convex_hull for a, b in itertools.pairwise(shapes)]
    whole = union_all(pieces)
    assert isinstance(whole, Polygon)
    return np.array(whole.simplify(STRAIGHTER).exterior.coords)[:-1]
