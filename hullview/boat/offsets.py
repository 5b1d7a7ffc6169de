"""The table of offsets as it stands on the plan: CSV text -> `Table`, each cell with its place, all
mistakes at once."""

from __future__ import annotations

import csv
import re
from collections.abc import Iterable, Sequence
from dataclasses import replace
from math import radians

from hullview.boat import quantity, table_checks
from hullview.boat.ledger import TableReading, shown
from hullview.boat.model import Table, TableLine
from hullview.boat.quantity import QuantityError
from hullview.errors import did_you_mean, meant_by

LONGEST = 1000.0
"""No boat and no part of one is longer [m]."""
MOST_STATIONS, MOST_ROWS = 500, 200
"""More than a table of offsets ever has; a larger one is another kind of file, and is refused before its
cells are read."""

MEASURES = ("position", "height", "half-breadth", "shape")
WHOLE_LINES = {"height": ("sheer", "keel", "rabbet", "deck"), "half-breadth": ("sheer", "rabbet")}
LINES_AT = {"height": ("buttock", "deck"), "half-breadth": ("waterline", "diagonal", "deck")}
SHAPES = {"keel": ("round", "vee", "flat"), "deck": ("smooth", "ridge")}
_CHINE = re.compile(r"chine(?: [1-9][0-9]?)?")


Row = tuple[int, list[str]]
"""Row number in the file, and its cells without blanks around them."""


def read_offsets(raw: bytes, unit: str | None, file: str = "offsets.csv") -> TableReading:
    """Read a table of offsets; `unit` is that of bare cells: mm, cm, m, in, ft, ft-in-eighths, or None."""
    reading = TableReading(file)
    written = _rows(raw, reading)
    if written is None or (rows := _headings(written, reading)) is None:
        return reading
    width = len(reading.headings) + 3
    rows = [r for r in rows if _of_width(r, width, unit, reading)]
    stations = _positions(rows, unit, reading)
    lines, shapes = _lines(rows, unit, reading)
    if not (reading.bare and reading.imperial + reading.metric):
        table_checks.check(lines, reading)
    decked = any(r.name == "deck" for r in lines)
    rabbet = any(r.name == "rabbet" for r in lines)
    if "deck" in shapes and not decked:
        reading.wrong(
            shapes["deck"][0], "shape deck", "", "says how a deck is shaped, but there are no deck rows"
        )
    if stations is None or reading.mistakes:
        _once(reading)
        return reading
    given_unit = unit or ("in" if reading.imperial > reading.metric else "mm")
    reading.table = Table(
        stations, tuple(lines), _shape(shapes, "keel", "vee" if rabbet else "round", len(stations)),
        _shape(shapes, "deck", "smooth", len(stations)), tuple(reading.headings), file, given_unit,
        rabbet or "keel" in shapes,
    )  # fmt: skip
    return reading


def _once(reading: TableReading) -> None:
    """A whole table in another notation than `hull.units` says is one mistake, told at its first cell."""
    same = [m for m in reading.mistakes if m.allowed.startswith(quantity.NOTATION)]
    if len(same) > 3:
        first = replace(
            same[0], mend=f"{same[0].mend} So are {len(same) - 1} cells more; if all are, change hull.units."
        )
        reading.mistakes = [
            first if m is same[0] else m for m in reading.mistakes if m is same[0] or m not in same[1:]
        ]


def _shape(shapes: dict[str, tuple[int, list[str]]], name: str, default: str, count: int) -> tuple[str, ...]:
    given = shapes[name][1] if name in shapes else [""] * count
    return tuple(g or default for g in given)


def _rows(raw: bytes, reading: TableReading) -> list[Row] | None:
    """The rows that are neither empty nor a comment, or None where the file is no table of offsets."""
    text = _text(raw, reading)
    if text is None:
        return None
    written = [
        (n, line)
        for n, line in enumerate(text.split("\n"), 1)
        if line.strip(" \t,") and line.lstrip()[:1] != "#"
    ]
    if not written:
        reading.wrong(
            1, "the table", "", "is empty", "Write a header, the positions and a row for each line."
        )
        return None
    if len(written) > MOST_ROWS:
        mend = "Is this the table of offsets?"
        reading.wrong(
            written[MOST_ROWS][0], "the table", "", f"has {len(written)} rows; at most {MOST_ROWS}", mend
        )
        return None
    sign = _separator(written, reading)
    rows: list[Row] = []
    for n, line in written:
        try:
            cells = next(csv.reader([line], strict=True, delimiter=sign))
        except csv.Error as error:
            what = "an unclosed quotation mark" if "end of data" in str(error) else str(error)
            reading.wrong(
                n,
                " ".join(shown(c.strip())[1:-1] for c in line.split(sign)[:2]),
                "",
                f"cannot be split into cells: {what}",
                'Write inches inside a cell as 6 in or 6".',
            )
            continue
        rows.append((n, [c.strip() if sign == "," else c.strip().replace(",", ".") for c in cells]))
    return rows or None


