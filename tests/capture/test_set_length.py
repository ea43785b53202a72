"""Setting a length on the phone: turns and thread left in by hand, what cannot be turned, and the note it leaves."""

from __future__ import annotations

import re
from math import isclose

import pytest
from flask.testing import FlaskClient

from capture.drawings.turning import turning_drawing
from tests.capture.test_cut_list import ORCHARD, facts_with, planned, thread

SET = "now=33+5/8&wanted=34+1/8&frame=1+5/16&axle=1+1/4"


def with_facts(client: FlaskClient, **parts: dict) -> str:
    answer = client.post("/vehicles", json={**ORCHARD, "facts": facts_with(**parts)})
    return f"/vehicles/{answer.json['id']}/cut/lower_left/set"


@pytest.fixture
def at(client: FlaskClient) -> str:
    return with_facts(client)


def told(page: str) -> str:
    """The page's words without markup, on one line."""
    read_aloud = re.sub(r'<span aria-hidden="true">.*?</span></span></span>', " ", page)
    return " ".join(re.sub(r"<[^>]+>", " ", read_aloud).split())


def test_half_an_inch_longer_with_twelve_threads_an_inch_is_three_turns(client: FlaskClient, at: str):
    # By hand: each turn of a 1 1/4-12 tube is 2/12 in; 1/2 in is three of them, 1/4 in comes out at each end.
    page = told(client.get(f"{at}?{SET}").text)
    assert "3 turns clockwise seen from the frame end, looking towards the axle" in page
    assert "Then it is 34 1/8 in long." in page and "0.167 in a whole turn, 0.028 in a flat." in page
    # Of 3 in of thread 1 11/16 are in at the frame and 1 3/4 at the axle; 1/4 less after.
    frame, axle = re.findall(r"(?:Frame|Axle) end at least 1 1/4 in (.*?) in (.*?) in (.*?) in", page)
    assert frame == ("1 5/16", "1 9/16", "1 7/16") and axle == ("1 1/4", "1 1/2", "1 1/2")


def test_shorter_turns_the_other_way(client: FlaskClient, at: str):
    page = told(client.get(f"{at}?{SET.replace('34+1/8', '33+1/8')}").text)
    assert "3 turns counter-clockwise" in page and "Then it is 33 1/8 in long." in page


def test_what_is_off_by_less_than_can_be_shown_is_not_said(client: FlaskClient, at: str):
    # By hand: 10 mm is 28.35 flats of 0.3528 mm; 28 are 0.12 mm short, under half of 1/32 in.
    page = told(client.get(f"{at}?now=854+mm&wanted=864+mm&frame=33+mm&axle=32+mm").text)
    assert "Then it is" in page and "than wanted" not in page


def test_what_leaves_less_than_a_diameter_in_is_not_advised(client: FlaskClient, at: str):
    answer = client.get(f"{at}?{SET.replace('34+1/8', '35+1/8')}")
    page = told(answer.text)
    assert "Too far for its thread: do not turn it so far." in page
    assert "Only 15/16 in would stay in: one diameter, 1 1/4 in, is the least in common practice." in page
    assert "turnd" not in answer.text and "write it down" not in page
    # Three turns and a quarter come to the least at the frame end: 1 11/16 - 1 1/4 is 7/16, twice that is 7/8 longer.
    assert "to 34 1/2 in" in page


def test_one_joint_off_its_bolt_turns_by_half_turns(client: FlaskClient, at: str):
    page = told(client.get(f"{at}?turn=axle&now=33+5/8&wanted=33+3/4&axle=1+1/4").text)
    # By hand: a half turn of one end is 1/24 in; 1/8 in is three of them; a left-hand joint comes out clockwise.
    assert "1 1/2 turns clockwise looking at the joint from outside" in page
    assert "Thread showing, frame end" not in page


def test_only_one_threaded_end_leaves_only_that_joint_to_turn(client: FlaskClient):
    at = with_facts(client, threads={"lower_left": {"frame": thread("right")}})
    page = client.get(at).text
    assert "Only one end turns: take the joint at the frame off its bolt" in page and 'name="turn"' not in page
    # By hand: 1/24 in half a turn, 7/16 in is 10.5 of them, so 10 or 11; a right-hand joint comes out the other way.
    assert "turns counter-clockwise looking at" in told(client.get(f"{at}?now=30&wanted=30+7/16&frame=1").text)


