"""The table of offsets to the inside of the planking, line for line as the builder's own, with the stems'
profiles there."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np

from hullview.arrays import Array
from hullview.boat.model import Table, TableLine
from hullview.forms.form import Forms
from hullview.forms.outline import half_ring
from hullview.forms.read_back import InsideTable, off_when_read_back
from hullview.forms.section import Edge, thinned
from hullview.forms.skin import Plane, station_plane
from hullview.forms.stems import buttock_line
from hullview.shape.curve import chords
from hullview.shape.ends import EndCurve
from hullview.shape.offset import LEAST_LEVEL
from hullview.shape.vectors import unit

UNITS: dict[str, tuple[str, float, float]] = {
    "mm": ("mm", 0.001, 0.1), "cm": ("cm", 0.01, 0.01), "m": ("m", 1.0, 0.0001),
    "in": ("in", 0.0254, 0.005), "ft": ("ft", 0.3048, 0.0005), "ft-in-eighths": ("in", 0.0254, 0.005),
}  # fmt: skip
"""Unit of the builder's table -> unit, its size [m], and the step to which it is rounded here."""
VEED = 0.05
"""Half-breadth part of the unit normal at the centre line over which a section meets it in a vee."""
BESIDE = 0.06
"""A bottom that is round so near to a stem's foot is round from there on [m]."""
FOLDED = 0.0002
"""Less than this lower is not worth a word [m]."""
LONGEST_GAP = 0.06
"""Between points of a stem's line [m]."""
POINTS = 18
"""Points of a stem's profile."""


def inside_table(forms: Forms) -> InsideTable:
    """The table to the inside of planking: what the sections of the inside show at each line of the builder's
    own.

    Parameters
    ----------
    forms : Forms

    Returns
    -------
    InsideTable

    Notes
    -----
    Where a round bottom turns within the planking's thickness no table can tell its inside: it is told as
    round with the keel moved in square, or as a vee to where the insides meet, whichever is nearer to the
    outside when it is read back.

    The sheer of a decked boat is where the insides of hull and deck meet, of an open boat the inside at the
    sheer's height: from there the outside comes back when it is read with `measured_to = "inside"`. On the
    forms the sheer is marked elsewhere, at the foot of its normal.
    """
    made = _told(forms, frozenset())
    if not made.folded:
        return made
    every = frozenset(name for name, _ in made.folded)
    off, sharp = off_when_read_back(forms.boat, made), off_when_read_back(forms.boat, _told(forms, every))
    return _told(forms, frozenset(name for name in every if sharp[name] < off[name]))


def _told(forms: Forms, sharp: frozenset[str]) -> InsideTable:
    """The table, with stations of these names told as a vee where they are folded."""
    table = forms.boat.hull.table
    assert table is not None
    unit, _, step = UNITS[table.unit]
    lofted = forms.skins.lofted
    xs = {s.x for s in lofted.sections}
    profiles = [
        _profile(forms, end, which, name in sharp)
        for end, which, name in (
            (lofted.bow, "bow", lofted.names[0]),
            (lofted.stern, "stern", lofted.names[-1]),
        )
    ]
    columns: list[_Column | None] = []
    stations = list(table.stations)
    for j, x in enumerate(table.stations):
        if x in xs:
            columns.append(_station(forms, station_plane(x), table.column(j) in sharp))
        else:
            k = 0 if j == 0 else 1
            columns.append(_end(forms, (lofted.bow, lofted.stern)[k], profiles[k]))
            if profiles[k].line is not None:
                stations[j] = float(profiles[k].line[0, 0])  # type: ignore[index]
    lines = tuple(
        replace(
            row,
            values=tuple(
                None if c is None else _value(row, v, c, table) for v, c in zip(row.values, columns)
            ),
        )
        for row in table.lines
    )
    shapes = tuple("vee" if table.column(j) in sharp else s for j, s in enumerate(table.keel_shape))
    made = replace(
        table,
        stations=tuple(stations),
        lines=lines,
        unit=unit,
        file="inside-offsets.csv",
        keel_shape=shapes,
        keel_given=table.keel_given and not sharp,
    )
    return InsideTable(
        made,
        unit,
        step,
        profiles[0].given,
        profiles[1].given,
        (profiles[0].siding, profiles[1].siding),
        (
            lofted.bow.transom and forms.boat.hull.bow.transom,
            lofted.stern.transom and forms.boat.hull.stern.transom,
        ),
        tuple(
            (table.column(j), c.folded) for j, c in enumerate(columns) if c is not None and c.folded > FOLDED
        ),
    )


