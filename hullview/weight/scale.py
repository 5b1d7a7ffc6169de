"""The boat on the scale: the estimate closed in by what was weighed while it was built.

What is known before: the causes, each a standard normal number u. What was read: y_s = h_s(u) + e_s, e_s
normal with the scale's own error, h_s the mass aboard at a stage by the full model. What is known after is
drawn in two moves: the most probable u by repeated linear least squares, with the curvature there as a first
guess; then draws from that guess, bent to follow h_s where it is not straight, each weighed by how much the
true density differs from that of the draw, so that kinks and products in h_s are not lost. Source: importance
sampling about the mode, e.g. Gelman and others, Bayesian Data Analysis, ch. 10 and 13 (from memory).

Only the causes that a reading touches are drawn anew, by the readings alone: every build of a boat is then
closed in by the same draws of what it shares with the build that was weighed, and differences of builds stay
paired.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from hullview.arrays import Array
from hullview.boat.model import Boat
from hullview.boat.readings import STAGES, WeighedStage
from hullview.boat.usual import words_of
from hullview.errors import did_you_mean
from hullview.weight.allow import Answered
from hullview.weight.causes import Model, compile_model, evenly, span_of
from hullview.weight.line import ScheduleError, ScheduleLine
from hullview.weight.stages import HOLDS, StageReading, row_of

LEAST_ERROR = 0.02
"""No kitchen or luggage scale under a boat is better than this [kg] (common practice, no source)."""
WIDER = 1.25
"""How much wider (in variance) than the first guess the draws are, so that its tails are not missed."""
STEPS, ENOUGH = 12, 0.02
"""The search for the most probable boat ends when a step gains less than this in the logarithm of its
probability."""


@dataclass(frozen=True)
class Estimate:
    """One build measured on the hull, before its mass is known: its lines, what is allowed for, what is
    not, and the terms of both."""

    build: str
    lines: tuple[ScheduleLine, ...]
    usual: tuple[ScheduleLine, ...]
    answered: tuple[Answered, ...]
    model: Model


@dataclass(frozen=True)
class Known:
    """What the scale has said of the causes that it touched.

    Parameters
    ----------
    causes
        Their names, k of them.
    likely, z
        Of the most probable boat (k, 1) and of n boats (k, n).
    odds
        Share of boats so built whose readings, all together, would be as far from what is expected.
    readings
        What was expected before any weighing, against what was read.
    """

    causes: tuple[str, ...]
    likely: Array
    z: Array
    odds: float
    readings: tuple[StageReading, ...]

    def closes_in(self, model: Model, likely: Array, z: Array) -> tuple[Array, Array]:
        """The causes of a build, (causes, 1) and (causes, n), with those that were touched as they are
        known now."""
        rows = [(i, self.causes.index(c)) for i, c in enumerate(model.causes) if c in self.causes]
        likely, z = likely.copy(), z.copy()
        for i, j in rows:
            likely[i], z[i] = self.likely[j], self.z[j]
        return likely, z


def known_from(boat: Boat, builds: Mapping[str, Estimate], samples: int) -> Known:
    """What all readings of a boat say together.

    Parameters
    ----------
    boat
        With its [[weighed]] entries.
    builds
        The estimate of every build that an entry names (the first of the file where it names none).
    samples
        How many boats are drawn.
    """
    seen = [builds[e.build or boat.builds[0].name] for e in boat.weighed]
    distinct = list({e.build: e for e in seen}.values())
    model = _together(distinct)
    likely, drawn = model.term_masses(model.likely())[:, 0], model.term_masses(model.sample())
    rows, readings = [], []
    for entry, build in zip(boat.weighed, seen):
        place = slice(*_place(build, distinct))
        row = np.zeros(len(model.terms))
        row[place] = _row(entry, build)
        rows.append(row)
        expected = _expected(row, likely, drawn)
        reading = StageReading(
            entry.stage, expected, entry.mass - entry.forms_mass, _error(entry), build.build, entry.forms_mass
        )
        if reading.far_off:
            others = {
                s: _expected(_padded(row_of(s, build.model), place, row), likely, drawn) for s in STAGES
            }
            reading = replace(reading, fits=_nearest(reading, others))
        readings.append(reading)
    table = np.array(rows)
    weighed, errors = (np.array([getattr(r, f) for r in readings]) for f in ("weighed", "scale_error"))
    return Known(*close_in(model, table, weighed, errors, samples), tuple(readings))


def _together(builds: Sequence[Estimate]) -> Model:
    """One model of the terms of several builds, in their order, under the same hands."""
    if len(builds) == 1:
        return builds[0].model
    care = {c: (s, w) for b in builds for c, s, w in zip(b.model.causes, b.model.shift, b.model.scale)}
    whole = compile_model([[t] for b in builds for t in b.model.terms])
    shift, scale = np.array([care[c] for c in whole.causes]).T
    return replace(whole, shift=shift, scale=scale)


def _place(build: Estimate, builds: Sequence[Estimate]) -> tuple[int, int]:
    """Where the terms of a build stand among those of all."""
    before = builds[: next(i for i, b in enumerate(builds) if b is build)]
    start = sum(len(b.model.terms) for b in before)
    return start, start + len(build.model.terms)


def _padded(own: Array, place: slice, row: Array) -> Array:
    found = np.zeros_like(row)
    found[place] = own
    return found


def _row(entry: WeighedStage, build: Estimate) -> Array:
    """Which terms of a build were on the scale: those of the stage, and what is said to have lain beside
    them."""
    if entry.stage != "strips milled" and entry.stage not in HOLDS:
        raise ScheduleError(f"weighed stage = {entry.stage!r}. {did_you_mean(entry.stage, STAGES)}")
    row = row_of(entry.stage, build.model)
    if not row.any():
        raise ScheduleError(
            f"weighed stage = {entry.stage!r}: build {build.build!r} has nothing that goes aboard by then."
        )
    for name in entry.on:
        row[_terms_named(name, build)] = 1.0
    return row


def _error(entry: WeighedStage) -> float:
    """Of what is left of the reading [kg]: forms are weighed on the same scale and taken off, which is two
    readings."""
    error = max(entry.scale_error, LEAST_ERROR)
    return error * 2**0.5 if entry.forms_mass else error


def _expected(row: Array, likely: Array, drawn: Array) -> tuple[float, float, float]:
    low, high = span_of(row @ drawn)
    return low, float(row @ likely), high


def _nearest(reading: StageReading, others: Mapping[str, tuple[float, float, float]]) -> str:
    """The stage that a reading fits best, by the width of what is expected there; "" if it is far from all
    of them."""
    assert reading.weighed is not None
    fitting = {}
    for stage, expected in others.items():
        low, likely, high = expected
        if high > low and not replace(reading, predicted=expected).far_off:
            fitting[stage] = abs(reading.weighed - likely) / (high - low)
    return min(fitting, key=fitting.__getitem__) if fitting else ""


def _terms_named(name: str, build: Estimate) -> Array:
    """Terms of the lines that a builder means by a name: all its words stand in their item or in their
    piece's name."""
    wanted = set(words_of(name))
    lines = (*build.lines, *build.usual)
    named = [(i, n) for i, line in enumerate(lines) for n in (*line.names, line.item)]
    hit = [i for i, n in named if wanted and wanted <= set(words_of(n))]
    if not hit:
        known = [n for _, n in named]
        raise ScheduleError(
            f"weighed, on = {name!r}: nothing of that name in the schedule. {did_you_mean(name, known)}"
        )
    return np.isin(build.model.line, hit)


