"""A boat as written -> its hull: sections, surface, outside of the wood, openings, one closed mesh with
its named lines."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from hullview.arrays import Array
from hullview.boat.model import Boat, Table
from hullview.errors import ShapeError, refuse_path
from hullview.shape.deck import cut_openings, flooding_lines, rim_line
from hullview.shape.ends import EndCurve, make_end
from hullview.shape.girths import girths
from hullview.shape.hull import Hull, NamedLine, SurfaceGrid
from hullview.shape.mesh import close, number
from hullview.shape.offset import deck_outward, onto_transom, side_outward
from hullview.shape.overhang import NEARLY_NOUGHT, with_overhangs_filled
from hullview.shape.sections import (
    NamedLines,
    Section,
    chine_shares,
    make_section,
    named_lines,
    plainly_veed,
    station_points,
)
from hullview.shape.surface import (
    Net,
    even_out,
    loft_deck,
    loft_side,
    panel_normals,
    row_coordinates,
    whole_stations,
)
from hullview.shape.vectors import unit

MIRROR = np.array([1.0, -1.0, 1.0])
VEED = (
    "The offsets next to the keel lie on a vee, and no row says how the sections cross the centre line: taken"
    " as vee, not round. A row `shape,keel` in the table settles it."
)
ROWS, COLUMNS, DECK_ROWS = 48, 84, 14
"""Fineness of the mesh: chosen so that the estimated remaining error is under 0.01 % of displacement on
the models."""
IN_ENDS = 2
"""How many times closer columns lie between a stem and the first whole station, where waterlines turn
sharply."""
STRAIGHT = 0.4
"""Turning [rad a panel] that even a straight panel is taken to have, so that rows lie there too."""


@dataclass(frozen=True)
class Lofted:
    """The curves that the surface runs through: the sections of the table, and with those laid in between
    in `all_sections`."""

    sections: tuple[Section, ...]
    all_sections: tuple[Section, ...]
    bow: EndCurve
    stern: EndCurve
    level: tuple[bool, ...]
    chines: tuple[str, ...]
    names: tuple[str, ...]
    notes: tuple[str, ...]


def read_sections(boat: Boat) -> Lofted:
    """Sections and ends of a boat with a table of offsets."""
    table = boat.hull.table
    assert table is not None
    lines = named_lines(table)
    if boat.hull.type == "decked" and lines.deck is None:
        raise ShapeError(
            "no height row for the deck on the centre line, and it is decked. Add it: height,deck,,...",
            place=table.file,
        )
    notes: tuple[str, ...] = ()
    if not table.keel_given:
        inner = [station_points(table, lines, j) for j in range(1, len(table.stations) - 1)]
        if plainly_veed([p for p in inner if p is not None]):
            table = replace(table, keel_shape=("vee",) * len(table.stations))
            notes = (VEED,)
    order = table.chines
    last = len(table.stations) - 1
    first = _ends(table, lines, boat, order, np.full((2, len(order)), 0.5))
    points = []
    for j in range(last + 1):
        if (j == 0 and first[0].takes_column) or (j == last and first[1].takes_column):
            continue
        feet = [e.foot(table.stations[j]) for e in first]
        foot = next((f for f in feet if f is not None and f[0] > 1e-9), None)
        p = station_points(table, lines, j, None if foot is None else foot[1])
        if p is None:
            raise ShapeError(
                "the sheer or the keel line is missing at this"
                " station. Fill it in, or give the stem a profile that passes it.",
                place=f"{table.file} column {table.column(j)}",
            )
        points.append((j, p))
    if len(points) < 1 or all(any(e.foot(p.x) and e.foot(p.x)[0] > 1e-9 for e in first) for _, p in points):  # type: ignore[index]
        raise ShapeError(
            "no station lies between the two stems. Give at least one between them.", place=table.file
        )
    shares = chine_shares(table, [p for _, p in points], order) if order else np.zeros((len(points), 0))
    bow, stern = _ends(table, lines, boat, order, shares[[0, -1]])
    sections = []
    for (_, p), share in zip(points, shares):
        starts = [f[0] for e in (bow, stern) if (f := e.foot(p.x)) is not None]
        sections.append(make_section(p, order, share, max(starts, default=0.0)))
    level = tuple(p.keel_shape == "round" and p.side[0, 0] < 1e-6 for _, p in points)
    names = tuple(table.column(j) for j, _ in points)
    return Lofted(
        tuple(sections),
        with_overhangs_filled(tuple(sections), bow, stern),
        bow,
        stern,
        level,
        order,
        names,
        notes,
    )


def _ends(
    table: Table, lines: NamedLines, boat: Boat, order: tuple[str, ...], shares: Array
) -> tuple[EndCurve, EndCurve]:
    return (
        make_end(table, lines, boat.hull.bow, "bow", order, shares[0]),
        make_end(table, lines, boat.hull.stern, "stern", order, shares[1]),
    )


def choose_net(lofted: Lofted, coarser: int = 1, finer_rows: int = 1) -> Net:
    """Rows by the girth of each panel and closer where the sections turn, columns by the length between whole
    stations.

    coarser: so many times fewer of all. finer_rows: so many times more rows.
    """
    girths = np.array(
        [np.interp(np.arange(len(lofted.chines) + 2), s.fractions, s.arcs) for s in lofted.sections]
    )
    panels = np.diff(girths, axis=1).mean(axis=0)
    # A station in the overhang of a stem above a chine shows only part of a panel, and turns all the more in
    # it.
    often = [
        2 if k > 0 and any(k <= s.fractions[0] < k + 1 for s in lofted.sections) else 1
        for k in range(len(panels))
    ]
    counts = [
        int(max(8, round(ROWS * p / panels.sum() / 2 - NEARLY_NOUGHT) * 2)) * n * finer_rows // coarser
        for p, n in zip(panels, often)
    ]
    rows = tuple(tuple(_closer_at_turns(lofted, k, n)) for k, n in enumerate(counts))
    whole = whole_stations(lofted.sections)
    middle = [lofted.sections[i].x for i in whole]
    g = np.linspace(0, len(lofted.chines) + 1, 9)
    xs = np.array([lofted.bow.at(g)[:, 0].min(), *middle, lofted.stern.at(g)[:, 0].max()])
    spans = np.diff(xs) * np.array(
        [
            1 if lofted.bow.transom else IN_ENDS,
            *np.ones(len(whole) - 1),
            1 if lofted.stern.transom else IN_ENDS,
        ]
    )
    columns = tuple(
        int(max(4, round(COLUMNS * d / (xs[-1] - xs[0]) / 2 - NEARLY_NOUGHT) * 2)) // coarser for d in spans
    )
    return Net(rows, columns, DECK_ROWS * finer_rows // coarser)


def _closer_at_turns(lofted: Lofted, panel: int, count: int) -> Array:
    """Shares (count,) of a panel at which rows lie, from 0 to short of 1, so that each chord stands off the
    sections by about as much.

    A chord across a share f of a girth s that turns by theta stands off by f^2 s theta' / 8: rows lie as the
    root of the turning asks.
    """
    share = np.linspace(0.0, 1.0, 65)
    there = [s for s in lofted.sections if s.fractions[0] < panel + 0.9]
    some = [there[i] for i in np.unique(np.linspace(0, len(there) - 1, 8).astype(int))]
    turning = np.zeros(len(share) - 2)
    for s in some:
        step = np.diff(s.side.at(np.interp(panel + share, s.fractions, s.arcs)), axis=0)
        way = np.unwrap(np.arctan2(step[:, 1], step[:, 0]))
        turning += (
            np.where(panel + share[:-2] >= s.fractions[0], np.abs(np.diff(way)), 0.0) / share[1] / len(some)
        )
    dense = np.sqrt(np.concatenate([turning[:1], turning, turning[-1:]]) + STRAIGHT)
    far = np.concatenate([[0.0], np.cumsum((dense[1:] + dense[:-1]) / 2)])
    return np.interp(np.arange(count) / count, far / far[-1], share)


def build_hull(boat: Boat) -> Hull:
    """The hull of a boat, to the outside of the planking, with the same hull on a coarser mesh beside it.

    Parameters
    ----------
    boat : Boat
        With a table of offsets or a mesh.

    Returns
    -------
    Hull
        Lengths in metres: x aft of the bow datum, y to starboard, z above the base line.

    Raises
    ------
    ShapeError
        The table and the stems make no closed hull; it names the file, the column and what to do.
    MeshError
        The mesh of the file, or the one made, is open or inside out.

    Notes
    -----
    Where the table is to the inside, the first build's planking and its outside fairing loss say how far out
    the wood goes.
    """
    refuse_path(boat)
    if boat.hull.table is None:
        from hullview.shape.given import hull_from_mesh

        return hull_from_mesh(boat)
    lofted = read_sections(boat)
    coarse = _build(boat, lofted, choose_net(lofted, 2), None)
    return _build(boat, lofted, choose_net(lofted), coarse)


def outside_of_wood(boat: Boat) -> tuple[float, float]:
    """How far the outside of the wood lies outside the table's surface [m]: hull, deck."""
    if boat.hull.measured_to == "outside":
        return 0.0, 0.0
    found: dict[str, float] = {}
    for p in boat.builds[0].schedule.planking if boat.builds else ():
        if p.band is None:
            found.setdefault(p.where, p.thickness - p.loss_outside)
    if "hull" not in found:
        raise ShapeError(
            f"{boat.name}: the table is to the inside of the planking, so the planking's thickness is needed"
            " to know where the water "
            f'meets it. Add [[schedule.planking]] with where = "hull" and a thickness.'
        )
    return found["hull"], found.get("deck", found["hull"])


