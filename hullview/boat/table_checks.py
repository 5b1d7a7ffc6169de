"""What the rows of a table of offsets owe to each other, whatever the shape they give."""

from __future__ import annotations

from collections.abc import Sequence

from hullview.boat.ledger import TableReading
from hullview.boat.model import TableLine

SAME = 1e-6
"""Two lines closer than this are the same line typed twice [m]."""
AT_A_POINT = 0.003
"""Where it comes to a point the deck may differ from the sheer by the rounding of a table, not by more
[m]."""
ABOVE = 0.010
"""A waterline may lie this much above the sheer and still be a slip for `check` to find, not a
contradiction [m]."""

Lines = Sequence[TableLine]


def check(lines: Lines, reading: TableReading) -> None:
    """Note every mistake that only shows when rows are held against each other."""
    _equal_lines(lines, reading)
    _sheer(lines, reading)
    _centre_line(lines, reading)
    _pairs(lines, reading)
    _gaps(lines, reading)
    _above_sheer(lines, reading)
    _sheer_over_keel(lines, reading)
    _below_keel(lines, reading)
    _deck_at_points(lines, reading)


def _find(lines: Lines, measure: str, name: str) -> TableLine | None:
    return next((r for r in lines if r.measure == measure and r.name == name and r.at is None), None)


def _equal_lines(lines: Lines, reading: TableReading) -> None:
    for i, b in enumerate(lines):
        for a in lines[:i]:
            if (a.measure, a.name) != (b.measure, b.name) or (a.at is None) != (b.at is None):
                continue
            near = a.at is None or b.at is None or abs(a.at - b.at) < SAME
            if near and abs((a.angle or 0.0) - (b.angle or 0.0)) < SAME:
                reading.wrong(b.row, b.label, "", f"stands in row {a.row} already", "Keep one of the two.")
                break


def _sheer(lines: Lines, reading: TableReading) -> None:
    for measure in ("height", "half-breadth"):
        row = _find(lines, measure, "sheer")
        if row is None:
            _missing(reading, f"{measure} sheer", f"Add a row {measure},sheer,,...")
            continue
        for i, v in enumerate(row.values):
            if v is None and not _noted(reading, row, i):
                mend = "The sheer runs from end to end; where it comes to a point its half-breadth is 0."
                reading.wrong(row.row, f"{row.label} {reading.station(i)}", "", "is missing", mend, i + 4)


def _centre_line(lines: Lines, reading: TableReading) -> None:
    keel, rabbet = (_find(lines, "height", n) for n in ("keel", "rabbet"))
    half = _find(lines, "half-breadth", "rabbet")
    if keel and rabbet:
        reading.wrong(
            rabbet.row, rabbet.label, "", f"there is a keel in row {keel.row}", "Give the keel or the rabbet."
        )
    if not keel and not rabbet:
        _missing(
            reading,
            "height keel",
            "Add a row height,keel,,... or height,rabbet,,... for the lowest line of the planking.",
        )
    if half and not rabbet:
        reading.wrong(
            half.row,
            half.label,
            "",
            "needs a row height,rabbet",
            "Give the rabbet's height, or leave this row out.",
        )
    if rabbet and half:
        for i, (h, b) in enumerate(zip(rabbet.values, half.values)):
            if b is not None and h is None and not _noted(reading, rabbet, i):
                reading.wrong(
                    half.row,
                    f"{half.label} {reading.station(i)}",
                    "",
                    "has no height of the rabbet with it",
                    "",
                    i + 4,
                )


def _pairs(lines: Lines, reading: TableReading) -> None:
    """A knuckle has a height and a half-breadth wherever it runs."""
    names = dict.fromkeys(r.name for r in lines if r.name.startswith("chine"))
    for name in names:
        half, height = _find(lines, "half-breadth", name), _find(lines, "height", name)
        if half is None or height is None:
            there, lacks = (height, "half-breadth") if half is None else (half, "height")
            assert there is not None
            reading.wrong(
                there.row, there.label, "", f"needs a row {lacks},{name} too", "A knuckle is given by both."
            )
            continue
        for i, (b, z) in enumerate(zip(half.values, height.values)):
            if (b is None) != (z is None) and not _noted(reading, half, i) and not _noted(reading, height, i):
                empty, full = (half, height) if b is None else (height, half)
                key = f"{empty.label} {reading.station(i)}"
                mend = "A knuckle is given by both; fill in the cell or empty the other."
                reading.wrong(empty.row, key, "", f"is missing, and the {full.measure} is there", mend, i + 4)
    if any(r.name == "deck" for r in lines) and not _find(lines, "height", "deck"):
        _missing(
            reading, "height deck", "A deck needs the height of its centre line: add a row height,deck,,..."
        )


