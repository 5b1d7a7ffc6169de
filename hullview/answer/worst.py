"""The worst that happens with a load, in sentences, worst first. Never flattering: no figure here is a
good one."""

from __future__ import annotations

import math
from collections.abc import Sequence

from hullview.afloat.equilibrium import CAPSIZED, Floating
from hullview.answer.boarding import Boarding
from hullview.answer.checks import Check, Condition
from hullview.answer.swamped import Swamped, Swamping

_STATE = {
    "sinks": "With this load it sinks.",
    CAPSIZED: "With this load it capsizes before anybody moves.",
    "floods": "With this load it floods as it lies.",
}
_SWAMPED = {
    "sinks": "sinks",
    "turns over": "turns over",
    "awash": "lies awash",
    "afloat": "floats with the rim above water",
}


def worst(
    floating: Floating,
    likely: Condition,
    checks: Sequence[Check],
    swamped: Swamped | None = None,
    boarding: Sequence[Boarding] = (),
) -> tuple[str, ...]:
    """Sentences about what goes wrong: as the boat lies, leaned, swamped with the load aboard, getting in,
    and where water comes in."""
    sentences = [_STATE[floating.state]] if floating.state in _STATE else []
    if floating.state == "afloat":
        sentences += _leaned(likely, checks)
    if swamped is not None:
        sentences += _full(swamped)
    sentences += [
        f"{case.name[0].upper()}{case.name[1:]}: {case.state}."
        for case in boarding
        if case.state != "afloat" and not case.name.startswith("a hand")
    ]
    if likely.flooding_heel is not None:
        sentences.append(f"Water comes in at {math.degrees(likely.flooding_heel):.0f} degrees of heel.")
    return tuple(sentences)


def _leaned(likely: Condition, checks: Sequence[Check]) -> list[str]:
    """That the boat does not stay upright or goes over as soon as somebody leans or reaches."""
    found = {c.key: c for c in checks}
    sentences = []
    if likely.gm is not None and likely.gm <= 0:
        sentences.append("It does not stay upright.")
    elif "gm_high" in found and found["gm_high"].result != "pass":
        sentences.append("With the body's centre high it does not stay upright.")
    lean, reach = found.get("lean_height"), found.get("reach")
    if lean is not None and lean.result == "fail":
        sentences.append(f"Leaning over: {_becomes(lean)}.")
    elif lean is not None and lean.result == "warn":
        sentences.append("Leaning over, heavy or sitting high: goes over.")
    if reach is not None and reach.result != "pass" and (lean is None or lean.result != "fail"):
        sentences.append(f"Reaching over the side: {_becomes(reach)}.")
    return sentences


def _becomes(check: Check) -> str:
    return "water comes in" if check.value is not None or check.outcome == "floods" else "goes over"


def _full(swamped: Swamped) -> list[str]:
    """Full of water with the load aboard; empty of people only where even that goes wrong."""
    crewed, nobody = (_fullest(swamped, paddlers) for paddlers in (True, False))
    sentences = []
    if crewed is not None:
        barely = " and barely stays upright" if crewed.barely_upright else ""
        sentences.append(f"Swamped with you aboard: {_SWAMPED[crewed.state]}{barely}.")
    if nobody is not None and nobody.state in ("sinks", "turns over"):
        sentences.append(f"Swamped with nobody aboard: {_SWAMPED[nobody.state]}.")
    return sentences


def _fullest(swamped: Swamped, paddlers: bool) -> Swamping | None:
    return max((c for c in swamped.cases if c.paddlers == paddlers), key=lambda c: c.share, default=None)
