"""Names in a row: a person can tell where one ends and the next begins."""

from __future__ import annotations

import html
import re

import pytest

from capture.screens.words import listed
from tests.conftest import arms_on_read_wheels, reading_object, vehicle_object

BOLTS = ["height, panhard bar, frame bolt", "height, panhard bar, axle bolt", "fore and aft, upper link, frame bolt"]


@pytest.mark.parametrize(("parts", "said"), [
    ([], ""), (["3 doubts"], "3 doubts"), (["one", "two"], "one and two"), (["a", "b", "c"], "a, b and c"),
    (BOLTS[:1], BOLTS[0]), (BOLTS[:2], f"{BOLTS[0]}; and {BOLTS[1]}"),
    (BOLTS, f"{BOLTS[0]}; {BOLTS[1]}; and {BOLTS[2]}"),
])  # fmt: skip
def test_names_that_hold_commas_are_set_apart_by_more_than_a_comma(parts, said):
    assert listed(parts) == said


def test_how_many_more_there_are_is_the_last_of_them():
    assert listed(["one", "two"], more=2) == "one, two and 2 more"
    assert listed(BOLTS[:2], more=1) == f"{BOLTS[0]}; {BOLTS[1]}; and 1 more"
    assert listed(["one"], more=0) == "one"


@pytest.fixture
def eleven(client) -> str:
    return arms_on_read_wheels(client)


@pytest.mark.parametrize(("room", "begins"), [("behaviour", "waits for"), ("ready", "take"),
                                              ("behaviour/roll_centre_height", "waits for")])
def test_what_a_figure_waits_for_reads_as_a_list_of_names(client, eleven, room, begins):
    page = html.unescape(re.sub(r"<[^>]+>", "", client.get(f"/vehicles/{eleven}/{room}").text))
    waits = re.findall(rf"{begins} ([^.\n]*bolt[^.\n]*)\.", page)
    assert waits, page
    for said in waits:
        assert "; " in said or said.count("bolt") == 1, said
        assert ", and" not in said and not re.search(r"bolt(,| and) ", said), said


def test_values_kept_against_advice_are_named_with_how_many_more(client):
    names = [f"height:{link}.{end}" for link in ("lower_left", "lower_right", "upper") for end in ("axle", "frame")]
    entries = [reading_object(number, 400.0, reading=name, kept=True) for number, name in enumerate(names)]
    vehicle = client.post("/vehicles", json=vehicle_object(entries=entries)).json["id"]
    page = client.get(f"/vehicles/{vehicle}/second-look").text
    assert "6 values kept against advice: " in page and "; and 3 more." in page
