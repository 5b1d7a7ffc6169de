"""What would have to change: the smallest changes with which the boat carries; the boat before and after."""

from __future__ import annotations

import math
from dataclasses import asdict
from typing import Any

from hullview.answer.alter import MOST, Proposal, Tried
from hullview.answer.altering import Altered, Figures
from hullview.answer.cautions import IN_ONE_LINE
from hullview.boat.altered import Change, dimensions
from hullview.boat.model import Boat
from hullview.tell.model import Column, Data, Line, Mark, Q, Say, Section, Table, Telling, Words, listed, say
from hullview.tell.paddlers import MARKS
from hullview.tell.verdict import people

AS_A_SHARE = {"longer": "length", "wider": "beam", "deeper": "depth"}
"""Changes that are shares of a dimension."""
ONLY_A_SCALE = "Only a scale can say that a boat came out lighter: no file is written for it."
DOUBT = (
    "Scaled are hull, stems, bulkheads, thwarts and what stands in the boat; planking, cockpit and people"
    " keep their size. Fair the altered table anew (hullview check), and loft it before wood is cut."
)


def alter_telling(made: Altered, boat: Boat) -> Telling:
    """The whole of `alter`. boat: as it is, with the load asked for."""
    return Telling(
        (
            answer_section(made, boat),
            proposals_section(made, boat),
            figures_section(made, boat),
            Section("caution", "", (Line(say(DOUBT), short=True), Line(say(IN_ONE_LINE)))),
        ),
        boat.units_shown,
        ("table",),
        {"boat": boat.name},
    )


def answer_section(made: Altered, boat: Boat) -> Section:
    """The answer as it is, and what would mend it."""
    before, taken, after = made.found.before, made.taken, made.after
    now = say(f"{boat.name} with ", people(boat), f": {before.answer} as it is")
    blocks: list[Any] = [
        Line(say(now, f" ({before.obstacle})" if before.obstacle else ""), MARKS[before.answer], strong=True)
    ]
    if taken is not None and after is not None:
        by_hand = taken.key == "by hand"
        lead = "Altered by hand" if by_hand else "The least change"
        what = say(f"{lead}: ", change_words(taken, boat), f": {after.answer}")
        stands = f" ({after.obstacle})" if after.obstacle else ""
        blocks.append(Line(say(what, stands), MARKS[after.answer], strong=True))
    elif not before.passes:
        near = made.found.nearest
        blocks.append(
            Line(
                say(
                    "Nothing within ",
                    Q("share", MOST),
                    f" makes it carry. In the way, where it comes nearest: {near.obstacle}.",
                ),
                "fail",
            )
        )
    if made.now_refuse:
        blocks.append(Line(say(f"Does not take its bend any more: {_refused(made.now_refuse)}."), "warn"))
    if made.left_out:
        names = " and ".join(f"[[{name}]]" for name in made.left_out)
        blocks.append(
            Line(say(f"Left out of the altered boat: {names}, which were said of the hull as it is."))
        )
    return Section("answer", "What would have to change", tuple(blocks))


def change_words(taken: Proposal, boat: Boat) -> Say:
    """A change in words: "5.2 % wider (36 mm)"."""
    parts = [_part(key, share, taken.change, boat) for key, share in taken.shares]
    return listed(parts, last=" and ") if parts else say("nothing")


def _part(key: str, share: float, change: Change, boat: Boat) -> Say:
    if key in AS_A_SHARE:
        metres = share * getattr(dimensions(boat), AS_A_SHARE[key])
        less = {"longer": "shorter", "wider": "narrower", "deeper": "shallower"}
        word = key if share > 0 else less[key]
        return say(Q("fine share", abs(share)), f" {word} (", Q("fine length", abs(metres), both=False), ")")
    if key == "sheer raised":
        word = "raised" if change.sheer > 0 else "lowered"
        return say(f"sheer {word} by ", Q("fine length", abs(change.sheer), both=False))
    if key == "seat lower":
        return say("seats lower by ", Q("fine length", change.lower, both=False))
    if key == "seat moved":
        way = "aft" if change.aft > 0 else "forward"
        return say("seats moved ", Q("fine length", abs(change.aft), both=False), f" {way}")
    return say(Q("fine share", share), " lighter")


# ---------------------------------------------------------------- the proposals

