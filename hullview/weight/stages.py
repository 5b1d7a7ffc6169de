"""Stages of the build: what is aboard at each, and what the scale should say."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from hullview.weight.causes import STAGES, Model, ends_of
from hullview.weight.patch import Array


@dataclass(frozen=True)
class StageReading:
    """A stage as foretold (low, likely, high) before any weighing, and as weighed [kg], with the error of the scale."""

    stage: str
    predicted: tuple[float, float, float]
    weighed: float | None = None
    scale_error: float = 0.0


def stage_rows(model: Model) -> Array:
    """Which terms are aboard at each stage, (stages, terms) of 0 and 1; "strips milled" is the pile of strips, before any loss."""
    place = {s: i for i, s in enumerate(STAGES)}
    at = np.array([place[t.stage] for t in model.terms])
    table = (at <= np.arange(len(STAGES))[:, None]).astype(float)
    table[0] = [float(t.step == "planking" and t.coefficient > 0) for t in model.terms]
    return table


def stages_of(model: Model, likely: Array, masses: Array) -> tuple[StageReading, ...]:
    """What the scale should say at each stage, from the masses of every term of many boats (t, n); the last one counts what such a boat
    usually also has."""
    most = _stage_masses(model, model.term_masses(likely))[:, 0]
    ends = ends_of(_stage_masses(model, masses))
    return tuple(StageReading(s, (float(a), float(m), float(b))) for s, m, (a, b) in zip(STAGES, most, ends))


def _stage_masses(model: Model, masses: Array) -> Array:
    """Mass at each stage (stages, n) from that of every term (t, n): `stage_rows` times it, in one pass."""
    place = {s: i for i, s in enumerate(STAGES)}
    at = np.array([place[t.stage] for t in model.terms])
    strips = np.array([t.step == "planking" and t.coefficient > 0 for t in model.terms])
    aboard = np.cumsum([masses[at == i].sum(axis=0) for i in range(len(STAGES))], axis=0)
    aboard[0] = masses[strips].sum(axis=0)
    return aboard
