"""The answer on paper: what `carry` prints for a person."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from hullview.answer.cautions import IN_ONE_LINE
from hullview.answer.checks import Check, Condition
from hullview.answer.conditions import BAD_END_WORDS
from hullview.boat.model import Boat
from hullview.show import words
from hullview.show.floating import lies, state_of
from hullview.show.mishaps import boarding_text, swamped_text
from hullview.show.tables import columns, fitting, joined, pairs, paragraph
from hullview.study import Verdict

if TYPE_CHECKING:
    from hullview.answer.chance import Chance

ON_FLAT_WATER = "on flat water, by these limits"

_SENSE = {"at least": "min", "more than": "over", "at most": "max", "less than": "under"}


def verdict_text(verdict: Verdict) -> str:
    """The whole answer as text of at most 80 columns."""
    return joined(
        joined_lines(headline(verdict), worst_text(verdict), because(verdict)),
        joined_lines(header(verdict), doubts_text(verdict), remarks_text(verdict)),
        *_as_she_lies(verdict),
        pairs(who_and_where(verdict)),
        "" if verdict.chance is None else paragraph(chance_text(verdict.chance)),
        paddlers_text(verdict),
        "" if verdict.swamped is None else swamped_text(verdict.swamped, verdict.craft.boat.units_shown),
        boarding_text(verdict.boarding, verdict.craft.boat.units_shown),
        paragraph(assumptions(verdict.craft.boat)),
        paragraph(IN_ONE_LINE),
    )


def joined_lines(*lines: str) -> str:
    return "\n".join(line for line in lines if line)


def _as_she_lies(verdict: Verdict) -> tuple[str, ...]:
    """The checks and how she lies; where she floods or sinks there are no figures to give."""
    if verdict.floating.state != "afloat":
        return ()
    units = verdict.craft.boat.units_shown
    return checks_text(verdict.checks, units), pairs([*lies(verdict.floating, units), *trims(verdict)])


def headline(verdict: Verdict) -> str:
    """The first line: the answer, for whom, and what it holds for."""
    who = words.people(verdict.craft.boat)
    lead = {"carries": "carries", "marginal": "marginal with", "does not carry": "does not carry"}[
        verdict.answer
    ]
    seating = verdict.craft.seating
    where = f" {seating.words}" if seating else ""
    return f"{lead} {who}{where}, {ON_FLAT_WATER}"


def worst_text(verdict: Verdict) -> str:
    """The worst that happens with this load."""
    return paragraph(" ".join(verdict.worst))


def remarks_text(verdict: Verdict) -> str:
    """What is to be said and counts neither for nor against the boat."""
    return joined_lines(*(paragraph(f"remark: {remark.words}", "", "  ") for remark in verdict.remarks))


def no_seat_passes(verdict: Verdict) -> str:
    """Where a lone paddler would have to sit if none of the boat's seats passes on trim; nothing where one does."""
    seating, seat = verdict.craft.seating, verdict.seat
    if seating is None or not seating.none_passes:
        return ""
    if seat.back is None:
        return f"no seat passes on trim ({seat.reason})"
    back = words.place(seat.back, verdict.craft.boat.units_shown)
    return f"no seat passes on trim; one with its back at {back}, facing the {seating.faces}, would"


def because(verdict: Verdict) -> str:
    """What stands in the way, by name; nothing where it carries."""
    if verdict.floating.state != "afloat":
        return paragraph(state_of(verdict.floating))
    fails, warns = (
        list(dict.fromkeys(c.obstacle for c in verdict.checks if c.result == result))
        for result in ("fail", "warn")
    )
    parts = [f"fails: {', '.join(fails)}"] if fails else []
    parts += [f"warned of: {', '.join(warns)}"] if warns else []
    parts += [said] if (said := no_seat_passes(verdict)) else []
    return paragraph("; ".join(parts))


def header(verdict: Verdict) -> str:
    """The boat, how she is built, her water, and what it all weighs."""
    craft, units = verdict.craft, verdict.craft.boat.units_shown
    boat, weight = craft.boat, craft.weight.whole
    gear = sum(g.mass for g in boat.load.gear)
    parts = [
        f"boat {words.mass(weight.mass, units, both=False)} ({words.span(weight.low, weight.high, units)})",
        words.people(boat),
    ]
    parts += [f"gear {words.round_mass(gear, units)}"] if gear else []
    return (
        paragraph(f"{boat.name}, built {craft.weight.build}, in {words.water(boat, craft.density)}")
        + "\n"
        + paragraph(f"{' + '.join(parts)} = {words.mass(verdict.ends[0].mass, units)} afloat")
        + (f"\n{paragraph(craft.weight.measured)}" if craft.weight.measured else "")
    )


def doubts_text(verdict: Verdict) -> str:
    return joined_lines(*(paragraph(f"unusual: {doubt}", "", "  ") for doubt in verdict.doubts))


def checks_text(checks: Sequence[Check], units: str) -> str:
    """The checks, a line each, and what the letters of their basis stand for."""
    bases = list(dict.fromkeys(c.basis for c in checks))
    letter = {basis: "abcdefgh"[i] for i, basis in enumerate(bases)}

    def table(both: bool) -> str:
        rows = [_check_row(c, units, letter[c.basis], both) for c in checks]
        return columns(("", "check", "likely", "limit, basis", "margin", "bad end"), rows, "llrrrr")

    key = "; ".join(f"{letter[b]} {b}" for b in bases)
    told = f"basis: {key}. Bad end: {BAD_END_WORDS}. Margin: the least of both, over the check's scale in limits.csv."
    return joined_lines(fitting(table), paragraph(told))


