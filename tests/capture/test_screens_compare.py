"""The page that compares two stages, and the advice in the command: what moved, how sure, and what to do about it."""

import json

import pytest

from capture import advice_words, compare_report
from capture.drawings.changed import FACTORS, LONGEST_PX, Move, changed, factor
from capture.screens import pictures
from capture.vehicle_file import read_vehicle_file
from tests.capture.test_screens_stages import get, text_of
from tests.reference.pulled import two_stages

UP = (0.0, 0.0, 4.0)


@pytest.fixture(scope="module")
def pulled() -> dict:
    return two_stages(4, UP, sd=0.5, moved="panhard.frame", worked_axle="front")


@pytest.fixture(scope="module")
def compared(pulled):
    return compare_report.build(read_vehicle_file(json.dumps(pulled), "pulled"), "mock_up", "tacked")


@pytest.fixture(scope="module")
def far() -> dict:
    """The same bracket 24 mm off: the roll centre goes by more than 10 mm, from where on it counts."""
    return two_stages(4, (0.0, 0.0, 24.0), sd=0.5, moved="panhard.frame", worked_axle="front")


@pytest.fixture(scope="module")
def far_compared(far):
    return compare_report.build(read_vehicle_file(json.dumps(far), "far"), "mock_up", "tacked")


@pytest.fixture
def wagon(client, pulled) -> str:
    return client.post("/vehicles", json=pulled).json["id"]


def test_a_bracket_far_off_is_named_with_how_far_and_what_to_do(client, far):
    said = get(client, f"/vehicles/{client.post('/vehicles', json=far).json['id']}/compare")
    assert "The panhard bar&#39;s frame bolt went 2" in said and "up, sure; the rest is within the tape." in said
    assert "The panhard bar&#39;s frame bolt: 2" in said and "before the final weld" in said
    assert "roll centre: from 5" in said.lower() and "as at mock-up" in said


def test_a_bracket_pulled_a_little_is_said_to_be_sure_and_not_worth_the_grinder(client, wagon, compared):
    said = get(client, f"/vehicles/{wagon}/compare")
    assert "The panhard bar&#39;s frame bolt went 4" in said and "up, sure; the rest is within the tape." in said
    assert "too little to be worth the work" in said and "before the final weld" not in said
    assert "Sure, but not worth the grinder" in said and "common practice, no source" in said
    assert "Less than 10 mm does not count: worn tyres lower it by as much." in said
    assert "Moves drawn 50 times larger" in said
    advice = compared.as_json()["advice"]
    assert not advice["needed"] and advice["changed"] == [] and advice["ways"] == []
    small = advice["small"]["roll_centre_height"]
    assert abs(small["after"] - small["before"]) < small["least"] == 10.0 and small["source"].startswith("common")
    page = " ".join(compare_report.page(compared).split())
    assert "Sure, but not worth the grinder (common practice, no source)" in page and "Less than 10 mm" in page


@pytest.mark.parametrize("view", ["side", "top", "front", "inside", ""])
def test_every_view_draws_the_arrow_and_says_how_much_larger(client, wagon, view):
    page = client.get(f"/vehicles/{wagon}/compare?view={view}").text
    assert "moves drawn 50 times larger" in page and 'class="litf"' in page and 'class="was"' in page


@pytest.mark.parametrize(
    ("asked", "said"),
    [
        ("from=tacked&to=mock_up", "Tacked comes after mock-up; name the earlier stage first: mock_up tacked."),
        ("from=mock_up&to=mock_up", "Mock-up is compared with itself; name two stages."),
        ("from=mock_up&to=welded", "There are no readings at welded"),
        ("from=painted&to=tacked", "There is no stage painted; the stages are plan, mock_up"),
    ],
)
def test_stages_that_cannot_be_compared_are_said_on_the_page(client, wagon, asked, said):
    answer = client.get(f"/vehicles/{wagon}/compare?{asked}")
    assert answer.status_code == 422 and said in text_of(answer.text)


def test_with_one_stage_the_page_says_what_it_waits_for(client, vehicle_id):
    assert "One stage so far" in get(client, f"/vehicles/{vehicle_id}/compare")


def test_the_json_holds_the_advice_and_the_page_says_the_same(far_compared):
    compared = far_compared
    advice = compared.as_json()["advice"]
    assert advice["needed"] and advice["moved"] == ["panhard.frame"] and "roll_centre_height" in advice["changed"]
    way = advice["ways"][0]
    assert way["kind"] == "brackets" and way["enough"]
    assert way["points"]["panhard.frame"][2] == pytest.approx(-24.0, abs=1.0)
    figure = way["figures"]["roll_centre_height"]
    assert abs(figure["then"] - figure["wanted"]) <= 2 * figure["sd"] and figure["back"]
    page = compare_report.page(compared)
    assert "What to do" in page and "before the final weld" in page and "down." in page
    json.dumps(advice, allow_nan=False)


def test_two_stages_alike_need_nothing(pulled):
    still = two_stages(6, (0.0, 0.0, 0.0), sd=0.5, worked_axle="front")
    found = compare_report.build(read_vehicle_file(json.dumps(still), "still"), "mock_up", "tacked")
    assert found.as_json()["advice"]["ways"] == []
    assert "Nothing needs doing" in compare_report.page(found)


def test_turns_follow_the_threads_stated(compared):
    threads = {"upper": {"frame": {"pitch": 2.0, "hand": "right"}, "axle": {"pitch": 2.0, "hand": "left"}},
               "panhard": {"frame": {"pitch": 1.5, "hand": "right"}}}  # fmt: skip
    raw = json.loads(compared.vehicle.model_dump_json(exclude_unset=True))
    vehicle = read_vehicle_file(json.dumps(raw | {"facts": {"threads": threads}}), "threaded")
    # Source: by hand. A tube with both hands goes two pitches a turn, one joint goes one.
    assert advice_words.turned(vehicle, "upper", -6.0) == (1.5, "the tube")
    assert advice_words.turned(vehicle, "panhard", 3.0) == (2.0, "its joint")
    assert advice_words.turned(vehicle, "lower_left", 3.0) == (None, "")


def test_the_largest_factor_that_keeps_the_arrow_on_the_paper_is_taken(compared):
    was = pictures.vehicle(compared.before)
    none = ((0.0, 0.0, 0.0),) * 3
    for size in (1.0, 4.0, 20.0, 100.0):
        times = factor(was, [Move("panhard.frame", (0.0, 0.0, size), none, True)])
        assert times in FACTORS
        larger = [one for one in FACTORS if one > times]
        if larger:
            assert factor(was, [Move("panhard.frame", (0.0, 0.0, size * times / min(larger)), none, True)]) > times
    assert factor(was, []) == 10 and LONGEST_PX < 60
    assert "moves drawn 5 times larger" in changed(was, [], "side", 5)
