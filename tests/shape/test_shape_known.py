"""Hulls with known answers: the Wigley form, boxes and prisms from a table, an ellipse cut in a deck, the
canoe of 1883 by Simpson's rule."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from near import furthest
from scipy.special import ellipe

from hullview.boat.model import (
    Boat,
    Build,
    End,
    Hatch,
    HullForm,
    Opening,
    Planking,
    Schedule,
    Table,
    TableLine,
)
from hullview.boat.reader import read_boat
from hullview.shape.assemble import build_hull
from hullview.shape.body import Body
from hullview.shape.hull import Hull
from hullview.shape.surface import even_out, normals

UP = np.array([0.0, 0.0, 1.0])


def area(hull: Hull, *regions: str) -> float:
    f = hull.faces_of(*regions)
    a, b, c = hull.vertices[f.T]
    return float(np.linalg.norm(np.cross(b - a, c - a), axis=1).sum() / 2)


def length(points: np.ndarray) -> float:
    return float(np.linalg.norm(np.diff(points, axis=0), axis=1).sum())


def body(hull: Hull) -> Body:
    return Body(hull.vertices, hull.faces)


# ---------------------------------------------------------------- the Wigley form

L, B, T = 5.0, 0.5, 0.3125


def wigley(stations: int, waterlines: int, step: float = 0.0) -> Boat:
    """y = B/2 (1 - (2x/L)^2) (1 - (z/T)^2) below the water, carried up plumb by 120 mm; rounded to `step`
    if given."""

    def rounded(v: float) -> float:
        return round(v / step) * step if step else v

    def y(x: float, z: float) -> float:
        return rounded(B / 2 * (1 - (2 * x / L - 1) ** 2) * (1 - ((z - T) / T) ** 2))

    xs, zs = np.linspace(0, L, stations), np.linspace(0, T, waterlines)
    rows = [
        TableLine("height", "sheer", None, (T + 0.12,) * stations),
        TableLine("half-breadth", "sheer", None, tuple(y(x, T) for x in xs)),
        TableLine("height", "keel", None, (0.0,) * stations),
        *(TableLine("half-breadth", "waterline", float(z), tuple(y(x, z) for x in xs)) for z in zs[1:]),
        TableLine("half-breadth", "waterline", T + 0.06, tuple(y(x, T) for x in xs)),
    ]
    table = Table(tuple(xs.tolist()), tuple(rows), ("vee",) * stations, ("smooth",) * stations)
    return Boat("wigley", HullForm("open", "outside", table))


@pytest.mark.parametrize("stations, waterlines, within", [(11, 6, 5e-4), (21, 11, 3e-4)])
def test_wigley_table_gives_the_displacement_and_the_metacentres_of_the_form(stations, waterlines, within):
    """Algebra: V = 4/9 L B T, KB = 5 T / 8, BM = 3 B^2 / (35 T), BM_L = 3 L^2 / (40 T), water plane 2/3 L
    B, all about midships."""
    wet = body(build_hull(wigley(stations, waterlines))).immersed(UP, T)
    assert wet.volume == pytest.approx(4 / 9 * L * B * T, rel=within)
    assert wet.centroid[0] == pytest.approx(L / 2, rel=1e-4)
    assert wet.centroid[2] == pytest.approx(5 / 8 * T, rel=1e-3)
    assert wet.plane_area == pytest.approx(2 / 3 * L * B, rel=1e-3)
    assert wet.plane_second_moments[1, 1] / wet.volume == pytest.approx(3 * B**2 / (35 * T), rel=1e-3)
    assert wet.plane_second_moments[0, 0] / wet.volume == pytest.approx(3 * L**2 / (40 * T), rel=1e-3)


def test_wigley_wetted_area():
    """S = 0.148791 L^2 for B = L/10, T = L/16 by 200-point quadrature (the list of check values)."""
    wet = body(build_hull(wigley(21, 11))).immersed(UP, T)
    assert wet.wetted_area == pytest.approx(0.148791 * L**2, rel=1e-3)


@pytest.mark.parametrize("stations, waterlines", [(11, 6), (21, 11)])
def test_wigley_rounded_to_a_sixteenth_of_an_inch(stations, waterlines):
    wet = body(build_hull(wigley(stations, waterlines, 0.0254 / 16))).immersed(UP, T)
    assert wet.volume == pytest.approx(4 / 9 * L * B * T, rel=3e-3)


def test_more_offsets_come_nearer():
    errors = [
        abs(body(build_hull(wigley(*n))).immersed(UP, T).volume / (4 / 9 * L * B * T) - 1)
        for n in ((6, 4), (21, 11))
    ]
    assert errors[1] < errors[0] / 10


# ---------------------------------------------------------------- straight-sided boats


def straight(
    *,
    decked=False,
    chine=0.4,
    top=0.5,
    depth=0.3,
    length=4.0,
    openings=(),
    hatches=(),
    planking=(),
    inside=False,
) -> Boat:
    """A pram with plumb ends: flat bottom `chine` wide each side, straight sides out to `top`, at unequal
    stations; a flat deck or none."""
    xs = (0.0, 0.7, 1.1, 2.3, 3.1, length)
    n = len(xs)
    rows = [
        TableLine("height", "sheer", None, (depth,) * n),
        TableLine("half-breadth", "sheer", None, (top,) * n),
        TableLine("height", "keel", None, (0.0,) * n),
        TableLine("height", "chine", None, (0.0,) * n),
        TableLine("half-breadth", "chine", None, (chine,) * n),
    ]
    if decked:
        rows.append(TableLine("height", "deck", None, (depth,) * n))
    table = Table(xs, tuple(rows), ("flat",) * n, ("smooth",) * n)
    ends = End(((0.0, depth), (0.0, 0.0)), transom=True), End(((length, depth), (length, 0.0)), transom=True)
    form = HullForm(
        "decked" if decked else "open", "inside" if inside else "outside", table, bow=ends[0], stern=ends[1]
    )
    return Boat("pram", form, openings=openings, hatches=hatches, builds=(Build("one", Schedule(planking)),))


def test_a_pram_has_the_volume_the_regions_and_the_lines_of_its_prism():
    hull = build_hull(straight())
    section = (0.4 + 0.5) * 0.3
    assert body(hull).volume == pytest.approx(section * 4.0, rel=1e-12)
    assert area(hull, "hull") == pytest.approx(2 * 4.0 * (0.4 + np.hypot(0.1, 0.3)), rel=1e-9)
    assert area(hull, "transom") == pytest.approx(2 * section, rel=1e-9)
    assert area(hull, "lid") == pytest.approx(2 * 0.5 * 4.0, rel=1e-9)
    assert length(hull.lines["sheer"].points) == pytest.approx(4.0, rel=1e-9)
    assert length(hull.lines["chine"].points) == pytest.approx(4.0, rel=1e-9)
    assert length(hull.lines["keel"].points) == pytest.approx(4.0, rel=1e-9)
    for name, look in (("bow transom", -1.0), ("transom", 1.0)):
        assert hull.lines[name].deck_normals == pytest.approx(
            np.tile([look, 0, 0], (len(hull.lines[name].points), 1)), abs=1e-12
        )
    assert hull.lines["chine"].hull_normals[5] == pytest.approx([0, 0, -1], abs=1e-9)
    assert hull.lines["chine"].deck_normals[5] == pytest.approx(
        np.array([0, 0.3, -0.1]) / np.hypot(0.1, 0.3), abs=1e-9
    )


def test_girths_are_measured_along_the_section():
    hull = build_hull(straight())
    side = np.hypot(0.1, 0.3)
    at_chine = np.isclose(np.abs(hull.vertices[:, 1]), 0.4) & np.isclose(hull.vertices[:, 2], 0.0)
    assert at_chine.any()
    assert hull.girth_from_keel[at_chine] == pytest.approx(0.4, abs=1e-9)
    assert hull.girth_below_sheer[at_chine] == pytest.approx(side, abs=1e-9)


def test_planking_on_a_pram_is_mitred_at_its_chine_and_flush_with_its_transoms():
    """Outside of the planking by hand: the section grows by t along both skins, to the mitre at the chine;
    sheer and transoms stay.

    The bottom falls by t, the side moves out by t along its normal; sheer height and length are as before.
    """
    t = 0.01
    boat = straight(planking=(Planking("hull", "western redcedar", t, loss_outside=0.0),), inside=True)
    hull = build_hull(boat)
    slope = np.hypot(0.1, 0.3)
    out = t * slope / 0.3  # horizontally
    foot = 0.4 + out - t * 0.1 / 0.3  # half-breadth where the outer side meets the outer bottom
    section = (foot + 0.5 + out) * (0.3 + t)
    assert np.ptp(hull.vertices[:, 0]) == pytest.approx(4.0, abs=1e-9)
    assert hull.vertices[:, 2].min() == pytest.approx(-t, abs=1e-9)
    assert np.abs(hull.vertices[:, 1]).max() == pytest.approx(0.5 + out, abs=1e-6)
    assert body(hull).volume == pytest.approx(section * 4.0, rel=1e-6)


@pytest.mark.parametrize("rim", [0.0, 0.03])
def test_an_opening_is_cut_as_the_ellipse_it_is(rim):
    a, b = 0.45, 0.21
    opening = Opening(1.9, 2 * a, 2 * b, coaming=(rim, rim, rim))
    hull = build_hull(straight(decked=True, openings=(opening,)))
    around = 4 * a * ellipe(1 - (b / a) ** 2)
    line = hull.lines["coaming 1"]
    assert line.closed
    assert length(np.vstack([line.points, line.points[:1]])) == pytest.approx(around, rel=2e-3)
    off = np.abs(np.hypot((line.points[:, 0] - 1.9) / a, line.points[:, 1] / b) - 1.0)
    assert np.quantile(off, 0.9) < 1e-4
    assert off.max() < 0.01  # a rim point that would fall on a vertex is kept a fiftieth of an edge from it
    assert area(hull, "lid") == pytest.approx(np.pi * a * b, rel=4e-3)
    assert area(hull, "deck") == pytest.approx(4.0 - np.pi * a * b, rel=1e-3)
    if rim:
        assert area(hull, "coaming") == pytest.approx(around * rim, rel=3e-3)
    assert body(hull).volume == pytest.approx(0.27 * 4 + np.pi * a * b * rim, rel=1e-4)
    (flood,) = hull.flooding
    assert flood.points[:, 2] == pytest.approx(0.3 + rim, abs=1e-9)
    assert not flood.sealed_by_cover


def test_the_coaming_rises_as_it_is_given_fore_side_and_aft():
    hull = build_hull(
        straight(
            decked=True, openings=(Opening(2.0, 0.8, 0.4, coaming=(0.08, 0.02, 0.05), cover="spray deck"),)
        )
    )
    (flood,) = hull.flooding
    p = flood.points
    assert flood.sealed_by_cover
    assert p[p[:, 0].argmin(), 2] - 0.3 == pytest.approx(0.08, abs=1e-3)
    assert p[p[:, 0].argmax(), 2] - 0.3 == pytest.approx(0.05, abs=1e-3)
    assert p[np.abs(p[:, 0] - 2.0).argmin(), 2] - 0.3 == pytest.approx(0.02, abs=1e-3)


def test_an_outline_by_points_has_the_area_of_its_polygon():
    outline = ((1.2, 0.1), (1.6, 0.25), (2.3, 0.2), (2.6, 0.05))
    x, half = np.array(outline).T
    hull = build_hull(straight(decked=True, openings=(Opening(1.9, 1.4, 0.5, outline=outline),)))
    assert area(hull, "lid") == pytest.approx(2 * np.trapezoid(half, x), rel=6e-3)


def test_hatches_leave_their_cover_in_the_deck_and_flood_only_when_loose():
    two = (Hatch(0.9, 0.3, 0.24), Hatch(3.2, 0.36, 0.3, cover="loose"))
    hull = build_hull(straight(decked=True, hatches=two))
    assert area(hull, "hatch 1") == pytest.approx(np.pi * 0.15 * 0.12, rel=1e-2)
    assert area(hull, "hatch 2") == pytest.approx(np.pi * 0.18 * 0.15, rel=1e-2)
    assert area(hull, "deck", "hatch") == pytest.approx(4.0, rel=1e-9)
    assert [f.name for f in hull.flooding] == ["hatch 2"]


def test_an_open_boat_floods_over_its_sheer_on_both_sides():
    (flood,) = build_hull(straight()).flooding
    assert flood.name == "sheer"
    assert sorted(set(np.round(flood.points[:, 1], 9))) == [-0.5, 0.5]


# ---------------------------------------------------------------- the canoe of 1883


@pytest.mark.parametrize("inches, square_feet", [(2, 14.2222), (4, 18.7639), (6, 21.1528)])
def test_waterplane_areas_of_the_canoe_of_1883_agree_with_simpsons_rule(inches, square_feet):
    """Stephens, Canoe and Boat Building, 4th ed. 1889, Plate XI; areas by Simpson's rule over it 15 stations,
    12 in apart.

    Half a per cent: the stem profiles, which the plate does not give, are ours.
    """
    canoe = body(build_hull(read_boat(Path(__file__).parents[2] / "models" / "cruising-canoe-1883")))
    assert canoe.immersed(UP, inches * 0.0254).plane_area == pytest.approx(square_feet * 0.3048**2, rel=5e-3)


# ---------------------------------------------------------------- kinds of rows


def test_diagonals_rabbets_and_buttocks_are_passed_like_waterlines():
    """A half-ellipse section kept along the boat, its ends plumb: the same points given as one kind of row
    or another."""
    xs, depth, half = (0.0, 0.9, 1.5, 2.8, 4.0), 0.4, 0.5
    n = len(xs)

    def y(z: float) -> float:
        return half * np.sqrt(1 - (1 - z / depth) ** 2)

    common = [
        TableLine("height", "sheer", None, (depth,) * n),
        TableLine("half-breadth", "sheer", None, (half,) * n),
        TableLine("height", "keel", None, (0.0,) * n),
    ]
    angle = np.radians(40.0)
    # distance along a diagonal from the centre line at the sheer's height, down at 40 degrees, to the ellipse
    r = 1 / np.hypot(np.cos(angle) / half, np.sin(angle) / depth)
    waterlines = [TableLine("half-breadth", "waterline", z, (float(y(z)),) * n) for z in (0.05, 0.12, 0.25)]
    buttocks = [
        TableLine("height", "buttock", b, (float(depth - depth * np.sqrt(1 - (b / half) ** 2)),) * n)
        for b in (0.15, 0.3)
    ]
    diagonal = [TableLine("half-breadth", "diagonal", depth, (float(r),) * n, angle=float(angle))]
    for rows in (waterlines + buttocks, waterlines + diagonal, waterlines + buttocks + diagonal):
        boat = Boat(
            "trough",
            HullForm("open", "outside", Table(xs, tuple(common + rows), ("round",) * n, ("smooth",) * n)),
        )
        hull = build_hull(boat)
        assert furthest(boat, hull)[0] < 0.0005
        assert body(hull).volume == pytest.approx(np.pi / 2 * half * depth * 4.0, rel=3e-3)


# ---------------------------------------------------------------- evening out


def _half_pipe(rows: int, columns: int, radius=0.3, length=3.0) -> np.ndarray:
    t = np.linspace(0, np.pi / 2, rows)
    x = np.linspace(0, length, columns)
    grid = np.empty((rows, columns, 3))
    grid[..., 0] = x
    grid[..., 1] = (radius * np.sin(t))[:, None]
    grid[..., 2] = (-radius * np.cos(t))[:, None]
    return grid


def _section_area(grid: np.ndarray) -> float:
    """Area between a column of points and the centre line [m2]."""
    y, z = grid[:, 1, 1], grid[:, 1, 2]
    return float(abs(np.sum(y[:-1] * z[1:] - y[1:] * z[:-1])) / 2)


def test_evened_out_vertices_enclose_what_the_circle_encloses():
    """An inscribed polygon of a quarter circle loses h^2 / (6 r^2) of its area; moved out, it loses its
    ends' share alone, and the error falls at third order or better."""
    exact = np.pi * 0.3**2 / 4
    lost = {}
    for rows in (9, 17, 33):
        grid = _half_pipe(rows, 5)
        evened = even_out(grid, (), normals(grid, np.array([0.0, 1.0, -1.0])), np.ones(5, bool))
        lost[rows] = (1 - _section_area(grid) / exact, 1 - _section_area(evened) / exact)
        h = np.pi / 2 / (rows - 1)
        assert lost[rows][0] == pytest.approx(h**2 / 6, rel=0.05)
        assert np.abs(np.hypot(evened[..., 1], evened[..., 2]) - 0.3).max() < 0.3 * h**2 / 10
    assert lost[9][1] < lost[9][0] / 5
    assert abs(lost[33][1]) < abs(lost[17][1]) / 6


