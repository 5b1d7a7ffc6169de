"""A boat that uses every table and every kind of entry of boat.toml, to be spoilt by the tests of the
reader. All of it is invented."""

from __future__ import annotations

from pathlib import Path

TOML = """\
name = "Short kayak"
builder = "invented for the demo"     # free text keys: builder, notes, source
without = ["varnish"]
care = "careful"

[hull]
offsets = "offsets.csv"
units = "mm"
measured_to = "outside"
type = "decked"
design_displacement = "105 kg"
[hull.bow]
profile = [[0, 310], [40, 200], [180, 20]]
siding = "6 mm"
[hull.stern]
profile = [[3100, 300], [3060, 200], [2920, 25]]
[[opening]]
centre = "1.62 m"
length = "0.85 m"
width = "0.46 m"
coaming = "25 mm"
cover = "none"
[[hatch]]
centre = "2.5 m"
length = "200 mm"
width = "200 mm"
cover = "sealed"
[[bulkhead]]
position = "2.2 m"
wood = "okoume plywood"
thickness = "4 mm"
watertight = true
[[tank]]
from = "0.1 m"
to = "0.5 m"
inboard = "40 mm"
[[flotation]]
volume = "12 l"
at = ["0.6 m", "0 mm", "150 mm"]
[[flooding]]
name = "pump outlet"
at = ["1 m", "200 mm", "200 mm"]
[[appendage]]
name = "skeg"
outline = [[2500, 20], [2900, 22], [2900, -60]]
thickness = "6 mm"
wood = "okoume plywood"
[[load.paddler]]
name = "paddler"
mass = "82 kg"
posture = "legs forward"
seat_back = "1.86 m"
seat_height = "25 mm"
centre_height = ["0.23 m", "0.26 m", "0.30 m"]
centre_forward = ["0.22 m", "0.25 m", "0.28 m"]
[[load.gear]]
name = "lunch"
mass = "4 kg"
at = ["2.3 m", "0 mm"]
[water]
kind = "fresh"
[limits]
freeboard = "150 mm"
height_to_flooding = "100 mm"
flooding_heel = "20 deg"
gm = "0 mm"
trim = "25 mm"
lean = "30 mm"
[[schedule.planking]]
where = "hull"
kind = "strip"
wood = "western redcedar"
thickness = "1/4 in"
strip_width = "3/4 in"
edge = "bead and cove"
fairing_loss = { outside = "0.5 mm", inside = "0.3 mm" }
[[schedule.planking]]
band = ["0 mm", "60 mm"]
wood = "black walnut"
thickness = "1/4 in"
[[schedule.skin]]
where = "hull outside"
cloth = "plain glass 6 oz/yd2"
layers = 1
fill_coats = 3
[[schedule.skin]]
where = "hull outside"
coating = "varnish"
coats = 5
[[schedule.skin]]
where = "bottom"
cloth = "plain glass 6 oz/yd2"
below = "60 mm"
[[schedule.run]]
along = "bow stem"
kind = "lamination"
wood = "western redcedar"
plies = 4
ply_thickness = "1/8 in"
depth = "3/4 in"
[[schedule.run]]
along = "coaming"
kind = "cord"
mass_per_length = "8 g/m"
[[schedule.piece]]
name = "seat"
mass = "0.9 kg"
at = ["1.65 m", "0 mm", "40 mm"]
[builds.clamped-sheer]
hours = 160
[[builds.clamped-sheer.run]]
along = "sheer"
kind = "lamination"
wood = "shop spruce"
plies = 4
ply_thickness = "5 mm"
depth = "18 mm"
side = "inside"
[builds.taped-seam]
[[builds.taped-seam.run]]
along = "sheer"
kind = "fillet"
radius = "10 mm"
[[builds.taped-seam.run]]
along = "sheer"
kind = "tape"
side = "inside"
cloth = "bias glass 9 oz/yd2"
width = "75 mm"
layers = 2
[[material]]
name = "shop spruce"
kind = "wood"
length = "500 mm"
width = "20 mm"
thickness = "6 mm"
mass = "26 g"
like = "Sitka spruce"
price = 12.5
currency = "crowns"
[[weighed]]
stage = "hull shell outside"
on = ["seat"]
mass = "30.1 kg"
build = "clamped-sheer"
on_forms = true
forms_mass = "21 kg"
[[afloat]]
freeboards = [
    { position = "0.5 m", freeboard = "200 mm" },
    { position = "2.5 m", freeboard = "190 mm", side = "port" },
]
inclining = [{ mass = "5 kg", distance = "200 mm", heel = "2.5 deg" }]
load = [{ name = "weights", mass = "80 kg", at = ["1.6 m", "0 mm", "200 mm"] }]
[[consumable]]
name = "gloves"
quantity = "1 box"
[order]
stock_length = "2.4 m"
joint = "scarf"
strip_waste = "18 %"
resin_packs = ["1 kg", "6 kg"]
"""

TABLE = """\
measure,line,at,0,1,2,3,4,5,6
position,,,0,250,750,1400,2050,2700,3100
height,sheer,,310,290,265,250,255,275,300
half-breadth,sheer,,3,90,230,305,270,140,0
height,keel,,,18,5,0,3,15,
half-breadth,waterline,50,,30,150,230,190,60,
half-breadth,waterline,150,1,70,210,295,255,115,
height,deck,,310,320,330,330,310,300,300
shape,keel,,,vee,round,round,round,vee,
"""


def write(folder: Path, toml: str | bytes = TOML, table: str | bytes = TABLE) -> Path:
    """The folder with these two files in it."""
    folder.mkdir(exist_ok=True)
    (folder / "boat.toml").write_bytes(toml.encode() if isinstance(toml, str) else toml)
    (folder / "offsets.csv").write_bytes(table.encode() if isinstance(table, str) else table)
    return folder
