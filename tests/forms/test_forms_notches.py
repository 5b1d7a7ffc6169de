"""The clamp, as a solid led through all notches, against what the bench table says: cut from a mesh of its
own with trimesh, which knows nothing of how the notches were drawn."""

from __future__ import annotations

import dataclasses
import itertools
from functools import cache
from pathlib import Path

import numpy as np
import pytest
import trimesh
from shapely import LineString, Point, Polygon
from shapely.ops import polygonize

from hullview.boat.reader import read_boat
from hullview.errors import UsageError
from hullview.forms.bench import clamp_work
from hullview.forms.make import make_forms
from hullview.weight.customs import customs

MODELS = Path(__file__).parents[2] / "models"
BOATS = ("short-kayak", "open-canoe", "pulling-dinghy")
CLOSE = 5e-5
"""Asked for by the issue: 0.05 mm."""


@cache
def made_of(name, edge="square"):
    return make_forms(read_boat(MODELS / name), edge=edge)


@cache
def solid_of(name, k=0):
    """A clamp of the boat as a closed mesh, swept in 1,500 steps."""
    clamp = made_of(name).clamps[k]
    rings = clamp.corners(np.linspace(clamp.arc[0], clamp.arc[-1], 1500))
    n, m = rings.shape[:2]
    i, j = (q.ravel() for q in np.meshgrid(np.arange(n - 1), np.arange(m), indexing="ij"))
    a, b = i * m + j, i * m + (j + 1) % m
    faces = np.concatenate([np.column_stack([a, b, b + m]), np.column_stack([a, b + m, a + m])])
    ends = np.array([[0, 2, 1], [0, 3, 2]])
    faces = np.concatenate([faces, ends, ends[:, ::-1] + (n - 1) * m])
    return trimesh.Trimesh(rings.reshape(-1, 3), faces, process=False)


def cut(mesh, x):
    """The section of a mesh by the plane of a station, as a polygon in half-breadth and height."""
    lines = trimesh.intersections.mesh_plane(mesh, [1.0, 0.0, 0.0], [x, 0.0, 0.0])[:, :, 1:]
    return max(polygonize([LineString(np.round(line, 10)) for line in lines]), key=lambda p: p.area)


def notches(name):
    made = made_of(name)
    for k, clamp in enumerate(made.clamps):
        for form in made.forms:
            for notch in form.notches:
                if notch.kind == "sheer" and notch.what == clamp.name:
                    yield k, form, notch


def faces_of(form, count=7):
    return np.linspace(form.x, form.x + form.sign * form.thickness, count)


def frame(quad, form):
    """Unit vectors outward and down along the stick's outer face, in the plane of a form."""
    p = np.array(quad.convex_hull.simplify(1e-6).exterior.coords)[:-1]
    sides = np.roll(p, -1, axis=0) - p
    steep = np.argsort(-np.abs(sides[:, 1]) / np.linalg.norm(sides, axis=1))[:2]
    outer = max(steep, key=lambda k: p[k, 0] + sides[k, 0] / 2)
    down = -sides[outer] / np.linalg.norm(sides[outer]) * np.sign(sides[outer, 1])
    return np.array([-down[1], down[0]]) * (1 if -down[1] > 0 else -1), down


@pytest.mark.parametrize("name", BOATS)
def test_the_clamp_enters_every_notch_without_touching_wood(name):
    """At seven planes within each form its section lies in the notch, and no piece of the form in it."""
    tried = 0
    for k, form, notch in notches(name):
        room = Polygon(notch.corners)
        for x in faces_of(form):
            stick = cut(solid_of(name, k), float(x))
            assert stick.difference(room.buffer(CLOSE)).area < 1e-9, (form.name, x)
            for piece in form.pieces:
                assert piece.buffer(-CLOSE).intersection(stick).area < 1e-9, (form.name, x)
            tried += 1
    assert tried >= 7 * 10


@pytest.mark.parametrize("name", BOATS)
def test_it_bears_at_the_face_the_table_names_with_the_gap_at_the_other(name):
    """Behind the stick, half-way up it: nothing at the tight face, the stated gap at the other."""
    for k, form, notch in notches(name):
        room = Polygon(notch.corners).exterior
        behind = []
        for x in faces_of(form, 2):
            stick = cut(solid_of(name, k), float(x))
            outward, _ = frame(stick, form)
            middle = np.array(stick.centroid.coords[0])
            inward = LineString([middle, middle - outward])
            far = max(Point(middle).distance(Point(p)) for p in points_on(inward, stick.exterior))
            wall = min(d for p in points_on(inward, room) if (d := Point(middle).distance(Point(p))) > 1e-4)
            behind.append(wall - far)
        tight, other = behind if notch.tight == "station" else behind[::-1]
        assert abs(tight) < CLOSE, (form.name, behind)
        assert other - CLOSE <= notch.gap <= other + 1.5e-4, form.name
        assert notch.gap == pytest.approx(form.thickness * np.tan(notch.back_bevel), abs=3e-4)


