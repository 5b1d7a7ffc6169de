"""A body cut by the water face by face, slow and plain: the independent way that the fast cut is held to."""

import numpy as np


def naive_clip(body, n, offset):
    """The wet part as a closed triangle mesh: every face clipped by itself, the cap a fan of triangles
    from one point of the plane."""
    pieces = []
    corners = body.vertices[body.faces]
    height = body.vertices @ n - offset
    height = height[body.faces]
    wet = height <= 0
    pieces.append(corners[wet.all(axis=1)])
    mixed = np.flatnonzero(wet.any(axis=1) & ~wet.all(axis=1))
    middle = n * offset
    for i in mixed:
        polygon, cut = [], []
        for k in range(3):
            p, q, hp, hq = corners[i, k], corners[i, (k + 1) % 3], height[i, k], height[i, (k + 1) % 3]
            if hp <= 0:
                polygon.append(p)
            if (hp <= 0) != (hq <= 0):
                meet = p + (q - p) * (hp / (hp - hq))
                polygon.append(meet)
                cut.append((len(polygon) - 1, hp <= 0))
        pieces.extend(
            np.array([polygon[0], polygon[k], polygon[k + 1]])[None] for k in range(1, len(polygon) - 1)
        )
        leaving = next(at for at, going_out in cut if going_out)
        entering = next(at for at, going_out in cut if not going_out)
        pieces.append(np.array([middle, polygon[entering], polygon[leaving]])[None])
    return np.concatenate(pieces)
