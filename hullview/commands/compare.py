"""`hullview compare`: builds side by side."""

from __future__ import annotations

from typing import Any

import click

from hullview.commands import options
from hullview.commands.output import one_format, records_to_csv, to_json, to_stdout


@options.example_command("compare", "hullview compare models/short-kayak clamped-sheer taped-seam")
@options.boat_argument
@click.argument("builds", metavar="BUILD BUILD...", nargs=-1)
@options.json_option
@options.csv_option
def command(boat: str, builds: Any, as_json: bool, as_csv: bool) -> None:
    """Builds side by side: weight by group, centre, resin, how each floats; and what no scale shows, in words.

    Differences are worked out pair by pair, so that what two builds share does not blur them.
    """
    from hullview import study
    from hullview.commands.records import of_compared
    from hullview.show.weights import compare_rows, compare_text

    one_format(as_json, as_csv)
    read = options.read(boat)
    compared, floating = study.compared(read, builds)
    if as_json:
        to_json(of_compared(compared, floating))
    elif as_csv:
        records_to_csv(compare_rows(compared, floating))
    else:
        to_stdout(compare_text(read, compared, floating), bold_first=True)
