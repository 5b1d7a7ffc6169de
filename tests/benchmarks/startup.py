"""How long the main job takes as a whole process, beside the bare import of the libraries it stands on.

python tests/benchmarks/startup.py
"""

from __future__ import annotations

import subprocess
import sys
import time
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
BARE = [sys.executable, "-c", "import numpy, scipy.interpolate, scipy.optimize"]
CARRY = [sys.executable, "-m", "hullview", "carry", "models/short-kayak"]
MOST = 3.0
"""The main job may take so many times the bare import."""


def seconds(command: list[str]) -> float:
    began = time.perf_counter()
    subprocess.run(command, cwd=ROOT, stdout=subprocess.DEVNULL, check=True)
    return time.perf_counter() - began


def measured(rounds: int = 7) -> tuple[float, float]:
    """Least time of the bare import and of the main job [s], turn about, so that a busy machine slows
    both."""
    seconds(CARRY)  # files into memory, .pyc written
    pairs = [(seconds(BARE), seconds(CARRY)) for _ in range(rounds)]
    return min(bare for bare, _ in pairs), min(carry for _, carry in pairs)


if __name__ == "__main__":
    bare, carry = measured()
    print(
        f"numpy and scipy alone {bare:.3f} s, carry {carry:.3f} s: {carry / bare:.2f} times (at most"
        f" {MOST:g})"
    )
