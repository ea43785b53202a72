"""The likeliest correction gives back the vehicle that was there before the slip."""

import numpy as np
import pytest

from geometry.correction import likeliest
from geometry.doubt import judge
from geometry.fit import Observation, Setup, fit
from tests.geometry.vehicles import clean, fitted, with_slip


def test_without_a_doubt_nothing_is_worked_out_anew() -> None:
    sound = fitted(clean(3))
    assert likeliest(sound, judge(sound)) is sound


def test_the_corrected_fit_is_the_fit_without_the_slip() -> None:
    sound = fitted(clean(3))
    spoiled = fitted(with_slip(clean(3), "height:upper.frame", 25.4))
    settled = likeliest(spoiled, judge(spoiled))
    assert settled.estimate == pytest.approx(sound.estimate, abs=1e-6)
    assert np.abs(spoiled.estimate - sound.estimate).max() > 1.0
    assert [seen.value for seen in spoiled.observations] != [seen.value for seen in settled.observations]


def test_a_reading_no_slip_explains_counts_for_nothing() -> None:
    spoiled = fitted(with_slip(clean(3), "height:panhard.axle", 171.3))
    doubts = judge(spoiled)
    assert doubts[0].likely is None
    without = fitted([seen for seen in clean(3) if seen.name != "height:panhard.axle"])
    settled = likeliest(spoiled, doubts)
    slot = settled.slot["panhard.axle"]
    assert settled.estimate[slot + 2] == pytest.approx(without.estimate[without.slot["panhard.axle"] + 2], abs=0.01)


def test_of_a_shared_mistake_all_readings_are_left_out() -> None:
    setup = Setup("three_link_panhard", "front", 2700.0, 840.0)
    late = {f"height:{point}.{end}" for point in ("upper", "panhard") for end in ("frame", "axle")}
    seen = [Observation(one.name, one.value - 30.0 * (one.name in late), one.key) for one in clean(11)]
    spoiled = fit(setup, seen)
    settled = likeliest(spoiled, judge(spoiled))
    left_out = {seen.key for seen in settled.observations if seen.added_sd > 1e3}
    assert left_out == late
