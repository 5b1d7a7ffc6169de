"""Options that several commands share, and how what a person types becomes a quantity."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING, Any

import click

from hullview.commands.output import to_stderr
from hullview.commands.together import Apart, Rule, check

if TYPE_CHECKING:
    from hullview.boat.model import Boat, Gear, Water

Decorator = Callable[[Callable[..., Any]], Callable[..., Any]]


RULES = (Apart("--seat", ("--seat-back",), "both say where somebody sits; give one"),)
"""Of options that many commands share."""


class ExampleCommand(click.Command):
    """A command whose help begins with an example to copy; options that would do nothing together are
    refused by its rules."""

    def __init__(self, *args: Any, example: str = "", rules: Sequence[Rule] = (), **kwargs: Any):
        self.example, self.rules = example, (*RULES, *rules)
        super().__init__(*args, **kwargs)

    def invoke(self, ctx: click.Context) -> Any:
        check(ctx, self.rules)
        return super().invoke(ctx)

    def format_help(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        formatter.write("Example:\n" + "".join(f"  {line}\n" for line in self.example.splitlines()) + "\n")
        super().format_help(ctx, formatter)


def example_command(name: str, example: str, rules: Sequence[Rule] = ()) -> Decorator:
    """A command of that name, its example first in its help; rules: which of its options go together."""
    return click.command(name, cls=ExampleCommand, example=example, rules=rules)


class Quantity(click.ParamType[Any]):
    """A quantity with its unit, as everywhere in hullview: "82 kg", "9 ft 6 in"."""

    def __init__(self, kind: str):
        self.kind = kind
        self.name = kind

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> float:
        from hullview.boat.quantity import QuantityError, read

        if isinstance(value, float):
            return value
        try:
            return read(value, self.kind).value
        except QuantityError as wrong:
            self.fail(str(wrong), param, ctx)


class _Loaded(click.ParamType[Any]):
    """What `hullview.boat.loading` reads; its refusals are those of the option."""

    def _read(
        self, read: Callable[[str], Any], value: Any, param: click.Parameter | None, ctx: click.Context | None
    ) -> Any:
        from hullview.errors import UsageError

        try:
            return read(value)
        except UsageError as wrong:
            self.fail(str(wrong), param, ctx)


class _GearType(_Loaded):
    """A mass and where: "6 kg @ 2.3 m", or "6 kg @ 2.3 m, 0.1 m, 0.2 m" (aft, starboard, up); none: no
    gear."""

    name = "gear"

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> Gear | None:
        from hullview.boat.loading import gear_of

        found: Gear | None = self._read(gear_of, value, param, ctx)
        return found


class _WaterType(_Loaded):
    """fresh, salt, or a density."""

    name = "water"

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> Water:
        from hullview.boat.loading import water_of

        found: Water = self._read(water_of, value, param, ctx)
        return found


class Point(click.ParamType[Any]):
    """Three bare numbers in metres, "2.93,0,0.2"."""

    name = "x,y,z"

    def convert(
        self, value: Any, param: click.Parameter | None, ctx: click.Context | None
    ) -> tuple[float, float, float]:
        from math import isfinite

        try:
            x, y, z = (float(part) for part in value.split(","))
        except ValueError:
            self.fail(f'{value!r}: must be three numbers in metres, like "2.93,0,0.2".', param, ctx)
        if not (isfinite(x) and isfinite(y) and isfinite(z)):
            self.fail(f"{value!r}: must be finite numbers.", param, ctx)
        return x, y, z


MASS, LENGTH, DENSITY = Quantity("mass"), Quantity("length"), Quantity("density")
WATER = _WaterType()


def builds_of(ctx: click.Context, param: click.Parameter, begun: str) -> list[str]:
    """Builds of the boat on the command line that begin so, for a shell; none where it cannot be read."""
    from hullview.boat.reader import read_boat
    from hullview.errors import HullviewError

    try:
        boat = ctx.params.get("boat") or next(word for word in ctx.args if not word.startswith("-"))
        return [b.name for b in read_boat(boat).builds if b.name.startswith(begun)]
    except (HullviewError, StopIteration):
        return []


def materials_of(ctx: click.Context, param: click.Parameter, begun: str) -> list[str]:
    """Names of materials of the library that begin so, for a shell."""
    from hullview.materials import library

    names = {material.name for _, material in library().search()}
    return sorted(name for name in names if name.lower().startswith(begun.lower()))


boat_argument = click.argument("boat", metavar="BOAT", type=click.Path())
build_option = click.option(
    "--build",
    metavar="NAME",
    shell_complete=builds_of,
    help="One of its builds; the first in the file if left out.",
)
json_option = click.option("--json", "as_json", is_flag=True, help="SI figures as JSON, unrounded.")
csv_option = click.option("--csv", "as_csv", is_flag=True, help="The table as CSV, SI units.")
water_option = click.option("--water", type=WATER, help='fresh, salt, or a density: "1012 kg/m3".')


LOAD = ("paddler", "seat", "seat_back", "faces", "stature", "gear")
"""Who and what goes aboard, as parameters: the keywords of `hullview.boat.loading.with_load`."""


def load_options(function: Callable[..., Any]) -> Callable[..., Any]:
    """--paddler, --seat, --seat-back, --faces, --stature, --gear, --build, --water: another load than the
    boat's file gives."""
    for option in (
        water_option,
        build_option,
        click.option(
            "--gear",
            type=_GearType(),
            multiple=True,
            help='Gear: "6 kg @ 2.3 m" (aft of the bow datum); none: without that of the file.',
        ),
        click.option(
            "--stature",
            type=LENGTH,
            multiple=True,
            help='How tall, once for each paddler: "1.62 m"; the body\'s centre is higher by it.',
        ),
        click.option(
            "--faces",
            type=click.Choice(["bow", "stern"]),
            multiple=True,
            help="Which way a paddler sits, once for each: turned round on the seat.",
        ),
        click.option(
            "--seat-back",
            type=LENGTH,
            multiple=True,
            help="Seat's edge behind the back, aft of the bow datum, once for each paddler.",
        ),
        click.option(
            "--seat",
            metavar="NAME",
            multiple=True,
            help="Seat of the boat's file, by its paddler's name, once for each paddler.",
        ),
        click.option(
            "--paddler",
            type=MASS,
            multiple=True,
            help='Mass of a paddler, dressed: "82 kg"; repeat for more aboard.',
        ),
    ):
        function = option(function)
    return function


def read(path: str, *, water: Water | None = None, notices: bool = True) -> Boat:
    """The boat at a path, in other water if given; what reading noticed is told on stderr, unless the
    command tells it itself."""
    from hullview.boat.reader import read_boat

    boat = read_boat(path)
    for notice in boat.notices if notices else ():
        to_stderr(f"note: {notice}")
    return boat if water is None else replace(boat, water=water)


def read_loaded(path: str, *, water: Water | None = None, **load: Any) -> Boat:
    """The boat at a path with another load: what is left out stays as the file has it. load: as
    `hullview.boat.loading.with_load` takes it."""
    from hullview.boat.loading import with_load

    return with_load(read(path, water=water), **load)
