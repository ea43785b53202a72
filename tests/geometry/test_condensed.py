"""Very many takes are judged as few, and no mistake among them is lost."""

import numpy as np
import pytest

from geometry.condensed import MANY, condensed, few
from geometry.doubt import judge
from geometry.fit import Observation, Setup, fit
from geometry.points import points_of, typical_places

SETUP = Setup("three_link_panhard", "front", 2700.0, 840.0)


def takes(rounds, seed=3):
    """Every fixed place read three ways, `rounds` times, with the scatter each kind owns to."""
    rng = np.random.default_rng(seed)
    places = typical_places("three_link_panhard", "front", 2700.0, 840.0)
    found = []
    for take in range(rounds):
        for name in points_of("three_link_panhard", "front"):
            for kind, value, sd in zip(("fore_aft", "lateral", "height"), places[name], (2.5, 2.5, 2.0), strict=True):
                key = f"{kind}:{name}" + (f"#{take + 1}" if take else "")
                found.append(Observation(f"{kind}:{name}", value + sd * rng.normal(), key))
    return found


ROUNDS = 12


def test_one_row_a_reading_puts_every_point_where_all_takes_put_it():
    whole = fit(SETUP, takes(ROUNDS))
    assert len(whole.observations) > MANY
    fewer, apart = condensed(whole)
    assert len(fewer.observations) * ROUNDS == len(whole.observations)
    assert len(apart) <= 3
    for name in whole.points:
        at = slice(whole.slot[name], whole.slot[name] + 3)
        assert fewer.estimate[at] == pytest.approx(whole.estimate[at], abs=0.3)


def test_a_take_apart_from_its_own_reading_is_named():
    observed = takes(ROUNDS)
    slip = next(k for k, seen in enumerate(observed) if seen.key == "height:upper.frame#7")
    read = observed[slip]
    observed[slip] = Observation(read.name, read.value + 25.4, read.key)
    worst = judge(fit(SETUP, observed))[0]
    assert worst.readings == ("height:upper.frame#7",) and worst.retake == "height:upper.frame"


def test_a_mistake_in_every_take_of_a_reading_is_still_seen_against_the_rest():
    observed = [
        Observation(seen.name, seen.value + (60.0 if seen.name == "height:wheel_left.centre" else 0.0), seen.key)
        for seen in takes(ROUNDS)
    ]
    assert any("height:wheel_left.centre" in doubt.readings for doubt in judge(fit(SETUP, observed)))


def test_a_few_takes_stay_as_they_are_and_very_many_become_one_of_each():
    some = fit(SETUP, takes(2))
    assert few(some) is some
    many = few(fit(SETUP, takes(ROUNDS)))
    assert len(many.observations) == len({reading.canonical for reading in many.readings})


def test_the_middle_of_takes_that_stand_apart_is_their_median():
    observed = takes(ROUNDS)
    name = "lateral:upper.frame"
    read = [seen.value for seen in observed if seen.name == name]
    slip = next(k for k, seen in enumerate(observed) if seen.key == f"{name}#3")
    observed[slip] = Observation(name, read[2] + 40.0, f"{name}#3")
    _, apart = condensed(fit(SETUP, observed))
    middle = next(one.middle for one in apart if one.number == slip)
    assert middle == float(np.median([*read[:2], read[2] + 40.0, *read[3:]]))


def test_a_search_that_begins_near_ends_where_one_from_afar_does():
    whole = fit(SETUP, takes(2))
    again = fit(SETUP, whole.observations, near=fit(SETUP, takes(2, seed=4)))
    assert again.estimate == pytest.approx(whole.estimate, abs=1e-6)
    other = fit(SETUP, [*whole.observations, Observation("height:mark.rail", 500.0, "height:mark.rail")], near=whole)
    assert other.converged and "mark.rail" in other.slot  # another set of unknowns begins from its own usual places


def test_means_from_the_fit_of_all_takes_are_those_of_a_fit_of_their_own():
    slopes = [Observation("floor_slope:across", 0.1 * way, f"floor_slope:across#{way}") for way in (1, -1, 2)]
    whole = fit(SETUP, [*takes(ROUNDS), Observation("wheelbase:left", 2702.0, "wheelbase:left", sd=3.0), *slopes])
    fewer, apart = condensed(whole)
    assert not apart
    anew = fit(SETUP, fewer.observations)
    names = ("estimate", "covariance", "weak_covariance", "predicted", "read", "residual", "sd", "redundancy", "w",
             "smallest_findable", "design_matrix", "assumed_redundancy", "variance_factor")  # fmt: skip
    for name in names:
        there, wanted = getattr(fewer, name), getattr(anew, name)
        assert there == pytest.approx(wanted, rel=1e-4, abs=1e-3, nan_ok=True), name  # usual places: of takes, of means
    assert fewer.readings == anew.readings and fewer.slot == anew.slot
