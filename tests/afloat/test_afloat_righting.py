"""Righting curves: closed forms, a polygon clipped by hand, exact slopes, published cases."""

import math

import numpy as np
import pytest
import solids

from hullview.afloat.arc import area_under
from hullview.afloat.equilibrium import at_heel, rest, up
from hullview.afloat.righting import arm_at_other_height, flooding_heel, righting_curve
from hullview.afloat.water import GRAVITY
from hullview.errors import UsageError
from hullview.shape.body import Body
from hullview.show.record import plain_value
from hullview.tell.righting import curve_record

DEGREES = np.radians(np.arange(0, 181, 5.0))


# ---------------------------------------------------------------- closed forms


def test_box_of_the_book_until_the_deck_edge_goes_under():
    """GZ = sin(phi) (GM + BM tan^2 phi / 2), exact for a box below 33.69 deg; GZ(25 deg) = 0.560461 m
    (Derrett and Barrass, p. 130)."""
    heel = np.radians([0, 5, 10, 20, 25, 33.6])
    curve = righting_curve(Body(*solids.box(65, 12, 8)), 3198e3, (32.5, 0, 4), 1025.0, heel)
    assert curve.arm == pytest.approx(np.sin(heel) * (1 + 1.5 * np.tan(heel) ** 2), abs=1e-9)
    assert curve.arm[4] == pytest.approx(0.560461, abs=5e-7)
    assert curve.gm == pytest.approx(1, rel=1e-9)
    assert curve.trim == pytest.approx(np.zeros(6), abs=1e-9)
    assert curve.moment == pytest.approx(curve.arm * 3198e3 * 9.80665, rel=1e-12)


def _arm_of_a_rectangle(beam, depth, area, heel, g):
    """A section clipped corner by corner, the water raised until the area is right: no mesh, no tree."""
    n = np.array([-math.sin(heel), math.cos(heel)])
    corners = np.array([[-beam / 2, 0], [beam / 2, 0], [beam / 2, depth], [-beam / 2, depth]])

    def clipped(offset):
        out = []
        for p, q in zip(corners, np.roll(corners, -1, axis=0)):
            hp, hq = n @ p - offset, n @ q - offset
            if hp <= 0:
                out.append(p)
            if (hp <= 0) != (hq <= 0):
                out.append(p + (q - p) * hp / (hp - hq))
        p = np.array(out)
        q = np.roll(p, -1, axis=0)
        turn = p[:, 0] * q[:, 1] - q[:, 0] * p[:, 1]
        return turn.sum() / 2, ((p + q) * turn[:, None]).sum(axis=0) / (3 * turn.sum())

    low, high = (corners @ n).min() + 1e-12, (corners @ n).max()
    for _ in range(80):
        middle = (low + high) / 2
        low, high = (middle, high) if clipped(middle)[0] < area else (low, middle)
    return (clipped(high)[1] - np.array(g)) @ [math.cos(heel), math.sin(heel)]


def test_box_past_the_deck_edge_against_a_polygon_clipped_by_hand():
    length, beam, depth, d, g = 3.0, 0.9, 0.5, 0.3, (0.04, 0.23)
    body = Body(*solids.box(length, beam, depth))
    curve = righting_curve(body, 1000 * length * beam * d, (length / 2, *g), 1000.0, DEGREES)
    by_hand = [_arm_of_a_rectangle(beam, depth, beam * d, heel, g) for heel in DEGREES.tolist()]
    assert curve.arm == pytest.approx(np.array(by_hand), abs=1e-9)


def test_horizontal_cylinder_at_all_heels():
    """GZ = (height of the axis - KG) sin(phi)."""
    body = Body(*solids.cylinder(0.3, 1.5, 360))
    curve = righting_curve(body, 400 * body.volume, (0.75, 0, -0.07), 1000.0, DEGREES)
    assert curve.arm == pytest.approx(0.07 * np.sin(DEGREES), abs=1e-6)
    assert curve.peak_heel == pytest.approx(math.pi / 2, abs=2e-3)
    assert curve.vanishing_heel == pytest.approx(math.pi)


def test_cylinder_loaded_on_its_axis_has_no_curve():
    """Neutral: every heel is a rest. A polygon of 48 sides repeats itself every 7.5 degrees, so at those
    nothing is left over."""
    body = Body(*solids.cylinder(0.3, 1.5, 48))
    curve = righting_curve(body, 400 * body.volume, (0.75, 0, 0), 1000.0, np.radians(np.arange(0, 181, 7.5)))
    assert curve.arm == pytest.approx(np.zeros(25), abs=1e-12)
    assert (curve.peak_arm, curve.vanishing_heel, curve.energy_to_vanishing) == (None, None, None)


