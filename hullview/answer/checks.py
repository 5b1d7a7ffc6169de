"""Limits and what the water does, side by side: the checks, and the answer they add up to."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import Literal

from hullview.afloat.equilibrium import CAPSIZED_AT
from hullview.answer.limits import Limit, limit, setting, trim_passes
from hullview.answer.statutory import PERSONS_SHARE
from hullview.boat.model import Boat
from hullview.boat.wording import length_text

Result = Literal["pass", "warn", "fail"]
Answer = Literal["carries", "marginal", "does not carry"]


@dataclass(frozen=True)
class Condition:
    """One loading and what the water does with it: the numbers that the checks look at.

    end: "likely", or in words which bad end of build weight, centre height and seat it is. state: "afloat",
    "floods", "capsized", "sinks"; when not afloat all that follows the masses is None. Lengths [m], angles
    [rad], masses [kg]. mass: all of it; aboard: persons and gear; people: persons. capacity: of 33 CFR 183
    for a boat that is rowed, else None. trim_length: draft aft less draft forward, over a waterline of length
    `waterline`. reserve: of buoyancy, over the displaced volume. lean: the greatest shift of a paddler in the
    lean; lean_heel and lean_height: heel and least height to flooding with everyone aboard leaning to one
    side; reach_heel, reach_height: the same in a reach over the side, at likely values only. None where the
    boat heels on until water comes in, or over. sealed: nothing lets water in, so heights to flooding and the
    flooding heel are None. heeled: lean, reach and flooding heel were asked for.
    """

    end: str
    mass: float
    state: str = "afloat"
    trim_length: float | None = None
    gm: float | None = None
    height_to_flooding: float | None = None
    freeboard: float | None = None
    draft: float | None = None
    reserve: float | None = None
    lean_heel: float | None = None
    lean_height: float | None = None
    flooding_heel: float | None = None
    sealed: bool = False
    heeled: bool = False
    waterline: float | None = None
    lean: float | None = None
    reach_heel: float | None = None
    reach_height: float | None = None
    carried: float = 0.0
    people: float = 0.0
    capacity: float | None = None


@dataclass(frozen=True)
class Check:
    """One check: its value at likely figures against its limit, and the worst of the bad ends.

    value, limit, margin, worst, worst_limit in `unit` (m, deg, kg, 1 for a share); None where the state
    leaves no figure. not_enough: where a warning turns into a failure, None if it never does. worst_end:
    which bad end, in words. scale: what margins are measured by to be compared with those of other checks.
    least_margin [1]: the least margin over the scale at the ends that are judged; None where one of them has
    no figure. outcome, worst_outcome: what becomes of the boat where there is no figure.
    """

    name: str
    key: str
    value: float | None
    limit: float | None
    unit: str
    result: Result
    basis: str
    margin: float | None
    sense: str
    not_enough: float | None = None
    worst: float | None = None
    worst_margin: float | None = None
    worst_end: str = ""
    note: str = ""
    scale: float = 1.0
    least_margin: float | None = None
    outcome: str = ""
    worst_outcome: str = ""

    def __repr__(self) -> str:
        return f"<Check {self.key}: {self.result}, {self.value} {self.unit} against {self.limit}>"

    @property
    def obstacle(self) -> str:
        """What stands in the way, in words: where a lean or a reach leaves no figure, the boat does not
        come to rest in it."""
        figure = self.value if self.result == "fail" or self.worst_end == "likely" else self.worst
        in_what = {"lean_height": "a lean", "lean_heel": "a lean", "reach": "a reach"}.get(self.key)
        return f"goes over in {in_what}" if in_what and figure is None else self.name


@dataclass(frozen=True)
class Rule:
    """How one check is made: its stable key, its name, its limit for a condition, and the number it looks at.

    ends: at which ends it is judged; "shown": at likely values alone, the bad end being printed. heeled: the
    boat is heeled for it.
    """

    key: str
    name: Callable[[Boat, Condition], str]
    limit: Callable[[Boat, Condition], Limit]
    value: Callable[[Boat, Condition], float | None]
    ends: Literal["all", "likely", "bad", "shown"] = "all"
    heeled: bool = False


def _degrees(angle: float | None) -> float | None:
    return None if angle is None else math.degrees(angle)


def _called(name: str) -> Callable[[Boat, Condition], str]:
    return lambda boat, condition: name


def _of(key: str) -> Callable[[Boat, Condition], Limit]:
    return lambda boat, condition: limit(boat, key)


def _warning_only(key: str) -> Callable[[Boat, Condition], Limit]:
    return lambda boat, condition: replace(limit(boat, key), not_enough=None)


def _lean_heel_limit(boat: Boat, condition: Condition) -> Limit:
    """The heel of the lean is held against the heel at which water comes in, or past which the boat counts
    as capsized."""
    heels = [CAPSIZED_AT] + [h for h in (condition.flooding_heel,) if h is not None]
    comes_in = math.degrees(min(heels))
    return replace(limit(boat, "lean_heel"), enough=comes_in, not_enough=comes_in)


def _leaned(what: str) -> Callable[[Boat, Condition], str]:
    def name(boat: Boat, condition: Condition) -> str:
        shift = setting(boat, "lean") if condition.lean is None else condition.lean
        return f"{what} when leaned {length_text(shift, boat.units_shown, both=False)}"

    return name


def _reached(boat: Boat, condition: Condition) -> str:
    reach = length_text(setting(boat, "reach"), boat.units_shown, both=False)
    return f"rim left reaching {reach} out"


TRIM_REMARK = 2.0
"""Trim up to so many times what passes is a remark, beyond it a warning (common practice, no source)."""


def _trim_limit(boat: Boat, condition: Condition) -> Limit:
    passes, basis = trim_passes(boat, condition.trim_length or 0.0, condition.waterline or 0.0)
    return replace(limit(boat, "trim"), enough=TRIM_REMARK * passes, not_enough=None, basis=basis)


def _trim_name(boat: Boat, condition: Condition) -> str:
    return f"trim by the {'bow' if (condition.trim_length or 0.0) < 0 else 'stern'}"


def _open_to_water(name: str) -> Callable[[Boat, Condition], float | None]:
    """A figure that is endless where nothing lets water in: a spray deck on, hatches sealed."""

    def value(boat: Boat, condition: Condition) -> float | None:
        if condition.state == "afloat" and condition.sealed:
            return math.inf
        figure: float | None = getattr(condition, name)
        return figure

    return value


def _in_a_lean(height: str, heel: str) -> Callable[[Boat, Condition], float | None]:
    """Height left in a lean or a reach: endless where nothing lets water in, but none where the boat goes
    over."""

    def value(boat: Boat, condition: Condition) -> float | None:
        if condition.state == "afloat" and condition.sealed and getattr(condition, heel) is not None:
            return math.inf
        figure: float | None = getattr(condition, height)
        return figure

    return value


def _flooding_heel(boat: Boat, condition: Condition) -> float | None:
    return _degrees(_open_to_water("flooding_heel")(boat, condition))


def _size(length: float | None) -> float | None:
    return None if length is None else abs(length)


def _capacity(key: str, share: float) -> Callable[[Boat, Condition], Limit]:
    return lambda boat, condition: replace(limit(boat, key), enough=share * (condition.capacity or 0.0))


RULES: tuple[Rule, ...] = (
    Rule(
        "height_to_flooding",
        _called("lowest rim above water"),
        _of("height_to_flooding"),
        _open_to_water("height_to_flooding"),
    ),
    Rule("freeboard", _called("freeboard"), _of("freeboard"), lambda b, c: c.freeboard),
    Rule("trim", _trim_name, _trim_limit, lambda b, c: _size(c.trim_length), "shown"),
    Rule("gm", _called("GM upright"), _of("gm"), lambda b, c: c.gm, "likely"),
    Rule("gm_high", _called("GM, body's centre high"), _warning_only("gm"), lambda b, c: c.gm, "bad"),
    Rule(
        "lean_height",
        _leaned("rim left"),
        _of("lean_height"),
        _in_a_lean("lean_height", "lean_heel"),
        heeled=True,
    ),
    Rule("lean_heel", _leaned("heel"), _lean_heel_limit, lambda b, c: _degrees(c.lean_heel), heeled=True),
    Rule(
        "reach",
        _reached,
        _of("reach_height"),
        _in_a_lean("reach_height", "reach_heel"),
        "likely",
        heeled=True,
    ),
    Rule(
        "flooding_heel",
        _called("heel where water comes in"),
        _of("flooding_heel"),
        _flooding_heel,
        heeled=True,
    ),
    Rule(
        "reserve_of_buoyancy",
        _called("reserve of buoyancy"),
        _of("reserve_of_buoyancy"),
        lambda b, c: c.reserve,
    ),
)
"""The checks every loaded boat gets, in the order they are read."""

STATUTORY_RULES: tuple[Rule, ...] = (
    Rule(
        "statutory_load",
        _called("load, 33 CFR 183 figure"),
        _capacity("statutory_load", 1.0),
        lambda b, c: c.carried,
    ),
    Rule(
        "statutory_persons",
        _called("persons, 33 CFR 183"),
        _capacity("statutory_persons", PERSONS_SHARE),
        lambda b, c: c.people,
    ),
)
"""For a boat that is rowed: the load against the figure the law would print on it. It can only warn."""


def rules_for(rowed: bool) -> tuple[Rule, ...]:
    """The checks that apply to a boat: those for all, and the statutory figure where it is rowed."""
    return RULES + STATUTORY_RULES if rowed else RULES


def checks(boat: Boat, conditions: Sequence[Condition], rules: Sequence[Rule] = RULES) -> tuple[Check, ...]:
    """Every rule held against the likely condition (the first) and the bad ends (the rest)."""
    return tuple(_check(boat, rule, conditions) for rule in rules)


def _check(boat: Boat, rule: Rule, conditions: Sequence[Condition]) -> Check:
    if rule.heeled:
        conditions = [c for c in conditions if c.heeled or c.state != "afloat"]
    if rule.ends == "likely" or len(conditions) == 1:
        looked_at = conditions[:1]
    else:
        looked_at = conditions[1:] if rule.ends == "bad" else conditions
    made = [_judge(boat, rule, condition) for condition in looked_at]
    first = made[0] if rule.ends != "bad" else min(made, key=_by_margin)
    bad = [first] if rule.ends == "bad" else made[1:]
    worst = min(bad, key=_by_margin, default=None)
    judged = [first] if rule.ends == "shown" else made
    if len(judged) > 1:
        first = replace(first, least_margin=_least(judged))
    if worst is None:
        return first
    result = first.result
    if rule.ends != "shown" and result == "pass" and worst.result != "pass":
        result = "warn"
    return replace(
        first,
        result=result,
        worst=worst.value,
        worst_margin=worst.margin,
        worst_end=worst.worst_end,
        worst_outcome=worst.outcome,
    )


def _least(judged: Sequence[Check]) -> float | None:
    margins = [c.least_margin for c in judged]
    return None if None in margins else min(m for m in margins if m is not None)


def _by_margin(check: Check) -> float:
    # rounded, so that of two sides that differ by rounding the first is named on every machine
    return -math.inf if check.margin is None else round(check.margin, 9)


def _judge(boat: Boat, rule: Rule, condition: Condition) -> Check:
    """One rule at one condition; with no figure to look at (it floods, capsizes or sinks) it fails, or
    warns if it can only warn."""
    bound = rule.limit(boat, condition)
    value = rule.value(boat, condition)
    if condition.state != "afloat":
        value = None
    if value is None:
        result: Result = "fail" if bound.not_enough is not None else "warn"
    else:
        result = bound.result(value)
    margin = None if value is None else bound.margin(value)
    return Check(
        rule.name(boat, condition),
        rule.key,
        value,
        bound.enough,
        bound.unit,
        result,
        bound.basis,
        margin,
        bound.sense,
        bound.not_enough,
        least_margin=None if margin is None else margin / bound.scale,
        worst_end=condition.end,
        note=bound.note,
        scale=bound.scale,
        outcome="" if value is not None else _becomes(condition),
    )


def _becomes(condition: Condition) -> str:
    """What becomes of a boat that leaves no figure: by its state, or in a lean by what comes first."""
    if condition.state != "afloat":
        return condition.state
    comes_in = condition.flooding_heel
    return "floods" if comes_in is not None and comes_in < CAPSIZED_AT else "capsized"


def answer(made: Sequence[Check], notices: Sequence[str] = ()) -> Answer:
    """The answer the checks add up to: a failure at likely values, else a warning anywhere (plausibility
    too), else it carries."""
    results = {check.result for check in made}
    if "fail" in results:
        return "does not carry"
    return "marginal" if "warn" in results or notices else "carries"


def binding(made: Sequence[Check]) -> Check | None:
    """The check that stands in the way: the first failure, else the first warning; None if all pass."""
    for result in ("fail", "warn"):
        for check in made:
            if check.result == result:
                return check
    return None
