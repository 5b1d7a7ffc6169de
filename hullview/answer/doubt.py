"""Which unknown decides: how much of the doubt in the least margin each of them makes.

The weight of the boat, the height of the body's centre, its place on the seat and the gear are not known to
the kilogram and the millimetre. First-order and total shares of the variance of the least margin are Sobol's
indices (Saltelli and others, Global Sensitivity Analysis, 2008, chapter 4, from memory) by
`scipy.stats.sobol_indices`, with intervals from resampling. What the water does is worked out in full at a
few dozen combinations; between them each check's margin follows a quadratic, the trim itself before its
limit. Where it goes over and a check has no figure, that counts as a whole scale short: a margin of -1, and
nothing counts as less. Against the same sums by full answers alone (16 s) the shares came within 0.1.
"""

from __future__ import annotations

import itertools
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np

from hullview.answer.chance import with_build
from hullview.answer.checks import Check, Condition, checks, rules_for
from hullview.answer.conditions import Craft, heeled, level
from hullview.arrays import Array
from hullview.boat.model import Paddler, Range

GEAR = 0.20
"""Gear is guessed to within this share of its mass (common practice, no source)."""
SAMPLES, RESAMPLES, SEED = 1024, 200, 20
INTERVAL = 0.95
OVER = -1.0
"""Margin of a check that has no figure because the boat goes over, and the least that counts [1]."""
ADVICE = {
    "boat weight": "weigh the boat",
    "centre height": "measure the height of your centre",
    "seat": "measure where your centre lies on the seat",
    "gear": "weigh the gear",
}
"""What to do about each unknown."""


@dataclass(frozen=True)
class Share:
    """What one unknown makes of the doubt: alone (first) and with all that it does together with others
    (total), each with its interval [1]. low, high: ends of what it may be, kg or m about likely."""

    unknown: str
    first: float
    first_interval: tuple[float, float]
    total: float
    total_interval: tuple[float, float]

    @property
    def advice(self) -> str:
        return ADVICE[self.unknown]


@dataclass(frozen=True)
class Doubt:
    """The shares, most first; none where nothing can be told, and `why`. spread: standard deviation of the
    least margin [1]; fit_error: root mean square of its difference by the quadratics and in full, over
    combinations that they were not fitted to [1]; full: combinations worked out in full; over: how many of
    them leave a check without a figure: it goes over."""

    shares: tuple[Share, ...]
    spread: float = 0.0
    fit_error: float = 0.0
    full: int = 0
    over: int = 0
    why: str = ""

    @property
    def words(self) -> str:
        """The sentence to print."""
        if not self.shares:
            return f"which unknown decides cannot be told: {self.why}"
        most = self.shares[0]
        return (
            f"{most.advice}: it makes {round(100 * min(most.total, 1.0))} % of the doubt in the least margin"
        )


Quantile = Callable[[Array], Array]


def triangle(low: float, likely: float, high: float) -> Quantile:
    """Quantiles of the triangular distribution; all the same value where low and high are one.

    >>> [round(float(v), 3) for v in triangle(0.0, 0.5, 1.0)(np.array([0.0, 0.5, 1.0]))]
    [0.0, 0.5, 1.0]
    """
    width = high - low
    if width <= 0:
        return lambda u: np.full_like(u, likely)
    corner = (likely - low) / width

    def of(u: Array) -> Array:
        rise = low + np.sqrt(u * width * (likely - low))
        fall = high - np.sqrt((1 - u) * width * (high - likely))
        return np.asarray(np.where(u < corner, rise, fall))

    return of


