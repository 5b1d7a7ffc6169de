"""A pattern as SVG in millimetres: one user unit is one millimetre, y down, at its true size."""

from __future__ import annotations

from collections.abc import Iterator
from xml.sax.saxutils import escape

import numpy as np

from hullview.arrays import Array
from hullview.show.pattern import Crosses, Part, Text, box_of, crosses_text

MARGIN = 12.0
"""Round the part, for its marks and words [mm]."""
STYLE = {
    "cut": 'fill="none" stroke="#000" stroke-width="0.25"',
    "centre": 'fill="none" stroke="#444" stroke-width="0.2" stroke-dasharray="12 2 2 2"',
    "level": 'fill="none" stroke="#444" stroke-width="0.2" stroke-dasharray="4 2"',
    "sheer": 'fill="none" stroke="#b02318" stroke-width="0.3"',
    "tick": 'fill="none" stroke="#1f5fa8" stroke-width="0.2"',
    "scribe": 'fill="none" stroke="#1f5fa8" stroke-width="0.2" stroke-dasharray="3 1"',
    "guide": 'fill="none" stroke="#777" stroke-width="0.2" stroke-dasharray="5 3"',
}
"""Of cuts and marks; each kind has its own dashes too, so that it can be told without colour."""
ANCHOR = {"left": "start", "middle": "middle", "right": "end"}


def extent_of(part: Part) -> tuple[Array, Array]:
    """Least and greatest corner of everything on a pattern, words too [mm]."""
    low, high = part.box
    points = [low, high, *(p for line in part.lines for p in line.points)]
    for t in part.texts:
        box = box_of(t).bounds
        points += [np.array(box[:2]), np.array(box[2:])]
    both = np.array(points)
    return both.min(axis=0), both.max(axis=0)


def svg_of(part: Part) -> str:
    """The pattern as the text of an SVG file; outlines are closed paths of class "cut"."""
    low, high = extent_of(part)
    low, high = low - MARGIN, high + MARGIN
    width, height = high - low
    head = (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{width:.3f}mm" height="{height:.3f}mm"'
        f' viewBox="{low[0]:.3f} {-high[1]:.3f} {width:.3f} {height:.3f}" font-family="DejaVu Sans, Arial,'
        ' sans-serif">'
    )
    body = [f"<title>{escape(part.name)}</title>"]
    body += [f'<path class="cut" {STYLE["cut"]} d="{_path(r)} Z"/>' for r in part.rings]
    body += [f'<path class="mark {x.kind}" {STYLE[x.kind]} d="{_path(x.points)}"/>' for x in part.lines]
    body += [s for c in part.crosses for s in _crosses(c)]
    body += [_text(t) for t in part.texts]
    return "\n".join([head, *body, "</svg>\n"])


def _path(points: Array) -> str:
    return "M " + " L ".join(f"{x:.4f},{-y + 0.0:.4f}" for x, y in points)


def _crosses(c: Crosses) -> Iterator[str]:
    for x, y in (c.a, c.b):
        yield (
            f'<path class="cross" fill="none" stroke="#000" stroke-width="0.15" d="M {x - 4:.3f},{-y:.3f} H'
            f' {x + 4:.3f} M {x:.3f},{-y - 4:.3f} V {-y + 4:.3f}"/>'
        )
    yield _text(crosses_text(c))


def _text(t: Text) -> str:
    x, y = t.at
    turn = f' transform="rotate({-t.angle:.3f} {x:.3f} {-y:.3f})"' if t.angle else ""
    bold = ' font-weight="bold"' if t.bold else ""
    return (
        f'<text x="{x:.3f}" y="{-y:.3f}" font-size="{t.size:.2f}"'
        f' text-anchor="{ANCHOR[t.align]}"{bold}{turn}>{escape(t.words)}</text>'
    )
