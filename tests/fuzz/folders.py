"""Spoilt model folders through the reader, or through a whole command, in one process.

    python tests/fuzz/folders.py --count 1000000 --seed 1
    python tests/fuzz/folders.py --through carry --count 20000 --seed 1
    python tests/fuzz/folders.py --through forms --count 2000 --seed 1

Prints what came of them, the worst time and the most memory; exit status 1 where anything but an answer or a
refusal with its place came out. `--only N` runs one input again and keeps its folder.
"""

from __future__ import annotations

import argparse
import contextlib
import dataclasses
import io
import json
import math
import random
import shutil
import sys
import tempfile
import time
import zlib
from collections.abc import Callable
from pathlib import Path

from mutate import Folder, models, spoilt
from watch import LIMIT_SECONDS, Tally, hold_memory

from hullview.boat.model import Boat, Build, Paddler, Planking, Schedule
from hullview.boat.reader import read_boat
from hullview.commands import status_of


def input_of(seed: int, number: int, originals: list[Folder], mild: bool) -> Folder:
    """The folder of that number; it depends on nothing else."""
    return spoilt(random.Random(f"{seed} {number}"), originals, mild)


def write(folder: Path, files: Folder) -> None:
    (folder / "boat.toml").write_bytes(files.toml)
    (folder / "offsets.csv").write_bytes(files.table)


def through_reader(folder: Path) -> str:
    """Read it; what comes out must be finite and must say where it came from."""
    boat = read_boat(folder)
    assert boat.checksum and boat.folder
    return "read"


def _loading(boat: Boat) -> Boat:
    """Planked and with somebody aboard, so that a model without a load goes through too."""
    if not boat.builds:
        boat = dataclasses.replace(
            boat, builds=(Build("planked", Schedule((Planking("hull", "western redcedar", 0.006),))),)
        )
    if boat.load.paddlers or boat.hull.table is None:
        return boat
    stations = boat.hull.table.stations
    return boat.with_load(paddlers=(Paddler(75.0, (stations[0] + stations[-1]) / 2),))


def through_carry(folder: Path) -> str:
    """The whole way, to the JSON object and to the text for people."""
    from hullview.show.record import as_record
    from hullview.show.text import text
    from hullview.study import carry
    from hullview.tell.verdict import verdict_telling

    verdict = carry(_loading(read_boat(folder)))
    telling = verdict_telling(verdict)
    record = as_record(telling)
    json.dumps(record, allow_nan=False)
    text(telling)
    _no_nan(record, "carry")
    return (
        verdict.answer
        if verdict.floating.state == "afloat"
        else f"{verdict.answer}, {verdict.floating.state}"
    )


def through_command(folder: Path, *words: str) -> str:
    """A command with its JSON, and every fourth time with a folder of files where it writes one: there whole
    or not at all."""
    told, refused, out = io.StringIO(), io.StringIO(), folder / "out"
    shutil.rmtree(out, ignore_errors=True)
    writes = words == ("forms",) and zlib.crc32((folder / "boat.toml").read_bytes()) % 4 == 0
    with contextlib.redirect_stdout(told), contextlib.redirect_stderr(refused):
        status = status_of([*words, str(folder), "--json", *(("-o", str(out)) if writes else ())])
    left = {p.name for p in folder.iterdir()} - {"boat.toml", "offsets.csv", "out"}
    assert not left, f"left behind: {left}"
    if status:
        assert refused.getvalue().strip(), f"status {status} without a word"
        assert "Traceback" not in refused.getvalue()
        assert not out.exists(), "refused, and a folder is there"
        return f"refused, {status}"
    _no_nan(json.loads(told.getvalue()), words[0])
    if writes:
        assert {"forms.json", "inside-offsets.csv", "bench.txt"} <= {p.name for p in out.iterdir()}
        return "written"
    return "told"


ALTER = (
    ("--widen", "3 %", "--raise-sheer", "15 mm"),
    ("--lengthen", "-120 mm", "--deepen", "4 %"),
    ("--paddler", "130 kg", "--only", "wider"),
    ("--only", "seat moved"),
)
"""One of these by the bytes of the file: by hand and with a search."""