def test_refining_the_rows_changes_the_volume_less_and_less():
    from hullview.shape import assemble

    boat = wigley(21, 11)
    lofted = assemble.read_sections(boat)
    volumes = [
        body(assemble._build(boat, lofted, assemble.choose_net(lofted, c), None)).volume for c in (4, 2, 1)
    ]
    assert abs(volumes[2] - volumes[1]) < abs(volumes[1] - volumes[0]) / 3
    assert volumes[2] == pytest.approx(volumes[1], rel=1e-4)


def test_corners_stay_where_they_are_when_evened_out():
    grid = _half_pipe(13, 5)
    evened = even_out(grid, (6,), normals(grid, np.array([0.0, 1.0, -1.0])), np.zeros(5, bool))
    assert evened[6] == pytest.approx(grid[6], abs=1e-15)
    assert evened[0] == pytest.approx(grid[0], abs=1e-15)
    assert evened[-1] == pytest.approx(grid[-1], abs=1e-15)
    assert evened[:, [0, -1]] == pytest.approx(grid[:, [0, -1]], abs=1e-15)


def test_moved_chines_do_not_depend_on_which_skin_is_named_first():
    from hullview.shape.offset import mitre

    one, other = np.array([0.0, 0.6, -0.8]), np.array([0.0, 1.0, 0.0])
    assert mitre(one, other, 0.006, 0.004) == pytest.approx(mitre(other, one, 0.004, 0.006), abs=1e-15)
    shift = mitre(one, other, 0.006, 0.004)
    assert (shift @ one, shift @ other) == pytest.approx((0.006, 0.004), abs=1e-15)


@pytest.mark.parametrize("degrees", [0.0, 2.0, 15.0, 40.0, 90.0, 110.0])
def test_skins_of_one_thickness_are_mitred_at_any_angle(degrees):
    """Two skins that turn by an angle: the corner moves out by t / cos(angle / 2) along the middle."""
    from hullview.shape.offset import mitre

    half = np.radians(degrees / 2)
    one, other = np.array([0, np.sin(half), np.cos(half)]), np.array([0, -np.sin(half), np.cos(half)])
    assert mitre(one, other, 0.006, 0.006) == pytest.approx([0, 0, 0.006 / np.cos(half)], abs=1e-12)


def test_replacing_a_profile_by_its_own_points_changes_nothing():
    boat = straight()
    twice = replace(
        boat, hull=replace(boat.hull, stern=End(((4.0, 0.3), (4.0, 0.2), (4.0, 0.0)), transom=True))
    )
    assert body(build_hull(twice)).volume == pytest.approx(body(build_hull(boat)).volume, rel=1e-12)
