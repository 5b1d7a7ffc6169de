"""The load cases, a row each: the answer, what stands in the way, how the boat lies."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from hullview.answer.cases import Carried
from hullview.answer.cautions import IN_ONE_LINE
from hullview.boat.model import Boat
from hullview.tell.model import Column, Data, Line, Q, Say, Section, Table, Telling, say
from hullview.tell.paddlers import MARKS
from hullview.tell.verdict import ON_FLAT_WATER

_COLUMNS = (
    Column("name", "case", wrap=True),
    Column("answer", "answer"),
    Column("load_kg", "load", "mass"),
    Column("least_margin", "margin", "share"),
    Column("draft_m", "draft", "length"),
    Column("trim_m", "trim", "trim"),
    Column("level_trim_seat_back_m", "level seat", "place"),
    Column("in_the_way", "in the way", hidden=True),
    Column("state", "state", hidden=True),
    Column("freeboard_m", "freeboard", "length", hidden=True),
    Column("gm_m", "GM", "length", hidden=True),
    Column("height_to_flooding_m", "height to flooding", "length", hidden=True),
    Column("flooding_heel_deg", "water comes in at", "degrees", hidden=True),
    Column("mass_kg", "afloat", "mass", hidden=True),
    Column("seat_back_m", "seat", "place", hidden=True),
    Column("seat", "seat", hidden=True),
    Column("faces", "faces", hidden=True),
    Column("level_trim_reason", "why no level seat", hidden=True),
)


def cases_telling(found: Sequence[Carried], boat: Boat) -> Telling:
    """The whole of `cases`."""
    return Telling(
        (cases_section(found, boat), Section("caution", "", (Line(say(IN_ONE_LINE)),))),
        boat.units_shown,
        ("cases",),
        {"boat": boat.name},
    )


def cases_section(found: Sequence[Carried], boat: Boat) -> Section:
    """One row a case, with what stands in the way below it."""
    build = found[0].craft.weight.build
    counts = {answer: sum(c.answer == answer for c in found) for answer in MARKS}
    told = ", ".join(f"{n} {'carry' if n > 1 and a == 'carries' else a}" for a, n in counts.items() if n)
    lead = f"{boat.name}, built {build}, {len(found)} load cases {ON_FLAT_WATER}: {told}"
    foot = say(
        "Margin: the least over all checks and bad ends. Level seat: where the first paddler's back trims it"
        " level."
    )
    table = Table(
        "cases",
        "",
        _COLUMNS,
        tuple(_row(c) for c in found),
        tuple(MARKS[c.answer] for c in found),
        "answer",
        notes=tuple(_note(c) for c in found),
        foot=(foot,),
    )
    return Section("cases", "Load cases", (Line(say(lead), strong=True), table, Data("build", build)))


def _row(c: Carried) -> tuple[Any, ...]:
    likely, first = c.likely, c.craft.boat.load.paddlers[0]
    return (
        c.case.name,
        c.answer,
        likely.carried,
        c.least_margin,
        likely.draft if likely.state == "afloat" else Q("words", likely.state),
        likely.trim_length,
        c.seat.back,
        c.in_the_way or None,
        likely.state,
        likely.freeboard,
        likely.gm,
        likely.height_to_flooding,
        likely.flooding_heel,
        likely.mass,
        first.seat_back,
        None if c.craft.seating is None else c.craft.seating.seat,
        first.faces,
        c.seat.reason or None,
    )


def _note(c: Carried) -> Say:
    """In which seat one alone was put, and what stands in the way."""
    parts = [c.craft.seating.words] if c.craft.seating is not None else []
    parts += [f"in the way: {c.in_the_way}"] if c.in_the_way else []
    return say("; ".join(parts))
