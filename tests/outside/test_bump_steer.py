"""Bump steer in front view, closed form: each rod swings on its own circle; the difference turns the steering arm.

Panhard 850 long with its frame end 60 above its axle end, drag link 900 long with its frame end 100 above, frame ends
on the left, steering arm 160 square to the link. Also found with scipy's fsolve. Links fore and aft are equal,
parallel and level, so the axle neither turns nor yaws, and 90 m long, so that it does not move fore and aft either:
the closed form is that of the front view alone.
"""

from __future__ import annotations

import math

import pytest

from tests.outside.shapes import figures_of, pair, wheels

ARM = 160.0


def _bar(name, x, z, length, rise):
    """Axle end on the right at (x, -430, z), frame end `rise` higher on the left."""
    run = math.sqrt(length**2 - rise**2)
    return {f"{name}.axle": (x, -430.0, z), f"{name}.frame": (x, -430.0 + run, z + rise)}


def shape(panhard=(850.0, 60.0), drag=(900.0, 100.0)):
    return {
        **pair("lower", ".axle", 0.0, 500.0, 330.0),
        **pair("lower", ".frame", -90_000.0, 500.0, 330.0),
        "upper.axle": (0.0, 0.0, 600.0),
        "upper.frame": (-90_000.0, 0.0, 600.0),
        **_bar("panhard", 0.0, 520.0, *panhard),
        **_bar("drag_link", ARM, 500.0, *drag),
        **pair("kingpin", ".top", 0.0, 700.0, 500.0),
        **pair("kingpin", ".bottom", 0.0, 700.0, 340.0),
        "kingpin_right.top": (0.0, -430.0, 500.0),
        "kingpin_right.bottom": (0.0, -430.0, 340.0),
        **wheels(400.0, 780.0, 2700.0, "front"),
    }


def sheet_of(**bars):
    travel = (("travel:bump", 60.0, 1e-3), ("travel:droop", 60.0, 1e-3))
    return figures_of(shape(**bars), "three_link_panhard", "front", more=travel)


def at(sheet, name, travel):
    return sheet.sweep.columns[name].values[sheet.sweep.travel.index(travel)]


@pytest.mark.parametrize(
    ("travel", "away", "steer"),
    [(-60.0, -6.39293, -0.84896), (-30.0, -2.65784, -0.43249), (30.0, 1.59072, 0.44968), (60.0, 2.12029, 0.91791)],
)
def test_the_drag_links_circle_turns_the_wheels(travel, away, steer):
    # The table counts away from the frame end: to the right here, so + left takes the other sign; the arm points
    # forward, so an end that goes right turns the wheels right.
    sheet = sheet_of()
    assert at(sheet, "lateral_shift", travel) == pytest.approx(-away, abs=1e-5)
    assert at(sheet, "steer", travel) == pytest.approx(-steer, abs=2e-4)
    assert at(sheet, "yaw", travel) == pytest.approx(0.0, abs=1e-9)


def test_a_drag_link_that_matches_the_panhard_steers_nothing():
    # Same length and same slope: exactly 0. (The arm swings fore and aft by nothing either.)
    sheet = sheet_of(panhard=(850.0, 60.0), drag=(850.0, 60.0))
    for travel in (-60.0, 60.0):
        assert at(sheet, "steer", travel) == pytest.approx(0.0, abs=1e-7)


def test_50_mm_more_drag_link_at_the_same_slope_steers_a_twentieth_of_a_degree():
    # Closed form, 850 against 900 long, both rising 1 in 9 of their length: 0.04375 deg at -60, 0.04242 at +60.
    sheet = sheet_of(panhard=(850.0, 850.0 / 9.0), drag=(900.0, 100.0))
    assert abs(at(sheet, "steer", -60.0)) == pytest.approx(0.04375, abs=2e-4)
    assert abs(at(sheet, "steer", 60.0)) == pytest.approx(0.04242, abs=2e-4)
