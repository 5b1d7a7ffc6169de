"""Remarks: what a builder would mention and not hold against the boat. They are no checks and change
neither the answer nor the heaviest paddler."""

from __future__ import annotations

from dataclasses import dataclass

from hullview.answer.checks import TRIM_REMARK, Condition
from hullview.answer.limits import is_open_canoe, setting, trim_passes
from hullview.boat.model import Boat
from hullview.boat.wording import length_text, mass_text


@dataclass(frozen=True)
class Remark:
    """key: of the limit that it goes by. value: the figure, in metres or as a share. words: for a person."""

    key: str
    value: float
    words: str


def remarks(boat: Boat, condition: Condition, length_to_beam: float) -> tuple[Remark, ...]:
    """What is to be said of a load at likely values; nothing of a boat that is not afloat.

    Parameters
    ----------
    condition : Condition
        The load at likely values.
    length_to_beam : float
        Length over greatest beam, by which an open boat is a canoe [1].
    """
    if condition.state != "afloat":
        return ()
    found = (
        _displacement(boat, condition),
        _draft(boat, condition, length_to_beam),
        _trim(boat, condition),
    )
    return tuple(remark for remark in found if remark is not None)


def _displacement(boat: Boat, condition: Condition) -> Remark | None:
    plan = boat.hull.design_displacement
    if plan is None:
        return None
    over = condition.mass / plan - 1.0
    floats = mass_text(condition.mass, boat.units_shown, 0, both=False)
    planned = mass_text(plan, boat.units_shown, 0, both=False)
    if over < -setting(boat, "under_design"):
        return Remark(
            "under_design",
            over,
            f"light for the boat: {floats} afloat, {-over:.0%} under the plan's {planned}",
        )
    if over > setting(boat, "over_design"):
        return Remark(
            "over_design", over, f"deep for the plan: {floats} afloat, {over:.0%} over its {planned}"
        )
    return None


def _draft(boat: Boat, condition: Condition, length_to_beam: float) -> Remark | None:
    if condition.draft is None or not is_open_canoe(boat, length_to_beam):
        return None
    solo = len(boat.load.paddlers) < 2
    key = "draft_solo" if solo else "draft_tandem"
    usual = setting(boat, key)
    if condition.draft <= usual:
        return None
    drawn, most = (length_text(v, boat.units_shown, both=False) for v in (condition.draft, usual))
    whom = "one aboard" if solo else "two or more aboard"
    return Remark(
        key, condition.draft, f"deep for a canoe with {whom}: draws {drawn}, {most} is the usual most"
    )


def _trim(boat: Boat, condition: Condition) -> Remark | None:
    trim = condition.trim_length or 0.0
    passes, _ = trim_passes(boat, trim, condition.waterline or 0.0)
    if not passes < abs(trim) <= TRIM_REMARK * passes:
        return None
    down, enough = (length_text(v, boat.units_shown, both=False) for v in (abs(trim), passes))
    end, key = ("stern", "trim_stern") if trim > 0 else ("bow", "trim_bow")
    return Remark(key, trim, f"{down} down by the {end}: past {enough} it is felt")
