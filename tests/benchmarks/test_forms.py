"""What the sections of the planking's inside cost beside a general library's of a mesh of the same points: a
ratio within one process, warm, in CPU time."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
import trimesh
from processor_time import cpu_seconds

from hullview.boat.reader import read_boat
from hullview.forms.inside import Inside, skins_of
from hullview.forms.skin import station_plane

pytestmark = [pytest.mark.slow, pytest.mark.timeout(600)]

MODELS = Path(__file__).parents[2] / "models"


def mesh_of(inside: Inside) -> trimesh.Trimesh:
    """The same points as triangles."""
    vertices, faces, count = [], [], 0
    for rows in inside.side:
        points = rows.values[..., :3]
        r, c = points.shape[:2]
        i, j = (k.ravel() for k in np.meshgrid(np.arange(r - 1), np.arange(c - 1), indexing="ij"))
        a, b = i * c + j + count, (i + 1) * c + j + count
        faces += [np.column_stack([a, a + 1, b + 1]), np.column_stack([a, b + 1, b])]
        vertices.append(points.reshape(-1, 3))
        count += r * c
    return trimesh.Trimesh(np.concatenate(vertices), np.concatenate(faces), process=False)


@pytest.mark.parametrize("name", ["short-kayak", "pulling-dinghy"])
def test_sections_beside_a_general_library(name):
    """Splines along every row, normals, knuckles and the centre line against straight cuts of flat triangles
    joined to lines: at most 3 times as long."""
    boat = read_boat(MODELS / name)
    skins = skins_of(boat, boat.builds[0])
    inside = Inside(skins.rows(), skins.deck_rows())
    xs = [s.x for s in skins.lofted.sections]
    mesh = mesh_of(inside)

    def general() -> None:
        for x in xs:
            trimesh.intersections.mesh_plane(mesh, [1.0, 0.0, 0.0], [x, 0.0, 0.0])

    ours = cpu_seconds(lambda: inside.side_edges([station_plane(x) for x in xs]))
    theirs = cpu_seconds(general)
    print(f"{name}: {ours * 1000:.1f} ms against {theirs * 1000:.1f} ms, {ours / theirs:.1f} times")
    assert ours <= 3 * theirs
