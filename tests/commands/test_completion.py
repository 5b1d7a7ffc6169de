"""What Tab offers, asked as a shell asks."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys

import pytest

from hullview.commands import COMMANDS, status_of
from hullview.commands.completion import SHELLS, VARIABLE


def offered(*words: str) -> list[str]:
    """What stands next after these words, the last of them begun."""
    line = " ".join(["hullview", *words])
    asked = {VARIABLE: "bash_complete", "COMP_WORDS": line, "COMP_CWORD": str(len(words))}
    done = subprocess.run(
        [sys.executable, "-c", "from hullview.commands import main; main()"],
        env={**os.environ, **asked}, capture_output=True, text=True, check=False,
    )  # fmt: skip
    assert done.returncode in (0, 1) and not done.stderr, done.stderr
    return [line.partition(",")[2] for line in done.stdout.splitlines() if line]


def test_commands_options_builds_and_materials_are_offered():
    assert offered("c") == [name for name in COMMANDS if name.startswith("c")]
    assert "--strict" in offered("carry", "models/short-kayak", "--st")
    assert offered("weigh", "models/short-kayak", "--build", "t") == ["taped-seam"]
    assert offered("compare", "models/short-kayak", "c") == ["clamped-sheer"]
    assert offered("weigh", "no-such-boat", "--build", "t") == []
    found = offered("materials", "western")
    assert found and all(name.lower().startswith("western") for name in found)


@pytest.mark.parametrize("shell", SHELLS)
def test_the_script_is_one_that_the_shell_takes(shell, capfd, tmp_path):
    assert status_of(["completion", shell]) == 0
    script = capfd.readouterr().out
    assert VARIABLE in script and "%(" not in script
    program = shutil.which(shell)
    if program:
        file = tmp_path / "script"
        file.write_text(script)
        assert subprocess.run([program, "-n", str(file)], check=False).returncode == 0


def test_another_shell_is_refused(capfd):
    assert status_of(["completion", "tcsh"]) == 2
    assert "bash" in capfd.readouterr().err