_NO_MARK: Mark = ""
_LYING = (
    ("load_mass_kg", "mass", "mass"),
    ("draft_m", "draft", "length"),
    ("freeboard_m", "freeboard", "length"),
    ("trim_m", "trim_length", "trim"),
    ("gm_m", "gm", "length"),
)
"""How it lies with a change, for programs: key, field of a condition, kind."""
_COLUMNS = (
    Column("key", "change"),
    Column("", "by", wrap=True),
    Column("size", "of the boat", "fine share"),
    Column("answer", "answer"),
    *(
        Column(key, key, "number", hidden=True)
        for key in (
            "length_factor",
            "beam_factor",
            "depth_factor",
            "sheer_raised_m",
            "seat_lower_m",
            "seat_aft_m",
            "lighter",
        )
    ),
    *(Column(key, key, kind, hidden=True) for key, _, kind in _LYING),
)


def change_record(change: Change) -> dict[str, float]:
    """A change as factors and metres by name."""
    return {
        "length_factor": change.length,
        "beam_factor": change.beam,
        "depth_factor": change.depth,
        "sheer_raised_m": change.sheer,
        "seat_lower_m": change.lower,
        "seat_aft_m": change.aft,
        "lighter": change.lighter,
    }


def proposals_section(made: Altered, boat: Boat) -> Section:
    """A row for each way of changing it: how much of it makes the boat carry, or what stands in the way."""
    found = made.found
    rows = [
        (
            p.key,
            change_words(p, boat),
            p.size,
            p.tried.answer,
            *change_record(p.change).values(),
            *_lying(p.tried),
        )
        for p in found.proposals
    ]
    rows += [
        (key, say(f"not enough: {why}"), None, None, *(None,) * (7 + len(_LYING)))
        for key, why in found.failed
    ]
    marks: tuple[Mark, ...] = (
        *(MARKS[p.tried.answer] for p in found.proposals),
        *(_NO_MARK for _ in found.failed),
    )
    hand = any(p.key == "by hand" for p in found.proposals)
    title = "By hand" if hand else "Each change alone, and the best mix"
    foot = []
    if any(p.key == "mix" for p in found.proposals):
        foot.append(say("A mix counts as the root of the sum of its squares."))
    if any(p.key == "lighter" for p in found.proposals):
        foot.append(say(ONLY_A_SCALE))
    table = Table("table", title, _COLUMNS, tuple(rows), marks, "answer", foot=tuple(foot))
    blocks: list[Any] = [
        Data("before", tried_record(found.before)),
        Data("proposals", [_proposal_record(p, boat) for p in found.proposals]),
        Data("failed", [{"key": key, "in_the_way": why} for key, why in found.failed]),
        Data("taken", None if made.taken is None else made.taken.key),
        Data("after", None if made.after is None else tried_record(made.after)),
        Data("written", made.files is not None),
    ]
    if rows:
        blocks.insert(0, table)
    return Section("proposals", "Changes", tuple(blocks))


def _lying(tried: Tried) -> list[float | None]:
    return [getattr(tried.ends[0], field) if tried.ends else None for _, field, _ in _LYING]


def _proposal_record(p: Proposal, boat: Boat) -> dict[str, Any]:
    return {
        "key": p.key,
        "change": change_record(p.change),
        "shares": dict(p.shares),
        "size": p.size,
        "metres": _metres(p, boat),
        **tried_record(p.tried),
    }


def _metres(p: Proposal, boat: Boat) -> dict[str, float]:
    """What of a change is a length, by its name [m]."""
    found = {"sheer raised": p.change.sheer, "seat lower": p.change.lower, "seat moved": p.change.aft}
    for key, dimension in AS_A_SHARE.items():
        if key in dict(p.shares):
            found[key] = dict(p.shares)[key] * getattr(dimensions(boat), dimension)
    return {key: found[key] for key, _ in p.shares if key in found}


def tried_record(tried: Tried) -> dict[str, Any]:
    """The judgement of one change, for programs."""
    return {
        "answer": tried.answer,
        "in_the_way": tried.obstacle or None,
        "unusual": list(tried.doubts),
        "checks": [
            {
                "key": c.key,
                "name": c.name,
                "value": c.value,
                "limit": c.limit,
                "unit": c.unit,
                "result": c.result,
                "least_margin": c.least_margin,
            }
            for c in tried.checks
        ],
    }


# ---------------------------------------------------------------- before and after

