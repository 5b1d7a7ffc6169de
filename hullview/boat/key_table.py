"""One kind of table of boat.toml: its keys, how each is read, for which kind of entry it means something."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

from hullview.boat.ledger import Ledger, shown
from hullview.boat.values import Reader, one_of
from hullview.boat.where import Path

Kinds = tuple[str, ...]


@dataclass(frozen=True)
class Key:
    """One key. name: in the file. field: in the model, if it differs.

    only: kinds of its table for which it means something (all, if empty). needed: True, or the kinds that
    need it.
    """

    name: str
    read: Reader
    field: str = ""
    only: Kinds = ()
    needed: bool | Kinds = False


@dataclass(frozen=True)
class KeyTable:
    """One kind of table: its keys, what each entry is called in messages, and how its kind is told (None:
    one kind)."""

    what: str
    keys: tuple[Key, ...]
    kind: Callable[[Mapping[str, Any]], str] | None = None

    @property
    def names(self) -> tuple[str, ...]:
        return tuple(k.name for k in self.keys)


def fill(ledger: Ledger, path: Path, given: object, table: KeyTable) -> dict[str, Any] | None:
    """Read one table by its keys: the values by field of the model, or None if anything is wrong with it."""
    if not isinstance(given, dict):
        ledger.wrong(path, shown(given), f"must be a table of {one_of(table.names[:4])}, ...")
        return None
    before = len(ledger.mistakes)
    for name in given:
        if name not in table.names:
            ledger.unknown((*path, name), table.names)
    kind = table.kind(given) if table.kind else ""
    # Where the kind itself is wrong or missing, that is the mistake; what belongs to which kind cannot be
    # said.
    unsure = table.kind is not None and not kind
    found: dict[str, Any] = {}
    for key in table.keys:
        here = (*path, key.name)
        if key.name not in given:
            if key.needed is True or (isinstance(key.needed, tuple) and kind in key.needed):
                of = f" of {_a(kind)}" if kind and key.needed is not True else ""
                ledger.wrong(here, "", f"is missing{of}", f"Add it: {key.read.says}.")
            continue
        if key.only and kind not in key.only and not unsure:
            of = _a(kind) if kind else "this"
            mend = f"Leave it out; it belongs to {one_of([_a(k) for k in key.only])}."
            ledger.wrong(here, shown(given[key.name]), f"does nothing for {of}", mend)
            continue
        value = key.read(ledger, here, given[key.name])
        found[key.field or key.name] = value
    sound = len(ledger.mistakes) == before and not any(value is None for value in found.values())
    return found if sound else None


def _a(kind: str) -> str:
    """The kind with its article; planking and water have none."""
    if kind.endswith("planking") or kind.startswith("water"):
        return kind
    return f"{'an' if kind[:1] in 'aeiou' else 'a'} {kind}"


def inline(table: KeyTable) -> Reader:
    """A table inside a value: `fairing_loss = { outside = "0.5 mm" }`."""

    def read(ledger: Ledger, path: Path, given: object) -> dict[str, Any] | None:
        return fill(ledger, path, given, table)

    return Reader(read, f"a table of {one_of(table.names)}")


def listed(table: KeyTable) -> Reader:
    """A list of tables inside a table."""

    def read(ledger: Ledger, path: Path, given: object) -> tuple[dict[str, Any], ...] | None:
        if not isinstance(given, list) or not given:
            ledger.wrong(path, shown(given), f"must be a list of {table.what}")
            return None
        found = [fill(ledger, (*path, i), g, table) for i, g in enumerate(given)]
        return None if any(f is None for f in found) else tuple(f for f in found if f is not None)

    return Reader(read, f"a list of {table.what}")
