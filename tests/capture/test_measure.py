"""The measure page and the stations page, as the server gives them."""

from __future__ import annotations

import json
import re
from typing import Any

import pytest
from flask import Flask
from flask.testing import FlaskClient
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from capture.places import demo_vehicles
from capture.vehicle_file import VehicleFile, read_vehicle_file
from capture.walk import walk_of
from capture.walk_words import IN_SHORT
from geometry.layouts import LAYOUTS
from tests.conftest import reading_object, vehicle_object


def demo(name: str) -> VehicleFile:
    path = next(path for path in demo_vehicles() if path.stem == name)
    return read_vehicle_file(path.read_text(encoding="utf-8"), path.name)


@pytest.fixture
def orchard(app: Flask, client: FlaskClient) -> str:
    """The demo truck: a front three-link with everything measured and one reading an inch off."""
    return app.extensions["plumbtack"].store.create(demo("orchard_truck"))


def post(client: FlaskClient, vehicle_id: str, *entries: dict[str, Any]) -> None:
    assert client.post(f"/vehicles/{vehicle_id}/entries", json={"entries": list(entries)}).status_code == 200


def script_data(page: str) -> dict[str, Any]:
    return json.loads(re.search(r'<script type="application/json" id="walk">(.*?)</script>', page, re.S)[1])


def shown(page: str) -> list[str]:
    """The keys of the steps in view."""
    return re.findall(r'<div class="step" data-key="([^"]+)">', page)


@pytest.mark.parametrize(("layout", "axle"), [(layout, axle) for layout in LAYOUTS for axle in ("front", "rear")])
def test_every_step_of_every_walk_is_in_the_page_and_one_is_seen(client: FlaskClient, layout: str, axle: str):
    made = client.post("/vehicles", json=vehicle_object(layout=layout, worked_axle=axle)).json["id"]
    page = client.get(f"/vehicles/{made}/measure")
    keys = [step.key for step in walk_of(layout, axle).steps]
    assert page.status_code == 200
    assert re.findall(r'<div class="step" data-key="([^"]+)"', page.text) == keys
    assert shown(page.text) == [keys[0]]
    assert [step["key"] for step in script_data(page.text)["steps"]] == keys


def test_a_step_asked_for_by_its_reading_is_in_view(client: FlaskClient, vehicle_id: str):
    page = client.get(f"/vehicles/{vehicle_id}/measure?at=span:lower_left.frame~lower_left.axle").text
    assert shown(page) == ["span:lower_left.axle~lower_left.frame"]
    assert shown(client.get(f"/vehicles/{vehicle_id}/measure?at=nonsense").text) == ["floor_slope:fore_aft"]


def test_the_page_needs_no_inline_script_and_no_style(client: FlaskClient, orchard: str):
    for room in ("measure", "walk"):
        page = client.get(f"/vehicles/{orchard}/{room}").text
        assert not re.search(r"<script(?![^>]*(src=|application/json))", page)
        assert not re.search(r"\sstyle=|\son\w+=", page)


def test_a_name_cannot_end_the_script_it_stands_in(client: FlaskClient):
    made = client.post("/vehicles", json=vehicle_object(name="</script><b>x</b>")).json["id"]
    for room in ("measure", "walk"):
        page = client.get(f"/vehicles/{made}/{room}").text
        assert "</script><b>" not in page and "<b>x</b>" not in page
    assert script_data(client.get(f"/vehicles/{made}/measure").text)["name"] == "</script><b>x</b>"


def test_the_expected_value_stands_in_no_text_of_the_page(client: FlaskClient, orchard: str):
    page = client.get(f"/vehicles/{orchard}/measure?at=height:lower_right.middle").text
    step = next(step for step in script_data(page)["steps"] if step["key"] == "height:lower_right.middle")
    text = re.sub(r"<script.*?</script>|<[^>]+>", " ", page, flags=re.S)
    assert str(round(step["expected"], 1)) not in text


