"""Tables and stems that contradict themselves: an error that says where, what, and how to mend it."""

from __future__ import annotations

from dataclasses import replace

import pytest

from hullview.boat.model import Boat, End, Hatch, HullForm, Opening, Table, TableLine
from hullview.errors import ShapeError
from hullview.shape.assemble import build_hull

BOW = End(((0.0, 0.30), (0.05, 0.15), (0.20, 0.03)), 0.006)
STERN = End(((3.0, 0.28), (2.96, 0.15), (2.80, 0.03)), 0.006)
STATIONS = (0.0, 0.5, 1.2, 2.0, 2.6, 3.0)


def rows(**changed: tuple[float | None, ...]) -> tuple[TableLine, ...]:
    """A small fair canoe; each row may be changed by its name."""
    given = {
        "sheer": (0.30, 0.27, 0.25, 0.245, 0.26, 0.28),
        "sheer_half": (0.003, 0.17, 0.29, 0.28, 0.14, 0.003),
        "keel": (None, 0.012, 0.002, 0.002, 0.015, None),
        "wl100": (None, 0.10, 0.24, 0.23, 0.08, None),
        "wl180": (None, 0.14, 0.28, 0.27, 0.12, None),
    } | changed
    return (
        TableLine("height", "sheer", None, given["sheer"]),
        TableLine("half-breadth", "sheer", None, given["sheer_half"]),
        TableLine("height", "keel", None, given["keel"]),
        TableLine("half-breadth", "waterline", 0.10, given["wl100"]),
        TableLine("half-breadth", "waterline", 0.18, given["wl180"]),
    )


def boat(
    lines=None, bow=BOW, stern=STERN, stations=STATIONS, kind="open", measured="outside", **more
) -> Boat:
    n = len(stations)
    table = Table(
        stations,
        lines or rows(),
        ("round",) * n,
        ("smooth",) * n,
        tuple(f"st {j}" for j in range(n)),
        "offsets.csv",
    )
    return Boat("small canoe", HullForm(kind, measured, table, bow=bow, stern=stern), **more)


def printed(**how) -> str:
    with pytest.raises(ShapeError) as error:
        build_hull(boat(**how))
    assert error.value.exit_status == 3
    return str(error.value)


def test_the_canoe_itself_is_sound():
    assert build_hull(boat()).regions == ("hull", "bow stem", "stern stem", "lid")


def test_a_keel_height_that_contradicts_the_stem():
    text = printed(
        lines=rows(keel=(None, 0.012, 0.002, 0.002, 0.015, None)),
        bow=End(((0.0, 0.30), (0.2, 0.2), (0.8, 0.03)), 0.006),
    )
    assert text.startswith(
        "offsets.csv column st 1 keel height = 12 mm: the profile of the bow passes this station at "
    )
    assert "Make the two agree, or leave the cell empty" in text


def test_an_offset_beyond_the_stem():
    text = printed(lines=rows(wl100=(0.04, 0.10, 0.24, 0.23, 0.08, None)))
    assert text.startswith("offsets.csv column st 0 half-breadth waterline 100: the point lies ")
    assert "beyond the profile of the bow" in text
    assert "Leave the cell empty, or move the profile out to it." in text


def test_no_profile_and_an_end_column_without_its_keel():
    text = printed(stern=End())
    assert text.startswith("offsets.csv column st 5: the stern has no stem profile")
    assert "[hull.stern] profile, from the sheer down to the keel line" in text


def test_a_profile_that_runs_upward():
    text = printed(bow=End(BOW.profile[::-1], 0.006))
    assert text == "[hull.bow] profile must run from the sheer down to the keel line, two points or more."


def test_a_transom_whose_profile_has_no_rake():
    text = printed(
        stern=End(((3.0, 0.28),), transom=True), lines=rows(keel=(None, 0.012, 0.002, 0.002, 0.015, 0.03))
    )
    assert (
        text
        == "[hull.stern] profile: a transom needs two points or more at different heights, to give its rake."
    )


def test_a_station_without_its_sheer():
    text = printed(
        lines=rows(
            sheer=(None, None, 0.25, 0.245, 0.26, 0.28), sheer_half=(None, None, 0.29, 0.28, 0.14, 0.003)
        )
    )
    assert "column st 1" in text
    assert "the sheer or the keel line is missing at this station" in text


