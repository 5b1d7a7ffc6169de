"""Will laminations and strips take the bend: each plane with its tightest place, what it takes dry,
steamed or hot."""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import groupby
from typing import Any

from hullview.boat.wording import at_most
from hullview.tell.labels import sizes_words
from hullview.tell.model import Column, Data, Line, Mark, Q, Say, Section, Table, Words, listed, say
from hullview.weight.bend import (
    DRY,
    HOT,
    LEAST_PLY,
    THINNER,
    TWIST_SPAN,
    WET,
    BendReport,
    Bent,
    StickBend,
    StripBend,
    StripsBend,
    Takes,
)

TAPER = "taper"
USUAL = (
    "There they are tapered, or a new run of strips begins, as on most boats (common practice, no source)."
)
HOW = {DRY: "dry", WET: "soaked and steamed", HOT: "over a hot pipe"}
MARKS: dict[str, Mark] = {DRY: "pass", WET: "warn", HOT: "warn", THINNER: "fail", TAPER: "warn"}

_COLUMNS = (
    Column("", "lamination or stick", wrap=True),
    Column("", "tightest", "radius"),
    Column("", "where"),
    Column("light", "light"),
)


def bend_section(report: BendReport | None) -> Section:
    """Each lamination and the worst strips with their lights; nothing without a build."""
    if report is None:
        return Section("bend", "", (Data("bend", None),))
    data = Data("bend", bend_record(report))
    if not report.sticks and not report.strips:
        nothing = say(
            f"Will it bend, built {report.build}: nothing to follow. Laminations are followed, and strips on"
            " a hull that a table gives; sheets are not."
        )
        return Section("bend", "Will it bend", (Line(nothing), data))
    blocks: list[Any] = [Line(say(f"Will it bend, built {report.build}: ", headline(report)), strong=True)]
    if report.sticks:
        blocks.append(sticks_table(report.sticks))
    if report.strips:
        blocks.append(strips_table(report.strips))
    blocks += [Line(tapered(skin)) for skin in report.strips]
    blocks += [
        Line(_springback(report.sticks)),
        Line(say(report.MEASURED)),
        data,
    ]
    return Section("bend", "Will it bend", tuple(blocks))


def headline(report: BendReport) -> Say:
    """What the whole build wants, naming what is past its red light; tapered strips are no cause for
    alarm."""
    wants = [_wants(s) for s in report.sticks if s.light == THINNER]
    for skin in report.strips:
        if skin.too_stiff:
            first = min(s.twist_where if s.twist_light == THINNER else s.bend.where for s in skin.too_stiff)
            which = (
                f"{skin.where} strips {numbers(skin.too_stiff)} from the sheer want to be thinner or"
                " narrower, "
            )
            wants.append(say(which, Q("place", first, both=False), " aft"))
    if wants:
        return listed(wants, "; ")
    milder = {HOT: "some of it wants a hot pipe", WET: "some of it wants wetting or heat"}
    return say(milder.get(report.light, "all of it bends dry"))


def _wants(s: StickBend) -> Say:
    """What a stick past a red light wants, in each plane that is past it."""
    wants: list[Words] = []
    if s.flat.light == THINNER:
        if s.best is None:
            return say(f"{s.item} will not bend: saw it out")
        wants.append(say("plies of at most ", Q("at most", s.best.most), f", bent {HOW[s.best.how]}"))
    if s.edge.light == THINNER:
        wants.append(
            say("at most ", Q("at most", s.depth_takes[-1].most), " of depth, or to be sawn to shape")
        )
    return say(f"{s.item} wants ", listed(wants, ", and "))


def sticks_table(sticks: Sequence[StickBend]) -> Table:
    """Both planes of every stick: how it is bent there as asked, its tightest place, and below it what
    that place takes."""
    rows, notes, marks = [], [], []
    for s in sticks:
        for asked, bent, note in planes(s):
            where = say(Q("place", bent.where, both=False), " aft") if math.isfinite(bent.radius) else say()
            rows.append((say(f"{s.item}, {s.wood}: ", asked), bent.radius, where, bent.light))
            notes.append(note)
            marks.append(MARKS[bent.light])
    return Table("", "", _COLUMNS, tuple(rows), tuple(marks), "light", tuple(notes))


