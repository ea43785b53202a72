"""Who may come in: the key in the address, the cookie, the key of a program, and nobody else."""

from __future__ import annotations

import io
import zipfile
from dataclasses import replace
from pathlib import Path

import pytest
from flask import Flask
from flask.testing import FlaskClient

from capture import create_app
from capture.door_words import GUEST_MAY_LOOK
from capture.guesses import FORGOTTEN_SECONDS, FREE, LONGEST_SECONDS, MOST_ADDRESSES, Guesses
from capture.pairing import Pairing
from capture.serve import run
from capture.settings import Address, Settings
from capture.store import Store
from tests.conftest import LiveServer, reading_object, vehicle_object

JSON = {"Accept": "application/json"}
ADDRESSES = (Address("http://192.168.1.20:8021", "wlan0"),)


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


def paired(app: Flask, key: str, address: str = "127.0.0.1") -> FlaskClient:
    """A browser that came in with this key from this network address."""
    browser = app.test_client()
    browser.environ_base.update({"HTTP_ORIGIN": "http://localhost", "REMOTE_ADDR": address})
    assert browser.get("/in", query_string={"key": key}).status_code == 303
    return browser


def pairing_of(app: Flask) -> Pairing:
    return app.extensions["plumbtack"].pairing


# Renewal.


def test_a_new_key_made_on_the_laptop_throws_everybody_else_out(app: Flask):
    old, guest = key_of(app), pairing_of(app).guest_key
    laptop, phone, looker = paired(app, old), paired(app, old, "192.168.1.30"), paired(app, guest, "192.168.1.31")
    answer = laptop.post("/pairing/renew")
    assert (answer.status_code, answer.headers["Location"]) == (303, "/let-in?renewed")
    assert key_of(app) != old and pairing_of(app).guest_key not in (guest, key_of(app))
    assert laptop.get("/vehicles").status_code == 200
    for outside in (phone, looker):
        assert outside.get("/vehicles").status_code == 401
    for gone in (old, guest):
        assert app.test_client().get("/in", query_string={"key": gone}).status_code == 403
    paired(app, key_of(app), "192.168.1.30")


def test_a_renewed_key_is_the_one_after_a_restart(app: Flask, store: Store):
    paired(app, key_of(app)).post("/pairing/renew")
    again = create_app(Settings(store.folder))
    assert key_of(again) == key_of(app) and pairing_of(again).guest_key == pairing_of(app).guest_key
    again.extensions["plumbtack"].store.close()


@pytest.mark.parametrize("address", [
    "192.168.1.30", "10.0.0.127", "::ffff:192.168.1.30", "fe80::1%eth0", "", "nonsense",
])  # fmt: skip
def test_only_this_machine_makes_a_new_key(app: Flask, address: str):
    key = key_of(app)
    phone = paired(app, key)
    phone.environ_base["REMOTE_ADDR"] = address
    answer = phone.post("/pairing/renew", headers={"X-Forwarded-For": "127.0.0.1", "Forwarded": "for=127.0.0.1"})
    assert answer.status_code == 403 and key_of(app) == key


@pytest.mark.parametrize("address", ["127.0.0.1", "127.8.9.1", "::1", "::ffff:127.0.0.1"])
def test_this_machine_has_many_names(app: Flask, address: str):
    laptop, key = paired(app, key_of(app)), key_of(app)
    laptop.environ_base["REMOTE_ADDR"] = address
    assert laptop.post("/pairing/renew").status_code == 303 and key_of(app) != key


def test_a_new_key_takes_a_paired_browser_and_our_own_page(app: Flask, stranger: FlaskClient):
    key = key_of(app)
    assert stranger.post("/pairing/renew").status_code == 403
    assert stranger.post("/pairing/renew", headers={"Authorization": f"Bearer {key}"}).status_code == 403
    guest = paired(app, pairing_of(app).guest_key)
    assert guest.post("/pairing/renew").status_code == 403
    laptop = paired(app, key)
    for origin in ("http://evil.example", "http://localhost:8080", "null"):
        assert laptop.post("/pairing/renew", headers={"Origin": origin}).status_code == 403
    assert laptop.get("/pairing/renew").status_code == 405 and key_of(app) == key


