"""Mass: how much, where, how spread, how sure. Masses add."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field

import numpy as np

from hullview.arrays import Array


def _zeros() -> Array:
    return np.zeros((3, 3))


@dataclass(frozen=True)
class Mass:
    """mass [kg] (likely), centre (3,) [m], inertia (3, 3) about the centre [kg m2] (diagonal: sum of m (y2
    + z2), ...), low and high [kg]."""

    mass: float
    centre: Array
    inertia: Array = field(default_factory=_zeros)
    low: float | None = None
    high: float | None = None

    def __add__(self, other: Mass) -> Mass:
        return total((self, other))


def total(parts: Iterable[Mass]) -> Mass:
    """The sum of masses, with the parallel-axis theorem; low and high add (as if all moved together).

    >>> t = total([Mass(1.0, np.array([0.0, 0, 0])), Mass(3.0, np.array([4.0, 0, 0]))])
    >>> float(t.mass), float(t.centre[0]), float(t.inertia[2, 2])
    (4.0, 3.0, 12.0)
    """
    parts = tuple(parts)
    mass = sum(p.mass for p in parts)
    if mass <= 0:
        return Mass(0.0, np.zeros(3))
    centre = sum((p.mass * np.asarray(p.centre, float) for p in parts), np.zeros(3)) / mass
    inertia = np.zeros((3, 3))
    for p in parts:
        d = np.asarray(p.centre, float) - centre
        inertia += p.inertia + p.mass * (d @ d * np.eye(3) - np.outer(d, d))
    low = sum(p.mass if p.low is None else p.low for p in parts)
    high = sum(p.mass if p.high is None else p.high for p in parts)
    return Mass(float(mass), centre, inertia, float(low), float(high))
