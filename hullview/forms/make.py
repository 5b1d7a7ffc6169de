"""A boat and one of its builds -> its forms: edges, notches, stems, transom, bulkheads, and what they
stand on."""

from __future__ import annotations

import itertools
import math
import re
from collections.abc import Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np

from hullview.boat.model import Boat, Build, Run
from hullview.errors import UsageError
from hullview.forms.centreline import EASE, CentreForm, centre_form
from hullview.forms.clamp import Clamp, Notch, notch_for, sheer_sections, sweep
from hullview.forms.edges import Cut, Trued, trued
from hullview.forms.form import Form, Forms
from hullview.forms.inside import Inside, Skins, planking_of, skins_of
from hullview.forms.outline import closed_shape, notched, relieved, round_hole, with_hole
from hullview.forms.section import Edge
from hullview.forms.skin import Rows, station_plane
from hullview.forms.stems import Stem, stem_of
from hullview.forms.sticks import chine_notch, keel_notch, stem_notch
from hullview.forms.strongback import Bar, bar, ladder
from hullview.forms.transom import Transom, transom_of
from hullview.weight.customs import customs

if TYPE_CHECKING:
    from shapely import Polygon


STICKS = ("lamination", "solid")


LEAST_HALF = 0.008
"""A form whose half-breadth is less all the way up is none [m]."""


LEAST_APART = 1e-4
"""An extra position this near to a station is that station [m]."""


def make_forms(
    boat: Boat,
    build: str | None = None,
    at: Sequence[float] = (),
    edge: Cut | None = None,
    thickness: float | None = None,
) -> Forms:
    """The forms of one build.

    Parameters
    ----------
    boat : Boat
    build : str, optional
        The first of the file if left out.
    at : sequence of float
        Extra positions [m aft of the datum].
    edge, thickness : optional
        In place of what `[forms]` says.

    Raises
    ------
    UsageError
        No planking, lapped planking, a position off the boat, a clamp deeper than a form.
    """
    chosen, shop = boat.build(build), customs()
    skins = skins_of(boat, chosen)
    inside = Inside(skins.rows(), skins.deck_rows())
    form = thickness or boat.forms.thickness or shop["thickness"]
    cut: Cut = edge or boat.forms.edge
    places = _places(boat, skins, at, form)
    ends = float(skins.side_grid.points[-1, 0, 0]), float(skins.side_grid.points[-1, -1, 0])
    along_sheer = [r for r in _inside_sticks(chosen) if r.along == "sheer"]
    sections = sheer_sections(inside, ends) if along_sheer else None
    clamps = tuple(sweep(r, r.name or f"{r.kind} along the sheer", sections) for r in along_sheer if sections)
    stems = _stems(boat, chosen, skins, inside)
    made, notes = [], []
    for name, x in places:
        one = _form(boat, chosen, inside, clamps, stems, name, x, form, cut)
        if one is None:
            notes.append(f"no form at {name}: the inside of the boat is too narrow there")
        else:
            made.append(one)
    if not made:
        raise UsageError(f"{boat.name}: no station of the table lies where a form could stand.")
    middle, left_over = _midship(made)
    if middle is not None:  # its body lies aft, whichever way the little that is left over falls
        again = _form(boat, chosen, inside, clamps, stems, made[middle].name, made[middle].x, form, cut, 1.0)
        made[middle] = replace(again or made[middle], midship=True)
    stand = _stand(boat, made)
    shapes = [_on_strongback(f, stand) for f in made]
    sight = _sight(boat, [s[0] for s in shapes])
    tool = boat.forms.tool or shop["tool"]
    centres = _centre_forms(made, stand, stems, inside)
    sawn = tuple(_sawn(f, pieces, stand, sight, tool, centres) for f, pieces in zip(made, shapes))
    widest = max((b.x - a.x for a, b in itertools.pairwise(sawn)), default=0.0)
    plank = planking_of(boat, chosen, "hull")
    assert plank is not None
    return Forms(
        boat,
        chosen,
        form,
        cut,
        skins.taken,
        skins.through,
        sawn,
        _bulkheads(boat, chosen, skins, clamps, stems),
        clamps,
        stems,
        _transoms(boat, chosen, skins, inside),
        stand,
        centres,
        None if middle is None else made[middle].name,
        left_over,
        sight,
        (widest, shop["spacing"] * plank.thickness),
        tuple(notes),
        skins,
        inside,
    )


