"""The boat laid on the water again as somebody moves: one load, and if asked a heel that is held, in a
millisecond or two."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from hullview.afloat.equilibrium import Floating, at_heel, describe, rest
from hullview.afloat.water import GRAVITY
from hullview.answer.conditions import LIKELY, Craft
from hullview.boat.model import Paddler


@dataclass(frozen=True)
class Lying:
    """How it lies; held: it heel is held by hand. arm: righting arm [m], (B - G) . (0, cos heel, sin heel),
    with its moment [N m]; both nought where it is at rest, None where it sinks."""

    floating: Floating
    held: bool
    arm: float | None
    moment: float | None


def refloat(
    craft: Craft, paddlers: Sequence[Paddler], heel: float | None = None, before: Lying | None = None
) -> Lying:
    """Lay it on the water with these paddlers, at rest, or with a heel [rad] held and trim free. before:
    how it lay, a first guess."""
    load = craft.load(paddlers, LIKELY)
    start = before.floating.rest if before is not None and before.floating.rest.normal is not None else None
    if heel is None:
        # a start from a held heel could end in another rest than a walk from upright does
        lying = rest(
            craft.body,
            load.mass,
            load.centre,
            craft.density,
            start=None if before and before.held else start,
            judge_upright=False,
        )
    else:
        lying = at_heel(craft.body, load.mass, load.centre, craft.density, heel, start=start)
    floating = describe(craft.hull, craft.body, lying)
    if lying.immersed is None:
        return Lying(floating, heel is not None, None, None)
    angle = lying.heel or 0.0
    between = lying.immersed.centroid - load.centre
    arm = float(between[1] * math.cos(angle) + between[2] * math.sin(angle))
    return Lying(floating, heel is not None, arm, arm * load.mass * GRAVITY)
