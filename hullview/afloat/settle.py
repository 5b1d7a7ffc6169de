"""How a body comes to rest: least potential energy over the directions of up, the volume held.

With n the direction of up seen from the boat, G the centre of the load and B the centroid of the immersed
volume V, the energy over the weight is E(n) = (G - B) . n. Its gradient along the water plane is the level
part of G - B, its curvature I / V - (G - B) . n with I the second moments of the water plane about its
centroid (Bouguer 1746): metacentric heights, less the centre. Steps of 3 degrees go down from upright, longer
ones only while the energy falls as foretold, so that the nearest rest is found.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from hullview.arrays import Array
from hullview.errors import SolveError
from hullview.shape.body import Body, Immersed, plane_basis

_STRIDE = math.radians(3)
_LONGEST = math.radians(12)
_CLOSE = 5e-11
"""Solved: volume to this share, level arm of G - B to this share of the body's size."""
_NEUTRAL = 1e-10
"""Stiffness [of the body's size] that counts as neither righting nor upsetting."""
_HAIR = 1e-5
"""A step shorter than this [rad] changes no figure that is printed."""
_DRY = 1e-9
"""Less water than this share of its space is none: it has no middle that could be told."""
_MOST_CUTS = 600


@dataclass(frozen=True)
class Spot:
    """One direction of up n with the volume all but held: cut as made, and energy, gradient and stiffness as
    for the exact volume.

    tangent: (k, 3) directions in which n is free. shortfall: volume still missing, as a share. energy,
    gradient (k,), stiffness (k, k) in metres.
    """

    n: Array
    offset: float
    cut: Immersed
    tangent: Array
    shortfall: float
    energy: float
    gradient: Array
    stiffness: Array
    next_offset: float


@dataclass(frozen=True)
class Settled:
    spot: Spot
    cuts: int


@dataclass(frozen=True)
class Loose:
    """Water of a volume [m3] that lies loose in a space, its surface level."""

    body: Body
    volume: float


@dataclass(frozen=True)
class _Level:
    """A volume held under a level plane: the cut as made, its centroid and the plane's offset as for the
    exact volume."""

    offset: float
    cut: Immersed
    centroid: Array
    rise: float


class Passed(Exception):
    """The walk down went past where the caller wanted to follow it."""


