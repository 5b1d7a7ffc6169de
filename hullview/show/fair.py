"""The table of offsets echoed with how far it is out of fair, and will the wood bend: the text of `check`."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

from hullview.boat.model import Boat, Table
from hullview.boat.wording import INCH, eighths
from hullview.shape.fairness import Change, Finding, smallest_slip
from hullview.show import bending, words
from hullview.show.tables import columns, joined, paragraph
from hullview.weight.bend import THINNER, TWIST_SPAN, BendReport, Bent, StickBend, StripsBend, Takes

ACROSS = 8
"""Stations side by side in the echo."""


def check_text(
    boat: Boat,
    findings: Sequence[Finding],
    bend: BendReport | None,
    notes: Sequence[str] = (),
    changes: Sequence[Change] = (),
) -> str:
    """The whole of `check`: what is doubtful and what would be fair, the bend, and the table echoed."""
    table = boat.hull.table
    return joined(
        headline(boat, findings),
        "\n".join(paragraph(f"note: {note}", "", "  ") for note in (*boat.notices, *notes)),
        doubtful_text(boat, findings, changes),
        "" if bend is None else bend_text(bend, boat),
        "" if table is None else echo_text(table, findings),
    )


def headline(boat: Boat, findings: Sequence[Finding]) -> str:
    """How many offsets, how many doubtful, and the smallest slip that would show."""
    flagged = sum(f.flagged for f in findings)
    if not findings:
        return paragraph(f"{boat.name}: no table of offsets to look over, her shape is a mesh")
    said = "none out of fair" if not flagged else f"{flagged} out of fair"
    least = smallest_slip(boat)
    slip = (
        ""
        if least is None
        else f"; a slip of {words.length(least, boat.units_shown, decimals=1)} would show in any offset not next to an end of its line"
    )
    return paragraph(f"{boat.name}: {len(findings)} offsets, {said}{slip}")


def doubtful_text(boat: Boat, findings: Sequence[Finding], changes: Sequence[Change] = ()) -> str:
    """Each doubtful offset with the fair value beside it; `changes` says what taking each would change, in the same order."""
    table = boat.hull.table
    doubtful = [f for f in findings if f.flagged]
    if not doubtful or table is None:
        return ""
    shown = words.rows_of(table)
    small = _small_unit(table)
    rows = [
        (shown[f.line], f.station, _written(table, f.value), _signed(f.out, small), _written(table, f.fair))
        for f in doubtful
    ]
    lead = "Doubtful. Take the fair value if the plan or the form agrees with it; nothing is changed here:"
    text = [
        paragraph(lead),
        columns(("line", "station", "as written", f"out, {small}", "fair would be"), rows, "llrrr", "  "),
    ]
    if changes:
        level = words.length(changes[0].height, boat.units_shown, both=False)
        text += [
            "",
            paragraph(
                f"Each taken by itself, she would hold more or less below a level waterline {level} above the base line:"
            ),
        ]
        moved = [(shown[f.line], f.station, *_change(c, small)) for f, c in zip(doubtful, changes)]
        header = ("line", "station", "displaces", f"centre, {small} aft", f"centre, {small} up")
        text.append(columns(header, moved, "llrrr", "  "))
    return "\n".join(text)


def _change(change: Change, small: str) -> tuple[str, str, str]:
    """How much more the boat displaces, and where its centre goes."""
    return (
        f"{(change.after / change.before - 1) * 100:+.2f} %",
        _signed(change.moved[0], small),
        _signed(change.moved[2], small),
    )


def change_record(change: Change) -> dict[str, float]:
    """What taking a fair value changes, SI."""
    return {
        "waterline_height_m": change.height, "volume_change_m3": change.after - change.before,
        "lcb_change_m": float(change.moved[0]), "kb_change_m": float(change.moved[2]),
    }  # fmt: skip


def _written(table: Table | None, metres: float | None) -> str:
    """A value as the table writes it, mm beside."""
    if metres is None or table is None:
        return words.NOTHING
    if table.unit == "ft-in-eighths":
        return f"{eighths(metres)} ({metres * 1000:.0f} mm)"
    return words.length(metres, "imperial" if table.unit in ("in", "ft") else "metric", decimals=1)


def _small_unit(table: Table) -> str:
    """The unit in which a table's builder reads small lengths."""
    return "in" if table.unit.startswith(("in", "ft")) else "mm"


