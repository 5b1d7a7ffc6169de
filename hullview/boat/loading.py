"""Who and what goes aboard in place of what the boat's file says: masses, seats, which way round,
statures, gear."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Any, Literal

from hullview.boat.model import Boat, Gear, Load, Paddler, Water, Way
from hullview.boat.quantity import QuantityError, read
from hullview.errors import UsageError, did_you_mean

EITHER: tuple[Way, ...] = ("bow", "stern")
NO_GEAR = "none"
KINDS_OF_WATER: tuple[Literal["fresh", "salt"], ...] = ("fresh", "salt")


def gear_of(text: str) -> Gear | None:
    """Gear as it is written: a mass and where it lies, "6 kg @ 2.3 m"; "none" is no gear at all.

    >>> gear_of("6 kg @ 2.3 m").at
    (2.3, 0.0, None)
    """
    if text == NO_GEAR:
        return None
    mass, at, place = text.partition("@")
    parts = [p.strip() for p in place.split(",")]
    if not at or len(parts) not in (1, 3):
        raise UsageError(
            f'{text!r}: write "6 kg @ 2.3 m", or "6 kg @ 2.3 m, 0.1 m, 0.2 m" (aft, starboard, up).'
        )
    try:
        where = [read(p, "length").value for p in parts]
        kilograms = read(mass.strip(), "mass").value
    except QuantityError as wrong:
        raise UsageError(str(wrong)) from wrong
    if not 0 < kilograms <= 2000:
        raise UsageError(f"{mass.strip()}: must be over 0 and at most 2000 kg.")
    on_the_bottom = len(where) == 1
    return Gear(kilograms, (where[0], 0.0, None) if on_the_bottom else (where[0], where[1], where[2]))


def water_of(text: str) -> Water:
    """Water as it is written: "fresh", "salt", or a density.

    >>> water_of("1012 kg/m3").density
    1012.0
    """
    for kind in KINDS_OF_WATER:
        if text == kind:
            return Water(kind)
    try:
        density = read(text, "density").value
    except QuantityError as wrong:
        raise UsageError(f'{text!r}: must be fresh, salt, or a density like "1012 kg/m3".') from wrong
    if not 900 <= density <= 1300:
        raise UsageError(f"{text!r}: no water has that density; 900 to 1300 kg/m3 is taken.")
    return Water("given", density)


def with_load(
    boat: Boat,
    paddler: Sequence[float] = (),
    seat: Sequence[str] = (),
    seat_back: Sequence[float] = (),
    faces: Sequence[Way] = (),
    stature: Sequence[float] = (),
    gear: Sequence[Gear | None] = (),
) -> Boat:
    """The boat with another load; what is left out stays as it is.

    Parameters
    ----------
    paddler : sequence of float
        Masses [kg] of all who are aboard. They take the seats of the file in their order; one alone in a boat
        of several seats takes the best, unless a seat is named.
    seat : sequence of str
        Seats by the name of their paddler in the file.
    seat_back : sequence of float
        Edge of the seat behind the back [m aft of the datum].
    faces : sequence of {"bow", "stern"}
        Which way each sits; the seat stays where it is.
    stature : sequence of float
        How tall each is [m].
    gear : sequence of Gear or None
        In place of the file's gear; None: none at all.

    Raises
    ------
    UsageError
        Where seat, seat_back, faces or stature are not as many as are aboard, and where somebody has no seat.
    """
    if not (paddler or seat or seat_back or faces or stature or gear):
        return boat
    load = boat.load
    count = len(paddler) or len(load.paddlers)
    for option, given in (
        ("--seat", seat),
        ("--seat-back", seat_back),
        ("--faces", faces),
        ("--stature", stature),
    ):
        _once_for_each(option, len(given), count)
    alone = count == 1 and len(boat.seats) > 1 and not seat and not seat_back
    free = alone and (bool(load.free) or (bool(paddler) and not _kept(load)))
    people = []
    for i in range(count):
        one = _in_seat(boat, i, count, seat, seat_back)
        changes: dict[str, Any] = {"mass": _mass(paddler[i])} if paddler else {}
        changes |= {"stature": stature[i]} if stature else {}
        one = replace(one, **changes)
        one = one.facing(faces[i]) if faces else one
        people.append(replace(one, seat_back=seat_back[i]) if seat_back else one)
    if None in gear and len(gear) > 1:
        raise UsageError("--gear none does not go with other gear: leave one of them out.")
    things = tuple(g for g in gear if g is not None) if gear else load.gear
    return boat.with_load(paddlers=tuple(people), gear=things, free=(faces or EITHER) if free else ())


def _kept(load: Load) -> bool:
    """One alone who was put in a seat by name or place: another in place of them sits there too."""
    return load.asked and len(load.paddlers) == 1 and not load.free


def _once_for_each(option: str, given: int, people: int) -> None:
    if given and given != people:
        whom = f"{people} are aboard" if people != 1 else "one is aboard"
        often = "once" if given == 1 else f"{given} times"
        raise UsageError(f"{option} was given {often} and {whom}: give it once for each, in their order.")


def _mass(kilograms: float) -> float:
    if not 0 < kilograms <= 1000:
        raise UsageError(f"--paddler {kilograms:g} kg: must be over 0 and at most 1000 kg.")
    return kilograms


def _in_seat(boat: Boat, i: int, count: int, seat: Sequence[str], seat_back: Sequence[float]) -> Paddler:
    """The seat of the i-th aboard, with whom the file has in it."""
    if seat:
        return _named(boat, seat, i)
    places = boat.load.paddlers if len(boat.load.paddlers) >= count else boat.seats or boat.load.paddlers
    if i < len(places):
        return places[i]
    if seat_back:
        posture = places[0].posture if places else "legs forward"
        return Paddler(1.0, seat_back[i], name=f"paddler {i + 1}", posture=posture)
    seats = "1 seat" if len(places) == 1 else f"{len(places)} seats"
    raise UsageError(
        f"{boat.name} has {seats} in boat.toml and paddler {i + 1} has none: "
        "add a [[load.paddler]] there, or say where with --seat-back, once for each aboard."
    )


def _named(boat: Boat, names: Sequence[str], i: int) -> Paddler:
    name, seats = names[i], boat.named_seats
    if name in names[:i]:
        raise UsageError(f"--seat {name!r} was given twice: two cannot sit there.")
    if not seats:
        raise UsageError(f"--seat {name!r}: {boat.name} has no [[load.paddler]], so no seat has a name.")
    if name not in seats:
        raise UsageError(f"--seat {name!r}: no such seat in {boat.name}. {did_you_mean(name, seats)}")
    return seats[name]
