"""Two levelling networks, adjusted by GNU Gama (gama-local 2.33) and by statsmodels.

The first: Ghilani, Adjustment Computations, 5th ed., Ex. 12.6, inputs as in GNU Gama's own test collection; answers by
gama-local, scipy least_squares and statsmodels (rows divided by sd), which agree. The second: GNU Gama's published
sample output, a loop observed there and back.
"""

from __future__ import annotations

import math

import numpy as np
import pytest

from geometry.adjustment import adjust


def level(lines, fixed, spreads):
    """Heights of the free points, mm relative to the fixed one, from (from, to, difference m)."""
    names = sorted({end for line in lines for end in line[:2]} - {fixed})
    rows = np.array([[(name == to) - (name == start) for name in names] for start, to, _ in lines], float)
    read = np.array([1000.0 * difference for *_, difference in lines])
    return names, adjust(lambda x: (rows @ x, rows), np.zeros(len(names)), read, np.array(spreads, float))


GHILANI = [
    ("A", "B", 10.509),
    ("B", "C", 5.360),
    ("C", "D", -8.523),
    ("D", "A", -7.348),
    ("B", "D", -3.167),
    ("A", "C", 15.881),
]


@pytest.fixture(scope="module")
def ghilani():
    return level(GHILANI, "A", (6, 4, 5, 3, 4, 12))[1]


def test_the_heights_are_those_of_three_other_programs(ghilani):
    heights = 437.596 + ghilani.estimate / 1000.0
    assert heights == pytest.approx(np.array([448.108712, 453.468468, 444.943605]), abs=5e-7)


def test_the_covariance_is_theirs_in_every_corner(ghilani):
    expected = [[12.42470, 9.04285, 5.32865], [9.04285, 16.38982, 5.71492], [5.32865, 5.71492, 7.31066]]
    assert ghilani.covariance == pytest.approx(np.array(expected), abs=1e-5)
    scaled = np.sqrt(np.diag(ghilani.covariance) * ghilani.variance_factor)
    assert scaled == pytest.approx(np.array([2.2953, 2.6363, 1.7607]), abs=1e-4)


def test_residuals_redundancies_and_w_are_theirs_line_by_line(ghilani):
    residuals = [3.7117, -0.2439, -1.8625, 0.3947, 1.8936, -8.5322]
    shares = [0.654869, 0.329448, 0.509175, 0.187705, 0.432621, 0.886182]
    w = [0.7644, -0.1063, -0.5220, 0.3037, 0.7197, -0.7553]
    assert ghilani.residual == pytest.approx(np.array(residuals), abs=1e-4)
    assert ghilani.redundancy == pytest.approx(np.array(shares), abs=1e-6)
    assert ghilani.w == pytest.approx(np.array(w), abs=1e-4)
    assert ghilani.redundancy.sum() == pytest.approx(3.0, abs=1e-12)


def test_the_sum_of_squares_and_the_factor_are_theirs(ghilani):
    assert ghilani.chi2 == pytest.approx(1.272123, abs=1e-6)
    assert ghilani.degrees_of_freedom == 3
    assert math.sqrt(ghilani.variance_factor) == pytest.approx(0.651184, abs=1e-6)


LOOP = [
    ("P1", "P4", -1.225),
    ("P4", "P3", -0.848),
    ("P3", "P2", 1.342),
    ("P2", "P1", 0.720),
    ("P1", "P2", -0.724),
    ("P2", "P3", -1.335),
    ("P3", "P4", 0.842),
    ("P4", "P1", 1.231),
]


def test_the_loop_there_and_back_comes_out_as_published():
    names, loop = level(LOOP, "P1", [5.0] * 8)
    assert names == ["P2", "P3", "P4"]
    assert 1000.0 + loop.estimate / 1000.0 == pytest.approx(np.array([999.274875, 997.933250, 998.775125]), abs=1e-9)
    assert np.sqrt(np.diag(loop.covariance)) == pytest.approx(np.array([3.0619, 3.5355, 3.0619]), abs=1e-4)
    assert loop.chi2 * 25.0 == pytest.approx(146.625, abs=1e-9)
    assert 5.0 * math.sqrt(loop.variance_factor) == pytest.approx(5.4153, abs=1e-4)
    assert loop.redundancy == pytest.approx(np.full(8, 0.625), abs=1e-12)
    worst = int(np.abs(loop.w).argmax())
    assert LOOP[worst][:2] == ("P2", "P3")
    assert abs(loop.w[worst]) == pytest.approx(1.676, abs=1e-3)
