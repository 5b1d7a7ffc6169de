"""From the edge of the forms to the outside of the wood: grids moved along their normals, mitred where two
skins meet."""

from __future__ import annotations

import numpy as np

from hullview.arrays import Array
from hullview.shape.ends import EndCurve

LEAST_MITRE = 0.3
"""1 + cos of the angle between two skins below which a mitre is cut short: a sharp edge is faired round,
not run out to a spike."""
LEAST_ANGLE = 0.02
"""1 - cos of that angle (of 11 degrees) below which two skins of unlike thickness no longer meet in a
step."""

LEAST_LEVEL = 0.4
"""The sheer of an open boat moves level; with less of its normal level than this it moves no further."""


def mitre(one: Array, other: Array, d_one: float, d_other: float) -> Array:
    """The shift (..., 3) whose distance along unit normal `one` is d_one and along `other` is d_other.

    >>> mitre(np.array([0.0, 1, 0]), np.array([0.0, 0, 1]), 0.006, 0.004).tolist()
    [0.0, 0.006, 0.004]
    """
    c = np.clip((one * other).sum(-1, keepdims=True), -1.0, 1.0)
    along = (d_one + d_other) / 2 / np.maximum(1.0 + c, LEAST_MITRE)
    across = (d_one - d_other) / 2 / np.maximum(1.0 - c, LEAST_ANGLE)
    return np.asarray(along * (one + other) + across * (one - other))


def side_outward(
    grid: Array,
    before: Array,
    after: Array,
    corners: tuple[int, ...],
    level: Array,
    d: float,
    deck_normal: Array | None,
    d_deck: float,
) -> Array:
    """The side grid (rows, columns, 3) moved out by d [m].

    Chines are mitred. On the centre line a vee is mitred with its mirror image; a rabbet moves on its own.
    The sheer keeps its height on an open boat, and is mitred with the deck on a decked one. level (columns,):
    where row 0 crosses the centre line smoothly.
    """
    shift = d * after
    for c in corners:
        shift[c] = mitre(before[c], after[c], d, d)
    mirror = after[0] * np.array([1.0, -1.0, 1.0])
    vee = (grid[0, :, 1] < 1e-9) & ~level
    shift[0] = np.where(vee[:, None], mitre(after[0], mirror, d, d), shift[0])
    if deck_normal is None:
        flat = before[-1] * np.array([1.0, 1.0, 0.0])
        size = np.linalg.norm(flat, axis=-1, keepdims=True)
        shift[-1] = d * flat / np.maximum(size, LEAST_LEVEL) ** 2
    else:
        shift[-1] = mitre(before[-1], deck_normal, d, d_deck)
    out = grid + shift
    on_centre = grid[0, :, 1] < 1e-9
    on_centre[0] = on_centre[-1] = False
    out[0, on_centre, 1] = 0.0
    return out


def deck_outward(grid: Array, normal: Array, d: float, edge: Array) -> Array:
    """The deck grid moved up by d [m], from the sheer as moved (`edge`) to the centre line."""
    out = grid + d * normal
    out[0] = edge
    out[-1, :, 1] = 0.0
    across = np.linspace(1.0, 0.0, len(grid))
    for c in (0, -1):
        if (
            np.abs(grid[:, c] - grid[0, c]).max() < 1e-6
        ):  # a point, which the planking makes as wide as the stem becomes
            out[:, c] = edge[c]
            out[:, c, 1] = edge[c, 1] * across if edge[c, 1] > 1e-9 else 0.0
    return out


def onto_transom(grid: Array, column: int, end: EndCurve) -> None:
    """Let the last points of each row (at column 0 or -1) run on along it, or stop short, to lie on the
    transom."""
    beside = 1 if column == 0 else -2
    p = grid[:, column]
    step = p - grid[:, beside]
    size = np.linalg.norm(step, axis=1, keepdims=True)
    ahead = np.array([-1.0 if column == 0 else 1.0, 0.0, 0.0])
    step = np.where(size > 1e-9, step / np.maximum(size, 1e-9), ahead)
    gap = end.raked(p[:, 2]) - p[:, 0]
    grid[:, column] = p + (gap / (step[:, 0] - end.lean(p[:, 2]) * step[:, 2]))[:, None] * step
