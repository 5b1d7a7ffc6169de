"""Epoxy by the pot: the arithmetic by examples worked by hand, the rules on both their sides, and that no
resin is lost on the way."""

from dataclasses import replace
from pathlib import Path

import pytest
from weight_boats import decked_box
from weight_hulls import box

from hullview import study
from hullview.boat.model import (
    Boat,
    Build,
    Bulkhead,
    HullForm,
    Order,
    Run,
    Schedule,
    Shop,
    ShopMaterial,
    Skin,
)
from hullview.boat.new_boat import write_new
from hullview.boat.reader import read_boat
from hullview.errors import BoatFileError
from hullview.materials import library
from hullview.weight.batches import (
    BatchError,
    Pots,
    batches,
    least_batch,
    next_coat_hours,
    parts,
    pot_minutes,
    pots,
    rules,
    weight_ratio,
)
from hullview.weight.buy import buy
from hullview.weight.total import weigh

EPOXY = library().resin("epoxy").mix
GLASS = "plain glass 6 oz/yd2"
SHOPS = (Shop(), Shop(15.0, 2, 0.0001, "slow"), Shop(31.0, 1, 0.005, "fast"))


USUAL = Shop()


def of(*parts_, shop=USUAL, **more):
    by = {Skin: "skins", Run: "runs"}
    made = {"skins": (), "runs": ()}
    for p in parts_:
        made[by[type(p)]] += (p,)
    boat = Boat(
        "box", HullForm("decked", "outside"), builds=(Build("only", Schedule(**made)),), shop=shop, **more
    )
    return batches(boat, weigh(boat, box())).batches


# ---------------------------------------------------------------- the arithmetic


def test_the_weight_ratio_by_hand():
    """2:1 by volume at 1.14 and 0.98: 2 x 1.14 / 0.98 = 2.327, so 100 to 43; 3:1 100 to 29; 5:1 100 to 17
    (shop practice)."""
    assert weight_ratio(2, 1140, 980) == pytest.approx(2.3265, abs=1e-4)
    assert [round(100 / weight_ratio(n, 1140, 980)) for n in (2, 3, 5)] == [43, 29, 17]
    assert weight_ratio(2, 1000, 1000) == 2


def test_a_pot_of_143_grams_by_hand():
    """100 g of resin and 43 g of hardener: 87.7 ml and 43.9 ml, which is 2 to 1."""
    resin, hardener, resin_volume, hardener_volume = parts(0.143, EPOXY)
    assert resin == pytest.approx(0.1000, abs=2e-5) and hardener == pytest.approx(0.0430, abs=2e-5)
    assert resin_volume * 1e6 == pytest.approx(87.7, abs=0.1) and hardener_volume * 1e6 == pytest.approx(
        43.9, abs=0.1
    )
    assert resin_volume / hardener_volume == pytest.approx(2, rel=1e-12)
    assert resin + hardener == pytest.approx(0.143, rel=1e-12)


def test_pot_lives_by_hand():
    """150 g at 25 C: 12, 22 and 40 min; 18 C is 0.7 of ten degrees less, so 22 x 2^0.7 = 35.7 min; in a
    tray 2.5 times that."""
    assert EPOXY.pot == (12, 22, 40)
    assert pot_minutes(22, 18) == pytest.approx(35.7, abs=0.05)
    assert pot_minutes(22, 18, tray=True) == pytest.approx(89.3, abs=0.1)
    assert pot_minutes(40, 35) == 20
    assert next_coat_hours((4, 24), 20) == (4, 24) and next_coat_hours((4, 24), 10) == (8, 48)


def test_the_least_batch_by_the_scale():
    """60 g on a scale that reads to 1 g, 15 g on one that reads to 0.1 g."""
    assert least_batch(0.001) == pytest.approx(0.060) and least_batch(0.0001) == pytest.approx(0.015)
    assert 0.015 < least_batch(0.0005) < 0.060 < least_batch(0.002)


def test_pots_by_hand():
    """1000 g at most 250 g at once are four of 250; 1010 g five of 202; where only 150 g can be used in
    time, seven of 144.3."""
    assert pots(1.0, 0.25, 9.0, 0.06) == Pots(4, 0.25, 0.25)
    assert pots(1.01, 0.25, 9.0, 0.06) == Pots(5, pytest.approx(0.202), pytest.approx(0.202))
    assert pots(1.01, 0.25, 0.15, 0.06) == Pots(7, pytest.approx(1.01 / 7), pytest.approx(1.01 / 7))
    # 100 g where 40 g can be used in time: three pots of the least, 60 g, of which 33.3 g are used
    assert pots(0.10, 0.25, 0.04, 0.06) == Pots(3, 0.06, pytest.approx(0.1 / 3))
    assert pots(0.012, 0.15, 9.0, 0.06) == Pots(1, 0.06, 0.012)  # a small joint: one pot of the least


