"""What a builder wrote, as data: frozen, complete, SI units, no file access.

Frame: x aft of the bow datum, y to starboard, z up from the base line. Lengths [m], masses [kg], angles
[rad]. Defaults stand here and nowhere else; the reader fills in only what the builder wrote.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from typing import Any, Literal

from hullview.boat.form_settings import FormSettings
from hullview.boat.people import NOBODY, named_seats
from hullview.boat.people import POSTURES as POSTURES
from hullview.boat.people import Case as Case
from hullview.boat.people import Gear as Gear
from hullview.boat.people import Load as Load
from hullview.boat.people import Paddler as Paddler
from hullview.boat.people import Range as Range
from hullview.boat.people import Way as Way
from hullview.boat.readings import FreeboardReading, Inclining, WeighedStage
from hullview.boat.usual import phrases
from hullview.errors import UsageError, did_you_mean

Point = tuple[float, float, float]


# ---------------------------------------------------------------- the table of offsets


@dataclass(frozen=True)
class TableLine:
    """One row of the table of offsets.

    measure: "height" or "half-breadth" (or "distance", along a diagonal, written half-breadth in the file).
    name: "sheer", "keel", "rabbet", "chine", "chine 1", ..., "waterline", "buttock", "diagonal", "deck".
    at: waterline height or buttock half-breadth [m]; None for a named line.
    angle: of a diagonal, down from the horizontal [rad]; its `at` is then the height on the centre line.
    values: one per station [m]; None where the line does not cross that station.
    row: line number in the file, for messages.
    """

    measure: Literal["height", "half-breadth"]
    name: str
    at: float | None
    values: tuple[float | None, ...]
    angle: float | None = None
    row: int = 0

    @property
    def label(self) -> str:
        """The row as a person names it: "half-breadth waterline 50 mm"."""
        if self.at is None:
            return f"{self.measure} {self.name}"
        where = f"{self.at * 1000:g}" + (
            f"/{self.angle * 57.29577951308232:g}" if self.angle is not None else ""
        )
        return f"{self.measure} {self.name} {where}"


@dataclass(frozen=True)
class Table:
    """The table of offsets: stations [m aft of the bow datum], its rows, the shape of the centre line at each
    station.

    keel_shape: "round", "vee" or "flat" for each station; deck_shape: "smooth" or "ridge".
    keel_said: the shape of the centre line stands in the table (a row for it, or a rabbet), and is not our
    default. column_names: the station names of the header. file: name for messages. cells: text as written,
    by (row, column) of the file.
    """

    stations: tuple[float, ...]
    lines: tuple[TableLine, ...]
    keel_shape: tuple[str, ...]
    deck_shape: tuple[str, ...]
    column_names: tuple[str, ...] = ()
    file: str = "offsets.csv"
    unit: str = "mm"
    keel_given: bool = True

    def find(self, measure: str, name: str) -> TableLine | None:
        """The one row of a named line, or None."""
        return next((r for r in self.lines if r.measure == measure and r.name == name and r.at is None), None)

    def column(self, j: int) -> str:
        """The name of a station in messages: its column's name, or its number where none has one."""
        return self.column_names[j] if self.column_names else str(j)

    @property
    def names(self) -> tuple[str, ...]:
        """The names of all stations."""
        return tuple(self.column(j) for j in range(len(self.stations)))

    @property
    def decked(self) -> bool:
        return any(r.name == "deck" for r in self.lines)

    @property
    def chines(self) -> tuple[str, ...]:
        """Names of the knuckles, from the keel outward as they stand in the table."""
        seen = dict.fromkeys(r.name for r in self.lines if r.name.startswith("chine"))
        return tuple(seen)


# ---------------------------------------------------------------- the hull


@dataclass(frozen=True)
class End:
    """A stem or a transom: profile points [m, m] from the sheer down to the keel line, siding [m], transom or
    not.

    A point given twice is a corner. profile None: plumb at the end station.
    """

    profile: tuple[tuple[float, float], ...] | None = None
    siding: float = 0.0
    transom: bool = False