def _transoms(boat: Boat, build: Build, skins: Skins, inside: Inside) -> tuple[Transom, ...]:
    thickness = _transom_thickness(build)
    return tuple(
        transom_of(end, which, inside, thickness)
        for end, which in ((skins.lofted.bow, "bow"), (skins.lofted.stern, "stern"))
        if getattr(boat.hull, which).transom
    )


def _places(boat: Boat, skins: Skins, at: Sequence[float], form: float) -> list[tuple[str, float]]:
    """Names and positions of all forms, bow first."""
    names = dict(zip((s.x for s in skins.lofted.sections), skins.lofted.names))
    grid = skins.side_grid.points
    low, high = float(grid[..., 0].min()), float(grid[..., 0].max())
    foot = [float(grid[0, c, 0]) for c in (0, -1)]
    if boat.hull.bow.transom:
        low = max(low, foot[0])
    if boat.hull.stern.transom:
        high = min(high, foot[1])
    found = dict(names.items())
    for x in at:
        if not low + form < x < high - form:
            raise UsageError(
                f"--at {x * 1000:g} mm: no form can stand there; the boat runs from {low * 1000:.0f} to"
                f" {high * 1000:.0f} mm aft of the datum"
                + (", as far as the foot of the transom" if boat.hull.stern.transom else "")
                + "."
            )
        if all(abs(x - y) > LEAST_APART for y in found):
            found[x] = f"{x * 1000:g} mm"
    return [(found[x], x) for x in sorted(found)]


def _inside_sticks(build: Build) -> list[Run]:
    return [r for r in build.schedule.runs if r.kind in STICKS and r.side == "inside"]


def _stems(boat: Boat, build: Build, skins: Skins, inside: Inside) -> tuple[Stem, ...]:
    one = inside.side
    knots, values, slopes = (
        np.concatenate([getattr(r, k) for r in one]) for k in ("knots", "values", "slopes")
    )
    rows = Rows(knots, values, slopes, one[0].level, one[-1].level_last)
    found = []
    for name, end, given in (
        ("bow stem", skins.lofted.bow, boat.hull.bow),
        ("stern stem", skins.lofted.stern, boat.hull.stern),
    ):
        if end.transom:
            continue
        of = [r for r in build.schedule.runs if r.along == name and r.kind in STICKS]
        inner = next((r for r in of if r.side == "inside"), None)
        outer = next((r for r in of if r.side == "outside"), None)
        found.append(stem_of(name, end.curve, given.siding, rows, inner, outer))
    return tuple(found)


def _form(
    boat: Boat,
    build: Build,
    inside: Inside,
    clamps: tuple[Clamp, ...],
    stems: tuple[Stem, ...],
    name: str,
    x: float,
    thick: float,
    cut: Cut,
    body: float | None = None,
) -> Form | None:
    """One form before it is cut; None where there is no room for one."""
    planes = [station_plane(x), station_plane(x + thick), station_plane(x - thick)]
    near, aft, fore = inside.side_edges(planes)
    if near is None or near.points[:, 0].max() < LEAST_HALF:
        return None
    # the body lies towards amidships: where the greatest step is one that the form is short of
    sides = [(b, trued(near, e, b, thick, cut)) for b, e in ((1.0, aft), (-1.0, fore)) if e is not None]
    sides = [(b, s) for b, s in sides if body is None or b == body] or sides
    if not sides:
        return None
    body, side = next(((b, s) for b, s in sides if s.greatest_step > 0), sides[0])
    top, *others = inside.deck_edges([station_plane(x), station_plane(x + body * thick)])
    deck = (
        None
        if top is None or others[0] is None
        else trued(_turned(top), _turned(others[0]), body, thick, cut)
    )
    deck = None if deck is None else _deck_turned(deck)
    notches = [n for c in clamps if (n := notch_for(c, x, body, thick, near)) is not None]
    notches += [n for s in stems if (n := stem_notch(s, x, body, thick, near)) is not None]
    for r in _inside_sticks(build):
        label = r.name or f"{r.kind} along the {r.along}"
        found: list[Notch | None] = []
        if r.along == "keel":
            found = [keel_notch(r, label, inside, x, body, thick)]
        elif r.along.startswith("chine"):
            count = len(near.corners)
            which = range(count) if r.along == "chine" else [_number(r.along) - 1]
            found = [chine_notch(r, label, k, inside, x, body, thick) for k in which if k < count]
        notches += [n for n in found if n is not None]
    mark = near.points[-1]
    return Form(
        name,
        x,
        "aft" if body > 0 else "forward",
        thick,
        cut,
        side,
        deck,
        (float(mark[0]), float(mark[1])),
        tuple(notches),
        (),
    )


