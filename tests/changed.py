"""The same boat said otherwise: in other units, from another datum, its rows in another order, turned to
the other hand."""

from __future__ import annotations

import random
import re
from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction
from pathlib import Path

from hullview.boat.model import Boat, Build, Schedule, TableLine

INCH = Fraction("25.4")
_PER_MM = {"mm": Fraction(1), "cm": Fraction(10), "m": Fraction(1000), "in": INCH, "ft": INCH * 12}
_LENGTH = re.compile(r'"(-?(?:[0-9]+ [0-9]+/[0-9]+|[0-9]+/[0-9]+|[0-9]+(?:\.[0-9]+)?)) (mm|cm|m|in|ft)"')
_NUMBER = re.compile(r"-?(?:[0-9]+ [0-9]+/[0-9]+|[0-9]+/[0-9]+|[0-9]+(?:\.[0-9]+)?)")


def number(text: str) -> Fraction:
    """A whole number, a decimal or a fraction, exactly."""
    sign, plain = (-1, text[1:]) if text.startswith("-") else (1, text)
    return sign * sum((Fraction(part) for part in plain.split()), Fraction(0))


def printed(mm: Fraction, unit: str) -> str:
    """A length exactly, as a whole number and a fraction."""
    value = mm / _PER_MM[unit]
    whole, rest = divmod(abs(value), 1)
    sign = "-" if value < 0 else ""
    if not rest:
        return f"{sign}{whole}"
    fraction = f"{rest.numerator}/{rest.denominator}"
    return f"{sign}{whole} {fraction}" if whole else f"{sign}{fraction}"


def eighths(mm: Fraction) -> str:
    """A multiple of a sixteenth of an inch as feet-inches-eighths."""
    sixteenths = abs(mm) / INCH * 16
    assert sixteenths.denominator == 1, f"{mm} mm is no whole number of sixteenths"
    feet, rest = divmod(int(sixteenths), 192)
    inches, rest = divmod(rest, 16)
    return f"{'-' if mm < 0 else ''}{feet}-{inches}-{rest // 2}{'+' if rest % 2 else ''}"


def to_sixteenths(mm: Fraction) -> Fraction:
    """The nearest sixteenth of an inch."""
    return Fraction(round(mm / INCH * 16), 16) * INCH


def _table(text: str, one) -> str:
    rows = [line.split(",") for line in text.strip().split("\n")]
    for row in rows[1:]:
        if row[0] != "shape":
            row[2:] = [one(number(c)) if _NUMBER.fullmatch(c) else c for c in row[2:]]
    return "\n".join(",".join(r) for r in rows) + "\n"


def in_unit(folder: Path, to: Path, unit: str, rounded: bool = False) -> Path:
    """A folder in mm written again with every length in another unit: exactly, or `rounded` to sixteenths of
    an inch first.

    unit "ft-in-eighths" needs a folder that is rounded already.
    """
    toml, table = (folder / "boat.toml").read_text(), (folder / "offsets.csv").read_text()
    given = re.search(r'(?m)^units = "(\w+)"', toml)
    was = given[1] if given else "mm"
    to.mkdir(parents=True, exist_ok=True)
    nearest = to_sixteenths if rounded else (lambda mm: mm)
    small = "in" if unit == "ft-in-eighths" else unit

    def cell(value: Fraction) -> str:
        mm = nearest(value * _PER_MM[was])
        return eighths(mm) if unit == "ft-in-eighths" else printed(mm, unit)

    def quoted(match: re.Match[str]) -> str:
        return f'"{printed(number(match[1]) * _PER_MM[match[2]], small)} {small}"'

    def points(match: re.Match[str]) -> str:
        if '"' in match[0]:
            return _LENGTH.sub(
                lambda m: f'"{printed(nearest(number(m[1]) * _PER_MM[m[2]]), small)} {small}"', match[0]
            )
        return _NUMBER.sub(
            lambda m: f'"{printed(nearest(number(m[0]) * _PER_MM[was]), small)} {small}"', match[0]
        )

    profiles = re.compile(r"(?m)^(?:profile|outline) = \[.*\]")
    kept = list(profiles.finditer(toml))
    parts, last = [], 0
    for m in kept:
        parts += [_LENGTH.sub(quoted, toml[last : m.start()]), points(m)]
        last = m.end()
    toml = "".join([*parts, _LENGTH.sub(quoted, toml[last:])])
    (to / "boat.toml").write_text(re.sub(r'(?m)^units = "\w+"', f'units = "{unit}"', toml))
    (to / "offsets.csv").write_text(_table(table, cell))
    return to


def rows_shuffled(folder: Path, to: Path, seed: int) -> Path:
    """The rows of the table in another order; chines stay in theirs, which says something."""
    to.mkdir(parents=True, exist_ok=True)
    head, *rows = (folder / "offsets.csv").read_text().strip().split("\n")
    knuckles = [r for r in rows if ",chine" in r]
    others = [r for r in rows if ",chine" not in r]
    random.Random(seed).shuffle(others)
    (to / "offsets.csv").write_text("\n".join([head, *others, *knuckles]) + "\n")
    (to / "boat.toml").write_text((folder / "boat.toml").read_text())
    return to


