"""ISO 8855:2011 signs: x forward, y left, z up; roll + lifts the left side, pitch + drops the front, yaw + turns left.

Sign conventions read in public summaries of ISO 8855; caster + with the top leaning rearward, in public glossaries.
Each test makes a shape whose motion has one plain sign and looks at that sign.
"""

from __future__ import annotations

import numpy as np
import pytest
from scipy.spatial.transform import Rotation

from tests.outside.shapes import T1, THREE_LINK, figures_of, fitted


def test_the_left_wheel_has_positive_y_and_the_worked_axle_stands_at_x_0():
    placed = fitted({name: (x + 321.0, y, z) for name, (x, y, z) in T1.items()}, "four_link").placed()
    assert placed["wheel_left.centre"].y == pytest.approx(780.0, abs=1e-4)
    assert placed["wheel_left.centre"].x == pytest.approx(0.0, abs=1e-4)
    assert placed["other_left.centre"].x == pytest.approx(2700.0, abs=1e-4)
    assert placed["upper_left.frame"].x == pytest.approx(800.0, abs=1e-4)


def test_a_panhard_whose_frame_end_is_low_on_the_left_moves_the_axle_left_in_bump():
    # Frame end left and lower than the axle end: as the axle rises the bar's run shortens and draws it left.
    shape = THREE_LINK | {"panhard.axle": (0.0, -430.0, 560.0), "panhard.frame": (0.0, 420.0, 500.0)}
    sheet = figures_of(shape, "three_link_panhard")
    column = dict(zip(sheet.sweep.travel, sheet.sweep.columns["lateral_shift"].values, strict=True))
    assert column[50.0] > 1.0
    assert column[-50.0] < -1.0


def test_nose_down_is_a_positive_turn_about_y():
    # scipy Rotation about +y takes the forward axis down; T1's axle turns that way in bump, so a forward pinion dips.
    assert Rotation.from_euler("y", 1.0, degrees=True).apply([1.0, 0.0, 0.0])[2] < 0.0
    sheet = figures_of(T1, "four_link")
    column = dict(zip(sheet.sweep.travel, sheet.sweep.columns["pinion_change"].values, strict=True))
    assert column[50.0] < -1.0 < 0.0 < 1.0 < column[-50.0]


def test_the_roll_axis_incline_is_positive_when_it_rises_to_the_front():
    # Lower links that climb forward carry the axis up with them; turned end for end they let it fall.
    climbing = figures_of(THREE_LINK, "three_link_panhard").figures["roll_axis_incline"].value
    falling_shape = dict(THREE_LINK)
    for side in ("left", "right"):
        x, y, _ = THREE_LINK[f"lower_{side}.frame"]
        falling_shape[f"lower_{side}.frame"] = (x, y, 230.0)
    falling = figures_of(falling_shape, "three_link_panhard").figures["roll_axis_incline"].value
    assert climbing > 5.0 and falling < -2.0
    assert np.tan(np.radians(falling)) == pytest.approx(-100.0 / 950.0, abs=1e-6)
