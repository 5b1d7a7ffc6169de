"""The hydrostatics table and the righting curve as text for a person."""

from __future__ import annotations

import itertools
import math
from collections.abc import Mapping, Sequence
from typing import Any

from hullview.afloat.hydrostatics import HydrostaticRow
from hullview.afloat.righting import RightingCurve
from hullview.answer.cautions import IN_ONE_LINE
from hullview.answer.reading import Reading
from hullview.boat.model import Boat
from hullview.boat.wording import POUND, feet_inches, figure
from hullview.show import words
from hullview.show.floating import mesh_error
from hullview.show.mishaps import reading_text
from hullview.show.tables import columns, joined, paragraph, side_by_side


def hydrostatics_text(
    rows: Sequence[HydrostaticRow],
    name: str,
    density: float,
    units: str,
    errors: Sequence[Mapping[str, Any]] | None = None,
) -> str:
    """The table in three parts, each under the waterline's height above the base line; errors: of the mesh, row by row."""
    if units == "imperial":
        weight, heavy, per = (
            "lb",
            lambda m: f"{m / POUND:.1f}",
            ("lb/in", lambda m: f"{m * 2.54 / POUND:.1f}"),
        )
    else:
        weight, heavy, per = "kg", lambda m: f"{m:.1f}", ("kg/cm", lambda m: f"{m:.2f}")

    def at(row: HydrostaticRow) -> str:
        return words.length(row.waterline_height, units)

    def own(metres: float) -> str:
        return feet_inches(metres) if units == "imperial" else f"{metres * 1000:.0f}"

    unit = "" if units == "imperial" else " mm"
    weights = [
        (
            at(r),
            own(r.draft),
            heavy(r.displacement),
            f"{r.volume * 1000:.1f}",
            own(r.lcb),
            own(r.kb),
            f"{r.wetted_area:.3f}",
        )
        for r in rows
    ]
    planes = [
        (
            at(r),
            f"{r.waterplane_area:.3f}",
            own(r.lcf),
            own(r.bm),
            own(r.km),
            f"{r.bm_longitudinal:.2f} m",
            per[1](r.immersion),
        )
        for r in rows
    ]
    forms = [
        (at(r), own(r.waterline_length), own(r.waterline_beam), *(f"{c:.3f}" for c in (
            r.block_coefficient, r.prismatic_coefficient, r.midship_coefficient, r.waterplane_coefficient)))
        for r in rows
    ]  # fmt: skip
    angle = math.degrees(rows[0].trim) if rows else 0.0
    trim = f", trimmed {abs(angle):.2f} deg by the {'stern' if angle > 0 else 'bow'}" if angle else ", level"
    return joined(
        paragraph(f"{name}: hydrostatics{trim}, in water of {density:.1f} kg/m3"),
        columns(
            ("waterline", f"draft{unit}", weight, "litres", f"LCB{unit}", f"KB{unit}", "wetted m2"),
            weights,
            "r" * 7,
        ),
        columns(
            ("waterline", "plane m2", f"LCF{unit}", f"BM{unit}", f"KM{unit}", "BM fore-aft", per[0]),
            planes,
            "r" * 7,
        ),
        columns(
            ("waterline", f"length{unit}", f"beam{unit}", "block", "prismatic", "midship", "plane"),
            forms,
            "r" * 7,
        ),
        paragraph(
            "Waterline: height above the base line. LCB, LCF: aft of the bow datum. KB, KM: above the base line. Coefficients by "
            "waterline length and beam, draft without appendages, and the greatest section. Displacement is to the hull's outside."
        ),
        _rows_error(rows, errors),
    )


# ---------------------------------------------------------------- the righting curve

PLOT_ROWS = 13
MARKS = "*o+x#"
"""A mark for each curve; past the heel where water comes in it turns into a dot."""


