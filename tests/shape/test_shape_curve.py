"""Curves through points: closed forms of circle, ellipse and straight line, corners, and no swinging out
beside a straight run."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.special import ellipe

from hullview.shape.curve import chords, through


def _quarter(n: int, a: float = 1.0, b: float = 1.0, level: bool = True) -> np.ndarray:
    """Points of a quarter ellipse from the bottom (0, 0) to the side (a, b); one-sided spacing, so that
    nothing is symmetric."""
    t = np.linspace(0.0, 1.0, n) ** 1.2 * np.pi / 2
    return np.column_stack([a * np.sin(t), b - b * np.cos(t)])


def test_quarter_circle_has_its_length_and_is_level_at_the_centre():
    curve = through(_quarter(9), level_start=True)
    assert curve.length == pytest.approx(np.pi / 2, rel=2e-5)
    first = curve.samples[1] - curve.samples[0]
    assert (
        abs(first[1] / first[0]) < 0.02
    )  # a free spline through the same points rises at 0.03 and more where it starts
    assert np.hypot(curve.samples[:, 0], 1 - curve.samples[:, 1]) == pytest.approx(1.0, abs=2e-4)


def test_quarter_ellipse_has_the_length_of_the_elliptic_integral():
    a, b = 0.31, 0.19
    expected = a * ellipe(1 - (b / a) ** 2)
    assert through(_quarter(12, a, b), level_start=True).length == pytest.approx(expected, rel=3e-5)


def test_length_converges_as_a_cubic_spline_does():
    """Four times as many points, and the error falls by well over an order more than linear interpolation
    would give (16)."""
    errors = [abs(through(_quarter(n), level_start=True).length - np.pi / 2) for n in (6, 21)]
    assert errors[1] < errors[0] / 60


def test_straight_line_stays_straight_with_unequal_steps():
    p = np.array([[0.0, 0.0], [0.1, 0.05], [0.4, 0.2], [0.5, 0.25], [1.0, 0.5]])
    curve = through(p)
    assert np.abs(curve.samples[:, 0] / 2 - curve.samples[:, 1]).max() < 1e-12
    assert curve.length == pytest.approx(np.hypot(1.0, 0.5), rel=1e-12)
    assert curve.marks == pytest.approx(chords(p))


def test_points_at_given_arc_lengths_lie_at_those_arc_lengths():
    curve = through(_quarter(9), level_start=True)
    arcs = np.array([0.0, 0.2, 0.33, 1.0, curve.length])
    p = curve.at(arcs)
    assert np.hypot(p[:, 0], 1 - p[:, 1]) == pytest.approx(1.0, abs=2e-4)
    assert np.arcsin(np.clip(p[:, 0], -1, 1)) == pytest.approx(arcs, abs=3e-3)
    assert curve.at(curve.marks) == pytest.approx(_quarter(9), abs=1e-6)


def test_a_corner_breaks_the_curve_and_is_passed_exactly():
    p = np.array([[0.0, 0.0], [0.3, 0.02], [0.5, 0.06], [0.55, 0.2], [0.58, 0.4]])
    curve = through(p, corners=(2,))
    i = int(np.argmin(np.linalg.norm(curve.samples - p[2], axis=1)))
    before, after = curve.samples[i] - curve.samples[i - 1], curve.samples[i + 2] - curve.samples[i + 1]
    turned = np.degrees(np.arctan2(after[1], after[0]) - np.arctan2(before[1], before[0]))
    assert turned > 50
    assert np.linalg.norm(curve.samples - p[2], axis=1).min() < 1e-12


@pytest.mark.parametrize("radius", [0.15, 0.08, 0.05])
@pytest.mark.parametrize("step", [0.0, 0.001])
def test_a_flat_floor_beside_a_tight_bilge_keeps_flat(radius: float, step: float):
    """Floor to 0.3 m off the centre line, a quarter circle, a plumb side: the curve stays inside the true
    section by what the table leaves open, and outside it by no more than the rounding. A free spline dips 2
    to 4 mm under the floor here."""
    floor, top = 0.3, 0.4

    def side(z: float) -> float:
        return floor + (np.sqrt(radius**2 - (radius - z) ** 2) if z < radius else radius)

    p = np.array(
        [
            [0, 0],
            [0.1, 0],
            [0.2, 0],
            [0.3, 0],
            *([side(z), z] for z in (radius / 2, 0.1, 0.2, 0.3)),
            [floor + radius, top],
        ]
    )
    p = np.unique(np.round(p / step) * step if step else p, axis=0)
    p = p[np.lexsort((p[:, 1], np.arctan2(p[:, 0], top - p[:, 1])))]
    samples = through(p, level_start=True).samples
    assert samples[:, 1].min() > -1e-4
    assert samples[:, 0].max() < floor + radius + 1e-3 + step / 2


def test_a_straight_topside_above_a_round_bottom_stays_straight():
    t = np.linspace(0, np.pi / 2, 5)
    bottom = np.column_stack([0.3 * np.sin(t), 0.3 - 0.3 * np.cos(t)])
    p = np.concatenate([bottom, [[0.3, 0.36], [0.3, 0.45], [0.3, 0.5]]])
    samples = through(p, level_start=True).samples
    above = samples[samples[:, 1] > 0.36]
    assert np.abs(above[:, 0] - 0.3).max() < 1e-4
    assert samples[:, 0].max() < 0.3 + 7e-4


def test_a_hollow_section_keeps_its_inflection():
    """Data that turn both ways are followed, not flattened: a flared bow section, hollow below and full
    above."""
    z = np.array([0.0, 0.05, 0.1, 0.17, 0.25, 0.35, 0.45])
    p = np.column_stack([0.2 * (z / 0.45) ** 2.2 + 0.04 * np.sin(np.pi * z / 0.45), z])
    fine = np.linspace(0, 0.45, 200)
    truth = 0.2 * (fine / 0.45) ** 2.2 + 0.04 * np.sin(np.pi * fine / 0.45)
    samples = through(p).samples
    assert np.abs(np.interp(fine, samples[:, 1], samples[:, 0]) - truth).max() < 4e-4


@pytest.mark.parametrize("n", [2, 3, 4, 5, 9, 80])
def test_splines_agree_with_an_independent_one(n):
    """The second way: scipy's spline with the same ends, at unequal knots, in and beyond their range."""
    from scipy.interpolate import CubicSpline

    from hullview.shape.spline import through_points

    rng = np.random.default_rng(n)
    x, y = np.cumsum(rng.uniform(0.1, 2.0, n)), rng.normal(size=(n, 2, 3))
    at = np.linspace(x[0] - 0.3, x[-1] + 0.3, 41)
    expected = CubicSpline(x, y, bc_type="not-a-knot" if n > 2 else "natural")(at)
    assert through_points(x, y)(at) == pytest.approx(expected, abs=1e-10)


