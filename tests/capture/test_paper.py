"""The walk on paper: each reading with its number, drawing and box; typed in afterwards by those numbers."""

from __future__ import annotations

import csv
import io
import json
import re
from pathlib import Path

import pytest
from flask.testing import FlaskClient

from capture.vehicle_file import read_vehicle_file
from capture.walk import MORE, walk_of
from tests.conftest import vehicle_object

DEMOS = sorted((Path(__file__).parents[2] / "demo_vehicles").glob("*.json"))
LAYOUTS = ("three_link_panhard", "four_link", "four_link_panhard", "radius_arms_panhard")


def made(client: FlaskClient, **changes: object) -> str:
    return f"/vehicles/{client.post('/vehicles', json=vehicle_object(**changes)).json['id']}"


def typing_fields(page: str) -> list[tuple[str, str]]:
    """(number, step) of every field."""
    return re.findall(r'<li id="line-(\d+)"><label for="text\.([^"]+)">', page)


@pytest.mark.parametrize("layout", LAYOUTS)
@pytest.mark.parametrize("axle", ["front", "rear"])
def test_paper_typing_page_and_blank_table_have_the_walk_in_one_order(client: FlaskClient, layout: str, axle: str):
    at = made(client, layout=layout, worked_axle=axle)
    walk = walk_of(layout, axle)
    asked = [step for station in walk.stations for step in walk.at(station.key) if step.priority != MORE]
    paper = client.get(f"{at}/paper").text
    assert re.findall(r'<b class="no">(\d+)\.</b>', paper) == [str(n + 1) for n in range(len(asked))]
    assert paper.count('class="box"') == len(asked) == paper.count("<figure>")
    assert typing_fields(client.get(f"{at}/paper/in").text) == [(str(n), s.key) for n, s in enumerate(asked, start=1)]
    blank = list(csv.DictReader(io.StringIO(client.get(f"{at}/table/blank.csv").text)))
    assert [row["reading"] for row in blank] == [step.reading for step in asked]


def test_the_whole_walk_is_there_on_request_with_numbers_of_its_own(client: FlaskClient):
    at = made(client)
    some, whole = client.get(f"{at}/paper").text, client.get(f"{at}/paper?whole").text
    assert whole.count('class="box"') == len(walk_of("three_link_panhard", "front").steps) > some.count('class="box"')
    assert f"{at}/paper/in?whole" in whole
    fields = typing_fields(client.get(f"{at}/paper/in?whole").text)
    assert len(fields) == whole.count('class="box"')


def test_the_drawings_on_paper_are_drawn_once_and_used_for_each(client: FlaskClient):
    page = client.get(f"{made(client)}/paper").text
    scenes = set(re.findall(r'<g id="(scene-\d+)"', page)) | set(re.findall(r'<g class="d" id="(scene-\d+)"', page))
    used = re.findall(r'<use href="#(scene-\d+)"', page)
    assert set(used) == scenes and len(used) > 2 * len(scenes)


@pytest.mark.parametrize("path", DEMOS, ids=lambda path: path.stem)
def test_a_whole_vehicle_typed_in_from_paper_is_the_same_vehicle(client: FlaskClient, path: Path):
    """Every reading of a demo, written as on the paper, in the numbered fields: the same values come into the log."""
    vehicle = read_vehicle_file(path.read_bytes(), path.name)
    raw = json.loads(path.read_text(encoding="utf-8"))
    raw["entries"] = []
    at = f"/vehicles/{client.post('/vehicles', json=raw).json['id']}"
    keys = [key for _, key in typing_fields(client.get(f"{at}/paper/in?whole").text)]
    sent, wanted = {"whole": "1", "token": "0123456789abcdef"}, {}
    for entry in vehicle.entries:
        if entry.type == "reading" and entry.reading in keys and entry.reading not in wanted:
            wanted[entry.reading] = entry.value
            text = entry.text.lstrip("-−")
            sent[f"text.{entry.reading}"] = f"{text} {entry.unit}"
            sent[f"side.{entry.reading}"] = "-" if entry.value < 0 else "+"
    assert len(wanted) > 10
    answer = client.post(f"{at}/paper/in", data=sent)
    assert answer.status_code == 303, re.findall(r'class="refused".*', answer.text)
    log = client.get(f"{at}/file").json["entries"]
    assert {entry["reading"]: entry["value"] for entry in log} == pytest.approx(wanted)
    # Sent twice, by a double tap or going back, it is still there once.
    assert client.post(f"{at}/paper/in", data=sent).status_code == 303
    assert len(client.get(f"{at}/file").json["entries"]) == len(log)


def test_the_side_is_asked_where_it_is_not_said_and_what_was_typed_stays(client: FlaskClient):
    at = made(client)
    sent = {"text.fore_aft:lower_left.frame": "40", "text.height:lower_left.frame": "19 1/8 in"}
    answer = client.post(f"{at}/paper/in", data=sent)
    assert answer.status_code == 422 and "Say which side it is on." in answer.text
    assert 'value="19 1/8 in"' in answer.text and client.get(f"{at}/file").json["entries"] == []
    sent["side.fore_aft:lower_left.frame"] = "-"
    assert client.post(f"{at}/paper/in", data=sent).status_code == 303
    log = {entry["reading"]: entry for entry in client.get(f"{at}/file").json["entries"]}
    assert log["fore_aft:lower_left.frame"]["value"] == -40.0 and log["fore_aft:lower_left.frame"]["text"] == "-40"
    assert log["height:lower_left.frame"]["value"] == pytest.approx(485.775)


def test_a_value_no_such_reading_has_is_asked_once_and_then_taken(client: FlaskClient):
    at = made(client)
    sent = {"text.height:lower_left.frame": "16000"}
    answer = client.post(f"{at}/paper/in", data=sent)
    assert answer.status_code == 422 and "look at the paper again" in answer.text
    assert 'name="kept.height:lower_left.frame" value="16000"' in answer.text
    again = {**sent, "kept.height:lower_left.frame": "16000"}
    assert client.post(f"{at}/paper/in", data={**again, "text.height:lower_left.frame": "17000"}).status_code == 422
    assert client.post(f"{at}/paper/in", data=again).status_code == 303
    assert client.get(f"{at}/file").json["entries"][0]["value"] == 16000.0


def test_nothing_typed_is_said_and_one_bad_line_takes_nothing(client: FlaskClient):
    at = made(client)
    assert "Nothing is typed yet" in client.post(f"{at}/paper/in", data={}).text
    sent = {"text.height:lower_left.frame": "600", "text.height:upper.frame": "six"}
    answer = client.post(f"{at}/paper/in", data=sent)
    assert answer.status_code == 422 and "1 line could not be taken, so nothing was" in answer.text
    assert client.get(f"{at}/file").json["entries"] == []


def test_over_refused_lines_the_sentence_leads_to_the_first_of_them(client: FlaskClient):
    answer = client.post(f"{made(client)}/paper/in", data={
        "text.height:upper.frame": "six", "text.height:lower_left.frame": "seven"})
    leads = re.search(r'role="alert">.*?<a href="#([^"]+)">2 lines could not be taken', answer.text, re.S)[1]
    refused = re.findall(r'id="([^"]+)"[^>]*aria-invalid="true"', answer.text)
    assert len(refused) == 2 and leads == refused[0]


def test_the_typing_page_says_what_the_record_has_already(client: FlaskClient):
    at = made(client)
    client.post(f"{at}/paper/in", data={"text.height:lower_left.frame": "600"})
    assert "the record has 600 mm" in client.get(f"{at}/paper/in").text
