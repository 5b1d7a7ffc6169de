"""Where the planking ends: a stem of some siding along its profile, or a transom on its raked plane."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from hullview.arrays import Array
from hullview.boat.model import End, Table
from hullview.errors import ShapeError
from hullview.shape.curve import Curve, through
from hullview.shape.sections import POINT, NamedLines, StationPoints, make_section, station_points

ON_STEM = 0.002
"""An offset this near the stem's profile lies on it [m]."""
TAPER = 0.25
"""Share of the profile, from the keel line up, over which the siding runs out where the planking closes on
the centre line."""
AT_FOOT = 1e-3
"""A chine carried on to the stem that passes over its foot by no more than this, or under it, runs into
the foot [m]."""
ROUNDED = 1e-9
"""Nearer than this is a difference of rounding [m]."""
APART = 0.006
"""A keel height further than this from the stem's profile contradicts it [m]; nearer, the profile is led
through it."""
NEAR_POINT = 0.012
"""A profile point this near to such a keel height gives way to it [m]."""


@dataclass(frozen=True)
class EndCurve:
    """The edge of the planking at one end, from the keel line up to the sheer.

    transom: closed by a transom, else by the flat of the siding. fractions, arcs: row coordinate against arc
    length. curve: (x, z) of a stem or (y, z) of a transom; breadth: half-breadth [m] against arc length for a
    stem. rake: for a transom, (z, x) of its profile, z rising. deck: curve of (y, z) from the sheer to the
    centre. takes_column: the end column of the table lies on it, and is no station of its own.
    """

    transom: bool
    curve: Curve
    fractions: Array
    arcs: Array
    breadth: tuple[Array, Array] | None
    rake: tuple[Array, Array] | None
    deck: Curve | None
    takes_column: bool

    def at(self, g: Array) -> Array:
        """Points (n, 3) [m] at row coordinates g."""
        arc = np.interp(g, self.fractions, self.arcs)
        p = self.curve.at(arc)
        if self.transom:
            return np.column_stack([self.raked(p[:, 1]), p])
        assert self.breadth is not None
        return np.column_stack([p[:, 0], np.interp(arc, *self.breadth), p[:, 1]])

    def deck_at(self, fraction: Array) -> Array:
        """Points (n, 3) of the deck's edge on this end, from the sheer to the centre line."""
        assert self.deck is not None
        yz = self.deck.at(np.asarray(fraction) * self.deck.length)
        x = self.raked(yz[:, 1]) if self.transom else np.full(len(yz), self.curve.samples[-1, 0])
        return np.column_stack([x, yz])

    def foot(self, x: float) -> tuple[float, Array] | None:
        """Row coordinate and (half-breadth, height) of a stem where it passes position x, or None if the
        keel line does."""
        if self.transom:
            return None
        s = self.curve.samples
        inside = (s[:-1, 0] - x) * (s[1:, 0] - x) <= 0
        if not inside.any():
            return None
        i = int(np.flatnonzero(inside)[0])
        step = s[i + 1, 0] - s[i, 0]
        f = 0.0 if step == 0 else (x - s[i, 0]) / step
        arc = self.curve.arcs[i] + f * (self.curve.arcs[i + 1] - self.curve.arcs[i])
        z = s[i, 1] + f * (s[i + 1, 1] - s[i, 1])
        assert self.breadth is not None
        return float(np.interp(arc, self.arcs, self.fractions)), np.array([np.interp(arc, *self.breadth), z])

    def raked_normal(self, z: Array) -> Array:
        """Unit normals (n, 3) of a transom at heights z, looking aft."""
        lean = self.lean(z)
        return np.asarray(
            np.column_stack([np.ones(len(z)), np.zeros(len(z)), -lean]) / np.hypot(1.0, lean)[:, None]
        )

    def lean(self, z: Array) -> Array:
        """How far a transom stands aft for each metre up, at heights z (n,)."""
        return np.asarray((self.raked(z + 1e-6) - self.raked(z - 1e-6)) / 2e-6)

    def raked(self, z: Array) -> Array:
        """Position of the transom at heights z, its profile carried on straight beyond its ends."""
        assert self.rake is not None
        zs, xs = self.rake
        x = np.interp(z, zs, xs)
        if len(zs) > 1:
            low, high = (xs[1] - xs[0]) / (zs[1] - zs[0]), (xs[-1] - xs[-2]) / (zs[-1] - zs[-2])
            x = np.where(z < zs[0], xs[0] + (z - zs[0]) * low, x)
            x = np.where(z > zs[-1], xs[-1] + (z - zs[-1]) * high, x)
        return np.asarray(x)


