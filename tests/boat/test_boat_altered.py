"""A boat altered: laws of scaling by formula, what keeps its size, its files written over the old ones."""

from __future__ import annotations

import math
import shutil
import tomllib
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from boats import random_boat, write_folder
from whole_boat import whole_boat

from hullview.boat.altered import Change, altered, dimensions
from hullview.boat.files import OURS
from hullview.boat.loading import with_load
from hullview.boat.model import Gear, Water
from hullview.boat.notation import finer, mixed, written_like
from hullview.boat.quantity import read
from hullview.boat.reader import read_boat
from hullview.boat.writer import files_of, read_back, save, sources
from hullview.errors import UsageError
from hullview.shape.assemble import build_hull
from hullview.shape.body import Body

MODELS = Path(__file__).parents[2] / "models"
WITH_A_TABLE = ("short-kayak", "open-canoe", "pulling-dinghy", "cruising-canoe-1883", "flat-skiff")
ODD = Change(1.05, 1.03, 0.96, 0.02, 0.004, -0.03)


def volume(boat):
    hull = build_hull(boat)
    return Body(hull.vertices, hull.faces).volume


@pytest.mark.parametrize("seed", [2, 5, 11])
def test_a_hull_scaled_alike_all_ways_has_the_cube_of_the_volume_and_the_same_shape(seed):
    """V = k^3 V0, and every point of the skin goes to k times its place: exact but for rounding."""
    boat = replace(random_boat(seed), openings=(), hatches=())
    k = 1.07
    old, new = build_hull(boat), build_hull(altered(boat, Change(k, k, k)))
    assert new.side.points == pytest.approx(k * old.side.points, abs=1e-6)
    ratio = Body(new.vertices, new.faces).volume / Body(old.vertices, old.faces).volume
    assert ratio == pytest.approx(k**3, rel=2e-6)


@pytest.mark.parametrize("name", ["open-canoe", "pulling-dinghy", "flat-skiff"])
@pytest.mark.parametrize(
    "change", [Change(length=1.08), Change(beam=1.06), Change(depth=0.93), Change(1.05, 1.04, 0.97)]
)
def test_volume_goes_by_the_product_of_the_factors(name, change):
    """An affine map multiplies volume by its determinant; a spline by chords is not quite affine, hence the
    one in a thousand."""
    boat = replace(read_boat(MODELS / name), appendages=())
    ratio = volume(altered(boat, change)) / volume(boat)
    assert ratio == pytest.approx(change.length * change.beam * change.depth, rel=1e-3)


def test_every_offset_of_a_scaled_hull_lies_on_it_by_formula():
    table = read_boat(MODELS / "short-kayak").hull.table
    boat = read_boat(MODELS / "short-kayak")
    new = altered(boat, Change(1.1, 1.2, 0.9)).hull.table
    for before, after in zip(table.lines, new.lines):
        by = 0.9 if before.measure == "height" else 1.2
        at = 1.2 if before.measure == "height" else 0.9
        assert after.at == (None if before.at is None else pytest.approx(before.at * at))
        for v, w in zip(before.values, after.values):
            assert (v is None) == (w is None)
            assert v is None or w == pytest.approx(v * by)
    assert new.stations == pytest.approx([1.1 * x for x in table.stations])


def test_a_diagonal_goes_where_its_points_go(tmp_path):
    """A point (v cos a, h - v sin a) scaled by (b, d) is the new diagonal's point at its new distance."""
    from hullview.boat.altered import _line
    from hullview.boat.model import TableLine

    old = TableLine("half-breadth", "diagonal", 0.3, (0.2, None, 0.41), math.radians(40))
    new = _line(old, Change(1.0, 1.2, 0.9), ())
    for v, w in zip(old.values, new.values):
        if v is not None:
            point = (1.2 * v * math.cos(old.angle), 0.9 * (old.at - v * math.sin(old.angle)))
            assert point == pytest.approx((w * math.cos(new.angle), new.at - w * math.sin(new.angle)))


