"""The ± stated for one reading: typed to one sd, held to sense, said again; without script and on the record."""

from __future__ import annotations

from typing import Any

import pytest
from flask.testing import FlaskClient

from capture.entry import NotAReading
from capture.screens import give_or_take
from tests.conftest import reading_object

MARK = "height:mark.front_left"


@pytest.mark.parametrize(("text", "unit", "quantity", "sd"), [
    ("1/16", "in", "mm", 25.4 / 32),  # the inch is 25.4 mm by definition; ± is two sds
    ("± 1/16", "ft", "mm", 25.4 / 32),
    ("1.5", "mm", "mm", 0.75),
    ("1.5", "cm", "mm", 0.75),
    ("2 mm", "in", "mm", 1.0),
    ("0.2", "deg", "deg", 0.1),
    ("2", "lb", "kg", 0.45359237),  # the pound by definition
])  # fmt: skip
def test_a_stated_give_or_take_is_two_sds_in_the_unit_it_is_typed_in(text: str, unit: str, quantity: str, sd: float):
    assert give_or_take.stated(text, unit, quantity, {"mm": 2.0, "deg": 0.2, "kg": 2.0}[quantity]) == pytest.approx(sd)


def test_nothing_typed_is_the_usual():
    assert give_or_take.stated("  ", "in", "mm", 2.0) is None


@pytest.mark.parametrize("text", ["0", "-1", "0.3", "401", "1e3", "half", "24 9/8"])
def test_what_lies_beyond_a_tenth_and_a_hundred_times_the_usual_is_asked_again(text: str):
    with pytest.raises(NotAReading) as refusal:
        give_or_take.stated(text, "mm", "mm", 2.0)
    assert str(refusal.value).count(". ") == 0


@pytest.mark.parametrize(("value", "edge"), [("0.4", 0.2), ("400", 200.0)])
def test_the_ends_named_can_be_typed(value: str, edge: float):
    assert give_or_take.stated(value, "mm", "mm", 2.0) == pytest.approx(edge)


@pytest.mark.parametrize(("sd", "quantity", "unit", "said"), [
    (25.4 / 32, "mm", "in", "1/16 in"), (0.5, "mm", "in", "0.039 in"), (0.75, "mm", "mm", "1.5 mm"),
    (0.1, "deg", "in", "0.2°"), (0.45359237, "kg", "in", "2 lb"), (1.0, "kg", "mm", "2 kg"),
])  # fmt: skip
def test_it_is_said_as_finely_as_it_was_stated(sd: float, quantity: str, unit: str, said: str):
    assert give_or_take.said(sd, quantity, unit) == said


def test_it_is_stated_without_script_kept_for_the_further_take_and_shown_on_the_record(
    client: FlaskClient, vehicle_id: str
):
    def send(**form: str) -> Any:
        return client.post(f"/vehicles/{vehicle_id}/measure", data={
            "stage": "mock_up", "unit": "in", "at": MARK, "text": "24 1/8", **form})

    refused = send(give="40", id="plain-entry-1")
    assert refused.status_code == 422 and "Under give or take: Give or take lies between" in refused.text
    assert 'name="give" value="40"' in refused.text and client.get(f"/vehicles/{vehicle_id}/file").json["entries"] == []
    assert send(give="1/16", id="plain-entry-1").status_code == 303
    assert 'name="give" value="1.59 mm"' in client.get(f"/vehicles/{vehicle_id}/measure?at={MARK}").text
    assert send(give="", id="plain-entry-2").status_code == 303
    first, second = client.get(f"/vehicles/{vehicle_id}/file").json["entries"]
    assert first["sd"] == pytest.approx(25.4 / 32) and "sd" not in second
    record = client.get(f"/vehicles/{vehicle_id}/record").text
    assert record.count("with a spread of its own, ±") == 1 and "a spread of its own, ± 1.59 mm" in record


def test_a_coarser_reading_is_remarked_only_when_it_is_farther_off(client: FlaskClient, vehicle_id: str):
    takes = [reading_object(number, reading=MARK, value=612.0) for number in range(3)]
    assert client.post(f"/vehicles/{vehicle_id}/entries", json={"entries": takes}).status_code == 200

    def remarked(**more: str) -> bool:
        query = {"reading": MARK, "value": "637", "unit": "mm", "text": "637", **more}
        return client.get(f"/vehicles/{vehicle_id}/remark", query_string=query).status_code == 200

    assert remarked() and not remarked(sd="20") and remarked(sd="nonsense") and remarked(sd="-20")
