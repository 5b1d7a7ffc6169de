"""How far offsets lie out of fair: planted slips are found, fair tables raise no alarm, the doubtful cells
of 1883 are listed."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from pathlib import Path

import numpy as np
import pytest
from boats import random_boat

from hullview.boat.model import Boat, Table, TableLine
from hullview.boat.reader import read_boat
from hullview.errors import UsageError
from hullview.shape.assemble import build_hull
from hullview.shape.batten import around, left_out
from hullview.shape.body import Body
from hullview.shape.fairness import fairness, if_taken, rounding, smallest_slip, with_fair_values
from hullview.shape.level import under_level
from hullview.show.text import text
from hullview.show.units import in_words
from hullview.tell.boat import row_name
from hullview.tell.fairness import fairness_section
from hullview.tell.model import Telling

FAIR = ("short-kayak", "open-canoe", "pulling-dinghy", "flat-skiff", "wigley")
SLIP = 0.006


@cache
def model(name: str) -> Boat:
    return read_boat(Path(__file__).parents[2] / "models" / name)


def slipped(boat: Boat, line: int, column: int, by: float) -> Boat:
    table = boat.hull.table
    rows = list(table.lines)
    values = list(rows[line].values)
    values[column] += by
    rows[line] = replace(rows[line], values=tuple(values))
    return replace(boat, hull=replace(boat.hull, table=replace(table, lines=tuple(rows))))


def flagged(boat: Boat) -> set[tuple[str, int]]:
    return {(f.line, f.column) for f in fairness(boat) if f.flagged}


def inner_cells(boat: Boat) -> list[tuple[int, int]]:
    """Cells neither at nor next to the end of their line."""
    cells = []
    for i, row in enumerate(boat.hull.table.lines):
        have = [j for j, v in enumerate(row.values) if v is not None]
        cells += [(i, j) for j in have[2:-2]]
    return cells


# ---------------------------------------------------------------- models


@pytest.mark.parametrize("name", FAIR)
def test_fair_models_raise_no_alarm(name):
    assert flagged(model(name)) == set()


@pytest.mark.parametrize("name", FAIR)
def test_a_planted_slip_of_6_mm_is_found_in_any_cell_not_next_to_an_end(name):
    """Every third such cell, one way or the other by turns (every cell, both ways: the slow test); of the
    large check hull, one in twenty."""
    boat = model(name)
    cells = inner_cells(boat)[:: {"wigley": 20, "flat-skiff": 1}.get(name, 3)]
    assert len(cells) > 10
    missed = []
    for k, (i, j) in enumerate(cells):
        by = SLIP if k % 2 else -SLIP
        found = {(f.line, f.column): f for f in fairness(slipped(boat, i, j, by)) if f.flagged}
        key = (boat.hull.table.lines[i].label, j)
        if key not in found:
            missed.append(key)
        else:
            assert found[key].out == pytest.approx(by, abs=0.003)
            assert found[key].fair == pytest.approx(boat.hull.table.lines[i].values[j], abs=0.003)
    assert missed == []


@pytest.mark.slow
@pytest.mark.timeout(600)
@pytest.mark.parametrize("name", FAIR)
def test_a_planted_slip_is_found_either_way(name):
    boat = model(name)
    for i, j in inner_cells(boat):
        for by in (SLIP, -SLIP):
            assert (boat.hull.table.lines[i].label, j) in flagged(slipped(boat, i, j, by))


def test_an_alarm_names_the_slip_and_hardly_anything_else():
    """One slip, one alarm, but for a neighbour here and there (about one slip in twenty over all cells;
    one in eight is let pass)."""
    boat = model("open-canoe")
    more = [len(flagged(slipped(boat, i, j, SLIP))) - 1 for i, j in inner_cells(boat)[1::5]]
    assert min(more) == 0
    assert sum(more) <= len(more) / 8


def test_two_slips_in_one_table_are_both_found():
    boat = model("short-kayak")
    rows = [r.label for r in boat.hull.table.lines]
    one, other = rows.index("half-breadth waterline 110"), rows.index("height sheer")
    both = slipped(slipped(boat, one, 5, 0.009), other, 8, -0.008)
    assert flagged(both) == {("half-breadth waterline 110", 5), ("height sheer", 8)}


def test_the_doubtful_cells_of_1883_are_found():
    """The list of check values: sheer half-breadth at station 1, 0-2-7, about 1 1/8 in out of fair where
    0-3-7 would be fair; sheer height at station 4 about 1/4 in low. Two more are found; fair cells of its
    scatter by 1 to 4 mm, and are not."""
    found = {(f.line, f.station): f for f in fairness(model("cruising-canoe-1883")) if f.flagged}
    sheer = found["half-breadth sheer", "1"]
    assert -0.034 < sheer.out < -0.025
    assert sheer.fair == pytest.approx((3 + 7 / 8) * 0.0254, abs=0.008)
    low = found["height sheer", "4"]
    assert -0.007 < low.out < -0.003
    assert ("half-breadth waterline 50.8", "3") in found  # a cell read off a damaged copy
    assert len(found) <= 4


def test_smallest_slip_says_what_can_be_found():
    assert smallest_slip(model("open-canoe")) <= SLIP
    assert smallest_slip(model("short-kayak")) <= SLIP
    assert smallest_slip(model("cruising-canoe-1883")) > SLIP  # rounded to 1/8 in, and drawn by hand


def test_a_slip_missed_in_the_table_of_1883_lies_as_near_to_fair_as_its_fair_cells():
    """Rounded to 1/8 in and drawn by hand, it is the coarser table: where fair cells scatter by 1 to 4 mm
    some slips of 6 mm undo what was there. Three in four are found; one that is not leaves its offset within
    the 4.2 mm that is taken as fair."""
    boat = model("cruising-canoe-1883")
    missed, tried = [], 0
    for i, j in inner_cells(boat):
        for by in (SLIP, -SLIP):
            tried += 1
            key = (boat.hull.table.lines[i].label, j)
            (cell,) = (f for f in fairness(slipped(boat, i, j, by)) if (f.line, f.column) == key)
            if not cell.flagged:
                missed.append(abs(cell.out))
    assert tried >= 100 and len(missed) <= 0.28 * tried
    assert max(missed) < 0.0042


def test_fewer_stations_find_less():
    """Every other station of the canoe left out: what could be found grows, and is said to."""
    boat = model("open-canoe")
    table = boat.hull.table
    keep = [0, *range(1, len(table.stations) - 1, 2), len(table.stations) - 1]
    thin = replace(
        table,
        stations=tuple(table.stations[j] for j in keep),
        keel_shape=("round",) * len(keep),
        deck_shape=("smooth",) * len(keep),
        lines=tuple(replace(r, values=tuple(r.values[j] for j in keep)) for r in table.lines),
        column_names=tuple(table.column_names[j] for j in keep),
    )
    coarse = replace(boat, hull=replace(boat.hull, table=thin))
    assert smallest_slip(coarse) > smallest_slip(boat)


# ---------------------------------------------------------------- laws


@pytest.mark.parametrize("name", ["short-kayak", "pulling-dinghy", "cruising-canoe-1883"])
def test_every_offset_is_told_of_once_and_fair_is_value_less_out(name):
    boat = model(name)
    found = fairness(boat)
    given = [(r.label, j, v) for r in boat.hull.table.lines for j, v in enumerate(r.values) if v is not None]
    assert [(f.line, f.column, f.value) for f in found] == given
    for f in found:
        assert (f.out is None) == (f.fair is None)
        if f.fair is not None:
            assert f.fair == pytest.approx(f.value - f.out, abs=1e-12)
        assert f.station == boat.hull.table.column_names[f.column]
        assert not f.flagged or abs(f.out) > 0.003


def test_a_slip_shows_along_and_around_with_its_own_sign_and_size():
    boat = model("open-canoe")
    rows = [r.label for r in boat.hull.table.lines]
    i = rows.index("half-breadth waterline 150")
    before = {(f.line, f.column): f for f in fairness(boat)}[rows[i], 6]
    after = {(f.line, f.column): f for f in fairness(slipped(boat, i, 6, 0.010))}[rows[i], 6]
    assert after.along - before.along == pytest.approx(0.010, abs=1e-3)
    assert after.around - before.around == pytest.approx(0.010, abs=2e-3)
    assert after.out == pytest.approx(0.010, abs=2e-3)


def test_bow_and_stern_turned_about_find_the_same():
    """The table read from the stern: the same cells, out by as much (without stems, whose profiles would
    have to turn too)."""
    table = slipped(model("open-canoe"), 4, 5, 0.008).hull.table
    last = table.stations[-1]
    turned = replace(
        table,
        stations=tuple(last - x for x in table.stations[::-1]),
        lines=tuple(replace(r, values=r.values[::-1]) for r in table.lines),
        column_names=table.column_names[::-1],
    )
    one, other = fairness(table), fairness(turned)
    assert (
        {(f.line, f.station) for f in one if f.flagged}
        == {(f.line, f.station) for f in other if f.flagged}
        != set()
    )
    outs = {(f.line, f.station): f.out for f in other}
    for f in one:
        assert (f.out is None) == (outs[f.line, f.station] is None)
        assert f.out is None or f.out == pytest.approx(outs[f.line, f.station], abs=1e-6)


def test_random_fair_boats_raise_few_alarms():
    """Read off a formula without rounding: none in most, and under one offset in a hundred over all."""
    alarms, offsets = 0, 0
    for seed in (0, 4, 7, 11, 16, 25, 28, 39):
        found = fairness(random_boat(seed, stations=13))
        alarms += sum(f.flagged for f in found)
        offsets += len(found)
    assert alarms < offsets / 100


def test_taking_the_fair_value_undoes_the_slip():
    boat = model("open-canoe")
    rows = [r.label for r in boat.hull.table.lines]
    i = rows.index("half-breadth waterline 60")
    wrong = slipped(boat, i, 7, 0.012)
    found = tuple(f for f in fairness(wrong) if f.flagged)
    assert [(f.line, f.column) for f in found] == [(rows[i], 7)]
    assert flagged(with_fair_values(wrong, found)) == set()
    (change,) = if_taken(wrong, found, 0.10)
    assert change.height == 0.10
    # 12 mm too wide at one waterline over about two station spaces of 330 mm, on both sides, some 40 mm deep:
    # 0.1 to 0.4 litres less
    assert 1e-4 < change.before - change.after < 6e-4
    assert abs(change.moved[1]) < 1e-9
    assert if_taken(wrong, ()) == ()


@pytest.mark.parametrize(
    "name", ["cruising-canoe-1883", "open-canoe", "flat-skiff", "pulling-dinghy", "short-kayak"]
)
def test_what_a_fair_value_changes_is_what_closed_meshes_say(name):
    """The flux through the sides against plane cuts of the closed meshes, stems, transoms, flat keels and
    all."""
    boat = model(name)
    found = fairness(boat)
    tried = tuple(f for f in found if f.flagged) or tuple(sorted(found, key=lambda f: -abs(f.out or 0.0))[:1])
    low, sheer = (float(points[:, 2].min()) for points in (build_hull(boat).vertices, build_hull(boat).sheer))
    for height in (None, low + 0.9 * (sheer - low)):
        for finding, change in zip(tried, if_taken(boat, tried, height), strict=True):
            cuts = [
                Body(hull.vertices, hull.faces).immersed((0, 0, 1), change.height)
                for hull in (build_hull(boat), build_hull(with_fair_values(boat, (finding,))))
            ]
            assert change.height == pytest.approx((low + sheer) / 2 if height is None else height, abs=1e-12)
            assert change.before == pytest.approx(cuts[0].volume, rel=1e-9)
            assert change.after == pytest.approx(cuts[1].volume, rel=1e-9)
            assert change.after - change.before == pytest.approx(
                cuts[1].volume - cuts[0].volume, abs=1e-9 * cuts[0].volume
            )
            assert change.moved == pytest.approx(cuts[1].centroid - cuts[0].centroid, abs=1e-9)


def test_a_waterline_over_the_sheer_is_refused():
    boat = model("open-canoe")
    with pytest.raises(UsageError, match="the lowest of the sheer"):
        if_taken(boat, fairness(boat)[:1], 2.0)


@pytest.mark.parametrize("height", [0.02, 0.1, 0.25])
def test_under_a_level_in_a_prism_of_raked_ends(height):
    """A wedge (half-breadth = height) between raked flat ends: volume and centre by hand, from integrals
    of polynomials."""
    x, z = np.meshgrid(np.linspace(0.0, 1.0, 9), np.linspace(0.0, 0.3, 7))
    side = np.stack([x * (2.0 + z) - z, z, z], axis=-1)  # from x = -z to x = 2 at every height
    volume, centre = under_level(side, height)
    by_hand = 2 * (2 * height**2 / 2 + height**3 / 3)  # of 2 z (2 + z) dz
    assert volume == pytest.approx(by_hand, rel=1e-12)
    assert centre[1] == 0.0
    assert centre[2] == pytest.approx(2 * (2 * height**3 / 3 + height**4 / 4) / by_hand, rel=1e-12)
    # first moment in x of 2 z dz over x from -z to 2: z (4 - z^2)
    assert centre[0] == pytest.approx((2 * height**2 - height**4 / 4) / by_hand, rel=1e-12)


def test_nothing_lies_under_a_level_below_the_keel():
    x, z = np.meshgrid([0.0, 1.0], [0.1, 0.3])
    side = np.stack([x, np.full((2, 2), 0.2), z], axis=-1)
    volume, centre = under_level(side, 0.05)
    assert volume == 0.0 and np.isnan(centre).all()


def test_a_mesh_boat_has_no_table_to_look_over():
    boat = model("open-canoe")
    assert fairness(replace(boat, hull=replace(boat.hull, table=None))) == ()


# ---------------------------------------------------------------- the battens


def test_a_batten_follows_any_quartic_exactly_at_unequal_stations():
    x = (0.0, 0.25, 0.6, 0.9, 1.4, 1.7, 2.3, 2.6, 3.1, 3.5, 3.9)
    at = np.array(x)
    residual, spread = left_out(x)
    for power in range(5):
        assert residual @ at**power == pytest.approx(np.zeros(len(x)), abs=1e-7)
    assert (spread >= 1).all()
    _, even = left_out(tuple(range(11)))
    assert even[0] > even[1] > even[5]  # least is told at the ends


def test_a_line_of_four_points_tells_nothing():
    residual, spread = left_out((0.0, 1.0, 2.0, 3.0))
    assert np.isnan(residual).all()
    assert np.isnan(spread).all()


def test_around_a_circle_points_lie_on_it_and_a_moved_one_stands_out():
    t = np.linspace(0, np.pi / 2, 9)
    yz = 0.3 * np.column_stack([np.sin(t), 1 - np.cos(t)])
    measured = np.array([[0.0, 1.0]] * 4 + [[1.0, 0.0]] * 5)
    measured[[0, -1]] = np.nan
    corner = np.zeros(9, bool)
    assert np.nanmax(np.abs(around(yz, measured, corner, True))) < 5e-4
    moved = yz.copy()
    moved[5, 0] += 0.006
    assert around(moved, measured, corner, True)[5] == pytest.approx(0.006, abs=4e-4)
    moved = yz.copy()
    moved[2, 1] += 0.006
    assert around(moved, measured, corner, True)[2] == pytest.approx(0.006, abs=8e-4)


@pytest.mark.parametrize("step", [0.003175, 0.0015875, 0.001, 0.0005, 0.0001])
def test_the_rounding_of_a_table_is_seen(step):
    rng = np.random.default_rng(3)
    values = np.round(rng.uniform(0.05, 0.6, 9) / step) * step
    table = Table(
        tuple(range(9)),
        (TableLine("height", "sheer", None, tuple(values.tolist())),),
        ("round",) * 9,
        ("smooth",) * 9,
    )
    assert rounding(table) == step


def test_rows_are_named_in_the_builders_unit():
    """A waterline 2 inches up is that to who writes in inches, and 50 to who writes in millimetres."""
    imperial, metric = (
        {line.label: in_words(row_name(line), units) for line in model(name).hull.table.lines}
        for name, units in (("cruising-canoe-1883", "imperial"), ("short-kayak", "metric"))
    )
    assert imperial["half-breadth waterline 50.8"] == 'half-breadth waterline 2"'
    assert all(label == shown for label, shown in metric.items())
    boat = model("cruising-canoe-1883")
    printed = text(Telling((fairness_section(boat, fairness(boat)),), boat.units_shown))
    assert 'half-breadth waterline 4"' in printed and "waterline 101.6" not in printed
