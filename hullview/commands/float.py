"""`hullview float`: how a boat, or any closed mesh, lies at rest."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from hullview.commands import meshes, options
from hullview.commands.output import give

if TYPE_CHECKING:
    from hullview.tell.model import Units


@options.example_command(
    "float",
    'hullview float models/short-kayak --paddler "82 kg"\n'
    "hullview float models/wigley/wigley.stl --units mm \\\n"
    '    --mass "300 kg" --centre "2.5,0,0.2"',
)
@meshes.argument
@options.load_options
@meshes.units_option
@meshes.mass_options
@options.json_option
@click.pass_context
def command(
    ctx: click.Context,
    /,
    boat: str,
    build: str | None,
    units: str | None,
    mass: float | None,
    centre: Any,
    water: Any,
    as_json: bool,
    **load: Any,
) -> None:
    """How the boat lies at rest: draft, trim, heel, freeboard, GM, weight to sink it a centimetre.

    A boat floats with the load of its file, or another by the options. A mesh file (STL, OBJ, PLY, GLB) needs
    --units, --mass, --centre.
    """
    from hullview.tell.floating import floating_telling

    shown: Units
    if meshes.is_mesh(boat):
        from hullview.afloat.equilibrium import float_body

        meshes.only_for_boats(ctx)
        name, shown = Path(boat).name, "metric"
        body, mass, centre = meshes.loaded_mesh(boat, units, mass, centre)
        floating = float_body(body, mass, centre, meshes.density_in(water))
    else:
        from hullview import study

        meshes.only_for_meshes(ctx)
        loaded = options.read_loaded(boat, water=water, **load)
        name, shown = loaded.name, loaded.units_shown
        floating = study.afloat(study.launch(loaded, build))
    give(floating_telling(floating, name, shown), as_json=as_json)
