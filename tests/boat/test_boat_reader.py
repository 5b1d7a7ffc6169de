"""boat.toml and its table -> Boat: what every key becomes, every mistake in one report, nothing ignored,
nothing outside read."""

from __future__ import annotations

import dataclasses
import math
import os

import boat_sample
import pytest
from boat_sample import TABLE, TOML, write

from hullview.boat.model import AfloatEntry, Gear, Water
from hullview.boat.reader import read_boat
from hullview.boat.readings import FreeboardReading, Inclining, WeighedStage
from hullview.errors import BoatFileError, HullviewError


def line_of(text: str, toml: str = TOML) -> int:
    """The line on which a text first stands."""
    return toml[: toml.index(text)].count("\n") + 1


def refused(folder, toml=TOML, table=TABLE) -> list[str]:
    with pytest.raises(BoatFileError) as caught:
        read_boat(write(folder, toml, table))
    assert caught.value.exit_status == 3
    return [str(m) for m in caught.value.mistakes]


def changed(old: str, new: str) -> str:
    assert old in TOML, old
    return TOML.replace(old, new, 1)


@pytest.fixture(scope="module")
def boat(tmp_path_factory):
    return read_boat(write(tmp_path_factory.mktemp("sample")))


# ---------------------------------------------------------------- what the keys become


def test_hull_and_ends(boat):
    assert (boat.name, boat.builder) == ("Short kayak", "invented for the demo")
    assert (boat.hull.type, boat.hull.measured_to, boat.hull.design_displacement) == (
        "decked",
        "outside",
        105.0,
    )
    assert boat.hull.bow.profile == ((0.0, 0.31), (0.04, 0.2), (0.18, 0.02))
    assert (boat.hull.bow.siding, boat.hull.stern.siding) == (0.006, 0.0)
    assert boat.hull.table is not None and boat.hull.table.unit == "mm"


def test_what_is_cut_into_it(boat):
    assert (boat.openings[0].coaming, boat.openings[0].cover) == ((0.025,) * 3, "none")
    assert boat.hatches[0].centre == 2.5
    assert (boat.bulkheads[0].wood, boat.bulkheads[0].thickness) == ("okoume plywood", 0.004)
    assert (boat.tanks[0].start, boat.tanks[0].end, boat.tanks[0].inboard, boat.tanks[0].top) == (
        0.1,
        0.5,
        0.04,
        None,
    )
    assert (boat.flotation[0].volume, boat.flotation[0].at) == (0.012, (0.6, 0.0, 0.15))
    assert boat.flooding[0].name == "pump outlet"
    assert boat.appendages[0].outline[2] == (2.9, -0.06)


def test_load_water_and_limits(boat):
    paddler = boat.load.paddlers[0]
    assert (paddler.mass, paddler.seat_back, paddler.seat) == (82.0, 1.86, 0.025)
    assert paddler.heights == (0.23, 0.26, 0.30)
    assert boat.load.gear[0].at == (2.3, 0.0, None)
    assert boat.water == Water("fresh")
    assert boat.limits["flooding_heel"] == pytest.approx(math.radians(20), rel=1e-15)
    assert boat.limits["gm"] == 0.0


def test_builds_hold_what_all_share_and_their_own(boat):
    clamped, taped = boat.builds
    assert (clamped.name, clamped.hours, taped.name) == ("clamped-sheer", 160.0, "taped-seam")
    assert clamped.schedule.planking == taped.schedule.planking
    assert clamped.schedule.planking[0].thickness == pytest.approx(0.00635)
    assert clamped.schedule.planking[0].loss_inside == 0.0003
    assert (clamped.schedule.planking[1].where, clamped.schedule.planking[1].band) == ("hull", (0.0, 0.06))
    assert clamped.schedule.skins[1].coating == "varnish"
    assert [r.kind for r in clamped.schedule.runs] == ["lamination", "cord", "lamination"]
    assert [r.kind for r in taped.schedule.runs] == ["lamination", "cord", "fillet", "tape"]
    assert clamped.schedule.runs[1].mass_per_length == 0.008
    assert boat.build() is clamped


