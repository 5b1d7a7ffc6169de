"""How she is built: `[schedule]` and `[builds]` -> builds, each with its whole schedule."""

from __future__ import annotations

from typing import Any

from hullview.boat import agree, keys
from hullview.boat.keys import Sheet, fill
from hullview.boat.ledger import Ledger, shown
from hullview.boat.model import Build, HullForm, Piece, Planking, Run, Schedule, Skin
from hullview.boat.where import Path, show

Span = tuple[float, float] | None
UNNAMED = "schedule"
"""Name of the one build of a file without `[builds]`."""


def entries(ledger: Ledger, path: Path, given: object, sheet: Sheet) -> list[tuple[Path, dict[str, Any]]]:
    """The sound entries of a list of tables, each with its path; the others are noted."""
    if given is None:
        return []
    if not isinstance(given, list):
        ledger.wrong(path, shown(given), "must be a list of tables", f"Write [[{show(path)}]] above each.")
        return []
    found = [((*path, i), fill(ledger, (*path, i), g, sheet)) for i, g in enumerate(given)]
    return [(p, f) for p, f in found if f is not None]


class _Known:
    """The regions and lines that this boat has."""

    def __init__(self, hull: HullForm, counts: tuple[int, int, int], span: Span):
        openings, hatches, bulkheads = counts
        self.regions = agree.regions(hull, bulkheads)
        self.lines = agree.lines(hull, openings, hatches)
        self.span, self.decked = span, hull.type == "decked"


def builds(
    ledger: Ledger, document: dict[str, Any], hull: HullForm, counts: tuple[int, int, int], span: Span
) -> tuple[Build, ...]:
    """Every way of building her. counts: how many openings, hatches and bulkheads she has."""
    known = _Known(hull, counts, span)
    shared, planks = _schedule(ledger, ("schedule",), document.get("schedule", {}), known)
    given = document.get("builds", {})
    if not isinstance(given, dict):
        ledger.wrong(("builds",), shown(given), "must be tables by name", "Write [builds.clamped-sheer].")
        return ()
    agree.twice(ledger, ("schedule",), planks)
    if not given:
        return (Build(UNNAMED, shared),) if shared != Schedule() else ()
    found = []
    for name, own in given.items():
        path: Path = ("builds", name)
        _name(ledger, path, name, list(given))
        if not isinstance(own, dict):
            ledger.wrong(path, shown(own), "must be a table", f"Write [{show(path)}].")
            continue
        facts = fill(ledger, path, {k: v for k, v in own.items() if k not in keys.SCHEDULE}, _BUILD) or {}
        extra, more = _schedule(ledger, path, {k: v for k, v in own.items() if k in keys.SCHEDULE}, known)
        agree.twice(ledger, path, [*planks, *more])
        found.append(Build(name, shared + extra, **facts))
    if found and all(b.schedule == Schedule() for b in found):
        ledger.wrong(("builds",), "", "no build has anything in it", "Add planking, skins, runs or pieces.")
    return tuple(found)


# Of a build's keys only the plain ones are read by this sheet; it must still know the others by name.
_BUILD = Sheet("build", (*keys.BUILD.keys, *(keys.Key(name, lambda *_: None) for name in keys.SCHEDULE)))


def _name(ledger: Ledger, path: Path, name: str, names: list[str]) -> None:
    """A build is called for on the command line by its name, so it must be one that can be told from others."""
    twin = next((n for n in names[: names.index(name)] if n.casefold().strip() == name.casefold().strip()), None)
    if twin is not None:
        ledger.wrong(path, "", f"differs from the build {shown(twin)} only in capitals or spaces", "Give it its own name.")
    if not name.strip() or len(name) > 100 or not name.isprintable():
        ledger.wrong(path, "", "must have a name of 1 to 100 characters that can be printed")


def _schedule(
    ledger: Ledger, path: Path, given: object, known: _Known
) -> tuple[Schedule, list[tuple[Path, Planking]]]:
    """One schedule, and its planking with paths."""
    if not isinstance(given, dict):
        ledger.wrong(path, shown(given), "must hold [[schedule.planking]], skin, run and piece")
        return Schedule(), []
    for name in given:
        if name not in keys.SCHEDULE:
            ledger.unknown((*path, name), tuple(keys.SCHEDULE))
    parts = {name: entries(ledger, (*path, name), given.get(name), sheet) for name, sheet in keys.SCHEDULE.items()}
    before = len(ledger.mistakes)
    for here, found in parts["planking"]:
        agree.planking(ledger, here, found, known.regions)
    for here, found in parts["skin"]:
        agree.skin(ledger, here, found, known.regions)
    runs = [(here, Run(**found)) for here, found in parts["run"]]
    for here, run in runs:
        agree.run(ledger, here, run, known.lines, known.span, known.decked)
    for here, found in parts["piece"]:
        agree.on_board(ledger, (*here, "at"), found["at"][0], known.span)
    if len(ledger.mistakes) > before:
        return Schedule(), []
    planks = [(here, Planking(**found)) for here, found in parts["planking"]]
    whole = Schedule(
        tuple(p for _, p in planks),
        tuple(Skin(**found) for _, found in parts["skin"]),
        tuple(run for _, run in runs),
        tuple(Piece(**found) for _, found in parts["piece"]),
    )
    return whole, planks
