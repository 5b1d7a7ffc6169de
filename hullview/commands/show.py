"""`hullview show`: her picture afloat, in a window, in a file, or as a model to turn."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Any

import click

from hullview.commands import options
from hullview.commands.output import to_stderr
from hullview.errors import UsageError

COLOURS = ("materials", "regions", "wet", "thickness", "bend")
VIEWS = ("quarter", "profile", "plan", "body")
TURN_FRAMES = 60
"""Pictures of one turn: one each six degrees."""


class Size(click.ParamType):
    """Width and height of a picture: "1600x1000"."""

    name = "width x height"

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> tuple[int, int]:
        if isinstance(value, tuple):
            return value
        width, by, height = value.lower().partition("x")
        if not (by and width.isdigit() and height.isdigit() and 200 <= int(width) <= 8000 and 150 <= int(height) <= 8000):
            self.fail(f'{value!r}: write width and height in pixels like "1600x1000", 200x150 to 8000x8000.', param, ctx)
        return int(width), int(height)


@options.example_command(
    "show",
    "hullview show models/short-kayak\n"
    "hullview show models/short-kayak --screenshot kayak.png --view profile\n"
    "hullview show models/short-kayak --turn kayak.gif --save kayak.glb",
)
@options.boat_argument
@options.load_options
@click.option("--colour", type=click.Choice(COLOURS), default="materials", show_default=True, help="What her colours mean.")
@click.option("--view", type=click.Choice(VIEWS), default="quarter", show_default=True, help="From where she is seen.")
@click.option("--see-through", is_flag=True, help="A thin skin, to look at stems, clamp, bulkheads and seats.")
@click.option("--stations", is_flag=True, help="Draw the stations of her table and number them.")
@click.option("--size", type=Size(), default="1600x1000", show_default=True, help="Of the picture, in pixels.")
@click.option("--screenshot", metavar="FILE.png", help="Write the picture; needs no display.")
@click.option("--turn", metavar="FILE.gif", help="Write one turn round her as a moving picture; needs no display.")
@click.option("--save", metavar="FILE.glb", help="Write the 3D model, a named mesh for each part; needs no display.")
def command(
    boat: str, build: str | None, screenshot: str | None, turn: str | None, save: str | None, size: Any, **rest: Any
) -> None:
    """See her afloat at the heel, trim and draft of her load: a window to turn her in, or the files asked for.

    In the window: sliders for the paddler's mass, the seat, a lean and a held heel; H lists the keys.
    """
    from hullview.show import gl

    for path, suffix in ((screenshot, ".png"), (turn, ".gif"), (save, ".glb")):
        if path is not None and Path(path).suffix.lower() != suffix:
            raise UsageError(f"{path}: the name must end in {suffix}.")
    look = {key: rest.pop(key) for key in ("view", "see_through", "stations")}
    colour = rest.pop("colour")
    window = not (screenshot or turn or save)
    if window or screenshot or turn:
        gl.prepare(on_screen=window)
    craft, floating, verdict = _study(boat, build, rest)
    if window:
        from hullview.show.window import Window

        Window(craft, colour, **look, size=size).run()
    else:
        _write(craft, floating, verdict, colour, look, size, screenshot, turn, save)


def _study(boat: str, build: str | None, load: dict[str, Any]) -> tuple[Any, Any, Any]:
    """The boat ready to be loaded, how she lies, and the answer where somebody is aboard."""
    from hullview import study

    loaded = options.read_loaded(boat, **load)
    if not loaded.builds:
        raise UsageError(f"{loaded.name}: boat.toml does not say how she is built, so she cannot be floated. Add [[schedule.planking]].")
    craft = study.launch(loaded, build)
    if not loaded.load.paddlers:
        return craft, study.afloat(craft), None
    verdict = study.judge(craft)
    return craft, verdict.floating, verdict


def _write(
    craft: Any, floating: Any, verdict: Any, colour: str, look: Any, size: tuple[int, int],
    screenshot: str | None, turn: str | None, save: str | None,
) -> None:  # fmt: skip
    """The files that were asked for, each whole or not at all."""
    from hullview.boat.files import write_whole
    from hullview.show.picture import draw, model, picture

    made = picture(craft, floating, verdict, colour)
    if save:
        write_whole(save, model(made))
        to_stderr(f"{save}: written.")
    if screenshot:
        from hullview.show.scene import png

        write_whole(screenshot, png(draw(made, size=size, **look)))
        to_stderr(f"{screenshot}: written.")
    if turn:
        from hullview.show.scene import turning

        quiet = not sys.stderr.isatty()
        with click.progressbar(length=TURN_FRAMES, label="turning", file=sys.stderr, hidden=quiet) as bar:
            plotter = draw(made, size=size, **look)
            data = turning(plotter, TURN_FRAMES, lambda: bar.update(1))
        write_whole(turn, data)
        to_stderr(f"{turn}: written.")
