"""Pieces with a size: which way they lie, a place for each, cut to the planking; what is told of one that
does not fit; nothing inside of a boat stands out through its skin."""

from __future__ import annotations

from dataclasses import replace

import boat_sample
import numpy as np
import pytest
import trimesh
from weight_hulls import box

from hullview import study
from hullview.answer.fit import misfits
from hullview.boat.model import Boat, Build, HullForm, Piece, Planking, Schedule
from hullview.boat.reader import read_boat
from hullview.errors import BoatFileError
from hullview.materials import library
from hullview.shape.room import room_of
from hullview.show.fittings import boxes, wall
from hullview.show.parts import Patch, tones
from hullview.show.solids import solids
from hullview.weight.line import ScheduleError
from hullview.weight.placed import inside_share, room_in, spread_of
from hullview.weight.total import weigh

MODELS = ("short-kayak", "open-canoe", "flat-skiff", "pulling-dinghy", "cruising-canoe-1883")
ASH = library(()).wood("white ash").density[1]


@pytest.fixture(scope="module")
def launched():
    """Each model read and shaped, once."""
    found = {}
    for name in MODELS:
        boat = read_boat(f"models/{name}")
        found[name] = (boat, study.shaped(boat)[0])
    return found


# ---------------------------------------------------------------- which way a piece lies


@pytest.mark.parametrize(
    ("name", "size", "given", "extent"),
    [
        ("rowing thwart", (1.1, 0.2, 0.02), {}, (0.2, 1.1, 0.02)),
        (
            "thwart",
            (0.05, 0.66, 0.018),
            {},
            (0.05, 0.66, 0.018),
        ),  # the longer side athwart, whichever comes first
        ("side seat", (0.9, 0.25, 0.02), {}, (0.9, 0.25, 0.02)),
        ("fore deck", (0.35, 0.2, 0.006), {}, (0.35, 0.2, 0.006)),
        ("sweathwarted", (0.3, 0.2, 0.01), {}, (0.3, 0.2, 0.01)),  # a whole word, not a part of one
        ("bow seat", (0.5, 0.6, 0.009), {"lies": "fore and aft"}, (0.5, 0.6, 0.009)),
        ("bow seat", (0.5, 0.6, 0.009), {"lies": "athwart"}, (0.6, 0.5, 0.009)),
        ("front", (1.1, 0.3, 0.006), {"lies": "athwart", "on_edge": True}, (0.006, 1.1, 0.3)),
        ("keel batten", (1.1, 0.3, 0.006), {"on_edge": True}, (1.1, 0.006, 0.3)),
    ],
)
def test_length_lies_along_the_pieces_own_direction(name, size, given, extent):
    assert Piece(name, (1.0, 0.0, 0.2), wood="white ash", size=size, **given).extent == extent


def one(piece: Piece) -> Boat:
    return Boat(
        "box", HullForm("open", "outside"), builds=(Build("b", Schedule(pieces=(piece,))),), without=()
    )


@pytest.mark.parametrize("lies", ["athwart", "fore and aft"])
def test_inertia_follows_the_direction(lies):
    long, wide, thick = 0.9, 0.2, 0.03
    board = Piece("board", (1.7, 0.0, 0.2), wood="white ash", size=(long, wide, thick), lies=lies)
    made = weigh(one(board), box(decked=False))
    m = ASH * long * wide * thick
    along, across = (wide, long) if lies == "athwart" else (long, wide)
    lines = made.lines[0]
    about = lines.second - np.outer(lines.centre, lines.centre)
    assert lines.mass == pytest.approx(m)
    assert np.diag(about) == pytest.approx(np.square([along, across, thick]) / 12)


