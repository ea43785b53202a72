"""A textbook four-bar's position and velocity, with the axle as its coupler.

Norton, Design of Machinery, examples 4-1 and 6-7 (figures from memory, recomputed with scipy's fsolve and by difference
quotient; instant centres the other way round): ground 100, crank 40, coupler 120, rocker 80, crank at 40 deg. Open:
coupler 20.29788, rocker 57.32488 deg; crossed: -60.97797, -98.00496. Crank at 25 rad/s, open: coupler -4.120914, rocker
6.997985 rad/s; centre of the coupler against the ground (216.53364, 181.69330); that of crank against rocker at
x = -38.87334 on the ground line.

Here in side view, ten times as large in mm: the lower links are the crank, the upper link the rocker, a bar across
holds the axle in its plane. Angles go from ahead up, so that a turn about +y counts downward.
"""

from __future__ import annotations

import math

import numpy as np
import pytest

from geometry import motion
from geometry.figures import Facts
from geometry.figures.ride import Ride
from tests.outside.shapes import Places, figures_of, fitted, pair, wheels

GROUND, CRANK, COUPLER, ROCKER = 1000.0, 400.0, 1200.0, 800.0
FLOOR = 600.0
"""The fixed pivots stand so far over the floor."""
OPEN, CROSSED = (20.29788, 57.32488), (-60.97797, -98.00496)
FIXED = np.array([[0.0, FLOOR], [GROUND, FLOOR]])


def joints(crank: float, up: float) -> np.ndarray:
    """Both ends of the coupler, (2, 2) x and z, by the two circles' crossing: up +1 on the open side, -1 crossed."""
    first = FIXED[0] + CRANK * np.array([math.cos(math.radians(crank)), math.sin(math.radians(crank))])
    off = FIXED[1] - first
    apart = math.hypot(*off)
    along = (apart**2 + COUPLER**2 - ROCKER**2) / (2.0 * apart)
    beside = up * math.sqrt(COUPLER**2 - along**2)
    way = off / apart
    return np.array([first, first + along * way + beside * np.array([-way[1], way[0]])])


def shape(ends: np.ndarray) -> Places:
    """The axle's centre is the crank's pin."""
    (ax, az), (bx, bz) = ends.tolist()
    places = {
        **pair("lower", ".axle", ax, 500.0, az), **pair("lower", ".frame", *(FIXED[0][0], 500.0, FIXED[0][1])),
        "upper.axle": (bx, 0.0, bz), "upper.frame": (FIXED[1][0], 0.0, FIXED[1][1]),
        "panhard.axle": (ax, 1e5, az), "panhard.frame": (ax, -1e5, az),
    }  # fmt: skip
    return places | {name: (ax + x, y, z) for name, (x, y, z) in wheels(az, 780.0, 2700.0).items()}


def angle(of: np.ndarray) -> float:
    return math.degrees(math.atan2(of[1], of[0]))


@pytest.mark.parametrize(("up", "expected"), [(1.0, OPEN), (-1.0, CROSSED)])
def test_driven_from_50_deg_of_crank_to_40_the_coupler_and_the_rocker_lie_as_in_the_textbook(up, expected):
    ends = joints(50.0, up)
    ride = Ride(fitted(shape(ends), "three_link_panhard"), Facts())
    pin = CRANK * (math.sin(math.radians(40.0)) - math.sin(math.radians(50.0)))
    swept = motion.sweep(ride.real_rig, np.array([pin]))
    assert swept.reached.all()
    shift, turn = swept.pose.shift[0, 0], swept.pose.turn[0, 0]
    first = ends[0] + shift[[0, 2]]
    second = first + turn[[0, 2]][:, [0, 2]] @ (ends[1] - ends[0])
    assert angle(first - FIXED[0]) == pytest.approx(40.0, abs=1e-4)
    assert angle(second - first) == pytest.approx(expected[0], abs=1e-4)
    assert angle(second - FIXED[1]) == pytest.approx(expected[1], abs=1e-4)


def test_the_instant_centre_is_that_of_the_coupler_against_the_ground():
    ends = joints(40.0, 1.0)
    assert ends[1] - FIXED[0] == pytest.approx(np.array([1431.8999, 673.3962]), abs=1e-3)
    found = figures_of(shape(ends), "three_link_panhard").figures
    assert found["instant_centre.x"].value + ends[0][0] == pytest.approx(2165.3364, abs=1e-3)
    assert found["instant_centre.z"].value - FLOOR == pytest.approx(1816.9330, abs=1e-3)


def test_coupler_and_rocker_turn_as_fast_as_in_the_textbook():
    ends = joints(40.0, 1.0)
    ride = Ride(fitted(shape(ends), "three_link_panhard"), Facts())
    spin, velocity = (part[0, 0].real for part in (ride.heave.spin, ride.heave.velocity))
    per_second = 25.0 * CRANK * math.cos(math.radians(40.0))
    coupler = -spin[1] * per_second
    arm = ends[1] - ends[0]
    second = velocity[[0, 2]] * per_second + coupler * np.array([-arm[1], arm[0]])
    rocker = second[1] / (ends[1] - FIXED[1])[0]
    assert coupler == pytest.approx(-4.120914, abs=1e-5)
    assert rocker == pytest.approx(6.997985, abs=1e-5)
    # Kennedy: crank and rocker turn about a common centre on the ground line, so that 25 x = rocker (x - 100).
    assert rocker * 100.0 / (rocker - 25.0) == pytest.approx(-38.87334, abs=1e-4)
