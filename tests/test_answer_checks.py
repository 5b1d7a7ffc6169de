"""Limits and checks: each limit on both its sides, the words of the answer from what they add up to."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from hullview.answer.checks import RULES, Condition, answer, binding, checks, rules_for
from hullview.answer.limits import OWN_BASIS, Limit, defaults, is_open_canoe, lean_of, limit
from hullview.boat.model import Boat, End, HullForm, Load, Paddler

STEP = 1e-9


def boat(kind="decked", **more):
    hull = HullForm(type=kind, measured_to="outside", **more.pop("form", {}))
    return Boat("Trial", hull, load=Load((Paddler(80.0, 1.8),)), **more)


SOUND = Condition(
    "likely", 97.0, "afloat", trim_length=0.004, gm=0.05, height_to_flooding=0.17, freeboard=0.16, draft=0.09,
    reserve=0.9, lean_heel=math.radians(12), lean_height=0.08, flooding_heel=math.radians(31), heeled=True,
)  # fmt: skip


def result_of(name, condition, of=None, rules=None):
    of = of or boat()
    made = checks(of, [condition], rules or RULES)
    return next(c.result for c in made if c.name == name)


@pytest.mark.parametrize(
    ("name", "field", "kind", "bound", "good"),
    [
        ("height to flooding", "height_to_flooding", "decked", 0.100, +1),
        ("freeboard", "freeboard", "open", 0.150, +1),
        ("trim, bow to stern", "trim_length", "decked", 0.025, -1),
        ("flooding heel", "flooding_heel", "open", math.radians(20), +1),
        ("reserve of buoyancy", "reserve", "decked", 0.30, +1),
    ],
)
def test_a_limit_passes_on_its_good_side_and_on_itself_and_not_beyond(name, field, kind, bound, good):
    inside = replace(SOUND, **{field: bound + good * STEP})
    beyond = replace(SOUND, **{field: bound - good * STEP})
    assert result_of(name, inside, boat(kind)) == "pass"
    assert result_of(name, beyond, boat(kind)) != "pass"


@pytest.mark.parametrize(
    ("sense", "below", "on", "above"),
    [
        ("at least", "fail", "pass", "pass"),
        ("more than", "fail", "fail", "pass"),
        ("at most", "pass", "pass", "fail"),
        ("less than", "pass", "fail", "fail"),
    ],
)
def test_each_sense_of_a_limit_below_on_and_above_it(sense, below, on, above):
    bound = Limit("trim", sense, 0.25, 0.25, "m", "arithmetic", "")
    assert [bound.result(v) for v in (0.125, 0.25, 0.375)] == [below, on, above]
    assert bound.margin(0.125) == (-0.125 if sense in ("at least", "more than") else 0.125)


@pytest.mark.parametrize(
    ("name", "field"),
    [("GM, centre likely", "gm"), ("height in a lean", "lean_height"), ("freeboard", "freeboard")],
)
def test_nothing_left_is_not_enough(name, field):
    assert result_of(name, replace(SOUND, **{field: STEP})) == "pass"
    assert result_of(name, replace(SOUND, **{field: 0.0})) == "fail"


def test_an_open_boat_is_warned_under_150_mm_of_freeboard_and_fails_under_100():
    found = [
        result_of("freeboard", replace(SOUND, freeboard=f), boat("open"))
        for f in (0.151, 0.149, 0.1001, 0.0999)
    ]
    assert found == ["pass", "warn", "warn", "fail"]


def test_trim_by_the_bow_counts_like_trim_by_the_stern():
    for trim in (0.030, -0.030):
        assert result_of("trim, bow to stern", replace(SOUND, trim_length=trim)) == "fail"


def test_the_heel_of_a_lean_is_held_against_the_heel_at_which_water_comes_in():
    at = SOUND.flooding_heel
    assert result_of("heel in a lean", replace(SOUND, lean_heel=at - STEP)) == "pass"
    assert result_of("heel in a lean", replace(SOUND, lean_heel=at + STEP)) == "fail"


def test_a_boats_own_limit_is_used_and_named():
    own = boat(
        limits={"height_to_flooding": 0.180, "flooding_heel": math.radians(35), "gm": 0.06, "lean": 0.04}
    )
    made = {c.name: c for c in checks(own, [SOUND])}
    assert made["height to flooding"].result == "fail"
    assert made["height to flooding"].basis == OWN_BASIS
    assert made["flooding heel"].limit == pytest.approx(35)
    assert made["GM, centre likely"].result == "fail"
    assert made["freeboard"].basis == "common practice, no source"
    assert lean_of(own, "bench").enough == 0.04


def test_a_boats_own_freeboard_has_no_band_of_warning():
    assert (
        result_of("freeboard", replace(SOUND, freeboard=0.179), boat("open", limits={"freeboard": 0.18}))
        == "fail"
    )
    assert (
        result_of("freeboard", replace(SOUND, freeboard=0.18), boat("open", limits={"freeboard": 0.18}))
        == "pass"
    )


def test_leans_by_posture_and_kind_of_boat():
    assert [lean_of(boat(k), p).enough for k, p in (("decked", "legs forward"), ("open", "kneeling"), ("open", "bench"))] == [
        0.030, 0.050, 0.150,
    ]  # fmt: skip


def test_the_plans_displacement_only_warns():
    planned = boat(form={"design_displacement": 100.0})
    rules = rules_for(planned, 5.0)
    masses = {109.9: "pass", 110.1: "warn", 80.1: "pass", 79.9: "warn"}
    for mass, expected in masses.items():
        made = checks(planned, [replace(SOUND, mass=mass)], rules)
        assert answer(made) == ("carries" if expected == "pass" else "marginal"), mass
    assert not {"over plan weight"} & {r.name for r in rules_for(boat(), 5.0)}


def test_only_an_open_canoe_is_asked_its_draft():
    solo, tandem = boat("open"), boat("open").with_load(paddlers=(Paddler(80, 1.8), Paddler(70, 3.0)))
    deep = replace(SOUND, draft=0.115)
    assert result_of("draft of a canoe", deep, solo, rules_for(solo, 5.0)) == "warn"
    assert result_of("draft of a canoe", deep, tandem, rules_for(tandem, 5.0)) == "pass"
    assert not is_open_canoe(boat("decked"), 5.0)
    assert not is_open_canoe(solo, 2.8)
    assert not is_open_canoe(boat("open", form={"stern": End(transom=True)}), 5.0)


def test_failed_at_likely_values_is_no_failed_at_a_bad_end_is_marginal():
    bad = replace(SOUND, end="heavy build, high centre", gm=-0.01, height_to_flooding=0.09)
    made = checks(boat(), [SOUND, bad])
    by_name = {c.name: c for c in made}
    assert by_name["height to flooding"].result == "warn"
    assert by_name["height to flooding"].value == SOUND.height_to_flooding
    assert by_name["height to flooding"].worst == 0.09
    assert by_name["height to flooding"].worst_end == "heavy build, high centre"
    assert by_name["GM, centre likely"].result == "pass"  # the likely centre alone
    assert by_name["GM, centre high"].result == "warn"  # never a failure
    assert answer(made) == "marginal"
    assert answer(checks(boat(), [bad])) == "does not carry"
    assert answer(checks(boat(), [SOUND, SOUND])) == "carries"


def test_a_warning_about_the_boat_itself_makes_it_marginal():
    assert answer(checks(boat(), [SOUND]), ["length 1.2 m"]) == "marginal"


def test_a_boat_that_floods_or_sinks_carries_nobody():
    for state in ("floods", "sinks"):
        made = checks(boat(), [Condition("likely", 300.0, state)])
        assert answer(made) == "does not carry"
        assert all(c.value is None and c.margin is None for c in made)
        assert binding(made).name == "height to flooding"


def test_a_sealed_boat_has_no_height_to_flooding_to_fail():
    sealed = replace(SOUND, sealed=True, height_to_flooding=None, flooding_heel=None, lean_height=None)
    made = checks(boat(), [sealed, sealed])
    assert answer(made) == "carries"
    assert binding(made) is None


def test_the_worst_end_is_the_one_with_least_margin_not_the_last():
    near, far = (
        replace(SOUND, end="light", trim_length=0.024),
        replace(SOUND, end="heavy", trim_length=-0.010),
    )
    trim = next(c for c in checks(boat(), [SOUND, near, far]) if c.key == "trim")
    assert (trim.worst, trim.worst_end) == (0.024, "light")


def test_every_default_has_a_basis_a_note_and_bounds_in_order():
    for found in defaults().values():
        assert found.basis in ("common practice, no source", "arithmetic")
        assert found.note
        if found.enough is not None and found.not_enough is not None:
            assert found.holds(found.enough, found.not_enough) or found.enough == found.not_enough


def test_limits_name_their_units_in_si_with_degrees_as_printed():
    assert {found.unit for found in defaults().values()} == {"m", "deg", "1", "kg/m2"}
    assert limit(boat(), "flooding_heel").enough == 20


def test_heeled_checks_look_only_at_the_ends_that_were_heeled():
    level_only = replace(
        SOUND, end="forward", heeled=False, lean_heel=None, lean_height=None, flooding_heel=None
    )
    leaning = replace(SOUND, end="light", lean_height=0.02)
    made = {c.name: c for c in checks(boat(), [SOUND, level_only, leaning])}
    assert (made["height in a lean"].result, made["height in a lean"].worst) == ("pass", 0.02)
    assert answer(tuple(made.values())) == "carries"


def test_one_who_does_not_come_to_rest_in_a_lean_goes_over_in_it():
    """Named so at likely figures and at a bad end; a lean that leaves too little is called by the check's name."""
    over = replace(SOUND, end="heavy", lean_height=None, lean_heel=None)
    little = replace(SOUND, end="heavy", lean_height=-0.001)
    for conditions in ([over], [SOUND, over], [over, SOUND]):
        assert binding(checks(boat(), conditions)).obstacle == "goes over in a lean"
    for conditions in ([little], [SOUND, little]):
        assert binding(checks(boat(), conditions)).obstacle == "height in a lean"
    assert binding(checks(boat(), [replace(SOUND, gm=-0.01)])).obstacle == "GM, centre likely"
