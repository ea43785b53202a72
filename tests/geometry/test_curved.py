"""Where a straight-line spread would mislead: intervals against vehicles drawn and worked out independently."""

import math

import numpy as np
import pytest

from geometry.figures import Facts, sheet
from geometry.figures.curved import candidates
from tests.outside.shapes import T1, fitted
from tests.reference.motion import Axle

SHAFT = T1 | {"driveshaft.axle": (180.0, 30.0, 430.0), "driveshaft.frame": (1500.0, 30.0, 560.0)}
INCLINE = math.degrees(math.atan2(130.0, 1320.0))
"""Of the driveshaft, deg: a pinion at this angle bends its joint by nothing."""
SHAFTS = (("incline:pinion", INCLINE, 0.3), ("incline:gearbox_output", -INCLINE, 0.3))


def wide(names, sd):
    return {f"{axis}:{name}": sd for name in names for axis in ("fore_aft", "lateral", "height")}


def test_a_far_instant_centre_has_the_lopsided_interval_of_drawn_linkages():
    links = [name for name in T1 if name.startswith(("lower", "upper"))]
    figure = sheet(fitted(T1, "four_link", spreads=wide(links, 9.0)), Facts()).figures["instant_centre.x"]
    rng = np.random.default_rng(3)
    drawn = []
    for _ in range(500):
        places = {name: np.array(place) + (rng.normal(0.0, 9.0, 3) if name in links else 0.0)
                  for name, place in T1.items()}
        found = Axle(places, "four_link").instant_centre()
        drawn.append(found[0] if found else math.inf)
    low, high = np.percentile(drawn, (2.275, 97.725))
    width = high - low
    assert figure.interval[0] == pytest.approx(low, abs=0.1 * width)
    assert figure.interval[1] == pytest.approx(high, abs=0.15 * width)
    assert figure.interval[1] - figure.value > 1.15 * (figure.value - figure.interval[0])


def test_a_joint_that_is_nearly_straight_has_an_angle_from_nothing_up():
    points = ("driveshaft.axle", "driveshaft.frame")
    found = fitted(SHAFT, "four_link", more=SHAFTS, spreads=wide(points, 6.0))
    figure = sheet(found, Facts()).figures["driveshaft_angle.axle"]
    rng = np.random.default_rng(4)
    angles = []
    for _ in range(4000):
        one, other = (np.array(SHAFT[name]) + rng.normal(0.0, 6.0, 3) for name in points)
        pinion = math.radians(INCLINE + rng.normal(0.0, 0.3))
        axis, shaft = np.array([math.cos(pinion), 0.0, math.sin(pinion)]), other - one
        angles.append(math.degrees(math.acos(min(1.0, axis @ shaft / np.linalg.norm(shaft)))))
    low, high = np.percentile(angles, (2.275, 97.725))
    assert figure.interval[0] >= 0.0
    assert figure.interval == (pytest.approx(low, abs=0.1), pytest.approx(high, rel=0.1))


def test_unevenness_of_a_nearly_straight_joint_is_drawn_too():
    found = fitted(SHAFT, "four_link", more=SHAFTS, spreads=wide(("driveshaft.axle", "driveshaft.frame"), 6.0))
    figure = sheet(found, Facts(driveshaft_joints="double")).figures["driveshaft_unevenness"]
    assert figure.interval is not None and 0.0 <= figure.interval[0] < figure.interval[1]


def test_a_figure_that_answers_in_proportion_keeps_its_plain_spread():
    found = sheet(fitted(T1, "four_link"), Facts()).figures
    assert candidates(found) == ()
    assert all(figure.interval is None for figure in found.values())