@dataclass(frozen=True)
class _Column:
    """What a section of the inside shows: the side (k, 2) keel to sheer with its knuckles, the deck (n, 2)
    sheer to centre, or None; folded: how much lower the keel of a round bottom, moved in square, lies than
    where the insides meet [m]."""

    side: Array
    corners: tuple[int, ...]
    deck: Array | None
    folded: float = 0.0


@dataclass(frozen=True)
class _Profile:
    """The inside stem from the sheer down (k, 2), or None at an end of the table's own; given: what
    `[hull.bow]` must say."""

    line: Array | None
    given: Array | None
    siding: float


def _profile(forms: Forms, end: EndCurve, which: str, sharp: bool) -> _Profile:
    given = forms.boat.hull.bow if which == "bow" else forms.boat.hull.stern
    if end.transom:
        points = None if given.profile is None else np.array(given.profile)
        return _Profile(None, points, given.siding)
    stem = next(s for s in forms.stems if s.name == f"{which} stem")
    ends = np.concatenate([r.values[:, 0 if which == "bow" else -1] for r in forms.inside.side])
    half = float(np.median(ends[len(ends) // 2 :, 1]))
    rows = forms.inside.side
    line = np.concatenate(
        [buttock_line(r, max(half, 0.0) if half > 5e-4 else 0.0, which == "bow") for r in rows]
    )
    line = _down_to(line[::-1], stem.profile[0], stem.profile[0] - stem.profile[2])
    foot = None if sharp else _keel_moved_in(forms, which)
    if foot is not None:
        line = np.vstack([line[(line - foot) @ (stem.profile[0] - stem.profile[2]) < 0], foot])
    if forms.inside.deck is None:
        line = _up_to(line, float(end.curve.samples[-1, 1]))
    s = chords(line)
    at = np.linspace(0.0, s[-1], POINTS)
    points = np.column_stack([np.interp(at, s, line[:, i]) for i in (0, 1)])
    return _Profile(line, points, 2 * half if half > 5e-4 else 0.0)


def _down_to(line: Array, foot: Array, way: Array) -> Array:
    """A stem's line from the sheer down, as far as its foot, without what rows that run along the keel put
    beside it.

    way : along the profile at its foot, towards the keel line.
    """
    kept = [line[0]]
    for q in line[1:]:
        step = q - kept[-1]
        before = kept[-1] - kept[-2] if len(kept) > 1 else step
        far = float(np.linalg.norm(step))
        if far > LONGEST_GAP:
            break
        if far < 1e-6 or step @ before < 0.3 * far * np.linalg.norm(before):
            continue  # a ripple of the rows where one of them has just left the stem
        kept.append(q)
        if (q - foot) @ way >= 0:
            break
    return np.array(kept)


def _keel_moved_in(forms: Forms, which: str) -> Array | None:
    """Foot of the inside stem's profile where a round bottom begins there: the end of the keel line moved in
    square to itself (2,) [m]; None where it begins with a vee, whose insides meet higher."""
    k, step = (0, 1) if which == "bow" else (-1, -1)
    row, level = forms.skins.side_grid.points[0][:, [0, 2]], forms.inside.side[0].level
    if not level.any() or abs(row[level][k, 0] - row[k, 0]) > BESIDE:
        return None
    along = row[k + step] - row[k]
    up = unit(np.array([-along[1], along[0]]) * step)
    return np.asarray(row[k] + forms.taken[0] * up)


def _up_to(line: Array, height: float) -> Array:
    """A line (k, 2) from its top down, or a section's last points from its top down, carried straight on or
    cut short to end at a height."""
    below = line[line[:, 1] < height - 1e-6]
    if len(below) < 2:
        return line
    share = (height - below[0, 1]) / max(below[0, 1] - below[1, 1], 1e-9)
    return np.vstack([below[0] + share * (below[0] - below[1]), below])


def _sheer_height(forms: Forms, edge: Edge, x: float) -> float:
    """Height at which the inside of an open boat ends at a station [m]: the sheer moves in level, so it comes
    from that of the outside a little fore or aft."""
    flat = edge.normals[-1] * np.array([1.0, 1.0, 0.0])
    ahead = forms.taken[0] * flat[0] / max(float(flat @ flat), LEAST_LEVEL**2)
    sheer = forms.skins.side_grid.points[-1]
    return float(np.interp(x + ahead, sheer[:, 0], sheer[:, 2]))


def _station(forms: Forms, plane: Plane, sharp: bool) -> _Column | None:
    (edge,), (deck,) = forms.inside.side_edges([plane]), forms.inside.deck_edges([plane])
    if edge is None:
        return None
    column = _column(edge, deck, lambda p: p, _sheer_height(forms, edge, plane.offset))
    keel = forms.inside.side[0].values[0][forms.inside.side[0].level]
    if sharp or not edge.on_centre or abs(edge.normals[0, 1]) < VEED or not len(keel):
        return column
    if not keel[:, 0].min() <= plane.offset <= keel[:, 0].max():
        return column
    order = np.argsort(keel[:, 0])
    z = float(np.interp(plane.offset, keel[order, 0], keel[order, 2]))
    side = column.side.copy()
    side[0, 1] = z
    return replace(column, side=side, folded=float(column.side[0, 1] - z))


def _column(edge: Edge, deck: Edge | None, true: Callable[[Array], Array], sheer: float) -> _Column:
    """A section as the table sees it; true: from the plane's coordinates to half-breadth and height; sheer:
    its height [m], at which the inside of an open boat ends."""
    side = true(thinned(edge).points)
    corners = thinned(edge).corners
    if deck is None:
        whole = _up_to(side[::-1], sheer)[::-1]
        return _Column(whole, tuple(c for c in corners if c < len(whole)), None)
    top = true(deck.points)
    ring = half_ring(side, top)
    # where the ring leaves the side is the corner in which both insides meet
    k = (
        int(np.argmax([np.linalg.norm(p - side, axis=1).min() > 1e-9 for p in ring]))
        if len(ring) > len(side)
        else len(side) - 1
    )
    corner = ring[k]
    return _Column(np.vstack([ring[:k], corner]), corners, np.vstack([corner, ring[k + 1 :]]))


def _end(forms: Forms, end: EndCurve, profile: _Profile) -> _Column | None:
    """The end column: on a transom its section there; on a stem the sheer alone, where the profile begins."""
    if profile.line is not None:
        top = np.array([profile.siding / 2, profile.line[0, 1]])
        return _Column(np.vstack([top, top]), (), None)
    assert end.rake is not None
    zs, xs = end.rake
    lean = 0.0 if len(zs) < 2 else (xs[-1] - xs[0]) / (zs[-1] - zs[0])
    size = float(np.hypot(1.0, lean))
    plane = Plane((1 / size, 0.0, -lean / size), float((xs[0] - lean * zs[0]) / size))
    (edge,), (deck,) = forms.inside.side_edges([plane]), forms.inside.deck_edges([plane])
    if edge is None:
        return None

    # up the plane u = lean/size x + z/size, and x = xs + lean (z - zs) on it
    def true(p: Array) -> Array:
        z = (p[:, 1] - lean / size * (xs[0] - lean * zs[0])) / size
        return np.column_stack([p[:, 0], z])

    at_end = forms.skins.side_grid.points[-1, 0 if end is forms.skins.lofted.bow else -1, 0]
    sheer = _sheer_height(forms, edge, float(at_end))
    return _column(edge, deck, true, sheer)


def _value(row: TableLine, given: float | None, c: _Column, table: Table) -> float | None:
    """What the section shows on one line of the table [m]; None where it does not cross it."""
    side = c.side
    on_stem = len(side) == 2 and np.array_equal(side[0], side[1])
    if row.name == "sheer":
        top = _sheer(c, on_stem)
        return float(top[0 if row.measure == "half-breadth" else 1])
    if on_stem:
        return None
    if given is None and row.at is None:
        return None
    if row.name in ("keel", "rabbet"):
        return float(side[0, 0 if row.measure == "half-breadth" else 1])
    if row.name.startswith("chine"):
        number = table.chines.index(row.name)
        lacking = len(table.chines) - len(c.corners)
        if number < lacking:
            return None
        return float(side[c.corners[number - lacking], 0 if row.measure == "half-breadth" else 1])
    if row.name == "deck":
        return _deck_value(row, c)
    assert row.at is not None
    if row.name == "waterline":
        return _where(side, 1, row.at)
    if row.name == "buttock":
        return _where(side, 0, row.at)
    assert row.angle is not None
    way = np.array([np.cos(row.angle), -np.sin(row.angle)])
    square = np.array([np.sin(row.angle), np.cos(row.angle)])
    beside = (side - [0.0, row.at]) @ square
    ahead = (side - [0.0, row.at]) @ way
    return _where(np.column_stack([ahead, beside]), 1, 0.0)


def _sheer(c: _Column, on_stem: bool) -> Array:
    """The sheer of the inside at a section: the corner with the deck, or the inside at the sheer's own
    height."""
    return np.asarray(c.side[-1] if on_stem or c.deck is None else c.deck[0])


def _deck_value(row: TableLine, c: _Column) -> float | None:
    if c.deck is None:
        return None
    if row.at is None:
        return float(c.deck[-1, 1])
    return _where(c.deck, 1 if row.measure == "half-breadth" else 0, row.at)


def _where(line: Array, axis: int, at: float) -> float | None:
    """The other coordinate where a line (n, 2) first crosses `at` in one of them."""
    v = line[:, axis] - at
    cross = np.flatnonzero((v[:-1] <= 0) != (v[1:] <= 0))
    if not len(cross):
        return None
    i = int(cross[0])
    share = v[i] / (v[i] - v[i + 1])
    return float(line[i, 1 - axis] + share * (line[i + 1, 1 - axis] - line[i, 1 - axis]))


def table_csv(made: InsideTable) -> str:
    """The table as the text of offsets.csv, in decimals of its unit."""
    unit = next(size for name, size, _ in UNITS.values() if name == made.unit)
    places = max(0, -int(np.floor(np.log10(made.step) + 1e-9)))

    def number(v: float | None) -> str:
        if v is None:
            return ""
        text = f"{round(v / unit / made.step) * made.step:.{places}f}"
        return text.rstrip("0").rstrip(".") if "." in text else text

    t = made.table
    out = [
        ",".join(["measure", "line", "at", *t.names]),
        ",".join(["position", "", "", *map(number, t.stations)]),
    ]
    for row in t.lines:
        at = (
            ""
            if row.at is None
            else f"{row.at / unit:.10g}" + ("" if row.angle is None else f"/{np.degrees(row.angle):.10g}")
        )
        out.append(",".join([row.measure, row.name, at, *map(number, row.values)]))
    if any(s != "round" for s in t.keel_shape) or not t.keel_given:
        out.append(",".join(["shape", "keel", "", *t.keel_shape]))
    if any(s != "smooth" for s in t.deck_shape):
        out.append(",".join(["shape", "deck", "", *t.deck_shape]))
    return "\n".join(out) + "\n"


def hull_toml(made: InsideTable, kind: str) -> str:
    """What `[hull]` must say in boat.toml for the table to the inside."""
    unit = next(size for name, size, _ in UNITS.values() if name == made.unit)
    out = [
        "# For boat.toml in place of its own [hull], [hull.bow] and [hull.stern].",
        *(
            f"# At station {name} the bottom turns within the planking's thickness: the keel here is the skin"
            f" moved in\n# square to itself; the insides meet {by * 1000:.1f} mm above it, as the"
            " pattern of the form shows."
            for name, by in made.folded
        ),
        "[hull]",
        'offsets = "inside-offsets.csv"',
        f'units = "{made.unit}"',
        'measured_to = "inside"',
        f'type = "{kind}"',
        "",
    ]
    for name, line, siding, transom in (
        ("bow", made.bow, made.siding[0], made.transom[0]),
        ("stern", made.stern, made.siding[1], made.transom[1]),
    ):
        if line is None:
            continue
        points = ", ".join(f"[{x / unit:.10g}, {z / unit:.10g}]" for x, z in np.round(line / unit, 4) * unit)
        out += [f"[hull.{name}]", f"profile = [{points}]"]
        if transom:
            out.append("transom = true")
        elif siding > 0:
            out.append(f'siding = "{siding * 1000:.2f} mm"')
        out.append("")
    return "\n".join(out)
