"""Wood, cloth, resin and coatings: read from `data/`, found by name with "did you mean", the shop's own
beside them.

Every figure that varies is a `Range` (low, likely, high): one build in ten lies below low, one in ten above
high.
"""

from __future__ import annotations

import csv
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from functools import lru_cache
from pathlib import Path
from typing import Protocol, TypeVar

from hullview.errors import HullviewError, did_you_mean

Range = tuple[float, float, float]
DATA = Path(__file__).parent / "data"
OZ_PER_YD2 = 0.03390575
"""One ounce per square yard [kg/m2]."""
STRIP_SPREAD = 0.05
"""Share by which boards of one weighed stock still differ, either way (common practice, no source)."""


class MaterialError(HullviewError):
    """A name that is in no list, or a shop's own material that lacks what its kind needs."""


@dataclass(frozen=True)
class Wood:
    """density [kg/m3] as it stands in the boat, strength and stiffness in bending [Pa]."""

    name: str
    density: Range
    bending_strength: float
    bending_stiffness: float
    source: str
    note: str = ""
    price: float | None = None
    price_per: str | None = None
    currency: str | None = None
    also: tuple[str, ...] = ()
    """Other names it is sold under, by which it is found too."""

    @property
    def breaking_strain(self) -> float:
        """Strain at which a dry stick breaks by the book: strength over stiffness, as if it stayed
        elastic."""
        return self.bending_strength / self.bending_stiffness


@dataclass(frozen=True)
class Cloth:
    """areal [kg/m2] of the dry cloth, fibre_density [kg/m3], fibre_share of the laminate by mass, roll_width
    [m] (0: tape), other_rolls [m] in which it is sold too."""

    name: str
    fibre: str
    weave: str
    areal: Range
    fibre_density: float
    fibre_share: Range
    roll_width: float
    source: str
    note: str = ""
    price: float | None = None
    price_per: str | None = None
    currency: str | None = None
    other_rolls: tuple[float, ...] = ()
    shops_roll: bool = False
    """Whether the shop itself said how wide its roll is."""

    @property
    def resin_ratio(self) -> Range:
        """Resin that stays in the cloth over the cloth's own mass, (1 - psi) / psi; much fibre is little
        resin."""
        low, likely, high = self.fibre_share
        return (1 / high - 1, 1 / likely - 1, 1 / low - 1)

    def ply_thickness(self, resin_density: float) -> float:
        """Thickness of one wetted layer, t = w (1 / rho_f + (1 - psi) / (psi rho_r)) [m], `resin_density`
        [kg/m3].

        >>> round(library().cloth("plain glass 6 oz/yd2").ply_thickness(1150) * 1000, 2)
        0.27
        """
        return self.areal[1] * (1 / self.fibre_density + self.resin_ratio[1] / resin_density)


HARDENERS = ("fast", "medium", "slow")
"""Kinds of hardener, the quickest first."""


@dataclass(frozen=True)
class Mix:
    """How a resin is mixed with its hardener.

    ratio: resin over hardener by volume; resin_density, hardener_density [kg/m3]; pot: minutes until 150 g at
    25 C gel in the pot, for each of HARDENERS; next_coat: hours from which and until which another coat goes
    on unsanded, at 20 C.
    """

    ratio: float
    resin_density: float
    hardener_density: float
    pot: tuple[float, ...]
    next_coat: tuple[float, float]


@dataclass(frozen=True)
class Resin:
    """What each step leaves, net of what stays in the pot.

    seal, fill: one coat [kg/m2]; fill_sanded: share of the fill coats sanded off again; glue_density [kg/m3]
    thickened; glue_line: thickness of a joint [m]; flour_*: wood flour by mass of resin for the glue of
    plies, to fill a gap, and for a fillet; packs [kg]: what the shop lists. mix: None for a glue that comes
    ready mixed.
    """

    name: str
    mixed_density: float
    cured_density: Range
    seal: Range
    fill: Range
    fill_sanded: Range
    glue_density: Range
    glue_line: Range
    flour_light: float
    flour_gap: float
    flour_fillet: float
    source: str
    note: str = ""
    price: float | None = None
    price_per: str | None = None
    currency: str | None = None
    packs: tuple[float, ...] = ()
    mix: Mix | None = None