def test_planking_cockpit_coaming_and_people_keep_their_size():
    boat = read_boat(MODELS / "short-kayak")
    new = altered(boat, Change(1.1, 1.1, 1.1))
    assert new.builds[0].schedule.planking == boat.builds[0].schedule.planking
    for before, after in zip(boat.builds[0].schedule.runs, new.builds[0].schedule.runs):
        assert before == after
    (rim,), (was,) = new.openings, boat.openings
    assert (rim.length, rim.width, rim.coaming) == (was.length, was.width, was.coaming)
    assert rim.centre == pytest.approx(1.1 * was.centre)
    (p,), (q,) = new.load.paddlers, boat.load.paddlers
    assert p.seat_back - rim.centre == pytest.approx(q.seat_back - was.centre), (
        "the seat goes with its cockpit"
    )
    assert replace(p, seat_back=q.seat_back) == q
    pieces = {piece.name: piece for piece in new.builds[0].schedule.pieces}
    assert pieces["seat"].at[0] == pytest.approx(1.63 + 0.1 * was.centre), "and the seat's own wood"
    assert pieces["foot braces"].at[0] == pytest.approx(0.92 + 0.1 * was.centre), "legs are as long as before"
    assert pieces["coaming riser"].mass == 0.18


def test_what_goes_across_the_boat_is_cut_to_its_beam():
    boat = read_boat(MODELS / "open-canoe")
    new = {p.name: p for p in altered(boat, Change(1.2, 1.1, 1.0)).builds[0].schedule.pieces}
    assert new["thwart"].size == pytest.approx((0.885 * 1.1, 0.05, 0.019))
    assert new["decks"].size == pytest.approx((0.33 * 1.2, 0.28 * 1.1, 0.012)), "scribed: both ways"


def test_a_raised_sheer_goes_on_as_the_side_leans_and_leaves_the_rest():
    boat = read_boat(MODELS / "short-kayak")
    old, new = boat.hull.table, altered(boat, Change(sheer=0.03)).hull.table
    for before, after in zip(old.lines, new.lines):
        rises = 0.03 if before.measure == "height" and before.name in ("sheer", "deck") else 0.0
        if before.name == "sheer" and before.measure == "half-breadth":
            # station 1: 67 at a height of 299, 49 at the waterline of 200
            assert after.values[1] - before.values[1] == pytest.approx(0.03 * 18 / 99)
            assert after.values[0] == before.values[0], "the stem keeps its siding"
            continue
        for v, w in zip(before.values, after.values):
            assert v is None or w == pytest.approx(v + rises)
    assert dimensions(altered(boat, Change(sheer=0.03))).depth == pytest.approx(dimensions(boat).depth + 0.03)
    top = build_hull(altered(boat, Change(sheer=0.03))).sheer[:, 2].min()
    assert top - build_hull(boat).sheer[:, 2].min() == pytest.approx(0.03, abs=6e-4)


def test_seats_are_lowered_no_further_than_somebody_can_sit():
    boat = read_boat(MODELS / "short-kayak")
    assert altered(boat, Change(lower=0.003)).load.paddlers[0].seat == pytest.approx(0.007)
    assert altered(boat, Change(lower=0.5)).load.paddlers[0].seat == pytest.approx(0.005)
    moved = altered(boat, Change(aft=-0.04))
    assert moved.load.paddlers[0].seat_back == pytest.approx(1.76)
    seat = next(p for p in moved.builds[0].schedule.pieces if p.name == "seat")
    assert seat.at[0] == pytest.approx(1.59)


@pytest.mark.parametrize(
    "change", [Change(length=0.1), Change(beam=9.0), Change(sheer=-0.2), Change(sheer=3.0)]
)
def test_what_leaves_no_boat_is_refused(change):
    with pytest.raises(UsageError):
        altered(read_boat(MODELS / "short-kayak"), change)


def test_a_mesh_has_no_table_to_alter():
    with pytest.raises(UsageError, match="mesh"):
        boat = read_boat(MODELS / "short-kayak")
        altered(replace(boat, hull=replace(boat.hull, table=None, mesh_file="hull.stl")), Change(length=1.1))