def planes(s: StickBend) -> tuple[tuple[Say, Bent, Say], ...]:
    ply, deep = sizes_words(s.ply), sizes_words(s.depth)
    across = say(f"{s.plies} plies of ", ply, ", across them") if s.plies > 1 else say(ply, ", across it")
    return (across, s.flat, plies(s)), (say(deep, " deep, edgewise"), s.edge, _depths(s))


def plies(s: StickBend) -> Say:
    """The thickest ply and how many make up the stick: dry; wet and hot too where it does not bend dry as
    asked."""
    if math.isinf(s.flat.radius):
        return say()
    if s.best is None:
        return say(
            "no ply of ", Q("at most", LEAST_PLY), " or more takes that, dry, steamed or hot: saw it out"
        )
    told = s.plies_take[:1] if s.flat.light == DRY else s.plies_take
    more = [t for k, t in enumerate(told) if t.sensible and (not k or t.most > told[k - 1].most)]
    without = {DRY: "", WET: "none dry; ", HOT: "none dry or steamed; "}[s.best.how]
    return say(f"plies: {without}", listed([_takes(s, t) for t in more], "; "))


def _takes(s: StickBend, t: Takes) -> Say:
    """A size no thicker than what is taken, and how many of that size make up the stick, in either kind of
    unit."""
    size = min(at_most(t.most, "metric"), at_most(t.most, "imperial"))
    many = math.ceil(round(s.plies * s.ply / size, 6))
    return say(f"{HOW[t.how]} to ", Q("at most", t.most), f" ({many} {'ply' if many == 1 else 'plies'})")


def _depths(s: StickBend) -> Say:
    """How deep a stick bends edgewise, where it is too deep to do so dry; more plies are no help there."""
    if s.edge.light == DRY:
        return say()
    return say(
        "depth: ", listed([say(f"{HOW[t.how]} to ", Q("at most", t.most)) for t in s.depth_takes], "; ")
    )


def _springback(sticks: Sequence[StickBend]) -> Say:
    """How much tighter a free form must be, by both rules."""
    free = [
        s
        for s in sticks
        if s.free and s.plies > 1 and math.isfinite(s.flat.radius) and s.flat.light != THINNER
    ]
    if not free:
        return say()
    told = [
        say(
            f"{s.item} ",
            Q("share", s.springback_elastic),
            " or ",
            Q("share", s.springback_rival),
            ", form radius ",
            Q("radius", s.form_radius[0], both=False),
            " or ",
            Q("radius", s.form_radius[1], both=False),
        )
        for s in free
    ]
    return say(
        "Springback off a form, by elastic theory or by the rule of (n - 1)/n: ", listed(told, "; "), "."
    )


# ---------------------------------------------------------------- strips


def strips_table(skins: Sequence[StripsBend]) -> Table:
    """The worst twist, bend and edge-set of each skin, naming its strip from the sheer."""
    columns = (
        Column("", "strips", wrap=True),
        Column("", "worst"),
        Column("", "where"),
        Column("light", "light"),
    )
    rows = [row for skin in skins for row in _strip_rows(skin)]
    return Table("", "", columns, tuple(rows), tuple(MARKS[row[-1]] for row in rows), "light")


def _strip_rows(skin: StripsBend) -> list[tuple[Any, ...]]:
    twist, bent, edge = skin.worst_twist, skin.worst_bend, skin.worst_edge_set
    tight = "tighter than R " if edge.edge_set.radius < skin.tightest_told else "R "
    radius = max(edge.edge_set.radius, skin.tightest_told)

    def at(metres: float) -> Say:
        return say(Q("place", metres, both=False), " aft")

    turn = say(Q("whole degrees", twist.twist), " in ", Q("length", TWIST_SPAN, both=False))
    return [
        (
            f"{skin.where}: twist, strip {twist.number} from the sheer",
            turn,
            at(twist.twist_where),
            twist.twist_light,
        ),
        (
            f"{skin.where}: bend, strip {bent.number}",
            say("R ", Q("radius", bent.bend.radius)),
            at(bent.bend.where),
            bent.bend.light,
        ),
        (
            f"{skin.where}: edge-set, strip {edge.number}",
            say(tight, Q("radius", radius)),
            at(edge.edge_set.where),
            TAPER if edge.tapers else edge.edge_set.light,
        ),
    ]