def _signed(metres: float | None, small: str = "mm") -> str:
    """A small length with its sign: to the tenth of a mm, or to the hundredth of an inch."""
    if metres is None:
        return words.NOTHING
    value, places = (metres / INCH, 2) if small == "in" else (metres * 1000, 1)
    return f"{value:+.{places}f}" if round(abs(value), places) else f"{0:.{places}f}"


def echo_text(table: Table, findings: Sequence[Finding]) -> str:
    """Each offset in mm, in inches as the table writes it where that is in them, and under it how far it is out of fair; a star where it is
    doubtful."""
    by_line: dict[str, dict[int, Finding]] = {}
    for f in findings:
        by_line.setdefault(f.line, {})[f.column] = f
    names = table.column_names or tuple(str(i) for i in range(len(table.stations)))
    shown = words.rows_of(table)
    small = _small_unit(table)
    echoed = "in mm" if small == "mm" else "as the table has them, in mm under that"
    blocks = [
        paragraph(
            f"Offsets {echoed}, and under each how far it lies out of fair in {'inches' if small == 'in' else small}; * doubtful, - cannot be told:"
        )
    ]
    for start in range(0, len(names), ACROSS):
        span = range(start, min(start + ACROSS, len(names)))
        rows = []
        for label, cells in by_line.items():
            if any(j in cells for j in span):
                if small == "in":
                    rows.append((shown[label], *(_in_table(cells.get(j), table) for j in span)))
                rows.append(("" if small == "in" else shown[label], *(_value(cells.get(j)) for j in span)))
                rows.append(("", *(_out(cells.get(j), small) for j in span)))
        if rows:
            blocks.append(columns(("station", *(names[j] for j in span)), rows, "l" + "r" * len(span)))
    return joined(*blocks)


def _value(f: Finding | None) -> str:
    return "" if f is None else f"{f.value * 1000:.1f}"


def _in_table(f: Finding | None, table: Table) -> str:
    """An offset as a table in inches or feet writes it."""
    if f is None:
        return ""
    if table.unit == "ft-in-eighths":
        return eighths(f.value)
    return f"{f.value / (INCH if table.unit == 'in' else 12 * INCH):.3f}".rstrip("0").rstrip(".")


def _out(f: Finding | None, small: str) -> str:
    if f is None:
        return ""
    return _signed(f.out, small) + ("*" if f.flagged else "")


# ---------------------------------------------------------------- bend


def bend_text(report: BendReport, boat: Boat) -> str:
    """Each lamination and the worst strips with their lights."""
    units = boat.units_shown
    if not report.sticks and not report.strips:
        return paragraph(
            f"Will it bend, built {report.build}: nothing to follow. Laminations are followed, and strips on a hull that her table gives; sheets are not."
        )
    sticks = [(s, *plane) for s in report.sticks for plane in bending.planes(s, units)]
    strips = [row for skin in report.strips for row in _strip_rows(skin, units)]
    return joined(
        paragraph(f"Will it bend, built {report.build}: {bending.headline(report, units)}"),
        columns(
            ("lamination or stick", "tightest", "where", "light"),
            [
                (
                    f"{s.item}, {s.wood}: {asked}",
                    _radius(bent, units),
                    _where(bent.where, units) if math.isfinite(bent.radius) else "",
                    bent.light,
                )
                for s, asked, bent, _ in sticks
            ],
            "wrrl",
            notes=[note for *_, note in sticks],
        )
        if sticks
        else "",
        columns(("strips", "worst", "where", "light"), strips, "wrrl") if strips else "",
        *(paragraph(bending.tapered(skin, units)) for skin in report.strips),
        paragraph(_springback(report.sticks, units)),
        paragraph(report.MEASURED),
    )


