"""What weighs by length: laminations, solids, tapes, fillets, glue lines and cord along the named lines of
the hull.

A piece's own path lies beside its line: inside the skin by the planking's thickness and half its own, below
the sheer by half its depth.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, replace

import numpy as np

from hullview.arrays import Array
from hullview.boat.model import Boat, Run, Schedule
from hullview.boat.wording import sizes_text
from hullview.errors import did_you_mean
from hullview.materials import Library, around
from hullview.shape.hull import Hull, NamedLine
from hullview.shape.vectors import unit
from hullview.weight.areas import LAPS, Places, density_of
from hullview.weight.causes import RESIN_HANDS, Quantity, Term
from hullview.weight.line import ScheduleError, ScheduleLine
from hullview.weight.patch import Spread, clipped_segments, joined, over_segments
from hullview.weight.stages import when_run

GLUE = "glue lines"
SAWN = Quantity("sawn sizes", 0.97, 1.0, 1.03)
"""Section of a stick as sawn and planed over what was asked (common practice, no source)."""
FILLET_TOOL = Quantity("size of fillets", 0.85, 1.0, 1.3)
"""Fillets come out fuller than their tool more often than thinner (common practice, no source)."""
CENTRE_LINES = ("keel", "bow stem", "stern stem")
RINGS = ("coaming", "hatch")
SIDEWAYS = [1, 0, 2]
"""Half-breadth first: columns of a point in the order that cuts by it."""
APART = 1e-6
"""Points of a line nearer than this to the one before are that one again [m]."""


def lines_along(hull: Hull, along: str) -> tuple[NamedLine, ...]:
    """The lines a run follows: "coaming" means every coaming."""
    found = tuple(v for k, v in hull.lines.items() if along in (k, k.rstrip(" 0123456789")))
    if not found:
        raise ScheduleError(
            f"run along = {along!r}: this hull has no such line. {did_you_mean(along, hull.lines)}"
        )
    return tuple(_distinct(line) for line in found)


def _distinct(line: NamedLine) -> NamedLine:
    """The line without points on top of one another, which have no direction: a keel line has some where a
    stem joins it at a station."""
    apart = np.append(True, np.sqrt((np.diff(line.points, axis=0) ** 2).sum(axis=1)) > APART)
    if apart.all() or line.closed:
        return line
    return replace(
        line,
        points=line.points[apart],
        hull_normals=line.hull_normals[apart],
        deck_normals=line.deck_normals[apart],
    )


# ---------------------------------------------------------------- directions along a line


@dataclass(frozen=True)
class Frame:
    """At each point of a line, unit vectors (k, 3): tangent; out: away from the boat, normal to the skin (or
    between the two skins); down: along the hull's skin away from the line; across: along the deck's skin away
    from it (zero where none)."""

    tangent: Array
    out: Array
    down: Array
    across: Array


def tangents(points: Array, closed: bool) -> Array:
    """Unit tangents (k, 3) of a polyline, by central differences."""
    if closed:
        return unit(np.roll(points, -1, axis=0) - np.roll(points, 1, axis=0))
    step = np.empty_like(points)
    step[1:-1] = points[2:] - points[:-2]
    step[0], step[-1] = points[1] - points[0], points[-1] - points[-2]
    return unit(step)


def frame_of(line: NamedLine) -> Frame:
    """The directions along a line, by its kind: one of a pair, on the centre line, or a ring round an
    opening."""
    t = tangents(line.points, line.closed)
    if line.closed:
        up = np.broadcast_to([0.0, 0.0, 1.0], t.shape)
        out = unit(np.cross(t, up))
        from_middle = line.points - line.points.mean(axis=0)
        out = out * (1.0 if (out * from_middle).sum() >= 0 else -1.0)
        return Frame(t, out, np.array(up), np.zeros_like(t))
    h, d = line.hull_normals, line.deck_normals
    if not line.paired:
        # out of the boat is on the same hand all along; at a stem the two skins may face away from each other
        # and say nothing
        flat = np.column_stack([t[:, 2], np.zeros(len(t)), -t[:, 0]])
        out = unit(flat) * (1.0 if (flat * (h + d)).sum() >= 0 else -1.0)
        return Frame(t, out, np.zeros_like(t), np.zeros_like(t))
    down = unit(np.cross(t, h))
    wrong = down[:, 2] > 0
    if line.name.startswith("chine"):
        # the hull's skin may lie level there: away from the line is the way that goes in behind the other
        # skin
        behind = (down * d).sum(axis=1)
        wrong = np.where(np.abs(behind) > 0.05, behind > 0, wrong)
    down = down * np.where(wrong, -1.0, 1.0)[:, None]
    across = unit(np.cross(t, d))
    if d.any():
        # away from the line over the deck is the way that leaves the hull's outside; where the two skins are
        # one, away from it
        leaves = (across * h).sum(axis=1)
        wrong = np.where(np.abs(leaves) > 1e-9, leaves > 0, (across * down).sum(axis=1) > 0)
        across = across * np.where(wrong, -1.0, 1.0)[:, None]
    return Frame(t, h, down, across)


def interior_angles(line: NamedLine) -> Array:
    """Angle between the two skins, inside the boat [rad], at each point of a line: pi less the angle
    between their normals."""
    cosine = (line.hull_normals * line.deck_normals).sum(axis=1)
    return np.asarray(np.pi - np.arccos(np.clip(cosine, -1.0, 1.0)))


def fillet_section(radius: float, angle: Array) -> Array:
    """Section [m2] of a fillet tangent to both sides of a corner: r^2 (cot(b/2) - (pi - b)/2), b the corner's
    angle [rad].

    >>> bool(abs(fillet_section(1.0, np.array([np.pi / 2]))[0] - (1 - np.pi / 4)) < 1e-12)
    True
    """
    b = np.clip(angle, 0.2, np.pi)
    return np.asarray(radius**2 * (1 / np.tan(b / 2) - (np.pi - b) / 2))


# ---------------------------------------------------------------- where a run lies


def offset_of(run: Run, line: NamedLine, places: Places) -> Array:
    """From the line to the middle of the run's own section, (k, 3) [m]."""
    f = frame_of(line)
    thick, deep = section_size(run)
    skin = places.thickness["hull"]
    if run.kind in ("tape", "cord", "glue line"):
        half = (run.width or 0.0) / 4
        inside = skin if run.side == "inside" else 0.0
        if line.closed:
            return np.zeros_like(line.points)
        spread = 0.5 * half * (f.down + f.across) if line.paired and f.across.any() else 0.0
        return spread - inside * f.out
    if run.kind == "fillet":
        return -_to_apex(line, places)
    if line.closed:
        return (thick / 2 if run.side == "outside" else -thick / 2) * f.out + deep / 2 * f.down
    if run.side == "outside":
        return thick / 2 * f.out + deep / 2 * f.down
    lid = places.thickness["deck"] if f.across.any() else 0.0
    return -(skin + thick / 2) * f.out + (deep / 2 + lid) * f.down


