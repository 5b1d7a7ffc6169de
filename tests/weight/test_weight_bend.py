"""Will it bend: lines on cylinder, cone, helicoid and sphere against what the books say of them; sticks
and lights by hand."""

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from weight_boats import decked_box, solo_canoe
from weight_hulls import box

from hullview.boat.model import Build, Planking, Run, Schedule
from hullview.boat.reader import read_boat
from hullview.boat.wording import at_most
from hullview.materials import library
from hullview.planking.lines import strip_lines
from hullview.shape.assemble import build_hull
from hullview.shape.hull import Hull, NamedLine, SurfaceGrid
from hullview.show.text import text
from hullview.show.units import in_words
from hullview.tell.bend import headline, planes, plies, strips_table, tapered
from hullview.tell.model import Section, Telling
from hullview.weight.bend import (
    DRY,
    HOT,
    LIGHTS,
    THINNER,
    WET,
    Along,
    bend,
    curvature,
    form_radii,
    light,
    severity_at,
    turn_within,
    twist_limits,
    worst,
)

MODELS = Path(__file__).parents[2] / "models"
CEDAR = library().wood("western redcedar")


def inner(values, trim=12):
    return np.asarray(values)[trim:-trim]


# ---------------------------------------------------------------- twist


def test_the_turn_within_a_span_of_a_ruling_that_twists():
    """The ruling of a helicoid (u cos v, u sin v, c v): its normal turns c / (c^2 + u^2) a metre."""
    c = 0.25
    u = np.linspace(-0.3, 0.5, 200)
    a = Along(u - u[0], 0 * u, 0 * u, c / (c * c + u * u))
    turn, i = turn_within(a, 0.3)
    assert turn == pytest.approx(2 * np.arctan(0.15 / c), rel=1e-3)  # widest about the middle of the ruling
    assert u[i] == pytest.approx(-0.15, abs=0.005)


# ---------------------------------------------------------------- strips laid on a whole skin


def sphere_grid(r: float = 0.5, rows: int = 33, columns: int = 61) -> SurfaceGrid:
    """A quarter sphere zone, the sheer on its equator; columns bunched and leaning, as they are near a
    stem."""
    down = np.linspace(1.2, 0.0, rows)
    lon = np.linspace(0.2, 2.6, columns) ** 1.3
    lon = 0.2 + (lon - lon[0]) * 2.4 / (lon[-1] - lon[0])
    n = np.array(
        [
            [[-np.cos(t + 0.25 * d) * np.cos(d), np.sin(t + 0.25 * d) * np.cos(d), -np.sin(d)] for t in lon]
            for d in down
        ]
    )
    return SurfaceGrid(r * n, n)


def test_strips_on_a_sphere_are_its_parallels():
    """From the equator down, strip i lies at latitude (i - 1/2) face / R, whatever way the columns lean:
    edge-set tan(latitude) / R."""
    r, face = 0.5, 0.02
    strips = strip_lines(sphere_grid(r), face)
    assert len(strips) == int(np.ceil(1.2 * r / face))
    for s in strips[:-2]:
        latitude = (s.number - 0.5) * face / r
        z = inner(s.points[:, 2], 60)
        assert z == pytest.approx(-r * np.sin(latitude), abs=2e-5)
        assert np.abs(inner(s.bend, 60)) == pytest.approx(1 / r, rel=2e-3)
        assert np.abs(inner(s.edge_set, 60)) == pytest.approx(np.tan(latitude) / r, rel=1e-3, abs=2e-3)
        assert np.abs(inner(s.twist, 60)).max() < 2e-3


def test_strips_on_a_cylinder_are_straight():
    r = 0.4
    down = np.linspace(np.pi / 2, 0, 41)
    x = np.concatenate([np.linspace(0, 0.3, 20), np.linspace(0.33, 3.0, 40)])
    n = np.array([[[0.0, np.cos(d), -np.sin(d)] for _ in x] for d in down])
    p = r * n + np.array([[[v, 0.0, 0.0] for v in x] for _ in down])
    strips = strip_lines(SurfaceGrid(p, n), 0.0158)
    assert len(strips) == int(np.ceil(r * np.pi / 2 / 0.0158))
    for s in strips:
        assert max(np.abs(v).max() for v in (s.bend, s.edge_set, s.twist)) < 1e-4
        assert s.length == pytest.approx(3.0, rel=1e-6)