class Unknowns:
    """What is not known of one craft and its load: names, quantiles, and how the boat lies at a combination.

    Height and place are counted from -1 (low) over 0 (likely) to 1 (high) for everybody alike, the boat's
    weight in kilograms, the gear as a factor.
    """

    def __init__(self, craft: Craft):
        self.craft = craft
        masses, centres = craft.weight.sampled()
        off = masses - masses.mean()
        square = float(off @ off)
        self.slope = (off @ (centres - centres.mean(axis=0))) / square if square > 0 else np.zeros(3)
        found: dict[str, Quantile] = {
            "boat weight": lambda u: np.quantile(masses, u),
            "centre height": triangle(-1.0, 0.0, 1.0),
            "seat": triangle(-1.0, 0.0, 1.0),
        }
        if craft.boat.load.gear:
            found["gear"] = triangle(1 - GEAR, 1.0, 1 + GEAR)
        self.quantiles = found

    @property
    def names(self) -> tuple[str, ...]:
        return tuple(self.quantiles)

    def at(self, shares: Array) -> Array:
        """Values (unknowns, n) at shares between 0 and 1 of the same shape."""
        return np.array([of(u) for of, u in zip(self.quantiles.values(), shares)])

    def condition(self, values: Array) -> Condition:
        """How the boat lies at one combination, in full, the lean with it."""
        craft, weight = self.craft, self.craft.weight
        mass = float(values[0])
        one = with_build(craft, mass, weight.centre + self.slope * (mass - weight.mass))
        load = craft.boat.load
        gear = tuple(replace(g, mass=g.mass * float(values[3])) for g in load.gear) if load.gear else ()
        people = tuple(_as(p, float(values[1]), float(values[2])) for p in load.paddlers)
        boat = replace(craft.boat, load=replace(load, paddlers=people, gear=gear))
        one = replace(one, boat=boat)
        return heeled(one, level(one, people))


def _as(p: Paddler, height: float, place: float) -> Paddler:
    """The same person with a centre as high and as far forward as said, -1 to 1."""
    high, forward = _between(p.heights, height), _between(p.reaches, place)
    return replace(p, centre_height=(high,) * 3, centre_forward=(forward,) * 3)


def _between(span: Range, at: float) -> float:
    low, likely, high = span
    return likely + at * (high - likely if at > 0 else likely - low)


def design(count: int) -> Array:
    """Shares (points, count) at which it is worked out in full: the middle, ends of each, all corners."""
    middle = [0.5] * count
    ends = [[share if i == j else 0.5 for j in range(count)] for i in range(count) for share in (0.02, 0.98)]
    corners = itertools.product((0.08, 0.92), repeat=count)
    return np.array([middle, *ends, *corners])


def held_out(count: int) -> Array:
    """Shares at which the quadratics are held against the full answer."""
    steps = np.arange(1, 7)[:, None] * np.sqrt([2.0, 3.0, 5.0, 7.0])[None, :count]
    return np.asarray(0.05 + 0.9 * (steps % 1.0))


class Margins:
    """The least margin at any combination: quadratics through full answers."""

    def __init__(self, unknowns: Unknowns):
        self.unknowns, craft = unknowns, unknowns.craft
        self.rules = rules_for(craft.rowed)
        shares = design(len(unknowns.names))
        values = unknowns.at(shares.T).T
        self.found = [unknowns.condition(v) for v in values]
        self.middle, self.width = values[0], np.maximum(np.ptp(values, axis=0) / 2, 1e-9)
        self.made = [self.judged(c) for c in self.found]
        of = [[c.least_margin for c in m if c.key != "trim"] for m in self.made]
        figures = np.column_stack([np.array(of, float), [_or_nan(c.trim_length) for c in self.found]])
        self.over = int(np.isnan(figures).any(axis=1).sum())
        figures[:, :-1] = np.where(np.isnan(figures[:, :-1]), OVER, figures[:, :-1])
        self.why = _no_figure(self.found, figures, len(self.terms(values.T)[0]))
        if not self.why:
            terms = self.terms(values.T)
            self.fit = np.column_stack([_fitted(terms, column) for column in figures.T])
            self.ladder = self._trim_ladder(figures[:, -1])

    def judged(self, condition: Condition) -> tuple[Check, ...]:
        return checks(self.unknowns.craft.boat, [condition], self.rules)

    def full(self, values: Array) -> float:
        """The least margin at one combination, in full."""
        margins = [c.least_margin for c in self.judged(self.unknowns.condition(values))]
        return max(OVER, min(OVER if m is None else m for m in margins))

    def terms(self, values: Array) -> Array:
        """Terms of a quadratic (n, terms) at values (unknowns, n)."""
        x = (values - self.middle[:, None]) / self.width[:, None]
        pairs = itertools.combinations_with_replacement(range(len(x)), 2)
        return np.column_stack([np.ones(x.shape[1]), *x, *(x[i] * x[j] for i, j in pairs)])

    def _trim_ladder(self, trims: Array) -> tuple[Array, Array]:
        """The margin of the trim over the trim itself, which has a corner where the boat lies level."""
        reach = 1.5 * float(np.nanmax(np.abs(trims))) + 0.05
        steps = np.linspace(-reach, reach, 401)
        rule = [r for r in self.rules if r.key == "trim"]
        boat, likely = self.unknowns.craft.boat, self.found[0]
        margins = [checks(boat, [replace(likely, trim_length=float(t))], rule)[0].least_margin for t in steps]
        return steps, np.array(margins, float)

    def least(self, values: Array) -> Array:
        """The least margin (n,) at values (unknowns, n)."""
        fitted = self.terms(values) @ self.fit
        trim = np.interp(fitted[:, -1], *self.ladder)
        return np.asarray(np.maximum(np.minimum(fitted[:, :-1].min(axis=1), trim), OVER))