@dataclass(frozen=True)
class Coating:
    """dry: what one coat leaves [kg/m2]; wet: what one coat takes from the tin [kg/m2]; dry_density: of
    the dry film [kg/m3]."""

    name: str
    dry: Range
    wet: float
    dry_density: float
    source: str
    note: str = ""
    price: float | None = None
    price_per: str | None = None
    currency: str | None = None


class OwnMaterial(Protocol):
    """What a shop writes of a material of its own: `hullview.boat.model.ShopMaterial`."""

    @property
    def name(self) -> str: ...
    @property
    def kind(self) -> str: ...
    @property
    def density(self) -> float | None: ...
    @property
    def areal(self) -> float | None: ...
    @property
    def source(self) -> str: ...
    @property
    def like(self) -> str | None: ...
    @property
    def price(self) -> float | None: ...
    @property
    def price_per(self) -> str | None: ...
    @property
    def currency(self) -> str | None: ...
    @property
    def roll_width(self) -> float | None: ...
    @property
    def packs(self) -> tuple[float, ...]: ...
    @property
    def ratio(self) -> float | None: ...
    @property
    def resin_density(self) -> float | None: ...
    @property
    def hardener_density(self) -> float | None: ...
    @property
    def pot_life(self) -> float | None: ...


Material = Wood | Cloth | Resin | Coating
T = TypeVar("T", Wood, Cloth, Resin, Coating)


def key(name: str) -> str:
    """The name without case, blanks and hyphens, so that "Western red-cedar" finds "western redcedar"."""
    return "".join(c for c in name.lower() if c not in " -_")


@dataclass(frozen=True)
class Library:
    """All materials by kind; each lookup raises `MaterialError` with the nearest name."""

    woods: Mapping[str, Wood] = field(default_factory=dict)
    cloths: Mapping[str, Cloth] = field(default_factory=dict)
    resins: Mapping[str, Resin] = field(default_factory=dict)
    coatings: Mapping[str, Coating] = field(default_factory=dict)

    def wood(self, name: str) -> Wood:
        """The wood of that name."""
        return _find(self.woods, "wood", name)

    def cloth(self, name: str) -> Cloth:
        """The cloth of that name."""
        return _find(self.cloths, "cloth", name)

    def resin(self, name: str) -> Resin:
        """The resin of that name."""
        return _find(self.resins, "resin", name)

    def coating(self, name: str) -> Coating:
        """The paint or varnish of that name."""
        return _find(self.coatings, "coating", name)

    def names(self, kind: str) -> tuple[str, ...]:
        """Names of one kind: "wood", "cloth", "resin", "coating"."""
        return tuple(dict.fromkeys(m.name for m in self._of(kind).values()))

    def _of(self, kind: str) -> Mapping[str, Material]:
        kinds = {"wood": self.woods, "cloth": self.cloths, "resin": self.resins, "coating": self.coatings}
        if kind not in kinds:
            raise MaterialError(f"kind of material {kind!r}: must be wood, cloth, resin or coating.")
        return kinds[kind]  # type: ignore[return-value]

    def search(self, word: str = "") -> tuple[tuple[str, Material], ...]:
        """(kind, material) of all whose name, source or note holds the word."""
        found = []
        for kind in ("wood", "cloth", "resin", "coating"):
            for m in dict.fromkeys(self._of(kind).values()):
                if (
                    any(key(word) in key(name) for name in _names((m,)))
                    or word.lower() in f"{kind} {m.source} {m.note}".lower()
                ):
                    found.append((kind, m))
        return tuple(found)


def _names(materials: Iterable[Material]) -> Iterator[str]:
    """Every name by which one of them is found."""
    for m in materials:
        yield m.name
        if isinstance(m, Wood):
            yield from m.also


def _find(table: Mapping[str, T], kind: str, name: str) -> T:
    found = table.get(key(name))
    if found is None:
        raise MaterialError(
            f"unknown {kind} {name!r}. {did_you_mean(name, dict.fromkeys(_names(table.values())))}"
        )
    return found


# ---------------------------------------------------------------- reading the lists


def rows(file: str) -> list[dict[str, str]]:
    """The rows of a file in `data/`."""
    with (DATA / file).open(encoding="utf-8", newline="") as f:
        return list(csv.DictReader(f))


def _range(row: Mapping[str, str], stem: str, unit: str, scale: float = 1.0) -> Range:
    low, likely, high = (float(row[f"{stem}{part}_{unit}"]) * scale for part in ("_low", "", "_high"))
    return (low, likely, high)


