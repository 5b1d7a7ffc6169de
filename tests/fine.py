"""The outside of a hull as a mesh far finer than the one that is used, and how far points lie from it: a
referee that knows nothing of normals."""

from __future__ import annotations

import numpy as np
from scipy.spatial import cKDTree

from hullview.shape import assemble


def fine_grid(boat, rows=480, columns=1000, deck=False):
    """The starboard side (rows, columns, 3), or the deck, of the surface of the table, on a net ten times
    finer."""
    was = assemble.ROWS, assemble.COLUMNS, assemble.DECK_ROWS
    try:
        assemble.ROWS, assemble.COLUMNS, assemble.DECK_ROWS = rows, columns, rows // 3
        fair = assemble._fair(boat, (lofted := assemble.read_sections(boat)), assemble.choose_net(lofted))
    finally:
        assemble.ROWS, assemble.COLUMNS, assemble.DECK_ROWS = was
    return fair.deck if deck else fair.side


class Outside:
    """Distances from a grid of points, as its two triangles a cell, port side too."""

    def __init__(self, grid):
        both = np.concatenate([grid[::-1] * [1, -1, 1], grid]) if abs(grid[0, :, 1]).max() < 1e-9 else grid
        self.grid, self.shape = both, both.shape[:2]
        self.tree = cKDTree(both.reshape(-1, 3))

    def distance(self, points, near=6):
        """Distance (n,) of points (n, 3) from the surface."""
        _, index = self.tree.query(points, k=near)
        best = np.full(len(points), np.inf)
        r, c = np.divmod(index, self.shape[1])
        for k in range(near):
            for dr in (-1, 0):
                for dc in (-1, 0):
                    i, j = r[:, k] + dr, c[:, k] + dc
                    ok = (i >= 0) & (j >= 0) & (i < self.shape[0] - 1) & (j < self.shape[1] - 1)
                    i, j = np.clip(i, 0, self.shape[0] - 2), np.clip(j, 0, self.shape[1] - 2)
                    a, b, d, e = (
                        self.grid[i, j],
                        self.grid[i + 1, j],
                        self.grid[i, j + 1],
                        self.grid[i + 1, j + 1],
                    )
                    for tri in ((a, b, e), (a, e, d)):
                        best = np.where(ok, np.minimum(best, to_triangle(points, *tri)), best)
        return best


def to_triangle(p, a, b, c):
    """Distance (n,) of points from triangles: to the plane where the foot lies inside, else to the nearest
    side."""
    n = np.cross(b - a, c - a)
    size = np.linalg.norm(n, axis=1)
    flat = size > 1e-15
    unit = n / np.where(flat, size, 1)[:, None]
    inside = flat.copy()
    for u, v in ((a, b), (b, c), (c, a)):
        inside &= (np.cross(v - u, p - u) * unit).sum(1) >= 0
    out = np.minimum.reduce([to_side(p, u, v) for u, v in ((a, b), (b, c), (c, a))])
    return np.where(inside, np.abs(((p - a) * unit).sum(1)), out)


def to_side(p, u, v):
    d = v - u
    t = np.clip(((p - u) * d).sum(1) / np.maximum((d * d).sum(1), 1e-30), 0, 1)
    return np.linalg.norm(p - u - t[:, None] * d, axis=1)
