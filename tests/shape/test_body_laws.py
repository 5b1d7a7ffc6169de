"""What must hold for any body and any plane, and the same results found a second way."""

import numpy as np
import pytest
import solids
import trimesh
from hypothesis import given, settings
from hypothesis import strategies as st
from naive_clip import naive_clip

from hullview.shape.body import Body, plane_basis

planes = st.tuples(
    *[st.floats(-1, 1).map(lambda v: round(v, 3)) for _ in range(3)], st.floats(0.02, 0.98)
).filter(lambda p: np.hypot(np.hypot(p[0], p[1]), p[2]) > 0.1)


def _lumps():
    """Without any symmetry; one in two parts, one with flat faces and right angles, one fine enough for
    three levels."""
    v, f = solids.lump(3)
    w, g = solids.ellipsoid(0.3, 0.2, 0.1, 9, 11)
    fine, faces = solids.ellipsoid(1.2, 0.4, 0.3, 201, 140)
    fine = solids.turned(fine + 0.05 * np.sin(3 * fine[:, [1, 2, 0]]), 4)[0]
    return {
        "lump": Body(v, f),
        "two parts": Body(*solids.both((v, f), (w + np.array([2.5, 0.7, 0.2]), g))),
        "box": Body(*solids.box(2, 1, 1, at=(0.3, 0.2, -0.4))),
        "fine": Body(fine, faces),
    }


BODIES = _lumps()
each_body = pytest.mark.parametrize("body", BODIES.values(), ids=BODIES.keys())


def _plane(body, plane):
    n = np.array(plane[:3]) / np.linalg.norm(plane[:3])
    low, high = body.extent(n)
    return n, low + plane[3] * (high - low)


@each_body
@settings(max_examples=12, deadline=None)
@given(plane=planes)
def test_same_as_the_mass_properties_of_the_naively_clipped_mesh(body, plane):
    if len(body.faces) > 5000:
        plane = (*plane[:3], 0.05 + plane[3] / 2)
    n, offset = _plane(body, plane)
    cut = body.immersed(n, offset)
    other = trimesh.triangles.mass_properties(naive_clip(body, n, offset), skip_inertia=True)
    assert cut.volume == pytest.approx(other.volume, abs=1e-12 * body.volume)
    assert cut.centroid * cut.volume == pytest.approx(
        other.center_mass * other.volume, abs=1e-11 * body.volume
    )


@each_body
@settings(max_examples=20, deadline=None)
@given(plane=planes)
def test_water_plane_by_the_flux_through_the_wet_skin(body, plane):
    """The flux of f n through the closed immersed surface is nought for f that does not vary along n: what
    goes through the plane goes through the skin. f = 1, u, v, u u, u v, v v, exact by the three mid-edge
    points of each clipped face."""
    n, offset = _plane(body, plane)
    cut = body.immersed(n, offset)
    basis = plane_basis(n)
    triangles = naive_clip(body, n, offset)
    flux = np.cross(triangles[:, 1] - triangles[:, 0], triangles[:, 2] - triangles[:, 0]) @ n / 2
    on_plane = np.abs(triangles @ n - offset).max(axis=1) < 1e-12
    triangles, flux = triangles[~on_plane], flux[~on_plane]
    middles = (triangles + triangles[:, [1, 2, 0]]) / 2
    u, v = np.moveaxis((middles - body.vertices.mean(axis=0)) @ basis.T, -1, 0)
    first = [-(flux[:, None] * f).sum() / 3 for f in (np.ones_like(u), u, v)]
    second = [-(flux[:, None] * f).sum() / 3 for f in (u * u, u * v, v * v)]
    at = basis @ (cut.plane_centroid - body.vertices.mean(axis=0)) if cut.plane_area > 0 else np.zeros(2)
    about = basis @ cut.plane_second_moments @ basis.T + cut.plane_area * np.outer(at, at)
    assert [cut.plane_area, *(cut.plane_area * at)] == pytest.approx(first, abs=1e-11)
    assert [about[0, 0], about[0, 1], about[1, 1]] == pytest.approx(second, abs=1e-11)


@each_body
@settings(max_examples=20, deadline=None)
@given(plane=planes)
def test_wet_and_dry_make_the_whole(body, plane):
    n, offset = _plane(body, plane)
    wet, dry = body.immersed(n, offset), body.immersed(-n, -offset)
    assert wet.volume + dry.volume == pytest.approx(body.volume, rel=1e-12)
    whole = wet.volume * wet.centroid + dry.volume * dry.centroid
    assert whole == pytest.approx(body.volume * body.centroid, abs=1e-12)
    if dry.plane_area > 0 and wet.plane_area > 0:
        assert wet.plane_second_moments == pytest.approx(dry.plane_second_moments, abs=1e-12)
        assert wet.plane_centroid == pytest.approx(dry.plane_centroid, abs=1e-11)


@each_body
def test_moving_and_turning_the_body_moves_and_turns_the_results(body):
    n, offset = _plane(body, (0.1, -0.35, 0.9, 0.4))
    cut = body.immersed(n, offset)
    shift = np.array([3.7, -2.1, 0.9])
    _, turn = solids.turned(np.zeros((1, 3)), 11)
    moved = Body(body.vertices @ turn.T + shift, body.faces).immersed(turn @ n, offset + turn @ n @ shift)
    assert moved.volume == pytest.approx(cut.volume, rel=1e-12)
    assert moved.centroid == pytest.approx(turn @ cut.centroid + shift, abs=1e-12)
    assert moved.wetted_area == pytest.approx(cut.wetted_area, rel=1e-12)
    assert moved.plane_centroid == pytest.approx(turn @ cut.plane_centroid + shift, abs=1e-12)
    assert moved.plane_second_moments == pytest.approx(turn @ cut.plane_second_moments @ turn.T, abs=1e-12)