def close_in(
    model: Model, rows: Array, weighed: Array, errors: Array, n: int, seed: int = 1883
) -> tuple[tuple[str, ...], Array, Array, float]:
    """The causes that readings touch, after them.

    Parameters
    ----------
    model
        The terms that were on the scale, among others.
    rows
        Which of them each reading holds, (s, terms).
    weighed, errors
        What was read, and its standard deviation, (s,) [kg].
    n
        How many boats are drawn; `seed` of the draws, the same at every run.

    Returns
    -------
    causes, likely, z, odds
        Names of the k causes touched; z of the most probable boat (k, 1) and of n boats (k, n); share of
        boats whose readings would be as far off: the least of u^2 and misfit^2 together is distributed as chi
        squared over s readings (exactly so where h_s is straight).
    """
    from scipy.special import chdtrc

    touched: Array = np.any(rows, axis=0)
    part = model.part(touched)
    read = _Reader(part, rows[:, touched] / errors[:, None], weighed / errors)
    mode, slope, cost = _mode(read)
    gain = slope.T @ np.linalg.inv(slope @ slope.T + np.eye(len(slope)))
    precision = np.eye(len(mode)) + slope.T @ slope
    root = np.linalg.cholesky(np.linalg.inv(precision) * WIDER)
    standard = _normals(len(mode), n, seed)
    u, log_stretch = _bent(read, mode, slope, gain, root @ standard)
    # logarithm of the true density less that of the guess carried along, both up to a constant
    miss = read.misses(u)
    log_weight = -0.5 * ((u**2).sum(axis=0) + (miss**2).sum(axis=0) - (standard**2).sum(axis=0)) + log_stretch
    weight = np.exp(log_weight - log_weight.max())
    chosen = _resample(weight / weight.sum(), n)
    return part.causes, read.z(mode), read.z(u[:, chosen]), float(chdtrc(len(rows), cost))


