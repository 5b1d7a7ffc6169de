"""A station, or a level line, that may stand elsewhere than the table says: moving it mends more than
changing its offsets would.

Every line of the table says where along the boat its offset at a station would be fair. One wrong offset
makes one line disagree; a station in the wrong place makes them all agree on another place. A waterline,
buttock or diagonal in the wrong place is fair along the boat, and out of every section alike.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np

from hullview.arrays import Array
from hullview.boat.model import Boat, End, Table
from hullview.shape.batten import left_out
from hullview.shape.fairness import Faired, Finding, robust, rounding, table_and_ends
from hullview.shape.rows import line_of, section_residuals

NOTICED = 1.2
"""A station whose offsets lie out by less than so many times their usual scatter (root mean square) is
where it should be."""
SLIGHT, AGREED, DISTINCT = 0.02, 2.5, 3.0
"""Moved by this share of the lesser spacing, the lines must agree on a better place by so many standard
deviations, and by so many times more than they do at the other stations in the middle (median)."""
PLACES, PLACES_OF_FEW = 33, 13
"""Places tried between a station's neighbours before the best of them is refined; the same in a table of few
stations, where each costs the whole table."""
MARGIN = 0.08
"""A station is not looked for nearer to a neighbour than this share of the spacing on that side; in a table
of few stations, of the whole space between its neighbours."""
WEIGHT = 4.5
"""Turns a sum of log(1 + (r / 3 s)^2) into a natural logarithm of likelihood."""
CLEAR = 4.0
"""How much more likely (natural logarithm) the other place must be before it is told; tried on the models,
see tests."""
AS_WELL = 6.0
"""Two stations, or two lines, that mend within this of each other are both told."""
LEAST_MOVE, LEAST_ROUNDINGS = 0.05, 2.0
"""A station nearer to its best place than this share of the lesser spacing is left where it is; some line
must be out by so many times the table's rounding, and another by a third of that."""
MOST = 3
"""More stations in the wrong place than this are no slips of the pen."""
SLIP, SURELY = 0.1, 1.5
"""A slip of this share of the lesser spacing is promised to show where it would be so many times clear."""
FEW, HALVES, AS_GOOD = 10, 0.5, 1.6
"""In a table of fewer stations than this the lines are hollow between them and no scatter is known: a station
is told if elsewhere all lines together lie off their battens by this share of what they do, and the others
that come within so many times of that. Right tables of 7 to 9 stations come to 0.57; tried, see tests."""


@dataclass(frozen=True)
class Misplaced:
    """A station, waterline, buttock or diagonal that may stand elsewhere.

    Parameters
    ----------
    kind
        "station", "waterline", "buttock" or "diagonal".
    name
        As the table has it.
    column
        Of a station its place in the table, of a line its row among the lines.
    given, fits
        Where the table has it and where it fits best [m]: aft of the datum, above the base line, off the
        centre line, or where the diagonal meets the centre line.
    instead_of
        Name of the line before it that explains the table as well: one of them is wrong, not both.
    """

    kind: str
    name: str
    column: int
    given: float
    fits: float
    instead_of: str = ""


def misplaced(boat: Boat | Table) -> tuple[Misplaced, ...]:
    """Stations that may stand elsewhere, from the most suspect on; each is moved before the next is looked
    for. Where there is none, a line of `LEVEL_LINES` that may.

    Parameters
    ----------
    boat
        A boat with a table of offsets, or the table alone.

    Returns
    -------
    tuple of Misplaced
        The stations and lines, each followed by those that would explain the table as well.

    Notes
    -----
    For each interior station j the sum over the lines of log(1 + (r / 3 s)^2) is made least over its place, r
    being how far the offset lies off the batten through the others of its line and s how far fair offsets of
    that line scatter: one offset that is out has a bounded say. Of the stations that gain, the one is taken
    with which the whole table is fairest.
    """
    if isinstance(boat, Boat) and boat.hull.table is None:
        return ()
    table, ends = table_and_ends(boat)
    found: list[Misplaced] = []
    for _ in range(MOST):
        group = _worst(table, ends)
        if not group or any(group[0].column == other.column for other in found):
            break
        found += group
        table = moved(table, group[0])
    return tuple(found) or _lines_elsewhere(table, ends)


