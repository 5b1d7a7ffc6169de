"""The loads of tests/loads.csv: answered as a builder expects, or for a reason that is written down; and
told so in reports/loads.md."""

from __future__ import annotations

from pathlib import Path

import loads
import pytest

BOATS = tuple(dict.fromkeys(row["boat"] for row in loads.rows()))


@pytest.mark.parametrize("boat", BOATS)
def test_loads_are_answered_as_a_builder_expects_or_it_is_said_why_not(boat):
    mine = [row for row in loads.rows() if row["boat"] == boat]
    assert len(mine) == 20
    wrong = []
    for row in mine:
        letter, told = loads.answered(row)
        if loads.as_expected(row, letter) == bool(row["why"]):
            wrong.append(
                f"{row['load']}: {letter}, expected {row['expected']}: {told}"
                f" ({row['why'] or 'no reason is given'})"
            )
    assert not wrong, "\n".join(wrong)


def test_what_the_shops_own_table_says_is_answered_so():
    """The table's own loads leave nothing to explain."""
    assert not [row["load"] for row in loads.rows() if row["from"] == "table" and row["why"]]


def test_the_report_holds_every_load():
    text = (Path(__file__).parents[2] / "reports" / "loads.md").read_text(encoding="utf-8")
    for row in loads.rows():
        assert f"| {row['load']} | {row['from']} | {row['expected']} | {row['old']} |" in text
        assert not row["why"] or row["why"] in text
