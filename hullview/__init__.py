"""Will this short boat, built this way, carry this paddler? The public names; each is loaded when it is
first used."""

from __future__ import annotations

import importlib
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from hullview.afloat.equilibrium import Floating as Floating
    from hullview.afloat.equilibrium import Rest as Rest
    from hullview.afloat.equilibrium import float_body as float_body
    from hullview.afloat.equilibrium import float_hull as float_hull
    from hullview.afloat.righting import RightingCurve as RightingCurve
    from hullview.afloat.righting import righting_curve as righting_curve
    from hullview.answer.checks import Check as Check
    from hullview.boat.model import Boat as Boat
    from hullview.boat.reader import read_boat as read_boat
    from hullview.errors import BoatFileError as BoatFileError
    from hullview.errors import HullviewError as HullviewError
    from hullview.errors import MeshError as MeshError
    from hullview.errors import ShapeError as ShapeError
    from hullview.errors import SolveError as SolveError
    from hullview.errors import UsageError as UsageError
    from hullview.front import Opened as Opened
    from hullview.front import Told as Told
    from hullview.front import open as open
    from hullview.shape.assemble import build_hull as build_hull
    from hullview.shape.body import Body as Body
    from hullview.shape.body import Immersed as Immersed
    from hullview.shape.hull import Hull as Hull
    from hullview.study import Verdict as Verdict
    from hullview.study import carry as carry
    from hullview.weight.total import Weight as Weight
    from hullview.weight.total import weigh as weigh

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
    "Opened": "front",
    "Rest": "afloat.equilibrium",
    "RightingCurve": "afloat.righting",
    "ShapeError": "errors",
    "SolveError": "errors",
    "UsageError": "errors",
    "Told": "front",
    "Verdict": "study",
    "Weight": "weight.total",
    "build_hull": "shape.assemble",
    "carry": "study",
    "float_body": "afloat.equilibrium",
    "float_hull": "afloat.equilibrium",
    "open": "front",
    "read_boat": "boat.reader",
    "righting_curve": "afloat.righting",
    "weigh": "weight.total",
}

__all__ = list(_ROOM_OF)


def __getattr__(name: str) -> object:
    if name == "__version__":
        from importlib.metadata import PackageNotFoundError, version

        try:
            return version("hullview")
        except PackageNotFoundError:
            return "not installed"
    room = _ROOM_OF.get(name)
    if room is None:
        raise AttributeError(f"module 'hullview' has no attribute {name!r}")
    value = getattr(importlib.import_module(f"hullview.{room}"), name)
    globals()[name] = value  # found once, found for good
    return value


def __dir__() -> list[str]:
    return sorted([*globals(), *_ROOM_OF])
