"""A boat's folder -> `Boat`: the only reader of a builder's files. All mistakes of the folder come in one
report."""

from __future__ import annotations

import hashlib
import os
import re
from dataclasses import replace
from pathlib import Path as FilePath
from typing import Any

from hullview.boat import agree, hull_keys, keys, schedule, tomlfile
from hullview.boat.cases import cases
from hullview.boat.files import Unreadable, inside, read_limited
from hullview.boat.form_settings import FormSettings, Strongback
from hullview.boat.key_table import KeyTable, fill
from hullview.boat.ledger import MOST, Ledger, TableReading, shown
from hullview.boat.model import (
    AfloatEntry,
    Appendage,
    Boat,
    Bulkhead,
    Consumable,
    End,
    FloodingPoint,
    Flotation,
    Gear,
    Hatch,
    HullForm,
    Load,
    Opening,
    Order,
    Paddler,
    Shop,
    Tank,
    Water,
)
from hullview.boat.names import look_up, shop_materials
from hullview.boat.offsets import read_offsets
from hullview.boat.readings import FreeboardReading, Inclining, WeighedStage
from hullview.boat.tomlfile import Document
from hullview.boat.values import one_of
from hullview.boat.where import Path
from hullview.errors import BoatFileError, HullviewError, Mistake

TOML_LIMIT, TABLE_LIMIT, MESH_LIMIT = 1_000_000, 8_000_000, 1_000_000_000
"""Sizes in bytes past which a file is not what it is said to be."""


def read_boat(path: str | os.PathLike[str]) -> Boat:
    """Read a boat from its folder.

    Parameters
    ----------
    path : path-like
        Of the folder, or of the boat.toml in it.

    Returns
    -------
    Boat
        In SI units, with a checksum of its files.

    Raises
    ------
    BoatFileError
        Lists every mistake with its file, row or key, what is allowed, and how to mend it.
    """
    folder, name = tomlfile.find(path)
    ledger = Ledger(name)
    raw = tomlfile.bytes_of(folder, name, TOML_LIMIT)
    written = tomlfile.parse(raw, ledger)
    table_bytes, table = _table(folder, written, ledger)
    boat = _boat(written, table, folder, ledger)
    mistakes = _in_order(ledger, table)
    if mistakes or boat is None:
        raise BoatFileError(mistakes)
    checksum = hashlib.sha256(raw + b"\0" + table_bytes).hexdigest()
    return _with_facts(boat, ledger, table, str(folder), checksum)


def _table(folder: FilePath, document: Document, ledger: Ledger) -> tuple[bytes, TableReading]:
    """The table of offsets or the bytes of the mesh file that `[hull]` names, read as far as it goes."""
    hull = document.get("hull")
    name = None
    if isinstance(hull, dict):
        key = "offsets" if "offsets" in hull else "mesh"
        name = hull.get(key)
    if not isinstance(hull, dict) or not isinstance(name, str):
        return b"", TableReading()
    path: Path = ("hull", key)
    try:
        raw = read_limited(inside(folder, name), TABLE_LIMIT if key == "offsets" else MESH_LIMIT)
    except Unreadable as error:
        ledger.wrong(path, shown(name), error.allowed, error.mend)
        return b"", TableReading(name)
    if key == "mesh":
        return raw, TableReading(name)
    unit = hull.get("units")
    known = isinstance(unit, str) and unit in hull_keys.UNITS
    return raw, read_offsets(raw, unit if known else None, shown(name)[1:-1])


def _in_order(ledger: Ledger, table: TableReading) -> list[Mistake]:
    """All mistakes: boat.toml by line, then the table by row; past a good many, how many more there are."""

    def line(mistake: Mistake) -> int:
        digits = mistake.place.rpartition(":")[2]
        return int(digits) if digits.isdigit() else 0

    found = sorted(ledger.mistakes, key=line) + sorted(table.mistakes, key=_row)
    if len(found) > MOST:
        rest = Mistake(ledger.file, "and", "", f"{len(found) - MOST} more mistakes", "Mend these first.")
        found = [*found[:MOST], rest]
    return found


def _row(mistake: Mistake) -> tuple[int, int]:
    numbers = re.findall(r" (?:row|column) (\d+)", mistake.place[-40:])
    return (int(numbers[0]) if numbers else 0, int(numbers[1]) if len(numbers) > 1 else 0)


# ---------------------------------------------------------------- the parts of the file