def righting_text(
    curves: Sequence[RightingCurve], boat: Boat, told: Reading, other: RightingCurve | None = None
) -> str:
    """Curves of one boat: what they hold for, a small plot, their figures side by side, and the table of the first.

    other: the first one heeled the other way, where that is another.
    """
    first, units = curves[0], boat.units_shown
    return joined(
        paragraph(
            f"{boat.name}: righting curve, trim free, {words.mass(first.mass, units)} in water of {first.density:.1f} kg/m3"
        ),
        paragraph(holds_for(boat)),
        plot(curves),
        side_by_side(("", *(f"{MARKS[i]} {c.label}" for i, c in enumerate(curves))), _figures(curves, units)),
        paragraph(other_side_text(other, units)),
        reading_text(told, units),
        columns(
            ("heel", *(f"arm {MARKS[i]}" for i in range(len(curves))), "moment *", "trim *"),
            _heels(curves, units),
            "r" * (len(curves) + 3),
        ),
        paragraph(
            "Dots, and what is marked w, lie past the heel where water comes in: true only with a tight spray cover, and for an open boat "
            f"not at all. Energy: weight times the area under the arm. {_mesh_error(first)}"
        ),
        paragraph(IN_ONE_LINE),
    )


def _rows_error(rows: Sequence[HydrostaticRow], errors: Sequence[Mapping[str, Any]] | None) -> str:
    """The greatest mesh error of the table: displacement as a share, BM and KB in mm."""
    if not errors:
        return ""
    share = max(error["displacement_kg"] / row.displacement for row, error in zip(rows, errors))
    bm, kb = (max(error[key] for error in errors) * 1000 for key in ("bm_m", "kb_m"))
    return paragraph(
        f"Mesh error, by a mesh twice as coarse, at its worst in the table: displacement within {share * 100:.2g} %, BM within {bm:.2g} mm, KB {kb:.2g} mm."
    )


def _mesh_error(curve: RightingCurve) -> str:
    """How far the figures of a curve may be off for the flat faces of the mesh."""
    lengths = mesh_error(curve.error, ("gm", "peak_arm"))
    vanishing = (curve.error or {}).get("vanishing_heel_deg")
    return (
        f"Mesh error: {lengths}{f'; vanishing {max(vanishing, 0.01):.2f} deg' if vanishing is not None else ''}."
        if lengths
        else ""
    )


BACK_BENDS = 40
"""How far the trunk bends to one side over the hips [deg] (from memory)."""


def holds_for(boat: Boat) -> str:
    """What every curve must be read with: the height of the paddlers' centres, posture, and whether the cockpit is open."""
    seats = "; ".join(
        f"{words.mass(p.mass, boat.units_shown, False)}, centre {words.length(p.heights[1], boat.units_shown)} above the seat"
        for p in boat.load.paddlers
    )
    covered = bool(boat.openings) and all(o.cover == "spray deck" for o in boat.openings)
    cockpit = "open boat" if boat.hull.type == "open" else "spray deck on" if covered else "cockpit open"
    return (
        f"{seats or 'nobody aboard'}; {cockpit}. Rigid: the paddler moves with the boat, as most published curves have it. "
        "Upright torso: kept over the moving seat, so that the mass pulls at the hips; few backs bend past "
        f"{BACK_BENDS} degrees, so read it no further."
    )


