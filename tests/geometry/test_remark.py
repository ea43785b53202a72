"""A value typed far from what the rest says gets a remark, with the slip that explains it; a good one gets none."""

import pytest

from geometry.doubt import remark
from geometry.fit import Observation, Setup, fit
from geometry.remark import expect

SETUP = Setup("three_link_panhard", "front", 2700.0, 840.0)
LINK = "lower_left.axle~lower_left.frame"


def seen(**values: float) -> list[Observation]:
    names = {name.replace("__", ":").replace("_to_", "~"): value for name, value in values.items()}
    return [Observation(name, value, name) for name, value in names.items()]


# A link 900 long lying 100 higher at the frame, by hand: its incline is asin(100 / 906) = 6.34 degrees.
LEFT_LINK = [
    Observation("height:lower_left.axle", 340.0, "a"),
    Observation(f"span:{LINK}", 905.5, "b"),
    Observation(f"incline:{LINK}", 6.34, "c"),
    Observation("floor_slope:fore_aft", 0.0, "d"),
]


def test_a_height_that_a_links_incline_foretells_is_expected_there() -> None:
    known = expect(fit(SETUP, LEFT_LINK), "height:lower_left.frame")
    assert known.value == pytest.approx(440.0, abs=1.0)
    # By hand: 2 mm of the height and 0.2 degrees and 0.1 degrees of floor over 900 mm: 4.0 mm.
    assert known.sd == pytest.approx(4.0, abs=0.4)
    assert not known.leans
    assert f"incline:{LINK}" in known.rests_on and "height:lower_left.axle" in known.rests_on


def test_an_inch_too_much_is_remarked_with_the_inch_and_the_value_it_leaves() -> None:
    found = remark(fit(SETUP, LEFT_LINK), "height:lower_left.frame", 18.375 * 25.4, unit="in", text="18 3/8")
    assert found is not None and found.likely is not None
    assert found.likely.mistake == "one inch"
    assert found.likely.value == pytest.approx(17.375 * 25.4)
    assert found.difference == pytest.approx(found.typed - found.expected)


def test_a_value_within_the_spread_gets_no_remark() -> None:
    for value in (430.0, 440.0, 450.0):
        assert remark(fit(SETUP, LEFT_LINK), "height:lower_left.frame", value) is None


def test_the_remark_begins_where_the_difference_passes_the_critical_value() -> None:
    fitted = fit(SETUP, LEFT_LINK)
    known = expect(fitted, "height:lower_left.frame")
    spread = (known.sd**2 + 2.0**2 + 0.5**2 / 3.0) ** 0.5
    assert remark(fitted, "height:lower_left.frame", known.value + 3.28 * spread) is None
    assert remark(fitted, "height:lower_left.frame", known.value + 3.30 * spread) is not None
    assert remark(fitted, "height:lower_left.frame", known.value - 3.30 * spread) is not None


def test_nothing_is_remarked_before_anything_is_known() -> None:
    fitted = fit(SETUP, [])
    assert remark(fitted, "height:lower_left.frame", 900.0) is None
    assert remark(fitted, "incline:pinion", 60.0) is None
    assert remark(fitted, "weight:front", 5000.0) is None


def test_a_right_point_put_on_the_left_is_remarked_by_its_twin_alone() -> None:
    fitted = fit(SETUP, [Observation("lateral:lower_left.frame", 430.0, "a")])
    found = remark(fitted, "lateral:lower_right.frame", 431.8, unit="in", text="17")
    assert found is not None and found.leans
    assert found.likely is not None and found.likely.mistake == "wrong side"
    assert found.likely.value == pytest.approx(-431.8)


def test_a_left_bolt_is_never_said_to_be_likely_right_of_the_centreline() -> None:
    first_turned = fit(SETUP, [Observation("lateral:lower_left.frame", -430.0, "a")])
    found = remark(first_turned, "lateral:lower_left.frame", 431.8, unit="in", text="17")
    assert found is not None and found.expected < -400.0
    assert all(one.value > 0.0 for one in found.also)
    by_its_twin = fit(SETUP, [Observation("lateral:lower_right.frame", -430.0, "a")])
    turned = remark(by_its_twin, "lateral:lower_left.frame", -431.8)
    assert turned is not None and turned.likely is not None and turned.likely.mistake == "wrong side"


def test_a_vehicle_that_is_not_quite_alike_left_and_right_gets_no_remark() -> None:
    fitted = fit(SETUP, [Observation("lateral:lower_left.frame", 430.0, "a")])
    assert remark(fitted, "lateral:lower_right.frame", -530.0) is None


def test_the_first_take_is_part_of_what_the_second_is_held_against() -> None:
    fitted = fit(SETUP, [Observation("weight:front", 1012.0, "a")])
    assert remark(fitted, "weight:front", 1022.0) is None
    found = remark(fitted, "weight:front", 1112.0)
    assert found is not None and found.rests_on == ("weight:front",)
    assert found.expected == pytest.approx(1012.0, abs=1.0)
    assert found.likely is not None and found.likely.mistake == "100 kg"


def test_a_gauge_read_from_its_other_end_is_named() -> None:
    heights = [*LEFT_LINK[:2], *LEFT_LINK[3:], Observation("height:lower_left.frame", 440.0, "e")]
    found = remark(fit(SETUP, heights), f"incline:{LINK}", -6.3, unit="deg", text="-6.3")
    assert found is not None and found.likely is not None
    assert (found.likely.mistake, found.likely.value) == ("gauge from the other end", 6.3)


def test_a_likely_value_outside_what_can_be_is_not_offered() -> None:
    # A height of -400 is no height: undoing must stay in the range of its kind.
    found = remark(fit(SETUP, LEFT_LINK), "height:lower_left.frame", 40.0)
    assert found is not None
    assert all(0.0 <= likely.value <= 3000.0 for likely in found.also)
