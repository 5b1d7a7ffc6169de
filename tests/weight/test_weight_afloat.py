"""The boat in the water: readings made by floating a known boat give that boat back; the handbook's
inclining test; a box by hand."""

from dataclasses import replace

import numpy as np
import pytest
from weight_boats import decked_box, solo_canoe
from weight_hulls import box

from hullview.afloat.equilibrium import rest
from hullview.afloat.measured import MeasuredError, inclining_gm, measured, water_plane
from hullview.boat.model import AfloatEntry, Gear
from hullview.boat.readings import FreeboardReading, Inclining, WeighedStage
from hullview.shape.assemble import build_hull
from hullview.shape.body import Body
from hullview.study import launch
from hullview.weight.total import weigh

FRESH = 999.1026


@pytest.fixture(scope="module")
def canoe():
    boat = solo_canoe()
    hull = build_hull(boat)
    return boat, hull, Body(hull.vertices, hull.faces), weigh(boat, hull)


def freeboards(hull, lying, places):
    """What a batten would read at (position, side) with the hull lying so."""
    line = hull.sheer
    found = []
    for x, side in places:
        p = np.array(
            [
                x,
                np.interp(x, line[:, 0], line[:, 1]) * (-1 if side == "port" else 1),
                np.interp(x, line[:, 0], line[:, 2]),
            ]
        )
        found.append(FreeboardReading(x, float(lying.normal @ p - lying.offset), side))
    return tuple(found)


PLACES = ((0.6, "starboard"), (0.6, "port"), (4.2, "starboard"), (4.2, "port"))


def test_freeboards_of_a_known_boat_give_it_back(canoe):
    """It is 3.1 kg heavier than estimated, 60 mm more aft and 8 mm to port, with a paddler of 70 kg
    aboard: all of it comes back."""
    boat, hull, body, weight = canoe
    true_mass = weight.mass + 3.1
    true_centre = weight.centre + [0.06, -0.008, 0.0]
    load = Gear(70.0, (2.5, 0.02, 0.28))
    whole = true_mass + 70
    g = (true_mass * true_centre + 70 * np.array(load.at)) / whole
    lying = rest(body, whole, g, FRESH)
    entry = AfloatEntry(freeboards(hull, lying, PLACES), load=(load,))
    found = measured(replace(boat, afloat=(entry,)), hull, body, weight, FRESH)
    assert found is not None and found.mass == pytest.approx(true_mass, abs=0.01)
    assert found.centre == pytest.approx(true_centre, abs=1e-3)
    plane = found.entries[0].plane
    assert plane.heel == pytest.approx(lying.heel, abs=1e-6) and plane.trim == pytest.approx(
        lying.trim, abs=1e-6
    )
    assert found.weight.mass == found.mass and "by its freeboards" in found.words
    low, high = found.weight.low, found.weight.high
    assert low < true_mass < high
    masses, centres = found.weight.sampled()
    assert np.quantile(masses, [0.1, 0.9]) == pytest.approx([low, high], abs=0.05)
    assert centres[0] == pytest.approx(found.centre)


def test_displacement_error_is_reading_error_times_waterplane(canoe):
    """Two mean readings at equal distance either side of the centre of flotation: error 3 mm / root 2 over
    the water plane's area."""
    boat, hull, body, weight = canoe
    lying = rest(body, 90.0, np.array([2.45, 0, 0.2]), FRESH)
    middle = float(lying.immersed.plane_centroid[0])
    entry = AfloatEntry(
        freeboards(hull, lying, ((middle - 1.5, "both"), (middle + 1.5, "both"))),
        load=(Gear(60.0, (2.45, 0, 0.3)),),
    )
    # "both" is the mean of the two sides, read here on an upright boat
    entry = replace(entry, freeboards=tuple(replace(r, side="both") for r in entry.freeboards))
    found = measured(replace(boat, afloat=(entry,)), hull, body, weight, FRESH)
    assert found.entries[0].error == pytest.approx(
        0.003 / np.sqrt(2) * lying.immersed.plane_area * FRESH, rel=0.01
    )
    twice = measured(replace(boat, afloat=(entry, entry)), hull, body, weight, FRESH)
    assert twice.mass == pytest.approx(found.mass) and twice.mass_error == pytest.approx(
        found.mass_error / np.sqrt(2)
    )


