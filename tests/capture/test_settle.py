"""Settling a doubt: each way is an entry of the log, what was read stays in it, and each can be taken back."""

from __future__ import annotations

import html
import json

import pytest

from capture import places
from capture.doubt_place import place_of
from capture.screens.settle import REASONS, typed_as

INCH = 25.4


@pytest.fixture
def orchard(client):
    """The demo truck, inches, with one height an inch too high."""
    text = next(path for path in places.demo_vehicles() if path.name == "orchard_truck.json").read_text()
    return client.post("/vehicles", json=json.loads(text)).json["id"]


@pytest.fixture
def parts(app):
    return app.extensions["plumbtack"]


def doubted(parts, vehicle):
    report = parts.models.at(vehicle)
    return report.stage_view.by_key[report.doubts[0].readings[0]]


def send(client, vehicle, take, **form):
    return client.post(f"/vehicles/{vehicle}/settle", data={"take": take.id, **form})


def entries(parts, vehicle):
    return parts.store.vehicle(vehicle).entries


def look(client, vehicle):
    return html.unescape(client.get(f"/vehicles/{vehicle}/second-look").text)


def test_the_page_offers_every_way_with_the_value_that_would_fit(client, orchard, parts):
    take = doubted(parts, orchard)
    page = client.get(f"/vehicles/{orchard}/settle?take={take.id}").text
    assert "blind=1" in page and "Keep it as read" in page and "Set it aside" in page
    assert 'value="17 13/16"' in page
    for reason in REASONS:
        assert reason in page


def test_keeping_needs_a_reason_and_comes_back_as_typed_without_one(client, orchard, parts):
    take, before = doubted(parts, orchard), len(entries(parts, orchard))
    answer = send(client, orchard, take, deed="keep", note="  ")
    assert answer.status_code == 422 and "Say in a few words why" in answer.text
    assert len(entries(parts, orchard)) == before


def test_a_kept_doubt_is_listed_with_its_reason_and_opened_again(client, orchard, parts):
    take, before = doubted(parts, orchard), entries(parts, orchard)
    answer = send(client, orchard, take, deed="keep", reason=REASONS[0], note="hole is oval")
    after = entries(parts, orchard)
    assert answer.status_code == 303
    assert answer.headers["Location"].endswith(f"/second-look?settled={after[-1].id}")
    assert after[:-1] == before and after[-1].note == f"{REASONS[0]}. hole is oval" and after[-1].of == [take.id]
    assert parts.models.at(orchard).doubts == ()
    page = look(client, orchard)
    assert "Settled: 1" in page and "hole is oval" in page and "Open it again" in page
    client.post(f"/vehicles/{orchard}/settle/back", data={"of": after[-1].id})
    assert len(parts.models.at(orchard).doubts) == 1 and "Settled" not in look(client, orchard)


def said_of(client, answer):
    """What the page he comes back to says first."""
    page = html.unescape(client.get(answer.headers["Location"]).text)
    return page.partition('role="status"')[2].partition("</section>")[0] if 'class="sheet page just' in page else ""


def test_after_each_way_the_page_says_first_what_became_of_the_doubt(client, orchard, parts):
    take = doubted(parts, orchard)
    kept = send(client, orchard, take, deed="keep", reason=REASONS[0])
    assert "Kept as read. That doubt is settled." in said_of(client, kept)
    client.post(f"/vehicles/{orchard}/settle/back", data={"of": entries(parts, orchard)[-1].id})
    assert said_of(client, kept) == ""
    aside = send(client, orchard, take, deed="aside")
    assert "counts for nothing until you bring it back" in said_of(client, aside)
    client.post(f"/vehicles/{orchard}/settle/back", data={"of": entries(parts, orchard)[-1].id})
    still = send(client, orchard, take, deed="correct", of=take.id, text="18 3/4")
    assert "Still in doubt" in said_of(client, still)
    take = doubted(parts, orchard)
    gone = send(client, orchard, take, deed="correct", of=take.id, text="17 13/16")
    said = said_of(client, gone)
    assert "It goes with the rest now. That doubt is gone." in said and "17" in said
    for unknown in ("", "nothing-like-it", take.id):
        page = client.get(f"/vehicles/{orchard}/second-look", query_string={"settled": unknown})
        assert page.status_code == 200 and "page just" not in page.text


def test_correcting_withdraws_the_first_and_takes_the_new_value_in_one_go(client, orchard, parts):
    take, before = doubted(parts, orchard), entries(parts, orchard)
    assert send(client, orchard, take, deed="correct", of=take.id, text="17 13/16").status_code == 303
    withdrawal, again = entries(parts, orchard)[len(before):]
    assert withdrawal.type == "withdraw" and withdrawal.of == take.id
    assert again.reading == take.name and again.value == pytest.approx(17.8125 * INCH) and again.text == "17 13/16"
    assert "first read as 18 13/16" in again.note
    assert parts.models.at(orchard).doubts == ()
    assert entries(parts, orchard)[: len(before)] == before
    assert "Corrected" in look(client, orchard)