def make_end(
    table: Table, lines: NamedLines, end: End, which: str, order: tuple[str, ...], shares: Array
) -> EndCurve:
    """The end curve at the "bow" or the "stern".

    A transom, or a plumb end with a shape of its own, takes the end column as its section; a stem takes its
    profile, and from the table what lies on it. shares: of the chines at the nearest station.
    """
    j = 0 if which == "bow" else len(table.stations) - 1
    if end.transom or end.profile is None:
        points = station_points(table, lines, j)
        if points is None:
            raise ShapeError(
                f"the {which} has no stem profile, and its end"
                f" column lacks the sheer or the keel. Give [hull.{which}] profile, from the sheer down to"
                " the keel line, or fill in the column.",
                place=f"{table.file} column {table.column(j)}",
            )
        return _from_column(points, end, which, order, shares)
    return _from_profile(table, lines, end, which, j, order, shares)


def _from_column(
    points: StationPoints, end: End, which: str, order: tuple[str, ...], shares: Array
) -> EndCurve:
    if end.profile is None:
        rake = (np.array([0.0]), np.array([points.x]))
    else:
        p = np.array(sorted(dict.fromkeys((z, x) for x, z in end.profile)))
        if len(p) < 2 or (np.diff(p[:, 0]) <= 0).any():
            raise ShapeError(
                f"[hull.{which}] profile: a transom needs two points or more at different heights, to give"
                " its rake."
            )
        rake = (p[:, 0], p[:, 1])
    half = end.siding / 2
    if not end.transom and (points.side[:, 0] <= max(half, 1e-9)).all():
        side = points.side.copy()
        side[:, 0] = np.maximum(side[:, 0], half)
        points = StationPoints(points.x, side, points.chines, points.deck, "vee", points.deck_shape)
    section = make_section(points, order, shares)
    return EndCurve(True, section.side, section.fractions, section.arcs, None, rake, section.deck, True)


def _from_profile(
    table: Table, lines: NamedLines, end: End, which: str, j: int, order: tuple[str, ...], shares: Array
) -> EndCurve:
    assert end.profile is not None
    p = np.array(end.profile, float)[::-1]
    twice = np.flatnonzero((np.diff(p, axis=0) == 0).all(axis=1))
    corners = tuple(int(t) - k for k, t in enumerate(twice))
    p = np.delete(p, twice, axis=0)
    if len(p) < 2 or p[-1, 1] <= p[0, 1]:
        raise ShapeError(
            f"[hull.{which}] profile must run from the sheer down to the keel line, two points or more."
        )
    curve = through(*_through_keel(table, lines, p, corners, which))
    arcs_on, half_on, on_stem = _column_on_stem(table, lines, curve, which, j)
    breadth_arcs, breadth = _stem_breadth(end, curve, arcs_on, half_on, _keel_breadth(lines, which))
    fractions, arcs = [0.0], [0.0]
    for k, name in enumerate(order):
        arc = _chine_on_stem(table, lines.chines[name], curve, which)
        arc = shares[k] * curve.length if arc is None else arc
        fractions.append(k + 1.0)
        arcs.append(min(max(arc, arcs[-1] + 1e-6), curve.length - 1e-6))
    fractions.append(len(order) + 1.0)
    arcs.append(curve.length)
    deck = None
    if lines.deck is not None:
        top = curve.samples[-1, 1]
        centre = lines.deck[j] if on_stem and not np.isnan(lines.deck[j]) else top
        width = float(np.interp(curve.length, breadth_arcs, breadth))
        # Where it comes to a point there is no room for a camber: the deck's centre line is the sheer.
        deck = through(
            np.array([[max(width, POINT), top], [0.0, max(centre, top) if width > POINT else top]])
        )
    return EndCurve(
        False, curve, np.array(fractions), np.array(arcs), (breadth_arcs, breadth), None, deck, on_stem
    )


def _keel_breadth(lines: NamedLines, which: str) -> float:
    """Half-breadth of the keel line at the station next to an end [m]: 0 where the planking meets on the
    centre line."""
    y = lines.keel[:, 0] if which == "bow" else lines.keel[::-1, 0]
    z = lines.keel[:, 1] if which == "bow" else lines.keel[::-1, 1]
    return float(y[np.flatnonzero(~np.isnan(z))[0]]) if (~np.isnan(z)).any() else 0.0


def _stem_breadth(end: End, curve: Curve, arcs_on: Array, half_on: Array, foot: float) -> tuple[Array, Array]:
    """Half-breadth of the stem's face against arc length: the siding, or what the table says; it runs out
    into the keel line's over the last of the profile, as the planking closes there."""
    half, taper = end.siding / 2, TAPER * curve.length
    arcs, breadth = [0.0, taper], [foot if half > foot else half, half]
    for a, h in zip(arcs_on, half_on):
        if a > taper:
            arcs.append(a)
            breadth.append(h)
    return np.array(arcs), np.array(breadth)