class Descent:
    """The search for one load: body, volume [m3], centre (3,) [m]; `across` (3,) holds the heel: n stays
    square to it.

    inside: water in its spaces. It carries its weight where it lies, and its own water planes come off its.
    """

    def __init__(
        self,
        body: Body,
        volume: float,
        centre: Array,
        across: Array | None = None,
        inside: Sequence[Loose] = (),
    ):
        self.body, self.centre, self.across = body, centre, across
        self.load, self.volume = volume, volume + sum(loose.volume for loose in inside)
        self.inside = tuple(inside)
        self.pools: list[_Level | None] = [None] * len(self.inside)
        self.cuts = 0
        # a small share of the body is known less surely, and so is an energy with a centre far away
        rounding = 1e-15 * body.volume / self.volume
        away = self.centre - body.centroid
        self.close, self.neutral = max(_CLOSE, 2 * rounding), _NEUTRAL
        self.noise = body.size * rounding + 1e-14 * max(body.size, math.sqrt(float(away @ away)))
        self.stride, self.longest = (
            _STRIDE,
            _LONGEST,
        )  # of a step, where the energy is not yet known and where it is
        self.spot: Spot | None = None  # the last that was stepped to

    def loosen(self, close: float) -> None:
        """Ask for no more than this share of the volume and of its size. It then counts as at rest where it
        counts as neutral: with water loose in it, less of a fall than that is not told from none."""
        self.close, self.neutral = max(self.close, close), max(_NEUTRAL, 100 * close)

    def run(self, n: Array, offset: float | None, stop: Callable[[Array], bool] | None = None) -> Settled:
        """Walk down from n; offset is a first guess, or None. Where `stop` says so of a direction on the
        way: `Passed`."""
        size, radius, noise = self.body.size, self.stride, self.noise
        spot = self._look(n, offset, 1e-3)
        while not self._solved(spot, radius):
            if self.cuts > _MOST_CUTS:
                raise SolveError(f"no rest found in {self.cuts} cuts: the last state is not to be used", spot)
            step = _least(spot.gradient, spot.stiffness, radius, spot.tangent, self.close * size)
            length = math.hypot(*step)
            if length == 0.0:  # only the volume is still off
                spot = self._look(spot.n, spot.next_offset, self.close / 10)
                continue
            up = _turned(spot.n, step @ spot.tangent, length)
            # rotated about the plane's centroid the volume holds to first order
            guess = (
                float(up @ spot.cut.plane_centroid) + spot.next_offset - spot.offset
                if spot.cut.plane_area > 0
                else None
            )
            near = max(self.close / 10, min(1e-3, 0.3 * length))
            trial = self._look(up, guess, near)
            promised = -float(spot.gradient @ step + step @ spot.stiffness @ step / 2)
            kept = spot.energy - trial.energy
            if kept < 0.25 * promised - noise and abs(spot.shortfall) > near:
                # What is carried over to first order may be more than the step is to gain: look again before
                # the step is blamed.
                spot = self._look(spot.n, spot.next_offset, near)
                continue
            if kept < 0.25 * promised - noise:
                radius = length / 4
            elif length > 0.9 * radius and kept > 0.75 * promised:
                true = abs(kept - promised) < 0.1 * promised
                radius = min(2 * radius, self.longest if true else max(radius, self.stride))
            if kept > 0.1 * promised - noise:
                self.spot = spot = trial
                if stop is not None and stop(spot.n):
                    raise Passed
            elif radius < 1e-15:
                raise SolveError(
                    "no rest found: the energy rises every way, the last state is not to be used", spot
                )
        return Settled(spot, self.cuts)

    def offset_at(self, n: Array) -> float:
        """The offset [m] of the plane square to n that cuts off the volume, to rounding."""
        return self._held(self.body, self.volume, n, None, 1e-13)[0]

    def _solved(self, spot: Spot, radius: float) -> bool:
        """At rest; or, where less will do, no step down to the smallest that counts leads lower: a surface
        that stands at a rim or a lid bends the energy within less than that, and the stiffness just there
        says nothing of what a lean does."""
        size = self.body.size
        if abs(spot.shortfall) > self.close or math.hypot(*spot.gradient) > self.close * size:
            return False
        if self.neutral > _NEUTRAL and radius < _HAIR:
            return True
        return _softest(spot.stiffness)[0] > -self.neutral * size

    def _look(self, n: Array, guess: float | None, near: float) -> Spot:
        """Cut at n with the volume held to the share `near`, and carry what is left over to first order."""
        sea = self._level(self.body, self.volume, n, guess, near)
        cut, centre, spread = sea.cut, self.centre, sea.cut.plane_second_moments
        if self.inside:
            moment = self.load * self.centre
            for k, loose in enumerate(self.inside):
                pool = self._pool(k, loose, n, near)
                moment = moment + loose.volume * pool.centroid
                spread = spread - pool.cut.plane_second_moments
            centre = moment / self.volume
        arm = centre - sea.centroid
        energy = float(arm @ n)
        tangent = plane_basis(n) if self.across is None else np.cross(self.across, n)[None]
        stiffness = tangent @ spread @ tangent.T / self.volume
        stiffness.flat[:: len(tangent) + 1] -= energy
        short = (self.volume - cut.volume) / self.volume
        return Spot(
            n, sea.offset, cut, tangent, short, energy, tangent @ arm, stiffness, sea.offset + sea.rise
        )

    def pool(self, k: int, n: Array) -> _Level:
        """Where the water in the k-th space lies with n up, to rounding."""
        return self._pool(k, self.inside[k], n, 1e-12)

    def _pool(self, k: int, loose: Loose, n: Array, near: float) -> _Level:
        """Where the water in a space lies, looked for from where it lay before; a full space holds it
        fast, a dry one has none."""
        if loose.volume <= _DRY * loose.body.volume:
            low = loose.body.extent(n)[0]
            dry = self.pools[k] = _Level(
                low, loose.body.immersed(n, low - loose.body.size), loose.body.centroid, 0.0
            )
            return dry
        if loose.volume >= loose.body.volume * (1 - 1e-12):
            full = loose.body.immersed(n, loose.body.extent(n)[1] + loose.body.size)
            whole = self.pools[k] = _Level(loose.body.extent(n)[1], full, loose.body.centroid, 0.0)
            return whole
        before = self.pools[k]
        guess = (
            float(n @ before.cut.plane_centroid) + before.rise
            if before is not None and before.cut.plane_area > 0
            else None
        )
        pool = self.pools[k] = self._level(loose.body, loose.volume, n, guess, min(near, 1e-6))
        return pool

    def _level(self, body: Body, volume: float, n: Array, guess: float | None, near: float) -> _Level:
        offset, cut = self._held(body, volume, n, guess, near)
        if cut.plane_area <= 0:
            return _Level(offset, cut, cut.centroid, 0.0)
        missing = volume - cut.volume
        rise = missing / cut.plane_area
        return _Level(
            offset,
            cut,
            (cut.volume * cut.centroid + missing * (cut.plane_centroid + n * (rise / 2))) / volume,
            rise,
        )

    def _held(
        self, body: Body, volume: float, n: Array, guess: float | None, near: float
    ) -> tuple[float, Immersed]:
        """The offset at which a volume is held: Newton, kept between bounds. The plane's area is the
        slope."""
        low, high = (-math.inf, math.inf) if guess is not None else body.extent(n)
        offset = guess if guess is not None else low + (high - low) * (volume / body.volume) ** 0.6
        was = math.inf
        while True:
            cut = body.immersed(n, offset)
            self.cuts += 1
            error = cut.volume - volume
            if abs(error) <= near * volume:
                return offset, cut
            if math.isinf(low) and math.isinf(high) and (abs(error) > was / 4 or cut.plane_area <= 0):
                low, high = body.extent(n)
            low, high = (offset, high) if error < 0 else (low, offset)
            if high - low <= 4e-16 * (abs(offset) + body.size) or self.cuts > _MOST_CUTS:
                return offset, cut
            newton = offset - error / cut.plane_area if cut.plane_area > 0 else math.inf
            slow = abs(error) > was / 2
            offset = (
                newton
                if low < newton < high and not slow
                else (low + high) / 2
                if math.isfinite(high - low)
                else newton
            )
            was = math.inf if slow else abs(error)