# ---------------------------------------------------------------- slopes and figures


def test_gm_by_slope_and_by_moments_agree_when_upright_and_symmetrical():
    body = Body(*solids.ellipsoid(1.5, 0.4, 0.3, 60, 60))
    curve = righting_curve(body, 150, (0.06, 0, -0.05), 1000.0, DEGREES)
    assert abs(curve.trim[0]) > 0.005
    assert curve.gm_by_slope == pytest.approx(curve.gm, abs=1e-6)


@pytest.mark.parametrize("seed", [2, 4])
def test_slope_at_rest_of_a_lump_without_symmetry(seed):
    """cos(trim) (GM_T - c^2 / GM_L), c = I_xy / V."""
    body = Body(*solids.lump(seed))
    lying = rest(body, 0.45 * 1000 * body.volume, body.centroid + np.array([0.12, 0.03, -0.04]), 1000.0)
    step = 1e-4  # so short that the water's edge passes no corner of the mesh
    arms = righting_curve(
        body, lying.mass, lying.centre, 1000.0, lying.heel + step * np.array([-2, -1, 1, 2])
    ).arm
    slope = (arms[0] - 8 * arms[1] + 8 * arms[2] - arms[3]) / (12 * step)
    e2 = np.array([0, math.cos(lying.heel), math.sin(lying.heel)])
    e1 = np.cross(e2, lying.normal)
    c = e1 @ lying.immersed.plane_second_moments @ e2 / lying.immersed.volume
    assert abs(c) > 1e-3
    expected = math.cos(lying.trim) * (lying.gm - c**2 / lying.gm_longitudinal)
    assert slope == pytest.approx(expected, rel=1e-5)


def test_slopes_everywhere_are_the_derivative_of_the_arm():
    body = Body(*solids.lump(3))
    heel = np.radians(np.arange(-170, 171, 8.5))
    centre = body.centroid + np.array([0.1, 0.02, 0.03])
    h = 1e-4
    curve, before, after = (righting_curve(body, 140, centre, 1000.0, heel + shift) for shift in (0, -h, h))
    assert np.ptp(curve.trim) > 0.02
    assert curve.slope == pytest.approx((after.arm - before.arm) / (2 * h), abs=2e-5)


def test_floating_at_the_zero_of_the_curve_gives_the_zero():
    body = Body(*solids.ellipsoid(1.5, 0.4, 0.3, 40, 40))
    for step in (1, 5, 12):
        curve = righting_curve(body, 120, (0.1, 0, 0.02), 1000.0, np.radians(np.arange(0, 181, step)))
        lying = at_heel(body, 120, (0.1, 0, 0.02), 1000.0, curve.vanishing_heel)
        across = [0, math.cos(curve.vanishing_heel), math.sin(curve.vanishing_heel)]
        assert (lying.immersed.centroid - lying.centre) @ across == pytest.approx(0, abs=1e-10)


def test_figures_do_not_hang_on_the_step():
    body = Body(*solids.box(3, 0.8, 0.5))
    fine, coarse = (
        righting_curve(body, 500, (1.4, 0.01, 0.2), 1000.0, np.radians(np.arange(0, 121, step)))
        for step in (0.5, 6.0)
    )
    assert coarse.peak_arm == pytest.approx(fine.peak_arm, abs=1e-9)
    assert coarse.peak_heel == pytest.approx(fine.peak_heel, abs=1e-4)
    assert coarse.vanishing_heel == pytest.approx(fine.vanishing_heel, abs=1e-9)
    assert coarse.rest_heel == pytest.approx(fine.rest_heel, abs=1e-9)
    assert coarse.energy_to_vanishing == pytest.approx(fine.energy_to_vanishing, rel=2e-3)
    assert fine.peak_arm >= fine.arm.max()


