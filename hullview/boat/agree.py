"""What the parts of a boat's file owe to each other: names of regions and lines, kinds of boat, builds, places on board."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any

from hullview.boat.ledger import Ledger, shown
from hullview.boat.model import HullForm, Opening, Planking, Run
from hullview.boat.values import one_of
from hullview.boat.where import Path
from hullview.errors import did_you_mean

ASIDE = 0.5
"""A rudder or a bag may lie this far past the ends of the hull; further is a slip [m]."""

SKINS = ("hull outside", "hull inside", "deck outside", "deck inside", "transom", "transom inside", "bulkheads", "bottom")
BOUNDED = ("bottom", "hull outside", "hull inside")
"""Skins that a height or a girth may bound; the bottom is the outside of the hull up to one of them."""
LINES = ("sheer", "keel", "bow stem", "stern stem", "coaming", "hatch", "chine", "transom")


def regions(hull: HullForm, bulkheads: int) -> dict[str, str]:
    """Each region of a skin or planking, with why this boat has none of it ("" where she has)."""
    lacks = dict.fromkeys(("hull", *SKINS), "")
    if hull.type == "open":
        lacks |= dict.fromkeys(("deck outside", "deck inside", "deck"), "an open boat has no deck")
    else:
        lacks["deck"] = ""
    if not (hull.bow.transom or hull.stern.transom) and hull.table is not None:
        lacks |= dict.fromkeys(("transom", "transom inside"), "she has no transom")
    if not bulkheads:
        lacks["bulkheads"] = "she has no [[bulkhead]]"
    return lacks


def lines(hull: HullForm, openings: int, hatches: int) -> dict[str, str]:
    """Each line that a run may follow, with why this boat has none of it ("" where she has)."""
    lacks = dict.fromkeys(LINES, "")
    lacks |= {f"coaming {i}": "" for i in range(1, openings + 1)} | {f"hatch {i}": "" for i in range(1, hatches + 1)}
    if not openings:
        lacks["coaming"] = "she has no [[opening]]"
    if not hatches:
        lacks["hatch"] = "she has no [[hatch]]"
    if hull.table is None:
        return lacks
    if hull.bow.transom:
        lacks["bow stem"] = "her bow is a transom"
    if hull.stern.transom:
        lacks["stern stem"] = "her stern is a transom"
    if not (hull.bow.transom or hull.stern.transom):
        lacks["transom"] = "she has no transom"
    if not hull.table.chines:
        lacks["chine"] = "her table has no chine"
    return lacks | dict.fromkeys(hull.table.chines, "")


def named(ledger: Ledger, path: Path, name: str, known: dict[str, str], allowed: Iterable[str]) -> bool:
    """Whether a region or line is known and is there; else the mistake is noted."""
    allowed = tuple(allowed)
    if name not in allowed:
        hint = did_you_mean(name, allowed)
        ledger.wrong(path, shown(name), f"must be {one_of(allowed)}", hint if hint.startswith("Did") else "")
        return False
    if known[name]:
        ledger.wrong(path, shown(name), f"does nothing: {known[name]}", "Leave this entry out.")
        return False
    return True


def skin(ledger: Ledger, path: Path, found: dict[str, Any], known: dict[str, str]) -> None:
    """A skin has cloth, coats of resin or a coating, and only the hull's has a bound."""
    if not named(ledger, (*path, "where"), found["where"], known, SKINS):
        return
    bounds = [k for k in ("below", "girth") if k in found]
    if found["where"] == "bottom" and not bounds:
        ledger.wrong(path, "", "the bottom needs below (a height) or girth (from the centre line)", "Add one of them.")
    if found["where"] not in BOUNDED:
        for bound in bounds:
            ledger.wrong((*path, bound), "", f"does nothing here; it bounds the {one_of(BOUNDED)}", "Leave it out.")
    if "coating" in found:
        return
    layers = found.get("layers", 1)
    if layers and "cloth" not in found:
        ledger.wrong((*path, "cloth"), "", "is missing", "Name the cloth, or layers = 0 for a bare face, or a coating.")
    if not layers:
        for key in ("cloth", "overlap"):
            if key in found:
                ledger.wrong((*path, key), "", "does nothing with layers = 0", "Leave it out.")


