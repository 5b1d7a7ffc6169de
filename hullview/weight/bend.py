"""Will it bend: curvature of laminations along their true curve, and bend, edge-set and twist of strips,
against what the wood takes.

Strain of a stick of thickness t bent to radius R is t / (2 R). A dry stick breaks near strength over
stiffness (MOR / MOE); boards differ, so the lights stand well apart and there is no pass or fail: bend a
scrap first.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace

import numpy as np

from hullview.arrays import Array
from hullview.boat.model import Boat, Build, Planking, Run
from hullview.materials import Library, Wood, library
from hullview.planking.lines import StripLine, longest, stretches, strip_lines
from hullview.shape.curve import chords
from hullview.shape.hull import Hull, NamedLine, SurfaceGrid
from hullview.weight.areas import Places, places_of, strip_face
from hullview.weight.lengths import STICKS, frame_of, lines_along, offset_of, section_size

DRY, WET, HOT, THINNER = "dry", "wet or heat", "hot pipe", "thinner"
LIGHTS = (DRY, WET, THINNER)
"""Of strips."""
WORSE = (DRY, WET, HOT, THINNER)
"""Lights of strips and sticks, from the best to the worst."""
DRY_SHARE = 0.7
"""Share of MOR / MOE that a dry stick takes in 19 boards of 20: pieces of one species differ by 16 % in
strength and 22 % in stiffness (coefficients of variation, FPL Wood Handbook, from memory). Spruce and cedar:
R / t of 107 or more; evidence runs from 20 to over 128."""
WET_SHARE = 2.0
"""Soaked and steamed wood gives about twice that before it breaks or buckles: cedar R / t of 37, within the
25 to 40 of steamed strips (common practice, no source)."""
HOT_SHARE, HOT_THICKNESS = 3.0, 0.003
"""Wet plies as thin as this [m], which heat goes through at once, bent over a hot pipe: R / t of 25 for cedar
and 19 for ash, where makers of instruments go to 15 (common practice, no source). Beyond: saw it out."""
DRY_TWIST, WET_TWIST = np.radians(90) / 0.762 * 0.6, np.radians(90) / 0.762
"""Twist of a 1/4 by 3/4 in strip [rad/m]: 90 deg in under 30 in broke one, so that is the red light and 0.6
of it the green one (common practice, no source). Thinner and narrower strips take more in proportion: 90 deg
in 18 in was managed with narrower ones."""
TWIST_THICKNESS, TWIST_WIDTH = 0.00635, 0.019
TWIST_SPAN = 0.3
"""Length over which a strip's twist is told [m]."""
WINDOW = 0.03
"""Half the length of a ring over which its curvature is read, because its points lie unevenly on the
deck's facets [m]."""
NEAR_WIDTHS = 2.0
"""Within so many of its widths of keel or stem a strip is cut off against them, and parallels from the sheer
crowd there into a cusp that no builder lays: nothing is measured there."""
READ_WIDTHS = 3.0
"""A strip is stiff: its curvature is read as the mean over so many of its widths, and it lies across
lesser ripples of a table's spline."""
TIGHT_WIDTHS = 5.0
"""Set edgewise tighter than this many of its widths, a strip is told as "tighter than": no strip is, so no
figure is of use."""
MOST_PLIES, LEAST_PLY = 12, 0.0254 / 16
"""More plies than this, and thinner than this [m], are no way of building a stick: it is sawn to shape
(common practice, no source)."""
FREE_LINES = ("bow stem", "stern stem", "coaming", "hatch")
"""Laminations glued up on a form of their own and let go; a clamp or gunwale is held by the hull it is
glued to."""


def light(strain: float, wood: Wood) -> str:
    """Which light a bending strain gets in this wood."""
    return (
        DRY
        if strain <= DRY_SHARE * wood.breaking_strain
        else WET
        if strain <= WET_SHARE * wood.breaking_strain
        else THINNER
    )


def worst(lights: Sequence[str]) -> str:
    """The worst of several lights."""
    return max(lights, key=WORSE.index, default=DRY)


@dataclass(frozen=True)
class Bent:
    """The tightest place in one plane: radius [m] (inf: straight), where [m aft of the datum], strain,
    light."""

    radius: float
    where: float
    strain: float
    light: str


