"""Words on a picture: caption, legend, figures and letters at a place, laid out in pixels so that none lie
over others on a sheet of any shape."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

import numpy as np

from hullview.arrays import Array
from hullview.show import colours

if TYPE_CHECKING:
    import pyvista

MARGIN = 30
"""Room left along the edges, and below the sizes of letters and the steps between lines: in pixels of a
sheet whose shorter side has 1000."""
TITLE, SUBTITLE, VERDICT, VALUE, WORDS, LEGEND, LETTER, FOOT = 40, 20, 22, 26, 17, 19, 24, 14
LEAST = 8
"""Letters are never drawn smaller than this [pixels]."""
LEADING = 1.6
"""Lines apart, in heights of letters."""
MOST_FIGURES = 8


def in_pixels(plotter: pyvista.Plotter, size: float) -> float:
    """A size for a sheet of 1000 pixels on the shorter side, on this sheet."""
    return size * min(plotter.window_size) / 1000


def add_legend(plotter: pyvista.Plotter, key: Sequence[tuple[str, str]]) -> None:
    """(words, colour) down the right-hand side, a patch of the colour before each word."""
    width, height = plotter.window_size
    letters = [_text(plotter, words, LEGEND, colours.INK) for words, _ in key]
    side = in_pixels(plotter, 20)
    left = width - in_pixels(plotter, MARGIN) - max((_width(plotter, a) for a in letters), default=0.0)
    for i, (actor, (_, colour)) in enumerate(zip(letters, key)):
        y = height - in_pixels(plotter, 70) - i * _line(plotter, LEGEND)
        place_patch(plotter, f"rim {i}", left - side, y, colours.FAINT_INK, 1.12)
        place_patch(plotter, f"patch {i}", left - side, y, colour)
        _put(plotter, actor, f"legend {i}", left, y)
    extra = len(key)
    while f"patch {extra}" in plotter.actors:  # left over from a longer legend
        remove(plotter, f"rim {extra}", f"patch {extra}", f"legend {extra}")
        extra += 1


def add_caption(
    plotter: pyvista.Plotter,
    title: str,
    subtitle: str,
    verdict: str,
    figures: Sequence[tuple[str, str]],
    worst: str = "",
) -> None:
    """Name, answer and what goes worst at the top left, broken into lines beside the legend; figures along
    the foot."""
    height, margin = plotter.window_size[1], in_pixels(plotter, MARGIN)
    free = _left_of_legend(plotter) - 2 * margin
    y = height - in_pixels(plotter, 70) + in_pixels(plotter, TITLE) * 0.6
    beside_heads = 0.42 * free if plotter.window_size[0] > height else free
    for name, words, size, colour, bold, wide, most in (
        ("title", title, TITLE, colours.INK, True, free, 1),
        ("subtitle", subtitle, SUBTITLE, colours.FAINT_INK, False, free, 6),
        ("verdict", verdict, VERDICT, colours.headline_colour(verdict), True, free, 6),
        ("worst", worst, SUBTITLE, colours.INK, False, beside_heads, 6),
    ):
        lines = _broken(plotter, words, size, bold, wide, most)
        actor = _text(plotter, "\n".join(lines), size, colour, bold, apart=LEADING)
        actor.GetTextProperty().SetVerticalJustificationToTop()
        _put(plotter, actor, name, margin, y)
        after = 0.9 if name == "title" else len(lines) + 0.3
        y -= after * _line(plotter, size)
    _add_figures(plotter, figures)


def _add_figures(plotter: pyvista.Plotter, figures: Sequence[tuple[str, str]]) -> None:
    """Figures in rows along the foot, each with its words under it."""
    width, margin = plotter.window_size[0], in_pixels(plotter, MARGIN)
    pairs = [
        (_text(plotter, value, VALUE, colours.INK, True), _text(plotter, words, WORDS, colours.FAINT_INK))
        for words, value in figures
    ]
    columns = _figure_columns(plotter, [max(_width(plotter, a) for a in pair) for pair in pairs])
    step = (width - 1.8 * margin) / columns
    for i, (value, words) in enumerate(pairs):
        x = margin + (i % columns) * step
        base = max(in_pixels(plotter, 48), _foot_top(plotter) + 1.3 * _letters(plotter, WORDS))
        y = base + (-(-len(pairs) // columns) - 1 - i // columns) * _row(plotter)
        _put(plotter, value, f"value {i}", x, y + _line(plotter, VALUE) * 0.85)
        _put(plotter, words, f"word {i}", x, y)
    remove(plotter, *(f"{k} {i}" for k in ("value", "word") for i in range(len(figures), MOST_FIGURES)))


def _figure_columns(plotter: pyvista.Plotter, widths: Sequence[float]) -> int:
    """How many figures of these widths [pixels] stand side by side, in rows of like length."""
    if not widths:
        return 1
    margin = in_pixels(plotter, MARGIN)
    most = max(1, int((plotter.window_size[0] - 1.8 * margin) / (max(widths) + 0.6 * margin)))
    rows = -(-len(widths) // most)
    return -(-len(widths) // rows)


def figures_top(plotter: pyvista.Plotter) -> float:
    """How far up the figures along the foot reach, in shares of the sheet's height."""
    height = plotter.window_size[1]
    shown = [a for n, a in plotter.actors.items() if n.startswith("value ")]
    tops = [a.GetPositionCoordinate().GetValue()[1] for a in shown]
    return float(max(tops, default=0.0) + 0.7 * _letters(plotter, VALUE) / height)


