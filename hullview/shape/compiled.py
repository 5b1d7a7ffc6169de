"""The cut of a body by a plane as three plain loops, for numba to compile: the same answers as the arrays of
`tree` and `polygon` give, to rounding, in a tenth of the time.

A single answer is sooner there without it, for loading numba takes longer than the answer; whoever asks for
many calls `start` first.
"""

from __future__ import annotations

import importlib.util
from collections.abc import Callable
from dataclasses import dataclass
from functools import cache
from typing import Any

import numpy as np

from hullview.arrays import Array
from hullview.errors import UsageError

FAN = 16
"""Faces a leaf and children a block, as in `tree`."""
WITHOUT = "the compiled cut needs numba: pip install 'hullview[fast]'."


@dataclass(frozen=True)
class Loops:
    """The three loops of a cut, compiled or as they stand."""

    gather: Callable[..., int]
    opened: Callable[..., int]
    plane: Callable[..., None]


def gather(
    boxes: Array,
    sums: Array,
    starts: Array,
    n: Array,
    offset: float,
    slack: float,
    wet: Array,
    crossed: Array,
) -> int:
    """Adds the sums of blocks that are wholly wet to `wet` (16,), puts leaves that the plane crosses into
    `crossed`, and says how many.

    boxes (b, 6), sums (b, 16): of all levels, the leaves first; level k is starts[k]:starts[k + 1].
    """
    x, y, z = n[0], n[1], n[2]
    ax, ay, az = abs(x), abs(y), abs(z)
    top = len(starts) - 2
    stack = np.empty((FAN * (top + 1), 2), np.int64)
    count = 0
    for block in range(starts[top + 1] - starts[top]):
        stack[0, 0], stack[0, 1] = top, block
        depth = 1
        while depth > 0:
            depth -= 1
            level, here = stack[depth, 0], stack[depth, 1]
            k = starts[level] + here
            middle = boxes[k, 0] * x + boxes[k, 1] * y + boxes[k, 2] * z
            half = boxes[k, 3] * ax + boxes[k, 4] * ay + boxes[k, 5] * az
            if middle + half < offset - slack:
                for i in range(16):
                    wet[i] += sums[k, i]
            elif middle - half <= offset + slack:
                if level == 0:
                    crossed[count] = here
                    count += 1
                else:
                    for child in range(FAN):
                        stack[depth, 0], stack[depth, 1] = level - 1, here * FAN + child
                        depth += 1
    return count


def opened(
    leaves: Array, rows: Array, crossed: Array, n: Array, offset: float, found: Array, segments: Array
) -> int:
    """Adds the faces of the crossed leaves to `found` (5,): three times the volume, four times its moment
    from the plane's own point (3), wetted area. Puts the cut of each crossed face into `segments` (k, 7):
    from, to, sign; says how many.

    leaves (l, 9, 16), rows (f, 8): as `tree` has them.
    """
    count = 0
    x, y, z = n[0], n[1], n[2]
    px, py, pz = x * offset, y * offset, z * offset
    d = np.empty((3, FAN))
    for leaf in crossed:
        for c in range(3):
            for f in range(FAN):
                h = leaves[leaf, c, f] * x + leaves[leaf, 3 + c, f] * y
                d[c, f] = h + leaves[leaf, 6 + c, f] * z - offset
        for f in range(FAN):
            below = int(d[0, f] <= 0) + int(d[1, f] <= 0) + int(d[2, f] <= 0)
            if below == 0:
                continue
            k = leaf * FAN + f
            flux = rows[k, 4] - (rows[k, 0] * px + rows[k, 1] * py + rows[k, 2] * pz)
            if below > 1:  # the whole face, less the dry corner's triangle if there is one
                found[0] += flux
                found[1] += flux * rows[k, 5]
                found[2] += flux * rows[k, 6]
                found[3] += flux * rows[k, 7]
                found[4] += rows[k, 3]
            if below == 3:
                continue
            lone, b, c = 0, 1, 2
            if (d[1, f] <= 0) == (below == 1):
                lone, b, c = 1, 2, 0
            if (d[2, f] <= 0) == (below == 1):
                lone, b, c = 2, 0, 1
            at, sign = d[lone, f], 1.0 if below == 1 else -1.0
            share_b, share_c = at / (at - d[b, f]), at / (at - d[c, f])
            small = share_b * share_c * sign
            found[0] += flux * small
            found[4] += rows[k, 3] * small
            for i in range(3):
                a = leaves[leaf, 3 * i + lone, f]
                ap, aq = (
                    (leaves[leaf, 3 * i + b, f] - a) * share_b,
                    (leaves[leaf, 3 * i + c, f] - a) * share_c,
                )
                found[1 + i] += (a + (ap + aq) / 3) * flux * small
                segments[count, i], segments[count, 3 + i] = a + ap, a + aq
            segments[count, 6] = sign
            count += 1
    return count


def plane(segments: Array, basis: Array, found: Array) -> None:
    """Area, centroid (2,) from the middle of the ends, that middle (3,), and second moments uu, vv, uv inside
    the segments, into `found` (9,), by Green's theorem in the axes of `basis` (2, 3)."""
    count = len(segments)
    for i in range(3):
        total = 0.0
        for k in range(count):
            total += segments[k, i] + segments[k, 3 + i]
        found[3 + i] = total / (2 * count)
    area = cu = cv = uu = vv = uv = 0.0
    for k in range(count):
        u1 = v1 = u2 = v2 = 0.0
        for i in range(3):
            p, q = segments[k, i] - found[3 + i], segments[k, 3 + i] - found[3 + i]
            u1 += basis[0, i] * p
            v1 += basis[1, i] * p
            u2 += basis[0, i] * q
            v2 += basis[1, i] * q
        turn = -(u1 * v2 - u2 * v1) * segments[k, 6]
        u, v = u1 + u2, v1 + v2
        area += turn
        cu += turn * u
        cv += turn * v
        uu += turn * (u1 * u1 + u * u2)
        vv += turn * (v1 * v1 + v * v2)
        uv += turn * (u * v + u1 * v1 + u2 * v2)
    area /= 2
    found[0] = area
    if area > 0:
        cu, cv = cu / (6 * area), cv / (6 * area)
        found[1], found[2] = cu, cv
        found[6], found[7], found[8] = (
            uu / 12 - area * cu * cu,
            vv / 12 - area * cv * cv,
            uv / 24 - area * cu * cv,
        )


PLAIN = Loops(gather, opened, plane)
"""The loops as they stand, slow: for tests where there is no numba."""

_in_use: Loops | None = None


def in_use() -> Loops | None:
    """The loops that cuts go through in this process; None: numpy's arrays."""
    return _in_use


def use(loops: Loops | None) -> None:
    """Let every cut of this process go through these loops; None: through numpy again."""
    global _in_use
    _in_use = loops


def available() -> bool:
    """Whether numba is installed."""
    return importlib.util.find_spec("numba") is not None


def start() -> None:
    """Compile the loops, or read them from the disk where they were compiled before, and use them.

    Raises
    ------
    UsageError
        numba is not installed: what to install.
    """
    use(compiled())


@cache
def compiled() -> Loops:
    """The loops compiled: 2 s once on a machine, then 0.1 s from the cache beside this file or in the user's
    own."""
    try:
        import numba
    except ImportError as error:
        raise UsageError(WITHOUT) from error
    jit: Any = numba.njit(cache=True, nogil=True, error_model="numpy")
    return Loops(jit(gather), jit(opened), jit(plane))
