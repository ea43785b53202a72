"""The door for programs, over a real store."""

from __future__ import annotations

import json
import threading
from typing import Any

import pytest
from flask import Flask
from flask.testing import FlaskClient
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from capture import places
from capture.store import Store
from tests.conftest import reading_object, vehicle_object


def post(client: FlaskClient, vehicle_id: str, *objects: Any) -> Any:
    body = json.dumps({"entries": list(objects)})
    return client.post(f"/vehicles/{vehicle_id}/entries", data=body, content_type="application/json")


def stored(store: Store, vehicle_id: str) -> list[str]:
    return [entry.id for entry in store.vehicle(vehicle_id).entries]


def is_one_sentence(answer: Any) -> bool:
    said = answer.json["error"]
    return said.endswith(".") and "\n" not in said and "Traceback" not in said


def test_a_phone_is_told_which_of_its_ids_are_not_stored_what_waits_for_another_phone_counts_as_stored(
    client: FlaskClient, vehicle_id: str
):
    early = {"id": "early-000001", "at": "2026-05-02T09:14:07Z", "stage": "mock_up", "type": "withdraw",
             "of": "entry-000009", "note": "misread"}
    assert post(client, vehicle_id, reading_object(1), early).status_code == 200
    asked = {"ids": ["entry-000001", "entry-000002", "early-000001"]}
    assert client.post(f"/vehicles/{vehicle_id}/lacking", json=asked).json == {"lacking": ["entry-000002"]}
    for wrong in ({}, {"ids": "entry-000001"}, {"ids": [1]}, ["entry-000001"]):
        answer = client.post(f"/vehicles/{vehicle_id}/lacking", json=wrong)
        assert answer.status_code == 422 and is_one_sentence(answer)


def test_posted_entries_are_answered_with_their_ids_and_are_on_disk(client: FlaskClient, store: Store, vehicle_id: str):
    answer = post(client, vehicle_id, reading_object(1), reading_object(2))
    assert (answer.status_code, answer.json) == (200, {"stored": ["entry-000001", "entry-000002"]})
    other = Store(store.folder)
    assert stored(other, vehicle_id) == ["entry-000001", "entry-000002"]
    other.close()


def test_sending_again_is_harmless_in_one_request_and_in_two(client: FlaskClient, store: Store, vehicle_id: str):
    for _ in range(2):
        answer = post(client, vehicle_id, reading_object(1), reading_object(1))
        assert (answer.status_code, answer.json) == (200, {"stored": ["entry-000001"]})
    assert stored(store, vehicle_id) == ["entry-000001"]


def test_the_same_id_with_other_content_is_409_and_keeps_nothing(client: FlaskClient, store: Store, vehicle_id: str):
    post(client, vehicle_id, reading_object(1, 600.0))
    answer = post(client, vehicle_id, reading_object(2), reading_object(1, 601.0))
    assert answer.status_code == 409 and is_one_sentence(answer) and "entry-000001" in answer.json["error"]
    assert stored(store, vehicle_id) == ["entry-000001"]


@pytest.mark.parametrize("changes", [
    {"value": "612"}, {"value": None}, {"value": True}, {"stage": "later"}, {"reading": "height:nowhere.frame"},
    {"reading": ""}, {"type": "dream"}, {"id": "short"}, {"id": "x" * 65}, {"id": "../../etc/x"}, {"colour": "red"},
    {"at": "yesterday"}, {"text": "x" * 100_000}, {"text": "half \ud800 a sign"}, {"sd": -1}, {"sd": 0},
])  # fmt: skip
def test_a_malformed_entry_is_422_with_its_place_and_keeps_nothing(
    client: FlaskClient, store: Store, vehicle_id: str, changes: dict[str, Any]
):
    answer = post(client, vehicle_id, reading_object(1), reading_object(2, **changes))
    assert answer.status_code == 422 and is_one_sentence(answer)
    assert answer.json["place"].startswith("entry 2")
    assert stored(store, vehicle_id) == []


@pytest.mark.parametrize("body", [
    b"", b"{", b"[]", b"null", b"3", b'"entries"', b"{}", b'{"entries": {}}', b'{"entries": null}', b"\xff\xfe\x00",
    b'{"entries": [], "more": 1}', b"\x80abc", b'{"entries": [NaN]}', b'{"entries": [1e999]}',
    b'{"entries": [' + b"9" * 5000 + b"]}", b'{"entries": [[]]}', b"[" * 100_000,
    b'{"entries":' + b"[" * 900 + b"]" * 900 + b"}",
    b'{"entries": [], "entries": []}', b'{"a":' * 3000 + b"1" + b"}" * 3000,
    b'{"a":' * 990 + b'{"a":1,"a":2}' + b"}" * 990,
])  # fmt: skip
@pytest.mark.parametrize("kind", [
    "application/json", "text/plain", "application/x-www-form-urlencoded", "multipart/form-data; boundary=x",
    "application/json; charset=utf-16", "nonsense",
])  # fmt: skip
def test_a_body_of_another_form_is_422_with_one_sentence(client: FlaskClient, vehicle_id: str, body: bytes, kind: str):
    answer = client.post(f"/vehicles/{vehicle_id}/entries", data=body, content_type=kind)
    assert answer.status_code == 422, answer.text
    assert is_one_sentence(answer)
    assert client.post("/vehicles", data=body, content_type=kind).status_code == 422


