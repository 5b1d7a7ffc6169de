"""Charts of results: righting curves, hydrostatic curves, weights with their ranges, the table's fairness."""

from __future__ import annotations

import textwrap
from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

import numpy as np

from hullview.arrays import Array
from hullview.boat.wording import INCH, POUND
from hullview.show import colours
from hullview.show.captions import shortened
from hullview.show.colours import GROUPS
from hullview.show.drawings import LEAST_TEXT, LETTER_WIDE, inked, panels, plain
from hullview.show.units import in_words
from hullview.tell.boat import row_name
from hullview.tell.model import Units

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

    from hullview.afloat.hydrostatics import HydrostaticRow
    from hullview.afloat.righting import RightingCurve
    from hullview.boat.model import Table
    from hullview.shape.fairness import Finding
    from hullview.weight.total import Weight

WIDE = 178.0
"""Width of a chart [mm]: what A4 and letter paper both print between their margins."""
GROUP_ORDER = (
    "planking", "other wood", "cloth", "resin", "glue", "coating", "fittings", "usually also", "measured",
)  # fmt: skip
"""Groups of weight as they are stacked, each with its own colour."""
CURVES = (("#0b4a7f", "o"), ("#c1440e", "s"), ("#3f7f6b", "^"), ("#5e4278", "D"), ("#6b5a35", "v"))
"""Colour and mark of each curve of a chart."""


def group_colour(group: str) -> str:
    """The colour of a group of weight, the same in every chart."""
    return GROUPS[GROUP_ORDER.index(group) if group in GROUP_ORDER else -1]


def smooth(x: Array, y: Array, slope: Array, between: int = 6) -> tuple[Array, Array]:
    """Points of the cubics through (x, y) with the slopes given at the points, `between` steps a span.

    >>> fine, high = smooth(np.array([0.0, 1.0]), np.array([0.0, 1.0]), np.array([0.0, 2.0]), 2)
    >>> high.tolist()
    [0.0, 0.25, 1.0]
    """
    t = np.arange(between) / between
    h = np.diff(x)[:, None]
    y0, y1, m0, m1 = y[:-1, None], y[1:, None], slope[:-1, None] * h, slope[1:, None] * h
    values = (
        y0 * (1 + 2 * t) * (1 - t) ** 2
        + m0 * t * (1 - t) ** 2
        + y1 * t**2 * (3 - 2 * t)
        + m1 * t**2 * (t - 1)
    )
    return np.append((x[:-1, None] + h * t).ravel(), x[-1]), np.append(values.ravel(), y[-1])


def parted(x: Array, y: Array, at: float | None) -> tuple[tuple[Array, Array], tuple[Array, Array]]:
    """A curve before and after `at`, which belongs to both; the second is empty where there is no such place.

    >>> parted(np.array([0.0, 1.0]), np.array([0.0, 2.0]), 0.5)[0][1].tolist()
    [0.0, 1.0]
    """
    if at is None or not min(x[0], x[-1]) <= at <= max(x[0], x[-1]):
        return (x, y), (x[:0], y[:0])
    way = 1.0 if x[-1] >= x[0] else -1.0
    level = float(np.interp(way * at, way * x, y))
    before = way * x < way * at
    return (np.append(x[before], at), np.append(y[before], level)), (
        np.append(at, x[~before]),
        np.append(level, y[~before]),
    )


# ---------------------------------------------------------------- stability


@inked
def righting_chart(curves: Sequence[RightingCurve], title: str, holds_for: str = "") -> Figure:
    """Righting arm over heel: full to where water comes in, dashed past it; peak, flooding and vanishing
    marked in words.

    With a spray deck the curve is dashed from where the open cockpit would flood. holds_for: what it must be
    read with.
    """
    words = f"{holds_for} Dashed: past the heel where water comes in; true only with a tight cover.".strip()
    footnote = textwrap.wrap(plain(words), 128)
    figure, ((axes,),) = panels(WIDE, 105.0, edges=(17.0, 5.0, 13.0 + 3.5 * len(footnote), 8.0))
    axes.axhline(0, color=colours.FAINT_INK, linewidth=0.9)
    for i, curve in enumerate(curves):
        _righting(axes, curve, *CURVES[i % len(CURVES)], first=i == 0)
    axes.set_xlabel("heel [degrees]" + (", to port" if curves[0].side < 0 else ""))
    axes.set_ylabel("righting arm [mm]")
    axes.set_xticks(
        np.arange(0, abs(np.degrees(curves[0].heel[-1])) + 1, 15 if abs(curves[0].heel[-1]) > 1.6 else 5)
    )
    axes.set_xlim(0, abs(np.degrees(curves[0].heel[-1])))
    low, high = axes.get_ylim()
    axes.set_ylim(low, high + (0.06 + 0.06 * len(curves)) * (high - low))  # room for the legend
    axes.legend(loc="upper right", frameon=False, fontsize=LEAST_TEXT + 1)
    axes.set_title(plain(title), loc="left", fontsize=11, fontweight="bold")
    lines = "\n".join(footnote)
    figure.supxlabel(lines, x=0.01, ha="left", fontsize=LEAST_TEXT, color=colours.FAINT_INK, linespacing=1.3)
    return figure