def fan(sheer: float = 1.0, keel: float = 0.05) -> Hull:
    """A flat skin between two arcs about one point: parallels from the sheer are arcs of radius R - d,
    straight across the flat."""
    a = np.linspace(0.0, 1.2, 41)
    r = np.linspace(keel, sheer, 61)
    p = np.array([[[q * np.sin(t), q * np.cos(t), 0.0] for t in a] for q in r])
    return replace(box(decked=False), side=SurfaceGrid(p, np.tile([0.0, 0.0, -1.0], (61, 41, 1))))


def test_edge_set_past_its_red_light_is_tapered_and_no_alarm():
    """Red light of cedar: w / 2R = 2 MOR / MOE, R = 0.71 m for 19 mm. Under 5 widths "tighter than";
    nothing within 2 widths of the keel."""
    plank = Planking("hull", "western redcedar", 0.006)
    skin = bend(boat(planking=(plank,)), fan()).strips[0]
    red = 0.019 / 2 / (2 * 51.7e6 / 7.7e9)
    for s in skin.strips:
        radius = 1.0 - (s.number - 0.5) * 0.019 * 5 / 6
        assert s.edge_set.radius == pytest.approx(radius, rel=0.03) or radius < 0.12
        assert bool(s.tapers) == (radius < red) or abs(radius / red - 1) < 0.05
        assert s.light == (WET if radius < red * 2 / 0.7 else DRY) or abs(radius / red - 1) < 0.05
        assert np.hypot(s.points[:, 0], s.points[:, 1]).min() > 0.05 + 2 * 0.019 - 0.001
    assert skin.tightest_told == pytest.approx(0.095) and skin.tapered and not skin.too_stiff
    assert skin.worst_edge_set.edge_set.radius < skin.tightest_told
    told = " ".join(text(Telling((Section("bend", "", (strips_table((skin,)),)),))).split())
    assert "tighter than R 95 mm" in told and told.endswith("taper")
    printed = in_words(tapered(skin))
    first = min(s.number for s in skin.tapered)
    assert (
        f"Strips {first} to {skin.strips[-1].number} from the sheer on the hull" in printed
        and "as on most boats" in printed
    )


def test_both_planes_are_told_each_with_its_own_radius_and_its_own_limits():
    """Ash, MOR / MOE = 103 / 12000. Across the plies R = 0.5 m less half the stick's 10 mm; edgewise the
    rise of 1 1/m."""
    rim = Run("sheer", "lamination", wood="white ash", plies=2, ply_thickness=0.005, depth=0.02)
    s = bend(boat(rim), quarter(0.5, camber=1.0)).sticks[0]
    strain = 103e6 / 12.0e9
    for bent, limits in ((s.flat, s.plies_take), (s.edge, s.depth_takes)):
        most = {t.how: t.most for t in limits}
        assert most[DRY] == pytest.approx(2 * bent.radius * 0.7 * strain, rel=1e-6)
        assert most[WET] == pytest.approx(2 * bent.radius * 2.0 * strain, rel=1e-6)
    assert s.flat.radius != pytest.approx(s.edge.radius, rel=0.2)
    (across, flat, plies_say), (deep, edge, depth_says) = (
        tuple(p if p in (s.flat, s.edge) else in_words(p) for p in plane) for plane in planes(s)
    )
    assert (
        across == "2 plies of 5 mm, across them" and flat is s.flat and plies_say.startswith("plies: dry to")
    )
    assert deep == "20 mm deep, edgewise" and edge is s.edge
    assert f"dry to {int(s.depth_takes[0].most * 1e4) / 10:.1f} mm" in depth_says


def test_a_stem_that_thin_plies_take_wet_is_no_stem_to_be_sawn():
    """Ash round 100 mm: dry to 1.2 mm (14 plies of 15.9 mm), steamed to 3.4 mm. It was once told "none:
    saw or steam"."""
    stem = Run(
        "sheer", "lamination", wood="white ash", plies=5, ply_thickness=0.003175, depth=0.019, side="outside"
    )
    s = bend(boat(stem), quarter(0.1 - 5 * 0.003175 / 2)).sticks[0]
    assert s.flat.radius == pytest.approx(0.1, rel=1e-3) and s.flat.light == WET and not s.sawn
    dry, wet, hot = s.plies_take
    assert not dry.sensible and wet.most == pytest.approx(0.00343, rel=0.01) and wet.pieces == 5
    assert hot.most == wet.most  # a hot pipe is for plies of 3 mm and less
    assert in_words(plies(s)) == "plies: none dry; soaked and steamed to 3.4 mm (5 plies)"


