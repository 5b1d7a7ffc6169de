"""What the water does with one loading, in as few plane cuts as the checks need."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np

from hullview.afloat.equilibrium import (
    CAPSIZED,
    CAPSIZED_AT,
    Rest,
    both_sides,
    height_to_flooding,
    is_capsized,
    rest,
    up,
    upright,
)
from hullview.afloat.flooding import Flooding, flooding, rims
from hullview.afloat.loads import End, Place, Torso, bottom_thickness, loaded
from hullview.afloat.measured import as_measured
from hullview.afloat.settle import Passed
from hullview.answer.checks import Condition
from hullview.answer.limits import is_rowed, lean_shifts, setting
from hullview.answer.overside import farthest_reach
from hullview.answer.statutory import CAPACITY_SHARE, max_displacement
from hullview.arrays import Array
from hullview.boat.model import Boat, Paddler
from hullview.shape.body import Body, plane_basis
from hullview.shape.hull import Hull
from hullview.weight.mass import Mass
from hullview.weight.total import weigh

if TYPE_CHECKING:
    from hullview.answer.seating import Seating
    from hullview.weight.total import Weight


@dataclass(frozen=True)
class Craft:
    """A boat shaped and ready to be weighed and loaded: what stays the same whoever goes aboard.

    Parameters
    ----------
    boat, hull, body
        What its files say, its shape, and its mesh ready to be cut.
    density
        Of the water [kg/m3].
    build
        Name of the build; None: the first of the file.
    weighed
        Its weight, where that is known already; None: made when first asked for.
    seating
        Which seat a lone paddler was given, where one was free to choose.
    """

    boat: Boat
    hull: Hull
    body: Body
    density: float
    build: str | None = None
    weighed: Weight | None = None
    seating: Seating | None = None

    def __repr__(self) -> str:
        return f"<Craft of {self.boat!r}, {len(self.hull.faces)} faces, {self.density:g} kg/m3>"

    @cached_property
    def weight(self) -> Weight:
        """What the build weighs, as measured afloat where it was.

        Raises
        ------
        UsageError
            The boat's file does not say how it is built.
        """
        if self.weighed is not None:
            return self.weighed
        estimated = weigh(self.boat, self.hull, self.build)
        return as_measured(self.boat, self.hull, self.body, estimated, self.density)

    @cached_property
    def thickness(self) -> float:
        """Of the bottom [m]."""
        return bottom_thickness(self.boat, self.weight.build)

    @cached_property
    def rims(self) -> Array:
        """Every point where water comes in, (k, 3) [m]."""
        return rims(self.hull)

    @cached_property
    def even_rims(self) -> bool:
        """Whether water comes in alike on either side; a vent to one side only makes them uneven."""
        here, there = (np.round(self.rims * [1.0, side, 1.0], 7) + 0.0 for side in (1.0, -1.0))
        return bool((here[np.lexsort(here.T)] == there[np.lexsort(there.T)]).all())

    @cached_property
    def sheer(self) -> Array:
        """The sheer on both sides, (k, 3) [m]."""
        return both_sides(self.hull.sheer)

    @cached_property
    def beam(self) -> float:
        """Greatest beam [m]."""
        return float(np.ptp(self.hull.vertices[self.hull.faces.ravel(), 1]))

    @cached_property
    def rowed(self) -> bool:
        """Whether the boat is one that is rowed."""
        return is_rowed(self.boat, self.beam)

    @cached_property
    def max_displacement(self) -> float | None:
        """What the boat displaces level and down to the rim [kg]; None where nothing lets water in."""
        return max_displacement(self.body, self.rims)

    @cached_property
    def ends(self) -> tuple[BadEnd, ...]:
        """Likely, then the bad ends; where something aboard roams, it is at each of them to either side."""
        if not any(gear.roams for gear in self.boat.load.gear):
            return (LIKELY, *BAD_ENDS)
        sides = ((1.0, "starboard"), (-1.0, "port"))
        return (
            LIKELY,
            *(
                replace(end, words=f"{end.words}, what roams to {side}", roamed=way)
                for end in BAD_ENDS
                for way, side in sides
            ),
        )

    def leans(self, paddlers: Sequence[Paddler], end: BadEnd) -> tuple[float, ...]:
        """The shift of each paddler's centre in a lean at that end [m]."""
        return tuple(end.lean * shift for shift in lean_shifts(self.boat, paddlers, self.rowed))

    def load(
        self, paddlers: Sequence[Paddler], end: BadEnd, leaning: float = 0.0, torso: Torso = "rigid"
    ) -> Mass:
        """Everything aboard as one mass at one end of what is not known; leaning: -1 or 1, everyone to
        that side by their limit."""
        leans = [leaning * shift for shift in self.leans(paddlers, end)] if leaning else ()
        return loaded(
            self.weight, self.boat, self.hull, build=end.build, height=end.height, place=end.place,
            leans=leans, roamed=end.roamed, torso=torso, paddlers=paddlers, thickness=self.thickness,
        )  # fmt: skip


