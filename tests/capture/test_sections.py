"""Where on the way something is so, in words."""

import pytest

from capture.screens.sections import where


@pytest.mark.parametrize(("travel", "lifted", "steer", "said"), [
    (0.0, 0.0, 0.0, "at ride height"),
    (0.0, 0.0, 30.0, "at ride height, steered 30° left"),
    (-80.0, 0.0, -12.0, "at 80 mm droop, steered 12° right"),
    (-10.0, 180.0, 0.0, "with the left wheel 180 mm higher"),
    (-10.0, -180.0, 0.0, "with the right wheel 180 mm higher"),
    (40.0, -80.0, 0.0, "with the right wheel 80 mm up"),
    (40.0, 80.0, 0.0, "with the left wheel 80 mm up"),
    (-50.0, -100.0, 0.0, "with the left wheel 100 mm down"),
    (-50.0, 100.0, 5.0, "with the right wheel 100 mm down, steered 5° left"),
])  # fmt: skip
def test_a_place_on_the_way_is_said_as_a_person_would(travel, lifted, steer, said):
    assert where(travel, lifted, "mm", steer) == said
