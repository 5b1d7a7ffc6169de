"""The hydrostatics table, cross curves and Bonjean areas against formulas."""

import math

import numpy as np
import pytest
import solids

from hullview.afloat.equilibrium import float_hull, up
from hullview.afloat.hydrostatics import (
    bonjean,
    cross_curves,
    dimensions,
    displacement_at,
    displacements_for,
    greatest_section,
    height_for,
    heights_for,
    hydrostatics,
    section_areas,
)
from hullview.afloat.righting import arm_at_other_height, righting_curve
from hullview.errors import UsageError
from hullview.shape.body import Body
from hullview.tell.hydrostatics import whole_table

WIGLEY = (5.0, 0.5, 0.3125)


def _wigley():
    """Its keel at z = 0, so that heights are above the base line; lid at the design waterline."""
    vertices, faces = solids.wigley(*WIGLEY, 160, 80)
    return Body(vertices + [0, 0, WIGLEY[2]], faces)


def test_box_row():
    length, beam, d, base = 2.4, 0.8, 0.21, 0.05
    row = hydrostatics(Body(*solids.box(length, beam, 0.6, at=(0.3, 0, base))), 1025.0, [base + d])[0]
    assert row.waterline_height == pytest.approx(base + d, abs=1e-12)
    assert row.draft == pytest.approx(d, abs=1e-12)
    assert row.volume == pytest.approx(length * beam * d, rel=1e-12)
    assert row.displacement == pytest.approx(1025 * length * beam * d, rel=1e-12)
    assert [row.lcb, row.lcf, row.kb] == pytest.approx(
        [0.3 + length / 2, 0.3 + length / 2, base + d / 2], rel=1e-12
    )
    assert [row.bm, row.bm_longitudinal] == pytest.approx(
        [beam**2 / (12 * d), length**2 / (12 * d)], rel=1e-12
    )
    assert row.km == pytest.approx(base + d / 2 + beam**2 / (12 * d), rel=1e-12)
    assert row.wetted_area == pytest.approx(length * beam + 2 * d * (length + beam), rel=1e-12)
    ones = [
        row.block_coefficient,
        row.prismatic_coefficient,
        row.midship_coefficient,
        row.waterplane_coefficient,
    ]
    assert ones == pytest.approx([1, 1, 1, 1], rel=1e-8)
    assert row.immersion == pytest.approx(10.25 * length * beam, rel=1e-12)
    assert row.moment_to_trim == pytest.approx(
        1025 * beam * length**2 / 1200, rel=1e-12
    )  # rho B L^2 / 12 a metre of trim


def test_wigley_row_by_algebra():
    """Cb 4/9, Cp = Cm = Cwp = 2/3, KB = 5 T / 8, BM = 3 B^2 / (35 T), BM_L = 3 L^2 / (40 T)."""
    length, beam, draft = WIGLEY
    row = hydrostatics(_wigley(), 1000.0, [draft - 1e-9])[0]
    assert row.block_coefficient == pytest.approx(4 / 9, rel=2e-4)
    assert [row.prismatic_coefficient, row.midship_coefficient, row.waterplane_coefficient] == pytest.approx(
        [2 / 3] * 3, rel=2e-4
    )
    assert row.kb == pytest.approx(5 * draft / 8, rel=1e-4)
    assert row.bm == pytest.approx(3 * beam**2 / (35 * draft), rel=2e-4)
    assert row.bm_longitudinal == pytest.approx(3 * length**2 / (40 * draft), rel=2e-4)
    assert [row.lcb, row.lcf] == pytest.approx([length / 2, length / 2], abs=2e-3)
    assert row.greatest_section_at == pytest.approx(length / 2, abs=0.06)
    assert [row.waterline_length, row.waterline_beam] == pytest.approx([length, beam], rel=1e-6)


