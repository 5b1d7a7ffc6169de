"""Drawings and charts as matplotlib figures, the same bytes every time: no pyplot, no date, nothing that
the screen decides."""

from __future__ import annotations

import functools
import io
from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING, Any, ParamSpec

from hullview.arrays import Array
from hullview.errors import UsageError
from hullview.show import colours
from hullview.show.captions import shortened
from hullview.show.linesplan import Curve, LinesPlan, extent, scale_for

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

P = ParamSpec("P")

INCH = 25.4
PAPERS = (
    ("A4", 297.0, 210.0),
    ("A3", 420.0, 297.0),
    ("A2", 594.0, 420.0),
    ("A1", 841.0, 594.0),
    ("A0", 1189.0, 841.0),
)
"""Name, width and height lying [mm]."""
MARGIN = 18.0
"""White edge [mm], wide enough for letter paper too when A4 is asked for."""
LEAST_TEXT = 7.0
"""No letters smaller than this [points]."""
LETTER_WIDE = 1.4
"""About how wide a letter of that size is [mm]."""
DPI = 160
"""Dots to the inch of a drawing in pixels."""

_RC: dict[str, Any] = {
    "svg.hashsalt": "hullview",
    "svg.fonttype": "path",
    "pdf.fonttype": 42,
    "font.family": "sans-serif",
    "font.sans-serif": ["DejaVu Sans"],
    "font.size": 8.5,
    "axes.edgecolor": colours.FAINT_INK,
    "axes.labelcolor": colours.INK,
    "text.color": colours.INK,
    "xtick.color": colours.FAINT_INK,
    "ytick.color": colours.FAINT_INK,
    "axes.spines.top": False,
    "axes.spines.right": False,
    "axes.grid": True,
    "grid.color": "#dfe3e3",
    "grid.linewidth": 0.6,
    "axes.axisbelow": True,
    "lines.solid_capstyle": "round",
}
_STYLE = {
    # colour, width [points], dashes
    "outline": (colours.INK, 1.1, "-"),
    "station": (colours.FAINT_INK, 0.45, "-"),
    "waterline": ("#5b8ca8", 0.55, "-"),
    "buttock": ("#a8703f", 0.55, "-"),
    "diagonal": ("#6d8a4f", 0.55, (0, (9, 2))),
    "load": (colours.WATERLINE, 1.0, (0, (7, 2, 1.5, 2))),
    "opening": (colours.INK, 0.8, (0, (4, 1.5))),
    "base": (colours.FAINT_INK, 0.5, "-"),
}


def saved(figure: Figure, kind: str) -> bytes:
    """The figure as "svg", "pdf" or "png", byte for byte the same every time."""
    dates: dict[str, Any] = {
        "svg": {"Date": None},
        "pdf": {"CreationDate": None, "ModDate": None},
        "png": {"Software": None},
    }
    if kind not in dates:
        raise UsageError(f"{kind}: a drawing is written as svg, pdf or png.")
    held = io.BytesIO()
    with _inks():
        _lay_out(figure, kind)
        figure.savefig(held, format=kind, metadata=dates[kind], dpi=DPI)
    return held.getvalue()


def _lay_out(figure: Figure, kind: str) -> None:
    """Lay a figure out once for good, by the letters of the file it goes to; matplotlib alone would draw
    it once more for that."""
    import matplotlib

    engine = figure.get_layout_engine()
    if engine is None:
        return
    before = figure.dpi
    with matplotlib.rc_context({"savefig.format": kind}):
        figure.dpi = DPI
        engine.execute(figure)
    figure.dpi = before
    figure.set_layout_engine("none")


def _inks() -> Any:
    """Our letters and inks, whatever matplotlib is set to elsewhere."""
    import matplotlib

    return matplotlib.rc_context({**matplotlib.rcParamsDefault, **_RC})  # type: ignore[dict-item]


def inked(draw: Callable[P, Figure]) -> Callable[P, Figure]:
    """A drawing made with our letters and inks."""

    @functools.wraps(draw)
    def made(*args: P.args, **kwargs: P.kwargs) -> Figure:
        with _inks():
            return draw(*args, **kwargs)

    return made


