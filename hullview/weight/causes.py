"""Why a weight is a range: independent causes, each of which moves all the lines that share it.

A cause is one standard normal number z. A quantity under a cause is its likely value at z = 0 and runs
straight to its low value at z = -1.2816 and to its high value at z = +1.2816 (the 10th and 90th percentile),
so it may be skewed: a normal curve in two pieces.
"""

from __future__ import annotations

import zlib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np

from hullview.arrays import Array
from hullview.materials import Range

Z10 = 1.2815515655446004
"""Standard normal deviate with a tenth above it."""
SAMPLES = 2048
RESIN_HANDS = "hands with resin"
SAND_HANDS = "hands with sandpaper"

CARE: Mapping[str, tuple[float, float]] = {
    "careful": (-0.8, 0.7),
    "usual": (0.0, 1.0),
    "heavy-handed": (0.9, 1.0),
}
"""Where a pair of hands lies among builders and how sure that is: z = shift + scale u. Common practice, no
source."""


@dataclass(frozen=True)
class Quantity:
    """A figure that varies: low, likely, high in its own unit, moved by a cause."""

    cause: str
    low: float
    likely: float
    high: float

    @staticmethod
    def of(cause: str, span: Range) -> Quantity:
        """A quantity from a (low, likely, high) range."""
        return Quantity(cause, *span)


@dataclass(frozen=True)
class Term:
    """A part of a line's mass: coefficient times the product of quantities [kg].

    A negative coefficient takes off again what an earlier term put on (sanding). when: it goes aboard or
    comes off, as in `hullview.weight.stages`. step: "planking", "seal", "wet-out", "fill 1", ..., "seam",
    "glue line", "" for all else. strips: it is on the pile of milled strips.
    """

    coefficient: float
    factors: tuple[Quantity, ...]
    when: str
    step: str = ""
    strips: bool = False


@dataclass(frozen=True)
class Model:
    """Terms set out as arrays, so that thousands of boats are weighed at once.

    causes: names, one row of z each. shift, scale: (k,) of z = shift + scale u, u standard normal.
    line: (t,) index of the line each term belongs to; n_lines.
    """

    causes: tuple[str, ...]
    shift: Array
    scale: Array
    terms: tuple[Term, ...]
    line: Array
    n_lines: int
    spans: Array
    """(q, 3) low, likely, high; row 0 is the constant 1."""
    cause_of: Array
    """(q,) row of z."""
    factors: Array
    """(t, f) rows of `spans`."""
    coefficients: Array
    """(t,) of the terms."""
    part_term: Array
    """Of every factor of every term, in the order of the causes: its term,"""
    part_quantity: Array
    """its row of `spans`,"""
    part_start: Array
    """and where each cause's factors begin."""

    def _values(self, z: Array) -> tuple[Array, Array]:
        """Value and slope against z of every quantity at z (k, n): (q, n) each."""
        zq = z[self.cause_of]
        low, likely, high = (self.spans[:, i, None] for i in range(3))
        slope = np.where(zq < 0, likely - low, high - likely) / Z10
        value = likely + zq * slope
        return np.maximum(value, 0.0), np.where(value > 0, slope, 0.0)

    def _products(self, values: Array) -> Array:
        mass = self.coefficients[:, None] * values[self.factors[:, 0]]
        for column in self.factors.T[1:]:
            mass *= values[column]
        return np.asarray(mass)

    def term_masses(self, z: Array) -> Array:
        """Mass of every term [kg] at z (k, n): (t, n)."""
        return self._products(self._values(z)[0])

    def sums_and_slopes(self, rows: Array, z: Array) -> tuple[Array, Array]:
        """Sums of terms by rows (s, t) at z (k, n), (s, n), and their slopes against each z, (n, s, k):
        each product by its factors."""
        values, slopes = self._values(z)
        mass = self._products(values)
        relative = slopes / np.maximum(values, 1e-30)
        part = mass[self.part_term] * relative[self.part_quantity]
        by_row = [
            np.add.reduceat(row[self.part_term][:, None] * part, self.part_start, axis=0) for row in rows
        ]
        return rows @ mass, np.array(by_row).transpose(2, 0, 1)

    def line_masses(self, z: Array) -> Array:
        """Mass of every line [kg] at z (k, n): (lines, n)."""
        return self.by_line(self.term_masses(z))

    def by_line(self, masses: Array) -> Array:
        """Masses of terms (t, n) added up by line: (lines, n)."""
        return np.add.reduceat(masses, np.searchsorted(self.line, np.arange(self.n_lines)), axis=0)

    def part(self, wanted: Array) -> Model:
        """The model of some of the terms (t,) alone, each a line of its own, under the same hands."""
        small = compile_model([[t] for t, w in zip(self.terms, wanted) if w])
        rows = [self.causes.index(c) for c in small.causes]
        return replace(small, shift=self.shift[rows], scale=self.scale[rows])

    def likely(self) -> Array:
        """z of the likely boat, (k, 1)."""
        return self.shift[:, None]

    def at(self, draw: Mapping[str, float]) -> Array:
        """z of one boat whose causes are given by name as standard normal numbers u, (k, 1)."""
        u = np.array([draw.get(c, 0.0) for c in self.causes])
        return np.asarray((self.shift + self.scale * u)[:, None])

    def sample(self, n: int = SAMPLES) -> Array:
        """z of n boats, (k, n): evenly spread over every cause, the same at every run and for every build."""
        u = np.array([_spread(c, n) for c in self.causes]).reshape(len(self.causes), n)
        return np.asarray(self.shift[:, None] + self.scale[:, None] * u)


