"""What such a boat usually has and this schedule lacks, with an estimate that the answer allows for. Common practice, no source.

Nothing here hides in the weight: each item is named, and silent once the boat's file says `without`.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np

from hullview.boat.model import Boat, Schedule
from hullview.errors import BoatFileError, Mistake, did_you_mean
from hullview.materials import Range, key
from hullview.shape.hull import Hull
from hullview.weight.causes import Quantity, Term
from hullview.weight.lengths import STICKS
from hullview.weight.line import ScheduleLine
from hullview.weight.patch import Spread, at_point, joined, over_segments, over_triangles

BASIS = "common practice, no source"


@dataclass(frozen=True)
class Usual:
    """An item such boats have. words: a schedule that names one of them has it. per: what `span` [kg] is multiplied by:
    "boat", "sheer" (m, both sides), "coaming" (m), "hatch" (each), "skin" (m2), "seat" (each paddler, one at least), "tank" (each),
    "flotation" (m3), "wall" (m2 of coaming above the deck, where no stick is deep enough to be it)."""

    item: str
    words: tuple[str, ...]
    per: str
    span: Range
    place: str


DECKED = (
    Usual(
        "seat and back rest", ("seat", "backrest", "back rest", "back band"), "seat", (0.4, 0.8, 1.5), "seat"
    ),
    Usual("coaming", ("coaming",), "coaming", (0.20, 0.32, 0.50), "coaming"),
    Usual("coaming riser", ("riser",), "wall", (2.0, 3.2, 4.8), "coaming"),
    Usual(
        "foot braces",
        ("foot brace", "footbrace", "foot rest", "footrest", "stretcher"),
        "seat",
        (0.3, 0.5, 0.9),
        "feet",
    ),
    Usual("hatch rims and straps", ("hatch",), "hatch", (0.2, 0.4, 0.7), "hatch"),
    Usual(
        "deck lines, handles, hardware",
        ("deck line", "handle", "toggle", "hardware", "cord"),
        "boat",
        (0.15, 0.3, 0.6),
        "deck",
    ),
    Usual("varnish", ("varnish", "paint", "polyurethane", "oil"), "skin", (0.07, 0.11, 0.16), "outside"),
)
CANOE = (
    Usual("seats", ("seat",), "boat", (0.9, 1.6, 2.4), "middle"),
    Usual("thwart or yoke", ("thwart", "yoke"), "boat", (0.4, 0.7, 1.1), "middle"),
    Usual("gunwales", ("gunwale", "inwale", "outwale", "sheer run"), "sheer", (0.18, 0.27, 0.38), "sheer"),
    Usual("small decks at the ends", ("deck", "breasthook"), "boat", (0.2, 0.4, 0.8), "ends"),
    Usual(
        "screws, bolts, painter rings",
        ("hardware", "screw", "bolt", "ring"),
        "boat",
        (0.1, 0.2, 0.4),
        "sheer",
    ),
    Usual("varnish", ("varnish", "paint", "polyurethane", "oil"), "skin", (0.14, 0.20, 0.30), "outside"),
)
ROWING = (
    Usual("thwarts", ("thwart", "seat"), "boat", (3.0, 5.0, 8.0), "middle"),
    Usual(
        "gunwales",
        ("gunwale", "inwale", "outwale", "rubbing", "sheer run"),
        "sheer",
        (0.35, 0.55, 0.9),
        "sheer",
    ),
    Usual("oarlocks and pads", ("oarlock", "rowlock"), "boat", (0.7, 1.2, 2.0), "sheer"),
    Usual("knees and breasthook", ("knee", "breasthook"), "boat", (0.6, 1.2, 2.0), "ends"),
    Usual("foot stretcher", ("stretcher", "foot brace"), "boat", (0.3, 0.6, 1.0), "middle"),
    Usual("skeg or keel", ("skeg", "keel"), "boat", (0.6, 1.2, 2.2), "keel"),
    Usual("rings, screws, hardware", ("hardware", "screw", "ring"), "boat", (0.3, 0.5, 1.0), "sheer"),
    Usual(
        "paint or varnish", ("varnish", "paint", "polyurethane", "oil"), "skin", (0.15, 0.24, 0.36), "outside"
    ),
)
BUOYANCY = (
    Usual("panels of the sealed tanks", ("tank",), "tank", (0.6, 1.2, 2.5), "ends"),
    Usual(
        "flotation and its straps", ("flotation", "foam", "bag"), "flotation", (15.0, 30.0, 50.0), "flotation"
    ),
)
"""For each [[tank]]; for each cubic metre of [[flotation]], foam or bag: what holds the air weighs too."""
WALL_DEPTH = 0.9
"""A stick along the coaming at least this share of the wall's mean height deep is the wall itself."""
PULLING_BEAM = 1.05
"""An open boat as wide as this at the sheer [m], or with a paddler on a bench, is taken for one that is rowed."""