# ---------------------------------------------------------------- its files


@pytest.mark.parametrize("name", WITH_A_TABLE)
def test_a_boat_that_has_not_changed_is_written_byte_for_byte(name):
    old = sources(MODELS / name)
    made = files_of(read_boat(MODELS / name), old)
    assert made == {"boat.toml": old.toml, old.name: old.table}


@pytest.mark.parametrize("name", WITH_A_TABLE)
def test_an_altered_boat_reads_back_within_the_rounding_of_its_table(name):
    boat, old = read_boat(MODELS / name), sources(MODELS / name)
    new = altered(boat, ODD)
    back = read_back(files_of(new, old))
    half = {"mm": 0.0005, "ft-in-eighths": 0.0254 / 16}[boat.hull.table.unit] + 1e-9
    assert back.hull.table.stations == pytest.approx(new.hull.table.stations, abs=half)
    for want, got in zip(new.hull.table.lines, back.hull.table.lines):
        assert got.at is want.at is None or got.at == pytest.approx(want.at, abs=half)
        for v, w in zip(want.values, got.values):
            assert (v is None) == (w is None) and (v is None or w == pytest.approx(v, abs=half))
    sixteenth = 0.0254 / 32 + 1e-9
    for end in ("bow", "stern"):
        assert np.allclose(getattr(back.hull, end).profile, getattr(new.hull, end).profile, atol=half)
    for p, q in zip(new.load.paddlers, back.load.paddlers):
        assert q.seat_back == pytest.approx(p.seat_back, abs=sixteenth) and q.seat == pytest.approx(
            p.seat, abs=sixteenth
        )
    for a, b in zip(new.builds, back.builds):
        assert a.schedule.planking == b.schedule.planking and a.schedule.runs == b.schedule.runs
        for p, q in zip(a.schedule.pieces, b.schedule.pieces):
            assert np.allclose(p.each, q.each, atol=sixteenth) and p.mass == q.mass


def test_comments_and_all_that_has_not_changed_stay():
    old = sources(MODELS / "short-kayak")
    made = files_of(altered(read_boat(MODELS / "short-kayak"), ODD), old)["boat.toml"].decode()
    before = old.toml.decode()
    comments = [line[line.index("#") :] for line in before.splitlines() if "#" in line]
    assert comments and all(comment in made for comment in comments)
    here = before.splitlines()
    changed = [line for line in made.splitlines() if line not in here]
    words = (
        "profile",
        "centre",
        "position",
        "seat_back",
        "seat_height",
        "at =",
        "design_displacement",
        "siding",
    )
    assert changed and all(line.startswith(words) for line in changed), changed


def test_a_load_and_water_of_any_number_are_written(tmp_path):
    """What a bench saves: other people, other gear, other water; the rest byte for byte as it was."""
    boat, old = read_boat(MODELS / "open-canoe"), sources(MODELS / "open-canoe")
    gear = (Gear(3.25, (2.0, 0.1, 0.2), "lamp"), Gear(25.0, (2.4, 0.0, None), "dog", 0.2))
    asked = replace(with_load(boat, [64.0, 91.5], gear=gear), water=Water("given", 1012.0))
    files = files_of(asked, old, load_only=True)
    assert files["offsets.csv"] == old.table
    back = read_back(files)
    assert [p.mass for p in back.load.paddlers] == [64.0, 91.5]
    assert [(g.mass, g.name, g.roams) for g in back.load.gear] == [(3.25, "lamp", 0.0), (25.0, "dog", 0.2)]
    assert back.load.gear[0].at == pytest.approx((2.0, 0.1, 0.2)) and back.load.gear[1].at[2] is None
    assert back.water == asked.water
    nothing = read_back(files_of(replace(asked, load=replace(asked.load, gear=())), old, load_only=True))
    assert nothing.load.gear == () and len(nothing.load.paddlers) == 2
    fresh = read_back(
        files_of(replace(back, water=Water("salt")), sources_of(files, tmp_path), load_only=True)
    )
    assert fresh.water == Water("salt")


