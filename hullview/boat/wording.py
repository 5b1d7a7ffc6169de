"""Quantities back in words, in the builder's own kind of unit with the other beside."""

from __future__ import annotations

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
    return f"{_no_minus_zero(metres * 1000, decimals)} mm"


def length_text(metres: float, units: str = "metric", decimals: int = 0, both: bool = True) -> str:
    """A length in the builder's kind of unit, the other beside it in brackets.

    >>> length_text(0.3048), length_text(0.3048, "imperial"), length_text(0.3048, "imperial", both=False)
    ("305 mm (1')", "1' (305 mm)", "1'")
    """
    first, second = millimetres(metres, decimals), feet_inches(metres)
    if units == "imperial":
        first, second = second, first
    return f"{first} ({second})" if both else first


def mass_text(kilograms: float, units: str = "metric", decimals: int = 1, both: bool = True) -> str:
    """A mass in the builder's kind of unit, the other beside it in brackets.

    >>> mass_text(82.0, decimals=0), mass_text(82.0, "imperial", 0, both=False)
    ('82 kg (181 lb)', '181 lb')
    """
    first = f"{_no_minus_zero(kilograms, decimals)} kg"
    second = f"{_no_minus_zero(kilograms / POUND, decimals)} lb"
    if units == "imperial":
        first, second = second, first
    return f"{first} ({second})" if both else first


def _no_minus_zero(value: float, decimals: int) -> str:
    text = f"{value:.{decimals}f}"
    return text.lstrip("-") if float(text) == 0 else text
