"""What weighs by area: planking, cloth with its resin step by step, coatings.

The mesh is the outside of the finished wood; the middle and the inside of the planking lie inward of it along
its normals.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from hullview.arrays import Array
from hullview.boat.model import Boat, Planking, Schedule, Skin
from hullview.errors import did_you_mean
from hullview.materials import Library, Wood, around
from hullview.shape.hull import Hull
from hullview.weight.causes import RESIN_HANDS, SAND_HANDS, Quantity, Term
from hullview.weight.cloth_widths import lapped_area, roll_of
from hullview.weight.line import ScheduleError, ScheduleLine
from hullview.weight.patch import Skinned, Spread, between, joined, less, over_triangles, section, skinned
from hullview.weight.stages import DECK_LAID, FINISHED, ON_FORMS, when_skin

PLANKED = {"hull": ("hull",), "deck": ("deck", "hatch"), "transom": ("transom",)}
"""Regions of the mesh by the places that are planked; a hatch cover is the piece cut out of the deck."""
FLATS = ("keel", "bow stem", "stern stem")
"""Faces of keel and stems between the planking's edges: cloth covers them, planks do not."""

MILLED_SPREAD = 0.03
"""Share by which strips come off the saw thicker or thinner than asked (common practice, no source)."""
FAIRING_SPREAD = (0.67, 1.0, 1.4)
"""A third less or two fifths more than the stated loss: fairing takes 17 to 41 % of the rough wood in
builders' logs."""
LAPS = Quantity("laps and drips", 0.98, 1.0, 1.04)
"""Cloth and resin beyond the measured area: folds, runs, edges (common practice, no source)."""
FACE = 5.0 / 6.0
"""Share of a bead-and-cove strip's width that shows: a 3/4 in strip covers 5/8 in (common practice, no
source)."""


@dataclass(frozen=True)
class Places:
    """The planked surfaces of one hull by place: "hull", "deck", "transom", "flats".

    depths: of each place, how far inside the outer face each full layer of planking ends [m], 0 first;
    layers: those surfaces.
    """

    hull: Hull
    surfaces: dict[str, Skinned]
    depths: dict[str, tuple[float, ...]]
    layers: dict[str, tuple[Spread, ...]]

    @property
    def thickness(self) -> dict[str, float]:
        """Finished thickness of each place [m]."""
        return {k: d[-1] for k, d in self.depths.items()}

    def triangles(self, place: str, depth: float = 0.0) -> Array:
        """Triangles of a place `depth` inside the outer surface."""
        return self.surfaces[place].triangles(depth)

    def corner_values(self, place: str, values: Array) -> Array:
        """A number given at the mesh's vertices, at the corners of the place's faces (m, 3)."""
        return np.asarray(values[self.surfaces[place].faces])


def density_of(wood: Wood) -> Quantity:
    """The wood's density as a quantity under its own cause."""
    return Quantity.of(f"density of {wood.name}", wood.density)


def places_of(hull: Hull, schedule: Schedule) -> Places:
    """Measure once what all lines share."""
    names = {**PLANKED, "flats": FLATS}
    surfaces = {}
    for place, regions in names.items():
        faces = hull.faces_of(*regions)
        if place == "flats":
            surfaces[place] = Skinned(hull.vertices, faces, np.zeros_like(hull.vertices))
        else:
            surfaces[place] = skinned(hull.vertices, faces)
    depths: dict[str, list[float]] = {place: [0.0] for place in names}
    for p in schedule.planking:
        if p.band is None and p.where in depths:
            depths[p.where].append(depths[p.where][-1] + p.finished)
    layers = {k: tuple(over_triangles(surfaces[k].triangles(d)) for d in depths[k]) for k in names}
    return Places(hull, surfaces, {k: tuple(d) for k, d in depths.items()}, layers)


# ---------------------------------------------------------------- planking


def _bands(schedule: Schedule) -> tuple[Planking, ...]:
    return tuple(p for p in schedule.planking if p.band is not None)


def _outside_of(spans: list[tuple[float, float]], taken: tuple[float, float]) -> list[tuple[float, float]]:
    """What is left of spans when one is taken out."""
    left = []
    for low, high in spans:
        left += [(low, min(high, taken[0])), (max(low, taken[1]), high)]
    return [(a, b) for a, b in left if b > a]


