"""What such a boat usually has and this schedule lacks, with an estimate that the answer allows for. Common
practice, no source.

Nothing here hides in the weight: each item is named, silent once the boat's file says `without`, and each
that is left out is told with what answered for it. What the items are, and what words mean them, stands in
`hullview.boat.usual`.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass

import numpy as np

from hullview.boat.model import Appendage, Boat, Piece, Run, Schedule, Skin
from hullview.boat.usual import (
    UsualItem,
    doubt,
    doubt_of_without,
    is_it,
    left_out,
    names_it,
    usual_items,
)
from hullview.errors import BoatFileError, Mistake
from hullview.shape.hull import Hull
from hullview.weight.causes import Quantity, Term
from hullview.weight.line import ScheduleLine
from hullview.weight.patch import Spread, at_point, joined, over_segments, over_triangles
from hullview.weight.stages import FINISHED, is_clamp

BASIS = "common practice, no source"
WALL_DEPTH = 0.9
"""A stick along the coaming at least this share of the wall's mean height deep is the wall itself."""
PULLING_BEAM = 1.05
"""An open boat as wide as this at the sheer [m], or with a paddler on a bench, is taken for one that is
rowed."""
BARE = 0.1
"""A smaller share of the outer skins than this that no coating covers is taken for an oversight: nothing
is allowed for it."""
PLACES_COATED = {"hull outside": "hull", "deck outside": "deck", "transom": "transom"}
"""Outer faces by the `where` of a skin that covers the whole of them."""


@dataclass(frozen=True)
class Answered:
    """A usual item that is not allowed for, and why.

    Parameters
    ----------
    item
        The usual item.
    by
        How it is answered for: "is" (the entry says so outright), "name" (the entry's name means it), "kind"
        (the entry is such a thing: a stick along the coaming, a coating), or "without" (boat.toml says that
        the boat has none).
    entry
        The entry of the schedule that answers for it; None for `without`.
    word
        The word of `without`.
    """

    item: str
    by: str
    entry: Run | Piece | Skin | Appendage | None = None
    word: str = ""


@dataclass(frozen=True)
class Around:
    """What an allowance is measured by: the boat, its hull, one schedule, and the outer face of each
    planked place."""

    boat: Boat
    hull: Hull
    schedule: Schedule
    outer: Mapping[str, Spread]

    def entries(self) -> Iterator[Run | Piece | Skin | Appendage]:
        yield from self.schedule.runs
        yield from self.schedule.pieces
        yield from self.boat.appendages
        yield from self.schedule.skins

    @property
    def coated(self) -> list[Skin]:
        """Coatings that cover the whole of an outer face."""
        whole = (s for s in self.schedule.skins if s.coating and s.below is None and s.girth is None)
        return [s for s in whole if s.where in PLACES_COATED]

    @property
    def uncoated(self) -> Spread:
        """The outer skins that no such coating covers."""
        coated = {PLACES_COATED[s.where] for s in self.coated}
        return joined(spread for place, spread in self.outer.items() if place not in coated)


def items_of(boat: Boat, hull: Hull) -> tuple[UsualItem, ...]:
    """What a boat of this kind usually has: of the decked, the paddled or the rowed."""
    on_bench = any(p.posture == "bench" for p in boat.sitters)
    wide = 2 * float(hull.sheer[:, 1].max()) >= PULLING_BEAM
    kind = "decked" if boat.hull.type == "decked" else "rowed" if wide or on_bench else "canoe"
    return tuple(u for u in usual_items() if u.boat in (kind, "any"))


def refuse_unknown(boat: Boat, schedule: Schedule) -> None:
    """A word of `without` or of `is` that is no such item of any kind of boat would do nothing: say so, with
    the nearest that would.

    The reader of boat.toml has refused it with its line already; this is for boats made in code.
    """
    marked: list[Run | Piece | Appendage] = [*schedule.runs, *schedule.pieces, *boat.appendages]
    wrong = [("without", w, doubt_of_without(w)) for w in boat.without]
    wrong += [(f"{e.name or 'run'} is", w, doubt(w)) for e in marked for w in e.is_a]
    what = "is nothing that such boats usually have, so it does nothing"
    mistakes = [Mistake("boat.toml", key, repr(w), what, mend) for key, w, mend in wrong if mend]
    if mistakes:
        raise BoatFileError(mistakes)


# ---------------------------------------------------------------- what answers for an item


def _answers(entry: Run | Piece | Skin | Appendage, item: UsualItem) -> str:
    """How an entry answers for an item, as in `Answered.by`; "" if it does not."""
    if isinstance(entry, Skin):
        return ""  # a coating answers for the area that it covers
    if entry.is_a:
        return "is" if any(is_it(word, item) for word in entry.is_a) else ""
    if entry.name and names_it(entry.name, item):
        return "name"
    return "kind" if isinstance(entry, Run) and item.run and _is_such_a_run(entry, item.run) else ""


def _is_such_a_run(run: Run, wanted: str) -> bool:
    if wanted == "cord":
        return run.kind == "cord"
    along = run.along.rstrip(" 0123456789")
    if not run.stick or along != wanted or (wanted == "keel" and run.side == "inside"):
        return False
    return not (wanted == "sheer" and is_clamp(run, decked=False))


def answered_for(item: UsualItem, at: Around) -> Answered | None:
    """What answers for an item, or None where it is to be allowed for."""
    for word in at.boat.without:
        if left_out(word, item):
            return Answered(item.item, "without", word=word)
    for entry in at.entries():
        by = _answers(entry, item)
        if by:
            return Answered(item.item, by, entry)
    if item.per == "skin" and at.coated and at.uncoated.size <= BARE * sum(s.size for s in at.outer.values()):
        return Answered(
            item.item, "kind", max(at.coated, key=lambda s: at.outer[PLACES_COATED[s.where]].size)
        )
    if item.per == "wall":
        stick = _the_wall_itself(at)
        return None if stick is None else Answered(item.item, "kind", stick)
    return None


