"""A box-shaped open boat, whose every figure is a formula: conditions, leans, heaviest paddler, seat for
level trim."""

from __future__ import annotations

import math
from dataclasses import replace
from types import SimpleNamespace

import numpy as np
import pytest
import solids

from hullview.afloat.equilibrium import at_heel, height_to_flooding, rest
from hullview.afloat.flooding import flooding, rims
from hullview.afloat.loads import HIPS, loaded, paddler_centre
from hullview.answer.checks import Check, binding
from hullview.answer.conditions import BAD_ENDS, LIKELY, Craft, heeled, level
from hullview.answer.seat import Heaviest, heaviest, level_trim, out_of_reach
from hullview.answer.trial import Trial
from hullview.boat.model import Boat, Bulkhead, Gear, HullForm, Load, Opening, Paddler, Water
from hullview.shape.body import Body
from hullview.shape.hull import FloodingLine, Hull, NamedLine
from hullview.weight.mass import Mass

L, B, D = 4.0, 1.04, 0.30  # a shade too narrow to count as rowed
RHO = 1000.0
EMPTY, LOW, HIGH = 300.0, 290.0, 320.0
PADDLER = Paddler(80.0, 2.25, seat_height=0.05)
CENTRED_TO = 1e-9


def box_hull(depth=D):
    corners, faces = solids.box(L, B, depth)

    def line(name, y, z, paired):
        points = np.array([[x, y, z] for x in np.linspace(0, L, 5)])
        return NamedLine(name, points, paired, False, np.zeros_like(points), np.zeros_like(points))

    lines = {"sheer": line("sheer", B / 2, depth, True), "keel": line("keel", 0.0, 0.0, False)}
    rim = np.array([[x, s * B / 2, depth] for s in (1, -1) for x in np.linspace(0, L, 9)])
    nothing = np.full(8, np.nan)
    return Hull(
        corners,
        faces,
        np.zeros(12, int),
        ("hull",),
        lines,
        (FloodingLine("sheer", rim),),
        nothing,
        nothing,
        None,
        None,
        open_top=True,
    )


def craft(paddlers=(PADDLER,), gear=(), limits=None, depth=D, **more):
    boat = Boat(
        "Box",
        HullForm("open", "outside"),
        load=Load(paddlers, gear),
        water=Water("given", RHO),
        limits=limits or {},
        **more,
    )
    hull = box_hull(depth)
    weight = SimpleNamespace(
        build="trial",
        lines=(),
        readings=(),
        whole=Mass(EMPTY, np.array([1.9, 0.0, 0.14]), low=LOW, high=HIGH),
    )
    return Craft(boat, hull, Body(hull.vertices, hull.faces), RHO, weighed=weight)


def figures(mass, kg):
    """Draft, BM and GM of the box."""
    draft = mass / (RHO * L * B)
    bm = B**2 / (12 * draft)
    return draft, bm, draft / 2 + bm - kg


def kg_of(empty, height, paddler=80.0):
    return (empty * 0.14 + paddler * (0.05 + height)) / (empty + paddler)


def level_craft(**more):
    """The paddler where the box trims level."""
    x = (2.0 * (EMPTY + 80.0) - EMPTY * 1.9) / 80.0
    return craft((replace(PADDLER, seat_back=x + 0.25),), **more)


def test_a_level_box_has_the_draft_gm_freeboard_and_reserve_of_the_formulas():
    it = level_craft()
    found = level(it, it.boat.load.paddlers).found
    draft, _, gm = figures(380.0, kg_of(EMPTY, 0.26))
    assert found.draft == pytest.approx(draft, rel=1e-9)
    assert found.gm == pytest.approx(gm, rel=1e-9)
    assert found.freeboard == pytest.approx(D - draft, rel=1e-9)
    assert found.height_to_flooding == pytest.approx(D - draft, rel=1e-9)
    assert found.reserve == pytest.approx((D - draft) / draft, rel=1e-9)
    assert found.trim_length == pytest.approx(0.0, abs=CENTRED_TO)


def test_ends_take_the_weight_height_and_place_their_words_say():
    it = level_craft()
    paddler = it.boat.load.paddlers[0]
    likely_x = paddler.seat_back - 0.25
    expected = {
        f"{build} build, centre high and {where}": (mass, likely_x + shift)
        for build, mass in (("heavy", HIGH), ("light", LOW))
        for where, shift in (("aft", 0.03), ("forward", -0.03))
    }
    assert [end.words for end in BAD_ENDS] == list(expected)
    for end in BAD_ENDS:
        load, (mass, x) = it.load((paddler,), end), expected[end.words]
        assert load.mass == mass + 80.0
        assert load.centre[0] == pytest.approx((mass * 1.9 + 80 * x) / (mass + 80), rel=1e-12)
        assert load.centre[2] == pytest.approx(kg_of(mass, 0.30), rel=1e-12)


