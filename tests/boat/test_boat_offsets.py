"""The table of offsets: read as it stands, every mistake with its row and column, all of them at once."""

from __future__ import annotations

import math

import pytest

from hullview.boat.offsets import read_offsets

TABLE = """\
measure,line,at,0,1,2,3,4
position,,,0,500,1300,2100,3000
height,sheer,,310,290,265,275,300
half-breadth,sheer,,3,210,330,250,0
height,keel,,,12,0,9,
half-breadth,waterline,50,,90,230,130,
half-breadth,waterline,150,1,150,305,205,-
height,buttock,100,,60,4,30,
half-breadth,diagonal,200/45,,150,260,180,
height,chine 1,,,40,20,35,
half-breadth,chine 1,,,70,190,100,
height,deck,,310,320,330,325,300
half-breadth,deck,280,,120,,,
height,deck,100,,310,325,,
shape,keel,,,vee,round,-,
shape,deck,,,ridge,,ridge,
"""


def reading(text=TABLE, unit="mm"):
    return read_offsets(text.encode() if isinstance(text, str) else text, unit)


def mistakes(old, new, unit="mm", count=1):
    assert old in TABLE
    return [str(m) for m in reading(TABLE.replace(old, new, count), unit).mistakes]


def test_a_table_is_read_as_it_stands():
    table = reading().table
    assert table is not None
    assert table.stations == (0.0, 0.5, 1.3, 2.1, 3.0)
    assert table.column_names == ("0", "1", "2", "3", "4")
    by_label = {r.label: r for r in table.lines}
    assert by_label["half-breadth waterline 150"].values == (0.001, 0.150, 0.305, 0.205, None)
    assert by_label["height buttock 100"].at == 0.1
    diagonal = by_label["half-breadth diagonal 200/45"]
    assert (diagonal.at, diagonal.angle) == (0.2, pytest.approx(math.radians(45)))
    assert by_label["height sheer"].row == 3 and by_label["height deck 100"].row == 14
    assert table.chines == ("chine 1",)
    assert table.decked
    assert table.keel_shape == ("round", "vee", "round", "round", "round")
    assert table.deck_shape == ("smooth", "ridge", "smooth", "ridge", "smooth")


@pytest.mark.parametrize(
    ("old", "new", "place"),
    [
        ("50,,90,230,130,", "50,,90,,130,", "row 6 column 6 half-breadth waterline 50 at station 2"),
        ("100,,60,4,30,", "100,1,60,-,30,", "row 8 column 6 height buttock 100 at station 2"),
        ("45,,150,260,180,", "45,,150,,180,", "row 9 column 6 half-breadth diagonal 200/45 at station 2"),
    ],
)
def test_an_empty_cell_between_filled_ones_is_told(old, new, place):
    found = reading(TABLE.replace(old, new, 1))
    assert found.mistakes == []
    assert [n for n in found.notices if place in n and "empty between" in n]
    assert not [n for n in reading().notices if "empty between" in n]


def test_a_rabbet_is_vee_unless_said_otherwise():
    text = TABLE.replace("height,keel", "height,rabbet").replace("shape,keel,,,vee,round,-,\n", "")
    assert reading(text).table.keel_shape == ("vee",) * 5


@pytest.mark.parametrize(
    "change",
    [
        lambda t: t.replace("\n", "\r\n").encode(),
        lambda t: t.replace("\n", "\r").encode(),
        lambda t: b"\xef\xbb\xbf" + t.encode(),
        lambda t: ("# a remark, with; signs\n\n" + t + ",,,,,,,\n").encode(),
        lambda t: t.replace("height", "Height").replace("sheer", "Sheer").encode(),
        lambda t: "\n".join(line + ",," for line in t.strip().split("\n")).encode(),
        lambda t: t.replace(",310,290", ", 310 ,290 mm").encode(),
        lambda t: t.replace(",310,290", ",0.31 m,29 cm").encode(),
        lambda t: ("\n".join([*t.split("\n")[:1], *reversed(t.strip().split("\n")[1:])])).encode(),
    ],
    ids=[
        "CRLF",
        "CR",
        "BOM",
        "remarks",
        "capitals",
        "empty columns",
        "blanks",
        "own units",
        "rows turned round",
    ],
)
def test_the_same_table_in_other_clothes(change):
    plain, other = reading().table, reading(change(TABLE)).table
    assert other is not None
    values = {r.label: r.values for r in plain.lines}
    assert {r.label: r.values for r in other.lines} == values
    assert other.stations == plain.stations and other.keel_shape == plain.keel_shape