def test_energy_is_weight_times_the_area_and_the_work_done():
    """Box, no trim: the work to heel it is the rise of G over B."""
    length, beam, depth, d = 3.0, 0.9, 0.5, 0.3
    body = Body(*solids.box(length, beam, depth))
    mass = 1000 * length * beam * d
    curve = righting_curve(body, mass, (length / 2, 0, 0.25), 1000.0, np.radians(np.arange(0, 181, 1.0)))
    assert curve.energy_to_peak < curve.energy_to_vanishing
    over = at_heel(body, mass, (length / 2, 0, 0.25), 1000.0, curve.vanishing_heel)
    rise = (over.centre - over.immersed.centroid) @ over.normal - (0.25 - d / 2)
    assert curve.energy_to_vanishing == pytest.approx(mass * GRAVITY * rise, rel=1e-5)
    to = curve.heel <= curve.vanishing_heel
    by_trapezium = np.trapezoid(curve.arm[to], curve.heel[to]) * mass * GRAVITY
    assert curve.energy_to_vanishing == pytest.approx(by_trapezium, rel=3e-3)


def test_loll_and_negative_gm():
    """tan(phi) = sqrt(-2 GM / BM) (Derrett and Barrass, p. 229)."""
    length, beam, d = 3.0, 0.6, 0.2
    bm = beam**2 / (12 * d)
    curve = righting_curve(
        Body(*solids.box(length, beam, 0.5)),
        1000 * length * beam * d,
        (1.5, 0, d / 2 + bm + 0.01),
        1000.0,
        DEGREES,
    )
    assert curve.gm == pytest.approx(-0.01, rel=1e-8)
    assert curve.rest_heel == pytest.approx(math.atan(math.sqrt(0.02 / bm)), rel=1e-8)
    assert curve.arm[1] < 0 < curve.peak_arm


def test_load_off_centre_gives_two_different_sides():
    body = Body(*solids.ellipsoid(1.5, 0.4, 0.3, 40, 40))
    starboard = righting_curve(body, 120, (0.1, 0.03, -0.05), 1000.0, DEGREES)
    port = righting_curve(body, 120, (0.1, 0.03, -0.05), 1000.0, -DEGREES)
    mirrored = righting_curve(body, 120, (0.1, -0.03, -0.05), 1000.0, DEGREES)
    assert port.arm == pytest.approx(-mirrored.arm, abs=1e-9)
    assert [port.peak_arm, -port.peak_heel, port.energy_to_peak] == pytest.approx(
        [mirrored.peak_arm, mirrored.peak_heel, mirrored.energy_to_peak], abs=1e-6
    )
    assert (port.side, starboard.side) == (-1, 1)
    assert port.peak_arm > starboard.peak_arm + 0.02
    assert starboard.rest_heel == pytest.approx(rest(body, 120, (0.1, 0.03, -0.05), 1000.0).heel, abs=1e-9)
    assert port.rest_heel == 0.0


def test_published_arms_at_another_height():
    """KG 9: 0, .81, 1.90, 2.24, 1.70, .68, -.49 at 0(15)90 deg; KG 8.5: 0, .94, 2.15, 2.59, 2.13, 1.16,
    .01 (Derrett and Barrass, p. 165)."""
    heel = np.radians(np.arange(0, 91, 15.0))
    at_9 = np.array([0, 0.81, 1.90, 2.24, 1.70, 0.68, -0.49])
    assert arm_at_other_height(at_9, heel, -0.5) == pytest.approx(
        np.array([0, 0.94, 2.15, 2.59, 2.13, 1.16, 0.01]), abs=0.006
    )


def test_arms_at_another_height_are_the_arms_found_there():
    """With no trim in it, as a box has none."""
    body = Body(*solids.box(3, 0.8, 0.5))
    low, high = (righting_curve(body, 500, (1.5, 0.01, z), 1000.0, DEGREES) for z in (0.1, 0.27))
    assert arm_at_other_height(low.arm, DEGREES, 0.17) == pytest.approx(high.arm, abs=1e-9)


def test_published_small_angle_arm():
    """GM 2.2 ft, 8 deg: GZ 0.306 ft (Nicholls's Seamanship): GM sin(phi), which a cylinder has exactly."""
    body = Body(*solids.cylinder(10, 60, 720))
    curve = righting_curve(body, 450 * body.volume, (30, 0, -2.2), 1000.0, np.radians([0, 8.0]))
    assert curve.arm[1] == pytest.approx(0.306, abs=5e-4)


def test_area_by_spline_and_by_slopes():
    heel = np.radians(np.arange(0, 41, 10.0))
    arm = np.sin(heel)
    exact = 1 - math.cos(0.5)
    assert area_under(heel, arm, 0, 0.5) == pytest.approx(exact, abs=1e-4)
    assert area_under(heel, arm, 0, 0.5, np.cos(heel)) == pytest.approx(exact, abs=1e-6)


