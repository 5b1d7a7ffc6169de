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

    What it is, for all that comes after (nothing is to be found by the words of `item` or `where`):
    kind: "strip", "sheet" or "lapped" planking; "edge glue"; "seal coat", "cloth", "wet-out", "fill coats", "coating" of a skin;
    "lamination", "solid", "joint" (of either), "glue line", "fillet", "tape", "tape wet-out", "cord" of a run; "bulkhead",
    "appendage", "piece".
    region: the surface it lies on ("hull", "deck inside", "bulkheads", ...) or the line it runs along ("sheer", "bow stem", ...).
    sizes: its section as written [m]: thickness and width of a strip, ply and depth of a lamination, radius of a fillet, width of a
    tape; length, width and thickness of a piece. count: plies, layers, coats, joints side by side, or pieces.
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
    kind: str = ""
    region: str = ""
    sizes: tuple[float, ...] = ()
    count: int = 1