@lru_cache(maxsize=512)
def _spread(cause: str, n: int) -> Array:
    """The numbers of a cause: the same at every run, in an order that depends on its name alone."""
    return evenly(np.random.default_rng(zlib.crc32(cause.encode())), n)


def evenly(rng: np.random.Generator, n: int) -> Array:
    """n standard normal numbers in random order, one from each of n equal slices."""
    return _slices(n)[rng.permutation(n)]


@lru_cache(maxsize=16)
def _slices(n: int) -> Array:
    """The standard normal number in the middle of each of n equal slices, lowest first."""
    from scipy.special import ndtri

    return np.asarray(ndtri((np.arange(n) + 0.5) / n))


def compile_model(lines: Sequence[Sequence[Term]], care: str = "usual") -> Model:
    """Set out the terms of each line as one model, with the hands shifted by the care they take."""
    terms = tuple(t for line in lines for t in line)
    line = np.array([i for i, part in enumerate(lines) for _ in part], dtype=int)
    row: dict[Quantity, int] = {Quantity("", 1.0, 1.0, 1.0): 0}
    for t in terms:
        for q in t.factors:
            row.setdefault(q, len(row))
    causes = tuple(dict.fromkeys(q.cause for q in row))
    place = {c: i for i, c in enumerate(causes)}
    most, least = (f((len(t.factors) for t in terms), default=0) for f in (max, min))
    widest = most + (most == least)  # so that the constant is a factor somewhere, as every other quantity is
    factors = np.zeros((len(terms), widest), dtype=int)
    for i, t in enumerate(terms):
        factors[i, : len(t.factors)] = [row[q] for q in t.factors]
    hands = [CARE[care] if c in (RESIN_HANDS, SAND_HANDS) else (0.0, 1.0) for c in causes]
    shift, scale = np.array(hands).T.reshape(2, -1)
    spans = np.array([(q.low, q.likely, q.high) for q in row])
    cause_of = np.array([place[q.cause] for q in row])
    by_cause = np.argsort(cause_of[factors.ravel()], kind="stable")
    part_start = np.searchsorted(cause_of[factors.ravel()[by_cause]], np.arange(len(causes)))
    coefficients = np.array([t.coefficient for t in terms])
    return Model(
        causes, shift, scale, terms, line, len(lines), spans, cause_of, factors, coefficients,
        by_cause // widest, factors.ravel()[by_cause], part_start,
    )  # fmt: skip


def span_of(samples: Array) -> tuple[float, float]:
    """The 80 % range of samples (n,): a tenth below, a tenth above."""
    n = len(samples)
    low, high = round(0.1 * (n - 1)), round(0.9 * (n - 1))
    sorted_ = np.partition(samples, (low, high))
    return float(sorted_[low]), float(sorted_[high])


def ends_of(sampled: Array) -> Array:
    """The 80 % range of each row of samples (rows, n): a tenth below, a tenth above, (rows, 2)."""
    n = sampled.shape[1]
    low, high = round(0.1 * (n - 1)), round(0.9 * (n - 1))
    return np.partition(sampled, (low, high), axis=1)[:, [low, high]]
