"""Notches for what else lies inside the planking when it is laid: inner stems and keelsons on the centre
line, logs in a chine."""

from __future__ import annotations

import numpy as np

from hullview.arrays import Array
from hullview.boat.model import Run
from hullview.forms.clamp import IN_A_FORM, OUTWARD, Face, Kind, Notch, swept
from hullview.forms.inside import Inside
from hullview.forms.section import Edge
from hullview.forms.skin import station_plane
from hullview.forms.stems import Stem, height_at
from hullview.shape.vectors import unit
from hullview.weight.customs import customs


def stem_notch(stem: Stem, x: float, body: float, form: float, edge: Edge) -> Notch | None:
    """The notch at a form's foot for an inner stem: as wide as the stem, up to its back; None where the stem
    does not pass.

    Its height at the two faces differs by the slope of the back: the stem bears at the higher, nothing
    behind.
    """
    if stem.moulded <= 0:
        return None
    tops = [height_at(stem.back, float(f)) for f in (x, x + body * form)]
    if all(np.isnan(t) for t in tops):
        return None
    top = float(np.nanmax(tops))
    return _on_centre(stem.label, "stem", stem.width / 2, top, tops, edge, body, form)


def keel_notch(run: Run, name: str, inside: Inside, x: float, body: float, form: float) -> Notch | None:
    """The notch for a keelson that lies flat on the planking's inside: its depth goes across, its
    thickness up."""
    if not (run.start is None or x >= run.start) or not (run.end is None or x <= run.end):
        return None
    faces = [x, x + body * form]
    edges = inside.side_edges([station_plane(f) for f in faces])
    half, thick = (run.depth or 0.0) / 2, run.thickness or run.plies * (run.ply_thickness or 0.0)
    first = edges[0]
    if first is None or not first.on_centre or first.points[:, 0].max() < 1.5 * half:
        return None
    tops = [float("nan") if e is None else float(e.points[0, 1]) + thick for e in edges]
    return _on_centre(name, "keel", half, float(np.nanmax(tops)), tops, first, body, form)


def _on_centre(
    what: str, kind: Kind, half: float, top: float, tops: list[float], edge: Edge, body: float, form: float
) -> Notch | None:
    """A notch of that half width up to `top`, open through the foot of the form."""
    foot = float(edge.points[0, 1])
    if top <= foot:
        return None
    free = customs()["notch_below"] / 2
    low = foot - OUTWARD
    ring = np.array([[0.0, low], [half + free, low], [half + free, top], [0.0, top]])
    level = [t for t in tops if not np.isnan(t)]
    gap = float(max(level) - min(level))
    tight: Face = "station" if tops[0] == max(level) else "other"
    return Notch(
        what, kind, ring, top - foot, 2 * half, 0.0, None, tight, gap, float(np.arctan(gap / form)), 0.0
    )


def chine_notch(
    run: Run, name: str, corner: int, inside: Inside, x: float, body: float, form: float
) -> Notch | None:
    """The notch for a log in a chine: its depth lies along the bottom from the corner, its thickness off it.

    corner: which knuckle of the section, counted from the keel.
    """
    if not (run.start is None or x >= run.start) or not (run.end is None or x <= run.end):
        return None
    planes = [station_plane(float(f)) for f in np.linspace(x, x + body * form, IN_A_FORM)]
    thick = run.thickness or run.plies * (run.ply_thickness or 0.0)
    shapes, backs = [], []
    for edge in inside.side_edges(planes):
        if edge is None or len(edge.corners) <= corner:
            return None
        shape, back = _log(edge, edge.corners[corner], thick, run.depth or 0.0)
        shapes.append(shape)
        backs.append(back)
    away = backs[0] - shapes[0][0]
    moved = (np.array(backs) - backs[0]) @ (unit(away))
    gap = float(abs(moved[-1]))
    tight: Face = "station" if moved[-1] <= 0 else "other"
    ring = swept(np.array(shapes))
    return Notch(
        name, "chine", ring, run.depth or 0.0, thick, 0.0, None, tight, gap, float(np.arctan(gap / form)), 0.0
    )  # fmt: skip


def _log(edge: Edge, corner: int, thick: float, depth: float) -> tuple[Array, Array]:
    """A log's section with what lies outboard of it (6, 2), and its inner corner: along the bottom's
    inside from the knuckle, and off it."""
    p = edge.points
    c = p[corner]
    along = unit(p[max(corner - 20, 0)] - c)
    off = np.array([-along[1], along[0]])
    off = off if off[1] > 0 else -off
    side = unit(p[min(corner + 20, len(p) - 1)] - c)
    out = np.array([side[1], -side[0]])
    out = out if out[0] > 0 else -out
    up = c + side * thick / max(float(side @ off), 0.2)
    inner = c + depth * along
    back = inner + thick * off
    outer = [up + OUTWARD * out, c + OUTWARD * (out - off), inner - OUTWARD * off]
    return np.array([inner, back, up, *outer]), back
