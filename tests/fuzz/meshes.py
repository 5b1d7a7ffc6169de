"""Spoilt mesh files through the reader, the body and the water, in one process.

    python tests/fuzz/meshes.py --count 5000 --seed 1
    python tests/fuzz/meshes.py --large 5000000

Prints what came of them, the worst time and the most memory; exit status 1 where anything but a floating body
or a refusal came out, or where a body came out whose figures cannot be right.
"""

from __future__ import annotations

import argparse
import json
import math
import random
import re
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from functools import partial
from pathlib import Path
from typing import Any

import numpy as np
from watch import Tally, hold_memory

from hullview.afloat.equilibrium import float_body
from hullview.boat.meshfile import read_mesh
from hullview.shape.body import Body

Mesh = tuple[np.ndarray, np.ndarray]


def whole(rng: random.Random, cells: int | None = None) -> Mesh:
    """An ellipsoid-like closed body of `cells` rings, 3 to 4 m long, outward."""
    n, m = cells or rng.randrange(2, 12), cells or rng.randrange(3, 14)
    u = np.linspace(0, math.pi, n + 2)[1:-1]
    v = np.arange(m) * 2 * math.pi / m
    x = np.repeat(-np.cos(u), m)
    ring = np.column_stack(
        [x, np.outer(np.sin(u), np.cos(v)).ravel(), np.outer(np.sin(u), np.sin(v)).ravel()]
    )
    vertices = np.concatenate([ring, [[-1, 0, 0], [1, 0, 0]]]) * [
        rng.uniform(1.5, 2.0),
        rng.uniform(0.2, 0.6),
        rng.uniform(0.1, 0.4),
    ]
    i, j = np.divmod(np.arange((n - 1) * m), m)
    a, b = i * m + j, i * m + (j + 1) % m
    c, d = a + m, b + m
    k = np.arange(m)
    after = (n - 1) * m
    faces = np.concatenate([
        np.column_stack([a, c, b]), np.column_stack([b, c, d]),
        np.column_stack([np.full(m, n * m), k, (k + 1) % m]),
        np.column_stack([np.full(m, n * m + 1), after + (k + 1) % m, after + k]),
    ])  # fmt: skip
    return vertices + [2.0, 0.0, 0.3], faces[:, ::-1] if _volume(vertices, faces) < 0 else faces


def _volume(vertices: np.ndarray, faces: np.ndarray) -> float:
    a, b, c = (vertices[faces[:, i]] for i in range(3))
    return float(np.einsum("ij,ij->", a, np.cross(b, c))) / 6


# ---------------------------------------------------------------- what goes wrong with a mesh


def open_up(rng: random.Random, mesh: Mesh) -> Mesh:
    v, f = mesh
    return v, np.delete(f, [rng.randrange(len(f)) for _ in range(rng.choice((1, 1, 3)))], axis=0)


def inside_out(rng: random.Random, mesh: Mesh) -> Mesh:
    v, f = mesh
    return v, f[:, ::-1]


def one_turned(rng: random.Random, mesh: Mesh) -> Mesh:
    v, f = mesh
    f = f.copy()
    i = rng.randrange(len(f))
    f[i] = f[i, ::-1]
    return v, f


def doubled(rng: random.Random, mesh: Mesh) -> Mesh:
    v, f = mesh
    again = f[rng.randrange(len(f))][None] if rng.random() < 0.5 else f
    return v, np.concatenate([f, again if rng.random() < 0.5 else again[:, ::-1]])


def not_numbers(rng: random.Random, mesh: Mesh) -> Mesh:
    v, f = mesh
    v = v.copy()
    v[rng.randrange(len(v)), rng.randrange(3)] = rng.choice(
        (math.nan, math.inf, -math.inf, 1e30, 1e300, 1e-300)
    )
    return v, f


def no_area(rng: random.Random, mesh: Mesh) -> Mesh:
    v, f = mesh
    i = int(f[rng.randrange(len(f)), 0])
    how = rng.randrange(3)
    if how == 0:
        return v, np.concatenate([f, [[i, i, i]], [[i, int(f[0, 1]), i]]])
    v = v.copy()
    if how == 1:
        v[i] = v[int(f[0, 1])]
        return v, f
    v[:, rng.randrange(3)] = 0.3
    return v, f


