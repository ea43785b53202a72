"""Stages and settings in the log: begun in their order, named, and closed for good."""

import json
import threading

import pytest

from capture import stage_log, stages
from capture.fingerprint import fingerprint
from capture.json_text import BadFile
from capture.log import observations
from capture.vehicle_file import VehicleFile, check_entries, read_vehicle_file, write_vehicle_file


def logged(number: int, kind: str, **more: object) -> dict:
    return {"id": f"staged-{number:04}", "at": "2026-05-02T09:14:07Z", "type": kind} | more


def a_reading(number: int, stage: str = "mock_up", value: float = 612.5) -> dict:
    return logged(number, "reading", stage=stage, reading="height:lower_left.frame", value=value)


def a_begin(number: int, stage: str, name: str | None = None) -> dict:
    return logged(number, "begin", stage=stage) | ({"name": name} if name else {})


def read(*entries: dict) -> VehicleFile:
    return read_vehicle_file(json.dumps({
        "format": "plumbtack vehicle", "version": 1, "name": "Orchard truck", "worked_axle": "front",
        "layout": "three_link_panhard", "entries": list(entries),
    }), "orchard.json")  # fmt: skip


def refused(*entries: dict) -> str:
    with pytest.raises(BadFile) as trouble:
        read(*entries)
    return str(trouble.value)


def a_close(number: int, *before: dict, stage: str) -> dict:
    return logged(number, "close", stage=stage, fingerprint=fingerprint(read(*before).entries))


WELDED = (a_reading(1), a_reading(2, "welded", 615.0))
SUMMER = a_begin(3, "setting_1", "summer tyres, 2 in lower")


def test_settings_follow_welded_in_order():
    order = ["plan", "mock_up", "tacked", "welded", "setting_1", "setting_2", "setting_10", "setting_99"]
    assert sorted(set(order), key=stages.place) == order
    assert [stages.said(stage) for stage in ("mock_up", "setting_2")] == ["mock-up", "setting 2"]


@pytest.mark.parametrize("word", ["setting", "setting_0", "setting_01", "setting_100", "Setting_1", "setting 1", "",
                                  "mock-up", "finished", "setting_1 "])
def test_any_other_word_is_no_stage(word):
    assert not stages.is_stage(word)
    assert "stage must be plan, mock_up, tacked, welded or setting_1 to setting_99" in refused(a_reading(1, word))


def test_a_settings_readings_take_the_place_of_those_of_welded_and_the_rest_is_carried():
    other = logged(9, "reading", stage="mock_up", reading="height:upper.frame", value=700.0)
    vehicle = read(*WELDED, other, SUMMER, a_reading(4, "setting_1", 560.0))
    view = observations(vehicle)
    assert view.stage == "setting_1" and view.stages == ("mock_up", "welded", "setting_1")
    assert {take.name: (take.value, take.carried) for take in view.takes} == {
        "height:lower_left.frame": (560.0, False), "height:upper.frame": (700.0, True)}
    assert observations(vehicle, "welded").takes[0].value == 615.0


def test_a_setting_is_said_with_its_name_and_the_latest_name_holds():
    again = a_begin(5, "setting_1", "summer tyres")
    assert stage_log.said(read(*WELDED, SUMMER), "setting_1") == "setting 1 (summer tyres, 2 in lower)"
    assert stage_log.said(read(*WELDED, SUMMER, again), "setting_1") == "setting 1 (summer tyres)"
    back = logged(6, "withdraw", of=again["id"])
    assert stage_log.said(read(*WELDED, SUMMER, again, back), "setting_1") == "setting 1 (summer tyres, 2 in lower)"


@pytest.mark.parametrize(
    ("entries", "said"),
    [
        ((a_reading(4, "setting_1"),), "setting_1 is not begun yet; begin it first, with its name"),
        ((a_begin(4, "setting_2", "winter"),), "setting 2 comes after setting 1; begin that first"),
        ((a_begin(4, "setting_1"),), "setting_1 needs a name, such as summer tyres"),
        ((a_begin(4, "setting_1", "  "),), "name must not be blank"),
        ((a_begin(4, "plan"),), "stage must be mock_up, tacked, welded or setting_1 to setting_99"),
        ((SUMMER, a_begin(4, "tacked")), "setting 1 is begun already, and tacked comes before it"),
        ((SUMMER, logged(5, "withdraw", of=SUMMER["id"]), a_reading(6, "setting_1")), "setting_1 is not begun yet"),
    ],
)  # fmt: skip
def test_a_stage_out_of_order_is_refused_in_a_sentence(entries, said):
    sentence = refused(*WELDED, *entries)
    assert said in sentence and sentence.count("\n") == 0 and sentence.startswith("orchard.json: entry ")


def test_what_begins_and_closes_comes_back_the_same_from_a_file():
    entries = [*WELDED, a_begin(8, "tacked"), SUMMER, a_reading(4, "setting_1")]
    entries.append(a_close(5, *entries, stage="setting_1"))
    text = write_vehicle_file(read(*entries))
    assert write_vehicle_file(read_vehicle_file(text, "again.json")) == text


