"""Rod ends of the made four-link T1 in roll, by scipy: full closure, then the link's angle out of the plane square to
its bolt. Bolts level and square to each link in plan at ride height. Roll +3 deg with the centre's height held."""

from __future__ import annotations

import math

import numpy as np
import pytest

from geometry.figures import Facts
from geometry.figures.joints import lean
from geometry.figures.ride import Ride
from geometry.figures.taken import take
from tests.outside.shapes import T1, fitted

RADIAN = math.pi / 180.0
LIFT = 1560.0 * math.sin(3.0 * RADIAN) * math.cos(0.08058 * RADIAN)
"""Left contact over right, 1560 mm apart, at roll 3 and pitch -0.08058 deg (angles in the order z y x)."""


@pytest.mark.parametrize(
    ("link", "frame", "axle"), [("upper_left", -0.0948, -0.3991), ("lower_left", -0.8426, -0.8327)]
)
def test_rod_ends_lean_in_roll_as_the_closure_says(link, frame, axle):
    ride = Ride(fitted(T1, "four_link"), Facts())
    at, reached = take(ride, np.zeros(1), np.array([LIFT]))
    assert reached.all()
    kind = next(one for one in ride.layout.links if one.name == link)
    x, y, _ = np.subtract(T1[f"{link}.frame"], T1[f"{link}.axle"])
    found = [float(lean(ride, at, kind, end, (-y, x, 0.0))[0, 0].real) for end in ("frame", "axle")]
    assert found == pytest.approx([frame, axle], abs=1e-4)
