"""The walk: every reading exists, the order spares knees, guards follow what they guard, counts are honest."""

from __future__ import annotations

import pytest

from capture.walk import CHECK, CORE, MORE, Progress, own_point_name, walk_of
from geometry.layouts import LAYOUTS
from geometry.readings import parse_name

BOTH = [(layout, axle) for layout in LAYOUTS for axle in ("front", "rear")]


def readings(layout: str = "three_link_panhard", axle: str = "front", *priorities: str) -> list[str]:
    return [step.key for step in walk_of(layout, axle).steps if not priorities or step.priority in priorities]


@pytest.mark.parametrize(("layout", "axle"), BOTH)
def test_every_reading_asked_exists_on_that_layout(layout: str, axle: str):
    for step in walk_of(layout, axle).steps:
        assert parse_name(step.reading, layout, axle).text == step.reading


@pytest.mark.parametrize(("layout", "axle"), BOTH)
def test_no_step_stands_twice_and_every_step_says_why(layout: str, axle: str):
    walk = walk_of(layout, axle)
    assert len({step.key for step in walk.steps}) == len(walk.steps)
    assert all(step.why.endswith((".", "?")) for step in walk.steps)
    assert {step.station for step in walk.steps} == {station.key for station in walk.stations}


def test_the_short_walk_of_a_front_three_link_has_about_65_readings():
    # Source: the short set of common practice for this layout is about 65 readings, one to one and a half hours.
    assert 60 <= len(readings("three_link_panhard", "front", CORE)) <= 72


@pytest.mark.parametrize(("layout", "axle"), BOTH)
def test_the_incline_of_a_link_follows_its_two_heights_at_once(layout: str, axle: str):
    order = readings(layout, axle)
    for link in LAYOUTS[layout].links:
        ends = [f"height:{end}" for end in (*link.axle, link.frame)]
        incline = next(name for name in order if name.startswith(f"incline:{link.name}."))
        assert order[order.index(incline) - len(ends):order.index(incline)] == ends


def test_every_joint_of_every_link_gets_all_three_coordinates_in_the_short_walk():
    for layout, axle in BOTH:
        core = set(readings(layout, axle, CORE))
        for link in LAYOUTS[layout].links:
            for end in (*link.axle, link.frame):
                assert {f"height:{end}", f"fore_aft:{end}", f"lateral:{end}"} <= core


def test_the_short_walk_leaves_no_joint_of_the_driveshaft_to_a_guess():
    # Its angles hang on how far the two joints lie apart sideways as much as in height.
    for layout, axle in BOTH:
        core = set(readings(layout, axle, CORE))
        ends = ("driveshaft.axle", "driveshaft.frame")
        assert {f"{kind}:{end}" for kind in ("height", "fore_aft", "lateral") for end in ends} <= core


def test_steering_is_asked_of_a_front_axle_only():
    assert any("drag_link" in name for name in readings("four_link_panhard", "front"))
    assert not any(part in name for name in readings("four_link_panhard", "rear")
                   for part in ("drag_link", "tie_rod", "kingpin", "caster"))


def test_a_layout_without_a_panhard_bar_has_no_station_at_the_end_of_a_rear_axle():
    assert "axle_end" not in {station.key for station in walk_of("four_link", "rear").stations}
    assert "axle_end" in {station.key for station in walk_of("four_link_panhard", "rear").stations}


def test_the_frame_marks_come_first_and_once_more_last():
    order = readings()
    marks = [name for name in order if name.startswith("height:mark.") and "#" not in name]
    assert order[-len(marks):] == [f"{name}#2" for name in marks]
    assert order.index(marks[-1]) < order.index("height:wheel_left.centre")


def test_what_needs_crawling_is_done_in_one_pass_from_left_to_right():
    order = [station.key for station in walk_of("three_link_panhard", "front").stations]
    assert order.index("under_left") + 2 == order.index("under_middle") + 1 == order.index("under_right")
    assert order.index("other_wheels") < order.index("under_left") < order.index("bench")


def test_the_links_come_before_steering_driveline_and_travel():
    order = readings()
    last_link = order.index("lateral:lower_right.frame")
    for later in ("height:drag_link.axle", "incline:pinion", "travel:bump", "span:lower_left.axle~lower_left.frame"):
        assert last_link < order.index(later)


def test_readings_of_the_log_that_no_station_asks_for_stay_in_reach():
    walk = walk_of("three_link_panhard", "front", ["rise:panhard.axle~panhard.frame", "height:lower_left.frame"])
    assert [step.reading for step in walk.at("others")] == ["rise:panhard.axle~panhard.frame"]


def test_an_own_point_gets_its_three_readings_and_a_plain_name():
    assert own_point_name(" Oil pan, left! ") == "keep_clear.oil_pan_left"
    assert own_point_name("…") == ""
    walk = walk_of("four_link", "rear", ["height:keep_clear.tank"], ["keep_clear.exhaust"])
    assert [step.reading for step in walk.at("own")] == [
        f"{kind}:keep_clear.{name}" for name in ("tank", "exhaust") for kind in ("height", "fore_aft", "lateral")
    ]


def test_a_reading_between_two_points_is_found_either_way_round():
    walk = walk_of("three_link_panhard", "front")
    assert walk.find("span:lower_left.frame~lower_left.axle").reading == "span:lower_left.axle~lower_left.frame"
    assert walk.find("height:mark.rear_left#2").take == 2
    assert walk.find("height:nowhere") is None


def test_next_is_the_first_core_step_that_is_neither_taken_nor_skipped_nor_out_of_reach():
    walk = walk_of("three_link_panhard", "front")
    first, second, third, fourth = [step.reading for step in walk.steps[:4]]
    progress = Progress(walk, {first: 1}, out_of_reach=[second])
    assert progress.next(skipped=[third]).reading == fourth


def test_checks_are_offered_once_the_core_is_done_and_more_never():
    walk = walk_of("three_link_panhard", "front")
    takes = {step.reading: step.take for step in walk.steps if step.priority == CORE}
    progress = Progress(walk, takes)
    assert progress.next().priority == CHECK
    takes |= {step.reading: step.take for step in walk.steps if step.priority == CHECK}
    assert Progress(walk, takes).next() is None
    assert any(step.priority == MORE for step in walk.steps)


def test_one_take_of_a_mark_does_not_count_for_its_second_reading():
    walk = walk_of("three_link_panhard", "front")
    again = walk.find("height:mark.front_left#2")
    assert not Progress(walk, {again.reading: 1}).taken(again)
    assert Progress(walk, {again.reading: 2}).taken(again)


def test_a_count_holds_the_core_and_whatever_else_was_read():
    walk = walk_of("three_link_panhard", "front")
    core = len(walk.at("under_left")) - 1   # the middle of the link is extra
    assert Progress(walk, {}).count("under_left").of == core
    middle = Progress(walk, {"height:lower_left.middle": 1}, in_doubt=["height:lower_left.middle"]).count("under_left")
    assert (middle.done, middle.of, middle.doubts, middle.left) == (1, core + 1, 1, core)

