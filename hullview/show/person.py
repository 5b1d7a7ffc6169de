"""A person to scale, seated, kneeling or standing: limbs as rounded tapered bars between the joints.

Lengths of limbs are shares of the stature after Drillis and Contini, "Body Segment Parameters" (1966), from
memory; girths are common practice, no source. It shows where a person is; no figure is taken from it.
"""

from __future__ import annotations

import numpy as np

from hullview.arrays import Array
from hullview.boat.people import USUAL_STATURE, Paddler
from hullview.shape.room import Room
from hullview.shape.vectors import unit
from hullview.show.parts import Patch

THIGH, SHIN, FOOT = 0.245, 0.246, 0.12
TRUNK, NECK = 0.288, 0.052
UPPER_ARM, FOREARM = 0.186, 0.19
"""The forearm with the hand closed on a paddle or an oar."""
SHOULDERS, HIPS = 0.215, 0.10
"""Joint to joint, across."""
GIRTHS = {
    "trunk": (0.070, 0.084), "neck": (0.032, 0.030), "head": (0.046, 0.051), "upper arm": (0.029, 0.023),
    "forearm": (0.023, 0.017), "thigh": (0.046, 0.031), "shin": (0.030, 0.021), "foot": (0.022, 0.017),
    "shoulders": (0.034, 0.034), "seat": (0.050, 0.050),
}  # fmt: skip
"""Radii of each limb at its two ends, as shares of the stature."""
ROUND, RINGS, MIDDLE = 16, 5, 7
"""Points round a limb, rings over each of its round ends and between them."""
STOUT, LEANEST = 70.0, 15.0
"""Mass [kg] at the usual stature for which the girths are; they grow with the root of mass over stature, and
no thinner than for the second mass."""
HIP_AHEAD, HIP_ABOVE = 0.062, 0.052
"""The hip joints from the back of the seat and above it."""


def person(paddler: Paddler, seat: Array, ankle: float, room: Room | None) -> Patch:
    """The figure of a paddler as one skin, the parts of limbs that lie within other limbs left out.

    Parameters
    ----------
    paddler : Paddler
    seat : Array
        (3,) [m]: the top of the seat at its back.
    ankle : float
        Height of the finished bottom [m], where feet and knees rest.
    room : Room or None
        Inside of the planking, within which legs are kept.
    """
    bars = _bars(paddler, seat, ankle)
    if room is None:
        return _skin(bars)
    skin = _skin([_kept(bar, room) for bar in bars])
    points = skin.vertices.copy()
    under = points[:, 2] < room.sheer(points[:, 0])
    points[under] = room.kept_in(points[under])
    return Patch(points, skin.faces, skin.along, skin.across)


def _bars(paddler: Paddler, seat: Array, floor: float) -> list[Array]:
    """Each limb (2, 4): its two ends and the radius there [m]."""
    tall = paddler.tall
    stout = np.sqrt(max(paddler.mass, LEANEST) / STOUT * USUAL_STATURE / tall)
    forward = np.array([paddler.ahead, 0.0, 0.0])
    up, out = np.array([0.0, 0.0, 1.0]), np.array([0.0, 1.0, 0.0])
    radius = {name: np.array(pair) * tall * stout for name, pair in GIRTHS.items()}

    def bar(name: str, start: Array, end: Array) -> Array:
        return np.column_stack([[start, end], radius[name]])

    hip = seat + tall * (HIP_AHEAD * forward + HIP_ABOVE * up)
    if paddler.posture == "standing":
        hip = np.array([hip[0], hip[1], seat[2] + (THIGH + SHIN + 0.04) * tall])
    chest = hip + tall * (TRUNK * up + 0.02 * forward)
    top = chest + NECK * tall * up
    bars = [
        bar("trunk", hip + 0.02 * tall * up, chest - 0.07 * tall * up),
        bar("neck", chest - 0.02 * tall * up, top),
        bar("head", top + 0.035 * tall * up, top + 0.080 * tall * up + 0.006 * tall * forward),
        bar("shoulders", chest - SHOULDERS / 2 * tall * out, chest + SHOULDERS / 2 * tall * out),
        bar("seat", hip - HIPS / 2 * tall * out, hip + HIPS / 2 * tall * out),
    ]
    for side in (-1.0, 1.0):
        joint = hip + side * HIPS / 2 * tall * out
        knee, ankle, toe = _leg(paddler.posture, joint, forward, floor + 0.028 * tall, tall)
        splay = side * out * tall * (0.06 if paddler.posture in ("legs forward", "kneeling") else 0.02)
        bars += [
            bar("thigh", joint, knee + splay),
            bar("shin", knee + splay, ankle + splay / 2),
            bar("foot", ankle + splay / 2, toe + splay / 2),
        ]
        shoulder = chest + side * SHOULDERS / 2 * tall * out
        hand = shoulder + tall * (0.25 * forward - 0.13 * up + side * 0.02 * out)
        elbow = _joint(shoulder, hand, UPPER_ARM * tall, FOREARM * tall, side * out - 0.9 * up)
        bars += [bar("upper arm", shoulder, elbow), bar("forearm", elbow, hand)]
    return bars


