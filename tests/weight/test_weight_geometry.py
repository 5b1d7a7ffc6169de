"""Areas, lengths, centres and second moments against formulas: box, cylinder, cone, sphere, straight,
ring, helix."""

import numpy as np
import pytest
import trimesh
from weight_hulls import box, half_cylinder

from hullview.shape.hull import NamedLine
from hullview.weight.lengths import frame_of
from hullview.weight.patch import (
    at_point,
    below,
    between,
    clipped_segments,
    joined,
    less,
    over_segments,
    over_triangles,
    section,
    skinned,
)


def cone(radius: float, height: float, n: int = 240, m: int = 60) -> tuple[np.ndarray, np.ndarray]:
    """Lateral surface only, apex up at z = height; rings closely spaced, the apex left open by a little."""
    a = np.linspace(0, 2 * np.pi, n, endpoint=False)
    s = np.linspace(0, 0.98, m)
    v = np.array(
        [[radius * (1 - k) * np.cos(t), radius * (1 - k) * np.sin(t), height * k] for k in s for t in a]
    )
    i, j = np.meshgrid(np.arange(m - 1), np.arange(n), indexing="ij")
    p, q = (i * n + j).ravel(), (i * n + (j + 1) % n).ravel()
    return v, np.concatenate([np.column_stack([p, q, q + n]), np.column_stack([p, q + n, p + n])])


def test_triangle_moments_against_trimesh_and_by_hand():
    """A right triangle with legs 3 and 2 off the origin: mean of (x - 1)^2 is 9/6, of (y - 2)^2 is 4/6, of
    the product 1/2."""
    t = np.array([[[1.0, 2, 5], [4, 2, 5], [1, 4, 5]]])
    s = over_triangles(t)
    assert s.size == pytest.approx(3.0) and s.centre == pytest.approx([2, 2 + 2 / 3, 5])
    about = s.second - np.outer(s.centre, s.centre)
    assert about == pytest.approx(np.array([[9 / 18, -6 / 36, 0], [-6 / 36, 4 / 18, 0], [0, 0, 0]]))


def test_parts_add_and_mirror():
    rng = np.random.default_rng(3)
    tri = rng.normal(size=(40, 3, 3))
    whole = over_triangles(tri)
    again = joined([over_triangles(tri[:7]), over_triangles(tri[7:])])
    assert again.size == pytest.approx(whole.size) and again.second == pytest.approx(whole.second)
    rest = less(whole, over_triangles(tri[:7]))
    assert rest.centre == pytest.approx(over_triangles(tri[7:]).centre)
    both = whole.both_sides()
    mirrored = over_triangles(np.concatenate([tri, tri * [1, -1, 1]]))
    assert both.size == pytest.approx(mirrored.size) and both.second == pytest.approx(mirrored.second)


@pytest.mark.parametrize("depth", [0.0, 0.004, 0.02])
def test_inside_of_a_sphere_and_of_a_cylinder(depth):
    ball = trimesh.creation.icosphere(subdivisions=5, radius=0.35)
    s = skinned(ball.vertices, ball.faces)
    assert over_triangles(s.triangles(depth)).size == pytest.approx(4 * np.pi * (0.35 - depth) ** 2, rel=2e-3)
    h = half_cylinder(4.0, 0.4)
    shell = skinned(h.vertices, h.faces_of("hull"))
    # the rim moves along the last facet's own normal, half a facet off the radius: 4 m x 2 x depth x 0.01
    rim = 4.0 * 2 * depth * np.pi / 2 / 159
    assert over_triangles(shell.triangles(depth)).size == pytest.approx(
        np.pi * (0.4 - depth) * 4.0, abs=1e-4 + 1.01 * rim
    )


def test_inside_of_a_cone():
    """Moved in by t normal to itself, a cone's ring at distance s along the slope keeps its slope and
    loses t cos(half angle) of radius."""
    r, z, t = 0.3, 0.9, 0.006
    v, f = cone(r, z)
    slope = np.hypot(r, z)
    shrink = t * z / slope
    out, top = r * 1.0, r * 0.02
    by_hand = np.pi * ((out - shrink) + (top - shrink)) * slope * 0.98
    edge_free = over_triangles(skinned(v, f).triangles(t)).size
    assert edge_free == pytest.approx(by_hand, rel=2e-3)


def test_inside_of_a_box_keeps_its_corners_square():
    """Moved in by t, a closed box is a box 2 t less every way; the mitre at edges and corners is exact."""
    h = box(3.0, 0.7, 0.4)
    inner = over_triangles(skinned(h.vertices, h.faces).triangles(0.03))
    a, b, c = 3.0 - 0.06, 0.7 - 0.06, 0.4 - 0.06
    assert inner.size == pytest.approx(2 * (a * b + b * c + a * c), rel=2e-3)


def test_cutting_by_a_value_leaves_exact_areas():
    t = np.array([[[0.0, 0, 0], [2, 0, 0], [0, 2, 0]], [[2.0, 0, 0], [2, 2, 0], [0, 2, 0]]])
    x = t[:, :, 0]
    for limit in (-0.1, 0.3, 1.0, 1.7, 2.5):
        kept, values = below(t, x, limit)
        wide = np.clip(limit, 0, 2)
        assert over_triangles(kept).size == pytest.approx(2 * wide)
        assert len(kept) == 0 or np.allclose(values, kept[:, :, 0])
    strip = over_triangles(between(t, x, 0.25, 0.75))
    assert strip.size == pytest.approx(1.0) and strip.centre == pytest.approx([0.5, 1, 0])


