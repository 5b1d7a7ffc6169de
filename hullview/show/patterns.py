"""Forms as flat patterns: what is cut, what is marked, what is written, in millimetres, seen as the person
at the saw sees them."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np

from hullview.arrays import Array
from hullview.boat.wording import INCH, feet_inches
from hullview.forms.edges import Trued, bevel_rows
from hullview.forms.form import Form, Forms
from hullview.forms.outline import rings_of
from hullview.shape.vectors import unit
from hullview.show.pattern import (
    TICK,
    Kind,
    Line,
    Part,
    Text,
    along_way,
    box_of,
    dressed,
    file_of,
    label_in,
    today,
)
from hullview.show.pattern_ends import end_parts

if TYPE_CHECKING:
    from shapely import Polygon
    from shapely.geometry.base import BaseGeometry

TICK_LONG = 8.0
"""Length of a tick on the edge [mm]."""


def across(form: Form) -> float:
    """Sign of half-breadth to starboard on the pattern, seen looking at the station face.

    A body aft of its station is looked at from ahead, facing aft: starboard is on the left hand.
    """
    return -1.0 if form.body == "aft" else 1.0


def parts_of(forms: Forms, halves: bool = False) -> tuple[Part, ...]:
    """All parts, forms from the bow, then bulkheads, stems and transom."""
    made = [p for f in forms.forms for p in _form_parts(forms, f, halves)]
    made += [p for f in forms.bulkheads for p in _form_parts(forms, f, halves)]
    return _named_apart([*made, *end_parts(forms)])


def _named_apart(parts: Sequence[Part]) -> tuple[Part, ...]:
    """Parts whose file names would be one get a number."""
    seen: dict[str, int] = {}
    out = []
    for p in parts:
        seen[p.file] = seen.get(p.file, 0) + 1
        out.append(p if seen[p.file] == 1 else replace(p, file=f"{p.file}-{seen[p.file]}"))
    return tuple(out)


def _form_parts(forms: Forms, form: Form, halves: bool) -> Iterator[Part]:
    """The pattern of a form, whole, or its two halves; a piece that notches cut off is a part of its own."""
    called = form.name if form.kind == "bulkhead" else f"form {form.name}"
    for k, piece in enumerate(form.pieces):
        name = called if k == 0 else f"{called}, upper piece"
        if not halves:
            yield _part(forms, form, piece, name)
            continue
        for side, hand in (("starboard half", 1.0), ("port half", -1.0)):
            yield _part(forms, form, _half_of(piece, hand), f"{name}, {side}")


def _half_of(piece: Polygon, hand: float) -> Polygon:
    from shapely import MultiPolygon, box

    left = piece.intersection(box(*((0.0, -9, 9, 9) if hand > 0 else (-9, -9, 0.0, 9))))
    return max(left.geoms, key=lambda g: g.area) if isinstance(left, MultiPolygon) else left


def _part(forms: Forms, form: Form, piece: Polygon, name: str) -> Part:
    flip = np.array([across(form), 1.0]) * 1000.0
    rings = tuple(r * flip for r in rings_of(piece))
    drawn = _scaled(piece, flip)
    lines = [*_levels(forms, form, drawn), *_edge_lines(form, flip), *_sheer_marks(form, flip)]
    ticks, texts = _ticks(form, flip, drawn, imperial=forms.boat.units_shown == "imperial")
    lines = list(_kept([*lines, *ticks], drawn))
    crosses, texts, free = dressed(drawn, lines, list(_kept_texts(texts, drawn)))
    for wanted in _mark_texts(forms, form, flip, drawn):
        texts, free = with_text(texts, free, wanted)
    texts = [*texts, *label_in(free, drawn, label_of(forms, form, name))]
    return Part(name, file_of(name), rings, tuple(lines), tuple(texts), crosses, form.thickness * 1000)


def with_text(
    texts: list[Text], free: BaseGeometry, wanted: Sequence[Text]
) -> tuple[list[Text], BaseGeometry]:
    """One more text, at the first of the places wanted that is free; none where there is no room for it."""
    for t in wanted:
        room = box_of(t)
        if free.contains(room):
            return [*texts, t], free.difference(room)
    return texts, free


def _kept(lines: Sequence[Line], drawn: Polygon) -> Iterator[Line]:
    """Lines that are on this piece, at least in part: half a form keeps the marks of its own side."""
    from shapely import LineString

    around = drawn.buffer(30.0)
    return (line for line in lines if around.intersects(LineString(line.points)) and _mostly(line, drawn))


def _mostly(line: Line, drawn: Polygon) -> bool:
    low, _, high, _ = drawn.bounds
    middle = float(line.points[:, 0].mean())
    return line.kind in ("centre", "level") or low - 25 <= middle <= high + 25


def _scaled(piece: Polygon, flip: Array) -> Polygon:
    from shapely.affinity import scale

    return scale(piece, float(flip[0]), float(flip[1]), origin=(0, 0))


def label_of(forms: Forms, form: Form, name: str) -> tuple[str, ...]:
    """The words on a form's face, the first in large letters."""
    boat = forms.boat
    imperial = boat.units_shown == "imperial"
    place = (
        f"{form.x * 1000:.1f} mm" + (f" ({feet_inches(form.x)})" if imperial else "") + " aft of the datum"
    )
    taken = forms.taken[0] * 1000
    way = "BOW" if form.body == "aft" else "STERN"
    edge = {
        "square": (
            f"edge square, {form.touches} face touches"
            if form.touches in ("station", "other")
            else "edge square, see the table"
        ),
        "bevelled": "bevelled: saw this outline, plane to the scribed one",
    }[form.edge]
    sentences = [
        name[:1].upper() + name[1:],
        f"THIS FACE TO {way}",
        f"{boat.name}, {forms.build.name}",
        f"{place}; this face stands on it",
        f"{form.thickness * 1000:.3g} mm thick, {edge}",
        (
            f"planking taken off: {taken:.2f} mm"
            if form.kind == "form"
            else "to the finished inside of the planking"
        ),
    ]
    if form.midship:
        sentences.append(f"midship form, {forms.left_over * 1000:.2f} mm left over")
    if form.clamps_meet:
        sentences.append("both clamps meet in it")
    stand = forms.strongback
    if form.kind == "form":
        sentences.append(
            f"set-up line {stand.at * 1000:.0f} mm above the base line, sight line"
            f" {forms.sight * 1000:.0f} mm"
        )
    sentences.append(f"{today()}, table {boat.checksum[:8]}")
    return tuple(sentences)