def test_the_option_makes_a_new_key_and_a_running_server_is_not_left_with_the_old_one(
    live_server: LiveServer, capsys: pytest.CaptureFixture[str]
):
    old = live_server.key
    assert run(live_server.data, print_key=True, new_key=True) == 2
    assert "stop it first" in capsys.readouterr().err and live_server.ask("/vehicles") == []
    live_server.stop()
    live_server.options["new_key"] = True
    live_server.start()
    assert live_server.key != old and live_server.ask("/vehicles") == []
    live_server.stop()
    assert run(live_server.data, print_key=True) == 0
    assert capsys.readouterr().out.strip() == live_server.key
    assert run(live_server.data, print_key=True, new_key=True) == 0
    assert capsys.readouterr().out.strip() not in (old, live_server.key)


# Guests.


def test_a_guest_sees_and_changes_nothing(app: Flask, client: FlaskClient, store: Store, vehicle_id: str):
    client.post(f"/vehicles/{vehicle_id}/entries", json={"entries": [reading_object(1)]})
    guest = paired(app, pairing_of(app).guest_key, "192.168.1.31")
    for path in ("/", "/vehicles", *(f"/vehicles/{vehicle_id}/{room}" for room in ("walk", "shape", "file", "report"))):
        assert guest.get(path).status_code == 200, path
    before, version = store.state(), store.version(vehicle_id)
    changes = [(method, path) for method, path in every_address(app) if method != "GET"]
    assert len(changes) >= 4
    for method, path in changes:
        address = path.replace("0000000000000000", vehicle_id)
        answer = guest.open(address, method=method, json={"entries": [reading_object(2)]}, headers=JSON)
        assert answer.status_code == 403, (method, path)
        assert answer.json["error"] == GUEST_MAY_LOOK and GUEST_MAY_LOOK.count(".") == 1
    assert (store.state(), store.version(vehicle_id)) == (before, version)


def whole(body: bytes) -> bytes:
    """An answer's bytes; of a zip, those of everything packed in it."""
    if not zipfile.is_zipfile(io.BytesIO(body)):
        return body
    with zipfile.ZipFile(io.BytesIO(body)) as packed:
        return b"".join(packed.read(name) for name in packed.namelist())


def test_a_guest_finds_no_key_anywhere(app: Flask, vehicle_id: str):
    app.extensions["plumbtack"] = replace(
        app.extensions["plumbtack"], settings=replace(app.extensions["plumbtack"].settings, addresses=ADDRESSES)
    )
    guest, member = (paired(app, key) for key in (pairing_of(app).guest_key, key_of(app)))
    assert key_of(app) in member.get("/let-in").text
    for method, path in [*every_address(app), ("GET", "/")]:
        if method == "GET":
            answer = guest.get(path.replace("0000000000000000", vehicle_id))
            said = whole(answer.data)
            assert key_of(app).encode() not in said and pairing_of(app).guest_key.encode() not in said, path
    assert guest.get("/let-in").status_code == 403


def test_a_program_with_the_guests_key_reads_only(app: Flask, stranger: FlaskClient):
    headers = {"Authorization": f"Bearer {pairing_of(app).guest_key}"}
    assert stranger.get("/vehicles", headers=headers).json == []
    del stranger.environ_base["HTTP_ORIGIN"]
    assert stranger.post("/vehicles", json=vehicle_object(), headers=headers).status_code == 403
    assert stranger.get("/vehicles", headers=headers).json == []


def test_who_has_both_codes_may_measure(app: Flask):
    both = paired(app, pairing_of(app).guest_key)
    both.get("/in", query_string={"key": key_of(app)})
    assert both.post("/vehicles", json=vehicle_object()).status_code == 201


# What strangers can tell.


def test_to_a_stranger_a_vehicle_that_is_there_looks_like_one_that_is_not(app: Flask, vehicle_id: str):
    stranger = app.test_client()

    def answered(method: str, path: str, accept: str) -> tuple[int, bytes, dict[str, str]]:
        answer = stranger.open(path, method=method, headers={"Accept": accept, "Origin": "http://localhost"})
        return answer.status_code, answer.data, dict(answer.headers)

    nobodys = [(method, path) for method, path in every_address(app) if "0000000000000000" in path]
    assert len(nobodys) >= 8
    for method, path in nobodys:
        for accept in ("application/json", "text/html"):
            there = answered(method, path.replace("0000000000000000", vehicle_id), accept)
            assert there == answered(method, path, accept) and there[0] in (401, 403)


# Guesses.


