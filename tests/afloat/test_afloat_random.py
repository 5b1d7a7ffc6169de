"""Random loads on every model: each ends in a stable rest or in a named state."""

import sys
from pathlib import Path

import numpy as np
import pytest
import solids

from hullview.afloat.equilibrium import rest
from hullview.boat.reader import read_boat
from hullview.shape.assemble import build_hull
from hullview.shape.body import Body, plane_basis

MODELS = sorted(p.parent for p in (Path(__file__).parents[2] / "models").glob("*/boat.toml"))
DENSITY = 1000.0


def _settled(body: Body, count: int, seed: int) -> dict[str, float]:
    """Mass to 120 % of what it can bear, centre anywhere in its box; the tally, the worst residual, the
    mean number of cuts."""
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


BODIES = {
    "box": solids.box(2, 1, 0.5),
    "cylinder": solids.cylinder(0.3, 1, 48),
    "two logs": solids.both(
        solids.box(2, 0.3, 0.3, at=(0, 0.5, 0)), solids.box(2, 0.3, 0.3, at=(0, -0.5, 0))
    ),
    "plate": solids.box(2, 1, 0.01),
    "lump": solids.lump(3),
}


@pytest.mark.parametrize("mesh", BODIES.values(), ids=BODIES.keys())
def test_bodies_with_flat_faces_come_to_rest(mesh):
    """Where the water plane jumps as a face goes under, and where turning costs nothing."""
    assert _settled(Body(*mesh), 60, 3)["afloat"] > 30


@pytest.mark.parametrize("mesh", BODIES.values(), ids=BODIES.keys())
def test_loads_at_the_ends_of_what_there_is(mesh):
    """A millionth of what it bears or all but a hundred-millionth, the centre a little or 100 m off: a rest,
    within rounding."""
    body, rng = Body(*mesh), np.random.default_rng(5)
    for k in range(40):
        share = 10 ** -rng.uniform(1, 6) if k % 2 else 1 - 10 ** -rng.uniform(1, 8)
        centre = body.centroid + rng.normal(size=3) * rng.choice([0, 0.01, 1, 10, 100]) * rng.choice(
            [0, 1], size=3
        )
        lying = rest(body, share * body.volume * DENSITY, centre, DENSITY)
        assert lying.state == "afloat"
        assert max(lying.residuals) < max(1e-9, 1e-14 / share)


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
            sys.stdout.write(
                f"{model.name}: {tally['afloat']:.0f} afloat, {tally['sinks']:.0f} sink, {tally['cuts']:.1f}"
                f" cuts, worst {tally['worst']:.1e}\n"
            )
    assert sum(total.values()) >= 10_000