def _levels(forms: Forms, form: Form, drawn: Polygon) -> Iterator[Line]:
    """Centre line, sight line and set-up line, as far as there is wood."""
    low, high = drawn.bounds[1], drawn.bounds[3]
    yield from _clipped("centre", drawn, [[0.0, low], [0.0, high]])
    wide = max(abs(drawn.bounds[0]), abs(drawn.bounds[2]))
    for z in {forms.sight, forms.strongback.at} if form.kind == "form" else {forms.sight}:
        yield from _clipped("level", drawn, [[-wide, z * 1000], [wide, z * 1000]])


def _clipped(kind: Kind, drawn: Polygon, line: Sequence[Sequence[float]]) -> Iterator[Line]:
    from shapely import LineString

    found = LineString(line).intersection(drawn)
    for piece in getattr(found, "geoms", [found]):
        if piece.geom_type == "LineString" and piece.length > 2:
            yield Line(kind, np.array(piece.coords))


def _edge_lines(form: Form, flip: Array) -> Iterator[Line]:
    """The station outline of a bevelled form, to be scribed, on both sides."""
    if form.edge != "bevelled":
        return
    for t in (form.side, form.deck):
        if t is not None:
            for hand in (1.0, -1.0):
                yield Line("scribe", t.points * flip * np.array([hand, 1.0]))


def inward_of(t: Trued) -> Array:
    """Unit vectors (k, 2) in the page, square to an edge, into the form."""
    flat = -t.normals[:, 1:]
    return unit(flat)


def _sheer_marks(form: Form, flip: Array) -> Iterator[Line]:
    """A line in from the sheer mark square to the side, past the notch into the wood."""
    deep = max((n.width + n.gap for n in form.notches if n.kind == "sheer"), default=0.0)
    into = inward_of(form.side)[-1]
    start = np.array(form.sheer_mark)
    line = np.array([start - 0.004 * into, start + (deep + 0.02) * into])
    for hand in (1.0, -1.0):
        yield Line("sheer", line * flip * np.array([hand, 1.0]))


