"""The whole way through, on one screen: read this first.

    boat folder -> Boat -> Hull -> Weight -> Craft -> conditions -> checks -> Verdict

Every command, the window and the page come through here.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING

import numpy as np

from hullview.afloat.equilibrium import Floating, describe, float_hull
from hullview.afloat.loads import Torso
from hullview.afloat.mesh_error import floating_with_error
from hullview.afloat.water import density_of
from hullview.answer.boarding import Boarding, boarding
from hullview.answer.checks import Answer, Check, Condition, answer, binding, checks
from hullview.answer.conditions import CENTRED, LIKELY, Craft, heeled
from hullview.answer.fit import misfits
from hullview.answer.places import refuse_outside
from hullview.answer.plausible import doubts, sizes
from hullview.answer.remarks import Remark, remarks
from hullview.answer.seat import SCAN, Heaviest, Seat, heaviest, level_trim
from hullview.answer.seating import seated
from hullview.answer.statutory import Statutory, statutory
from hullview.answer.swamped import Swamped, swamped
from hullview.answer.trial import Trial
from hullview.answer.worst import worst
from hullview.boat.model import Boat
from hullview.errors import MeshError, ShapeError, UsageError
from hullview.materials import MaterialError
from hullview.shape.appendages import body_of
from hullview.shape.assemble import build_hull
from hullview.shape.body import Body
from hullview.shape.hull import Hull
from hullview.weight.line import ScheduleError
from hullview.weight.total import Weight, weigh

if TYPE_CHECKING:
    from hullview.afloat.righting import RightingCurve
    from hullview.answer.chance import Chance
    from hullview.answer.compare import Compared
    from hullview.shape.fairness import Change, Finding
    from hullview.weight.bend import BendReport
    from hullview.weight.buy import Shopping


@dataclass(frozen=True)
class Row:
    """One paddler of the table: mass [kg], how she lies then, the answer, and the check that stands in the way ("" if none); obstacle: the same in words."""

    mass: float
    condition: Condition
    answer: Answer
    binds: str = ""
    obstacle: str = ""


@dataclass(frozen=True)
class Verdict:
    """Will it carry this load: the answer and everything it rests on. `ends`: likely, then the bad ends.

    worst: what goes worst with this load, in sentences. remarks: no checks, and no part of the answer. statutory: the figure of
    33 CFR 183 for a boat that is rowed. varies: whose mass the table of paddlers and the heaviest paddler vary.
    """

    craft: Craft
    answer: Answer
    checks: tuple[Check, ...]
    ends: tuple[Condition, ...]
    doubts: tuple[str, ...]
    floating: Floating
    heaviest: Heaviest
    seat: Seat
    table: tuple[Row, ...]
    swamped: Swamped | None = None
    boarding: tuple[Boarding, ...] = ()
    chance: Chance | None = None
    worst: tuple[str, ...] = ()
    remarks: tuple[Remark, ...] = ()
    statutory: Statutory | None = None
    varies: str = ""

    @property
    def state(self) -> str:
        """ "afloat", "floods", "capsized" or "sinks", at likely figures."""
        return self.floating.state

    @property
    def least_margin(self) -> float | None:
        """The least over checks and ends of the margin over the check's scale [1]; None where one of them has no figure."""
        margins = [c.least_margin for c in self.checks]
        return None if None in margins else min((m for m in margins if m is not None), default=None)


@dataclass(frozen=True)
class Side:
    """One build of a comparison: its label, how she floats, the peak of her righting arm [m], her heaviest paddler, and what her materials
    cost by currency, as far as the shop gave prices."""

    craft: Craft
    label: str
    floating: Floating
    peak_arm: float | None
    heaviest: Heaviest | None
    costs: Mapping[str, float] = field(default_factory=dict)

    @property
    def hours(self) -> float | None:
        """Hours of her build, if the shop gave them."""
        return self.craft.boat.build(self.craft.weight.build).hours


def launch(boat: Boat, build: str | None = None) -> Craft:
    """Shape the boat, weigh it, put it in its water; a lone paddler who may sit anywhere takes the best seat."""
    hull, body = shaped(boat)
    with naming_the_file(boat):
        doubts(boat, hull)  # what cannot be right stops here, before it is weighed
        refuse_outside(boat, hull)
        return seated(_built(boat, hull, body, build))


def _built(boat: Boat, hull: Hull, body: Body, build: str | None) -> Craft:
    """One build of a boat whose hull is there: weighed, and as measured afloat where it was."""
    weight, density = weigh(boat, hull, build), density_of(boat.water)
    return Craft(boat, hull, body, as_measured(boat, hull, body, weight, density), density)