def test_eighths_of_inches_and_a_letter_o():
    text = (
        "measure,line,at,A,B,C\nposition,,,0-0-0,3-0-0,6-O-0\nheight,sheer,,1-2-0,1-O-4,1-1-3+\n"
        "half-breadth,sheer,,0,1-0-0,0-0-1\nheight,keel,,0-1-0,0-0-0,0-0-4-\n"
    )
    found = reading(text, "ft-in-eighths")
    assert found.mistakes == []
    sheer = found.table.find("height", "sheer")
    assert sheer.values == pytest.approx((14 * 0.0254, 12.5 * 0.0254, (13 + 7 / 16) * 0.0254), rel=1e-15)
    assert [n.split(" = ")[0] for n in found.notices] == [
        "offsets.csv row 2 column 6 position at station C",
        "offsets.csv row 3 column 5 height sheer at station B",
    ]
    assert found.imperial > 0 and found.metric == 0


@pytest.mark.parametrize(
    ("old", "new", "place", "words"),
    [
        ("290", "nan", "row 3 column 5 height sheer at station 1 = nan", "finite"),
        ("290", "inf", "row 3 column 5 height sheer at station 1 = inf", "finite"),
        ("290", "high", "row 3 column 5 height sheer at station 1 = high", "must be a length"),
        ("290", "1000001", "row 3 column 5 height sheer at station 1 = 1000001", "over 1,000 m"),
        ("290", "-", "row 3 column 5 height sheer at station 1", "is missing"),
        ("290", '"29,5"', "row 3 column 5 height sheer at station 1 = 29,5", "without a comma"),
        (
            "290",
            "1-0-4",
            "row 3 column 5 height sheer at station 1 = 1-0-4",
            "feet-inches-eighths in a table in mm",
        ),
        ("290", '"290', "row 3 height sheer", "unclosed quotation mark"),
        ("3,210,330", "3,-210,330", "row 4 column 5 half-breadth sheer at station 1 = -210", "0 or more"),
        ("0,500,1300", "0,1300,500", "row 2 column 6 position at station 2 = 500", "aft of the one before"),
        ("0,500,1300", "0,500,500", "row 2 column 6 position at station 2 = 500", "aft of the one before"),
        ("0,500,1300", "0,,1300", "row 2 column 5 position at station 1", "is missing"),
        ("position,,", "position,x,", "row 2 column 2 position", "must be empty"),
        ("at,0,1,2", "at,0,1,1", "row 1 column 6 header", "two stations"),
        ("at,0,1,2", "at,0,,2", "row 1 column 5 header", "no name"),
        ("measure,line", "kind,line", "row 1 header", "must begin with measure,line,at"),
        ("height,sheer,,310,290", "height,sheer,,290", "row 3 height sheer", "has 7 cells; the header has 8"),
        ("height,sheer,,310", "height,sheer,,31,0", "row 3 height sheer", "decimal comma"),
        ("height,keel", "height,keell", "row 5 column 2 height line", "Did you mean 'keel'?"),
        (
            "height,keel,,,12,0,9,",
            "height,keel,,,12,,9,",
            "row 5 column 6 height keel at station 2",
            "missing between",
        ),
        (
            "half-breadth,waterline,50",
            "height,waterline,50",
            "row 6 column 2 height line",
            "gives its half-breadth",
        ),
        (
            "half-breadth,waterline,50",
            "halfbreadth,waterline,50",
            "row 6 column 1 measure",
            "Did you mean 'half-breadth'?",
        ),
        ("waterline,50", "waterline,", "row 6 column 3 half-breadth waterline at", "is missing"),
        ("waterline,50", "waterline,150", "row 7 half-breadth waterline 150", "stands in row 6 already"),
        (
            "waterline,50",
            "waterline,290",
            "row 6 column 6 half-breadth waterline 290 at station 2",
            "above the sheer",
        ),
        (
            "waterline,50,,90",
            "waterline,50,,-90",
            "row 6 column 5 half-breadth waterline 50 at station 1 = -90",
            "0 or more",
        ),
        ("buttock,100", "buttock,0", "row 8 column 3 height buttock at = 0", "more than 0"),
        ("200/45", "200", "row 9 column 3 half-breadth diagonal at", "height and an angle"),
        ("200/45", "200/95", "row 9 column 3 half-breadth diagonal at", "between 0 and 90"),
        ("height,sheer,,310", "height,sheer,5,310", "row 3 column 3 height sheer at", "must be empty"),
        (
            "half-breadth,chine 1,,,70,190,100,\n",
            "",
            "row 10 height chine 1",
            "needs a row half-breadth,chine 1 too",
        ),
        ("height,chine 1,,,40,20,35,\n", "", "row 10 half-breadth chine 1", "needs a row height,chine 1 too"),
        (
            "chine 1,,,70,190,100",
            "chine 1,,,70,190,",
            "row 11 column 7 half-breadth chine 1 at station 3",
            "is missing, and the height is there",
        ),
        ("height,deck,,310,320,330,325,300\n", "", "row 1 height deck", "is missing"),
        (
            "height,deck,,310,320,330",
            "height,deck,,310,320,",
            "row 12 column 6 height deck at station 2",
            "missing between",
        ),
        ("325,300\nhalf", "325,310\nhalf", "row 12 column 8 height deck at station 4 = 310 mm", "no camber"),
        (
            "vee,round,-",
            "vee,square,-",
            "row 15 column 6 shape keel at station 2",
            "must be round, vee or flat",
        ),
        ("shape,deck", "shape,sheer", "row 16 column 2 shape line", "keel or deck"),
        ("height,keel,,,12,0,9,\n", "", "row 1 height keel", "is missing"),
        ("height,sheer,,310,290,265,275,300\n", "", "row 1 height sheer", "is missing"),
        ("position,,,0,500,1300,2100,3000\n", "", "row 1 position", "is missing"),
        (
            "height,buttock,100,,60,4,30,",
            "height,buttock,100,,,,,",
            "row 8 height buttock 100",
            "crosses no station",
        ),
    ],
)
def test_each_mistake_with_its_place(old, new, place, words):
    found = mistakes(old, new)
    assert len(found) == 1, found
    assert found[0].startswith(f"offsets.csv {place}")
    assert words in found[0]


