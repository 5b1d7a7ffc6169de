"""A station written in the wrong place is named, its offsets are left alone, and a right table raises no
alarm."""

from __future__ import annotations

from dataclasses import replace

import pytest

from hullview import study
from hullview.boat.reader import read_boat
from hullview.shape.fairness import table_and_ends
from hullview.shape.misplaced import misplaced
from hullview.show.record import as_record
from hullview.show.text import text
from hullview.tell.fairness import check_telling

MODELS = ("short-kayak", "open-canoe", "pulling-dinghy", "flat-skiff", "cruising-canoe-1883", "wigley")


def slipped(name: str, column: int, by: float):
    """The model with one station moved by a share of the lesser spacing beside it; with where it stood
    [m]."""
    boat = read_boat(f"models/{name}")
    table, _ = table_and_ends(boat)
    x = list(table.stations)
    true = x[column]
    x[column] += by * min(x[column] - x[column - 1], x[column + 1] - x[column])
    return replace(boat, hull=replace(boat.hull, table=replace(table, stations=tuple(x)))), true


@pytest.mark.parametrize("name", MODELS)
def test_a_right_table_raises_no_alarm(name):
    assert misplaced(read_boat(f"models/{name}")) == ()


@pytest.mark.parametrize(
    "name, column, by",
    [
        ("short-kayak", 4, 0.1),
        ("short-kayak", 5, -0.1),
        ("short-kayak", 9, -0.1),
        ("short-kayak", 10, 0.3),
        ("short-kayak", 2, -0.1),
        ("open-canoe", 3, 0.1),
        ("open-canoe", 11, -0.3),
        ("pulling-dinghy", 5, 0.1),
        ("pulling-dinghy", 9, -0.1),
        ("pulling-dinghy", 2, 0.2),
    ],
)
def test_a_station_in_the_wrong_place_is_named_with_where_it_stood(name, column, by):
    boat, true = slipped(name, column, by)
    (found,) = misplaced(boat)
    assert found.kind == "station" and found.column == column
    given = boat.hull.table.stations[column]
    assert found.given == given and abs(found.fits - true) < 0.35 * abs(given - true) + 0.001


def test_one_wrong_offset_is_no_wrong_station():
    boat = read_boat("models/short-kayak")
    table, _ = table_and_ends(boat)
    for row, column, slip in ((2, 5, 0.02), (4, 7, -0.03), (6, 8, 0.025)):
        line = table.lines[row]
        if line.values[column] is None:
            continue
        values = tuple(v + slip if j == column else v for j, v in enumerate(line.values))
        lines = tuple(replace(r, values=values) if r is line else r for r in table.lines)
        assert misplaced(replace(table, lines=lines)) == ()


def test_check_says_the_station_first_and_blames_no_offset():
    boat, true = slipped("short-kayak", 6, 0.12)
    checked = study.check(study.craft_of(boat))
    telling = check_telling(boat, checked)
    words = text(telling)
    assert "station 6 may stand elsewhere than at 1440 mm" in words.replace("\n  ", " ")
    assert words.index("may stand elsewhere") < words.index("Will it bend")
    assert "fair would be" not in words and "out of fair; no slip" not in words
    assert "no slip can be promised to show" in words.replace("\n", " ")
    told = as_record(telling)
    (one,) = told["misplaced"]
    assert one["kind"] == "station" and one["name"] == "6" and one["fits_m"] == pytest.approx(true, abs=0.004)
    assert told["smallest_slip_m"] is None and not any(o["flagged"] for o in told["offsets"])
