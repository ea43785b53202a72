"""Aims on their page: each deed an entry, common practice offered and never forced, the answer that of geometry."""

from __future__ import annotations

import re
from dataclasses import replace
from typing import Any

import pytest
from flask import Flask
from flask.testing import FlaskClient

from capture.screens.aims_answer import reasons, verdict
from capture.store import Store
from geometry.aims import Answer, Met
from tests.capture.test_what_if_page import demo, entries

INCH = 25.4


@pytest.fixture
def truck(client: FlaskClient) -> str:
    return demo(client, "orchard_truck")


def do(client: FlaskClient, truck: str, deed: str, **typed: str) -> Any:
    return client.post(f"/vehicles/{truck}/aims", data={"deed": deed, **typed})


def want(client: FlaskClient, truck: str, figure: str, low: str, high: str) -> Any:
    return do(client, truck, "want", figure=figure, low=low, high=high)


def may_move(client: FlaskClient, truck: str, point: str = "upper.frame", **far: str) -> Any:
    return do(client, truck, "room", point=point, **far)


def answer(client: FlaskClient, truck: str) -> str:
    return re.sub(r"\s+", " ", client.get(f"/vehicles/{truck}/aims/answer").text)


def plain(page: str) -> str:
    return re.sub(r"\s+", " ", re.sub("<[^>]+>", " ", page))


def test_a_want_and_a_box_are_entries_with_absolute_places(app: Flask, client, store: Store, truck):
    want(client, truck, "anti_dive", "30", "40")
    may_move(client, truck, up="3", back="1 1/2")
    made = entries(store, truck)[-1]
    assert made.type == "aims" and made.stage == "mock_up"
    assert [(one.figure, one.low, one.high) for one in made.wants] == [("anti_dive", 30.0, 40.0)]
    here = app.extensions["plumbtack"].models.at(truck).fit.placed()["upper.frame"]
    (room,) = made.rooms
    assert room.low == pytest.approx([here.x - 1.5 * INCH, here.y, here.z])
    assert room.high == pytest.approx([here.x, here.y, here.z + 3 * INCH])
    said = plain(client.get(f"/vehicles/{truck}/aims").text)
    assert re.search("up to 1 1/2 .{0,12}in back and 3 in up", said)


def test_the_answer_is_that_of_geometry_and_leads_to_what_if(app: Flask, client, truck):
    want(client, truck, "anti_dive", "30", "40")
    may_move(client, truck, up="3", down="3")
    found = app.extensions["plumbtack"].models.at(truck).aimed
    assert found.met
    page = answer(client, truck)
    assert verdict(found) in page
    href = re.search(r'class="btn go" href="([^"]+)"', page)[1].replace("&amp;", "&")
    plan = client.get(href).text
    typed = re.search('value="to,upper.frame,([^"]+)"', plan)[1]
    assert [float(part) for part in typed.split(",")] == pytest.approx(found.places["upper.frame"], abs=1e-4)
    assert 'value="As aimed"' in plan


def test_the_page_is_sent_before_the_answer_and_asks_for_it(client, truck):
    want(client, truck, "anti_dive", "30", "40")
    may_move(client, truck, up="3")
    page = client.get(f"/vehicles/{truck}/aims").text
    assert f'hx-get="/vehicles/{truck}/aims/answer"' in page and 'href="?answer"' in page
    assert "Everything wanted can be met" in client.get(f"/vehicles/{truck}/aims?answer").text


def test_what_was_not_looked_for_is_said():
    answer = Answer(False, {}, {}, {}, (), (), all_looked_for=False)
    (said,) = reasons(None, answer)
    assert "There may be more that stands in the way" in said
    assert list(reasons(None, replace(answer, all_looked_for=True))) == []


def test_wants_that_fight_are_named_in_words(client, truck):
    want(client, truck, "anti_dive", "30", "40")
    want(client, truck, "caster_change_75", "-0.2", "0.2")
    may_move(client, truck, up="3", down="3")
    said = plain(answer(client, truck))
    assert "Not everything wanted can be met within these boxes." in said
    assert "Anti-dive and caster change fight each other: what brings the one in takes the other out." in said
    assert "Without what is wanted of caster change, all the rest can be met." in said


def test_a_want_out_of_reach_is_named_in_words(client, truck):
    want(client, truck, "caster", "20", "")
    may_move(client, truck, up="1")
    assert "No place in the boxes reaches what is wanted of caster, even alone." in plain(answer(client, truck))


def test_a_band_of_common_practice_is_wanted_only_when_tapped(client, store: Store, truck):
    page = plain(client.get(f"/vehicles/{truck}/aims").text)
    assert "Common practice, no source" in page and "Nothing yet." in page
    assert not [one for one in entries(store, truck) if one.type == "aims"]
    do(client, truck, "offer:anti_dive")
    made = entries(store, truck)[-1]
    assert [(one.figure, one.low, one.high) for one in made.wants] == [("anti_dive", 20.0, 60.0)]
    assert 'value="offer:anti_dive"' not in client.get(f"/vehicles/{truck}/aims").text


