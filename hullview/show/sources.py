"""The page's tables of what the figures rest on: offsets, materials and their sources, marks on the forms, stages of the build."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from itertools import pairwise

from hullview.afloat.equilibrium import Floating
from hullview.boat.model import Boat, Build
from hullview.boat.model import Table as Offsets
from hullview.boat.wording import INCH, eighths
from hullview.materials import Cloth, Coating, Library, Resin, Wood
from hullview.show import words
from hullview.show.chapters import Table
from hullview.weight.total import Weight

UNIT_WORDS = {"ft-in-eighths": "feet, inches and eighths", "in": "inches", "ft": "feet"}
ACROSS = {"mm": 14, "cm": 9, "in": 9, "ft": 9, "m": 9, "ft-in-eighths": 8}
"""Stations that stand side by side on a page of paper, by the unit of the table; the others follow below."""


def offsets_tables(table: Offsets) -> tuple[Table, ...]:
    """The table of offsets as read, in the builder's unit and in mm where that is another, as many stations across as paper has room for."""
    names = table.column_names or tuple(str(i) for i in range(len(table.stations)))
    units = "in mm" if table.unit == "mm" else f"in {UNIT_WORDS.get(table.unit, table.unit)}, mm in brackets"
    shown, most = words.rows_of(table), ACROSS[table.unit]
    count = -(-len(names) // most)
    edges = [round(k * len(names) / count) for k in range(count + 1)]
    made = []
    for first, last in pairwise(edges):
        rows = [("position", *(_cell(x, table.unit) for x in table.stations[first:last]))]
        rows += [
            (shown[line.label], *(_cell(v, table.unit) for v in line.values[first:last]))
            for line in table.lines
        ]
        which = "" if count == 1 else f", stations {names[first]} to {names[last - 1]}"
        made.append(
            Table(
                f"Table of offsets, as read from {table.file}, {units}{which}",
                ("line", *names[first:last]),
                tuple(rows),
                "l" + "r" * (last - first),
            )
        )
    return tuple(made)


def _cell(metres: float | None, unit: str) -> str:
    if metres is None:
        return ""
    in_mm = f"{metres * 1000:.1f}".removesuffix(".0")
    if unit == "mm":
        return in_mm
    own = {
        "ft-in-eighths": eighths(metres),
        "in": f"{metres / INCH:.3g}",
        "ft": f"{metres / INCH / 12:.4g}",
        "cm": f"{metres * 100:g}",
        "m": f"{metres:g}",
    }
    return f"{own.get(unit, in_mm)} ({in_mm})"


def sources_table(build: Build, library: Library) -> Table:
    """What she is made of, the figure taken for each, and where it comes from."""
    rows = [(m.name, _figure(m), m.source, m.note) for m in materials_of(build, library)]
    return Table(
        "Materials: the figures taken and their sources",
        ("material", "figure", "source", "note"),
        tuple(rows),
        "llll",
    )


def materials_of(build: Build, library: Library) -> list[Wood | Cloth | Resin | Coating]:
    """Every material of a build once, woods first."""
    plan = build.schedule
    named: tuple[tuple[object, Iterable[str | None]], ...] = (
        (
            library.wood,
            (*(p.wood for p in plan.planking), *(r.wood for r in plan.runs), *(p.wood for p in plan.pieces)),
        ),
        (library.cloth, (*(s.cloth for s in plan.skins), *(r.cloth for r in plan.runs))),
        (library.resin, (*(s.resin for s in plan.skins if s.cloth), *(r.resin for r in plan.runs))),
        (library.coating, (s.coating for s in plan.skins)),
    )
    found = {}
    for find, names in named:
        for name in dict.fromkeys(n for n in names if n):
            material = find(name)  # type: ignore[operator]
            found[(type(material), material.name)] = material
    return list(found.values())


def _figure(m: Wood | Cloth | Resin | Coating) -> str:
    if isinstance(m, Wood):
        return f"{m.density[1]:.0f} kg/m³ ({m.density[0]:.0f} to {m.density[2]:.0f})"
    if isinstance(m, Cloth):
        return f"{m.areal[1] * 1000:.0f} g/m²"
    if isinstance(m, Resin):
        return f"{m.cured_density[1]:.0f} kg/m³ cured"
    return f"{m.dry[1] * 1000:.0f} g/m² a coat, dry"


def forms_table(
    craft_stations: Sequence[tuple[str, float]],
    floating: Floating,
    sheer: Sequence[float],
    keel: Sequence[float],
    units: str,
) -> Table:
    """The loaded waterline on each form: its height above the base line, above the keel, and under the sheer."""
    if floating.normal is None or floating.offset is None:
        return Table(
            "The loaded waterline on the forms",
            ("station",),
            (),
            "l",
            note="As loaded she does not float, so there is none to mark.",
        )
    n = floating.normal
    rows = []
    for (name, x), top, low in zip(craft_stations, sheer, keel):
        height = (floating.offset - n[0] * x) / n[2]
        there = low < height < top
        rows.append(
            (
                name,
                words.length(x, units),
                words.length(height, units),
                words.length(height - low, units) if there else "dry",
                words.length(top - height, units),
            )
        )
    header = ("station", "aft of the bow datum", "height above base line", "over the keel", "under the sheer")
    return Table("The loaded waterline on the forms, on the centre line", header, tuple(rows), "lrrrr")


def stages_table(weight: Weight, units: str) -> Table:
    """What the scale should say at each stage, with room to write what it did say."""
    rows = tuple(
        (s.stage, words.mass(s.predicted[1], units), f"{words.mass(s.predicted[0], units, False)} to {words.mass(s.predicted[2], units, False)}",
         "" if s.weighed is None else words.mass(s.weighed, units))
        for s in weight.told_stages
    )  # fmt: skip
    return Table(
        "Weight by stage, to check on the scale",
        ("stage", "likely", "8 of 10 builds", "weighed"),
        rows,
        "lrrr",
    )


def boat_rows(boat: Boat) -> tuple[tuple[str, str], ...]:
    """Who she is, from the free text of her file."""
    return tuple(
        (k, v) for k, v in (("builder", boat.builder), ("source", boat.source), ("notes", boat.notes)) if v
    )