@pytest.mark.parametrize(("text", "said"), [
    ("", "Nothing is typed yet"),
    ("twenty", "twenty"),
    ("4000", "lie between"),
    ("18 13/16", "stands there already"),
])
def test_a_correction_that_cannot_be_taken_changes_nothing_and_comes_back_as_typed(client, orchard, parts, text, said):
    take, before = doubted(parts, orchard), entries(parts, orchard)
    answer = send(client, orchard, take, deed="correct", of=take.id, text=text)
    assert answer.status_code == 422 and said in html.unescape(answer.text)
    assert f'value="{text}"' in answer.text
    assert entries(parts, orchard) == before


def test_a_correction_without_a_sign_stays_on_its_side(client, orchard, parts):
    lateral = next(take for take in parts.models.at(orchard).stage_view.takes
                   if take.name == "lateral:lower_right.axle")
    gone = {"id": "withdrawn-01", "at": lateral.at, "stage": "mock_up", "type": "withdraw", "of": lateral.id}
    wrong = {"id": "misread-0001", "at": lateral.at, "stage": "mock_up", "type": "reading", "reading": lateral.name,
             "value": lateral.value - 120.0}
    assert client.post(f"/vehicles/{orchard}/entries", json={"entries": [gone, wrong]}).status_code == 200
    take = parts.models.at(orchard).stage_view.by_key[lateral.name]
    shown = typed_as(lateral.value, "mm", "in")
    assert shown.startswith("-")
    assert send(client, orchard, take, deed="correct", of=take.id, text=shown[1:]).status_code == 303
    again = entries(parts, orchard)[-1]
    assert again.value == pytest.approx(lateral.value, abs=1.0) and again.text == shown


def test_a_reading_set_aside_is_out_of_the_sums_and_is_brought_back(client, orchard, parts):
    take, count = doubted(parts, orchard), len(parts.models.at(orchard).stage_view.takes)
    assert send(client, orchard, take, deed="aside").status_code == 303
    report = parts.models.at(orchard)
    assert len(report.stage_view.takes) == count - 1 and report.doubts == ()
    assert "Bring it back" in look(client, orchard)
    client.post(f"/vehicles/{orchard}/settle/back", data={"of": entries(parts, orchard)[-1].id})
    assert len(parts.models.at(orchard).stage_view.takes) == count


def test_a_doubt_that_is_gone_is_said_to_be_gone(client, orchard, parts):
    take = doubted(parts, orchard)
    send(client, orchard, take, deed="aside")
    assert client.get(f"/vehicles/{orchard}/settle?take={take.id}").status_code == 303
    before = entries(parts, orchard)
    answer = send(client, orchard, take, deed="keep", note="late")
    assert answer.status_code == 404 and "That doubt is gone" in answer.text
    assert entries(parts, orchard) == before


def test_taking_back_what_is_no_settling_does_nothing(client, orchard, parts):
    before = entries(parts, orchard)
    client.post(f"/vehicles/{orchard}/settle/back", data={"of": before[0].id})
    assert entries(parts, orchard) == before


def test_a_figure_in_doubt_says_what_it_would_be(client, orchard, parts):
    from capture.screens.doubted import would_be

    report = parts.models.at(orchard)
    said = would_be(report)["anti_dive"]
    sound = json.loads(next(path for path in places.demo_vehicles() if path.name == "orchard_truck.json").read_text())
    for entry in sound["entries"]:
        if entry["id"] == doubted(parts, orchard).id:
            entry["value"] -= INCH
            entry["text"] = ""
    other = client.post("/vehicles", json=sound).json["id"]
    there = parts.models.at(other).sheet.figures["anti_dive"]
    assert report.corrected["anti_dive"].value == pytest.approx(there.value, rel=1e-6)
    assert f"{there.value:.0f} %" in str(said.corrected)
    assert would_be(parts.models.at(other)) == {}


def test_ready_to_cut_names_what_stands_in_the_way_and_what_a_check_costs(client, orchard, parts):
    page = html.unescape(client.get(f"/vehicles/{orchard}/ready").text)
    assert "In doubt: height, right lower link, frame bolt." in page
    assert "Leans on a reading in doubt." in page
    assert "one crawl beneath" in page and "no crawling" in page
    assert "would pass unseen and move this by" in page
    assert "never a lock" in page
    view = parts.models.at(orchard).stage_view
    assert page.count("<tr><th") == len(view.by_name) == len(view.takes) - 1  # one was read twice, and stands once


def test_ready_to_cut_of_an_empty_vehicle_says_so(client, vehicle_id):
    page = client.get(f"/vehicles/{vehicle_id}/ready").text
    assert "Nothing is measured yet" in page and "you are ready to cut" not in page


