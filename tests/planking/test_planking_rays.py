"""Strips laid on surfaces whose parallels have formulas: sphere, torus, cylinder and cone, each on a grid
whose columns lean and bunch (a grid of latitudes proves nothing: it is right by symmetry)."""

import numpy as np
import pytest

from hullview.planking.lines import strip_lines
from hullview.planking.rays import front, shoot, starts
from hullview.planking.skin import skin_spline

U, V = np.meshgrid(np.linspace(0, 1, 61), np.linspace(0, 1, 41))
LEANING = U**1.2 + 0.25 * V * U * (1 - U)
ACROSS = V + 0.15 * V * (1 - V) * np.sin(3 * U)


def sphere(r):
    """From the equator to latitude 0.9."""
    lon, lat = 1.2 * LEANING, 0.9 * ACROSS
    return r * np.stack([np.cos(lat) * np.sin(lon), np.cos(lat) * np.cos(lon), np.sin(lat)], axis=-1)


def torus(big, small):
    """From the outer equator round to 2 rad of the ring's own section."""
    lon, t = 1.2 * LEANING, 2.0 * ACROSS
    out = big + small * np.cos(t)
    return np.stack([out * np.sin(lon), out * np.cos(lon), small * np.sin(t)], axis=-1)


def rays_of(points, step=0.004):
    skin = skin_spline(points)
    return shoot(skin, starts(skin), step)


def within(front_line, trim=0.1):
    """Indices away from the ends, where the edge of the grid itself cuts the front."""
    n = len(front_line.points)
    return slice(int(trim * n), n - int(trim * n))


@pytest.mark.parametrize("d", [0.05, 0.2, 0.4])
def test_parallels_of_a_sphere(d):
    """At distance d from the equator: z = R sin(d/R), edge-set tan(d/R)/R, bent 1/R, no twist."""
    r = 0.5
    f = front(rays_of(sphere(r)), d)
    assert f.points[:, 2] == pytest.approx(r * np.sin(d / r), abs=5e-4)  # the very ends are cut by chords
    assert f.points[within(f), 2] == pytest.approx(r * np.sin(d / r), abs=1e-6)
    assert np.abs(f.edge_set[within(f)]) == pytest.approx(np.tan(d / r) / r, rel=1e-3)
    assert np.abs(f.bend[within(f)]) == pytest.approx(1 / r, rel=1e-3)
    assert np.abs(f.twist[within(f)]).max() < 1e-3


@pytest.mark.parametrize("t", [0.4, 1.2, 1.9])
def test_parallels_of_a_torus(t):
    """At the angle t round the section, R + a cos t from the axis: edge-set sin t / that, bent cos t / that;
    its Gauss curvature changes sign at a quarter turn."""
    big, small = 0.8, 0.3
    f = front(rays_of(torus(big, small)), small * t)
    out = big + small * np.cos(t)
    # one end of the grid is a meridian itself: a ray along it may leave a little early
    assert f.points[:, 2] == pytest.approx(small * np.sin(t), abs=2e-3)
    assert f.points[within(f), 2] == pytest.approx(small * np.sin(t), abs=2e-5)
    assert np.abs(f.edge_set[within(f)]) == pytest.approx(np.sin(t) / out, rel=1e-3)
    assert np.abs(f.bend[within(f)]) == pytest.approx(abs(np.cos(t)) / out, abs=2e-3)
    assert np.abs(f.twist[within(f)]).max() < 5e-3


def helix(r, degrees):
    """A cylinder of radius r from a helix at an angle to its axis, 0.3 m square off it; the columns bunch."""
    a = np.radians(degrees)
    along, across = 1.1 * LEANING, 0.3 * V
    x, turn = along * np.cos(a) - across * np.sin(a), (along * np.sin(a) + across * np.cos(a)) / r
    return np.stack([x, r * np.sin(turn), r * np.cos(turn)], axis=-1)


