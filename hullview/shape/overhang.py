"""Sections between the stations in the overhang of a stem, so that rows which begin above a station and rows which begin below it agree.

A row of equal girth begins where it leaves the stem, and stations forward of that do not cross it. Rows on either side of
a station's foot would then know different things about the same bit of skin. Between the foremost such station and the first whole one we
therefore lay sections of our own (and beyond it, where the stem ends close by), by splines lengthwise through equal shares of what is left of each section.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from scipy.interpolate import CubicSpline

from hullview.shape.curve import through
from hullview.shape.ends import EndCurve
from hullview.shape.sections import Section

Array = np.ndarray

SPACING = 1 / 90
"""Distance between the sections laid in, as a share of the length of the boat."""
CROWDED = 0.35
"""Where the stem joins the keel line nearer to a whole station than this share of the span beyond it, sections are laid in that
span too: a row that has just left the stem would else overshoot on its way to the next station."""
SAMPLES = 21
"""Points of such a section in each panel."""


def with_overhangs_filled(sections: tuple[Section, ...], bow: EndCurve, stern: EndCurve) -> tuple[Section, ...]:
    """The sections, with more laid in where stations stand in the overhang of the bow's or the stern's stem."""
    length = sections[-1].x - sections[0].x
    laid: list[Section] = []
    for end, near in ((bow, sections), (stern, sections[::-1])):
        over = [s for s in near if _foot(end, s.x) > 0]
        whole = [s for s in near if s.fractions[0] == 0]
        if len(whole) < 2 or any(len(s.fractions) != len(whole[0].fractions) for s in over):
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

    from_stem: no station stands in the overhang, so that the stem itself has its say in what lies beyond the first station.
    """
    known = [s for s in near if len(s.fractions) == len(whole.fractions)]
    xs = np.array([s.x for s in known])
    order = np.argsort(xs)
    share = np.linspace(0.0, 1.0, SAMPLES)
    panels = len(whole.fractions) - 1
    points = np.array([[s.side.at(s.arcs[k] + share * (s.arcs[k + 1] - s.arcs[k])) for k in range(panels)] for s in known])
    side = CubicSpline(xs[order], points[order])
    deck = None
    if whole.deck is not None:
        deck = CubicSpline(xs[order], np.array([known[i].deck.at(share * known[i].deck.length) for i in order]))
    n = max(2, int(np.ceil(abs(whole.x - first.x) / (SPACING * length))))
    joint = end.at(np.array([0.0]))[0]
    keel = _keel_beyond(near, joint)
    pull = _pull_of_stem(end, xs[order], points[order], bool(order[0] > order[-1])) if from_stem else None
    out = []
    for x in np.linspace(first.x, whole.x, n + 1)[1:-1]:
        if abs(x - joint[0]) < abs(whole.x - first.x) / n / 3 or any(abs(s.x - x) < SPACING * length / 3 for s in near):
            continue
        yz = side(x) if pull is None else side(x) + pull(x)
        out.append(_section_at(float(x), yz, None if deck is None else deck(x), end.foot(x) or (0.0, keel(x)), panels))
    return out


def _pull_of_stem(end: EndCurve, xs: Array, points: Array, at_stern: bool) -> Callable[[float], Array]:
    """What the splines (stations, panels, samples, 2) over xs change by when they begin on the stem.

    High up, where the stem is a span away, it counts in full; near the keel, where it all but touches the first station, not at all.
    """
    panels = points.shape[1]
    share = np.linspace(0.0, 1.0, SAMPLES)
    nearest, second = (-1, -2) if at_stern else (0, 1)
    span = abs(xs[second] - xs[nearest])
    pulls: list[tuple[int, int, float, CubicSpline, CubicSpline]] = []
    for k in range(panels):
        on_stem = end.at(k + share)
        for i, p in enumerate(on_stem):
            gap = (xs[nearest] - p[0]) * (-1 if at_stern else 1) / span
            weight = float(np.clip((gap - 0.15) / 0.35, 0.0, 1.0))
            if weight > 0:
                knots, values = np.append(xs, p[0]), np.vstack([points[:, k, i], p[None, 1:]])
                order = np.argsort(knots)
                pulls.append((k, i, weight, CubicSpline(knots[order], values[order]), CubicSpline(xs, points[:, k, i])))

    def pull(x: float) -> Array:
        out = np.zeros(points.shape[1:])
        for k, i, weight, there, without in pulls:
            out[k, i] = weight * (there(x) - without(x))
        return out

    return pull


def _keel_beyond(near: tuple[Section, ...], joint: Array) -> CubicSpline:
    """The keel line (half-breadth, height) from where the stem joins it along the whole stations."""
    feet = [(s.x, *s.side.samples[0]) for s in near if s.fractions[0] == 0] + [tuple(joint)]
    knots = np.array(sorted({f[0]: f for f in feet}.values()))
    return CubicSpline(knots[:, 0], knots[:, 1:], bc_type="not-a-knot" if len(knots) > 2 else "natural")


def _section_at(x: float, panels_yz: Array, deck_yz: Array | None, foot: tuple[float, Array], panels: int) -> Section:
    """One section from its points (panels, samples, 2), brought onto its foot (row coordinate, (half-breadth, height))."""
    start = foot[0]
    yz = panels_yz.copy()
    yz[0] += (foot[1] - yz[0, 0]) * (1.0 - np.linspace(0.0, 1.0, SAMPLES))[:, None] ** 2
    joined = np.concatenate([yz[0], *(p[1:] for p in yz[1:])])
    corners = tuple(k * (SAMPLES - 1) for k in range(1, panels))
    curve = through(joined, corners)
    marks = curve.marks[[k * (SAMPLES - 1) for k in range(panels + 1)]]
    fractions = np.concatenate([[start], np.arange(1.0, panels + 1)])
    return Section(x, curve, fractions, marks, None if deck_yz is None else through(deck_yz), laid=True)
