"""What was read of a boat's folder, written anew: the only writer of boat.toml beside `new_boat`.

Every comment, every blank line and whatever has not changed stay as the builder has them; a number that has
changed is written in its old unit. Only tables of one list that stand apart in the file, with others between,
are put together in their order. The files come as bytes by name, for `files.write_folder` or
`files.write_whole`: there whole or not at all.
"""

from __future__ import annotations

import os
import tempfile
from collections.abc import Callable, Mapping, MutableMapping, Sequence
from dataclasses import dataclass
from pathlib import Path as FilePath
from typing import Any

from hullview.boat import tomlfile
from hullview.boat.files import write_folder
from hullview.boat.model import Boat, Build, End, Gear, Load, Paddler, Piece, Schedule
from hullview.boat.notation import written_like
from hullview.boat.reader import TABLE_LIMIT, TOML_LIMIT, read_boat
from hullview.boat.table_file import table_text
from hullview.errors import BoatFileError, UsageError

TOML = "boat.toml"
_Table = MutableMapping[str, Any]


@dataclass(frozen=True)
class Sources:
    """The files of a boat as they stand: boat.toml, the name of its table and the table's bytes (None for a
    mesh)."""

    toml: bytes
    name: str
    table: bytes | None


def sources(path: str | os.PathLike[str]) -> Sources:
    """The bytes that a boat was read from.

    Parameters
    ----------
    path : path-like
        Of the folder or of the boat.toml in it, which was read without a mistake.

    Returns
    -------
    Sources
    """
    folder, name = tomlfile.find(path)
    raw = tomlfile.bytes_of(folder, name, TOML_LIMIT)
    hull = _parsed(raw).get("hull", {})
    table = str(hull.get("offsets", ""))
    return Sources(raw, table, tomlfile.bytes_of(folder, table, TABLE_LIMIT) if table else None)


def _parsed(raw: bytes) -> Any:
    """The document with its comments.

    Raises
    ------
    UsageError
        It is well formed, yet in a way that cannot be written over.
    """
    import tomlkit
    from tomlkit.exceptions import TOMLKitError

    try:
        return tomlkit.parse(raw.decode("utf-8-sig"))
    except (TOMLKitError, ValueError, RecursionError) as error:
        raise UsageError(f"{TOML}: cannot be written over with its comments kept: {error}.") from error


def files_of(boat: Boat, old: Sources, load_only: bool = False) -> Mapping[str, bytes]:
    """The files of a boat, written over those that it, or one of the same parts, was read from.

    Parameters
    ----------
    boat : Boat
        With the same openings, bulkheads, schedule and rows of the table, by number and order; places, sizes
        and loads may be others.
    old : Sources
    load_only : bool
        Only who and what is aboard, and the water: no part of the boat itself.

    Returns
    -------
    mapping of str to bytes
        By name in the folder.
    """
    import tomlkit
    from tomlkit.exceptions import TOMLKitError

    document = _parsed(old.toml)
    bare = document.get("hull", {}).get("units")
    writer = _Writer(None if bare is None else str(bare))
    try:
        if not load_only:
            writer.boat(document, boat)
        writer.load(document, boat)
        writer.water(document, boat)
    except (LookupError, TypeError, AttributeError, ValueError, TOMLKitError) as error:
        raise UsageError(f"{TOML}: cannot be written over with its comments kept: {error!r}.") from error
    found = {TOML: tomlkit.dumps(document).encode("utf-8")}
    if old.table is not None and boat.hull.table is not None:
        found[old.name] = old.table if load_only else table_text(old.table, boat.hull.table, writer.bare)
    return found


def read_back(files: Mapping[str, bytes]) -> Boat:
    """The boat that a folder of these files would be read as.

    Raises
    ------
    UsageError
        It would not be read at all: what the reader says of it.
    """
    with tempfile.TemporaryDirectory() as made:
        for name, raw in files.items():
            target = FilePath(made) / name
            target.parent.mkdir(parents=True, exist_ok=True)
            target.write_bytes(raw)
        try:
            return read_boat(made)
        except BoatFileError as error:
            raise UsageError(f"written so, its files would be refused:\n{error}") from error


