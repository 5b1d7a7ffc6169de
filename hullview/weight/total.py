"""What one build of a boat weighs: every line, its range, the sum that floats, the centre, the inertia, and
what makes the range.

`weigh` is the one way through: geometry from the hull's mesh, terms from the schedule, one set of samples for
all ranges, closed in by what the scale said.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace

import numpy as np

from hullview.arrays import Array
from hullview.boat.model import Boat, Build
from hullview.errors import refuse_path
from hullview.materials import library
from hullview.shape.hull import Hull
from hullview.weight.allow import Answered, usually_also
from hullview.weight.areas import places_of, planking, skins
from hullview.weight.causes import SAMPLES, Z10, Model, compile_model, ends_of, span_of
from hullview.weight.lengths import runs
from hullview.weight.line import ScheduleError, ScheduleLine, WeightLine
from hullview.weight.mass import Mass
from hullview.weight.patch import Spread, joined
from hullview.weight.pieces import appendages, bulkheads, pieces
from hullview.weight.scale import Estimate, known_from
from hullview.weight.stages import StageReading, stages_of


@dataclass(frozen=True)
class CauseShare:
    """A cause of the range of what floats: swing is half of what that moves by between the cause's low and
    its high end [kg], what is bound to it by a weighing going along; share: of the squares of all swings,
    which is the share of the variance where none is bound."""

    cause: str
    swing: float
    share: float


@dataclass(frozen=True)
class StepMass:
    """One step of wood or resin: put on and left aboard [kg]; what was sanded off is the difference."""

    group: str
    step: str
    put_on: float
    left: float

    @property
    def sanded(self) -> float:
        return self.put_on - self.left


@dataclass(frozen=True)
class Weight:
    """What one build of a boat weighs.

    Parameters
    ----------
    build
        Its name.
    lines
        The lines of the schedule; where the boat was measured afloat, last a line "measured less estimated"
        that makes them add up.
    usually_also
        What such a boat has and this schedule lacks, silenced by `without`: allowed for beside the schedule.
    answered
        What such a boat usually has and is not allowed for, with what answers for it.
    whole
        What floats: the lines and what is allowed for, with its range.
    schedule, allowance
        The lines alone, and what is allowed for alone.
    causes
        What makes the range of `whole`, most first.
    steps
        Wood, cloth and resin of the schedule by step.
    stages
        What the scale should say at each stage, as far as is known; the last is `whole`.
    readings
        What it did say, of whichever build, against what was expected before any weighing.
    readings_odds
        Share of boats so built whose readings, all together, would be as far from what is expected; 1 without
        any.
    samples
        Masses of the same n boats for every build, a row for each of `lines` and `usually_also`: for shares
        and paired differences.
    model, z
        The terms, and the causes of the n boats, (causes, n).
    measured_centre, measured
        The centre found afloat (`hullview.afloat.measured`), (3,) [m], and in words what was measured there.

    Notes
    -----
    `mass`, `low`, `high`, `centre`, `inertia`, `gyradii` and `groups` are all of what floats.
    """

    build: str
    lines: tuple[WeightLine, ...]
    usually_also: tuple[WeightLine, ...]
    answered: tuple[Answered, ...]
    whole: Mass
    schedule: Mass
    allowance: Mass
    causes: tuple[CauseShare, ...]
    steps: tuple[StepMass, ...]
    stages: tuple[StageReading, ...]
    readings: tuple[StageReading, ...] = ()
    readings_odds: float = 1.0
    samples: Array = field(default_factory=lambda: np.zeros((0, 0)), repr=False, compare=False)
    model: Model | None = field(default=None, repr=False, compare=False)
    z: Array | None = field(default=None, repr=False, compare=False)
    measured_centre: Array | None = None
    measured: str = ""

    def __repr__(self) -> str:
        return (
            f"<Weight of {self.build[:80]!r}: {self.mass:.4g} kg ({self.low:.4g} to {self.high:.4g}),"
            f" {len(self.lines)} lines>"
        )

    @property
    def mass(self) -> float:
        """Of what floats, likely [kg]."""
        return self.whole.mass

    @property
    def low(self) -> float:
        """One boat in ten so built floats lighter [kg]."""
        return self.whole.mass if self.whole.low is None else self.whole.low

    @property
    def high(self) -> float:
        """One boat in ten so built floats heavier [kg]."""
        return self.whole.mass if self.whole.high is None else self.whole.high

    @property
    def centre(self) -> Array:
        """Centre of what floats, (3,) [m]."""
        return self.whole.centre

    @property
    def inertia(self) -> Array:
        """Of what floats about its centre, (3, 3) [kg m2]."""
        return self.whole.inertia

    @property
    def gyradii(self) -> Array:
        """Roll, pitch and yaw radius of gyration of what floats about its centre [m]."""
        return np.sqrt(np.diag(self.inertia) / self.mass) if self.mass > 0 else np.zeros(3)

    @property
    def all_lines(self) -> tuple[WeightLine, ...]:
        """The schedule's lines, then what is allowed for; they add up to what floats."""
        return (*self.lines, *self.usually_also)

    @property
    def resin(self) -> float:
        """Resin of the schedule, that of glue lines and fillets with it [kg]."""
        return sum(m for g, m in self.groups.items() if g in ("resin", "glue"))

    @property
    def groups(self) -> dict[str, float]:
        """Mass of each group [kg]; they add up to what floats, "usually also" being what is allowed for."""
        found: dict[str, float] = {}
        for line in self.all_lines:
            found[line.group] = found.get(line.group, 0.0) + line.mass
        return found

    @property
    def top_causes(self) -> tuple[CauseShare, ...]:
        """The three causes that make most of the range."""
        return self.causes[:3]

    @property
    def told_stages(self) -> tuple[StageReading, ...]:
        """The stages without those that are empty or the same as an earlier one: an open boat has no deck
        shell and nothing to join."""
        found: list[StageReading] = []
        for stage in self.stages:
            if stage.predicted[1] > 0 and not any(stage.like(s) for s in found):
                found.append(stage)
        return tuple(found)

    def line_of(self, answer: Answered) -> WeightLine | None:
        """The line of the schedule that answers for a usual item.

        Parameters
        ----------
        answer : Answered

        Returns
        -------
        WeightLine or None
            None where `without` answers for it.
        """
        if answer.entry is None:
            return None
        return next(line for line in self.lines if line.entry is answer.entry)

    def sampled(self) -> tuple[Array, Array]:
        """Boats as they may come out, what is allowed for with them.

        Returns
        -------
        mass : ndarray, shape (n,)
            [kg]
        centre : ndarray, shape (n, 3)
            [m]
        """
        mass = self.samples.sum(axis=0)
        if self.measured_centre is not None:
            return mass, np.broadcast_to(self.measured_centre, (len(mass), 3))
        moment = self.samples.T @ np.array([line.centre for line in self.all_lines])
        return mass, moment / mass[:, None]

    def like(self, mass: float, centre: Array) -> Mass:
        """Another boat of the samples, with the inertia of this one scaled to its mass: for shares and
        ends of
        the range.

        Parameters
        ----------
        mass : float
            [kg]
        centre : ndarray, shape (3,)
            [m]

        Returns
        -------
        Mass
        """
        return Mass(mass, centre, self.inertia * mass / self.mass)

    def lighter(self, share: float) -> Weight:
        """The same build, come out lighter all over; its lines stay as they are.

        Parameters
        ----------
        share : float
            Of what floats and of both ends of its range [1].

        Returns
        -------
        Weight
        """
        keep, w = 1.0 - share, self.whole
        less = [None if m is None else m * keep for m in (w.low, w.high)]
        return replace(self, whole=Mass(w.mass * keep, w.centre, w.inertia * keep, *less))


