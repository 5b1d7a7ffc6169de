"""The figure that United States law would have printed on a boat that is rowed, beside our own checks. No
conformity is claimed."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from hullview.afloat.water import density
from hullview.arrays import Array
from hullview.boat.wording import POUND
from hullview.shape.body import Body

RULE = "33 CFR 183"
CAPACITY_SHARE = 0.3
"""Of the greatest displacement less the boat, for boats propelled by hand: 33 CFR 183.37, from memory."""
PERSONS_SHARE = 0.9
"""Of the capacity, for persons in such a boat: 33 CFR 183.43 (b)."""


@dataclass(frozen=True)
class Statutory:
    """The figure and the load beside it, masses in kg.

    max_displacement: level, down to where water comes in, in fresh water. capacity: maximum weight capacity.
    persons_mass: persons capacity; persons: the same as a whole number. aboard: persons and gear; people:
    persons.
    """

    max_displacement: float
    boat: float
    capacity: float
    persons_mass: float
    persons: int
    carried: float
    people: float
    rule: str = RULE
    note: str = "183.37 from memory; canoes and kayaks are excluded; no conformity is claimed"

    @property
    def over(self) -> bool:
        """Whether the load is over either figure."""
        return self.carried > self.capacity or self.people > self.persons_mass


def max_displacement(body: Body, rims: Array) -> float | None:
    """What a boat displaces level, immersed to the lowest point where water comes in [kg of fresh water];
    None where nothing does."""
    if not len(rims):
        return None
    return density("fresh") * body.immersed(np.array([0.0, 0.0, 1.0]), float(rims[:, 2].min())).volume


def statutory(bears: float, boat: float, carried: float, people: float) -> Statutory:
    """The figure of a boat of that greatest displacement and mass, with that much aboard [kg].

    persons = (pounds + 32) / 141, the fraction dropped.

    >>> found = statutory(1000.0, 100.0, 150.0, 150.0)
    >>> round(found.capacity), round(found.persons_mass), found.persons, found.over
    (270, 243, 4, False)
    """
    capacity = max(CAPACITY_SHARE * (bears - boat), 0.0)
    persons = PERSONS_SHARE * capacity
    whole = math.floor((persons / POUND + 32.0) / 141.0) if persons > 0 else 0
    return Statutory(bears, boat, capacity, persons, whole, carried, people)
