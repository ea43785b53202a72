"""Layouts: links as the file names them, typical places on the proper side of the axle."""

from __future__ import annotations

import math

import pytest

from geometry.layouts import ALL, LAYOUTS
from geometry.points import points_of, typical_places

EVERY = [(layout, axle) for layout in LAYOUTS for axle in ("front", "rear")]


def test_the_four_layouts_have_the_links_the_file_names() -> None:
    # Source: the file's contract.
    assert {name: tuple(link.name for link in layout.links) for name, layout in LAYOUTS.items()} == {
        "three_link_panhard": ("lower_left", "lower_right", "upper", "panhard"),
        "four_link": ("lower_left", "lower_right", "upper_left", "upper_right"),
        "four_link_panhard": ("lower_left", "lower_right", "upper_left", "upper_right", "panhard"),
        "radius_arms_panhard": ("arm_left", "arm_right", "panhard"),
    }


@pytest.mark.parametrize("layout", ALL, ids=lambda layout: layout.name)
def test_a_layout_has_words_and_places_for_exactly_its_own_joints(layout) -> None:
    joints = [joint for link in layout.links for joint in (link.frame, *link.axle)]
    assert layout.words
    assert all(link.words and link.role in ("lower", "upper", "panhard", "arm") for link in layout.links)
    for inward in (-1, 1):
        assert sorted(layout.places(inward)) == sorted(joints)


@pytest.mark.parametrize(("layout", "axle"), EVERY)
def test_links_run_from_the_axle_towards_the_vehicle_s_middle(layout: str, axle: str) -> None:
    places = typical_places(layout, axle, 2700.0, 840.0)
    inward = -1.0 if axle == "front" else 1.0
    for link in LAYOUTS[layout].links:
        for joint in link.axle:
            reach = inward * (places[link.frame][0] - places[joint][0])
            assert abs(reach) < 1.0 if link.role == "panhard" else 600.0 < reach < 1200.0
            assert places[link.frame][2] >= places[joint][2]


@pytest.mark.parametrize(("layout", "axle"), EVERY)
def test_twins_stand_mirrored(layout: str, axle: str) -> None:
    places = typical_places(layout, axle, 2700.0, 840.0)
    for point in points_of(layout, axle).values():
        if point.twin:
            x, y, z = places[point.name]
            assert places[point.twin] == (x, -y, z)
            assert math.copysign(1.0, y) == point.side


@pytest.mark.parametrize("axle", ["front", "rear"])
def test_an_arm_s_front_bolt_is_the_vehicle_s_front_whichever_axle(axle: str) -> None:
    places = typical_places("radius_arms_panhard", axle, 2700.0, 840.0)
    assert places["arm_left.axle_front"][0] > places["arm_left.axle_rear"][0]


def test_places_follow_wheelbase_lengthwise_and_tyre_upwards() -> None:
    places = typical_places("four_link", "front", 5400.0, 420.0)
    assert places["other_left.centre"] == pytest.approx((-5400.0, 780.0, 0.475 * 420.0))
    assert places["lower_left.axle"][2] == pytest.approx(168.0)


def test_uppers_stand_above_lowers_and_the_steering_box_on_the_panhard_s_side() -> None:
    places = typical_places("four_link_panhard", "front", 2700.0, 840.0)
    assert places["upper_left.axle"][2] - places["lower_left.axle"][2] > 150.0
    assert places["drag_link.frame"][1] > 0.0 < places["panhard.frame"][1]


def test_the_driveshaft_leaves_the_pinion_towards_the_middle() -> None:
    for axle, inward in (("front", -1.0), ("rear", 1.0)):
        places = typical_places("four_link", axle, 2700.0, 840.0)
        assert inward * (places["driveshaft.frame"][0] - places["driveshaft.axle"][0]) > 500.0
