"""Plans of moves: what follows what, by hand where it can be; spreads of differences against refitted readings."""

import dataclasses
import math
import time

import numpy as np
import pytest

from geometry.complex_step import STEP
from geometry.errors import BadName
from geometry.figures import Facts, catalogue, sheet, slopes
from geometry.figures.base import NotYet
from geometry.fit import Observation, Setup, fit
from geometry.moves import BadMove, CgTo, LinkBy, LinkTo, Plan, PointBy, PointTo, RideBy, TyreTo, moved
from geometry.what_if import Measured, what_if
from tests.reference.made import made

FACTS = Facts(brake_share_front=0.63, drive_share_front=0.4)
LAYOUTS = ("three_link_panhard", "four_link", "four_link_panhard", "radius_arms_panhard")


def observed(layout: str, worked_axle: str = "front", seed: int = 11) -> tuple[Setup, list[Observation]]:
    taken = [entry for entry in made(layout, worked_axle, seed)["entries"] if entry["type"] == "reading"]
    once = {entry["reading"]: entry for entry in taken if "state" not in entry}
    return Setup(layout, worked_axle), [Observation(name, entry["value"], name) for name, entry in once.items()]


@pytest.fixture(scope="module", params=LAYOUTS)
def measured(request) -> Measured:
    return Measured(fit(*observed(request.param)), FACTS)


@pytest.fixture(scope="module")
def three_link() -> Measured:
    return Measured(fit(*observed("three_link_panhard")), FACTS)


def test_a_figure_that_waits_is_kept_without_what_the_sums_for_it_held():
    measured = Measured(fit(*observed("three_link_panhard")), Facts())
    found = slopes.figures(measured.ride, catalogue("three_link_panhard", "front"))
    waiting = [each for each in found.values() if isinstance(each, NotYet)]
    assert waiting and {each.__traceback__ for each in waiting} == {None}


def a_link(measured: Measured) -> str:
    return measured.ride.layout.links[0].name


def values(measured: Measured, plan: Plan) -> dict[str, float]:
    return {key: each.value for key, each in what_if(measured, plan).figures.items() if each.value is not None}


def test_without_moves_the_figures_are_those_of_the_sheet(measured):
    plain = sheet(measured.fit, FACTS)
    outcome = what_if(measured, Plan(()))
    for key, figure in plain.figures.items():
        here = outcome.figures[key]
        if figure.value is None:
            assert here.value is None and here.needs == figure.needs and here.reason == figure.reason, key
        else:
            assert here.value == pytest.approx(figure.value, rel=1e-9, abs=1e-9), key
            assert here.sd == pytest.approx(figure.sd, rel=1e-3, abs=1e-9), key
    assert all(each.value == 0.0 and not each.sure for each in outcome.differences.values())
    anti = plain.sweep.columns["anti_geometric"]
    assert outcome.sweep.columns["anti_geometric"].values == pytest.approx(anti.values, rel=1e-9)
    assert outcome.sweep.columns["anti_geometric"].sd == pytest.approx(anti.sd, rel=1e-9)


def test_a_moved_bolt_lengthens_its_link_as_pythagoras_says_and_leaves_the_axle(three_link):
    ends = three_link.fit.placed()
    frame, axle = ends["lower_left.frame"], ends["lower_left.axle"]
    outcome = what_if(three_link, Plan((PointBy("lower_left.frame", z=25.4),)))
    # Source: by hand, Pythagoras in space on the fitted places.
    length = math.dist((frame.x, frame.y, frame.z + 25.4), (axle.x, axle.y, axle.z))
    assert outcome.figures["link_length.lower_left"].value == pytest.approx(length, abs=1e-9)
    assert outcome.points["lower_left.frame"].by == pytest.approx((0.0, 0.0, 25.4), abs=1e-9)
    assert outcome.points["wheel_left.centre"].by == (0.0, 0.0, 0.0)
    assert outcome.differences["caster"].value == 0.0


