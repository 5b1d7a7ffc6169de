"""stdout closed, or its reader gone: every command is quiet and ends as it would have ended."""

from __future__ import annotations

import json
import os
import shlex
import subprocess
import sys
from pathlib import Path

import pytest

from hullview.commands import COMMANDS

ROOT = Path(__file__).parents[2]
KAYAK = "models/short-kayak"
LINES = {
    "carry": [["carry", KAYAK], ["carry", "--help"]],
    "float": [["float", KAYAK]],
    "hydrostatics": [
        [
            "hydrostatics",
            KAYAK,
            *["--from", "100mm", "--to", "100mm", "--step", "1mm", "--plot", "curves.svg"],
        ],
    ],
    "righting": [["righting", KAYAK, *["--to", "10", "--step", "10", "--posture", "rigid"]]],
    "weigh": [["weigh", KAYAK, "--json"], ["weigh", KAYAK, "--csv"]],
    "batches": [["batches", KAYAK, "--json"], ["batches", KAYAK, "--csv"]],
    "compare": [["compare", KAYAK]],
    "alter": [["alter", KAYAK, "--lengthen", "2 %"]],
    "cases": [["cases", KAYAK]],
    "completion": [["completion", "bash"]],
    "buy": [["buy", KAYAK]],
    "check": [["check", KAYAK]],
    "forms": [["forms", KAYAK, "--json"]],
    "show": [["show", KAYAK, "--save", "boat.glb"]],
    "report": [["report", KAYAK, "--sheet", "-o", "bench.html"]],
    "materials": [["materials"]],
    "new": [["new", "boat"]],
}
"""Something to ask of each command that needs no screen."""

RUN_EACH = """
import json, os, sys, tempfile
import hullview.show.page, hullview.show.charts, hullview.tell.verdict
from hullview import study
from hullview.boat.reader import read_boat
from hullview.commands import main

made = study.shaped(read_boat("models/short-kayak"))
study.shaped = lambda boat: made

def run(args, how, err):
    os.dup2(os.open(err, os.O_WRONLY | os.O_CREAT | os.O_TRUNC), 2)
    sys.stderr = open(2, "w", closefd=False)
    if how == "closed":
        os.close(1)
        sys.stdout = None
    else:
        reader, writer = os.pipe()
        os.dup2(writer, 1)
        os.close(reader)
        os.close(writer)
        sys.stdout = open(1, "w", closefd=False)
    main(args)

found = []
for args in json.loads(sys.argv[1]):
    for how in ("closed", "gone"):
        folder = tempfile.mkdtemp(dir=sys.argv[2])
        os.symlink(os.path.join(sys.argv[3], "models"), os.path.join(folder, "models"))
        sys.stdout.flush()
        child = os.fork()
        if child == 0:
            os.chdir(folder)
            run(args, how, "err")
        status = os.waitstatus_to_exitcode(os.waitpid(child, 0)[1])
        with open(os.path.join(folder, "err")) as told:
            left = sorted(set(os.listdir(folder)) - {"err", "models"})
            found.append([" ".join(args), how, status, told.read(), left])
print(json.dumps(found))
"""
"""Runs each line in a child of one process, so that libraries are loaded and the hull is shaped once."""


@pytest.mark.skipif(not hasattr(os, "fork"), reason="a child by fork is a thing of POSIX")
def test_every_command_is_quiet_where_nobody_reads(tmp_path):
    assert set(LINES) == set(COMMANDS), "a line for each command, please"
    lines = [line for several in LINES.values() for line in several] + [["--help"], ["--version"]]
    done = subprocess.run(
        [sys.executable, "-c", RUN_EACH, json.dumps(lines), str(tmp_path), str(ROOT)],
        capture_output=True, text=True, cwd=ROOT,
    )  # fmt: skip
    assert done.returncode == 0, done.stderr
    found = json.loads(done.stdout)
    assert len(found) == 2 * len(lines)
    for line, how, status, told, files in found:
        assert (status, told) == (0, ""), f"{line} with stdout {how}: {status} {told}"
        wanted = {"curves.svg", "boat.glb", "bench.html", "boat"} & set(line.split())
        assert wanted == set(files), f"{line} with stdout {how}: the file is written all the same"


@pytest.mark.skipif(os.name != "posix", reason="the shell's own way of closing a stream")
@pytest.mark.parametrize(
    ("line", "status"),
    [
        ("materials >&-", 0),
        ("materials | true", 0),
        ("--help >&-", 0),
        ("materials adamantium >&-", 2),
        ("materials adamantium >&- 2>&-", 2),
        ("weigh no/such/boat 2>&1 | true", 3),
    ],
)
def test_in_a_shell_the_status_is_the_commands_own(line, status):
    words, pipe, reader = line.partition(" | ")
    command = f"{shlex.quote(sys.executable)} -m hullview {words}"
    script = f"{command} {pipe} {reader}; exit ${{PIPESTATUS[0]}}" if pipe else command
    done = subprocess.run(["bash", "-c", script], capture_output=True, text=True, cwd=ROOT)
    assert done.returncode == status
    assert (done.stdout, "Traceback" in done.stderr) == ("", False)
    if status == 0:
        assert done.stderr == ""


def test_a_file_opened_while_stdout_is_closed_is_not_taken_for_stdout(tmp_path):
    """With descriptor 1 free the first file opened would get its number, and whatever prints would write
    into it."""
    script = (
        "import os; from hullview.commands.streams import take_streams; take_streams();file ="
        f" open({str(tmp_path / 'out')!r}, 'w'); os.write(1, b'noise'); print('more'); file.write('kept');"
        " file.close()"
    )
    command = f"{shlex.quote(sys.executable)} -c {shlex.quote(script)} >&-"
    assert subprocess.run(["sh", "-c", command], cwd=ROOT).returncode == 0
    assert (tmp_path / "out").read_text() == "kept"
