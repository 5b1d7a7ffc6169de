"""The righting curve: at each heel the displacement is held and trim is free."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import ArrayLike

from hullview.afloat.equilibrium import Rest, at_heel, upright
from hullview.afloat.flooding import Flooding, flooding, rims
from hullview.afloat.water import GRAVITY
from hullview.errors import UsageError
from hullview.shape.body import Body
from hullview.shape.hull import Hull

Array = np.ndarray

_NOTHING = 1e-9
"""An arm under this share of the body's size is none: a cylinder loaded on its axis has no peak."""


@dataclass(frozen=True)
class RightingCurve:
    """Righting arm against heel, and what is read off it. Angles [rad], arms [m], moments [N m], energies [J].

    heel, arm, slope (of the arm by heel), trim, moment, offset: (k,); normal: (k, 3). arm = (B - G) . (0, cos heel, sin heel):
    positive where it rights a heel to starboard; so to port (heel negative) a righting arm is negative.
    The figures are for the side the curve runs to: peak_arm positive, heels with the sign of that side, None where the curve
    has no such point as far as it goes. rest_heel: where she lies at rest on this side (0 upright). flooding_heel: where water
    reaches the lowest rim, trim free, with spray decks as the boat has them; open_flooding_heel: with none. usable_range_ends:
    the lesser of vanishing and flooding. Energies: weight x area under the arm from rest_heel on; energy_to_flooding goes no
    further than vanishing_heel. gm: BM - BG with the heel at nought; gm_by_slope: the same from the slope of the arm by
    differences. posture: "rigid" or "upright torso". cuts: planes it took.
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
    """The righting curve of a load: mass [kg], centre (3,) [m], in water of a density [kg/m3], at heels (k,) [rad].

    heel runs one way, up or down; 0 to 180 degrees by 5 if not given; negative heels are to port. hull: gives the flooding
    heels too. For the upright posture hand in the load that `loads` makes of it: a torso that stays over the seat pulls
    athwartships as if its mass sat at the hips.
    """
    heels = _one_way(heel)
    even = upright(body, mass, centre, density)
    if even.state == "sinks":
        raise UsageError(f"{mass:.4g} kg is more than she can bear ({body.volume * density:.4g} kg, all under water): no righting curve.")
    points = list(_along(body, even, heels))
    curve = _Arc(body, points, 1 if abs(heels[-1]) < 1e-12 or heels[-1] > 0 else -1)
    arms = np.array([p.arm for p in points])
    figures = curve.figures(mass * GRAVITY)
    made = RightingCurve(
        heel=heels,
        arm=arms,
        slope=np.array([p.slope for p in points]),
        trim=np.array([p.lying.trim for p in points]),
        moment=arms * mass * GRAVITY,
        offset=np.array([p.lying.offset for p in points]),
        normal=np.array([p.lying.normal for p in points]),
        mass=mass,
        centre=even.centre,
        density=density,
        side=curve.side,
        gm=even.gm or 0.0,
        gm_by_slope=_slope_by_differences(body, even),
        rest_heel=figures["rest_heel"],
        peak_arm=figures["peak_arm"],
        peak_heel=figures["peak_heel"],
        vanishing_heel=figures["vanishing_heel"],
        energy_to_peak=figures["energy_to_peak"],
        energy_to_vanishing=figures["energy_to_vanishing"],
        usable_range_ends=figures["vanishing_heel"],
        posture=posture,
        label=label,
    )
    if hull is not None:
        made = _with_flooding(made, curve, hull, even)
    return replace(made, cuts=curve.cuts + even.cuts)


def flooding_heel(hull: Hull, body: Body, mass: float, centre: ArrayLike, density: float, side: int = 1, *, covered: bool = True) -> float | None:
    """The heel [rad] at which water reaches a rim to starboard (side 1) or port (-1: negative), trim free; None if it never does.

    covered: with the spray decks the boat has; without, every rim is open.
    """
    found = _flooding(hull, body, upright(body, mass, centre, density), side, covered)
    return None if found is None else float(found.heel)


def as_json(curve: RightingCurve) -> dict[str, Any]:
    """The righting object of the interface: SI, angles in degrees; `past_flooding` marks heels beyond where water comes in."""
    wet = math.inf if curve.flooding_heel is None else abs(curve.flooding_heel)
    columns = (np.degrees(curve.heel), curve.arm, curve.moment, np.degrees(curve.trim), np.abs(curve.heel) > wet)
    names = ("heel_deg", "arm_m", "moment_nm", "trim_deg", "past_flooding")
    rows = [dict(zip(names, row)) for row in zip(*(c.tolist() for c in columns))]
    angles = ("rest_heel", "peak_heel", "vanishing_heel", "flooding_heel", "flooding_trim", "open_flooding_heel", "usable_range_ends")
    energies = ("energy_to_peak", "energy_to_flooding", "energy_to_vanishing")

    def degrees(name: str) -> float | None:
        value = getattr(curve, name)
        return None if value is None else math.degrees(value)

    return {
        "mass_kg": curve.mass,
        "centre_m": np.asarray(curve.centre).tolist(),
        "density_kg_m3": curve.density,
        "posture": curve.posture,
        "label": curve.label,
        "side": "starboard" if curve.side > 0 else "port",
        "gm_m": curve.gm,
        "gm_by_slope_m": curve.gm_by_slope,
        "curve": rows,
        "peak_arm_m": curve.peak_arm,
        **{f"{name}_deg": degrees(name) for name in angles},
        **{f"{name}_j": getattr(curve, name) for name in energies},
    }


def arm_at_other_height(arm: Array, heel: Array, higher: float) -> Array:
    """Arms [m] for a centre `higher` [m] than the one they were found with: arm - higher sin(heel).

    The trim is left as it was. Derrett and Barrass, p. 165; with the arms about the base line (KN) it is GZ = KN - KG sin(heel).

    >>> float(arm_at_other_height(np.array([1.90]), np.radians([30.0]), -0.5).round(3)[0])
    2.15
    """
    return arm - higher * np.sin(heel)


def area_under(heel: Array, arm: Array, begin: float, end: float, slope: Array | None = None) -> float:
    """Area [m rad] under arms [m] at rising heels [rad], between two heels, by cubics: with the slopes [m/rad] where they are known,
    else a cubic spline through the arms.

    >>> gz = np.array([0, 0.09, 0.21, 0.30, 0.33])  # Derrett and Barrass, ex. 23: 0.134 m rad to 40 degrees
    >>> round(area_under(np.radians(np.arange(0, 41, 10.0)), gz, 0.0, math.radians(40)), 3)
    0.134
    """
    from scipy.interpolate import CubicHermiteSpline, CubicSpline

    curve = CubicSpline(heel, arm) if slope is None else CubicHermiteSpline(heel, arm, slope)
    return float(curve.integrate(begin, end))


@dataclass(frozen=True)
class Point:
    """One heel of a curve: how she lies, the righting arm [m] and its slope [m/rad]."""

    heel: float
    lying: Rest
    arm: float
    slope: float


def point(lying: Rest, heel: float) -> Point:
    """Arm and slope with displacement held and trim free.

    With e = (0, cos, sin) of the heel, t = e x n (aft along the water), J the water plane's second moments over V and
    E = (G - B) . n: slope = cos(trim) (e J e - E) - c (c cos(trim) - arm sin(trim)) / (t J t - E), with c = e J t. At rest that is cos(trim) (GM - c^2 / GM_L).
    """
    cut, n = lying.immersed, lying.normal
    assert cut is not None and n is not None and lying.trim is not None
    sin, cos = math.sin(heel), math.cos(heel)
    across = np.array([0.0, cos, sin])
    aft = np.cross(across, n)
    gap = cut.centroid - lying.centre
    arm, energy = float(gap @ across), -float(gap @ n)
    spread = cut.plane_second_moments / cut.volume
    coupling, level = float(across @ spread @ aft), math.cos(lying.trim)
    turning = (coupling * level - arm * math.sin(lying.trim)) / (float(aft @ spread @ aft) - energy)
    return Point(heel, lying, arm, level * (float(across @ spread @ across) - energy) - coupling * turning)


def _along(body: Body, even: Rest, heels: Array) -> Iterator[Point]:
    """Points at each heel, each begun where a parabola through the last three would have it."""
    done: list[tuple[float, float, float]] = []
    lying = even
    for heel in heels.tolist():
        trim, offset = _foretold(done, heel) if done else (lying.trim, None)
        lying = at_heel(body, even.mass, even.centre, even.density, heel, trim=trim, offset=offset)
        done.append((heel, lying.trim or 0.0, lying.offset or 0.0))
        yield point(lying, heel)


def _foretold(done: list[tuple[float, float, float]], heel: float) -> tuple[float, float]:
    """Trim and offset at a heel by the polynomial through the last four points (Lagrange)."""
    last = done[-4:]
    trim = offset = 0.0
    for i, (at, theta, off) in enumerate(last):
        share = 1.0
        for j, (other, _, _) in enumerate(last):
            if i != j:
                share *= (heel - other) / (at - other)
        trim += share * theta
        offset += share * off
    return trim, offset


class _Arc:
    """The side of the curve that the figures are read from, able to ask for points between."""

    def __init__(self, body: Body, points: list[Point], side: int):
        self.body, self.side = body, side
        self.cuts = sum(p.lying.cuts for p in points)
        self.points = [p for p in points if p.heel * side >= 0]
        self.least = _NOTHING * body.size

    def figures(self, weight: float) -> dict[str, float | None]:
        """Where she rests, the peak, where the arm vanishes, and the energy to both."""
        names = ("rest_heel", "peak_arm", "peak_heel", "vanishing_heel", "energy_to_peak", "energy_to_vanishing")
        righting = [p.arm * self.side for p in self.points]
        up = next((i for i, a in enumerate(righting) if a > self.least), None)
        if up is None:
            return dict.fromkeys(names)
        begin = self.points[0].heel if up == 0 or abs(righting[up - 1]) <= self.least else self._root(up - 1, _arm_and_slope)
        down = next((i for i in range(up + 1, len(righting)) if righting[i] <= self.least), None)
        vanishing = None
        if down is not None:
            gone = abs(righting[down]) <= self.least
            vanishing = self.points[down].heel if gone else self._root(down - 1, _arm_and_slope)
        top = self._top(max(range(up, down or len(righting)), key=righting.__getitem__))
        energy = [None if end is None or len(righting) < 2 else weight * self.area(begin, end) for end in (top.heel, vanishing)]
        return dict(zip(names, (begin, top.arm * self.side, top.heel, vanishing, *energy)))

    def area(self, begin: float, end: float) -> float:
        """Area [m rad] under the righting arm between two heels of this side."""
        x, y = (np.array([getattr(p, key) * self.side for p in self.points]) for key in ("heel", "arm"))
        slope = np.array([p.slope for p in self.points])
        order = np.argsort(x)
        return area_under(x[order], y[order], begin * self.side, end * self.side, slope[order])

    def _between(self, a: Point, b: Point, heel: float) -> Point:
        share = (heel - a.heel) / (b.heel - a.heel)
        trim, offset = (
            (1 - share) * (getattr(a.lying, key) or 0.0) + share * (getattr(b.lying, key) or 0.0) for key in ("trim", "offset")
        )
        lying = at_heel(self.body, a.lying.mass, a.lying.centre, a.lying.density, heel, trim=trim, offset=offset)
        self.cuts += lying.cuts
        return point(lying, heel)

    def _top(self, highest: int) -> Point:
        """Where the slope changes sign next to the highest point given."""
        best = self.points[highest]
        step = 1 if best.slope > 0 else -1  # to port the arm's sign and the heel's turn together: the slope keeps its meaning
        other = highest + step * self._outward(best)
        if not 0 <= other < len(self.points) or best.slope == 0 or self.points[other].slope * best.slope > 0:
            return best
        found = self._bracketed(best, self.points[other], lambda p: (p.slope, None))
        return max(best, found, key=lambda p: p.arm * self.side)

    def _outward(self, best: Point) -> int:
        """1 where the curve is stored the way its righting arm is walked, for slope > 0 means rising outward on both sides."""
        return 1 if abs(self.points[-1].heel) >= abs(self.points[0].heel) else -1

    def _root(self, at: int, of: Callable[[Point], tuple[float, float | None]]) -> float:
        return self._bracketed(self.points[at], self.points[at + 1], of).heel

    def _bracketed(self, a: Point, b: Point, of: Callable[[Point], tuple[float, float | None]]) -> Point:
        """The point between a and b where a value passes through nought: Newton where its slope is known, else the Illinois rule."""
        fa, fb = of(a)[0], of(b)[0]
        low, high, f_low, f_high = a, b, fa, fb
        for _ in range(40):
            middle = low.heel + f_low * (high.heel - low.heel) / (f_low - f_high)
            near = low if abs(of(low)[0]) < abs(of(high)[0]) else high
            value, slope = of(near)
            if slope:
                newton = near.heel - value / slope
                if min(low.heel, high.heel) < newton < max(low.heel, high.heel):
                    middle = newton
            found = self._between(a, b, middle)
            f = of(found)[0]
            gap = abs(high.heel - low.heel)
            if abs(f) < 1e-13 * self.body.size or gap < 1e-10 or (not slope and abs(f) * gap < 1e-10 * self.body.size):
                return found
            if (f > 0) == (fa > 0):
                low, f_low, f_high = found, f, f_high / 2
            else:
                high, f_high, f_low = found, f, f_low / 2
        return found


def _arm_and_slope(p: Point) -> tuple[float, float | None]:
    return p.arm, p.slope


def _one_way(heel: ArrayLike | None) -> Array:
    heels = np.radians(np.arange(0, 181, 5.0)) if heel is None else np.atleast_1d(np.asarray(heel, float))
    steps = np.diff(heels)
    if heels.ndim != 1 or not heels.size or not np.isfinite(heels).all() or np.abs(heels).max() > math.pi + 1e-12:
        raise UsageError("heels must be finite angles between -180 and 180 degrees.")
    if not ((steps > 0).all() or (steps < 0).all()):
        raise UsageError("heels must run one way, each beyond the last.")
    return heels


def _slope_by_differences(body: Body, even: Rest, step: float = math.radians(0.02)) -> float:
    """GM from four arms beside upright (fourth order), to hold against BM - BG: a boat out of trim has cos(trim) GM for a slope."""
    arms = [point(at_heel(body, even.mass, even.centre, even.density, k * step, start=even), k * step).arm for k in (-2, -1, 1, 2)]
    return (arms[0] - 8 * arms[1] + 8 * arms[2] - arms[3]) / (12 * step * math.cos(even.trim or 0.0))


def _flooding(hull: Hull, body: Body, even: Rest, side: int, covered: bool) -> Flooding | None:
    points = rims(hull) if covered else np.concatenate([np.empty((0, 3)), *(line.points for line in hull.flooding)])
    return flooding(points, body, even.centre, even, side)


def _with_flooding(made: RightingCurve, curve: _Arc, hull: Hull, even: Rest) -> RightingCurve:
    closed, open_ = (_flooding(hull, curve.body, even, curve.side, covered) for covered in (True, False))
    heel = None if closed is None else float(closed.heel)
    ends = [h for h in (heel, made.vanishing_heel) if h is not None]
    usable = min(ends, key=abs) if ends else None
    energy = None
    if heel is not None and usable is not None and made.rest_heel is not None:
        last = curve.points[-1].heel
        if abs(usable) <= abs(last) + 1e-12:
            energy = made.mass * GRAVITY * curve.area(made.rest_heel, usable) if abs(usable) > abs(made.rest_heel) else 0.0
    return replace(
        made,
        flooding_heel=heel,
        flooding_trim=None if closed is None else float(closed.trim),
        open_flooding_heel=None if open_ is None else float(open_.heel),
        usable_range_ends=usable,
        energy_to_flooding=energy,
    )
