"""How a drawing at its true size is spread over pages, what each page shows, and where neighbours are
matched."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from hullview.arrays import Array
from hullview.weight.customs import customs

PAPERS = {"a4": (210.0, 297.0), "letter": (215.9, 279.4), "a3": (297.0, 420.0)}
STRIP = 14.0
"""Strip at the foot of each page for the bar and the words [mm]."""
BAR = 100.0
"""Length of the bar on each page [mm]."""


@dataclass(frozen=True)
class Tiling:
    """How a drawing is spread over pages.

    page : (width, height) [mm]; across, down : how many; step : from one page's window to the next; free :
    left round each page; overlap : of neighbours.
    corner : lower left corner of the first column's, last row's window in the drawing's millimetres.
    """

    page: tuple[float, float]
    across: int
    down: int
    free: float
    overlap: float
    corner: tuple[float, float]

    @property
    def window(self) -> tuple[float, float]:
        """What a page shows [mm]: all but what is left free, and a strip below for its words."""
        return self.page[0] - 2 * self.free, self.page[1] - 2 * self.free - STRIP

    @property
    def step(self) -> tuple[float, float]:
        return self.window[0] - self.overlap, self.window[1] - self.overlap

    def origin(self, column: int, row: int) -> tuple[float, float]:
        """Lower left corner of a page's window in the drawing [mm]; row 0 is the top one."""
        x = self.corner[0] + column * self.step[0]
        return x, self.corner[1] + (self.down - 1 - row) * self.step[1]


def tiling_of(low: Array, high: Array, paper: str) -> Tiling:
    """Pages for a drawing between two corners [mm], upright or lying, whichever are fewer; a roll is one
    page as long as it needs."""
    shop = customs()
    free, overlap = shop["paper_free"] * 1000, shop["paper_overlap"] * 1000
    width, height = high - low
    if paper == "roll":
        page = (width + 2 * free, height + 2 * free + STRIP)
        page = (max(page[0], 2 * BAR), max(page[1], 2 * BAR))
        return Tiling(page, 1, 1, free, overlap, (float(low[0]), float(low[1])))
    best = None
    for page in (PAPERS[paper], PAPERS[paper][::-1]):
        t = Tiling((page[0], page[1]), 1, 1, free, overlap, (0.0, 0.0))
        across = max(1, int(np.ceil((width - overlap) / t.step[0] - 1e-9)))
        down = max(1, int(np.ceil((height - overlap) / t.step[1] - 1e-9)))
        spare = (across * t.step[0] + overlap - width) / 2, (down * t.step[1] + overlap - height) / 2
        made = Tiling(
            t.page, across, down, free, overlap, (float(low[0] - spare[0]), float(low[1] - spare[1]))
        )
        if best is None or across * down < best.across * best.down:
            best = made
    assert best is not None
    return best


def page_name(column: int, row: int) -> str:
    """Rows by letter from the top, columns by number from the left.

    >>> page_name(0, 0), page_name(2, 27)
    ('A1', 'AB3')
    """
    letters = ""
    row += 1
    while row:
        row, rest = divmod(row - 1, 26)
        letters = chr(65 + rest) + letters
    return f"{letters}{column + 1}"


def match_places(tiling: Tiling, column: int, row: int) -> Iterator[tuple[tuple[float, float], str]]:
    """Two match marks on each lapped side, at its quarter points, named alike on both pages."""
    wide, tall = tiling.window
    lap = tiling.overlap
    for k, share in enumerate((0.25, 0.75), 1):
        if column > 0:
            yield (lap / 2, tall * share), f"{page_name(column - 1, row)}-{page_name(column, row)} {k}"
        if column < tiling.across - 1:
            yield (wide - lap / 2, tall * share), f"{page_name(column, row)}-{page_name(column + 1, row)} {k}"
        if row > 0:
            yield (wide * share, tall - lap / 2), f"{page_name(column, row - 1)}-{page_name(column, row)} {k}"
        if row < tiling.down - 1:
            yield (wide * share, lap / 2), f"{page_name(column, row)}-{page_name(column, row + 1)} {k}"
