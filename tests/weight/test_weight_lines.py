"""Every kind of line by hand: a box of panels, a half cylinder, straight clamps, rings, fillets in true
angles, pieces."""

from dataclasses import replace

import numpy as np
import pytest
from weight_boats import decked_box
from weight_hulls import box, half_cylinder

from hullview.boat.model import (
    Appendage,
    Boat,
    Build,
    Bulkhead,
    HullForm,
    Piece,
    Planking,
    Run,
    Schedule,
    Skin,
)
from hullview.boat.usual import usual_items
from hullview.materials import library
from hullview.shape.hull import NamedLine
from hullview.weight.lengths import fillet_section
from hullview.weight.line import ScheduleError
from hullview.weight.total import Weight, weigh

LIB = library()
CEDAR, ASH, SPRUCE = (LIB.wood(n).density[1] for n in ("western redcedar", "white ash", "Sitka spruce"))
EPOXY = LIB.resin("epoxy")
LENGTH, BEAM, DEPTH = 3.0, 0.6, 0.4
OUT, IN = 0.0005, 0.0003


ALL = tuple(u.item for u in usual_items())
"""`without` all of which nothing is allowed for beside the schedule."""


def boat(*parts: object, decked: bool = True, **more: object) -> Boat:
    by = {Planking: "planking", Skin: "skins", Run: "runs", Piece: "pieces"}
    made: dict[str, tuple] = dict.fromkeys(by.values(), ())
    for p in parts:
        made[by[type(p)]] += (p,)
    form = HullForm("decked" if decked else "open", "outside")
    return Boat("box", form, builds=(Build("only", Schedule(**made)),), **more)  # type: ignore[arg-type]


def line(w: Weight, item: str, where: str = ""):
    found = [x for x in w.lines if item in x.item and where in x.where]
    assert len(found) == 1, [x.item for x in w.lines]
    return found[0]


def wood_left(length: float, beam: float, depth: float, t: float) -> float:
    """Wood of an open box of outside sizes, walls of thickness t: the box less its inside."""
    return length * beam * depth - (length - 2 * t) * (beam - 2 * t) * (depth - t)


# ---------------------------------------------------------------- planking


def test_planking_of_an_open_box():
    t = 0.00635
    w = weigh(
        boat(Planking("hull", "western redcedar", t), decked=False), box(LENGTH, BEAM, DEPTH, decked=False)
    )
    wood = line(w, "strip planking")
    assert wood.mass == pytest.approx(CEDAR * wood_left(LENGTH, BEAM, DEPTH, t - OUT - IN), rel=2e-4)
    outside = LENGTH * BEAM + 2 * (LENGTH + BEAM) * DEPTH
    f = t - OUT - IN
    inside = (LENGTH - 2 * f) * (BEAM - 2 * f) + 2 * (LENGTH + BEAM - 4 * f) * (DEPTH - f)
    planed = next(s for s in w.steps if s.step == "planking")
    assert planed.sanded == pytest.approx(CEDAR * (outside * OUT + inside * IN), rel=2e-4)
    glue = line(w, "glue between strips")
    face = 0.019 * 5 / 6
    assert glue.mass == pytest.approx((outside + inside) / 2 / face * f * 0.0001 * 1250, rel=1e-3)


def test_planking_of_a_cylinder_shell_and_its_centre():
    """pi (R^2 - (R - t)^2) / 2 times length; the middle line of a half ring of radius r lies 2 r / pi
    under its axis."""
    r, length, t = 0.4, 4.0, 0.012
    plank = Planking("hull", "western redcedar", t, loss_outside=0.0, loss_inside=0.0, kind="sheet")
    w = weigh(boat(plank, decked=False), half_cylinder(length, r))
    wood = line(w, "sheet planking")
    assert wood.mass == pytest.approx(CEDAR * np.pi / 2 * (r**2 - (r - t) ** 2) * length, rel=1e-4)
    assert wood.centre == pytest.approx([-0.5 + length / 2, 0, r - 2 * (r - t / 2) / np.pi], abs=2e-4)
    assert not [x for x in w.lines if "glue" in x.item]