def test_guesses_are_slowed_and_the_paired_phone_is_not_kept_out(app: Flask):
    address = "192.168.1.66"
    phone = paired(app, key_of(app), address)
    guesser = app.test_client()
    guesser.environ_base["REMOTE_ADDR"] = address
    answers = [guesser.get("/in", query_string={"key": f"guess-{number}"}) for number in range(FREE + 3)]
    assert [answer.status_code for answer in answers] == [403] * FREE + [429] * 3
    assert int(answers[-1].headers["Retry-After"]) >= 1 and "wait" in answers[-1].text
    assert guesser.get("/in", query_string={"key": key_of(app)}).status_code == 429  # else guessing would not be slowed
    assert phone.get("/vehicles").status_code == 200
    bearer = {"Authorization": f"Bearer {key_of(app)}"}
    assert guesser.get("/vehicles", headers=bearer).status_code == 200
    paired(app, key_of(app), "192.168.1.67")  # and nobody else has to wait


@pytest.mark.parametrize("way", ["bearer", "cookie"])
def test_guesses_by_header_or_cookie_count_too(app: Flask, stranger: FlaskClient, way: str):
    statuses = []
    for number in range(FREE + 2):
        if way == "cookie":
            stranger.set_cookie(pairing_of(app).cookie, f"guess-{number}")
        headers = {"Authorization": f"Bearer guess-{number}"} if way == "bearer" else {}
        answer = stranger.get("/vehicles", headers=headers)
        statuses.append(answer.status_code)
    assert statuses == [401] * FREE + [429] * 2 and answer.json["error"].endswith(".")


def test_guesses_in_a_change_without_origin_count_too(app: Flask):
    guesser = app.test_client()
    statuses = []
    for number in range(FREE + 2):
        answer = guesser.post("/vehicles", json={}, headers={"Authorization": f"Bearer guess-{number}"})
        statuses.append(answer.status_code)
    assert statuses == [401] * FREE + [429] * 2


def test_asking_without_any_key_is_no_guess(app: Flask, stranger: FlaskClient):
    for _ in range(FREE * 3):
        assert stranger.get("/vehicles").status_code == 401
        assert stranger.get("/in").status_code == 403
    assert paired(app, key_of(app))


def test_each_wait_is_twice_the_last_and_ends():
    now = [0.0]
    guesses = Guesses(clock=lambda: now[0])
    waits = []
    for _ in range(FREE + 9):
        waits.append(guesses.missed("192.168.1.66"))
        if waits[-1]:
            assert guesses.missed("192.168.1.66") == waits[-1]  # a try during the wait prolongs nothing
        now[0] += waits[-1]
        assert guesses.wait("192.168.1.66") == 0
    assert waits == [0] * FREE + [1, 2, 4, 8, 16, 32, LONGEST_SECONDS, LONGEST_SECONDS, LONGEST_SECONDS]
    now[0] += FORGOTTEN_SECONDS + 1
    assert guesses.missed("192.168.1.66") == 0


def test_the_memory_of_guesses_is_bounded():
    guesses = Guesses(clock=lambda: 0.0)
    for number in range(MOST_ADDRESSES * 3):
        guesses.missed(f"10.{number // 65536}.{number // 256 % 256}.{number % 256}")
    assert len(guesses) == MOST_ADDRESSES


def test_an_ipv6_network_counts_as_one_guesser_and_a_mapped_address_as_its_own():
    guesses = Guesses(clock=lambda: 0.0)
    for number in range(FREE + 1):
        guesses.missed(f"fd00:1:2:3::{number:x}")
        guesses.missed(f"::ffff:192.168.1.{number}")
    assert guesses.wait("fd00:1:2:3:9:9:9:9") == 1 and guesses.wait("fd00:1:2:4::1") == 0
    assert guesses.wait("192.168.1.1") == 0 and len(guesses) == FREE + 2


def test_both_keys_are_compared_in_constant_time_and_each_time(app: Flask, monkeypatch: pytest.MonkeyPatch):
    from capture import pairing

    compared = []
    monkeypatch.setattr(pairing.secrets, "compare_digest", lambda one, other: compared.append((one, other)) or False)
    pairing_of(app).fitting(key_of(app))
    keys = {key_of(app).encode(), pairing_of(app).guest_key.encode()}
    assert {other for _, other in compared} == keys and len(compared) == 2
