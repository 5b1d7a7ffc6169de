"""Is the table of offsets fair: what is doubtful, what would be fair, and the table echoed."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from hullview.boat.model import Boat
from hullview.boat.model import Table as Offsets
from hullview.shape.fairness import Change, Finding, smallest_slip
from hullview.shape.misplaced import Misplaced, not_promised
from hullview.study import Checked
from hullview.tell.bend import bend_section
from hullview.tell.boat import row_name
from hullview.tell.model import Column, Data, Line, Q, Say, Section, Table, Telling, Units, say

ACROSS: dict[Units, int] = {"metric": 8, "imperial": 7}
"""Stations side by side in the echo."""

_RECORD = (
    Column("line", "line"),
    Column("at", "at"),
    Column("station", "station"),
    Column("position_m", "position", "place"),
    Column("row", "row", "whole"),
    Column("value_m", "as written", "offset"),
    Column("out_of_fair_m", "out of fair", "offset"),
    Column("along_m", "along the line", "offset"),
    Column("around_m", "around the section", "offset"),
    Column("fair_m", "fair would be", "offset"),
    Column("doubtful", "doubtful", "yes"),
    Column("flagged", "flagged", "yes"),
    Column("smallest_slip_m", "smallest slip", "offset"),
)


def check_telling(boat: Boat, checked: Checked, changes: Sequence[Change] = ()) -> Telling:
    """The whole of `check`: what is doubtful and what would be fair, the bend, and the table echoed."""
    table = boat.hull.table
    sections = [
        fairness_section(
            boat, checked.findings, checked.notes, changes, checked.misplaced, checked.look_first
        ),
        bend_section(checked.bend),
    ]
    if table is not None:
        sections.append(echo_section(table, checked.findings, boat.units_shown))
    return Telling(tuple(sections), boat.units_shown, ("offsets",), {"boat": boat.name})


def fairness_section(
    boat: Boat,
    findings: Sequence[Finding],
    notes: Sequence[str] = (),
    changes: Sequence[Change] = (),
    misplaced: Sequence[Misplaced] = (),
    look_first: Sequence[str] = (),
) -> Section:
    """How many offsets, what is doubtful and what taking the fair value would change; `changes` in the order
    of the doubtful.

    misplaced: stations and lines that may stand elsewhere, told first; no slip of an offset can be promised
    to show before that is settled.
    """
    table = boat.hull.table
    doubtful = [f for f in findings if f.flagged]
    least = smallest_slip(boat) if findings and not misplaced else None
    blocks: list[Any] = [
        Line(headline(boat, findings, least, bool(misplaced)), strong=True),
        *(_elsewhere(misplaced) if misplaced else _would_show(boat, findings)),
        *(Line(say(f"note: {note}"), hang=True) for note in (*boat.notices, *notes)),
        *_together(look_first),
        *_doubtful(table, doubtful, changes),
        Data("smallest_slip_m", least),
        Data(
            "misplaced",
            [{"kind": m.kind, "name": m.name, "given_m": m.given, "fits_m": m.fits} for m in misplaced],
        ),
        Data("look_first", list(look_first)),
        Data("notices", [*boat.notices, *notes]),
        _record(table, findings),
    ]
    if table is not None:
        would = _by_finding(doubtful, changes)
        blocks.append(Data("doubtful", [_doubt(table, f, would.get(f)) for f in doubtful]))
    return Section("fairness", "Is the table fair", tuple(blocks))


def _elsewhere(misplaced: Sequence[Misplaced]) -> tuple[Line, ...]:
    """Each station or line that may stand elsewhere, with the place that fits best."""
    told = [
        Line(
            say(
                f"{'or ' if m.instead_of else ''}{_called(m)} may stand elsewhere than at ",
                Q("length", m.given),
                ": ",
                Q("length", m.fits),
                " fits best",
                " as well: one of them, not both" if m.instead_of else "",
            ),
            "warn",
            hang=True,
        )
        for m in misplaced
    ]
    if told:
        told.append(Line(say("No offset is called doubtful before that is settled: look at the plan.")))
    return tuple(told)


def _would_show(boat: Boat, findings: Sequence[Finding]) -> tuple[Line | Data, ...]:
    """Which stations could stand in the wrong place without its being seen."""
    if not findings or boat.hull.table is None:
        return ()
    hidden, inner = not_promised(boat), len(boat.hull.table.stations) - 2
    told = Data("stations_not_promised", list(hidden))
    if inner < 1:
        return (told,)
    lead = "A station a tenth of its spacing out of place would show"
    if len(hidden) == inner:
        return (Line(say("No station out of place can be promised to show."), hang=True), told)
    if hidden:
        lead += f" but perhaps at {'station' if len(hidden) == 1 else 'stations'} {', '.join(hidden)}"
    return (Line(say(f"{lead}."), hang=True), told)


def _together(look_first: Sequence[str]) -> tuple[Line, ...]:
    """Stations at which several offsets are out together: the station may be what is wrong."""
    if not look_first:
        return ()
    one = len(look_first) == 1
    return (
        Line(
            say(
                f"Offsets at or next to {'station' if one else 'stations'} {', '.join(look_first)} are out"
                f" together: look first whether {'it stands' if one else 'they stand'} where the table has"
                f" {'it' if one else 'them'}. No fair value is proposed for them before that."
            ),
            "warn",
            hang=True,
        ),
    )


def _by_finding(doubtful: Sequence[Finding], changes: Sequence[Change]) -> dict[Finding, Change]:
    """What taking the fair value of each doubtful offset that has one would change."""
    return dict(zip((f for f in doubtful if f.fair is not None), changes))


def _called(one: Misplaced) -> str:
    """A station by its name, a line by its kind: where it stands follows."""
    return f"station {one.name}" if one.kind == "station" else f"the {one.kind}"


def headline(boat: Boat, findings: Sequence[Finding], least: float | None, elsewhere: bool = False) -> Say:
    """How many offsets, how many doubtful, and the smallest slip that would show."""
    if not findings:
        return say(f"{boat.name}: no table of offsets to check, its shape is a mesh")
    flagged = sum(f.flagged for f in findings)
    count = "none out of fair" if not flagged else f"{flagged} out of fair"
    if elsewhere:
        count = "none judged yet"
    if least is None:
        slip = say("; no slip can be promised to show")
    else:
        slip = say(
            "; a slip of ",
            Q("fine length", least),
            " would show in any offset not next to an end of its line",
        )
    return say(f"{boat.name}: {len(findings)} offsets, {count}", slip)


def names_of(table: Offsets | None) -> dict[str, Say]:
    """Each row's label with what a person reads for it."""
    return {} if table is None else {line.label: row_name(line) for line in table.lines}


