"""The order: strips and boards by count, cloth against the girth, resin in packs, all on hulls whose girths are known."""

import shutil
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from weight_boats import decked_box
from weight_hulls import box, half_cylinder

from hullview import study
from hullview.boat.model import (
    Boat,
    Build,
    Consumable,
    HullForm,
    Order,
    Piece,
    Planking,
    Run,
    Schedule,
    ShopMaterial,
    Skin,
)
from hullview.boat.reader import read_boat
from hullview.materials import library
from hullview.shape.assemble import build_hull
from hullview.shape.hull import SurfaceGrid
from hullview.show.compare import compare_text
from hullview.weight.buy import buy
from hullview.weight.order_cloth import nested
from hullview.weight.order_resin import packs_for
from hullview.weight.total import weigh

MODELS = Path(__file__).parents[1] / "models"
RADIUS, LENGTH = 0.4, 4.0
PLANK = Planking("hull", "western redcedar", 0.00635, strip_width=0.01905)


def trough():
    """A half cylinder 4 m long of radius 0.4 m, with its grid and nine stations."""
    h = half_cylinder(LENGTH, RADIUS, x0=0.0)
    a = np.linspace(0, np.pi / 2, 49)
    x = np.linspace(0, LENGTH, 41)
    normals = np.array([[[0.0, np.sin(t), -np.cos(t)] for _ in x] for t in a])
    points = RADIUS * normals + np.array([[[v, 0.0, RADIUS] for v in x] for _ in a])
    stations = tuple(np.linspace(0, LENGTH, 9))
    return replace(
        h, side=SurfaceGrid(points, normals), stations=stations, station_names=tuple(str(i) for i in range(9))
    )


def order(*parts, hull=None, **more):
    by = {Planking: "planking", Skin: "skins", Run: "runs", Piece: "pieces"}
    made: dict[str, tuple] = dict.fromkeys(by.values(), ())
    for p in parts:
        made[by[type(p)]] += (p,)
    boat = Boat("trough", HullForm("open", "outside"), builds=(Build("only", Schedule(**made)),), **more)
    hull = hull or trough()
    return buy(boat, hull, weigh(boat, hull))


def line(shopping, group, words=""):
    found = [x for x in shopping.lines if x.group == group and words in x.item]
    assert len(found) == 1, [x.item for x in shopping.lines]
    return found[0]


def test_strips_by_count_and_running_length():
    """Half girth pi R / 2 over a face of 5/6 of 3/4 in, rounded up, twice; running length by the area over the face."""
    strips = line(order(PLANK), "strips")
    face = 0.01905 * 5 / 6
    count = 2 * int(np.ceil(np.pi * RADIUS / 2 / face))
    assert strips.detail.startswith(f"{count} strips") and count == 80
    area = np.pi * LENGTH * (RADIUS - 0.00555 / 2)
    assert strips.use == pytest.approx(area / face, rel=1e-3)
    assert strips.waste == pytest.approx(0.18 * strips.use) and "18%" in strips.waste_note
    stock = LENGTH + 0.10
    assert strips.buy == pytest.approx(np.ceil(strips.need / stock) * stock) and strips.buy >= strips.need


def test_square_edges_cover_their_whole_width():
    square = line(order(replace(PLANK, edge="square")), "strips")
    assert square.use == pytest.approx(line(order(PLANK), "strips").use * 5 / 6, rel=1e-9)


def test_short_stock_is_scarfed_or_butted():
    strips = {
        j: line(order(PLANK, order=Order(stock_length=2.4, joint=j)), "strips") for j in ("scarf", "butt")
    }
    scarfs = 80 * LENGTH / 2.4 * 8 * 0.00635  # eight thicknesses at each joint of the eighty strips
    assert strips["scarf"].waste - strips["butt"].waste == pytest.approx(scarfs)
    assert "scarfed (the longest is 4.00 m)" in strips["scarf"].detail and "butted" in strips["butt"].detail


def test_boards_from_strip_and_kerf():
    """A 150 mm board gives (150 + 3.175) / (6.35 + 3.175) = 16 strips with a kerf of 1/8 in."""
    shopping = order(PLANK, order=Order(kerf=0.003175))
    strips, boards = line(shopping, "strips"), line(shopping, "boards")
    lengths = round(strips.buy / (LENGTH + 0.1))
    assert "16 strips from each" in boards.detail
    assert boards.buy == pytest.approx(np.ceil(lengths / 16) * (LENGTH + 0.1))


