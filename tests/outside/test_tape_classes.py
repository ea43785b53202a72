"""Tapes: greatest errors by class, Directive 2014/32/EU annex X (MI-008) chapter I, +-(a + b L), L in whole metres
rounded up; table read in the United Kingdom's restatement, SI 2016/1153 Schedule 1I. A limit becomes a standard
deviation by 1/sqrt(3), GUM (JCGM 100:2008) 4.3.7 (clause number from memory).

Handbook 44 (NIST) 5.52, metal tapes from zero, as restated in public: 1/16 in for 7 to 30 ft.
Resolution: a mark's width over sqrt(12), GUM 4.3.7 and F.2.2.1 (from memory): 1/16 in 0.45827 mm, 0.1 deg 0.02887 deg.
"""

from __future__ import annotations

import math

import pytest

from geometry.readings import ALL, KINDS

LIMITS = {  # L mm: class I, II, III, mm
    500.0: (0.2, 0.5, 1.0),
    1000.0: (0.2, 0.5, 1.0),
    1200.0: (0.3, 0.7, 1.4),
    2000.0: (0.3, 0.7, 1.4),
    2700.0: (0.4, 0.9, 1.8),
    3000.0: (0.4, 0.9, 1.8),
    5000.0: (0.6, 1.3, 2.6),
    8000.0: (0.9, 1.9, 3.8),
}
TAPED = [kind for kind in ALL if kind.taped]


def limit_of(kind, value, tape_class):
    """The tape's limit inside a reading's sd: what is left when the kind's own spread is taken out."""
    return math.sqrt(3.0 * (kind.sd(value, tape_class) ** 2 - kind.usual_sd**2))


@pytest.mark.parametrize("length", LIMITS)
@pytest.mark.parametrize("number", [0, 1, 2])
def test_a_taped_reading_carries_the_limit_of_its_tapes_class(length, number):
    for kind in TAPED:
        assert limit_of(kind, length, "I" * (number + 1)) == pytest.approx(LIMITS[length][number], abs=1e-9)


def test_the_kinds_read_with_a_tape_are_those():
    names = {kind.name for kind in TAPED}
    assert {"height", "fore_aft", "lateral", "across", "span", "floor_span", "wheelbase"} <= names
    assert not names & {"incline", "floor_slope", "caster", "weight", "cg_height"}


def test_a_reading_to_the_other_side_of_the_line_has_the_same_spread():
    for kind in TAPED:
        assert kind.sd(-1200.0) == kind.sd(1200.0)


def test_class_two_is_as_wide_as_the_american_tolerance_over_a_wheelbase():
    # Handbook 44: 1/16 in at 7 to 30 ft; class II at 3 to 7 m is 0.9 to 1.7 mm: the two rules speak of the same tapes.
    for length in (3000.0, 5000.0, 7000.0):
        assert limit_of(KINDS["wheelbase"], length, "II") == pytest.approx(25.4 / 16, rel=0.45)


def test_no_kind_claims_to_be_better_than_the_marks_that_are_read():
    sixteenth, tenth = 0.45827, 0.02887
    assert pytest.approx(25.4 / 16 / math.sqrt(12.0), abs=1e-5) == sixteenth
    for kind in ALL:
        least = {"mm": sixteenth, "deg": tenth}.get(kind.unit)
        if least:
            assert kind.sd(500.0 if kind.unit == "mm" else 5.0) > least
