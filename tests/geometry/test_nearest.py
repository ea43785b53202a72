"""Nearest places of bars and wheels, against closed cases and a plain search."""

import numpy as np
import pytest
from scipy.optimize import minimize

from geometry.nearest import bars_apart, of_lines, of_wheel, off_wheel


def apart(one, two, other, far, thick=0.0):
    ends = [np.array(end, float)[None] for end in (one, two, other, far)]
    shares = of_lines(*(end[0] for end in ends))
    return float(bars_apart(*ends, shares, np.array(thick))[0])


@pytest.mark.parametrize(
    ("bar", "other", "distance"),
    [
        # By hand: crossing at right angles 3 apart; end to end 3-4-5; parallel beside each other; one a point.
        (((-1, 0, 0), (1, 0, 0)), ((0, -1, 3), (0, 1, 3)), 3.0),
        (((0, 0, 0), (1, 0, 0)), ((4, 4, 0), (9, 4, 0)), 5.0),
        (((0, 0, 0), (10, 0, 0)), ((2, 2, 0), (7, 2, 0)), 2.0),
        (((0, 0, 0), (10, 0, 0)), ((12, 0, 0), (17, 0, 0)), 2.0),
        (((0, 0, 0), (10, 0, 0)), ((17, 0, 0), (12, 0, 0)), 2.0),
        (((5, 7, 0), (5, 7, 0)), ((0, 0, 0), (10, 0, 0)), 7.0),
        (((0, 0, 0), (10, 0, 0)), ((5, 7, 0), (5, 7, 0)), 7.0),
        (((1, 2, 3), (1, 2, 3)), ((1, 2, 5), (1, 2, 5)), 2.0),
    ],
)
def test_lines_are_as_far_apart_as_by_hand(bar, other, distance):
    assert apart(*bar, *other) == pytest.approx(distance, abs=1e-12)
    assert apart(*other, *bar) == pytest.approx(distance, abs=1e-12)
    assert apart(*bar, *other, thick=1.5) == pytest.approx(distance - 1.5, abs=1e-12)


def test_random_lines_agree_with_a_search():
    rng = np.random.default_rng(4)
    for _ in range(40):
        ends = rng.uniform(-1.0, 1.0, (4, 3))

        def off(shares, ends=ends):
            one, two, other, far = ends
            return np.linalg.norm(one + shares[0] * (two - one) - other - shares[1] * (far - other))

        best = min(minimize(off, start, bounds=[(0, 1), (0, 1)]).fun for start in ((0.1, 0.9), (0.9, 0.1), (0.5, 0.5)))
        assert apart(*ends) == pytest.approx(best, abs=1e-6)


@pytest.mark.parametrize(
    ("bar", "other"),
    [
        (((-1, 0, 0), (1, 0, 0)), ((0, -1, 0), (0, 1, 0))),
        (((0, 0, 0), (10, 0, 0)), ((5, 0, 0), (20, 0, 0))),
        (((0, 0, 0), (0, 0, 0)), ((0, 0, 0), (0, 0, 0))),
        (((0, 0, 0), (0, 0, 0)), ((-1, 0, 0), (1, 0, 0))),
    ],
)
def test_bars_whose_lines_cross_overlap_by_their_whole_thickness(bar, other):
    assert apart(*bar, *other, thick=40.0) == pytest.approx(-40.0, abs=1e-9)


def test_a_crossing_bar_that_is_lifted_opens_the_gap_one_to_one():
    one, two = np.array([[-1.0, 0, 0]]), np.array([[1.0, 0, 0]])
    other, far = np.array([[0, -1.0, 1e-30j]]), np.array([[0, 1.0, 1e-30j]])
    shares = of_lines(one[0], two[0], other[0].real, far[0].real)
    gap = bars_apart(one, two, other, far, shares, np.array(2.0))
    assert abs(gap[0].imag) == pytest.approx(1e-30)


AXLE, CENTRE = np.array([0.0, 1.0, 0.0]), np.zeros(3)


@pytest.mark.parametrize(
    ("point", "distance"),
    [
        # By hand: wheel of radius 400, 300 wide, spindle along y.
        ((500.0, 0.0, 0.0), 100.0),
        ((0.0, 200.0, 0.0), 50.0),
        ((430.0, 190.0, 0.0), 50.0),
        ((0.0, 0.0, 0.0), -150.0),
        ((390.0, 0.0, 0.0), -10.0),
        ((0.0, -145.0, 100.0), -5.0),
    ],
)
def test_a_point_is_as_far_from_a_wheel_as_by_hand(point, distance):
    assert off_wheel(np.array(point), CENTRE, AXLE, np.array(400.0), 150.0) == pytest.approx(distance, abs=1e-9)


def test_a_bar_is_nearest_to_a_wheel_where_a_search_finds_it():
    rng = np.random.default_rng(9)
    one, two = rng.uniform(-900.0, 900.0, (2, 60, 3))
    share = of_wheel(one, two, CENTRE, AXLE, np.array(400.0), 150.0)
    grid = np.linspace(0.0, 1.0, 4001)[:, None, None]
    searched = off_wheel(one + grid * (two - one), CENTRE, AXLE, np.array(400.0), 150.0).min(axis=0)
    found = off_wheel(one + share[:, None] * (two - one), CENTRE, AXLE, np.array(400.0), 150.0)
    assert np.all(found <= searched + 1e-9) and np.allclose(found, searched, atol=0.2)
    assert (found < 0).any() and (found > 0).any()
