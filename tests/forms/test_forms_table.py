"""The table to the inside of planking, read back as a boat that is measured to the inside, is the same
boat."""

from __future__ import annotations

import dataclasses
import re
from functools import cache
from pathlib import Path

import numpy as np
import pytest
import trimesh
from fine import Outside

from hullview.boat.reader import read_boat
from hullview.forms.make import make_forms
from hullview.forms.read_back import off_when_read_back
from hullview.forms.table import UNITS, hull_toml, inside_table, table_csv
from hullview.shape import assemble
from hullview.shape.appendages import body_of
from hullview.shape.assemble import build_hull

MODELS = Path(__file__).parents[2] / "models"
BOATS = ("short-kayak", "open-canoe", "cruising-canoe-1883", "pulling-dinghy", "flat-skiff")
CLOSE = 0.0005
"""Asked for by the issue [m], measured square to the skin."""


def folder_of(name: str, into: Path) -> Path:
    """The model's own boat.toml with its shape replaced by the table to the inside."""
    made = inside_table(make_forms(read_boat(MODELS / name)))
    text = (MODELS / name / "boat.toml").read_text()
    parts = re.split(r"(?m)^(?=\[)", text)
    others = [p for p in parts if not re.match(r"\[hull(\.bow|\.stern)?\]", p)]
    kept = [
        line
        for p in parts
        if p.startswith("[hull]")
        for line in p.splitlines()
        if re.match(r"(design_displacement|keel_width)", line)
    ]
    head = hull_toml(made, read_boat(MODELS / name).hull.type)
    head = head.replace("\n\n[hull.bow]", "\n" + "\n".join(kept) + "\n\n[hull.bow]")
    (into / "boat.toml").write_text(others[0] + head + "\n" + "".join(others[1:]))
    (into / "inside-offsets.csv").write_text(table_csv(made))
    return into


@cache
def read_back(name: str):
    import tempfile

    with tempfile.TemporaryDirectory() as folder:
        return read_boat(folder_of(name, Path(folder)))


def points_of(boat) -> tuple[np.ndarray, list[str]]:
    """Every offset of the table as a point of the outside (n, 3) [m], with its name."""
    table, found, names = boat.hull.table, [], []
    half = {r.name: r.values for r in table.lines if r.at is None and r.measure == "half-breadth"}
    for r in table.lines:
        for x, v, j in zip(table.stations, r.values, range(len(table.stations))):
            if v is None:
                continue
            if r.name.startswith("waterline"):
                p = (v, r.at)
            elif r.name.startswith("buttock"):
                p = (r.at, v)
            elif r.name == "deck" and r.measure == "height":
                p = (r.at or 0.0, v)
            elif r.measure == "height" and r.name in half and half[r.name][j] is not None:
                p = (half[r.name][j], v)
            elif r.name in ("keel", "rabbet") and r.measure == "height":
                p = (0.0, v)
            else:
                continue
            if 0 < j < len(table.stations) - 1:
                found.append((x, *p))
                names.append(f"{r.label} at {table.column(j)}")
    return np.array(found), names


@pytest.mark.parametrize("name", BOATS)
def test_it_displaces_the_same(name):
    """At three level waterlines, within 0.1 %."""
    bodies = []
    for boat in (read_boat(MODELS / name), read_back(name)):
        assert (boat is not None) and boat.hull.table is not None
        bodies.append(body_of(build_hull(boat), ()))
    low, high = bodies[0].extent((0, 0, 1))
    for share in (0.3, 0.5, 0.7):
        at = low + share * (high - low)
        a, b = (body.immersed((0, 0, 1), at).volume for body in bodies)
        assert abs(b / a - 1) < 0.001


@pytest.mark.parametrize("name", BOATS)
def test_every_offset_comes_back(name, monkeypatch):
    """Within half a millimetre, square to the skin of the boat that was read back: nearest points on its
    mesh."""
    boat, back = read_boat(MODELS / name), read_back(name)
    points, names = points_of(boat)
    monkeypatch.setattr(assemble, "ROWS", 320)
    monkeypatch.setattr(assemble, "COLUMNS", 640)
    hull = build_hull(back)
    mesh = trimesh.Trimesh(hull.vertices, hull.faces, process=False)
    off = trimesh.proximity.closest_point(mesh, points)[1]
    deck = np.array([n.startswith("height deck") for n in names])
    if deck.any():  # as it is before the cockpit is cut
        off[deck] = Outside(hull.deck.points[::-1]).distance(points[deck])
    assert (off <= CLOSE).all(), [(n, o) for n, o in zip(names, off) if o > CLOSE]