def two_bodies(rng: random.Random, mesh: Mesh) -> Mesh:
    v, f = mesh
    other, g = whole(rng)
    shift = rng.choice(([10.0, 0, 0], [0.5, 0, 0], [0, 2.0, 0], [0, 0, 0]))
    k = rng.choice((1.0, 0.3))
    g = g[:, ::-1] if rng.random() < 0.3 else g
    return np.concatenate([v, (other - [2, 0, 0.3]) * k + [2, 0, 0.3] + shift]), np.concatenate(
        [f, g + len(v)]
    )


def crossed(rng: random.Random, mesh: Mesh) -> Mesh:
    v, f = mesh
    v = v.copy()
    v[rng.randrange(len(v))] += [rng.uniform(-3, 3), rng.uniform(-1, 1), rng.uniform(-1, 1)]
    return v, f


def few(rng: random.Random, mesh: Mesh) -> Mesh:
    v, f = mesh
    return v, f[: rng.randrange(4)]


def wrong_numbers(rng: random.Random, mesh: Mesh) -> Mesh:
    v, f = mesh
    f = f.copy()
    f[rng.randrange(len(f)), rng.randrange(3)] = rng.choice((-1, len(v), len(v) + 1000, 2**31 - 1, 0))
    return v, f


def other_size(rng: random.Random, mesh: Mesh) -> Mesh:
    v, f = mesh
    return v * rng.choice((1e-6, 1e-3, 25.4, 1000.0, 1e6)), f


def far_off(rng: random.Random, mesh: Mesh) -> Mesh:
    v, f = mesh
    return v + [rng.choice((1e3, 1e6, -1e9)), 0, 0], f


SHAPES: tuple[Callable[[random.Random, Mesh], Mesh], ...] = (
    open_up,
    inside_out,
    one_turned,
    doubled,
    not_numbers,
    no_area,
    two_bodies,
    crossed,
    few,
    wrong_numbers,
    other_size,
    far_off,
)


# ---------------------------------------------------------------- as files


def as_stl(mesh: Mesh) -> bytes:
    v, f = mesh
    safe = np.clip(f, 0, max(len(v) - 1, 0))
    record = np.zeros(len(f), dtype=[("n", "<f4", 3), ("p", "<f4", (3, 3)), ("a", "<u2")])
    with np.errstate(over="ignore"):
        record["p"] = v[safe] if len(f) else 0
    return b"\0" * 80 + np.uint32(len(f)).tobytes() + record.tobytes()


def as_stl_text(mesh: Mesh) -> bytes:
    v, f = mesh
    lines = ["solid hull"]
    for face in np.clip(f, 0, len(v) - 1):
        points = "\n".join("vertex " + " ".join(f"{c:.9g}" for c in v[k]) for k in face)
        lines.append(f"facet normal 0 0 0\nouter loop\n{points}\nendloop\nendfacet")
    return ("\n".join([*lines, "endsolid hull"]) + "\n").encode()


def as_obj(mesh: Mesh) -> bytes:
    v, f = mesh
    lines = ["mtllib ../../secret.mtl"] + ["v " + " ".join(repr(float(c)) for c in p) for p in v]
    return "\n".join(lines + ["f " + " ".join(str(int(k) + 1) for k in face) for face in f]).encode()


def as_ply(mesh: Mesh) -> bytes:
    v, f = mesh
    head = (
        f"ply\nformat ascii 1.0\nelement vertex {len(v)}\nproperty double x\nproperty double y\nproperty"
        f" double z\nelement face {len(f)}\nproperty list uchar int vertex_indices\nend_header\n"
    )
    return (
        head
        + "\n".join(
            [" ".join(repr(float(c)) for c in p) for p in v]
            + ["3 " + " ".join(map(str, face.tolist())) for face in f]
        )
        + "\n"
    ).encode()


def as_binary_ply(mesh: Mesh) -> bytes:
    v, f = mesh
    head = (
        f"ply\nformat binary_little_endian 1.0\nelement vertex {len(v)}\nproperty float x\nproperty float"
        f" y\nproperty float z\nelement face {len(f)}\nproperty list uchar int vertex_indices\nend_header\n"
    )
    record = np.zeros(len(f), dtype=[("n", "u1"), ("i", "<i4", 3)])
    record["n"] = 3
    if len(f):
        record["i"] = f
    with np.errstate(over="ignore", invalid="ignore"):
        return head.encode() + v.astype("<f4").tobytes() + record.tobytes()


