"""Loads a builder would try, with what a builder expects, what was answered before the rules of today, and
what is answered now.

    python tests/loads.py

writes reports/loads.md. Each row of tests/loads.csv is a boat of models/, a load in words, the options of
`carry` that say it (split by "|"), an edit of boat.toml where no option says it ("old => new", \\n for a line
end), what is expected (C carries, M marginal, N does not carry), whether that stands in the shop's own table
or was filled in beside it, and why we differ where we do. "old" is what the rules of commit a47893e answered,
asked with the options of "before" where it is filled. What is expected is common practice, no source.
"""

from __future__ import annotations

import csv
import shutil
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from hullview import study
from hullview.answer.plausible import sizes
from hullview.answer.remarks import remarks
from hullview.boat.files import write_whole
from hullview.commands import carry, options
from hullview.errors import HullviewError

HERE = Path(__file__).parent
LETTER = {"carries": "C", "marginal": "M", "does not carry": "N"}
REFUSED = "refused"
LOAD = (*options.LOAD, "water")
Row = dict[str, str]


def rows() -> list[Row]:
    with (HERE / "loads.csv").open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


@contextmanager
def folder(row: Row) -> Iterator[Path]:
    """The folder of a row's boat; where its file is edited, of a copy."""
    model = HERE.parent / "models" / row["boat"]
    if not row["edit"]:
        yield model
        return
    old, new = (part.replace("\\n", "\n") for part in row["edit"].split(" => "))
    with tempfile.TemporaryDirectory() as place:
        copy = Path(shutil.copytree(model, Path(place) / model.name))
        text = (copy / "boat.toml").read_text(encoding="utf-8")
        assert old in text, f"{row['boat']}: {old!r} is not in its boat.toml"
        (copy / "boat.toml").write_text(text.replace(old, new), encoding="utf-8")
        yield copy


def launched(row: Row) -> study.Craft:
    """The boat with the load of a row, by the options of `carry`."""
    with folder(row) as path:
        words = carry.command.make_context("carry", [str(path), *row["options"].split("|")]).params
        load = {key: words[key] for key in LOAD}
        return study.launch(options.read_loaded(str(path), **load), words["build"])


def answered(row: Row) -> tuple[str, str]:
    """The letter of the answer, and what stands in the way or is remarked."""
    try:
        craft = launched(row)
        answer, checks, ends, _ = study.checked(craft)
    except HullviewError as error:
        return REFUSED, str(error)
    stand = dict.fromkeys(
        f"{c.obstacle}{'' if c.result == 'warn' else ' (fails)'}" for c in checks if c.result != "pass"
    )
    printed = [r.key for r in remarks(craft.boat, ends[0], sizes(craft.hull)["length over beam"])]
    told = "; ".join(stand) + (f" (remark: {', '.join(printed)})" if printed else "")
    return LETTER[answer], told.strip()


def as_expected(row: Row, letter: str) -> bool:
    """Whether a letter is one of those that a builder expects: "C or M", "N (wished)"."""
    return (
        letter in row["expected"].replace("(wished)", "").split(" or ") or letter in row["expected"].split()
    )


def report() -> str:
    """The whole table, a chapter for each boat, with what disagrees and why."""
    out = [HEAD]
    found = [(row, *answered(row)) for row in rows()]
    agree = sum(as_expected(row, letter) for row, letter, _ in found)
    before = sum(as_expected(row, row["old"]) for row, *_ in found)
    out.append(
        f"{len(found)} loads: {agree} answered as a builder expects, {before} before. "
        "Those that differ are told of under each table.\n"
    )
    for boat in dict.fromkeys(row["boat"] for row, *_ in found):
        out += [
            f"## {boat}\n",
            "| load | from | expected | before | now | in the way, remarks |",
            "|---|---|---|---|---|---|",
        ]
        mine = [one for one in found if one[0]["boat"] == boat]
        out += [
            f"| {r['load']} | {r['from']} | {r['expected']} | {r['old']} |"
            f" {letter}{'' if as_expected(r, letter) else ' *'} | {told} |"
            for r, letter, told in mine
        ]
        out += [
            "",
            *(f"\\* {r['load']}: {r['why']}" for r, letter, _ in mine if not as_expected(r, letter)),
            "",
        ]
    return "\n".join(out)


HEAD = """# Loads a builder would try

Made by `python tests/loads.py` from [tests/loads.csv](../tests/loads.csv). C carries, M marginal, N does not
carry. "table": the load and what is expected of it stand in the shop's own table; "filled": added beside it,
with what we would expect. All that is expected is common practice, no source. "before": the answer under the
rules of commit a47893e, with the people of that version (all facing the bow) sitting as near as its options
could say; "-" where they could not.
"""


if __name__ == "__main__":
    write_whole(str(HERE.parent / "reports" / "loads.md"), report() + "\n")
