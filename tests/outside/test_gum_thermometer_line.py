"""GUM (JCGM 100:2008) H.3, a thermometer's calibration line: data and rounded results as restated in the GTC
documentation, more digits recomputed with statsmodels. Prediction at 30 degrees: -0.1494, spread 0.0041.
"""

from __future__ import annotations

import math

import numpy as np
import pytest

from geometry.adjustment import adjust

T = np.array([21.521, 22.012, 22.512, 23.003, 23.507, 23.999, 24.513, 25.002, 25.503, 26.010, 26.511]) - 20.0
B = np.array([-0.171, -0.169, -0.166, -0.159, -0.164, -0.165, -0.156, -0.157, -0.159, -0.161, -0.160])


@pytest.fixture(scope="module")
def line():
    rows = np.stack([np.ones_like(T), T], axis=1)
    return adjust(lambda y: (rows @ y, rows), np.zeros(2), B, np.ones_like(B))


def test_the_line_and_its_spreads(line):
    spreads = np.sqrt(np.diag(line.covariance) * line.variance_factor)
    assert line.estimate == pytest.approx(np.array([-0.17120379, 0.0021826977]), abs=1e-8)
    assert spreads == pytest.approx(np.array([0.0028776, 0.00066794]), rel=2e-5)
    assert math.sqrt(line.variance_factor) == pytest.approx(0.0034976, abs=1e-7)


def test_the_two_are_tied(line):
    correlation = line.covariance[0, 1] / math.sqrt(line.covariance[0, 0] * line.covariance[1, 1])
    assert correlation == pytest.approx(-0.93043, abs=1e-5)


def test_the_prediction_at_30_degrees_uses_the_tie(line):
    at = np.array([1.0, 10.0])
    assert at @ line.estimate == pytest.approx(-0.149377, abs=1e-6)
    assert math.sqrt(at @ line.covariance @ at * line.variance_factor) == pytest.approx(0.0041386, abs=1e-7)
