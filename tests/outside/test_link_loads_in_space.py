"""Link loads in space and the force test of the roll centre, on the made four-link T1.

Two independent routes: six equations of equilibrium; PyNiteFEA 3.2.0, pin-ended bars on a stiff body. Springs upright
at (0, +-450, .), each tyre (0, +-780, 0) with (2700, 0, 4900) N on the axle: lower links -6123.208 each, upper ones
3661.647, springs 4126.844. 400 N m of shaft torque about +x besides: links unchanged, springs 4571.288 left, 3682.399
right. A side force of 1000 N at (0, 0, 617.10247): springs unchanged, lower links +-272.245, upper ones -+1194.396,
left / right.

In side view, both links of a pair together: force balance of axle and body; virtual work on the null-space motion.
"""

from __future__ import annotations

import numpy as np
import pytest

from geometry.figures import Facts
from geometry.figures.loads import Assumed, Push, balance
from geometry.figures.ride import Ride
from tests.outside.shapes import T1, fitted, pair, wheels

UPRIGHT = Assumed(spring_across=450.0 / 780.0)
SIDE_VIEW = {
    **pair("lower", ".axle", 0.0, 500.0, 330.0), **pair("lower", ".frame", 950.0, 500.0, 480.0),
    "upper.axle": (60.0, 0.0, 600.0), "upper.frame": (800.0, 0.0, 640.0),
    "panhard.axle": (-150.0, 430.0, 560.0), "panhard.frame": (-150.0, -420.0, 560.0), **wheels(400.0, 780.0, 2700.0),
}  # fmt: skip


@pytest.fixture(scope="module")
def ride():
    return alone(T1, "four_link")


def alone(places, layout):
    base = fitted(places, layout)
    return Ride(base, Facts(), base.estimate[None, :])


def push(x, y, z, force):
    """N, at a place over the floor, mm."""
    return Push(np.array([force], float), np.array([[x, y, z - 400.0]]))


TYRES = [push(0.0, side * 780.0, 0.0, (2700.0, 0.0, 4900.0)) for side in (1.0, -1.0)]
SHAFT = [push(0.0, side * 500.0, 400.0, (0.0, 0.0, side * 400.0)) for side in (1.0, -1.0)]
"""A couple of 400 N m about +x."""


@pytest.mark.parametrize(("pushes", "springs"), [
    (TYRES, (4126.844, 4126.844)), (TYRES + SHAFT, (4571.288, 3682.399)),
])  # fmt: skip
def test_a_driven_axle_s_links_and_springs(ride, pushes, springs):
    forces, found = balance(ride, pushes, UPRIGHT)
    for side in ("left", "right"):
        assert forces[f"lower_{side}"][0] == pytest.approx(-6123.208, abs=0.01)
        assert forces[f"upper_{side}"][0] == pytest.approx(3661.647, abs=0.01)
    assert found[0] == pytest.approx(np.array(springs), abs=0.01)


def test_a_side_force_at_the_roll_centre_moves_no_spring(ride):
    forces, springs = balance(ride, [push(0.0, 0.0, 617.10247, (0.0, 1000.0, 0.0))], UPRIGHT)
    assert springs[0] == pytest.approx(np.zeros(2), abs=0.01)
    for side, way in (("left", 1.0), ("right", -1.0)):
        assert forces[f"lower_{side}"][0] == pytest.approx(way * 272.245, abs=0.01)
        assert forces[f"upper_{side}"][0] == pytest.approx(-way * 1194.396, abs=0.01)


@pytest.mark.parametrize(("share", "gain", "ahead", "lower", "upper", "spring"), [
    (1.00, 3.0, 0.0, -12229.90, 6689.995, -146.3126),
    (0.60, 3.0, 0.0, -7337.94, 4013.997, 472.2124),
    (0.35, -6.0, 0.0, 8560.93, -4682.997, -1717.5812),
    (1.00, 3.0, 150.0, -12318.358, 6777.498, -155.3857),
])  # fmt: skip
def test_driving_and_braking_load_links_and_springs_as_in_side_view(share, gain, ahead, lower, upper, spring):
    # 1800 kg, wheelbase 2700, cg 700 high: the axle gains 466.667 N a m/s2, its share of the push acts at the floor.
    moved, forward = 1800.0 * gain * 700.0 / 2700.0, share * 1800.0 * gain
    pushes = [push(0.0, side * 780.0, 0.0, (0.5 * forward, 0.0, 0.5 * moved)) for side in (1.0, -1.0)]
    forces, springs = balance(alone(SIDE_VIEW, "three_link_panhard"), pushes, Assumed(spring_ahead=ahead))
    assert forces["lower_left"][0] + forces["lower_right"][0] == pytest.approx(lower, abs=6e-3)
    assert forces["upper"][0] == pytest.approx(upper, abs=6e-3)
    assert springs[0].sum() == pytest.approx(spring, abs=6e-3)
    assert forces["panhard"][0] == pytest.approx(0.0, abs=1e-3)


def test_a_spring_ahead_of_the_axle_feels_it_by_its_share_of_the_way_to_the_instant_centre():
    # (2568.904 - 150) / 2568.904 of -155.3857 is -146.3126, what a spring over the axle feels.
    pushes = [push(0.0, side * 780.0, 0.0, (2700.0, 0.0, 700.0)) for side in (1.0, -1.0)]
    ride = alone(SIDE_VIEW, "three_link_panhard")
    ahead, over = (balance(ride, pushes, Assumed(spring_ahead=at))[1][0].sum() for at in (150.0, 0.0))
    assert ahead * (2568.904 - 150.0) / 2568.904 == pytest.approx(over, abs=1e-2)
