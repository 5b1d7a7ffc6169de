"""The live window keeps up with a hand: the ratio to a naive clip in the same run, since the machine may
be slow."""

import pytest

pytestmark = pytest.mark.slow

refloat = pytest.importorskip("benchmarks.refloat")


def test_a_whole_refloat_costs_no_more_than_one_naive_clip():
    pytest.importorskip("pyvista")
    faces, own, clip = refloat.measure()
    assert 15_000 < faces < 30_000
    assert own / clip < 1.0