def test_a_lid_at_the_height_of_the_water_is_water_plane():
    row = hydrostatics(Body(*solids.box(2.4, 0.8, 0.6)), 1000.0, [0.6])[0]
    assert row.waterplane_area == pytest.approx(2.4 * 0.8, rel=1e-9)
    assert row.wetted_area == pytest.approx(2.4 * 0.8 + 2 * 0.6 * 3.2, rel=1e-8)
    assert row.draft == pytest.approx(0.6, rel=1e-12)


def test_rows_by_displacement_are_the_rows_by_height():
    body = _wigley()
    by_height = hydrostatics(body, 1025.0, [0.1, 0.2], trim=0.01)
    by_mass = hydrostatics(body, 1025.0, displacements=[r.displacement for r in by_height], trim=0.01)
    for one, other in zip(by_height, by_mass):
        assert one.waterline_height == pytest.approx(other.waterline_height, abs=1e-10)
        assert one.__dict__ == pytest.approx(other.__dict__, rel=1e-6)


def test_trimmed_box_by_hand():
    """Trim by the stern t: LCB goes aft by L^2 tan(t) / (12 d), the waterline is L / cos(t)."""
    length, beam, d, trim = 2.4, 0.8, 0.25, math.radians(4)
    row = hydrostatics(Body(*solids.box(length, beam, 0.6)), 1000.0, [d], trim=trim)[0]
    assert row.volume == pytest.approx(length * beam * d, rel=1e-12)
    assert row.lcb == pytest.approx(length / 2 + length**2 * math.tan(trim) / (12 * d), rel=1e-12)
    assert row.waterline_length == pytest.approx(length / math.cos(trim), rel=1e-12)
    assert row.draft == pytest.approx((d + length / 2 * math.tan(trim)) * math.cos(trim), rel=1e-12)


def test_section_areas():
    """A box's section is b d; a triangle's is its own; the same in a trimmed boat; nothing above water."""
    beam, depth = 0.9, 0.6
    body = Body(*solids.log([(0, 0), (beam / 2, depth), (-beam / 2, depth)], 2.0))
    aft, n = np.array([1.0, 0, 0]), np.array([0.0, 0, 1])
    for h in (0.1, 0.35, 0.6):
        assert section_areas(body, aft, np.array([0.7]), n, h)[0] == pytest.approx(
            beam * h * h / (2 * depth), rel=1e-12
        )
    assert section_areas(body, aft, np.array([0.0]), n, 0.35)[0] == pytest.approx(
        beam * 0.35**2 / (2 * depth), rel=1e-7
    )  # at the flat end
    assert section_areas(body, aft, np.array([0.7]), n, -0.1)[0] == 0.0
    box = Body(*solids.box(2.4, 0.8, 0.6))
    n = up(0, 0.1)
    square_to_it = np.array([math.cos(0.1), 0, math.sin(0.1)])
    area, _ = greatest_section(box, n, float(n @ [1.2, 0, 0.2]))
    place = np.array([square_to_it @ [2.1, 0, 0.2]])
    deep = section_areas(box, square_to_it, place, n, float(n @ [1.2, 0, 0.2]))[0]
    deep_exactly = 0.8 * (0.2 + 0.9 * math.tan(0.1)) / math.cos(0.1)  # on a slant through the bottom
    assert area >= deep > 0.8 * 0.25
    assert deep == pytest.approx(deep_exactly, rel=0.05)


def test_bonjean_by_quadrature_gives_the_volume():
    length, beam, draft = WIGLEY
    body = _wigley()
    x, w = np.polynomial.legendre.leggauss(20)
    areas = bonjean(body, length * (x + 1) / 2, [0.1, 0.25])
    assert areas.shape == (20, 2)
    for column, h in enumerate((0.1, 0.25)):
        assert (areas[:, column] * w).sum() * length / 2 == pytest.approx(
            body.immersed((0, 0, 1), h).volume, rel=2e-4
        )
    # the midship section by its formula: B (h - T/3 + (T - h)^3 / (3 T^2))
    exact = [beam * (h - draft / 3 + (draft - h) ** 3 / (3 * draft**2)) for h in (0.1, 0.25)]
    assert bonjean(body, [length / 2], [0.1, 0.25])[0] == pytest.approx(exact, rel=1e-3)


