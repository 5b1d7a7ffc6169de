"""Drawings asked for beside a command's figures: the name checked before any work, the file written whole."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, Any

import click

from hullview.commands.output import written
from hullview.errors import UsageError

if TYPE_CHECKING:
    from matplotlib.figure import Figure


class _Drawing(click.ParamType[Any]):
    """A file to draw in: its ending says how."""

    name = "file"

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> str:
        from hullview.show.paper import kind_of

        kind_of(value)
        return str(value)


def drawing_option(*names: str, words: str) -> Callable[..., Any]:
    """An option that takes the name of a drawing: SVG, PDF or PNG; names: every way it is spelled."""
    return click.option(
        *names, "plot", type=_Drawing(), metavar="FILE", help=f"{words} SVG, PDF or PNG by the file's ending."
    )


def draw(path: str | None, figure: Callable[[], Figure]) -> None:
    """Make a drawing and write it, if one was asked for."""
    if path is None:
        return
    from hullview.boat.files import write_whole
    from hullview.show.drawings import saved
    from hullview.show.paper import kind_of

    try:
        write_whole(path, saved(figure(), kind_of(path)))
    except ImportError as missing:
        raise UsageError(
            f"{path}: cannot be drawn: {missing}. Install it: pip install matplotlib."
        ) from missing
    written(path)


def charts() -> Any:
    """The charts, loaded when one is drawn."""
    from hullview.show import charts as loaded

    return loaded