def _listed(cell: str) -> tuple[str, ...]:
    """The words of a cell with several, parted by semicolons."""
    return tuple(w.strip() for w in cell.split(";") if w.strip())


def _wood(r: Mapping[str, str]) -> Wood:
    return Wood(
        r["name"], _range(r, "density", "kg_m3"), float(r["bending_strength_MPa"]) * 1e6,
        float(r["bending_stiffness_GPa"]) * 1e9, r["source"], r["note"], also=_listed(r["also"]),
    )  # fmt: skip


def _cloth(r: Mapping[str, str]) -> Cloth:
    areal, spread = float(r["areal_g_m2"]) / 1000, float(r["areal_spread_share"])
    share = (float(r["fibre_share_low"]), float(r["fibre_share"]), float(r["fibre_share_high"]))
    return Cloth(
        r["name"], r["fibre"], r["weave"], (areal * (1 - spread), areal, areal * (1 + spread)),
        float(r["fibre_density_kg_m3"]), share, float(r["roll_width_m"]), r["source"], r["note"],
        other_rolls=tuple(float(w) for w in _listed(r["other_rolls_m"])),
    )  # fmt: skip


def _resin(r: Mapping[str, str]) -> Resin:
    light, gap, fillet = (float(r[f"flour_{job}_share"]) for job in ("light", "gap", "fillet"))
    return Resin(
        r["name"], float(r["mixed_density_kg_m3"]), _range(r, "cured_density", "kg_m3"),
        _range(r, "seal", "g_m2", 1e-3), _range(r, "fill", "g_m2", 1e-3), _range(r, "fill_sanded", "share"),
        _range(r, "glue_density", "kg_m3"), _range(r, "glue_line", "mm", 1e-3),
        light, gap, fillet, r["source"], r["note"], mix=_mix(r),
    )  # fmt: skip


def _mix(r: Mapping[str, str]) -> Mix | None:
    if not float(r["ratio_by_volume"]):
        return None
    return Mix(
        float(r["ratio_by_volume"]), float(r["resin_density_kg_m3"]), float(r["hardener_density_kg_m3"]),
        tuple(float(r[f"pot_{kind}_min"]) for kind in HARDENERS),
        (float(r["next_coat_low_h"]), float(r["next_coat_high_h"])),
    )  # fmt: skip


def _coating(r: Mapping[str, str]) -> Coating:
    return Coating(
        r["name"], _range(r, "dry", "g_m2", 1e-3), float(r["wet_g_m2"]) / 1000, float(r["dry_density_kg_m3"]),
        r["source"], r["note"],
    )  # fmt: skip


@lru_cache(maxsize=1)
def _standard() -> Library:
    woods = [_wood(r) for r in rows("woods.csv")]
    return Library(
        {key(name): wood for wood in woods for name in (*wood.also, wood.name)},
        {key(r["name"]): _cloth(r) for r in rows("cloths.csv")},
        {key(r["name"]): _resin(r) for r in rows("resins.csv")},
        {key(r["name"]): _coating(r) for r in rows("coatings.csv")},
    )


@dataclass(frozen=True)
class BoardSize:
    """A size in which planed boards are sold: `metre` where the trade is metric, `imperial` where it is in
    inches, both [m]; nominal: what it is called there."""

    metre: float
    imperial: float
    nominal: str

    def size(self, units: str) -> float:
        """The size [m] in a shop of these units."""
        return self.imperial if units == "imperial" else self.metre


@lru_cache(maxsize=1)
def board_sizes() -> Mapping[str, tuple[BoardSize, ...]]:
    """Thicknesses, widths and lengths of planed boards, each from the least.

    >>> [round(s.size("metric"), 3) for s in board_sizes()["width"]]
    [0.089, 0.14, 0.184, 0.235]
    """
    found: dict[str, tuple[BoardSize, ...]] = {}
    for r in rows("boards.csv"):
        one = BoardSize(float(r["metric_mm"]) / 1000, float(r["imperial_in"]) * 0.0254, r["nominal"])
        found[r["dimension"]] = (*found.get(r["dimension"], ()), one)
    return {k: tuple(sorted(v, key=lambda s: s.metre)) for k, v in found.items()}


