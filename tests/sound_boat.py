"""A boat of no shape and one sound state of it, to be changed one figure at a time."""

from __future__ import annotations

import math

from hullview.answer.conditions import Condition
from hullview.boat.model import Boat, HullForm, Load, Paddler


def boat(kind="decked", **more):
    hull = HullForm(type=kind, measured_to="outside", **more.pop("form", {}))
    return Boat("Trial", hull, load=Load((Paddler(80.0, 1.8),)), **more)


SOUND = Condition(
    "likely", 97.0, "afloat", trim_length=0.004, gm=0.05, height_to_flooding=0.17, freeboard=0.16, draft=0.09,
    reserve=1.9, lean_heel=math.radians(12), lean_height=0.08, flooding_heel=math.radians(31), heeled=True,
    waterline=3.0, reach_heel=math.radians(16), reach_height=0.05, lean=0.03,
)  # fmt: skip
