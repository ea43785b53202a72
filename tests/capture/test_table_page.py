"""Tables on a page: looked at before they are taken, taken whole or not at all, and nothing twice unasked."""

from __future__ import annotations

import csv
import html
import io
import json
import re
from pathlib import Path

import pytest
from flask.testing import FlaskClient

from tests.conftest import vehicle_object

ORCHARD = json.loads((Path(__file__).parents[2] / "demo_vehicles" / "orchard_truck.json").read_text(encoding="utf-8"))
TABLE = "reading,value (in),note\nheight:upper.frame,24 1/8,second look\nheight:upper.axle,22,\nheight:panhard.axle,,\n"


@pytest.fixture
def at(client: FlaskClient) -> str:
    return f"/vehicles/{client.post('/vehicles', json=vehicle_object()).json['id']}"


def entries(client: FlaskClient, at: str) -> list[dict]:
    return client.get(f"{at}/file").json["entries"]


def sent(client: FlaskClient, at: str, table: str | bytes, name: str = "more.csv", **fields: str):
    content = table if isinstance(table, bytes) else table.encode()
    return client.post(f"{at}/table", data={"file": (io.BytesIO(content), name), "stage": "mock_up", **fields},
                       content_type="multipart/form-data")


def hidden(page: str) -> dict[str, str]:
    """What the preview sends on, as a browser would: the first line end of a text area is none of its own."""
    content = re.search(r'<textarea name="content"[^>]*>\n(.*?)</textarea>', page, re.DOTALL)[1]
    fields = dict(re.findall(r'<input type="hidden" name="([^"]+)" value="([^"]*)"', page))
    return {**fields, "content": html.unescape(content).replace("\r\n", "\n").replace("\n", "\r\n")}


def test_a_table_is_shown_line_by_line_first_and_nothing_is_stored(client: FlaskClient, at: str):
    page = sent(client, at, TABLE)
    assert page.status_code == 200 and "2 lines read" in page.text and "1 line has no value" in page.text
    assert "typed “<bdi>24 1/8 in</bdi>”, mock-up" in page.text and "second look" in page.text
    assert "612.8 mm" in page.text and entries(client, at) == []


def test_taken_it_is_in_the_record_as_typed_and_twice_is_once(client: FlaskClient, at: str):
    fields = hidden(sent(client, at, TABLE, stage="tacked").text)
    answer = client.post(f"{at}/table/take", data=fields)
    assert answer.status_code == 303 and "2 readings taken in." in client.get(answer.location).text
    log = entries(client, at)
    assert [(one["reading"], one["value"], one["text"], one["unit"], one["stage"], one["note"]) for one in log] == [
        ("height:upper.frame", 612.775, "24 1/8", "in", "tacked", "second look"),
        ("height:upper.axle", 558.8, "22", "in", "tacked", ""),
    ]
    again = client.post(f"{at}/table/take", data=fields)
    assert "Nothing new in this table; 2 lines left out" in client.get(again.location).text
    assert "there is nothing to take" in sent(client, at, TABLE, stage="tacked").text
    assert entries(client, at) == log


def test_a_file_is_known_again_later_though_the_form_changed_its_line_ends(
    client: FlaskClient, at: str, monkeypatch: pytest.MonkeyPatch
):
    monkeypatch.setattr("capture.screens.table_page.moment_now", lambda: "2026-05-02T09:14:07Z")
    client.post(f"{at}/table/take", data=hidden(sent(client, at, TABLE).text))
    monkeypatch.setattr("capture.screens.table_page.moment_now", lambda: "2026-05-02T10:00:00Z")
    for content in (TABLE, TABLE.replace("\n", "\r\n")):
        assert "2 lines are in the record already" in sent(client, at, content).text


def test_the_same_table_at_another_stage_is_readings_of_that_stage(client: FlaskClient, at: str):
    for stage in ("mock_up", "tacked"):
        client.post(f"{at}/table/take", data=hidden(sent(client, at, TABLE, stage=stage).text))
    assert [entry["stage"] for entry in entries(client, at)] == ["mock_up"] * 2 + ["tacked"] * 2


def test_one_bad_line_is_told_and_nothing_of_the_table_is_taken(client: FlaskClient, at: str):
    bad = TABLE + "hight:upper.axle,22,\nheight:upper.axle,soon,\n"
    page = sent(client, at, bad)
    assert page.status_code == 422 and "Nothing of it was taken." in page.text
    assert "more.csv: line 5:" in page.text and "did you mean height" in page.text and "more.csv: line 6:" in page.text
    taken = client.post(f"{at}/table/take", data={"content": bad, "name": "more.csv", "stage": "mock_up"})
    assert taken.status_code == 422 and entries(client, at) == []


