"""Swamped, a sealed space let in, and coming aboard."""

from __future__ import annotations

import math
from collections.abc import Sequence

from hullview.answer.boarding import Boarding
from hullview.answer.swamped import BODY, LEANS, SHIFT, LetIn, Swamped, Swamping
from hullview.tell.model import Column, Data, Facts, Q, Say, Section, Table, Words, say

STEADY = "Where it goes over, somebody must steady it, or the weight come in lower and nearer the middle."
FULL = {0.25: "a quarter full", 0.5: "half full", 1.0: "full"}
TILTED = math.radians(1)
"""Heel and trim under this are not told."""

_CASES = (
    Column("", "swamped"),
    Column("", "aboard"),
    Column("water_kg", "water in", "whole mass"),
    Column("", "what it does"),
    Column("", "rim left", "length", both=True),
    Column("", "GM", "length"),
    Column("", "heel", "whole degrees"),
    Column("", "trim", "whole trim"),
    Column("trim_deg", "trim", "trim angle", hidden=True),
    Column("heel_deg", "heel", "heel", hidden=True),
    Column("rim_m", "rim left", "length", hidden=True),
    Column("gm_m", "GM", "length", hidden=True),
    Column("share", "share", "share", hidden=True),
    Column("paddlers", "paddlers", "yes", hidden=True),
    Column("state", "state", hidden=True),
    Column("spilled", "spilled", "yes", hidden=True),
    Column("rolls", "rolls", "yes", hidden=True),
    Column("freeboard_m", "freeboard", "length", hidden=True),
    Column("bears_kg", "bears", "whole mass", hidden=True),
    Column("mass_kg", "afloat", "mass", hidden=True),
)


def swamped_section(found: Swamped) -> Section:
    """Water in the boat, the paddlers out and in; what bears it then; a sealed space let in."""
    cases = found.cases
    foot = say(*(part for one in (*_went(cases), _bears(found)) for part in (one, " ")))
    table = Table("cases", "", _CASES, tuple(_case(c) for c in cases), foot=(foot,), short=False)
    let_in = Facts(tuple((say(f"{one.name} let in"), _let_in(one)) for one in found.let_in), short=False)
    return Section(
        "swamped",
        "Swamped",
        (
            table,
            let_in,
            Data("solids_m3", found.solids),
            Data("holds_kg", found.holds),
            Data("sealed_m3", found.sealed),
            Data("bears_full_kg", found.bears_full),
            Data("let_in", [_let_in_record(one) for one in found.let_in]),
        ),
        path="swamped",
    )


def _case(c: Swamping) -> tuple[object, ...]:
    afloat = c.state == "afloat"
    return (
        FULL.get(c.share) or say(Q("share", c.share), " full"),
        "the load" if c.paddlers else "nobody",
        c.water,
        does(c),
        c.rim if afloat else None,
        c.gm if afloat else None,
        abs(c.heel or 0.0) if afloat else None,
        c.trim if afloat else None,
        c.trim,
        c.heel,
        c.rim,
        c.gm,
        c.share,
        c.paddlers,
        c.state,
        c.spilled,
        c.rolls,
        c.freeboard,
        c.bears,
        c.mass,
    )


def does(c: Swamping) -> str:
    """What the boat does, in two or three words.

    >>> does(Swamping(0.25, True, "afloat", 67.0, gm=0.012, mass=168.0))
    'barely upright'
    >>> does(Swamping(0.5, True, "sinks", 278.0, rolls=True))
    'rolls, sinks'
    """
    if c.state == "turns over":
        return "turns over"
    floats = {"afloat": "floats", "awash": "lies awash", "sinks": "sinks"}[c.state]
    how = "barely upright" if c.barely_upright else floats
    return f"rolls, {how}" if c.rolls else how


