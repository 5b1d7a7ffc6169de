"""Wood to order: strips along their own lines and the boards they are ripped from, sticks, sheets, pieces."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from hullview.boat.model import Appendage, Build, Order, Piece, Planking, Run
from hullview.boat.wording import INCH
from hullview.materials import Library, Wood
from hullview.planking.lines import girths, strip_lines
from hullview.shape.hull import Hull, SurfaceGrid
from hullview.weight.areas import Places, label_of, lap_factor, strip_face
from hullview.weight.clamp import ripped_over
from hullview.weight.lengths import STICKS, section_size, spread_along
from hullview.weight.line import WeightLine
from hullview.weight.order import Loss, OrderLine, SheetsCut, SheetUse, SticksCut, StripsCut, priced
from hullview.weight.order_boards import SPARE_LENGTH, Stick, boards, stick_boards, stock_for
from hullview.weight.total import Weight

SCARF = 8.0
"""A scarf is this many thicknesses long (common practice, no source)."""
SHEET = (96 * 0.0254, 48 * 0.0254)
"""A sheet of plywood [m]: 8 by 4 ft, sold as 2440 by 1220 mm."""
RIPPED_TO = {"metric": 0.0005, "imperial": INCH / 32}
"""Plies that are planed to the deck once they are glued up are ripped to whole steps of this [m]."""
SHEET_WASTE, STICK_WASTE = 0.25, 0.10
"""Shares of what is used (common practice, no source)."""


@dataclass(frozen=True)
class StripCount:
    """Strips of one skin: how many (both sides), their running length [m], the longest [m]."""

    count: int
    running: float
    longest: float


def strip_count(
    grid: SurfaceGrid | None, face: float, area: float, sheer_row: int, length: float
) -> StripCount:
    """Count along the girth and length along each strip's own line; without a grid, from the area and the
    skin's length [m]."""
    if grid is None:
        running = area / face
        return StripCount(int(np.ceil(running / length)), running, length)
    lines = strip_lines(grid, face, sheer_row)
    widest = int(np.ceil(float(girths(grid).max()) / face - 1e-6))
    count = max(widest, len(lines))
    return StripCount(
        2 * count, max(2 * sum(s.length for s in lines), area / face), max(s.length for s in lines)
    )


def planked(build: Build, weight: Weight) -> Iterator[tuple[Planking, WeightLine]]:
    """Each planking of a build with its line of the weight: lines stand in the order of the schedule, and
    what lies under bands has none."""
    left = [line for line in weight.lines if line.group == "planking"]
    for p in build.schedule.planking:
        found = next(
            (x for x in left if (x.kind, x.where, x.sizes[0]) == (p.kind, label_of(p), p.thickness)), None
        )
        if found is not None:
            left.remove(found)
            yield p, found


def strips(
    build: Build, hull: Hull, weight: Weight, order: Order, lib: Library, units: str
) -> Iterator[OrderLine]:
    """Strips by count and running length, then the boards they are ripped from."""
    length = float(np.ptp(hull.sheer[:, 0]))
    banded = any(p.band for p in build.schedule.planking)
    for p, line in planked(build, weight):
        if p.kind != "strip":
            continue
        wood, face = lib.wood(p.wood), strip_face(p)
        grid, row = {"hull": (hull.side, -1), "deck": (hull.deck, 0)}.get(p.where, (None, -1))
        if p.band is not None or (banded and p.where == "hull"):
            grid = None  # a band changes how many run where: go by the area
        counted = strip_count(grid, face, line.quantity, row, length)
        yield from _ordered_strips(p, wood, counted, line.quantity / face, order, units)


def _ordered_strips(
    p: Planking, wood: Wood, found: StripCount, used: float, order: Order, units: str
) -> Iterator[OrderLine]:
    stock, where = stock_for(found.longest, order, units), p.where if p.band is None else "band"
    joint = order.joint if found.longest > stock else ""
    losses = [Loss("offcuts and splits", order.strip_waste * used, order.strip_waste)]
    if joint == "scarf":
        losses.append(Loss("in scarfs", found.running / stock * SCARF * p.thickness))
    lengths = int(np.ceil((used + sum(x.amount for x in losses)) / stock - 1e-9))
    volume = lengths * stock * p.thickness * p.strip_width
    line = OrderLine(
        "strips",
        f"{wood.name} strips, {p.edge}, {where}",
        used,
        lengths * stock,
        "m",
        kind="strips",
        material=wood.name,
        purpose=where,
        sizes=(p.thickness, p.strip_width),
        losses=tuple(losses),
        mass=volume * wood.density[1],
        made=StripsCut(found.count, lengths, stock, found.longest, joint, p.edge),
    )
    amounts = {"m": line.buy, "m3": volume, "kg": volume * wood.density[1]}
    yield priced(line, wood, amounts | dict.fromkeys(("strip", "each"), float(lengths)))
    yield boards(wood, [p.thickness] * lengths, p.strip_width, stock, volume, f"{where} strips", order, units)


def sticks(
    build: Build, hull: Hull, places: Places, order: Order, lib: Library, units: str
) -> Iterator[OrderLine]:
    """Plies and solid sticks by their section, as long as their run and a little more; then the boards to
    rip them from."""
    of_wood: dict[str, list[Stick]] = {}
    for run in build.schedule.runs:
        if run.kind not in STICKS or not run.wood:
            continue
        wood, length = lib.wood(run.wood), spread_along(run, places).size
        line, stick = _stick(run, wood, length, order, ripped_over(run, hull), RIPPED_TO[units])
        of_wood.setdefault(wood.name, []).append(stick)
        volume = line.buy * stick.thick * stick.deep
        yield priced(line, wood, {"m": line.buy, "m3": volume, "kg": volume * wood.density[1]})
    for name, several in of_wood.items():
        yield from stick_boards(lib.wood(name), several, order, units)


