"""Will this short boat, built this way, carry this paddler? The public names; each is loaded when it is first used."""

from __future__ import annotations

import importlib
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from hullview.afloat.equilibrium import Floating, Rest, float_body, float_hull
    from hullview.afloat.righting import RightingCurve, righting_curve
    from hullview.answer.checks import Check, Verdict
    from hullview.boat.model import Boat
    from hullview.boat.reader import read_boat
    from hullview.errors import BoatFileError, HullviewError, MeshError, ShapeError, SolveError, UsageError
    from hullview.shape.assemble import build_hull
    from hullview.shape.body import Body, Immersed
    from hullview.shape.hull import Hull
    from hullview.study import carry
    from hullview.weight.total import Weight, weigh

_ROOM_OF = {
    "Boat": "boat.model",
    "BoatFileError": "errors",
    "Body": "shape.body",
    "Check": "answer.checks",
    "Floating": "afloat.equilibrium",
    "Hull": "shape.hull",
    "HullviewError": "errors",
    "Immersed": "shape.body",
    "MeshError": "errors",
    "Rest": "afloat.equilibrium",
    "RightingCurve": "afloat.righting",
    "ShapeError": "errors",
    "SolveError": "errors",
    "UsageError": "errors",
    "Verdict": "answer.checks",
    "Weight": "weight.total",
    "build_hull": "shape.assemble",
    "carry": "study",
    "float_body": "afloat.equilibrium",
    "float_hull": "afloat.equilibrium",
    "read_boat": "boat.reader",
    "righting_curve": "afloat.righting",
    "weigh": "weight.total",
}

__all__ = list(_ROOM_OF)
__version__ = "0.1.0"


def __getattr__(name: str) -> object:
    room = _ROOM_OF.get(name)
    if room is None:
        raise AttributeError(f"module 'hullview' has no attribute {name!r}")
    value = getattr(importlib.import_module(f"hullview.{room}"), name)
    globals()[name] = value  # found once, found for good
    return value


def __dir__() -> list[str]:
    return sorted([*globals(), *_ROOM_OF])
