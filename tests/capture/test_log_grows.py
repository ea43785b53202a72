"""A view of a log that has grown by a reading is the view of the whole log, and takes over what has not changed."""

import json

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from capture import log
from capture.entry_checks import ENTRY
from capture.vehicle_file import Note, Reading, VehicleFile, Withdraw, read_vehicle_file

NAMES = ("height:lower_left.frame", "span:upper.axle~upper.frame", "span:upper.frame~upper.axle", "wheelbase:left")
STAGES = ("mock_up", "tacked", "plan")
TIMES = ("2026-05-02T09:14:07Z", "2026-05-02T09:14:07.500Z", "2026-05-02T08:00:00Z", "2026-05-02T09:14:08Z")


@st.composite
def logs(draw):
    """Readings of few names at few stages and times, some taken back before or after they came, some let in again."""
    entries = []
    for number in range(draw(st.integers(0, 12))):
        at, stage = draw(st.sampled_from(TIMES)), draw(st.sampled_from(STAGES[: draw(st.sampled_from((1, 3)))]))
        kind = draw(st.sampled_from(("reading", "reading", "reading", "withdraw", "set_aside")))
        made = {"id": f"entry-{number:04d}", "at": at, "type": kind}
        if kind == "reading":
            value = 400.0 + draw(st.integers(0, 3))
            made |= {"stage": stage, "reading": draw(st.sampled_from(NAMES)), "value": value, "unit": "mm"}
            if draw(st.integers(0, 5)) == 0:
                made["state"] = "full bump"
        else:
            made |= {"of": f"entry-{draw(st.integers(0, 12)):04d}"}
        entries.append(made)
    return entries


def vehicle(entries) -> VehicleFile:
    head = {"format": "plumbtack vehicle", "version": 1, "name": "Ridge truck", "worked_axle": "front",
            "layout": "three_link_panhard", "entries": []}  # fmt: skip
    whole = read_vehicle_file(json.dumps(head), "ridge.json")
    return whole.model_copy(update={"entries": [ENTRY.validate_python(entry) for entry in entries]})


def as_seen(view):
    return (view.stage, view.takes, view.left_out, view.stages, view.observations, view.by_name, view.by_key)


@given(logs(), st.sampled_from((None, *STAGES)))
@settings(max_examples=400, deadline=None)
def test_a_view_that_grew_entry_by_entry_is_that_of_the_whole_log(entries, stage):
    checked_once = vehicle(entries).entries
    grown = None
    for count in range(len(checked_once) + 1):
        part = vehicle([]).model_copy(update={"entries": checked_once[:count]})
        try:
            anew = log.observations(part, stage)
        except log.NoReadings as none:
            with pytest.raises(log.NoReadings, match=str(none)):
                log.observations(part, stage, grown)
            continue
        grown = log.observations(part, stage, grown)
        assert as_seen(grown) == as_seen(anew)


def test_takes_that_have_not_changed_stay_the_same_objects():
    names = [NAMES[number % 4] for number in range(40)]
    readings = [
        {"id": f"entry-{number:04d}", "at": TIMES[0], "type": "reading", "stage": "mock_up", "reading": name,
         "value": 400.0, "unit": "mm"}
        for number, name in enumerate(names)
    ]  # fmt: skip
    whole = vehicle(readings)
    before = log.observations(whole.model_copy(update={"entries": whole.entries[:-1]}))
    taken_back = ENTRY.validate_python({"id": "entry-back", "at": TIMES[0], "type": "withdraw", "of": "entry-0039"})
    after = log.observations(whole, None, before)
    again = log.observations(whole.model_copy(update={"entries": [*whole.entries, taken_back]}), None, after)
    for later in (after, again):
        assert all(one is other for one, other in zip(before.takes, later.takes, strict=False))
        pairs = zip(before.observations, later.observations, strict=False)
        assert all(one is other for one, other in pairs)
    assert len(after.takes) == len(before.takes) + 1 == len(again.takes) + 1


def test_a_copy_of_a_vehicle_knows_its_own_entries_by_kind():
    note = {"at": TIMES[0], "type": "note", "note": "rust"}
    whole = vehicle([note | {"id": f"entry-{number:04d}"} for number in (1, 2)])
    assert len(whole.of_kind(Note)) == 2 and whole.of_kind(Reading) == ()
    shorter = whole.model_copy(update={"entries": whole.entries[:1]})
    assert len(shorter.of_kind(Note)) == 1 and len(whole.of_kind(Note)) == 2
    assert shorter == whole.model_copy(update={"entries": whole.entries[:1]})
    back = ENTRY.validate_python({"id": "entry-back", "at": TIMES[0], "type": "withdraw", "of": "entry-0001"})
    mixed = whole.model_copy(update={"entries": [whole.entries[0], back, whole.entries[1]]})
    assert list(mixed.of_kind(Withdraw, Note)) == mixed.entries
