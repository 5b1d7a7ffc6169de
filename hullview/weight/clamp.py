"""A stick along the sheer inside the planking as it is glued up on the forms: how thick it comes out, and how
far it stands proud of the sheer for the deck."""

from __future__ import annotations

import numpy as np

from hullview.arrays import Array
from hullview.boat.model import Run
from hullview.shape.hull import Hull
from hullview.shape.spline import slopes_of_many
from hullview.shape.vectors import unit
from hullview.weight.customs import customs

ROWS = 8
"""Rows of a skin by which it is followed away from the sheer."""
LAST = 0.01
"""Share of the length at either end where side and deck turn into the stems, and no clamp is fitted by their
angle."""


def section_of(run: Run) -> tuple[float, int, float]:
    """Thickness square to the side as it lies in its notch, plies, thickness of one [m]."""
    shop = customs()
    plies = run.plies if run.kind == "lamination" else 1
    ply = (run.ply_thickness if run.kind == "lamination" else run.thickness) or 0.0
    return plies * ply + (plies - 1) * shop["glue_line"] + shop["release_tape"], plies, ply


def top_allowance(thickness: float, deck_angle: Array) -> float:
    """How far a clamp is to stand proud of the sheer: thickness x tan of the deck's rise inboard of square to
    the side at its greatest, 1 mm at least.

    >>> top_allowance(0.02, np.radians([84.0, 117.0])) > 0.0101, top_allowance(0.02, np.radians([80.0]))
    (True, 0.001)
    """
    rise = np.nanmax(np.append(deck_angle - np.pi / 2, -1.0))
    return max(customs()["top_at_least"], thickness * float(np.tan(min(max(rise, 0.0), np.radians(60)))))


def ripped_over(run: Run, hull: Hull) -> float:
    """How much deeper than its finished depth the plies of a run are ripped [m]: the top allowance of what is
    glued up inside along the sheer of a decked boat; nothing for any other run, nor without a deck to plane
    it to."""
    if run.along != "sheer" or run.side != "inside" or hull.deck is None or hull.side is None:
        return 0.0
    return top_allowance(section_of(run)[0], _deck_angles(hull.side.points, hull.deck.points))


def _deck_angles(side: Array, deck: Array) -> Array:
    """Angle between side and deck inside the boat along the sheer (k,) [rad], from the grids of both: the
    last row of the one is the first of the other."""
    along = np.gradient(side[-1], axis=0)
    down, inboard = (_leaving(rows, along) for rows in (side[::-1][:ROWS], deck[:ROWS]))
    x = side[-1, :, 0]
    within = np.abs(x - x.mean()) < (0.5 - LAST) * np.ptp(x)
    return np.asarray(np.arccos(np.clip((down * inboard).sum(axis=1), -1.0, 1.0))[within])


def _leaving(rows: Array, along: Array) -> Array:
    """Unit vectors (k, 3) square to the sheer in which rows (n, k, 3) of a skin leave it."""
    columns = rows.swapaxes(0, 1)
    knots = np.cumsum(np.linalg.norm(np.diff(columns, axis=1, prepend=columns[:, :1]), axis=2), axis=1)
    knots = knots + 1e-9 * np.arange(len(rows))  # where a skin ends in a point its rows coincide
    way = slopes_of_many(knots, columns)[:, 0]
    return unit(
        way - (way * along).sum(axis=1, keepdims=True) / (along**2).sum(axis=1, keepdims=True) * along
    )
