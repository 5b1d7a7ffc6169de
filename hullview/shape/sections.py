"""The points of one station -> one curve: ordered along the girth, level at the centre line or broken
there, broken at chines."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from hullview.arrays import Array
from hullview.boat.model import Table
from hullview.errors import ShapeError
from hullview.shape.curve import Curve, through
from hullview.shape.spline import through_points

POINT = 1e-9
"""A deck that ends in a point is still a curve, this wide [m]."""
TOO_CLOSE = 0.008
"""Two points nearer than this share of the girth are one point of the section: a spline through both would
turn on the rounding of the table, not on the boat."""
SHARP = 1e-4
"""Share of the girth that is left of a panel where it runs out to a point."""
TWINS, WITHIN = 0.025, 0.0006
"""Two points of a section nearer than this share of its girth, and than half the usual step between its
points, are made one if it passes within that share of it of both."""
ON_FOOT = 1e-4
"""A chine nearer [m] to where a section begins on the stem begins there too."""


@dataclass(frozen=True)
class Section:
    """One station: the side from the centre line to the sheer, and the deck from there to its centre line.

    side: curve of (y, z) [m]. fractions (p,), arcs (p,): the row coordinate g (0 at the keel line, 1 at the
    first chine, ..., last at the sheer) against arc length along `side`; a station in the overhang of a stem
    starts at g > 0. deck: curve of (y, z) from the sheer to the centre line, or None. laid: put in by us
    between two stations of the table.
    """

    x: float
    side: Curve
    fractions: Array
    arcs: Array
    deck: Curve | None
    laid: bool = False

    def at(self, g: Array) -> Array:
        """Points (n, 3) [m] at row coordinates g (n,)."""
        yz = self.side.at(np.interp(g, self.fractions, self.arcs))
        return np.column_stack([np.full(len(yz), self.x), yz])

    def deck_at(self, fraction: Array) -> Array:
        """Points (n, 3) of the deck at equal-girth fractions, 0 at the sheer, 1 at the centre line."""
        assert self.deck is not None
        yz = self.deck.at(np.asarray(fraction) * self.deck.length)
        return np.column_stack([np.full(len(yz), self.x), yz])


@dataclass(frozen=True)
class StationPoints:
    """What the table says of one station, in order along the girth.

    side (k, 2): (y, z) from the keel line to the sheer; chines: name -> index into it. deck (d, 2): sheer to
    centre, or None.
    """

    x: float
    side: Array
    chines: dict[str, int]
    deck: Array | None
    keel_shape: str
    deck_shape: str


def filled(stations: Array, values: tuple[float | None, ...]) -> Array:
    """A named line with its blanks between two given values filled by a spline along it; nan beyond its ends.

    >>> filled(np.array([0.0, 1, 2, 3]), (None, 1.0, None, 3.0)).tolist()
    [nan, 1.0, 2.0, 3.0]
    """
    given = np.array([np.nan if v is None else v for v in values], float)
    have = np.flatnonzero(~np.isnan(given))
    if len(have) < 2:
        return given
    inside = np.arange(have[0], have[-1] + 1)
    missing = inside[np.isnan(given[inside])]
    if len(missing):
        given[missing] = through_points(stations[have], given[have])(stations[missing])
    return given


@dataclass(frozen=True)
class NamedLines:
    """The lines of the table that have a name, along all stations (n,) [m]: nan where the line is absent."""

    sheer: Array
    keel: Array
    chines: dict[str, Array]
    deck: Array | None


def named_lines(table: Table) -> NamedLines:
    """Sheer (n, 2), keel line (n, 2), chines (n, 2 each) as (half-breadth, height), and the deck's centre
    line (n,)."""
    x = np.array(table.stations)

    def both(name: str, blank_breadth: bool = False) -> Array:
        height, breadth = table.find("height", name), table.find("half-breadth", name)
        if height is None or (breadth is None and not blank_breadth):
            raise ShapeError(f"no height and half-breadth rows for the {name}. Add both.", place=table.file)
        z = filled(x, height.values)
        y = np.zeros(len(x)) if breadth is None else filled(x, breadth.values)
        if blank_breadth:
            y = np.where(np.isnan(y), 0.0, y)
        return np.column_stack([y, z])

    chines = {name: both(name) for name in table.chines}
    keel = both("rabbet" if table.find("height", "rabbet") else "keel", blank_breadth=True)
    deck = table.find("height", "deck")
    return NamedLines(both("sheer"), keel, chines, None if deck is None else filled(x, deck.values))


def station_points(
    table: Table, lines: NamedLines, j: int, keel: Array | None = None
) -> StationPoints | None:
    """The points of station j in order along the girth, or None where neither the sheer nor anything else
    crosses it.

    keel (2,): the foot of the section on a stem, for a station in its overhang.
    """
    sheer = lines.sheer[j]
    foot = lines.keel[j] if keel is None else keel
    if np.isnan(sheer).any() or np.isnan(foot).any():
        return None
    kinds: list[tuple[float, float, str]] = [(foot[0], foot[1], "keel"), (sheer[0], sheer[1], "sheer")]
    for name, yz in lines.chines.items():
        # A chine that meets the stem at this very station is the section's foot, and no corner beside it.
        on_stem = keel is not None and np.linalg.norm(yz[j] - keel) < ON_FOOT
        if not np.isnan(yz[j]).any() and not on_stem:
            kinds.append((yz[j, 0], yz[j, 1], name))
    for row in table.lines:
        value = row.values[j]
        if value is None or row.at is None or row.name == "deck":
            continue
        if row.name == "waterline":
            kinds.append((value, row.at, ""))
        elif row.name == "buttock":
            kinds.append((row.at, value, ""))
        elif row.name == "diagonal":
            assert row.angle is not None
            kinds.append((value * np.cos(row.angle), row.at - value * np.sin(row.angle), ""))
    side, names = _ordered(kinds, sheer)
    chines = {n: i for i, n in enumerate(names) if n.startswith("chine")}
    deck = None if lines.deck is None else _deck_points(table, lines, j)
    return StationPoints(table.stations[j], side, chines, deck, table.keel_shape[j], table.deck_shape[j])


def in_order(yz: Array, sheer: Array) -> Array:
    """Order (k,) of the points of a section between its keel line and its sheer, by their angle from the
    centre line at the sheer's height."""
    return np.lexsort((yz[:, 1], np.arctan2(yz[:, 0], np.maximum(sheer[1] - yz[:, 1], 0.0))))


