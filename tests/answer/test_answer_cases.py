"""Load cases: each row is what `carry` says of the same load, and what has no place is told by its case."""

from __future__ import annotations

import functools
import json
import shutil
from dataclasses import replace
from pathlib import Path

import pytest
from writers import check_every_writer

from hullview import study
from hullview.boat.loading import with_load
from hullview.boat.model import Water
from hullview.boat.reader import read_boat
from hullview.commands import status_of
from hullview.errors import BoatFileError, UsageError
from hullview.show.page import CHAPTERS, Studied
from hullview.tell.cases import cases_telling

MODELS = Path(__file__).parents[2] / "models"


@functools.cache
def rows(name):
    return study.cases(read_boat(MODELS / name))


@pytest.mark.parametrize("name", ["short-kayak", "open-canoe", "flat-skiff"])
def test_each_case_answers_as_carry_does_for_the_same_load(name):
    boat = read_boat(MODELS / name)
    assert [r.case.name for r in rows(name)] == [c.name for c in boat.cases]
    for row in rows(name):
        verdict = study.carry(replace(boat, load=row.case.load))
        assert row.answer == verdict.answer and row.least_margin == verdict.least_margin
        assert [c.value for c in row.checks] == [c.value for c in verdict.checks]
        assert row.likely.draft == pytest.approx(verdict.floating.draft, rel=1e-9)
        assert row.seat == verdict.seat


def test_a_case_is_the_load_that_options_would_ask_for():
    """The skiff's heavy rower by case and by --paddler; the canoe's lone paddler in the best seat."""
    boat = read_boat(MODELS / "flat-skiff")
    heavy = next(r for r in rows("flat-skiff") if r.case.name == "a heavy rower")
    asked = study.carry(with_load(boat, [110.0]))
    assert heavy.answer == asked.answer and heavy.likely.draft == pytest.approx(asked.floating.draft)
    canoe = read_boat(MODELS / "open-canoe")
    free = next(r for r in rows("open-canoe") if r.case.load.free)
    asked = study.carry(with_load(canoe, [85.0], gear=[None]))
    assert free.craft.seating.seat == asked.craft.seating.seat
    assert [c.value for c in free.checks] == pytest.approx([c.value for c in asked.checks])


def test_a_dog_that_roams_is_at_both_sides_in_the_bad_ends():
    dog = next(r for r in rows("open-canoe") if "dog" in r.case.name)
    assert len(dog.ends) == 1 + 2 * 4, "likely, then four bad ends to either side"
    still = replace(dog.case.load, gear=tuple(replace(g, roams=0.0) for g in dog.case.load.gear))
    boat = read_boat(MODELS / "open-canoe")
    calm = study.carry(replace(boat, load=still))
    assert calm.answer == "carries" and dog.answer != "carries"


def test_other_water_and_another_build():
    boat = read_boat(MODELS / "short-kayak")
    salt = study.cases(replace(boat, water=Water("salt")), "taped-seam")
    assert all(r.craft.weight.build == "taped-seam" for r in salt)
    assert all(a.likely.draft < b.likely.draft for a, b in zip(salt, rows("short-kayak")))


def test_a_boat_without_cases_is_told_how_to_add_one():
    with pytest.raises(UsageError, match=r"no \[\[case\]\] in boat.toml. Add one"):
        study.cases(replace(read_boat(MODELS / "flat-skiff"), cases=()))


def test_what_has_no_place_on_the_boat_is_told_by_its_case(tmp_path, capsys):
    shutil.copytree(MODELS / "open-canoe", tmp_path / "boat")
    file = tmp_path / "boat" / "boat.toml"
    file.write_text(file.read_text().replace('roams = "200 mm"', 'roams = "1.2 m"'))
    with pytest.raises(BoatFileError, match="case 'two and a dog': dog"):
        study.cases(read_boat(tmp_path / "boat"))
    assert status_of(["cases", str(tmp_path / "boat")]) == 3
    assert "two and a dog" in capsys.readouterr().err


@pytest.mark.parametrize("units", ["metric", "imperial"])
@pytest.mark.parametrize("name", ["open-canoe", "cruising-canoe-1883"])
def test_cases_are_told_alike_in_every_writer(name, units):
    check_every_writer(cases_telling(rows(name), replace(read_boat(MODELS / name), units_shown=units)))


def test_the_text_fits_a_terminal_and_the_json_has_a_record_a_case(capsys):
    assert status_of(["cases", str(MODELS / "open-canoe")]) == 0
    assert max(map(len, capsys.readouterr().out.splitlines())) <= 80
    assert status_of(["cases", str(MODELS / "open-canoe"), "--json"]) == 0
    told = json.loads(capsys.readouterr().out)["cases"]
    assert [t["name"] for t in told] == [r.case.name for r in rows("open-canoe")]
    for record, row in zip(told, rows("open-canoe")):
        assert record["answer"] == row.answer and record["in_the_way"] == (row.in_the_way or None)
        assert record["draft_m"] == row.likely.draft and record["level_trim_seat_back_m"] == row.seat.back


def test_the_page_has_them_as_a_chapter():
    whole = Studied(study.carry(read_boat(MODELS / "flat-skiff")))
    (chapter,) = [made for _, write in CHAPTERS if write.__name__ == "_cases" for made in [write(whole)]]
    assert chapter.title == "Load cases" and chapter.html.count("<tr") >= 4
    assert "rower and child aft" in chapter.html
    bare = Studied(
        replace(whole.verdict, craft=replace(whole.verdict.craft, boat=replace(whole.boat, cases=())))
    )
    assert [write(bare) for _, write in CHAPTERS if write.__name__ == "_cases"] == [None]