def test_two_unequal_layers_lie_one_inside_the_other():
    r, length = 0.4, 4.0
    layers = [
        Planking("hull", wood, t, kind="sheet", loss_outside=0, loss_inside=0)
        for wood, t in (("white ash", 0.003), ("western redcedar", 0.008))
    ]
    w = weigh(boat(*layers, decked=False), half_cylinder(length, r))
    assert line(w, "white ash").mass == pytest.approx(
        ASH * np.pi / 2 * (r**2 - (r - 0.003) ** 2) * length, rel=1e-4
    )
    inner = np.pi / 2 * ((r - 0.003) ** 2 - (r - 0.011) ** 2) * length
    assert line(w, "western redcedar").mass == pytest.approx(CEDAR * inner, rel=1e-4)


def test_cloth_inside_lies_on_the_innermost_of_three_layers():
    r, length = 0.4, 4.0
    layers = [
        Planking("hull", "western redcedar", t, kind="sheet", loss_outside=0, loss_inside=0)
        for t in (0.004, 0.009, 0.013)
    ]
    w = weigh(
        boat(*layers, Skin("hull inside", "plain glass 4 oz/yd2"), decked=False), half_cylinder(length, r)
    )
    assert line(w, "plain glass").quantity == pytest.approx(np.pi * (r - 0.026) * length, rel=1e-3)


def test_a_band_of_another_wood_takes_the_place_of_the_first():
    """On the box's walls the girth below the sheer is the height under it: 2 (L + B) x 0.1 m of ash, cut
    out of the cedar."""
    flat = {"kind": "sheet", "loss_outside": 0.0, "loss_inside": 0.0}
    whole = weigh(
        boat(Planking("hull", "western redcedar", 0.004, **flat), decked=False), box(decked=False, n=9)
    )
    w = weigh(
        boat(
            Planking("hull", "western redcedar", 0.004, **flat),
            Planking("hull", "white ash", 0.004, band=(0.05, 0.15), **flat),
            decked=False,
        ),
        box(decked=False, n=9),
    )
    band = line(w, "white ash")
    middle = 2 * (3.0 + 0.6 - 4 * 0.002) * 0.1
    assert band.quantity == pytest.approx(middle, rel=2e-3)
    assert band.centre[2] == pytest.approx(0.4 - 0.1, abs=1e-3)
    cedar = line(w, "western redcedar")
    assert cedar.quantity + band.quantity == pytest.approx(whole.lines[0].quantity, rel=1e-9)


def test_lapped_planks_have_more_wood_than_skin():
    plank = Planking(
        "hull",
        "western redcedar",
        0.008,
        kind="lapped",
        strip_width=0.12,
        lap=0.02,
        loss_outside=0,
        loss_inside=0,
    )
    flush = weigh(boat(replace(plank, kind="sheet"), decked=False), box(decked=False))
    lapped = weigh(boat(plank, decked=False), box(decked=False))
    assert lapped.schedule.mass == pytest.approx(flush.schedule.mass * 0.12 / 0.10)
    with pytest.raises(ScheduleError, match="width of the planks"):
        weigh(boat(replace(plank, strip_width=0.03), decked=False), box(decked=False))


# ---------------------------------------------------------------- skins


def test_resin_by_step_on_a_flat_panel():
    """Deck of 3.0 x 0.6 m, two layers of 6 oz/yd2 and three fill coats, no seal coat: each step by hand."""
    w = weigh(
        boat(Skin("deck outside", "plain glass 6 oz/yd2", layers=2, fill_coats=3, seal_coat=False)), box()
    )
    area, cloth = 1.8, 0.2034
    assert line(w, "plain glass").mass == pytest.approx(2 * area * cloth, rel=1e-3)
    assert line(w, "wet-out").mass == pytest.approx(2 * area * cloth * 0.52 / 0.48, rel=1e-3)
    assert line(w, "fill coats").mass == pytest.approx(3 * area * 0.098 * (1 - 0.18), rel=1e-3)
    steps = {s.step: s for s in w.steps}
    assert steps["fill 2"].put_on == pytest.approx(area * 0.098) and steps["fill 2"].sanded == pytest.approx(
        area * 0.098 * 0.18
    )
    assert "seal" not in steps
    assert w.resin == pytest.approx(w.groups["resin"])
    assert w.schedule.centre == pytest.approx([1.7, 0, 0.4])