def _ticks(form: Form, flip: Array, drawn: Polygon, imperial: bool) -> tuple[list[Line], list[Text]]:
    """A tick on the edge each 50 mm of girth, with the bevel there and the step; not where a notch takes the
    edge.

    The words run in from the tick where there is wood for them, else out from the edge.
    """
    from shapely import Point

    lines: list[Line] = []
    texts: list[Text] = []
    rooms: list[Polygon] = []
    wood = drawn.buffer(0.001)
    for t in (form.side, form.deck):
        if t is None:
            continue
        into = inward_of(t)
        for girth, cut, bevel, step in bevel_rows(t):
            if girth == 0 or cut[0] < 0.006:
                continue
            size = f"{step / INCH:.2f} in" if imperial else f"{step * 1000:.1f}"
            words = f"{girth * 1000:.0f}: {np.degrees(bevel):.1f}\u00b0 {size}".replace("-0.0", "0.0")
            k = int(np.abs(t.girth - girth).argmin())
            for hand in (1.0, -1.0):
                turn = flip * np.array([hand, 1.0])
                edge, way = cut * turn, into[k] * turn / 1000
                inner = edge + way * TICK_LONG
                if not (wood.covers(Point(edge + way * 0.3)) and wood.covers(Point(inner))):
                    continue
                lines.append(Line("tick", np.array([edge, inner])))
                inside = along_way(inner, way, words, TICK)
                outside = along_way(edge, -way, words, TICK)
                room = box_of(inside)
                clear = drawn.covers(room) and not any(room.intersects(r) for r in rooms)
                texts.append(inside if clear else outside)
                rooms.append(room if clear else box_of(outside))
    return lines, texts


def _kept_texts(texts: Sequence[Text], drawn: Polygon) -> Iterator[Text]:
    low, _, high, _ = drawn.bounds
    return (t for t in texts if low - 1 <= t.at[0] <= high + 1)


def _mark_texts(forms: Forms, form: Form, flip: Array, drawn: Polygon) -> Iterator[list[Text]]:
    """Words beside the sheer marks and the level lines, and which side is which: for each the places it
    might stand."""
    deep = max((n.width + n.gap for n in form.notches if n.kind == "sheer"), default=0.0)
    into = inward_of(form.side)[-1]
    end = np.array(form.sheer_mark) + (deep + 0.02) * into
    widest = form.side.cut[form.side.cut[:, 0].argmax()] * 1000
    for hand in (1.0, -1.0):
        if not _on_side(drawn, hand * flip[0]):
            continue
        turn = flip * np.array([hand, 1.0])
        yield [
            along_way(end * turn + into * turn * s / 1000, into * turn, "sheer", TICK) for s in (1, 4, 8, 14)
        ]
        out, side = np.sign(flip[0] * hand), "STARBOARD" if hand > 0 else "PORT"
        yield [
            Text(
                (float(out * (widest[0] - x)), float(form.sheer_mark[1] * 1000 - z)),
                side,
                3.4,
                "right" if out > 0 else "left",
                bold=True,
            )
            for z in np.arange(30.0, 200.0, 6.0)
            for x in (12.0, 20.0, 34.0, 50.0)
        ]
    for z, words in ((forms.sight, "sight line"), (forms.strongback.at, "set-up line")):
        width = _wood_right(drawn, z * 1000)
        if form.kind == "form" and width is not None:
            yield [
                Text((width - s, z * 1000 + 1.9), f"{words} {z * 1000:.0f}", TICK, "right")
                for s in range(6, 120, 6)
            ]


def _on_side(drawn: Polygon, sign: float) -> bool:
    return bool((drawn.bounds[2] if sign > 0 else -drawn.bounds[0]) > 1.0)


def _wood_right(drawn: Polygon, level: float) -> float | None:
    """Where the wood ends on the right hand at a level [mm]; None where there is less than 60 mm of it."""
    from shapely import LineString

    cut = LineString([(drawn.bounds[0] - 1, level), (drawn.bounds[2] + 1, level)]).intersection(drawn)
    spans = [g.bounds for g in getattr(cut, "geoms", [cut]) if not g.is_empty]
    last = max(spans, key=lambda b: b[2], default=None)
    return float(last[2]) if last is not None and last[2] - last[0] > 60 else None
