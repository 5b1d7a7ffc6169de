"""Where the scene is looked at from: the views, and how near the camera stands."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

import numpy as np

from hullview.arrays import Array
from hullview.errors import UsageError, did_you_mean
from hullview.shape.vectors import unit
from hullview.show import stage
from hullview.show.parts import Part
from hullview.show.pose import move

if TYPE_CHECKING:
    import pyvista

VIEWS: dict[str, tuple[tuple[float, float, float], tuple[float, float, float]]] = {
    # from where it is seen (aft, starboard, up), and what is up in the picture
    "quarter": ((-0.95, 1.0, 0.55), (0, 0, 1)),
    "profile": ((0, 1, 0), (0, 0, 1)),
    "plan": ((0, 0, 1), (0, -1, 0)),
    "body": ((1, 0, 0), (0, 0, 1)),
}
HALF_ANGLE = 8.0
"""Of the lens, in degrees: far enough off to leave lengths comparable."""
PAGE = 0.9
"""Share of the picture's width that the hull may fill; TALL the same of its height, between the words."""
TALL = 0.52
LOW = -0.04
"""How far over the middle of a still picture the hull stands, in shares of the height: under the words."""


def look(
    plotter: pyvista.Plotter,
    view: str,
    parts: Sequence[Part],
    motion: Array,
    tall: float = TALL,
    lift: float = 0.0,
) -> None:
    """Look at it from one of VIEWS, as near as leaves room for the words: it fills `tall` of the height at
    most, and stands `lift` of the height over the middle."""
    if view not in VIEWS:
        raise UsageError(f"no view {view!r}. {did_you_mean(view, VIEWS)}")
    away, up = (np.array(v, float) for v in VIEWS[view])
    away = unit(away)
    right = np.cross(up, away)
    right = unit(right)
    seen = move(motion, np.concatenate([p.vertices for p in parts])) @ np.column_stack(
        [right, np.cross(away, right), away]
    )
    aspect = plotter.window_size[0] / plotter.window_size[1]
    middle, half = stage.frame(
        seen, (aspect * PAGE, tall), np.tan(np.radians(HALF_ANGLE)) if view == "quarter" else 0.0
    )
    if view == "body":  # seen from the end it must not fill the whole sheet
        half = max(half, 0.17 * float(np.ptp(seen[:, 2])))
    half = max(half, 0.5 / (0.93 * aspect - 0.16 * min(1.0, aspect)))  # room for the rod of 1 m and its word
    lift = lift if view in ("quarter", "profile") else max(lift, 0.0)
    middle[1] -= 2 * lift * half
    focus = middle[0] * right + middle[1] * np.cross(away, right) + middle[2] * away
    aim(plotter, away, up, focus, half, parallel=view != "quarter")


def aim(plotter: Any, away: Array, up: Array, focus: Array, half: float, parallel: bool = False) -> None:
    """Look at `focus` from the direction `away`, half the picture's height [m] over and under it."""
    camera = plotter.camera
    camera.parallel_projection, camera.parallel_scale, camera.view_angle = parallel, half, 2 * HALF_ANGLE
    camera.focal_point = focus
    camera.position = focus + unit(away) * half / np.tan(np.radians(HALF_ANGLE))
    camera.up = up
    plotter.reset_camera_clipping_range()


def box(parts: Sequence[Part], motion: Array) -> tuple[Array, Array]:
    points = move(motion, np.concatenate([p.vertices for p in parts]))
    return points.min(axis=0), points.max(axis=0)