@dataclass(frozen=True)
class BadEnd:
    """Which end of the range of build weight, of the paddlers' centre height and of their place on the seat.

    roamed: 1 or -1, what roams is at that side. lean: share of the lean that is asked there.
    """

    words: str
    build: End = "likely"
    height: End = "likely"
    place: Place = "likely"
    roamed: float = 0.0
    lean: float = 1.0


STRIDE = math.radians(3)
"""The walk to rest may step over a rest by this much heel and come back to it."""

CENTRED = 1e-6
"""A load nearer than this to the centre line [m] heels it alike to either side."""

_BUILDS: tuple[tuple[str, End], ...] = (("heavy", "high"), ("light", "low"))
_PLACES: tuple[Place, ...] = ("aft", "forward")
LEAN_AT_BAD_END = 2 / 3
"""Of the lean's shift, where all else is at its worst too (common practice, no source)."""

LIKELY = BadEnd("likely")
BAD_ENDS = tuple(
    BadEnd(f"{words} build, centre high and {place}", build, "high", place, lean=LEAN_AT_BAD_END)
    for words, build in _BUILDS
    for place in _PLACES
)
"""A heavy boat floats deep; a light one leaves the paddler's height and place on the seat more say."""
BAD_END_WORDS = (
    "heavy or light build, paddler's centre high, forward or aft on the seat, whichever is worst; "
    "leaned two thirds as far"
)


@dataclass(frozen=True)
class Loaded:
    """Some paddlers at one end of what is not known, how it lies with them, and what the level checks look
    at."""

    paddlers: tuple[Paddler, ...]
    end: BadEnd
    load: Mass
    lying: Rest
    found: Condition


def level(
    craft: Craft, paddlers: Sequence[Paddler], end: BadEnd = LIKELY, *, start: Rest | None = None
) -> Loaded:
    """How it lies with these paddlers at this end; start: where a like load came to rest, which saves
    cuts."""
    load = craft.load(paddlers, end)
    at = rest(
        craft.body, load.mass, load.centre, craft.density, start=_sunk(start, load.mass), judge_upright=False
    )
    return Loaded(tuple(paddlers), end, load, at, _condition(craft, paddlers, load, at, end.words))


def _sunk(start: Rest | None, mass: float) -> Rest | None:
    """The same rest as deep as another mass [kg] would sink it, by its waterplane: a first guess nearer
    the mark."""
    if start is None or start.offset is None or start.immersed is None or start.immersed.plane_area <= 0:
        return start
    return replace(
        start, offset=start.offset + (mass - start.mass) / (start.density * start.immersed.plane_area)
    )


def _condition(craft: Craft, paddlers: Sequence[Paddler], load: Mass, at: Rest, words: str) -> Condition:
    people = sum(p.mass for p in paddlers)
    carried = people + sum(g.mass for g in craft.boat.load.gear)
    bears = craft.max_displacement if craft.rowed else None
    capacity = None if bears is None else CAPACITY_SHARE * (bears - (load.mass - carried))
    found = Condition(words, load.mass, carried=carried, people=people, capacity=capacity)
    if at.normal is None or at.offset is None or at.immersed is None or at.trim is None:
        return replace(found, state="sinks")
    if is_capsized(at):
        return replace(found, state=CAPSIZED)
    height, _ = height_to_flooding(craft.hull, at.normal, at.offset)
    if height is not None and height <= 0:
        return replace(found, state="floods")
    top = craft.body.volume if height is None else craft.body.immersed(at.normal, at.offset + height).volume
    waterline = waterline_length(craft.body, at.normal, at.offset)
    return replace(
        found,
        trim_length=waterline * math.tan(at.trim),
        waterline=waterline,
        gm=_upright_gm(craft, load, at),
        height_to_flooding=height,
        freeboard=float((craft.sheer @ at.normal).min() - at.offset),
        draft=at.offset - float((craft.hull.vertices @ at.normal).min()),
        reserve=top / at.immersed.volume - 1.0,
        sealed=height is None,
    )


def _upright_gm(craft: Craft, load: Mass, at: Rest) -> float | None:
    """GM with the heel held at nought: where it lolls, GM as it lies is positive again and would hide it."""
    if at.heel is not None and abs(at.heel) < 1e-6:
        return at.gm
    return upright(craft.body, load.mass, load.centre, craft.density, start=at).gm


def waterline_length(body: Body, normal: Array, offset: float) -> float:
    """Length of the hull's waterline along the water's surface, fore and aft, without appendages [m]."""
    along = body.bare.section(normal, offset) @ plane_basis(normal)[0]
    return float(np.ptp(along)) if along.size else 0.0


