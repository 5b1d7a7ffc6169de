"""The hull afloat as a GLB file: one named mesh for each part, the water's surface at height zero."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from hullview.show import colours
from hullview.show.parts import Part
from hullview.show.pose import move

_TO_GLTF = np.array([[1.0, 0, 0], [0, 0, 1], [0, -1, 0]])


def glb(parts: Sequence[Part], motion: np.ndarray) -> bytes:
    """The parts as one binary glTF scene; each mesh bears its part's name and colour, points are moved by
    `motion` (4, 4).

    glTF has y up (version 2.0, section 3.4), so (aft, starboard, up) is written as (aft, up, -starboard),
    right-handed still.
    """
    import trimesh
    from trimesh.visual.material import PBRMaterial

    scene = trimesh.Scene()
    for part in parts:
        points = move(motion, part.vertices) @ _TO_GLTF.T
        mesh = trimesh.Trimesh(points, part.faces, process=False)
        mesh.visual = trimesh.visual.TextureVisuals(
            material=PBRMaterial(
                name=part.words,
                baseColorFactor=[*(_linear(c) for c in colours.rgb(part.colour)), part.opacity],
                alphaMode="OPAQUE" if part.opacity == 1.0 else "BLEND",
                metallicFactor=0.0,
                roughnessFactor=0.7,
                doubleSided=True,  # it is looked into
            )
        )
        scene.add_geometry(mesh, node_name=part.name, geom_name=part.name)
    return bytes(scene.export(file_type="glb"))


def _linear(share: float) -> float:
    """glTF colour factors are linear, not sRGB (version 2.0, section 3.9.2)."""
    return share / 12.92 if share <= 0.04045 else ((share + 0.055) / 1.055) ** 2.4
