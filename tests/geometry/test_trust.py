"""What a figure's spread is made of, and what would make it tighter, against fitting all of it anew."""

import pytest

from geometry.figures import CATALOGUE, Facts, catalogue, sheet
from geometry.figures.trust import guessed_share, tighter, with_height
from geometry.fit import Observation, Setup, fit
from tests.geometry.test_figures import FACTS, readings
from tests.geometry.vehicles import clean, fitted

BRAKED = Facts(brake_share_front=0.6)
SETUP = Setup("three_link_panhard", "front", 2700.0, 840.0)
NOT_TAKEN = ("incline:upper.axle~upper.frame", "height:upper.middle", "span:lower_left.axle~lower_left.frame",
             "rise:lower_left.frame~lower_right.frame", "across:lower_left.frame~lower_right.frame",
             "span:panhard.axle~panhard.frame")  # fmt: skip
MEASURED = fit(SETUP, readings("three_link_panhard", "front"))
KINDS = catalogue("three_link_panhard", "front")


def sd_with(name: str, key: str, sd: float | None = None) -> float:
    """A figure's sd once this reading, read as it is expected, is fitted with the rest."""
    value = float(MEASURED.predict([name])[0][0])
    more = Observation(name, value, f"{name}#2", sd) if sd else Observation(name, value, f"{name}#2")
    return sheet(fit(SETUP, [*readings("three_link_panhard", "front"), more]), FACTS).figures[key].sd


@pytest.mark.parametrize("key", ["anti_geometric", "roll_centre_height", "roll_steer", "instant_centre.x"])
def test_what_is_left_of_a_spread_is_what_a_fit_with_that_reading_leaves_and_the_best_stands_first(key):
    gains = tighter(MEASURED, FACTS, KINDS[key], NOT_TAKEN)
    assert len(gains) >= 3
    for gain in gains:
        assert gain.sd_after == pytest.approx(sd_with(gain.reading, key), rel=1e-3), gain.reading
    assert [gain.sd_after for gain in gains] == sorted(gain.sd_after for gain in gains)
    named = {gain.reading for gain in gains}
    left_out = [name for name in NOT_TAKEN if name not in named]
    now = sheet(MEASURED, FACTS).figures[key].sd
    assert all(sd_with(name, key) > 0.997 * now for name in left_out), "whatever is left out hardly helps"


@pytest.mark.parametrize("sd", [10.0, 40.0])
def test_a_height_weighed_leaves_what_a_fit_with_it_leaves(sd):
    found = with_height(MEASURED, FACTS, KINDS["anti_geometric"], sd)
    assert found == pytest.approx(sd_with("cg_height:estimate", "anti_geometric", sd), rel=1e-3)
    assert with_height(MEASURED, FACTS, KINDS["roll_centre_height"], sd) == pytest.approx(
        sheet(MEASURED, FACTS).figures["roll_centre_height"].sd, rel=1e-9), "no business of the height"


def test_a_guess_makes_nothing_tighter_by_being_made_twice() -> None:
    made = fitted([*clean(3), Observation("cg_height:estimate", 700.0, "cg_height:estimate")])
    names = [gain.reading for gain in tighter(made, BRAKED, CATALOGUE["anti_geometric"], ["cg_height:estimate"])]
    assert names and "cg_height:estimate" not in names


def test_the_share_of_the_spread_that_is_a_guess_is_that_of_its_own_error() -> None:
    made = fitted([*clean(3), Observation("cg_height:estimate", 700.0, "cg_height:estimate")])
    # By hand: the figure goes as 1 / h, the guess is 700 give or take 50 (one sd) beside an assumption of 300.
    figure = sheet(made, BRAKED).figures["anti_geometric"]
    assert figure.value is not None and figure.sd is not None
    of_guess = (figure.value / 700.0 * 50.0 * 300.0**2 / (300.0**2 + 50.0**2) / figure.sd) ** 2
    assert of_guess > 0.5
    assert guessed_share(made, BRAKED, CATALOGUE["anti_geometric"]) == pytest.approx(of_guess, rel=0.01)
    assert guessed_share(made, BRAKED, CATALOGUE["roll_centre_height"]) == 0.0
