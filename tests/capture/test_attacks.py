"""What somebody uninvited on the network, or a page on the web, may try: one test each, against the real parts.

Rebinding, cross-site posts, guessed keys, traversal, markup and strange signs in names, deep and huge JSON, bodies that
never end. That names are escaped on every page, that guesses are slowed and that a stranger sees nothing stands in
`test_every_address` and `test_pairing`; here are the ways round them.
"""

from __future__ import annotations

import gzip
import io
import json
import re
import socket
import time
import urllib.error
import urllib.request
import zipfile
from html.parser import HTMLParser
from typing import Any

import pytest
from flask import Flask
from flask.testing import FlaskClient
from PIL import Image

from capture.door_words import NO_REQUEST
from capture.guards import GUARDS
from capture.serve import READ_PAST
from capture.store import Store
from capture.vehicle_file import VehicleFile, check_entries
from tests.capture.test_every_address import addresses
from tests.capture.test_picture import a_png_header
from tests.capture.test_picture import sent as saved
from tests.conftest import LiveServer, reading_object, vehicle_object

DEEP = 100_000
SIGNS = "‮" + "⁦" + "\u200f" + "﻿" + "\u0301" * 40 + "\U0001f6fb" + "\x07" + "\u2028"
MARKUP = [
    "<script>alert(1)</script>",
    '"><img src=x onerror=alert(1)>',
    "' onmouseover='alert(1)",
    "</title><svg onload=alert(1)>",
    "{{7*7}}${7*7}#{7*7}",
    "</script><script>alert(1)</script>",
    "<!--",
    "&lt;b&gt;",
    "javascript:alert(1)",
    "x" * 10_000,
    SIGNS,
    "%3Cscript%3E",
    "\\u003cscript\\u003e",
]


class _Page(HTMLParser):
    """What in a page a browser would run."""

    def __init__(self) -> None:
        super().__init__()
        self.live: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        told = dict(attrs)
        self.live += [
            f"{tag} {name}"
            for name, value in attrs
            if name.startswith("on") or name == "style" or (value or "").strip().startswith("javascript:")
        ]
        if (
            tag == "script"
            and told.get("type") != "application/json"
            and not (told.get("src") or "").startswith("/static/")
        ):
            self.live.append("script")
        if tag in ("img", "iframe", "object", "embed", "base"):
            self.live.append(tag)

    def handle_comment(self, data: str) -> None:
        self.live.append("comment")


def live_parts(page: str) -> list[str]:
    """Every part of the page that came to life; ours have none of these."""
    found = _Page()
    found.feed(page)
    return found.live


def entries_of(store: Store) -> int:
    return sum(line.entries for line in store.vehicles())


# A page on the web that points its own name at this machine, or posts from another place.


@pytest.mark.parametrize(
    "host",
    [
        "evil.example",
        "evil.example:80",
        "localhost.evil.example",
        "localhost@evil.example",
        "localhost, evil.example",
        "localhost evil.example",
        "evil.example#localhost",
        "127.0.0.1.evil.example",
        "0.0.0.0",
        "2130706433",
        "[::ffff:7f00:1]",
        "localhost:80:80",
        "LOCALHOST.",
        "",
    ],
)
def test_rebinding_a_name_shows_nothing_and_changes_nothing(
    client: FlaskClient, store: Store, vehicle_id: str, host: str
):
    headers = {"Host": host, "Origin": f"http://{host}"}
    post = client.post(f"/vehicles/{vehicle_id}/entries", json={"entries": [reading_object(1)]}, headers=headers)
    for answer in (client.get("/vehicles", headers=headers), client.get("/", headers=headers), post):
        assert answer.status_code == 421 and "Test truck" not in answer.text
    assert entries_of(store) == 0


def test_no_forwarding_header_is_believed(client: FlaskClient):
    for name in ("X-Forwarded-Host", "X-Host", "Forwarded", "X-Original-Host"):
        answer = client.get("/vehicles", headers={"Host": "evil.example", name: "localhost"})
        assert answer.status_code == 421


