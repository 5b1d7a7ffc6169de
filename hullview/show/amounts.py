"""How much of a thing: lengths, areas and masses of an order or a schedule in the builder's own kind of unit."""

from __future__ import annotations

import re

from hullview.boat.wording import INCH, POUND, feet_inches
from hullview.weight.order import OrderLine

FOOT = 12 * INCH
IMPERIAL = {"m": ("ft", FOOT), "m2": ("ft2", FOOT**2), "kg": ("lb", POUND)}
"""What stands for a unit of ours, and how much of ours it is."""

_SIZES = re.compile(r"(?<![\w.])((?:\d+(?:\.\d+)? x )*\d+(?:\.\d+)?) mm\b")
_AMOUNT = re.compile(r"(?<![\w./])((?:\d+(?:\.\d+)? x )?\d+(?:\.\d+)?) (m2|m|kg)\b(?!/)")


def amount(value: float, unit: str, units: str) -> str:
    """A number and its unit, to as many places as its size deserves.

    >>> amount(304.21, "m", "metric"), amount(0.01086, "kg", "metric"), amount(4.07, "m2", "imperial")
    ('304 m', '0.01 kg', '43.8 ft2')
    """
    shown, per = (unit, 1.0) if units != "imperial" or unit not in IMPERIAL else IMPERIAL[unit]
    return f"{number(value / per)} {shown}"


def number(value: float) -> str:
    """Whole from a hundred on, tenths from ten on, hundredths below.

    >>> number(304.21), number(12.34), number(0.0), number(0.004)
    ('304', '12.3', '0', '0.004')
    """
    if value == 0:
        return "0"
    decimals = 0 if abs(value) >= 99.95 else 1 if abs(value) >= 9.995 else 2
    return f"{value:.{decimals}f}" if abs(value) >= 0.005 else f"{value:.1g}"


def unit_of(unit: str, units: str) -> str:
    """What a unit of ours is called for this builder."""
    return IMPERIAL[unit][0] if units == "imperial" and unit in IMPERIAL else unit


def in_units(value: float, unit: str, units: str) -> float:
    """A figure of ours in the builder's unit."""
    return value / IMPERIAL[unit][1] if units == "imperial" and unit in IMPERIAL else value


def masses(units: str, *kilograms: float) -> tuple[str, ...]:
    """Masses for the cells of a table, to hundredths.

    >>> masses("imperial", 0.45359237, 2.0)
    ('1.00', '4.41')
    """
    return tuple(f"{in_units(m, 'kg', units):.2f}" for m in kilograms)


def said(text: str, units: str) -> str:
    """A label of a schedule or an order, whose sizes are metric, with them in inches and feet for a builder in inches.

    A size that is no fraction of an inch that a rule has, within 2 %, stays as it is.

    >>> said("lamination 5 x 3.17 x 19.1 mm, white ash", "imperial"), said("4.36 m of 5 mm plywood", "imperial")
    ('lamination 5 x 1/8" x 3/4", white ash', '14\\' 3-3/4" of 5 mm plywood')
    """
    if units != "imperial":
        return text
    text = _SIZES.sub(lambda m: _fractions(m[1]) or m[0], text)
    return _AMOUNT.sub(
        lambda m: (
            " x ".join(feet_inches(float(v), 4) for v in m[1].split(" x "))
            if m[2] == "m"
            else amount(float(m[1]), m[2], units)
        ),
        text,
    )


def _fractions(sizes: str) -> str:
    """Sizes in mm as fractions of an inch, a count before them as it is; nothing where one is no such fraction."""
    found = []
    for k, size in enumerate(sizes.split(" x ")):
        if k == 0 and sizes.count(" x ") == 2 and "." not in size and int(size) < 13:
            found.append(size)  # so many plies
            continue
        metres = float(size) / 1000
        parts = next(
            (
                p
                for p in (1, 2, 4, 8, 16, 32, 64)
                if abs(round(metres / INCH * p) * INCH / p - metres) <= 0.018 * metres
            ),
            0,
        )
        if not parts:
            return ""
        found.append(feet_inches(metres, parts) if metres < FOOT else f'{round(metres / INCH * 4) / 4:g}"')
    return " x ".join(found)


def bought(line: OrderLine, units: str) -> str:
    """How much to buy; a consumable in the shop's own words."""
    if line.group == "consumables":
        return line.unit
    return f"{line.buy:.0f}" if line.unit == "pieces" else amount(line.buy, line.unit, units)


def cost(line: OrderLine) -> str:
    """What it costs, where the shop gave a price."""
    return "" if line.cost is None else f"{line.cost:.2f} {line.currency or ''}".strip()
