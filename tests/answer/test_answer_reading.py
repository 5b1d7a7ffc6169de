"""The plain numbers of a righting curve."""

import math
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from hullview import study
from hullview.afloat.equilibrium import at_heel, rest
from hullview.answer.overside import reach_shift, rim_beside
from hullview.answer.reading import reading
from hullview.boat.reader import read_boat
from hullview.show.units import in_words
from hullview.tell.righting import reading_says

MODELS = Path(__file__).parents[2] / "models"


@pytest.fixture(scope="module")
def kayak():
    craft = study.launch(read_boat(MODELS / "short-kayak"))
    return craft, study.righting(craft)[0]


def test_a_reach_is_the_arm_out_over_the_rim_and_head_and_torso_after_it(kayak):
    """The rim 226 mm out abreast of the body, the hand 300 mm past it: the arm's centre (5 %) goes from
    200 to 363 mm, 58 % go 60 mm."""
    craft, _ = kayak
    paddler = craft.boat.load.paddlers[0]
    rim = rim_beside(craft.hull, paddler.seat_back - 0.25)[1]
    assert rim == pytest.approx(0.226, abs=0.002)
    shift = 0.05 * ((0.2 + rim + 0.3) / 2 - 0.2) + 0.58 * 0.06
    assert reach_shift(craft.boat, craft.hull, paddler) == pytest.approx(shift, rel=1e-12)
    further = replace(craft.boat, limits={"reach": 0.5})
    assert reach_shift(further, craft.hull, paddler) == pytest.approx(shift + 0.05 * 0.1, rel=1e-12)
    aside = replace(paddler, side=0.04)  # nearer to the starboard rim, further from the other
    moves = [reach_shift(craft.boat, craft.hull, aside, side) - shift for side in (1.0, -1.0)]
    assert moves == pytest.approx([-0.05 * 0.02, 0.05 * 0.02], rel=1e-9)


def test_numbers_near_upright(kayak):
    craft, curve = kayak
    found = reading(craft, curve)
    assert found.moment_per_degree == pytest.approx(
        curve.mass * 9.80665 * curve.gm * math.pi / 180, rel=1e-12
    )
    # a mass on the rim heels it a degree: worked as the moment it makes there
    half_beam = craft.hull.sheer[:, 1].max()
    assert found.mass_per_degree * 9.80665 * half_beam == pytest.approx(found.moment_per_degree, rel=1e-12)
    heeled = rest(
        craft.body,
        curve.mass,
        curve.centre + np.array([0, found.mass_per_degree * half_beam / curve.mass, 0]),
        curve.density,
    )
    assert math.degrees(heeled.heel) == pytest.approx(1, rel=0.03)


def test_reach_leans_it_as_the_curve_says(kayak):
    """At the heel of the reach the righting arm balances the shift of the whole load's centre: arm = shift
    cos(heel)."""
    craft, curve = kayak
    found = reading(craft, curve)
    shift = found.reach_shift * craft.boat.load.paddlers[0].mass / curve.mass
    at_heel = np.interp(found.reach_heel, curve.heel, curve.arm)
    assert at_heel == pytest.approx(shift * math.cos(found.reach_heel), rel=0.02)


def test_a_reach_with_the_torso_upright_leans_it_as_that_curve_says(kayak):
    craft, curve = kayak
    found = reading(craft, curve)
    upright = study.righting(craft, postures=("upright torso",))[0]
    shift = found.reach_shift * craft.boat.load.paddlers[0].mass / curve.mass
    assert np.interp(found.reach_upright, upright.heel, upright.arm) == pytest.approx(
        shift * math.cos(found.reach_upright), rel=0.02
    )
    assert found.reach_upright < 0.6 * found.reach_heel
    printed = in_words(reading_says(found))
    assert f"with a rigid paddler that leans it {math.degrees(found.reach_heel):.0f} deg" in printed
    assert f"with the torso kept upright it leans it {math.degrees(found.reach_upright):.0f} deg" in printed


def test_a_reach_that_ships_water_takes_it_over():
    """A heavy load far above leaves the canoe little: the heel of the reach lies past the one where water
    comes in."""
    boat = read_boat(MODELS / "open-canoe")
    high = replace(boat.load.paddlers[0], seat_height=0.35)
    craft = study.launch(
        boat.with_load(paddlers=(high, replace(high, seat_back=boat.load.paddlers[1].seat_back)))
    )
    found = reading(craft, study.righting(craft, np.radians([0.0, 5.0, 10.0]))[0])
    assert found.reach_heel is None
    assert "that takes it over" in in_words(reading_says(found))


def test_where_help_stops(kayak):
    craft, curve = kayak
    found = reading(craft, curve)
    assert found.help_ends == curve.usable_range_ends
    assert found.floods_first == (curve.flooding_heel < curve.vanishing_heel)
    assert found.peak_moment == pytest.approx(curve.peak_arm * curve.mass * 9.80665)


def test_no_help_is_promised_past_where_water_comes_in():
    """The canoe of 1883 floods before its arm is greatest: the most it pushes back is what it does there."""
    craft = study.launch(read_boat(MODELS / "cruising-canoe-1883"))
    for degrees in (np.arange(0, 91, 5.0), -np.arange(0, 91, 5.0)):
        curve = study.righting(craft, np.radians(degrees))[0]
        assert abs(curve.peak_heel) > abs(curve.flooding_heel)
        found = reading(craft, curve)
        assert found.steepest_help == found.help_ends == curve.flooding_heel
        there = at_heel(craft.body, curve.mass, curve.centre, curve.density, curve.flooding_heel)
        arm = (there.immersed.centroid - curve.centre) @ [
            0,
            math.cos(curve.flooding_heel),
            math.sin(curve.flooding_heel),
        ]
        assert found.peak_moment == pytest.approx(abs(arm) * curve.mass * 9.80665, rel=3e-4)


def test_a_reach_that_takes_it_over(kayak):
    craft, curve = kayak
    heavy = replace(
        craft.boat,
        load=replace(craft.boat.load, paddlers=(replace(craft.boat.load.paddlers[0], mass=400.0),)),
    )
    assert reading(replace(craft, boat=heavy), curve).reach_heel is None