def test_the_shop_and_the_scale(boat):
    spruce = boat.materials[0]
    assert spruce.density == pytest.approx(0.026 / (0.5 * 0.02 * 0.006))
    assert (spruce.price, spruce.currency, spruce.like) == (12.5, "crowns", "Sitka spruce")
    assert boat.weighed == (
        WeighedStage(
            "hull shell outside", 30.1, ("seat",), build="clamped-sheer", on_forms=True, forms_mass=21.0
        ),
    )
    assert boat.consumables[0].quantity == "1 box"
    assert (boat.order.stock_length, boat.order.strip_waste, boat.order.resin_packs) == (
        2.4,
        0.18,
        (1.0, 6.0),
    )
    assert (boat.without, boat.care) == (("varnish",), "careful")
    freeboards = (FreeboardReading(0.5, 0.2), FreeboardReading(2.5, 0.19, "port"))
    load = (Gear(80.0, (1.6, 0.0, 0.2), "weights"),)
    assert boat.afloat == (AfloatEntry(freeboards, (Inclining(5.0, 0.2, math.radians(2.5)),), load),)


def test_a_boat_needs_next_to_nothing(tmp_path):
    toml = '[hull]\noffsets = "offsets.csv"\nunits = "mm"\nmeasured_to = "outside"\ntype = "open"\n'
    table = (
        "measure,line,at,a,b,c\nposition,,,0,1000,3000\nheight,sheer,,300,300,300\n"
        "half-breadth,sheer,,1,400,1\nheight,keel,,9,0,9\n"
    )
    boat = read_boat(write(tmp_path, 'name = "Bare"\n' + toml, table))
    assert boat.builds == () and boat.load.paddlers == () and boat.water.kind == "fresh"
    assert boat.hull.bow.profile is None
    with pytest.raises(HullviewError, match=r"schedule\.planking"):
        boat.build()


def test_the_file_or_the_folder_or_a_link_to_it(tmp_path):
    folder = write(tmp_path / "Bl\u00e5b\u00e6r \u8239")
    one = read_boat(folder)
    assert read_boat(folder / "boat.toml") == one
    (tmp_path / "link").symlink_to(folder, target_is_directory=True)
    assert dataclasses.replace(read_boat(tmp_path / "link"), folder="") == dataclasses.replace(one, folder="")


def test_crlf_bom_and_the_checksum(tmp_path):
    plain = read_boat(write(tmp_path / "a"))
    dos = read_boat(
        write(
            tmp_path / "b", b"\xef\xbb\xbf" + TOML.replace("\n", "\r\n").encode(), TABLE.replace("\n", "\r\n")
        )
    )
    assert dataclasses.replace(dos, folder="", checksum="") == dataclasses.replace(
        plain, folder="", checksum=""
    )
    assert len(plain.checksum) == 64 and plain.checksum != dos.checksum
    other = read_boat(write(tmp_path / "c", table=TABLE.replace("305,270", "306,270")))
    assert other.checksum not in (plain.checksum, dos.checksum)
    assert read_boat(write(tmp_path / "d")).checksum == plain.checksum


@pytest.mark.parametrize(
    ("unit", "shown"), [("mm", "metric"), ("in", "imperial"), ("ft", "imperial"), ("m", "metric")]
)
def test_the_builders_kind_of_unit_is_what_most_numbers_have(tmp_path, unit, shown):
    cells = {"mm": "300", "in": "12", "ft": "1", "m": "0.3"}[unit]
    table = (
        f"measure,line,at,a,b,c\nposition,,,0,{cells},300 cm\nheight,sheer,,{cells},12"
        f" in,{cells}\nhalf-breadth,sheer,,{cells},{cells},0\nheight,keel,,0,0,0\n"
    )
    toml = (
        f'name = "x"\n[hull]\noffsets = "offsets.csv"\nunits = "{unit}"\nmeasured_to = "outside"\ntype ='
        ' "open"\n[water]\ndensity = "1 g/cm3"\n'
    )
    assert read_boat(write(tmp_path, toml, table)).units_shown == shown