def test_each_of_several_weighs_at_its_own_place():
    places = ((0.4, 0.05, 0.3), (2.9, -0.11, 0.25), (1.0, 0.0, 0.1))
    decks = Piece("deck", (0, 0, 0), wood="white ash", size=(0.3, 0.1, 0.01), count=3, places=places)
    spread = spread_of(decks, None)
    assert spread.size == 3
    assert spread.centre == pytest.approx(np.mean(places, axis=0))
    second = np.mean([np.outer(p, p) for p in places], axis=0) + np.diag(np.square([0.3, 0.1, 0.01])) / 12
    assert spread.second == pytest.approx(second)


def test_the_keys_are_read_and_what_does_not_agree_is_refused(tmp_path):
    def read(piece: str):
        toml = boat_sample.TOML.replace(
            "[builds.clamped-sheer]", f"[[schedule.piece]]\n{piece}\n[builds.clamped-sheer]", 1
        )
        folder = tmp_path / str(len(list(tmp_path.iterdir())))
        folder.mkdir()
        return read_boat(boat_sample.write(folder, toml)).builds[0].schedule.pieces[-1]

    ends = 'at = [["0.30 m", "0 mm", "250 mm"], ["2.60 m", "0 mm", "240 mm"]]'
    size = 'name = "ends"\nwood = "white ash"\nsize = ["300 mm", "10 cm", "1/2 in"]\n'
    two = read(f'{size}{ends}\nlies = "athwart"\non_edge = true\nscribed = true')
    assert (
        two.count == 2
        and two.each == ((0.3, 0.0, 0.25), (2.6, 0.0, 0.24))
        and two.at[0] == pytest.approx(1.45)
    )
    assert (two.lies, two.on_edge, two.scribed) == ("athwart", True, True)
    assert read(f'{size}at = [["1 m", "0 mm", "250 mm"]]').each == ((1.0, 0.0, 0.25),)
    for wrong, says in (
        (f"{size}{ends}\ncount = 3", "does not agree with the 2 places"),
        (f'{size}{ends}\nlies = "across"', "must be fore and aft or athwart"),
        (f'name = "x"\nmass = "1 kg"\n{ends}\nlies = "athwart"', "does nothing for a piece by mass"),
        (f'{size}at = [["1 m", "0 mm", "250 mm"], ["90 m", "0 mm", "1 mm"]]', "lies off the boat"),
    ):
        with pytest.raises(BoatFileError, match=says):
            read(wrong)


# ---------------------------------------------------------------- the room inside the planking


@pytest.mark.parametrize("name", ["short-kayak", "pulling-dinghy", "flat-skiff"])
def test_the_room_is_what_a_second_way_cuts_out_of_the_hull(launched, name):
    """The volume of a board within the skin against a general library's intersection of the two meshes."""
    _, hull = launched[name]
    room = room_of(hull, 0.0, 0.0, 0.0)  # as near the outside as it lets itself be: 2 mm
    skin = trimesh.Trimesh(hull.vertices, hull.faces, process=False)
    length = float(hull.sheer[-1, 0])
    for share, z, size in (
        (0.13, 0.16, (0.5, 1.4, 0.02)),
        (0.5, 0.1, (0.3, 2.0, 0.16)),
        (0.8, 0.18, (0.4, 1.4, 0.02)),
    ):
        at = (share * length, 0.0, z)
        board = trimesh.creation.box(size, transform=trimesh.transformations.translation_matrix(at))
        left = trimesh.boolean.intersection([board, skin], engine="manifold").volume
        own = inside_share(at, size, room) * np.prod(size)
        assert own == pytest.approx(left, rel=0.03), (share, z)


def test_a_scribed_piece_weighs_what_is_left_of_its_blank(launched):
    boat, hull = launched["flat-skiff"]
    seat = next(p for p in boat.builds[0].schedule.pieces if p.name == "bow seat")
    assert seat.scribed
    room = room_in(hull, boat.builds[0].schedule)
    spread = spread_of(seat, room)
    assert 0.6 < spread.size < 0.9 and spread.centre[0] > seat.at[0], "more of it is left at the wide end"
    assert spread.centre[1] == pytest.approx(0, abs=1e-12)
    (line,) = (x for x in weigh(boat, hull).lines if x.item == "bow seat")
    okoume = library(()).wood("okoume plywood").density[1]
    assert line.mass == pytest.approx(okoume * np.prod(seat.size) * spread.size)
    lost = replace(seat, at=(seat.at[0], 0.0, -0.2))
    build = replace(boat.builds[0], schedule=replace(boat.builds[0].schedule, pieces=(lost,)))
    with pytest.raises(ScheduleError, match="nothing of it is left inside"):
        weigh(replace(boat, builds=(build,)), hull)


