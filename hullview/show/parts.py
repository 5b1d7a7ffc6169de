"""What is seen of a hull: its faces in parts of one name, one colour and one word in the legend. Lids are
not seen."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass

import numpy as np

from hullview.arrays import Array
from hullview.boat.model import Build, Bulkhead, Planking
from hullview.shape.clip import crossed, kept
from hullview.shape.hull import Hull
from hullview.show import colours
from hullview.weight.areas import strip_face
from hullview.weight.bend import LIGHTS, BendReport

NOT_MEASURED = "not measured"


@dataclass(frozen=True)
class Patch:
    """A piece of skin: vertices (n, 3) [m], faces (m, 3), and each vertex's place along and across the run
    of the wood [m]."""

    vertices: Array
    faces: Array
    along: Array
    across: Array

    def __add__(self, other: Patch) -> Patch:
        pairs = ((getattr(self, k), getattr(other, k)) for k in ("vertices", "along", "across"))
        vertices, along, across = (np.concatenate(pair) for pair in pairs)
        return Patch(vertices, np.concatenate([self.faces, other.faces + len(self.vertices)]), along, across)

    def divided(self, values: Array, level: float) -> tuple[Patch, Patch]:
        """Cut along the line where `values` (n,), linear over each face, equal `level`: what is under it,
        and what is not."""
        gap = (np.asarray(values, float) - level)[self.faces]
        corners = np.column_stack([self.vertices, self.along, self.across])[self.faces]
        under, over = (_joined(kept(corners, *crossed(gap, side))) for side in (gap < 0, gap >= 0))
        return under, over

    def of(self, faces: Array) -> Patch:
        """These faces, with the vertices they use."""
        used, own = np.unique(faces, return_inverse=True)
        return Patch(self.vertices[used], own.reshape(-1, 3), self.along[used], self.across[used])


def _joined(corners: Array) -> Patch:
    """Triangles (m, 3, 5) as a patch, corners that coincide made one."""
    own, faces = np.unique(corners.reshape(-1, 5), axis=0, return_inverse=True)
    return Patch(own[:, :3], faces.reshape(-1, 3), own[:, 3], own[:, 4])


@dataclass(frozen=True)
class Part:
    """A sheet of one colour. name: region and material; words: in the legend; strip: width of a strip's face
    [m], 0 where there are none; wooden: drawn with grain; opacity: 1 where nothing is seen through it."""

    name: str
    words: str
    colour: str
    sheet: Patch
    strip: float = 0.0
    wooden: bool = False
    opacity: float = 1.0

    @property
    def vertices(self) -> Array:
        return self.sheet.vertices

    @property
    def faces(self) -> Array:
        return self.sheet.faces


def family(region: str) -> str:
    """The region without its number: "coaming 2" is a "coaming"."""
    return region.rstrip(" 0123456789")


def seen_regions(hull: Hull) -> tuple[str, ...]:
    """Regions with faces that exist in wood: not the lids."""
    used = set(np.unique(hull.region_of_face))
    return tuple(r for i, r in enumerate(hull.regions) if i in used and family(r) != "lid")


def sheet_of(hull: Hull, faces: Array) -> Patch:
    """Some faces (m, 3) of a hull; the wood runs fore and aft, across it lies the girth below the sheer,
    or the half-breadth."""
    girth = hull.girth_below_sheer
    across = np.where(np.isnan(girth), np.abs(hull.vertices[:, 1]), girth)
    if (
        hull.side is None and len(faces) and np.isnan(girth[faces]).all()
    ):  # a hull read as a mesh: strips level on steep sides
        across = across - 1.6 * hull.vertices[:, 2]
    return Patch(hull.vertices, hull.faces, hull.vertices[:, 0], across).of(faces)


def by_region(hull: Hull) -> tuple[Part, ...]:
    """One part for each region."""
    return tuple(
        Part(
            r,
            family(r),
            colours.REGIONS.get(family(r), colours.NEUTRAL),
            sheet_of(hull, hull.faces[hull.region == r]),
        )
        for r in seen_regions(hull)
    )


def of_mesh(
    name: str, vertices: Array, faces: Array, water: tuple[Array, float] | None = None
) -> tuple[Part, ...]:
    """A bare mesh as one part, or cut along the water's surface (normal, offset [m]) in what is wet and
    what is dry."""
    whole = Patch(vertices, faces, vertices[:, 0], vertices[:, 2]).of(faces)
    if water is None:
        return (Part(name, "mesh", colours.REGIONS["hull"], whole),)
    return _cut(whole, *water)


def tones(build: Build, bulkheads: Iterable[Bulkhead] = ()) -> dict[str, str]:
    """The colour of each wood that goes into a build, told apart from the others."""
    plan = build.schedule
    woods = [*(p.wood for p in plan.planking), *(r.wood for r in plan.runs), *(p.wood for p in plan.pieces)]
    woods += [b.wood for b in bulkheads]
    return colours.apart({w: colours.wood_colour(w) for w in dict.fromkeys(woods) if w})


def by_material(hull: Hull, build: Build | None, tone: Mapping[str, str] | None = None) -> tuple[Part, ...]:
    """One part for each region and wood, in the colour `tone` gives it; without a build, bare planking."""
    if build is None:
        return tuple(
            Part(
                r,
                "planking",
                colours.OTHER_WOOD,
                sheet_of(hull, hull.faces[hull.region == r]),
                strip=0.016,
                wooden=True,
            )
            for r in seen_regions(hull)
        )
    tone = tone or tones(build)
    return tuple(
        Part(
            f"{r}, {wood}",
            wood,
            tone.get(wood, colours.NEUTRAL),
            sheet,
            strip=_strip_face(plank, r),
            wooden=True,
        )
        for r in seen_regions(hull)
        for sheet, plank, wood in _woods_of(hull, build, r)
    )


def by_wetness(hull: Hull, normal: Array, offset: float) -> tuple[Part, ...]:
    """Two parts, cut along the water's surface normal . p = offset [m]: what is wet and what is dry."""
    return _cut(_seen(hull), normal, offset)