@pytest.mark.parametrize("degrees", [0, 20, 50, 90])
def test_helices_on_a_cylinder_have_no_edge_set(degrees):
    """At the angle a to the axis: edge-set 0, bent sin^2 a / R, twist sin a cos a / R, and the sign of the
    twist is that of the angle."""
    r, a = 0.4, np.radians(degrees)
    for sign in (1, -1):
        f = front(rays_of(helix(r, sign * degrees)), 0.11)
        assert np.abs(f.edge_set[within(f)]).max() < 1e-4
        assert np.abs(f.bend[within(f)]) == pytest.approx(np.sin(a) ** 2 / r, abs=3e-3)
        assert np.abs(f.twist[within(f)]) == pytest.approx(np.sin(a) * np.cos(a) / r, abs=3e-3)
    one, other = (front(rays_of(helix(r, q)), 0.11).twist.mean() for q in (40, -40))
    assert one == pytest.approx(-other, rel=1e-3)


def test_rings_of_a_cone():
    """From a ring of radius r down towards the point, half angle b: edge-set sin b / radius there."""
    b, r = np.radians(25), 0.5
    s, turn = 0.6 * ACROSS, 1.2 * LEANING
    out = r - s * np.sin(b)
    f = front(rays_of(np.stack([s * np.cos(b), out * np.sin(turn), out * np.cos(turn)], axis=-1)), 0.3)
    there = r - 0.3 * np.sin(b)
    assert f.points[within(f), 0] == pytest.approx(0.3 * np.cos(b), abs=1e-6)
    assert np.abs(f.edge_set[within(f)]) == pytest.approx(np.sin(b) / there, rel=1e-3)
    assert np.abs(f.bend[within(f)]) == pytest.approx(np.cos(b) / there, rel=1e-3)


@pytest.mark.parametrize("points", [sphere(0.5), torus(0.8, 0.3)], ids=["sphere", "torus"])
def test_spread_of_the_rays_is_how_far_neighbours_are_apart(points):
    """J, carried by Jacobi's equation, against the chord between two rays a hair apart."""
    skin = skin_spline(points)
    near = np.array([0.5 - 1e-5, 0.5 + 1e-5])
    rays = shoot(skin, near, 0.004)
    at = [skin.at(rays.u[k], rays.v[k]).p for k in (0, 60)]
    apart = [np.linalg.norm(p[1] - p[0]) for p in at]
    assert rays.spread[60].mean() == pytest.approx(apart[1] / apart[0], rel=1e-3)


def test_a_front_ends_on_the_skins_own_edge():
    """A flat sheet that narrows: the front at d is cut by both raking ends, between two rays as truly as on
    one."""
    x0, x1 = 0.7 * V, 3.0 - 0.4 * V
    flat = np.stack([x0 + (x1 - x0) * U, 0 * U, -V], axis=-1)
    rays = rays_of(flat, step=0.008)
    for d in np.linspace(0.013, 0.93, 7):
        f = front(rays, d)
        assert f.points[0] == pytest.approx([0.7 * d, 0, -d], abs=6e-4)
        assert f.points[-1] == pytest.approx([3.0 - 0.4 * d, 0, -d], abs=6e-4)
    assert front(rays, 1.01) is None


def test_rays_past_the_ends_cover_ends_that_run_on_below_the_sheer():
    """The same sheet upside down: below the sheer it is longer than the sheer is, and strips run on to its
    ends all the same."""
    from hullview.shape.hull import SurfaceGrid

    x0, x1 = -0.1 * V, 3.0 + 0.15 * V
    flat = np.stack([x0 + (x1 - x0) * U, 0 * U, -0.5 * V], axis=-1)
    grid = SurfaceGrid(flat, np.tile([0.0, 1.0, 0.0], (*U.shape, 1)))
    strips = strip_lines(grid, 0.05, sheer_row=0)
    assert [s.number for s in strips] == list(range(1, 11))
    for s in strips:
        down = (s.number - 0.5) * 0.05
        # the very last may end by a ray's spacing short of a corner
        short = 5e-4 if s is not strips[-1] else 0.013
        assert s.length == pytest.approx(3.0 + 0.25 * down / 0.5, abs=short)


def test_a_normal_turned_round_turns_bend_and_twist_but_no_place():
    from hullview.shape.hull import SurfaceGrid

    p = helix(0.4, 30)
    n = p * [0.0, 1.0, 1.0] / 0.4
    out, into = (strip_lines(SurfaceGrid(p, sign * n), 0.05, sheer_row=0) for sign in (1, -1))
    for a, b in zip(out, into):
        assert a.bend == pytest.approx(-b.bend) and a.twist == pytest.approx(-b.twist)
        assert a.points == pytest.approx(b.points)
        assert a.bend[5] < 0  # bent round a convex skin: its curvature points in
