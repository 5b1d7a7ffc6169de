"""Forms as flat patterns: what is cut, what is marked, what is written, in millimetres, seen as the person at the saw sees them."""

from __future__ import annotations

import datetime
import os
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Literal

import numpy as np

from hullview.boat.wording import INCH, feet_inches
from hullview.forms.edges import Trued
from hullview.forms.make import Form, Forms
from hullview.forms.outline import rings_of
from hullview.forms.shop import customs

if TYPE_CHECKING:
    from shapely import Polygon
    from shapely.geometry.base import BaseGeometry

Array = np.ndarray
Kind = Literal["centre", "level", "sheer", "tick", "scribe", "guide"]

LABEL, TICK, LEAST = 4.0, 2.6, 1.8
"""Sizes of letters of the label, of ticks, and the smallest that can be read at the bench [mm]."""
LEADING, WIDE = 1.45, 0.56
"""Height of a line and breadth of a letter, over the size of the letters."""
TICK_LONG = 8.0
"""Length of a tick on the edge [mm]."""


@dataclass(frozen=True)
class Line:
    """A line to mark, not to cut: (k, 2) [mm]."""

    kind: Kind
    points: Array


@dataclass(frozen=True)
class Text:
    """Words at a place [mm]: size of the letters, which end stands there, turned anticlockwise by an angle [deg]."""

    at: tuple[float, float]
    words: str
    size: float = TICK
    align: Literal["left", "middle", "right"] = "left"
    angle: float = 0.0
    bold: bool = False


@dataclass(frozen=True)
class Crosses:
    """Two crosses and the distance that a rule must find between them [mm]."""

    a: tuple[float, float]
    b: tuple[float, float]

    @property
    def apart(self) -> float:
        return float(np.hypot(self.b[0] - self.a[0], self.b[1] - self.a[1]))


@dataclass(frozen=True)
class Part:
    """One thing to cut out.

    name : as it is called on the sheet; file : its name as a file, without an ending.
    rings : closed outlines (k, 2) [mm], outer first, the first point not repeated; several outer ones where it is in pieces.
    thickness : of what it is cut from [mm]. sheet : sawn from a sheet, and not glued up or from the solid.
    """

    name: str
    file: str
    rings: tuple[Array, ...]
    lines: tuple[Line, ...]
    texts: tuple[Text, ...]
    crosses: tuple[Crosses, ...]
    thickness: float
    sheet: bool = True

    @property
    def box(self) -> tuple[Array, Array]:
        """Least and greatest corner of what is cut [mm]."""
        p = np.concatenate(self.rings)
        return p.min(axis=0), p.max(axis=0)


def file_of(name: str) -> str:
    """A part's name as part of a file's: small letters, figures, dashes.

    >>> file_of("form 1200 mm"), file_of("Form 3/4")
    ('form-1200-mm', 'form-3-4')
    """
    return (
        "-".join("".join(c.lower() if c.isalnum() and c.isascii() else " " for c in name).split()) or "part"
    )


def today() -> str:
    """The date for a label; SOURCE_DATE_EPOCH in the environment holds it fixed."""
    fixed = os.environ.get("SOURCE_DATE_EPOCH", "")
    when = (
        datetime.datetime.fromtimestamp(int(fixed), datetime.UTC)
        if fixed.isdigit()
        else datetime.datetime.now()
    )
    return when.date().isoformat()


def across(form: Form) -> float:
    """Sign of half-breadth to starboard on the pattern, seen looking at the station face.

    A body aft of its station is looked at from ahead, facing aft: starboard is on the left hand.
    """
    return -1.0 if form.body == "aft" else 1.0


def parts_of(forms: Forms, halves: bool = False) -> tuple[Part, ...]:
    """All parts, forms from the bow, then bulkheads, stems and transom."""
    from hullview.show.pattern_ends import end_parts

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
    for wanted in _marks_said(forms, form, flip, drawn):
        texts, free = with_text(texts, free, wanted)
    texts = [*texts, *label_in(free, drawn, label_of(forms, form, name))]
    return Part(name, file_of(name), rings, tuple(lines), tuple(texts), crosses, form.thickness * 1000)