@dataclass(frozen=True)
class _Fair:
    """The surface of the table as grids, with normals seen from the panel on either side of a row (deck:
    None for an open boat)."""

    side: Array
    before: Array
    after: Array
    corners: tuple[int, ...]
    level: Array
    deck: Array | None
    deck_normal: Array | None


def _fair(boat: Boat, lofted: Lofted, net: Net) -> _Fair:
    _, corners = row_coordinates(net)
    side = loft_side(lofted.all_sections, lofted.bow, lofted.stern, net)
    level = _level_columns(lofted, side)
    before, after = panel_normals(side, corners, False, np.array([0.0, 1.0, -0.2]))
    _level_normals(before, after, level)
    decked = boat.hull.type == "decked"
    deck = loft_deck(lofted.all_sections, lofted.bow, lofted.stern, net, side[-1]) if decked else None
    return _Fair(side, before, after, corners, level, deck, None if deck is None else _deck_normals(deck))


def tabled_skins(boat: Boat, lofted: Lofted, finer_rows: int) -> tuple[SurfaceGrid, SurfaceGrid | None]:
    """Side and deck on the surface of the table itself, be that the outside or the inside of the planking,
    with more rows than the mesh has.

    The mesh's own rows are close enough for what floats; a bottom that turns within a few millimetres of the
    keel wants more of them where it is moved in.
    """
    fair = _fair(boat, lofted, choose_net(lofted, finer_rows=finer_rows))
    side = SurfaceGrid(_off_centre(fair.side), fair.after, fair.corners)
    if fair.deck is None or fair.deck_normal is None:
        return side, None
    return side, SurfaceGrid(_off_centre_deck(fair.deck), fair.deck_normal)


