"""The centre-line form at an end: what carries the forms that the strongback's bar no longer passes, and
the inner stem before them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from hullview.forms.inside import Inside
from hullview.forms.skin import station_plane
from hullview.forms.stems import Stem, height_at

if TYPE_CHECKING:
    from shapely import Polygon

EASE = 0.0002
"""A slot is wider than what stands in it by this on each side [m]."""
STEP = 0.008
"""Between points of its edges [m]."""
SMALLEST = 0.04
"""A form that reaches less far than this past the last one on the bar is none [m]."""


@dataclass(frozen=True)
class CentreForm:
    """A form in the centre plane.

    shape : in aft and height [m]; slots : by form, height of the middle to which both are slotted [m].
    stands_on : the last form on the bar, to whose face it is screwed.
    """

    name: str
    shape: Polygon
    thickness: float
    slots: tuple[tuple[str, float, float], ...]
    stands_on: str


def centre_form(
    name: str,
    stem: Stem,
    inside: Inside,
    start: float,
    stands_on: str,
    beyond: Sequence[tuple[str, float, float]],
    thickness: float,
) -> CentreForm | None:
    """The centre-line form from the face of the last form on the bar to the stem.

    Parameters
    ----------
    name : str
    stem : Stem
    inside : Inside
        Of the planking, hull and deck.
    start : float
        The face it is screwed to [m aft of the datum].
    stands_on : str
    beyond : sequence of (name, x, x)
        Forms further out, and the positions of their two faces [m].
    thickness : float
        Its own [m].

    Notes
    -----
    Its lower edge is the inner stem's back, and past the stem's end the inside of the planking on the centre
    line; its upper edge the inside of the deck, so that it is planked over like any form. A form beyond is
    slotted from its foot and the centre-line form from above, each to the middle.
    """
    from shapely import Polygon, box

    outer = float(stem.profile[-1, 0])
    way = 1.0 if outer > start else -1.0
    xs = start + way * np.arange(0.0, abs(outer - start), STEP)
    planes = [station_plane(float(x)) for x in xs]
    sides, decks = inside.side_edges(planes), inside.deck_edges(planes)
    low, high = [], []
    for x, side, deck in zip(xs, sides, decks):
        if side is None:
            break
        keel = float(side.points[0, 1])
        back = height_at(stem.back, float(x))
        bottom = keel if np.isnan(back) else max(keel, back) if stem.moulded <= 0 else back
        top = float(side.points[-1, 1]) if deck is None else float(deck.points[-1, 1])
        if top - bottom < 0.012:
            break
        low.append([float(x), bottom])
        high.append([float(x), top])
    if len(low) < 3 or abs(low[-1][0] - start) < SMALLEST:
        return None
    shape = Polygon(np.array([*low, *high[::-1]])).buffer(0)
    slots = []
    for form, a, b in beyond:
        first, last = sorted((a, b))
        at = (first + last) / 2
        if not min(low[0][0], low[-1][0]) < at < max(low[0][0], low[-1][0]):
            continue
        bottom = float(np.interp(at * way, np.array(low)[:, 0] * way, np.array(low)[:, 1]))
        top = float(np.interp(at * way, np.array(high)[:, 0] * way, np.array(high)[:, 1]))
        middle = (bottom + top) / 2
        shape = shape.difference(box(first - EASE, middle, last + EASE, top + 1.0))
        slots.append((form, middle, bottom))
    if shape.geom_type != "Polygon":
        shape = max(shape.geoms, key=lambda g: g.area)
    return CentreForm(name, shape, thickness, tuple(slots), stands_on)
