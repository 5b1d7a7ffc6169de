"""The makings of a flat pattern: lines, letters, crosses and parts in millimetres, and letters laid where the
wood has room for them."""

from __future__ import annotations

import datetime
import os
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

import numpy as np

from hullview.arrays import Array
from hullview.shape.vectors import unit

if TYPE_CHECKING:
    from shapely import Polygon
    from shapely.geometry.base import BaseGeometry

Kind = Literal["centre", "level", "sheer", "tick", "scribe", "guide"]
LABEL, TICK, LEAST = 4.0, 2.6, 1.8
"""Sizes of letters of the label, of ticks, and the smallest that can be read at the bench [mm]."""
LEADING, WIDE = 1.45, 0.56
"""Height of a line and breadth of a letter, over the size of the letters."""


@dataclass(frozen=True)
class Line:
    """A line to mark, not to cut: (k, 2) [mm]."""

    kind: Kind
    points: Array


@dataclass(frozen=True)
class Text:
    """Words at a place [mm]: size of the letters, which end stands there, turned anticlockwise by an angle
    [deg]."""

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
    rings : closed outlines (k, 2) [mm], outer first, the first point not repeated; several outer ones where
    it is in pieces.
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


def dressed(
    drawn: Polygon, lines: Sequence[Line], texts: Sequence[Text]
) -> tuple[tuple[Crosses, ...], list[Text], BaseGeometry]:
    """The crosses of a part where its words leave room, the words, and the wood that is left free for
    more."""
    from shapely import LineString, Point, union_all

    taken = [box_of(t) for t in texts]
    taken += [LineString(x.points).buffer(1.2) for x in lines if x.kind not in ("scribe", "guide")]
    free = drawn.buffer(-2.0).difference(union_all(taken)) if taken else drawn.buffer(-2.0)
    found = _crosses(drawn, free)
    arms = [Point(p).buffer(5.5) for c in found for p in (c.a, c.b)]
    arms += [box_of(crosses_text(c)) for c in found]
    return found, list(texts), free.difference(union_all(arms)) if arms else free


def crosses_text(c: Crosses) -> Text:
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


def along_way(at: Array, way: Array, words: str, size: float) -> Text:
    """Words that begin at a place and run on along a way, never upside down."""
    way = unit(way)
    place = at + way * 1.2
    angle = float(np.degrees(np.arctan2(way[1], way[0])))
    if abs(angle) <= 90:
        return Text((float(place[0]), float(place[1])), words, size, "left", angle)
    return Text((float(place[0]), float(place[1])), words, size, "right", angle - np.sign(angle) * 180)


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
    """The two crosses furthest apart on any of the lines across (or up and down), a whole number of 10 mm,
    with room for their arms and words."""
    import shapely

    low_x, low, high_x, high = drawn.bounds
    ends = np.array(
        [[[low_x - 1, v], [high_x + 1, v]] if flat else [[v, low - 1], [v, high + 1]] for v in lines]
    )
    if not len(ends):
        return None
    nearly = drawn.simplify(0.5)  # where to look; what is found is held to the wood itself
    bounds = shapely.bounds(shapely.intersection(shapely.linestrings(ends), nearly))
    a, b = (bounds[:, 0], bounds[:, 2]) if flat else (bounds[:, 1], bounds[:, 3])
    best: Crosses | None = None
    for k in np.argsort(-(b - a)):
        room, middle, v = b[k] - a[k], (a[k] + b[k]) / 2, float(lines[k])
        if np.isnan(room) or room - 11 < 40:
            continue
        if best is not None and room - 11 < best.apart + 10 - 1e-6:
            break  # nor does any line with less room hold crosses further apart
        for apart in np.arange(np.floor((room - 11) / 10) * 10, max(30.0, room * 0.55), -10.0):
            if best is not None and apart <= best.apart + 1e-6:
                break
            p, q = middle - apart / 2, middle + apart / 2
            found = Crosses((p, v), (q, v)) if flat else Crosses((v, p), (v, q))
            rooms = shapely.buffer(shapely.points([found.a, found.b]), 4.6, quad_segs=2)
            if shapely.covers(free, rooms).all() and free.covers(box_of(crosses_text(found))):
                best = found
    return best


def label_in(free: BaseGeometry, drawn: Polygon, sentences: Sequence[str]) -> list[Text]:
    """The label where the wood has room for it, in letters as large as fit; below the part where there is
    none."""
    import shapely

    shapely.prepare(free)
    low_x, low, high_x, high = drawn.bounds
    for size in (LABEL * 1.25, LABEL, 3.2, 2.6, 2.2, LEAST):
        wide = max(
            len(w) * size * WIDE * (1.6 if k == 0 else 1.12 if k == 1 else 1.0)
            for k, w in enumerate(sentences)
        )
        tall = (len(sentences) + 0.7) * size * LEADING
        z, x = (
            v.ravel()
            for v in np.meshgrid(
                np.arange(high - tall - 4, low, -6), np.arange(low_x + 4, high_x - wide, 8), indexing="ij"
            )
        )
        if not len(x):
            continue
        fits = np.flatnonzero(shapely.contains(free, shapely.box(x, z, x + wide, z + tall)))
        if len(fits):
            return _set(sentences, float(x[fits[0]]), float(z[fits[0]] + tall), size)
    return _set(sentences, low_x, low - 6, LEAST + 0.6)


def _set(sentences: Sequence[str], x: float, top: float, size: float) -> list[Text]:
    out, y = [], top
    for k, words in enumerate(sentences):
        big = size * (1.5 if k == 0 else 1.0)
        y -= big * LEADING if k == 0 else size * LEADING
        out.append(Text((x, y), words, big, bold=k < 2))
    return out