def test_the_stage_in_hand_is_the_latest_begun_and_says_what_can_follow():
    assert stage_log.current(read()) == "mock_up" and stage_log.following(read()) == ()
    assert stage_log.following(read(a_reading(1))) == ("tacked", "welded")
    begun = read(a_reading(1), a_begin(2, "tacked"))
    assert stage_log.current(begun) == "tacked" and stage_log.following(begun) == ()
    assert stage_log.following(read(a_reading(1), a_begin(2, "tacked"), a_reading(3, "tacked"))) == ("welded",)
    assert stage_log.following(read(*WELDED)) == ("setting_1",)
    assert stage_log.following(read(*WELDED, SUMMER)) == ()
    assert stage_log.following(read(*WELDED, SUMMER, a_reading(4, "setting_1"))) == ("setting_2",)


def test_closing_shuts_every_stage_before_it_and_nothing_opens_it_again():
    taken_back = logged(7, "withdraw", of="staged-0001")
    before = [*WELDED, taken_back]
    shut = [*before, a_close(5, *before, stage="welded")]
    vehicle = read(*shut)
    assert stage_log.closed(vehicle) == {"mock_up", "tacked", "welded"}
    for late in (
        a_reading(8, "tacked"),
        logged(8, "withdraw", of="staged-0002"),
        logged(8, "withdraw", of="staged-0007"),  # would let a withdrawn reading count again
        logged(8, "withdraw", of="staged-0005"),  # would open the record
        logged(8, "keep", of=["staged-0002"], doubt="outlier", beyond=3.0),
        a_begin(8, "welded"),
    ):
        assert "is closed and stays as it is; enter this at a later stage" in refused(*shut, late)
    assert read(*shut, SUMMER | {"id": "staged-0010"}, a_reading(11, "setting_1"))


def test_a_closing_says_whether_the_log_before_it_is_as_it_was():
    before = [*WELDED]
    vehicle = read(*before, a_close(5, *before, stage="welded"))
    (closing,) = stage_log.closings(vehicle)
    assert closing.holds and closing.place == 3
    assert stage_log.closing_of(vehicle, "mock_up") == closing and stage_log.closing_of(vehicle, "setting_1") is None
    changed = vehicle.entries[0].model_copy(update={"value": 612.6})
    forged = vehicle.model_copy(update={"entries": [changed, *vehicle.entries[1:]]})
    assert not stage_log.closings(forged)[0].holds


def test_a_log_with_rows_of_holes_kept_doubts_and_plans_has_closings_like_any_other():
    row = logged(20, "holes", point="upper.frame", places=[[0.0, 0.0, 0.0], [0.0, 0.0, 25.4]])
    kept = logged(21, "keep", of=["staged-0001"], doubt="outlier", beyond=3.0)
    plan = logged(22, "move_plan", name="higher", moves=[{"move": "ride_by", "worked": 50.0}])
    before = [*WELDED, row, kept, plan]
    vehicle = read(*before, a_close(5, *before, stage="welded"))
    assert [closing.holds for closing in stage_log.closings(vehicle)] == [True]


def test_of_a_reading_and_a_closing_at_once_the_export_always_reads_back(store):
    """The log is looked at where nobody else writes: either the reading is in the fingerprint or it is refused."""
    vehicle_id = store.create(read(*WELDED))
    closing = check_entries([a_close(5, *WELDED, stage="welded")], read(), known=None)
    late = check_entries([a_reading(9, "welded")], read(), known=None)
    told: list[str] = []

    def add(entries: list) -> None:
        try:
            store.add_entries(vehicle_id, entries)
        except BadFile as trouble:
            told.append(str(trouble))

    threads = [threading.Thread(target=add, args=(entries,)) for entries in (closing, late)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert len(told) == 1 and ("is closed" in told[0] or "fingerprint is not that" in told[0])
    assert read_vehicle_file(write_vehicle_file(store.vehicle(vehicle_id)), "exported")


def test_the_door_takes_a_setting_only_once_it_is_begun(client, vehicle_id):
    address = f"/vehicles/{vehicle_id}/entries"
    early = client.post(address, json={"entries": [a_reading(4, "setting_1")]})
    assert early.status_code == 422 and "setting_1 is not begun yet" in early.json["error"]
    assert client.post(address, json={"entries": [*WELDED, SUMMER, a_reading(4, "setting_1")]}).status_code == 200
    report = client.get(f"/vehicles/{vehicle_id}/report?stage=setting_1")
    assert report.json["stage"] == "setting_1"


def test_what_is_carried_into_a_setting_counts_for_little_where_points_were_read_again():
    tilt = logged(9, "reading", stage="mock_up", reading="incline:lower_left.axle~lower_left.frame", value=-4.0)
    across = logged(10, "reading", stage="mock_up", reading="lateral:lower_left.frame", value=331.0)
    vehicle = read(*WELDED, tilt, across, SUMMER, a_reading(4, "setting_1", 560.0))
    added = {take.name: take.added_sd for take in observations(vehicle).takes if take.carried}
    assert added == {tilt["reading"]: 5.0, across["reading"]: 50.0}
    at_welded = {take.name: take.added_sd for take in observations(vehicle, "welded").takes if take.carried}
    assert at_welded == {tilt["reading"]: 0.4, across["reading"]: 4.0}