def test_a_value_that_does_not_end_is_refused_with_its_place(client: FlaskClient, store: Store, vehicle_id: str):
    for literal in ("NaN", "Infinity", "-Infinity", "1e999", "9" * 4000):
        body = json.dumps({"entries": [reading_object(1, 777.125)]}).replace("777.125", literal, 1)
        answer = client.post(f"/vehicles/{vehicle_id}/entries", data=body, content_type="application/json")
        assert answer.status_code == 422 and answer.json["place"].startswith("entry 1"), literal
    assert stored(store, vehicle_id) == []


def test_entries_are_taken_whatever_the_content_type_says(client: FlaskClient, store: Store, vehicle_id: str):
    body = json.dumps({"entries": [reading_object(1)]})
    answer = client.post(
        f"/vehicles/{vehicle_id}/entries", data=body, content_type="application/x-www-form-urlencoded"
    )
    assert answer.json == {"stored": ["entry-000001"]}


def test_too_much_at_once_is_413_and_keeps_nothing(client: FlaskClient, store: Store, vehicle_id: str):
    answer = post(client, vehicle_id, *(reading_object(number) for number in range(5001)))
    assert answer.status_code == 413 and is_one_sentence(answer)
    answer = client.post(f"/vehicles/{vehicle_id}/entries", data=b" " * (2 * 1024 * 1024 + 1))
    assert answer.status_code == 413 and is_one_sentence(answer)
    assert client.post("/vehicles", data=b" " * (20 * 1024 * 1024 + 1)).status_code == 413
    assert stored(store, vehicle_id) == []


@pytest.mark.parametrize("name", ["0000000000000000", "x", "..", "%00", "%ED%A0%80", "'; --", "x" * 5000])
def test_an_unknown_vehicle_is_404_with_one_sentence(client: FlaskClient, name: str):
    for answer in (post(client, name, reading_object(1)), client.get(f"/vehicles/{name}/file"),
                   client.get(f"/vehicles/{name}/report")):
        assert answer.status_code == 404 and is_one_sentence(answer)


def test_the_list_has_id_name_and_number_of_entries(client: FlaskClient, vehicle_id: str):
    post(client, vehicle_id, reading_object(1), reading_object(2))
    assert client.get("/vehicles").json == [{"id": vehicle_id, "name": "Test truck", "entries": 2}]


def test_a_vehicle_file_posted_comes_back_as_the_same_file(client: FlaskClient):
    for path in places.demo_vehicles():
        answer = client.post("/vehicles", data=path.read_bytes(), content_type="application/json")
        assert answer.status_code == 201
        first = client.get(f"/vehicles/{answer.json['id']}/file")
        assert json.loads(first.data) == json.loads(path.read_bytes())
        again = client.post("/vehicles", data=first.data)
        assert client.get(f"/vehicles/{again.json['id']}/file").data == first.data


def test_a_file_of_a_newer_version_is_refused_in_one_sentence(client: FlaskClient):
    answer = client.post("/vehicles", json=vehicle_object(version=2))
    assert answer.status_code == 422 and is_one_sentence(answer) and "newer" in answer.json["error"]
    assert client.get("/vehicles").json == []


def test_the_report_follows_the_log_and_the_stage(client: FlaskClient, vehicle_id: str):
    def count(query: str = "") -> int:
        return client.get(f"/vehicles/{vehicle_id}/report{query}").json["fit"]["readings"]

    assert count() == 0
    post(client, vehicle_id, reading_object(1))
    assert count() == 1
    post(client, vehicle_id, reading_object(2), reading_object(3, 700.0, stage="plan"))
    assert (count(), count("?stage=plan")) == (2, 1)


def test_an_unknown_stage_is_422(client: FlaskClient, vehicle_id: str):
    answer = client.get(f"/vehicles/{vehicle_id}/report?stage=later")
    assert answer.status_code == 422 and is_one_sentence(answer) and answer.json["place"] == "stage"


def test_a_stage_without_readings_is_422_once_others_have_some(client: FlaskClient, vehicle_id: str):
    post(client, vehicle_id, reading_object(1))
    answer = client.get(f"/vehicles/{vehicle_id}/report?stage=plan")
    assert answer.status_code == 422 and is_one_sentence(answer) and "plan" in answer.json["error"]


def taking_back(number: int, of: str, kind: str = "withdraw") -> dict[str, Any]:
    return {"id": f"take-back-{number}", "at": "2026-05-02T09:31:40Z", "type": kind, "of": of}


