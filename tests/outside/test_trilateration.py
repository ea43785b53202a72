"""Plane trilateration: published inputs, answers of gama-local 2.33 and scipy, which agree.

(a) Benning, Statistik in Geodaesie, Geoinformation und Bauwesen (2011), Ex. 8-2, inputs from GNU Gama's collection.
(b) Ghilani, Adjustment Computations, 5th ed., Ex. 14.5, inputs from the same; large offsets of the origin.
"""

from __future__ import annotations

import math

import numpy as np
import pytest

from geometry.adjustment import adjust


def distances(lines, fixed, free):
    """A model of plane distances: x holds the free points' coordinates, two each."""

    def place(name, x):
        return np.asarray(fixed[name], float) if name in fixed else x[2 * free.index(name) : 2 * free.index(name) + 2]

    def model(x):
        predicted, jacobian = np.zeros(len(lines)), np.zeros((len(lines), x.size))
        for row, (first, second) in enumerate(lines):
            along = place(second, x) - place(first, x)
            predicted[row] = np.linalg.norm(along)
            for name, sign in ((first, -1.0), (second, 1.0)):
                if name in free:
                    jacobian[row, 2 * free.index(name) : 2 * free.index(name) + 2] = sign * along / predicted[row]
        return predicted, jacobian

    return model


def test_benning_8_2():
    lines = [("1", "3"), ("1", "4"), ("2", "3"), ("2", "4"), ("3", "4")]
    model = distances(lines, {"1": (0, 1000), "2": (1000, 1000)}, ["3", "4"])
    read = np.array([1000.02, 1414.20, 1414.24, 999.98, 1000.00])
    found = adjust(model, np.array([0.0, 0.0, 1000.0, 0.0]), read, np.full(5, 0.010))
    assert found.estimate == pytest.approx(np.array([-0.009586, -0.022601, 999.993015, 0.017398]), abs=2e-6)
    assert found.chi2 == pytest.approx(0.473676, abs=1e-5)
    assert found.redundancy == pytest.approx(np.array([0.142852, 0.285706, 0.285722, 0.142863, 0.142857]), abs=1e-5)
    spreads = 1000.0 * np.sqrt(np.diag(found.covariance))
    assert spreads == pytest.approx(np.array([13.0933, 9.2583, 13.0929, 9.2581]), abs=1e-3)


def test_ghilani_14_5_far_from_the_origin():
    origin = np.array([2_410_000.0, 380_000.0])
    fixed = {"P": (2_410_000.0, 390_000.0) - origin, "Q": (2_411_820.0, 386_881.222) - origin}
    lines = [("P", "R"), ("P", "S"), ("R", "S"), ("R", "Q"), ("S", "Q")]
    read = np.array([5870.302, 7297.588, 3616.434, 5742.878, 5123.760])
    start = np.array([2_415_776.819, 391_043.461, 2_416_892.670, 387_603.450]) - np.tile(origin, 2)
    found = adjust(distances(lines, fixed, ["R", "S"]), start, read, np.ones(5))
    expected = np.array([2_415_776.904378, 391_043.294493, 2_416_892.695515, 387_603.255128])
    assert found.estimate + np.tile(origin, 2) == pytest.approx(expected, abs=5e-6)
    assert math.sqrt(found.variance_factor) == pytest.approx(0.135905, abs=1e-6)
    assert found.redundancy == pytest.approx(np.array([0.161896, 0.337986, 0.073125, 0.205738, 0.221255]), abs=1e-5)
