"""What is drawn of it is what was computed: parts, cuts, poses, colours, words. Nothing here needs a GL
library."""

from __future__ import annotations

import io
import itertools
from dataclasses import replace

import numpy as np
import pytest

from hullview import study
from hullview.boat.model import FloodingPoint, Planking
from hullview.boat.reader import read_boat
from hullview.show import colours, parts, wood
from hullview.show.outlines import cut, joined, thinned
from hullview.show.picture import dry, model, picture
from hullview.show.pose import move, pose


@pytest.fixture(scope="module")
def craft():
    """The short kayak with its load hung off the centre line, so that port and starboard cannot be
    confused."""
    boat = read_boat("models/short-kayak")
    gear = replace(boat.load.gear[0], at=(2.45, 0.11, 0.10), mass=9.0)
    return study.launch(boat.with_load(gear=(gear,)))


@pytest.fixture(scope="module")
def floating(craft):
    return study.afloat(craft)


def area(part) -> float:
    a, b, c = (part.vertices[part.faces[:, i]] for i in range(3))
    return float(np.linalg.norm(np.cross(b - a, c - a), axis=1).sum() / 2)


def test_a_pose_is_a_rigid_motion_that_lays_the_water_at_zero_and_keeps_its_way(floating):
    motion = pose(floating.normal, floating.offset)
    turned = motion[:3, :3]
    assert np.allclose(turned @ turned.T, np.eye(3)) and np.linalg.det(turned) == pytest.approx(1.0)
    on_the_water = floating.offset * floating.normal
    assert move(motion, on_the_water)[2] == pytest.approx(0.0, abs=1e-12)
    assert floating.heel > 0.01, "the load hangs to starboard"
    starboard, port = move(motion, np.array([[1.5, 0.3, 0.2], [1.5, -0.3, 0.2]]))
    assert starboard[2] < port[2] and starboard[1] > port[1]
    assert np.allclose(np.array([1.0, 0, 0]) @ turned.T @ [0, 1, 0], 0.0), "its length lies along the picture"


def test_wet_and_dry_parts_have_the_wetted_area_and_nothing_is_lost(craft, floating):
    found = {p.words: area(p) for p in parts.by_wetness(craft.hull, floating.normal, floating.offset)}
    assert found["wet"] == pytest.approx(floating.wetted_area, rel=1e-9)
    assert sum(found.values()) == pytest.approx(sum(area(p) for p in parts.by_region(craft.hull)), rel=1e-9)


def test_a_band_is_cut_out_of_the_hull_along_its_edges(craft):
    build = craft.boat.build()
    band = Planking("hull", "northern white-cedar", 0.006, band=(0.03, 0.07))
    banded = replace(build, schedule=replace(build.schedule, planking=(*build.schedule.planking, band)))
    plain = {p.name: area(p) for p in parts.by_material(craft.hull, build)}
    made = {p.name: p for p in parts.by_material(craft.hull, banded)}
    inside = made["hull, northern white-cedar"]
    assert inside.sheet.across.min() == pytest.approx(0.03) and inside.sheet.across.max() == pytest.approx(
        0.07
    )
    whole = area(inside) + area(made["hull, western redcedar"])
    assert whole == pytest.approx(plain["hull, western redcedar"], rel=1e-9)
    assert 0.9 < area(inside) / (0.04 * 2 * 3.2) < 1.05, "about 40 mm wide, both sides, along the sheer"


def test_lids_are_no_part_of_what_is_seen(craft):
    assert "lid 1" in craft.hull.regions
    assert not any(
        "lid" in p.name
        for made in (parts.by_region(craft.hull), parts.by_material(craft.hull, None))
        for p in made
    )


def test_the_waterline_drawn_is_the_section_of_the_body(craft, floating):
    hull, n = craft.hull, floating.normal
    drawn, _ = cut(hull.vertices, hull.faces, n, floating.offset)
    true = craft.body.section(n, floating.offset)

    def length(segments):
        return np.linalg.norm(segments[:, 1] - segments[:, 0], axis=1).sum()

    assert np.allclose(drawn @ n, floating.offset)
    assert length(drawn) == pytest.approx(length(true), rel=1e-9)
    loops = joined(drawn)
    assert len(loops) == 1 and np.allclose(loops[0][0], loops[0][-1], atol=1e-6)


