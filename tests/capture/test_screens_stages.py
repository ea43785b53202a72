"""Starting a stage, its cautions, closing it: what the screens say, and what they write into the log."""

import io
import json
import re
import sqlite3
from pathlib import Path

import pytest
from flask.testing import FlaskClient

from capture import stage_log
from capture.fingerprint import fingerprint, in_groups
from capture.store import Store
from capture.vehicle_file import VehicleFile, read_vehicle_file
from tests.capture.test_store_photos import a_picture

DEMOS = Path(__file__).parents[2] / "demo_vehicles"


def demo(name: str) -> VehicleFile:
    return read_vehicle_file((DEMOS / f"{name}.json").read_bytes(), name)


@pytest.fixture
def orchard(store: Store) -> str:
    return store.create(demo("orchard_truck"))


@pytest.fixture
def quarry(store: Store) -> str:
    return store.create(demo("quarry_hauler"))


def text_of(html: str) -> str:
    bare = re.sub(r'<span class="sr">.*?</span>', "", html)
    return " ".join(re.sub(r"<[^>]+>", " ", bare).split())


def get(client: FlaskClient, address: str) -> str:
    answer = client.get(address)
    assert answer.status_code == 200, answer.text
    return text_of(answer.text)


def post(client: FlaskClient, address: str, **form: str):
    return client.post(address, data=form, headers={"Accept": "text/html"})


def a_reading(number: int, stage: str, name: str = "height:lower_left.frame", value: float = 500.0) -> dict:
    return {"id": f"later-{number:04}", "at": "2026-06-02T09:14:07Z", "stage": stage, "type": "reading",
            "reading": name, "value": value}  # fmt: skip


# Starting.


def test_a_stage_says_what_it_carries_and_asks_and_how_closely_a_move_is_told(client, orchard):
    said = get(client, f"/vehicles/{orchard}/stage")
    assert "Start tacked" in said and "101 readings of mock-up count on until you read them again" in said
    told = re.search(r"\d+ readings, about \d+ minutes: how far any bolt moved, any way, is then told "
                     r"± [^(]*\((\d+) mm\); a move of [^(]*\((\d+) mm\) would be called sure", said)
    assert 2 * int(told[1]) < int(told[2]) < 4 * int(told[1])
    assert "would show" not in said
    assert "(2 mm) is finer than tape and gauge tell" in said and "Finer reading at both stages would help" in said


def test_starting_writes_one_entry_leads_over_the_cautions_and_turns_the_walk_to_what_may_have_moved(
    client, orchard, store
):
    whole = client.get(f"/vehicles/{orchard}/walk").text
    answer = post(client, f"/vehicles/{orchard}/stage", stage="tacked", move="7")
    assert answer.status_code == 303 and answer.location.endswith("/cautions?stage=tacked&before=walk")
    begun = store.vehicle(orchard).entries[-1]
    assert (begun.type, begun.stage, begun.move) == ("begin", "tacked", 7.0)
    walk = client.get(f"/vehicles/{orchard}/walk").text
    counts = [int(re.search(r"<b>\d+</b> of (\d+)", page)[1]) for page in (whole, walk)]
    assert "tacked" in walk and counts[1] < counts[0] / 2
    data = json.loads(re.search(r'id="walk">(.*?)</script>', client.get(f"/vehicles/{orchard}/measure").text, re.S)[1])
    assert data["stage"] == "tacked"
    core = [step for step in data["steps"] if step["priority"] == "core"]
    assert len(core) == counts[1]


@pytest.mark.parametrize(
    ("form", "said"),
    [
        ({"stage": "mock_up"}, "Mock-up has begun already: measure on there."),
        ({"stage": "setting_1", "name": "summer"}, "Setting 1 cannot follow mock-up: next is tacked or welded."),
        ({"stage": "finished"}, "Choose the stage to start."),
        ({"stage": "plan"}, "Choose the stage to start."),
        ({}, "Choose the stage to start."),
    ],
)
def test_a_stage_out_of_order_is_refused_in_a_sentence_and_nothing_is_written(client, orchard, store, form, said):
    before = store.version(orchard)
    answer = post(client, f"/vehicles/{orchard}/stage", **form)
    assert answer.status_code == 422 and said in text_of(answer.text)
    assert store.version(orchard) == before


def test_before_anything_is_measured_no_stage_can_be_started(client, vehicle_id):
    assert "The mock-up comes first" in get(client, f"/vehicles/{vehicle_id}/stage")
    answer = post(client, f"/vehicles/{vehicle_id}/stage", stage="tacked")
    assert answer.status_code == 422 and "Nothing is measured yet" in text_of(answer.text)


