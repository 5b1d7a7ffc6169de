"""A plane or space curve through given points: cubic splines by chord length, broken at corners, measured
by arc length."""

from __future__ import annotations

import itertools
from dataclasses import dataclass

import numpy as np

from hullview.arrays import Array
from hullview.shape.spline import Spline, through_points

DENSE = 24
"""Samples for each span between two given points when arc length is measured."""
STEPS = np.arange(DENSE) / DENSE
MOST_UNEQUAL = 3.5
"""How many times more a curve may turn off a chord at one end than at the other."""


def chords(points: Array) -> Array:
    """Cumulative chord length along points (k, d) [m], starting at 0."""
    return np.concatenate([[0.0], np.cumsum(np.linalg.norm(np.diff(points, axis=0), axis=1))])


def spline(points: Array, mirrored: str = "") -> tuple[Spline, float, float]:
    """Parametric spline through points (k, d) with chord-length parameter, and the range of its parameter.

    mirrored "start" or "end": the curve is fitted through the points and their mirror image in y (first
    coordinate), so that it crosses the centre line level there instead of making a slight vee.
    """
    if mirrored == "start":
        both = np.concatenate([points[:0:-1] * _MIRROR[: points.shape[1]], points])
    elif mirrored == "end":
        both = np.concatenate([points, points[-2::-1] * _MIRROR[: points.shape[1]]])
    else:
        both = points
    t = chords(both)
    n = len(points) - 1
    low = n if mirrored == "start" else 0
    curve = through_points(t, both)
    return curve if len(both) == 2 else _without_overshoot(curve), float(t[low]), float(t[low + n])


def _without_overshoot(curve: Spline) -> Spline:
    """The spline, turned where it would swing out beyond what the points ask for.

    `off` is the angle at each end of a chord between curve and chord. On a fair curve the two are opposite,
    and neither is many times the other: on an arc they are equal, where the curvature grows from nothing one
    is twice the other. Beside a straight run, such as a flat floor next to a tight bilge, a spline breaks
    that rule, and swings out past the run.
    """
    chord, slope = np.diff(curve.values, axis=0), curve.slopes
    way, here = np.arctan2(chord[:, 1], chord[:, 0]), np.arctan2(slope[:, 1], slope[:, 0])
    turn = _turned(np.diff(way))
    start, end = _turned(here[:-1] - way), _turned(here[1:] - way)
    angle = _within(start, end, turn)
    if angle is None:
        return curve
    away = way + angle[0]
    direction = np.append(away, way[-1] + angle[1][-1])
    speed = np.linalg.norm(slope, axis=1)[:, None]
    return Spline(curve.x, curve.values, speed * np.column_stack([np.cos(direction), np.sin(direction)]))


def _within(start: Array, end: Array, turn: Array) -> tuple[Array, Array] | None:
    """Angles off the chords at their starts and ends (n,), mended where they break the rule; None if they
    keep it. turn (n - 1,): between chords."""
    first = np.append(start, end)
    kept = np.clip(end[:-1], np.minimum(turn, 0.0), np.maximum(turn, 0.0))
    start, end = np.append(start[0], kept - turn), np.append(kept, end[-1])
    hollow = np.zeros(len(start), bool)
    hollow[1:-1] = turn[:-1] * turn[1:] < 0
    for _ in range(3):
        end = np.where(hollow, end, _beside(end, start))
        start[1:] = end[:-1] - turn
        start = np.where(hollow, start, _beside(start, end))
        end[:-1] = start[1:] + turn
    return None if np.abs(np.append(start, end) - first).max() < 1e-9 else (start, end)


def _beside(angle: Array, other: Array) -> Array:
    """Angles at one end of each chord held to what those at the other end allow."""
    room = MOST_UNEQUAL * np.abs(other)
    return np.where(angle * other > 0, 0.0, np.clip(angle, -room, room))


def _turned(angle: Array) -> Array:
    """Angles brought between -pi and pi."""
    return (angle + np.pi) % (2 * np.pi) - np.pi


_MIRROR = np.array([-1.0, 1.0])


@dataclass(frozen=True)
class Curve:
    """A curve made of splines between corners.

    pieces: (spline, first parameter, last parameter) each. samples (n, d) densely along it, arcs (n,) their
    arc length [m], piece_of, parameter (n,): which piece and where on it. marks: arc length of each given
    point [m].
    """

    pieces: tuple[tuple[Spline, float, float], ...]
    arcs: Array
    samples: Array
    parameter: Array
    starts: Array
    marks: Array

    @property
    def length(self) -> float:
        return float(self.arcs[-1])

    def at(self, arc: Array) -> Array:
        """Points (n, d) at arc lengths (n,) [m] from the start."""
        arc = np.clip(np.asarray(arc, float), 0.0, self.length)
        piece = np.clip(np.searchsorted(self.starts, arc, side="right") - 1, 0, len(self.pieces) - 1)
        out = np.empty((len(arc), self.samples.shape[1]))
        bounds = np.searchsorted(self.arcs, self.starts)
        for k, (curve, _, _) in enumerate(self.pieces):
            mine = piece == k
            if mine.any():
                first = bounds[k] if k == 0 else bounds[k] + 1
                last = (bounds[k + 1] + 1) if k + 1 < len(self.pieces) else len(self.arcs)
                t = np.interp(arc[mine], self.arcs[first:last], self.parameter[first:last])
                out[mine] = curve(t)
        return out


def through(
    points: Array, corners: tuple[int, ...] = (), level_start: bool = False, level_end: bool = False
) -> Curve:
    """Curve through points (k, d), broken at the corner indices; level at the centre line at its start or end
    if asked.

    >>> c = through(np.array([[0.0, 0.0], [3.0, 4.0], [3.0, 9.0]]), corners=(1,))
    >>> round(c.length, 9), c.marks.round(9).tolist()
    (10.0, [0.0, 5.0, 10.0])
    """
    points = np.asarray(points, float)
    cuts = sorted({0, len(points) - 1, *corners})
    pieces, samples, parameters, arcs = [], [], [], []
    starts, marks = [0.0], [0.0]
    done = 0.0
    for first, last in itertools.pairwise(cuts):
        mirrored = (
            "start" if level_start and first == 0 else "end" if level_end and last == len(points) - 1 else ""
        )
        curve, t0, t1 = spline(points[first : last + 1], mirrored)
        knots = curve.x[(curve.x >= t0 - 1e-15) & (curve.x <= t1 + 1e-15)]
        t = np.append(knots[:-1, None] + np.diff(knots)[:, None] * STEPS, t1)
        p = curve(t)
        s = done + chords(p)
        pieces.append((curve, t0, t1))
        samples.append(p)
        parameters.append(t)
        arcs.append(s)
        marks.extend(s[DENSE::DENSE].tolist())
        done = float(s[-1])
        starts.append(done)
    return Curve(
        tuple(pieces),
        np.concatenate(arcs),
        np.concatenate(samples),
        np.concatenate(parameters),
        np.array(starts[:-1]),
        np.array(marks),
    )
