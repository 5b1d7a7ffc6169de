"""What is seen of a hull: its faces in parts of one name, one colour and one word in the legend. Lids are not seen."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass

import numpy as np

from hullview.boat.model import Build, Planking
from hullview.shape.hull import Hull
from hullview.show import colours

Array = np.ndarray


@dataclass(frozen=True)
class Part:
    """Faces of one colour. name: region and material; words: in the legend; vertices (n, 3) [m], faces (m, 3).

    along, across: (n,) place of each vertex along and across the run of the wood [m]; strip: width of a strip's face [m],
    0 where there are none; wooden: drawn with grain.
    """

    name: str
    words: str
    colour: str
    vertices: Array
    faces: Array
    along: Array
    across: Array
    strip: float = 0.0
    wooden: bool = False


def family(region: str) -> str:
    """The region without its number: "coaming 2" is a "coaming"."""
    return region.rstrip(" 0123456789")


def seen_regions(hull: Hull) -> tuple[str, ...]:
    """Regions with faces that exist in wood: not the lids."""
    used = set(np.unique(hull.region_of_face))
    return tuple(r for i, r in enumerate(hull.regions) if i in used and family(r) != "lid")


def by_region(hull: Hull) -> tuple[Part, ...]:
    """One part for each region."""
    return tuple(
        _part(hull, hull.region == r, r, family(r), colours.REGIONS.get(family(r), colours.REGIONS["skin"]))
        for r in seen_regions(hull)
    )


def by_material(hull: Hull, build: Build | None) -> tuple[Part, ...]:
    """One part for each region and wood; without a build, bare planking."""
    if build is None:
        return tuple(
            _part(hull, hull.region == r, r, "planking", colours.OTHER_WOOD, strip=0.016, wooden=True)
            for r in seen_regions(hull)
        )
    found = [(r, mask, plank, wood) for r in seen_regions(hull) for mask, plank, wood in _woods_of(hull, build, r)]
    woods = list(dict.fromkeys(wood for *_, wood in found))
    tone = colours.apart({w: colours.wood_colour(w) for w in woods})
    return tuple(
        _part(hull, mask, f"{r}, {wood}", wood, tone[wood], strip=_strip_face(plank, r), wooden=True)
        for r, mask, plank, wood in found
        if mask.any()
    )


def by_wetness(hull: Hull, normal: Array, offset: float) -> tuple[Part, ...]:
    """Two parts: wet faces (their middle under the plane normal . p = offset [m]) and dry ones."""
    middles = hull.vertices[hull.faces].mean(axis=1)
    wet = middles @ np.asarray(normal, float) < offset
    seen = np.isin(hull.region, seen_regions(hull))
    split = (("wet", seen & wet, colours.WET), ("dry", seen & ~wet, colours.DRY))
    return tuple(_part(hull, mask, word, word, colour) for word, mask, colour in split if mask.any())


def by_thickness(hull: Hull, build: Build | None, length: Callable[[float], str]) -> tuple[Part, ...]:
    """One part for each finished planking thickness, pale for thin and dark for thick; `length` says one in words."""
    if build is None:
        return by_region(hull)
    seen = np.isin(hull.region, seen_regions(hull))
    thickness = np.zeros(len(hull.faces))
    for region in seen_regions(hull):
        for mask, plank, _ in _woods_of(hull, build, region):
            thickness[mask] = plank.finished if plank else 0.0
    steps = sorted({round(t, 5) for t in thickness[seen]})
    parts = []
    for i, step in enumerate(steps):
        mask = seen & (np.round(thickness, 5) == step)
        words = f"{length(step)} after fairing" if step else "not planked"
        parts.append(_part(hull, mask, words, words, colours.ramp(i, len(steps))))
    return tuple(parts)


def by_value(hull: Hull, words_of_face: Array, palette: dict[str, str]) -> tuple[Part, ...]:
    """One part for each word of `palette`, from a word for each face (m,); faces with another word are "not measured"."""
    seen = np.isin(hull.region, seen_regions(hull))
    words = np.asarray(words_of_face)
    parts = [_part(hull, seen & (words == w), w, w, c) for w, c in palette.items() if (seen & (words == w)).any()]
    rest = seen & ~np.isin(words, list(palette))
    if rest.any():
        parts.append(_part(hull, rest, "not measured", "not measured", colours.REGIONS["skin"]))
    return tuple(parts)


def legend(parts: Iterable[Part]) -> tuple[tuple[str, str], ...]:
    """(words, colour) once each, in order."""
    return tuple(dict.fromkeys((p.words, p.colour) for p in parts))


def planking_of(build: Build, region: str) -> Planking | None:
    """The planking of a region as a whole: its own, or for a transom and the ends the hull's, for hatches and rims the deck's."""
    whole = [p for p in build.schedule.planking if p.band is None]
    for where in {"deck": ("deck",), "hatch": ("deck", "hull"), "coaming": ("deck", "hull")}.get(
        family(region), (family(region), "hull")
    ):
        for plank in whole:
            if plank.where == where:
                return plank
    return None


def _woods_of(hull: Hull, build: Build, region: str) -> list[tuple[Array, Planking | None, str]]:
    """(faces, planking, wood) of one region: its whole, with the bands of another wood cut out of it."""
    mask = hull.region == region
    plank = planking_of(build, region)
    run = next((r for r in build.schedule.runs if r.wood and r.along in (region, family(region))), None)
    if family(region) not in ("hull", "deck", "transom", "hatch") and run is not None:
        return [(mask, None, str(run.wood))]
    out: list[tuple[Array, Planking | None, str]] = []
    if family(region) == "hull":
        girth = hull.girth_below_sheer[hull.faces].mean(axis=1)
        for band in (p for p in build.schedule.planking if p.band is not None):
            assert band.band is not None
            inside = mask & (girth >= band.band[0]) & (girth < band.band[1])
            out.append((inside, band, band.wood))
            mask = mask & ~inside
    out.append((mask, plank, plank.wood if plank else "wood not said"))
    return out


def _strip_face(plank: Planking | None, region: str) -> float:
    """Width of a strip as it shows [m]: bead and cove hide an eighth of an inch of it (common practice, no source)."""
    if plank is None or plank.kind == "sheet" or family(region) in ("bow stem", "stern stem", "keel", "coaming"):
        return 0.0
    if plank.kind == "lapped":
        return 0.1
    return max(0.006, plank.strip_width - (0.0032 if plank.edge == "bead and cove" else 0.0))


def _part(
    hull: Hull, mask: Array, name: str, words: str, colour: str, strip: float = 0.0, wooden: bool = False
) -> Part:
    """The faces of `mask` with vertices of their own, and the run of the wood over them: along her, and down from the sheer."""
    used, faces = np.unique(hull.faces[mask], return_inverse=True)
    vertices = hull.vertices[used]
    girth = hull.girth_below_sheer[used]
    across = np.where(np.isnan(girth), np.abs(vertices[:, 1]), girth)
    if family(name.split(",")[0]) == "transom":
        across = vertices[:, 2]
    return Part(name, words, colour, vertices, faces.reshape(-1, 3), vertices[:, 0], across, strip, wooden)
