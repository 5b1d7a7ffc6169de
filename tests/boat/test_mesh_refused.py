"""Mesh files that promise what they do not hold: each refused in words, saying what is wrong, where, and
how to mend it."""

from __future__ import annotations

import json
import random
import re
from pathlib import Path
from typing import Any

import meshes
import pytest

from hullview.boat.meshfile import read_mesh
from hullview.boat.reader import read_boat
from hullview.errors import BoatFileError, MeshError
from hullview.shape.body import Body

WHOLE = meshes.whole(random.Random(3), 5)
GLB, OBJ, STL, STL_TEXT = (
    write(WHOLE) for write in (meshes.as_glb, meshes.as_obj, meshes.as_stl, meshes.as_stl_text)
)
PLY, BINARY_PLY = meshes.as_ply(WHOLE), meshes.as_binary_ply(WHOLE)
FACES, POINTS = len(WHOLE[1]), len(WHOLE[0])
LAST_LINE = OBJ.count(b"\n") + 1


def refusal(folder: Path, name: str, raw: bytes) -> str:
    (folder / name).write_bytes(raw)
    with pytest.raises(MeshError) as refused:
        read_mesh(folder / name, "m")
    printed = str(refused.value)
    assert printed.startswith(name) and printed.isprintable()
    assert not re.search(r"NoneType|subscript|Error|axis|reshape|literal", printed), "words of a library"
    return printed


def glb(**changes: Any) -> bytes:
    """The whole GLB with entries of its description replaced, by paths such as nodes__0__children."""
    scene, body = meshes.parts_of_glb(GLB)
    for path, value in changes.items():
        *way, last = [int(p) if p.isdigit() else p for p in path.split("__")]
        entry: Any = scene
        for step in way:
            entry = entry[step]
        entry[last] = value
    return meshes.glb_of(scene, body)


@pytest.mark.parametrize(
    ("name", "raw"),
    [
        ("a.glb", GLB),
        ("a.obj", OBJ),
        ("a.stl", STL),
        ("b.stl", STL_TEXT),
        ("a.ply", PLY),
        ("b.ply", BINARY_PLY),
    ],
)
def test_the_whole_files_are_read_and_are_one_body(tmp_path, name, raw):
    (tmp_path / name).write_bytes(raw)
    vertices, faces = read_mesh(tmp_path / name, "m")
    assert (len(vertices), len(faces)) == (POINTS, FACES)
    assert Body(vertices, faces).volume == pytest.approx(Body(*WHOLE).volume, rel=1e-6)


@pytest.mark.parametrize(
    ("raw", "says"),
    [
        (glb(buffers__0__uri="hull.bin"), 'buffer 0 in another file, "hull.bin"'),
        (glb(buffers__0__uri="data:,AAAA"), "buffer 0 as text"),
        (glb(nodes__0__children=[0]), "node 0 is its own child"),
        (glb(nodes=[{"children": [1]}, {"children": [0]}, {"mesh": 0}]), "is its own ancestor"),
        (glb(nodes=[{"name": "Keel\x1b[2J", "children": [0]}]), 'node 0 ("Keel?[2J") is its own child'),
        (glb(nodes__0__children=[7]), "a child of node 0 is number 7; there are 1"),
        (glb(nodes=[{"children": [2]}, {"children": [2]}, {"mesh": 0}]), "node 2 is a child twice"),
        (glb(nodes=meshes.doubling_tree(30)), "is a child twice"),  # 2^30 ways to the mesh
        (glb(nodes__0__extensions={"EXT_mesh_gpu_instancing": {}}), "node 0 places one mesh many times"),
        (glb(nodes=[{"mesh": 0}] * 500_000), "places 25,000,000 faces; at most"),
        (
            glb(accessors__0__count=2**30),
            f"accessor 0 promises 1,073,741,824 entries, and its view holds {POINTS}",
        ),
        (glb(accessors__1__count=2**30), "accessor 1 promises 1,073,741,824 entries"),
        (glb(accessors__0__sparse={"count": 1}), "sparse list"),
        (glb(bufferViews__0__byteOffset=10**9), "view 0 ends at byte 1,000,000,"),
        (glb(buffers__0__byteLength=10**9), "buffer 0 says it has 1,000,000,000 bytes"),
        (glb(extensionsRequired=["KHR_draco_mesh_compression"]), "needs KHR_draco_mesh_compression"),
        (glb(nodes="x"), "nodes that are no list of tables"),
        (GLB[:300], "is cut short: it says it has"),
        (b"glTF\1\0\0\0" + GLB[8:], "is glTF 1; only glTF 2"),
        (json.dumps({"asset": {"version": "2.0"}}).encode(), "does not begin as one"),
    ],
    ids=lambda given: given[:30] if isinstance(given, str) else "",
)
def test_a_glb_says_which_part_is_wrong(tmp_path, raw, says):
    printed = refusal(tmp_path, "hull.glb", raw)
    assert says in printed and ("xport it again" in printed or "Copy it again" in printed)


