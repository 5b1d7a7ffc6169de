"""Cross curves of stability and Bonjean areas, a table each."""

from __future__ import annotations

import math
from collections.abc import Sequence

from hullview.afloat.hydrostatics import CrossCurves
from hullview.tell.model import Column, Line, Q, Say, Section, Table, Telling, Units, Words, say


def cross_curves_telling(found: CrossCurves, name: str, density: float, units: Units) -> Telling:
    """KN by displacement (rows) and heel (columns)."""
    heels = [math.degrees(h) for h in found.heel.tolist()]
    columns = (
        Column("displacement_kg", "displaced", "mass"),
        *(Column(f"kn_{h:.0f}_deg_m", f"{h:.0f} deg", "fine length") for h in heels),
    )
    rows = tuple((m, *kn) for m, kn in zip(found.displacement.tolist(), found.kn.tolist()))
    foot = (
        say(
            "KN: righting arm about the base line, trim free, nothing taken in at openings. With the centre"
            " of gravity KG above the base line the arm is KN - KG sin(heel)."
        ),
    )
    table = Table("cross_curves", "", columns, rows, foot=foot, sideways=True)
    head = say(f"{name}: cross curves", trimmed(found.trim), in_water(density))
    return Telling(
        (Section("cross curves", "Cross curves", (Line(head, strong=True), table)),),
        units,
        ("cross_curves",),
        {"boat": name, "trim_deg": math.degrees(found.trim)},
    )


def bonjean_telling(
    stations: Sequence[tuple[str, float]],
    heights: Sequence[float],
    areas: Sequence[Sequence[float]],
    name: str,
    units: Units,
    trim: float = 0.0,
    density: float | None = None,
) -> Telling:
    """Immersed area of each station (rows) to each waterline (columns).

    Parameters
    ----------
    stations : sequence of (str, float)
        Name and place aft of the bow datum [m].
    heights : sequence of float
        Of the waterlines above the base line, at the middle of the length [m].
    areas : sequence of sequences of float, shape (stations, heights)
        Immersed areas [m2].
    name : str
        Of the boat.
    units : {"metric", "imperial"}
    trim : float
        Of the waterlines, by the stern [rad].
    density : float, optional
        Of the water [kg/m3], where the waterlines were found from displacements.
    """
    columns = (
        Column("station", "station"),
        Column("position_m", "at", "place"),
        *(Column(f"area_to_{h:.4f}_m_m2", say(Q("length", h, both=False), ":"), "area") for h in heights),
    )
    rows = tuple((n, x, *row) for (n, x), row in zip(stations, areas))
    foot = (
        say("Immersed area of each section to waterlines at these heights above the base line, amidships."),
    )
    table = Table("bonjean", "", columns, rows, foot=foot, sideways=True)
    head = say(f"{name}: Bonjean areas", trimmed(trim), in_water(density) if density else None)
    return Telling(
        (Section("bonjean", "Bonjean areas", (Line(head, strong=True), table)),),
        units,
        ("bonjean",),
        {"boat": name, "trim_deg": math.degrees(trim)},
    )


def trimmed(trim: float) -> Words:
    """How a table's waterlines lie."""
    return say(", upright, trimmed ", Q("trim angle", trim)) if trim else ", upright and level"


def in_water(density: float) -> Say:
    """Which water a table is for."""
    return say(", in water of ", Q("water density", density, "water.density_kg_m3"))
