"""One line of an order, and its cost where the shop gave a price for a unit in which the amount bought is known."""

from __future__ import annotations

from dataclasses import dataclass, replace

from hullview.materials import Cloth, Coating, Resin, Wood


@dataclass(frozen=True)
class OrderLine:
    """One thing to buy. use: what goes on the boat, waste: what is lost besides (its reason in `waste_note`), need: both, buy: what to
    order, rounded up to how it is sold; all in `unit`. high: the need of a boat at the upper end of its range, where it was reckoned.
    cost in `currency` where the shop gave a price for that unit."""

    group: str
    item: str
    use: float
    waste: float
    buy: float
    unit: str
    detail: str = ""
    waste_note: str = ""
    high: float | None = None
    cost: float | None = None
    currency: str | None = None

    @property
    def need(self) -> float:
        return self.use + self.waste


def priced(line: OrderLine, material: Wood | Cloth | Resin | Coating, amounts: dict[str, float]) -> OrderLine:
    """With its cost, where the shop's price is per a unit in which the amount bought is known."""
    per = (material.price_per or "").strip().lower()
    if material.price is None or per not in amounts:
        return line
    return replace(line, cost=material.price * amounts[per], currency=material.currency)
