"""What a light report costs beside the answer it tells: a ratio within one process, warm, in CPU time."""

from __future__ import annotations

from pathlib import Path

import pytest
from processor_time import cpu_seconds

from hullview.boat.reader import read_boat
from hullview.study import carry

pytestmark = [pytest.mark.slow, pytest.mark.timeout(600)]

MODELS = Path(__file__).parents[2] / "models"


def test_a_light_report_beside_the_answer():
    """8.3 when each part of the page worked out its own; 3 is wanted. What is left is the picture, five
    drawings and the share of builds."""
    from hullview.show.page import page

    boat = read_boat(MODELS / "short-kayak")
    assert cpu_seconds(lambda: page(boat, light=True)) <= 6 * cpu_seconds(lambda: carry(boat))
