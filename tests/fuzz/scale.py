"""Large tables and large meshes: time and memory of each step, each size in a process of its own.

python tests/fuzz/scale.py --table
python tests/fuzz/scale.py --mesh
"""

from __future__ import annotations

import argparse
import os
import subprocess
import sys
import tempfile
import time
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1]))

import boats
import laws
from watch import peak_bytes

from hullview.boat.reader import read_boat
from hullview.shape.assemble import build_hull
from hullview.shape.fairness import fairness
from hullview.study import judge, launch

TABLES = ((25, 8), (50, 15), (100, 30), (200, 60))
MESHES = (125_000, 500_000, 2_000_000, 5_000_000)
SEED, FIXED = 5, {"chine": "none", "bottom": "round", "decked": False, "stern": "raked"}


def one_table(stations: int, waterlines: int, folder: Path) -> str:
    """A row of the table of results."""
    source = boats.write_folder(
        boats.random_boat(SEED, stations=stations, waterlines=waterlines, **FIXED), folder
    )
    base, times = peak_bytes(), []

    def timed(work):
        begun = time.process_time()
        found = work()
        times.append(time.process_time() - begun)
        return found

    boat = timed(lambda: read_boat(source))
    hull = timed(lambda: build_hull(boat))
    fitted = laws.fitted_out(boat)
    craft = timed(lambda: launch(fitted))
    timed(lambda: judge(craft))
    timed(lambda: fairness(boat.hull.table))
    assert boat.hull.table is not None
    cells = sum(v is not None for r in boat.hull.table.lines for v in r.values)
    figures = " | ".join(f"{t * 1000:.0f}" for t in times)
    return (
        f"| {stations} x {waterlines} | {cells} | {len(hull.faces)} | {figures} |"
        f" {(peak_bytes() - base) / 2**20:.0f} |"
    )


def main() -> int:
    ask = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    ask.add_argument("--table", action="store_true")
    ask.add_argument("--mesh", action="store_true")
    ask.add_argument("--one", nargs=2, type=int, help="one table only, in this process")
    given = ask.parse_args()
    if given.one:
        with tempfile.TemporaryDirectory() as made:
            print(one_table(*given.one, Path(made)))
        return 0
    if given.table:
        print(
            "| stations x waterlines | cells | faces | read ms | shape ms | shape and weigh ms | judge ms |"
            " fairness ms | memory MiB |"
        )
        print("|---|--:|--:|--:|--:|--:|--:|--:|--:|", flush=True)
        for stations, waterlines in TABLES:
            subprocess.run(
                [sys.executable, __file__, "--one", str(stations), str(waterlines)],
                check=True,
                env=os.environ,
            )
    if given.mesh:
        for faces in MESHES:
            subprocess.run(
                [sys.executable, str(Path(__file__).parent / "meshes.py"), "--large", str(faces)],
                check=True,
                env=os.environ,
            )
    return 0


if __name__ == "__main__":
    sys.exit(main())
