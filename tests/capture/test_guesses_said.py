"""What stands on a guess is said alike in every room: "about", and no finer than its spread leaves it."""

from __future__ import annotations

import html
import re

import pytest

from capture.lengths import say
from tests.conftest import reading_object, vehicle_object

ROLL_CENTRE, ARM = "roll_centre_height", "link_length.arm_left"


@pytest.fixture
def eleven(client) -> str:
    """Radius arms of which only the wheels were read: every link's bolt stands on a guess."""
    names = [f"{kind}:wheel_{side}.centre" for kind in ("height", "fore_aft", "lateral") for side in ("left", "right")]
    values = {"height": 411.0, "fore_aft": -403.0, "lateral": 789.0}
    entries = [reading_object(number, values[name.split(":")[0]] * (-1 if name.startswith("lateral") and "right" in name
               else 1), reading=name) for number, name in enumerate(names)]
    vehicle = vehicle_object(layout="radius_arms_panhard", entries=entries, display_unit="mm")
    return client.post("/vehicles", json=vehicle).json["id"]


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
