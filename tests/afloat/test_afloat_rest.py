"""How bodies lie: closed forms, laws, signs by an independent way, published values."""

import math

import numpy as np
import pytest
import solids
from naive_clip import naive_clip

from hullview.afloat.equilibrium import angles, at_heel, float_body, float_hull, rest, up, upright
from hullview.afloat.water import GRAVITY, density, density_of
from hullview.boat.model import Water
from hullview.errors import UsageError
from hullview.shape.body import Body
from hullview.show.record import as_record
from hullview.tell.floating import floating_telling
from hullview.weight.mass import Mass, total

FRESH = 999.1026


# ---------------------------------------------------------------- closed forms


def record_of(floating):
    """The `floating` object of the interface."""
    return as_record(floating_telling(floating, "a body", "metric"))["floating"]


def test_box_on_an_even_keel():
    length, beam, depth, d, kg = 2.4, 0.8, 0.6, 0.21, 0.2
    f = float_body(
        Body(*solids.box(length, beam, depth)), 1000 * length * beam * d, (length / 2, 0, kg), 1000.0
    )
    assert (f.state, f.upright_stable) == ("afloat", True)
    assert [f.heel, f.trim] == pytest.approx([0, 0], abs=1e-12)
    assert [f.draft, f.draft_forward, f.draft_aft, f.greatest_draft] == pytest.approx([d] * 4, rel=1e-10)
    assert f.centre_of_buoyancy == pytest.approx([length / 2, 0, d / 2], abs=1e-10)
    assert f.gm == pytest.approx(d / 2 + beam**2 / (12 * d) - kg, rel=1e-10)
    assert f.gm_longitudinal == pytest.approx(d / 2 + length**2 / (12 * d) - kg, rel=1e-10)
    assert [f.waterline_length, f.waterline_beam] == pytest.approx([length, beam], rel=1e-12)
    assert f.immersion == pytest.approx(1000 * length * beam / 100, rel=1e-12)
    assert f.freeboard is None and f.height_to_flooding is None and f.reserve_of_buoyancy is None


@pytest.mark.parametrize("heel_deg", [3.0, -8.0, 25.0])
def test_box_heeled_by_a_load_off_centre(heel_deg):
    """Wall-sided: the load lies y cos(phi) = sin(phi) (GM + BM tan^2 phi / 2) off (Derrett and Barrass, p.
    130); exact for a box.

    A load to starboard (y > 0) puts the starboard side down (heel > 0).
    """
    length, beam, depth, d, kg = 2.4, 0.8, 0.6, 0.25, 0.2
    heel = math.radians(heel_deg)
    bm = beam**2 / (12 * d)
    gm = d / 2 + bm - kg
    y = math.tan(heel) * (gm + bm * math.tan(heel) ** 2 / 2)
    lying = rest(
        Body(*solids.box(length, beam, depth)), 1000 * length * beam * d, (length / 2, y, kg), 1000.0
    )
    assert lying.heel == pytest.approx(heel, rel=1e-9)
    assert lying.trim == pytest.approx(0, abs=1e-10)


@pytest.mark.parametrize("trim_deg", [2.0, -5.0])
def test_box_trimmed_by_a_load_aft(trim_deg):
    """The same lengthwise; a load aft (x greater) puts the stern down (trim > 0), and draft aft less
    forward is L tan(trim)."""
    length, beam, depth, d, kg = 2.4, 0.8, 0.6, 0.3, 0.2
    trim = math.radians(trim_deg)
    bm = length**2 / (12 * d)
    x = length / 2 + math.tan(trim) * (d / 2 + bm - kg + bm * math.tan(trim) ** 2 / 2)
    f = float_body(Body(*solids.box(length, beam, depth)), 1000 * length * beam * d, (x, 0, kg), 1000.0)
    assert f.trim == pytest.approx(trim, abs=1e-9)
    assert f.heel == pytest.approx(0, abs=1e-10)
    assert f.waterline_length == pytest.approx(length / math.cos(trim), rel=1e-9)
    assert f.draft_aft - f.draft_forward == pytest.approx(f.waterline_length * math.tan(trim), abs=1e-9)
    # the base line at the ends of the waterline, worked from the side view
    # the water stands at heights of the box's two ends; straight down from there to the bottom is that over
    # cos(trim)
    ends = [(d + (x_end - length / 2) * math.tan(trim)) / math.cos(trim) for x_end in (0, length)]
    assert [f.draft_forward, f.draft_aft] == pytest.approx(ends, rel=1e-9)


