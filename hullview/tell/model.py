"""What a telling is made of: quantities, sentences, tables, sections.

A result is told once, here, in SI with the kind of each quantity beside it; the writers of `show` turn it into text, HTML, JSON,
CSV or a DataFrame, and each quantity into the builder's unit by its kind. A teller knows no format, a writer knows no physics.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any, ClassVar, Literal

from hullview.tell.kinds import KINDS

Mark = Literal["", "pass", "warn", "fail"]
Units = Literal["metric", "imperial"]


@dataclass(frozen=True)
class Q:
    """One quantity.

    Parameters
    ----------
    kind : str
        A key of `KINDS`: says the SI unit of the value, how many figures are shown, and what a builder in inches reads.
    value : float, int, str, bool, tuple or None
        In SI, angles in radians. None where there is no figure; two are a range, three are low, likely and high.
    key : str
        Path of the value in JSON, dots between ("floating.draft_m"), or "" for one that stands there under another key already.
    both : bool
        Whether the other kind of unit stands beside, where the kind has another and there is room.
    note : str
        A mark behind the figure, explained in a note of the table ("past flooding").
    """

    kind: str
    value: Any
    key: str = ""
    both: bool = True
    note: str = ""

    def __post_init__(self) -> None:
        if self.kind not in KINDS:
            raise KeyError(f"no kind of quantity {self.kind!r}")


@dataclass(frozen=True)
class Say:
    """A sentence or a label: words and quantities in order. key: where the whole of it stands in JSON, in metric words, or ""."""

    parts: tuple[str | Q, ...]
    key: str = ""

    def __bool__(self) -> bool:
        return any(isinstance(p, Q) or p for p in self.parts)

    def __add__(self, other: Say | str) -> Say:
        return Say(self.parts + (other.parts if isinstance(other, Say) else (other,)), self.key)

    @property
    def quantities(self) -> tuple[Q, ...]:
        return tuple(p for p in self.parts if isinstance(p, Q))


Words = str | Q | Say
"""Whatever can be said."""


def say(*parts: Words | None, key: str = "") -> Say:
    """A sentence from words, quantities and other sentences, in order; nothing for what is None or empty.

    >>> say("draft ", Q("length", 0.116)).parts
    ('draft ', Q(kind='length', value=0.116, key='', both=True, note=''))
    """
    flat: list[str | Q] = []
    for part in parts:
        if isinstance(part, Say):
            flat += part.parts
        elif part is not None and part != "":
            flat.append(part)
    return Say(tuple(flat), key)


def listed(items: Sequence[Words], between: str = ", ", last: str | None = None) -> Say:
    """Items with words between them.

    >>> listed(["a", "b", "c"], last=" and ").parts
    ('a', ', ', 'b', ' and ', 'c')
    """
    parts: list[Words] = []
    for i, item in enumerate(items):
        if i:
            parts.append(last if last is not None and i == len(items) - 1 else between)
        parts.append(item)
    return say(*parts)


@dataclass(frozen=True)
class Line:
    """A paragraph. mark: its colour by meaning; hang: further lines are indented; strong: told with weight; apart: after a gap.

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
        Of its values in JSON and CSV, with the SI unit as suffix ("draft_m"); "" for a column that people alone read.
    title : Words
        What a person reads at its head.
    kind : str
        Kind of quantity of its values; a cell may also be a `Say` or a `Q` of another kind.
    both : bool
        Whether the other kind of unit stands beside, where there is room.
    wrap : bool
        Whether a narrow page may break its words over lines; one column of a table at most.
    hidden : bool
        Whether only programs read it (JSON, CSV, DataFrame): what people read elsewhere in the row, or a vector.
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
        Path of its list of records in JSON; "" for a table that says for people what stands in JSON elsewhere.
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
        Whether figures stand in rows and what they belong to in columns: such a table breaks between columns where the page is narrow.
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
    """Curves over one axis, as a plot in characters shows them; the page draws them itself, programs read the table.

    kind: of the ordinates; x (k,): degrees; y: (k,) of each curve; dots_from: |x| past which a curve turns into dots, or None.
    """

    MARKS: ClassVar[str] = "*o+x#"
    kind: str
    x: tuple[float, ...]
    y: tuple[tuple[float, ...], ...]
    dots_from: tuple[float | None, ...]
    short: bool = True
    full: bool = True


@dataclass(frozen=True)
class Data:
    """What only programs read: a plain value, a `Q`, or nested mappings and lists of them, SI, at a path of the JSON."""

    key: str
    value: Any


Block = Line | Facts | Table | Curves | Data


@dataclass(frozen=True)
class Section:
    """Blocks under one heading. key: by which the page puts charts beside it; path: before every JSON key in it."""

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
        Keys of the tables that make its CSV and its DataFrame, one below the other; the first table with a key where empty.
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
