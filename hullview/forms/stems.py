"""A stem in the centre plane: its face, the line where the planking's inside meets its side, its back, and
the bevel between them all along."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from hullview.arrays import Array
from hullview.boat.model import Run
from hullview.forms.skin import Rows
from hullview.shape.curve import Curve, chords
from hullview.shape.vectors import unit
from hullview.weight.bend import form_radii
from hullview.weight.customs import customs

STEP = 0.002
"""Between points of a stem's lines [m]."""
NEAR_END = 0.15
"""A row that crosses a buttock further from its end than this runs along it, and says nothing of the stem
[m]."""
FAIRED_BY = 3
"""Degree of the curve that fairs the front of a stem."""


@dataclass(frozen=True)
class StemBevel:
    """At a place of the profile: distance from its foot [m], point (aft, height) [m], angle of the planking
    to the centre plane square to the profile [rad], and how far behind the profile the planking's insides
    meet and reach the stem's side [m] (nan: the back comes first)."""

    along: float
    at: tuple[float, float]
    angle: float
    middle: float
    bearding: float


@dataclass(frozen=True)
class Stem:
    """The stem at one end.

    Parameters
    ----------
    name : "bow stem" or "stern stem"
    run : Run or None
        The inner stem of the build; None where it has none.
    profile : (k, 2)
        Its face, aft and height, from the foot up [m]; siding: width of that face, where the planking ends
        [m].
    middle : (k, 2)
        Where the insides of the planking meet, or its end where the siding is too wide for them to meet: the
        front of the inner stem.
    bearding : (n, 2)
        Where the planking's inside meets the stem's side, half its width off the centre line.
    back : (k, 2)
        The middle line moved in by the stem's depth from front to back.
    width, moulded : float
        Across the boat and from front to back [m].
    bevels : tuple of StemBevel
        Each 50 mm.
    blank : float
        Length of its longest ply, the front one [m]; plies and ply [m].
    spring : (float, float)
        Share of the curvature that it loses when let go, by both rules: 1 / plies^2 and 1 / plies.
    outer : (k, 2) or None
        Front of an outer stem, where the build has one on the profile.
    """

    name: str
    run: Run | None
    profile: Array
    siding: float
    middle: Array
    bearding: Array
    back: Array
    width: float
    moulded: float
    bevels: tuple[StemBevel, ...]
    plies: int
    ply: float
    spring: tuple[float, float]
    form_radius: tuple[float, float]
    outer: Array | None = None

    @property
    def blank(self) -> float:
        """Length of the longest ply [m]."""
        return float(chords(self.middle)[-1])

    @property
    def label(self) -> str:
        """As the builder calls it."""
        return (self.run.name if self.run is not None else None) or f"inner {self.name}"

    def sprung(self, rule: int) -> Array:
        """The back as the form has to be for a stem that is let go: bent tighter by what springs out, about
        its foot (k, 2) [m].

        Each turn of the line is divided by what is kept of it, 1 - 1/n^2 (rule 0) or 1 - 1/n (rule 1) for n
        plies.
        """
        kept = max(1.0 - self.spring[rule], 1e-3)
        step = np.diff(self.back, axis=0)
        way = np.unwrap(np.arctan2(step[:, 1], step[:, 0]))
        middle = len(way) // 2
        turned = way[middle] + (way - way[middle]) / kept
        length = np.linalg.norm(step, axis=1)
        new = np.column_stack([np.cos(turned), np.sin(turned)]) * length[:, None]
        line = np.concatenate([[[0.0, 0.0]], np.cumsum(new, axis=0)])
        return np.asarray(line + (self.back[middle] - line[middle]))


