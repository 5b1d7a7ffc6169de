"""The forms of a boat as data: each form with its edges, notches and pieces, and all of them together."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

from hullview.boat.model import Boat, Build
from hullview.forms.centreline import CentreForm
from hullview.forms.clamp import Clamp, Notch
from hullview.forms.edges import Cut, Trued
from hullview.forms.inside import Inside, Skins
from hullview.forms.stems import Stem
from hullview.forms.strongback import Bar
from hullview.forms.transom import Transom

if TYPE_CHECKING:
    from shapely import Polygon


@dataclass(frozen=True)
class Form:
    """One form, as it is sawn.

    Parameters
    ----------
    name : str
        Of its station, or its position.
    x : float
        Plane of the face that stands on the station [m aft of the datum].
    body : "aft" or "forward"
        Where its thickness lies.
    thickness : float
    edge : "square" or "bevelled"
    side, deck : Trued
        Its edges (deck: None for an open boat).
    sheer_mark : (2,)
        Foot of the normal from the sheer, on the station face [m].
    notches : tuple of Notch
    pieces : tuple of Polygon
        What is sawn, both halves, in half-breadth and height [m]; the largest first. More than one where
        notches meet across it.
    kind : "form" or "bulkhead"
    midship : bool
        The form at the greatest section.
    """

    name: str
    x: float
    body: Literal["aft", "forward"]
    thickness: float
    edge: Cut
    side: Trued
    deck: Trued | None
    sheer_mark: tuple[float, float]
    notches: tuple[Notch, ...]
    pieces: tuple[Polygon, ...]
    kind: Literal["form", "bulkhead"] = "form"
    midship: bool = False
    sight: float | None = None
    on_bar: bool = True

    @property
    def sign(self) -> float:
        """1 for a body aft of the station, -1 forward."""
        return 1.0 if self.body == "aft" else -1.0

    @property
    def touches(self) -> str:
        """Which face of a square edge touches the skin: "station", "other" or "station, and the other in
        part"."""
        if self.edge == "bevelled":
            return "both"
        step = self.side.step
        if step.min() > -2e-5:
            return "station"
        return "other" if step.max() < 2e-5 else "station, and the other in part"

    @property
    def clamps_meet(self) -> bool:
        """Whether the clamps of both sides meet in it."""
        return any(n.meets_twin for n in self.notches)


@dataclass(frozen=True)
class Forms:
    """All that is sawn to build the boat over.

    taken : how far inside the table's surface the forms' edges lie [m]: hull, deck; through: from the outside
    of the wood.
    spacing : greatest distance between neighbouring forms [m], and the most that the strips bear without
    sagging.
    """

    boat: Boat
    build: Build
    thickness: float
    edge: Cut
    taken: tuple[float, float]
    through: tuple[float, float]
    forms: tuple[Form, ...]
    bulkheads: tuple[Form, ...]
    clamps: tuple[Clamp, ...]
    stems: tuple[Stem, ...]
    transoms: tuple[Transom, ...]
    strongback: Bar
    centre_forms: tuple[CentreForm, ...]
    midship: str | None
    left_over: float
    sight: float
    spacing: tuple[float, float]
    notes: tuple[str, ...]
    skins: Skins
    inside: Inside

    def __repr__(self) -> str:
        return f"<Forms of {self.boat.name[:80]!r}: {len(self.forms)} forms, {self.edge} edge>"