def test_letter_o_gives_a_notice_with_its_line(tmp_path):
    boat = read_boat(write(tmp_path, changed('"1.86 m"', '"1.8O m"')))
    assert boat.load.paddlers[0].seat_back == 1.8
    assert boat.notices == (
        (
            f'boat.toml:{line_of(chr(34) + "1.86 m")} load.paddler[1].seat_back = "1.8O m": letter O read as'
            " zero"
        ),
    )


def test_sheets_are_not_faired_unless_the_file_says_so(tmp_path):
    sheet = 'kind = "sheet"\nwood = "okoume plywood"\nthickness = "6 mm"\n'
    toml = TOML.replace(
        TOML[TOML.index('where = "hull"\nkind = "strip"') : TOML.index("[[schedule.skin]]")],
        f'where = "hull"\n{sheet}',
    )
    boat = read_boat(write(tmp_path / "a", toml))
    assert boat.builds[0].schedule.planking[0].finished == 0.006
    toml = toml.replace(sheet, sheet + 'fairing_loss = { outside = "0.2 mm" }\n')
    assert read_boat(write(tmp_path / "b", toml)).builds[0].schedule.planking[0].finished == pytest.approx(
        0.0058
    )


def test_an_outline_gives_the_opening_its_centre_and_size(tmp_path):
    toml = changed(
        'centre = "1.62 m"\nlength = "0.85 m"\nwidth = "0.46 m"\n',
        "outline = [[1200, 0], [1500, 180], [1900, 230], [2050, 0]]\n",
    )
    rim = read_boat(write(tmp_path, toml)).openings[0]
    assert (rim.centre, rim.length, rim.width) == pytest.approx((1.625, 0.85, 0.46))


# ---------------------------------------------------------------- what is refused, and where

