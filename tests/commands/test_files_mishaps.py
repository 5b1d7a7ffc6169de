"""What may go wrong between the program and the disk: no file half written, nothing read outside the
boat's folder."""

from __future__ import annotations

import json
import os
import resource
import shutil
import subprocess
import sys
import time
from pathlib import Path

import pytest
from kills import WRITER, kill_writers

from hullview.boat.files import write_whole
from hullview.boat.reader import read_boat
from hullview.errors import BoatFileError, MeshError, UsageError

ROOT = Path(__file__).parents[2]
KAYAK = ROOT / "models" / "short-kayak"


def hullview(*arguments: object, cwd: Path | None = None, **more) -> subprocess.CompletedProcess[str]:
    command = [sys.executable, "-m", "hullview", *map(str, arguments)]
    environment = os.environ | {"PYTHONPATH": str(ROOT)} | more.pop("env", {})
    return subprocess.run(
        command, capture_output=True, text=True, cwd=cwd, env=environment, timeout=100, **more
    )


# ---------------------------------------------------------------- stopped in the middle of writing


def test_a_killed_writer_leaves_the_old_file_or_the_new_one(tmp_path):
    assert kill_writers(tmp_path, 8, 3_000_000, 1) == 0


def test_two_writers_at_once_leave_one_whole_file(tmp_path):
    target = tmp_path / "report.html"
    environment = os.environ | {"PYTHONPATH": str(ROOT)}
    pair = [
        subprocess.Popen(
            [sys.executable, "-c", WRITER, str(target), str(n)], stdout=subprocess.DEVNULL, env=environment
        )
        for n in (500_000, 700_000)
    ]
    try:
        deadline = time.monotonic() + 20
        while not target.exists() and time.monotonic() < deadline:
            time.sleep(0.01)
        for _ in range(40):
            found = target.read_bytes()
            assert len(found) in (500_000, 700_000) and len(set(found)) == 1
            time.sleep(0.01)
    finally:
        for one in pair:
            one.kill()
            one.wait()


def test_a_full_disk_leaves_the_old_file_and_no_litter(tmp_path):
    target = tmp_path / "model.glb"
    target.write_bytes(b"old")
    done = subprocess.run(
        [
            sys.executable,
            "-c",
            (
                "import sys; from hullview.boat.files import write_whole; write_whole(sys.argv[1], b'x' *"
                " 100_000)"
            ),
            str(target),
        ],
        env=os.environ | {"PYTHONPATH": str(ROOT)},
        capture_output=True,
        text=True,
        preexec_fn=lambda: resource.setrlimit(resource.RLIMIT_FSIZE, (10_000, 10_000)),
    )
    assert done.returncode == 1 and "UsageError" in done.stderr and "too large" in done.stderr
    assert target.read_bytes() == b"old" and [p.name for p in tmp_path.iterdir()] == ["model.glb"]


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="no /dev/full")
@pytest.mark.parametrize("form", [(), ("--json",)])
def test_a_full_disk_behind_stdout_is_told_in_words(form):
    with open("/dev/full", "w") as full:
        done = subprocess.run(
            [sys.executable, "-m", "hullview", "materials", *form],
            stdout=full,
            stderr=subprocess.PIPE,
            text=True,
            env=os.environ | {"PYTHONPATH": str(ROOT)},
        )
    assert done.returncode == 2 and "disk is full" in done.stderr and "Traceback" not in done.stderr


@pytest.mark.parametrize(
    "place", ["/proc/report.html", "no such folder/report.html", ".", "/dev/null/x.html"]
)
def test_where_nothing_can_be_written_is_told_in_words(tmp_path, place, monkeypatch):
    monkeypatch.chdir(tmp_path)
    with pytest.raises(UsageError, match="cannot be written"):
        write_whole(place, b"x")
    assert list(tmp_path.iterdir()) == []


@pytest.mark.skipif(os.geteuid() == 0, reason="root may write anywhere")
def test_a_read_only_folder_is_told_in_words(tmp_path):
    tmp_path.chmod(0o555)
    try:
        with pytest.raises(UsageError, match="may not write there"):
            write_whole(tmp_path / "report.html", b"x")
    finally:
        tmp_path.chmod(0o755)


# ---------------------------------------------------------------- names

NAMES = [
    "two words",
    'it\'s "quoted"',
    "Schöner Kahn ☂",
    "-kayak",
    "--json",
    "a%20b",
    "semi;colon & co",
    "new\nline",
    "$(touch x)",
    "日本",
]


@pytest.mark.parametrize("name", NAMES)
def test_any_name_of_a_folder_will_do(tmp_path, name, monkeypatch):
    shutil.copytree(KAYAK, tmp_path / name)
    monkeypatch.chdir(tmp_path)
    assert (
        read_boat(name).name == "Short kayak"
        and read_boat(tmp_path / name / "boat.toml").name == "Short kayak"
    )


@pytest.mark.parametrize("name", NAMES[1:5:2])
def test_any_name_will_do_on_the_command_line(tmp_path, name):
    shutil.copytree(KAYAK, tmp_path / name)
    done = hullview("float", "--json", "--", name, cwd=tmp_path)
    assert done.returncode == 0, done.stderr
    assert json.loads(done.stdout)["floating"]["state"] == "afloat"
    assert sorted(p.name for p in tmp_path.iterdir()) == [name]


