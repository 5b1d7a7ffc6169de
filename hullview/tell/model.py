"""What a telling is made of: quantities, sentences, tables, sections.

A result is told once, here, in SI with the kind of each quantity beside it; the writers of `show` turn it
into text, HTML, JSON, CSV or a DataFrame, and each quantity into the builder's unit by its kind. A teller
knows no format, a writer knows no physics.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from typing import Any, ClassVar, Literal

from hullview.kinds import KINDS
from hullview.sentence import Q, Say, Words, listed, say

__all__ = [
    "Block",
    "Column",
    "Curves",
    "Data",
    "Facts",
    "Line",
    "Mark",
    "Q",
    "Say",
    "Section",
    "Table",
    "Telling",
    "Units",
    "Words",
    "joined_path",
    "listed",
    "say",
]

Mark = Literal["", "pass", "warn", "fail"]
Units = Literal["metric", "imperial"]


@dataclass(frozen=True)
class Line:
    """A paragraph. mark: its colour by meaning; hang: further lines are indented; strong: told with weight;
    apart: after a gap.

    short, full: whether it stands in a command's short text and in its full text (and the page).
    """

    words: Say
    mark: Mark = ""
    hang: bool = False
    strong: bool = False
    apart: bool = False
    short: bool = True
    full: bool = True


@dataclass(frozen=True)
class Facts:
    """Names and what they are, a line each."""

    rows: tuple[tuple[Words, Say], ...]
    title: str = ""
    short: bool = True
    full: bool = True


@dataclass(frozen=True)
class Column:
    """A column of a table.

    Parameters
    ----------
    key : str
        Of its values in JSON and CSV, with the SI unit as suffix ("draft_m"); "" for a column that people
        alone read.
    title : Words
        What a person reads at its head.
    kind : str
        Kind of quantity of its values; a cell may also be a `Say` or a `Q` of another kind.
    both : bool
        Whether the other kind of unit stands beside, where there is room.
    wrap : bool
        Whether a narrow page may break its words over lines; one column of a table at most.
    hidden : bool
        Whether only programs read it (JSON, CSV, DataFrame): what people read elsewhere in the row, or a
        vector.
    """

    key: str
    title: Words
    kind: str = "words"
    both: bool = False
    wrap: bool = False
    hidden: bool = False

    def __post_init__(self) -> None:
        if self.kind not in KINDS:
            raise KeyError(f"no kind of quantity {self.kind!r}")


@dataclass(frozen=True)
class Table:
    """A table: columns, and rows of SI values in their order.

    Parameters
    ----------
    key : str
        Path of its list of records in JSON; "" for a table that says for people what stands in JSON
        elsewhere.
    title : Words
        Its caption.
    columns : tuple of Column
    rows : tuple of tuples
        A value of the column's kind, None, a `Q`, or a `Say` for a cell in words.
    marks : tuple of Mark
        One a row, or none at all. A mark colours the cell of the `marked` column.
    marked : str
        Key of the column that a mark colours; the first column where empty.
    notes : tuple of Say
        One a row, printed below it, or none at all.
    foot : tuple of Say
        Paragraphs below the table.
    total : bool
        Whether the last row sums the others up.
    sideways : bool
        Whether figures stand in rows and what they belong to in columns: such a table breaks between columns
        where the page is narrow.
    """

    key: str
    title: Words
    columns: tuple[Column, ...]
    rows: tuple[tuple[Any, ...], ...]
    marks: tuple[Mark, ...] = ()
    marked: str = ""
    notes: tuple[Say, ...] = ()
    foot: tuple[Say, ...] = ()
    total: bool = False
    sideways: bool = False
    short: bool = True
    full: bool = True

    def __post_init__(self) -> None:
        for row in self.rows:
            if len(row) != len(self.columns):
                raise ValueError(
                    f"a row of {len(row)} cells in a table of {len(self.columns)} columns: {row}"
                )


@dataclass(frozen=True)
class Curves:
    """Curves over one axis, as a plot in characters shows them; the page draws them itself, programs read the
    table.

    kind: of the ordinates; x (k,): degrees; y: (k,) of each curve; dots_from: |x| past which a curve turns
    into dots, or None; names: of the curves.
    """

    MARKS: ClassVar[str] = "*o+x#%@&"
    kind: str
    x: tuple[float, ...]
    y: tuple[tuple[float, ...], ...]
    dots_from: tuple[float | None, ...]
    names: tuple[str, ...] = ()
    short: bool = True
    full: bool = True


@dataclass(frozen=True)
class Data:
    """What only programs read: a plain value, a `Q`, or nested mappings and lists of them, SI, at a path
    of the JSON."""

    key: str
    value: Any


Block = Line | Facts | Table | Curves | Data


@dataclass(frozen=True)
class Section:
    """Blocks under one heading. key: by which the page puts charts beside it; path: before every JSON key
    in it."""

    key: str
    title: str
    blocks: tuple[Block, ...]
    path: str = ""


@dataclass(frozen=True)
class Telling:
    """One result, told.

    Parameters
    ----------
    sections : tuple of Section
    units : {"metric", "imperial"}
        What kind of unit the builder writes.
    csv : tuple of str
        Keys of the tables that make its CSV and its DataFrame, one below the other; the first table with a
        key where empty.
    """

    sections: tuple[Section, ...]
    units: Units = "metric"
    csv: tuple[str, ...] = ()
    record: Mapping[str, Any] = field(default_factory=dict)
    """Plain data for the head of the JSON object, before all sections."""

    def section(self, key: str) -> Section:
        """The section of that key.

        Raises
        ------
        KeyError
            Where there is none.
        """
        found = next((s for s in self.sections if s.key == key), None)
        if found is None:
            raise KeyError(f"no section {key!r}: {', '.join(s.key for s in self.sections)}")
        return found

    def __add__(self, other: Telling) -> Telling:
        """Both, one after the other, in the units of the first."""
        return Telling(
            self.sections + other.sections,
            self.units,
            self.csv + other.csv,
            {**self.record, **other.record},
        )

    def tables(self) -> Iterator[tuple[str, Table]]:
        """Every table with a key, by its whole path."""
        for section in self.sections:
            for block in section.blocks:
                if isinstance(block, Table) and block.key:
                    yield joined_path(section.path, block.key), block


def joined_path(*keys: str) -> str:
    """Parts of a path in JSON with dots between.

    >>> joined_path("floating", "", "draft_m")
    'floating.draft_m'
    """
    return ".".join(k for k in keys if k)
