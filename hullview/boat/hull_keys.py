"""The keys of boat.toml that say what it is and what goes aboard: hull, openings, tanks, load, water,
limits."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from hullview.boat import values as v
from hullview.boat.key_table import Key, KeyTable, inline
from hullview.boat.model import POSTURES

THIN = 1e-4
"""Nothing that is planked, glued up or cut is thinner [m]; a smaller number is a slip of the unit."""

# ---------------------------------------------------------------- the hull

UNITS = ("mm", "cm", "m", "in", "ft", "ft-in-eighths")


def _hull_kind(given: Mapping[str, Any]) -> str:
    return "mesh" if "mesh" in given and "offsets" not in given else "table of offsets"


def _end_kind(given: Mapping[str, Any]) -> str:
    return "transom" if given.get("transom") is True else "stem"


END = KeyTable(
    "a stem or transom",
    (
        Key("profile", v.points(2)),
        Key("siding", v.length(0.0, 0.5), only=("stem",)),
        Key("transom", v.flag()),
    ),
    _end_kind,
)
HULL = KeyTable(
    "hull",
    (
        Key("offsets", v.text(), needed=("table of offsets",), only=("table of offsets",)),
        Key("mesh", v.text(), only=("mesh",)),
        Key("units", v.choice(*UNITS), needed=("mesh",)),
        Key("measured_to", v.choice("outside", "inside"), needed=True),
        Key("type", v.choice("decked", "open"), needed=True),
        Key("design_displacement", v.mass(100_000)),
        Key("bow", inline(END), only=("table of offsets",)),
        Key("stern", inline(END), only=("table of offsets",)),
    ),
    _hull_kind,
)


def _opening_kind(given: Mapping[str, Any]) -> str:
    return "rim with an outline" if "outline" in given else "rim by length and width"


OPENING = KeyTable(
    "opening",
    (
        Key("centre", v.aft(), only=("rim by length and width",), needed=("rim by length and width",)),
        Key("length", v.length(), only=("rim by length and width",), needed=("rim by length and width",)),
        Key("width", v.length(), only=("rim by length and width",), needed=("rim by length and width",)),
        Key("outline", v.points(3, "[aft of datum, half-width]", 0.0)),
        Key("coaming", v.coaming()),
        Key("cover", v.choice("none", "spray deck")),
    ),
    _opening_kind,
)
HATCH = KeyTable(
    "hatch",
    (
        Key("centre", v.aft(), needed=True),
        Key("length", v.length(), needed=True),
        Key("width", v.length(), needed=True),
        Key("cover", v.choice("sealed", "loose")),
    ),
)


def _wall_kind(given: Mapping[str, Any]) -> str:
    return "cloth bulkhead" if "cloth" in given else "wooden bulkhead"


BULKHEAD = KeyTable(
    "bulkhead",
    (
        Key("position", v.aft(), needed=True),
        Key("wood", v.material("wood"), only=("wooden bulkhead",), needed=("wooden bulkhead",)),
        Key("cloth", v.material("cloth")),
        Key("layers", v.count(1, 50), only=("cloth bulkhead",)),
        Key("resin", v.material("resin"), only=("cloth bulkhead",)),
        Key("thickness", v.length(THIN, 0.2), only=("wooden bulkhead",), needed=("wooden bulkhead",)),
        Key("watertight", v.flag()),
    ),
    _wall_kind,
)
TANK = KeyTable(
    "tank",
    (
        Key("name", v.text()),
        Key("from", v.aft(), "start", needed=True),
        Key("to", v.aft(), "end", needed=True),
        Key("inboard", v.length(0.0)),
        Key("top", v.position()),
    ),
)
FLOTATION = KeyTable(
    "flotation",
    (
        Key("name", v.text()),
        Key("volume", v.quantity("volume", None, 10.0, "m3"), needed=True),
        Key("at", v.spot(), needed=True),
    ),
)
FLOODING = KeyTable("flooding point", (Key("name", v.text(), needed=True), Key("at", v.spot(), needed=True)))
APPENDAGE = KeyTable(
    "appendage",
    (
        Key("name", v.text(), needed=True),
        Key("outline", v.points(3), needed=True),
        Key("thickness", v.length(THIN, 0.5), needed=True),
        Key("wood", v.material("wood"), needed=True),
        Key("is", v.usual_item(), "is_a"),
    ),
)

# ---------------------------------------------------------------- who and what goes aboard

RANGE = ("low", "likely", "high")
PADDLER = KeyTable(
    "paddler",
    (
        Key("name", v.text()),
        Key("mass", v.mass(500), needed=True),
        Key("posture", v.choice(*POSTURES)),
        Key("seat_back", v.aft(), needed=True),
        Key("seat_height", v.length(-0.2, 2.0)),
        Key("centre_height", v.row(RANGE, ascending=True)),
        Key("centre_forward", v.row(RANGE, ascending=True)),
        Key("side", v.position()),
        Key("faces", v.choice("bow", "stern")),
        Key("seat_depth", v.length(0.05, 1.0)),
        Key("stature", v.length(0.5, 2.5)),
    ),
)
GEAR = KeyTable(
    "gear",
    (
        Key("name", v.text()),
        Key("mass", v.mass(5000), needed=True),
        Key("at", v.spot(optional=1, outside=0.0), needed=True),
        Key("roams", v.length(high=2.0)),
    ),
)


def _water_kind(given: Mapping[str, Any]) -> str:
    return "water of a kind" if "kind" in given else "water of a density"


WATER = KeyTable(
    "water",
    (
        Key("kind", v.choice("fresh", "salt")),
        Key("density", v.density(900, 1300), only=("water of a density",)),
    ),
    _water_kind,
)
LIMITS = KeyTable(
    "limits",
    (
        Key("freeboard", v.length(0.0, 2.0)),
        Key("height_to_flooding", v.length(0.0, 2.0)),
        Key("flooding_heel", v.quantity("angle", 0.0, 3.1415927, "rad")),
        Key("gm", v.length(-1.0, 2.0)),
        Key("trim", v.length(0.0, 2.0)),
        Key("trim_stern", v.length(0.0, 2.0)),
        Key("trim_bow", v.length(0.0, 2.0)),
        Key("lean", v.length(0.0, 2.0)),
        Key("lean_bench", v.length(0.0, 2.0)),
        Key("reach", v.length(0.0, 2.0)),
        Key("over_design", v.share(0.0, 10.0)),
        Key("under_design", v.share()),
        Key("draft_solo", v.length(0.0, 2.0)),
        Key("draft_tandem", v.length(0.0, 2.0)),
        Key("reserve_of_buoyancy", v.share(0.0, 10.0)),
    ),
)
