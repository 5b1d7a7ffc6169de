"""One line of a weight: what it is, where, how much of it, and the terms its mass is made of; then what it
weighs."""

from __future__ import annotations

from dataclasses import dataclass, field

from hullview.arrays import Array
from hullview.boat.model import Appendage, Bulkhead, Piece, Planking, Run, Skin
from hullview.errors import HullviewError
from hullview.weight.causes import Term
from hullview.weight.patch import Spread


class ScheduleError(HullviewError):
    """The schedule asks for what this hull or the library does not have, or leaves out what its kind
    needs."""


Entry = Planking | Skin | Run | Piece | Bulkhead | Appendage


@dataclass(frozen=True)
class ScheduleLine:
    """A line of the schedule, measured on the hull but not weighed yet: its terms give the mass, its spread
    says where that mass is.

    Parameters
    ----------
    item, where
        What and where, in words for people; nothing is to be found by them.
    basis
        "area", "length" or "piece".
    quantity, unit
        How much of it, in "m2", "m" or "pieces".
    group
        "planking", "other wood", "cloth", "resin", "glue", "coating", "fittings"; "usually also" of what is
        allowed for; "measured" of the difference between what was measured afloat and what was estimated.
    spread
        Where it is.
    terms
        What its mass is the sum of.
    names
        Further names under which it can be said to lie on the scale.
    material
        Its name in the library, where it is made of one.
    kind
        "strip", "sheet" or "lapped" planking; "edge glue"; "seal coat", "cloth", "wet-out", "fill coats",
        "coating" of a skin; "lamination", "solid", "joint" (of either), "glue line", "fillet", "tape", "tape
        wet-out", "cord" of a run; "bulkhead", "appendage", "piece", "allowance", "measured".
    region
        The surface it lies on ("hull", "deck inside", "bulkheads", ...) or the line it runs along ("sheer",
        "bow stem", ...).
    sizes
        Its section as written [m]: thickness and width of a strip, ply and depth of a lamination, radius of a
        fillet, width of a tape; length, width and thickness of a piece.
    count
        Plies, layers, coats, joints side by side, or pieces.
    entry
        The entry of the boat's file that it is a line of; None where it is of none.
    """

    item: str
    where: str
    basis: str
    quantity: float
    unit: str
    group: str
    spread: Spread = field(repr=False, compare=False)
    terms: tuple[Term, ...] = field(repr=False)
    names: tuple[str, ...] = ()
    material: str = ""
    kind: str = ""
    region: str = ""
    sizes: tuple[float, ...] = ()
    count: int = 1
    entry: Entry | None = field(default=None, repr=False)


@dataclass(frozen=True, kw_only=True)
class WeightLine(ScheduleLine):
    """The same, weighed: mass (likely), low and high (its 80 % range) [kg]."""

    mass: float
    low: float
    high: float

    @property
    def centre(self) -> Array:
        """Its centre, (3,) [m]."""
        return self.spread.centre

    @property
    def second(self) -> Array:
        """Mean of p p^T over it, (3, 3) [m2]."""
        return self.spread.second

    @property
    def causes(self) -> tuple[str, ...]:
        """What moves its mass."""
        return tuple(dict.fromkeys(q.cause for t in self.terms for q in t.factors))
