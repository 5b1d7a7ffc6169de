"""What the fuzzers in tests/fuzz found, each as the smallest folder that shows it."""

from __future__ import annotations

import random
from pathlib import Path

import meshes
import pytest

from hullview.boat.meshfile import read_mesh
from hullview.boat.reader import read_boat
from hullview.commands import status_of
from hullview.errors import BoatFileError, MeshError, ShapeError
from hullview.shape.body import Body
from hullview.study import carry

MODELS = Path(__file__).parents[2] / "models"


def spoilt(tmp_path: Path, model: str, *changes: tuple[str, str]) -> Path:
    """A model with texts changed in its two files."""
    for name in ("boat.toml", "offsets.csv"):
        text = (MODELS / model / name).read_text()
        for old, new in changes:
            text = text.replace(old, new, 1)
        (tmp_path / name).write_text(text)
    return tmp_path


def mistakes(folder: Path) -> list[str]:
    with pytest.raises(BoatFileError) as refused:
        read_boat(folder)
    return [str(m) for m in refused.value.mistakes]


def test_a_sheer_under_the_keel_is_refused_at_its_cell(tmp_path):
    # It made a mesh that is inside out, and the message spoke of faces.
    found = mistakes(spoilt(tmp_path, "flat-skiff", ("height,sheer,,560,514", "height,sheer,,560,10")))
    assert found[0].startswith(
        "offsets.csv row 3 column 5 height sheer at station 1 = 10 mm: must lie above the keel"
    )


def test_breadth_under_the_keel_is_refused_at_its_cell(tmp_path):
    text = (MODELS / "short-kayak" / "offsets.csv").read_text()
    keel = next(line for line in text.split("\n") if line.startswith("height,keel"))
    raised = ",".join(
        c if i < 3 or not c else str(int(c) + (60 if i == 10 else 0)) for i, c in enumerate(keel.split(","))
    )
    found = mistakes(spoilt(tmp_path, "short-kayak", (keel, raised)))
    assert any("this waterline lies below the keel" in m and "column 11" in m for m in found)


@pytest.mark.parametrize(
    "point, says",
    [("73420, 112", "lies 73.4 m aft of the datum"), ("3420, 3112", "lies at a height of 3.11 m")],
)
def test_a_profile_far_from_its_end_is_refused_at_its_point(tmp_path, point, says):
    # A digit too many made a boat 73 m long, or one inside out.
    folder = spoilt(tmp_path, "flat-skiff")
    text = (folder / "boat.toml").read_text()
    stern = text.index("[hull.stern]")
    (folder / "boat.toml").write_text(text[:stern] + text[stern:].replace("3420, 112", point, 1))
    assert any("hull.stern.profile[2]" in m and says in m for m in mistakes(folder))


def test_a_refusal_after_reading_names_the_file_too(tmp_path):
    folder = spoilt(tmp_path, "short-kayak", ('width = "0.46 m"', 'width = "1.2 m"'))
    with pytest.raises(ShapeError, match=r"^boat\.toml: coaming 1: reaches past the edge of the deck"):
        carry(read_boat(folder))


BOX_FACES = "\n".join(
    f"f {a} {b} {c}"
    for a, b, c in (
        (1, 2, 4),
        (1, 4, 3),
        (5, 7, 8),
        (5, 8, 6),
        (1, 5, 6),
        (1, 6, 2),
        (3, 4, 8),
        (3, 8, 7),
        (1, 3, 7),
        (1, 7, 5),
        (2, 6, 8),
        (2, 8, 4),
    )
)


def box_obj(more: str = "", long: float = 2.0, thick: float = 0.5, at: float = 0.0) -> str:
    corners = [f"v {x + at} {y} {z}" for x in (0, long) for y in (0, 1) for z in (0, thick)]
    return "\n".join(corners) + f"\n{more}\n{BOX_FACES}\n"


@pytest.mark.parametrize(
    "text, says",
    [
        ("v 1\nv 2\nv 3\nf 1 2 3\n", "hull.obj:1: a vertex has three numbers"),
        ("v 0 0 0\nv 1 0 0\nv 0 1 0\nf 1 2 9\n", "hull.obj"),
        (box_obj(thick=2e-6), "it is flat"),
        (box_obj(at=1e6), "from its datum"),
    ],
)
def test_meshes_of_nothing_flat_or_far_away_are_refused_in_words(tmp_path, text, says):
    # Each ended in a traceback of the library that reads meshes, or in a search for a rest that has none.
    (tmp_path / "hull.obj").write_text(text)
    with pytest.raises(MeshError, match=says):
        read_mesh(tmp_path / "hull.obj", "m")