def test_waste_is_settable():
    more = order(
        PLANK, Skin("hull outside", "plain glass 6 oz/yd2"), order=Order(strip_waste=0.5, resin_waste=0.0)
    )
    assert line(more, "strips").waste == pytest.approx(0.5 * line(more, "strips").use)
    assert line(more, "resin").waste == 0


def test_cloth_against_the_girth_of_each_station():
    """Girth pi R = 1.257 m and 50 mm over each edge against a roll of 1.27 m: 87 mm short, so two widths."""
    shopping = order(PLANK, Skin("hull outside", "plain glass 6 oz/yd2"))
    cut = shopping.cuts[0]
    assert (
        all(s.girth == pytest.approx(np.pi * RADIUS, rel=1e-3) for s in cut.stations)
        and len(cut.stations) == 7
    )
    assert cut.stations[3].shortfall == pytest.approx(np.pi * RADIUS + 0.10 - 1.27, abs=1e-3)
    assert cut.pieces == 1 and len(shopping.cuts) == 2 and cut.length == pytest.approx(LENGTH + 0.10)
    cloth = line(shopping, "cloth")
    assert "8.2 m off the roll in 2 lengths" in cloth.detail
    assert cloth.use == pytest.approx(
        np.pi * RADIUS * LENGTH, rel=1e-3
    ) and cloth.use + cloth.waste == pytest.approx(cloth.buy)
    narrow = order(PLANK, Skin("hull outside", "plain glass 6 oz/yd2", girth=0.25)).cuts[0]
    assert narrow.pieces == 1 and narrow.width == pytest.approx(0.60) and narrow.stations[0].shortfall == 0


def test_a_wide_skin_is_a_full_width_and_a_strip_beside_it():
    """Girth pi R = 1.257 m and 50 mm of overhang a side want 1.357 m: a full 1.27 m and, lapped 50 mm, 0.137 m beside it."""
    glass = "plain glass 6 oz/yd2"
    cuts = order(PLANK, Skin("hull outside", glass)).cuts
    full, strip = cuts
    assert full.pieces == strip.pieces == 1 and full.width == 1.27
    assert strip.width == pytest.approx(np.pi * RADIUS + 0.10 - 1.27 + 0.05, abs=1e-3)
    assert full.width + strip.width - 0.05 == pytest.approx(np.pi * RADIUS + 0.10, abs=1e-3)
    assert "lapped 50 mm" in strip.where and not strip.stations
    # three such skins: each a length, and their strips side by side on one more
    cloth = line(order(PLANK, *(Skin("hull outside", glass) for _ in range(3))), "cloth")
    assert cloth.buy == pytest.approx(4 * (LENGTH + 0.10) * 1.27, rel=0.01) and "in 4 lengths" in cloth.detail


def test_the_strip_beside_a_full_width_is_as_long_as_she_is_wide():
    """An open canoe is wider than the roll amidships only; outside, inside and bottom go on three lengths of the roll."""
    canoe = read_boat(MODELS / "open-canoe")
    hull = build_hull(canoe)
    shopping = buy(canoe, hull, weigh(canoe, hull))
    strips = [c for c in shopping.cuts if "(strip" in c.where]
    girths = shopping.cuts[0].stations
    short = [g.position for g in girths if g.shortfall > 0]
    spacing = np.diff([g.position for g in girths]).max()
    for c in strips:
        assert short[-1] - short[0] < c.length <= short[-1] - short[0] + 2 * spacing + 0.1 + 1e-9 < 4.0
    cloth = line(shopping, "cloth")
    assert cloth.buy / 1.27 == pytest.approx(3 * 4.7, abs=0.15) and cloth.waste < 0.4 * cloth.use


def test_panels_nest_side_by_side():
    shelves = nested([(4.0, 0.6, "a"), (4.0, 0.6, "b"), (3.0, 0.5, "c"), (2.0, 0.7, "d")], 1.27)
    assert [[p[2] for p in s] for s in shelves] == [["a", "b"], ["c", "d"]]
    for s in shelves:
        assert sum(p[1] for p in s) <= 1.27


