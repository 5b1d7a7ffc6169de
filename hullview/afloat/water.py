"""Water and gravity: how heavy, with the source of each number."""

from __future__ import annotations

from hullview.boat.model import Water
from hullview.errors import UsageError, did_you_mean

GRAVITY = 9.80665
"""Standard gravity [m/s2] (3rd General Conference on Weights and Measures, 1901)."""

_DENSITY = {
    "fresh": 999.1026,  # 15 C, 1 atm: IAPWS-95
    "salt": 1025.976,  # 15 C, absolute salinity 35.16504 g/kg, at the surface: TEOS-10
}


def density(kind: str) -> float:
    """Density of water at 15 C [kg/m3]: "fresh" (IAPWS-95) or "salt" (standard sea water, TEOS-10).

    >>> density("salt")
    1025.976
    """
    try:
        return _DENSITY[kind]
    except KeyError:
        raise UsageError(
            f"no water {kind!r}: fresh, salt, or a density such as '1012 kg/m3'."
            f" {did_you_mean(kind, _DENSITY)}"
        ) from None


def density_of(water: Water) -> float:
    """Density [kg/m3] of the water a boat's file names, or gives."""
    return density(water.kind) if water.density is None else water.density