@pytest.mark.parametrize(
    "kind", ["text/plain", "application/x-www-form-urlencoded", "multipart/form-data; boundary=x", ""]
)
@pytest.mark.parametrize("origin", ["http://evil.example", "null", None, "http://localhost:8080"])
def test_a_form_on_another_site_posts_nothing_though_the_browser_sends_the_cookie(
    client: FlaskClient, app: Flask, store: Store, vehicle_id: str, kind: str, origin: str | None
):
    client.environ_base.pop("HTTP_ORIGIN")
    headers = {"Content-Type": kind, "Referer": "http://localhost/", **({"Origin": origin} if origin else {})}
    body = json.dumps({"entries": [reading_object(1)]})
    for address in addresses(app, "POST", vehicle_id, "x"):
        assert client.post(address, data=body, headers=headers).status_code == 403, address
    assert entries_of(store) == 0 and len(store.vehicles()) == 1


def test_another_method_is_no_way_round(client: FlaskClient, store: Store, vehicle_id: str):
    body = json.dumps({"entries": [reading_object(1)]})
    for method in ("PUT", "PATCH", "DELETE", "TRACE", "CONNECT", "PROPFIND", "post", "GET"):
        for headers in ({}, {"X-HTTP-Method-Override": "POST"}, {"Origin": "http://evil.example"}):
            answer = client.open(f"/vehicles/{vehicle_id}/entries", method=method, data=body, headers=headers)
            assert answer.status_code in (200, 403, 404, 405) and (answer.status_code != 200 or method == "post")
    assert entries_of(store) <= 1
    assert client.get(f"/vehicles/{vehicle_id}/entries?_method=POST").status_code == 405


def test_no_answer_lets_another_site_read_it(client: FlaskClient, vehicle_id: str):
    for path in ("/", "/vehicles", f"/vehicles/{vehicle_id}/file"):
        for answer in (client.get(path, headers={"Origin": "http://evil.example"}), client.options(path)):
            assert not [name for name, _ in answer.headers if name.lower().startswith("access-control")]


# The ways to files.


@pytest.mark.parametrize(
    "path",
    [
        "/static/../capture/store.py",
        "/static/..%2fcapture%2fstore.py",
        "/static/%2e%2e/%2e%2e/etc/passwd",
        "/static//etc/passwd",
        "/static/..\\..\\capture\\store.py",
        "/static/%5c..%5cpyproject.toml",
        "/static/vendor/../../pyproject.toml",
        "/static/C:/windows/win.ini",
        "/static/plumbtack.css%00.js",
        "/static/plumbtack.css/../../pyproject.toml",
        "/static/....//pyproject.toml",
        "/static/%252e%252e/pyproject.toml",
        "/../pyproject.toml",
        "/vehicles/..%2f..%2fetc%2fpasswd/file",
        "/vehicles/%2e%2e/file",
        "/vehicles/plumbtack.sqlite3/file",
        "/plumbtack.sqlite3",
        "/backups/",
        "/static/../../data/plumbtack.sqlite3",
    ],
)
def test_no_path_reaches_a_file_it_should_not(client: FlaskClient, path: str):
    answer = client.get(path)
    assert answer.status_code in (404, 308) and "root:" not in answer.text and "[project]" not in answer.text
    assert "import sqlite3" not in answer.text and b"SQLite format" not in answer.data


def test_a_files_own_name_is_text_and_no_path(client: FlaskClient, store: Store):

    for name in (
        "../../evil.json",
        "/etc/passwd",
        "C:\\x.json",
        "<script>alert(1)</script>.json",
        "x" * 3000,
        "\0",
        "‮nosj",
    ):
        answer = client.post("/import", data={"file": (io.BytesIO(b"{}"), name)})
        assert answer.status_code == 422 and "<script>alert" not in answer.text and len(answer.text) < 20_000
    assert store.vehicles() == [] and {path.name for path in store.folder.iterdir()} <= {
        "plumbtack.sqlite3",
        "plumbtack.sqlite3-wal",
        "plumbtack.sqlite3-shm",
    }


# What a name or a note may hold.


