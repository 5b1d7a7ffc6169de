"""What the forms stand on: a bar through the inside of a decked boat, or a ladder under an open one,
upside down."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

import numpy as np

from hullview.boat.form_settings import Strongback
from hullview.errors import UsageError
from hullview.weight.customs import customs

if TYPE_CHECKING:
    from shapely.geometry.base import BaseGeometry

HEIGHTS = 0.002
"""Between heights at which the bar is tried [m]."""


@dataclass(frozen=True)
class Bar:
    """A bar inside: width and height of its section, height of its middle [m], the hole over it, and the
    first and last form it passes."""

    kind: Literal["inside", "under"]
    width: float
    height: float
    at: float
    clearance: float
    on: tuple[str, ...]
    beyond: tuple[str, ...]
    start: float
    end: float

    @property
    def hole(self) -> tuple[float, float]:
        """Width and height of the hole in a form [m]."""
        return self.width + 2 * self.clearance, self.height + 2 * self.clearance


def ladder(given: Strongback, sheers: Mapping[str, tuple[float, float]], xs: Sequence[float]) -> Bar:
    """A ladder under the boat, from the half-breadths and heights of the forms at the sheer.

    Its set-up line stands `set_up_over` beyond the highest sheer, on a whole 10 mm.
    """
    shop = customs()
    highest = max(z for _, z in sheers.values())
    at = (
        given.at
        if given.at is not None
        else float(np.ceil((highest + shop["set_up_over"]) * 100 - 1e-6) / 100)
    )
    if at < highest + 0.02:
        raise UsageError(
            f"[forms] strongback at {at * 1000:.0f} mm: the set-up line must stand beyond the highest sheer,"
            f" {highest * 1000:.0f} mm, by 20 mm or more: the boat is built upside down."
        )
    widest = 2 * max(y for y, _ in sheers.values())
    width = given.width or float(
        np.clip(np.round(widest * 0.6, 2), shop["ladder_least"], shop["ladder_most"])
    )
    return Bar("under", width, 0.0, at, 0.0, tuple(sheers), (), min(xs), max(xs))


def bar(given: Strongback, shapes: Mapping[str, BaseGeometry], xs: Mapping[str, float]) -> Bar:
    """A bar inside, at the height at which it passes the most forms with enough of each left round its hole.

    Parameters
    ----------
    given : Strongback
    shapes : mapping
        The forms by name, bow first, as they are cut but for this hole.
    xs : mapping
        Their stations [m].

    Raises
    ------
    UsageError
        It fits through no two neighbouring forms.
    """
    shop = customs()
    width, height = given.width or shop["strongback_width"], given.height or shop["strongback_height"]
    clearance = shop["strongback_clearance"] if given.clearance is None else given.clearance
    round_it = shop["round_strongback"]
    names = list(shapes)
    bounds = [shapes[n].bounds for n in names]
    low, high = min(b[1] for b in bounds), max(b[3] for b in bounds)
    half_w, half_h = width / 2 + clearance + round_it, height / 2 + clearance + round_it
    heights = (
        [given.at] if given.at is not None else np.arange(low + half_h, high - half_h + HEIGHTS, HEIGHTS)
    )
    best: tuple[int, float, float, list[int]] = (0, 0.0, 0.0, [])
    for z in heights:
        fits = [_fits(shapes[n], bounds[i], float(z), half_w, half_h) for i, n in enumerate(names)]
        run = _longest(fits)
        room = min((_room(bounds[i], float(z)) for i in run), default=0.0)
        if (len(run), room) > best[:2]:
            best = (len(run), room, float(z), run)
    if best[0] < 2:
        raise UsageError(
            f"[forms] strongback: a bar {width * 1000:.0f} x {height * 1000:.0f} mm with"
            f" {round_it * 1000:.0f} mm of form left round it fits through no two neighbouring forms"
            + (f" at {given.at * 1000:.0f} mm" if given.at is not None else "")
            + '. Make it smaller, or write kind = "under".'
        )
    on = best[3]
    end = [xs[names[i]] for i in (on[0], on[-1])]
    return Bar(
        "inside", width, height, best[2], clearance, tuple(names[i] for i in on),
        tuple(n for i, n in enumerate(names) if i not in on), end[0], end[1],
    )  # fmt: skip


def _fits(shape: BaseGeometry, bounds: Sequence[float], z: float, half_w: float, half_h: float) -> bool:
    from shapely import box

    if z - half_h < bounds[1] or z + half_h > bounds[3] or half_w > bounds[2]:
        return False
    return bool(shape.covers(box(-half_w, z - half_h, half_w, z + half_h)))


def _room(bounds: Sequence[float], z: float) -> float:
    return min(z - bounds[1], bounds[3] - z)


def _longest(fits: Sequence[bool]) -> list[int]:
    """Indices of the longest unbroken run of True.

    >>> _longest([True, False, True, True])
    [2, 3]
    """
    best: list[int] = []
    now: list[int] = []
    for i, ok in enumerate(fits):
        now = [*now, i] if ok else []
        best = now if len(now) > len(best) else best
    return best