def test_a_point_put_somewhere_stands_there_and_keeps_its_spread(three_link):
    before = three_link.fit.placed()["upper.frame"]
    after = what_if(three_link, Plan((PointTo("upper.frame", x=-700.0, z=620.0),))).points["upper.frame"]
    assert after.place == pytest.approx((-700.0, before.y, 620.0), abs=1e-9)
    assert after.sd == pytest.approx(before.sd, rel=1e-9)


@pytest.mark.parametrize("layout", ["three_link_panhard", "four_link"])
def test_a_longer_link_has_that_length_and_the_others_keep_theirs(layout):
    measured = Measured(fit(*observed(layout)), FACTS)
    name = a_link(measured)
    outcome = what_if(measured, Plan((LinkBy(name, 12.0),)))
    for key, change in outcome.differences.items():
        if key.startswith("link_length."):
            assert change.value == pytest.approx(12.0 if key.endswith(name) else 0.0, abs=1e-6), key
            assert change.sd < 1e-6
    assert outcome.points["wheel_left.centre"].by[2] == pytest.approx(0.0, abs=0.05)
    assert outcome.points["wheel_right.centre"].by[2] == pytest.approx(0.0, abs=0.05)
    assert outcome.points[f"{name}.frame"].by == (0.0, 0.0, 0.0)


def test_both_radius_arms_longer_push_the_axle_ahead_by_as_much():
    arms = Measured(fit(*observed("radius_arms_panhard")), FACTS)
    outcome = what_if(arms, Plan((LinkBy("arm_left", 10.0), LinkBy("arm_right", 10.0))))
    # By hand: a front axle on two arms of nearly level run goes ahead by what both gain, less the arms' slope.
    assert outcome.differences["wheelbase"].value == pytest.approx(10.0, abs=0.3)
    assert outcome.differences["link_length.arm_left"].value == pytest.approx(10.0, abs=0.2)


def test_a_link_turned_longer_and_back_leaves_everything_as_it_was(measured):
    name = a_link(measured)
    there_and_back = what_if(measured, Plan((LinkBy(name, 8.0), LinkBy(name, -8.0))))
    # Contact points turn a little with the axle, so its level is met twice to some thousandths of a mm.
    for key, change in there_and_back.differences.items():
        assert change.value == pytest.approx(0.0, abs=1e-3 if measured.ride.rig.determinate else 2.0), key


def test_a_link_set_to_a_length_measures_it(three_link):
    assert values(three_link, Plan((LinkTo("upper", 700.0),)))["link_length.upper"] == pytest.approx(700.0, abs=1e-6)


def test_with_lengths_kept_a_raised_frame_bolt_turns_the_axle(three_link):
    plan = Plan((PointBy("lower_left.frame", x=6.0), PointBy("lower_right.frame", x=6.0)), keep_lengths=True)
    outcome = what_if(three_link, plan)
    for key, change in outcome.differences.items():
        if key.startswith("link_length."):
            assert change.value == pytest.approx(0.0, abs=1e-6), key
    # By hand: lower axle bolts go 6 mm ahead under uppers that stay: 6 over their height apart is the turn.
    turn = math.degrees(math.atan(6.0 / three_link.figures["separation_at_axle"].value))
    assert outcome.differences["caster"].value == pytest.approx(turn, rel=0.15)


def test_a_frame_raised_alike_moves_every_frame_bolt_straight_up_and_swings_the_axle(measured):
    outcome = what_if(measured, Plan((RideBy(40.0, 40.0),)))
    name = a_link(measured)
    assert outcome.points[f"{name}.frame"].by == pytest.approx((0.0, 0.0, 40.0), abs=1e-9)
    assert outcome.points["other_left.centre"].by == (0.0, 0.0, 0.0)
    assert outcome.differences["cg.z"].value == pytest.approx(40.0, abs=1e-9)


def test_a_raised_frame_is_the_axle_in_droop(three_link):
    # Two ways to one answer: the sweep's caster change at 40 mm of droop, against the frame lifted by 40 mm.
    at = three_link.columns[0].tolist().index(-40.0)
    change = three_link.columns[1]["caster_change"][1].values[at]
    lifted = what_if(three_link, Plan((RideBy(40.0, 40.0),)))
    assert lifted.differences["caster"].value == pytest.approx(change, abs=0.01)