@dataclass(frozen=True)
class HullForm:
    """Where the shape comes from: a table of offsets, or a closed mesh file already read.

    measured_to: "outside" or "inside" of the planking. type: "decked" or "open".
    mesh: (vertices (n, 3) [m], faces (m, 3)) as nested tuples or arrays, when there is no table.
    """

    type: Literal["decked", "open"]
    measured_to: Literal["outside", "inside"]
    table: Table | None = None
    mesh: tuple[Any, ...] | None = field(default=None, compare=False)
    mesh_file: str | None = None
    bow: End = End()
    stern: End = End()
    design_displacement: float | None = None


@dataclass(frozen=True)
class Opening:
    """A cockpit. outline: ((aft, half-width), ...) in plan [m], or None for the ellipse-like rim of length by
    width.

    coaming: height of the rim above the deck [m] (fore, side, aft). cover: "none" or "spray deck".
    """

    centre: float
    length: float
    width: float
    outline: tuple[tuple[float, float], ...] | None = None
    coaming: tuple[float, float, float] = (0.0, 0.0, 0.0)
    cover: Literal["none", "spray deck"] = "none"


@dataclass(frozen=True)
class Hatch:
    """A hatch in the deck: centre, length, width [m]; cover "sealed" or "loose" (a loose one floods)."""

    centre: float
    length: float
    width: float
    cover: Literal["sealed", "loose"] = "sealed"


@dataclass(frozen=True)
class Bulkhead:
    """A wall across the hull at a position [m] aft of the datum, of a wood or of a cloth laminate wetted
    with `resin`."""

    position: float
    thickness: float
    wood: str | None = None
    cloth: str | None = None
    layers: int = 2
    watertight: bool = True
    resin: str = "epoxy"


@dataclass(frozen=True)
class Tank:
    """Sealed buoyancy cut from the hull between two positions [m], outboard of `inboard`, under `top`
    (None: all)."""

    start: float
    end: float
    inboard: float | None = None
    top: float | None = None
    name: str = "tank"


@dataclass(frozen=True)
class Flotation:
    """Foam or a bag: volume [m3] and its centre."""

    volume: float
    at: Point
    name: str = "flotation"


@dataclass(frozen=True)
class FloodingPoint:
    name: str
    at: Point


@dataclass(frozen=True)
class Appendage:
    """A skeg, outer keel or outer stem on the centre line: closed outline ((aft, up), ...) [m], thickness
    [m], wood. is_a: as of a piece."""

    name: str
    outline: tuple[tuple[float, float], ...]
    thickness: float
    wood: str
    is_a: tuple[str, ...] = ()


# ---------------------------------------------------------------- the water


@dataclass(frozen=True)
class Water:
    """kind "fresh" or "salt", or "given" with the density [kg/m3] the builder wrote (None: looked up in
    afloat.water)."""

    kind: Literal["fresh", "salt", "given"] = "fresh"
    density: float | None = None


# ---------------------------------------------------------------- how it is built


@dataclass(frozen=True)
class Planking:
    """Wood skin. where: "hull", "deck", "transom", or a band of girth below the sheer (from, to) [m] of the
    hull.

    fairing_loss_*: thickness taken off [m]. thickness as milled [m].
    """

    where: str
    wood: str
    thickness: float
    kind: Literal["strip", "sheet", "lapped"] = "strip"
    band: tuple[float, float] | None = None
    strip_width: float = 0.019
    edge: Literal["bead and cove", "square"] = "bead and cove"
    lap: float = 0.018
    loss_outside: float = 0.0005
    loss_inside: float = 0.0003

    @property
    def finished(self) -> float:
        """Thickness left after fairing both faces [m]."""
        return self.thickness - self.loss_outside - self.loss_inside


