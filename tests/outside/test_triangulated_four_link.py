"""Instant centre, roll centre and roll axis of a made triangulated four-link (T1), worked out here on paper's way.

Two independent routes agree to 1e-5 on the numbers: the closed construction written out below (side-view lines meet;
the apexes of both pairs in the centre plane give the roll axis), and the null space of the 4 x 6 matrix of link
constraints (rows u, a x u), computed with numpy. A roll axis that rises to the front gives roll oversteer on a rear
axle (Gillespie, Fundamentals of Vehicle Dynamics, ch. 7, from memory).
"""

from __future__ import annotations

import math

import numpy as np
import pytest

from tests.outside.shapes import T1, figures_of


@pytest.fixture(scope="module")
def figures():
    return figures_of(T1, "four_link").figures


def meet(first, second):
    """Where two lines (point, point) in a plane cross."""
    (a, b), (c, d) = np.asarray(first, float), np.asarray(second, float)
    share = np.linalg.solve(np.column_stack([b - a, c - d]), c - a)[0]
    return a + share * (b - a)


def test_the_instant_centre_is_where_the_links_lines_meet_in_side_view(figures):
    # Route 1: (0, 330)-(950, 480) meets (60, 600)-(800, 640). Two routes: (2568.90411, 735.61644).
    x, z = meet([(0, 330), (950, 480)], [(60, 600), (800, 640)])
    assert (x, z) == pytest.approx((2568.90411, 735.61644), abs=1e-5)
    assert figures["instant_centre.x"].value == pytest.approx(2568.904109, abs=1e-5)
    assert figures["instant_centre.z"].value == pytest.approx(735.616438, abs=1e-5)


def test_the_roll_axis_runs_through_both_apexes(figures):
    # Route 1: upper pair meets the centre plane at (-276.36364, 581.81818), lower pair at (9500, 1830).
    # Two routes: slope 0.127673424, height above the axle 617.102473.
    assert math.tan(math.radians(figures["roll_axis_incline"].value)) == pytest.approx(0.127673424, abs=1e-8)
    assert figures["roll_centre_height"].value == pytest.approx(617.102473, abs=1e-5)


def test_a_roll_axis_that_rises_to_the_front_is_oversteer_on_a_rear_axle(figures):
    # Sign: rear axle, + means understeer; size: the slope itself.
    assert figures["roll_steer"].value == pytest.approx(-0.127673424, abs=1e-8)


def test_with_lower_links_straight_ahead_the_axis_slopes_as_they_do():
    # Two routes: lower links parallel to x: slope 150/950 = 0.15789474, height at the axle 625.45455.
    straight = T1 | {"lower_left.frame": (950.0, 500.0, 480.0), "lower_right.frame": (950.0, -500.0, 480.0)}
    found = figures_of(straight, "four_link").figures
    assert math.tan(math.radians(found["roll_axis_incline"].value)) == pytest.approx(0.15789474, abs=1e-7)
    assert found["roll_centre_height"].value == pytest.approx(625.45455, abs=1e-5)
    assert found["instant_centre.x"].value == pytest.approx(2568.90411, abs=1e-5)


def test_the_same_shape_on_a_front_axle_keeps_its_heights_and_turns_its_signs():
    # Mirrored fore and aft, by symmetry: the same height, the centre behind, the slope falling to the front.
    mirrored = {name: (-x, y, z) for name, (x, y, z) in T1.items()}
    found = figures_of(mirrored, "four_link", "front").figures
    assert found["instant_centre.x"].value == pytest.approx(-2568.904109, abs=1e-5)
    assert found["instant_centre.z"].value == pytest.approx(735.616438, abs=1e-5)
    assert found["roll_centre_height"].value == pytest.approx(617.102473, abs=1e-5)
    assert found["roll_steer"].value == pytest.approx(0.127673424, abs=1e-8)
