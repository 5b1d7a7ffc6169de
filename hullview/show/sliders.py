"""The sliders of the window: what each moves, where it stands and how it looks."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

from hullview.boat.model import Boat
from hullview.boat.wording import INCH, POUND
from hullview.show import colours, lettering
from hullview.show.shown import Setting

if TYPE_CHECKING:
    import pyvista

MOST_HEEL = 60.0
"""Degrees that the slider can hold it at, either way."""
FREE = 0.75
"""Within so many degrees of nought the heel is not held."""
MOST_LEAN = 0.10
"""Sideways shift of the first paddler's whole-body centre that the slider can make [m]."""
WIDE = 700
"""A window narrower than this [pixels] has its sliders in two rows."""
SMALLEST = 9
"""Height of a slider's letters [pixels] at least."""


@dataclass(frozen=True)
class Slider:
    """A slider: name, words over it, ends, its first value, what a value makes of the setting, and the
    step of its values."""

    name: str
    words: str
    low: float
    high: float
    value: float
    apply: Callable[[Setting, float], Setting]
    step: float = 1.0


def sliders_of(boat: Boat, s: Setting) -> Sequence[Slider]:
    """The sliders of a boat with paddlers, standing at a setting."""
    low, high = seat_range(boat, s.seat_back)
    imperial = boat.units_shown == "imperial"
    per, unit = (POUND, "lb") if imperial else (1.0, "kg")
    along, aft, aside, over = (INCH, "in", INCH, "in") if imperial else (1.0, "m", 0.001, "mm")
    first = boat.load.paddlers[0]
    return (
        Slider(
            "mass",
            f"{first.name}, {unit}",
            min(30.0, s.mass) / per,
            max(140.0, s.mass) / per,
            s.mass / per,
            lambda now, v: replace(now, mass=v * per),
        ),
        Slider(
            "seat",
            f"seat's back, {aft} aft",
            low / along,
            high / along,
            s.seat_back / along,
            lambda now, v: replace(now, seat_back=v * along),
            0.25 if imperial else 0.01,
        ),
        Slider(
            "lean",
            f"lean to starboard, {over}",
            -MOST_LEAN / aside,
            MOST_LEAN / aside,
            0.0,
            lambda now, v: replace(now, lean=v * aside),
            0.05 if imperial else 1.0,
        ),
        Slider(
            "heel",
            "heel held, degrees (0: free)",
            -MOST_HEEL,
            MOST_HEEL,
            0.0,
            lambda now, v: replace(now, heel=None if abs(v) < FREE else math.radians(v)),
        ),
    )


def seat_range(boat: Boat, seat: float) -> tuple[float, float]:
    """Where the seat may go: within the opening it is in, or half a metre either way."""
    for opening in boat.openings:
        if abs(seat - opening.centre) <= opening.length / 2:
            return opening.centre - opening.length / 2 + 0.2, opening.centre + opening.length / 2
    return seat - 0.5, seat + 0.5


def place_of(plotter: pyvista.Plotter, place: int) -> tuple[float, float, float, float]:
    """Left and right end, height and size of letters of a slider, in shares of the window: four in a
    row, two where it is narrow, over the figures along the foot."""
    width, height = plotter.window_size
    columns = 4 if width >= WIDE else 2
    row, column = divmod(place, columns)
    letters = max(0.019 * min(1.0, width / height), SMALLEST / height)
    step = 0.98 / columns
    left = 0.03 + step * column
    foot = max(0.165, lettering.figures_top(plotter) + 2.4 * letters)
    return left, left + step - 0.055, foot + (4 // columns - 1 - row) * 6.5 * letters, letters


def dress(face: Any, letters: float) -> None:
    """A slider's colours and sizes; `letters`: height of its words in shares of the window."""
    face.SetTitleHeight(0.9 * letters)
    face.SetLabelHeight(letters)
    face.SetSliderLength(0.014)
    face.SetSliderWidth(0.020)
    face.SetTubeWidth(0.0035)
    face.SetEndCapWidth(0.006)
    face.SetEndCapLength(0.002)
    for style in (face.GetTitleProperty(), face.GetLabelProperty()):
        style.SetFontFamilyToArial()
        style.SetShadow(False)
        style.SetItalic(False)
        style.SetBold(False)
        style.SetColor(*colours.rgb(colours.INK))
    face.GetSliderProperty().SetColor(*colours.rgb(colours.BUOYANCY))
    face.GetSelectedProperty().SetColor(*colours.rgb(colours.WEIGHT))
