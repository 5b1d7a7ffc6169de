"""Scenes against the numbers they are drawn from: actors, transforms, colours, words; and the command's
refusals."""

from __future__ import annotations

import io
import itertools
import os
import subprocess
import sys
from dataclasses import replace

import numpy as np
import pytest

from hullview import study
from hullview.boat.reader import read_boat
from hullview.errors import UsageError
from hullview.show import colours, gl
from hullview.show.parts import by_region
from hullview.show.picture import draw, picture
from hullview.show.pose import move, pose


@pytest.fixture(scope="module")
def craft():
    """The short kayak, hung a little to port."""
    boat = read_boat("models/short-kayak")
    return study.launch(boat.with_load(paddlers=(replace(boat.load.paddlers[0], side=-0.012),)))


@pytest.fixture(scope="module")
def floating(craft):
    return study.afloat(craft)


@pytest.fixture(scope="module")
def plotter(craft, floating):
    gl.prepare(on_screen=False)
    made = draw(picture(craft, floating, study.judge(craft), "regions"), size=(800, 500), stations=True)
    yield made
    made.close()


def words_of(plotter) -> list[str]:
    return [
        actor.GetInput()
        for actor in plotter.actors.values()
        if hasattr(actor, "GetInput") and actor.IsA("vtkTextActor")
    ]


def pixels(plotter) -> np.ndarray:
    return np.asarray(plotter.screenshot(None, return_img=True)).astype(float)


# ---------------------------------------------------------------- against the numbers


@pytest.mark.render
def test_the_hull_is_turned_to_its_computed_heel_trim_and_draft(plotter, craft, floating):
    actor = plotter.actors["part hull"]
    assert np.allclose(actor.user_matrix, pose(floating.normal, floating.offset))
    drawn = move(np.asarray(actor.user_matrix), np.asarray(actor.mapper.dataset.points))
    assert -drawn[:, 2].min() == pytest.approx(floating.draft, abs=1e-6)
    assert floating.heel < -0.01
    assert plotter.actors["water"].bounds.z_min == plotter.actors["water"].bounds.z_max == 0.0


@pytest.mark.render
def test_centres_stand_where_they_were_computed_one_over_the_other(plotter, floating):
    motion = pose(floating.normal, floating.offset)
    for letter, place in (("G", floating.centre), ("B", floating.centre_of_buoyancy)):
        drawn = plotter.actors[f"centre {letter}"].center
        assert np.allclose(drawn, move(motion, place), atol=1e-4)
    assert np.allclose(
        plotter.actors["centre G"].center[:2], plotter.actors["centre B"].center[:2], atol=1e-4
    ), "at rest"
    assert "lever" not in plotter.actors


@pytest.mark.render
def test_the_waterline_lies_on_the_water_and_round_it(plotter, floating):
    band = np.asarray(plotter.actors["waterline"].mapper.dataset.points)
    assert band[:, 2].min() > -2e-3 and band[:, 2].max() < 0.02
    foot = band[band[:, 2] < 2e-3]
    assert np.ptp(foot[:, 0]) == pytest.approx(floating.waterline_length, abs=6e-3)
    assert np.ptp(foot[:, 1]) == pytest.approx(floating.waterline_beam, abs=6e-3)


@pytest.mark.render
def test_no_water_is_drawn_inside_it(plotter, craft, floating):
    sheet = plotter.actors["water"].mapper.dataset
    middle = move(pose(floating.normal, floating.offset), floating.centre)[:2]
    assert np.hypot(*(np.asarray(sheet.points)[:, :2] - middle).T).min() > 0.2


@pytest.mark.render
def test_caption_and_legend_say_what_is_shown(plotter, craft, floating):
    printed = words_of(plotter)
    assert {
        "Short kayak",
        f"{floating.draft * 1000:.0f} mm",
        "heel to port",
        "loaded waterline",
        "1 m",
    } <= set(printed)
    shown = {p.words for p in by_region(craft.hull)}
    assert shown <= set(printed)
    assert set(craft.hull.station_names) <= set(printed), "stations are numbered"


