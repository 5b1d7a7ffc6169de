"""How fast a plane cut is beside three well-known libraries, on the same closed mesh and the same planes in
one run.

    python tests/benchmarks/measure.py

prints a table and writes it to reports/benchmarks.md.
"""

from __future__ import annotations

import os
import platform
import subprocess
import sys
import time
from dataclasses import dataclass
from importlib.metadata import version
from pathlib import Path

import numpy as np

ROOT = Path(__file__).resolve().parents[2]
sys.path[:0] = [str(ROOT), str(ROOT / "tests")]

import solids  # noqa: E402

from hullview.afloat.equilibrium import rest, up  # noqa: E402
from hullview.afloat.righting import righting_curve  # noqa: E402
from hullview.shape.body import Body  # noqa: E402

SIZES = (5_000, 50_000, 500_000)
ROUNDS = {5_000: 5, 50_000: 3, 500_000: 2}


def hull_like(faces: int) -> tuple[np.ndarray, np.ndarray]:
    """A closed, curved, unsymmetrical body of a kayak's size with about so many faces."""
    along = round((faces * 0.6) ** 0.5)
    around = round(faces / 2 / along)
    vertices, triangles = solids.ellipsoid(1.55, 0.33, 0.16, along + 1, around)
    x, y, z = vertices.T
    return np.column_stack([x, y * (1 + 0.1 * x), z + 0.05 * x**2 + 0.01 * np.sin(2 * x + 3 * y)]), triangles


def planes(body: Body, count: int = 12) -> list[tuple[np.ndarray, float]]:
    """Up to 60 degrees of heel and 4 of trim, from a quarter to three quarters of the height under water."""
    rng = np.random.default_rng(7)
    out = []
    for _ in range(count):
        n = up(rng.uniform(-1, 1), rng.uniform(-0.07, 0.07))
        low, high = body.extent(n)
        out.append((n, low + rng.uniform(0.25, 0.75) * (high - low)))
    return out


def _vtk(vertices, faces):
    import pyvista

    mesh = pyvista.PolyData.from_regular_faces(vertices, faces)
    return lambda n, offset: mesh.clip_closed_surface(normal=-n, origin=n * offset).volume


def _manifold(vertices, faces):
    import manifold3d

    solid = manifold3d.Manifold(manifold3d.Mesh64(vertices, faces.astype(np.uint64)))
    return lambda n, offset: solid.trim_by_plane(tuple(-n), -offset).volume()


def _trimesh(vertices, faces):
    import trimesh

    mesh = trimesh.Trimesh(vertices, faces, process=False)

    def volume(n, offset):
        part = trimesh.intersections.slice_mesh_plane(mesh, -n, n * offset, cap=True, engine="manifold")
        return part.mass_properties.volume

    return volume


PEERS = {
    "VTK clip_closed_surface + volume": _vtk,
    "manifold3d trim + volume": _manifold,
    "trimesh slice with cap + mass properties": _trimesh,
}


@dataclass(frozen=True)
class Result:
    """Times [s] on one mesh: a cut by each library and by us, the index built, a curve of 181 heels; bytes a
    face; worst disagreement with a clip of every face by itself, as a share of the body's volume."""

    faces: int
    peers: dict[str, float]
    cut: float
    build: float
    curve: float | None
    bytes_per_face: float
    disagreement: float

    @property
    def fastest(self) -> float:
        return min(self.peers.values())


def _seconds(call, rounds: int, arguments) -> float:
    """Median over the arguments of the best of some rounds."""
    best = []
    for each in arguments:
        times = []
        for _ in range(rounds):
            began = time.perf_counter()
            call(*each)
            times.append(time.perf_counter() - began)
        best.append(min(times))
    return float(np.median(best))


def clipped_volume(body: Body, n: np.ndarray, offset: float) -> float:
    """Every face clipped by itself, all at once, no tree: tetrahedra from a point of the plane to the wet
    part of each face."""
    corners = body.vertices[body.faces] - n * offset
    height = corners @ n
    wet = height <= 0
    flux = (corners[:, 0] * np.cross(corners[:, 1], corners[:, 2])).sum(axis=1) / 6
    total = flux[wet.all(axis=1)].sum()
    for count, sign in ((1, 1.0), (2, -1.0)):
        some = np.flatnonzero(wet.sum(axis=1) == count)
        lone = (wet[some] if count == 1 else ~wet[some]).argmax(axis=1)
        h = [height[some, (lone + k) % 3] for k in range(3)]
        small = flux[some] * (h[0] / (h[0] - h[1])) * (h[0] / (h[0] - h[2]))
        total += small.sum() if sign > 0 else (flux[some] - small).sum()
    return float(total)