@dataclass(frozen=True)
class Takes:
    """What the tightest place of one plane takes: how the wood is bent (DRY, WET or HOT), the most it may
    measure in that plane [m] (inf: straight there), and how many pieces of at most that make up the same
    thickness."""

    how: str
    most: float
    pieces: int

    @property
    def sensible(self) -> bool:
        """Whether anybody would build a stick so: of a dozen plies or fewer, or of plies that a saw can
        make."""
        return self.pieces <= MOST_PLIES or self.most >= LEAST_PLY


def takes(radius: float, thickness: float, wood: Wood) -> tuple[Takes, ...]:
    """What wood takes bent to a radius [m] dry, wet and hot: 2 R times its share of the breaking strain;
    thickness [m]: of the whole."""
    straight = 2 * radius * wood.breaking_strain
    steamed = WET_SHARE * straight
    most = {
        DRY: DRY_SHARE * straight,
        WET: steamed,
        HOT: max(steamed, min(HOT_SHARE * straight, HOT_THICKNESS)),
    }
    return tuple(
        Takes(how, m, 1 if np.isinf(m) else max(1, int(np.ceil(thickness / m - 1e-9))))
        for how, m in most.items()
    )


@dataclass(frozen=True)
class StickBend:
    """A lamination or solid along its own curve. flat: across its plies; edge: across its depth, which more
    plies do not help.

    item: what it is called, with its line; plies, ply [m] and depth [m] as asked; plies_take, depth_takes:
    what the tightest place of either plane takes dry, wet and hot. springback_elastic, springback_rival:
    share of the curvature lost when let go: 1/n^2, and 1/n, where the form must be tighter by as much; free:
    glued up on a form of its own, so that it matters. form_radius: for the tightest place, by both rules [m].
    """

    item: str
    along: str
    wood: str
    plies: int
    ply: float
    depth: float
    flat: Bent
    edge: Bent
    plies_take: tuple[Takes, ...]
    depth_takes: tuple[Takes, ...]
    free: bool
    springback_elastic: float
    springback_rival: float
    form_radius: tuple[float, float]

    @property
    def light(self) -> str:
        """Of the plane that is worse."""
        return worst((self.flat.light, self.edge.light))

    @property
    def best(self) -> Takes | None:
        """The mildest way in which plies that somebody would use take the bend across them; None where
        there is none."""
        return next((t for t in self.plies_take if t.sensible), None)

    @property
    def sawn(self) -> bool:
        """So tight that no sensible plies bend to it in any way: sawn to shape."""
        return self.best is None


@dataclass(frozen=True)
class StripBend:
    """One strip from the sheer: its worst bend, edge-set and twist, and where each is, away from keel and
    stems.

    twist: greatest turn within 300 mm [rad], and where that stretch begins [m aft of the datum].
    tapers: where it would have to be set edgewise past its red light [m aft of the datum], a place for each
    such stretch: there it is tapered or a new run of strips begins, as on most boats (common practice, no
    source), so it is no red light of the strip.
    """

    number: int
    bend: Bent
    edge_set: Bent
    twist: float
    twist_where: float
    twist_light: str
    points: Array = field(repr=False, compare=False)
    severity: Array = field(repr=False, compare=False)
    """At each point, how near the worst of the three is to its limits: up to 1 dry, up to 2 wet or heat,
    beyond thinner."""
    tapers: tuple[float, ...] = ()

    @property
    def light(self) -> str:
        return worst((self.bend.light, WET if self.tapers else self.edge_set.light, self.twist_light))


@dataclass(frozen=True)
class StripsBend:
    """All strips of one skin ("hull" or "deck"), laid from the sheer."""

    where: str
    wood: str
    thickness: float
    width: float
    strips: tuple[StripBend, ...]

    @property
    def light(self) -> str:
        return worst([s.light for s in self.strips])

    @property
    def tightest_told(self) -> float:
        """Edge-set radius below which only "tighter than" is said [m]."""
        return TIGHT_WIDTHS * self.width

    @property
    def tapered(self) -> tuple[StripBend, ...]:
        """The strips that are tapered, or below which a new run begins."""
        return tuple(s for s in self.strips if s.tapers)

    @property
    def too_stiff(self) -> tuple[StripBend, ...]:
        """The strips that want to be thinner or narrower: bent or twisted past the red light."""
        return tuple(s for s in self.strips if s.light == THINNER)

    @property
    def worst_twist(self) -> StripBend:
        return max(self.strips, key=lambda s: s.twist)

    @property
    def worst_bend(self) -> StripBend:
        return max(self.strips, key=lambda s: s.bend.strain)

    @property
    def worst_edge_set(self) -> StripBend:
        return max(self.strips, key=lambda s: s.edge_set.strain)


