"""The main job as a whole process costs at most three times the import of numpy and scipy alone."""

import pytest

startup = pytest.importorskip("benchmarks.startup")


@pytest.mark.slow
def test_carry_as_a_process_beside_the_bare_imports():
    bare, carry = startup.measured()
    assert carry <= startup.MOST * bare
