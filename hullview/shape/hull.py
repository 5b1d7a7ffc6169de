"""The hull as everyone downstream sees it: one closed mesh with a region for each face, and the named
lines on it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from hullview.arrays import Array


@dataclass(frozen=True)
class NamedLine:
    """A line on the outside of the hull, along which laminations, tapes and fillets run.

    points: (k, 3) [m]. A paired line is the starboard one of two (its mirror image exists); others lie on the
    centre line ("keel", "bow stem", "stern stem") or go once round ("coaming 1", "hatch 1", closed, first
    point not repeated). hull_normals, deck_normals: (k, 3) unit outward normals of the two skins that meet
    along it. The deck's is zero where no second skin exists (the sheer of an open boat); on the centre line
    the two are the starboard and the port side's.
    """

    name: str
    points: Array
    paired: bool
    closed: bool
    hull_normals: Array
    deck_normals: Array


@dataclass(frozen=True)
class FloodingLine:
    """Where water comes in: points (k, 3) [m] on both sides; sealed_by_cover: held shut by a spray deck
    that the boat has."""

    name: str
    points: Array
    sealed_by_cover: bool = False


@dataclass(frozen=True, eq=False)
class SurfaceGrid:
    """The starboard half of a skin as a grid, exactly on the fair surface; equal to itself only, so that what
    follows from it can be kept.

    points: (rows, columns, 3) [m], row 0 at the centre line (hull) or the sheer (deck), last row at the sheer
    (hull) or the centre line (deck); column 0 at the bow. corners: rows that are knuckles. normals: (rows,
    columns, 3), outward.
    """

    points: Array
    normals: Array
    corners: tuple[int, ...] = ()


@dataclass(frozen=True, eq=False)
class Hull:
    """A closed triangle mesh, oriented outward, with what people call its parts; equal to itself only, so
    that its body can be kept.

    vertices: (n, 3) [m]; faces: (m, 3) int; region_of_face: (m,) int into `regions`.
    regions: "hull", "deck", "transom", "keel" (flat of a rabbet), "bow stem" and "stern stem" (the flat of a
    siding), "coaming 1" (wall of the rim), "lid 1" (over the opening, geometry only), "hatch 1" (its cover),
    "lid" (over an open boat at the sheer). lines: named lines by name: "sheer", "keel", "bow stem", "stern
    stem", "chine 1", "coaming 1", "hatch 1", "transom". girth_below_sheer, girth_from_keel: (n,) distance
    along the section from the sheer and from the centre line [m] for vertices of the hull and transom; nan
    elsewhere. stations: (name, x) of the table; sections: at each station the (k, 3) curve as drawn, keel to
    sheer (and on to the deck's centre). sheer: (k, 3) starboard sheer line. keel_at(x): height of the lowest
    point on the centre line. coarse: the same hull on a mesh twice as coarse, for estimates of error; None on
    that one itself.
    """

    vertices: Array
    faces: Array
    region_of_face: Array
    regions: tuple[str, ...]
    lines: Mapping[str, NamedLine]
    flooding: tuple[FloodingLine, ...]
    girth_below_sheer: Array
    girth_from_keel: Array
    side: SurfaceGrid | None
    deck: SurfaceGrid | None
    station_names: tuple[str, ...] = ()
    stations: tuple[float, ...] = ()
    sections: tuple[Array, ...] = ()
    open_top: bool = False
    notes: tuple[str, ...] = ()
    coarse: Hull | None = None

    def __repr__(self) -> str:
        return (
            f"<Hull of {len(self.faces)} faces: {', '.join(self.regions)[:160]};"
            f" {len(self.stations)} stations>"
        )

    def faces_of(self, *names: str) -> Array:
        """Faces of some regions.

        Parameters
        ----------
        *names : str
            Of regions; "hatch" stands for "hatch 1", "hatch 2" too.

        Returns
        -------
        ndarray of int, shape (k, 3)
        """
        wanted = [i for i, r in enumerate(self.regions) if r in names or r.rstrip(" 0123456789") in names]
        return self.faces[np.isin(self.region_of_face, wanted)]

    @property
    def region(self) -> Array:
        """Region name of each face, (m,) of str."""
        return np.asarray(np.array(self.regions)[self.region_of_face])

    @property
    def sheer(self) -> Array:
        """Starboard sheer line, bow to stern, (k, 3) [m]."""
        return self.lines["sheer"].points

    def keel_height(self, x: float) -> float:
        """Height of the outside of the hull on the centre line.

        Parameters
        ----------
        x : float
            Aft of the datum [m].

        Returns
        -------
        float
            Above the base line [m]; beyond the ends, that of the end.
        """
        line = np.concatenate(
            [self.lines[k].points for k in ("bow stem", "keel", "stern stem") if k in self.lines]
        )
        order = np.argsort(line[:, 0], kind="stable")
        return float(np.interp(x, line[order, 0], line[order, 2]))
