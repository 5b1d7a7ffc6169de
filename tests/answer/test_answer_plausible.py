"""Sizes and skins that cannot be, and those that are only odd: each bound on both its sides, by a box of
that size."""

from __future__ import annotations

from dataclasses import replace
from types import SimpleNamespace

import pytest
import solids

from hullview.answer.plausible import doubts, out_of_place
from hullview.boat.model import Boat, Build, HullForm, Opening, Paddler, Schedule
from hullview.errors import ShapeError

BOAT = Boat("Box", HullForm("open", "outside"), builds=(Build("plain", Schedule()),))
PLAIN = (4.0, 1.0, 0.4)
STEP = 1e-6

BOUNDS = {  # what: the box for a value; where it is odd below, impossible below, odd above, impossible above
    "length": (lambda v: (v, min(max(v / 4, 0.4), 1.9), 0.4), 2.0, 0.5, 9.0, 20.0),
    "beam": (lambda v: (min(max(4 * v, 2.0), 9.0), v, 0.4), 0.40, 0.15, 1.9, 3.5),
    "depth": (lambda v: (4.0, 1.0, v), 0.18, 0.05, 0.95, 2.0),
    "length over beam": (lambda v: (min(v, 9.0), min(v, 9.0) / v, 0.4), 2.0, 1.0, 15.0, 40.0),
    "skin": (None, 1.3, 0.2, 9.0, 50.0),
}
SIDES = [
    (name, way, of[0], *(of[1:3] if way < 0 else of[3:5])) for name, of in BOUNDS.items() for way in (-1, 1)
]


def judged(name, box, value):
    """What is said about a box of these sizes, or of this skin [kg/m2]."""
    vertices, faces = solids.box(*(box(value) if box else PLAIN))
    hull = SimpleNamespace(vertices=vertices, faces=faces, faces_of=lambda *regions: faces)
    long, wide, deep = PLAIN
    area = 2 * (long * wide + wide * deep + deep * long)
    line = SimpleNamespace(group="planking", basis="area", mass=(3.5 if box else value) * area)
    return [
        printed
        for printed in doubts(
            BOAT, hull, SimpleNamespace(lines=[line], readings=(), readings_odds=1.0, build="plain")
        )
        if printed.startswith(f"{name} " if name else "")
    ]


@pytest.mark.parametrize(
    ("name", "way", "box", "odd", "impossible"),
    SIDES,
    ids=lambda v: str(v) if isinstance(v, (str, int)) else "",
)
def test_each_bound_on_both_its_sides(name, way, box, odd, impossible):
    assert judged(name, box, odd * (1 - way * STEP)) == []
    (printed,) = judged(name, box, odd * (1 + way * STEP))
    assert "is usual" in printed
    assert judged(name, box, impossible * (1 - way * STEP)), "odd up to there"
    with pytest.raises(ShapeError, match=f"{name} .*cannot be right"):
        judged(name, box, impossible * (1 + way * STEP))


def test_a_boat_of_usual_size_is_not_remarked_on():
    assert judged("", BOUNDS["depth"][0], 0.4) == []
    assert len(judged("", BOUNDS["depth"][0], 1.0)) == 1


def test_an_odd_size_is_told_in_the_builders_unit():
    vertices, faces = solids.box(30 * 0.3048, 1.0, 0.4)
    told = [
        doubts(replace(BOAT, units_shown=units), SimpleNamespace(vertices=vertices, faces=faces))[0]
        for units in ("metric", "imperial")
    ]
    assert told == ["length 9.14 m: at most 9 m is usual", "length 30': at most 29' 6-5/16\" is usual"]


@pytest.mark.parametrize(("back", "remarks"), [(0.901, 0), (0.899, 1), (2.099, 0), (2.101, 1)])
def test_a_seat_may_stand_a_little_under_the_deck(back, remarks):
    """An opening from 1.0 to 2.0 m, and 100 mm past its rim (common practice, no source)."""
    vertices, faces = solids.box(*PLAIN)
    boat = replace(BOAT, openings=(Opening(1.5, 1.0, 0.4),)).with_load(paddlers=(Paddler(80.0, back),))
    printed = out_of_place(boat, SimpleNamespace(vertices=vertices, faces=faces))
    assert len(printed) == remarks and all("outside the opening, 1000 to 2000 mm" in s for s in printed)
