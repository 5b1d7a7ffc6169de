"""How far each offset of a table lies out of fair, along its line and around its section, and what would be
fair.

A slip of the pen stands out in both directions at once; its neighbours stand out in one only. So the cell
that stands out most is taken first, put right for the time being, and the rest looked at again, until nothing
stands out.
"""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass, replace

import numpy as np

from hullview.arrays import Array
from hullview.boat.model import Boat, End, Table
from hullview.errors import UsageError
from hullview.shape.level import under_level
from hullview.shape.rows import line_of, section_residuals

LEAST, PER_STEP = 0.0032, 0.3
"""An offset nearer to fair than LEAST [m] and this share of the table's rounding is taken as fair; common
practice, no source: a batten is sprung by eye to about an eighth of an inch."""
OVER_SCATTER = 2.4
"""A doubtful offset lies this many times further out than the others of its line scatter, once it is put
right."""
AT_END, NEXT_TO_END, NEXT_TO_KNOWN_END = 5.0, 1.4, 1.1
"""How much less is trusted of an offset at the end of its line, or next to it, or next to it where the
line is given right to the end station."""
SLIPS = (0.004, 0.006, 0.008, 0.010, 0.0125, 0.016, 0.020, 0.025, 0.032, 0.040)
TRIALS = 150
MOST = 40
"""More slips than this in one table are not slips."""


@dataclass(frozen=True)
class Finding:
    """One offset: its line and station, value [m], and how far it lies out of fair.

    row: line of the file; column: index of the station. along, around: distance from a batten along the line
    and around the section [m], None where it cannot be told. out: both together [m]; fair: the value that
    would be fair [m]. next_to_end: of its line, or at it, where less can be told. smallest: about how large a
    slip here must be to stand out, whichever way it goes [m].
    """

    line: str
    station: str
    row: int
    column: int
    value: float
    along: float | None
    around: float | None
    out: float | None
    fair: float | None
    flagged: bool
    next_to_end: bool
    smallest: float | None


def fairness(boat: Boat | Table) -> tuple[Finding, ...]:
    """Every offset of the table, in its order, with how far it is out of fair; with a boat, lines are
    followed to its stems."""
    if isinstance(boat, Boat) and boat.hull.table is None:
        return ()
    sheet = Faired(*table_and_ends(boat))
    doubtful: dict[tuple[int, int], float] = {}
    while len(doubtful) < MOST and (found := sheet.worst(doubtful)) is not None:
        doubtful[found] = doubtful.get(found, 0.0) + sheet.put_right(*found)
    return sheet.findings(doubtful)


