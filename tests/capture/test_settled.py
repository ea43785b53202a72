"""A doubt settled by keeping what was read: it stays settled, until later readings make another doubt of it."""

from __future__ import annotations

import json
from dataclasses import replace

import pytest

from capture import places, report
from capture.settled import GROWN, covers
from capture.vehicle_file import BadFile, Keep, VehicleFile, Withdraw, read_vehicle_file, write_vehicle_file

AT = "2026-05-03T10:00:00Z"


@pytest.fixture(scope="module")
def orchard() -> VehicleFile:
    """The demo truck with one reading in doubt."""
    path = next(path for path in places.demo_vehicles() if path.name == "orchard_truck.json")
    return read_vehicle_file(path.read_bytes(), path.name)


def with_entries(vehicle: VehicleFile, *more: object) -> VehicleFile:
    return vehicle.model_copy(update={"entries": [*vehicle.entries, *more]})


def kept(built: report.Report, **changes: object) -> Keep:
    doubt = built.doubts[0]
    said = {"id": "keep-0001", "at": AT, "type": "keep", "doubt": doubt.reason, "beyond": abs(doubt.w),
            "of": [built.stage_view.by_key[key].id for key in doubt.readings], "note": "read twice"}
    return Keep.model_validate({**said, **changes})


def test_a_kept_doubt_is_open_no_more_and_its_reading_stays_in_the_fit(orchard):
    before = report.build(orchard)
    after = report.build(with_entries(orchard, kept(before)))
    assert len(before.doubts) == 1 and after.doubts == ()
    assert [one.keep.note for one in after.settled] == ["read twice"]
    assert after.fit.observations == before.fit.observations


def test_a_keep_taken_back_opens_the_doubt_again(orchard):
    keep = kept(report.build(orchard))
    back = Withdraw(id="back-0001", at=AT, type="withdraw", of=keep.id)
    again = report.build(with_entries(orchard, keep, back))
    assert len(again.doubts) == 1 and again.settled == ()


def test_a_kept_doubt_comes_back_when_it_is_another_one(orchard):
    built = report.build(orchard)
    doubt, keep, view, facts = built.doubts[0], kept(built), built.stage_view, orchard.facts
    assert covers(keep, doubt, view, facts)
    assert not covers(keep, replace(doubt, w=doubt.w * (GROWN + 0.01)), view, facts)
    assert covers(keep, replace(doubt, w=doubt.w * (GROWN - 0.01)), view, facts)
    assert not covers(keep, replace(doubt, reason="tie"), view, facts)
    other = next(key for key in view.by_key if key not in doubt.readings)
    assert not covers(keep, replace(doubt, readings=(*doubt.readings, other)), view, facts)


def test_a_keep_comes_out_of_the_file_as_it_went_in(orchard):
    whole = with_entries(orchard, kept(report.build(orchard)))
    assert read_vehicle_file(write_vehicle_file(whole), "again.json") == whole


def test_a_keep_of_a_reading_that_is_not_in_the_file_is_refused(orchard):
    text = json.loads(write_vehicle_file(with_entries(orchard, kept(report.build(orchard)))))
    text["entries"][-1]["of"] = ["nobody-0001"]
    with pytest.raises(BadFile, match="nobody-0001, and there is no entry with that id"):
        read_vehicle_file(json.dumps(text), "truck.json")


def test_the_report_names_a_kept_reading_with_its_note_and_nothing_where_nothing_is_kept(orchard):
    before = report.build(orchard)
    after = report.build(with_entries(orchard, kept(before))).as_json()
    assert "kept" not in before.as_json() and after["doubts"] == []
    assert after["kept"] == [before.as_json()["doubts"][0] | {"at": AT, "note": "read twice"}]
