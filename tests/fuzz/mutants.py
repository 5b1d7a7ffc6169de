"""Do the tests bite: small faults put into the code one at a time, to see whether a test falls. Needs
cosmic-ray (pip install cosmic-ray).

    coverage run --source hullview -m pytest -n0 --durations=0 --durations-min=0.001 > times.txt    #
    dynamic_context = test_function in its settings coverage json --show-contexts -o reach.json
    python tests/fuzz/mutants.py --reach reach.json --times times.txt --room afloat --count 60 --seed 1 --log
    mutants.jsonl python tests/fuzz/mutants.py --reach reach.json --times times.txt --again mutants.jsonl

Faults are drawn at random from all that cosmic-ray knows for the room, one for each place and kind, none in
annotations. The project is copied first and only the copy is touched. The tests that reach the line run, the
room's own first, until one falls or as many as `MOST` allows have passed. `--again` tries the survivors of a
log once more, after new tests.
"""

from __future__ import annotations

import argparse
import ast
import difflib
import json
import os
import random
import re
import shutil
import signal
import sys
import tempfile
import time
from collections import Counter
from pathlib import Path

import cosmic_ray.plugins
from cosmic_ray.commands.init import _all_work_items
from cosmic_ray.mutating import mutate_code
from cosmic_ray.work_item import MutationSpec

ROOT = Path(__file__).parents[2]
ROOMS = ("shape", "weight", "afloat", "answer", "forms", "answer/alter")
PARTS = {"answer/alter": ("answer/alter.py", "answer/altering.py")}
"""What counts as a room here and is a part of one: its files."""
OWN = {
    "shape": ("shape/", "test_laws_boats"),
    "weight": ("weight/", "test_materials", "test_laws_boats"),
    "afloat": ("afloat/", "shape/test_body_appendages", "test_laws_"),
    "forms": ("forms/",),
    "answer": ("answer/", "weight/test_weight_chance", "test_laws_boats"),
}
"""Tests of a room itself, which go first."""
MOST = 120.0
"""Tests that would take longer than this together [s] are not all run: the room's own and the quickest of
the others are."""
SECONDS = 300
"""After so long a test is taken to hang, which a fault has made it do."""


class Reach:
    """Which tests reach a line, and how long each takes."""

    def __init__(self, reach: Path, times: Path):
        self.files = json.loads(reach.read_text(encoding="utf-8"))["files"]
        self.seconds: Counter[str] = Counter()
        for line in times.read_text(encoding="utf-8").splitlines():
            found = re.match(r"([0-9.]+)s (?:call|setup|teardown) +(tests/\S+?\.py)::(\w+)", line)
            if found:
                self.seconds[f"{found[2]}::{found[3]}"] += float(found[1])

    def tests(self, module: str, first: int, last: int) -> list[str]:
        """Tests that reach any of these lines, the room's own first, the quickest of each; all of the
        room's where a line runs as the module is read."""
        contexts = self.files.get(module, {}).get("contexts", {})
        names = {c for n in range(first, last + 1) for c in contexts.get(str(n), [])}
        reached = {t for c in names - {""} if (t := self._test_of(c))}
        if "" in names:
            reached |= {t for group in contexts.values() for c in group if (t := self._test_of(c))}
        own, chosen, spent = OWN[Path(module).parent.name], [], 0.0
        for test in sorted(
            reached, key=lambda t: (not t.removeprefix("tests/").startswith(own), self.seconds[t], t)
        ):
            spent += max(self.seconds[test], 0.02)
            if chosen and spent > MOST:
                break
            chosen.append(test)
        return chosen

    @staticmethod
    def _test_of(context: str) -> str:
        """The file and name of a test function as pytest takes it; "" for what is none."""
        parts = context.split(".")
        for k, part in enumerate(parts):
            if part.startswith("test_") and k + 1 < len(parts):
                folders = [p for p in parts[:k] if p != "tests"]
                return f"{'/'.join(['tests', *folders, part])}.py::{parts[k + 1]}"
        return ""


