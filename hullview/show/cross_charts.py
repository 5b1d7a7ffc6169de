"""Charts of cross curves and of Bonjean areas."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import TYPE_CHECKING

import numpy as np

from hullview.boat.wording import INCH, POUND
from hullview.show import colours
from hullview.show.charts import CURVES, WIDE
from hullview.show.drawings import LEAST_TEXT, inked, panels, plain

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

    from hullview.afloat.hydrostatics import CrossCurves

FOOT = 12 * INCH


@inked
def cross_curves_chart(found: CrossCurves, title: str, units: str = "metric") -> Figure:
    """KN over displacement, a curve for each heel with its angle at the end."""
    inches = units == "imperial"
    heavy, mass, small, step = ("lb", 1 / POUND, "in", 1 / INCH) if inches else ("kg", 1.0, "mm", 1000.0)
    figure, ((axes,),) = panels(WIDE, 115.0)
    lines = [found.kn[:, i] * step for i in range(len(found.heel))]
    span = max(float(line.max()) for line in lines)
    names = [f"{math.degrees(h):.0f}°" for h in found.heel.tolist()]
    for i, at in enumerate(apart([float(line[-1]) for line in lines], 0.035 * span)):
        _curve(
            axes, i, found.displacement * mass, lines[i], names[i], (float(found.displacement[-1]) * mass, at)
        )
    axes.set_xlabel(f"displacement [{heavy}]")
    axes.set_ylabel(f"KN, righting arm about the base line [{small}]")
    _finish(axes, title)
    return figure


@inked
def bonjean_chart(
    stations: Sequence[tuple[str, float]],
    heights: Sequence[float],
    areas: Sequence[Sequence[float]],
    title: str,
    units: str = "metric",
) -> Figure:
    """Immersed area of each station over the waterline's height, the station's name at the end of its
    curve."""
    inches = units == "imperial"
    small, step, wide, area = ("in", 1 / INCH, "ft²", FOOT**2) if inches else ("mm", 1000.0, "m²", 1.0)
    figure, ((axes,),) = panels(WIDE, 115.0)
    high = np.asarray(heights) * step
    lines = [np.asarray(row) / area for row in areas]
    span = max(float(line.max()) for line in lines)
    for i, at in enumerate(apart([float(line[-1]) for line in lines], 0.028 * span)):
        _curve(axes, i, lines[i], high, stations[i][0], (at, float(high[-1])), upright=True)
    axes.set_xlabel(f"immersed area of the station [{wide}]")
    axes.set_ylabel(f"waterline above base [{small}]")
    _finish(axes, title)
    return figure


def apart(places: Sequence[float], least: float) -> list[float]:
    """Places for words at the ends of curves, moved up where two would be nearer than `least` to each other.

    >>> apart([1.0, 3.0, 1.5], 1.0)
    [1.0, 3.0, 2.0]
    """
    found, last = list(places), -math.inf
    for i in sorted(range(len(places)), key=lambda i: places[i]):
        last = found[i] = max(places[i], last + least)
    return found


def _curve(
    axes: Axes,
    i: int,
    x: np.ndarray,
    y: np.ndarray,
    name: str,
    label: tuple[float, float],
    upright: bool = False,
) -> None:
    """One curve, its name beside its end or above it at `label`."""
    colour, mark = CURVES[i % len(CURVES)]
    axes.plot(x, y, color=colour, linewidth=1.5, marker=mark, markersize=3)
    axes.annotate(
        plain(name),
        label,
        (0, 5) if upright else (6, 0),
        textcoords="offset points",
        fontsize=LEAST_TEXT,
        color=colour,
        ha="center" if upright else "left",
        va="bottom" if upright else "center",
    )


def _finish(axes: Axes, title: str) -> None:
    axes.axhline(0, color=colours.FAINT_INK, linewidth=0.6)
    axes.margins(x=0.06, y=0.08)
    axes.set_title(plain(title), loc="left", fontsize=11, fontweight="bold")
