"""Past 60 degrees a boat has capsized, and a curve past the vertical still says how the boat lies."""

from __future__ import annotations

import json
import math
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
import solids

from hullview import study
from hullview.afloat.equilibrium import CAPSIZED, CAPSIZED_AT, at_heel, describe, is_capsized, rest, up
from hullview.afloat.righting import righting_curve
from hullview.answer.conditions import LIKELY, level
from hullview.answer.refloat import refloat
from hullview.boat.reader import read_boat
from hullview.commands import main
from hullview.shape.body import Body
from hullview.show.record import as_record
from hullview.tell.floating import floating_telling

KAYAK = Path(__file__).parents[2] / "models" / "short-kayak"
RHO = 1000.0


@pytest.fixture(scope="module")
def kayak():
    return study.launch(read_boat(KAYAK))


def brick() -> Body:
    """An unsymmetric body: a long box with a corner cut off by the mesh of an ellipsoid beside it would be
    no closed form; a box will do."""
    return Body(*solids.box(3.0, 1.0, 0.6))


# ---------------------------------------------------------------- the state


@pytest.mark.parametrize("side", [1.0, -1.0])
def test_the_state_changes_at_sixty_degrees_of_heel_and_of_trim(kayak, side):
    for of_heel in (True, False):
        for over, state in ((-0.01, False), (0.01, True)):
            angle = side * (CAPSIZED_AT + over)
            n = up(angle, 0.02) if of_heel else up(0.02, angle)
            lying = rest(kayak.body, 100.0, [1.6, 0.0, 0.2], RHO)
            assert is_capsized(replace(lying, normal=n)) is state


def test_a_boat_that_goes_over_says_capsized_before_floods_with_heel_trim_and_plane_alone(kayak):
    high = replace(kayak.boat.load.paddlers[0], seat_height=0.8)
    one = level(kayak, (high,))
    found = describe(kayak.hull, kayak.body, one.lying)
    assert one.found.state == found.state == CAPSIZED
    assert abs(one.lying.heel) > CAPSIZED_AT
    record = as_record(floating_telling(found, "box", "metric"))["floating"]
    told = {k for k, v in record.items() if v is not None}
    assert told == {"state", "heel_deg", "trim_deg", "waterplane"}
    assert np.allclose(record["waterplane"]["normal"], up(found.heel, found.trim))
    assert record["waterplane"]["offset_m"] is not None


def test_a_capsized_boat_gets_no_line_of_passes(kayak):
    high = replace(kayak.boat.load.paddlers[0], seat_height=0.8)
    craft = replace(kayak, boat=kayak.boat.with_load(paddlers=(high,)))
    answer, made, ends, _ = study.checked(craft)
    assert answer == "does not carry" and {e.state for e in ends} == {CAPSIZED}
    assert all(c.result != "pass" and c.outcome == CAPSIZED for c in made)
    verdict = study.judge(craft)
    assert (
        verdict.state == CAPSIZED and verdict.worst[0] == "With this load it capsizes before anybody moves."
    )
    assert verdict.least_margin is None and verdict.remarks == ()


def test_a_bare_mesh_has_no_such_state():
    body = brick()
    lying = rest(body, 900.0, [1.5, 0.0, 3.0], RHO)
    assert abs(lying.heel) > CAPSIZED_AT and lying.state == "afloat"


def test_the_commands_say_capsized(tmp_path, capfd):
    text = (
        (KAYAK / "boat.toml")
        .read_text(encoding="utf-8")
        .replace('seat_height = "10 mm"', 'seat_height = "800 mm"')
    )
    (tmp_path / "boat.toml").write_text(text, encoding="utf-8")
    (tmp_path / "offsets.csv").write_bytes((KAYAK / "offsets.csv").read_bytes())

    def printed(*words):
        with pytest.raises(SystemExit) as left:
            main([*words])
        assert left.value.code == 0
        return capfd.readouterr().out

    assert json.loads(printed("float", str(tmp_path), "--json"))["floating"]["state"] == CAPSIZED
    assert "capsized: comes to rest heeled" in printed("float", str(tmp_path))
    carried = printed("carry", str(tmp_path))
    assert carried.splitlines()[0].startswith("does not carry") and "pass " not in carried
    assert "capsized" in " ".join(carried.split())


def test_a_hand_that_holds_the_boat_past_sixty_degrees_has_it_capsized_too(kayak):
    held = refloat(kayak, kayak.boat.load.paddlers, math.radians(67))
    assert held.floating.state == CAPSIZED and held.arm is not None
    assert refloat(kayak, kayak.boat.load.paddlers, math.radians(20)).floating.state == "afloat"


# ---------------------------------------------------------------- a curve past the vertical


def test_heel_and_trim_give_the_normal_all_the_way_round():
    """With its weight near an end a box stands up as it heels, and lies back: by asin alone the trim would
    fold at 90 degrees."""
    body = brick()
    load, low = 1200.0, body.extent((0.0, 0.0, 1.0))[0]
    end = float(body.extent((1.0, 0.0, 0.0))[0])
    past = 0
    for centre in ([end + 0.2, 0.03, low + 0.9], [end + 0.1, -0.2, low + 1.6], [end + 2.5, 0.1, low + 0.2]):
        for side in (1.0, -1.0):
            curve = righting_curve(body, load, centre, RHO, side * np.radians(np.arange(0, 181, 7.5)))
            for heel, trim, normal in zip(curve.heel, curve.trim, curve.normal):
                assert up(float(heel), float(trim)) == pytest.approx(normal, abs=1e-12)
                past += abs(trim) > math.pi / 2
    assert past > 20


def test_arm_slope_and_gm_hold_past_the_vertical():
    """The slope of the arm is what differences of the arm give, and `gm` what `gm_by_slope` gives, where
    the trim is past 90 degrees."""
    body = brick()
    end = float(body.extent((1.0, 0.0, 0.0))[0])
    low = float(body.extent((0.0, 0.0, 1.0))[0])
    seen = 0
    for centre in ([end + 0.2, 0.0, low + 0.9], [end + 0.35, 0.0, low + 1.2], [end + 2.7, 0.0, low + 1.0]):
        curve = righting_curve(body, 1200.0, centre, RHO, np.radians(np.arange(0, 31, 0.5)))
        assert curve.gm_by_slope == pytest.approx(curve.gm, rel=1e-4, abs=1e-6)
        middle = slice(4, -4)
        slope = np.gradient(curve.arm, curve.heel)
        assert slope[middle] == pytest.approx(curve.slope[middle], abs=5e-3 * (1 + np.abs(slope).max()))
        seen += abs(curve.trim[0]) > math.pi / 2
    assert seen


def test_a_held_heel_and_its_trim_are_those_of_the_plane():
    body = brick()
    centre = [float(body.extent((1.0, 0.0, 0.0))[0]) + 0.2, 0.05, 1.0]
    for heel in np.radians([-150.0, -40.0, 0.0, 25.0, 100.0]):
        lying = at_heel(body, 1200.0, centre, RHO, float(heel))
        if lying.heel is None:
            continue
        assert lying.heel == heel
        assert up(lying.heel, lying.trim) == pytest.approx(lying.normal, abs=1e-12)


def test_where_the_boat_lies_upright_nothing_has_changed(kayak):
    load = kayak.load(kayak.boat.load.paddlers, LIKELY)
    lying = at_heel(kayak.body, load.mass, load.centre, kayak.density, 0.3)
    assert lying.heel == 0.3 and abs(lying.trim) < 0.1
    assert lying.trim == pytest.approx(math.asin(-lying.normal[0]), abs=1e-15)
