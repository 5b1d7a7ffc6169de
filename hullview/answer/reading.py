"""A righting curve in numbers that a customer can feel: what it takes to lean it, how far a reach leans
it, where help stops."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np

from hullview.afloat.equilibrium import height_to_flooding, is_capsized, rest, upright
from hullview.afloat.loads import Torso
from hullview.afloat.righting import RightingCurve
from hullview.afloat.water import GRAVITY
from hullview.answer.conditions import LIKELY, Craft, soonest_side
from hullview.answer.limits import setting
from hullview.answer.overside import reach_shift

TORSOS: tuple[Torso, Torso] = ("rigid", "upright torso")


@dataclass(frozen=True)
class Reading:
    """moment_per_degree [N m]: near upright. mass_per_degree [kg]: laid on the rim, heels it about one
    degree.

    reach [m]: how far outside the rim a hand reaches; reach_shift [m]: sideways shift of the first paddler's
    whole-body centre in it; reach_heel, reach_upright [rad]: how far that leans it, to the side where water
    comes in sooner if one is, with everyone rigid and with torsos kept upright, None where it does not come
    to rest short of 60 degrees with its rims dry. torso: whose curve the other figures are of. steepest_help,
    help_ends [rad]: heels where it pushes back hardest, as far as help goes, and where it no longer does;
    peak_moment [N m]; floods_first: water comes in before that.
    """

    moment_per_degree: float
    mass_per_degree: float
    reach: float
    reach_shift: float
    reach_heel: float | None
    peak_moment: float | None
    steepest_help: float | None
    help_ends: float | None
    floods_first: bool
    reach_upright: float | None = None
    torso: str = "rigid"


def reading(craft: Craft, curve: RightingCurve) -> Reading:
    """Plain numbers for a curve of this craft, the load of its file aboard."""
    paddlers = craft.boat.load.paddlers
    bare = bare_reading(curve, float(np.abs(craft.hull.sheer[:, 1]).max()))
    if not paddlers:
        return bare
    shift = reach_shift(craft.boat, craft.hull, paddlers[0])
    heel, torso_upright = (_reached(craft, torso, shift) for torso in TORSOS)
    return replace(
        bare,
        reach=setting(craft.boat, "reach"),
        reach_shift=shift,
        reach_heel=heel,
        reach_upright=torso_upright,
    )


def bare_reading(curve: RightingCurve, half_beam: float) -> Reading:
    """What a curve says with nobody aboard.

    Parameters
    ----------
    curve : RightingCurve
    half_beam : float
        Where a mass is laid on the rim, from the centre line [m].

    Returns
    -------
    Reading
        With no reach: reach_shift 0.
    """
    weight = curve.mass * GRAVITY
    per_degree = weight * curve.gm * math.radians(1)
    floods, vanishes = curve.flooding_heel, curve.vanishing_heel
    hardest, arm = _hardest(curve)
    return Reading(
        moment_per_degree=per_degree,
        mass_per_degree=per_degree / (GRAVITY * half_beam),
        reach=0.0,
        reach_shift=0.0,
        reach_heel=None,
        peak_moment=None if arm is None else weight * arm,
        steepest_help=hardest,
        help_ends=curve.usable_range_ends,
        floods_first=floods is not None and (vanishes is None or abs(floods) < abs(vanishes)),
        torso=curve.posture,
    )


def _reached(craft: Craft, torso: Torso, shift: float) -> float | None:
    """The heel [rad] at which it comes to rest with the first paddler's centre that far over [m]; None
    where it goes over or ships water."""
    paddlers = craft.boat.load.paddlers
    load = craft.load(paddlers, LIKELY, torso=torso)
    side = (
        1.0
        if craft.even_rims
        else soonest_side(craft, load, upright(craft.body, load.mass, load.centre, craft.density))
    )
    over = load.centre + np.array([0.0, side * shift * paddlers[0].mass / load.mass, 0.0])
    lying = rest(craft.body, load.mass, over, craft.density, judge_upright=False)
    if lying.normal is None or lying.offset is None or lying.heel is None or is_capsized(lying):
        return None
    height, _ = height_to_flooding(craft.hull, lying.normal, lying.offset)
    return side * lying.heel if height is None or height > 0 else None


def _hardest(curve: RightingCurve) -> tuple[float | None, float | None]:
    """Heel [rad] and arm [m] of the greatest help: the peak, or where water comes in before it the arm
    there, for past it is none."""
    ends, peak = curve.usable_range_ends, curve.peak_heel
    if ends is None or peak is None or abs(peak) <= abs(ends):
        return peak, curve.peak_arm
    from scipy.interpolate import CubicHermiteSpline

    order = np.argsort(curve.heel)
    return ends, curve.side * float(
        CubicHermiteSpline(curve.heel[order], curve.arm[order], curve.slope[order])(ends)
    )