def _to_apex(line: NamedLine, places: Places) -> Array:
    """From the outer corner to the inner one: t / sin(b/2) along the line that halves the corner."""
    half = np.clip(interior_angles(line) / 2, 0.2, np.pi / 2)
    return unit(line.hull_normals + line.deck_normals) * (places.thickness["hull"] / np.sin(half))[:, None]


def section_size(run: Run) -> tuple[float, float]:
    """Thickness off the skin and depth along it [m]."""
    thick = run.plies * (run.ply_thickness or 0.0) if run.kind == "lamination" else (run.thickness or 0.0)
    return thick, run.depth or 0.0


def spread_along(run: Run, places: Places, weight: Callable[[NamedLine], Array] | None = None) -> Spread:
    """Where a run lies, both sides counted; size is its length [m], or with a section [m2] as weight its
    volume [m3]."""
    found = []
    for line in lines_along(places.hull, run.along):
        points = line.points + offset_of(run, line, places)
        w = np.ones(len(points)) if weight is None else weight(line)
        if line.closed:
            points, w = np.concatenate([points, points[:1]]), np.concatenate([w, w[:1]])
        segments = np.stack([points[:-1], points[1:]], axis=1)
        segments, w2 = clipped_segments(segments, np.stack([w[:-1], w[1:]], axis=1), run.start, run.end)
        if line.paired:  # in a fine end it stops where it meets its twin
            across, w2 = clipped_segments(segments[:, :, SIDEWAYS], w2, 0.0, None)
            segments = across[:, :, SIDEWAYS]
        one = over_segments(segments, w2)
        found.append(one.both_sides() if line.paired else one)
    total = joined(found)
    if total.size <= 0:
        raise ScheduleError(
            f"{run.kind} along the {run.along}: nothing of it lies between its `from` and `to`."
        )
    return total