@pytest.mark.parametrize("hostile", MARKUP, ids=range(len(MARKUP)))
def test_markup_and_strange_signs_are_shown_as_text_everywhere(
    app: Flask, client: FlaskClient, store: Store, hostile: str
):
    vehicle_id = store.create(VehicleFile.model_validate(vehicle_object(name=hostile[:200])))
    taken = [
        reading_object(1, note=hostile, text=hostile[:200], unit=hostile[:200], state="ride"),
        reading_object(2, 700.0, state=hostile[:200]),
        {"id": "note-000001", "at": "2026-05-02T09:14:07Z", "type": "note", "note": hostile},
        {"id": "withdraw-01", "at": "2026-05-02T09:14:07Z", "type": "withdraw", "of": "entry-000001", "note": hostile},
    ]
    store.add_entries(vehicle_id, check_entries(taken, store.head(vehicle_id)))
    for address in ["/", *addresses(app, "GET", vehicle_id, "x")]:
        answer = client.get(address)
        assert answer.status_code < 500, address
        if "text/html" in answer.content_type:
            assert live_parts(answer.text) == [], address
            assert not any(worked_out in answer.text for worked_out in (">49<", "${49}", "#{49}")), address
    file = client.get(f"/vehicles/{vehicle_id}/file")
    assert [entry.get("note") for entry in file.json["entries"]] == [hostile, "", hostile, hostile]
    assert file.json["name"] == hostile[:200]


def test_ten_thousand_characters_are_kept_and_one_more_is_refused(client: FlaskClient, vehicle_id: str):
    for length, status in ((10_000, 200), (10_001, 422)):
        sent = {"entries": [reading_object(length, note="‮" * length)]}
        assert client.post(f"/vehicles/{vehicle_id}/entries", json=sent).status_code == status


# What the JSON may hold.


def hostile_bodies() -> dict[str, bytes]:
    one = json.dumps(reading_object(1))
    return {
        "deep lists": b'{"entries": ' + b"[" * DEEP + b"]" * DEEP + b"}",
        "deep objects": b'{"entries":' + b'{"a":' * DEEP + b"1" + b"}" * (DEEP + 1),
        "deep and cut off": b"[" * DEEP,
        "huge whole number": b'{"entries": [' + one.replace("612.5", "9" * 400_000).encode() + b"]}",
        "huge power": b'{"entries": [' + one.replace("612.5", "1e400").encode() + b"]}",
        "tiny power": b'{"entries": [' + one.replace("612.5", "-1e-400000000000").encode().replace(b'"-', b'"') + b"]}",
        "not a number": b'{"entries": [' + one.replace("612.5", "NaN", 1).encode() + b"]}",
        "without end": b'{"entries": [' + one.replace("612.5", "-Infinity", 1).encode() + b"]}",
        "overlong id": b'{"entries": [' + one.replace("entry-000001", "a" * 65).encode() + b"]}",
        "megabyte id": b'{"entries": [' + one.replace("entry-000001", "a" * 1_000_000).encode() + b"]}",
        "id with a path": b'{"entries": [' + one.replace("entry-000001", "../../../x").encode() + b"]}",
        "id of other digits": b'{"entries": [' + one.replace("entry-000001", "١٢٣٤٥٦٧٨").encode() + b"]}",
        "id with a line": b'{"entries": [' + one.replace("entry-000001", "entry-001\\n").encode() + b"]}",
        "many keys": json.dumps({"entries": [dict.fromkeys(map(str, range(100_000)), 1)]}).encode(),
        "the same key again and again": b"{" + b'"entries": [], ' * 10_000 + b'"entries": []}',
        "half a sign": b'{"entries": [' + one.replace('"note": ""', '"note": "\\ud800"').encode() + b"]}",
        "another encoding": json.dumps({"entries": [reading_object(1)]}).encode("utf-16"),
        "yet another": json.dumps({"entries": [reading_object(1)]}).encode("utf-32"),
        "broken encoding": b'{"entries": ["\xff\xfe\xc3\x28"]}',
        "overlong encoding": b'{"entries": ["\xc0\xaf"]}',
        "zeros": b"\0" * 100_000,
        "packed": gzip.compress(b'{"entries": []}'),
    }


