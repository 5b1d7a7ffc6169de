"""What stands in and on the skin, as solids at their place: stems, clamps, rims, bulkheads, thwarts, and the seats to scale."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

import numpy as np

from hullview.afloat.loads import paddler_centre
from hullview.boat.model import Boat, Build, Piece, Run
from hullview.shape.hull import Hull, NamedLine
from hullview.show import colours
from hullview.show.outlines import cut, joined
from hullview.show.parts import Part, Sheet
from hullview.weight.areas import Places, places_of
from hullview.weight.lengths import STICKS, frame_of, lines_along, offset_of, section_size

Array = np.ndarray

SEAT = (0.34, 0.36, 0.012)
"""A seat as drawn: length from its back, width, thickness [m]."""
_BOX = np.array([[i, j, k] for i in (-1, 1) for j in (-1, 1) for k in (-1, 1)]) / 2.0
_BOX_FACES = np.array(
    [
        [0, 1, 3],
        [0, 3, 2],
        [4, 6, 7],
        [4, 7, 5],
        [0, 4, 5],
        [0, 5, 1],
        [2, 3, 7],
        [2, 7, 6],
        [0, 2, 6],
        [0, 6, 4],
        [1, 5, 7],
        [1, 7, 3],
    ]
)


def solids(boat: Boat, hull: Hull, build: Build, tone: Mapping[str, str]) -> tuple[Part, ...]:
    """One part for each wood (words and colour as `tone` has them for the skin), and one for bulkheads that are no wood's."""
    places = places_of(hull, build.schedule)
    found: dict[str, list[Sheet]] = {}
    for run in build.schedule.runs:
        if run.kind in STICKS and run.wood:
            found.setdefault(run.wood, []).extend(
                _stick(run, line, places, boat) for line in lines_along(hull, run.along)
            )
    for wall in boat.bulkheads:
        found.setdefault(wall.wood or "bulkhead", []).append(_wall(hull, wall.position, wall.thickness))
    for piece in build.schedule.pieces:
        if piece.size and piece.wood:
            found.setdefault(piece.wood, []).extend(_boxes(piece, hull))
    return tuple(
        Part(f"{wood} solids", wood, tone.get(wood, colours.NEUTRAL), _together(sheets), wooden=wood in tone)
        for wood, sheets in found.items()
    )


def seats(boat: Boat, hull: Hull, thickness: float) -> tuple[Part, ...]:
    """Each paddler's seat to scale, with a mast from it to the paddler's own centre; `thickness` of the bottom [m]."""
    plates, masts = [], []
    for paddler in boat.load.paddlers:
        centre = paddler_centre(paddler, hull, thickness)
        top = centre[2] - paddler.heights[1]
        middle = [paddler.seat_back - SEAT[0] / 2, paddler.side, top - SEAT[2] / 2]
        plates.append(_trimmed(np.array(middle), SEAT, hull))
        mast = np.array([centre[0], centre[1], (centre[2] + top) / 2])
        masts.append(_box(mast, (0.008, 0.008, max(centre[2] - top, 0.01))))
        masts.append(_ball(centre, 0.028))
    if not plates:
        return ()
    return (
        Part("seat", "seat, to scale", colours.SEAT, _together(plates)),
        Part("paddler", "paddler's own centre", colours.PADDLER, _together(masts)),
    )


def _together(sheets: list[Sheet]) -> Sheet:
    whole = sheets[0]
    for sheet in sheets[1:]:
        whole = whole + sheet
    return whole


def _sheet(vertices: Array, faces: Array) -> Sheet:
    return Sheet(vertices, faces, vertices[:, 0], vertices[:, 1] + vertices[:, 2])


def _box(middle: Array, size: tuple[float, float, float]) -> Sheet:
    return _sheet(middle + _BOX * size, _BOX_FACES)


def _ball(middle: Array, radius: float) -> Sheet:
    turn, rise = np.meshgrid(np.linspace(0, 2 * np.pi, 17), np.linspace(-np.pi / 2, np.pi / 2, 9))
    points = np.stack([np.cos(rise) * np.cos(turn), np.cos(rise) * np.sin(turn), np.sin(rise)], axis=-1)
    index = np.arange(turn.size).reshape(turn.shape)
    a, b, c, d = (i.ravel() for i in (index[:-1, :-1], index[:-1, 1:], index[1:, 1:], index[1:, :-1]))
    faces = np.concatenate([np.column_stack([a, b, c]), np.column_stack([a, c, d])])
    return _sheet(middle + radius * points.reshape(-1, 3), faces)


def _boxes(piece: Piece, hull: Hull) -> Iterator[Sheet]:
    """A piece as a box trimmed to the inside of the skin; two of them off the centre line are a pair, as they are weighed."""
    assert piece.size is not None
    at = np.array(piece.at)
    yield _trimmed(at, piece.size, hull)
    if piece.count == 2 and piece.at[1]:
        yield _trimmed(at * [1, -1, 1], piece.size, hull)


