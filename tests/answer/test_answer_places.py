"""What has no place on the boat has no answer: seats, bodies and gear outside it, and a second person
where there is room for one."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from hullview import study
from hullview.answer.places import refuse_outside
from hullview.boat.loading import with_load
from hullview.boat.model import Gear, Opening, Paddler
from hullview.boat.reader import read_boat
from hullview.commands import main
from hullview.errors import BoatFileError, UsageError

MODELS = Path(__file__).parents[2] / "models"


@pytest.fixture(scope="module")
def kayak():
    boat = read_boat(MODELS / "short-kayak")
    return boat, study.shaped(boat)[0]


def refused(boat, hull, **load):
    with pytest.raises(UsageError) as wrong:
        refuse_outside(boat.with_load(**load), hull)
    return str(wrong.value)


@pytest.mark.parametrize(
    ("back", "faces", "why"),
    [
        (-1.0, "bow", "lies outside the boat"),
        (90.0, "bow", "lies outside the boat"),
        (0.1, "bow", "body's centre"),
        (3.05, "stern", "body's centre"),
        (1.8, "bow", ""),
        (0.1, "stern", ""),
    ],
)
def test_a_seat_or_a_body_outside_the_boat_is_refused(kayak, back, faces, why):
    boat, hull = kayak
    paddlers = (Paddler(82.0, back, faces=faces),)
    if not why:
        return refuse_outside(boat.with_load(paddlers=paddlers), hull)
    assert why in refused(boat, hull, paddlers=paddlers)


@pytest.mark.parametrize(
    ("at", "roams", "why"),
    [
        ((-0.01, 0.0, 0.2), 0.0, "off the boat"),
        ((3.11, 0.0, 0.2), 0.0, "off the boat"),
        ((1.6, 0.29, 0.2), 0.0, ""),
        ((1.6, -0.36, 0.2), 0.0, "half-breadth"),
        ((0.1, 0.2, 0.2), 0.0, "half-breadth"),
        ((1.6, 0.1, 0.2), 0.15, ""),
        ((1.6, 0.1, 0.2), 0.3, "half-breadth"),
        ((1.6, 0.0, -0.1), 0.0, "up"),
        ((1.6, 0.0, 2.4), 0.0, "up"),
        ((1.6, 0.0, None), 0.0, ""),
    ],
)
def test_gear_outside_the_boat_is_refused(kayak, at, roams, why):
    boat, hull = kayak
    gear = (Gear(5.0, at, "bag", roams),)
    if not why:
        return refuse_outside(boat.with_load(gear=gear), hull)
    assert why in refused(boat, hull, gear=gear)


def test_every_one_that_is_out_of_place_is_told_at_once(kayak):
    boat, hull = kayak
    printed = refused(boat, hull, paddlers=(Paddler(82.0, -1.0),), gear=(Gear(5.0, (9.0, 0.0, None), "bag"),))
    assert len(printed.splitlines()) == 2


def test_a_second_person_has_no_room_in_a_short_cockpit_and_has_in_a_long_one(kayak):
    boat, hull = kayak
    two = (Paddler(82.0, 1.9), Paddler(60.0, 1.5))
    assert "room for 1" in refused(boat, hull, paddlers=two)
    long = replace(boat, openings=(Opening(1.6, 1.55, 0.46),))
    refuse_outside(long.with_load(paddlers=two), hull)
    apart = replace(boat, openings=(Opening(1.2, 0.7, 0.4), Opening(2.2, 0.7, 0.4)))
    refuse_outside(apart.with_load(paddlers=(Paddler(82.0, 2.4), Paddler(60.0, 1.4))), hull)
    assert "room for 1" in refused(apart, hull, paddlers=(Paddler(82.0, 2.4), Paddler(60.0, 2.3)))


def test_where_the_file_says_so_it_is_a_mistake_of_the_file(kayak):
    boat, hull = kayak
    wrong = replace(boat, load=replace(boat.load, gear=(Gear(5.0, (1.6, 0.5, 0.2), "bag"),)))
    with pytest.raises(BoatFileError, match="bag"):
        refuse_outside(wrong, hull)


@pytest.mark.parametrize(
    "words",
    [
        ("--seat-back", "-1 m"),
        ("--seat-back", "90 m"),
        ("--gear", "5 kg @ 9 m"),
        ("--gear", "5 kg @ 1 m, 2 m, 0.1 m"),
    ],
)
@pytest.mark.parametrize("command", ["carry", "float", "righting"])
def test_the_commands_refuse_with_status_2(command, words, capfd):
    with pytest.raises(SystemExit) as left:
        main([command, str(MODELS / "short-kayak"), *words])
    printed = capfd.readouterr()
    assert left.value.code == 2 and printed.out == "" and "Traceback" not in printed.err


def test_builds_are_not_compared_with_somebody_beside_the_boat(kayak):
    boat, _ = kayak
    wrong = replace(boat, load=replace(boat.load, paddlers=(Paddler(82.0, 9.0),)))
    with pytest.raises(BoatFileError, match="outside the boat"):
        study.compared([(study.craft_of(wrong), ())])


def test_three_go_aboard_where_there_is_room():
    boat = with_load(read_boat(MODELS / "open-canoe"), [80.0, 80.0, 30.0], seat_back=[1.55, 3.35, 2.5])
    craft = study.launch(boat)
    assert [p.mass for p in craft.boat.load.paddlers] == [80.0, 80.0, 30.0]
    assert study.checked(craft)[0] == "carries"
