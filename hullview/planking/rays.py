"""Geodesics shot square off a line on a skin, and the fronts they make: where strips of one width, laid edge
to edge from that line, have their edges.

Along each ray Jacobi's equation J'' = -K J tells how far neighbours are apart beside how far they were at the
start. The front at distance d then has geodesic curvature -J' / J, with no differencing of points, and the
double integral of J is the area covered (do Carmo, Differential Geometry of Curves and Surfaces, 4-6 and 5-5,
from memory).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from hullview.arrays import Array
from hullview.planking.skin import SkinSpline

MOST_STEPS = 8000
RAYS = 241
"""Rays from end to end of a skin."""
HALVINGS = 7
ON_EDGE = 1e-6
"""Share by which a ray may be off the skin: one that runs along a stem is on it."""
LEAST_SPREAD = 0.05
"""Where neighbouring rays have come this much nearer each other than they were, they are about to cross: no
strip is laid so far."""


@dataclass(frozen=True)
class Rays:
    """Rays in steps of one length: u, v, J and J' (steps, rays); step [m].

    enters, leaves: (rays,) distance [m] at which each comes onto the skin and first leaves it again; a ray
    that is never on it has leaves 0 and enters inf.
    """

    skin: SkinSpline
    u: Array
    v: Array
    direction: Array
    spread: Array
    rate: Array
    step: float
    enters: Array
    leaves: Array


def starts(skin: SkinSpline) -> Array:
    """Parameters u of the rays: evenly from end to end of the skin, both ends among them, and as closely past
    them as far as it is carried on. Beside the ends they stand closer and closer: a ray that runs along a
    stem leaves it far below one that starts a little further out."""
    step = 1.0 / (RAYS - 1)
    before, after = round(-skin.u[0] / step), round((skin.u[-1] - 1.0) / step)
    beside = step * 0.5 ** np.arange(1, HALVINGS + 1)
    close = np.concatenate([end + sign * beside for end in (0.0, 1.0) for sign in (-1, 1)])
    every = np.concatenate([np.arange(-before, RAYS + after) * step, close])
    return np.sort(every[(every >= skin.u[0]) & (every <= skin.u[-1])])


def shoot(skin: SkinSpline, u: Array, step: float) -> Rays:
    """Rays square off row 0 from parameters u (rays,), `step` [m] at a time until
    each has left the skin."""
    start = skin.at(u, np.zeros_like(u))
    along = start.pu / np.linalg.norm(start.pu, axis=1)[:, None]
    out = np.cross(start.normal, along)
    bend = (start.puu * out).sum(axis=1) / start.metric[0]
    a, b = start.components(out)
    state = np.stack([u, np.zeros_like(u), a, b, np.ones_like(u), -bend])
    states, on = [state], [_on(state)]
    been, left = on[0].copy(), np.zeros(len(u), int)
    done = np.zeros(len(u), bool)
    while not done.all() and len(states) < MOST_STEPS:
        new = state.copy()
        new[:, ~done] = _stepped(skin, state[:, ~done], step)
        state = new
        states.append(state)
        on.append(_on(state) & (left == 0))
        been |= on[-1]
        # one that passes the far edge off the skin does not come in from under it
        left += (been & ~on[-1]) | (~been & (state[1] > 1))
        off = (np.abs(state[1] - 0.5) > 0.6) | (state[0] < skin.u[0]) | (state[0] > skin.u[-1])
        done |= (left > 3) | off | ~np.isfinite(state).all(axis=0)
    us, vs, du, dv, j, rate = np.stack(states, axis=1)
    enters, leaves = _between(us, vs, j, np.stack(on), step)
    return Rays(skin, us, vs, np.stack([du, dv]), j, rate, step, enters, leaves)


def _on(state: Array) -> Array:
    return np.asarray(_clear(state[0], state[1], state[4]) >= 0)


def _clear(u: Array, v: Array, j: Array) -> Array:
    """How far inside of the skin's edges a ray is, as a share; below 0 where it is off it."""
    return np.asarray(np.minimum.reduce([u + ON_EDGE, 1 - u + ON_EDGE, v + ON_EDGE, 1 - v, j - LEAST_SPREAD]))


def _rates(skin: SkinSpline, state: Array) -> Array:
    u, v, du, dv, j, rate = state
    s = skin.at(u, v)
    pull = -(s.puu * (du * du)[:, None] + s.puv * (2 * du * dv)[:, None] + s.pvv * (dv * dv)[:, None])
    a, b = s.components(pull)
    return np.stack([du, dv, a, b, rate, -s.gauss * j])


def _stepped(skin: SkinSpline, state: Array, h: float) -> Array:
    """One step of Runge and Kutta's fourth-order rule, its speed brought back to 1."""
    with np.errstate(all="ignore"):
        k1 = _rates(skin, state)
        k2 = _rates(skin, state + h / 2 * k1)
        k3 = _rates(skin, state + h / 2 * k2)
        k4 = _rates(skin, state + h * k3)
        new = state + h / 6 * (k1 + 2 * k2 + 2 * k3 + k4)
        s = skin.at(new[0], new[1])
        e, f, g = s.metric
        new[2:4] /= np.sqrt(e * new[2] ** 2 + 2 * f * new[2] * new[3] + g * new[3] ** 2)
    return np.asarray(new)


