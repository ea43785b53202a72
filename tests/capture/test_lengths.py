"""Values said back: fractions, millimetres, degrees, and spreads that are never nothing."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from capture.lengths import (
    Parts,
    fine_length,
    parts,
    say,
    say_angle,
    say_length,
    say_spread,
    say_weight,
    say_with_spread,
)


@pytest.mark.parametrize(
    ("mm", "unit", "said"),
    [(612.775, "in", "24 1/8 in"), (612.775, "mm", "612.8 mm"), (612.5, "mm", "612.5 mm"), (612.0, "mm", "612 mm"),
     (0.0, "in", "0 in"), (0.2, "in", "0 in"), (12.7, "in", "1/2 in"), (-82.55, "in", "−3 1/4 in"),
     (25.3, "in", "1 in"), (1612.9, "ft", "5' 3 1/2\""), (304.7, "ft", "1' 0\""), (-0.01, "mm", "0 mm")],
)  # fmt: skip
def test_a_length_is_said_as_a_tape_shows_it(mm, unit, said):
    assert say_length(mm, unit) == said


def test_thirty_seconds_on_request():
    # Source: by hand, 24 3/32 in = 24.09375 x 25.4 = 611.98125 mm.
    assert say_length(611.98125, "in", denominator=32) == "24 3/32 in"
    assert say_length(611.98125, "in") == "24 1/8 in"


def test_signed_values_carry_a_plus_and_nought_carries_none():
    assert say_length(50.8, "in", signed=True) == "+2 in"
    assert say_angle(-0.04, signed=True) == "0°"
    assert say_angle(1.25, signed=True) == "+1.3°"


def test_parts_are_in_lowest_terms():
    assert parts(-622.3) == Parts("−", 24, 1, 2)
    assert parts(25.4) == Parts("", 1, 0, 1)


def test_weights_follow_the_person_s_unit():
    # Source: the pound is 0.45359237 kg by definition, so 412.769 kg is 910 lb.
    assert say_weight(412.769, "in") == "910 lb"
    assert say_weight(412.769, "mm") == "413 kg"
    assert say_weight(62.34, "mm") == "62.3 kg"


@pytest.mark.parametrize(
    ("value", "unit", "said"),
    [(61.23, "%", "61 %"), (-4.26, "%", "−4.3 %"), (0.0534, "deg/deg", "0.05° per degree"), (12.44, "deg", "12.4°")],
)
def test_figures_are_said_in_their_unit(value, unit, said):
    assert say(value, unit, "in") == said


@pytest.mark.parametrize(
    ("spread", "unit", "display", "said"),
    [(4.7, "mm", "in", "± 3/16"), (4.7, "mm", "mm", "± 4.5"), (0.1, "mm", "in", "± 1/16"), (0.1, "mm", "mm", "± 0.5"),
     (0.01, "deg", "in", "± 0.1°"), (8.2, "%", "in", "± 8"), (0.0, "kg", "mm", "± 1"), (60.0, "mm", "in", "± 2 3/8")],
)  # fmt: skip
def test_a_spread_is_said_without_its_unit_and_never_rounds_to_nothing(spread, unit, display, said):
    assert say_spread(spread, unit, display) == said


def test_a_figure_is_shown_with_two_sd():
    # Source: by hand, 2 x 2.38 = 4.76 mm, 3/16 in.
    assert say_with_spread(612.775, 2.38, "mm", "in") == "24 1/8 in ± 3/16"


@pytest.mark.parametrize(
    ("value", "sd", "unit", "display", "said"),
    [(-2910.0, 83.5, "mm", "in", "−115 in ± 7"), (762.0, 49.0, "mm", "in", "30 in ± 4"),
     (704.9, 15.0, "mm", "in", "27 3/4 in ± 1 1/8"), (3057.5, 108.0, "mm", "mm", "3060 mm ± 220"),
     (508.6, 5.2, "mm", "mm", "509 mm ± 10"), (591.4, 1.8, "mm", "mm", "591.4 mm ± 3.5"),
     (4.26, 1.4, "%", "in", "4 % ± 3"), (31.6, 6.2, "deg", "in", "32° ± 12°"),
     (31.6, 2.2, "deg", "in", "31.6° ± 4.4°")],
)  # fmt: skip
def test_a_figure_has_no_more_digits_than_its_spread_leaves_it(value, sd, unit, display, said):
    assert say_with_spread(value, sd, unit, display) == said


@settings(deadline=None)
@given(st.floats(0, 1e5), st.sampled_from(["in", "mm", "ft"]))
def test_a_spread_is_never_rounded_by_more_than_a_sixth_of_it(spread, display):
    from capture.entry import parse

    told = say_spread(spread, "mm", display).removeprefix("± ")
    said = parse(told, "mm" if display == "mm" else "in", "mm").value
    assert abs(said - spread) <= max(spread / 6, 25.4 / 16)


@settings(deadline=None)
@given(st.floats(0, 1e6), st.sampled_from(["mm", "deg", "kg", "%", "deg/deg"]), st.sampled_from(["in", "mm"]))
def test_no_spread_is_ever_nothing(spread, unit, display):
    assert any(digit in "123456789" for digit in say_spread(spread, unit, display))


@settings(deadline=None)
@given(st.floats(-1e6, 1e6), st.sampled_from(["in", "mm", "ft"]))
def test_what_is_said_lies_within_half_a_step(mm, unit):
    from capture.entry import parse

    step = 0.1 if unit == "mm" else 25.4 / 16
    try:
        read = parse(say_length(mm, unit), "mm", "mm").value
    except ValueError:
        assert abs(mm) > 999_999
        return
    assert abs(read - mm) <= step / 2 + 1e-6


def test_a_torque_and_a_small_length_are_said_in_the_persons_unit():
    # Source: by hand, 2500 / 1.3558179 = 1843.9 lb ft (NIST SP 811); 1.5 / 25.4 = 0.059.
    assert (say(2500.0, "N m", "mm"), say(2500.0, "N m", "in")) == ("2500 N m", "1840 lb ft")
    assert say_spread(4.0, "N m", "mm") == "± 10"
    assert (fine_length(1.5), fine_length(1.5, "in")) == ("1.5 mm", "0.06 in")
