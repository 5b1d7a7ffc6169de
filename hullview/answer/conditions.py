"""What the water does with one loading, in as few plane cuts as the checks need."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np

from hullview.afloat.equilibrium import Rest, both_sides, height_to_flooding, rest, up, upright
from hullview.afloat.flooding import Flooding, flooding, rims
from hullview.afloat.loads import End, Torso, bottom_thickness, loaded
from hullview.afloat.settle import Passed
from hullview.answer.checks import Condition
from hullview.answer.limits import lean_of
from hullview.boat.model import Boat, Paddler
from hullview.shape.body import Body, plane_basis
from hullview.shape.hull import Hull
from hullview.weight.mass import Mass

if TYPE_CHECKING:
    from hullview.weight.total import Weight

Array = np.ndarray


@dataclass(frozen=True)
class Craft:
    """A boat built, weighed and ready to be loaded: what stays the same whoever goes aboard. density of the water [kg/m3]."""

    boat: Boat
    hull: Hull
    body: Body
    weight: Weight
    density: float

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

    def load(
        self, paddlers: Sequence[Paddler], end: BadEnd, leaning: float = 0.0, torso: Torso = "rigid"
    ) -> Mass:
        """Everything aboard as one mass at one end of what is not known; leaning: -1 or 1, everyone to that side by their limit."""
        leans = [leaning * (lean_of(self.boat, p.posture).enough or 0.0) for p in paddlers] if leaning else ()
        return loaded(
            self.weight, self.boat, self.hull, build=end.build, height=end.height, reach=end.reach,
            leans=leans, torso=torso, paddlers=paddlers, thickness=self.thickness,
        )  # fmt: skip


@dataclass(frozen=True)
class BadEnd:
    """Which end of the range of build weight, of the paddlers' centre height and of their place on the seat."""

    words: str
    build: End = "likely"
    height: End = "likely"
    reach: End = "likely"


STRIDE = math.radians(3)
"""The walk to rest may step over a rest by this much heel and come back to it."""

CENTRED = 1e-6
"""A load nearer than this to the centre line [m] heels her alike to either side."""

LIKELY = BadEnd("likely")
BAD_ENDS = (
    BadEnd("heavy build, centre high and aft", "high", "high", "low"),
    BadEnd("heavy build, centre high and forward", "high", "high", "high"),
    BadEnd("light build, centre high and aft", "low", "high", "low"),
    BadEnd("light build, centre high and forward", "low", "high", "high"),
)
"""A heavy boat floats deep; a light one leaves the paddler's height and place on the seat more say."""
BAD_END_WORDS = "heavy or light build, paddler's centre high, forward or aft on the seat, whichever is worst"


@dataclass(frozen=True)
class Loaded:
    """Some paddlers at one end of what is not known, how she lies with them, and what the level checks look at."""

    paddlers: tuple[Paddler, ...]
    end: BadEnd
    load: Mass
    lying: Rest
    found: Condition


def level(
    craft: Craft, paddlers: Sequence[Paddler], end: BadEnd = LIKELY, *, start: Rest | None = None
) -> Loaded:
    """How she lies with these paddlers at this end; start: where a like load came to rest, which saves cuts."""
    load = craft.load(paddlers, end)
    at = rest(
        craft.body, load.mass, load.centre, craft.density, start=_sunk(start, load.mass), judge_upright=False
    )
    return Loaded(tuple(paddlers), end, load, at, _as_she_lies(craft, load, at, end.words))


def _sunk(start: Rest | None, mass: float) -> Rest | None:
    """The same rest as deep as another mass [kg] would sink it, by its waterplane: a first guess nearer the mark."""
    if start is None or start.offset is None or start.immersed is None or start.immersed.plane_area <= 0:
        return start
    return replace(
        start, offset=start.offset + (mass - start.mass) / (start.density * start.immersed.plane_area)
    )