def _annotations(source: str) -> list[tuple[int, int, int, int]]:
    """Where annotations stand: they are never run, so a fault in one is none."""
    found: list[ast.expr] = []
    for node in ast.walk(ast.parse(source)):
        if isinstance(node, ast.AnnAssign):
            found.append(node.annotation)
        elif isinstance(node, ast.FunctionDef):
            args = node.args
            every = (*args.posonlyargs, *args.args, *args.kwonlyargs, args.vararg, args.kwarg)
            found += [a.annotation for a in every if a is not None and a.annotation is not None]
            found += [node.returns] if node.returns is not None else []
        elif isinstance(node, ast.If) and isinstance(node.test, ast.Name) and node.test.id == "TYPE_CHECKING":
            found.append(node)  # type: ignore[arg-type]
    return [(n.lineno, n.col_offset, n.end_lineno or n.lineno, n.end_col_offset or 0) for n in found]


def faults(room: str) -> list[MutationSpec]:
    """Every fault for the modules of a room, one drawn for each place and kind."""
    house = ROOT / "hullview"
    files = [house / p for p in PARTS[room]] if room in PARTS else (house / room).glob("*.py")
    modules = sorted(p for p in files if p.stat().st_size)
    skipped = {str(m): _annotations(m.read_text(encoding="utf-8")) for m in modules}
    places: dict[tuple, list[MutationSpec]] = {}
    for item in _all_work_items(modules, {}):
        (spec,) = item.mutations
        if any(a[:2] <= spec.start_pos and spec.end_pos <= a[2:] for a in skipped[str(spec.module_path)]):
            continue
        kind = spec.operator_name.split("_")[0]
        places.setdefault((str(spec.module_path), spec.start_pos, kind), []).append(spec)
    rng = random.Random(room)
    return [rng.choice(specs) for specs in places.values()]


def is_code(text: str) -> bool:
    """Whether it can be compiled: the star of a signature is no multiplication."""
    try:
        compile(text, "mutant", "exec")
    except SyntaxError:
        return False
    return True


def mutated(spec: MutationSpec) -> tuple[str, str]:
    """The module's code as it is, and with the fault."""
    source = Path(spec.module_path).read_text(encoding="utf-8")
    changed = mutate_code(
        source,
        cosmic_ray.plugins.get_operator(spec.operator_name)(**(spec.operator_args or {})),
        spec.occurrence,
    )
    return source, changed or source


def run_tests(copy: Path, tests: list[str], seconds: float = SECONDS) -> str:
    """Run tests in the copy, in a child of this process in which pytest is loaded already: "pass", "fail"
    or "too long"."""
    child = os.fork()
    if child == 0:
        os.setsid()
        os.chdir(copy)
        sys.path.insert(0, str(copy))
        quiet = os.open(os.devnull, os.O_WRONLY)
        os.dup2(quiet, 1)
        os.dup2(quiet, 2)
        import pytest

        status = pytest.main(["-x", "-q", "-n0", "-p", "no:cacheprovider", "--no-header", *tests])
        os._exit(int(status))
    end = time.monotonic() + seconds
    while time.monotonic() < end:
        done, status = os.waitpid(child, os.WNOHANG)
        if done:
            return "pass" if os.waitstatus_to_exitcode(status) == 0 else "fail"
        time.sleep(0.05)
    os.killpg(child, signal.SIGKILL)
    os.waitpid(child, 0)
    return "too long"


def copied(to: Path) -> Path:
    for name in ("hullview", "tests", "models", "reports"):
        shutil.copytree(ROOT / name, to / name, ignore=shutil.ignore_patterns("__pycache__"))
    for name in ("pyproject.toml", "README.md", "DEVELOPERS.md", "constraints.txt"):
        shutil.copy(ROOT / name, to / name)
    return to


def tried(copy: Path, module: str, source: str, changed: str, tests: list[str]) -> str:
    """What became of one fault: "killed", "survived", or "no test" where none reaches it."""
    if not tests:
        return "no test"
    target = copy / module
    target.write_text(changed, encoding="utf-8")
    try:
        return "survived" if run_tests(copy, tests) == "pass" else "killed"
    finally:
        target.write_text(source, encoding="utf-8")