def _separator(written: Sequence[tuple[int, str]], reading: TableReading) -> str:
    """The comma, or what stands in its place, which is a mistake; the cells are read by it for what else
    is wrong."""
    for sign, name in ((";", "semicolons"), ("\t", "tabs")):
        if all(line.count(sign) > line.count(",") for _, line in written[:2]):
            mend = "Save it again as CSV with commas between cells and points in decimals."
            allowed = f"has {name} between its cells; it must have commas"
            reading.wrong(written[0][0], "the table", "", allowed, mend)
            return sign
    return ","


def _text(raw: bytes, reading: TableReading) -> str | None:
    if raw[:2] in (b"\xff\xfe", b"\xfe\xff"):
        reading.wrong(1, "the table", "", "is UTF-16 text; it must be UTF-8", "Save it again as CSV UTF-8.")
        return None
    try:
        text = raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        row = raw[: error.start].count(b"\n") + 1
        reading.wrong(row, "the table", "", "is not UTF-8 text", "Save it again as CSV UTF-8.")
        return None
    return text.replace("\r\n", "\n").replace("\r", "\n")


def _headings(rows: list[Row], reading: TableReading) -> list[Row] | None:
    """Take the station names from the header; the rows under it, or None where there are too many stations
    to be a boat's."""
    rows = _trimmed(rows)
    n, cells = rows[0]
    stations = len(cells) - 3
    if stations > MOST_STATIONS:
        allowed = f"has {stations} stations; at most {MOST_STATIONS}"
        reading.wrong(n, "header", "", allowed, "Is this the table of offsets?")
        return None
    if [c.lower() for c in cells[:3]] != ["measure", "line", "at"]:
        mend = "The first row is measure,line,at and the names of the stations, bow first."
        reading.wrong(n, "header", shown(",".join(cells[:3])), "must begin with measure,line,at", mend)
        if cells[0].lower() in MEASURES:  # the header is left out: a row of the table stands in its place
            reading.headings = [str(i) for i in range(stations)]
            return rows
    reading.headings = cells[3:]
    for i, name in enumerate(reading.headings):
        if not name:
            reading.wrong(
                n, "header", "", "a station has no name", "Give each column a name or a number.", i + 4
            )
        elif name in reading.headings[:i]:
            reading.wrong(
                n, "header", shown(name), "two stations have this name", "Give each its own.", i + 4
            )
    if len(reading.headings) < 3:
        reading.wrong(
            n, "header", "", f"has {len(reading.headings)} stations; must have 3 or more", "Add stations."
        )
    return rows[1:]


def _trimmed(rows: list[Row]) -> list[Row]:
    """The rows without the empty columns that a spreadsheet leaves at the end."""
    width = len(rows[0][1])
    if any(len(cells) != width for _, cells in rows):
        return rows
    used = max(next((i + 1 for i in range(width - 1, -1, -1) if cells[i]), 0) for _, cells in rows)
    return [(n, cells[: max(3, used)]) for n, cells in rows]


def _of_width(row: Row, width: int, unit: str | None, reading: TableReading) -> bool:
    n, cells = row
    if len(cells) == width:
        return True
    mend = "Every row has as many cells as the header; an empty cell still needs its comma."
    if len(cells) > width:
        mend = (
            "Every row has as many cells as the header; a decimal comma makes two cells of one: use a point."
        )
    key = " ".join(shown(c)[1:-1] for c in cells[:2])
    reading.wrong(n, key, "", f"has {len(cells)} cells; the header has {width}", mend)
    if cells[0].lower() in ("position", "height", "half-breadth"):
        _values((n, cells[:width]), key, unit, reading)
    return False


