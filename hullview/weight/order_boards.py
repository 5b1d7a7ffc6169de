"""Boards to rip strips and sticks from: planed boards of the sizes that shops sell, those of which least
is bought."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from hullview.boat.model import Order
from hullview.materials import Wood, board_sizes
from hullview.weight.order import BoardsCut, Loss, OrderLine, priced

SPARE_LENGTH = 0.10
"""A stick is cut this much longer than its run [m] (common practice, no source)."""
AS_THICK = 1e-4
"""A strip of 19.05 mm comes out of a board planed to 19 mm [m]."""


@dataclass(frozen=True)
class Stick:
    """So many sticks of a section, thick by deep, each so long [m]."""

    count: int
    thick: float
    deep: float
    length: float


def stock_for(longest: float, order: Order, units: str) -> float:
    """The length of stock [m]: the shop's, or of the lengths sold the shortest that is no joint, or the
    longest there is."""
    if order.stock_length:
        return order.stock_length
    sold = [s.size(units) for s in board_sizes()["length"]]
    return next((s for s in sold if s >= longest + SPARE_LENGTH - 1e-9), sold[-1])


def thickness_for(size: float, order: Order, units: str) -> tuple[float, str, bool]:
    """The board's thickness [m] that a size is sawn from, what the trade calls it, and whether it has to
    be planed from rough stock first."""
    if order.board_thickness and order.board_thickness >= size - AS_THICK:
        return order.board_thickness, "", False
    sold = board_sizes()["thickness"] if order.board_thickness is None else ()
    fits = next((s for s in sold if s.size(units) >= size - AS_THICK), None)
    return (fits.size(units), fits.nominal, False) if fits else (size + order.planing, "", True)


def across(width: float, lane: float, order: Order) -> int:
    """How many strips of a thickness come out of a board's width [m]: each is sawn thicker by what is planed
    off it, with a kerf between.

    >>> across(0.140, 0.00635, Order())
    13
    """
    return int((width + order.kerf + 1e-9) / (lane + order.planing + order.kerf))


def packed(lanes: Iterable[float], width: float, order: Order) -> int:
    """Boards of a width that give lanes of these thicknesses [m], each the whole length of a board: widest
    first, where there is room."""
    room: list[float] = []
    for lane in sorted(lanes, reverse=True):
        takes = lane + order.planing + order.kerf
        k = next((i for i, r in enumerate(room) if r >= takes - 1e-9), None)
        if k is None:
            room.append(width + order.kerf - takes)
        else:
            room[k] -= takes
    return len(room)


def _widths(widest: float, order: Order, units: str) -> list[tuple[float, str]]:
    """Widths to choose from that hold the widest lane [m], with what the trade calls each."""
    if order.board_width and order.board_width >= widest:
        return [(order.board_width, "")]
    sold = [(s.size(units), s.nominal) for s in board_sizes()["width"]]
    return [s for s in sold if s[0] >= widest] or [(widest, "")]


def boards(
    wood: Wood,
    lanes: Sequence[float],
    size: float,
    stock: float,
    solid: float,
    purpose: str,
    order: Order,
    units: str,
) -> OrderLine:
    """The boards for lanes of these thicknesses [m], `size` across the board's thickness; solid: length of
    them that is used [m3 of wood]."""
    thickness, nominal, rough = thickness_for(size, order, units)
    choices = [
        (packed(lanes, width, order) * width, packed(lanes, width, order), width, called)
        for width, called in _widths(max(lanes) + order.planing, order, units)
    ]
    _, count, width, called = min(choices)
    bought = count * stock
    used = solid / (width * thickness)
    each = across(width, lanes[0], order) if len(set(lanes)) == 1 else 0
    line = OrderLine(
        "boards",
        f"boards of {wood.name}, {purpose}",
        used,
        bought,
        "m",
        kind="boards",
        material=wood.name,
        purpose=purpose,
        sizes=(thickness, width),
        losses=(Loss("sawdust, shavings and what is left of the boards", bought - used),),
        made=BoardsCut(
            count, stock, each, order.kerf, f"{nominal} x {called}" if nominal and called else "", rough
        ),
        mass=bought * width * thickness * wood.density[1],
        instead=True,
    )
    return priced(line, wood, {"board": float(count)})


def stick_boards(wood: Wood, sticks: Sequence[Stick], order: Order, units: str) -> Iterator[OrderLine]:
    """Boards for all sticks of a wood: ripped on edge where a board is as thick as they are deep, else out
    of the flat."""
    by_size: dict[float, list[tuple[Stick, float]]] = {}
    for s in sticks:
        low, high = sorted((s.thick, s.deep))
        on_edge = not thickness_for(high, order, units)[2]
        size, lane = (high, low) if on_edge else (low, high)
        by_size.setdefault(thickness_for(size, order, units)[0], []).append((s, lane))
    for group in by_size.values():
        stock = stock_for(max(s.length for s, _ in group), order, units)
        lanes = [lane for s, lane in group for _ in range(_lanes(s, stock))]
        size = max(s.thick + s.deep - lane for s, lane in group)
        solid = sum(s.count * s.thick * s.deep * s.length for s, _ in group)
        yield boards(wood, lanes, size, stock, solid, "sticks", order, units)


def _lanes(s: Stick, stock: float) -> int:
    """How many lengths of stock such sticks take: several short ones out of one, or one long one out of
    several."""
    out_of_one = int((stock + 1e-9) / s.length)
    return (
        int(np.ceil(s.count / out_of_one)) if out_of_one else int(np.ceil(s.count * s.length / stock - 1e-9))
    )
