"""The share of builds inside the limits: the same verdict from the fit as in full, the right share where a
limit is put among them."""

from dataclasses import replace

import numpy as np
import pytest
from weight_boats import solo_canoe

from hullview.answer.chance import chance, in_full
from hullview.answer.checks import checks, rules_for
from hullview.boat.model import Load, Paddler
from hullview.study import launch


@pytest.fixture(scope="module")
def craft():
    return launch(replace(solo_canoe(), load=Load((Paddler(75.0, 2.68, posture="legs forward"),))))


def limited(craft, **limits):
    return replace(craft, boat=replace(craft.boat, limits=limits))


def in_full_figures(craft, n):
    masses, centres = craft.weight.sampled()
    chosen = np.linspace(0, len(masses) - 1, n).astype(int)
    return [in_full(craft, float(masses[i]), centres[i] * [1, 0, 1]) for i in chosen]


def test_a_limit_among_the_builds_is_passed_by_its_share(craft):
    """GM of 40 builds in full; a limit put at their 70th percentile is passed by about 30 of 100 by the
    fit, and the results agree."""
    gm = np.array([c.gm for c in in_full_figures(craft, 60)])
    found = chance(limited(craft, gm=float(np.quantile(gm, 0.7))))
    assert found.failing["GM upright"] == pytest.approx(0.7, abs=0.07)
    assert found.agree == found.held_out
    assert found.fit_error["gm"] < 0.02 * gm.std()
    assert (
        f"{round(100 * found.share)} of 100 builds" in found.words and "not a chance of safety" in found.words
    )


def test_sampled_verdicts_agree_with_direct_ones(craft):
    """60 builds in full against the fit's own verdicts, with a limit where half of them fail; a build
    nearer to it than the fit's error may differ."""
    figures = in_full_figures(craft, 60)
    gm = np.array([c.gm for c in figures])
    tight = limited(craft, gm=float(np.median(gm)))
    rules = rules_for(tight.rowed)
    direct = [all(c.result != "fail" for c in checks(tight.boat, [f], rules)) for f in figures]
    found = chance(tight, builds=60)
    near = int((np.abs(gm - np.median(gm)) < 2 * found.fit_error["gm"]).sum())
    assert abs(found.inside - sum(direct)) <= near
    assert 0.3 < found.share < 0.7


def test_a_weighed_boat_leaves_less_to_chance(craft):
    from hullview.boat.readings import WeighedStage

    mass = craft.weight.mass
    heavier = replace(craft.boat, weighed=(WeighedStage("finished", mass, scale_error=0.05),))
    known = launch(heavier)
    draft = np.array([c.draft for c in in_full_figures(craft, 40)])
    spread = np.array([c.draft for c in in_full_figures(known, 40)])
    assert spread.std() < 0.15 * draft.std()


def test_none_and_all_are_not_claimed_of_a_sample(craft):
    assert (
        "more than 99 of 100"
        in chance(
            limited(
                craft, gm=-1.0, trim=2.0, lean=0.001, flooding_heel=0.0, height_to_flooding=0.0, freeboard=0.0
            ),
            50,
        ).words
    )
    assert "fewer than 1 of 100" in chance(limited(craft, gm=5.0), 50).words


def test_same_builds_every_time(craft):
    assert chance(craft, 40) == chance(craft, 40)
