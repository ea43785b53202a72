"""One universal joint and two in a row.

Single joint: the textbook relation tan(out) = tan(in)/cos(angle) and the spatial geometry of the cross by scipy
Rotation, two routes that agree. Two joints: the same relation once forward and once back, and here the turn of two
crosses followed in space.
"""

from __future__ import annotations

import numpy as np
import pytest
from scipy.optimize import minimize_scalar
from scipy.spatial.transform import Rotation

from geometry.complex_step import between
from geometry.hooke import output_angle, pair_ratio, pair_swing, speed_ratio, swing

RADIAN = np.pi / 180.0


@pytest.mark.parametrize(
    ("beta", "at_30", "at_45", "ratio_0", "ratio_45", "ratio_90"),
    [
        (5.0, 30.09468, 45.10922, 1.003820, 0.999993, 0.996195),
        (10.0, 30.38126, 45.43855, 1.015427, 0.999883, 0.984808),
        (20.0, 31.56670, 46.78082, 1.064178, 0.998069, 0.939693),
        (30.0, 33.69007, 49.10661, 1.154701, 0.989743, 0.866025),
    ],
)
def test_a_single_joint_turns_and_speeds_as_two_routes_say(beta, at_30, at_45, ratio_0, ratio_45, ratio_90):
    turned = output_angle(RADIAN * np.array([30.0, 45.0]), RADIAN * beta) / RADIAN
    assert turned == pytest.approx([at_30, at_45], abs=1e-5)
    ratios = speed_ratio(RADIAN * np.array([0.0, 45.0, 90.0]), RADIAN * beta)
    assert ratios == pytest.approx([ratio_0, ratio_45, ratio_90], abs=1e-6)


def test_turns_are_counted_through():
    angles = RADIAN * np.array([-270.0, -180.0, 90.0, 180.0, 360.0, 810.0])
    assert output_angle(angles, 0.4) == pytest.approx(angles, abs=1e-12)
    assert np.all(np.diff(output_angle(np.linspace(-9.0, 9.0, 999), 1.2)) > 0.0)


@pytest.mark.parametrize(("beta", "share"), [(5.0, 0.0076251), (10.0, 0.0306189), (20.0, 0.1244852)])
def test_the_swing_of_speed_is_tan_times_sin(beta, share):
    assert float(swing(np.array(RADIAN * beta))) == pytest.approx(share, abs=1e-6)


def test_a_joint_at_25_deg_and_100_radian_a_second():
    # Two routes: 90.631 to 110.338 rad/s; it leads most, by 2.81714 deg, at 43.591 deg.
    speeds = 100.0 * speed_ratio(RADIAN * np.array([90.0, 0.0]), RADIAN * 25.0)
    assert speeds == pytest.approx([90.631, 110.338], abs=1e-3)

    def lag(angle):
        return angle - float(output_angle(np.array(angle), RADIAN * 25.0))

    most = minimize_scalar(lag, bounds=(0.3, 1.2), method="bounded", options={"xatol": 1e-10})
    assert most.x / RADIAN == pytest.approx(43.591, abs=1e-3)
    assert -most.fun / RADIAN == pytest.approx(2.81714, abs=1e-5)


@pytest.mark.parametrize(
    ("side", "plan", "exact"), [(3.0, 4.0, 4.99417), (6.0, 8.0, 9.95378), (10.0, 5.0, 11.13566)]
)
def test_the_angle_from_side_and_plan_is_that_of_the_directions(side, plan, exact):
    # Two routes: angle between directions; sqrt(tan^2 + tan^2) as a tangent.
    shaft = np.array([1.0, np.tan(RADIAN * plan), np.tan(RADIAN * side)])
    assert float(between(shaft, np.array([1.0, 0.0, 0.0]))) / RADIAN == pytest.approx(exact, abs=1e-5)


def test_the_angle_of_two_directions_in_space():
    # (cos 6, 0, -sin 6) and (cos 2 cos 3, cos 2 sin 3, sin 2) deg: 8.54250 deg.
    c, s = np.cos, np.sin
    one = np.array([c(6 * RADIAN), 0.0, -s(6 * RADIAN)])
    other = np.array([c(2 * RADIAN) * c(3 * RADIAN), c(2 * RADIAN) * s(3 * RADIAN), s(2 * RADIAN)])
    assert float(between(one, other)) / RADIAN == pytest.approx(8.54250, abs=1e-5)


def seen(angle, plane=0.0):
    """A shaft's direction seen along the one between the joints."""
    return np.sin(RADIAN * angle) * np.array([np.cos(RADIAN * plane), np.sin(RADIAN * plane)])


def test_two_equal_joints_in_line_hand_on_an_even_speed():
    around = np.linspace(0.0, 7.0, 99)
    assert np.abs(pair_ratio(around, RADIAN * 12.0, RADIAN * 12.0) - 1.0).max() < 1e-11
    assert float(pair_swing(seen(12.0), seen(12.0))) < 1e-11
    assert float(pair_swing(seen(12.0), seen(12.0, 180.0))) < 1e-11


def test_joints_of_5_and_3_deg_leave_the_quotient_of_their_cosines():
    # tan(out) = tan(in) cos(b2)/cos(b1): from cos5/cos3 = 0.997562 to its inverse 1.002444.
    ratios = pair_ratio(np.linspace(0.0, np.pi, 3601), RADIAN * 5.0, RADIAN * 3.0)
    assert (ratios.min(), ratios.max()) == pytest.approx((0.997562, 1.002444), abs=1e-6)
    assert float(pair_swing(seen(5.0), seen(3.0))) == pytest.approx(1.002444 - 0.997562, abs=1e-6)


@pytest.mark.parametrize(("first", "second", "plane"), [(5.0, 3.0, 40.0), (8.0, 8.0, 90.0), (20.0, 4.0, -65.0)])
def test_two_crosses_in_space_swing_as_the_closed_form_says(first, second, plane):
    # Each cross followed in space: the yoke's arm on a flange is square to the flange and to the shaft's own arm.
    middle = np.array([1.0, 0.0, 0.0])
    driving = Rotation.from_euler("z", first, degrees=True).apply(middle)
    across = np.array([0.0, -np.sin(RADIAN * plane), np.cos(RADIAN * plane)])
    driven = Rotation.from_rotvec(RADIAN * second * across).apply(middle)
    shaft = np.linspace(0.0, 2.0 * np.pi, 40001)
    arms = np.stack([np.zeros_like(shaft), np.cos(shaft), np.sin(shaft)], axis=-1)

    def flange_angle(axis):
        level = np.cross(axis, [0.0, 0.0, 1.0])
        upright = np.cross(level, axis)
        arm = np.cross(axis, arms)
        return np.unwrap(np.arctan2(arm @ upright / np.linalg.norm(upright), arm @ level / np.linalg.norm(level)))

    ratio = np.diff(flange_angle(driven)) / np.diff(flange_angle(driving))
    found = float(pair_swing(seen(first), seen(second, plane)))
    assert ratio.max() - ratio.min() == pytest.approx(found, rel=1e-5)
