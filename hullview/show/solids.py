"""What stands in and on the skin, as solids at their place: stems, clamps, rims, bulkheads, thwarts, and
the seats to scale."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from hullview.afloat.loads import paddler_centre
from hullview.arrays import Array
from hullview.boat.model import Boat, Build, Run
from hullview.shape.hull import Hull, NamedLine
from hullview.shape.room import Room
from hullview.show import colours
from hullview.show.fittings import boxes, plate, wall
from hullview.show.parts import Part, Patch
from hullview.show.person import person
from hullview.weight.areas import Places, places_of
from hullview.weight.lengths import STICKS, frame_of, lines_along, offset_of, section_size
from hullview.weight.placed import room_in

SEAT = (0.34, 0.36, 0.012)
"""A seat as drawn: length from its back, width, thickness [m]."""
SEEN_THROUGH = 0.55
"""Opacity of the figure of a person."""


def solids(boat: Boat, hull: Hull, build: Build, tone: Mapping[str, str]) -> tuple[Part, ...]:
    """One part for each wood (words and colour as `tone` has them for the skin), and one for bulkheads
    that are no wood's."""
    places, room = places_of(hull, build.schedule), room_in(hull, build.schedule)
    found: dict[str, list[Patch]] = {}
    for run in build.schedule.runs:
        if run.kind in STICKS and run.wood:
            found.setdefault(run.wood, []).extend(
                _stick(run, line, places, boat, room) for line in lines_along(hull, run.along)
            )
    for bulkhead in boat.bulkheads:
        found.setdefault(bulkhead.wood or "bulkhead", []).append(wall(bulkhead, hull, room))
    for piece in build.schedule.pieces:
        if piece.size and piece.wood:
            found.setdefault(piece.wood, []).extend(boxes(piece, room))
    return tuple(
        Part(f"{wood} solids", wood, tone.get(wood, colours.NEUTRAL), _together(sheets), wooden=wood in tone)
        for wood, sheets in found.items()
    )


def seats(boat: Boat, hull: Hull, thickness: float, room: Room | None = None) -> tuple[Part, ...]:
    """Each paddler as a figure to scale that is seen through, on a seat to scale.

    `thickness` of the bottom [m]; room: the inside of the planking, within which legs are kept.
    """
    plates, figures = [], []
    for paddler in boat.load.paddlers:
        centre = paddler_centre(paddler, hull, thickness)
        top = centre[2] - paddler.heights[1]
        if paddler.posture != "standing":
            middle = [paddler.seat_back + paddler.ahead * SEAT[0] / 2, paddler.side, top - SEAT[2] / 2]
            plates.append(plate(np.array(middle), np.array(SEAT), room))
        seat = np.array([paddler.seat_back, paddler.side, top])
        figures.append(person(paddler, seat, top - paddler.seat, room))
    shown = (
        ("seat", "seat, to scale", colours.SEAT, plates, 1.0),
        ("paddler", "paddler, to scale", colours.PADDLER, figures, SEEN_THROUGH),
    )
    return tuple(
        Part(name, words, colour, _together(patches), opacity=opacity)
        for name, words, colour, patches, opacity in shown
        if patches
    )


def _together(sheets: list[Patch]) -> Patch:
    whole = sheets[0]
    for sheet in sheets[1:]:
        whole = whole + sheet
    return whole


def _sheet(vertices: Array, faces: Array) -> Patch:
    return Patch(vertices, faces, vertices[:, 0], vertices[:, 1] + vertices[:, 2])


def _stick(run: Run, line: NamedLine, places: Places, boat: Boat, room: Room | None) -> Patch:
    """A lamination or a solid swept along its own path, where it is weighed, and inside of the planking
    where it lies inside; a pair has both."""
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
    if run.side == "inside" and room is not None:
        rings = room.kept_in(rings.reshape(-1, 3)).reshape(rings.shape)
    sheet = _swept(rings, line.closed and bool(keep.all()))
    if line.paired:
        sheet = sheet + _sheet(sheet.vertices * [1, -1, 1], sheet.faces[:, ::-1])
    return sheet


def _bevel(line: NamedLine, out: Array, thick: float, siding: float, side: str) -> Array:
    """Half-breadths (k, 2) that the two skins leave at the inner and the outer face of a stem inside them
    [m]."""
    if side == "outside":
        return np.full((len(out), 2), np.inf)
    opening = np.maximum((line.hull_normals * out).sum(axis=1), 0) / np.maximum(
        np.abs(line.hull_normals[:, 1]), 0.05
    )
    return np.asarray(np.maximum(siding, 0.004) / 2 + opening[:, None] * np.array([thick, 0.0]))


def _swept(rings: Array, closed: bool) -> Patch:
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
    corners = rings.reshape(-1, 3)
    a, b, c = (corners[faces[:, i]] - corners[0] for i in range(3))
    inside_out = (a * np.cross(b, c)).sum() < 0  # a line may run either way along the boat
    return _sheet(corners, faces[:, ::-1] if inside_out else faces)
