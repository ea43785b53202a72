"""A floor through five spot heights: numpy.linalg.lstsq gives z = 0.00537037 x - 0.00531250 y - 0.40.

Slopes 0.3077 and -0.3044 deg, residuals 0.4 -0.1 -0.1 0.4 -0.6, residual sd 0.5916 with 2 degrees of freedom.
"""

from __future__ import annotations

import math

import numpy as np
import pytest

from geometry.adjustment import adjust
from geometry.frame import up

SPOTS = np.array([(0, 0, 0), (2700, 0, 14), (0, 1600, -9), (2700, 1600, 6), (1350, 800, 2)], float)


@pytest.fixture(scope="module")
def plane():
    rows = np.column_stack([SPOTS[:, :2], np.ones(5)])
    return adjust(lambda x: (rows @ x, rows), np.zeros(3), SPOTS[:, 2], np.ones(5))


def test_the_plane_is_that_of_linear_algebra(plane):
    assert plane.estimate == pytest.approx(np.array([0.00537037, -0.00531250, -0.40]), abs=5e-9)
    assert np.degrees(np.arctan(plane.estimate[:2])) == pytest.approx(np.array([0.3077, -0.3044]), abs=5e-5)


def test_its_residuals_and_scatter(plane):
    # Observed less fitted is 0.4 -0.1 -0.1 0.4 -0.6; a residual here is predicted minus read.
    assert plane.residual == pytest.approx(-np.array([0.4, -0.1, -0.1, 0.4, -0.6]), abs=1e-9)
    assert math.sqrt(plane.variance_factor) == pytest.approx(0.5916, abs=5e-5)


def test_up_leans_out_of_that_floor_by_its_slopes(plane):
    # In the floor's own axes gravity's up leans the way the floor climbs, in the proportion of the slopes.
    pitch, bank = np.arctan(plane.estimate[:2])
    upward = up(pitch, bank)
    assert upward[:2] / upward[2] == pytest.approx(plane.estimate[:2], abs=1e-12)
