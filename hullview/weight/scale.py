"""The boat on the scale: the estimate closed in by what was weighed while she was built.

What is known before: the causes, each a standard normal number u. What was read: y_s = h_s(u) + e_s, e_s normal with the scale's own
error, h_s the mass aboard at a stage by the full model. What is known after is drawn in two moves: the most probable u by repeated
linear least squares, with the curvature there as a first guess; then draws from that guess, bent to follow h_s where it is not straight,
each weighed by how much the true density differs from that of the draw, so that kinks and products in h_s are not lost.
Source: importance sampling about the mode, e.g. Gelman and others, Bayesian Data Analysis, ch. 10 and 13 (from memory).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from hullview.boat.model import WeighedStage
from hullview.errors import did_you_mean
from hullview.weight.causes import STAGES, Model, evenly
from hullview.weight.line import ScheduleError, ScheduleLine
from hullview.weight.patch import Array
from hullview.weight.stages import StageReading, stage_rows

LEAST_ERROR = 0.02
"""No kitchen or luggage scale under a boat is better than this [kg] (common practice, no source)."""
WIDER = 1.25
"""How much wider (in variance) than the first guess the draws are, so that its tails are not missed."""
STEPS, ENOUGH = 12, 0.02
"""The search for the most probable boat ends when a step gains less than this in the logarithm of its probability."""


@dataclass(frozen=True)
class Readings:
    """rows (s, terms): what was on the scale; weighed (s,) and errors (s,) [kg]; shown: foretold against weighed."""

    rows: Array
    weighed: Array
    errors: Array
    shown: tuple[StageReading, ...]


def readings_of(
    entries: Sequence[WeighedStage],
    model: Model,
    drafts: Sequence[ScheduleLine],
    foretold: Sequence[StageReading],
) -> Readings:
    """Turn [[weighed]] entries into rows of the model: the stage's own terms, and the items said to be on the scale beside it."""
    table = stage_rows(model)
    rows, shown = [], []
    for e in entries:
        if e.stage not in STAGES:
            raise ScheduleError(f"weighed stage = {e.stage!r}. {did_you_mean(e.stage, STAGES)}")
        row = table[STAGES.index(e.stage)].copy()
        for name in e.on:
            row[_terms_named(name, model, drafts)] = 1.0
        rows.append(row)
        error = max(e.scale_error, LEAST_ERROR)
        shown.append(StageReading(e.stage, _foretold(model, row), e.mass, error))
    return Readings(
        np.array(rows),
        np.array([e.mass for e in entries]),
        np.array([s.scale_error for s in shown]),
        tuple(shown),
    )


def _foretold(model: Model, row: Array) -> tuple[float, float, float]:
    from hullview.weight.causes import span_of

    likely = float(row @ model.term_masses(model.likely())[:, 0])
    low, high = span_of(row @ model.term_masses(model.sample()))
    return (low, likely, high)


def _terms_named(name: str, model: Model, drafts: Sequence[ScheduleLine]) -> Array:
    """Terms of the lines that a builder means by a name: their item, their piece, or a word of either."""
    wanted = name.lower()
    hit = [i for i, d in enumerate(drafts) if any(wanted in n.lower() for n in (*d.names, d.item))]
    if not hit:
        known = [n for d in drafts for n in (*d.names, d.item)]
        raise ScheduleError(
            f"weighed, on = {name!r}: nothing of that name in the schedule. {did_you_mean(name, known)}"
        )
    return np.isin(model.line, hit)


def close_in(
    model: Model, rows: Array, weighed: Array, errors: Array, n: int, seed: int = 1883
) -> tuple[Array, Array]:
    """z of the most probable boat (k, 1) and of n boats (k, n) after the readings.

    rows (s, terms), weighed (s,), errors (s,) [kg]; seed of the draws, the same at every run.
    """
    read = _Reader(model, rows / errors[:, None], weighed / errors)
    mode, slope = _mode(read)
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
    return read.z(mode), read.z(u[:, chosen])


@dataclass(frozen=True)
class _Reader:
    """The scale in units of its own error: misses (s, n) of boats u (k, n), and their slopes (n, s, k)."""

    model: Model
    rows: Array
    weighed: Array

    def z(self, u: Array) -> Array:
        return self.model.shift[:, None] + self.model.scale[:, None] * u

    def misses(self, u: Array) -> Array:
        return self.rows @ self.model.term_masses(self.z(u)) - self.weighed[:, None]

    def slopes(self, u: Array) -> tuple[Array, Array]:
        sums, slopes = self.model.sums_and_slopes(self.rows, self.z(u))
        return sums - self.weighed[:, None], slopes * self.model.scale


def _mode(read: _Reader) -> tuple[Array, Array]:
    """Most probable u (k, 1) by damped least squares, and the slope of the readings there (s, k)."""
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
    return u, read.slopes(u)[1][0]


def _bent(read: _Reader, mode: Array, slope: Array, gain: Array, off: Array) -> tuple[Array, Array]:
    """Draws about the mode moved so that the readings of each are what a straight line would give, and the logarithm of the stretch.

    off (k, n): the draws less the mode, from the straight guess. A move is u -> u - gain (h(u) - straight line); its stretch is the
    determinant of I - gain (slope at u - slope at the mode), the same as that of an (s, s) matrix.
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