def stem_of(
    name: str,
    curve: Curve,
    siding: float,
    rows: Rows,
    run: Run | None,
    outside: Run | None,
    width: float | None = None,
) -> Stem:
    """The lines of a stem.

    Parameters
    ----------
    name : str
    curve : Curve
        Its profile (aft, height) from the keel line up [m].
    siding : float
    rows : Rows
        The planking's inside, the panels of the side as one.
    run, outside : Run or None
        The inner stem, whose plies lie along the profile and whose depth goes across the boat, and an outer
        one.
    width : float, optional
        Across the boat, where no run gives it [m].
    """
    bow = name == "bow stem"
    profile = curve.at(np.linspace(0.0, curve.length, max(8, int(curve.length / STEP))))
    across = (run.depth or 0.0) if run is not None else (width or siding)
    thick = (
        0.0
        if run is None
        else (run.plies * (run.ply_thickness or 0.0) if run.kind == "lamination" else run.thickness or 0.0)
    )
    plies = run.plies if run is not None and run.kind == "lamination" else 1
    front = buttock_line(rows, 0.0, bow)
    bearding = buttock_line(rows, across / 2, bow)
    inward = _inward(profile, bow)
    reach = np.array([_ahead(p, v, front) for p, v in zip(profile, inward)])
    middle = profile + _faired(reach)[:, None] * inward
    back = _offset(middle, _inward(middle, bow), thick)
    bevels = _bevels(curve, rows, bow, front, bearding, across, thick)
    bend = _tightest(back)
    outer = None
    if outside is not None:
        size = (
            outside.plies * (outside.ply_thickness or 0.0)
            if outside.kind == "lamination"
            else outside.thickness or 0.0
        )
        outer = _offset(profile, -inward, size)
    return Stem(
        name, run, profile, siding, middle, bearding, back, across, thick, bevels, plies, thick / plies,
        (1 / plies**2, 1 / plies), form_radii(bend, plies), outer,
    )  # fmt: skip


def _faired(reach: Array) -> Array:
    """How far behind the profile the stem's front lies (k,) [m]: fair all along, and nowhere behind where
    the planking's insides meet, so that there is wood to plane."""
    known = ~np.isnan(reach)
    if known.sum() < FAIRED_BY + 2:
        return np.zeros(len(reach))
    s = np.linspace(-1.0, 1.0, len(reach))
    held = np.maximum(np.interp(s, s[known], reach[known]), 0.0)
    fair = np.polyval(np.polyfit(s, held, FAIRED_BY), s)
    return np.asarray(np.maximum(fair - max(float((fair - held).max()), 0.0), 0.0))


def buttock_line(rows: Rows, off: float, bow: bool) -> Array:
    """Where the inside crosses a buttock near one end (n, 2), aft and height, from the keel up: the end of
    a row where that lies past it."""
    found = []
    y = rows.values[..., 1]
    for r in range(len(y)):
        line = y[r] if bow else y[r, ::-1]
        points = rows.values[r, :, :3] if bow else rows.values[r, ::-1, :3]
        beyond = np.flatnonzero(line > off)
        if not len(beyond):
            continue
        i = int(beyond[0])
        if np.linalg.norm(points[i] - points[0]) > NEAR_END:
            continue
        if i == 0:
            found.append(points[0])
            continue
        # the row is nearly straight over one column this close to its end; a parabola through three points
        # says how nearly
        a, b, c = points[i - 1], points[i], points[min(i + 1, len(points) - 1)]
        share = (off - a[1]) / (b[1] - a[1])
        bend = (c - 2 * b + a) / 2 if i + 1 < len(points) else np.zeros(3)
        for _ in range(4):
            at = a + share * (b - a) + share * (share - 1) * bend
            slope = b[1] - a[1] + (2 * share - 1) * bend[1]
            share = share - (at[1] - off) / slope if abs(slope) > 1e-12 else share
        share = float(np.clip(share, 0.0, 1.0))
        found.append(a + share * (b - a) + share * (share - 1) * bend)
    line = np.array(found)[:, [0, 2]] if found else np.zeros((0, 2))
    apart = (
        np.append(True, np.linalg.norm(np.diff(line, axis=0), axis=1) > 1e-6)
        if len(line)
        else np.zeros(0, bool)
    )
    return np.asarray(line[apart])


def _inward(line: Array, bow: bool) -> Array:
    """Unit normals (k, 2) of a line in the centre plane that runs up, pointing into the boat."""
    step = np.gradient(line, axis=0)
    normal = np.column_stack([step[:, 1], -step[:, 0]])
    normal = unit(normal)
    return normal if bow else -normal


