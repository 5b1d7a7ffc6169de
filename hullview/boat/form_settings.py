"""How the builder wants the forms made: `[forms]` of boat.toml, as data."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal


@dataclass(frozen=True)
class Strongback:
    """What the forms stand on: a bar inside the boat, or a ladder under it (boat upside down).

    kind None: inside a decked boat, under an open one. width, height [m] of the bar's section (of a ladder:
    width over the legs). at: height of the bar's middle, or of the set-up line, above the base line [m];
    None: chosen. clearance: of the hole, all round [m].
    """

    kind: Literal["inside", "under"] | None = None
    width: float | None = None
    height: float | None = None
    at: float | None = None
    clearance: float | None = None


@dataclass(frozen=True)
class FormSettings:
    """[forms]: thickness of a form, how its edge is cut, the strongback, the machine's cutter [m]; None:
    the shop's custom, data/forms.csv."""

    thickness: float | None = None
    edge: Literal["square", "bevelled"] = "square"
    strongback: Strongback = Strongback()
    tool: float | None = None