CASES = [
    # (what stands there, what is put there instead, key in the report, words of the report)
    ("measured_to", "mesured_to", "hull.mesured_to", "Did you mean 'measured_to'?"),
    ('measured_to = "outside"\n', "", "hull.measured_to", "outside or inside"),
    ('"outside"', '"out"', 'hull.measured_to = "out"', "must be outside or inside"),
    ('type = "decked"\n', "", "hull.type", "decked or open"),
    ('name = "Short kayak"\n', "", "name", "is missing"),
    ('"Short kayak"', '""', 'name = ""', "must not be empty"),
    ('"Short kayak"', "7", "name = 7", "text in quotation marks"),
    ('"Short kayak"', '"\\u001b[2J"', "name", "control character"),
    ('"Short kayak"', '"\\u202ekayak"', "name", "control character"),
    (
        "layers = 1\n",
        "layers = -1\n",
        "schedule.skin[1].layers = -1",
        "must be 0 or more. Use 0 for a bare face.",
    ),
    ("layers = 1\n", "layers = 1.5\n", "schedule.skin[1].layers = 1.5", "whole number"),
    ("layers = 1\n", "layers = true\n", "schedule.skin[1].layers = true", "whole number"),
    (
        'thickness = "1/4 in"',
        'thickness = "-1/4 in"',
        'schedule.planking[1].thickness = "-1/4 in"',
        "more than 0",
    ),
    (
        'ply_thickness = "1/8 in"',
        'ply_thickness = "0.001 in"',
        "schedule.run[1].ply_thickness",
        "must be 0.1 mm or more",
    ),
    (
        'at = ["0.6 m", "0 mm", "150 mm"]',
        'at = ["0.6 m", "0 mm", "150 m"]',
        "flotation[1].at[3]",
        "off the boat",
    ),
    (
        'at = ["1.65 m", "0 mm", "40 mm"]',
        'at = ["1.65 m", "40 m", "40 mm"]',
        "schedule.piece[1].at[2]",
        "off the boat",
    ),
    (
        "[[0, 310], [40, 200], [180, 20]]",
        "[[0, 360], [40, 200], [180, 20]]",
        "hull.bow.profile[1]",
        "the sheer at station 0 is 310 mm up",
    ),
    (
        "[[3100, 300], [3060, 200], [2920, 25]]",
        "[[31000, 300], [3060, 200], [2920, 25]]",
        "hull.stern.profile[1]",
        "the stations run from 0 m to 3.1 m",
    ),
    (
        "[[0, 310], [40, 200], [180, 20]]",
        "[[0, 310], [40, -2000], [180, 20]]",
        "hull.bow.profile[2]",
        "the table runs from",
    ),
    (
        'thickness = "1/4 in"',
        'thickness = "1/4"',
        'schedule.planking[1].thickness = "1/4"',
        "must have its unit",
    ),
    ('thickness = "1/4 in"', "thickness = 6", "schedule.planking[1].thickness = 6", "must have its unit"),
    (
        'thickness = "1/4 in"',
        'thickness = "1/4 m"',
        'schedule.planking[1].thickness = "1/4 m"',
        "at most 0.2 m",
    ),
    (
        '"western redcedar"',
        '"westen redcedar"',
        "schedule.planking[1].wood",
        "Did you mean 'western redcedar'?",
    ),
    (
        '"plain glass 6 oz/yd2"',
        '"plane glass 6 oz/yd2"',
        "schedule.skin[1].cloth",
        "Did you mean 'plain glass 6 oz/yd2'?",
    ),
    ('coating = "varnish"', 'coating = "varnsh"', "schedule.skin[2].coating", "Did you mean 'varnish'?"),
    ('like = "Sitka spruce"', 'like = "Sitka sprouse"', "material[1].like", "Did you mean 'Sitka spruce'?"),
    (
        'where = "hull outside"',
        'where = "hull outsid"',
        "schedule.skin[1].where",
        "Did you mean 'hull outside'?",
    ),
    ('along = "bow stem"', 'along = "bowstem"', "schedule.run[1].along", "Did you mean 'bow stem'?"),
    ('along = "bow stem"', 'along = "chine"', "schedule.run[1].along", "its table has no chine"),
    ('along = "bow stem"', 'along = "transom"', "schedule.run[1].along", "the boat has no transom"),
    ('along = "bow stem"', 'along = "coaming 2"', "schedule.run[1].along", "must be sheer, keel"),
    ('kind = "lamination"', 'kind = "laminated"', "schedule.run[1].kind", "Did you mean 'lamination'?"),
    (
        'posture = "legs forward"',
        'posture = "sitting"',
        "load.paddler[1].posture",
        "must be legs forward, bench, kneeling or standing",
    ),
    ('kind = "strip"', 'kind = "sheet"', "schedule.planking[1].edge", "does nothing for sheet planking"),
    (
        'radius = "10 mm"',
        'radius = "10 mm"\nply_thickness = "3 mm"',
        "builds.taped-seam.run[1].ply_thickness",
        "does nothing for a fillet",
    ),
    (
        "[hull.stern]\n",
        '[hull.stern]\ntransom = true\nsiding = "6 mm"\n',
        "hull.stern.siding",
        "does nothing for a transom",
    ),
    ("coats = 5", "coats = 5\nlayers = 1", "schedule.skin[2].layers", "does nothing for a coating"),
    (
        'cloth = "plain glass 6 oz/yd2"\nlayers = 1\n',
        "layers = 1\n",
        "schedule.skin[1].cloth",
        "Name the cloth",
    ),
    ("layers = 1\n", "layers = 0\n", "schedule.skin[1].cloth", "does nothing with layers = 0"),
    ('below = "60 mm"', "", "schedule.skin[3]", "needs below"),
    (
        "coats = 5",
        'coats = 5\nbelow = "60 mm"\n[[schedule.skin]]\nwhere = "deck outside"\nlayers = 0\ngirth = "1 m"',
        "schedule.skin[3].girth",
        "does nothing here",
    ),
    ('band = ["0 mm", "60 mm"]', 'band = ["60 mm", "0 mm"]', "schedule.planking[2].band", "must grow"),
    ('band = ["0 mm", "60 mm"]', 'where = "hull"', "schedule.planking[2]", "the hull is planked already"),
    ('outside = "0.5 mm"', 'outside = "6.1 mm"', "schedule.planking[1].thickness", "leaves nothing"),
    (
        'plies = 4\nply_thickness = "1/8 in"',
        "plies = 4",
        "schedule.run[1].ply_thickness",
        "is missing of a lamination",
    ),
    (
        'mass = "0.9 kg"',
        'mass = "0.9 kg"\nwood = "redwood old growth"',
        "schedule.piece[1].wood",
        "does nothing for a piece by mass",
    ),
    ('mass = "0.9 kg"', "", "schedule.piece[1].wood", "is missing of a piece by size"),
    (
        'wood = "okoume plywood"\nthickness = "4 mm"',
        'cloth = "plain glass 6 oz/yd2"\nthickness = "4 mm"',
        "bulkhead[1].thickness",
        "does nothing",
    ),
    ("[builds.taped-seam]", "[builds.Clamped-Sheer]", "builds.Clamped-Sheer", "only in capitals"),
    ("hours = 160", "hours = nan", "builds.clamped-sheer.hours", "must be a number"),
    ("hours = 160", "days = 20", "builds.clamped-sheer.days", "unknown key"),
    ('kind = "fresh"', 'kind = "fresh"\ndensity = "1012 kg/m3"', "water.density", "does nothing"),
    ('kind = "fresh"', 'density = "1.012 kg/m3"', "water.density", "900 kg/m3 or more"),
    ('kind = "fresh"', 'kind = "brackish"', "water.kind", "must be fresh or salt"),
    ('gm = "0 mm"', 'gms = "0 mm"', "limits.gms", "Did you mean 'gm'?"),
    ('mass = "82 kg"', 'mass = "820 kg"', "load.paddler[1].mass", "at most 500 kg"),
    ('mass = "82 kg"', 'mass = "82"', "load.paddler[1].mass", "must have its unit"),
    ('seat_back = "1.86 m"', 'seat_back = "18.6 m"', "load.paddler[1].seat_back", "off the boat"),
    (
        '"0.23 m", "0.26 m", "0.30 m"',
        '"0.30 m", "0.26 m", "0.23 m"',
        "load.paddler[1].centre_height",
        "must grow",
    ),
    ('"0.23 m", "0.26 m", "0.30 m"', '"0.26 m"', "load.paddler[1].centre_height", "[low, likely, high]"),
    ('to = "0.5 m"', 'to = "0.05 m"', "tank[1].to", "aft of from"),
    ('centre = "1.62 m"', 'centre = "2.82 m"', "opening[1]", "reaches past the boat"),
    (
        'centre = "1.62 m"',
        'centre = "1.62 m"\noutline = [[1200, 0], [1500, 100], [2000, 0]]',
        "opening[1].centre",
        "does nothing",
    ),
    (
        "[[0, 310], [40, 200], [180, 20]]",
        "[[180, 20], [40, 200], [0, 310]]",
        "hull.bow.profile",
        "Turn the order",
    ),
    ("[[0, 310], [40, 200], [180, 20]]", "[[0, 310]]", "hull.bow.profile", "2 or more points"),
    (
        "[[0, 310], [40, 200], [180, 20]]",
        "[[0, 310], [40, nan], [180, 20]]",
        "hull.bow.profile[2][2]",
        "finite",
    ),
    (
        "[[0, 310], [40, 200], [180, 20]]",
        "[[0, 310], [40, 200, 3], [180, 20]]",
        "hull.bow.profile[2]",
        "two numbers",
    ),
    ("profile = [[0, 310], [40, 200], [180, 20]]\n", "", "hull.bow.profile", "no keel height at station 0"),
    ("[hull.stern]\n", "[hull.stern]\ntransom = true\n", "hull.stern.transom", "no keel height at station 6"),
    ('mass = "26 g"', 'mass = "26 kg"', "material[1]", "which no wood has"),
    ('mass = "26 g"\n', "", "material[1].mass", "is missing of the weighed strip"),
    ("price = 12.5\n", "", "material[1].currency", "does nothing without a price"),
    (
        'stage = "hull shell outside"',
        'stage = "hull shell outsid"',
        "weighed[1].stage",
        "Did you mean 'hull shell outside'?",
    ),
    (
        'side = "port" }',
        'side = "left" }',
        "afloat[1].freeboards[2].side",
        "must be starboard, port or both",
    ),
    ('strip_waste = "18 %"', 'strip_waste = "180 %"', "order.strip_waste", "share from 0 to 1"),
    ("[[hatch]]", "[hatch]", "hatch", "Write [[hatch]]"),
    ("[water]", "[[water]]", "water", "must be a table"),
    ("[limits]", "[limit]", "limit", "Did you mean 'limits'?"),
    ('care = "careful"', 'care = "rough"', "care", "careful, usual or heavy-handed"),
    ('"offsets.csv"', '"offset.csv"', "hull.offsets", "does not exist"),
    ('"offsets.csv"', '"../sample/offsets.csv"', "hull.offsets", "may not leave"),
    ('"offsets.csv"', '"/etc/hostname"', "hull.offsets", "may not leave"),
    ('"offsets.csv"', '"."', "hull.offsets", "not an ordinary file"),
    ('offsets = "offsets.csv"', 'offsets = "offsets.csv"\nmesh = "hull.stl"', "hull.mesh", "not both"),
    ('units = "mm"\n', "", "hull.units", "numbers have no unit, first offsets.csv row 2 column 4"),
    ('units = "mm"', 'units = "mms"', "hull.units", "Did you mean 'mm'?"),
    (
        'design_displacement = "105 kg"',
        "design_displacement = 1979-05-27",
        "hull.design_displacement",
        "must be a mass",
    ),
]


