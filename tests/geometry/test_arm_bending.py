"""Radius arms: what bends them at their axle bolts, by a balance written out again, and what they bear of it."""

import numpy as np
import pytest
from scipy.optimize import brentq

from geometry.columns import Tube, bent
from geometry.figures import Facts
from geometry.figures.loads import link_loads
from geometry.figures.parts import TubeFact
from geometry.figures.reserves import reserves
from tests.outside.shapes import fitted, pair, wheels

ARMS = {
    **pair("arm", ".frame", 950.0, 400.0, 520.0), **pair("arm", ".axle_front", 90.0, 430.0, 420.0),
    **pair("arm", ".axle_rear", -90.0, 430.0, 400.0),
    "panhard.axle": (-150.0, 430.0, 560.0), "panhard.frame": (-150.0, -420.0, 580.0), **wheels(400.0, 780.0, 2700.0),
}  # fmt: skip
CORNERS = ("front_left", "front_right", "rear_left", "rear_right")
WEIGHED = (("cg_height:estimate", 700.0, 0.01), *((f"weight:{corner}", 500.0, 0.01) for corner in CORNERS))
TUBES = {arm: TubeFact(63.5, 9.5, 380.0) for arm in ("arm_left", "arm_right")}
CENTRE = np.array([0.0, 0.0, 400.0])


def base(places=ARMS, spreads=None, more=WEIGHED):
    return fitted(places, "radius_arms_panhard", more=more, spreads=spreads)


def rows(facts, fit=None):
    return {(row.link, row.case): row for row in reserves(fit or base(), facts).rows}


def feet_under_braking():
    """Forces on both arms' frame ends, N: six equations, nine unknowns, the least sum of squares."""
    load = 2000.0 * 9.80665 * 0.5 - 0.8 * 2000.0 * 9.80665 * 700.0 / 2700.0
    columns = []
    for side in (1.0, -1.0):
        foot = np.array([950.0, side * 400.0, 520.0]) - CENTRE
        columns += [np.r_[axis, np.cross(foot, axis)] for axis in np.eye(3)]
    bar = np.array([0.0, -850.0, 20.0]) / np.hypot(850.0, 20.0)
    columns.append(np.r_[bar, np.cross(np.array([-150.0, 430.0, 560.0]) - CENTRE, bar)])
    for side in (1.0, -1.0):
        columns.append(np.r_[0.0, 0.0, -1.0, np.cross([0.0, side * 0.55 * 780.0, 0.0], [0.0, 0.0, -1.0])])
    pushes = np.zeros(6)
    for side in (1.0, -1.0):
        force = np.array([-0.4 * load, 0.0, 0.5 * load])
        pushes += np.r_[force, np.cross(np.array([0.0, side * 780.0, 0.0]) - CENTRE, force)]
    scale = np.array([1.0, 1.0, 1.0, 1e-3, 1e-3, 1e-3])
    answer = np.linalg.pinv(np.array(columns).T * scale[:, None]) @ (-pushes * scale)
    return answer[:3], answer[3:6]


def test_an_arm_is_bent_at_its_nearer_bolt_by_what_stands_square_to_it():
    left, right = feet_under_braking()
    for name, foot, side in (("arm_left", left, 1.0), ("arm_right", right, -1.0)):
        arm = np.array([950.0, side * 400.0, 520.0]) - [90.0, side * 430.0, 420.0]
        moment = np.linalg.norm(np.cross(arm, foot)) / 1000.0
        found = next(load for load in link_loads(base(), Facts()) if (load.link, load.case) == (name, "braking"))
        assert found.moment == pytest.approx(moment, rel=1e-4)
        assert found.moment > 100.0


def test_an_arm_bears_so_many_times_the_case_as_yields_its_worst_fibre():
    left, _ = feet_under_braking()
    arm = np.array([950.0, 400.0, 520.0]) - [90.0, 430.0, 420.0]
    length = np.linalg.norm(arm)
    thrust, moment = left @ arm / length, np.linalg.norm(np.cross(arm, left))
    area = np.pi / 4.0 * (63.5**2 - 44.5**2)
    second = np.pi / 64.0 * (63.5**4 - 44.5**4)
    euler = np.pi**2 * 205_000.0 * second / (2.0 * length) ** 2

    def over(times):
        grown = moment / (1.0 + min(thrust, 0.0) * times / euler)
        return times * (abs(thrust) / area + grown / (second / 31.75)) - 380.0

    row = rows(Facts(tubes=TUBES))["arm_left", "braking"]
    assert row.by == "bending" and row.yield_stress == 380.0
    assert row.reserve == pytest.approx(brentq(over, 1e-6, 100.0), rel=1e-4)
    assert "yields at its axle bolts" in row.sentence


def test_a_stated_section_counts_in_place_of_the_tube():
    tube = Tube(63.5, 9.5)
    stated = {arm: TubeFact(63.5, None, 380.0, section_modulus=tube.modulus, section_area=tube.area) for arm in TUBES}
    same, other = rows(Facts(tubes=TUBES)), rows(Facts(tubes=stated))
    for key, row in same.items():
        if key[0].startswith("arm"):
            assert other[key].reserve == pytest.approx(row.reserve), key


@pytest.mark.parametrize(("stress", "critical"), [(20.0, 0.05), (-20.0, -0.05)])
def test_thrust_and_bending_together_reach_the_yield_stress(stress, critical):
    times = float(bent(np.array([stress]), np.array([90.0]), np.array([critical]), 300.0)[0])
    grown = 90.0 / (1.0 - times * max(critical, 0.0))
    assert times * (abs(stress) + grown) == pytest.approx(300.0, rel=1e-9)
    assert times * max(critical, 0.0) < 1.0


def test_without_bending_the_thrust_ends_at_yield_or_at_its_critical_load():
    # By hand: 60 of 300 N/mm2 five times; 0.4 of the critical load two and a half times.
    thrust = np.array([60.0, 60.0]), np.zeros(2), np.array([0.1, 0.4])
    assert bent(*thrust, 300.0) == pytest.approx([5.0, 2.5])


def test_the_spread_of_an_arm_s_reserve_is_that_of_many_drawn_vehicles():
    spreads = {f"{axis}:arm_left.{end}": 3.0 for axis in ("height", "fore_aft") for end in ("frame", "axle_front")}
    row = rows(Facts(tubes=TUBES), base(spreads=spreads))["arm_left", "braking"]
    rng = np.random.default_rng(8)
    drawn = []
    for _ in range(120):
        places = dict(ARMS)
        for end in ("frame", "axle_front"):
            x, y, z = places[f"arm_left.{end}"]
            places[f"arm_left.{end}"] = (x + rng.normal(0, 3), y, z + rng.normal(0, 3))
        drawn.append(rows(Facts(tubes=TUBES), base(places))["arm_left", "braking"].reserve)
    assert np.std(drawn) == pytest.approx(row.sd, rel=0.25)


@pytest.mark.parametrize(("tube", "says"), [
    (None, "section modulus and area"), (TubeFact(63.5), "outside diameter and wall"),
    (TubeFact(63.5, 9.5), "379 N/mm2 (55 ksi)"), (TubeFact(63.5, 40.0, 380.0), "cannot have that wall"),
    (TubeFact(63.5, None, 380.0, section_modulus=0.0, section_area=100.0), "above nothing"),
])
def test_what_an_arm_lacks_is_asked_for(tube, says):
    row = rows(Facts(tubes={} if tube is None else {"arm_left": tube}))["arm_left", "braking"]
    assert row.reserve is None and says in row.sentence