@dataclass(frozen=True)
class Skin:
    """The outside of the starboard half, before it is closed to a mesh.

    Parameters
    ----------
    fair_side, fair_deck : ndarray, shape (rows, columns, 3)
        Points of the fair surface [m]; fair_deck is None where the boat has no deck.
    side, deck : ndarray, shape (rows, columns, 3)
        The corners of the flat faces [m]: moved off the fair surface by as much as makes up for the chords.
    before, after, deck_normal : ndarray, shape (rows, columns, 3)
        Unit normals of the side, seen from the panel below and from the one above, and of the deck.
    corners : tuple of int
        Rows of the side that are corners between panels.
    """

    fair_side: Array
    side: Array
    before: Array
    after: Array
    corners: tuple[int, ...]
    fair_deck: Array | None
    deck: Array | None
    deck_normal: Array | None


def skin(boat: Boat, lofted: Lofted, net: Net) -> Skin:
    """The surface through the sections, out to the outside of the wood."""
    fair = _fair(boat, lofted, net)
    side, before, after, corners, level = fair.side, fair.before, fair.after, fair.corners, fair.level
    deck, deck_normal = fair.deck, fair.deck_normal
    d_side, d_deck = outside_of_wood(boat)
    if d_side > 0:
        side = side_outward(
            side,
            before,
            after,
            corners,
            level,
            d_side,
            None if deck_normal is None else deck_normal[0],
            d_deck,
        )
        transoms = [(c, e) for c, e in ((0, lofted.bow), (-1, lofted.stern)) if e.transom]
        for column, end in transoms:
            onto_transom(side, column, end)
        if deck is not None and deck_normal is not None:
            deck = deck_outward(deck, deck_normal, d_deck, side[-1])
            for column, end in transoms:
                onto_transom(deck, column, end)
                deck[0] = side[-1]
    fair_side, fair_deck = _off_centre(side), deck
    side = _off_centre(even_out(fair_side, corners, after, level))
    if deck is not None and deck_normal is not None:
        fair_deck = _off_centre_deck(deck)
        deck = _off_centre_deck(even_out(fair_deck, (), deck_normal, np.zeros(deck.shape[1], bool)))
    return Skin(fair_side, side, before, after, corners, fair_deck, deck, deck_normal)


