"""What the parts of a boat's file owe to each other: regions and lines that the boat has, ends that close,
planking that is left."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from hullview.boat.build_keys import LINES
from hullview.boat.ledger import Box, Ledger, shown
from hullview.boat.model import Build, End, HullForm, Opening, Planking, Table
from hullview.boat.readings import STAGES_ON_FORMS
from hullview.boat.values import ASIDE, on_board, one_of
from hullview.boat.where import Path
from hullview.errors import did_you_mean

LEAST_SIZE = 0.005
"""No appendage is smaller either way [m]."""
BOUNDED = ("bottom", "hull outside", "hull inside")
"""Skins that a height or a girth may bound; the bottom is the outside of the hull up to one of them."""


def what_it_has(ledger: Ledger, hull: HullForm | None, openings: int, hatches: int, bulkheads: int) -> None:
    """Tell the ledger the lines a run may follow, and which regions and lines this boat lacks, with the
    reason."""
    rings = [f"coaming {i + 1}" for i in range(openings)] + [f"hatch {i + 1}" for i in range(hatches)]
    table = hull.table if hull else None
    chines = table.chines if table else tuple(f"chine {i}" for i in range(1, 7))
    ledger.lines_known = tuple(dict.fromkeys((*LINES, *rings, *chines)))
    lacks = {}
    if not openings:
        lacks["coaming"] = "the boat has no [[opening]]"
    if not hatches:
        lacks["hatch"] = "the boat has no [[hatch]]"
    if not bulkheads:
        lacks["bulkheads"] = "the boat has no [[bulkhead]]"
    if hull and hull.type == "open":
        lacks |= dict.fromkeys(("deck outside", "deck inside", "deck"), "an open boat has no deck")
    if hull and table:
        lacks |= _ends_it_lacks(hull)
        if not chines:
            lacks["chine"] = "its table has no chine"
    ledger.lacks = lacks


def _ends_it_lacks(hull: HullForm) -> dict[str, str]:
    lacks = {}
    if hull.bow.transom:
        lacks["bow stem"] = "the bow is a transom"
    if hull.stern.transom:
        lacks["stern stem"] = "the stern is a transom"
    if not (hull.bow.transom or hull.stern.transom):
        lacks |= dict.fromkeys(("transom", "transom inside"), "the boat has no transom")
    return lacks


def skin(ledger: Ledger, path: Path, found: dict[str, Any]) -> None:
    """A skin has cloth, coats of resin or a coating, and only the hull's has a bound."""
    bounds = [k for k in ("below", "girth") if k in found]
    if found["where"] == "bottom" and not bounds:
        ledger.wrong(
            path, "", "the bottom needs below (a height) or girth (from the centre line)", "Add one of them."
        )
    if found["where"] not in BOUNDED:
        for bound in bounds:
            ledger.wrong(
                (*path, bound), "", f"does nothing here; it bounds the {one_of(BOUNDED)}", "Leave it out."
            )
    if "coating" in found:
        return
    layers = found.get("layers", 1)
    if layers and "cloth" not in found:
        ledger.wrong(
            (*path, "cloth"), "", "is missing", "Name the cloth, or layers = 0 for a bare face, or a coating."
        )
    if layers:
        return
    for key in ("cloth", "overlap"):
        if key in found:
            ledger.wrong((*path, key), "", "does nothing with layers = 0", "Leave it out.")
    if found.get("seal_coat") is False and not found.get("fill_coats"):
        ledger.wrong(
            path, "", "does nothing: no cloth, no seal coat and no fill coats", "Leave this entry out."
        )