def test_the_rules_are_those_of_the_shop():
    """Caps 250 and 400 g for wet-out, 150 g for glue and fillets; rates of one pair of hands, two 1.7
    times as fast."""
    assert {name: (r.cap_for(1), r.cap_for(2)) for name, r in rules().items()} == {
        "laminating": (0.15, 0.15),
        "seal": (0.25, 0.4),
        "wet-out": (0.25, 0.4),
        "fill": (0.25, 0.4),
        "fillet": (0.15, 0.15),
        "tape": (0.25, 0.4),
    }
    rates = {name: (r.rate, r.per) for name, r in rules().items()}
    assert rates["wet-out"] == (0.06, "m2") and rates["seal"] == rates["fill"] == (0.15, "m2")
    assert (
        rates["fillet"] == (0.2, "m") and rates["tape"] == (0.25, "m") and rates["laminating"] == (0.1, "m2")
    )
    assert rules()["wet-out"].rate_for(2) == pytest.approx(0.102)


# ---------------------------------------------------------------- a build by the pot


def test_a_wet_out_by_hand():
    """The box's 3.96 m2 of hull under 6 oz at 48 % glass: 203.4 x 0.52 / 0.48 = 220.4 g/m2.

    At 18 C medium lasts 35.7 min; 0.6 x 35.7 x 0.06 x 220.4 = 283 g, more than the 250 g of one pair of
    hands. 3.96 m2 and 17 % in the pots are 1021 g: five pots of 204 g, 143 g of resin with 61 g of hardener.
    """
    skin = Skin("hull outside", GLASS, seal_coat=False)
    (b,) = of(skin, shop=Shop(temperature=18.0))
    area = 3.0 * 0.6 + 2 * 3.0 * 0.4 + 2 * 0.6 * 0.4
    spread = 0.2034 * 0.52 / 0.48
    assert b.job.amount == pytest.approx(area) and b.job.spread == pytest.approx(spread)
    assert b.job.neat == pytest.approx(area * spread * 1.17)
    assert b.pot == pytest.approx(22 * 2**0.7) and b.in_time == pytest.approx(0.6 * b.pot * 0.06 * spread)
    total = area * spread * 1.17
    assert b.count == -(-total // 0.25) and b.each == b.used == pytest.approx(total / b.count)
    assert b.resin / b.hardener == pytest.approx(2.3265, abs=1e-4) and b.instead is None and b.flour == 0
    assert b.minutes == pytest.approx(b.each / (0.06 * spread)) and b.minutes < b.pot
    two = of(skin, shop=Shop(temperature=18.0, hands=2))[0]
    assert two.in_time == pytest.approx(1.7 * b.in_time) and two.count < b.count and two.each <= 0.4
    hot = of(skin, shop=Shop(temperature=35.0))[0]
    assert hot.in_time == pytest.approx(0.6 * 11 * 0.06 * spread) and hot.each <= hot.in_time


def test_glue_is_thickened_and_its_flour_weighed():
    """Four joints of 18 mm, 6 m: 0.432 m2 at 0.25 mm of 1120 kg/m3, a tenth of it flour, 30 % squeezed
    out: 331 g/m2 neat."""
    clamp = Run("sheer", "lamination", wood="Sitka spruce", plies=4, ply_thickness=0.005, depth=0.018)
    (b,) = of(clamp)
    neat = 0.00025 * 1120 / 1.10 * 1.30
    assert b.job.amount == pytest.approx(6.0 * 0.018 * 4) and b.job.spread == pytest.approx(neat)
    assert b.job.neat == pytest.approx(6.0 * 0.018 * 4 * neat * 1.17)
    assert b.flour == pytest.approx(0.10 * b.each) and b.job.consistency == "ketchup" and b.each <= 0.15
    gap = of(Run("sheer", "glue line", depth=0.018, thickness=0.0004))[0]
    assert gap.job.consistency == "mayonnaise" and gap.flour == pytest.approx(0.25 * gap.each)


def test_fillets_and_tapes_go_by_the_metre():
    """Two layers of tape 75 mm wide are 12 m of the box's 6 m of sheer: 0.25 m in a minute."""
    tape = Run("sheer", "tape", cloth="bias glass 9 oz/yd2", width=0.075, layers=2)
    fillet = Run("sheer", "fillet", radius=0.010)
    first, second = of(tape, fillet)
    assert (first.job.step, second.job.step) == ("fillet", "tape")  # the corner is filled before it is taped
    assert (first.job.amount, second.job.amount) == pytest.approx((6.0, 12.0))
    assert first.in_time == pytest.approx(0.6 * first.pot * 0.2 * first.job.spread)
    assert second.job.spread == pytest.approx(0.075 * 0.3052 * 0.54 / 0.46)


@pytest.mark.parametrize("shop", SHOPS)
def test_no_pot_is_larger_than_the_rule_nor_smaller_than_the_scale_weighs(shop):
    boat = replace(decked_box(), shop=shop)
    for b in batches(boat, weigh(boat, box())).batches:
        cap = rules()[b.job.step].cap_for(shop.hands)
        least = min(least_batch(shop.scale), cap)
        assert least - 1e-12 <= b.each <= max(cap, least) + 1e-12
        assert b.used <= min(b.each, cap, b.in_time) + 1e-12
        assert b.count * b.used == pytest.approx(b.job.neat)
        assert b.each == pytest.approx(max(b.used, least))
        assert (b.instead is not None) == (b.in_time < min(least, b.job.neat))


@pytest.mark.parametrize("shop", SHOPS)
def test_what_is_used_of_all_pots_is_what_the_order_needs(shop):
    """The order reckons by resin, the batches by step: two ways to the same kilograms."""
    boat = replace(decked_box(), shop=shop, order=Order(squeeze_out=0.2, resin_waste=0.1))
    weight = weigh(boat, box())
    used = sum(b.count * b.used for b in batches(boat, weight).batches)
    resin = next(x for x in buy(boat, box(), weight).lines if x.kind == "resin")
    assert used == pytest.approx(resin.need, rel=1e-9)


def test_steps_stand_in_the_order_of_the_build():
    """Clamp on the forms, hull outside, inside, deck, joined; in each seal, wet-out, fill coats; a second
    layer before the fill coats."""
    boat = decked_box()
    schedule = boat.builds[0].schedule
    extra = Skin("bottom", GLASS, girth=0.2)
    schedule = replace(schedule, skins=(*schedule.skins, extra))
    boat = replace(boat, builds=(Build("only", schedule),))
    found = [(b.job.name, b.job.line.region) for b in batches(boat, weigh(boat, box())).batches]
    assert found[0] == ("laminating", "sheer") and found[-2:] == [("fillet", "sheer"), ("tape", "sheer")]
    outside = [name for name, region in found if region in ("hull outside", "bottom")]
    assert outside == ["seal", "wet-out", "wet-out", "fill 1", "fill 2", "fill 3"]
    regions = list(dict.fromkeys(region for _, region in found[1:-2] if region != "bottom"))
    assert regions == ["hull outside", "hull inside", "deck outside", "deck inside"]


def test_less_than_the_least_is_mixed_and_said_how_much_can_be_used_in_time():
    """Glass tape 50 mm wide, 203 g/m2: 11 g/m, 0.25 m a minute; at 20 C medium, 0.6 x 31.1 min, 51 g. Slow
    hardener: 93 g."""
    tape = Run("sheer", "tape", cloth="glass tape 6 oz/yd2", width=0.05)
    (b,) = of(tape, tape and replace(tape, layers=1))[:1]
    spread = 0.05 * 0.2034 * 0.52 / 0.48
    assert b.in_time == pytest.approx(0.6 * 22 * 2**0.5 * 0.25 * spread) and 0.050 < b.in_time < 0.053
    assert b.each == pytest.approx(0.060) and b.used < b.in_time and b.instead == ("slow", False)
    fine = of(tape, shop=Shop(scale=0.0001))[0]
    assert fine.each < 0.060 and fine.instead is None
    warm = of(tape, shop=Shop(temperature=33.0, hardener="slow"))[0]
    assert warm.instead == ("slow", True)  # no slower hardener: a tray


def test_refused_only_where_even_slow_hardener_in_a_tray_is_too_quick():
    """At 55 C slow lasts 40 / 8 = 5 min, 12.5 in a tray; 60 g of that tape take 22 min."""
    tape = Run("sheer", "tape", cloth="glass tape 6 oz/yd2", width=0.05)
    hot, cooler = of(tape, shop=Shop(temperature=55.0))[0], of(tape, shop=Shop(temperature=45.0))[0]
    assert hot.refused and hot.count == 0 and not cooler.refused and cooler.count > 0
    assert not of(Skin("hull outside", GLASS), shop=Shop(temperature=55.0))[0].refused


def test_a_cold_shop_is_refused_in_words():
    skin = Skin("hull outside", GLASS)
    assert of(skin, shop=Shop(temperature=12.0))
    with pytest.raises(
        BatchError, match=r"\[shop\] temperature = 11.9 C: must be 12 C or more.*Warm the shop"
    ):
        of(skin, shop=Shop(temperature=11.9))


def test_the_cans_own_data_come_first():
    """5:1 at 1.10 and 1.00: 5.5 to 1 by weight; 30 min of the shop's slow hardener, so medium 30 x 22 / 40
    = 16.5."""
    can = ShopMaterial(
        "can", "resin", ratio=5.0, resin_density=1100.0, hardener_density=1000.0, pot_life=30 * 60.0
    )
    skin = Skin("hull outside", GLASS, resin="can")
    b = of(skin, shop=Shop(25.0, hardener="slow"), materials=(can,))[0]
    assert b.resin / b.hardener == pytest.approx(5.5) and b.resin_volume / b.hardener_volume == pytest.approx(
        5
    )
    assert b.pot == pytest.approx(30)
    assert library((can,), "slow").resin("can").mix.pot == pytest.approx((9.0, 16.5, 30.0))
    half = ShopMaterial("half said", "resin", ratio=3.0)
    assert library((half,)).resin("half said").mix.pot == EPOXY.pot


def test_a_bulkhead_of_cloth_is_wetted_too_and_wood_glue_is_not_mixed():
    boat = replace(decked_box(), bulkheads=(Bulkhead(1.5, 0.0, cloth=GLASS, layers=2),))
    weight = weigh(boat, box())
    found = batches(boat, weight).batches
    assert sum(b.job.line.region == "bulkheads" for b in found) == 1
    assert any(x.kind == "edge glue" for x in weight.lines) and not any(
        b.job.line.kind == "edge glue" for b in found
    )


# ---------------------------------------------------------------- the keys of boat.toml


def folder(tmp_path: Path, more: str) -> Path:
    made = tmp_path / "boat"
    write_new(made)
    file = made / "boat.toml"
    file.write_text(file.read_text(encoding="utf-8") + "\n" + more, encoding="utf-8")
    return made


def test_the_shop_is_read_in_either_unit(tmp_path):
    boat = read_boat(
        folder(tmp_path, '[shop]\ntemperature = "65 F"\nhands = 2\nscale = "0.1 g"\nhardener = "slow"\n')
    )
    assert boat.shop == Shop(pytest.approx((65 - 32) / 1.8), 2, pytest.approx(0.0001), "slow")
    assert study.batches(study.craft_of(boat)).shop == boat.shop


def test_the_can_is_read(tmp_path):
    can = (
        '[[material]]\nname = "shed epoxy"\nkind = "resin"\nratio = "5 : 1"\nresin_density = "1.10'
        ' kg/l"\npot_life = "30 min"\n'
    )
    (found,) = read_boat(folder(tmp_path, can)).materials
    assert (found.ratio, found.resin_density, found.pot_life) == (5.0, pytest.approx(1100), 1800)


@pytest.mark.parametrize(
    ("key", "value", "printed"),
    [
        ("temperature", '"18"', 'must be a temperature with its unit, "18 C" or "65 F"'),
        ("temperature", "18", "must be a temperature with its unit"),
        ("temperature", '"180 C"', "must be from -40 C to 60 C"),
        ("hands", "3", "must be at most 2"),
        ("scale", '"1 kg"', "must be at most 0.01 kg"),
        ("hardener", '"quick"', "must be fast, medium or slow"),
    ],
)
def test_what_a_shop_cannot_be(tmp_path, key, value, printed):
    with pytest.raises(BoatFileError) as error:
        read_boat(folder(tmp_path, f"[shop]\n{key} = {value}\n"))
    assert printed in str(error.value) and f"shop.{key}" in str(error.value)


@pytest.mark.parametrize("value", ['"2"', '"2:0"', '"30:1"', "2", '"two to one"'])
def test_what_a_ratio_cannot_be(tmp_path, value):
    can = f'[[material]]\nname = "can"\nkind = "resin"\nratio = {value}\n'
    with pytest.raises(BoatFileError, match="parts of resin to parts of hardener"):
        read_boat(folder(tmp_path, can))