def _cut(sheet: Patch, normal: Array, offset: float) -> tuple[Part, ...]:
    wet, dry = sheet.divided(sheet.vertices @ np.asarray(normal, float), offset)
    split = (("wet", wet, colours.WET), ("dry", dry, colours.DRY))
    return tuple(Part(word, word, colour, sheet) for word, sheet, colour in split if len(sheet.faces))


def by_thickness(hull: Hull, build: Build | None, length: Callable[[float], str]) -> tuple[Part, ...]:
    """One part for each region and finished planking thickness, pale for thin and dark for thick; `length`
    says one in words."""
    if build is None:
        return by_region(hull)
    found = [(r, *rest) for r in seen_regions(hull) for rest in _woods_of(hull, build, r)]
    steps = sorted({round(plank.finished, 5) for *_, plank, _ in found if plank})
    parts = []
    for region, sheet, plank, wood in found:
        words, colour = "not planked", colours.NEUTRAL
        if plank:
            words = f"{length(plank.finished)} after fairing"
            colour = colours.ramp(steps.index(round(plank.finished, 5)), len(steps))
        parts.append(Part(f"{region}, {wood}", words, colour, sheet))
    return tuple(parts)


def by_value(hull: Hull, words_of_face: Array, palette: dict[str, str]) -> tuple[Part, ...]:
    """One part for each word of `palette`, from a word for each face (m,); faces with another word are
    "not measured"."""
    words = np.where(np.isin(words_of_face, list(palette)), words_of_face, NOT_MEASURED)
    words = np.where(np.isin(hull.region, seen_regions(hull)), words, "")
    return tuple(
        Part(word, word, colour, sheet_of(hull, hull.faces[words == word]))
        for word, colour in {**palette, NOT_MEASURED: colours.NEUTRAL}.items()
        if (words == word).any()
    )


def by_bend(hull: Hull, report: BendReport) -> tuple[Part, ...]:
    """One part for each light of bending: each face of a planked skin as the nearest place of the nearest
    strip has it."""
    from scipy.spatial import cKDTree

    words = np.full(len(hull.faces), NOT_MEASURED, dtype=object)
    middles = hull.vertices[hull.faces].mean(axis=1)
    middles[:, 1] = np.abs(middles[:, 1])
    for skin in report.strips:
        own = np.flatnonzero(hull.region == skin.where)
        if not len(own) or not skin.strips:
            continue
        _, nearest = cKDTree(np.concatenate([s.points for s in skin.strips])).query(middles[own])
        severity = np.concatenate([s.severity for s in skin.strips])[nearest]
        words[own] = np.array(LIGHTS, dtype=object)[(severity > 1).astype(int) + (severity > 2)]
    return by_value(hull, words.astype(str), colours.LIGHTS)


def _seen(hull: Hull) -> Patch:
    return sheet_of(hull, hull.faces[np.isin(hull.region, seen_regions(hull))])


def legend(parts: Iterable[Part]) -> tuple[tuple[str, str], ...]:
    """(words, colour) once each, in order."""
    return tuple(dict.fromkeys((p.words, p.colour) for p in parts))


def planking_of(build: Build, region: str) -> Planking | None:
    """The planking of a region as a whole: its own, or for a transom and the ends the hull's, for hatches
    and rims the deck's."""
    whole = [p for p in build.schedule.planking if p.band is None]
    for where in {"deck": ("deck",), "hatch": ("deck", "hull"), "coaming": ("deck", "hull")}.get(
        family(region), (family(region), "hull")
    ):
        for plank in whole:
            if plank.where == where:
                return plank
    return None


def _woods_of(hull: Hull, build: Build, region: str) -> list[tuple[Patch, Planking | None, str]]:
    """(sheet, planking, wood) of one region: its whole, with the bands of another wood cut out of it."""
    rest = sheet_of(hull, hull.faces[hull.region == region])
    plank = planking_of(build, region)
    run = next((r for r in build.schedule.runs if r.wood and r.along in (region, family(region))), None)
    if family(region) not in ("hull", "deck", "transom", "hatch") and run is not None:
        return [(rest, None, str(run.wood))]
    out: list[tuple[Patch, Planking | None, str]] = []
    for band in build.schedule.planking if family(region) == "hull" else ():
        if band.band is None:
            continue
        above, below = rest.divided(rest.across, band.band[0])
        inside, below = below.divided(below.across, band.band[1])
        out.append((inside, band, band.wood))
        rest = above + below
    out.append((rest, plank, plank.wood if plank else "wood not said"))
    return [entry for entry in out if len(entry[0].faces)]


def _strip_face(plank: Planking | None, region: str) -> float:
    """Width of a strip as it shows [m]."""
    if (
        plank is None
        or plank.kind == "sheet"
        or family(region) in ("bow stem", "stern stem", "keel", "coaming")
    ):
        return 0.0
    if plank.kind == "lapped":
        return 0.1
    return max(0.006, strip_face(plank))