def kind_of(boat: Boat, hull: Hull) -> tuple[Usual, ...]:
    """The list that fits her: decked, canoe or rowed."""
    if boat.hull.type == "decked":
        return DECKED + BUOYANCY
    beam = 2 * float(hull.sheer[:, 1].max())
    on_bench = any(p.posture == "bench" for p in boat.load.paddlers)
    return (ROWING if beam >= PULLING_BEAM or on_bench else CANOE) + BUOYANCY


def _named(boat: Boat, schedule: Schedule, drafts: Iterable[ScheduleLine]) -> str:
    """Every word by which the schedule names a part, in one string."""
    words = [p.name for p in schedule.pieces] + [a.name for a in boat.appendages]
    words += [
        f"{r.name or ''} {r.along if r.along in ('coaming', 'hatch') else ''} {r.kind if r.kind == 'cord' else ''}"
        for r in schedule.runs
    ]
    words += [s.coating or "" for s in schedule.skins]
    if (
        any(r.along == "sheer" and r.kind in ("lamination", "solid") for r in schedule.runs)
        and boat.hull.type == "open"
    ):
        words.append("sheer run")
    if any(r.along == "keel" and r.kind in ("lamination", "solid") for r in schedule.runs):
        words.append("keel")
    return " | ".join(words).lower()


LEAST_LETTERS = 3
"""A shorter word could mean anything."""


def _means(word: str, usual: Usual) -> bool:
    """Whether a word of `without` is this item, or a part of its name."""
    said = key(word)
    own = [key(usual.item), *(key(w) for w in usual.words)]
    return len(said) >= LEAST_LETTERS and any(said in o or o in said for o in own)


def _is_without(boat: Boat, usual: Usual) -> bool:
    return any(_means(word, usual) for word in boat.without)


def refuse_unknown(boat: Boat) -> None:
    """A word of `without` that is no such item of any kind of boat would silence nothing: say so, with the nearest that would."""
    every = (*DECKED, *CANOE, *ROWING, *BUOYANCY)
    known = {name for u in every for name in (u.item, *u.words)}
    wrong = [w for w in boat.without if not any(_means(w, u) for u in every)]
    if wrong:
        raise BoatFileError(
            Mistake(
                "boat.toml",
                "without",
                repr(w),
                "is nothing that such boats usually have, so it does nothing",
                did_you_mean(w, known),
            )
            for w in wrong
        )


def _count(usual: Usual, boat: Boat, hull: Hull, outside: Spread) -> float:
    """How many of what the item's range is per."""
    if usual.per == "sheer":
        return 2 * float(np.sqrt((np.diff(hull.sheer, axis=0) ** 2).sum(axis=1)).sum())
    if usual.per == "coaming":
        rings = [v for k, v in hull.lines.items() if k.startswith("coaming")]
        return sum(
            float(np.sqrt((np.diff(r.points, axis=0, append=r.points[:1]) ** 2).sum(axis=1)).sum())
            for r in rings
        )
    if usual.per == "flotation":
        return sum(f.volume for f in boat.flotation)
    counts = {
        "boat": 1.0,
        "tank": float(len(boat.tanks)),
        "hatch": float(len(boat.hatches)),
        "skin": outside.size,
        "seat": float(max(len(boat.load.paddlers), 1)),
    }
    return counts[usual.per]


