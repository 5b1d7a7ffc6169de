"""How far a figure may be off because the hull is made of flat triangles: the same figure from a mesh twice
as coarse.

The gap between the two is given. Most errors fall as the square of the size of a facet: the coarse figure is
then four times as far off and the fine one a third of the gap. Some, of ends and edges, fall only in
proportion: then the gap is all of it. It says nothing of the table of offsets or of the fairing through it.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import replace
from typing import Any

import numpy as np

from hullview.afloat import hydrostatics as table
from hullview.afloat import righting
from hullview.afloat.equilibrium import Floating, describe, rest
from hullview.boat.model import Appendage
from hullview.shape.appendages import body_of
from hullview.shape.body import Body
from hullview.shape.hull import Hull

BESIDE = (1.0, 0.97, 1.03)
"""Loads and drafts at which the gap is taken, as shares of the one in question: where the water's edge stands
on the facets makes a gap wide or narrow by chance, so the widest of three counts."""
_HEIGHTS = ("draft", "draft_forward", "draft_aft", "greatest_draft", "freeboard", "height_to_flooding")
_GIVEN = ("mass", "centre", "density", "waterline_height", "offset", "normal")
"""What is put in has no mesh error, and the water plane is told by its figures."""
_ALONG = ("heel", "arm", "slope", "trim", "moment", "offset", "normal")
"""Of a righting curve: arrays along it, no figures."""

Error = dict[str, Any]
"""Estimated error of each figure by its name in the result, in its unit: a float, or an array for a point."""


def floating_with_error(
    hull: Hull, body: Body, floating: Floating, appendages: Sequence[Appendage] = ()
) -> Floating:
    """The same with its `error`; body: of the hull and its appendages."""
    return replace(floating, error=floating_error(hull, floating, appendages, body))


def righting_with_error(
    hull: Hull, curve: righting.RightingCurve, appendages: Sequence[Appendage] = ()
) -> righting.RightingCurve:
    """The same with its `error`: three or four curves are worked for it."""
    return replace(curve, error=righting_error(hull, curve, appendages))


def floating_error(
    hull: Hull, floating: Floating, appendages: Sequence[Appendage] = (), body: Body | None = None
) -> Error | None:
    """Estimated mesh error of each figure of `Floating`, by its name; None where there is no coarser mesh or
    the boat is not afloat.

    body: of the hull and its appendages, if it is indexed already.
    """
    if hull.coarse is None or floating.state != "afloat":
        return None
    bodies = body or body_of(hull, appendages), body_of(hull.coarse, appendages)

    def figures(share: float, which: int) -> Floating:
        mesh = hull if which == 0 or hull.coarse is None else hull.coarse
        lying = rest(
            bodies[which],
            floating.mass * share,
            floating.centre,
            floating.density,
            start=floating.rest,
            judge_upright=False,
        )
        return describe(mesh, bodies[which], lying)

    # what the coarser mesh lacks of volume sinks it that much deeper, which a gap between drafts may hide by
    # chance
    assert floating.normal is not None and floating.offset is not None
    missing = bodies[1].immersed(floating.normal, floating.offset).volume - (floating.displaced_volume or 0.0)
    sunk = abs(missing) / (floating.waterplane_area or math.inf)
    found = _widest(gap(figures(share, 0), figures(share, 1)) for share in BESIDE)
    return found | {key: max(found[key], sunk) for key in _HEIGHTS if key in found}


def righting_error(
    hull: Hull, curve: righting.RightingCurve, appendages: Sequence[Appendage] = ()
) -> Error | None:
    """The same for a righting curve's figures; `arm` is the widest along the curve."""
    if hull.coarse is None:
        return None
    meshes = hull, hull.coarse
    bodies = [body_of(mesh, appendages) for mesh in meshes]

    def gaps(share: float) -> Error:
        load = curve.mass * share, curve.centre, curve.density, curve.heel
        one, other = (righting.righting_curve(body, *load, hull=mesh) for mesh, body in zip(meshes, bodies))
        arm = float(np.abs(one.arm - other.arm).max())
        return gap(one, other, left_out=_ALONG) | {"arm": arm}

    return _widest(gaps(share) for share in BESIDE)


def hydrostatics_error(
    hull: Hull, rows: Sequence[table.HydrostaticRow], density: float, appendages: Sequence[Appendage] = ()
) -> list[Error] | None:
    """The same for each row of the table, at the row's own height and trim and a little beside it."""
    if hull.coarse is None:
        return None
    bodies = body_of(hull, appendages), body_of(hull.coarse, appendages)
    top = min(body.extent((0.0, 0.0, 1.0))[1] for body in bodies)

    def gaps(row: table.HydrostaticRow, share: float) -> Error:
        height = min(row.waterline_height + (share - 1) * row.draft, top)
        one, other = (table.hydrostatics(body, density, [height], trim=row.trim)[0] for body in bodies)
        return gap(one, other)

    return [_widest(gaps(row, share) for share in BESIDE) for row in rows]


def _widest(gaps: Iterable[Error]) -> Error:
    """The widest gap of each figure."""
    out: Error = {}
    for found in gaps:
        for name, value in found.items():
            out[name] = np.maximum(out[name], value) if name in out else value
    return out


def gap(fine: object, coarse: object, *, left_out: Sequence[str] = ()) -> Error:
    """The gap of every figure that both results have, by its name: floats, and points (3,).

    Parameters
    ----------
    fine, coarse : dataclass instances of one class
        The same result from two meshes.
    left_out : sequence of str
        Fields that are no figures.
    """
    out: Error = {}
    for name, value in vars(fine).items():
        other = getattr(coarse, name)
        if name in _GIVEN or name in left_out:
            continue
        if (
            isinstance(value, float)
            and isinstance(other, float)
            and math.isfinite(value)
            and math.isfinite(other)
        ):
            out[name] = abs(value - other)
        elif (
            isinstance(value, np.ndarray)
            and isinstance(other, np.ndarray)
            and value.shape == other.shape == (3,)
        ):
            out[name] = np.abs(value - other)
    return out
