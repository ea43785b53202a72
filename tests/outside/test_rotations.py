"""Rotations against scipy.spatial.transform.Rotation, and a rolled T1 against two closures done elsewhere.

A turn of 40 deg about (1, 2, 2)/3 has the first row 0.79203950 -0.37653495 0.48051520 (scipy; Rodrigues' formula).
The point (100, -50, 30) turned by it about the line through (400, 200, -100) goes to (318.98886, -175.99743, 46.50300).
T1 rolled by +3 deg (z-y-x angles, centre height held), by scipy.optimize.least_squares: x 0.35977, y 11.36729,
yaw 0.38025 deg, pitch -0.08058 deg; mirrored for -3. Small-angle check 3 x 0.12767 = 0.3830.
"""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy.spatial.transform import Rotation

from geometry import motion
from geometry.figures import Facts
from geometry.figures.ride import Ride
from geometry.figures.steering import swung
from geometry.figures.taken import real_rig
from tests.outside.shapes import T1, fitted


@pytest.fixture(scope="module")
def rig():
    return real_rig(Ride(fitted(T1, "four_link"), Facts()))


def test_a_nudge_of_a_pose_is_a_proper_turn_about_its_axis(rig):
    # The nudge is Cayley's form: a vector of length 2 tan(half the angle) along the axis turns by that angle.
    step = np.zeros((1, 1, 5))
    step[0, 0, 2:] = 2.0 * math.tan(math.radians(20.0)) * np.array([1.0, 2.0, 2.0]) / 3.0
    turn = motion.nudged(motion.at_ride(rig), step).turn[0, 0]
    assert turn[0] == pytest.approx(np.array([0.79203950, -0.37653495, 0.48051520]), abs=1e-8)
    expected = Rotation.from_rotvec(np.radians(40.0) * np.array([1.0, 2.0, 2.0]) / 3.0).as_matrix()
    assert turn == pytest.approx(expected, abs=1e-12)


@pytest.mark.parametrize("roll", [3.0, -3.0])
def test_t1_rolled_three_degrees(rig, roll):
    # The left contact point rises over the right by the track times cos(pitch) sin(roll).
    lift = 1560.0 * math.cos(math.radians(0.08058)) * math.sin(math.radians(roll))
    swept = motion.sweep(rig, np.zeros(1), np.array([lift]))
    yaw, pitch, found = Rotation.from_matrix(swept.pose.turn[0, 0]).as_euler("ZYX", degrees=True)
    sign = math.copysign(1.0, roll)
    assert swept.reached.all()
    assert found == pytest.approx(roll, abs=1e-5)
    assert yaw == pytest.approx(sign * 0.38025, abs=1e-4)
    assert pitch == pytest.approx(-0.08058, abs=1e-4)
    assert swept.pose.shift[0, 0, :2] == pytest.approx(np.array([0.35977, sign * 11.36729]), abs=1e-4)


def test_every_pose_keeps_the_links_under_scipys_own_turn(rig):
    travel, lift = np.array([-90.0, -30.0, 45.0, 80.0]), np.array([60.0, -80.0, 0.0, 40.0])
    swept = motion.sweep(rig, travel, lift)
    assert swept.reached.all()
    for step in range(travel.size):
        turn = Rotation.from_matrix(swept.pose.turn[0, step])
        assert turn.as_matrix() == pytest.approx(swept.pose.turn[0, step], abs=1e-12)
        ends = rig.centre[0] + swept.pose.shift[0, step] + turn.apply(rig.axle[0])
        assert np.linalg.norm(ends - rig.frame[0], axis=1) == pytest.approx(rig.length[0], abs=1e-8)


def test_a_point_of_a_knuckle_turns_about_a_kingpin_that_does_not_pass_the_origin():
    foot, axis = np.array([400.0, 200.0, -100.0]), np.array([1.0, 2.0, 2.0]) / 3.0
    front = {name: (-x, y, z) for name, (x, y, z) in T1.items()}
    for side in ("left", "right"):
        front |= {f"kingpin_{side}.bottom": tuple(foot), f"kingpin_{side}.top": tuple(foot + 240.0 * axis)}
    ride = Ride(fitted(front, "four_link", "front"), Facts())
    ride = Ride(ride.fit, Facts(), ride.fit.estimate[None, :])
    # A left point and its right twin in one place: the weak mirror assumption moves neither by more than 1e-5 mm.
    found = swung(ride, "left", np.array([[100.0, -50.0, 30.0]]), np.array([[math.radians(40.0)]]))[0, 0]
    assert found == pytest.approx(np.array([318.98886, -175.99743, 46.50300]), abs=1e-3)
