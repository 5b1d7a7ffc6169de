"""Patterns of what stands at the ends: inner stems and the forms they are glued up on, centre-line forms,
transoms."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np

from hullview.arrays import Array
from hullview.forms.form import Forms
from hullview.forms.outline import relieved, rings_of, round_hole, whole
from hullview.forms.stems import Stem
from hullview.forms.transom import Transom
from hullview.shape.curve import chords
from hullview.shape.vectors import unit
from hullview.show.pattern import (
    TICK,
    Line,
    Part,
    Text,
    along_way,
    dressed,
    file_of,
    label_in,
    today,
)
from hullview.weight.customs import customs

if TYPE_CHECKING:
    from shapely import Polygon

FORM_DEEP = 0.11
"""How far a stem's gluing form reaches behind the stem [m]: holes for clamps and their jaws."""


def end_parts(forms: Forms) -> Iterator[Part]:
    """Stems, the forms for them, centre-line forms, transoms."""
    for stem in forms.stems:
        if stem.moulded > 0:
            yield _stem_part(forms, stem)
            yield _gluing_form(forms, stem)
    for c in forms.centre_forms:
        yield _centre_part(forms, c.name, c.shape, c.thickness, c.stands_on)
    for t in forms.transoms:
        yield _transom_part(forms, t)


def _words(forms: Forms, name: str, *more: str) -> tuple[str, ...]:
    boat = forms.boat
    return (
        name[:1].upper() + name[1:],
        f"{boat.name}, {forms.build.name}",
        *more,
        f"{today()}, table {boat.checksum[:8]}",
    )


def _placed(
    name: str,
    shape: Polygon,
    thickness: float,
    lines: Sequence[Line],
    texts: Sequence[Text],
    sentences: Sequence[str],
) -> Part:
    from shapely.affinity import scale

    rings = tuple(r * 1000 for r in rings_of(shape))
    drawn = scale(shape, 1000, 1000, origin=(0, 0))
    crosses, texts, free = dressed(drawn, lines, texts)
    label = label_in(free, drawn, sentences)
    return Part(name, file_of(name), rings, tuple(lines), (*texts, *label), crosses, thickness * 1000)


def _stem_part(forms: Forms, stem: Stem) -> Part:
    """An inner stem seen from port: cut to its front and back, with the planking's lines and bevels on its
    side."""
    from shapely import Polygon

    shape = Polygon(np.concatenate([stem.middle, stem.back[::-1]])).buffer(0)
    if shape.geom_type != "Polygon":
        shape = max(shape.geoms, key=lambda g: g.area)
    lines = [Line("guide", stem.profile * 1000)]
    lines += _within(stem.bearding, shape)
    texts = []
    for b in stem.bevels:
        at = np.array(b.at) * 1000
        near = int(np.linalg.norm(stem.profile - b.at, axis=1).argmin())
        way = stem.profile[min(near + 1, len(stem.profile) - 1)] - stem.profile[max(near - 1, 0)]
        out = unit(np.array([-way[1], way[0]]))
        out = out if (stem.name == "bow stem") == (out[0] < 0 or abs(out[0]) < 1e-9) else -out
        lines.append(Line("tick", np.array([at, at + out * 6])))
        texts.append(
            along_way(at + out * 6, out, f"{b.along * 1000:.0f}: {np.degrees(b.angle):.1f}\u00b0", TICK)
        )
    sentences = _words(
        forms,
        stem.label,
        "seen from port, aft to the right",
        (
            f"{stem.plies} plies of {stem.ply * 1000:.3g} mm, {stem.width * 1000:.3g} mm wide, longest"
            f" {stem.blank * 1000:.0f} mm"
            if stem.plies > 1
            else f"{stem.moulded * 1000:.3g} mm deep, {stem.width * 1000:.3g} mm wide"
        ),
        f"dashed: the profile, {stem.siding * 1000:.3g} mm wide; scribed: bearding line",
    )
    return replace(_placed(stem.label, shape, stem.width, lines, texts, sentences), sheet=False)


def _within(line: Array, shape: Polygon) -> Iterator[Line]:
    """What of the bearding line lies on the side of the stem; where the bevel runs out on its back there
    is none."""
    from shapely import LineString

    if len(line) < 2:
        return
    found = LineString(line).intersection(shape)
    for piece in getattr(found, "geoms", [found]):
        if piece.geom_type == "LineString" and piece.length > 0.002:
            yield Line("scribe", np.array(piece.coords) * 1000)