def _ordered(kinds: list[tuple[float, float, str]], sheer: Array) -> tuple[Array, list[str]]:
    """Order points by their angle seen from the centre line at the height of the sheer, and drop those
    that say a thing twice."""
    yz = np.array([k[:2] for k in kinds])
    order = np.concatenate([[0], 2 + in_order(yz[2:], sheer), [1]])
    yz, names = yz[order], [kinds[i][2] for i in order]
    girth = float(np.linalg.norm(np.diff(yz, axis=0), axis=1).sum())
    keep = [0]
    for i in range(1, len(yz)):
        if np.linalg.norm(yz[i] - yz[keep[-1]]) > TOO_CLOSE * girth:
            keep.append(i)
        elif names[i] and not names[keep[-1]]:
            keep[-1] = i
        elif not names[i] and not names[keep[-1]]:
            yz[keep[-1]] = (yz[i] + yz[keep[-1]]) / 2
        elif names[i] and names[keep[-1]]:
            keep.append(i)
    return _held_apart(yz[keep], SHARP * girth), [names[i] for i in keep]


def _held_apart(yz: Array, least: float) -> Array:
    """Points of which no two are one: a chine that runs into the keel line or into the sheer keeps a little
    of its panel [m]."""
    yz = yz.copy()
    for i in range(1, len(yz)):
        if np.linalg.norm(yz[i] - yz[i - 1]) < least and len(yz) > 2:
            mine, towards = (i, i + 1) if i + 1 < len(yz) else (i - 1, i - 2)
            way = yz[towards] - yz[mine]
            yz[mine] += way * min(0.5, least / max(float(np.linalg.norm(way)), 1e-12))
    return yz


def _deck_points(table: Table, lines: NamedLines, j: int) -> Array:
    """The deck from the sheer inboard to the centre line; where the centre line is blank, level with the
    sheer."""
    assert lines.deck is not None
    sheer = lines.sheer[j]
    centre = lines.deck[j] if not np.isnan(lines.deck[j]) else sheer[1]
    inner = []
    for row in table.lines:
        value = row.values[j]
        if row.name == "deck" and row.at is not None and value is not None:
            inner.append((value, row.at) if row.measure == "half-breadth" else (row.at, value))
    if sheer[0] < POINT:
        # Where it comes to a point there is no room for a camber: the deck's centre line is the sheer.
        return np.array([(POINT, sheer[1]), (0.0, sheer[1])])
    limit = max(TOO_CLOSE * sheer[0], 1e-4)
    inner = [p for p in sorted(inner, key=lambda p: (-p[0], p[1])) if limit < p[0] < sheer[0] - limit]
    return np.array([tuple(sheer), *inner, (0.0, centre)])


def plainly_veed(stations: list[StationPoints]) -> bool:
    """Whether the offsets themselves say that the sections meet the centre line in a vee, where no shape row
    says anything.

    At each station the point next to the keel is left out and foretold, once by a curve that is level at the
    centre line and once by a free one. It is a vee if at most stations the free one comes nearer by far.
    """
    votes, asked = 0, 0
    for s in stations:
        end = min(s.chines.values(), default=len(s.side) - 1) + 1
        side = s.side[:end]
        if len(side) < 5 or side[0, 0] > 1e-6 or side[1, 0] < 1e-6:
            continue
        asked += 1
        rest = np.delete(side, 1, axis=0)
        miss = [
            np.linalg.norm(through(rest, level_start=level).samples - side[1], axis=1).min()
            for level in (True, False)
        ]
        girth = np.linalg.norm(np.diff(side, axis=0), axis=1).sum()
        votes += miss[0] > max(3 * miss[1], 0.006 * girth)
    return asked >= 3 and votes > 0.6 * asked