def test_a_beginning_without_readings_can_be_taken_back_and_with_one_it_cannot(client, orchard, store):
    post(client, f"/vehicles/{orchard}/stage", stage="tacked")
    of = store.vehicle(orchard).entries[-1].id
    early = post(client, f"/vehicles/{orchard}/stage", stage="welded")
    assert "Nothing is read at tacked yet" in text_of(early.text)
    assert post(client, f"/vehicles/{orchard}/stage/back", of=of).status_code == 303
    assert stage_log.current(store.vehicle(orchard)) == "mock_up"
    post(client, f"/vehicles/{orchard}/stage", stage="tacked")
    client.post(f"/vehicles/{orchard}/entries", json={"entries": [a_reading(1, "tacked")]})
    of = next(entry.id for entry in reversed(store.vehicle(orchard).entries) if entry.type == "begin")
    post(client, f"/vehicles/{orchard}/stage/back", of=of)
    assert stage_log.current(store.vehicle(orchard)) == "tacked"


def test_a_setting_needs_a_name_and_is_called_by_it_everywhere(client, quarry, store):
    client.post(f"/vehicles/{quarry}/entries", json={"entries": [a_reading(1, "welded", "height:lower_left.frame")]})
    nameless = post(client, f"/vehicles/{quarry}/stage", stage="setting_1", name="  ")
    assert nameless.status_code == 422 and "Say what is different" in text_of(nameless.text)
    long = post(client, f"/vehicles/{quarry}/stage", stage="setting_1", name="x" * 61)
    assert long.status_code == 422 and "61 characters; 60 is the most" in text_of(long.text)
    assert post(client, f"/vehicles/{quarry}/stage", stage="setting_1", name="summer <tyres>").status_code == 303
    for room in ("walk", "stage", "cautions"):
        assert "etting 1 (summer &lt;tyres&gt;)" in client.get(f"/vehicles/{quarry}/{room}").text
    client.post(f"/vehicles/{quarry}/entries", json={"entries": [a_reading(2, "setting_1", value=480.0)]})
    for room in ("record", "shape", "behaviour", "second-look"):
        assert "setting 1 (summer &lt;tyres&gt;)" in client.get(f"/vehicles/{quarry}/{room}").text


# Cautions.


def test_cautions_are_seen_once_a_stage_and_found_again(client, orchard, store):
    said = get(client, f"/vehicles/{orchard}/cautions?stage=tacked&before=walk")
    assert "A jack lifts, it never holds" in said and "A tack holds shape, not people" in said
    assert "Local codes and licensed people" in said and "Read: on to the walk" in said
    for _ in range(2):
        answer = post(client, f"/vehicles/{orchard}/cautions", stage="tacked")
        assert answer.status_code == 303 and answer.location.endswith("/walk?stage=tacked")
    notes = [entry for entry in store.vehicle(orchard).entries if entry.type == "note" and entry.stage == "tacked"]
    assert [note.note for note in notes] == ["cautions read"]
    again = get(client, f"/vehicles/{orchard}/cautions?stage=tacked")
    assert "Read: on to the walk" not in again and "On to the walk" in again
    assert "Read: on to the walk" in get(client, f"/vehicles/{orchard}/cautions?stage=welded")


def test_a_walk_at_a_stage_whose_cautions_nobody_read_leads_there_first(client, orchard):
    strip = f'href="/vehicles/{orchard}/cautions?stage=mock_up&amp;before=walk"'
    assert strip in client.get(f"/vehicles/{orchard}/walk").text
    post(client, f"/vehicles/{orchard}/cautions", stage="mock_up")
    assert strip not in client.get(f"/vehicles/{orchard}/walk").text
    assert f"/vehicles/{orchard}/cautions" in client.get(f"/vehicles/{orchard}/record").text


# Closing.


def test_closing_writes_the_fingerprint_and_the_page_shows_and_checks_it(client, quarry, store):
    before = store.vehicle(quarry).entries
    assert "Close tacked for good" in get(client, f"/vehicles/{quarry}/close")
    assert post(client, f"/vehicles/{quarry}/close", stage="tacked").status_code == 303
    digits = store.vehicle(quarry).entries[-1].fingerprint
    assert digits == fingerprint(before)
    said = get(client, f"/vehicles/{quarry}/close")
    assert in_groups(digits) in said and "are as they were" in said and "Start welded" in said


def test_an_entry_changed_behind_its_back_is_seen_on_the_page(client, quarry, store):
    post(client, f"/vehicles/{quarry}/close", stage="tacked")
    with sqlite3.connect(store.path) as db:
        guards = db.execute("SELECT name FROM sqlite_master WHERE type = 'trigger'").fetchall()
        assert guards  # the store itself refuses it; somebody took that away
        for (guard,) in guards:
            db.execute(f"DROP TRIGGER {guard}")
        seq, body = db.execute("SELECT MIN(seq), body FROM entries WHERE body LIKE '%\"reading\"%'").fetchone()
        forged = json.loads(body) | {"value": 0.25}
        db.execute("UPDATE entries SET body = ? WHERE seq = ?", (json.dumps(forged), seq))
    db.close()
    store._read.clear()  # as after a new start of the program
    client.post(f"/vehicles/{quarry}/entries", json={"entries": [a_reading(5, "welded")]})
    assert "It does not fit any more" in get(client, f"/vehicles/{quarry}/close")


