"""The boat on the scale: the estimate closed in by what was weighed while she was built.

What is known before: the causes, each a standard normal number u. What was read: y_s = h_s(u) + e_s, e_s normal with the scale's own
error, h_s the mass aboard at a stage by the full model. What is known after is drawn in two moves: the most probable u by repeated
linear least squares, with the curvature there as a first guess; then draws from that guess, each weighed by how much the true density
differs from it, so that kinks and products in h_s are not lost.
Source: importance sampling about the mode, e.g. Gelman and others, Bayesian Data Analysis, ch. 10 and 13 (from memory).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from hullview.boat.model import WeighedStage
from hullview.errors import did_you_mean
from hullview.weight.causes import STAGES, Model
from hullview.weight.line import Draft, ScheduleError
from hullview.weight.patch import Array
from hullview.weight.total import StageReading, stage_rows

LEAST_ERROR = 0.02
"""No kitchen or luggage scale under a boat is better than this [kg] (common practice, no source)."""
"""How much wider than the first guess the draws are, so that its tails are not missed."""
WIDER = 1.25
STEPS = 8


@dataclass(frozen=True)
class Readings:
    """rows (s, terms): what was on the scale; weighed (s,) and errors (s,) [kg]; shown: foretold against weighed."""

    rows: Array
    weighed: Array
    errors: Array
    shown: tuple[StageReading, ...]


def readings_of(
    entries: Sequence[WeighedStage], model: Model, drafts: Sequence[Draft], foretold: Sequence[StageReading]
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
    return Readings(np.array(rows), np.array([e.mass for e in entries]), np.array([s.scale_error for s in shown]), tuple(shown))


def _foretold(model: Model, row: Array) -> tuple[float, float, float]:
    from hullview.weight.causes import span_of

    likely = float(row @ model.term_masses(model.likely())[:, 0])
    low, high = span_of(row @ model.term_masses(model.sample()))
    return (low, likely, high)


def _terms_named(name: str, model: Model, drafts: Sequence[Draft]) -> Array:
    """Terms of the lines that a builder means by a name: their item, their piece, or a word of either."""
    wanted = name.lower()
    hit = [i for i, d in enumerate(drafts) if any(wanted in n.lower() for n in (*d.names, d.item))]
    if not hit:
        known = [n for d in drafts for n in (*d.names, d.item)]
        raise ScheduleError(f"weighed, on = {name!r}: nothing of that name in the schedule. {did_you_mean(name, known)}")
    return np.isin(model.line, hit)


def close_in(model: Model, rows: Array, weighed: Array, errors: Array, n: int) -> tuple[Array, Array]:
    """z of the most probable boat (k, 1) and of n boats (k, n) after the readings.

    rows (s, terms), weighed (s,), errors (s,) [kg].
    """
    k = len(model.causes)

    def read(u: Array) -> Array:
        return rows @ model.term_masses(model.shift[:, None] + model.scale[:, None] * u)

    mode, slope = _mode(read, weighed, errors, k)
    precision = np.eye(k) + (slope / errors[:, None] ** 2).T @ slope
    root = np.linalg.cholesky(np.linalg.inv(precision) * WIDER)
    standard = _normals(k, n)
    u = mode + root @ standard
    # logarithm of the true density less that of the guess, both up to a constant
    miss = (weighed[:, None] - read(u)) / errors[:, None]
    log_weight = -0.5 * (u**2).sum(axis=0) - 0.5 * (miss**2).sum(axis=0) + 0.5 * (standard**2).sum(axis=0)
    weight = np.exp(log_weight - log_weight.max())
    chosen = _resample(weight / weight.sum(), n)
    scaled = model.scale[:, None]
    return model.shift[:, None] + scaled * mode, model.shift[:, None] + scaled * u[:, chosen]


def _mode(read: object, weighed: Array, errors: Array, k: int) -> tuple[Array, Array]:
    """Most probable u (k, 1) by damped least squares, and the slope of the readings there (s, k)."""
    u = np.zeros((k, 1))
    step = 0.25 * np.eye(k)

    def cost(x: Array) -> float:
        miss = (weighed - read(x)[:, 0]) / errors  # type: ignore[operator]
        return float((x**2).sum() + (miss**2).sum())

    best = cost(u)
    for _ in range(STEPS):
        both = read(np.hstack([u, u + step, u - step]))  # type: ignore[operator]
        slope = (both[:, 1 : k + 1] - both[:, k + 1 :]) / 0.5
        a = slope / errors[:, None]
        b = (weighed - both[:, 0]) / errors + a @ u[:, 0]
        target = (a.T @ np.linalg.solve(a @ a.T + np.eye(len(a)), b))[:, None]
        share = 1.0
        while share > 0.05 and cost(u + share * (target - u)) > best:
            share /= 2
        moved = u + share * (target - u)
        now = cost(moved)
        if now >= best - 1e-6:
            break
        u, best = moved, now
    return u, slope


def _normals(k: int, n: int) -> Array:
    """The same k by n standard normal numbers at every run."""
    return np.random.default_rng(1883).standard_normal((k, n))


def _resample(weight: Array, n: int) -> Array:
    """Indices of n draws in proportion to their weights, evenly combed."""
    return np.minimum(np.searchsorted(np.cumsum(weight), (np.arange(n) + 0.5) / n), len(weight) - 1)
