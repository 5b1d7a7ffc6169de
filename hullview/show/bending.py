"""What the lights of bending say in words: plies dry, wet or hot, or the saw; strips that are tapered; what the whole build wants."""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import groupby

from hullview.boat.wording import at_most
from hullview.show import words
from hullview.weight.bend import (
    DRY,
    HOT,
    LEAST_PLY,
    THINNER,
    WET,
    BendReport,
    Bent,
    StickBend,
    StripBend,
    StripsBend,
    Takes,
)

SAW = "will not bend: saw it out"
TAPER = "taper"
USUAL = (
    "There they are tapered, or a new run of strips begins, as on most boats (common practice, no source)."
)
HOW = {DRY: "dry", WET: "soaked and steamed", HOT: "over a hot pipe"}


def planes(s: StickBend, units: str) -> tuple[tuple[str, Bent, str], ...]:
    """Of each plane of a stick: what is bent there as asked, its tightest place, and what that place takes."""
    ply, deep = (words.section((size,), units) for size in (s.ply, s.depth))
    across = f"{s.plies} plies of {ply}, across them" if s.plies > 1 else f"{ply}, across it"
    return (across, s.flat, plies(s, units)), (f"{deep} deep, edgewise", s.edge, depths(s, units))


def plies(s: StickBend, units: str) -> str:
    """The thickest ply and how many make up the stick: dry; wet and hot too where it does not bend dry as asked."""
    if math.isinf(s.flat.radius):
        return ""
    if s.best is None:
        least = words.thickness(LEAST_PLY, units)
        return f"no ply of {least} or more takes that, dry, steamed or hot: saw it out"
    told = s.plies_take[:1] if s.flat.light == DRY else s.plies_take
    more = [t for k, t in enumerate(told) if t.sensible and (not k or t.most > told[k - 1].most)]
    without = {DRY: "", WET: "none dry; ", HOT: "none dry or steamed; "}[s.best.how]
    return f"plies: {without}" + "; ".join(f"{HOW[t.how]} to {_plies(s, t, units)}" for t in more)


def _plies(s: StickBend, t: Takes, units: str) -> str:
    """A size no thicker than what is taken, and how many of that size make up the stick."""
    most = at_most(t.most, units)
    many = math.ceil(round(s.plies * s.ply / most, 6))
    return f"{words.thickness(most, units)} ({words.count(many, 'ply', 'plies')})"


def depths(s: StickBend, units: str) -> str:
    """How deep a stick bends edgewise, where it is too deep to do so dry; more plies are no help there."""
    if s.edge.light == DRY:
        return ""
    return "depth: " + "; ".join(f"{HOW[t.how]} to {_most(t, units)}" for t in s.depth_takes)


def _most(t: Takes, units: str) -> str:
    return words.thickness(at_most(t.most, units), units)


def edge_set(skin: StripsBend, units: str) -> tuple[str, str]:
    """Radius of the worst edge-set of a skin and its light; what no strip is bent to is told as "tighter than"."""
    strip = skin.worst_edge_set
    tight = strip.edge_set.radius < skin.tightest_told
    radius = max(strip.edge_set.radius, skin.tightest_told)
    said = f"{'tighter than ' if tight else ''}R {words.length(radius, units, both=False)}"
    return said, TAPER if strip.tapers else strip.edge_set.light


def numbers(strips: Sequence[StripBend]) -> str:
    """Numbers of strips, those that follow one another as a span.

    >>> from types import SimpleNamespace
    >>> numbers([SimpleNamespace(number=n) for n in (3, 7, 8, 9)])
    '3, 7 to 9'
    """
    found = []
    for _, run in groupby(enumerate(s.number for s in strips), key=lambda pair: pair[1] - pair[0]):
        ends = [n for _, n in run]
        found.append(f"{ends[0]}" if len(ends) == 1 else f"{ends[0]} to {ends[-1]}")
    return ", ".join(found)


def tapered(skin: StripsBend, units: str) -> str:
    """Which strips of a skin are tapered, and where; nothing where none is."""
    if not skin.tapered:
        return ""
    where = sorted(x for s in skin.tapered for x in s.tapers)
    middle = (where[0] + where[-1]) / 2
    ends = [part for part in ([x for x in where if x <= middle], [x for x in where if x > middle]) if part]
    said = " and ".join(_reach(part, units) for part in ends)
    many = len(skin.tapered) > 1
    return (
        f"Strip{'s' if many else ''} {numbers(skin.tapered)} from the sheer on the {skin.where} would be set edgewise tighter than wood takes "
        f"{said} aft. {USUAL}"
    )


def _reach(places: Sequence[float], units: str) -> str:
    first, last = (words.place(x, units, both=False) for x in (places[0], places[-1]))
    return f"at {first}" if first == last else f"at {first} to {last}"


def headline(report: BendReport, units: str) -> str:
    """What the whole build wants, naming what is past its red light; tapered strips are no cause for alarm."""
    wants = [_stick(s, units) for s in report.sticks if s.light == THINNER]
    for skin in report.strips:
        if skin.too_stiff:
            first = min(s.twist_where if s.twist_light == THINNER else s.bend.where for s in skin.too_stiff)
            wants.append(
                f"{skin.where} strips {numbers(skin.too_stiff)} from the sheer want to be thinner or narrower, {words.place(first, units, both=False)} aft"
            )
    if wants:
        return "; ".join(wants)
    milder = {HOT: "some of it wants a hot pipe", WET: "some of it wants wetting or heat"}
    return milder.get(report.light, "all of it bends dry")


def _stick(s: StickBend, units: str) -> str:
    """What a stick past a red light wants, in each plane that is past it."""
    wants = []
    if s.flat.light == THINNER:
        if s.best is None:
            return f"{s.item} {SAW}"
        wants.append(f"plies of at most {_most(s.best, units)}, bent {HOW[s.best.how]}")
    if s.edge.light == THINNER:
        wants.append(f"at most {_most(s.depth_takes[-1], units)} of depth, or to be sawn to shape")
    return f"{s.item} wants {', and '.join(wants)}"
