"""Swamped and boarded, on the models and on a box."""

import math
from dataclasses import replace
from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest
from weight_hulls import box

from hullview import study
from hullview.answer.boarding import HAND, boarding
from hullview.answer.conditions import LIKELY
from hullview.answer.overside import rim_beside
from hullview.answer.swamped import SHARES, Swamping, solid_volume, swamped
from hullview.boat.model import (
    Boat,
    Build,
    Bulkhead,
    Flotation,
    HullForm,
    Paddler,
    Piece,
    Planking,
    Run,
    Schedule,
    ShopMaterial,
    Skin,
    Tank,
)
from hullview.boat.reader import read_boat
from hullview.materials import MaterialError, library
from hullview.shape.inside import spaces
from hullview.show.record import as_record
from hullview.tell.mishaps import boarding_section, does, swamped_section
from hullview.tell.model import Telling
from hullview.weight.total import weigh

MODELS = Path(__file__).parents[2] / "models"


@pytest.fixture(scope="module")
def canoe():
    return replace(read_boat(MODELS / "open-canoe"), tanks=(), flotation=())


@pytest.fixture(scope="module")
def in_the_canoe(canoe):
    craft = study.launch(canoe)
    return craft, swamped(craft)


def test_solids_of_a_cedar_boat(in_the_canoe):
    """Lighter than water as a whole, and about its weight over a density between cedar and glass."""
    craft, _ = in_the_canoe
    solid = solid_volume(craft.weight, craft.boat)
    assert 350 < craft.weight.mass / solid < 900


def test_each_line_displaces_by_its_own_material():
    """Volumes added up by hand: each area, layer and section over the density of what it is made of, none of
    it epoxy, glass or cedar.

    Aramid 1440 and a resin of 1060 kg/m3 take up more room than glass and epoxy of the same mass would.
    """
    light = ShopMaterial("light resin", "resin", density=1060.0)
    heavy = ShopMaterial("ironwood", "wood", density=1000.0)
    cloth = "plain aramid 170 g/m2"
    schedule = Schedule(
        (Planking("hull", "balsa of the shed", 0.010, "sheet", loss_outside=0, loss_inside=0),),
        (
            Skin("hull outside", cloth, resin="light resin", seal_coat=False, fill_coats=0),
            Skin("hull outside", coating="primer", coats=4),
        ),
        (Run("sheer", "solid", wood="ironwood", thickness=0.02, depth=0.03, resin="light resin"),),
    )
    own = (light, heavy, ShopMaterial("balsa of the shed", "wood", density=160.0))
    plain = Boat("box", HullForm("open", "outside"), builds=(Build("only", schedule),), materials=own)
    weight = weigh(
        replace(plain, bulkheads=(Bulkhead(1.2, 0.0, cloth=cloth, layers=3, resin="light resin"),)), box()
    )
    by_kind = {}
    for x in weight.lines:
        by_kind[x.group] = by_kind.get(x.group, 0.0) + x.mass
    share = library().cloth(cloth).resin_ratio[1]
    assert by_kind["resin"] == pytest.approx(share * by_kind["cloth"])  # no line is left to epoxy
    glue_line = library().resin("epoxy").glue_density[1]
    by_hand = (
        by_kind["planking"] / 160 + by_kind["other wood"] / 1000 + by_kind["cloth"] / 1440
        + by_kind["resin"] / 1060 + by_kind["glue"] / glue_line + by_kind["coating"] / 1500
    )  # fmt: skip
    assert solid_volume(weight, plain) == pytest.approx(by_hand, rel=1e-9)
    assert {x.material for x in weight.lines if x.group in ("resin", "glue")} == {"light resin"}


def test_fittings_displace_nothing_and_wood_without_a_density_is_refused():
    schedule = Schedule(pieces=(Piece("anchor", (1.0, 0, 0.1), mass=3.0),))
    boat = Boat("box", HullForm("open", "outside"), builds=(Build("only", schedule),))
    weight = weigh(boat, box())
    assert solid_volume(weight, boat) == 0
    unknown = replace(weight.lines[0], group="other wood", material="no such wood")
    with pytest.raises(MaterialError, match="no such wood"):
        solid_volume(replace(weight, lines=(unknown,)), boat)


