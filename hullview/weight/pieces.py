"""What weighs by the piece: fittings by mass or by wood and size, bulkheads, skegs and outer keels."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np

from hullview.boat.model import Appendage, Boat, Bulkhead, Piece, Schedule
from hullview.materials import Library
from hullview.shape.appendages import outside_of
from hullview.shape.hull import Hull
from hullview.shape.polygon import moments
from hullview.weight.areas import LAPS, Places, bulkhead_spread, density_of
from hullview.weight.causes import RESIN_HANDS, Quantity, Term
from hullview.weight.line import ScheduleError, ScheduleLine
from hullview.weight.patch import Spread
from hullview.weight.placed import room_in, spread_of
from hullview.weight.stages import FINISHED, FITTED

PIECE_SPREAD = (0.92, 1.0, 1.12)
"""A fitting weighs this share of what was written: glue, screws, another maker (common practice, no
source)."""


def pieces(schedule: Schedule, hull: Hull, lib: Library) -> Iterator[ScheduleLine]:
    """A line for each piece."""
    room = room_in(hull, schedule) if any(p.scribed for p in schedule.pieces) else None
    for p in schedule.pieces:
        yield _piece(p, spread_of(p, room), lib)


def _piece(p: Piece, spread: Spread, lib: Library) -> ScheduleLine:
    if p.mass is not None:
        one = Quantity.of(f"piece: {p.name}", (p.mass * PIECE_SPREAD[0], p.mass, p.mass * PIECE_SPREAD[2]))
        term, group = Term(float(p.count), (one,), FINISHED), "fittings"
    elif p.wood and p.size:
        if spread.size <= 0:
            raise ScheduleError(
                f"piece {p.name!r}: scribed to the skin, nothing of it is left inside. Check `at`."
            )
        volume = p.size[0] * p.size[1] * p.size[2] * spread.size
        term, group = Term(volume, (density_of(lib.wood(p.wood)),), FINISHED, "solid"), "other wood"
    else:
        raise ScheduleError(f"piece {p.name!r}: needs a mass, or a wood and a size.")
    item = p.name + (f" ({p.count})" if p.count > 1 else "")
    return ScheduleLine(
        item, _at(p), "piece", float(p.count), "pieces", group, spread, (term,), (p.name,), p.wood or "",
        kind="piece", sizes=p.size or (), count=p.count, entry=p,
    )  # fmt: skip


def _at(p: Piece) -> str:
    if p.places:
        aft = sorted({f"{x:.2f}" for x, _, _ in p.places})
        return f"{aft[0]} m aft" if len(aft) == 1 else f"{', '.join(aft[:-1])} and {aft[-1]} m aft"
    side, out = p.at[1], f"{p.at[0]:.2f} m aft, {abs(p.at[1]) * 1000:.0f} mm"
    if side == 0:
        return f"{p.at[0]:.2f} m aft"
    return f"{out} out on both sides" if p.count == 2 else f"{out} to {'starboard' if side > 0 else 'port'}"


def bulkheads(boat: Boat, places: Places, lib: Library) -> Iterator[ScheduleLine]:
    """Walls across the hull, of a wood, of a cloth laminate, or of a wood skinned with cloth both sides by
    a schedule's skin."""
    for b, face in zip(boat.bulkheads, bulkhead_spread(boat, places)):
        yield from _bulkhead(b, face, lib)


def _bulkhead(b: Bulkhead, face: Spread, lib: Library) -> Iterator[ScheduleLine]:
    def line(kind: str, item: str, group: str, material: str, *factors: Quantity) -> ScheduleLine:
        size = b.thickness if b.wood else float(b.layers)
        term = Term(face.size * size, factors, FITTED, "solid" if b.wood else kind)
        return ScheduleLine(
            f"bulkhead, {item}",
            f"bulkhead, {b.position:.2f} m aft",
            "area",
            face.size,
            "m2",
            group,
            face,
            (term,),
            material=material,
            kind="bulkhead" if group != "resin" else kind,
            region="bulkheads",
            sizes=(b.thickness,) if b.wood else (),
            count=1 if b.wood else b.layers,
            entry=b,
        )

    if b.wood:
        wood = lib.wood(b.wood)
        yield line("solid", wood.name, "other wood", wood.name, density_of(wood))
    elif b.cloth:
        cloth, r = lib.cloth(b.cloth), lib.resin(b.resin)
        areal = Quantity.of(f"weight of {cloth.name}", cloth.areal)
        yield line("cloth", cloth.name, "cloth", cloth.name, LAPS, areal)
        ratio = Quantity.of(RESIN_HANDS, cloth.resin_ratio)
        yield line("wet-out", f"{r.name}, wet-out", "resin", r.name, LAPS, areal, ratio)


def appendage_spread(a: Appendage, pieces: Sequence[np.ndarray]) -> Spread:
    """Area [m2] on the centre line of the pieces (k, 2) of its outline, by Green's theorem: what of it
    stands outside the hull."""
    if not pieces:
        raise ScheduleError(
            f"appendage {a.name!r}: all of its outline lies inside the hull. Draw it below the keel or beyond"
            " the stem."
        )
    p = np.concatenate(pieces).T
    q = np.concatenate([np.roll(c, -1, axis=0) for c in pieces]).T
    area, centroid, about = moments(p, q)
    if abs(area) < 1e-12:
        raise ScheduleError(f"appendage {a.name!r}: its outline encloses nothing.")
    centre = np.array([centroid[0], 0.0, centroid[1]])
    second = np.outer(centre, centre)
    second[::2, ::2] += about / area
    return Spread(float(abs(area)), centre, second + np.diag([0, a.thickness**2 / 12, 0]))


def appendages(boat: Boat, hull: Hull, lib: Library) -> Iterator[ScheduleLine]:
    """Skegs, outer keels and outer stems by their thickness and by what of their outline stands outside
    the hull."""
    for a, outside in zip(boat.appendages, outside_of(hull, boat.appendages)):
        wood, face = lib.wood(a.wood), appendage_spread(a, outside)
        term = Term(face.size * a.thickness, (density_of(wood),), FITTED, "solid")
        yield ScheduleLine(
            f"{a.name}, {wood.name}",
            "centre line",
            "area",
            face.size,
            "m2",
            "other wood",
            face,
            (term,),
            (a.name,),
            wood.name,
            kind="appendage",
            region="keel",
            sizes=(a.thickness,),
            entry=a,
        )
