"""A made tape-and-plumb network in space; gama-local 2.33 and scipy agree on the coordinates to 1e-6 mm.

Floor marks fixed, two points found from nine slope distances and two heights; then a length and an angle with the
full covariance. Treating the six coordinates as independent gives another answer, which the last test shows.
"""

from __future__ import annotations

import math

import numpy as np
import pytest

from geometry.adjustment import adjust

FIXED = {"A": (0, 0, 0), "B": (1500, 0, 0), "C": (0, 900, 0), "D": (1500, 900, 0)}
ROWS = [  # from, to, value, sd, redundancy, observed - adjusted, w of observed - adjusted
    ("A", "U", 765.0, 1.5, 0.37131, -0.8103, -0.8865),
    ("B", "U", 1257.0, 1.5, 0.60668, 1.3005, 1.1131),
    ("C", "U", 917.5, 1.5, 0.34390, 0.3400, 0.3865),
    ("D", "U", 1352.5, 1.5, 0.48546, -0.8286, -0.7929),
    ("A", "V", 1359.0, 1.5, 0.53984, 0.6652, 0.6036),
    ("B", "V", 505.0, 1.5, 0.49846, -0.9685, -0.9145),
    ("C", "V", 1543.0, 1.5, 0.59448, -0.3356, -0.2901),
    ("D", "V", 890.5, 1.5, 0.19218, 0.0981, 0.1492),
    ("U", "V", 883.5, 1.0, 0.28653, -0.3408, -0.6367),
    ("height", "U", 561.5, 1.5, 0.55904, 0.2625, 0.2341),
    ("height", "V", 430.0, 1.5, 0.52212, 0.5434, 0.5014),
]
SLOT = {"U": slice(0, 3), "V": slice(3, 6)}


def model(x):
    predicted, jacobian = np.zeros(len(ROWS)), np.zeros((len(ROWS), 6))
    for row, (start, to, *_) in enumerate(ROWS):
        if start == "height":
            predicted[row], jacobian[row, SLOT[to].start + 2] = x[SLOT[to]][2], 1.0
            continue
        along = x[SLOT[to]] - (x[SLOT[start]] if start in SLOT else np.asarray(FIXED[start], float))
        predicted[row] = np.linalg.norm(along)
        jacobian[row, SLOT[to]] = along / predicted[row]
        if start in SLOT:
            jacobian[row, SLOT[start]] = -along / predicted[row]
    return predicted, jacobian


@pytest.fixture(scope="module")
def network():
    read, sd = np.array([row[2] for row in ROWS]), np.array([row[3] for row in ROWS])
    return adjust(model, np.array([440.0, 330.0, 580.0, 1300.0, 170.0, 450.0]), read, sd)


def test_the_points_are_where_two_other_programs_put_them(network):
    expected = [419.89471, 308.49054, 561.23746, 1279.68972, 151.77147, 429.45656]
    assert network.estimate == pytest.approx(np.array(expected), abs=1e-5)


def test_their_spreads_and_how_they_are_tied(network):
    spreads = [0.89358, 1.62966, 0.99607, 0.92977, 1.50518, 1.03693]
    assert np.sqrt(np.diag(network.covariance)) == pytest.approx(np.array(spreads), abs=1e-5)
    ties = network.covariance[0, 1], network.covariance[0, 2], network.covariance[1, 2]
    assert ties == pytest.approx((0.11584, 0.06992, 0.17493), abs=1e-5)


def test_each_rows_residual_redundancy_and_w(network):
    # gama-local counts observed - adjusted; a residual here is predicted minus read, so both signs turn.
    for number, (*_, share, correction, w) in enumerate(ROWS):
        assert network.redundancy[number] == pytest.approx(share, abs=1e-5)
        assert network.residual[number] == pytest.approx(-correction, abs=1e-4)
        assert network.w[number] == pytest.approx(-w, abs=1e-4)


def test_the_sum_of_squares(network):
    assert network.chi2 == pytest.approx(2.345955, abs=1e-6)
    assert network.degrees_of_freedom == 5


def test_a_length_and_an_angle_between_the_points_use_the_whole_covariance(network):
    # 883.8408 +- 0.8447 mm; side-view angle -8.71392 +- 0.09550 deg.
    along = network.estimate[3:] - network.estimate[:3]
    length = np.linalg.norm(along)
    by_length = np.concatenate([-along, along]) / length
    side = math.hypot(along[0], along[2])
    by_angle = np.degrees(np.array([along[2], 0.0, -along[0], -along[2], 0.0, along[0]])) / side**2
    assert length == pytest.approx(883.8408, abs=1e-4)
    assert math.sqrt(by_length @ network.covariance @ by_length) == pytest.approx(0.8447, abs=1e-4)
    assert math.degrees(math.atan2(along[2], along[0])) == pytest.approx(-8.71392, abs=1e-5)
    assert math.sqrt(by_angle @ network.covariance @ by_angle) == pytest.approx(0.09550, abs=1e-5)
    alone = math.sqrt(by_length**2 @ np.diag(network.covariance))
    assert alone != pytest.approx(0.8447, rel=0.02)