def as_measured(boat: Boat, hull: Hull, body: Body, weight: Weight, density: float) -> Weight:
    """The weight and centre as found on the water, where that build was measured there, in place of the estimate."""
    if not boat.afloat:
        return weight
    from hullview.afloat.measured import MeasuredError, measured

    try:
        found = measured(boat, hull, body, weight, density)
    except MeasuredError as error:
        raise MeasuredError(f"boat.toml: [[afloat]]: {error}") from error
    return weight if found is None else found.weight


def shaped(boat: Boat) -> tuple[Hull, Body]:
    """Her hull, and its mesh ready to be cut."""
    with naming_the_file(boat):
        hull = build_hull(boat)
        return hull, body_of(hull, boat.appendages)


@contextmanager
def naming_the_file(boat: Boat) -> Iterator[None]:
    """Let every refusal of her shape or of her schedule say which of her files it is about."""
    shape = boat.hull.table.file if boat.hull.table else boat.hull.mesh_file
    try:
        yield
    except MeshError as error:
        raise ShapeError(f"{shape}: makes no hull that could float: {error}") from error
    except (ShapeError, ScheduleError, MaterialError) as error:
        if str(error).startswith((f"{shape} ", f"{shape}:", "boat.toml")):
            raise
        raise type(error)(f"boat.toml: {error}") from error


def carry(boat: Boat, build: str | None = None, *, with_chance: bool = False) -> Verdict:
    """Will she carry the load in her file, and what if things go wrong? `boat.with_load(paddlers=...)` for another load.

    with_chance: also what share of builds stays inside the limits, which takes a second or so.
    """
    verdict = judge(launch(aboard(boat), build))
    craft = verdict.craft
    floating = with_error(craft, verdict.floating)
    wet, ways_in = swamped(craft), boarding(craft)
    said = worst(floating, verdict.ends[0], verdict.checks, wet, ways_in)
    verdict = replace(verdict, floating=floating, swamped=wet, boarding=ways_in, worst=said)
    if not with_chance:
        return verdict
    from hullview.answer.chance import chance

    return replace(verdict, chance=chance(craft))


def judge(craft: Craft) -> Verdict:
    """The answer for the load in the boat's file: checks at likely figures and at the bad ends, then who else she carries."""
    boat, paddlers, trial = craft.boat, craft.boat.load.paddlers, Trial(craft)
    said, made, ends, warned = checked(craft, trial)
    table = tuple(_row(trial, mass, warned) for mass in SCAN)
    floating = describe(craft.hull, craft.body, trial.level(paddlers[0].mass).lying)
    return Verdict(
        craft,
        said,
        made,
        ends,
        warned,
        floating,
        heaviest(trial.quick),
        level_trim(craft, paddlers),
        table,
        worst=worst(floating, ends[0], made),
        remarks=remarks(boat, ends[0], sizes(craft.hull)["length over beam"]),
        statutory=_statutory(craft, ends[0]),
        varies=paddlers[0].name,
    )


def checked(
    craft: Craft, trial: Trial | None = None
) -> tuple[Answer, tuple[Check, ...], tuple[Condition, ...], tuple[str, ...]]:
    """The answer for the load aboard, with its checks, the ends they were made at, and what is unusual: without who else it carries."""
    with naming_the_file(craft.boat):
        warned = doubts(craft.boat, craft.hull, craft.weight)
    trial = trial or Trial(craft)
    ends = tuple(heeled(craft, one) for one in trial.loaded(craft.boat.load.paddlers[0].mass))
    made = checks(craft.boat, ends, trial.rules)
    return answer(made, warned), made, ends, warned


def _statutory(craft: Craft, likely: Condition) -> Statutory | None:
    bears = craft.max_displacement if craft.rowed else None
    return (
        None if bears is None else statutory(bears, likely.mass - likely.aboard, likely.aboard, likely.people)
    )


def row_of(verdict: Verdict) -> Row:
    """The load of a verdict as a row of its table, by its first paddler."""
    stands = binding(verdict.checks)
    names = ("", "") if stands is None else (stands.name, stands.obstacle)
    return Row(verdict.craft.boat.load.paddlers[0].mass, verdict.ends[0], verdict.answer, *names)


def _row(trial: Trial, mass: int, warned: Sequence[str]) -> Row:
    made = trial.quick(mass)
    stands = binding(made)
    names = ("", "") if stands is None else (stands.name, stands.obstacle)
    return Row(mass, trial.level(mass).found, answer(made, warned), *names)


def afloat(craft: Craft) -> Floating:
    """How she lies with the load in her file, at likely figures."""
    load = craft.load(craft.boat.load.paddlers, LIKELY)
    return with_error(craft, float_hull(craft.hull, craft.body, load.mass, load.centre, craft.density))