def test_a_frame_raised_at_the_worked_axle_only_tips_about_the_other(three_link):
    outcome = what_if(three_link, Plan((RideBy(50.0),)))
    wheelbase = three_link.figures["wheelbase"].value
    before, after = three_link.fit.placed(), outcome.points
    name = "lower_left.frame"
    share = 1.0 + before[name].x / wheelbase  # how far this bolt stands ahead of the other axle
    assert after[name].by[2] == pytest.approx(50.0 * share, abs=0.5)


def test_larger_tyres_lift_everything_by_the_growth_of_the_loaded_radius(three_link):
    now = float(three_link.fit.estimate[three_link.fit.slot["tyre.free_diameter"]])
    outcome = what_if(three_link, Plan((TyreTo(now * 1.05),)))
    growth = 0.05 * three_link.fit.tyre_radius
    assert {round(point.by[2] - growth, 9) for point in outcome.points.values()} == {0.0}
    assert outcome.differences["cg.z"].value == pytest.approx(growth)


def test_a_lower_cg_raises_the_anti_figure_in_proportion(three_link):
    figures = three_link.figures
    outcome = what_if(three_link, Plan((CgTo(height=0.8 * figures["cg.z"].value),)))
    # Source: the definition, 100 s L / h.
    assert outcome.figures["anti_dive"].value == pytest.approx(figures["anti_dive"].value / 0.8, rel=1e-9)


def test_a_cg_put_along_stands_there_with_the_same_weight(three_link):
    outcome = what_if(three_link, Plan((CgTo(along=-1200.0),)))
    assert outcome.figures["cg.x"].value == pytest.approx(-1200.0, abs=1e-6)
    first = three_link.fit.slot["load.front_left"]
    assert outcome.state[0, first : first + 4].real.sum() == pytest.approx(
        three_link.fit.estimate[first : first + 4].sum()
    )


@pytest.mark.parametrize(
    "plan",
    [
        Plan((PointBy("lower_left.frame", x=-8.0, z=25.4),)),
        Plan((LinkBy("upper", 9.0),)),
        Plan((RideBy(40.0, 10.0),)),
        Plan((TyreTo(940.0),)),
        Plan((PointBy("panhard.frame", z=30.0),), keep_lengths=True),
    ],
    ids=("bolt", "link", "ride height", "tyres", "lengths kept"),
)
def test_the_spread_of_a_difference_is_that_of_small_real_moves_of_every_unknown(three_link, plan):
    # Source: central differences of moved less measured, each whole vehicle worked out anew; no complex step.
    keys = ("anti_geometric", "caster", "roll_centre_height", "link_length.upper", "bump_steer_75")
    fitted = three_link.fit

    def off(estimate: np.ndarray) -> list[float]:
        there = dataclasses.replace(fitted, estimate=estimate)
        here = Measured(there, FACTS)
        changed = values(here, plan)
        return [changed[key] - here.figures[key].value for key in keys]

    columns = three_link.unknowns.astype(int)
    gradient = []
    for column in columns:
        step = 1e-3 if column < 3 * len(fitted.points) else 1e-4
        up, down = fitted.estimate.copy(), fitted.estimate.copy()
        up[column] += step
        down[column] -= step
        gradient.append((np.array(off(up)) - np.array(off(down))) / (2 * step))
    slope = np.array(gradient)
    expected = np.sqrt(np.einsum("uk,uv,vk->k", slope, fitted.covariance[np.ix_(columns, columns)], slope))
    found = [what_if(three_link, plan).differences[key].sd for key in keys]
    assert found == pytest.approx(expected.tolist(), rel=2e-3, abs=2e-5)


def test_a_difference_is_surer_than_the_figure_it_changes(three_link):
    outcome = what_if(three_link, Plan((PointBy("lower_left.frame", z=12.7),)))
    change = outcome.differences["anti_geometric"]
    assert change.sure and change.sd < 0.3 * three_link.figures["anti_geometric"].sd


