"""Will the boat carry this load: the answer, the worst that happens, the checks, who else it carries."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import asdict
from typing import Any

from hullview.answer.cautions import IN_ONE_LINE
from hullview.answer.chance import Chance
from hullview.answer.checks import Check
from hullview.answer.conditions import BAD_END_WORDS
from hullview.boat.invented import invented_words
from hullview.boat.model import Boat
from hullview.study import Verdict
from hullview.tell.doubt import doubt_blocks, doubt_record
from hullview.tell.floating import floating_section, state_of
from hullview.tell.mishaps import boarding_section, swamped_section
from hullview.tell.model import (
    Column,
    Data,
    Facts,
    Line,
    Q,
    Say,
    Section,
    Table,
    Telling,
    Words,
    listed,
    say,
)
from hullview.tell.paddlers import MARKS, figures_section, loads_table, paddlers_section, trims
from hullview.tell.weight import record

ON_FLAT_WATER = "on flat water, by these limits"
ROWS = 6
"""The short answer has so many rows of checks, more only where more warn or fail."""
LEAST_SHOWN = 3
"""So many of the passes with the least margin stand in the short answer."""

_LEADS = {"carries": "carries", "marginal": "marginal with", "does not carry": "does not carry"}
_SENSE = {"at least": "min", "more than": "over", "at most": "max", "less than": "under"}
_KIND = {"m": "length", "deg": "plain degrees", "kg": "mass", "1": "share"}
"""The kind of quantity of a check by its unit."""


def verdict_telling(verdict: Verdict, against: Sequence[Verdict] = ()) -> Telling:
    """The whole answer; `against`: other loads beside it."""
    boat = verdict.craft.boat
    found = [
        answer_section(verdict),
        load_section(verdict),
        checks_section(verdict),
        floating_section(verdict.floating, trims(verdict), brief=True),
        figures_section(verdict),
        paddlers_section(verdict),
    ]
    if verdict.swamped is not None:
        found += [swamped_section(verdict.swamped), boarding_section(verdict.boarding)]
    else:
        found.append(Section("swamped", "", (Data("swamped", None), Data("boarding", []))))
    found += [*(_against(verdict, other) for other in against)]
    beside = (Data("against", [verdict_telling(other) for other in against]),) if against else ()
    found.append(Section("loads", "", (loads_table(verdict, against), *beside)))
    found += [rests_section(verdict), last_section(verdict)]
    return Telling(tuple(found), boat.units_shown, ("loads",), {"boat": boat.name})


# ---------------------------------------------------------------- the first screen


def headline(verdict: Verdict) -> Say:
    """The first line: the answer, for whom, in which seat, and what it holds for."""
    seating = verdict.craft.seating
    where = f" {seating.words}" if seating else ""
    return say(f"{_LEADS[verdict.answer]} ", people(verdict.craft.boat), where, f", {ON_FLAT_WATER}")


def people(boat: Boat) -> Say:
    """The paddlers aboard in short: "82 kg", or "82 kg and 70 kg"."""
    masses = [Q("given mass", p.mass, both=False) for p in boat.load.paddlers]
    return listed(masses, last=" and ") if masses else say("nobody")


def answer_section(verdict: Verdict) -> Section:
    """The first two lines and what stands in the way."""
    mark = MARKS[verdict.answer]
    blocks: list[Any] = [
        Data("answer", verdict.answer),
        Data("state", verdict.state),
        Data("worst", list(verdict.worst)),
        Line(headline(verdict), mark, strong=True),
        Line(say(" ".join(verdict.worst)), "warn" if verdict.worst else ""),
        Line(because(verdict), short=verdict.state != "afloat"),
        Line(no_seat_passes(verdict), short=True, full=False),
        *(Line(say(f"unusual: {doubt}", key="unusual"), hang=True) for doubt in verdict.doubts),
        Line(_remarks(verdict), hang=True),
        Line(say(invented_words(verdict.invented)), "warn"),
        Data("invented", list(verdict.invented)),
        Data("remarks", [asdict(remark) for remark in verdict.remarks]),
    ]
    if not verdict.doubts:
        blocks.append(Data("unusual", []))
    return Section("answer", "The answer", tuple(blocks))


def _remarks(verdict: Verdict) -> Say:
    """What a builder would mention, in one line."""
    if not verdict.remarks:
        return say()
    return say(
        "remark" + ("s: " if len(verdict.remarks) > 1 else ": "), "; ".join(r.words for r in verdict.remarks)
    )


def because(verdict: Verdict) -> Say:
    """What stands in the way, by name; nothing where the boat carries."""
    if verdict.state != "afloat":
        return state_of(verdict.floating)
    parts: list[Words] = []
    for result, lead in (("fail", "fails: "), ("warn", "warned of: ")):
        names = list(dict.fromkeys(c.obstacle for c in verdict.checks if c.result == result))
        if names:
            parts.append(lead + ", ".join(names))
    seat = no_seat_passes(verdict)
    return listed([*parts, *([seat] if seat else [])], "; ")


def no_seat_passes(verdict: Verdict) -> Say:
    """Where a lone paddler would have to sit if none of the boat's seats passes on trim; nothing where one
    does."""
    seating, seat = verdict.craft.seating, verdict.seat
    if seating is None or not seating.none_passes:
        return say()
    if seat.back is None:
        return say(f"no seat passes on trim ({seat.reason})")
    return say(
        "no seat passes on trim; one with its back at ", Q("place", seat.back),
        f", facing the {seating.faces}, would",
    )  # fmt: skip


def load_section(verdict: Verdict) -> Section:
    """The boat, how it is built, its water, and what it all weighs."""
    craft = verdict.craft
    boat, weight = craft.boat, craft.weight
    gear = sum(g.mass for g in boat.load.gear)
    parts: list[Words] = [
        say("boat ", Q("mass", weight.mass, both=False), " (", Q("mass", (weight.low, weight.high)), ")"),
        people(boat),
    ]
    parts += [say("gear ", Q("given mass", gear, "load.gear_kg", both=False))] if gear else []
    kind = "" if boat.water.kind == "given" else f"{boat.water.kind} "
    water = Q("water density", craft.density, "water.density_kg_m3")
    blocks: tuple[Any, ...] = (
        Line(say(f"{boat.name}, built {weight.build}, in {kind}water of ", water), apart=True),
        Line(say(listed(parts, " + "), " = ", Q("mass", verdict.floating.mass, "load.mass_kg"), " afloat")),
        Data("load.centre_m", verdict.floating.centre),
        *((Line(say(weight.measured)),) if weight.measured else ()),
        Data("paddlers", [_paddler(p) for p in boat.load.paddlers]),
        Data("seating", None if craft.seating is None else asdict(craft.seating)),
        Data("checksum", boat.checksum),
        Data("weight", Telling((Section("weight", "", record(weight)),))),
    )
    return Section("load", "The load", blocks)


def _paddler(p: Any) -> dict[str, Any]:
    return {
        "name": p.name,
        "mass_kg": p.mass,
        "posture": p.posture,
        "faces": p.faces,
        "stature_m": p.tall,
        "seat_back_m": p.seat_back,
        "seat_height_m": p.seat,
        "centre_height_m": p.heights,
        "centre_forward_m": p.reaches,
    }


# ---------------------------------------------------------------- the checks

_CHECKS = (
    Column("result", ""),
    Column("name", "check"),
    Column("", "likely"),
    Column("", "limit"),
    Column("", "bad end"),
    Column("", "margin", "share"),
)
_CHECK_RECORD = (
    "key",
    "name",
    "value",
    "limit",
    "unit",
    "result",
    "basis",
    "margin",
    "least_margin",
    "sense",
    "not_enough",
    "worst",
    "worst_margin",
    "worst_end",
    "note",
    "scale",
    "gone",
    "worst_gone",
)
_FIELD = {"gone": "outcome", "worst_gone": "worst_outcome"}
"""Fields of a check that are called otherwise than their key in JSON."""


def checks_section(verdict: Verdict) -> Section:
    """A row for each warning, failure and the three least margins, the other passes in a sentence; in
    full, every check with its basis."""
    checks = verdict.checks
    record = Table(
        "checks",
        "",
        tuple(Column(key, key) for key in _CHECK_RECORD),
        tuple(tuple(_plain(getattr(c, _FIELD.get(key, key))) for key in _CHECK_RECORD) for c in checks),
        short=False,
        full=False,
    )
    blocks: list[Any] = [record, Data("least_margin", verdict.least_margin)]
    if verdict.state == "afloat":
        blocks += [_short(checks), _full(checks)]
        if verdict.chance is not None:
            blocks.append(Line(chance_words(verdict.chance)))
        if verdict.doubt is not None:
            blocks += doubt_blocks(verdict.doubt)
    blocks.append(Data("doubt", None if verdict.doubt is None else doubt_record(verdict.doubt)))
    blocks.append(Data("chance", None if verdict.chance is None else _chance(verdict.chance)))
    if verdict.statutory is not None:
        blocks.append(statutory_facts(verdict.statutory))
    blocks.append(Data("statutory", None if verdict.statutory is None else _statutory(verdict.statutory)))
    return Section("checks", "Checks", tuple(blocks))


def _plain(value: Any) -> Any:
    """Unrounded, and no kind: the unit stands in the record."""
    return value if not isinstance(value, float) else Q("number", value)


def _short(checks: Sequence[Check]) -> Table:
    """The rows that matter, and the names of the rest: each warning and failure, and the passes with the
    least margins.

    With many warnings the passes are left out, so that the answer stays on one screen.
    """
    passes = sorted((c for c in checks if c.result == "pass"), key=_rank)
    room = max(ROWS - (len(checks) - len(passes)), 0)
    close = [c.key for c in passes[: min(LEAST_SHOWN, room)]]
    shown = [c for c in checks if c.result != "pass" or c.key in close]
    rest = [c for c in checks if c.result == "pass" and c.key not in close]
    columns = tuple(c for c in _CHECKS if c.title != "margin")
    rows = tuple(_row(c)[:-1] for c in shown)
    foot = (say(f"{len(rest)} other checks pass; --full shows them."),) if rest else ()
    return Table("", "", columns, rows, tuple(c.result for c in shown), "result", foot=foot, full=False)


def _rank(check: Check) -> float:
    return math.inf if check.least_margin is None else check.least_margin


def _full(checks: Sequence[Check]) -> Table:
    """Every check with its margin and what its limit rests on."""
    bases = list(dict.fromkeys(c.basis for c in checks))
    letter = {basis: "abcdefgh"[i] for i, basis in enumerate(bases)}
    rows = tuple((*_row(c), letter[c.basis]) for c in checks)
    key = "; ".join(f"{letter[b]} {b}" for b in bases)
    foot = (
        say(
            f"Basis: {key}. Bad end: {BAD_END_WORDS}. Margin: the least of both, over the check's scale in"
            " limits.csv."
        ),
    )
    return Table(
        "",
        "",
        (*_CHECKS, Column("", "basis")),
        rows,
        tuple(c.result for c in checks),
        "result",
        foot=foot,
        short=False,
    )


def _row(c: Check) -> tuple[Any, ...]:
    kind = _KIND[c.unit]
    bound: Words = "-" if c.limit is None else say(f"{_SENSE[c.sense]} ", Q(kind, c.limit, both=False))
    return (
        c.result,
        c.name,
        c.outcome if c.value is None else Q(kind, c.value),
        bound,
        ""
        if c.worst_end == "likely"
        else c.worst_outcome
        if c.worst is None
        else Q(kind, c.worst, both=False),
        c.least_margin,
    )


def chance_words(found: Chance) -> Say:
    """The share of builds in a sentence, with the check that stops most of the others."""
    most = max(found.failing.items(), key=lambda item: item[1], default=None)
    more = f" Most of the others fail: {most[0]}." if most and most[1] > 0 else ""
    return say(f"{found.words}.{more}")


def _chance(found: Chance) -> dict[str, Any]:
    return {**asdict(found), "share": found.share, "words": found.words}


def statutory_facts(figure: Any) -> Facts:
    """The figure of the rule for boats that are rowed, by its own name, beside the load."""
    over = "over it" if figure.over else "within it"
    return Facts(
        (
            (
                f"{figure.rule}, by its own name",
                say(
                    "maximum weight capacity ",
                    Q("whole mass", figure.capacity, "statutory.capacity_kg"),
                    ", of it persons ",
                    Q("whole mass", figure.persons_mass, "statutory.persons_kg"),
                    " or ",
                    Q("whole", figure.persons, "statutory.persons"),
                    "; aboard ",
                    Q("whole mass", figure.carried, "statutory.aboard_kg"),
                    f", {over} ({figure.note})",
                ),
            ),
        ),
        short=False,
    )


def _statutory(figure: Any) -> dict[str, Any]:
    return {
        "rule": figure.rule,
        "note": figure.note,
        "max_displacement_kg": figure.max_displacement,
        "boat_kg": figure.boat,
        "capacity_kg": figure.capacity,
        "persons_kg": figure.persons_mass,
        "persons": figure.persons,
        "aboard_kg": figure.carried,
        "people_kg": figure.people,
        "over": figure.over,
    }


# ---------------------------------------------------------------- what it rests on


def rests_section(verdict: Verdict) -> Section:
    """What the figures take for granted."""
    seats = [
        say(
            Q("given mass", p.mass, both=False),
            f" {p.posture}, centre ",
            Q("length", p.heights, both=False),
            " above and ",
            Q("length", p.reaches, both=False),
            " forward of a seat ",
            Q("length", p.seat, both=False),
            " above the bottom",
        )
        for p in verdict.craft.boat.load.paddlers
    ]
    told = say(
        "Assumes: still water, nobody moving but in the lean; ",
        listed(seats, "; "),
        "; boat weight with what such boats usually have beside the schedule; cloth's own thickness left"
        " out.",
    )
    return Section("assumes", "What it assumes", (Line(told, short=False),))


def last_section(verdict: Verdict) -> Section:
    """The cautions; in full, the first line once more."""
    again = Line(headline(verdict), MARKS[verdict.answer], strong=True, apart=True, short=False)
    return Section("caution", "", (Line(say(IN_ONE_LINE)), again))


def _against(first: Verdict, other: Verdict) -> Section:
    """Another load beside the first: both answers, and each check's figure for both."""
    rows = tuple(
        (
            a.name,
            *(
                say(Q(_KIND[c.unit], c.value) if c.value is not None else c.outcome, f" {c.result}")
                for c in (a, b)
            ),
        )
        for a, b in zip(first.checks, other.checks)
    )
    columns = (
        Column("", "check"),
        Column("", people(first.craft.boat), both=True),
        Column("", people(other.craft.boat), both=True),
    )
    mark = MARKS[other.answer]
    blocks = (Line(headline(other), mark, strong=True), Line(because(other)), Table("", "", columns, rows))
    return Section("against", "Beside it", blocks)