@dataclass(frozen=True)
class BendReport:
    """Everything that must bend in one build."""

    build: str
    sticks: tuple[StickBend, ...]
    strips: tuple[StripsBend, ...]

    MEASURED = (
        "Measured on strips laid edge to edge from the sheer, and anew from each knuckle, and on each"
        " lamination along its own curve in space; strips are followed to two of their widths from keel and"
        " stems. Boards differ: bend a scrap of the same board first, to the tightest place named here."
    )

    @property
    def light(self) -> str:
        return worst([*(s.light for s in self.sticks), *(s.light for s in self.strips)])


# ---------------------------------------------------------------- laminations


def curvature(points: Array, closed: bool) -> Array:
    """Curvature vector (k, 3) [1/m] at each point of a curve: cubic spline, or for a ring a parabola
    fitted over 60 mm about each point."""
    if closed:
        return _ring_curvature(points)
    from scipy.interpolate import CubicSpline

    step = np.sqrt((np.diff(points, axis=0) ** 2).sum(axis=1))
    step = np.where(step > 1e-9, step, 1e-9)
    s = np.concatenate([[0.0], np.cumsum(step)])
    curve = CubicSpline(s, points, axis=0)
    first, second = curve(s, 1), curve(s, 2)
    square = (first**2).sum(axis=1)[:, None]
    return np.asarray((second - (second * first).sum(axis=1)[:, None] * first / square) / square)


def _ring_curvature(points: Array) -> Array:
    n = len(points)
    step = np.sqrt((np.diff(points, axis=0, append=points[:1]) ** 2).sum(axis=1))
    s, whole = np.concatenate([[0.0], np.cumsum(step)[:-1]]), step.sum()
    reach = max(WINDOW, 2.5 * whole / n)
    found = np.zeros((n, 3))
    for i in range(n):
        away = (s - s[i] + whole / 2) % whole - whole / 2
        near = np.abs(away) <= reach
        a = away[near]
        fit = np.linalg.lstsq(np.column_stack([np.ones_like(a), a, a * a]), points[near], rcond=None)[0]
        first, second = fit[1], 2 * fit[2]
        square = first @ first
        found[i] = (second - (second @ first) * first / square) / square
    return found


def _bent(curve: Array, size: float, points: Array, wood: Wood) -> Bent:
    """The tightest place of a signed or absolute curvature (k,) [1/m] for a stick `size` thick in that
    plane [m]."""
    k = np.abs(curve)
    i = int(np.argmax(k >= k.max() * (1 - 1e-6)))  # the first of several that are as tight
    strain = float(size / 2 * k[i])
    return Bent(
        float(1 / k[i]) if k[i] > 1e-6 else float("inf"), float(points[i, 0]), strain, light(strain, wood)
    )


def _stick(run: Run, line: NamedLine, places: Places, wood: Wood) -> StickBend:
    thick, depth = section_size(run)
    plies = run.plies if run.kind == "lamination" else 1
    ply = thick / plies
    points, f = line.points + offset_of(run, line, places), frame_of(line)
    inside = (
        points[:, 1] >= 0 if line.paired else np.ones(len(points), dtype=bool)
    )  # past its twin it is cut off
    if run.start is not None:
        inside &= points[:, 0] >= run.start
    if run.end is not None:
        inside &= points[:, 0] <= run.end
    k = curvature(points, line.closed)
    flat_of, edge_of = (k * f.out).sum(axis=1), (k * f.down).sum(axis=1)
    if inside.any():
        flat_of, edge_of, points = flat_of[inside], edge_of[inside], points[inside]
    flat, edge = _bent(flat_of, ply, points, wood), _bent(edge_of, depth, points, wood)
    if flat.light == THINNER and ply <= takes(flat.radius, thick, wood)[-1].most:
        flat = replace(flat, light=HOT)
    return StickBend(
        f"{run.name or run.kind}, {line.name}",
        line.name,
        wood.name,
        plies,
        ply,
        depth,
        flat,
        edge,
        takes(flat.radius, thick, wood),
        takes(edge.radius, depth, wood)[:2],
        line.name.startswith(FREE_LINES),
        1 / plies**2,
        1 / plies,
        form_radii(flat.radius, plies),
    )