# ---------------------------------------------------------------- one maker for each kind

STICKS = ("lamination", "solid")


def _need(run: Run, *names: str) -> tuple[float, ...]:
    values = []
    for n in names:
        v = getattr(run, n)
        if not v or v <= 0:
            raise ScheduleError(f"{run.kind} along the {run.along}: needs {n}, more than 0.")
        values.append(float(v))
    return tuple(values)


def _line(
    run: Run,
    label: str,
    group: str,
    spread: Spread,
    length: float,
    *terms: Term,
    kind: str,
    material: str = "",
    sizes: tuple[float, ...] = (),
    count: int = 1,
) -> ScheduleLine:
    paired = run.along.startswith(("sheer", "chine"))
    where = f"{run.along}, {run.side}" + (", both sides" if paired else "")
    item = f"{run.name}: {label}" if run.name else label
    names = (run.name,) if run.name else ()
    return ScheduleLine(
        item,
        where,
        "length",
        length,
        "m",
        group,
        spread,
        terms,
        names,
        material,
        kind,
        run.along,
        sizes,
        count,
        run,
    )


def _wood(run: Run, places: Places, lib: Library, thick: float, depth: float, when: str) -> ScheduleLine:
    """The stick itself, `plies` of that thickness one on another."""
    if not run.wood:
        raise ScheduleError(f"{run.kind} along the {run.along}: needs a wood.")
    wood, plies = lib.wood(run.wood), run.plies if run.kind == "lamination" else 1
    spread = spread_along(run, places)
    volume = plies * thick * depth * run.solid_share * spread.size
    term = Term(volume, (density_of(wood), SAWN), when, run.kind)
    many = f"{plies} x " if run.kind == "lamination" else ""
    label = f"{run.kind} {many}{sizes_text(thick, depth)} mm, {wood.name}"
    return _line(
        run, label, "other wood", spread, spread.size, term,
        kind=run.kind, material=wood.name, sizes=(thick, depth), count=plies,
    )  # fmt: skip


def _joint(run: Run, lib: Library, spread: Spread, width: float, count: int, when: str) -> ScheduleLine:
    """`count` glue lines of that width along the run, thickened resin."""
    r = lib.resin(run.resin)
    gap, rho = Quantity.of(GLUE, r.glue_line), Quantity.of(GLUE, r.glue_density)
    term = Term(spread.size * width * count, (gap, rho), when, "glue line")
    label = f"glue line{'s' if count > 1 else ''} ({count}), {r.name}"
    return _line(
        run, label, "glue", spread, spread.size, term,
        kind="joint", material=r.name, sizes=(r.glue_line[1], width), count=count,
    )  # fmt: skip


def lamination(run: Run, places: Places, lib: Library, when: str) -> Iterator[ScheduleLine]:
    """Plies bent one on another: their wood, and the glue between them and to the skin."""
    ply, depth = _need(run, "ply_thickness", "depth")
    wood = _wood(run, places, lib, ply, depth, when)
    yield wood
    yield _joint(run, lib, wood.spread, depth, run.plies, when)


def solid(run: Run, places: Places, lib: Library, when: str) -> Iterator[ScheduleLine]:
    """One stick, glued along one face."""
    thick, depth = _need(run, "thickness", "depth")
    wood = _wood(run, places, lib, thick, depth, when)
    yield wood
    yield _joint(run, lib, wood.spread.scaled(run.solid_share), depth, 1, when)


