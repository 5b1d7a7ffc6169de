"""Patterns on paper at their true size, tiled over pages, and sheets to cut from. The only room of
reportlab."""

from __future__ import annotations

import io
import textwrap
from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING, Any

import numpy as np

from hullview.arrays import Array
from hullview.show.pattern import LEADING, WIDE, Part, Text, crosses_text
from hullview.show.pattern_svg import extent_of
from hullview.show.tiling import BAR, PAPERS, STRIP, Tiling, match_places, page_name, tiling_of

if TYPE_CHECKING:
    from reportlab.pdfgen.canvas import Canvas

MM = 72.0 / 25.4
"""Points to the millimetre."""
DASHES = {"centre": (12, 2, 2, 2), "level": (4, 2), "scribe": (3, 1), "guide": (5, 3)}
COLOURS = {
    "sheer": (0.69, 0.14, 0.09),
    "tick": (0.12, 0.37, 0.66),
    "scribe": (0.12, 0.37, 0.66),
    "centre": (0.27, 0.27, 0.27),
    "level": (0.27, 0.27, 0.27),
    "guide": (0.47, 0.47, 0.47),
}
CUT_WIDE, MARK_WIDE = 0.25, 0.2
"""Widths of lines [mm]."""
NAME = (1.7, 2.8)
"""Least and greatest size of the letters of a name on a sheet drawn small [mm]."""
FONT, BOLD = "Pattern", "Pattern-Bold"


def tiled_pdf(
    parts: Sequence[Part], paper: str, heading: str, progress: Callable[[], object] = lambda: None
) -> bytes:
    """All parts at 1:1, each over as many pages as it needs, with a map of the pages before it.

    Parameters
    ----------
    parts : sequence of Part
    paper : "a4", "letter", "a3" or "roll"
        On a roll each part is one page of its own size, the narrower way across.
    heading : str
        Boat and build.
    progress : callable, optional
        Called once for each part.
    """
    buffer = io.BytesIO()
    canvas = _canvas(buffer, heading)
    for part in parts:
        low, high = extent_of(part)
        pad = 6.0
        low, high = low - pad, high + pad
        tiling = tiling_of(low, high, paper)
        name = f"part-{part.file}"
        canvas.beginForm(name, (low[0] - 5) * MM, (low[1] - 5) * MM, (high[0] + 5) * MM, (high[1] + 5) * MM)
        draw_part(canvas, part)
        canvas.endForm()
        if paper != "roll":
            _map_page(canvas, part, name, tiling, heading, (low, high))
        for row in range(tiling.down):
            for column in range(tiling.across):
                if _has_something(part, tiling, column, row):
                    _tile(canvas, part, name, tiling, column, row, heading)
        progress()
    canvas.save()
    return buffer.getvalue()


def _canvas(buffer: io.BytesIO, heading: str) -> Canvas:
    from reportlab.pdfgen.canvas import Canvas

    canvas = Canvas(buffer, invariant=1, pageCompression=1)
    canvas.setTitle(heading)
    canvas.setCreator("hullview")
    canvas.setViewerPreference("PrintScaling", "None")
    _fonts()
    return canvas


def _fonts() -> None:
    """A font with the signs of most alphabets, from matplotlib's folder, without loading matplotlib."""
    from importlib.util import find_spec
    from pathlib import Path

    from reportlab.pdfbase import pdfmetrics
    from reportlab.pdfbase.ttfonts import TTFont

    if FONT in pdfmetrics.getRegisteredFontNames():
        return
    spec = find_spec("matplotlib")
    assert spec is not None and spec.submodule_search_locations
    folder = Path(spec.submodule_search_locations[0]) / "mpl-data" / "fonts" / "ttf"
    pdfmetrics.registerFont(TTFont(FONT, folder / "DejaVuSans.ttf"))
    pdfmetrics.registerFont(TTFont(BOLD, folder / "DejaVuSans-Bold.ttf"))