def test_inclining_a_known_boat_gives_its_centre_back(canoe):
    """Two masses of 10 kg shifted 0.3 and 0.2 m: heels found by floating it; the centre's height comes
    back though it is round."""
    boat, hull, body, weight = canoe
    load = (Gear(60.0, (2.5, 0.0, 0.12)), Gear(10.0, (2.4, 0.0, 0.10)))
    bare = weight.whole
    true = np.array(bare.centre) + [0, 0, 0.03]
    whole = bare.mass + 70
    g = (bare.mass * true + sum(w.mass * np.array(w.at) for w in load)) / whole
    readings = []
    for d in (0.3, 0.2):
        lying = rest(body, whole, g + [0, 10 * d / whole, 0], FRESH)
        readings.append(Inclining(10.0, d, lying.heel))
    found = measured(
        replace(boat, afloat=(AfloatEntry(inclining=tuple(readings), load=load),)), hull, body, weight, FRESH
    )
    assert found.centre[2] == pytest.approx(true[2], abs=1e-3) and found.mass is None
    assert found.weight.mass == bare.mass and found.weight.centre[2] == pytest.approx(true[2], abs=1e-3)
    upright = rest(body, whole, g, FRESH)
    assert found.entries[0].gm == pytest.approx(upright.gm, rel=0.05)
    assert "by inclining" in found.words


def test_the_handbooks_inclining_test():
    """Derrett & Barrass, inclining test (from memory): 8000 t, 25 t moved 15 m, bob 20 cm on 4 m, KM 7 m:
    GM 0.94 m, KG 6.06 m."""
    gm = inclining_gm([Inclining(25e3, 15.0, float(np.arctan(0.20 / 4.0)))], 8000e3)
    assert gm == pytest.approx(0.94, abs=0.005) and 7.0 - gm == pytest.approx(6.06, abs=0.005)


def test_a_box_inclined_by_the_wall_sided_formula():
    """tan phi from sin phi (GM + BM tan^2 phi / 2) = (m d / W) cos phi (Derrett & Barrass p. 130): the
    height of the centre exactly."""
    h = box(3.0, 0.6, 0.4)
    body = Body(h.vertices, h.faces)
    boat = decked_box()
    weight = weigh(boat, h)
    load = Gear(150.0, (1.7, 0.0, 0.1))
    whole = weight.mass + 150
    d = whole / FRESH / 1.8
    kb, bm = d / 2, 0.6**2 / (12 * d)
    heel = np.radians(8.0)
    true_kg = 0.19
    gm = kb + bm - true_kg
    shift = np.tan(heel) * (gm + bm * np.tan(heel) ** 2 / 2)
    readings = (Inclining(20.0, shift * whole / 20.0, heel),)
    level = replace(weight, whole=replace(weight.whole, centre=np.array([1.7, 0.0, 0.2])))
    found = measured(
        replace(boat, afloat=(AfloatEntry(inclining=readings, load=(load,)),)), h, body, level, FRESH
    )
    assert found.entries[0].centre_height == pytest.approx(true_kg, abs=1e-6)


def test_nothing_measured_nothing_said(canoe):
    boat, hull, body, weight = canoe
    assert measured(boat, hull, body, weight, FRESH) is None


