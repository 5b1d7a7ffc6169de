"""The whole weight of one way of building her: every line, its range, the sum, the centre, the inertia, and what makes the range.

`weigh` is the one way through: geometry from the hull's mesh, terms from the schedule, one set of samples for all ranges.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace

import numpy as np

from hullview.boat.model import Boat, Build
from hullview.materials import Library, library
from hullview.shape.hull import Hull
from hullview.weight.allow import usually_also
from hullview.weight.areas import places_of, planking, skins
from hullview.weight.causes import SAMPLES, Z10, Model, compile_model, ends_of, span_of
from hullview.weight.lengths import runs
from hullview.weight.line import ScheduleError, ScheduleLine, WeightLine
from hullview.weight.mass import Mass
from hullview.weight.patch import Array, Spread, joined
from hullview.weight.pieces import appendages, bulkheads, pieces
from hullview.weight.scale import close_in, readings_of
from hullview.weight.stages import StageReading, stages_of


@dataclass(frozen=True)
class CauseShare:
    """A cause of the range: swing is half the mass between its low and its high end [kg]; share: of the variance of the whole."""

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
    """A boat's weight. mass, low, high [kg]: the schedule's lines, likely and the 80 % range; centre (3,) [m]; inertia (3, 3) about
    it [kg m2]. usually_also: what such a boat has and this schedule lacks, silenced by `without`; `allowance` is its sum, and
    `expected` the two together with their own range: what the answer must allow for.
    samples: (lines + allowance, n) masses of the same n boats for every build, for shares and paired differences.
    stages: what the scale should say at each stage; readings: where it was read.
    """

    build: str
    lines: tuple[WeightLine, ...]
    mass: float
    low: float
    high: float
    centre: Array
    inertia: Array
    usually_also: tuple[WeightLine, ...]
    allowance: Mass
    expected: Mass
    causes: tuple[CauseShare, ...]
    steps: tuple[StepMass, ...]
    stages: tuple[StageReading, ...]
    readings: tuple[StageReading, ...] = ()
    samples: Array = field(default_factory=lambda: np.zeros((0, 0)), repr=False, compare=False)
    model: Model | None = field(default=None, repr=False, compare=False)
    z: Array | None = field(default=None, repr=False, compare=False)
    measured_centre: Array | None = None
    measured: str = ""
    """Centre found afloat (`hullview.afloat.measured`), and in words what was measured there; the lines stay as estimated."""

    @property
    def resin(self) -> float:
        """Resin aboard, that of glue lines and fillets with it [kg]."""
        return sum(m for g, m in self.groups.items() if g in ("resin", "glue"))

    @property
    def groups(self) -> dict[str, float]:
        """Mass of each group [kg]."""
        found: dict[str, float] = {}
        for line in self.lines:
            found[line.group] = found.get(line.group, 0.0) + line.mass
        return found

    @property
    def top_causes(self) -> tuple[CauseShare, ...]:
        """The three causes that make most of the range."""
        return self.causes[:3]

    @property
    def gyradii(self) -> Array:
        """Roll, pitch and yaw radius of gyration about the centre [m], of the schedule's lines."""
        return np.sqrt(np.diag(self.inertia) / self.mass) if self.mass > 0 else np.zeros(3)

    @property
    def as_mass(self) -> Mass:
        """The schedule's lines as one mass."""
        return Mass(self.mass, self.centre, self.inertia, self.low, self.high)

    @property
    def told_stages(self) -> tuple[StageReading, ...]:
        """The stages without those at which nothing more goes aboard: a boat with bare planks inside is never "glassed in"."""
        before = (None, *(s.predicted for s in self.stages))
        return tuple(
            s for s, last in zip(self.stages, before) if s.predicted != last or s.weighed is not None
        )

    def sampled(self) -> tuple[Array, Array]:
        """Mass (n,) and centre (n, 3) of n boats as she may come out, the allowance with them."""
        every = (*self.lines, *self.usually_also)
        mass = self.samples.sum(axis=0)
        if self.measured_centre is not None:
            return mass, np.broadcast_to(self.measured_centre, (len(mass), 3))
        moment = self.samples.T @ np.array([line.centre for line in every])
        return mass, moment / mass[:, None]

    def like(self, mass: float, centre: Array) -> Mass:
        """Another boat of the samples with this one's inertia scaled to it: for shares and ends of the range."""
        return Mass(mass, centre, self.expected.inertia * mass / self.expected.mass)


def schedule_lines(
    boat: Boat, hull: Hull, build: Build, lib: Library
) -> tuple[list[ScheduleLine], list[ScheduleLine]]:
    """All lines of a build, and what such a boat usually also has; masses are still terms."""
    schedule = build.schedule
    places = places_of(hull, schedule)
    lines = [
        *planking(schedule, places, lib), *skins(boat, schedule, places, lib), *runs(schedule, places, lib),
        *bulkheads(boat, places, lib), *appendages(boat, hull, lib), *pieces(schedule, hull, lib),
    ]  # fmt: skip
    if not lines:
        raise ScheduleError(
            f"build {build.name!r} of {boat.name}: its schedule is empty, so she weighs nothing."
        )
    outside = joined(places.layers[p][0] for p in ("hull", "deck", "transom"))
    return lines, usually_also(boat, hull, schedule, lines, outside)