def test_thin_plies_over_a_hot_pipe_and_what_no_ply_takes():
    """Ash round 36 mm: steamed 1.2 mm, over a hot pipe 1.85 mm, which 1/16 in is under; round 20 mm only
    1.03 mm, which no saw makes."""

    def stem(ply: float, radius: float):
        run = Run(
            "sheer", "lamination", wood="white ash", plies=10, ply_thickness=ply, depth=0.019, side="outside"
        )
        return bend(boat(run), quarter(radius - 10 * ply / 2)).sticks[0]

    thin = stem(0.0016, 0.036)
    assert [t.sensible for t in thin.plies_take] == [False, False, True] and thin.best.how == HOT
    assert thin.flat.light == HOT == thin.light and not thin.sawn
    assert (
        in_words(plies(thin), "imperial") == 'plies: none dry or steamed; over a hot pipe to 1/16" (11 plies)'
    )
    tight = stem(0.0016, 0.020)
    assert tight.sawn and tight.light == THINNER
    assert (
        in_words(plies(tight), "imperial")
        == 'no ply of 1/16" or more takes that, dry, steamed or hot: saw it out'
    )
    run = Run(
        "sheer", "lamination", wood="white ash", plies=10, ply_thickness=0.0016, depth=0.019, side="outside"
    )
    report = bend(boat(run), quarter(0.020 - 0.008))
    assert in_words(headline(report)).endswith("will not bend: saw it out")


def test_a_stick_past_its_red_light_in_both_planes_is_told_of_both():
    log = Run("sheer", "solid", wood="Douglas-fir", thickness=0.02, depth=0.06)
    report = bend(boat(log), quarter(0.3, camber=2.0))
    assert report.sticks[0].flat.light == report.sticks[0].edge.light == THINNER
    printed = in_words(headline(report))
    assert "wants plies of at most" in printed and "of depth" in printed and "bent dry" in printed


def test_limits_are_never_rounded_up():
    assert at_most(0.00239, "metric") == pytest.approx(0.0023) and at_most(
        0.0229, "imperial"
    ) == pytest.approx(14 / 16 * 0.0254)
    for size in np.linspace(0.0005, 0.05, 77):
        assert all(at_most(size, u) <= size for u in ("metric", "imperial"))


def test_strips_begin_anew_at_a_knuckle():
    x = np.linspace(0, 2, 30)
    y = [(0.0, 0.0), (0.1, 0.0), (0.2, 0.0), (0.2, 0.1), (0.2, 0.2), (0.2, 0.3)]
    p = np.array([[[v, b, z] for v in x] for b, z in y])
    n = np.array([[[0.0, 0.0, -1.0] if i < 3 else [0.0, 1.0, 0.0] for _ in x] for i in range(6)])
    strips = strip_lines(SurfaceGrid(p, n, (2,)), 0.05)
    assert [s.panel for s in strips] == [0] * 6 + [1] * 4
    assert strips[0].points[0] == pytest.approx([0, 0.2, 0.275])
    assert strips[6].points[0] == pytest.approx([0, 0.175, 0.0])


# ---------------------------------------------------------------- sticks


def test_curvature_of_a_ring_and_of_an_uneven_ellipse():
    rng = np.random.default_rng(1)
    a = np.sort(rng.uniform(0, 2 * np.pi, 300))
    ring = np.column_stack([0.3 * np.cos(a), 0.3 * np.sin(a), 0 * a])
    k = np.sqrt((curvature(ring, True) ** 2).sum(axis=1))
    assert k == pytest.approx(1 / 0.3, rel=0.01)
    ellipse = ring * [1.5, 0.8, 1.0] + rng.normal(scale=2e-5, size=ring.shape)
    k = np.sqrt((curvature(ellipse, True) ** 2).sum(axis=1))
    tightest = 0.45 / 0.24**2
    assert k.max() == pytest.approx(tightest, rel=0.08)


def test_curvature_of_an_open_arc():
    a = np.linspace(0, 1.4, 60) ** 1.2
    arc = np.column_stack([0.25 * np.sin(a), 0 * a, 0.25 * np.cos(a)])
    k = curvature(arc, False)
    assert np.sqrt((k**2).sum(axis=1)) == pytest.approx(4.0, rel=1e-3)
    assert k[30] / 4.0 == pytest.approx(-arc[30] / 0.25, abs=1e-3)


