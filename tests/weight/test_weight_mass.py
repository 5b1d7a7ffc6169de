"""Masses added: centre and inertia of a brick cut in two, off centre, are those of the whole brick."""

from __future__ import annotations

import numpy as np
import pytest

from hullview.weight.mass import Mass, total


def brick(mass: float, size: np.ndarray, centre: np.ndarray) -> Mass:
    """A solid brick: m (b2 + c2) / 12 about each axis."""
    squares = size**2
    return Mass(mass, centre, np.diag(mass / 12 * (squares.sum() - squares)))


def test_a_brick_cut_in_unequal_parts():
    size, corner = np.array([1.2, 0.5, 0.3]), np.array([0.7, -0.2, 0.1])
    cut = 0.35
    first = brick(8.0 * cut, size * [cut, 1, 1], corner + size * [cut, 1, 1] / 2)
    second = brick(8.0 * (1 - cut), size * [1 - cut, 1, 1], corner + size * [1 + cut, 1, 1] / 2)
    whole = brick(8.0, size, corner + size / 2)
    for found in (total((first, second)), second + first):
        assert found.mass == pytest.approx(8.0, rel=1e-14) and found.centre == pytest.approx(
            whole.centre, rel=1e-13
        )
        assert found.inertia == pytest.approx(whole.inertia, abs=1e-13)


def test_masses_on_a_slant_have_products_of_inertia():
    found = total((Mass(1.0, np.array([1.0, 2.0, 3.0])), Mass(1.0, np.array([-1.0, -2.0, -3.0]))))
    assert found.inertia == pytest.approx(
        np.array([[26.0, -4.0, -6.0], [-4.0, 20.0, -12.0], [-6.0, -12.0, 10.0]])
    )


def test_ranges_add_and_nothing_is_nothing():
    found = total((Mass(2.0, np.zeros(3), low=1.5, high=3.0), Mass(1.0, np.ones(3))))
    assert (found.low, found.high) == (2.5, 4.0)
    assert total(()).mass == 0.0 and total((Mass(0.0, np.ones(3)),)).centre == pytest.approx([0, 0, 0])
