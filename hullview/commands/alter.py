"""`hullview alter`: what would have to change for the boat to carry this load."""

from __future__ import annotations

import re
import sys
from typing import TYPE_CHECKING, Any

import click

from hullview.commands import options
from hullview.commands.output import give, one_format, written
from hullview.commands.together import Apart, Rule

if TYPE_CHECKING:
    from hullview.boat.altered import Change
    from hullview.boat.model import Boat

HAND = ("--lengthen", "--widen", "--deepen", "--raise-sheer")
ONLY = ("longer", "wider", "deeper", "sheer raised", "seat lower", "seat moved", "lighter", "mix")
_SHARE = re.compile(r"([+-]?)([0-9]{1,4}(?:\.[0-9]{1,6})?|\.[0-9]{1,6}) *%")


class _ByType(click.ParamType[Any]):
    """A share, "5 %", or a length, "100 mm"; -> ("share", 0.05) or ("length", 0.1)."""

    name = "share or length"

    def convert(
        self, value: Any, param: click.Parameter | None, ctx: click.Context | None
    ) -> tuple[str, float]:
        from hullview.boat.quantity import QuantityError, read

        if isinstance(value, tuple):
            return value
        if match := _SHARE.fullmatch(value.strip()):
            share = float(match[2]) / 100 * (-1 if match[1] == "-" else 1)
            if not -0.8 <= share <= 4.0:
                self.fail(f"{value!r}: from -80 % to 400 % is taken.", param, ctx)
            return "share", share
        try:
            return "length", read(value, "length").value
        except QuantityError:
            self.fail(f'{value!r}: write a share, "5 %", or a length, "100 mm".', param, ctx)


BY = _ByType()
RULES: list[Rule] = [Apart("--only", HAND, "by hand nothing is looked for")]


@options.example_command(
    "alter",
    'hullview alter models/short-kayak --paddler "125 kg"\n'
    'hullview alter models/short-kayak --widen "30 mm" -o wider-kayak',
    rules=RULES,
)
@options.boat_argument
@options.load_options
@click.option("--lengthen", type=BY, help='By hand: a share, "5 %", or "100 mm"; seats go along.')
@click.option("--widen", type=BY, help='By hand: "3 %", or "20 mm" of the whole beam.')
@click.option("--deepen", type=BY, help='By hand: "5 %", or "15 mm" of the depth amidships.')
@click.option("--raise-sheer", type=options.LENGTH, help='By hand: "20 mm", the sides going on as they lean.')
@click.option("--only", type=click.Choice(ONLY), help="Look for this change alone.")
@click.option(
    "-o",
    "--output",
    metavar="FOLDER",
    help="Write the altered boat as a new folder, in the units of its files, comments kept.",
)
@options.json_option
@options.csv_option
def command(
    boat: str,
    build: str | None,
    lengthen: Any,
    widen: Any,
    deepen: Any,
    raise_sheer: float | None,
    only: str | None,
    output: str | None,
    as_json: bool,
    as_csv: bool,
    **load: Any,
) -> None:
    """The smallest change with which the boat carries this load: longer, wider, deeper, the sheer raised, the
    seat lower or moved, a lighter build, each alone, and the best mix; or what a change by hand does.

    The hull is scaled, never the planking or the people. Every proposal has been through the whole answer,
    and 2 % less of it does not carry. Nothing is looked for past 15 %.
    """
    from hullview import study
    from hullview.boat.files import folder_is_free
    from hullview.boat.writer import save, sources
    from hullview.tell.alter import alter_telling

    one_format(as_json, as_csv)
    if output:
        folder_is_free(output)
    craft = study.launch(study.carried(options.read_loaded(boat, **load)), build)
    hand = by_hand(craft.boat, lengthen, widen, deepen, raise_sheer)
    with click.progressbar(length=9, label="alter", file=sys.stderr, hidden=not sys.stderr.isatty()) as bar:
        made = study.alter(
            craft,
            only=only or "",
            by_hand=hand,
            files=sources(boat) if output else None,
            tell=lambda step: bar.update(1),
        )
    if output and made.files is not None:
        save(output, made.files)
    give(alter_telling(made, craft.boat), as_json=as_json, as_csv=as_csv)
    if output:
        written(output)


def by_hand(boat: Boat, lengthen: Any, widen: Any, deepen: Any, raise_sheer: float | None) -> Change | None:
    """The change that options ask for; None where none does."""
    from hullview.boat.altered import Change, dimensions

    if lengthen is widen is deepen is raise_sheer is None:
        return None
    size = dimensions(boat)
    factors = {}
    for field, given in (("length", lengthen), ("beam", widen), ("depth", deepen)):
        if given is not None:
            kind, value = given
            factors[field] = 1.0 + (value if kind == "share" else value / getattr(size, field))
    return Change(**factors, sheer=raise_sheer or 0.0)