def test_a_bottom_that_turns_within_the_plankings_thickness_is_told():
    made = inside_table(make_forms(read_boat(MODELS / "open-canoe")))
    text = hull_toml(made, "open")
    for name, by in made.folded:
        assert f"At station {name} the bottom turns" in text and f"meet {by * 1000:.1f} mm above" in text
    assert [name for name, _ in made.folded] == ["13"]
    shapes = dict(zip(made.table.names, made.table.keel_shape))
    assert shapes["1"] == "vee" and shapes["13"] == "round"  # each as it comes back nearer


def test_how_far_a_table_is_off_when_it_is_read_back_is_told_by_station():
    boat = read_boat(MODELS / "open-canoe")
    made = inside_table(make_forms(boat))
    off = off_when_read_back(boat, made)
    assert set(off) >= set(boat.hull.table.names[1:-1]) and max(off.values()) < 1.2 * CLOSE  # to its corners
    lines = tuple(
        dataclasses.replace(
            r, values=tuple(v + 0.01 if v is not None and j == 5 else v for j, v in enumerate(r.values))
        )
        if r.name == "waterline"
        else r
        for r in made.table.lines
    )
    wrong = dataclasses.replace(made, table=dataclasses.replace(made.table, lines=lines))
    assert off_when_read_back(boat, wrong)["5"] > 0.006 > 3 * off_when_read_back(boat, wrong)["9"]


def test_it_is_the_builders_own_table_line_by_line_in_decimals_of_their_unit():
    for name, unit, step in (("short-kayak", "mm", "0.1"), ("cruising-canoe-1883", "in", "0.005")):
        boat = read_boat(MODELS / name)
        made = inside_table(make_forms(boat))
        own, other = boat.hull.table, made.table
        assert made.unit == unit and [r.label for r in own.lines] == [r.label for r in other.lines]
        assert own.names == other.names
        for a, b in zip(own.lines, other.lines):
            if a.at is None:
                assert all(v is not None for v, w in zip(a.values, b.values) if w is not None)
        cells = [c for row in table_csv(made).splitlines()[1:] for c in row.split(",")[3:]]
        numbers = np.array([float(c) for c in cells if re.fullmatch(r"-?[\d.]+", c)])
        steps = numbers / float(step)
        assert len(numbers) > 50 and np.abs(steps - np.round(steps)).max() < 1e-6


@pytest.mark.parametrize(
    ("unit", "size", "step"),
    [
        ("mm", 0.001, 0.1),
        ("cm", 0.01, 0.01),
        ("m", 1.0, 0.0001),
        ("in", 0.0254, 0.005),
        ("ft", 0.3048, 0.0005),
        ("ft-in-eighths", 0.0254, 0.005),
    ],
)
def test_the_table_is_written_in_the_builders_unit_whatever_it_is(unit, size, step):
    """The same metres, rounded to a step of that unit."""
    boat = read_boat(MODELS / "flat-skiff")
    made = inside_table(make_forms(boat))
    table = dataclasses.replace(boat.hull.table, unit=unit)
    other = inside_table(
        make_forms(dataclasses.replace(boat, hull=dataclasses.replace(boat.hull, table=table)))
    )
    rows = [line.split(",") for line in table_csv(other).splitlines()]
    read = np.array([float(c) for c in rows[1][3:]]) * size
    assert np.abs(read - made.table.stations).max() <= 0.51 * step * size
    for row, line in zip(rows[2:], made.table.lines):
        got = [None if c == "" else float(c) * size for c in row[3:]]
        assert [v is None for v in got] == [v is None for v in line.values]
        assert all(abs(v - w) <= 0.51 * step * size for v, w in zip(got, line.values) if v is not None)
    assert step * size <= 2e-4 and len(UNITS) == 6


def test_the_inside_is_narrower_everywhere():
    """By about the thickness taken off, more where the side leans."""
    boat = read_boat(MODELS / "open-canoe")
    made = make_forms(boat)
    inside = inside_table(made).table
    for a, b in zip(boat.hull.table.lines, inside.lines):
        if a.name == "waterline":
            less = [v - w for v, w in zip(a.values[1:-1], b.values[1:-1]) if v is not None and w is not None]
            assert min(less) >= made.taken[0] - 5e-5