def test_angle_of_loll():
    """tan(phi) = sqrt(-2 GM / BM) (Derrett and Barrass, p. 229); to starboard where nothing decides."""
    length, beam, depth, d = 3.0, 0.6, 0.5, 0.2
    bm = beam**2 / (12 * d)
    kg = d / 2 + bm + 0.004
    lying = rest(
        Body(*solids.box(length, beam, depth)), 1000 * length * beam * d, (length / 2, 0, kg), 1000.0
    )
    assert lying.heel == pytest.approx(math.atan(math.sqrt(2 * 0.004 / bm)), rel=1e-8)
    assert lying.upright_stable is False
    assert lying.gm > 0


def _log_angle(s):
    """Stable heels of a homogeneous square log of specific gravity s, in the first eighth of a turn.

    Upright, then leaning by tan^2 = 2 (6 s (1 - s) - 1) while the water cuts two opposite sides; then one
    corner alone in the water, its wet sides p, q with p q = 2 s, p + q = 3/2; then on its corner.
    """
    s = min(s, 1 - s)
    if 6 * s * (1 - s) <= 1:
        return 0.0
    if s <= 0.25:
        return math.atan(math.sqrt(2 * (6 * s * (1 - s) - 1)))
    if s < 9 / 32:
        root = math.sqrt(9 / 4 - 8 * s)
        return math.atan((1.5 - root) / (1.5 + root))
    return math.pi / 4


@pytest.mark.parametrize(
    "s", [0.05, 0.2, 0.22, 0.23, 0.25, 0.26, 0.275, 0.3, 0.5, 0.71, 0.735, 0.77, 0.78, 0.9]
)
def test_square_log(s):
    """Symmetry leaves the angle open by quarter turns and to either side."""
    body = Body(*solids.square_log(0.2, 3.0))
    lying = rest(body, 1000 * s * body.volume, body.centroid, 1000.0)
    within = lying.heel % (math.pi / 2)
    assert min(within, math.pi / 2 - within) == pytest.approx(_log_angle(s), abs=2e-5)
    assert lying.gm > -1e-9


def test_square_log_at_the_two_known_angles():
    """19.486 deg at 0.23, 26.565 deg at 0.25."""
    body = Body(*solids.square_log(0.2, 3.0))
    heels = [
        math.degrees(rest(body, 1000 * s * body.volume, body.centroid, 1000.0).heel) for s in (0.23, 0.25)
    ]
    assert heels == pytest.approx([19.486, 26.565], abs=6e-4)


# ---------------------------------------------------------------- published


def test_ship_shaped_box_of_the_book():
    """65 x 12 x 8 m, draft 4 m, KG 4 m, 1025 kg/m3: W 3198 t, KB 2, BM 3, GM 1 (Derrett and Barrass, p.
    130)."""
    body = Body(*solids.box(65, 12, 8))
    f = float_body(body, 3198e3, (32.5, 0, 4), 1025.0)
    assert f.draft == pytest.approx(4, rel=1e-9)
    assert f.centre_of_buoyancy[2] == pytest.approx(2, rel=1e-9)
    assert f.gm == pytest.approx(1, rel=1e-9)


def test_second_box_of_the_book():
    """150 x 24 m, draft 5 m, GM 0.9: KB 2.5, BM 9.6, KM 12.1, KG 11.2 (Derrett and Barrass, p. 206)."""
    f = float_body(Body(*solids.box(150, 24, 14)), 1025 * 150 * 24 * 5, (75, 0, 11.2), 1025.0)
    assert f.gm == pytest.approx(0.9, rel=1e-8)


