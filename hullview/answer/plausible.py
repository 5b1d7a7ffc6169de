"""What cannot be right: sizes outside anything in this trade stop the work or are warned of before any
figure is believed."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from hullview.answer.fit import misfits
from hullview.answer.limits import limit
from hullview.answer.seat import reach
from hullview.boat.model import Boat
from hullview.boat.wording import feet_inches, from_to, length_text, mass_text
from hullview.errors import ShapeError
from hullview.shape.hull import Hull

if TYPE_CHECKING:
    from hullview.weight.stages import StageReading
    from hullview.weight.total import Weight

SKIN_GROUPS = ("planking", "cloth", "resin", "coating")
"""Groups of the weight that make up the skin."""
NO_BOAT = 0.001
"""Readings of the scale that fewer boats than this share would give are doubted."""
SEAT_UNDER_DECK = 0.1
"""How far past the rim of a cockpit the back of a seat may stand under the deck [m]."""


def sizes(hull: Hull) -> dict[str, float]:
    """Length, greatest beam and depth of the hull [m], and length over beam [1]."""
    length, beam, depth = (float(v) for v in np.ptp(hull.vertices[hull.faces.ravel()], axis=0))
    return {"length": length, "beam": beam, "depth": depth, "length over beam": length / beam}


def skin_weight(hull: Hull, weight: Weight) -> float | None:
    """Planking, cloth, resin and coatings over the area of hull, deck and transom [kg/m2]; None where none
    is scheduled."""
    corners = hull.vertices[hull.faces_of("hull", "deck", "transom", "keel")]
    area = (
        float(
            np.linalg.norm(
                np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0]), axis=1
            ).sum()
        )
        / 2
    )
    mass = sum(line.mass for line in weight.lines if line.group in SKIN_GROUPS and line.basis == "area")
    return mass / area if mass > 0 and area > 0 else None


def doubts(boat: Boat, hull: Hull, weight: Weight | None = None) -> tuple[str, ...]:
    """What is out of the ordinary about it, in words; what cannot be at all raises a `ShapeError`."""
    measured: list[tuple[str, float | None, str, str]] = [
        (name, value, *_BOUNDS[name]) for name, value in sizes(hull).items()
    ]
    if weight is not None:
        measured.append(("skin", skin_weight(hull, weight), *_BOUNDS["skin"]))
    found = []
    for name, value, low, high in measured:
        for bound in (limit(boat, low), limit(boat, high)):
            if value is None or bound.result(value) == "pass":
                continue
            text = (
                f"{name} {_figure(boat, value, bound.unit)}: {bound.sense}"
                f" {_figure(boat, bound.enough or 0.0, bound.unit)} is usual"
            )
            if bound.result(value) == "fail":
                raise ShapeError(
                    f"{boat.name}: {text}; this cannot be right. Check the units of the table and of the"
                    " schedule."
                )
            found.append(text)
    fit = () if weight is None else misfits(boat, hull, boat.build(weight.build))
    readings = () if weight is None else weight.readings
    far = tuple(reading_doubt(r, boat.units_shown) for r in readings if r.far_off)
    if weight is not None and not far and weight.readings_odds < NO_BOAT:
        far = (
            "the readings of the scale together fit fewer than 1 such boat in 1,000: is each of its stage?",
        )
    return (*found, *out_of_place(boat, hull), *fit, *far)


def reading_doubt(reading: StageReading, units: str) -> str:
    """What is odd about a reading of the scale that is far from what was expected, and the stage that it
    would fit."""
    low, _, high = reading.predicted
    sentences = f"{reading.stage} weighed {mass_text(reading.weighed or 0.0, units, 1, both=False)}"
    expected = (
        f"{mass_text(low, units, 1, both=False)} to {mass_text(high, units, 1, both=False)} was expected"
    )
    would = f'; it would fit "{reading.fits}"' if reading.fits else ""
    return f"{sentences} where {expected}{would}: is that what stood on the scale?"


def out_of_place(boat: Boat, hull: Hull) -> tuple[str, ...]:
    """Paddlers who sit on the boat but outside every opening, in words."""
    corners = hull.vertices[hull.faces.ravel()]
    low, high = corners.min(axis=0), corners.max(axis=0)
    found = []
    for p in boat.load.paddlers:
        fore, aft = reach(boat, (float(low[0]), float(high[0])), p.seat_back)
        if not fore - SEAT_UNDER_DECK <= p.seat_back <= aft + SEAT_UNDER_DECK:
            which = "the opening" if boat.openings else "the boat"
            found.append(
                f"{p.name}'s seat back {_along(boat, p.seat_back)}: outside {which},"
                f" {from_to(fore, aft, boat.units_shown)}"
            )
    return tuple(found)


def _figure(boat: Boat, value: float, unit: str) -> str:
    """A size in the builder's unit."""
    if unit == "m" and boat.units_shown == "imperial":
        return feet_inches(value)
    return f"{value:.3g}" + (f" {unit}" if unit != "1" else "")


def _along(boat: Boat, metres: float) -> str:
    return length_text(metres, boat.units_shown, both=False)


_BOUNDS = {
    "length": ("shortest", "longest"),
    "beam": ("narrowest", "widest"),
    "depth": ("shallowest", "deepest"),
    "length over beam": ("stubbiest", "slimmest"),
    "skin": ("lightest_skin", "heaviest_skin"),
}
