"""The hydrostatics table: what the hull offers at each waterline, level or at a given trim."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from hullview.afloat.equilibrium import Floating, up
from hullview.afloat.settle import Descent
from hullview.arrays import Array
from hullview.boat.units import POUND
from hullview.errors import UsageError
from hullview.shape.body import Body, Immersed, plane_basis
from hullview.shape.clip import crossed
from hullview.shape.hull import Hull

SKIM = 1e-10
"""How far under a lid the hull is cut, as a share of its size."""


@dataclass(frozen=True)
class HydrostaticRow:
    """One waterline. Lengths [m], areas [m2], volumes [m3], masses [kg].

    waterline_height: above the base line, at the middle of the hull's length. draft: of the deepest point of
    the hull without appendages. lcb, lcf: aft of the bow datum; kb, km above the base line. bm and
    bm_longitudinal: second moments of the water plane about its centroid over the volume. trim [rad].
    Coefficients by waterline length L and beam B, draft T and the greatest immersed section A: block V / (L B
    T), prismatic V / (A L), midship A / (B T), waterplane Aw / (L B). immersion: kilograms a centimetre.
    moment_to_trim: kg m that change the trim over the waterline by one centimetre, with the centre of mass at
    the centre of buoyancy's height.
    """

    waterline_height: float
    trim: float
    draft: float
    volume: float
    displacement: float
    lcb: float
    kb: float
    waterplane_area: float
    lcf: float
    bm: float
    bm_longitudinal: float
    km: float
    wetted_area: float
    waterline_length: float
    waterline_beam: float
    greatest_section: float
    greatest_section_at: float
    block_coefficient: float
    prismatic_coefficient: float
    midship_coefficient: float
    waterplane_coefficient: float
    immersion: float
    moment_to_trim: float


def hydrostatics(
    hull: Hull | Body,
    density: float,
    heights: Sequence[float] | Array | None = None,
    *,
    displacements: Sequence[float] | Array | None = None,
    trim: float = 0.0,
    body: Body | None = None,
) -> tuple[HydrostaticRow, ...]:
    """Rows by waterline height above the base line [m] or by displacement [kg], level or at a trim [rad], in
    water of a density [kg/m3].

    With neither: `heights_for` the hull. body: of the hull, if it is indexed already, with its appendages
    where it has any: they displace, and are left out of the draft and the coefficients.
    """
    whole = hull if isinstance(hull, Body) else Body(hull.vertices, hull.faces) if body is None else body
    bare = whole.bare
    if displacements is not None:
        offsets = [_offset_for(whole, float(mass), density, trim) for mass in displacements]
    else:
        chosen = heights_for(hull) if heights is None else np.atleast_1d(np.asarray(heights, float))
        offsets = [_offset_at(bare, float(height), trim) for height in chosen]
    return tuple(_row(whole, bare, density, trim, offset) for offset in offsets)


_ROUND = {
    "metric": (0.5, 0.2, 0.1, 0.05, 0.02, 0.01, 0.005),
    "imperial": tuple(inches * 0.0254 for inches in (24, 12, 6, 4, 2, 1, 0.5, 0.25)),
}
"""Steps between waterlines that are round for who reads them [m]."""


def heights_for(hull: Hull | Body, units: str = "metric") -> Array:
    """Waterline heights [m] from the keel to the lowest sheer in steps round in mm or in inches, five or
    more, the first above the keel."""
    low = float(hull.vertices[:, 2].min())
    high = float(hull.vertices[:, 2].max() if isinstance(hull, Body) else hull.sheer[:, 2].min())
    for step in _ROUND[units]:
        first, last = math.floor(low / step + 0.1) + 1, math.floor(high / step + 1e-9)
        if last - first >= 6:
            return np.round(np.arange(first, last + 1) * step, 12)
    return np.linspace(low, high, 7)[1:]


def displacements_for(hull: Hull | Body, body: Body, density: float, units: str = "metric") -> Array:
    """Displacements [kg] up to the one at the lowest sheer, level, in steps round in kg or in lb, five or
    more.

    Parameters
    ----------
    hull : Hull or Body
        Says how far up: to the lowest sheer, or the top of a bare mesh.
    body : Body
        The same, ready to be cut, with its appendages.
    density : float
        Of the water [kg/m3].
    units : {"metric", "imperial"}
    """
    high = hull.vertices[:, 2].max() if isinstance(hull, Body) else hull.sheer[:, 2].min()
    most = displacement_at(body, float(high), density) * (1 - 1e-9)
    one = 1.0 if units == "metric" else float(POUND)
    exponent = math.floor(math.log10(most / one))
    steps = (times * 10.0**e for e in (exponent, exponent - 1) for times in (5.0, 2.0, 1.0))
    step = next((s for s in steps if most / one / s >= 6), 10.0**exponent / 10) * one
    return np.arange(1, math.floor(most / step) + 1) * step


def _offset_at(body: Body, height: float, trim: float) -> float:
    low, high = body.extent((0.0, 0.0, 1.0))
    if not low < height <= high + 1e-12:
        raise UsageError(
            f"a waterline {height * 1000:.6g} mm above the base line does not cut the hull, which reaches"
            f" from {low * 1000:.6g} to {high * 1000:.6g} mm."
        )
    fore, aft = body.extent((1.0, 0.0, 0.0))
    return float(up(0.0, trim) @ [(fore + aft) / 2, 0.0, height])


def _offset_for(body: Body, mass: float, density: float, trim: float) -> float:
    volume = mass / density
    if not 0 < volume < body.volume * (1 - 1e-12):
        raise UsageError(
            f"a displacement of {mass:.6g} kg is outside what it can displace, 0 to"
            f" {body.volume * density:.6g} kg."
        )
    return Descent(body, volume, np.zeros(3)).offset_at(up(0.0, trim))


def displacement_at(body: Body, height: float, density: float, trim: float = 0.0) -> float:
    """Mass of the water displaced to a waterline.

    Parameters
    ----------
    body : Body
        With its appendages, which displace too.
    height : float
        Of the waterline above the base line at the middle of the hull's length [m].
    density : float
        Of the water [kg/m3].
    trim : float
        By the stern [rad].

    Returns
    -------
    float
        [kg]
    """
    n = up(0.0, trim)
    offset = _offset_at(body.bare, height, trim)
    return density * body.immersed(n, _under_a_lid(body.bare, n, offset)).volume


def height_for(body: Body, mass: float, density: float, trim: float = 0.0) -> float:
    """Height of the waterline that a displacement [kg] takes, above the base line at the middle of the length
    [m].

    The other way round from `displacement_at`.
    """
    n = up(0.0, trim)
    fore, aft = body.bare.extent((1.0, 0.0, 0.0))
    return (_offset_for(body, mass, density, trim) - float(n[0]) * (fore + aft) / 2) / float(n[2])


def _row(whole: Body, bare: Body, density: float, trim: float, offset: float) -> HydrostaticRow:
    n = up(0.0, trim)
    at_rest, offset = offset, _under_a_lid(bare, n, offset)
    cut, hull = whole.immersed(n, offset), bare.immersed(n, offset) if bare is not whole else None
    own = cut if hull is None else hull
    aft, across = plane_basis(n)
    ends = bare.section(n, offset).reshape(-1, 3) @ np.stack([aft, across]).T
    length, beam = np.ptp(ends, axis=0).tolist() if len(ends) else (math.nan, math.nan)
    fore, stern = bare.extent((1.0, 0.0, 0.0))
    height = (at_rest - float(n[0]) * (fore + stern) / 2) / float(n[2])
    draft = at_rest - bare.extent(n)[0]
    section, at = greatest_section(bare, n, offset)
    bm, bm_longitudinal = _bm(cut, across), _bm(cut, aft)
    return HydrostaticRow(
        waterline_height=height,
        trim=trim,
        draft=draft,
        volume=cut.volume,
        displacement=density * cut.volume,
        lcb=float(cut.centroid[0]),
        kb=float(cut.centroid[2]),
        waterplane_area=cut.plane_area,
        lcf=float(cut.plane_centroid[0]),
        bm=bm,
        bm_longitudinal=bm_longitudinal,
        km=float(cut.centroid[2]) + bm,
        wetted_area=cut.wetted_area,
        waterline_length=length,
        waterline_beam=beam,
        greatest_section=section,
        greatest_section_at=at,
        block_coefficient=own.volume / (length * beam * draft),
        prismatic_coefficient=own.volume / (section * length),
        midship_coefficient=section / (beam * draft),
        waterplane_coefficient=own.plane_area / (length * beam),
        immersion=density * cut.plane_area / 100,
        moment_to_trim=density * cut.volume * bm_longitudinal / length / 100,
    )


def _under_a_lid(body: Body, n: Array, offset: float) -> float:
    """The offset, or SKIM less where a lid lies at the very height of the water: it is water plane then,
    not skin under it."""
    under = offset - SKIM * body.size
    lid = body.immersed(n, under).plane_area > 1.0001 * body.immersed(n, offset).plane_area
    return under if lid else offset


def _bm(cut: Immersed, axis: Array) -> float:
    return float(axis @ cut.plane_second_moments @ axis) / cut.volume


def section_areas(body: Body, along: Array, places: Array, n: Array, offset: float) -> Array:
    """Immersed areas (k,) [m2] of the sections where along . p = places (k,), under the water plane n . p =
    offset.

    along, n: unit vectors, not parallel. The boundary is clipped to the water and summed as triangles from a
    point on the line in which the two planes meet, which so needs no closing.
    """
    low, high = body.extent(along)
    inside = 1e-9 * body.size  # a plane laid on a flat end would find no boundary there
    at = np.clip(places, low + inside, high - inside)
    order = np.argsort(at)
    faces = body.vertices[body.faces]
    faces = faces[(faces @ n).min(axis=1) < offset]
    values = faces @ along
    first, after = (np.searchsorted(at[order], edge) for edge in (values.min(axis=1), values.max(axis=1)))
    count = after - first
    face = np.repeat(np.arange(len(faces)), count)
    place = order[np.arange(len(face)) + np.repeat(first + count - np.cumsum(count), count)]
    gap = values[face] - at[place, None]
    _, met = crossed(gap, gap <= 0)
    ends = met.ends(met.turned(faces[face]))
    place = place[met.which]
    ends[met.tip_inside] = ends[met.tip_inside, ::-1]
    depth = offset - ends @ n
    wet = depth >= 0
    p, q = ends[:, 0], ends[:, 1]
    share = depth[:, :1] / np.where(wet[:, :1] == wet[:, 1:], 1.0, depth[:, :1] - depth[:, 1:])
    meet = p + share * (q - p)
    p, q = np.where(wet[:, :1], p, meet), np.where(wet[:, 1:], q, meet)
    kept = wet.any(axis=1)
    lean = float(along @ n)
    r = offset * n + (at[place, None] - offset * lean) / (1 - lean**2) * (along - lean * n)
    # the water's own line passes through r, so its triangles are nought
    turning = np.cross((p - r)[kept], (q - r)[kept]) @ along
    return np.bincount(place[kept], turning, len(at)) / 2


def greatest_section(body: Body, n: Array, offset: float) -> tuple[float, float]:
    """The greatest immersed section [m2] square to the waterline, and its place along the water plane, aft
    [m]."""
    along = plane_basis(n)[0]
    ends = body.section(n, offset) @ along
    fore, aft = (float(ends.min()), float(ends.max())) if ends.size else body.extent(along)
    places = np.linspace(fore, aft, 33)
    areas = section_areas(body, along, places, n, offset)
    most = int(np.argmax(areas))
    low, high = float(places[max(most - 1, 0)]), float(places[min(most + 1, 32)])
    best, where = float(areas[most]), float(places[most])
    for _ in range(3):
        places = np.linspace(low, high, 7)[1:-1]
        areas = section_areas(body, along, places, n, offset)
        if areas.max() > best:
            best, where = float(areas.max()), float(places[areas.argmax()])
        step = (high - low) / 6
        low, high = max(where - step, low), min(where + step, high)
    return best, where


def bonjean(
    body: Body, stations: Sequence[float] | Array, heights: Sequence[float] | Array, trim: float = 0.0
) -> Array:
    """Immersed area of the section at each station to each waterline (Bonjean areas).

    Parameters
    ----------
    body : Body
        Closed mesh of the hull, without appendages.
    stations : array_like, shape (s,)
        Places of the sections, aft of the bow datum [m].
    heights : array_like, shape (h,)
        Waterline heights above the base line at the middle of the hull's length [m].
    trim : float
        Trim of the waterlines, by the stern [rad].

    Returns
    -------
    ndarray, shape (s, h)
        Areas in planes x = constant [m2].
    """
    aft, n = np.array([1.0, 0.0, 0.0]), up(0.0, trim)
    offsets = [_offset_at(body, float(h), trim) for h in heights]
    at = np.asarray(stations, float)
    return np.stack([section_areas(body, aft, at, n, offset) for offset in offsets], axis=1)


@dataclass(frozen=True)
class CrossCurves:
    """Arms about the base line by displacement and heel: kn (displacements, heels) [m]; displacement [kg],
    heel [rad].

    Trim is free as the boat heels. The load's centre of mass is on the vertical through the centre of
    buoyancy that the boat has upright at `trim` [rad]; sealed as the mesh is. The arm of a load with its
    centre KG above the base line is KN - KG sin(heel).
    """

    displacement: Array
    heel: Array
    kn: Array
    trim: float = 0.0


def cross_curves(
    body: Body,
    density: float,
    displacements: Sequence[float] | Array,
    heels: Sequence[float] | Array,
    trim: float = 0.0,
) -> CrossCurves:
    """Righting arms KN about the base line (cross curves of stability).

    Parameters
    ----------
    body : Body
        Closed mesh, with appendages where the boat has them.
    density : float
        Of the water [kg/m3].
    displacements : array_like, shape (d,)
        Masses [kg].
    heels : array_like, shape (h,)
        Running one way [rad].
    trim : float
        By the stern, while upright [rad]: says how far aft the load's centre is.

    Returns
    -------
    CrossCurves
    """
    from hullview.afloat.righting import righting_curve

    heel, masses = np.asarray(heels, float), np.atleast_1d(np.asarray(displacements, float))
    n = up(0.0, trim)
    rows = []
    for mass in masses.tolist():
        at = body.immersed(n, _offset_for(body, mass, density, trim)).centroid
        base = at - n * (at[2] / n[2])  # down the vertical through the centre of buoyancy to the base line
        rows.append(righting_curve(body, mass, np.array([base[0], 0.0, 0.0]), density, heel).arm)
    return CrossCurves(masses, heel, np.array(rows), trim)


ISO_8666 = {
    "L_H": "length of hull",
    "B_H": "beam of hull",
    "L_WL": "length of waterline",
    "B_WL": "beam of waterline",
    "T_C": "draft of the canoe body, without appendages",
    "T": "draft with appendages",
    "D_max": "depth, keel to sheer",
    "F_f": "freeboard forward",
    "F_m": "freeboard amidships",
    "F_a": "freeboard aft",
}
"""Names of dimensions (ISO 8666; the symbols from memory)."""


def dimensions(hull: Hull, floating: Floating | None = None) -> dict[str, float]:
    """Main dimensions [m] by the names of `ISO_8666`; those of the waterline only where it floats.

    Freeboards are of the lower side of the sheer at its two ends and midway.
    """
    length, beam, _ = np.ptp(hull.vertices, axis=0).tolist()
    sheer = hull.sheer
    middle = (float(sheer[0, 0]) + float(sheer[-1, 0])) / 2
    out = {
        "L_H": length,
        "B_H": beam,
        "D_max": float(np.interp(middle, sheer[:, 0], sheer[:, 2])) - hull.keel_height(middle),
    }
    if floating is None or floating.normal is None or floating.offset is None or floating.draft is None:
        return out
    out |= {"L_WL": floating.waterline_length or 0.0, "B_WL": floating.waterline_beam or 0.0}
    out |= {"T_C": floating.draft, "T": floating.greatest_draft or floating.draft}
    above = (
        np.minimum(sheer @ floating.normal, (sheer * (1.0, -1.0, 1.0)) @ floating.normal) - floating.offset
    )
    out |= {
        "F_f": float(above[0]),
        "F_m": float(np.interp(middle, sheer[:, 0], above)),
        "F_a": float(above[-1]),
    }
    return out