def with_error(craft: Craft, floating: Floating) -> Floating:
    """The same with the estimated mesh error of each figure."""
    return floating_with_error(craft.hull, craft.body, floating, craft.boat.appendages)


def righting(
    craft: Craft,
    heels: Sequence[float] | None = None,
    postures: Sequence[Torso] = ("rigid",),
    label: str = "",
) -> list[RightingCurve]:
    """A righting curve for each posture, with the load in her file at likely figures; heels one way [rad]."""
    from hullview.afloat.righting import righting_curve

    paddlers = craft.boat.load.paddlers
    made = []
    for posture in postures if paddlers else postures[:1]:
        load = craft.load(paddlers, LIKELY, torso=posture)
        made.append(
            righting_curve(
                craft.body, load.mass, load.centre, craft.density, None if heels is None else np.asarray(heels),
                hull=craft.hull, posture=posture, label=f"{label} {posture}".strip(),
            )
        )  # fmt: skip
    return made


def other_side(craft: Craft, curve: RightingCurve) -> RightingCurve | None:
    """The same curve heeled the other way, where that is another: the load hangs to one side, or water comes in sooner on one."""
    if abs(float(curve.centre[1])) <= CENTRED and craft.even_rims:
        return None
    return righting(craft, [-float(h) for h in curve.heel], label=curve.label)[0]


def curve_with_error(craft: Craft, curve: RightingCurve) -> RightingCurve:
    """The same with the estimated mesh error of its figures."""
    from hullview.afloat.mesh_error import righting_with_error

    return righting_with_error(craft.hull, curve, craft.boat.appendages)


def compared(boats: Sequence[tuple[Boat, Sequence[str]]]) -> tuple[Compared, list[Side]]:
    """Builds side by side, of one boat or of several, each boat with the names of hers (none: all of one boat, the first of several).

    With several boats a build is called by both names.
    """
    from hullview.answer.compare import compare_weights, picked

    several = len(boats) > 1
    sides, builds = [], []
    for boat, names in boats:
        hull, body = shaped(boat)
        for build in picked(boat, names, several):
            with naming_the_file(boat):
                craft = _built(boat, hull, body, build.name)
            label = f"{boat.name}, {build.name}" if several else build.name
            sides.append(_side(craft, label))
            builds.append(replace(build, name=label))
    return compare_weights([replace(s.craft.weight, build=s.label) for s in sides], builds), sides


def _side(craft: Craft, label: str) -> Side:
    """One build with the load in her file: afloat, her greatest righting arm, her heaviest paddler."""
    floating, loaded = afloat(craft), bool(craft.boat.load.paddlers)
    arm = (
        righting(craft, np.radians(np.arange(0, 91, 5.0)))[0].peak_arm if floating.state == "afloat" else None
    )
    from hullview.answer.compare import costs

    (cost,) = costs(craft.boat, craft.hull, [craft.weight])
    return Side(craft, label, floating, arm, heaviest(Trial(craft).quick) if loaded else None, cost)


def looked_over(
    boat: Boat, build: str | None = None
) -> tuple[tuple[Finding, ...], BendReport | None, tuple[str, ...]]:
    """Her table's fairness, the bend of one build (None where nothing says how she is built), and what is odd about her size."""
    from hullview.shape.fairness import fairness
    from hullview.weight.bend import bend

    hull, _ = shaped(boat)
    with naming_the_file(boat):
        return (
            fairness(boat),
            bend(boat, hull, build) if boat.builds else None,
            (
                *hull.notes,
                *doubts(boat, hull),
                *(misfits(boat, hull, boat.build(build)) if boat.builds else ()),
            ),
        )


def if_fair(boat: Boat, findings: tuple[Finding, ...]) -> tuple[Change, ...]:
    """What taking the fair value of each doubtful offset would change, in the order of the findings."""
    from hullview.shape.fairness import if_taken

    with naming_the_file(boat):
        return if_taken(boat, tuple(f for f in findings if f.flagged))


def shopping(boat: Boat, build: str | None = None) -> Shopping:
    """What to order for one build."""
    from hullview.weight.buy import buy

    hull, _ = shaped(boat)
    with naming_the_file(boat):
        return buy(boat, hull, weigh(boat, hull, build))


def aboard(boat: Boat) -> Boat:
    """The boat, if somebody is aboard."""
    if not boat.load.paddlers:
        raise UsageError(
            f"{boat.name}: nobody is aboard. Add [[load.paddler]] with mass and seat_back to boat.toml, "
            'or give --paddler "82 kg" --seat-back "1.8 m".'
        )
    return boat