def test_expectations_are_silent_until_the_log_grows(client: FlaskClient, vehicle_id: str):
    page = script_data(client.get(f"/vehicles/{vehicle_id}/measure").text)
    version, run = page["version"], page["run"]
    assert client.get(f"/vehicles/{vehicle_id}/expectations?v={version}&run={run}").status_code == 204
    another = client.get(f"/vehicles/{vehicle_id}/expectations?v={version}&run=another")
    assert another.status_code == 200, "an older backup may have been put back, with the same number"
    post(client, vehicle_id, reading_object(1, 612.5))
    fresh = client.get(f"/vehicles/{vehicle_id}/expectations?v={version}&landed=entry-000001").json
    assert fresh["version"] > version and fresh["entries"] == ["entry-000001"]
    expected, sd, own_sd, limit = fresh["expected"]["height:lower_left.frame"]
    assert abs(expected - 612.5) < 1 and sd < 3 < limit and own_sd > 0
    assert fresh["takes"]["height:lower_left.frame"][0]["value"] == 612.5


def test_what_landed_says_whether_it_fits_and_what_it_did(client: FlaskClient, vehicle_id: str):
    readings = [("height:lower_left.axle", 356.9), ("height:lower_left.frame", 454.2),
                ("incline:lower_left.axle~lower_left.frame", 6.0), ("fore_aft:lower_left.axle", 1046.5),
                ("fore_aft:lower_left.frame", 201.3), ("lateral:lower_left.axle", 472.1),
                ("lateral:lower_left.frame", 388.9)]
    for number, (name, value) in enumerate(readings):
        post(client, vehicle_id, reading_object(number, value, reading=name))
    last = client.get(f"/vehicles/{vehicle_id}/expectations?landed=entry-000006").json["landed"]
    assert last["line"] == "Left lower link, length: known now"
    post(client, vehicle_id, reading_object(50, 858.0, reading="span:lower_left.axle~lower_left.frame"))
    checked = client.get(f"/vehicles/{vehicle_id}/expectations?landed=entry-000050").json["landed"]
    assert checked["fits"] and not checked["doubted"] and "now ±" in checked["line"]


def test_at_its_end_a_later_stages_walk_leads_to_the_comparison_and_the_first_to_the_second_look(
    client: FlaskClient, orchard: str
):
    def lit(query: str = "") -> tuple[str, str]:
        page = client.get(f"/vehicles/{orchard}/measure{query}").text
        found = re.search(r'class="walkdone".*?<a class="btn go" href="([^"]+)">([^<]+)</a>', page, re.S)
        return found[2], found[1].replace("&amp;", "&")

    assert lit() == ("Second look", f"/vehicles/{orchard}/second-look")
    begin = {"id": "begin-tacked", "at": "2026-06-02T09:00:00Z", "type": "begin", "stage": "tacked", "move": 7.0}
    post(client, orchard, begin)
    assert lit("?stage=tacked") == ("Compare with mock-up", f"/vehicles/{orchard}/compare?from=mock_up&to=tacked")


def test_an_inch_too_much_is_remarked_in_the_unit_typed_and_a_fitting_value_is_not(client: FlaskClient, orchard: str):
    def asked(value: float, text: str) -> Any:
        query = {"reading": "height:lower_left.frame", "value": value, "unit": "in", "text": text}
        return client.get(f"/vehicles/{orchard}/remark", query_string=query)

    assert asked(17.875 * 25.4, "17 7/8").status_code == 204
    answer = asked(18.875 * 25.4, "18 7/8")
    words = re.sub(r"<[^>]+>", "", answer.text)
    assert answer.status_code == 200 and "This does not fit yet" in words
    assert "give or take" in words and "You typed 18 7/8" in words and "Likely:" in words
    assert float(re.search(r'data-use="([^"]+)"', answer.text)[1]) == pytest.approx(17.875 * 25.4, abs=0.5)


def test_the_other_side_is_named_on_both_and_nothing_is_said_to_be_more(client: FlaskClient, orchard: str):
    def asked(reading: str, value: float) -> str:
        query = {"reading": reading, "value": value, "unit": "mm", "text": str(abs(value))}
        return re.sub(r"<[^>]+>", "", client.get(f"/vehicles/{orchard}/remark", query_string=query).text)

    words = asked("lateral:upper.frame", 190.0)
    assert re.search(r"this is 1[\d.]+ right of the centreline", words)
    assert re.search(r"You typed 190 left of the centreline, 3[\d.]+ mm apart\.", words)
    # On one side more and less go by how far from the line.
    assert re.search(r"You typed 50, 1[\d.]+ mm less\.", asked("lateral:upper.frame", -50.0))
    assert re.search(r"You typed 290, [\d.]+ mm more\.", asked("lateral:upper.frame", -290.0))


