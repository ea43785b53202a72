"""Heights of one station that nothing ties to the rest: Ready to cut names the reading that would, and opens it."""

from __future__ import annotations

import html
import re
from urllib.parse import unquote

import pytest

from capture.screens.walking import called
from tests.geometry.vehicles import SETUP, clean

LOW = ("height:upper", "height:panhard")


def low_vehicle() -> dict:
    """Uppers and panhard all read 30 mm low, their middles too."""
    seen = [(one.name, one.value - 30.0 * one.name.startswith(LOW)) for one in clean(3)]
    return {"format": "plumbtack vehicle", "version": 1, "name": "Settled", "worked_axle": SETUP.worked_axle,
            "layout": SETUP.layout, "display_unit": "mm",
            "facts": {"rough_wheelbase": SETUP.wheelbase, "tyre_diameter": SETUP.tyre_diameter},
            "entries": [{"id": f"settled-{at:04}", "at": f"2026-05-02T09:{at:02}:00Z", "stage": "mock_up",
                         "type": "reading", "reading": name, "value": round(value, 1)}
                        for at, (name, value) in enumerate(seen)]}


@pytest.fixture
def settled(client) -> str:
    return client.post("/vehicles", json=low_vehicle()).json["id"]


def test_ready_to_cut_names_the_one_reading_that_would_show_it_among_the_checks(client, settled):
    page = html.unescape(client.get(f"/vehicles/{settled}/ready").text)
    checks = page.partition("Cheapest checks")[2].partition("</ol>")[0]
    assert "Would show whether all heights at Under, middle are off alike." in checks
    (href,) = re.findall(r'href="([^"]*measure\?at=rise[^"]*upper[^"]*)"', checks)
    assert "lower_" in href and "crawl" in checks
    opened = html.unescape(client.get(href).text)
    assert "How much higher" in opened and "upper link" in opened and "Other readings" in opened


def test_once_it_is_read_it_is_named_no_more(client, settled):
    page = html.unescape(client.get(f"/vehicles/{settled}/ready").text)
    named = [unquote(at) for at in re.findall(r'measure\?at=([^"]+)', page.partition("Cheapest checks")[2])]
    name = next(at for at in named if at.startswith("rise:upper"))
    entry = {"id": "rise-0001", "at": "2026-05-02T10:30:00Z", "stage": "mock_up", "type": "reading", "reading": name,
             "value": 0.0}
    assert client.post(f"/vehicles/{settled}/entries", json={"entries": [entry]}).status_code == 200
    assert "all heights at Under, middle" not in html.unescape(client.get(f"/vehicles/{settled}/ready").text)


@pytest.mark.parametrize(("name", "opens"), [
    ("rise:upper.frame~lower_right.frame", True), ("span:lower_left.axle~upper.axle", True),
    ("height:lower_left.frame", True), ("rise:upper.frame~nowhere", False), ("height:keep_clear.anything", False),
    ("", False), ("height:upper.frame#2", False), ("‮rise:upper", False),
])
def test_a_page_may_ask_for_any_reading_between_the_layouts_own_points(settled, app, name, opens):
    vehicle = app.extensions["plumbtack"].store.vehicle(settled)
    assert called(vehicle, name) == ((name,) if opens else ())


def test_a_reading_off_the_walk_is_recorded_without_script_too(client, settled, app):
    name = "rise:upper.frame~lower_right.frame"
    page = client.get(f"/vehicles/{settled}/measure", query_string={"at": name})
    assert page.status_code == 200
    field = {"at": name, "text": "-120", "kept": "-120", "unit": "mm", "id": "plain-0001", "stage": "mock_up"}
    answer = client.post(f"/vehicles/{settled}/measure", data=field)
    assert answer.status_code == 303
    assert any(getattr(entry, "reading", "") == name for entry in app.extensions["plumbtack"].store.vehicle(
        settled).entries)
