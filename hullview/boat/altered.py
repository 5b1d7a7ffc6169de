"""Another boat from this one: longer, wider, deeper, its sheer raised, its seats lower or moved.

The hull is scaled about the datum, the centre line and the base line, never the planking or the people: a
cockpit, a coaming, a seat and whoever sits on it keep their size and go along with their place in the boat.
"""

from __future__ import annotations

import math
from bisect import bisect_right
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

from hullview.boat.model import (
    Boat,
    Build,
    End,
    HullForm,
    Load,
    Opening,
    Paddler,
    Piece,
    Point,
    Schedule,
    Table,
    TableLine,
)
from hullview.boat.usual import names_it, usual_items
from hullview.errors import UsageError

WITH_THE_SITTER = ("seat and back rest", "seats", "foot braces")
"""Usual items that go where the sitter goes."""
NEAR_SEAT = 1.5
"""Further than this from a seat's back no piece belongs to it [m]."""
BELOW_SHEER, STEEPEST = 0.04, 0.6
"""A raised side goes on as it rises over the last 40 mm or more below the sheer, and leans in or out by 0.6
of its rise at most (common practice, no source)."""
LEAST_SEAT = {"legs forward": 0.005, "kneeling": 0.12, "bench": 0.15, "standing": 0.0}
"""No seat is lower than this over the finished bottom [m], by posture (common practice, no source)."""


@dataclass(frozen=True)
class Change:
    """What is altered. length, beam, depth: factors; sheer: raised by [m]; lower: seats lowered by [m]; aft:
    seats moved aft by [m], forward where negative; lighter: share by which the boat weighs less."""

    length: float = 1.0
    beam: float = 1.0
    depth: float = 1.0
    sheer: float = 0.0
    lower: float = 0.0
    aft: float = 0.0
    lighter: float = 0.0

    @property
    def of_hull(self) -> bool:
        """Whether the shape of the hull is another."""
        return (self.length, self.beam, self.depth, self.sheer) != (1.0, 1.0, 1.0, 0.0)


@dataclass(frozen=True)
class Dimensions:
    """Of a table of offsets: length over all, greatest beam, and depth from the lowest keel to the lowest
    sheer [m]."""

    length: float
    beam: float
    depth: float


def dimensions(boat: Boat) -> Dimensions:
    """The dimensions that changes are shares of.

    Raises
    ------
    UsageError
        Its hull is no table of offsets.
    """
    table = table_of(boat)
    along = [*table.stations, *(x for end in (boat.hull.bow, boat.hull.stern) for x, _ in end.profile or ())]
    half = max(v for r in table.lines if r.measure == "half-breadth" for v in _given(r))
    return Dimensions(
        max(along) - min(along), 2 * half, min(_given(_sheer(table))) - min(_given(_keel(table)))
    )


def table_of(boat: Boat) -> Table:
    """Its table of offsets.

    Raises
    ------
    UsageError
        It has none.
    """
    if boat.hull.table is None:
        raise UsageError(
            f"{boat.name}: its hull is a mesh. A hull is altered by its table of offsets, and this has none."
        )
    return boat.hull.table


def _given(line: TableLine) -> list[float]:
    return [v for v in line.values if v is not None]


def _sheer(table: Table) -> TableLine:
    found = table.find("height", "sheer")
    assert found is not None, "the table reader asks for it"
    return found


def _keel(table: Table) -> TableLine:
    found = table.find("height", "keel") or table.find("height", "rabbet")
    assert found is not None, "the table reader asks for one of them"
    return found


def altered(boat: Boat, change: Change) -> Boat:
    """The boat with a change made; `lighter` is a matter of its weight and no part of it.

    Parameters
    ----------
    boat : Boat
    change : Change

    Returns
    -------
    Boat
        What was weighed or measured of the old hull is left out where the hull is another.

    Raises
    ------
    UsageError
        The hull is to change and is a mesh, or a factor leaves nothing of it.
    """
    made = _scaled(boat, change) if change.of_hull else boat
    return _seats_moved(made, change) if change.lower or change.aft else made


# ---------------------------------------------------------------- the seats


