"""Appendages displace once, are skin once, and stay out of the hull's own dimensions."""

from pathlib import Path

import numpy as np
import pytest
import solids

from hullview.afloat.equilibrium import float_body, float_hull
from hullview.afloat.hydrostatics import hydrostatics
from hullview.boat.model import Appendage
from hullview.boat.reader import read_boat
from hullview.errors import ShapeError
from hullview.shape.appendages import body_of
from hullview.shape.assemble import build_hull
from hullview.shape.body import Body
from hullview.weight.total import weigh

HULL = solids.box_hull(3.0, 0.8, 0.4)
THICK = 0.02
MODELS = Path(__file__).parents[2] / "models"


def _hung(*outlines, hull=HULL):
    return body_of(
        hull, [Appendage(f"skeg {i}", tuple(o), THICK, "white ash") for i, o in enumerate(outlines)]
    )


def test_none_is_the_hull_itself():
    body = body_of(HULL)
    assert body.bare is body and body.volume == pytest.approx(3 * 0.8 * 0.4)


def test_only_what_lies_outside_the_hull_displaces():
    """A skeg drawn 50 mm into the boat: 100 mm of it are outside, and its top covers skin."""
    body = _hung([(2.0, -0.1), (2.8, -0.1), (2.8, 0.05), (2.0, 0.05)])
    assert body.volume - body.bare.volume == pytest.approx(0.8 * 0.1 * THICK, rel=1e-12)
    sides_bottom_ends_less_cover = 2 * 0.8 * 0.1 + 0.8 * THICK + 2 * 0.1 * THICK - 0.8 * THICK
    assert body.area - body.bare.area == pytest.approx(sides_bottom_ends_less_cover, rel=1e-12)
    assert body.bare.volume == pytest.approx(3 * 0.8 * 0.4, rel=1e-14)


def test_an_outline_may_run_either_way_and_slope():
    outline = [(2.0, 0.0), (2.8, -0.1), (2.8, 0.1)]
    one, other = _hung(outline), _hung(outline[::-1])
    assert one.volume == pytest.approx(other.volume, rel=1e-14)
    assert one.volume - one.bare.volume == pytest.approx(0.8 * 0.1 / 2 * THICK, rel=1e-11)
    slope = np.hypot(0.8, 0.1)
    assert one.area - one.bare.area == pytest.approx(
        0.8 * 0.1 + slope * THICK + 0.1 * THICK - 0.8 * THICK, rel=1e-11
    )


def test_an_outer_stem_on_a_plumb_end_covers_an_upright_face():
    body = _hung([(-0.05, 0.1), (0.3, 0.1), (0.3, 0.35), (-0.05, 0.35)])
    assert body.volume - body.bare.volume == pytest.approx(0.05 * 0.25 * THICK, rel=1e-12)
    assert body.area - body.bare.area == pytest.approx(
        2 * 0.05 * 0.25 + 2 * 0.05 * THICK + 0.25 * THICK - 0.25 * THICK, rel=1e-12
    )


def test_two_that_overlap_count_once():
    keel = [(0.3, -0.03), (2.7, -0.03), (2.7, 0.01), (0.3, 0.01)]
    skeg = [(2.0, -0.1), (2.5, -0.1), (2.5, 0.0), (2.0, 0.0)]
    for order in ((keel, skeg), (skeg, keel)):
        body = _hung(*order)
        profile = 2.4 * 0.03 + 0.5 * 0.07
        assert body.volume - body.bare.volume == pytest.approx(profile * THICK, rel=1e-10)
        assert body.area - body.bare.area == pytest.approx(2 * profile + 2 * (0.03 + 0.07) * THICK, rel=1e-10)


