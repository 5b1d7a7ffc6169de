"""The front door of the library: it says what the commands say, in few words, and draws it."""

from __future__ import annotations

import json
import math
from pathlib import Path

import pytest
from click.testing import CliRunner

import hullview
from hullview import study
from hullview.commands import group
from hullview.errors import UsageError

KAYAK = Path(__file__).parents[1] / "models" / "short-kayak"


@pytest.fixture(scope="module")
def boat():
    return hullview.open(KAYAK)


def command(*words):
    done = CliRunner().invoke(group, [words[0], str(KAYAK), *words[1:], "--json"], standalone_mode=False)
    assert done.exception is None, done.exception
    return json.loads(done.stdout)


SAME = {
    "carry": lambda b: (b.carry(paddler="95 kg", water="salt"), ["--paddler", "95 kg", "--water", "salt"]),
    "float": lambda b: (b.float(gear="6 kg @ 2.3 m"), ["--gear", "6 kg @ 2.3 m"]),
    "righting": lambda b: (b.righting(to="60 deg", step="20 deg"), ["--to", "60", "--step", "20"]),
    "weigh": lambda b: (b.weigh("taped-seam"), ["--build", "taped-seam"]),
    "compare": lambda b: (b.compare(), []),
    "buy": lambda b: (b.buy(), []),
    "batches": lambda b: (b.batches(), []),
    "forms": lambda b: (b.forms(at="1.3 m"), ["--at", "1.3 m"]),
    "check": lambda b: (b.check(), []),
}


@pytest.mark.parametrize("name", SAME)
def test_a_call_says_what_the_command_says(boat, name):
    told, options = SAME[name](boat)
    assert told.to_dict() == command(name, *options)
    assert len(repr(told)) < 400
    html = told._repr_html_()
    assert "<table" in html and "<h4>" in html and "<script" not in html
    assert len(str(told)) > 200


def test_the_frame_of_a_curve_is_in_degrees_and_metres(boat):
    told = boat.righting(to="90 deg", step="10 deg")
    frame = told.to_frame()
    first = told.result[0]
    assert frame["heel_deg"].tolist() == pytest.approx([math.degrees(h) for h in first.heel])
    arms = [c for c in frame.columns if c.startswith("arm_")]
    assert frame[arms[0]].tolist() == pytest.approx(first.arm.tolist())


@pytest.mark.parametrize("ask", ["righting", "hydrostatics", "weigh", "compare", "check"])
def test_what_can_be_drawn_gives_axes(boat, ask):
    axes = getattr(boat, ask)().plot()
    assert axes.figure is not None and (axes.lines or axes.patches or axes.collections)


def test_what_has_no_chart_says_so(boat):
    with pytest.raises(UsageError, match="has no chart"):
        boat.buy().plot()


def test_every_result_has_a_short_repr(boat):
    verdict = boat.carry().result
    craft = verdict.craft
    for one in (
        boat, verdict, craft, craft.boat, craft.hull, craft.body, craft.weight, verdict.floating,
        verdict.floating.rest, verdict.floating.rest.immersed, verdict.checks[0], boat.righting().result[0],
        boat.compare().result[0], boat.buy().result, boat.batches().result, boat.forms().result,
    ):  # fmt: skip
        assert 10 < len(repr(one)) < 400, type(one)
    assert "Short kayak" in repr(boat) and verdict.answer in repr(verdict)


@pytest.mark.parametrize(
    "call",
    [study.carry, study.launch, study.craft_of, study.shaped, study.forms, study.cases,
     hullview.build_hull, lambda path: hullview.weigh(path, None)],
)  # fmt: skip
def test_a_path_where_a_boat_is_due_is_refused_in_words(call):
    with pytest.raises(UsageError, match=r"is a path, and a boat is due here.*hullview\.open"):
        call("models/short-kayak")


def test_odd_words_are_refused(boat):
    for wrong, words in (
        ({"paddler": "82"}, "unit"),
        ({"faces": "port"}, "faces"),
        ({"gear": "6 kg"}, "6 kg @ 2.3 m"),
        ({"water": "beer"}, "fresh, salt"),
        ({"build": "clinker"}, "clinker"),
        ({"paddler": 82}, "unit"),
    ):
        with pytest.raises(UsageError, match=words):
            boat.carry(**wrong)
    with pytest.raises(UsageError, match="step"):
        boat.righting(step="0 deg")


def test_a_load_leaves_the_boat_as_it_was_and_shares_its_shape(boat):
    before, hull = boat.boat, boat.craft.hull
    other = boat.loaded(paddler="60 kg", build="taped-seam")
    assert boat.boat is before and other.craft.hull is hull
    assert other.craft.weight.build == "taped-seam"
    assert boat.loaded() is boat


def test_the_boat_shows_itself(boat):
    assert "Short kayak" in repr(boat) and boat._repr_html_()
