"""Two offsets that say nearly the same place twice become one; a table that is merely dense keeps all of
its own."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from hullview.boat.reader import read_boat
from hullview.shape.assemble import build_hull
from hullview.shape.body import Body
from hullview.shape.sections import StationPoints, make_section


def quarter(angles: np.ndarray, chines: dict[str, int] | None = None) -> StationPoints:
    """A round section of 0.3 m radius with points at these angles from the keel [rad]."""
    side = 0.3 * np.column_stack([np.sin(angles), 1 - np.cos(angles)])
    return StationPoints(1.0, side, chines or {}, None, "round", "smooth")


def knots(points: StationPoints) -> int:
    return len(make_section(points, tuple(points.chines), np.full(len(points.chines), 0.5)).side.marks)


@pytest.mark.parametrize("count", [9, 30, 120])
def test_a_dense_table_keeps_its_points(count):
    assert knots(quarter(np.linspace(0, np.pi / 2, count))) == count


def test_a_waterline_and_a_buttock_that_cross_on_the_section_are_one_point():
    angles = np.sort(np.append(np.linspace(0, np.pi / 2, 9), 0.82))
    assert np.diff(angles).min() < 0.04 and knots(quarter(angles)) == 9


def test_a_twin_that_the_curve_would_miss_stays():
    angles = np.sort(np.append(np.linspace(0, np.pi / 2, 9), 0.82))
    points = quarter(angles)
    k = int(np.argmin(np.diff(angles)))
    points.side[k + 1] += [0.002, -0.002]
    assert knots(points) == 10


def test_a_chine_is_no_twin():
    angles = np.sort(np.append(np.linspace(0, np.pi / 2, 9), 0.82))
    k = int(np.argmin(np.diff(angles)))
    assert knots(quarter(angles, {"chine": k + 1})) == 10


def skiff_with_chine(column: int, breadth: float, height: float):
    """The flat skiff with its chine at one station elsewhere [m]."""
    boat = read_boat(Path(__file__).parents[2] / "models" / "flat-skiff")
    table = boat.hull.table
    new = {"half-breadth": breadth, "height": height}
    rows = tuple(
        (
            replace(r, values=(*r.values[:column], new[r.measure], *r.values[column + 1 :]))
            if r.name == "chine"
            else r
        )
        for r in table.lines
    )
    return replace(boat, hull=replace(boat.hull, table=replace(table, lines=rows)))


@pytest.mark.parametrize(
    ("column", "breadth", "height", "way"),
    [(1, 0.0, 0.080, 1), (8, 0.490, 0.460, -1)],
    ids=["into the keel line", "into the sheer"],
)
def test_a_chine_that_runs_out_is_the_limit_of_one_that_nearly_does(column, breadth, height, way):
    """A flat bottom that comes to a point at a station once gave panels without a girth, and a traceback."""
    found = []
    for off in (0.0, 0.0005, 0.001):
        hull = build_hull(skiff_with_chine(column, breadth + way * off, height if way > 0 else height - off))
        found.append(Body(hull.vertices, hull.faces).volume)
    assert np.isfinite(found).all() and found[0] == pytest.approx(2 * found[1] - found[2], rel=2e-5)
