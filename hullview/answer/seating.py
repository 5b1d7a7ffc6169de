"""A lone paddler in a boat of several seats takes the one nearest to level trim, either way round."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace

from hullview.afloat.equilibrium import is_capsized, rest
from hullview.answer.checks import TRIM_REMARK
from hullview.answer.conditions import LIKELY, Craft, waterline_length
from hullview.answer.limits import trim_passes
from hullview.boat.model import Paddler, Way
from hullview.weight.total import weigh


@dataclass(frozen=True)
class Tried:
    """One seat, one way round: its name in the boat's file, and the trim [m] over the waterline, by the stern
    positive; None where the boat does not float there."""

    seat: str
    faces: Way
    seat_back: float
    trim: float | None
    passes: bool


@dataclass(frozen=True)
class Seating:
    """The seat that was taken: whose it is in the boat's file and which way it is sat in. turned: not the way
    the file has it. none_passes: no seat passes on trim. tried: all of them, in the order of the file."""

    seat: str
    faces: Way
    turned: bool
    none_passes: bool
    tried: tuple[Tried, ...]

    @property
    def words(self) -> str:
        """In which seat, for the first line of an answer: "as stern paddler, facing bow"."""
        return f"as {self.seat}, facing {self.faces}"


def seated(craft: Craft) -> Craft:
    """The craft with its lone paddler in the seat nearest to level trim, if the load says that any seat will
    do.

    Every seat of the boat's file is tried facing each of the ways the load allows, at likely figures.
    """
    load = craft.boat.load
    if not load.free or not load.paddlers:
        return craft
    found = [(_tried(craft, one), one) for one in _candidates(craft, load.paddlers[0], load.free)]
    if not found:
        return replace(craft, boat=craft.boat.with_load(asked=load.asked))
    best, paddler = min(found, key=lambda f: math.inf if f[0].trim is None else abs(f[0].trim))
    seating = Seating(
        best.seat,
        best.faces,
        best.faces != craft.boat.named_seats[best.seat].faces,
        not any(t.passes for t, _ in found),
        tuple(t for t, _ in found),
    )
    boat = craft.boat.with_load(paddlers=(paddler,), asked=load.asked)
    weight = craft.weight
    if getattr(weight, "usually_also", ()) and not boat.afloat:
        weight = weigh(boat, craft.hull, weight.build)  # what is only allowed for goes where the paddler sits
    return replace(craft, boat=boat, weighed=weight, seating=seating)


def _candidates(craft: Craft, person: Paddler, ways: tuple[Way, ...]) -> Iterator[Paddler]:
    """The person in each seat, each way round, as far as that is on the boat."""
    low, high = float(craft.hull.sheer[:, 0].min()), float(craft.hull.sheer[:, 0].max())
    for seat in craft.boat.named_seats.values():
        for way in (seat.faces, *(w for w in ways if w != seat.faces)):
            one = replace(seat, mass=person.mass, stature=person.stature).facing(way)
            if way in ways and low < one.seat_back + one.ahead * one.reaches[1] < high:
                yield one


def _tried(craft: Craft, one: Paddler) -> Tried:
    load = craft.load((one,), LIKELY)
    lying = rest(craft.body, load.mass, load.centre, craft.density, judge_upright=False)
    if lying.normal is None or lying.offset is None or lying.trim is None or is_capsized(lying):
        return Tried(one.name, one.faces, one.seat_back, None, False)
    waterline = waterline_length(craft.body, lying.normal, lying.offset)
    trim = waterline * math.tan(lying.trim)
    most = TRIM_REMARK * trim_passes(craft.boat, trim, waterline)[0]
    return Tried(one.name, one.faces, one.seat_back, trim, abs(trim) <= most)
