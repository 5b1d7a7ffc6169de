"""The window: a live instrument. Each movement of a slider lays it on the water again by the real solver
and redraws it."""

from __future__ import annotations

import functools
import math
from collections.abc import Callable
from dataclasses import replace
from typing import Any

import numpy as np

from hullview.answer.conditions import Craft
from hullview.answer.refloat import Lying
from hullview.boat.model import Paddler
from hullview.boat.wording import INCH
from hullview.errors import HullviewError
from hullview.show import camera, colours, lettering, scene
from hullview.show.parts import Part, legend
from hullview.show.picture import coloured, draw, picture, subtitle
from hullview.show.pose import pose
from hullview.show.shown import (
    Setting,
    figures,
    first_shown,
    headline,
    judged,
    moved,
    seated,
    upright,
    worst_words,
)
from hullview.show.sliders import Slider, dress, place_of, sliders_of
from hullview.show.solids import seats
from hullview.weight.placed import room_in

COLOUR_KEYS = {"1": "materials", "2": "regions", "3": "wet", "4": "thickness", "5": "bend"}
VIEW_KEYS = {"q": "quarter", "p": "profile", "o": "plan", "b": "body"}
HELP = (
    "colours:  1 materials   2 regions   3 wet or dry   4 thickness   5 bend        views:  Q quarter   P"
    " profile   O plan   B body        T see through   N stations   U set upright   H keys   Esc close"
)
SOFTWARE = ("llvmpipe", "softpipe", "swrast", "software")
"""Names of renderers that draw on the processor."""
ROOM = 0.5
"""Share of the height that it may fill: the sliders need a row of their own."""
LIFT = 0.05
"""How far over the middle of the window it stands, in the same."""