def test_the_most_trim_by_the_stern_may_be_that_of_a_light_boat():
    """The paddler's place on the seat moves the common centre by s m / M: more in a light boat, so the bad
    ends must hold it too."""
    it = level_craft()
    paddler = it.boat.load.paddlers[0]
    trims = {end.words: level(it, (paddler,), end).found.trim_length for end in BAD_ENDS}
    assert max(trims, key=trims.get) == "light build, centre high and aft"
    assert trims["light build, centre high and aft"] > 2 * trims["heavy build, centre high and aft"] > 0


def test_a_lean_heels_the_box_by_the_wall_sided_formula():
    """tan(phi) (GM + 1/2 BM tan^2 phi) = the common centre's shift (Derrett and Barrass p. 130, with the
    load's lever).

    The whole shift at likely values, two thirds of it at a bad end; a reach the same with its own shift."""
    it = level_craft(limits={"lean": 0.2})
    paddlers = it.boat.load.paddlers
    bad = heeled(it, level(it, paddlers, BAD_ENDS[0]))
    found = heeled(it, level(it, paddlers))
    for heel, mass, height, shift in (
        (found.lean_heel, EMPTY, 0.26, 0.2),
        (bad.lean_heel, HIGH, 0.30, 0.2 * 2 / 3),
        (found.reach_heel, EMPTY, 0.26, 0.05 * ((0.2 + B / 2 + 0.3) / 2 - 0.2) + 0.58 * 0.06),
    ):
        _, bm, gm = figures(mass + 80.0, kg_of(mass, height))
        t = math.tan(heel)
        assert t * (gm + bm * t * t / 2) == pytest.approx(
            80 * shift / (mass + 80.0), rel=2e-3 if mass == HIGH else 1e-7
        )
    assert (found.lean, bad.lean) == (0.2, pytest.approx(0.2 * 2 / 3)) and bad.reach_heel is None
    assert found.reach_height == pytest.approx(
        (D - figures(380.0, 0)[0]) * math.cos(found.reach_heel) - B / 2 * math.sin(found.reach_heel), rel=1e-9
    )
    draft = figures(380.0, 0)[0]
    expected = (D - draft) * math.cos(found.lean_heel) - B / 2 * math.sin(found.lean_heel)
    assert found.lean_height == pytest.approx(expected, rel=1e-9)


def test_water_comes_in_where_the_box_edge_meets_it():
    it = level_craft(depth=0.17)
    found = heeled(it, level(it, it.boat.load.paddlers))
    draft = figures(380.0, 0)[0]
    assert math.tan(found.flooding_heel) == pytest.approx((0.17 - draft) / (B / 2), rel=1e-9)


@pytest.mark.parametrize("side", [1.0, -1.0])
@pytest.mark.parametrize("aft", [1.7, 2.3])
def test_flooding_is_where_a_slow_walk_finds_it_trimmed_and_off_centre(side, aft):
    it = craft()
    centre = np.array([aft, 0.03, 0.2])
    lying = rest(it.body, 400.0, centre, RHO)
    found = flooding(rims(it.hull), it.body, centre, lying, side)
    low, high = 0.0, math.radians(60)
    for _ in range(60):
        middle = (low + high) / 2
        at = at_heel(it.body, 400.0, centre, RHO, side * middle)
        low, high = (
            (middle, high) if height_to_flooding(it.hull, at.normal, at.offset)[0] > 0 else (low, middle)
        )
    assert found.heel == pytest.approx(side * high, abs=1e-9)
    assert height_to_flooding(it.hull, found.normal, found.offset)[0] == pytest.approx(0, abs=1e-12)


def test_a_lean_past_what_rights_it_is_followed_no_further_than_the_rim():
    it = level_craft(limits={"lean": 3.0}, depth=0.2)
    found = heeled(it, level(it, it.boat.load.paddlers))
    assert found.lean_heel is None and found.lean_height is None
    assert found.flooding_heel is not None


