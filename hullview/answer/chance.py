"""What share of builds stays inside the limits: build weight alone, the paddlers and the seat as they are.
Not a chance of safety.

Every build that may come out has a mass and a centre. What the water does with a few of them, spread over
their range, is worked out in full; in between, each figure follows a quadratic in mass and centre, and each
build's own figures go through the same checks as any other. Asked for by itself: an answer does not wait for
it.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from hullview.answer.checks import Check, Condition, Rule, checks, rules_for
from hullview.answer.conditions import Craft, heeled, level
from hullview.arrays import Array

FIELDS = (
    "trim_length",
    "gm",
    "height_to_flooding",
    "freeboard",
    "draft",
    "reserve",
    "lean_heel",
    "lean_height",
    "flooding_heel",
    "waterline",
    "reach_heel",
    "reach_height",
    "capacity",
)
BUILDS = 1000
HELD_OUT = 8
"""Builds worked out in full beside the fit, to see how true it is."""


@dataclass(frozen=True)
class Chance:
    """inside: builds of `of` in which no check fails; clear: in which none warns either; failing: by check,
    the share that fails it.

    fit_error: greatest difference between a figure from the fit and in full over the held-out builds, by
    field (m, rad or a share); agree: held-out builds whose results are the same both ways, of `held_out`.
    """

    of: int
    inside: int
    clear: int
    failing: dict[str, float]
    fit_error: dict[str, float]
    agree: int
    held_out: int

    @property
    def share(self) -> float:
        return self.inside / self.of

    @property
    def words(self) -> str:
        """The sentence to print; never "all" nor "none" of what was only sampled."""
        return (
            f"build weight alone: {_of_a_hundred(self.share)} of 100 builds stay inside the limits; not a"
            " chance of safety"
        )


def _of_a_hundred(share: float) -> str:
    if share > 0.995:
        return "more than 99"
    return "fewer than 1" if share < 0.005 else f"{round(100 * share)}"


def with_build(craft: Craft, mass: float, centre: Array) -> Craft:
    """The same craft, come out at another mass [kg] and centre (3,) [m]."""
    return replace(craft, weighed=replace(craft.weight, whole=craft.weight.like(mass, centre)))


def in_full(craft: Craft, mass: float, centre: Array) -> Condition:
    """What the water does with one build and the paddlers as they are."""
    one = with_build(craft, mass, centre)
    return heeled(one, level(one, one.boat.load.paddlers))


def chance(craft: Craft, builds: int = BUILDS) -> Chance:
    """The share of builds inside the limits, for the load in the boat's file."""
    masses, centres = craft.weight.sampled()
    chosen = np.linspace(0, len(masses) - 1, min(builds, len(masses))).astype(int)
    points = np.column_stack([masses, centres[:, 0], centres[:, 2]])[chosen]
    rules = rules_for(craft.rowed)
    fit = _Fit(craft, points)
    results = [checks(craft.boat, [fit.at(p)], rules) for p in points]
    return _counted(craft, fit, points, results, rules)


class _Fit:
    """Quadratics in mass and centre through full answers at points spread over the builds; where no
    quadratic will do, in full."""

    def __init__(self, craft: Craft, points: Array):
        self.craft = craft
        self.middle, self.width = points.mean(axis=0), np.maximum(2.0 * points.std(axis=0), 1e-6)
        self.design = [np.zeros(3)] + [s * e for e in np.eye(3) for s in (-1.0, 1.0)]
        self.design += [0.75 * np.array([a, b, c]) for a in (-1, 1) for b in (-1, 1) for c in (-1, 1)]
        self.found = [self.full(self.middle + d * self.width) for d in self.design]
        terms = np.array([_terms(d) for d in self.design])
        self.afloat = all(c.state == "afloat" for c in self.found)
        self.fits: dict[str, Array] = {}
        for name in FIELDS:
            values = [getattr(c, name) for c in self.found]
            missing = [v is None for v in values]
            if any(missing) and not all(missing):
                self.afloat = False  # a figure that some builds have and others lack follows no quadratic
            elif not any(missing):
                self.fits[name] = np.linalg.lstsq(terms, np.array(values, float), rcond=None)[0]

    def full(self, point: Array) -> Condition:
        return in_full(
            self.craft, float(point[0]), np.array([point[1], self.craft.weight.centre[1], point[2]])
        )

    def at(self, point: Array) -> Condition:
        if not self.afloat:
            return self.full(point)
        terms = _terms((point - self.middle) / self.width)
        likely = self.found[0]
        mass = likely.mass + point[0] - self.middle[0]
        figures = {name: float(terms @ fit) for name, fit in self.fits.items()}
        return replace(likely, mass=float(mass), **figures)  # type: ignore[arg-type]


def _terms(p: Array) -> Array:
    a, b, c = p
    return np.array([1.0, a, b, c, a * a, b * b, c * c, a * b, a * c, b * c])


def _counted(
    craft: Craft, fit: _Fit, points: Array, results: Sequence[Sequence[Check]], rules: Sequence[Rule]
) -> Chance:
    """Tally the results, and hold some of them against the full answer."""
    kept = np.linspace(0, len(points) - 1, min(HELD_OUT, len(points))).astype(int)
    agree, error = 0, dict.fromkeys(fit.fits, 0.0)
    for i in kept:
        full, fitted = fit.full(points[i]), fit.at(points[i])
        again = checks(craft.boat, [full], rules)
        agree += [c.result for c in again] == [c.result for c in results[i]]
        for name in error:
            value = getattr(full, name)
            error[name] = max(
                error[name], float(abs((np.inf if value is None else value) - getattr(fitted, name)))
            )
    failed = Counter(c.name for made in results for c in made if c.result == "fail")
    failing = {name: count / len(results) for name, count in failed.items()}
    inside = sum(all(c.result != "fail" for c in made) for made in results)
    clear = sum(all(c.result == "pass" for c in made) for made in results)
    return Chance(len(results), inside, clear, failing, error, agree, len(kept))
