"""What the boat is, from its files: free text, dimensions, the table of offsets as read, the loaded
waterline on the forms."""

from __future__ import annotations

from itertools import pairwise

import numpy as np

from hullview.afloat.equilibrium import Floating
from hullview.answer.plausible import sizes
from hullview.boat.model import Boat, TableLine
from hullview.boat.model import Table as Offsets
from hullview.shape.hull import Hull
from hullview.tell.model import Column, Facts, Q, Say, Section, Table, Units, Words, say

ACROSS: dict[Units, int] = {"metric": 14, "imperial": 8}
"""Stations that stand side by side on a page of paper; the others follow below."""


def about_section(boat: Boat) -> Section:
    """The free text of the boat's file."""
    told = (("builder", boat.builder), ("source", boat.source), ("notes", boat.notes))
    rows = tuple((name, say(Q("words", words, f"about.{name}"))) for name, words in told if words)
    return Section("about", "About the boat", (Facts(rows),))


def dimensions(boat: Boat, hull: Hull, floating: Floating | None = None) -> Facts:
    """Length, beam and depth, and how the boat floats with the load in its file."""
    size = sizes(hull)
    rows: list[tuple[Words, Say]] = [
        (name, say(Q("length", size[name], f"dimensions.{name}_m")))
        for name in ("length", "beam", "depth")
        if name in size
    ]
    if floating is not None and floating.draft is not None and floating.waterline_length is not None:
        rows += [
            (
                "waterline length",
                say(Q("length", floating.waterline_length, "dimensions.waterline_length_m")),
            ),
            ("draft, loaded", say(Q("length", floating.draft, "dimensions.draft_m"))),
            ("afloat with all aboard", say(Q("mass", floating.mass, "dimensions.afloat_kg"))),
        ]
    return Facts(tuple(rows))


def offsets_section(table: Offsets, units: Units) -> Section:
    """The table of offsets as read, as many stations across as paper has room for."""
    names = table.names
    count = -(-len(names) // ACROSS[units])
    edges = [round(k * len(names) / count) for k in range(count + 1)]
    parts = tuple(_offsets(table, names, first, last, count > 1) for first, last in pairwise(edges))
    return Section("offsets", "The table of offsets, as read", parts, path="offsets_as_read")


def _offsets(table: Offsets, names: tuple[str, ...], first: int, last: int, part: bool) -> Table:
    which = f", stations {names[first]} to {names[last - 1]}" if part else ""
    columns = (
        Column("line", "line"),
        Column("at_m", "at", "offset", hidden=True),
        *(Column(f"station_{name}", name, "offset", both=True) for name in names[first:last]),
    )
    rows: list[tuple[object, ...]] = [("position", None, *table.stations[first:last])]
    rows += [(row_name(line), line.at, *line.values[first:last]) for line in table.lines]
    key = f"stations_{names[first]}_to_{names[last - 1]}"
    return Table(key, f"Table of offsets, as read from {table.file}{which}", columns, tuple(rows))


def row_name(line: TableLine) -> Say:
    """A row of the table as a person reads it: its measure, its name, its height or breadth, its angle.

    Parameters
    ----------
    line : TableLine
        `at` [m] and `angle` [rad] are told where the row has them.
    """
    at: Words = "" if line.at is None else say(" ", Q("at", line.at, both=False))
    angle = "" if line.angle is None else f"/{np.degrees(line.angle):g}"
    return say(f"{line.measure} {line.name}", at, angle)


def waterline_on_forms(hull: Hull, floating: Floating) -> Table:
    """The loaded waterline on each form, on the centre line: above the base line, above the keel, and
    under the sheer."""
    columns = (
        Column("station", "station"),
        Column("x_m", "aft of the bow datum", "length", both=True),
        Column("height_m", "above the base line", "length", both=True),
        Column("over_keel_m", "over the keel", "length", both=True),
        Column("under_sheer_m", "under the sheer", "length", both=True),
    )
    title = "The loaded waterline on the forms, on the centre line"
    if floating.normal is None or floating.offset is None:
        foot = (say("As loaded the boat does not float, so there is no waterline to mark."),)
        return Table("waterline_on_forms", title, columns, (), foot=foot)
    n, rows = floating.normal, []
    for name, x in zip(hull.station_names, hull.stations):
        top = float(np.interp(x, hull.sheer[:, 0], hull.sheer[:, 2]))
        low = hull.keel_height(x)
        height = float((floating.offset - n[0] * x) / n[2])
        over: object = height - low if low < height < top else Q("words", "dry")
        rows.append((name, float(x), height, over, top - height))
    return Table("waterline_on_forms", title, columns, tuple(rows))
