"""`hullview new`: a new boat's folder to fill in."""

from __future__ import annotations

import click

from hullview.commands import options
from hullview.commands.output import to_stdout


@options.example_command("new", "hullview new my-boat")
@click.argument("folder", metavar="FOLDER")
def command(folder: str) -> None:
    """A new boat's folder to fill in: a small invented boat, every key explained. A folder that holds
    anything is left alone."""
    from hullview.boat.new_boat import write_new

    made = write_new(folder)
    to_stdout(
        f"{made}: fill in offsets.csv from the plan and boat.toml from the shop, then: hullview check {made}"
    )