def _gaps(lines: Lines, reading: TableReading) -> None:
    """A knuckle runs without a break, and the keel and the deck's centre line miss at most the ends. A
    level line may have a gap, which is told."""
    for row in lines:
        there = [i for i, v in enumerate(row.values) if v is not None]
        if row.at is not None:
            empty = [i for i in range(there[0], there[-1]) if row.values[i] is None] if there else []
            reading.notices += [
                f"{reading.place(row.row, i + 4)} {row.label} {reading.station(i)}: empty between stations"
                " that have it; the boat is drawn without it"
                for i in empty
                if not _noted(reading, row, i)
            ]
        if row.at is not None or row.name == "sheer":
            continue
        if row.name == "deck":
            there = [0, *there, len(row.values) - 1]
        if not there:
            continue
        for i in range(there[0], there[-1]):
            if row.values[i] is None and (row.name != "deck" or i > 0) and not _noted(reading, row, i):
                key = f"{row.label} {reading.station(i)}"
                reading.wrong(
                    row.row, key, "", "is missing between stations that have it", "Fill it in.", i + 4
                )


def _above_sheer(lines: Lines, reading: TableReading) -> None:
    sheer = _find(lines, "height", "sheer")
    if sheer is None:
        return
    for row in lines:
        if row.name != "waterline" or row.at is None:
            continue
        above = [
            i
            for i, (v, top) in enumerate(zip(row.values, sheer.values))
            if v is not None and top is not None and row.at > top + ABOVE
        ]
        if above:
            i, top = above[0], sheer.values[above[0]]
            more = f", and at {len(above) - 1} stations more" if above[1:] else ""
            mend = (
                f"The sheer is at {(top or 0.0) * 1000:.0f} mm there. Leave the cell empty; on a deck write"
                " half-breadth,deck."
            )
            key = f"{row.label} {reading.station(i)}"
            reading.wrong(row.row, key, "", f"this waterline lies above the sheer{more}", mend, i + 4)


def _keel(lines: Lines) -> TableLine | None:
    return _find(lines, "height", "keel") or _find(lines, "height", "rabbet")


def _sheer_over_keel(lines: Lines, reading: TableReading) -> None:
    """A boat whose sheer lies under its keel is inside out."""
    sheer, keel = _find(lines, "height", "sheer"), _keel(lines)
    if sheer is None or keel is None:
        return
    for i, (top, low) in enumerate(zip(sheer.values, keel.values)):
        if (
            top is not None
            and low is not None
            and top <= low
            and not _noted(reading, sheer, i)
            and not _noted(reading, keel, i)
        ):
            key = f"{sheer.label} {reading.station(i)}"
            allowed = f"must lie above the {keel.name}, which is at {low * 1000:.0f} mm there"
            reading.wrong(sheer.row, key, f"{top * 1000:.0f} mm", allowed, "Check both cells.", i + 4)


def _below_keel(lines: Lines, reading: TableReading) -> None:
    """A waterline has no breadth where it passes under the keel line."""
    keel = _keel(lines)
    if keel is None:
        return
    for row in lines:
        if row.name != "waterline" or row.at is None:
            continue
        below = [
            i
            for i, (v, low) in enumerate(zip(row.values, keel.values))
            if v and low is not None and row.at < low - ABOVE
        ]
        if below:
            i, low = below[0], keel.values[below[0]]
            more = f", and at {len(below) - 1} stations more" if below[1:] else ""
            mend = f"The {keel.name} is at {(low or 0.0) * 1000:.0f} mm there. Leave the cell empty."
            key = f"{row.label} {reading.station(i)}"
            reading.wrong(row.row, key, "", f"this waterline lies below the {keel.name}{more}", mend, i + 4)


def _deck_at_points(lines: Lines, reading: TableReading) -> None:
    """Where the sheer's half-breadth is nothing, the deck's centre line is the sheer."""
    half, sheer, deck = (
        _find(lines, "half-breadth", "sheer"),
        _find(lines, "height", "sheer"),
        _find(lines, "height", "deck"),
    )
    if half is None or sheer is None or deck is None:
        return
    for i, (b, z, top) in enumerate(zip(half.values, sheer.values, deck.values)):
        if (
            b == 0.0
            and z is not None
            and top is not None
            and abs(top - z) > AT_A_POINT
            and not _noted(reading, deck, i)
        ):
            mend = (
                f"There it is the sheer, {z * 1000:.0f} mm; leave the cell empty, or give the sheer a"
                " half-breadth."
            )
            key = f"{deck.label} {reading.station(i)}"
            reading.wrong(
                deck.row,
                key,
                f"{top * 1000:.0f} mm",
                "the sheer comes to a point here, so the deck has no camber",
                mend,
                i + 4,
            )


def _missing(reading: TableReading, key: str, mend: str) -> None:
    # A row that is there but wrong, or has its name wrong, has been reported itself.
    named_wrong = f"{key.split()[0]} line"
    if not any(m.key.startswith((key, named_wrong, "measure")) for m in reading.mistakes):
        reading.wrong(1, key, "", "is missing", mend)


def _noted(reading: TableReading, row: TableLine, index: int) -> bool:
    """Whether this cell has been reported already."""
    return (row.row, index + 4) in reading.noted
