"""Speed as ratios within one run, never as times: the machine may be slow, the peers are slow with it."""

import numpy as np
import pytest

pytestmark = [pytest.mark.slow, pytest.mark.timeout(600)]

pytest.importorskip("manifold3d")
pytest.importorskip("shapely", reason="trimesh needs it to cap a slice")
measure = pytest.importorskip("benchmarks.measure")


@pytest.fixture(scope="module")
def results():
    return {faces: measure.measure(faces) for faces in measure.SIZES}


@pytest.mark.parametrize("faces, times", [(5_000, 5), (50_000, 20), (500_000, 60)])
def test_a_cut_beside_the_fastest_peer(results, faces, times):
    assert results[faces].fastest / results[faces].cut >= times


def test_a_cut_grows_slower_than_the_root_of_the_mesh(results):
    small, large = results[5_000], results[500_000]
    assert np.log(large.cut / small.cut) / np.log(large.faces / small.faces) <= 0.5


def test_volumes_are_those_of_the_naive_clip(results):
    assert max(r.disagreement for r in results.values()) < 1e-12


def test_a_whole_curve_costs_at_most_25_cuts_of_the_fastest_peer(results):
    assert results[50_000].curve / results[50_000].fastest <= 25


def test_the_index_costs_at_most_5_cuts_and_300_bytes_a_face(results):
    for r in results.values():
        assert r.build / r.fastest <= 5
        assert r.bytes_per_face < 300


def test_refloating_costs_less_than_two_clips_of_every_face():
    again = measure.refloat()
    assert again.refloat / again.naive < 2
