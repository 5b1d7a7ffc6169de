"""The estimated mesh error bounds the true one on bodies with known answers."""

import math
from dataclasses import replace

import numpy as np
import pytest
import solids

from hullview.afloat.equilibrium import float_hull
from hullview.afloat.hydrostatics import hydrostatics
from hullview.afloat.mesh_error import floating_error, hydrostatics_error, righting_error
from hullview.afloat.righting import righting_curve
from hullview.shape.body import Body

A, B, C = 1.5, 0.4, 0.3


def _hull(fine, coarse):
    """A hull of these meshes, its sheer put out of the way above it."""
    plain = solids.box_hull(3, 1, 1)
    made = [
        replace(plain, vertices=v, faces=f, region_of_face=np.zeros(len(f), int)) for v, f in (fine, coarse)
    ]
    return replace(made[0], coarse=made[1])


@pytest.mark.parametrize("m", [24, 40, 90])
def test_ellipsoid_half_under(m):
    """Draft c, waterline 2 a by 2 b, Aw = pi a b, BM = 3 b^2 / (8 c), B at 3 c / 8 under."""
    hull = _hull(solids.ellipsoid(A, B, C, m, m), solids.ellipsoid(A, B, C, m // 2, m // 2))
    mass, kg = 1000 * 2 / 3 * math.pi * A * B * C, -0.05
    f = float_hull(hull, Body(hull.vertices, hull.faces), mass, (0, 0, kg), 1000.0)
    error = floating_error(hull, f)
    true = {
        "draft": (f.draft, C),
        "waterline_length": (f.waterline_length, 2 * A),
        "waterline_beam": (f.waterline_beam, 2 * B),
        "waterplane_area": (f.waterplane_area, math.pi * A * B),
        "gm": (f.gm, 3 * B**2 / (8 * C) - 3 * C / 8 - kg),
        "gm_longitudinal": (f.gm_longitudinal, 3 * A**2 / (8 * C) - 3 * C / 8 - kg),
        "immersion": (f.immersion, 10 * math.pi * A * B),
    }
    for key, (found, exact) in true.items():
        assert abs(found - exact) <= error[key] + 1e-9, key
    assert error["draft"] < 0.05 * C
    assert error["draft"] > abs(f.draft - C) > 0


def test_wigley_rows():
    """Its polynomial's own figures at its design draft."""
    length, beam, draft = 5.0, 0.5, 0.3125

    def mesh(m):
        vertices, faces = solids.wigley(length, beam, draft, 2 * m, m)
        return vertices + [0, 0, draft], faces

    hull = _hull(mesh(32), mesh(16))
    rows = hydrostatics(Body(hull.vertices, hull.faces), 1000.0, [draft - 1e-9])
    (error,) = hydrostatics_error(hull, rows, 1000.0)
    true = {
        "volume": (rows[0].volume, 4 / 9 * length * beam * draft),
        "kb": (rows[0].kb, 5 * draft / 8),
        "bm": (rows[0].bm, 3 * beam**2 / (35 * draft)),
        "bm_longitudinal": (rows[0].bm_longitudinal, 3 * length**2 / (40 * draft)),
        "waterplane_area": (rows[0].waterplane_area, 2 / 3 * length * beam),
        "wetted_area": (rows[0].wetted_area, None),
        "block_coefficient": (rows[0].block_coefficient, 4 / 9),
        "prismatic_coefficient": (rows[0].prismatic_coefficient, 2 / 3),
    }
    for key, (found, exact) in true.items():
        assert exact is None or abs(found - exact) <= error[key] + 1e-8, key
    assert 0 < error["volume"] < 0.01 * rows[0].volume


def test_cylinder_curve():
    """Arm (axis - KG) sin(heel), peak at 90 degrees."""
    angle = [2 * np.pi * np.arange(n) / n for n in (96, 48)]
    meshes = [solids.log(0.3 * np.column_stack([np.cos(a), np.sin(a)]), 1.5) for a in angle]
    hull = _hull(*meshes)
    body = Body(hull.vertices, hull.faces)
    mass = 400 * math.pi * 0.3**2 * 1.5
    curve = righting_curve(body, mass, (0.75, 0, -0.08), 1000.0, np.radians(np.arange(0, 181, 7.0)))
    error = righting_error(hull, curve)
    assert abs(curve.peak_arm - 0.08) <= error["peak_arm"] + 1e-9
    assert np.abs(curve.arm - 0.08 * np.sin(curve.heel)).max() <= error["arm"]
    assert abs(curve.gm - 0.08) <= error["gm"] + 1e-9


def test_no_coarser_mesh_no_estimate():
    hull = solids.box_hull(3, 0.8, 0.4)
    body = Body(hull.vertices, hull.faces)
    f = float_hull(hull, body, 300, (1.5, 0, 0.1), 1000.0)
    assert floating_error(hull, f) is None
    assert hydrostatics_error(hull, hydrostatics(body, 1000.0, [0.1]), 1000.0) is None
