"""What is cut out of a form: notches, holes on the centre line, corners relieved for a round tool."""

from __future__ import annotations

from functools import cache
from pathlib import Path

import numpy as np
import pytest
from shapely import Point, Polygon, box

from hullview.boat.reader import read_boat
from hullview.forms.centreline import EASE
from hullview.forms.make import make_forms
from hullview.forms.outline import (
    ROUND_TO,
    legged_ring,
    relieved,
    rings_of,
    round_hole,
    whole,
    with_hole,
)
from hullview.weight.customs import customs

MODELS = Path(__file__).parents[2] / "models"
TOOL = 0.006


@cache
def made_of(name):
    return make_forms(read_boat(MODELS / name))


def reliefs(before, after):
    """The separate places where wood was taken away."""
    gone = before.difference(after).buffer(1e-7)
    return list(getattr(gone, "geoms", [gone])) if not gone.is_empty else []


def test_only_inner_corners_are_relieved_and_a_square_stick_goes_home():
    ell = Polygon([(0, 0), (0.2, 0), (0.2, 0.1), (0.1, 0.1), (0.1, 0.2), (0, 0.2)])
    for shape, corner in ((ell, (0.1, 0.1)), (Polygon(list(ell.exterior.coords)[::-1]), (0.1, 0.1))):
        made = relieved(shape, TOOL)
        (gone,) = reliefs(shape, made)
        assert gone.distance(Point(corner)) < 1e-6
        assert made.distance(Point(corner)) < 1e-6 and not made.buffer(-1e-6).intersects(Point(corner))
        # the tool comes from the open side with its rim through the corner: walls give way, what lies
        # behind the corner stays
        middle = np.array(corner) + np.array([1.0, 1.0]) / np.sqrt(2) * TOOL / 2
        assert gone.buffer(1e-6).hausdorff_distance(Point(middle).buffer(TOOL / 2).intersection(shape)) < 1e-4
        assert made.covers(Point(np.array(corner) - 0.0005))
        low_x, low_y, high_x, high_y = gone.bounds
        assert max(high_x - low_x, high_y - low_y) < TOOL + 1e-5


def test_all_corners_of_a_square_hole_are_inner_ones():
    shape = box(-0.2, -0.2, 0.2, 0.2).difference(box(-0.03, -0.05, 0.03, 0.05))
    made = relieved(shape, TOOL)
    gone = reliefs(shape, made)
    assert len(gone) == 4
    assert {(round(float(np.sign(g.centroid.x))), round(float(np.sign(g.centroid.y)))) for g in gone} == {
        (1, 1), (1, -1), (-1, 1), (-1, -1)
    }  # fmt: skip
    assert relieved(box(0, 0, 1, 1), TOOL).equals(box(0, 0, 1, 1))


def test_legs_stand_on_the_ladder_and_past_the_sheer_the_edge_runs_on():
    """Narrower than the form the ladder's rail takes a leg in from the side; wider, the leg goes straight up;
    a narrow form has one leg for both rails."""
    shop = customs()
    side = np.array([[0.0, 0.0], [0.3, 0.1], [0.3, 0.3]])
    over = 0.3 + shop["edge_past_sheer"]
    inner = legged_ring(side, 0.6, 0.4)
    assert inner[3:].tolist() == pytest.approx(
        np.array([[0.3, over], [0.2, over], [0.2, 0.6], [0.13, 0.6], [0.13, over], [0.0, over]])
    )
    straight = legged_ring(side, 0.6, 0.8)
    assert straight[3:5].tolist() == pytest.approx(np.array([[0.3, over], [0.3, 0.6]]))
    narrow = legged_ring(side * [0.2, 1.0], 0.6, 0.4)
    assert narrow[-2:].tolist() == pytest.approx(np.array([[0.06, 0.6], [0.0, 0.6]]))
    for ring in (inner, straight, narrow):
        made = whole(ring)
        assert made.is_valid and made.bounds[3] == pytest.approx(0.6)


@pytest.mark.parametrize("size", [0.006, 0.012, 0.05])
def test_a_round_hole_is_round_within_a_hundredth_of_a_millimetre(size):
    hole = round_hole((0.1, -0.2), size)
    r = np.linalg.norm(np.array(hole.exterior.coords) - [0.1, -0.2], axis=1)
    assert np.allclose(r, size / 2, atol=1e-12)
    sides = np.array(hole.exterior.coords)
    middle = np.linalg.norm((sides[1:] + sides[:-1]) / 2 - [0.1, -0.2], axis=1)
    assert size / 2 - middle.min() <= ROUND_TO * 1.01


def test_a_hole_that_cuts_a_shape_in_two_leaves_the_larger_piece():
    left = with_hole(box(0, 0, 1, 0.2), box(0.3, -1, 0.4, 1))
    assert left.bounds == pytest.approx((0.4, 0.0, 1.0, 0.2))


def test_rings_have_each_point_once():
    outer, inner = rings_of(box(0, 0, 1, 1).difference(box(0.4, 0.4, 0.6, 0.6)))
    assert len(outer) == 4 and len(inner) == 4


@pytest.mark.parametrize("name", ["short-kayak", "open-canoe"])
def test_each_form_has_two_register_holes_and_an_eye_on_its_centre_line(name):
    shop, made = customs(), made_of(name)
    for form in made.forms[2:-2]:
        holes = [Polygon(r) for r in form.pieces[0].interiors]
        wide = [h.bounds[2] - h.bounds[0] for h in holes]
        small = [h for h, w in zip(holes, wide) if w == pytest.approx(shop["register_hole"], abs=1e-4)]
        eyes = [h for h, w in zip(holes, wide) if w == pytest.approx(shop["sight_hole"], abs=1e-4)]
        assert len(small) == 2, form.name
        for hole in (*small, *eyes):
            assert abs(hole.centroid.x) < 1e-9
        assert abs(small[0].centroid.y - small[1].centroid.y) > 0.03
        assert (form.sight is None) == (not eyes)
        if eyes:
            assert eyes[0].centroid.y == pytest.approx(made.sight, abs=1e-9)


def test_slots_have_a_little_ease_both_ways():
    made = made_of("short-kayak")
    assert 1e-4 <= EASE <= 5e-4
    for centre in made.centre_forms:
        for name, middle, _ in centre.slots:
            form = next(f for f in made.forms if f.name == name)
            level = middle - 0.012
            for half, wood in (
                (centre.thickness / 2 + 0.5 * EASE, False),
                (centre.thickness / 2 + 2 * EASE, True),
            ):
                there = Point(half, level)
                assert form.pieces[0].buffer(1e-7).covers(there) == wood, (name, half)
            at = form.x + form.sign * form.thickness / 2
            for half, wood in (
                (form.thickness / 2 + 0.5 * EASE, False),
                (form.thickness / 2 + 2 * EASE, True),
            ):
                for side in (-1, 1):
                    there = Point(at + side * half, middle + 0.006)
                    assert centre.shape.buffer(1e-7).covers(there) == wood, (centre.name, name)