def test_thinning_a_line_keeps_within_its_tolerance():
    angle = np.linspace(0, 1.5, 400)
    line = np.column_stack([np.cos(angle), 0.4 * np.sin(angle)])
    short = thinned(line, 1e-3)
    assert len(short) < 40
    start, run = short[:-1], np.diff(short, axis=0)
    along = (((line[:, None] - start) * run).sum(axis=2) / (run**2).sum(axis=1)).clip(0, 1)
    far = np.linalg.norm(line[:, None] - start - along[..., None] * run, axis=2).min(axis=1)
    assert far.max() <= 1e-3


def test_parts_by_thickness_say_it_in_words(craft):
    found = parts.by_thickness(craft.hull, craft.boat.build(), lambda t: f"{t * 1000:.2f} mm")
    assert {"5.55 mm after fairing", "4.20 mm after fairing"} <= {p.words for p in found}


def test_parts_by_value_put_each_face_under_its_word(craft):
    words = np.where(craft.hull.vertices[craft.hull.faces].mean(axis=1)[:, 0] < 1.0, "dry", "")
    made = {p.words: p for p in parts.by_value(craft.hull, words, colours.LIGHTS)}
    assert set(made) == {"dry", parts.NOT_MEASURED}
    assert made["dry"].vertices[:, 0].max() < 1.1


# ---------------------------------------------------------------- colours

_BLIND = {
    # Machado, Oliveira and Fernandes 2009, severity 1.0, on linear RGB (from memory; each row sums to 1, so
    # greys stay grey)
    "red": np.array(
        [[0.152286, 1.052583, -0.204868], [0.114503, 0.786281, 0.099216], [-0.003882, -0.048116, 1.051998]]
    ),
    "green": np.array(
        [[0.367322, 0.860646, -0.227968], [0.280085, 0.672501, 0.047413], [-0.011820, 0.042940, 0.968881]]
    ),
}


def lab(colour: str, blind: str | None = None) -> np.ndarray:
    share = np.array(colours.rgb(colour))
    linear = np.where(share <= 0.04045, share / 12.92, ((share + 0.055) / 1.055) ** 2.4)
    if blind:
        linear = (_BLIND[blind] @ linear).clip(0, 1)
    xyz = np.array([[0.4124, 0.3576, 0.1805], [0.2126, 0.7152, 0.0722], [0.0193, 0.1192, 0.9505]]) @ linear
    f = np.cbrt(np.maximum(xyz / [0.9505, 1.0, 1.089], 0.008856))
    return np.array([116 * f[1] - 16, 500 * (f[0] - f[1]), 200 * (f[1] - f[2])])


@pytest.mark.parametrize("eyes", [None, "red", "green"])
@pytest.mark.parametrize(
    "palette",
    [
        colours.REGIONS,
        colours.LIGHTS,
        colours.VERDICTS,
        dict(zip("ab", (colours.WET, colours.DRY))),
        dict(zip("ab", (colours.WEIGHT, colours.BUOYANCY))),
        dict(enumerate(colours.GROUPS)),
        colours.apart(
            {
                w: colours.wood_colour(w)
                for w in ("Sitka spruce", "white ash", "eastern white pine", "western redcedar")
            }
        ),
        {i: colours.ramp(i, 4) for i in range(4)},
    ],
    ids=["regions", "lights", "verdicts", "wet", "centres", "groups", "woods", "ramp"],
)
def test_colours_that_mean_something_are_told_apart_by_every_eye(palette, eyes):
    for (a, one), (b, other) in itertools.combinations(palette.items(), 2):
        assert np.linalg.norm(lab(one, eyes) - lab(other, eyes)) > 8, (a, b)


