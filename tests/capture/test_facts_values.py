"""A stated value comes back as it was stated: in the unit that was typed, to the last digit."""

from __future__ import annotations

import pytest

from capture.entry import NotAReading
from capture.screens.facts_values import Field, shown, value_of

SORTS = {"stress": (50, 3000), "torque": (50, 100_000), "modulus": (1, 1e7), "area": (1, 1e6), "length": (-500, 5000),
         "mass": (10, 3000), "pitch": (0.2, 10), "share": (0, 1), "angle": (-180, 180), "factor": (0.1, 10)}
FIELDS = {sort: Field(sort, sort, sort, low, high) for sort, (low, high) in SORTS.items()}


@pytest.mark.parametrize("unit", ["in", "mm"])
@pytest.mark.parametrize(("sort", "typed", "said"), [
    ("stress", "55 ksi", "55 ksi"), ("stress", "36.5 ksi", "36.5 ksi"), ("stress", "355", "355 N/mm²"),
    ("torque", "1850 lb ft", "1850 lb ft"), ("torque", "2500 N m", "2500 N m"),
    ("torque", "133.5 ft lb", "133.5 lb ft"),
    ("modulus", "0.75 in3", "0.75 in³"), ("modulus", "12 cm3", "12 cm³"), ("modulus", "12345 mm3", "12.345 cm³"),
    ("area", "2.2 in2", "2.2 in²"), ("area", "14 cm2", "14 cm²"),
    ("length", "1 1/16 in", "1 1/16 in"), ("length", "-2 3/16 in", "-2 3/16 in"), ("length", "1.315 in", "1.315 in"),
    ("length", "5/32 in", "5/32 in"), ("length", "42.4 mm", "42.4 mm"), ("length", "1234.5 mm", "1234.5 mm"),
    ("mass", "250 lb", "250 lb"), ("mass", "113.4 kg", "113.4 kg"), ("mass", "1234.5 kg", "1234.5 kg"),
    ("pitch", "12 per inch", "12 per inch"), ("pitch", "11.5 tpi", "11.5 per inch"), ("pitch", "1.75", "1.75 mm"),
    ("pitch", "0.4", "0.4 mm"),
    ("share", "33.3333", "33.3333"), ("share", "62 %", "62"), ("angle", "22.5", "22.5°"),
    ("factor", "1.2345", "1.2345"),
])
def test_what_was_typed_comes_back_in_the_unit_it_was_typed_in(sort, typed, said, unit):
    field = FIELDS[sort]
    value = value_of(field, typed, unit)
    assert shown(field, value, unit) == said
    assert value_of(field, said, unit) == pytest.approx(value, rel=1e-12)


@pytest.mark.parametrize(("sort", "typed", "inch", "metric"), [
    ("length", "1.5 in", "1 1/2 in", "38.1 mm"), ("length", "50.8 mm", "2 in", "50.8 mm"),
    ("length", "1 5/8 in", "1 5/8 in", "1 5/8 in"), ("length", "0.5 in", "1/2 in", "12.7 mm"),
    ("length", "4", "4 in", "4 mm"), ("pitch", "20 per inch", "20 per inch", "1.27 mm"),
])
def test_what_is_round_in_both_units_is_shown_in_the_vehicles_own(sort, typed, inch, metric):
    field = FIELDS[sort]
    assert shown(field, value_of(field, typed, "in"), "in") == inch
    assert shown(field, value_of(field, typed, "mm"), "mm") == metric


def test_a_value_that_is_round_in_no_unit_is_shown_rounded_in_the_vehicles_own():
    # Source: by hand, 33.333333 / 25.4 = 1.31233, 400.000333 / 6.894757 = 58.01514.
    assert shown(FIELDS["length"], 33.333333, "in") == "1.312 in"
    assert shown(FIELDS["length"], 33.333333, "mm") == "33.333 mm"
    assert shown(FIELDS["stress"], 400.000333, "in") == "400 N/mm²"


def test_a_limit_is_said_in_the_vehicles_own_unit():
    with pytest.raises(NotAReading, match=r"between 0\.1969 in and 11\.81 in"):
        value_of(Field("wall", "Tube", "length", 5, 300), "1/64", "in")
