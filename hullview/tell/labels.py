"""What a line of the schedule is and where, with its sizes as quantities, so that a builder in inches
reads inches."""

from __future__ import annotations

from hullview.boat.model import Bulkhead, Piece, Planking, Run, Skin
from hullview.tell.model import Q, Say, Words, listed, say
from hullview.weight.line import ScheduleLine


def sizes_words(*metres: float) -> Say:
    """Sizes of a section, one by another."""
    return say(Q("size", metres))


def line_words(line: ScheduleLine) -> Say:
    """Where a line is and what it is, as one label."""
    where = where_words(line)
    return say(where, ": " if where else "", item_words(line))


def item_words(line: ScheduleLine) -> Say:
    """What a line is: its kind, its sizes, its material."""
    named = f"{line.entry.name}: " if isinstance(line.entry, Run) and line.entry.name else ""
    sizes = sizes_words(*line.sizes)
    match line.kind:
        case "lamination":
            return say(f"{named}lamination {line.count} x ", sizes, f", {line.material}")
        case "solid":
            return say(f"{named}solid ", sizes, f", {line.material}")
        case "fillet":
            return say(f"{named}fillet ", sizes, f", {line.material}")
        case "tape":
            return say(f"{named}tape ", sizes, f" x {line.count}, {line.material}")
        case _:
            return say(line.item)


def where_words(line: ScheduleLine) -> Say:
    """Where a line is: its region, line or place, with the limits the schedule gives."""
    match line.entry:
        case Planking(band=(start, end)):
            return say("hull, ", Q("length", (start, end), both=False), " below the sheer")
        case Skin() as skin:
            limits: list[Words] = [skin.where]
            if skin.below is not None:
                limits.append(say("below ", Q("length", skin.below, both=False)))
            if skin.girth is not None:
                limits.append(say(Q("length", skin.girth, both=False), " of girth"))
            return listed(limits)
        case Bulkhead() as wall:
            return say("bulkhead, ", Q("rough place", wall.position), " aft")
        case Piece() as piece:
            return _places(piece)
        case _:
            return say(line.where)


def _places(piece: Piece) -> Say:
    """Where a piece lies, or all of its kind."""
    if piece.places:
        aft = sorted({round(x, 2) for x, _, _ in piece.places})
        return say(listed([Q("rough place", x) for x in aft], last=" and "), " aft")
    x, y, _ = piece.at
    if abs(y) < 5e-4:
        return say(Q("rough place", x), " aft")
    aside: Words = (
        say(Q("length", abs(y), both=False), " out on both sides")
        if piece.count == 2
        else Q("side", y, both=False)
    )
    return say(Q("rough place", x), " aft, ", aside)
