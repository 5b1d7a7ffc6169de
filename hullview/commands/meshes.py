"""A mesh file in the place of a boat: its options, and the body that it makes."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from hullview.commands import options
from hullview.commands.together import refuse
from hullview.errors import MeshError, UsageError

if TYPE_CHECKING:
    from hullview.boat.model import Water
    from hullview.shape.body import Body

MESHES = (".stl", ".obj", ".ply", ".glb")
LOAD = ("--paddler", "--seat", "--seat-back", "--faces", "--stature", "--gear", "--build")
"""What only a boat's folder takes."""

argument = click.argument("boat", metavar="BOAT|MESH")
units_option = click.option("--units", metavar="UNIT", help="Of a mesh file: mm, cm, m, in or ft.")


def mass_options(function: Callable[..., Any]) -> Callable[..., Any]:
    """--mass and --centre: what a mesh carries, its own weight with it."""
    for option in (
        click.option(
            "--centre",
            type=options.Point(),
            help='Its centre in metres in the mesh\'s own frame, z up: "2.93,0,0.2".',
        ),
        click.option("--mass", type=options.MASS, help="All the weight aboard a mesh, the hull's with it."),
    ):
        function = option(function)
    return function


def is_mesh(path: str) -> bool:
    """Whether a path names a mesh file rather than a boat."""
    return Path(path).suffix.lower() in MESHES


def only_for_meshes(ctx: click.Context) -> None:
    """Refuse the options of a mesh beside a boat, which has its own."""
    mesh = ("--units", "--mass", "--centre")
    refuse(ctx, mesh, "for a mesh file; a boat has its own. Use --paddler and --gear for another load")


def only_for_boats(ctx: click.Context, names: Sequence[str] = LOAD, why: str = "") -> None:
    """Refuse what a mesh does not have."""
    refuse(ctx, names, why or "for a boat's folder; a mesh takes --mass and --centre")


def body_of_mesh(path: str, units: str | None) -> Body:
    """The closed body in a mesh file.

    Raises
    ------
    UsageError
        Without units: such a file does not say them.
    MeshError
        Where the file holds no closed mesh.
    """
    from hullview.boat.meshfile import read_mesh
    from hullview.shape.body import Body

    if units is None:
        raise UsageError(
            "a mesh file needs --units: it does not say whether its numbers are mm, cm, m, in or ft."
        )
    shape = read_mesh(path, units)
    try:
        return Body(*shape)
    except MeshError as error:
        raise MeshError(f"{Path(path).name}: {error}") from error


def loaded_mesh(
    path: str, units: str | None, mass: float | None, centre: Any
) -> tuple[Body, float, tuple[float, float, float]]:
    """The body in a mesh file with its mass [kg] and their centre [m]; all three options or a
    `UsageError`."""
    given = {"--units": units, "--mass": mass, "--centre": centre}
    missing = [name for name, value in given.items() if value is None]
    if missing or mass is None:
        raise UsageError(
            f"a mesh file needs {', '.join(missing)}: it says neither its unit nor what is aboard."
        )
    return body_of_mesh(path, units), mass, centre


def density_in(water: Water | None) -> float:
    """Density of the water given, of fresh water without [kg/m3]."""
    from hullview.afloat.water import density_of
    from hullview.boat.model import Water

    return density_of(water or Water())