@pytest.mark.parametrize(
    ("old", "new", "key", "words"), CASES, ids=[f"{c[2]}-{i}" for i, c in enumerate(CASES)]
)
def test_each_mistake_with_its_line(tmp_path, old, new, key, words):
    toml = changed(old, new)
    found = refused(tmp_path / "sample", toml)
    mine = [m for m in found if m.split(" ", 1)[1].startswith(key)]
    assert len(mine) == 1, found
    assert words in mine[0]
    line = int(mine[0].split(" ")[0].removeprefix("boat.toml:"))
    written = toml.split("\n")[line - 1]
    last = key.split(" = ")[0].split(".")[-1].split("[")[0].strip('"')
    assert last in written or "missing" in mine[0] or written.startswith("["), (written, mine[0])


def test_the_report_is_written_as_promised(tmp_path):
    toml = changed("layers = 1\n", "layers = -1\n")
    assert refused(tmp_path, toml) == [
        f"boat.toml:{line_of('layers = 1')} schedule.skin[1].layers = -1: must be 0 or more. Use 0 for a bare"
        " face."
    ]


def test_all_mistakes_of_both_files_in_one_report(tmp_path):
    toml = (
        TOML.replace("measured_to", "mesured_to")
        .replace('"82 kg"', '"82"')
        .replace("layers = 2", "layers = -2")
    )
    toml = toml.replace("western redcedar", "westen redcedar").replace('"0.9 kg"', '"-0.9 kg"')
    table = TABLE.replace("290", "nan").replace("305,270", "-305,270")
    found = refused(tmp_path, toml, table)
    keys = [m.split(" ", 1)[1].split(":")[0].split(" = ")[0] for m in found]
    assert keys == [
        "hull.measured_to",
        "hull.mesured_to",
        "load.paddler[1].mass",
        "schedule.planking[1].wood",
        "schedule.run[1].wood",
        "schedule.piece[1].mass",
        "builds.taped-seam.run[2].layers",
        "row 3 column 5 height sheer at station 1",
        "row 4 column 7 half-breadth sheer at station 3",
    ]


