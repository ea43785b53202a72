"""Every address there is, asked with rubbish: an answer that says no in words, never a fault of ours."""

from __future__ import annotations

from typing import Any

import pytest
from flask import Flask
from flask.testing import FlaskClient

from capture.store import Store
from tests.conftest import reading_object

RUBBISH = [
    "x", "..", "%00", "%ED%A0%80", "%E2%80%AE", "<script>alert(1)</script>", "{{7*191}}", "1e999", "-1", "x" * 3000,
]  # fmt: skip
QUERY = ("at", "v", "room", "view", "point", "reading", "value", "unit", "stage", "text", "key", "plan", "do",
         "act", "add", "step", "curve", "figure", "near", "turn", "show")


def addresses(app: Flask, method: str, vehicle_id: str, rubbish: str) -> list[str]:
    """Every address of this method, with rubbish in each gap but at times the vehicle, which then is a real one."""
    found = []
    for rule in app.url_map.iter_rules():
        if method not in rule.methods:
            continue
        for vehicle in (vehicle_id, rubbish):
            address = rule.rule
            for argument in rule.arguments:
                given = vehicle if argument == "vehicle_id" else rubbish
                address = address.replace(f"<{argument}>", given).replace(f"<path:{argument}>", given)
            found.append(address)
    return list(dict.fromkeys(found))


def asked(answer: Any) -> None:
    text = answer.get_data().decode("utf-8", "replace")
    assert answer.status_code < 500, (answer.request.path, text[:400])
    assert "Traceback" not in text and "<script>alert" not in text and ">1337<" not in text


@pytest.mark.parametrize("rubbish", RUBBISH)
def test_rubbish_in_address_and_query_is_answered_in_words(
    app: Flask, client: FlaskClient, vehicle_id: str, rubbish: str
):
    query = "&".join(f"{name}={rubbish.replace('<', '%3C').replace('&', '%26')}" for name in QUERY)
    for address in addresses(app, "GET", vehicle_id, rubbish):
        asked(client.get(f"{address}?{query}"))


@pytest.mark.parametrize("body", [b"", b"\xff\xfe\x00", b"a=" + b"x" * 5000, b'{"entries": 3}', b"--x\r\n\r\n"])
def test_rubbish_posted_is_answered_in_words_and_stores_nothing(
    app: Flask, client: FlaskClient, store: Store, vehicle_id: str, body: bytes
):
    for address in addresses(app, "POST", vehicle_id, "x"):
        for kind in ("application/json", "application/x-www-form-urlencoded", "multipart/form-data; boundary=x"):
            asked(client.post(address, data=body, content_type=kind))
    assert [line.entries for line in store.vehicles()] == [0]


def test_a_name_with_markup_is_shown_as_text(app: Flask, client: FlaskClient, store: Store):
    from capture.vehicle_file import VehicleFile, check_entries
    from tests.conftest import vehicle_object

    hostile = "<script>alert(1)</script>\u202e\"'&{{7*191}}"
    vehicle_id = store.create(VehicleFile.model_validate(vehicle_object(name=hostile)))
    taken = reading_object(1, note=hostile, text=hostile, unit=hostile)
    store.add_entries(vehicle_id, check_entries([taken], store.head(vehicle_id)))
    pages = 0
    for address in ["/", *addresses(app, "GET", vehicle_id, "x")]:
        answer = client.get(address)
        if "text/html" in answer.content_type:
            asked(answer)
            pages += answer.status_code == 200
    assert pages >= 6