def sheet(width: float, height: float) -> tuple[Figure, Axes]:
    """A sheet of paper [mm] with axes in mm over the whole of it."""
    from matplotlib.figure import Figure

    figure = Figure(figsize=(width / INCH, height / INCH), facecolor="white")
    axes = figure.add_axes((0, 0, 1, 1), xlim=(0, width), ylim=(0, height))
    axes.set_axis_off()
    return figure, axes


def panels(
    width: float,
    height: float,
    rows: int = 1,
    columns: int = 1,
    edges: tuple[float, float, float, float] | None = None,
    between: tuple[float, float] = (0.0, 0.0),
    **layout: Any,
) -> tuple[Figure, Array]:
    """A figure of charts with (rows, columns) axes.

    Parameters
    ----------
    width, height : float
        Of the figure [mm].
    edges : tuple of float, optional
        Room left of, right of, under and over the axes [mm], where it is known how much words take; laid out
        by the words if left out.
    between : tuple of float
        Room between columns and between rows of axes [mm], with `edges`.
    """
    from matplotlib.figure import Figure

    figure = Figure(
        figsize=(width / INCH, height / INCH),
        facecolor="white",
        layout="constrained" if edges is None else None,
    )
    if edges is not None:
        left, right, under, over = edges
        wide = (width - left - right - (columns - 1) * between[0]) / columns
        tall = (height - under - over - (rows - 1) * between[1]) / rows
        figure.subplots_adjust(
            left / width,
            under / height,
            1 - right / width,
            1 - over / height,
            between[0] / wide,
            between[1] / tall,
        )
    return figure, figure.subplots(rows, columns, squeeze=False, **layout)


# ---------------------------------------------------------------- the lines


BLOCK = (128.0, 59.0)
"""Width and height of the title block [mm]."""
OVER, BETWEEN = 5.0, 9.0
"""Room for the numbers over a view, and between two views [mm]."""


@inked
def lines_drawing(
    plan: LinesPlan,
    title: str,
    notes: Sequence[str] = (),
    facts: Sequence[tuple[str, str]] = (),
    scale: float | None = None,
) -> Figure:
    """The lines plan on paper, to scale: profile over half-breadth plan with the diagonals laid out flat,
    body plan under them, and a title block with a bar of 100 mm to try the print.

    Parameters
    ----------
    plan : LinesPlan
    title : str
    notes : sequence of str
        For the title block: who it is by, what the lines are to.
    facts : sequence of (words, value)
    scale : float, optional
        10 for 1:10 in all three views, on the smallest sheet that holds them; if left out, the largest that
        suits A4 and letter, the body plan in the largest that the room beside the title block holds.
    """
    views = [extent(v) for v in (plan.profile, plan.half_breadth, plan.body)]
    sizes = [high - low for low, high in views]
    name, width, height = PAPERS[0] if scale is None else _paper(sizes, scale)
    scales = [scale] * 3 if scale is not None else _scales(sizes, width - 2 * MARGIN, height - 2 * MARGIN)
    figure, axes = sheet(width, height)
    top = height - MARGIN - OVER
    for view, low, size, ratio in zip(
        (plan.profile, plan.half_breadth), (views[0][0], views[1][0]), sizes, scales
    ):
        tall = size[1] * 1000 / ratio
        _view(axes, view, ratio, (MARGIN - low[0] * 1000 / ratio, top - tall - low[1] * 1000 / ratio))
        top -= tall + BETWEEN
    ratio, low, size = scales[2], views[2][0], sizes[2]
    tall, wide = size[1] * 1000 / ratio, size[0] * 1000 / ratio
    _view(axes, plan.body, ratio, (MARGIN + wide / 2, top - tall - low[1] * 1000 / ratio))
    in_mm = not any(c.kind == "waterline" and c.name.endswith(('"', "'")) for c in plan.profile)
    _title_block(
        axes, width - MARGIN - BLOCK[0], MARGIN, title, [*notes, _scale_words(scales, name)], facts, in_mm
    )
    return figure


