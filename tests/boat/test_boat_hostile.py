"""Files made to waste time, and tables with several things wrong: refused at once, and all of it in one
report."""

from __future__ import annotations

import time
from pathlib import Path

import pytest

from hullview.boat.offsets import MOST_ROWS, MOST_STATIONS, read_offsets
from hullview.boat.reader import read_boat
from hullview.boat.schedule import MOST_ENTRIES
from hullview.boat.tomlfile import MOST_PARTS
from hullview.errors import BoatFileError

MODEL = Path(__file__).parents[2] / "models" / "flat-skiff"
TOML, TABLE = (MODEL / "boat.toml").read_text(), (MODEL / "offsets.csv").read_text()
AT_ONCE = 1.0
"""Seconds of work; each of these took 9 to 40 before it was capped."""


def mistakes(folder: Path, toml: str = TOML, table: str = TABLE) -> list[str]:
    (folder / "boat.toml").write_text(toml)
    (folder / "offsets.csv").write_text(table)
    start = time.process_time()
    with pytest.raises(BoatFileError) as refused:
        read_boat(folder)
    assert time.process_time() - start < AT_ONCE
    return [str(m) for m in refused.value.mistakes]


# ---------------------------------------------------------------- caps


@pytest.mark.parametrize(
    "written",
    [
        ".".join(["a"] * 16_000) + " = 1\n",
        " . ".join(['"a"'] * 16_000) + " = 1\n",
        ".".join(["'a b'"] * 16_000) + " = 1\n",
        "x = { " + ".".join(["a"] * 16_000) + " = 1 }\n",
        'notes = """\n"""\n' + ".".join(["a"] * 16_000) + " = 1\n",
    ],
    ids=["bare", "quoted", "single quotes", "inline", "after a text"],
)
def test_a_key_of_sixteen_thousand_parts_is_refused_at_once(tmp_path, written):
    (found,) = mistakes(tmp_path, written + TOML)
    line = written.rstrip("\n").count("\n") + 1
    assert found.startswith(f"boat.toml:{line} the file: holds a key of more than {MOST_PARTS} parts")


def test_quotation_marks_without_end_are_refused_at_once(tmp_path):
    for written in ('"' * 100_000, "'\"" * 50_000, '"""' + '\\"""' * 50_000, '"' + "\\" * 100_001):
        (found,) = mistakes(tmp_path, written + TOML)
        assert found.startswith("boat.toml:")


def test_a_header_of_too_many_parts_is_refused_at_its_line(tmp_path):
    (found,) = mistakes(tmp_path, TOML + "\n[" + ".".join(["a"] * 16_000) + "]\n")
    assert found.startswith(f"boat.toml:{TOML.count(chr(10)) + 2} the file: holds a key of more than")


@pytest.mark.parametrize(
    "harmless",
    [
        "# " + "a." * 5000,
        f'notes = "{"a." * 500}"',
        f"notes = '{'a.' * 500}'",
        f'notes = """\n{"a." * 500} "" {chr(92)}"""x\n"""',
        f"notes = '''\n{'a.' * 500} '' \n'''",
        f'notes = "{chr(92)}"{"a." * 500}"',
    ],
    ids=["comment", "text", "literal", "lines", "literal lines", "escape"],
)
def test_dots_in_a_text_or_a_comment_are_no_key(tmp_path, harmless):
    toml = "\n".join(line for line in TOML.split("\n") if not line.startswith("notes"))
    (tmp_path / "boat.toml").write_text(harmless + "\n" + toml)
    (tmp_path / "offsets.csv").write_text(TABLE)
    read_boat(tmp_path)


def test_a_table_of_32000_columns_is_refused_at_once(tmp_path):
    rows = TABLE.strip().split("\n")
    wide = [row + "," + ",".join(str(4000 + i) for i in range(32_000)) for row in rows]
    (found,) = mistakes(tmp_path, table="\n".join(wide))
    assert found.startswith(f"offsets.csv row 1 header: has 32009 stations; at most {MOST_STATIONS}")


def test_a_table_of_20000_rows_is_refused_at_once(tmp_path):
    more = "".join(f"half-breadth,waterline,{i}," + "," * 8 + "\n" for i in range(1, 20_001))
    (found,) = mistakes(tmp_path, table=TABLE + more)
    assert "the table: has 20008 rows" in found and f"at most {MOST_ROWS}" in found