def moved(table: Table, one: Misplaced) -> Table:
    """The table with that station where it fits."""
    return _stood(table, one.column, one.fits)


def _stood(table: Table, j: int, place: float) -> Table:
    """The table with station j there."""
    return replace(table, stations=tuple(place if k == j else x for k, x in enumerate(table.stations)))


def _worst(table: Table, ends: tuple[End, End]) -> list[Misplaced]:
    """The station with which elsewhere the whole table is fairest, and those that would do as well."""
    if len(table.stations) < FEW:
        return _worst_of_few(table, ends)
    sheet, tried = Faired(table, ends), []
    scale = _scatter(sheet)
    stations = _stations(sheet, scale)
    for here in stations:
        j = here.j
        place = _best_place(here) if here.asks(here.share, _least(stations, here)) else None
        if place is None:
            continue
        one = Misplaced("station", table.column(j), j, table.stations[j], place)
        tried.append((_unfairness(Faired(moved(table, one), ends), scale), one))
    tried.sort(key=lambda pair: pair[0])
    return [
        replace(one, instead_of=tried[0][1].name if k else "")
        for k, (left, one) in enumerate(tried)
        if left < tried[0][0] + AS_WELL / WEIGHT
    ]


def _worst_of_few(table: Table, ends: tuple[End, End]) -> list[Misplaced]:
    """The same in a table of few stations: by the share of what all lines lie off their battens that is
    left."""
    x, trust = table.stations, Faired(table, ends).trust
    given, told = _off_battens(table, ends, trust)
    tried: list[tuple[float, Misplaced]] = []
    for j in range(1, len(x) - 1) if given > 0 else ():  # lines of four points or fewer tell nothing

        def left(place: float, j: int = j) -> float:
            off, still_told = _off_battens(_stood(table, j, place), ends, trust)
            return off / given if still_told >= told else np.inf

        margin = MARGIN * (x[j + 1] - x[j - 1])
        low, high = x[j - 1] + margin, x[j + 1] - margin
        place = _least_of(left, low, high, PLACES_OF_FEW, 0.02 * min(x[j] - x[j - 1], x[j + 1] - x[j]))
        tried.append((left(place), Misplaced("station", table.column(j), j, x[j], place)))
    tried.sort(key=lambda pair: pair[0])
    return [
        replace(one, instead_of=tried[0][1].name if k else "")
        for k, (share, one) in enumerate(tried)
        if tried[0][0] <= HALVES and share <= AS_GOOD * tried[0][0]
    ]


def _off_battens(table: Table, ends: tuple[End, End], trust: Array) -> tuple[float, int]:
    """How far all offsets together lie off the battens along their lines, the less sure ones counting less
    [m], none less than half of the rounding; and of how many offsets that can be told: a line that a station
    was moved past the end of tells nothing, and is not fairer for it."""
    off = []
    for row, sure in zip(table.lines, trust):
        line = line_of(table, row, ends)
        mine = line.cell >= 0
        v = np.where(mine, np.array(row.values, float)[line.cell], line.v)
        off.append((line.residual @ v)[mine] / (line.spread[mine] * sure[line.cell[mine]]))
    every = np.concatenate(off)
    return float(np.nansum(np.hypot(every, 0.5 * rounding(table)))), int(np.sum(~np.isnan(every)))


def _least_of(cost: Callable[[float], float], low: float, high: float, places: int, fine: float) -> float:
    """Where from low to high a cost is least [m]: so many places tried, then refined to `fine`."""
    step = (high - low) / (places - 1)
    best = min((low + step * n for n in range(places)), key=cost)
    while step > fine:
        step /= 3.0
        best = min((best + step * n for n in (-2, -1, 0, 1, 2)), key=cost)
    return best


def _scatter(sheet: Faired) -> float:
    """How far fair offsets scatter off their lines [m]; no less than half of the table's rounding."""
    return max(robust(sheet.along / sheet.a_spread), 0.5 * rounding(sheet.table))


