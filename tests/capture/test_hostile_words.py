"""Whatever a person may type, in every field there is for it, on every page that a link leads to: shown as text and as
nothing else, in the sheet, the tables, the drawings, the JSON and in a terminal too."""

from __future__ import annotations

import csv
import html
import io
import json
import re
import urllib.parse
from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Any
from xml.etree import ElementTree

import pytest
from flask import Flask
from flask.testing import FlaskClient
from PIL import Image

from capture import compare_report, create_app, places, report
from capture.report_text import page as report_page
from capture.settings import Settings
from capture.table_text import harmless
from capture.vehicle_file import read_vehicle_file
from tests.capture.test_attacks import SIGNS, live_parts

MARKED = "<script>alert(1)</script>\"'><svg onload=alert(1)></title></svg>{{7*191}}${7*191}<!--\\u003cscript\\u003e"
STEERED = f"a\x1b[2J\x9b31m\x1b]0;b\x07\r\nforged: 1\x85{SIGNS}\ufffe"
SUMS = '=1+1;=2+2\t@SUM(1);-3";=4+4'
LONG = "W" * 10_000
HOSTILE = {"marked": MARKED, "steered": STEERED, "sums": SUMS, "long": LONG}
MOST_OF_A_KIND = 1
AT = "2027-05-03T09:00:00Z"


def vehicle_with(words: str) -> dict[str, Any]:
    """The demo truck, with these words wherever a person's own may stand."""
    found = json.loads(next(path for path in places.demo_vehicles() if "orchard" in path.name).read_bytes())
    line = words[:200]
    found["name"] = found["facts"]["tyre_size"] = line
    found["facts"].setdefault("joints", {})["upper"] = {"frame": {"made": line}}
    for entry in found["entries"]:
        entry["note"] = words
        if entry["type"] == "reading":
            entry["text"] = entry["unit"] = line
    box = {"low": [-10.0, -10.0, -40.0], "high": [10.0, 10.0, 40.0]}
    lifted = {"move": "point_by", "point": "upper.frame", "by": [0.0, 0.0, 12.0]}
    added: list[dict[str, Any]] = [
        {"type": "withdraw", "of": found["entries"][0]["id"]},
        {"type": "note"},
        {"type": "note", "reading": "height:lower_left.frame"},
        {"type": "move_plan", "name": line, "moves": [lifted], "keep_lengths": True},
        {"type": "holes", "point": "upper.frame", "places": [[0.0, 0.0, 0.0], [0.0, 0.0, 25.4]], "used": 0},
        {"type": "aims", "wants": [{"figure": "anti_dive", "low": 30.0, "high": 60.0}],
         "rooms": [{"point": "upper.frame", **box}], "keep_outs": [{"name": line, **box}]},
        {"type": "begin", "stage": "setting_1", "name": line},
        {"type": "reading", "stage": "setting_1", "reading": "height:lower_left.frame", "value": 612.0, "text": line,
         "unit": line, "state": line},
        {"type": "reading", "stage": "setting_1", "reading": "height:lower_right.frame", "value": 612.0},
    ]  # fmt: skip
    found["entries"] += [{"id": f"hostile-{at:06d}", "at": AT, **each, "note": words} for at, each in enumerate(added)]
    return found


@dataclass
class Read:
    """Every answer that a link leads to, by its address."""

    words: str
    vehicle: dict[str, Any]
    found: dict[str, Any] = field(default_factory=dict)
    logs: list[Any] = field(default_factory=list)
    """The vehicle before and after all of that was read."""

    def of_kind(self, kind: str) -> Iterator[tuple[str, Any]]:
        return ((address, answer) for address, answer in self.found.items() if kind in answer.content_type)


@pytest.fixture(scope="module", params=HOSTILE)
def read(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Read]:
    app: Flask = create_app(Settings(tmp_path_factory.mktemp("hostile") / "data"))
    client = app.test_client()
    client.environ_base["HTTP_ORIGIN"] = "http://localhost"
    client.get("/in", query_string={"key": app.extensions["plumbtack"].pairing.key})
    words = HOSTILE[request.param]
    made = client.post("/vehicles", json=vehicle_with(words))
    assert made.status_code == 201, made.text[:500]
    vehicle = f"/vehicles/{made.json['id']}"
    sent = {"id": "photo-000001", "stage": "mock_up", "point": "upper.frame", "note": words, "picture": a_photo(words)}
    assert client.post(f"{vehicle}/photos", data=sent).status_code == 303
    found = Read(words, vehicle_with(words))
    found.logs.append(client.get(f"{vehicle}/file").json)
    follow(client, found, ["/", f"{vehicle}/walk", f"{vehicle}/file", f"{vehicle}/report"])
    found.logs.append(client.get(f"{vehicle}/file").json)
    yield found
    app.extensions["plumbtack"].store.close()