def test_least_km_of_a_box():
    """B = 10 m: least KM 4.08 m at a draft of 4.08 m; BM at 3.5 m is 2.38 m (Derrett and Barrass, p. 111)."""
    body = Body(*solids.box(40, 10, 9))

    def km(d):
        cut = body.immersed((0, 0, 1), d)
        return cut.centroid[2] + cut.plane_second_moments[1, 1] / cut.volume

    assert km(4.08) == pytest.approx(4.08, abs=0.005)
    assert km(4.08) < min(km(3.9), km(4.3))
    assert km(3.5) - 3.5 / 2 == pytest.approx(2.38, abs=0.005)


def test_loading_and_list_of_the_book():
    """8000 t KG 7.6; +250 t, +300 t, -50 t; KM 8.70: W 8500 t, KG 7.35, GM 1.35, list 1.49 deg (Derrett and
    Barrass, p. 116).

    The ship is stood in for by a box with that KM at 8500 t; list from the small-angle formula in the book,
    so 0.02 deg.
    """
    port, starboard = -1, 1
    loads = [
        (8000, 0, 7.6),
        (250, starboard * 7.6, 6.1),
        (300, port * 6.1, 0.6),
        (-50, port * 4.6, 1.2),
    ]
    moments = np.array([[m * y, m * z] for m, y, z in loads]).sum(axis=0)
    mass = sum(m for m, _, _ in loads)
    assert mass == 8500
    assert moments[1] / mass == pytest.approx(7.35, abs=0.005)
    assert moments[0] == pytest.approx(300, abs=1)
    d = 5.0
    beam = math.sqrt(12 * d * (8.70 - d / 2))
    length = mass / 1.025 / (beam * d)
    lying = rest(Body(*solids.box(length, beam, 12)), mass * 1e3, (length / 2, *(moments / mass)), 1025.0)
    assert lying.gm == pytest.approx(1.35, abs=0.02)
    assert math.degrees(lying.heel) == pytest.approx(1.49, abs=0.02)


def test_ship_of_the_old_seamanship_book():
    """Box 36 ft wide, 18 ft draft: KB 9, BM 6, KM 15 ft (Nicholls's Seamanship); lengths in feet all
    through."""
    cut = Body(*solids.box(100, 36, 30)).immersed((0, 0, 1), 18)
    bm = cut.plane_second_moments[1, 1] / cut.volume
    assert [cut.centroid[2], bm, cut.centroid[2] + bm] == pytest.approx([9, 6, 15], rel=1e-12)


def test_barge_and_buoy_of_a_college():
    """Barge 12 x 6 m, draft 1.5 m fresh, KG 1.8: V 108, BM 2.0, GM 0.95 m. Buoy D 1.2, draft 0.9, KG 0.55:
    GM 0 (college examples)."""
    f = float_body(Body(*solids.box(12, 6, 2.5)), 1000 * 108, (6, 0, 1.8), 1000.0)
    assert [f.displaced_volume, f.gm] == pytest.approx([108, 0.95], rel=1e-9)
    angle = np.arange(720) * 2 * np.pi / 720
    vertices, faces = solids.log(0.6 * np.column_stack([np.cos(angle), np.sin(angle)]), 2.0)
    standing = vertices[:, [1, 2, 0]]
    cut = Body(standing, faces).immersed((0, 0, 1), 0.9)
    assert 0.45 + cut.plane_second_moments[0, 0] / cut.volume == pytest.approx(0.55, abs=1e-4)


# ---------------------------------------------------------------- signs, by turning the mesh into the world


