"""Whether the pieces of a schedule fit where it puts them: through the skin, over the sheer, longer than
the boat is wide there."""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np

from hullview.arrays import Array
from hullview.boat.model import Boat, Build, Piece, Point
from hullview.boat.wording import length_text
from hullview.shape.hull import Hull
from hullview.shape.room import Room
from hullview.weight.placed import inside_share, room_in

SLACK = 0.01
"""A piece across the boat may be this much longer than the boat is wide inside: it is pared to fit [m]."""
OUTSIDE = 0.12
"""Share of a piece that may stand out of the planking: corners that are cut off when it is fitted (common
practice, no source)."""
CLEAR = 0.03
"""A piece this far over what could carry it hangs in the air [m]; HIGH for a fitting of which only the
place is known."""
HIGH = 0.15


def misfits(boat: Boat, hull: Hull, build: Build) -> tuple[str, ...]:
    """What is odd about the places of a build's pieces, in words; nothing for a hull that was read as a
    mesh."""
    room = room_in(hull, build.schedule) if build.schedule.pieces else None
    if room is None:
        return ()
    found = []
    for piece in build.schedule.pieces:
        others = [p for p in build.schedule.pieces if p is not piece and p.size]
        for at in dict.fromkeys(piece.each):
            words = _misfit(boat, piece, at, room, others)
            if words:
                aft = length_text(at[0], boat.units_shown, both=False)
                found.append(f"{piece.name}, {aft} aft: {words}")
    return tuple(found)


def _misfit(boat: Boat, piece: Piece, at: Point, room: Room, others: Iterable[Piece]) -> str:
    """The first of its faults, "" if it has none."""

    def length(metres: float) -> str:
        return length_text(metres, boat.units_shown, both=False)

    gap = _over(piece, at, room, boat, others)
    if gap is not None:
        what = "deck" if room.deck is not None else "sheer"
        return f"hangs {length(gap)} over the {what} with nothing under it"
    if piece.size is None or piece.scribed:
        return ""
    extent = piece.extent
    wide = 2 * _widest(at, extent, room)
    if piece.direction == "athwart" and extent[1] > wide + SLACK > SLACK:
        return (
            f"{length(extent[1])} long athwart, longer than the {length(wide)} the boat is wide inside there."
            ' Shorten it, or say lies = "fore and aft" or scribed = true'
        )
    outside = 1 - inside_share(at, extent, room)
    if OUTSIDE < outside < 1 - OUTSIDE:
        return f"pokes through the skin: {outside:.0%} of it stands out of the planking"
    return ""


def _span(at: Point, extent: Point, axis: int, count: int = 9) -> Array:
    return at[axis] + extent[axis] * np.linspace(-0.5, 0.5, count)


def _widest(at: Point, extent: Point, room: Room) -> float:
    """The greatest half-breadth inside [m] along a piece and over its height; 0 where it is outside of the
    boat."""
    x, z = np.meshgrid(_span(at, extent, 0), _span(at, extent, 2, 3))
    return float(np.nan_to_num(room.half_breadth(x.ravel(), z.ravel()), nan=0.0).max())


def _over(piece: Piece, at: Point, room: Room, boat: Boat, others: Iterable[Piece]) -> float | None:
    """How far a piece hangs over the highest that could carry it [m]; None where it does not."""
    foot = at[2] - piece.extent[2] / 2
    x = _span(at, piece.extent, 0)
    carried = room.top(x, np.full_like(x, at[1])) if room.deck is not None else room.sheer(x)
    height = float(carried.max())
    for opening in boat.openings:
        if abs(at[0] - opening.centre) <= (opening.length + piece.extent[0]) / 2:
            height += max(opening.coaming)
    gap = foot - height
    if gap <= (CLEAR if piece.size else HIGH):
        return None
    rests = any(_under(other, at, piece.extent, foot) for other in others)
    return None if rests else gap


def _under(other: Piece, at: Point, extent: Point, foot: float) -> bool:
    """Whether one of another piece's places lies under a box, and reaches up to its foot."""
    for place in other.each:
        level = all(abs(place[i] - at[i]) <= (other.extent[i] + extent[i]) / 2 for i in (0, 1))
        if level and place[2] - other.extent[2] / 2 < foot <= place[2] + other.extent[2] / 2 + CLEAR:
            return True
    return False
