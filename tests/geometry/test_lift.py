"""How high is high enough: where the height's own doubt in the anti figure meets that of everything else."""

import math

import pytest

from geometry.figures import Facts, sheet
from geometry.figures.lift import Weighed, height_enough, lift_spread, rear_to_lift, rise_for
from geometry.fit import Observation, Setup, fit
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


def read_as_usual(more):
    """T1 with every coordinate and weight read with the spread of its kind."""
    axes = ("fore_aft", "lateral", "height")
    found = [(f"{axis}:{name}", place[at], None) for name, place in T1.items() for at, axis in enumerate(axes)]
    found += [("floor_slope:fore_aft", 0.0, None), ("floor_slope:across", 0.0, None), *more]
    seen = [Observation(name, value, name, sd=sd) for name, value, sd in found]
    return fit(Setup("four_link", "rear", 2700.0, 840.0), seen)


@pytest.mark.parametrize("rise", [300.0, 600.0])
@pytest.mark.parametrize("sd", [None, 2.0])
def test_what_is_promised_before_a_lift_is_what_the_fit_gives_after_it(rise, sd):
    level = [("weight:front", 1000.0, sd), ("weight:rear", 900.0, sd)]
    before = read_as_usual([*level, ("cg_height:estimate", 700.0, None)])
    wheelbase = sheet(before, Facts()).figures["wheelbase"]
    about = rear_to_lift(before, (wheelbase.value, wheelbase.sd), 700.0)
    left = 1000.0 + 1900.0 * 300.0 / 2700.0 * math.tan(math.asin(rise / 2700.0))
    after = read_as_usual([*level, ("lifted_rise:rear", rise, None), ("lifted_weight:front", left, sd)])
    found = sheet(after, Facts()).figures["cg.z"].sd
    # The fit has the usual height, give or take 300, besides: two like parts of one height, by their weights.
    (promised,) = lift_spread(about, [rise])
    assert found == pytest.approx(1.0 / math.hypot(1.0 / promised.sd, 1.0 / 300.0), rel=0.03)


def test_a_vehicle_that_weighs_nothing_is_not_lifted():
    nothing = read_as_usual([("weight:front", 0.0, None), ("weight:rear", 900.0, None)])
    assert rear_to_lift(nothing, (2700.0, 3.0), 700.0) is None
