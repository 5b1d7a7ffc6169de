"""What the fuzzers in tests/fuzz found, each as the smallest folder that shows it."""

from __future__ import annotations

from pathlib import Path

import pytest

from hullview.boat.reader import read_boat
from hullview.errors import BoatFileError, ShapeError
from hullview.study import carry

MODELS = Path(__file__).parents[1] / "models"


def spoilt(tmp_path: Path, model: str, *changes: tuple[str, str]) -> Path:
    """A model with texts changed in its two files."""
    for name in ("boat.toml", "offsets.csv"):
        text = (MODELS / model / name).read_text()
        for old, new in changes:
            text = text.replace(old, new, 1)
        (tmp_path / name).write_text(text)
    return tmp_path


def mistakes(folder: Path) -> list[str]:
    with pytest.raises(BoatFileError) as refused:
        read_boat(folder)
    return [str(m) for m in refused.value.mistakes]


def test_a_sheer_under_the_keel_is_refused_at_its_cell(tmp_path):
    # It made a mesh that is inside out, and the message spoke of faces.
    found = mistakes(spoilt(tmp_path, "flat-skiff", ("height,sheer,,560,514", "height,sheer,,560,10")))
    assert found[0].startswith("offsets.csv row 3 column 5 height sheer at station 1 = 10 mm: must lie above the keel")


def test_breadth_under_the_keel_is_refused_at_its_cell(tmp_path):
    text = (MODELS / "short-kayak" / "offsets.csv").read_text()
    keel = next(line for line in text.split("\n") if line.startswith("height,keel"))
    raised = ",".join(c if i < 3 or not c else str(int(c) + (60 if i == 10 else 0)) for i, c in enumerate(keel.split(",")))
    found = mistakes(spoilt(tmp_path, "short-kayak", (keel, raised)))
    assert any("this waterline lies below the keel" in m and "column 11" in m for m in found)


@pytest.mark.parametrize("point, says", [("73420, 112", "lies 73.4 m aft of the datum"), ("3420, 3112", "lies at a height of 3.11 m")])
def test_a_profile_far_from_its_end_is_refused_at_its_point(tmp_path, point, says):
    # A digit too many made a boat 73 m long, or one inside out.
    folder = spoilt(tmp_path, "flat-skiff")
    text = (folder / "boat.toml").read_text()
    stern = text.index("[hull.stern]")
    (folder / "boat.toml").write_text(text[:stern] + text[stern:].replace("3420, 112", point, 1))
    assert any("hull.stern.profile[2]" in m and says in m for m in mistakes(folder))


def test_a_refusal_after_reading_names_the_file_too(tmp_path):
    folder = spoilt(tmp_path, "short-kayak", ('width = "0.46 m"', 'width = "1.2 m"'))
    with pytest.raises(ShapeError, match=r"^boat\.toml: coaming 1: reaches past the edge of the deck"):
        carry(read_boat(folder))
