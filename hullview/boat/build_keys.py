"""The keys of boat.toml that say how the boat is built: schedule, builds, the shop's own materials, the
scale, the water, the order."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from hullview.boat import values as v
from hullview.boat.hull_keys import GEAR, THIN
from hullview.boat.key_table import Key, KeyTable, inline, listed
from hullview.boat.shop_keys import CAN

# ---------------------------------------------------------------- how it is built

PLANKED = ("hull", "deck", "transom")
SKINS = (
    "hull outside",
    "hull inside",
    "deck outside",
    "deck inside",
    "transom",
    "transom inside",
    "bulkheads",
    "bottom",
)
LINES = ("sheer", "keel", "bow stem", "stern stem", "coaming", "hatch", "chine", "transom")


PLANKING_KINDS = ("strip", "sheet", "lapped")


def _planking_kind(given: Mapping[str, Any]) -> str:
    kind = given.get("kind", "strip")
    return f"{kind} planking" if kind in PLANKING_KINDS else ""


STRIP, LAPPED = "strip planking", "lapped planking"
LOSS = KeyTable(
    "fairing loss",
    (Key("outside", v.length(0.0, 0.05), "loss_outside"), Key("inside", v.length(0.0, 0.05), "loss_inside")),
)
PLANKING = KeyTable(
    "planking",
    (
        Key("where", v.named(PLANKED)),
        Key("band", v.row(("from girth below the sheer", "to"), ascending=True, low=0.0)),
        Key("kind", v.choice(*PLANKING_KINDS)),
        Key("wood", v.material("wood"), needed=True),
        Key("thickness", v.length(THIN, 0.2), needed=True),
        Key("strip_width", v.length(0.001, 1.0), only=(STRIP, LAPPED), needed=(LAPPED,)),
        Key("edge", v.choice("bead and cove", "square"), only=(STRIP,)),
        Key("lap", v.length(high=0.5), only=(LAPPED,)),
        Key("fairing_loss", inline(LOSS)),
    ),
    _planking_kind,
)


def _skin_kind(given: Mapping[str, Any]) -> str:
    return "coating" if "coating" in given else "cloth"


SKIN = KeyTable(
    "skin",
    (
        Key("where", v.named(SKINS), needed=True),
        Key("cloth", v.material("cloth"), only=("cloth",)),
        Key("layers", v.count(0, 50, "Use 0 for a bare face."), only=("cloth",)),
        Key("fill_coats", v.count(0, 50), only=("cloth",)),
        Key("seal_coat", v.flag(), only=("cloth",)),
        Key("resin", v.material("resin"), only=("cloth",)),
        Key("overlap", v.length(0.0, 1.0), only=("cloth",)),
        Key("coating", v.material("coating")),
        Key("coats", v.count(1, 50), only=("coating",), needed=("coating",)),
        Key("below", v.position()),
        Key("girth", v.length()),
    ),
    _skin_kind,
)
RUN_KINDS = ("lamination", "solid", "fillet", "tape", "glue line", "cord")
STICKS = ("lamination", "solid")


def _run_kind(given: Mapping[str, Any]) -> str:
    kind = given.get("kind")
    return str(kind) if kind in RUN_KINDS else ""


RUN = KeyTable(
    "run",
    (
        Key("along", v.named(), needed=True),
        Key("kind", v.choice(*RUN_KINDS), needed=True),
        Key("name", v.text()),
        Key("is", v.usual_item(), "is_a"),
        Key("wood", v.material("wood"), only=STICKS, needed=STICKS),
        Key("cloth", v.material("cloth"), only=("tape",), needed=("tape",)),
        Key("resin", v.material("resin"), only=("lamination", "solid", "fillet", "tape", "glue line")),
        Key("plies", v.count(1, 100), only=("lamination",), needed=("lamination",)),
        Key("ply_thickness", v.length(THIN, 0.1), only=("lamination",), needed=("lamination",)),
        Key("thickness", v.length(1e-5, 0.3), only=("solid", "glue line"), needed=("solid",)),
        Key("depth", v.length(THIN, 1.0), only=(*STICKS, "glue line"), needed=(*STICKS, "glue line")),
        Key("radius", v.length(THIN, 0.2), only=("fillet",), needed=("fillet",)),
        Key("width", v.length(0.001, 2.0), only=("tape",), needed=("tape",)),
        Key("layers", v.count(1, 50), only=("tape",)),
        Key("side", v.choice("inside", "outside"), only=(*STICKS, "tape", "glue line", "cord")),
        Key("from", v.aft(), "start"),
        Key("to", v.aft(), "end"),
        Key("solid_share", v.share(), only=STICKS),
        Key(
            "mass_per_length",
            v.quantity("mass per length", None, 100, "kg/m"),
            only=("cord",),
            needed=("cord",),
        ),
    ),
    _run_kind,
)


def _piece_kind(given: Mapping[str, Any]) -> str:
    return "piece by mass" if "mass" in given else "piece by size"


PIECE = KeyTable(
    "piece",
    (
        Key("name", v.text(), needed=True),
        Key("is", v.usual_item(), "is_a"),
        Key("at", v.spots(), "places", needed=True),
        Key("mass", v.mass(5000)),
        Key("wood", v.material("wood"), only=("piece by size",), needed=("piece by size",)),
        Key(
            "size",
            v.row(("length", "width", "thickness"), low=1e-5),
            only=("piece by size",),
            needed=("piece by size",),
        ),
        Key("lies", v.choice("fore and aft", "athwart"), only=("piece by size",)),
        Key("on_edge", v.flag(), only=("piece by size",)),
        Key("scribed", v.flag(), only=("piece by size",)),
        Key("count", v.count(1, 10_000)),
    ),
    _piece_kind,
)
SCHEDULE: Mapping[str, KeyTable] = {"planking": PLANKING, "skin": SKIN, "run": RUN, "piece": PIECE}
BUILD = KeyTable("build", (Key("hours", v.number(0, 100_000)), Key("note", v.text(20_000, lines=True))))

# ---------------------------------------------------------------- the shop's own


def _material_kind(given: Mapping[str, Any]) -> str:
    kind = given.get("kind")
    if kind == "wood":
        return WEIGHED_WOOD if "mass" in given else "wood"
    return str(kind) if kind in MATERIAL_KINDS else ""


MATERIAL_KINDS = ("wood", "cloth", "resin", "coating")
WEIGHED_WOOD = "wood from a weighed strip"
WOODS = ("wood", WEIGHED_WOOD)
MATERIAL = KeyTable(
    "material",
    (
        Key("name", v.text(100), needed=True),
        Key("kind", v.choice(*MATERIAL_KINDS), needed=True),
        Key("density", v.density(50, 25_000), only=("wood", "resin")),
        Key("length", v.length(), only=WOODS, needed=(WEIGHED_WOOD,)),
        Key("width", v.length(), only=WOODS, needed=(WEIGHED_WOOD,)),
        Key("thickness", v.length(), only=WOODS, needed=(WEIGHED_WOOD,)),
        Key("mass", v.mass(5000), only=WOODS),
        Key(
            "areal_weight",
            v.quantity("areal weight", None, 10.0, "kg/m2"),
            "areal",
            only=("cloth", "coating"),
        ),
        Key("source", v.text(2000)),
        Key("like", v.text(100)),
        Key("price", v.number(0, 1e9)),
        Key("price_per", v.text(50)),
        Key("currency", v.text(20)),
        Key("roll_width", v.length(0.01, 10.0), only=("cloth",)),
        Key("packs", v.several(v.mass(1000), "masses"), only=("resin",)),
        *CAN,
    ),
    _material_kind,
)
WEIGHED = KeyTable(
    "weighed stage",
    (
        Key("stage", v.stage(), needed=True),
        Key("mass", v.mass(5000), needed=True),
        Key("on", v.words()),
        Key("scale_error", v.mass(100, 0.0)),
        Key("build", v.text(100)),
        Key("on_forms", v.flag()),
        Key("forms_mass", v.mass(5000)),
    ),
)
FREEBOARD = KeyTable(
    "freeboards",
    (
        Key("position", v.aft(0.05), needed=True),
        Key("freeboard", v.length(-1.0, 5.0), needed=True),
        Key("side", v.choice("starboard", "port", "both")),
    ),
)
INCLINING = KeyTable(
    "inclining readings",
    (
        Key("mass", v.mass(5000), needed=True),
        Key("distance", v.length(-5.0, 5.0), needed=True),
        Key("heel", v.quantity("angle", -1.5, 1.5, "rad"), needed=True),
    ),
)
AFLOAT = KeyTable(
    "afloat",
    (
        Key("freeboards", listed(FREEBOARD)),
        Key("inclining", listed(INCLINING)),
        Key("load", listed(GEAR)),
        Key("note", v.text(20_000, lines=True)),
        Key("build", v.text(100)),
    ),
)
CONSUMABLE = KeyTable(
    "consumable",
    (
        Key("name", v.text(), needed=True),
        Key("quantity", v.amount(), needed=True),
        Key("price", v.number(0, 1e9)),
    ),
)
ORDER = KeyTable(
    "order",
    (
        Key("stock_length", v.length(0.1)),
        Key("joint", v.choice("scarf", "butt")),
        Key("board_width", v.length(0.01, 5.0)),
        Key("board_thickness", v.length(0.001, 1.0)),
        Key("kerf", v.length(0.0, 0.02)),
        Key("planing", v.length(0.0, 0.02)),
        Key("strip_waste", v.share()),
        Key("cloth_overhang", v.length(0.0, 1.0)),
        Key("roll_width", v.length(0.01, 10.0)),
        Key("resin_waste", v.share()),
        Key("squeeze_out", v.share()),
        Key("resin_packs", v.several(v.mass(1000), "masses")),
    ),
)


def _strongback_kind(given: Mapping[str, Any]) -> str:
    return "ladder under the boat" if given.get("kind") == "under" else "bar inside the boat"


_BAR = ("bar inside the boat",)
STRONGBACK = KeyTable(
    "strongback",
    (
        Key("kind", v.choice("inside", "under")),
        Key("width", v.length(0.005, 3.0)),
        Key("height", v.length(0.005, 1.0), only=_BAR),
        Key("at", v.position()),
        Key("clearance", v.length(0.0, 0.05), only=_BAR),
    ),
    _strongback_kind,
)
FORMS = KeyTable(
    "forms",
    (
        Key("thickness", v.length(0.001, 0.1)),
        Key("edge", v.choice("square", "bevelled")),
        Key("strongback", inline(STRONGBACK)),
        Key("tool", v.length(0.0005, 0.05)),
    ),
)
