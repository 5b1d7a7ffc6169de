"""A station that may stand elsewhere than the table says: moving it mends more than changing its offsets
would.

Every line of the table says where along the boat its offset at a station would be fair. One wrong offset
makes one line disagree; a station in the wrong place makes them all agree on another place.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from hullview.boat.model import Boat, End, Table
from hullview.shape.batten import left_out
from hullview.shape.fairness import Faired, rounding, table_and_ends

Array = np.ndarray

NOTICED = 1.2
"""A station whose offsets lie out by less than so many times their usual scatter (root mean square) is
where it should be."""
SLIGHT, AGREED = 0.02, 2.5
"""Moved by this share of the lesser spacing, the lines must agree on a better place by so many standard
deviations."""
PLACES = 33
"""Places tried between a station's neighbours before the best of them is refined."""
CLEAR = 6.0
"""How much more likely (natural logarithm) the other place must be before it is told; tried on the models,
see tests."""
LEAST_MOVE = 0.05
"""A station nearer to its best place than this share of the lesser spacing is left where it is."""
LEAST_ROUNDINGS = 2.0
"""Some line must be out by so many times the table's rounding."""


@dataclass(frozen=True)
class Misplaced:
    """A station that may stand elsewhere.

    Parameters
    ----------
    kind
        "station".
    name
        As the table has it.
    column
        Its place in the table.
    given, fits
        Where the table has it and where it fits best [m aft of the datum].
    """

    kind: str
    name: str
    column: int
    given: float
    fits: float


def misplaced(boat: Boat | Table) -> tuple[Misplaced, ...]:
    """Stations that may stand elsewhere, from the most suspect on; each is moved before the next is looked
    for.

    Parameters
    ----------
    boat
        A boat with a table of offsets, or the table alone.

    Returns
    -------
    tuple of Misplaced
        Three at most: more of them are no slips of the pen.

    Notes
    -----
    For each interior station j the sum over the lines of log(1 + (r / 3 s)^2) is made least over its place, r
    being how far the offset lies off the batten through the others of its line and s how far fair offsets of
    that line scatter: one offset that is out has a bounded say. Of the stations that gain, the one is taken
    with which the whole table is fairest.
    """
    if isinstance(boat, Boat) and boat.hull.table is None:
        return ()
    table, ends = table_and_ends(boat)
    found: list[Misplaced] = []
    while len(found) < 3 and (one := _worst(table, ends)) is not None:
        if any(one.column == other.column for other in found):
            break
        found.append(one)
        table = moved(table, one)
    return tuple(found)


def moved(table: Table, one: Misplaced) -> Table:
    """The table with that station where it fits."""
    return replace(
        table, stations=tuple(one.fits if j == one.column else x for j, x in enumerate(table.stations))
    )


def _worst(table: Table, ends: tuple[End, End]) -> Misplaced | None:
    sheet, best = Faired(table, ends), None
    scale = sheet.a_scale
    for j in range(1, len(table.stations) - 1):
        place = _best_place(sheet, j)
        if place is None:
            continue
        name = table.column_names[j] if table.column_names else str(j)
        one = Misplaced("station", name, j, table.stations[j], place)
        left = _unfairness(Faired(moved(table, one), ends), scale)
        if best is None or left < best[0]:
            best = left, one
    return None if best is None else best[1]


def _unfairness(sheet: Faired, scale: float) -> float:
    """How far the whole table is from fair: the robust sum over all its offsets."""
    share = sheet.along / (sheet.a_spread * scale)
    return float(np.nansum(np.log1p((share / 3.0) ** 2)))


def _best_place(sheet: Faired, j: int) -> float | None:
    """Where station j fits best [m], if that is clearly elsewhere."""
    x = sheet.table.stations
    room = min(x[j] - x[j - 1], x[j + 1] - x[j])
    lines = [
        (i, line, int(k[0]), np.where(line.cell >= 0, sheet.now[i, line.cell], line.v))
        for i, line in enumerate(sheet.lines)
        if len(k := np.flatnonzero(line.cell == j)) == 1
        and 0 < k[0] < len(line.x) - 1
        and not np.isnan(sheet.along[i, j])
    ]
    if len(lines) < 2 or room <= 0:
        return None

    def off(place: float) -> tuple[Array, Array]:
        """Each line's distance from fair with the station there [m], and its share of the usual scatter
        [1]."""
        out, share = [], []
        for i, line, k, v in lines:
            at = line.x.copy()
            at[k] += place - x[j]
            residual, spread = left_out(tuple(at.tolist()))
            out.append(residual[k] @ v)
            share.append(out[-1] / (spread[k] * sheet.trust[i, j] * sheet.a_scale))
        return np.array(out), np.array(share)

    def cost(place: float) -> float:
        return float(np.log1p((off(place)[1] / 3.0) ** 2).sum() * 4.5)

    out, share = off(x[j])
    if np.sqrt(np.mean(share**2)) < NOTICED:
        return None
    slope = (off(x[j] + SLIGHT * room)[1] - off(x[j] - SLIGHT * room)[1]) / (2 * SLIGHT * room)
    if abs(share @ slope) < AGREED * np.sqrt(slope @ slope):
        return None  # what is out here does not ask for another place
    low, high = x[j - 1] + 0.08 * (x[j] - x[j - 1]), x[j + 1] - 0.08 * (x[j + 1] - x[j])
    step = (high - low) / (PLACES - 1)
    best = min((low + step * n for n in range(PLACES)), key=cost)
    while step > 2e-4:
        step /= 3.0
        best = min((best + step * n for n in (-2, -1, 0, 1, 2)), key=cost)
    move = np.abs(off(best)[0] - out)
    agree = np.sort(move)[-2]
    if abs(best - x[j]) < LEAST_MOVE * room or cost(x[j]) - cost(best) < CLEAR:
        return None
    least = LEAST_ROUNDINGS * rounding(sheet.table)
    return float(best) if move.max() >= least and agree >= least / 3 else None
