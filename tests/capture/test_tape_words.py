"""Advice about a reading is in the unit of the tape at hand."""

import re

import pytest
from flask.testing import FlaskClient

from capture.tape_words import on_the_tape, said_in
from capture.walk import walk_of
from geometry.layouts import LAYOUTS
from geometry.readings import describe, parse_name
from tests.conftest import vehicle_object


@pytest.mark.parametrize(("sentence", "inches"), [
    ("The cord hung at the side: 9 to 14 mm.", "The cord hung at the side: 3/8 to 9/16 in."),
    ("An inside reading: 65 to 90 mm short.", "An inside reading: 2 1/2 to 3 1/2 in short."),
    ("5 degrees over 500 mm reads 2 mm high.", "5 degrees over 20 in reads 1/16 in high."),
    ("50 mm sideways in 500 mm reads 2.5 mm long.", "2 in sideways in 20 in reads 1/8 in long."),
    ("A hand bears on it: 1 mm.", "A hand bears on it: 1/16 in."),
    ("The tape began at its 1 in or 100 mm mark.", "The tape began at its 1 in mark."),
])
def test_millimetres_of_advice_are_inches_for_an_inch_tape(sentence: str, inches: str):
    assert said_in(sentence, "in") == inches


@pytest.mark.parametrize(("sentence", "metric"), [
    ("The next hole of the bracket: 3/4 to 1 1/2 in away.", "The next hole of the bracket: 19 to 38 mm away."),
    ("A whole inch is missed, or the tape began at its 1 in mark and the inch stayed in.",
     "A whole centimetre is missed, or the tape began at its 100 mm mark and that stayed in."),
    ("The tape began at its 1 in or 100 mm mark.", "The tape began at its 100 mm mark."),
    ("Read at the nut: 10 to 25 mm off.", "Read at the nut: 10 to 25 mm off."),
])
def test_inches_of_advice_are_millimetres_for_a_metric_tape(sentence: str, metric: str):
    assert said_in(sentence, "mm") == metric


@pytest.mark.parametrize("layout", LAYOUTS)
@pytest.mark.parametrize("axle", ["front", "rear"])
def test_no_reading_of_a_walk_is_advised_in_the_other_unit(layout: str, axle: str):
    for step in walk_of(layout, axle).steps:
        words = describe(parse_name(step.reading, layout, axle))
        for unit, other in (("in", r"\d mm\b"), ("mm", r"\d in\b|\binch")):
            told = on_the_tape(words, unit)
            for sentence in (*told.do_this, *told.mistakes, told.care or ""):
                assert not re.search(other, sentence), sentence


def test_measure_advises_in_the_vehicles_own_unit(client: FlaskClient):
    for unit, told in (("in", "9/16 in"), ("mm", "9 to 14 mm")):
        made = client.post("/vehicles", json=vehicle_object(display_unit=unit)).json["id"]
        page = client.get(f"/vehicles/{made}/measure?at=fore_aft:lower_left.frame").text
        seen = re.sub(r"<[^>]+>", "", page)
        assert ("14 mm" in seen) == (unit == "mm") and (told in seen or unit == "in")
