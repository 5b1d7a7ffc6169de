"""The new boat with every key of its file taken into use: one folder that goes through all that the
program can weigh, cut and order."""

from __future__ import annotations

import re
from pathlib import Path

from hullview.boat.new_boat import write_new

OTHERWISE = {
    "#opening = ...": "",
    "#watertight = true": (
        'watertight = true\n[[bulkhead]]\nposition = "0.75 m"\ncloth = "plain glass 6 oz/yd2"\nlayers ='
        ' 2\nresin = "epoxy"'
    ),
    "#count = 2                         # several of a kind": (
        """count = 2
[[schedule.piece]]
name = "backrest"
wood = "white ash"
size = ["20 mm", "300 mm", "60 mm"]
at = ["1.95 m", "30 mm", "140 mm"]
[[schedule.run]]
along = "sheer"
kind = "cord"
mass_per_length = "8 g/m"
[[schedule.run]]
along = "keel"
kind = "glue line"
depth = "12 mm"
thickness = "0.3 mm"
[[schedule.run]]
along = "hatch"
kind = "tape"
cloth = "glass tape 6 oz/yd2"
width = "25 mm"
layers = 1
"""
    ),
}
"""Lines of the template and what stands in their place here: what it only speaks of."""


def whole_boat(folder: Path) -> Path:
    """Write it in a folder that is not there yet."""
    write_new(folder)
    file = folder / "boat.toml"
    text = file.read_text(encoding="utf-8")
    for old, new in OTHERWISE.items():
        assert text.count(old) == 1, old
        text = text.replace(old, new)
    file.write_text(re.sub(r"(?m)^#(?=[\[a-z])", "", text), encoding="utf-8")
    return folder