def quarter(r: float, camber: float = 0.0):
    """A box whose sheer is a quarter circle of radius r in plan, rising on a parabola of curvature
    `camber`."""
    a = np.linspace(0, np.pi / 2, 200)
    x, y = r * np.sin(a), r * np.cos(a)
    points = np.column_stack([x, y, 0.4 + camber / 2 * (r * a) ** 2])
    normals = np.column_stack([np.sin(a), np.cos(a), 0 * a])
    h = box(decked=False)
    return replace(
        h, lines={**h.lines, "sheer": NamedLine("sheer", points, True, False, normals, np.zeros_like(points))}
    )


def boat(*runs: Run, planking: tuple[Planking, ...] = ()):
    return replace(decked_box(), builds=(Build("only", Schedule(planking, runs=runs)),))


def test_a_clamp_round_a_quarter_circle():
    """Flat radius R - planking - half the clamp; strain of a ply t / 2R; thickest dry ply 2 R x 0.7 MOR /
    MOE; plies for the same thickness."""
    r, t = 0.8, 0.006
    clamp = Run("sheer", "lamination", wood="western redcedar", plies=4, ply_thickness=0.005, depth=0.018)
    plank = Planking("hull", "western redcedar", t, loss_outside=0, loss_inside=0)
    s = bend(boat(clamp, planking=(plank,)), quarter(r)).sticks[0]
    radius = r - t - 0.010
    assert s.flat.radius == pytest.approx(radius, rel=1e-3) and s.flat.strain == pytest.approx(
        0.005 / 2 / radius, rel=1e-3
    )
    assert s.edge.radius > 100 and not s.free
    dry = 0.7 * 51.7e6 / 7.7e9
    assert s.plies_take[0].most == pytest.approx(2 * radius * dry, rel=1e-3)
    assert s.plies_take[0].pieces == int(np.ceil(0.020 / (2 * radius * dry))) == 3
    assert s.flat.light == DRY and s.springback_elastic == 1 / 16 and s.springback_rival == 1 / 4


def test_both_planes_are_told_apart():
    """A sheer that rises as well: 0.5 1/m of rise bends the clamp across its depth, 18 mm / 2 x 0.5 = 0.45
    %."""
    clamp = Run("sheer", "lamination", wood="Sitka spruce", plies=2, ply_thickness=0.005, depth=0.018)
    s = bend(boat(clamp), quarter(1.2, camber=0.5)).sticks[0]
    assert s.edge.strain == pytest.approx(0.009 * 0.5, rel=0.2)
    assert s.flat.strain == pytest.approx(0.0025 / 1.2, rel=0.25)


def test_points_on_top_of_one_another_bend_nothing():
    """A keel line ends in such points where a stem joins it at a station: they have no direction, and are
    one point."""
    keel = Run("keel", "solid", wood="white ash", thickness=0.016, depth=0.013, side="outside")
    x = np.linspace(0.2, 3.2, 61)
    points = np.column_stack([x, 0 * x, 0.01 * (x - 1.7) ** 2])
    twice = np.concatenate([np.repeat(points[:1], 4, axis=0), points, np.repeat(points[-1:], 6, axis=0)])
    twice[-3:, 0] += 1e-10
    h = box()
    lines = [
        NamedLine(
            "keel", p, False, False, np.tile([0.0, 0, -1], (len(p), 1)), np.tile([0.0, 0, -1], (len(p), 1))
        )
        for p in (points, twice)
    ]
    once, again = (bend(boat(keel), replace(h, lines={**h.lines, "keel": line})).sticks[0] for line in lines)
    assert again.flat.radius == pytest.approx(once.flat.radius, rel=1e-6) == pytest.approx(50, rel=0.01)


def test_a_run_cut_short_is_judged_on_its_own_length():
    whole = Run("sheer", "solid", wood="white ash", thickness=0.02, depth=0.02, side="outside")
    a = np.linspace(0, 1, 200)
    points = np.column_stack([2 * a, 0.3 + 0.2 * a**4, 0.4 + 0 * a])
    normals = np.tile([0.0, 1.0, 0.0], (200, 1))
    h = box(decked=False)
    h = replace(
        h, lines={**h.lines, "sheer": NamedLine("sheer", points, True, False, normals, np.zeros_like(points))}
    )
    full, part = (bend(boat(r), h).sticks[0] for r in (whole, replace(whole, end=1.0)))
    assert full.flat.where > 1.5 and part.flat.where <= 1.0 and part.flat.strain < full.flat.strain


