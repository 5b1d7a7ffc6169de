"""A small seeded fuzz of the reader: whatever is in the folder, it is read, or refused with a file and a
place."""

from __future__ import annotations

import random
import re

import boat_sample
import pytest
from boat_sample import write

from hullview.boat.offsets import read_offsets
from hullview.boat.reader import read_boat
from hullview.errors import BoatFileError

PLACE = re.compile(r"^(boat\.toml(:\d+)?|.+ row \d+( column \d+)?)$")
TOKENS = (
    "nan",
    "inf",
    "-1",
    "0",
    "1e400",
    "9" * 30,
    '"',
    "'",
    "[",
    "]",
    "[[",
    "]]",
    "{",
    "}",
    "=",
    ",",
    ";",
    "#",
    "\n",
    "\r",
    "\t",
    "\0",
    "true",
    '"mm"',
    '"1/0 in"',
    '"1O mm"',
    "\u00bd",
    "\ufeff",
    "\u202e",
    "1-3-5",
    "''",
    '"""',
    "3 m",
    "-",
    "..",
    "/",
    "[hull]",
    "[builds.x]",
    "[[schedule.skin]]",
    "a.b.c = 1",
    "\ud7ff",
    "1979-05-27",
    "1,5",
    "height,sheer,,",
    "position,,,",
    "shape,keel,,",
)


def spoil(rng: random.Random, text: str) -> str:
    """One or a few changes of the kinds that hands and programs make."""
    for _ in range(rng.choice((1, 1, 2, 5))):
        at = rng.randrange(len(text) + 1)
        lines = text.split("\n")
        n = rng.randrange(len(lines))
        kind = rng.randrange(8)
        if kind == 0:
            text = text[:at] + rng.choice(TOKENS) + text[at:]
        elif kind == 1:
            text = text[:at] + text[at + rng.randrange(1, 20) :]
        elif kind == 2:
            text = "\n".join(lines[:n] + lines[n + 1 :])
        elif kind == 3:
            text = "\n".join([*lines[:n], lines[n], *lines[n:]])
        elif kind == 4:
            other = rng.randrange(len(lines))
            lines[n], lines[other] = lines[other], lines[n]
            text = "\n".join(lines)
        elif kind == 5:
            words = list(re.finditer(r"[A-Za-z0-9_.\-]+", text))
            if words:
                old, new = rng.choice(words), rng.choice(words)
                text = text[: old.start()] + new.group() + text[old.end() :]
        elif kind == 6:
            numbers = list(re.finditer(r"\d+", text))
            if numbers:
                old = rng.choice(numbers)
                text = (
                    text[: old.start()] + rng.choice((*TOKENS, "0", "-5", "7", "100000")) + text[old.end() :]
                )
        else:
            text = text[:at]
    return text


def spoilt_bytes(rng: random.Random, text: str) -> bytes:
    raw = bytearray(spoil(rng, text).encode("utf-8", "replace"))
    if rng.random() < 0.2 and raw:
        for _ in range(rng.randrange(1, 4)):
            raw[rng.randrange(len(raw))] = rng.randrange(256)
    return bytes(raw)


@pytest.mark.parametrize("seed", range(4))
def test_a_spoilt_folder_is_read_or_refused_with_its_place(tmp_path, seed):
    rng = random.Random(seed)
    read = 0
    for _ in range(250):
        toml = spoilt_bytes(rng, boat_sample.TOML) if rng.random() < 0.7 else boat_sample.TOML
        table = spoilt_bytes(rng, boat_sample.TABLE) if rng.random() < 0.6 else boat_sample.TABLE
        write(tmp_path, toml, table)
        try:
            boat = read_boat(tmp_path)
        except BoatFileError as error:
            assert error.mistakes
            for mistake in error.mistakes:
                assert PLACE.match(mistake.place) or mistake.key == "and", (mistake, toml, table)
                assert mistake.allowed and str(mistake).replace("\n", "").isprintable(), (
                    mistake,
                    toml,
                    table,
                )
        else:
            read += 1
            assert all(abs(x) <= 1000 for x in boat.hull.table.stations)
    assert 5 < read < 150  # neither all is refused nor is nothing noticed


def test_a_spoilt_table_by_itself():
    rng = random.Random(7)
    for _ in range(1500):
        raw = spoilt_bytes(rng, boat_sample.TABLE)
        reading = read_offsets(raw, rng.choice(("mm", "in", "ft-in-eighths", None)))
        assert reading.table is not None or reading.mistakes, raw
        if reading.table is not None and not reading.mistakes:
            values = [v for line in reading.table.lines for v in line.values if v is not None]
            assert values and all(-1000 <= v <= 1000 for v in values)
            assert all(
                v >= 0
                for r in reading.table.lines
                if r.measure == "half-breadth"
                for v in r.values
                if v is not None
            )
            assert list(reading.table.stations) == sorted(set(reading.table.stations))