def form_radii(radius: float, plies: int) -> tuple[float, float]:
    """Radius of the form for a free lamination that must come out at `radius` [m]: elastic, R (1 - 1/n^2),
    and the rival rule, R (n - 1)/n.

    Elastic theory, 1/n^2 of the curvature lost by n equal plies glued while bent; beech tests in Forests
    2020, 11(7), 725 lie in that range. One ply alone springs all the way: 0.

    >>> [round(r, 4) for r in form_radii(0.3, 4)]
    [0.2812, 0.225]
    """
    return radius * (1 - 1 / plies**2), radius * (plies - 1) / plies


def stick_bends(build: Build, hull: Hull, lib: Library) -> tuple[StickBend, ...]:
    """Every lamination and solid of a build, along its own curve."""
    places, found = places_of(hull, build.schedule), []
    for run in build.schedule.runs:
        if run.kind in STICKS and run.wood:
            wood = lib.wood(run.wood)
            found += [_stick(run, line, places, wood) for line in lines_along(hull, run.along)]
    return tuple(found)


# ---------------------------------------------------------------- strips


@dataclass(frozen=True)
class Along:
    """At each point of a strip: distance [m], bend across the flat, edge-set [1/m], twist [rad/m]."""

    distance: Array
    bend: Array
    edge_set: Array
    twist: Array


def turn_within(a: Along, span: float = TWIST_SPAN) -> tuple[float, int]:
    """Greatest turn about its own length of a strip within a span [m], and the index where that stretch
    begins."""
    turned = np.concatenate([[0.0], np.cumsum((a.twist[1:] + a.twist[:-1]) / 2 * np.diff(a.distance))])
    end = np.interp(np.minimum(a.distance + span, a.distance[-1]), a.distance, turned)
    # near the end of a short strip the stretch is what is left of it, so begin it earlier
    start = np.maximum(np.minimum(a.distance, a.distance[-1] - span), 0.0)
    begun = np.interp(start, a.distance, turned)
    turn = np.abs(end - begun)
    i = int(np.argmax(turn))
    return float(turn[i]), i


def twist_limits(thickness: float, width: float) -> tuple[float, float]:
    """Green and red light for the twist of a strip of this thickness and width [rad/m]."""
    scale = TWIST_THICKNESS / thickness * TWIST_WIDTH / width
    return DRY_TWIST * scale, WET_TWIST * scale


def _strip(line: StripLine, p: Planking, wood: Wood, edges: Array) -> StripBend | None:
    """What one strip is asked; None where it runs beside the keel or a stem all along."""
    kept = _away(line, edges, NEAR_WIDTHS * p.strip_width)
    if len(kept) < LEAST_POINTS:
        return None
    whole = Along(chords(line.points), line.bend, line.edge_set, line.twist)
    points, a = line.points[kept], _cut(_over(whole, READ_WIDTHS * p.strip_width), kept)
    cusp = np.abs(line.edge_set[kept]) * TIGHT_WIDTHS * p.strip_width > 1
    dry, wet = twist_limits(p.thickness, p.strip_width)
    limits = DRY_SHARE * wood.breaking_strain, WET_SHARE * wood.breaking_strain
    sideways = np.where(cusp, 3.0, _severity(np.abs(a.edge_set) * p.strip_width / 2, *limits))
    laid = sideways <= 2.0
    tapers = tuple(float(points[t[np.argmax(sideways[t])], 0]) for t in stretches(~laid))
    edge = _bent(
        np.where(cusp, np.maximum(np.abs(a.edge_set), 1.001 / (TIGHT_WIDTHS * p.strip_width)), a.edge_set),
        p.strip_width,
        points,
        wood,
    )
    flat = np.where(laid, a.bend, 0.0)
    bend = _bent(flat, p.thickness, points, wood)
    turn, i = turn_within(a)
    rate = turn / min(TWIST_SPAN, max(a.distance[-1], 1e-9))
    shade = DRY if rate <= dry else WET if rate <= wet else THINNER
    severity = np.maximum.reduce(
        [
            _severity(np.abs(flat) * p.thickness / 2, *limits),
            np.minimum(sideways, 2.0),
            _severity(np.abs(a.twist), dry, wet),
        ]
    )
    return StripBend(line.number, bend, edge, turn, float(points[i, 0]), shade, points, severity, tapers)