def _trimmed(middle: Array, size: tuple[float, float, float], hull: Hull, slices: int = 9) -> Sheet:
    """A box whose sides stop at the skin."""
    if hull.side is None:
        return _box(middle, size)
    aft = middle[0] + np.linspace(-0.5, 0.5, slices) * size[0]
    rings = np.empty((slices, 4, 3))
    for i, x in enumerate(aft):
        for j, (side, up) in enumerate(((-1, -1), (1, -1), (1, 1), (-1, 1))):
            z = middle[2] + up * size[2] / 2
            room = half_breadth(hull, x, z)
            rings[i, j] = x, np.clip(middle[1] + side * size[1] / 2, -room, room), z
    return _swept(rings, closed=False)


def half_breadth(hull: Hull, x: float, z: float) -> float:
    """From the centre line to the outside of the skin at x aft and z up [m], 0 under the keel; the sheer's where z is over it."""
    assert hull.side is not None
    points = hull.side.points
    column = int(np.clip(np.searchsorted(points[-1, :, 0], x), 1, points.shape[1] - 1))
    found = []
    for c in (column - 1, column):
        order = np.argsort(points[:, c, 2], kind="stable")
        found.append(np.interp(z, points[order, c, 2], points[order, c, 1], left=0.0))
    return float(np.interp(x, points[-1, column - 1 : column + 1, 0], found))


def _stick(run: Run, line: NamedLine, places: Places, boat: Boat) -> Sheet:
    """A lamination or a solid swept along its own path, where it is weighed; a pair has both."""
    frame = frame_of(line)
    thick, deep = section_size(run)
    middle = line.points + offset_of(run, line, places)
    keep = np.ones(len(middle), bool)
    if run.start is not None:
        keep &= middle[:, 0] >= run.start
    if run.end is not None:
        keep &= middle[:, 0] <= run.end
    if line.paired and run.side == "inside":  # it ends where the two sides meet
        keep &= middle[:, 1] > thick / 2
    wide = np.full((len(middle), 2), deep / 2)
    along = frame.down
    if (
        not line.paired and not line.closed
    ):  # on the centre line it lies athwart, bevelled to the skins that meet there
        along = np.broadcast_to([0.0, 1.0, 0.0], middle.shape)
        siding = (boat.hull.stern if run.along == "stern stem" else boat.hull.bow).siding
        wide = np.minimum(wide, _bevel(line, frame.out, thick, siding, run.side))
    near, far = middle - thick / 2 * frame.out, middle + thick / 2 * frame.out
    rings = np.stack(
        [
            near - along * wide[:, :1],
            near + along * wide[:, :1],
            far + along * wide[:, 1:],
            far - along * wide[:, 1:],
        ],
        axis=1,
    )[keep]
    if run.along in ("bow stem", "stern stem"):  # sawn off level at the sheer and on the keel
        foot, head = line.points[:, 2].min() + places.thickness["hull"], line.points[:, 2].max() - 0.002
        rings[..., 2] = rings[..., 2].clip(min(foot, head), head)
    sheet = _swept(rings, line.closed and bool(keep.all()))
    if line.paired:
        sheet = sheet + _sheet(sheet.vertices * [1, -1, 1], sheet.faces[:, ::-1])
    return sheet


def _bevel(line: NamedLine, out: Array, thick: float, siding: float, side: str) -> Array:
    """Half-breadths (k, 2) that the two skins leave at the inner and the outer face of a stem inside them [m]."""
    if side == "outside":
        return np.full((len(out), 2), np.inf)
    opening = np.maximum((line.hull_normals * out).sum(axis=1), 0) / np.maximum(
        np.abs(line.hull_normals[:, 1]), 0.05
    )
    return np.maximum(siding, 0.004) / 2 + opening[:, None] * np.array([thick, 0.0])


def _swept(rings: Array, closed: bool) -> Sheet:
    """Rings (k, 4, 3) joined into a stick, its ends closed unless it goes round."""
    count = len(rings)
    if closed:
        rings = np.concatenate([rings, rings[:1]])
        count += 1
    start = 4 * np.arange(count - 1)[:, None, None]
    side = np.array(
        [[[i, (i + 1) % 4, (i + 1) % 4 + 4], [i, (i + 1) % 4 + 4, i + 4]] for i in range(4)]
    ).reshape(1, 8, 3)
    faces = (start + side).reshape(-1, 3)
    if not closed:
        last = 4 * (count - 1)
        ends = [[0, 2, 1], [0, 3, 2], [last, last + 1, last + 2], [last, last + 2, last + 3]]
        faces = np.concatenate([faces, ends])
    return _sheet(rings.reshape(-1, 3), faces)


def _wall(hull: Hull, position: float, thickness: float) -> Sheet:
    """A bulkhead as a plate that fills the section at its position [m aft]."""
    lines = joined(cut(hull.vertices, hull.faces, np.array([1.0, 0, 0]), position)[0])
    rim = max(lines, key=len)[:-1]
    middle = rim.mean(axis=0)
    rim = middle + (rim - middle) * 0.985  # clear of the skin, so that both are seen
    half = np.array([thickness / 2, 0.0, 0.0])
    plates = [np.vstack([rim, middle]) - half, np.vstack([rim, middle]) + half]
    count = len(rim)
    around = np.column_stack([np.arange(count), (np.arange(count) + 1) % count, np.full(count, count)])
    return _sheet(np.concatenate(plates), np.concatenate([around, around[:, ::-1] + count + 1]))