def estimate(boat: Boat, hull: Hull, build: Build) -> Estimate:
    """All lines of a build, and what such a boat usually also has; masses are still terms of one model."""
    lib, schedule = library(boat.materials), build.schedule
    places = places_of(hull, schedule)
    lines = [
        *planking(schedule, places, lib),
        *skins(boat, schedule, places, lib),
        *runs(boat, schedule, places, lib),
        *bulkheads(boat, places, lib),
        *appendages(boat, hull, lib),
        *pieces(schedule, hull, lib),
    ]
    if not lines:
        raise ScheduleError(
            f"build {build.name!r} of {boat.name}: its schedule is empty, so it weighs nothing."
        )
    outer = {place: places.layers[place][0] for place in ("hull", "deck", "transom")}
    usual, answered = usually_also(boat, hull, schedule, outer)
    model = compile_model([line.terms for line in (*lines, *usual)], boat.care)
    return Estimate(build.name, tuple(lines), tuple(usual), answered, model)


def weigh(
    boat: Boat,
    hull: Hull,
    build: str | None = None,
    *,
    draw: Mapping[str, float] | None = None,
    samples: int = SAMPLES,
) -> Weight:
    """Weigh one build of a boat.

    Parameters
    ----------
    boat, hull
        What is built, and the shape that it is built to.
    build
        Its name; None: the first in the file.
    draw
        Causes by name as standard normal numbers: that one boat exactly, ranges left out (low = likely =
        high).
    samples
        How many boats the ranges are taken from.

    Returns
    -------
    Weight
        What floats, line by line.

    Raises
    ------
    ScheduleError
        The schedule asks for what this hull or the library does not have.

    Notes
    -----
    What the scale said (`boat.weighed`) closes in the build that it saw, and every other build by the causes
    they share: one stock of wood, one pair of hands.
    """
    refuse_path(boat)
    chosen = estimate(boat, hull, boat.build(build))
    model = chosen.model
    if draw is not None:
        one = model.at(draw)
        return _assemble(chosen, one, one)
    likely, z = model.likely(), model.sample(samples)
    if not boat.weighed:
        return _assemble(chosen, likely, z)
    seen = {e.build or boat.builds[0].name for e in boat.weighed} - {chosen.build}
    others = {name: estimate(boat, hull, boat.build(name)) for name in sorted(seen)}
    known = known_from(boat, {chosen.build: chosen, **others}, samples)
    weight = _assemble(chosen, *known.closes_in(model, likely, z), known.causes)
    return replace(weight, readings=known.readings, readings_odds=known.odds)