def _between(u: Array, v: Array, j: Array, on: Array, step: float) -> tuple[Array, Array]:
    """Distances at which rays come onto the skin and leave it, by a straight line between two steps."""
    clear = _clear(u, v, j)
    rays = np.arange(on.shape[1])
    first = on.argmax(axis=0)
    been = on.any(axis=0)
    last = len(on) - 1 - on[::-1].argmax(axis=0)
    enters = np.where(
        first == 0, 0.0, first * step - step * _part(clear, first, np.maximum(first - 1, 0), rays)
    )
    leaves = last * step + step * _part(clear, last, np.minimum(last + 1, len(on) - 1), rays)
    return np.where(been, enters, np.inf), np.where(been, leaves, 0.0)


def _part(clear: Array, inner: Array, outer: Array, rays: Array) -> Array:
    """The part of a step from inside the skin to its edge."""
    a, b = clear[inner, rays], clear[outer, rays]
    return np.where(b < a, a / np.where(b < a, a - b, 1.0), 0.0).clip(0.0, 1.0)


@dataclass(frozen=True)
class Front:
    """The line at one distance from the first, bow to stern: points (k, 3), curvature across
    the flat, edge-set [1/m] and twist [rad/m] (k,)."""

    points: Array
    bend: Array
    edge_set: Array
    twist: Array


def front(rays: Rays, distance: float) -> Front | None:
    """The front at a distance [m], the longest unbroken stretch of it; None where nothing is left."""
    on = (rays.enters <= distance) & (distance <= rays.leaves)
    edges = np.flatnonzero(np.diff(np.concatenate([[False], on, [False]]).astype(int)))
    runs = list(zip(edges[::2], edges[1::2]))
    if not runs:
        return None
    a, b = max(runs, key=lambda r: r[1] - r[0])
    state = [_met(rays, rays_at, distance, slice(a, b)) for rays_at in ("u", "v", "du", "dv", "j", "rate")]
    ends = [_run_out(rays, distance, a, a - 1), _run_out(rays, distance, b - 1, b)]
    u = np.concatenate([ends[0][0], state[0], ends[1][0]])
    v = np.concatenate([ends[0][1], state[1], ends[1][1]])
    near = (len(ends[0][0]), len(ends[1][0]))
    du, dv, j, rate = (np.pad(x, near, mode="edge") for x in state[2:])
    s = rays.skin.at(u, v)
    ray = s.pu * du[:, None] + s.pv * dv[:, None]
    ray /= np.linalg.norm(ray, axis=1)[:, None]
    tangent = np.cross(ray, s.normal)
    return Front(s.p, s.bends(tangent, tangent), -rate / j, -s.bends(tangent, ray))


def _met(rays: Rays, name: str, distance: float, which: slice) -> Array:
    """One part of the state at a distance, by a cubic through the four nearest steps."""
    table = {
        "u": rays.u, "v": rays.v, "du": rays.direction[0], "dv": rays.direction[1],
        "j": rays.spread, "rate": rays.rate,
    }[name][:, which]  # fmt: skip
    at = distance / rays.step
    n = min(4, len(table))
    first = int(np.clip(np.floor(at) - 1, 0, len(table) - n))
    away = at - first
    weights = [np.prod([(away - q) / (p - q) for q in range(n) if q != p]) for p in range(n)]
    return np.asarray(np.einsum("p,pr->r", np.array(weights), table[first : first + n]))


def _run_out(rays: Rays, distance: float, last: int, beyond: int) -> tuple[Array, Array]:
    """Where a front meets the skin's edge between the last ray that is on it there and the next: parameters
    u, v (1,), none where there is no such place between two rays that leave."""
    none = np.zeros(0), np.zeros(0)
    if not 0 <= beyond < len(rays.leaves) or np.isinf(rays.enters[beyond]):
        return none
    early = rays.leaves[beyond] < distance
    edge = rays.leaves if early else rays.enters
    if not np.isfinite(edge[last]) or abs(edge[last] - edge[beyond]) < 1e-12:
        return none
    part = (edge[last] - distance) / (edge[last] - edge[beyond])
    a, b = (_place(rays, edge[k], k) for k in (last, beyond))
    at = a + part * (b - a)
    return at[:1], at[1:]


def _place(rays: Rays, distance: float, ray: int) -> Array:
    at = np.clip(distance / rays.step, 0, len(rays.u) - 1)
    i = int(min(np.floor(at), len(rays.u) - 2))
    w = at - i
    return np.array([x[i, ray] + w * (x[i + 1, ray] - x[i, ray]) for x in (rays.u, rays.v)])
