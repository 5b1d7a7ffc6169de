"""What the fuzzer of whole answers found in loose water: each ended in no end, in no number, or in
infinity."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
import solids

from hullview.afloat.loose import Overrun, rest_spilling, rest_with_water
from hullview.afloat.settle import Loose
from hullview.boat.model import Flotation
from hullview.boat.reader import read_boat
from hullview.shape.body import Body
from hullview.show.record import as_record
from hullview.study import carry
from hullview.tell.verdict import verdict_telling

MODELS = Path(__file__).parents[2] / "models"


def test_a_dry_space_beside_a_wet_one_changes_nothing():
    # A space with no water in it has no middle: it was taken times nought, which is no number.
    body = Body(*solids.box(4.0, 1.0, 0.6))
    wet, dry = (Body(*solids.box(1.0, 0.9, 0.5, at)) for at in ((0.5, 0.0, 0.05), (2.5, 0.0, 0.05)))
    centre = np.array([2.0, 0.01, 0.2])
    alone, _ = rest_with_water(body, 400.0, centre, 1000.0, [Loose(wet, 0.1)])
    both, levels = rest_with_water(body, 400.0, centre, 1000.0, [Loose(wet, 0.1), Loose(dry, 0.0)])
    assert np.isfinite(levels).all()
    assert both.heel == pytest.approx(alone.heel, abs=1e-9) and both.trim == pytest.approx(
        alone.trim, abs=1e-9
    )


@pytest.mark.parametrize("over", [0.0, 1e-7, 3e-5])
def test_water_that_stands_at_a_rim_comes_to_an_end(over):
    # The level was over the rim and the volume was not: it was looked at again and again from where it lay.
    body = Body(*solids.box(4.0, 1.8, 0.6))
    space = Body(*solids.box(3.6, 1.7, 0.5, (0.2, 0.0, 0.05)))
    rim = np.array([[x, y, 0.35] for x in (0.2, 3.8) for y in (-0.85, 0.85)])
    full = 3.6 * 1.7 * 0.30 * (1 + over)
    found = rest_spilling(
        body, 300.0, np.array([2.0, 0.0, 0.2]), 1000.0, [Loose(space, full)], [rim], close=1e-6
    )
    assert isinstance(found, Overrun) or found[1][0] <= full


def test_a_boat_with_no_space_left_open_says_none_of_a_rim():
    boat = read_boat(MODELS / "flat-skiff")
    crammed = replace(boat, flotation=tuple(Flotation(0.012, (1.75, 0.0, 0.2)) for _ in range(100)))
    record = as_record(verdict_telling(carry(crammed)))
    text = json.dumps(record, allow_nan=False)
    assert "Infinity" not in text
    for case in record["swamped"]["cases"]:
        assert case["rim_m"] is None or np.isfinite(case["rim_m"])