def fillet(run: Run, places: Places, lib: Library, when: str) -> Iterator[ScheduleLine]:
    """Thickened resin in the corner of two skins, its section from the angle between them at each point."""
    (radius,) = _need(run, "radius")
    for line in lines_along(places.hull, run.along):
        if not line.deck_normals.any():
            raise ScheduleError(f"fillet along the {run.along}: only one skin there, so no corner to fill.")
    volume = spread_along(run, places, lambda line: fillet_section(radius, interior_angles(line)))
    length = spread_along(run, places).size
    r = lib.resin(run.resin)
    term = Term(volume.size, (FILLET_TOOL, Quantity.of(GLUE, r.glue_density)), when, "fillet")
    label = f"fillet {sizes_text(radius)} mm, {r.name}"
    yield _line(run, label, "glue", volume, length, term, kind="fillet", material=r.name, sizes=(radius,))


def tape(run: Run, places: Places, lib: Library, when: str) -> Iterator[ScheduleLine]:
    """Cloth tape and the resin that wets it."""
    (width,) = _need(run, "width")
    if not run.cloth:
        raise ScheduleError(f"tape along the {run.along}: needs a cloth.")
    cloth, r, spread = lib.cloth(run.cloth), lib.resin(run.resin), spread_along(run, places)
    area = spread.size * width * run.layers
    areal = Quantity.of(f"weight of {cloth.name}", cloth.areal)
    ratio = Quantity.of(RESIN_HANDS, cloth.resin_ratio)
    label = f"tape {sizes_text(width)} mm x {run.layers}, {cloth.name}"
    dry = Term(area, (LAPS, areal), when, "tape")
    wet = Term(area, (LAPS, areal, ratio), when, "seam")
    for kind, item, group, term, material in (
        ("tape", label, "cloth", dry, cloth.name),
        ("tape wet-out", f"{r.name}, wet-out of tape", "resin", wet, r.name),
    ):
        yield _line(
            run, item, group, spread, spread.size, term,
            kind=kind, material=material, sizes=(width,), count=run.layers,
        )  # fmt: skip


def glue_line(run: Run, places: Places, lib: Library, when: str) -> Iterator[ScheduleLine]:
    """A joint of a given depth; its thickness as given, or as the resin's usual."""
    (depth,) = _need(run, "depth")
    r, spread = lib.resin(run.resin), spread_along(run, places)
    gap = around(run.thickness, 0.3) if run.thickness else r.glue_line
    term = Term(
        spread.size * depth,
        (Quantity.of(GLUE, gap), Quantity.of(GLUE, r.glue_density)),
        when,
        "glue line",
    )
    yield _line(
        run, f"glue line, {r.name}", "glue", spread, spread.size, term,
        kind="glue line", material=r.name, sizes=(gap[1], depth),
    )  # fmt: skip


def cord(run: Run, places: Places, lib: Library, when: str) -> Iterator[ScheduleLine]:
    """Line or edging by its mass per metre."""
    (per_metre,) = _need(run, "mass_per_length")
    spread = spread_along(run, places)
    one = Quantity.of(f"cord along the {run.along}", around(per_metre, 0.05))
    term = Term(spread.size, (one,), when)
    yield _line(run, "cord", "fittings", spread, spread.size, term, kind="cord")


KINDS: Mapping[str, Callable[[Run, Places, Library, str], Iterator[ScheduleLine]]] = {
    "lamination": lamination,
    "solid": solid,
    "fillet": fillet,
    "tape": tape,
    "glue line": glue_line,
    "cord": cord,
}


def runs(boat: Boat, schedule: Schedule, places: Places, lib: Library) -> Iterator[ScheduleLine]:
    """The lines of every run, in the order of the schedule."""
    for run in schedule.runs:
        if run.kind not in KINDS:
            raise ScheduleError(f"run kind = {run.kind!r}. {did_you_mean(run.kind, KINDS)}")
        yield from KINDS[run.kind](run, places, lib, when_run(run, boat.hull.type == "decked"))