def _boat(document: Document, table: TableReading, folder: FilePath, ledger: Ledger) -> Boat | None:
    """The boat, or None where something it cannot be without is wrong."""
    for name in document:
        if name not in keys.TOP:
            ledger.unknown((name,), keys.TOP)
    plain = fill(ledger, (), {k: v for k, v in document.items() if k in _PLAIN.names}, _PLAIN)
    hull = _hull(document, table, folder, ledger)
    ledger.box = None if hull is None else agree.box_of(hull)
    has = [
        len(given) if isinstance(given := document.get(n), list) else 0
        for n in ("opening", "hatch", "bulkhead")
    ]
    agree.what_it_has(ledger, hull, *has)
    lists = {
        name: schedule.entries(ledger, (name,), document.get(name), sheet)
        for name, sheet in keys.LISTS.items()
    }
    once = {
        name: fill(ledger, (name,), document[name], keys.TABLES[name])
        for name in keys.TABLES
        if name in document
    }
    parts: dict[str, Any] = {
        "openings": _openings(ledger, lists["opening"], hull),
        "hatches": _hatches(ledger, lists["hatch"], hull),
        "bulkheads": tuple(_bulkhead(f) for _, f in lists["bulkhead"]),
        "tanks": _tanks(ledger, lists["tank"]),
        "flotation": tuple(Flotation(**f) for _, f in lists["flotation"]),
        "flooding": tuple(FloodingPoint(**f) for _, f in lists["flooding"]),
        "appendages": _appendages(ledger, lists["appendage"]),
        "load": _load(ledger, document),
        "water": _water(ledger, once.get("water"), document),
        "limits": once.get("limits") or {},
        "order": Order(**(once.get("order") or {})),
        "forms": _forms(once.get("forms") or {}),
        "shop": Shop(**(once.get("shop") or {})),
        "weighed": _weighed(ledger, lists["weighed"]),
        "afloat": tuple(_afloat(ledger, p, f) for p, f in lists["afloat"]),
        "consumables": tuple(Consumable(**f) for _, f in lists["consumable"]),
        "materials": shop_materials(ledger, lists["material"]),
        "builds": schedule.builds(ledger, document, hull is None or hull.type == "decked"),
    }
    agree.builds_named(ledger, parts["builds"], {name: document.get(name) for name in ("weighed", "afloat")})
    parts["seats"] = parts["load"].paddlers
    parts["cases"] = cases(ledger, lists["case"], parts["seats"])
    agree.limits(ledger, hull, parts["limits"])
    look_up(ledger, parts["materials"])
    _units_missing(ledger, table)
    return None if plain is None or hull is None else Boat(hull=hull, **plain, **parts)


_PLAIN = KeyTable("boat", keys.PLAIN)


def _hull(document: Document, table: TableReading, folder: FilePath, ledger: Ledger) -> HullForm | None:
    """What `[hull]` says, with the table or the mesh it names."""
    if "hull" not in document:
        ledger.wrong(("hull",), "", "is missing", "Add [hull] with offsets, units, measured_to and type.")
        return None
    given = document["hull"]
    unit = given.get("units") if isinstance(given, dict) else None
    ledger.bare = unit if isinstance(unit, str) and unit in hull_keys.UNITS else None
    if isinstance(given, dict) and "mesh" in given and "offsets" in given:
        ledger.wrong(
            ("hull", "mesh"),
            shown(given["mesh"]),
            "there are offsets too",
            "Give a table or a mesh, not both.",
        )
        return None
    found = fill(ledger, ("hull",), given, keys.HULL)
    if found is None:
        return None
    mesh = found.pop("mesh", None)
    found.pop("offsets", None)
    unit = found.pop("units", None)
    if mesh is not None:
        return _mesh_hull(found, mesh, unit, folder, ledger)
    bow, stern = (End(**found.pop(name, {})) for name in ("bow", "stern"))
    hull = HullForm(table=table.table, bow=bow, stern=stern, **found)
    if table.table is None:
        return hull
    if table.table.decked != (hull.type == "decked"):
        rows = "has deck rows" if table.table.decked else "has no deck rows"
        mend = "Add rows height,deck to the table." if hull.type == "decked" else "Take out the deck rows."
        ledger.wrong(("hull", "type"), shown(hull.type), f"the table {rows}", f"{mend} Or change the type.")
    agree.ends(ledger, hull)
    return hull


def _units_missing(ledger: Ledger, table: TableReading) -> None:
    """Bare numbers without `hull.units` are one mistake; where that key is wrong, it has been noted
    itself."""
    bare = [*table.bare, *ledger.without_unit]
    if bare and not any(m.key == "hull.units" for m in ledger.mistakes):
        numbers = "1 number has" if len(bare) == 1 else f"{len(bare)} numbers have"
        mend = "Write units = " + one_of([f'"{u}"' for u in hull_keys.UNITS]) + "."
        ledger.wrong(("hull", "units"), "", f"is missing: {numbers} no unit, first {bare[0]}", mend)


def _mesh_hull(
    found: dict[str, Any], mesh: str, unit: str, folder: FilePath, ledger: Ledger
) -> HullForm | None:
    from hullview.boat.meshfile import read_mesh

    if found["measured_to"] == "inside":
        ledger.wrong(
            ("hull", "measured_to"),
            '"inside"',
            "a mesh is taken as the outside of the planking",
            "Write outside.",
        )
    if unit == "ft-in-eighths":
        ledger.wrong(("hull", "units"), shown(unit), "a mesh is in mm, cm, m, in or ft")
        return None
    try:
        path = inside(folder, mesh)
        if not path.is_file():
            return None  # noted when it was opened
        shape = read_mesh(path, unit)
    except HullviewError as error:
        ledger.wrong(("hull", "mesh"), shown(mesh), str(error).rstrip("."))
        return None
    return HullForm(mesh=shape, mesh_file=mesh, **found)