def test_resin_by_step_with_waste_in_whole_packs():
    skin = Skin("hull outside", "plain glass 6 oz/yd2", fill_coats=2)
    resin = line(order(PLANK, skin, order=Order(resin_packs=(1.5, 6.0))), "resin")
    area = np.pi * RADIUS * LENGTH
    steps = area * (0.080 + 0.2034 * 0.52 / 0.48 + 2 * 0.098)
    assert resin.use == pytest.approx(steps, rel=1e-3) and resin.waste == pytest.approx(
        0.17 * steps, rel=1e-3
    )
    assert resin.buy == 3.0 and "packs 2 x 1.5 kg" in resin.detail
    assert resin.high > resin.need
    for step in ("seal", "wet-out", "fill 1", "fill 2"):
        assert step in resin.detail


def test_packs_never_run_out_nor_leave_a_spare_pack():
    rng = np.random.default_rng(4)
    for need in rng.uniform(0.1, 14, 60):
        bought, _ = packs_for(need, (0.9, 3.0, 7.5))
        assert bought >= need - 1e-9
        assert bought - need < 0.9


def test_flour_by_glue_job():
    h = box()
    boat = decked_box()
    shopping = buy(boat, h, weigh(boat, h))
    light, heavy = line(shopping, "flour", "light"), line(shopping, "flour", "filleting")
    glue = 6.0 * 0.018 * 4 * 0.00025 * 1120
    assert light.use == pytest.approx(glue * 0.10 / 1.10) and "syrup-thin" in light.detail
    fillet = (1 - np.pi / 4) * 0.010**2 * 6.0 * 1120
    assert heavy.use == pytest.approx(fillet * 0.45 / 1.45)


def test_each_resin_is_ordered_by_its_own_name():
    own = ShopMaterial("slow epoxy", "resin", packs=(2.0,), price=20.0, price_per="kg", currency="crowns")
    skins = (
        Skin("hull outside", "plain glass 6 oz/yd2"),
        Skin("hull inside", "plain glass 6 oz/yd2", resin="slow epoxy"),
    )
    shopping = order(PLANK, *skins, materials=(own,))
    slow = line(shopping, "resin", "slow epoxy")
    assert slow.cost == pytest.approx(20.0 * slow.buy) and slow.buy % 2.0 == 0
    assert shopping.costs == {"crowns": slow.cost}
    assert any(x.startswith("epoxy") for x in shopping.unpriced)


def test_prices_by_whatever_they_are_per():
    own = (
        ShopMaterial("cedar", "wood", density=350.0, price=1.2, price_per="m", currency="crowns"),
        ShopMaterial(
            "glass", "cloth", areal=0.2, price=9.0, price_per="m", roll_width=1.5, currency="crowns"
        ),
    )
    shopping = order(replace(PLANK, wood="cedar"), Skin("hull outside", "glass"), materials=own)
    strips, cloth = line(shopping, "strips"), line(shopping, "cloth")
    assert strips.cost == pytest.approx(1.2 * strips.buy) and line(shopping, "boards").cost is None
    assert cloth.cost == pytest.approx(9.0 * cloth.buy / 1.5) and "in 1 length" in cloth.detail


STICK = Run("sheer", "lamination", wood="stuff", plies=3, ply_thickness=0.006, depth=0.02, side="outside")
SEAT = Piece("seat", (2.0, 0, 0.1), wood="stuff", size=(0.3, 0.25, 0.02), count=3)
SHEET_PLANK = Planking("hull", "stuff", 0.006, kind="sheet")


