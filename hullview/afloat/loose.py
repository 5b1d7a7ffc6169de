"""At rest with water loose inside it."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import partial

import numpy as np
from numpy.typing import ArrayLike

from hullview.afloat.equilibrium import Rest, angles
from hullview.afloat.settle import Descent, Loose, Passed, Settled
from hullview.arrays import Array
from hullview.shape.body import Body, plane_basis

_STRIDE = math.radians(1)
"""Where water runs over a rim it is followed in steps of this: in longer ones more would run out than
does."""
_SPILT = 1e-3
"""Share of the water that runs out where it stands at a rim by its level and not by its volume."""
_OVER = 1e-4
"""Water less than this above a rim [m] is taken to stand at it."""


def rest_with_water(
    body: Body,
    mass: float,
    centre: ArrayLike,
    density: float,
    inside: Sequence[Loose],
    *,
    start: Rest | None = None,
    close: float = 0.0,
) -> tuple[Rest, tuple[float, ...]]:
    """How a load lies with water of the sea's density loose in its spaces, and the offset of each surface
    along up [m].

    mass [kg], centre (3,) [m]: of all but the water. The rest's mass and centre have the water in them, where
    it lies; its GM has the loose surfaces taken off: BM - BG - sum of i / V (Derrett and Barrass, on free
    surfaces). close: how far from rest will do, as a share of its size, where less than the best is wanted.
    """
    where = np.asarray(centre, float)
    whole = mass + density * sum(loose.volume for loose in inside)
    if whole >= density * body.volume * (1 - 1e-12):
        return Rest("sinks", whole, where, density), ()
    walk = Descent(body, mass / density, where, inside=inside)
    walk.loosen(close)
    began = np.array([0.0, 0.0, 1.0]) if start is None or start.normal is None else start.normal
    return _lying(walk, walk.run(began, None), mass, density)


def _lying(walk: Descent, settled: Settled, mass: float, density: float) -> tuple[Rest, tuple[float, ...]]:
    """What the walk came to, as a rest, and where the water stands in each space."""
    spot, inside, whole = settled.spot, walk.inside, density * walk.volume
    pools = [walk.pool(k, spot.n) for k in range(len(inside))]
    moment = mass / density * walk.centre + sum(
        (loose.volume * pool.centroid for loose, pool in zip(inside, pools)), np.zeros(3)
    )
    together = moment / walk.volume
    arm = together - spot.cut.centroid
    height = float(arm @ spot.n)
    spread = spot.cut.plane_second_moments - sum(
        (pool.cut.plane_second_moments for pool in pools), np.zeros((3, 3))
    )
    aft, across = plane_basis(spot.n)
    gm, gm_longitudinal = (float(e @ spread @ e) / spot.cut.volume - height for e in (across, aft))
    level = arm - height * spot.n
    residuals = abs(density * spot.cut.volume / whole - 1), math.sqrt(float(level @ level)) / walk.body.size
    heel, trim = angles(spot.n)
    lying = Rest(
        "afloat",
        whole,
        together,
        density,
        spot.n,
        spot.offset,
        heel,
        trim,
        None,
        spot.cut,
        gm,
        gm_longitudinal,
        residuals,
        settled.cuts,
    )
    return lying, tuple(pool.offset + pool.rise for pool in pools)


@dataclass(frozen=True)
class Overrun:
    """The sea came in over a rim while it lay with up at normal (3,), seen from the boat."""

    normal: Array


def rest_spilling(
    body: Body,
    mass: float,
    centre: ArrayLike,
    density: float,
    inside: Sequence[Loose],
    rims: Sequence[Array],
    *,
    start: Rest | None = None,
    close: float = 0.0,
) -> tuple[Rest, tuple[float, ...]] | Overrun:
    """The same with water that runs out over the lowest rim of its space as it leans, and what is left in
    each [m3].

    rims: (k, 3) [m] for each space. It is followed a step at a time, as somebody would see it; an `Overrun`
    where the sea reaches a rim.
    """
    volumes, n, careful = [loose.volume for loose in inside], np.array([0.0, 0.0, 1.0]), False
    if start is not None and start.normal is not None:
        n = start.normal
    while mass + density * sum(volumes) < density * body.volume * (1 - 1e-12):
        walk = Descent(
            body,
            mass / density,
            np.asarray(centre, float),
            inside=[replace(w, volume=v) for w, v in zip(inside, volumes)],
        )
        walk.loosen(close)
        if careful:
            walk.stride = walk.longest = _STRIDE
        try:
            settled = walk.run(n, None, partial(_meets_a_rim, walk, rims))
            walk.spot = settled.spot
        except Passed:
            settled = None
        assert walk.spot is not None
        if settled is not None and not _meets_a_rim(walk, rims):
            return _lying(walk, settled, mass, density)[0], tuple(volumes)
        n = walk.spot.n if careful else n
        low = [float((r @ n).min()) for r in rims]
        if careful and walk.spot.offset >= min(low, default=math.inf):
            return Overrun(n)
        kept = [min(v, w.body.immersed(n, rim).volume) for w, v, rim in zip(inside, volumes, low)]
        if careful and kept == volumes:
            # Where the water stands is known less well than how much there is: it stands at the rim, and a
            # little runs out.
            kept = [v * (1 - _SPILT) for v in volumes]
        volumes, careful = kept, True
    return Overrun(n)


def _meets_a_rim(walk: Descent, rims: Sequence[Array], _: Array | None = None) -> bool:
    """Whether the sea stands at a rim, or the water inside over one, where the walk is now."""
    spot = walk.spot
    assert spot is not None
    low = [float((r @ spot.n).min()) for r in rims]
    levels = [pool.offset + pool.rise for pool in walk.pools if pool is not None]
    return spot.offset >= min(low, default=math.inf) or any(
        level > rim + _OVER for level, rim in zip(levels, low)
    )
