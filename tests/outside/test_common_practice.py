"""The trade's guideline values: common practice, no source. People quote them as "usually"; a vehicle can be right
outside them. This file holds the values the program shows as bands, so that none drifts by a slip of the finger.
"""

from __future__ import annotations

import pytest

from geometry.figures import CATALOGUE, catalogue

FRONT, REAR = catalogue("three_link_panhard", "front"), catalogue("four_link", "rear")
BANDS = [  # common practice, no source
    (FRONT, "anti_dive", 20.0, 60.0),
    (REAR, "anti_squat", 50.0, 100.0),
    (FRONT, "roll_centre_height", 400.0, 750.0),
    (REAR, "roll_centre_height", 400.0, 750.0),
    (FRONT, "roll_axis_incline", -3.0, 3.0),
    (REAR, "roll_steer", 0.0, 0.08),
    (FRONT, "caster", 4.0, 7.0),
    (FRONT, "separation_at_axle", 180.0, 250.0),
    (FRONT, "separation_at_frame", 100.0, 180.0),
    (FRONT, "link_length.lower_left", 760.0, 950.0),
    (REAR, "link_length.lower_left", 800.0, 1100.0),
    (FRONT, "link_length.panhard", 800.0, None),
    (FRONT, "link_incline.panhard", -3.0, 3.0),
    (REAR, "link_incline.lower_right", 0.0, 8.0),
]


@pytest.mark.parametrize(("kinds", "key", "low", "high"), BANDS)
def test_the_band_is_the_one_people_quote(kinds, key, low, high):
    band = kinds[key].band
    assert (band.low, band.high) == (low, high)


def test_every_band_says_that_it_has_no_source():
    bands = [kind.band for kind in CATALOGUE.values() if kind.band]
    assert len(bands) >= 10
    assert {band.source for band in bands} == {"common practice, no source"}


def test_a_band_never_calls_a_vehicle_bad():
    words = " ".join(
        f"{kind.band.words} {kind.band.other_view or ''}" for kind in CATALOGUE.values() if kind.band
    ).lower()
    assert not [word for word in ("safe", "wrong", "bad", "must", "illegal", "rating") if word in words.split()]
