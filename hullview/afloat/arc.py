"""Points of a righting curve, their slopes, and what is read off between them."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass

import numpy as np

from hullview.afloat.equilibrium import Rest, at_heel
from hullview.arrays import Array
from hullview.shape.body import Body

_NOTHING = 1e-9
"""An arm under this share of the body's size is none: a cylinder loaded on its axis has no peak."""


def area_under(heel: Array, arm: Array, begin: float, end: float, slope: Array | None = None) -> float:
    """Area [m rad] under arms [m] at rising heels [rad], between two heels, by cubics: with the slopes
    [m/rad] where they are known, else a cubic spline through the arms.

    >>> gz = np.array([0, 0.09, 0.21, 0.30, 0.33])  # Derrett and Barrass, ex. 23: 0.134 m rad to 40 degrees
    >>> round(area_under(np.radians(np.arange(0, 41, 10.0)), gz, 0.0, math.radians(40)), 3)
    0.134
    """
    from scipy.interpolate import CubicHermiteSpline, CubicSpline

    curve = CubicSpline(heel, arm) if slope is None else CubicHermiteSpline(heel, arm, slope)
    return float(curve.integrate(begin, end))


@dataclass(frozen=True)
class Point:
    """One heel of a curve: how it lies, the righting arm [m] and its slope [m/rad]."""

    heel: float
    lying: Rest
    arm: float
    slope: float


def point(lying: Rest, heel: float) -> Point:
    """Arm and slope with displacement held and trim free.

    With e = (0, cos, sin) of the heel, t = e x n (aft along the water), J the water plane's second moments
    over V and E = (G - B) . n: slope = cos(trim) (e J e - E) - c (c cos(trim) - arm sin(trim)) / (t J t - E),
    with c = e J t. At rest that is cos(trim) (GM - c^2 / GM_L).
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


def along(body: Body, even: Rest, heels: Array) -> Iterator[Point]:
    """Points at each heel, each begun where a parabola through the last three would have it."""
    done: list[tuple[float, float, float]] = []
    lying = even
    for heel in heels.tolist():
        trim, offset = _foretold(done, heel) if done else (lying.trim, None)
        lying = at_heel(body, even.mass, even.centre, even.density, heel, trim=trim, offset=offset)
        done.append((heel, _nearest_turn(lying.trim or 0.0, trim or 0.0), lying.offset or 0.0))
        yield point(lying, heel)


def _nearest_turn(angle: float, to: float) -> float:
    """An angle by whole turns nearest to another, so that a polynomial runs on past half a turn [rad]."""
    return angle + math.tau * round((to - angle) / math.tau)


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


@dataclass(frozen=True)
class Figures:
    """Where it rests, the peak, where the arm vanishes [rad, m], and the energy to both [J]; None where
    the curve has no such point."""

    rest_heel: float | None = None
    peak_arm: float | None = None
    peak_heel: float | None = None
    vanishing_heel: float | None = None
    energy_to_peak: float | None = None
    energy_to_vanishing: float | None = None


class Arc:
    """The side of the curve that the figures are read from, able to ask for points between."""

    def __init__(self, body: Body, points: list[Point], side: int):
        self.body, self.side = body, side
        self.cuts = sum(p.lying.cuts for p in points)
        self.points = [p for p in points if p.heel * side >= 0]
        self.least = _NOTHING * body.size

    def figures(self, weight: float) -> Figures:
        """Read off this side; weight [N]."""
        righting = [p.arm * self.side for p in self.points]
        up = next((i for i, a in enumerate(righting) if a > self.least), None)
        if up is None:
            return Figures()
        begin = (
            self.points[0].heel
            if up == 0 or abs(righting[up - 1]) <= self.least
            else self._root(up - 1, _arm_and_slope)
        )
        down = next((i for i in range(up + 1, len(righting)) if righting[i] <= self.least), None)
        vanishing = None
        if down is not None:
            ends = abs(righting[down]) <= self.least
            vanishing = self.points[down].heel if ends else self._root(down - 1, _arm_and_slope)
        top = self._top(max(range(up, down or len(righting)), key=righting.__getitem__))
        energy = [
            None if end is None or len(righting) < 2 else weight * self.area(begin, end)
            for end in (top.heel, vanishing)
        ]
        return Figures(begin, top.arm * self.side, top.heel, vanishing, *energy)

    def area(self, begin: float, end: float) -> float:
        """Area [m rad] under the righting arm between two heels of this side."""
        x, y = (np.array([getattr(p, key) * self.side for p in self.points]) for key in ("heel", "arm"))
        slope = np.array([p.slope for p in self.points])
        order = np.argsort(x)
        return area_under(x[order], y[order], begin * self.side, end * self.side, slope[order])

    def _between(self, a: Point, b: Point, heel: float) -> Point:
        share = (heel - a.heel) / (b.heel - a.heel)
        trim, offset = (
            (1 - share) * (getattr(a.lying, key) or 0.0) + share * (getattr(b.lying, key) or 0.0)
            for key in ("trim", "offset")
        )
        lying = at_heel(
            self.body, a.lying.mass, a.lying.centre, a.lying.density, heel, trim=trim, offset=offset
        )
        self.cuts += lying.cuts
        return point(lying, heel)

    def _top(self, highest: int) -> Point:
        """Where the slope changes sign next to the highest point given."""
        best = self.points[highest]
        step = (
            1 if best.slope > 0 else -1
        )  # to port the arm's sign and the heel's turn together: the slope keeps its meaning
        other = highest + step * self._outward()
        if not 0 <= other < len(self.points) or best.slope == 0 or self.points[other].slope * best.slope > 0:
            return best
        found = self._bracketed(best, self.points[other], lambda p: (p.slope, None))
        return max(best, found, key=lambda p: p.arm * self.side)

    def _outward(self) -> int:
        """1 where the curve is stored the way its righting arm is walked, for slope > 0 means rising
        outward on both sides."""
        return 1 if abs(self.points[-1].heel) >= abs(self.points[0].heel) else -1

    def _root(self, at: int, of: Callable[[Point], tuple[float, float | None]]) -> float:
        return self._bracketed(self.points[at], self.points[at + 1], of).heel

    def _bracketed(self, a: Point, b: Point, of: Callable[[Point], tuple[float, float | None]]) -> Point:
        """The point between a and b where a value passes through nought: Newton where its slope is known,
        else the Illinois rule."""
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
            if (
                abs(f) < 1e-13 * self.body.size
                or gap < 1e-10
                or (not slope and abs(f) * gap < 1e-10 * self.body.size)
            ):
                return found
            if (f > 0) == (fa > 0):
                low, f_low, f_high = found, f, f_high / 2
            else:
                high, f_high, f_low = found, f, f_low / 2
        return found


def _arm_and_slope(p: Point) -> tuple[float, float | None]:
    return p.arm, p.slope