def through_alter(folder: Path) -> str:
    """The altered boat as JSON and as a folder: there whole, or not at all, and read again to the same
    answer."""
    told, refused, out = io.StringIO(), io.StringIO(), folder / "out"
    shutil.rmtree(out, ignore_errors=True)
    words = ALTER[zlib.crc32((folder / "boat.toml").read_bytes()) % len(ALTER)]
    with contextlib.redirect_stdout(told), contextlib.redirect_stderr(refused):
        status = status_of(["alter", str(folder), *words, "-o", str(out), "--json"])
    left = {p.name for p in folder.iterdir()} - {"boat.toml", "offsets.csv", "out"}
    assert not left, f"left behind: {left}"
    if status:
        assert refused.getvalue().strip(), f"status {status} without a word"
        assert "Traceback" not in refused.getvalue() and not out.exists()
        nothing = "Nothing is written" in refused.getvalue()
        return "nothing to write" if nothing else f"refused, {status}"
    record = json.loads(told.getvalue())
    _no_nan(record, "alter")
    again = read_boat(out)
    assert again.checksum
    return f"written, {record['after']['answer']}"


def _no_nan(value: object, where: str) -> None:
    """No figure that leaves may be nan or infinite: what has no value is None."""
    if isinstance(value, dict):
        for key, inner in value.items():
            _no_nan(inner, f"{where}.{key}")
    elif isinstance(value, list | tuple):
        for i, inner in enumerate(value):
            _no_nan(inner, f"{where}[{i}]")
    elif hasattr(value, "tolist"):
        _no_nan(value.tolist(), where)
    elif dataclasses.is_dataclass(value):
        raise AssertionError(f"{where} is a {type(value).__name__}, not a plain value")
    elif isinstance(value, float) and not math.isfinite(value):
        raise AssertionError(f"{where} is {value}")


LONGER = {"alter": 60.0, "carry": 20.0}
"""Seconds of work for what goes through the whole answer dozens of times, and for the answer itself, of which
one spoilt boat takes 7 to 10 s, by how busy the machine is: a hang takes for ever."""
THROUGH: dict[str, Callable[[Path], str]] = {
    "reader": through_reader,
    "carry": through_carry,
    "forms": lambda folder: through_command(folder, "forms"),
    "batches": lambda folder: through_command(folder, "batches"),
    "cases": lambda folder: through_command(folder, "cases"),
    "alter": through_alter,
}


def run(
    count: int,
    seed: int,
    folder: Path,
    through: str = "reader",
    first: int = 0,
    seconds: float = math.inf,
) -> Tally:
    """So many inputs, from number `first` on, or as many as fit in so many seconds; what goes further than
    the reader gets milder changes."""
    originals, tally = models(), Tally()
    work, end = THROUGH[through], time.monotonic() + seconds
    for number in range(first, first + count):
        write(folder, input_of(seed, number, originals, through != "reader"))
        tally.attempt(number, lambda: work(folder), LONGER.get(through, LIMIT_SECONDS))
        if time.monotonic() > end:
            break
        if sys.stderr.isatty() and number % 1000 == 0:
            print(f"\r{number}", end="", file=sys.stderr)
    return tally


def main() -> int:
    ask = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    ask.add_argument("--count", type=int, default=1000)
    ask.add_argument("--seed", type=int, default=1)
    ask.add_argument("--first", type=int, default=0, help="number of the first input")
    ask.add_argument("--only", type=int, help="run this one input, and keep its folder")
    ask.add_argument(
        "--through", choices=THROUGH, default="reader", help="all but the reader: milder changes"
    )
    ask.add_argument("--words", type=int, default=0, help="also show so many of the commonest refusals")
    given = ask.parse_args()
    hold_memory()
    start, cpu = time.perf_counter(), time.process_time()
    if given.only is not None:
        folder = Path(tempfile.mkdtemp(prefix="spoilt-"))
        tally = run(1, given.seed, folder, given.through, given.only)
        print(f"kept in {folder}")
    else:
        with tempfile.TemporaryDirectory() as made:
            tally = run(given.count, given.seed, Path(made), given.through, given.first)
    spent, cpu = time.perf_counter() - start, time.process_time() - cpu
    print(tally.report(given.words))
    print(
        f"seed {given.seed}, {spent:.0f} s, of them {cpu:.0f} s of work,"
        f" {cpu / max(sum(tally.outcomes.values()), 1) * 1000:.2f} ms each"
    )
    return 1 if tally.faults else 0


if __name__ == "__main__":
    sys.exit(main())
