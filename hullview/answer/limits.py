"""What this shop calls enough: our defaults with their basis from data/limits.csv, and the boat's own where it gives them."""

from __future__ import annotations

import csv
import functools
import math
from collections.abc import Mapping
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Literal

from hullview.boat.model import Boat

Sense = Literal["at least", "more than", "at most", "less than"]

OWN_BASIS = "this boat's own limit"

CANOE_LENGTH_TO_BEAM = 4.0
"""An open boat pointed at both ends and at least this slim is spoken of as a canoe (common practice, no source)."""


@dataclass(frozen=True)
class Limit:
    """One limit, in the unit of its check (SI, angles in degrees as they are printed).

    enough: where a pass ends. not_enough: where a warning ends and a failure begins; None: it can only warn.
    """

    key: str
    sense: Sense
    enough: float | None
    not_enough: float | None
    unit: str
    basis: str
    note: str

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
    )


def limit(boat: Boat, key: str) -> Limit:
    """The limit of that key for this boat: her own if her file gives one, else our default for her kind.

    A boat's own limit has one bound: short of it is a failure, not a warning.
    """
    table = defaults()
    default = table.get((key, "any")) or table.get((key, boat.hull.type)) or table[(key, "open canoe")]
    given = boat.limits.get(key)
    if given is None:
        return default
    value = math.degrees(given) if default.unit == "deg" else given
    sense: Sense = "at least" if key == "freeboard" else default.sense
    return replace(default, sense=sense, enough=value, not_enough=value, basis=OWN_BASIS)


def lean_of(boat: Boat, posture: str) -> Limit:
    """The sideways shift of a paddler's whole-body centre [m] that must not flood her: by posture and kind of boat."""
    if "lean" not in boat.limits and posture == "bench":
        return defaults()[("lean", "bench")]
    return limit(boat, "lean")


def is_open_canoe(boat: Boat, length_to_beam: float) -> bool:
    """Open, pointed at both ends and slim: the boats whose draft by number aboard is a rule of the trade."""
    pointed = not (boat.hull.bow.transom or boat.hull.stern.transom)
    return boat.hull.type == "open" and pointed and length_to_beam >= CANOE_LENGTH_TO_BEAM
