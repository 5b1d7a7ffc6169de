"""The few figures that stand beside a picture of her, in words, in the builder's own kind of unit."""

from __future__ import annotations

from math import degrees, tan
from typing import TYPE_CHECKING

from hullview.boat.wording import length_text, mass_text

if TYPE_CHECKING:
    from hullview.afloat.equilibrium import Floating

NOTHING = "none"


def heel_text(heel: float) -> str:
    """A heel [rad] and its side.

    >>> heel_text(0.05), heel_text(-0.05), heel_text(0.0001)
    ('2.9° to starboard', '2.9° to port', 'none')
    """
    size = abs(degrees(heel))
    return NOTHING if size < 0.05 else f"{size:.1f}° to {'starboard' if heel > 0 else 'port'}"


def trim_text(trim: float, length: float, units: str = "metric") -> str:
    """A trim [rad] as the difference of draft over the waterline `length` [m], and which end is deeper.

    >>> trim_text(0.01, 3.0), trim_text(-0.01, 3.0), trim_text(0.0, 3.0)
    ('30 mm by the stern', '30 mm by the bow', 'level')
    """
    size = abs(tan(trim)) * length
    if size < 0.0005:
        return "level"
    return f"{length_text(size, units, both=False)} by the {'stern' if trim > 0 else 'bow'}"


def main_figures(floating: Floating, units: str = "metric") -> tuple[tuple[str, str], ...]:
    """(words, value) of how she floats, six at most; what has no meaning in her state is left out."""

    def length(metres: float) -> str:
        return length_text(metres, units, both=False)

    given = [("afloat", mass_text(floating.mass, units, both=False))]
    if floating.state == "sinks":
        return (*given, ("state", "sinks"))
    if floating.state == "floods":
        given.append(("state", "floods"))
    else:
        given.append(("draft", length(floating.draft)))
    given.append(("heel", heel_text(floating.heel)))
    given.append(("trim", trim_text(floating.trim, floating.waterline_length or 1.0, units)))
    if floating.state != "floods":
        if floating.freeboard is not None:
            given.append(("least freeboard", length(floating.freeboard)))
        given.append(("GM", length(floating.gm)))
    return tuple(given)