@pytest.mark.parametrize(
    ("stage", "said"),
    [
        ("mock_up", "Tacked has begun: close that, and this with it."),
        ("welded", "There are no readings at welded: there is nothing to close yet."),
        ("plan", "Choose the stage to close."),
        ("", "Choose the stage to close."),
    ],
)
def test_what_cannot_be_closed_is_said(client, quarry, store, stage, said):
    before = store.version(quarry)
    answer = post(client, f"/vehicles/{quarry}/close", stage=stage)
    assert answer.status_code == 422 and said in text_of(answer.text) and store.version(quarry) == before


def test_while_a_later_stage_is_begun_and_unread_the_page_says_what_to_do_and_has_no_key_that_is_refused(
    client, quarry, store
):
    post(client, f"/vehicles/{quarry}/stage", stage="welded")
    html = client.get(f"/vehicles/{quarry}/close").text
    said = text_of(html)
    assert "Welded has begun, and nothing is read at it yet." in said and "begins ." not in said
    assert f"/vehicles/{quarry}/close\"" not in html.partition("</header>")[2], "what would be refused is not offered"
    assert f"/vehicles/{quarry}/walk?stage=welded" in html and f"/vehicles/{quarry}/stage" in html
    answer = post(client, f"/vehicles/{quarry}/close", stage="tacked")
    assert answer.status_code == 422 and "nothing is read at it yet" in text_of(answer.text)
    begun = next(entry.id for entry in store.vehicle(quarry).entries if entry.type == "begin")
    post(client, f"/vehicles/{quarry}/stage/back", of=begun)
    assert "Close tacked for good" in get(client, f"/vehicles/{quarry}/close")


def test_the_close_page_says_what_a_closed_stage_still_takes_and_it_does(client, quarry, store):
    said = get(client, f"/vehicles/{quarry}/close")
    assert "nothing read at it" in said and "Photos can still be added and withdrawn" in said
    post(client, f"/vehicles/{quarry}/close", stage="tacked")
    here = f"/vehicles/{quarry}/photos"
    picture = (io.BytesIO(a_picture().content), "a.jpg")
    sent = client.post(here, data={"id": "photo-after-01", "stage": "tacked", "picture": picture})
    assert sent.status_code == 303
    assert post(client, f"{here}/photo-after-01/withdraw", note="the wrong bracket").status_code == 303
    assert "are as they were" in get(client, f"/vehicles/{quarry}/close")


def test_a_stage_is_closed_once_on_screen_too(client, quarry):
    post(client, f"/vehicles/{quarry}/close", stage="tacked")
    answer = post(client, f"/vehicles/{quarry}/close", stage="tacked")
    assert answer.status_code == 422 and "Tacked is closed already." in text_of(answer.text)


def test_every_way_of_changing_a_closed_stage_on_screen_is_refused_in_plain_words(client, quarry, store):
    own = next(entry.id for entry in store.vehicle(quarry).entries if entry.type == "reading")
    post(client, f"/vehicles/{quarry}/close", stage="tacked")
    version = store.version(quarry)
    ways = {
        "withdraw": {"of": own, "note": "misread"},
        "measure": {"at": "height:lower_left.frame", "text": "500", "unit": "mm", "stage": "tacked", "kept": "500"},
    }
    for address, form in ways.items():
        answer = post(client, f"/vehicles/{quarry}/{address}", **form)
        said = text_of(answer.text)
        assert answer.status_code == 422, address
        assert "is closed" in said and "stays as it is" in said and "entry 1" not in said, address
    assert store.version(quarry) == version


def test_nobody_types_a_whole_walk_or_table_in_for_a_closed_stage(client, quarry):
    post(client, f"/vehicles/{quarry}/close", stage="tacked")
    answer = client.get(f"/vehicles/{quarry}/paper/in")
    assert answer.status_code == 303 and answer.location.endswith("/stage?closed=tacked")
    table = client.get(f"/vehicles/{quarry}/table").text
    assert re.search(r'<option value="([^"]*)" selected', table)[1] == "welded"
    assert 'value="tacked"' not in table


def test_second_look_says_that_its_stage_is_closed(client, quarry):
    assert "is closed since" not in client.get(f"/vehicles/{quarry}/second-look").text
    post(client, f"/vehicles/{quarry}/close", stage="tacked")
    assert "The record of tacked is closed since" in text_of(client.get(f"/vehicles/{quarry}/second-look").text)


def test_the_record_says_since_when_a_stage_is_closed_and_takes_no_reason_there(client, quarry):
    form = f'action="/vehicles/{quarry}/withdraw"'
    assert form in client.get(f"/vehicles/{quarry}/record").text
    post(client, f"/vehicles/{quarry}/close", stage="tacked")
    page = client.get(f"/vehicles/{quarry}/record").text
    assert re.search(r"Closed with tacked on \d+ \w+ \d{4}", text_of(page))
    assert form not in page
