"""Who else the boat carries in the same seat, the heaviest, and where a seat trims it level."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

from hullview.answer.checks import Condition
from hullview.study import Row, Verdict, row_of
from hullview.tell.model import Column, Data, Facts, Mark, Q, Say, Section, Table, Words, listed, say

MARKS: dict[str, Mark] = {"carries": "pass", "marginal": "warn", "does not carry": "fail"}
"""The mark of an answer."""


def trims(verdict: Verdict) -> list[tuple[Words, Say]]:
    """Trim at both ends of the paddlers' places on their seats."""
    found = [c.trim_length for c in verdict.ends[1:] if c.trim_length is not None]
    if not found:
        return []
    told = say(
        Q("trim", min(found)),
        " to ",
        Q("trim", max(found)),
        ", as the paddler's centre lies forward or aft on it",
    )
    return [("trim over the seat", told)]


def figures_section(verdict: Verdict) -> Section:
    """How it lies in one line for the short answer; the heaviest paddler and the seat for level trim."""
    f = verdict.floating
    found: list[Facts] = []
    if f.state == "afloat":
        over = Q("trim", (f.waterline_length or 0.0) * math.tan(f.trim or 0.0), both=False)
        at_rest = say(
            "draws ",
            Q("length", f.draft, both=False),
            ", trim ",
            over,
            ", freeboard ",
            Q("length", f.freeboard, both=False),
            ", GM ",
            Q("length", f.gm, both=False),
        )
        found.append(Facts((("afloat", at_rest), *who_and_where(verdict, both=False)), full=False))
    found.append(Facts(tuple(who_and_where(verdict)), short=f.state != "afloat"))
    data = (
        Data("heaviest_paddler_kg", verdict.heaviest.mass),
        Data("heaviest_paddler_limit", verdict.heaviest.limit),
        Data("level_trim_seat_back_m", verdict.seat.back),
        Data("level_trim_reason", verdict.seat.reason or None),
    )
    return Section("who", "Who else, and where", (*found, *data))


def who_and_where(verdict: Verdict, *, both: bool = True) -> list[tuple[Words, Say]]:
    """The heaviest paddler and the seat for level trim."""
    most, seat, paddlers = verdict.heaviest, verdict.seat, verdict.craft.boat.load.paddlers
    others = f" ({verdict.varies}; the others aboard unchanged)" if len(paddlers) > 1 else ""
    if most.mass is None:
        heaviest = say(f"none: {most.obstacle}")
    else:
        heaviest = say(Q("whole mass", float(most.mass), both=both), f"; past that: {most.obstacle}{others}")
    if seat.back is None:
        level = say(f"none: {seat.reason}")
    else:
        now = Q("place", paddlers[0].seat_back, both=both)
        level = say(Q("place", seat.back, both=both), " aft of the bow datum; it is at ", now)
    return [("heaviest paddler", heaviest), ("seat's back, level", level)]


_TABLE = (
    Column("paddler_kg", "paddler", "whole mass"),
    Column("draft_m", "draft", "length", both=True),
    Column("freeboard_m", "freeboard", "length", both=True),
    Column("trim_m", "trim", "trim"),
    Column("gm_m", "GM", "length"),
    Column("answer", "answer"),
    Column("binds", "binds", hidden=True),
    Column("end", "end", hidden=True),
    Column("mass_kg", "afloat", "mass", hidden=True),
    Column("state", "state", hidden=True),
    Column("height_to_flooding_m", "height to flooding", "length", hidden=True),
    Column("reserve_of_buoyancy", "reserve", "share", hidden=True),
    Column("lean_m", "lean", "length", hidden=True),
    Column("lean_heel_deg", "heel in a lean", "degrees", hidden=True),
    Column("lean_height_m", "rim in a lean", "length", hidden=True),
    Column("reach_heel_deg", "heel in a reach", "degrees", hidden=True),
    Column("reach_height_m", "rim in a reach", "length", hidden=True),
    Column("flooding_heel_deg", "water comes in at", "degrees", hidden=True),
)
_OF = (
    "draft",
    "freeboard",
    "trim_length",
    "gm",
    "height_to_flooding",
    "reserve",
    "lean",
    "lean_heel",
    "lean_height",
    "reach_heel",
    "reach_height",
    "flooding_heel",
)


def paddlers_section(verdict: Verdict) -> Section:
    """Other paddlers in the same seat: how the boat lies with each, and the answer."""
    many = len(verdict.craft.boat.load.paddlers) > 1
    whom = f"Varied: {verdict.varies}; the others aboard stay as they are." if many else ""
    foot = tuple(part for part in (say(whom), in_the_way(verdict)) if part)
    rows = tuple(_paddler_row(r) for r in verdict.table)
    marks = tuple(MARKS[r.answer] for r in verdict.table)
    table = Table("table", "", _TABLE, rows, marks, "answer", foot=foot, short=False)
    ends = Data("ends", [_condition(c) for c in verdict.ends])
    return Section(
        "paddlers", "Other paddlers in this seat", (table, ends, Data("table_varies", verdict.varies))
    )


def loads_table(verdict: Verdict, against: Sequence[Verdict]) -> Table:
    """The load given, the table of paddlers, and what is set against it, for programs."""
    columns = (Column("load", "load"), *_TABLE)
    loads = [("given", row_of(verdict)), *(("table", row) for row in verdict.table)]
    loads += [("against", row_of(other)) for other in against]
    rows = tuple((load, *_paddler_row(row)) for load, row in loads)
    return Table("loads", "", columns, rows, short=False, full=False)


def _paddler_row(r: Row) -> tuple[Any, ...]:
    c = r.condition
    draft, *rest = (getattr(c, name) for name in _OF)
    return (
        r.mass,
        draft if c.state == "afloat" else Q("words", c.state),
        *rest[:3],
        r.answer,
        r.binds or None,
        c.end,
        c.mass,
        c.state,
        *rest[3:],
    )


def _condition(c: Condition) -> dict[str, Any]:
    """How the boat lies at one end of what is not known."""
    return {
        "end": c.end,
        "mass_kg": c.mass,
        "state": c.state,
        "trim_m": c.trim_length,
        "gm_m": c.gm,
        "height_to_flooding_m": c.height_to_flooding,
        "freeboard_m": c.freeboard,
        "draft_m": c.draft,
        "reserve_of_buoyancy": c.reserve,
        "lean_m": c.lean,
        "lean_heel_deg": Q("degrees", c.lean_heel),
        "lean_height_m": c.lean_height,
        "reach_heel_deg": Q("degrees", c.reach_heel),
        "reach_height_m": c.reach_height,
        "flooding_heel_deg": Q("degrees", c.flooding_heel),
    }


def in_the_way(verdict: Verdict) -> Say:
    """For which paddlers of the table which check stands in the way; nothing where all are carried."""
    by_check: dict[str, list[int]] = {}
    for i, r in enumerate(verdict.table):
        if r.obstacle:
            by_check.setdefault(r.obstacle, []).append(i)
    told = [say(f"{check} at ", _masses(verdict, rows)) for check, rows in by_check.items()]
    return say("In the way: ", listed(told, "; "), ".") if told else say()


def _masses(verdict: Verdict, rows: Sequence[int]) -> Say:
    """Masses of rows of the table, three or more in a row as a span."""
    masses = [float(verdict.table[i].mass) for i in rows]
    if len(rows) > 2 and rows[-1] - rows[0] == len(rows) - 1:
        return say(Q("whole mass", (masses[0], masses[-1]), both=False))
    return listed([Q("whole mass", m, both=False) for m in masses])
