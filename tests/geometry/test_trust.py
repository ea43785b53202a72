"""What a figure's spread is made of, and what would make it tighter."""

import pytest

from geometry.figures import CATALOGUE, Facts, sheet
from geometry.figures.trust import guessed_share, tighter
from geometry.fit import Observation
from tests.geometry.vehicles import clean, fitted

FACTS = Facts(brake_share_front=0.6)


def test_a_guess_makes_nothing_tighter_by_being_made_twice() -> None:
    made = fitted([*clean(3), Observation("cg_height:estimate", 700.0, "cg_height:estimate")])
    names = [gain.reading for gain in tighter(made, FACTS, CATALOGUE["anti_geometric"], ["cg_height:estimate"])]
    assert names and "cg_height:estimate" not in names


def test_the_share_of_the_spread_that_is_a_guess_is_that_of_its_own_error() -> None:
    made = fitted([*clean(3), Observation("cg_height:estimate", 700.0, "cg_height:estimate")])
    # By hand: the figure goes as 1 / h, the guess is 700 give or take 50 (one sd) beside an assumption of 300.
    figure = sheet(made, FACTS).figures["anti_geometric"]
    assert figure.value is not None and figure.sd is not None
    of_guess = (figure.value / 700.0 * 50.0 * 300.0**2 / (300.0**2 + 50.0**2) / figure.sd) ** 2
    assert of_guess > 0.5
    assert guessed_share(made, FACTS, CATALOGUE["anti_geometric"]) == pytest.approx(of_guess, rel=0.01)
    assert guessed_share(made, FACTS, CATALOGUE["roll_centre_height"]) == 0.0
