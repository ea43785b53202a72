"""Spreads of figures against propagation done elsewhere: the `uncertainties` library, and a million random draws.

First-order sd from uncertainties 3.2; random draws with numpy (1e6) in the first two. Left and right joints are read
independently here, so each side gets sqrt(2) times the spread that stands for the mean of both.
"""

from __future__ import annotations

import math

import pytest

from geometry.figures import Facts
from tests.outside.shapes import T1, THREE_LINK, figures_of, pair, wheels

ROOT2 = math.sqrt(2.0)
SIDE_VIEW = {
    **pair("lower", ".axle", 0.0, 500.0, 330.0),
    **pair("lower", ".frame", 950.0, 500.0, 480.0),
    "upper.axle": (60.0, 0.0, 600.0),
    "upper.frame": (800.0, 0.0, 640.0),
    "panhard.axle": (-150.0, 430.0, 560.0),
    "panhard.frame": (-150.0, -420.0, 560.0),
    **wheels(400.0, 780.0, 2700.0),
}


def spread_joints(names, axes, sd):
    return {f"{axis}:{name}": sd for name in names for axis in axes}


LOWERS = ("lower_left.axle", "lower_left.frame", "lower_right.axle", "lower_right.frame")
PLANE = {
    **spread_joints(("upper.axle", "upper.frame"), ("fore_aft", "height"), 2.0),
    **spread_joints(LOWERS, ("fore_aft", "height"), 2.0 * ROOT2),
}


def test_the_spread_of_an_instant_centre_from_eight_coordinates():
    # uncertainties: x 2568.90 +- 101.42, z 735.62 +- 13.08 (1e6 draws: 102.3 and 13.18).
    found = figures_of(SIDE_VIEW, "three_link_panhard", spreads=PLANE).figures
    assert found["instant_centre.x"].value == pytest.approx(2568.904, abs=0.5)
    assert found["instant_centre.x"].sd == pytest.approx(101.42, rel=2e-3)
    assert found["instant_centre.z"].sd == pytest.approx(13.08, rel=2e-3)


def test_the_spread_of_anti_squat_with_links_alone_and_with_cg_and_wheelbase():
    # uncertainties: h 700 +- 15, L 2700 +- 3: 110.451 +- 3.567 %; h and L exact: +- 2.666.
    facts, cg = Facts(drive_share_front=0.0), ("cg_height:estimate", 700.0, 1e-3)
    links_alone = figures_of(SIDE_VIEW, "three_link_panhard", facts=facts, more=(cg,), spreads=PLANE)
    assert links_alone.figures["anti_squat"].sd == pytest.approx(2.666, rel=2e-3)
    loose = PLANE | {"cg_height:estimate": 15.0}
    loose |= {f"fore_aft:other_{side}.centre": 3.0 * ROOT2 for side in ("left", "right")}
    both = figures_of(SIDE_VIEW, "three_link_panhard", facts=facts, more=(cg,), spreads=loose)
    assert both.figures["anti_squat"].sd == pytest.approx(3.567, rel=3e-3)


def test_the_spread_of_a_panhards_roll_centre():
    # uncertainties: ends (430, 560) and (-420, 620), sd 2 mm each way: 590.353 +- 1.418.
    ends = spread_joints(("panhard.axle", "panhard.frame"), ("lateral", "height"), 2.0)
    found = figures_of(THREE_LINK, "three_link_panhard", spreads=ends).figures["roll_centre_height"]
    assert found.value == pytest.approx(590.353, abs=2e-3)
    assert found.sd == pytest.approx(1.418, rel=1e-3)


def test_the_spreads_of_a_triangulated_four_links_roll_axis():
    # uncertainties and 1e6 draws, sd 2 mm on the twelve left coordinates, the right side their mirror image:
    # height 617.10 +- 3.15, slope 0.12767 +- 0.00321.
    joints = [f"{link}_{s}.{e}" for link in ("lower", "upper") for s in ("left", "right") for e in ("axle", "frame")]
    spreads = spread_joints(joints, ("fore_aft", "lateral", "height"), 2.0 * ROOT2)
    found = figures_of(T1, "four_link", spreads=spreads).figures
    assert found["roll_centre_height"].sd == pytest.approx(3.15, rel=4e-3)
    assert found["roll_steer"].sd == pytest.approx(0.00321, rel=4e-3)
