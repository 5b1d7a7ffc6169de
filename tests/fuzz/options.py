"""Odd words on the command line, in one process: a status of 0, 2, 3 or 4 and words, never a traceback.

python tests/fuzz/options.py --count 2000 --seed 1
"""

from __future__ import annotations

import argparse
import contextlib
import io
import os
import random
import shlex
import sys
from pathlib import Path

import click
from mutate import NUMBERS, SHOP_WORDS, UNITS
from watch import Tally, hold_memory

from hullview.commands import group, status_of

ROOT = Path(__file__).parents[2]
COMMANDS = (
    "carry",
    "float",
    "hydrostatics",
    "righting",
    "weigh",
    "compare",
    "buy",
    "batches",
    "check",
    "materials",
)
BOATS = (
    "models/flat-skiff",
    "models/short-kayak",
    "models/flat-skiff",
    "models/wigley",
    "models/wigley/wigley.stl",
    "nowhere",
    "",
    "README.md",
    "--",
)
SENSIBLE = (
    "82 kg",
    "180 lb",
    "1.8 m",
    "6 kg @ 2.3 m",
    "50 mm",
    "200 mm",
    "1012 kg/m3",
    "taped-seam",
    "60",
    "-60",
    "5",
    "1 deg",
    "2.5,0,0.2",
    "300 kg",
    "mm",
)


def value(rng: random.Random, option: click.Option) -> str:
    """What may be meant, or not."""
    if isinstance(option.type, click.Choice) and rng.random() < 0.7:
        return str(rng.choice(list(option.type.choices)))
    how = rng.random()
    if how < 0.55:
        return rng.choice(SENSIBLE)
    number = rng.choice(NUMBERS)
    if how < 0.8:
        return f"{number} {rng.choice(UNITS)}"
    return (
        number
        if how < 0.9
        else rng.choice(
            (
                *SHOP_WORDS,
                "\x1b[2J",
                "a\x00b",
                "\u202e",
                "9" * 5000,
                "6 kg @ @",
                "1,2",
                "1,2,3,4",
                "nan,nan,nan",
            )
        )
    )


def line(seed: int, number: int) -> list[str]:
    rng = random.Random(f"{seed} {number}")
    name = rng.choice(COMMANDS)
    command = group.get_command(None, name)  # type: ignore[arg-type]
    assert command is not None
    words = [name]
    options = [
        p
        for p in command.params
        if isinstance(p, click.Option) and "--plot" not in p.opts and "--chart" not in p.opts
    ]
    for option in rng.sample(options, min(len(options), rng.choice((0, 1, 1, 2, 3, 5)))):
        words += [rng.choice(option.opts)] + ([] if option.is_flag else [value(rng, option)])
    if name != "materials":
        words.insert(rng.choice((1, len(words))), rng.choice(BOATS))
    if rng.random() < 0.1:
        words.append(rng.choice(NUMBERS))
    return words


def one(words: list[str]) -> str:
    out, err = io.StringIO(), io.StringIO()
    with contextlib.redirect_stdout(out), contextlib.redirect_stderr(err):
        status = status_of(words)
    told = out.getvalue() + err.getvalue()
    assert status in (0, 2, 3, 4), f"status {status}: {shlex.join(words)}: {err.getvalue()[:300]}"
    assert told.strip(), f"nothing said: {shlex.join(words)}"
    bad = [c for c in told if not c.isprintable() and c != "\n"]
    assert not bad, f"control character {bad[0]!r}: {shlex.join(words)}"
    return f"status {status}"


def run(count: int, seed: int, first: int = 0) -> Tally:
    tally = Tally(needs_place=False)
    here = os.getcwd()
    os.chdir(ROOT)
    try:
        for number in range(first, first + count):
            words = line(seed, number)
            tally.attempt(number, lambda words=words: one(words))  # type: ignore[misc]
    finally:
        os.chdir(here)
    return tally


def main() -> int:
    ask = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    ask.add_argument("--count", type=int, default=200)
    ask.add_argument("--seed", type=int, default=1)
    ask.add_argument("--first", type=int, default=0)
    given = ask.parse_args()
    hold_memory()
    tally = run(given.count, given.seed, given.first)
    print(tally.report())
    return 1 if tally.faults else 0


if __name__ == "__main__":
    sys.exit(main())