def _righting(axes: Axes, curve: RightingCurve, colour: str, mark: str, first: bool) -> None:
    heel, arm = smooth(
        np.abs(np.degrees(curve.heel)), curve.side * curve.arm * 1000, np.radians(curve.slope) * 1000
    )
    wet = curve.open_flooding_heel if curve.open_flooding_heel is not None else curve.flooding_heel
    comes_in = None if wet is None else abs(np.degrees(wet))
    dry, past = parted(heel, arm, comes_in)
    axes.plot(
        *dry, color=colour, linewidth=1.9, marker=mark, markevery=[], markersize=5, label=_in_words(curve)
    )
    axes.plot(*past, color=colour, linewidth=1.4, linestyle=(0, (4, 2)))
    for at, height in ((curve.peak_heel, curve.peak_arm), (curve.vanishing_heel, 0.0)):
        if at is not None and height is not None:
            axes.plot(
                abs(np.degrees(at)),
                height * 1000,
                marker=mark,
                color=colour,
                markersize=5,
                markeredgecolor="white",
                markeredgewidth=0.6,
            )
    if comes_in is not None and first:
        late = comes_in > 0.2 * abs(np.degrees(curve.heel[-1]))  # the legend stands to the right
        axes.axvline(comes_in, color=colours.INK, linewidth=0.8, linestyle=(0, (1, 2)))
        cover = " without a cover" if curve.flooding_heel != curve.open_flooding_heel else ""
        axes.annotate(
            f"water comes in{cover} {comes_in:.0f}°",
            (comes_in, 1),
            (-4 if late else 4, -3),
            xycoords=("data", "axes fraction"),
            textcoords="offset points",
            fontsize=LEAST_TEXT + 0.5,
            va="top",
            ha="right" if late else "left",
        )


def _in_words(curve: RightingCurve) -> str:
    """A curve's name with its peak and where it vanishes: beside the marks the words of several curves
    would run into each other."""
    sentences = []
    if curve.peak_heel is not None and curve.peak_arm is not None:
        wet = curve.flooding_heel is not None and abs(curve.peak_heel) > abs(curve.flooding_heel)
        sentences.append(
            f"peak {abs(np.degrees(curve.peak_heel)):.0f}°, {curve.peak_arm * 1000:.0f}"
            f" mm{', past flooding' if wet else ''}"
        )
    if curve.vanishing_heel is not None:
        sentences.append(f"vanishes {abs(np.degrees(curve.vanishing_heel)):.0f}°")
    return ": ".join(filter(None, [plain(curve.label or curve.posture), ", ".join(sentences)]))


Curve = tuple[str, Sequence[float]]


def _hydrostatic_panels(rows: Sequence[HydrostaticRow], inches: bool) -> list[tuple[str, list[Curve]]]:
    """Each panel's axis in words and its curves, named where there are several."""
    heavy, mass, small, step = ("lb", 1 / POUND, "in", 1 / INCH) if inches else ("kg", 1.0, "mm", 1000.0)
    long, length, wide, deeper, sunk = (
        ("ft", 12 * INCH, "ft²", "1 in", 2.54) if inches else ("m", 1.0, "m²", "1 cm", 1.0)
    )

    def curve(name: str, key: str, scale: float) -> Curve:
        return name, [getattr(r, key) * scale for r in rows]

    return [
        (f"displacement [{heavy}]", [curve("", "displacement", mass)]),
        (f"above the base line [{small}]", [curve("KB", "kb", step), curve("KM", "km", step)]),
        (
            f"aft of the bow datum [{long}]",
            [curve("LCB", "lcb", 1 / length), curve("LCF", "lcf", 1 / length)],
        ),
        (
            f"areas [{wide}]",
            [
                curve("water plane", "waterplane_area", length**-2),
                curve("wetted", "wetted_area", length**-2),
            ],
        ),
        (f"to sink it {deeper} [{heavy}]", [curve("", "immersion", mass * sunk)]),
        ("coefficients", [curve(k, f"{k}_coefficient", 1.0) for k in ("block", "prismatic", "midship")]),
    ]


