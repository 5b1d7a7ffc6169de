"""Volume of a hull under a level waterline from the skin of its sides alone, with no closed mesh."""

from __future__ import annotations

import numpy as np

from hullview.arrays import Array
from hullview.shape.clip import crossed, kept
from hullview.shape.mesh import grid_faces


def under_level(side: Array, height: float) -> tuple[float, Array]:
    """Volume and centre under a level that stands no higher than the sheer.

    Parameters
    ----------
    side : ndarray, shape (rows, columns, 3)
        Points of the starboard side [m], keel to sheer and bow to stern; the port side is its mirror image.
    height : float
        Of the level [m].

    Returns
    -------
    volume : float
        [m3]
    centroid : ndarray, shape (3,)
        Its centre [m]; nan where nothing is under the level.

    Notes
    -----
    By the divergence theorem the volume is the flux of (0, y, 0) out through what bounds it, and its moments
    in x and z are the fluxes of (0, x y, 0) and (0, z y, 0). The level itself, transoms and a flat keel have
    normals without a part athwartships and give nothing.
    """
    corners = side.reshape(-1, 3)[grid_faces(np.arange(side[..., 0].size).reshape(side.shape[:2]))]
    above = corners[..., 2] - height
    half = _fluxes(kept(corners, *crossed(above, above <= 0.0))).sum(axis=0)
    volume = 2.0 * float(half[0])
    if volume <= 0.0:
        return 0.0, np.full(3, np.nan)
    return volume, np.array([half[1] / half[0], 0.0, half[2] / half[0]])


def _fluxes(triangles: Array) -> Array:
    """Of (0, y, 0), (0, x y, 0) and (0, z y, 0) through triangles (k, 3, 3), turned by the right hand: (k,
    3)."""
    x, y, z = np.moveaxis(triangles, -1, 0)
    (x1, x2), (z1, z2) = ((v[:, 1] - v[:, 0], v[:, 2] - v[:, 0]) for v in (x, z))
    area = (z1 * x2 - x1 * z2) / 2  # projected on the centre plane
    total = y.sum(axis=1)
    moments = [(v.sum(axis=1) * total + (v * y).sum(axis=1)) / 12 for v in (x, z)]
    return np.asarray(area[:, None] * np.column_stack([total / 3, *moments]))