def _stick(
    run: Run, wood: Wood, length: float, order: Order, over: float, step: float
) -> tuple[OrderLine, Stick]:
    sides = 2 if run.along.startswith(("sheer", "chine", "transom")) else 1
    plies = run.plies if run.kind == "lamination" else 1
    whole, finished = section_size(run)
    deep = float(np.ceil((finished + over) / step - 1e-9)) * step if over else finished
    over = deep - finished
    thick, one, count = whole / plies, length / sides, sides * plies
    used, joint = length * plies, ""
    losses = [
        Loss("offcuts", STICK_WASTE * used, STICK_WASTE),
        Loss("over at the ends", SPARE_LENGTH * count),
    ]
    if order.stock_length and one > order.stock_length:
        joint = order.joint
        if joint == "scarf":
            losses.append(Loss("in scarfs", SCARF * thick * count * (np.ceil(one / order.stock_length) - 1)))
    buy = float(np.ceil((used + sum(x.amount for x in losses)) * 10 - 1e-9) / 10)
    what = run.name or run.along
    line = OrderLine(
        "sticks", f"{wood.name} {'plies' if run.kind == 'lamination' else 'stick'}, {what}", used, buy, "m",
        kind=run.kind, material=wood.name, purpose=what, sizes=(thick, deep), losses=tuple(losses),
        made=SticksCut(count, one + SPARE_LENGTH, joint, over), mass=buy * thick * deep * wood.density[1],
    )  # fmt: skip
    return line, Stick(count, thick, deep, one + SPARE_LENGTH)


def sheets(build: Build, hull: Hull, weight: Weight, order: Order, lib: Library) -> Iterator[OrderLine]:
    """Sheet planking, lapped planks and bulkheads: whole sheets of each material and thickness, whatever
    they are for."""
    uses: dict[tuple[str, float], list[SheetUse]] = {}
    longest: dict[tuple[str, float], float] = {}
    side = float(np.sqrt((np.diff(hull.sheer, axis=0) ** 2).sum(axis=1)).sum())
    for p, line in planked(build, weight):
        if p.kind == "strip":
            continue
        which = (line.material, p.thickness)
        uses.setdefault(which, []).append(SheetUse(line.where, line.kind, line.quantity * lap_factor(p)))
        if p.where == "hull" and side > SHEET[0]:
            longest[which] = side
    for line in weight.lines:
        if line.kind == "bulkhead" and line.group == "other wood":
            use = SheetUse(line.where, line.kind, line.quantity)
            uses.setdefault((line.material, line.sizes[0]), []).append(use)
    for (name, thick), several in uses.items():
        yield _sheets(lib.wood(name), thick, several, longest.get((name, thick), 0.0), order)


def _sheets(wood: Wood, thick: float, uses: Sequence[SheetUse], panel: float, order: Order) -> OrderLine:
    used, one = sum(use.area for use in uses), SHEET[0] * SHEET[1]
    count = int(np.ceil((1 + SHEET_WASTE) * used / one - 1e-9))
    joints = int(np.ceil(panel / SHEET[0] - 1e-9)) - 1 if panel else 0
    made = SheetsCut(
        count, SHEET, tuple(uses), panel, joints, order.joint if joints else "",
        SCARF * thick if joints and order.joint == "scarf" else 0.0,
    )  # fmt: skip
    line = OrderLine(
        "sheets",
        wood.name,
        used,
        count * one,
        "m2",
        kind="sheets",
        material=wood.name,
        sizes=(thick,),
        made=made,
        losses=(Loss("offcuts", SHEET_WASTE * used, SHEET_WASTE),),
        mass=count * one * thick * wood.density[1],
    )
    amounts = {"m2": line.buy, "m3": line.buy * thick, "kg": line.mass or 0.0}
    return priced(line, wood, amounts | dict.fromkeys(("sheet", "each"), float(count)))


def pieces(build: Build, appendages: Sequence[Appendage], lib: Library) -> Iterator[OrderLine]:
    """Pieces by wood and size or as bought, and the skegs and outer keels of the boat."""
    for p in build.schedule.pieces:
        yield _piece(p, lib)
    for a in appendages:
        x, z = np.array(a.outline).T
        size = (float(np.ptp(x)), float(np.ptp(z)), a.thickness)
        yield _piece(Piece(a.name, (0.0, 0.0, 0.0), wood=a.wood, size=size), lib)


def _piece(p: Piece, lib: Library) -> OrderLine:
    many = float(p.count)
    if not p.wood or not p.size:
        return OrderLine("pieces", p.name, many, many, "pieces", kind="piece", purpose=p.name)
    wood, volume = lib.wood(p.wood), p.count * float(np.prod(p.size))
    line = OrderLine(
        "pieces",
        f"{p.name}: {wood.name}",
        many,
        many,
        "pieces",
        kind="piece",
        material=wood.name,
        purpose=p.name,
        sizes=p.size,
        mass=volume * wood.density[1],
    )
    return priced(line, wood, {"m3": volume, "kg": volume * wood.density[1], "each": many})
