"""Limits and checks: each limit on both its sides, the words of the answer from what they add up to."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from sound_boat import SOUND, boat

from hullview.answer.checks import RULES, Condition, answer, binding, checks, rules_for
from hullview.answer.limits import (
    OWN_BASIS,
    Limit,
    defaults,
    is_open_canoe,
    is_rowed,
    lean_shifts,
    limit,
    trim_passes,
)
from hullview.answer.remarks import remarks
from hullview.answer.statutory import statutory
from hullview.boat.model import End, Paddler

STEP = 1e-9


def result_of(key, condition, of=None, rules=None):
    of = of or boat()
    made = checks(of, [condition], rules or RULES)
    return next(c.result for c in made if c.key == key)


@pytest.mark.parametrize(
    ("key", "field", "kind", "bound", "good", "short"),
    [
        ("height_to_flooding", "height_to_flooding", "decked", 0.100, +1, "fail"),
        ("freeboard", "freeboard", "open", 0.150, +1, "warn"),
        ("flooding_heel", "flooding_heel", "open", math.radians(20), +1, "fail"),
        ("reserve_of_buoyancy", "reserve", "decked", 0.30, +1, "warn"),
        ("reserve_of_buoyancy", "reserve", "decked", 0.15, +1, "fail"),
        ("reserve_of_buoyancy", "reserve", "open", 1.00, +1, "warn"),
        ("reserve_of_buoyancy", "reserve", "open", 0.01, +1, "warn"),
        ("reach", "reach_height", "open", 0.0, +1, "warn"),
    ],
)
def test_a_limit_passes_on_its_good_side_and_not_beyond(key, field, kind, bound, good, short):
    inside = replace(SOUND, **{field: bound + good * STEP})
    beyond = replace(SOUND, **{field: bound - good * STEP})
    assert result_of(key, beyond, boat(kind)) == short
    alike = short == result_of(key, inside, boat(kind))
    assert not alike or (short == "warn" and bound == 0.01)  # never a failure, however little


@pytest.mark.parametrize(("way", "passes"), [(+1, 0.030), (-1, 0.015)])
def test_trim_passes_by_the_waterline_then_is_remarked_on_then_warned_of_and_never_fails(way, passes):
    """1 % of 3 m by the stern, half of that by the bow; twice as much is where a warning begins."""
    of = boat()
    results, printed = [], []
    for trim in (passes - STEP, passes + STEP, 2 * passes - STEP, 2 * passes + STEP, 40 * passes):
        condition = replace(SOUND, trim_length=way * trim)
        made = checks(of, [condition])
        results.append(next(c.result for c in made if c.key == "trim"))
        printed.append([r.key for r in remarks(of, condition, 5.0)])
    key = "trim_stern" if way > 0 else "trim_bow"
    assert results == ["pass", "pass", "pass", "warn", "warn"]
    assert printed == [[], [key], [key], [], []]


def test_trim_passes_have_a_least_and_the_shops_own_takes_their_place():
    assert trim_passes(boat(), 0.01, 2.0)[0] == 0.025 and trim_passes(boat(), -0.01, 2.0)[0] == 0.015
    assert trim_passes(boat(), 0.01, 5.0)[0] == pytest.approx(0.05)
    own = boat(limits={"trim": 0.04, "trim_bow": 0.01})
    assert trim_passes(own, 0.01, 5.0) == (0.04, OWN_BASIS) and trim_passes(own, -0.01, 5.0)[0] == 0.01
    for trim, result in ((0.079, "pass"), (0.081, "warn"), (-0.019, "pass"), (-0.021, "warn")):
        assert result_of("trim", replace(SOUND, trim_length=trim), own) == result


def test_trim_is_judged_at_likely_values_and_the_bad_end_is_shown():
    bad = replace(SOUND, end="light build, centre high and aft", trim_length=0.090)
    trim = next(c for c in checks(boat(), [SOUND, bad]) if c.key == "trim")
    assert (trim.result, trim.worst, trim.worst_end) == ("pass", 0.090, bad.end)
    assert trim.least_margin == pytest.approx((0.060 - SOUND.trim_length) / 0.025)


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
    ("key", "field"),
    [("gm", "gm"), ("lean_height", "lean_height"), ("freeboard", "freeboard")],
)
def test_nothing_left_is_not_enough(key, field):
    assert result_of(key, replace(SOUND, **{field: STEP})) == "pass"
    assert result_of(key, replace(SOUND, **{field: 0.0})) == "fail"


def test_an_open_boat_is_warned_under_150_mm_of_freeboard_and_fails_under_100():
    found = [
        result_of("freeboard", replace(SOUND, freeboard=f), boat("open"))
        for f in (0.151, 0.149, 0.1001, 0.0999)
    ]
    assert found == ["pass", "warn", "warn", "fail"]


def test_the_heel_of_a_lean_is_held_against_the_heel_at_which_water_comes_in():
    at = SOUND.flooding_heel
    assert result_of("lean_heel", replace(SOUND, lean_heel=at - STEP)) == "pass"
    assert result_of("lean_heel", replace(SOUND, lean_heel=at + STEP)) == "fail"
    sealed = replace(SOUND, sealed=True, flooding_heel=None, lean_heel=math.radians(60) + STEP)
    assert result_of("lean_heel", sealed) == "fail"
    assert result_of("lean_heel", replace(sealed, lean_heel=math.radians(60) - STEP)) == "pass"


def test_a_boats_own_limit_is_used_and_named():
    own = boat(
        limits={"height_to_flooding": 0.180, "flooding_heel": math.radians(35), "gm": 0.06, "lean": 0.04}
    )
    made = {c.key: c for c in checks(own, [SOUND])}
    assert made["height_to_flooding"].result == "fail"
    assert made["height_to_flooding"].basis == OWN_BASIS
    assert made["flooding_heel"].limit == pytest.approx(35)
    assert made["gm"].result == "fail"
    assert made["freeboard"].basis == "common practice, no source"
    assert lean_shifts(own, own.load.paddlers, rowed=False) == (0.04,)


def test_a_boats_own_limit_of_what_can_only_warn_only_warns():
    own = boat("open", limits={"reserve_of_buoyancy": 2.0})
    assert result_of("reserve_of_buoyancy", SOUND, own) == "warn"
    assert (
        result_of("reserve_of_buoyancy", SOUND, boat("decked", limits={"reserve_of_buoyancy": 2.0})) == "fail"
    )


def test_a_boats_own_freeboard_has_no_band_of_warning():
    assert (
        result_of("freeboard", replace(SOUND, freeboard=0.179), boat("open", limits={"freeboard": 0.18}))
        == "fail"
    )
    assert (
        result_of("freeboard", replace(SOUND, freeboard=0.18), boat("open", limits={"freeboard": 0.18}))
        == "pass"
    )


def test_all_lean_by_30_mm_and_the_heaviest_on_a_rowed_thwart_by_100():
    bench = [Paddler(m, 1.8, posture="bench") for m in (70.0, 90.0, 80.0)]
    assert lean_shifts(boat("open"), bench, rowed=True) == (0.03, 0.1, 0.03)
    assert lean_shifts(boat("open"), bench, rowed=False) == (0.03, 0.03, 0.03)  # a canoe's seats
    sitting = [replace(bench[0], posture="legs forward"), replace(bench[1], posture="kneeling"), bench[2]]
    assert lean_shifts(boat("open"), sitting, rowed=True) == (0.03, 0.03, 0.1)
    own = boat("open", limits={"lean": 0.05, "lean_bench": 0.04})
    assert lean_shifts(own, bench[:2], rowed=True) == (0.05, 0.04)
    assert lean_shifts(boat("open", limits={"lean": 0.15}), bench[:2], rowed=True) == (0.15, 0.15)


def test_a_boat_is_rowed_by_its_transom_or_beam_whatever_people_sit_on():
    assert is_rowed(boat("open"), 1.05) and not is_rowed(boat("open"), 1.0499)
    assert is_rowed(boat("open", form={"stern": End(transom=True)}), 0.8)


def test_the_plans_displacement_is_remarked_on_and_nothing_more():
    planned = boat(form={"design_displacement": 100.0})
    for mass, key in {109.9: None, 110.1: "over_design", 80.1: None, 79.9: "under_design"}.items():
        condition = replace(SOUND, mass=mass)
        assert answer(checks(planned, [condition])) == "carries"
        printed = remarks(planned, condition, 5.0)
        assert [r.key for r in printed] == ([key] if key else [])
        if printed:
            assert printed[0].value == pytest.approx(mass / 100 - 1) and printed[0].words.startswith(
                "light for the boat" if mass < 100 else "deep for the plan"
            )
    own = replace(planned, limits={"over_design": 0.02, "under_design": 0.05})
    assert [[r.key for r in remarks(own, replace(SOUND, mass=m), 5.0)] for m in (103, 101, 96, 94)] == [
        ["over_design"], [], [], ["under_design"],
    ]  # fmt: skip
    assert remarks(boat(), replace(SOUND, mass=500.0), 5.0) == ()
    assert remarks(planned, Condition("likely", 300.0, "floods"), 5.0) == ()


def test_only_an_open_canoes_draft_is_remarked_on():
    solo, tandem = boat("open"), boat("open").with_load(paddlers=(Paddler(80, 1.8), Paddler(70, 3.0)))
    deep = replace(SOUND, draft=0.115)
    assert [r.key for r in remarks(solo, deep, 5.0)] == ["draft_solo"]
    assert remarks(tandem, deep, 5.0) == () and remarks(solo, deep, 3.9) == ()
    assert [r.key for r in remarks(tandem, replace(SOUND, draft=0.1301), 5.0)] == ["draft_tandem"]
    assert answer(checks(solo, [deep])) == "carries"
    assert not is_open_canoe(boat("decked"), 5.0)
    assert not is_open_canoe(solo, 2.8)
    assert not is_open_canoe(boat("open", form={"stern": End(transom=True)}), 5.0)


def test_the_statutory_figure_of_a_box_and_a_load_over_it_is_a_warning():
    """A boat that displaces 900 kg to the rim and weighs 100: 3/10 of 800 kg is 240 kg, 90 % of it 216 kg,
    which is 476.2 lb; (476.2 + 32) / 141 = 3.6."""
    found = statutory(900.0, 100.0, 180.0, 160.0)
    assert (found.capacity, found.persons_mass, found.persons, found.over) == (
        pytest.approx(240),
        pytest.approx(216),
        3,
        False,
    )
    assert statutory(900.0, 100.0, 241.0, 160.0).over and statutory(900.0, 100.0, 230.0, 217.0).over
    rules = rules_for(rowed=True)
    loads = {(239.9, 215.9): "carries", (240.1, 100.0): "marginal", (239.0, 216.1): "marginal"}
    for (carried, people), expected in loads.items():
        condition = replace(SOUND, carried=carried, people=people, capacity=240.0)
        assert answer(checks(boat("open"), [replace(condition, freeboard=0.2)], rules)) == expected
    assert "statutory_load" not in {r.key for r in rules_for(rowed=False)}


def test_failed_at_likely_values_is_no_failed_at_a_bad_end_is_marginal():
    bad = replace(SOUND, end="heavy build, high centre", gm=-0.01, height_to_flooding=0.09)
    made = checks(boat(), [SOUND, bad])
    by_key = {c.key: c for c in made}
    assert len(by_key) == len(made), "keys are stable and unlike"
    assert by_key["height_to_flooding"].result == "warn"
    assert by_key["height_to_flooding"].value == SOUND.height_to_flooding
    assert by_key["height_to_flooding"].worst == 0.09
    assert by_key["height_to_flooding"].worst_end == "heavy build, high centre"
    assert by_key["gm"].result == "pass"  # the likely centre alone
    assert by_key["gm_high"].result == "warn"  # never a failure
    assert answer(made) == "marginal"
    assert answer(checks(boat(), [bad])) == "does not carry"
    assert answer(checks(boat(), [SOUND, SOUND])) == "carries"


def test_a_warning_about_the_boat_itself_makes_it_marginal():
    assert answer(checks(boat(), [SOUND]), ["length 1.2 m"]) == "marginal"


def test_a_boat_that_floods_or_sinks_carries_nobody():
    for state in ("floods", "sinks", "capsized"):
        made = checks(boat(), [Condition("likely", 300.0, state, people=80.0)], rules_for(rowed=True))
        assert answer(made) == "does not carry"
        assert all(c.value is None and c.margin is None and c.least_margin is None for c in made)
        assert all(c.outcome == state and c.result != "pass" for c in made)
        assert binding(made).key == "height_to_flooding"


def test_a_sealed_boat_has_no_height_to_flooding_to_fail():
    sealed = replace(SOUND, sealed=True, height_to_flooding=None, flooding_heel=None, lean_height=None)
    made = checks(boat(), [sealed, sealed])
    assert answer(made) == "carries"
    assert binding(made) is None


def test_the_worst_end_is_the_one_with_least_margin_not_the_last():
    """60 mm pass by the stern and 30 mm by the bow, so that 28 mm by the bow is nearer to its limit than
    50 mm by the stern."""
    near, far = (
        replace(SOUND, end="light", trim_length=-0.028),
        replace(SOUND, end="heavy", trim_length=0.050),
    )
    trim = next(c for c in checks(boat(), [SOUND, near, far]) if c.key == "trim")
    assert (trim.worst, trim.worst_end) == (0.028, "light")


def test_a_margin_to_be_compared_is_over_its_scale_and_the_least_of_the_ends():
    """Heights of 170, 110 and 150 mm over 100 mm: 10 mm on a scale of 100 mm."""
    ends = [
        SOUND,
        *(replace(SOUND, end=e, height_to_flooding=h) for e, h in (("light", 0.11), ("heavy", 0.15))),
    ]
    made = {c.key: c for c in checks(boat(), ends)}
    height = made["height_to_flooding"]
    assert height.margin == pytest.approx(0.07) and height.least_margin == pytest.approx(0.1)
    assert made["flooding_heel"].least_margin == pytest.approx(11 / 20)
    assert made["gm"].least_margin == pytest.approx(0.05 / 0.05)
    outcome = checks(boat(), [SOUND, Condition("heavy", 300.0, "floods")])
    assert next(c for c in outcome if c.key == "freeboard").least_margin is None
    assert all((c.least_margin or 0) >= 0 for c in made.values() if c.result == "pass")


def test_every_default_has_a_basis_a_note_and_bounds_in_order():
    for found in defaults().values():
        assert found.basis in ("common practice, no source", "arithmetic") or found.key.startswith(
            "statutory"
        )
        assert found.note and found.scale > 0
        if found.enough is not None and found.not_enough is not None:
            assert found.holds(found.enough, found.not_enough) or found.enough == found.not_enough


def test_limits_name_their_units_in_si_with_degrees_as_printed():
    assert {found.unit for found in defaults().values()} == {"m", "deg", "1", "kg", "kg/m2"}
    assert limit(boat(), "flooding_heel").enough == 20


def test_heeled_checks_look_only_at_the_ends_that_were_heeled():
    level_only = replace(
        SOUND, end="forward", heeled=False, lean_heel=None, lean_height=None, flooding_heel=None
    )
    leaning = replace(SOUND, end="light", lean_height=0.02)
    made = {c.key: c for c in checks(boat(), [SOUND, level_only, leaning])}
    assert (made["lean_height"].result, made["lean_height"].worst) == ("pass", 0.02)
    assert answer(tuple(made.values())) == "carries"


def test_one_who_does_not_come_to_rest_in_a_lean_goes_over_in_it():
    """Named so at likely figures and at a bad end; a lean that leaves too little is called by the check's
    name."""
    over = replace(SOUND, end="heavy", lean_height=None, lean_heel=None)
    little = replace(SOUND, end="heavy", lean_height=-0.001)
    for conditions in ([over], [SOUND, over], [over, SOUND]):
        assert binding(checks(boat(), conditions)).obstacle == "goes over in a lean"
    for conditions in ([little], [SOUND, little]):
        assert binding(checks(boat(), conditions)).obstacle == "rim left when leaned 30 mm"
    assert binding(checks(boat(), [replace(SOUND, gm=-0.01)])).obstacle == "GM upright"
    reached = replace(SOUND, reach_heel=None, reach_height=None)
    assert binding(checks(boat(), [reached])).obstacle == "goes over in a reach"


def test_names_say_how_far_in_the_builders_unit():
    imperial = boat(units_shown="imperial", limits={"lean": 0.0254, "reach": 0.3048})
    names = {c.key: c.name for c in checks(imperial, [replace(SOUND, lean=0.0254, trim_length=-0.01)])}
    assert names["lean_height"] == 'rim left when leaned 1"' and names["reach"] == "rim left reaching 1' out"
    assert names["trim"] == "trim by the bow"
