"""Random loads on every model: each ends in a stable rest or in a named state."""

from pathlib import Path

import numpy as np
import pytest

from hullview.afloat.equilibrium import rest
from hullview.boat.reader import read_boat
from hullview.shape.assemble import build_hull
from hullview.shape.body import Body, plane_basis

MODELS = sorted(p.parent for p in (Path(__file__).parents[1] / "models").glob("*/boat.toml"))
DENSITY = 1000.0


def _settled(body: Body, count: int, seed: int) -> dict[str, float]:
    """Mass to 120 % of what she can bear, centre anywhere in her box; the tally, the worst residual, the mean number of cuts."""
    rng = np.random.default_rng(seed)
    low, high = body.vertices.min(axis=0), body.vertices.max(axis=0)
    tally: dict[str, float] = {"afloat": 0, "sinks": 0, "worst": 0.0, "cuts": 0}
    for _ in range(count):
        mass, centre = body.volume * DENSITY * rng.uniform(0, 1.2), rng.uniform(low, high)
        lying = rest(body, mass, centre, DENSITY, judge_upright=False)
        tally[lying.state] += 1
        if lying.state == "sinks":
            assert mass >= body.volume * DENSITY * (1 - 1e-9)
            continue
        cut = body.immersed(lying.normal, lying.offset)
        arm = lying.centre - cut.centroid
        height = float(arm @ lying.normal)
        tilt = np.linalg.norm(arm - height * lying.normal) / body.size
        tally["worst"] = max(tally["worst"], abs(DENSITY * cut.volume / mass - 1), tilt)
        tally["cuts"] += lying.cuts
        basis = plane_basis(lying.normal)
        stiffness = basis @ cut.plane_second_moments @ basis.T / cut.volume - height * np.eye(2)
        assert np.linalg.eigvalsh(stiffness)[0] > -1e-9 * body.size, (mass, centre)
    assert tally["worst"] < 1e-9
    tally["cuts"] /= max(tally["afloat"], 1)
    return tally


@pytest.mark.parametrize("model", MODELS, ids=lambda p: p.name)
def test_some_random_loads_come_to_rest(model):
    hull = build_hull(read_boat(model))
    hull = hull.coarse or hull
    tally = _settled(Body(hull.vertices, hull.faces), 25, 1)
    assert tally["afloat"] + tally["sinks"] == 25 and tally["afloat"] > 10


@pytest.mark.slow
@pytest.mark.timeout(900)
def test_ten_thousand_random_loads_come_to_rest(capsys):
    each = -(-10_000 // len(MODELS))
    total = dict.fromkeys(("afloat", "sinks"), 0.0)
    for model in MODELS:
        hull = build_hull(read_boat(model))
        tally = _settled(Body(hull.vertices, hull.faces), each, 7)
        for state in total:
            total[state] += tally[state]
        with capsys.disabled():
            print(f"{model.name}: {tally['afloat']:.0f} afloat, {tally['sinks']:.0f} sink, {tally['cuts']:.1f} cuts, worst {tally['worst']:.1e}")
    assert sum(total.values()) >= 10_000