def test_an_open_boat_without_flotation_is_told_what_happens(in_the_canoe):
    craft, found = in_the_canoe
    empty = craft.weight.mass + sum(g.mass for g in craft.boat.load.gear)
    assert found.bears_full == pytest.approx(craft.density * found.solids - empty, abs=0.02)
    assert found.sealed == 0
    assert [(case.share, case.paddlers) for case in found.cases] == [
        (s, p) for p in (False, True) for s in SHARES
    ]
    full = next(case for case in found.cases if case.paddlers and case.share == 1)
    assert full.state == "sinks" and full.bears < 0 and full.heel is None


def test_more_water_is_less_freeboard(in_the_canoe):
    _, found = in_the_canoe
    out = [case for case in found.cases if not case.paddlers and case.state == "afloat"]
    assert len(out) >= 2
    assert all(a.freeboard > b.freeboard for a, b in pairwise(out))
    assert out[0].water == pytest.approx(0.25 * found.holds, rel=1e-6)


def test_water_that_upsets_it_is_why_it_sinks(in_the_canoe):
    """By moments about the level: with a quarter of its water and both aboard, BM less BG less the loose
    surface is under nought."""
    craft, found = in_the_canoe
    case = next(c for c in found.cases if c.paddlers and c.share == 0.25)
    assert (case.state, case.rolls) == ("sinks", True)
    load, inside, up = (
        craft.load(craft.boat.load.paddlers, LIKELY),
        spaces(craft.hull, found.solids)[0].body,
        np.array([0.0, 0.0, 1.0]),
    )

    def held(body, volume):
        low, high = body.extent(up)
        for _ in range(50):
            middle = (low + high) / 2
            low, high = (middle, high) if body.immersed(up, middle).volume < volume else (low, middle)
        return body.immersed(up, low)

    water = 0.25 * found.holds / craft.density
    sea, pool = held(craft.body, load.mass / craft.density + water), held(inside, water)
    centre = (load.mass / craft.density * load.centre + water * pool.centroid) / sea.volume
    spread = (sea.plane_second_moments - pool.plane_second_moments)[1, 1]
    assert spread / sea.volume - (centre - sea.centroid)[2] < -0.005


def with_somebody(model):
    boat = read_boat(MODELS / model)
    if boat.load.paddlers:
        return boat
    return replace(boat, builds=read_boat(MODELS / "open-canoe").builds).with_load(
        paddlers=(Paddler(60.0, 2.2, seat_height=0.02),)
    )


@pytest.mark.parametrize("model", ["flat-skiff", "pulling-dinghy", "wigley"])
def test_more_water_never_makes_it_better(model):
    """What stays inside, the height of its rims, and once it has gone over it does not come up again."""
    found = swamped(study.launch(with_somebody(model)))
    for crewed in (False, True):
        cases = [c for c in found.cases if c.paddlers == crewed]
        for less, more in pairwise(cases):
            if less.state != "afloat":
                assert more.state == less.state
            elif more.state == "afloat":
                assert more.water > less.water and more.rim < less.rim
        assert all(c.water <= found.holds * (1 + 1e-9) for c in cases if c.state == "afloat")


def test_what_is_barely_upright_is_said_to_be():
    """80 kg moved 30 mm lean it 20 degrees at a GM of 2.4 kg m over its weight and tan 20."""
    edge = 80 * 0.030 / (168 * math.tan(math.radians(20)))
    steady, tender = (Swamping(0.25, True, "afloat", 67.0, gm=edge + d, mass=168.0) for d in (1e-6, -1e-6))
    assert (does(steady), does(tender)) == ("floats", "barely upright")
    assert does(replace(tender, state="awash")) == "lies awash"


def test_tanks_and_foam_bear_what_they_hold(canoe, in_the_canoe):
    _, bare = in_the_canoe
    foam = Flotation(0.03, (2.0, 0.0, 0.12), "foam")
    tank = Tank(0.0, 0.9, name="bow tank")
    craft = study.launch(replace(canoe, tanks=(tank,), flotation=(foam,)))
    helped, heavier = swamped(craft), craft.weight.mass - in_the_canoe[0].weight.mass
    density = 999.1026
    assert helped.sealed > 0.03
    wood = density * (helped.solids - bare.solids)
    assert helped.bears_full - bare.bears_full == pytest.approx(
        density * helped.sealed + wood - heavier, abs=0.05
    )
    assert helped.holds < bare.holds
    bow = next(case for case in helped.let_in if case.name == "bow tank")
    assert bow.state == "afloat" and bow.water > 0