def as_glb(mesh: Mesh) -> bytes:
    v, f = mesh
    with np.errstate(over="ignore", invalid="ignore"):
        points, index = v.astype("<f4").tobytes(), f.astype("<u4").tobytes()
    body = points + index
    body += b"\0" * (-len(body) % 4)
    finite = np.nan_to_num(v, posinf=1e30, neginf=-1e30).clip(-1e30, 1e30)
    scene = {
        "asset": {"version": "2.0"},
        "scene": 0,
        "scenes": [{"nodes": [0]}],
        "nodes": [{"mesh": 0}],
        "meshes": [{"primitives": [{"attributes": {"POSITION": 0}, "indices": 1}]}],
        "buffers": [{"byteLength": len(body)}],
        "bufferViews": [
            {"buffer": 0, "byteOffset": 0, "byteLength": len(points)},
            {"buffer": 0, "byteOffset": len(points), "byteLength": len(index)},
        ],
        "accessors": [
            {
                "bufferView": 0,
                "componentType": 5126,
                "count": len(v),
                "type": "VEC3",
                "min": finite.min(0).tolist(),
                "max": finite.max(0).tolist(),
            },
            {"bufferView": 1, "componentType": 5125, "count": int(f.size), "type": "SCALAR"},
        ],
    }
    return glb_of(scene, body)


def glb_of(scene: object, body: bytes) -> bytes:
    """A GLB file with this description and these data."""
    text = json.dumps(scene).encode()
    text += b" " * (-len(text) % 4)
    chunks = [(text, b"JSON"), (body, b"BIN\0")]
    made = b"".join(np.uint32(len(c)).tobytes() + kind + c for c, kind in chunks)
    return b"glTF" + np.uint32(2).tobytes() + np.uint32(12 + len(made)).tobytes() + made


def parts_of_glb(raw: bytes) -> tuple[dict[str, Any], bytes]:
    """The description of a whole GLB file, and its data."""
    n = int.from_bytes(raw[12:16], "little")
    return json.loads(raw[20 : 20 + n]), raw[28 + n :]


WRITERS: dict[str, Callable[[Mesh], bytes]] = {
    "stl": as_stl,
    "STL": as_stl_text,
    "obj": as_obj,
    "ply": as_ply,
    "PLY": as_binary_ply,
    "glb": as_glb,
}


def spoil_bytes(rng: random.Random, raw: bytes) -> bytes:
    """Cut short, a stretch lost, some bytes changed, or another kind of file altogether."""
    how = rng.randrange(6)
    if how == 0:
        return raw[: rng.randrange(len(raw) + 1)]
    if how == 1:
        i = rng.randrange(len(raw) + 1)
        return raw[:i] + raw[i + rng.choice((1, 4, 50, 1000)) :]
    if how == 2:
        out = bytearray(raw)
        for _ in range(rng.choice((1, 3, 30))):
            out[rng.randrange(len(out))] = rng.randrange(256)
        return bytes(out)
    if how == 3:
        return rng.choice(
            (b"", b"\0" * 84, b"solid", b"ply\n", b"glTF", b"v 1 2 3\n" * 5, rng.randbytes(500), b"f 1 2 3\n")
        )
    if how == 4:
        head = bytearray(raw[:200])
        head[rng.randrange(len(head))] ^= 1 << rng.randrange(8)
        return bytes(head) + raw[200:]
    return raw + rng.choice((b"\0", b"garbage", raw))


# ---------------------------------------------------------------- what each kind of file promises and does
# not hold

ODD = (
    -1,
    0,
    1,
    2,
    7,
    27,
    2**30,
    2**31,
    10**12,
    2**64,
    0.5,
    "x",
    None,
    True,
    [],
    {},
    [0],
    [0, 0],
    [1, 0],
    [-1],
    ["x"],
    [[0]],
    {"x": 1},
)
"""What may stand where a description should have a number, a list or a table."""


def doubling_tree(deep: int) -> list[dict[str, Any]]:
    """Nodes each two of which share two children: 2^deep ways from the first to the last."""
    pairs = [{"children": [2 * i + 2, 2 * i + 3]} for i in range(deep) for _ in (0, 1)]
    return [*pairs, {"mesh": 0}, {"mesh": 0}]


