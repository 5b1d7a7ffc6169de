"""Limits and what the water does, side by side: the checks, and the answer they add up to."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import Literal

from hullview.answer.limits import Limit, is_open_canoe, limit
from hullview.boat.model import Boat

Result = Literal["pass", "warn", "fail"]
Answer = Literal["carries", "marginal", "does not carry"]


@dataclass(frozen=True)
class Condition:
    """One loading and what the water does with it: the numbers that the checks look at.

    end: "likely", or in words which bad end of build weight, centre height and seat it is. state: "afloat", "floods", "sinks";
    when not afloat all that follows is None. Lengths [m], angles [rad], mass [kg].
    trim_length: draft aft less draft forward. reserve: of buoyancy, over the displaced volume. lean_heel and lean_height: heel
    and least height to flooding with everyone aboard leaning to one side; None where she heels on until water comes in, or over.
    sealed: nothing lets water in, so heights to flooding and the flooding heel are None. heeled: the last three were asked for.
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


@dataclass(frozen=True)
class Check:
    """One check: its value at likely figures against its limit, and the worst of the bad ends.

    value, limit, margin, worst, worst_limit in `unit` (m, deg, 1 for a share); None where the state leaves no figure.
    not_enough: where a warning turns into a failure, None if it never does. worst_end: which bad end, in words.
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

    @property
    def least_margin(self) -> float | None:
        """The lesser of the margins at likely figures and at the bad end; None where one of them has no figure."""
        margins = [self.margin] if self.worst_end == "likely" else [self.margin, self.worst_margin]
        return None if None in margins else min(m for m in margins if m is not None)

    @property
    def obstacle(self) -> str:
        """What stands in the way, in words: where a lean leaves no figure, she does not come to rest in it."""
        figure = self.value if self.result == "fail" or self.worst_end == "likely" else self.worst
        return (
            "goes over in a lean"
            if self.key in ("lean_height", "lean_heel") and figure is None
            else self.name
        )


@dataclass(frozen=True)
class Rule:
    """How one check is made: its limit for a condition, the number it looks at, at which ends, and whether she is heeled for it."""

    name: str
    limit: Callable[[Boat, Condition], Limit]
    value: Callable[[Boat, Condition], float | None]
    ends: Literal["all", "likely", "bad"] = "all"
    heeled: bool = False


def _degrees(angle: float | None) -> float | None:
    return None if angle is None else math.degrees(angle)


def _of(key: str) -> Callable[[Boat, Condition], Limit]:
    return lambda boat, condition: limit(boat, key)


def _warning_only(key: str) -> Callable[[Boat, Condition], Limit]:
    return lambda boat, condition: replace(limit(boat, key), not_enough=None)


def _lean_heel_limit(boat: Boat, condition: Condition) -> Limit:
    """The heel of the lean is held against the heel at which water comes in; over on her side where none does."""
    comes_in = 90.0 if condition.flooding_heel is None else min(math.degrees(condition.flooding_heel), 90.0)
    return replace(limit(boat, "lean_heel"), enough=comes_in, not_enough=comes_in)


def _over_design(boat: Boat, condition: Condition) -> float:
    assert boat.hull.design_displacement is not None
    return condition.mass / boat.hull.design_displacement - 1.0


def _open_to_water(name: str) -> Callable[[Boat, Condition], float | None]:
    """A figure that is endless where nothing lets water in: a spray deck on, hatches sealed."""

    def value(boat: Boat, condition: Condition) -> float | None:
        if condition.state == "afloat" and condition.sealed:
            return math.inf
        return getattr(condition, name)

    return value


def _flooding_heel(boat: Boat, condition: Condition) -> float | None:
    return _degrees(_open_to_water("flooding_heel")(boat, condition))


def _size(length: float | None) -> float | None:
    return None if length is None else abs(length)


RULES: tuple[Rule, ...] = (
    Rule("height to flooding", _of("height_to_flooding"), _open_to_water("height_to_flooding")),
    Rule("freeboard", _of("freeboard"), lambda b, c: c.freeboard),
    Rule("trim, bow to stern", _of("trim"), lambda b, c: _size(c.trim_length)),
    Rule("GM, centre likely", _of("gm"), lambda b, c: c.gm, "likely"),
    Rule("GM, centre high", _warning_only("gm"), lambda b, c: c.gm, "bad"),
    Rule("height in a lean", _of("lean_height"), _open_to_water("lean_height"), heeled=True),
    Rule("heel in a lean", _lean_heel_limit, lambda b, c: _degrees(c.lean_heel), heeled=True),
    Rule("flooding heel", _of("flooding_heel"), _flooding_heel, heeled=True),
    Rule("reserve of buoyancy", _of("reserve_of_buoyancy"), lambda b, c: c.reserve),
)
"""The checks every loaded boat gets, in the order they are read."""

_DESIGN_RULES: tuple[Rule, ...] = (
    Rule("over plan weight", _of("over_design"), _over_design),
    Rule("under plan weight", _of("under_design"), _over_design),
)


def rules_for(boat: Boat, length_to_beam: float) -> tuple[Rule, ...]:
    """The checks that apply to this boat: those for all, the plan's displacement if it is given, draft for an open canoe."""
    rules: tuple[Rule, ...] = RULES
    if boat.hull.design_displacement is not None:
        rules += _DESIGN_RULES
    if is_open_canoe(boat, length_to_beam):
        key = "draft_solo" if len(boat.load.paddlers) < 2 else "draft_tandem"
        rules += (Rule("draft of a canoe", _of(key), lambda b, c: c.draft),)
    return rules


