"""The material lists: every row within what the stuff can be, with its source; names found or helped with;
the shop's own."""

import pytest

from hullview.boat.model import ShopMaterial
from hullview.materials import MaterialError, board_sizes, library, people, rows

FILES = ("woods.csv", "cloths.csv", "resins.csv", "coatings.csv", "people.csv", "boards.csv")
US_GALLON, FT2, OZ_YD2 = 3.785411784e-3, 0.09290304, 0.0283495231 / 0.83612736


@pytest.mark.parametrize("file", FILES)
def test_every_row_names_its_source_and_has_no_twin(file):
    table = rows(file)
    names = [r.get("name") or r.get("quantity") or (r["dimension"], r["metric_mm"]) for r in table]
    assert len(set(names)) == len(names)
    words = ("seen", "from memory", "common practice, no source")
    assert all(any(w in r["source"] for w in words) for r in table), [r for r in table if not r["source"]]


@pytest.mark.parametrize("wood", library().woods.values(), ids=lambda w: w.name)
def test_woods_are_wood(wood):
    low, likely, high = wood.density
    assert 150 < low < likely < high < 1100
    assert 1.05 < likely / low < 1.2 and 1.05 < high / likely < 1.25
    assert 30e6 < wood.bending_strength < 150e6 and 4e9 < wood.bending_stiffness < 16e9
    assert 0.005 < wood.breaking_strain < 0.011


@pytest.mark.parametrize(
    ("asked", "found"),
    [
        ("Cypress", "baldcypress"),
        ("bald cypress", "baldcypress"),
        ("African mahogany", "khaya"),
        ("khaya", "khaya"),
        ("Spanish cedar", "Spanish cedar"),
        ("yellow cedar", "Alaska-cedar"),
        ("White Spruce", "white spruce"),
    ],
)
def test_woods_are_found_by_what_shops_call_them(asked, found):
    assert library().wood(asked).name == found
    assert library().names("wood").count(found) == 1
    assert [m.name for _, m in library().search(asked)].count(found) == 1


def test_no_two_woods_have_a_name_in_common():
    names = [n.lower() for r in rows("woods.csv") for n in (r["name"], *filter(None, r["also"].split("; ")))]
    assert len(set(names)) == len(names)


def test_cloth_by_the_ounce_comes_in_rolls_of_38_50_and_60_inches():
    """Usual roll first; 5 oz is 5 x 33.90575 g/m2."""
    five = library().cloth("plain glass 5 oz/yd2")
    assert five.areal[1] == pytest.approx(5 * OZ_YD2, rel=1e-3)
    for name in ("4", "5", "6", "7.5", "10"):
        cloth = library().cloth(f"plain glass {name} oz/yd2")
        assert sorted((cloth.roll_width, *cloth.other_rolls)) == pytest.approx(
            [38 * 0.0254, 50 * 0.0254, 60 * 0.0254]
        )


def test_boards_are_less_than_they_are_called():
    """Dressed widths of the trade: 4, 6, 8, 10 in nominal are 3-1/2, 5-1/2, 7-1/4, 9-1/4 in, within half a
    mm of what metric shops sell."""
    sizes = board_sizes()
    assert [s.imperial / 0.0254 for s in sizes["width"]] == pytest.approx([3.5, 5.5, 7.25, 9.25])
    for kind in ("width", "thickness"):
        assert all(abs(s.metre - s.imperial) < 0.0006 for s in sizes[kind])
    assert [s.metre for s in sizes["length"]] == pytest.approx([2.4, 3.0, 3.6, 4.2, 4.8])
    assert [s.imperial / 0.3048 for s in sizes["length"]] == pytest.approx([8, 10, 12, 14, 16])


def test_density_from_specific_gravity():
    """FPL Wood Handbook GTR-190: G 0.40 at 12 % is 448 kg/m3; the rows that say `1000 x G x 1.12` agree
    with it."""

    def wood_density(gravity: float, moisture: float) -> float:
        return 1000.0 * gravity * (1.0 + moisture / 100.0)

    assert wood_density(0.40, 12) == pytest.approx(448)
    worked = [r for r in rows("woods.csv") if r["note"].startswith("1000 x ")]
    assert len(worked) >= 14
    for r in worked:
        gravity = float(r["note"].split()[2])
        assert float(r["density_kg_m3"]) == pytest.approx(wood_density(gravity, 12), abs=0.7), r["name"]


@pytest.mark.parametrize("cloth", library().cloths.values(), ids=lambda c: c.name)
def test_cloths_weigh_what_their_name_says(cloth):
    number, unit = cloth.name.split()[-2:]
    printed = float(number) * (OZ_YD2 if unit == "oz/yd2" else 1e-3)
    assert cloth.areal[1] == pytest.approx(printed, rel=1e-3)
    assert 0.05 < cloth.areal[0] < cloth.areal[1] < cloth.areal[2] < 0.5
    assert {"E-glass": 2540, "S-glass": 2480, "carbon": 1780, "aramid": 1440}[
        cloth.fibre
    ] == cloth.fibre_density
    assert 0.35 < cloth.fibre_share[0] < cloth.fibre_share[1] < cloth.fibre_share[2] < 0.6


