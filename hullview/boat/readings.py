"""What was read off the boat while it was built and on the water: on the scale, its freeboards, its heel."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

STAGES = ("strips milled", "hull shell outside", "hull shell", "deck shell", "joined", "fitted", "finished")
"""Stages of the build at which a boat can be put on a scale."""
OLD_STAGES: Mapping[str, str] = {
    "hull stripped": "all strips of hull and deck glued up, not faired, not glassed",
    "faired": "hull and deck stripped and faired on both faces, not glassed",
    "glassed out": "hull and deck faired and glassed outside",
    "glassed in": "hull and deck glassed on both faces, not joined",
}
"""Names of stages in older files, and what they are read as."""
STAGES_ON_FORMS = ("hull shell outside", "hull stripped", "faired", "glassed out")
"""Stages at which the hull may still be stapled to its forms: they come out before its inside is glassed."""


@dataclass(frozen=True)
class WeighedStage:
    """[[weighed]]: the boat on the scale.

    Parameters
    ----------
    stage
        One of `STAGES`, or of `OLD_STAGES`.
    mass
        What the scale said [kg].
    on
        What lay on the scale beside the stage's own, by name.
    scale_error
        How far off the scale may be, one standard deviation [kg].
    build
        The build that was weighed; None: the first.
    on_forms, forms_mass
        The hull was on its forms, which weigh this much [kg].
    """

    stage: str
    mass: float
    on: tuple[str, ...] = ()
    scale_error: float = 0.1
    build: str | None = None
    on_forms: bool = False
    forms_mass: float = 0.0


@dataclass(frozen=True)
class FreeboardReading:
    """Height of the sheer above water [m] at a position aft of datum, starboard or port ("both": the
    mean)."""

    position: float
    freeboard: float
    side: Literal["starboard", "port", "both"] = "both"


@dataclass(frozen=True)
class Inclining:
    """A mass moved sideways and the heel read [rad]."""

    mass: float
    distance: float
    heel: float