def smallest_slip(boat: Boat | Table) -> float | None:
    """The smallest slip of SLIPS [m] that `fairness` finds in every offset not next to an end of its line,
    either way; None if none is.

    Tried, not reckoned: each offset is put out in turn, in the table with its doubtful offsets put right; in
    a large table, some of them.
    """
    findings = fairness(boat)
    table, ends = table_and_ends(boat)
    sheet = Faired(_with_fair(table, tuple(f for f in findings if f.flagged)), ends)
    trials = [(i, j) for i, j in zip(*np.nonzero(sheet.rank >= 2)) if not np.isnan(sheet.along[i, j])]
    trials = trials[:: 1 + len(trials) // min(TRIALS, max(20, 60_000 // max(sheet.rank.size, 1)))]
    missed = [(int(i), int(j), way) for i, j in trials for way in (1, -1)]
    for size in SLIPS:
        missed = [(i, j, way) for i, j, way in missed if not sheet.would_find(i, j, way * size)]
        if not missed:
            return size if trials else None
    return None


def table_and_ends(boat: Boat | Table) -> tuple[Table, tuple[End, End]]:
    """The table, and the profiles at its ends where they are known."""
    if isinstance(boat, Table):
        return boat, (End(), End())
    assert boat.hull.table is not None
    return boat.hull.table, (boat.hull.bow, boat.hull.stern)


class Faired:
    """The table while it is looked over: values (rows, stations) put right one by one, and what the
    battens say of them."""

    def __init__(self, table: Table, ends: tuple[End, End]):
        self.table, self.ends = table, ends
        self.given = np.array([[np.nan if v is None else v for v in r.values] for r in table.lines], float)
        self.now = self.given.copy()
        self.lines = [line_of(table, r, ends) for r in table.lines]
        self.least = LEAST + PER_STEP * rounding(table)
        self.rank = np.full(self.given.shape, -1)
        for i, row in enumerate(self.given):
            have = np.flatnonzero(~np.isnan(row))
            self.rank[i, have] = np.minimum(np.arange(len(have)), np.arange(len(have))[::-1])
        self.trust = np.where(self.rank == 0, AT_END, np.where(self.rank == 1, NEXT_TO_END, 1.0))
        for column, inner in ((0, 1), (-1, -2)):
            self.trust[~np.isnan(self.given[:, column]), inner] = NEXT_TO_KNOWN_END
        self.along, self.a_spread = np.full(self.given.shape, np.nan), np.full(self.given.shape, np.nan)
        self.section = np.full(self.given.shape, np.nan)
        for i in range(len(self.lines)):
            self._look_along(i)
        for j in range(self.given.shape[1]):
            self._look_around(j)
        self._scales()

    def _look_along(self, i: int) -> None:
        line = self.lines[i]
        mine = line.cell >= 0
        v = line.v.copy()
        v[mine] = self.now[i, line.cell[mine]]
        self.along[i, line.cell[mine]] = (line.residual @ v)[mine]
        self.a_spread[i, line.cell[mine]] = line.spread[mine]
        self.a_spread[i] *= self.trust[i]

    def _look_around(self, j: int) -> None:
        found = section_residuals(self.table, self.now[:, j], j, self.ends)
        self.section[:, j] = found

    def _scales(self) -> None:
        """How far fair offsets scatter: along any line amidships, and around the section in each row [m]."""
        floor = 0.0004 + 0.3 * rounding(self.table)
        self.a_scale = max(robust(self.along / self.a_spread), floor)
        apart = self.around()
        self.b_scale = np.array([max(robust(r), floor) for r in apart])

    def around(self) -> Array:
        """Residuals around the sections, less what both neighbouring stations agree on: the section's own
        shape, not a slip."""
        b = self.section
        before = np.column_stack([np.full(len(b), np.nan), b[:, :-1]])
        after = np.column_stack([b[:, 1:], np.full(len(b), np.nan)])
        agree = np.where(before * after > 0, np.sign(before) * np.minimum(np.abs(before), np.abs(after)), 0.0)
        return np.asarray(b - np.nan_to_num(agree))

    def weighed(self) -> tuple[Array, Array]:
        """What both battens say together (rows, stations) [m], and its spread in units of that of a line
        amidships."""
        b = self.around()
        wa = np.nan_to_num((self.a_scale * self.a_spread) ** -2.0)
        wa = np.where(np.isnan(self.along), 0.0, wa)
        wb = np.where(np.isnan(b), 0.0, (self.b_scale[:, None] * self.trust) ** -2.0)
        total = np.where(wa + wb > 0, wa + wb, np.nan)
        out = (wa * np.nan_to_num(self.along) + wb * np.nan_to_num(b)) / total
        return out, np.maximum(total**-0.5 / self.a_scale, 1.0)

    def worst(self, known: Collection[tuple[int, int]]) -> tuple[int, int] | None:
        """The cell that stands out most, if any does."""
        out, spread = self.weighed()
        share = np.abs(out) / (self.least * spread)
        share = np.where(np.isnan(share) | np.isnan(self.along), 0.0, share)
        for k in np.argsort(share, axis=None)[::-1]:
            i, j = (int(q) for q in np.unravel_index(k, share.shape))
            if share[i, j] < 1.0:
                return None
            if (i, j) not in known and abs(out[i, j]) > OVER_SCATTER * self._scatter(i, j, out[i, j]):
                return i, j
        return None

    def _scatter(self, i: int, j: int, out: float) -> float:
        """Scatter of the other offsets of the line near station j, with this one put right [m]."""
        line = self.lines[i]
        v = np.where(line.cell >= 0, self.now[i, line.cell], line.v)
        v[line.cell == j] -= out
        near = (line.cell >= 0) & (line.cell != j) & (np.abs(line.cell - j) <= 5)
        rest = np.sort(((line.residual @ v)[near] / self.a_spread[i, line.cell[near]]) ** 2)
        rest = rest[~np.isnan(rest)]
        return float(np.sqrt(rest[: max(1, len(rest) - 1)].mean())) if len(rest) else 0.0

    def put_right(self, i: int, j: int) -> float:
        out, _ = self.weighed()
        off = float(out[i, j])
        self.now[i, j] -= off
        self._look_along(i)
        self._look_around(j)
        return off

    def would_find(self, i: int, j: int, slip: float) -> bool:
        """Whether a slip [m] at this cell stands out, first or soon after others."""
        kept = self.now.copy(), self.along.copy(), self.section.copy()
        self.now[i, j] += slip
        self._look_along(i)
        self._look_around(j)
        self._scales()
        known: list[tuple[int, int]] = []
        while len(known) < 6 and (found := self.worst(known)) is not None and found != (i, j):
            self.put_right(*found)
            known.append(found)
        self.now, self.along, self.section = kept
        self._scales()
        return found == (i, j)

    def findings(self, doubtful: dict[tuple[int, int], float]) -> tuple[Finding, ...]:
        out, spread = self.weighed()
        b = self.around()
        names = self.table.names
        found = []
        for i, row in enumerate(self.table.lines):
            for j in np.flatnonzero(~np.isnan(self.given[i])):
                moved = doubtful.get((i, int(j)), 0.0)
                off = out[i, j] + moved
                slip = np.nan if np.isnan(self.along[i, j]) else self.least * spread[i, j] + abs(out[i, j])
                found.append(
                    Finding(
                        row.label,
                        names[j],
                        row.row,
                        int(j),
                        float(self.given[i, j]),
                        _known(self.along[i, j] + moved),
                        _known(b[i, j] + moved),
                        _known(off),
                        _known(self.given[i, j] - off),
                        (i, int(j)) in doubtful,
                        bool(self.rank[i, j] < 2),
                        _known(slip),
                    )
                )
        return tuple(found)


def _known(value: float | None) -> float | None:
    return None if value is None or np.isnan(value) else float(value)


def robust(values: Array) -> float:
    """Standard deviation as the median deviation has it (1.4826 of it, for a normal law)."""
    some = np.abs(values[~np.isnan(values)])
    return float(1.4826 * np.median(some)) if len(some) else 0.0


def rounding(table: Table) -> float:
    """What the table is rounded to [m]: the coarsest of the usual steps that nearly all its offsets are
    multiples of."""
    values = np.array([v for r in table.lines for v in r.values if v is not None])
    for step in (0.003175, 0.0015875, 0.001, 0.0005):
        if len(values) and (np.abs(values / step - np.round(values / step)) < 0.02).mean() > 0.9:
            return step
    return 0.0001


# ---------------------------------------------------------------- what changes if a fair value is taken


@dataclass(frozen=True)
class Change:
    """Under a level waterline: volume before and after [m3], and how far the centre of buoyancy moves (3,)
    [m]."""

    height: float
    before: float
    after: float
    moved: Array


def with_fair_values(boat: Boat, findings: tuple[Finding, ...]) -> Boat:
    """The boat with the fair values of these findings in its table."""
    table, _ = table_and_ends(boat)
    return replace(boat, hull=replace(boat.hull, table=_with_fair(table, findings)))


def _with_fair(table: Table, findings: tuple[Finding, ...]) -> Table:
    taken = {(f.line, f.column): f.fair for f in findings if f.fair is not None}
    lines = tuple(
        replace(r, values=tuple(taken.get((r.label, j), v) for j, v in enumerate(r.values)))
        for r in table.lines
    )
    return replace(table, lines=lines)


def if_taken(boat: Boat, findings: tuple[Finding, ...], height: float | None = None) -> tuple[Change, ...]:
    """What the displaced volume and its centre become with the fair value of each finding, each by itself.

    Parameters
    ----------
    boat
        With a table of offsets.
    findings
        Offsets whose fair values are tried.
    height
        Of a level waterline [m], no higher than the sheer; halfway from the lowest point of the hull to the
        lowest of the sheer if left out.

    Notes
    -----
    The flux through the skin of the sides gives volume and centre (`hullview.shape.level`): no mesh is closed
    for it.
    """
    from hullview.shape.assemble import choose_net, read_sections, skin

    def side_of(one: Boat) -> Array:
        lofted = read_sections(one)
        return skin(one, lofted, choose_net(lofted)).side

    if not findings:
        return ()
    side = side_of(boat)
    lowest, sheer = float(side[..., 2].min()), float(side[-1, :, 2].min())
    if height is None:
        height = (lowest + sheer) / 2
    if not lowest < height <= sheer:
        raise UsageError(
            f"a waterline at {height:g} m: give one from {lowest:.3f} m, the lowest point of the hull, to"
            f" {sheer:.3f} m, the lowest of the sheer."
        )
    before, centre = under_level(side, height)
    changes = []
    for f in findings:
        after, moved_to = under_level(side_of(with_fair_values(boat, (f,))), height)
        changes.append(Change(height, before, after, moved_to - centre))
    return tuple(changes)
