"""Host, Origin, the content policy, caching and packing."""

from __future__ import annotations

import gzip
import re
from pathlib import Path

import pytest
from flask import Flask
from flask.testing import FlaskClient

from capture import create_app, places
from capture.guards import CONTENT_POLICY
from capture.settings import Settings
from capture.static_files import static_url
from tests.conftest import reading_object, vehicle_object


@pytest.mark.parametrize(
    "path", ["/", "/vehicles", "/nowhere", "/in?key=x", "/static/plumbtack.css", "/static/nothing"]
)
def test_every_answer_carries_the_guarding_headers(client: FlaskClient, stranger: FlaskClient, path: str):
    for who in (client, stranger):
        headers = who.get(path).headers
        assert headers["Content-Security-Policy"] == CONTENT_POLICY
        assert headers["X-Content-Type-Options"] == "nosniff"
        assert headers["Referrer-Policy"] == "same-origin"
        assert headers["X-Frame-Options"] == "DENY"


def test_the_content_policy_allows_nothing_inline_and_nothing_from_outside():
    rules = dict(rule.strip().split(" ", 1) for rule in CONTENT_POLICY.split(";"))
    assert rules["default-src"] == "'none'" and rules["frame-ancestors"] == "'none'" and rules["base-uri"] == "'none'"
    assert rules["script-src"] == rules["style-src"] == rules["connect-src"] == rules["form-action"] == "'self'"
    assert "unsafe" not in CONTENT_POLICY and "http" not in CONTENT_POLICY and "*" not in CONTENT_POLICY


@pytest.mark.parametrize("host", ["evil.example", "localhost:9999", "localhost.evil.example", "", "127.0.0.1", "[::1"])
def test_a_host_we_never_gave_out_is_421(client: FlaskClient, host: str):
    for path in ("/", "/vehicles", "/static/plumbtack.css"):
        answer = client.get(path, headers={"Host": host})
        assert answer.status_code == 421


def test_the_hosts_we_gave_out_are_answered_with_their_port(tmp_path: Path):
    app = create_app(Settings(tmp_path, allowed_hosts=("192.168.1.20:8021", "[::1]:8021", "Bench:80")))
    client = app.test_client()
    for host in ("192.168.1.20:8021", "[::1]:8021", "bench", "BENCH:80"):
        assert client.get("/static/plumbtack.css", headers={"Host": host}).status_code == 200, host
    for host in ("192.168.1.20", "192.168.1.20:80", "[::1]", "bench:8021"):
        assert client.get("/static/plumbtack.css", headers={"Host": host}).status_code == 421, host
    app.extensions["plumbtack"].store.close()


@pytest.mark.parametrize("origin", [
    "null", "", "http://evil.example", "https://localhost", "http://localhost:8080", "http://localhost.evil.example",
    "localhost", "http://localhost/", "file://",
])  # fmt: skip
def test_a_change_from_another_origin_is_refused(client: FlaskClient, vehicle_id: str, origin: str):
    answer = client.post(
        f"/vehicles/{vehicle_id}/entries", json={"entries": [reading_object(1)]}, headers={"Origin": origin}
    )
    assert answer.status_code == 403
    assert client.get("/vehicles").json[0]["entries"] == 0


def test_a_change_without_origin_needs_the_key_itself(app: Flask, client: FlaskClient):
    del client.environ_base["HTTP_ORIGIN"]
    assert client.post("/vehicles", json=vehicle_object()).status_code == 403
    bearer = {"Authorization": f"Bearer {app.extensions['plumbtack'].pairing.key}"}
    assert client.post("/vehicles", json=vehicle_object(), headers=bearer).status_code == 201
    bearer["Origin"] = "http://evil.example"
    assert client.post("/vehicles", json=vehicle_object(), headers=bearer).status_code == 403


def test_what_has_no_tag_is_never_kept_by_the_browser(client: FlaskClient, vehicle_id: str):
    for path in (f"/vehicles/{vehicle_id}/fresh?room=walk", "/let-in", "/nowhere", "/vehicles/0000000000000000/file"):
        headers = client.get(path).headers
        assert headers["Cache-Control"] == "no-store" and "ETag" not in headers, path


def test_a_static_file_is_kept_for_ever_under_the_address_of_its_content(client: FlaskClient):
    address = static_url("plumbtack.css")
    assert re.fullmatch(r"/static/plumbtack\.css\?v=[0-9a-f]{12}", address)
    answer = client.get(address)
    assert answer.headers["Cache-Control"] == "public, max-age=31536000, immutable"
    assert answer.content_type == "text/css; charset=utf-8"
    assert answer.data == (places.static_folder() / "plumbtack.css").read_bytes()
    assert client.get("/static/plumbtack.css?v=000000000000").headers["Cache-Control"] == "no-cache"


def test_a_changed_static_file_has_another_address(tmp_path: Path, monkeypatch: pytest.MonkeyPatch):
    monkeypatch.setattr(places, "static_folder", lambda: tmp_path)
    (tmp_path / "a-script.js").write_text("one")
    first = static_url("a-script.js")
    (tmp_path / "a-script.js").write_text("another")
    assert static_url("a-script.js") != first


@pytest.mark.parametrize("name", ["../pyproject.toml", "..%2f..%2fpyproject.toml", "%2e%2e/store.py", "/etc/passwd",
                                  "vendor", "", "%00", "nothing.css", "x" * 5000])  # fmt: skip
def test_no_path_leads_out_of_the_static_folder(client: FlaskClient, name: str):
    assert client.get(f"/static/{name}").status_code in (404, 308)


def test_scripts_are_scripts_on_every_machine(client: FlaskClient):
    scripts = sorted(places.static_folder().rglob("*.js"))
    assert scripts
    for path in scripts:
        answer = client.get(static_url(path.relative_to(places.static_folder()).as_posix()))
        assert answer.content_type == "text/javascript; charset=utf-8"


def test_text_goes_packed_to_who_can_unpack_it(client: FlaskClient, vehicle_id: str):
    client.post(f"/vehicles/{vehicle_id}/entries", json={"entries": [reading_object(n) for n in range(30)]})
    for path in (f"/vehicles/{vehicle_id}/file", static_url("plumbtack.css")):
        plain = client.get(path)
        packed = client.get(path, headers={"Accept-Encoding": "gzip, br"})
        assert "Content-Encoding" not in plain.headers
        assert packed.headers["Content-Encoding"] == "gzip" and "Accept-Encoding" in packed.headers["Vary"]
        assert gzip.decompress(packed.data) == plain.data
        assert len(packed.data) < len(plain.data) / 2
        assert int(packed.headers["Content-Length"]) == len(packed.data)


def test_an_unchanged_static_file_is_304(client: FlaskClient):
    first = client.get("/static/plumbtack.css")
    again = client.get("/static/plumbtack.css", headers={"If-None-Match": first.headers["ETag"]})
    assert again.status_code == 304 and again.data == b""


def test_our_own_fault_is_one_sentence_and_the_traceback_stays_on_the_laptop(
    client: FlaskClient, vehicle_id: str, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
):
    from capture.store import Store

    def broken(*_: object) -> None:
        raise ZeroDivisionError("secret detail")

    monkeypatch.setattr(Store, "vehicles", broken)
    answer = client.get("/vehicles")
    assert answer.status_code == 500 and "secret" not in answer.text and answer.json["error"].endswith(".")
    assert "ZeroDivisionError: secret detail" in capsys.readouterr().err
