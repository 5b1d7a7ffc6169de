"""What the bench needs to know of a sheer clamp: how long each ply is, where its ends are cut, where
scarfs may fall, how many clamps to have ready."""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from hullview.arrays import Array
from hullview.forms.clamp import FINE, Clamp
from hullview.forms.form import Forms
from hullview.shape.curve import chords
from hullview.shape.vectors import unit
from hullview.weight.customs import customs

MOST_BENT = 1 / 3
"""Share of the bays, those with the most bend, that no scarf should fall in (common practice, no source)."""


@dataclass(frozen=True)
class ClampWork:
    """The work on one side's clamp.

    plies : length of each ply as it lies, dry, the outer one first [m].
    ends : for bow and stern, where it is cut [m aft] and the angle between it and the centre line in plan
    [rad].
    scarf : length of a scarf [m]; scarfs : for each ply, the bays in which its joints may fall, as names of
    forms on both sides.
    stock : length of stick the shop buys [m], None where it did not say.
    clamps : how many to have ready a side, one at each form among them.
    """

    name: str
    plies: tuple[float, ...]
    ends: tuple[tuple[float, float], tuple[float, float]]
    scarf: float
    scarfs: tuple[tuple[tuple[str, str], ...], ...]
    stock: float | None
    clamps: int
    top: float
    ripped: float


def clamp_work(forms: Forms, clamp: Clamp) -> ClampWork:
    """Lengths, ends, scarfs and clamps for one clamp of a boat's forms."""
    shop = customs()
    stems = {s.name: s.width / 2 if s.moulded > 0 else 0.0 for s in forms.stems}
    stop = stems.get("bow stem"), stems.get("stern stem")
    step = clamp.ply + (shop["glue_line"] if clamp.plies > 1 else 0.0)
    paths = [_path(clamp, (k + 0.5) * step, stop, forms) for k in range(clamp.plies)]
    lengths = tuple(float(chords(p)[-1]) for p in paths)
    stock = forms.boat.order.stock_length
    ends = (_cut(paths[0], 0), _cut(paths[0], -1))
    return ClampWork(
        clamp.name, lengths, ends, shop["scarf_ratio"] * clamp.ply, _scarfs(forms, paths, stock), stock,
        int(np.ceil(max(lengths) / shop["clamp_every"] - 1e-9)) + 1, clamp.top, clamp.depth + clamp.top,
    )  # fmt: skip


def _path(clamp: Clamp, inward: float, stop: tuple[float | None, float | None], forms: Forms) -> Array:
    """The middle of a ply along the boat (n, 3), from the bow stem's side or the transom to the stern's."""
    s = np.linspace(clamp.arc[0], clamp.arc[-1], FINE * (len(clamp.arc) - 1) + 1)
    corners = clamp.corners(s)
    outer, inner = (corners[:, 0] + corners[:, 1]) / 2, (corners[:, 2] + corners[:, 3]) / 2
    p = outer + (inner - outer) * (inward / clamp.thickness)
    grid = forms.skins.side_grid.points[-1]
    reach = max(clamp.start, float(grid[0, 0])), min(clamp.end, float(grid[-1, 0]))
    for end, x in ((0, reach[0]), (-1, reach[1])):
        near = p[1] - p[0] if end == 0 else p[-1] - p[-2]
        more = p[end] + near * (x - p[end, 0]) / near[0]
        p = (
            np.vstack([more, p])
            if end == 0 and x < p[0, 0]
            else np.vstack([p, more])
            if end == -1 and x > p[-1, 0]
            else p
        )
    p = _between(p, 0, *reach)
    middle = len(p) // 2
    fore, aft = p[: middle + 1], p[middle:]
    if stop[0] is not None:
        fore = _after(fore[::-1], stop[0])[::-1]
    if stop[1] is not None:
        aft = _after(aft, stop[1])
    return np.vstack([fore, aft[1:]])


def _between(p: Array, axis: int, low: float, high: float) -> Array:
    """A line cut off where it leaves a span along an axis."""
    v = p[:, axis]
    inside = (v > low) & (v < high)
    ends = [[np.interp(x, v, p[:, k]) for k in range(3)] for x in (max(low, v[0]), min(high, v[-1]))]
    return np.vstack([ends[0], p[inside], ends[1]])


def _after(p: Array, least: float) -> Array:
    """A line from amidships outward, cut off where it first comes within `least` of the centre line."""
    inside = np.flatnonzero(p[:, 1] < least)
    if not len(inside) or inside[0] == 0:
        return p
    i = int(inside[0])
    share = (p[i - 1, 1] - least) / (p[i - 1, 1] - p[i, 1])
    return np.vstack([p[:i], p[i - 1] + share * (p[i] - p[i - 1])])


def _cut(p: Array, end: int) -> tuple[float, float]:
    """Where a line ends [m aft] and its angle to the centre line in plan there [rad]."""
    k = min(12, len(p) - 1)
    way = p[0] - p[k] if end == 0 else p[-1] - p[-1 - k]
    return float(p[end, 0]), float(np.arctan2(abs(way[1]), abs(way[0])))


def _scarfs(
    forms: Forms, paths: Sequence[Array], stock: float | None
) -> tuple[tuple[tuple[str, str], ...], ...]:
    """The bays for each ply's joints: not at an end, not where it bends most, no two neighbouring plies in
    one bay."""
    if stock is None:
        return tuple(() for _ in paths)
    bays = list(itertools.pairwise(forms.forms))
    found: list[tuple[tuple[str, str], ...]] = []
    taken: set[int] = set()
    for p in paths:
        s = chords(p)
        count = int(np.ceil(s[-1] / stock - 1e-9)) - 1
        at = [float(np.interp((a.x + b.x) / 2, p[:, 0], s)) for a, b in bays]
        bend = [_bend(p, s, a.x, b.x) for a, b in bays]
        allowed = list(range(1, len(bays) - 1))
        limit = np.quantile([bend[k] for k in allowed], 1 - MOST_BENT) if len(allowed) > 2 else np.inf
        chosen: list[int] = []
        start = 0.0
        for j in range(count):
            left = count - j
            fits = [
                k
                for k in allowed
                if at[k] - start <= stock and s[-1] - at[k] <= left * stock and k not in chosen
            ]
            best = (
                [k for k in fits if bend[k] <= limit and k not in taken]
                or [k for k in fits if k not in taken]
                or fits
            )
            if not best:
                break
            wish = start + (s[-1] - start) / (left + 1)
            k = min(best, key=lambda k: abs(at[k] - wish))
            chosen.append(k)
            start = at[k]
        taken = set(chosen)
        found.append(tuple((bays[k][0].name, bays[k][1].name) for k in chosen))
    return tuple(found)


def _bend(p: Array, s: Array, a: float, b: float) -> float:
    """How far a line turns between two positions [rad]."""
    ways = [_way(p, s, float(np.interp(x, p[:, 0], s))) for x in (a, b)]
    return float(np.arccos(np.clip(ways[0] @ ways[1], -1, 1)))


def _way(p: Array, s: Array, at: float) -> Array:
    a, b = (np.array([np.interp(v, s, p[:, k]) for k in range(3)]) for v in (at - 0.005, at + 0.005))
    return unit(b - a)
