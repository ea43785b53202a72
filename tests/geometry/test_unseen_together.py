"""Readings that could all be off alike unseen: held to whole refits with the amount put in, or the check taken."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from geometry.case import case_of
from geometry.doubt import judge
from geometry.evidence import LEVEL, POWER, noncentrality
from geometry.fit import Observation
from geometry.next_check import USUAL_SLIP
from geometry.unseen_together import unseen_together
from tests.geometry.vehicles import READINGS, clean, fitted

UPPERS = tuple(name for name in READINGS if name.startswith(("height:upper", "height:panhard")))
LEFT = ("fore_aft:lower_left.axle", "fore_aft:lower_left.frame")


def without(seen: list[Observation], *starts: str) -> list[Observation]:
    return [one for one in seen if not one.name.startswith(starts)]


def test_heights_that_nothing_ties_to_the_others_may_all_be_off_unseen() -> None:
    seen = clean(3)
    (found,) = unseen_together(fitted(seen), {"uppers": UPPERS})
    assert found.label == "uppers" and found.smallest is None
    moved = [replace(one, value=one.value - 30.0) if one.name in UPPERS else one for one in seen]
    assert fitted(moved).w == pytest.approx(fitted(seen).w, abs=0.05)


def test_plumb_marks_that_diagonals_check_are_not_listed() -> None:
    assert unseen_together(fitted(clean(3)), {"left": LEFT}) == ()


def test_the_check_it_names_brings_the_group_under_what_is_usual() -> None:
    seen = without(clean(3), "floor_span")
    fit = fitted(seen)
    (found,) = unseen_together(fit, {"left": LEFT})
    assert found.check is not None and found.check.startswith("floor_span")
    value = float(fit.predict([found.check])[0][0])
    after = fitted([*seen, Observation(found.check, value, found.check)])
    assert unseen_together(after, {"left": LEFT}) == ()


def test_the_smallest_is_what_a_test_of_the_group_would_notice() -> None:
    # With both sides' marks checked across by a poor tape only, it takes more than an inch.
    seen = without(clean(3), "floor_span", "span", "incline")
    check = "floor_span:lower_left.axle~lower_right.frame"
    value = float(fitted(seen).predict([check])[0][0])
    fit = fitted([*seen, Observation(check, value, check, sd=8.0)])
    (found,) = unseen_together(fit, {"left": LEFT})
    case = case_of(fit)
    numbers = [number for number, row in enumerate(case.rows) if row.key in LEFT]
    direction = np.zeros((len(case.rows), 1))
    direction[numbers] = 1.0
    _, sd = case.evidence.amounts(case.directions(direction))
    # Assumptions count for nothing here, so it is never less than what the case with them says.
    least = noncentrality(LEVEL, POWER) * float(sd[0])
    assert found.smallest is not None and least <= found.smallest < 1.2 * least
    assert found.smallest > USUAL_SLIP["mm"]


def test_nothing_is_said_of_nothing() -> None:
    assert unseen_together(fitted(clean(3)), {}) == ()
    assert unseen_together(fitted([]), {}) == ()


def test_uppers_and_panhard_all_low_with_their_middles_read_are_tied_by_one_rise_to_the_lowers() -> None:
    seen = clean(3)
    assert {"height:upper.middle", "height:panhard.middle"} < set(UPPERS)
    low = [replace(one, value=one.value - 30.0) if one.name in UPPERS else one for one in seen]
    (found,) = unseen_together(fitted(low), {"uppers": UPPERS})
    assert found.check is not None and found.check.startswith("rise:")
    inside, outside = found.check.removeprefix("rise:").split("~")
    assert inside.startswith(("upper", "panhard")) and outside.startswith("lower")
    assert inside.partition(".")[2] == outside.partition(".")[2]  # both on the frame or both on the axle
    assert judge(fitted(low)) == ()
    truth = float(fitted(seen).predict([found.check])[0][0])
    once = [*low, Observation(found.check, truth, found.check)]
    assert unseen_together(fitted(once), {"uppers": UPPERS}) == ()
    (doubt,) = judge(fitted(once))
    assert doubt.readings == (found.check,)  # one reading against many: it is read again
    (doubt,) = judge(fitted([*once, Observation(found.check, truth + 0.5, f"{found.check}#2")]))
    (heights,) = (way.shared for way in (doubt, *doubt.also) if way.shared and way.shared.family == "heights")
    assert heights.amount == pytest.approx(-30.0, abs=3.0 * heights.sd)


@pytest.mark.parametrize(("group", "kind"), [("fore_aft", "floor_span"), ("lateral", "across")])
def test_plumb_marks_of_a_link_that_nothing_ties_are_tied_to_another_link(group: str, kind: str) -> None:
    keys = tuple(name for name in READINGS if name.startswith(f"{group}:upper"))
    (found,) = unseen_together(fitted(clean(3)), {"upper": keys})
    assert found.check is not None and found.check.startswith(f"{kind}:upper.")
    assert "~upper." not in found.check


def test_a_reading_from_the_same_floor_is_no_check_of_heights_that_moved_together() -> None:
    seen = without(clean(3), "height:upper.middle")
    keys = tuple(one.name for one in seen if one.name.startswith("height:upper"))
    (found,) = unseen_together(fitted(seen), {"upper": keys}, ["height:upper.middle"])
    assert found.check is not None and found.check.startswith("rise:upper.")
