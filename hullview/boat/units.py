"""The units a builder may write: kind, spellings, exact factor to SI.

Exact by definition: 1 in = 25.4 mm and 1 lb = 0.45359237 kg (international yard and pound agreement, 1959);
1 US gal = 231 in3. Common knowledge, no source needed for the rest.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from math import pi

INCH = Fraction("0.0254")
POUND = Fraction("0.45359237")


@dataclass(frozen=True)
class Unit:
    """One unit: `name` as we print it, the kind it measures, exact factor to SI, imperial or not."""

    name: str
    kind: str
    factor: Fraction
    imperial: bool = False


def _spellings(area: str, squared: str) -> tuple[str, ...]:
    """Every way a power is typed: yd2, yd^2, yd with a raised 2, sq yd."""
    power = squared[-1]
    raised = {"2": "\u00b2", "3": "\u00b3"}[power]
    word = {"2": "sq", "3": "cu"}[power]
    stem = squared[:-1]
    forms = (squared, f"{stem}^{power}", f"{stem}{raised}", f"{word} {stem}")
    return tuple(f"{area}{f}" for f in forms)


_LENGTHS = (
    (
        Unit("mm", "length", Fraction(1, 1000)),
        ("mm", "millimetre", "millimeter", "millimetres", "millimeters"),
    ),
    (
        Unit("cm", "length", Fraction(1, 100)),
        ("cm", "centimetre", "centimeter", "centimetres", "centimeters"),
    ),
    (Unit("m", "length", Fraction(1)), ("m", "metre", "meter", "metres", "meters")),
    (Unit("in", "length", INCH, True), ("in", "in.", '"', "inch", "inches")),
    (Unit("ft", "length", INCH * 12, True), ("ft", "ft.", "'", "foot", "feet")),
)
_MASSES = (
    (Unit("g", "mass", Fraction(1, 1000)), ("g", "gram", "grams")),
    (Unit("kg", "mass", Fraction(1)), ("kg", "kgs", "kilo", "kilos", "kilogram", "kilograms")),
    (Unit("t", "mass", Fraction(1000)), ("t", "tonne", "tonnes")),
    (Unit("oz", "mass", POUND / 16, True), ("oz", "oz.", "ounce", "ounces")),
    (Unit("lb", "mass", POUND, True), ("lb", "lb.", "lbs", "lbs.", "pound", "pounds")),
    (Unit("st", "mass", POUND * 14, True), ("st", "stone")),
)
_FEET, _YARD = INCH * 12, INCH * 36
_PER_AREA = (
    (Unit("g/m2", "areal weight", Fraction(1, 1000)), _spellings("g/", "m2")),
    (Unit("kg/m2", "areal weight", Fraction(1)), _spellings("kg/", "m2")),
    (Unit("oz/yd2", "areal weight", POUND / 16 / _YARD**2, True), _spellings("oz/", "yd2")),
    (Unit("oz/ft2", "areal weight", POUND / 16 / _FEET**2, True), _spellings("oz/", "ft2")),
    (Unit("lb/ft2", "areal weight", POUND / _FEET**2, True), _spellings("lb/", "ft2")),
)
_DENSITIES = (
    (Unit("kg/m3", "density", Fraction(1)), _spellings("kg/", "m3")),
    (Unit("g/cm3", "density", Fraction(1000)), _spellings("g/", "cm3")),
    (Unit("kg/l", "density", Fraction(1000)), ("kg/l", "kg/L", "kg/dm3")),
    (Unit("lb/ft3", "density", POUND / _FEET**3, True), _spellings("lb/", "ft3")),
)
_VOLUMES = (
    (Unit("ml", "volume", Fraction(1, 10**6)), ("ml", "mL", *_spellings("", "cm3"))),
    (
        Unit("l", "volume", Fraction(1, 1000)),
        ("l", "L", "litre", "liter", "litres", "liters", *_spellings("", "dm3")),
    ),
    (Unit("m3", "volume", Fraction(1)), _spellings("", "m3")),
    (Unit("in3", "volume", INCH**3, True), _spellings("", "in3")),
    (Unit("ft3", "volume", _FEET**3, True), _spellings("", "ft3")),
    (Unit("US qt", "volume", INCH**3 * 231 / 4, True), ("US qt", "US quart", "US quarts")),
    (Unit("US gal", "volume", INCH**3 * 231, True), ("US gal", "US gallon", "US gallons")),
)
_ANGLES = (
    # pi is the one factor that is not exact: within half a unit of the last place of a float.
    (Unit("deg", "angle", Fraction(pi) / 180), ("deg", "deg.", "\u00b0", "degree", "degrees")),
    (Unit("rad", "angle", Fraction(1)), ("rad", "radian", "radians")),
)
_PER_LENGTH = (
    (Unit("g/m", "mass per length", Fraction(1, 1000)), ("g/m",)),
    (Unit("kg/m", "mass per length", Fraction(1)), ("kg/m",)),
    (Unit("oz/ft", "mass per length", POUND / 16 / _FEET, True), ("oz/ft",)),
    (Unit("oz/yd", "mass per length", POUND / 16 / _YARD, True), ("oz/yd",)),
    (Unit("lb/ft", "mass per length", POUND / _FEET, True), ("lb/ft",)),
)

_TIMES = (
    (Unit("s", "time", Fraction(1)), ("s", "sec", "second", "seconds")),
    (Unit("min", "time", Fraction(60)), ("min", "min.", "minute", "minutes")),
    (Unit("h", "time", Fraction(3600)), ("h", "hr", "hour", "hours")),
)

EXAMPLES: Mapping[str, str] = {
    "length": '"19 mm", "1.55 m", "1-1/8 in", "9 ft 6 in"',
    "mass": '"82 kg", "350 g", "180 lb", "12 oz"',
    "areal weight": '"200 g/m2", "6 oz/yd2"',
    "density": '"350 kg/m3", "22 lb/ft3"',
    "volume": '"12 l", "0.012 m3", "0.4 ft3", "2 US gal"',
    "angle": '"20 deg", "0.35 rad"',
    "mass per length": '"8 g/m", "0.1 oz/ft"',
    "time": '"22 min", "1.5 h"',
}
"""How each kind is written, for messages."""

COMPOUNDS: Mapping[str, str] = {"ft": "in", "st": "lb", "lb": "oz"}
"""Units that a builder writes in pairs: whole feet, then inches below twelve."""


def _table() -> dict[str, Unit]:
    known: dict[str, Unit] = {}
    for group in (_LENGTHS, _MASSES, _PER_AREA, _DENSITIES, _VOLUMES, _ANGLES, _PER_LENGTH, _TIMES):
        for unit, words in group:
            for word in words:
                known[word] = unit
                # A keyboard with the capitals on, and the capital that a spreadsheet puts first; but Mm and
                # the like, with a capital prefix, are other units and stay unknown.
                known.setdefault(word.upper(), unit)
                if unit.imperial or unit.name == "kg":
                    known.setdefault(word.capitalize(), unit)
    return known


SPELLINGS: Mapping[str, Unit] = _table()
BY_NAME: Mapping[str, Unit] = {u.name: u for u in SPELLINGS.values()}