def _turned(edge: Edge) -> Edge:
    """A deck's edge from the centre line out to the sheer, so that both faces begin where they meet their
    mirror image."""
    last = len(edge.points) - 1
    return Edge(edge.points[::-1], edge.normals[::-1], tuple(last - c for c in edge.corners), edge.on_centre)


def _deck_turned(t: Trued) -> Trued:
    """The same from the sheer in to the centre line."""
    last = len(t.points) - 1
    return Trued(
        t.points[::-1], t.far_points[::-1], t.skin[::-1], t.far_skin[::-1], t.bevel[::-1], t.step[::-1],
        t.girth[-1] - t.girth[::-1], t.normals[::-1], tuple(last - c for c in t.corners), t.on_centre,
    )  # fmt: skip


def _number(line: str) -> int:
    """Number of a chine: "chine 2" is 2."""
    digits = line.rpartition(" ")[2]
    return int(digits) if digits.isdigit() else 1


def _midship(made: Sequence[Form]) -> tuple[int | None, float]:
    """Which form is the midship one: that of the least greatest step, if it is under the custom's limit;
    and that step [m]."""
    least = min(range(len(made)), key=lambda k: abs(made[k].side.greatest_step))
    step = abs(made[least].side.greatest_step)
    return (least if step < customs()["midship_step"] else None), step


def _stand(boat: Boat, forms: Sequence[Form]) -> Bar:
    """The strongback: inside a decked boat, under an open one, unless the file says otherwise."""
    given = boat.forms.strongback
    kind = given.kind or ("inside" if boat.hull.type == "decked" else "under")
    if kind == "inside":
        shapes = {f.name: _pieces(f, None)[0] for f in forms}
        return bar(given, shapes, {f.name: f.x for f in forms})
    if boat.hull.type == "decked":
        raise UsageError(
            "[forms] strongback under: the forms of a decked boat have a deck where legs would stand. Use"
            ' kind = "inside".'
        )
    return ladder(given, {f.name: f.sheer_mark for f in forms}, [f.x for f in forms])


def _pieces(form: Form, stand: Bar | None) -> tuple[Polygon, ...]:
    """The outline less its notches; an open form with its legs, or with none where nothing is said of a
    ladder."""
    if form.deck is None:
        under = stand is not None and stand.kind == "under"
        top = stand.at if stand is not None and under else form.sheer_mark[1] + 0.05
        shape = closed_shape(form.side, None, top, stand.width if stand is not None and under else 10.0)
    else:
        shape = closed_shape(form.side, form.deck, None, 0.0)
    if not shape.is_valid:
        raise _crossed(form, shape)
    return notched(shape, form.notches)


def _crossed(form: Form, shape: Polygon) -> UsageError:
    """What to say of an outline that crosses itself, and where."""
    from shapely import is_valid_reason

    at = re.search(r"\[(\S+) (\S+)\]", is_valid_reason(shape))
    where = (
        f" near half-breadth {abs(float(at[1])) * 1000:.0f}, height {float(at[2]) * 1000:.0f} mm"
        if at
        else ""
    )
    return UsageError(
        f"{form.kind} {form.name}: its outline crosses itself{where}, so it cannot be sawn. An offset there"
        " is far out of fair: hullview check tells which."
    )


def _centre_forms(
    forms: Sequence[Form], stand: Bar, stems: Sequence[Stem], inside: Inside
) -> tuple[CentreForm, ...]:
    """A centre-line form at each end that has a stem and forms the bar does not pass, or no form at all
    before the stem."""
    if stand.kind == "under":
        return ()
    by_name = {f.name: f for f in forms}
    found = []
    for stem in stems:
        bow = stem.name == "bow stem"
        last = by_name[stand.on[0 if bow else -1]]
        start = last.x if (last.body == "aft") == bow else last.x + last.sign * last.thickness
        beyond = [
            (f.name, f.x, f.x + f.sign * f.thickness)
            for f in forms
            if f.name in stand.beyond and (f.x < last.x) == bow
        ]
        one = centre_form(
            f"{stem.name.split()[0]} centre-line form",
            stem,
            inside,
            start,
            last.name,
            beyond,
            customs()["stem_form"],
        )
        if one is not None:
            found.append(one)
    return tuple(found)


