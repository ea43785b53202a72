"""Points and their names: bodies, twins, words, derived points, refusals."""

from __future__ import annotations

import pytest

from geometry.errors import BadLayout, BadName
from geometry.layouts import LAYOUTS
from geometry.points import combination, own_place, point_named, points_of, side_of, typical_places

AXLES = ("front", "rear")
EVERY = [(layout, axle) for layout in LAYOUTS for axle in AXLES]


@pytest.mark.parametrize(("layout", "axle"), EVERY)
def test_a_twin_s_twin_is_the_point_itself_on_the_same_body(layout: str, axle: str) -> None:
    points = points_of(layout, axle)
    paired = [point for point in points.values() if point.twin]
    assert len(paired) >= 4
    for point in paired:
        assert point.twin is not None
        twin = points[point.twin]
        assert (twin.twin, twin.side, twin.body, twin.group) == (point.name, -point.side, point.body, point.group)


@pytest.mark.parametrize(("layout", "axle"), EVERY)
def test_every_fixed_point_has_a_typical_place_and_its_own_words(layout: str, axle: str) -> None:
    points = points_of(layout, axle)
    assert list(typical_places(layout, axle, 2700.0, 840.0)) == list(points)
    assert len({point.words for point in points.values()}) == len(points)
    assert len({point.phrase for point in points.values()}) == len(points)


def test_a_three_link_front_has_the_points_of_its_links_wheels_steering_and_driveshaft() -> None:
    # Source: counted by hand, 4 links x 2 + 4 wheels + 4 kingpin ends + 2 tie rod + 2 drag link + 2 driveshaft.
    assert len(points_of("three_link_panhard", "front")) == 22
    assert len(points_of("three_link_panhard", "rear")) == 14
    assert len(points_of("radius_arms_panhard", "rear")) == 3 + 3 + 2 + 4 + 2


def test_points_stand_on_the_body_they_move_with() -> None:
    points = points_of("radius_arms_panhard", "front")
    body = {name: point.body for name, point in points.items()}
    assert body["arm_left.frame"] == "frame"
    assert body["arm_left.axle_rear"] == "axle"
    assert body["wheel_left.centre"] == "axle"
    assert body["other_left.centre"] == "other"
    assert body["drag_link.frame"] == "frame"
    assert body["drag_link.axle"] == "steering"
    assert body["kingpin_left.top"] == "axle"


def test_words_say_which_wheel_and_which_bolt() -> None:
    assert points_of("four_link", "rear")["other_left.centre"].phrase == "the left front wheel"
    assert points_of("four_link", "front")["wheel_right.centre"].phrase == "the right front wheel"
    assert point_named("lower_left.frame", "four_link", "front").words == "left lower link, frame bolt"
    assert point_named("lower_left.frame", "four_link", "front").phrase == "the left lower link's frame bolt"
    assert point_named("keep_clear.oil_pan", "four_link", "front").phrase == "the oil pan"


def test_a_link_s_middle_is_half_of_each_end() -> None:
    assert combination("lower_left.middle", "four_link", "rear") == {"lower_left.frame": 0.5, "lower_left.axle": 0.5}


def test_an_arm_s_middle_lies_between_its_frame_end_and_the_middle_of_its_axle_bolts() -> None:
    shares = combination("arm_left.middle", "radius_arms_panhard", "front")
    assert shares == {"arm_left.frame": 0.5, "arm_left.axle_front": 0.25, "arm_left.axle_rear": 0.25}


def test_the_axle_centre_is_the_middle_of_its_wheels() -> None:
    assert combination("axle.centre", "four_link", "rear") == {"wheel_left.centre": 0.5, "wheel_right.centre": 0.5}


@pytest.mark.parametrize("name", ["keep_clear.sump", "mark.front_left", "keep_clear.Ölwanne", "mark.7"])
def test_a_person_s_own_point_stands_for_itself(name: str) -> None:
    assert combination(name, "four_link", "rear") == {name: 1.0}
    assert point_named(name, "four_link", "rear").body == "frame"


def test_a_changed_combination_does_not_change_the_next_one() -> None:
    combination("axle.centre", "four_link", "rear").clear()
    assert combination("axle.centre", "four_link", "rear")


@pytest.mark.parametrize(
    ("name", "says"),
    [
        ("lower_lfet.frame", "did you mean lower_left.frame?"),
        ("panhard.frame", "no point panhard.frame in this layout"),
        ("upper.frame", "did you mean upper_"),
        ("kingpin_left.top", "belong to a front axle"),
        ("keep_clear.", "after keep_clear. comes a name"),
        ("keep_clear.oil pan", "after keep_clear. comes a name"),
        ("mark." + "x" * 41, "after mark. comes a name"),
        ("", "its points are"),
        ("cg", "its points are"),
        ("lower_left.frame\n", "lower_left.frame"),
    ],
)
def test_a_point_that_is_not_there_is_refused_with_what_would_be_right(name: str, says: str) -> None:
    with pytest.raises(BadName) as refusal:
        combination(name, "four_link", "rear")
    assert says in str(refusal.value)


def test_a_layout_or_axle_that_is_not_there_is_refused() -> None:
    with pytest.raises(BadLayout, match="did you mean four_link"):
        points_of("four_lnik", "front")
    with pytest.raises(BadLayout, match="neither front nor rear"):
        points_of("four_link", "middle")


def test_left_and_right_are_read_from_whole_words_only() -> None:
    names = ("mark.left_rail", "mark.right-1", "mark.bright", "mark.left_right")
    assert [side_of(name) for name in names] == [1, -1, 0, 0]


def test_a_person_s_own_point_is_looked_for_where_its_name_says() -> None:
    x, y, z = own_place("mark.rear_left", "front", 2600.0, 800.0)
    assert (x, y) == (-2600.0, 430.0)
    assert 0.0 < z < 800.0
    assert own_place("mark.front_right", "rear", 2600.0, 800.0)[:2] == (2600.0, -430.0)
