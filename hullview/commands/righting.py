"""`hullview righting`: the righting moment curve."""

from __future__ import annotations

import math
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from hullview.commands import meshes, options
from hullview.commands.drawing import charts, draw, drawing_option
from hullview.commands.output import give, one_format
from hullview.commands.together import refuse
from hullview.errors import UsageError

if TYPE_CHECKING:
    from hullview.afloat.loads import Torso
    from hullview.afloat.righting import RightingCurve
    from hullview.answer.conditions import Craft
    from hullview.tell.model import Telling

POSTURES: dict[str, tuple[Torso, ...]] = {
    "rigid": ("rigid",),
    "upright": ("upright torso",),
    "both": ("rigid", "upright torso"),
}
STEP = 5.0
"""From one heel to the next where nothing is said [deg]."""
ALIKE = 1e-9
"""Arms of a mesh heeled either way that differ by no more than this share of its size are one curve."""


@options.example_command(
    "righting",
    "hullview righting models/short-kayak\n"
    'hullview righting models/short-kayak --against "70 kg" --plot curves.svg\n'
    "hullview righting models/wigley/wigley.stl --units mm \\\n"
    '    --mass "300 kg" --centre "2.5,0,0.2"',
)
@meshes.argument
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
    metavar="DEG",
    help="From one heel to the next, in degrees; 5 if left out.",
)
@click.option(
    "--posture",
    type=click.Choice(list(POSTURES)),
    help="Rigid with the boat, torso upright over the seat, or both; both if left out.",
)
@click.option("--against", type=options.MASS, multiple=True, help="Another paddler on the same chart.")
@meshes.units_option
@meshes.mass_options
@drawing_option("--plot", words="Draw the curves too.")
@options.json_option
@options.csv_option
@click.pass_context
def command(
    ctx: click.Context,
    /,
    boat: str,
    build: str | None,
    last: float,
    step: float | None,
    posture: str | None,
    against: Any,
    units: str | None,
    mass: float | None,
    centre: Any,
    plot: str | None,
    as_json: bool,
    as_csv: bool,
    water: Any,
    **load: Any,
) -> None:
    """The righting moment curve, displacement held and trim free: peak, vanishing angle, flooding, energy.

    A rigid paddler moves with the boat; an upright torso stays over the seat. Where the load hangs to one
    side, or a vent sits on one, the other side is told of too, in full with --json. A mesh file (STL, OBJ,
    PLY, GLB) needs --units, --mass, --centre.
    """
    from hullview import study
    from hullview.tell.righting import MESH_HOLDS, holds_for

    one_format(as_json, as_csv)
    heels = _heels(last, step)
    if meshes.is_mesh(boat):
        meshes.only_for_boats(ctx, (*meshes.LOAD, "--posture", "--against"))
        body, mass, centre = meshes.loaded_mesh(boat, units, mass, centre)
        name, holds = Path(boat).name, MESH_HOLDS
        curves, telling = _of_mesh(name, body, mass, centre, meshes.density_in(water), heels)
    else:
        meshes.only_for_meshes(ctx)
        loaded = options.read_loaded(boat, water=water, **load)
        if not loaded.load.paddlers:
            refuse(ctx, ("--posture",), f"nobody is aboard {loaded.name}, so nobody sits in any way")
        craft = study.launch(loaded, build)
        name, holds = loaded.name, holds_for(craft.boat)
        curves, telling = _of_boat(craft, heels, posture or "both", against, bare=as_csv)
    give(telling, as_json=as_json, as_csv=as_csv)
    if plot:
        from hullview.show.units import plain

        draw(plot, lambda: charts().righting_chart(curves, f"{name}: righting curve", plain(holds)))


def _heels(last: float, step: float | None) -> list[float]:
    """From upright to the last heel [rad]."""
    if last == 0:
        raise UsageError("--to 0: a curve has to lead somewhere. Give the last heel in degrees, -180 to 180.")
    if step is not None and step > abs(last):
        raise UsageError(f"--step {step:g} is more than --to {abs(last):g}. Give a smaller one.")
    by = min(STEP, abs(last)) if step is None else step
    count = math.floor(abs(last) / by + 1e-9)
    return [math.radians(math.copysign(i * by, last)) for i in range(count + 1)]


def _of_boat(
    craft: Craft, heels: list[float], posture: str, against: Any, bare: bool
) -> tuple[list[RightingCurve], Telling]:
    """The curves of a boat and their telling; bare: without what a table of figures has no room for."""
    from hullview import study
    from hullview.answer.reading import reading
    from hullview.tell.righting import righting_telling

    curves = _curves(craft, heels, posture, against)
    told = reading(craft, curves[0])
    other = None if bare else study.other_side(craft, curves[0])
    if not bare:
        curves[0] = study.curve_with_error(craft, curves[0])
    return curves, righting_telling(curves, craft.boat, told, other)


def _of_mesh(
    name: str, body: Any, mass: float, centre: tuple[float, float, float], density: float, heels: list[float]
) -> tuple[list[RightingCurve], Telling]:
    """The curve of a closed mesh, with the other side where that is another."""
    import numpy as np

    from hullview.afloat.righting import righting_curve
    from hullview.answer.reading import bare_reading
    from hullview.tell.righting import MESH_HOLDS, curves_telling

    def curve(side: float) -> RightingCurve:
        return righting_curve(body, mass, centre, density, side * np.array(heels), label="rigid")

    first, other = curve(1.0), curve(-1.0)
    alike = np.abs(first.arm + other.arm).max() <= ALIKE * body.size
    told = bare_reading(first, float(np.abs(body.vertices[:, 1]).max()))
    return [first], curves_telling([first], name, "metric", MESH_HOLDS, told, None if alike else other)


def _curves(craft: Craft, heels: list[float], posture: str, against: Any) -> list[RightingCurve]:
    """The load aboard in the postures asked for, and each other paddler in the first of them."""
    from hullview import study
    from hullview.boat.loading import with_load
    from hullview.show.units import in_words
    from hullview.tell.model import Curves
    from hullview.tell.verdict import people

    boat, postures = craft.boat, POSTURES[posture]
    room = len(Curves.MARKS) - len(postures)
    if len(against) > room:
        raise UsageError(f"--against was given {len(against)} times; {room} curves at most go on the chart.")
    curves = [
        *study.righting(craft, heels, postures, in_words(people(boat), boat.units_shown) if against else "")
    ]
    for mass in against:
        other = study.launch(with_load(boat, [mass]), craft.weight.build)
        curves += study.righting(other, heels, postures[:1], in_words(people(other.boat), boat.units_shown))
    return curves
