"""Swamped, boarded, and what a righting curve feels like, in words for somebody who cannot read curves."""

from __future__ import annotations

import math
from collections.abc import Sequence

from hullview.answer.boarding import Boarding
from hullview.answer.reading import Reading
from hullview.answer.swamped import BODY, LEANS, SHIFT, LetIn, Swamped, Swamping
from hullview.show import words
from hullview.show.tables import columns, fitting, joined, pairs, paragraph

STEADY = "Where she goes over, somebody must steady her, or the weight come in lower and nearer the middle."

FULL = {0.25: "a quarter full", 0.5: "half full", 1.0: "full"}


def swamped_text(found: Swamped, units: str) -> str:
    """Water in her, the paddler out and in; what bears her then; a sealed space let in."""
    header = ("swamped", "aboard", "water in", "she", "rim left", "GM", "heel", "trim")
    rows = [_case(c, units) for c in sorted(found.cases, key=lambda c: (c.share, c.paddlers))]
    table = fitting(lambda both: columns(header, [r[both] for r in rows], "llrlrrrr"))
    return joined(
        "\n".join([table, paragraph(" ".join([*_went(found.cases, units), _bears(found, units)]))]),
        pairs([(f"{one.name} let in", _let_in(one, units)) for one in found.let_in]),
    )


def _case(c: Swamping, units: str) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """A row in the builder's own unit alone, and one with the other beside."""
    lies = c.state == "afloat"
    water = words.mass(c.water, units, False, 0) if lies or c.state == "awash" else ""
    first = (
        FULL.get(c.share, f"{c.share * 100:.0f} % full"),
        "the load" if c.paddlers else "nobody",
        water,
        does(c),
    )
    own, wide = (words.length(c.rim, units, both) if lies else "" for both in (False, True))
    rest = (
        (words.length(c.gm, units, False), _degrees(c.heel), _degrees(c.trim, ("bow", "stern")))
        if lies
        else ("", "", "")
    )
    return (*first, own, *rest), (*first, wide, *rest)


def does(c: Swamping) -> str:
    """What she does, in two or three words.

    >>> does(Swamping(0.25, True, "afloat", 67.0, gm=0.012, mass=168.0)), does(Swamping(0.5, True, "sinks", 278.0, rolls=True))
    ('barely upright', 'rolls, sinks')
    """
    if c.state == "turns over":
        return "turns over"
    how = (
        "barely upright"
        if c.barely_upright
        else {"afloat": "floats", "awash": "lies awash", "sinks": "sinks"}[c.state]
    )
    return f"rolls, {how}" if c.rolls else how


def _went(cases: Sequence[Swamping], units: str) -> list[str]:
    """What lies behind the words of the table: water loose in her upsets her before it sinks her, and what she then lacks."""
    said = []
    if any(c.state == "afloat" and c.barely_upright for c in cases):
        said.append(
            f"Barely upright: {words.mass(BODY, units, False, 0)} moved {words.length(SHIFT, units, False)} leans her {math.degrees(LEANS):.0f} deg or more."
        )
    if any(c.rolls and c.state != "turns over" for c in cases):
        said.append(
            "Rolls: with that water loose in her she does not stay upright, heels till the sea comes in, and fills."
        )
    short = max((-(c.bears or 0.0) for c in cases if c.state == "sinks" and c.paddlers), default=0.0)
    if short > 0:
        said.append(
            f"Full of water she is {words.mass(short, units, False, 0)} short of bearing those aboard."
        )
    left = [c.bears for c in cases if c.state == "awash" and c.paddlers and c.bears is not None]
    if left:
        said.append(f"Awash with those aboard she bears {words.mass(min(left), units, False, 0)} more.")
    return said


def _degrees(angle: float | None, sides: tuple[str, str] = ("", "")) -> str:
    """Whole degrees, with the end or side they are to; level where there are none."""
    whole = round(abs(math.degrees(angle or 0.0)))
    return f"{whole} deg {sides[(angle or 0.0) > 0]}".strip() if whole else "level"