def _positions(rows: Sequence[Row], unit: str | None, reading: TableReading) -> tuple[float, ...] | None:
    """Stations aft of the bow datum [m], in order, or None."""
    found = [(n, c) for n, c in rows if _as_meant(c[0].lower(), MEASURES) == "position"]
    if not found:
        mend = "Add a row position,,,0,... with the distance of each station aft of the bow datum."
        reading.wrong(1, "position", "", "is missing", mend)
        return None
    for n, _ in found[1:]:
        reading.wrong(n, "position", "", f"stands in row {found[0][0]} already", "Keep one.")
    n, cells = found[0]
    for i in (1, 2):
        if cells[i]:
            reading.wrong(n, "position", shown(cells[i]), "must be empty here", "", i + 1)
    values = _values((n, cells), "position", unit, reading)
    for i, v in enumerate(values):
        if v is None and cells[i + 3] in ("", "-"):
            reading.wrong(
                n, f"position {reading.station(i)}", "", "is missing", "Every station has a position.", i + 4
            )
    if any(v is None for v in values):
        return None
    stations = tuple(v for v in values if v is not None)
    for i in range(1, len(stations)):
        if stations[i] <= stations[i - 1]:
            mend = "Positions grow from bow to stern; no two are the same."
            reading.wrong(
                n,
                f"position {reading.station(i)}",
                shown(cells[i + 3])[1:-1],
                "must lie aft of the one before",
                mend,
                i + 4,
            )
    return stations


def _values(row: Row, key: str, unit: str | None, reading: TableReading) -> tuple[float | None, ...]:
    """The cells of one row [m]; None where the line does not cross, or where the cell is wrong."""
    n, cells = row
    values: list[float | None] = []
    for i, cell in enumerate(cells[3:]):
        if cell in ("", "-"):
            values.append(None)
        else:
            values.append(_cell(cell, f"{key} {reading.station(i)}", unit, reading, (n, i + 4)))
    return tuple(values)


def _cell(
    cell: str, key: str, unit: str | None, reading: TableReading, place: tuple[int, int]
) -> float | None:
    """One length [m], or None with the mistake noted."""
    row, column = place
    try:
        read = quantity.read(cell, "length", unit)
    except QuantityError as error:
        if unit is None and error.allowed == quantity.NO_UNIT:
            reading.bare.append(f"{reading.place(row, column)} {key}")
            return quantity.read(
                cell, "length", "mm"
            ).value  # for what rows owe each other; the table is refused
        reading.wrong(row, key, shown(cell)[1:-1], error.allowed, error.mend, column)
        return None
    if abs(read.value) > LONGEST:
        reading.wrong(row, key, shown(cell)[1:-1], "is over 1,000 m", "Check the units.", column)
        return None
    if read.notice:
        reading.notices.append(f"{reading.place(row, column)} {key} = {read.notice}")
    reading.imperial += read.imperial is True
    reading.metric += read.imperial is False
    return read.value


def _lines(
    rows: Sequence[Row], unit: str | None, reading: TableReading
) -> tuple[list[TableLine], dict[str, tuple[int, list[str]]]]:
    """The rows of heights and half-breadths, and the rows that say how a section crosses the centre line.

    A row whose name is wrong is read on as what was probably meant, so that its other mistakes are told with
    it.
    """
    lines: list[TableLine] = []
    shapes: dict[str, tuple[int, list[str]]] = {}
    for n, cells in rows:
        measure, name = _as_meant(cells[0].lower(), MEASURES), " ".join(cells[1].lower().split())
        if cells[0].lower() not in MEASURES:
            mend = did_you_mean(cells[0], MEASURES)
            reading.wrong(
                n, "measure", shown(cells[0]), "must be height, half-breadth, shape or position", mend, 1
            )
        if measure == "shape":
            _shape_row((n, cells), name, shapes, reading)
        elif measure in ("height", "half-breadth"):
            line = _line((n, cells), measure, name, unit, reading)
            if line:
                lines.append(line)
    return lines, shapes


def _as_meant(word: str, known: Iterable[str]) -> str:
    """A word as it is known, or the one that it was probably meant for, if that is plain."""
    if word in known:
        return word
    meant = meant_by(word, known)
    return meant[0] if len(meant) == 1 else word


