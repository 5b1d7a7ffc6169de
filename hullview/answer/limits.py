"""What this shop calls enough: our defaults with their basis from data/limits.csv, and the boat's own
where it gives them."""

from __future__ import annotations

import csv
import functools
import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Literal

from hullview.boat.model import Boat, Paddler

Sense = Literal["at least", "more than", "at most", "less than"]

OWN_BASIS = "this boat's own limit"

CANOE_LENGTH_TO_BEAM = 4.0
"""An open boat pointed at both ends and at least this slim is spoken of as a canoe (common practice, no
source)."""


@dataclass(frozen=True)
class Limit:
    """One limit, in the unit of its check (SI, angles in degrees as they are printed).

    enough: where a pass ends. not_enough: where a warning ends and a failure begins; None: it can only warn.
    scale: what a margin is measured by where margins of several checks are compared, never 0.
    """

    key: str
    sense: Sense
    enough: float | None
    not_enough: float | None
    unit: str
    basis: str
    note: str
    scale: float = 1.0

    @property
    def own(self) -> bool:
        """Whether the boat's file gave it."""
        return self.basis == OWN_BASIS

    def holds(self, value: float, bound: float | None) -> bool:
        """Whether a value is on the good side of a bound of this limit; with no bound anything is."""
        return bound is None or _HOLDS[self.sense](value, bound)

    def margin(self, value: float) -> float:
        """How far inside the limit a value lies, in the unit of the check; negative outside.

        >>> Limit("trim", "at most", 0.5, 0.5, "m", "", "").margin(0.125)
        0.375
        """
        if self.enough is None:
            return math.inf
        return value - self.enough if self.sense in ("at least", "more than") else self.enough - value

    def result(self, value: float) -> Literal["pass", "warn", "fail"]:
        if self.holds(value, self.enough):
            return "pass"
        return "warn" if self.holds(value, self.not_enough) else "fail"


_HOLDS = {
    "at least": lambda value, bound: value >= bound,
    "more than": lambda value, bound: value > bound,
    "at most": lambda value, bound: value <= bound,
    "less than": lambda value, bound: value < bound,
}


@functools.cache
def defaults() -> Mapping[tuple[str, str], Limit]:
    """Our own limits by (key, kind of boat), as they stand in data/limits.csv."""
    path = Path(__file__).parent.parent / "data" / "limits.csv"
    with path.open(encoding="utf-8", newline="") as file:
        return {(row["key"], row["boat"]): _read(row) for row in csv.DictReader(file)}


def _read(row: dict[str, str]) -> Limit:
    def number(text: str) -> float | None:
        return float(text) if text else None

    return Limit(
        row["key"],
        row["sense"],  # type: ignore[arg-type]
        number(row["enough"]),
        number(row["not_enough"]),
        row["unit"],
        row["basis"],
        row["note"],
        float(row["scale"]),
    )


def limit(boat: Boat, key: str) -> Limit:
    """The limit of that key for this boat: its own if its file gives one, else our default for its kind.

    A boat's own limit has one bound: short of it is a failure, not a warning, unless the check can only warn.
    """
    table = defaults()
    default = table.get((key, "any")) or table.get((key, boat.hull.type)) or table[(key, "open canoe")]
    given = boat.limits.get(key)
    if given is None:
        return default
    value = math.degrees(given) if default.unit == "deg" else given
    sense: Sense = "at least" if key == "freeboard" else default.sense
    fails = None if default.not_enough is None else value
    return replace(default, sense=sense, enough=value, not_enough=fails, basis=OWN_BASIS)


def setting(boat: Boat, key: str) -> float:
    """A number of the rules rather than a bound: how far a lean or a reach goes, what the plan allows."""
    value = limit(boat, key).enough
    assert value is not None, f"{key} has no number in limits.csv"
    return value


def trim_passes(boat: Boat, trim: float, waterline: float) -> tuple[float, str]:
    """How much trim [m] over a waterline of that length [m] passes the way it lies, and on what basis.

    trim: by the stern positive [m]. A share of the waterline with a least, or the boat's own `trim`,
    `trim_stern`, `trim_bow`.
    """
    key = "trim_stern" if trim >= 0 else "trim_bow"
    own = boat.limits.get(key, boat.limits.get("trim"))
    if own is not None:
        return own, OWN_BASIS
    share, least = (defaults()[(name, "any")] for name in (key, f"{key}_least"))
    return max((share.enough or 0.0) * waterline, least.enough or 0.0), share.basis


ROWED_BEAM = 1.05
"""A boat as wide as this [m], or with a transom, is rowed (common practice, no source)."""


def is_rowed(boat: Boat, beam: float) -> bool:
    """Whether the boat is one that is rowed: a transom, or a greatest beam [m] of 1.05 m or more. How
    people sit does not decide."""
    return boat.hull.bow.transom or boat.hull.stern.transom or beam >= ROWED_BEAM


def lean_shifts(boat: Boat, paddlers: Sequence[Paddler], rowed: bool) -> tuple[float, ...]:
    """The sideways shift of each one's whole-body centre in a lean [m].

    All by `lean`; the heaviest on a thwart of a boat that is rowed by `lean_bench`, and no less than the
    others unless the boat's file says so.
    """
    shifts = [setting(boat, "lean")] * len(paddlers)
    if rowed:
        benches = [i for i, p in enumerate(paddlers) if p.posture == "bench"]
        if benches:
            heaviest = max(benches, key=lambda i: paddlers[i].mass)
            bench = setting(boat, "lean_bench")
            shifts[heaviest] = bench if "lean_bench" in boat.limits else max(bench, shifts[heaviest])
    return tuple(shifts)


def is_open_canoe(boat: Boat, length_to_beam: float) -> bool:
    """Open, pointed at both ends and slim: the boats whose draft by number aboard is a rule of the trade."""
    pointed = not (boat.hull.bow.transom or boat.hull.stern.transom)
    return boat.hull.type == "open" and pointed and length_to_beam >= CANOE_LENGTH_TO_BEAM