def test_a_load_that_hangs_to_port_leans_to_port_and_mirrors_starboard():
    gear = Gear(20.0, (2.0, 0.2, 0.1))
    both = [craft(gear=(replace(gear, at=(2.0, side * 0.2, 0.1)),)) for side in (1, -1)]
    starboard, port = (heeled(c, level(c, c.boat.load.paddlers)) for c in both)
    assert starboard.lean_heel == pytest.approx(port.lean_heel, rel=1e-9)
    assert starboard.lean_heel > heeled(craft(), level(craft(), (PADDLER,))).lean_heel
    assert starboard.flooding_heel == pytest.approx(port.flooding_heel, rel=1e-9)


def test_gm_is_that_of_upright_even_where_it_lolls():
    """The angle of loll of a wall-sided boat, tan(phi) = sqrt(-2 GM / BM): Derrett and Barrass."""
    it = level_craft(depth=0.6)
    draft, bm, _ = figures(380.0, 0.0)
    height = ((draft / 2 + bm + 0.004) * 380.0 - EMPTY * 0.14) / 80.0 - 0.05
    high = replace(it.boat.load.paddlers[0], centre_height=(height, height, height))
    found = level(it, (high,))
    _, _, gm = figures(380.0, kg_of(EMPTY, height))
    assert gm < 0
    assert abs(math.tan(found.lying.heel)) == pytest.approx(
        math.sqrt(-2 * gm / figures(380.0, 0)[1]), rel=1e-6
    )  # p. 229
    assert found.found.gm == pytest.approx(gm, rel=1e-6)


def test_a_box_sinks_or_floods_by_its_name_with_no_figures():
    it = craft()
    for mass, seat_back, state in (
        (600.0, 2.3, "afloat"),
        (600.0, 2.75, "floods"),
        (600.0, 3.4, "capsized"),
        (970.0, 2.3, "sinks"),
    ):
        found = level(it, (replace(PADDLER, mass=mass, seat_back=seat_back),), LIKELY).found
        assert found.state == state
        assert (found.gm is None) == (found.draft is None) == (state != "afloat")


# ---------------------------------------------------------------- heaviest paddler


def test_heaviest_paddler_of_the_box_is_the_formula_rounded_down():
    """Height to flooding of 160.5 mm binds at the heavy end, the paddler amidships so that trim does not."""
    it = craft(
        (replace(PADDLER, seat_back=2.25, centre_forward=(0.25, 0.25, 0.25)),),
        limits={"height_to_flooding": 0.1605, "freeboard": 0.05, "flooding_heel": 0.1},
    )
    it.weight.whole = Mass(EMPTY, np.array([2.0, 0.0, 0.14]), low=LOW, high=HIGH)
    most = RHO * L * B * (D - 0.1605) - HIGH
    trial = Trial(it)
    found = heaviest(trial.deciding)
    assert found == Heaviest(math.floor(most), "lowest rim above water")
    assert all(c.result == "pass" for c in trial.deciding(found.mass))
    assert any(c.result != "pass" for c in trial.deciding(found.mass + 1))


def judged(passes):
    """Checks of a made-up boat by the mass of its paddler."""

    def judge(mass):
        ok = passes(mass)
        return (
            Check(
                "trim",
                "trim",
                0.0,
                0.0,
                "m",
                "pass" if ok else "fail",
                "",
                1.0 if ok else -1.0,
                "at most",
                0.0,
            ),
        )

    return judge


def test_the_last_mass_that_passes_is_found_though_a_lighter_one_fails():
    tried = []

    def passes(mass):
        tried.append(mass)
        return 63 <= mass <= 97

    assert heaviest(judged(passes)).mass == 97
    assert len(tried) == len(set(tried)) <= 30


@pytest.mark.parametrize("last", [50, 59, 60, 99, 110, 111, 137, 259])
def test_whole_kilograms_rounded_down_whatever_the_scan_met(last):
    assert heaviest(judged(lambda mass: mass <= last)).mass == last


def test_nobody_who_passes_is_said_with_the_check_that_stands_in_the_way():
    found = heaviest(judged(lambda mass: False))
    assert found.mass is None
    assert found.limit.startswith("trim: no paddler from 20 to 1000 kg passes")


# ---------------------------------------------------------------- seat for level trim


def test_the_seat_for_level_trim_of_the_box_is_by_moments():
    found = level_trim(craft(), (PADDLER,))
    x = (2.0 * 380.0 - EMPTY * 1.9) / 80.0
    assert found.back == pytest.approx(x + 0.25, abs=1e-9)
    it = craft()
    moved = level(it, (replace(PADDLER, seat_back=found.back),))
    assert moved.found.trim_length == pytest.approx(0, abs=1e-9)