def test_words_on_paper_have_the_contrast_reading_needs():
    for colour in (
        colours.INK,
        colours.FAINT_INK,
        colours.WEIGHT,
        colours.BUOYANCY,
        *colours.VERDICTS.values(),
    ):
        assert colours.contrast(colour, colours.PAPER) >= 4.5, colour


def test_planks_keep_the_colour_of_their_wood_and_are_the_same_each_time():
    picture_of_it = wood.planks("#dfc294", "white cedar")
    assert np.allclose(picture_of_it.mean(axis=(0, 1)), np.array(colours.rgb("#dfc294")) * 255, atol=1.0)
    assert (picture_of_it == wood.planks("#dfc294", "white cedar")).all()
    assert picture_of_it.std() > 3


# ---------------------------------------------------------------- the model in a file


def test_the_model_has_a_named_mesh_for_each_part_and_lies_as_it_floats(craft, floating):
    import trimesh

    made = picture(craft, floating, colour="regions")
    scene = trimesh.load(io.BytesIO(model(made)), file_type="glb")
    assert set(scene.geometry) == {p.name for p in (*made.parts, *made.solids)}
    assert {"hull", "deck", "coaming 1"} <= set(scene.geometry)
    skin = np.concatenate([scene.geometry[p.name].vertices for p in made.parts])
    assert -skin[:, 1].min() == pytest.approx(floating.draft, abs=1e-6), (
        "up is y and the water's surface is zero"
    )
    assert np.ptp(skin[:, 0]) == pytest.approx(3.1, abs=0.02)
    assert area(made.parts[0]) == pytest.approx(scene.geometry[made.parts[0].name].area, rel=1e-5)


def test_the_same_boat_gives_the_same_model_byte_for_byte(craft, floating):
    assert model(picture(craft, floating)) == model(picture(craft, floating))


# ---------------------------------------------------------------- words


def test_the_picture_says_build_load_water_and_figures(craft, floating):
    made = picture(craft, floating, study.judge(craft))
    assert made.title == "Short kayak"
    for word in ("clamped-sheer", "82 kg", "9 kg", "fresh water"):
        assert word in made.subtitle
    told = dict(made.figures)
    assert told["draft"] == f"{floating.draft * 1000:.0f} mm"
    assert told["heel to starboard"] == f"{np.degrees(floating.heel):.1f}°"
    assert made.verdict.endswith("on flat water, by these limits")


@pytest.mark.parametrize("state", ["floods", "capsized"])
def test_a_boat_that_floods_or_capsizes_gets_no_figures(state):
    boat = read_boat("models/short-kayak")
    if state == "floods":
        boat = replace(boat, flooding=(FloodingPoint("vent", (1.0, 0.2, 0.05)),))
    else:
        boat = boat.with_load(paddlers=(replace(boat.load.paddlers[0], mass=315.0),))
    craft = study.launch(boat)
    floating = study.afloat(craft)
    assert floating.state == state
    told = dict(picture(craft, floating).figures)
    assert f"it {state}" in told.values() and "draft" not in told


def test_a_boat_without_a_schedule_is_shown_as_drawn_and_not_floated():
    boat = read_boat("models/wigley")
    hull, _ = study.shaped(boat)
    made = dry(boat, hull)
    assert made.normal is None and made.centre is None and "not afloat" in made.subtitle
    assert dict(made.figures)["length"].startswith("5000 mm")


def test_solids_stand_inside_the_boat_where_they_are_weighed(craft, floating):
    made = picture(craft, floating)
    inner = np.concatenate([p.vertices for p in made.solids if p.name == "western redcedar solids"])
    skin = np.concatenate([p.vertices for p in made.parts])
    assert (inner.min(axis=0) >= skin.min(axis=0) - 1e-3).all() and (
        inner.max(axis=0) <= skin.max(axis=0) + 1e-3
    ).all()
    seat = next(p for p in made.solids if p.name == "seat")
    paddler = craft.boat.load.paddlers[0]
    assert seat.vertices[:, 0].max() == pytest.approx(paddler.seat_back)