# ---------------------------------------------------------------- how much of it, and where


def _length(points: np.ndarray, closed: bool = False) -> float:
    steps = np.diff(points, axis=0, append=points[:1]) if closed else np.diff(points, axis=0)
    return float(np.sqrt((steps**2).sum(axis=1)).sum())


def _rings(hull: Hull, name: str) -> list[np.ndarray]:
    return [line.points for key, line in hull.lines.items() if key.startswith(name)]


def _count(item: UsualItem, at: Around) -> float:
    """How many of what the item's range is per."""
    boat, hull = at.boat, at.hull
    counts: dict[str, Callable[[], float]] = {
        "boat": lambda: 1.0,
        "sheer": lambda: 2 * _length(hull.sheer),
        "coaming": lambda: sum(_length(r, closed=True) for r in _rings(hull, "coaming")),
        "wall": lambda: _wall(at),
        "hatch": lambda: float(len(boat.hatches)),
        "skin": lambda: at.uncoated.size,
        "seat": lambda: float(max(len(boat.sitters), 1)),
        "tank": lambda: float(len(boat.tanks)),
        "flotation": lambda: sum(f.volume for f in boat.flotation),
    }
    return counts[item.per]()


def _rim_depths(at: Around) -> dict[Run, float]:
    runs = at.schedule.runs
    return {r: r.depth or 0.0 for r in runs if r.along.startswith("coaming") and r.stick}


def _wall_area(hull: Hull) -> float:
    p = hull.vertices[hull.faces_of("coaming")]
    return over_triangles(p).size if len(p) else 0.0


def _the_wall_itself(at: Around) -> Run | None:
    """The stick along the coaming that stands as high as its wall, if there is one."""
    area, around = _wall_area(at.hull), sum(_length(r, closed=True) for r in _rings(at.hull, "coaming"))
    if area <= 0 or around <= 0:
        return None
    return next((r for r, depth in _rim_depths(at).items() if depth >= WALL_DEPTH * area / around), None)


def _wall(at: Around) -> float:
    """Area of the coaming above the deck [m2] that is in no line: the schedule names a rim that does not
    stand as high as the wall. Where it names no coaming at all, the allowance for the coaming counts the wall
    too."""
    return _wall_area(at.hull) if _rim_depths(at) and _rings(at.hull, "coaming") else 0.0


def _spread(item: UsualItem, at: Around) -> Spread:
    """Where the item is: estimated from the hull and the paddlers' places."""
    boat, hull = at.boat, at.hull
    sheer = over_segments(np.stack([hull.sheer[:-1], hull.sheer[1:]], axis=1)).both_sides()
    length = float(np.ptp(hull.sheer[:, 0]))
    middle = float(sheer.centre[0])
    back, ahead = middle + 0.05 * length, -1.0
    if boat.sitters:
        back, ahead = np.mean([(p.seat_back, p.ahead) for p in boat.sitters], axis=0).tolist()
    if item.place == "outside":
        return at.uncoated
    if item.place == "flotation":
        return joined(at_point(f.at, f.volume) for f in boat.flotation)
    if item.place == "sheer":
        return sheer
    rings = _rings(hull, item.place) if item.place in ("coaming", "hatch") else []
    if len(rings) == 1:
        return over_segments(np.stack([rings[0], np.roll(rings[0], -1, axis=0)], axis=1))
    if rings:
        return at_point(np.concatenate(rings).mean(axis=0))
    if item.place == "ends":
        ends = [hull.sheer[0], hull.sheer[-1]]
        return joined(at_point((e[0] + s * 0.05 * length, 0.0, e[2]), 0.5) for e, s in zip(ends, (1, -1)))
    x, lift = {
        "seat": (back + 0.1 * ahead, 0.05),
        "feet": (back + 0.95 * ahead, 0.10),
        "middle": (middle, 0.22),
        "keel": (middle + 0.2 * length, -0.02),
        "deck": (middle, 0.25),
        "hatch": (middle, 0.25),
        "coaming": (back - 0.2, 0.25),
    }[item.place]
    return at_point((x, 0.0, hull.keel_height(x) + lift))


def usually_also(
    boat: Boat, hull: Hull, schedule: Schedule, outer: Mapping[str, Spread]
) -> tuple[list[ScheduleLine], tuple[Answered, ...]]:
    """What is allowed for, and what is not since something answers for it.

    Parameters
    ----------
    outer
        Outer face of each planked place, "hull", "deck" and "transom" [m2].

    Returns
    -------
    lines, answered
        A line for each item that is neither in the schedule nor said to be left off. Each has its own cause,
        so that ten guesses are surer together than one. Then the other items of which this boat would have
        some.
    """
    refuse_unknown(boat, schedule)
    at = Around(boat, hull, schedule, outer)
    lines, answered = [], []
    for item in items_of(boat, hull):
        answer = answered_for(item, at)
        n = _count(item, at)
        if answer is not None and (n > 0 or item.per == "skin"):
            answered.append(answer)
        if answer is not None or n <= 0:
            continue
        term = Term(n, (Quantity.of(f"allowance: {item.item}", item.span),), FINISHED)
        line = ScheduleLine(
            item.item, "usually also", "piece", 1.0, "pieces", "usually also", _spread(item, at), (term,),
            (item.item,), kind="allowance",
        )  # fmt: skip
        lines.append(line)
    return lines, tuple(answered)