def save(path: str | os.PathLike[str], files: Mapping[str, bytes]) -> None:
    """Write them as a new folder, whole or not at all; one that holds anything else is left alone."""
    write_folder(path, files)


class _Writer:
    """Puts the values of a boat over a document. bare: unit of its bare numbers."""

    def __init__(self, bare: str | None):
        self.bare = bare

    # ---- one value

    def put(self, table: _Table, key: str, value: float | None, kind: str = "length") -> None:
        """A quantity at a key; one that stands for a default (None) is left out."""
        if value is not None:
            old = table.get(key)
            new = written_like(old, value, kind, self.bare)
            if old is None or new != old:
                table[key] = new

    def row(self, given: Any, values: Sequence[float | None]) -> None:
        """A list of lengths over an old one of as many."""
        for i, value in enumerate(values):
            if value is not None and i < len(given):
                new = written_like(given[i], value, "length", self.bare)
                if new != given[i]:
                    given[i] = new

    def rows(self, given: Any, points: Sequence[Sequence[float]]) -> None:
        """A list of points over an old one."""
        for old, point in zip(given, points):
            self.row(old, point)

    # ---- the boat itself

    def boat(self, document: Any, boat: Boat) -> None:
        """All that has a place or a size."""
        hull = document["hull"]
        if boat.hull.design_displacement is not None:
            self.put(hull, "design_displacement", round(boat.hull.design_displacement, 1), "mass")
        for name, end in (("bow", boat.hull.bow), ("stern", boat.hull.stern)):
            if name in hull:
                self.end(hull[name], end)
        for old, o in zip(document.get("opening", ()), boat.openings):
            if o.outline is not None:
                self.rows(old["outline"], o.outline)
            else:
                self.put(old, "centre", o.centre)
        for old, h in zip(document.get("hatch", ()), boat.hatches):
            self.put(old, "centre", h.centre)
        for old, b in zip(document.get("bulkhead", ()), boat.bulkheads):
            self.put(old, "position", b.position)
        for old, t in zip(document.get("tank", ()), boat.tanks):
            for key, value in (("from", t.start), ("to", t.end), ("inboard", t.inboard), ("top", t.top)):
                self.put(old, key, value)
        for old, thing in zip(document.get("flotation", ()), boat.flotation):
            self.row(old["at"], thing.at)
        for old, vent in zip(document.get("flooding", ()), boat.flooding):
            self.row(old["at"], vent.at)
        for old, a in zip(document.get("appendage", ()), boat.appendages):
            self.rows(old["outline"], a.outline)
        self.strongback(document, boat)
        self.builds(document, boat.builds)
        for name, entries in (("weighed", boat.weighed), ("afloat", boat.afloat)):
            if name in document and not entries:
                del document[name]  # said of another hull

    def end(self, old: _Table, end: End) -> None:
        if end.profile is not None:
            self.rows(old["profile"], end.profile)
        if "siding" in old:
            self.put(old, "siding", end.siding)

    def strongback(self, document: Any, boat: Boat) -> None:
        old = document.get("forms", {}).get("strongback")
        if old is not None and "at" in old:
            self.put(old, "at", boat.forms.strongback.at)

    def builds(self, document: Any, builds: Sequence[Build]) -> None:
        """The shared schedule is at the head of each build's; its own follows."""
        shared = document.get("schedule", {})
        for build in builds[:1]:
            self.schedule(shared, build.schedule, lambda name: 0)
        own = document.get("builds", {})
        for build in builds:
            if build.name in own:
                self.schedule(own[build.name], build.schedule, lambda name: len(shared.get(name, ())))

    def schedule(self, old: Any, given: Schedule, first: Callable[[str], int]) -> None:
        for entry, run in zip(old.get("run", ()), given.runs[first("run") :]):
            self.put(entry, "from", run.start)
            self.put(entry, "to", run.end)
        for entry, skin in zip(old.get("skin", ()), given.skins[first("skin") :]):
            self.put(entry, "below", skin.below)
        for entry, piece in zip(old.get("piece", ()), given.pieces[first("piece") :]):
            self.piece(entry, piece)

    def piece(self, entry: Any, piece: Piece) -> None:
        if piece.places:
            self.rows(entry["at"], piece.places)
        else:
            self.row(entry["at"][0] if isinstance(entry["at"][0], list) else entry["at"], piece.at)
        if piece.size is not None:
            self.row(entry["size"], piece.size)

    # ---- who and what goes aboard

    def load(self, document: Any, boat: Boat) -> None:
        """The load of the file; where others are aboard than the boat has seats for, the seats alone."""
        import tomlkit

        people = boat.load.paddlers if len(boat.load.paddlers) == len(boat.seats) else boat.seats
        if not (people or boat.load.gear or "load" in document):
            return
        if "load" not in document:
            document["load"] = tomlkit.table(is_super_table=True)
        self.aboard(document["load"], Load(people, boat.load.gear))
        for old, case in zip(document.get("case", ()), boat.cases):
            self.case(old, case.load)

    def aboard(self, group: Any, load: Load) -> None:
        for entry, p in zip(_as_many(group, "paddler", len(load.paddlers)), load.paddlers):
            self.person(entry, p)
        for entry, g in zip(_as_many(group, "gear", len(load.gear)), load.gear):
            self.gear(entry, g)

    def person(self, entry: _Table, p: Paddler) -> None:
        for key, word, default in (("name", p.name, Paddler.name), ("posture", p.posture, Paddler.posture)):
            if word != str(entry.get(key, default)):
                entry[key] = word
        self.put(entry, "mass", p.mass, "mass")
        self.put(entry, "seat_back", p.seat_back)
        self.put(entry, "seat_height", p.seat_height)
        self.put(entry, "stature", p.stature)
        if p.side or "side" in entry:
            self.put(entry, "side", p.side)
        if p.faces != str(entry.get("faces", "bow")):
            entry["faces"] = p.faces
        for key, spans in (("centre_height", p.centre_height), ("centre_forward", p.centre_forward)):
            if spans is not None and key in entry:
                self.row(entry[key], spans)

    def gear(self, entry: _Table, g: Gear) -> None:
        if g.name != str(entry.get("name", Gear.name)):
            entry["name"] = g.name
        if "at" not in entry:
            entry["at"] = ["0 mm"] * (2 if g.at[2] is None else 3)
        self.put(entry, "mass", g.mass, "mass")
        if len(entry["at"]) == 3 and g.at[2] is None:
            del entry["at"][2]
        self.row(entry["at"], g.at)
        if g.roams or "roams" in entry:
            self.put(entry, "roams", g.roams)

    def case(self, old: Any, load: Load) -> None:
        """A case's own places; one who takes a seat of the file goes with that."""
        for entry, p in zip(old.get("paddler", ()), load.paddlers):
            if "seat_back" in entry:
                self.put(entry, "seat_back", p.seat_back)
                if "seat_height" in entry:
                    self.put(entry, "seat_height", p.seat_height)
                if "side" in entry:
                    self.put(entry, "side", p.side)
        for entry, g in zip(old.get("gear", ()), load.gear):
            self.row(entry["at"], g.at)

    def water(self, document: Any, boat: Boat) -> None:
        import tomlkit

        water = boat.water
        if water.kind == "fresh" and "water" not in document:
            return
        if "water" not in document:
            document["water"] = tomlkit.table()
        table = document["water"]
        drop, keep = ("kind", "density") if water.kind == "given" else ("density", "kind")
        if drop in table:
            del table[drop]
        if keep == "kind":
            if table.get("kind") != water.kind and not (
                water.kind == "fresh" and "kind" not in table and len(table)
            ):
                table["kind"] = water.kind
        else:
            self.put(table, "density", water.density, "density")


def _as_many(group: Any, name: str, count: int) -> Any:
    """The tables of a list [[load.gear]], made so many: the last are taken off, empty ones put on."""
    import tomlkit

    if name not in group:
        if not count:
            return []
        group[name] = tomlkit.aot()
    entries = group[name]
    while len(entries) > count:
        del entries[len(entries) - 1]
    while len(entries) < count:
        entries.append(tomlkit.table())
    if not count:
        del group[name]
    return entries
