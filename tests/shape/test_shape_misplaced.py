"""A station or a line written in the wrong place is named, its offsets are left alone, and a right table
raises no alarm."""

from __future__ import annotations

import math
import re
from dataclasses import replace

import numpy as np
import pytest

from hullview import study
from hullview.boat.model import TableLine
from hullview.boat.reader import read_boat
from hullview.commands import main
from hullview.shape.assemble import build_hull
from hullview.shape.fairness import Faired, fairness, table_and_ends
from hullview.shape.misplaced import _off_battens, _stood, misplaced, not_promised
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


@pytest.mark.parametrize("first", [0, 1])
@pytest.mark.parametrize("name", [n for n in MODELS if n != "flat-skiff"])
def test_a_right_table_of_half_the_stations_raises_no_alarm_and_promises_little(name, first):
    """Stations far apart all ask for another place a little, by the same hollow lines."""
    boat = read_boat(f"models/{name}")
    last = len(table_and_ends(boat)[0].stations) - 1
    kept = sorted({0, last, *range(first, last, 2)})
    coarse = half_of(boat, kept)
    assert misplaced(coarse) == ()
    if name != "wigley":
        assert set(not_promised(coarse)) >= {coarse.hull.table.column(len(kept) // 2)}


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


@pytest.mark.parametrize("name", ["short-kayak", "open-canoe", "pulling-dinghy"])
def test_where_a_slip_is_promised_to_show_it_does(name):
    """And the promise is made for nearly every station of a fair table: not amidships, where such a slip
    hardly moves a line."""
    boat = read_boat(f"models/{name}")
    table, _ = table_and_ends(boat)
    hidden = not_promised(boat)
    inner = range(1, len(table.stations) - 1)
    assert len(hidden) <= 3
    tried = [j for j in inner if table.column(j) not in hidden]
    for k, j in enumerate(tried):
        by = 0.1 if k % 2 else -0.1
        assert j in {m.column for m in misplaced(slipped(name, j, by)[0]) if m.kind == "station"}, j


def test_check_says_where_no_slip_of_a_station_is_promised_to_show():
    for name, words in (
        ("short-kayak", "would show but perhaps at stations 6, 7, 8."),
        ("cruising-canoe-1883", "No station out of place can be promised to show."),
    ):
        boat = read_boat(f"models/{name}")
        telling = check_telling(boat, study.check(study.craft_of(boat)))
        assert words in text(telling).replace("\n  ", " ")
        assert as_record(telling)["stations_not_promised"] == list(not_promised(boat))


def half_of(boat, kept: list[int]):
    """The boat with those stations of its table only."""
    table, _ = table_and_ends(boat)
    few = replace(
        table,
        lines=tuple(replace(line, values=tuple(line.values[k] for k in kept)) for line in table.lines),
        **{
            name: tuple(value[k] for k in kept)
            for name in ("stations", "column_names", "keel_shape", "deck_shape")
            if (value := getattr(table, name))
        },
    )
    return replace(boat, hull=replace(boat.hull, table=few))


def few_stations(name: str, count: int):
    """The model with so many of its stations, evenly taken."""
    boat = read_boat(f"models/{name}")
    last = len(table_and_ends(boat)[0].stations) - 1
    return half_of(boat, sorted({round(k * last / (count - 1)) for k in range(count)}))


def with_station_off(boat, column: int, by: float):
    table, _ = table_and_ends(boat)
    x = tuple(at + by if j == column else at for j, at in enumerate(table.stations))
    return replace(boat, hull=replace(boat.hull, table=replace(table, stations=x)))


@pytest.mark.parametrize(
    "name, count, by, least",
    [
        ("short-kayak", 8, -0.254, 5),
        ("open-canoe", 9, -0.254, 6),
        ("pulling-dinghy", 8, 0.254, 6),
        ("flat-skiff", 8, 0.254, 5),
        ("flat-skiff", 8, 0.1, 5),
        ("wigley", 7, -0.1, 5),
        ("cruising-canoe-1883", 8, -0.254, 5),
    ],
)
def test_ten_inches_read_wrong_in_a_table_of_few_stations_are_named(name, count, by, least):
    """4-1-0 for 4-11-0, and 2200 for 2300: of the interior stations that stay between their neighbours at
    least so many are told, and never another without them."""
    boat = few_stations(name, count)
    assert misplaced(boat) == ()
    x, named = boat.hull.table.stations, 0
    for j in range(1, len(x) - 1):
        if x[j - 1] + 0.02 < x[j] + by < x[j + 1] - 0.02:
            told = [m.column for m in misplaced(with_station_off(boat, j, by))]
            assert j in told or not told
            named += j in told
    assert named >= least


@pytest.mark.parametrize("name", ["short-kayak", "pulling-dinghy", "cruising-canoe-1883"])
def test_no_offset_beside_a_station_that_may_be_out_gets_a_fair_value(name):
    """In a table of few stations a slip of 100 mm blames offsets here and there: nothing is proposed for
    them, and the stations to look at are named, the one that is out among them or told."""
    boat, unsure = few_stations(name, 8), 0
    for j in range(1, 7):
        slipped_by = with_station_off(boat, j, -0.1)
        checked = study.check(study.craft_of(slipped_by))
        flagged = [f for f in checked.findings if f.flagged]
        near = [f for f in flagged if abs(f.column - j) <= 1]
        if checked.misplaced or len(near) < 2:
            continue
        unsure += 1
        assert slipped_by.hull.table.column(j) in checked.look_first
        assert all(f.fair is None for f in near)
        words = text(check_telling(slipped_by, checked, study.if_fair(slipped_by, checked.findings)))
        words = re.sub(r"\s+", " ", words)
        assert "look first whether" in words
        assert words.index("look first whether") < words.index("Doubtful")
    assert unsure


@pytest.mark.parametrize("count", [2, 3, 4])
def test_lines_of_four_points_or_fewer_tell_nothing_of_a_station(count):
    boat = few_stations("flat-skiff", count)
    assert misplaced(boat) == ()
    assert not_promised(boat) == boat.hull.table.names[1:-1]


def test_a_slip_of_the_pen_in_a_table_of_few_stations_is_no_station_out_of_place():
    boat = few_stations("pulling-dinghy", 9)
    for i, j in ((3, 2), (5, 4), (7, 5), (4, 6)):
        lines = list(boat.hull.table.lines)
        values = list(lines[i].values)
        assert values[j] is not None
        values[j] += 0.04
        lines[i] = replace(lines[i], values=tuple(values))
        one_out = replace(boat, hull=replace(boat.hull, table=replace(boat.hull.table, lines=tuple(lines))))
        assert misplaced(one_out) == ()


def test_a_station_stood_past_the_end_of_a_line_tells_of_fewer_offsets_not_of_a_fairer_table():
    """At 0.41 m all waterlines reach station 1; further forward the lowest has ended on the stem already."""
    boat = few_stations("short-kayak", 7)
    table, ends = table_and_ends(boat)
    trust = Faired(table, ends).trust
    _, told = _off_battens(table, ends, trust)
    assert table.stations[1] == pytest.approx(0.41)
    assert _off_battens(_stood(table, 1, 0.44), ends, trust)[1] == told
    assert _off_battens(_stood(table, 1, 0.32), ends, trust)[1] < told


def test_the_boat_that_new_writes_raises_no_alarm(tmp_path):
    with pytest.raises(SystemExit) as done:
        main(["new", str(tmp_path / "boat")])
    assert done.value.code == 0
    assert misplaced(read_boat(tmp_path / "boat")) == ()


def test_two_stations_that_explain_a_table_alike_are_both_told():
    boat, _ = slipped("short-kayak", 12, 0.1)
    first, other = misplaced(boat)
    assert {first.column, other.column} == {11, 12} and other.instead_of == first.name
    words = text(check_telling(boat, study.check(study.craft_of(boat)))).replace("\n  ", " ")
    assert "or station 12 may stand elsewhere" in words and "one of them, not both" in words


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


def moved_line(boat, label: str, by: float):
    """The boat with one line written elsewhere [m]; with its row."""
    table, _ = table_and_ends(boat)
    i = next(i for i, line in enumerate(table.lines) if line.label == label)
    lines = tuple(replace(line, at=line.at + by) if k == i else line for k, line in enumerate(table.lines))
    return replace(boat, hull=replace(boat.hull, table=replace(table, lines=lines))), i


def with_diagonals(name: str):
    """The model with two diagonals taken off its skin: 140 and 220 mm up the centre line, 40 and 25 degrees
    down from there."""
    boat = read_boat(f"models/{name}")
    table, _ = table_and_ends(boat)
    hull = build_hull(boat)
    rows = []
    for up, degrees in ((0.140, 40.0), (0.220, 25.0)):
        angle, values = math.radians(degrees), []
        for x in table.stations:
            section = next((s for s in hull.sections if len(s) and abs(s[0, 0] - x) < 1e-6), None)
            off = None
            if section is not None:
                over = (section[:, 2] - up) * math.cos(angle) + section[:, 1] * math.sin(angle)
                k = np.flatnonzero((over[:-1] < 0) & (over[1:] >= 0))
                if len(k):
                    f = over[k[0]] / (over[k[0]] - over[k[0] + 1])
                    y = section[k[0], 1] + f * (section[k[0] + 1, 1] - section[k[0], 1])
                    off = round(y / math.cos(angle), 3)
            values.append(off)
        rows.append(TableLine("half-breadth", "diagonal", up, tuple(values), angle))
    return replace(boat, hull=replace(boat.hull, table=replace(table, lines=(*table.lines, *rows))))


@pytest.mark.parametrize(
    ("name", "label", "by"),
    [
        ("short-kayak", "half-breadth waterline 110", -0.009),
        ("short-kayak", "half-breadth waterline 50", 0.005),
        ("short-kayak", "height buttock 160", 0.016),
        ("open-canoe", "half-breadth waterline 150", -0.010),
        ("open-canoe", "height buttock 300", 0.03),
        ("pulling-dinghy", "half-breadth waterline 120", 0.006),
        ("pulling-dinghy", "height buttock 280", -0.032),
    ],
)
def test_a_waterline_or_buttock_in_the_wrong_place_is_named_with_where_it_stood(name, label, by):
    boat, row = moved_line(read_boat(f"models/{name}"), label, by)
    first, *others = misplaced(boat)
    assert first.kind == label.split()[1] and first.column == row and first.instead_of == ""
    given = boat.hull.table.lines[row].at
    assert first.given == given and first.fits == pytest.approx(given - by, abs=0.35 * abs(by) + 0.001)
    assert all(other.instead_of == first.name for other in others)


@pytest.mark.parametrize("by", [-0.02, 0.03])
def test_a_diagonal_in_the_wrong_place_is_named(by):
    fair = with_diagonals("short-kayak")
    assert misplaced(fair) == ()
    boat, row = moved_line(fair, "half-breadth diagonal 140/40", by)
    first = misplaced(boat)[0]
    assert (first.kind, first.column) == ("diagonal", row)
    assert first.fits == pytest.approx(0.140, abs=0.35 * abs(by))


def test_a_diagonal_of_one_section_put_out_is_found_as_other_offsets_are():
    fair = with_diagonals("short-kayak")
    table = fair.hull.table
    label, column = "half-breadth diagonal 140/40", 6
    lines = tuple(
        replace(r, values=tuple(v + 0.008 if j == column else v for j, v in enumerate(r.values)))
        if r.label == label
        else r
        for r in table.lines
    )
    found = {(f.line, f.column): f for f in fairness(replace(table, lines=lines)) if f.flagged}
    assert set(found) == {(label, column)}
    assert found[label, column].out == pytest.approx(0.008, abs=0.003)
    assert not any(f.flagged for f in fairness(fair))


def test_check_names_the_line_first_and_blames_no_offset():
    boat, _ = moved_line(read_boat("models/short-kayak"), "half-breadth waterline 110", -0.009)
    telling = check_telling(boat, study.check(study.craft_of(boat)))
    words = text(telling).replace("\n  ", " ")
    assert re.search(
        r"the waterline may stand elsewhere than at 101 mm.*?: 1(09|10|11) mm.*? fits best", words
    )
    assert "fair would be" not in words
    one = as_record(telling)["misplaced"][0]
    assert one["kind"] == "waterline" and one["given_m"] == pytest.approx(0.101)
    assert one["fits_m"] == pytest.approx(0.110, abs=0.003)


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