# ---------------------------------------------------------------- what does not fit is told


def with_pieces(boat: Boat, *pieces: Piece) -> Build:
    return replace(boat.builds[0], schedule=replace(boat.builds[0].schedule, pieces=pieces))


def test_the_models_fit(launched):
    for name, (boat, hull) in launched.items():
        for build in boat.builds:
            assert misfits(boat, hull, build) == (), name


@pytest.mark.parametrize(
    ("model", "piece", "says"),
    [
        (
            "open-canoe",
            Piece("decks", (2.3, 0, 0.49), wood="white ash", size=(0.32, 0.11, 0.015)),
            "hangs 14[0-9] mm over the sheer",
        ),
        (
            "pulling-dinghy",
            Piece("thwart", (1.52, 0, 0.23), wood="white ash", size=(1.28, 0.2, 0.019)),
            "1280 mm long athwart, longer than the 11",
        ),
        (
            "cruising-canoe-1883",
            Piece("fore deck", (0.2, 0, 0.42), wood="white ash", size=(0.36, 0.2, 0.006)),
            "pokes through the skin: 5",
        ),
        (
            "short-kayak",
            Piece("shelf", (0.5, 0, 0.24), wood="white ash", size=(0.5, 0.6, 0.09)),
            "pokes through the skin",
        ),
        (
            "short-kayak",
            Piece("box", (0.6, 0, 0.50), wood="white ash", size=(0.2, 0.2, 0.1)),
            "over the deck with nothing under it",
        ),
        ("flat-skiff", Piece("lead", (1.5, 0, 0.9), mass=2.0), "over the sheer with nothing under it"),
        (
            "flat-skiff",
            Piece("plank", (3.3, 0.2, 0.3), wood="white ash", size=(0.9, 0.1, 0.02)),
            "pokes through the skin",
        ),
    ],
)
def test_a_piece_that_does_not_fit_is_told(launched, model, piece, says):
    import re

    boat, hull = launched[model]
    (told,) = misfits(boat, hull, with_pieces(boat, piece))
    assert told.startswith(piece.name) and re.search(says, told), told


def test_what_rests_on_something_does_not_hang(launched):
    boat, hull = launched["flat-skiff"]
    chest = Piece("chest", (0.7, 0, 0.72), wood="white ash", size=(0.3, 0.3, 0.3))
    under = Piece("post", (0.7, 0, 0.40), wood="white ash", size=(0.1, 0.1, 0.34))
    assert "hangs" in misfits(boat, hull, with_pieces(boat, chest))[0]
    assert misfits(boat, hull, with_pieces(boat, chest, under)) == ()


def test_the_coaming_carries_what_stands_on_it(launched):
    boat, hull = launched["short-kayak"]
    lid = Piece("cover", (1.66, 0, 0.335), wood="white ash", size=(0.4, 0.3, 0.006))
    assert misfits(boat, hull, with_pieces(boat, lid)) == ()
    ahead = replace(lid, at=(0.8, 0, 0.36))
    assert misfits(boat, hull, with_pieces(boat, ahead)) != ()


def test_check_and_the_answer_tell_of_it(launched):
    boat, _ = launched["pulling-dinghy"]
    long = Piece("thwart", (1.52, 0, 0.23), wood="white ash", size=(1.28, 0.2, 0.019))
    odd = replace(boat, builds=(with_pieces(boat, long),))
    assert any("longer than" in told for told in study.check(study.craft_of(odd)).notes)
    verdict = study.judge(study.launch(odd))
    assert any("longer than" in told for told in verdict.doubts) and verdict.answer != "carries"


