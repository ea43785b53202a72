"""Caster, inclination, scrub and trail from two plumbed points of a steering axis, by trigonometry.

Two routes: atan of the sides; a unit vector.

Left side: lower joint (12, 705, 310), upper (-14, 662, 520): caster atan(26/210) = 7.05785 deg; its spread for 1 mm
on every coordinate 0.3800 deg.
"""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy.optimize import brentq

from geometry.figures import Facts
from geometry.figures.bodies import Surroundings, scene
from geometry.fit import Observation
from geometry.motion import at_ride
from tests.outside.shapes import T1, figures_of, fitted

KINGPINS = {
    "kingpin_left.bottom": (12.0, 705.0, 310.0),
    "kingpin_left.top": (-14.0, 662.0, 520.0),
    "kingpin_right.bottom": (12.0, -705.0, 310.0),
    "kingpin_right.top": (-14.0, -662.0, 520.0),
}
FRONT = {name: (-x, y, z) for name, (x, y, z) in T1.items()} | KINGPINS


def test_caster_is_positive_when_the_top_leans_rearward():
    # By trigonometry: 7.05785 deg. ISO 8855 leaves the sign to the axis's lean rearward at the top.
    found = figures_of(FRONT, "four_link", "front").figures
    assert found["caster.left"].value == pytest.approx(7.05785, abs=1e-5)
    assert found["caster.right"].value == pytest.approx(7.05785, abs=1e-5)
    assert found["caster"].value == pytest.approx(7.05785, abs=1e-5)


def test_the_spread_of_caster_from_1_mm_a_coordinate():
    # First order by hand: sqrt(2) * 1 mm over the side-view length hypot(26, 210), in degrees 0.3829; 0.3800 deg where
    # the heights are sure: sqrt(2) cos^2 / 210.
    sure = {f"fore_aft:kingpin_left.{end}": 1.0 for end in ("top", "bottom")}
    found = figures_of(FRONT, "four_link", "front", spreads=sure).figures["caster.left"]
    assert found.sd == pytest.approx(0.3800, rel=1e-3)
    by_hand = math.degrees(math.sqrt(2.0) / math.hypot(26.0, 210.0))
    spreads = {f"{axis}:kingpin_left.{end}": 1.0 for axis in ("fore_aft", "height") for end in ("top", "bottom")}
    found = figures_of(FRONT, "four_link", "front", spreads=spreads).figures["caster.left"]
    assert found.sd == pytest.approx(by_hand, rel=1e-3)
    assert found.sd == pytest.approx(0.3829, rel=1e-3)


def test_kingpin_inclination_scrub_and_trail_from_two_plumbed_points():
    # Two routes, trigonometry and a unit vector: inclination atan(43/210) = 11.57203 deg; the axis meets the floor at
    # (50.38095, 768.47619), so trail 50.381 for a wheel centre at x = 0 and scrub -8.476 for a wheel plane at y = 760.
    placed = FRONT | {"wheel_left.centre": (0.0, 760.0, 400.0), "wheel_right.centre": (0.0, -760.0, 400.0)}
    found = figures_of(placed, "four_link", "front").figures
    for side in ("left", "right"):
        assert found[f"kingpin_inclination.{side}"].value == pytest.approx(11.57203, abs=1e-5)
        assert found[f"trail.{side}"].value == pytest.approx(50.38095, abs=1e-4)
        assert found[f"scrub.{side}"].value == pytest.approx(-8.47619, abs=1e-4)


def test_caster_and_inclination_together_are_the_axis_s_true_tilt():
    # Trigonometry: the axis leans by atan(hypot(26, 43) / 210) = 13.45687 deg; its tangents add as squares.
    found = figures_of(FRONT, "four_link", "front").figures
    tangents = [math.tan(math.radians(found[f"{key}.left"].value)) for key in ("caster", "kingpin_inclination")]
    assert math.degrees(math.atan(math.hypot(*tangents))) == pytest.approx(13.45687, abs=1e-5)