def test_pasted_lines_come_back_as_they_were_pasted(client: FlaskClient, at: str):
    page = client.post(f"{at}/table", data={"pasted": "reading,value\nheight:nowhere,<3>\n", "stage": "mock_up"})
    assert page.status_code == 422 and "height:nowhere,&lt;3&gt;" in page.text and "the table: line 2" in page.text
    assert "Look at it first" in page.text


def test_values_the_record_has_already_are_left_out_unless_they_were_read_twice(client: FlaskClient, at: str):
    client.post(f"{at}/entries", json={"entries": [
        {"id": "earlier-0001", "at": "2026-05-02T09:14:07Z", "stage": "mock_up", "type": "reading",
         "reading": "height:upper.axle", "value": 558.8}]})
    page = sent(client, at, TABLE).text
    assert "1 line says what the record says already" in page and "Take 1 reading in" in page
    fields = hidden(page)
    assert client.post(f"{at}/table/take", data=fields).location.endswith("?taken=1-1")
    assert [one["reading"] for one in entries(client, at)] == ["height:upper.axle", "height:upper.frame"]
    taken = client.post(f"{at}/table/take", data={**fields, "alike": "take"})
    assert taken.location.endswith("?taken=1-1") and len(entries(client, at)) == 3


def test_an_exported_table_brought_back_adds_nothing(client: FlaskClient):
    at = f"/vehicles/{client.post('/vehicles', json=ORCHARD).json['id']}"
    out = client.get(f"{at}/table/readings.csv")
    assert out.headers["Content-Disposition"] == 'attachment; filename="orchard-truck-invented-readings.csv"'
    assert "there is nothing to take" in sent(client, at, out.data).text


@pytest.mark.parametrize("encoding", ["utf-16", "cp1252", "utf-8-sig"])
def test_other_letters_are_read_and_what_is_not_sure_of_them_is_said(client: FlaskClient, at: str, encoding: str):
    table = "reading;value;note\r\nheight:upper.frame;612,5;Lücke\r\n"
    page = sent(client, at, table.encode(encoding)).text
    assert "Lücke" in page and ("read as Western European" in page) == (encoding == "cp1252")
    client.post(f"{at}/table/take", data=hidden(page))
    assert [(one["value"], one["note"]) for one in entries(client, at)] == [(612.5, "Lücke")]


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (b"", "there is nothing in it yet"),
        (b"reading,value\n" + b"height:upper.frame,612\n" * 20_000, "it is larger than 300 kB"),
        (b"PK\x03\x04\x00\x00", "a spreadsheet’s own file"),
        (b"reading,value,at\nheight:upper.frame,612,yesterday\n", "must be a time like"),
    ],
)
def test_what_is_no_table_is_refused_in_a_sentence(client: FlaskClient, at: str, content: bytes, said: str):
    page = sent(client, at, content)
    assert page.status_code == 422 and said in page.text and entries(client, at) == []


def test_a_stage_that_is_closed_takes_no_table(client: FlaskClient):
    from capture.fingerprint import fingerprint
    from capture.vehicle_file import read_vehicle_file

    log = read_vehicle_file(json.dumps(ORCHARD), "truck.json").entries
    close = {"id": "closed-00001", "at": "2026-06-01T08:00:00Z", "stage": "mock_up", "type": "close",
             "fingerprint": fingerprint(log)}
    made = client.post("/vehicles", json={**ORCHARD, "entries": [*ORCHARD["entries"], close]})
    at = f"/vehicles/{made.json['id']}"
    page = sent(client, at, TABLE)
    assert page.status_code == 422 and "closed" in page.text
    assert sent(client, at, TABLE, stage="tacked").status_code == 200


TO_TAKE = ("readings.csv", "blank.csv", "points.csv", "links.csv", "side.svg", "top.svg", "end.svg")


@pytest.mark.parametrize("name", TO_TAKE)
def test_everything_to_take_away_is_a_file_of_its_own(client: FlaskClient, name: str):
    at = f"/vehicles/{client.post('/vehicles', json=ORCHARD).json['id']}"
    assert f'href="{at}/table/{name}"' in client.get(f"{at}/table").text
    answer = client.get(f"{at}/table/{name}")
    assert answer.status_code == 200 and f"-{name}" in answer.headers["Content-Disposition"]
    if name.endswith(".csv"):
        rows = list(csv.reader(io.StringIO(answer.text)))
        assert len(rows) > 4 and {len(row) for row in rows} == {len(rows[0])}
    else:
        assert answer.text.startswith("<svg")
    assert client.get(f"{at}/table/other.csv").status_code == 404
