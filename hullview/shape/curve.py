"""A plane or space curve through given points: cubic splines by chord length, broken at corners, measured by arc length."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.interpolate import CubicSpline

Array = np.ndarray

DENSE = 24
"""Samples for each span between two given points when arc length is measured."""


def chords(points: Array) -> Array:
    """Cumulative chord length along points (k, d) [m], starting at 0."""
    return np.concatenate([[0.0], np.cumsum(np.linalg.norm(np.diff(points, axis=0), axis=1))])


def spline(points: Array, mirrored: str = "") -> tuple[CubicSpline, float, float]:
    """Parametric spline through points (k, d) with chord-length parameter, and the range of its parameter.

    mirrored "start" or "end": the curve is fitted through the points and their mirror image in y (first coordinate),
    so that it crosses the centre line level there instead of making a slight vee.
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
    if len(both) == 2:
        return CubicSpline(t, both, bc_type="natural"), float(t[0]), float(t[1])
    return CubicSpline(t, both), float(t[low]), float(t[low + n])


_MIRROR = np.array([-1.0, 1.0])


@dataclass(frozen=True)
class Curve:
    """A curve made of splines between corners.

    pieces: (spline, first parameter, last parameter) each. samples (n, d) densely along it, arcs (n,) their arc length [m],
    piece_of, parameter (n,): which piece and where on it. marks: arc length of each given point [m].
    """

    pieces: tuple[tuple[CubicSpline, float, float], ...]
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


def through(points: Array, corners: tuple[int, ...] = (), level_start: bool = False, level_end: bool = False) -> Curve:
    """Curve through points (k, d), broken at the corner indices; level at the centre line at its start or end if asked.

    >>> c = through(np.array([[0.0, 0.0], [3.0, 4.0], [3.0, 9.0]]), corners=(1,))
    >>> round(c.length, 9), c.marks.tolist()
    (10.0, [0.0, 5.0, 10.0])
    """
    points = np.asarray(points, float)
    cuts = sorted({0, len(points) - 1, *corners})
    pieces, samples, parameters, arcs = [], [], [], []
    starts, marks = [0.0], [0.0]
    done = 0.0
    for first, last in zip(cuts[:-1], cuts[1:]):
        mirrored = "start" if level_start and first == 0 else "end" if level_end and last == len(points) - 1 else ""
        curve, t0, t1 = spline(points[first : last + 1], mirrored)
        knots = curve.x[(curve.x >= t0 - 1e-15) & (curve.x <= t1 + 1e-15)]
        t = np.concatenate([np.linspace(a, b, DENSE, endpoint=False) for a, b in zip(knots[:-1], knots[1:])] + [[t1]])
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
