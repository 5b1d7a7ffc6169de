"""The boat in the water: what freeboards and an inclining test say of its weight and its centre, against what
was estimated.

Freeboards at two places or more fix the water plane; the volume under it is its displacement, and its
centroid stands under or over the centre of all that is aboard. A mass m moved d sideways that heels the boat
by phi: GM = m d / (W tan phi), the inclining test (Derrett & Barrass, Ship Stability for Masters and Mates,
chapter on the inclining test). The height of the centre is then found from the heeled hull itself, so that a
round hull and a large angle are no trouble.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from hullview.afloat.equilibrium import at_heel, up
from hullview.afloat.loads import bottom_thickness, gear_centre
from hullview.arrays import Array
from hullview.boat.model import AfloatEntry, Boat
from hullview.boat.readings import FreeboardReading, Inclining
from hullview.errors import HullviewError
from hullview.shape.body import Body
from hullview.shape.hull import Hull
from hullview.weight.causes import Z10, evenly, span_of
from hullview.weight.line import WeightLine
from hullview.weight.mass import Mass, total
from hullview.weight.patch import at_point
from hullview.weight.total import CauseShare, Weight

FREEBOARD_ERROR = 0.003
"""How well a freeboard is read off a batten in still water [m], one standard deviation (common practice,
no source)."""


READ_AFLOAT = "freeboards as read afloat"
"""What makes the range of a mass that was measured on the water."""
LEAST_OFF = 1e-6
"""A smaller difference between measured and estimated is none [kg]."""


class MeasuredError(HullviewError):
    """Readings that cannot belong to this boat."""


@dataclass(frozen=True)
class WaterPlane:
    """As read: heel, trim [rad], offset [m] of n . p = offset; covariance of (offset, trim, heel), those not
    read at nought; misfit: greatest difference between a reading and the plane [m]."""

    heel: float
    trim: float
    offset: float
    covariance: Array
    misfit: float

    @property
    def normal(self) -> Array:
        return up(self.heel, self.trim)


@dataclass(frozen=True)
class MeasuredEntry:
    """One outing: displacement [kg] with its error (one standard deviation) and the plane, where freeboards
    were read; gm [m] by the handbook's formula and the centre of all aboard above the base line [m], where it
    was inclined; load: mass aboard [kg]."""

    load: float
    plane: WaterPlane | None
    displacement: float | None
    error: float | None
    gm: float | None
    centre_height: float | None
    note: str = ""


FAR, FAR_UP = 1.5, 0.15
"""A mass off by more than this many of its range and error together, a centre by more than this [m], is
doubted (common practice, no source)."""


@dataclass(frozen=True)
class Measured:
    """What all outings say of the boat itself, and the weight to go on with: mass and centre as far as
    they were measured."""

    entries: tuple[MeasuredEntry, ...]
    mass: float | None
    mass_error: float | None
    centre: Array
    estimated: Mass
    weight: Weight
    scale_is_surer: bool = False
    """The finished boat was on a scale, and that says its mass better than its freeboards do."""

    @property
    def words(self) -> str:
        """What was measured, in a sentence."""
        sentences = []
        if self.mass is not None and self.mass_error is not None:
            known = "the scale is surer:" if self.scale_is_surer else "estimated"
            sentences.append(
                f"boat {self.mass:.1f} kg by its freeboards (+- {Z10 * self.mass_error:.1f}; {known}"
                f" {self.estimated.mass:.1f})"
            )
            sentences.append(
                f"its centre {self.centre[0]:.2f} m aft (estimated {self.estimated.centre[0]:.2f})"
            )
        gms = [e.gm for e in self.entries if e.gm is not None]
        if gms:
            sentences.append(
                f"GM {np.mean(gms) * 1000:.0f} mm by inclining, its centre {self.centre[2] * 1000:.0f} mm up"
                f" (estimated {self.estimated.centre[2] * 1000:.0f})"
            )
        doubt = (
            " That is far from what was estimated: read it again before you rely on it."
            if self.far_off
            else ""
        )
        return "As measured afloat: " + "; ".join(sentences) + "." + doubt

    @property
    def far_off(self) -> bool:
        """Mass or height of the centre so far from the estimate that a slip in reading is likelier than
        such a boat."""
        off = 0.0
        if self.mass is not None and self.mass_error is not None and not self.scale_is_surer:
            low, high = self.estimated.low or self.estimated.mass, self.estimated.high or self.estimated.mass
            off = abs(self.mass - self.estimated.mass) / (high - low + Z10 * self.mass_error)
        risen = (
            abs(self.centre[2] - self.estimated.centre[2])
            if any(e.gm is not None for e in self.entries)
            else 0.0
        )
        return off > FAR or risen > FAR_UP


# ---------------------------------------------------------------- the water plane from freeboards


def sheer_at(hull: Hull, position: float, side: str) -> Array:
    """The sheer (3,) at a position aft of the datum [m]: starboard, port, or with y = 0 for the mean of
    both."""
    line = hull.sheer
    low, high = float(line[:, 0].min()), float(line[:, 0].max())
    if not low <= position <= high:
        raise MeasuredError(
            f"freeboard at {position:g} m: the sheer runs from {low:.3f} to {high:.3f} m aft of the datum."
        )
    order = np.argsort(line[:, 0], kind="stable")
    y, z = (float(np.interp(position, line[order, 0], line[order, i])) for i in (1, 2))
    return np.array([position, {"starboard": y, "port": -y, "both": 0.0}[side], z])


def water_plane(hull: Hull, readings: Sequence[FreeboardReading]) -> WaterPlane:
    """The plane that fits the freeboards best: trim from places apart, heel only where both sides were
    read by themselves."""
    places = {round(r.position, 6) for r in readings}
    if len(places) < 2:
        raise MeasuredError(
            "freeboards: read them at two places or more along the boat, so that its trim is known."
        )
    points = np.array([sheer_at(hull, r.position, r.side) for r in readings])
    read = np.array([r.freeboard for r in readings])
    free = [0, 1, 2] if {"starboard", "port"} <= {r.side for r in readings} else [0, 1]

    def freeboards(x: Array) -> Array:
        return np.asarray(points @ up(x[2], x[1]) - x[0])

    x = np.array([float((points[:, 2] - read).mean()), 0.0, 0.0])
    slope = np.zeros((len(read), 3))
    for _ in range(20):
        slope = np.array([(freeboards(x + d) - freeboards(x - d)) / 2e-6 for d in 1e-6 * np.eye(3)]).T
        step = np.zeros(3)
        step[free] = np.linalg.lstsq(slope[:, free], read - freeboards(x), rcond=None)[0]
        x = x + step
        if np.abs(step).max() < 1e-12:
            break
    covariance = np.zeros((3, 3))
    covariance[np.ix_(free, free)] = FREEBOARD_ERROR**2 * np.linalg.pinv(slope[:, free].T @ slope[:, free])
    return WaterPlane(
        float(x[2]), float(x[1]), float(x[0]), covariance, float(np.abs(read - freeboards(x)).max())
    )


def _displacement(body: Body, plane: WaterPlane, density: float) -> tuple[float, float]:
    """Displacement [kg] under a plane, and its error from that of the plane at the centre of flotation."""
    wet = body.immersed(plane.normal, plane.offset)
    if wet.volume <= 0:
        raise MeasuredError(
            "freeboards: by these readings the hull does not touch the water. Are they heights of the sheer"
            " above water?"
        )
    c, h = wet.plane_centroid, 1e-6
    rise = [
        1.0,
        *(
            -float(c @ (up(plane.heel + b, plane.trim + a) - plane.normal)) / h
            for a, b in ((h, 0.0), (0.0, h))
        ),
    ]
    spread = np.array(rise) @ plane.covariance @ np.array(rise)
    return density * wet.volume, density * wet.plane_area * float(np.sqrt(spread))


# ---------------------------------------------------------------- the inclining test


def inclining_gm(readings: Sequence[Inclining], displacement: float) -> float:
    """GM [m] by the handbook: the slope of m d against W tan phi, through nought, over all readings.

    The worked case of the handbook (Derrett & Barrass, from memory): 25 t moved 15 m, 8000 t, 20 cm on a 4 m
    plumb line.

    >>> round(inclining_gm([Inclining(25e3, 15.0, float(np.arctan(0.2 / 4)))], 8000e3), 4)
    0.9375
    """
    moment = np.array([abs(r.mass * r.distance) for r in readings])
    lean = np.array([np.tan(abs(r.heel)) for r in readings])
    if (lean <= 0).any():
        raise MeasuredError("inclining: a heel of nought says nothing. Move more mass, or farther.")
    return float(moment @ lean / (lean @ lean) / displacement)


def _centre_height(body: Body, readings: Sequence[Inclining], laden: Mass, density: float) -> float:
    """Height of the centre of all aboard [m]: at each heel read, the centre stands over the centre of
    buoyancy of the heeled hull."""
    found = []
    for r in readings:
        heel = abs(r.heel)
        y = abs(r.mass * r.distance) / laden.mass
        wet = at_heel(body, laden.mass, laden.centre, density, heel).immersed
        if wet is None:
            raise MeasuredError(
                "inclining: by the estimate the boat sinks with this load aboard, so its readings say"
                " nothing."
            )
        b = wet.centroid
        found.append(b[2] + (b[1] - y) * np.cos(heel) / np.sin(heel))
    return float(np.mean(found))


# ---------------------------------------------------------------- all together


def _load(entry: AfloatEntry, hull: Hull, thickness: float) -> Mass:
    return total(Mass(g.mass, gear_centre(g, hull, thickness)) for g in entry.load)


def _outing(
    entry: AfloatEntry, load: Mass, body: Body, hull: Hull, bare: Mass, density: float
) -> tuple[MeasuredEntry, Mass]:
    """One entry read, and what it says of the boat without its load."""
    plane, displacement, error = None, None, None
    laden = bare + load if load.mass > 0 else bare
    boat_mass, centre = bare.mass, np.array(bare.centre, float)
    if entry.freeboards:
        plane = water_plane(hull, entry.freeboards)
        displacement, error = _displacement(body, plane, density)
        boat_mass = displacement - load.mass
        if boat_mass <= 0:
            raise MeasuredError(
                f"freeboards: they give {displacement:.1f} kg in all, less than the {load.mass:.1f} kg said"
                " to be aboard."
            )
        laden = Mass(displacement, (boat_mass * centre + load.mass * load.centre) / displacement)
    gm, height = None, float(laden.centre[2])
    if entry.inclining:
        gm = inclining_gm(entry.inclining, laden.mass)
        height = _centre_height(body, entry.inclining, laden, density)
    g = np.array([*laden.centre[:2], height])
    if plane is not None:
        b = body.immersed(plane.normal, plane.offset).centroid
        g[:2] = b[:2] + (height - b[2]) * plane.normal[:2] / plane.normal[2]
    own = (laden.mass * g - load.mass * load.centre) / boat_mass
    made = MeasuredEntry(
        load.mass, plane, displacement, error, gm, height if entry.inclining else None, entry.note
    )
    return made, Mass(boat_mass, own)


def measured(boat: Boat, hull: Hull, body: Body, weight: Weight, density: float) -> Measured | None:
    """What [[afloat]] says of the boat, or None where nothing was measured of this build. The weight handed
    back goes on in place of the estimate.

    Where freeboards were read, mass and the centre's place fore and aft (and athwart) are theirs; where it
    was inclined, the centre's height is. Only a scale under the finished boat goes before its freeboards,
    where its error is less. Several outings are averaged, each mass by its own error. Inertia keeps its shape
    and goes with the mass.
    """
    outings = [e for e in boat.afloat if (e.build or boat.builds[0].name) == weight.build]
    if not outings:
        return None
    bare, thickness = weight.whole, bottom_thickness(boat, weight.build)
    entries, found = [], []
    for entry in outings:
        made, own = _outing(entry, _load(entry, hull, thickness), body, hull, bare, density)
        entries.append(made)
        found.append(own)
    by_board = [(e, m) for e, m in zip(entries, found) if e.error is not None]
    inclined = [m for e, m in zip(entries, found) if e.centre_height is not None]
    centre, mass, error = np.array(bare.centre, float), None, None
    if by_board:
        share = np.array([1 / float(e.error or 1.0) ** 2 for e, _ in by_board])
        mass, error = float(share @ [m.mass for _, m in by_board] / share.sum()), float(share.sum() ** -0.5)
        centre[:2] = share @ np.array([m.centre[:2] for _, m in by_board]) / share.sum()
    if inclined:
        centre[2] = np.mean([m.centre[2] for m in inclined])
    surer = any(
        r.stage == "finished" and r.build == weight.build and error is not None and r.scale_error < error
        for r in weight.readings
    )
    known = Measured(tuple(entries), mass, error, centre, bare, weight, surer)
    going_on = _going_on(weight, None if surer else mass, error, centre)
    return replace(known, weight=replace(going_on, measured=known.words))


def _going_on(weight: Weight, mass: float | None, error: float | None, centre: Array) -> Weight:
    """The weight with mass and centre as measured: its lines stay as estimated, and one more makes up the
    difference."""
    if mass is None or error is None:
        return replace(weight, whole=replace(weight.whole, centre=centre), measured_centre=centre)
    low, high = mass - Z10 * error, mass + Z10 * error
    drawn = mass + error * evenly(np.random.default_rng(1889), weight.samples.shape[1])
    row = drawn - weight.samples.sum(axis=0)
    line = _difference(weight, mass, centre, row)
    n = len(weight.lines)
    samples = np.insert(weight.samples, n, row, axis=0)
    last = replace(weight.stages[-1], predicted=(low, mass, high))
    return replace(
        weight,
        lines=(*weight.lines, line),
        whole=Mass(mass, centre, weight.inertia * mass / weight.mass, low, high),
        schedule=_with(weight.schedule, line, samples[: n + 1]),
        causes=(CauseShare(READ_AFLOAT, Z10 * error, 1.0),),
        stages=(*weight.stages[:-1], last),
        samples=samples,
        measured_centre=centre,
    )


def _difference(weight: Weight, mass: float, centre: Array, row: Array) -> WeightLine:
    """What makes the estimate up to what was measured, where that has to lie for the centres to add up
    too."""
    off = mass - weight.mass
    at = (mass * centre - weight.mass * weight.centre) / off if abs(off) > LEAST_OFF else centre
    low, high = span_of(row)
    return WeightLine(
        "measured less estimated", "afloat", "piece", 1.0, "pieces", "measured", at_point(at), (),
        kind="measured", mass=off, low=low, high=high,
    )  # fmt: skip


def _with(schedule: Mass, line: WeightLine, rows: Array) -> Mass:
    """The schedule with the difference in it."""
    both = total((schedule, Mass(line.mass, line.centre)))
    low, high = span_of(rows.sum(axis=0))
    return replace(both, low=low, high=high)


def as_measured(boat: Boat, hull: Hull, body: Body, weight: Weight, density: float) -> Weight:
    """The weight and centre as found on the water, where that build was measured there, in place of the
    estimate.

    Raises
    ------
    MeasuredError
        The readings cannot belong to this boat.
    """
    if not boat.afloat:
        return weight
    try:
        found = measured(boat, hull, body, weight, density)
    except MeasuredError as error:
        raise MeasuredError(str(error), place="boat.toml: [[afloat]]") from error
    return weight if found is None else found.weight