def heeled(craft: Craft, loaded: Loaded, *, skip_covered: bool = False) -> Condition:
    """The same with the lean, at likely values a reach over the side, and the heel at which water comes in on
    either side.

    The boat is leaned to the side where the load already hangs; a load on the centre line, to the side where
    water comes in first. quick: a reach that shifts the load no further than a lean the boat comes to rest in
    is taken to leave what the lean leaves.
    """
    load, at = loaded.load, loaded.lying
    if loaded.found.state != "afloat":
        return loaded.found
    side = -1.0 if load.centre[1] < 0 else 1.0
    centred = abs(load.centre[1]) < CENTRED
    wet = _wet(craft, load, at, side)
    soonest = _soonest(wet)
    first = wet[soonest]
    side = soonest if centred else side
    leaning = craft.load(loaded.paddlers, loaded.end, side)
    leaned = _leaned(craft, leaning, at, wet[side])
    heel, height = _rim_left(craft, leaned)
    found = replace(
        loaded.found,
        flooding_heel=None if first is None else abs(first.heel),
        lean=max(craft.leans(loaded.paddlers, loaded.end), default=setting(craft.boat, "lean")),
        lean_heel=heel,
        lean_height=height,
        heeled=True,
    )
    if loaded.end != LIKELY:
        return found
    shift = farthest_reach(craft.boat, craft.hull, loaded.paddlers, side) / load.mass
    further = shift > abs(leaning.centre[1] - load.centre[1])
    if further and leaned is None:
        return found
    if further or not skip_covered or heel is None:
        reaching = replace(load, centre=load.centre + np.array([0.0, side * shift, 0.0]))
        reached = _leaned(craft, reaching, at, wet[side], leaned if further else None)
        heel, height = _rim_left(craft, reached)
    return replace(found, reach_heel=heel, reach_height=height)


def _rim_left(craft: Craft, over: Rest | None) -> tuple[float | None, float | None]:
    """Heel [rad] and height left to the rim [m] of a boat that leans; None for both where it heels on or
    over."""
    if over is None or over.normal is None or over.offset is None or is_capsized(over):
        return None, None
    height, _ = height_to_flooding(craft.hull, over.normal, over.offset)
    return abs(over.heel or 0.0), height


def soonest_side(craft: Craft, load: Mass, at: Rest) -> float:
    """The side to which water comes in first, -1 to port; 1 where both are alike."""
    return _soonest(_wet(craft, load, at, 1.0))


def _wet(craft: Craft, load: Mass, at: Rest, side: float) -> dict[float, Flooding | None]:
    """How it lies when water comes in, by the side it is heeled to, `side` first; that one alone where
    both are alike."""
    alike = craft.even_rims and abs(load.centre[1]) < CENTRED
    return {
        s: flooding(craft.rims, craft.body, load.centre, at, s) for s in ((side,) if alike else (side, -side))
    }


def _soonest(wet: dict[float, Flooding | None]) -> float:
    return min(wet, key=lambda s: math.inf if (w := wet[s]) is None else abs(w.heel))


def _leaned(
    craft: Craft, leaning: Mass, at: Rest, wet: Flooding | None, before: Rest | None = None
) -> Rest | None:
    """Where the boat comes to rest in the lean; None where it heels on till water comes in, or capsizes:
    followed no further.

    before: where it came to rest in a lesser lean to that side: the walk goes on from there.
    """
    farthest = CAPSIZED_AT if wet is None else min(abs(wet.heel), CAPSIZED_AT)
    side = math.copysign(1.0, leaning.centre[1])

    def past(normal: Array) -> bool:
        return math.atan2(-normal[1], normal[2]) * side > farthest + STRIDE

    start = before or _part_way(at, leaning.centre[1], 0.5 * farthest)
    try:
        return rest(
            craft.body,
            leaning.mass,
            leaning.centre,
            craft.density,
            start=start,
            judge_upright=False,
            stop=past,
        )
    except Passed:
        return None


def _part_way(at: Rest, shift: float, most: float) -> Rest:
    """A first guess short of where a sideways shift of the centre [m] heels it by its GM: the walk to rest
    begins there.

    Between upright and there it has no other rest, as long as its arm does not grow much faster than GM says
    and falls again.
    """
    if (
        at.gm is None
        or at.gm <= 0
        or at.heel is None
        or abs(at.heel) > 1e-6
        or at.immersed is None
        or at.trim is None
    ):
        return at
    heel = math.copysign(min(0.8 * math.atan(abs(shift) / at.gm), most), shift)
    normal = up(heel, at.trim)
    return replace(at, normal=normal, offset=float(normal @ at.immersed.plane_centroid))