def _assemble(
    build: Estimate,
    likely: Array,
    z: Array,
    bound: tuple[str, ...] = (),
) -> Weight:
    """Put likely values and samples of one model into one result; bound: causes that a weighing has bound
    to each other."""
    model, n = build.model, len(build.lines)
    of_terms = model.term_masses(z)
    at_likely, sampled = model.line_masses(likely)[:, 0], model.by_line(of_terms)
    made = tuple(
        WeightLine(**vars(line), mass=float(m), low=float(low), high=float(high))
        for line, m, (low, high) in zip((*build.lines, *build.usual), at_likely, ends_of(sampled))
    )
    return Weight(
        build=build.build,
        lines=made[:n],
        usually_also=made[n:],
        answered=build.answered,
        whole=_mass_of(made, sampled),
        schedule=_mass_of(made[:n], sampled[:n]),
        allowance=_mass_of(made[n:], sampled[n:]),
        causes=_causes(model, likely, z, sampled.sum(axis=0), bound),
        steps=_steps(model, build.lines, likely),
        stages=stages_of(model, likely, of_terms),
        samples=sampled,
        model=model,
        z=z,
    )


def _mass_of(lines: tuple[WeightLine, ...], sampled: Array) -> Mass:
    """Sum, centre, inertia about it, and the 80 % range of the sum: what shares a cause moves together in
    the samples."""
    if not lines:
        return Mass(0.0, np.zeros(3), low=0.0, high=0.0)
    whole = joined(Spread(line.mass, line.centre, line.second) for line in lines)
    about = whole.second - np.outer(whole.centre, whole.centre)
    inertia = whole.size * (np.trace(about) * np.eye(3) - about)
    low, high = span_of(sampled.sum(axis=0))
    return Mass(whole.size, whole.centre, inertia, low, high)


def _causes(
    model: Model, likely: Array, z: Array, whole: Array, bound: tuple[str, ...]
) -> tuple[CauseShare, ...]:
    """How far each cause moves the whole from its low to its high end, most first.

    A free cause is moved by itself, the others likely. One that a weighing has bound to others is followed
    through the samples: Z10 cov(z, whole) / sd(z), what the whole goes by with it, which never is more than
    half the range of the whole.
    """
    k = len(model.causes)
    step = np.diag(model.scale * Z10)
    masses = model.term_masses(np.hstack([likely - step, likely + step])).sum(axis=0)
    swing = (masses[k:] - masses[:k]) / 2
    for i in (i for i, cause in enumerate(model.causes) if cause and cause in bound):
        off = z[i] - z[i].mean()
        swing[i] = Z10 * float(off @ (whole - whole.mean())) / len(whole) / max(float(off.std()), 1e-12)
    squares = float((swing**2).sum()) or 1.0
    found = [
        CauseShare(c, float(s), float(s * s / squares)) for c, s in zip(model.causes, swing) if c and s != 0
    ]
    return tuple(sorted(found, key=lambda c: -c.share))


def _steps(model: Model, lines: tuple[ScheduleLine, ...], likely: Array) -> tuple[StepMass, ...]:
    """Wood, cloth and resin by step: put on, and what is left of it after sanding."""
    masses = model.term_masses(likely)[:, 0]
    found: dict[tuple[str, str], list[float]] = {}
    for term, i, m in zip(model.terms, model.line, masses):
        if i < len(lines) and term.step:
            both = found.setdefault((lines[i].group, term.step), [0.0, 0.0])
            both[0] += max(m, 0.0)
            both[1] += m
    return tuple(StepMass(g, s, put, left) for (g, s), (put, left) in found.items())
