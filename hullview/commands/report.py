"""`hullview report`: the whole study in one file that opens and prints anywhere."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Any

import click

from hullview.boat.files import write_whole
from hullview.commands import options
from hullview.commands.output import written
from hullview.commands.together import Apart, Needs
from hullview.errors import UsageError

STEPS = 6


@options.example_command(
    "report",
    "hullview report models/short-kayak -o kayak.html\n"
    "hullview report models/short-kayak -o kayak.html --pdf kayak.pdf\n"
    "hullview report models/short-kayak --sheet -o bench.html",
    rules=[
        Needs("--paper", ("--pdf",), "the HTML file has no paper size of its own"),
        Apart("--light", ("--sheet",), "a bench sheet has no view to turn, so it is light already"),
    ],
)
@options.boat_argument
@options.load_options
@click.option(
    "-o",
    "--output",
    metavar="FILE.html",
    help="Where to write the page; the boat's name and .html if left out.",
)
@click.option("--light", is_flag=True, help="Without the view to turn: under 1 MB.")
@click.option(
    "--sheet",
    "bench",
    is_flag=True,
    help="One page for the bench instead: waterline on the forms, weights by stage.",
)
@click.option("--pdf", metavar="FILE.pdf", help="Print the page to a PDF too; needs Chromium.")
@click.option(
    "--paper", type=click.Choice(("A4", "letter")), default="A4", show_default=True, help="Of the PDF."
)
def command(
    boat: str,
    build: str | None,
    output: str | None,
    light: bool,
    bench: bool,
    pdf: str | None,
    paper: str,
    **load: Any,
) -> None:
    """The whole study in one HTML file: answer, picture, 3D view, checks, righting, weight, lines, offsets,
    sources.

    Nothing in it comes from the net. It is written whole or not at all.
    """
    from hullview.show.browser import found, printed
    from hullview.show.page import page, sheet

    for path, endings in ((output, (".html", ".htm")), (pdf, (".pdf",))):
        if path is not None and not path.lower().endswith(endings):
            raise UsageError(f"{path}: the name must end in {endings[0]}.")
        if path is not None and not Path(path).parent.is_dir():
            raise UsageError(f"{path}: cannot be written: there is no such folder.")
    if pdf and not found():
        printed("")  # says what is missing before any work is done
    loaded = options.read_loaded(boat, **load)
    target = output or file_name(loaded.name, "-bench" if bench else "")
    with click.progressbar(
        length=STEPS, label="report", file=sys.stderr, hidden=not sys.stderr.isatty()
    ) as bar:
        text = (
            sheet(loaded, build)
            if bench
            else page(loaded, build, light=light, tell=lambda step: bar.update(1))
        )
    write_whole(target, text)
    written(target)
    if pdf:
        write_whole(pdf, printed(text, paper))
        written(pdf)


def file_name(name: str, more: str) -> str:
    """A file name from a boat's name: small letters, figures and dashes.

    >>> file_name("Short kayak (blue)", "")
    'short-kayak-blue.html'
    """
    plain = "".join(c.lower() if c.isalnum() else " " for c in name)
    return "-".join(plain.split() or ["boat"])[:80] + more + ".html"
