"""Centre of gravity along the vehicle from four scales: balance of moments about the axle.

Made case, by hand: 510, 530, 440, 460 kg (left front, right front, left rear, right rear), wheelbase 2700:
2700 x 900 / 1940 = 1252.577 behind the front axle. The rule of moments: FAA-H-8083-1, chapter 2 (from memory).
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