def _or_nan(value: float | None) -> float:
    return np.nan if value is None else value


def _fitted(terms: Array, figures: Array) -> Array:
    """Least squares through the combinations that have a figure."""
    there = np.isfinite(figures)
    return np.asarray(np.linalg.lstsq(terms[there], figures[there], rcond=None)[0])


def _no_figure(found: Sequence[Condition], figures: Array, terms: int) -> str:
    """Why no quadratics can be put through the margins, in words: it is not afloat as it is likely to be, or
    in too many combinations; "" where they can."""
    there = np.isfinite(figures)
    if there[0].all() and there.sum(axis=0).min() >= terms:
        return ""
    state = next(c.state for c in found if c.state != "afloat")
    where = "at the ends of what is not known" if there[0].all() else "as it is likely to be"
    return f"{where} it {'is capsized' if state == 'capsized' else state}"


def doubt(craft: Craft) -> Doubt:
    """Which unknown makes the doubt in the least margin of the load in the boat's file.

    Parameters
    ----------
    craft : Craft
        Weighed and seated, somebody aboard.

    Returns
    -------
    Doubt

    Notes
    -----
    Height and place are triangular between their low and high ends, the weight as its samples, the gear
    triangular within `GEAR` of its mass; each independent of the others.
    """
    unknowns = Unknowns(craft)
    margins = Margins(unknowns)
    if margins.why:
        return Doubt((), full=len(margins.found), over=margins.over, why=margins.why)
    tried = held_out(len(unknowns.names))
    whole = [margins.full(values) for values in unknowns.at(tried.T).T]
    fitted = margins.least(unknowns.at(tried.T))
    return replace(
        shares_of(margins.least, unknowns),
        fit_error=float(np.sqrt(np.mean((np.array(whole) - fitted) ** 2))),
        full=len(margins.found) + len(tried),
        over=margins.over,
    )


def shares_of(least: Callable[[Array], Array], unknowns: Unknowns) -> Doubt:
    """Sobol's indices of a function of the unknowns, most first, with intervals by resampling."""
    from scipy.stats import sobol_indices
    from scipy.stats.qmc import Sobol

    names = unknowns.names
    count = len(names)
    drawn = Sobol(2 * count, scramble=False).random(2 * SAMPLES)[SAMPLES:].T  # the first half is coarser
    a, b = unknowns.at(drawn[:count]), unknowns.at(drawn[count:])
    mixed = [np.where((np.arange(count) == i)[:, None], b, a) for i in range(count)]
    f_a, f_b = least(a)[None, :], least(b)[None, :]
    f_ab = np.array([least(m)[None, :] for m in mixed])
    spread = float(np.std(np.concatenate([f_a, f_b], axis=1)))
    if spread < 1e-9:
        return Doubt((), spread, why="nothing that is not known moves the least margin")

    def indices(chosen: Array) -> tuple[Array, Array]:
        kept = {"f_A": f_a[:, chosen], "f_B": f_b[:, chosen], "f_AB": f_ab[:, :, chosen]}
        found = sobol_indices(func=kept, n=SAMPLES)
        return np.ravel(found.first_order), np.ravel(found.total_order)

    first, total = indices(np.arange(SAMPLES))
    rng = np.random.default_rng(SEED)
    again = [indices(rng.integers(0, SAMPLES, SAMPLES)) for _ in range(RESAMPLES)]
    ends = [(1 - INTERVAL) / 2, (1 + INTERVAL) / 2]
    firsts, totals = (np.quantile([r[k] for r in again], ends, axis=0) for k in (0, 1))
    made = [
        Share(
            name,
            float(first[i]),
            (float(firsts[0, i]), float(firsts[1, i])),
            float(total[i]),
            (float(totals[0, i]), float(totals[1, i])),
        )
        for i, name in enumerate(names)
    ]
    return Doubt(tuple(sorted(made, key=lambda s: -s.total)), spread)
