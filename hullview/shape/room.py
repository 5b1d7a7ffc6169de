"""The room inside a boat's planking: how far out, how low and how high something can stand at a place on
board."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from hullview.arrays import Array
from hullview.shape.hull import Hull, SurfaceGrid

THINNEST = 0.002
"""Where no planking is scheduled the inside still lies this far within the skin [m]."""
_BEYOND = -10.0
"""A half-breadth on the other side of any boat [m]."""


@dataclass(frozen=True)
class Room:
    """The inside of the planking, starboard half. Everything takes arrays of one shape and gives arrays of
    that shape, in metres.

    Attributes
    ----------
    side : Array
        (rows, columns, 3) [m], keel to sheer, each row from bow to stern; the inside face of the planking.
    deck : Array or None
        The same of the deck, sheer to centre line; None for an open boat, which has no top.
    fore, aft : Array
        (k, 2) [m]: height and the place aft of the foremost and the aftmost that the inside reaches at that
        height.
    """

    side: Array
    deck: Array | None
    fore: Array
    aft: Array

    def half_breadth(self, x: Array, z: Array) -> Array:
        """From the centre line to the planking's inside; over an open sheer the sheer's; nan under the
        bottom, over the deck and past the ends."""
        x, z = np.broadcast_arrays(np.asarray(x, float), np.asarray(z, float))
        flat_x, flat_z = x.ravel(), z.ravel()
        y_of, z_of = _across(self.side, flat_x)
        room = _crossing(z_of, y_of, flat_z, np.fmax)
        over = flat_z > _last(z_of)
        room = np.where(over & np.isnan(room), _last(y_of), room)
        room = np.where(room < 0, 0.0, room)
        if self.deck is not None:
            y_deck, z_deck = _rows_at(self.deck, flat_x)
            under = _crossing(z_deck, y_deck, flat_z, np.fmax)
            room = np.where(over, under, np.fmin(room, under))
        within = (flat_x >= _reach(self.fore, flat_z)) & (flat_x <= _reach(self.aft, flat_z))
        return np.where(within, room, np.nan).reshape(x.shape)

    def bottom(self, x: Array, y: Array) -> Array:
        """Height of the planking's inside at a half-breadth; nan past the ends and outside the sides."""
        y_of, z_of = _across(self.side, np.asarray(x, float))
        return _crossing(y_of, z_of, np.abs(y), np.fmin)

    def top(self, x: Array, y: Array) -> Array:
        """Height of the deck's inside; infinite for an open boat."""
        x = np.asarray(x, float)
        if self.deck is None:
            return np.full(x.shape, np.inf)
        y_of, z_of = _across(self.deck[::-1], x)
        height = _crossing(y_of, z_of, np.abs(y), np.fmax)
        return np.where(np.isnan(height), _last(z_of), height)

    def sheer(self, x: Array) -> Array:
        """Height of the top of the planking's inside at a place aft."""
        return np.asarray(np.interp(x, self.side[-1, :, 0], self.side[-1, :, 2]))

    def kept_in(self, points: Array) -> Array:
        """Points (n, 3), each moved aft or forward, up or down and towards the centre line until it lies
        within the planking."""
        x, side, z = points[:, 0], np.sign(points[:, 1]), points[:, 2]
        x = np.clip(x, _reach(self.fore, z), _reach(self.aft, z))
        y_of, z_of = _across(self.side, x)
        y = np.minimum(np.abs(points[:, 1]), np.maximum(_widest(y_of), 0.0))
        z = np.fmax(z, _crossing(y_of, z_of, y, np.fmin))
        z = np.minimum(z, self.top(x, y))
        room = _crossing(z_of, y_of, z, np.fmax)
        room = np.where(np.isnan(room) & (z > _last(z_of)), _last(y_of), room)
        return np.column_stack([x, side * np.fmin(y, np.maximum(room, 0.0)), z])


def room_of(hull: Hull, planking: float, deck: float = 0.0, transom: float = 0.0) -> Room | None:
    """The room inside planking, deck and transom of these thicknesses [m]; None for a hull that was read
    as a mesh, which has no rows."""
    if hull.side is None:
        return None
    side = _drawn_in(hull.side, planking)
    top = None if hull.deck is None else _drawn_in(hull.deck, deck or planking)
    given = hull.side.points
    has_transom = "transom" in hull.regions
    ends = [given[:, 0][:, [2, 0]], given[:, -1][:, [2, 0]]]
    if has_transom and np.ptp(given[:, -1, 1]) > np.ptp(given[:, 0, 1]):
        ends[1] = ends[1] - [0.0, max(transom, THINNEST) * _slope(ends[1])]
    elif has_transom:
        ends[0] = ends[0] + [0.0, max(transom, THINNEST) * _slope(ends[0])]
    fore, aft = (end[np.argsort(end[:, 0], kind="stable")] for end in ends)
    return Room(side, top, fore, aft)


def _slope(end: Array) -> float:
    """How far apart along the boat two faces of a raked board are, over its thickness."""
    rise, run = np.ptp(end, axis=0)
    return float(np.hypot(rise, run) / max(rise, 1e-9))


def _drawn_in(grid: SurfaceGrid, thickness: float) -> Array:
    inner = grid.points - max(thickness, THINNEST) * grid.normals
    inner[..., 0] = np.maximum.accumulate(inner[..., 0], axis=1)
    return inner


def _reach(end: Array, z: Array) -> Array:
    return np.asarray(np.interp(z, end[:, 0], end[:, 1]))


def _rows_at(rows: Array, x: Array) -> tuple[Array, Array]:
    """Half-breadth and height (rows, n) of every row at places aft (n,), nan where a row does not reach."""
    y_of, z_of = np.empty((2, len(rows), len(x)))
    for i, row in enumerate(rows):
        y_of[i] = np.interp(x, row[:, 0], row[:, 1], left=np.nan, right=np.nan)
        z_of[i] = np.interp(x, row[:, 0], row[:, 2], left=np.nan, right=np.nan)
    return y_of, z_of


def _across(rows: Array, x: Array) -> tuple[Array, Array]:
    """The same with a row more (rows + 1, n) that carries the lowest row there over the centre line, so
    that every line up crosses one."""
    y_of, z_of = (np.concatenate([np.full((1, len(x)), np.nan), part]) for part in _rows_at(rows, x))
    lowest, each = np.isfinite(z_of).argmax(axis=0), np.arange(len(x))
    found = lowest > 0
    y_of[lowest[found] - 1, each[found]] = _BEYOND
    z_of[lowest[found] - 1, each[found]] = z_of[lowest[found], each[found]]
    return y_of, z_of


def _last(values: Array) -> Array:
    """Of each column (rows, n) its last entry."""
    return np.asarray(values[-1])


def _widest(y_of: Array) -> Array:
    return np.asarray(np.fmax.reduce(y_of, axis=0))


def _crossing(of: Array, gives: Array, value: Array, which: Callable[..., Array]) -> Array:
    """Where the polylines (rows, n) pass `value` (n,) in the coordinate `of`, the coordinate `gives`; of
    several crossings the one that `which` (np.fmin or np.fmax) picks; nan where there is none."""
    start, end = of[:-1] - value, of[1:] - value
    with np.errstate(invalid="ignore", divide="ignore"):
        hit = start * end <= 0
        share = np.where(start == end, 0.0, start / (start - end))
        found = np.where(hit, gives[:-1] + share * (gives[1:] - gives[:-1]), np.nan)
    return np.asarray(which.reduce(found, axis=0))  # type: ignore[attr-defined]
