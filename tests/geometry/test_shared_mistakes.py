"""A line that moved, a vehicle that settled, a gauge that was off: named as one mistake, with its amount."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest

from geometry.case import case_of
from geometry.doubt import Doubt, judge
from geometry.fit import Observation
from geometry.shared_mistakes import FAMILIES, hypotheses
from tests.geometry.vehicles import clean, fitted


def off(seen: list[Observation], amount: Callable[[Observation], float]) -> list[Observation]:
    return [replace(one, value=one.value + amount(one)) for one in seen]


def first(seen: list[Observation]) -> Doubt:
    found = judge(fitted(seen))
    assert found and found[0].shared is not None, [(one.reason, one.readings) for one in found]
    return found[0]


def test_left_heights_read_after_the_vehicle_settled_are_one_mistake() -> None:
    late = {f"height:{point}.{end}" for point in ("upper", "panhard") for end in ("frame", "axle")}
    found = first(off(clean(11), lambda one: -30.0 if one.name in late else 0.0))
    assert found.reason == "shared" and found.shared is not None
    assert found.shared.family == "heights"
    assert set(found.readings) == late
    assert found.shared.amount == pytest.approx(-30.0, abs=4.0 * found.shared.sd)
    assert (found.shared.first, found.shared.last) == ("height:upper.frame", "height:panhard.axle")
    assert found.retake in late


def test_a_cross_line_that_moved_is_named_with_the_readings_taken_after() -> None:
    # All frame bolts are plumbed first, then all axle bolts; between them the cross line was scuffed and drawn again.
    seen = clean(12)
    moved = {one.name for one in seen if one.name.startswith("fore_aft") and one.name.endswith(".axle")}
    seen = [one for one in seen if one.name not in moved] + [one for one in seen if one.name in moved]
    found = first(off(seen, lambda one: 40.0 if one.name in moved else 0.0))
    assert found.shared is not None and found.shared.family == "cross_line"
    # The panhard bar lies across: its own shift shows nowhere, so it may be named or not.
    assert moved - {"fore_aft:panhard.axle"} <= set(found.readings)
    assert found.shared.amount == pytest.approx(40.0, abs=10.0)


def test_a_gauge_zeroed_on_a_slope_is_one_mistake_of_all_angles() -> None:
    found = first(off(clean(13), lambda one: 2.5 if one.name.startswith("incline") else 0.0))
    assert found.shared is not None and found.shared.family == "gauge"
    assert found.shared.unit == "deg"
    assert found.shared.amount == pytest.approx(2.5, abs=4.0 * found.shared.sd)
    assert all(key.startswith("incline") for key in found.readings)


def test_a_cross_line_out_of_square_is_named_as_skew() -> None:
    seen = clean(14)
    laterals = {one.name.partition(":")[2]: one.value for one in seen if one.name.startswith("lateral")}

    def skew(one: Observation) -> float:
        kind, _, point = one.name.partition(":")
        return 0.06 * laterals[point] if kind == "fore_aft" else 0.0

    found = first(off(seen, skew))
    # Against spans and diagonals a line out of square is the same as the other line askew.
    assert found.shared is not None and found.shared.family in ("cross_skew", "centre_skew")


def test_both_takes_of_a_reading_of_another_point_are_one_mistake() -> None:
    seen = clean(15)
    twice = [*seen, *(replace(one, key=f"{one.key}#2", value=one.value + 0.5) for one in seen
                      if one.name == "height:upper.frame")]
    found = first(off(twice, lambda one: 60.0 if one.name == "height:upper.frame" else 0.0))
    assert found.shared is not None and found.shared.family == "same_name"
    assert set(found.readings) == {"height:upper.frame", "height:upper.frame#2"}


def test_left_and_right_written_for_each_other_is_named() -> None:
    # The panhard bar's side of the frame carries the left bracket 60 mm higher than the right one.
    raised = ("height:lower_left.frame", "height:lower_left.middle")
    seen = off(clean(16), lambda one: {raised[0]: 60.0, raised[1]: 30.0}.get(one.name, 0.0))
    link = "incline:lower_left.axle~lower_left.frame"
    lengths = {one.name: one.value for one in seen}
    run = abs(lengths["fore_aft:lower_left.frame"] - lengths["fore_aft:lower_left.axle"])
    rise = lengths["height:lower_left.frame"] - lengths["height:lower_left.axle"]
    tilt = float(np.degrees(np.arctan2(rise, run) - np.arctan2(rise - 60.0, run)))
    seen = off(seen, lambda one: tilt if one.name == link else 0.0)
    sound = judge(fitted(seen))
    assert sound == ()
    left, right = "height:lower_left.frame", "height:lower_right.frame"
    values = {one.name: one.value for one in seen}
    exchange = {left: values[right] - values[left], right: values[left] - values[right]}
    found = first(off(seen, lambda one: exchange.get(one.name, 0.0)))
    assert found.shared is not None and found.shared.family == "exchanged"
    assert set(found.readings) == {left, right}


def test_a_middle_against_both_its_ends_is_said_either_way_with_the_reading_that_tells() -> None:
    ends = {"height:upper.axle", "height:upper.frame"}
    (found,) = judge(fitted(off(clean(11), lambda one: 40.0 if one.name in ends else 0.0)))
    assert found.reason == "outlier" and found.readings == ("height:upper.middle",)
    (way,) = found.also
    assert way.shared is not None and way.shared.family == "heights" and set(way.readings) == ends
    # By the middle's own sums: an amount of a at both ends raises what is expected halfway by a too.
    assert way.shared.amount == pytest.approx(40.0, abs=4.0 * way.shared.sd)
    assert found.telling == "height:upper.middle"


def test_a_third_take_is_not_asked_of_a_reading_whose_takes_agree() -> None:
    ends = {"height:upper.axle", "height:upper.frame"}
    seen = off(clean(11), lambda one: 40.0 if one.name in ends else 0.0)
    (middle,) = [one for one in seen if one.name == "height:upper.middle"]
    again = [replace(middle, key=f"{middle.key}#2", value=middle.value + 1.0)]
    (found,) = judge(fitted([*seen, *again]))
    ways = {one.shared.family for one in (found, *found.also) if one.shared is not None}
    assert ways == {"same_name", "heights"}
    assert found.telling is not None and found.telling != "height:upper.middle"


def test_an_ordinary_slip_has_no_other_way_to_be_seen() -> None:
    for name in ("height:upper.frame", "lateral:lower_left.axle", "span:upper.axle~upper.frame"):
        found = judge(fitted(off(clean(17), lambda one, name=name: 25.4 if one.name == name else 0.0)))
        assert found[0].also == (), name


def test_wheels_turn_about_the_axle_wherever_the_cross_line_lies() -> None:
    # By hand: a ball 200 mm behind the axle moves 200 mm x 1 degree = 3.49 mm sideways.
    seen = [
        *(Observation(f"{kind}:{side}.centre", value, f"{kind}:{side}.centre")
          for side, y in (("wheel_left", 780.0), ("wheel_right", -780.0))
          for kind, value in (("fore_aft", 1500.0), ("lateral", y), ("height", 400.0))),
        *(Observation(f"{kind}:tie_rod.{side}", value, f"{kind}:tie_rod.{side}")
          for side, y in (("left", 650.0), ("right", -650.0))
          for kind, value in (("fore_aft", 1300.0), ("lateral", y), ("height", 400.0))),
    ]  # fmt: skip
    case = case_of(fitted(seen))
    (turned,) = [one for one in hypotheses(case.rows) if one.family == "wheels_turned"]
    by_key = {row.key: float(turned.directions[number, 0]) for number, row in enumerate(case.rows)}
    assert by_key["lateral:tie_rod.left"] == pytest.approx(-3.49, abs=0.1)
    assert by_key["lateral:tie_rod.right"] == pytest.approx(-3.49, abs=0.1)
    assert by_key["height:tie_rod.left"] == 0.0 and by_key["lateral:wheel_left.centre"] == 0.0


def test_one_single_slip_is_not_called_shared() -> None:
    for name in ("height:upper.frame", "fore_aft:upper.axle", "incline:upper.axle~upper.frame"):
        size = 3.0 if name.startswith("incline") else 50.8
        found = judge(fitted(off(clean(17), lambda one, name=name, size=size: size if one.name == name else 0.0)))
        assert found and found[0].shared is None and name in found[0].readings


def test_all_readings_of_one_line_moved_alike_are_no_mistake_at_all() -> None:
    # The cross line may lie anywhere: moved before the first reading, nothing is wrong.
    assert judge(fitted(off(clean(3), lambda one: 300.0 if one.name.startswith("fore_aft") else 0.0))) == ()


def test_every_hypothesis_touches_its_members_and_nothing_else() -> None:
    case = case_of(fitted(clean(1)))
    found = hypotheses(case.rows)
    assert {one.family for one in found} <= {family.name for family in FAMILIES}
    assert len({one.family for one in found}) >= 8
    for one in found:
        touched = np.flatnonzero(np.abs(one.directions).sum(axis=1))
        assert set(touched) <= set(one.members)
        assert len(one.members) >= 2
        assert one.known or len(one.usual) == one.directions.shape[1]


def test_a_familys_hypotheses_share_its_prior() -> None:
    seen = clean(1)
    found = hypotheses(case_of(fitted([*seen, replace(seen[0], key=f"{seen[0].key}#2")])).rows)
    for family in FAMILIES:
        priors = [np.exp(one.log_prior) for one in found if one.family == family.name]
        if priors:
            assert sum(priors) == pytest.approx(min(family.prior, len(priors) * family.each))
