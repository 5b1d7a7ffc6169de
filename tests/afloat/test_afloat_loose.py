"""Water inside: loose in a box by hand, a flooded end compartment by hand, parts cut off by planes."""

import math

import numpy as np
import pytest
import solids

from hullview.afloat.equilibrium import rest
from hullview.afloat.loose import Overrun, rest_spilling, rest_with_water
from hullview.afloat.settle import Loose
from hullview.boat.model import Bulkhead, Flotation, Tank
from hullview.shape.body import Body, signed_sum
from hullview.shape.inside import inner_skin, spaces
from hullview.shape.part import enclosed, part

L, B, D = 3.0, 0.9, 0.6
OUTSIDE = Body(*solids.box(L, B, D))
INSIDE = Body(*solids.box(2.0, 0.7, 0.5, at=(0.4, 0.0, 0.05)))
UP = np.array([0.0, 0.0, 1.0])


# ---------------------------------------------------------------- loose water


def test_loose_water_in_a_box_upright():
    """GM = KB + BM - KG - i / V, the water's weight at its own centre (Derrett and Barrass, on free
    surfaces)."""
    mass, kg, volume = 250.0, 0.2, 2.0 * 0.7 * 0.1
    lying, (level,) = rest_with_water(
        OUTSIDE, mass, (1.556, 0, kg), 1000.0, [Loose(INSIDE, volume)]
    )  # level: 250 x + 140 1.4 = 390 1.5
    whole = mass + 1000 * volume
    d = whole / (1000 * L * B)
    assert lying.mass == pytest.approx(whole)
    assert lying.immersed.volume == pytest.approx(whole / 1000, rel=1e-10)
    assert max(lying.residuals) < 1e-10
    assert [lying.heel, lying.trim] == pytest.approx([0, 0], abs=1e-9)
    together = (mass * kg + 1000 * volume * 0.1) / whole
    gm = d / 2 + B**2 / (12 * d) - together - 2.0 * 0.7**3 / 12 / (whole / 1000)
    assert lying.gm == pytest.approx(gm, rel=1e-9)
    assert level == pytest.approx(0.15, abs=1e-9)


@pytest.mark.parametrize("heel_deg", [4.0, -9.0])
def test_loose_water_in_a_box_heeled_by_hand(heel_deg):
    """Both surfaces between upright walls: a centroid goes out by (i / v) tan and up by half of that times
    tan."""
    heel = math.radians(heel_deg)
    t = math.tan(heel)
    mass, kg, depth = 400.0, 0.15, 0.12
    volume = 2.0 * 0.7 * depth
    d = (mass / 1000 + volume) / (L * B)

    def centroid(base, height, spread):
        return np.array([spread * t, base + height / 2 + spread * t * t / 2])

    sea = centroid(0.0, d, B**2 / (12 * d))
    pool = centroid(0.05, depth, 0.7**2 / (12 * depth))
    e = np.array([math.cos(heel), math.sin(heel)])
    y = ((mass / 1000 + volume) * (sea @ e) - volume * (pool @ e) - mass / 1000 * kg * e[1]) / (
        mass / 1000 * e[0]
    )
    x = (L / 2 * (mass / 1000 + volume) - 1.4 * volume) / (mass / 1000)  # level fore and aft
    lying, _ = rest_with_water(OUTSIDE, mass, (x, y, kg), 1000.0, [Loose(INSIDE, volume)])
    assert lying.heel == pytest.approx(heel, abs=1e-8)
    assert lying.trim == pytest.approx(0, abs=1e-9)


def test_a_full_space_holds_its_water_fast():
    full, _ = rest_with_water(OUTSIDE, 300.0, (1.5, 0.02, 0.15), 1000.0, [Loose(INSIDE, INSIDE.volume)])
    mass = 300.0 + 1000 * INSIDE.volume
    centre = (300.0 * np.array([1.5, 0.02, 0.15]) + 1000 * INSIDE.volume * INSIDE.centroid) / mass
    solid = rest(OUTSIDE, mass, centre, 1000.0)
    assert [full.heel, full.trim, full.offset, full.gm] == pytest.approx(
        [solid.heel, solid.trim, solid.offset, solid.gm], abs=1e-9
    )


def test_no_water_is_no_difference_and_too_much_sinks():
    dry, levels = rest_with_water(OUTSIDE, 300.0, (1.5, 0.02, 0.15), 1000.0, [])
    plain = rest(OUTSIDE, 300.0, (1.5, 0.02, 0.15), 1000.0)
    assert levels == () and [dry.heel, dry.offset, dry.gm] == pytest.approx(
        [plain.heel, plain.offset, plain.gm], abs=1e-10
    )
    assert rest_with_water(OUTSIDE, 1500.0, (1.5, 0, 0.1), 1000.0, [Loose(INSIDE, 0.5)])[0].state == "sinks"


