"""Boat, paddlers and gear as one mass with one centre."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Literal

import numpy as np

from hullview.boat.model import Boat, Gear, Paddler
from hullview.shape.hull import Hull
from hullview.weight.mass import Mass, total

if TYPE_CHECKING:
    from hullview.weight.total import Weight

End = Literal["low", "likely", "high"]
Place = Literal["aft", "likely", "forward"]
"""Where on the seat a body's centre lies, of its range."""
Torso = Literal["rigid", "upright torso"]

HIPS = 0.09
"""Height of the hip joints above the seat [m], and near enough of the legs' own centre (from memory)."""

_AT = {"low": 0, "likely": 1, "high": 2}


def bottom_thickness(boat: Boat, build: str | None = None) -> float:
    """Finished thickness of the planking at the bottom [m]; 0 where no schedule says. Cloth, about 0.3 mm,
    is left out."""
    if not boat.builds:
        return 0.0
    planks = [p for p in boat.build(build).schedule.planking if p.where == "hull" and p.band is None]
    return planks[0].finished if planks else 0.0


def paddler_centre(
    paddler: Paddler,
    hull: Hull,
    thickness: float,
    *,
    height: End = "likely",
    place: Place = "likely",
    lean: float = 0.0,
    torso: Torso = "rigid",
) -> np.ndarray:
    """Whole-body centre (3,) [m] of a seated paddler.

    It lies from the back of the seat the way the paddler faces. The seat stands on the bottom on the centre
    line, under the likely place of the centre; `lean` is the sideways shift of the whole body's centre to
    starboard [m]. place: the aftmost or the foremost of where the centre may be. torso "upright torso": kept
    upright over the moving seat, it pulls athwartships as if all its mass sat at the hips, whose height then
    counts; who stands is taken as rigid.
    """
    places = [paddler.seat_back + paddler.ahead * reach for reach in paddler.reaches]
    aft = {"aft": max(places), "likely": places[1], "forward": min(places)}[place]
    seat = hull.keel_height(places[1]) + thickness + paddler.seat
    at_hips = torso == "upright torso" and paddler.posture != "standing"
    above = HIPS if at_hips else paddler.heights[_AT[height]]
    return np.array([aft, paddler.side + lean, seat + above])


def gear_centre(gear: Gear, hull: Hull, thickness: float, roamed: float = 0.0) -> np.ndarray:
    """Where gear lies (3,) [m]; with no height given, on the bottom. roamed: 1 or -1, as far to that side
    as it roams."""
    aft, side, up = gear.at
    height = hull.keel_height(aft) + thickness if up is None else up
    return np.array([aft, side + roamed * gear.roams, height])


def loaded(
    weight: Weight | Mass,
    boat: Boat,
    hull: Hull,
    *,
    build: End = "likely",
    height: End = "likely",
    place: Place = "likely",
    leans: Sequence[float] = (),
    roamed: float = 0.0,
    torso: Torso = "rigid",
    paddlers: Sequence[Paddler] | None = None,
    thickness: float | None = None,
) -> Mass:
    """Boat, paddlers and gear as one mass.

    The boat's weight counts what such a boat usually also has and the schedule lacks, until its file says
    there is none. build, height, place: which end of the boat's weight, of the paddlers' centre height and of
    their place on the seat. torso: rigid with the boat, or upright over the moving seat. leans: sideways
    shift of each paddler's centre to starboard [m]. roamed: 1 or -1, what roams is as far to that side as it
    goes. paddlers: others than the boat's own. thickness: of the bottom [m], if known already.
    """
    people = boat.load.paddlers if paddlers is None else paddlers
    wood = bottom_thickness(boat, getattr(weight, "build", None)) if thickness is None else thickness
    bare = weight if isinstance(weight, Mass) else weight.whole
    hull_mass = {"low": bare.low, "likely": bare.mass, "high": bare.high}[build]
    parts = [Mass(bare.mass if hull_mass is None else hull_mass, bare.centre, bare.inertia)]
    for i, paddler in enumerate(people):
        lean = leans[i] if i < len(leans) else 0.0
        centre = paddler_centre(paddler, hull, wood, height=height, place=place, lean=lean, torso=torso)
        parts.append(Mass(paddler.mass, centre))
    parts += [Mass(gear.mass, gear_centre(gear, hull, wood, roamed)) for gear in boat.load.gear]
    return total(parts)
