"""Inputs led by what they reach in the code, for the parsers that read text: needs atheris (pip install
atheris).

    python tests/fuzz/guided.py quantity -max_total_time=600
    python tests/fuzz/guided.py table -max_total_time=600 -max_len=4000
    python tests/fuzz/guided.py toml -max_total_time=600 -max_len=4000

Options after the name are the fuzzing engine's own; it stops at the first input that ends in anything but a
reading or a refusal.
"""

from __future__ import annotations

import math
import sys
import tempfile
from collections.abc import Callable
from pathlib import Path

import atheris

with atheris.instrument_imports(include=["hullview.boat"]):
    from hullview.boat import quantity
    from hullview.boat.offsets import read_offsets
    from hullview.boat.reader import read_boat
    from hullview.boat.units import BY_NAME, EXAMPLES

from mutate import models
from watch import unhelpful

from hullview.errors import BoatFileError

KINDS, UNITS = tuple(EXAMPLES), (None, "ft-in-eighths", *(u for u in BY_NAME if BY_NAME[u].kind == "length"))


def one_quantity(raw: bytes) -> None:
    """A finite number, the same when read again, or a refusal that says what was given."""
    given = atheris.FuzzedDataProvider(raw)
    kind, bare = (
        KINDS[given.ConsumeIntInRange(0, len(KINDS) - 1)],
        UNITS[given.ConsumeIntInRange(0, len(UNITS) - 1)],
    )
    text = given.ConsumeUnicodeNoSurrogates(80)
    try:
        found = quantity.read(text, kind, bare if kind == "length" else None)
    except quantity.QuantityError as error:
        assert error.allowed and error.given and str(error).isprintable(), repr(str(error))
        return
    assert math.isfinite(found.value), text
    assert any(c.isdigit() or c in "Oo\u00bd\u00bc\u00be\u215b\u215c\u215d\u215e" for c in text), (
        f"{text!r} read as {found.value}"
    )


def one_table(raw: bytes) -> None:
    """A table with finite numbers, or mistakes with their places."""
    found = read_offsets(raw[1:], UNITS[raw[0] % len(UNITS)] if raw else None)
    if found.table is None:
        assert found.mistakes or found.bare
    else:
        values = [v for line in found.table.lines for v in line.values if v is not None]
        assert all(math.isfinite(v) for v in (*found.table.stations, *values))
        assert list(found.table.stations) == sorted(set(found.table.stations))
    if found.mistakes:
        assert not unhelpful(BoatFileError(found.mistakes)), unhelpful(BoatFileError(found.mistakes))


_FOLDER = Path(tempfile.mkdtemp())


def one_toml(raw: bytes) -> None:
    """A boat, or mistakes with their places; the table beside it is sound."""
    (_FOLDER / "boat.toml").write_bytes(raw)
    try:
        read_boat(_FOLDER)
    except BoatFileError as error:
        assert not unhelpful(error), unhelpful(error)


TARGETS: dict[str, Callable[[bytes], None]] = {"quantity": one_quantity, "table": one_table, "toml": one_toml}


def main() -> None:
    if len(sys.argv) < 2 or sys.argv[1] not in TARGETS:
        sys.exit(__doc__)
    name = sys.argv.pop(1)
    corpus = Path(tempfile.mkdtemp())
    for i, folder in enumerate(models()):
        start = {"quantity": b"\0\0" + b"1-1/8 in", "table": b"\2" + folder.table, "toml": folder.toml}[name]
        (corpus / str(i)).write_bytes(start)
        (_FOLDER / "offsets.csv").write_bytes(folder.table)
    atheris.Setup([*sys.argv, str(corpus)], TARGETS[name])
    atheris.Fuzz()


if __name__ == "__main__":
    main()