def _seats_moved(boat: Boat, change: Change) -> Boat:
    def one(p: Paddler) -> Paddler:
        height = p.seat
        if change.lower:
            height = max(p.seat - change.lower, min(LEAST_SEAT[p.posture], p.seat))
        return replace(
            p, seat_back=p.seat_back + change.aft, seat_height=height if change.lower else p.seat_height
        )

    def piece(p: Piece) -> Piece:
        if not _with_sitter(boat, p):
            return p
        down = change.lower if _is(p, WITH_THE_SITTER[:2]) else 0.0
        return _placed(p, lambda at: (at[0] + change.aft, at[1], max(at[2] - down, min(at[2], 0.0))))

    return _people_and_pieces(boat, one, piece)


def _people_and_pieces(
    boat: Boat, one: Callable[[Paddler], Paddler], piece: Callable[[Piece], Piece]
) -> Boat:
    def load(given: Load) -> Load:
        return replace(given, paddlers=tuple(one(p) for p in given.paddlers))

    def build(given: Build) -> Build:
        pieces = tuple(piece(p) for p in given.schedule.pieces)
        return replace(given, schedule=replace(given.schedule, pieces=pieces))

    return replace(
        boat,
        load=load(boat.load),
        seats=tuple(one(p) for p in boat.seats),
        cases=tuple(replace(c, load=load(c.load)) for c in boat.cases),
        builds=tuple(build(b) for b in boat.builds),
    )


def _is(piece: Piece, items: Sequence[str]) -> bool:
    return any(
        u.item in items and (u.item in piece.is_a if piece.is_a else names_it(piece.name, u))
        for u in usual_items()
    )


def _with_sitter(boat: Boat, piece: Piece) -> bool:
    return _is(piece, WITH_THE_SITTER) and _seat_of(boat, piece.at[0]) is not None


def _seat_of(boat: Boat, x: float) -> Paddler | None:
    """Whose seat is nearest to a place along the boat."""
    nearest = min(boat.seats or boat.load.paddlers, key=lambda p: abs(p.seat_back - x), default=None)
    return nearest if nearest is not None and abs(nearest.seat_back - x) <= NEAR_SEAT else None


def _placed(piece: Piece, move: Callable[[Point], Point]) -> Piece:
    return replace(piece, at=move(piece.at), places=tuple(move(p) for p in piece.places))


# ---------------------------------------------------------------- the hull


class _Map:
    """Where a point of the old boat is in the new one."""

    def __init__(self, boat: Boat, change: Change):
        table = table_of(boat)
        self.boat, self.change = boat, change
        self.sheer, self.keel = (
            [(x, v) for x, v in zip(table.stations, line.values) if v is not None]
            for line in (_sheer(table), _keel(table))
        )

    def along(self, x: float) -> float:
        """A place along the hull."""
        return x * self.change.length

    def up(self, x: float, z: float) -> float:
        """A height at a place along the old hull: the sheer goes up by what it is raised, the keel not, what
        is between by its share of the height."""
        low, top = _at(self.keel, x), _at(self.sheer, x)
        share = (z - low) / (top - low) if top > low else 0.0
        return z * self.change.depth + self.change.sheer * min(max(share, 0.0), 1.0)

    def stays(self, x: float) -> float:
        """How far aft a thing at x goes that keeps its size: with the opening that it is in."""
        rim = next((o for o in self.boat.openings if abs(x - o.centre) <= o.length / 2), None)
        return (self.change.length - 1) * (x if rim is None else rim.centre)

    def sits(self, p: Paddler) -> float:
        """How far aft a sitter goes: with the nearest opening, else with the body's own place."""
        rim = min(
            self.boat.openings,
            key=lambda o: max(abs(p.seat_back - o.centre) - o.length / 2, 0.0),
            default=None,
        )
        body = p.seat_back + p.ahead * p.reaches[1]
        return (self.change.length - 1) * (body if rim is None else rim.centre)

    def point(self, at: Sequence[float]) -> Point:
        """A point of the hull itself."""
        return (self.along(at[0]), at[1] * self.change.beam, self.up(at[0], at[2]))

    def thing(self, at: Point) -> Point:
        """The place of a thing that keeps its size."""
        return (at[0] + self.stays(at[0]), at[1] * self.change.beam, self.up(at[0], at[2]))


