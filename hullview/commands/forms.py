"""`hullview forms`: full-size patterns of the forms, notched and bevelled."""

from __future__ import annotations

import re
import sys
from typing import Any

import click

from hullview.commands import options
from hullview.commands.output import give, one_format, written
from hullview.commands.together import Needs


class SheetSize(click.ParamType[Any]):
    """Length and width of a sheet: "2440x1220 mm", "8 ft x 4 ft"."""

    name = "sheet"

    def convert(
        self, value: Any, param: click.Parameter | None, ctx: click.Context | None
    ) -> tuple[float, float]:
        from hullview.boat.quantity import QuantityError, read

        if isinstance(value, tuple):
            return value
        first, cross, second = (part.strip() for part in re.sub(r"[\u00d7X]", "x", value).partition("x"))
        unit = re.search(r"[^\d.\s].*$", second)
        if not cross:
            self.fail(f'{value!r}: write "2440x1220 mm" or "8 ft x 4 ft".', param, ctx)
        if unit and re.fullmatch(r"[\d.]+", first):
            first = f"{first} {unit[0]}"
        try:
            sizes = [read(side, "length").value for side in (first, second)]
        except QuantityError as wrong:
            self.fail(f'{value!r}: write "2440x1220 mm" or "8 ft x 4 ft": {wrong}', param, ctx)
        if not all(0.05 <= v <= 20 for v in sizes):
            self.fail(f"{value!r}: a side must be 50 mm to 20 m.", param, ctx)
        return max(sizes) * 1000, min(sizes) * 1000


@options.example_command(
    "forms",
    "hullview forms models/short-kayak --build clamped-sheer -o forms\n"
    'hullview forms models/short-kayak --at "1.3 m" --paper letter -o forms\n'
    "hullview forms models/short-kayak",
    rules=[
        Needs("--paper", ("--output",), "paper is of the patterns in the folder"),
        Needs("--sheet", ("--output",), "sheets are in the folder"),
        Needs("--halves", ("--output",), "halves are of the patterns in the folder"),
    ],
)
@options.boat_argument
@options.build_option
@click.option(
    "--at",
    type=options.LENGTH,
    multiple=True,
    metavar="LENGTH",
    help="An extra form there, aft of the bow datum; may be repeated.",
)
@click.option(
    "--edge",
    type=click.Choice(("square", "bevelled")),
    help="In place of what [forms] says; square if it says nothing.",
)
@click.option(
    "--paper",
    type=click.Choice(("a4", "letter", "a3", "roll")),
    help="Of the tiled patterns; a4, or letter for a builder in inches.",
)
@click.option(
    "--sheet", type=SheetSize(), default="2440x1220 mm", show_default=True, help="The forms are nested on."
)
@click.option("--halves", is_flag=True, help="Left and right halves instead of whole forms.")
@click.option(
    "-o",
    "--output",
    metavar="FOLDER",
    help="Write PDF, SVG, DXF, sheets and tables there; without it the tables are printed only.",
)
@options.json_option
@options.csv_option
def command(
    boat: str,
    build: str | None,
    at: tuple[float, ...],
    edge: Any,
    paper: str | None,
    sheet: tuple[float, float],
    halves: bool,
    output: str | None,
    as_json: bool,
    as_csv: bool,
) -> None:
    """Full-size patterns of the forms to the inside of the planking, notched for clamp and stems, with
    bevels.

    The folder holds PDF at 1:1 in pages, SVG and DXF in millimetres, nested sheets, the table of offsets to
    the inside, and the bench's tables. It is written whole or not at all.
    """
    from hullview import study
    from hullview.show.forms_folder import files_of, patterns_and_sheets, waste_of
    from hullview.tell.forms import forms_telling

    one_format(as_json, as_csv)
    read = options.read(boat)
    if output is not None:
        from hullview.boat.files import folder_is_free

        folder_is_free(output)
    made = study.forms(read, build, at=at, edge=edge)
    if output is None:
        give(forms_telling(made), as_json=as_json, as_csv=as_csv)
        return
    from hullview.boat.files import write_folder

    parts, sheets = patterns_and_sheets(made, sheet, halves)
    telling = forms_telling(made, waste_of(sheets))
    chosen = paper or ("letter" if read.units_shown == "imperial" else "a4")
    count = 2 * len(parts) + sum(1 + len(n.sheets) for n in sheets) + 6
    with click.progressbar(
        length=count, label="forms", file=sys.stderr, hidden=not sys.stderr.isatty()
    ) as bar:
        files = files_of(made, parts, sheets, telling, chosen, lambda name: bar.update(1))
    write_folder(output, files)
    give(telling, as_json=as_json, as_csv=as_csv)
    written(output)
