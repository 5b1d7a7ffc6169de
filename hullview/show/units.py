"""A quantity in the builder's own kind of unit, the other beside it: the one place where SI turns into
words."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any

from hullview.boat.wording import INCH, POUND, at_most, eighths, feet_inches, figure, length_text, sizes_text
from hullview.tell.model import Q, Units, Words

NOTHING = "-"
FOOT = 12 * INCH
OUNCE = POUND / 16
YARD = 36 * INCH
GRAVITY = 9.80665
"""[m/s2], the standard one, for pound-feet."""
FLUID_OUNCE = 29.5735295625e-6
PSI = POUND * GRAVITY / INCH**2

Shown = Callable[[float, Units], str]


def shown(kind: str, value: Any, units: Units = "metric", both: bool = False) -> str:
    """One value in words.

    Parameters
    ----------
    kind : str
        A key of `hullview.kinds.KINDS`.
    value : float, int, str, bool, tuple or None
        In SI, angles in radians; two of them are a range, three are low, likely and high.
    units : {"metric", "imperial"}
    both : bool
        Whether the other kind of unit stands beside in brackets, where it says more.

    Examples
    --------
    >>> shown("length", 0.116, "metric", both=True), shown("mass", 14.2, "imperial"), shown("trim", -0.0121)
    ('116 mm (4-9/16")', '31.3 lb', '12 mm bow')
    """
    if value is None:
        return NOTHING
    if isinstance(value, str):
        return value
    if kind == "size" and isinstance(value, tuple):
        return _sizes(value, units)
    if isinstance(value, tuple):
        return _several([shown(kind, v, units) for v in value])
    if kind == "yes":
        return "yes" if value else "no"
    number = float(value)
    if not math.isfinite(number):
        return "straight" if kind == "radius" else "none" if number > 0 else NOTHING
    if kind in _TOLD_BY_SIDE:
        return _by_side(kind, number, units, both)
    own = _SHOWN[kind](number, units)
    if not both or kind not in _TWO:
        return own
    if kind == "offset" and units == "metric":
        return own  # the table's own figures, in mm throughout
    other = _SHOWN[kind](number, "imperial" if units == "metric" else "metric")
    return own if other == own else f"{own} ({other})"


def _several(texts: list[str]) -> str:
    """A range, "13.4 to 15.8 kg", or low, likely and high, "230 / 260 / 300 mm": a unit they share once."""
    units = {text.rpartition(" ")[2] for text in texts}
    if len(units) == 1 and all(text.count(" ") == 1 for text in texts):
        texts = [*(text.rpartition(" ")[0] for text in texts[:-1]), texts[-1]]
    return (" to " if len(texts) == 2 else " / ").join(texts)


def in_words(words: Words, units: Units = "metric", both: bool = True) -> str:
    """A sentence in the builder's unit; both=False leaves the other kind of unit out everywhere."""
    if isinstance(words, str):
        return words
    if isinstance(words, Q):
        return shown(words.kind, words.value, units, both and words.both)
    return "".join(in_words(part, units, both) for part in words.parts)


def plain(words: Words) -> str:
    """A sentence as programs are given it: metric alone."""
    return in_words(words, "metric", both=False)


# ---------------------------------------------------------------- one kind each


def _per(metric: str, imperial: str, ratio: float, decimals: int, more: int = 0, scale: float = 1.0) -> Shown:
    """To so many decimals in a metric unit (SI times scale), or in an imperial one that holds `ratio` of
    SI."""

    def text(value: float, units: Units) -> str:
        if units == "imperial":
            return f"{figure(value / ratio, decimals + more)} {imperial}"
        return f"{figure(value * scale, decimals)} {metric}"

    return text


def _length(decimals: int, parts: int) -> Shown:
    def text(value: float, units: Units) -> str:
        return (
            feet_inches(value, parts)
            if units == "imperial"
            else length_text(value, "metric", decimals, both=False)
        )

    return text


def _sizes(metres: tuple[float, ...], units: Units) -> str:
    """Sizes of a section as exact as they were given: in mm, or in 64ths of an inch where they are that."""
    whole = all(abs(round(m / INCH * 64) * INCH / 64 - m) < 2e-5 for m in metres)
    if units == "imperial" and whole:
        return " x ".join(feet_inches(m, 64) for m in metres)
    return f"{sizes_text(*metres)} mm"


