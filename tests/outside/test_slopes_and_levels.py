"""A sloping floor, by trigonometry: heights square to the floor, plumb lines along gravity.

2 % = 1.145763 deg. A point whose perpendicular is 800 long has its plumb mark 16.0 mm off (800 tan). A track of
1600 across the slope: the sides differ by 32.0 in height above level.
"""

from __future__ import annotations

import math

import numpy as np
import pytest

from geometry.fit import Observation, Setup, fit
from geometry.frame import up
from tests.outside.shapes import T1, TIGHT

PERCENT_2 = 1.145763


def sloped(pitch: float = 0.0, bank: float = 0.0):
    """T1's points, all coordinates read on a floor of that slope."""
    rows = []
    for name, (x, y, z) in T1.items():
        rows.append((f"height:{name}", z))
        rows.append((f"fore_aft:{name}", x - z * math.tan(math.radians(pitch))))
        rows.append((f"lateral:{name}", y - z * math.tan(math.radians(bank))))
    observations = [Observation(name, value, name, sd=TIGHT) for name, value in rows]
    observations.append(Observation("floor_slope:fore_aft", pitch, "floor_slope:fore_aft", sd=1e-7))
    observations.append(Observation("floor_slope:across", bank, "floor_slope:across", sd=1e-7))
    return fit(Setup("four_link", "rear", 2700.0, 840.0), observations)


def test_two_percent_is_a_little_over_a_degree():
    assert math.tan(math.radians(PERCENT_2)) == pytest.approx(0.02, abs=1e-8)


def test_a_plumb_mark_lies_16_mm_off_under_a_point_800_high():
    found = sloped(PERCENT_2)
    place = {name: np.array(placed) for name, placed in T1.items()}
    # upper frame joint: 640 high, so 12.8 mm; scaled to 800: 16.0.
    read, _ = found.predict(("fore_aft:upper_left.frame", "height:upper_left.frame"))
    off = (place["upper_left.frame"][0] - read[0]) * 800.0 / read[1]
    assert off == pytest.approx(16.0, abs=1e-3)


def test_a_banked_floor_leans_the_plumb_marks_of_both_sides_alike():
    read, _ = sloped(0.0, PERCENT_2).predict(("lateral:wheel_left.centre", "lateral:wheel_right.centre"))
    assert sum(read) == pytest.approx(-2.0 * 400.0 * 0.02, abs=1e-4)


def test_across_a_two_percent_bank_the_wheels_differ_by_its_angle():
    # The line from right to left wheel centre climbs with the floor: 1.145763 deg, 32.0 in 1600.
    angle = sloped(0.0, PERCENT_2).predict(("incline:wheel_right.centre~wheel_left.centre",))[0][0]
    assert angle == pytest.approx(PERCENT_2, abs=1e-5)
    assert 1600.0 * math.tan(math.radians(angle)) == pytest.approx(32.0, abs=1e-3)


def test_the_shape_is_the_same_whatever_the_floors_slope():
    # Two verticals never mix: heights and plumb marks read on any floor give the same points.
    level, steep = sloped(), sloped(0.5, -0.4)
    for name, place in T1.items():
        there, here = steep.placed()[name], level.placed()[name]
        assert (there.x, there.y, there.z) == pytest.approx(place, abs=1e-3)
        assert (here.x, here.y, here.z) == pytest.approx(place, abs=1e-3)


def test_up_leans_forward_in_a_floor_that_climbs_to_the_front():
    # Rotation of the vertical by the slope's angle, by trigonometry.
    direction = up(math.radians(PERCENT_2), 0.0)
    expected = (math.sin(math.radians(PERCENT_2)), 0.0, math.cos(math.radians(PERCENT_2)))
    assert direction == pytest.approx(np.array(expected), abs=1e-9)
