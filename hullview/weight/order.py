"""One line of an order: what it is in fields, how it is cut or mixed, what is lost of it, and its cost
where the shop gave a price."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

from hullview.materials import Cloth, Coating, Resin, Wood


@dataclass(frozen=True)
class StripsCut:
    """Strips. round_girth: how many lie side by side, both sides; lengths: how many are bought, `stock` long;
    longest: strip on the boat [m]; joint: "scarf" or "butt" where that is more than the stock, else "". edge:
    of the strips."""

    round_girth: int
    lengths: int
    stock: float
    longest: float
    joint: str
    edge: str


@dataclass(frozen=True)
class BoardsCut:
    """Boards, `stock` long [m], and how many pieces are sawn from each. nominal: what the trade calls their
    section ("1 x 6"), "" where it has no such boards; rough: to be planed to that thickness."""

    boards: int
    stock: float
    pieces_each: float
    kerf: float
    nominal: str = ""
    rough: bool = False


@dataclass(frozen=True)
class SticksCut:
    """Plies or solid sticks: how many, and the length of each [m]; joint as in `StripsCut`; over: how much
    deeper they are ripped than they end up [m], to be planed to the deck."""

    pieces: int
    each: float
    joint: str = ""
    over: float = 0.0


@dataclass(frozen=True)
class SheetUse:
    """What a sheet is for: where, the kind of its line ("sheet", "lapped", "bulkhead"), its area [m2]."""

    where: str
    kind: str
    area: float


@dataclass(frozen=True)
class SheetsCut:
    """Whole sheets of length by width [m]; uses: what they are for. panel: length of a side that is longer
    than a sheet [m], made up by `joints` of that kind, a scarf so long [m]; 0 where a sheet is long enough.
    """

    sheets: int
    size: tuple[float, float]
    uses: tuple[SheetUse, ...]
    panel: float = 0.0
    joints: int = 0
    joint: str = ""
    scarf: float = 0.0


@dataclass(frozen=True)
class Roll:
    """A width of roll [m], the running length of it that would be needed [m], and in how many lengths it
    is cut."""

    width: float
    length: float
    lengths: int


@dataclass(frozen=True)
class ClothCutting:
    """How cloth is cut: its roll, what lies side by side on one length of it, and the other rolls it is
    sold in."""

    roll: Roll
    side_by_side: tuple[tuple[str, ...], ...]
    others: tuple[Roll, ...] = ()


@dataclass(frozen=True)
class Mixing:
    """Resin with its hardener: likely use by step [kg]; packs as (how many, of what [kg]); upper: the need of
    a boat at the upper end of its range, which is what is bought [kg]."""

    steps: tuple[tuple[str, float], ...]
    packs: tuple[tuple[int, float], ...]
    upper: float


@dataclass(frozen=True)
class Thickening:
    """Wood flour: what the glue is for, how thick it is mixed as shops say it, and flour by mass of resin."""

    job: str
    consistency: str
    share: float


@dataclass(frozen=True)
class Coats:
    """Area of all coats together [m2]."""

    area: float


@dataclass(frozen=True)
class Layers:
    """Layers of tape."""

    layers: int


Making = (
    StripsCut | BoardsCut | SticksCut | SheetsCut | ClothCutting | Mixing | Thickening | Coats | Layers | None
)


@dataclass(frozen=True)
class Loss:
    """A part of the waste by name: `why`, how much in the line's unit, and the share of what is used that
    it is reckoned by (0: not by one)."""

    why: str
    amount: float
    share: float = 0.0


@dataclass(frozen=True)
class OrderLine:
    """One thing to buy.

    group: the part of the list it stands in. item: what it is, in words without a figure. use: what goes on
    the boat; losses: what is lost besides, each by name; buy: what to order, rounded up to how it is sold;
    all in `unit` ("m", "m2", "kg", "pieces"). high: the need of a boat at the upper end of its range, where
    it was reckoned. cost in `currency` where the shop gave a price for that unit. kind: "strips", "boards",
    "sticks", "sheets", "cloth", "tape", "resin", "flour", "edge glue", "coating", "piece", "consumable".
    material: its name in the library; purpose: the region or the run it is for; sizes: its section [m]; mass:
    of what is bought [kg], None where that is not known; made: how it is cut, joined or mixed. instead: may
    be bought in the place of another line of the list. words: the shop's own, of a consumable.
    """

    group: str
    item: str
    use: float
    buy: float
    unit: str
    kind: str = ""
    material: str = ""
    purpose: str = ""
    sizes: tuple[float, ...] = ()
    losses: tuple[Loss, ...] = ()
    made: Making = None
    mass: float | None = None
    high: float | None = None
    instead: bool = False
    words: str = ""
    cost: float | None = None
    currency: str | None = None

    @property
    def waste(self) -> float:
        """All that is lost by name, in the line's unit."""
        return sum(loss.amount for loss in self.losses)

    @property
    def need(self) -> float:
        """Use and waste."""
        return self.use + self.waste


def priced(
    line: OrderLine, material: Wood | Cloth | Resin | Coating, amounts: Mapping[str, float]
) -> OrderLine:
    """With its cost, where the shop's price is per a unit in which the amount bought is known."""
    per = (material.price_per or "").strip().lower()
    if material.price is None or per not in amounts:
        return line
    return replace(line, cost=material.price * amounts[per], currency=material.currency)
