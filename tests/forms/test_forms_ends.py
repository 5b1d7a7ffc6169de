"""Stems, transom, strongback and centre-line forms: a wedge of a bow by formula, springback by the theory of
bending, the rest against the outside of the boat."""

from __future__ import annotations

import dataclasses
import itertools
from functools import cache
from pathlib import Path

import numpy as np
import pytest
from fine import Outside, fine_grid
from shapely import Polygon, box

from hullview.boat.form_settings import Strongback
from hullview.boat.reader import read_boat
from hullview.errors import UsageError
from hullview.forms.make import make_forms
from hullview.forms.skin import moved_in, panels_of
from hullview.forms.stems import Stem, _ahead, _tightest, height_at, stem_of
from hullview.forms.strongback import bar, ladder
from hullview.shape.curve import through
from hullview.shape.hull import SurfaceGrid
from hullview.weight.customs import customs

MODELS = Path(__file__).parents[2] / "models"


@cache
def made_of(name):
    return make_forms(read_boat(MODELS / name))


def wedge(half_angle, taken, long=1.2, high=0.4):
    """A plumb bow with plane plumb sides: y = x tan(half_angle), as rows of its inside."""
    x = np.linspace(0.0, long, 61)
    z = np.linspace(0.0, high, 21)
    points = np.stack(np.broadcast_arrays(x[None], x[None] * np.tan(half_angle), z[:, None]), axis=-1)
    n = np.broadcast_to([-np.sin(half_angle), np.cos(half_angle), 0.0], points.shape)
    (panel,) = panels_of(SurfaceGrid(points.copy(), n.copy()))
    return moved_in(panel, taken)


@pytest.mark.parametrize("half_angle", np.radians([15.0, 25.0, 40.0]))
@pytest.mark.parametrize("wide", [0.012, 0.024])
def test_the_lines_of_a_stem_on_a_wedge(half_angle, wide):
    """Insides meet d / sin(a) behind the face; the planking leaves the stem's side where half its width is,
    (w/2 + d / cos(a)) / tan(a) behind; its bevel is the half angle all the way up."""
    taken = 0.006
    profile = through(np.array([[0.0, z] for z in np.linspace(0.0, 0.4, 9)]))
    stem = stem_of("bow stem", profile, 0.0, wedge(half_angle, taken), None, None, width=wide)
    behind = taken / np.sin(half_angle)
    inner = stem.middle[5:-5]
    assert np.abs(inner[:, 0] - behind).max() < 2e-5
    beard = (wide / 2 + taken / np.cos(half_angle)) / np.tan(half_angle)
    assert np.abs(stem.bearding[:, 0] - beard).max() < 2e-5
    for b in stem.bevels[1:-1]:
        assert b.angle == pytest.approx(half_angle, abs=2e-4)
        assert b.middle == pytest.approx(behind, abs=2e-5)
    assert [b.along for b in stem.bevels] == pytest.approx(np.arange(9) * 0.05, abs=1e-6)


def arc_stem(radius, plies, ply=0.003, turn=1.2):
    """A stem whose back is an arc of a circle."""
    t = np.linspace(0.0, turn, 400)
    back = radius * np.column_stack([np.sin(t), 1 - np.cos(t)])
    none = np.zeros((0, 2))
    return Stem(
        "bow stem", None, back, 0.0, back, none, back, 0.02, plies * ply, (), plies, ply,
        (1 / plies**2, 1 / plies), (0.0, 0.0),
    )  # fmt: skip


