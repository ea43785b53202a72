"""Mistakes planted in a vehicle whose truth is known: found, named, explained; and nothing said about a clean one."""

from dataclasses import replace

import numpy as np
import pytest

from geometry.doubt import judge
from geometry.fit import Observation, Setup, fit
from tests.geometry.vehicles import clean, fitted, with_slip


def test_nothing_is_doubted_before_anything_is_read() -> None:
    assert judge(fit(Setup("three_link_panhard", "front"), [])) == ()


@pytest.mark.parametrize("seed", range(4))
def test_a_clean_vehicle_raises_no_doubt(seed: int) -> None:
    assert judge(fitted(clean(seed))) == ()


@pytest.mark.parametrize(
    ("name", "slip", "mistake"),
    [
        ("height:upper.frame", 25.4, "one inch"),
        ("height:panhard.axle", -25.4, "one inch"),
        ("fore_aft:lower_left.axle", 100.0, "100 mm"),
        ("span:upper.axle~upper.frame", -304.8, "one foot"),
        ("wheelbase:left", 304.8, "one foot"),
    ],
)
def test_a_planted_slip_is_named_with_the_value_that_stood_there(name: str, slip: float, mistake: str) -> None:
    seen = clean(3)
    true = next(one.value for one in seen if one.name == name)
    worst = judge(fitted(with_slip(seen, name, slip)))[0]
    assert worst.readings[0] == name and worst.reason == "outlier"
    assert worst.likely is not None and worst.likely.mistake == mistake
    assert worst.likely.value == pytest.approx(true, abs=0.01)
    suspect = worst.suspects[0]
    assert abs(suspect.expected - true) < 4.0 * np.hypot(suspect.sd, 2.5)
    assert worst.retake == name
    # The sign is that of the residual: predicted less read.
    assert np.sign(worst.w) == -np.sign(slip)


def test_left_typed_for_right_is_named_wrong_side() -> None:
    seen = clean(3)
    true = next(one.value for one in seen if one.name == "lateral:lower_right.frame")
    worst = judge(fitted(with_slip(seen, "lateral:lower_right.frame", -2.0 * true)))[0]
    assert worst.readings == ("lateral:lower_right.frame",)
    assert worst.likely is not None
    assert (worst.likely.mistake, worst.likely.value) == ("wrong side", pytest.approx(true))


@pytest.mark.parametrize(
    ("name", "line"),
    [
        ("fore_aft:lower_left.frame", 0.0),
        ("fore_aft:lower_right.frame", 0.0),
        ("fore_aft:other_right.centre", 0.0),
        ("lateral:lower_right.axle", 0.0),
        ("lateral:panhard.axle", 0.0),
        ("fore_aft:lower_right.axle", 1500.0),
        ("fore_aft:upper.axle", 1500.0),
        ("fore_aft:wheel_left.centre", 1500.0),
    ],
)
def test_a_sign_left_out_is_the_one_doubt_wherever_the_cross_line_lies(name: str, line: float) -> None:
    # The fit follows such a mistake far off: a link turned about its axle, a bar across the other way round.
    seen = [replace(one, value=one.value + line) if one.name.startswith("fore_aft") else one for one in clean(2)]
    true = next(one.value for one in seen if one.name == name)
    (only,) = judge(fitted(with_slip(seen, name, -2.0 * true)))
    assert (only.readings, only.reason) == ((name,), "outlier")
    assert only.likely is not None
    assert (only.likely.mistake, only.likely.value) == ("wrong side", pytest.approx(true))


def test_a_plain_w_test_and_the_first_doubt_agree_on_w() -> None:
    made = fitted(with_slip(clean(3), "height:upper.frame", 25.4))
    worst = judge(made)[0]
    number = [one.key for one in made.observations].index("height:upper.frame")
    assert worst.w == pytest.approx(made.w[number], abs=1e-6)
    assert abs(made.w[number]) == np.abs(made.w).max()


def test_a_reading_that_nothing_checks_is_never_blamed() -> None:
    # A keep-clear point is read by three readings and nothing else: all three may be anything.
    seen = [*clean(3), *(Observation(f"{kind}:keep_clear.sump", value, f"{kind}:keep_clear.sump")
                         for kind, value in (("height", 900.0), ("fore_aft", -700.0), ("lateral", 300.0)))]
    assert judge(fitted(seen)) == ()