def add_foot(plotter: pyvista.Plotter, words: str) -> None:
    """Small lines along the very foot of the sheet; figures drawn after it stand over them."""
    margin = in_pixels(plotter, MARGIN)
    lines = _broken(plotter, words, FOOT, False, plotter.window_size[0] - 2 * margin, 6)
    actor = _text(plotter, "\n".join(lines), FOOT, colours.FAINT_INK, apart=LEADING / 1.2)
    actor.GetTextProperty().SetVerticalJustificationToBottom()
    _put(plotter, actor, "foot", margin, in_pixels(plotter, 10))


def _foot_top(plotter: pyvista.Plotter) -> float:
    """How far up the lines along the foot reach [pixels]."""
    if "foot" not in plotter.actors:
        return 0.0
    size = [0.0, 0.0]
    plotter.actors["foot"].GetSize(plotter.renderer, size)
    return in_pixels(plotter, 10) + size[1]


def letter(plotter: pyvista.Plotter, words: str, point: Array, colour: str, size: float = 1.0) -> Any:
    """Words that stay upright at a point in the water's frame."""
    actor = _text(plotter, words, LETTER * size, colour, True)
    actor.GetTextProperty().SetJustificationToCentered()
    actor.GetPositionCoordinate().SetCoordinateSystemToWorld()
    actor.GetPositionCoordinate().SetValue(*(float(c) for c in point))
    return actor


def place(plotter: Any, actor: Any, name: str) -> None:
    """Put an actor on the sheet in place of any of that name."""
    plotter.add_actor(actor, name=name, render=False, reset_camera=False)


def remove(plotter: Any, *names: str) -> None:
    """Take these away, where they are."""
    plotter.remove_actor([n for n in names if n in plotter.actors], render=False)