def _unfairness(sheet: Faired, scale: float) -> float:
    """How far the whole table is from fair: the robust sum over all its offsets."""
    share = sheet.along / (sheet.a_spread * scale)
    return float(np.nansum(np.log1p((share / 3.0) ** 2)))


class _Station:
    """What the lines say of the place of one station."""

    def __init__(self, sheet: Faired, j: int, scale: float):
        self.x, self.j = sheet.table.stations, j
        self.room = min(self.x[j] - self.x[j - 1], self.x[j + 1] - self.x[j])
        self.lines = [
            (line, int(k[0]), np.where(line.cell >= 0, sheet.now[i, line.cell], line.v), sheet.trust[i, j])
            for i, line in enumerate(sheet.lines)
            if len(k := np.flatnonzero(line.cell == j)) == 1
            and 0 < k[0] < len(line.x) - 1
            and not np.isnan(sheet.along[i, j])
        ]
        self.rounding = rounding(sheet.table)
        self.scale, self.told = scale, len(self.lines) >= 2 and self.room > 0
        if self.told:
            self.out, self.share = self.off(self.x[j])
            ahead, behind = (self.off(self.x[j] + way * SLIGHT * self.room) for way in (1, -1))
            self.moves, self.slope = ((a - b) / (2 * SLIGHT * self.room) for a, b in zip(ahead, behind))

    def off(self, place: float) -> tuple[Array, Array]:
        """Each line's distance from fair with the station there [m], and its share of the usual scatter
        [1]."""
        out, share = [], []
        for line, k, v, trust in self.lines:
            at = line.x.copy()
            at[k] += place - self.x[self.j]
            residual, spread = left_out(tuple(at.tolist()))
            out.append(residual[k] @ v)
            share.append(out[-1] / (spread[k] * trust * self.scale))
        return np.array(out), np.array(share)

    def cost(self, place: float) -> float:
        return _likelihood(self.off(place)[1])

    def pull(self, share: Array) -> float:
        """How surely lines that are out by such shares ask for another place [standard deviations]."""
        return float(abs(share @ self.slope) / max(np.sqrt(self.slope @ self.slope), 1e-9))

    def asks(self, share: Array, least: float) -> bool:
        """Whether they do by `least` or more, and more than hardly any of them is out."""
        return bool(np.sqrt(np.mean(share**2)) >= NOTICED) and self.pull(share) >= least

    def shows(self, by: float, least: float) -> bool:
        """Whether a slip of the station by so much [m] would show, all lines out in proportion."""
        moved = np.sort(np.abs(by * self.moves))
        if moved[-1] < SURELY * LEAST_ROUNDINGS * self.rounding or moved[-2] < self.rounding:
            return False
        share = self.share + by * self.slope
        return self.asks(share, least) and _likelihood(share) - _likelihood(self.share) >= SURELY * CLEAR


def _likelihood(share: Array) -> float:
    return float(np.log1p((share / 3.0) ** 2).sum() * WEIGHT)


def _stations(sheet: Faired, scale: float) -> list[_Station]:
    """The interior stations of which the lines tell anything."""
    every = [_Station(sheet, j, scale) for j in range(1, len(sheet.table.stations) - 1)]
    return [one for one in every if one.told]


def _least(stations: list[_Station], here: _Station) -> float:
    """How surely a station must ask for another place: where stations stand far apart all of them do, by the
    same lines being as hollow, and one more than others only is out."""
    others = [one.pull(one.share) for one in stations if one is not here]
    return max(AGREED, DISTINCT * float(np.median(others))) if others else np.inf


def _best_place(here: _Station) -> float | None:
    """Where a station fits best [m], if that is clearly elsewhere."""
    x, j, cost = here.x, here.j, here.cost
    low, high = x[j - 1] + MARGIN * (x[j] - x[j - 1]), x[j + 1] - MARGIN * (x[j + 1] - x[j])
    best = _least_of(cost, low, high, PLACES, 2e-4)
    move = np.abs(here.off(best)[0] - here.out)
    agree = np.sort(move)[-2]
    if abs(best - x[j]) < LEAST_MOVE * here.room or cost(x[j]) - cost(best) < CLEAR:
        return None
    least = LEAST_ROUNDINGS * here.rounding
    return float(best) if move.max() >= least and agree >= least / 3 else None


