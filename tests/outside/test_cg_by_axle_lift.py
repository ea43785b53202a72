"""Height of the centre of gravity by raising one axle; and a balance along a line.

Axle lift: ISO 10392:2011, clause 6 (title and procedure seen, equation re-derived). Case: rigid-body moments forward,
then inverse: W 18000 N, wheelbase 2700, radius 380, 1400 from the front axle to the centre of gravity, angle 10 deg:
front load 8666.667 N level, 9042.831 with the rear raised 468.850, height 700.000. Spread of the rounded readings by
the uncertainties package: 699.75 +- 24.59 for scales of sd 20 N and lengths of sd 3 mm.
Balance along a line: FAA-H-8083-1, chapter 2, example M.
"""

from __future__ import annotations

import math

import pytest
from uncertainties import ufloat
from uncertainties.umath import asin, tan

from geometry.figures.lift import Weighed, height_from_lift, lift_spread, rise_for
from geometry.readings import parse_name
from tests.outside.shapes import T1, figures_of, fitted

GRAVITY = 9.80665
LEVEL_FRONT, LEVEL_REAR, LIFTED_FRONT, RISE = 8666.667, 9333.333, 9042.831, 468.850
SHORT = {name: (x, y, 380.0) if name.startswith(("wheel", "other")) else (x, y, z) for name, (x, y, z) in T1.items()}


def weighed(front, lifted, rise, sd_scale=0.001, sd_rise=1e-4):
    """The readings of one lift of the rear, N and mm."""
    return (
        ("weight:front", front / GRAVITY, sd_scale / GRAVITY),
        ("weight:rear", (18000.0 - front) / GRAVITY, sd_scale / GRAVITY),
        ("lifted_weight:front", lifted / GRAVITY, sd_scale / GRAVITY),
        ("lifted_rise:rear", rise, sd_rise),
    )


def test_the_lifted_axle_s_load_gives_the_height():
    found = height_from_lift(LEVEL_FRONT, LEVEL_REAR, LIFTED_FRONT, RISE, 2700.0, 380.0)
    assert found == pytest.approx(700.0, abs=2e-3)
    # Taking rise over wheelbase for the tangent would give 704.94.
    mistaken = 380.0 + 2700.0**2 * (LIFTED_FRONT - LEVEL_FRONT) / (18000.0 * RISE)
    assert mistaken == pytest.approx(704.94, abs=0.01)


def test_the_fit_finds_the_height_from_the_readings_of_a_lift():
    figures = figures_of(SHORT, "four_link", more=weighed(LEVEL_FRONT, LIFTED_FRONT, RISE)).figures
    assert figures["cg.z"].value == pytest.approx(700.0, abs=0.01)
    assert not figures["cg.z"].leans
    assert figures["anti_geometric"].value is not None


def test_raising_the_front_instead_says_the_same():
    # By hand: the same moment about the rear wheels; the rear gains what the front gained before.
    rear = LEVEL_REAR + (LIFTED_FRONT - LEVEL_FRONT)
    readings = (
        ("weight:front", LEVEL_FRONT / GRAVITY, 1e-4),
        ("weight:rear", LEVEL_REAR / GRAVITY, 1e-4),
        ("lifted_weight:rear", rear / GRAVITY, 1e-4),
        ("lifted_rise:front", RISE, 1e-4),
    )
    assert figures_of(SHORT, "four_link", more=readings).figures["cg.z"].value == pytest.approx(700.0, abs=0.01)


def test_the_spread_is_that_of_the_uncertainties_package():
    # Every reading with its own spread: 699.75 +- 24.59.
    lengths = {f"height:{name}": 3.0 for name in SHORT if name.startswith(("wheel", "other"))}
    front, rear, lifted = (ufloat(value, 20.0) for value in (8667.0, 9333.0, 9043.0))
    wheelbase, radius, rise = (ufloat(value, 3.0) for value in (2700.0, 380.0, 469.0))
    height = radius + wheelbase * (lifted - front) / ((front + rear) * tan(asin(rise / wheelbase)))
    assert (height.n, height.s) == pytest.approx((699.75, 24.59), abs=0.005)
    more = weighed(8667.0, 9043.0, 469.0, 20.0, 3.0)
    found = figures_of(SHORT, "four_link", more=more, spreads=lengths).figures["cg.z"]
    # The usual place, 638 +- 300 before any reading, draws it by 62 (24.59 / 300)^2 = 0.41 mm.
    assert found.value == pytest.approx(699.75 - 0.41, abs=0.02)
    # The fit's wheelbase is read to a thousandth here and its radius four times over: 0.05 mm of the spread.
    assert found.sd == pytest.approx(24.59, abs=0.2)
    vehicle = Weighed(8667.0 / GRAVITY, 9333.0 / GRAVITY, 2700.0, 380.0, 699.75, (20.0 / GRAVITY,) * 3)
    assert lift_spread(vehicle, [469.0])[0].sd == pytest.approx(24.59, abs=0.005)


