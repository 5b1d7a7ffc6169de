"""What a name means for the weight: whole words, read by the last of them; `is` says outright; what
answers for what is told."""

from __future__ import annotations

import json
import shutil
from dataclasses import replace
from pathlib import Path

import pytest
from weight_boats import decked_box
from weight_hulls import box

from hullview.boat.model import Boat, Build, Piece, Planking, Run, Schedule, Skin
from hullview.boat.reader import read_boat
from hullview.boat.usual import names_it, usual_items
from hullview.commands import status_of
from hullview.errors import BoatFileError
from hullview.shape.assemble import build_hull
from hullview.weight.total import Weight, weigh

MODELS = Path(__file__).parents[2] / "models"


def with_pieces(boat: Boat, *pieces: Piece) -> Boat:
    build = boat.builds[0]
    schedule = replace(build.schedule, pieces=(*build.schedule.pieces, *pieces))
    return replace(boat, builds=(replace(build, schedule=schedule), *boat.builds[1:]))


def allowed(w: Weight) -> dict[str, float]:
    return {x.item: x.mass for x in w.usually_also}


@pytest.fixture(scope="module")
def skiff():
    boat = read_boat(MODELS / "flat-skiff")
    return boat, build_hull(boat)


def test_a_knee_pad_of_foam_adds_its_own_mass_and_nothing_else(skiff):
    """50 g took 4.1 kg off the skiff: "foam" was taken for the flotation, "knee" for the knees."""
    boat, hull = skiff
    before = weigh(boat, hull)
    after = weigh(with_pieces(boat, Piece("foam knee pad", (1.2, 0, 0.1), mass=0.05)), hull)
    assert allowed(after) == pytest.approx(allowed(before)) and len(allowed(before)) == 4
    assert after.mass == pytest.approx(before.mass + 0.05, abs=1e-9)


@pytest.mark.parametrize(
    ("name", "means"),
    [
        ("keelson", set()),
        ("duffel bag hook", set()),
        ("foam knee pad", set()),
        ("seat cushion", set()),
        ("keel band", set()),
        ("thwart cleat", set()),
        ("brass", set()),
        ("straps for the air bags", set()),
        ("bow seat and tank top", {"seat and back rest", "seats", "thwarts", "panels of the sealed tanks"}),
        (
            "oarlocks, sockets, rings and screws",
            {"oarlocks and pads", "rings, screws, hardware", "screws, bolts, painter rings"},
        ),
        ("hanging knees (4)", {"knees and breasthook"}),
        ("Foot-braces, port", {"foot braces", "foot stretcher"}),
        ("foam under the bow seat", {"flotation and its straps"}),
        ("air bags", {"flotation and its straps"}),
        ("false keel", {"skeg or keel"}),
        ("fore deck", {"small decks at the ends"}),
        ("deck lines", {"deck lines, handles, hardware"}),
        ("scuppered inwale", {"gunwales"}),
        ("hatches", {"hatch rims and straps"}),
    ],
)
def test_a_name_is_read_by_its_last_word(name, means):
    assert {u.item for u in usual_items() if names_it(name, u)} == means


def open_box(*parts: object, **more: object) -> Weight:
    runs = tuple(p for p in parts if isinstance(p, Run))
    pieces = tuple(p for p in parts if isinstance(p, Piece))
    skins = tuple(p for p in parts if isinstance(p, Skin))
    schedule = Schedule((Planking("hull", "western redcedar", 0.006),), skins, runs, pieces)
    form = replace(decked_box().hull, type="open")
    boat = replace(decked_box(), hull=form, builds=(Build("b", schedule),), **more)
    return weigh(boat, box(beam=1.3, decked=False))


def stick(along: str, side: str = "inside", **more: object) -> Run:
    return Run(along, "solid", wood="white ash", thickness=0.02, depth=0.05, side=side, **more)  # type: ignore[arg-type]


def test_a_keelson_inside_is_no_keel_and_a_clamp_no_gunwale():
    assert "skeg or keel" in allowed(open_box(stick("keel", name="keelson")))
    assert "skeg or keel" in allowed(open_box(stick("keel")))
    assert "skeg or keel" not in allowed(open_box(stick("keel", "outside")))
    assert "gunwales" in allowed(open_box(stick("sheer", name="sheer clamp")))
    assert "gunwales" not in allowed(open_box(stick("sheer")))


