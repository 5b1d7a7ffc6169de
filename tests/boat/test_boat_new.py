"""The folder that `new` writes: a comparison of like with like, and an answer that says what is not yet
anybody's boat."""

from __future__ import annotations

import json
import re
import tomllib
from pathlib import Path

import pytest

from hullview import study
from hullview.answer.compare import unseen
from hullview.boat.invented import invented_words, still_invented
from hullview.boat.model import Run, Schedule
from hullview.boat.new_boat import TEMPLATE, write_new
from hullview.boat.reader import read_boat
from hullview.commands import status_of

MODELS = Path(__file__).parents[2] / "models"
ALL = "Every line is still the invented boat's: put yours in its place."


@pytest.fixture
def new(tmp_path):
    return write_new(tmp_path / "boat")


def change(folder, name, *pairs):
    """Put other words in a file of a boat's folder, each of them there once."""
    text = (folder / name).read_text(encoding="utf-8")
    for old, other in pairs:
        assert text.count(old) == 1, old
        text = text.replace(old, other)
    (folder / name).write_text(text, encoding="utf-8")
    return read_boat(folder)


def test_an_unchanged_boat_is_told_so_and_no_model_is(new):
    assert invented_words(still_invented(read_boat(new))) == ALL
    for model in MODELS.iterdir():
        assert still_invented(read_boat(model)) == ()


def test_each_line_that_stands_is_named_until_it_is_changed(new):
    boat = change(
        new,
        "offsets.csv",
        ("0,300,700,1200,1700,2200,2650,3000,3300", "0,300,700,1200,1700,2200,2660,3000,3300"),
        ("295,270,246,229,225,231,248,270,295", "295,270,246,229,226,231,248,270,295"),
    )
    found = still_invented(boat)
    assert "the stations" not in found and "height sheer" not in found
    assert found[:2] == ("half-breadth sheer", "height keel")
    assert {"the bow's profile", "the stern's profile", "the cockpit", "paddler", "how it is built"} <= set(
        found
    )
    assert (
        invented_words(found)
        == "Still the invented boat's: half-breadth sheer, height keel, half-breadth waterline 40,"
        " half-breadth waterline 80 and 9 more."
    )
    boat = change(
        new,
        "boat.toml",
        ('\nmass = "75 kg"', '\nmass = "71 kg"'),
        ('ply_thickness = "5 mm"', 'ply_thickness = "4 mm"'),
        ('width = "0.42 m"', 'width = "0.43 m"'),
        ("[0, 295], [10, 265]", "[0, 295], [11, 265]"),
    )
    dropped = {"the bow's profile", "the cockpit", "paddler", "how it is built"}
    assert set(found) - set(still_invented(boat)) == dropped


def test_values_are_compared_and_not_their_words(new):
    """The same table in centimetres, a heading and the order of its rows changed, is the same invented
    boat."""
    text = (new / "offsets.csv").read_text(encoding="utf-8")
    head, *rows = [line for line in text.splitlines() if not line.startswith("#")]

    def tenth(row):
        measure, line, at, *cells = row.split(",")
        if measure == "shape":
            return row
        return ",".join([measure, line, *(f"{float(c) / 10:g}" if c else "" for c in (at, *cells))])

    position, *others = (tenth(row) for row in rows)
    (new / "offsets.csv").write_text("\n".join([head, position, *reversed(others)]), encoding="utf-8")
    profiles = (new / "boat.toml").read_text(encoding="utf-8").replace('units = "mm"', 'units = "cm"')
    profiles = re.sub(r"\[(\d+), (\d+)\]", lambda m: f"[{int(m[1]) / 10:g}, {int(m[2]) / 10:g}]", profiles)
    (new / "boat.toml").write_text(profiles, encoding="utf-8")
    assert set(still_invented(read_boat(new))) == set(still_invented(read_boat(TEMPLATE)))


def test_carry_says_which(new, capsys):
    assert status_of(["carry", str(new)]) == 0
    assert ALL in capsys.readouterr().out
    assert status_of(["carry", str(new), "--json", "--paddler", "80 kg"]) == 0
    told = json.loads(capsys.readouterr().out)["invented"]
    assert "height sheer" in told and "paddler" not in told
    assert status_of(["carry", str(MODELS / "short-kayak")]) == 0
    assert "invented boat" not in capsys.readouterr().out


def test_the_two_builds_differ_in_how_the_deck_is_joined_and_in_nothing_else():
    """Like the model's: glue under the deck on the clamp, the seam taped outside in both, the deck
    varnished."""
    ours, theirs = (
        tomllib.loads((folder / "boat.toml").read_text(encoding="utf-8"))
        for folder in (TEMPLATE, MODELS / "short-kayak")
    )

    def lines(boat, build):
        return [
            tuple(r.get(k) for k in ("along", "kind", "side", "plies", "radius", "width"))
            for r in boat["builds"][build]["run"]
        ]

    for build in ("clamped-sheer", "taped-seam"):
        assert sorted(map(str, lines(ours, build))) == sorted(map(str, lines(theirs, build)))
    varnished = {s["where"] for s in ours["schedule"]["skin"] if s.get("coating") == "varnish"}
    assert varnished == {"hull outside", "deck outside"}
    both = [{tuple(sorted(r.items())) for r in build["run"]} for build in ours["builds"].values()]
    outside = [r for r in both[0] & both[1] if dict(r).get("side") == "outside"]
    assert len(outside) == 1, "the seam tape outside belongs to both"


@pytest.mark.parametrize(
    "run",
    [
        Run("sheer", "lamination", wood="western redcedar", plies=4, ply_thickness=0.005, depth=0.018),
        Run("sheer", "tape", cloth="glass tape 6 oz/yd2", width=0.05),
        Run("sheer", "fillet", radius=0.01),
        Run("sheer", "solid", wood="white ash", thickness=0.02, depth=0.02, solid_share=0.6),
    ],
    ids=lambda run: run.kind,
)
def test_nothing_is_said_of_decks_to_an_open_boat(run):
    schedule = Schedule(runs=(run,))
    assert unseen(schedule, decked=False)
    assert "deck" not in " ".join(unseen(schedule, decked=False))


def test_compare_says_nothing_of_decks_to_an_open_boat(tmp_path):
    """The open canoe with an inner lamination against a taped sheer."""
    folder = tmp_path / "canoe"
    folder.mkdir()
    for name in ("boat.toml", "offsets.csv"):
        (folder / name).write_bytes((MODELS / "open-canoe" / name).read_bytes())
    with (folder / "boat.toml").open("a", encoding="utf-8") as file:
        file.write(
            "\n[[builds.inwale.run]]\nalong = 'sheer'\nkind = 'lamination'\nwood = 'white ash'\nplies ="
            " 3\nply_thickness = '6 mm'\ndepth = '20 mm'\nside = 'inside'\n[[builds.taped.run]]\nalong ="
            " 'sheer'\nkind = 'tape'\ncloth = 'glass tape 6 oz/yd2'\nwidth = '50 mm'\nside = 'inside'\n"
        )
    found, _ = study.compared([(study.craft_of(read_boat(folder)), ["inwale", "taped"])])
    printed = " ".join(words for _, several in found.unseen for words in several)
    assert "sheer" in printed and "deck" not in printed
    decked, _ = study.compared([(study.craft_of(read_boat(MODELS / "short-kayak")), ())])
    assert "deck" in " ".join(words for _, several in decked.unseen for words in several)
