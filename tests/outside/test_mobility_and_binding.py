"""How many motions links leave an axle, and what they must swallow where they leave too few.

Numpy's rank of the link-constraint matrix (rows u, a x u) and a best fit, worked out elsewhere: triangulated four-link
rank 4, two free motions; three-link with panhard rank 4; straight four-link with panhard rank 5, one free motion, so
that 1 deg of roll changes its links by -0.240 0.242 0.396 -0.398 mm and 3 deg by -0.714 0.731 1.183 -1.198; with equal
parallel links rank 4 and no binding; two radius arms rigid on the axle rank 5, with the panhard 6: no free motion.
"""

from __future__ import annotations

import math

import numpy as np
import pytest

from geometry import motion
from geometry.figures import Facts
from geometry.figures.ride import Ride
from tests.outside.shapes import T1, THREE_LINK, fitted, pair, wheels

BAR = {"panhard.axle": (-150.0, 430.0, 560.0), "panhard.frame": (-150.0, -420.0, 620.0)}
STRAIGHT = {
    **pair("lower", ".axle", 0.0, 500.0, 330.0), **pair("lower", ".frame", 950.0, 500.0, 480.0),
    **pair("upper", ".axle", 60.0, 300.0, 600.0), **pair("upper", ".frame", 800.0, 300.0, 640.0),
    **BAR, **wheels(400.0, 780.0, 2700.0),
}  # fmt: skip
PARALLEL = {
    **pair("lower", ".axle", 0.0, 500.0, 330.0), **pair("lower", ".frame", 900.0, 500.0, 380.0),
    **pair("upper", ".axle", 0.0, 300.0, 600.0), **pair("upper", ".frame", 900.0, 300.0, 650.0),
    **BAR, **wheels(400.0, 780.0, 2700.0),
}  # fmt: skip
ARMS = {
    **pair("arm", ".frame", 950.0, 400.0, 450.0), **pair("arm", ".axle_front", 90.0, 400.0, 400.0),
    **pair("arm", ".axle_rear", -90.0, 400.0, 400.0), **BAR, **wheels(400.0, 780.0, 2700.0),
}  # fmt: skip


def rig_of(places, layout):
    return Ride(fitted(places, layout), Facts()).real_rig


def rolled(places, layout, roll):
    """Change of every distance link's length, mm, and the arms' misses, with the axle rolled so many deg."""
    rig = rig_of(places, layout)
    swept = motion.sweep(rig, np.zeros(1), np.array([1560.0 * math.sin(math.radians(roll))]))
    assert swept.reached.all()
    shift, turn = swept.pose.shift[0, 0], swept.pose.turn[0, 0]
    ends = rig.centre[0] + shift + rig.axle[0] @ turn.T
    return np.linalg.norm(ends - rig.frame[0], axis=1) - rig.length[0], shift + rig.held[0] @ turn.T - rig.held[0]


@pytest.mark.parametrize(("places", "layout", "rank"), [
    (T1, "four_link", 4), (THREE_LINK, "three_link_panhard", 4), (STRAIGHT, "four_link_panhard", 5),
    (PARALLEL, "four_link_panhard", 4),
])  # fmt: skip
def test_links_leave_the_axle_so_many_motions(places, layout, rank):
    # The closure's own rows: how the misses of the links change with shift and turn.
    rig = rig_of(places, layout)
    arm, along = rig.axle[0], rig.centre[0] + rig.axle[0] - rig.frame[0]
    unit = along / np.linalg.norm(along, axis=1)[:, None]
    assert np.linalg.matrix_rank(np.hstack([unit, np.cross(arm, unit) / 500.0]), tol=1e-6) == rank
    assert rig.determinate == (len(arm) == 4)


@pytest.mark.parametrize(("roll", "changes"), [
    (1.0, (-0.240, 0.242, 0.396, -0.398)), (3.0, (-0.714, 0.731, 1.183, -1.198)),
])  # fmt: skip
def test_a_straight_four_link_with_a_panhard_binds_in_roll_as_much_as_the_best_fit_says(roll, changes):
    found, _ = rolled(STRAIGHT, "four_link_panhard", roll)
    assert found[:4] == pytest.approx(np.array(changes), abs=6e-4)


def test_equal_parallel_links_do_not_bind():
    found, _ = rolled(PARALLEL, "four_link_panhard", 3.0)
    assert np.abs(found).max() < 1e-3


def test_two_radius_arms_and_a_panhard_leave_a_stiff_axle_no_motion_at_all():
    # Each arm's frame end is held in all three directions: 1 shift, and a turn that carries it along.
    rig = rig_of(ARMS, "radius_arms_panhard")
    held = np.vstack([np.hstack([np.eye(3), np.cross(end, np.eye(3)) / 500.0]) for end in rig.held[0]])
    along = rig.centre[0] + rig.axle[0] - rig.frame[0]
    unit = along / np.linalg.norm(along, axis=1)[:, None]
    bar = np.hstack([unit, np.cross(rig.axle[0], unit) / 500.0])
    assert np.linalg.matrix_rank(held, tol=1e-6) == 5
    assert np.linalg.matrix_rank(np.vstack([held, bar]), tol=1e-6) == 6
    change, miss = rolled(ARMS, "radius_arms_panhard", 1.0)
    assert max(np.abs(change).max(), np.linalg.norm(miss, axis=1).max()) > 1.0