def _through_keel(
    table: Table, lines: NamedLines, p: Array, corners: tuple[int, ...], which: str
) -> tuple[Array, tuple[int, ...]]:
    """The profile (k, 2), keel line first, led through the keel heights that the table gives in the stem's
    overhang."""
    curve = through(p, corners)
    sharp = p[list(corners)]
    for x, z in zip(table.stations, lines.keel[:, 1]):
        s = curve.samples
        off = np.where(
            np.abs(s[:, 0] - x) < ROUNDED, 0.0, s[:, 0] - x
        )  # a plumb stem at a station stands on it, whatever the rounding
        crossing = np.flatnonzero(off[:-1] * off[1:] < 0)
        if np.isnan(z) or not len(crossing):
            continue
        i = int(crossing[0])
        on = s[i, 1] + (x - s[i, 0]) / (s[i + 1, 0] - s[i, 0]) * (s[i + 1, 1] - s[i, 1])
        if abs(z - on) > APART:
            raise ShapeError(
                f"the profile of the {which} passes this station at {on * 1000:.0f} mm. Make the two agree,"
                " or leave the cell empty: the profile is then the keel line here.",
                place=f"{table.file} column {table.column(table.stations.index(x))} keel height ="
                f" {z * 1000:.0f} mm",
            )
        near = np.linalg.norm(p - [x, z], axis=1)
        if near.min() < NEAR_POINT:
            p = p.copy()
            p[int(near.argmin())] = (x, z)
        else:
            after = int(np.searchsorted(curve.marks, curve.arcs[i], side="right"))
            p = np.insert(p, after, [x, z], axis=0)
            curve = through(p, tuple(int(np.abs(p - c).sum(axis=1).argmin()) for c in sharp))
    return p, tuple(int(np.abs(p - c).sum(axis=1).argmin()) for c in sharp)


def _column_on_stem(
    table: Table, lines: NamedLines, curve: Curve, which: str, j: int
) -> tuple[Array, Array, bool]:
    """Offsets of the end column that lie on the stem: their arc lengths and half-breadths, and whether all
    of the column does."""
    x = table.stations[j]
    points: list[tuple[float, float, str]] = []
    if not np.isnan(lines.sheer[j]).any():
        points.append((lines.sheer[j, 0], lines.sheer[j, 1], "sheer"))
    points += [
        (half, r.at or 0.0, r.label)
        for r in table.lines
        if r.name == "waterline" and (half := r.values[j]) is not None
    ]
    points += [(yz[j, 0], yz[j, 1], name) for name, yz in lines.chines.items() if not np.isnan(yz[j]).any()]
    arcs, halves = [], []
    for half, z, label in sorted(points, key=lambda q: q[1]):
        arc = float(np.interp(z, curve.samples[:, 1], curve.arcs))
        gap = (curve.at(np.array([arc]))[0, 0] - x) * (1 if which == "bow" else -1)
        if gap > ON_STEM + half and label != "sheer" and not label.startswith("chine"):
            raise ShapeError(
                f"the point lies {gap * 1000:.0f} mm beyond"
                f" the profile of the {which}. Leave the cell empty, or move the profile out to it.",
                place=f"{table.file} column {table.column(j)} {label}",
            )
        if abs(gap) <= ON_STEM or label.startswith("chine") or (label == "sheer" and gap > 0):
            arcs.append(arc)
            halves.append(half)
    on = len(arcs) == len(points)
    return np.array(arcs), np.array(halves), on


def _chine_on_stem(table: Table, chine: Array, curve: Curve, which: str) -> float | None:
    """Arc length at which a chine runs into the stem: its given height there, or the line carried on; None
    if it has faded before."""
    x = np.array(table.stations)
    have = np.flatnonzero(~np.isnan(chine[:, 1]))
    if not len(have):
        return None
    if which == "stern":
        have = have[::-1]
    edge = 0 if which == "bow" else len(x) - 1
    if have[0] == edge:
        return float(np.interp(chine[edge, 1], curve.samples[:, 1], curve.arcs))
    # Stations in the overhang of the stem lie beyond a chine that has run into it; only one that a whole
    # station lacks has faded.
    inward = 1 if which == "bow" else -1
    beyond = [(curve.samples[0, 0] - x[j]) * inward > 0 for j in range(edge, int(have[0]), inward)]
    if not all(beyond[1:]) or len(have) < 2:
        return None
    near = have[:3]
    line = np.polyfit(x[near], chine[near, 1], len(near) - 1)
    gap = curve.samples[:, 1] - np.polyval(line, curve.samples[:, 0])
    if gap[0] > -AT_FOOT:
        return float(
            curve.arcs[0]
            # the edge of a flat bottom passes just over or under the foot: it ends where the keel line does
        )
    cross = np.flatnonzero((gap[:-1] < 0) & (gap[1:] >= 0))
    if not len(cross):
        return None
    i = int(cross[0])
    f = -gap[i] / (gap[i + 1] - gap[i])
    return float(curve.arcs[i] + f * (curve.arcs[i + 1] - curve.arcs[i]))