def not_promised(boat: Boat | Table) -> tuple[str, ...]:
    """Interior stations whose slip by a tenth of the lesser spacing, either way, cannot be promised to show.

    Parameters
    ----------
    boat
        A boat with a table of offsets, or the table alone.

    Returns
    -------
    tuple of str
        Names, in the table's order.
    """
    if isinstance(boat, Boat) and boat.hull.table is None:
        return ()
    table, ends = table_and_ends(boat)
    if len(table.stations) < FEW:
        return _not_promised_of_few(table, ends)
    sheet = Faired(table, ends)
    stations = _stations(sheet, _scatter(sheet))
    shown = {
        one.j
        for one in stations
        if all(one.shows(way * SLIP * one.room, SURELY * _least(stations, one)) for way in (1, -1))
    }
    return tuple(table.column(j) for j in range(1, len(table.stations) - 1) if j not in shown)


def _not_promised_of_few(table: Table, ends: tuple[End, End]) -> tuple[str, ...]:
    """The same in a table of few stations: a slip shows where putting it back would."""
    x, trust = table.stations, Faired(table, ends).trust
    least = SURELY * _off_battens(table, ends, trust)[0] / HALVES
    if least == 0:  # nothing can be told of any line
        return tuple(table.column(j) for j in range(1, len(x) - 1))
    hidden = []
    for j in range(1, len(x) - 1):
        slip = SLIP * min(x[j] - x[j - 1], x[j + 1] - x[j])
        slips = (_stood(table, j, x[j] + way * slip) for way in (1, -1))
        if any(_off_battens(slipped, ends, trust)[0] < least for slipped in slips):
            hidden.append(table.column(j))
    return tuple(hidden)


def to_look_at(boat: Boat | Table, findings: Sequence[Finding]) -> tuple[str, ...]:
    """Stations whose place is to be looked at before an offset is changed: no slip of theirs can be promised
    to show, and several offsets are out at them, or in a table of few stations at them and next to them.

    Parameters
    ----------
    boat
        A boat with a table of offsets, or the table alone.
    findings
        What `hullview.shape.fairness.fairness` says of it.

    Returns
    -------
    tuple of str
        Names, in the table's order.
    """
    at = Counter(f.column for f in findings if f.flagged)
    if at.total() < 2:
        return ()
    table, hidden = table_and_ends(boat)[0], set(not_promised(boat))
    near = len(table.stations) < FEW
    return tuple(
        table.column(j)
        for j in range(len(table.stations))
        if table.column(j) in hidden and (at[j] > 1 or (near and at[j - 1] + at[j] + at[j + 1] > 1))
    )


# ---------------------------------------------------------------- level lines and diagonals

LEVEL_LINES = ("waterline", "buttock", "diagonal")
FEWEST_LINES = 8
"""With fewer such lines the sections between them are too free to tell: a table of five fair waterlines seems
to ask for another place of the lowest."""
MENDS = 12.0
"""How much likelier (natural logarithm) the table must be with the line elsewhere, any one station left out;
over the models as they are the most is 5."""
LOOKED_AT = 2.5
"""Nor is a table searched for such a line where a first reckoning promises less than this."""
TRIED = 17
"""Places tried over the whole range of the lines of a kind before the best of them is refined."""
HIDDEN = float(np.log1p(4.0))
"""What an offset counts that no longer lies by its section."""


