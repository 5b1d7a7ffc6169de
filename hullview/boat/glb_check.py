"""What is wrong with a GLB file, told in words before its meshes are read: parts outside it, numbers that
lead past its end, nodes in a ring."""

from __future__ import annotations

import json
from collections.abc import Iterator
from typing import Any

from hullview.errors import MeshError

AGAIN = "Export it again as one binary file (GLB) without compression, or as STL."
MOST_FACES = 20_000_000
"""More faces than a file of the largest size holds; a mesh placed so often is no hull."""
_BYTES = {5120: 1, 5121: 1, 5122: 2, 5123: 2, 5125: 4, 5126: 4}
_NUMBERS = {"SCALAR": 1, "VEC2": 2, "VEC3": 3, "VEC4": 4, "MAT2": 4, "MAT3": 9, "MAT4": 16}
_HARMLESS = ("KHR_materials", "KHR_texture", "EXT_texture", "KHR_lights", "KHR_xmp")
"""Extensions that say how a mesh looks, not where it is."""

Object = dict[str, Any]


class Wrong(Exception):
    """What is wrong, and how to mend it."""


def check_glb(name: str, raw: bytes) -> None:
    """Refuse a GLB file (glTF 2.0) whose meshes cannot be read as they are meant.

    Parameters
    ----------
    name : str
        Of the file, for the message.
    raw : bytes
        The whole file.

    Raises
    ------
    MeshError
        Saying which part is wrong and how to mend it.

    References
    ----------
    glTF 2.0 Specification (Khronos Group), sections 3.5 (nodes are strict trees), 3.6 (buffers and accessors)
    and 4 (GLB).
    """
    try:
        scene, room = _parts(raw)
        _extensions(scene)
        _buffers(scene, room)
        _nodes(scene)
    except Wrong as error:
        raise MeshError(f"{name}: {error}") from error


def _parts(raw: bytes) -> tuple[Object, int]:
    """The description of the scene, and how many bytes of data the file holds beside it."""
    if raw[:4] != b"glTF" or len(raw) < 20:
        raise Wrong(f"is no GLB file: it does not begin as one. {AGAIN}")
    version, size, length = (int.from_bytes(raw[k : k + 4], "little") for k in (4, 8, 12))
    if version != 2:
        raise Wrong(f"is glTF {version}; only glTF 2 is read. {AGAIN}")
    if size > len(raw) or 20 + length > len(raw):
        raise Wrong(
            f"is cut short: it says it has {max(size, 20 + length):,} bytes and has {len(raw):,}. Copy it"
            " again."
        )
    try:
        scene = json.loads(raw[20 : 20 + length])
    except (ValueError, RecursionError) as error:
        raise Wrong(f"has a description that is no JSON. {AGAIN}") from error
    if not isinstance(scene, dict):
        raise Wrong(f"has a description that is no table. {AGAIN}")
    for kind in ("buffers", "bufferViews", "accessors", "nodes", "meshes", "scenes"):
        for _ in _each(scene, kind):
            pass
    return scene, max(len(raw) - 20 - length - 8, 0)


def _each(scene: Object, kind: str) -> Iterator[tuple[int, Object]]:
    """The entries of one list of the description, numbered from 0 as they are there."""
    entries = scene.get(kind, [])
    if not isinstance(entries, list) or not all(isinstance(e, dict) for e in entries):
        raise Wrong(f"has {kind} that are no list of tables. {AGAIN}")
    yield from enumerate(entries)


def _whole(value: object, what: str, most: int | None = None) -> int:
    """A whole number of 0 or more, less than `most`."""
    if isinstance(value, bool) or not isinstance(value, int) or value < 0:
        raise Wrong(f"{what} is no whole number. {AGAIN}")
    if most is not None and value >= most:
        raise Wrong(f"{what} is number {value}; there are {most}, counted from 0. {AGAIN}")
    return value


def _extensions(scene: Object) -> None:
    needed = scene.get("extensionsRequired", [])
    odd = [str(e) for e in needed if not str(e).startswith(_HARMLESS)] if isinstance(needed, list) else ["?"]
    if odd:
        raise Wrong(f"needs {_printable(odd[0])}, which is not read here. {AGAIN}")


