"""A quantity written anew as the builder wrote the old one: the same unit, the same kind of number, as fine
as before, or finer where that was coarser than a builder reads."""

from __future__ import annotations

import re
from fractions import Fraction

from hullview.boat import quantity
from hullview.boat.units import BY_NAME, INCH, SPELLINGS
from hullview.boat.wording import eighths

FINE = {
    "mm": 0, "cm": 1, "m": 3, "in": 2, "ft": 3, "kg": 3, "g": 1, "lb": 1, "oz": 0, "t": 3, "st": 2,
}  # fmt: skip
"""Decimals that a number of each unit has at least where it is written anew."""
SAME = 1e-9
"""A quantity this near to what stands there already is left as it is written [m or kg]."""

_D = "[0-9Oo]"
_FRACTION = re.compile(rf"(?:{_D}+(?:-| +))?{_D}+/({_D}+)")
_DECIMAL = re.compile(rf"{_D}*\.({_D}+)")


def written_like(old: object, value: float, kind: str, bare: str | None = None) -> str | int | float:
    """A quantity in the words of an old one.

    Parameters
    ----------
    old : text or number
        As it stands in the file; anything else is answered with metres or kilograms.
    value : float
        In SI.
    kind : str
        "length", "mass" or "density".
    bare : str, optional
        Unit of numbers without any.

    Returns
    -------
    text or number
        The old one itself where it says that value.

    >>> written_like("1.66 m", 1.7264, "length"), written_like("82 kg", 95.0, "mass")
    ('1.726 m', '95 kg')
    >>> written_like('9\\' 6-1/2"', 2.95, "length"), written_like("1-3-5", 0.4, "length")
    ('9\\' 8-1/8"', '1-3-6')
    """
    try:
        if abs(quantity.read(old, kind, bare).value - value) <= SAME:
            return old  # type: ignore[return-value]
    except quantity.QuantityError:
        old = None
    unit = BY_NAME.get(bare or "")
    if isinstance(old, int | float) and not isinstance(old, bool) and unit is not None:
        return _number(str(old), value / float(unit.factor), FINE.get(unit.name, 3))
    text = old if isinstance(old, str) else ""
    plain = quantity.in_plain(text)
    if kind == "length" and quantity.EIGHTHS.fullmatch(plain):
        return eighths_of(value, Fraction(1, 16) if plain[-1] in "+-" else Fraction(1, 8))
    if match := quantity.TWO.fullmatch(plain):
        return _pair(match, value)
    if match := quantity.ONE.fullmatch(plain):
        return _one(match, value, kind)
    if quantity.BARE.fullmatch(plain) and unit is not None:
        return str(_number(plain, value / float(unit.factor), FINE.get(unit.name, 3)))
    return _metric(value, kind)


def _metric(value: float, kind: str) -> str:
    if kind == "length":
        return f"{_number('0.000', value, 3)} m" if abs(value) >= 1 else f"{_number('0', value * 1000, 0)} mm"
    return f"{_number('0', value, 1)} {'kg' if kind == 'mass' else 'kg/m3'}"


def _number(old: str, value: float, least: int) -> int | float:
    """A decimal number as fine as the old one, or finer where that makes it exact."""
    found = _DECIMAL.search(old)
    had = len(found[1]) if found else 0
    decimals = max(had, least)
    exact = next((d for d in range(had, decimals + 1) if abs(round(value, d) - value) <= SAME), decimals)
    made = round(value, exact)
    if had == 0 and float(made).is_integer():
        return int(made)
    return made + 0.0


def _one(match: re.Match[str], value: float, kind: str) -> str:
    """A number with its unit; a fraction stays one, of 16ths of an inch or finer."""
    _, number, word = match.groups()
    unit = SPELLINGS[word]
    size = value / float(unit.factor)
    gap = "" if match[0].rstrip().endswith(number + word) else " "
    fraction = _FRACTION.search(number)
    if unit.name == "ft" and "." not in number:
        feet, inches = divmod(Fraction(round(abs(value) / float(INCH) * 16), 16), 12)
        small, between = ("in", " ") if word not in "'\"" else ('"', "")
        lead = "-" if value < 0 else ""
        return f"{lead}{feet}{gap}{word}" + (f" {mixed(inches)}{between}{small}" if inches else "")
    if unit.name == "in" and (fraction or "." not in number):
        bottom = max(16, int(fraction[1].replace("O", "0").replace("o", "0")) if fraction else 1)
        return f"{mixed(Fraction(round(size * bottom), bottom))}{gap}{word}"
    made = _number(number, size, FINE.get(unit.name, 3))
    metric = round(value, 3)
    if (
        kind == "mass"
        and unit.imperial
        and abs(metric - value) <= SAME < abs(made * float(unit.factor) - value)
    ):
        return f"{_number('0', metric, 0)} kg"  # somebody gave it in kilograms
    return f"{made}{gap}{word}"


def _pair(match: re.Match[str], value: float) -> str:
    """Feet and inches, stone and pounds, pounds and ounces."""
    big, small = SPELLINGS[match[3]], SPELLINGS[match[5]]
    per = big.factor / small.factor
    parts = 16 if small.name == "in" else 10
    whole, rest = divmod(Fraction(round(abs(value) / float(small.factor) * parts), parts), per)
    inner = mixed(rest) if small.name == "in" else f"{float(rest):g}"
    sign = "-" if value < 0 else ""
    gap = "" if match[3] in "'\"" else " "
    return f"{sign}{whole}{gap}{match[3]} {inner}{'' if match[5] in chr(34) else ' '}{match[5]}"


def mixed(value: Fraction) -> str:
    """A number as builders write it: whole, a fraction, or both.

    >>> mixed(Fraction(19, 16)), mixed(Fraction(-3, 8)), mixed(Fraction(2))
    ('1-3/16', '-3/8', '2')
    """
    sign, whole, rest = "-" if value < 0 else "", abs(value) // 1, abs(value) % 1
    parts = [str(whole)] if whole or not rest else []
    return sign + "-".join([*parts, *([f"{rest.numerator}/{rest.denominator}"] if rest else [])])


def eighths_of(value: float, step: Fraction) -> str:
    """Feet-inches-eighths, to the nearest step of an inch."""
    return eighths(float(round(value / float(INCH * step)) * INCH * step))


def finer(cell: str) -> str:
    """The same notation a step finer: a tenth, or a sixteenth for an eighth.

    >>> finer("312"), finer("14.5"), finer("1-3-5")
    ('312.0', '14.50', '1-3-5+')
    """
    plain = quantity.in_plain(cell)
    if quantity.EIGHTHS.fullmatch(plain):
        return plain if plain[-1] in "+-" else f"{plain}+"
    return f"{plain}0" if "." in plain else f"{plain}.0"


def finest(cells: list[str], bare: str | None) -> str | None:
    """Of the cells of a table that are written alike (bare numbers, or feet-inches-eighths), the one that
    is written finest; None where there is none.

    >>> finest(["312", "14.5", "7"], "mm"), finest(["1-3-5", "0-2-1+", "0"], "ft-in-eighths")
    ('14.5', '0-2-1+')
    """
    plain = [quantity.in_plain(c) for c in cells]
    if bare == "ft-in-eighths":
        of = [c for c in plain if quantity.EIGHTHS.fullmatch(c)]
        return max(of, key=lambda c: c[-1] in "+-", default=None)
    decimals = [
        (len(found[1]) if (found := _DECIMAL.search(c)) else 0, c)
        for c in plain
        if quantity.BARE.fullmatch(c)
    ]
    return max(decimals, default=(0, None))[1]
