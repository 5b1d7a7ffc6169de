"""The models that are shipped read without a mistake, and the canoe of 1883 is the table of its plate."""

from __future__ import annotations

import dataclasses
from pathlib import Path

import numpy as np
import pytest
from boat_sample import write

from hullview.boat.reader import read_boat
from hullview.shape.assemble import build_hull
from hullview.shape.body import Body

MODELS = Path(__file__).parents[2] / "models"
CANOE = MODELS / "cruising-canoe-1883"
SQUARE_FOOT = 0.3048**2


@pytest.fixture(scope="module")
def canoe():
    return read_boat(CANOE)


@pytest.mark.parametrize("folder", sorted(p.parent for p in MODELS.glob("*/boat.toml")), ids=lambda p: p.name)
def test_every_model_reads_and_says_where_it_is_from(folder):
    boat = read_boat(folder)
    told = " ".join((boat.builder, boat.notes, boat.source, (folder / "boat.toml").read_text())).lower()
    assert "invented" in told or "wigley" in told
    assert boat.notices == ()


def test_the_canoe_is_in_feet_inches_and_eighths(canoe):
    # W. P. Stephens, Canoe and Boat Building, 4th edition, 1889, Plate XI: the cells as seen.
    table = canoe.hull.table
    assert canoe.units_shown == "imperial" and table.unit == "ft-in-eighths"
    assert table.stations == pytest.approx([0.3048 * i for i in range(15)])
    sheer, half = table.find("height", "sheer"), table.find("half-breadth", "sheer")
    assert sheer.values[4] / 0.0254 == pytest.approx(12.25)
    assert half.values[1] / 0.0254 == pytest.approx(2.875)
    assert half.values[7] / 0.0254 == pytest.approx(14.75)
    assert [r.at for r in table.lines if r.name == "waterline"] == pytest.approx([0.0508, 0.1016, 0.1524])
    for word in (
        "Stephens",
        "Plate XI",
        "does not say",
        "ours",
        "station 1",
        "station 4",
        "station 0",
        "station 3",
        "station 13",
    ):
        assert word in canoe.source + canoe.notes, word


def test_its_stems_pass_the_cells_that_are_given(canoe):
    for end, station, height, next_height in (
        (canoe.hull.bow, 0, 18.0, 1.375),
        (canoe.hull.stern, 14, 16.0, 1.125),
    ):
        points = np.array(end.profile) / 0.0254
        assert points[0] == pytest.approx([12 * station, height])
        assert points[1] == pytest.approx([12 * station, 6.0]) and (points[1] == points[2]).all()
        assert points[-1] == pytest.approx([abs(station - 1) * 12 if station == 0 else 12 * 13, next_height])
        assert (np.diff(points[:, 1]) <= 0).all()
        assert end.siding == pytest.approx(0.25 * 0.0254)  # twice the 1/8 in half-breadth of its ends


@pytest.mark.parametrize(("inches", "square_feet"), [(2, 14.2222), (4, 18.7639), (6, 21.1528)])
def test_its_waterplanes_agree_with_simpson(canoe, inches, square_feet):
    # Simpson's rule on the plate's half-breadths, 12 in apart; the ends of the two lower ones are our stems,
    # hence 0.5 %.
    hull = build_hull(canoe)
    area = Body(hull.vertices, hull.faces).immersed((0.0, 0.0, 1.0), inches * 0.0254).plane_area
    assert area / SQUARE_FOOT == pytest.approx(square_feet, rel=0.005)


def test_it_carries_and_weighs(canoe):
    from hullview.study import carry

    verdict = carry(canoe)
    assert verdict.answer == "carries"
    # A strip-planked canoe of this size, glass inside and out: builders' logs give 35 to 45 lb (common
    # practice, no source).
    assert 35 < verdict.craft.weight.mass / 0.45359237 < 45


def test_the_same_boat_in_other_units_is_the_same_boat(canoe, tmp_path):
    text = (CANOE / "offsets.csv").read_text()
    unit = {"in": 12 / 0.3048, "mm": 1000.0}
    for name, scale in unit.items():
        rows = []
        for line in text.strip().split("\n"):
            cells = line.split(",")
            if cells[0] in ("position", "height", "half-breadth"):
                cells[2:] = [f"{_metres(c) * scale:.10f}" if c else "" for c in cells[2:]]
            rows.append(",".join(cells))
        toml = (CANOE / "boat.toml").read_text().replace('units = "ft-in-eighths"', f'units = "{name}"')
        other = read_boat(write(tmp_path / name, toml, "\n".join(rows) + "\n"))
        assert np.allclose(other.hull.table.stations, canoe.hull.table.stations, rtol=0, atol=1e-12)
        for a, b in zip(other.hull.table.lines, canoe.hull.table.lines):
            assert a.label == b.label
            assert np.allclose(
                np.array(a.values, float), np.array(b.values, float), rtol=0, atol=1e-12, equal_nan=True
            )
        assert dataclasses.replace(other.hull, table=None) == dataclasses.replace(canoe.hull, table=None)


def _metres(cell: str) -> float:
    """A cell of the plate by hand, not by our own parser."""
    feet, inches, eighths = (int(n) for n in cell.split("-"))
    return (feet * 12 + inches + eighths / 8) * 0.0254


DECKED_TO_A_POINT = """\
measure,line,at,0,1,2,3,4
position,,,0,700,1500,2300,3000
height,sheer,,290,250,230,245,280
half-breadth,sheer,,0,190,300,200,0
height,keel,,60,5,0,8,55
half-breadth,waterline,100,,120,240,130,
half-breadth,waterline,200,,165,285,178,
height,deck,,290,285,280,285,
"""


@pytest.mark.parametrize("profile", ["", "[hull.bow]\nprofile = [[0, 290], [40, 160], [180, 40]]\n"])
def test_a_deck_may_end_in_a_point(tmp_path, profile):
    toml = (
        'name = "x"\n[hull]\noffsets = "offsets.csv"\nunits = "mm"\nmeasured_to = "outside"\ntype ='
        f' "decked"\n{profile}'
    )
    table = DECKED_TO_A_POINT.replace("keel,,60,", "keel,,,") if profile else DECKED_TO_A_POINT
    hull = build_hull(read_boat(write(tmp_path, toml, table)))
    assert Body(hull.vertices, hull.faces).volume > 0.15  # Body refuses a mesh that is not closed
