"""What stands on a guess is said alike in every room: "about", and no finer than its spread leaves it."""

from __future__ import annotations

import html
import json
import re
from pathlib import Path

import pytest

from capture.lengths import say
from tests.conftest import arms_on_read_wheels

DEMOS = Path(__file__).parents[2] / "demo_vehicles"
ROLL_CENTRE, ARM = "roll_centre_height", "link_length.arm_left"


@pytest.fixture
def eleven(client) -> str:
    return arms_on_read_wheels(client, display_unit="mm")


def rooms(client, vehicle_id: str, room: str) -> str:
    text = re.sub(r"<[^>]+>", " ", client.get(f"/vehicles/{vehicle_id}/{room}").text)
    return re.sub(r"\s+", " ", html.unescape(text))


def coarse(client, vehicle_id: str, key: str) -> tuple[str, str]:
    """A guessed figure as its spread leaves it, and as it would be said too finely."""
    figure = client.get(f"/vehicles/{vehicle_id}/report").json["figures"][key]
    said, fine = (say(figure["value"], "mm", "mm", spread=spread) for spread in (2 * figure["sd"], 0.0))
    assert said != fine and figure["sd"] > 50
    return said, fine


@pytest.mark.parametrize("key", [ROLL_CENTRE, ARM])
def test_ready_to_cut_says_a_guess_no_finer_than_behaviour_does(client, eleven, key):
    said, fine = coarse(client, eleven, key)
    ready = rooms(client, eleven, "ready")
    assert f"about {said} ±" in ready and fine.removesuffix(" mm") not in ready
    assert f"about {said}" in rooms(client, eleven, f"behaviour/{key}")


def test_what_if_says_a_guess_no_finer_than_behaviour_does(client, eleven):
    said, fine = (text.removesuffix(" mm") for text in coarse(client, eleven, ROLL_CENTRE))
    paper = rooms(client, eleven, "what-if")
    assert f"guessed about {said} ±" in paper and fine not in paper


@pytest.mark.parametrize("room", ["ready", "second-look"])
def test_while_every_link_stands_on_a_guess_the_way_on_is_the_walk_and_no_second_take(client, eleven, room):
    page = client.get(f"/vehicles/{eleven}/{room}").text
    (lit,) = re.findall(r'<a class="btn go" href="([^"]+)">([^<]+)</a>', page)
    assert lit == (f"/vehicles/{eleven}/walk", "On with the walk")
    assert ", once more" not in page and "checks are below" not in page


def test_where_only_some_links_stand_on_a_guess_the_checks_of_the_others_are_still_named(client, app):
    vehicle = json.loads((DEMOS / "orchard_truck.json").read_text(encoding="utf-8"))
    vehicle["entries"] = [one for one in vehicle["entries"] if one["type"] == "reading"
                          and "panhard" not in one["reading"]]
    made = client.post("/vehicles", json=vehicle).json["id"]
    page = client.get(f"/vehicles/{made}/ready").text
    assert "Cheapest checks" in page and "A bolt stands on a guess so far." in page


def test_how_far_the_lean_turns_the_axle_is_said_with_its_spread_and_a_guess_as_one(client, eleven, app):
    said = rooms(client, eleven, "behaviour/family/roll")
    assert re.search(r"1° of lean to the right turns the axle about \d+\.\d\d° (left|right), ± \d", said)
    assert re.search(r"times as far\. Mostly guessed\.", said)
    demo = json.loads((DEMOS / "orchard_truck.json").read_text(encoding="utf-8"))
    known = client.post("/vehicles", json=demo).json["id"]
    told = rooms(client, known, "behaviour/family/roll")
    assert re.search(r"turns the axle \d+\.\d\d° (left|right), ± \d", told) and "Mostly guessed" not in told