def planking(ledger: Ledger, path: Path, found: dict[str, Any], known: dict[str, str]) -> None:
    """Planking is of a region or a band of the hull, and some of it is left after fairing."""
    if "where" not in found and "band" not in found:
        ledger.wrong((*path, "where"), "", "is missing: hull, deck or transom; or band", "Add it.")
        return
    name = found.setdefault("where", "hull")
    if not named(ledger, (*path, "where"), name, known, ("hull", "deck", "transom")):
        return
    if "band" in found and name != "hull":
        ledger.wrong((*path, "band"), "", f"does nothing on the {name}; a band is of the hull", "Leave it out.")
    if "band" in found and found["band"][0] == found["band"][1]:
        ledger.wrong((*path, "band"), "", "has no width", "Give two different girths below the sheer.")
    if found.get("kind") == "lapped" and found["strip_width"] < 3 * found.get("lap", Planking.lap):
        ledger.wrong((*path, "strip_width"), "", "must be three laps or more: it is the width of a plank", "Check the unit.")
    loss = found.pop("fairing_loss", {})
    if found.get("kind", "strip") != "strip":
        # Sheets and lapped planks go on as they are; only strips are faired, unless the file says otherwise.
        loss = {"loss_outside": 0.0, "loss_inside": 0.0} | loss
    found |= loss
    if sum(loss.values()) >= found["thickness"]:
        ledger.wrong((*path, "fairing_loss"), "", "takes off the whole thickness", "Check the unit.")


def spans(ledger: Ledger, path: Path, start: float | None, end: float | None) -> None:
    """`to` lies aft of `from`."""
    if start is not None and end is not None and end <= start:
        ledger.wrong((*path, "to"), "", "must lie aft of from", "Both are measured aft of the bow datum.")


def twice(ledger: Ledger, path: Path, entries: Sequence[tuple[Path, Any]]) -> None:
    """No region is planked twice in one build, and nothing stands in it word for word twice."""
    seen: dict[str, Path] = {}
    for here, plank in entries:
        if plank.band is None and plank.where in seen:
            first = ledger.place(seen[plank.where])
            mend = "Give each build its own, or a band to one of them."
            ledger.wrong(here, "", f"the {plank.where} is planked already, at {first}", mend)
        elif plank.band is None:
            seen[plank.where] = here


def on_board(ledger: Ledger, path: Path, x: float | None, span: tuple[float, float] | None, aside: float = ASIDE) -> bool:
    """A place aft of the datum lies on the boat, or close past her ends."""
    if x is None or span is None or span[0] - aside <= x <= span[1] + aside:
        return True
    allowed = f"lies off the boat, which runs from {span[0]:.3g} m to {span[1]:.3g} m aft of the datum"
    ledger.wrong(path, f"{x:.4g} m", allowed, "Check the unit.")
    return False


def opening(ledger: Ledger, path: Path, rim: Opening, span: tuple[float, float] | None) -> None:
    """An opening lies between the ends."""
    if span and not (span[0] < rim.centre - rim.length / 2 and rim.centre + rim.length / 2 < span[1]):
        allowed = f"reaches past the boat, which runs from {span[0]:.3g} m to {span[1]:.3g} m aft of the datum"
        ledger.wrong(path, "", allowed, "Check its centre and length.")


def run(ledger: Ledger, path: Path, found: Run, known: dict[str, str], span: tuple[float, float] | None, decked: bool) -> None:
    """A run follows a line that she has, within her length."""
    if named(ledger, (*path, "along"), found.along, known, tuple(known)):
        if found.kind == "fillet" and found.along == "sheer" and not decked:
            ledger.wrong(path, "", "an open boat's sheer has no corner to fill", "Leave the fillet out.")
        spans(ledger, path, found.start, found.end)
        for key, x in (("from", found.start), ("to", found.end)):
            on_board(ledger, (*path, key), x, span)


def ends(ledger: Ledger, hull: HullForm) -> None:
    """Where the table has no keel or rabbet at an end, only a profile can close the hull there."""
    table = hull.table
    if table is None:
        return
    centre = table.find("height", "keel") or table.find("height", "rabbet")
    assert centre is not None, "the table reader asks for one of them"
    there = [i for i, value in enumerate(centre.values) if value is not None]
    for end, name, missing in (
        (hull.bow, "bow", range(there[0])),
        (hull.stern, "stern", range(there[-1] + 1, len(table.stations))),
    ):
        path = ("hull", name, "profile")
        if end.transom and missing:
            column = table.column_names[missing[0]]
            allowed = f"the table has no {centre.name} height at station {column}, where the transom is"
            ledger.wrong(("hull", name, "transom"), "true", allowed, "Fill in the cell of the table.")
            continue
        if end.profile is None and missing:
            column = table.column_names[missing[0]]
            mend = f"Add [hull.{name}] with its profile, or the {centre.name}'s height at station {column}."
            ledger.wrong(path, "", f"is missing, and the table has no {centre.name} height at station {column}", mend)
        if end.profile is None:
            continue
        heights, reach = [z for _, z in end.profile], [x for x, _ in end.profile]
        if heights[0] <= heights[-1]:
            ledger.wrong(path, "", "must run from the sheer down to the keel line", "Turn the order of its points round.")
        for i in missing:
            inside = (min(reach), max(reach))[1] >= table.stations[i] if name == "bow" else min(reach) <= table.stations[i]
            if not inside:
                key = f"the {centre.name} has no height at station {table.column_names[i]}, and the profile does not reach it"
                ledger.wrong(path, "", key, "Fill in the cell of the table, or lengthen the profile.")