def draw_part(canvas: Canvas, part: Part, words: bool = True) -> None:
    """A part in its own millimetres."""
    canvas.saveState()
    canvas.setLineJoin(1)
    canvas.setLineCap(1)
    canvas.setStrokeColorRGB(0, 0, 0)
    canvas.setLineWidth(CUT_WIDE * MM)
    for ring in part.rings:
        _stroke(canvas, ring, True)
    canvas.setLineWidth(MARK_WIDE * MM)
    for line in part.lines:
        canvas.setStrokeColorRGB(*COLOURS[line.kind])
        canvas.setDash([d * MM for d in DASHES.get(line.kind, ())])
        _stroke(canvas, line.points, False)
    canvas.setDash([])
    canvas.setStrokeColorRGB(0, 0, 0)
    for c in part.crosses:
        for x, y in (c.a, c.b):
            _stroke(canvas, np.array([[x - 4, y], [x + 4, y]]), False)
            _stroke(canvas, np.array([[x, y - 4], [x, y + 4]]), False)
    if words:
        for text in (*part.texts, *(crosses_text(c) for c in part.crosses)):
            write(canvas, text)
    canvas.restoreState()


def _stroke(canvas: Canvas, points: Array, close: bool) -> None:
    path = canvas.beginPath()
    path.moveTo(points[0, 0] * MM, points[0, 1] * MM)
    for x, y in points[1:]:
        path.lineTo(x * MM, y * MM)
    if close:
        path.close()
    canvas.drawPath(path, stroke=1, fill=0)


def write(canvas: Canvas, text: Text) -> None:
    """Words at a place in millimetres; signs that cannot be printed are left out."""
    words = "".join(c if c.isprintable() else " " for c in text.words)
    canvas.saveState()
    canvas.setFillColorRGB(0, 0, 0)
    canvas.setFont(BOLD if text.bold else FONT, text.size * MM)
    canvas.translate(text.at[0] * MM, text.at[1] * MM)
    canvas.rotate(text.angle)
    draw: dict[str, Any] = {
        "left": canvas.drawString,
        "middle": canvas.drawCentredString,
        "right": canvas.drawRightString,
    }
    draw[text.align](0, 0, words)
    canvas.restoreState()


def _has_something(part: Part, tiling: Tiling, column: int, row: int) -> bool:
    """Whether any line or word falls on a page."""
    from shapely import LineString, box

    from hullview.show.pattern import box_of

    x, y = tiling.origin(column, row)
    window = box(x, y, x + tiling.window[0], y + tiling.window[1])
    drawn = [LineString(np.vstack([r, r[:1]])) for r in part.rings] + [
        LineString(x.points) for x in part.lines
    ]
    return any(window.intersects(d) for d in drawn) or any(window.intersects(box_of(t)) for t in part.texts)


def _tile(canvas: Canvas, part: Part, form: str, tiling: Tiling, column: int, row: int, heading: str) -> None:
    """One page: its window of the drawing, match marks, the bar both ways, and which page it is."""
    width, height = tiling.page
    free, (wide, tall) = tiling.free, tiling.window
    canvas.setPageSize((width * MM, height * MM))
    x, y = tiling.origin(column, row)
    canvas.saveState()
    canvas.translate(free * MM, (free + STRIP) * MM)
    clip = canvas.beginPath()
    clip.rect(0, 0, wide * MM, tall * MM)
    canvas.clipPath(clip, stroke=0, fill=0)
    canvas.translate(-x * MM, -y * MM)
    canvas.doForm(form)
    canvas.restoreState()
    canvas.saveState()
    canvas.translate(free * MM, (free + STRIP) * MM)
    if tiling.across * tiling.down > 1:
        _match_marks(canvas, tiling, column, row)
    canvas.restoreState()
    _foot(
        canvas, tiling, heading, part.name, page_name(column, row) if tiling.across * tiling.down > 1 else ""
    )
    canvas.showPage()