def test_a_second_take_that_is_far_off_is_held_against_his_own_first_one(client: FlaskClient, vehicle_id: str):
    post(client, vehicle_id, reading_object(1, 612.5))
    query = {"reading": "height:lower_left.frame", "value": 587.1, "unit": "mm", "text": "587"}
    words = client.get(f"/vehicles/{vehicle_id}/remark", query_string=query).text
    assert "By your earlier take this is 613" in words or "By your earlier take this is 612" in words


@pytest.mark.parametrize("query", ["", "reading=x&value=1", "reading=height:lower_left.frame&value=much&unit=in",
                                   "reading=height:lower_left.frame&value=nan&unit=in",
                                   "reading=height:lower_left.frame&value=1e99&unit=in",
                                   "reading=height:lower_left.frame&value=400&unit=furlong"])
def test_a_remark_asked_for_nonsense_is_no_remark(client: FlaskClient, orchard: str, query: str):
    assert client.get(f"/vehicles/{orchard}/remark?{query}").status_code == 204


def test_nobody_knows_a_vehicle_that_is_not_there(client: FlaskClient):
    for room in ("measure", "walk", "expectations", "remark?reading=a&value=1", "measure/drawings"):
        assert client.get(f"/vehicles/0123456789abcdef/{room}").status_code == 404


def test_cannot_reach_is_a_note_and_is_left_out_of_what_comes_next(client: FlaskClient, vehicle_id: str):
    note = {"id": "note-00001", "at": "2026-05-02T09:14:07Z", "type": "note", "stage": "mock_up",
            "reading": "floor_slope:fore_aft", "note": "cannot reach"}
    post(client, vehicle_id, note)
    page = client.get(f"/vehicles/{vehicle_id}/measure").text
    assert shown(page) == ["floor_slope:across"]
    assert script_data(page)["out_of_reach"] == ["floor_slope:fore_aft"]
    assert "not reached" in client.get(f"/vehicles/{vehicle_id}/walk").text


def test_takes_of_another_stage_do_not_count_for_this_one(client: FlaskClient, orchard: str):
    page = client.get(f"/vehicles/{orchard}/measure?stage=welded").text
    assert script_data(page)["stage"] == "welded" and script_data(page)["takes"] == {}
    assert script_data(client.get(f"/vehicles/{orchard}/measure").text)["takes"]


def test_a_stage_nobody_has_measured_before_begins_at_the_first_step(app: Flask, client: FlaskClient):
    hauler = app.extensions["plumbtack"].store.create(demo("quarry_hauler"))
    page = client.get(f"/vehicles/{hauler}/measure?stage=mock_up").text
    assert script_data(page)["stage"] == "mock_up"
    assert client.get(f"/vehicles/{hauler}/measure?stage=nonsense").status_code == 200


def test_the_stations_page_shows_counts_doubts_and_where_to_go_on(client: FlaskClient, orchard: str, vehicle_id: str):
    empty = client.get(f"/vehicles/{vehicle_id}/walk").text
    assert "Begin: floor and marks, 1 of 6" in empty
    begun = client.get(f"/vehicles/{orchard}/walk").text
    assert "1 in doubt" in begun and "Go on: " in begun


def test_the_stations_page_follows_the_log(client: FlaskClient, vehicle_id: str):
    page = client.get(f"/vehicles/{vehicle_id}/walk").text
    fresh = re.search(r'hx-get="([^"]+)"', page)[1].replace("&amp;", "&")
    assert client.get(fresh).status_code == 204
    post(client, vehicle_id, reading_object(1))
    answer = client.get(fresh)
    assert answer.status_code == 200 and answer.text.lstrip().startswith("<main")


def test_an_own_point_without_a_letter_is_asked_again(client: FlaskClient, vehicle_id: str):
    refused = client.get(f"/vehicles/{vehicle_id}/walk/own?own=...")
    assert refused.status_code == 422 and "Give it a name" in refused.text
    led = client.get(f"/vehicles/{vehicle_id}/walk/own?own=Oil pan")
    assert led.status_code == 303
    assert shown(client.get(led.location).text) == ["height:keep_clear.oil_pan"]