@pytest.mark.parametrize(
    ("part", "kind", "group", "per", "amount"),
    [
        (STICK, "wood", "sticks", "m", lambda x: x.buy),
        (STICK, "wood", "sticks", "m3", lambda x: x.buy * 0.006 * 0.02),
        (STICK, "wood", "sticks", "kg", lambda x: x.buy * 0.006 * 0.02 * 500),
        (SEAT, "wood", "pieces", "m3", lambda x: 3 * 0.3 * 0.25 * 0.02),
        (SEAT, "wood", "pieces", "kg", lambda x: 3 * 0.3 * 0.25 * 0.02 * 500),
        (SEAT, "wood", "pieces", "each", lambda x: 3),
        (SHEET_PLANK, "wood", "sheets", "m2", lambda x: x.buy),
        (SHEET_PLANK, "wood", "sheets", "sheet", lambda x: np.ceil(x.buy / (2.44 * 1.22))),
        (replace(PLANK, wood="stuff"), "wood", "strips", "m3", lambda x: x.buy * 0.00635 * 0.01905),
        (replace(PLANK, wood="stuff"), "wood", "strips", "kg", lambda x: x.buy * 0.00635 * 0.01905 * 500),
        (replace(PLANK, wood="stuff"), "wood", "strips", "strip", lambda x: round(x.buy / 4.1)),
        (replace(PLANK, wood="stuff"), "wood", "boards", "board", lambda x: round(x.buy / 4.1)),
        (Skin("hull outside", "stuff"), "cloth", "cloth", "m2", lambda x: x.buy),
        (Skin("hull outside", "stuff"), "cloth", "cloth", "kg", lambda x: x.buy * 0.2),
        (Run("keel", "tape", cloth="stuff", width=0.075, layers=2), "cloth", "tape", "m", lambda x: x.buy),
        (
            Run("keel", "tape", cloth="stuff", width=0.075, layers=2),
            "cloth",
            "tape",
            "m2",
            lambda x: x.buy * 0.075,
        ),
        (
            Run("keel", "tape", cloth="stuff", width=0.075, layers=2),
            "cloth",
            "tape",
            "kg",
            lambda x: x.buy * 0.075 * 0.2,
        ),
        (Skin("hull outside", coating="stuff", coats=2), "coating", "coating", "kg", lambda x: x.buy),
        (
            Skin("hull outside", "plain glass 4 oz/yd2", resin="stuff"),
            "resin",
            "resin",
            "l",
            lambda x: x.buy / 1.1,
        ),
    ],
)
def test_what_a_price_is_per(part, kind, group, per, amount):
    own = ShopMaterial(
        "stuff",
        kind,
        density={"wood": 500.0, "resin": 1100.0}.get(kind),
        areal={"cloth": 0.2}.get(kind),
        price=7.0,
        price_per=per,
    )
    found = line(
        order(part, materials=(replace(own, like={"coating": "varnish", "resin": "epoxy"}.get(kind)),)), group
    )
    assert found.cost == pytest.approx(7.0 * amount(found), rel=1e-9)


def test_sticks_sheets_tape_coatings_pieces_and_the_shops_own_list():
    shopping = order(
        Planking("hull", "okoume plywood", 0.006, kind="sheet"),
        Run(
            "sheer", "lamination", wood="white ash", plies=3, ply_thickness=0.006, depth=0.02, side="outside"
        ),
        Run("keel", "tape", cloth="glass tape 9 oz/yd2", width=0.075, layers=2),
        Skin("hull inside", coating="varnish", coats=3),
        Piece("seat", (2.0, 0, 0.1), mass=1.0),
        consumables=(Consumable("gloves", "2 boxes", price=12.0),),
    )
    sticks = line(shopping, "sticks")
    assert (
        sticks.use == pytest.approx(3 * 8.0) and sticks.detail == "6 of 4.10 m" and sticks.buy >= sticks.need
    )
    tape = line(shopping, "tape")
    assert tape.use == pytest.approx(8.0) and tape.buy == 8.5 and tape.detail == "2 layers"
    assert (
        line(order(Run("keel", "tape", cloth="glass tape 9 oz/yd2", width=0.075)), "tape").detail == "1 layer"
    )
    varnish = line(shopping, "coating")
    assert varnish.use == pytest.approx(3 * 0.080 * np.pi * (RADIUS - 0.0052) * LENGTH, rel=1e-3)
    sheet = line(shopping, "sheets")
    assert (
        sheet.use == pytest.approx(np.pi * (RADIUS - 0.0026) * LENGTH, rel=1e-3)
        and "2.25 sheets" in sheet.detail
    )
    assert line(shopping, "pieces").buy == 1 and line(shopping, "consumables").cost == 24.0


def test_sheets_shorter_than_her_sides_are_joined():
    """4.0 m of side from 2.44 m sheets: one scarf of 8 x 9 mm in each, or a butt; a side of 2.4 m needs none."""
    ply = Planking("hull", "okoume plywood", 0.009, kind="sheet")
    scarfed, butted = (line(order(ply, order=Order(joint=j)), "sheets").detail for j in ("scarf", "butt"))
    assert (
        "panels of 4.00 m are longer than a sheet: 1 scarf of 72 mm" in scarfed
        and "1 butt, each with a block" in butted
    )
    assert "2 scarfs" in line(order(ply, hull=half_cylinder(5.0, RADIUS)), "sheets").detail
    assert "scarf" not in line(order(ply, hull=half_cylinder(2.4, RADIUS)), "sheets").detail


