"""Each result told once: no figure stands in one writer and not in another, in mm and in inches."""

from __future__ import annotations

import functools
from pathlib import Path

import pytest
from writers import check_every_writer

from hullview import study
from hullview.boat.reader import read_boat
from hullview.tell.floating import floating_telling

MODELS = Path(__file__).parents[2] / "models"
UNITS = ("metric", "imperial")


@functools.cache
def craft(name):
    return study.launch(read_boat(MODELS / name))


@pytest.mark.parametrize("units", UNITS)
@pytest.mark.parametrize("name", ["short-kayak", "pulling-dinghy"])
def test_float(name, units):
    check_every_writer(floating_telling(study.afloat(craft(name)), name, units))