@pytest.mark.parametrize("name", hostile_bodies())
def test_a_hostile_body_is_refused_in_one_sentence_and_at_once(
    client: FlaskClient, store: Store, vehicle_id: str, name: str
):
    body = hostile_bodies()[name]
    for address in (f"/vehicles/{vehicle_id}/entries", "/vehicles"):
        began = time.monotonic()
        answer = client.post(address, data=body, content_type="application/json")
        if name == "tiny power" and answer.status_code == 200:  # so small that it is nothing: a plain 0
            continue
        assert answer.status_code in (413, 422), answer.text[:300]
        said = answer.json["error"]
        assert said.endswith(".") and "\n" not in said and len(said) < 500 and said.isprintable()
        assert time.monotonic() - began < 10
    assert entries_of(store) <= (name == "tiny power") and len(store.vehicles()) == 1


def test_a_packed_body_is_not_unpacked(client: FlaskClient, store: Store, vehicle_id: str):

    bomb = gzip.compress(b" " * 50_000_000)
    headers = {"Content-Encoding": "gzip", "Content-Type": "application/json"}
    assert client.post(f"/vehicles/{vehicle_id}/entries", data=bomb, headers=headers).status_code == 422
    assert entries_of(store) == 0


# Files that are more than they seem.


def zip_of(*members: tuple[str, bytes]) -> bytes:
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as made:
        for name, content in members:
            made.writestr(name, content)
    return out.getvalue()


VEHICLE = ("vehicle.json", json.dumps(vehicle_object()).encode())


def a_bomb() -> bytes:
    return zip_of(("photos/photo-000001.jpg", b"\0" * 100_000_000), VEHICLE)


HOSTILE_ZIPS = {
    "a bomb": a_bomb,
    "a bomb that says it is small": lambda: a_bomb().replace((100_000_000).to_bytes(4, "little"), b"\x0a\0\0\0"),
    "a bomb for a vehicle": lambda: zip_of(("vehicle.json", b" " * 100_000_000)),
    "a zip in a zip": lambda: zip_of(("vehicle.json", zip_of(VEHICLE))),
    "deep JSON": lambda: zip_of(("vehicle.json", b"[" * DEEP)),
    "many files": lambda: zip_of(VEHICLE, *((f"photos/photo-{number:06d}.jpg", b"") for number in range(3_000))),
    "a way up": lambda: zip_of(VEHICLE, ("../../photos/photo-000001.jpg", b"x")),
    "a way to the root": lambda: zip_of(VEHICLE, ("/photos/photo-000001.jpg", b"x")),
    "another system's way": lambda: zip_of(VEHICLE, ("photos\\..\\photo-000001.jpg", b"x")),
    "nothing": lambda: zip_of(),
    "cut off": lambda: a_bomb()[:1000],
}


@pytest.mark.parametrize("name", HOSTILE_ZIPS)
def test_a_hostile_zip_is_refused_in_one_sentence_and_leaves_nothing_behind(
    client: FlaskClient, store: Store, name: str
):
    before = {path.name for path in store.folder.iterdir()}
    answer = client.post("/import", data={"file": (io.BytesIO(HOSTILE_ZIPS[name]()), "truck.zip")})
    said = re.search(r'role="alert".*?<span>(.*?)</span>', answer.text, re.S)
    assert answer.status_code == 422 and said and said[1].strip().endswith("."), answer.text[-800:]
    assert store.vehicles() == [] and {path.name for path in store.folder.iterdir()} == before


@pytest.mark.parametrize("name", ["65,000 by 65,000", "progressive", "no end", "a page", "a script"])
def test_a_picture_bomb_is_not_decoded_and_leaves_nothing_behind(
    client: FlaskClient, store: Store, vehicle_id: str, name: str
):
    content = {
        "65,000 by 65,000": a_png_header(65_000, 65_000),
        "progressive": saved(Image.new("L", (8000, 8000)), progressive=True),
        "no end": saved(Image.new("L", (800, 800)))[:-100],
        "a page": b"\xff\xd8\xff<html><script>alert(1)</script>",
        "a script": b"<svg xmlns='http://www.w3.org/2000/svg' onload='alert(1)'/>",
    }[name]
    form = {"id": "photo-000001", "stage": "mock_up", "picture": (io.BytesIO(content), "1.jpg")}
    answer = client.post(f"/vehicles/{vehicle_id}/photos", data=form, headers={"Accept": "application/json"})
    assert answer.status_code == 422 and answer.json["error"].endswith(".")
    assert entries_of(store) == 0 and not store.photos(vehicle_id)


