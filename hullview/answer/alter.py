"""What would have to change: the smallest change of a boat with which the answer is "carries".

The answer is not smooth in a boat's measures: water comes in from point to point, checks change hands. So one
change alone is bracketed, from small to large, and closed in on; a mix is aimed by the slopes of the margins
(least squares of the relative changes under straight margins, `scipy.optimize`), and what it says is then
bracketed along its own line. Whatever is proposed has been through the whole judgement, and 2 % less of it
has not passed.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, fields

import numpy as np

from hullview.answer.checks import Answer, Check, Condition, binding
from hullview.answer.conditions import Craft
from hullview.arrays import Array
from hullview.boat.altered import LEAST_SEAT, Change, dimensions
from hullview.boat.model import Boat

MOST = 0.15
"""No change is looked for past this share of what it changes (common practice, no source): then it is another
boat."""
KEEP = 0.98
"""With this much of a proposal the answer is not "carries"."""
SCANNED = (0.1, 0.3, 0.6, 1.0)
"""Shares of the most that are tried first, from small to large."""
STEP = 0.004
"""Relative change by which the slope of a margin is taken."""
WORTH = 0.97
"""A mix is told where it is smaller than this share of the least single change."""
SLIGHT = 0.05
"""A part of a mix under this share of its greatest part is left out of it."""
TINY = 1e-6
"""Where so small a share passes it is no change of the hull that does it."""
OF_THIS_HULL = "what was weighed or measured of this hull stands in the way, and says nothing of another"
"""Why no size of a change is told where any change at all would do."""
TURNS = 2
"""How often a mix is aimed anew from where the last one came to."""


@dataclass(frozen=True)
class Tried:
    """One change through the whole judgement; craft None where it makes no boat that can be judged, `words`
    saying why."""

    change: Change
    answer: Answer
    checks: tuple[Check, ...] = ()
    ends: tuple[Condition, ...] = ()
    doubts: tuple[str, ...] = ()
    craft: Craft | None = None
    words: str = ""

    @property
    def passes(self) -> bool:
        return self.answer == "carries"

    @property
    def obstacle(self) -> str:
        """What stands in the way, in words; "" where nothing does."""
        stands = binding(self.checks)
        return self.words or (stands.obstacle if stands is not None else "; ".join(self.doubts))

    @property
    def shortfalls(self) -> tuple[int, int, float]:
        """How far it is from passing: failures, warnings, and the sum of the margins that are short."""
        short = sum(max(-m, 0.0) for m in (_margin(c) for c in self.checks if c.result != "pass"))
        if self.words:
            return (99, 99, math.inf)
        return (
            sum(c.result == "fail" for c in self.checks),
            sum(c.result == "warn" for c in self.checks) + len(self.doubts),
            short,
        )


Judge = Callable[[Change], Tried]


@dataclass(frozen=True)
class Way:
    """A change that can be made alone: its name, what it is of the boat, and the most of it as a share."""

    key: str
    field: str
    unit: float
    most: float

    @property
    def of_hull(self) -> bool:
        """Whether it makes another hull."""
        return self.field in (*FACTORS, "sheer")

    def amount(self, share: float) -> float:
        """The field of a `Change` at a share: a factor, or metres."""
        return 1.0 + share if self.field in FACTORS else share * self.unit


FACTORS = ("length", "beam", "depth")
WAYS = ("longer", "wider", "deeper", "sheer raised", "seat lower", "seat moved", "lighter")
"""The single changes, in the order they are told."""


@dataclass(frozen=True)
class Proposal:
    """A change with which the boat carries. key: its name, "mix" or "by hand"; size: root of the sum of the
    squares of its relative changes; shares: those, by name."""

    key: str
    size: float
    shares: tuple[tuple[str, float], ...]
    tried: Tried

    @property
    def change(self) -> Change:
        return self.tried.change


@dataclass(frozen=True)
class Search:
    """What was found. proposals: the single changes that do, then the mix; failed: the others by name, with
    what stands in the way at the most that was tried; nearest: of everything that was tried and does not
    pass, the one nearest to it."""

    before: Tried
    proposals: tuple[Proposal, ...]
    failed: tuple[tuple[str, str], ...]
    nearest: Tried

    @property
    def best(self) -> Proposal | None:
        """The least change; one that only the scale can prove (a lighter boat) comes after all others."""
        return min(self.proposals, key=lambda p: (p.key == "lighter", p.size), default=None)


def ways(boat: Boat, trim: float | None) -> tuple[Way, ...]:
    """What can be changed about this boat.

    Parameters
    ----------
    boat : Boat
    trim : float or None
        As it lies now [m], by the stern positive: seats are moved the other way.
    """
    first = boat.load.paddlers[0]
    lever = first.seat + first.heights[1]
    down = max(first.seat - LEAST_SEAT[first.posture], 0.0)
    found = []
    if boat.hull.table is not None:
        size = dimensions(boat)
        found += [
            Way("longer", "length", 1.0, MOST),
            Way("wider", "beam", 1.0, MOST),
            Way("deeper", "depth", 1.0, MOST),
            Way("sheer raised", "sheer", size.depth, MOST),
        ]
        forward = -1.0 if (trim or 0.0) > 0 else 1.0
        found.append(Way("seat moved", "aft", forward * size.length, MOST))
    if down > 0:
        found.append(Way("seat lower", "lower", lever, min(MOST, down / lever)))
    found.append(Way("lighter", "lighter", 1.0, MOST))
    return tuple(sorted(found, key=lambda way: WAYS.index(way.key)))


def of_shares(known: Sequence[Way], shares: Sequence[float]) -> Change:
    """A change by the share of each way."""
    return Change(**{way.field: way.amount(float(share)) for way, share in zip(known, shares) if share})


def search(
    boat: Boat, judge: Judge, only: str = "", tell: Callable[[str], None] = lambda step: None
) -> Search:
    """Look for the smallest change.

    Parameters
    ----------
    boat : Boat
        With somebody aboard.
    judge : callable
        The whole judgement of a change.
    only : str
        One of `WAYS` or "mix"; "" for all of them.
    tell : callable
        Hears each step.

    Returns
    -------
    Search
        Without any proposal where the boat carries as it is, and where nothing within `MOST` does.
    """
    book = _Book(judge)
    before = book(Change())
    if before.passes:
        return Search(before, (), (), before)
    trim = before.ends[0].trim_length if before.ends else None
    known = [way for way in ways(boat, trim) if only in ("", "mix", way.key)]
    if only and not known:
        return Search(before, (), ((only, "there is nothing of it to change"),), before)
    proposals, failed = [], []
    measured = bool(boat.weighed or boat.afloat) and book(Change(length=1.0 + TINY)).passes
    for i, way in enumerate(known):
        tell(way.key)
        if measured and way.of_hull:
            failed.append((way.key, OF_THIS_HULL))
            continue
        line = tuple(1.0 if j == i else 0.0 for j in range(len(known)))
        found = smallest(_along(known, line, book), way.most, before)
        if isinstance(found, float):
            proposals.append(_proposal(way.key, known, _times(line, found), book))
        else:
            failed.append((way.key, found.obstacle))
    if only in ("", "mix"):
        tell("mix")
        parts = [w for w in known if w.key != "lighter" and not (measured and w.of_hull)]
        mixed = _mix(parts, book, before, proposals) if parts else None
        alone = [p for p in proposals if p.key != "lighter"]
        if mixed is not None and (
            only or mixed.size < WORTH * min((p.size for p in alone), default=math.inf)
        ):
            proposals.append(mixed)
    if only == "mix":
        proposals = [p for p in proposals if p.key == "mix"]
    nearest = min((t for t in book.known.values() if not t.passes), key=lambda t: t.shortfalls)
    return Search(before, tuple(proposals), tuple(failed), nearest)


class _Book:
    """The judgements already made."""

    def __init__(self, judge: Judge):
        self.judge = judge
        self.known: dict[tuple[float, ...], Tried] = {}

    def __call__(self, change: Change) -> Tried:
        key = tuple(getattr(change, f.name) for f in fields(change))
        if key not in self.known:
            self.known[key] = self.judge(change)
        return self.known[key]


def _times(line: Sequence[float], share: float) -> tuple[float, ...]:
    return tuple(share * part for part in line)


def _along(known: Sequence[Way], line: Sequence[float], book: _Book) -> Callable[[float], Tried]:
    """The judgement of so much of a mix."""
    return lambda share: book(of_shares(known, _times(line, share)))


def _proposal(key: str, known: Sequence[Way], shares: Sequence[float], book: _Book) -> Proposal:
    told = tuple((way.key, share) for way, share in zip(known, shares) if share)
    size = math.sqrt(sum(share * share for share in shares))
    return Proposal(key, size, told, book(of_shares(known, shares)))


def smallest(judge: Callable[[float], Tried], most: float, none: Tried) -> float | Tried:
    """The smallest share that passes while `KEEP` of it does not.

    Parameters
    ----------
    judge : callable
        The judgement of a share.
    most : float
        Greatest share to be tried.
    none : Tried
        The judgement of nothing changed, which does not pass.

    Returns
    -------
    float or Tried
        The share; where none of those scanned passes, the judgement of the most; where any share at all does,
        `none`.
    """
    low, failing, high = 0.0, none, None
    for part in SCANNED:
        made = judge(part * most)
        if made.passes:
            high, passing = part * most, made
            break
        low, failing = part * most, made
    if high is None:
        return failing
    while True:
        if high < TINY:
            return none
        below = KEEP * high
        inner = (high - low) / 20
        at = min(max(_crossing(failing, passing, low, high), low + inner), high - inner)
        at = below if at >= below or low >= below else at
        made = judge(at)
        if made.passes:
            high, passing = at, made
            low, failing = (low, failing) if low < high else (0.0, none)
        elif at == below:
            return high
        else:
            low, failing = at, made


def _crossing(fails: Tried, passes: Tried, low: float, high: float) -> float:
    """A little past where the last margin would be made up if margins were straight; the middle where none
    says."""
    had, roots = {c.key: _margin(c) for c in passes.checks}, []
    for check in fails.checks:
        before, after = _margin(check), had.get(check.key, math.nan)
        if check.result != "pass" and before < 0 <= after and math.isfinite(before):
            roots.append(low + (high - low) * before / (before - after))
    return max(roots) * 1.003 if roots else (low + high) / 2


def _margin(check: Check) -> float:
    return -math.inf if check.least_margin is None else check.least_margin


# ---------------------------------------------------------------- the mix


def _mix(known: Sequence[Way], book: _Book, before: Tried, alone: Sequence[Proposal]) -> Proposal | None:
    """The mix of least relative change, as far as straight margins lead to it; None where none was found."""
    start = min((p for p in alone if p.key != "lighter"), key=lambda p: p.size, default=None)
    if start is None:
        line = tuple(way.most for way in known)
        found = smallest(_along(known, line, book), 1.0, before)
        if not isinstance(found, float):
            return None
        point = np.array(_times(line, found))
    else:
        of = dict(start.shares)
        point = np.array([of.get(way.key, 0.0) for way in known])
    best = point
    for turn in range(TURNS + 1):
        aim = _shared_out(known, alone) if turn == 0 else _aimed(known, book, best)
        if turn == 0 and aim is None:
            continue
        if aim is None or not aim.any():
            break
        most = float(min(way.most / share for way, share in zip(known, aim) if share > 0))
        reach = min(most, 2.0)
        found = smallest(_along(known, tuple(aim), book), reach, before)
        if isinstance(found, float) and np.linalg.norm(found * aim) < np.linalg.norm(best):
            best = found * aim
        elif turn:
            break
    if best is point and start is not None:
        return None
    return _proposal("mix", known, tuple(float(s) for s in best), book)


def _shared_out(known: Sequence[Way], alone: Sequence[Proposal]) -> Array | None:
    """The least mix if each single change did its part in proportion: where a margin jumps, as a heel in a
    lean does at the capsize, its slope says nothing. None where fewer than two single changes do."""
    needs = {p.key: p.size for p in alone}
    reach = np.array([1.0 / needs[w.key] if w.key in needs else 0.0 for w in known])
    return reach / float(reach @ reach) if np.count_nonzero(reach) > 1 else None


def _aimed(known: Sequence[Way], book: _Book, at: Array) -> Array | None:
    """Where the least sum of squares of relative changes would lie if every margin were straight from here;
    None where a margin has no figure."""
    from scipy.optimize import minimize

    here = _margins(book(of_shares(known, tuple(at))))
    if not np.isfinite(here).all():
        return None
    slopes = np.zeros((len(here), len(known)))
    for j, way in enumerate(known):
        step = -STEP if at[j] + STEP > way.most else STEP
        moved = at.copy()
        moved[j] += step
        there = _margins(book(of_shares(known, tuple(moved))))
        if len(there) != len(here) or not np.isfinite(there).all():
            return None
        slopes[:, j] = (there - here) / step
    found = minimize(
        lambda x: float(x @ x),
        at,
        jac=lambda x: 2 * x,
        bounds=[(0.0, way.most) for way in known],
        constraints={"type": "ineq", "fun": lambda x: here + slopes @ (x - at), "jac": lambda x: slopes},
        method="SLSQP",
    )
    return np.where(found.x > SLIGHT * found.x.max(), found.x, 0.0) if found.success else None


def _margins(tried: Tried) -> Array:
    return np.array([_margin(c) for c in tried.checks])