def test_an_open_boat_has_no_deck_and_nothing_of_it(tmp_path):
    found = refused(tmp_path, changed('type = "decked"', 'type = "open"'))
    assert [m.split(" ", 1)[1].split(":")[0] for m in found] == [
        'hull.type = "open"',
        "opening[1]",
        "hatch[1]",
        "builds.taped-seam.run[1]",
    ]
    no_deck = "\n".join(line for line in TABLE.split("\n") if "deck" not in line)
    assert "has no deck rows" in refused(tmp_path, table=no_deck)[0]


@pytest.mark.parametrize(
    ("toml", "place", "words"),
    [
        (b"", "boat.toml:1", "is empty"),
        (b"  \n# nothing\n", "boat.toml:1", "is missing"),
        (
            TOML.replace('"82 kg"', "82 kg").encode(),
            f"boat.toml:{line_of(chr(34) + '82 kg')}",
            "in quotation marks",
        ),
        (
            TOML.replace('"fresh"', "fresh").encode(),
            f"boat.toml:{line_of(chr(34) + 'fresh')}",
            "in quotation marks",
        ),
        (TOML.replace("[water]", "[water").encode(), f"boat.toml:{line_of('[water]')}", "is not TOML"),
        (
            TOML.replace("[[schedule.skin]]", "[schedule.skin]", 1).encode(),
            "boat.toml:",
            "[[name]] each time",
        ),
        (TOML.replace("demo", "d\u00e9mo").encode("latin-1"), "boat.toml:2", "not UTF-8"),
        (TOML.encode("utf-16"), "boat.toml:1", "not UTF-8"),
        (b"a = " + b"[" * 20000, "boat.toml:1", "nests too deep"),
        (b"a = " + b"9" * 20000, "boat.toml:1", "impossible number"),
        (b"a = 2020-99-99", "boat.toml:1", "is not"),
        (b"x" * 1_000_001, "boat.toml", "larger than 1 MB"),
    ],
)
def test_what_is_no_boat_file(tmp_path, toml, place, words):
    found = refused(tmp_path, toml)
    assert found[0].startswith(place) and any(words in m for m in found), found[0][:300]