def _faces_of(p: Planking, layer: int, places: Places, later: tuple[Planking, ...]) -> tuple[Spread, Spread]:
    """Outer and inner face of a planking: of its place or its band, less the bands that come after it in
    the schedule."""
    place = _place_of(p)
    out, inner = places.layers[place][layer : layer + 2] if p.band is None else (None, None)
    if p.band is None and (place != "hull" or not later):
        return out, inner  # type: ignore[return-value]
    spans = _merged(later) if p.band is None else [p.band]
    if p.band is not None:
        for b in later:
            spans = _outside_of(spans, b.band)  # type: ignore[arg-type]
    values = np.nan_to_num(places.corner_values(place, places.hull.girth_below_sheer), nan=0.0)
    start = places.depths[place][layer]
    cut = []
    for depth in (start, start + p.finished):
        tri = places.triangles(place, depth)
        cut.append(over_triangles(np.concatenate([tri[:0], *(between(tri, values, a, b) for a, b in spans)])))
    if p.band is None:
        return less(out, cut[0]), less(inner, cut[1])  # type: ignore[arg-type]
    return cut[0], cut[1]


def _merged(bands: tuple[Planking, ...]) -> list[tuple[float, float]]:
    """The girths that any of the bands covers, as spans that do not overlap."""
    spans: list[tuple[float, float]] = []
    for b in bands:
        spans = [*_outside_of(spans, b.band), b.band]  # type: ignore[arg-type,list-item]
    return spans


def middle(out: Spread, inner: Spread) -> Spread:
    """The surface half way: the mean of the two, true to the square of thickness over radius."""
    return joined((out, inner)).scaled(0.5)


def _place_of(p: Planking) -> str:
    place = "hull" if p.band is not None else p.where
    if place not in PLANKED:
        raise ScheduleError(f"planking where = {p.where!r}. {did_you_mean(p.where, PLANKED)}")
    return place


def planking(schedule: Schedule, places: Places, lib: Library) -> Iterator[ScheduleLine]:
    """One line for each planking, and one for the glue between its strips."""
    bands = _bands(schedule)
    layer = dict.fromkeys(PLANKED, 0)
    for p in schedule.planking:
        place = _place_of(p)
        if p.finished <= 0:
            raise ScheduleError(
                f"planking of the {p.where}: fairing takes off all of its {p.thickness * 1000:g} mm."
            )
        later = bands if p.band is None else bands[bands.index(p) + 1 :]
        out, inner = _faces_of(p, layer[place] if p.band is None else 0, places, later)
        layer[place] += p.band is None
        mid = middle(out, inner)
        if mid.size <= 0:
            if p.band is None and place != "hull":
                raise ScheduleError(f"planking where = {p.where!r}: this hull has no such surface.")
            continue
        yield from _planked(p, lib.wood(p.wood), out, mid, inner)
        if p.kind == "strip":
            yield _edge_glue(p, mid, lib)


def label_of(p: Planking) -> str:
    if p.band is None:
        return p.where
    return f"hull, {p.band[0] * 1000:.0f} to {p.band[1] * 1000:.0f} mm below the sheer"


def lap_factor(p: Planking) -> float:
    """Wood over the area it covers: more than 1 where planks lap."""
    if p.kind != "lapped":
        return 1.0
    if p.strip_width < 3 * p.lap:
        raise ScheduleError(
            f"lapped planking of the {p.where}: strip_width is {p.strip_width * 1000:g} mm and the lap"
            f" {p.lap * 1000:g} mm. Give the width of the planks as strip_width, three laps or more."
        )
    return p.strip_width / (p.strip_width - p.lap)


def _planked(p: Planking, wood: Wood, out: Spread, mid: Spread, inner: Spread) -> Iterator[ScheduleLine]:
    """Rough wood put on, then what fairing takes off each face: rho (A_mid t_f + A_out l_o + A_in l_i) -
    rho A_out l_o - rho A_in l_i."""
    k = lap_factor(p)
    rough = k * (mid.size * p.finished + out.size * p.loss_outside + inner.size * p.loss_inside)
    rho, part = density_of(wood), "deck" if p.where == "deck" else "hull"
    milled = Quantity.of("milled thickness", around(p.thickness, MILLED_SPREAD))
    terms = [Term(rough / p.thickness, (rho, milled), _laid(p), "planking", p.kind == "strip")]
    for side, area, loss in (("outside", out.size, p.loss_outside), ("inside", inner.size, p.loss_inside)):
        if loss > 0:
            lost = Quantity(SAND_HANDS, *(loss * f for f in FAIRING_SPREAD))
            terms.append(Term(-area, (rho, lost), f"{part} faired {side}", "planking"))
    yield ScheduleLine(
        f"{p.kind} planking, {wood.name}", label_of(p), "area", mid.size, "m2", "planking", mid, tuple(terms),
        material=wood.name, kind=p.kind, region=_place_of(p), entry=p,
        sizes=(p.thickness, p.strip_width) if p.kind != "sheet" else (p.thickness,),
    )  # fmt: skip


