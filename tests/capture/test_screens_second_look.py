"""The second look: doubts in words with their numbers, worst first, each with a way out."""

from __future__ import annotations

import json
import re
import string

import numpy as np
import pytest

from capture import doubt_words, places
from capture.screens.readings_said import short_words
from capture.walk import CORE, FRAME_MARKS, walk_of
from geometry.doubt import Broken, Doubt
from geometry.next_check import in_the_way, unchecked
from geometry.rules import RULES
from geometry.shared_mistakes import FAMILIES
from tests.conftest import reading_object, vehicle_object
from tests.reference.made import crooked, unit_of
from tests.reference.pulled import SCALARS
from tests.reference.readings import CORNERS, predicted


@pytest.fixture
def orchard(client):
    """The demo truck with one wrong reading to find."""
    text = next(path for path in places.demo_vehicles() if path.name == "orchard_truck.json").read_text()
    return client.post("/vehicles", json=json.loads(text)).json["id"]


@pytest.mark.parametrize("rule", [rule.name for rule in RULES])
def test_every_named_rule_has_its_words(rule):
    title, sentence = doubt_words.RULES[rule]
    fields = {field for text in (title, sentence) for _, field, _, _ in string.Formatter().parse(text) if field}
    broken = Broken(rule, ("height:panhard.axle",), 4.0, dict.fromkeys(fields - {"about"}, 100.0), "left")
    doubt = Doubt(broken.readings, f"rule:{rule}", 4.0, rules=(broken,))
    assert doubt_words.title(doubt)
    assert doubt_words.sentence(doubt, "in").endswith(".")
    assert "{" not in doubt_words.title(doubt) + doubt_words.sentence(doubt, "in")


def test_every_shared_mistake_has_its_sentence():
    assert {family.name for family in FAMILIES} == set(doubt_words.SHARED)


def test_the_wrong_reading_of_the_demo_is_named_with_what_the_rest_says_and_the_likely_slip(client, orchard):
    page = client.get(f"/vehicles/{orchard}/second-look").text
    assert "Height, right lower link, frame bolt" in page
    assert "the rest says" in page
    assert "1 inch" in page
    assert f"/vehicles/{orchard}/measure?at=height%3Alower_right.frame" in page
    assert "Ready to cut? Not yet." in page


def test_a_bolt_read_on_the_wrong_side_is_said_by_its_side_and_not_by_a_sign(client):
    text = next(path for path in places.demo_vehicles() if path.name == "orchard_truck.json").read_text()
    vehicle = json.loads(text)
    wrong = next(entry for entry in vehicle["entries"] if entry.get("reading") == "lateral:lower_right.frame")
    wrong |= {"value": -wrong["value"], "text": wrong["text"].lstrip("-−")}
    page = client.get(f"/vehicles/{client.post('/vehicles', json=vehicle).json['id']}/second-look").text
    item = page[page.index("Sideways, right lower link, frame bolt"):]
    item = re.sub(r"<[^>]+>", "", item[: item.index("Read it again")])
    assert "left of the centreline" in item and "right of the centreline would fit" in item
    assert "−" not in item


def test_withdrawing_the_wrong_reading_settles_the_doubt(client, orchard, app):
    parts = app.extensions["plumbtack"]
    report = parts.models.at(orchard)
    assert len(report.doubts) == 1
    wrong = report.stage_view.by_key[report.doubts[0].readings[0]].id
    answer = client.post(f"/vehicles/{orchard}/withdraw",
                         data={"of": wrong, "note": "read the inch too many", "back": "second-look"})
    assert answer.status_code == 303
    assert answer.headers["Location"] == f"/vehicles/{orchard}/second-look"
    assert parts.models.at(orchard).doubts == ()


@pytest.fixture
def walked(client):
    """A truck whose core readings are all taken: nothing checks the sideways ones of its links."""
    scatter = np.random.default_rng(3)
    places = crooked("three_link_panhard", "front", scatter)
    places |= {f"mark.{at}": (0.0, 400.0, 700.0) for at in FRAME_MARKS}
    names = [step.reading for step in walk_of("three_link_panhard", "front").steps if step.priority == CORE]
    loads = {f"load.{corner}": 500.0 for corner in CORNERS}
    entries = []
    for name in names:
        value = round(predicted(name, places, SCALARS | loads, "front"), 3)
        entries.append(reading_object(len(entries), value, reading=name, unit=unit_of(name)))
    return client.post("/vehicles", json=vehicle_object(entries=entries)).json["id"]


@pytest.mark.parametrize(("room", "list_of_checks"), [("second-look", "The next check that gains most"),
                                                      ("ready", "Cheapest checks, most gain first")])
def test_the_next_checks_are_checks_of_what_stands_in_the_way(client, app, walked, room, list_of_checks):
    report = app.extensions["plumbtack"].models.at(walked)
    in_way = {key for link in in_the_way(report.fit, ()) for key in link.unchecked}
    assert in_way and len(in_way) < len(unchecked(report.fit)) / 2
    page = client.get(f"/vehicles/{walked}/{room}").text
    checks = page.partition(list_of_checks)[2].partition("</ol>")[0]
    sentences = [one for one in re.findall(r'<p class="small q">(.*?)</p>', checks) if "off alike" not in one]
    assert sentences
    bolts = {short_words(report.vehicle, key) for key in in_way}
    figures = ("caster:left", "caster:right", "incline:pinion") if room == "ready" else ()
    for sentence in sentences:
        assert any(name in sentence for name in (*bolts, *(short_words(report.vehicle, key) for key in figures)))
    assert any(name in sentences[0] for name in bolts)


def test_an_empty_vehicle_says_that_nothing_is_measured(client, vehicle_id):
    page = client.get(f"/vehicles/{vehicle_id}/second-look").text
    assert "Nothing is measured yet" in page
    assert "you are ready to cut" not in page


def test_no_word_of_blame_stands_on_the_page(client, orchard):
    page = client.get(f"/vehicles/{orchard}/second-look").text.lower()
    for word in ("error", "invalid", "wrong", "outlier", "standard deviation"):
        assert word not in page