@pytest.mark.render
def test_a_name_is_drawn_as_it_is_written_and_no_longer_than_there_is_room(craft, floating):
    gl.prepare(on_screen=False)
    boat = replace(
        craft.boat, name="Half $x^2$ \x1b[31m of a very long name that would run over the words of the legend"
    )
    made = draw(picture(replace(craft, boat=boat), floating), size=(400, 250))
    title = made.actors["title"].GetInput()
    found = boxes(made)
    made.close()
    assert title.startswith(r"Half \$x^2\$  [31m") and title.endswith(" ...")
    assert found["title"][1] < found["legend 0"][0]


@pytest.mark.render
def test_a_face_has_the_colour_of_its_patch_in_the_legend(craft, floating):
    gl.prepare(on_screen=False)
    made = draw(picture(craft, floating, None, "regions"), size=(800, 500), view="plan")
    seen = pixels(made)
    made.close()
    for region in ("deck",):
        wanted = np.array(colours.rgb(colours.REGIONS[region])) * 255
        assert (np.abs(seen - wanted).max(axis=2) < 20).mean() > 0.04, "a boat's breadth of it"


@pytest.mark.render
def test_wood_has_the_mean_colour_of_its_patch(craft, floating):
    gl.prepare(on_screen=False)
    made = draw(picture(craft, floating, None, "materials"), size=(800, 500), view="plan")
    seen = pixels(made)
    made.close()
    wanted = np.array(colours.rgb(colours.wood_colour("western redcedar"))) * 255
    cedar = seen[np.abs(seen - wanted).max(axis=2) < 45]
    assert len(cedar) > 12000
    assert np.abs(cedar.mean(axis=0) - wanted).max() < 14


@pytest.mark.render
@pytest.mark.parametrize(
    ("view", "right", "up"),
    [("profile", (-1, 0, 0), (0, 0, 1)), ("plan", (-1, 0, 0), (0, -1, 0)), ("body", (0, 1, 0), (0, 0, 1))],
)
def test_views_look_along_the_axes_with_the_bow_to_the_right(craft, floating, view, right, up):
    gl.prepare(on_screen=False)
    made = draw(picture(craft, floating), size=(400, 250), view=view)
    camera = made.camera
    assert camera.parallel_projection
    assert np.allclose(np.cross(camera.direction, camera.up), right, atol=1e-6)
    assert np.allclose(camera.up, up, atol=1e-6)
    made.close()


@pytest.mark.render
def test_it_fits_the_sheet_from_every_side(craft, floating):
    gl.prepare(on_screen=False)
    for view in ("quarter", "profile", "plan", "body"):
        made = draw(picture(craft, floating, None, "wet"), size=(600, 375), view=view)
        made.render()
        corners = []
        for name, actor in made.actors.items():
            if name.startswith(("part ", "solid ")):
                points = move(np.asarray(actor.user_matrix), np.asarray(actor.mapper.dataset.points)[::50])
                corners += [at(made.renderer, p) for p in points]
        corners = np.array(corners)
        assert corners.min() > 0 and corners.max() < 1, view
        assert np.ptp(corners, axis=0).max() > 0.3, "and fills it"
        made.close()


def at(renderer, point) -> tuple[float, float]:
    """Where a point is drawn, in shares of the sheet."""
    renderer.SetWorldPoint(*point, 1.0)
    renderer.WorldToDisplay()
    x, y, _ = renderer.GetDisplayPoint()
    width, height = renderer.GetSize()
    return x / width, y / height


@pytest.mark.render
def test_see_through_shows_what_stands_inside(craft, floating):
    gl.prepare(on_screen=False)
    shots = []
    for thin in (False, True):
        made = draw(picture(craft, floating), size=(400, 250), see_through=thin)
        assert made.actors["part hull, western redcedar"].prop.opacity == pytest.approx(0.28 if thin else 1.0)
        assert made.actors["solid western redcedar solids"].prop.opacity == 1.0
        shots.append(pixels(made))
        made.close()
    assert np.abs(shots[0] - shots[1]).mean() > 1


# ---------------------------------------------------------------- words on the sheet


