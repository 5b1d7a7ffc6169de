"""Cautions, each with its source, in one place: print them where they belong."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Caution:
    """text: what to print; source: who says so; where: "water" beside an answer, "shop" beside an order or a
    schedule, "pot" beside batches of resin, "all"."""

    text: str
    source: str
    where: str


COLD_WATER = Caution(
    "Cold water: about 1 minute to control your breathing, 10 minutes of useful movement, 1 hour to"
    " hypothermia. Wear the jacket.",
    "US Coast Guard notices, seen",
    "water",
)
ESTIMATE = Caution(
    "Figures are estimates, not a certificate: local law, a licensed designer and a swamp test in shallow"
    " water come first.",
    "common practice, no source",
    "all",
)
WOOD_DUST = Caution(
    "Wood dust harms the lungs: keep it under 1 mg/m3; western redcedar causes asthma, keep its dust under"
    " 0.5 mg/m3. Mask and extraction.",
    "NIOSH (1 mg/m3); ACGIH (0.5 mg/m3 inhalable, western redcedar), seen",
    "shop",
)
EPOXY = Caution(
    "Uncured epoxy sensitises skin, for good: nitrile gloves, and never solvent on skin.",
    "HSE RR79, seen",
    "shop",
)
BEND_A_SCRAP = Caution(
    "Boards differ: bend a scrap of the same board first, to the tightest place and twist named here.",
    "common practice, no source",
    "shop",
)
EXOTHERM = Caution(
    "A full pot of epoxy heats itself until it smokes: pour it out on the work or into a tray at once, and"
    " put a pot that grows hot outdoors, on stone, away from what burns.",
    "common practice, no source",
    "pot",
)
CAN_FIRST = Caution(
    "What stands on the can, and its safety data sheet, go before all figures here.",
    "common practice, no source",
    "pot",
)
ALL = (COLD_WATER, ESTIMATE, WOOD_DUST, EPOXY, BEND_A_SCRAP, EXOTHERM, CAN_FIRST)


def cautions(where: str) -> tuple[Caution, ...]:
    """Those that belong to a place: "water", "shop" or "pot", with those for all.

    >>> [c.text.split(":")[0] for c in cautions("water")]
    ['Cold water', 'Figures are estimates, not a certificate']
    """
    return tuple(c for c in ALL if c.where in (where, "all"))


IN_ONE_LINE = (
    "Wear the jacket: cold water takes your breath in 1 minute and your hands in 10. Estimates, not a"
    " certificate: swamp-test it in shallow water."
)
"""For the foot of an answer (US Coast Guard notices, seen; common practice)."""
