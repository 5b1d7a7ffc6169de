"""A boat or a load that is not the same to port as to starboard: both sides are looked at, and the worse
one counts."""

from __future__ import annotations

import json
import math
import shutil
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from hullview import study
from hullview.afloat.flooding import flooding
from hullview.answer.conditions import heeled
from hullview.answer.reading import reading
from hullview.answer.trial import Trial
from hullview.boat.model import FloodingPoint
from hullview.boat.reader import read_boat
from hullview.commands import main

KAYAK = Path(__file__).parents[2] / "models" / "short-kayak"


def with_vent(y: float, z: float = 0.16):
    """The kayak with a vent in the side at 1 m, so far to starboard [m]."""
    return replace(read_boat(KAYAK), flooding=(FloodingPoint("vent", (1.0, y, z)),))


def loaded(craft, side: float = 0.0):
    first = replace(craft.boat.load.paddlers[0], side=side)
    craft = replace(craft, boat=craft.boat.with_load(paddlers=(first,)))
    return craft, Trial(craft).loaded(first.mass)[0]


def test_a_vent_to_port_is_as_bad_as_one_to_starboard():
    found = []
    for y in (0.2, -0.2):
        craft = study.launch(with_vent(y))
        assert not craft.even_rims
        found.append(heeled(*loaded(craft)))
    a, b = found
    assert a.flooding_heel == pytest.approx(b.flooding_heel, rel=1e-9) and a.flooding_heel < math.radians(20)
    assert a.lean_heel == pytest.approx(b.lean_heel, rel=1e-7) and a.lean_height == pytest.approx(
        b.lean_height, abs=1e-7
    )
    even = study.launch(read_boat(KAYAK))
    assert even.even_rims and heeled(*loaded(even)).flooding_heel > math.radians(40)


@pytest.mark.parametrize("y", [0.2, -0.2])
def test_water_comes_in_at_the_lesser_of_both_sides_whatever_side_the_load_hangs_to(y):
    craft, one = loaded(study.launch(with_vent(y)), 0.004)
    by_side = [flooding(craft.rims, craft.body, one.load.centre, one.lying, s).heel for s in (1.0, -1.0)]
    assert heeled(craft, one).flooding_heel == pytest.approx(min(abs(h) for h in by_side), rel=1e-9)
    assert abs(by_side[0]) < abs(by_side[1]) if y > 0 else abs(by_side[1]) < abs(by_side[0])


def test_water_is_looked_for_to_starboard_unless_another_side_is_named():
    craft, one = loaded(study.launch(with_vent(0.2)))
    found = flooding(craft.rims, craft.body, one.load.centre, one.lying)
    assert (
        found is not None
        and found.heel == flooding(craft.rims, craft.body, one.load.centre, one.lying, 1.0).heel > 0
    )


def test_a_reach_goes_to_the_side_where_water_comes_in_sooner():
    found = [
        reading(c, study.righting(c)[0]) for c in (study.launch(with_vent(y, 0.24)) for y in (0.2, -0.2))
    ]
    assert found[0].reach_heel == pytest.approx(found[1].reach_heel, rel=1e-7) and found[0].reach_heel > 0


def test_a_curve_to_the_other_side_is_told_of_where_it_is_another():
    even = study.launch(read_boat(KAYAK))
    assert study.other_side(even, study.righting(even)[0]) is None
    craft = study.launch(with_vent(-0.2))
    curve = study.righting(craft, np.radians(np.arange(0, 91, 15.0)))[0]
    other = study.other_side(craft, curve)
    assert other is not None and other.side == -1 and other.arm == pytest.approx(-curve.arm, abs=1e-9)
    assert -math.radians(20) < other.flooding_heel < 0 < math.radians(40) < curve.flooding_heel


def test_the_command_tells_of_a_lopsided_load(capfd, tmp_path):
    folder = tmp_path / "lopsided"
    shutil.copytree(KAYAK, folder)
    with (folder / "boat.toml").open("a") as file:
        file.write('[[load.gear]]\nmass = "8 kg"\nat = ["1800 mm", "150 mm", "200 mm"]\n')

    def printed(boat: Path, *more: str) -> str:
        with pytest.raises(SystemExit) as left:
            main(["righting", str(boat), "--step", "15", *more])
        assert left.value.code == 0
        return capfd.readouterr().out

    assert (
        "All this is for heeling" not in printed(KAYAK)
        and json.loads(printed(KAYAK, "--json"))["other_side"] is None
    )
    words = " ".join(printed(folder).split())
    assert "All this is for heeling to starboard. To port it is another curve" in words
    first = json.loads(printed(folder, "--json"))
    other = first["other_side"]
    assert other["curve"][-1]["heel_deg"] == pytest.approx(-180) and other["curve"][2][
        "arm_m"
    ] != pytest.approx(-first["curve"][2]["arm_m"], abs=1e-3)
    assert (
        f"arm gone at {other['vanishing_heel_deg']:.1f} deg, water comes in at"
        f" {other['flooding_heel_deg']:.1f} deg" in words
    )