def _match_marks(canvas: Canvas, tiling: Tiling, column: int, row: int) -> None:
    """Where neighbours lap: the line at which to trim, and crosses in the middle of the overlap that must
    fall on one another."""
    wide, tall = tiling.window
    lap = tiling.overlap
    canvas.setLineWidth(0.15 * MM)
    canvas.setStrokeColorRGB(0.35, 0.35, 0.35)
    canvas.setDash([1.2 * MM, 1.2 * MM])
    for there, ends in (
        (column > 0, ((lap / 2, 0), (lap / 2, tall))),
        (column < tiling.across - 1, ((wide - lap / 2, 0), (wide - lap / 2, tall))),
        (row < tiling.down - 1, ((0, lap / 2), (wide, lap / 2))),
        (row > 0, ((0, tall - lap / 2), (wide, tall - lap / 2))),
    ):
        if there:
            _stroke(canvas, np.array(ends, float), False)
    canvas.setDash([])
    canvas.setStrokeColorRGB(0, 0, 0)
    for (px, py), words in match_places(tiling, column, row):
        _stroke(canvas, np.array([[px - 3.0, py], [px + 3.0, py]]), False)
        _stroke(canvas, np.array([[px, py - 3.0], [px, py + 3.0]]), False)
        canvas.circle(px * MM, py * MM, 1.5 * MM, stroke=1, fill=0)
        beside = Text((px - 2.2, py + 1.6), words, 2.2, "right") if px > wide / 2 else None
        write(canvas, beside or Text((px + 2.2, py + 1.6), words, 2.2))


def _foot(canvas: Canvas, tiling: Tiling, heading: str, name: str, page: str) -> None:
    """The strip at the foot: a bar of 100 mm, one line from tick to tick, across and up, and what to do
    with it."""
    free = tiling.free
    canvas.setStrokeColorRGB(0, 0, 0)
    canvas.setLineWidth(0.2 * MM)
    x, y = free + 2.0, free + 4.0
    _bar(canvas, (x, y), (x + BAR, y))
    write(canvas, Text((x + 2, y + 2.0), f"{BAR:.0f} mm from tick to tick", 2.4))
    up = (tiling.page[0] - free - tiling.overlap - 3.0, free + STRIP + 2.0)
    _bar(canvas, up, (up[0], up[1] + BAR))
    write(canvas, Text((up[0] - 1.2, up[1] + 2), f"{BAR:.0f} mm", 2.2, "left", 90.0))
    words = f"{name[:1].upper() + name[1:]}" + (f", page {page}" if page else "")
    write(canvas, Text((x + BAR + 5, y + 4.2), words, 3.4, bold=True))
    write(canvas, Text((x + BAR + 5, y + 0.2), heading[:70], 2.2))
    write(canvas, Text((x + BAR + 5, y - 3.2), "print at 100 %, not fitted to the page", 2.6, bold=True))


def _bar(canvas: Canvas, a: tuple[float, float], b: tuple[float, float]) -> None:
    upright = abs(a[0] - b[0]) < abs(a[1] - b[1])
    _stroke(canvas, np.array([a, b]), False)
    for p in (a, b):
        arm = np.array([1.5, 0.0]) if upright else np.array([0.0, 1.5])
        _stroke(canvas, np.array([p - arm, p + arm]), False)


def _map_page(
    canvas: Canvas, part: Part, form: str, tiling: Tiling, heading: str, box: tuple[Array, Array]
) -> None:
    """The part small, with the pages laid over it, so that they are put together right."""
    width, height = tiling.page
    canvas.setPageSize((width * MM, height * MM))
    free = tiling.free
    total = (tiling.across * tiling.step[0] + tiling.overlap, tiling.down * tiling.step[1] + tiling.overlap)
    room = width - 2 * free - 8, height - 2 * free - 40
    scale = min(room[0] / total[0], room[1] / total[1], 1.0)
    left, low = (width - total[0] * scale) / 2, free + 12 + (room[1] - total[1] * scale) / 2
    canvas.saveState()
    canvas.translate(left * MM, low * MM)
    canvas.scale(scale, scale)
    canvas.translate(-tiling.corner[0] * MM, -tiling.corner[1] * MM)
    draw_part(canvas, part, words=False)
    canvas.restoreState()
    pages = 0
    canvas.setLineWidth(0.25 * MM)
    canvas.setStrokeColorRGB(0.12, 0.37, 0.66)
    for row in range(tiling.down):
        for column in range(tiling.across):
            if not _has_something(part, tiling, column, row):
                continue
            pages += 1
            x, y = tiling.origin(column, row)
            px, py = left + (x - tiling.corner[0]) * scale, low + (y - tiling.corner[1]) * scale
            canvas.rect(px * MM, py * MM, tiling.window[0] * scale * MM, tiling.window[1] * scale * MM)
            size = min(9.0, tiling.window[1] * scale * 0.4)
            write(
                canvas,
                Text(
                    (px + tiling.window[0] * scale / 2, py + tiling.window[1] * scale / 2 - size / 3),
                    page_name(column, row),
                    size,
                    "middle",
                    bold=True,
                ),
            )
    canvas.setStrokeColorRGB(0, 0, 0)
    write(canvas, Text((free + 2, height - free - 8), part.name[:1].upper() + part.name[1:], 6.0, bold=True))
    write(canvas, Text((free + 2, height - free - 14), heading[:90], 3.0))
    many = "1 page" if pages == 1 else f"{pages} pages"
    write(
        canvas,
        Text(
            (free + 2, height - free - 19),
            f"Map of the pages, not to scale: {many} follow. Print at 100 %, not fitted to the page.",
            3.0,
        ),
    )
    write(
        canvas,
        Text(
            (free + 2, height - free - 23.5),
            f"Trim at the dashed line in the middle of each {tiling.overlap:.0f} mm overlap; ringed crosses"
            " of one name fall on one another.",
            3.0,
        ),
    )
    write(
        canvas,
        Text(
            (free + 2, free + 6),
            "Measure the 100 mm bars of each page both ways, and then from cross to cross over the joined"
            " sheets, before any wood is cut.",
            2.6,
        ),
    )
    canvas.showPage()


