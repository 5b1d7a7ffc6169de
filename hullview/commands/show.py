"""`hullview show`: her picture afloat, in a window, in a file, or as a model to turn."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Any

import click

from hullview.boat.files import write_whole
from hullview.commands import options
from hullview.commands.output import written
from hullview.errors import UsageError

COLOURS = ("materials", "regions", "wet", "thickness", "bend")
VIEWS = ("quarter", "profile", "plan", "body")
TURN_FRAMES = 60
"""Pictures of one turn: one each six degrees."""


class Size(click.ParamType):
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


class Scale(click.ParamType):
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
    "hullview show models/short-kayak --lines kayak.pdf --scale 1:10",
)
@options.boat_argument
@options.load_options
@click.option(
    "--colour",
    type=click.Choice(COLOURS),
    default="materials",
    show_default=True,
    help="What her colours mean.",
)
@click.option(
    "--view", type=click.Choice(VIEWS), default="quarter", show_default=True, help="From where she is seen."
)
@click.option(
    "--see-through", is_flag=True, help="A thin skin, to look at stems, clamp, bulkheads and seats."
)
@click.option("--stations", is_flag=True, help="Draw the stations of her table and number them.")
@click.option("--size", type=Size(), default="1280x800", show_default=True, help="Of the picture, in pixels.")
@click.option("--screenshot", metavar="FILE.png", help="Write the picture; needs no display.")
@click.option(
    "--turn", metavar="FILE.gif", help="Write one turn round her as a moving picture; needs no display."
)
@click.option(
    "--lines",
    metavar="FILE.svg|pdf",
    help="Write her lines plan to scale, a 100 mm bar on it; needs no display.",
)
@click.option(
    "--scale", type=Scale(), help="Of the lines plan: 1:10. Left out, what suits an A4 or letter sheet."
)
@click.option(
    "--save", metavar="FILE.glb", help="Write the 3D model, a named mesh for each part; needs no display."
)
def command(
    boat: str,
    build: str | None,
    screenshot: str | None,
    turn: str | None,
    lines: str | None,
    save: str | None,
    **rest: Any,
) -> None:
    """See her afloat at the heel, trim and draft of her load: a window to turn her in, or the files asked for.

    In the window: sliders for the paddler's mass, the seat, a lean and a held heel; H lists the keys.
    """
    from hullview.show import gl

    look = {key: rest.pop(key) for key in ("view", "see_through", "stations", "size")}
    colour, scale = rest.pop("colour"), rest.pop("scale")
    files = {"save": save, "lines": lines, "screenshot": screenshot, "turn": turn}
    _check_names(files)
    if not any(files.values()) or screenshot or turn:
        gl.prepare(on_screen=not any(files.values()))
    loaded = options.read_loaded(boat, **rest)
    if not any(files.values()):
        _window(loaded, build, colour, look)
        return
    whole, made = _study(loaded, build, colour)
    for name, path in files.items():
        if path:
            write_whole(path, _lines(*whole, path, scale) if name == "lines" else _seen(made, look, name))
            written(path)


def _window(boat: Any, build: str | None, colour: str, look: dict[str, Any]) -> None:
    """The live window, until it is closed."""
    from hullview import study
    from hullview.show.window import Window

    if not boat.builds:
        raise UsageError(
            f"{boat.name}: boat.toml does not say how she is built, so there is nothing to float in a window. "
            "Add [[schedule.planking]], or use --screenshot to see her as drawn."
        )
    Window(study.launch(boat, build), colour, **look).run()


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


def _study(boat: Any, build: str | None, colour: str) -> tuple[tuple[Any, Any, Any], Any]:
    """(boat, hull, how she floats or None) and her picture, with the answer where somebody is aboard."""
    from hullview import study
    from hullview.show.picture import dry, picture

    if not boat.builds:
        hull, _ = study.shaped(boat)
        return (boat, hull, None), dry(boat, hull, colour)
    craft = study.launch(boat, build)
    verdict = study.judge(craft) if boat.load.paddlers else None
    floating = verdict.floating if verdict else study.afloat(craft)
    return (boat, craft.hull, floating), picture(craft, floating, verdict, colour)


def _lines(boat: Any, hull: Any, floating: Any, path: str, scale: float | None) -> bytes:
    """Her lines on paper."""
    from hullview.show.drawings import saved
    from hullview.show.paper import kind_of, lines_of

    return saved(lines_of(boat, hull, floating, scale), kind_of(path))


def _seen(made: Any, look: dict[str, Any], what: str) -> bytes:
    """Her picture, a turn round her, or the model, as the bytes of a file."""
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
