"""How the boat, or any closed mesh, lies at rest."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import Any

from hullview.afloat.equilibrium import CAPSIZED, Floating
from hullview.answer.cautions import IN_ONE_LINE
from hullview.tell.model import Data, Facts, Line, Q, Say, Section, Telling, Units, Words, listed, say

STEEP = math.radians(10)
"""Past this trim a draft at the ends of the waterline, or trim over it, is no help: degrees are."""
UPRIGHT = math.radians(0.005)
"""A heel under this is told as none."""

FIGURES: tuple[tuple[str, str, str], ...] = (
    ("heel", "heel_deg", "degrees"),
    ("trim", "trim_deg", "degrees"),
    ("draft", "draft_m", "length"),
    ("draft_forward", "draft_forward_m", "length"),
    ("draft_aft", "draft_aft_m", "length"),
    ("greatest_draft", "greatest_draft_m", "length"),
    ("displaced_volume", "displaced_volume_m3", "volume"),
    ("centre_of_buoyancy", "centre_of_buoyancy_m", "length"),
    ("waterplane_area", "waterplane_area_m2", "area"),
    ("wetted_area", "wetted_area_m2", "area"),
    ("waterline_length", "waterline_length_m", "length"),
    ("waterline_beam", "waterline_beam_m", "length"),
    ("gm", "gm_m", "length"),
    ("gm_longitudinal", "gm_longitudinal_m", "length"),
    ("immersion", "immersion_kg_per_cm", "immersion"),
    ("freeboard", "freeboard_m", "length"),
    ("height_to_flooding", "height_to_flooding_m", "length"),
    ("reserve_of_buoyancy", "reserve_of_buoyancy", "share"),
)
"""Every figure of a boat at rest: its name in the result, its key, its kind."""


def floating_telling(floating: Floating, name: str, units: Units) -> Telling:
    """The whole of `float`: the load, how it lies, and the caution."""
    f = floating
    head = say(
        f"{name}: ",
        Q("mass", f.mass, "load.mass_kg"),
        " in water of ",
        Q("water density", f.density, "water.density_kg_m3"),
    )
    centre = (("load's centre", say(point(f.centre), " (aft, starboard, up)")),)
    return Telling(
        (
            Section(
                "load", "Load", (Line(head, strong=True), Facts(centre), Data("load.centre_m", f.centre))
            ),
            floating_section(f),
            Section("caution", "", (Line(say(IN_ONE_LINE)),)),
        ),
        units,
    )


def floating_section(
    floating: Floating, more: Sequence[tuple[Words, Say]] = (), *, brief: bool = False
) -> Section:
    """Every figure of a boat at rest; more: rows of facts to stand below. brief: for the full text of an
    answer alone."""
    f = floating
    rows = [*rest_facts(f), *more]
    data = (
        Data("state", f.state),
        Data("upright_stable", f.upright_stable),
        *(Data(key, Q(kind, getattr(f, name))) for name, key, kind in FIGURES),
        Data("flooding_at", f.flooding_at),
        Data("waterplane.normal", f.normal),
        Data("waterplane.offset_m", f.offset),
        Data("error", error_record(f.error, FIGURES)),
    )
    return Section("floating", "How it lies", (*data, Facts(tuple(rows), short=not brief)), path="floating")


def state_of(floating: Floating) -> Say:
    """That the boat capsizes, floods or sinks, in a sentence; nothing where it is afloat."""
    how: Words
    if floating.state == "afloat":
        return say()
    if floating.state == "sinks":
        return say("sinks: heavier than all the water the hull can push aside")
    if floating.state == CAPSIZED:
        how = "on end" if floating.heel is None else say("heeled ", Q("whole degrees", abs(floating.heel)))
        trim = Q("whole degrees", abs(floating.trim or 0.0))
        return say("capsized: comes to rest ", how, ", trimmed ", trim, ", so nothing else can be said")
    heel = abs(floating.rest.heel or 0.0)
    how = "as it would lie"
    if heel > math.radians(1):
        how = say("heeled ", Q("whole degrees", heel), ", as it would lie,")
    return say(
        "floods: ",
        how,
        f" water comes in over {floating.flooding_at or 'a rim'}, so nothing else can be said",
    )


def rest_facts(floating: Floating) -> list[tuple[Words, Say]]:
    """Names and figures of a hull at rest, a line each."""
    f = floating
    if f.state != "afloat":
        return [("state", state_of(f))]
    rows: list[tuple[Words, Say]] = [
        ("draft", _draft(f)),
        ("heel, trim", say(_heel(f), ", ", trim_words(f))),
    ]
    if f.freeboard is not None:
        rows.append(
            ("freeboard", say(Q("length", f.freeboard, "freeboard_m"), " at the lowest of the sheer"))
        )
    if f.flooding_at:
        at = Q("words", f.flooding_at, "flooding_at")
        rows.append(
            ("height to flooding", say(Q("length", f.height_to_flooding, "height_to_flooding_m"), " at ", at))
        )
        rows.append(("reserve of buoyancy", say(Q("share", f.reserve_of_buoyancy, "reserve_of_buoyancy"))))
    rows += [
        (
            "waterline",
            say(
                Q("length", f.waterline_length, "waterline_length_m"),
                " long, ",
                Q("length", f.waterline_beam, "waterline_beam_m"),
                " wide",
            ),
        ),
        (
            "GM",
            say(
                Q("length", f.gm, "gm_m"),
                "; fore and aft ",
                Q("place", f.gm_longitudinal, "gm_longitudinal_m"),
            ),
        ),
        ("to sink it deeper", say(Q("immersion", f.immersion, "immersion_kg_per_cm"))),
        (
            "displaced",
            say(
                Q("volume", f.displaced_volume, "displaced_volume_m3"),
                ", centre of buoyancy ",
                point(f.centre_of_buoyancy),
            ),
        ),
        (
            "areas",
            say(
                "waterplane ",
                Q("area", f.waterplane_area, "waterplane_area_m2"),
                ", wetted ",
                Q("area", f.wetted_area, "wetted_area_m2"),
            ),
        ),
    ]
    if (f.greatest_draft or 0.0) > (f.draft or 0.0) + 0.0005:
        rows.insert(1, ("with appendages", say("draws ", Q("length", f.greatest_draft))))
    error = mesh_error(f.error, ("draft", "freeboard", "height_to_flooding", "gm"))
    return rows + ([("mesh error", error)] if error else [])


def error_record(
    error: Mapping[str, Any] | None, figures: Sequence[tuple[str, str, str]]
) -> dict[str, Any] | None:
    """Estimated mesh errors by the keys of their figures; None where they were not asked."""
    if error is None:
        return None
    return {key: Q(kind, error[name]) for name, key, kind in figures if name in error}


def point(at: Any) -> Say:
    """A point of the boat, its three figures as places along it."""
    return say("(", listed([Q("place", float(v), both=False) for v in at]), ")")


def mesh_error(error: Mapping[str, Any] | None, names: Sequence[str]) -> Say:
    """How far lengths may be off for the flat faces of the mesh; empty where it was not asked."""
    told = [
        say(name.replace("_", " ").replace("gm", "GM") + " ", Q("error", float(error[name])))
        for name in names
        if error and name in error
    ]
    return say("within ", listed(told), ", by a mesh twice as coarse") if told else say()


def _heel(f: Floating) -> Say:
    if f.heel is None:
        return say("on end")
    if abs(f.heel) < UPRIGHT:
        return say("upright" if f.upright_stable is not False else "upright, but not stable")
    loll = "" if f.upright_stable is not False else ", an angle of loll: it does not stay upright"
    return say(Q("heel", f.heel), loll)


def _draft(f: Floating) -> Say:
    ends = (Q("length", f.draft_forward, "draft_forward_m"), Q("length", f.draft_aft, "draft_aft_m"))
    return say(Q("length", f.draft, "draft_m"), ", forward ", ends[0], ", aft ", ends[1])


def trim_words(f: Floating) -> Say:
    """Trim over the waterline, or past ten degrees the angle."""
    if abs(f.trim or 0.0) >= STEEP:
        return say(Q("trim angle", f.trim))
    return say(
        Q("trim", (f.waterline_length or 0.0) * math.tan(f.trim or 0.0), "trim_m"),
        " (",
        Q("fine degrees", abs(f.trim or 0.0)),
        ")",
    )