def make_section(points: StationPoints, order: tuple[str, ...], shares: Array, start: float = 0.0) -> Section:
    """Curve of one station, with the row coordinate laid along it.

    order: the chines, keel outward. shares (len(order),): where a chine would be, as a share of the girth, at
    a station without it. start: row coordinate of the foot of the section (over 0 in the overhang of a stem).
    """
    points, curve = _without_twins(points)
    if (
        round(start) >= 1
        and round(start) <= len(order)
        and abs(start - round(start)) < 1e-3
        and order[round(start) - 1] not in points.chines
    ):
        start = float(round(start))  # that chine is its foot, but for the rounding of the table
    fractions, arcs = [start], [0.0]
    for k, name in enumerate(order):
        if k + 1 <= start:
            continue
        if name in points.chines:
            arc = float(curve.marks[points.chines[name]])
        else:
            whole = (
                shares[k]
                if start == 0
                else max((shares[k] - _share(start, shares)) / (1 - _share(start, shares)), 0.02)
            )
            arc = whole * curve.length
        fractions.append(k + 1.0)
        arcs.append(min(max(arc, arcs[-1] + 1e-6), curve.length - 1e-6))
    fractions.append(len(order) + 1.0)
    arcs.append(curve.length)
    deck = None
    if points.deck is not None:
        deck = through(points.deck, level_end=points.deck_shape == "smooth")
    return Section(points.x, curve, np.array(fractions), np.array(arcs), deck)


def _side_curve(points: StationPoints) -> Curve:
    corners = tuple(points.chines.values())
    if points.keel_shape == "flat" and len(points.side) > 2:
        corners = (*corners, 1)
    return through(
        points.side, corners, level_start=points.keel_shape == "round" and points.side[0, 0] < 1e-6
    )


def _without_twins(points: StationPoints) -> tuple[StationPoints, Curve]:
    """The points with near neighbours made one, where the curve then passes within rounding of both; and the
    curve through them.

    Where a waterline and a buttock cross a section within a few millimetres, half a millimetre of rounding
    would turn it by degrees.
    """
    steps = np.linalg.norm(np.diff(points.side, axis=0), axis=1)
    girth = float(steps.sum())
    near = min(TWINS * girth, 0.5 * float(np.median(steps)))
    i = 2 if points.keel_shape == "flat" else 1
    while i + 2 < len(points.side):
        pair = points.side[i : i + 2]
        if not {i, i + 1} & set(points.chines.values()) and np.linalg.norm(pair[1] - pair[0]) < near:
            joined = np.concatenate([points.side[:i], [pair.mean(axis=0)], points.side[i + 2 :]])
            chines = {name: k - 1 if k > i else k for name, k in points.chines.items()}
            trial = replace(points, side=joined, chines=chines)
            if max(_off(_side_curve(trial), p) for p in pair) < WITHIN * girth:
                points = trial
                continue
        i += 1
    return points, _side_curve(points)


def _off(curve: Curve, p: Array) -> float:
    """Distance of a point (2,) from a curve [m]."""
    a, step = curve.samples[:-1] - p, np.diff(curve.samples, axis=0)
    along = np.clip(-(a * step).sum(axis=1) / np.maximum((step * step).sum(axis=1), 1e-30), 0.0, 1.0)
    return float(np.linalg.norm(a + along[:, None] * step, axis=1).min())


def _share(g: float, shares: Array) -> float:
    """Share of the girth at row coordinate g, for a station whose chines lie at `shares`."""
    return float(np.interp(g, np.arange(len(shares) + 2), np.concatenate([[0.0], shares, [1.0]])))


def chine_shares(table: Table, stations: list[StationPoints], order: tuple[str, ...]) -> Array:
    """Where each chine lies as a share of the girth (stations, chines): given, or carried on from the
    nearest station with it."""
    xs = np.array([s.x for s in stations])
    out = np.empty((len(stations), len(order)))
    for k, name in enumerate(order):
        have, share = [], []
        for i, s in enumerate(stations):
            if name in s.chines:
                steps = np.linalg.norm(np.diff(s.side, axis=0), axis=1)
                have.append(i)
                share.append(steps[: s.chines[name]].sum() / steps.sum())
        if not have:
            raise ShapeError(
                f"the {name} crosses no station. Give it a height and a half-breadth, or leave it out.",
                place=table.file,
            )
        out[:, k] = np.interp(xs, xs[have], share)
    return out
