"""`hullview float`: how a boat, or any closed mesh, lies at rest."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from hullview.commands import options
from hullview.commands.output import give
from hullview.errors import MeshError, UsageError

if TYPE_CHECKING:
    from hullview.afloat.equilibrium import Floating

MESHES = (".stl", ".obj", ".ply", ".glb")


@options.example_command(
    "float",
    'hullview float models/short-kayak --paddler "82 kg"\n'
    "hullview float models/wigley/wigley.stl --units mm \\\n"
    '    --mass "300 kg" --centre "2.5,0,0.2"',
)
@click.argument("boat", metavar="BOAT|MESH")
@options.load_options
@click.option("--units", metavar="UNIT", help="Of a mesh file: mm, cm, m, in or ft.")
@click.option("--mass", type=options.MASS, help="All the weight aboard a mesh, the hull's with it.")
@click.option(
    "--centre",
    type=options.Point(),
    help='Its centre in metres in the mesh\'s own frame, z up: "2.93,0,0.2".',
)
@options.json_option
def command(
    boat: str,
    build: str | None,
    units: str | None,
    mass: float | None,
    centre: Any,
    as_json: bool,
    **load: Any,
) -> None:
    """How she lies at rest: draft, trim, heel, freeboard, GM, weight to sink her a centimetre.

    A boat floats with the load of her file, or another by the options. A mesh file (STL, OBJ, PLY, GLB) needs --units, --mass, --centre.
    """
    from hullview.tell.floating import floating_telling

    if Path(boat).suffix.lower() in MESHES:
        name, shown = Path(boat).name, "metric"
        floating = _mesh(boat, units, mass, centre, build, **load)
    elif units is not None or mass is not None or centre is not None:
        raise UsageError(
            "--units, --mass and --centre are for a mesh file; a boat has her own. Use --paddler and --gear."
        )
    else:
        from hullview import study

        loaded = options.read_loaded(boat, **load)
        name, shown = loaded.name, loaded.units_shown
        floating = study.afloat(study.launch(loaded, build))
    give(floating_telling(floating, name, shown), as_json=as_json)


def _mesh(
    path: str,
    units: str | None,
    mass: float | None,
    centre: Any,
    build: str | None,
    water: Any = None,
    **load: Any,
) -> Floating:
    """Float a mesh; what only a boat has is refused."""
    from hullview.afloat.equilibrium import float_body
    from hullview.afloat.water import density_of
    from hullview.boat.meshfile import read_mesh
    from hullview.boat.model import Water
    from hullview.shape.body import Body

    if build is not None or any(load.values()):
        raise UsageError(
            "--paddler, --seat-back, --gear and --build are for a boat's folder; a mesh takes --mass and --centre."
        )
    missing = [
        name for name, given in (("--units", units), ("--mass", mass), ("--centre", centre)) if given is None
    ]
    if missing:
        raise UsageError(
            f"a mesh file needs {', '.join(missing)}: it says neither its unit nor what is aboard."
        )
    shape = read_mesh(path, units)
    try:
        body = Body(*shape)
    except MeshError as error:
        raise MeshError(f"{Path(path).name}: {error}") from error
    return float_body(body, mass, centre, density_of(water or Water()))  # type: ignore[arg-type]