def a_photo(words: str) -> tuple[io.BytesIO, str]:
    """A small picture; its file's own name is hostile too, but for line ends, which no browser sends in one."""
    out = io.BytesIO()
    Image.new("RGB", (40, 30)).save(out, "JPEG")
    out.seek(0)
    return out, re.sub(r"[\r\n]", "", words[:100]) + ".jpg"


def follow(client: FlaskClient, found: Read, waiting: list[str]) -> None:
    """Every page that a link leads to, of one kind no more than a few."""
    kinds: dict[str, int] = {}
    while waiting:
        address = waiting.pop(0)
        path, _, query = address.partition("?")
        kind = f"{path}?{sorted(part.partition('=')[0] for part in query.split('&'))}"
        if address in found.found or path.startswith(("/static", "/in")) or kinds.get(kind, 0) >= MOST_OF_A_KIND:
            continue
        kinds[kind] = kinds.get(kind, 0) + 1
        answer = found.found[address] = client.get(address)
        if "html" in answer.content_type:
            links = re.findall(r'\s(?:href|src|hx-get)="([^"#]*)[^"]*"', answer.text)
            waiting += [urllib.parse.urljoin(address, html.unescape(link)) for link in links
                        if link and not link.startswith("data:")]


def test_all_that_a_link_leads_to_was_read(read: Read):
    kinds = {answer.content_type.partition(";")[0] for answer in read.found.values()}
    assert kinds >= {"text/html", "text/csv", "image/svg+xml", "application/json", "image/jpeg", "application/zip"}
    assert len(read.found) > 100 and all(answer.status_code < 500 for answer in read.found.values())
    read_well = [address for address, answer in read.found.items() if answer.status_code == 200]
    for part in ("/cut/", "/behaviour/", "/plans", "/photos/", "/sheet", "/compare", "/what-if?", "/holes", "/aims"):
        assert any(part in address for address in read_well), part


def test_looking_changes_nothing(read: Read):
    before, after = read.logs
    assert before == after and len(before["entries"]) == len(read.vehicle["entries"]) + 1  # and the photo's


def test_nothing_typed_comes_to_life_on_a_page(read: Read):
    own_pictures = "img"  # photos, by their ids
    for address, answer in read.of_kind("text/html"):
        assert [one for one in live_parts(answer.text) if one != own_pictures] == [], address
        assert "<script>alert" not in answer.text and ">1337<" not in answer.text, address
        assert "unsafe" not in answer.headers["Content-Security-Policy"], address


def test_no_header_holds_what_was_typed(read: Read):
    named = 0
    for address, answer in read.found.items():
        if said := answer.headers.get("Content-Disposition"):
            assert re.fullmatch(r'attachment; filename="[a-z0-9.-]{1,120}"', said), address
            named += 1
        assert not any(sign in f"{name}{value}" for name, value in answer.headers for sign in "\r\n\x1b\u202e")
    assert named > 8


def test_no_cell_of_a_table_is_a_sum_whichever_sign_parts_the_cells(read: Read):
    for address, answer in read.of_kind("text/csv"):
        for mark in ",;\t":
            for row in csv.reader(io.StringIO(answer.text), delimiter=mark):
                for cell in row:
                    assert not re.match(r"[=@＝＠\t\r]|[-+＋－](?![0-9.]+$)", cell), (address, mark, cell[:40])


def test_a_drawing_is_one_that_opens(read: Read):
    drawings = list(read.of_kind("image/svg"))
    assert len(drawings) == 3
    for address, answer in drawings:
        kinds = {part.tag.rpartition("}")[2] for part in ElementTree.fromstring(answer.text).iter()}
        assert kinds <= {"svg", "title", "line", "circle", "text", "g", "path"}, address


def test_the_file_has_every_sign_as_it_was_typed(read: Read):
    file = next(answer for address, answer in read.of_kind("json") if address.endswith("/file")).json
    for key in ("name", "facts"):
        assert file[key] == read.vehicle[key]
    assert file["entries"][: len(read.vehicle["entries"])] == read.vehicle["entries"]


def test_no_page_in_a_terminal_steers_it_or_begins_a_line(read: Read):
    vehicle = read_vehicle_file(json.dumps(read.vehicle), "truck.json")
    compared = compare_report.build(vehicle, "mock_up", "setting_1")
    for page in (report_page(report.build(vehicle)), compare_report.page(compared)):
        assert all(line.isprintable() for line in page.split("\n"))
        assert page.split("\n")[1].startswith("==")  # the name is one line, whatever stands in it


@pytest.mark.parametrize(
    ("typed", "written"),
    [
        ("=1+1", "'=1+1"),
        ("-2 mm, worn", "'-2 mm, worn"),
        ("＝1+1", "'＝1+1"),
        ("\t=1", "'\t'=1"),
        ("a;=1;b", "a;'=1;b"),
        ("read twice; -2 the first time", "read twice; -2 the first time"),
        ("3 = 3", "3 = 3"),
        ("", ""),
    ],
)
def test_what_a_spreadsheet_would_work_out_has_a_mark_before_it(typed: str, written: str):
    assert harmless(typed) == written