def test_two_pools_are_steadier_than_one():
    """A wall along the middle quarters the loss of GM."""
    halves = [Body(*solids.box(2.0, 0.35, 0.5, at=(0.5, side, 0.0))) for side in (-0.175, 0.175)]
    whole = Body(*solids.box(2.0, 0.7, 0.5, at=(0.5, 0, 0.0)))
    one, _ = rest_with_water(OUTSIDE, 300.0, (1.5, 0, 0.1), 1000.0, [Loose(whole, 0.14)])
    two, _ = rest_with_water(OUTSIDE, 300.0, (1.5, 0, 0.1), 1000.0, [Loose(half, 0.07) for half in halves])
    loss = 2.0 * 0.7**3 / 12 / 0.44
    assert two.gm - one.gm == pytest.approx(0.75 * loss, rel=1e-6)


# ---------------------------------------------------------------- lost buoyancy


def test_a_flooded_end_compartment_by_hand():
    """What floats on is the box abaft the bulkhead: its draft, and its trim from the wall-sided formula
    lengthwise."""
    end = 0.3
    inside = part(solids.box(L, B, D), (np.array([1.0, 0, 0]), end))
    left = signed_sum([(*solids.box(L, B, D), 1), (*inside, -1)])
    mass, kg = 350.0, 0.15
    long = L - end
    d = mass / (1000 * B * long)
    bm = long**2 / (12 * d)
    trim = math.radians(-1.5)  # by the bow
    t = math.tan(trim)
    x = end + long / 2 + t * (d / 2 + bm - kg + bm * t * t / 2)
    lying = rest(left, mass, (x, 0, kg), 1000.0)
    assert lying.trim == pytest.approx(trim, abs=1e-8)
    assert lying.gm == pytest.approx(
        B**2 * (1 / math.cos(trim)) / (12 * d) - (kg - lying.immersed.centroid[2]) * math.cos(trim), abs=2e-3
    )
    assert left.volume == pytest.approx(B * D * long, rel=1e-12)


# ---------------------------------------------------------------- parts


@pytest.mark.parametrize("seed", range(4))
def test_a_part_is_what_the_cut_said(seed):
    vertices, faces = solids.lump(seed)
    body = Body(vertices, faces)
    rng = np.random.default_rng(seed)
    n = rng.normal(size=3)
    n /= np.linalg.norm(n)
    offset = float(n @ body.centroid) + 0.03
    piece = part((vertices, faces), (n, offset))
    cut = body.immersed(n, offset)
    assert enclosed(piece) == pytest.approx(cut.volume, rel=1e-12)
    again = signed_sum([(*piece, 1)])
    assert again.centroid == pytest.approx(cut.centroid, abs=1e-12)
    other = rng.normal(size=3)
    a, b = part(piece, (other, 0.05)), part(piece, (-other, -0.05))
    assert enclosed(a) + enclosed(b) == pytest.approx(cut.volume, rel=1e-11)
    m = np.array([0.3, 0.4, 1.0])
    ends = again.section(m, 0.02)
    assert np.abs((ends[:, 1] - ends[:, 0]).sum(axis=0)).max() < 1e-12  # closed: what is left is reached


def test_a_part_beside_the_body_is_nothing_and_all_around_it_everything():
    mesh = solids.box(1, 1, 1)
    assert len(part(mesh, (UP, -1.0))[1]) == 0
    assert enclosed(part(mesh, (UP, 5.0))) == pytest.approx(1)
    assert enclosed(part(mesh, (UP, 0.0), (-UP, -0.5))) == 0.0


def test_spaces_of_a_box():
    """Bulkhead, tanks along the sides, a tank under a floor, foam: volumes by hand."""
    hull = solids.box_hull(3.0, 0.8, 0.4)
    tanks = (Tank(0.5, 1.5, inboard=0.3, name="side tank"), Tank(2.2, 2.8, top=0.1, name="floor tank"))
    rooms = spaces(
        hull,
        0.0,
        (Bulkhead(2.0, 0.006), Bulkhead(2.5, 0.006, watertight=False)),
        tanks,
        (Flotation(0.008, (1.0, 0, 0.2)),),
    )
    by_name = {space.name: space for space in rooms}
    sides, floor = 1.0 * 0.2 * 0.4, 0.6 * 0.8 * 0.1
    assert by_name["side tank"].body.volume == pytest.approx(sides, rel=1e-12)
    assert by_name["floor tank"].body.volume == pytest.approx(floor, rel=1e-12)
    assert by_name["forward compartment"].body.volume == pytest.approx(
        2.0 * 0.8 * 0.4 - sides - 0.008, rel=1e-12
    )
    assert by_name["after compartment"].body.volume == pytest.approx(1.0 * 0.8 * 0.4 - floor, rel=1e-12)
    assert [space.open for space in rooms] == [True, True, False, False]
    half = by_name["forward compartment"].body.immersed(UP, 0.2)
    assert half.volume == pytest.approx((2.0 * 0.8 * 0.4 - sides) / 2 - 0.008 / 2, rel=1e-12)