def _laid(p: Planking) -> str:
    """When it goes on: the deck is a shell of its own; the transom stands on the forms with the hull."""
    return DECK_LAID if p.where == "deck" else ON_FORMS


def strip_face(p: Planking) -> float:
    """Width of skin that one strip covers [m]."""
    return p.strip_width * (FACE if p.edge == "bead and cove" else 1.0)


def _edge_glue(p: Planking, mid: Spread, lib: Library) -> ScheduleLine:
    """Glue between strips: a seam for every face width, as deep as the finished planking."""
    glue = lib.resin("wood glue")
    seams = mid.size / strip_face(p)
    gap, rho = (
        Quantity.of("glue between strips", glue.glue_line),
        Quantity.of("glue between strips", glue.glue_density),
    )
    term = Term(seams * p.finished, (gap, rho), _laid(p), "edge glue")
    return ScheduleLine(
        "glue between strips", label_of(p), "area", mid.size, "m2", "glue", mid, (term,),
        material=glue.name, kind="edge glue", region=_place_of(p), sizes=(p.finished,), entry=p,
    )  # fmt: skip


# ---------------------------------------------------------------- skins

SIDES = {
    "hull outside": ("hull", False), "hull inside": ("hull", True),
    "deck outside": ("deck", False), "deck inside": ("deck", True),
    "transom": ("transom", False), "transom inside": ("transom", True),
    "bottom": ("hull", False),
}  # fmt: skip
"""Surface and whether it is the inner face; "transom" alone is its outer face."""


def skin_spread(s: Skin, places: Places, boat: Boat) -> Spread:
    """The area a skin covers, with its overlap past the edge."""
    if s.where == "bulkheads":
        return _bulkhead_faces(boat, places)
    if s.where not in SIDES:
        raise ScheduleError(f"skin where = {s.where!r}. {did_you_mean(s.where, [*SIDES, 'bulkheads'])}")
    place, within = SIDES[s.where]
    if s.where == "bottom" or s.below is not None or s.girth is not None:
        covered = _bottom(
            s, place, places, places.triangles(place, places.thickness[place] if within else 0.0)
        )
    elif place == "hull" and not within:
        covered = joined((places.layers["hull"][0], places.layers["flats"][0]))
    else:
        covered = places.layers[place][-1 if within else 0]
    if covered.size <= 0:
        raise ScheduleError(f"skin where = {s.where!r}: this hull has no such surface.")
    edge = s.overlap * _edge_length(s, places)
    return covered.scaled(1 + edge / covered.size)


def _bottom(s: Skin, place: str, places: Places, tri: Array) -> Spread:
    """Only what lies under a height, or within a girth of the centre line, or both."""
    if s.below is None and s.girth is None:
        raise ScheduleError(
            "skin where = 'bottom': say how far up it goes, with `below` (a height) or `girth`."
        )
    hull = places.hull
    faces = places.surfaces[place].faces
    parts = [(tri, faces)]
    if place == "hull":
        parts.append((places.triangles("flats"), places.surfaces["flats"].faces))
    found = []
    for t, f in parts:
        if s.girth is not None:
            t = between(t, np.nan_to_num(hull.girth_from_keel[f], nan=0.0), -np.inf, s.girth)
        if s.below is not None:
            t = between(t, t[:, :, 2], -np.inf, s.below)
        found.append(t)
    return over_triangles(np.concatenate(found))


def _edge_length(s: Skin, places: Places) -> float:
    """Length of the edge over which cloth is lapped: both sheers, or for a bottom twice its length on the
    ground."""
    if s.overlap <= 0:
        return 0.0
    line = places.hull.sheer
    if s.where.startswith("transom"):
        line = places.hull.lines["transom"].points if "transom" in places.hull.lines else line[-1:]
    return 2 * float(np.sqrt((np.diff(line, axis=0) ** 2).sum(axis=1)).sum())


def bulkhead_spread(boat: Boat, places: Places) -> list[Spread]:
    """One face of each bulkhead: the section of the closed body there, less the planking all round."""
    found = []
    for b in boat.bulkheads:
        area, centre, second, girth = section(places.hull.vertices, places.hull.faces, b.position)
        t = max(places.thickness["hull"], 0.0)
        inside = max(area - girth * t + np.pi * t * t, 0.0)
        if inside <= 0:
            raise ScheduleError(f"bulkhead at {b.position:g} m: the hull has no room for it there.")
        found.append(Spread(inside, centre, second))
    return found


