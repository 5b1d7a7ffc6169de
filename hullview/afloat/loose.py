"""At rest with water loose inside her."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from numpy.typing import ArrayLike

from hullview.afloat.equilibrium import Rest, angles
from hullview.afloat.settle import Descent, Loose
from hullview.shape.body import Body, plane_basis

Array = np.ndarray


def rest_with_water(
    body: Body, mass: float, centre: ArrayLike, density: float, inside: Sequence[Loose], *, start: Rest | None = None, close: float = 0.0
) -> tuple[Rest, tuple[float, ...]]:
    """How a load lies with water of the sea's density loose in her spaces, and the offset of each surface along up [m].

    mass [kg], centre (3,) [m]: of all but the water. The rest's mass and centre have the water in them, where it lies; its GM has
    the loose surfaces taken off: BM - BG - sum of i / V (Derrett and Barrass, on free surfaces). close: how far from rest will do, as a
    share of her size, where less than the best is wanted.
    """
    where = np.asarray(centre, float)
    whole = mass + density * sum(loose.volume for loose in inside)
    if whole >= density * body.volume * (1 - 1e-12):
        return Rest("sinks", whole, where, density), ()
    walk = Descent(body, mass / density, where, inside=inside)
    walk.close = max(walk.close, close)
    began = np.array([0.0, 0.0, 1.0]) if start is None or start.normal is None else start.normal
    settled = walk.run(began, None)
    spot = settled.spot
    pools = [walk.pool(k, spot.n) for k in range(len(inside))]
    moment = mass / density * where + sum((loose.volume * pool.centroid for loose, pool in zip(inside, pools)), np.zeros(3))
    together = moment / (whole / density)
    arm = together - spot.cut.centroid
    height = float(arm @ spot.n)
    spread = spot.cut.plane_second_moments - sum((pool.cut.plane_second_moments for pool in pools), np.zeros((3, 3)))
    aft, across = plane_basis(spot.n)
    gm, gm_longitudinal = (float(e @ spread @ e) / spot.cut.volume - height for e in (across, aft))
    level = arm - height * spot.n
    residuals = abs(density * spot.cut.volume / whole - 1), math.sqrt(float(level @ level)) / body.size
    heel, trim = angles(spot.n)
    lying = Rest(
        "afloat", whole, together, density, spot.n, spot.offset, heel, trim, None, spot.cut, gm, gm_longitudinal, residuals, settled.cuts
    )  # fmt: skip
    return lying, tuple(pool.offset + pool.rise for pool in pools)
