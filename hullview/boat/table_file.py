"""A table of offsets written anew over its own text: the same rows, comments, line ends and notation, other
numbers."""

from __future__ import annotations

import csv
import io
from collections.abc import Callable, Sequence
from math import degrees

from hullview.boat.model import Table, TableLine
from hullview.boat.notation import finer, finest, written_like

BOM = b"\xef\xbb\xbf"


def table_text(raw: bytes, new: Table, unit: str | None) -> bytes:
    """The bytes of a table with the numbers of another one of the same rows.

    Parameters
    ----------
    raw : bytes
        The file that the old table was read from without a mistake.
    new : Table
        Its rows stand where the old ones do (`TableLine.row`).
    unit : str or None
        Of bare cells, as `hull.units` says.

    Returns
    -------
    bytes
    """
    text = raw.removeprefix(BOM).decode("utf-8")
    end = "\r\n" if "\r\n" in text else "\n"
    rows = text.replace("\r\n", "\n").replace("\r", "\n").split("\n")
    lines = {line.row: line for line in new.lines}
    cells = {n: next(csv.reader([row])) for n, row in enumerate(rows, 1) if n in lines or _is_position(row)}
    like = finest([c.strip() for row in cells.values() for c in row[3:] if c.strip()], unit)

    def number(old: str, value: float | None, of_line: bool = False) -> str:
        """of_line: which waterline or buttock it is, a step finer: what a level line is off by counts
        many times where it crosses a flat bottom."""
        if value is None:
            return old
        own = like is None or _other_notation(old, like)
        bare = old.strip() if like is None or own else finer(like) if of_line else like
        return _kept(old, bare, value, unit)

    for n, row in cells.items():
        line = lines.get(n)
        values = new.stations if line is None else line.values
        rows[n - 1] = _joined(_row(row, line, values, number))
    return (BOM if raw.startswith(BOM) else b"") + end.join(rows).encode("utf-8")


def _is_position(row: str) -> bool:
    return row.split(",")[0].strip().lower() == "position"


def _other_notation(cell: str, like: str) -> bool:
    """Whether a cell carries a unit of its own beside bare ones."""
    return any(c.isalpha() or c in "'\"" for c in cell) or ("-" in cell.strip()[1:-1]) != ("-" in like[1:-1])


def _kept(old: str, like: str, value: float, unit: str | None) -> str:
    """The old cell where it says that value, else the value in the notation of the finest."""
    same = written_like(old.strip(), value, "length", unit)
    if same == old.strip():
        return old
    made = str(written_like(like, value, "length", unit))
    return made.removesuffix(".0")


def _row(
    cells: Sequence[str],
    line: TableLine | None,
    values: Sequence[float | None],
    number: Callable[..., str],
) -> list[str]:
    made = [*cells]
    if line is not None and line.at is not None:
        if line.angle is None:
            made[2] = number(cells[2], line.at, of_line=True)
        else:
            made[2] = f"{number(cells[2].partition('/')[0], line.at, True)}/{degrees(line.angle):.6f}".rstrip(
                "0"
            ).rstrip(".")
    for i, value in enumerate(values):
        made[3 + i] = number(cells[3 + i], value)
    return made


def _joined(cells: Sequence[str]) -> str:
    out = io.StringIO()
    csv.writer(out, lineterminator="").writerow(cells)
    return out.getvalue()
