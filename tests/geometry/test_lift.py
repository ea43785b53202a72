"""How high is high enough: where the height's own doubt in the anti figure meets that of everything else."""

import math

import pytest

from geometry.figures import Facts, sheet
from geometry.figures.lift import Weighed, height_enough, lift_spread, rise_for
from tests.outside.shapes import T1, fitted

SPREADS = {f"height:{name}": 2.0 for name in T1 if name.startswith(("lower", "upper"))}


def anti(sd):
    found = fitted(T1, "four_link", more=(("cg_height:estimate", 700.0, sd),), spreads=SPREADS)
    return sheet(found, Facts(drive_share_front=0.0)).figures["anti_squat"], found


def test_at_the_height_s_enough_spread_the_anti_figure_s_grows_by_the_root_of_two():
    # By hand: two like parts at right angles.
    exact, found = anti(1e-3)
    enough = height_enough(found, Facts())
    assert anti(enough)[0].sd == pytest.approx(math.sqrt(2.0) * exact.sd, rel=2e-3)


def test_without_a_height_there_is_nothing_to_say():
    assert height_enough(fitted(T1, "four_link"), Facts()) is None


def test_the_least_rise_for_a_spread_is_the_first_step_that_has_it():
    about = Weighed(900.0, 900.0, 2700.0, 400.0, 700.0)
    found = rise_for(about, 40.0)
    (lower,) = lift_spread(about, [found.rise - 10.0])
    assert found.sd <= 40.0 < lower.sd
    assert rise_for(about, 0.1) is None