def spoil_glb(rng: random.Random, raw: bytes) -> bytes:
    """One or two entries of the description changed, taken out or put in; or one of the ways in which
    nodes go wrong."""
    scene, body = parts_of_glb(raw)
    how = rng.randrange(8)
    if how == 0:
        scene["nodes"] = doubling_tree(rng.choice((1, 3, 12, 30)))
    elif how == 1:
        k = rng.choice((1, 2, 5, 300))
        scene["nodes"] = [{"children": [(i + 1) % k]} for i in range(k)] + [{"mesh": 0}]
    elif how == 2:
        scene["nodes"] += [
            {"mesh": 0, "translation": [0, 3 * i, 0]} for i in range(1, rng.choice((2, 2, 50)))
        ]
        scene["scenes"][0]["nodes"] = list(range(len(scene["nodes"])))
    elif how == 3:
        scene["buffers"][0]["uri"] = rng.choice(("hull.bin", "/etc/passwd", "data:,x", "http://x.y/z", "", 3))
    elif how == 4:
        name = rng.choice(
            ("KHR_draco_mesh_compression", "KHR_materials_unlit", "EXT_mesh_gpu_instancing", "x\x1b[2J")
        )
        scene["extensionsRequired" if rng.random() < 0.5 else "extensionsUsed"] = [name]
        scene["nodes"][0]["extensions"] = {name: {"attributes": {"TRANSLATION": 0}}}
    else:
        for _ in range(how - 4):
            _spoil_entry(rng, scene)
    return glb_of(scene, body)


def _spoil_entry(rng: random.Random, tree: Any) -> None:
    """Somewhere in a tree of tables and lists, something odd."""
    keys = list(tree) if isinstance(tree, dict) else list(range(len(tree)))
    if not keys:
        return
    key = rng.choice(keys)
    inner = tree[key]
    if isinstance(inner, dict | list) and inner and rng.random() < 0.8:
        _spoil_entry(rng, inner)
    elif rng.random() < 0.25:
        del tree[key]
    elif rng.random() < 0.2 and isinstance(tree, list):
        tree.extend(tree * rng.choice((1, 30)))
    else:
        tree[key] = rng.choice(ODD)
        if isinstance(tree, dict) and rng.random() < 0.2:
            tree[
                rng.choice(
                    (
                        "sparse",
                        "children",
                        "byteStride",
                        "byteOffset",
                        "mode",
                        "matrix",
                        "skin",
                        "extensions",
                        "name",
                    )
                )
            ] = rng.choice(ODD)


def spoil_ply(rng: random.Random, raw: bytes) -> bytes:
    """A count of the header that is another number, or none; or rows lost."""
    if rng.random() < 0.3:
        lines = raw.split(b"\n")
        del lines[rng.randrange(9, len(lines)) :][: rng.choice((1, 5))]
        return b"\n".join(lines)
    new = rng.choice((b"0", b"1", b"-5", b"1000000000", b"9" * 30, b"many", b"1e9", b"", b"12 13"))
    return re.sub(rb"(element %s) \d+" % rng.choice((b"vertex", b"face")), rb"\1 " + new, raw)


def spoil_obj(rng: random.Random, raw: bytes) -> bytes:
    """An index past the end, of nothing, or none at all; a vertex of two numbers or of words."""
    lines = raw.split(b"\n")
    i = rng.randrange(1, len(lines))
    odd = (
        b"f 1 2 9999",
        b"f 0 1 2",
        b"f 1 2 -9999",
        b"f 1 2 x",
        b"f 1/1 2/2 3/3",
        b"f 1//9 2//9 3//9",
        b"f 1 2",
        b"f",
        b"f 1 2 3 4 5",
        b"v 1 2",
        b"v 1 2 x",
        b"v nan 0 0",
        b"v 1 2 3 1 1 1",
        b"f 1 2 99999999999999999999999",
        b"f 1.5 2 3",
        b"usemtl x",
        b"o \xff",
        b"f -1 -2 -3",
    )
    if rng.random() < 0.5:
        lines[i] = rng.choice(odd)
    else:
        lines.insert(i, rng.choice(odd))
    return b"\n".join(lines)


def spoil_stl(rng: random.Random, raw: bytes) -> bytes:
    """Cut between faces or within one; a count that is another; more behind the end."""
    faces = (len(raw) - 84) // 50
    how = rng.randrange(3)
    if how == 0:
        return raw[: 84 + 50 * rng.randrange(faces + 1) + rng.choice((0, 0, 1, 25))]
    if how == 1:
        count = rng.choice((0, 1, faces + 1, 2**31, 2**32 - 1))
        return raw[:80] + count.to_bytes(4, "little") + raw[84:]
    return (b"solid hull" + raw[10:] if rng.random() < 0.5 else raw) + rng.choice((b"", b"x", b"\0" * 50))


