"""What each waterline offers: the hydrostatics table, cross curves and Bonjean areas."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import Any

from hullview.afloat.hydrostatics import HydrostaticRow
from hullview.tell.floating import error_record
from hullview.tell.model import Column, Line, Q, Say, Section, Table, Telling, Units, say

AT = Column("waterline_height_m", "waterline", "length")

WEIGHTS = (
    Column("draft_m", "draft", "length"),
    Column("displacement_kg", "displaced", "mass"),
    Column("volume_m3", "volume", "volume"),
    Column("lcb_m", "LCB", "length"),
    Column("kb_m", "KB", "length"),
    Column("wetted_area_m2", "wetted", "area"),
)
PLANES = (
    Column("waterplane_area_m2", "plane", "area"),
    Column("lcf_m", "LCF", "length"),
    Column("bm_m", "BM", "length"),
    Column("km_m", "KM", "length"),
    Column("bm_longitudinal_m", "BM fore-aft", "place"),
    Column("immersion_kg_per_cm", "to sink it", "immersion"),
    Column("moment_to_trim_kg_m_per_cm", "to trim it", "trimming"),
)
FORMS = (
    Column("waterline_length_m", "length", "length"),
    Column("waterline_beam_m", "beam", "length"),
    Column("block_coefficient", "block", "ratio"),
    Column("prismatic_coefficient", "prismatic", "ratio"),
    Column("midship_coefficient", "midship", "ratio"),
    Column("waterplane_coefficient", "plane", "ratio"),
    Column("greatest_section_m2", "greatest section", "area", hidden=True),
    Column("greatest_section_at_m", "at", "place", hidden=True),
)
OF = {
    **{
        c.key: c.key.removesuffix("_m").removesuffix("_m2").removesuffix("_m3").removesuffix("_kg")
        for c in (AT, *WEIGHTS, *PLANES, *FORMS)
    },
    "immersion_kg_per_cm": "immersion",
    "moment_to_trim_kg_m_per_cm": "moment_to_trim",
}
"""Which figure of a row stands under which key."""
NOTE = (
    "Waterline: height above the base line. LCB, LCF: aft of the bow datum. KB, KM: above the base line."
    " Coefficients by waterline length and beam, draft without appendages, and the greatest section."
    " Displacement is to the hull's outside. To sink it, to trim it: by one centimetre, or one inch, over the"
    " waterline."
)


def hydrostatics_telling(
    rows: Sequence[HydrostaticRow],
    name: str,
    density: float,
    units: Units,
    errors: Sequence[Mapping[str, Any]] | None = None,
) -> Telling:
    """The table in three parts for people, in one for programs; errors: of the mesh, row by row."""
    trim = rows[0].trim if rows else 0.0
    how = say(", trimmed ", Q("trim angle", trim)) if trim else ", level"
    head = say(
        f"{name}: hydrostatics", how, ", in water of ", Q("water density", density, "water.density_kg_m3")
    )
    section = Section(
        "hydrostatics",
        "Hydrostatics",
        (
            Line(head, strong=True),
            *(_part(rows, columns) for columns in (WEIGHTS, PLANES, FORMS)),
            whole_table(rows, errors),
            Line(say(NOTE)),
            Line(_error_words(rows, errors)),
        ),
    )
    return Telling((section,), units, ("rows",), {"boat": name})


def _part(rows: Sequence[HydrostaticRow], columns: tuple[Column, ...]) -> Table:
    shown = (AT, *(c for c in columns if not c.hidden))
    cells = tuple(tuple(getattr(r, OF[c.key]) for c in shown) for r in rows)
    return Table("", "", shown, cells, sideways=True)


def whole_table(rows: Sequence[HydrostaticRow], errors: Sequence[Mapping[str, Any]] | None = None) -> Table:
    """Every figure of every waterline in one table, for programs."""
    columns = (AT, *WEIGHTS, *PLANES, *FORMS)
    figures = [(OF[c.key], c.key, c.kind) for c in columns] + [("trim", "trim_deg", "degrees")]
    trims = Column("trim_deg", "trim", "trim angle")
    made = [
        (
            *(_finite(getattr(r, OF[c.key])) for c in columns),
            r.trim,
            error_record(errors[i], figures) if errors else None,
        )
        for i, r in enumerate(rows)
    ]
    return Table(
        "rows", "", (*columns, trims, Column("error", "mesh error")), tuple(made), short=False, full=False
    )


def page_table(rows: Sequence[HydrostaticRow]) -> Table:
    """What a customer reads of each waterline."""
    keys = (
        "displacement_kg",
        "lcb_m",
        "kb_m",
        "km_m",
        "waterplane_area_m2",
        "wetted_area_m2",
        "immersion_kg_per_cm",
        "prismatic_coefficient",
    )
    every = {c.key: c for c in (*WEIGHTS, *PLANES, *FORMS)}
    shown = (AT, *(every[key] for key in keys))
    foot = (say("LCB: centre of buoyancy aft of the bow datum. KB, KM: above the base line."),)
    cells = tuple(tuple(getattr(r, OF[c.key]) for c in shown) for r in rows)
    return Table("", "Hydrostatics, upright and level", shown, cells, foot=foot)


def _finite(value: float) -> float | None:
    return value if math.isfinite(value) else None


def _error_words(rows: Sequence[HydrostaticRow], errors: Sequence[Mapping[str, Any]] | None) -> Say:
    """The greatest mesh error of the table: displacement as a share, BM and KB."""
    if not errors:
        return say()
    share = max(error["displacement"] / row.displacement for row, error in zip(rows, errors))
    bm, kb = (max(error[key] for error in errors) for key in ("bm", "kb"))
    return say(
        "Mesh error, by a mesh twice as coarse, at its worst in the table: displacement within ",
        Q("fine share", share, "displacement_error"),
        ", BM within ",
        Q("error", bm),
        ", KB ",
        Q("error", kb),
        ".",
    )