@pytest.mark.parametrize("trim", [0.08, -0.05])
def test_bonjean_areas_to_a_trimmed_waterline(trim):
    """A box: each section is a rectangle up to where the waterline passes its station; on the cut itself
    nothing is negative."""
    box = Body(*solids.box(2.4, 0.8, 0.6, at=(0.3, 0.1, 0.05)))
    stations, heights = [0.4, 1.1, 2.5], [0.2, 0.35]
    # by the stern: the water stands higher on a station aft of the middle, 1.5 m aft of the datum
    exact = [[0.8 * max(h - 0.05 + (x - 1.5) * math.tan(trim), 0.0) for h in heights] for x in stations]
    assert bonjean(box, stations, heights, trim) == pytest.approx(np.array(exact), abs=1e-9)


def test_trimmed_bonjean_areas_by_quadrature_give_the_volume():
    length, _, _ = WIGLEY
    body, n = _wigley(), up(0.0, 0.02)
    x, w = np.polynomial.legendre.leggauss(20)
    areas = bonjean(body, length * (x + 1) / 2, [0.2], 0.02)
    volume = body.immersed(n, float(n @ [length / 2, 0, 0.2])).volume
    assert (areas[:, 0] * w).sum() * length / 2 == pytest.approx(volume, rel=5e-4)


def test_displacements_and_heights_are_each_other_the_other_way_round():
    body = Body(*solids.box(2.4, 0.8, 0.6, at=(0.3, 0, 0.05)))
    for trim in (0.0, 0.05, -0.03):
        mass = displacement_at(body, 0.3, 1025.0, trim)
        assert mass == pytest.approx(1025 * 2.4 * 0.8 * 0.25, rel=1e-12)
        assert height_for(body, mass, 1025.0, trim) == pytest.approx(0.3, abs=1e-9)


@pytest.mark.parametrize(("units", "one", "step"), [("metric", 1.0, 50.0), ("imperial", 0.45359237, 100.0)])
def test_displacements_in_round_steps(units, one, step):
    hull = solids.box_hull(2, 0.8, 0.25)  # 400 kg, 882 lb
    masses = displacements_for(hull, Body(hull.vertices, hull.faces), 1000.0, units) / one
    assert masses == pytest.approx(step * np.arange(1, len(masses) + 1), rel=1e-12)
    assert len(masses) >= 5 and masses[-1] <= 400 / one < masses[-1] + step * (1 + 1e-6)


def test_cross_curves_of_a_trimmed_boat_are_righting_arms_of_a_load_that_trims_it():
    """The load's centre on the base line, so far aft that the upright boat has the trim asked for."""
    body, trim, heel = Body(*solids.box(3, 0.8, 0.5)), 0.03, np.radians([0, 15, 40.0])
    n = up(0.0, trim)
    offset = float(n @ [1.5, 0, height_for(body, 500.0, 1000.0, trim)])
    b = body.immersed(n, offset).centroid
    aft = b[0] + b[2] * math.tan(trim)  # straight below B, seen in the trimmed frame
    curve = righting_curve(body, 500.0, (aft, 0, 0), 1000.0, heel)
    assert curve.trim[0] == pytest.approx(trim, abs=1e-9)
    table = cross_curves(body, 1000.0, [500], heel, trim)
    assert table.trim == trim and table.kn[0] == pytest.approx(curve.arm, abs=1e-9)


def test_cross_curves_less_kg_are_righting_arms():
    body = Body(*solids.box(3, 0.8, 0.5))
    heel = np.radians(np.arange(0, 91, 15.0))
    table = cross_curves(body, 1000.0, [300, 500], heel)
    assert table.kn.shape == (2, 7)
    for mass, kn in zip((300, 500), table.kn):
        curve = righting_curve(body, mass, (1.5, 0, 0.22), 1000.0, heel)
        assert arm_at_other_height(kn, heel, 0.22) == pytest.approx(curve.arm, abs=1e-9)
    d = 500 / 2400
    wall_sided = np.sin(heel[1]) * (d / 2 + 0.64 / (12 * d) * (1 + np.tan(heel[1]) ** 2 / 2))
    assert table.kn[1, 1] == pytest.approx(wall_sided, abs=1e-9)