def spoil_stl_text(rng: random.Random, raw: bytes) -> bytes:
    """A line lost, doubled or changed."""
    lines = raw.split(b"\n")
    i = rng.randrange(len(lines))
    lines[i : i + 1] = rng.choice(
        ([], [lines[i]] * 2, [b"vertex 1 2"], [b"vertex 1 2 x"], [b"endfacet"], [b"endsolid", b"solid again"])
    )
    return b"\n".join(lines)


OF_KIND: dict[str, Callable[[random.Random, bytes], bytes]] = {
    "stl": spoil_stl,
    "STL": spoil_stl_text,
    "obj": spoil_obj,
    "ply": spoil_ply,
    "PLY": spoil_ply,
    "glb": spoil_glb,
}


def input_of(seed: int, number: int) -> tuple[str, bytes, str]:
    """Kind of file, its bytes, its unit."""
    rng = random.Random(f"{seed} {number}")
    mesh = whole(rng)
    for _ in range(rng.choice((0, 0, 1, 1, 2))):
        if len(mesh[1]):
            mesh = rng.choice(SHAPES)(rng, mesh)
    kind = rng.choice(list(WRITERS))
    raw = WRITERS[kind](mesh)
    if len(mesh[1]) and rng.random() < 0.4:
        raw = OF_KIND[kind](rng, raw)
    return (
        kind,
        spoil_bytes(rng, raw) if rng.random() < 0.25 else raw,
        rng.choice(("m", "m", "m", "mm", "in")),
    )


def through_water(file: Path, unit: str) -> str:
    """Read, index, float; a body that floats must displace its mass and be at rest."""
    body = Body(*read_mesh(file, unit))
    density = 1000.0
    mass = 0.4 * body.volume * density
    low, high = body.vertices.min(axis=0), body.vertices.max(axis=0)
    found = float_body(body, mass, (low + high) / 2 - [0, 0, 0.1 * (high - low)[2]], density)
    assert found.state in ("afloat", "sinks"), found.state
    if found.state == "afloat":
        assert (
            found.displaced_volume is not None and abs(found.displaced_volume * density / mass - 1) < 1e-9
        ), "displaces another mass"
        values = [v for v in vars(found).values() if isinstance(v, float)]
        assert all(map(math.isfinite, values)), "a figure is not finite"
    return found.state


def run(count: int, seed: int, folder: Path, first: int = 0) -> Tally:
    tally = Tally(needs_place=False)
    for number in range(first, first + count):
        kind, raw, unit = input_of(seed, number)
        file = folder / f"hull.{kind.lower()}"
        file.write_bytes(raw)
        tally.attempt(number, partial(through_water, file, unit))
    return tally


def large(faces: int, folder: Path) -> str:
    """One whole body of about so many faces, through the same way, with the time of each step."""
    file = folder / "large.stl"
    subprocess.run([sys.executable, __file__, "--write", str(file), "--large", str(faces)], check=True)
    times, start = [], time.perf_counter()
    mesh = read_mesh(file, "m")
    times.append(("read", time.perf_counter() - start))
    start = time.perf_counter()
    body = Body(*mesh)
    times.append(("index", time.perf_counter() - start))
    start = time.perf_counter()
    float_body(body, 0.4 * body.volume * 1000, body.centroid - [0.01, 0.003, 0.02], 1000.0)
    times.append(("float", time.perf_counter() - start))
    return f"{len(mesh[1])} faces: " + ", ".join(f"{name} {t:.2f} s" for name, t in times)


def main() -> int:
    ask = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    ask.add_argument("--count", type=int, default=1000)
    ask.add_argument("--seed", type=int, default=1)
    ask.add_argument("--first", type=int, default=0)
    ask.add_argument("--words", type=int, default=0)
    ask.add_argument("--large", type=int, default=0, help="one whole mesh of so many faces instead")
    ask.add_argument("--write", type=Path, help="only write that mesh to a file")
    given = ask.parse_args()
    if given.write:
        given.write.write_bytes(as_stl(whole(random.Random(1), int(math.sqrt(given.large / 2)))))
        return 0
    hold_memory()
    with tempfile.TemporaryDirectory() as made:
        if given.large:
            tally = Tally(needs_place=False)
            tally.attempt(0, lambda: large(given.large, Path(made)), seconds=300)
        else:
            tally = run(given.count, given.seed, Path(made), given.first)
    print(tally.report(given.words))
    return 1 if tally.faults else 0


if __name__ == "__main__":
    sys.exit(main())
