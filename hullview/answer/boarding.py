"""Getting in, somebody at the rim, and getting back in from deep water: how far it heels, what is left,
does it ship water."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from hullview.afloat.equilibrium import is_capsized, rest
from hullview.afloat.settle import Passed
from hullview.afloat.water import GRAVITY
from hullview.answer.conditions import LIKELY, Craft
from hullview.answer.overside import rim_beside
from hullview.arrays import Array
from hullview.weight.mass import Mass, total

HIP = 0.200
"""One hip this far off the centre line [m]: sitting down on one side first."""
HAND = 250.0
"""Pull of a hand at the rim [N] (common practice, no source)."""
LYING = 0.10
"""Centre of a body lying across the deck, above what it lies on [m] (from memory)."""


@dataclass(frozen=True)
class Boarding:
    """One way of coming aboard. state "afloat", "ships water" (a rim is under where the boat would come to
    rest), "goes over" (it capsizes, past 60 degrees) or "sinks". mass: the load of this case [kg] at `at`
    (3,) [m]. heel, trim [rad] and height left to the lowest rim [m] where it stays afloat; height None where
    nothing lets water in."""

    name: str
    state: str
    mass: float
    at: Array
    heel: float | None = None
    trim: float | None = None
    height: float | None = None

    @property
    def ships_water(self) -> bool:
        """Before it comes to rest; one that goes over does so on the way."""
        return self.state != "afloat"


def boarding(craft: Craft) -> tuple[Boarding, ...]:
    """One hip 200 mm off the centre line; a hand's 250 N at the rim, paddlers aboard and not; the first
    paddler across the rim with nobody seated. All covers are off: nobody climbs in through one."""
    boat = craft.boat
    paddlers = boat.load.paddlers
    if not paddlers:
        return ()
    first, others = paddlers[0], paddlers[1:]
    empty, crewed = craft.load((), LIKELY), craft.load(paddlers, LIKELY)
    seated = craft.load((first,), LIKELY)
    seat = (seated.mass * seated.centre - empty.mass * empty.centre) / (seated.mass - empty.mass)
    rest_of_them = craft.load(others, LIKELY) if others else empty
    rim = rim_beside(craft.hull, float(seat[0]))
    hand = HAND / GRAVITY
    return (
        _case(craft, "sitting down on one hip", rest_of_them, first.mass, seat + np.array([0.0, HIP, 0.0])),
        _case(craft, "a hand at the rim, paddler aboard", crewed, hand, rim),
        _case(craft, "a hand at the rim, nobody aboard", empty, hand, rim),
        _case(craft, "back in from deep water", empty, first.mass, rim + np.array([0.0, 0.0, LYING])),
    )


def _case(craft: Craft, name: str, base: Mass, mass: float, at: Array) -> Boarding:
    load = total((base, Mass(mass, at)))

    def over(n: Array) -> bool:
        return bool(n[2] < 0)

    try:
        lying = rest(craft.body, load.mass, load.centre, craft.density, judge_upright=False, stop=over)
    except Passed:
        return Boarding(name, "goes over", mass, at)
    if lying.normal is None or lying.offset is None:
        return Boarding(name, "sinks", mass, at)
    if is_capsized(lying):
        return Boarding(name, "goes over", mass, at)
    height = _height(craft, lying.normal, lying.offset)
    if height is not None and height <= 0:
        return Boarding(name, "ships water", mass, at)
    return Boarding(name, "afloat", mass, at, lying.heel, lying.trim, height)


def _height(craft: Craft, normal: Array, offset: float) -> float | None:
    """To the lowest rim, covers off: nobody climbs through a spray deck."""
    points = [line.points for line in craft.hull.flooding]
    return min((float((p @ normal).min()) - offset for p in points), default=None)
