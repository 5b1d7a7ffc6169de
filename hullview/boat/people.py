"""Who and what goes aboard, as data: people with their seats, gear, and what of them is on board. Lengths
[m], masses [kg]."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Literal

Range = tuple[float, float, float]
"""Low, likely, high."""

POSTURES: Mapping[str, tuple[Range, Range, float]] = {
    # whole-body centre above the seat, forward of the seat's back, and default seat height [m]
    "legs forward": ((0.23, 0.26, 0.30), (0.22, 0.25, 0.28), 0.025),
    "bench": ((0.23, 0.26, 0.30), (0.18, 0.22, 0.26), 0.24),
    "kneeling": ((0.18, 0.22, 0.26), (0.12, 0.16, 0.20), 0.20),
    "standing": ((0.90, 0.98, 1.06), (0.08, 0.12, 0.16), 0.0),
}
"""Defaults by posture; heights from memory and common practice, forward reach for legs forward as in the
people table."""


Way = Literal["bow", "stern"]
"""The end of the boat that somebody faces."""
USUAL_STATURE = 1.75
"""The stature [m] that the heights in `POSTURES` are for."""
_GROWN, _SMALL, _SMALL_STATURE = 60.0, 30.0, 1.35
"""With no stature given: `USUAL_STATURE` from 60 kg up, straight down to 1.35 m at 30 kg (common practice,
no source)."""
BENCH_DEPTH, SEAT_DEPTH = 0.220, 0.250
"""How far a seat reaches from its back to its front edge [m]: a bench, any other (common practice, no
source)."""


@dataclass(frozen=True)
class Paddler:
    """A person aboard.

    mass: dressed [kg]. seat_back: edge of the seat behind the sitter's back [m aft of the datum]: its after
    edge for one who faces the bow, its forward edge for one who faces the stern. seat_height: above the
    finished bottom on the centre line. centre_height, centre_forward: whole-body centre above the seat, and
    from the seat's back the way the sitter faces (low, likely, high); left out, by the posture, the height
    growing with the stature. seat_depth: from the seat's back to its front edge. side: to starboard [m].
    """

    mass: float
    seat_back: float
    name: str = "paddler"
    posture: str = "legs forward"
    seat_height: float | None = None
    centre_height: Range | None = None
    centre_forward: Range | None = None
    side: float = 0.0
    faces: Way = "bow"
    seat_depth: float | None = None
    stature: float | None = None

    @property
    def tall(self) -> float:
        """The stature [m], as given or as usual for the mass.

        >>> [round(Paddler(mass, 1.8).tall, 3) for mass in (90, 60, 45, 30, 20)]
        [1.75, 1.75, 1.55, 1.35, 1.35]
        """
        if self.stature is not None:
            return self.stature
        share = (min(max(self.mass, _SMALL), _GROWN) - _SMALL) / (_GROWN - _SMALL)
        return _SMALL_STATURE + share * (USUAL_STATURE - _SMALL_STATURE)

    @property
    def heights(self) -> Range:
        """Whole-body centre above the seat, low, likely and high [m]."""
        if self.centre_height is not None:
            return self.centre_height
        low, likely, high = POSTURES[self.posture][0]
        grown = self.tall / USUAL_STATURE
        return low * grown, likely * grown, high * grown

    @property
    def reaches(self) -> Range:
        """Whole-body centre from the seat's back the way the sitter faces, low, likely and high [m]."""
        return self.centre_forward or POSTURES[self.posture][1]

    @property
    def seat(self) -> float:
        """Seat above the finished bottom [m]."""
        return POSTURES[self.posture][2] if self.seat_height is None else self.seat_height

    @property
    def depth(self) -> float:
        """Of the seat, from its back to its front edge [m]."""
        if self.seat_depth is not None:
            return self.seat_depth
        return BENCH_DEPTH if self.posture == "bench" else SEAT_DEPTH

    @property
    def ahead(self) -> float:
        """The sign of x the way the sitter faces: x grows aft."""
        return -1.0 if self.faces == "bow" else 1.0

    def facing(self, way: Way) -> Paddler:
        """The same person on the same seat, facing that way: the other edge of the seat is then behind the
        back.

        >>> Paddler(80.0, 1.96, posture="bench").facing("stern").seat_back
        1.74
        """
        if way == self.faces:
            return self
        return replace(self, faces=way, seat_back=self.seat_back + self.ahead * self.depth)


@dataclass(frozen=True)
class Gear:
    """Gear: mass [kg] at (aft, starboard, up) [m]; `at` with up None lies on the bottom.

    roams: how far to either side of there it may be [m], as a dog may; looked at in the bad ends.
    """

    mass: float
    at: tuple[float, float, float | None]
    name: str = "gear"
    roams: float = 0.0


@dataclass(frozen=True)
class Load:
    """Who and what is aboard.

    free: one paddler alone who takes the best of the boat's seats, facing one of these ways; empty: all sit
    where they are. asked: given for this answer by options or by a call; otherwise as the boat's file has it.
    """

    paddlers: tuple[Paddler, ...] = ()
    gear: tuple[Gear, ...] = ()
    free: tuple[Way, ...] = ()
    asked: bool = False


@dataclass(frozen=True)
class Case:
    """[[case]]: a load by name, which the boat is to carry some day."""

    name: str
    load: Load


NOBODY = Load()
"""Nobody and nothing aboard."""


def named_seats(seats: Sequence[Paddler]) -> Mapping[str, Paddler]:
    """Seats by their paddler's name; where several have one name, by name and number."""
    names = [s.name for s in seats]
    labels = [n if names.count(n) == 1 else f"{n} {names[: i + 1].count(n)}" for i, n in enumerate(names)]
    return {label: replace(s, name=label) for label, s in zip(labels, seats)}