def test_empty_columns_of_a_spreadsheet_are_no_stations(tmp_path):
    (tmp_path / "boat.toml").write_text(TOML)
    (tmp_path / "offsets.csv").write_text("\n".join(r + "," * 16_000 for r in TABLE.strip().split("\n")))
    assert len(read_boat(tmp_path).hull.table.stations) == 9


def test_a_list_of_too_many_tables_is_refused_at_once(tmp_path):
    (found,) = mistakes(tmp_path, TOML + "\n[[tank]]" * 30_000)
    assert found.startswith("boat.toml:") and f"has 30000 entries; at most {MOST_ENTRIES}" in found


@pytest.mark.parametrize("name", ["offsets.csv/", "offsets.csv//", "offsets.csv/."])
def test_a_name_that_ends_like_a_folder_is_refused(tmp_path, name):
    (found,) = mistakes(tmp_path, TOML.replace('"offsets.csv"', f'"{name}"'))
    assert f'hull.offsets = "{name}": is the name of a folder' in found


# ---------------------------------------------------------------- all mistakes at once


def table_mistakes(text: str) -> list[str]:
    return [str(m) for m in read_offsets(text.encode(), "mm").mistakes]


def replaced(*changes: tuple[str, str]) -> str:
    text = TABLE
    for old, new in changes:
        assert old in text
        text = text.replace(old, new, 1)
    return text


WRONG_CELL = ("height,chine,,,80", "height,chine,,,8O.x")
"""A cell that is no length, told wherever else the table is wrong."""


@pytest.mark.parametrize(
    ("change", "says"),
    [
        (("height,sheer", "height,shere"), "row 3 column 2 height line"),
        (("height,sheer", "hieght,sheer"), "row 3 column 1 measure"),
        (("height,keel", "height,bottom"), "row 5 column 2 height line"),
        (("height,keel", "depth,keel"), "row 5 column 1 measure"),
        (("position", "distance"), "position: is missing"),
        (("position,,,0,400", "position,,,0,4m00"), "row 2 column 5 position"),
        (("position,,,0,400", "position,,,400,0"), "must lie aft of the one before"),
        (("measure,line,at", "kind,line,at"), "must begin with measure,line,at"),
        (("measure,line,at,0,1,2,3,4,5,6,7,T\n", ""), "must begin with measure,line,at"),
        (("height,sheer,,560,", "height,sheer,,560,,"), "has 13 cells; the header has 12"),
        (("half-breadth,chine,,,", "half-breadth,chine,7,,"), 'at = "7": must be empty for the chine'),
        (("shape,keel", "shape,kele"), "shape line"),
        (("shape,keel", "shape,deck"), "there are no deck rows"),
    ],
)  # fmt: skip
def test_a_wrong_cell_is_told_beside_whatever_else_is_wrong(change, says):
    found = table_mistakes(replaced(WRONG_CELL, change))
    assert any(says in m for m in found), found
    assert any("8O.x" in m for m in found), found


def test_behind_a_wrong_name_its_own_cells_and_what_it_owes_the_others_are_told():
    found = table_mistakes(replaced(("height,sheer,,560,514,472", "height,shere,,560,x,20")))
    assert [m for m in found if "column 2 height line" in m and "Did you mean 'sheer'?" in m]
    assert [m for m in found if "row 3 column 5" in m and "= x" in m]
    assert [m for m in found if "row 3 column 6" in m and "must lie above the keel" in m]
    assert not [m for m in found if "height sheer: is missing" in m]
    assert len(found) == 3


def test_cells_of_a_row_of_the_wrong_width_are_read_too():
    found = table_mistakes(replaced(("height,sheer,,560,514", "height,sheer,,560,5x4,")))
    assert [m for m in found if "has 13 cells" in m] and [m for m in found if "5x4" in m]


def test_what_else_is_wrong_with_a_table_of_semicolons_is_told():
    text = replaced(("height,sheer,,560,514", "height,sheer,,560,5x4")).replace(".", ",").replace(",", ";")
    found = table_mistakes(text)
    assert "has semicolons between its cells" in found[0]
    assert len(found) == 2 and "5x4" in found[1]


def test_mistakes_of_both_files_come_together(tmp_path):
    toml = TOML.replace('type = "open"', 'type = "opne"')
    found = mistakes(tmp_path, toml, replaced(WRONG_CELL, ("height,sheer", "height,shere")))
    assert len(found) == 3 and "hull.type" in found[0]