_FIGURES: tuple[tuple[str, str, str], ...] = (
    ("weight of the boat", "mass", "mass"),
    ("afloat with its load", "afloat", "mass"),
    ("draft", "draft", "length"),
    ("freeboard", "freeboard", "length"),
    ("trim", "trim", "trim"),
    ("GM", "gm", "length"),
    ("height to flooding", "height_to_flooding", "length"),
    ("water comes in at", "flooding_heel", "degrees"),
    ("wood", "wood", "mass"),
    ("resin", "resin", "fine mass"),
)


def figures_section(made: Altered, boat: Boat) -> Section:
    """Both boats side by side."""
    before, after = made.before_figures, made.after_figures
    data = (
        Data("figures.before", None if before is None else _record(before)),
        Data("figures.after", None if after is None else _record(after)),
        Data("sizes", _sizes_record(made, boat)),
        Data("now_refuse", [] if made.now_refuse is None else _refusing(made.now_refuse)),
        Data("left_out", list(made.left_out)),
    )
    if before is None or after is None:
        return Section("figures", "", data)
    rows = [*_sizes(made, boat)]
    rows += [
        (name, _figure(kind, getattr(before, key)), _figure(kind, getattr(after, key)))
        for name, key, kind in _FIGURES
    ]
    rows.append(("does not take its bend", _refused(before), _refused(after)))
    columns = (Column("", ""), Column("", "as it is"), Column("", "altered", wrap=True))
    return Section("figures", "Before and after", (Table("", "", columns, tuple(rows)), *data))


def _sizes(made: Altered, boat: Boat) -> list[tuple[Words, Words, Words]]:
    after = made.after.craft.boat if made.after is not None and made.after.craft is not None else None
    if after is None or boat.hull.table is None:
        return []
    old, new = dimensions(boat), dimensions(after)
    rows: list[tuple[Words, Words, Words]] = [
        (name, say(Q("length", getattr(old, name))), say(Q("length", getattr(new, name))))
        for name in ("length", "beam", "depth")
    ]
    for p, q in zip(boat.load.paddlers, after.load.paddlers):
        rows.append((f"{p.name}'s seat back", say(Q("place", p.seat_back)), say(Q("place", q.seat_back))))
        if not math.isclose(p.seat, q.seat, abs_tol=1e-6):
            rows.append((f"{p.name}'s seat height", say(Q("length", p.seat)), say(Q("length", q.seat))))
    return rows


def _sizes_record(made: Altered, boat: Boat) -> dict[str, Any]:
    """Dimensions and seats of both boats, for programs."""
    after = made.after.craft.boat if made.after is not None and made.after.craft is not None else None
    found: dict[str, Any] = {}
    for name, one in (("before", boat), ("after", after)):
        if one is not None:
            size = {} if one.hull.table is None else {f"{k}_m": v for k, v in asdict(dimensions(one)).items()}
            seats = [{"seat_back_m": p.seat_back, "seat_height_m": p.seat} for p in one.load.paddlers]
            found[name] = {**size, "seats": seats}
    return found


def _figure(kind: str, value: float | None) -> Words:
    return "-" if value is None else say(Q(kind, value))


def _refused(found: Figures) -> str:
    skins = dict.fromkeys(where for where, _ in found.strips)
    strips = [f"{where} strips {_runs([n for w, n in found.strips if w == where])}" for where in skins]
    return "; ".join((*found.sticks, *strips)) or "nothing"


def _runs(numbers: list[int]) -> str:
    """Numbers with what follows on each other as a span.

    >>> _runs([21, 22, 23, 30])
    '21 to 23, 30'
    """
    spans: list[list[int]] = []
    for n in sorted(numbers):
        if spans and n == spans[-1][-1] + 1:
            spans[-1].append(n)
        else:
            spans.append([n])
    return ", ".join(f"{s[0]} to {s[-1]}" if len(s) > 1 else f"{s[0]}" for s in spans)


def _refusing(found: Figures) -> list[str]:
    return [*found.sticks, *(f"strip {n} of the {where}" for where, n in found.strips)]


def _record(found: Figures) -> dict[str, Any]:
    plain = asdict(found)
    return {
        "mass_kg": plain["mass"],
        "mass_low_kg": plain["low"],
        "mass_high_kg": plain["high"],
        "load_mass_kg": plain["afloat"],
        "draft_m": plain["draft"],
        "freeboard_m": plain["freeboard"],
        "trim_m": plain["trim"],
        "gm_m": plain["gm"],
        "height_to_flooding_m": plain["height_to_flooding"],
        "flooding_heel_deg": Q("degrees", plain["flooding_heel"]),
        "wood_kg": plain["wood"],
        "resin_kg": plain["resin"],
        "refuses": _refusing(found),
    }
