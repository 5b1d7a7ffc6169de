"""The figure of a person: to scale, facing the way that the file says, inside the planking."""

from __future__ import annotations

import numpy as np
import pytest
import trimesh

from hullview import study
from hullview.boat.people import POSTURES, Paddler
from hullview.boat.reader import read_boat
from hullview.show.glb import glb
from hullview.show.person import person
from hullview.show.solids import seats
from hullview.weight.placed import room_in

SEAT = np.array([2.0, 0.0, 0.30])


@pytest.mark.parametrize(("mass", "stature"), [(82.0, 1.75), (95.0, 1.95), (30.0, 1.30)])
def test_a_sitter_is_as_tall_over_the_seat_as_people_are(mass, stature):
    """Sitting height is 0.52 of the stature (Drillis and Contini 1966, from memory)."""
    for posture in ("legs forward", "bench"):
        figure = person(Paddler(mass, 2.0, posture=posture, stature=stature), SEAT, 0.06, None)
        assert figure.vertices[:, 2].max() - SEAT[2] == pytest.approx(0.52 * stature, abs=0.03 * stature)
    upright = person(Paddler(mass, 2.0, posture="standing", stature=stature), SEAT, SEAT[2], None)
    assert np.ptp(upright.vertices[:, 2]) == pytest.approx(stature, rel=0.04)


@pytest.mark.parametrize("posture", POSTURES)
def test_hands_and_head_are_where_the_sitter_faces(posture):
    ahead = {}
    for way in ("bow", "stern"):
        figure = person(Paddler(80.0, 2.0, posture=posture, faces=way), SEAT, 0.06, None)
        ahead[way] = figure.vertices[:, 0] - SEAT[0]
        assert figure.vertices[:, 1].mean() == pytest.approx(0.0, abs=0.01)
    assert np.allclose(np.sort(ahead["bow"]), np.sort(-ahead["stern"]), atol=1e-9)
    assert ahead["bow"].min() < -0.3 and ahead["bow"].max() < 0.45


def test_no_face_lies_hidden_within_a_limb():
    figure = person(Paddler(80.0, 2.0), SEAT, 0.06, None)
    mesh = trimesh.Trimesh(figure.vertices, figure.faces, process=False)
    out = mesh.triangles_center + 1e-4 * mesh.face_normals
    middle = figure.vertices.mean(axis=0)
    outward = ((out - middle) * mesh.face_normals).sum(axis=1) > 0
    assert outward.mean() > 0.6 and 1500 < len(figure.faces) < 6000


@pytest.mark.parametrize("name", ["short-kayak", "pulling-dinghy", "open-canoe", "flat-skiff"])
def test_seats_and_legs_lie_inside_the_planking(name):
    craft = study.launch(read_boat(f"models/{name}"))
    room = room_in(craft.hull, craft.boat.build(craft.weight.build).schedule)
    parts = {part.name: part for part in seats(craft.boat, craft.hull, craft.thickness, room)}
    for part in parts.values():
        points = part.vertices
        under = np.nan_to_num(room.bottom(points[:, 0], points[:, 1]) - points[:, 2], nan=-1.0)
        assert under.max() < craft.thickness, part.name
    assert parts["seat"].opacity == 1.0 and parts["paddler"].opacity < 1.0


def test_a_model_file_keeps_the_figure_seen_through():
    craft = study.launch(read_boat("models/short-kayak"))
    shown = seats(craft.boat, craft.hull, craft.thickness)
    data = glb(shown, np.eye(4))
    assert data.count(b'"alphaMode":"BLEND"') == 1