def test_signs_of_heel_and_trim_in_words():
    body = Body(*solids.ellipsoid(1.5, 0.4, 0.3, 40, 40))
    lying = rest(body, 0.4 * 1000 * body.volume, (0.1, 0.03, -0.1), 1000.0)
    assert lying.heel > 0 and lying.trim > 0
    height = lambda p: float(lying.normal @ p) - lying.offset  # noqa: E731
    assert height((0, 0.4, 0)) < height((0, -0.4, 0)), "starboard side down"
    assert height((1.5, 0, 0)) < height((-1.5, 0, 0)), "stern down"
    assert lying.normal == pytest.approx(up(lying.heel, lying.trim), abs=1e-12)


@pytest.mark.parametrize("seed", range(6))
def test_at_rest_in_a_world_whose_sea_is_level(seed):
    """Turn the mesh into the world by two plain rotations (trim about the athwartships axis, after heel about
    the boat's own long axis), weigh the columns below z = 0: the volume is the load's and its centroid
    straight under the load's centre."""
    rng = np.random.default_rng(seed)
    body = Body(*solids.lump(seed))
    density, mass = 1012.0, 1012.0 * body.volume * rng.uniform(0.2, 0.7)
    centre = body.centroid + rng.normal(size=3) * [0.05, 0.03, 0.02] - [0, 0, 0.05]
    lying = rest(body, mass, centre, density)
    assert abs(lying.heel) > 0.005 and abs(lying.trim) > 0.0003
    ch, sh, ct, st = math.cos(lying.heel), math.sin(lying.heel), math.cos(lying.trim), math.sin(lying.trim)
    roll = np.array([[1, 0, 0], [0, ch, sh], [0, -sh, ch]])  # starboard (y) goes down
    pitch = np.array([[ct, 0, st], [0, 1, 0], [-st, 0, ct]])  # aft (x) goes down
    world = body.vertices @ (pitch @ roll).T - [0, 0, lying.offset]
    placed = type("Placed", (), {"vertices": world, "faces": body.faces})
    a, b, c = np.moveaxis(naive_clip(placed, np.array([0.0, 0, 1]), 0.0), 1, 0)
    sixth = (a * np.cross(b, c)).sum(axis=1) / 6
    volume = sixth.sum()
    under = (sixth[:, None] * (a + b + c) / 4).sum(axis=0) / volume
    load = pitch @ roll @ centre
    assert volume * density == pytest.approx(mass, rel=1e-9)
    assert under[:2] == pytest.approx(load[:2], abs=1e-9)


# ---------------------------------------------------------------- laws


@pytest.mark.parametrize("seed", range(5))
def test_archimedes(seed):
    rng = np.random.default_rng(100 + seed)
    body = Body(*solids.lump(seed))
    lying = rest(
        body,
        1000 * body.volume * rng.uniform(0.1, 0.9),
        rng.uniform(body.vertices.min(0), body.vertices.max(0)),
        1000.0,
    )
    assert 1000 * lying.immersed.volume == pytest.approx(lying.mass, rel=1e-9)
    arm = lying.centre - lying.immersed.centroid
    assert np.linalg.norm(arm - (arm @ lying.normal) * lying.normal) < 1e-9
    assert max(lying.residuals) < 1e-9
    assert min(lying.gm, lying.gm_longitudinal) > 0


def test_mirrored_load_mirrors_heel():
    body = Body(*solids.ellipsoid(1.5, 0.4, 0.3, 40, 40))
    one, other = (rest(body, 120, (0.1, y, -0.02), 1000.0) for y in (0.03, -0.03))
    assert one.heel == pytest.approx(-other.heel, rel=1e-9)
    assert one.trim == pytest.approx(other.trim, rel=1e-9)


def test_moving_the_datum_moves_nothing_else():
    vertices, faces = solids.lump(2)
    shift = np.array([4.0, 0.5, -1.0])
    centre = np.array([0.05, 0.02, -0.05])
    one = float_body(Body(vertices, faces), 150, centre, 1000.0)
    other = float_body(Body(vertices + shift, faces), 150, centre + shift, 1000.0)
    assert [one.heel, one.trim, one.gm, one.draft] == pytest.approx(
        [other.heel, other.trim, other.gm, other.draft], abs=1e-9
    )
    assert one.centre_of_buoyancy + shift == pytest.approx(other.centre_of_buoyancy, abs=1e-9)


