"""Stages of the build: what is aboard at each, for decked, open and sheet boats; the boat on its forms;
names of older files."""

from __future__ import annotations

import json
import shutil
from dataclasses import replace
from pathlib import Path

import pytest
from weight_boats import decked_box
from weight_hulls import box

from hullview.answer.plausible import doubts
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
from hullview.boat.reader import read_boat
from hullview.boat.readings import WeighedStage
from hullview.boat.usual import usual_items
from hullview.commands import status_of
from hullview.errors import BoatFileError
from hullview.shape.assemble import build_hull
from hullview.weight.line import ScheduleError
from hullview.weight.total import Weight, weigh

MODELS = Path(__file__).parents[2] / "models"
GLASS = "plain glass 6 oz/yd2"


def expected(w: Weight) -> dict[str, float]:
    return {s.stage: s.predicted[1] for s in w.stages}


def added_at(part: object, decked: bool, deck_kind: str = "strip") -> dict[str, float]:
    """How much heavier each stage is with one part more in the schedule."""
    planks = [Planking("hull", "western redcedar", 0.006)]
    planks += [Planking("deck", "western redcedar", 0.005, kind=deck_kind)] if decked else []  # type: ignore[arg-type]
    form = HullForm("decked" if decked else "open", "outside")
    without = tuple(u.item for u in usual_items())  # nothing is allowed for
    bare = Boat("box", form, builds=(Build("b", Schedule(tuple(planks))),), without=without)
    schedule = bare.builds[0].schedule
    if isinstance(part, Bulkhead):
        more = replace(bare, bulkheads=(part,))
    elif isinstance(part, Appendage):
        more = replace(bare, appendages=(part,))
    else:
        field = {Skin: "skins", Run: "runs", Piece: "pieces"}[type(part)]
        more = replace(bare, builds=(Build("b", replace(schedule, **{field: (part,)})),))
    hull = box(decked=decked)
    a, b = (expected(weigh(one, hull)) for one in (bare, more))
    return {stage: b[stage] - a[stage] for stage in a}


def stick(along: str, side: str, name: str | None = None) -> Run:
    return Run(along, "solid", wood="white ash", thickness=0.02, depth=0.02, side=side, name=name)  # type: ignore[arg-type]


def lamination(along: str, side: str = "inside") -> Run:
    return Run(along, "lamination", wood="white ash", plies=4, ply_thickness=0.005, depth=0.018, side=side)  # type: ignore[arg-type]


def tape(along: str, side: str) -> Run:
    return Run(along, "tape", cloth="bias glass 9 oz/yd2", width=0.075, side=side)  # type: ignore[arg-type]


SHELL_OUT, SHELL, DECK, JOINED, FITTED, LAST = (
    "hull shell outside",
    "hull shell",
    "deck shell",
    "joined",
    "fitted",
    "finished",
)
AFTER = {
    SHELL_OUT: {SHELL_OUT, SHELL, JOINED, FITTED, LAST},
    SHELL: {SHELL, JOINED, FITTED, LAST},
    DECK: {DECK, JOINED, FITTED, LAST},
    JOINED: {JOINED, FITTED, LAST},
    FITTED: {FITTED, LAST},
    LAST: {LAST},
}
SKEG = Appendage("skeg", ((2.0, -0.1), (2.6, -0.1), (2.6, 0.0), (2.0, 0.0)), 0.018, "white oak")


@pytest.mark.parametrize(
    ("part", "decked", "first"),
    [
        (lamination("sheer"), True, SHELL_OUT),  # a clamp stands in the notches of the forms
        (stick("sheer", "inside"), True, SHELL_OUT),
        (stick("sheer", "inside", "sheer clamp"), False, SHELL_OUT),
        (stick("sheer", "inside", "inwale"), False, FITTED),
        (lamination("sheer"), False, FITTED),
        (stick("sheer", "outside"), True, FITTED),
        (stick("sheer", "outside"), False, FITTED),
        (stick("keel", "inside"), False, SHELL_OUT),
        (stick("keel", "outside"), False, FITTED),
        (tape("sheer", "inside"), True, JOINED),
        (Run("sheer", "fillet", radius=0.01), True, JOINED),
        (Run("sheer", "glue line", depth=0.018), True, JOINED),
        (tape("keel", "inside"), True, SHELL),
        (tape("keel", "outside"), False, SHELL_OUT),
        (Run("sheer", "cord", mass_per_length=0.01), True, LAST),
        (Skin("hull outside", GLASS), True, SHELL_OUT),
        (Skin("bottom", GLASS, girth=0.1), False, SHELL_OUT),
        (Skin("hull inside", GLASS), True, SHELL),
        (Skin("deck outside", GLASS), True, DECK),
        (Skin("deck inside", GLASS), True, DECK),
        (Skin("hull outside", coating="varnish", coats=2), False, LAST),
        (Bulkhead(1.2, 0.006, wood="okoume plywood"), True, FITTED),
        (SKEG, False, FITTED),
        (Piece("seat", (1.6, 0, 0.05), mass=0.9), True, LAST),
    ],
)
def test_each_part_comes_aboard_when_a_builder_puts_it_there(part, decked, first):
    gained = added_at(part, decked)
    with_it = {stage for stage, more in gained.items() if more > 1e-9}
    assert with_it == AFTER[first], gained
    whole = gained[LAST]
    assert all(gained[stage] == pytest.approx(whole) for stage in with_it)