class Window:
    """A window on one boat. colour, view, see_through, stations: how it is first seen; size in pixels.

    `shown` is the one state that is seen: load, boat afloat, answer; `trouble` the last error, as the window
    shows it.
    """

    def __init__(
        self,
        craft: Craft,
        colour: str,
        view: str,
        see_through: bool,
        stations: bool,
        size: tuple[int, int],
        off_screen: bool = False,
    ) -> None:
        self.craft, self.colour, self.view, self.see_through, self.stations = (
            craft,
            colour,
            view,
            see_through,
            stations,
        )
        self.shown = first_shown(craft)
        self.trouble, self.help_shown = "", True
        made = picture(craft, self.lying.floating, None, colour)
        self.parts, self.solids = made.parts, made.solids
        self.room = room_in(craft.hull, craft.boat.build(craft.weight.build).schedule)
        self.plotter: Any = draw(
            made,
            view=view,
            see_through=see_through,
            stations=stations,
            size=size,
            off_screen=off_screen,
            tall=ROOM,
            lift=LIFT,
        )
        self.button = self._add_button()
        self._write_foot()
        self.sliders = {s.name: s for s in sliders_of(self.craft.boat, self.setting)} if self.paddlers else {}
        self.widgets = {name: self._add_slider(s, i) for i, (name, s) in enumerate(self.sliders.items())}
        self._judge()

    @property
    def setting(self) -> Setting:
        """What the sliders say."""
        return self.shown.setting

    @property
    def lying(self) -> Lying:
        """How the boat lies with that."""
        return self.shown.lying

    @property
    def paddlers(self) -> tuple[Paddler, ...]:
        """Everyone aboard, the first as the sliders have them."""
        return seated(self.craft.boat, self.setting)

    def run(self) -> None:
        """Show it until it is closed."""
        self.plotter.show(auto_close=False, interactive_update=True)
        if any(name in self.plotter.render_window.ReportCapabilities().lower() for name in SOFTWARE):
            self.plotter.disable_anti_aliasing()  # smooth edges would take more than half of each frame
        self.listen()
        self._name_window()
        self.plotter.iren.start()
        self.plotter.close()

    def listen(self) -> None:
        """Take keys ourselves: VTK's own letters would quit, pick and turn lines on at the same time."""
        inner = self.plotter.iren.interactor
        inner.RemoveObservers("CharEvent")
        style = inner.GetInteractorStyle()
        style.AddObserver("CharEvent", lambda *_: None)
        inner.AddObserver("KeyPressEvent", lambda caller, _: self.key(caller.GetKeySym()))
        inner.AddObserver("ExitEvent", lambda *_: self.plotter.iren.terminate_app())

    # ------------------------------------------------------------ what moves its

    def move(self, setting: Setting) -> None:
        """Lay it on the water with another setting and redraw what moves: cheap enough for every step of a
        drag."""
        self.shown = moved(self.craft, self.shown, setting)
        self._redraw()

    def settle(self) -> None:
        """The end of a drag: the answer anew, which takes longer."""
        self._judge()
        self._set_sliders()
        self.plotter.render()

    def set_upright(self) -> None:
        """Back from a capsize, or from any lean or heel held: upright with nobody leaning."""
        self.shown = upright(self.craft, self.shown)
        self._redraw()
        self.settle()

    def key(self, name: str) -> None:
        """What a key does."""
        letter = name.lower()
        if letter in COLOUR_KEYS:
            self._guard(self.recolour, COLOUR_KEYS[letter])
        elif letter in VIEW_KEYS:
            self._guard(self.look, VIEW_KEYS[letter])
        elif letter == "t":
            self.see_through = not self.see_through
            self._guard(self.recolour, self.colour)
        elif letter == "n":
            self.stations = not self.stations
            self._guard(self._draw_stations)
        elif letter == "u":
            self._guard(self.set_upright)
        elif letter == "h":
            self.help_shown = not self.help_shown
            self._guard(self._write_foot)
        elif letter == "escape":
            self.plotter.iren.terminate_app()
            return
        self.plotter.render()

    def recolour(self, colour: str) -> None:
        """Other colours, with their legend."""
        parts = self._coloured(colour)  # may refuse: nothing is taken down before
        self._remove("part ")
        self.colour, self.parts = colour, parts
        scene.add_parts(self.plotter, parts, self.motion, see_through=self.see_through)
        self._legend()

    def look(self, view: str) -> None:
        """Another view of it, with marks of a size that suits it."""
        self.view = view
        camera.look(self.plotter, view, [*self.parts, *self.solids], self.motion, ROOM, LIFT)
        self._marks()
        scene.add_bar(self.plotter, self.parts, self.motion, view)

    # ------------------------------------------------------------ drawing

    @property
    def motion(self) -> np.ndarray:
        """Its pose in the water."""
        rest = self.lying.floating.rest
        return np.eye(4) if rest.normal is None or rest.offset is None else pose(rest.normal, rest.offset)

    def _coloured(self, colour: str) -> tuple[Part, ...]:
        return coloured(self.craft, self.lying.floating, colour)

    def _redraw(self) -> None:
        if self.colour == "wet":
            self.recolour("wet")
        self._seats()
        scene.turn_to(self.plotter, self.motion)
        self._marks()
        self._figures()
        self._name_window()
        self.plotter.render()

    def _marks(self) -> None:
        """Water, waterline, centres, stations and bar, where they are now."""
        floating, plotter, motion = self.lying.floating, self.plotter, self.motion
        if floating.rest.normal is None:
            self._remove("water", "waterline", "centre", "vertical", "letter", "lever")
            return
        line = scene.add_waterline(plotter, self.parts, motion)
        scene.add_water(plotter, self.parts, motion, line)
        scene.add_curtain(plotter, self.parts, motion, self.view)
        buoyancy = floating.rest.immersed.centroid if floating.rest.immersed is not None else None
        scene.add_centres(plotter, self.parts, motion, floating.centre, buoyancy)
        scene.add_ends(plotter, self.parts, motion, self.view)
        if self.stations:
            self._draw_stations()
        plotter.reset_camera_clipping_range()

    def _seats(self) -> None:
        """The first paddler's seat moves with the slider."""
        boat = self.craft.boat.with_load(paddlers=self.paddlers)
        moved = seats(boat, self.craft.hull, self.craft.thickness, self.room)
        kept = tuple(p for p in self.solids if p.name not in {m.name for m in moved})
        self.solids = (*kept, *moved)
        scene.add_parts(self.plotter, moved, self.motion, prefix="solid")

    def _draw_stations(self) -> None:
        self._remove("station")
        if self.stations:
            hull = self.craft.hull
            scene.add_stations(self.plotter, tuple(zip(hull.station_names, hull.sections)), self.motion)

    def _figures(self) -> None:
        loaded = replace(self.craft, boat=self.craft.boat.with_load(paddlers=self.paddlers))
        lettering.add_caption(
            self.plotter,
            self.craft.boat.name,
            subtitle(loaded),
            self._word(),
            figures(self.craft, self.shown),
            "" if self.trouble else worst_words(self.craft, self.shown),
        )
        self.button.SetEnabled(self.shown.over)

    def _word(self) -> str:
        return self.trouble or headline(self.craft, self.shown)

    def _judge(self) -> None:
        """The answer for the sliders' load."""
        self.shown = judged(self.craft, self.shown)
        self._figures()
        self._name_window()

    def _legend(self) -> None:
        floating = self.lying.floating
        key = [*legend([*self.parts, *self.solids])]
        if floating.rest.normal is not None:
            key += [*scene.signs(np.ones((1, 2, 3)), floating.centre, floating.centre)]
        lettering.add_legend(self.plotter, key)

    def _write_foot(self) -> None:
        lettering.add_foot(self.plotter, HELP if self.help_shown else "H keys")
        self._figures()

    def _name_window(self) -> None:
        """The window's own title says how it lies, for whoever has it behind others."""
        window = self.plotter.render_window
        if window is not None:
            told = ", ".join(f"{words} {value}" for words, value in figures(self.craft, self.shown))
            window.SetWindowName(f"{self.craft.boat.name}: {told}; {self._word()}")

    def _remove(self, *beginnings: str) -> None:
        self.plotter.remove_actor([n for n in self.plotter.actors if n.startswith(beginnings)], render=False)

    # ------------------------------------------------------------ sliders

    def _add_slider(self, slider: Slider, place: int) -> Any:
        left, right, y, letters = place_of(self.plotter, place)
        widget = self.plotter.add_slider_widget(
            functools.partial(self._slid, slider.name),
            (slider.low, slider.high),
            value=slider.value,
            title=slider.words,
            pointa=(left, y),
            pointb=(right, y),
            color=colours.INK,
            interaction_event="always",
            fmt="%.2f" if slider.high < 20 else "%.0f",
        )
        widget.AddObserver("EndInteractionEvent", lambda *_: self._guard(self.settle))
        dress(widget.GetRepresentation(), letters)
        return widget

    def _slid(self, name: str, value: float) -> None:
        if hasattr(self, "widgets"):  # the widget calls once while it is being made
            slider = self.sliders[name]
            value = (
                round(value / slider.step) * slider.step + 0.0
            )  # what is printed is what is meant; no minus nought
            self.widgets[name].GetRepresentation().SetValue(value)
            self._guard(self.move, slider.apply(self.setting, value))

    def _set_sliders(self) -> None:
        """Knobs where the setting is: a heel is not held over a capsize, and setting it upright takes the
        lean back."""
        lean, heel = self.setting.lean, self.setting.heel
        if self.widgets:
            imperial = self.craft.boat.units_shown == "imperial"
            self.widgets["lean"].GetRepresentation().SetValue(lean / (INCH if imperial else 0.001))
            self.widgets["heel"].GetRepresentation().SetValue(math.degrees(heel or 0.0))

    def _add_button(self) -> Any:
        """Words in a frame that set the boat upright when pressed; seen only over a capsize."""
        from vtkmodules.vtkInteractionWidgets import vtkTextRepresentation, vtkTextWidget

        face = vtkTextRepresentation()
        face.SetText("  set upright  (U)  ")
        face.SetShowBorder(1)
        face.SetBorderColor(*colours.rgb(colours.INK))
        face.SetWindowLocation(0)
        face.GetPositionCoordinate().SetValue(0.03, 0.755)
        face.GetPosition2Coordinate().SetValue(0.17, 0.05)
        words = face.GetTextActor().GetTextProperty()
        words.SetFontFamilyToArial()
        words.SetBold(True)
        words.SetColor(*colours.rgb(colours.INK))
        button: Any = vtkTextWidget()
        button.SetRepresentation(face)
        button.SetInteractor(self.plotter.iren.interactor)
        button.SelectableOn()
        button.ResizableOff()
        button.AddObserver("WidgetActivateEvent", lambda *_: self._guard(self.set_upright))
        return button

    def _guard(self, act: Callable[..., None], *given: Any) -> None:
        """Do it; what goes wrong is shown in the window, since VTK would only log it."""
        try:
            act(*given)
        except Exception as error:
            self.trouble = (
                str(error)
                if isinstance(error, HullviewError)
                else f"a fault of ours: {type(error).__name__}: {error}"
            )
            self._figures()
            self._name_window()
            self.plotter.render()
        else:
            if self.trouble:
                self.trouble = ""
                self._figures()