def test_a_place_to_keep_out_of_stands_around_a_measured_point(app: Flask, client, store: Store, truck):
    do(client, truck, "keep_out", around="keep_clear.sump", room="2", name="")
    (keep,) = entries(store, truck)[-1].keep_outs
    here = app.extensions["plumbtack"].models.at(truck).fit.placed()["keep_clear.sump"]
    assert keep.name == "sump"
    assert keep.low == pytest.approx([here.x - 2 * INCH, here.y - 2 * INCH, here.z - 2 * INCH])
    do(client, truck, "keep_out", around="typed", name="exhaust", kx="-20", ky="-10", kz="20", room="3")
    assert [one.name for one in entries(store, truck)[-1].keep_outs] == ["sump", "exhaust"]
    assert "3 in each way around 20 in behind the axle, 10 in right of centre and 20 in above the floor" in plain(
        client.get(f"/vehicles/{truck}/aims").text)


def test_a_deed_is_dropped_replaced_and_taken_back_by_entries(client, store: Store, truck):
    want(client, truck, "anti_dive", "30", "40")
    want(client, truck, "anti_dive", "35", "45")
    may_move(client, truck, up="3")
    do(client, truck, "drop_want:anti_dive")
    made = entries(store, truck)[-1]
    assert not made.wants and len(made.rooms) == 1
    do(client, truck, "undo", of=made.id)
    page = plain(client.get(f"/vehicles/{truck}/aims").text)
    assert "35 to 45 %" in page and "30 to 40 %" not in page
    do(client, truck, "undo", of=made.id)  # the same form once more takes nothing else back
    assert "35 to 45 %" in plain(client.get(f"/vehicles/{truck}/aims").text)


def test_aims_change_no_figure_and_no_reading(client, truck):
    before = client.get(f"/vehicles/{truck}/report").json
    want(client, truck, "anti_dive", "30", "40")
    may_move(client, truck, up="3")
    assert client.get(f"/vehicles/{truck}/report").json == before


@pytest.mark.parametrize(
    ("deed", "typed", "said"),
    [
        ("want", {"figure": "anti_dive", "low": "75", "high": "50"}, "cannot be at least 75 % and at most 50 %"),
        ("want", {"figure": "anti_dive"}, "neither is typed"),
        ("want", {"figure": "anti_dive", "low": "many"}, "is not a number that can be read"),
        ("want", {"figure": "anti_dyve", "low": "1"}, "Choose a figure"),
        ("want", {"figure": "link_length.upper", "low": "28 in", "high": "2 ft"}, "at most 24 in: change one"),
        ("room", {"point": "upper.frame"}, "may not move at all"),
        ("room", {"point": "upper.frame", "up": "-1"}, "from 0 to"),
        ("room", {"point": "upper.frame", "up": "3 lb"}, "Up: "),
        ("room", {"point": "nobody"}, "Choose the bolt"),
        ("keep_out", {"around": "typed", "room": "2"}, "Say what is to be kept clear"),
        ("keep_out", {"around": "typed", "name": "box", "room": "2"}, "Ahead of the axle: Nothing is typed"),
        ("keep_out", {"around": "keep_clear.sump", "room": "0"}, "above 0"),
        ("offer:wheelbase", {}, "no usual band"),
        ("dance", {}, "no deed of this page"),
    ],
)
def test_an_aim_that_is_none_is_refused_in_one_sentence_with_what_was_typed(
    client, store: Store, truck, deed, typed, said
):
    before = len(entries(store, truck))
    refused = do(client, truck, deed, **typed)
    assert refused.status_code == 422 and said in plain(refused.text) and len(entries(store, truck)) == before
    for value in typed.values():
        assert value in refused.text or value in ("anti_dyve", "nobody")


def test_more_wants_than_the_log_takes_are_refused(client, truck):
    figures = re.findall(r'<option value="([^"]+)"', client.get(f"/vehicles/{truck}/aims").text.split("</select>")[0])
    answers = [want(client, truck, figure, "-1", "1") for figure in figures[:11]]
    assert [one.status_code for one in answers] == [303] * 10 + [422]
    assert "10 of these are the most; drop one first." in plain(answers[-1].text)


def test_whether_the_readings_settle_it_is_in_the_verdict():
    def found(spare: float) -> Answer:
        return Answer(True, {}, {}, {}, (Met("caster", 5.0, 0.2, True, spare),), ())

    assert verdict(found(2.5)) == "Everything wanted can be met."
    assert verdict(found(0.5)).endswith("The readings do not settle all of it.")
