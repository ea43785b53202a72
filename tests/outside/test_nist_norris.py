"""Straight line, NIST StRD "Norris": certified values (read; the NIST file also ships inside scipy's own tests).

Model y = b0 + b1 x, 36 points; residual sd by 34 degrees of freedom. statsmodels' OLS agrees.
"""

from __future__ import annotations

import math

import numpy as np
import pytest

from geometry.adjustment import adjust

POINTS = """
0.2 0.1; 337.4 338.8; 118.2 118.1; 884.6 888.0; 10.1 9.2; 226.5 228.1; 666.3 668.5; 996.3 998.5; 448.6 449.1;
777.0 778.9; 558.2 559.2; 0.4 0.3; 0.6 0.1; 775.5 778.1; 666.9 668.8; 338.0 339.3; 447.5 448.9; 11.6 10.8;
556.0 557.7; 228.1 228.3; 995.8 998.0; 887.6 888.8; 120.2 119.6; 0.3 0.3; 0.3 0.6; 556.8 557.6; 339.1 339.3;
887.2 888.0; 999.0 998.5; 779.0 778.9; 11.1 10.2; 118.3 117.6; 229.2 228.9; 669.1 668.4; 448.9 449.2; 0.5 0.2
"""
X, Y = np.array([point.split() for point in POINTS.split(";")], float).T


@pytest.fixture(scope="module")
def line():
    rows = np.stack([np.ones_like(X), X], axis=1)
    return adjust(lambda b: (rows @ b, rows), np.zeros(2), Y, np.ones_like(Y))


def test_all_36_points_are_there():
    assert X.size == 36


def test_the_line_has_the_certified_coefficients(line):
    assert line.estimate[0] == pytest.approx(-0.262323073774029, rel=1e-9)
    assert line.estimate[1] == pytest.approx(1.00211681802045, rel=1e-11)


def test_the_scatter_is_the_certified_one(line):
    assert line.degrees_of_freedom == 34
    assert math.sqrt(line.variance_factor) == pytest.approx(0.884796396144373, rel=1e-8)


def test_the_spreads_scaled_by_the_scatter_are_the_certified_ones(line):
    spreads = np.sqrt(np.diag(line.covariance) * line.variance_factor)
    assert spreads[0] == pytest.approx(0.232818234301152, rel=1e-8)
    assert spreads[1] == pytest.approx(0.429796848199937e-3, rel=1e-8)


def test_a_slipped_digit_in_one_point_would_show(line):
    # 888.0 typed as 880.8 at 884.6: the certified slope is missed by a thousand times the allowance.
    rows = np.stack([np.ones_like(X), X], axis=1)
    slipped = np.where(X == 884.6, 880.8, Y)
    other = adjust(lambda b: (rows @ b, rows), np.zeros(2), slipped, np.ones_like(Y))
    assert other.estimate[1] != pytest.approx(1.00211681802045, rel=1e-8)
