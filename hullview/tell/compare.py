"""Ways of building side by side: weight, resin, centre, and how each floats with the load in its file."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

from hullview.answer.compare import Compared, Difference
from hullview.study import Side
from hullview.tell.floating import floating_section
from hullview.tell.model import Column, Data, Line, Q, Say, Section, Table, Telling, Words, listed, say
from hullview.tell.verdict import people
from hullview.tell.weight import record
from hullview.weight.total import Weight


def compare_telling(compared: Compared, sides: Sequence[Side]) -> Telling:
    """The whole of `compare`."""
    boats = list(dict.fromkeys(side.craft.boat.name for side in sides))
    head = say(f"{' and '.join(boats)}: ", " against ".join(side.label for side in sides))
    section = Section(
        "compare",
        "Ways of building it",
        (
            Line(head, strong=True),
            side_by_side(compared, sides),
            *(Line(difference_words(d)) for d in compared.differences),
            *unseen_lines(compared),
            figures_table(compared, sides),
            Data("builds", [_build(w, side) for w, side in zip(compared.weights, sides)]),
            Data(
                "differences", [_difference(d, sides[0], s) for d, s in zip(compared.differences, sides[1:])]
            ),
            Data("unseen", {build: list(told) for build, told in compared.unseen}),
        ),
    )
    return Telling((section,), sides[0].craft.boat.units_shown, ("figures",))


def side_by_side(compared: Compared, sides: Sequence[Side], title: str = "") -> Table:
    """Figures in rows, a column for each build."""
    weights, floats = compared.weights, [side.floating for side in sides]
    groups = list(dict.fromkeys(g for w in weights for g in w.groups))
    rows: list[tuple[Any, ...]] = [
        ("weight, what floats", *(Q("mass", w.mass) for w in weights)),
        ("8 builds of 10", *(Q("mass", (w.low, w.high)) for w in weights)),
        *((f"  {g}", *(Q("fine mass", w.groups.get(g, 0.0)) for w in weights)) for g in groups),
        ("resin and glue", *(Q("fine mass", w.resin) for w in weights)),
        ("centre aft", *(Q("place", float(w.centre[0])) for w in weights)),
        ("centre up", *(Q("fine length", float(w.centre[2])) for w in weights)),
    ]
    if any(side.hours for side in sides):
        rows.append(("hours, by the shop", *(Q("hours", side.hours) for side in sides)))
    if any(side.costs for side in sides):
        rows.append(("cost of what has a price", *(cost_words(side) for side in sides)))
    rows += [
        ("aboard", *(people(side.craft.boat) for side in sides)),
        (
            "  draft",
            *(Q("fine length", f.draft) if f.state == "afloat" else Q("words", f.state) for f in floats),
        ),
        ("  freeboard", *(Q("fine length", f.freeboard) for f in floats)),
        ("  trim", *(Q("trim", _trim(f)) for f in floats)),
        ("  GM", *(Q("fine length", f.gm) for f in floats)),
        ("  greatest arm", *(Q("fine length", s.peak_arm) for s in sides)),
        ("heaviest paddler", *(_heaviest(s) for s in sides)),
    ]
    columns = (Column("", ""), *(Column("", side.label, both=True) for side in sides))
    return Table("", title, columns, tuple(rows), sideways=True)


def figures_table(compared: Compared, sides: Sequence[Side]) -> Table:
    """The figures of each build in a row, for programs."""
    groups = list(dict.fromkeys(g for w in compared.weights for g in w.groups))
    currencies = list(dict.fromkeys(c for side in sides for c in side.costs))
    columns = (
        Column("build", "build"),
        Column("mass_kg", "weight", "mass"),
        Column("mass_low_kg", "low", "mass"),
        Column("mass_high_kg", "high", "mass"),
        Column("centre_m", "centre"),
        Column("resin_kg", "resin and glue", "mass"),
        *(Column(f"group_{group.replace(' ', '_')}_kg", group, "mass") for group in groups),
        Column("state", "state"),
        Column("draft_m", "draft", "length"),
        Column("freeboard_m", "freeboard", "length"),
        Column("height_to_flooding_m", "height to flooding", "length"),
        Column("gm_m", "GM", "length"),
        Column("trim_deg", "trim", "trim angle"),
        Column("trim_m", "trim over the waterline", "trim"),
        Column("peak_arm_m", "greatest arm", "length"),
        Column("heaviest_paddler_kg", "heaviest paddler", "whole mass"),
        Column("hours", "hours", "hours"),
        *(Column(f"cost_{currency or 'given'}", "cost", "money") for currency in currencies),
    )
    rows = []
    for w, side in zip(compared.weights, sides):
        f, most = side.floating, side.heaviest
        rows.append(
            (
                w.build,
                w.mass,
                w.low,
                w.high,
                w.centre,
                w.resin,
                *(w.groups.get(g, 0.0) for g in groups),
                f.state,
                f.draft,
                f.freeboard,
                f.height_to_flooding,
                f.gm,
                f.trim,
                _trim(f),
                side.peak_arm,
                most.mass if most else None,
                side.hours,
                *(side.costs.get(c) for c in currencies),
            )
        )
    return Table("figures", "", columns, tuple(rows), short=False, full=False)


def _trim(floating: Any) -> float | None:
    return None if floating.trim is None else (floating.waterline_length or 0.0) * math.tan(floating.trim)


def _heaviest(side: Side) -> Q:
    most = side.heaviest
    return Q("words", "none") if most is None or most.mass is None else Q("whole mass", float(most.mass))


def cost_words(side: Side) -> Say:
    """What the materials cost, by currency; a dash where the shop gave no price."""
    told: list[Words] = [
        say(Q("money", cost), f" {currency}".rstrip()) for currency, cost in side.costs.items()
    ]
    return listed(told) if told else say("-")


def difference_words(d: Difference) -> Say:
    """Which is heavier, in a sentence, or that it cannot be told."""
    if not d.clear:
        return say(
            f"{d.build} and {d.against}: the difference of ",
            Q("fine mass", abs(d.mass)),
            " is smaller than its range (",
            Q("fine mass", (d.low, d.high)),
            "), so it cannot be said which is heavier.",
        )
    near, far = sorted((abs(d.low), abs(d.high)))
    return say(
        f"{d.build} is ",
        Q("fine mass", abs(d.mass)),
        f" {'heavier' if d.mass > 0 else 'lighter'} than {d.against} (",
        Q("fine mass", (near, far)),
        ").",
    )


def unseen_lines(compared: Compared) -> tuple[Line, ...]:
    """What weight does not show of each build."""
    found: list[Line] = []
    for build, told in compared.unseen:
        if told:
            found.append(Line(say(f"{build}, what no scale shows:"), apart=True))
            found += [Line(say(f"- {one}"), hang=True) for one in told]
    return tuple(found)


# ---------------------------------------------------------------- for programs


def _build(weight: Weight, side: Side) -> Telling:
    """A build as `weigh` gives it, with how it floats."""
    sections = (Section("weight", "", record(weight)), floating_section(side.floating))
    return Telling(
        sections,
        record={
            "boat": side.craft.boat.name,
            "paddlers_kg": [p.mass for p in side.craft.boat.load.paddlers],
            "peak_arm_m": side.peak_arm,
            "heaviest_paddler_kg": side.heaviest.mass if side.heaviest else None,
            "heaviest_paddler_limit": side.heaviest.limit if side.heaviest else None,
            "hours": side.hours,
            "costs": dict(side.costs),
        },
    )


def _difference(d: Difference, first: Side, other: Side) -> dict[str, Any]:
    a, b = first.floating, other.floating
    return {
        "build": d.build,
        "against": d.against,
        "mass_kg": d.mass,
        "mass_low_kg": d.low,
        "mass_high_kg": d.high,
        "centre_m": d.centre,
        "resin_kg": d.resin,
        "groups_kg": dict(d.groups),
        "hours": d.hours,
        "clear": d.clear,
        "draft_m": _less(a.draft, b.draft),
        "gm_m": _less(a.gm, b.gm),
        "freeboard_m": _less(a.freeboard, b.freeboard),
        "trim_deg": Q("degrees", _less(a.trim, b.trim)),
        "peak_arm_m": _less(first.peak_arm, other.peak_arm),
    }


def _less(a: float | None, b: float | None) -> float | None:
    return None if a is None or b is None else b - a