def test_bought_is_left_and_sanded_and_wasted():
    shopping = order(PLANK, Skin("hull outside", "plain glass 6 oz/yd2", fill_coats=2))
    for u in shopping.usage:
        assert u.bought == pytest.approx(u.left + u.sanded + u.wasted)
    wood = next(u for u in shopping.usage if u.step == "planking")
    assert wood.sanded / (wood.left + wood.sanded) == pytest.approx(0.0008 / 0.00635, rel=0.02)
    fill = next(u for u in shopping.usage if u.step == "fill 2")
    assert fill.sanded > 0 and fill.wasted == pytest.approx(0.17 * (fill.left + fill.sanded))


def test_a_hull_from_a_mesh_has_no_grid_but_is_ordered_all_the_same():
    shopping = order(
        PLANK, Skin("hull outside", "plain glass 6 oz/yd2"), hull=half_cylinder(LENGTH, RADIUS, x0=0.0)
    )
    strips = line(shopping, "strips")
    assert strips.use == pytest.approx(line(order(PLANK), "strips").use)
    assert line(shopping, "cloth").buy >= line(shopping, "cloth").use


def test_compare_and_buy_tell_what_the_shop_gave_prices_for(tmp_path):
    """A folder with a price a metre of cedar and a kilogram of resin: the builds differ by the clamp's wood and by the resin, and by hours."""
    folder = tmp_path / "priced"
    shutil.copytree(MODELS / "short-kayak", folder)
    entry = '[[material]]\nname = "{0}"\nkind = "{1}"\nlike = "{0}"\nprice = {2}\nprice_per = "{3}"\ncurrency = "crowns"\n'
    with (folder / "boat.toml").open("a") as file:
        file.write(
            "\n"
            + entry.format("western redcedar", "wood", 2.5, "m")
            + "\n"
            + entry.format("epoxy", "resin", 20, "kg")
        )
    boat = read_boat(folder)
    compared, sides = study.compared([(boat, ())])
    for side in sides:
        shopping = buy(boat, side.craft.hull, side.craft.weight)
        cedar = sum(x.buy for x in shopping.lines if "redcedar" in x.item and x.group != "boards")
        resin = sum(x.buy for x in shopping.lines if x.group == "resin")
        assert (
            shopping.costs == pytest.approx({"crowns": 2.5 * cedar + 20 * resin})
            and side.costs == shopping.costs
        )
        assert "white ash 2 x 20 mm, coaming rim" in shopping.unpriced and not any(
            "redcedar" in x for x in shopping.unpriced
        )
        assert f"{side.costs['crowns']:.2f} crowns" in compare_text(compared, sides)
    assert sides[0].costs != sides[1].costs and sides[0].hours - sides[1].hours == 12
    assert "cost" not in compare_text(*study.compared([(read_boat(MODELS / "short-kayak"), ())]))


def test_packs_are_told_the_largest_first():
    assert packs_for(13.0, (1.5, 6.0)) == (13.5, "2 x 6 kg and 1 x 1.5 kg")


@pytest.mark.parametrize(
    ("roll", "overlap", "laps"),
    [(1.27, 0.0, 0), (1.27, 0.02, 1), (1.0, 0.0, 1), (0.5, 0.0, 2), (0.04, 0.0, 61)],
)
def test_cloth_lies_double_where_widths_lap(roll, overlap, laps):
    """Girth pi R = 1.257 m: each width past the first laps the one before by 50 mm over her whole length, on the scale as in the order;
    a width of 40 mm, which once was counted for ever, laps by half."""
    lap = min(0.05, roll / 2)
    shop = ShopMaterial("shop glass", "cloth", areal=0.2, roll_width=roll)
    skin = Skin("hull outside", "shop glass", overlap=overlap)
    boat = Boat(
        "trough",
        HullForm("open", "outside"),
        builds=(Build("only", Schedule((PLANK,), (skin,))),),
        materials=(shop,),
    )
    hull = trough()
    found = weigh(boat, hull)
    cloth = next(x for x in found.lines if x.group == "cloth")
    wet = next(x for x in found.lines if "wet-out" in x.item)
    ratio = library(boat.materials).cloth("shop glass").resin_ratio[1]
    assert cloth.mass == pytest.approx(0.2 * (cloth.quantity + laps * lap * LENGTH), rel=0.005)
    assert wet.mass == pytest.approx(cloth.mass * ratio, rel=1e-9)
    assert line(buy(boat, hull, found), "cloth").use == pytest.approx(
        cloth.quantity + laps * lap * LENGTH, rel=1e-9
    )
