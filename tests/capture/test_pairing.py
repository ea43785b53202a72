"""Who may come in: the key in the address, the cookie, the key of a program, and nobody else."""

from __future__ import annotations

from pathlib import Path

import pytest
from flask import Flask
from flask.testing import FlaskClient

from capture import create_app
from capture.settings import Settings
from capture.store import Store
from tests.conftest import vehicle_object


def key_of(app: Flask) -> str:
    return app.extensions["plumbtack"].pairing.key


def every_address(app: Flask) -> list[tuple[str, str]]:
    """(method, address) of every rule but those open to all, with any name in the gaps."""
    found = []
    for rule in app.url_map.iter_rules():
        if rule.endpoint in ("static", "pairing.come_in"):
            continue
        address = rule.rule
        for argument in rule.arguments:
            address = address.replace(f"<{argument}>", "0000000000000000").replace(f"<path:{argument}>", "x")
        found += [(method, address) for method in rule.methods - {"HEAD", "OPTIONS"}]
    return found


def test_without_the_key_no_address_shows_anything(app: Flask, client: FlaskClient):
    client.post("/vehicles", json=vehicle_object(name="Zweibrückenwagen"))
    nobody = app.test_client()
    addresses = every_address(app)
    assert len(addresses) >= 5
    for method, address in [*addresses, ("GET", "/"), ("GET", "/nowhere"), ("DELETE", "/vehicles")]:
        answer = nobody.open(address, method=method, headers={"Origin": "http://localhost"})
        assert answer.status_code in (401, 403), (method, address)
        assert "Zweibr" not in answer.text and key_of(app) not in answer.text
    assert len(client.get("/vehicles").json) == 1


def test_the_page_of_strangers_says_how_to_get_in(stranger: FlaskClient):
    answer = stranger.get("/", headers={"Accept": "text/html,*/*"})
    assert answer.status_code == 403
    assert "text/html" in answer.content_type and "laptop" in answer.text and "code" in answer.text


def test_a_program_without_the_key_gets_401_and_one_sentence(stranger: FlaskClient):
    answer = stranger.get("/vehicles")
    assert answer.status_code == 401
    assert answer.json["error"].endswith(".") and answer.headers["WWW-Authenticate"] == "Bearer"


def test_the_code_on_the_laptop_becomes_a_cookie_and_a_clean_address(app: Flask, stranger: FlaskClient):
    answer = stranger.get("/in", query_string={"key": key_of(app)})
    assert (answer.status_code, answer.headers["Location"]) == (303, "/")
    cookie = answer.headers["Set-Cookie"]
    assert "HttpOnly" in cookie and "SameSite=Lax" in cookie and "Path=/" in cookie
    assert "Max-Age=34560000" in cookie  # 400 days, in seconds
    assert stranger.get("/vehicles").status_code == 200


@pytest.mark.parametrize("key", ["", "x", "x" * 24, "é" * 24, "\udc80", "x" * 3000, None])
def test_another_key_does_not_open(app: Flask, stranger: FlaskClient, key: str | None):
    query = {} if key is None else {"key": key.encode("utf-8", "surrogatepass")}
    answer = stranger.get("/in", query_string=query)
    assert answer.status_code == 403 and "Set-Cookie" not in answer.headers
    name = app.extensions["plumbtack"].pairing.cookie
    if key and key.isascii():
        stranger.set_cookie(name, key)
    assert stranger.get("/vehicles").status_code == 401


def test_a_key_one_letter_off_does_not_open(app: Flask, stranger: FlaskClient):
    key = key_of(app)
    for other in (key[:-1], key + "x", key.swapcase(), key[1:] + key[0]):
        assert stranger.get("/vehicles", headers={"Authorization": f"Bearer {other}"}).status_code == 401
    assert stranger.get("/vehicles", headers={"Authorization": f"Bearer {key}"}).status_code == 200


@pytest.mark.parametrize("shown", ["{key}", "Basic {key}", "Bearer", "Bearer  ", "bearer x {key}", "Bearer {key}x"])
def test_the_key_must_be_shown_as_bearer(app: Flask, stranger: FlaskClient, shown: str):
    answer = stranger.get("/vehicles", headers={"Authorization": shown.format(key=key_of(app))})
    assert answer.status_code == 401


def test_the_key_is_kept_over_restarts_and_is_long(tmp_path: Path):
    keys = []
    for _ in range(2):
        app = create_app(Settings(tmp_path))
        keys.append(key_of(app))
        app.extensions["plumbtack"].store.close()
    assert keys[0] == keys[1]
    assert len(keys[0]) >= 22  # 22 letters of 64 are over 128 bits


def test_two_data_folders_have_two_keys_and_two_cookies(tmp_path: Path):
    pairings = []
    for name in ("one", "other"):
        app = create_app(Settings(tmp_path / name))
        pairings.append(app.extensions["plumbtack"].pairing)
        app.extensions["plumbtack"].store.close()
    assert pairings[0].key != pairings[1].key and pairings[0].cookie != pairings[1].cookie


def test_stylesheets_are_not_locked(stranger: FlaskClient):
    assert stranger.get("/static/plumbtack.css").status_code == 200


def test_the_key_is_not_in_the_vehicle_file(app: Flask, client: FlaskClient, vehicle_id: str, store: Store):
    assert key_of(app) not in client.get(f"/vehicles/{vehicle_id}/file").text