# On the wire: what only a real server shows.


def talked(server: LiveServer, sent: bytes, wait: float = 15.0, whole: bool = False) -> bytes:
    """The answer to raw bytes, up to the end or the first pause; of one not wanted whole the head will do."""
    with socket.create_connection((server.host, server.port), timeout=wait) as line:
        line.sendall(sent)
        found = b""
        line.settimeout(wait)
        try:
            while (whole or b"\r\n\r\n" not in found) and (part := line.recv(65536)):
                found += part
        except (TimeoutError, ConnectionError):
            pass
        return found


def head_of(server: LiveServer, path: str = "/vehicles", **headers: Any) -> bytes:
    told = {"Host": f"{server.host}:{server.port}", "Authorization": f"Bearer {server.key}", **headers}
    return (f"GET {path} HTTP/1.1\r\n" + "".join(f"{name}: {value}\r\n" for name, value in told.items())).encode()


def test_what_is_wrong_on_the_wire_is_refused_and_the_server_goes_on(live_server: LiveServer):
    host = f"Host: {live_server.host}:{live_server.port}\r\n".encode()
    key = f"Authorization: Bearer {live_server.key}\r\n".encode()
    raw = [
        b"\0\0\0\r\n\r\n",
        b"GET\r\n\r\n",
        b"GET / HTTP/9.9\r\n\r\n",
        b"\xff\xfe /\r\n\r\n",
        b"\r\n" * 1000 + b"\r\n\r\n",
        b"GET /" + b"a" * 300_000 + b" HTTP/1.1\r\n" + host + b"\r\n",
        b"GET / HTTP/1.1\r\n" + host + b"X-Long: " + b"a" * 300_000 + b"\r\n\r\n",
        b"GET / HTTP/1.1\r\n" + host + b"".join(b"X-%d: 1\r\n" % number for number in range(30_000)) + b"\r\n",
        b"GET / HTTP/1.1\r\nHost: a\r\nHost: b\r\n\r\n",
        b"GET / HTTP/1.1\r\nHost: a\r\n folded\r\n\r\n",
        b"GET http://evil.example/ HTTP/1.1\r\nHost: evil.example\r\n\r\n",
        b"GET http://[ HTTP/1.1\r\n" + host + b"\r\n",
        b"POST /vehicles HTTP/1.1\r\n" + host + key + b"Content-Length: -5\r\n\r\n",
        b"POST /vehicles HTTP/1.1\r\n"
        + host
        + key
        + b"Content-Length: 5\r\nTransfer-Encoding: chunked\r\n\r\nzzzz\r\n\r\n",
        b"POST /vehicles HTTP/1.1\r\n" + host + key + b"Transfer-Encoding: chunked\r\n\r\nffffffffff\r\n\r\n",
        b"POST /vehicles HTTP/1.1\r\n" + host + key + b"Content-Length: 99999999999\r\n\r\n",
    ]
    for sent in raw:
        answer = talked(live_server, sent, wait=5)
        status = answer.split(b" ", 2)[1] if answer.startswith(b"HTTP/") else b""
        assert status == b"" or status[:1] == b"4" or status == b"501", (sent[:80], answer[:200])
        assert b"Traceback" not in answer and b"waitress" not in answer.lower()
    assert live_server.ask("/vehicles") == []
    live_server.stop()
    assert "Traceback" not in live_server.said and "uncaptured" not in live_server.said


def test_what_is_refused_before_the_program_sees_it_carries_the_guards_and_one_sentence(live_server: LiveServer):
    for line in (b"GET\r\n\r\n", b"GET http://[ HTTP/1.1\r\n\r\n", b"GET / HTTP/1.1\r\nHost : x\r\n\r\n"):
        answer = talked(live_server, line, wait=5, whole=True).decode()
        head, _, said = answer.partition("\r\n\r\n")
        assert "400 Bad Request" in head, answer
        for name, value in GUARDS.items():
            assert f"\r\n{name}: {value}" in head
        assert said == f"{NO_REQUEST}\n" and NO_REQUEST.count(".") == 2  # of HTTP/1.1 and at its end


