"""What to put back or turn after a stage moved: tried on vehicles whose move is known, and undone on paper."""

from dataclasses import replace

import numpy as np
import pytest

from geometry.bring_back import BRACKETS, LENGTHS, SDS, bring_back
from geometry.compare import SURE, compare
from geometry.figures import Facts, catalogue
from geometry.fit import Fit, Observation, fit
from geometry.moves import LinkBy, Plan, PointBy, moved
from geometry.what_if import Measured, what_if
from geometry.worth import room_of
from tests.outside.shapes import fitted, pair, wheels

FACTS = Facts(brake_share_front=0.6, drive_share_front=0.5)
PLACES = {
    **pair("lower", ".axle", -30.0, 480.0, 330.0),
    **pair("lower", ".frame", -900.0, 400.0, 520.0),
    "upper.axle": (-20.0, -180.0, 620.0),
    "upper.frame": (-760.0, -150.0, 690.0),
    "panhard.axle": (90.0, -460.0, 480.0),
    "panhard.frame": (95.0, 430.0, 560.0),
    **wheels(420.0, 780.0, 2700.0, "front"),
}
"""Made: a front axle on three links and a panhard bar."""
STEERING = tuple(
    (f"{kind}:kingpin_{side}.{end}", value, 1.0)
    for side, way in (("left", 1.0), ("right", -1.0))
    for end, rearward, height in (("top", -18.0, 560.0), ("bottom", 0.0, 340.0))
    for kind, value in (("height", height), ("fore_aft", rearward), ("lateral", way * 640.0))
)


@pytest.fixture(scope="module")
def truth() -> Fit:
    more = (("cg_height:estimate", 700.0, 1.0), ("incline:pinion", 3.0, 0.01), *STEERING)
    return fitted(PLACES, "three_link_panhard", "front", more)


def read(truth: Fit, stage: str, estimate: np.ndarray | None = None, sd: float = 0.4) -> Fit:
    """Every reading of the shape taken finely, without scatter, of the shape as it is or moved."""
    names = list(dict.fromkeys(seen.name for seen in truth.observations))
    shape = truth if estimate is None else replace(truth, estimate=estimate)
    values = shape.predict(names)[0]
    return fit(truth.setup, [
        Observation(name, float(value), name, sd=0.05 if name.startswith("floor") else sd, id=f"{stage}-{at:04}")
        for at, (name, value) in enumerate(zip(names, values, strict=True))
    ])  # fmt: skip


def after(truth: Fit, plan: Plan) -> Fit:
    return read(truth, "after", moved(truth, FACTS, plan, truth.estimate[None, :].astype(complex))[0].real)


def advised(truth: Fit, plan: Plan):
    before, later = read(truth, "before"), after(truth, plan)
    comparison = compare(before, later, FACTS)
    return later, comparison, bring_back(later, comparison, FACTS)


def test_where_nothing_moved_nothing_needs_doing(truth):
    _, _, advice = advised(truth, Plan(()))
    assert not advice.needed and advice.moved == () and advice.ways == ()


def test_a_bracket_far_enough_off_is_put_back_by_what_it_went_and_only_where_that_helps(truth):
    _, comparison, advice = advised(truth, Plan((PointBy("panhard.frame", 3.0, 0.0, 24.0),)))
    assert "panhard.frame" in {change.name for change in comparison.points if change.category == SURE}
    assert advice.needed and "panhard.frame" in advice.moved and "roll_centre_height" in advice.changed
    way = next(way for way in advice.ways if way.kind == BRACKETS)
    assert way.enough and list(way.points) == ["panhard.frame"]
    along, across, up = way.points["panhard.frame"]
    assert up == pytest.approx(-24.0, abs=0.6) and along == 0.0 and across == 0.0  # 3 mm ahead changes no figure


def test_a_bracket_that_changes_no_figure_may_stay(truth):
    # Source: an axle bolt 5 mm along a link's own line changes that link's length and nothing it holds.
    where = truth.placed()
    frame, axle = (np.array([where[f"upper.{end}"].x, where[f"upper.{end}"].y, where[f"upper.{end}"].z])
                   for end in ("frame", "axle"))
    along = (frame - axle) / np.linalg.norm(frame - axle) * 5.0
    _, _, advice = advised(truth, Plan((PointBy("upper.frame", *along.tolist()),)))
    assert "upper.frame" in advice.moved and not advice.needed and advice.ways == ()


def test_an_axle_turned_by_one_link_is_turned_back_by_that_link(truth):
    # Source: the move itself. The upper link made 6 mm longer tilts the axle; 6 mm shorter undoes it.
    later, _, advice = advised(truth, Plan((LinkBy("upper", 6.0),)))
    assert "caster" in advice.changed
    way = next(way for way in advice.ways if way.kind == LENGTHS)
    assert way.enough and way.lengths == {"upper": pytest.approx(-6.0, abs=0.5)}
    assert abs(way.axle[0]) < 2.5 and abs(way.axle[1]) < 2.5  # back to where it stood
    done = what_if(Measured(later, FACTS), Plan((LinkBy("upper", way.lengths["upper"]),))).figures["caster"].value
    caster = next(figure for figure in way.figures if figure.key == "caster")
    assert caster.then == pytest.approx(done, abs=1e-9) and abs(done - caster.wanted) < SDS * caster.sd


def test_no_way_gives_up_where_the_axle_stands_or_another_figure(truth):
    kinds, asked = catalogue("three_link_panhard", "front"), []
    for plan in (Plan((PointBy("panhard.frame", z=30.0),)), Plan((PointBy("lower_left.frame", z=30.0),))):
        later, comparison, advice = advised(truth, plan)
        held = {change.key: change for change in comparison.figures}
        for way in advice.ways:
            assert abs(way.axle[0]) <= 4.0 and abs(way.axle[1]) <= 4.0
            moves = [LinkBy(link, by) for link, by in way.lengths.items()]
            moves += [PointBy(point, *by) for point, by in way.points.items()]
            then = what_if(Measured(later, FACTS), Plan(tuple(moves))).figures
            if not way.enough:
                continue
            asked.append(way.kind)
            for key in ("caster", "pinion_angle", "roll_centre_height", "anti_dive"):
                if key not in held or held[key].category not in (SURE, "within the tape"):
                    continue
                low, high = room_of(held[key], kinds[key], advice.changed)
                assert low - SDS * held[key].sd <= then[key].value <= high + SDS * held[key].sd
    assert asked


def test_the_advice_is_the_same_every_time(truth):
    plan = Plan((PointBy("panhard.frame", z=24.0),))
    assert advised(truth, plan)[2] == advised(truth, plan)[2]