def test_unequal_and_unsymmetric_skins():
    """Outside and inside differ in cloth, layers, coats; the inside is smaller by the finished planking."""
    t = 0.010
    w = weigh(
        boat(
            Planking("hull", "western redcedar", t, loss_outside=0, loss_inside=0),
            Skin("hull outside", "plain glass 6 oz/yd2", layers=1, fill_coats=3),
            Skin("hull inside", "plain glass 4 oz/yd2", layers=2, fill_coats=1, seal_coat=False),
            decked=False,
        ),
        box(decked=False),
    )
    outside = 3.0 * 0.6 + 2 * 3.6 * 0.4
    inside = (3.0 - 2 * t) * (0.6 - 2 * t) + 2 * (3.6 - 4 * t) * (0.4 - t)
    assert line(w, "plain glass 6").mass == pytest.approx(outside * 0.2034, rel=1e-3)
    assert line(w, "plain glass 4").mass == pytest.approx(2 * inside * 0.1356, rel=1e-3)
    assert line(w, "seal coat").mass == pytest.approx(outside * 0.080, rel=1e-3)
    assert line(w, "fill coat", "inside").mass == pytest.approx(inside * 0.098 * 0.82, rel=1e-3)


def test_bottom_by_height_by_girth_and_by_both():
    h = box(n=13)
    area = {
        key: line(weigh(boat(Skin("bottom", "plain glass 4 oz/yd2", **kw)), h), "plain glass").quantity
        for key, kw in {
            "height": {"below": 0.1},
            "girth": {"girth": 0.2},
            "both": {"below": 0.05, "girth": 0.45},
        }.items()
    }
    assert area["height"] == pytest.approx(3.0 * 0.6 + 2 * 3.6 * 0.1)
    assert area["girth"] == pytest.approx(3.0 * 0.4 + 2 * 0.2**2)  # and a triangle at the foot of each end
    assert area["both"] == pytest.approx(3.0 * 0.6 + 2 * 3.6 * 0.05)


def test_cloth_lapped_past_the_sheer():
    plain = weigh(boat(Skin("hull outside", "plain glass 4 oz/yd2")), box())
    over = weigh(boat(Skin("hull outside", "plain glass 4 oz/yd2", overlap=0.05)), box())
    more = line(over, "plain glass").quantity - line(plain, "plain glass").quantity
    assert more == pytest.approx(2 * 3.0 * 0.05)


def test_coats_of_varnish():
    w = weigh(boat(Skin("deck outside", coating="varnish", coats=5)), box())
    assert w.schedule.mass == pytest.approx(1.8 * 5 * 0.036) and w.lines[0].group == "coating"


# ---------------------------------------------------------------- runs


def test_a_straight_clamp():
    """Four plies of 5 mm by 18 mm along both sheers of a box with 6 mm walls and a 4 mm deck: wood, glue,
    place."""
    skin = [
        Planking(w, "western redcedar", t, loss_outside=0, loss_inside=0)
        for w, t in (("hull", 0.006), ("deck", 0.004))
    ]
    clamp = Run("sheer", "lamination", wood="Sitka spruce", plies=4, ply_thickness=0.005, depth=0.018)
    w = weigh(boat(*skin, clamp), box())
    wood, glue = line(w, "lamination"), line(w, "glue lines")
    assert wood.quantity == pytest.approx(6.0) and wood.mass == pytest.approx(SPRUCE * 0.020 * 0.018 * 6.0)
    assert glue.mass == pytest.approx(6.0 * 0.018 * 4 * 0.00025 * 1120)
    assert wood.centre == pytest.approx([1.7, 0, 0.4 - 0.004 - 0.009])
    assert wood.second[1, 1] == pytest.approx((0.3 - 0.006 - 0.010) ** 2)


