"""A closed mesh from a file: STL, OBJ, PLY or GLB, with the unit that such files do not say."""

from __future__ import annotations

import io
import logging
import os
import warnings
from pathlib import Path

import numpy as np

from hullview.boat.glb_check import check_glb
from hullview.boat.mesh_check import check_obj, check_ply, check_stl, why_not_obj, why_not_stl
from hullview.boat.wording import figure
from hullview.errors import MeshError, UsageError, did_you_mean

UNITS = {"mm": 0.001, "cm": 0.01, "m": 1.0, "in": 0.0254, "ft": 0.3048}
KINDS = ("stl", "obj", "ply", "glb")
EXPORT = "Export it again as triangles, as STL if nothing else helps."
SMALLEST, LARGEST, FAR = 1e-3, 1000.0, 1e4
"""Sizes of anything called a hull [m]; how many times its length its thickness, and its way from its
datum, may differ from it."""
MESH_LIMIT = 1_000_000_000
"""Bytes; some 20 million faces."""


def read_mesh(path: str | os.PathLike[str], units: str | None) -> tuple[np.ndarray, np.ndarray]:
    """Vertices (n, 3) [m] and faces (m, 3) of a mesh file whose numbers are in `units`: mm, cm, m, in or ft.

    Vertices at the same place are made one, since STL gives each face its own. Whether the mesh is closed and
    faces outward is for `Body` to say.
    """
    file = Path(path)
    scale = _scale(units)
    if file.suffix.lower().lstrip(".") not in KINDS:
        raise MeshError(
            f"{file.name}: not a mesh file we read. Known: {', '.join(k.upper() for k in KINDS)}."
        )
    _readable(file)
    vertices, faces = _binary_stl(file) or _load(file)
    _sound(file.name, vertices, faces, scale, units)
    vertices, faces = _merged(vertices, faces)
    return vertices * scale, faces


def _sound(name: str, vertices: np.ndarray, faces: np.ndarray, scale: float, units: str | None) -> None:
    """Refuse what is no mesh of a hull: nothing in it, faces of nothing, numbers that are none, a size
    that no hull has."""
    if len(faces) == 0 or len(vertices) == 0:
        raise MeshError(f"{name}: is empty: it has no faces. {EXPORT}")
    if vertices.shape != (len(vertices), 3) or faces.shape != (len(faces), 3):
        raise MeshError(f"{name}: holds no triangles of points with three coordinates. {EXPORT}")
    if faces.min() < 0 or faces.max() >= len(vertices):
        face, corner = np.argwhere((faces < 0) | (faces >= len(vertices)))[0]
        raise MeshError(
            f"{name}: face {face} names vertex {faces[face, corner]}, and there are {len(vertices)}, counted"
            f" from 0. {EXPORT}"
        )
    corners = vertices[_used(vertices, faces)]
    wrong = int((~np.isfinite(corners)).any(axis=1).sum())
    if wrong:
        raise MeshError(f"{name}: {wrong} vertices are not numbers (nan or inf).")
    thin, _, size = (float(side) for side in np.sort(np.ptp(corners, axis=0)) * scale)
    far = float(np.abs(corners).max()) * scale
    if not SMALLEST < size < LARGEST:
        raise MeshError(
            f"{name}: is {figure(size, 0 if size > 1 else 4)} m long in {units}. Check the units."
        )
    if thin < size / FAR:
        raise MeshError(f"{name}: is {size:.3g} m long and {thin:.3g} m thick: it is flat.")
    if far > FAR * size:
        raise MeshError(
            f"{name}: is {size:.3g} m long and lies {far:.3g} m from its datum. Move it there: so far off its"
            " figures would be rough."
        )


def _used(vertices: np.ndarray, faces: np.ndarray) -> np.ndarray:
    """Which vertices (n,) some face uses."""
    used = np.zeros(len(vertices), bool)
    used[faces.ravel()] = True
    return used