@dataclass(frozen=True)
class Skin:
    """Cloth and resin, or a coating, over a region.

    where: "hull outside", "hull inside", "deck outside", "deck inside", "transom", "bulkheads", "bottom".
    below: only under this height [m]; girth: only within this girth of the centre line [m] (for "bottom").
    seal_coat None: one on bare wood, none over cloth that stands before it in the schedule.
    cloth None with coating: paint or varnish by coats. overlap: cloth lapped past the region's edge [m].
    """

    where: str
    cloth: str | None = None
    layers: int = 1
    fill_coats: int = 0
    seal_coat: bool | None = None
    resin: str = "epoxy"
    coating: str | None = None
    coats: int = 0
    below: float | None = None
    girth: float | None = None
    overlap: float = 0.0


@dataclass(frozen=True)
class Run:
    """What weighs by length, along a named line; both sides counted where the line is one of a pair.

    kind: "lamination" (plies x ply_thickness by depth), "solid" (thickness by depth), "fillet" (radius),
    "tape" (cloth, width, layers), "glue line" (depth, thickness of the glue), "cord" (mass_per_length).
    along: "sheer", "keel", "bow stem", "stern stem", "coaming", "chine", "chine 1", "hatch", "transom".
    side: "inside" or "outside" of the skin. start, end: limits aft of datum [m] (file keys `from`, `to`).
    solid_share: 1 for no scuppers. width: tape width [m]. is_a: as of a piece.
    """

    along: str
    kind: str
    wood: str | None = None
    cloth: str | None = None
    resin: str = "epoxy"
    plies: int = 1
    ply_thickness: float | None = None
    thickness: float | None = None
    depth: float | None = None
    radius: float | None = None
    width: float | None = None
    layers: int = 1
    side: Literal["inside", "outside"] = "inside"
    start: float | None = None
    end: float | None = None
    solid_share: float = 1.0
    mass_per_length: float | None = None
    name: str | None = None
    is_a: tuple[str, ...] = ()

    @property
    def stick(self) -> bool:
        """A lamination or a solid stick."""
        return self.kind in ("lamination", "solid")


Lie = Literal["fore and aft", "athwart"]

ATHWART_WORDS = frozenset((
    "thwart", "seat", "bench", "yoke", "beam", "frame", "floors", "stretcher", "breasthook",
))  # fmt: skip
"""A piece with one of these words in its name lies across the boat, with its longer side athwart, unless it
is a side seat or says otherwise (common practice, no source)."""


@dataclass(frozen=True)
class Piece:
    """What weighs by the piece: a mass, or a wood and a size; at its centre.

    Parameters
    ----------
    name : str
        What it is called; its words decide how it lies where `lies` is left out.
    at : Point
        Its centre [m]; with `places`, the middle of them.
    mass : float or None
        Of one [kg].
    wood, size : str and (length, width, thickness) [m], or None
        Length runs along the piece's own direction, width across it, thickness up.
    count : int
        How many of them.
    lies : "fore and aft", "athwart" or None
        The direction of its length. None: "athwart" with the longer side athwart for what lies so by its
        name, else "fore and aft".
    on_edge : bool
        It stands on its edge: the width is its height, the thickness lies level.
    scribed : bool
        Cut to the inside of the skin: what of `size` would stand out of it is not aboard.
    places : tuple of Point
        The centre of each [m], where each has its own.
    is_a : tuple of str
        Which of the things that such boats usually have it is (file key `is`), or "other" for none; left out,
        its name decides.
    """

    name: str
    at: Point
    mass: float | None = None
    wood: str | None = None
    size: tuple[float, float, float] | None = None
    count: int = 1
    lies: Lie | None = None
    on_edge: bool = False
    scribed: bool = False
    places: tuple[Point, ...] = ()
    is_a: tuple[str, ...] = ()

    @property
    def each(self) -> tuple[Point, ...]:
        """The centre of each of them [m]: their own places; two off the centre line with one place given
        are a pair."""
        if self.places:
            return self.places
        if self.count == 2 and self.at[1] != 0:
            return (self.at, (self.at[0], -self.at[1], self.at[2]))
        return (self.at,) * self.count

    @property
    def direction(self) -> Lie:
        """How its length lies."""
        if self.lies is not None:
            return self.lies
        for phrase in phrases(self.name):
            word = "floors" if phrase[-1] == "floor" and "floors" in self.name.lower() else phrase[-1]
            if word in ATHWART_WORDS and "side" not in phrase:
                return "athwart"
        return "fore and aft"

    @property
    def extent(self) -> tuple[float, float, float]:
        """How far it reaches aft, to starboard and up, as a box [m]; zeros for a piece without a size.

        >>> Piece("thwart", (2.3, 0.0, 0.3), size=(0.82, 0.05, 0.019)).extent
        (0.05, 0.82, 0.019)
        """
        if self.size is None:
            return (0.0, 0.0, 0.0)
        length, width, thickness = self.size
        if self.lies is None and self.direction == "athwart" and not self.on_edge:
            length, width = max(length, width), min(length, width)
        across, up = (thickness, width) if self.on_edge else (width, thickness)
        return (across, length, up) if self.direction == "athwart" else (length, across, up)