def test_an_outwale_with_scuppers_lies_outside_the_sheer():
    rail = Run(
        "sheer",
        "solid",
        wood="white ash",
        thickness=0.019,
        depth=0.022,
        side="outside",
        solid_share=0.7,
        start=0.7,
        end=2.2,
    )
    w = weigh(boat(rail, decked=False), box(decked=False))
    wood = line(w, "solid")
    assert wood.mass == pytest.approx(ASH * 0.019 * 0.022 * 0.7 * 2 * 1.5)
    assert wood.centre == pytest.approx([1.45, 0, 0.4 - 0.011]) and wood.second[1, 1] == pytest.approx(
        0.3095**2
    )


def test_a_clamp_inside_a_round_sheer_is_shorter_than_the_sheer():
    """A quarter circle of radius R in plan: the clamp runs on radius R - planking - half its own
    thickness."""
    r, t = 1.2, 0.006
    a = np.linspace(0, np.pi / 2, 300)
    points = np.column_stack([r * np.sin(a), r * np.cos(a), np.full_like(a, 0.4)])
    normals = np.column_stack([np.sin(a), np.cos(a), np.zeros_like(a)])
    h = box(decked=False)
    h = replace(
        h, lines={**h.lines, "sheer": NamedLine("sheer", points, True, False, normals, np.zeros_like(points))}
    )
    clamp = Run("sheer", "lamination", wood="Sitka spruce", plies=4, ply_thickness=0.005, depth=0.018)
    plank = Planking("hull", "western redcedar", t, loss_outside=0, loss_inside=0)
    w = weigh(boat(plank, clamp, decked=False), h)
    assert line(w, "lamination").quantity == pytest.approx(2 * (r - t - 0.010) * np.pi / 2, rel=1e-5)


def test_a_helical_run_inside_its_cylinder():
    r, pitch = 0.35, 0.6
    a = np.linspace(0, np.pi, 400)
    points = np.column_stack([pitch * a / (2 * np.pi), r * np.sin(a), 0.5 - r * np.cos(a)])
    normals = np.column_stack([np.zeros_like(a), np.sin(a), -np.cos(a)])
    h = box(decked=False)
    h = replace(h, lines={**h.lines, "chine 1": NamedLine("chine 1", points, True, False, normals, normals)})
    rod = Run("chine", "solid", wood="white ash", thickness=0.02, depth=1e-6)
    w = weigh(boat(rod, decked=False), h)
    assert line(w, "solid").quantity == pytest.approx(2 * np.hypot(np.pi * (r - 0.01), pitch / 2), rel=1e-4)


def test_a_ring_round_an_opening():
    a = np.linspace(0, 2 * np.pi, 300, endpoint=False)
    ring = np.column_stack([1.6 + 0.25 * np.cos(a), 0.25 * np.sin(a), np.full_like(a, 0.4)])
    up = np.tile([0.0, 0, 1], (300, 1))
    h = replace(box(), lines={**box().lines, "coaming 1": NamedLine("coaming 1", ring, False, True, up, up)})
    rim = Run(
        "coaming", "lamination", wood="white ash", plies=3, ply_thickness=0.004, depth=0.03, side="outside"
    )
    wood = line(weigh(boat(rim), h), "lamination")
    assert wood.quantity == pytest.approx(2 * np.pi * (0.25 + 0.006), rel=1e-3)
    assert wood.centre == pytest.approx([1.6, 0, 0.4 + 0.015])


@pytest.mark.parametrize("degrees", [60, 90, 120])
def test_a_fillet_takes_the_true_angle(degrees):
    """Section by polygons: the kite between corner and tangent points, less the slice of circle; then
    along a tilted deck."""
    b, r = np.radians(degrees), 0.012
    tangent = r / np.tan(b / 2)
    arc = np.linspace(0, np.pi - b, 2000)
    kite = tangent * r
    slice_ = r * r * 0.5 * np.sum(np.sin(np.diff(arc)))
    assert fillet_section(r, np.array([b]))[0] == pytest.approx(kite - slice_, rel=1e-5)
    h = box()
    sheer = h.lines["sheer"]
    deck = np.tile(
        [0.0, np.sin(np.pi / 2 - (np.pi - b)), np.cos(np.pi / 2 - (np.pi - b))], (len(sheer.points), 1)
    )
    h = replace(h, lines={**h.lines, "sheer": replace(sheer, deck_normals=deck)})
    w = weigh(boat(Run("sheer", "fillet", radius=r)), h)
    assert w.schedule.mass == pytest.approx((kite - slice_) * 6.0 * 1120, rel=1e-5)


