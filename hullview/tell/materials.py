"""The material library, and what a build is made of, each with source and note."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any

from hullview.boat.model import Build
from hullview.materials import Cloth, Library, Material, Resin, Wood, library
from hullview.tell.model import Column, Line, Q, Say, Section, Table, Telling, say

_FIGURES: tuple[tuple[str, str], ...] = (
    ("density_kg_m3", "density"),
    ("density_low_kg_m3", "density"),
    ("density_high_kg_m3", "density"),
    ("bending_strength_pa", "pressure"),
    ("bending_stiffness_pa", "pressure"),
    ("areal_kg_m2", "areal"),
    ("fibre_density_kg_m3", "density"),
    ("fibre_share", "share"),
    ("seal_kg_m2", "areal"),
    ("fill_kg_m2", "areal"),
    ("dry_kg_m2", "areal"),
    ("wet_kg_m2", "areal"),
)
"""Every figure that a kind of material has: its key and its kind of quantity."""


def materials_telling(word: str | None = None) -> Telling:
    """The library by kind, or those that have the word: what counts of each, with source and note under
    it."""
    found = library().search(word or "")
    blocks: list[Line] = []
    for kind, material in found:
        blocks.append(Line(say(f"{material.name}  [{kind}]  ", in_short(material)), strong=True, apart=True))
        blocks.append(Line(say(f"source: {material.source}"), hang=True))
        if material.note:
            blocks.append(Line(say(f"note: {material.note}"), hang=True))
    columns = (
        Column("kind", "kind"),
        Column("name", "name"),
        *(Column(key, key, kind) for key, kind in _FIGURES),
        Column("source", "source"),
        Column("note", "note"),
    )
    rows = []
    for kind, material in found:
        figures = figures_of(material)
        rows.append(
            (kind, material.name, *(figures.get(key) for key, _ in _FIGURES), material.source, material.note)
        )
    table = Table("materials", "", columns, tuple(rows), short=False, full=False)
    return Telling((Section("materials", "Materials", (*blocks, table)),), csv=("materials",))


def figures_of(material: Material) -> dict[str, float]:
    """What counts of a material, by key, in SI."""
    if isinstance(material, Wood):
        low, likely, high = material.density
        return {
            "density_kg_m3": likely,
            "density_low_kg_m3": low,
            "density_high_kg_m3": high,
            "bending_strength_pa": material.bending_strength,
            "bending_stiffness_pa": material.bending_stiffness,
        }
    if isinstance(material, Cloth):
        return {
            "areal_kg_m2": material.areal[1],
            "fibre_density_kg_m3": material.fibre_density,
            "fibre_share": material.fibre_share[1],
        }
    if isinstance(material, Resin):
        low, likely, high = material.cured_density
        return {
            "density_kg_m3": likely,
            "density_low_kg_m3": low,
            "density_high_kg_m3": high,
            "seal_kg_m2": material.seal[1],
            "fill_kg_m2": material.fill[1],
        }
    return {"dry_kg_m2": material.dry[1], "wet_kg_m2": material.wet}


def in_short(material: Material) -> Say:
    """The one figure by which a material is known."""
    if isinstance(material, Wood):
        low, likely, high = material.density
        return say(Q("density", likely), " (", Q("density", (low, high)), ")")
    if isinstance(material, Cloth):
        return say(Q("areal", material.areal[1]))
    if isinstance(material, Resin):
        return say(Q("density", material.cured_density[1]), " cured")
    return say(Q("areal", material.dry[1]), " a coat, dry")


def sources_section(build: Build, known: Library) -> Section:
    """What the boat is made of, the figure taken for each, and where it comes from."""
    columns = (
        Column("material", "material"),
        Column("", "figure"),
        Column("source", "source", wrap=True),
        Column("note", "note"),
    )
    made = materials_of(build, known)
    rows = tuple((m.name, in_short(m), m.source, m.note) for m in made)
    figures = tuple((m.name, *(figures_of(m).get(key) for key, _ in _FIGURES)) for m in made)
    record = (Column("material", "material"), *(Column(key, key, kind) for key, kind in _FIGURES))
    return Section(
        "sources",
        "Materials: the figures taken and their sources",
        (
            Table("sources", "", columns, rows, short=False),
            Table("figures", "", record, figures, short=False, full=False),
        ),
        path="materials",
    )


def materials_of(build: Build, known: Library) -> list[Material]:
    """Every material of a build once, woods first."""
    plan = build.schedule
    named: Sequence[tuple[Any, Iterable[str | None]]] = (
        (
            known.wood,
            (*(p.wood for p in plan.planking), *(r.wood for r in plan.runs), *(p.wood for p in plan.pieces)),
        ),
        (known.cloth, (*(s.cloth for s in plan.skins), *(r.cloth for r in plan.runs))),
        (known.resin, (*(s.resin for s in plan.skins if s.cloth), *(r.resin for r in plan.runs))),
        (known.coating, (s.coating for s in plan.skins)),
    )
    found: dict[tuple[type, str], Material] = {}
    for find, names in named:
        for name in dict.fromkeys(n for n in names if n):
            material = find(name)
            found[(type(material), material.name)] = material
    return list(found.values())