def _lines_elsewhere(table: Table, ends: tuple[End, End]) -> tuple[Misplaced, ...]:
    """The line that mends most elsewhere, and those that mend as much.

    For each line the sum over all sections of log(1 + (r / 3 s)^2) is made least over its height, breadth or
    foot, r being how far an offset lies off the section through the others and s how far they all scatter.
    """
    rows = [i for i, line in enumerate(table.lines) if line.at is not None and line.name in LEVEL_LINES]
    if len(rows) < FEWEST_LINES:
        return ()
    now = _section_table(table, ends)
    if np.isnan(now).all():
        return ()
    scale = max(robust(now), 0.0004 + 0.3 * rounding(table))
    if max(_asks(table, ends, i, now, scale) for i in rows) < LOOKED_AT:
        return ()
    found = []
    for i in rows:
        at, gain = _best_at(table, ends, i, now, scale)
        if gain >= MENDS and abs(at - _at(table, i)) > LEAST_MOVE * _apart(table, i):
            found.append((gain, Misplaced(table.lines[i].name, table.lines[i].label, i, _at(table, i), at)))
    found.sort(key=lambda pair: -pair[0])
    return tuple(
        replace(one, instead_of=found[0][1].name if k else "")
        for k, (gain, one) in enumerate(found)
        if gain > found[0][0] - AS_WELL
    )


def _section_table(table: Table, ends: tuple[End, End]) -> Array:
    """How far each offset lies off its section (rows, stations) [m]."""
    values = np.array([[np.nan if v is None else v for v in line.values] for line in table.lines], float)
    with np.errstate(divide="ignore", invalid="ignore"):  # a line is tried where another's point lies
        return np.column_stack(
            [section_residuals(table, values[:, j], j, ends) for j in range(values.shape[1])]
        )


def _at(table: Table, i: int) -> float:
    at = table.lines[i].at
    assert at is not None
    return at


def _with(table: Table, i: int, at: float) -> Table:
    lines = tuple(replace(line, at=at) if k == i else line for k, line in enumerate(table.lines))
    return replace(table, lines=lines)


def _apart(table: Table, i: int) -> float:
    """From a line to the nearest of its kind [m]."""
    mine, at = table.lines[i], _at(table, i)
    others = [
        abs(line.at - at)
        for k, line in enumerate(table.lines)
        if k != i and line.name == mine.name and line.at is not None and line.angle == mine.angle
    ]
    return min(others, default=0.05)


def _asks(table: Table, ends: tuple[End, End], i: int, now: Array, scale: float) -> float:
    """About how much likelier the table would be with a line elsewhere, were all offsets out in proportion to
    how far it is moved."""
    step = SLIGHT * _apart(table, i)
    slope = _section_table(_with(table, i, _at(table, i) + step), ends)
    slope = (slope - _section_table(_with(table, i, _at(table, i) - step), ends)) / (2 * step)
    given = _cost(now, now, scale)
    moves = np.linspace(-1.0, 1.0, PLACES) * _apart(table, i)
    gains = [given - _cost(now + np.nan_to_num(slope * move), now, scale) for move in moves]
    return max(float(gain.sum() - gain.max()) for gain in gains)


def _best_at(table: Table, ends: tuple[End, End], i: int, now: Array, scale: float) -> tuple[float, float]:
    """Where a line fits best [m], and by how much likelier the table is with it there, the station that gains
    most left out."""
    given = _cost(now, now, scale)
    costs: dict[float, Array] = {}

    def cost(at: float) -> float:
        at = round(at, 6)
        if at not in costs:
            costs[at] = _cost(_section_table(_with(table, i, at), ends), now, scale)
        return float(costs[at].sum())

    same = [line.at for line in table.lines if line.name == table.lines[i].name and line.at is not None]
    apart = _apart(table, i)
    step = (max(same) - min(same) + 2 * apart) / (TRIED - 1)
    places = [min(same) - apart + step * n for n in range(TRIED)]
    best = min((z for z in places if z > 0), key=cost)
    while step > 4e-4:
        step /= 3.0
        best = min((best + step * n for n in (-2, -1, 0, 1, 2)), key=cost)
    gains = np.sort(given - costs[round(best, 6)])
    return best, float(gains[:-1].sum())


def _cost(off: Array, before: Array, scale: float) -> Array:
    """What each station counts (stations,)."""
    each = np.log1p((off / (3.0 * scale)) ** 2)
    each = np.where(np.isnan(off) & ~np.isnan(before), HIDDEN, np.nan_to_num(each))
    return np.asarray(WEIGHT * each.sum(axis=0))
