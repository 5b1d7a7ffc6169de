"""The forms of a build, told: each form, its notches, the clamp, stems, transom, and what they stand on."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np

from hullview.answer.cautions import WOOD_DUST
from hullview.forms.bench import clamp_work
from hullview.forms.clamp import Notch
from hullview.forms.edges import bevel_rows
from hullview.forms.form import Form, Forms
from hullview.tell.form_records import clamp_record, records, stands_on
from hullview.tell.form_sticks import clamp_rows, stem_section, transom_section
from hullview.tell.model import Column, Data, Facts, Line, Q, Say, Section, Table, Telling, Words, listed, say

CHECK_FIRST = (
    "Measure the bars and the crosses on the paper, and offer the first form to a batten over its neighbours,"
    " before all are sawn. Saws and routers: guards on, work held down, by the maker's rules and those of the"
    " place."
)


def forms_telling(forms: Forms, waste: Mapping[str, float] | None = None) -> Telling:
    """The whole of `forms`.

    Parameters
    ----------
    forms : Forms
    waste : mapping, optional
        By thickness in words, the share of the nested sheets that is waste.
    """
    work = tuple(clamp_work(forms, c) for c in forms.clamps)
    sections = [
        _head(forms),
        Section(
            "forms",
            "Forms",
            (
                _forms_table(forms),
                _bevels(forms),
                Data("forms", records(forms, forms.forms)),
                Data("bulkheads", records(forms, forms.bulkheads)),
            ),
        ),
    ]
    notches = [(f, n) for f in (*forms.forms, *forms.bulkheads) for n in f.notches]
    if notches:
        sections.append(Section("notches", "Notches", (notch_table(notches), Line(NOTCH_NOTE))))
    for w in work:
        sections.append(Section("clamp", w.name[:1].upper() + w.name[1:], (Facts(tuple(clamp_rows(w))),)))
    if work:
        sections.append(Section("clamps", "", (Data("clamps", [clamp_record(w) for w in work]),)))
    if any(s.moulded > 0 for s in forms.stems) or forms.stems:
        sections.append(stem_section(forms.stems))
    for t in forms.transoms:
        sections.append(transom_section(t))
    if waste:
        words = listed([say(f"{name}: ", Q("share", share)) for name, share in waste.items()], "; ")
        sections.append(
            Section("sheets", "", (Line(say("waste of the sheets, ", words)), Data("waste", dict(waste))))
        )
    sections.append(Section("caution", "", (Line(say(CHECK_FIRST)), Line(say(WOOD_DUST.text)))))
    return Telling(
        tuple(sections),
        forms.boat.units_shown,
        ("bevels",),
        {"boat": forms.boat.name, "build": forms.build.name},
    )


def _head(forms: Forms) -> Section:
    """What was taken off, the midship form, spacing, strongback."""
    hull, deck = forms.taken
    taken = say(
        Q("error", hull, "taken_off_m"),
        " square to the skin",
        *((", deck ", Q("error", deck)) if forms.skins.deck is not None and deck != hull else ()),
    )
    if hull == 0:
        taken = say("nothing: the table is to the inside of the planking, so its lines are the forms' edges")
    rows: list[tuple[Words, Say]] = [("planking taken off", taken)]
    if forms.midship is not None:
        rows.append(
            (
                "midship form",
                say(
                    f"form {forms.midship}, ", Q("error", forms.left_over), " left over at its greatest step"
                ),
            )
        )
    else:
        rows.append(
            (
                "midship form",
                say(
                    "none: no form lies at the greatest section, the least greatest step is ",
                    Q("fine length", forms.left_over),
                ),
            )
        )
    rows.append(("sight line", say(Q("length", forms.sight, "sight_line_m"), " above the base line")))
    rows += _strongback_rows(forms)
    title = say(
        f"{forms.boat.name}, {forms.build.name}: ",
        Q("whole", len(forms.forms)),
        " forms, ",
        Q("size", forms.thickness, "thickness_m"),
        f", edges {forms.edge}",
    )
    return Section(
        "head",
        "",
        (
            Line(title, strong=True),
            Facts(tuple(rows)),
            *_notes(forms),
            Data("midship", forms.midship),
            Data("edge", forms.edge),
        ),
    )


def _strongback_rows(forms: Forms) -> list[tuple[Words, Say]]:
    """What the forms stand on."""
    stand = forms.strongback
    rows: list[tuple[Words, Say]] = []
    if stand.kind == "inside":
        on = f"forms {stand.on[0]} to {stand.on[-1]}" if len(stand.on) > 1 else f"form {stand.on[0]}"
        rows.append(
            (
                "strongback",
                say(
                    "a bar ",
                    Q("size", stand.width, both=False),
                    " x ",
                    Q("size", stand.height),
                    " through ",
                    on,
                    ", its middle ",
                    Q("length", stand.at, "set_up_line_m"),
                    " above the base line; holes ",
                    Q("size", stand.clearance),
                    " over it all round",
                ),
            )
        )
        if stand.beyond:
            carried = [c.name for c in forms.centre_forms if c.slots]
            how = (
                f" stand{'s' if len(stand.beyond) == 1 else ''} on the {' and the '.join(carried)}"
                if carried
                else ": too small for the bar, hold them to the stem"
            )
            rows.append(
                (
                    "beyond the bar",
                    say(f"form{'s' if len(stand.beyond) > 1 else ''} {', '.join(stand.beyond)}{how}"),
                )
            )
    else:
        rows.append(
            (
                "strongback",
                say(
                    "a ladder ",
                    Q("length", stand.width),
                    " wide under the boat, upside down; the set-up line ",
                    Q("length", stand.at, "set_up_line_m"),
                    " above the base line",
                ),
            )
        )
    return rows


def _notes(forms: Forms) -> list[Line]:
    """What to mind: forms too far apart, clamps that meet."""
    notes = [Line(say(n), "warn") for n in forms.notes]
    widest, most = forms.spacing
    if widest > most + 1e-9:
        where = next(
            (a.name, b.name) for a, b in zip(forms.forms, forms.forms[1:]) if abs(b.x - a.x - widest) < 1e-9
        )
        middle = next(
            (a.x + b.x) / 2 for a, b in zip(forms.forms, forms.forms[1:]) if abs(b.x - a.x - widest) < 1e-9
        )
        notes.append(
            Line(
                say(
                    f"forms {where[0]} and {where[1]} stand ",
                    Q("length", widest),
                    " apart, more than 50 strip thicknesses (",
                    Q("length", most),
                    f'): strips sag between them. Add a form between: --at "{middle * 1000:.0f} mm"',
                ),
                "warn",
            )
        )
    meet = [f.name for f in forms.forms if f.clamps_meet]
    if meet:
        notes.append(
            Line(
                say(
                    f"both clamps meet in form{'s' if len(meet) > 1 else ''} {', '.join(meet)}: fit one side,"
                    " then the other to it"
                )
            )
        )
    return notes


def _forms_table(forms: Forms) -> Table:
    """One row for each form."""
    columns = (
        Column("", "form"),
        Column("", "station", "place"),
        Column("", "face to"),
        Column("", "touches"),
        Column("", "greatest step", "fine length"),
        Column("", "bevel there", "degrees"),
        Column("", "stands on", wrap=True),
    )
    rows = []
    for f in (*forms.forms, *forms.bulkheads):
        k = int(np.abs(f.side.step).argmax())
        on = stands_on(forms, f) if f.kind == "form" else "fitted later"
        rows.append(
            (
                f.name + (", midship" if f.midship else ""),
                f.x,
                "bow" if f.body == "aft" else "stern",
                f.touches.partition(",")[0] + (", part" if "," in f.touches else ""),
                float(f.side.step[k]),
                float(f.side.bevel[k]),
                on,
            )
        )
    return Table("", "", columns, tuple(rows))


def _bevels(forms: Forms) -> Table:
    """Bevel and step each 50 mm of girth: for programs and for the bench's file."""
    columns = (
        Column("form", "form"),
        Column("x_m", "station", "place"),
        Column("edge", "edge"),
        Column("girth_m", "girth", "length"),
        Column("bevel_deg", "bevel", "degrees"),
        Column("step_m", "step", "fine length"),
        Column("cut", "cut", hidden=True),
        Column("build", "build", hidden=True),
    )
    rows = []
    for f in (*forms.forms, *forms.bulkheads):
        for name, t in (("hull", f.side), ("deck", f.deck)):
            if t is not None:
                rows += [
                    (f.name, f.x, name, g, bevel, step, forms.edge, forms.build.name)
                    for g, _, bevel, step in bevel_rows(t)
                ]
    return Table("bevels", "Bevels", columns, tuple(rows), short=False, full=False)