def test_wet_out_and_fill_against_the_published_rule():
    """US gal = ft2 (oz/yd2 x 0.00085 + 0.0075) for wet-out and three rolled fill coats, about 15 % waste
    in it."""
    epoxy, cloth = library().resin("epoxy"), library().cloth("plain glass 6 oz/yd2")
    per_area = US_GALLON * epoxy.mixed_density / FT2 / 1.15
    assert epoxy.fill[1] == pytest.approx(0.0075 * per_area / 3, rel=0.01)
    assert epoxy.fill[1] == pytest.approx(0.098)
    low, _, high = (cloth.areal[1] * r for r in cloth.resin_ratio)
    rule = 6 * 0.00085 * per_area
    assert low * 0.95 < rule < high


def test_ply_thickness_by_both_densities():
    """t = w (1/rho_f + (1 - psi)/(psi rho_r)) by hand for 6 oz/yd2 at psi 0.48 and 1150 kg/m3."""
    w = 6 * OZ_YD2
    by_hand = w / 2540 + w * (0.52 / 0.48) / 1150
    assert library().cloth("plain glass 6 oz/yd2").ply_thickness(1150) == pytest.approx(by_hand, rel=1e-3)


@pytest.mark.parametrize("r", library().resins.values(), ids=lambda r: r.name)
def test_resins_are_resin(r):
    assert 1000 <= r.cured_density[0] < r.cured_density[1] < r.cured_density[2] <= 1350
    assert 0.00003 < r.glue_line[0] < r.glue_line[1] < r.glue_line[2] < 0.001
    for steps in (r.seal, r.fill, r.fill_sanded):
        assert steps == (0, 0, 0) or 0 < steps[0] < steps[1] < steps[2]


@pytest.mark.parametrize("c", library().coatings.values(), ids=lambda c: c.name)
def test_coatings_dry_to_less_than_they_were(c):
    assert 0.01 < c.dry[0] < c.dry[1] < c.dry[2] < 0.1 and c.wet >= c.dry[1]


def test_people_are_within_a_body():
    table = people()
    assert all(p.range[0] < p.range[1] < p.range[2] for p in table.values())
    assert table["centre above the seat, legs forward"].range == (0.23, 0.26, 0.30)
    assert table["crew mass"].range[1] == 75


def test_names_are_found_however_they_are_written_or_a_hint_is_given():
    assert library().wood("Western Red-Cedar").name == "western redcedar"
    with pytest.raises(MaterialError, match="Did you mean 'white ash'"):
        library().wood("wite ash")
    with pytest.raises(MaterialError, match=r"unknown cloth 'plain glass 6'.*plain glass"):
        library().cloth("plain glass 6")
    with pytest.raises(MaterialError, match="must be wood, cloth, resin or coating"):
        library().names("stone")
    assert {n for _, m in library().search("aramid") for n in [m.name]} == {"plain aramid 170 g/m2"}


def test_the_shops_own():
    own = (
        ShopMaterial("shed cedar", "wood", density=352.0, source="strip weighed", price=9.0, price_per="m"),
        ShopMaterial("Western redcedar", "wood", density=400.0),
        ShopMaterial("heavy glass", "cloth", areal=0.3, roll_width=1.2),
        ShopMaterial("slow epoxy", "resin", density=1120.0, packs=(1.5, 6.0)),
        ShopMaterial("yacht varnish", "coating", like="varnish", price=30.0),
    )
    lib = library(own)
    cedar = lib.wood("Shed Cedar")
    assert cedar.density == pytest.approx((334.4, 352, 369.6)) and cedar.price == 9.0
    assert cedar.bending_strength == library().wood("western redcedar").bending_strength
    assert (
        lib.wood("western redcedar").density[1] == 400
        and library().wood("western redcedar").density[1] == 358
    )
    assert lib.cloth("heavy glass").areal == pytest.approx((0.291, 0.3, 0.309))
    assert lib.resin("slow epoxy").packs == (1.5, 6.0) and lib.resin("slow epoxy").mixed_density == 1120
    assert lib.coating("yacht varnish").dry == library().coating("varnish").dry
    with pytest.raises(MaterialError, match="needs its density"):
        library((ShopMaterial("mystery", "wood"),))
    with pytest.raises(MaterialError, match="Did you mean 'white oak'"):
        library((ShopMaterial("mystery", "wood", like="wite oak"),))


def test_a_word_is_looked_for_within_words():
    """ "no source" before "dry film" once gave varnish to who asked for cedr; no word runs on from one
    name into the next."""
    lib = library()
    assert "varnish" not in {m.name for _, m in lib.search("cedr")} and lib.search("cedarwestern") == ()
    found = {m.name for _, m in lib.search("Red-Cedar")}
    assert "western redcedar" in found and "varnish" not in found
    assert {kind for kind, _ in lib.search("resin") if kind == "resin"} == {"resin"}