def _leg(posture: str, hip: Array, forward: Array, floor: float, tall: float) -> tuple[Array, Array, Array]:
    """Knee, ankle and toe [m] of one leg; `floor`: height of ankles and knees on the bottom."""
    thigh, shin, up = THIGH * tall, SHIN * tall, np.array([0.0, 0.0, 1.0])
    drop = hip[2] - floor
    if posture == "standing":
        ankle = np.array([hip[0], hip[1], max(floor, hip[2] - thigh - shin + 0.001)])
        return _joint(hip, ankle, thigh, shin, forward), ankle, ankle + FOOT * tall * forward
    if posture == "kneeling":
        reach = np.sqrt(max(thigh**2 - drop**2, 0.0))
        knee = hip + reach * forward - drop * up
        ankle = knee - shin * forward
        return knee, ankle, ankle - 0.6 * FOOT * tall * forward
    far = 0.92 if posture == "legs forward" else 0.80
    straight = min(far * (thigh + shin), np.sqrt(max((0.995 * (thigh + shin)) ** 2 - drop**2, 0.01)))
    ankle = hip + straight * forward - drop * up
    toe = ankle + FOOT * tall * unit(0.35 * forward + up)
    return _joint(hip, ankle, thigh, shin, up), ankle, toe


def _joint(start: Array, end: Array, first: float, second: float, towards: Array) -> Array:
    """The elbow or knee between two ends, bent `towards`, of two bars of these lengths [m]."""
    line = end - start
    apart = float(np.linalg.norm(line))
    share = np.clip((apart**2 + first**2 - second**2) / (2 * apart), -first, first)
    bent = towards - line * (towards @ line) / apart**2
    return np.asarray(start + line / apart * share + unit(bent) * np.sqrt(max(first**2 - share**2, 0.0)))


def _kept(bar: Array, room: Room) -> Array:
    """A limb moved up off the bottom, down under the deck and in from the sides, where it lies inside."""
    held = bar.copy()
    for end in held:
        x, y, z, radius = end
        with np.errstate(invalid="ignore"):
            bottom = float(room.bottom(np.array([x]), np.array([y]))[0])
            top = float(room.top(np.array([x]), np.array([y]))[0])
            wide = float(room.half_breadth(np.array([x]), np.array([z]))[0])
        if not np.isfinite(bottom):
            continue
        if z < room.sheer(np.array([x]))[0] and np.isfinite(wide):
            end[1] = np.clip(y, -max(wide - radius, 0.0), max(wide - radius, 0.0))
        end[2] = max(min(z, top - radius), bottom + radius) if z < top + radius else z
    return held


def _skin(bars: list[Array]) -> Patch:
    """Bars as one skin of triangles; faces that lie whole within another bar are left out."""
    points, faces, count = [], [], 0
    for k, bar in enumerate(bars):
        own, corners = _bar(bar)
        within = np.zeros(len(own), bool)
        for other in bars[:k] + bars[k + 1 :]:
            within |= _within(own, other)
        faces.append(corners[~within[corners].all(axis=1)] + count)
        points.append(own)
        count += len(own)
    vertices = np.concatenate(points)
    return Patch(vertices, np.concatenate(faces), vertices[:, 0], vertices[:, 1] + vertices[:, 2])


def _bar(bar: Array) -> tuple[Array, Array]:
    """A tapered bar with round ends: (n, 3) points, (m, 3) faces that look outwards."""
    start, end = bar[:, :3]
    axis = unit(end - start)
    across = unit(np.cross(axis, [0.0, 0.0, 1.0] if abs(axis[2]) < 0.9 else [1.0, 0.0, 0.0]))
    other = np.cross(axis, across)
    turn = np.arange(ROUND) * 2 * np.pi / ROUND
    circle = np.cos(turn)[:, None] * across + np.sin(turn)[:, None] * other
    rise = np.linspace(0, np.pi / 2, RINGS)
    ends = (start, bar[0, 3], -1.0, rise[::-1]), (end, bar[1, 3], 1.0, rise)
    first, last = (
        [c + r * (np.cos(a) * circle + way * np.sin(a) * axis) for a in angles] for c, r, way, angles in ends
    )
    shares = np.linspace(0, 1, MIDDLE + 2)[1:-1]
    rings = [*first, *(first[-1] + share * (last[0] - first[-1]) for share in shares), *last]
    points = np.concatenate(rings)
    index = np.arange(len(points)).reshape(-1, ROUND)
    a, b, c, d = (
        np.asarray(i).ravel()
        for i in (index[:-1], np.roll(index[:-1], -1, 1), np.roll(index[1:], -1, 1), index[1:])
    )
    return points, np.concatenate([np.column_stack([a, b, c]), np.column_stack([a, c, d])])


def _within(points: Array, bar: Array) -> Array:
    """Whether points (n, 3) lie inside a bar."""
    start, end = bar[:, :3]
    line = end - start
    share = np.clip((points - start) @ line / max(float(line @ line), 1e-12), 0.0, 1.0)
    radius = bar[0, 3] + share * (bar[1, 3] - bar[0, 3])
    return np.asarray(((points - start - share[:, None] * line) ** 2).sum(axis=1) < (0.999 * radius) ** 2)
