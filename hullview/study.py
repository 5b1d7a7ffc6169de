"""The whole way through, on one screen: read this first.

    boat folder -> Boat -> Hull -> Weight -> Craft -> conditions -> checks -> Verdict

Every command, the window and the page come through here.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
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
from hullview.boat.invented import still_invented
from hullview.boat.model import Boat
from hullview.errors import BoatFileError, MeshError, ShapeError, UsageError, refuse_path
from hullview.materials import MaterialError
from hullview.shape.appendages import body_of
from hullview.shape.assemble import build_hull
from hullview.shape.body import Body
from hullview.shape.hull import Hull
from hullview.weight.line import ScheduleError

if TYPE_CHECKING:
    from hullview.afloat.righting import RightingCurve
    from hullview.answer.alter import Tried
    from hullview.answer.altering import Altered
    from hullview.answer.cases import Carried
    from hullview.answer.chance import Chance
    from hullview.answer.compare import Compared
    from hullview.answer.doubt import Doubt
    from hullview.boat.altered import Change as Alteration
    from hullview.boat.writer import Sources
    from hullview.forms.edges import Cut
    from hullview.forms.form import Forms
    from hullview.shape.fairness import Change, Finding
    from hullview.shape.misplaced import Misplaced
    from hullview.weight.batches import Batches
    from hullview.weight.bend import BendReport
    from hullview.weight.buy import Shopping


@dataclass(frozen=True)
class Row:
    """One paddler of the table: mass [kg], how it lies then, the answer, and the check that stands in the
    way ("" if none); obstacle: the same in words."""

    mass: float
    condition: Condition
    answer: Answer
    binds: str = ""
    obstacle: str = ""


@dataclass(frozen=True)
class Verdict:
    """Will it carry this load: the answer and everything it rests on. `ends`: likely, then the bad ends.

    worst: what goes worst with this load, in sentences. remarks: no checks, and no part of the answer.
    statutory: the figure of 33 CFR 183 for a boat that is rowed. varies: whose mass the table of paddlers and
    the heaviest paddler vary.
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
    doubt: Doubt | None = None
    worst: tuple[str, ...] = ()
    remarks: tuple[Remark, ...] = ()
    statutory: Statutory | None = None
    varies: str = ""
    invented: tuple[str, ...] = ()
    """Lines of the boat's files that still are those of the invented boat that `hullview new` writes."""

    def __repr__(self) -> str:
        return f"<Verdict for {self.craft.boat.name[:80]!r}: {self.answer}; {self.state}>"

    @property
    def state(self) -> str:
        """ "afloat", "floods", "capsized" or "sinks", at likely figures."""
        return self.floating.state

    @property
    def least_margin(self) -> float | None:
        """The least over checks and ends of the margin over the check's scale [1]; None where one of them
        has no figure."""
        margins = [c.least_margin for c in self.checks]
        return None if None in margins else min((m for m in margins if m is not None), default=None)


@dataclass(frozen=True)
class Side:
    """One build of a comparison: its label, how it floats, the peak of its righting arm [m], its heaviest
    paddler, and what its materials cost by currency, as far as the shop gave prices."""

    craft: Craft
    label: str
    floating: Floating
    peak_arm: float | None
    heaviest: Heaviest | None
    costs: Mapping[str, float] = field(default_factory=dict)

    @property
    def hours(self) -> float | None:
        """Hours of its build, if the shop gave them."""
        return self.craft.boat.build(self.craft.weight.build).hours


def craft_of(boat: Boat, build: str | None = None) -> Craft:
    """The boat shaped, its mesh ready to be cut; it is weighed when its weight is first asked for.

    Parameters
    ----------
    boat : Boat
        As read from its files.
    build : str, optional
        Name of the build; the first of the file if left out.

    Returns
    -------
    Craft

    Raises
    ------
    ShapeError
        Its table or mesh makes no hull.
    """
    hull, body = shaped(boat)
    return Craft(boat, hull, body, density_of(boat.water), build)


