"""The same input gives the same bytes on every run, and words from a boat's file do no harm wherever they
come out."""

from __future__ import annotations

import csv
import hashlib
import io
import json
import os
import subprocess
import sys
from pathlib import Path
from xml.etree import ElementTree

import pytest

from hullview.boat.reader import read_boat
from hullview.commands import status_of
from hullview.errors import BoatFileError

ROOT = Path(__file__).parents[2]
SKIFF, KAYAK = ROOT / "models" / "flat-skiff", ROOT / "models" / "short-kayak"

RUN = """
import contextlib, hashlib, io, json, sys
from pathlib import Path
from hullview.commands import status_of
made = {}
for line in json.loads(sys.argv[1]):
    said = io.StringIO()
    with contextlib.redirect_stdout(said):
        status = status_of(line)
    assert status == 0, (line, status)
    made[" ".join(line)] = hashlib.sha256(said.getvalue().encode()).hexdigest()
made |= {p.name: hashlib.sha256(p.read_bytes()).hexdigest() for p in sorted(Path(sys.argv[2]).iterdir())}
print(json.dumps(made))
"""


def digests(lines: list[list[str]], folder: Path, seed: int) -> dict[str, str]:
    folder.mkdir()
    lines = [[word.replace("OUT", str(folder)) for word in line] for line in lines]
    done = subprocess.run(
        [sys.executable, "-c", RUN, json.dumps(lines), str(folder)],
        capture_output=True,
        text=True,
        cwd=ROOT,
        timeout=110,
        env=os.environ | {"PYTHONPATH": str(ROOT), "PYTHONHASHSEED": str(seed)},
    )
    assert done.returncode == 0, done.stderr
    return {key.replace(str(folder), "OUT"): value for key, value in json.loads(done.stdout).items()}


BOAT = "models/flat-skiff"
PLAIN = [
    *([c, BOAT, "--json"] for c in ("carry", "weigh", "buy", "check", "hydrostatics", "float")),
    *([c, BOAT, "--csv"] for c in ("weigh", "check")),
    ["carry", BOAT],
    ["righting", BOAT, "--json", "--plot", "OUT/righting.svg"],
    ["show", BOAT, "--lines", "OUT/lines.svg"],
    ["compare", "models/short-kayak", "clamped-sheer", "taped-seam", "--json"],
]
DRAWN = [["report", BOAT, "--light", "-o", "OUT/page.html"], ["show", BOAT, "--save", "OUT/model.glb"]]


def test_text_json_csv_and_drawings_are_the_same_bytes_on_every_run(tmp_path):
    first, second = (digests(PLAIN, tmp_path / str(seed), seed) for seed in (1, 77))
    assert first == second and len(first) == len(PLAIN) + 2


@pytest.mark.render
def test_page_with_its_picture_and_model_are_the_same_bytes_on_every_run(tmp_path):
    first, second = (digests(DRAWN, tmp_path / str(seed), seed) for seed in (1, 77))
    assert first == second and len(first) == len(DRAWN) + 2


# ---------------------------------------------------------------- words that would do harm

NASTY = (
    "<script>alert(1)</script>\"'&{{7*7}}</style>%s $x_2$ \\",
    "$\\nosuch{1$ $x$ [bold red]m[/bold red] :smile: %(x)s {0} \\u0041 ]]> ${HOME} `id`",
    "=SUM(A1)+cmd|' /C calc'!A0",
    "  @import",
    "-2+3",
)


@pytest.fixture(scope="module", params=NASTY[:2], ids=["markup", "mathematics"])
def nasty(request, tmp_path_factory):
    return named(request.param, tmp_path_factory.mktemp("boat")), request.param


def named(name: str, folder: Path) -> Path:
    """The short kayak with every name in its file, and one in the table's header, replaced by something
    that would do harm."""
    toml = '"' + name.replace("\\", "\\\\").replace('"', '\\"') + '"'
    lines = (KAYAK / "boat.toml").read_text().replace("clamped-sheer", toml).split("\n")
    texts = ("name = ", "notes = ", "builder = ")
    cases = 0  # each needs a name of its own
    for k, line in enumerate(lines):
        cases += line == "[[case]]"
        if line.startswith(texts):
            own = f'{toml[:-1]} {cases}"' if lines[k - 1] == "[[case]]" else toml
            lines[k] = f"{line.split(' = ')[0]} = {own}"
    (folder / "boat.toml").write_text("\n".join(lines))
    cell = io.StringIO()
    csv.writer(cell).writerow([name])
    (folder / "offsets.csv").write_text(
        (KAYAK / "offsets.csv").read_text().replace("at,0,1,2,", f"at,0,1,{cell.getvalue().strip()},", 1)
    )
    return folder


COMMANDS = ("carry", "float", "weigh", "compare", "buy", "check", "hydrostatics", "righting")


@pytest.mark.parametrize("command", COMMANDS)
def test_the_terminal_gets_words_only(nasty, command, capsys):
    folder, _ = nasty
    assert status_of([command, str(folder)]) == 0
    printed = capsys.readouterr()
    assert all(c.isprintable() or c == "\n" for c in printed.out + printed.err)


@pytest.mark.parametrize("name", NASTY)
@pytest.mark.parametrize("command", ["weigh", "buy", "check"])
def test_no_cell_of_a_csv_is_a_formula(name, command, tmp_path, capsys):
    assert status_of([command, str(named(name, tmp_path)), "--csv"]) == 0
    for row in csv.reader(io.StringIO(capsys.readouterr().out)):
        for cell in row:
            number = (
                cell.lstrip("+-").replace(".", "", 1).replace("e-", "").replace("e+", "").isalnum()
                and cell[-1:].isdigit()
            )
            assert number or not cell.lstrip().startswith(("=", "+", "-", "@")), cell


def test_json_gives_every_word_back(nasty, capsys):
    folder, name = nasty
    assert status_of(["carry", str(folder), "--json"]) == 0
    assert json.loads(capsys.readouterr().out)["boat"] == name


def test_drawings_show_the_words_and_run_nothing(nasty, tmp_path):
    folder, _ = nasty
    assert status_of(["show", str(folder), "--lines", str(tmp_path / "lines.svg")]) == 0
    assert status_of(["righting", str(folder), "--plot", str(tmp_path / "righting.svg")]) == 0
    for file in tmp_path.iterdir():
        tree = ElementTree.parse(file)
        tags = {e.tag.rpartition("}")[2] for e in tree.iter()}
        assert not tags & {"script", "foreignObject", "image", "a"}, file
        assert not any(key.lower().startswith("on") for e in tree.iter() for key in e.attrib)


def test_control_characters_are_refused_where_they_stand(tmp_path):
    for name in ("\x1b[2J", "\u202e", "\x9b31m", "a\x00b", "\x07"):
        toml = (KAYAK / "boat.toml").read_text().replace('"Short kayak"', json.dumps(name))
        (tmp_path / "boat.toml").write_text(toml)
        (tmp_path / "offsets.csv").write_text((KAYAK / "offsets.csv").read_text())
        with pytest.raises(BoatFileError, match=r"boat\.toml:2 name") as refused:
            read_boat(tmp_path)
        assert all(c.isprintable() for c in str(refused.value))


def test_the_checksum_in_an_answer_is_that_of_the_files(capsys):
    assert status_of(["carry", str(SKIFF), "--json"]) == 0
    raw = (SKIFF / "boat.toml").read_bytes() + b"\0" + (SKIFF / "offsets.csv").read_bytes()
    assert json.loads(capsys.readouterr().out)["checksum"] == hashlib.sha256(raw).hexdigest()