@dataclass(frozen=True)
class _Reader:
    """The scale in units of its own error: misses (s, n) of boats u (k, n), and their slopes (n, s, k)."""

    model: Model
    rows: Array
    weighed: Array

    def z(self, u: Array) -> Array:
        return np.asarray(self.model.shift[:, None] + self.model.scale[:, None] * u)

    def misses(self, u: Array) -> Array:
        return np.asarray(self.rows @ self.model.term_masses(self.z(u)) - self.weighed[:, None])

    def slopes(self, u: Array) -> tuple[Array, Array]:
        sums, slopes = self.model.sums_and_slopes(self.rows, self.z(u))
        return sums - self.weighed[:, None], slopes * self.model.scale


def _mode(read: _Reader) -> tuple[Array, Array, float]:
    """Most probable u (k, 1) by damped least squares, the slope of the readings there (s, k), and u^2 and
    misfit^2 there."""
    u = np.zeros((len(read.model.causes), 1))

    def cost(x: Array) -> float:
        return float((x**2).sum() + (read.misses(x) ** 2).sum())

    best, gained = cost(u), 0.0
    for _ in range(STEPS):
        miss, slopes = read.slopes(u)
        a = slopes[0]
        target = a.T @ np.linalg.solve(a @ a.T + np.eye(len(a)), a @ u - miss)
        share = 1.0
        while share > 0.05 and cost(u + share * (target - u)) > best:
            share /= 2
        moved = u + share * (target - u)
        now = cost(moved)
        if now < best:
            u, gained, best = moved, best - now, now
        if now > best or gained < ENOUGH:
            break
    return u, read.slopes(u)[1][0], best


def _bent(read: _Reader, mode: Array, slope: Array, gain: Array, off: Array) -> tuple[Array, Array]:
    """Draws about the mode moved so that the readings of each are what a straight line would give, and the
    logarithm of the stretch.

    off (k, n): the draws less the mode, from the straight guess. A move is u -> u - gain (h(u) - straight
    line); its stretch is the determinant of I - gain (slope at u - slope at the mode), the same as that of an
    (s, s) matrix.
    """
    u = mode + off
    straight = read.misses(mode) + slope @ off
    miss, slopes = read.slopes(u)
    stretch = np.linalg.det(np.eye(len(slope)) - (slopes - slope) @ gain)
    return u - gain @ (miss - straight), np.log(np.maximum(np.abs(stretch), 1e-12))


def _normals(k: int, n: int, seed: int) -> Array:
    """k by n standard normal numbers, evenly spread over each row."""
    rng = np.random.default_rng(seed)
    return np.array([evenly(rng, n) for _ in range(k)])


def _resample(weight: Array, n: int) -> Array:
    """Indices of n draws in proportion to their weights, evenly combed."""
    return np.minimum(np.searchsorted(np.cumsum(weight), (np.arange(n) + 0.5) / n), len(weight) - 1)