def _wall(schedule: Schedule, hull: Hull) -> float:
    """Area of the coaming above the deck [m2] that is in no line: the schedule names a rim, and none of its sticks stands as high as the wall.
    Where it names no coaming at all, the allowance for the coaming counts the wall too."""
    depths = [r.depth or 0.0 for r in schedule.runs if r.along.startswith("coaming") and r.kind in STICKS]
    p = hull.vertices[hull.faces_of("coaming")]
    rings = [v.points for k, v in hull.lines.items() if k.startswith("coaming")]
    if not depths or not len(p) or not rings:
        return 0.0
    area = over_triangles(p).size
    around = sum(float(np.sqrt((np.diff(r, axis=0, append=r[:1]) ** 2).sum(axis=1)).sum()) for r in rings)
    return area if max(depths) < WALL_DEPTH * area / around else 0.0


def _spread(usual: Usual, boat: Boat, hull: Hull, outside: Spread) -> Spread:
    """Where the item is: estimated from the hull and the paddlers' places."""
    sheer = over_segments(np.stack([hull.sheer[:-1], hull.sheer[1:]], axis=1)).both_sides()
    length = float(hull.sheer[:, 0].max() - hull.sheer[:, 0].min())
    middle = float(sheer.centre[0])
    seats = [p.seat_back for p in boat.load.paddlers] or [middle + 0.05 * length]
    back = float(np.mean(seats))
    if usual.place == "outside":
        return outside
    if usual.place == "flotation":
        return joined(at_point(f.at, f.volume) for f in boat.flotation)
    if usual.place == "sheer":
        return sheer
    if usual.place in ("coaming", "hatch"):
        rings = [v for k, v in hull.lines.items() if k.startswith(usual.place)]
        if rings:
            p = np.concatenate([r.points for r in rings])
            return (
                over_segments(np.stack([p, np.roll(p, -1, axis=0)], axis=1))
                if len(rings) == 1
                else at_point(p.mean(axis=0))
            )
    if usual.place == "ends":
        ends = [hull.sheer[0], hull.sheer[-1]]
        pts = [np.array([e[0] + s * 0.05 * length, 0.0, e[2]]) for e, s in zip(ends, (1, -1))]
        return Spread(1.0, (pts[0] + pts[1]) / 2, (np.outer(pts[0], pts[0]) + np.outer(pts[1], pts[1])) / 2)
    x, lift = {
        "seat": (back - 0.1, 0.05), "feet": (back - 0.95, 0.10), "middle": (middle, 0.22), "keel": (middle + 0.2 * length, -0.02),
        "deck": (middle, 0.25), "hatch": (middle, 0.25), "coaming": (back - 0.2, 0.25),
    }[usual.place]  # fmt: skip
    return at_point((x, 0.0, hull.keel_height(x) + lift))


def usually_also(
    boat: Boat, hull: Hull, schedule: Schedule, drafts: Iterable[ScheduleLine], outside: Spread
) -> list[ScheduleLine]:
    """A line for each item that is neither in the schedule nor said to be left off.

    outside: the outer skins. Each item has its own cause, so that ten guesses are surer together than one.
    """
    refuse_unknown(boat)
    has = _named(boat, schedule, drafts)
    found = []
    for usual in kind_of(boat, hull):
        if any(w in has for w in usual.words) or _is_without(boat, usual):
            continue
        n = _wall(schedule, hull) if usual.per == "wall" else _count(usual, boat, hull, outside)
        if n <= 0:
            continue
        spread = _spread(usual, boat, hull, outside)
        term = Term(n, (Quantity.of(f"allowance: {usual.item}", usual.span),), "fitted")
        line = ScheduleLine(
            usual.item, "usually also", "piece", 1.0, "pieces", "usually also", spread, (term,), (usual.item,),
            kind="allowance",
        )  # fmt: skip
        found.append(line)
    return found