def test_a_skeg_under_a_rising_vee_bottom():
    """Sections are triangles of 45 degrees, the keel rises aft by 1 in 10: the wood reaches up to the skin
    beside the centre line too."""
    sections = [(0.0, 0.0), (4.0, 0.4)]
    vertices = np.array(
        [[x, y, z] for x, keel in sections for y, z in ((0, keel), (0.5, keel + 0.5), (-0.5, keel + 0.5))]
    )
    faces = np.array([[0, 2, 1], [3, 4, 5], [0, 1, 4], [0, 4, 3], [1, 2, 5], [1, 5, 4], [2, 0, 3], [2, 3, 5]])
    hull = solids.box_hull(4, 1, 0.5)
    from dataclasses import replace

    hull = replace(hull, vertices=vertices, faces=faces, region_of_face=np.zeros(8, int))
    bottom = -0.05
    body = _hung([(1.0, bottom), (3.0, bottom), (3.0, 0.45), (1.0, 0.45)], hull=hull)
    # heights from the bottom of the skeg to the keel line 0.1 x, and THICK / 4 more on the mean of the
    # half-thickness
    expected = (2 * (0.2 - bottom + THICK / 4)) * THICK
    assert body.volume - body.bare.volume == pytest.approx(expected, rel=1e-9)


def test_afloat_with_a_skeg():
    """It displaces its weight with it, draws more by it, and its own dimensions leave it out."""
    body = _hung([(2.0, -0.1), (2.8, -0.1), (2.8, 0.05), (2.0, 0.05)])
    extra = 0.8 * 0.1 * THICK
    mass = 1000 * (3 * 0.8 * 0.2 + extra)
    centre = ((3 * 0.8 * 0.2 * 1.5 + extra * 2.4) / (3 * 0.8 * 0.2 + extra), 0, 0.05)
    f = float_hull(HULL, body, mass, centre, 1000.0)
    assert f.draft == pytest.approx(0.2, rel=1e-9)
    assert f.greatest_draft == pytest.approx(0.3, rel=1e-9)
    assert [f.waterline_length, f.waterline_beam] == pytest.approx([3.0, 0.8], rel=1e-9)
    assert f.displaced_volume == pytest.approx(mass / 1000, rel=1e-9)
    row = hydrostatics(HULL, 1000.0, [0.2], body=body)[0]
    assert row.block_coefficient == pytest.approx(1, rel=1e-8)
    assert row.draft == pytest.approx(0.2, rel=1e-12)
    assert row.volume == pytest.approx(3 * 0.8 * 0.2 + extra, rel=1e-8)


def test_an_outer_stem_at_the_waterline_leaves_its_length_alone():
    body = _hung([(-0.2, -0.1), (0.3, -0.1), (0.3, 0.35), (-0.2, 0.35)])
    f = float_body(body, 400, (1.45, 0, 0.05), 1000.0)
    assert f.waterline_length == pytest.approx(3.0, rel=1e-4)
    bare = float_body(Body(HULL.vertices, HULL.faces), 400, (1.45, 0, 0.05), 1000.0)
    assert f.draft < bare.draft


def test_outlines_that_are_none():
    with pytest.raises(ShapeError, match="three points"):
        _hung([(0, 0), (1, 0)])
    with pytest.raises(ShapeError, match="thickness"):
        body_of(HULL, [Appendage("skeg", ((2, -0.1), (2.8, -0.1), (2.8, 0.1)), 0.0, "oak")])


def test_an_appendage_weighs_what_of_it_displaces():
    boat = read_boat(MODELS / "pulling-dinghy")
    hull = build_hull(boat)
    skeg = boat.appendages[0]
    line = next(line for line in weigh(boat, hull).lines if line.item.startswith(skeg.name))
    whole = body_of(hull, boat.appendages)
    outside = whole.volume - whole.bare.volume
    assert line.quantity * skeg.thickness == pytest.approx(outside, rel=1e-9)
    x, z = np.array(skeg.outline).T
    drawn = abs(x @ np.roll(z, -1) - z @ np.roll(x, -1)) / 2
    assert line.quantity < drawn