def _buffers(scene: Object, room: int) -> None:
    """Every number of the meshes must lie inside the file."""
    for i, buffer in _each(scene, "buffers"):
        if "uri" in buffer:
            uri = str(buffer["uri"])
            where = "as text" if uri.startswith("data:") else f'in another file, "{_printable(uri)}"'
            raise Wrong(
                f"has the points of buffer {i} {where}; only what is in the file itself is read. {AGAIN}"
            )
        size = _whole(buffer.get("byteLength"), f"the length of buffer {i}")
        if i or size > room:
            raise Wrong(
                f"buffer {i} says it has {size:,} bytes, and the file has {room:,}. Copy or {_low(AGAIN)}"
            )
    views, buffers = list(_each(scene, "bufferViews")), len(scene.get("buffers", []))
    for i, view in views:
        _whole(view.get("buffer"), f"the buffer of view {i}", buffers)
        end = _whole(view.get("byteOffset", 0), f"the start of view {i}")
        end += _whole(view.get("byteLength"), f"the length of view {i}")
        if end > room:
            raise Wrong(f"view {i} ends at byte {end:,}, and the file has {room:,}. {AGAIN}")
    for i, accessor in _each(scene, "accessors"):
        _accessor(i, accessor, views)


def _accessor(i: int, accessor: Object, views: list[tuple[int, Object]]) -> None:
    if "sparse" in accessor:
        raise Wrong(f"has some points of accessor {i} in a sparse list, which is not read here. {AGAIN}")
    count = _whole(accessor.get("count"), f"the count of accessor {i}")
    component = _whole(accessor.get("componentType"), f"the kind of number of accessor {i}")
    each = _BYTES.get(component, 0) * _NUMBERS.get(str(accessor.get("type")), 0)
    if not each:
        raise Wrong(f"accessor {i} holds no known kind of numbers. {AGAIN}")
    if "bufferView" not in accessor:
        raise Wrong(f"accessor {i} has no numbers: it names no view. {AGAIN}")
    view = views[_whole(accessor["bufferView"], f"the view of accessor {i}", len(views))][1]
    step = _whole(view.get("byteStride", each), f"the step of view {accessor['bufferView']}")
    start = _whole(accessor.get("byteOffset", 0), f"the start of accessor {i}")
    held = max(0, (view["byteLength"] - start - each) // max(step, 1) + 1)
    if count > held:
        raise Wrong(f"accessor {i} promises {count:,} entries, and its view holds {held:,}. {AGAIN}")


def _nodes(scene: Object) -> None:
    """Nodes are trees: none is its own ancestor, none has two parents; and what they place is no endless
    number of faces."""
    nodes, meshes = list(_each(scene, "nodes")), list(_each(scene, "meshes"))
    parent: dict[int, int] = {}
    for i, node in nodes:
        children = node.get("children", [])
        if not isinstance(children, list):
            raise Wrong(f"{_node(i, node)} has children that are no list. {AGAIN}")
        for child in children:
            k = _whole(child, f"a child of {_node(i, node)}", len(nodes))
            if k == i:
                raise Wrong(f"{_node(i, node)} is its own child. {AGAIN}")
            if k in parent:
                raise Wrong(
                    f"{_node(k, nodes[k][1])} is a child twice, so its meshes would be there twice. {AGAIN}"
                )
            parent[k] = i
        more = node.get("extensions")
        if isinstance(more, dict) and "EXT_mesh_gpu_instancing" in more:
            raise Wrong(f"{_node(i, node)} places one mesh many times, which is not read here. {AGAIN}")
    done: set[int] = set()
    for i in parent:
        trail: set[int] = set()
        while i in parent and i not in done:
            if i in trail:
                raise Wrong(
                    f"{_node(i, nodes[i][1])} is its own ancestor: its parents lead round in a ring. {AGAIN}"
                )
            trail.add(i)
            i = parent[i]
        done |= trail
    faces = [_faces(scene, i, mesh) for i, mesh in meshes]
    placed = sum(
        faces[_whole(n["mesh"], f"the mesh of {_node(i, n)}", len(meshes))] for i, n in nodes if "mesh" in n
    )
    if placed > MOST_FACES:
        raise Wrong(f"places {placed:,} faces; at most {MOST_FACES:,} are read. {AGAIN}")


def _faces(scene: Object, i: int, mesh: Object) -> int:
    """How many faces one mesh has, at most; its accessors are looked up on the way."""
    accessors = list(_each(scene, "accessors"))
    total = 0
    for _, primitive in _each(mesh, "primitives"):
        attributes = primitive.get("attributes")
        place = attributes.get("POSITION") if isinstance(attributes, dict) else None
        for what, k in (("points", place), ("faces", primitive.get("indices", place))):
            index = _whole(k, f"the accessor of the {what} of mesh {i}", len(accessors))
            total += accessors[index][1]["count"] // 3 if what == "faces" else 0
    return total


def _node(i: int, node: Object) -> str:
    name = _printable(node.get("name", ""))
    return f'node {i} ("{name}")' if name else f"node {i}"


def _printable(text: object) -> str:
    return "".join(c if c.isprintable() else "?" for c in str(text)[:60])


def _low(sentence: str) -> str:
    return sentence[0].lower() + sentence[1:]
