"""The true shape of a transom inside the planking, expanded by its rake."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from hullview.arrays import Array
from hullview.errors import UsageError
from hullview.forms.edges import carried_on, distance_along
from hullview.forms.inside import Inside
from hullview.forms.section import flat_normals, thinned
from hullview.forms.skin import Plane
from hullview.shape.ends import EndCurve

FLAT = 0.001
"""A profile that leaves a straight line by more is a curved transom [m]."""


@dataclass(frozen=True)
class Transom:
    """A transom in its own plane, half: y to starboard, and up its face from the base line.

    after, fore : (k, 2)
        The planking's inside at its outer face, which stands on the profile, and at its inner face [m]; the
        larger is cut.
    bevel : (k,)
        Of its edge, square to it [rad], positive where the inner face is the larger.
    rake : angle of its face from plumb [rad], leaning out at the top. thickness [m]. corners : knuckles.
    foot : height and position of the outer face at the base line of its own coordinate, (aft, height) of up =
    0 [m].
    """

    name: str
    after: Array
    fore: Array
    bevel: Array
    girth: Array
    corners: tuple[int, ...]
    rake: float
    thickness: float
    plane: Plane
    top: float

    @property
    def cut(self) -> Array:
        """The larger outline (k, 2) [m]."""
        return np.where((self.fore[:, :1] >= self.after[:, :1] - 1e-12), self.fore, self.after)


def transom_of(end: EndCurve, which: str, inside: Inside, thickness: float) -> Transom:
    """The transom at one end.

    Parameters
    ----------
    end : EndCurve
    which : "bow" or "stern"
    inside : Inside
    thickness : float
        Of the transom's planking [m].
    """
    assert end.rake is not None
    zs, xs = end.rake
    if len(zs) > 2:
        straight = xs[0] + (zs - zs[0]) * (xs[-1] - xs[0]) / (zs[-1] - zs[0])
        if np.abs(straight - xs).max() > FLAT:
            raise UsageError(
                f"[hull.{which}] profile: the transom is curved by {np.abs(straight - xs).max() * 1000:.0f}"
                " mm. Its true shape is drawn for a flat one: give its rake by two points."
            )
    lean = 0.0 if len(zs) < 2 else (xs[-1] - xs[0]) / (zs[-1] - zs[0])
    size = float(np.hypot(1.0, lean))
    normal = (1 / size, 0.0, -lean / size)
    offset = float(normal[0] * xs[0] + normal[2] * zs[0])
    inward = -1.0 if which == "stern" else 1.0
    planes = (Plane(normal, offset), Plane(normal, offset + inward * thickness))
    near, far = inside.side_edges(planes)
    if near is None or far is None:
        raise UsageError(
            f"[hull.{which}]: the planking's inside does not reach the transom. Check its profile and the"
            " planking's thickness."
        )
    e = thinned(near)
    outward = flat_normals(planes[0], e.normals)
    over = distance_along(e.points, outward, carried_on(far))
    fore = e.points + over[:, None] * outward
    if e.on_centre:
        fore[0, 0] = 0.0
    against = e.normals @ np.array(normal) * -inward
    return Transom(
        "transom" if which == "stern" else "bow transom",
        e.points,
        fore,
        np.arcsin(np.clip(against, -1, 1)),
        e.girth,
        e.corners,
        float(np.arctan(lean)) * -inward,
        thickness,
        planes[0],
        float(e.points[-1, 1]),
    )
