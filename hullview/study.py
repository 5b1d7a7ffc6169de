"""The whole way through, on one screen: read this first.

    boat folder -> Boat -> Hull -> Weight -> Craft -> conditions -> checks -> Verdict

Every command, the window and the page come through here.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from hullview.afloat.equilibrium import Floating, Rest, describe, float_hull
from hullview.afloat.water import density_of
from hullview.answer.checks import Answer, Check, Condition, answer, checks, rules_for
from hullview.answer.compare import Compared, compare
from hullview.answer.conditions import BAD_ENDS, LIKELY, Craft, condition
from hullview.answer.plausible import doubts, sizes
from hullview.answer.seat import SCAN, Heaviest, Seat, heaviest, level_trim
from hullview.boat.model import Boat, Paddler
from hullview.errors import UsageError
from hullview.shape.assemble import build_hull
from hullview.shape.body import Body
from hullview.weight.total import Weight, weigh


@dataclass(frozen=True)
class Row:
    """One paddler of the table: mass [kg], how she lies then, and the answer."""

    mass: int
    condition: Condition
    answer: Answer


@dataclass(frozen=True)
class Verdict:
    """Will she carry this load: the answer and everything it rests on. `ends`: likely, then the bad ends."""

    craft: Craft
    answer: Answer
    checks: tuple[Check, ...]
    ends: tuple[Condition, ...]
    doubts: tuple[str, ...]
    floating: Floating
    heaviest: Heaviest
    seat: Seat
    table: tuple[Row, ...]


def launch(boat: Boat, build: str | None = None) -> Craft:
    """Shape her, weigh her, put her in her water."""
    hull = build_hull(boat)
    return Craft(boat, hull, Body(hull.vertices, hull.faces), weigh(boat, hull, build), density_of(boat.water))


def carry(boat: Boat, build: str | None = None) -> Verdict:
    """Will she carry the load in her file? `boat.with_load(paddlers=...)` for another."""
    aboard(boat)
    return judge(launch(boat, build))


def judge(craft: Craft) -> Verdict:
    """The answer for the load in the boat's file: checks at likely figures and at the bad ends, then who else she carries."""
    boat, paddlers = craft.boat, craft.boat.load.paddlers
    trial = _Trial(craft, paddlers)
    warned = doubts(boat, craft.hull, craft.weight)
    made, ends, lying = trial.of(paddlers[0].mass)
    table = []
    for mass in SCAN:
        row_checks, row_ends, _ = trial.of(mass)
        table.append(Row(mass, row_ends[0], answer(row_checks, warned)))
    most = heaviest(lambda mass: trial.of(mass)[0])
    floating = describe(craft.hull, craft.body, lying)
    return Verdict(
        craft, answer(made, warned), made, ends, warned, floating, most, level_trim(craft, paddlers), tuple(table)
    )


class _Trial:
    """The checks by the first paddler's mass, the others and the seats as they are; each mass is worked out once."""

    def __init__(self, craft: Craft, paddlers: Sequence[Paddler]):
        self.craft, self.paddlers = craft, paddlers
        size = sizes(craft.hull)
        self.rules = rules_for(craft.boat, size["length over beam"])
        self.done: dict[float, tuple[tuple[Check, ...], tuple[Condition, ...], Rest]] = {}
        self.last: list[Rest | None] = [None] * (1 + len(BAD_ENDS))

    def of(self, mass: float) -> tuple[tuple[Check, ...], tuple[Condition, ...], Rest]:
        if mass not in self.done:
            aboard = (replace(self.paddlers[0], mass=mass), *self.paddlers[1:])
            found = [condition(self.craft, aboard, end, start=at) for end, at in zip((LIKELY, *BAD_ENDS), self.last)]
            ends = tuple(c for c, _ in found)
            # only from upright to upright: a start from a loll could end in another rest than a walk from upright does
            self.last = [at if at.heel is not None and abs(at.heel) < 1e-6 else None for _, at in found]
            self.done[mass] = checks(self.craft.boat, ends, self.rules), ends, found[0][1]
        return self.done[mass]


def afloat(craft: Craft) -> Floating:
    """How she lies with the load in her file, at likely figures."""
    load = craft.load(craft.boat.load.paddlers, LIKELY)
    return float_hull(craft.hull, craft.body, load.mass, load.centre, craft.density)


def compared(boat: Boat, builds: Sequence[str] = ()) -> tuple[Compared, list[Floating]]:
    """Builds side by side, and how each floats with the load in her file."""
    hull = build_hull(boat)
    body, density = Body(hull.vertices, hull.faces), density_of(boat.water)
    found = compare(boat, hull, builds)
    return found, [afloat(Craft(boat, hull, body, weight, density)) for weight in found.weights]


def aboard(boat: Boat) -> Boat:
    """The boat, if somebody is aboard."""
    if not boat.load.paddlers:
        raise UsageError(
            f"{boat.name}: nobody is aboard. Add [[load.paddler]] with mass and seat_back to boat.toml, "
            'or give --paddler "82 kg" --seat-back "1.8 m".'
        )
    return boat