@pytest.mark.parametrize(
    ("entry", "words"),
    [
        (AfloatEntry((FreeboardReading(1.0, 0.2),)), "two places or more"),
        (AfloatEntry((FreeboardReading(1.0, 0.2), FreeboardReading(9.0, 0.2))), "the sheer runs from"),
        (AfloatEntry((FreeboardReading(1.0, 0.5), FreeboardReading(4.0, 0.5))), "does not touch the water"),
        (
            AfloatEntry(
                (FreeboardReading(1.0, 0.25), FreeboardReading(4.0, 0.25)), load=(Gear(200.0, (2, 0, None)),)
            ),
            "less than the 200.0 kg",
        ),
        (AfloatEntry(inclining=(Inclining(10, 0.3, 0.0),)), "heel of nought"),
    ],
)
def test_readings_that_cannot_be_hers_are_refused(canoe, entry, words):
    boat, hull, body, weight = canoe
    with pytest.raises(MeasuredError, match=words):
        measured(replace(boat, afloat=(entry,)), hull, body, weight, FRESH)


def test_misfit_shows_a_reading_that_does_not_agree(canoe):
    _, hull, body, _ = canoe
    lying = rest(body, 90.0, np.array([2.45, 0, 0.2]), FRESH)
    good = freeboards(hull, lying, PLACES)
    assert water_plane(hull, good).misfit < 1e-9
    bad = (replace(good[0], freeboard=good[0].freeboard + 0.02), *good[1:])
    assert water_plane(hull, bad).misfit > 0.004


def test_readings_far_from_the_estimate_are_doubted_in_words(canoe):
    boat, hull, body, weight = canoe

    def printed(extra):
        lying = rest(body, weight.mass + extra + 75, np.array([2.46, 0, 0.2]), FRESH)
        entry = AfloatEntry(freeboards(hull, lying, PLACES), load=(Gear(75.0, (2.45, 0.0, 0.2)),))
        return measured(replace(boat, afloat=(entry,)), hull, body, weight, FRESH).words

    assert "read it again" not in printed(2.0) and "far from what was estimated: read it again" in printed(
        25.0
    )


def test_a_scale_under_the_finished_boat_goes_before_freeboards(canoe):
    """Freeboards tell a canoe's mass to some kilograms; a scale that read it to 0.1 kg keeps the mass, the
    freeboards give the place."""
    boat, hull, body, _ = canoe
    weighed = replace(boat, weighed=(WeighedStage("finished", 19.0, scale_error=0.1),))
    weight = weigh(weighed, hull)
    lying = rest(body, 22.0 + 70, np.array([2.47, 0, 0.24]), FRESH)
    entry = AfloatEntry(freeboards(hull, lying, PLACES), load=(Gear(70.0, (2.45, 0.0, 0.28)),))
    found = measured(replace(weighed, afloat=(entry,)), hull, body, weight, FRESH)
    assert found.mass == pytest.approx(22.0, abs=0.05) and found.weight.mass == pytest.approx(19.0, abs=0.05)
    assert (
        found.weight.centre[0] == pytest.approx(found.centre[0]) and "the scale is surer: 19.0" in found.words
    )
    assert found.weight.measured == found.words


def test_carry_goes_on_with_what_was_measured(canoe):
    boat, hull, body, weight = canoe
    lying = rest(body, weight.mass + 4.0 + 75, np.array([2.46, 0, 0.2]), FRESH)
    entry = AfloatEntry(freeboards(hull, lying, PLACES), load=(Gear(75.0, (2.45, 0.0, 0.2)),))
    craft = launch(replace(boat, afloat=(entry,)))
    assert (
        craft.weight.mass == pytest.approx(weight.mass + 4.0, abs=0.05)
        and "freeboards" in craft.weight.measured
    )
    here, there = (w.inertia / w.mass for w in (weight, craft.weight))
    assert there == pytest.approx(here, rel=1e-12)  # spread as the estimate was, gyradius for gyradius
    with pytest.raises(MeasuredError, match=r"boat.toml: \[\[afloat\]\]: inclining"):
        launch(replace(boat, afloat=(AfloatEntry(inclining=(Inclining(5, 0.2, 0.0),)),)))
