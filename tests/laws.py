"""What must hold of every boat, whatever its shape: each law changes one thing and knows what that must do.

A law takes a boat and a folder that may be written in, and asserts. `LAWS` names them; the tests try them on
the models and on a few random boats, `python tests/fuzz/random_laws.py` on thousands.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace
from itertools import pairwise
from pathlib import Path
from typing import Any

import changed
import numpy as np
from scipy.interpolate import CubicSpline

from hullview.afloat.equilibrium import at_heel, float_hull, rest, upright
from hullview.afloat.righting import righting_curve
from hullview.answer.checks import binding
from hullview.answer.compare import compare
from hullview.answer.conditions import LIKELY, Craft
from hullview.answer.trial import Trial
from hullview.boat.model import Boat, Build, Gear, Paddler, Piece, Run, Schedule, Skin
from hullview.boat.reader import read_boat
from hullview.shape.assemble import build_hull
from hullview.shape.body import Body
from hullview.show.record import as_record
from hullview.study import Verdict, afloat, carry, judge, launch
from hullview.tell.verdict import verdict_telling
from hullview.weight.total import weigh

Array = np.ndarray
SHARE = 1e-9
"""Two ways to the same figure agree to this share of it (lengths: of a metre), the solver's own closeness
times ten."""
ROUNDED = 1e-8
"""The same where a length may differ in its last bit; most figures agree to 1e-12, the heel of a tender
boat by less."""
NEAR = 3e-5
"""The same where every coordinate has been rounded another way, or where a step that holds two sides apart
does not grow with it."""


def fitted_out(boat: Boat) -> Boat:
    """A boat that is only planked, with what else a schedule may hold, two builds, a paddler and some
    gear."""
    span = boat.hull.table.stations if boat.hull.table else (0.0, 3.0)
    length = span[-1] - span[0]
    middle = span[0] + 0.54 * length
    planking = boat.builds[0].schedule.planking if boat.builds else ()
    decked = boat.hull.type == "decked"
    skins = (
        Skin("hull outside", cloth="plain glass 6 oz/yd2", fill_coats=2),
        Skin("hull inside", cloth="plain glass 4 oz/yd2"),
        Skin("hull outside", coating="varnish", coats=3),
        *((Skin("deck outside", cloth="plain glass 4 oz/yd2", fill_coats=2),) if decked else ()),
    )
    stick = Run("sheer", "lamination", wood="western redcedar", plies=4, ply_thickness=0.005, depth=0.018)
    tape = Run("sheer", "tape", cloth="bias glass 9 oz/yd2", width=0.075, layers=2)
    shared = Schedule(
        planking,
        skins,
        (Run("keel", "solid", wood="white ash", thickness=0.012, depth=0.02, side="outside"),),
        (
            Piece("seat", (middle, 0.0, 0.12), mass=1.2),
            Piece("pump", (middle + 0.3, 0.08, 0.1), mass=0.7),
        ),
    )
    builds = (
        Build("stick", shared + Schedule(runs=(stick,))),
        Build("taped", shared + Schedule(runs=(tape,))),
    )
    boat = replace(boat, builds=builds)
    return boat.with_load(
        paddlers=(Paddler(74.0, middle + 0.1, seat_height=0.03),),
        gear=(Gear(6.0, (middle + 0.6, 0.02, 0.15)),),
    )


def same(a: Any, b: Any, where: str = "", share: float = SHARE) -> None:
    """Two results agree, figure by figure."""
    if isinstance(a, dict):
        assert isinstance(b, dict) and a.keys() == b.keys(), f"{where}: other keys"
        for key in a:
            same(a[key], b[key], f"{where}.{key}", share)
    elif isinstance(a, list | tuple):
        assert isinstance(b, list | tuple) and len(a) == len(b), f"{where}: other length"
        for i, (p, q) in enumerate(zip(a, b)):
            same(p, q, f"{where}[{i}]", share)
    elif isinstance(a, float) and isinstance(b, float | int):
        assert abs(a - b) <= share * (1 + max(abs(a), abs(b))), f"{where}: {a!r} and {b!r}"
    else:
        assert a == b, f"{where}: {a!r} and {b!r}"


_KNOWN: dict[int, tuple[Boat, Verdict]] = {}
_FROM_FOLDER: dict[int, tuple[Boat, Verdict]] = {}


def carried(boat: Boat) -> Verdict:
    """`carry`, done once for each boat: most laws begin with it."""
    if id(boat) not in _KNOWN:
        _KNOWN.clear()
        _KNOWN[id(boat)] = (boat, carry(boat))
    return _KNOWN[id(boat)][1]


def answer_of(verdict: Verdict) -> dict[str, Any]:
    """The object that `carry` prints, less what says where the boat was read."""
    record = as_record(verdict_telling(verdict))
    return {k: v for k, v in record.items() if k != "checksum"}


def _sums(record: dict[str, Any]) -> dict[str, Any]:
    """What of an answer does not depend on the datum."""
    floating = {
        k: v
        for k, v in record["floating"].items()
        if k not in ("waterplane", "centre_of_buoyancy_m", "error")
    }
    kept = ("answer", "checks", "heaviest_paddler_limit", "ends", "table")
    weight = {
        k: v
        for k, v in record["weight"].items()
        if k in ("mass_kg", "mass_low_kg", "mass_high_kg", "gyradius_m", "groups_kg")
    }
    return {**{k: record[k] for k in kept}, "floating": floating, "weight": weight}


def craft_of(boat: Boat) -> Craft:
    """Its craft, out of the answer if it has been asked already."""
    return _KNOWN[id(boat)][1].craft if id(boat) in _KNOWN else launch(boat)


# ---------------------------------------------------------------- the same boat said otherwise


def another_datum(boat: Boat, folder: Path) -> None:
    """Everything measured from a point 0.7 m further forward and 0.4 m lower: the same boat."""
    here, there = answer_of(carried(boat)), answer_of(carry(changed.moved(boat, 0.7, 0.4)))
    same(_sums(here), _sums(there), share=NEAR)
    same(
        here["floating"].get("error"), there["floating"].get("error"), "error", 0.01
    )  # a difference of two meshes has fewer figures to be the same in
    most, too = here["heaviest_paddler_kg"], there["heaviest_paddler_kg"]
    assert most == too or abs(most - too) <= 1, f"heaviest {most} and {too}"
    shift = np.array([0.7, 0.0, 0.4])
    for a, b in (
        (here["weight"]["centre_m"], there["weight"]["centre_m"]),
        (here["load"]["centre_m"], there["load"]["centre_m"]),
    ):
        assert np.abs(np.array(a) + shift - b).max() < NEAR, f"centre {a} and {b}"
    back, other = here["level_trim_seat_back_m"], there["level_trim_seat_back_m"]
    assert (back is None) == (other is None) and (back is None or abs(back + 0.7 - other) < NEAR), (
        f"seat {back} and {other}"
    )


def the_other_hand(boat: Boat, folder: Path) -> None:
    """A load to starboard heels it as the same load to port does, the other way."""
    first, *others = boat.load.paddlers
    boat = boat.with_load(paddlers=(replace(first, side=0.013), *others))
    found = []
    for one in (boat, changed.mirrored(boat)):
        craft = craft_of(one)
        load = craft.load(one.load.paddlers, LIKELY)
        found.append(rest(craft.body, load.mass, load.centre, craft.density))
    a, b = found
    assert a.state == b.state
    if a.state == "afloat" and a.gm is not None and a.gm > 1e-4 and a.heel is not None and abs(a.heel) < 1.0:
        off = np.abs([a.heel + b.heel, a.trim - b.trim, a.offset - b.offset])
        assert off.max() < 1e-9 * craft.body.size / a.gm, (
            f"heel {a.heel} and {b.heel}, trim {a.trim} and {b.trim}, offset {a.offset} and {b.offset}"
        )


def as_folder(boat: Boat, folder: Path) -> Path:
    """The folder of a model, or a random boat written as one, in mm."""
    if boat.folder:
        return Path(boat.folder)
    import boats

    written = boats.write_folder(boat, folder / "mm", "mm")
    p = boat.load.paddlers[0]
    with open(written / "boat.toml", "a") as more:
        more.write(
            f'[[load.paddler]]\nmass = "{p.mass} kg"\nseat_back = "{round(p.seat_back * 1000)}'
            ' mm"\nseat_height = "30 mm"\n'
        )
    return written


def _carried_from(boat: Boat, source: Path) -> Verdict:
    """`carry` of the folder that `as_folder` gave for the boat, done once for each boat."""
    if boat.folder:
        return carried(boat)
    if id(boat) not in _FROM_FOLDER:
        _FROM_FOLDER.clear()
        _FROM_FOLDER[id(boat)] = (boat, carry(read_boat(source)))
    return _FROM_FOLDER[id(boat)][1]


def other_units(boat: Boat, folder: Path) -> None:
    """The same folder in mm and in inches, exactly; and rounded to sixteenths, in inches and in
    feet-inches-eighths."""
    source = as_folder(boat, folder)
    if 'units = "mm"' not in (source / "boat.toml").read_text():
        return  # the canoe of 1883 is in eighths itself
    here = _unitless(_carried_from(boat, source))
    same(here, _unitless(carry(read_boat(changed.in_unit(source, folder / "in", "in")))), "inches", ROUNDED)
    rounded = changed.in_unit(source, folder / "rounded", "in", rounded=True)
    eighths = changed.in_unit(rounded, folder / "eighths", "ft-in-eighths")
    a, b = read_boat(rounded), read_boat(eighths)
    if _figures(a) != _figures(b):  # the same to the last bit gives the same answer to the last bit
        same(_unitless(carry(a)), _unitless(carry(b)), "eighths", ROUNDED)


def _figures(boat: Boat) -> Boat:
    """A boat without what says how and where it was written."""
    table = boat.hull.table
    assert table is not None
    bare = replace(
        table, unit="", file="", column_names=(), lines=tuple(replace(r, row=0) for r in table.lines)
    )
    return replace(
        boat, hull=replace(boat.hull, table=bare), folder="", checksum="", notices=(), units_shown="metric"
    )


def _unitless(verdict: Verdict) -> dict[str, Any]:
    """The answer without texts, which say lengths in the builder's own unit; checks and remarks keep their
    keys."""
    told = ("level_trim_reason", "unusual", "heaviest_paddler_limit")
    found = {k: v for k, v in answer_of(verdict).items() if k not in told}
    for name, words in (("checks", "name"), ("remarks", "words"), ("table", "binds"), ("loads", "binds")):
        found[name] = [{k: v for k, v in one.items() if k != words} for one in found[name]]
    return found


def rows_in_any_order(boat: Boat, folder: Path) -> None:
    """The rows of the table may stand in any order."""
    source = as_folder(boat, folder)
    shuffled = changed.rows_shuffled(source, folder / "shuffled", 5)
    same(_unitless(_carried_from(boat, source)), _unitless(carry(read_boat(shuffled))), "rows", ROUNDED)


# ---------------------------------------------------------------- another size


def _scaled(boat: Boat, k: float) -> Boat:
    import boats

    return boats.scaled(replace(boat, openings=(), hatches=(), bulkheads=(), tanks=(), appendages=()), k)


def another_size(boat: Boat, folder: Path) -> None:
    """k times as long, wide and deep: k^3 the volume, k^2 the area of planking, k times GM with the centre
    at k times the height."""
    if boat.hull.measured_to == "inside":
        return  # the wood's thickness does not grow with its
    k = 1.7
    small, large = (_scaled(boat, 1.0), _scaled(boat, k))
    a, b = (build_hull(one) for one in (small, large))
    p, q = Body(a.vertices, a.faces), Body(b.vertices, b.faces)
    same([p.volume * k**3, p.area * k**2], [q.volume, q.area], "volume, area", NEAR)
    centre = p.centroid * [1, 0, 0.8]
    at, too = (
        upright(p, 0.3 * p.volume * 1000, centre, 1000.0),
        upright(q, 0.3 * q.volume * 1000, centre * k, 1000.0),
    )
    assert at.gm is not None and too.gm is not None
    same([at.gm * k, at.trim], [too.gm, too.trim], "gm, trim", NEAR)
    quantities = [_by_area(one) for one in (small, large)]
    assert quantities[0] and quantities[0].keys() == quantities[1].keys()
    for item, area in quantities[0].items():
        assert abs(quantities[1][item] / area / k**2 - 1) < NEAR, (
            f"{item}: {area} m2 became {quantities[1][item]}"
        )


def _by_area(boat: Boat) -> dict[str, float]:
    """Area of each coat and cloth over the whole outside, which knows nothing of the wood's thickness
    [m2]."""
    plain = tuple(
        replace(
            b,
            schedule=replace(
                b.schedule,
                runs=(),
                pieces=(),
                skins=tuple(k for k in b.schedule.skins if not k.overlap and not k.below and not k.girth),
            ),
        )
        for b in boat.builds
    )
    weight = launch(replace(boat, builds=plain)).weight
    return {
        line.item: line.quantity for line in weight.lines if line.where in ("hull outside", "deck outside")
    }


# ---------------------------------------------------------------- more said of the same surface


def _on_row(row: Array, x: float) -> tuple[float, float] | None:
    """Half-breadth and height of a row of the fair surface at x, by a spline through its points; None
    where it does not reach."""
    grows = np.concatenate([[True], np.diff(np.maximum.accumulate(row[:, 0])) > 1e-9])
    row = row[grows]
    if not row[0, 0] <= x <= row[-1, 0] or len(row) < 4:
        return None
    y, z = CubicSpline(row[:, 0], row[:, 1:])(x)
    return float(y), float(z)


def _curve_at(hull: Any, x: float) -> Array:
    """The half section of the fair surface at x: (k, 2) half-breadths and heights, keel to sheer."""
    return np.array([found for row in hull.side.points if (found := _on_row(row, x)) is not None])


def _between(boat: Boat) -> float:
    stations = boat.hull.table.stations  # type: ignore[union-attr]
    k = len(stations) // 2
    return 0.6 * stations[k] + 0.4 * stations[k + 1]


def a_station_more(boat: Boat, folder: Path) -> None:
    """A station put in on the surface changes displacement by less than 0.1 %: between stations the
    surface is already its."""
    if boat.hull.measured_to == "inside":
        return  # the surface that is drawn is not the one that is measured
    hull = craft_of(boat).hull
    x = _between(boat)
    curve = _curve_at(hull, x)
    sheer, keel = curve[-1], curve[0]
    table = boat.hull.table
    assert table is not None
    heights = {"sheer": sheer[1], "keel": keel[1], "rabbet": keel[1]}
    breadths = {"sheer": sheer[0], "rabbet": keel[0]}
    for i, name in enumerate(table.chines):
        found = _on_row(hull.side.points[hull.side.corners[i]], x)
        assert found is not None
        breadths[name], heights[name] = found
    deck = hull.deck.points[-1] if hull.deck is not None else None
    if deck is not None:
        heights["deck"] = float(CubicSpline(deck[:, 0], deck[:, 2])(x))

    def at_height(z: float) -> float | None:
        return float(np.interp(z, curve[:, 1], curve[:, 0])) if keel[1] + 0.01 < z < sheer[1] else None

    def at_breadth(y: float) -> float | None:
        rising = np.maximum.accumulate(curve[:, 0])
        return float(np.interp(y, rising, curve[:, 1])) if keel[0] < y < 0.9 * sheer[0] else None

    more = build_hull(changed.with_station(boat, x, heights, breadths, at_height, at_breadth))
    a, b = Body(hull.vertices, hull.faces), Body(more.vertices, more.faces)
    draft = float(hull.vertices[:, 2].min()) + 0.45 * (
        float(hull.sheer[:, 2].min()) - float(hull.vertices[:, 2].min())
    )
    v, w = (one.immersed((0, 0, 1), draft).volume for one in (a, b))
    assert abs(w / v - 1) < 1e-3, f"displacement {v} became {w}"


def a_waterline_more(boat: Boat, folder: Path) -> None:
    """A waterline put in on the surface, at the table's own stations, changes displacement by less than
    0.1 %."""
    if boat.hull.measured_to == "inside":
        return
    table = boat.hull.table
    assert table is not None
    levels = sorted(r.at for r in table.lines if r.name == "waterline" and r.at is not None)
    if len(levels) < 3:
        return
    z = 0.5 * (levels[1] + levels[2])
    hull = craft_of(boat).hull
    values: list[float | None] = []
    for k, x in enumerate(table.stations):
        curve = _curve_at(hull, x) if 0 < k < len(table.stations) - 1 else np.zeros((0, 2))
        inside = len(curve) > 2 and curve[0, 1] + 0.02 < z < curve[-1, 1] - 0.02
        has = all(
            next(r for r in table.lines if r.name == "waterline" and r.at == at).values[k] is not None
            for at in levels[1:3]
        )
        values.append(float(np.interp(z, curve[:, 1], curve[:, 0])) if inside and has else None)
    line = next(r for r in table.lines if r.name == "waterline")
    rows = (*table.lines, replace(line, at=z, values=tuple(values)))
    more = build_hull(replace(boat, hull=replace(boat.hull, table=replace(table, lines=rows))))
    draft = levels[len(levels) // 2]
    v, w = (Body(h.vertices, h.faces).immersed((0, 0, 1), draft).volume for h in (hull, more))
    assert abs(w / v - 1) < 1e-3, f"displacement {v} became {w}"


# ---------------------------------------------------------------- weight aboard


def heavier_floats_deeper(boat: Boat, folder: Path) -> None:
    """More at the place where it trims level never means less draft; and the displacement is the mass."""
    craft = craft_of(boat)
    load = craft.load(boat.load.paddlers, LIKELY)
    drafts = []
    for mass in np.linspace(0.3, 1.6, 8) * load.mass:
        level = at_heel(craft.body, float(mass), load.centre, craft.density, 0.0)
        if level.state != "afloat":
            break
        floating = float_hull(
            craft.hull, craft.body, float(mass), load.centre, craft.density, held_level=True
        )
        assert level.immersed is not None and abs(level.immersed.volume * craft.density / mass - 1) < 1e-9
        if floating.draft_forward is None or floating.draft_aft is None:
            break
        drafts.append((floating.draft_forward + floating.draft_aft) / 2)
    assert all(b > a for a, b in pairwise(drafts)), f"mean drafts {drafts}"


def higher_is_no_stiffer(boat: Boat, folder: Path) -> None:
    """A higher centre never means more GM."""
    craft = craft_of(boat)
    load = craft.load(boat.load.paddlers, LIKELY)
    found = [
        upright(craft.body, load.mass, load.centre + [0, 0, up], craft.density).gm
        for up in (0.0, 0.02, 0.05, 0.11)
    ]
    figures = [gm for gm in found if gm is not None]
    assert all(b < a for a, b in pairwise(figures)), f"GM {found}"


def parts_add_up(boat: Boat, folder: Path) -> None:
    """The lines of the weight add up to it, in mass, centre and groups; its range holds it."""
    for build in boat.builds:
        weight = weigh(boat, craft_of(boat).hull, build.name)
        masses = np.array([line.mass for line in weight.all_lines])
        centres = np.array([line.centre for line in weight.all_lines])
        assert abs(masses.sum() - weight.mass) < 1e-9 * weight.mass
        assert np.abs(masses @ centres / weight.mass - weight.centre).max() < 1e-9
        assert abs(sum(weight.groups.values()) - weight.mass) < 1e-9 * weight.mass
        also = sum(line.mass for line in weight.usually_also)
        assert abs(weight.mass - weight.schedule.mass - also) < 1e-9 * weight.mass
        assert weight.low < weight.mass < weight.high
        assert abs(weight.stages[-1].predicted[1] - weight.mass) < 1e-9 * weight.mass
        shares = [stage.predicted[1] for stage in weight.stages[1:]]
        out, shell, deck, joined, fitted, finished = shares
        assert (
            out - 0.5 < shell and shell + deck <= joined + 1e-9 and joined <= fitted <= finished + 0.5
        )  # sanding takes off
        for line in weight.lines:
            assert 0 < line.low <= line.mass <= line.high, line.item
            assert np.isfinite(line.centre).all()


def compare_turns_round(boat: Boat, folder: Path) -> None:
    """A against B is minus B against A."""
    names = [b.name for b in boat.builds]
    if len(names) < 2:
        return
    hull = carried(boat).craft.hull
    there, back = (compare(boat, hull, pair).differences[0] for pair in (names[:2], names[1::-1]))
    assert abs(there.mass + back.mass) < 1e-12 and abs(there.resin + back.resin) < 1e-12
    assert abs(there.low + back.high) < 1e-9 and abs(there.high + back.low) < 1e-9
    assert np.abs(there.centre + back.centre).max() < 1e-12


# ---------------------------------------------------------------- what is searched for


def heaviest_is_the_last_that_passes(boat: Boat, folder: Path) -> None:
    """The heaviest paddler passes every check; one kilogram more does not; and the answer says the same."""
    verdict = carried(boat)
    most = verdict.heaviest.mass
    first, *others = boat.load.paddlers
    if most is None or "nothing up to there" in verdict.heaviest.limit:
        return
    trial = Trial(verdict.craft)
    assert binding(trial.deciding(most)) is None
    stands = binding(trial.deciding(most + 1))
    assert stands is not None and stands.name == verdict.heaviest.limit
    again = judge(launch(boat.with_load(paddlers=(replace(first, mass=float(most)), *others))))
    assert again.answer == ("marginal" if again.doubts else "carries"), f"{most} kg: {again.answer}"
    over = judge(launch(boat.with_load(paddlers=(replace(first, mass=float(most + 1)), *others))))
    assert over.answer != "carries", f"{most + 1} kg carries"


def level_seat_is_level(boat: Boat, folder: Path) -> None:
    """With the seat where it is said to give level trim it trims level."""
    verdict = carried(boat)
    if verdict.seat.back is None:
        return
    first, *others = boat.load.paddlers
    there = afloat(launch(boat.with_load(paddlers=(replace(first, seat_back=verdict.seat.back), *others))))
    if there.trim is not None:
        assert abs(there.trim) < 1e-6, f"trim {math.degrees(there.trim)} deg"


def curve_crosses_at_rest(boat: Boat, folder: Path) -> None:
    """The righting curve is nought at the heel where it comes to rest, and rises there as its slope says."""
    first, *others = boat.load.paddlers
    craft = craft_of(boat.with_load(paddlers=(replace(first, side=0.01), *others)))
    load = craft.load(craft.boat.load.paddlers, LIKELY)
    lying = rest(craft.body, load.mass, load.centre, craft.density)
    if (
        lying.state != "afloat"
        or lying.heel is None
        or not 1e-4 < abs(lying.heel) < 1.2
        or lying.gm is None
        or lying.gm < 1e-3
    ):
        return
    step = 1e-3 * abs(lying.heel) / lying.heel
    heels = lying.heel + step * np.array([-1.0, 0.0, 1.0])
    curve = righting_curve(craft.body, load.mass, load.centre, craft.density, heels)
    assert abs(curve.arm[1]) < 1e-8, f"arm {curve.arm[1]} at the heel of rest"
    slope = float(curve.arm[2] - curve.arm[0]) / (2 * step)
    assert slope > 0 and abs(slope - curve.slope[1]) < 1e-6 + 0.02 * slope, (
        f"slope {slope} and {curve.slope[1]}"
    )
    assert abs(curve.trim[1] - lying.trim) < 1e-7


Law = Callable[[Boat, Path], None]
LAWS: dict[str, Law] = {
    law.__name__: law
    for law in (
        other_units,
        rows_in_any_order,
        another_datum,
        the_other_hand,
        another_size,
        a_station_more,
        a_waterline_more,
        heavier_floats_deeper,
        higher_is_no_stiffer,
        parts_add_up,
        compare_turns_round,
        heaviest_is_the_last_that_passes,
        level_seat_is_level,
        curve_crosses_at_rest,
    )
}