def test_level_trim_moves_the_first_paddler_and_lets_gear_off_centre_heel_it():
    gear, other = Gear(30.0, (1.0, 0.15, 0.05)), Paddler(60.0, 3.0)
    it = craft((PADDLER, other), (gear,))
    found = level_trim(it, (PADDLER, other))
    moved = level(it, (replace(PADDLER, seat_back=found.wanted), other))
    assert abs(moved.lying.heel) > 0.01
    assert moved.lying.trim == pytest.approx(0, abs=1e-9)


def test_no_seat_outside_the_opening_or_past_a_bulkhead():
    decked = Boat(
        "Decked",
        HullForm("decked", "outside"),
        openings=(Opening(1.6, 0.8, 0.5),),
        bulkheads=(Bulkhead(1.9, 0.004, "okoume"),),
    )
    assert out_of_reach(decked, (0.0, 4.0), 1.8, 1.85) == ""
    assert "outside the opening" in out_of_reach(decked, (0.0, 4.0), 1.8, 2.05)
    assert "outside the opening" in out_of_reach(decked, (0.0, 4.0), 1.8, 1.15)
    assert "past the bulkhead at 1900 mm" in out_of_reach(decked, (0.0, 4.0), 1.8, 1.95)
    shaped = replace(
        decked, openings=(Opening(0, 0, 0, outline=((1.0, 0.1), (1.3, 0.2), (1.7, 0.1))),), bulkheads=()
    )
    assert out_of_reach(shaped, (0.0, 4.0), 1.5, 1.69) == ""
    assert "1000 to 1700 mm" in out_of_reach(shaped, (0.0, 4.0), 1.5, 1.71)
    open_boat = replace(decked, hull=HullForm("open", "outside"), openings=(), bulkheads=())
    assert "outside the boat" in out_of_reach(open_boat, (0.0, 4.0), 1.8, 4.2)


# ---------------------------------------------------------------- loads


def test_a_load_is_the_sum_of_its_moments():
    gear = (Gear(6.0, (3.0, 0.1, 0.2)), Gear(4.0, (0.5, -0.2, None)))
    it = craft((PADDLER, Paddler(60.0, 3.2, seat_height=0.02, side=0.05)), gear)
    found = it.load(it.boat.load.paddlers, LIKELY)
    parts = [
        (EMPTY, 1.9, 0.0, 0.14),
        (80.0, 2.0, 0.0, 0.31),
        (60.0, 2.95, 0.05, 0.28),
        (6.0, 3.0, 0.1, 0.2),
        (4.0, 0.5, -0.2, 0.0),
    ]
    mass = sum(p[0] for p in parts)
    assert found.mass == pytest.approx(mass)
    for axis in range(3):
        assert found.centre[axis] == pytest.approx(sum(p[0] * p[axis + 1] for p in parts) / mass, abs=1e-12)


def test_an_upright_torso_pulls_at_the_hips():
    it = craft()
    rigid, upright = (paddler_centre(PADDLER, it.hull, 0.006, torso=t) for t in ("rigid", "upright torso"))
    assert rigid[2] == pytest.approx(0.006 + 0.05 + 0.26)
    assert upright[2] == pytest.approx(0.006 + 0.05 + HIPS)
    assert rigid[0] == upright[0] == 2.0


def test_a_lean_shifts_each_paddler_alone():
    it = craft((PADDLER, Paddler(60.0, 3.2)))
    straight = it.load(it.boat.load.paddlers, LIKELY)
    leaning = loaded(it.weight.whole, it.boat, it.hull, leans=(0.05, -0.02), thickness=0.0)
    assert (leaning.centre[1] - straight.centre[1]) * leaning.mass == pytest.approx(80 * 0.05 - 60 * 0.02)


def test_the_answer_and_the_search_heel_it_at_every_end(monkeypatch):
    """An end that lies higher may lean further: of two that differ in trim alone neither may be left out."""
    from hullview import study
    from hullview.answer import trial

    it, seen = level_craft(), []

    def watched(craft, one, **how):
        seen.append(one.end)
        return heeled(craft, one, **how)

    for module in (study, trial):
        monkeypatch.setattr(module, "heeled", watched)
    made = trial.Trial(it).deciding(40)
    assert binding(made) is None
    assert seen == [LIKELY, *BAD_ENDS]