def _at_most(value: float, units: Units) -> str:
    """The greatest size that a builder reads as it is and that is not more than a limit."""
    size = at_most(value, units)
    if units == "imperial":
        return feet_inches(size, 64 if size < INCH / 8 else 16)
    return f"{figure(size * 1000, 1)} mm"


def _offset(value: float, units: Units) -> str:
    return eighths(value) if units == "imperial" else figure(value * 1000, 1).removesuffix(".0")


def _written(value: float, units: Units) -> str:
    metric = f"{_offset(value, 'metric')} mm"
    return f"{_offset(value, units)} ({figure(value * 1000, 0)} mm)" if units == "imperial" else metric


def _out_of_fair(value: float, units: Units) -> str:
    """A small length with its sign: to the tenth of a mm, or to the hundredth of an inch."""
    shown_value, places = (value / INCH, 2) if units == "imperial" else (value * 1000, 1)
    text = f"{shown_value:+.{places}f}" if round(abs(shown_value), places) else f"{0:.{places}f}"
    return f"{text} {'in' if units == 'imperial' else 'mm'}"


def _place(value: float, units: Units) -> str:
    return feet_inches(value) if units == "imperial" else f"{figure(value, 3)} m"


def _long(value: float, units: Units) -> str:
    return f"{number_text(value / FOOT)} ft" if units == "imperial" else f"{number_text(value)} m"


_TOLD_BY_SIDE = {"trim": ("bow", "stern", "level"), "side": ("to port", "to starboard", "on the centre line")}


def _by_side(kind: str, value: float, units: Units, both: bool) -> str:
    """A length with the end or side it is told by, one word for half a millimetre and less."""
    minus, plus, none = _TOLD_BY_SIDE[kind]
    if abs(value) < 0.0005:
        return none
    return f"{shown('length', abs(value), units, both)} {plus if value > 0 else minus}"


def _radius(value: float, units: Units) -> str:
    if units == "imperial":
        return feet_inches(value, 4 if value > 2 * FOOT else 8)
    return f"{value * 1000:.0f} mm" if value < 0.9995 else f"{value:.2f} m"


def _error(value: float, units: Units) -> str:
    if units == "imperial":
        return f"{max(value / INCH, 0.0005):.3f} in"
    return f"{max(value * 1000, 0.01):.2f} mm"


def _mass(decimals: int) -> Shown:
    return _per("kg", "lb", POUND, decimals)


def _given_mass(value: float, units: Units) -> str:
    """Without a point where it is whole to a twentieth."""
    number = value / POUND if units == "imperial" else value
    return _mass(0 if abs(number - round(number)) < 0.05 else 1)(value, units)


def _usual_mass(value: float, units: Units) -> str:
    """To a tenth; whole kilograms without a point."""
    whole = units == "metric" and abs(value - round(value)) < 1e-9
    return _mass(0 if whole else 1)(value, units)


def _area(value: float, units: Units) -> str:
    return f"{number_text(value / FOOT**2)} ft2" if units == "imperial" else f"{figure(value, 3)} m2"


def _volume(value: float, units: Units) -> str:
    if units == "imperial":
        return f"{value / FOOT**3:.2f} ft3"
    return f"{value * 1000:.1f} litres"


def _areal(value: float, units: Units) -> str:
    return f"{value / OUNCE * YARD**2:.1f} oz/yd2" if units == "imperial" else f"{value * 1000:.0f} g/m2"


def _degrees(decimals: int) -> Shown:
    return lambda value, units: f"{figure(math.degrees(value), decimals)} deg"


def _heel(value: float, units: Units) -> str:
    if abs(value) < math.radians(0.05):
        return "upright"
    return f"{abs(math.degrees(value)):.1f} deg to {'starboard' if value > 0 else 'port'}"


def _trim_angle(value: float, units: Units) -> str:
    if abs(value) < math.radians(0.05):
        return "level"
    return f"{abs(math.degrees(value)):.1f} deg by the {'stern' if value > 0 else 'bow'}"


def _whole_trim(value: float, units: Units) -> str:
    whole = round(abs(math.degrees(value)))
    return f"{whole} deg {'stern' if value > 0 else 'bow'}" if whole else "level"


def _celsius(value: float, units: Units) -> str:
    return f"{value * 1.8 + 32:.0f} F" if units == "imperial" else f"{value:.0f} C"


