"""What a boat weighs, for a person: the text of `weigh`, `compare` and `materials`, and their rows as records."""

from __future__ import annotations

from hullview.answer.plausible import reading_doubt
from hullview.boat.model import Boat
from hullview.show import words
from hullview.show.amounts import amount, masses, said, unit_of
from hullview.show.tables import columns, joined, pairs, paragraph
from hullview.weight.line import WeightLine
from hullview.weight.total import Weight


def weight_text(weight: Weight, boat: Boat) -> str:
    """The weight line by line, what makes its range, and what such a boat usually also has."""
    units = boat.units_shown
    rows = [_row(line, units) for line in weight.lines]
    if weight.usually_also:
        alone = weight.schedule
        rows.append(
            ("the schedule alone", "", *masses(units, alone.mass, alone.low or 0.0, alone.high or 0.0))
        )
        rows += [
            (f"usually also: {line.item}", "", *masses(units, line.mass, line.low, line.high))
            for line in weight.usually_also
        ]
    rows.append(("in all, what floats", "", *masses(units, weight.mass, weight.low, weight.high)))
    return joined(
        paragraph(
            f"{words.mass(weight.mass, units)}: {boat.name}, built {weight.build}; 8 such builds of 10 come out from {words.span(weight.low, weight.high, units)}"
        ),
        columns(("where and what", "quantity", unit_of("kg", units), "low", "high"), rows, "wrrrr"),
        pairs(_about(weight, units)),
        _usually_also(weight),
        _answered(weight, units),
        _stages(weight, units),
        _on_the_scale(weight, units),
        paragraph(weight.measured),
    )


def _row(line: WeightLine, units: str) -> tuple[str, ...]:
    quantity = (
        words.count(line.quantity, "piece")
        if line.unit == "pieces"
        else amount(line.quantity, line.unit, units)
    )
    return said(f"{line.where}: {line.item}", units), quantity, *masses(units, line.mass, line.low, line.high)


def _about(weight: Weight, units: str) -> list[tuple[str, str]]:
    """Centre, gyradii, groups, and the causes of the range."""
    x, y, z = (float(v) for v in weight.centre)
    aside = "" if abs(y) < 5e-4 else f", {words.length(abs(y), units)} to {'starboard' if y > 0 else 'port'}"
    roll, pitch, yaw = (words.length(float(g), units, both=False) for g in weight.gyradii)
    shares = ", ".join(f"{group} {mass / weight.mass * 100:.0f} %" for group, mass in weight.groups.items())
    causes = ", ".join(
        f"{c.cause} ({masses(units, abs(c.swing))[0]} {unit_of('kg', units)} either way)"
        for c in weight.top_causes
    )
    return [
        ("centre", f"{words.place(x, units)} aft of the bow datum, {words.length(z, units)} up{aside}"),
        ("gyradius", f"roll {roll}, pitch {pitch}, yaw {yaw}"),
        ("shares", shares),
        ("resin and glue", words.mass(weight.resin, units)),
        ("range made by", causes or "nothing that varies"),
    ]


def _usually_also(weight: Weight) -> str:
    if not weight.usually_also:
        return ""
    return paragraph(
        "usually also: such boats have these and this schedule lacks them, so that they are allowed for in what floats until they are "
        "written down or boat.toml says without."
    )


def _answered(weight: Weight, units: str) -> str:
    """What such a boat usually has and is not allowed for, with what answers for it."""
    if not weight.answered:
        return ""
    rows = []
    for answer in weight.answered:
        line = weight.line_of(answer)
        rows.append(
            (
                answer.item,
                f'without = ["{answer.word}"]' if line is None else said(f"{line.where}: {line.item}", units),
            )
        )
    lead = "Nothing more is allowed for these, since a line of the schedule or `without` answers for each:"
    return "\n".join([paragraph(lead), columns(("such a boat has", "answered by"), rows, "lw", "  ")])


def _on_the_scale(weight: Weight, units: str) -> str:
    """What was expected of the scale at each stage before any weighing, and what it said."""
    if not weight.readings:
        return ""
    rows = [
        (
            f"{r.stage}, {r.build}",
            *masses(units, *r.predicted),
            "" if r.weighed is None else masses(units, r.weighed)[0],
        )
        for r in weight.readings
    ]
    lead = (
        f"on the scale [{unit_of('kg', units)}]: expected before any weighing (low, likely, high), and weighed, forms taken off. "
        "All figures above are closed in by it."
    )
    doubts = [paragraph(reading_doubt(r, units)) for r in weight.readings if r.far_off]
    return "\n".join(
        [
            paragraph(lead),
            columns(("stage", "low", "likely", "high", "weighed"), rows, "lrrrr", "  "),
            *doubts,
        ]
    )


def _stages(weight: Weight, units: str) -> str:
    """What the scale should say as the boat grows; closed in by what it has said already."""
    rows = []
    for s in weight.told_stages:
        low, likely, high = s.predicted
        rows.append((s.stage, words.mass(likely, units, False), words.span(low, high, units)))
    return "to check on the scale as it grows:\n" + columns(("stage", "likely", "8 of 10"), rows, "lrr", "  ")