def test_two_nodes_may_place_one_mesh(tmp_path):
    """A catamaran: the same mesh twice, side by side."""
    (tmp_path / "hull.glb").write_bytes(
        glb(nodes=[{"mesh": 0}, {"mesh": 0, "translation": [0, 3, 0]}], scenes=[{"nodes": [0, 1]}])
    )
    assert len(read_mesh(tmp_path / "hull.glb", "m")[1]) == 2 * FACES


@pytest.mark.parametrize(
    ("line", "says"),
    [
        ("f 1 2 9999", f"hull.obj:{LAST_LINE + 1}: a face names vertex 9999, and there are {POINTS}"),
        ("f 1 2 -9999", f"hull.obj:{LAST_LINE + 1}: a face names vertex -9999, and there are {POINTS}"),
        ("f 0 1 2", f"hull.obj:{LAST_LINE + 1}: a face names vertex 0; vertices are counted from 1"),
        ("f 1/1 0/2 3/3", f"hull.obj:{LAST_LINE + 1}: a face names vertex 0"),
        ("f 1 2 x", f'hull.obj:{LAST_LINE + 1}: a face names "x", which is no vertex'),
        ("v 1 2", f"hull.obj:{LAST_LINE + 1}: a vertex has three numbers"),
    ],
)
def test_an_obj_says_which_line_is_wrong(tmp_path, line, says):
    assert says in refusal(tmp_path, "hull.obj", OBJ + b"\n" + line.encode() + b"\n")


def test_comments_and_textures_of_an_obj_may_hold_noughts(tmp_path):
    (tmp_path / "hull.obj").write_bytes(OBJ + b"\n# f 0 1 2\nvt 0 0\ng f 0\n")
    assert len(read_mesh(tmp_path / "hull.obj", "m")[1]) == FACES


@pytest.mark.parametrize(
    ("raw", "says"),
    [
        (STL[:-20], f"is cut short: its header says {FACES} faces, and {FACES - 1} whole ones are there"),
        (STL[:-50], f"is cut short: its header says {FACES} faces, and {FACES - 1} whole ones are there"),
        (STL[:80] + b"\xff\xff\xff\xff" + STL[84:], "its header says 4,294,967,295 faces"),
        (b"solid" + STL[5:-10], "is cut short"),
        (STL[:50], "it has 50 bytes"),
        (STL + b"xx", "2 bytes follow them"),
        (STL_TEXT[: len(STL_TEXT) // 2], "is cut short: line"),
        (STL_TEXT.replace(b"vertex ", b"vertex x ", 1), "hull.stl:4: a vertex has three numbers"),
        (
            STL_TEXT.replace(b"endloop\nendfacet", b"vertex 0 0 0\nendloop\nendfacet", 1),
            "after 4 vertices; it must have 3",
        ),
    ],
)
def test_an_stl_says_where_it_ends(tmp_path, raw, says):
    assert says in refusal(tmp_path, "hull.stl", raw)


@pytest.mark.parametrize("raw", [PLY, BINARY_PLY], ids=["text", "binary"])
@pytest.mark.parametrize("element", ["vertex", "face"])
def test_a_ply_says_what_it_promises(tmp_path, raw, element):
    absurd = re.sub(
        rb"element %s \d+" % element.encode(), b"element %s 1000000000000" % element.encode(), raw
    )
    printed = refusal(tmp_path, "hull.ply", absurd)
    assert f"1,000,000,000,000 {element}" in printed and "follow it: a count is wrong" in printed
    assert "follow it: a count is wrong" in refusal(tmp_path, "hull.ply", raw[:-60])
    line = 3 if element == "vertex" else 7
    for odd in (b"-5", b"many", b""):
        spoilt = re.sub(
            rb"element %s \d+" % element.encode(), b"element %s %s" % (element.encode(), odd), raw
        )
        assert f"hull.ply:{line}: " in refusal(tmp_path, "hull.ply", spoilt)


def test_a_ply_says_which_face_names_no_vertex(tmp_path):
    printed = refusal(tmp_path, "hull.ply", PLY.replace(b"\n3 ", b"\n3 9999 ", 1))
    assert f"face 0 names vertex 9999, and there are {POINTS}" in printed


def test_the_boat_file_says_it_too(tmp_path):
    (tmp_path / "hull.glb").write_bytes(glb(nodes__0__children=[0]))
    (tmp_path / "boat.toml").write_text(
        'name = "x"\n[hull]\nmesh = "hull.glb"\nunits = "m"\nmeasured_to = "outside"\ntype = "open"\n'
    )
    with pytest.raises(
        BoatFileError, match=r"boat\.toml:3 hull\.mesh = \"hull\.glb\": hull\.glb: node 0 is its own child"
    ):
        read_boat(tmp_path)
