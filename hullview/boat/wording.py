"""Quantities back in words, in the builder's own kind of unit with the other beside."""

from __future__ import annotations

import math

INCH = 0.0254
POUND = 0.45359237


def eighths(metres: float) -> str:
    """A length as in a table of offsets, to the nearest sixteenth.

    >>> eighths(15.6875 * 0.0254), eighths(-0.0254)
    ('1-3-5+', '-0-1-0')
    """
    n = round(abs(metres) / INCH * 16)
    feet, rest = divmod(n, 192)
    inches, sixteenths = divmod(rest, 16)
    sign = "-" if metres < 0 and n else ""
    return f"{sign}{feet}-{inches}-{sixteenths // 2}{'+' if sixteenths % 2 else ''}"


def feet_inches(metres: float, parts: int = 16) -> str:
    """Feet, inches and the nearest fraction of `parts` to the inch.

    >>> feet_inches(2.9083), feet_inches(0.0191), feet_inches(-0.1524), feet_inches(0.0)
    ('9\\' 6-1/2"', '3/4"', '-6"', '0"')
    """
    n = round(abs(metres) / INCH * parts)
    feet, rest = divmod(n, 12 * parts)
    inches, top = divmod(rest, parts)
    bottom = parts
    while top and top % 2 == 0:
        top, bottom = top // 2, bottom // 2
    fraction = f"{top}/{bottom}" if top else ""
    small = "-".join(p for p in (str(inches) if inches or not fraction else "", fraction) if p)
    sign = "-" if metres < 0 and n else ""
    if not feet:
        return f'{sign}{small}"'
    return f"{sign}{feet}'" + (f' {small}"' if rest else "")


def millimetres(metres: float, decimals: int = 0) -> str:
    """A length in mm.

    >>> millimetres(0.11249), millimetres(0.11249, 1), millimetres(-0.0001)
    ('112 mm', '112.5 mm', '0 mm')
    """
    return f"{figure(metres * 1000, decimals)} mm"


def sizes_text(*metres: float) -> str:
    """Sizes of a section in mm, as exact as they were given: to the thousandth of a mm, nothing cut off.

    >>> sizes_text(0.003175, 0.01905), sizes_text(0.019)
    ('3.175 x 19.05', '19')
    """
    return " x ".join(f"{m * 1000:.3f}".rstrip("0").rstrip(".") for m in metres)


def at_most(metres: float, units: str) -> float:
    """The greatest size that a builder reads as it is and that is not more than a limit [m]; endless stays
    so.

    >>> round(at_most(0.00239, "metric"), 6), round(at_most(0.0018, "imperial") / 0.0254 * 64, 6)
    (0.0023, 4.0)
    """
    if math.isinf(metres):
        return metres
    step = 1e-4 if units != "imperial" else INCH / (64 if metres < INCH / 8 else 16)
    return max(math.floor(metres / step + 1e-9), 1) * step


def length_text(metres: float, units: str = "metric", decimals: int = 0, both: bool = True) -> str:
    """A length in the builder's kind of unit, the other beside it in brackets.

    >>> length_text(0.3048), length_text(0.3048, "imperial"), length_text(0.3048, "imperial", both=False)
    ("305 mm (1')", "1' (305 mm)", "1'")
    """
    first, second = millimetres(metres, decimals), feet_inches(metres)
    if units == "imperial":
        first, second = second, first
    return f"{first} ({second})" if both else first


def from_to(low: float, high: float, units: str = "metric") -> str:
    """A span along the boat, the unit of mm once.

    >>> from_to(1.0, 1.7), from_to(0.3048, 0.6096, "imperial")
    ('1000 to 1700 mm', "1' to 2'")
    """
    first, last = (length_text(metres, units, both=False) for metres in (low, high))
    return f"{first.removesuffix(' mm')} to {last}"


def mass_text(kilograms: float, units: str = "metric", decimals: int = 1, both: bool = True) -> str:
    """A mass in the builder's kind of unit, the other beside it in brackets.

    >>> mass_text(82.0, decimals=0), mass_text(82.0, "imperial", 0, both=False)
    ('82 kg (181 lb)', '181 lb')
    """
    first = f"{figure(kilograms, decimals)} kg"
    second = f"{figure(kilograms / POUND, decimals)} lb"
    if units == "imperial":
        first, second = second, first
    return f"{first} ({second})" if both else first


def figure(value: float, decimals: int) -> str:
    """A number to so many decimals, a nought without a minus.

    >>> figure(-0.004, 2), figure(-1.25, 1)
    ('0.00', '-1.2')
    """
    text = f"{value:.{decimals}f}"
    return text.lstrip("-") if float(text) == 0 else text
