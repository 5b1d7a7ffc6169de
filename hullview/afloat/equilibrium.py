"""At rest: draft, trim and heel for a mass and its centre, and what a builder reads off the hull as it
lies."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import ArrayLike

from hullview.afloat.settle import Descent, Settled
from hullview.arrays import Array
from hullview.errors import UsageError
from hullview.shape.body import Body, Immersed, plane_basis
from hullview.shape.hull import Hull


@dataclass(frozen=True)
class Rest:
    """How a body lies: state "afloat" or "sinks"; up seen from the boat (3,), water plane n . p = offset [m],
    heel and trim [rad].

    heel is None where the boat stands on end; all but the load is None when it sinks. Where the heel was
    held, trim runs the full circle, past the vertical too, so that `up(heel, trim)` is the normal.
    upright_stable: does it right a small heel when level athwartships. gm, gm_longitudinal: metacentric
    heights as it lies [m]. residuals: force over weight, moment over weight x length. cuts: planes it took.
    mass [kg], centre (3,) [m], density [kg/m3].
    """

    state: str
    mass: float
    centre: Array
    density: float
    normal: Array | None = None
    offset: float | None = None
    heel: float | None = None
    trim: float | None = None
    upright_stable: bool | None = None
    immersed: Immersed | None = None
    gm: float | None = None
    gm_longitudinal: float | None = None
    residuals: tuple[float, float] | None = None
    cuts: int = 0

    def __repr__(self) -> str:
        return f"<Rest: {self.state}, {self.mass:.6g} kg, heel {self.heel} rad, trim {self.trim} rad>"


def up(heel: float, trim: float) -> Array:
    """The unit vector out of the water seen from the boat, for heel to starboard and trim by the stern [rad].

    >>> up(0.0, 0.0).tolist() == [0.0, 0.0, 1.0]
    True
    """
    return np.array([-math.sin(trim), -math.cos(trim) * math.sin(heel), math.cos(trim) * math.cos(heel)])


def angles(n: Array) -> tuple[float | None, float]:
    """Heel and trim [rad] of a direction of up; heel None where the boat stands on end (|n_x| > 0.9999)."""
    x, y, z = (float(v) for v in n)
    heel = None if abs(x) > 0.9999 else math.atan2(-y, z) + 0.0
    if heel is not None and heel < 1e-12 - math.pi:
        heel = math.pi  # upside down, whatever the sign of the last bit
    return heel, math.asin(max(-1.0, min(1.0, -x))) + 0.0


CAPSIZED = "capsized"
"""The state of a boat that comes to rest past `CAPSIZED_AT` of heel or trim, whatever a bare mesh would do
there."""
CAPSIZED_AT = math.radians(60)


def is_capsized(lying: Rest) -> bool:
    """Whether a boat that lies so has capsized: past 60 degrees of heel or trim, or on end."""
    if lying.normal is None:
        return False
    heel, trim = angles(lying.normal)
    return heel is None or abs(heel) > CAPSIZED_AT or abs(trim) > CAPSIZED_AT


def rest(
    body: Body,
    mass: float,
    centre: ArrayLike,
    density: float,
    start_normal: Array | None = None,
    *,
    start: Rest | None = None,
    judge_upright: bool = True,
    stop: Callable[[Array], bool] | None = None,
) -> Rest:
    """Where a body of a mass [kg] with its centre (3,) [m] comes to rest in water of a density [kg/m3].

    The walk begins upright, or at `start_normal`, or where another load came to rest (`start`: three or four
    cuts then do). `upright_stable` takes a few cuts more where it lies heeled; judge_upright=False leaves it
    None. stop: says of a direction of up on the way that it is not to be followed further: `settle.Passed` is
    raised.
    """
    where = _load(mass, centre, density)
    volume = mass / density
    if volume >= body.volume * (1 - 1e-12):
        return Rest("sinks", mass, where, density)
    n, offset = _begin(start, start_normal, volume)
    settled = Descent(body, volume, where).run(n, offset, stop)
    level = abs(settled.spot.n[1]) < 1e-6 and settled.spot.n[2] > 0
    stable: bool | None = True
    if not level:
        stable = upright(body, mass, where, density, start=start).gm > 0 if judge_upright else None  # type: ignore[operator]
    return _rest(settled, mass, where, density, stable, body.size)


def upright(body: Body, mass: float, centre: ArrayLike, density: float, *, start: Rest | None = None) -> Rest:
    """The same with the heel held at nought and trim free: the rest of a symmetrical boat with its load on
    the centre line.

    Quick with `start`, any earlier rest: about four cuts. Where the load is off the centre line the moment
    residual says so.
    """
    return at_heel(body, mass, centre, density, 0.0, start=start)


def at_heel(
    body: Body,
    mass: float,
    centre: ArrayLike,
    density: float,
    heel: float,
    *,
    trim: float | None = None,
    offset: float | None = None,
    start: Rest | None = None,
) -> Rest:
    """Displacement and heel [rad] held, trim free: least energy over trim alone. trim, offset or `start` are
    first guesses.

    The trim found runs the full circle: a body may come to rest past the vertical, where asin alone would
    fold it back and heel and trim would no longer give the normal.
    """
    where = _load(mass, centre, density)
    volume = mass / density
    if volume >= body.volume * (1 - 1e-12):
        return Rest("sinks", mass, where, density)
    if start is not None and start.trim is not None and trim is None:
        trim = start.trim
        offset = (
            _begin(start, None, volume)[1]
            if start.heel is not None and abs(start.heel - heel) < 0.1
            else None
        )
    across = np.array([0.0, math.cos(heel), math.sin(heel)])
    settled = Descent(body, volume, where, across).run(up(heel, trim or 0.0), offset)
    made = _held_at(_rest(settled, mass, where, density, None, body.size), heel)
    return made if heel else _with_upright(made)


def _held_at(made: Rest, heel: float) -> Rest:
    """The same with the heel that was held, and the trim that together with it gives the normal."""
    x, y, z = (float(v) for v in made.normal)  # type: ignore[union-attr]
    upward = z * math.cos(heel) - y * math.sin(heel)
    return replace(made, heel=None if made.heel is None else heel, trim=math.atan2(-x, upward) + 0.0)


def _with_upright(made: Rest) -> Rest:
    return replace(made, upright_stable=made.gm is not None and made.gm > 0)


def _load(mass: float, where: ArrayLike, density: float) -> Array:
    centre = np.asarray(where, float)
    if centre.shape != (3,) or not np.isfinite(centre).all():
        raise UsageError(f"a centre is three finite numbers, aft, starboard and up: got {centre.tolist()}.")
    if not (0 < mass < math.inf):
        raise UsageError(f"a mass must be more than 0 kg: got {mass}.")
    if not (0 < density < math.inf):
        raise UsageError(f"a density of water must be more than 0 kg/m3: got {density}.")
    return centre


def _begin(start: Rest | None, normal: Array | None, volume: float) -> tuple[Array, float | None]:
    """Where the walk begins: up, and a first guess of the offset (sunk or raised from an earlier rest by
    the volume between)."""
    if normal is not None:
        n = np.asarray(normal, float)
        return n / np.sqrt(n @ n), None
    if (
        start is not None
        and start.normal is not None
        and start.offset is not None
        and start.immersed is not None
    ):
        was = start.immersed
        return start.normal, start.offset + (
            (volume - was.volume) / was.plane_area if was.plane_area > 0 else 0.0
        )
    return np.array([0.0, 0.0, 1.0]), None


def _rest(
    settled: Settled, mass: float, centre: Array, density: float, stable: bool | None, size: float
) -> Rest:
    spot = settled.spot
    cut, n = spot.cut, spot.n
    heel, trim = angles(n)
    aft, across = plane_basis(n)
    arm = centre - cut.centroid
    height = float(arm @ n)
    bm, bm_longitudinal = (float(e @ cut.plane_second_moments @ e) / cut.volume for e in (across, aft))
    level_arm = arm - height * n
    residuals = abs(density * cut.volume / mass - 1), math.sqrt(float(level_arm @ level_arm)) / size
    return Rest(
        "afloat", mass, centre, density, n, spot.offset, heel, trim, stable, cut,
        bm - height, bm_longitudinal - height, residuals, settled.cuts,
    )  # fmt: skip


@dataclass(frozen=True)
class Floating:
    """What a builder reads off the hull as it lies. Lengths [m], areas [m2], volumes [m3], angles [rad],
    masses [kg].

    state "afloat"; "capsized" (past 60 degrees of heel or trim: heel, trim and water plane alone are then
    told), which goes before "floods" (water reaches a flooding line as the boat would lie); or "sinks": all
    figures are then None, and `rest` keeps the state that was reached. immersion: kilograms that sink it one
    centimetre. draft: of the deepest point; draft_forward, draft_aft: depth of the base line through the
    lowest point of the hull at the ends of the waterline, so their difference is the trim over the waterline.
    freeboard, height_to_flooding, reserve_of_buoyancy: None for a bare mesh. greatest_draft: with appendages.
    flooding_at: name of the lowest flooding line. error: estimated mesh error of each figure by its name
    here, where `mesh_error` was asked.
    """

    state: str
    mass: float
    centre: Array
    density: float
    rest: Rest
    upright_stable: bool | None = None
    heel: float | None = None
    trim: float | None = None
    normal: Array | None = None
    offset: float | None = None
    draft: float | None = None
    draft_forward: float | None = None
    draft_aft: float | None = None
    greatest_draft: float | None = None
    displaced_volume: float | None = None
    centre_of_buoyancy: Array | None = None
    waterplane_area: float | None = None
    wetted_area: float | None = None
    waterline_length: float | None = None
    waterline_beam: float | None = None
    gm: float | None = None
    gm_longitudinal: float | None = None
    immersion: float | None = None
    freeboard: float | None = None
    height_to_flooding: float | None = None
    reserve_of_buoyancy: float | None = None
    flooding_at: str | None = None
    error: Mapping[str, Any] | None = None

    def __repr__(self) -> str:
        return f"<Floating: {self.state}, {self.mass:.6g} kg, draft {self.draft} m, GM {self.gm} m>"


def float_body(
    body: Body, mass: float, centre: ArrayLike, density: float, *, start: Rest | Floating | None = None
) -> Floating:
    """A bare mesh at rest: it has no sheer and nowhere to flood.

    Parameters
    ----------
    body : Body
    mass : float
        Of all that floats [kg].
    centre : array_like, shape (3,)
        Of that mass [m].
    density : float
        Of the water [kg/m3].
    start : Rest or Floating, optional
        Where it lay under a similar load: it is sought from there.

    Returns
    -------
    Floating

    Raises
    ------
    SolveError
        No rest was found; it carries the last state, which is no result.
    """
    return _floating(rest(body, mass, centre, density, start=_resting(start)), body)


def float_hull(
    hull: Hull,
    body: Body,
    mass: float,
    centre: ArrayLike,
    density: float,
    *,
    start: Rest | Floating | None = None,
    held_level: bool = False,
) -> Floating:
    """A hull at rest, with its freeboard and the height left before water comes in.

    Parameters
    ----------
    hull : Hull
    body : Body
        Of the hull, or of the hull with its appendages; the draft is the bare hull's all the same.
    mass : float
        Of all that floats [kg].
    centre : array_like, shape (3,)
        Of that mass [m].
    density : float
        Of the water [kg/m3].
    start : Rest or Floating, optional
        Where it lay under a similar load: it is sought from there.
    held_level : bool
        Heel held at nought, which is quicker, and right where hull and load are symmetrical.

    Returns
    -------
    Floating
        Its `state` is "afloat", "floods", "capsized" or "sinks".

    Raises
    ------
    SolveError
        No rest was found; it carries the last state, which is no result.

    Notes
    -----
    At rest the potential energy is least at a displaced mass equal to the load's: centre of buoyancy and
    centre of mass stand in one line square to the water.
    """
    settle = upright if held_level else rest
    lying = settle(body, mass, centre, density, start=_resting(start))
    return describe(hull, body, lying)


def describe(hull: Hull, body: Body, lying: Rest) -> Floating:
    """What is read off a hull that lies as `lying` says."""
    if lying.normal is None or lying.offset is None:
        return Floating("sinks", lying.mass, lying.centre, lying.density, lying)
    if is_capsized(lying):
        return Floating(
            CAPSIZED, lying.mass, lying.centre, lying.density, lying,
            heel=lying.heel, trim=lying.trim, normal=lying.normal, offset=lying.offset,
        )  # fmt: skip
    height, where = height_to_flooding(hull, lying.normal, lying.offset)
    if height is not None and height <= 0:
        return Floating("floods", lying.mass, lying.centre, lying.density, lying, flooding_at=where)
    bare = _floating(lying, body)
    displaced = bare.displaced_volume or 0.0
    top = body.volume if height is None else body.immersed(lying.normal, lying.offset + height).volume
    figures = {
        **bare.__dict__,
        "freeboard": float((both_sides(hull.sheer) @ lying.normal).min()) - lying.offset,
        "height_to_flooding": height,
        "reserve_of_buoyancy": (top - displaced) / displaced,
        "flooding_at": where,
    }
    return Floating(**figures)


def both_sides(points: Array) -> Array:
    """Points (k, 3) of a starboard line with their images to port (2k, 3)."""
    return np.concatenate([points, points * (1.0, -1.0, 1.0)])


def height_to_flooding(hull: Hull, normal: Array, offset: float) -> tuple[float | None, str | None]:
    """Least height above water [m] of all that lets water in, along each whole line, and its name; None
    where nothing does."""
    open_lines = [line for line in hull.flooding if not line.sealed_by_cover]
    if not open_lines:
        return None, None
    heights = [float((line.points @ normal).min()) - offset for line in open_lines]
    least = min(range(len(heights)), key=heights.__getitem__)
    return heights[least], open_lines[least].name


def _resting(start: Rest | Floating | None) -> Rest | None:
    return start.rest if isinstance(start, Floating) else start


def _floating(lying: Rest, body: Body) -> Floating:
    n, offset, cut = lying.normal, lying.offset, lying.immersed
    if n is None or offset is None or cut is None:
        return Floating("sinks", lying.mass, lying.centre, lying.density, lying)
    ends = plane_basis(n) @ body.bare.section(n, offset).reshape(-1, 3).T
    low, high = ends.min(axis=1), ends.max(axis=1)
    length, beam = (high - low).tolist()
    forward, aft = _base_line_depth(
        n, offset, body.bare.extent((0.0, 0.0, 1.0))[0], (float(low[0]), float(high[0]))
    )
    return Floating(
        "afloat",
        lying.mass,
        lying.centre,
        lying.density,
        lying,
        lying.upright_stable,
        lying.heel,
        lying.trim,
        n,
        offset,
        draft=offset - body.bare.extent(n)[0],
        draft_forward=forward,
        draft_aft=aft,
        greatest_draft=offset - body.extent(n)[0],
        displaced_volume=cut.volume,
        centre_of_buoyancy=cut.centroid,
        waterplane_area=cut.plane_area,
        wetted_area=cut.wetted_area,
        waterline_length=length,
        waterline_beam=beam,
        gm=lying.gm,
        gm_longitudinal=lying.gm_longitudinal,
        immersion=lying.density * cut.plane_area / 100,
    )


def _base_line_depth(
    n: Array, offset: float, lowest: float, ends: tuple[float, float]
) -> tuple[float | None, float | None]:
    """Depth of the line z = lowest, y = 0 under two points of the water plane, given by their place along
    it [m]."""
    if abs(n[0]) > 0.9999:
        return None, None
    aft = plane_basis(n)[0]
    x = [(u - aft[2] * lowest) / aft[0] for u in ends]
    forward, after = (offset - float(n[0] * at + n[2] * lowest) for at in x)
    return forward, after