def dressed(
    drawn: Polygon, lines: Sequence[Line], texts: Sequence[Text]
) -> tuple[tuple[Crosses, ...], list[Text], BaseGeometry]:
    """The crosses of a part where its words leave room, the words, and the wood that is left free for more."""
    from shapely import LineString, Point, union_all

    taken = [box_of(t) for t in texts]
    taken += [LineString(x.points).buffer(1.2) for x in lines if x.kind not in ("scribe", "guide")]
    free = drawn.buffer(-2.0).difference(union_all(taken)) if taken else drawn.buffer(-2.0)
    found = _crosses(drawn, free)
    arms = [Point(p).buffer(5.5) for c in found for p in (c.a, c.b)]
    arms += [box_of(crosses_said(c)) for c in found]
    return found, list(texts), free.difference(union_all(arms)) if arms else free


def crosses_said(c: Crosses) -> Text:
    """The distance between two crosses in words, beside the first."""
    upright = abs(c.a[0] - c.b[0]) < abs(c.a[1] - c.b[1])
    at = (c.a[0] - 1.5, c.a[1] + 6.0) if upright else (c.a[0] + 5.5, c.a[1] - 3.4)
    return Text(at, f"cross to cross {c.apart:.0f} mm", 2.2, "left", 90.0 if upright else 0.0)


def box_of(t: Text) -> Polygon:
    """The room that words take on the page, a little more than the letters."""
    from shapely import box
    from shapely.affinity import rotate, translate

    long = len(t.words) * t.size * WIDE * (1.12 if t.bold else 1.0)
    start = {"left": 0.0, "middle": -long / 2, "right": -long}[t.align]
    flat = box(start - 0.8, -0.35 * t.size, start + long + 0.8, t.size)
    return translate(rotate(flat, t.angle, origin=(0, 0)), *t.at)


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
        "square": f"edge square, {form.touches} face touches"
        if form.touches in ("station", "other")
        else "edge square, see the table",
        "bevelled": "bevelled: saw this outline, plane to the scribed one",
    }[form.edge]
    said = [
        name[:1].upper() + name[1:],
        f"THIS FACE TO {way}",
        f"{boat.name}, {forms.build.name}",
        f"{place}; this face stands on it",
        f"{form.thickness * 1000:.3g} mm thick, {edge}",
        f"planking taken off: {taken:.2f} mm"
        if form.kind == "form"
        else "to the finished inside of the planking",
    ]
    if form.midship:
        said.append(f"midship form, {forms.left_over * 1000:.2f} mm left over")
    if form.clamps_meet:
        said.append("both clamps meet in it")
    stand = forms.strongback
    if form.kind == "form":
        said.append(
            f"set-up line {stand.at * 1000:.0f} mm above the base line, sight line {forms.sight * 1000:.0f} mm"
        )
    said.append(f"{today()}, table {boat.checksum[:8]}")
    return tuple(said)


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
    return np.asarray(flat / np.maximum(np.linalg.norm(flat, axis=1, keepdims=True), 1e-12))


def _sheer_marks(form: Form, flip: Array) -> Iterator[Line]:
    """A line in from the sheer mark square to the side, past the notch into the wood."""
    deep = max((n.width + n.gap for n in form.notches if n.kind == "sheer"), default=0.0)
    into = inward_of(form.side)[-1]
    start = np.array(form.sheer_mark)
    line = np.array([start - 0.004 * into, start + (deep + 0.02) * into])
    for hand in (1.0, -1.0):
        yield Line("sheer", line * flip * np.array([hand, 1.0]))


def bevel_rows(t: Trued, every: float | None = None) -> Iterator[tuple[float, int]]:
    """Girths each 50 mm from the first point, and the nearest point of the edge."""
    every = every or customs()["bevel_every"]
    for k in range(int(t.girth[-1] / every + 1e-9) + 1):
        yield k * every, int(np.abs(t.girth - k * every).argmin())