def test_a_vertex_that_no_face_uses_says_nothing_of_the_size(tmp_path):
    (tmp_path / "hull.obj").write_text(box_obj("v 1e15 0 0"))
    vertices, _ = read_mesh(tmp_path / "hull.obj", "m")
    assert len(vertices) == 8 and vertices.max() == 2.0


def test_a_binary_stl_is_the_same_mesh_as_its_text(tmp_path):
    rng = random.Random(3)
    mesh = meshes.whole(rng, 9)
    (tmp_path / "a.stl").write_bytes(meshes.as_stl(mesh))
    (tmp_path / "b.stl").write_bytes(meshes.as_stl_text(mesh))
    a, b = (Body(*read_mesh(tmp_path / name, "m")) for name in ("a.stl", "b.stl"))
    assert len(a.vertices) == len(mesh[0]) and abs(a.volume / b.volume - 1) < 1e-6


@pytest.mark.parametrize(
    "raw",
    [b"solid hull\nfacet normal 0 0 zero\n" * 20, b"\0" * 80 + b"\1\0\0\0" + b"\1\0\x80\x7f" * 12 + b"\0\0"],
)
def test_a_broken_mesh_file_prints_nothing_of_its_own(tmp_path, capfd, raw):
    (tmp_path / "hull.stl").write_bytes(raw)
    with pytest.raises(MeshError):
        read_mesh(tmp_path / "hull.stl", "m")
    assert capfd.readouterr() == ("", "")


@pytest.mark.parametrize(
    "outline, says",
    [
        ("[[2.45, 0.012], [3.46, 0.127], [3.42, -0.005]]", "encloses 1.01 mm by 0.132 mm"),
        ("[[24500, 12], [34600, 127], [34200, -5]]", "lies off the boat"),
    ],
)
def test_an_appendage_in_another_unit_is_refused(tmp_path, outline, says):
    # The dinghy that is shipped had its skeg in metres where bare numbers are millimetres: a speck that
    # weighed nothing.
    folder = spoilt(
        tmp_path,
        "pulling-dinghy",
        ("[[2450, 12], [3050, 62], [3460, 127], [3420, -5], [2600, -10]]", outline),
    )
    assert any("appendage[1].outline" in m and says in m for m in mistakes(folder))


@pytest.mark.parametrize("blank", ["\x0b", "\x0c", "\u2028", "\u3000 ", "\x1c"])
def test_a_line_of_odd_blanks_is_a_row_of_the_wrong_width(tmp_path, blank):
    # It was neither empty nor had a first character: an IndexError.
    folder = spoilt(tmp_path, "flat-skiff")
    table = folder / "offsets.csv"
    table.write_text(
        table.read_text().replace("\nheight,sheer", f"\n{blank}\nheight,sheer", 1), encoding="utf-8"
    )
    assert "offsets.csv row 3" in mistakes(folder)[0]


def test_messages_are_english_and_keys_stand_as_in_the_file(tmp_path):
    folder = spoilt(tmp_path, "flat-skiff", ('depth = "32 mm"', 'depth = "32 g/m2"'))
    assert any("must be a length; g/m2 is an areal weight" in m for m in mistakes(folder))
    (folder / "boat.toml").write_text("[builds.x]\nhours = 1\n[builds.x]\n")
    assert mistakes(folder)[0].startswith("boat.toml:3 the file: is not TOML: Cannot declare builds.x twice")


def test_the_command_says_which_mesh_is_open(tmp_path, capsys):
    (tmp_path / "hull.obj").write_text(box_obj().rpartition("\nf ")[0])
    assert (
        status_of(
            ["float", str(tmp_path / "hull.obj"), "--units", "m", "--mass", "200 kg", "--centre", "1,0.5,0.2"]
        )
        == 3
    )
    assert capsys.readouterr().err.startswith("hull.obj: the mesh is open: 3 edges")