def measure(faces: int) -> Result:
    vertices, triangles = hull_like(faces)
    began = time.perf_counter()
    body = Body(vertices, triangles)
    build = time.perf_counter() - began
    for _ in range(max(2, 100_000 // faces)):
        began = time.perf_counter()
        body = Body(vertices, triangles)
        build = min(build, time.perf_counter() - began)
    where, rounds = planes(body), ROUNDS.get(faces, 2)
    peers = {}
    for name, make in PEERS.items():
        cut = make(body.vertices, body.faces)
        peers[name] = _seconds(cut, rounds, where[: 4 if faces > 100_000 else 8])
        n, offset = where[0]
        assert abs(cut(n, offset) / body.immersed(n, offset).volume - 1) < 1e-5, name
    ours = _seconds(_all_six(body), 5, where)
    worst = max(abs(body.immersed(*p).volume - clipped_volume(body, *p)) for p in where) / body.volume
    return Result(
        len(triangles),
        peers,
        ours,
        build,
        _curve(body) if 20_000 < faces < 100_000 else None,
        body.nbytes / len(triangles),
        worst,
    )


def _all_six(body: Body):
    def read(n, offset):
        cut = body.immersed(n, offset)
        return (
            cut.volume,
            cut.centroid,
            cut.wetted_area,
            cut.plane_area,
            cut.plane_centroid,
            cut.plane_second_moments,
        )

    return read


def _curve(body: Body) -> float:
    load = 300 * body.volume, body.centroid - [0, 0, 0.05], 1000.0
    rest(body, *load)
    return _seconds(lambda: righting_curve(body, *load, np.radians(np.arange(181.0))), 3, [()])


@dataclass(frozen=True)
class Refloat:
    """A hull floated again after a slider moved [s], beside one clip of every face by itself, on so many
    faces."""

    faces: int
    refloat: float
    naive: float


def refloat(faces: int = 20_000) -> Refloat:
    """Mass, seat and lean moved by as much as a hand moves a slider; each begun where it lay before."""
    body = Body(*hull_like(faces))
    mass, centre = 350 * body.volume, body.centroid - [0, 0, 0.02]
    lying = rest(body, mass, centre, 1000.0)
    moves = [
        (mass * (1 + 0.02 * k), centre + [0.01 * k, 0.004 * j, 0]) for k in (-2, -1, 1, 2) for j in (-1, 0, 2)
    ]
    again = _seconds(lambda m, c: rest(body, m, c, 1000.0, start=lying), 3, moves)
    return Refloat(
        len(body.faces), again, _seconds(lambda n, offset: clipped_volume(body, n, offset), 3, planes(body))
    )


def table(results: list[Result]) -> str:
    """Times and ratios as Markdown."""
    lines = [
        "| faces | one cut, all six results | " + " | ".join(PEERS) + " | times the fastest |",
        "|--:|" + "--:|" * (len(PEERS) + 2),
    ]
    for r in results:
        peers = " | ".join(f"{r.peers[name] * 1e3:.1f} ms" for name in PEERS)
        lines.append(f"| {r.faces:,} | {r.cut * 1e3:.3f} ms | {peers} | {r.fastest / r.cut:.0f} |")
    small, large = results[0], results[-1]
    growth = np.log(large.cut / small.cut) / np.log(large.faces / small.faces)
    lines += [
        "",
        f"Growth of the cut from {small.faces:,} to {large.faces:,} faces: exponent {growth:.2f}.",
        "",
    ]
    lines += [
        "| faces | index built | in cuts of the fastest | bytes a face | off a clip of every face |",
        "|--:|--:|--:|--:|--:|",
    ]
    for r in results:
        lines.append(
            f"| {r.faces:,} | {r.build * 1e3:.1f} ms | {r.build / r.fastest:.1f} | {r.bytes_per_face:.0f} |"
            f" {r.disagreement:.0e} |"
        )
    for r in results:
        if r.curve is not None:
            lines += [
                "",
                (
                    f"A righting curve of 181 heels, free to trim, on {r.faces:,} faces: {r.curve * 1e3:.0f}"
                    f" ms, {r.curve / r.fastest:.1f} cuts of the fastest."
                ),
            ]
    return "\n".join(lines)


def _machine() -> str:
    import pyvista
    import trimesh

    model = next(
        (
            line.split(":")[1].strip()
            for line in Path("/proc/cpuinfo").read_text().splitlines()
            if "model name" in line
        ),
        platform.machine(),
    )
    commit = subprocess.run(
        ["git", "rev-parse", "--short", "HEAD"], cwd=ROOT, capture_output=True, text=True
    ).stdout.strip()
    made = version("manifold3d")
    return (
        f"{model}, {os.cpu_count()} cores; Python {platform.python_version()}, numpy {np.__version__}, VTK"
        f" {'.'.join(map(str, pyvista.vtk_version_info))}, manifold3d {made}, trimesh {trimesh.__version__};"
        f" commit {commit}."
    )


def main() -> None:
    results = [measure(faces) for faces in SIZES]
    again = refloat()
    text = (
        "# Speed\n\nWritten by `python tests/benchmarks/measure.py`: ratios hold within one run on one"
        " machine.\n\n"
        + _machine()
        + "\n\n"
        + table(results)
        + f"\n\nFloated again after a small change of load, {again.faces:,} faces: {again.refloat * 1e3:.1f}"
        " ms, "
        + f"{again.refloat / again.naive:.2f} of one clip of every face by itself ({again.naive * 1e3:.1f}"
        " ms).\n"
    )
    (ROOT / "reports" / "benchmarks.md").write_text(text)
    print(text)


if __name__ == "__main__":
    main()
