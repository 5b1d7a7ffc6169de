"""[[case]]: who takes which seat, and what is refused with its place."""

from __future__ import annotations

import shutil
from dataclasses import replace
from pathlib import Path

import pytest

from hullview.boat.model import Case, Gear, Load
from hullview.boat.reader import read_boat
from hullview.boat.writer import files_of, read_back, sources
from hullview.errors import BoatFileError

MODELS = Path(__file__).parents[2] / "models"


@pytest.fixture
def read(tmp_path):
    def boat(words, model="open-canoe", cut=None):
        folder = tmp_path / "boat"
        shutil.rmtree(folder, ignore_errors=True)
        shutil.copytree(MODELS / model, folder)
        file = folder / "boat.toml"
        text = file.read_text()
        head, _, rest = text.partition("# ---- what it is to carry")
        tail = rest[rest.index("[[schedule.planking]]") :]
        if cut:
            head = head[: head.index("[[load.paddler]]")]
        file.write_text(f"{head}\n{words}\n{tail}")
        return read_boat(folder)

    return boat


def case(*paddlers, head="", gear=""):
    people = "".join(f"[[case.paddler]]\n{p}\n" for p in paddlers)
    return f'[[case]]\nname = "a load"\n{head}\n{people}{gear}'


def test_people_take_the_seats_in_their_order_with_bodies_of_their_own(read):
    (one,) = read(case('mass = "60 kg"\nstature = "1.6 m"', 'mass = "95 kg"\nname = "Pat"')).cases
    first, second = one.load.paddlers
    assert (first.name, first.mass, first.seat_back, first.posture) == ("bow paddler", 60.0, 1.55, "kneeling")
    assert first.stature == 1.6 and (second.name, second.seat_back) == ("Pat", 3.35)
    assert one.load.free == () and one.load.gear == () and not one.load.asked


def test_seats_go_by_name_and_the_next_takes_what_is_left(read):
    (one,) = read(case('mass = "60 kg"\nseat = "stern paddler"', 'mass = "95 kg"')).cases
    assert [p.seat_back for p in one.load.paddlers] == [3.35, 1.55]


@pytest.mark.parametrize("head, body", [("", ""), ('seat = "free"', ""), ("", 'seat = "free"')])
def test_one_alone_in_a_boat_of_two_seats_is_free(read, head, body):
    (one,) = read(case(f'mass = "60 kg"\n{body}', head=head)).cases
    assert one.load.free == ("bow", "stern") and [p.mass for p in one.load.paddlers] == [60.0]
    (one,) = read(case(f'mass = "60 kg"\nfaces = "stern"\n{body}', head=head)).cases
    assert one.load.free == ("stern",)


@pytest.mark.parametrize("head, body", [('seat = "stern paddler"', ""), ("", 'seat = "stern paddler"')])
def test_one_alone_may_name_a_seat(read, head, body):
    (one,) = read(case(f'mass = "60 kg"\nfaces = "stern"\n{body}', head=head)).cases
    (p,) = one.load.paddlers
    assert one.load.free == () and p.seat_back == pytest.approx(3.1) and p.faces == "stern", "250 mm of seat"


def test_a_place_of_ones_own_and_a_dog(read):
    dog = '[[case.gear]]\nname = "dog"\nmass = "25 kg"\nat = ["2.4 m", "0 mm", "300 mm"]\nroams = "200 mm"'
    (one,) = read(case('mass = "25 kg"\nseat_back = "2.4 m"\nposture = "standing"', gear=dog)).cases
    (p,) = one.load.paddlers
    assert (p.name, p.posture, p.seat_back) == ("paddler", "standing", 2.4)
    assert one.load.gear == (Gear(25.0, (2.4, 0.0, 0.3), "dog", 0.2),)


def test_in_a_boat_of_one_seat_nobody_is_free_to_choose_unless_it_is_said(read):
    (one,) = read(case('mass = "60 kg"'), "flat-skiff").cases
    assert one.load.free == () and one.load.paddlers[0].seat_back == 1.74


@pytest.mark.parametrize(
    "words, said",
    [
        ('[[case]]\nname = "x"', "case[1].paddler: is missing"),
        ('[[case]]\n[[case.paddler]]\nmass = "60 kg"', "case[1].name: is missing"),
        (case('seat = "free"'), "case[1].paddler[1].mass: is missing"),
        (case('mass = "60 kg"\nseat = "cabin"'), "is no seat of this boat. Known: "),
        (case('mass = "60 kg"\nseat = "bow padler"'), "Did you mean"),
        (case(*['mass = "60 kg"'] * 3), "case[1].paddler[3]: has no seat: the boat has 2 seats"),
        (case(*['mass = "60 kg"\nseat = "bow paddler"'] * 2), "two cannot sit there"),
        (case('mass = "60 kg"\nseat = "free"', 'mass = "70 kg"'), "is of one who is aboard alone"),
        (case('mass = "60 kg"', 'mass = "70 kg"', head='seat = "free"'), "is of one who is aboard alone"),
        (case('mass = "60 kg"\nseat_back = "2 m"', head='seat = "free"'), "is of one who is aboard alone"),
        (
            case('mass = "60 kg"\nseat_back = "2 m"\nseat = "free"'),
            'seat = "free": does nothing for a paddler with',
        ),
        (case('mass = "60 kg"\nposture = "bench"'), "does nothing for a paddler in a seat of the boat"),
        (case('mass = "60 kg"\nseat_back = "9 m"'), "case[1].paddler[1].seat_back"),
        (case('mass = "60 kg"') + case('mass = "70 kg"'), "two cases have this name"),
        (case('mass = "60 kg"', gear='[[case.gear]]\nmass = "3 kg"'), "case[1].gear[1].at: is missing"),
        (case('mass = "60 kg"\ncentre = "2 m"'), "centre"),
    ],
)
def test_what_is_wrong_with_a_case_is_told_with_its_place(read, words, said):
    with pytest.raises(BoatFileError) as refused:
        read(words)
    assert said in str(refused.value)
    assert all(m.place.startswith("boat.toml:") for m in refused.value.mistakes)


def test_a_boat_that_has_no_seats_gives_none(read):
    with pytest.raises(BoatFileError, match="has no seat: the boat has 0 seats"):
        read(case('mass = "60 kg"'), cut=True)
    assert read(case('mass = "60 kg"\nseat_back = "2 m"'), cut=True).cases[0].load.paddlers


def test_every_model_with_a_load_has_cases_and_they_go_with_the_hull():
    for name in ("short-kayak", "open-canoe", "pulling-dinghy", "flat-skiff", "cruising-canoe-1883"):
        boat, old = read_boat(MODELS / name), sources(MODELS / name)
        assert len(boat.cases) >= 3, name
        from hullview.boat.altered import Change, altered

        new = altered(boat, Change(length=1.1))
        back = read_back(files_of(new, old))
        for want, got in zip(new.cases, back.cases):
            assert got.name == want.name and got.load.free == want.load.free
            for p, q in zip(want.load.paddlers, got.load.paddlers):
                assert q.mass == p.mass and q.seat_back == pytest.approx(p.seat_back, abs=0.0009)
            for g, h in zip(want.load.gear, got.load.gear):
                assert h.at == pytest.approx(g.at, abs=0.0009)


def test_a_case_is_data():
    assert replace(Case("x", Load()), name="y") == Case("y", Load())