def test_keel_and_rabbet_exclude_each_other():
    found = mistakes("height,keel,,,12,0,9,", "height,keel,,,12,0,9,\nheight,rabbet,,,12,0,9,")
    assert len(found) == 1 and "Give the keel or the rabbet" in found[0]


def test_all_mistakes_in_one_go_in_the_order_of_the_table():
    text = (
        TABLE.replace("290", "nan")
        .replace("3,210,330", "3,-210,330")
        .replace("height,buttock", "height,butock")
    )
    assert [m.place for m in reading(text).mistakes] == [
        "offsets.csv row 3 column 5",
        "offsets.csv row 4 column 5",
        "offsets.csv row 8 column 2",
    ]


@pytest.mark.parametrize(
    ("raw", "words"),
    [
        (b"", "is empty"),
        (b"\n \n,,,\n# only a remark\n", "is empty"),
        (TABLE.replace(",", ";").encode(), "semicolons"),
        (TABLE.replace(",", "\t").encode(), "tabs"),
        (TABLE.encode("utf-16"), "UTF-16"),
        (TABLE.replace("deck", "d\u00e9ck").encode("latin-1"), "not UTF-8"),
        (
            b"measure,line,at,0,1\nposition,,,0,1\nheight,sheer,,1,1\nhalf-breadth,sheer,,1,1\nheight,keel,,0,0\n",
            "3 or more",
        ),
    ],
)
def test_what_is_no_table_at_all(raw, words):
    found = reading(raw)
    assert found.table is None
    assert any(words in str(m) for m in found.mistakes), found.mistakes


def test_latin_bytes_are_told_with_their_row():
    found = reading(TABLE.replace("height,deck,100", "height,d\u00e9ck,100").encode("latin-1"))
    assert str(found.mistakes[0]).startswith("offsets.csv row 14 ")


def test_a_table_in_the_wrong_notation_is_one_mistake():
    cells = "1-0-0,2-0-0,3-0-0"
    rows = ("position,,", "height,sheer,", "half-breadth,sheer,", "height,keel,")
    text = "measure,line,at,A,B,C\n" + "".join(f"{row},{cells}\n" for row in rows)
    found = reading(text, "mm").mistakes
    assert len(found) == 1
    assert "11 cells more" in str(found[0])


def test_bare_cells_without_a_unit_are_counted_not_guessed():
    found = reading(TABLE, None)
    assert (
        len(found.bare)
        == sum(c not in ("", "-") for line in TABLE.split("\n")[1:-3] for c in line.split(",")[3:]) + 6
    )
    assert found.bare[0] == "offsets.csv row 2 column 4 position at station 0"