def _went(cases: Sequence[Swamping]) -> list[Say]:
    """What lies behind the words of the table: loose water upsets a boat before it sinks it, and what it
    then lacks."""
    told = []
    if any(c.barely_upright for c in cases):
        told.append(
            say(
                "Barely upright: ", Q("whole mass", BODY), " moved ", Q("length", SHIFT), " leans it ",
                Q("whole degrees", LEANS), " or more.",
            )
        )  # fmt: skip
    if any(c.rolls and c.state != "turns over" for c in cases):
        told.append(
            say(
                "Rolls: with that water loose in it the boat does not stay upright, heels till the sea comes"
                " in, and fills."
            )
        )
    short = max((-(c.bears or 0.0) for c in cases if c.state == "sinks" and c.paddlers), default=0.0)
    if short > 0:
        told.append(say("Full of water it is ", Q("whole mass", short), " short of bearing those aboard."))
    left = [c.bears for c in cases if c.state == "awash" and c.paddlers and c.bears is not None]
    if left:
        told.append(say("Awash with those aboard it bears ", Q("whole mass", min(left)), " more."))
    return told


def _bears(found: Swamped) -> Say:
    """What bears the boat with every open space flooded, told plainly of one with nothing sealed."""
    sealed: Words = " and there is nothing sealed"
    if found.sealed > 0:
        sealed = say(", sealed spaces and flotation ", Q("volume", found.sealed, both=False))
    ends: Say
    if found.bears_full < 0:
        ends = say("full of water it sinks: ", Q("whole mass", -found.bears_full), " of buoyancy are missing")
    else:
        ends = say("full of water it floats and bears ", Q("whole mass", found.bears_full), " beside itself")
        ends += "" if found.sealed > 0 else ": something to hold on to, not a boat to sit in"
    return say(
        "Wood, cloth and resin push aside ",
        Q("volume", found.solids, both=False),
        sealed,
        ": ",
        ends,
        ". Filled little by little, to the lowest rim; swimmers bear themselves in their jackets and are not"
        " counted; a spray deck is off.",
    )


def _let_in(s: LetIn) -> Say:
    if s.state != "afloat":
        return say(f"{s.state} with the load aboard")
    parts: list[Words] = ["afloat with the load aboard, rim ", Q("length", s.rim), " up"]
    if s.heel is not None and abs(s.heel) >= TILTED:
        parts += [", heel ", Q("whole degrees", abs(s.heel))]
    if s.trim is not None and abs(s.trim) >= TILTED:
        parts += [", ", Q("trim angle", s.trim)]
    return say(*parts)


def _let_in_record(s: LetIn) -> dict[str, object]:
    return {
        "name": s.name,
        "state": s.state,
        "water_kg": s.water,
        "freeboard_m": s.freeboard,
        "rim_m": s.rim,
        "gm_m": s.gm,
        "heel_deg": Q("degrees", s.heel),
        "trim_deg": Q("degrees", s.trim),
    }


# ---------------------------------------------------------------- coming aboard

_ABOARD = (
    Column("name", "coming aboard"),
    Column("state", "what it does"),
    Column("", "heel", "whole degrees"),
    Column("heel_deg", "heel", "heel", hidden=True),
    Column("height_to_flooding_m", "rim left", "length", both=True),
    Column("trim_deg", "trim", "trim angle", hidden=True),
    Column("mass_kg", "mass", "mass", hidden=True),
    Column("at_m", "at", hidden=True),
    Column("ships_water", "ships water", "yes", hidden=True),
)


def boarding_section(cases: Sequence[Boarding]) -> Section:
    """Getting in, a hand at the rim, getting back in from deep water."""
    rows = tuple(
        (
            c.name,
            c.state,
            None if c.heel is None else abs(c.heel),
            c.heel,
            c.height,
            c.trim,
            c.mass,
            c.at,
            c.ships_water,
        )
        for c in cases
    )
    goes_over = any(c.state == "goes over" for c in cases)
    foot = (say(STEADY),) if goes_over else ()
    return Section(
        "boarding", "Coming aboard", (Table("boarding", "", _ABOARD, rows, foot=foot, short=False),)
    )