def _scales(sizes: Sequence[Array], wide: float, tall: float) -> list[float]:
    """Of profile, half-breadth plan and body plan, on a sheet with so much room [mm]."""
    long, high = float(max(sizes[0][0], sizes[1][0])), float(sizes[0][1] + sizes[1][1])
    rest = tall - 3 * OVER - 2 * BETWEEN
    ratio = scale_for(long, high + float(sizes[2][1]), (wide, rest))
    across, up = sizes[2].tolist()
    body = scale_for(across, up, (wide - BLOCK[0] - BETWEEN, rest - high * 1000 / ratio))
    return [ratio, ratio, min(body, ratio)]


def _scale_words(scales: Sequence[float], paper: str) -> str:
    same = "" if scales[0] == scales[2] else f", body plan 1:{scales[2]:g}"
    return f"scale 1:{scales[0]:g}{same}; {paper}, printed at 100 %"


def _paper(sizes: Sequence[Array], scale: float) -> tuple[str, float, float]:
    """The smallest sheet that holds the three views and the title block; a roll where none does."""
    long, body = max(s[0] for s in sizes[:2]) * 1000 / scale, sizes[2] * 1000 / scale
    wide = max(long, body[0] + BETWEEN + BLOCK[0]) + 2 * MARGIN
    tall = (sizes[0][1] + sizes[1][1]) * 1000 / scale + max(body[1], BLOCK[1]) + 2 * MARGIN
    tall += 3 * OVER + 2 * BETWEEN
    for name, width, height in PAPERS:
        if wide <= width and tall <= height:
            return name, width, height
    return "roll", max(wide, 200.0), max(tall, 150.0)


def _view(axes: Axes, curves: Sequence[Curve], scale: float, at: tuple[float, float]) -> None:
    """Draw curves [m] to scale with the origin of their frame `at` a place of the sheet [mm]."""
    order = ("waterline", "buttock", "diagonal", "base", "station", "opening", "load", "outline")
    for curve in sorted((c for c in curves if c.kind in order), key=lambda c: order.index(c.kind)):
        colour, thick, dashes = _STYLE[curve.kind]
        points = curve.points * 1000 / scale + at
        axes.plot(
            points[:, 0],
            points[:, 1],
            color=colour,
            linewidth=thick,
            linestyle=dashes,
            solid_joinstyle="round",
        )
        _name(axes, curve, points)
    meeting = [(c.name, c.points[0] * 1000 / scale + at) for c in curves if c.kind == "sheer"]
    if meeting:
        top = max(extent(curves)[1][1] * 1000 / scale + at[1], max(p[1] for _, p in meeting)) + 3.5
        _numbers(axes, meeting, top)


def _numbers(axes: Axes, meeting: Sequence[tuple[str, Array]], top: float) -> None:
    """Number the sections in a row over the body plan, each with a thin line to where it meets the sheer."""
    meeting = sorted(meeting, key=lambda m: float(m[1][0]))
    places = spread_out(
        [float(p[0]) for _, p in meeting], max(4.2, LETTER_WIDE * (1 + max(len(name) for name, _ in meeting)))
    )
    for (name, point), x in zip(meeting, places):
        axes.plot([point[0], x], [point[1], top - 0.6], color=colours.FAINT_INK, linewidth=0.3)
        axes.text(x, top, plain(name), fontsize=LEAST_TEXT, ha="center", va="bottom", color=colours.FAINT_INK)


def spread_out(places: Sequence[float], least: float) -> list[float]:
    """Places in order, moved apart as little as leaves `least` between neighbours.

    >>> spread_out([0.0, 1.0, 9.0], 3.0)
    [-1.0, 2.0, 9.0]
    """
    groups: list[list[float]] = []  # each: middle, count
    for place in places:
        groups.append([place, 1])
        while len(groups) > 1 and groups[-1][0] - groups[-2][0] < least * (groups[-1][1] + groups[-2][1]) / 2:
            (a, m), (b, n) = groups[-2], groups.pop()
            groups[-1] = [(a * m + b * n) / (m + n), m + n]
    return [middle + least * (i - (count - 1) / 2) for middle, count in groups for i in range(int(count))]