def _ahead(point: Array, way: Array, line: Array) -> float:
    """How far from a point along a way a polyline (n, 2) is met, the nearest; nan if it is not within 300
    mm."""
    away = line - point
    side = away[:, 0] * way[1] - away[:, 1] * way[0]
    ahead = away @ way
    crossed = np.flatnonzero((side[:-1] <= 0) != (side[1:] <= 0))
    if not len(crossed):
        return float("nan")
    share = side[crossed] / (side[crossed] - side[crossed + 1])
    met = ahead[crossed] + share * (ahead[crossed + 1] - ahead[crossed])
    met = met[(met > -0.02) & (met < 0.3)]
    return float(met[np.abs(met).argmin()]) if len(met) else float("nan")


def _offset(line: Array, way: Array, distance: float) -> Array:
    """A line moved along unit vectors, without the loops that a turn tighter than the distance would make."""
    moved = line + distance * way
    step, was = np.diff(moved, axis=0), np.diff(line, axis=0)
    onward = np.append(True, (step * was).sum(axis=1) > 0)
    return np.asarray(moved[onward])


def _bevels(
    curve: Curve, rows: Rows, bow: bool, front: Array, bearding: Array, across: float, thick: float
) -> tuple[StemBevel, ...]:
    """The planking's angle to the centre plane, square to the profile, each 50 mm."""
    every = customs()["bevel_every"]
    count = int(curve.length / every)
    arcs = (
        np.append(np.arange(count + 1) * every, curve.length)
        if curve.length - count * every > 0.2 * every
        else np.arange(count + 1) * every
    )
    points = curve.at(arcs)
    little = 1e-4
    ways = curve.at(np.minimum(arcs + little, curve.length)) - curve.at(np.maximum(arcs - little, 0.0))
    found = []
    ends = rows.values[:, 0 if bow else -1]
    for s, p, way in zip(arcs, points, ways):
        way = unit(way)
        inward = np.array([way[1], -way[0]]) * (1 if bow else -1)
        middle, bear = _ahead(p, inward, front), _ahead(p, inward, bearding)
        near = int(np.linalg.norm(ends[:, [0, 2]] - p, axis=1).argmin())
        n = ends[near, 3:]
        angle = float(np.arctan2(abs(n[[0, 2]] @ inward), abs(n[1])))
        if not np.isnan(middle) and not np.isnan(bear) and bear - middle > 1e-4 and middle >= 0:
            angle = float(np.arctan2(across / 2, bear - middle))
        beyond = np.isnan(bear) or (thick > 0 and bear > max(middle, 0.0) + thick)
        found.append(
            StemBevel(float(s), (float(p[0]), float(p[1])), angle, middle, float("nan") if beyond else bear)
        )
    return tuple(found)


def _tightest(line: Array) -> float:
    """The least radius of a line (k, 2) [m], over 30 mm about each point."""
    step = np.diff(line, axis=0)
    size = np.linalg.norm(step, axis=1)
    if len(size) < 8:
        return float("inf")
    way = np.unwrap(np.arctan2(step[:, 1], step[:, 0]))
    s = np.cumsum(size)
    over = 0.03
    at = np.linspace(s[0], max(s[-1] - over, s[0]), 60)
    turn = np.abs(np.interp(at + over, s, way) - np.interp(at, s, way))
    return float(over / max(turn.max(), 1e-9))


def height_at(line: Array, x: float) -> float:
    """Greatest height of a line (k, 2) at a position aft [m]; nan where it does not reach there."""
    a, b = line[:-1], line[1:]
    within = (np.minimum(a[:, 0], b[:, 0]) <= x) & (np.maximum(a[:, 0], b[:, 0]) >= x)
    if not within.any():
        return float("nan")
    a, b = a[within], b[within]
    run = b[:, 0] - a[:, 0]
    share = np.where(np.abs(run) > 1e-12, (x - a[:, 0]) / np.where(np.abs(run) > 1e-12, run, 1.0), 1.0)
    return float((a[:, 1] + share * (b[:, 1] - a[:, 1])).max())
