"""What the lights of bending say in words: plies or the saw, strips that are tapered, and what the whole build wants."""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import groupby

from hullview.show import words
from hullview.weight.bend import THINNER, WET, BendReport, StickBend, StripBend, StripsBend

SAW = "will not bend: saw it out or steam it"
TAPER = "taper"
USUAL = (
    "There they are tapered, or a new run of strips begins, as on most boats (common practice, no source)."
)


def plies(s: StickBend, units: str) -> str:
    """The thickest ply that bends dry and how many it takes; or that none does."""
    if s.sawn:
        return "none: saw or steam"
    if math.isinf(s.thickest_dry):
        return "any"
    return f"{words.thickness(s.thickest_dry, units)} ({words.count(s.plies_needed, 'ply', 'plies')})"


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
    wants = [_stick(s) for s in report.sticks if s.light == THINNER]
    for skin in report.strips:
        if skin.too_stiff:
            first = min(s.twist_where if s.twist_light == THINNER else s.bend.where for s in skin.too_stiff)
            wants.append(
                f"{skin.where} strips {numbers(skin.too_stiff)} from the sheer want to be thinner or narrower, {words.place(first, units, both=False)} aft"
            )
    if wants:
        return "; ".join(wants)
    return "some of it wants wetting or heat" if report.light == WET else "all of it bends dry"


def _stick(s: StickBend) -> str:
    if s.edge.light == THINNER and s.edge.strain >= s.flat.strain:
        return f"{s.item} wants to be less deep, or sawn to shape"
    return f"{s.item} {SAW}" if s.sawn else f"{s.item} wants thinner plies"
