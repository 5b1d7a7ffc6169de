"""What the bench needs of the sticks on the forms: the clamp, the stems and the transom."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any

import numpy as np

from hullview.forms.bench import ClampWork
from hullview.forms.stems import Stem
from hullview.forms.transom import Transom
from hullview.tell.model import Column, Data, Facts, Line, Q, Say, Section, Table, Words, listed, say
from hullview.weight.customs import customs


def clamp_rows(w: ClampWork) -> Iterator[tuple[Words, Say]]:
    """What the bench needs of a clamp."""
    yield (
        "plies, dry",
        say(
            f"{len(w.plies)} a side, outer first: ",
            listed([Q("place", v, both=False) for v in w.plies]),
            "; cut each 50 mm longer at both ends",
        ),
    )
    yield (
        "ripped",
        say(
            Q("fine length", w.ripped),
            " deep: it stands ",
            Q("fine length", w.top),
            " proud of the sheer mark, to be planed to the deck",
        ),
    )
    (a, fore), (b, aft) = w.ends
    yield (
        "ends",
        say(
            "cut at ",
            Q("place", a, both=False),
            " to ",
            Q("degrees", fore),
            " and at ",
            Q("place", b, both=False),
            " to ",
            Q("degrees", aft),
            ", the angle to the centre line in plan",
        ),
    )
    if w.stock is None:
        yield "scarfs", say("[order] stock_length does not say how long the sticks are that you buy")
    elif not any(w.scarfs):
        fits = max(w.plies) <= w.stock
        yield (
            "scarfs",
            say(
                "none: the sticks are long enough"
                if fits
                else "no bay suits sticks of this length: buy longer ones"
            ),
        )
    else:
        each = [
            f"ply {k} between forms " + " and ".join(f"{p}-{q}" for p, q in bays)
            for k, bays in enumerate(w.scarfs, 1)
            if bays
        ]
        yield "scarfs", say(Q("length", w.scarf), " long, ", "; ".join(each))
    yield (
        "clamps to have ready",
        say(
            Q("whole", w.clamps),
            " a side, one at each form and none further than ",
            Q("length", customs()["clamp_every"]),
            " from the next",
        ),
    )


def stem_section(stems: Sequence[Stem]) -> Section:
    """Inner stems: plies, length, springback by both rules; bevels each 50 mm."""
    blocks: list[Any] = []
    for s in stems:
        if s.moulded > 0:
            rows: list[tuple[Words, Say]] = []
            if s.plies > 1:
                rows.append(
                    (
                        "plies",
                        say(
                            Q("whole", s.plies),
                            " of ",
                            Q("size", s.ply),
                            ", ",
                            Q("size", s.width),
                            " wide, the longest ",
                            Q("length", s.blank),
                            "; 50 mm longer at both ends",
                        ),
                    )
                )
                rows.append(
                    (
                        "springback",
                        say(
                            "1/",
                            Q("whole", s.plies**2),
                            " of the bend by elastic theory, 1/",
                            Q("whole", s.plies),
                            " by the rival rule: the gluing form is drawn to the first, the second is scribed"
                            " on it",
                        ),
                    )
                )
            else:
                rows.append(
                    (
                        "solid",
                        say(
                            Q("size", s.moulded),
                            " from front to back, ",
                            Q("size", s.width),
                            " wide, sawn to shape",
                        ),
                    )
                )
            blocks.append(Facts(tuple(rows), s.label))
        columns = (
            Column("along_m", "from foot", "length"),
            Column("bevel_deg", "bevel", "degrees"),
            Column("middle_m", "insides meet", "fine length"),
            Column("bearding_m", "bearding", "fine length"),
        )
        out = [(b.along, b.angle, _or_none(b.middle), _or_none(b.bearding)) for b in s.bevels]
        blocks.append(Table(f"stems.{s.name.replace(' ', '_')}", s.name, columns, tuple(out)))
    note = say(
        "Bevel: of the planking to the centre plane, square to the profile. Insides meet, bearding: behind"
        " the profile, where the planking's insides meet and where they leave the stem's side; no figure"
        " where the bevel runs out on its back."
    )
    return Section("stems", "Stems", (*blocks, Line(note)))


def _or_none(v: float) -> float | None:
    return None if np.isnan(v) else v


def transom_section(t: Transom) -> Section:
    rows: list[tuple[Words, Say]] = [
        ("rake", say(Q("degrees", t.rake), " from plumb")),
        ("thickness", say(Q("size", t.thickness), "; the inner, larger face is sawn, the outer scribed")),
        ("bevel", say(Q("degrees", float(t.bevel.min())), " to ", Q("degrees", float(t.bevel.max())))),
    ]
    record = {
        "outer_m": t.after,
        "inner_m": t.fore,
        "rake_deg": float(np.degrees(t.rake)),
        "thickness_m": t.thickness,
        "bevel_deg": np.degrees(t.bevel),
    }
    return Section(
        "transom",
        t.name[:1].upper() + t.name[1:],
        (Facts(tuple(rows)), Data(t.name.replace(" ", "_"), record)),
    )