def launch(boat: Boat | Craft, build: str | None = None) -> Craft:
    """Shape the boat, weigh it, put it in its water; a lone paddler who may sit anywhere takes the best
    seat.

    Parameters
    ----------
    boat : Boat or Craft
    build : str, optional
        Name of the build; the first of the file if left out.

    Returns
    -------
    Craft
        Weighed, everybody seated.

    Raises
    ------
    ShapeError, ScheduleError, MaterialError
        What cannot be right in the boat's files, with the file named.
    BoatFileError
        Somebody or something stands outside of the boat.
    """
    craft = boat if isinstance(boat, Craft) else craft_of(boat, build)
    with naming_the_file(craft.boat):
        doubts(craft.boat, craft.hull)  # what cannot be right stops here, before it is weighed
        refuse_outside(craft.boat, craft.hull)
        return seated(replace(craft, weighed=craft.weight))


def shaped(boat: Boat) -> tuple[Hull, Body]:
    """Its hull, and its mesh ready to be cut.

    Parameters
    ----------
    boat : Boat

    Returns
    -------
    (Hull, Body)

    Raises
    ------
    ShapeError
        Its table or mesh makes no hull.
    """
    with naming_the_file(boat):
        hull = build_hull(boat)
        return hull, body_of(hull, boat.appendages)


@contextmanager
def naming_the_file(boat: Boat) -> Iterator[None]:
    """Let every refusal of its shape or of its schedule say which of its files it is about.

    Parameters
    ----------
    boat : Boat

    Yields
    ------
    None
    """
    refuse_path(boat)
    shape = boat.hull.table.file if boat.hull.table else boat.hull.mesh_file
    try:
        yield
    except MeshError as error:
        raise ShapeError(f"makes no hull that could float: {error}", place=str(shape)) from error
    except (ShapeError, ScheduleError, MaterialError) as error:
        if error.place:
            raise
        raise type(error)(str(error), place="boat.toml") from error


def carry(boat: Boat | Craft, build: str | None = None, *, with_chance: bool = False) -> Verdict:
    """Will it carry the load in its file, and what if things go wrong?

    Parameters
    ----------
    boat : Boat or Craft
        For another load: `boat.with_load(paddlers=...)`.
    build : str, optional
        Name of the build; the first of the file if left out.
    with_chance : bool
        Also what share of builds stays inside the limits, and which unknown decides: a second or two.

    Returns
    -------
    Verdict
        With the mesh error of its figures, the boat swamped, people getting in, and the worst of all that.

    Raises
    ------
    UsageError
        Nobody is aboard, or there is no such build.
    ShapeError, ScheduleError, MaterialError
        What cannot be right in the boat's files, with the file named.
    """
    carried(boat.boat if isinstance(boat, Craft) else boat)
    verdict = judge(launch(boat, build))
    verdict = with_mishaps(replace(verdict, floating=with_error(verdict.craft, verdict.floating)))
    if not with_chance:
        return verdict
    from hullview.answer.chance import chance
    from hullview.answer.doubt import doubt

    return replace(verdict, chance=chance(verdict.craft), doubt=doubt(verdict.craft))


def with_mishaps(verdict: Verdict) -> Verdict:
    """An answer with what if it fills and with getting in, and the worst sentences of all of that.

    Parameters
    ----------
    verdict : Verdict

    Returns
    -------
    Verdict
    """
    craft = verdict.craft
    wet, ways_in = swamped(craft), boarding(craft)
    sentences = worst(verdict.floating, verdict.ends[0], verdict.checks, wet, ways_in)
    return replace(
        verdict, swamped=wet, boarding=ways_in, worst=sentences, invented=still_invented(craft.boat)
    )


