"""Driveshaft of the made four-link T1, by scipy: joint angles and length from the closed linkage.

Pinion joint at ride height (180, 30, 430), pinion axis 4 deg nose up; gearbox joint (1500, 30, 560), its joint end
pointing rearward on a rear axle, 3 deg down at that end (so that its axis runs along (cos 3, 0, sin 3)).
"""

from __future__ import annotations

import pytest

from tests.outside.shapes import T1, columns_at, figures_of

SHAFT = T1 | {"driveshaft.axle": (180.0, 30.0, 430.0), "driveshaft.frame": (1500.0, 30.0, 560.0)}
MORE = (
    ("incline:pinion", 4.0, 1e-6),
    ("incline:gearbox_output", -3.0, 1e-6),
    ("travel:bump", 100.0, 1e-3),
    ("travel:droop", 100.0, 1e-3),
)


@pytest.fixture(scope="module")
def sheet():
    return figures_of(SHAFT, "four_link", more=MORE)


def at(sheet, name, travel):
    return sheet.sweep.columns[name].values[sheet.sweep.travel.index(travel)]


def test_the_joint_angles_at_ride_height(sheet):
    # scipy: 1.62463 deg at the pinion, 2.62463 at the gearbox.
    assert at(sheet, "driveshaft_angle.axle", 0.0) == pytest.approx(1.62463, abs=1e-5)
    assert at(sheet, "driveshaft_angle.frame", 0.0) == pytest.approx(2.62463, abs=1e-5)
    assert sheet.figures["pinion_angle"].value == pytest.approx(4.0, abs=1e-6)


def test_the_joint_angles_and_the_plunge_in_bump():
    # scipy at +75: length 1327.16327 from 1326.38607, pinion joint 0.43148, gearbox 0.37855, pinion slope 2.18997.
    found = columns_at(SHAFT, "four_link", (75.0,), more=MORE)
    assert found["driveshaft_length_change"][0] == pytest.approx(1327.16327 - 1326.38607, abs=2e-5)
    assert found["driveshaft_angle.axle"][0] == pytest.approx(0.43148, abs=2e-5)
    assert found["driveshaft_angle.frame"][0] == pytest.approx(0.37855, abs=2e-5)
    assert found["pinion_change"][0] == pytest.approx(2.18997 - 4.0, abs=2e-5)
