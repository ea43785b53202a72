"""The axle taken through its travel: closures worked out twice, outside this project.

T1 through its travel: full three-dimensional closure by scipy.optimize.least_squares, and the plane four-bar by
circle intersection; the two routes agree to 1e-4. Limits: equal and parallel links, whose axle never turns; a radius
arm about its pivot (closed form). The panhard's arc is the change of its horizontal projection (closed form).
"""

from __future__ import annotations

import math

import pytest

from tests.outside.shapes import T1, columns_at, figures_of, pair, wheels

BAR = {"panhard.axle": (-150.0, 430.0, 560.0), "panhard.frame": (-150.0, -420.0, 560.0)}
LONG_BAR = {"panhard.axle": (0.0, 1e5, 560.0), "panhard.frame": (0.0, -1e5, 560.0)}
"""So long that it holds the axle in its plane: the shift at 75 mm is 0.014 mm."""


def lengthwise(upper_run=900.0, lower_run=900.0, bar=BAR):
    """Lower and upper links straight ahead with the same slope, 50 in 900, and a bar across."""
    return {
        **pair("lower", ".axle", 0.0, 500.0, 330.0),
        **pair("lower", ".frame", lower_run, 500.0, 330.0 + lower_run / 18.0),
        "upper.axle": (0.0, 0.0, 600.0),
        "upper.frame": (upper_run, 0.0, 600.0 + upper_run / 18.0),
        **bar,
        **wheels(400.0, 780.0, 2700.0),
    }


def test_t1_moves_and_turns_as_two_closures_say():
    # Two routes, dz: fore-aft x, turn about +y. A turn about +y is nose down, so the forward pinion falls by it.
    found = columns_at(T1, "four_link", (-75.0, -50.0, 50.0, 75.0))
    assert found["fore_aft_shift"] == pytest.approx([13.03801, 7.96507, -5.12116, -6.63217], abs=2e-5)
    assert found["pinion_change"] == pytest.approx([1.53549, 1.05432, -1.17604, -1.81003], abs=2e-5)
    assert found["lateral_shift"] == pytest.approx([0.0] * 4, abs=1e-6)


def test_the_sweep_has_the_same_numbers_at_its_own_steps():
    sheet = figures_of(T1, "four_link", more=(("travel:bump", 50.0, 1e-3), ("travel:droop", 80.0, 1e-3)))
    assert sheet.sweep.travel == tuple(10.0 * step for step in range(-8, 6))
    shift = dict(zip(sheet.sweep.travel, sheet.sweep.columns["fore_aft_shift"].values, strict=True))
    assert (shift[-50.0], shift[0.0], shift[50.0]) == pytest.approx((7.96507, 0.0, -5.12116), abs=2e-5)


def test_caster_and_pinion_turn_one_to_one_on_a_rear_axle():
    # A turn of the whole axle about a level cross axis: both change by that angle, exactly.
    found = columns_at(T1, "four_link", (-100.0, -40.0, 60.0, 100.0))
    assert min(abs(change) for change in found["caster_change"]) > 0.5
    assert found["caster_change"] == pytest.approx(found["pinion_change"], abs=1e-9)


def test_a_front_pinion_rises_as_the_caster_falls():
    # Front axle: the pinion's nose points rearward. T1 turned end for end turns the other way: 1.05432 nose up at -50.
    mirrored = {name: (-x, y, z) for name, (x, y, z) in T1.items()}
    found = columns_at(mirrored, "four_link", (-50.0, 50.0), "front")
    assert found["pinion_change"] == pytest.approx([1.05432, -1.17604], abs=2e-5)
    assert found["caster_change"] == pytest.approx([-1.05432, 1.17604], abs=2e-5)


def test_equal_parallel_links_never_turn_the_axle():
    # Two routes at -75 and +75: turn exactly 0, fore-aft 7.32772 and -1.03496, sideways -3.34700 and -3.31592.
    found = columns_at(lengthwise(), "three_link_panhard", (-75.0, 75.0))
    assert found["pinion_change"] == pytest.approx([0.0, 0.0], abs=1e-8)
    assert found["fore_aft_shift"] == pytest.approx([7.32772, -1.03496], abs=2e-5)
    assert found["lateral_shift"] == pytest.approx([-3.34700, -3.31592], abs=2e-5)


def test_a_shorter_upper_turns_the_axle_the_same_way_both_ways():
    # Two routes at -75 and +75: turn about +y 0.34015 and 0.33212 deg with the upper 600 long in x at the same slope.
    found = columns_at(lengthwise(upper_run=600.0), "three_link_panhard", (-75.0, 75.0))
    assert [-turn for turn in found["pinion_change"]] == pytest.approx([0.34015, 0.33212], abs=2e-5)


@pytest.mark.parametrize(
    ("length", "rise", "travel", "shift"),
    [
        (900.0, 0.0, 75.0, 3.13044),
        (900.0, 0.0, -75.0, 3.13044),
        (762.0, 0.0, 50.0, 1.64219),
        (900.0, 30.0, -75.0, 5.64585),
        (900.0, 30.0, 75.0, 0.62557),
        (800.0, 40.0, -100.0, 11.34463),
    ],
)
def test_a_panhard_bar_shifts_the_axle_by_the_change_of_its_projection(length, rise, travel, shift):
    # Closed form: change of the bar's horizontal projection, the axle end `rise` below the frame end. The other links
    # are level and 90 m long, so that they leave the axle to the bar.
    run = math.sqrt(length**2 - rise**2)
    shape = {
        **pair("lower", ".axle", 0.0, 500.0, 330.0),
        **pair("lower", ".frame", 9e4, 500.0, 330.0),
        "upper.axle": (0.0, 0.0, 600.0),
        "upper.frame": (9e4, 0.0, 600.0),
        "panhard.axle": (0.0, 430.0, 560.0),
        "panhard.frame": (0.0, 430.0 - run, 560.0 + rise),
        **wheels(400.0, 780.0, 2700.0),
    }
    found = columns_at(shape, "three_link_panhard", (travel,))["lateral_shift"][0]
    expected = math.sqrt(length**2 - (rise - travel) ** 2) - run
    assert abs(expected) == pytest.approx(shift, abs=1e-5)
    assert found == pytest.approx(expected, abs=1e-5)


def test_radius_arms_turn_the_axle_about_their_pivot():
    # Closed form, arm 1000 long, pivot 120 above the axle's centre: +75 gives 4.31292 deg and 6.21310 fore-aft,
    # -75 gives -4.35262 and -11.97065 (turn as the arm's; the axle turns the other way about +y).
    along = math.sqrt(1000.0**2 - 120.0**2)
    arms = {}
    for side, y in (("left", 400.0), ("right", -400.0)):
        arms[f"arm_{side}.frame"] = (along, y, 520.0)
        arms[f"arm_{side}.axle_front"] = (90.0, y, 400.0)
        arms[f"arm_{side}.axle_rear"] = (-90.0, y, 400.0)
    shape = arms | LONG_BAR | wheels(400.0, 780.0, 2700.0)
    found = columns_at(shape, "radius_arms_panhard", (75.0, -75.0))
    assert [abs(turn) for turn in found["pinion_change"]] == pytest.approx([4.31292, 4.35262], abs=1e-4)
    assert found["pinion_change"][0] < 0.0 < found["pinion_change"][1]
    assert [abs(shift) for shift in found["fore_aft_shift"]] == pytest.approx([6.21310, 11.97065], abs=1e-3)