def number_text(value: float) -> str:
    """Whole from a hundred on, tenths from ten on, hundredths below.

    >>> number_text(304.21), number_text(12.34), number_text(0.0), number_text(0.004)
    ('304', '12.3', '0', '0.004')
    """
    if value == 0:
        return "0"
    decimals = 0 if abs(value) >= 99.95 else 1 if abs(value) >= 9.995 else 2
    return f"{value:.{decimals}f}" if abs(value) >= 0.005 else f"{value:.1g}"


_TWO = (
    "length",
    "fine length",
    "offset",
    "place",
    "radius",
    "mass",
    "whole mass",
    "given mass",
    "immersion",
    "volume",
)
"""Kinds that are told in both units where there is room."""

_SHOWN: dict[str, Shown] = {
    "length": _length(0, 16),
    "fine length": _length(1, 32),
    "offset": _offset,
    "written": _written,
    "millimetres": lambda v, u: figure(v * 1000, 1),
    "at": lambda v, u: feet_inches(v) if u == "imperial" else f"{v * 1000:g}",
    "size": lambda value, units: _sizes((value,), units),
    "at most": _at_most,
    "out of fair": _out_of_fair,
    "echoed": lambda value, units: _out_of_fair(value, units).rpartition(" ")[0],
    "place": _place,
    "rough place": lambda v, u: feet_inches(v, 1) if u == "imperial" else f"{figure(v, 2)} m",
    "long": _long,
    "roll": lambda value, units: (
        f"{value / INCH:.3g} in" if units == "imperial" else f"{value * 1000:.0f} mm"
    ),
    "running": lambda value, units: (
        f"{number_text(value / YARD)} yd" if units == "imperial" else f"{number_text(value)} m"
    ),
    "about area": lambda value, units: (
        f"{number_text(value / FOOT**2)} ft2" if units == "imperial" else f"{number_text(value)} m2"
    ),
    "radius": _radius,
    "error": _error,
    "mass": _usual_mass,
    "fine mass": _mass(2),
    "whole mass": _mass(0),
    "given mass": _given_mass,
    "small mass": _per("g", "g", 0.001, 0, scale=1000.0),
    "grams": lambda value, units: f"{figure(value, 0)} g",
    "fine grams": lambda value, units: f"{figure(value, 1)} g",
    "millilitres": _per("ml", "fl oz", FLUID_OUNCE * 1e6, 0, 1),
    "ounces": _per("g", "oz", OUNCE, 0, 1, scale=1000.0),
    "area": _area,
    "rough area": lambda v, u: (
        f"{number_text(v / FOOT**2)} ft2" if u == "imperial" else f"{number_text(v)} m2"
    ),
    "volume": _volume,
    "small volume": _per("ml", "fl oz", FLUID_OUNCE, 0, 1, scale=1e6),
    "density": _per("kg/m3", "lb/ft3", POUND / FOOT**3, 0, 1),
    "water density": _per("kg/m3", "lb/ft3", POUND / FOOT**3, 1, 1),
    "areal": _areal,
    "immersion": _per("kg/cm", "lb/in", POUND / 2.54, 1, -1),
    "trimming": _per("kg m/cm", "lb-ft/in", POUND * FOOT / 2.54, 2, -1),
    "moment": _per("Nm", "lb-ft", POUND * GRAVITY * FOOT, 1),
    "energy": _per("J", "ft-lb", POUND * GRAVITY * FOOT, 1),
    "degrees": _degrees(1),
    "whole degrees": _degrees(0),
    "fine degrees": _degrees(2),
    "angle error": lambda value, units: f"{max(math.degrees(value), 0.01):.2f} deg",
    "heel": _heel,
    "trim angle": _trim_angle,
    "whole trim": _whole_trim,
    "plain degrees": lambda value, units: f"{figure(value, 1)} deg",
    "share": lambda value, units: f"{figure(value * 100, 0)} %",
    "signed share": lambda value, units: f"{value * 100:+.2f} %",
    "fine share": lambda value, units: f"{value * 100:.2g} %",
    "ratio": lambda value, units: f"{figure(value, 3)}",
    "number": lambda value, units: number_text(value),
    "whole": lambda value, units: f"{value:.0f}",
    "money": lambda value, units: f"{value:.2f}",
    "hours": lambda value, units: f"{value:g} h",
    "minutes": lambda value, units: f"{value:.0f} min",
    "celsius": _celsius,
    "pressure": _per("MPa", "psi", PSI, 1, -1, scale=1e-6),
}