def weigh(
    boat: Boat,
    hull: Hull,
    build: str | None = None,
    *,
    draw: Mapping[str, float] | None = None,
    samples: int = SAMPLES,
) -> Weight:
    """Weigh one build of a boat (None: the first in her file).

    draw: causes by name as standard normal numbers: that one boat exactly, ranges left out (low = likely = high).
    With `boat.weighed` the estimate is closed in by what the scale said (`hullview.weight.scale`).
    """
    chosen = boat.build(build)
    lines, usual = schedule_lines(boat, hull, chosen, library(boat.materials))
    model = compile_model([d.terms for d in (*lines, *usual)], boat.care)
    if draw is not None:
        one = model.at(draw)
        return _assemble(chosen.name, lines, usual, model, one, one)
    if not boat.weighed:
        return _assemble(chosen.name, lines, usual, model, model.likely(), model.sample(samples))
    before = model.sample(samples)
    stages = stages_of(model, model.likely(), model.term_masses(before))
    readings = readings_of(boat.weighed, model, [*lines, *usual], stages)
    likely, after = close_in(model, readings.rows, readings.weighed, readings.errors, samples)
    weight = _assemble(chosen.name, lines, usual, model, likely, after, weighed=True)
    return replace(weight, stages=stages, readings=readings.shown)


def _assemble(
    name: str,
    lines: list[ScheduleLine],
    usual: list[ScheduleLine],
    model: Model,
    likely: Array,
    z: Array,
    weighed: bool = False,
) -> Weight:
    """Put likely values and samples of the same model into one result; weighed: the samples are those left after it."""
    of_terms = model.term_masses(z)
    at_likely, sampled = model.line_masses(likely)[:, 0], model.by_line(of_terms)
    n = len(lines)
    ends = ends_of(sampled)
    made = tuple(_weighed(d, m, e) for d, m, e in zip((*lines, *usual), at_likely, ends))
    own, extra = made[:n], made[n:]
    bare = _mass_of(own, sampled[:n])
    return Weight(
        build=name, lines=own, mass=bare.mass, low=float(bare.low or 0), high=float(bare.high or 0), centre=bare.centre,
        inertia=bare.inertia, usually_also=extra, allowance=_mass_of(extra, sampled[n:]), expected=_mass_of(made, sampled),
        causes=_causes(model, likely, z.std(axis=1) if weighed else model.scale), steps=_steps(model, lines, likely), stages=stages_of(model, likely, of_terms),
        samples=sampled, model=model, z=z,
    )  # fmt: skip


def _weighed(line: ScheduleLine, mass: float, ends: Array) -> WeightLine:
    return WeightLine(**vars(line), mass=float(mass), low=float(ends[0]), high=float(ends[1]))


def _mass_of(lines: tuple[WeightLine, ...], sampled: Array) -> Mass:
    """Sum, centre, inertia about it, and the 80 % range of the sum: what shares a cause moves together in the samples."""
    if not lines:
        return Mass(0.0, np.zeros(3), low=0.0, high=0.0)
    whole = joined(Spread(line.mass, line.centre, line.second) for line in lines)
    about = whole.second - np.outer(whole.centre, whole.centre)
    inertia = whole.size * (np.trace(about) * np.eye(3) - about)
    low, high = span_of(sampled.sum(axis=0))
    return Mass(whole.size, whole.centre, inertia, low, high)


def _causes(model: Model, likely: Array, width: Array) -> tuple[CauseShare, ...]:
    """How far each cause by itself moves the whole from its low to its high end, most first; width (k,): what is left open of each."""
    k = len(model.causes)
    step = np.diag(width * Z10)
    masses = model.term_masses(np.hstack([likely - step, likely + step])).sum(axis=0)
    swing = (masses[k:] - masses[:k]) / 2
    whole = float((swing**2).sum()) or 1.0
    found = [
        CauseShare(c, float(s), float(s * s / whole)) for c, s in zip(model.causes, swing) if c and s != 0
    ]
    return tuple(sorted(found, key=lambda c: -c.share))


def _steps(model: Model, lines: list[ScheduleLine], likely: Array) -> tuple[StepMass, ...]:
    """Wood, cloth and resin by step: put on, and what is left of it after sanding."""
    masses = model.term_masses(likely)[:, 0]
    found: dict[tuple[str, str], list[float]] = {}
    for term, i, m in zip(model.terms, model.line, masses):
        if i < len(lines) and term.step:
            both = found.setdefault((lines[i].group, term.step), [0.0, 0.0])
            both[0] += max(m, 0.0)
            both[1] += m
    return tuple(StepMass(g, s, put, left) for (g, s), (put, left) in found.items())
