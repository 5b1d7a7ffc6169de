"""`hullview compare`: builds side by side, of one boat or of several."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from hullview.commands import options
from hullview.commands.drawing import charts, draw, drawing_option
from hullview.commands.output import give, one_format

if TYPE_CHECKING:
    from hullview.boat.model import Boat


@options.example_command(
    "compare",
    "hullview compare models/short-kayak clamped-sheer taped-seam\n"
    "hullview compare models/flat-skiff models/pulling-dinghy --plot weights.svg",
)
@options.boat_argument
@click.argument("builds", metavar="BUILD BUILD...", nargs=-1, shell_complete=options.builds_of)
@drawing_option(
    "--plot", "--chart", words="Draw the weights as bars too, stacked by group with their ranges."
)
@options.json_option
@options.csv_option
def command(boat: str, builds: Any, plot: str | None, as_json: bool, as_csv: bool) -> None:
    """Builds side by side: weight by group, centre, resin, how each floats; and what no scale shows, in
    words.

    Without names: all its builds. A folder among the names is another boat, and names after it are builds of
    that one. Differences are worked out pair by pair, so that what two builds share does not blur them.
    """
    from hullview import study
    from hullview.tell.compare import compare_telling

    one_format(as_json, as_csv)
    compared, sides = study.compared([(study.craft_of(one), names) for one, names in _boats(boat, builds)])
    give(compare_telling(compared, sides), as_json=as_json, as_csv=as_csv)
    names = ", ".join(dict.fromkeys(side.craft.boat.name for side in sides))
    units = sides[0].craft.boat.units_shown
    draw(plot, lambda: charts().weight_chart(compared.weights, f"{names}: weight by group", units))


def _boats(first: str, names: Sequence[str]) -> list[tuple[Boat, list[str]]]:
    """Each boat with the builds named after it: a name that is no build of it, but a folder, is the next
    boat."""
    found: list[tuple[Boat, list[str]]] = [(options.read(first), [])]
    for name in names:
        boat, chosen = found[-1]
        if all(b.name != name for b in boat.builds) and Path(name).exists():
            found.append((options.read(name), []))
        else:
            chosen.append(name)
    return found
