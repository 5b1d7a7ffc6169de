"""What is wrong in a boat's folder, gathered while it is read, so that all of it comes in one report."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from hullview.boat import quantity
from hullview.boat.model import Table
from hullview.boat.quantity import QuantityError
from hullview.boat.where import Path, show
from hullview.errors import Mistake, did_you_mean

MOST = 200
"""More mistakes than this help nobody; the rest are counted."""


Box = tuple[tuple[float, float], tuple[float, float], tuple[float, float]]
"""Least and greatest aft of the datum, to starboard and up [m]."""


@dataclass
class Ledger:
    """The mistakes and notices of one file, and which kind of unit its writer uses.

    lines: line of each key. bare: unit of bare numbers in lists of points, from `hull.units`; without_unit:
    such numbers where it is not known. box: how far the hull reaches along, across and up, None if that is
    not known. lacks: regions and lines that this boat has none of, with why. lines_known: names of all lines
    a run may follow. names: materials named so far, (path, kind, name), looked up once the shop's own are
    known.
    """

    file: str
    lines: Mapping[Path, int] = field(default_factory=dict)
    bare: str | None = None
    without_unit: list[str] = field(default_factory=list)
    box: Box | None = None
    lacks: Mapping[str, str] = field(default_factory=dict)
    lines_known: tuple[str, ...] = ()
    mistakes: list[Mistake] = field(default_factory=list)
    notices: list[str] = field(default_factory=list)
    names: list[tuple[Path, str, str]] = field(default_factory=list)
    imperial: int = 0
    metric: int = 0

    def place(self, path: Path) -> str:
        """File and line of a key, or of the nearest table around it that stands in the file."""
        for n in range(len(path), 0, -1):
            if path[:n] in self.lines:
                return f"{self.file}:{self.lines[path[:n]]}"
        return f"{self.file}:1"

    def wrong(self, path: Path, given: str, allowed: str, mend: str = "") -> None:
        """Note a mistake; what is read goes on."""
        self.mistakes.append(Mistake(self.place(path), show(path), given, allowed, mend))

    def unknown(self, path: Path, known: tuple[str, ...]) -> None:
        """A key that means nothing here."""
        mend = did_you_mean(str(path[-1]), known) if len(self.mistakes) <= MOST else ""
        self.wrong(path, "", "unknown key", mend)

    def read(self, path: Path, given: object, kind: str, bare: str | None = None) -> float | None:
        """A quantity in SI, or None with the mistake noted."""
        try:
            reading = quantity.read(given, kind, bare)
        except QuantityError as error:
            self.wrong(path, error.given, error.allowed, error.mend)
            return None
        if reading.notice:
            self.notices.append(f"{self.place(path)} {show(path)} = {reading.notice}")
        self.imperial += reading.imperial is True
        self.metric += reading.imperial is False
        return reading.value


@dataclass
class TableReading:
    """What came of a table: the table (None if it is wrong), mistakes, notices, and how many cells are of
    which unit.

    bare: places of cells with no unit where `hull.units` gives none.
    """

    file: str = "offsets.csv"
    table: Table | None = None
    mistakes: list[Mistake] = field(default_factory=list)
    notices: list[str] = field(default_factory=list)
    imperial: int = 0
    metric: int = 0
    bare: list[str] = field(default_factory=list)
    headings: list[str] = field(default_factory=list)
    noted: set[tuple[int, int | None]] = field(default_factory=set)

    def wrong(
        self, row: int, key: str, given: str, allowed: str, mend: str = "", column: int | None = None
    ) -> None:
        sentences = "".join(c if c.isprintable() else "?" for c in key)
        self.mistakes.append(Mistake(self.place(row, column), sentences, given, allowed, mend))
        self.noted.add((row, column))

    def place(self, row: int, column: int | None = None) -> str:
        return f"{self.file} row {row}" + (f" column {column}" if column else "")

    def station(self, index: int) -> str:
        name = self.headings[index] if index < len(self.headings) else ""
        return f"at station {shown(name)[1:-1]}" if name else "at a station without a name"


def shown(given: object) -> str:
    """What a builder wrote, short enough for one line of a message."""
    if isinstance(given, bool):
        return "true" if given else "false"
    if isinstance(given, str):
        text = "".join(c if c.isprintable() else "?" for c in given[:60])
        return f'"{text}"' + ("..." if len(given) > 60 else "")
    if isinstance(given, list):
        inner = ", ".join(shown(g) for g in given[:4]) + (", ..." if len(given) > 4 else "")
        return f"[{inner}]" if len(inner) < 80 else f"a list of {len(given)}"
    if isinstance(given, dict):
        return "a table"
    if isinstance(given, int) and abs(given) >= 10**18:
        return "a huge number"
    return str(given)[:60]
