"""Lofted hulls, of every model and of boats drawn at random: through every offset, closed, mirrored,
outward, the right volume."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from pathlib import Path

import numpy as np
import pytest
import trimesh
from boats import form_of, random_boat, scaled, write_folder
from near import furthest

from hullview.boat.model import Boat, Schedule
from hullview.boat.reader import read_boat
from hullview.shape.assemble import build_hull
from hullview.shape.body import Body
from hullview.shape.hull import Hull

MODELS = tuple(sorted(p.parent.name for p in (Path(__file__).parents[2] / "models").glob("*/boat.toml")))
SEEDS = (1, 3, 8, 10, 14, 20, 22, 26, 30, 37, 44, 47, 50, 51, 54, 57)
"""Every kind of bow, stern, bottom and chine, decked and open, inside and outside, siding and none, is
among them (see the test of that)."""
MIRROR = np.array([1.0, -1.0, 1.0])


@cache
def model(name: str) -> tuple[Boat, Hull]:
    boat = read_boat(Path(__file__).parents[2] / "models" / name)
    return boat, build_hull(boat)


@cache
def drawn(seed: int) -> tuple[Boat, Hull]:
    """A random boat measured to the outside, without openings, so that every offset lies on it."""
    boat = random_boat(seed)
    boat = replace(boat, openings=(), hull=replace(boat.hull, measured_to="outside"))
    return boat, build_hull(boat)


def area(hull: Hull, *regions: str) -> float:
    f = hull.faces_of(*regions)
    if not len(f):
        return 0.0
    a, b, c = hull.vertices[f.T]
    return float(np.linalg.norm(np.cross(b - a, c - a), axis=1).sum() / 2)


# ---------------------------------------------------------------- through the offsets


@pytest.mark.parametrize("name", MODELS)
def test_a_model_passes_within_half_a_millimetre_of_every_offset(name):
    boat, hull = model(name)
    if boat.openings or boat.hatches:
        boat = replace(boat, openings=(), hatches=())
        hull = build_hull(boat)
    distance, line, station = furthest(boat, hull)
    assert distance < 0.0005, f"{line} at station {station}: {distance * 1000:.2f} mm"


@pytest.mark.parametrize("seed", SEEDS)
def test_a_random_boat_passes_within_half_a_millimetre_of_every_offset(seed):
    distance, line, station = furthest(*drawn(seed))
    assert distance < 0.0005, f"{line} at station {station}: {distance * 1000:.2f} mm"


@pytest.mark.slow
@pytest.mark.parametrize("seed", range(400, 700))
def test_many_more_random_boats_do(seed):
    """Within 0.5 mm, but for a few points hard by the face of a stem (1 mm), and stations high on a raking
    stem above the end of a chine (1.5 mm)."""
    distance, line, station = furthest(*drawn(seed))
    form = form_of(seed)
    assert distance < (0.0015 if form.chine == "through" else 0.001), (
        f"{line} at station {station}: {distance * 1000:.2f} mm"
    )


def test_the_seeds_hold_every_kind_of_boat():
    forms = [form_of(s) for s in SEEDS]
    assert {f.bow for f in forms} >= {"raked", "plumb", "recurved", "straight"}
    assert {f.stern for f in forms} >= {"raked", "plumb", "recurved", "straight", "transom"}
    assert {f.bottom for f in forms} >= {"round", "vee", "flat", "rabbet"}
    assert {f.chine for f in forms} >= {"none", "through", "fading"}
    assert {f.decked for f in forms} == {True, False}
    assert {f.siding > 0 for f in forms} == {True, False}
    assert {random_boat(s).hull.measured_to for s in SEEDS} == {"inside", "outside"}
    assert any(f.tumblehome > 0 for f in forms)
    assert any(f.stern == "transom" and f.chine != "none" for f in forms)
    overhang = [
        s
        for s in SEEDS
        for e, x in (("bow", 0.055), ("stern", 0.945))
        if form_of(s).stem(e, 0.0) > x * form_of(s).length
    ]
    assert overhang, "no station stands in the overhang of a stem"


# ---------------------------------------------------------------- closed, mirrored, outward


@pytest.mark.parametrize("name", MODELS)
def test_a_model_is_watertight_for_trimesh(name):
    _, hull = model(name)
    for one in (hull, hull.coarse):
        mesh = trimesh.Trimesh(one.vertices, one.faces, process=False)
        assert mesh.is_watertight
        assert mesh.is_winding_consistent
        assert mesh.volume == pytest.approx(Body(one.vertices, one.faces).volume, rel=1e-12)
        assert mesh.volume > 0


@pytest.mark.parametrize("seed", SEEDS)
def test_a_random_boat_is_watertight_with_its_openings_and_its_planking(seed):
    """As written: to the inside where its table is, with its cockpit cut in the deck."""
    boat = random_boat(seed)
    hull = build_hull(boat)
    mesh = trimesh.Trimesh(hull.vertices, hull.faces, process=False)
    assert mesh.is_watertight
    assert mesh.is_winding_consistent
    assert mesh.volume > 0
    assert ("coaming 1" in hull.regions) == bool(boat.openings)


@pytest.mark.parametrize(
    "hull",
    [pytest.param(lambda n=n: model(n)[1], id=n) for n in MODELS]
    + [pytest.param(lambda s=s: drawn(s)[1], id=str(s)) for s in (3, 8, 30)],
)
def test_port_is_the_exact_mirror_image_of_starboard(hull):
    hull = hull()
    v = hull.vertices
    as_rows = {tuple(p) for p in (v + 0.0).tolist()}
    off_cockpit = np.isin(
        np.arange(len(v)), hull.faces_of("hull", "keel", "transom", "bow stem", "stern stem")
    )
    assert all(tuple(p) in as_rows for p in (v[off_cockpit] * MIRROR + 0.0).tolist())
    assert abs(Body(v, hull.faces).centroid[1]) < 1e-7


@pytest.mark.parametrize(
    "hull",
    [pytest.param(lambda n=n: model(n)[1], id=n) for n in MODELS]
    + [pytest.param(lambda s=s: drawn(s)[1], id=str(s)) for s in (10, 14, 22, 26)],
)
def test_normals_of_the_named_lines_are_unit_and_outward(hull):
    """Outward: a little along it from the line, and as far the other way, are outside and inside the closed
    mesh."""
    hull = hull()
    mesh = trimesh.Trimesh(hull.vertices, hull.faces, process=False)
    for line in hull.lines.values():
        assert np.linalg.norm(line.hull_normals, axis=1) == pytest.approx(1.0, abs=1e-6), line.name
        second = np.linalg.norm(line.deck_normals, axis=1)
        assert np.all((np.abs(second - 1.0) < 1e-6) | (second == 0.0)), line.name
        if line.paired or line.closed:
            continue
        # On the centre line the two normals are each other's mirror image, and their sum looks out of the
        # hull.
        assert line.deck_normals == pytest.approx(line.hull_normals * MIRROR, abs=1e-12), line.name
    sheer = hull.lines["sheer"]
    middle = slice(len(sheer.points) // 3, -len(sheer.points) // 3, 5)
    p, n = sheer.points[middle], sheer.hull_normals[middle]
    below = p - [0, 0, 0.012]
    inside = mesh.contains(np.concatenate([below - 0.02 * n, below + 0.02 * n]))
    assert inside[: len(p)].all()
    assert not inside[len(p) :].any()


# ---------------------------------------------------------------- laws


@pytest.mark.parametrize("seed", [3, 10, 26, 44])
def test_scaled_boats_have_scaled_hulls(seed):
    boat, hull = drawn(seed)
    k = 1.7
    twin = build_hull(scaled(boat, k))
    one, other = Body(hull.vertices, hull.faces), Body(twin.vertices, twin.faces)
    assert other.volume == pytest.approx(k**3 * one.volume, rel=2e-4)
    assert other.centroid == pytest.approx(k * one.centroid, abs=2e-4 * boat.hull.table.stations[-1])


@pytest.mark.parametrize("seed", [1, 22])
def test_rows_in_any_order_make_the_same_hull(seed):
    boat, hull = drawn(seed)
    table = boat.hull.table
    turned = replace(boat, hull=replace(boat.hull, table=replace(table, lines=table.lines[::-1])))
    assert build_hull(turned).vertices == pytest.approx(hull.vertices, abs=1e-12)


@pytest.mark.parametrize("seed", [3, 14, 37])
def test_a_datum_moved_moves_the_hull_and_nothing_else(seed):
    boat, hull = drawn(seed)
    d = np.array([0.37, 0.0, -0.11])
    table = boat.hull.table

    def moved(row):
        up = d[2] if row.measure == "height" else 0.0
        at = row.at if row.at is None or row.name != "waterline" else row.at + d[2]
        return replace(row, at=at, values=tuple(None if v is None else v + up for v in row.values))

    ends = [
        replace(e, profile=None if e.profile is None else tuple((x + d[0], z + d[2]) for x, z in e.profile))
        for e in (boat.hull.bow, boat.hull.stern)
    ]
    table = replace(
        table, stations=tuple(x + d[0] for x in table.stations), lines=tuple(moved(r) for r in table.lines)
    )
    twin = build_hull(replace(boat, hull=replace(boat.hull, table=table, bow=ends[0], stern=ends[1])))
    assert twin.vertices == pytest.approx(hull.vertices + d, abs=1e-7)


@pytest.mark.parametrize("seed", [1, 3, 10, 22, 30, 50])
def test_inside_and_outside_differ_by_skin_area_times_thickness_to_second_order(seed):
    """V(d) - V(0) = (A(0) + A(d)) d / 2 to second order in d: hull and deck moved out, transom and lid where
    they are.

    The sheer, the stems and the transom's edge are mitred, which leaves a term of second order: its share
    falls as d does, down to what the mesh itself leaves open.
    """
    boat = replace(random_boat(seed), openings=())
    none = build_hull(replace(boat, hull=replace(boat.hull, measured_to="outside")))
    left = []
    for d in (0.006, 0.003):
        planking = tuple(replace(p, thickness=d, loss_outside=0.0) for p in boat.builds[0].schedule.planking)
        build = replace(boat.builds[0], schedule=Schedule(planking))
        some = build_hull(replace(boat, hull=replace(boat.hull, measured_to="inside"), builds=(build,)))
        grown = Body(some.vertices, some.faces).volume - Body(none.vertices, none.faces).volume
        skin = (area(none, "hull", "deck", "keel") + area(some, "hull", "deck", "keel")) / 2
        assert grown == pytest.approx(skin * d, rel=0.012)
        left.append(abs(grown / (skin * d) - 1))
    assert left[1] < 0.75 * left[0] + 0.0015


def test_fairing_loss_outside_is_taken_off_and_inside_is_not():
    """Outside of the wood = edge of the forms + milled thickness - what fairing takes off outside;
    scraping the inside does not move it."""
    boat = replace(random_boat(30), openings=())
    assert boat.hull.measured_to == "inside"

    def volume(**changes) -> float:
        planking = tuple(replace(p, **changes) for p in boat.builds[0].schedule.planking)
        hull = build_hull(replace(boat, builds=(replace(boat.builds[0], schedule=Schedule(planking)),)))
        return Body(hull.vertices, hull.faces).volume

    assert volume(thickness=0.007, loss_outside=0.001) == pytest.approx(
        volume(thickness=0.006, loss_outside=0.0), rel=1e-12
    )
    assert volume(loss_inside=0.002) == volume(loss_inside=0.0)
    assert volume(loss_outside=0.0) > volume(loss_outside=0.002)


@pytest.mark.parametrize("name", MODELS)
def test_a_mesh_twice_as_coarse_holds_nearly_the_same_volume(name):
    """The two differ by less than 0.04 %, so the finer one, whose error is a quarter or less of its own,
    is within 0.01 %."""
    _, hull = model(name)
    fine, coarse = (
        Body(hull.vertices, hull.faces).volume,
        Body(hull.coarse.vertices, hull.coarse.faces).volume,
    )
    assert coarse == pytest.approx(fine, rel=4e-4)


SKIFF = """measure,line,at,0,1,2,3
position,,,0,600,1900,3000
height,sheer,,560,510,420,430
half-breadth,sheer,,13,360,620,480
height,chine,,330,210,120,190
half-breadth,chine,,13,260,510,380
height,keel,,,80,0,110
"""


@pytest.mark.parametrize("off", [0.0, 0.05, 2.0])
def test_a_station_on_the_stem_may_stand_where_the_chine_meets_it(tmp_path, off):
    """The section's foot and the chine are one point there, or the table's rounding apart, and the hull is
    closed and little changed."""
    volume = []
    for x in (0.0, 1.0):
        folder = tmp_path / f"{x}"
        folder.mkdir()
        (folder / "offsets.csv").write_text(SKIFF)
        (folder / "boat.toml").write_text(
            'name = "Skiff"\n[hull]\noffsets = "offsets.csv"\nunits = "mm"\nmeasured_to = "outside"\ntype ='
            f' "open"\n[hull.bow]\nprofile = [[-80, 560], [{x}, {330 + off}], [75, 178]]\nsiding = "20'
            ' mm"\n[hull.stern]\ntransom = true\nprofile = [[3075, 430], [3000, 110]]\n'
        )
        hull = build_hull(read_boat(folder))
        assert trimesh.Trimesh(hull.vertices, hull.faces, process=False).is_watertight
        volume.append(Body(hull.vertices, hull.faces).volume)
    assert volume[0] == pytest.approx(volume[1], rel=2e-3)


@pytest.mark.parametrize("seed", [3, 10, 26, 30])
def test_the_same_boat_written_in_any_unit_is_the_same_hull(seed, tmp_path):
    boat = random_boat(seed)
    hulls = [
        build_hull(read_boat(write_folder(boat, tmp_path / unit, unit)))
        for unit in ("mm", "cm", "m", "in", "ft")
    ]
    direct = build_hull(boat)
    for hull in hulls:
        assert hull.vertices == pytest.approx(direct.vertices, abs=1e-9)
        assert hull.regions == direct.regions
