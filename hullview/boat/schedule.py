"""How a boat is built: `[schedule]` and `[builds]` -> builds, each with its whole schedule."""

from __future__ import annotations

from typing import Any

from hullview.boat import agree, keys
from hullview.boat.key_table import Key, KeyTable, fill
from hullview.boat.ledger import Ledger, shown
from hullview.boat.model import Build, Piece, Planking, Run, Schedule, Skin
from hullview.boat.values import Reader
from hullview.boat.where import Path, show

UNNAMED = "schedule"
"""Name of the one build of a file without `[builds]`."""

Entries = list[tuple[Path, dict[str, Any]]]
Planks = list[tuple[Path, Planking]]

MOST_ENTRIES = 1000
"""Tables of one kind in a boat file; more are no boat's."""


def entries(ledger: Ledger, path: Path, given: object, sheet: KeyTable) -> Entries:
    """The sound entries of a list of tables, each with its path; the others are noted."""
    if given is None:
        return []
    if not isinstance(given, list):
        ledger.wrong(path, shown(given), "must be a list of tables", f"Write [[{show(path)}]] above each.")
        return []
    if len(given) > MOST_ENTRIES:
        ledger.wrong(path, shown(given), f"has {len(given)} entries; at most {MOST_ENTRIES}")
        return []
    found = [((*path, i), fill(ledger, (*path, i), g, sheet)) for i, g in enumerate(given)]
    return [(p, f) for p, f in found if f is not None]


def builds(ledger: Ledger, document: dict[str, Any], decked: bool) -> tuple[Build, ...]:
    """Every way of building the boat, first the first in the file."""
    shared, planks = _schedule(ledger, ("schedule",), document.get("schedule", {}), decked)
    given = document.get("builds", {})
    if not isinstance(given, dict):
        ledger.wrong(("builds",), shown(given), "must be tables by name", "Write [builds.clamped-sheer].")
        return ()
    agree.twice(ledger, planks)
    if not given:
        return (Build(UNNAMED, shared),) if shared != Schedule() else ()
    before = len(ledger.mistakes)
    found = []
    for name, own in given.items():
        path: Path = ("builds", name)
        _name(ledger, path, name, list(given))
        if not isinstance(own, dict):
            ledger.wrong(path, shown(own), "must be a table", f"Write [{show(path)}].")
            continue
        facts = fill(ledger, path, own, _BUILD) or {}
        extra, more = _schedule(ledger, path, {k: v for k, v in own.items() if k in keys.SCHEDULE}, decked)
        agree.twice(ledger, [*planks, *more] if more else [])
        found.append(Build(name, shared + extra, facts.get("hours"), facts.get("note", "")))
    empty = len(ledger.mistakes) == before and all(b.schedule == Schedule() for b in found)
    if empty:
        ledger.wrong(("builds",), "", "no build has anything in it", "Add planking, skins, runs or pieces.")
    return tuple(found)


# A build's own planking, skins, runs and pieces are read beside this sheet; it must still know them by name.
_LATER = Reader(lambda *_: (), "a list of tables")
_BUILD = KeyTable("build", (*keys.BUILD.keys, *(Key(name, _LATER) for name in keys.SCHEDULE)))


def _name(ledger: Ledger, path: Path, name: str, names: list[str]) -> None:
    """A build is called for on the command line by its name, so it must be one that can be told from
    others."""
    folded = [n.casefold().strip() for n in names[: names.index(name)]]
    if name.casefold().strip() in folded:
        twin = names[folded.index(name.casefold().strip())]
        ledger.wrong(
            path,
            "",
            f"differs from the build {shown(twin)} only in capitals or spaces",
            "Give it its own name.",
        )
    if not name.strip() or len(name) > 100 or not name.isprintable():
        ledger.wrong(path, "", "must have a name of 1 to 100 characters that can be printed")


def _schedule(ledger: Ledger, path: Path, given: object, decked: bool) -> tuple[Schedule, Planks]:
    """One schedule, and its planking with paths."""
    if not isinstance(given, dict):
        ledger.wrong(path, shown(given), "must hold [[schedule.planking]], skin, run and piece")
        return Schedule(), []
    for name in given:
        if name not in keys.SCHEDULE:
            ledger.unknown((*path, name), tuple(keys.SCHEDULE))
    parts = {
        name: entries(ledger, (*path, name), given.get(name), sheet) for name, sheet in keys.SCHEDULE.items()
    }
    for here, found in parts["planking"]:
        agree.planking(ledger, here, found)
    for here, found in parts["skin"]:
        agree.skin(ledger, here, found)
    for here, found in parts["run"]:
        agree.spans(ledger, here, found.get("start"), found.get("end"))
        if found["kind"] == "fillet" and found["along"] == "sheer" and not decked:
            ledger.wrong(here, "", "an open boat's sheer has no corner to fill", "Leave the fillet out.")
    planks = [(here, Planking(**found)) for here, found in parts["planking"] if "where" in found]
    whole = Schedule(
        tuple(p for _, p in planks),
        tuple(Skin(**found) for _, found in parts["skin"]),
        tuple(Run(**found) for _, found in parts["run"]),
        tuple(Piece(**agree.piece(ledger, here, found)) for here, found in parts["piece"]),
    )
    return whole, planks
