"""A boat altered: the change that is taken, its files after rounding, and the figures before and after."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass, fields, replace

from hullview.answer.alter import Judge, Proposal, Search, Tried, search, ways
from hullview.answer.conditions import Craft
from hullview.boat.altered import Change, altered
from hullview.boat.model import Boat
from hullview.boat.writer import Sources, files_of, read_back
from hullview.errors import UsageError
from hullview.weight.bend import THINNER, bend

WOOD = ("planking", "other wood")
"""Groups of the weight that are wood."""
FURTHER = (1.0, 1.01, 1.02, 1.04, 1.08)
"""Where the files, rounded, no longer carry, the change is taken so much further."""


@dataclass(frozen=True)
class Figures:
    """Of one boat with its load: weight of the boat with its range, draft, freeboard, trim, GM, height to
    flooding [m, kg], heel at which water comes in [rad]; wood and resin of its schedule [kg]; refuses: what
    does not bend in this wood."""

    mass: float
    low: float
    high: float
    afloat: float
    draft: float | None
    freeboard: float | None
    trim: float | None
    gm: float | None
    height_to_flooding: float | None
    flooding_heel: float | None
    wood: float
    resin: float
    sticks: tuple[str, ...] = ()
    strips: tuple[tuple[str, int], ...] = ()

    def refuses_beside(self, other: Figures) -> Figures:
        """The same with only what refuses here and not in the other boat."""
        return replace(
            self,
            sticks=tuple(s for s in self.sticks if s not in other.sticks),
            strips=tuple(s for s in self.strips if s not in other.strips),
        )


def figures(tried: Tried) -> Figures | None:
    """The figures of a judgement; None where there is no boat to tell of."""
    craft = tried.craft
    if craft is None or not tried.ends:
        return None
    weight, likely = craft.weight, tried.ends[0]
    scale = 1.0 - tried.change.lighter
    wood = sum(line.mass for line in weight.lines if line.group in WOOD)
    return Figures(
        weight.mass,
        weight.low,
        weight.high,
        likely.mass,
        likely.draft,
        likely.freeboard,
        likely.trim_length,
        likely.gm,
        likely.height_to_flooding,
        likely.flooding_heel,
        wood * scale,
        weight.resin * scale,
        *refusing(craft),
    )


def refusing(craft: Craft) -> tuple[tuple[str, ...], tuple[tuple[str, int], ...]]:
    """Sticks by name, and strips by skin and number, that do not take their bend."""
    if not craft.boat.builds:
        return (), ()
    report = bend(craft.boat, craft.hull, craft.weight.build)
    sticks = tuple(s.item for s in report.sticks if s.light == THINNER)
    return sticks, tuple((skin.where, s.number) for skin in report.strips for s in skin.too_stiff)


@dataclass(frozen=True)
class Altered:
    """What came of it.

    Parameters
    ----------
    found
        Of the search; by hand, with the one change as its proposal, whatever its answer.
    taken
        The proposal that is told in full and written; None where nothing was found or nothing need change.
    after
        Its judgement: of the files as they would be read again where there are any.
    before_figures, after_figures
        Of the boat as it is, and of `after`.
    files
        Of the new boat by name; None where none were asked for.
    left_out
        Tables of boat.toml that were said of the old hull and are not in the new file.
    """

    found: Search
    taken: Proposal | None
    after: Tried | None
    before_figures: Figures | None
    after_figures: Figures | None = None
    files: Mapping[str, bytes] | None = None
    left_out: tuple[str, ...] = ()

    @property
    def now_refuse(self) -> Figures | None:
        """With the sticks and strips that take their bend in the boat as it is and refuse in the altered one;
        None where there are none."""
        if self.after_figures is None or self.before_figures is None:
            return None
        only = self.after_figures.refuses_beside(self.before_figures)
        return only if only.sticks or only.strips else None


def altering(
    craft: Craft,
    judge: Judge,
    read_again: Callable[[Boat, Change], Tried],
    *,
    only: str = "",
    by_hand: Change | None = None,
    files: Sources | None = None,
    tell: Callable[[str], None] = lambda step: None,
) -> Altered:
    """Search, or judge what was given by hand; then the files, and the figures of both boats.

    Parameters
    ----------
    craft : Craft
        Weighed and seated, somebody aboard.
    judge : callable
        The whole judgement of a change.
    read_again : callable
        The same of a boat that was read back from its new files.
    only, by_hand, files, tell
        As in `study.alter`.

    Returns
    -------
    Altered

    Raises
    ------
    UsageError
        Files are asked for and there is nothing to write, or no way of changing it by that name.
    """
    found = (
        search(craft.boat, judge, only, tell)
        if by_hand is None
        else _given(craft, judge, by_hand, judge(Change()))
    )
    taken = found.best
    left_out = tuple(name for name in ("weighed", "afloat") if getattr(craft.boat, name))
    if taken is None or files is None:
        if files is not None:
            raise UsageError(f"{craft.boat.name}: {_nothing(found)} Nothing is written.")
        after = None if taken is None else taken.tried
        made = None
    else:
        tell("files")
        taken, after, made = _written(craft, judge, read_again, taken, files)
    told = None if after is None else figures(after)
    gone = left_out if taken is not None and taken.change.of_hull else ()
    return Altered(found, taken, after, figures(found.before), told, made, gone)


def _given(craft: Craft, judge: Judge, change: Change, before: Tried) -> Search:
    """A change by hand as the one proposal."""
    known = ways(craft.boat, None)
    shares = []
    for way in known:
        value = getattr(change, way.field)
        share = value - 1.0 if way.unit == 1.0 and way.field != "lighter" else value / way.unit
        if share:
            shares.append((way.key, share))
    size = math.sqrt(sum(share * share for _, share in shares))
    tried = judge(change)
    if tried.craft is None:
        raise UsageError(tried.words)
    nearest = before if tried.passes else tried
    return Search(before, (Proposal("by hand", size, tuple(shares), tried),), (), nearest)


def _nothing(found: Search) -> str:
    if found.before.passes:
        return "it carries as it is."
    return "no change that was tried makes it carry."


def _written(
    craft: Craft,
    judge: Judge,
    read_again: Callable[[Boat, Change], Tried],
    taken: Proposal,
    old: Sources,
) -> tuple[Proposal, Tried, Mapping[str, bytes]]:
    """The files of a proposal, rounded as the builder writes, and the judgement of what they say; where the
    rounding has lost the answer, of a little more of the change."""
    if taken.change.lighter:
        raise UsageError(
            f"{craft.boat.name}: a lighter boat is not written, it is built: only the scale can say so."
            " Nothing is written."
        )
    first = None
    for more in FURTHER if taken.tried.passes else FURTHER[:1]:
        change = _further(taken.change, more)
        tried = taken.tried if more == 1.0 else judge(change)
        if tried.craft is None:
            break
        files = files_of(_seats_too(tried.craft.boat, craft.boat, change), old)
        back = read_back(files)
        if len(craft.boat.load.paddlers) != len(craft.boat.seats):
            back = back.with_load(paddlers=tried.craft.boat.load.paddlers)
        after = read_again(back, change)
        made = (
            Proposal(taken.key, taken.size * more, tuple((k, s * more) for k, s in taken.shares), tried),
            after,
            files,
        )
        if after.passes or not taken.tried.passes:
            return made
        first = first or made
    if first is None:
        raise UsageError(f"{craft.boat.name}: {taken.tried.words or 'makes no boat.'} Nothing is written.")
    return first


def _seats_too(tried: Boat, boat: Boat, change: Change) -> Boat:
    """The altered boat as its file says it: where others are aboard than it has seats for, with its seats
    altered too."""
    return tried if len(boat.load.paddlers) == len(boat.seats) else altered(boat, change)


def _further(change: Change, more: float) -> Change:
    """So much more of a change."""
    return Change(
        **{f.name: f.default + (getattr(change, f.name) - f.default) * more for f in fields(Change)}
    )
