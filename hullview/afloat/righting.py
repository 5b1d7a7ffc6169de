"""The righting curve: at each heel the displacement is held and trim is free."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import ArrayLike

from hullview.afloat.arc import Arc, along, point
from hullview.afloat.equilibrium import Rest, at_heel, upright
from hullview.afloat.flooding import Flooding, flooding, rims
from hullview.afloat.water import GRAVITY
from hullview.arrays import Array
from hullview.errors import UsageError
from hullview.shape.body import Body
from hullview.shape.hull import Hull


@dataclass(frozen=True)
class RightingCurve:
    """Righting arm against heel, and what is read off it. Angles [rad], arms [m], moments [N m], energies
    [J].

    heel, arm, slope (of the arm by heel), trim, moment, offset: (k,); normal: (k, 3). arm = (B - G) . (0, cos
    heel, sin heel): positive where it rights a heel to starboard; so to port (heel negative) a righting arm
    is negative. The figures are for the side the curve runs to: peak_arm positive, heels with the sign of
    that side, None where the curve has no such point as far as it goes. rest_heel: where it lies at rest on
    this side (0 upright). flooding_heel: where water reaches the lowest rim, trim free, with spray decks as
    the boat has them; open_flooding_heel: with none. usable_range_ends: the lesser of vanishing and flooding.
    Energies: weight x area under the arm from rest_heel on; energy_to_flooding goes no further than
    vanishing_heel. gm: BM - BG with the heel at nought; gm_by_slope: the same from the slope of the arm by
    differences. posture: "rigid" or "upright torso". cuts: planes it took. error: estimated mesh error of
    each figure by its name here, where `mesh_error` was asked.
    """

    heel: Array
    arm: Array
    slope: Array
    trim: Array
    moment: Array
    offset: Array
    normal: Array
    mass: float
    centre: Array
    density: float
    side: int
    gm: float
    gm_by_slope: float
    rest_heel: float | None
    peak_arm: float | None
    peak_heel: float | None
    vanishing_heel: float | None
    energy_to_peak: float | None
    energy_to_vanishing: float | None
    flooding_heel: float | None = None
    flooding_trim: float | None = None
    open_flooding_heel: float | None = None
    usable_range_ends: float | None = None
    energy_to_flooding: float | None = None
    posture: str = "rigid"
    label: str = ""
    cuts: int = 0
    error: Mapping[str, Any] | None = None

    def __repr__(self) -> str:
        return (
            f"<RightingCurve: {len(self.heel)} heels, GM {self.gm:.4g} m, greatest arm {self.peak_arm} m"
            f" at {self.peak_heel} rad, gone at {self.vanishing_heel} rad>"
        )


def righting_curve(
    body: Body,
    mass: float,
    centre: ArrayLike,
    density: float,
    heel: ArrayLike | None = None,
    *,
    hull: Hull | None = None,
    posture: str = "rigid",
    label: str = "",
) -> RightingCurve:
    """The righting curve of a load.

    Parameters
    ----------
    body : Body
    mass : float
        Of all that floats [kg].
    centre : array_like, shape (3,)
        Of that mass [m].
    density : float
        Of the water [kg/m3].
    heel : array_like, shape (k,), optional
        Heels [rad], up or down one way; negative ones are to port. 0 to 180 degrees by 5 if left out.
    hull : Hull, optional
        Gives the flooding heels too.
    posture, label : str
        "rigid", or "upright" for the load that `hullview.afloat.loads` makes of a torso that stays over the
        seat: it pulls athwartships as if its mass sat at the hips. The label is for legends.

    Returns
    -------
    RightingCurve
        Righting arms [m] with the trim free at each heel.

    Raises
    ------
    UsageError
        More mass than it can bear, or heels that do not run one way.

    Notes
    -----
    The arm is GZ: how far apart the verticals through centre of mass and of buoyancy pass, across the boat.
    """
    heels = _one_way(heel)
    even = upright(body, mass, centre, density)
    if even.state == "sinks":
        raise UsageError(
            f"{mass:.4g} kg is more than it can bear ({body.volume * density:.4g} kg, all under water): no"
            " righting curve."
        )
    points = list(along(body, even, heels))
    curve = Arc(body, points, 1 if abs(heels[-1]) < 1e-12 or heels[-1] > 0 else -1)
    figures = curve.figures(mass * GRAVITY)
    arms = np.array([p.arm for p in points])
    lying = [p.lying for p in points]
    made = RightingCurve(
        heel=heels,
        arm=arms,
        slope=np.array([p.slope for p in points]),
        trim=np.array([at.trim for at in lying]),
        moment=arms * mass * GRAVITY,
        offset=np.array([at.offset for at in lying]),
        normal=np.array([at.normal for at in lying]),
        mass=mass,
        centre=even.centre,
        density=density,
        side=curve.side,
        gm=even.gm or 0.0,
        gm_by_slope=_slope_by_differences(body, even),
        **figures.__dict__,
        usable_range_ends=figures.vanishing_heel,
        posture=posture,
        label=label,
    )
    if hull is not None:
        made = _with_flooding(made, curve, hull, even)
    return replace(made, cuts=curve.cuts + even.cuts)


def flooding_heel(
    hull: Hull,
    body: Body,
    mass: float,
    centre: ArrayLike,
    density: float,
    side: int = 1,
    *,
    covered: bool = True,
) -> float | None:
    """The heel [rad] at which water reaches a rim to starboard (side 1) or port (-1: negative), trim free;
    None if it never does.

    covered: with the spray decks the boat has; without, every rim is open.
    """
    found = _flooding(hull, body, upright(body, mass, centre, density), side, covered)
    return None if found is None else float(found.heel)


def arm_at_other_height(arm: Array, heel: Array, higher: float) -> Array:
    """Arms [m] for a centre `higher` [m] than the one they were found with: arm - higher sin(heel).

    The trim is left as it was. Derrett and Barrass, p. 165; with the arms about the base line (KN) it is GZ =
    KN - KG sin(heel).

    >>> float(arm_at_other_height(np.array([1.90]), np.radians([30.0]), -0.5).round(3)[0])
    2.15
    """
    return np.asarray(arm - higher * np.sin(heel))


def _one_way(heel: ArrayLike | None) -> Array:
    heels = np.radians(np.arange(0, 181, 5.0)) if heel is None else np.atleast_1d(np.asarray(heel, float))
    steps = np.diff(heels)
    if (
        heels.ndim != 1
        or not heels.size
        or not np.isfinite(heels).all()
        or np.abs(heels).max() > math.pi + 1e-12
    ):
        raise UsageError("heels must be finite angles between -180 and 180 degrees.")
    if not ((steps > 0).all() or (steps < 0).all()):
        raise UsageError("heels must run one way, each beyond the last.")
    return heels


def _slope_by_differences(body: Body, even: Rest, step: float = math.radians(0.02)) -> float:
    """GM from four arms beside upright (fourth order), to hold against BM - BG: a boat out of trim has
    cos(trim) GM for a slope."""
    arms = [
        point(at_heel(body, even.mass, even.centre, even.density, k * step, start=even), k * step).arm
        for k in (-2, -1, 1, 2)
    ]
    return (arms[0] - 8 * arms[1] + 8 * arms[2] - arms[3]) / (12 * step * math.cos(even.trim or 0.0))


def _flooding(hull: Hull, body: Body, even: Rest, side: int, covered: bool) -> Flooding | None:
    points = (
        rims(hull)
        if covered
        else np.concatenate([np.empty((0, 3)), *(line.points for line in hull.flooding)])
    )
    return flooding(points, body, even.centre, even, side)


def _with_flooding(made: RightingCurve, curve: Arc, hull: Hull, even: Rest) -> RightingCurve:
    closed, open_ = (_flooding(hull, curve.body, even, curve.side, covered) for covered in (True, False))
    heel = None if closed is None else float(closed.heel)
    ends = [h for h in (heel, made.vanishing_heel) if h is not None]
    usable = min(ends, key=abs) if ends else None
    energy = None
    if heel is not None and usable is not None and made.rest_heel is not None:
        last = curve.points[-1].heel
        if abs(usable) <= abs(last) + 1e-12:
            energy = (
                made.mass * GRAVITY * curve.area(made.rest_heel, usable)
                if abs(usable) > abs(made.rest_heel)
                else 0.0
            )
    return replace(
        made,
        flooding_heel=heel,
        flooding_trim=None if closed is None else float(closed.trim),
        open_flooding_heel=None if open_ is None else float(open_.heel),
        usable_range_ends=usable,
        energy_to_flooding=energy,
    )