def judge(craft: Craft) -> Verdict:
    """The answer for the load in the boat's file: checks at likely figures and at the bad ends, then who
    else
    it carries.

    Parameters
    ----------
    craft : Craft
        Weighed and seated, as `launch` leaves it.

    Returns
    -------
    Verdict
        Without mishaps and without mesh errors.
    """
    boat, paddlers, trial = craft.boat, craft.boat.load.paddlers, Trial(craft)
    sentences, made, ends, warned = checked(craft, trial)
    table = tuple(_row(trial, mass, warned) for mass in SCAN)
    floating = describe(craft.hull, craft.body, trial.level(paddlers[0].mass).lying)
    return Verdict(
        craft,
        sentences,
        made,
        ends,
        warned,
        floating,
        heaviest(trial.deciding),
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
    """The answer for the load aboard, without who else it carries.

    Parameters
    ----------
    craft : Craft
    trial : Trial, optional
        Of this craft: what it worked out already is used again.

    Returns
    -------
    answer : Answer
    checks : tuple of Check
    ends : tuple of Condition
        They were made at: likely, then the bad ends.
    warned : tuple of str
        What is unusual.
    """
    with naming_the_file(craft.boat):
        warned = doubts(craft.boat, craft.hull, craft.weight)
    trial = trial or Trial(craft)
    ends = tuple(heeled(craft, one) for one in trial.loaded(craft.boat.load.paddlers[0].mass))
    made = checks(craft.boat, ends, trial.rules)
    return answer(made, warned), made, ends, warned


def alter(
    craft: Craft,
    *,
    only: str = "",
    by_hand: Alteration | None = None,
    files: Sources | None = None,
    tell: Callable[[str], None] = lambda step: None,
) -> Altered:
    """What would have to change for the boat to carry its load, or what a change by hand does.

    Parameters
    ----------
    craft : Craft
        As `launch` leaves it, with somebody aboard.
    only : str
        One way of changing it ("wider", "mix", ...); all of them if left out.
    by_hand : Change, optional
        Judged in the place of a search.
    files : Sources, optional
        Of the boat: the altered boat's files are made over them, and judged as they would be read.
    tell : callable
        Hears each step of a search.

    Returns
    -------
    Altered
    """
    from hullview.answer.altering import altering
    from hullview.boat.altered import altered

    def judge(change: Alteration) -> Tried:
        return _tried(craft, change, lambda: altered(craft.boat, change))

    def read_again(boat: Boat, change: Alteration) -> Tried:
        return _tried(craft, replace(change, lighter=0.0), lambda: boat)

    carried(craft.boat)
    return altering(craft, judge, read_again, only=only, by_hand=by_hand, files=files, tell=tell)


def cases(boat: Boat | Craft, build: str | None = None) -> tuple[Carried, ...]:
    """The load cases of the boat's file, each through all the checks.

    Parameters
    ----------
    boat : Boat or Craft
    build : str, optional
        Name of the build; the first of the file if left out.

    Returns
    -------
    tuple of Carried

    Raises
    ------
    UsageError
        The file has no case.
    BoatFileError
        Somebody or something of a case stands outside of the boat.
    """
    from hullview.answer.cases import carried as each

    craft = boat if isinstance(boat, Craft) else craft_of(boat, build)
    return each(craft, launch, checked)


def _tried(craft: Craft, change: Alteration, make: Callable[[], Boat]) -> Tried:
    """The whole judgement of an altered boat; what makes no boat "does not carry", and says why."""
    from hullview.answer.alter import Tried

    try:
        boat = make()
        bare = craft_of(boat, craft.build) if change.of_hull else replace(craft, boat=boat, weighed=None)
        one = launch(bare)
        one = replace(one, weighed=one.weight.lighter(change.lighter)) if change.lighter else one
        told, found, ends, warned = checked(one)
    except (ShapeError, ScheduleError, BoatFileError, UsageError) as error:
        return Tried(change, "does not carry", words=str(error))
    return Tried(change, told, found, ends, warned, one)


def _statutory(craft: Craft, likely: Condition) -> Statutory | None:
    bears = craft.max_displacement if craft.rowed else None
    return (
        None
        if bears is None
        else statutory(bears, likely.mass - likely.carried, likely.carried, likely.people)
    )


def row_of(verdict: Verdict) -> Row:
    """The load of a verdict as a row of its table, by its first paddler.

    Parameters
    ----------
    verdict : Verdict

    Returns
    -------
    Row
    """
    stands = binding(verdict.checks)
    names = ("", "") if stands is None else (stands.name, stands.obstacle)
    return Row(verdict.craft.boat.load.paddlers[0].mass, verdict.ends[0], verdict.answer, *names)


def _row(trial: Trial, mass: int, warned: Sequence[str]) -> Row:
    made = trial.deciding(mass)
    stands = binding(made)
    names = ("", "") if stands is None else (stands.name, stands.obstacle)
    return Row(mass, trial.level(mass).found, answer(made, warned), *names)


def afloat(craft: Craft) -> Floating:
    """How it lies with the load in its file, at likely figures.

    Parameters
    ----------
    craft : Craft

    Returns
    -------
    Floating
        With its mesh errors.
    """
    load = craft.load(craft.boat.load.paddlers, LIKELY)
    return with_error(craft, float_hull(craft.hull, craft.body, load.mass, load.centre, craft.density))


def with_error(craft: Craft, floating: Floating) -> Floating:
    """The same with the estimated mesh error of each figure.

    Parameters
    ----------
    craft : Craft
    floating : Floating

    Returns
    -------
    Floating
    """
    return floating_with_error(craft.hull, craft.body, floating, craft.boat.appendages)


def righting(
    craft: Craft,
    heels: Sequence[float] | None = None,
    postures: Sequence[Torso] = ("rigid",),
    label: str = "",
) -> list[RightingCurve]:
    """A righting curve for each posture, with the load in its file at likely figures.

    Parameters
    ----------
    craft : Craft
    heels : sequence of float, optional
        One way [rad]; 0 to 180 degrees by 5 if left out.
    postures : sequence of str
        Of the torso: "rigid", "upright".
    label : str
        Said before the posture.

    Returns
    -------
    list of RightingCurve
    """
    from hullview.afloat.righting import righting_curve

    paddlers = craft.boat.load.paddlers
    made = []
    for posture in postures if paddlers else postures[:1]:
        load = craft.load(paddlers, LIKELY, torso=posture)
        made.append(
            righting_curve(
                craft.body,
                load.mass,
                load.centre,
                craft.density,
                None if heels is None else np.asarray(heels),
                hull=craft.hull,
                posture=posture,
                label=f"{label} {posture}".strip(),
            )
        )
    return made


def other_side(craft: Craft, curve: RightingCurve) -> RightingCurve | None:
    """The same curve heeled the other way, where that is another: the load hangs to one side, or water
    comes in
    sooner on one.

    Parameters
    ----------
    craft : Craft
    curve : RightingCurve

    Returns
    -------
    RightingCurve or None
    """
    if abs(float(curve.centre[1])) <= CENTRED and craft.even_rims:
        return None
    return righting(craft, [-float(h) for h in curve.heel], label=curve.label)[0]


def curve_with_error(craft: Craft, curve: RightingCurve) -> RightingCurve:
    """The same with the estimated mesh error of its figures.

    Parameters
    ----------
    craft : Craft
    curve : RightingCurve

    Returns
    -------
    RightingCurve
    """
    from hullview.afloat.mesh_error import righting_with_error

    return righting_with_error(craft.hull, curve, craft.boat.appendages)


def compared(
    boats: Sequence[tuple[Craft, Sequence[str]]],
    known: Verdict | None = None,
    curve: RightingCurve | None = None,
) -> tuple[Compared, list[Side]]:
    """Builds side by side, of one boat or of several.

    Parameters
    ----------
    boats : sequence of (Craft, names)
        Each boat with the names of its builds; none: all of one boat, the first of several. With several
        boats a build is called by both names.
    known : Verdict, optional
        Of one of these crafts as it is loaded and weighed: its build is not worked out again.
    curve : RightingCurve, optional
        Of that craft, from upright by steps of 5 degrees to 90 or further.

    Returns
    -------
    (Compared, list of Side)
        The weights and their differences, and how each build floats.
    """
    from hullview.answer.compare import compare_weights, picked

    several = len(boats) > 1
    sides, builds = [], []
    for craft, names in boats:
        boat = craft.boat
        refuse_outside(boat, craft.hull)
        for build in picked(boat, names, several):
            with naming_the_file(boat):
                one = (
                    craft
                    if craft.weighed and craft.weight.build == build.name
                    else replace(craft, build=build.name, weighed=None)
                )
                one = one if one.weighed else replace(one, weighed=one.weight)
            label = f"{boat.name}, {build.name}" if several else build.name
            same = known if known is not None and known.craft is craft and one is craft else None
            sides.append(_side(one, label, same, curve))
            builds.append(replace(build, name=label))
    decked = [side.craft.boat.hull.type == "decked" for side in sides]
    return compare_weights([replace(s.craft.weight, build=s.label) for s in sides], builds, decked), sides


def _side(craft: Craft, label: str, known: Verdict | None = None, curve: RightingCurve | None = None) -> Side:
    """One build with the load in the boat's file: afloat, its greatest righting arm, its heaviest paddler."""
    from hullview.answer.compare import costs

    floating = afloat(craft) if known is None else known.floating
    most = known.heaviest if known else heaviest(Trial(craft).deciding) if craft.boat.load.paddlers else None
    (cost,) = costs(craft.boat, craft.hull, [craft.weight])
    return Side(craft, label, floating, _peak(craft, floating, None if known is None else curve), most, cost)


def _peak(craft: Craft, floating: Floating, curve: RightingCurve | None) -> float | None:
    """The greatest righting arm up to 90 degrees [m], off a curve that is there already where its peak is
    no further; None if not afloat."""
    if floating.state != "afloat":
        return None
    if curve is None or curve.peak_heel is None or not 0 <= curve.peak_heel < np.pi / 2:
        curve = righting(craft, np.radians(np.arange(0, 91, 5.0)))[0]
    return curve.peak_arm


@dataclass(frozen=True)
class Checked:
    """What `check` finds.

    Parameters
    ----------
    findings
        How far each offset lies out of fair.
    bend
        Will laminations and strips take the bend; None where nothing says how the boat is built.
    notes
        What is odd about its shape, its size and its pieces.
    misplaced
        Stations and lines that may stand elsewhere; while there is one, no offset is called doubtful.
    look_first
        Stations that may stand elsewhere for all that can be told; next to them no fair value is proposed.
    """

    findings: tuple[Finding, ...]
    bend: BendReport | None
    notes: tuple[str, ...]
    misplaced: tuple[Misplaced, ...] = ()
    look_first: tuple[str, ...] = ()


def check(craft: Craft) -> Checked:
    """The table's fairness, the bend of one build, and what is odd.

    Parameters
    ----------
    craft : Craft

    Returns
    -------
    Checked

    Raises
    ------
    ShapeError, ScheduleError, MaterialError
        What cannot be right in the boat's files, with the file named.
    """
    boat = craft.boat
    with naming_the_file(boat):
        odd = misfits(boat, craft.hull, boat.build(craft.build)) if boat.builds else ()
        notes = (*craft.hull.notes, *doubts(boat, craft.hull), *odd)
    elsewhere = out_of_place(boat)
    findings, look_first = fair(boat, elsewhere)
    return Checked(findings, bends(craft), notes, elsewhere, look_first)


def out_of_place(boat: Boat) -> tuple[Misplaced, ...]:
    """Stations and lines of the boat's table that may stand elsewhere.

    Parameters
    ----------
    boat : Boat

    Returns
    -------
    tuple of Misplaced
    """
    from hullview.shape.misplaced import misplaced

    with naming_the_file(boat):
        return misplaced(boat)


def fair(boat: Boat, elsewhere: Sequence[Misplaced] = ()) -> tuple[tuple[Finding, ...], tuple[str, ...]]:
    """How far each offset of the boat's table lies out of fair, and the stations to be looked at first.

    Parameters
    ----------
    boat : Boat
    elsewhere : sequence of Misplaced
        Stations and lines that may stand elsewhere: none is doubtful while there is one.

    Returns
    -------
    findings : tuple of Finding
        In the table's order. At and next to a station to be looked at first none has a fair value.
    look_first : tuple of str
        Names of stations.
    """
    from hullview.shape.fairness import fairness
    from hullview.shape.misplaced import to_look_at

    with naming_the_file(boat):
        findings = fairness(boat)
        if elsewhere or not findings:
            return tuple(replace(f, flagged=False) for f in findings), ()
        table, look_first = boat.hull.table, to_look_at(boat, findings)
    assert table is not None
    open_yet = {
        j + by for j in range(len(table.stations)) if table.column(j) in look_first for by in (-1, 0, 1)
    }
    return tuple(
        replace(f, fair=None) if f.flagged and f.column in open_yet else f for f in findings
    ), look_first


def bends(craft: Craft) -> BendReport | None:
    """Will laminations and strips take the bend.

    Parameters
    ----------
    craft : Craft

    Returns
    -------
    BendReport or None
        None where nothing says how the boat is built.
    """
    from hullview.weight.bend import bend

    with naming_the_file(craft.boat):
        return bend(craft.boat, craft.hull, craft.build) if craft.boat.builds else None


def if_fair(boat: Boat, findings: tuple[Finding, ...]) -> tuple[Change, ...]:
    """What taking the fair value of each doubtful offset that has one would change.

    Parameters
    ----------
    boat : Boat
    findings : tuple of Finding

    Returns
    -------
    tuple of Change
        In the order of the findings.
    """
    from hullview.shape.fairness import if_taken

    with naming_the_file(boat):
        return if_taken(boat, tuple(f for f in findings if f.flagged and f.fair is not None))


def shopping(craft: Craft) -> Shopping:
    """What to order for one build.

    Parameters
    ----------
    craft : Craft

    Returns
    -------
    Shopping

    Raises
    ------
    ShapeError, ScheduleError, MaterialError
        What cannot be right in the boat's files, with the file named.
    """
    from hullview.weight.buy import buy

    with naming_the_file(craft.boat):
        return buy(craft.boat, craft.hull, craft.weight)


def forms(boat: Boat, build: str | None = None, at: Sequence[float] = (), edge: Cut | None = None) -> Forms:
    """The forms to build it over, cut from the surface that is floated.

    Parameters
    ----------
    boat : Boat
    build : str, optional
        Name of the build; the first of the file if left out.
    at : sequence of float
        Extra positions [m aft of the datum].
    edge : str, optional
        "square" or "bevelled"; as the boat's file says if left out.

    Returns
    -------
    Forms

    Raises
    ------
    UsageError
        No forms can be cut: no planking, a station outside of the boat, a notch deeper than its form.
    ShapeError, ScheduleError, MaterialError
        What cannot be right in the boat's files, with the file named.
    """
    from hullview.forms.make import make_forms

    with naming_the_file(boat):
        return make_forms(boat, build, at, edge)


def batches(craft: Craft) -> Batches:
    """The resin of one build by the pot, step by step.

    Parameters
    ----------
    craft : Craft

    Returns
    -------
    Batches

    Raises
    ------
    BatchError
        The shop is too cold, or a resin says nothing of its mixing.
    ShapeError, ScheduleError, MaterialError
        What cannot be right in the boat's files, with the file named.
    """
    from hullview.weight import batches as pots

    with naming_the_file(craft.boat):
        return pots.batches(craft.boat, craft.weight)


def carried(boat: Boat) -> Boat:
    """The boat, if somebody is aboard.

    Parameters
    ----------
    boat : Boat

    Returns
    -------
    Boat

    Raises
    ------
    UsageError
        Nobody is: it says how to add one.
    """
    refuse_path(boat)
    if not boat.load.paddlers:
        raise UsageError(
            f"{boat.name}: nobody is aboard. Add [[load.paddler]] with mass and seat_back to boat.toml, "
            'or give --paddler "82 kg" --seat-back "1.8 m".'
        )
    return boat