def test_ends_of_one_hand_leave_no_tube_to_turn(client: FlaskClient):
    at = with_facts(client, threads={"lower_left": {"frame": thread("right"), "axle": thread("right")}})
    page = client.get(at).text
    assert 'id="turn-frame"' in page and 'id="turn-axle"' in page and 'id="turn-tube"' not in page


def test_nothing_threaded_and_too_little_stated_are_said_with_the_way_there(client: FlaskClient):
    page = client.get(with_facts(client, threads={})).text
    assert "Nothing turns on this link" in page and "/cut/lower_left#parts" in page
    half = {"lower_left": {"frame": {"pitch": 2.1, "hand": "right"}, "axle": thread("left")}}
    page = client.get(with_facts(client, threads=half)).text
    assert "Not all of its thread is stated" in page and "Frame end: the jam nut" in page


@pytest.mark.parametrize(
    ("query", "said"),
    [
        (SET.replace("34+1/8", "soon"), "is not a number that can be read"),
        (SET.replace("axle=1+1/4", "axle=3+1/2"), "3 1/2 in of thread cannot show"),
        (SET.replace("axle=1+1/4", "axle=1/4"), "1/4 in of thread cannot show"),
        (SET.replace("now=33+5/8", "now=0"), "0 in is no length of a link"),
        (SET.replace("axle=1+1/4", "axle="), "Nothing is typed yet"),
    ],
)
def test_what_cannot_be_is_said_beside_it_and_stays_as_typed(client: FlaskClient, at: str, query: str, said: str):
    answer = client.get(f"{at}?{query}")
    assert answer.status_code == 200 and said in answer.text and "write it down" not in answer.text
    assert 'value="33 5/8"' in answer.text or "now=0" in query


def test_the_fields_begin_with_the_measured_length_and_a_plans(client: FlaskClient, at: str):
    first = client.get(at).text
    assert re.search(r'name="now" value="3\d[^"]* in"', first) and 'name="wanted" value=""' in first
    vehicle_id = client.post("/vehicles", json=planned(880.0)).json["id"]
    page = client.get(f"/vehicles/{vehicle_id}/cut/lower_left/set?plan=Longer+%26+lower").text
    # By hand: 880 mm is 34.646 in, to the nearest sixteenth 34 5/8.
    assert 'name="wanted" value="34 5/8 in"' in page and "turns" in page


def test_what_was_set_is_written_into_the_record_with_the_thread_that_shows(client: FlaskClient, at: str):
    fields = {"now": "33 5/8", "wanted": "34 1/8", "frame": "1 5/16", "axle": "1 1/4", "turn": "tube"}
    answer = client.post(at, data=fields)
    assert answer.status_code == 303 and "Written into the record" in client.get(answer.location).text
    file = client.get(at.partition("/cut")[0] + "/file").json
    assert file["entries"][-1]["note"] == (
        "Left lower link set from 33 5/8 in to 34 1/8 in: the tube turned 3 turns clockwise, seen from the frame end, "
        "looking towards the axle; then 1 9/16 in of thread showing at the frame end and 1 1/2 in of thread showing at "
        "the axle end."
    )
    # By hand, 1 9/16 in and 1 1/2 in of thread show.
    assert file["entries"][-1]["link_set"] == {
        "link": "lower_left", "length": pytest.approx(34.125 * 25.4, abs=1e-3),
        "showing": {"frame": pytest.approx(1.5625 * 25.4, abs=1e-3), "axle": pytest.approx(38.1, abs=1e-3)}}
    assert client.post(at, data={**fields, "wanted": ""}).status_code == 422
    assert client.post(at, data={**fields, "wanted": "40"}).status_code == 422
    assert len(client.get(at.partition("/cut")[0] + "/file").json["entries"]) == len(file["entries"])


@pytest.mark.parametrize(("clockwise", "side"), [(True, 1), (False, -1)])
def test_the_arrow_turns_the_way_it_says(clockwise: bool, side: int):
    """A sixth of a turn clockwise from the top ends at the right of the middle, at 60 degrees from upright."""
    drawing = turning_drawing(0, 1, clockwise, True, "label", "1 flat")
    tip = re.search(r'class="litf" d="M([\d.]+) ([\d.]+)L', drawing)
    x, y = float(tip[1]), float(tip[2])
    assert isclose(x, 168 + side * 72 * 0.8660, abs_tol=0.1) and isclose(y, 104 - 72 * 0.5, abs_tol=0.1)