def test_no_file_outside_the_folder_is_read(tmp_path):
    outside = write(tmp_path / "outside")
    folder = write(tmp_path / "inside")
    (folder / "offsets.csv").unlink()
    (folder / "offsets.csv").symlink_to(outside / "offsets.csv")
    assert "is a link that leaves" in refused_as_it_is(folder)
    (folder / "offsets.csv").unlink()
    (folder / "offsets.csv").symlink_to("offsets.csv")
    assert "points to itself" in refused_as_it_is(folder) or "does not exist" in refused_as_it_is(folder)
    (folder / "boat.toml").unlink()
    (folder / "boat.toml").symlink_to(outside / "boat.toml")
    assert "is a link that leaves" in refused_as_it_is(folder)


def refused_as_it_is(folder) -> str:
    with pytest.raises(BoatFileError) as caught:
        read_boat(folder)
    return str(caught.value)


def test_a_link_within_the_folder_is_fine(tmp_path):
    folder = write(tmp_path)
    (folder / "offsets.csv").rename(folder / "table.csv")
    (folder / "offsets.csv").symlink_to("table.csv")
    assert read_boat(folder).hull.table is not None


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="no named pipes on this system")
def test_a_pipe_is_not_waited_for(tmp_path):
    folder = write(tmp_path)
    (folder / "offsets.csv").unlink()
    os.mkfifo(folder / "offsets.csv")
    assert "not an ordinary file" in refused_as_it_is(folder)


def test_missing_folders_and_files(tmp_path):
    assert "does not exist" in refused_as_it_is(tmp_path / "none")
    assert "is missing in this folder" in refused_as_it_is(tmp_path)
    (tmp_path / "hull.stl").write_bytes(b"solid")
    assert "neither a folder nor a .toml file" in refused_as_it_is(tmp_path / "hull.stl")
    assert "a?b boat folder: does not exist" in refused_as_it_is("a\0b")


def test_more_mistakes_than_help_are_counted(tmp_path):
    many = TOML + "".join(f'[[consumable]]\nname = "x"\nquantity = {-i}\n' for i in range(300))
    found = refused(tmp_path, many)
    assert len(found) == 201
    assert "100 more mistakes" in found[-1]


def test_the_sample_itself_has_no_mistake(tmp_path):
    assert read_boat(write(tmp_path, boat_sample.TOML)).name == "Short kayak"