def test_a_deck_of_sheet_wood_is_glassed_outside_when_it_is_on():
    """It is bent on when the hull is there: alone it is a panel, sealed inside."""
    out = added_at(Skin("deck outside", GLASS), True, "sheet")
    assert out[DECK] == pytest.approx(0.0, abs=1e-12) and out[JOINED] > 0.3
    inside = added_at(Skin("deck inside", GLASS), True, "sheet")
    assert inside[DECK] > 0.3


def test_fill_coats_are_sanded_when_the_boat_is_finished():
    gained = added_at(Skin("hull outside", GLASS, fill_coats=2), True)
    assert gained[SHELL_OUT] == pytest.approx(gained[FITTED]) and gained[LAST] < gained[FITTED] - 0.01


def test_the_kayaks_shells_by_hand():
    """The short kayak's stages are sums of its own lines; its clamp, 0.9 kg with its glue, is in the shell
    from the start."""
    boat = read_boat(MODELS / "short-kayak")
    hull = build_hull(boat)
    clamped, taped = (weigh(boat, hull, b.name) for b in boat.builds)
    clamp = sum(x.mass for x in clamped.lines if "sheer clamp" in x.names)
    assert 0.7 < clamp < 1.2
    a, b = expected(clamped), expected(taped)
    assert a[SHELL_OUT] - b[SHELL_OUT] == pytest.approx(clamp)
    assert a[DECK] == pytest.approx(b[DECK])
    assert a["strips milled"] == pytest.approx(b["strips milled"])
    inside = [x for x in clamped.lines if x.region == "hull inside"]
    planks = next(x for x in clamped.lines if x.region == "hull" and x.kind == "strip")
    faired = [t for t in planks.terms if t.when == "hull faired inside"]
    sanded = 0.0003 * 358 * planks.quantity  # what fairing takes off its inside, likely
    assert len(faired) == 1
    assert a[SHELL] - a[SHELL_OUT] == pytest.approx(sum(x.mass for x in inside) - sanded, abs=0.005)
    rim = [x for x in clamped.lines if x.region == "coaming" or x.kind == "bulkhead"]
    assert a[FITTED] - a[JOINED] == pytest.approx(sum(x.mass for x in rim))
    seam = [x for x in clamped.lines if x.region == "sheer" and "sheer clamp" not in x.names]
    assert a[JOINED] - a[SHELL] - a[DECK] == pytest.approx(sum(x.mass for x in seam))


# ---------------------------------------------------------------- on the forms


def test_a_hull_weighed_on_its_forms_is_the_hull_without_them():
    boat, hull = decked_box(), box()
    shell = expected(weigh(boat, hull))[SHELL_OUT] + 0.5
    bare = weigh(replace(boat, weighed=(WeighedStage(SHELL_OUT, shell, scale_error=0.1 * 2**0.5),)), hull)
    on_forms = WeighedStage(SHELL_OUT, shell + 23.0, scale_error=0.1, on_forms=True, forms_mass=23.0)
    laden = weigh(replace(boat, weighed=(on_forms,)), hull)
    assert laden.mass == pytest.approx(bare.mass) and laden.mass > weigh(boat, hull).mass + 0.2
    assert laden.readings[0].weighed == pytest.approx(shell) and laden.readings[0].forms_mass == 23.0
    assert laden.readings[0].scale_error == pytest.approx(
        0.1 * 2**0.5
    )  # two readings, one taken off the other
    assert laden.high - laden.low == pytest.approx(bare.high - bare.low)


def written(folder: Path, *lines: str) -> Path:
    shutil.copytree(MODELS / "short-kayak", folder)
    with (folder / "boat.toml").open("a") as file:
        file.write("\n".join(("", *lines, "")))
    return folder