def planking(ledger: Ledger, path: Path, found: dict[str, Any]) -> None:
    """Planking is of a region or a band of the hull, and some of it is left after fairing."""
    if "where" not in found and "band" not in found:
        ledger.wrong((*path, "where"), "", "is missing: hull, deck or transom; or band", "Add it.")
        return
    name = found.setdefault("where", "hull")
    if "band" in found and name != "hull":
        ledger.wrong(
            (*path, "band"), "", f"does nothing on the {name}; a band is of the hull", "Leave it out."
        )
    if "band" in found and found["band"][0] == found["band"][1]:
        ledger.wrong((*path, "band"), "", "has no width", "Give two different girths below the sheer.")
    if found.get("kind") == "lapped" and found["strip_width"] < 3 * found.get("lap", Planking.lap):
        ledger.wrong(
            (*path, "strip_width"),
            "",
            "must be three laps or more: it is the width of a plank",
            "Check the unit.",
        )
    loss = found.pop("fairing_loss", {})
    if found.get("kind", "strip") != "strip":
        # Sheets and lapped planks go on as they are; only strips are faired, unless the file says otherwise.
        loss = {"loss_outside": 0.0, "loss_inside": 0.0} | loss
    found |= loss
    lost = found.get("loss_outside", Planking.loss_outside) + found.get("loss_inside", Planking.loss_inside)
    if lost >= found["thickness"]:
        allowed = f"fairing takes off {lost * 1000:.3g} mm, which leaves nothing of it"
        ledger.wrong((*path, "thickness"), "", allowed, "Check the unit, or give fairing_loss.")


def piece(ledger: Ledger, path: Path, found: dict[str, Any]) -> dict[str, Any]:
    """The fields of a piece: one place for all of them, or a place for each, as many as `count` says."""
    places = found["places"]
    if len(places) == 1:
        return {**found, "at": places[0], "places": ()}
    if found.setdefault("count", len(places)) != len(places):
        ledger.wrong(
            (*path, "count"),
            shown(found["count"]),
            f"does not agree with the {len(places)} places of `at`",
            "Give a place for each, or leave count out.",
        )
    middle = tuple(sum(p[i] for p in places) / len(places) for i in range(3))
    return {**found, "at": middle}


def limits(ledger: Ledger, hull: HullForm | None, given: Mapping[str, float]) -> None:
    """A limit that nothing of this boat is held against would do nothing."""
    for key in given:
        if hull and key in ("over_design", "under_design") and hull.design_displacement is None:
            ledger.wrong(
                ("limits", key),
                "",
                "does nothing without the plan's displacement",
                "Give design_displacement in [hull], or leave it out.",
            )
        if hull and key in ("draft_solo", "draft_tandem") and hull.type == "decked":
            ledger.wrong(("limits", key), "", "does nothing: it is for open canoes", "Leave it out.")
    if {"trim", "trim_stern", "trim_bow"} <= given.keys():
        ledger.wrong(
            ("limits", "trim"), "", "does nothing beside trim_stern and trim_bow", "Leave one of them out."
        )


def spans(ledger: Ledger, path: Path, start: float | None, end: float | None) -> None:
    """`to` lies aft of `from`."""
    if start is not None and end is not None and end <= start:
        ledger.wrong((*path, "to"), "", "must lie aft of from", "Both are measured aft of the bow datum.")


def twice(ledger: Ledger, entries: Sequence[tuple[Path, Planking]]) -> None:
    """No region is planked twice in one build."""
    seen: dict[str, Path] = {}
    for here, plank in entries:
        if plank.band is None and plank.where in seen:
            mend = "Give each build its own, or a band to one of them."
            ledger.wrong(
                here, "", f"the {plank.where} is planked already, at {ledger.place(seen[plank.where])}", mend
            )
        elif plank.band is None:
            seen[plank.where] = here


