"""The second look: doubts in words with their numbers, worst first, each with a way out."""

from __future__ import annotations

import json
import string

import pytest

from capture import doubt_words, places
from geometry.doubt import Broken, Doubt
from geometry.rules import RULES
from geometry.shared_mistakes import FAMILIES


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


def test_an_empty_vehicle_says_that_nothing_is_measured(client, vehicle_id):
    page = client.get(f"/vehicles/{vehicle_id}/second-look").text
    assert "Nothing is measured yet" in page
    assert "you are ready to cut" not in page


def test_no_word_of_blame_stands_on_the_page(client, orchard):
    page = client.get(f"/vehicles/{orchard}/second-look").text.lower()
    for word in ("error", "invalid", "wrong", "outlier", "standard deviation"):
        assert word not in page
