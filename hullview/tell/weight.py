"""What the boat weighs: line by line, what floats, what makes the range, what the scale should say at each
stage."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from hullview.answer.plausible import reading_doubt
from hullview.boat.model import Boat
from hullview.tell.labels import item_words, line_words, where_words
from hullview.tell.model import Column, Data, Facts, Line, Q, Say, Section, Table, Telling, Words, listed, say
from hullview.weight.allow import Answered
from hullview.weight.line import WeightLine
from hullview.weight.stages import StageReading
from hullview.weight.total import Weight

_LINES = (
    Column("", "where and what", wrap=True),
    Column("", "quantity"),
    Column("mass_kg", "likely", "fine mass"),
    Column("mass_low_kg", "low", "fine mass"),
    Column("mass_high_kg", "high", "fine mass"),
)
_RECORD = (
    Column("item", "item"),
    Column("where", "where"),
    Column("group", "group"),
    Column("kind", "kind"),
    Column("material", "material"),
    Column("region", "region"),
    Column("sizes_m", "sizes"),
    Column("count", "count", "whole"),
    Column("basis", "basis"),
    Column("quantity", "quantity", "number"),
    Column("unit", "unit"),
    Column("mass_kg", "likely", "fine mass"),
    Column("mass_low_kg", "low", "fine mass"),
    Column("mass_high_kg", "high", "fine mass"),
    Column("centre_m", "centre"),
)
_QUANTITY = {"m": "long", "m2": "rough area", "pieces": "whole"}


def weight_telling(weight: Weight, boat: Boat) -> Telling:
    """The whole of `weigh`."""
    head = say(
        Q("mass", weight.mass), f": {boat.name}, built {weight.build}; 8 such builds of 10 come out from ",
        Q("mass", (weight.low, weight.high)),
    )  # fmt: skip
    return Telling(
        (
            Section("weight", "Weight", (Line(head, strong=True), *weight_blocks(weight), *record(weight))),
            stages_section(weight),
            scale_section(weight, boat),
        ),
        boat.units_shown,
        ("lines", "usually_also"),
    )


def weight_blocks(weight: Weight) -> tuple[Table | Facts | Line, ...]:
    """The lines, what they come to, the centre, and what makes the range."""
    return (lines_table(weight), about(weight), *_answered_table(weight), Line(say(weight.measured)))


def lines_table(weight: Weight) -> Table:
    """Every line with its range; then what is allowed for, and what floats."""
    rows: list[tuple[Any, ...]] = [_row(line) for line in weight.lines]
    if weight.usually_also:
        alone = weight.schedule
        rows.append(("the schedule alone", "", alone.mass, alone.low, alone.high))
        rows += [
            (say(f"usually also: {line.item}"), "", line.mass, line.low, line.high)
            for line in weight.usually_also
        ]
    rows.append(("in all, what floats", "", weight.mass, weight.low, weight.high))
    note = say(
        "Usually also: such boats have these and this schedule lacks them, so that they are allowed for in"
        " what floats until they are written down or boat.toml says without."
    )
    foot = (say("Low and high: 8 such builds of 10 fall between."), *((note,) if weight.usually_also else ()))
    return Table("", "", _LINES, tuple(rows), foot=foot, total=True)


def _row(line: WeightLine) -> tuple[Any, ...]:
    return line_words(line), quantity(line), line.mass, line.low, line.high


def quantity(line: WeightLine) -> Say:
    """How much of a thing there is."""
    if line.unit == "pieces":
        return say(Q("whole", line.quantity), " piece" if line.quantity == 1 else " pieces")
    return say(Q(_QUANTITY[line.unit], line.quantity))


def about(weight: Weight) -> Facts:
    """Centre, gyradii, groups, and the causes of the range."""
    x, y, z = (float(v) for v in weight.centre)
    aside: Words = "" if abs(y) < 5e-4 else say(", ", Q("side", y))
    roll, pitch, yaw = (Q("length", float(g), both=False) for g in weight.gyradii)
    shares = [say(f"{g} ", Q("share", m / weight.mass)) for g, m in weight.groups.items()]
    rows: list[tuple[Words, Say]] = [
        ("centre", say(Q("place", x), " aft of the bow datum, ", Q("length", z), " up", aside)),
        ("gyradius", say("roll ", roll, ", pitch ", pitch, ", yaw ", yaw)),
        ("shares", listed(shares)),
        ("resin and glue", say(Q("mass", weight.resin))),
        ("range made by", causes(weight)),
    ]
    return Facts(tuple(rows))


def causes(weight: Weight) -> Say:
    """The causes that make most of the range."""
    told = [say(f"{c.cause} (", Q("fine mass", abs(c.swing)), " either way)") for c in weight.top_causes]
    return listed(told) if told else say("nothing that varies")


def _answered_table(weight: Weight) -> tuple[Table, ...]:
    """What such a boat usually has and is not allowed for, with what answers for it."""
    if not weight.answered:
        return ()
    rows = tuple((a.item, _answer(weight, a)) for a in weight.answered)
    title = "Nothing more is allowed for these, since a line of the schedule or `without` answers for each"
    return (Table("", title, (Column("", "such a boat has"), Column("", "answered by", wrap=True)), rows),)


def _answer(weight: Weight, answer: Answered) -> Say:
    line = weight.line_of(answer)
    return say(f'without = ["{answer.word}"]') if line is None else line_words(line)


# ---------------------------------------------------------------- on the scale


def stages_table(weight: Weight, *, to_fill_in: bool = False) -> Table:
    """What the scale should say at each stage; to_fill_in: with room to write what it did say."""
    columns = [
        Column("", "stage"),
        Column("", "likely", "mass"),
        Column("", "8 of 10 builds"),
    ]
    columns += [Column("", "weighed", "mass")] if to_fill_in else []
    rows = []
    for s in weight.told_stages:
        low, likely, high = s.predicted
        row: list[Any] = [s.stage, likely, Q("mass", (low, high))]
        if to_fill_in:
            row.append(Q("words", "") if s.weighed is None else s.weighed)
        rows.append(tuple(row))
    return Table("", "To check on the scale as it grows", tuple(columns), tuple(rows))


def stages_section(weight: Weight) -> Section:
    """What the scale should say as the boat grows; closed in by what it has said already."""
    return Section("stages", "On the scale", (stages_table(weight),))


def scale_section(weight: Weight, boat: Boat) -> Section:
    """What was expected of the scale at each stage before any weighing, and what it said."""
    if not weight.readings:
        return Section("scale", "", ())
    columns = (
        Column("", "stage"),
        Column("", "low", "mass"),
        Column("", "likely", "mass"),
        Column("", "high", "mass"),
        Column("", "weighed", "mass"),
    )
    rows = tuple((f"{r.stage}, {r.build}", *r.predicted, r.weighed) for r in weight.readings)
    title = (
        "On the scale: expected before any weighing, and weighed, forms taken off. All figures above are"
        " closed in by it"
    )
    doubts = tuple(say(reading_doubt(r, boat.units_shown)) for r in weight.readings if r.far_off)
    return Section("scale", "What the scale said", (Table("", title, columns, rows, foot=doubts),))


# ---------------------------------------------------------------- for programs


def record(weight: Weight) -> tuple[Data | Table, ...]:
    """Every figure of a weight, by its key."""
    roll, pitch, yaw = (float(v) for v in weight.gyradii)
    return (
        Data("build", weight.build),
        Data("mass_kg", weight.mass),
        Data("mass_low_kg", weight.low),
        Data("mass_high_kg", weight.high),
        Data("schedule_kg", weight.schedule.mass),
        Data("schedule_low_kg", weight.schedule.low),
        Data("schedule_high_kg", weight.schedule.high),
        Data("centre_m", weight.centre),
        Data("gyradius_m", {"roll": roll, "pitch": pitch, "yaw": yaw}),
        _lines_record("lines", weight.lines),
        _lines_record("usually_also", weight.usually_also),
        Data("answered", [_answered_record(weight, a) for a in weight.answered]),
        Data("groups_kg", weight.groups),
        Data("shares", {g: m / weight.mass for g, m in weight.groups.items()} if weight.mass > 0 else {}),
        Data("resin_kg", weight.resin),
        Data("causes", [{"cause": c.cause, "swing_kg": c.swing, "share": c.share} for c in weight.causes]),
        Data(
            "steps",
            [
                {"group": s.group, "step": s.step, "put_on_kg": s.put_on, "left_kg": s.left}
                for s in weight.steps
            ],
        ),
        Data("stages", [_stage(s) for s in weight.stages]),
        Data("readings", [_reading(r) for r in weight.readings]),
        Data("readings_odds", weight.readings_odds if weight.readings else None),
        Data("measured_afloat", weight.measured or None),
    )


def _lines_record(key: str, lines: Sequence[WeightLine]) -> Table:
    rows = tuple(
        (
            item_words(line),
            where_words(line),
            line.group,
            line.kind,
            line.material or None,
            line.region or None,
            line.sizes,
            line.count,
            line.basis,
            line.quantity,
            line.unit,
            line.mass,
            line.low,
            line.high,
            line.centre,
        )
        for line in lines
    )
    return Table(key, "", _RECORD, rows, short=False, full=False)


def _answered_record(weight: Weight, answer: Answered) -> dict[str, Any]:
    """A usual item that is not allowed for: the line of the schedule that answers for it, or the word of
    `without`."""
    line = weight.line_of(answer)
    return {
        "item": answer.item,
        "by": answer.by,
        "line": None if line is None else weight.lines.index(line),
        "line_item": None if line is None else line.item,
        "where": None if line is None else line.where,
        "word": answer.word or None,
    }


def _stage(stage: StageReading) -> dict[str, Any]:
    low, likely, high = stage.predicted
    return {
        "stage": stage.stage,
        "predicted_kg": likely,
        "predicted_low_kg": low,
        "predicted_high_kg": high,
        "weighed_kg": stage.weighed,
    }


def _reading(reading: StageReading) -> dict[str, Any]:
    """What the scale said, forms taken off, against what was expected before any weighing."""
    return {
        **_stage(reading),
        "scale_error_kg": reading.scale_error,
        "build": reading.build,
        "forms_kg": reading.forms_mass,
        "far_off": reading.far_off,
        "fits": reading.fits or None,
    }