def test_a_warm_start_ends_where_a_cold_one_does_in_fewer_cuts():
    body = Body(*solids.lump(2))
    before = rest(body, 150, (0.05, 0.01, -0.05), 1000.0)
    cold = rest(body, 156, (0.07, 0.012, -0.05), 1000.0)
    warm = rest(body, 156, (0.07, 0.012, -0.05), 1000.0, start=before)
    assert [warm.heel, warm.trim, warm.offset] == pytest.approx([cold.heel, cold.trim, cold.offset], abs=1e-9)
    assert warm.cuts < cold.cuts and warm.cuts <= 6


def test_heel_held_at_nought_is_the_rest_of_a_symmetrical_boat():
    body = Body(*solids.ellipsoid(1.5, 0.4, 0.3, 40, 40))
    free, held = (how(body, 130, (0.1, 0, -0.1), 1000.0) for how in (rest, upright))
    assert [held.trim, held.offset, held.gm] == pytest.approx([free.trim, free.offset, free.gm], abs=1e-9)
    assert held.upright_stable is True
    unstable = upright(body, 130, (0.1, 0, 0.3), 1000.0)
    assert unstable.upright_stable is False and unstable.heel == 0


def test_held_heel_balances_fore_and_aft_only():
    body = Body(*solids.lump(4))
    lying = at_heel(body, 150, (0.05, 0.02, -0.05), 1000.0, math.radians(35))
    assert lying.heel == pytest.approx(math.radians(35), abs=1e-12)
    arm = lying.centre - lying.immersed.centroid
    fore_and_aft = np.array(
        [
            -math.cos(lying.trim),
            math.sin(lying.trim) * math.sin(lying.heel),
            -math.sin(lying.trim) * math.cos(lying.heel),
        ]
    )
    assert arm @ fore_and_aft == pytest.approx(0, abs=1e-9)
    assert 1000 * lying.immersed.volume == pytest.approx(150, rel=1e-9)


# ---------------------------------------------------------------- states and words


def test_sinks():
    body = Body(*solids.box(2, 1, 0.5))
    for mass in (1000.0, 1500.0):
        f = float_body(body, mass, (1, 0, 0.2), 1000.0)
        assert f.state == "sinks" and f.draft is None and f.heel is None
    assert float_body(body, 999.999, (1, 0, 0.2), 1000.0).state == "afloat"


def test_open_boat_floods_when_water_reaches_the_sheer_and_not_before():
    hull = solids.box_hull(2.0, 0.8, 0.4)
    body = Body(hull.vertices, hull.faces)
    d = 0.3
    f = float_hull(hull, body, 1000 * 2.0 * 0.8 * d, (1, 0, 0.1), 1000.0)
    assert f.state == "afloat"
    assert [f.freeboard, f.height_to_flooding] == pytest.approx([0.1, 0.1], abs=1e-10)
    assert f.reserve_of_buoyancy == pytest.approx(0.1 / 0.3, rel=1e-9)
    # tilted so that the low corner of the sheer just stays dry, then just does not
    bm = 0.8**2 / (12 * d)
    for tan, state in ((0.24, "afloat"), (0.26, "floods")):  # the edge goes under at tan = 0.1 / 0.4
        y = tan * (d / 2 + bm - 0.1 + bm * tan**2 / 2)
        f = float_hull(hull, body, 1000 * 2.0 * 0.8 * d, (1, y, 0.1), 1000.0)
        assert f.state == state
    assert f.draft is None and f.heel is None and f.rest.heel == pytest.approx(math.atan(0.26), rel=1e-3)
    assert record_of(f)["heel_deg"] is None and record_of(f)["waterplane"]["normal"] is None