@dataclass(frozen=True)
class Schedule:
    """All that goes into one way of building it."""

    planking: tuple[Planking, ...] = ()
    skins: tuple[Skin, ...] = ()
    runs: tuple[Run, ...] = ()
    pieces: tuple[Piece, ...] = ()

    def __add__(self, other: Schedule) -> Schedule:
        return Schedule(
            self.planking + other.planking,
            self.skins + other.skins,
            self.runs + other.runs,
            self.pieces + other.pieces,
        )


@dataclass(frozen=True)
class Build:
    """One way of building it: a name and the whole schedule (what all builds share, and its own).

    hours: if the shop gave them. nothing_else: item names the builder says it does not have ("usually also"
    is then silent). care: "careful", "usual" or "heavy-handed".
    """

    name: str
    schedule: Schedule
    hours: float | None = None
    note: str = ""


# ---------------------------------------------------------------- the shop's own


@dataclass(frozen=True)
class ShopMaterial:
    """[[material]]: the shop's own wood, cloth, resin or coating; a weighed strip gives its density.

    kind: "wood", "cloth", "resin", "coating". density [kg/m3] (wood, resin); areal [kg/m2] (cloth; coating:
    per coat); like: name of a library material whose other figures are taken over. price per `price_per`. Of
    a resin, off the can: ratio (resin over hardener by volume), resin_density and hardener_density [kg/m3],
    pot_life of 150 g at 25 C with the shop's hardener [s].
    """

    name: str
    kind: str
    density: float | None = None
    areal: float | None = None
    source: str = ""
    like: str | None = None
    price: float | None = None
    price_per: str | None = None
    currency: str | None = None
    roll_width: float | None = None
    packs: tuple[float, ...] = ()
    ratio: float | None = None
    resin_density: float | None = None
    hardener_density: float | None = None
    pot_life: float | None = None


@dataclass(frozen=True)
class AfloatEntry:
    """[[afloat]]: what was measured on the water with a known load aboard (`load`: masses and places).
    build: that was measured; None: the first."""

    freeboards: tuple[FreeboardReading, ...] = ()
    inclining: tuple[Inclining, ...] = ()
    load: tuple[Gear, ...] = ()
    note: str = ""
    build: str | None = None


@dataclass(frozen=True)
class Consumable:
    name: str
    quantity: str
    price: float | None = None


@dataclass(frozen=True)
class Shop:
    """[shop]: where resin is mixed. temperature [C]; hands: pairs of them, 1 or 2; scale: its least count
    [kg]; hardener in use."""

    temperature: float = 20.0
    hands: int = 1
    scale: float = 0.001
    hardener: str = "medium"