def sources_of(files, folder):
    for name, raw in files.items():
        (folder / name).write_bytes(raw)
    return sources(folder)


def test_line_ends_a_mark_at_the_head_and_other_units_are_kept(tmp_path):
    shutil.copytree(MODELS / "short-kayak", tmp_path / "boat")
    table = tmp_path / "boat" / "offsets.csv"
    rows = table.read_text().replace("height,keel,,,,20,", 'height,keel,,,,"3/4 in",').splitlines()
    rows.insert(3, "# measured twice, by lamplight")
    table.write_bytes(b"\xef\xbb\xbf" + "\r\n".join(rows).encode() + b"\r\n")
    boat = read_boat(tmp_path / "boat")
    made = files_of(altered(boat, Change(depth=1.1)), sources(tmp_path / "boat"))["offsets.csv"]
    assert made.startswith(b"\xef\xbb\xbf") and b"# measured twice, by lamplight\r\n" in made
    assert made.count(b"\r\n") == made.count(b"\n") == len(rows)
    assert b"13/16 in" in made, "19.05 mm * 1.1 in the cell's own unit"


@pytest.mark.parametrize("seed", range(6))
def test_any_boat_reads_back_to_what_was_written(seed, tmp_path):
    unit = ("mm", "in", "mm", "cm", "m", "ft")[seed]
    write_folder(random_boat(seed), tmp_path / "boat", unit)
    boat, old = read_boat(tmp_path / "boat"), sources(tmp_path / "boat")
    new = altered(boat, Change(1.04, 1.05, 1.03))
    back = read_back(files_of(new, old))
    for want, got in zip(new.hull.table.lines, back.hull.table.lines):
        for v, w in zip(want.values, got.values):
            assert v is None or w == pytest.approx(v, abs=0.0016)


def test_what_was_weighed_is_left_out_of_another_hull(tmp_path):
    shutil.copytree(MODELS / "short-kayak", tmp_path / "boat")
    toml = tmp_path / "boat" / "boat.toml"
    toml.write_text(toml.read_text() + '\n[[weighed]]\nstage = "finished"\nmass = "14 kg"\n')
    boat, old = read_boat(tmp_path / "boat"), sources(tmp_path / "boat")
    assert boat.weighed and not read_back(files_of(altered(boat, Change(beam=1.05)), old)).weighed
    assert read_back(files_of(altered(boat, Change(aft=0.02)), old)).weighed


def test_a_folder_is_written_whole_and_only_over_its_own(tmp_path):
    old = sources(MODELS / "short-kayak")
    files = files_of(read_boat(MODELS / "short-kayak"), old)
    save(tmp_path / "new", files)
    assert {p.name for p in (tmp_path / "new").iterdir()} == {"boat.toml", "offsets.csv", OURS}
    assert read_boat(tmp_path / "new").checksum == read_boat(MODELS / "short-kayak").checksum
    (tmp_path / "new" / "log.txt").write_text("mine")
    with pytest.raises(UsageError, match=r"log\.txt"):
        save(tmp_path / "new", files)
    assert (tmp_path / "new" / "log.txt").read_text() == "mine"


def test_a_file_with_every_key_reads_back(tmp_path):
    """Runs between pieces there: the lists keep their order, the tables of one list are put together."""
    folder = whole_boat(tmp_path / "boat")
    boat, old = read_boat(folder), sources(folder)
    back = read_back(files_of(boat, old))
    found_out = {"folder": "", "checksum": "", "notices": ()}
    assert replace(back, **found_out) == replace(boat, **found_out)
    new = read_back(files_of(altered(boat, ODD), old))
    assert new.tanks[0].end == pytest.approx(1.05 * boat.tanks[0].end, abs=6e-4)
    assert new.appendages[0].outline[0][0] == pytest.approx(1.05 * boat.appendages[0].outline[0][0], abs=6e-4)
    assert new.flooding[0].at[1] == pytest.approx(1.03 * boat.flooding[0].at[1], abs=6e-4)
    assert new.hatches[0].length == boat.hatches[0].length
    assert new.bulkheads[0].position == pytest.approx(1.05 * boat.bulkheads[0].position, abs=6e-4)
    assert not new.weighed and not new.afloat