def weighed(ledger: Ledger, path: Path, found: dict[str, Any]) -> None:
    """A reading on the forms: at a stage when they are still in, with their own mass, which is less than
    the whole."""
    forms = found.get("forms_mass")
    if found.get("on_forms") and forms is None:
        ledger.wrong(
            (*path, "forms_mass"), "", "is missing of a hull weighed on its forms", "Weigh the forms too."
        )
    if forms is not None and not found.get("on_forms"):
        ledger.wrong((*path, "forms_mass"), "", "does nothing without on_forms", "Write on_forms = true.")
    if found.get("on_forms") and found["stage"] not in STAGES_ON_FORMS:
        allowed = (
            f"does nothing at the stage {shown(found['stage'])}: the forms come out before a hull is glassed"
            " inside"
        )
        ledger.wrong((*path, "on_forms"), "true", allowed, "Leave it out, or check the stage.")
    if forms is not None and forms >= found["mass"]:
        allowed = f"must be less than the {found['mass']:g} kg that hull and forms weigh together"
        ledger.wrong((*path, "forms_mass"), f"{forms:g} kg", allowed, "Check both.")


def builds_named(ledger: Ledger, builds: Sequence[Build], given: Mapping[str, object]) -> None:
    """What was weighed or measured is a build of this boat; given: the tables as they stand in the file,
    sound or not."""
    names = [b.name for b in builds]
    for key, entries in given.items():
        for i, entry in enumerate(entries if isinstance(entries, list) else ()):
            name = entry.get("build") if isinstance(entry, dict) else None
            if isinstance(name, str) and name not in names:
                what = "is no build of this boat"
                ledger.wrong((key, i, "build"), shown(name), what, did_you_mean(name[:80], names))
            elif not builds and not ledger.mistakes:
                ledger.wrong(
                    (key, i), "", "says nothing of a boat that has no schedule", "Add how it is built."
                )


def opening(ledger: Ledger, path: Path, rim: Opening) -> None:
    """An opening lies between the ends."""
    if ledger.box is None:
        return
    low, high = ledger.box[0]
    if not (low < rim.centre - rim.length / 2 and rim.centre + rim.length / 2 < high):
        allowed = f"reaches past the boat, which runs from {low:.3g} m to {high:.3g} m aft of the datum"
        ledger.wrong(path, "", allowed, "Check its centre and length.")


def box_of(hull: HullForm) -> Box | None:
    """How far a hull reaches along, across and up, as far as its table and profiles or its mesh say."""
    if hull.mesh is not None:
        vertices = hull.mesh[0]
        low, high = vertices.min(axis=0), vertices.max(axis=0)
        return tuple((float(a), float(b)) for a, b in zip(low, high))  # type: ignore[return-value]
    if hull.table is None:
        return None
    (x0, x1), (_, half), (z0, z1) = _table_box(hull.table)
    points = [p for end in (hull.bow, hull.stern) for p in end.profile or ()]
    along, up = [x0, x1, *(x for x, _ in points)], [z0, z1, *(z for _, z in points)]
    return (min(along), max(along)), (-half, half), (min(up), max(up))


def _table_box(table: Table) -> Box:
    heights = [v for r in table.lines if r.measure == "height" for v in r.values if v is not None]
    half = max(
        v
        for r in table.lines
        if r.name == "sheer" and r.measure == "half-breadth"
        for v in r.values
        if v is not None
    )
    return (table.stations[0], table.stations[-1]), (-half, half), (min(heights), max(heights))


def appendage(ledger: Ledger, path: Path, outline: Sequence[tuple[float, float]]) -> None:
    """A skeg or an outer keel is a part of this boat, and no speck: bare numbers are in the unit of the
    table."""
    long, deep = (max(v) - min(v) for v in zip(*outline))
    if long < LEAST_SIZE or deep < LEAST_SIZE:
        allowed = f"encloses {long * 1000:.3g} mm by {deep * 1000:.3g} mm"
        ledger.wrong(
            (*path, "outline"), "", allowed, "Check the unit: bare numbers are in that of the table."
        )
        return
    for i, point in enumerate(outline):
        for value, axis in zip(point, (0, 2)):
            if not on_board(ledger, (*path, "outline", i), f"{value:.3g} m", value, axis, (ASIDE, ASIDE)):
                return


