"""What is wrong with an STL, OBJ or PLY file, told in words: what was promised and is not there, which
line says what it must not."""

from __future__ import annotations

import re

from hullview.errors import MeshError

COPY = "Copy it again, or export it again."
_PROPERTY = {
    b"char": 1, b"uchar": 1, b"int8": 1, b"uint8": 1, b"short": 2, b"ushort": 2, b"int16": 2, b"uint16": 2,
    b"int": 4, b"uint": 4, b"int32": 4, b"uint32": 4, b"float": 4, b"float32": 4, b"double": 8, b"float64": 8,
}  # fmt: skip
_ZERO = re.compile(rb"^[ \t]*f[ \t](?:[^\n#]*[ \t])?-?0+(?=[/\s]|\Z)", re.MULTILINE)


def is_text_stl(raw: bytes) -> bool:
    """Whether an STL is written in words; a binary one may begin with "solid" too."""
    return raw[:5].lower() == b"solid" and b"facet" in raw[:2000].lower()


def check_stl(name: str, raw: bytes) -> None:
    """Refuse an STL that ends too soon, or goes on after its end."""
    if raw[:5].lower() == b"solid" and (is_text_stl(raw) or len(raw) < 84):
        end = raw[-2000:].lower().rstrip()
        if b"endsolid" not in end and not end.endswith(b"endfacet"):
            line = raw.rstrip().count(b"\n") + 1
            raise MeshError(
                f"{name}: is cut short: line {line} is its last, and the solid does not end. {COPY}"
            )
        return
    if len(raw) < 84:
        raise MeshError(
            f"{name}: is cut short: it has {len(raw)} bytes, and a binary STL has 84 before its first face."
            f" {COPY}"
        )
    count, held = int.from_bytes(raw[80:84], "little"), (len(raw) - 84) / 50
    if count > held:
        raise MeshError(
            f"{name}: is cut short: its header says {count:,} faces, and {int(held):,} whole ones are there."
            f" {COPY}"
        )
    if count < held:
        more = len(raw) - 84 - 50 * count
        raise MeshError(f"{name}: its header says {count:,} faces, and {more:,} bytes follow them. {COPY}")


def check_ply(name: str, raw: bytes) -> None:
    """Refuse a PLY whose header promises more than the file holds."""
    end = raw.find(b"end_header")
    if raw[:3] != b"ply" or end < 0:
        what = "its header does not end" if raw[:3] == b"ply" else 'it does not begin with "ply"'
        raise MeshError(f"{name}: is no whole PLY file: {what}. {COPY}")
    head = raw[:end].splitlines()
    begin = raw.find(b"\n", end) + 1 or len(raw)
    text = any(line.split()[:2] == [b"format", b"ascii"] for line in head)
    promised: list[str] = []
    lines = size = each = 0
    for n, line in enumerate(head, 1):
        words = line.split()
        if words[:1] == [b"element"]:
            count = _word(words[2]) if len(words) == 3 else ""
            if not re.fullmatch(r"[0-9]{1,18}", count):
                raise MeshError(f'{name}:{n}: "{_word(line)}" gives no count, a whole number. {COPY}')
            each = int(count)
            lines += each
            promised.append(f"{each:,} {_word(words[1])}")
        elif words[:1] == [b"property"]:
            size += each * _least(words)
    there = len(raw) - begin
    if text:
        there = raw.count(b"\n", begin) + (not raw.endswith(b"\n"))
    if (lines if text else size) > there:
        kind = "lines" if text else "bytes"
        raise MeshError(
            f"{name}: its header promises {' and '.join(promised)[:200]} entries, and {there:,} {kind} follow"
            f" it: a count is wrong, or the file is cut short. {COPY}"
        )


def _least(words: list[bytes]) -> int:
    """The least bytes that one property of a binary PLY takes; the list of a face's vertices holds three
    or more."""
    if words[1:2] != [b"list"]:
        return _PROPERTY.get(words[1] if words[1:] else b"", 1)
    items = 3 if b"vert" in words[-1] else 0
    return _PROPERTY.get(words[2] if words[2:] else b"", 1) + items * _PROPERTY.get(
        words[3] if words[3:] else b"", 1
    )


def _word(raw: bytes) -> str:
    return "".join(c if c.isprintable() else "?" for c in raw[:40].decode("ascii", "replace"))


def check_obj(name: str, raw: bytes) -> None:
    """Refuse an OBJ with a vertex 0: its vertices are counted from 1, and from -1 backwards."""
    if zero := _ZERO.search(raw):
        line = raw.count(b"\n", 0, zero.end()) + 1
        raise MeshError(f"{name}:{line}: a face names vertex 0; vertices are counted from 1. {COPY}")


def why_not_obj(name: str, raw: bytes) -> MeshError | None:
    """Which line of an OBJ that could not be read is wrong, or None if none is found to be."""
    total = len(re.findall(rb"^[ \t]*v[ \t]", raw, re.MULTILINE))
    seen = 0
    for n, line in enumerate(raw.split(b"\n"), 1):
        words = line.split(b"#")[0].split()
        if words[:1] == [b"v"]:
            seen += 1
            if len(words) < 4 or not all(_is_number(w) for w in words[1:4]):
                return MeshError(f"{name}:{n}: a vertex has three numbers, v x y z. {COPY}")
        elif words[:1] == [b"f"]:
            for word in words[1:]:
                index = word.split(b"/")[0].decode("ascii", "replace")
                if not re.fullmatch(r"-?[0-9]+", index):
                    return MeshError(f'{name}:{n}: a face names "{_word(word)}", which is no vertex. {COPY}')
                k = int(index) if len(index) < 20 else 10**20
                if k > total or -k > seen:
                    return MeshError(
                        f"{name}:{n}: a face names vertex {_word(word)}, and there are"
                        f" {total if k > 0 else seen:,}. {COPY}"
                    )
    return None


def why_not_stl(name: str, raw: bytes) -> MeshError | None:
    """Which line of an STL in words is wrong, or None if none is found to be."""
    if not is_text_stl(raw):
        return None
    corners = 0
    for n, line in enumerate(raw.split(b"\n"), 1):
        words = line.lower().split()
        if words[:1] == [b"vertex"]:
            corners += 1
            if len(words) != 4 or not all(_is_number(w) for w in words[1:]):
                return MeshError(f"{name}:{n}: a vertex has three numbers. {COPY}")
        elif words[:1] == [b"endfacet"]:
            if corners != 3:
                return MeshError(
                    f"{name}:{n}: a face ends here after {corners} vertices; it must have 3. {COPY}"
                )
            corners = 0
    return None


def _is_number(word: bytes) -> bool:
    try:
        float(word)
    except ValueError:
        return False
    return True
