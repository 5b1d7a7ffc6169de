"""Invented boats for the tests of weight: a 16 ft solo canoe with the schedule of the builder's log, a
small decked box."""

from __future__ import annotations

import numpy as np

from hullview.boat.model import (
    Boat,
    Build,
    End,
    HullForm,
    Piece,
    Planking,
    Run,
    Schedule,
    Skin,
    Table,
    TableLine,
)

FOOT = 0.3048


def solo_canoe_table(
    length: float = 16 * FOOT, beam: float = 0.72, depth: float = 0.275, rise: float = 0.125
) -> Table:
    """Offsets by formula: plan half-breadth B/2 (1 - u^2), sections |y|^n + |z|^n = 1 from a round middle
    to fine ends."""
    x = np.linspace(0, length, 17)
    u = 2 * x / length - 1
    half = beam / 2 * np.maximum(1 - np.abs(u) ** 2.0, 0.0)
    sheer = depth + rise * u**4
    power = 2.2 - 0.6 * u**2
    keel = 0.02 * u**4
    inner = slice(1, -1)

    def row(measure: str, name: str, values: np.ndarray, at: float | None = None) -> TableLine:
        cells = tuple(None if np.isnan(v) else float(v) for v in values)
        return TableLine(measure, name, at, cells)  # type: ignore[arg-type]

    lines = [row("height", "sheer", sheer), row("half-breadth", "sheer", half), row("height", "keel", keel)]
    for z in (0.03, 0.07, 0.12, 0.18, 0.23):
        k = np.clip((sheer - z) / (sheer - keel), 0, 1)
        y = half * (1 - k**power) ** (1 / power)
        y[[0, -1]] = np.nan
        y[inner] = np.where(z > keel[inner] + 0.005, y[inner], np.nan)
        lines.append(row("half-breadth", "waterline", y, z))
    n = len(x)
    return Table(tuple(float(v) for v in x), tuple(lines), ("round",) * n, ("smooth",) * n)


def solo_canoe() -> Boat:
    """The boat of the log, invented: 16 ft, 6 oz cloth both sides, spruce gunwales and small decks, one
    seat, three coats of varnish."""
    table = solo_canoe_table()
    ends = [
        End(((x, s), (x, k)))
        for x, s, k in ((table.stations[0], 0.40, 0.02), (table.stations[-1], 0.40, 0.02))
    ]
    glass = "plain glass 6 oz/yd2"
    stem = {"kind": "lamination", "wood": "white ash", "plies": 3, "ply_thickness": 0.00635, "depth": 0.019}
    schedule = Schedule(
        (Planking("hull", "western redcedar", 0.25 * 0.0254),),
        (
            Skin("hull outside", glass, fill_coats=3),
            Skin("hull inside", glass, fill_coats=1),
            Skin("hull outside", coating="varnish", coats=3),
            Skin("hull inside", coating="varnish", coats=3),
        ),
        (
            Run(
                "sheer",
                "solid",
                wood="Sitka spruce",
                thickness=0.012,
                depth=0.016,
                side="outside",
                name="outwale",
            ),
            Run(
                "sheer",
                "solid",
                wood="Sitka spruce",
                thickness=0.012,
                depth=0.016,
                name="inwale",
                solid_share=0.7,
            ),
            Run("bow stem", **stem),
            Run("stern stem", **stem),  # type: ignore[arg-type]
            Run("bow stem", side="outside", **stem),
            Run("stern stem", side="outside", **stem),  # type: ignore[arg-type]
        ),
        (
            Piece("seat", (2.6, 0.0, 0.2), mass=0.9),
            Piece("thwart", (1.7, 0.0, 0.28), wood="white ash", size=(0.05, 0.66, 0.018)),
            Piece("decks", (2.44, 0.0, 0.38), wood="black walnut", size=(0.25, 0.14, 0.008), count=2),
            Piece("screws, bolts and painter rings", (2.44, 0.0, 0.35), mass=0.25),
        ),
    )
    form = HullForm("open", "outside", table=table, bow=ends[0], stern=ends[1])
    return Boat("Solo canoe, invented", form, builds=(Build("log", schedule),))


def decked_box(**more: object) -> Boat:
    """A schedule with something of every kind, for the decked box of `weight_hulls`."""
    schedule = Schedule(
        (Planking("hull", "western redcedar", 0.00635), Planking("deck", "western redcedar", 0.005)),
        (
            Skin("hull outside", "plain glass 6 oz/yd2", fill_coats=3),
            Skin("hull inside", "plain glass 4 oz/yd2", fill_coats=1),
            Skin("deck outside", "plain glass 4 oz/yd2", fill_coats=2),
            Skin("deck inside", "plain glass 3.25 oz/yd2", seal_coat=False),
            Skin("deck outside", coating="varnish", coats=4),
        ),
        (
            Run("sheer", "lamination", wood="Sitka spruce", plies=4, ply_thickness=0.005, depth=0.018),
            Run("sheer", "tape", cloth="bias glass 9 oz/yd2", width=0.075, layers=2),
            Run("sheer", "fillet", radius=0.010),
        ),
        (Piece("seat", (1.6, 0.0, 0.04), mass=0.9), Piece("foot braces", (0.9, 0.0, 0.1), mass=0.6)),
    )
    return Boat("box", HullForm("decked", "outside"), builds=(Build("only", schedule),), **more)  # type: ignore[arg-type]