def _bulkhead_faces(boat: Boat, places: Places) -> Spread:
    if not boat.bulkheads:
        raise ScheduleError("skin where = 'bulkheads': the boat has no [[bulkhead]].")
    return joined(b.scaled(2.0) for b in bulkhead_spread(boat, places))


def skins(boat: Boat, schedule: Schedule, places: Places, lib: Library) -> Iterator[ScheduleLine]:
    """Cloth, then resin by step, or a coating, over each region named."""
    below: list[tuple[Skin, float]] = []
    for s in schedule.skins:
        covered = skin_spread(s, places, boat)
        if s.coating:
            c = lib.coating(s.coating)
            per_coat = Quantity.of("hands with paint", c.dry)
            coats = max(s.coats, 1)
            terms = (Term(covered.size * coats, (per_coat,), when_skin(s, schedule), "coating"),)
            label = f"{c.name}, {coats} coat{'s' if coats > 1 else ''}"
            yield ScheduleLine(
                label, _where(s), "area", covered.size, "m2", "coating", covered, terms,
                material=c.name, kind="coating", region=s.where, count=coats, entry=s,
            )  # fmt: skip
        else:
            double = 0.0
            if s.cloth:
                double = lapped_area(s, places.hull, roll_of(lib.cloth(s.cloth), boat.order))
            yield from _laminate(
                s, covered, lib, bare_share(s, covered.size, below), double, when_skin(s, schedule)
            )
            below.append((s, covered.size))


def bare_share(s: Skin, area: float, below: Sequence[tuple[Skin, float]]) -> float:
    """Share of a skin that lies on bare wood and takes a seal coat: none over a layer that covers its place
    before it, green or cured; the rest where an earlier one covers a part only. below: the skins before it
    and their areas [m2]."""
    if s.seal_coat is not None:
        return float(s.seal_coat)
    covered = 0.0
    for other, size in below:
        if SIDES.get(other.where, other.where) == SIDES.get(s.where, s.where):
            whole = other.where != "bottom" and other.below is None and other.girth is None
            covered = max(covered, area if whole else min(size, area))
    return 1 - covered / area


def _where(s: Skin) -> str:
    limits = [
        f"below {s.below * 1000:.0f} mm" if s.below is not None else "",
        f"{s.girth * 1000:.0f} mm of girth" if s.girth is not None else "",
    ]
    return ", ".join([s.where, *filter(None, limits)])


def _laminate(
    s: Skin, covered: Spread, lib: Library, bare: float, double: float, when: str
) -> Iterator[ScheduleLine]:
    """Seal coat on what is bare, cloth, what wets it out, fill coats less what is sanded off them. double:
    where widths lap [m2]."""
    r = lib.resin(s.resin)
    area = covered.size

    def line(kind: str, item: str, *terms: Term, material: str = r.name, count: int = 1) -> ScheduleLine:
        group = "cloth" if kind == "cloth" else "resin"
        return ScheduleLine(
            item, _where(s), "area", area, "m2", group, covered, terms,
            material=material, kind=kind, region=s.where, count=count, entry=s,
        )  # fmt: skip

    if bare > 1e-6:
        sealed = Term(area * bare, (LAPS, Quantity.of(RESIN_HANDS, r.seal)), when, "seal")
        yield line("seal coat", f"{r.name}, seal coat", sealed)
    if s.cloth and s.layers > 0:
        cloth = lib.cloth(s.cloth)
        areal = Quantity.of(f"weight of {cloth.name}", cloth.areal)
        ratio = Quantity.of(RESIN_HANDS, cloth.resin_ratio)
        count = f", {s.layers} layers" if s.layers > 1 else ""
        laid = (area + double) * s.layers
        dry = Term(laid, (LAPS, areal), when, "cloth")
        yield line("cloth", cloth.name + count, dry, material=cloth.name, count=s.layers)
        wet = Term(laid, (LAPS, areal, ratio), when, "wet-out")
        yield line("wet-out", f"{r.name}, wet-out", wet, count=s.layers)
    if s.fill_coats > 0:
        coat, sanded = Quantity.of(RESIN_HANDS, r.fill), Quantity.of(SAND_HANDS, r.fill_sanded)
        terms = []
        for i in range(1, s.fill_coats + 1):
            terms += [
                Term(area, (LAPS, coat), when, f"fill {i}"),
                Term(-area, (LAPS, coat, sanded), FINISHED, f"fill {i}"),
            ]
        plural = "s" if s.fill_coats > 1 else ""
        yield line("fill coats", f"{r.name}, {s.fill_coats} fill coat{plural}", *terms, count=s.fill_coats)