def test_drawn_vehicles_move_one_by_one_as_each_does_alone(three_link):
    rng = np.random.default_rng(3)
    drawn = three_link.fit.estimate + rng.normal(0.0, 2.0, (3, three_link.fit.unknowns)) * 1e-1
    for plan in (Plan((LinkBy("upper", 9.0),)), Plan((RideBy(30.0),))):
        together = moved(three_link.fit, FACTS, plan, drawn)
        for row in range(3):
            alone = moved(three_link.fit, FACTS, plan, drawn[row : row + 1])
            assert together[row] == pytest.approx(alone[0], abs=1e-7)
        assert together.dtype == np.float64


@pytest.mark.parametrize(
    ("move", "said"),
    [
        (PointBy("lower_left.middle", z=1.0), "is worked out from lower_left.frame and lower_left.axle; move one"),
        (PointBy("keep_clear.winch", z=1.0), "is not measured yet; take a reading of it"),
        (PointBy("upper_left.frame", z=1.0), "there is no point upper_left.frame in this layout"),
        (PointTo("upper.frame", x=9e9), "is no place or move for a bolt"),
        (PointBy("upper.frame", x=math.nan), "is no place or move for a bolt"),
        (LinkBy("uper", 2.0), "there is no link uper in this layout; did you mean upper?"),
        (LinkTo("upper", 3.0), "leaves no link"),
        (LinkBy("lower_left", 600.0), "they do not reach with lower_left so"),
        (TyreTo(90.0), "is no diameter beside the"),
        (CgTo(height=-5.0), "lies above the floor"),
        (CgTo(along=900.0), "is outside the wheelbase"),
    ],
)
def test_a_move_that_cannot_be_is_refused_in_one_sentence(three_link, move, said):
    with pytest.raises((BadMove, BadName)) as refused:
        what_if(three_link, Plan((move,)))
    assert said in str(refused.value) and "\n" not in str(refused.value)


def test_moving_the_weight_of_an_unweighed_vehicle_is_refused():
    bare = Measured(fit(Setup("four_link", "rear"), []), Facts())
    for move, said in ((CgTo(height=600.0), "enter an estimate first"), (CgTo(along=500.0), "have not been weighed")):
        with pytest.raises(BadMove, match=said):
            what_if(bare, Plan((move,)))
    with pytest.raises(BadMove, match="not known; measure it or state"):
        what_if(bare, Plan((TyreTo(850.0),)))


def test_all_figures_of_a_plan_come_within_50_ms(three_link):
    three_link.answers, three_link.figures  # noqa: B018  the measured vehicle is worked out once
    taken = []
    for _ in range(5):
        start = time.process_time()
        outcome = what_if(three_link, Plan((LinkBy("lower_left", 5.0), PointBy("panhard.frame", z=20.0))))
        outcome.figures, outcome.differences  # noqa: B018
        taken.append(time.process_time() - start)
    assert min(taken) < 0.050
    assert three_link.estimates.imag.max() == STEP


def test_a_narrowed_outcome_has_the_same_figures_and_no_others(three_link):
    whole = what_if(three_link, Plan((PointBy("upper.frame", z=20.0),)))
    some = whole.narrowed(["anti_dive", "link_length.upper"])
    assert set(some.figures) == set(some.differences) == {"anti_dive", "link_length.upper"}
    for key, figure in some.figures.items():
        assert figure == whole.figures[key] and some.differences[key] == whole.differences[key]


def test_one_column_is_that_of_the_whole_sweep(three_link):
    outcome = what_if(three_link, Plan((PointBy("upper.frame", z=20.0),)))
    for key in ("anti_geometric", "caster_change", "lateral_shift"):
        assert outcome.column(key) == outcome.sweep.columns[key]
    assert outcome.column("nothing_of_that_name") is None


def test_a_column_of_whole_values_starts_from_the_figure(three_link):
    outcome = what_if(three_link, Plan((PointBy("upper.frame", z=20.0),)))
    column = outcome.column("anti_braking")
    ride = list(outcome.sweep.travel).index(0.0)
    assert column.values[ride] == pytest.approx(outcome.figures["anti_dive"].value)