def boxes(plotter) -> dict[str, tuple[float, float, float, float]]:
    """Left, right, foot and head [pixels] of all words that are drawn."""
    found = {}
    for name, actor in plotter.actors.items():
        if not actor.IsA("vtkTextActor") or not actor.GetInput():
            continue
        box = [0.0] * 4
        actor.GetBoundingBox(plotter.renderer, box)
        x, y = actor.GetPositionCoordinate().GetComputedDisplayValue(plotter.renderer)
        found[name] = (x + box[0], x + box[1], y + box[2], y + box[3])
    return found


def over_one_another(found, apart=0.0):
    return [
        (one, other)
        for (one, a), (other, b) in itertools.combinations(found.items(), 2)
        if a[0] < b[1] - apart and b[0] < a[1] - apart and a[2] < b[3] - apart and b[2] < a[3] - apart
    ]


@pytest.mark.render
@pytest.mark.parametrize("size", [(390, 700), (800, 500)], ids=["390x700", "800x500"])
@pytest.mark.parametrize("name", ["short-kayak", "pulling-dinghy", "cruising-canoe-1883"])
def test_no_words_lie_over_others_leave_the_sheet_or_lie_over_the_rod(name, size):
    gl.prepare(on_screen=False)
    launched = study.launch(read_boat(f"models/{name}"))
    lying = study.afloat(launched)
    shown = picture(launched, lying, study.judge(launched))
    for view in ("quarter", "profile", "plan", "body"):
        made = draw(shown, size=size, view=view)
        made.render()
        found = boxes(made)
        assert {"title", "subtitle", "verdict", "value 5", "word 5", "legend 3", "bar 1 m"} <= set(found)
        assert over_one_another(found) == [], view
        for words, (left, right, foot, head) in found.items():
            assert left >= 0 and foot >= 0 and right <= size[0] and head <= size[1], (view, words)
        rod = np.array([at(made.renderer, made.actors[f"bar {i}"].center) for i in range(10)]) * size
        for words, (left, right, foot, head) in found.items():
            over = (rod[:, 0] > left) & (rod[:, 0] < right) & (rod[:, 1] > foot) & (rod[:, 1] < head)
            assert not over.any(), (view, words)
        assert made.actors["subtitle"].GetInput().replace("\n", " ").split() == shown.subtitle.split()
        made.close()


@pytest.mark.render
def test_a_long_subtitle_takes_more_lines_and_none_is_cut(craft, floating):
    gl.prepare(on_screen=False)
    people = tuple(
        replace(craft.boat.load.paddlers[0], name=f"somebody of the evening class, number {i}")
        for i in range(3)
    )
    boat = craft.boat.with_load(paddlers=people)
    shown = picture(replace(craft, boat=boat), floating)
    made = draw(shown, size=(500, 400))
    made.render()
    words = made.actors["subtitle"].GetInput()
    assert "\n" in words and words.replace("\n", " ").split() == shown.subtitle.split()
    assert over_one_another(boxes(made)) == []
    made.close()


@pytest.mark.render
def test_bow_and_stern_are_named_at_their_ends(craft, floating):
    gl.prepare(on_screen=False)
    for view in ("quarter", "profile", "plan"):
        made = draw(picture(craft, floating), size=(400, 250), view=view)
        found = {
            name: np.array(made.actors[f"end {name}"].GetPositionCoordinate().GetValue())
            for name in ("bow", "stern")
        }
        ends = {"bow": craft.hull.vertices[:, 0].min(), "stern": craft.hull.vertices[:, 0].max()}
        lies = np.linalg.inv(pose(floating.normal, floating.offset))
        for name, where in found.items():
            assert abs((lies[:3, :3] @ where + lies[:3, 3])[0] - ends[name]) < 0.15, view
        made.close()
    made = draw(picture(craft, floating), size=(400, 250), view="body")
    assert not [n for n in made.actors if n.startswith("end ")]
    made.close()


@pytest.mark.render
def test_the_inside_is_darker_than_the_deck(craft):
    gl.prepare(on_screen=False)
    canoe = study.launch(read_boat("models/open-canoe"))
    nobody = replace(canoe, boat=canoe.boat.with_load(paddlers=(), gear=()))
    made = draw(picture(nobody, study.afloat(nobody), None, "regions"), size=(800, 500), view="plan")
    seen = pixels(made)
    made.close()
    outside = np.array(colours.rgb(colours.REGIONS["hull"])) * 255
    inside = np.array(colours.rgb(colours.darker(colours.REGIONS["hull"], 0.62))) * 255
    assert (np.abs(seen - inside).max(axis=2) < 22).mean() > 0.05
    assert (np.abs(seen - inside).max(axis=2) < 22).sum() > 5 * (
        np.abs(seen - outside).max(axis=2) < 22
    ).sum()