def _build(boat: Boat, lofted: Lofted, net: Net, coarse: Hull | None) -> Hull:
    """One closed mesh of the whole boat, with its lines."""
    made, decked = skin(boat, lofted, net), boat.hull.type == "decked"
    fair_side, side, after, deck_normal = made.fair_side, made.side, made.after, made.deck_normal
    numbers = number(side, made.deck)
    ends = [
        "transom" if e.transom else f"{w} stem"
        for e, w in ((boat.hull.bow, "bow"), (boat.hull.stern, "stern"))
    ]
    patches = close(numbers, *ends)
    vertices, rims = cut_openings(boat, numbers.vertices, patches)
    faces, region, regions = patches.joined()
    used, faces = np.unique(faces, return_inverse=True)
    faces = faces.reshape(-1, 3)
    lines = _lines(fair_side, made.before, after, made.corners, lofted, deck_normal, ends)
    lines.update({name: rim_line(name, points) for name, (points, _, _) in rims.items()})
    girth = girths(side, numbers, len(vertices), (lofted.bow.transom, lofted.stern.transom))[:, used]
    return Hull(
        vertices[used],
        faces,
        region,
        regions,
        lines,
        flooding_lines(boat, lines["sheer"].points, rims),
        girth[1],
        girth[0],
        SurfaceGrid(fair_side, after, made.corners),
        None if made.fair_deck is None or deck_normal is None else SurfaceGrid(made.fair_deck, deck_normal),
        lofted.names,
        tuple(s.x for s in lofted.sections),
        tuple(_drawn(s) for s in lofted.sections),
        not decked,
        lofted.notes,
        coarse,
    )


def _level_columns(lofted: Lofted, side: Array) -> Array:
    """Columns (n,) of bool where the bottom goes smoothly across the centre line: between two round
    stations."""
    xs = np.array([s.x for s in lofted.sections])
    flags = np.array(lofted.level, float)
    level = np.interp(side[0, :, 0], xs, flags) > 0.999
    level &= side[0, :, 1] < 1e-9
    level[0] = level[-1] = False
    return np.asarray(level)


def _level_normals(before: Array, after: Array, level: Array) -> None:
    """Where the bottom is level at the centre line its normal lies in the centre plane."""
    flat = unit(after[0] * np.array([1.0, 0.0, 1.0]))
    before[0] = np.where(level[:, None], flat, before[0])
    after[0] = np.where(level[:, None], flat, after[0])


def _deck_normals(deck: Array) -> Array:
    _, n = panel_normals(deck, (), False, np.array([0.0, 0.0, 1.0]))
    n[-1] = unit(n[-1] * np.array([1.0, 0.0, 1.0]))
    return n


def _off_centre(side: Array) -> Array:
    """Keep every row but the first just off the centre line between the ends, so that the two sides stay
    two."""
    side = side.copy()
    side[1:, 1:-1, 1] = np.maximum(side[1:, 1:-1, 1], 1e-6)
    side[0, side[0, :, 1] < 1e-9, 1] = 0.0
    side[..., 1] = np.where(side[..., 1] < 1e-9, 0.0, side[..., 1])
    return side


def _off_centre_deck(deck: Array) -> Array:
    deck = deck.copy()
    deck[1:-1, 1:-1, 1] = np.maximum(deck[1:-1, 1:-1, 1], 1e-6)
    deck[-1, :, 1] = 0.0
    return deck


def _lines(
    side: Array,
    before: Array,
    after: Array,
    corners: Sequence[int],
    lofted: Lofted,
    deck_normal: Array | None,
    ends: Sequence[str],
) -> dict[str, NamedLine]:
    """The named lines on the outside of the hull."""
    flat = np.array([1.0, 0.0, 1.0])
    zero = np.zeros_like(side[-1])
    lines = {
        "sheer": NamedLine(
            "sheer", side[-1], True, False, before[-1], zero if deck_normal is None else deck_normal[0]
        )
    }
    lines["keel"] = NamedLine("keel", side[0] * flat, False, False, after[0], after[0] * MIRROR)
    for k, c in enumerate(corners):
        name = lofted.chines[k]
        lines[name] = NamedLine(name, side[c], True, False, before[c], after[c])
    for column, name, outward, end in ((0, ends[0], -1.0, lofted.bow), (-1, ends[1], 1.0, lofted.stern)):
        edge, n = side[:, column], after[:, column]
        if name == "transom":
            face = end.raked_normal(edge[:, 2]) * outward
            name = "bow transom" if column == 0 and ends[1] == "transom" else "transom"
            lines[name] = NamedLine(name, edge, True, False, n, face)
        else:
            lines[name] = NamedLine(name, edge * flat, False, False, n, n * MIRROR)
    return lines


def _drawn(section: Section) -> Array:
    """A station's curve as drawn, keel to sheer and on to the deck's centre (k, 3) [m]."""
    parts = [section.side.samples] + ([] if section.deck is None else [section.deck.samples])
    yz = np.concatenate(parts)
    return np.column_stack([np.full(len(yz), section.x), yz])