@pytest.mark.parametrize("plies", [2, 4, 6])
@pytest.mark.parametrize("rule", [0, 1])
def test_a_stem_let_go_of_its_form_comes_back_to_its_line(plies, rule):
    """Elastic theory: glued plies keep 1 - 1/n^2 of their curvature when they are let go; the rival rule 1 -
    1/n. So the form is an arc of the radius times that."""
    radius = 0.5
    stem = arc_stem(radius, plies)
    kept = 1 - (1 / plies**2, 1 / plies)[rule]
    form = stem.sprung(rule)
    a, b, c = form[0], form[len(form) // 2], form[-1]
    sides = [np.linalg.norm(q - p) for p, q in ((a, b), (b, c), (c, a))]
    area = abs((b - a)[0] * (c - a)[1] - (b - a)[1] * (c - a)[0]) / 2
    assert np.prod(sides) / (4 * area) == pytest.approx(radius * kept, rel=2e-3)
    long = np.linalg.norm(np.diff(form, axis=0), axis=1).sum()
    assert long == pytest.approx(np.linalg.norm(np.diff(stem.back, axis=0), axis=1).sum(), rel=1e-9)
    middle = len(form) // 2
    assert np.linalg.norm(form[middle] - stem.back[middle]) < 0.003


def test_how_far_ahead_a_line_is_met():
    line = np.array([[0.1, -0.1], [0.2, 0.1], [0.2, 0.3]])
    assert _ahead(np.zeros(2), np.array([1.0, 0.0]), line) == pytest.approx(0.15)
    assert _ahead(np.array([0.0, 0.05]), np.array([1.0, 0.0]), line) == pytest.approx(0.175)
    assert np.isnan(_ahead(np.array([0.0, 0.4]), np.array([1.0, 0.0]), line))


@pytest.mark.parametrize("radius", [0.25, 0.6])
def test_the_tightest_place_of_a_stem_is_found(radius):
    t = np.linspace(0.0, 1.0, 300)
    arc = radius * np.column_stack([np.sin(t), 1 - np.cos(t)])
    way = arc[-1] - arc[-2]
    line = np.vstack([arc, arc[-1] + np.linspace(0.01, 0.3, 50)[:, None] * way / np.linalg.norm(way)])
    assert _tightest(line) == pytest.approx(radius, rel=0.02)


def test_the_inner_stem_lies_against_the_planking_and_its_notch_goes_up_to_its_back():
    made = made_of("short-kayak")
    for stem in made.stems:
        assert stem.plies == 4 and stem.moulded == pytest.approx(4 * stem.ply)
        gap = np.linalg.norm(stem.back[len(stem.back) // 2] - stem.middle, axis=1).min()
        assert gap == pytest.approx(stem.moulded, rel=0.02)
        assert stem.blank == pytest.approx(np.linalg.norm(np.diff(stem.middle, axis=0), axis=1).sum())
    for form in made.forms:
        for notch in form.notches:
            if notch.kind != "stem":
                continue
            stem = next(s for s in made.stems if s.label == notch.what)
            backs = [height_at(stem.back, form.x + s * form.sign * form.thickness) for s in (0.0, 1.0)]
            top = np.nanmax(backs)
            assert notch.corners[:, 1].max() == pytest.approx(top, abs=1e-9)
            assert notch.width == pytest.approx(stem.width)
            assert notch.gap == pytest.approx(np.nanmax(backs) - np.nanmin(backs), abs=1e-9)
            assert notch.tight == ("station" if backs[0] == top else "other")


@pytest.mark.parametrize("name", ["pulling-dinghy", "flat-skiff"])
def test_a_transom_is_drawn_in_its_own_plane_at_the_plankings_thickness(name):
    made = made_of(name)
    (transom,) = made.transoms
    taken = made.taken[0]
    nx, _, nz = transom.plane.normal
    up = np.array([-nz, 0.0, nx])
    # its inner face: past the outer one there is no skin to measure from
    foot = (transom.plane.offset - transom.thickness) * np.array([nx, 0.0, nz])
    fore = foot + transom.fore[:, :1] * [0.0, 1.0, 0.0] + transom.fore[:, 1:] * up
    grid = fine_grid(read_boat(MODELS / name), 480, 1000)
    off = Outside(grid).distance(fore) - taken
    ends = [0.0, transom.girth[-1], *(transom.girth[c] for c in transom.corners)]
    between = np.min([np.abs(transom.girth - g) for g in ends], axis=0) > 0.02
    assert between.sum() > 10 and np.abs(off[between]).max() < 5e-5
    profile = np.array(made.boat.hull.stern.profile)
    lean = np.arctan2(profile[0, 0] - profile[-1, 0], profile[0, 1] - profile[-1, 1])
    assert transom.rake == pytest.approx(lean, abs=1e-9)
    # a boat narrows aft: the fore face is the larger, and is what is cut
    wider = transom.fore[1:, 0] - transom.after[1:, 0]
    assert (wider > -1e-9).mean() > 0.9 and wider.max() > 0.001
    assert (transom.cut[:, 0] >= transom.after[:, 0] - 1e-12).all()
    middle = len(transom.bevel) // 2
    step = transom.thickness * np.tan(transom.bevel[middle])
    there = np.linalg.norm(transom.fore[middle] - transom.after[middle])
    assert there == pytest.approx(step, abs=3e-4)


def test_a_curved_transom_is_refused_in_words():
    boat = read_boat(MODELS / "flat-skiff")
    profile = boat.hull.stern.profile
    x = (profile[0][0] + profile[-1][0]) / 2 + 0.02
    bent = (profile[0], (x, (profile[0][1] + profile[-1][1]) / 2), profile[-1])
    stern = dataclasses.replace(boat.hull.stern, profile=bent)
    with pytest.raises(UsageError, match="the transom is curved by 20 mm"):
        make_forms(dataclasses.replace(boat, hull=dataclasses.replace(boat.hull, stern=stern)))


# ---------------------------------------------------------------- what they stand on


def test_a_bar_passes_as_many_forms_as_leave_25_mm_round_it():
    made = made_of("short-kayak")
    stand, left = made.strongback, customs()["round_strongback"]
    assert stand.kind == "inside" and stand.hole == pytest.approx((0.052, 0.102))
    for form in made.forms:
        outline = Polygon(form.pieces[0].exterior)
        w, h = (v / 2 + left for v in stand.hole)
        round_it = box(-w + 1e-6, stand.at - h + 1e-6, w - 1e-6, stand.at + h - 1e-6)
        assert outline.covers(round_it) == (form.name in stand.on), form.name
        holes = [Polygon(r).bounds for r in form.pieces[0].interiors]
        has_hole = any(
            b[2] - b[0] == pytest.approx(0.052, abs=0.004) and b[3] - b[1] == pytest.approx(0.102, abs=0.004)
            for b in holes
        )
        assert has_hole == (form.name in stand.on)
    assert {c.stands_on for c in made.centre_forms} == {stand.on[0], stand.on[-1]}


def test_the_height_of_a_bar_is_the_one_that_passes_most():
    """Three squares one above another: a bar goes through the two whose heights lap the most."""
    shapes = {
        "1": box(-0.2, 0.0, 0.2, 0.30),
        "2": box(-0.2, 0.1, 0.2, 0.40),
        "3": box(-0.2, 0.30, 0.2, 0.60),
    }
    found = bar(Strongback(), shapes, {"1": 0.5, "2": 1.0, "3": 1.5})
    assert found.on == ("1", "2") and found.beyond == ("3",)
    assert (found.start, found.end) == (0.5, 1.0)
    assert 0.1 + 0.025 + 0.051 <= found.at <= 0.30 - 0.025 - 0.051
    with pytest.raises(UsageError, match="fits through no two neighbouring forms"):
        bar(Strongback(width=0.5), shapes, {"1": 0.5, "2": 1.0, "3": 1.5})
    with pytest.raises(UsageError, match="at 900 mm"):
        bar(Strongback(at=0.9), shapes, {"1": 0.5, "2": 1.0, "3": 1.5})


def test_a_ladder_stands_120_mm_beyond_the_highest_sheer_and_is_as_wide_as_it_may():
    sheers = {"1": (0.10, 0.43), "2": (0.44, 0.351), "3": (0.2, 0.40)}
    found = ladder(Strongback(), sheers, [0.3, 1.0, 2.0])
    assert found.at == pytest.approx(0.55) and found.width == pytest.approx(0.53)
    assert ladder(Strongback(), {"1": (0.2, 0.4)}, [1.0]).width == customs()["ladder_least"]
    assert ladder(Strongback(), {"1": (0.9, 0.4)}, [1.0]).width == customs()["ladder_most"]
    with pytest.raises(UsageError, match="must stand beyond the highest sheer"):
        ladder(Strongback(at=0.44), sheers, [0.3, 1.0])


@pytest.mark.parametrize("name", ["open-canoe", "pulling-dinghy"])
def test_the_forms_of_an_open_boat_have_legs_to_the_set_up_line(name):
    made = made_of(name)
    stand = made.strongback
    assert stand.kind == "under" and stand.at >= max(f.sheer_mark[1] for f in made.forms) + 0.12 - 1e-9
    for form in made.forms:
        top = max(p.bounds[3] for p in form.pieces)
        assert top == pytest.approx(stand.at, abs=1e-6), form.name


def test_a_centre_line_form_and_the_form_beyond_are_slotted_to_the_middle():
    made = made_of("short-kayak")
    slotted = [name for centre in made.centre_forms for name, _, _ in centre.slots]
    assert sorted(slotted) == sorted(made.strongback.beyond) and len(slotted) == 2
    for centre in made.centre_forms:
        for name, middle, bottom in centre.slots:
            form = next(f for f in made.forms if f.name == name)
            assert name in made.strongback.beyond and bottom < middle
            # the form's slot: from its foot to the middle, the thickness of the centre-line form wide
            slot = box(-centre.thickness / 2, form.pieces[0].bounds[1], centre.thickness / 2, middle)
            assert form.pieces[0].intersection(slot).area < 0.05 * slot.area
            above = box(-0.002, middle + 0.008, 0.002, middle + 0.012)
            assert form.pieces[0].intersection(above).area > 0.5 * above.area
            at = form.x + form.sign * form.thickness / 2
            cut = box(at - form.thickness / 2, middle, at + form.thickness / 2, middle + 0.05)
            assert centre.shape.intersection(cut).area < 1e-9


def test_a_centre_line_form_begins_at_the_outer_face_of_the_last_form_on_the_bar():
    made = made_of("short-kayak")
    for centre in made.centre_forms:
        last = next(f for f in made.forms if f.name == centre.stands_on)
        faces = sorted((last.x, last.x + last.sign * last.thickness))
        low, _, high, _ = centre.shape.bounds
        bow = high < 1.5
        assert (high if bow else low) == pytest.approx(faces[0] if bow else faces[1], abs=1e-9)
        outer = next(s for s in made.stems if s.name == ("bow stem" if bow else "stern stem")).profile[-1, 0]
        assert abs((low if bow else high) - outer) < 0.1


def test_forms_too_far_apart_are_told_with_a_position_between():
    from hullview.show.text import text
    from hullview.tell.forms import forms_telling

    boat = read_boat(MODELS / "open-canoe")
    made = make_forms(boat)
    widest, most = made.spacing
    plank = boat.builds[0].schedule.planking[0].thickness
    assert most == pytest.approx(50 * plank)
    words = text(forms_telling(made))
    assert ("strips sag between them" in words) == (widest > most)
    if widest > most:
        between = float(words.split('--at "')[1].split(" mm")[0]) / 1000
        xs = [f.x for f in made.forms]
        assert min(abs(between - (a + b) / 2) for a, b in itertools.pairwise(xs)) < 1e-3
        more = make_forms(boat, at=[(a + b) / 2 for a, b in itertools.pairwise(xs) if b - a > most])
        assert more.spacing[0] < widest