@dataclass(frozen=True)
class PeopleFigure:
    """A figure about people: low, likely, high in `unit`."""

    quantity: str
    range: Range
    unit: str
    source: str
    note: str = ""


@lru_cache(maxsize=1)
def people() -> Mapping[str, PeopleFigure]:
    """The people table by quantity.

    >>> people()["crew mass"].range[1]
    75.0
    """
    found = {}
    for r in rows("people.csv"):
        span = (float(r["low"]), float(r["likely"]), float(r["high"]))
        found[r["quantity"]] = PeopleFigure(r["quantity"], span, r["unit"], r["source"], r["note"])
    return found


# ---------------------------------------------------------------- the shop's own


def around(value: float, spread: float) -> Range:
    """A range either side of a value by a share of it."""
    return (value * (1 - spread), value, value * (1 + spread))


def _scaled(r: Range, value: float | None) -> Range:
    """The same shape of range about another likely value."""
    if value is None:
        return r
    k = value / r[1]
    return (r[0] * k, value, r[2] * k)


_LIKE = {"wood": "western redcedar", "cloth": "plain glass 6 oz/yd2", "resin": "epoxy", "coating": "varnish"}


def _off_the_can(mix: Mix, m: OwnMaterial, hardener: str) -> Mix:
    """What the can says before what is usual; its pot life is that of the shop's hardener, and the others
    keep their proportion to it."""
    k = 1.0 if m.pot_life is None else m.pot_life / 60 / mix.pot[HARDENERS.index(hardener)]
    return Mix(
        m.ratio or mix.ratio,
        m.resin_density or mix.resin_density,
        m.hardener_density or mix.hardener_density,
        tuple(minutes * k for minutes in mix.pot),
        mix.next_coat,
    )


def _own(lib: Library, m: OwnMaterial, hardener: str) -> Material:
    """A shop's own material: what it says, the rest as the one it is `like` (or the commonest of its
    kind)."""
    base = _find(lib._of(m.kind), m.kind, m.like or _LIKE[m.kind])  # type: ignore[type-var]
    note = f"the shop's own; other figures as {base.name}"
    given: dict[str, object] = {
        "name": m.name, "source": m.source or "the shop's own", "note": note,
        "price": m.price, "price_per": m.price_per, "currency": m.currency,
    }  # fmt: skip
    needs = {
        "wood": m.density or m.like,
        "cloth": m.areal or m.like,
        "resin": True,
        "coating": m.areal or m.like,
    }
    if not needs[m.kind]:
        what = "density" if m.kind == "wood" else "areal weight"
        raise MaterialError(
            f"material {m.name!r}: a {m.kind} needs its {what}, or `like` with a name from the library."
        )
    if isinstance(base, Wood) and m.density:
        given["density"] = around(m.density, STRIP_SPREAD)
    if isinstance(base, Cloth):
        given |= {"areal": _scaled(base.areal, m.areal), "roll_width": m.roll_width or base.roll_width}
        given |= {"other_rolls": () if m.roll_width else base.other_rolls, "shops_roll": bool(m.roll_width)}
    if isinstance(base, Resin):
        given |= {"cured_density": _scaled(base.cured_density, m.density), "packs": tuple(m.packs)}
        given["mixed_density"] = base.mixed_density if m.density is None else m.density
        given["mix"] = None if base.mix is None else _off_the_can(base.mix, m, hardener)
    if isinstance(base, Coating):
        given |= {"dry": _scaled(base.dry, m.areal), "wet": base.wet * (m.areal or base.dry[1]) / base.dry[1]}
    return replace(base, **given)  # type: ignore[arg-type]


def library(extra: Iterable[OwnMaterial] = (), hardener: str = "medium") -> Library:
    """The library with the shop's own materials, which go before ours where the names are the same; hardener:
    the one the shop uses.

    >>> library().wood("Western red-cedar").density
    (330.0, 358.0, 420.0)
    >>> library().wood("westen redcedar")
    Traceback (most recent call last):
    ...
    hullview.materials.MaterialError: unknown wood 'westen redcedar'. Did you mean 'western redcedar'?
    """
    lib = _standard()
    for m in extra:
        made = _own(lib, m, hardener)
        plural = {"wood": "woods", "cloth": "cloths", "resin": "resins", "coating": "coatings"}[m.kind]
        lib = replace(lib, **{plural: {**getattr(lib, plural), key(m.name): made}})
    return lib
