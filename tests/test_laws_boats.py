"""The laws of `laws` on every model and on a few random boats; thousands of boats are tried by
tests/fuzz/random_laws.py."""

from __future__ import annotations

from pathlib import Path

import boats
import laws
import pytest

from hullview.boat.reader import read_boat
from hullview.shape.assemble import build_hull
from hullview.shape.body import Body

MODELS = sorted(p.parent for p in (Path(__file__).parents[1] / "models").glob("*/boat.toml"))
DECKED_AND_CHINED, OPEN_WITH_TRANSOM = 100, 107


@pytest.fixture(scope="module", params=[m for m in MODELS if m.name != "wigley"], ids=lambda m: m.name)
def model(request):
    return read_boat(request.param)


@pytest.fixture(scope="module", params=[DECKED_AND_CHINED, OPEN_WITH_TRANSOM])
def random_boat(request):
    return laws.fitted_out(boats.random_boat(request.param))


@pytest.mark.parametrize("law", laws.LAWS.values(), ids=laws.LAWS)
def test_models(model, law, tmp_path):
    law(model, tmp_path)


@pytest.mark.parametrize("law", laws.LAWS.values(), ids=laws.LAWS)
def test_random_boats(random_boat, law, tmp_path):
    law(random_boat, tmp_path)


@pytest.mark.parametrize(
    "seed", [302, 335], ids=["a chine that ends at the stem's foot", "skins that face apart at a stem"]
)
def test_boats_that_once_hung_on_their_last_bit(seed, tmp_path):
    laws.another_datum(laws.fitted_out(boats.random_boat(seed)), tmp_path)


def test_a_station_amidships_does_not_move_where_a_chine_ends(tmp_path):
    # Half a millimetre there sent the chine of a flat bottom, carried on to the stem, under its foot, and it
    # was given another end.
    for seed in (1042, 1643):
        laws.a_station_more(laws.fitted_out(boats.random_boat(seed)), tmp_path)


def test_a_decked_boat_is_cut_to_port_as_to_starboard(tmp_path):
    # The lid of its cockpit was split along other diagonals to port: its centre lay 3e-9 m off the middle,
    # and a tender boat heeled by it.
    boat = laws.fitted_out(boats.random_boat(1102))
    hull = build_hull(boat)
    assert abs(Body(hull.vertices, hull.faces).centroid[1]) < 1e-15
    laws.the_other_hand(boat, tmp_path)


@pytest.mark.parametrize("seed", [1562, 1666, 2287])
def test_a_swamped_boat_that_is_as_good_as_neutral_comes_to_rest(seed, tmp_path):
    # Light as cork and full of water, its stiffness was some -0.005 mm, or the water stood at a lid that bent
    # it within a millionth: the walk went on for 600 cuts and gave up.
    boat = read_boat(laws.as_folder(laws.fitted_out(boats.random_boat(seed)), tmp_path))
    assert laws.carry(boat).swamped is not None