def _at(line: Sequence[tuple[float, float]], x: float) -> float:
    """A line of the table between its stations; beyond its ends, that of the end."""
    i = bisect_right(line, x, key=lambda p: p[0])
    if i in (0, len(line)):
        return line[0 if i == 0 else -1][1]
    (a, low), (b, high) = line[i - 1], line[i]
    return low + (high - low) * (x - a) / (b - a)


def _scaled(boat: Boat, change: Change) -> Boat:
    if not all(0.2 <= f <= 5 for f in (change.length, change.beam, change.depth)):
        raise UsageError(f"{boat.name}: to a fifth or to five times of its size no boat is altered.")
    deep = dimensions(boat).depth
    if not -0.5 * deep < change.sheer < 2 * deep:
        raise UsageError(
            f"{boat.name}: a sheer is not lowered by half of its depth, nor raised by twice that."
        )
    to = _Map(boat, change)

    def one(p: Paddler) -> Paddler:
        return replace(p, seat_back=p.seat_back + to.sits(p), side=p.side * change.beam)

    def piece(p: Piece) -> Piece:
        seat = _seat_of(boat, p.at[0])
        if seat is not None and _is(p, WITH_THE_SITTER):
            by = to.sits(seat)
            p = _placed(p, lambda at: (at[0] + by, at[1] * change.beam, at[2]))
        else:
            p = _placed(p, to.thing)
        return replace(p, size=_cut_to(p, change))

    made = _people_and_pieces(_hull_and_fittings(boat, to), one, piece)
    gone = {"weighed": (), "afloat": ()}
    return replace(
        made,
        load=_gear(made.load, to),
        cases=tuple(replace(c, load=_gear(c.load, to)) for c in made.cases),
        builds=tuple(replace(b, schedule=_schedule(b.schedule, to)) for b in made.builds),
        **gone,  # type: ignore[arg-type]
    )


def _cut_to(piece: Piece, change: Change) -> tuple[float, float, float] | None:
    """The size of a piece: what goes across the boat is cut to its beam, what is scribed to its planking to
    both."""
    if piece.size is None:
        return None
    length, width, thick = piece.size
    across = piece.direction == "athwart"
    if piece.scribed:
        along, beam = change.length, change.beam
        return (length * beam, width * along, thick) if across else (length * along, width * beam, thick)
    if not across:
        return piece.size
    if piece.lies is None and not piece.on_edge and width > length:  # its longer side lies athwart
        return (length, width * change.beam, thick)
    return (length * change.beam, width, thick)


def _gear(load: Load, to: _Map) -> Load:
    def place(at: tuple[float, float, float | None]) -> tuple[float, float, float | None]:
        aft, side = at[0] + to.stays(at[0]), at[1] * to.change.beam
        return (aft, side, None if at[2] is None else to.up(at[0], at[2]))

    return replace(load, gear=tuple(replace(g, at=place(g.at)) for g in load.gear))


def _schedule(given: Schedule, to: _Map) -> Schedule:
    """Ends of runs and bounds of skins go with the hull; thickness, plies, tapes and cloths stay."""

    def run_end(x: float | None) -> float | None:
        return None if x is None else to.along(x)

    return replace(
        given,
        runs=tuple(replace(r, start=run_end(r.start), end=run_end(r.end)) for r in given.runs),
        skins=tuple(
            s if s.below is None else replace(s, below=s.below * to.change.depth) for s in given.skins
        ),
    )


def _hull_and_fittings(boat: Boat, to: _Map) -> Boat:
    change = to.change

    def opening(o: Opening) -> Opening:
        by = (change.length - 1) * o.centre
        outline = None if o.outline is None else tuple((x + by, y) for x, y in o.outline)
        return replace(o, centre=o.centre + by, outline=outline)

    strongback = boat.forms.strongback
    if strongback.at is not None:
        strongback = replace(strongback, at=strongback.at * change.depth)
    return replace(
        boat,
        hull=_hull(boat.hull, to),
        openings=tuple(opening(o) for o in boat.openings),
        hatches=tuple(replace(h, centre=h.centre * change.length) for h in boat.hatches),
        bulkheads=tuple(replace(b, position=to.along(b.position)) for b in boat.bulkheads),
        tanks=tuple(
            replace(
                t,
                start=to.along(t.start),
                end=to.along(t.end),
                inboard=None if t.inboard is None else t.inboard * change.beam,
                top=None if t.top is None else to.up((t.start + t.end) / 2, t.top),
            )
            for t in boat.tanks
        ),
        flotation=tuple(replace(f, at=to.thing(f.at)) for f in boat.flotation),
        flooding=tuple(replace(f, at=to.point(f.at)) for f in boat.flooding),
        appendages=tuple(
            replace(a, outline=tuple((to.along(x), to.up(x, z)) for x, z in a.outline))
            for a in boat.appendages
        ),
        forms=replace(boat.forms, strongback=strongback),
    )


