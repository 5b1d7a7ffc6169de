"""Commands that write files, killed at random moments: the old file or the new one, never half of either.

    python tests/fuzz/kills.py --count 200 --seed 1

Half of the kills fall on a process that does nothing but write; the others on `report` and `show --save`, in
the last third of their run, where the writing is. Exit status 1 where any file was not whole.
"""

from __future__ import annotations

import argparse
import hashlib
import os
import random
import signal
import subprocess
import sys
import tempfile
import time
from pathlib import Path

ROOT = Path(__file__).parents[2]
COMMANDS = {
    "page.html": ("report", "models/flat-skiff", "--light", "-o"),
    "model.glb": ("show", "models/flat-skiff", "--save"),
}


WRITER = """
import sys
from hullview.boat.files import write_whole
path, size = sys.argv[1], int(sys.argv[2])
print("ready", flush=True)
for n in range(10**9):
    write_whole(path, bytes([n % 251]) * size)
"""


def kill_writers(folder: Path, count: int, size: int, seed: int) -> int:
    """Kill a process that writes the same file over and over, `count` times; how often the file was not
    one of its versions, whole."""
    rng, bad = random.Random(seed), 0
    target = folder / "report.html"
    target.write_bytes(b"\xff" * size)
    for _ in range(count):
        child = subprocess.Popen(
            [sys.executable, "-c", WRITER, str(target), str(size)],
            stdout=subprocess.PIPE,
            env=os.environ | {"PYTHONPATH": str(ROOT)},
        )
        assert child.stdout is not None
        child.stdout.readline()
        time.sleep(rng.uniform(0.0, 0.08))
        child.send_signal(signal.SIGKILL)
        child.wait()
        child.stdout.close()
        found = target.read_bytes()
        bad += len(found) != size or len(set(found)) != 1
    return bad


def started(name: str, target: Path) -> subprocess.Popen[bytes]:
    command = [sys.executable, "-m", "hullview", *COMMANDS[name], str(target)]
    return subprocess.Popen(
        command,
        cwd=ROOT,
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
        env=os.environ | {"PYTHONPATH": str(ROOT)},
    )


def kill_command(name: str, folder: Path, count: int, rng: random.Random) -> tuple[int, int]:
    """How often the old file stood, and the new one; anything else is an error."""
    target = folder / name
    begun = time.perf_counter()
    if started(name, target).wait() != 0:
        raise SystemExit(f"{name} cannot be made here")
    whole = time.perf_counter() - begun
    new, old = hashlib.sha256(target.read_bytes()).hexdigest(), b"old" * 1000
    found = [0, 0]
    for _ in range(count):
        target.write_bytes(old)
        child = started(name, target)
        time.sleep(rng.uniform(0.66, 1.02) * whole)
        child.send_signal(signal.SIGKILL)
        child.wait()
        raw = target.read_bytes()
        if raw == old:
            found[0] += 1
        elif hashlib.sha256(raw).hexdigest() == new:
            found[1] += 1
    return found[0], found[1]


def main() -> int:
    ask = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    ask.add_argument("--count", type=int, default=200)
    ask.add_argument("--seed", type=int, default=1)
    given = ask.parse_args()
    rng = random.Random(given.seed)
    bad, each = 0, given.count // 4
    with tempfile.TemporaryDirectory() as made:
        folder = Path(made)
        writes = given.count - 2 * each
        wrong = kill_writers(folder, writes, 6_000_000, given.seed)
        print(f"writing 6 MB over and over: {writes} kills, {writes - wrong} files whole")
        bad += wrong
        for name in COMMANDS:
            old, new = kill_command(name, folder, each, rng)
            print(
                f"{' '.join(COMMANDS[name])} {name}: {each} kills, {old} times the old file, {new} times the"
                " new one"
            )
            bad += each - old - new
    print(f"{given.count - bad} of {given.count} whole")
    return 1 if bad else 0


if __name__ == "__main__":
    sys.exit(main())
