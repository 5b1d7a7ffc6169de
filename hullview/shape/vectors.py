"""Vectors in rows."""

from __future__ import annotations

import numpy as np

from hullview.arrays import Array

_TINY = 1e-300


def unit(v: Array, axis: int = -1) -> Array:
    """Vectors made one long; axis: along which their parts lie. A vector of nought stays so.

    >>> unit(np.array([[3.0, 4.0], [0.0, 0.0]])).tolist()
    [[0.6, 0.8], [0.0, 0.0]]
    """
    return np.asarray(v / np.maximum(np.sqrt((v * v).sum(axis=axis, keepdims=True)), _TINY))
