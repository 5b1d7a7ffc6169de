"""Every key of boat.toml in one table: what it is called, how it is read, where it stands in the model, when it means something."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

from hullview.boat import values as v
from hullview.boat.ledger import Ledger, shown
from hullview.boat.model import POSTURES
from hullview.boat.values import Reader, one_of
from hullview.boat.where import Path

Kinds = tuple[str, ...]


@dataclass(frozen=True)
class Key:
    """One key. name: in the file. field: in the model, if it differs.

    only: kinds of its table for which it means something (all, if empty). needed: True, or the kinds that need it.
    """

    name: str
    read: Reader
    field: str = ""
    only: Kinds = ()
    needed: bool | Kinds = False


@dataclass(frozen=True)
class Sheet:
    """One kind of table: its keys, what each entry is called in messages, and how its kind is told (None: one kind)."""

    what: str
    keys: tuple[Key, ...]
    kind: Callable[[Mapping[str, Any]], str] | None = None

    @property
    def names(self) -> tuple[str, ...]:
        return tuple(k.name for k in self.keys)


def fill(ledger: Ledger, path: Path, given: object, sheet: Sheet) -> dict[str, Any] | None:
    """Read one table by its sheet: the values by field of the model, or None if anything is wrong with it."""
    if not isinstance(given, dict):
        ledger.wrong(path, shown(given), f"must be a table of {one_of(sheet.names[:4])}, ...")
        return None
    before = len(ledger.mistakes)
    for name in given:
        if name not in sheet.names:
            ledger.unknown((*path, name), sheet.names)
    kind = sheet.kind(given) if sheet.kind else ""
    # Where the kind itself is wrong or missing, that is the mistake; what belongs to which kind cannot be said.
    unsure = sheet.kind is not None and not kind
    found: dict[str, Any] = {}
    for key in sheet.keys:
        here = (*path, key.name)
        if key.name not in given:
            if key.needed is True or (isinstance(key.needed, tuple) and kind in key.needed):
                of = f" of {_a(kind)}" if kind and key.needed is not True else ""
                ledger.wrong(here, "", f"is missing{of}", f"Add it: {key.read.says}.")
            continue
        if key.only and kind not in key.only and not unsure:
            of = _a(kind) if kind else "this"
            mend = f"Leave it out; it belongs to {one_of([_a(k) for k in key.only])}."
            ledger.wrong(here, shown(given[key.name]), f"does nothing for {of}", mend)
            continue
        value = key.read(ledger, here, given[key.name])
        found[key.field or key.name] = value
    sound = len(ledger.mistakes) == before and not any(value is None for value in found.values())
    return found if sound else None


def _a(kind: str) -> str:
    """The kind with its article; planking and water have none."""
    if kind.endswith("planking") or kind.startswith("water"):
        return kind
    return f"{'an' if kind[:1] in 'aeiou' else 'a'} {kind}"


def inline(sheet: Sheet) -> Reader:
    """A table inside a value: `fairing_loss = { outside = "0.5 mm" }`."""

    def read(ledger: Ledger, path: Path, given: object) -> dict[str, Any] | None:
        return fill(ledger, path, given, sheet)

    return Reader(read, f"a table of {one_of(sheet.names)}")


def listed(sheet: Sheet) -> Reader:
    """A list of tables inside a table."""

    def read(ledger: Ledger, path: Path, given: object) -> tuple[dict[str, Any], ...] | None:
        if not isinstance(given, list) or not given:
            ledger.wrong(path, shown(given), f"must be a list of {sheet.what}")
            return None
        found = [fill(ledger, (*path, i), g, sheet) for i, g in enumerate(given)]
        return None if any(f is None for f in found) else tuple(f for f in found if f is not None)

    return Reader(read, f"a list of {sheet.what}")


THIN = 1e-4
"""Nothing that is planked, glued up or cut is thinner [m]; a smaller number is a slip of the unit."""

# ---------------------------------------------------------------- the hull

UNITS = ("mm", "cm", "m", "in", "ft", "ft-in-eighths")


def _hull_kind(given: Mapping[str, Any]) -> str:
    return "mesh" if "mesh" in given and "offsets" not in given else "table of offsets"


def _end_kind(given: Mapping[str, Any]) -> str:
    return "transom" if given.get("transom") is True else "stem"


END = Sheet(
    "a stem or transom",
    (
        Key("profile", v.points(2)),
        Key("siding", v.length(0.0, 0.5), only=("stem",)),
        Key("transom", v.flag()),
    ),
    _end_kind,
)
HULL = Sheet(
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


OPENING = Sheet(
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
HATCH = Sheet(
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


BULKHEAD = Sheet(
    "bulkhead",
    (
        Key("position", v.aft(), needed=True),
        Key("wood", v.material("wood"), only=("wooden bulkhead",), needed=("wooden bulkhead",)),
        Key("cloth", v.material("cloth")),
        Key("layers", v.count(1, 50), only=("cloth bulkhead",)),
        Key("thickness", v.length(THIN, 0.2), only=("wooden bulkhead",), needed=("wooden bulkhead",)),
        Key("watertight", v.flag()),
    ),
    _wall_kind,
)
TANK = Sheet(
    "tank",
    (
        Key("name", v.text()),
        Key("from", v.aft(), "start", needed=True),
        Key("to", v.aft(), "end", needed=True),
        Key("inboard", v.length(0.0)),
        Key("top", v.position()),
    ),
)
FLOTATION = Sheet(
    "flotation",
    (
        Key("name", v.text()),
        Key("volume", v.quantity("volume", None, 10.0, "m3"), needed=True),
        Key("at", v.spot(), needed=True),
    ),
)
FLOODING = Sheet("flooding point", (Key("name", v.text(), needed=True), Key("at", v.spot(), needed=True)))
APPENDAGE = Sheet(
    "appendage",
    (
        Key("name", v.text(), needed=True),
        Key("outline", v.points(3), needed=True),
        Key("thickness", v.length(THIN, 0.5), needed=True),
        Key("wood", v.material("wood"), needed=True),
    ),
)

# ---------------------------------------------------------------- who and what goes aboard

RANGE = ("low", "likely", "high")
PADDLER = Sheet(
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
    ),
)
GEAR = Sheet(
    "gear",
    (Key("name", v.text()), Key("mass", v.mass(5000), needed=True), Key("at", v.spot(optional=1), needed=True)),
)
LOAD = Sheet("load", (Key("paddler", v.flag()), Key("gear", v.flag())))


def _water_kind(given: Mapping[str, Any]) -> str:
    return "water of a kind" if "kind" in given else "water of a density"


WATER = Sheet(
    "water",
    (
        Key("kind", v.choice("fresh", "salt")),
        Key("density", v.density(900, 1300), only=("water of a density",)),
    ),
    _water_kind,
)
LIMITS = Sheet(
    "limits",
    (
        Key("freeboard", v.length(0.0, 2.0)),
        Key("height_to_flooding", v.length(0.0, 2.0)),
        Key("flooding_heel", v.quantity("angle", 0.0, 3.1415927, "rad")),
        Key("gm", v.length(-1.0, 2.0)),
        Key("trim", v.length(0.0, 2.0)),
        Key("lean", v.length(0.0, 2.0)),
        Key("reserve_of_buoyancy", v.share(0.0, 10.0)),
    ),
)

# ---------------------------------------------------------------- how she is built

PLANKED = ("hull", "deck", "transom")
SKINS = (
    "hull outside", "hull inside", "deck outside", "deck inside", "transom", "transom inside", "bulkheads", "bottom",
)  # fmt: skip
LINES = ("sheer", "keel", "bow stem", "stern stem", "coaming", "hatch", "chine", "transom")


PLANKING_KINDS = ("strip", "sheet", "lapped")


def _planking_kind(given: Mapping[str, Any]) -> str:
    kind = given.get("kind", "strip")
    return f"{kind} planking" if kind in PLANKING_KINDS else ""


STRIP, LAPPED = "strip planking", "lapped planking"
LOSS = Sheet(
    "fairing loss",
    (Key("outside", v.length(0.0, 0.05), "loss_outside"), Key("inside", v.length(0.0, 0.05), "loss_inside")),
)
PLANKING = Sheet(
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


SKIN = Sheet(
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


RUN = Sheet(
    "run",
    (
        Key("along", v.named(), needed=True),
        Key("kind", v.choice(*RUN_KINDS), needed=True),
        Key("name", v.text()),
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
        Key("mass_per_length", v.quantity("mass per length", None, 100, "kg/m"), only=("cord",), needed=("cord",)),
    ),
    _run_kind,
)


def _piece_kind(given: Mapping[str, Any]) -> str:
    return "piece by mass" if "mass" in given else "piece by size"


PIECE = Sheet(
    "piece",
    (
        Key("name", v.text(), needed=True),
        Key("at", v.spot(), needed=True),
        Key("mass", v.mass(5000)),
        Key("wood", v.material("wood"), only=("piece by size",), needed=("piece by size",)),
        Key("size", v.row(("length", "width", "thickness"), low=1e-5), only=("piece by size",), needed=("piece by size",)),
        Key("count", v.count(1, 10_000)),
    ),
    _piece_kind,
)
SCHEDULE: Mapping[str, Sheet] = {"planking": PLANKING, "skin": SKIN, "run": RUN, "piece": PIECE}
BUILD = Sheet("build", (Key("hours", v.number(0, 100_000)), Key("note", v.text(20_000, lines=True))))

# ---------------------------------------------------------------- the shop's own


def _material_kind(given: Mapping[str, Any]) -> str:
    kind = given.get("kind")
    if kind == "wood":
        return WEIGHED_WOOD if "mass" in given else "wood"
    return str(kind) if kind in MATERIAL_KINDS else ""


MATERIAL_KINDS = ("wood", "cloth", "resin", "coating")
WEIGHED_WOOD = "wood from a weighed strip"
WOODS = ("wood", WEIGHED_WOOD)
MATERIAL = Sheet(
    "material",
    (
        Key("name", v.text(100), needed=True),
        Key("kind", v.choice(*MATERIAL_KINDS), needed=True),
        Key("density", v.density(50, 25_000), only=("wood", "resin")),
        Key("length", v.length(), only=WOODS, needed=(WEIGHED_WOOD,)),
        Key("width", v.length(), only=WOODS, needed=(WEIGHED_WOOD,)),
        Key("thickness", v.length(), only=WOODS, needed=(WEIGHED_WOOD,)),
        Key("mass", v.mass(5000), only=WOODS),
        Key("areal_weight", v.quantity("areal weight", None, 10.0, "kg/m2"), "areal", only=("cloth", "coating")),
        Key("source", v.text(2000)),
        Key("like", v.text(100)),
        Key("price", v.number(0, 1e9)),
        Key("price_per", v.text(50)),
        Key("currency", v.text(20)),
        Key("roll_width", v.length(0.01, 10.0), only=("cloth",)),
        Key("packs", v.several(v.mass(1000), "masses"), only=("resin",)),
    ),
    _material_kind,
)
STAGES = ("strips milled", "hull stripped", "faired", "glassed out", "glassed in", "joined", "fitted")
WEIGHED = Sheet(
    "weighed stage",
    (
        Key("stage", v.choice(*STAGES), needed=True),
        Key("mass", v.mass(5000), needed=True),
        Key("on", v.words()),
        Key("scale_error", v.mass(100, 0.0)),
    ),
)
FREEBOARD = Sheet(
    "freeboards",
    (
        Key("position", v.aft(0.05), needed=True),
        Key("freeboard", v.length(-1.0, 5.0), needed=True),
        Key("side", v.choice("starboard", "port", "both")),
    ),
)
INCLINING = Sheet(
    "inclining readings",
    (
        Key("mass", v.mass(5000), needed=True),
        Key("distance", v.length(-5.0, 5.0), needed=True),
        Key("heel", v.quantity("angle", -1.5, 1.5, "rad"), needed=True),
    ),
)
AFLOAT = Sheet(
    "afloat",
    (
        Key("freeboards", listed(FREEBOARD)),
        Key("inclining", listed(INCLINING)),
        Key("load", listed(GEAR)),
        Key("note", v.text(20_000, lines=True)),
    ),
)
CONSUMABLE = Sheet(
    "consumable",
    (Key("name", v.text(), needed=True), Key("quantity", v.amount(), needed=True), Key("price", v.number(0, 1e9))),
)
ORDER = Sheet(
    "order",
    (
        Key("stock_length", v.length(0.1)),
        Key("joint", v.choice("scarf", "butt")),
        Key("board_width", v.length(0.01, 5.0)),
        Key("kerf", v.length(0.0, 0.02)),
        Key("strip_waste", v.share()),
        Key("cloth_overhang", v.length(0.0, 1.0)),
        Key("roll_width", v.length(0.01, 10.0)),
        Key("resin_waste", v.share()),
        Key("resin_packs", v.several(v.mass(1000), "masses")),
    ),
)

# ---------------------------------------------------------------- the whole file

LISTS: Mapping[str, Sheet] = {
    "opening": OPENING, "hatch": HATCH, "bulkhead": BULKHEAD, "tank": TANK, "flotation": FLOTATION,
    "flooding": FLOODING, "appendage": APPENDAGE, "material": MATERIAL, "weighed": WEIGHED, "afloat": AFLOAT,
    "consumable": CONSUMABLE,
}  # fmt: skip
"""Tables written [[opening]], one for each."""
TABLES: Mapping[str, Sheet] = {"water": WATER, "limits": LIMITS, "order": ORDER}
"""Tables written [water], once."""
PLAIN: tuple[Key, ...] = (
    Key("name", v.text(), needed=True),
    Key("builder", v.text(2000, lines=True)),
    Key("notes", v.text(20_000, lines=True)),
    Key("source", v.text(20_000, lines=True)),
    Key("without", v.words()),
    Key("care", v.choice("careful", "usual", "heavy-handed")),
)
GROUPS = ("hull", "load", "schedule", "builds")
TOP = (*(k.name for k in PLAIN), *GROUPS, *LISTS, *TABLES)