def _hydrostatic_panel(
    axes: Axes, words: str, curves: Sequence[Curve], height: np.ndarray, least: float
) -> None:
    """One panel; least: the least span of places along the boat, so that a millimetre does not look like a
    metre."""
    for (_, values), (colour, mark) in zip(curves, CURVES):
        axes.plot(values, height, color=colour, linewidth=1.6, marker=mark, markersize=3)
    low, high = axes.get_xlim()
    if "datum" in words and high - low < least:
        low, high = axes.set_xlim((low + high - least) / 2, (low + high + least) / 2)
    heads: list[float] = []
    for (name, values), (colour, _) in zip(curves, CURVES):
        # at its foot where another ends close beside its head
        crowded = any(abs(values[-1] - other) < 0.25 * (high - low) for other in heads)
        heads.append(values[-1])
        at, up = ((values[0], height[0]), -9) if crowded else ((values[-1], height[-1]), 3)
        _beside(axes, name, at, (0, up), ha="center", color=colour)
    axes.set_xlabel(words)
    axes.margins(y=0.14)


def _beside(axes: Axes, words: str, at: tuple[float, float], points: tuple[float, float], **how: Any) -> None:
    axes.annotate(words, at, points, textcoords="offset points", fontsize=LEAST_TEXT, **how)


@inked
def hydrostatic_chart(
    rows: Sequence[HydrostaticRow], title: str, units: str = "metric", load: float | None = None
) -> Figure:
    """Six panels over one height scale: what each waterline offers; `load`: height of the loaded waterline
    [m], drawn across."""
    figure, grid = panels(WIDE, 130.0, 2, 3, (17.0, 5.0, 12.0, 9.0), (8.0, 16.0), sharey=True)
    inches = units == "imperial"
    small, step = ("in", 1 / INCH) if inches else ("mm", 1000.0)
    height = np.array([r.waterline_height for r in rows]) * step
    least = 0.12 / (12 * INCH if inches else 1.0)
    for axes, (words, curves) in zip(grid.ravel(), _hydrostatic_panels(rows, inches)):
        _hydrostatic_panel(axes, words, curves, height, least)
        if load is not None:
            axes.axhline(load * step, color=colours.WATERLINE, linewidth=0.9, linestyle=(0, (7, 2, 1.5, 2)))
    if load is not None:
        across = {"xycoords": ("axes fraction", "data"), "color": colours.WATERLINE, "ha": "right"}
        _beside(grid[0, 0], "loaded", (0.98, load * step), (0, 2), **across)
    for axes in grid[:, 0]:
        axes.set_ylabel(f"waterline above base [{small}]")
    figure.suptitle(plain(title), x=0.01, ha="left", fontsize=11, fontweight="bold")
    return figure


def _beside_names(names: Sequence[str]) -> float:
    """Room left of an axis for the names along it [mm]; no more than half of the chart."""
    return min(5.0 + 1.2 * LETTER_WIDE * max(map(len, names), default=0), WIDE / 2)


# ---------------------------------------------------------------- weight


