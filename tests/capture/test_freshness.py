"""An unchanged answer is a 304, a changed one never is."""

from __future__ import annotations

from typing import Any

import pytest
from flask import Flask
from flask.testing import FlaskClient

from capture import create_app, freshness, report
from capture.settings import Settings
from capture.store import Store
from tests.conftest import reading_object, vehicle_object

ROOMS = ("walk", "measure", "second-look", "shape", "behaviour", "what-if", "plans", "holes", "aims", "record", "file",
         "report", "measure/drawings")


@pytest.fixture
def addresses(client: FlaskClient, vehicle_id: str) -> list[str]:
    """Every address whose answer depends on the log."""
    client.post(f"/vehicles/{vehicle_id}/entries", json={"entries": [reading_object(1)]})
    return ["/", "/vehicles", *(f"/vehicles/{vehicle_id}/{room}" for room in ROOMS)]


def again(client: FlaskClient, address: str, first: Any, **headers: str) -> Any:
    return client.get(address, headers={"If-None-Match": first.headers["ETag"], **headers})


def test_an_unchanged_page_is_a_304_without_a_body_and_with_its_guarding_headers(
    client: FlaskClient, addresses: list[str]
):
    for address in addresses:
        first = client.get(address)
        assert first.status_code == 200 and first.headers["ETag"].startswith('W/"'), address
        answer = again(client, address, first)
        assert (answer.status_code, answer.data) == (304, b""), address
        assert answer.headers["ETag"] == first.headers["ETag"]
        assert answer.headers["Cache-Control"] == first.headers["Cache-Control"]
        assert "default-src 'none'" in answer.headers["Content-Security-Policy"]


def test_nothing_is_worked_out_for_a_304(
    client: FlaskClient, addresses: list[str], app: Flask, monkeypatch: pytest.MonkeyPatch
):
    firsts = {address: client.get(address) for address in addresses}
    app.extensions["plumbtack"].models._kept.clear()

    def build(*_: object) -> None:
        raise AssertionError("a report was made")

    monkeypatch.setattr(report, "build", build)
    assert {again(client, address, first).status_code for address, first in firsts.items()} == {304}


def test_after_a_change_a_304_comes_exactly_where_the_page_still_says_the_same(
    client: FlaskClient, addresses: list[str], vehicle_id: str, store: Store
):
    def post(**entry: Any) -> None:
        assert client.post(f"/vehicles/{vehicle_id}/entries", json={"entries": [entry]}).status_code == 200

    def rename() -> None:
        store.change_facts(vehicle_id, store.head(vehicle_id).model_copy(update={"name": "Another"}))

    def changed(change: Any) -> set[str]:
        firsts = {address: client.get(address) for address in addresses}
        change()
        found = set()
        for address, first in firsts.items():
            answer, whole = again(client, address, first), client.get(address)
            assert answer.status_code == (304 if whole.data == first.data else 200), address
            assert answer.headers["ETag"] == whole.headers["ETag"], address
            if answer.status_code == 200:
                found.add(address.rpartition("/")[2])
        return found

    rooms = {address.rpartition("/")[2] for address in addresses}
    read = reading_object(2, reading="height:upper.frame")
    assert changed(lambda: post(**read)) >= {"walk", "measure", "shape", "record", "file", "report", "drawings"}
    assert changed(rename) >= rooms - {"report", "drawings", "vehicles", "", "holes", "plans", "aims", "what-if"}
    noted = changed(lambda: post(id="noted-0001", at="2026-05-02T09:20:07Z", type="note", note="the floor is painted"))
    assert {"file", "measure"} <= noted  # the page for measuring says which entries the laptop has
    assert noted.isdisjoint({"walk", "second-look", "shape", "behaviour", "report", "drawings"})