def test_height_to_flooding_is_that_of_the_lowest_rim_as_it_lies():
    rim = [(0.9, 0.2, 0.45), (1.4, 0.0, 0.43), (0.9, -0.2, 0.45)]
    hull = solids.box_hull(2.0, 0.8, 0.4, rim)
    f = float_hull(hull, Body(hull.vertices, hull.faces), 400.0, (1.03, -0.01, 0.1), 1000.0)
    n = up(f.heel, f.trim)
    assert f.height_to_flooding == pytest.approx(min(n @ p for p in rim) - f.offset, abs=1e-12)
    corners = [(x, y, 0.4) for x in (0, 2) for y in (-0.4, 0.4)]
    assert f.freeboard == pytest.approx(min(n @ p for p in corners) - f.offset, abs=1e-12)


def test_json_has_the_keys_of_the_interface():
    keys = [
        "state",
        "upright_stable",
        "heel_deg",
        "trim_deg",
        "waterplane",
        "draft_m",
        "draft_forward_m",
        "draft_aft_m",
        "displaced_volume_m3",
        "centre_of_buoyancy_m",
        "waterplane_area_m2",
        "wetted_area_m2",
        "waterline_length_m",
        "waterline_beam_m",
        "gm_m",
        "gm_longitudinal_m",
        "immersion_kg_per_cm",
        "freeboard_m",
        "height_to_flooding_m",
    ]
    body = Body(*solids.lump(2))
    out = record_of(float_body(body, 150, (0.05, 0.01, -0.05), 1000.0))
    assert set(keys) <= set(out)
    assert set(out["waterplane"]) == {"normal", "offset_m"}
    assert out["height_to_flooding_m"] is None
    assert isinstance(out["heel_deg"], float) and isinstance(out["centre_of_buoyancy_m"], list)


def test_standing_on_end_has_no_heel():
    assert angles(np.array([-1.0, 0.0, 0.0])) == (None, math.pi / 2)
    body = Body(*solids.box(0.2, 1.0, 0.9))
    lying = rest(body, 30, (0.5, 0.0, 0.45), 1000.0)
    assert lying.heel is None and lying.trim == pytest.approx(math.pi / 2, abs=0.02)
    assert record_of(float_body(body, 30, (0.5, 0.0, 0.45), 1000.0))["heel_deg"] is None


@pytest.mark.parametrize(
    "mass, centre, water",
    [(0, (1, 0, 0), 1000), (-5, (1, 0, 0), 1000), (5, (1, 0, math.nan), 1000), (5, (1, 0, 0), 0)],
)
def test_loads_that_are_none(mass, centre, water):
    with pytest.raises(UsageError):
        rest(Body(*solids.box(2, 1, 0.5)), mass, centre, water)


# ---------------------------------------------------------------- water


def test_densities_against_the_standards():
    gsw = pytest.importorskip("gsw")
    iapws = pytest.importorskip("iapws")
    salt = gsw.rho_t_exact(35.16504, 15.0, 0.0)
    assert density("salt") == pytest.approx(salt, abs=5e-4)
    assert density("fresh") == pytest.approx(iapws.IAPWS95(T=288.15, P=0.101325).rho, abs=5e-4)
    # ITTC 7.5-02-01-03 has 1026.0210 for sea water (from memory): 4e-5 higher
    assert density("salt") == pytest.approx(1026.0210, rel=5e-5)


def test_water_of_a_boat():
    assert density_of(Water()) == density("fresh")
    assert density_of(Water("salt")) == density("salt")
    assert density_of(Water("given", 1012.0)) == 1012.0
    assert GRAVITY == 9.80665
    with pytest.raises(UsageError, match="fresh"):
        density("frehs")


def test_loads_add_before_they_float():
    """Two masses apart float as their sum at their common centre."""
    body = Body(*solids.lump(2))
    parts = [Mass(100.0, np.array([0.1, 0.02, -0.05])), Mass(50.0, np.array([-0.1, -0.01, 0.0]))]
    both = total(parts)
    lying = rest(body, both.mass, both.centre, 1000.0)
    moment = sum(p.mass * (p.centre - lying.immersed.centroid) for p in parts)
    assert np.linalg.norm(moment - (moment @ lying.normal) * lying.normal) < 1e-7
