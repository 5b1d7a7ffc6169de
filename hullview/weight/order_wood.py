"""Wood to order: strips along their own lines and the boards they are ripped from, sticks, sheets, pieces."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from hullview.boat.model import Build, Order, Planking
from hullview.materials import Library, Wood
from hullview.shape.hull import Hull, SurfaceGrid
from hullview.weight.areas import Places, label_of, strip_face
from hullview.weight.lengths import STICKS, spread_along
from hullview.weight.order import OrderLine, priced
from hullview.weight.strips import girths, strip_lines
from hullview.weight.total import Weight

SCARF = 8.0
"""A scarf is this many thicknesses long (common practice, no source)."""
SPARE_LENGTH = 0.10
"""A stick is cut this much longer than its run [m] (common practice, no source)."""
SHEET = (2.44, 1.22)
"""A sheet of plywood [m]."""
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
    """Count along the girth and length along each strip's own line; without a grid, from the area and the skin's length [m]."""
    if grid is None:
        running = area / face
        return StripCount(int(np.ceil(running / length)), running, length)
    lines = strip_lines(grid, face, sheer_row)
    widest = int(np.ceil(float(girths(grid).max()) / face - 1e-6))
    count = max(widest, len(lines))
    return StripCount(
        2 * count, max(2 * sum(s.length for s in lines), area / face), max(s.length for s in lines)
    )


def strips(build: Build, hull: Hull, weight: Weight, order: Order, lib: Library) -> Iterator[OrderLine]:
    """Strips by count and running length, then the boards they are ripped from."""
    length = float(np.ptp(hull.sheer[:, 0]))
    banded = any(p.band for p in build.schedule.planking)
    for p in build.schedule.planking:
        if p.kind != "strip":
            continue
        wood, face = lib.wood(p.wood), strip_face(p)
        area = sum(
            x.quantity
            for x in weight.lines
            if x.group == "planking" and x.material == wood.name and x.where == label_of(p)
        )
        grid, row = {"hull": (hull.side, -1), "deck": (hull.deck, 0)}.get(p.where, (None, -1))
        if p.band is not None or (banded and p.where == "hull"):
            grid = None  # a band changes how many run where: go by the area
        yield from _ordered_strips(p, wood, strip_count(grid, face, area, row, length), area / face, order)


def _ordered_strips(
    p: Planking, wood: Wood, found: StripCount, used: float, order: Order
) -> Iterator[OrderLine]:
    joints = 0.0
    stock = order.stock_length or found.longest + SPARE_LENGTH
    if found.longest > stock:
        each = SCARF * p.thickness if order.joint == "scarf" else 0.0
        joints = found.running / stock * each
    waste = order.strip_waste * used + joints
    lengths = int(np.ceil((used + waste) / stock - 1e-9))
    joined = "" if found.longest <= stock else f", {order.joint}ed (the longest is {found.longest:.2f} m)"
    size = f"{p.thickness * 1000:.4g} x {p.strip_width * 1000:.4g} mm, {p.edge}"
    line = OrderLine(
        "strips", f"{wood.name} strips {size}, {p.where if p.band is None else 'band'}", used, waste, lengths * stock, "m",
        f"{found.count} strips round the girth; {lengths} lengths of {stock:.2f} m{joined}", f"{order.strip_waste:.0%} offcuts and splits"
        + (f", {joints:.1f} m in scarfs" if joints else ""),
    )  # fmt: skip
    volume = line.buy * p.thickness * p.strip_width
    yield priced(
        line,
        wood,
        {
            "m": line.buy,
            "m3": volume,
            "kg": volume * wood.density[1],
            "strip": float(lengths),
            "each": float(lengths),
        },
    )
    ripped = int((order.board_width + order.kerf) / (p.thickness + order.kerf))
    boards = int(np.ceil(lengths / max(ripped, 1)))
    solid = lengths * stock * p.thickness * p.strip_width
    sawn = boards * stock * order.board_width * p.strip_width
    board = OrderLine(
        "boards", f"or boards of {wood.name} {order.board_width * 1000:.0f} x {p.strip_width * 1000:.4g} mm", solid / (order.board_width * p.strip_width),
        (sawn - solid) / (order.board_width * p.strip_width), boards * stock, "m",
        f"{boards} boards of {stock:.2f} m, {ripped} strips from each", f"kerf {order.kerf * 1000:.1f} mm a cut and what is left of the last board",
    )  # fmt: skip
    yield priced(board, wood, {"board": float(boards)})


def sticks(build: Build, places: Places, order: Order, lib: Library) -> Iterator[OrderLine]:
    """Plies and solid sticks by their section, as long as their run and a little more."""
    for run in build.schedule.runs:
        if run.kind not in STICKS or not run.wood:
            continue
        wood, length = lib.wood(run.wood), spread_along(run, places).size
        sides = 2 if run.along.startswith(("sheer", "chine", "transom")) else 1
        plies = run.plies if run.kind == "lamination" else 1
        thick = (run.ply_thickness if run.kind == "lamination" else run.thickness) or 0.0
        one = length / sides
        stock = order.stock_length
        scarf = (
            SCARF * thick * sides * plies * (np.ceil(one / stock) - 1)
            if stock and one > stock and order.joint == "scarf"
            else 0.0
        )
        used = length * plies
        waste = STICK_WASTE * used + SPARE_LENGTH * sides * plies + scarf
        line = OrderLine(
            "sticks", f"{wood.name} {thick * 1000:.4g} x {(run.depth or 0) * 1000:.4g} mm, {run.name or run.along}", used, waste,
            float(np.ceil((used + waste) * 10) / 10), "m", f"{sides * plies} of {one + SPARE_LENGTH:.2f} m",
            f"{STICK_WASTE:.0%} and {SPARE_LENGTH * 1000:.0f} mm on each" + (f", {scarf:.2f} m in scarfs" if scarf else ""),
        )  # fmt: skip
        volume = line.buy * thick * (run.depth or 0)
        yield priced(line, wood, {"m": line.buy, "m3": volume, "kg": volume * wood.density[1]})


def _joined_sheets(p: Planking, hull: Hull, order: Order) -> str:
    """How the panels of a hull longer than a sheet are made up: by scarfs or butts, as the shop has it; nothing where a sheet is long enough."""
    long = float(np.sqrt((np.diff(hull.sheer, axis=0) ** 2).sum(axis=1)).sum())
    if p.where != "hull" or long <= SHEET[0]:
        return ""
    joints = int(np.ceil(long / SHEET[0] - 1e-9)) - 1
    many = f"{joints} {order.joint}{'s' if joints > 1 else ''}"
    how = (
        f"{many} of {SCARF * p.thickness * 1000:.0f} mm, {SCARF:.0f} to 1,"
        if order.joint == "scarf"
        else f"{many}, each with a block behind it,"
    )
    return f"; panels of {long:.2f} m are longer than a sheet: {how} in each"


def sheets(build: Build, hull: Hull, weight: Weight, order: Order, lib: Library) -> Iterator[OrderLine]:
    """Sheet planking, lapped planks and bulkheads by area."""
    planks = {label_of(p): p for p in build.schedule.planking if p.kind != "strip"}
    for line in weight.lines:
        sheet = line.item.startswith(("sheet planking", "lapped planking", "bulkhead")) and line.group in (
            "planking",
            "other wood",
        )
        if not sheet:
            continue
        wood = lib.wood(line.material)
        waste = SHEET_WASTE * line.quantity
        sheets = (line.quantity + waste) / (SHEET[0] * SHEET[1])
        count = float(np.ceil(sheets * 4 - 1e-9) / 4)
        joined = _joined_sheets(planks[line.where], hull, order) if line.where in planks else ""
        made = OrderLine(
            "sheets", f"{wood.name}, {line.where}", line.quantity, waste, count * SHEET[0] * SHEET[1], "m2",
            f"{count:g} sheets of {SHEET[0]:.2f} x {SHEET[1]:.2f} m{joined}", f"{SHEET_WASTE:.0%} offcuts",
        )  # fmt: skip
        yield priced(
            made, wood, {"m2": made.buy, "sheet": float(np.ceil(count)), "each": float(np.ceil(count))}
        )


def pieces(build: Build, lib: Library) -> Iterator[OrderLine]:
    """Pieces: by wood and size, or as bought."""
    for p in build.schedule.pieces:
        if p.wood and p.size:
            wood, volume = lib.wood(p.wood), p.count * float(np.prod(p.size))
            size = " x ".join(f"{s * 1000:.4g}" for s in p.size)
            line = OrderLine(
                "pieces", f"{p.name}: {wood.name} {size} mm", float(p.count), 0.0, float(p.count), "pieces"
            )
            yield priced(line, wood, {"m3": volume, "kg": volume * wood.density[1], "each": float(p.count)})
        else:
            yield OrderLine("pieces", p.name, float(p.count), 0.0, float(p.count), "pieces")