def numbers(strips: Sequence[StripBend]) -> str:
    """Numbers of strips, those that follow one another as a span.

    >>> from types import SimpleNamespace
    >>> numbers([SimpleNamespace(number=n) for n in (3, 7, 8, 9)])
    '3, 7 to 9'
    """
    found = []
    for _, run in groupby(enumerate(s.number for s in strips), key=lambda pair: pair[1] - pair[0]):
        ends = [n for _, n in run]
        found.append(f"{ends[0]}" if len(ends) == 1 else f"{ends[0]} to {ends[-1]}")
    return ", ".join(found)


def tapered(skin: StripsBend) -> Say:
    """Which strips of a skin are tapered, and where; nothing where none is."""
    if not skin.tapered:
        return say()
    where = sorted(x for s in skin.tapered for x in s.tapers)
    middle = (where[0] + where[-1]) / 2
    ends = [part for part in ([x for x in where if x <= middle], [x for x in where if x > middle]) if part]
    told = listed([_reach(part) for part in ends], " and ")
    many = "s" if len(skin.tapered) > 1 else ""
    return say(
        f"Strip{many} {numbers(skin.tapered)} from the sheer on the {skin.where} would be set edgewise"
        " tighter than wood takes ",
        told,
        f" aft. {USUAL}",
    )


def _reach(places: Sequence[float]) -> Say:
    first, last = places[0], places[-1]
    if abs(first - last) < 0.0005:
        return say("at ", Q("place", first, both=False))
    return say("at ", Q("place", (first, last), both=False))


# ---------------------------------------------------------------- for programs


def bend_record(report: BendReport) -> dict[str, Any]:
    """The bend of one build."""
    return {
        "build": report.build,
        "light": report.light,
        "twist_span_m": TWIST_SPAN,
        "laminations": [_stick_record(s) for s in report.sticks],
        "strips": [
            {
                "where": skin.where,
                "wood": skin.wood,
                "light": skin.light,
                "tightest_told_m": skin.tightest_told,
                "strips": [_strip_record(s) for s in skin.strips],
            }
            for skin in report.strips
        ],
    }


def _stick_record(s: StickBend) -> dict[str, Any]:
    return {
        "item": s.item,
        "along": s.along,
        "wood": s.wood,
        "plies": s.plies,
        "ply_m": s.ply,
        "depth_m": s.depth,
        "light": s.light,
        "flat": _bent_record(s.flat),
        "edgewise": _bent_record(s.edge),
        "plies_take": [_takes_record(t) for t in s.plies_take],
        "depth_takes": [_takes_record(t) for t in s.depth_takes],
        "sawn": s.sawn,
        "springback_elastic": s.springback_elastic,
        "springback_rival": s.springback_rival,
        "form_radius_m": s.form_radius,
    }


def _strip_record(s: StripBend) -> dict[str, Any]:
    return {
        "number": s.number,
        "light": s.light,
        "bend": _bent_record(s.bend),
        "edge_set": _bent_record(s.edge_set),
        "twist_deg": Q("degrees", s.twist),
        "twist_where_m": s.twist_where,
        "twist_light": s.twist_light,
        "tapers_m": s.tapers,
    }


def _bent_record(b: Bent) -> dict[str, Any]:
    return {"radius_m": b.radius, "where_m": b.where, "strain": b.strain, "light": b.light}


def _takes_record(t: Takes) -> dict[str, Any]:
    return {"how": t.how, "most_m": t.most, "pieces": t.pieces}