def test_no_fillet_where_there_is_one_skin():
    with pytest.raises(ScheduleError, match="only one skin"):
        weigh(boat(Run("sheer", "fillet", radius=0.01), decked=False), box(decked=False))


def test_tape_and_its_resin():
    w = weigh(boat(Run("chine", "tape", cloth="bias glass 9 oz/yd2", width=0.075, layers=2)), box())
    cloth = 6.0 * 0.075 * 2 * 0.3052
    assert line(w, "tape 75 mm").mass == pytest.approx(cloth, rel=1e-3)
    assert line(w, "wet-out of tape").mass == pytest.approx(cloth * 0.54 / 0.46, rel=1e-3)
    assert next(s for s in w.steps if s.step == "seam").left == pytest.approx(cloth * 0.54 / 0.46, rel=1e-3)


def test_glue_line_and_cord():
    w = weigh(
        boat(
            Run("keel", "glue line", depth=0.02, thickness=0.0005), Run("sheer", "cord", mass_per_length=0.03)
        ),
        box(),
    )
    assert line(w, "glue line").mass == pytest.approx(3.0 * 0.02 * 0.0005 * 1120)
    assert line(w, "cord").mass == pytest.approx(6.0 * 0.03)


def test_keel_inside_and_outside_the_bottom():
    plank = Planking("hull", "western redcedar", 0.006, loss_outside=0, loss_inside=0)
    keel = Run("keel", "solid", wood="white ash", thickness=0.02, depth=0.03, side="outside")
    assert line(weigh(boat(plank, keel), box()), "solid").centre[2] == pytest.approx(-0.010)
    inner = replace(keel, side="inside")
    assert line(weigh(boat(plank, inner), box()), "solid").centre[2] == pytest.approx(0.006 + 0.010)


# ---------------------------------------------------------------- pieces


def test_pieces_by_mass_by_wood_and_in_pairs():
    w = weigh(
        boat(
            Piece("seat", (1.6, 0.0, 0.05), mass=0.9),
            Piece("thwart", (2.0, 0.0, 0.3), wood="white ash", size=(0.1, 0.8, 0.018)),
            Piece("knee", (0.5, 0.2, 0.3), mass=0.15, count=2),
        ),
        box(),
    )
    assert [x.where for x in w.lines] == ["1.60 m aft", "2.00 m aft", "0.50 m aft, 200 mm out on both sides"]
    to_port = weigh(boat(Piece("pump", (1.2, -0.05, 0.1), mass=0.5)), box())
    assert to_port.lines[0].where == "1.20 m aft, 50 mm to port" and to_port.lines[0].centre[
        1
    ] == pytest.approx(-0.05)
    assert w.schedule.mass == pytest.approx(0.9 + ASH * 0.1 * 0.8 * 0.018 + 0.3)
    knees = line(w, "knee (2)")
    assert (
        knees.mass == pytest.approx(0.3)
        and knees.centre == pytest.approx([0.5, 0, 0.3])
        and knees.second[1, 1] == pytest.approx(0.04)
    )
    moment = sum(x.mass * x.centre for x in w.lines)
    assert w.schedule.centre == pytest.approx(moment / w.schedule.mass)


def test_inertia_of_one_solid_piece_by_formula():
    a, b, c = 0.9, 0.24, 0.05
    w = weigh(boat(Piece("block", (1.1, 0.0, 0.3), wood="white ash", size=(a, b, c))), box())
    m = ASH * a * b * c
    assert np.diag(w.schedule.inertia) == pytest.approx(
        m / 12 * np.array([b * b + c * c, a * a + c * c, a * a + b * b])
    )
    alone = weigh(boat(Piece("block", (1.1, 0.0, 0.3), wood="white ash", size=(a, b, c)), without=ALL), box())
    assert alone.gyradii[2] == pytest.approx(np.sqrt((a * a + b * b) / 12))