@pytest.mark.render
def test_in_plan_the_ring_of_b_leaves_g_seen(craft, floating):
    gl.prepare(on_screen=False)
    made = draw(picture(craft, floating), size=(800, 500), view="plan")
    ball, ring = made.actors["centre G"], np.asarray(made.actors["centre B"].mapper.dataset.points)
    radius = (ball.bounds.x_max - ball.bounds.x_min) / 2
    assert np.hypot(*(ring[:, :2] - ball.center[:2]).T).min() > 1.2 * radius
    seen, wanted = pixels(made), np.array(colours.rgb(colours.WEIGHT)) * 255
    made.close()
    assert (np.abs(seen - wanted).max(axis=2) < 12).sum() > 100


# ---------------------------------------------------------------- the command


def hullview(*args: str, **env: str) -> subprocess.CompletedProcess[str]:
    kept = {
        k: v
        for k, v in os.environ.items()
        if k not in ("DISPLAY", "WAYLAND_DISPLAY", "VTK_DEFAULT_OPENGL_WINDOW")
    }
    return subprocess.run(
        [sys.executable, "-m", "hullview", *args],
        capture_output=True,
        text=True,
        env={**kept, **env},
        timeout=100,
    )


@pytest.mark.render
def test_a_screenshot_and_a_model_need_no_display(tmp_path):
    from PIL import Image

    shot, file = tmp_path / "its picture.png", tmp_path / "model.glb"
    done = hullview(
        "show", "models/short-kayak", "--size", "640x400", "--screenshot", str(shot), "--save", str(file)
    )
    assert done.returncode == 0, done.stderr
    assert Image.open(shot).size == (640, 400)
    assert file.read_bytes()[:4] == b"glTF"
    assert done.stdout == "" and "WARN" not in done.stderr


@pytest.mark.render
@pytest.mark.skipif(not sys.platform.startswith("linux"), reason="only X tells a missing display")
@pytest.mark.parametrize("display", [{}, {"DISPLAY": ":417"}], ids=["none", "unreachable"])
def test_a_window_with_no_display_is_refused_in_words(display):
    done = hullview("show", "models/short-kayak", **display)
    assert done.returncode == 2
    assert "no display" in done.stderr and "--screenshot" in done.stderr


def test_a_picture_under_another_name_than_png_is_refused(tmp_path):
    done = hullview("show", "models/short-kayak", "--screenshot", str(tmp_path / "it.jpg"))
    assert done.returncode == 2 and ".png" in done.stderr


@pytest.mark.render
def test_a_turn_is_a_moving_picture_of_one_whole_round(craft, floating):
    from PIL import Image

    from hullview.show.film import turning

    gl.prepare(on_screen=False)
    told = []
    data = turning(draw(picture(craft, floating), size=(320, 200)), 6, lambda: told.append(1))
    film = Image.open(io.BytesIO(data))
    assert film.n_frames == 6 == len(told)
    frames = []
    for i in range(6):
        film.seek(i)
        frames.append(np.asarray(film.convert("RGB")).astype(float))
    assert all(np.abs(a - b).mean() > 1 for a, b in itertools.pairwise(frames))


def test_no_gl_library_is_said_with_what_to_install():
    died = (sys.executable, "-c", "import os, signal; os.kill(os.getpid(), signal.SIGSEGV)")
    with pytest.raises(UsageError, match=r"libegl1 libgl1-mesa-dri.*libosmesa6") as told:
        gl.render_window(died)
    assert told.value.exit_status == 2


def test_a_blank_first_picture_is_not_taken_for_success():
    with pytest.raises(UsageError, match="blank"):
        gl.render_window((sys.executable, "-c", "print('window blank')"))


def test_an_error_of_the_first_picture_is_passed_on():
    with pytest.raises(UsageError, match="no module of that name"):
        gl.render_window((sys.executable, "-c", "raise SystemExit('no module of that name')"))
