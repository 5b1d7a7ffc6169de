"""The sentences about the worst that happens: each from the state that it tells of, worst first, none of
them flattering."""

from __future__ import annotations

import json
import math
from dataclasses import replace
from pathlib import Path
from types import SimpleNamespace

import numpy as np
import pytest
from sound_boat import SOUND, boat

from hullview import study
from hullview.answer.boarding import Boarding
from hullview.answer.checks import checks
from hullview.answer.swamped import Swamping
from hullview.answer.worst import worst
from hullview.boat.reader import read_boat
from hullview.commands import main

MODELS = Path(__file__).parents[2] / "models"
AFLOAT = SimpleNamespace(state="afloat")


def told(condition=SOUND, swamped=None, boarding=(), bad=None):
    ends = [condition] if bad is None else [condition, bad]
    return worst(AFLOAT, condition, checks(boat(), ends), swamped, boarding)


def full(state, share=1.0, paddlers=True, **more):
    return Swamping(share, paddlers, state, 100.0, **more)


def test_a_sound_load_is_told_where_water_comes_in_and_no_more():
    assert told() == ("Water comes in at 31 degrees of heel.",)


@pytest.mark.parametrize("state", ["sinks", "floods", "capsized"])
def test_a_boat_that_does_not_float_says_so_first(state):
    condition = replace(SOUND, state=state, flooding_heel=None)
    assert worst(SimpleNamespace(state=state), condition, checks(boat(), [condition]))[0].startswith(
        f"With this load it {state.removesuffix('d')}"
    )


@pytest.mark.parametrize(
    ("state", "says"),
    [
        ("sinks", "sinks"),
        ("turns over", "turns over"),
        ("awash", "lies awash"),
        ("afloat", "floats with the rim above water"),
    ],
)
def test_swamped_is_told_of_the_fullest_with_the_load_aboard(state, says):
    cases = (full("afloat", 0.25), full(state), full("sinks", 1.0, False))
    printed = told(swamped=SimpleNamespace(cases=cases))
    assert printed[:2] == (f"Swamped with you aboard: {says}.", "Swamped with nobody aboard: sinks.")
    barely = full("afloat", gm=0.001, mass=200.0)
    assert "barely stays upright" in told(swamped=SimpleNamespace(cases=(barely,)))[0]


def test_getting_in_is_told_where_it_goes_wrong():
    at = np.zeros(3)
    cases = tuple(
        Boarding(name, state, 80.0, at)
        for name, state in (
            ("sitting down on one hip", "goes over"),
            ("back in from deep water", "ships water"),
            ("a hand at the rim, nobody aboard", "goes over"),
        )
    )
    assert told(boarding=cases)[:2] == (
        "Sitting down on one hip: goes over.",
        "Back in from deep water: ships water.",
    )
    assert told(boarding=[replace(cases[0], state="afloat")]) == told()


def test_leaning_and_reaching_are_told_where_they_go_wrong():
    over = replace(SOUND, lean_heel=None, lean_height=None, flooding_heel=math.radians(31))
    assert told(over)[0] == "Leaning over: water comes in."
    assert told(replace(over, sealed=True, flooding_heel=None))[0] == "Leaning over: goes over."
    assert told(bad=replace(over, end="heavy"))[0] == "Leaning over, heavy or sitting high: goes over."
    assert told(replace(SOUND, reach_heel=None, reach_height=None))[0].startswith("Reaching over the side: ")
    assert told(replace(SOUND, gm=-0.01))[0] == "It does not stay upright."
    assert (
        told(bad=replace(SOUND, end="heavy", gm=-0.01))[0]
        == "With the body's centre high it does not stay upright."
    )


def test_the_kayak_says_what_the_issue_asks_and_no_answer_is_without(capfd):
    verdict = study.carry(read_boat(MODELS / "short-kayak"))
    printed = " ".join(verdict.worst)
    assert printed.startswith("Swamped with you aboard: sinks. Sitting down on one hip: goes over.")
    assert printed.endswith("Water comes in at 48 degrees of heel.")
    with pytest.raises(SystemExit):
        main(["carry", str(MODELS / "short-kayak"), "--json"])
    record = json.loads(capfd.readouterr().out)
    assert record["worst"] == list(verdict.worst) and record["remarks"] == []
    assert {"key", "least_margin", "scale", "margin"} <= record["checks"][0].keys()
    assert record["least_margin"] == pytest.approx(min(c["least_margin"] for c in record["checks"]))
