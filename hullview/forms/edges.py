"""The edge of a form: which face stands on the station, square or bevelled, how far it is off at the other
face."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

import numpy as np

from hullview.arrays import Array
from hullview.forms.section import Edge, flat_normals, thinned
from hullview.forms.skin import station_plane
from hullview.shape.vectors import unit
from hullview.weight.customs import customs

ONWARD = 0.03
"""How far a section is carried on past its ends where the other face's reaches further [m]."""
Cut = Literal["square", "bevelled"]


@dataclass(frozen=True)
class Trued:
    """One edge of a form, of hull or deck.

    Parameters
    ----------
    points : (k, 2)
        The form's own edge on the station face [m]: half-breadth and height.
    far_points : (k, 2)
        The same on its other face; equal to `points` where the edge is square.
    skin, far_skin : (k, 2)
        The planking's inside at both faces, at the same places along the girth.
    bevel : (k,)
        Angle of the skin to the form's edge in a plane square to the edge [rad]; positive where a square edge
        is short of the skin on the face away from the station.
    step : (k,)
        The same over the form's thickness, thickness x tan(bevel) [m].
    girth : (k,)
        From the first point along the skin at the station [m].
    normals : (k, 3)
        Out of the boat, of the skin at the station.
    """

    points: Array
    far_points: Array
    skin: Array
    far_skin: Array
    bevel: Array
    step: Array
    girth: Array
    normals: Array
    corners: tuple[int, ...]
    on_centre: bool

    @property
    def gap(self) -> Array:
        """How far the form's edge stands in from the skin at the station face, square to it in the page
        (k,) [m]."""
        return np.asarray(np.linalg.norm(self.skin - self.points, axis=1))

    @property
    def far_gap(self) -> Array:
        """The same at the other face (k,) [m]."""
        return np.asarray(np.linalg.norm(self.far_skin - self.far_points, axis=1))

    @property
    def cut(self) -> Array:
        """What is sawn (k, 2) [m]: where the edge is bevelled, the outline that holds both faces."""
        outward = flat_normals(station_plane(0.0), self.normals)
        over = np.maximum(((self.far_points - self.points) * outward).sum(axis=1), 0.0)
        return np.asarray(self.points + over[:, None] * outward)

    @property
    def greatest_step(self) -> float:
        """The step of greatest size, with its sign [m]."""
        return float(self.step[np.abs(self.step).argmax()])


def trued(near: Edge, far: Edge, body: float, thickness: float, cut: Cut) -> Trued:
    """The edge of a form between the sections at its two faces.

    Parameters
    ----------
    near, far : Edge
        The planking's inside at the station face and at the other face.
    body : float
        1 where the form's body lies aft of the station, -1 where it lies forward.
    thickness : float
        Of the form [m].
    cut : "square" or "bevelled"
        A square edge is what the two sections have in common, so that it is proud nowhere; a bevelled one
        lies on both.

    Notes
    -----
    With n the outward normal, sin(bevel) = -n_x body. Then tan(bevel) is how far the section moves out,
    square to itself in the page, for each metre along the boat: the slope of the waterline times the cosine
    of the normal's angle to the horizontal.
    """
    e = thinned(near)
    outward = flat_normals(station_plane(0.0), e.normals)
    over = distance_along(e.points, outward, carried_on(far))
    far_skin = e.points + over[:, None] * outward
    bevel = np.arcsin(np.clip(-body * e.normals[:, 0], -1.0, 1.0))
    points, far_points = e.points, far_skin
    if cut == "square":
        points = far_points = e.points + np.minimum(over, 0.0)[:, None] * outward
    if e.on_centre:
        points, far_points = _to_centre(points), _to_centre(far_points)
    return Trued(
        points,
        far_points,
        e.points,
        far_skin,
        bevel,
        thickness * np.tan(bevel),
        e.girth,
        e.normals,
        e.corners,
        e.on_centre,
    )


def _to_centre(points: Array) -> Array:
    """The point on the centre line kept there: at a vee the two sides meet a little higher or lower on the
    other face."""
    out = points.copy()
    out[0, 0] = 0.0
    return out


def carried_on(edge: Edge) -> Array:
    """A section (n, 2) with a stretch more at each end: across the centre line its own mirror image, past
    the sheer straight on."""
    p = edge.points
    before, after = _straight(p[0], p[0] - p[1]), _straight(p[-1], p[-1] - p[-2])
    if edge.on_centre:
        near = p[(edge.girth < ONWARD) & (edge.girth > 0)]
        before = near[::-1] * np.array([-1.0, 1.0]) if len(near) else before
    return np.concatenate([before, p, after])


def _straight(start: Array, way: Array) -> Array:
    return (start + unit(way) * ONWARD)[None]


def distance_along(points: Array, ways: Array, line: Array) -> Array:
    """How far each point (k, 2) must go along its unit way (k, 2), either sense, to meet a polyline (n, 2)
    [m]; the nearest where it meets twice.

    A point whose way misses the line is told the distance of the nearest of the line's points, along its way.

    >>> line = np.array([[2.0, -1.0], [3.0, 1.0]])
    >>> distance_along(np.array([[0.0, 0.0]]), np.array([[1.0, 0.0]]), line).tolist()
    [2.5]
    """
    away = line[None] - points[:, None]
    side = away[..., 0] * ways[:, None, 1] - away[..., 1] * ways[:, None, 0]
    ahead = away[..., 0] * ways[:, None, 0] + away[..., 1] * ways[:, None, 1]
    a, b = side[:, :-1], side[:, 1:]
    crossed = (a <= 0) != (b <= 0)
    share = a / np.where(crossed, a - b, 1.0)
    met = np.where(crossed, ahead[:, :-1] + share * (ahead[:, 1:] - ahead[:, :-1]), np.inf)
    best = np.take_along_axis(met, np.abs(met).argmin(axis=1)[:, None], axis=1)[:, 0]
    nearest = (away**2).sum(axis=-1).argmin(axis=1)
    return np.where(np.isfinite(best), best, np.take_along_axis(ahead, nearest[:, None], axis=1)[:, 0])


def bevel_rows(t: Trued) -> Iterator[tuple[float, Array, float, float]]:
    """Girth every 50 mm along an edge, the point of what is cut there (2,), bevel and step."""
    every = customs()["bevel_every"]
    for k in range(int(t.girth[-1] / every + 1e-9) + 1):
        girth = k * every
        across, up, bevel, step = (float(np.interp(girth, t.girth, of)) for of in (*t.cut.T, t.bevel, t.step))
        yield girth, np.array([across, up]), bevel, step
