"""A sentence with quantities in it: words, and SI values with their kinds, so that any room can say a thing
and a writer turns the units.

A room that knows a result says it so; `tell` puts sentences into sections and tables; the writers of `show`
know the builder's unit.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from hullview.kinds import KINDS


@dataclass(frozen=True)
class Q:
    """One quantity.

    Parameters
    ----------
    kind : str
        A key of `KINDS`: says the SI unit of the value, how many figures are shown, and what a builder in
        inches reads.
    value : float, int, str, bool, tuple or None
        In SI, angles in radians. None where there is no figure; two are a range, three are low, likely and
        high.
    key : str
        Path of the value in JSON, dots between ("floating.draft_m"), or "" for one that stands there under
        another key already.
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
    """A sentence or a label: words and quantities in order. key: where the whole of it stands in JSON, in
    metric words, or ""."""

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