def test_two_takes_that_differ_and_nothing_else_are_named_together() -> None:
    seen = [Observation("weight:front", 1000.0, "weight:front"), Observation("weight:front", 1100.0, "weight:front#2")]
    (found,) = judge(fit(Setup("three_link_panhard", "front"), seen))
    assert found.reason == "takes_disagree"
    assert set(found.readings) == {"weight:front", "weight:front#2"}
    assert sum(suspect.share for suspect in found.suspects) == pytest.approx(1.0)


def test_three_takes_of_which_two_agree_leave_the_third_in_doubt() -> None:
    values = (1012.0, 1112.0, 1015.0)
    seen = [Observation("weight:front", v, f"weight:front#{k + 1}") for k, v in enumerate(values)]
    (found,) = judge(fit(Setup("three_link_panhard", "front"), seen))
    assert (found.reason, found.readings) == ("outlier", ("weight:front#2",))
    assert found.likely is not None and (found.likely.mistake, found.likely.value) == ("100 kg", 1012.0)


def test_readings_the_numbers_cannot_tell_apart_are_said_to_be_one_of_these() -> None:
    # A link's two heights, its incline and its length: each explains the misfit, with one spare reading.
    setup = Setup("three_link_panhard", "front", 2700.0, 840.0)
    link = "lower_left.axle~lower_left.frame"
    values = {"height:lower_left.axle": 340.0, "height:lower_left.frame": 440.0 + 47.0, f"span:{link}": 905.5,
              f"incline:{link}": 6.34, "floor_slope:fore_aft": 0.0}
    (found,) = judge(fit(setup, [Observation(name, value, name) for name, value in values.items()]))
    assert found.reason == "tie"
    assert {"height:lower_left.axle", "height:lower_left.frame", f"incline:{link}"} <= set(found.readings)
    assert "floor_slope:fore_aft" not in found.readings


def test_two_mistakes_in_different_places_are_both_found() -> None:
    seen = with_slip(with_slip(clean(5), "height:upper.frame", 25.4), "fore_aft:lower_right.axle", -50.8)
    found = judge(fitted(seen))
    assert {doubt.readings[0] for doubt in found} == {"height:upper.frame", "fore_aft:lower_right.axle"}
    assert [abs(doubt.w) for doubt in found] == sorted((abs(doubt.w) for doubt in found), reverse=True)


def test_a_gross_mistake_that_bends_the_whole_fit_is_still_named() -> None:
    seen = clean(6)
    true = next(one.value for one in seen if one.name == "span:lower_right.axle~lower_right.frame")
    found = judge(fitted(with_slip(seen, "span:lower_right.axle~lower_right.frame", true / 2.54 - true)))
    assert [doubt.readings for doubt in found] == [("span:lower_right.axle~lower_right.frame",)]
    assert found[0].likely is not None
    assert found[0].likely.mistake == "inch read as cm"
    assert found[0].likely.value == pytest.approx(true)


def test_an_odd_vehicle_is_not_a_mistake() -> None:
    # An engine in the way: the left lower link sits 160 mm further out than the right one, and nothing else reads it.
    setup = Setup("three_link_panhard", "front", 2700.0, 840.0)
    seen = [Observation("lateral:lower_left.frame", 590.0, "a"), Observation("lateral:lower_right.frame", -430.0, "b")]
    assert judge(fit(setup, seen)) == ()


def test_the_typed_text_tells_which_digits_were_swapped() -> None:
    setup = Setup("three_link_panhard", "front", 2700.0, 840.0)
    seen = [
        Observation("diameter:tyre", 849.0, "diameter:tyre", unit="mm", text="849"),
        Observation("diameter:tyre", 847.0, "diameter:tyre#2", unit="mm", text="847"),
        Observation("diameter:tyre", 484.0, "diameter:tyre#3", unit="mm", text="484"),
    ]
    (found,) = judge(fit(setup, seen))
    assert found.readings == ("diameter:tyre#3",)
    assert found.likely is not None and (found.likely.mistake, found.likely.value) == ("swapped digits", 844.0)


def test_judging_is_the_same_every_time() -> None:
    made = fitted(with_slip(clean(7), "lateral:upper.axle", 38.1))
    assert judge(made) == judge(made)
