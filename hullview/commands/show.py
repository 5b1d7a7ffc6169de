"""`hullview show`: the boat's picture afloat, in a window, in a file, or as a model to turn."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from hullview.boat.files import write_whole
from hullview.commands import meshes, options
from hullview.commands.output import written
from hullview.commands.together import Apart, Needs, refuse
from hullview.errors import UsageError

if TYPE_CHECKING:
    from hullview.show.picture import Picture

COLOURS = ("materials", "regions", "wet", "thickness", "bend")
VIEWS = ("quarter", "profile", "plan", "body")
SEEN = ("--screenshot", "--turn")
LOAD = tuple(option for option in meshes.LOAD if option != "--build")
"""What only a boat afloat has: forms have a build too."""
RULES: list[Needs | Apart] = [
    Needs("--scale", ("--lines",), "it is the scale of the lines plan"),
    *(
        Needs(option, SEEN, "only a picture shows it", beside=("--lines", "--save"))
        for option in ("--view", "--see-through", "--stations", "--size")
    ),
    Apart(
        "--forms",
        ("--lines", "--colour", "--see-through", "--stations", *LOAD, "--water"),
        "forms stand on dry land, under the planking as a thin skin",
    ),
    Needs("--colour", (*SEEN, "--save"), "the lines plan has no colours", beside=("--lines",)),
]
NO_TABLE = (
    "for a boat's folder, with its table and its build; a mesh is drawn as it is, with --mass and --centre at"
    " rest"
)
DRY = (
    "boat.toml does not say how the boat is built, so it is not weighed and is drawn dry. Add"
    " [[schedule.planking]]"
)
TURN_FRAMES = 60
"""Pictures of one turn: one each six degrees."""


class Size(click.ParamType[Any]):
    """Width and height of a picture: "1600x1000"."""

    name = "width x height"

    def convert(
        self, value: Any, param: click.Parameter | None, ctx: click.Context | None
    ) -> tuple[int, int]:
        if isinstance(value, tuple):
            return value
        width, by, height = value.lower().partition("x")
        if not (
            by
            and width.isdigit()
            and height.isdigit()
            and 200 <= int(width) <= 8000
            and 150 <= int(height) <= 8000
        ):
            self.fail(
                f'{value!r}: write width and height in pixels like "1600x1000", 200x150 to 8000x8000.',
                param,
                ctx,
            )
        return int(width), int(height)


class Scale(click.ParamType[Any]):
    """The scale of a drawing: "1:10" is 10."""

    name = "1:N"

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> float:
        if isinstance(value, float):
            return value
        one, colon, times = value.replace(" ", "").partition(":")
        try:
            scale = float(times) if one == "1" and colon else 0.0
        except ValueError:
            scale = 0.0
        if not 1 <= scale <= 100:
            self.fail(f'{value!r}: write the scale like "1:10", from 1:1 to 1:100.', param, ctx)
        return scale


@options.example_command(
    "show",
    "hullview show models/short-kayak\n"
    "hullview show models/short-kayak --screenshot kayak.png --view profile\n"
    "hullview show models/short-kayak --turn kayak.gif --save kayak.glb\n"
    "hullview show models/short-kayak --lines kayak.pdf --scale 1:10\n"
    "hullview show models/short-kayak --forms --screenshot forms.png\n"
    "hullview show models/wigley/wigley.stl --units mm --screenshot wigley.png",
    rules=RULES,
)
@meshes.argument
@options.load_options
@meshes.units_option
@meshes.mass_options
@click.option(
    "--colour",
    type=click.Choice(COLOURS),
    default="materials",
    show_default=True,
    help="What the colours mean.",
)
@click.option(
    "--view", type=click.Choice(VIEWS), default="quarter", show_default=True, help="From where it is seen."
)
@click.option(
    "--see-through", is_flag=True, help="A thin skin, to look at stems, clamp, bulkheads and seats."
)
@click.option("--stations", is_flag=True, help="Draw the stations of the table and number them.")
@click.option(
    "--forms",
    is_flag=True,
    help="The forms on their strongback, the clamp in its notches, the planking as a thin skin.",
)
@click.option("--size", type=Size(), default="1280x800", show_default=True, help="Of the picture, in pixels.")
@click.option("--screenshot", metavar="FILE.png", help="Write the picture; needs no display.")
@click.option(
    "--turn", metavar="FILE.gif", help="Write one turn round the boat as a moving picture; needs no display."
)
@click.option(
    "--lines",
    metavar="FILE.svg|pdf",
    help="Write the lines plan to scale, a 100 mm bar on it; needs no display.",
)
@click.option(
    "--scale", type=Scale(), help="Of the lines plan: 1:10. Left out, what suits an A4 or letter sheet."
)
@click.option(
    "--save", metavar="FILE.glb", help="Write the 3D model, a named mesh for each part; needs no display."
)
@click.pass_context
def command(
    ctx: click.Context,
    /,
    boat: str,
    screenshot: str | None,
    turn: str | None,
    lines: str | None,
    save: str | None,
    forms: bool,
    **rest: Any,
) -> None:
    """See the boat afloat at the heel, trim and draft of its load: a window to turn it in, or the files asked
    for.

    In the window: sliders for the paddler's mass, the seat, a lean and a held heel; H lists the keys. A mesh
    file (STL, OBJ, PLY, GLB) needs --units; with --mass and --centre it is drawn at rest, without them dry.
    """
    from hullview.show import gl

    look = {key: rest.pop(key) for key in ("view", "see_through", "stations", "size")}
    files = {"save": save, "lines": lines, "screenshot": screenshot, "turn": turn}
    _check_names(files)
    if meshes.is_mesh(boat):
        meshes.only_for_boats(ctx, (*meshes.LOAD, "--stations", "--lines", "--forms"), NO_TABLE)
    else:
        meshes.only_for_meshes(ctx)
    if not any(files.values()) or screenshot or turn:
        gl.prepare(on_screen=not any(files.values()))
    made: Picture | None
    whole: tuple[Any, Any, Any] | None = None
    if meshes.is_mesh(boat):
        made = _mesh(ctx, boat, **rest)
    elif forms:
        made = _forms(boat, rest["build"])
    else:
        made, whole = _boat(ctx, boat, files, look, **rest)
    if made is None:
        return
    if not any(files.values()):
        from hullview.show.picture import draw

        draw(made, **look, off_screen=False).show()
        return
    for name, path in files.items():
        if path:
            made_lines = _lines(*whole, path, rest["scale"]) if whole and name == "lines" else None
            write_whole(path, made_lines or _seen(made, look, name))
            written(path)


def _boat(
    ctx: click.Context,
    path: str,
    files: dict[str, str | None],
    look: dict[str, Any],
    build: str | None,
    colour: str,
    water: Any,
    **rest: Any,
) -> tuple[Picture | None, tuple[Any, Any, Any] | None]:
    """Its picture, with (boat, hull, how it floats) for the lines plan; no picture where a live window
    showed it."""
    from hullview import study
    from hullview.show.picture import dry, picture

    load = {key: rest[key] for key in options.LOAD}
    boat = options.read_loaded(path, water=water, **load)
    if not boat.builds:
        refuse(ctx, (*meshes.LOAD, "--water"), DRY)
        if colour not in ("materials", "regions"):
            raise UsageError(f"--colour {colour}: {DRY}, or use --colour regions.")
        hull, _ = study.shaped(boat)
        return dry(boat, hull, colour), (boat, hull, None)
    craft = study.launch(boat, build)
    if not any(files.values()):
        from hullview.show.window import Window

        Window(craft, colour, **look).run()
        return None, None
    verdict = study.with_mishaps(study.judge(craft)) if boat.load.paddlers else None
    floating = verdict.floating if verdict else study.afloat(craft)
    return picture(craft, floating, verdict, colour), (craft.boat, craft.hull, floating)


def _forms(path: str, build: str | None) -> Picture:
    """The forms of a build as they stand."""
    from hullview import study
    from hullview.show.standing import forms_picture

    boat = options.read(path)
    return forms_picture(study.forms(boat, build), study.shaped(boat)[0])


def _mesh(
    ctx: click.Context,
    path: str,
    units: str | None,
    mass: float | None,
    centre: Any,
    water: Any,
    colour: str,
    **_: Any,
) -> Picture:
    """A closed mesh at rest with its mass, or dry without."""
    from hullview.show.picture import bare

    if mass is None and centre is None:
        refuse(ctx, ("--water", "--colour"), "a mesh without --mass and --centre is drawn dry, in one colour")
        return bare(Path(path).name, meshes.body_of_mesh(path, units))
    from hullview.afloat.equilibrium import float_body

    body, mass, centre = meshes.loaded_mesh(path, units, mass, centre)
    if colour != "wet":
        refuse(
            ctx,
            ("--colour",),
            "a mesh has no materials and no regions; --colour wet shows what is under water",
        )
    floating = float_body(body, mass, centre, meshes.density_in(water))
    return bare(Path(path).name, body, floating, wet=colour == "wet")


def _check_names(files: dict[str, str | None]) -> None:
    """Each file under a name that says what it is, before any work is done for it."""
    from hullview.show.paper import kind_of

    for name, suffix in (("screenshot", ".png"), ("turn", ".gif"), ("save", ".glb")):
        path = files[name]
        if path is not None and Path(path).suffix.lower() != suffix:
            raise UsageError(f"{path}: the name must end in {suffix}.")
    if files["lines"] is not None:
        kind_of(files["lines"])
    for path in files.values():
        if path is not None and not Path(path).parent.is_dir():
            raise UsageError(f"{path}: cannot be written: there is no such folder.")


def _lines(boat: Any, hull: Any, floating: Any, path: str, scale: float | None) -> bytes:
    """The lines on paper."""
    from hullview.show.drawings import saved
    from hullview.show.paper import kind_of, lines_of

    return saved(lines_of(boat, hull, floating, scale), kind_of(path))


def _seen(made: Any, look: dict[str, Any], what: str) -> bytes:
    """The picture, a turn round the boat, or the model, as the bytes of a file."""
    from hullview.show.picture import draw, model

    if what == "save":
        return model(made)
    from hullview.show.film import turning
    from hullview.show.scene import png

    plotter = draw(made, **look)
    if what == "screenshot":
        return png(plotter)
    quiet = not sys.stderr.isatty()
    with click.progressbar(length=TURN_FRAMES, label="turning", file=sys.stderr, hidden=quiet) as bar:
        return turning(plotter, TURN_FRAMES, lambda: bar.update(1))
