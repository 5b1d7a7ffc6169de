"""Stages of the build: when each thing goes aboard, and what the scale should say at each stage.

A boat is built over forms: inner stems, keelson and clamp stand in the notches of the forms before the first
strip, so they are in the hull's shell from the start. The deck is a shell of its own until the two are
joined. Coaming, bulkheads, gunwales, skeg and outer keel are fitted to the joined boat; pieces, coatings and
all that is only allowed for come last. A deck of sheet wood is bent on when the hull is there, so that its
outside is glassed after it is joined. Common practice, no source.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from hullview.arrays import Array
from hullview.boat.model import Run, Schedule, Skin
from hullview.boat.readings import OLD_STAGES, STAGES
from hullview.boat.usual import ends_on
from hullview.weight.causes import Model, ends_of

ON_FORMS, DECK_LAID = "hull on the forms", "deck laid"
JOINED, FITTED, FINISHED = "joined", "fitted", "finished"
_OUTSIDE = ("hull faired outside", "hull glassed outside")
_INSIDE = ("hull faired inside", "hull glassed inside")
_DECK = ("deck faired outside", "deck glassed outside", "deck faired inside", "deck glassed inside")
_SHELLS = (ON_FORMS, *_OUTSIDE, *_INSIDE, DECK_LAID, *_DECK)
_BARE = (ON_FORMS, DECK_LAID)
_FAIRED = tuple(f"{part} faired {side}" for part in ("hull", "deck") for side in ("outside", "inside"))
_GLASSED_OUT = ("hull glassed outside", "deck glassed outside")

HOLDS: Mapping[str, tuple[str, ...]] = {
    "hull shell outside": (ON_FORMS, *_OUTSIDE),
    "hull shell": (ON_FORMS, *_OUTSIDE, *_INSIDE),
    "deck shell": (DECK_LAID, *_DECK),
    "joined": (*_SHELLS, JOINED),
    "fitted": (*_SHELLS, JOINED, FITTED),
    "finished": (*_SHELLS, JOINED, FITTED, FINISHED),
    "hull stripped": _BARE,
    "faired": (*_BARE, *_FAIRED),
    "glassed out": (*_BARE, *_FAIRED, *_GLASSED_OUT),
    "glassed in": _SHELLS,
}
"""What has gone aboard at each stage that can be weighed, by `Term.when`; the last four are names of old
files. "strips milled" is the pile of strips, before any loss."""
assert {*HOLDS, "strips milled"} == {*STAGES, *OLD_STAGES}


# ---------------------------------------------------------------- when a thing goes aboard


def is_clamp(run: Run, decked: bool) -> bool:
    """Whether a run is a clamp, glued up in the notches of the forms: a stick inside the sheer of a decked
    boat, or one that is named so."""
    inside = run.stick and run.along == "sheer" and run.side == "inside"
    return inside and (decked or ends_on(run.name or "", "clamp"))


def when_run(run: Run, decked: bool) -> str:
    """When a run goes aboard."""
    along = run.along.rstrip(" 0123456789")
    if run.kind == "cord":
        return FINISHED
    if along in ("coaming", "hatch"):
        return FITTED
    if along == "sheer":
        if run.stick:
            return ON_FORMS if is_clamp(run, decked) else FITTED  # gunwales and rails
        if decked:
            return JOINED  # the seam of hull and deck
    if run.stick and run.side == "outside":
        return FITTED  # outer keel, outer stems, rails
    if run.stick or run.kind == "glue line":
        return ON_FORMS if along != "sheer" else FITTED
    return f"hull glassed {run.side}"


def when_skin(skin: Skin, schedule: Schedule) -> str:
    """When cloth and resin, or a coating, go on a face."""
    if skin.coating:
        return FINISHED
    if skin.where == "bulkheads":
        return FITTED
    part = "deck" if skin.where.startswith("deck") else "hull"
    side = "inside" if "inside" in skin.where else "outside"
    sheet = any(p.where == "deck" and p.kind == "sheet" for p in schedule.planking)
    return JOINED if (part, side, sheet) == ("deck", "outside", True) else f"{part} glassed {side}"


# ---------------------------------------------------------------- what the scale should say


FAR = 0.5
"""A reading outside the expected range by more than this share of its width is doubted (common practice,
no source)."""


@dataclass(frozen=True)
class StageReading:
    """A stage of a build as expected (low, likely, high) and as weighed.

    Parameters
    ----------
    stage
        Its name.
    predicted
        Low, likely and high mass [kg]: of a reading, as expected before any weighing.
    weighed
        What the scale said of the boat, the forms taken off [kg]; None where it was not asked.
    scale_error
        How far off that may be, one standard deviation [kg].
    build
        The build that was weighed.
    forms_mass
        What was taken off for the forms [kg].
    fits
        The stage that the reading fits, where it is far from its own; "" otherwise.
    """

    stage: str
    predicted: tuple[float, float, float]
    weighed: float | None = None
    scale_error: float = 0.0
    build: str = ""
    forms_mass: float = 0.0
    fits: str = ""

    def like(self, other: StageReading) -> bool:
        """The same is aboard: the expected masses are equal but for rounding."""
        return all(math.isclose(a, b, rel_tol=1e-9) for a, b in zip(self.predicted, other.predicted))

    @property
    def far_off(self) -> bool:
        """The reading lies outside the expected range by more than half its width, as one boat in a
        hundred does: rather a slip."""
        low, _, high = self.predicted
        if self.weighed is None:
            return False
        return max(low - self.weighed, self.weighed - high) > FAR * (high - low) + 2 * self.scale_error


def row_of(stage: str, model: Model) -> Array:
    """Which terms are on the scale at a stage, (terms,) of 0 and 1."""
    if stage == "strips milled":
        return np.array([float(t.strips) for t in model.terms])
    return np.array([float(t.when in HOLDS[stage]) for t in model.terms])


def stage_rows(model: Model) -> Array:
    """The same for every stage, (stages, terms)."""
    return np.array([row_of(stage, model) for stage in STAGES])


def stages_of(model: Model, likely: Array, masses: Array) -> tuple[StageReading, ...]:
    """What the scale should say at each stage, from the masses of every term of many boats (t, n); the last
    one counts what such a boat usually also has."""
    rows = stage_rows(model)
    most = rows @ model.term_masses(likely)[:, 0]
    ends = ends_of(_sums(rows, model, masses))
    return tuple(StageReading(s, (float(a), float(m), float(b))) for s, m, (a, b) in zip(STAGES, most, ends))


def _sums(rows: Array, model: Model, masses: Array) -> Array:
    """rows @ masses, in one pass over the masses: terms of one time are added up first."""
    kinds = list(dict.fromkeys((t.when, t.strips) for t in model.terms))
    kind = np.array([kinds.index((t.when, t.strips)) for t in model.terms])
    first = [int(np.argmax(kind == i)) for i in range(len(kinds))]
    parts = np.array([masses[kind == i].sum(axis=0) for i in range(len(kinds))])
    sums: Array = rows[:, first] @ parts
    return sums