def ends(ledger: Ledger, hull: HullForm) -> None:
    """Where the table has no keel or rabbet at an end, only a profile can close the hull there."""
    table = hull.table
    if table is None:
        return
    centre = table.find("height", "keel") or table.find("height", "rabbet")
    assert centre is not None, "the table reader asks for one of them"
    there = [i for i, value in enumerate(centre.values) if value is not None]
    _end(ledger, hull.bow, "bow", table, centre.name, list(range(there[0])))
    _end(ledger, hull.stern, "stern", table, centre.name, list(range(there[-1] + 1, len(table.stations))))


def _near(ledger: Ledger, path: Path, end: End, table: Table, line: str) -> None:
    """A profile lies about the end that it draws: no point further out than half the boat's length, or
    than its depth above or below."""
    sheer, keel = table.find("height", "sheer"), table.find("height", line)
    assert end.profile is not None and sheer is not None and keel is not None, (
        "the table reader asks for both"
    )
    top, low = (of(v for v in row.values if v is not None) for of, row in ((max, sheer), (min, keel)))
    fore, after = table.stations[0], table.stations[-1]
    for i, (x, z) in enumerate(end.profile):
        if not fore - (after - fore) / 2 <= x <= after + (after - fore) / 2:
            allowed = (
                f"lies {x:.3g} m aft of the datum, and the stations run from {fore:.3g} m to {after:.3g} m"
            )
        elif not low - (top - low) <= z <= top + (top - low):
            allowed = f"lies at a height of {z:.3g} m, and the table runs from {low:.3g} m to {top:.3g} m"
        else:
            continue
        ledger.wrong((*path, i), "", allowed, "Check this point and its unit.")


def _end(ledger: Ledger, end: End, name: str, table: Table, line: str, missing: list[int]) -> None:
    """One end; `missing` are the stations there that have no height of the keel line."""
    path: Path = ("hull", name, "profile")
    columns = [table.column(i) for i in missing]
    if end.transom and missing:
        allowed = f"the table has no {line} height at station {columns[0]}, where the transom is"
        ledger.wrong(("hull", name, "transom"), "true", allowed, "Fill in the cell of the table.")
    elif end.profile is None and missing:
        mend = f"Add [hull.{name}] with its profile, or the {line}'s height at station {columns[0]}."
        ledger.wrong(
            path, "", f"is missing, and the table has no {line} height at station {columns[0]}", mend
        )
    if end.profile is None:
        return
    if end.profile[0][1] <= end.profile[-1][1]:
        ledger.wrong(
            path, "", "must run from the sheer down to the keel line", "Turn the order of its points round."
        )
    _near(ledger, path, end, table, line)
    _at_the_sheer(ledger, path, end, table)
    reach = [x for x, _ in end.profile]
    for i, column in zip(missing, columns):
        x = table.stations[i]
        if not end.transom and (x > max(reach) if name == "bow" else x < min(reach)):
            allowed = f"the {line} has no height at station {column}, and the profile does not reach it"
            ledger.wrong(path, "", allowed, "Fill in the cell of the table, or lengthen the profile.")


APART = 0.010
"""Where the profile begins at the end station, it begins at the sheer given there, but for this much [m]."""


def _at_the_sheer(ledger: Ledger, path: Path, end: End, table: Table) -> None:
    """A stem's profile begins at the sheer, where the table says its height at the same place."""
    sheer = table.find("height", "sheer")
    assert end.profile is not None and sheer is not None, "the table reader asks for it"
    at = 0 if path[1] == "bow" else -1
    (x, z), top = end.profile[0], sheer.values[at]
    if not end.transom and top is not None and abs(x - table.stations[at]) < 1e-3 and abs(z - top) > APART:
        allowed = (
            f"begins {z * 1000:.0f} mm up; the sheer at station {table.column(at)} is {top * 1000:.0f} mm up"
        )
        ledger.wrong((*path, 0), "", allowed, "Make the two agree: the profile runs down from the sheer.")