def test_recording_works_without_script(client: FlaskClient, vehicle_id: str):
    def send(**form: str) -> Any:
        return client.post(f"/vehicles/{vehicle_id}/measure", data={"stage": "mock_up", "unit": "in", **form})

    refused = send(at="height:mark.front_left", text="24 9/8", id="plain-entry-1")
    assert refused.status_code == 422 and "did you mean" in refused.text and 'value="24 9/8"' in refused.text
    assert send(at="height:mark.front_left", text="24 1/8", id="plain-entry-1").status_code == 303
    assert send(at="height:mark.front_left", text="24 1/8", id="plain-entry-1").status_code in (303, 409)
    assert "Say which side" in send(at="lateral:upper.frame", text="4", id="plain-entry-2").text
    assert send(at="lateral:upper.frame", text="4", side="-", id="plain-entry-2").status_code == 303
    far = send(at="height:mark.front_left", text="34 1/8", id="plain-entry-3")
    assert far.status_code == 422 and "This does not fit yet" in far.text
    assert send(at="height:mark.front_left", text="34 1/8", kept="34 1/8", id="plain-entry-3").status_code == 303
    log = client.get(f"/vehicles/{vehicle_id}/file").json["entries"]
    assert [(entry["text"], round(entry["value"], 3), entry.get("kept", False)) for entry in log] == [
        ("24 1/8", 612.775, False), ("-4", -101.6, False), ("34 1/8", 866.775, True)]


def test_the_first_view_of_the_walk_is_at_most_150_kb_over_the_wire(client: FlaskClient, orchard: str):
    # Source of the limit: the project's own, for sixty steps with their drawings.
    page = client.get(f"/vehicles/{orchard}/measure", headers={"Accept-Encoding": "gzip"})
    assert page.headers["Content-Encoding"] == "gzip" and len(page.data) < 150_000


# What a page that is open is told: what it does not have yet.

READ = ("height:lower_left.frame", "span:lower_left.axle~lower_left.frame", "span:lower_left.frame~lower_left.axle")


@st.composite
def batches(draw: st.DrawFn) -> list[list[dict[str, Any]]]:
    """Entries as they come in: readings, and what takes back any entry before or after them."""
    found: list[list[dict[str, Any]]] = [[]]
    kinds: dict[str, str] = {}
    for number in range(draw(st.integers(1, 10))):
        said = reading_object(number, 600.0 + number, reading=draw(st.sampled_from(READ)),
                              stage=draw(st.sampled_from(("mock_up", "tacked"))))
        of = f"entry-{draw(st.integers(0, 9).filter(lambda other, own=number: other != own)):06d}"
        kind = draw(st.sampled_from(("reading", "reading", "withdraw", "set_aside", "note")))
        if kind == "withdraw" or (kind == "set_aside" and kinds.get(of) == "reading"):
            said = {"id": said["id"], "at": said["at"], "type": kind, "of": of}
        elif kind == "note":
            said = {"id": said["id"], "at": said["at"], "type": kind, "note": "rust"}
        kinds[said["id"]] = said["type"]
        if draw(st.booleans()):
            found.append([])
        found[-1].append(said)
    return [batch for batch in found if batch]