def _where(metres: float, units: str) -> str:
    return f"{words.place(metres, units, both=False)} aft"


def _radius(bent: Bent, units: str) -> str:
    return "straight" if math.isinf(bent.radius) else f"R {words.length(bent.radius, units, both=False)}"


def _strip_rows(skin: StripsBend, units: str) -> list[tuple[str, ...]]:
    """The worst twist, bend and edge-set of one skin, each naming its strip from the sheer."""
    twist, bent, edge = skin.worst_twist, skin.worst_bend, skin.worst_edge_set
    turn = f"{math.degrees(twist.twist):.0f} deg in {words.length(TWIST_SPAN, units, both=False)}"
    sideways, light = bending.edge_set(skin, units)
    return [
        (
            f"{skin.where}: twist, strip {twist.number} from the sheer",
            turn,
            _where(twist.twist_where, units),
            twist.twist_light,
        ),
        (
            f"{skin.where}: bend, strip {bent.number}",
            _radius(bent.bend, units),
            _where(bent.bend.where, units),
            bent.bend.light,
        ),
        (f"{skin.where}: edge-set, strip {edge.number}", sideways, _where(edge.edge_set.where, units), light),
    ]


def _springback(sticks: Sequence[StickBend], units: str) -> str:
    """How much tighter a free form must be, by both rules."""
    free = [
        s
        for s in sticks
        if s.free and s.plies > 1 and math.isfinite(s.flat.radius) and s.flat.light != THINNER
    ]
    if not free:
        return ""
    said = "; ".join(
        f"{s.item} {s.springback_elastic * 100:.0f} % or {s.springback_rival * 100:.0f} %, form radius "
        f"{words.length(s.form_radius[0], units, both=False)} or {words.length(s.form_radius[1], units, both=False)}"
        for s in free
    )
    return f"Springback off a form, by elastic theory or by the rule of (n - 1)/n: {said}."


# ---------------------------------------------------------------- records


def finding_records(findings: Sequence[Finding], table: Table | None) -> list[dict[str, Any]]:
    """A record for each offset, SI."""
    cells = {} if table is None else dict(zip(table.column_names, table.stations))
    return [
        {
            "line": f.line, "station": f.station, "position_m": cells.get(f.station), "row": f.row, "value_m": f.value,
            "out_of_fair_m": f.out, "along_m": f.along, "around_m": f.around, "fair_m": f.fair, "doubtful": f.flagged,
            "smallest_slip_m": f.smallest,
        }
        for f in findings
    ]  # fmt: skip


def bend_record(report: BendReport) -> dict[str, Any]:
    """The bend of one build."""
    return {
        "build": report.build,
        "light": report.light,
        "laminations": [
            {
                "item": s.item, "along": s.along, "wood": s.wood, "plies": s.plies, "ply_m": s.ply, "light": s.light,
                "depth_m": s.depth, "flat": _bent_record(s.flat), "edgewise": _bent_record(s.edge),
                "plies_take": [_takes_record(t) for t in s.plies_take], "depth_takes": [_takes_record(t) for t in s.depth_takes],
                "sawn": s.sawn, "springback_elastic": s.springback_elastic, "springback_rival": s.springback_rival,
                "form_radius_m": s.form_radius,
            }
            for s in report.sticks
        ],
        "strips": [
            {
                "where": skin.where, "wood": skin.wood, "light": skin.light,
                "strips": [
                    {
                        "number": s.number, "light": s.light, "bend": _bent_record(s.bend), "edge_set": _bent_record(s.edge_set),
                        "twist_deg": math.degrees(s.twist), "twist_where_m": s.twist_where, "twist_light": s.twist_light,
                        "tapers_m": s.tapers,
                    }
                    for s in skin.strips
                ],
            }
            for skin in report.strips
        ],
    }  # fmt: skip


def _bent_record(b: Bent) -> dict[str, Any]:
    return {"radius_m": b.radius, "where_m": b.where, "strain": b.strain, "light": b.light}


def _takes_record(t: Takes) -> dict[str, Any]:
    return {"how": t.how, "most_m": t.most, "pieces": t.pieces}
