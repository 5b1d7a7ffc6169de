"""Solids whose cut is known by formula."""

import math

import numpy as np
import pytest
import solids

from hullview.shape.body import Body

EXACT = 1e-13


def test_box_level():
    length, beam, depth, d = 2.3, 0.7, 0.5, 0.19
    cut = Body(*solids.box(length, beam, depth)).immersed((0, 0, 1), d)
    assert cut.volume == pytest.approx(length * beam * d, rel=EXACT)
    assert cut.centroid == pytest.approx([length / 2, 0, d / 2], abs=EXACT)
    assert cut.wetted_area == pytest.approx(length * beam + 2 * d * (length + beam), rel=EXACT)
    assert cut.plane_area == pytest.approx(length * beam, rel=EXACT)
    assert cut.plane_centroid == pytest.approx([length / 2, 0, d], abs=EXACT)
    second = np.diag([beam * length**3 / 12, length * beam**3 / 12, 0])
    assert cut.plane_second_moments == pytest.approx(second, abs=EXACT)


@pytest.mark.parametrize("heel", [0.1, -0.4, 0.55])
def test_box_heeled_by_hand(heel):
    """A plane through the side walls only: a trapezium, its water line b / cos(heel) wide."""
    length, beam, depth, d = 2.3, 0.7, 0.5, 0.25
    t = math.tan(heel)
    n = np.array([0, -math.sin(heel), math.cos(heel)])  # starboard down
    cut = Body(*solids.box(length, beam, depth)).immersed(n, d * math.cos(heel))
    assert cut.volume == pytest.approx(length * beam * d, rel=EXACT)
    y, z = beam**2 * t / (12 * d), d / 2 + beam**2 * t**2 / (24 * d)
    assert cut.centroid == pytest.approx([length / 2, y, z], abs=EXACT)
    wide = beam / math.cos(heel)
    assert cut.plane_area == pytest.approx(length * wide, rel=EXACT)
    across = np.array([0, math.cos(heel), math.sin(heel)])
    assert across @ cut.plane_second_moments @ across == pytest.approx(length * wide**3 / 12, rel=EXACT)
    assert cut.wetted_area == pytest.approx(length * (beam + 2 * d) + 2 * beam * d, rel=EXACT)


def test_box_cut_through_one_corner():
    """x / p + y / q + z / r <= 1 cuts a tetrahedron off the corner at the origin."""
    p, q, r = 0.8, 0.3, 0.4
    cut = Body(*solids.box(2, 1, 0.5, at=(0, 0.5, 0))).immersed((1 / p, 1 / q, 1 / r), 1.0)
    assert cut.volume == pytest.approx(p * q * r / 6, rel=EXACT)
    assert cut.centroid == pytest.approx([p / 4, q / 4, r / 4], abs=EXACT)
    assert cut.plane_area == pytest.approx(math.hypot(p * q, q * r, r * p) / 2, rel=EXACT)
    assert cut.plane_centroid == pytest.approx([p / 3, q / 3, r / 3], abs=EXACT)
    assert cut.wetted_area == pytest.approx((p * q + q * r + r * p) / 2, rel=EXACT)
    # a triangle's second moments about its centroid: area / 12 times the sum of r r over its corners
    corners = np.diag([p, q, r]) - np.array([p, q, r]) / 3
    assert cut.plane_second_moments == pytest.approx(cut.plane_area / 12 * corners.T @ corners, abs=EXACT)


def test_triangular_prism_apex_down():
    """KB = 2 d / 3, BM = b^2 / (6 d) with b the beam at the waterline."""
    beam, depth, d = 0.9, 0.6, 0.23
    body = Body(*solids.log([(0, 0), (beam / 2, depth), (-beam / 2, depth)], 1.7))
    cut = body.immersed((0, 0, 1), d)
    b = beam * d / depth
    assert cut.volume == pytest.approx(1.7 * b * d / 2, rel=EXACT)
    assert cut.centroid[2] == pytest.approx(2 * d / 3, rel=EXACT)
    assert cut.plane_second_moments[1, 1] / cut.volume == pytest.approx(b**2 / (6 * d), rel=EXACT)


@pytest.mark.parametrize("heel_deg", [0, 17, 90, 151, 180])
def test_horizontal_cylinder_has_its_metacentre_on_its_axis(heel_deg):
    """A circle's segment: area R^2 (a - sin a cos a), BM = distance of B below the axis, at every heel."""
    radius, h = 0.3, -0.11
    a = math.acos(-h / radius)
    area = radius**2 * (a - math.sin(a) * math.cos(a))
    below = 2 * (radius * math.sin(a)) ** 3 / (3 * area)
    body = Body(*solids.cylinder(radius, 1.2, 720))
    heel = math.radians(heel_deg)
    n = np.array([0, -math.sin(heel), math.cos(heel)])
    cut = body.immersed(n, h)
    assert cut.volume == pytest.approx(1.2 * area, rel=3e-5)  # 720 sides for a circle: (2 pi / 720)^2 = 8e-5
    assert cut.centroid @ n == pytest.approx(-below, rel=3e-5)
    across = np.array([0, math.cos(heel), math.sin(heel)])
    assert across @ cut.plane_second_moments @ across / cut.volume == pytest.approx(below, rel=2e-4)
    assert cut.centroid @ across == pytest.approx(0, abs=1e-6)


