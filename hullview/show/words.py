"""Figures in a builder's words: lengths and masses in his own kind of unit, trim by bow or stern, names of loads."""

from __future__ import annotations

import math
from collections.abc import Sequence

from hullview.boat.model import Boat, Table
from hullview.boat.wording import (
    INCH,
    POUND,
    feet_inches,
    figure,
    length_text,
    mass_text,
    sizes_text,
)

NOTHING = "-"


def length(metres: float | None, units: str, both: bool = True, decimals: int = 0) -> str:
    """A length in the builder's unit, the other beside it; a dash where there is none, "none" where it is endless."""
    if metres is None:
        return NOTHING
    if math.isinf(metres):
        return "none"
    return length_text(metres, units, decimals, both)


def thickness(metres: float, units: str) -> str:
    """How thick a ply or a strip is: tenths of a mm, or sixteenths of an inch, and 64ths where it is thin.

    >>> thickness(0.00041, "imperial"), thickness(0.0064, "imperial"), thickness(0.00041, "metric")
    ('1/64"', '1/4"', '0.4 mm')
    """
    if units != "imperial":
        return length(metres, units, both=False, decimals=1)
    return feet_inches(metres, 64 if metres < INCH / 8 else 16)


def section(sizes: Sequence[float], units: str) -> str:
    """Sizes of a section as exact as they were given: in mm, or in 64ths of an inch where they are that.

    >>> section((0.003175, 0.01905), "imperial"), section((0.003175,), "metric"), section((0.005, 0.018), "imperial")
    ('1/8" x 3/4"', '3.175 mm', '5 x 18 mm')
    """
    whole = all(abs(round(s / INCH * 64) * INCH / 64 - s) < 2e-5 for s in sizes)
    if units == "imperial" and whole:
        return " x ".join(feet_inches(s, 64) for s in sizes)
    return f"{sizes_text(*sizes)} mm"


def count(number: float, one: str, many: str = "") -> str:
    """So many of a thing.

    >>> count(1, "seat"), count(2, "seat"), count(1, "ply", "plies")
    ('1 seat', '2 seats', '1 ply')
    """
    return f"{number:.0f} {one if number == 1 else many or one + 's'}"


def place(metres: float, units: str, both: bool = True) -> str:
    """A length along the boat: in metres or in feet and inches, the other beside."""
    first, second = f"{metres:.3f} m", feet_inches(metres)
    if units == "imperial":
        first, second = second, first
    return f"{first} ({second})" if both else first


def mass(kilograms: float, units: str, both: bool = True, decimals: int = 1) -> str:
    """A mass in the builder's unit, the other beside it; whole figures without a point."""
    whole = abs(kilograms - round(kilograms)) < 1e-9 and units == "metric"
    return mass_text(kilograms, units, 0 if whole else decimals, both)


def span(low: float | None, high: float | None, units: str) -> str:
    """A range of mass, its unit once.

    >>> span(13.31, 15.7, "metric")
    '13.3 to 15.7 kg'
    """
    first, last = (mass_text(m or 0.0, units, 1, both=False) for m in (low, high))
    return f"{first.rpartition(' ')[0]} to {last}"


def round_mass(kilograms: float, units: str) -> str:
    """A mass that somebody gave, without a point where it is as good as whole.

    >>> round_mass(74.84, "imperial"), round_mass(82.5, "metric")
    ('165 lb', '82.5 kg')
    """
    shown = kilograms / POUND if units == "imperial" else kilograms
    return mass_text(kilograms, units, 0 if abs(shown - round(shown)) < 0.05 else 1, both=False)


def trim(metres: float | None, units: str, both: bool = False) -> str:
    """Trim over the waterline, by the end that lies deeper.

    >>> trim(-0.0121, "metric"), trim(0.0002, "metric")
    ('12 mm bow', 'level')
    """
    if metres is None:
        return NOTHING
    if abs(metres) < 0.0005:
        return "level"
    return f"{length(abs(metres), units, both)} {'stern' if metres > 0 else 'bow'}"


def value(number: float | None, unit: str, units: str, both: bool = True) -> str:
    """A check's figure in its unit."""
    if number is None or not math.isfinite(number):
        return NOTHING if number is None else "none"
    if unit == "m":
        return length(number, units, both)
    if unit == "deg":
        return f"{figure(number, 1)} deg"
    if unit == "kg":
        return mass_text(number, units, 0, both)
    return f"{figure(number * 100, 0)} %" if unit == "1" else f"{number:.3g} {unit}"


def margin(share: float | None) -> str:
    """A margin over its check's scale, in per cent.

    >>> margin(0.814), margin(-0.04), margin(math.inf), margin(None)
    ('81 %', '-4 %', 'none', '-')
    """
    if share is None or not math.isfinite(share):
        return NOTHING if share is None else "none"
    return f"{figure(share * 100, 0)} %"


def people(boat: Boat) -> str:
    """The paddlers aboard in short: "82 kg", or "82 kg and 70 kg"."""
    masses = [round_mass(p.mass, boat.units_shown) for p in boat.load.paddlers]
    return (
        f"{', '.join(masses[:-1])} and {masses[-1]}" if len(masses) > 1 else masses[0] if masses else "nobody"
    )


def rows_of(table: Table) -> dict[str, str]:
    """Each row's label with what a person reads for it: its height or breadth in mm, or in feet and inches where the table is in them."""
    named = {}
    for line in table.lines:
        at = (
            ""
            if line.at is None
            else f" {feet_inches(line.at) if table.unit.startswith(('ft', 'in')) else f'{line.at * 1000:g}'}"
        )
        angle = "" if line.angle is None else f"/{math.degrees(line.angle):g}"
        named[line.label] = f"{line.measure} {line.name}{at}{angle}"
    return named


def water(boat: Boat, density: float) -> str:
    """The water in words with its density."""
    kind = "" if boat.water.kind == "given" else f"{boat.water.kind} "
    return f"{kind}water of {density:.1f} kg/m3"