def _on_strongback(form: Form, stand: Bar) -> tuple[Polygon, ...]:
    """The form's pieces, with the hole for a bar where it passes."""
    from shapely import box

    first, *others = _pieces(form, stand)
    if stand.kind == "inside" and form.name in stand.on:
        w, h = stand.hole
        first = with_hole(first, box(-w / 2, stand.at - h / 2, w / 2, stand.at + h / 2))
    return (first, *others)


def _sight(boat: Boat, shapes: Sequence[Polygon]) -> float:
    """Height of the sight line [m]: the waterline of the table that most forms have wood round on the
    centre line, the nearest to the middle of them."""
    table = boat.hull.table
    assert table is not None
    low, high = min(s.bounds[1] for s in shapes), max(s.bounds[3] for s in shapes)
    levels = sorted({r.at for r in table.lines if r.name == "waterline" and r.at is not None}) or [
        (low + high) / 2
    ]
    size = 2 * customs()["sight_hole"]

    def passed(level: float) -> tuple[int, float]:
        return sum(s.covers(round_hole((0.0, level), size)) for s in shapes), -abs(level - (low + high) / 2)

    return max(levels, key=passed)


def _sawn(
    form: Form,
    pieces: tuple[Polygon, ...],
    stand: Bar,
    sight: float,
    tool: float,
    centres: Sequence[CentreForm],
) -> Form:
    """The form with its small holes, the slot for a centre-line form, and its inner corners relieved for a
    round tool."""
    from shapely import box

    first = pieces[0]
    for c in centres:
        for name, middle, bottom in c.slots:
            if name == form.name:
                half = c.thickness / 2 + EASE
                first = with_hole(first, box(-half, min(bottom, first.bounds[1]) - 0.05, half, middle))
    main, seen = _small_holes(first, sight)
    on = stand.kind == "under" or form.name in stand.on
    return replace(form, pieces=tuple(relieved(p, tool) for p in (main, *pieces[1:])), sight=seen, on_bar=on)


def _small_holes(shape: Polygon, sight: float) -> tuple[Polygon, float | None]:
    """The sight hole at the waterline and two register holes on the centre line, where there is wood round
    them."""
    shop = customs()
    seen = None
    eye = shop["sight_hole"]
    if shape.covers(round_hole((0.0, sight), 2 * eye)):
        shape, seen = with_hole(shape, round_hole((0.0, sight), eye)), sight
    small = shop["register_hole"]
    low, high = shape.bounds[1], shape.bounds[3]
    clear = [
        z
        for z in np.arange(math.ceil(low * 200) / 200, high, 0.005)
        if shape.covers(round_hole((0.0, z), 3 * small))
    ]
    if len(clear) > 1 and clear[-1] - clear[0] > 0.03:
        for z in (clear[0], clear[-1]):
            shape = with_hole(shape, round_hole((0.0, float(z)), small))
    return shape, seen


def _transom_thickness(build: Build) -> float:
    found = next((p for p in build.schedule.planking if p.where == "transom"), None)
    return found.thickness if found is not None else customs()["stem_form"]


def _bulkheads(
    boat: Boat, build: Build, skins: Skins, clamps: tuple[Clamp, ...], stems: tuple[Stem, ...]
) -> tuple[Form, ...]:
    """Patterns of the bulkheads, to the inside of the finished planking, notched for what runs past them."""
    if not boat.bulkheads:
        return ()
    inside = Inside(skins.rows(skins.finished[0]), skins.deck_rows(skins.finished[1]))
    found = []
    for k, wall in enumerate(boat.bulkheads, 1):
        thick = max(wall.thickness, 1e-4)
        name = f"bulkhead {k}"
        one = _form(boat, build, inside, clamps, stems, name, wall.position, thick, "square")
        if one is None:
            continue
        one = replace(one, kind="bulkhead")
        found.append(replace(one, pieces=_pieces(one, None)))
    return tuple(found)