def test_a_load_written_in_one_line_is_written_there_too(tmp_path):
    shutil.copytree(MODELS / "flat-skiff", tmp_path / "boat")
    toml = tmp_path / "boat" / "boat.toml"
    text = toml.read_text()
    head, load = text.index("\n[hull]"), text.index("[[load.paddler]]")
    after = text.index("# ---- what it is to carry")
    line = 'load.paddler = [{ mass = "80 kg", posture = "bench", seat_back = "1.74 m" }]   # me\n'
    toml.write_text(text[:head] + "\n" + line + text[head:load] + text[after:])
    boat = read_boat(tmp_path / "boat")
    files = files_of(with_load(boat, [91.0]), sources(tmp_path / "boat"), load_only=True)
    assert line.replace("80 kg", "91 kg").encode() in files["boat.toml"]
    assert read_back(files).load.paddlers[0].mass == 91.0


# ---------------------------------------------------------------- notation


@pytest.mark.parametrize(
    "old, value, bare, new",
    [
        ("1.66 m", 1.7264, None, "1.726 m"),
        ("250 mm", 0.26249, None, "262 mm"),
        ("25.5 cm", 0.2601, None, "26.0 cm"),
        ("3/4 in", 0.0254 * 0.8, None, "13/16 in"),
        ("5/32 in", 0.0254 * 0.2, None, "3/16 in"),
        ("1.25 in", 0.0254 * 1.3, None, "1.3 in"),
        ("9 ft 6 in", 2.9, None, "9 ft 6-3/16 in"),
        ("9' 6-1/2\"", 2.9, None, "9' 6-3/16\""),
        ("4 ft", 1.3, None, "4 ft 3-3/16 in"),
        ("1-3-5", 0.4, None, "1-3-6"),
        ("1-3-5+", 0.4001, None, "1-3-6"),
        ("1-3-5+", 0.4018, None, "1-3-6+"),
        (312, 0.3276, "mm", 328),
        (12.5, 0.3276, "in", 12.9),
        ("-6", -0.0071, "mm", "-7"),
        ("no length", 0.25, None, "250 mm"),
        (None, 1.25, None, "1.25 m"),
    ],
)
def test_a_length_is_written_as_the_old_one_was(old, value, bare, new):
    assert written_like(old, value, "length", bare) == new
    told = written_like(old, value, "length", bare)
    assert read(told, "length", bare).value == pytest.approx(value, abs=0.0017)


@pytest.mark.parametrize(
    "old, value, new",
    [
        ("82 kg", 95.0, "95 kg"),
        ("82 kg", 95.25, "95.25 kg"),
        ("180 lb", 95.0, "95 kg"),
        ("180 lb", 200 * 0.45359237, "200 lb"),
        ("12 st 4 lb", 80.0, "12 st 8.4 lb"),
        ("350 g", 0.4, "400 g"),
    ],
)
def test_a_mass_is_written_as_somebody_gave_it(old, value, new):
    assert written_like(old, value, "mass") == new
    assert read(new, "mass").value == pytest.approx(value, abs=0.03)


def test_what_says_the_same_is_left_as_it_is():
    assert written_like('1-1/8"', 1.125 * 0.0254, "length") == '1-1/8"'
    assert written_like("82.0 kg", 82.0, "mass") == "82.0 kg"
    assert (finer("312"), finer("0-2-1-"), mixed(1)) == ("312.0", "0-2-1-", "1")


def test_toml_that_is_written_is_toml():
    made = files_of(
        altered(read_boat(MODELS / "cruising-canoe-1883"), ODD), sources(MODELS / "cruising-canoe-1883")
    )
    tomllib.loads(made["boat.toml"].decode())