def _line(row: Row, measure: str, name: str, unit: str | None, reading: TableReading) -> TableLine | None:
    n, cells = row
    key = f"{measure} {name}" + (f" {shown(cells[2])[1:-1]}" if cells[2] else "")
    if not _is_line(measure, name):
        known = sorted({*WHOLE_LINES[measure], *LINES_AT[measure], "chine", "chine 1"})
        other = "half-breadth" if measure == "height" else "height"
        mend = did_you_mean(name, known)
        if name in LINES_AT[other] or name in WHOLE_LINES[other]:
            mend = f"A {name} row gives its {other}. Known: {', '.join(known)}."
        reading.wrong(n, f"{measure} line", shown(cells[1]), f"no such line of a {measure}", mend, 2)
        name = _as_meant(name, known)
        if not _is_line(measure, name):
            _values(row, f"{measure} {shown(cells[1])[1:-1]}", unit, reading)
            return None
    at, angle = _at((n, cells), measure, name, unit, reading)
    values = _values(row, key, unit, reading)
    if measure == "half-breadth":
        for i, v in enumerate(values):
            if v is not None and v < 0:
                given = shown(cells[i + 3])[1:-1]
                mend = "It is measured out from the centre line."
                reading.wrong(n, f"{key} {reading.station(i)}", given, "must be 0 or more", mend, i + 4)
    if not any(c not in ("", "-") for c in cells[3:]):
        reading.wrong(n, key, "", "crosses no station", "Leave the row out.")
    if at is None and (cells[2] or not _is_whole(measure, name)) and name in LINES_AT[measure]:
        return None
    return TableLine(measure, name, at, values, angle, n)  # type: ignore[arg-type]


def _is_whole(measure: str, name: str) -> bool:
    return name in WHOLE_LINES[measure] or bool(_CHINE.fullmatch(name))


def _is_line(measure: str, name: str) -> bool:
    return _is_whole(measure, name) or name in LINES_AT[measure]


def _at(
    row: Row, measure: str, name: str, unit: str | None, reading: TableReading
) -> tuple[float | None, float | None]:
    """What stands under `at`: a height or half-breadth [m], and for a diagonal its angle [rad]."""
    n, cells = row
    text = cells[2]
    key = f"{measure} {name} at"
    if name not in LINES_AT[measure]:
        if text:
            reading.wrong(n, key, shown(text), f"must be empty for the {name}", "", 3)
        return None, None
    if not text:
        if name not in WHOLE_LINES[measure]:
            what = {"buttock": "half-breadth", "diagonal": "height and angle, 300/45"}.get(name, "height")
            reading.wrong(n, key, "", f"is missing: the {what} of the {name}", "", 3)
        return None, None
    angle = None
    if name == "diagonal":
        text, angle = _diagonal(text, row, reading)
        if angle is None:
            return None, None
    at = _cell(text, key, unit, reading, (n, 3))
    if at is not None and measure == "height" and at <= 0:
        reading.wrong(
            n,
            key,
            shown(text)[1:-1],
            "must be more than 0",
            f"On the centre line write height,{'deck' if name == 'deck' else 'keel'}.",
            3,
        )
        return None, None
    return at, angle


def _diagonal(text: str, row: Row, reading: TableReading) -> tuple[str, float | None]:
    """Split "300/45": the height, as text, and the angle down from the horizontal [rad]."""
    n = row[0]
    match = re.fullmatch(r"(.+)/ *([0-9]{1,2}(?:\.[0-9]{1,6})?) *(?:deg)?", text)
    angle = float(match[2]) if match else 0.0
    if not match or not 0 < angle < 90:
        mend = (
            "Write 300/45: the height on the centre line, a stroke, degrees down from the horizontal between"
            " 0 and 90."
        )
        reading.wrong(n, "half-breadth diagonal at", shown(text), "must be a height and an angle", mend, 3)
        return text, None
    return match[1].strip(), radians(angle)


def _shape_row(row: Row, name: str, shapes: dict[str, tuple[int, list[str]]], reading: TableReading) -> None:
    n, cells = row
    if name not in SHAPES:
        reading.wrong(n, "shape line", shown(cells[1]), "must be keel or deck", did_you_mean(name, SHAPES), 2)
        return
    if cells[2]:
        reading.wrong(n, f"shape {name} at", shown(cells[2]), "must be empty", "", 3)
    if name in shapes:
        reading.wrong(n, f"shape {name}", "", f"stands in row {shapes[name][0]} already", "Keep one.")
        return
    words = []
    for i, cell in enumerate(cells[3:]):
        word = "" if cell == "-" else cell.lower()
        if word and word not in SHAPES[name]:
            mend = did_you_mean(word, SHAPES[name])
            allowed = f"must be {', '.join(SHAPES[name][:-1])} or {SHAPES[name][-1]}"
            reading.wrong(n, f"shape {name} {reading.station(i)}", shown(cell), allowed, mend, i + 4)
        words.append(word)
    shapes[name] = (n, words)