def _tilt(heel: float | None, trim: float | None) -> str:
    """Heel and trim where they are more than a degree."""
    parts = []
    if heel is not None and abs(heel) >= math.radians(1):
        parts.append(f"heel {abs(math.degrees(heel)):.0f} deg")
    if trim is not None and abs(trim) >= math.radians(1):
        parts.append(f"{abs(math.degrees(trim)):.0f} deg by the {'stern' if trim > 0 else 'bow'}")
    return "".join(f", {p}" for p in parts)


def _bears(found: Swamped, units: str) -> str:
    """What bears her with every open space flooded, said plainly for a boat with nothing sealed."""
    solids = f"Her wood, cloth and resin push aside {found.solids * 1000:.0f} litres"
    sealed = (
        f", sealed spaces and flotation {found.sealed * 1000:.0f}"
        if found.sealed > 0
        else " and there is nothing sealed"
    )
    if found.bears_full < 0:
        ends = (
            f"full of water she sinks: {words.mass(-found.bears_full, units, False)} of buoyancy are missing"
        )
    else:
        ends = (
            f"full of water she floats and bears {words.mass(found.bears_full, units, False)} beside herself"
        )
        ends += "" if found.sealed > 0 else ": something to hold on to, not a boat to sit in"
    return (
        f"{solids}{sealed}: {ends}. Filled little by little, to her lowest rim; "
        "a swimmer bears himself in his jacket and is not counted; a spray deck is off."
    )


def _let_in(s: LetIn, units: str) -> str:
    if s.state != "afloat":
        return f"{s.state} with the load aboard"
    return f"afloat with the load aboard, rim {words.length(s.rim, units)} up{_tilt(s.heel, s.trim)}"


def boarding_text(cases: Sequence[Boarding], units: str) -> str:
    """Getting in, a hand at the rim, getting back in from deep water."""
    goes_over = any(c.state == "goes over" for c in cases)
    told = pairs([(c.name, _boarded(c, units)) for c in cases])
    return "\n".join([told, paragraph(STEADY)]) if goes_over else told


def _boarded(c: Boarding, units: str) -> str:
    if c.state == "goes over":
        return "goes over"
    if c.state != "afloat":
        return c.state
    heel = abs(math.degrees(c.heel or 0.0))
    left = "" if c.height is None else f", {words.length(c.height, units)} of rim left"
    return f"heels {heel:.0f} deg{left}"


def reading_text(r: Reading, units: str) -> str:
    """A righting curve in plain words: stiffness near upright, a reach over the side, where help stops."""
    whose = (
        ""
        if r.reach_shift == 0
        else "With a rigid paddler: near"
        if r.torso == "rigid"
        else "With an upright torso: near"
    )
    said = [
        f"{whose or 'Near'} upright it takes {r.moment_per_degree:.1f} Nm to lean her one degree, as much as {words.mass(r.mass_per_degree, units)} laid on the rim",
    ]
    if r.steepest_help is not None and r.peak_moment is not None:
        said.append(
            f"she pushes back hardest at {abs(math.degrees(r.steepest_help)):.0f} degrees, with {r.peak_moment:.0f} Nm"
        )
    text = f"{'; '.join(said)}."
    if r.help_ends is not None:
        why = "water comes in" if r.floods_first else "she no longer comes back by herself"
        text += f" Help stops at {abs(math.degrees(r.help_ends)):.0f} degrees, where {why}."
    if r.reach_shift > 0:
        stiff, loose = (_leans(heel) for heel in (r.reach_heel, r.reach_upright))
        text += (
            f" A reach of {words.length(r.reach, units, both=False)} outside the rim shifts the body's centre {words.length(r.reach_shift, units)}: "
            f"with a rigid paddler that {stiff}, with the torso kept upright it {loose}."
        )
    return paragraph(text)


def _leans(heel: float | None) -> str:
    return "takes her over" if heel is None else f"leans her {abs(math.degrees(heel)):.0f} degrees"
