"""Do the tests bite: small faults put into the code one at a time, to see whether a test falls. Needs cosmic-ray (pip install cosmic-ray).

    python tests/fuzz/mutants.py --room afloat --count 60 --seed 1 --log mutants.jsonl
    python tests/fuzz/mutants.py --again mutants.jsonl

Faults are drawn at random from all that cosmic-ray knows for the room, one for each place and kind, none in annotations. The project
is copied first and only the copy is touched. The tests of the room run until one falls; what they let through is tried against the tests
of `LAST`. `--again` tries the survivors of a log once more, after new tests.
"""

from __future__ import annotations

import argparse
import ast
import difflib
import json
import os
import random
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
ROOMS = {
    "shape": ["test_body_*.py", "test_shape_*.py"],
    "weight": ["test_weight_*.py", "test_materials.py"],
    "afloat": ["test_afloat_*.py", "test_body_appendages.py", "test_laws_rest.py"],
    "answer": ["test_answer_*.py"],
}
LAST = ["test_laws_boats.py", "test_answer_*.py", "test_afloat_*.py", "test_weight_*.py", "test_boat_models.py", "test_commands_text.py", "test_show_page.py"]
"""Tests that the survivors of a room's own tests must pass too."""
SECONDS = 240


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
    modules = sorted(p for p in (ROOT / "hullview" / room).glob("*.py") if p.stat().st_size)
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
    changed = mutate_code(source, cosmic_ray.plugins.get_operator(spec.operator_name)(**(spec.operator_args or {})), spec.occurrence)
    return source, changed or source


def run_tests(copy: Path, patterns: list[str], seconds: float = SECONDS) -> str:
    """Run tests in the copy, in a child of this process in which pytest is loaded already: "pass", "fail" or "too long"."""
    files = list(dict.fromkeys(str(f) for p in patterns for f in sorted((copy / "tests").glob(p))))
    child = os.fork()
    if child == 0:
        os.setsid()
        os.chdir(copy)
        sys.path.insert(0, str(copy))
        quiet = os.open(os.devnull, os.O_WRONLY)
        os.dup2(quiet, 1)
        os.dup2(quiet, 2)
        import pytest

        status = pytest.main(["-x", "-q", "-n0", "-p", "no:cacheprovider", "--no-header", *files])
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


def tried(copy: Path, module: str, source: str, changed: str, room: str) -> str:
    """What became of one fault: "killed" by the room's tests, "killed late" by the last ones, or "survived"."""
    target = copy / module
    target.write_text(changed, encoding="utf-8")
    try:
        if run_tests(copy, ROOMS[room]) != "pass":
            return "killed"
        return "survived" if run_tests(copy, LAST, 2 * SECONDS) == "pass" else "killed late"
    finally:
        target.write_text(source, encoding="utf-8")


def main() -> int:
    ask = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    ask.add_argument("--room", choices=list(ROOMS), action="append")
    ask.add_argument("--count", type=int, default=20, help="faults to try in each room")
    ask.add_argument("--seed", type=int, default=1)
    ask.add_argument("--seconds", type=float, default=1e9, help="stop after so long")
    ask.add_argument("--log", type=Path, default=Path("mutants.jsonl"))
    ask.add_argument("--again", type=Path, help="try the survivors of this log again")
    given = ask.parse_args()
    import hypothesis  # noqa: F401  loaded once, before the children are made
    import numpy  # noqa: F401
    import pytest  # noqa: F401
    import scipy.interpolate
    import scipy.optimize  # noqa: F401

    begun = time.monotonic()
    with tempfile.TemporaryDirectory() as made:
        copy = copied(Path(made))
        if given.again:
            return again(copy, given.again)
        for room in given.room or ROOMS:
            if run_tests(copy, ROOMS[room]) != "pass":
                print(f"{room}: its tests do not pass as it is")
                return 2
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
                outcome = tried(copy, module, source, changed, room)
                results[outcome] += 1
                record = {"room": room, "module": module, "line": spec.start_pos[0], "fault": spec.operator_name, "outcome": outcome,
                          "changed": list(difflib.unified_diff(source.splitlines(), changed.splitlines(), n=0, lineterm=""))[2:]}  # fmt: skip
                with open(given.log, "a", encoding="utf-8") as log:
                    log.write(json.dumps(record) + "\n")
            total = sum(results.values())
            print(f"{room}: {total} of {len(known)} faults tried, {dict(results)}, {100 * (total - results['survived']) / max(total, 1):.0f} % killed", flush=True)
    return 0


def again(copy: Path, log: Path) -> int:
    """The survivors of a log, each found by its line as it was and put in once more."""
    records = [json.loads(line) for line in log.read_text(encoding="utf-8").splitlines()]
    left = 0
    for record in records:
        if record["outcome"] != "survived":
            continue
        source = (ROOT / record["module"]).read_text(encoding="utf-8")
        old = "\n".join(line[1:] for line in record["changed"] if line.startswith("-"))
        new = "\n".join(line[1:] for line in record["changed"] if line.startswith("+"))
        if source.count(old) != 1:
            print(f"{record['module']}:{record['line']} has moved on: {old.strip()}")
            continue
        outcome = tried(copy, record["module"], source, source.replace(old, new), record["room"])
        left += outcome == "survived"
        print(f"{record['module']}:{record['line']} {outcome}: {old.strip()} -> {new.strip()}", flush=True)
    print(f"{left} still survive")
    return 0


if __name__ == "__main__":
    sys.exit(main())
