"""From where on a sure change is worth work: the advice on either side of it, and limits that stay inside the bands."""

from __future__ import annotations

import pytest

from geometry.bring_back import ENDS, LENGTHS, MEANS, Advice, bring_back
from geometry.compare import SURE, WITHIN, Comparison, FigureChange, compare
from geometry.figures import catalogue
from geometry.fit import Fit
from geometry.layouts import LAYOUTS
from geometry.moves import LinkBy, Plan, PointBy
from geometry.worth import least, room_of, small_change
from tests.geometry.test_bring_back import FACTS, moved, read, truth

__all__ = ["truth"]

CASTER_PER_MM = 0.781 / 4.0
"""Degrees of caster for a mm of the upper link of that made vehicle: worked out by `what_if` at 4 mm."""
KINDS = {(layout, axle): catalogue(layout, axle) for layout in LAYOUTS for axle in ("front", "rear")}


@pytest.mark.parametrize(("layout", "axle"), KINDS)
def test_every_figure_that_can_be_advised_on_says_from_where_on_it_counts(layout, axle):
    told = [kind for kind in KINDS[layout, axle].values()
            if kind.headline or (kind.family in ENDS and not kind.key.startswith(MEANS))]
    assert {kind.key for kind in told if least(kind) is None} == set()
    assert all(least(kind).change > 0.0 and least(kind).why for kind in told)


@pytest.mark.parametrize(("layout", "axle"), KINDS)
def test_no_limit_is_more_than_a_quarter_of_the_usual_band(layout, axle):
    for kind in KINDS[layout, axle].values():
        band = kind.band
        if band and band.low is not None and band.high is not None and least(kind):
            assert least(kind).change <= 0.25 * (band.high - band.low), kind.key


def advised(truth: Fit, plan: Plan) -> tuple[Comparison, Advice]:
    """As read to a tenth of a mm before and after, so that little is sure."""
    went = moved(truth, FACTS, plan, truth.estimate[None, :].astype(complex))[0].real
    before, after = read(truth, "before", sd=0.1), read(truth, "after", went, sd=0.1)
    comparison = compare(before, after, FACTS)
    return comparison, bring_back(after, comparison, FACTS)


def changed(key: str, before: float, after: float, category: str = SURE) -> FigureChange:
    return FigureChange(key, "deg", before, after, after - before, 0.05, 0.0, category)


def test_a_change_counts_from_its_limit_on_and_only_a_sure_one_is_told_as_small():
    caster = KINDS["three_link_panhard", "front"]["caster"]
    assert small_change(changed("caster", 5.0, 5.49), caster).least == 0.5
    assert small_change(changed("caster", 5.0, 4.51), caster) is not None
    assert small_change(changed("caster", 5.0, 5.51), caster) is None
    assert small_change(changed("caster", 5.0, 5.2, WITHIN), caster) is None


def test_what_is_wanted_back_has_one_place_and_the_rest_the_room_that_is_not_worth_work():
    caster = KINDS["three_link_panhard", "front"]["caster"]
    assert room_of(changed("caster", 5.0, 6.0), caster, ["caster"]) == (5.0, 5.0)
    assert room_of(changed("caster", 5.0, 5.2), caster, []) == (4.5, 5.5)
    assert room_of(changed("caster", 5.0, 6.0, WITHIN), caster, []) == (4.5, 6.0)


def test_caster_gone_by_less_than_half_a_degree_is_sure_and_no_advice(truth):
    comparison, advice = advised(truth, Plan((LinkBy("upper", 0.4 / CASTER_PER_MM),)))
    assert next(change.category for change in comparison.figures if change.key == "caster") == SURE
    assert not advice.needed and advice.ways == () and advice.changed == ()
    small = {one.key: one for one in advice.small}
    assert abs(small["caster"].after - small["caster"].before) == pytest.approx(0.4, abs=0.02)


def test_caster_gone_by_more_is_advice_and_not_in_that_list(truth):
    _, advice = advised(truth, Plan((LinkBy("upper", 0.7 / CASTER_PER_MM),)))
    assert advice.needed and "caster" in advice.changed and "caster" not in [one.key for one in advice.small]
    way = next(way for way in advice.ways if way.kind == LENGTHS)
    assert way.enough and list(way.lengths) == ["upper"]


@pytest.mark.parametrize(("up", "needed"), [(4.0, False), (16.0, False), (24.0, True)])
def test_a_panhard_bracket_is_worth_the_grinder_from_ten_mm_of_roll_centre_on(truth, up, needed):
    # Source: by `what_if` 4 mm of its frame bolt are 2.05 mm of roll centre here, so 10 mm are 19.5.
    _, advice = advised(truth, Plan((PointBy("panhard.frame", z=up),)))
    assert "panhard.frame" in advice.moved and advice.needed is needed
    assert ("roll_centre_height" in [one.key for one in advice.small]) is not needed


def test_a_way_may_leave_behind_what_is_not_worth_work(truth):
    # The upper link alone brings the caster back; what that leaves of the roll centre nobody works for.
    _, advice = advised(truth, Plan((LinkBy("upper", 5.0), PointBy("panhard.frame", z=4.0))))
    assert "caster" in advice.changed and "roll_centre_height" in [one.key for one in advice.small]
    way = next(way for way in advice.ways if way.kind == LENGTHS)
    assert way.enough and list(way.lengths) == ["upper"]
    assert [figure.key for figure in way.figures if not figure.changed] == []