def test_kn_of_a_cylinder():
    """The buoyancy passes through the axis, R above the base line: KN = R sin(heel) at every displacement."""
    vertices, faces = solids.cylinder(0.3, 1.5, 360)
    heel = np.radians([0, 20, 70, 130.0])
    table = cross_curves(Body(vertices + [0, 0, 0.3], faces), 1000.0, [60, 250], heel)
    assert table.kn == pytest.approx(np.tile(0.3 * np.sin(heel), (2, 1)), abs=1e-6)


def test_heights_in_round_steps():
    hull = solids.box_hull(2, 0.8, 0.43)
    heights = heights_for(hull)
    assert len(heights) >= 5 and heights[0] > 0 and heights[-1] <= 0.43
    assert np.diff(heights) == pytest.approx(np.full(len(heights) - 1, heights[1] - heights[0]))
    assert len(hydrostatics(hull, 1000.0)) == len(heights)
    inches = heights_for(hull, "imperial") / 0.0254
    assert len(inches) >= 5 and inches == pytest.approx(2.0 * np.arange(1, len(inches) + 1), abs=1e-9)
    assert heights_for(solids.box_hull(2, 0.8, 0.3)).tolist() == [
        0.02,
        0.04,
        0.06,
        0.08,
        0.1,
        0.12,
        0.14,
        0.16,
        0.18,
        0.2,
        0.22,
        0.24,
        0.26,
        0.28,
        0.3,
    ]
    thin = solids.box_hull(2, 0.8, 0.02)
    assert len(heights_for(thin)) >= 5


@pytest.mark.parametrize("height", [-0.1, 0.0, 0.7])
def test_heights_that_do_not_cut_the_hull(height):
    with pytest.raises(UsageError, match="does not cut the hull"):
        hydrostatics(Body(*solids.box(2, 1, 0.6)), 1000.0, [height])


@pytest.mark.parametrize("mass", [0, -3, 1200, math.inf])
def test_displacements_out_of_range(mass):
    with pytest.raises(UsageError, match="outside what it can displace"):
        hydrostatics(Body(*solids.box(2, 1, 0.6)), 1000.0, displacements=[mass])


def test_json_keys_of_the_interface():
    keys = {
        "waterline_height_m",
        "draft_m",
        "volume_m3",
        "displacement_kg",
        "lcb_m",
        "kb_m",
        "waterplane_area_m2",
        "lcf_m",
        "bm_m",
        "bm_longitudinal_m",
        "km_m",
        "wetted_area_m2",
        "waterline_length_m",
        "waterline_beam_m",
        "block_coefficient",
        "prismatic_coefficient",
        "midship_coefficient",
        "waterplane_coefficient",
        "immersion_kg_per_cm",
    }
    assert keys <= {
        c.key for c in whole_table(hydrostatics(Body(*solids.box(2, 1, 0.6)), 1000.0, [0.2])).columns
    }


def test_dimensions_by_their_standard_names():
    hull = solids.box_hull(2.4, 0.8, 0.4)
    body = Body(hull.vertices, hull.faces)
    assert dimensions(hull) == pytest.approx({"L_H": 2.4, "B_H": 0.8, "D_max": 0.4})
    found = dimensions(hull, float_hull(hull, body, 1000 * 2.4 * 0.8 * 0.25, (1.25, 0, 0.1), 1000.0))
    assert found["F_f"] > found["F_m"] > found["F_a"]
    assert found["F_m"] == pytest.approx(0.15, abs=1e-3)
    assert found["L_WL"] == pytest.approx(2.4, abs=1e-2)