def test_lights_stand_where_they_say():
    limit = 51.7e6 / 7.7e9
    for strain, expected in (
        (0.69 * limit, DRY),
        (0.71 * limit, WET),
        (1.99 * limit, WET),
        (2.01 * limit, THINNER),
    ):
        assert light(strain, CEDAR) == expected
    assert worst([DRY, THINNER, WET]) == THINNER and worst([]) == DRY and LIGHTS == (DRY, WET, THINNER)
    # evidence on what breaks runs from R / t = 20 to over 128 (common practice): the green light starts
    # within it, the red one too
    for wood in library().woods.values():
        green, red = 1 / (2 * 0.7 * wood.breaking_strain), 1 / (2 * 2.0 * wood.breaking_strain)
        assert 20 < red < green < 128


def test_twist_limits_by_the_evidence():
    """A 1/4 by 3/4 in strip broke at 90 deg in under 30 in; 90 deg in 18 in went with narrower ones
    (common practice, no source)."""
    dry, wet = twist_limits(0.00635, 0.019)
    assert np.degrees(wet) * 30 * 0.0254 == pytest.approx(90) and dry == pytest.approx(0.6 * wet)
    assert twist_limits(0.00635, 0.0095)[1] > np.radians(90) / (18 * 0.0254)


def test_springback_by_both_rules():
    """Elastic 1/n^2 (Forests 2020, 11(7), 725 in range); the rival rule R (n - 1)/n asks far more at few
    plies."""
    assert form_radii(0.3, 2) == pytest.approx((0.225, 0.15))
    assert form_radii(0.3, 8) == pytest.approx((0.3 * 63 / 64, 0.3 * 7 / 8))
    for n in range(2, 12):
        assert form_radii(1.0, n)[1] < form_radii(1.0, n)[0] < 1.0


# ---------------------------------------------------------------- on a boat


@pytest.fixture(scope="module")
def canoe():
    b = solo_canoe()
    hull = build_hull(b)
    return hull, bend(b, hull)


def test_a_fair_canoe(canoe):
    _, report = canoe
    skin = report.strips[0]
    assert skin.where == "hull" and 25 < len(skin.strips) < 45
    upper = skin.strips[:15]
    assert all(s.bend.light == DRY and s.edge_set.light == DRY for s in upper)
    assert {s.along for s in report.sticks} == {"sheer", "bow stem", "stern stem"}
    assert all(s.free for s in report.sticks if "stem" in s.along)
    assert report.light in LIGHTS and "scrap" in report.MEASURED


@pytest.mark.parametrize("name", ["short-kayak", "open-canoe", "cruising-canoe-1883"])
def test_fair_models_ask_no_absurd_bends(name):
    """Parallels crowd into a cusp at the foot of a stem: such places are tapers near the ends, and no
    strip is read within 2 widths of the centre line."""
    b = read_boat(MODELS / name)
    hull = build_hull(b)
    report = bend(b, hull)
    skin = report.strips[0]
    assert skin.light != THINNER
    centre = np.concatenate([hull.lines[k].points for k in ("bow stem", "keel", "stern stem")])
    length = np.ptp(hull.sheer[:, 0])
    for s in skin.strips:
        assert all(x < 0.12 * length or x > 0.88 * length for x in s.tapers)
        apart = np.sqrt(((s.points[:, None] - centre[None]) ** 2).sum(axis=2)).min(axis=1)
        assert apart.min() > 2 * skin.width - 0.005  # half the siding beside the stem
        assert s.tapers or s.edge_set.radius > 0.5
    for s in report.sticks:
        assert s.along != "keel" or (s.flat.radius > 3 and s.plies_take[0].pieces == 1)


def test_colours_of_bend_reach_every_vertex(canoe):
    hull, report = canoe
    value = severity_at(report, hull.vertices)
    assert np.isfinite(value).all() and (value >= 0).all()
    mirrored = severity_at(report, hull.vertices * [1, -1, 1])
    assert mirrored == pytest.approx(value)
    assert np.isnan(severity_at(report, hull.vertices, "deck")).all()
