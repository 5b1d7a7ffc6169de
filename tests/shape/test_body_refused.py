"""A mesh of which nothing can be said is refused, with what is wrong and where."""

import time

import numpy as np
import pytest
import solids

from hullview.errors import MeshError, UsageError
from hullview.shape.body import Body

BOX = solids.box(2, 1, 0.5)


def _refused(vertices, faces, *words):
    with pytest.raises(MeshError) as error:
        Body(vertices, faces)
    for word in words:
        assert word in str(error.value)


def test_open():
    vertices, faces = BOX
    _refused(vertices, faces[:-1], "open", "3 edges", "near x")


def test_a_hole_is_found_where_it_is():
    vertices, faces = solids.ellipsoid(1, 0.4, 0.3, 30, 40)
    x, y, z = vertices[faces[500]].mean(axis=0)
    with pytest.raises(MeshError, match="near x") as error:
        Body(vertices, np.delete(faces, 500, axis=0))
    printed = [
        float(word.rstrip(",")) for word in str(error.value).split() if word[0].isdigit() or word[0] == "-"
    ]
    assert np.abs(np.array(printed[-3:]) - [x, y, z]).max() < 0.1


def test_inside_out():
    vertices, faces = BOX
    _refused(vertices, faces[:, ::-1], "inside out", "-1 m3")


def test_one_face_turned():
    vertices, faces = BOX
    faces = faces.copy()
    faces[3] = faces[3, ::-1]
    _refused(vertices, faces, "disagree which side is outside")


def test_one_of_two_bodies_inside_out():
    vertices, faces = BOX
    two = np.vstack([vertices, vertices * 0.5 + [5, 0, 0]])
    _refused(two, np.vstack([faces, faces[:, ::-1] + 8]), "part around x 5.5", "inside out")


def test_a_body_inside_another_would_count_twice_and_a_hollow_does_not():
    vertices, faces = BOX
    two = np.vstack([vertices, vertices * 0.5 + [0.5, 0, 0.1]])
    _refused(two, np.vstack([faces, faces + 8]), "lies inside another")
    assert Body(two, np.vstack([faces, faces[:, ::-1] + 8])).volume == pytest.approx(1 - 0.125, rel=1e-14)


def test_bodies_that_cross_would_count_twice_and_those_that_touch_do_not():
    vertices, faces = BOX
    across = np.vstack([vertices, vertices + [1.2, 0.3, 0.2]])
    _refused(across, np.vstack([faces, faces + 8]), "crosses another")
    small = np.vstack([vertices, vertices * 0.7 + [1.2, 0.3, 0.2]])
    _refused(small, np.vstack([faces, faces[:, ::-1] + 8]), "crosses another")
    abreast = np.vstack(
        [vertices, vertices * [0.5, 0.5, 0.5] + [2.0, 0.1, 0.1]]
    )  # its bow on the middle of the other's stern
    assert Body(abreast, np.vstack([faces, faces + 8])).volume == pytest.approx(1.125, rel=1e-14)


def test_many_bodies_are_told_apart_in_little_time():
    # Each was once held against all faces of all others: a minute for a rig of two thousand screws.
    vertices, faces = BOX
    at = np.arange(2000)
    apart = (vertices[None] * 0.1 + np.stack([at % 50, at // 50, 0 * at], axis=1)[:, None]).reshape(-1, 3)
    started = time.process_time()
    assert Body(apart, (faces[None] + 8 * at[:, None, None]).reshape(-1, 3)).volume == pytest.approx(
        2, rel=1e-12
    )
    assert time.process_time() - started < 5


def test_doubled_faces():
    vertices, faces = BOX
    _refused(vertices, np.vstack([faces, faces]), "12 faces", "more than once")


@pytest.mark.parametrize("bad", [np.nan, np.inf, 1e9])
def test_coordinates_that_are_no_lengths(bad):
    vertices, faces = BOX
    vertices = vertices.copy()
    vertices[3, 1] = bad
    _refused(vertices, faces, "vertex 3")


def test_empty_and_flat():
    vertices, faces = BOX
    _refused(vertices, faces[:0], "no faces")
    _refused(vertices * [1, 1, 0], faces, "no volume")
    _refused(np.zeros((0, 3)), np.zeros((0, 3), int), "no faces")


def test_arrays_of_the_wrong_kind():
    vertices, faces = BOX
    _refused(vertices[:, :2], faces, "(n, 3)")
    _refused(vertices, faces + 1, "names vertex")
    for row, wrong in ((7, 99), (4, -1)):
        bad = faces.copy()
        bad[row, 2] = wrong
        _refused(vertices, bad, f"face {row} names vertex", str(wrong))
    far = vertices.copy()
    far[5, 1] = -3e7
    _refused(far, faces, "vertex 5 lies at", "Are the units right?")
    _refused(vertices, faces.astype(float), "whole numbers")
    _refused(vertices, np.column_stack([faces, faces[:, 0]]), "Triangulate")


def test_triangles_that_share_no_vertex_numbers_are_joined_where_they_touch():
    vertices, faces = BOX
    soup = vertices[faces].reshape(-1, 3)
    assert Body(soup, np.arange(36).reshape(-1, 3)).volume == pytest.approx(1, rel=1e-14)


def test_the_mesh_given_is_not_touched():
    vertices, faces = BOX[0].copy(), BOX[1].copy()
    body = Body(vertices, faces)
    vertices[:] = 0
    assert body.immersed((0, 0, 1), 0.25).volume == pytest.approx(0.5, rel=1e-14)


@pytest.mark.parametrize(
    "normal, offset", [((0, 0, 0), 1), ((0, 0, np.nan), 1), ((0, 0, 1), np.inf), ((0, 1), 0)]
)
def test_no_plane(normal, offset):
    with pytest.raises(UsageError, match="a plane needs"):
        Body(*BOX).immersed(normal, offset)
