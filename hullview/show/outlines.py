"""Lines drawn on a skin: where a plane cuts its triangles, and the cuts joined end to end."""

from __future__ import annotations

import numpy as np

from hullview.arrays import Array


def cut(vertices: Array, faces: Array, normal: Array, offset: float) -> tuple[Array, Array]:
    """Segments (k, 2, 3) [m] where the plane normal . p = offset [m] cuts triangles, and which triangle (k,)
    each lies in.

    Each runs with the side that `normal` points to on its left, seen from outside. A vertex in the plane
    counts as above it.

    >>> corner = np.array([[0.0, 0, 0], [1, 0, 0], [0, 0, 2]])
    >>> cut(corner, np.array([[0, 1, 2]]), np.array([0, 0, 1.0]), 1.0)[0].tolist()
    [[[0.0, 0.0, 1.0], [0.5, 0.0, 1.0]]]
    """
    gap = vertices @ np.asarray(normal, float) - offset
    under = gap[faces] < 0
    count = under.sum(axis=1)
    which = np.flatnonzero((count == 1) | (count == 2))
    corners, sign = faces[which], under[which]
    lone = np.where(count[which] == 1, sign.argmax(axis=1), (~sign).argmax(axis=1))
    row = np.arange(len(which))
    a, b, c = (corners[row, (lone + i) % 3] for i in range(3))
    ends = []
    for far in (b, c):
        share = gap[a] / (gap[a] - gap[far])
        ends.append(vertices[a] + (vertices[far] - vertices[a]) * share[:, None])
    segments = np.stack(ends, axis=1)
    under_alone = sign[row, lone]
    segments[under_alone] = segments[under_alone][:, ::-1]
    return segments, which


def joined(segments: Array, places: int = 7) -> list[Array]:
    """Directed segments (k, 2, d) joined end to end: polylines (n, d), a closed one with its first point
    again at its end.

    Ends that agree when rounded to `places` decimals are one point.

    >>> [line.tolist() for line in joined(np.array([[[1.0, 0], [2, 0]], [[0, 0], [1, 0]]]))]
    [[[0.0, 0.0], [1.0, 0.0], [2.0, 0.0]]]
    """
    keys = [[tuple(end) for end in pair] for pair in np.round(segments, places).tolist()]
    following: dict[tuple[float, ...], list[int]] = {}
    arrivals = {pair[1] for pair in keys}
    for i, (start, end) in enumerate(keys):
        if start != end:
            following.setdefault(start, []).append(i)
    lines = []
    starts = [k for k in following if k not in arrivals]
    for start in (
        *starts,
        *list(following),
    ):  # open lines from their beginnings, then what is left goes round
        while following.get(start):
            here, line = start, []
            while following.get(here):
                i = following[here].pop()
                line.append(segments[i, 0])
                last, here = segments[i, 1], keys[i][1]
            lines.append(np.array([*line, last]))
    return lines


def thinned(line: Array, tolerance: float) -> Array:
    """A polyline (n, d) with points left out where the rest passes within `tolerance` of them (Douglas and
    Peucker 1973)."""
    keep = np.zeros(len(line), bool)
    keep[[0, -1]] = True
    todo = [(0, len(line) - 1)]
    while todo:
        first, last = todo.pop()
        if last - first < 2:
            continue
        chord = line[last] - line[first]
        between = line[first + 1 : last] - line[first]
        length = float(np.linalg.norm(chord))
        along = (between @ chord / length**2).clip(0, 1) if length else np.zeros(len(between))
        far = np.linalg.norm(between - along[:, None] * chord, axis=1)
        worst = int(far.argmax())
        if far[worst] > tolerance:
            keep[first + 1 + worst] = True
            todo += [(first, first + 1 + worst), (first + 1 + worst, last)]
    return line[keep]
