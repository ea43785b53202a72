"""Centre of gravity along and across the vehicle from four scales: balance of moments.

Made case, by hand: 510, 530, 440, 460 kg (left front, right front, left rear, right rear), wheelbase 2700:
2700 x 900 / 1940 = 1252.577 behind the front axle; tracks 1550 and 1560: (-20 x 775 - 20 x 780) / 1940 = 16.031 to the
right. The rule of moments: FAA-H-8083-1, chapter 2 (from memory).
"""

from __future__ import annotations

import pytest

from tests.outside.shapes import T1, figures_of

SCALES = (
    ("weight:front_left", 510.0, 0.01),
    ("weight:front_right", 530.0, 0.01),
    ("weight:rear_left", 440.0, 0.01),
    ("weight:rear_right", 460.0, 0.01),
)


def test_on_a_front_axle_it_lies_behind_the_axle():
    front = {name: (-x, y, z) for name, (x, y, z) in T1.items()}
    found = figures_of(front, "four_link", "front", more=SCALES).figures["cg.x"]
    assert found.value == pytest.approx(-1252.577, abs=2e-3)


def test_on_a_rear_axle_it_lies_ahead_of_the_axle():
    found = figures_of(T1, "four_link", more=SCALES).figures["cg.x"]
    assert found.value == pytest.approx(2700.0 - 1252.577, abs=2e-3)


def test_axle_sums_and_the_total_say_the_same_as_four_scales():
    # By hand: front 1040, total 1940.
    sums = (("weight:front", 1040.0, 0.01), ("weight:total", 1940.0, 0.01))
    found = figures_of(T1, "four_link", more=sums).figures["cg.x"]
    assert found.value == pytest.approx(2700.0 - 1252.577, abs=2e-2)


def test_its_spread_comes_from_scales_of_one_percent():
    # First order by hand: with every scale at 1 % of its own reading, L ( f r (df/f (+) dr/r) / t ).
    one_percent = tuple((name, value, 0.01 * value) for name, value, _ in SCALES)
    found = figures_of(T1, "four_link", more=one_percent).figures["cg.x"]
    front, rear = (510.0**2 + 530.0**2) ** 0.5 * 0.01, (440.0**2 + 460.0**2) ** 0.5 * 0.01
    by_hand = 2700.0 * ((900.0 * front) ** 2 + (1040.0 * rear) ** 2) ** 0.5 / 1940.0**2
    assert found.sd == pytest.approx(by_hand, rel=2e-3)


@pytest.mark.parametrize("axle", ["front", "rear"])
def test_across_it_lies_to_the_heavier_side(axle):
    places = {name: (-x, y, z) for name, (x, y, z) in T1.items()} if axle == "front" else dict(T1)
    narrow = ("wheel", "other")[axle == "rear"]
    for side, y in (("left", 775.0), ("right", -775.0)):
        x, _, z = places[f"{narrow}_{side}.centre"]
        places[f"{narrow}_{side}.centre"] = (x, y, z)
    found = figures_of(places, "four_link", axle, more=SCALES).figures["cg.y"]
    assert found.value == pytest.approx(-16.031, abs=2e-3)
    assert not found.leans and found.needs == ()


def test_across_its_spread_comes_from_scales_of_one_percent():
    # First order by hand: each scale's 1 % times its wheel's distance from the centre of gravity, over the whole.
    one_percent = tuple((name, value, 0.01 * value) for name, value, _ in SCALES)
    found = figures_of(T1, "four_link", more=one_percent).figures["cg.y"]
    whole = sum(value for _, value, _ in SCALES)
    sides = zip((780.0, -780.0, 780.0, -780.0), (value for _, value, _ in SCALES), strict=True)
    middle = sum(side * value for side, value in sides) / whole
    sides = zip((780.0, -780.0, 780.0, -780.0), (value for _, value, _ in SCALES), strict=True)
    by_hand = sum((0.01 * value * (side - middle)) ** 2 for side, value in sides) ** 0.5 / whole
    assert found.sd == pytest.approx(by_hand, rel=2e-3)


def test_axle_sums_tell_nothing_across_and_the_wheels_to_weigh_are_named():
    sums = (("weight:front", 1040.0, 0.01), ("weight:total", 1940.0, 0.01))
    found = figures_of(T1, "four_link", more=sums).figures["cg.y"]
    assert found.value is None
    assert found.needs == ("weight:front_left", "weight:front_right", "weight:rear_left", "weight:rear_right")


def test_one_wheel_of_an_axle_and_its_sum_are_as_good_as_both():
    # By hand: 1040 - 510 = 530, 900 - 460 = 440.
    mixed = (("weight:front_left", 510.0, 0.01), ("weight:front", 1040.0, 0.01),
             ("weight:rear_right", 460.0, 0.01), ("weight:rear", 900.0, 0.01))
    both, all_four = (figures_of(T1, "four_link", more=more).figures["cg.y"].value for more in (mixed, SCALES))
    assert both == pytest.approx(all_four, abs=2e-2)