def test_is_says_outright_and_the_name_no_longer_counts():
    fin = Piece("fin", (2.0, 0, 0), mass=0.5)
    assert "skeg or keel" in allowed(open_box(fin))
    assert "skeg or keel" not in allowed(open_box(replace(fin, is_a=("skeg",))))
    seat = Piece("seat", (1.5, 0, 0.2), mass=2.0)
    assert "thwarts" not in allowed(open_box(seat)) and "thwarts" in allowed(
        open_box(replace(seat, is_a=("other",)))
    )
    both = replace(fin, is_a=("skeg", "oarlocks and pads"))
    assert not {"skeg or keel", "oarlocks and pads"} & set(allowed(open_box(both)))
    runner = stick("keel", name="runner", is_a=("keel",))
    assert "skeg or keel" not in allowed(open_box(runner))


def test_a_coating_answers_for_what_it_covers():
    bare = allowed(open_box())["paint or varnish"]
    inside = allowed(open_box(Skin("hull inside", coating="paint", coats=2)))
    assert inside["paint or varnish"] == pytest.approx(bare)
    assert "paint or varnish" not in allowed(open_box(Skin("hull outside", coating="paint", coats=2)))
    w = weigh(decked_box(), box())  # a box 3.0 x 0.6 x 0.4 m whose deck alone is varnished
    assert allowed(w)["varnish"] == pytest.approx(0.11 * (3 * 0.6 + 2 * 3.6 * 0.4), rel=1e-6)


def test_each_item_left_out_is_told_with_the_line_that_answers_for_it(skiff):
    boat, hull = skiff
    w = weigh(replace(boat, without=("knees",)), hull)
    told = {a.item: (a.by, w.line_of(a)) for a in w.answered}
    by, line = told["thwarts"]
    assert by == "name" and line is not None and line.names == ("rowing thwart",)
    by, line = told["paint or varnish"]
    assert by == "kind" and line is not None and line.kind == "coating" and line.region == "hull outside"
    assert told["knees and breasthook"] == ("without", None)
    assert not set(told) & set(allowed(w))
    assert "panels of the sealed tanks" not in told  # it has no tank


def test_weigh_prints_and_writes_what_answers(capsys):
    def printed(*words: str) -> str:
        assert status_of(["weigh", str(MODELS / "flat-skiff"), *words]) == 0
        return capsys.readouterr().out

    text = " ".join(printed().split())
    assert "gunwales sheer, inside, both sides: inwale: solid" in text
    assert "usually also: skeg or keel" in text
    record = json.loads(printed("--json"))
    answer = next(a for a in record["answered"] if a["item"] == "gunwales")
    assert record["lines"][answer["line"]]["kind"] == "solid" and answer["by"] == "name"


@pytest.mark.parametrize(
    ("value", "hint"),
    [
        ('"seet"', "Did you mean 'seat'?"),
        ('"sail"', 'Write "other" for none of them.'),
        ("3", "must be text"),
    ],
)
def test_is_that_means_nothing_is_refused_with_its_line(tmp_path, value, hint):
    folder = tmp_path / "boat"
    shutil.copytree(MODELS / "short-kayak", folder)
    text = (folder / "boat.toml").read_text()
    (folder / "boat.toml").write_text(
        text.replace('name = "foot braces"\n', f'name = "foot braces"\nis = {value}\n')
    )
    with pytest.raises(BoatFileError) as refused:
        read_boat(folder)
    line = text[: text.index('name = "foot braces"')].count("\n") + 2
    assert f"boat.toml:{line} schedule.piece[3].is" in str(refused.value) and hint in str(refused.value)


def test_without_is_refused_by_the_reader_with_its_line_and_taken_by_whole_words(tmp_path):
    folder = tmp_path / "boat"
    shutil.copytree(MODELS / "flat-skiff", folder)
    text = (folder / "boat.toml").read_text()
    (folder / "boat.toml").write_text('without = ["keelson"]\n' + text)
    with pytest.raises(
        BoatFileError, match=r"boat\.toml:1 without\[1\] = \"keelson\": is nothing that such boats"
    ):
        read_boat(folder)
    (folder / "boat.toml").write_text('without = ["keel", "knees"]\n' + text)
    boat = read_boat(folder)
    assert set(allowed(weigh(boat, build_hull(boat)))) == {"foot stretcher", "flotation and its straps"}