# ---------------------------------------------------------------- flooding


def test_deck_edge_of_the_book_goes_under():
    """tan = freeboard / half-breadth: 33.69 deg (Derrett and Barrass, p. 130)."""
    hull = solids.box_hull(65, 12, 8)
    body = Body(hull.vertices, hull.faces)
    for side in (1, -1):
        heel = flooding_heel(hull, body, 3198e3, (32.5, 0, 4), 1025.0, side)
        assert math.degrees(heel) == pytest.approx(side * 33.69, abs=0.005)
    curve = righting_curve(body, 3198e3, (32.5, 0, 4), 1025.0, DEGREES, hull=hull)
    assert curve.flooding_heel == pytest.approx(math.atan(4 / 6), abs=1e-9)
    assert curve.usable_range_ends == curve.flooding_heel
    assert 0 < curve.energy_to_flooding < curve.energy_to_vanishing


def test_rims_on_one_side_flood_on_that_side_with_the_trim_counted():
    rim = [(0.5, 0.25, 0.48), (0.9, 0.22, 0.52), (0.7, 0.2, 0.5)]
    hull = solids.box_hull(2.4, 0.8, 0.45, rim)
    body = Body(hull.vertices, hull.faces)
    centre = (1.15, 0.0, 0.12)
    curves = [righting_curve(body, 500, centre, 1000.0, side * DEGREES, hull=hull) for side in (1, -1)]
    for curve in curves:
        n = up(curve.flooding_heel, curve.flooding_trim)
        lying = at_heel(body, 500, centre, 1000.0, curve.flooding_heel)
        assert lying.trim == pytest.approx(curve.flooding_trim, abs=1e-8)
        assert min(n @ p for p in rim) - lying.offset == pytest.approx(0, abs=1e-9)
        assert abs(curve.flooding_trim) > 1e-3
    assert abs(curves[1].flooding_heel) > curves[0].flooding_heel + 0.3


def test_a_spray_deck_keeps_the_water_out_of_its_rim():
    hull = solids.box_hull(2.4, 0.8, 0.45, [(1, 0.2, 0.47), (1, -0.2, 0.47)])
    line = hull.flooding[0]
    from dataclasses import replace

    covered = replace(hull, flooding=(replace(line, sealed_by_cover=True),))
    body = Body(hull.vertices, hull.faces)
    curve = righting_curve(body, 400, (1.2, 0, 0.1), 1000.0, DEGREES, hull=covered)
    bare = righting_curve(body, 400, (1.2, 0, 0.1), 1000.0, DEGREES, hull=hull)
    assert curve.flooding_heel is None and curve.energy_to_flooding is None
    assert curve.open_flooding_heel == pytest.approx(bare.flooding_heel, abs=1e-12)
    assert curve.usable_range_ends == curve.vanishing_heel


# ---------------------------------------------------------------- edges


def test_json_of_the_interface():
    hull = solids.box_hull(2.4, 0.8, 0.45)
    out = plain_value(
        curve_record(
            righting_curve(
                Body(hull.vertices, hull.faces),
                400,
                (1.2, 0, 0.1),
                1000.0,
                np.radians([0, 30, 60, 90]),
                hull=hull,
            )
        )
    )
    keys = {
        "gm_m",
        "curve",
        "peak_arm_m",
        "peak_heel_deg",
        "vanishing_heel_deg",
        "flooding_heel_deg",
        "usable_range_ends_deg",
        "energy_to_flooding_j",
    }
    assert keys <= set(out)
    assert [row["heel_deg"] for row in out["curve"]] == pytest.approx([0, 30, 60, 90])
    assert {"heel_deg", "arm_m", "moment_nm", "trim_deg"} <= set(out["curve"][0])
    assert [row["past_flooding"] for row in out["curve"]] == [
        h > out["flooding_heel_deg"] for h in (0, 30, 60, 90)
    ]


@pytest.mark.parametrize("heel", [[], [0, 1, 0.5], [0, math.nan], [0, 4.0]])
def test_heels_that_are_no_curve(heel):
    with pytest.raises(UsageError, match="heels"):
        righting_curve(Body(*solids.box(2, 1, 0.5)), 300, (1, 0, 0.1), 1000.0, heel)


def test_no_curve_for_what_sinks():
    with pytest.raises(UsageError, match="more than it can bear"):
        righting_curve(Body(*solids.box(2, 1, 0.5)), 1000, (1, 0, 0.1), 1000.0)