def test_inertia_of_a_plate_and_a_piece_off_it():
    """A deck 3.0 x 0.6 m with a weight on one end: parallel axes by hand."""
    w = weigh(
        boat(Skin("deck outside", coating="varnish", coats=10), Piece("lead", (0.2, 0.0, 0.4), mass=2.0)),
        box(),
    )
    m, end = 1.8 * 0.36, 1.7 - 0.2
    centre = 2.0 * -end / (m + 2.0)
    about = m * (3.0**2 / 12 + centre**2) + 2.0 * (end + centre) ** 2
    assert w.schedule.centre[0] == pytest.approx(1.7 + centre)
    assert w.schedule.inertia[1, 1] == pytest.approx(about)
    assert w.schedule.inertia[0, 0] == pytest.approx(m * 0.6**2 / 12)


def test_a_bulkhead_is_the_section_less_the_planking():
    t = 0.006
    plank = Planking("hull", "western redcedar", t, loss_outside=0, loss_inside=0)
    b = boat(
        plank,
        Skin("bulkheads", "plain glass 4 oz/yd2"),
        bulkheads=(Bulkhead(1.0, 0.004, wood="okoume plywood"),),
    )
    w = weigh(b, box())
    face = (0.6 - 2 * t) * (0.4 - 2 * t)
    wall = line(w, "bulkhead, okoume")
    assert wall.mass == pytest.approx(450 * face * 0.004, rel=3e-4)
    assert wall.centre == pytest.approx([1.0, 0, 0.2])
    assert line(w, "plain glass").quantity == pytest.approx(2 * face, rel=3e-4)
    glass = boat(plank, bulkheads=(Bulkhead(1.0, 0.002, cloth="plain glass 6 oz/yd2", layers=3),))
    assert line(weigh(glass, box()), "bulkhead, plain glass").mass == pytest.approx(
        3 * face * 0.2034, rel=1e-3
    )


def test_a_skeg_by_its_outline():
    """A triangle 0.6 long and 0.09 deep, 18 mm thick, given clockwise or not."""
    p = ((2.4, 0.0), (3.0, 0.0), (3.0, -0.09))
    for outline in (p, p[::-1]):
        skeg = Appendage("skeg", outline, 0.018, "white ash")
        x = line(weigh(boat(Piece("seat", (1, 0, 0), mass=1), appendages=(skeg,)), box()), "skeg")
        assert x.mass == pytest.approx(ASH * 0.5 * 0.6 * 0.09 * 0.018)
        assert x.centre == pytest.approx([2.8, 0, -0.03])


def test_a_layer_over_cloth_has_no_seal_coat():
    """Seal coat by default on what is bare: all of the first layer, none of a second over it, of a whole
    layer over a part the rest."""
    glass = "plain glass 4 oz/yd2"
    whole, part = Skin("hull outside", glass), Skin("bottom", glass, girth=0.15)
    plank = Planking("hull", "western redcedar", 0.006)

    def sealed(*skins):
        w = weigh(boat(plank, *skins), box())
        return [x.terms[0].coefficient for x in w.lines if x.item.endswith("seal coat")]

    (first,) = sealed(whole, part)
    alone, rest = sealed(part, whole)
    assert alone + rest == pytest.approx(first) and alone > 0.5
    assert sealed(whole, replace(part, seal_coat=True)) == pytest.approx([first, alone])
    assert sealed(replace(whole, seal_coat=False)) == []
    assert sealed(whole, whole) == pytest.approx([first])
    (inside,) = sealed(Skin("hull inside", glass), Skin("hull inside", glass, below=0.1))
    assert inside < first