def _turned(n: Array, along: Array, angle: float) -> Array:
    """n turned by an angle [rad] towards a tangent vector of that length."""
    up = n * math.cos(angle) + along * (math.sin(angle) / angle)
    return up / math.sqrt(float(up @ up))


def _softest(stiffness: Array) -> tuple[float, float, Array]:
    """Least and greatest stiffness, and the direction of the least."""
    if len(stiffness) == 1:
        only = float(stiffness[0, 0])
        return only, only, np.ones(1)
    (a, b), (_, c) = stiffness.tolist()
    mean, half = (a + c) / 2, math.hypot((a - c) / 2, b)
    angle = math.atan2(2 * b, a - c) / 2  # of the stiffest
    return mean - half, mean + half, np.array([-math.sin(angle), math.cos(angle)])


def _least(gradient: Array, stiffness: Array, radius: float, tangent: Array, noise: float) -> Array:
    """The step within the radius that the second-order model says is lowest.

    On a saddle the gradient along the softest direction is nought: then to starboard, or where that direction
    is along the boat, by the stern.
    """
    low, high, soft = _softest(stiffness)
    hard = np.array([-soft[1], soft[0]]) if len(soft) == 2 else np.zeros(1)
    along, over = float(gradient @ soft), float(gradient @ hard)
    if low <= 0 and abs(along) <= noise:
        way = tangent.T @ soft
        sign = -way[1] if abs(way[1]) > 1e-6 else -way[0]
        over = 0.0 if len(soft) == 1 else max(-radius, min(radius, -over / max(high - low, 1e-300)))
        return math.copysign(math.sqrt(radius**2 - over**2), sign) * soft + over * hard
    if low > 0:
        step = -along / low * soft - (over / high * hard if len(soft) == 2 else 0.0)
        if math.hypot(*step) <= radius:
            return step
    # on the rim: (stiffness + shift) step = -gradient with |step| = radius; 1/|step| is nearly straight in
    # the shift
    least = max(0.0, -low)
    shift = least + math.hypot(along, over) / radius
    for _ in range(50):
        s, h = along / (low + shift), over / (high + shift) if over else 0.0
        length = math.hypot(s, h)
        if abs(length - radius) < 1e-3 * radius:
            break
        bend = (s * s / (low + shift) + (h * h / (high + shift) if over else 0.0)) / length
        new = shift + (length - radius) / radius * length / bend
        shift = new if new > least else (shift + least) / 2
    return -s * soft - h * hard