def _as_she_lies(craft: Craft, load: Mass, at: Rest, words: str) -> Condition:
    if at.normal is None or at.offset is None or at.immersed is None or at.trim is None:
        return Condition(words, load.mass, "sinks")
    height, _ = height_to_flooding(craft.hull, at.normal, at.offset)
    if height is not None and height <= 0:
        return Condition(words, load.mass, "floods")
    top = craft.body.volume if height is None else craft.body.immersed(at.normal, at.offset + height).volume
    return Condition(
        words,
        load.mass,
        trim_length=waterline_length(craft.body, at.normal, at.offset) * math.tan(at.trim),
        gm=_upright_gm(craft, load, at),
        height_to_flooding=height,
        freeboard=float((craft.sheer @ at.normal).min() - at.offset),
        draft=at.offset - float((craft.hull.vertices @ at.normal).min()),
        reserve=top / at.immersed.volume - 1.0,
        sealed=height is None,
    )


def _upright_gm(craft: Craft, load: Mass, at: Rest) -> float | None:
    """GM with the heel held at nought: where she lolls, GM as she lies is positive again and would hide it."""
    if at.heel is not None and abs(at.heel) < 1e-6:
        return at.gm
    return upright(craft.body, load.mass, load.centre, craft.density, start=at).gm


def waterline_length(body: Body, normal: Array, offset: float) -> float:
    """Length of the waterline along the water's surface, fore and aft [m]."""
    along = body.section(normal, offset) @ plane_basis(normal)[0]
    return float(np.ptp(along)) if along.size else 0.0


def heeled(craft: Craft, loaded: Loaded) -> Condition:
    """The same with the lean and the heel at which water comes in on either side.

    She is leaned to the side where the load already hangs; a load on the centre line, to the side where water comes in first.
    """
    load, at = loaded.load, loaded.lying
    if loaded.found.state != "afloat":
        return loaded.found
    side = -1.0 if load.centre[1] < 0 else 1.0
    centred = abs(load.centre[1]) < CENTRED
    wet = _wet(craft, load, at, side)
    soonest = _soonest(wet)
    first = wet[soonest]
    comes_in = None if first is None else abs(first.heel)
    side = soonest if centred else side
    over = _leaned(craft, craft.load(loaded.paddlers, loaded.end, side), at, wet[side])
    if over is None or over.normal is None or over.offset is None:
        return replace(loaded.found, flooding_heel=comes_in, heeled=True)
    heel = math.pi if over.heel is None else abs(over.heel)
    height, _ = height_to_flooding(craft.hull, over.normal, over.offset)
    return replace(loaded.found, lean_heel=heel, lean_height=height, flooding_heel=comes_in, heeled=True)


def soonest_side(craft: Craft, load: Mass, at: Rest) -> float:
    """The side to which water comes in first, -1 to port; 1 where both are alike."""
    return _soonest(_wet(craft, load, at, 1.0))


def _wet(craft: Craft, load: Mass, at: Rest, side: float) -> dict[float, Flooding | None]:
    """How she lies when water comes in, by the side she is heeled to, `side` first; that one alone where both are alike."""
    alike = craft.even_rims and abs(load.centre[1]) < CENTRED
    return {
        s: flooding(craft.rims, craft.body, load.centre, at, s) for s in ((side,) if alike else (side, -side))
    }


def _soonest(wet: dict[float, Flooding | None]) -> float:
    return min(wet, key=lambda s: math.inf if (w := wet[s]) is None else abs(w.heel))


def _leaned(craft: Craft, leaning: Mass, at: Rest, wet: Flooding | None) -> Rest | None:
    """Where she comes to rest in the lean; None where she heels on till water comes in, or past her side: followed no further."""
    farthest = math.pi / 2 if wet is None else abs(wet.heel)
    side = math.copysign(1.0, leaning.centre[1])

    def past(normal: Array) -> bool:
        return math.atan2(-normal[1], normal[2]) * side > farthest + STRIDE

    start = _part_way(at, leaning.centre[1], 0.5 * farthest)
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
    """A first guess short of where a sideways shift of the centre [m] heels her by her GM: the walk to rest begins there.

    Between upright and there she has no other rest, as long as her arm does not grow much faster than GM says and falls again.
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