OTHER_NAMES = [
    ("/vehicles", "HERE", 200),
    ("http://HERE/vehicles", "HERE", 200),
    ("HTTP://HERE/vehicles?x#y", "HERE", 200),
    ("http://evil.example/vehicles", "HERE", 421),
    ("http://HERE@evil.example/vehicles", "HERE", 421),
    ("http://evil.example#HERE/vehicles", "HERE", 421),
    ("http:///vehicles", "HERE", 421),
    ("http://HERE/vehicles", "evil.example", 421),
    ("//evil.example/vehicles", "HERE", 404),
    ("/vehicles", "HERE\xa0", 421),
    ("/vehicles", "\x85HERE", 421),
    ("/vehicles", "HERE\r\nHost: evil.example", 421),
    ("/vehicles", "evil.example\r\nHost: HERE", 421),
    ("/vehicles", "HERE\r\nHost: HERE", 421),
]


def test_no_other_name_gets_in_by_the_request_line_or_a_second_host(live_server: LiveServer):
    here = f"{live_server.host}:{live_server.port}"
    key = f"Authorization: Bearer {live_server.key}\r\nConnection: close\r\n\r\n"
    for line, host, status in OTHER_NAMES:
        sent = f"GET {line} HTTP/1.1\r\nHost: {host}\r\n{key}".replace("HERE", here)
        answer = talked(live_server, sent.encode("latin-1"))
        assert answer.startswith(f"HTTP/1.1 {status} ".encode()), (line, host, answer[:100])


def posted(server: LiveServer, path: str, body: bytes, key: str) -> tuple[int, str]:
    """Status and text of the answer to this body, sent with this key."""
    asked = urllib.request.Request(
        server.base + path, data=body, headers={"Authorization": f"Bearer {key}", "Content-Type": "application/json"}
    )
    try:
        with urllib.request.urlopen(asked, timeout=60) as answer:
            return answer.status, answer.read().decode()
    except urllib.error.HTTPError as refused:
        return refused.code, refused.read().decode()


def test_a_body_far_too_large_is_refused_in_words_and_not_by_a_cut_line(live_server: LiveServer):
    for path in ("/import", "/vehicles"):
        status, said = posted(live_server, path, b" " * 80_000_000, live_server.key)
        assert status == 413 and "smaller" in said, said[-300:]


def test_who_has_no_key_and_sends_a_lot_is_answered_like_any_other_stranger(live_server: LiveServer):
    status, said = posted(live_server, "/vehicles", b" " * 10_000_000, "guessed")
    assert status == 401 and "key is missing" in said


def test_bodies_that_never_end_keep_nobody_waiting(live_server: LiveServer):
    vehicle_id = live_server.ask("/vehicles", vehicle_object())["id"]
    path = f"/vehicles/{vehicle_id}/entries"
    slow = []
    for _ in range(40):  # more than there are threads
        line = socket.create_connection((live_server.host, live_server.port), timeout=5)
        line.sendall(head_of(live_server, path, **{"Content-Length": 1000}).replace(b"GET", b"POST", 1) + b'\r\n{"entr')
        slow.append(line)
    for line in slow[:10]:
        line.sendall(b"ies")
    began = time.monotonic()
    assert live_server.ask(path, {"entries": [reading_object(1)]}) == {"stored": ["entry-000001"]}
    assert time.monotonic() - began < 5
    for line in slow:
        line.close()
    assert len(live_server.ask(f"/vehicles/{vehicle_id}/file")["entries"]) == 1


def test_hundreds_of_lines_on_which_nothing_comes_keep_nobody_out(live_server: LiveServer):
    idle = [socket.create_connection((live_server.host, live_server.port), timeout=5) for _ in range(250)]
    began = time.monotonic()
    assert live_server.ask("/vehicles") == [] and time.monotonic() - began < 5
    for line in idle:
        line.close()


def test_an_oversized_body_is_413_on_the_wire_and_stores_nothing(live_server: LiveServer):
    sent = head_of(live_server, **{"Content-Length": 2 * READ_PAST}).replace(b"GET", b"POST", 1) + b"\r\n"
    answer = talked(live_server, sent)
    assert answer.startswith(b"HTTP/1.1 413")
    assert live_server.ask("/vehicles") == []
