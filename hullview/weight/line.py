"""One line of the weight before it is summed: what it is, where, how much of it, and the terms its mass is made of."""

from __future__ import annotations

from dataclasses import dataclass

from hullview.errors import HullviewError
from hullview.weight.causes import Term
from hullview.weight.patch import Spread


class ScheduleError(HullviewError):
    """The schedule asks for what this hull or the library does not have, or leaves out what its kind needs."""


@dataclass(frozen=True)
class Draft:
    """A line of the weight: its terms give the mass, its spread says where that mass is.

    basis: "area", "length", "piece". quantity in `unit` ("m2", "m", "pieces"). group: "planking", "other wood", "cloth",
    "resin", "glue", "coating", "fittings". names: further names under which it can be said to be aboard.
    material: its name in the library, where it is made of one.
    """

    item: str
    where: str
    basis: str
    quantity: float
    unit: str
    group: str
    spread: Spread
    terms: tuple[Term, ...]
    names: tuple[str, ...] = ()
    material: str = ""
