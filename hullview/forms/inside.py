"""How far the forms stand inside the boat, and the planking's inside there: from the table's own surface,
in by what is milled less what is faired off."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from hullview.boat.model import Boat, Build, Planking
from hullview.errors import UsageError
from hullview.forms.section import Edge, deck_edges, side_edges
from hullview.forms.skin import Panel, Plane, Rows, moved_in, panels_of
from hullview.shape.assemble import Lofted, read_sections, tabled_skins
from hullview.shape.hull import SurfaceGrid

FINER = 5
"""Times more rows than the mesh has: at the models' feet, where a bottom turns in a few millimetres,
sections then lie within 0.03 mm."""


@dataclass(frozen=True)
class Skins:
    """The surface of the table, and how far the edge of the forms lies inside it [m]: hull, deck.

    finished: how much further in the inside of the finished planking lies, which bulkheads meet: what fairing
    takes off inside. through: from the outside of the wood to the form's edge, which is `taken` unless the
    table is to the inside.
    """

    lofted: Lofted
    side: tuple[Panel, ...]
    deck: Panel | None
    side_grid: SurfaceGrid
    taken: tuple[float, float]
    finished: tuple[float, float]
    through: tuple[float, float]
    transoms: tuple[bool, bool]

    def rows(self, further: float = 0.0) -> tuple[Rows, ...]:
        """The panels of the hull at the edge of the forms, or `further` inside it [m]."""
        return tuple(moved_in(p, self.taken[0] + further, self.transoms) for p in self.side)

    def deck_rows(self, further: float = 0.0) -> Rows | None:
        """The same of the deck."""
        return None if self.deck is None else moved_in(self.deck, self.taken[1] + further, self.transoms)


@dataclass(frozen=True)
class Inside:
    """The planking's inside, ready to be cut by planes."""

    side: tuple[Rows, ...]
    deck: Rows | None

    def side_edges(self, planes: Sequence[Plane]) -> list[Edge | None]:
        """The edge of the hull in each plane, keel to sheer mark."""
        return side_edges(self.side, tuple(planes))

    def deck_edges(self, planes: Sequence[Plane]) -> list[Edge | None]:
        """The edge of the deck in each plane, sheer to centre; None for an open boat."""
        return [None] * len(planes) if self.deck is None else deck_edges(self.deck, tuple(planes))


def skins_of(boat: Boat, build: Build) -> Skins:
    """The surface that was floated and how far inside it the forms stand.

    Raises
    ------
    UsageError
        There is no table, no planking of the hull, or it is of a kind that is not laid over such forms.
    """
    if boat.hull.table is None:
        raise UsageError(
            f"{boat.name}: the hull is a mesh file. Forms are cut from a table of offsets: give [hull]"
            " offsets, with its stations."
        )
    hull, deck = planking_of(boat, build, "hull"), planking_of(boat, build, "deck")
    assert hull is not None
    deck = deck or hull
    through = tuple(p.thickness - p.loss_outside for p in (hull, deck))
    taken = (0.0, 0.0) if boat.hull.measured_to == "inside" else through
    lofted = read_sections(boat)
    side, top = tabled_skins(boat, lofted, FINER)
    return Skins(
        lofted,
        panels_of(side),
        None if top is None else panels_of(top, deck=True)[0],
        side,
        (taken[0], taken[1]),
        (hull.loss_inside, deck.loss_inside),
        (through[0], through[1]),
        (lofted.bow.transom, lofted.stern.transom),
    )


def planking_of(boat: Boat, build: Build, where: str) -> Planking | None:
    """The planking of the hull or deck; refused in words where forms could not be cut to it."""
    found = next((p for p in build.schedule.planking if p.where == where and p.band is None), None)
    if found is None:
        if where == "deck":
            return None
        raise UsageError(
            f"{boat.name}, {build.name}: no planking of the hull in the schedule, so nobody knows how far"
            ' inside the forms stand. Add [[schedule.planking]] with where = "hull", wood and thickness.'
        )
    if found.kind == "lapped":
        raise UsageError(
            f"{boat.name}, {build.name}: lapped planking has no such forms: its inside is a row of steps. "
            "Moulds for lapped planks are cut to the laps, plank by plank, which hullview does not draw."
        )
    for band in build.schedule.planking:
        if where == "hull" and band.band is not None and not _alike(band, found):
            raise UsageError(
                f"{boat.name}, {build.name}: a band of the planking is {band.thickness * 1000:.3g} mm and the"
                f" rest {found.thickness * 1000:.3g} mm thick, so the forms' edges would have a step. Give"
                " both the same thickness and outside fairing loss."
            )
    return found


def _alike(a: Planking, b: Planking) -> bool:
    return bool(np.isclose(a.thickness - a.loss_outside, b.thickness - b.loss_outside, atol=1e-6))
