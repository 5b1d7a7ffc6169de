"""The righting curve: what is read off it, what it feels like, and the curve itself."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

from hullview.afloat.righting import RightingCurve
from hullview.answer.cautions import IN_ONE_LINE
from hullview.answer.reading import Reading
from hullview.boat.model import Boat
from hullview.tell.floating import error_record, mesh_error
from hullview.tell.model import (
    Column,
    Curves,
    Data,
    Line,
    Q,
    Say,
    Section,
    Table,
    Telling,
    Units,
    Words,
    joined_path,
    listed,
    say,
)

BACK_BENDS = math.radians(40)
"""How far the trunk bends to one side over the hips [rad] (from memory)."""
WET = "w"
"""The mark of what lies past the heel where water comes in."""

FIGURES: tuple[tuple[str, str, str, str], ...] = (
    ("GM", "fine length", "gm", "gm_m"),
    ("greatest arm", "fine length", "peak_arm", "peak_arm_m"),
    ("at", "degrees", "peak_heel", "peak_heel_deg"),
    ("arm gone at", "degrees", "vanishing_heel", "vanishing_heel_deg"),
    ("water comes in at", "degrees", "flooding_heel", "flooding_heel_deg"),
    ("without spray deck", "degrees", "open_flooding_heel", "open_flooding_heel_deg"),
    ("of use up to", "degrees", "usable_range_ends", "usable_range_ends_deg"),
    ("energy to the peak", "energy", "energy_to_peak", "energy_to_peak_j"),
    ("energy to flooding", "energy", "energy_to_flooding", "energy_to_flooding_j"),
)
"""What is read off a curve: its name, kind, attribute and key."""
FURTHER: tuple[tuple[str, str, str], ...] = (
    ("fine length", "gm_by_slope", "gm_by_slope_m"),
    ("degrees", "rest_heel", "rest_heel_deg"),
    ("degrees", "flooding_trim", "flooding_trim_deg"),
    ("energy", "energy_to_vanishing", "energy_to_vanishing_j"),
)
"""What programs are given besides."""


def righting_telling(
    curves: Sequence[RightingCurve], boat: Boat, told: Reading, other: RightingCurve | None = None
) -> Telling:
    """Curves of one boat: what they hold for, a small plot, their figures side by side, the curve of each.

    other: the first one heeled the other way, where that is another.
    """
    return curves_telling(curves, boat.name, boat.units_shown, holds_for(boat), told, other)


def curves_telling(
    curves: Sequence[RightingCurve],
    name: str,
    units: Units,
    holds: Say,
    told: Reading,
    other: RightingCurve | None = None,
) -> Telling:
    """Curves of a boat or of a bare mesh; holds: what they must be read with."""
    first = curves[0]
    head = say(
        f"{name}: righting curve, trim free, ", Q("mass", first.mass),
        " in water of ", Q("water density", first.density),
    )  # fmt: skip
    record = {key: value for key, value in curve_record(first).items() if key != "curve"}
    return Telling(
        (
            Section(
                "righting",
                "Righting",
                (
                    *(Data(key, value) for key, value in record.items()),
                    Line(head, strong=True),
                    Line(holds, apart=True),
                    small_plot(curves),
                    figures_table(curves),
                    Line(other_side(other)),
                    Line(reading_says(told), apart=True),
                    *reading_data(told),
                    _curve_table(curves),
                    Data("others", [curve_record(c) for c in curves[1:]]),
                    Data("other_side", None if other is None else curve_record(other)),
                    Line(say(IN_ONE_LINE)),
                ),
            ),
        ),
        units,
        ("curve",),
        {"boat": name},
    )


def curve_record(curve: RightingCurve) -> dict[str, Any]:
    """One curve as programs are given it."""
    return {
        "mass_kg": curve.mass,
        "centre_m": curve.centre,
        "density_kg_m3": curve.density,
        "posture": curve.posture,
        "label": curve.label,
        "side": "starboard" if curve.side > 0 else "port",
        **{key: Q(kind, getattr(curve, attribute)) for kind, attribute, key in (*_figures(), *FURTHER)},
        "error": error_record(
            curve.error,
            [(attribute, key, kind) for kind, attribute, key in (*_figures(), *FURTHER)]
            + [("arm", "arm_m", "length")],
        ),
        "curve": [
            {
                "heel_deg": Q("degrees", float(heel)),
                "arm_m": float(arm),
                "moment_nm": float(moment),
                "trim_deg": Q("degrees", _known(trim)),
                "past_flooding": past_flooding(curve, float(heel)),
            }
            for heel, arm, moment, trim in zip(curve.heel, curve.arm, curve.moment, curve.trim)
        ],
    }


def _figures() -> list[tuple[str, str, str]]:
    return [(kind, attribute, key) for _, kind, attribute, key in FIGURES]


def _known(value: Any) -> float | None:
    return None if value is None or not math.isfinite(value) else float(value)


def past_flooding(curve: RightingCurve, heel: float | None) -> bool:
    """Whether a heel [rad] lies past the one where water comes in."""
    return heel is not None and curve.flooding_heel is not None and abs(heel) > abs(curve.flooding_heel)


def small_plot(curves: Sequence[RightingCurve]) -> Curves:
    """Arms over heel, for a plot in characters."""
    return Curves(
        "fine length",
        tuple(math.degrees(float(h)) for h in curves[0].heel),
        tuple(tuple(float(a) for a in c.arm) for c in curves),
        tuple(None if c.flooding_heel is None else abs(math.degrees(c.flooding_heel)) for c in curves),
        tuple(c.label or c.posture for c in curves),
    )


def figures_table(curves: Sequence[RightingCurve], *, title: str = "", short: bool = True) -> Table:
    """What is read off each curve, side by side; a mark where the arm is greatest only past flooding."""
    spray_decks = any(c.open_flooding_heel != c.flooding_heel for c in curves)
    rows = []
    for name, kind, attribute, key in FIGURES:
        if key == "open_flooding_heel_deg" and not spray_decks:
            continue
        wet = key == "peak_heel_deg"
        cells = [
            Q(kind, value, note=WET if wet and past_flooding(c, value) else "")
            for c in curves
            for value in [getattr(c, attribute)]
        ]
        rows.append((name, *cells))
    columns = (
        Column("", ""),
        *(Column("", c.label or c.posture, both=True) for c in curves),
    )
    foot = tuple(part for part in (marked_words(curves), _error_words(curves[0])) if part)
    return Table("", title, columns, tuple(rows), foot=foot, sideways=True, short=short)


def marked_words(curves: Sequence[RightingCurve]) -> Say:
    """What the mark means, where any curve runs past flooding."""
    if not any(past_flooding(c, float(c.heel[-1])) for c in curves):
        return say()
    return say(
        f"What is marked {WET} lies past the heel where water comes in: true only with a tight spray cover,"
        " and for an open boat not at all. Energy: weight times the area under the arm."
    )


def _error_words(curve: RightingCurve) -> Say:
    """How far the figures of a curve may be off for the flat faces of the mesh."""
    lengths = mesh_error(curve.error, ("gm", "peak_arm"))
    if not lengths:
        return say()
    vanishing = (curve.error or {}).get("vanishing_heel")
    more = "" if vanishing is None else say("; vanishing ", Q("angle error", float(vanishing)))
    return say("Mesh error: ", lengths, more, ".")


def _curve_table(curves: Sequence[RightingCurve]) -> Table:
    """Heels down; the arm, moment and trim of the first curve, the arms of the others."""
    columns = [
        Column("heel_deg", "heel", "degrees"),
        Column("arm_m", f"arm {Curves.MARKS[0]}", "fine length"),
        Column("moment_nm", f"moment {Curves.MARKS[0]}", "moment"),
        Column("trim_deg", f"trim {Curves.MARKS[0]}", "fine degrees"),
        Column("past_flooding", "past flooding", "yes", hidden=True),
    ]
    for i, c in enumerate(curves[1:], 1):
        name = "_".join(c.label.split())
        columns += [
            Column(f"arm_m_{name}", f"arm {Curves.MARKS[i]}", "fine length"),
            Column(f"moment_nm_{name}", "moment", "moment", hidden=True),
            Column(f"trim_deg_{name}", "trim", "fine degrees", hidden=True),
        ]
    rows = []
    for i, heel in enumerate(curves[0].heel):
        first = curves[0]
        wet = past_flooding(first, float(heel))
        moment = float(first.moment[i])
        trim = Q("fine degrees", _known(first.trim[i]), note=WET if wet else "")
        row: list[Any] = [float(heel), float(first.arm[i]), moment, trim, wet]
        for c in curves[1:]:
            row += [float(c.arm[i]), float(c.moment[i]), _known(c.trim[i])]
        rows.append(tuple(row))
    return Table("curve", "", tuple(columns), tuple(rows))


# ---------------------------------------------------------------- in sentences


MESH_HOLDS = say(
    "a closed mesh: water comes in nowhere. Rigid: all that is aboard moves with it.", key="holds_for"
)
"""What a curve of a bare mesh must be read with."""


def holds_for(boat: Boat) -> Say:
    """What every curve must be read with: the height of the paddlers' centres, posture, and whether the
    cockpit is open."""
    seats = [
        say(Q("given mass", p.mass), ", centre ", Q("length", p.heights[1]), " above the seat")
        for p in boat.load.paddlers
    ]
    covered = bool(boat.openings) and all(o.cover == "spray deck" for o in boat.openings)
    cockpit = "open boat" if boat.hull.type == "open" else "spray deck on" if covered else "cockpit open"
    return say(
        listed(seats, "; ") if seats else "nobody aboard",
        f"; {cockpit}. Rigid: the paddler moves with the boat, as most published curves have it. Upright"
        " torso: kept over the moving seat, so that the mass pulls at the hips; few backs bend past ",
        Q("whole degrees", BACK_BENDS),
        ", so read it no further.",
        key="holds_for",
    )


def other_side(other: RightingCurve | None) -> Say:
    """What a curve to the other side holds, in a sentence; nothing where both are alike."""
    if other is None:
        return say()
    port, starboard = ("port", "starboard") if other.side < 0 else ("starboard", "port")
    at_rest: Words = ""
    if other.rest_heel and abs(other.rest_heel) > 1e-4:
        at_rest = say(" it lies at ", Q("degrees", abs(other.rest_heel)), ",")
    return say(
        f"All this is for heeling to {starboard}. To {port} it is another curve:",
        at_rest,
        " greatest arm ",
        Q("fine length", other.peak_arm),
        " at ",
        Q("degrees", other.peak_heel),
        ", arm gone at ",
        Q("degrees", other.vanishing_heel),
        ", water comes in at ",
        Q("degrees", other.flooding_heel),
        " (heel to port with a minus).",
    )


def reading_says(told: Reading, path: str = "reading") -> Say:
    """A righting curve in plain words: stiffness near upright, a reach over the side, where help stops."""

    def key(name: str) -> str:
        return joined_path(path, name) if path else ""

    whose = ""
    if told.reach_shift:
        whose = "With a rigid paddler: near" if told.torso == "rigid" else "With an upright torso: near"
    parts: list[Words] = [
        f"{whose or 'Near'} upright it takes ",
        Q("moment", told.moment_per_degree, key("moment_per_degree_nm")),
        " to lean it one degree, as much as ",
        Q("mass", told.mass_per_degree, key("mass_at_rim_per_degree_kg")),
        " laid on the rim",
    ]
    if told.steepest_help is not None and told.peak_moment is not None:
        parts += [
            "; it pushes back hardest at ", Q("whole degrees", abs(told.steepest_help)),
            ", with ", Q("moment", told.peak_moment, key("peak_moment_nm")),
        ]  # fmt: skip
    parts.append(".")
    if told.help_ends is not None:
        why = "water comes in" if told.floods_first else "it no longer comes back by itself"
        parts += [" Help stops at ", Q("whole degrees", abs(told.help_ends)), f", where {why}."]
    if told.reach_shift > 0:
        parts += [
            " A reach of ",
            Q("length", told.reach, key("reach_m"), both=False),
            " outside the rim shifts the body's centre ",
            Q("length", told.reach_shift, key("reach_shift_m")),
            ": with a rigid paddler that ",
            _leans(told.reach_heel),
            ", with the torso kept upright it ",
            _leans(told.reach_upright),
            ".",
        ]
    return say(*parts)


def reading_data(told: Reading) -> tuple[Data, ...]:
    """What of a reading stands in no sentence, or there without its sign."""
    angles = ("reach_heel", "reach_upright", "steepest_help", "help_ends")
    return (
        *(Data(f"reading.{name}_deg", Q("degrees", getattr(told, name))) for name in angles),
        Data("reading.peak_moment_nm", told.peak_moment),
        Data("reading.reach_shift_m", told.reach_shift),
        Data("reading.floods_first", told.floods_first),
    )


def _leans(heel: float | None) -> Say:
    return say("takes it over") if heel is None else say("leans it ", Q("whole degrees", abs(heel)))
