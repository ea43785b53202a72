"""A curve, NIST StRD "Misra1a": certified values (read; the file ships in lmfit's source archive).

Model y = b1 (1 - exp(-b2 x)), unknowns of very unlike size, both published starts. The correlation of b1 and b2 from
scipy's curve_fit.
"""

from __future__ import annotations

import math

import numpy as np
import pytest

from geometry.adjustment import adjust

X = np.array([77.6, 114.9, 141.1, 190.8, 239.9, 289.0, 332.8, 378.4, 434.8, 477.3, 536.8, 593.1, 689.1, 760.0])
Y = np.array([10.07, 14.73, 17.94, 23.93, 29.61, 35.18, 40.02, 44.82, 50.76, 55.05, 61.01, 66.40, 75.47, 81.78])


def curve(b):
    decay = np.exp(-b[1] * X)
    return b[0] * (1.0 - decay), np.stack([1.0 - decay, b[0] * X * decay], axis=1)


@pytest.mark.parametrize("start", [(500.0, 0.0001), (250.0, 0.0005)])
def test_both_starts_reach_the_certified_curve(start):
    found = adjust(curve, np.array(start), Y, np.ones_like(Y))
    spreads = np.sqrt(np.diag(found.covariance) * found.variance_factor)
    assert found.converged
    assert found.estimate == pytest.approx(np.array([238.94212918, 5.5015643181e-4]), rel=1e-9)
    assert spreads == pytest.approx(np.array([2.7070075241, 7.2668688436e-6]), rel=1e-8)
    assert found.chi2 == pytest.approx(0.12455138894, rel=1e-9)
    assert math.sqrt(found.variance_factor) == pytest.approx(0.10187876330, rel=1e-9)
    assert found.degrees_of_freedom == 12


def test_the_two_unknowns_are_tied_as_curve_fit_says():
    covariance = adjust(curve, np.array([250.0, 0.0005]), Y, np.ones_like(Y)).covariance
    correlation = covariance[0, 1] / math.sqrt(covariance[0, 0] * covariance[1, 1])
    assert correlation == pytest.approx(-0.99878, abs=1e-5)