def plot(curves: Sequence[RightingCurve], width: int = 62) -> str:
    """Arms over heel in characters: one mark a curve, dots past flooding, the line of no arm."""
    heels = [math.degrees(h) for h in curves[0].heel]
    low = min(0.0, *(float(c.arm.min()) for c in curves))
    high = max(0.001, *(float(c.arm.max()) for c in curves))
    step = (high - low) / (PLOT_ROWS - 1)
    zero = round(high / step)
    span = heels[-1] - heels[0] or 1.0
    field = [[" "] * width for _ in range(PLOT_ROWS)]
    field[zero] = ["-"] * width
    for k, c in reversed(list(enumerate(curves))):
        for x in range(width):
            heel = heels[0] + span * x / (width - 1)
            arm = _at(heels, [float(a) for a in c.arm], heel)
            wet = c.flooding_heel is not None and abs(heel) > abs(math.degrees(c.flooding_heel))
            field[round((high - arm) / step)][x] = "." if wet else MARKS[k]
    lines = [f"{(high - i * step) * 1000:6.0f} mm |" + "".join(row).rstrip() for i, row in enumerate(field)]
    ticks = [heels[0] + span * i / 4 for i in range(5)]
    foot = [" "] * (width + 4)
    for i, t in enumerate(ticks):
        text, at = f"{t:.0f}", round((width - 1) * i / 4)
        foot[max(at - len(text) // 2, 0) : max(at - len(text) // 2, 0) + len(text)] = text
    return "\n".join([*lines, " " * 11 + "".join(foot).rstrip() + "  deg"])


def _at(xs: Sequence[float], ys: Sequence[float], x: float) -> float:
    """Straight between two points; xs may run down."""
    for (a, b), (p, q) in zip(itertools.pairwise(xs), itertools.pairwise(ys)):
        if min(a, b) <= x <= max(a, b):
            return p + (q - p) * (x - a) / (b - a)
    return ys[-1]


def _figures(curves: Sequence[RightingCurve], units: str) -> list[tuple[str, ...]]:
    """What is read off each curve."""
    both = len(curves) < 3

    def degrees(value: float | None) -> str:
        return words.NOTHING if value is None else f"{math.degrees(value):.1f} deg"

    def joules(value: float | None) -> str:
        return words.NOTHING if value is None else f"{value:.1f} J"

    return [
        ("GM", *(words.length(c.gm, units, both, decimals=1) for c in curves)),
        ("greatest arm", *(words.length(c.peak_arm, units, both, decimals=1) for c in curves)),
        ("at", *(f"{degrees(c.peak_heel)}{' w' if _past_flooding(c) else ''}" for c in curves)),
        ("arm gone at", *(degrees(c.vanishing_heel) for c in curves)),
        ("water comes in at", *(degrees(c.flooding_heel) for c in curves)),
        *(
            [("without spray deck", *(degrees(c.open_flooding_heel) for c in curves))]
            if _covered(curves)
            else []
        ),
        ("of use up to", *(degrees(c.usable_range_ends) for c in curves)),
        ("energy to the peak", *(joules(c.energy_to_peak) for c in curves)),
        ("energy to flooding", *(joules(c.energy_to_flooding) for c in curves)),
    ]


def other_side_text(other: RightingCurve | None, units: str) -> str:
    """What a curve to the other side holds, in a sentence; nothing where both are alike."""
    if other is None:
        return ""
    port, starboard = ("port", "starboard") if other.side < 0 else ("starboard", "port")
    figures = {row[0]: row[1] for row in _figures([other], units)}
    rest_there = (
        f" she lies at {abs(math.degrees(other.rest_heel)):.1f} deg,"
        if other.rest_heel and abs(other.rest_heel) > 1e-4
        else ""
    )
    return (
        f"All this is for heeling to {starboard}. To {port} it is another curve:{rest_there} greatest arm {figures['greatest arm']} at {figures['at']}, "
        f"arm gone at {figures['arm gone at']}, water comes in at {figures['water comes in at']} (heel to port with a minus)."
    )


def _past_flooding(curve: RightingCurve) -> bool:
    """Whether her arm is greatest only past the heel where water comes in."""
    return (
        curve.peak_heel is not None
        and curve.flooding_heel is not None
        and abs(curve.peak_heel) > abs(curve.flooding_heel)
    )


def _newton_metres(moment: float) -> str:
    return f"{moment if abs(moment) >= 0.05 else 0.0:.1f} Nm"


def _covered(curves: Sequence[RightingCurve]) -> bool:
    return any(c.open_flooding_heel != c.flooding_heel for c in curves)


def _heels(curves: Sequence[RightingCurve], units: str) -> list[tuple[str, ...]]:
    first = curves[0]
    rows = []
    for i, heel in enumerate(first.heel):
        wet = first.flooding_heel is not None and abs(heel) > abs(first.flooding_heel)
        arms = (words.length(float(c.arm[i]), units, both=len(curves) < 3, decimals=1) for c in curves)
        rows.append(
            (
                f"{math.degrees(heel):.0f} deg",
                *arms,
                _newton_metres(first.moment[i]),
                f"{figure(math.degrees(first.trim[i]), 2)} deg{' w' if wet else '  '}",
            )
        )
    return rows