def checks(boat: Boat, conditions: Sequence[Condition], rules: Sequence[Rule] = RULES) -> tuple[Check, ...]:
    """Every rule held against the likely condition (the first) and the bad ends (the rest)."""
    return tuple(_check(boat, rule, conditions) for rule in rules)


def _check(boat: Boat, rule: Rule, conditions: Sequence[Condition]) -> Check:
    if rule.heeled:
        conditions = [c for c in conditions if c.heeled or c.state != "afloat"]
    if rule.ends == "likely" or len(conditions) == 1:
        looked_at = conditions[:1]
    else:
        looked_at = conditions if rule.ends == "all" else conditions[1:]
    judged = [_judge(boat, rule, condition) for condition in looked_at]
    first = judged[0] if rule.ends != "bad" else min(judged, key=_by_margin)
    bad = judged[1:] if rule.ends == "all" else [first] if rule.ends == "bad" else []
    worst = min(bad, key=_by_margin, default=None)
    result = first.result
    if worst is not None and result == "pass" and worst.result != "pass":
        result = "warn"
    if worst is None:
        return first
    return replace(
        first, result=result, worst=worst.value, worst_margin=worst.margin, worst_end=worst.worst_end
    )


def _by_margin(check: Check) -> float:
    return -math.inf if check.margin is None else check.margin


def _judge(boat: Boat, rule: Rule, condition: Condition) -> Check:
    """One rule at one condition; with no figure to look at (she floods or sinks) it fails, or warns if it can only warn."""
    bound = rule.limit(boat, condition)
    value = rule.value(boat, condition)
    if value is None:
        result: Result = "fail" if bound.not_enough is not None else "warn"
    else:
        result = bound.result(value)
    return Check(
        rule.name,
        bound.key,
        value,
        bound.enough,
        bound.unit,
        result,
        bound.basis,
        None if value is None else bound.margin(value),
        bound.sense,
        bound.not_enough,
        worst_end=condition.end,
        note=bound.note,
    )


def answer(made: Sequence[Check], notices: Sequence[str] = ()) -> Answer:
    """The answer the checks add up to: a failure at likely values, else a warning anywhere (plausibility too), else she carries."""
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