def test_two_offsets_side_by_side_do_not_turn_a_section_by_their_rounding():
    """A quarter circle of 300 mm, and on it a pair 6 mm apart, a quarter of a millimetre off it either way: 5
    degrees between the two. The section keeps within 4 degrees of the circle's direction and half a
    millimetre of both; the same pair 3 mm off is followed."""
    from hullview.shape.sections import StationPoints, _off, make_section

    def direction_missed(off: float) -> tuple[float, float]:
        angle = np.radians(np.array([0, 20, 45, 46.2, 68, 90]))
        r = 0.3 + np.array([0, 0, -off, off, 0, 0])
        side = np.column_stack([r * np.sin(angle), 0.3 - r * np.cos(angle)])
        curve = make_section(StationPoints(1.0, side, {}, None, "round", "smooth"), (), np.empty(0)).side
        step = np.diff(curve.samples, axis=0)
        middle = (curve.samples[1:] + curve.samples[:-1]) / 2
        way = np.degrees(np.arctan2(step[:, 1], step[:, 0]) - np.arctan2(middle[:, 0], 0.3 - middle[:, 1]))
        return float(np.abs(way).max()), max(_off(curve, p) for p in side)

    turned, off = direction_missed(0.00025)
    assert turned < 4
    assert off < 0.0005
    turned, off = direction_missed(0.003)
    assert turned > 20
    assert off < 0.0005