def _openings(ledger: Ledger, entries: schedule.Entries, hull: HullForm | None) -> tuple[Opening, ...]:
    rims = []
    for path, found in entries:
        if hull is not None and hull.type == "open":
            ledger.wrong(
                path, "", "does nothing: an open boat has none", 'Leave it out, or write type = "decked".'
            )
        outline = found.get("outline")
        if outline:
            along = [x for x, _ in outline]
            found |= {"centre": (min(along) + max(along)) / 2, "length": max(along) - min(along)}
            found["width"] = 2 * max(b for _, b in outline)
            if not found["length"] > 0 or not found["width"] > 0:
                ledger.wrong(
                    (*path, "outline"),
                    "",
                    "has no length or no width",
                    "Give points [aft of datum, half-width].",
                )
                continue
        rim = Opening(**found)
        agree.opening(ledger, path, rim)
        rims.append(rim)
    return tuple(rims)


def _hatches(ledger: Ledger, entries: schedule.Entries, hull: HullForm | None) -> tuple[Hatch, ...]:
    for path, found in entries:
        if hull is not None and hull.type == "open":
            ledger.wrong(path, "", "does nothing: an open boat has no deck for it", "Leave it out.")
        agree.opening(ledger, path, Opening(found["centre"], found["length"], found["width"]))
    return tuple(Hatch(**found) for _, found in entries)


def _bulkhead(found: dict[str, Any]) -> Bulkhead:
    """A bulkhead; one of cloth alone is as thick as its layers, which is next to nothing."""
    return Bulkhead(**({"thickness": 0.0} | found))


def _appendages(ledger: Ledger, entries: schedule.Entries) -> tuple[Appendage, ...]:
    for path, found in entries:
        agree.appendage(ledger, path, found["outline"])
    return tuple(Appendage(**found) for _, found in entries)


def _tanks(ledger: Ledger, entries: schedule.Entries) -> tuple[Tank, ...]:
    for path, found in entries:
        agree.spans(ledger, path, found["start"], found["end"])
    return tuple(Tank(**found) for _, found in entries)


def _load(ledger: Ledger, document: Document) -> Load:
    given = document.get("load", {})
    if not isinstance(given, dict):
        ledger.wrong(("load",), shown(given), "must hold [[load.paddler]] and [[load.gear]]")
        return Load()
    for name in given:
        if name not in ("paddler", "gear"):
            ledger.unknown(("load", name), ("paddler", "gear"))
    people = schedule.entries(ledger, ("load", "paddler"), given.get("paddler"), keys.PADDLER)
    things = schedule.entries(ledger, ("load", "gear"), given.get("gear"), keys.GEAR)
    return Load(tuple(Paddler(**f) for _, f in people), tuple(_gear(f) for _, f in things))


def _gear(found: dict[str, Any]) -> Gear:
    """Gear; without a height it lies on the bottom."""
    at = found["at"] if len(found["at"]) == 3 else (*found["at"], None)
    return Gear(**(found | {"at": at}))


def _water(ledger: Ledger, found: dict[str, Any] | None, document: Document) -> Water:
    if document.get("water") == {}:
        ledger.wrong(("water",), "", "says nothing", 'Write kind = "fresh" or "salt", or a density.')
    found = found or {}
    return Water("given", found["density"]) if "density" in found else Water(**found)


def _weighed(ledger: Ledger, entries: schedule.Entries) -> tuple[WeighedStage, ...]:
    """The boat on the scale; what is said of its forms must agree."""
    for path, found in entries:
        agree.weighed(ledger, path, found)
    return tuple(WeighedStage(**found) for _, found in entries)


def _forms(found: dict[str, Any]) -> FormSettings:
    """How the forms are made."""
    return FormSettings(**(found | {"strongback": Strongback(**(found.get("strongback") or {}))}))


def _afloat(ledger: Ledger, path: Path, found: dict[str, Any]) -> AfloatEntry:
    """What was measured on the water; it takes two freeboards, or an inclining, to say anything."""
    boards = tuple(FreeboardReading(**f) for f in found.get("freeboards", ()))
    inclining = tuple(Inclining(**f) for f in found.get("inclining", ()))
    if len({b.position for b in boards}) < 2 and not inclining:
        ledger.wrong(
            path,
            "",
            "needs freeboards at two places or more, or an inclining reading",
            "Add what was measured.",
        )
    load = tuple(_gear(f) for f in found.get("load", ()))
    return AfloatEntry(boards, inclining, load, found.get("note", ""), found.get("build"))


def _with_facts(boat: Boat, ledger: Ledger, table: TableReading, folder: str, checksum: str) -> Boat:
    """The boat with what reading found out besides: notices, units, folder, checksum."""
    imperial, metric = ledger.imperial + table.imperial, ledger.metric + table.metric
    return replace(
        boat,
        notices=(*ledger.notices, *table.notices),
        units_shown="imperial" if imperial > metric else "metric",
        folder=folder,
        checksum=checksum,
    )
