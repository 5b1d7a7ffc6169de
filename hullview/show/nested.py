"""Patterns laid on sheets: which part lies where, turned and moved, and how much is waste."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from hullview.arrays import Array
from hullview.forms.nest import nest
from hullview.show.pattern import Part
from hullview.weight.customs import customs

Placed = tuple[Part, float, Array]
"""A part, turned anticlockwise about its origin [deg], then moved [mm]."""


@dataclass(frozen=True)
class Nested:
    """Sheets of one thickness [mm]: the parts on each, and the share of all sheets that is waste."""

    thickness: float
    size: tuple[float, float]
    sheets: tuple[tuple[Placed, ...], ...]
    waste: float


def nested(parts: Sequence[Part], size: tuple[float, float], tool: float) -> tuple[Nested, ...]:
    """All parts on sheets [mm], a stack of sheets for each thickness; solid stems are not cut from sheets.

    Parameters
    ----------
    parts : sequence of Part
    size : (width, height)
        Of a sheet [mm].
    tool : float
        Cutter [mm].
    """
    shop = customs()
    apart, edge = tool + shop["parts_apart"] * 1000, shop["sheet_edge"] * 1000
    found = []
    for thickness in sorted({round(p.thickness, 3) for p in parts}):
        mine = [p for p in parts if round(p.thickness, 3) == thickness]
        boxes = [(float(h[0] - w[0]), float(h[1] - w[1])) for w, h in (p.box for p in mine)]
        spots = nest(boxes, size, apart, edge, [p.name for p in mine])
        sheets: list[list[Placed]] = [[] for _ in range(1 + max(s.sheet for s in spots))]
        for s in spots:
            low, high = mine[s.part].box
            # a quarter turn takes (x, y) to (-y, x): the box's upper left corner comes to lie lower left
            corner = np.array([-high[1], low[0]]) if s.turned else low
            sheets[s.sheet].append((mine[s.part], 90.0 if s.turned else 0.0, np.array([s.x, s.y]) - corner))
        used = sum(area_of(p) for p in mine)
        waste = 1 - used / (len(sheets) * size[0] * size[1])
        found.append(Nested(thickness, size, tuple(tuple(s) for s in sheets), waste))
    return tuple(found)


def area_of(part: Part) -> float:
    """Wood of a part [mm2]: its outer outline less its holes."""
    sizes = [_area(r) for r in part.rings]
    return sizes[0] - sum(sizes[1:])


def _area(ring: Array) -> float:
    x, y = ring.T
    return float(abs((x * np.roll(y, -1) - y * np.roll(x, -1)).sum()) / 2)