def _ticks(form: Form, flip: Array, drawn: Polygon, imperial: bool) -> tuple[list[Line], list[Text]]:
    """A tick on the edge each 50 mm of girth, with the bevel there and the step; not where a notch takes the edge.

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
        for girth, k in bevel_rows(t):
            if girth == 0 or t.cut[k, 0] < 0.006:
                continue
            size = f"{t.step[k] / INCH:.2f} in" if imperial else f"{t.step[k] * 1000:.1f}"
            words = f"{girth * 1000:.0f}: {np.degrees(t.bevel[k]):.1f}\u00b0 {size}".replace("-0.0", "0.0")
            for hand in (1.0, -1.0):
                turn = flip * np.array([hand, 1.0])
                edge, way = t.cut[k] * turn, into[k] * turn / 1000
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


def along_way(at: Array, way: Array, words: str, size: float) -> Text:
    """Words that begin at a place and run on along a way, never upside down."""
    way = way / np.linalg.norm(way)
    place = at + way * 1.2
    angle = float(np.degrees(np.arctan2(way[1], way[0])))
    if abs(angle) <= 90:
        return Text((float(place[0]), float(place[1])), words, size, "left", angle)
    return Text((float(place[0]), float(place[1])), words, size, "right", angle - np.sign(angle) * 180)


def _marks_said(forms: Forms, form: Form, flip: Array, drawn: Polygon) -> Iterator[list[Text]]:
    """Words beside the sheer marks and the level lines, and which side is which: for each the places it might stand."""
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


def _crosses(drawn: Polygon, free: BaseGeometry) -> tuple[Crosses, ...]:
    """Two crosses nearly as far apart as there is wood for them, across; and two up and down."""
    import shapely

    shapely.prepare(free)
    low_x, low, high_x, high = drawn.bounds
    found = [
        _furthest(drawn, free, np.arange(low + 6, high - 5, 4.0), True),
        _furthest(drawn, free, np.arange(low_x + 6, high_x - 5, 6.0), False),
    ]
    return tuple(c for c in found if c is not None)


def _furthest(drawn: Polygon, free: BaseGeometry, lines: Array, flat: bool) -> Crosses | None:
    """The two crosses furthest apart on any of the lines across (or up and down), a whole number of 10 mm, with room for their arms and words."""
    import shapely

    low_x, low, high_x, high = drawn.bounds
    ends = np.array(
        [[[low_x - 1, v], [high_x + 1, v]] if flat else [[v, low - 1], [v, high + 1]] for v in lines]
    )
    if not len(ends):
        return None
    bounds = shapely.bounds(shapely.intersection(shapely.linestrings(ends), drawn))
    a, b = (bounds[:, 0], bounds[:, 2]) if flat else (bounds[:, 1], bounds[:, 3])
    best: Crosses | None = None
    for k in np.argsort(-(b - a)):
        room, middle, v = b[k] - a[k], (a[k] + b[k]) / 2, float(lines[k])
        if np.isnan(room) or room - 11 < 40:
            continue
        for apart in np.arange(np.floor((room - 11) / 10) * 10, max(30.0, room * 0.55), -10.0):
            if best is not None and apart <= best.apart + 1e-6:
                break
            p, q = middle - apart / 2, middle + apart / 2
            found = Crosses((p, v), (q, v)) if flat else Crosses((v, p), (v, q))
            rooms = shapely.buffer(shapely.points([found.a, found.b]), 4.6, quad_segs=2)
            if shapely.covers(free, rooms).all() and free.covers(box_of(crosses_said(found))):
                best = found
    return best


def label_in(free: BaseGeometry, drawn: Polygon, said: Sequence[str]) -> list[Text]:
    """The label where the wood has room for it, in letters as large as fit; below the part where there is none."""
    import shapely

    shapely.prepare(free)
    low_x, low, high_x, high = drawn.bounds
    for size in (LABEL * 1.25, LABEL, 3.2, 2.6, 2.2, LEAST):
        wide = max(
            len(w) * size * WIDE * (1.6 if k == 0 else 1.12 if k == 1 else 1.0) for k, w in enumerate(said)
        )
        tall = (len(said) + 0.7) * size * LEADING
        z, x = (v.ravel() for v in np.meshgrid(np.arange(high - tall - 4, low, -6), np.arange(low_x + 4, high_x - wide, 8), indexing="ij"))  # fmt: skip
        if not len(x):
            continue
        fits = np.flatnonzero(shapely.contains(free, shapely.box(x, z, x + wide, z + tall)))
        if len(fits):
            return _set(said, float(x[fits[0]]), float(z[fits[0]] + tall), size)
    return _set(said, low_x, low - 6, LEAST + 0.6)


def _set(said: Sequence[str], x: float, top: float, size: float) -> list[Text]:
    out, y = [], top
    for k, words in enumerate(said):
        big = size * (1.5 if k == 0 else 1.0)
        y -= big * LEADING if k == 0 else size * LEADING
        out.append(Text((x, y), words, big, bold=k < 2))
    return out