def _cap(radius, h):
    """Volume and centroid below the centre of the cap of a sphere under z = -(radius - h)."""
    return math.pi * h**2 * (3 * radius - h) / 3, -3 * (2 * radius - h) ** 2 / (4 * (3 * radius - h))


def test_sphere_cap_error_falls_as_the_square_of_the_mesh():
    radius, h = 0.5, 0.21
    volume, z = _cap(radius, h)
    turn = solids.turned(np.zeros((1, 3)), 5)[1]
    errors = []
    for m in (24, 48, 96):
        vertices, faces = solids.ellipsoid(radius, radius, radius, m, m)
        cut = Body(vertices @ turn.T, faces).immersed((0.2, -0.3, 1), (h - radius) * math.hypot(0.2, 0.3, 1))
        n = np.array([0.2, -0.3, 1]) / math.hypot(0.2, 0.3, 1)
        disc = math.pi * h * (2 * radius - h)
        errors.append(
            [
                cut.volume / volume - 1,
                cut.centroid @ n / z - 1,
                cut.plane_area / disc - 1,
                cut.wetted_area / (2 * math.pi * radius * h) - 1,
                np.trace(cut.plane_second_moments) / (disc**2 / (2 * math.pi)) - 1,
            ]
        )
    errors = np.abs(errors)
    assert (errors[2] < 5e-3).all()
    order = np.log2(errors[:-1] / errors[1:])
    assert order == pytest.approx(2.0, abs=0.4)


def test_ellipsoid_half():
    """Below any plane through its centre lies half of it; its box-parallel half has its centroid at 3 c /
    8."""
    a, b, c = 1.4, 0.35, 0.22
    body = Body(*solids.ellipsoid(a, b, c, 120, 120))
    half = body.immersed((0, 0, 1), 0.0)
    assert half.volume == pytest.approx(2 / 3 * math.pi * a * b * c, rel=1e-3)
    assert half.centroid == pytest.approx([0, 0, -3 * c / 8], abs=1e-4)
    assert half.plane_second_moments[1, 1] == pytest.approx(math.pi * a * b**3 / 4, rel=2e-3)
    assert half.plane_second_moments[0, 0] == pytest.approx(math.pi * b * a**3 / 4, rel=2e-3)
    askew = body.immersed((0.3, -0.5, 0.4), 0.0)
    assert askew.volume == pytest.approx(body.volume / 2, rel=1e-12)  # the mesh is the same upside down


def test_wigley_by_algebra():
    """V = 4/9 L B T, KB = 5 T / 8, BM = 3 B^2 / (35 T), BM_L = 3 L^2 / (40 T), Cw = 2/3: integrals of its
    polynomial.

    It floats at its design draft, a little below the lid so that the water plane is cut and not the lid
    counted.
    """
    length, beam, draft = 1.0, 0.1, 0.0625
    body = Body(*solids.wigley(length, beam, draft, 200, 100))
    cut = body.immersed((0, 0, 1), -1e-9)
    assert cut.volume == pytest.approx(4 / 9 * length * beam * draft, rel=1e-4)
    assert cut.volume == pytest.approx(0.00277778, rel=1e-4)
    assert cut.centroid[2] == pytest.approx(-3 * draft / 8, rel=1e-4)
    assert cut.plane_area == pytest.approx(2 / 3 * length * beam, rel=1e-4)
    assert cut.plane_second_moments[1, 1] / cut.volume == pytest.approx(3 * beam**2 / (35 * draft), rel=1e-4)
    assert cut.plane_second_moments[0, 0] / cut.volume == pytest.approx(
        3 * length**2 / (40 * draft), rel=1e-4
    )
    assert cut.wetted_area == pytest.approx(0.148791, rel=1e-4)  # 200-point quadrature of its surface


def test_wigley_heeled_against_quadrature():
    """Volume under a heeled, trimmed plane: sections summed as columns, no mesh in it."""
    length, beam, draft = 1.0, 0.1, 0.0625
    heel, trim = 0.2, 0.01
    n = np.array([-math.sin(trim), -math.cos(trim) * math.sin(heel), math.cos(trim) * math.cos(heel)])
    offset = n @ [0.5, 0, -0.03]
    cut = Body(*solids.wigley(length, beam, draft, 160, 80)).immersed(n, offset)
    x = (np.arange(800) + 0.5) / 800
    y = ((np.arange(800) + 0.5) / 800 - 0.5) * beam
    xx, yy = np.meshgrid(x, y, indexing="ij")
    wide = beam / 2 * (1 - (2 * xx - 1) ** 2)
    bottom = -draft * np.sqrt(np.clip(1 - np.abs(yy) / wide, 0, None))
    surface = np.clip((offset - n[0] * xx - n[1] * yy) / n[2], None, 0)
    column = np.clip(surface - bottom, 0, None) * (np.abs(yy) < wide)
    cell = length * beam / x.size / y.size
    volume = column.sum() * cell
    assert cut.volume == pytest.approx(volume, rel=1e-3)
    assert cut.centroid[0] == pytest.approx((column * xx).sum() * cell / volume, abs=2e-4)
    assert cut.centroid[1] == pytest.approx((column * yy).sum() * cell / volume, abs=2e-5)
