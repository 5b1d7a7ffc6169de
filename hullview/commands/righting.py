"""`hullview righting`: the righting moment curve."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import click

from hullview.commands import options
from hullview.commands.drawing import charts, draw, drawing_option
from hullview.commands.output import one_format, to_csv, to_json, to_stdout

if TYPE_CHECKING:
    from hullview.afloat.righting import RightingCurve
    from hullview.answer.conditions import Craft

POSTURES = {"rigid": ("rigid",), "upright": ("upright torso",), "both": ("rigid", "upright torso")}


@options.example_command(
    "righting",
    'hullview righting models/short-kayak\nhullview righting models/short-kayak --against "70 kg" --plot curves.svg',
)
@options.boat_argument
@options.load_options
@click.option(
    "--to",
    "last",
    type=click.FloatRange(-180, 180),
    default=180.0,
    metavar="DEG",
    help="Last heel in degrees; to port with a minus.",
)
@click.option(
    "--step",
    type=click.FloatRange(0.25, 90),
    default=5.0,
    metavar="DEG",
    help="From one heel to the next, in degrees.",
)
@click.option(
    "--posture",
    type=click.Choice(list(POSTURES)),
    default="both",
    help="Rigid with the boat, or torso upright over the seat.",
)
@click.option("--against", type=options.MASS, multiple=True, help="Another paddler on the same chart.")
@drawing_option("--plot", "Draw the curves too.")
@options.json_option
@options.csv_option
def command(
    boat: str, build: str | None, last: float, step: float, posture: str, against: Any, plot: str | None, as_json: bool, as_csv: bool,
    **load: Any,
) -> None:  # fmt: skip
    """The righting moment curve, displacement held and trim free: peak, vanishing angle, flooding, energy.

    A rigid paddler moves with the boat; an upright torso stays over the seat. Where the load hangs to one side, or a vent sits on one,
    the other side is told of too, in full with --json.
    """
    from hullview import study
    from hullview.answer.reading import reading
    from hullview.commands.records import of_righting
    from hullview.show.stability import holds_for, righting_text

    one_format(as_json, as_csv)
    loaded = options.read_loaded(boat, **load)
    craft, heels = study.launch(loaded, build), _heels(last, step)
    curves = _curves(craft, heels, posture, against)
    told = reading(craft, curves[0])
    other = None if as_csv else study.other_side(craft, curves[0])
    if not as_csv:
        curves[0] = study.curve_with_error(craft, curves[0])
    if as_json:
        to_json(of_righting(loaded, curves, told, other))
    elif as_csv:
        to_csv(*_table(curves))
    else:
        to_stdout(righting_text(curves, loaded, told, other), bold_first=True)
    draw(plot, lambda: charts().righting_chart(curves, f"{loaded.name}: righting curve", holds_for(loaded)))


def _heels(last: float, step: float) -> list[float]:
    """From upright to the last heel [rad]."""
    import math

    count = max(1, math.floor(abs(last) / step + 1e-9))
    return [math.radians(math.copysign(i * step, last)) for i in range(count + 1)]


def _curves(craft: Craft, heels: list[float], posture: str, against: Any) -> list[RightingCurve]:
    """The load aboard in the postures asked for, and each other paddler rigid."""
    from hullview import study
    from hullview.show.words import people

    boat = craft.boat
    curves = study.righting(craft, heels, POSTURES[posture], people(boat) if against else "")  # type: ignore[arg-type]
    for mass in against:
        other = study.launch(options.with_load(boat, [mass]), craft.weight.build)
        curves += study.righting(other, heels, ("rigid",), people(other.boat))
    return curves


def _table(curves: list[RightingCurve]) -> tuple[list[str], list[list[float]]]:
    """Heels down, a set of columns for each curve."""
    import numpy as np

    header, parts = ["heel_deg"], [np.degrees(curves[0].heel)]
    for i, c in enumerate(curves):
        more = "" if i == 0 else f" {c.label}"
        header += [f"arm_m{more}", f"moment_nm{more}", f"trim_deg{more}"]
        parts += [c.arm, c.moment, np.degrees(c.trim)]
    return header, np.column_stack(parts).tolist()