def test_a_page_with_a_policy_of_its_own_keeps_it_when_unchanged(client: FlaskClient, vehicle_id: str):
    client.post(f"/vehicles/{vehicle_id}/entries", json={"entries": [reading_object(1)]})
    address = f"/vehicles/{vehicle_id}/sheet"
    first = client.get(address)
    assert "style-src 'self'" not in first.headers["Content-Security-Policy"]
    note = {"id": "noted-0001", "at": "2026-05-02T09:20:07Z", "type": "note", "note": "the floor is painted"}
    for change in (lambda: None, lambda: client.post(f"/vehicles/{vehicle_id}/entries", json={"entries": [note]})):
        change()
        answer = again(client, address, first)
        if answer.status_code == 304:
            assert answer.headers["Content-Security-Policy"] == first.headers["Content-Security-Policy"]
        else:
            assert client.get(address).data != first.data
    assert again(client, address, client.get(address)).status_code == 304


def test_only_so_many_answers_are_remembered(app: Flask, client: FlaskClient, vehicle_id: str, monkeypatch: Any):
    monkeypatch.setattr(freshness, "REMEMBERED", 2)
    shape = f"/vehicles/{vehicle_id}/shape"
    firsts = {view: client.get(f"{shape}?view={view}") for view in ("side", "top", "front", "side")}
    assert {again(client, f"{shape}?view={view}", first).status_code for view, first in firsts.items()} == {304}


def test_another_vehicles_change_leaves_this_ones_pages(client: FlaskClient, addresses: list[str]):
    firsts = {address: client.get(address) for address in addresses}
    other = client.post("/vehicles", json=vehicle_object()).json["id"]
    client.post(f"/vehicles/{other}/entries", json={"entries": [reading_object(2)]})
    found = {address: again(client, address, first).status_code for address, first in firsts.items()}
    assert found == {address: 200 if address in ("/", "/vehicles") else 304 for address in addresses}


def test_a_tag_belongs_to_its_address_its_query_and_who_asks(app: Flask, client: FlaskClient, vehicle_id: str):
    client.post(f"/vehicles/{vehicle_id}/entries", json={"entries": [reading_object(1)]})
    shape = f"/vehicles/{vehicle_id}/shape"
    tags = {client.get(address).headers["ETag"] for address in (shape, f"{shape}?view=top", f"{shape}?view=front")}
    pairing = app.extensions["plumbtack"].pairing
    guest = app.test_client()
    guest.get("/in", query_string={"key": pairing.guest_key})
    tags.add(guest.get(shape).headers["ETag"])
    assert len(tags) == 4


def test_a_new_run_of_the_program_knows_no_old_tag(app: Flask, client: FlaskClient, addresses: list[str], store: Store):
    firsts = {address: client.get(address) for address in addresses}
    fresh = create_app(Settings(store.folder))
    restarted = fresh.test_client()
    restarted.get("/in", query_string={"key": app.extensions["plumbtack"].pairing.key})
    assert {again(restarted, address, first).status_code for address, first in firsts.items()} == {200}
    fresh.extensions["plumbtack"].store.close()


def test_no_tag_helps_a_stranger(app: Flask, client: FlaskClient, addresses: list[str]):
    nobody = app.test_client()
    for address in addresses:
        assert again(nobody, address, client.get(address)).status_code in (401, 403)


def test_browsers_ask_before_they_show_a_kept_page(client: FlaskClient, addresses: list[str]):
    for address in addresses:
        assert client.get(address).headers["Cache-Control"] == "private, no-cache", address


def test_only_the_script_of_the_measuring_page_keeps_it_for_while_the_laptop_is_away(
    client: FlaskClient, addresses: list[str]
):
    for address in addresses:
        kept = client.get(address, headers={"X-Keep": "page"})
        wanted = "private, max-age=43200" if address.endswith("/measure") else "private, no-cache"
        assert kept.headers["Cache-Control"] == wanted, address
        assert "X-Keep" not in kept.headers.get("Vary", "")  # else the kept copy would not serve a plain visit


def test_the_page_that_opens_alone_says_its_version_and_needs_only_scripts_that_are_kept_for_ever(
    client: FlaskClient, vehicle_id: str, store: Store
):
    import re

    page = client.get(f"/vehicles/{vehicle_id}/measure").text
    assert f'"version":{store.version(vehicle_id)}' in page.replace('"version": ', '"version":')
    needed = re.findall(r'(?:src|href)="(/static/[^"]+)"', page)
    assert len(needed) >= 4
    for address in needed:
        assert "immutable" in client.get(address).headers["Cache-Control"], address
