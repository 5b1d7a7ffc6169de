"""A closed mesh from a file: STL, OBJ, PLY or GLB, with the unit that such files do not say."""

from __future__ import annotations

import os
from pathlib import Path
from typing import Any

import numpy as np

from hullview.errors import MeshError, UsageError, did_you_mean

UNITS = {"mm": 0.001, "cm": 0.01, "m": 1.0, "in": 0.0254, "ft": 0.3048}
KINDS = ("stl", "obj", "ply", "glb")
SMALLEST, LARGEST, FAR = 1e-3, 1000.0, 1e4
"""Sizes of anything called a hull [m], and how many times its own size it may lie from its datum."""
MESH_LIMIT = 1_000_000_000
"""Bytes; some 20 million faces."""


def read_mesh(path: str | os.PathLike[str], units: str | None) -> tuple[np.ndarray, np.ndarray]:
    """Vertices (n, 3) [m] and faces (m, 3) of a mesh file whose numbers are in `units`: mm, cm, m, in or ft.

    Vertices at the same place are made one, since STL gives each face its own. Whether the mesh is closed and faces
    outward is for `Body` to say.
    """
    file = Path(path)
    scale = _scale(units)
    if file.suffix.lower().lstrip(".") not in KINDS:
        raise MeshError(f"{file.name}: not a mesh file we read. Known: {', '.join(k.upper() for k in KINDS)}.")
    _readable(file)
    mesh = _load(file)
    _sound(file.name, np.asarray(mesh.vertices, float), np.asarray(mesh.faces), scale, units)
    mesh.merge_vertices(merge_tex=True, merge_norm=True)
    vertices, faces = np.asarray(mesh.vertices, float) * scale, np.asarray(mesh.faces)
    return vertices, faces.astype(np.int64)


def _sound(name: str, vertices: np.ndarray, faces: np.ndarray, scale: float, units: str | None) -> None:
    """Refuse what is no mesh of a hull: nothing in it, faces of nothing, numbers that are none, a size that no hull has."""
    if len(faces) == 0 or len(vertices) == 0:
        raise MeshError(f"{name}: is empty: it has no faces.")
    if faces.min() < 0 or faces.max() >= len(vertices):
        raise MeshError(f"{name}: a face names a vertex that is not there.")
    used = np.zeros(len(vertices), bool)
    used[faces.ravel()] = True
    corners = vertices[used]
    wrong = int((~np.isfinite(corners)).any(axis=1).sum())
    if wrong:
        raise MeshError(f"{name}: {wrong} vertices are not numbers (nan or inf).")
    size, far = float(np.ptp(corners, axis=0).max()) * scale, float(np.abs(corners).max()) * scale
    if not SMALLEST < size < LARGEST:
        raise MeshError(f"{name}: is {size:.3g} m long in {units}. Check the units.")
    if far > FAR * size:
        raise MeshError(f"{name}: is {size:.3g} m long and lies {far:.3g} m from its datum. Move it there: so far off its figures would be rough.")


def _scale(units: str | None) -> float:
    if units is None:
        raise UsageError(f"a mesh file does not say its units: give one of {', '.join(UNITS)}.")
    if units not in UNITS:
        raise UsageError(f"units {units!r}: must be {', '.join(UNITS)}. {did_you_mean(units, UNITS)}")
    return UNITS[units]


def _readable(file: Path) -> None:
    if not file.exists():
        raise MeshError(f"{file}: does not exist.")
    if not file.is_file():
        raise MeshError(f"{file}: is not an ordinary file.")
    size = file.stat().st_size
    if size == 0:
        raise MeshError(f"{file.name}: is empty.")
    if size > MESH_LIMIT:
        raise MeshError(f"{file.name}: is larger than {MESH_LIMIT / 1e6:g} MB.")


def _load(file: Path) -> Any:
    import trimesh

    kind = file.suffix.lower().lstrip(".")
    try:
        with open(file, "rb") as source:
            # Given as a stream, nothing beside the file is read: an OBJ may name material files anywhere.
            mesh = trimesh.load_mesh(source, file_type=kind, process=False)
    except Exception as error:  # every reader of trimesh has its own ways to fail on a broken file
        raise MeshError(f"{file.name}: cannot be read as {kind.upper()}: {str(error)[:120] or type(error).__name__}.") from error
    if not hasattr(mesh, "faces"):
        raise MeshError(f"{file.name}: holds no triangle mesh.")
    return mesh
