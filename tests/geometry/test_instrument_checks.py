"""Checks of gauge, tape and level: the offset is estimated from them and shared by all that was read with it."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from geometry.doubt import judge
from geometry.fit import Observation, fit
from geometry.network import Equations
from geometry.readings import KINDS, parse_name
from tests.geometry.vehicles import SETUP, clean, fitted

LINK = "incline:lower_left.axle~lower_left.frame"


def off(seen: list[Observation], kinds: set[str], amount: float) -> list[Observation]:
    """The same readings, those of some kinds off by one amount; on the right of a line it makes a minus larger."""
    moved = []
    for one in seen:
        kind = one.name.partition(":")[0]
        way = -1.0 if one.value < 0 and KINDS[kind].taped else 1.0
        moved.append(replace(one, value=one.value + way * amount) if kind in kinds else one)
    return moved


def check(name: str, value: float) -> Observation:
    return Observation(name, value, name)


def test_without_a_check_no_offset_is_in_the_fit() -> None:
    sound = fitted(clean(3))
    assert not [name for name in sound.slot if name.endswith(".offset")]
    with_check = fitted([*clean(3), check("gauge_check:turned", 0.0)])
    assert [name for name in with_check.slot if name.endswith(".offset")] == ["gauge.offset"]
    assert with_check.unknowns == sound.unknowns + 1


def test_a_gauge_that_shows_two_degrees_between_both_ways_is_off_by_one() -> None:
    # Source: by hand, (s + o) - (s - o) = 2 o.
    slots = {"lower_left.axle": 0, "lower_left.frame": 3, "floor.pitch": 6, "floor.bank": 7, "gauge.offset": 8}
    state = np.array([0.0, 0.0, 400.0, -800.0, 0.0, 400.0, 0.0, 0.0, math.radians(1.0)])
    names = [parse_name(name, "three_link_panhard", "front") for name in (LINK, "gauge_check:turned")]
    values, _ = Equations(names, slots, 9)(state)
    assert np.degrees(values) == pytest.approx([1.0, 2.0])


def test_a_tape_that_shows_too_much_does_so_on_either_side_of_the_line() -> None:
    slots = {"lower_left.axle": 0, "lower_right.axle": 3, "floor.pitch": 6, "floor.bank": 7, "tape.offset": 8}
    state = np.array([0.0, 500.0, 400.0, 0.0, -500.0, 400.0, 0.0, 0.0, 3.0])
    names = ["lateral:lower_left.axle", "lateral:lower_right.axle", "height:lower_left.axle", "tape_check:known_length",
             "across:lower_left.axle~lower_right.axle", "rise:lower_left.axle~lower_right.axle"]
    values, _ = Equations([parse_name(name, "three_link_panhard", "front") for name in names], slots, 9)(state)
    assert values == pytest.approx([503.0, -503.0, 403.0, 3.0, 1003.0, 0.0])


@pytest.mark.parametrize(
    ("name", "per_offset", "kinds", "amount", "scalar"),
    [
        ("gauge_check:turned", 2.0, {"incline"}, 1.0, "gauge.offset"),
        ("tape_check:known_length", 1.0, {kind.name for kind in KINDS.values() if kind.taped}, 2.5, "tape.offset"),
    ],
)
def test_with_the_check_the_vehicle_is_the_one_without_the_offset(name, per_offset, kinds, amount, scalar) -> None:
    # The floor's slope is read by a level of its own, lest a gauge's offset pass for the floor's.
    sound = fitted([*clean(3), check(name, 0.0)])
    checked = fitted([*off(clean(3), kinds, amount), check(name, per_offset * amount)])
    more = checked.estimate[checked.slot[scalar]] - sound.estimate[sound.slot[scalar]]
    assert more * KINDS[name.partition(":")[0]].in_file_unit == pytest.approx(amount, abs=0.05)
    places, true = checked.placed(), sound.placed()
    for point in ("lower_left.frame", "upper.axle", "panhard.frame"):
        assert places[point].z == pytest.approx(true[point].z, abs=0.5)
        assert places[point].y == pytest.approx(true[point].y, abs=0.5)
    assert judge(checked) == ()


def test_an_offset_estimated_is_carried_into_what_the_gauge_reads() -> None:
    # Source: by hand. The joint end points rearward: read = a - pitch + o; floor read = pitch + o; check = 2 o.
    # So a = read + floor - check = 4 + 0.5 - 1, its spread the root of 0.2^2 + 0.15^2, the floor's being nothing.
    seen = [check("incline:pinion", 4.0), check("gauge_check:turned", 1.0), check("floor_slope:fore_aft", 0.5)]
    both = fit(SETUP, [replace(one, sd=0.0011) if one.name.startswith("floor") else one for one in seen])
    pinion = both.slot["pinion"]
    assert math.degrees(both.estimate[pinion]) == pytest.approx(3.5, abs=0.02)
    assert math.degrees(math.sqrt(both.covariance[pinion, pinion])) == pytest.approx(0.25, abs=0.003)


def test_a_level_read_both_ways_takes_its_half_out_of_a_rise() -> None:
    slots = {"lower_left.axle": 0, "lower_left.frame": 3, "level.offset": 6}
    state = np.array([0.0, 0.0, 400.0, -800.0, 0.0, 450.0, 4.0])
    names = ("rise:lower_left.axle~lower_left.frame", "level_check:both_ways")
    values, _ = Equations([parse_name(name, "three_link_panhard", "front") for name in names], slots, 7)(state)
    assert values == pytest.approx([54.0, 8.0])


def test_predicting_a_check_that_was_not_read_leaves_other_predictions_alone() -> None:
    sound = fitted(clean(3))
    alone = sound.predict(["height:upper.axle"])
    beside = sound.predict(["height:upper.axle", "tape_check:known_length"])
    assert (beside[0][0], beside[1][0]) == (alone[0][0], alone[1][0])