@pytest.mark.parametrize("name", ["lines plan ☂.svg", "-lines.svg", 'it\'s "q".svg'])
def test_any_name_of_a_file_to_write_will_do(tmp_path, name):
    write_whole(tmp_path / name, "<svg/>")
    assert (tmp_path / name).read_text() == "<svg/>" and len(list(tmp_path.iterdir())) == 1


# ---------------------------------------------------------------- nothing read outside the folder

AUDIT = """
import json, sys
seen = []
import hullview.study, hullview.boat.reader, hullview.boat.meshfile, trimesh
hullview.study.carry(hullview.boat.reader.read_boat(sys.argv[1]))  # so that everything lazy is loaded
def hook(event, given):
    if event == "open" and isinstance(given[0], str):
        seen.append(given[0])
sys.addaudithook(hook)
for folder in sys.argv[2:]:
    try:
        hullview.study.carry(hullview.boat.reader.read_boat(folder))
    except hullview.study.UsageError:
        pass
print(json.dumps(seen))
"""


def test_only_files_of_the_folder_are_opened(tmp_path):
    boat = tmp_path / "boat"
    shutil.copytree(KAYAK, boat)
    mesh = tmp_path / "mesh"
    mesh.mkdir()
    (tmp_path / "secret.mtl").write_text("newmtl x\nKd 1 0 0\n")
    corners = "\n".join(f"v {x} {y} {z}" for x in (0, 3) for y in (-0.4, 0.4) for z in (0, 0.4))
    faces = [
        "1 2 4",
        "1 4 3",
        "5 7 8",
        "5 8 6",
        "1 5 6",
        "1 6 2",
        "3 4 8",
        "3 8 7",
        "1 3 7",
        "1 7 5",
        "2 6 8",
        "2 8 4",
    ]
    (mesh / "hull.obj").write_text(
        f"mtllib ../secret.mtl\n{corners}\nusemtl x\n" + "\n".join(f"f {f}" for f in faces)
    )
    (mesh / "boat.toml").write_text(
        'name = "x"\n[hull]\nmesh = "hull.obj"\nunits = "m"\nmeasured_to = "outside"\ntype = "open"\n'
    )
    done = subprocess.run(
        [sys.executable, "-c", AUDIT, str(KAYAK), str(boat), str(mesh)],
        capture_output=True,
        text=True,
        env=os.environ | {"PYTHONPATH": str(ROOT)},
    )
    opened = [Path(p).resolve() for p in json.loads(done.stdout)]
    assert opened, done.stderr
    allowed = (boat, mesh, ROOT / "hullview", Path(sys.prefix), Path(sys.base_prefix))
    strangers = [p for p in opened if not any(p.is_relative_to(a) for a in allowed)]
    assert strangers == [], strangers


@pytest.mark.parametrize("which", ["offsets.csv", "boat.toml"])
def test_a_link_out_of_the_folder_is_not_followed(tmp_path, which):
    shutil.copytree(KAYAK, tmp_path / "boat")
    outside = tmp_path / which
    shutil.move(tmp_path / "boat" / which, outside)
    (tmp_path / "boat" / which).symlink_to(outside)
    with pytest.raises(BoatFileError, match="leaves the boat's folder"):
        read_boat(tmp_path / "boat")


def test_a_link_within_the_folder_and_a_link_to_the_folder_are_followed(tmp_path):
    shutil.copytree(KAYAK, tmp_path / "boat")
    (tmp_path / "boat" / "offsets.csv").rename(tmp_path / "boat" / "table.csv")
    (tmp_path / "boat" / "offsets.csv").symlink_to("table.csv")
    (tmp_path / "shelf").symlink_to("boat")
    assert read_boat(tmp_path / "shelf").name == "Short kayak"


@pytest.mark.parametrize(
    "name",
    [
        "../secret.csv",
        "/etc/hostname",
        "sub/../../secret.csv",
        "..",
        ".",
        "",
        "a\\b.csv",
        "/dev/zero",
        "boat.toml\\u0000",
    ],
)
def test_names_that_lead_elsewhere_are_refused(tmp_path, name):
    shutil.copytree(KAYAK, tmp_path / "boat")
    (tmp_path / "secret.csv").write_text((KAYAK / "offsets.csv").read_text())
    toml = (
        (tmp_path / "boat" / "boat.toml")
        .read_text()
        .replace('"offsets.csv"', f'"{name}"' if "\\u" in name else repr(name))
    )
    (tmp_path / "boat" / "boat.toml").write_text(toml)
    with pytest.raises(BoatFileError, match=r"boat\.toml:\d+"):
        read_boat(tmp_path / "boat")


@pytest.mark.timeout(20)
def test_a_pipe_in_place_of_a_file_is_not_waited_for(tmp_path):
    shutil.copytree(KAYAK, tmp_path / "boat")
    (tmp_path / "boat" / "offsets.csv").unlink()
    os.mkfifo(tmp_path / "boat" / "offsets.csv")
    with pytest.raises(BoatFileError, match="not an ordinary file"):
        read_boat(tmp_path / "boat")
    os.mkfifo(tmp_path / "hull.stl")
    from hullview.boat.meshfile import read_mesh

    with pytest.raises(MeshError, match="not an ordinary file"):
        read_mesh(tmp_path / "hull.stl", "m")