def test_rows_that_every_hull_needs():
    no_sheer = tuple(r for r in rows() if r.name != "sheer")
    assert printed(lines=no_sheer) == "offsets.csv: no height and half-breadth rows for the sheer. Add both."
    assert "for the keel" in printed(lines=tuple(r for r in rows() if r.name != "keel"))
    half = TableLine("half-breadth", "chine", None, (None, 0.1, 0.2, 0.2, 0.1, None))
    assert "for the chine" in printed(lines=(*rows(), half))


def test_a_chine_that_crosses_no_station():
    nothing = (None,) * 6
    lines = (
        *rows(),
        TableLine("height", "chine", None, nothing),
        TableLine("half-breadth", "chine", None, nothing),
    )
    assert (
        printed(lines=lines)
        == "offsets.csv: the chine crosses no station. Give it a height and a half-breadth, or leave it out."
    )


def test_no_station_between_the_stems():
    long_bow, long_stern = End(((0.0, 0.30), (1.6, 0.03)), 0.006), End(((3.0, 0.28), (1.7, 0.03)), 0.006)
    text = printed(lines=rows(keel=(None,) * 6), bow=long_bow, stern=long_stern)
    assert text == "offsets.csv: no station lies between the two stems. Give at least one between them."


def test_a_table_to_the_inside_needs_the_planking():
    text = printed(measured="inside")
    assert "small canoe: the table is to the inside of the planking" in text
    assert "[[schedule.planking]]" in text


# ---------------------------------------------------------------- openings


def decked(*openings: Opening, hatches: tuple[Hatch, ...] = ()) -> dict:
    lines = (*rows(), TableLine("height", "deck", None, (0.30, 0.30, 0.30, 0.30, 0.29, 0.28)))
    return {"lines": lines, "kind": "decked", "openings": openings, "hatches": hatches}


def test_a_decked_boat_without_a_deck_on_the_centre_line():
    assert printed(kind="decked").startswith(
        "offsets.csv: no height row for the deck on the centre line, and it is decked."
    )


def test_an_opening_that_fits_is_cut():
    hull = build_hull(boat(**decked(Opening(1.5, 0.7, 0.4))))
    assert "lid 1" in hull.regions


@pytest.mark.parametrize(
    "opening, words",
    [
        (
            Opening(1.5, 0.7, 0.7),
            ("coaming 1: reaches past the edge of the deck", "narrower or shorter, or move it"),
        ),
        (Opening(0.1, 0.8, 0.3), ("coaming 1: reaches past the edge of the deck",)),
        (Opening(5.0, 0.7, 0.4), ("opening 1: lies off the deck",)),
    ],
)
def test_an_opening_that_does_not_fit_is_refused_by_name(opening, words):
    text = printed(**decked(opening))
    for w in words:
        assert w in text


def test_openings_that_overlap_are_refused():
    text = printed(**decked(Opening(1.3, 0.7, 0.4), Opening(1.7, 0.7, 0.4)))
    assert text.startswith("coaming 2: ")


def test_a_hatch_in_an_open_boat_is_refused():
    text = printed(hatches=(Hatch(1.5, 0.3, 0.2),))
    assert (
        text
        == "hatch 1: an open boat has no deck to cut it in. Leave it out, or give the deck rows in the table."
    )


# ---------------------------------------------------------------- what is not refused


def test_a_table_may_leave_the_keel_blank_under_a_stem():
    """The station at 0.15 stands in the overhang of the stem: its keel height is the profile's, and may be
    left out."""
    stations = (0.0, 0.15, 0.5, 1.2, 2.0, 2.6, 3.0)

    def with_it(keel: float | None) -> tuple[TableLine, ...]:
        def put(v, x):
            return (v[0], x, *v[1:])

        first = dict(zip(range(5), (0.288, 0.06, keel, 0.025, 0.048)))
        return tuple(replace(r, values=put(r.values, first[k])) for k, r in enumerate(rows()))

    blank = build_hull(boat(lines=with_it(None), stations=stations))
    assert blank.lines["bow stem"].points[:, 0].min() == pytest.approx(0.0, abs=1e-9)
