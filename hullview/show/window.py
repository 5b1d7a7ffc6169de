"""The window: her picture afloat, to turn and look at."""

from __future__ import annotations

from hullview import study
from hullview.answer.conditions import Craft
from hullview.show.picture import draw, picture


class Window:
    """A window on one boat. colour, view, see_through, stations: how she is first seen; size in pixels."""

    def __init__(
        self, craft: Craft, colour: str, view: str, see_through: bool, stations: bool, size: tuple[int, int]
    ) -> None:
        made = picture(craft, study.afloat(craft), None, colour)
        self.plotter = draw(made, view=view, see_through=see_through, stations=stations, size=size, off_screen=False)

    def run(self) -> None:
        """Show it until it is closed."""
        self.plotter.show()