def test_no_word_of_blame_stands_on_these_pages(client, orchard, parts):
    take = doubted(parts, orchard)
    for path in (f"settle?take={take.id}", "ready", "second-look"):
        page = client.get(f"/vehicles/{orchard}/{path}").text.lower()
        for word in ("error", "invalid", "wrong", "outlier", "standard deviation"):
            assert word not in page, (path, word)


def shared_truck(client):
    """The demo truck with every incline two degrees too steep: the gauge was zeroed on the floor."""
    truck = json.loads(next(path for path in places.demo_vehicles() if path.name == "orchard_truck.json").read_text())
    for entry in truck["entries"]:
        if entry.get("reading", "").startswith("incline:"):
            entry |= {"value": entry["value"] + 2.0, "text": ""}
    return client.post("/vehicles", json=truck).json["id"]


def test_a_shared_mistake_names_time_and_amount_and_is_settled_whole(client, parts):
    truck = shared_truck(client)
    report = parts.models.at(truck)
    doubt = next(doubt for doubt in report.doubts if doubt.shared is not None)
    page = look(client, truck)
    place = place_of(report, doubt)
    assert "The angle gauge" in page and "too high: the gauge had another zero" in page
    assert place.startswith(f"{len(doubt.readings)} readings at ") and place in page
    take = report.stage_view.by_key[doubt.readings[0]]
    settling = html.unescape(client.get(f"/vehicles/{truck}/settle?take={take.id}").text)
    assert f"Set all {len(doubt.readings)} aside" in settling and "Correct it" not in settling
    assert send(client, truck, take, deed="aside").status_code == 303
    left = {entry.of for entry in entries(parts, truck) if entry.type == "set_aside"}
    assert left == {report.stage_view.by_key[key].id for key in doubt.readings}


def test_a_tie_says_one_of_these_and_offers_each_reading(client, parts):
    from dataclasses import replace

    from capture.screens.doubt_items import doubt_item

    orchard = client.post("/vehicles", json=json.loads(next(
        path for path in places.demo_vehicles() if path.name == "orchard_truck.json").read_text())).json["id"]
    report = parts.models.at(orchard)
    doubt = report.doubts[0]
    others = [key for key in report.stage_view.by_key if key.startswith("height:upper")][:2]
    suspects = (doubt.suspects[0], *(replace(doubt.suspects[0], key=key, name=key) for key in others))
    tie = replace(doubt, reason="tie", readings=tuple(one.key for one in suspects), suspects=suspects,
                  telling="span:upper.axle~upper.frame")
    with client.application.test_request_context():
        item = doubt_item(orchard, report, tie)
    assert item.title == "One of these three"
    assert [words for words, value in item.facts if not value] == [
        "Height, right lower link, frame bolt", "Height, upper link, axle bolt", "Height, upper link, frame bolt"]
    assert item.telling is not None and "span%3Aupper.axle~upper.frame" in item.telling.href


def test_ready_to_cut_says_where_a_moved_line_would_pass_unseen_and_what_would_show_it(client, orchard):
    page = html.unescape(client.get(f"/vehicles/{orchard}/ready").text)
    moved = page.partition("If something had moved between stations")[2].partition("</details>")[0]
    assert "Under, left side" in moved and "The cross line moved" in moved
    assert "Shown by" in moved and "at=floor_span" in moved


@pytest.mark.parametrize("way", [{"deed": "keep", "reason": REASONS[0]}, {"deed": "aside"},
                                 {"deed": "correct", "text": "17 13/16"}])
def test_a_settling_that_a_phone_sends_again_is_stored_once_with_the_time_it_was_made(client, orchard, parts, way):
    take, before = doubted(parts, orchard), len(entries(parts, orchard))
    form = {"id": "held-on-the-phone-1", "at": "2026-05-09T10:00:00Z", "take": take.id, "of": take.id} | way
    answers = [client.post(f"/vehicles/{orchard}/settle", data=form, headers={"Accept": "application/json"})
               for _ in range(2)]
    assert [answer.json["stored"] for answer in answers] == [["held-on-the-phone-1"]] * 2
    made = entries(parts, orchard)[before:]
    assert len(made) == (2 if way["deed"] == "correct" else 1)
    assert "held-on-the-phone-1" in {entry.id for entry in made} and {entry.at for entry in made} == {form["at"]}
    assert html.unescape(client.get(answers[0].json["onward"]).text).count("Settled: 1") == 1


def test_a_doubt_settled_before_the_phones_form_came_is_told_in_one_sentence(client, orchard, parts):
    take = doubted(parts, orchard)
    send(client, orchard, take, deed="aside")
    late = client.post(f"/vehicles/{orchard}/settle", headers={"Accept": "application/json"},
                       data={"id": "held-on-the-phone-1", "take": take.id, "deed": "keep", "reason": REASONS[0]})
    assert (late.status_code, late.json) == (422, {"error": "It was settled already, or a later reading answered it."})
