"""Forms as the plain records of the JSON object."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np

from hullview.forms.bench import ClampWork
from hullview.forms.clamp import Notch
from hullview.forms.edges import Trued
from hullview.forms.form import Form, Forms


def stands_on(forms: Forms, f: Form) -> str:
    if forms.strongback.kind == "under":
        return "ladder"
    if f.name in forms.strongback.on:
        return "bar"
    return next((c.name for c in forms.centre_forms if any(s[0] == f.name for s in c.slots)), "stem")


def clamp_record(w: ClampWork) -> dict[str, Any]:
    return {
        "name": w.name,
        "ply_lengths_m": list(w.plies),
        "ends_m": [e[0] for e in w.ends],
        "end_angles_deg": [float(np.degrees(e[1])) for e in w.ends],
        "scarf_m": w.scarf,
        "scarfs": [[list(b) for b in bays] for bays in w.scarfs],
        "clamps_a_side": w.clamps,
        "top_m": w.top,
        "ripped_m": w.ripped,
    }


def records(forms: Forms, of: Sequence[Form]) -> list[dict[str, Any]]:
    """The lists `forms` and `bulkheads` of the JSON object."""
    return [_record(forms, f) for f in of]


def _record(forms: Forms, f: Form) -> dict[str, Any]:
    return {
        "name": f.name,
        "kind": f.kind,
        "x_m": f.x,
        "body": f.body,
        "thickness_m": f.thickness,
        "edge": f.edge,
        "midship": f.midship,
        "touches": f.touches,
        "sheer_mark_m": list(f.sheer_mark),
        "stands_on": stands_on(forms, f) if f.kind == "form" else None,
        "clamps_meet": f.clamps_meet,
        **_edge_record(f.side),
        "deck": None if f.deck is None else _edge_record(f.deck),
        "notches": [_notch_record(n) for n in f.notches],
        "outline_m": [[np.array(r.coords)[:-1] for r in (p.exterior, *p.interiors)] for p in f.pieces],
    }


def _edge_record(t: Trued) -> dict[str, Any]:
    return {
        "edge_m": t.points,
        "far_edge_m": t.far_points,
        "skin_m": t.skin,
        "far_skin_m": t.far_skin,
        "girth_m": t.girth,
        "bevel_deg": np.degrees(t.bevel),
        "step_m": t.step,
    }


def _notch_record(n: Notch) -> dict[str, Any]:
    return {
        "for": n.what,
        "kind": n.kind,
        "corners_m": n.corners,
        "depth_m": n.depth,
        "width_m": n.width,
        "angle_deg": float(np.degrees(n.angle)),
        "top_bevel_deg": None if n.top_bevel is None else float(np.degrees(n.top_bevel)),
        "tight_face": n.tight,
        "gap_m": n.gap,
        "back_bevel_deg": float(np.degrees(n.back_bevel)),
        "proud_m": n.proud,
        "meets_twin": n.meets_twin,
    }