@pytest.mark.parametrize(
    ("lines", "message"),
    [
        (["on_forms = true"], "forms_mass: is missing of a hull weighed on its forms"),
        (['forms_mass = "20 kg"'], "does nothing without on_forms"),
        (["on_forms = true", 'forms_mass = "40 kg"'], "must be less than the 30 kg"),
        (["on_forms = true", 'forms_mass = "20 kg"', 'stage = "joined"'], "the forms come out before"),
        (['build = "clamped"'], "is no build of this boat. Known: clamped-sheer, taped-seam."),
    ],
)
def test_a_reading_on_the_forms_must_make_sense(tmp_path, lines, message):
    stage = [] if any(x.startswith("stage") for x in lines) else ['stage = "hull shell outside"']
    folder = written(tmp_path / "boat", "[[weighed]]", 'mass = "30 kg"', *stage, *lines)
    with pytest.raises(BoatFileError) as refused:
        read_boat(folder)
    assert message in str(refused.value) and "weighed[1]" in str(refused.value)


def test_a_stage_with_nothing_on_the_scale_is_refused():
    boat = read_boat(MODELS / "flat-skiff")
    hull = build_hull(boat)
    for stage in ("strips milled", "deck shell"):
        with pytest.raises(ScheduleError, match="has nothing"):
            weigh(replace(boat, weighed=(WeighedStage(stage, 4.0),)), hull)


# ---------------------------------------------------------------- older files, slips


@pytest.mark.parametrize("stage", ["hull stripped", "faired", "glassed out", "glassed in"])
def test_old_names_are_read_with_a_notice_and_mean_what_they_meant(tmp_path, stage):
    """Both shells together, before they are joined: bare, faired, glassed outside, glassed on both faces."""
    boat = read_boat(written(tmp_path / "boat", "[[weighed]]", f'stage = "{stage}"', 'mass = "7.5 kg"'))
    assert len(boat.notices) == 1
    assert f'"{stage}" is an old name' in boat.notices[0] and "hull shell outside" in boat.notices[0]
    hull = build_hull(boat)
    was = weigh(boat, hull).readings[0].predicted[1]
    new = expected(weigh(replace(boat, weighed=()), hull))
    if stage == "glassed in":
        assert was == pytest.approx(new[SHELL] + new[DECK])
    else:
        assert new["strips milled"] * 0.8 < was < new[SHELL] + new[DECK]


def test_the_notice_is_told_on_stderr_and_the_new_names_are_offered(tmp_path, capsys):
    folder = written(tmp_path / "boat", "[[weighed]]", 'stage = "faired"', 'mass = "7.5 kg"')
    assert status_of(["weigh", str(folder), "--json"]) == 0
    captured = capsys.readouterr()
    assert "is an old name of a stage, read as: hull and deck stripped and faired" in captured.err
    assert json.loads(captured.out)["readings"][0]["stage"] == "faired"
    file = folder / "boat.toml"
    file.write_text(file.read_text().replace('"faired"', '"hull shel"'))
    assert status_of(["weigh", str(folder)]) == 3
    told = capsys.readouterr().err
    assert "Did you mean 'hull shell'?" in told and "glassed in" not in told


@pytest.mark.parametrize("name", ["hull shell", "fitted"])
def test_a_reading_that_fits_another_stage_is_doubted(name):
    """An older file's "fitted" was the finished boat: it is far above what is fitted now, and the stage it
    would fit is named."""
    plain = read_boat(MODELS / "short-kayak")
    hull = build_hull(plain)
    likely = {s.stage: s.predicted for s in weigh(plain, hull).stages}
    heavy = replace(plain, weighed=(WeighedStage(name, likely[LAST][2], scale_error=0.1),))
    w = weigh(heavy, hull)
    assert w.readings[0].far_off and w.readings[0].fits == LAST and w.readings_odds < 0.003
    (told,) = (d for d in doubts(heavy, hull, w) if "scale" in d)
    assert f"{name} weighed" in told and 'it would fit "finished"' in told
    for end in (0, 2):
        right = replace(plain, weighed=(WeighedStage(name, likely[name][end], scale_error=0.1),))
        w = weigh(right, hull)
        assert not w.readings[0].far_off and not w.readings[0].fits and w.readings_odds > 0.1
        assert not any("scale" in d for d in doubts(right, hull, w))


def test_readings_that_no_one_boat_gives_are_doubted_together():
    """A light shell and a heavy boat, each of them likely enough by itself."""
    plain = read_boat(MODELS / "short-kayak")
    hull = build_hull(plain)
    likely = {s.stage: s.predicted for s in weigh(plain, hull).stages}
    both = (
        WeighedStage("joined", likely["joined"][0], scale_error=0.05),
        WeighedStage("fitted", likely["fitted"][2], scale_error=0.05),
    )
    odd = replace(plain, weighed=both)
    w = weigh(odd, hull)
    assert not any(r.far_off for r in w.readings) and w.readings_odds < 0.001
    assert any("the readings of the scale together" in d for d in doubts(odd, hull, w))