def _check_row(c: Check, units: str, letter: str, both: bool) -> tuple[str, ...]:
    bound = "-" if c.limit is None else f"{_SENSE[c.sense]} {words.value(c.limit, c.unit, units, both=False)}"
    return (
        c.result,
        c.name,
        c.gone if c.value is None else words.value(c.value, c.unit, units, both),
        f"{bound} {letter}",
        words.margin(c.least_margin),
        at_worst(c, units),
    )


def at_worst(c: Check, units: str) -> str:
    """The figure at the bad end, or what becomes of the boat there."""
    return c.worst_gone if c.worst is None else words.value(c.worst, c.unit, units, both=False)


def trims(verdict: Verdict) -> list[tuple[str, str]]:
    """Trim at both ends of the paddler's place on the seat."""
    units = verdict.craft.boat.units_shown
    found = [c.trim_length for c in verdict.ends[1:] if c.trim_length is not None]
    if not found:
        return []
    text = f"{words.trim(min(found), units, True)} to {words.trim(max(found), units, True)}"
    return [("trim over the seat", f"{text}, as the paddler's centre lies forward or aft on it")]


def who_and_where(verdict: Verdict) -> list[tuple[str, str]]:
    """The heaviest paddler and the seat for level trim."""
    units = verdict.craft.boat.units_shown
    most, seat = verdict.heaviest, verdict.seat
    if most.mass is None:
        heaviest = f"none: {most.obstacle}"
    else:
        many = len(verdict.craft.boat.load.paddlers) > 1
        others = f" ({verdict.varies}; the others aboard unchanged)" if many else ""
        heaviest = f"{words.mass(float(most.mass), units)}; past that: {most.obstacle}{others}"
    now = words.place(verdict.craft.boat.load.paddlers[0].seat_back, units)
    level = (
        f"none: {seat.reason}"
        if seat.back is None
        else f"{words.place(seat.back, units)} aft of the bow datum; it is at {now}"
    )
    return [("heaviest paddler", heaviest), ("seat's back, level", level)]


def chance_text(found: Chance) -> str:
    """The share of builds in a sentence, with the check that stops most of the others."""
    most = max(found.failing.items(), key=lambda item: item[1], default=None)
    return f"{found.words}." + (f" Most of the others fail: {most[0]}." if most and most[1] > 0 else "")


def paddlers_text(verdict: Verdict) -> str:
    """The table of paddlers: draft, least freeboard, trim, GM and the answer for each."""
    units = verdict.craft.boat.units_shown

    def table(both: bool) -> str:
        rows = [
            (words.mass(float(r.mass), units, False, 0), *_lies(r.condition, units, both), r.answer)
            for r in verdict.table
        ]
        return columns(("paddler", "draft", "freeboard", "trim", "GM", "answer"), rows, "rrrrrl")

    many = len(verdict.craft.boat.load.paddlers) > 1
    whom = f"Varied: {verdict.varies}; the others aboard stay as they are." if many else ""
    return joined_lines(fitting(table), paragraph(" ".join(t for t in (whom, in_the_way(verdict)) if t)))


def in_the_way(verdict: Verdict) -> str:
    """For which paddlers of the table which check stands in the way; nothing where all are carried."""
    by_check: dict[str, list[int]] = {r.obstacle: [] for r in verdict.table if r.obstacle}
    for i, r in enumerate(verdict.table):
        if r.obstacle:
            by_check[r.obstacle].append(i)
    said = [f"{check} at {_masses(verdict, rows)}" for check, rows in by_check.items()]
    return f"In the way: {'; '.join(said)}." if said else ""


def _masses(verdict: Verdict, rows: Sequence[int]) -> str:
    """Masses of rows of the table, three or more in a row as a span."""
    texts = [words.mass(float(verdict.table[i].mass), verdict.craft.boat.units_shown, False, 0) for i in rows]
    number = [t.rpartition(" ")[0] for t in texts]
    if len(rows) > 2 and rows[-1] - rows[0] == len(rows) - 1:
        return f"{number[0]} to {texts[-1]}"
    return ", ".join([*number[:-1], texts[-1]])


def _lies(c: Condition, units: str, both: bool) -> tuple[str, ...]:
    if c.state != "afloat":
        return c.state, words.NOTHING, words.NOTHING, words.NOTHING
    return (
        words.length(c.draft, units, both),
        words.length(c.freeboard, units, both),
        words.trim(c.trim_length, units),
        words.length(c.gm, units, both=False),
    )


def assumptions(boat: Boat) -> str:
    """What the figures take for granted, in one line."""
    units = boat.units_shown
    seats = "; ".join(
        f"{words.round_mass(p.mass, units)} {p.posture}, centre {_three(p.heights, units)} above and {_three(p.reaches, units)} "
        f"forward of a seat {words.length(p.seat, units, both=False)} above the bottom"
        for p in boat.load.paddlers
    )
    return (
        f"Assumes: still water, nobody moving but in the lean; {seats}; boat weight with what such boats usually have beside the "
        "schedule; cloth's own thickness left out."
    )


def _three(lengths: Sequence[float], units: str) -> str:
    """Low, likely and high, the unit of mm once."""
    texts = [words.length(one, units, both=False) for one in lengths]
    return (
        " / ".join(texts) if units == "imperial" else " / ".join(t.removesuffix(" mm") for t in texts) + " mm"
    )


def against_text(first: Verdict, other: Verdict) -> str:
    """Another load beside the first: both answers, and each check's figure for both."""
    units = first.craft.boat.units_shown
    rows = [
        (a.name, *(f"{words.value(c.value, c.unit, units) or c.gone} {c.result}" for c in (a, b)))
        for a, b in zip(first.checks, other.checks)
    ]
    names = [words.people(v.craft.boat) for v in (first, other)]
    return joined_lines(headline(other), because(other), columns(("check", *names), rows, "lrr"))
