"""The laws of tests/laws.py on random fair boats, in one process.

    python tests/fuzz/random_laws.py --count 2000 --seed 1

Prints how often each law was tried and the seeds of the boats that broke one; exit status 1 where any did.
"""

from __future__ import annotations

import argparse
import sys
import tempfile
import time
import traceback
from collections import Counter
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1]))

import boats
import laws
from watch import hold_memory, peak_bytes

from hullview.errors import HullviewError


def main() -> int:
    ask = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    ask.add_argument("--count", type=int, default=20)
    ask.add_argument("--seed", type=int, default=1, help="seed of the first boat; the next ones follow")
    ask.add_argument("--law", action="append", choices=list(laws.LAWS), help="only this law; may be repeated")
    given = ask.parse_args()
    hold_memory()
    chosen = {name: laws.LAWS[name] for name in given.law or laws.LAWS}
    tried, seconds, broken, kinds = Counter[str](), Counter[str](), list[str](), Counter[str]()
    start = time.perf_counter()
    for seed in range(given.seed, given.seed + given.count):
        with tempfile.TemporaryDirectory() as made:
            try:
                boat = laws.fitted_out(boats.random_boat(seed))
            except HullviewError as error:
                broken.append(f"seed {seed}: no boat: {error}")
                continue
            kinds[kind_of(boat)] += 1
            for name, law in chosen.items():
                before = time.perf_counter()
                try:
                    law(boat, Path(made))
                except Exception as error:
                    where = traceback.extract_tb(error.__traceback__)[-1]
                    broken.append(
                        f"seed {seed} {name}: {type(error).__name__} {str(error)[:300]}"
                        f" ({Path(where.filename).name}:{where.lineno})"
                    )
                tried[name] += 1
                seconds[name] += time.perf_counter() - before
    spent = time.perf_counter() - start
    print(
        f"{given.count} boats from seed {given.seed}: "
        + ", ".join(f"{n} {k}" for k, n in sorted(kinds.items()))
    )
    for name in chosen:
        print(f"  {name}: {tried[name]} tried, {seconds[name] / max(tried[name], 1) * 1000:.0f} ms each")
    print(f"{len(broken)} broken; {spent:.0f} s, peak memory {peak_bytes() / 2**20:.0f} MiB")
    for line in broken:
        print(f"  {line}")
    return 1 if broken else 0


def kind_of(boat: boats.Boat) -> str:
    """Decked or open, chined or not, transom or double-ended."""
    table = boat.hull.table
    assert table is not None
    chined = "chined" if table.chines else "round"
    return f"{boat.hull.type} {chined} {'transom' if boat.hull.stern.transom else 'double-ended'}"


if __name__ == "__main__":
    sys.exit(main())