def place_patch(
    plotter: pyvista.Plotter, name: str, x: float, y: float, colour: str, size: float = 1.0
) -> None:
    """A small square of a colour, its middle at x and y [pixels]."""
    import pyvista
    from vtkmodules.vtkRenderingCore import vtkActor2D, vtkCoordinate, vtkPolyDataMapper2D

    half = size * in_pixels(plotter, 9)
    corners = half * np.array([[-1, -1, 0], [1, -1, 0], [1, 1, 0], [-1, 1, 0]])
    square = pyvista.PolyData.from_regular_faces(corners, np.array([[0, 1, 2, 3]]))
    mapper, actor, system = vtkPolyDataMapper2D(), vtkActor2D(), vtkCoordinate()
    system.SetCoordinateSystemToDisplay()
    mapper.SetInputData(square)
    mapper.SetTransformCoordinate(system)
    actor.SetMapper(mapper)
    actor.GetProperty().SetColor(*colours.rgb(colour))
    _put(plotter, actor, name, x, y)


def _left_of_legend(plotter: pyvista.Plotter) -> float:
    """Where the legend begins [pixels from the left]; the sheet's width where there is none."""
    width = float(plotter.window_size[0])
    if "patch 0" not in plotter.actors:
        return width
    share = plotter.actors["patch 0"].GetPositionCoordinate().GetValue()[0]
    return float(share) * width - in_pixels(plotter, 10)


def _broken(
    plotter: pyvista.Plotter, words: str, size: float, bold: bool, free: float, most: int
) -> list[str]:
    """Words in lines no wider than `free` [pixels], `most` lines; what has no room ends in " ..."."""

    def fits(text: str) -> bool:
        return _width(plotter, _text(plotter, text, size, colours.INK, bold)) <= free

    if fits(words):
        return [words]
    lines, rest = [""], words.split(" ")
    while rest:
        longer = f"{lines[-1]} {rest[0]}" if lines[-1] else rest[0]
        if fits(longer) or not lines[-1]:
            lines[-1] = longer
            rest.pop(0)
        elif len(lines) < most:
            lines[-1] = lines[-1].rstrip()
            lines.append("")
        else:
            break
        while rest and not lines[-1] and not rest[0]:
            rest.pop(0)
    if rest:
        while " " in lines[-1] and not fits(lines[-1] + " ..."):
            lines[-1] = lines[-1].rsplit(" ", 1)[0]
        lines[-1] += " ..."
    return lines


def _text(
    plotter: pyvista.Plotter, words: str, size: float, colour: str, bold: bool = False, apart: float = 1.0
) -> Any:
    """Words as an actor; `apart`: lines apart, in heights of letters."""
    from vtkmodules.vtkRenderingCore import vtkTextActor

    actor = vtkTextActor()
    # a dollar would begin mathematics, a control sign would be drawn as a box
    actor.SetInput("".join(c if c.isprintable() or c == "\n" else " " for c in words).replace("$", r"\$"))
    style = actor.GetTextProperty()
    style.SetFontFamilyToArial()
    style.SetFontSize(_letters(plotter, size))
    style.SetColor(*colours.rgb(colour))
    style.SetBold(bold)
    style.SetLineSpacing(apart)
    style.SetVerticalJustificationToCentered()
    return actor


def _put(plotter: pyvista.Plotter, actor: Any, name: str, x: float, y: float) -> None:
    """An actor at a place [pixels from the left and from the foot], held as shares of the sheet, so that it
    stays there when a window is drawn larger."""
    width, height = plotter.window_size
    actor.GetPositionCoordinate().SetCoordinateSystemToNormalizedDisplay()
    actor.GetPositionCoordinate().SetValue(x / width, y / height, 0.0)
    place(plotter, actor, name)


def _letters(plotter: pyvista.Plotter, size: float) -> int:
    return max(LEAST, round(in_pixels(plotter, size)))


def _line(plotter: pyvista.Plotter, size: float) -> float:
    """From one line to the next [pixels]."""
    return LEADING * _letters(plotter, size)


def _row(plotter: pyvista.Plotter) -> float:
    """From one row of figures to the next [pixels]."""
    return _line(plotter, VALUE) + 1.2 * _line(plotter, WORDS)


def _width(plotter: pyvista.Plotter, actor: Any) -> float:
    size = [0.0, 0.0]
    actor.GetSize(plotter.renderer, size)
    return size[0]
