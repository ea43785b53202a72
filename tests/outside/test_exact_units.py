"""Units that are exact by definition: NIST SP 811; scipy.constants agrees (1 in = 25.4 mm, 1 lb = 0.45359237 kg)."""

from __future__ import annotations

import math

import pytest
from scipy import constants

from capture import entry, lengths
from geometry.frame import INCH


def test_an_inch_a_foot_a_pound_and_a_degree_are_those_of_the_constants_table():
    assert pytest.approx(constants.inch * 1000.0, rel=1e-15) == INCH
    assert pytest.approx(constants.pound, rel=1e-15) == lengths.POUND
    assert entry.parse("1", "in", "mm").value == pytest.approx(constants.inch * 1000.0, rel=1e-15)
    assert entry.parse("1'", "in", "mm").value == pytest.approx(constants.foot * 1000.0, rel=1e-15)
    assert entry.parse("1000", "lb", "kg").value == pytest.approx(1000.0 * constants.pound, rel=1e-15)
    assert entry.parse("180", "deg", "deg").value == pytest.approx(math.degrees(math.pi), rel=1e-15)


TYPED = [("24 1/8", 612.775), ("36 5/8", 930.275), ("1/16", 1.5875), ("5' 3 1/2", 1612.9)]


@pytest.mark.parametrize(("typed", "mm"), TYPED)
def test_fractions_of_an_inch_come_out_to_the_last_digit(typed, mm):
    # By hand: sixteenths of 25.4 mm.
    assert entry.parse(typed, "in", "mm").value == pytest.approx(mm, abs=1e-12)