def points_on(line, ring):
    found = line.intersection(ring)
    return [p.coords[0] for p in getattr(found, "geoms", [found]) if not p.is_empty]


@pytest.mark.parametrize("name", BOATS)
def test_a_millimetre_is_free_below_it(name):
    """Least over the thickness of the form; and the depth is told from the sheer mark along the side."""
    free = customs()["notch_below"]
    for k, form, notch in notches(name):
        room = Polygon(notch.corners)
        gaps = []
        for x in faces_of(form):
            stick = cut(solid_of(name, k), float(x))
            _, down = frame(stick, form)
            corners = np.array(stick.convex_hull.simplify(1e-6).exterior.coords)[:-1]
            foot = corners[np.argsort(corners @ down)[-2:]].mean(axis=0)
            below = points_on(LineString([foot, foot + 0.01 * down]), room.exterior)
            gaps += [float(Point(foot).distance(Point(p))) for p in below]
        assert min(gaps) == pytest.approx(free, abs=6e-5), (form.name, gaps)
        mark = np.array(form.sheer_mark)
        _, down = frame(cut(solid_of(name, k), form.x), form)
        assert max((notch.corners - mark) @ down) == pytest.approx(notch.depth, abs=1.5e-4)


@pytest.mark.parametrize("name", BOATS)
def test_its_width_in_the_form_is_that_of_the_stick_cut_at_its_angle(name):
    for k, form, notch in notches(name):
        clamp = made_of(name).clamps[k]
        stick = cut(solid_of(name, k), form.x)
        outward, _ = frame(stick, form)
        p = np.array(stick.exterior.coords)
        assert notch.width == pytest.approx(np.ptp(p @ outward), abs=1.5e-4)
        assert notch.width >= clamp.thickness - 1e-9


@pytest.mark.parametrize("name", BOATS)
def test_the_clamps_outer_face_is_flush_with_the_form_or_proud_and_never_shy(name):
    most = customs()["flush_to"]
    for _, form, notch in notches(name):
        assert -CLOSE <= notch.proud <= most + CLOSE, form.name


@pytest.mark.parametrize("name", BOATS)
def test_the_angle_of_the_side_is_that_of_the_sticks_outer_face(name):
    for k, form, notch in notches(name):
        _, down = frame(cut(solid_of(name, k), form.x), form)
        assert notch.angle == pytest.approx(np.arctan2(-down[0], -down[1]), abs=np.radians(0.15)), form.name


def test_a_clamp_runs_from_stem_to_stem_and_its_ends_are_cut_to_them():
    made = made_of("short-kayak")
    work = clamp_work(made, made.clamps[0])
    sheer = made.skins.side_grid.points[-1]
    (bow, bow_angle), (stern, stern_angle) = work.ends
    for x, end in ((bow, sheer[0]), (stern, sheer[-1])):
        assert 0.005 < abs(x - end[0]) < 0.06
    for angle, a, b in ((bow_angle, sheer[4], sheer[12]), (stern_angle, sheer[-5], sheer[-13])):
        there = np.arctan2(abs(b[1] - a[1]), abs(b[0] - a[0]))
        assert angle == pytest.approx(there, abs=np.radians(6))
    stock = made.boat.order.stock_length
    assert all(
        len(bays) == int(np.ceil(long / stock - 1e-9)) - 1 for bays, long in zip(work.scarfs, work.plies)
    )
    names = [f.name for f in made.forms]
    for one, other in itertools.pairwise(work.scarfs):
        assert not set(one) & set(other)
    for bays in work.scarfs:
        for a, b in bays:
            assert names.index(b) == names.index(a) + 1 and a != names[0] and b != names[-1]


def test_forms_in_which_both_clamps_meet_are_named():
    for name in BOATS:
        for form in made_of(name).forms:
            meets = any(
                cut(solid_of(name, k), float(x)).bounds[0] < 0
                for k, f, _ in notches(name)
                if f is form
                for x in faces_of(form, 3)
            )
            assert form.clamps_meet == meets, (name, form.name)