def test_lengths_straight_ring_and_helix():
    line = np.array([[[0.0, 1, 2], [3, 1, 2]]])
    s = over_segments(line)
    assert s.size == 3 and s.centre == pytest.approx([1.5, 1, 2]) and s.second[0, 0] == pytest.approx(3.0)
    a = np.linspace(0, 2 * np.pi, 400)
    for pitch in (0.0, 0.5):
        p = np.column_stack([pitch * a / (2 * np.pi), 0.3 * np.sin(a), 0.3 * np.cos(a)])
        s = over_segments(np.stack([p[:-1], p[1:]], axis=1))
        assert s.size == pytest.approx(np.hypot(2 * np.pi * 0.3, pitch), rel=1e-4)
        assert s.second[1, 1] == pytest.approx(0.3**2 / 2, rel=1e-3)


def test_a_length_with_a_section_that_grows_is_a_wedge():
    """Weight from 1 to 4 along 2 m: integral 5, centre at 2 (1 + 8)/(3 x 5), second moment by integration
    of x^2 (1 + 1.5 x)."""
    s = over_segments(np.array([[[0.0, 0, 0], [2, 0, 0]]]), np.array([[1.0, 4.0]]))
    assert s.size == pytest.approx(5) and s.centre[0] == pytest.approx((2**2 / 2 + 1.5 * 2**3 / 3) / 5)
    assert s.second[0, 0] == pytest.approx((2**3 / 3 + 1.5 * 2**4 / 4) / 5)


def test_clipping_a_run_by_its_ends():
    p = np.array([[0.0, 0, 0], [1, 1, 0], [2, 0, 0], [1.5, -1, 0]])
    seg = np.stack([p[:-1], p[1:]], axis=1)
    cut, w = clipped_segments(seg, np.tile([0.0, 1.0], (3, 1)), 0.5, 1.75)
    assert cut[0] == pytest.approx(np.array([[0.5, 0.5, 0], [1, 1, 0]])) and w[0] == pytest.approx([0.5, 1])
    assert cut[1] == pytest.approx(np.array([[1, 1, 0], [1.75, 0.25, 0]])) and w[1] == pytest.approx(
        [0, 0.75]
    )
    assert cut[2] == pytest.approx(np.array([[1.75, -0.5, 0], [1.5, -1, 0]]))
    whole, _ = clipped_segments(seg, np.ones((3, 2)), None, None)
    assert whole is seg


@pytest.mark.parametrize("x", [0.1, 1.234, 3.0])
def test_section_of_a_box_and_of_a_half_cylinder(x):
    area, centre, second, girth = section(*(lambda h: (h.vertices, h.faces))(box(3.0, 0.6, 0.4, x0=0.05)), x)
    assert (
        area == pytest.approx(0.24)
        and girth == pytest.approx(2.0)
        and centre == pytest.approx([x, 0, 0.2], abs=1e-12)
    )
    assert second[1, 1] == pytest.approx(0.6**2 / 12) and second[2, 2] == pytest.approx(0.4**2 / 3)
    h = half_cylinder(4.0, 0.4)
    area, centre, _, girth = section(h.vertices, h.faces, x)
    assert area == pytest.approx(np.pi * 0.16 / 2, rel=1e-4)
    assert centre[2] == pytest.approx(0.4 - 4 * 0.4 / (3 * np.pi), rel=1e-4)
    assert girth == pytest.approx(np.pi * 0.4 + 0.8, rel=1e-4)
    assert section(h.vertices, h.faces, 9.0)[0] == 0


def test_a_point_has_no_spread():
    s = at_point((1.0, 2.0, 3.0))
    assert s.second - np.outer(s.centre, s.centre) == pytest.approx(np.zeros((3, 3)))


def test_a_flat_plate_cut_into_lines_keeps_its_area_and_its_place():
    # The transom of a flat-bottomed skiff: along its straight bottom the corners of whole triangles lie in a
    # line, whose "normal" is rounding. It made the inner face half as large again and the transom a kilogram
    # too heavy, another kilogram in another place.
    k = 12
    y = np.linspace(0.4, 0.0, k + 1)
    pairs = np.array([[3.4, s * v, 0.1] for v in y[:-1] for s in (1, -1)] + [[3.4, 0.0, 0.1]])
    for shift in (0.0, 0.7, 2.0):
        v = np.concatenate([[[3.4, 0.5, 0.6], [3.4, -0.5, 0.6]], pairs]) + [shift, 0, 0]
        faces = []
        for i in range(k):
            a, b, c, d = 2 * i, 2 * i + 1, 2 * i + 2, 2 * i + 3
            faces += [[a, b, c], [b, min(d, len(v) - 1), c]]
        faces.append([2 * k, 2 * k + 1, 2 * k + 2])
        plate = skinned(v, np.array(faces))
        area = (1.0 + 0.8) / 2 * 0.5
        inner = over_triangles(plate.triangles(0.018))
        assert over_triangles(plate.triangles(0.0)).size == pytest.approx(area, rel=1e-12)
        assert inner.size == pytest.approx(area, rel=1e-9)
        assert np.ptp(plate.triangles(0.018)[..., 0]) < 1e-9


def test_a_log_on_a_level_bottom_lies_inboard_of_its_chine():
    """A bottom that is level, but for a little either way: along it away from the chine is always inboard,
    never now in, now out."""
    x = np.linspace(0, 3, 31)
    points = np.column_stack([x, 0.5 + 0 * x, 0 * x])
    wave = 1e-4 * (-1.0) ** np.arange(31)
    bottom = np.column_stack([0 * x, wave, -np.sqrt(1 - wave**2)])
    side = np.tile([0.0, 0.96, -0.28], (31, 1))
    f = frame_of(NamedLine("chine", points, True, False, bottom, side))
    assert (f.down[:, 1] < -0.99).all()
    assert (f.across[:, 2] > 0.9).all()
