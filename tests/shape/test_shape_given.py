"""Hulls from a mesh: the models' own meshes given back, solids by hand, and what cannot be told."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from pathlib import Path

import numpy as np
import pytest
import trimesh
from scipy.special import ellipe

from hullview.boat.model import Boat, Build, HullForm, Opening, Planking, Schedule, Skin
from hullview.boat.reader import read_boat
from hullview.errors import MeshError, ShapeError
from hullview.shape.assemble import build_hull
from hullview.shape.body import Body
from hullview.shape.hull import Hull

MODELS = ("short-kayak", "open-canoe", "pulling-dinghy", "flat-skiff", "wigley", "cruising-canoe-1883")


def given(vertices, faces, kind: str = "open", **more) -> Boat:
    form = HullForm(kind, "outside", mesh=(vertices, faces), mesh_file="hull.stl")
    return Boat("given", form, **more)


def of(mesh: trimesh.Trimesh, kind: str = "open", **more) -> Hull:
    return build_hull(given(np.array(mesh.vertices), np.array(mesh.faces), kind, **more))


@cache
def pair(name: str) -> tuple[Hull, Hull]:
    """A model lofted from its table, and the same mesh given without a word on what is what."""
    boat = replace(
        read_boat(Path(__file__).parents[2] / "models" / name), openings=(), hatches=(), flooding=()
    )
    hull = build_hull(boat)
    rng = np.random.default_rng(7)
    number = rng.permutation(len(hull.vertices))
    vertices = np.empty_like(hull.vertices)
    vertices[number] = hull.vertices
    faces = number[hull.faces][rng.permutation(len(hull.faces))]
    return hull, build_hull(given(vertices, faces, boat.hull.type))


def area(hull: Hull, *regions: str) -> float:
    f = hull.faces_of(*regions)
    a, b, c = hull.vertices[f.T]
    return float(np.linalg.norm(np.cross(b - a, c - a), axis=1).sum() / 2)


@pytest.mark.parametrize("name", MODELS)
def test_a_models_own_mesh_is_told_apart_into_the_same_deck_and_hull(name):
    hull, same = pair(name)
    top = "lid" if hull.open_top else "deck"
    assert set(same.regions) == {"hull", top}
    assert area(same, top) == pytest.approx(area(hull, top), rel=1e-9)
    rest = [r for r in hull.regions if r != top]
    assert area(same, "hull") == pytest.approx(area(hull, *rest), rel=1e-9)
    assert Body(same.vertices, same.faces).volume == pytest.approx(
        Body(hull.vertices, hull.faces).volume, rel=1e-12
    )
    assert same.side is None
    assert same.coarse is None
    assert same.open_top == hull.open_top


@pytest.mark.parametrize("name", MODELS)
def test_the_sheer_runs_where_the_table_has_it_with_its_normals(name):
    """Normals from flat faces: within a few degrees of those of the surface."""
    hull, same = pair(name)
    one, other = hull.lines["sheer"], same.lines["sheer"]
    assert other.points[0, 0] < other.points[-1, 0]
    assert (other.points[1:-1, 1] > 0).all()
    for axis in (1, 2):
        assert np.interp(one.points[:, 0], other.points[:, 0], other.points[:, axis]) == pytest.approx(
            one.points[:, axis], abs=4e-4
        )
    middle = slice(8, -8)
    nearest = np.abs(one.points[middle, None, 0] - other.points[None, :, 0]).argmin(axis=1)
    assert (one.hull_normals[middle] * other.hull_normals[nearest]).sum(axis=1).min() > np.cos(np.radians(6))
    if hull.open_top:
        assert (other.deck_normals == 0).all()
    else:
        assert (one.deck_normals[middle] * other.deck_normals[nearest]).sum(axis=1).min() > np.cos(
            np.radians(6)
        )


@pytest.mark.parametrize("name", ["short-kayak", "open-canoe", "pulling-dinghy"])
def test_keel_and_stems_follow_its_outline(name):
    hull, same = pair(name)
    stems = [n for n in ("bow stem", "stern stem") if n in hull.lines]
    assert [n for n in ("bow stem", "stern stem") if n in same.lines] == stems
    for x in np.linspace(0.15, 0.85, 9) * hull.stations[-1]:
        assert same.keel_height(x) == pytest.approx(hull.keel_height(x), abs=5e-4)
    for n in ("keel", *stems):
        line = same.lines[n]
        assert (line.points[:, 1] == 0).all()
        assert np.linalg.norm(line.hull_normals, axis=1) == pytest.approx(1.0, abs=1e-9)
        assert line.deck_normals == pytest.approx(line.hull_normals * [1, -1, 1])


def test_an_open_mesh_boat_floods_over_its_sheer():
    _, same = pair("open-canoe")
    (flood,) = same.flooding
    assert flood.name == "sheer"
    assert flood.points[:, 1].min() == pytest.approx(-flood.points[:, 1].max(), rel=1e-9)


def test_a_cockpit_is_cut_in_the_deck_of_a_mesh():
    a, b = 0.4, 0.2
    box = trimesh.creation.box((3.0, 0.7, 0.3))
    box = box.subdivide().subdivide().subdivide().subdivide()
    hull = of(box, "decked", openings=(Opening(0.1, 2 * a, 2 * b, coaming=(0.03, 0.03, 0.03)),))
    assert set(hull.regions) == {"hull", "deck", "coaming 1", "lid 1"}
    assert area(hull, "lid") == pytest.approx(np.pi * a * b, rel=0.02)
    assert area(hull, "deck") == pytest.approx(3.0 * 0.7 - np.pi * a * b, rel=0.02)
    ring = hull.lines["coaming 1"].points
    assert np.linalg.norm(np.diff(np.vstack([ring, ring[:1]]), axis=0), axis=1).sum() == pytest.approx(
        4 * a * ellipe(1 - (b / a) ** 2), rel=0.01
    )
    mesh = trimesh.Trimesh(hull.vertices, hull.faces, process=False)
    assert mesh.is_watertight
    assert mesh.volume == pytest.approx(3.0 * 0.7 * 0.3 + np.pi * a * b * 0.03, rel=1e-3)


def test_a_box_has_its_sheer_and_keel_and_no_stems():
    hull = of(trimesh.creation.box((4.0, 1.0, 0.5)))
    assert set(hull.lines) == {"sheer", "keel"}
    assert hull.lines["sheer"].points == pytest.approx(np.array([[-2, 0.5, 0.25], [2, 0.5, 0.25]]))
    assert hull.lines["keel"].points[:, 2] == pytest.approx(-0.25)
    assert area(hull, "lid") == pytest.approx(4.0)


def test_an_ellipsoid_is_decked_above_where_it_looks_up():
    ball = trimesh.creation.icosphere(subdivisions=4)
    ball.apply_scale((2.0, 0.4, 0.25))
    hull = of(ball, "decked")
    deck = hull.vertices[hull.faces_of("deck")].mean(axis=1)
    rest = hull.vertices[hull.faces_of("hull")].mean(axis=1)
    assert deck[:, 2].min() > -0.01
    assert rest[:, 2].max() < 0.2
    assert area(hull, "deck") + area(hull, "hull") == pytest.approx(ball.area, rel=1e-9)


# ---------------------------------------------------------------- what cannot be told


def _message(make) -> str:
    with pytest.raises((ShapeError, MeshError)) as error:
        make()
    return str(error.value)


def test_a_mesh_that_lies_athwart_is_refused():
    printed = _message(lambda: of(trimesh.creation.box((1.0, 4.0, 0.5))))
    assert "hull.stl" in printed
    assert "longest along y" in printed
    assert "x aft" in printed


def test_a_mesh_off_its_centre_line_is_refused():
    box = trimesh.creation.box((4.0, 1.0, 0.5))
    box.apply_translation((0, 0.2, 0))
    assert "centre line at y = 0" in _message(lambda: of(box))


def test_a_shell_with_an_inside_is_refused():
    whole, hollow = trimesh.creation.box((4.0, 1.0, 0.5)), trimesh.creation.box((3.96, 0.96, 0.5))
    hollow.apply_translation((0, 0, 0.02))
    printed = _message(lambda: of(trimesh.boolean.difference([whole, hollow], engine="manifold")))
    assert "inside as well as an outside" in printed
    assert "lid at the sheer" in printed


def test_an_open_or_inside_out_mesh_is_refused():
    box = trimesh.creation.box((4.0, 1.0, 0.5))
    torn = trimesh.Trimesh(box.vertices, np.delete(box.faces, 3, axis=0), process=False)
    assert "open" in _message(lambda: of(torn))
    box.invert()
    assert "inside out" in _message(lambda: of(box))


def test_a_mesh_is_the_outside_and_knows_no_girths():
    box = trimesh.creation.box((4.0, 1.0, 0.5))
    boat = given(np.array(box.vertices), np.array(box.faces))
    assert 'measured_to = "outside"' in _message(
        lambda: build_hull(replace(boat, hull=replace(boat.hull, measured_to="inside")))
    )
    band = Schedule(planking=(Planking("band", "Sitka spruce", 0.006, band=(0.0, 0.1)),))
    skin = Schedule(skins=(Skin("bottom", "plain glass 6 oz/yd2", girth=0.2),))
    for schedule in (band, skin):
        assert "girths cannot be told" in _message(
            lambda s=schedule: build_hull(replace(boat, builds=(Build("one", s),)))
        )


def test_an_opening_off_the_deck_is_refused_by_name():
    box = trimesh.creation.box((4.0, 1.0, 0.5)).subdivide().subdivide().subdivide()
    assert "coaming 1" in _message(lambda: of(box, "decked", openings=(Opening(0.0, 0.8, 1.4),)))
    assert "no deck" in _message(lambda: of(box, "open", openings=(Opening(0.0, 0.8, 0.4),)))