LEAST_POINTS = 5


def _away(line: StripLine, edges: Array, reach: float) -> Array:
    """Indices of the longest stretch of a strip that is farther than `reach` [m] from the skin's edges on
    the centre line, and from its own ends."""
    from scipy.spatial import cKDTree

    arc = chords(line.points)
    apart, _ = cKDTree(edges).query(line.points)
    return longest((apart > reach) & (arc > reach) & (arc < arc[-1] - reach))


def _over(a: Along, length: float) -> Along:
    """Bend, edge-set and twist as means over a length of the strip [m] about each point."""

    def mean(value: Array) -> Array:
        summed = np.concatenate([[0.0], np.cumsum((value[1:] + value[:-1]) / 2 * np.diff(a.distance))])
        start, end = (
            np.maximum(a.distance - length / 2, 0.0),
            np.minimum(a.distance + length / 2, a.distance[-1]),
        )
        return np.asarray(
            (np.interp(end, a.distance, summed) - np.interp(start, a.distance, summed))
            / np.maximum(end - start, 1e-9)
        )

    return Along(a.distance, mean(a.bend), mean(a.edge_set), mean(a.twist))


def _cut(a: Along, kept: Array) -> Along:
    return Along(a.distance[kept] - a.distance[kept][0], a.bend[kept], a.edge_set[kept], a.twist[kept])


def _edges(grid: SurfaceGrid, where: str) -> Array:
    """Points close together along the keel and the stems (hull), or the two ends (deck), (k, 3) [m]."""
    p = grid.points
    found = [p[:, 0], p[:, -1]] + ([p[0]] if where == "hull" else [])
    share = np.linspace(0, 1, 8, endpoint=False)[:, None, None]
    return np.concatenate(
        [((1 - share) * e[:-1] + share * e[1:]).reshape(-1, 3) for e in found] + [e[-1:] for e in found]
    )


def _severity(value: Array, dry: float, wet: float) -> Array:
    """0 to 1 up to the first limit, 1 to 2 up to the second, then on at the same slope."""
    return np.where(value <= dry, value / dry, 1 + (value - dry) / (wet - dry))


def strips_bends(build: Build, hull: Hull, lib: Library) -> tuple[StripsBend, ...]:
    """The strips of hull and deck, where they are planked with strips and the hull came from a table."""
    found = []
    for p in build.schedule.planking:
        grid, sheer_row = {"hull": (hull.side, -1), "deck": (hull.deck, 0)}.get(p.where, (None, -1))
        if p.kind != "strip" or p.band is not None or grid is None:
            continue
        wood = lib.wood(p.wood)
        edges = _edges(grid, p.where)
        measured = (_strip(line, p, wood, edges) for line in strip_lines(grid, strip_face(p), sheer_row))
        made = tuple(s for s in measured if s is not None)
        if made:
            found.append(StripsBend(p.where, wood.name, p.thickness, p.strip_width, made))
    return tuple(found)


def bend(boat: Boat, hull: Hull, build: str | None = None) -> BendReport:
    """Lights for all that must bend in one build."""
    chosen, lib = boat.build(build), library(boat.materials)
    return BendReport(chosen.name, stick_bends(chosen, hull, lib), strips_bends(chosen, hull, lib))


def severity_at(report: BendReport, points: Array, where: str = "hull") -> Array:
    """How near the strips are to their limits at points (n, 3) of a skin, for colours: that of the nearest
    strip; nan without strips."""
    from scipy.spatial import cKDTree

    skin = next((s for s in report.strips if s.where == where), None)
    if skin is None:
        return np.full(len(points), np.nan)
    at = np.concatenate([s.points for s in skin.strips])
    value = np.concatenate([s.severity for s in skin.strips])
    _, nearest = cKDTree(at).query(np.column_stack([points[:, 0], np.abs(points[:, 1]), points[:, 2]]))
    return np.asarray(value[nearest])
