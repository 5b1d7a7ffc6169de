"""Builds side by side, for a person and as rows."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

from hullview.afloat.equilibrium import Floating
from hullview.answer.compare import Compared
from hullview.show import words
from hullview.show.tables import joined, paragraph, side_by_side
from hullview.study import Side


def compare_rows(compared: Compared, sides: Sequence[Side]) -> list[dict[str, Any]]:
    """A record for each build, for CSV."""
    return [
        {
            "build": w.build,
            "mass_kg": w.mass,
            "mass_low_kg": w.low,
            "mass_high_kg": w.high,
            "centre_m": w.centre,
            "resin_kg": w.resin,
            **{f"group_{group.replace(' ', '_')}_kg": mass for group, mass in w.groups.items()},
            "state": f.state,
            "draft_m": f.draft,
            "freeboard_m": f.freeboard,
            "height_to_flooding_m": f.height_to_flooding,
            "gm_m": f.gm,
            "trim_deg": None if f.trim is None else math.degrees(f.trim),
            "peak_arm_m": side.peak_arm,
            "heaviest_paddler_kg": side.heaviest.mass if side.heaviest else None,
            "hours": side.hours,
            **{f"cost_{currency or 'given'}": cost for currency, cost in side.costs.items()},
        }
        for w, f, side in zip(compared.weights, [s.floating for s in sides], sides)
    ]


def compare_text(compared: Compared, sides: Sequence[Side]) -> str:
    """Builds side by side: weight by group, centre, resin, how each floats, and what no scale shows."""
    """Builds side by side: weight by group, centre, resin, how each floats, and what no scale shows."""
    boats = list(dict.fromkeys(side.craft.boat.name for side in sides))
    return joined(
        paragraph(
            f"{boats[0]}: {', '.join(s.label for s in sides)}"
            if len(boats) == 1
            else "; ".join(s.label for s in sides)
        ),
        _table(compared, sides, both=True),
        "\n".join(paragraph(d.words) for d in compared.differences),
        *(_unseen(build, said) for build, said in compared.unseen),
    )


def _table(compared: Compared, sides: Sequence[Side], both: bool) -> str:
    """A column for each build; with both kinds of unit, or the builder's own alone."""
    units, weights = sides[0].craft.boat.units_shown, compared.weights
    floating = [side.floating for side in sides]
    groups = list(dict.fromkeys(g for w in weights for g in w.groups))
    who = [words.people(side.craft.boat) for side in sides]
    rows = [
        ("weight", *(words.mass(w.mass, units, both) for w in weights)),
        ("8 builds of 10", *(words.span(w.low, w.high, units) for w in weights)),
        *((f"  {g}", *(words.mass(w.groups.get(g, 0.0), units, False, 2) for w in weights)) for g in groups),
        ("resin and glue", *(words.mass(w.resin, units, False, 2) for w in weights)),
        ("centre aft", *(words.place(float(w.centre[0]), units, both) for w in weights)),
        ("centre up", *(words.length(float(w.centre[2]), units, both, 1) for w in weights)),
        *_hours(sides),
        ("aboard", *who),
        ("  draft", *(_figure(f, words.length(f.draft, units, both, 1)) for f in floating)),
        ("  freeboard", *(words.length(f.freeboard, units, both, 1) for f in floating)),
        ("  trim", *(_trim(f, units) for f in floating)),
        ("  GM", *(words.length(f.gm, units, both, 1) for f in floating)),
        ("  greatest arm", *(words.length(s.peak_arm, units, both, 1) for s in sides)),
        ("heaviest paddler", *(_heaviest(s, units, both) for s in sides)),
    ]
    return side_by_side(("", *(s.label for s in sides)), rows)


def _figure(floating: Floating, text: str) -> str:
    return text if floating.state == "afloat" else floating.state


def _heaviest(side: Side, units: str, both: bool) -> str:
    if side.heaviest is None or side.heaviest.mass is None:
        return "none"
    return words.mass(float(side.heaviest.mass), units, both)


def _hours(sides: Sequence[Side]) -> list[tuple[str, ...]]:
    """Hours, and what has a price, where the shop gave them."""
    hours, priced = [side.hours for side in sides], any(side.costs for side in sides)
    found: list[tuple[str, ...]] = (
        [("hours, by the shop", *("-" if h is None else f"{h:g}" for h in hours))] if any(hours) else []
    )
    return found + ([("cost of what has a price", *(_cost(side) for side in sides))] if priced else [])


def _cost(side: Side) -> str:
    return (
        ", ".join(f"{cost:.2f} {currency}".strip() for currency, cost in side.costs.items()) or words.NOTHING
    )


def _trim(floating: Floating, units: str) -> str:
    if floating.draft_aft is None or floating.draft_forward is None:
        return words.NOTHING
    return words.trim(floating.draft_aft - floating.draft_forward, units)


def _unseen(build: str, said: Sequence[str]) -> str:
    """What weight does not show of one build."""
    if not said:
        return ""
    return "\n".join([f"{build}, what no scale shows:", *(paragraph(s, "- ", "  ") for s in said)])
