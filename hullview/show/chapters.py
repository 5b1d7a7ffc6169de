"""The tables of the page, as plain text in rows: each from one result, in the builder's own kind of unit with the other beside."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from hullview.afloat.hydrostatics import HydrostaticRow
from hullview.afloat.righting import RightingCurve
from hullview.answer.boarding import Boarding
from hullview.answer.checks import Check
from hullview.answer.compare import Compared
from hullview.answer.swamped import Swamped, Swamping
from hullview.show import bending, words
from hullview.show.amounts import amount, in_units, masses, said, unit_of
from hullview.show.floating import lies
from hullview.show.mishaps import FULL, does
from hullview.show.verdict import at_worst, trims, who_and_where
from hullview.study import Side, Verdict
from hullview.weight.bend import TWIST_SPAN, BendReport, Bent, StickBend, StripsBend
from hullview.weight.line import WeightLine
from hullview.weight.total import Weight


@dataclass(frozen=True)
class Table:
    """caption, header, rows of text; the first cell of a row is its name. align: a letter a column, "l" or "r".

    marks: a word for each row that its colour goes with ("pass", "warn", "fail"), or nothing. note: a line under it.
    """

    caption: str
    header: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    align: str
    marks: tuple[str, ...] = ()
    note: str = ""


def checks_table(verdict: Verdict) -> Table:
    """Each check: its result in a word, value, limit, margin, the bad end, and the basis of the limit."""
    units, checks = verdict.craft.boat.units_shown, verdict.checks
    ends = dict.fromkeys(c.worst_end for c in checks if c.worst_end and c.worst_end != "likely")
    return Table(
        "Checks: likely figures, and the worst of the bad ends",
        ("check", "result", "likely", "limit", "margin", "at the bad end", "basis of the limit"),
        tuple(_check(c, units) for c in checks),
        "llrrrrl",
        tuple(c.result for c in checks),
        f"Margin: the least of both, over the check's scale. Bad end: the worst of {', '.join(ends)}."
        if ends
        else "",
    )


def _check(c: Check, units: str) -> tuple[str, ...]:
    bound = (
        words.NOTHING if c.limit is None else f"{c.sense} {words.value(c.limit, c.unit, units, both=False)}"
    )
    return (
        c.name,
        c.result,
        c.gone if c.value is None else words.value(c.value, c.unit, units),
        bound,
        words.margin(c.least_margin),
        at_worst(c, units) if c.worst_end != "likely" else words.NOTHING,
        c.basis,
    )


def afloat_table(verdict: Verdict) -> Table:
    """How she lies, the heaviest paddler and the seat."""
    units = verdict.craft.boat.units_shown
    rows = [*lies(verdict.floating, units), *trims(verdict), *who_and_where(verdict)]
    return Table("How she lies with this load", ("figure", "value"), tuple(rows), "ll")


def paddlers_table(verdict: Verdict) -> Table:
    """Other paddlers in the same seat."""
    units = verdict.craft.boat.units_shown
    rows = []
    for r in verdict.table:
        c = r.condition
        figures = (
            (
                words.length(c.draft, units),
                words.length(c.freeboard, units),
                words.trim(c.trim_length, units),
                words.length(c.gm, units),
            )
            if c.state == "afloat"
            else (c.state, *[words.NOTHING] * 3)
        )
        rows.append((words.mass(float(r.mass), units, decimals=0), *figures, r.answer))
    marks = tuple({"carries": "pass", "marginal": "warn", "does not carry": "fail"}[r[-1]] for r in rows)
    return Table(
        "Other paddlers in this seat",
        ("paddler", "draft", "least freeboard", "trim", "GM", "answer"),
        tuple(rows),
        "rrrrrl",
        marks,
    )


def hydrostatics_table(rows: Sequence[HydrostaticRow], units: str) -> Table:
    """What each waterline offers."""
    deeper, per = ("to sink 1 in", 2.54) if units == "imperial" else ("to sink 1 cm", 1.0)

    def area(square_metres: float) -> str:
        return f"{in_units(square_metres, 'm2', units):.{2 if units == 'imperial' else 3}f} {unit_of('m2', units).replace('2', '²')}"

    made = tuple(
        (
            words.length(r.waterline_height, units), words.mass(r.displacement, units, False), words.place(r.lcb, units, both=False),
            words.length(r.kb, units, False), words.length(r.km, units, False), area(r.waterplane_area), area(r.wetted_area),
            words.mass(r.immersion * per, units, False), f"{r.prismatic_coefficient:.3f}",
        )
        for r in rows
    )  # fmt: skip
    header = (
        "waterline above base",
        "displacement",
        "LCB",
        "KB",
        "KM",
        "water plane",
        "wetted",
        deeper,
        "prismatic coefficient",
    )
    return Table(
        "Hydrostatics, upright and level",
        header,
        made,
        "rrrrrrrrr",
        note="LCB: centre of buoyancy aft of the bow datum.",
    )


def righting_table(curves: Sequence[RightingCurve], units: str) -> Table:
    """What is read off each righting curve."""

    def degrees(value: float | None) -> str:
        return words.NOTHING if value is None else f"{abs(math.degrees(value)):.1f}°"

    def joules(value: float | None) -> str:
        return words.NOTHING if value is None else f"{value:.1f} J"

    rows = (
        ("GM", *(words.length(c.gm, units) for c in curves)),
        ("greatest arm", *(words.length(c.peak_arm, units) for c in curves)),
        ("at a heel of", *(degrees(c.peak_heel) for c in curves)),
        ("arm gone at", *(degrees(c.vanishing_heel) for c in curves)),
        ("water comes in at", *(degrees(c.flooding_heel) for c in curves)),
        ("of use up to", *(degrees(c.usable_range_ends) for c in curves)),
        ("energy to flooding", *(joules(c.energy_to_flooding) for c in curves)),
    )
    return Table(
        "Read off the curves", ("", *(c.label or c.posture for c in curves)), rows, "l" + "r" * len(curves)
    )


def swamped_table(found: Swamped, units: str) -> Table:
    """Water in her, the paddler out and in."""
    cases = sorted(found.cases, key=lambda c: (c.share, c.paddlers))
    rows = tuple(
        (
            FULL.get(c.share, f"{c.share * 100:.0f} % full"),
            "the load" if c.paddlers else "nobody",
            words.mass(c.water, units, decimals=0),
            _swamped(c, units),
            words.length(c.rim, units) if c.state == "afloat" else words.NOTHING,
            f"{abs(math.degrees(c.heel)):.0f}°"
            if c.state == "afloat" and c.heel is not None
            else words.NOTHING,
        )
        for c in cases
    )
    return Table("Swamped", ("how full", "aboard", "water in her", "she", "rim left", "heel"), rows, "llrlrr")


def _swamped(c: Swamping, units: str) -> str:
    bears = words.mass(abs(c.bears or 0.0), units, decimals=0)
    more = {
        "afloat": f", GM {words.length(c.gm, units)}",
        "awash": f", bears {bears} more",
        "sinks": f", {bears} short",
    }
    return does(c) + more.get(c.state, "")


def boarding_table(cases: Sequence[Boarding], units: str) -> Table:
    """Getting in, a hand at the rim, getting back in from deep water."""
    rows = tuple(
        (
            c.name,
            c.state,
            f"{abs(math.degrees(c.heel)):.0f}°"
            if c.state == "afloat" and c.heel is not None
            else words.NOTHING,
            words.length(c.height, units) if c.state == "afloat" else words.NOTHING,
        )
        for c in cases
    )
    return Table("Coming aboard", ("what", "she", "heel", "rim left"), rows, "llrr")


# ---------------------------------------------------------------- weight


def weight_table(weight: Weight, units: str) -> Table:
    """The weight line by line, with its range."""
    lines = [
        (
            said(f"{_where(line)}{line.item}", units),
            _quantity(line, units),
            *masses(units, line.mass, line.low, line.high),
        )
        for line in weight.lines
    ]
    lines += [
        (
            f"usually also: {line.item}",
            _quantity(line, units),
            *masses(units, line.mass, line.low, line.high),
        )
        for line in weight.usually_also
    ]
    whole, unit = weight.whole, unit_of("kg", units)
    lines.append(
        ("in all", "", *masses(units, whole.mass, whole.low or whole.mass, whole.high or whole.mass))
    )
    causes = ", ".join(
        f"{c.cause} ({masses(units, abs(c.swing))[0]} {unit} either way)" for c in weight.top_causes
    )
    note = "Low and high: 8 such builds of 10 fall between." + (
        f" The range comes most of all from {causes}." if causes else ""
    )
    return Table(
        f"Weight of {weight.build}, line by line",
        ("where and what", "quantity", unit, "low", "high"),
        tuple(lines),
        "lrrrr",
        note=note,
    )


def _where(line: WeightLine) -> str:
    return f"{line.where}: " if line.where else ""


def _quantity(line: WeightLine, units: str) -> str:
    return (
        f"{line.quantity:.0f} {line.unit}"
        if line.unit == "pieces"
        else amount(line.quantity, line.unit, units)
    )


def compare_table(compared: Compared, sides: Sequence[Side], units: str) -> Table:
    """Builds side by side."""
    weights, floating = compared.weights, [side.floating for side in sides]
    groups = list(dict.fromkeys(g for w in weights for g in w.groups))
    rows = (
        ("weight", *(words.mass(w.mass, units) for w in weights)),
        (
            "8 builds of 10",
            *(f"{words.mass(w.low, units, False)} to {words.mass(w.high, units, False)}" for w in weights),
        ),
        *((g, *(words.mass(w.groups.get(g, 0.0), units, False, 2) for w in weights)) for g in groups),
        ("resin and glue", *(words.mass(w.resin, units, False, 2) for w in weights)),
        (
            "centre above the base line",
            *(words.length(float(w.centre[2]), units, decimals=1) for w in weights),
        ),
        (
            "draft",
            *(words.length(f.draft, units, decimals=1) if f.state == "afloat" else f.state for f in floating),
        ),
        ("GM", *(words.length(f.gm, units, decimals=1) for f in floating)),
        ("greatest righting arm", *(words.length(s.peak_arm, units, decimals=1) for s in sides)),
        ("heaviest paddler", *(_heaviest(s, units) for s in sides)),
    )
    note = " ".join(d.words for d in compared.differences)
    return Table(
        "Ways of building her", ("", *(s.label for s in sides)), rows, "l" + "r" * len(weights), note=note
    )


def _heaviest(side: Side, units: str) -> str:
    most = side.heaviest
    return words.NOTHING if most is None or most.mass is None else words.mass(float(most.mass), units, False)


def bend_tables(report: BendReport, units: str) -> tuple[Table, ...]:
    """Sticks at their tightest, and of each skin the strips that are asked the most."""
    sticks = tuple(row for s in report.sticks for row in _stick(s, units))
    strips = tuple(row for skin in report.strips for row in _strips(skin, units))
    note = " ".join(
        filter(None, [*(bending.tapered(skin, units) for skin in report.strips), report.MEASURED])
    )
    return (
        Table(
            "Laminations and sticks",
            ("what", "tightest", "where", "what that place takes", "light"),
            sticks,
            "lrrll",
        ),
        Table("Strips", ("what", "worst", "where", "light"), strips, "lrrl", note=note),
    )


def _stick(s: StickBend, units: str) -> tuple[tuple[str, ...], ...]:
    return tuple(
        (
            f"{s.item}, {s.wood}: {asked}",
            _radius(bent, units),
            _aft(bent.where, units),
            what_it_takes,
            bent.light,
        )
        for asked, bent, what_it_takes in bending.planes(s, units)
    )


def _strips(skin: StripsBend, units: str) -> tuple[tuple[str, ...], ...]:
    twist, bent, edge = skin.worst_twist, skin.worst_bend, skin.worst_edge_set
    turn = f"{math.degrees(twist.twist):.0f}° in {words.length(TWIST_SPAN, units, both=False)}"
    sideways, light = bending.edge_set(skin, units)
    return (
        (
            f"{skin.where}: twist, strip {twist.number} from the sheer",
            turn,
            _aft(twist.twist_where, units),
            twist.twist_light,
        ),
        (
            f"{skin.where}: bend, strip {bent.number}",
            _radius(bent.bend, units),
            _aft(bent.bend.where, units),
            bent.bend.light,
        ),
        (f"{skin.where}: edge-set, strip {edge.number}", sideways, _aft(edge.edge_set.where, units), light),
    )


def _radius(bent: Bent, units: str) -> str:
    return "straight" if math.isinf(bent.radius) else f"radius {words.length(bent.radius, units, False)}"


def _aft(metres: float, units: str) -> str:
    return f"{words.place(metres, units)} aft"