@pytest.mark.parametrize("kind", ["withdraw", "set_aside"])
def test_what_takes_back_a_reading_still_under_way_is_kept_and_acts_once_that_is_in(
    client: FlaskClient, store: Store, vehicle_id: str, kind: str
):
    early = taking_back(1, "entry-000001", kind)
    for _ in range(2):
        assert post(client, vehicle_id, early).json == {"stored": ["take-back-1"]}
    assert stored(store, vehicle_id) == []  # a file never names what it lacks
    assert client.get(f"/vehicles/{vehicle_id}/report").json["fit"]["readings"] == 0
    again = Store(store.folder)
    assert again.add_entries(vehicle_id, []) == []
    again.close()
    assert post(client, vehicle_id, reading_object(2), reading_object(1)).status_code == 200
    assert stored(store, vehicle_id) == ["entry-000002", "entry-000001", "take-back-1"]
    assert client.get(f"/vehicles/{vehicle_id}/report").json["fit"]["readings"] == 1
    assert post(client, vehicle_id, early).json == {"stored": ["take-back-1"]}
    assert len(stored(store, vehicle_id)) == 3


def test_a_withdrawal_taken_back_before_either_is_in_lets_the_reading_count(
    client: FlaskClient, store: Store, vehicle_id: str
):
    post(client, vehicle_id, taking_back(2, "take-back-1"))
    post(client, vehicle_id, taking_back(1, "entry-000001"))
    post(client, vehicle_id, reading_object(1))
    assert stored(store, vehicle_id) == ["entry-000001", "take-back-1", "take-back-2"]
    assert client.get(f"/vehicles/{vehicle_id}/report").json["fit"]["readings"] == 1


def test_an_early_id_with_other_content_is_409_and_keeps_nothing(client: FlaskClient, store: Store, vehicle_id: str):
    post(client, vehicle_id, taking_back(1, "entry-000001"))
    assert post(client, vehicle_id, reading_object(1), taking_back(1, "entry-000009")).status_code == 409
    assert stored(store, vehicle_id) == []


def test_only_readings_can_be_set_aside_whichever_comes_first(client: FlaskClient, store: Store, vehicle_id: str):
    post(client, vehicle_id, reading_object(1), taking_back(1, "entry-000001"))
    answer = post(client, vehicle_id, taking_back(2, "take-back-1", "set_aside"))
    assert answer.status_code == 422 and is_one_sentence(answer) and answer.json["place"].startswith("entry 1")
    assert post(client, vehicle_id, taking_back(4, "take-back-3", "set_aside")).status_code == 200
    assert post(client, vehicle_id, taking_back(3, "entry-000001")).status_code == 200
    ids = stored(store, vehicle_id)
    assert ids == ["entry-000001", "take-back-1", "take-back-3"]
    file = client.get(f"/vehicles/{vehicle_id}/file").data
    assert client.post("/vehicles", data=file).status_code == 201


def test_an_entry_that_names_itself_is_422(client: FlaskClient, vehicle_id: str):
    answer = post(client, vehicle_id, taking_back(1, "take-back-1"))
    assert answer.status_code == 422 and is_one_sentence(answer)


def test_phones_posting_at_once_lose_nothing(app: Flask, store: Store, client: FlaskClient, vehicle_id: str):
    key = app.extensions["plumbtack"].pairing.key
    answers: list[int] = []

    def phone(number: int) -> None:
        own = app.test_client()
        for turn in range(15):
            answer = own.post(
                f"/vehicles/{vehicle_id}/entries",
                json={"entries": [reading_object(100 * number + turn)]},
                headers={"Authorization": f"Bearer {key}"},
            )
            answers.append(answer.status_code)

    phones = [threading.Thread(target=phone, args=(number,)) for number in range(6)]
    for thread in phones:
        thread.start()
    for thread in phones:
        thread.join()
    assert answers == [200] * 90
    assert len(set(stored(store, vehicle_id))) == 90


json_values = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=20),
    lambda inside: st.lists(inside, max_size=4) | st.dictionaries(st.text(max_size=10), inside, max_size=4),
    max_leaves=12,
)
changed_entries = st.fixed_dictionaries({}, optional=dict.fromkeys(reading_object(1), json_values)).map(
    lambda changes: reading_object(1) | changes
)


@settings(
    max_examples=120, deadline=None, derandomize=True, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
@given(st.lists(changed_entries | json_values, max_size=3))
def test_whatever_is_posted_is_stored_or_refused_in_one_sentence(
    client: FlaskClient, store: Store, vehicle_id: str, objects: list[Any]
):
    before = stored(store, vehicle_id)
    answer = post(client, vehicle_id, *objects)
    assert answer.status_code in (200, 409, 422)
    if answer.status_code != 200:
        assert is_one_sentence(answer)
        assert stored(store, vehicle_id) == before