def _merged(vertices: np.ndarray, faces: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """The mesh with one vertex for each place, and none that no face uses.

    Places are whole numbers of a thousand-millionth of the mesh's size, mixed into one number each and
    sorted: five million faces of an STL have fifteen million corners, and this takes a tenth of the memory
    that sorting rows does.
    """
    used = _used(vertices, faces)
    corners = vertices if used.all() else vertices[used]
    low = corners.min(axis=0)
    step = float(np.ptp(corners, axis=0).max()) * 1e-9
    mixed = np.zeros(len(corners), np.uint64)
    for axis, factor in enumerate((0x9E3779B97F4A7C15, 0xC2B2AE3D27D4EB4F, 0x165667B19E3779F9)):
        mixed += _steps(corners[:, axis], low[axis], step) * np.uint64(factor)
        mixed ^= mixed >> np.uint64(29)
    _, first, same = np.unique(mixed, return_index=True, return_inverse=True)
    for axis in range(3):
        place = _steps(corners[:, axis], low[axis], step)
        if (place[first][same] != place).any():  # two places mixed into one number: that does not happen
            whole = np.stack([_steps(corners[:, i], low[i], step) for i in range(3)], axis=1)
            _, first, same = np.unique(whole, axis=0, return_index=True, return_inverse=True)
            break
    number = np.zeros(len(vertices), np.int64)
    number[used] = same.ravel()
    return corners[first], number[faces]


def _steps(along: np.ndarray, low: float, step: float) -> np.ndarray:
    return np.rint((along - low) / step).astype(np.uint64)


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


_STL_FACE = np.dtype([("normal", "<f4", 3), ("corners", "<f4", (3, 3)), ("unused", "<u2")])


def _binary_stl(file: Path) -> tuple[np.ndarray, np.ndarray] | None:
    """The faces of a binary STL, by far the commonest great mesh, in a quarter of the memory; None where
    it is another file."""
    size = file.stat().st_size - 84
    if file.suffix.lower() != ".stl" or size < 0 or size % _STL_FACE.itemsize:
        return None
    with open(file, "rb") as source:
        count = int.from_bytes(source.read(84)[80:], "little")
        if count != size // _STL_FACE.itemsize:
            return None
        found = np.fromfile(source, _STL_FACE, count)
    with np.errstate(invalid="ignore"):  # what is no number is counted and told later
        corners = found["corners"].reshape(-1, 3).astype(float)
    return corners, np.arange(3 * count).reshape(-1, 3)


def _load(file: Path) -> tuple[np.ndarray, np.ndarray]:
    import trimesh

    logging.getLogger("trimesh").addHandler(
        logging.NullHandler()
    )  # what it tries on a broken file is no news for a builder
    kind = file.suffix.lower().lstrip(".")
    raw = file.read_bytes()
    _CHECKS[kind](file.name, raw)
    try:
        # Given as bytes without a name, nothing beside the file can be read: an OBJ may name material files
        # anywhere.
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            mesh = trimesh.load_mesh(io.BytesIO(raw), file_type=kind, process=False)
    except Exception as error:  # every reader of trimesh has its own ways to fail on a broken file
        raise _why_not(file.name, kind, raw) from error
    if not hasattr(mesh, "faces") or not len(mesh.faces):
        raise _why_not(file.name, kind, raw, "is empty: it has no faces")
    if mesh.vertices.shape != (len(mesh.vertices), 3):
        raise _why_not(file.name, kind, raw)
    return np.asarray(mesh.vertices, float), np.asarray(mesh.faces)


_CHECKS = {"stl": check_stl, "obj": check_obj, "ply": check_ply, "glb": check_glb}
_DIAGNOSES = {"stl": why_not_stl, "obj": why_not_obj}


def _why_not(name: str, kind: str, raw: bytes, otherwise: str = "") -> MeshError:
    """Why a file could not be read, from the file itself: a library's own words are about its code."""
    found = _DIAGNOSES[kind](name, raw) if kind in _DIAGNOSES else None
    what = otherwise or f"cannot be read as {kind.upper()}: its parts do not fit together"
    return found or MeshError(f"{name}: {what}. {EXPORT}")