@each_body
def test_the_mirror_image(body):
    flip = np.array([1.0, -1.0, 1.0])
    n, offset = _plane(body, (0.1, -0.35, 0.9, 0.4))
    cut = body.immersed(n, offset)
    image = Body(body.vertices * flip, body.faces[:, ::-1]).immersed(n * flip, offset)
    assert image.volume == pytest.approx(cut.volume, rel=1e-13)
    assert image.centroid == pytest.approx(cut.centroid * flip, abs=1e-13)
    assert image.plane_second_moments == pytest.approx(
        cut.plane_second_moments * np.outer(flip, flip), abs=1e-13
    )


@each_body
def test_the_length_of_the_normal_does_not_matter(body):
    n, offset = _plane(body, (0.1, -0.35, 0.9, 0.4))
    assert body.immersed(n * 2.5, offset * 2.5).volume == pytest.approx(
        body.immersed(n, offset).volume, rel=1e-14
    )


def test_parts_add_up():
    v, f = solids.lump(3)
    w, g = solids.ellipsoid(0.3, 0.2, 0.1, 9, 11)
    w = w + np.array([2.5, 0.7, 0.2])
    n, offset = np.array([0.1, -0.3, 1.0]) / np.sqrt(1.1), 0.17
    one, two, all_ = (Body(*m).immersed(n, offset) for m in ((v, f), (w, g), solids.both((v, f), (w, g))))
    assert min(one.plane_area, two.plane_area) > 0.01  # the plane cuts both
    assert all_.volume == pytest.approx(one.volume + two.volume, rel=1e-13)
    assert all_.plane_area == pytest.approx(one.plane_area + two.plane_area, rel=1e-13)
    about = one.plane_second_moments + two.plane_second_moments
    for part in (one, two):
        r = part.plane_centroid - all_.plane_centroid
        about = about + part.plane_area * np.outer(r, r)
    assert all_.plane_second_moments == pytest.approx(about, abs=1e-13)


def test_volume_grows_by_the_plane_area():
    body = BODIES["lump"]
    n, offset = _plane(body, (0.1, -0.35, 0.9, 0.4))
    h = 1e-5
    slope = (body.immersed(n, offset + h).volume - body.immersed(n, offset - h).volume) / (2 * h)
    assert slope == pytest.approx(body.immersed(n, offset).plane_area, rel=1e-7)


def test_planes_through_vertices_edges_and_faces():
    """A lattice of unit cubes cut by planes that pass exactly through its corners: every answer is a
    fraction that can be counted."""
    body = Body(
        *solids.both(*[solids.box(1, 1, 1, at=(2.0 * i, 0.5, 2.0 * j)) for i in range(3) for j in range(2)])
    )
    assert body.immersed((0, 0, 1), 1.0).volume == pytest.approx(
        3, abs=1e-13
    )  # the tops of three cubes lie in the plane
    assert body.immersed((0, 0, 1), 2.0).volume == pytest.approx(
        3, abs=1e-13
    )  # the bottoms of the other three
    assert body.immersed((0, 1, 1), 1.0).volume == pytest.approx(1.5, abs=1e-13)  # the diagonals of three
    assert body.immersed((0, 1, -1), 0.0).volume == pytest.approx(4.5, abs=1e-13)
    assert body.immersed((1, 1, 1), 1.0).volume == pytest.approx(1 / 6, abs=1e-13)
    assert body.immersed((1, 1, 1), 2.0).volume == pytest.approx(5 / 6, abs=1e-13)
    assert body.immersed((0, 0, 1), -0.5).volume == 0.0
    assert body.immersed((0, 0, 1), 9.0).volume == pytest.approx(6, abs=1e-13)
    diagonal = body.immersed((0, 1, 1), 1.0)
    assert diagonal.plane_area == pytest.approx(3 * np.sqrt(2), rel=1e-13)


@pytest.mark.parametrize("heights", [10, 77])
def test_a_plane_a_hair_from_a_vertex_changes_nothing(heights):
    """Corners within rounding of the plane must be wet or dry alike in every face that shares them."""
    body = BODIES["fine"]
    n = np.array([0.05, -0.21, 0.97])
    n /= np.linalg.norm(n)
    for vertex in body.vertices[:: len(body.vertices) // heights]:
        offset = float(n @ vertex)
        around = [body.immersed(n, offset + step) for step in (-1e-12, -1e-16, 0.0, 1e-16, 1e-12)]
        volumes = np.array([cut.volume for cut in around])
        areas = np.array([cut.plane_area for cut in around])
        assert np.ptp(volumes) < 1e-11
        assert np.ptp(areas) < 1e-9


@each_body
def test_section_runs_round_the_water_plane(body):
    n, offset = _plane(body, (0.1, -0.35, 0.9, 0.4))
    cut, ends = body.immersed(n, offset), body.section(n, offset)
    assert ends @ n == pytest.approx(np.full((len(ends), 2), offset), abs=1e-13)
    start, end = ends[:, 0] - cut.plane_centroid, ends[:, 1] - cut.plane_centroid
    assert np.cross(start, end).sum(axis=0) @ n / 2 == pytest.approx(cut.plane_area, rel=1e-12)
    # every point is left as often as it is reached
    key = np.round(ends, 9) + 0.0
    starts, begun = np.unique(key[:, 0], axis=0, return_counts=True)
    stops, reached = np.unique(key[:, 1], axis=0, return_counts=True)
    assert np.array_equal(starts, stops) and np.array_equal(begun, reached)


def test_memory_is_under_300_bytes_a_face():
    body = BODIES["fine"]
    assert body.nbytes / len(body.faces) < 300