def _hull(hull: HullForm, to: _Map) -> HullForm:
    assert hull.table is not None
    change = to.change
    asked = hull.design_displacement
    scale = change.length * change.beam * change.depth
    return replace(
        hull,
        table=_table(hull.table, change),
        bow=_end(hull.bow, change),
        stern=_end(hull.stern, change),
        design_displacement=None if asked is None else asked * scale,
    )


def _end(end: End, change: Change) -> End:
    """A stem or transom: scaled, its top with the sheer."""
    if end.profile is None:
        return replace(end, siding=end.siding * change.beam)
    points = [(x * change.length, z * change.depth) for x, z in end.profile]
    points[0] = (points[0][0], points[0][1] + change.sheer)
    return replace(end, profile=tuple(points), siding=end.siding * change.beam)


def _table(table: Table, change: Change) -> Table:
    leans = _leans(table) if change.sheer else ()
    return replace(
        table,
        stations=tuple(x * change.length for x in table.stations),
        lines=tuple(_line(line, change, leans) for line in table.lines),
    )


def _line(line: TableLine, change: Change, leans: Sequence[float]) -> TableLine:
    """One row of the table: heights by the depth, half-breadths by the beam, a diagonal along itself."""
    high = line.measure == "height"
    up = change.sheer if line.name in ("sheer", "deck") else 0.0
    if line.name == "diagonal" and line.angle is not None and line.at is not None:
        across, down = change.beam * math.cos(line.angle), change.depth * math.sin(line.angle)
        longer = math.hypot(across, down)
        values = tuple(None if v is None else v * longer for v in line.values)
        return replace(line, values=values, at=line.at * change.depth, angle=math.atan2(down, across))
    if high:
        values = tuple(None if v is None else v * change.depth + up for v in line.values)
        return replace(line, values=values, at=None if line.at is None else line.at * change.beam)
    values = tuple(None if v is None else v * change.beam for v in line.values)
    if line.name == "sheer" and leans:
        wider = (change.beam * lean * change.sheer / change.depth for lean in leans)
        values = tuple(None if v is None else max(v + w, 0.0) for v, w in zip(values, wider))
    at = None if line.at is None else line.at * change.depth + up
    return replace(line, values=values, at=at)


def _leans(table: Table) -> tuple[float, ...]:
    """How far the side leans out for each metre that it rises at the sheer, at each station [1]."""
    heights, breadths = _sheer(table).values, table.find("half-breadth", "sheer")
    assert breadths is not None, "the table reader asks for it"
    found = []
    for j, (top, half) in enumerate(zip(heights, breadths.values)):
        below = _points_of_side(table, j)
        lower = max(
            (p for p in below if top is not None and p[1] <= top - BELOW_SHEER), key=_height, default=None
        )
        if top is None or half is None or lower is None:
            found.append(0.0)
        else:
            lean = (half - lower[0]) / (top - lower[1])
            found.append(min(max(lean, -STEEPEST), STEEPEST))
    return tuple(found)


def _height(point: tuple[float, float]) -> float:
    return point[1]


def _points_of_side(table: Table, j: int) -> list[tuple[float, float]]:
    """Points (half-breadth, height) of a station that waterlines and chines give [m]."""
    found = []
    for line in table.lines:
        half = line.values[j] if line.measure == "half-breadth" else None
        if half is None:
            continue
        if line.name == "waterline" and line.at is not None:
            found.append((half, line.at))
        elif line.name.startswith("chine"):
            height = table.find("height", line.name)
            if height is not None and (z := height.values[j]) is not None:
                found.append((half, z))
    return found