def name_in(part: Part, turn: float, scale: float) -> list[Text]:
    """A part's name where there is most wood for it, level on a sheet drawn small, in lines and letters that
    fit."""
    from shapely import Polygon, maximum_inscribed_circle

    wood = Polygon(part.rings[0], part.rings[1:])
    circle = maximum_inscribed_circle(wood if wood.is_valid else wood.buffer(0), 1.0)
    middle, room = np.array(circle.coords[0]), 1.8 * circle.length * scale
    for size in np.linspace(NAME[1], NAME[0], 6):
        lines = textwrap.wrap(part.name, max(5, int(room / (WIDE * size))))
        if len(lines) * LEADING * size <= room:
            break
    t = np.radians(-turn)
    down = np.array([np.sin(t), -np.cos(t)]) * LEADING * size / scale
    first = middle - down * ((len(lines) - 1) / 2 - 0.25)
    return [
        Text((float(at[0]), float(at[1])), words, float(size) / scale, "middle", -turn if turn else 0.0)
        for words, at in zip(lines, (first + k * down for k in range(len(lines))))
    ]


def sheets_pdf(
    sheets: Sequence[Sequence[tuple[Part, float, Array]]],
    size: tuple[float, float],
    heading: str,
    waste: float,
) -> bytes:
    """The nested sheets small, one a page on A4 lying, each part with its name."""
    buffer = io.BytesIO()
    canvas = _canvas(buffer, heading)
    width, height = PAPERS["a4"][::-1]
    scale = min((width - 20) / size[0], (height - 45) / size[1])
    for number, placed in enumerate(sheets, 1):
        canvas.setPageSize((width * MM, height * MM))
        canvas.saveState()
        canvas.translate((width - size[0] * scale) / 2 * MM, 16 * MM)
        canvas.scale(scale, scale)
        canvas.setLineWidth(0.4 / scale * MM)
        canvas.rect(0, 0, size[0] * MM, size[1] * MM)
        for part, turn, shift in placed:
            canvas.saveState()
            canvas.translate(shift[0] * MM, shift[1] * MM)
            canvas.rotate(turn)
            canvas.setLineWidth(0.2 / scale * MM)
            for ring in part.rings:
                _stroke(canvas, ring, True)
            for line in name_in(part, turn, scale):
                write(canvas, line)
            canvas.restoreState()
        canvas.restoreState()
        write(
            canvas,
            Text(
                (10, height - 14),
                f"Sheet {number} of {len(sheets)}, {size[0]:.0f} x {size[1]:.0f} mm",
                6.0,
                bold=True,
            ),
        )
        write(
            canvas,
            Text(
                (10, height - 20),
                f"{heading}; waste of all sheets {waste:.0%}. Scale about 1:{1 / scale:.0f}: for laying out,"
                " not for cutting.",
                3.0,
            ),
        )
        canvas.showPage()
    canvas.save()
    return buffer.getvalue()