def _name(axes: Axes, curve: Curve, points: Array) -> None:
    """Stations are numbered at their top, waterlines of the grid at their right end."""
    straight = len(points) == 2
    if curve.kind == "station" and straight:
        end = points[-1]
        axes.text(
            end[0],
            end[1] + 1.2,
            plain(curve.name),
            fontsize=LEAST_TEXT,
            ha="center",
            va="bottom",
            color=colours.FAINT_INK,
        )
    elif curve.kind == "waterline" and straight:
        end = points[points[:, 0].argmax()]
        axes.text(
            end[0] + 1.2,
            end[1],
            plain(curve.name),
            fontsize=LEAST_TEXT,
            va="center",
            color=_STYLE["waterline"][0],
        )
    elif curve.kind == "buttock" and straight and points[0, 1] == points[1, 1]:
        end = points[points[:, 0].argmax()]
        axes.text(
            end[0] + 1.2,
            end[1],
            plain(curve.name),
            fontsize=LEAST_TEXT,
            va="center",
            color=_STYLE["buttock"][0],
        )


def _title_block(
    axes: Axes,
    left: float,
    low: float,
    title: str,
    notes: Sequence[str],
    facts: Sequence[tuple[str, str]],
    in_mm: bool,
) -> None:
    """Name, notes and dimensions, what the lines are, and a bar that must measure 100 mm on the print;
    inches of the grid carry their own mark."""
    wide, tall = BLOCK
    x, y = left + 3.5, low + tall
    axes.plot(
        [left, left + wide, left + wide, left, left],
        [low, low, low + tall, low + tall, low],
        color=colours.INK,
        linewidth=0.8,
    )
    axes.plot([left, left + wide], [y - 9.5, y - 9.5], color=colours.INK, linewidth=0.4)
    axes.text(x, y - 3, plain(shortened(title, 40)), fontsize=13, fontweight="bold", va="top")
    small: dict[str, Any] = {"fontsize": LEAST_TEXT, "va": "center"}
    for i, words in enumerate(notes):
        axes.text(x, y - 12.5 - 3.9 * i, plain(shortened(words, 78)), color=colours.FAINT_INK, **small)
    middle = y - 14.5 - 3.9 * len(notes)
    for i, (words, value) in enumerate(facts):
        axes.text(x, middle - 3.9 * i, plain(words), color=colours.FAINT_INK, **small)
        axes.text(x + 33, middle - 3.9 * i, plain(value), **small)
    keys = (
        ("waterline", "waterlines" + ", mm up" * in_mm),
        ("buttock", "buttocks"),
        ("diagonal", "diagonals, laid out flat"),
        ("station", "stations"),
        ("load", "loaded waterline"),
    )
    for i, (kind, words) in enumerate(keys):
        colour, thick, dashes = _STYLE[kind]
        at = middle - 3.9 * i
        axes.plot([x + 72, x + 84], [at, at], color=colour, linewidth=thick * 1.4, linestyle=dashes)
        axes.text(x + 86, at, words, **small)
    start, bar = left + (wide - 100) / 2, low + 5.5
    for i in range(10):
        face = colours.INK if i % 2 == 0 else "white"
        axes.fill(
            [start + 10 * i, start + 10 + 10 * i, start + 10 + 10 * i, start + 10 * i],
            [bar, bar, bar + 2, bar + 2],
            facecolor=face,
            edgecolor=colours.INK,
            linewidth=0.4,
        )
    axes.text(
        start + 50,
        bar - 2.2,
        "100 mm on paper: measure before use",
        ha="center",
        color=colours.FAINT_INK,
        **small,
    )


def plain(text: str) -> str:
    """A name with no sign that matplotlib reads as mathematics, and no control signs."""
    return "".join(c if c.isprintable() else " " for c in text).replace("$", r"\$")
