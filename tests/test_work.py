"""No more work than the answer needs: plane cuts counted, not timed. A text command must start fast, and
cuts are most of its work."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from hullview import study
from hullview.answer.checks import Check
from hullview.answer.seat import heaviest
from hullview.boat.reader import read_boat
from hullview.boat.usual import names_it, usual_items
from hullview.shape import assemble
from hullview.shape.body import Body
from hullview.study import carry, judge, launch

MODELS = Path(__file__).parents[1] / "models"
JUDGED_AND_CARRIED = {
    "short-kayak": (867, 1321),
    "flat-skiff": (1187, 1580),
    "cruising-canoe-1883": (1149, 1499),
    "open-canoe": (786, 1131),
}
"""Cuts as last counted: of the checks with all that is searched for, and of the whole of carry.

They rose when trim, the plan's weight and a canoe's draft came to stop fewer paddlers of the table: who
passes is looked at at every end.
"""
ROOM = 1.02
"""A solver may take a step more on another machine."""


@pytest.mark.parametrize("name", JUDGED_AND_CARRIED)
def test_cuts_of_the_answer_and_of_the_whole(name, monkeypatch):
    cuts = []
    whole = Body.immersed
    monkeypatch.setattr(Body, "immersed", lambda self, *plane: (cuts.append(plane), whole(self, *plane))[1])
    boat = read_boat(MODELS / name)
    craft = launch(boat)
    assert not cuts  # shape and weight ask nothing of the water
    most_judged, most_carried = JUDGED_AND_CARRIED[name]
    judge(craft)
    assert len(cuts) <= most_judged * ROOM
    cuts.clear()
    carry(boat)
    assert len(cuts) <= most_carried * ROOM


@pytest.fixture
def built(monkeypatch):
    """Counts what is built: closed hulls from the table, and meshes indexed for cutting, by their number
    of faces."""
    hulls: list[object] = []
    indexed: list[int] = []
    build, index = assemble._build, Body.__init__
    monkeypatch.setattr(assemble, "_build", lambda *args: (hulls.append(args), build(*args))[1])

    def counted(self, vertices, faces):
        indexed.append(len(faces))
        index(self, vertices, faces)

    monkeypatch.setattr(Body, "__init__", counted)
    return hulls, indexed


def test_check_closes_no_mesh_for_a_fair_value(built):
    """The canoe of 1883 has four doubtful offsets; each once took two meshes more."""
    boat = read_boat(MODELS / "cruising-canoe-1883")
    checked = study.check(study.craft_of(boat))
    assert len(study.if_fair(boat, checked.findings)) == 4
    assert len(built[0]) == 2 and len(built[1]) == 1  # fine and coarse; the fine one indexed


@pytest.mark.parametrize("name", ["short-kayak", "pulling-dinghy"])
def test_a_report_builds_each_mesh_once(name, built):
    from hullview.show.page import page

    hulls, indexed = built
    page(read_boat(MODELS / name), light=True)
    assert len(hulls) == 2
    assert len(indexed) == len(set(indexed)) == 2, indexed


def test_a_comparison_takes_over_what_a_verdict_knows(monkeypatch):
    """The build that was answered for is not floated, heeled and searched again; the figures stay those of
    a comparison by itself."""
    boat = read_boat(MODELS / "short-kayak")
    verdict = carry(boat)
    names = [b.name for b in boat.builds]
    curve = study.righting(verdict.craft, np.radians(np.arange(0.0, 180.1, 5.0)))[0]
    cuts = []
    whole = Body.immersed
    monkeypatch.setattr(Body, "immersed", lambda self, *plane: (cuts.append(plane), whole(self, *plane))[1])
    _, alone = study.compared([(verdict.craft, names)])
    by_itself = len(cuts)
    cuts.clear()
    _, handed = study.compared([(verdict.craft, names)], verdict, curve)
    assert len(cuts) < 0.6 * by_itself
    for a, b in zip(alone, handed, strict=True):
        assert a.heaviest == b.heaviest and a.costs == b.costs
        assert b.peak_arm == pytest.approx(a.peak_arm, rel=1e-9)
        assert b.floating.draft == pytest.approx(a.floating.draft, rel=1e-9)


def test_lighter_paddlers_are_not_tried_once_one_passes():
    """The last that passes is looked for from above: with 110 kg passing nobody lighter is asked for."""
    asked: list[int] = []

    def judged(mass: int) -> list[Check]:
        asked.append(mass)
        result = "pass" if mass <= 115 else "fail"
        value = 1.0 if mass <= 115 else -1.0
        return [
            Check(
                "one",
                "freeboard",
                value,
                0.0,
                "m",
                result,
                "",
                value,
                "at least",
                worst_end="likely",
                least_margin=value,
            )
        ]

    assert heaviest(judged).mass == 115
    assert min(asked) == 110


@pytest.mark.parametrize("last", [83.4, 104.9, 137.2, 466.6])
def test_the_heaviest_paddler_is_found_by_where_a_margin_runs_out(last):
    """A margin that falls straight with the mass is found in a trial or two after the scan, where halving
    takes four to seven."""
    asked: list[int] = []

    def margins(mass: int) -> list[Check]:
        asked.append(mass)
        falling, steady = (last - mass) / 500, 0.3
        return [
            Check(
                "one",
                "freeboard",
                value,
                0.0,
                "m",
                "pass" if value >= 0 else "fail",
                "",
                value,
                "at least",
                worst_end="likely",
                least_margin=value,
            )
            for value in (steady, falling)
        ]

    found = heaviest(margins)
    assert found.mass == int(last) and found.limit == "one"
    scan = [m for m in asked if m % 10 == 0]
    assert len(asked) - len(scan) <= 3, asked


def test_a_margin_that_breaks_off_is_halved_down_to():
    """Good to the last kilogram and then a hair short: guesses by the margin would creep up on it a
    kilogram at a time."""
    asked: list[int] = []

    def margins(mass: int) -> list[Check]:
        asked.append(mass)
        value = 1.0 if mass <= 431 else -1e-6
        return [
            Check(
                "one",
                "freeboard",
                value,
                0.0,
                "m",
                "pass" if value > 0 else "fail",
                "",
                value,
                "at least",
                worst_end="likely",
                least_margin=value,
            )
        ]

    assert heaviest(margins).mass == 431
    assert len([m for m in asked if 400 < m < 500]) <= 4 + 7, asked


def test_what_is_allowed_for_has_a_range():
    for usual in usual_items():
        low, likely, high = usual.span
        assert 0 < low < likely < high <= 4.5 * low, usual.item
        assert usual.names and all(names_it(" ".join(name), usual) for name in usual.names)