def _gluing_form(forms: Forms, stem: Stem) -> Part:
    """The form an inner stem is glued up on: its back, bent tighter by what springs out, with holes for
    clamps."""
    from shapely import Polygon

    shop = customs()
    edge = stem.sprung(0) if stem.plies > 1 else stem.back
    bow = stem.name == "bow stem"
    step = np.gradient(edge, axis=0)
    normal = np.column_stack([step[:, 1], -step[:, 0]]) * (1 if bow else -1)
    normal = unit(normal)
    ends = edge[[0, -1]] + normal[[0, -1]] * FORM_DEEP
    shape = Polygon(np.vstack([edge, ends[::-1]])).buffer(0)
    behind = [
        Polygon(np.vstack([edge[i : i + 2], (edge + normal * FORM_DEEP)[i : i + 2][::-1]])).buffer(1e-7)
        for i in range(0, len(edge) - 1)
    ]
    from shapely import union_all

    shape = union_all([shape, *behind]).buffer(0)
    if shape.geom_type != "Polygon":
        shape = max(shape.geoms, key=lambda g: g.area)
    hull = Polygon(shape.exterior)
    s = chords(edge)
    lines: list[Line] = []
    texts: list[Text] = []
    for at in np.arange(0.5 * shop["stem_holes_every"], s[-1], shop["stem_holes_every"]):
        k = int(np.abs(s - at).argmin())
        middle = edge[k] + normal[k] * shop["stem_holes_in"]
        hole = round_hole((float(middle[0]), float(middle[1])), shop["stem_holes"])
        if hull.contains(hole.buffer(0.006)):
            hull = hull.difference(hole)
    lines.append(Line("guide", stem.back * 1000))
    more = [
        f"{forms.thickness * 1000:.3g} mm; {shop['stem_holes'] * 1000:.0f} mm holes for clamps each"
        f" {shop['stem_holes_every'] * 1000:.0f} mm"
    ]
    if stem.plies > 1:
        more.append(
            f"sprung for {stem.plies} plies: 1 in {stem.plies**2} of the bend comes out (elastic); the rival"
            f" rule, 1 in {stem.plies}, is scribed; dashed: the stem as it must end"
        )
        lines.append(Line("scribe", stem.sprung(1) * 1000))
    sentences = _words(forms, f"gluing form, {stem.label}", *_wrapped(more))
    return _placed(f"gluing form {stem.label}", hull, forms.thickness, lines, texts, sentences)


def _wrapped(words: Sequence[str], most: int = 62) -> list[str]:
    """Sentences broken into lines of at most so many letters."""
    import textwrap

    return [line for w in words for line in textwrap.wrap(w, most)]


def _centre_part(forms: Forms, name: str, shape: Polygon, thickness: float, stands_on: str) -> Part:
    sentences = _words(
        forms, name, f"seen from port, aft to the right; {thickness * 1000:.3g} mm thick",
        f"screwed to the face of form {stands_on}, upright on the centre line",
    )  # fmt: skip
    tool = forms.boat.forms.tool or customs()["tool"]
    return _placed(name, relieved(shape, tool), thickness, [], [], sentences)


def _transom_part(forms: Forms, t: Transom) -> Part:
    """A transom's true shape seen from aft (a bow transom from ahead): starboard on the right hand, or the
    left."""
    stern = t.name == "transom"
    hand = 1.0 if stern else -1.0
    foot = float(t.after[0, 1])
    flip = np.array([hand, 1.0])
    shape = whole(_closed((t.cut - [0.0, foot]) * flip * [hand, 1.0]))
    lines = [Line("scribe", (t.after - [0.0, foot]) * 1000 * [h, 1.0]) for h in (1.0, -1.0)]
    low, high = shape.bounds[1] * 1000, shape.bounds[3] * 1000
    lines.append(Line("centre", np.array([[0.0, low], [0.0, high]])))
    texts = []
    for girth, k in _rows(t):
        n = t.after[min(k + 1, len(t.after) - 1)] - t.after[max(k - 1, 0)]
        into = unit(np.array([-n[1], n[0]]))
        edge = t.cut[k] - [0.0, foot]
        if girth == 0 or edge[0] < 0.006:
            continue
        for h in (1.0, -1.0):
            ends = np.array([edge, edge + into * 0.008]) * 1000 * [h, 1.0]
            lines.append(Line("tick", ends))
            texts.append(
                along_way(
                    ends[1], into * [h, 1.0], f"{girth * 1000:.0f}: {np.degrees(t.bevel[k]):.1f}\u00b0", TICK
                )
            )
    sentences = _words(
        forms,
        t.name,
        f"true shape, {np.degrees(t.rake):.1f}\u00b0 from plumb; {t.thickness * 1000:.3g} mm thick",
        "this face outward; saw the outline, plane to the scribed one,",
        "which is the outer face; inside the planking",
    )
    return _placed(t.name, shape, t.thickness, lines, texts, sentences)


def _closed(half: Array) -> Array:
    """The half outline closed straight across at the top."""
    out = half if half[0, 0] < 1e-9 else np.vstack([[0.0, half[0, 1]], half])
    return np.vstack([out, [0.0, out[-1, 1]]])


def _rows(t: Transom) -> Iterator[tuple[float, int]]:
    every = customs()["bevel_every"]
    for k in range(int(t.girth[-1] / every + 1e-9) + 1):
        yield k * every, int(np.abs(t.girth - k * every).argmin())
