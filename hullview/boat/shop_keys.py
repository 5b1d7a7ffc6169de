"""The keys of boat.toml about mixing in the shop: its temperature, hands, scale and hardener, and what
stands on a can of resin."""

from __future__ import annotations

import re

from hullview.boat import values as v
from hullview.boat.key_table import Key, KeyTable
from hullview.boat.ledger import Ledger, shown
from hullview.boat.where import Path
from hullview.materials import HARDENERS

COLDEST, HOTTEST = -40.0, 60.0
"""A shop outside these is a slip of the unit [C]."""

_DEGREES = re.compile(r"\s*([+-]?\d{1,4}(?:\.\d{1,6})?)\s*(?:deg\.?|degrees?|\N{DEGREE SIGN})?\s*([CcFf])\s*")
_RATIO = re.compile(r"\s*(\d{1,4}(?:\.\d{1,6})?)\s*(?::|to)\s*(\d{1,4}(?:\.\d{1,6})?)\s*")


def temperature() -> v.Reader:
    """A temperature in degrees Celsius or Fahrenheit -> C."""

    def read(ledger: Ledger, path: Path, given: object) -> float | None:
        found = _DEGREES.fullmatch(given) if isinstance(given, str) else None
        if found is None:
            ledger.wrong(path, shown(given), 'must be a temperature with its unit, "18 C" or "65 F"')
            return None
        number = float(found[1])
        celsius = number if found[2] in "Cc" else (number - 32) / 1.8
        if not COLDEST <= celsius <= HOTTEST:
            ledger.wrong(
                path, shown(given), f"must be from {COLDEST:g} C to {HOTTEST:g} C", "Check the unit."
            )
            return None
        return celsius

    return v.Reader(read, '"18 C" or "65 F"')


def ratio() -> v.Reader:
    """Parts of resin to parts of hardener, as on the can: "2:1" -> 2."""

    def read(ledger: Ledger, path: Path, given: object) -> float | None:
        found = _RATIO.fullmatch(given) if isinstance(given, str) else None
        parts = (float(found[1]), float(found[2])) if found else (0.0, 0.0)
        if min(parts) <= 0 or not 0.5 <= parts[0] / parts[1] <= 20:
            ledger.wrong(
                path,
                shown(given),
                'must be parts of resin to parts of hardener by volume, "2:1", from 1:2 to 20:1',
            )
            return None
        return parts[0] / parts[1]

    return v.Reader(read, '"2:1"')


SHOP = KeyTable(
    "shop",
    (
        Key("temperature", temperature()),
        Key("hands", v.count(1, 2, "How fast three pairs of hands are is not known.")),
        Key("scale", v.mass(0.01)),
        Key("hardener", v.choice(*HARDENERS)),
    ),
)
CAN = (
    Key("ratio", ratio(), only=("resin",)),
    Key("resin_density", v.density(500, 2000), only=("resin",)),
    Key("hardener_density", v.density(500, 2000), only=("resin",)),
    Key("pot_life", v.quantity("time", 60.0, 86_400.0, "s"), only=("resin",)),
)
"""What a can of resin says: volume ratio, density of each part, pot life of 150 g at 25 C with the
hardener that the shop uses."""
