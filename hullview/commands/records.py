"""Results as the JSON objects of the interface: SI, unrounded, angles in degrees with the suffix _deg."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import asdict
from typing import TYPE_CHECKING, Any

from hullview.afloat.equilibrium import Floating, as_json
from hullview.answer.boarding import as_json as boarding_as_json
from hullview.answer.swamped import as_json as swamped_as_json

if TYPE_CHECKING:
    from hullview.afloat.righting import RightingCurve
    from hullview.answer.checks import Check, Condition
    from hullview.answer.compare import Compared
    from hullview.answer.reading import Reading
    from hullview.answer.statutory import Statutory
    from hullview.boat.model import Boat
    from hullview.study import Row, Side, Verdict
    from hullview.weight.allow import Answered
    from hullview.weight.line import WeightLine
    from hullview.weight.stages import StageReading
    from hullview.weight.total import Weight

Record = dict[str, Any]


def of_float(floating: Floating) -> Record:
    """The object of `float`: water, load, floating."""
    return {
        "water": {"density_kg_m3": floating.density},
        "load": {"mass_kg": floating.mass, "centre_m": floating.centre},
        "floating": as_json(floating),
    }


def of_line(line: WeightLine) -> Record:
    """One line of a weight."""
    return {
        "item": line.item,
        "where": line.where,
        "group": line.group,
        "kind": line.kind,
        "material": line.material or None,
        "region": line.region or None,
        "sizes_m": line.sizes,
        "count": line.count,
        "basis": line.basis,
        "quantity": line.quantity,
        "unit": line.unit,
        "mass_kg": line.mass,
        "mass_low_kg": line.low,
        "mass_high_kg": line.high,
        "centre_m": line.centre,
    }


def of_weight(weight: Weight) -> Record:
    """The object of `weigh`."""
    roll, pitch, yaw = (float(v) for v in weight.gyradii)
    return {
        "build": weight.build,
        "mass_kg": weight.mass,
        "mass_low_kg": weight.low,
        "mass_high_kg": weight.high,
        "schedule_kg": weight.schedule.mass,
        "schedule_low_kg": weight.schedule.low,
        "schedule_high_kg": weight.schedule.high,
        "centre_m": weight.centre,
        "gyradius_m": {"roll": roll, "pitch": pitch, "yaw": yaw},
        "lines": [of_line(line) for line in weight.lines],
        "usually_also": [of_line(line) for line in weight.usually_also],
        "answered": [_answered(weight, a) for a in weight.answered],
        "groups_kg": weight.groups,
        "resin_kg": weight.resin,
        "causes": [{"cause": c.cause, "swing_kg": c.swing, "share": c.share} for c in weight.causes],
        "steps": [
            {"group": s.group, "step": s.step, "put_on_kg": s.put_on, "left_kg": s.left} for s in weight.steps
        ],
        "stages": [_stage(s) for s in weight.stages],
        "readings": [_reading(r) for r in weight.readings],
        "readings_odds": weight.readings_odds if weight.readings else None,
        "measured_afloat": weight.measured or None,
    }


def _answered(weight: Weight, answer: Answered) -> Record:
    """A usual item that is not allowed for: the line of the schedule that answers for it, or the word of `without`."""
    line = weight.line_of(answer)
    return {
        "item": answer.item,
        "by": answer.by,
        "line": None if line is None else weight.lines.index(line),
        "line_item": None if line is None else line.item,
        "where": None if line is None else line.where,
        "word": answer.word or None,
    }


def _reading(reading: StageReading) -> Record:
    """What the scale said, forms taken off, against what was expected before any weighing."""
    return {
        **_stage(reading),
        "scale_error_kg": reading.scale_error,
        "build": reading.build,
        "forms_kg": reading.forms_mass,
        "far_off": reading.far_off,
        "fits": reading.fits or None,
    }


def _stage(stage: StageReading) -> Record:
    low, likely, high = stage.predicted
    return {
        "stage": stage.stage,
        "predicted_kg": likely,
        "predicted_low_kg": low,
        "predicted_high_kg": high,
        "weighed_kg": stage.weighed,
    }


def of_check(check: Check) -> Record:
    """One check, in its unit; None where there is no figure."""
    return asdict(check)


def of_condition(c: Condition) -> Record:
    """How she lies at one end of what is not known."""
    return {
        "end": c.end,
        "mass_kg": c.mass,
        "state": c.state,
        "trim_m": c.trim_length,
        "gm_m": c.gm,
        "height_to_flooding_m": c.height_to_flooding,
        "freeboard_m": c.freeboard,
        "draft_m": c.draft,
        "reserve_of_buoyancy": c.reserve,
        "lean_heel_deg": _degrees(c.lean_heel),
        "lean_height_m": c.lean_height,
        "flooding_heel_deg": _degrees(c.flooding_heel),
        "lean_m": c.lean,
        "reach_heel_deg": _degrees(c.reach_heel),
        "reach_height_m": c.reach_height,
    }


def _degrees(angle: float | None) -> float | None:
    return None if angle is None else math.degrees(angle)


def of_statutory(figure: Statutory) -> Record:
    """The figure of 33 CFR 183 beside the load, masses in kg."""
    return {
        "rule": figure.rule,
        "note": figure.note,
        "max_displacement_kg": figure.max_displacement,
        "boat_kg": figure.boat,
        "capacity_kg": figure.capacity,
        "persons_kg": figure.persons_mass,
        "persons": figure.persons,
        "aboard_kg": figure.aboard,
        "people_kg": figure.people,
        "over": figure.over,
    }


def of_row(row: Row) -> Record:
    """One paddler of the table."""
    return {
        "paddler_kg": row.mass,
        "answer": row.answer,
        "binds": row.binds or None,
        **of_condition(row.condition),
    }


def of_verdict(verdict: Verdict) -> Record:
    """The object of `carry`."""
    craft = verdict.craft
    return {
        "boat": craft.boat.name,
        "answer": verdict.answer,
        "worst": list(verdict.worst),
        "remarks": [asdict(r) for r in verdict.remarks],
        "checks": [of_check(c) for c in verdict.checks],
        "least_margin": verdict.least_margin,
        "statutory": None if verdict.statutory is None else of_statutory(verdict.statutory),
        "unusual": list(verdict.doubts),
        "heaviest_paddler_kg": verdict.heaviest.mass,
        "heaviest_paddler_limit": verdict.heaviest.limit,
        "level_trim_seat_back_m": verdict.seat.back,
        "level_trim_reason": verdict.seat.reason or None,
        "paddlers": [
            {
                "name": p.name,
                "mass_kg": p.mass,
                "posture": p.posture,
                "seat_back_m": p.seat_back,
                "seat_height_m": p.seat,
                "centre_height_m": p.heights,
                "centre_forward_m": p.reaches,
                "faces": p.faces,
                "stature_m": p.tall,
            }
            for p in craft.boat.load.paddlers
        ],
        "seating": None if craft.seating is None else asdict(craft.seating),
        "table_varies": verdict.varies,
        **of_float(verdict.floating),
        "ends": [of_condition(c) for c in verdict.ends],
        "table": [of_row(r) for r in verdict.table],
        "swamped": None if verdict.swamped is None else swamped_as_json(verdict.swamped),
        "boarding": boarding_as_json(verdict.boarding),
        "chance": None
        if verdict.chance is None
        else {**asdict(verdict.chance), "share": verdict.chance.share, "words": verdict.chance.words},
        "weight": of_weight(craft.weight),
        "checksum": craft.boat.checksum,
    }


def of_compared(compared: Compared, sides: Sequence[Side]) -> Record:
    """The object of `compare`."""
    builds = [
        {
            **of_weight(w),
            "boat": side.craft.boat.name,
            "floating": as_json(side.floating),
            "peak_arm_m": side.peak_arm,
            "heaviest_paddler_kg": side.heaviest.mass if side.heaviest else None,
            "heaviest_paddler_limit": side.heaviest.limit if side.heaviest else None,
            "hours": side.hours,
            "costs": dict(side.costs),
        }
        for w, side in zip(compared.weights, sides)
    ]
    differences = [
        {
            "build": d.build,
            "against": d.against,
            "mass_kg": d.mass,
            "mass_low_kg": d.low,
            "mass_high_kg": d.high,
            "centre_m": d.centre,
            "resin_kg": d.resin,
            "groups_kg": dict(d.groups),
            "hours": d.hours,
            "clear": d.clear,
            **_floating_differences(sides[0], side),
        }
        for d, side in zip(compared.differences, sides[1:])
    ]
    return {
        "builds": builds,
        "differences": differences,
        "unseen": {build: list(said) for build, said in compared.unseen},
    }


def _floating_differences(first: Side, other: Side) -> Record:
    names = {"draft_m": "draft", "gm_m": "gm", "freeboard_m": "freeboard", "trim_deg": "trim"}
    found = {
        key: _less(getattr(first.floating, name), getattr(other.floating, name))
        for key, name in names.items()
    }
    return {
        **found,
        "trim_deg": _degrees(found["trim_deg"]),
        "peak_arm_m": _less(first.peak_arm, other.peak_arm),
    }


def _less(a: float | None, b: float | None) -> float | None:
    return None if a is None or b is None else b - a


def of_righting(
    boat: Boat, curves: Sequence[RightingCurve], told: Reading, other_side: RightingCurve | None
) -> Record:
    """The object of `righting`: the first curve, the others, what the first says in words, and the other side of a lopsided load."""
    from hullview.afloat.righting import as_json as record_of

    return {
        "boat": boat.name,
        **record_of(curves[0]),
        "reading": {
            "moment_per_degree_nm": told.moment_per_degree,
            "mass_at_rim_per_degree_kg": told.mass_per_degree,
            "reach_shift_m": told.reach_shift,
            "reach_heel_deg": _degrees(told.reach_heel),
            "peak_moment_nm": told.peak_moment,
            "steepest_help_deg": _degrees(told.steepest_help),
            "help_ends_deg": _degrees(told.help_ends),
            "floods_first": told.floods_first,
        },
        "others": [record_of(c) for c in curves[1:]],
        "other_side": None if other_side is None else record_of(other_side),
    }
