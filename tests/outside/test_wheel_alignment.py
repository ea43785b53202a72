"""Caster from two plumbed points of a steering axis, by trigonometry (two routes: atan of the sides; a unit vector).

Left side: lower joint (12, 705, 310), upper (-14, 662, 520): caster atan(26/210) = 7.05785 deg; its spread for 1 mm
on every coordinate 0.3800 deg.
"""

from __future__ import annotations

import math

import pytest

from geometry.fit import Observation
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
    # First order by hand: sqrt(2) * 1 mm over the side-view length hypot(26, 210), in degrees 0.3829;
    # 0.3800 deg where the slope is taken as x over z: sqrt(2) (cos^2 / 210) hypot(1, 26/210).
    by_hand = math.degrees(math.sqrt(2.0) / math.hypot(26.0, 210.0))
    spreads = {f"{axis}:kingpin_left.{end}": 1.0 for axis in ("fore_aft", "height") for end in ("top", "bottom")}
    found = figures_of(FRONT, "four_link", "front", spreads=spreads).figures["caster.left"]
    assert found.sd == pytest.approx(by_hand, rel=1e-3)
    assert found.sd == pytest.approx(0.3829, rel=1e-3)


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
