"""Where things stand around it in the water's frame, as plain arrays: the sheet of water, the band of the
waterline, the eye."""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np

from hullview.arrays import Array
from hullview.shape.vectors import unit
from hullview.show.outlines import cut


def water(low: Array, high: Array, line: Array) -> tuple[Array, Array]:
    """A flat oval (i, j, 3) [m] round the box `low`, `high`, open within `line` (k, 2, 3), and how thick
    it looks (i, j), 1 to 0."""
    middle, half = (low + high)[:2] / 2, (high - low)[:2] / 2
    reach = np.array([half[0] * 1.7, max(half[1] * 4.2, half[0] * 0.8)])
    angle, inner = shore((line[..., :2] - middle) / reach)
    ratio = inner + (1 - inner) * np.linspace(0, 1, 25)[:, None]
    flat = np.stack([ratio * np.cos(angle), ratio * np.sin(angle)], axis=-1) * reach + middle
    sheet = np.concatenate([flat, np.zeros((*ratio.shape, 1))], axis=-1)
    round_again = [*range(len(angle)), 0]
    return sheet[:, round_again], (1 - ratio[:, round_again] ** 2) ** 1.3


def shore(line: Array) -> tuple[Array, Array]:
    """Angles (s,) round the origin, and how far out (s,) the outermost of the segments `line` (k, 2, 2) lies
    on each, 0 for none.

    >>> corners = np.array([[1, -1], [1, 1], [-1, 1], [-1, -1]], float)
    >>> square = np.stack([corners, np.roll(corners, -1, axis=0)], axis=1)
    >>> angle, far = shore(square / 2)
    >>> bool(np.isclose(far.max(), 0.5**0.5) and np.isclose(far.min(), 0.5))
    True
    """
    turn = 2 * np.pi
    corners = np.arctan2(line[..., 1], line[..., 0]).ravel() % turn
    angle = np.unique(np.round(np.concatenate([np.linspace(0, turn, 96, endpoint=False), corners]), 6) % turn)
    if not len(line):
        return angle, np.zeros(len(angle))
    ray = np.column_stack([np.cos(angle), np.sin(angle)])
    far = np.zeros(len(angle))
    for start, end in line:
        side = end - start
        across = ray[:, 0] * side[1] - ray[:, 1] * side[0]
        with np.errstate(divide="ignore", invalid="ignore"):
            out = (start[0] * side[1] - start[1] * side[0]) / across
            along = (start[0] * ray[:, 1] - start[1] * ray[:, 0]) / across
        hit = (out > 0) & (along >= -1e-6) & (along <= 1 + 1e-6)
        far[hit] = np.maximum(far[hit], out[hit])
    return angle, np.minimum(far, 1.0)


def curtain(low: Array, high: Array, half: float, reach: float, from_aft: bool) -> tuple[Array, Array]:
    """A veil (i, j, 3) hanging from the surface between it and the eye, and how thick it looks; half,
    reach: of the picture [m]."""
    middle = (low + high) / 2
    across, down = np.linspace(-1, 1, 41), np.linspace(0, 1, 13)
    side, depth = np.meshgrid(across * reach, -down * half * 0.75, indexing="ij")
    near = np.full_like(side, high[0 if from_aft else 1] + 0.02)
    points = [near, side + middle[1], depth] if from_aft else [side + middle[0], near, depth]
    return np.stack(points, axis=-1), np.outer((1 - across**2) ** 0.7, (1 - down) ** 1.2)


def waterline(skins: Iterable[tuple[Array, Array]]) -> tuple[Array, Array, Array]:
    """Where the surface z = 0 cuts skins (vertices, faces): the line (k, 2, 3), the way out of the skin
    and up it (k, 1, 3)."""
    ends, along, out = [], [], []
    for points, faces in skins:
        segments, which = cut(points, faces, np.array([0.0, 0.0, 1.0]), 0.0)
        corners = points[faces[which]]
        face = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
        ends.append(segments)
        out.append(unit(face))
        along.append(unit(np.cross(face, segments[:, 1] - segments[:, 0])))
    line, outward, upward = (
        np.concatenate(ends),
        np.concatenate(out)[:, None, :],
        np.concatenate(along)[:, None, :],
    )
    return line, outward, upward * np.where(upward[..., 2:] < 0, -1.0, 1.0)


def frame(seen: Array, room: tuple[float, float], spread: float) -> tuple[Array, float]:
    """Middle (3,) and half height [m] of the picture that holds points (right, up, towards the eye) within
    `room`, the width and height it may fill in shares of the picture's height.

    spread: the half angle's tangent, 0 for a parallel view; nearer points look larger by 1 + spread * depth /
    half.
    """
    middle = (seen.min(axis=0) + seen.max(axis=0)) / 2
    half = 1.0
    for _ in range(8):
        depth = seen[:, 2] - middle[2]
        larger = 1 / np.maximum(1 - spread * depth / half, 0.2)
        flat = (seen[:, :2] - middle[:2]) * larger[:, None]
        low, high = flat.min(axis=0), flat.max(axis=0)
        half = float(max((high - low)[1] / room[1], (high - low)[0] / room[0])) / 2
        middle[:2] += (low + high) / 2
    return middle, half
