"""[[case]]: loads by name, each with its own people, seats and gear."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Any

from hullview.boat import values as v
from hullview.boat.hull_keys import GEAR, PADDLER
from hullview.boat.key_table import Key, KeyTable, listed
from hullview.boat.ledger import Ledger, shown
from hullview.boat.loading import EITHER
from hullview.boat.people import Case, Gear, Load, Paddler, named_seats
from hullview.boat.where import Path
from hullview.errors import did_you_mean

FREE = "free"
"""`seat = "free"`: the seat nearest to level trim, either way round."""
_OWN, _SEATED = "paddler with a place of their own", "paddler in a seat of the boat"
_PLACE = ("posture", "seat_back", "seat_height", "side", "seat_depth")


def _kind(given: Mapping[str, Any]) -> str:
    return _OWN if "seat_back" in given else _SEATED


SITTER = KeyTable(
    "a paddler of a case",
    (
        Key("seat", v.text(), only=(_SEATED,)),
        *(
            replace(key, only=(_OWN,) if key.name in _PLACE else (), needed=key.name == "mass")
            for key in PADDLER.keys
        ),
    ),
    _kind,
)
CASE = KeyTable(
    "case",
    (
        Key("name", v.text(), needed=True),
        Key("seat", v.text()),
        Key("paddler", listed(SITTER), needed=True),
        Key("gear", listed(GEAR)),
    ),
)


def cases(
    ledger: Ledger, entries: Sequence[tuple[Path, dict[str, Any]]], seats: Sequence[Paddler]
) -> tuple[Case, ...]:
    """The cases of a file; who has no place of their own takes a seat of the boat.

    Parameters
    ----------
    ledger : Ledger
        Is told what is wrong.
    entries : sequence
        The sound entries by path.
    seats : sequence of Paddler
        Of the boat, with who sits there by the file's own load.

    Returns
    -------
    tuple of Case
    """
    made: list[Case] = []
    for path, found in entries:
        if any(case.name == found["name"] for case in made):
            ledger.wrong(
                (*path, "name"), shown(found["name"]), "two cases have this name", "Give each its own."
            )
            continue
        load = _load(ledger, path, found, seats)
        if load is not None:
            made.append(Case(found["name"], load))
    return tuple(made)


def _load(ledger: Ledger, path: Path, found: dict[str, Any], seats: Sequence[Paddler]) -> Load | None:
    people, gear = [dict(p) for p in found["paddler"]], tuple(_gear(g) for g in found.get("gear", ()))
    if "seat" in found:
        if len(people) > 1 or "seat" in people[0] or "seat_back" in people[0]:
            ledger.wrong((*path, "seat"), shown(found["seat"]), "is of one who is aboard alone", _MEND)
            return None
        people[0]["seat"] = found["seat"]
    alone = len(people) == 1
    if (
        alone
        and "seat_back" not in people[0]
        and people[0].get("seat", FREE if len(seats) > 1 else "") == FREE
    ):
        if not seats:
            _no_seat(ledger, (*path, "paddler", 0), 0)
            return None
        faces = people[0].get("faces")
        return Load((_in(seats[0], people[0]),), gear, (faces,) if faces else EITHER)
    sitters, taken = [], set[str]()
    for i, one in enumerate(people):
        sitter = _sitter(ledger, (*path, "paddler", i), one, seats, taken)
        if sitter is None:
            return None
        sitters.append(sitter)
    return Load(tuple(sitters), gear)


_MEND = "Give each [[case.paddler]] its seat."


def _gear(found: dict[str, Any]) -> Gear:
    at = found["at"] if len(found["at"]) == 3 else (*found["at"], None)
    return Gear(**(found | {"at": at}))


def _sitter(
    ledger: Ledger, path: Path, one: dict[str, Any], seats: Sequence[Paddler], taken: set[str]
) -> Paddler | None:
    """One who is aboard: in a place of their own, in a seat by name, or in the next that nobody has."""
    if "seat_back" in one:
        return Paddler(**one)
    known = named_seats(seats)
    name = one.get("seat")
    if name == FREE:
        ledger.wrong((*path, "seat"), shown(name), "is of one who is aboard alone", _MEND)
        return None
    if name is None:
        name = next((n for n in known if n not in taken), None)
        if name is None:
            _no_seat(ledger, path, len(seats))
            return None
    elif name not in known:
        mend = did_you_mean(name, [*known, FREE]) if known else "The boat has no [[load.paddler]]."
        ledger.wrong((*path, "seat"), shown(name), "is no seat of this boat", mend)
        return None
    if name in taken:
        ledger.wrong((*path, "seat"), shown(name), "two cannot sit there", "Name another seat.")
        return None
    taken.add(name)
    return _in(known[name], one)


def _no_seat(ledger: Ledger, path: Path, seats: int) -> None:
    count = "1 seat" if seats == 1 else f"{seats} seats"
    allowed = f"has no seat: the boat has {count}, one for each [[load.paddler]]"
    ledger.wrong(path, "", allowed, "Give a posture and a seat_back.")


def _in(seat: Paddler, one: dict[str, Any]) -> Paddler:
    """Somebody in a seat: the seat's place and posture, their own body."""
    body = {k: value for k, value in one.items() if k not in ("seat", "faces")}
    sitter = replace(seat, **({"stature": None} | body))
    return sitter.facing(one["faces"]) if "faces" in one else sitter