# ---------------------------------------------------------------- nothing stands out through the skin


def enclosed(sheet: Patch) -> float:
    a, b, c = (sheet.vertices[sheet.faces[:, i]] for i in range(3))
    return float((a * np.cross(b, c)).sum() / 6)


@pytest.mark.parametrize("name", MODELS)
def test_no_vertex_of_an_inside_part_lies_outside_of_the_skin(launched, name):
    """Asked of a general library, with the skin drawn in by a millimetre: wood in the skin's own face
    shows as specks."""
    boat, hull = launched[name]
    skin = trimesh.Trimesh(hull.vertices, hull.faces, process=False)
    tight = trimesh.Trimesh(hull.vertices - 0.001 * skin.vertex_normals, hull.faces, process=False)
    sheer = hull.sheer
    for build in boat.builds:
        inside = tuple(r for r in build.schedule.runs if r.side == "inside")
        within = replace(build, schedule=replace(build.schedule, runs=inside))
        for part in solids(boat, hull, within, tones(build, boat.bulkheads)):
            p = part.vertices
            over = p[:, 2] > np.interp(p[:, 0], sheer[:, 0], sheer[:, 2]) - 0.002
            within = np.abs(p[:, 1]) < np.interp(p[:, 0], sheer[:, 0], sheer[:, 1])
            ends = (p[:, 0] > sheer[0, 0]) & (p[:, 0] < sheer[-1, 0])
            free = hull.open_top & over & within & ends  # over the sheer of an open boat, within its plan
            assert tight.contains(p[~free]).all(), (build.name, part.name)


def test_a_part_is_a_closed_solid_the_right_way_out(launched):
    boat, hull = launched["pulling-dinghy"]
    build = boat.builds[0]
    room = room_in(hull, build.schedule)
    for piece in build.schedule.pieces:
        if piece.size is None:
            continue
        drawn = sum(enclosed(sheet) for sheet in boxes(piece, room))
        assert drawn == pytest.approx(np.prod(piece.size) * spread_of(piece, room).size, rel=0.02), piece.name
        for sheet in boxes(piece, room):
            edges = np.sort(
                np.concatenate([sheet.faces[:, [0, 1]], sheet.faces[:, [1, 2]], sheet.faces[:, [2, 0]]]),
                axis=1,
            )
            assert (np.unique(edges, axis=0, return_counts=True)[1] == 2).all(), "every edge has two faces"


def test_every_solid_encloses_its_wood(launched):
    for name, (boat, hull) in launched.items():
        for build in boat.builds:
            for part in solids(boat, hull, build, tones(build, boat.bulkheads)):
                assert enclosed(part.sheet) > 0, (name, part.name)


def test_a_bulkhead_fills_its_section(launched):
    boat, hull = launched["short-kayak"]
    plate = wall(boat.bulkheads[0], hull, room_in(hull, boat.builds[0].schedule))
    (line,) = (x for x in weigh(boat, hull).lines if x.kind == "bulkhead")
    assert enclosed(plate) == pytest.approx(line.quantity * boat.bulkheads[0].thickness, rel=0.05)


def test_planking_makes_the_room_smaller(launched):
    _, hull = launched["flat-skiff"]
    thin, thick = (room_of(hull, t) for t in (0.004, 0.014))
    x, z = np.array([1.2]), np.array([0.3])
    flare = float(
        np.degrees(np.arctan2(0.573 - 0.544, 0.1))
    )  # of the skiff's straight side, from its half-breadths 100 mm apart
    lost = float((thin.half_breadth(x, z) - thick.half_breadth(x, z))[0])
    assert lost == pytest.approx(0.010 / np.cos(np.radians(flare)), rel=0.05)
    assert Planking("hull", "x", 0.01).finished < 0.01