def test_three_heights_tell_more_than_one():
    def front_at(rise):
        return LEVEL_FRONT + 18000.0 * 320.0 / 2700.0 * math.tan(math.asin(rise / 2700.0))

    one = weighed(LEVEL_FRONT, front_at(600.0), 600.0, 20.0, 3.0)
    more = tuple(
        reading
        for step, rise in (("_2", 400.0), ("_3", 200.0))
        for reading in (
            (f"lifted_weight:front{step}", front_at(rise) / GRAVITY, 20.0 / GRAVITY),
            (f"lifted_rise:rear{step}", rise, 3.0),
        )
    )
    alone = figures_of(SHORT, "four_link", more=one).figures["cg.z"]
    together = figures_of(SHORT, "four_link", more=one + more).figures["cg.z"]
    assert (alone.value, together.value) == pytest.approx((700.0, 700.0), abs=0.5)
    # The level weights are shared by all three, so that the gain is small.
    assert together.sd < 0.97 * alone.sd


def test_a_lift_of_600_shows_59_kg_and_a_kilogram_is_6_mm():
    # Source: worked for two tonnes, wheelbase 2700, 350 mm above the hubs: 600 mm is 12.8 deg and about 59 kg, 1 kg
    # misread 6 mm of height; 12 mm at a lift of 300.
    vehicle = Weighed(1000.0, 1000.0, 2700.0, 380.0, 730.0)
    high, low = lift_spread(vehicle, [600.0, 300.0])
    assert (high.angle, high.moved) == pytest.approx((12.8, 59.0), abs=0.1)
    for rise, per_kg in ((600.0, 6.0), (300.0, 12.0)):
        off = height_from_lift(1000.0, 1000.0, 1000.0 + high.moved + 1.0, rise, 2700.0, 380.0)
        without = height_from_lift(1000.0, 1000.0, 1000.0 + high.moved, rise, 2700.0, 380.0)
        assert off - without == pytest.approx(per_kg, abs=0.1)
    assert 1.9 < low.sd / high.sd < 2.1


def test_how_high_is_high_enough():
    vehicle = Weighed(1000.0, 1000.0, 2700.0, 380.0, 730.0, sd_weights=(2.0, 2.0, 2.0))
    enough = rise_for(vehicle, 25.0)
    assert enough is not None and enough.sd <= 25.0
    assert lift_spread(vehicle, [enough.rise - 10.0])[0].sd > 25.0
    assert rise_for(vehicle, 2.0) is None
    assert lift_spread(vehicle, [0.0, -100.0, 2000.0]) == ()


def test_what_cannot_tell_a_height_is_refused():
    for rise, load in ((0.0, 1000.0), (2700.0, 1000.0), (400.0, 0.0)):
        with pytest.raises(ValueError, match="tells no height"):
            height_from_lift(load, load, load, rise, 2700.0, 380.0)


def test_odd_readings_of_a_lift_leave_every_figure_finite():
    readings = (
        ("weight:front", 900.0, 5.0), ("weight:rear", 900.0, 5.0),
        ("lifted_weight:front", 20.0, 5.0), ("lifted_rise:rear", 2000.0, 3.0),
    )  # fmt: skip
    found = fitted(SHORT, "four_link", more=readings)
    assert all(math.isfinite(value) for value in (*found.estimate, *found.covariance.ravel()))


@pytest.mark.parametrize("rise", [1950.0, 2800.0])
def test_a_rise_that_no_vehicle_of_that_wheelbase_takes_gives_no_height_but_a_sentence(rise):
    # The steepest lift is 0.7 of the wheelbase, 1890 mm of 2700.
    figures = figures_of(SHORT, "four_link", more=weighed(LEVEL_FRONT, LIFTED_FRONT, rise)).figures
    for key in ("cg.z", "anti_geometric"):
        assert figures[key].value is None and figures[key].needs == ("lifted_rise:rear",)
        assert "raised so far" in figures[key].reason


def test_a_third_height_of_an_end_has_its_name_and_a_fourth_has_not():
    assert parse_name("lifted_weight:front_3", "four_link", "rear").touches[6] == "lift.rear_3"
    with pytest.raises(Exception, match="there is no lifted_rise of rear_4"):
        parse_name("lifted_rise:rear_4", "four_link", "rear")


def test_a_balance_along_a_line():
    # 100 lb at 50 in, 100 at 90, 200 at 150: 44 000 lb in over 400 lb, 110.0 in. Two wheels at 0 and 160 in carry it:
    # the rear one 44 000 / 160 = 275 lb, so that the centre of gravity lies 110 in behind the front axle.
    inch, pound = 25.4, 0.45359237
    places = {
        name: (160.0 * inch if name.startswith("other") else x, y, z) for name, (x, y, z) in T1.items()
    }
    scales = (("weight:front", 125.0 * pound, 1e-4), ("weight:rear", 275.0 * pound, 1e-4))
    found = figures_of(places, "four_link", more=scales).figures["cg.x"]
    assert 160.0 - found.value / inch == pytest.approx(110.0, abs=1e-3)