def main() -> int:
    ask = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    ask.add_argument("--reach", type=Path, required=True, help="coverage as JSON, with contexts")
    ask.add_argument("--times", type=Path, required=True, help="what pytest printed, with durations")
    ask.add_argument("--room", choices=list(ROOMS), action="append")
    ask.add_argument("--count", type=int, default=20, help="faults to try in each room")
    ask.add_argument("--seed", type=int, default=1)
    ask.add_argument("--seconds", type=float, default=1e9, help="stop after so long")
    ask.add_argument("--log", type=Path, default=Path("mutants.jsonl"))
    ask.add_argument("--again", type=Path, help="try the survivors of this log again")
    ask.add_argument(
        "--also",
        nargs="*",
        default=[],
        help="tests to run first, such as new ones that the map does not know yet",
    )
    given = ask.parse_args()
    reach = Reach(given.reach, given.times)
    import hypothesis  # noqa: F401  loaded once, before the children are made
    import numpy  # noqa: F401
    import pytest  # noqa: F401
    import scipy.interpolate
    import scipy.optimize  # noqa: F401

    begun = time.monotonic()
    with tempfile.TemporaryDirectory() as made:
        copy = copied(Path(made))
        if given.again:
            return again(copy, given.again, reach, given.also)
        for room in given.room or ROOMS:
            known = faults(room)
            some = random.Random(f"{given.seed} {room}").sample(known, min(given.count, len(known)))
            results: Counter[str] = Counter()
            for spec in some:
                if time.monotonic() - begun > given.seconds:
                    break
                source, changed = mutated(spec)
                if source == changed or not is_code(changed):
                    continue
                module = str(Path(spec.module_path).relative_to(ROOT))
                outcome = tried(
                    copy,
                    module,
                    source,
                    changed,
                    [*given.also, *reach.tests(module, spec.start_pos[0], spec.end_pos[0])],
                )
                results[outcome] += 1
                record = {
                    "room": room,
                    "module": module,
                    "line": spec.start_pos[0],
                    "last": spec.end_pos[0],
                    "fault": spec.operator_name,
                    "outcome": outcome,
                    "changed": list(
                        difflib.unified_diff(source.splitlines(), changed.splitlines(), n=0, lineterm="")
                    )[2:],
                }
                with open(given.log, "a", encoding="utf-8") as log:
                    log.write(json.dumps(record) + "\n")
            total = sum(results.values())
            print(
                f"{room}: {total} of {len(known)} faults tried, {dict(results)},"
                f" {100 * results['killed'] / max(total, 1):.0f} % killed",
                flush=True,
            )
    return 0


def again(copy: Path, log: Path, reach: Reach, also: list[str]) -> int:
    """The survivors of a log, each found by its line as it was and put in once more; `also` alone, if any,
    since it passed the others."""
    records = [json.loads(line) for line in log.read_text(encoding="utf-8").splitlines()]
    left = 0
    for record in records:
        if record["outcome"] == "killed":
            continue
        source = (ROOT / record["module"]).read_text(encoding="utf-8")
        old = "\n".join(line[1:] for line in record["changed"] if line.startswith("-"))
        new = "\n".join(line[1:] for line in record["changed"] if line.startswith("+"))
        places = [m.start() for m in re.finditer(re.escape(old), source)]
        if not places:
            print(f"{record['module']}:{record['line']} is no more: {old.strip()}", flush=True)
            continue
        at = min(places, key=lambda k: abs(source[:k].count("\n") + 1 - record["line"]))
        first = source[:at].count("\n") + 1
        tests = also or reach.tests(record["module"], first, first + old.count("\n"))
        outcome = tried(copy, record["module"], source, source[:at] + new + source[at + len(old) :], tests)
        left += outcome != "killed"
        print(f"{record['module']}:{first} {outcome}: {old.strip()} -> {new.strip()}", flush=True)
    print(f"{left} still survive")
    return 0


if __name__ == "__main__":
    sys.exit(main())
