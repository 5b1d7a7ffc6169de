"""Drawings of one boat, ready for paper, from what the study says of it."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from hullview.answer.plausible import sizes
from hullview.boat.model import Boat
from hullview.boat.wording import length_text, mass_text
from hullview.errors import UsageError
from hullview.shape.hull import Hull
from hullview.show.linesplan import lines_plan

if TYPE_CHECKING:
    from matplotlib.figure import Figure

    from hullview.afloat.equilibrium import Floating

KINDS = ("svg", "pdf", "png")


def kind_of(path: str) -> str:
    """The kind of drawing a file's name asks for.

    >>> kind_of("lines.SVG")
    'svg'
    """
    kind = Path(path).suffix.lower().removeprefix(".")
    if kind not in KINDS:
        raise UsageError(f"{path}: a drawing's name must end in .svg, .pdf or .png.")
    return kind


def lines_of(boat: Boat, hull: Hull, floating: Floating | None = None, scale: float | None = None) -> Figure:
    """Its lines plan with the loaded waterline; scale: 10 for 1:10, None for what suits the sheet."""
    from hullview.show.drawings import lines_drawing

    to = "inside" if boat.hull.measured_to == "inside" else "outside"
    to_what = "lines to the outside of the planking" + (
        f"; its table is to the {to}" if to == "inside" else ""
    )
    marks = f"; table {boat.checksum[:8]}" if boat.checksum else ""
    return lines_drawing(
        lines_plan(hull, floating, units=boat.units_shown, diagonals=diagonals_of(boat)),
        boat.name,
        [*([boat.builder] if boat.builder else []), to_what + marks],
        facts(boat, hull, floating),
        scale,
    )


def diagonals_of(boat: Boat) -> list[tuple[float, float]]:
    """Height on the centre plane [m] and angle [rad] of the diagonals of its table."""
    lines = boat.hull.table.lines if boat.hull.table else ()
    return [
        (line.at, line.angle)
        for line in lines
        if line.name == "diagonal" and line.at is not None and line.angle is not None
    ]


def facts(boat: Boat, hull: Hull, floating: Floating | None = None) -> tuple[tuple[str, str], ...]:
    """(words, value) of its dimensions, and of how it floats with the load in its file."""
    units, size = boat.units_shown, sizes(hull)
    told: list[tuple[str, str]] = [
        (words, length_text(size[words], units)) for words in ("length", "beam", "depth") if words in size
    ]
    if floating is not None and floating.draft is not None and floating.waterline_length is not None:
        told += [
            ("waterline length", length_text(floating.waterline_length, units)),
            ("draft, loaded", length_text(floating.draft, units)),
            ("afloat with all aboard", mass_text(floating.mass, units)),
        ]
    return tuple(told)
