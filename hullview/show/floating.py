"""How she lies, for a person: the text of `float`."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import Any

from hullview.afloat.equilibrium import CAPSIZED, Floating
from hullview.answer.cautions import IN_ONE_LINE
from hullview.show import words
from hullview.show.tables import joined, pairs, paragraph


def state_of(floating: Floating) -> str:
    """That the boat capsizes, floods or sinks, in a sentence."""
    if floating.state == "sinks":
        return "sinks: heavier than all the water the hull can push aside"
    if floating.state == CAPSIZED:
        how = "on end" if floating.heel is None else f"heeled {abs(math.degrees(floating.heel)):.0f} deg"
        trim = abs(math.degrees(floating.trim or 0.0))
        return f"capsized: comes to rest {how}, trimmed {trim:.0f} deg, so nothing else can be said"
    heel = abs(floating.rest.heel or 0.0)
    how = (
        f"heeled {math.degrees(heel):.0f} deg, as she would lie,"
        if heel > math.radians(1)
        else "as she would lie"
    )
    return f"floods: {how} water comes in over {floating.flooding_at or 'a rim'}, so nothing else can be said"


def lies(floating: Floating, units: str) -> list[tuple[str, str]]:
    """Names and figures of a hull at rest, a line each."""
    f = floating
    if f.state != "afloat":
        return [("state", state_of(f))]
    lines = [
        ("draft", _draft(f, units)),
        ("heel, trim", f"{_heel(f)}, {_trim(f, units)}"),
        (
            "freeboard",
            f"{words.length(f.freeboard, units)} at the lowest of the sheer"
            if f.freeboard is not None
            else "",
        ),
        (
            "height to flooding",
            f"{words.length(f.height_to_flooding, units)} at {f.flooding_at}" if f.flooding_at else "",
        ),
        (
            "waterline",
            f"{words.length(f.waterline_length, units)} long, {words.length(f.waterline_beam, units)} wide",
        ),
        ("GM", f"{words.length(f.gm, units)}; fore and aft {words.place(f.gm_longitudinal or 0.0, units)}"),
        _immersion(f.immersion or 0.0, units),
        ("mesh error", mesh_error(f.error, ("draft", "freeboard", "height_to_flooding", "gm"))),
    ]
    return [line for line in lines if line[1]]


def mesh_error(error: Mapping[str, Any] | None, names: Sequence[str]) -> str:
    """How far lengths may be off for the flat faces of the mesh, in mm; '' where it was not asked."""
    found = [
        (name.replace("_", " ").replace("gm", "GM"), error[f"{name}_m"])
        for name in names
        if error and f"{name}_m" in error
    ]
    told = [f"{name} {max(value * 1000, 0.01):.2f} mm" for name, value in found]
    return f"within {', '.join(told)}, by a mesh twice as coarse" if told else ""


def _immersion(per_cm: float, units: str) -> tuple[str, str]:
    """What sinks her a centimetre, or an inch."""
    if units == "imperial":
        return "to sink her 1 in", words.mass(per_cm * 2.54, units)
    return "to sink her 1 cm", words.mass(per_cm, units)


def _heel(f: Floating) -> str:
    if f.heel is None:
        return "on end"
    if abs(f.heel) < math.radians(0.005):
        return "upright" if f.upright_stable is not False else "upright, but not stable"
    side = "starboard" if f.heel > 0 else "port"
    loll = "" if f.upright_stable is not False else ", an angle of loll: she does not stay upright"
    return f"{abs(math.degrees(f.heel)):.1f} deg to {side}{loll}"


STEEP = math.radians(10)
"""Past this trim a draft at the ends of the waterline, or trim over it, is no help: degrees are."""


def _draft(f: Floating, units: str) -> str:
    at_ends = f", forward {words.length(f.draft_forward, units)}, aft {words.length(f.draft_aft, units)}"
    return words.length(f.draft, units) + (at_ends if abs(f.trim or 0.0) < STEEP else "")


def _trim(f: Floating, units: str) -> str:
    if abs(f.trim or 0.0) >= STEEP:
        return (
            f"{abs(math.degrees(f.trim or 0.0)):.1f} deg by the {'stern' if (f.trim or 0.0) > 0 else 'bow'}"
        )
    over = (f.waterline_length or 0.0) * math.tan(f.trim or 0.0)
    text = words.trim(over, units, both=True)
    return (
        text
        if text == "level"
        else f"{text.replace(' bow', '').replace(' stern', '')} by the {'stern' if over > 0 else 'bow'}"
    )


def floating_text(floating: Floating, name: str, units: str) -> str:
    """The whole of `float`."""
    load = f"{words.mass(floating.mass, units)} in water of {floating.density:.1f} kg/m3"
    centre = _point(floating.centre)
    more = []
    if floating.state == "afloat":
        b = _point(floating.centre_of_buoyancy)
        more = [
            (
                "displaced",
                f"{(floating.displaced_volume or 0.0) * 1000:.1f} litres, centre of buoyancy {b} m",
            ),
            ("areas", f"waterplane {floating.waterplane_area:.3f} m2, wetted {floating.wetted_area:.3f} m2"),
        ]
    return joined(
        f"{name}: {load}",
        pairs([("centre of weight", f"{centre} m (aft, starboard, up)"), *lies(floating, units), *more]),
        paragraph(IN_ONE_LINE),
    )


def _point(point: Any) -> str:
    """Three figures in metres; nothing is no minus nothing."""
    return ", ".join(f"{v if abs(v) >= 5e-4 else 0.0:.3f}" for v in point)
