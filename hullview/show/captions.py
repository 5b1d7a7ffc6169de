"""The few figures that stand beside a picture of it, in words, in the builder's own kind of unit."""

from __future__ import annotations

from math import degrees, tan
from typing import TYPE_CHECKING

from hullview.boat.wording import figure, length_text, mass_text

if TYPE_CHECKING:
    from hullview.afloat.equilibrium import Floating
    from hullview.answer.refloat import Lying


def shortened(text: str, most: int) -> str:
    """A text of at most so many signs, cut at a word.

    >>> shortened("a very long name of a boat", 16)
    'a very long ...'
    """
    if len(text) <= most:
        return text
    return text[: most - 4].rsplit(" ", 1)[0] + " ..."


def heel_words(heel: float) -> tuple[str, str]:
    """A heel [rad]: words with its side, and its size.

    >>> heel_words(0.05), heel_words(-0.05), heel_words(0.0001)
    (('heel to starboard', '2.9°'), ('heel to port', '2.9°'), ('heel', 'none'))
    """
    size = abs(degrees(heel))
    if size < 0.05:
        return "heel", "none"
    return f"heel to {'starboard' if heel > 0 else 'port'}", f"{size:.1f}°"


def trim_words(trim: float, length: float, units: str = "metric") -> tuple[str, str]:
    """A trim [rad]: words with the deeper end, and its size as the difference of draft over the waterline
    `length` [m].

    >>> trim_words(0.01, 3.0), trim_words(-0.01, 3.0), trim_words(0.0, 3.0)
    (('trim by the stern', '30 mm'), ('trim by the bow', '30 mm'), ('trim', 'level'))
    """
    size = abs(tan(trim)) * length
    if size < 0.0005:
        return "trim", "level"
    return f"trim by the {'stern' if trim > 0 else 'bow'}", length_text(size, units, both=False)


def main_figures(floating: Floating, units: str = "metric") -> tuple[tuple[str, str], ...]:
    """(words, value) of how it floats, six at most; when it floods or sinks, that alone."""
    given = [("afloat with all aboard", mass_text(floating.mass, units, both=False))]
    if floating.state != "afloat":
        where = f"at the {floating.flooding_at}" if floating.flooding_at else "as loaded"
        return (*given, (where, f"it {floating.state}"))
    lengths = (("draft", floating.draft), ("least freeboard", floating.freeboard), ("GM", floating.gm))
    told = [
        (words, length_text(metres, units, both=False)) for words, metres in lengths if metres is not None
    ]
    given += told[:1]
    if floating.heel is not None:
        given.append(heel_words(floating.heel))
    if floating.trim is not None and floating.waterline_length is not None:
        given.append(trim_words(floating.trim, floating.waterline_length, units))
    return (*given, *told[1:])


def held_figures(lying: Lying, units: str = "metric") -> tuple[tuple[str, str], ...]:
    """(words, value) of how it lies with it heel held: the righting arm and moment take the place of
    freeboard and GM."""
    floating = lying.floating
    given = [("afloat with all aboard", mass_text(floating.mass, units, both=False))]
    heel = floating.rest.heel
    if lying.arm is None or lying.moment is None or heel is None:
        return (*given, ("as loaded", f"it {floating.state}"))
    side = 1.0 if heel >= 0 else -1.0
    given += [
        heel_words(heel),
        ("righting arm", length_text(lying.arm * side, units, 1, both=False)),
        ("righting moment", f"{figure(lying.moment * side, 1)} N m"),
    ]
    if floating.state == "floods":
        return (*given, (f"at the {floating.flooding_at}", "water comes in"))
    if floating.height_to_flooding is not None:
        given.append(("height to flooding", length_text(floating.height_to_flooding, units, both=False)))
    if floating.draft is not None:
        given.append(("draft", length_text(floating.draft, units, both=False)))
    return tuple(given)
