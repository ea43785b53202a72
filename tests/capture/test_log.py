"""Which takes count at a stage, what they are called, and what carrying them over adds."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from capture import log
from capture.stages import STAGES
from capture.vehicle_file import VehicleFile

HEIGHT = "height:lower_left.frame"
LENGTH = "span:lower_left.axle~lower_left.frame"
HTGNEL = "span:lower_left.frame~lower_left.axle"


def vehicle(*entries: dict) -> VehicleFile:
    return VehicleFile.model_validate({
        "format": "plumbtack vehicle", "version": 1, "name": "Orchard truck", "worked_axle": "front",
        "layout": "three_link_panhard", "entries": [
            {"id": f"entry-{number:04}", "at": "2026-05-02T09:14:07Z"} | entry for number, entry in enumerate(entries)
        ],
    })  # fmt: skip


def take(reading: str = HEIGHT, value: float = 600.0, stage: str = "mock_up", **more: object) -> dict:
    return {"type": "reading", "reading": reading, "value": value, "stage": stage, **more}


def withdraw(number: int, kind: str = "withdraw", **more: object) -> dict:
    return {"type": kind, "of": f"entry-{number:04}", **more}


def keys(*entries: dict, stage: str | None = None) -> list[str]:
    return [seen.key for seen in log.observations(vehicle(*entries), stage).observations]


def values(*entries: dict, stage: str | None = None) -> list[float]:
    return [seen.value for seen in log.observations(vehicle(*entries), stage).observations]


def test_takes_of_one_reading_are_numbered_in_the_order_of_the_log():
    assert keys(take(), take(LENGTH), take(), take()) == [HEIGHT, LENGTH, f"{HEIGHT}#2", f"{HEIGHT}#3"]


def test_a_withdrawn_take_is_out_and_leaves_no_gap_in_the_numbers():
    entries = (take(value=1.0), take(value=2.0), withdraw(0, note="read the wrong bolt"))
    assert keys(*entries) == [HEIGHT] and values(*entries) == [2.0]
    left = log.observations(vehicle(*entries)).left_out
    assert [(each.name, each.why, each.note) for each in left] == [(HEIGHT, "withdrawn", "read the wrong bolt")]


def test_a_withdrawal_counts_wherever_it_stands_in_the_log():
    assert values(withdraw(1), take(value=1.0), take(value=2.0)) == [2.0]


def test_a_withdrawn_withdrawal_counts_no_more():
    assert values(take(value=1.0), withdraw(0), withdraw(1)) == [1.0]


def test_a_reading_set_aside_stays_in_the_log_and_out_of_the_fit_until_that_is_withdrawn():
    aside = (take(value=1.0), take(value=2.0), withdraw(0, "set_aside", note="cord was swinging"))
    assert values(*aside) == [2.0]
    assert log.observations(vehicle(*aside)).left_out[0].why == "set aside"
    assert values(*aside, withdraw(2)) == [1.0, 2.0]


def test_a_reading_both_set_aside_and_withdrawn_is_withdrawn():
    for order in ((withdraw(0), withdraw(0, "set_aside")), (withdraw(0, "set_aside"), withdraw(0))):
        assert log.observations(vehicle(take(), *order)).left_out[0].why == "withdrawn"


def test_only_readings_at_ride_height_enter():
    entries = (take(value=1.0, state="ride"), take(value=2.0, state="full bump"), take(value=3.0))
    assert values(*entries) == [1.0, 3.0]
    left = log.observations(vehicle(*entries)).left_out
    assert [(each.why, each.entry.state) for each in left] == [("other state", "full bump")]


def test_a_reading_in_another_state_does_not_hide_the_one_at_ride_height():
    assert values(take(value=1.0), take(value=2.0, stage="welded", state="on stands"), stage="welded") == [1.0]


def test_each_reading_uses_all_takes_of_its_latest_stage():
    entries = (
        take(value=1.0), take(value=2.0, stage="tacked"), take(value=3.0, stage="tacked"),
        take(LENGTH, 4.0), take(LENGTH, 5.0, stage="welded"),
    )  # fmt: skip
    assert values(*entries, stage="mock_up") == [1.0, 4.0]
    assert values(*entries, stage="tacked") == [2.0, 3.0, 4.0]
    assert values(*entries, stage="welded") == [2.0, 3.0, 5.0]


def test_takes_of_an_earlier_stage_are_marked_carried():
    view = log.observations(vehicle(take(), take(LENGTH, stage="tacked")), "tacked")
    assert view.carried == {HEIGHT}
    assert [seen.carried for seen in view.observations] == [True, False]


def test_plan_is_never_mixed_into_later_stages():
    entries = (take(value=1.0, stage="plan"), take(LENGTH, 2.0, stage="tacked"))
    assert values(*entries, stage="plan") == [1.0]
    assert values(*entries, stage="welded") == [2.0]


@pytest.mark.parametrize(
    ("stages", "shown"),
    [((), "mock_up"), (("plan",), "plan"), (("plan", "mock_up"), "mock_up"), (("welded", "mock_up"), "welded")],
)
def test_without_a_stage_the_latest_that_has_a_reading_is_shown(stages, shown):
    assert log.observations(vehicle(*(take(stage=stage) for stage in stages))).stage == shown


def test_a_withdrawn_reading_does_not_make_its_stage_the_latest():
    assert log.observations(vehicle(take(), take(stage="welded"), withdraw(1))).stage == "mock_up"


def test_a_stage_before_all_readings_says_which_have_some():
    with pytest.raises(log.NoReadings, match="no readings at mock-up; tacked and welded have some"):
        log.observations(vehicle(take(stage="tacked"), take(stage="welded")), "mock_up")
    with pytest.raises(log.NoReadings, match="no readings at plan; only tacked has some"):
        log.observations(vehicle(take(stage="tacked")), "plan")


def test_a_later_stage_shows_what_was_carried_over():
    assert values(take(value=1.0), stage="welded") == [1.0]


def added(*entries: dict, stage: str) -> dict[str, float]:
    return {seen.key: seen.added_sd for seen in log.observations(vehicle(*entries), stage).observations}


def test_a_carried_length_at_a_point_read_again_gets_4_mm_and_an_angle_0_4_deg():
    # Source: the project's own convention; common practice for how far welding moves a bracket.
    incline, middle = "incline:lower_left.axle~lower_left.frame", "height:lower_left.middle"
    spreads = added(
        take(LENGTH), take(incline, 3.0), take("height:upper.frame"), take(middle),
        take(HEIGHT, stage="tacked"), stage="tacked",
    )  # fmt: skip
    assert spreads == {LENGTH: 4.0, incline: 0.4, "height:upper.frame": 0.0, middle: 4.0, HEIGHT: 0.0}


def test_points_touched_without_being_named_count_too():
    # A wheelbase hangs on both wheel centres of its side, a caster on its kingpin.
    spreads = added(
        take("wheelbase:left", 2700.0), take("wheelbase:right", 2700.0), take("caster:left", 5.0),
        take("height:wheel_left.centre", stage="tacked"), take("height:kingpin_left.top", stage="tacked"),
        stage="tacked",
    )  # fmt: skip
    assert (spreads["wheelbase:left"], spreads["wheelbase:right"], spreads["caster:left"]) == (4.0, 0.0, 0.4)


def test_points_read_again_only_at_the_stages_between_add_nothing():
    last = take("height:upper.frame", stage="welded")
    spreads = added(take(LENGTH), take(HEIGHT, stage="tacked"), last, stage="welded")
    assert spreads == {LENGTH: 0.0, HEIGHT: 0.0, "height:upper.frame": 0.0}


def test_the_floor_is_no_point_that_moves():
    # Both readings are plumbed, so both hang on the floor's slope; they share no point.
    spreads = added(take("fore_aft:upper.frame"), take("fore_aft:upper.axle", stage="tacked"), stage="tacked")
    assert spreads == {"fore_aft:upper.frame": 0.0, "fore_aft:upper.axle": 0.0}


def test_a_span_read_from_its_other_end_is_the_same_reading_under_the_name_met_first():
    assert keys(take(HTGNEL), take(LENGTH)) == [HTGNEL, f"{HTGNEL}#2"]
    assert keys(take(HTGNEL), take(LENGTH, stage="tacked")) == [HTGNEL]


def test_a_rise_read_from_its_other_end_is_another_reading():
    up, down = "rise:lower_left.axle~lower_left.frame", "rise:lower_left.frame~lower_left.axle"
    assert keys(take(up), take(down)) == [up, down]


def test_what_was_typed_goes_with_the_observation():
    (seen,) = log.observations(vehicle(take(text="23 5/8", unit="in", sd=3.5))).observations
    assert (seen.id, seen.text, seen.unit, seen.sd) == ("entry-0000", "23 5/8", "in", 3.5)


def test_takes_can_be_looked_up_by_reading_and_by_key():
    view = log.observations(vehicle(take(value=1.0, kept=True), take(value=2.0)))
    assert [each.value for each in view.by_name[HEIGHT]] == [1.0, 2.0]
    assert view.by_key[f"{HEIGHT}#2"].value == 2.0 and view.by_key[HEIGHT].kept


entries_of_any_kind = st.lists(
    st.builds(take, st.sampled_from([HEIGHT, LENGTH, HTGNEL]), stage=st.sampled_from(STAGES),
              state=st.sampled_from(["ride", "full bump"]))
    | st.builds(withdraw, st.integers(0, 6), st.sampled_from(["withdraw", "set_aside"])),
    max_size=8,
)  # fmt: skip


@settings(max_examples=150)
@given(entries_of_any_kind, st.sampled_from([None, *STAGES]))
def test_every_reading_of_a_log_is_either_used_once_or_listed_with_its_reason(entries, stage):
    whole = vehicle(*entries)
    try:
        view = log.observations(whole, stage)
    except log.NoReadings:
        return
    ids = [take.id for take in view.takes] + [each.entry.id for each in view.left_out]
    assert sorted(ids) == sorted(entry.id for entry in whole.entries if entry.type == "reading")
    assert len(view.by_key) == len(view.takes)
    assert {take.stage for take in view.takes} <= ({"plan"} if view.stage == "plan" else set(STAGES[1:]))
