"""Parts laid out on sheets, boxes apart, free to turn by a right angle."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from hullview.errors import UsageError

GRAIN = 10
"""The packer works in whole tenths of a millimetre."""


@dataclass(frozen=True)
class Spot:
    """Where a part lies: its number, its sheet, the lower left corner of its box [mm], and whether it is
    turned a quarter anticlockwise."""

    part: int
    sheet: int
    x: float
    y: float
    turned: bool


def nest(
    boxes: Sequence[tuple[float, float]],
    sheet: tuple[float, float],
    apart: float,
    edge: float,
    names: Sequence[str] = (),
) -> tuple[Spot, ...]:
    """Boxes (width, height) [mm] on as few sheets as the packer finds.

    Parameters
    ----------
    boxes : sequence of (width, height)
    sheet : (width, height)
        Of one sheet [mm].
    apart, edge : float
        Least distance between parts, and from a part to the sheet's edge [mm].
    names : sequence of str
        For the message where a part is larger than a sheet.

    Examples
    --------
    >>> [(s.sheet, s.turned) for s in nest([(90, 40), (40, 90)], (100, 100), 2, 2)]
    [(0, False), (0, True)]
    """
    from rectpack import PackingBin, PackingMode, newPacker

    room = sheet[0] - 2 * edge, sheet[1] - 2 * edge
    for k, (w, h) in enumerate(boxes):
        if not ((w <= room[0] and h <= room[1]) or (h <= room[0] and w <= room[1])):
            name = names[k] if names else f"part {k + 1}"
            raise UsageError(
                f"{name} is {w:.0f} x {h:.0f} mm and does not fit a sheet of {sheet[0]:.0f} x {sheet[1]:.0f}"
                f" mm with {edge:.0f} mm free at its edges. Give a larger --sheet, or cut the forms in halves"
                " with --halves."
            )
    packer = newPacker(mode=PackingMode.Offline, bin_algo=PackingBin.Global, rotation=True)
    for k, (w, h) in enumerate(boxes):
        packer.add_rect(_up(w + apart), _up(h + apart), rid=k)
    packer.add_bin(_up(room[0] + apart), _up(room[1] + apart), count=max(len(boxes), 1))
    packer.pack()
    found = {}
    used: dict[int, int] = {}
    for number, bin_ in enumerate(packer):
        for rect in bin_:
            w, h = boxes[rect.rid]
            used.setdefault(number, len(used))
            turned = rect.width != _up(w + apart) and abs(w - h) > 1e-9
            found[rect.rid] = Spot(
                rect.rid, used[number], rect.x / GRAIN + edge, rect.y / GRAIN + edge, turned
            )
    assert len(found) == len(boxes), "the packer has lost a part that fits an empty sheet"
    return tuple(found[k] for k in range(len(boxes)))


def _up(size: float) -> int:
    return int(-(-size * GRAIN // 1))