@pytest.mark.parametrize("name", BOATS)
def test_inner_corners_are_relieved_and_nothing_of_a_notch_is_wood(name):
    made = made_of(name)
    tool = customs()["tool"]
    for _, form, notch in notches(name):
        room = Polygon(notch.corners)
        wood = form.pieces[0]
        assert wood.intersection(room.buffer(-1e-6)).area < 1e-9
        inner = [
            p
            for p in notch.corners
            if abs(wood.boundary.distance(Point(p))) < 0.6 * tool and wood.buffer(0.004).contains(Point(p))
        ]
        assert inner, form.name
        relief = room.buffer(tool).intersection(Polygon(wood.exterior)).area
        assert relief > 0
    assert made.forms


def test_ply_lengths_are_those_of_the_stick_glued_up():
    """Each ply's middle, swept by itself, from stem side to stem side, against a polyline through the mesh's
    own corners."""
    made = made_of("short-kayak")
    clamp = made.clamps[0]
    work = clamp_work(made, clamp)
    shop = customs()
    assert len(work.plies) == clamp.plies == 4
    assert all(a > b for a, b in zip(work.plies, work.plies[1:]))
    corners = clamp.corners(np.linspace(clamp.arc[0], clamp.arc[-1], 4000))
    step = clamp.ply + shop["glue_line"]
    for k, told in enumerate(work.plies):
        share = (k + 0.5) * step / clamp.thickness
        middle = corners[:, :2].mean(axis=1) * (1 - share) + corners[:, 2:].mean(axis=1) * share
        kept = middle[middle[:, 1] > made.stems[0].width / 2]
        long = np.linalg.norm(np.diff(kept, axis=0), axis=1).sum()
        # on past the last section to where the sheer ends, straight
        assert long - 1e-6 <= told <= long + 0.08, k
    assert work.scarf == pytest.approx(8 * clamp.ply)
    assert work.clamps == int(np.ceil(work.plies[0] / 0.1)) + 1 == 33
    assert work.ripped == pytest.approx(clamp.depth + clamp.top)


def test_the_top_allowance_is_the_thickness_by_the_tangent_of_the_decks_rise():
    clamp = made_of("short-kayak").clamps[0]
    rise = np.nanmax(clamp.deck_angle) - np.pi / 2
    assert clamp.top == pytest.approx(clamp.thickness * np.tan(rise), rel=1e-9) and clamp.top > 0.005
    assert made_of("open-canoe").clamps[0].top == customs()["top_at_least"]


def deeper(name, depth):
    boat = read_boat(MODELS / name)
    build = boat.builds[0]
    runs = tuple(
        dataclasses.replace(r, depth=depth) if r.along == "sheer" and r.side == "inside" else r
        for r in build.schedule.runs
    )
    schedule = dataclasses.replace(build.schedule, runs=runs)
    return dataclasses.replace(boat, builds=(dataclasses.replace(build, schedule=schedule),))


def test_a_clamp_has_notches_from_where_it_begins_to_where_it_ends():
    boat = deeper("short-kayak", 0.018)
    build = boat.builds[0]
    runs = tuple(
        dataclasses.replace(r, start=0.8, end=2.2) if r.along == "sheer" and r.side == "inside" else r
        for r in build.schedule.runs
    )
    schedule = dataclasses.replace(build.schedule, runs=runs)
    made = make_forms(dataclasses.replace(boat, builds=(dataclasses.replace(build, schedule=schedule),)))
    for form in made.forms:
        faces = sorted((form.x, form.x + form.sign * form.thickness))
        passed = faces[1] >= 0.8 and faces[0] <= 2.2
        assert any(n.kind == "sheer" for n in form.notches) == passed, form.name


def test_a_clamp_deeper_than_a_form_is_refused_in_words():
    with pytest.raises(UsageError, match=r"sheer clamp: 400 mm deep, .*Give it less depth"):
        make_forms(deeper("short-kayak", 0.4))


@pytest.mark.parametrize(
    ("name", "kind"), [("short-kayak", "stem"), ("pulling-dinghy", "keel"), ("flat-skiff", "chine")]
)
def test_other_sticks_inside_have_notches_of_their_own(name, kind):
    found = [n for f in made_of(name).forms for n in f.notches if n.kind == kind]
    boat = read_boat(MODELS / name)
    if kind == "keel" and not any(
        r.along == "keel" and r.side == "inside" for r in boat.builds[0].schedule.runs
    ):
        assert not found
        return
    assert found and all(n.depth > 0 and n.width > 0 for n in found)