def test_a_flooded_end_takes_it_down_by_that_end(canoe):
    craft = study.launch(
        replace(canoe, tanks=(Tank(0.0, 0.9, name="bow tank"), Tank(3.7, 4.6, name="stern tank")))
    )
    lying = {case.name: case for case in swamped(craft).let_in}
    dry = study.afloat(craft)
    assert lying["bow tank"].trim < dry.trim < lying["stern tank"].trim
    assert max(lying["bow tank"].freeboard, lying["stern tank"].freeboard) < dry.freeboard + 0.02


def test_a_bulkhead_keeps_an_end_dry():
    found = swamped(study.launch(read_boat(MODELS / "short-kayak")))
    assert [case.name for case in found.let_in] == ["after compartment"]
    assert found.sealed == pytest.approx(
        found.let_in[0].water / 999.1 * 1.9, rel=0.6
    )  # about half of it lies under water
    assert found.bears_full > 30
    out = {case.share: case for case in found.cases if not case.paddlers}
    assert out[1.0].trim < out[0.25].trim < 0.01, "it lies on the end that fills"


def test_json_has_no_nan_and_units_in_its_keys(in_the_canoe):
    out = as_record(Telling((swamped_section(in_the_canoe[1]),)))["swamped"]
    assert {"solids_m3", "holds_kg", "sealed_m3", "bears_full_kg", "cases", "let_in"} == set(out)
    assert {"share", "paddlers", "state", "water_kg", "heel_deg", "trim_deg", "freeboard_m"} <= set(
        out["cases"][0]
    )
    values = [v for case in out["cases"] for v in case.values() if isinstance(v, float)]
    assert all(math.isfinite(v) for v in values)


# ---------------------------------------------------------------- boarding


@pytest.fixture(scope="module")
def skiff():
    return study.launch(read_boat(MODELS / "flat-skiff"))


def test_the_four_ways_of_coming_aboard(skiff):
    cases = {case.name: case for case in boarding(skiff)}
    assert len(cases) == 4
    hip = cases["sitting down on one hip"]
    assert hip.at[1] == pytest.approx(0.2, abs=1e-9) and hip.mass == skiff.boat.load.paddlers[0].mass
    assert hip.state == "afloat" and hip.heel > 0 and hip.height > 0 and not hip.ships_water
    hand = cases["a hand at the rim, nobody aboard"]
    assert hand.mass * 9.80665 == pytest.approx(HAND)
    assert hand.at[1] > 0.5
    assert cases["back in from deep water"].state in ("goes over", "ships water")


def test_heels_are_those_of_the_load_as_it_is(skiff):
    from hullview.afloat.equilibrium import rest

    hand = next(case for case in boarding(skiff) if case.name == "a hand at the rim, nobody aboard")
    empty = skiff.load((), LIKELY)
    mass = empty.mass + hand.mass
    centre = (empty.mass * empty.centre + hand.mass * hand.at) / mass
    lying = rest(skiff.body, mass, centre, skiff.density)
    assert hand.heel == pytest.approx(lying.heel, abs=1e-9)
    rims = np.concatenate([line.points for line in skiff.hull.flooding])
    assert hand.height == pytest.approx(float((rims @ lying.normal).min()) - lying.offset, abs=1e-9)


def test_a_narrow_kayak_goes_over_and_says_so():
    cases = {case.name: case for case in boarding(study.launch(read_boat(MODELS / "short-kayak")))}
    assert cases["back in from deep water"].ships_water
    assert cases["back in from deep water"].heel is None


def test_the_rim_beside_the_seat(skiff):
    rim = rim_beside(skiff.hull, 1.5)
    assert abs(rim[0] - 1.5) < 0.2
    assert rim[1] == pytest.approx(np.interp(rim[0], *skiff.hull.sheer[:, :2].T), abs=0.01)


def test_nobody_to_board(skiff):
    assert (
        boarding(replace(skiff, boat=replace(skiff.boat, load=replace(skiff.boat.load, paddlers=())))) == ()
    )


def test_boarding_json(skiff):
    out = as_record(Telling((boarding_section(boarding(skiff)),)))["boarding"]
    assert {"name", "state", "mass_kg", "heel_deg", "height_to_flooding_m", "ships_water"} <= set(out[0])
