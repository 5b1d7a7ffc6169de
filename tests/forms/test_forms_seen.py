"""What stands on the strongback in the picture is what is sawn, in its place, and closed."""

from __future__ import annotations

from functools import cache
from pathlib import Path

import numpy as np
import pytest
import trimesh

from hullview import study
from hullview.boat.reader import read_boat
from hullview.commands import status_of
from hullview.show.standing import forms_picture

MODELS = Path(__file__).parents[2] / "models"


@cache
def stood(name):
    boat = read_boat(MODELS / name)
    forms, hull = study.forms(boat), study.shaped(boat)[0]
    return forms, hull, forms_picture(forms, hull)


def solid(part):
    mesh = trimesh.Trimesh(part.vertices, part.faces, process=True)
    mesh.merge_vertices()
    return mesh


def part(made, name):
    return next((p for p in made.solids if p.name == name), None)


@pytest.mark.parametrize("name", ["short-kayak", "open-canoe", "pulling-dinghy", "flat-skiff"])
def test_the_wood_of_the_forms_is_their_area_by_their_thickness(name):
    forms, _, made = stood(name)
    wood = sum(piece.area for f in forms.forms for piece in f.pieces) * forms.thickness
    assert solid(part(made, "forms")).volume == pytest.approx(wood, rel=1e-6)
    stations = sorted({f.x for f in forms.forms})
    assert np.allclose(
        [part(made, "forms").vertices[:, 0].min(), part(made, "forms").vertices[:, 0].max()],
        [stations[0], stations[-1]],
        atol=forms.thickness,
    )


@pytest.mark.parametrize("name", ["short-kayak", "open-canoe"])
def test_the_clamps_are_solid_and_lie_on_both_sides(name):
    forms, _, made = stood(name)
    mesh = solid(part(made, "clamps"))
    assert mesh.is_watertight and mesh.volume > 0
    assert abs(mesh.centroid[1]) < 1e-6
    for c in forms.clamps:
        long = np.linalg.norm(np.diff(c.corners(np.linspace(c.arc[0], c.arc[-1], 400))[:, 0], axis=0), axis=1)
        most = 2 * long.sum() * c.thickness * (c.depth + c.top)
        assert mesh.volume < 1.35 * most


def test_nothing_of_a_decked_boats_forms_pokes_through_its_skin():
    _, hull, made = stood("short-kayak")
    outside = trimesh.Trimesh(hull.vertices, hull.faces, process=False)
    for p in made.solids:
        if p.name in ("forms", "bulkheads", "strongback"):
            gap = trimesh.proximity.signed_distance(outside, np.unique(p.vertices.round(6), axis=0)[::7])
            assert gap.min() > 0, p.name


def test_the_bar_passes_the_forms_it_is_said_to():
    forms, _, made = stood("short-kayak")
    x = part(made, "strongback").vertices[:, 0]
    named = {f.name: f.x for f in forms.forms}
    for name in forms.strongback.on:
        assert x.min() - 1e-9 <= named[name] <= x.max() + 1e-9
    assert part(stood("open-canoe")[2], "centre-line forms") is None


@pytest.mark.render
def test_the_command_draws_them_and_refuses_what_does_nothing(tmp_path, capsys):
    from PIL import Image

    target = tmp_path / "forms.png"
    command = ["show", str(MODELS / "short-kayak"), "--forms", "--size", "640x400"]
    assert status_of([*command, "--screenshot", str(target)]) == 0
    seen = np.asarray(Image.open(target).convert("RGB")).astype(int)
    red = (seen[..., 0] - seen[..., 2] > 60) & (seen[..., 0] > seen[..., 1] + 30)
    assert red.mean() > 0.01
    assert status_of([*command, "--screenshot", str(target), "--see-through"]) == 2
    assert "--see-through" in capsys.readouterr().err
    bare = ["show", str(MODELS / "wigley"), "--forms", "--screenshot", str(target)]
    assert status_of(bare) != 0 and "planking" in capsys.readouterr().err