def test_the_spreads_of_inclination_scrub_and_trail_are_those_of_the_uncertainties_package():
    from uncertainties import ufloat
    from uncertainties.umath import atan2

    lower, upper = ([ufloat(value, 1.0) for value in place] for place in ((12.0, 705.0, 310.0), (-14.0, 662.0, 520.0)))
    share = lower[2] / (upper[2] - lower[2])
    expected = {"kingpin_inclination.left": atan2(lower[1] - upper[1], upper[2] - lower[2]) * 180.0 / math.pi,
                "scrub.left": 780.0 - (lower[1] - share * (upper[1] - lower[1])),
                "trail.left": lower[0] - share * (upper[0] - lower[0])}
    spreads = {f"{axis}:kingpin_left.{end}": 1.0 for axis in ("fore_aft", "lateral", "height")
               for end in ("top", "bottom")}
    found = figures_of(FRONT, "four_link", "front", spreads=spreads).figures
    for key, value in expected.items():
        assert found[key].value == pytest.approx(value.nominal_value, abs=2e-3), key
        assert found[key].sd == pytest.approx(value.std_dev, rel=2e-3), key


@pytest.mark.parametrize(("caster", "inclination", "right", "left"), [
    (5.0, 9.0, -1.16514, 2.26766), (3.0, 12.0, -0.29238, 1.76669), (7.0, 8.5, -1.88440, 2.93119),
])  # fmt: skip
def test_a_steered_wheel_leans_as_its_kingpin_says(caster, inclination, right, left):
    # Turned about the axis with scipy Rotation until it heads 20 deg to the right and to the left: camber of the left
    # wheel, + its top outward. Half the change over sin 20 deg is about the caster: 5.0184, 3.0102, 7.0399.
    foot = np.array([0.0, 700.0, 300.0])
    lean = np.array([-math.tan(math.radians(caster)), -math.tan(math.radians(inclination)), 1.0])
    kingpins = {f"kingpin_{side}.{end}": tuple(place * np.array([1.0, way, 1.0]))
                for side, way in (("left", 1.0), ("right", -1.0))
                for end, place in (("bottom", foot), ("top", foot + 300.0 * lean))}  # fmt: skip
    base = fitted(FRONT | kingpins, "four_link", "front")
    ride = Surroundings(base, Facts(), base.estimate[None, :])

    def spindle(steer):
        return scene(ride, at_ride(ride.rig), np.array([steer])).spindle[0, 0, 0].real

    def off(steer, heading):
        x, y, _ = spindle(steer)
        return math.degrees(math.atan2(-x, y)) - heading

    camber = {}
    for heading in (-20.0, 20.0):
        camber[heading] = -math.degrees(math.asin(spindle(brentq(off, -30.0, 30.0, args=(heading,)))[2]))
    assert (camber[-20.0], camber[20.0]) == pytest.approx((right, left), abs=1e-4)
    rule = {5.0: 5.0184, 3.0: 3.0102, 7.0: 7.0399}[caster]
    assert 1.461902 * (camber[20.0] - camber[-20.0]) == pytest.approx(rule, abs=2e-4)


def test_a_caster_reading_on_a_sloping_floor_is_against_gravity():
    # By hand: a floor that climbs 1 deg to the front leans the whole axle rearward by 1 deg.
    fit = fitted(FRONT, "four_link", "front")
    level = fit.predict(("caster:left",))[0][0]
    sloped = fitted_on_slope(1.0).predict(("caster:left",))[0][0]
    assert level == pytest.approx(7.05785, abs=1e-5)
    assert sloped == pytest.approx(8.05785, abs=1e-4)


def fitted_on_slope(pitch: float):
    """The same points, read with heights and plumb lines on a floor that climbs `pitch` deg to the front."""
    from geometry.fit import Setup, fit

    slope = math.tan(math.radians(pitch))
    rows = []
    for name, (x, y, z) in FRONT.items():
        rows += [(f"height:{name}", z), (f"lateral:{name}", y), (f"fore_aft:{name}", x - z * slope)]
    observations = [Observation(name, value, name, sd=1e-3) for name, value in rows]
    observations.append(Observation("floor_slope:fore_aft", pitch, "floor_slope:fore_aft", sd=1e-7))
    observations.append(Observation("floor_slope:across", 0.0, "floor_slope:across", sd=1e-7))
    return fit(Setup("four_link", "front", 2700.0, 840.0), observations)
