"""Sections between the stations in the overhang of a stem, so that rows which begin above a station and rows
which begin below it agree.

A row of equal girth begins where it leaves the stem, and stations forward of that do not cross it. Rows on
either side of a station's foot would then know different things about the same bit of skin. Between the
foremost such station and the first whole one we therefore lay sections of our own (and beyond it, where the
stem ends close by), by splines lengthwise through equal shares of what is left of each section.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from hullview.arrays import Array
from hullview.shape.curve import through
from hullview.shape.ends import EndCurve
from hullview.shape.sections import Section
from hullview.shape.spline import Spline, through_points

SPACING = 1 / 90
"""Distance between the sections laid in, as a share of the length of the boat."""
CROWDED = 0.35
"""Where the stem joins the keel line nearer to a whole station than this share of the span beyond it,
sections are laid in that span too: a row that has just left the stem would else overshoot on its way to the
next station."""
NEARLY_NOUGHT = 1e-6
"""Taken off before a count is rounded: with evenly spaced stations it lies half way as often as not, and the
last bit of a number read in inches, or from another datum, must not give its another mesh."""
SAMPLES = 21
"""Points of such a section in each panel."""
SHARE = np.linspace(0.0, 1.0, SAMPLES)


def with_overhangs_filled(
    sections: tuple[Section, ...], bow: EndCurve, stern: EndCurve
) -> tuple[Section, ...]:
    """The sections, with more laid in where stations stand in the overhang of the bow's or the stern's
    stem."""
    length = sections[-1].x - sections[0].x
    laid: list[Section] = []
    for end, near in ((bow, sections), (stern, sections[::-1])):
        over = [s for s in near if _foot(end, s.x) > 0]
        whole = [s for s in near if s.fractions[0] == 0]
        if len(whole) < 2:
            continue
        joint = float(end.at(np.array([0.0]))[0, 0])
        crowded = not end.transom and abs(whole[0].x - joint) < CROWDED * abs(whole[1].x - whole[0].x)
        first, last = (over or whole)[0], whole[1 if crowded else 0]
        if first is not last:
            laid += _laid(near, first, last, end, length, not over)
    return tuple(sorted((*sections, *laid), key=lambda s: s.x))


def _foot(end: EndCurve, x: float) -> float:
    foot = end.foot(x)
    return 0.0 if foot is None else foot[0]


def _laid(
    near: tuple[Section, ...], first: Section, whole: Section, end: EndCurve, length: float, from_stem: bool
) -> list[Section]:
    """Sections between `first`, the outermost station in the overhang, and `whole`, which every row crosses.

    from_stem: no station stands in the overhang, so that the stem itself has its say in what lies beyond the
    first station.
    """
    at_stern = near[0].x > near[-1].x
    panels = len(whole.fractions) - 1
    side = [_panel(near, end, k, from_stem, at_stern) for k in range(panels)]
    deck = None
    if whole.deck is not None:
        decked = sorted((s for s in near if s.deck is not None), key=lambda s: s.x)
        deck = through_points(
            np.array([s.x for s in decked]),
            np.array([s.deck.at(SHARE * s.deck.length) for s in decked if s.deck is not None]),
        )
    n = max(2, int(np.ceil(abs(whole.x - first.x) / (SPACING * length) - NEARLY_NOUGHT)))
    joint = end.at(np.array([0.0]))[0]
    keel = _keel_beyond(near, joint)
    out = []
    for x in np.linspace(first.x, whole.x, n + 1)[1:-1]:
        if abs(x - joint[0]) < abs(whole.x - first.x) / n / 3 or any(
            abs(s.x - x) < SPACING * length / 3 for s in near
        ):
            continue
        foot = end.foot(x) or (0.0, keel(x))
        yz = np.array([panel(x) for panel in side[int(foot[0]) :]])
        out.append(_section_at(float(x), yz, None if deck is None else deck(x), foot, panels))
    return out


def _panel(
    near: tuple[Section, ...], end: EndCurve, k: int, from_stem: bool, at_stern: bool
) -> Callable[[float], Array]:
    """Points (samples, 2) of panel k of a section at x: splines lengthwise through equal shares of what each
    station has of it.

    Where a station in the overhang stands wholly above it, it ends on the stem, point by point.
    """
    known = sorted((s for s in near if s.fractions[0] < k + 1 - 1e-9), key=lambda s: s.x)
    xs = np.array([s.x for s in known])
    points = np.array([_what_is_left(s, k) for s in known])
    outermost_lacks_it = near[0].fractions[0] >= k + 1 - 1e-9
    if from_stem:
        pull = _pull_of_stem(end, xs, points, k, at_stern)
        free = through_points(xs, points)
        return lambda x: free(x) + pull(x)
    if not outermost_lacks_it:
        return through_points(xs, points)
    curves = []
    for i, p in enumerate(end.at(k + SHARE)):
        apart = np.abs(xs - p[0]) > 1e-6
        knots, values = np.append(xs[apart], p[0]), np.vstack([points[apart, i], p[None, 1:]])
        order = np.argsort(knots)
        curves.append(through_points(knots[order], values[order]))
    return lambda x: np.array([c(x) for c in curves])


def _what_is_left(section: Section, k: int) -> Array:
    """Points (samples, 2) of panel k at a section, from its foot if that stands in it."""
    i = int(np.searchsorted(section.fractions, k + 1 - 1e-9))
    return section.side.at(section.arcs[i - 1] + SHARE * (section.arcs[i] - section.arcs[i - 1]))


def _pull_of_stem(
    end: EndCurve, xs: Array, points: Array, k: int, at_stern: bool
) -> Callable[[float], Array]:
    """What the splines of panel k (stations, samples, 2) over xs change by when they begin on the stem.

    High up, where the stem is a span away, it counts in full; near the keel, where it all but touches the
    first station, not at all.
    """
    nearest, second = (-1, -2) if at_stern else (0, 1)
    span = abs(xs[second] - xs[nearest])
    pulls: list[tuple[int, float, Spline, Spline]] = []
    for i, p in enumerate(end.at(k + SHARE)):
        gap = (xs[nearest] - p[0]) * (-1 if at_stern else 1) / span
        weight = float(np.clip((gap - 0.15) / 0.35, 0.0, 1.0))
        if weight > 0:
            knots, values = np.append(xs, p[0]), np.vstack([points[:, i], p[None, 1:]])
            order = np.argsort(knots)
            pulls.append(
                (i, weight, through_points(knots[order], values[order]), through_points(xs, points[:, i]))
            )

    def pull(x: float) -> Array:
        out = np.zeros(points.shape[1:])
        for i, weight, there, without in pulls:
            out[i] = weight * (there(x) - without(x))
        return out

    return pull


def _keel_beyond(near: tuple[Section, ...], joint: Array) -> Spline:
    """The keel line (half-breadth, height) from where the stem joins it along the whole stations."""
    feet = [(s.x, *s.side.samples[0]) for s in near if s.fractions[0] == 0] + [tuple(joint)]
    knots = np.array(sorted({f[0]: f for f in feet}.values()))
    return through_points(knots[:, 0], knots[:, 1:])


def _section_at(
    x: float, panels_yz: Array, deck_yz: Array | None, foot: tuple[float, Array], panels: int
) -> Section:
    """One section from its points (panels there, samples, 2), brought onto its foot (row coordinate,
    (half-breadth, height))."""
    start, there = foot[0], len(panels_yz)
    yz = panels_yz.copy()
    yz[0] += (foot[1] - yz[0, 0]) * (1.0 - SHARE)[:, None] ** 2
    joined = np.concatenate([yz[0], *(p[1:] for p in yz[1:])])
    curve = through(joined, tuple(k * (SAMPLES - 1) for k in range(1, there)))
    marks = curve.marks[[k * (SAMPLES - 1) for k in range(there + 1)]]
    fractions = np.concatenate([[start], np.arange(panels - there + 1.0, panels + 1)])
    return Section(x, curve, fractions, marks, None if deck_yz is None else through(deck_yz), laid=True)