@settings(max_examples=25, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(sent=batches())
def test_what_an_open_page_is_told_makes_it_know_all_a_new_page_knows(client: FlaskClient, sent: Any):
    vehicle_id = client.post("/vehicles", json=vehicle_object()).json["id"]
    address = f"/vehicles/{vehicle_id}/expectations"

    def whole() -> Any:
        return client.get(address, query_string={"v": -1, "stage": "mock_up"}).json

    page = whole()
    for batch in sent:
        post(client, vehicle_id, *batch)
        held = {"v": page["version"], "stage": "mock_up", "run": page["run"], "held": len(page["entries"])}
        answer = client.get(address, query_string=held)
        if answer.status_code == 204:  # what takes back an entry that has not come waits with it
            continue
        told = answer.json
        assert told["held"] == len(page["entries"])
        entries, takes = page["entries"] + told["entries"], {**page["takes"], **told["takes"]}
        takes = {reading: known for reading, known in takes.items() if known}
        page = told | {"entries": entries, "takes": takes, "held": 0}
        assert {**page, "takes": takes} == whole()


def test_a_page_of_another_run_is_told_everything(client: FlaskClient, vehicle_id: str):
    client.post(f"/vehicles/{vehicle_id}/entries", json={"entries": [reading_object(1), reading_object(2)]})
    for run, held in (("another", "1"), ("", "1"), (None, "-1"), (None, "x"), (None, "9" * 30)):
        run = client.get(f"/vehicles/{vehicle_id}/expectations").json["run"] if run is None else run
        told = client.get(f"/vehicles/{vehicle_id}/expectations", query_string={"run": run, "held": held}).json
        assert told["held"] == 0 and len(told["entries"]) == 2 and len(told["takes"]) == 1


def drawings(client: FlaskClient, vehicle_id: str, has: dict[str, str]) -> tuple[dict[str, str], dict[str, str]]:
    """Of each drawing sent to a page that has these, and of what they share: its mark, and what it is."""
    text = client.get(f"/vehicles/{vehicle_id}/measure/drawings", query_string={"has": ",".join(has.values())}).text
    steps = re.findall(r'<div data-key="([^"]+)">(.*?)</div>', text, re.DOTALL)
    found = [(key, re.search(r'<template data-drawn="(\w+)"', drawn)[1], drawn) for key, drawn in steps]
    found += [("", mark, drawn) for mark, drawn in re.findall(r'<div data-defs="(\w+)">(.*?)</div>', text, re.DOTALL)]
    return {key: mark for key, mark, _ in found}, {key: drawn for key, _, drawn in found}


def test_only_drawings_that_changed_are_sent_to_a_page_that_has_the_others(client: FlaskClient, vehicle_id: str):
    page = client.get(f"/vehicles/{vehicle_id}/measure").text
    marks = dict(re.findall(r'class="step" data-key="([^"]+)".*?<template data-drawn="(\w+)"', page, re.DOTALL))
    marks[""] = re.search(r'"defs": ?"(\w+)"', page)[1]
    sent, drawn = drawings(client, vehicle_id, {})
    assert set(sent) == set(marks) and len(drawn) > 60
    known = sum(marks[key] == sent[key] for key in marks)
    assert known >= len(marks) - 2  # the step in view has its board with it, and what that shares
    post(client, vehicle_id, {"id": "noted-0001", "at": "2026-05-02T09:20:07Z", "type": "note", "note": "rust"})
    assert drawings(client, vehicle_id, sent) == ({}, {})
    post(client, vehicle_id, reading_object(1, 640.0))
    some, anew = drawings(client, vehicle_id, sent)
    assert 0 < len(some) < len(sent)
    assert ({**sent, **some}, {**drawn, **anew}) == drawings(client, vehicle_id, {})


def hint_of(page: str, key: str) -> str:
    step = page[page.index(f'data-key="{key}"'):]
    return re.sub(r"<[^>]+>", "", step[step.index('class="hint">') + 13:].partition("</p>")[0])


def test_the_first_question_of_a_station_says_what_comes_before_it_until_something_is_read_there(client, vehicle_id):
    first, under = "floor_slope:fore_aft", "height:lower_left.axle"
    page = client.get(f"/vehicles/{vehicle_id}/measure").text
    assert "chalk the centreline" in hint_of(page, first) and "never under a jack alone" in hint_of(page, under)
    assert "chalk" not in hint_of(page, "floor_slope:across")
    assert all(len(words) <= 76 for words in IN_SHORT.values()), "two lines under the question"
    post(client, vehicle_id, reading_object(1, 0.2, reading=first, unit="deg"))
    page = client.get(f"/vehicles/{vehicle_id}/measure").text
    assert "Lay a long level" in hint_of(page, first) and "never under a jack alone" in hint_of(page, under)


def test_what_comes_before_a_station_stands_first_under_more(client, vehicle_id):
    page = client.get(f"/vehicles/{vehicle_id}/measure").text
    assert page.index("Before you begin here") < page.index("What goes wrong here")