def notch_table(notches: Sequence[tuple[Form, Notch]]) -> Table:
    """The bench's table of notches."""
    columns = (
        Column("", "form"),
        Column("", "for", wrap=True),
        Column("", "depth", "fine length"),
        Column("", "width", "fine length"),
        Column("", "side", "degrees"),
        Column("", "plane top to", "degrees"),
        Column("", "bears"),
        Column("", "gap", "fine length"),
        Column("", "or bevel", "degrees"),
        Column("", "screw"),
    )
    rows = []
    for f, n in notches:
        nearer = "bow" if f.body == "aft" else "stern"
        rows.append(
            (
                f.name,
                n.what,
                n.depth,
                n.width,
                n.angle if n.kind == "sheer" else None,
                n.top_bevel,
                n.tight,
                n.gap,
                n.back_bevel,
                nearer if n.kind == "sheer" and f.kind == "form" else "-",
            )
        )
    return Table("", "", columns, tuple(rows))


NOTCH_NOTE = say(
    "Depth: from the sheer mark down along the side to the notch's bottom, a millimetre free (on the centre"
    " line: up from the form's foot). Width: of the stick in the form's plane. Side: outward from plumb."
    " Plane top to: above square to the side, where the deck rises inboard. The stick bears on the back of a"
    " square notch at the station face or the other, with the gap at the face across; or cut the back to the"
    " bevel. Screw: the face that takes the holding screw. Release tape on notch and edge."
)