@dataclass(frozen=True)
class Order:
    """[order]: how the shop buys. Lengths [m], waste as shares of what is used.

    stock_length, board_width, board_thickness None: of the planed boards that shops sell, those of which
    least is bought. planing: what a strip or ply is sawn over its thickness. roll_width None: the usual roll
    of each cloth. squeeze_out: of the glue left in a clamped joint, as much again as this share is wiped off
    its edges.
    """

    stock_length: float | None = None
    joint: Literal["scarf", "butt"] = "scarf"
    board_width: float | None = None
    board_thickness: float | None = None
    kerf: float = 0.003
    planing: float = 0.001
    strip_waste: float = 0.18
    cloth_overhang: float = 0.05
    roll_width: float | None = None
    resin_waste: float = 0.17
    squeeze_out: float = 0.30
    resin_packs: tuple[float, ...] = ()


@dataclass(frozen=True)
class Boat:
    """Everything a boat's folder says. `builds` holds at least one entry if there is any schedule at all.

    seats: the paddlers of the file, each in a seat of the boat, whoever is aboard.
    """

    name: str
    hull: HullForm
    builder: str = ""
    notes: str = ""
    source: str = ""
    openings: tuple[Opening, ...] = ()
    hatches: tuple[Hatch, ...] = ()
    bulkheads: tuple[Bulkhead, ...] = ()
    tanks: tuple[Tank, ...] = ()
    flotation: tuple[Flotation, ...] = ()
    flooding: tuple[FloodingPoint, ...] = ()
    appendages: tuple[Appendage, ...] = ()
    load: Load = NOBODY
    seats: tuple[Paddler, ...] = ()
    cases: tuple[Case, ...] = ()
    water: Water = Water()
    limits: Mapping[str, float] = field(default_factory=dict)
    builds: tuple[Build, ...] = ()
    without: tuple[str, ...] = ()
    care: Literal["careful", "usual", "heavy-handed"] = "usual"
    materials: tuple[ShopMaterial, ...] = ()
    weighed: tuple[WeighedStage, ...] = ()
    afloat: tuple[AfloatEntry, ...] = ()
    consumables: tuple[Consumable, ...] = ()
    order: Order = Order()
    forms: FormSettings = field(default_factory=FormSettings)
    shop: Shop = Shop()
    units_shown: Literal["metric", "imperial"] = "metric"
    notices: tuple[str, ...] = ()
    folder: str = ""
    checksum: str = ""

    def __repr__(self) -> str:
        builds = ", ".join(b.name for b in self.builds)
        return f"<Boat {self.name[:80]!r}: {self.hull.type}; builds: {builds[:120] or 'none'}>"

    def build(self, name: str | None = None) -> Build:
        """The build of that name, or the first in the file.

        Parameters
        ----------
        name : str, optional
            As in [builds]; the first if left out.

        Returns
        -------
        Build

        Raises
        ------
        UsageError
            No schedule at all, or no build of that name: it says what to add or what was meant.
        """
        if not self.builds:
            raise UsageError(
                f"{self.name}: no [[schedule.planking]] and no [builds]: add how it is built to boat.toml to"
                " weigh it."
            )
        if name is None:
            return self.builds[0]
        for b in self.builds:
            if b.name == name:
                return b
        raise UsageError(
            f"no build {name!r} in {self.name}. {did_you_mean(name, [b.name for b in self.builds])}"
        )

    @property
    def named_seats(self) -> Mapping[str, Paddler]:
        """The seats of the file by their paddler's name; where several have one name, by name and number."""
        return named_seats(self.seats)

    @property
    def sitters(self) -> tuple[Paddler, ...]:
        """Who sits in the boat's seats: those aboard where they are as many as the seats, else those of
        the file. Seats stay when one stays ashore."""
        paddlers = self.load.paddlers
        return self.seats if self.seats and len(paddlers) != len(self.seats) else paddlers

    def with_load(self, **changes: object) -> Boat:
        """The same boat with another load; everybody named sits where they are said to.

        Parameters
        ----------
        **changes
            Fields of `Load`: `with_load(paddlers=..., gear=...)`.

        Returns
        -------
        Boat
        """
        return replace(self, load=replace(self.load, **({"free": (), "asked": True} | changes)))  # type: ignore[arg-type]