def test_a_clamp_in_a_fine_end_stops_where_it_meets_its_twin():
    """Sheers that run to a point at 1 in 4: the middle of a clamp d inside the skin crosses the centre
    plane d sqrt(17) from it."""
    x = np.linspace(0.0, 2.0, 60)
    points = np.column_stack([x, x / 4, 0.4 + 0 * x])
    out = np.tile(np.array([-1.0, 4.0, 0.0]) / np.sqrt(17), (60, 1))
    h = box(decked=False)
    h = replace(
        h, lines={**h.lines, "sheer": NamedLine("sheer", points, True, False, out, np.zeros_like(points))}
    )
    plank = Planking("hull", "western redcedar", 0.006, loss_outside=0, loss_inside=0)
    clamp = Run("sheer", "solid", wood="white ash", thickness=0.020, depth=0.018)
    d = 0.006 + 0.010
    whole = 2.0 * np.sqrt(17) / 4  # each side's sheer; the clamp beside it lies a little forward of it
    w = line(weigh(boat(plank, clamp), h), "solid")
    assert w.quantity == pytest.approx(2 * (whole - 4 * d), rel=1e-6)
    outer = line(weigh(boat(plank, replace(clamp, side="outside")), h), "solid")
    assert outer.quantity == pytest.approx(2 * whole, rel=1e-6)


# ---------------------------------------------------------------- what is wrong is said


@pytest.mark.parametrize(
    ("part", "words"),
    [
        (Planking("hul", "western redcedar", 0.006), "Did you mean 'hull'"),
        (Planking("hull", "western redcedar", 0.0007), "fairing takes off all"),
        (Skin("deck outsid", "plain glass 4 oz/yd2"), "Did you mean 'deck outside'"),
        (Skin("transom", "plain glass 4 oz/yd2"), "no such surface"),
        (Skin("bottom", "plain glass 4 oz/yd2"), "say how far up"),
        (Skin("bulkheads", "plain glass 4 oz/yd2"), "no .*bulkhead"),
        (Run("sher", "cord", mass_per_length=0.1), "Did you mean 'sheer'"),
        (Run("sheer", "lamnation"), "Did you mean 'lamination'"),
        (Run("sheer", "lamination", wood="white ash", depth=0.02), "needs ply_thickness"),
        (Run("sheer", "solid", thickness=0.02, depth=0.02), "needs a wood"),
        (Run("sheer", "tape", width=0.05), "needs a cloth"),
        (Run("sheer", "cord", mass_per_length=0.1, start=5.0), "between its `from` and `to`"),
        (Piece("seat", (1, 0, 0)), "needs a mass, or a wood and a size"),
    ],
)
def test_a_schedule_that_cannot_be_weighed_says_why(part, words):
    with pytest.raises(ScheduleError, match=words):
        weigh(boat(part), box())


def test_an_empty_build_is_refused():
    with pytest.raises(ScheduleError, match="schedule is empty"):
        weigh(boat(), box())


def test_every_line_says_what_it_is_in_fields():
    """Kind, region, material, sizes and count stand beside the words, as the schedule gave them."""
    made = replace(decked_box(), bulkheads=(Bulkhead(1.5, 0.004, wood="okoume plywood"),))
    lines = weigh(made, box()).lines
    assert all(x.kind for x in lines)
    assert all(x.region for x in lines if x.kind != "piece")
    assert all(x.material for x in lines if x.group != "fittings")
    printed = {(x.kind, x.region): (x.material, x.sizes, x.count) for x in lines}
    epoxy = library().resin("epoxy")
    assert printed["strip", "hull"] == ("western redcedar", (0.00635, 0.019), 1)
    assert printed["fill coats", "hull outside"] == ("epoxy", (), 3)
    assert printed["coating", "deck outside"] == ("varnish", (), 4)
    assert printed["lamination", "sheer"] == ("Sitka spruce", (0.005, 0.018), 4)
    assert printed["joint", "sheer"] == ("epoxy", (epoxy.glue_line[1], 0.018), 4)
    assert printed["tape", "sheer"] == ("bias glass 9 oz/yd2", (0.075,), 2)
    assert printed["tape wet-out", "sheer"][0] == "epoxy"
    assert printed["fillet", "sheer"] == ("epoxy", (0.010,), 1)
    assert printed["bulkhead", "bulkheads"] == ("okoume plywood", (0.004,), 1)


def test_an_eighth_of_an_inch_is_printed_as_it_is():
    """3.175 mm was once cut off to 3.17."""
    run = Run("sheer", "lamination", wood="white ash", plies=5, ply_thickness=0.003175, depth=0.01905)
    lines = weigh(boat(run), box()).lines
    assert lines[0].item == "lamination 5 x 3.175 x 19.05 mm, white ash"
