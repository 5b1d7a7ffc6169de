"""Where people and things may be: on the boat, and with room to sit. What has no place there has no answer
either."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from hullview.boat.model import Boat, Gear, Paddler
from hullview.boat.wording import from_to, length_text
from hullview.errors import BoatFileError, Mistake, UsageError
from hullview.shape.hull import Hull

ROOM = 0.75
"""Length of cockpit that one who sits in it takes up [m] (common practice, no source)."""
ABOVE = 2.0
"""Gear stands no higher than this above the highest point of the hull [m]."""
SLACK = 0.002
"""A thing against the skin may be this far past it by rounding [m]."""


def refuse_outside(boat: Boat, hull: Hull) -> None:
    """Refuse a seat, a body's centre or gear that lies outside the boat, and more people in an opening than
    have room there.

    Raises
    ------
    BoatFileError, UsageError
        With every such place: the first where the boat's file says so, the second where options or a call do.
    """
    found = [*_people(boat, hull), *_crowds(boat), *_things(boat, hull)]
    if not found:
        return
    if boat.load.asked:
        raise UsageError("\n".join(f"{boat.name}: {what}: {why}. {mend}" for what, why, mend in found))
    raise BoatFileError(Mistake("boat.toml", what, "", why, mend) for what, why, mend in found)


Wrong = tuple[str, str, str]


def _people(boat: Boat, hull: Hull) -> Iterator[Wrong]:
    corners = hull.vertices[hull.faces.ravel()]
    low, high = float(corners[:, 0].min()), float(corners[:, 0].max())
    span = f"the boat, which runs from {from_to(low, high, boat.units_shown)} aft of the bow datum"
    for p in boat.load.paddlers:
        centre = p.seat_back + p.ahead * p.reaches[1]
        half = _half_breadth(hull, min(max(p.seat_back, low), high))
        if not low <= p.seat_back <= high:
            yield (
                f"{p.name}'s seat back, {_along(boat, p.seat_back)}",
                f"lies outside {span}",
                "Check the unit.",
            )
        elif not low <= centre <= high:
            yield (
                f"{p.name}, {_along(boat, p.seat_back)}, facing the {p.faces}",
                f"the body's centre, {_along(boat, centre)}, lies outside {span}",
                "Move the seat, or turn the paddler round.",
            )
        elif abs(p.side) > half + SLACK:
            yield (
                f"{p.name}, {_along(boat, abs(p.side))} off the centre line",
                f"sits outside the boat, {_along(boat, half)} wide to a side there",
                "Check the unit.",
            )


def _crowds(boat: Boat) -> Iterator[Wrong]:
    """In a decked boat everybody sits in an opening, and takes room in it."""
    for i, rim in enumerate(boat.openings):
        here = [p for p in boat.load.paddlers if _nearest(boat, p) == i]
        room = max(1, int(rim.length / ROOM + 1e-9))
        if len(here) > room:
            yield (
                f"{len(here)} aboard in opening {i + 1}",
                (
                    f"it is {_along(boat, rim.length)} long and has room for {room}, {_along(boat, ROOM)} to"
                    " each"
                ),
                "Leave somebody ashore, or make the opening longer.",
            )


def _nearest(boat: Boat, paddler: Paddler) -> int:
    def away(i: int) -> float:
        rim = boat.openings[i]
        return max(abs(paddler.seat_back - rim.centre) - rim.length / 2, 0.0)

    return min(range(len(boat.openings)), key=away)


def _things(boat: Boat, hull: Hull) -> Iterator[Wrong]:
    corners = hull.vertices[hull.faces.ravel()]
    low, high = corners.min(axis=0), corners.max(axis=0)
    for g in boat.load.gear:
        aft, side, up = g.at
        if not low[0] <= aft <= high[0]:
            span = from_to(float(low[0]), float(high[0]), boat.units_shown)
            yield (
                f"{g.name}, {_along(boat, aft)} aft of the bow datum",
                f"lies off the boat, {span}",
                "Check the unit.",
            )
            continue
        half = _half_breadth(hull, aft)
        if abs(side) + g.roams > half + SLACK:
            yield (
                _aside(boat, g),
                f"is outside the boat's half-breadth there, {_along(boat, half)}",
                "Move it.",
            )
        if up is not None and not low[2] - SLACK <= up <= high[2] + ABOVE:
            yield (
                f"{g.name}, {_along(boat, up)} up from the base line",
                f"lies off the boat, {from_to(float(low[2]), float(high[2]), boat.units_shown)} up",
                "Check the unit.",
            )


def _aside(boat: Boat, g: Gear) -> str:
    roams = f" and roaming {_along(boat, g.roams)} more" if g.roams else ""
    return f"{g.name}, {_along(boat, abs(g.at[1]))} off the centre line{roams}"


def _half_breadth(hull: Hull, x: float) -> float:
    """Of the hull at a place along it [m]: of the sheer there, or where the side bulges past it, of the
    widest corner near."""
    sheer = hull.sheer[np.argsort(hull.sheer[:, 0])]
    at_sheer = float(np.interp(x, sheer[:, 0], sheer[:, 1]))
    corners = hull.vertices[hull.faces.ravel()]
    near = np.abs(corners[:, 0] - x) < 0.02
    return max(at_sheer, float(np.abs(corners[near, 1]).max())) if near.any() else at_sheer


def _along(boat: Boat, metres: float) -> str:
    return length_text(metres, boat.units_shown, both=False)
