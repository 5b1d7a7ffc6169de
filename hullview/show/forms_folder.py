"""Everything that is written for the forms of a boat, as the files of one folder."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

import numpy as np

from hullview.forms.form import Forms
from hullview.forms.table import hull_toml, inside_table, table_csv
from hullview.show.dxf import dxf_of
from hullview.show.nested import Nested, nested
from hullview.show.pattern import Part
from hullview.show.pattern_svg import svg_of
from hullview.show.patterns import parts_of
from hullview.show.pdf import sheets_pdf, tiled_pdf
from hullview.weight.customs import customs

if TYPE_CHECKING:
    from hullview.tell.model import Telling

SHEET = (2440.0, 1220.0)
"""A sheet of plywood [mm]."""


def patterns_and_sheets(
    forms: Forms, sheet: tuple[float, float] = SHEET, halves: bool = False
) -> tuple[tuple[Part, ...], tuple[Nested, ...]]:
    """All parts, and how those sawn from sheets are nested."""
    parts = parts_of(forms, halves)
    tool = (forms.boat.forms.tool or customs()["tool"]) * 1000
    return parts, nested([p for p in parts if p.sheet], sheet, tool)


def waste_of(sheets: tuple[Nested, ...]) -> dict[str, float]:
    """The share that is waste, by thickness in words."""
    return {
        f"{n.thickness:g} mm, {len(n.sheets)} sheet{'s' if len(n.sheets) > 1 else ''}": n.waste
        for n in sheets
    }


def files_of(
    forms: Forms,
    parts: tuple[Part, ...],
    sheets: tuple[Nested, ...],
    telling: Telling,
    paper: str,
    progress: Callable[[str], object] = lambda name: None,
) -> dict[str, bytes]:
    """Name and bytes of every file.

    Parameters
    ----------
    forms : Forms
    parts, sheets
        Of `patterns_and_sheets`.
    telling : Telling
        Of `forms_telling`.
    paper : "a4", "letter", "a3" or "roll"
    progress : callable, optional
        Told what is being made.
    """
    from hullview.show import record, text

    heading = f"{forms.boat.name}, {forms.build.name}"
    found: dict[str, bytes] = {}

    def put(name: str, data: str | bytes) -> None:
        found[name] = data.encode() if isinstance(data, str) else data
        progress(name)

    for part in parts:
        put(f"svg/{part.file}.svg", svg_of(part))
        put(f"dxf/{part.file}.dxf", dxf_of([(part, 0.0, np.zeros(2))]))
    for n in sheets:
        size = f"{n.thickness:g}".replace(".", "-")
        put(f"sheets-{size}-mm.pdf", sheets_pdf(n.sheets, n.size, f"{heading}, {n.thickness:g} mm", n.waste))
        for k, placed in enumerate(n.sheets, 1):
            put(f"sheet-{size}-mm-{k}.dxf", dxf_of(placed, n.size))
    made = inside_table(forms)
    put("inside-offsets.csv", table_csv(made))
    put("inside-hull.toml", hull_toml(made, forms.boat.hull.type))
    put("forms.json", record.as_json(telling))
    put("bevels.csv", record.as_csv(telling))
    put("bench.txt", text.plain(text.lines(telling, full=True)) + "\n")
    put(f"patterns-{paper}.pdf", tiled_pdf(parts, paper, heading))
    return found