def _doubtful(
    table: Offsets | None, doubtful: Sequence[Finding], changes: Sequence[Change]
) -> tuple[Table | Line, ...]:
    """Each doubtful offset with the fair value beside it, and what taking it would change."""
    if not doubtful or table is None:
        return ()
    shown = names_of(table)
    columns = (
        Column("", "line"),
        Column("", "station"),
        Column("", "as written", "written"),
        Column("", "out", "out of fair"),
        Column("", "fair would be", "written"),
    )
    rows = tuple((shown[f.line], f.station, f.value, f.out, f.fair) for f in doubtful)
    lead = (
        say("Doubtful:")
        if all(f.fair is None for f in doubtful)
        else say(
            "Doubtful. Take the fair value if the plan or the form agrees with it; nothing is changed here:"
        )
    )
    found: list[Table | Line] = [Line(lead, "warn", apart=True), Table("", "", columns, rows)]
    if changes:
        level = Q("length", changes[0].height, both=False)
        lead = say(
            "Each taken by itself, the boat would hold more or less below a level waterline ",
            level,
            " above the base line:",
        )
        columns = (
            Column("", "line"),
            Column("", "station"),
            Column("", "displaces more by", "signed share"),
            Column("", "centre aft", "out of fair"),
            Column("", "centre up", "out of fair"),
        )
        moved = tuple(
            (shown[f.line], f.station, c.after / c.before - 1.0, float(c.moved[0]), float(c.moved[2]))
            for f, c in _by_finding(doubtful, changes).items()
        )
        found += [Line(lead, apart=True), Table("", "", columns, moved)]
    return tuple(found)


def echo_section(table: Offsets, findings: Sequence[Finding], units: Units) -> Section:
    """Each offset as written, and under it how far it is out of fair; a star where it is doubtful."""
    by_line: dict[str, dict[int, Finding]] = {}
    for f in findings:
        by_line.setdefault(f.line, {})[f.column] = f
    names = table.names
    shown = names_of(table)
    how = "in mm" if units == "metric" else "as the table has them, in mm under that"
    small = "mm" if units == "metric" else "inches"
    lead = say(
        f"Offsets {how}, and under each how far it lies out of fair in {small}; * doubtful, - cannot be told:"
    )
    tables = []
    for start in range(0, len(names), ACROSS[units]):
        span = range(start, min(start + ACROSS[units], len(names)))
        rows: list[tuple[Any, ...]] = []
        for label, cells in by_line.items():
            if any(j in cells for j in span):
                rows.append((shown[label], *(_value(cells.get(j)) for j in span)))
                if units == "imperial":
                    rows.append(("", *(_value(cells.get(j), "millimetres") for j in span)))
                rows.append(("", *(_out(cells.get(j)) for j in span)))
        columns = (Column("", "station"), *(Column("", names[j]) for j in span))
        if rows:
            tables.append(Table("", "", columns, tuple(rows)))
    return Section("echo", "Offsets as read", (Line(lead), *tables))


def _value(f: Finding | None, kind: str = "offset") -> Q:
    return Q("words", "") if f is None else Q(kind, f.value, both=False)


def _out(f: Finding | None) -> Q:
    return Q("words", "") if f is None else Q("echoed", f.out, note="*" if f.flagged else "")


def _record(table: Offsets | None, findings: Sequence[Finding]) -> Table:
    where = {} if table is None else dict(zip(table.names, table.stations))
    at = {} if table is None else {line.label: line.at for line in table.lines}
    rows = tuple(
        (
            f.line,
            at.get(f.line),
            f.station,
            where.get(f.station),
            f.row,
            f.value,
            f.out,
            f.along,
            f.around,
            f.fair,
            f.flagged,
            f.flagged,
            f.smallest,
        )
        for f in findings
    )
    return Table("offsets", "", _RECORD, rows, short=False, full=False)


def _doubt(table: Offsets, f: Finding, change: Change | None) -> dict[str, Any]:
    found: dict[str, Any] = {
        "line": f.line,
        "station": f.station,
        "value_m": f.value,
        "out_of_fair_m": f.out,
        "fair_m": f.fair,
    }
    if change is not None:
        found["if_taken"] = {
            "waterline_height_m": change.height,
            "volume_change_m3": change.after - change.before,
            "volume_change": change.after / change.before - 1.0,
            "lcb_change_m": float(change.moved[0]),
            "kb_change_m": float(change.moved[2]),
        }
    return found
