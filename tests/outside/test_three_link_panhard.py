"""Roll centre and roll axis of a made three-link with a panhard bar: closed form, and the null space of the links.

The bar holds the axle sideways where it crosses the centre plane; the lower links, straight ahead, give the axis
their slope. Two routes agree to 1e-5: that construction, and the null space of the 4 x 6 link-constraint matrix.
"""

from __future__ import annotations

import math

import pytest

from tests.outside.shapes import THREE_LINK, figures_of

CROSSING = 560.0 + (620.0 - 560.0) * 430.0 / 850.0
"""Height of the bar from (430, 560) to (-420, 620) at y = 0: 590.352941."""


@pytest.fixture(scope="module")
def figures():
    return figures_of(THREE_LINK, "three_link_panhard").figures


def test_the_roll_centre_is_where_the_bar_crosses_the_centre_plane(figures):
    assert pytest.approx(590.352941, abs=1e-6) == CROSSING
    assert figures["roll_centre_height"].value == pytest.approx(590.352941, abs=1e-5)


def test_the_roll_axis_has_the_slope_of_the_lower_links(figures):
    # Two routes: 150 / 950 = 0.15789474.
    assert math.tan(math.radians(figures["roll_axis_incline"].value)) == pytest.approx(150.0 / 950.0, abs=1e-8)


def test_the_instant_centre_of_the_made_three_link(figures):
    # Two routes: (2480.75472, 721.69811).
    assert figures["instant_centre.x"].value == pytest.approx(2480.75472, abs=1e-5)
    assert figures["instant_centre.z"].value == pytest.approx(721.69811, abs=1e-5)


def test_a_bar_behind_the_axle_moves_the_roll_centre_along_the_axis():
    # Closed form: the axis passes the bar at x = -150 at 590.352941, so above the axle it is 150 x 150/950 higher.
    moved = THREE_LINK | {"panhard.axle": (-150.0, 430.0, 560.0), "panhard.frame": (-150.0, -420.0, 620.0)}
    found = figures_of(moved, "three_link_panhard").figures
    assert found["roll_centre_height"].value == pytest.approx(614.037152, abs=1e-5)