@inked
def weight_chart(weights: Sequence[Weight], title: str, units: str = "metric") -> Figure:
    """A bar for each build, stacked by group, with the range that 80 of 100 such boats fall in; each part
    with its figure."""
    heavy, mass = ("lb", 1 / POUND) if units == "imperial" else ("kg", 1.0)
    names = [plain(shortened(w.build, 48)) for w in weights]
    figure, ((axes,),) = panels(
        WIDE, 34.0 + 21.0 * len(weights), edges=(_beside_names(names), 5.0, 20.0, 9.0)
    )
    groups = [g for g in GROUP_ORDER if any(w.groups.get(g) for w in weights)]
    for row, weight in enumerate(weights):
        left = 0.0
        for group in groups:
            wide = max(weight.groups.get(group, 0.0), 0.0) * mass  # measured lighter than estimated: no bar
            bar = axes.barh(
                row,
                wide,
                left=left,
                height=0.52,
                color=group_colour(group),
                edgecolor="white",
                linewidth=0.8,
                label=group if row == 0 else None,
            )
            if wide > 0.055 * weight.mass * mass:
                dark = colours.contrast(group_colour(group), colours.INK) < 4.5
                axes.bar_label(
                    bar,
                    [f"{wide:.1f}"],
                    label_type="center",
                    fontsize=LEAST_TEXT + 0.5,
                    color="white" if dark else colours.INK,
                )
            left += wide
        low, high = (v * mass for v in (weight.low, weight.high))
        axes.plot(
            [low, high],
            [row + 0.36] * 2,
            color=colours.INK,
            linewidth=1.6,
            marker="|",
            markersize=7,
            markeredgewidth=1.6,
        )
        axes.annotate(
            f"{weight.mass * mass:.1f} {heavy}",
            (max(high, left), row),
            (7, 0),
            textcoords="offset points",
            fontsize=9,
            va="center",
            fontweight="bold",
        )
        axes.annotate(
            f"{low:.1f} to {high:.1f}",
            (max(high, left), row + 0.36),
            (7, 0),
            textcoords="offset points",
            fontsize=8,
            va="center",
        )
    axes.set_yticks(range(len(weights)), names)
    axes.invert_yaxis()
    axes.set_ylim(len(weights) - 0.5, -0.5)
    axes.set_xlim(0, 1.18 * max(w.high for w in weights) * mass)
    axes.grid(False, axis="y")
    axes.set_xlabel(f"{heavy}; thin bar: 80 of 100 boats built so fall within it")
    axes.set_title(plain(title), loc="left", fontsize=11, fontweight="bold")
    figure.legend(
        *axes.get_legend_handles_labels(),
        loc="lower center",
        ncols=len(groups),
        frameon=False,
        fontsize=LEAST_TEXT + 0.5,
        handlelength=1.0,
        columnspacing=1.2,
    )
    return figure


# ---------------------------------------------------------------- the table


@inked
def fairness_chart(findings: Sequence[Finding], table: Table, title: str) -> Figure:
    """The table as a field of dots: as large as an offset lies out of fair, full where it is doubtful, its
    millimetres beside it."""
    labels = list(dict.fromkeys(f.line for f in findings))
    units: Units = "imperial" if table.unit.startswith(("in", "ft")) else "metric"
    shown = {line.label: in_words(row_name(line), units) for line in table.lines}
    names, lines = table.names, [plain(shown.get(label, label)) for label in labels]
    figure, ((axes,),) = panels(WIDE, 26.0 + 6.2 * len(labels), edges=(_beside_names(lines), 3.0, 17.0, 9.0))
    told = [(f.column, labels.index(f.line), f.out * 1000, f.flagged) for f in findings if f.out is not None]
    for doubtful, colour in ((False, colours.BUOYANCY), (True, colours.WEIGHT)):
        dots = np.array(
            [(x, y, max(abs(out), 0.15) * 9) for x, y, out, flagged in told if flagged == doubtful]
        )
        if len(dots):
            inside = colour if doubtful else "none"
            axes.scatter(*dots.T[:2], s=dots[:, 2], facecolors=inside, edgecolors=colour, linewidths=0.9)
    for x, y, out, flagged in told:
        if flagged:
            axes.annotate(
                f"{out:+.0f} mm",
                (x, y),
                (6, 4),
                textcoords="offset points",
                fontsize=LEAST_TEXT + 1,
                color=colours.WEIGHT,
                fontweight="bold",
            )
    axes.set_xticks(range(len(names)), [plain(n) for n in names])
    axes.set_yticks(range(len(labels)), lines)
    axes.set_xlim(-0.6, len(names) - 0.2)
    axes.set_ylim(len(labels) - 0.3, -0.7)
    axes.set_xlabel(
        "station\nring: fair, the larger the further out; full dot: doubtful, out by the figure beside it"
    )
    axes.set_title(plain(title), loc="left", fontsize=11, fontweight="bold")
    return figure
