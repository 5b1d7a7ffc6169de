"""Quantities as builders write them, to SI and back; strict, so that nothing is read as something else.

A number is whole, decimal ("1.55"), a fraction ("3/4") or mixed ("1-1/8", "1 1/8"), always with its unit. A
length may also be feet and inches (`9' 6-1/2"`) or feet-inches-eighths as in a table of offsets ("1-3-5",
"1-3-5+": a sixteenth more). A letter O among the digits is read as zero, with a notice. Sums are done in
fractions: one rounding, at the end.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache

from hullview.boat.units import BY_NAME, COMPOUNDS, EXAMPLES, INCH, SPELLINGS, Unit
from hullview.errors import UsageError

LONGEST = 60
NO_UNIT = "must have its unit"
NOTATION = "is feet-inches-eighths in a table in "
_D = "[0-9Oo]"
_NUMBER = rf"(?:{_D}+\.{_D}+|\.{_D}+|{_D}+(?:-| +){_D}+/{_D}+|{_D}+/{_D}+|{_D}+)"
EIGHTHS = re.compile(rf"(-?)({_D}+)-({_D}{{1,2}})-({_D})([+-]?)")
_WORDS = "|".join(re.escape(w) for w in sorted(SPELLINGS, key=len, reverse=True))
ONE = re.compile(rf"([-+]?)({_NUMBER}) *({_WORDS})")
TWO = re.compile(rf"([-+]?)({_NUMBER}) *({_WORDS})(?:-| - | *)({_NUMBER}) *({_WORDS})")
BARE = re.compile(rf"([-+]?)({_NUMBER})")
_PLAIN_PIECES = {
    # What a page or a word processor makes of plain typing.
    "\u2032": "'",
    "\u2019": "'",
    "\u2033": '"',
    "\u201d": '"',
    "\u2010": "-",
    "\u2011": "-",
    "\u2013": "-",
    "\u2212": "-",
    "\u00a0": " ",
    "\u202f": " ",
    "\u2044": "/",
}
_VULGAR = {
    "\u00bd": "1/2",
    "\u00bc": "1/4",
    "\u00be": "3/4",
    "\u215b": "1/8",
    "\u215c": "3/8",
    "\u215d": "5/8",
    "\u215e": "7/8",
}


class QuantityError(UsageError):
    """A quantity that cannot be read, or could be read in two ways."""

    def __init__(self, given: str, allowed: str, mend: str = ""):
        self.given, self.allowed, self.mend = given, allowed, mend
        super().__init__(f"{given}: {allowed}." + (f" {mend}" if mend else ""))


@dataclass(frozen=True)
class Reading:
    """What was read: the value in SI, whether its unit was imperial (None: a bare zero), and a notice,
    empty if none."""

    value: float
    imperial: bool | None
    notice: str = ""


def read(text: object, kind: str, bare: str | None = None) -> Reading:
    """Read a quantity of a kind: "length", "mass", "density", "areal weight", "volume", "angle", "mass per
    length".

    bare: unit of numbers that carry none ("mm", "in", "ft-in-eighths", ...), for a table of offsets; None
    refuses them.

    >>> read("1-3-5+", "length").value == (15 + 11 / 16) * 0.0254
    True
    >>> read("17' 3-1/2\\"", "length").value
    5.2705
    >>> read("82", "mass")  # doctest: +ELLIPSIS
    Traceback (most recent call last):
    ...
    hullview.boat.quantity.QuantityError: "82": must have its unit. Write it like "82 kg", "350 g", ...
    """
    return _read_text(text, kind, bare) if isinstance(text, str) else _read_number(text, kind, bare)


@lru_cache(maxsize=4096)
def _read_text(text: str, kind: str, bare: str | None) -> Reading:
    """The same of a text; kept, since a table holds the same few hundred numbers over and over."""
    shown = _shown(text)
    if len(text) > LONGEST:
        raise QuantityError(shown, f"must be {_a(kind)}, not a text of {len(text)} characters")
    plain = in_plain(text)
    if not plain:
        raise QuantityError(shown, f"must be {_a(kind)}, not empty", f"Write it like {EXAMPLES[kind]}.")
    found = (
        _eighths(plain, shown, kind, bare)
        or _with_unit(plain, shown, kind)
        or _bare(plain, shown, kind, bare)
    )
    if found is None:
        allowed, mend = _explain(plain, kind, bare)
        raise QuantityError(shown, allowed, mend)
    value, imperial, zeroed = found
    notice = f"{shown}: letter O read as zero" if zeroed else ""
    return Reading(float(value), imperial, notice)


def _shown(text: str) -> str:
    """The text as a message shows it: no control characters, and not too much of it."""
    clean = "".join(c if c.isprintable() else "?" for c in text[:LONGEST])
    return f'"{clean}"' + ("..." if len(text) > LONGEST else "")


def in_plain(text: str) -> str:
    """The same in plain characters. A raised fraction stands after a space: "1\u00bd" is 1 1/2, never
    11/2."""
    if not text.isascii():
        for fancy, plain in _PLAIN_PIECES.items():
            text = text.replace(fancy, plain)
        for fancy, plain in _VULGAR.items():
            text = re.sub(rf"(?<=[0-9Oo]){fancy}", f" {plain}", text).replace(fancy, plain)
    return text.replace("\t", " ").strip(" \r\n")


_Found = tuple[Fraction, bool | None, bool]


def _read_number(given: object, kind: str, bare: str | None) -> Reading:
    """A number that TOML or a caller gives without any text."""
    if isinstance(given, bool) or not isinstance(given, int | float):
        raise QuantityError(_short(given), f"must be {_a(kind)}", f"Write it like {EXAMPLES[kind]}.")
    if isinstance(given, float) and not abs(given) < float("inf"):
        raise QuantityError(_short(given), f"must be {_a(kind)}, a finite one")
    if abs(given) > 1e15:
        raise QuantityError(_short(given), f"is absurdly large for {_a(kind)}")
    found = _bare_value(Fraction(str(given)), _short(given), kind, bare)
    return Reading(float(found[0]), found[1])


def _short(given: object) -> str:
    """Anything that TOML can give, as a message shows it."""
    if isinstance(given, bool):
        return str(given).lower()
    if isinstance(given, int):
        return str(given) if abs(given) < 10**18 else "a huge number"
    if isinstance(given, dict | list):
        return "a table" if isinstance(given, dict) else "a list"
    return str(given)[:LONGEST]


def _eighths(plain: str, shown: str, kind: str, bare: str | None) -> _Found | None:
    """Feet-inches-eighths, with a sixteenth more or less."""
    match = EIGHTHS.fullmatch(plain)
    if not match or kind != "length":
        return None
    if bare in ("mm", "cm", "m"):
        raise QuantityError(shown, f"{NOTATION}{bare}", "Write one kind of number.")
    sign, *digits, more = match.groups()
    (feet, a), (inches, b), (eighths, c) = (_digits(d) for d in digits)
    if inches > 11 or eighths > 7:
        wrong = f"{inches} inches" if inches > 11 else f"{eighths} eighths"
        raise QuantityError(shown, f"feet-inches-eighths: has {wrong}", "Inches go to 11, eighths to 7.")
    value = (
        Fraction(feet * 12 + inches) + Fraction(eighths, 8) + {"+": 1, "-": -1, "": 0}[more] * Fraction(1, 16)
    ) * INCH
    if value < 0:
        raise QuantityError(shown, "is a sixteenth less than nothing")
    return (-value if sign else value), True, a or b or c


def _with_unit(plain: str, shown: str, kind: str) -> _Found | None:
    """One number with its unit, or a pair such as feet and inches."""
    if match := ONE.fullmatch(plain):
        sign, number, word = match.groups()
        unit = _unit(word, shown, kind)
        value, zeroed = _number(number, shown)
        return (-value if sign == "-" else value) * unit.factor, unit.imperial, zeroed
    if not (match := TWO.fullmatch(plain)):
        return None
    sign, number, word, number2, word2 = match.groups()
    big, small = _unit(word, shown, kind), _unit(word2, shown, kind)
    if COMPOUNDS.get(big.name) != small.name:
        raise QuantityError(shown, f"mixes {big.name} and {small.name}", "Write it in one unit.")
    (high, a), (low, b) = _number(number, shown), _number(number2, shown)
    most = big.factor / small.factor
    if high.denominator != 1 or not number.isalnum():
        raise QuantityError(shown, f"must have a whole number of {big.name} before the {small.name}")
    if low >= most:
        raise QuantityError(
            shown,
            f"has {most} {small.name} or more beside the {big.name}",
            f"Carry them into the {big.name}.",
        )
    value = high * big.factor + low * small.factor
    return (-value if sign == "-" else value), big.imperial, a or b


def _bare(plain: str, shown: str, kind: str, bare: str | None) -> _Found | None:
    match = BARE.fullmatch(plain)
    if not match:
        return None
    value, zeroed = _number(match[2], shown)
    value, imperial, _ = _bare_value(-value if match[1] == "-" else value, shown, kind, bare)
    return value, imperial, zeroed


def _bare_value(value: Fraction, shown: str, kind: str, bare: str | None) -> _Found:
    if bare is None:
        raise QuantityError(shown, NO_UNIT, f"Write it like {EXAMPLES[kind]}.")
    if bare == "ft-in-eighths":
        if value == 0:
            return value, None, False
        raise QuantityError(
            shown, "must be feet-inches-eighths, three numbers", "Write 1-3-5 for 1 ft 3-5/8 in."
        )
    unit = BY_NAME[bare]
    return value * unit.factor, unit.imperial, False


def _unit(word: str, shown: str, kind: str) -> Unit:
    unit = SPELLINGS[word]
    if unit.kind == kind:
        return unit
    if kind == "areal weight" and unit.name in ("oz", "g"):
        per = {"oz": "oz/yd2", "g": "g/m2"}[unit.name]
        raise QuantityError(shown, f"must say per what area: {unit.name} alone is a mass", f"Write {per}.")
    raise QuantityError(
        shown, f"must be {_a(kind)}; {unit.name} is {_a(unit.kind)}", f"Write it like {EXAMPLES[kind]}."
    )


def _digits(text: str) -> tuple[int, bool]:
    """The whole number, and whether a letter O stood in it."""
    zeroed = text.replace("O", "0").replace("o", "0")
    return int(zeroed), zeroed != text


def _number(text: str, shown: str) -> tuple[Fraction, bool]:
    """A whole, decimal, fractional or mixed number."""
    clean = text.replace("O", "0").replace("o", "0")
    whole, _, fraction = clean.replace(" ", "-").rpartition("-")
    if "/" not in clean:
        return Fraction(clean), clean != text
    top, bottom = (int(part) for part in fraction.split("/"))
    if bottom == 0:
        raise QuantityError(shown, "divides by zero")
    if whole and top >= bottom:
        raise QuantityError(
            shown, f"has a whole number beside {top}/{bottom}, which is one or more", "Carry it over."
        )
    rest = fraction.split("/")[0][1:]
    if not whole and top > bottom and rest and 0 < int(rest) < bottom:
        lost = f"{fraction[0]}-{int(rest)}/{bottom}"
        raise QuantityError(
            shown, f"could be {fraction} or {lost} with its dash lost", f"Write {lost}, or a decimal."
        )
    return Fraction(int(whole.strip("-")) if whole else 0) + Fraction(top, bottom), clean != text


def _a(kind: str) -> str:
    return f"{'an' if kind[0] in 'aeiou' else 'a'} {kind}"


def _explain(plain: str, kind: str, bare: str | None) -> tuple[str, str]:
    """What is allowed, and how to mend the slips that are seen most."""
    like = f"Write it like {EXAMPLES[kind]}."
    if bare is not None:
        like = (
            "Write 1-3-5 for 1 ft 3-5/8 in."
            if bare == "ft-in-eighths"
            else f"Write a number in {bare}, or leave it empty."
        )
    if "," in plain:
        return f"must be {_a(kind)} without a comma", "Write a decimal point, and no mark between thousands."
    if plain.lower().lstrip("+-") in ("nan", "inf", "infinity"):
        return f"must be {_a(kind)}, a finite one", like
    if re.search(r"[0-9.][eE][-+]?[0-9]", plain):
        return f"must be {_a(kind)} in plain digits, without an exponent", like
    if re.search(r"(?<![A-Za-z])[lI](?![A-Za-z])(?=[0-9.-])|[0-9-][lI][0-9-]", plain):
        return f"must be {_a(kind)}; there is a letter where a 1 may be meant", like
    if kind == "volume" and re.search(r"gal|pint|qt|quart", plain, re.I):
        return "must say which: a US and an imperial gallon differ by a fifth", 'Write "US gal", or litres.'
    if kind == "mass" and re.search(r"\bton", plain, re.I):
        return "must say which ton", 'Write "t" for 1,000 kg, or kg.'
    if re.fullmatch(rf"-?{_D}+-{_D}+", plain) and kind == "length":
        return (
            "must be feet-inches-eighths, three numbers; two could mean feet-inches or inches-eighths",
            like,
        )
    if kind == "length" and "''" in plain:
        return "must be a length; two single marks could mean feet or inches", 'Write in, or one ".'
    return f"must be {_a(kind)}", like


def length(text: object) -> float:
    """A length [m]: `length("9' 6-1/2\\"")`."""
    return read(text, "length").value


def mass(text: object) -> float:
    """A mass [kg]."""
    return read(text, "mass").value


def density(text: object) -> float:
    """A density [kg/m3]."""
    return read(text, "density").value


def volume(text: object) -> float:
    """A volume [m3]."""
    return read(text, "volume").value


def angle(text: object) -> float:
    """An angle [rad]."""
    return read(text, "angle").value