def test_foam_that_would_stand_out_through_the_bottom_is_fitted_inside():
    """Half a cube about a point on the bottom would be outside: what is fitted is 2h by 2h by h, and the
    water beside it (L B - 4 h2) deep."""
    foam = 0.016
    (room,) = spaces(solids.box_hull(3.0, 0.8, 0.4), 0.0, flotation=(Flotation(foam, (1.2, 0.05, 0.0)),))
    h = (foam / 4) ** (1 / 3)
    assert h < 0.2
    assert room.body.volume == pytest.approx(3.0 * 0.8 * 0.4 - foam, rel=1e-6)
    shallow = room.body.immersed(UP, 0.03)
    assert shallow.volume == pytest.approx((3.0 * 0.8 - 4 * h * h) * 0.03, rel=1e-6)
    assert shallow.plane_area == pytest.approx(3.0 * 0.8 - 4 * h * h, rel=1e-6)


def test_a_compartment_without_a_rim_is_sealed():
    hull = solids.box_hull(3.0, 0.8, 0.4, rim=[(1.0, 0.2, 0.42), (1.4, 0.0, 0.42), (1.0, -0.2, 0.42)])
    rooms = spaces(hull, 0.0, (Bulkhead(0.6, 0.006), Bulkhead(2.0, 0.006)))
    assert [(space.name, space.open) for space in rooms] == [
        ("forward compartment", False), ("middle compartment", True), ("after compartment", False)
    ]  # fmt: skip


def test_the_inner_skin_holds_just_the_solids_less_and_lies_within():
    hull = solids.box_hull(3.0, 0.8, 0.4)
    solid = 0.02
    vertices, faces = inner_skin(hull, solid)
    assert 3 * 0.8 * 0.4 - enclosed((vertices, faces)) == pytest.approx(solid, rel=1e-9)
    assert (np.abs(vertices - [1.5, 0, 0.2]).max(axis=0) < [1.5, 0.4, 0.2]).all()


# ---------------------------------------------------------------- water that runs over


def test_water_runs_out_over_the_lower_end_of_a_trimmed_box_by_hand():
    """An open box trimmed by a load: what is left stands at the lowest rim, and it is at rest with that
    water loose in it."""
    rims = INSIDE.vertices[INSIDE.vertices[:, 2] > 0.5]
    lying, (kept,) = rest_spilling(OUTSIDE, 300.0, (1.9, 0, 0.1), 1000.0, [Loose(INSIDE, 0.69)], [rims])
    low = float((rims @ lying.normal).min())
    assert lying.trim > 0.01 and abs(lying.heel) < 1e-6
    # under a plane through the after rim, a box of length l holds l b (d - l/2 tan(trim))
    assert kept == pytest.approx(2.0 * 0.7 * (0.5 - 1.0 * math.tan(lying.trim)), abs=2.0 * 0.7 * 2e-4)
    assert kept < 0.69 and lying.offset < low
    again, (level,) = rest_with_water(
        OUTSIDE, 300.0, (1.9, 0, 0.1), 1000.0, [Loose(INSIDE, kept)], start=lying
    )
    assert again.normal == pytest.approx(lying.normal, abs=1e-9)
    assert level == pytest.approx(low, abs=2e-4)


def test_water_that_stays_is_no_other_rest():
    load = (250.0, (1.6, 0.01, 0.15), 1000.0)
    rims = INSIDE.vertices[INSIDE.vertices[:, 2] > 0.5]
    lying, (kept,) = rest_spilling(OUTSIDE, *load, [Loose(INSIDE, 0.2)], [rims])
    plain, _ = rest_with_water(OUTSIDE, *load, [Loose(INSIDE, 0.2)])
    assert kept == 0.2
    assert lying.normal == pytest.approx(plain.normal, abs=1e-12)


def test_a_high_load_rolls_till_the_sea_comes_in():
    rims = INSIDE.vertices[INSIDE.vertices[:, 2] > 0.5]
    found = rest_spilling(OUTSIDE, 300.0, (1.5, 0, 0.75), 1000.0, [Loose(INSIDE, 0.25)], [rims])
    assert isinstance(found, Overrun)
    assert abs(found.normal[1]) > 0.2
    low = rest_spilling(OUTSIDE, 900.0, (1.5, 0, 0.1), 1000.0, [Loose(INSIDE, 0.6)], [rims])
    assert isinstance(low, Overrun)
    assert abs(low.normal[1]) < 1e-9