# ---------------------------------------------------------------- another datum


def _line_moved(line: TableLine, dz: float) -> TableLine:
    up = line.measure == "height"
    by_height = line.name in ("waterline", "diagonal") or (
        line.name == "deck" and line.measure == "half-breadth"
    )
    return replace(
        line,
        at=line.at + dz if line.at is not None and by_height else line.at,
        values=tuple(None if v is None else v + (dz if up else 0.0) for v in line.values),
    )


def moved(boat: Boat, dx: float, dz: float) -> Boat:
    """The same boat with everything measured from a datum that lies dx further forward and dz lower [m]."""
    table = boat.hull.table
    assert table is not None

    def spot(at):
        return tuple(None if v is None else v + d for v, d in zip(at, (dx, 0.0, dz)))

    def outline(points):
        return None if points is None else tuple((x + dx, z + dz) for x, z in points)

    def schedule(s: Schedule) -> Schedule:
        return Schedule(
            s.planking,
            tuple(replace(k, below=None if k.below is None else k.below + dz) for k in s.skins),
            tuple(
                replace(
                    r,
                    start=None if r.start is None else r.start + dx,
                    end=None if r.end is None else r.end + dx,
                )
                for r in s.runs
            ),
            tuple(replace(p, at=spot(p.at), places=tuple(spot(q) for q in p.places)) for p in s.pieces),
        )

    return replace(
        boat,
        hull=replace(
            boat.hull,
            table=replace(
                table,
                stations=tuple(x + dx for x in table.stations),
                lines=tuple(_line_moved(r, dz) for r in table.lines),
            ),
            bow=replace(boat.hull.bow, profile=outline(boat.hull.bow.profile)),
            stern=replace(boat.hull.stern, profile=outline(boat.hull.stern.profile)),
        ),
        openings=tuple(
            replace(
                o,
                centre=o.centre + dx,
                outline=None if o.outline is None else tuple((x + dx, b) for x, b in o.outline),
            )
            for o in boat.openings
        ),
        hatches=tuple(replace(h, centre=h.centre + dx) for h in boat.hatches),
        bulkheads=tuple(replace(b, position=b.position + dx) for b in boat.bulkheads),
        tanks=tuple(
            replace(t, start=t.start + dx, end=t.end + dx, top=None if t.top is None else t.top + dz)
            for t in boat.tanks
        ),
        flotation=tuple(replace(f, at=spot(f.at)) for f in boat.flotation),
        flooding=tuple(replace(f, at=spot(f.at)) for f in boat.flooding),
        appendages=tuple(replace(a, outline=outline(a.outline)) for a in boat.appendages),
        load=replace(
            boat.load,
            paddlers=tuple(replace(p, seat_back=p.seat_back + dx) for p in boat.load.paddlers),
            gear=tuple(replace(g, at=spot(g.at)) for g in boat.load.gear),
        ),
        builds=tuple(Build(b.name, schedule(b.schedule), b.hours, b.note) for b in boat.builds),
    )


def mirrored(boat: Boat) -> Boat:
    """The same boat with everything aboard on the other side."""

    def other(at):
        return (at[0], -at[1], at[2])

    return replace(
        boat,
        flotation=tuple(replace(f, at=other(f.at)) for f in boat.flotation),
        flooding=tuple(replace(f, at=other(f.at)) for f in boat.flooding),
        load=replace(
            boat.load,
            paddlers=tuple(replace(p, side=-p.side) for p in boat.load.paddlers),
            gear=tuple(replace(g, at=other(g.at)) for g in boat.load.gear),
        ),
        builds=tuple(
            replace(
                b,
                schedule=replace(
                    b.schedule,
                    pieces=tuple(
                        replace(p, at=other(p.at), places=tuple(other(q) for q in p.places))
                        for p in b.schedule.pieces
                    ),
                ),
            )
            for b in boat.builds
        ),
    )


# ---------------------------------------------------------------- a station or a waterline more


def with_station(
    boat: Boat, x: float, heights: dict[str, float], breadths: dict[str, float], at_height, at_breadth
) -> Boat:
    """The table with a station more at x [m]: named lines by their values there, waterlines and buttocks by
    the functions.

    at_height(z) gives the half-breadth at a height, at_breadth(y) the height at a half-breadth; None where it
    is not there.
    """
    table = boat.hull.table
    assert table is not None
    k = sum(s < x for s in table.stations)

    def value(line: TableLine) -> float | None:
        if line.at is None:
            return (heights if line.measure == "height" else breadths).get(line.name)
        if line.name == "waterline":
            return at_height(line.at)
        return at_breadth(line.at) if line.name == "buttock" else None

    def put(values: Sequence, new) -> tuple:
        return (*values[:k], new, *values[k:])

    more = replace(
        table,
        stations=put(table.stations, x),
        lines=tuple(replace(r, values=put(r.values, value(r))) for r in table.lines),
        keel_shape=put(table.keel_shape, table.keel_shape[k]),
        deck_shape=put(table.deck_shape, table.deck_shape[k]),
        column_names=put(table.column_names, "more") if table.column_names else (),
    )
    return replace(boat, hull=replace(boat.hull, table=more))
