"""A mistake from the phone to its settling, at 360 x 640, with real taps against the real program: typed, remarked on,
kept, looked at a second time, read again blind, and gone. No barrier in any state, in either scheme."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from capture.lengths import parts
from tests.browser.test_measure import DEMO, INCH, Window, phone, window

__all__ = ["phone", "window"]

DOUBTED = "height:lower_right.frame"
TURNED = "incline:lower_left.axle~lower_left.frame"
FIRST = ("1813/16", "18.8", "477.8")
"""What was read first, as a page may write it, without its spaces."""


@pytest.fixture
def nearly(live_server: Any) -> str:
    """The demo truck without the reading that holds its mistake."""
    truck = json.loads(DEMO.read_text(encoding="utf-8"))
    truck["entries"] = [entry for entry in truck["entries"] if entry.get("reading") != DOUBTED]
    return live_server.ask("/vehicles", truck)["id"]


@pytest.fixture
def mistaken(live_server: Any) -> str:
    """The demo truck with its one mistake."""
    return live_server.ask("/vehicles", json.loads(DEMO.read_text(encoding="utf-8")))["id"]


def sound(phone: Window, pictures: Path | None, state: str) -> None:
    """No barrier in this state in either scheme, and a picture of it where they are wanted."""
    size = phone.page.viewport_size
    for scheme in ("dark", "light"):
        phone.page.emulate_media(color_scheme=scheme, reduced_motion="reduce")
        if pictures:
            phone.page.screenshot(path=pictures / f"second-look-{state}-{scheme}.png")
        whole = phone.page.evaluate("document.body.scrollHeight")
        phone.page.set_viewport_size(size | {"height": max(size["height"], whole)})
        assert phone.axe() == [], (state, scheme)
        phone.page.set_viewport_size(size)
    assert phone.page.evaluate("document.documentElement.scrollWidth") <= size["width"]


def shows_first(text: str) -> bool:
    """Whether what was read first can be made out in a text, however its fraction is set."""
    bare = "".join(text.split())
    return any(one in bare for one in FIRST)


def seen(phone: Window) -> str:
    """All that can be read on the page now, the drawing's lettering with it."""
    return " ".join(phone.page.locator("main").inner_text().split())


def test_a_mistake_typed_is_remarked_on_doubted_read_again_blind_and_gone(phone, live_server, nearly, pictures):
    phone.open(nearly, at=DOUBTED)
    phone.page.keyboard.type("18 13/16")
    phone.tap("Record")
    phone.until("!plumbtack.measure.dom.remark.hidden")
    assert "This does not fit yet" in seen(phone) and "173/4" in seen(phone).replace(" ", "")
    sound(phone, pictures, "remark")
    phone.page.locator("[data-do=keep]").tap()
    phone.landed()
    phone.until("plumbtack.measure.state.last && plumbtack.measure.state.last.look")
    assert "in doubt" in phone.said
    sound(phone, pictures, "landed")
    phone.page.locator(".val a").tap()
    phone.page.wait_for_url("**/second-look*")
    text = seen(phone)
    assert "Height, right lower link, frame bolt" in text and "inch" in text
    assert "Kept against the remark" in text
    sound(phone, pictures, "doubt")
    phone.page.locator("text=Read it again").tap()
    phone.page.wait_for_selector("[data-ready]")
    assert phone.step == DOUBTED
    assert not shows_first(seen(phone))
    sound(phone, pictures, "blind")
    phone.page.keyboard.type("17 13/16")
    phone.tap("Record")
    phone.until("!plumbtack.measure.dom.both.hidden")
    assert "Read twice, and not alike" in seen(phone) and shows_first(seen(phone))
    sound(phone, pictures, "both")
    phone.page.locator(".twice [data-do=use]").tap()
    phone.page.wait_for_url("**/second-look*")
    assert "Read it again" not in seen(phone) and "Settled: 1" in seen(phone)
    assert "That doubt is gone" in phone.page.locator("[role=status]:visible").first.inner_text()
    sound(phone, pictures, "settled")
    report = live_server.ask(f"/vehicles/{nearly}/report")
    assert report["doubts"] == []
    log = live_server.ask(f"/vehicles/{nearly}/file")["entries"]
    taken, again, gone = log[-3:]
    assert (taken["text"], taken["kept"]) == ("18 13/16", True)
    assert (again["text"], gone["of"]) == ("17 13/16", taken["id"])


def test_the_first_value_stays_hidden_in_every_list_until_the_second_is_recorded(phone, mistaken):
    phone.open(mistaken, at=f"{DOUBTED}&blind=1")
    assert "The first value shows after this one" in phone.said
    phone.page.locator(".tb-count").tap()
    row = phone.page.locator(f'.side:not([hidden]) tr[data-row="{DOUBTED}"]')
    assert row.is_visible() and not shows_first(row.inner_text())
    phone.page.locator('.side:not([hidden]) tr[data-row="height:lower_right.axle"] a').tap()
    phone.comes("height:lower_right.axle")
    phone.page.locator(".tb-count").tap()
    assert not shows_first(row.inner_text())
    assert phone.page.locator(".val .undo").is_visible()


def test_read_again_blind_the_side_is_asked_anew_and_not_the_first_ones(phone, live_server):
    # The gauge read from its other end: up became down. Preset to down, the same slip would go in unseen once more.
    truck = json.loads(DEMO.read_text(encoding="utf-8"))
    (wrong,) = [one for one in truck["entries"] if one.get("reading") == TURNED]
    wrong |= {"value": -wrong["value"], "text": "-" + wrong["text"]}
    vehicle = live_server.ask("/vehicles", truck)["id"]
    phone.open(vehicle, at=f"{TURNED}&blind=1")
    assert phone.page.locator('.pad [data-side][aria-pressed="true"]').count() == 0
    phone.page.keyboard.type(wrong["text"].lstrip("-"))
    phone.tap("Record")
    assert "Up or down" in phone.said
    phone.tap("up", "Record")
    phone.until("!plumbtack.measure.dom.both.hidden")
    assert "Read twice, and not alike" in seen(phone)


def test_beside_two_readings_that_differ_the_rest_says_nothing_since_the_first_one_is_part_of_it(phone, live_server):
    truck = json.loads(DEMO.read_text(encoding="utf-8"))
    name = "height:upper.frame"
    (wrong,) = [one for one in truck["entries"] if one.get("reading") == name]
    true, wrong["value"] = wrong["value"], wrong["value"] + 12 * INCH
    vehicle = live_server.ask("/vehicles", truck)["id"]
    phone.open(vehicle, at=f"{name}&blind=1")
    phone.page.keyboard.type(str(parts(true)))
    phone.tap("Record")
    phone.until("!plumbtack.measure.dom.both.hidden")
    assert "Read twice, and not alike" in seen(phone)
    phone.page.evaluate("plumbtack.measure.draw()")
    assert "rest says" not in seen(phone) and phone.page.locator(".soon:visible").count() == 0


def test_a_second_reading_like_the_first_points_to_the_others(phone, mistaken, pictures):
    phone.open(mistaken, at=f"{DOUBTED}&blind=1")
    phone.page.keyboard.type("18 13/16")
    phone.tap("Record")
    phone.until("!plumbtack.measure.dom.both.hidden")
    assert "Read twice, and alike" in seen(phone) and "another reading" in seen(phone)
    sound(phone, pictures, "alike")
    phone.page.locator(".twice [data-do=both]").tap()
    phone.page.wait_for_url("**/second-look*")
    assert "Settled" not in seen(phone) and "Still in doubt" in seen(phone)


def test_a_doubt_is_kept_by_a_tap_and_opened_again(phone, live_server, mistaken, pictures):
    phone.open(mistaken, "second-look")
    phone.page.locator("text=Correct, keep or set aside").tap()
    phone.page.wait_for_url("**/settle?*")
    sound(phone, pictures, "settle")
    phone.page.locator("text=Keep it as read").tap()
    phone.page.wait_for_selector("text=Say in a few words why")
    sound(phone, pictures, "settle-refused")
    phone.page.locator("label:has-text('This vehicle is so')").tap()
    phone.page.locator("text=Keep it as read").tap()
    phone.page.wait_for_selector("text=Settled: 1")
    assert live_server.ask(f"/vehicles/{mistaken}/report")["doubts"] == []
    sound(phone, pictures, "kept")
    phone.page.locator("text=Open it again").tap()
    phone.page.wait_for_selector("text=Read it again")


def test_ready_to_cut_on_the_phone(phone, mistaken, pictures):
    phone.open(mistaken, "ready")
    assert "Settle 1 doubt first" in seen(phone)
    sound(phone, pictures, "ready")
    for summary in phone.page.locator("details.slips summary").all():
        summary.tap()
    sound(phone, pictures, "ready-slips")


def test_settling_works_without_any_script(chromium, live_server, mistaken):
    context = chromium.new_context(viewport={"width": 360, "height": 640}, java_script_enabled=False)
    page = context.new_page()
    page.goto(live_server.way_in)
    page.goto(f"{live_server.base}/vehicles/{mistaken}/second-look")
    page.click("text=Correct, keep or set aside")
    page.click("button:has-text('Correct')")
    assert "Settled: 1" in page.inner_text("main")
    assert live_server.ask(f"/vehicles/{mistaken}/report")["doubts"] == []
    context.close()


def test_a_tie_a_shared_mistake_and_stated_parts_on_the_phone(phone, live_server, pictures):
    def truck(name: str, facts: dict[str, Any], **added: float) -> str:
        whole = json.loads(DEMO.read_text(encoding="utf-8")) | {"name": name}
        whole["entries"] = [entry for entry in whole["entries"] if entry.get("reading") != DOUBTED]
        for entry in whole["entries"]:
            for part, amount in added.items():
                if entry.get("reading", "").startswith(part.replace("__", ":")):
                    entry |= {"value": entry["value"] + amount, "text": ""}
        whole["facts"] |= facts
        return live_server.ask("/vehicles", whole)["id"]

    phone.open(truck("Tied", {}, span__drag_link=25.4), "second-look")
    assert "One of these three" in seen(phone) and "Read again" in seen(phone)
    sound(phone, pictures, "tie")
    phone.open(truck("Gauge", {}, incline__=2.0), "second-look")
    assert "readings at" in seen(phone) and "too high" in seen(phone)
    phone.page.locator(".members summary").first.tap()
    sound(phone, pictures, "shared")
    parts = {"tubes": {"upper": {"outside_diameter": 38.1, "wall": 6.35}},
             "threads": {"upper": {"frame": {"pitch": 1.8143, "hand": "right", "diameter": 25.4}}}}
    tight = truck("Tight", parts)
    phone.open(tight, "second-look")
    assert "too tight for an insert" in seen(phone)
    sound(phone, pictures, "parts")
    phone.page.locator("text=I have looked, it is so").tap()
    phone.page.wait_for_url("**/settle?*")
    sound(phone, pictures, "parts-settle")
    phone.page.locator("label:has-text('Measured with a caliper')").tap()
    phone.page.locator("text=Keep it as stated").tap()
    phone.page.wait_for_selector("text=Settled: 1")
    (kept,) = live_server.ask(f"/vehicles/{tight}/report")["kept"]
    assert kept["facts"] == ["tubes.upper", "threads.upper.frame"] and kept["note"] == "Measured with a caliper"
    sound(phone, pictures, "parts-kept")
    phone.page.locator("text=Open it again").tap()
    phone.page.wait_for_selector("text=I have looked, it is so")
    phone.page.locator("text=Look at what is stated").tap()
    phone.page.wait_for_url("**/facts*")
    field = phone.page.locator('[id="threads.upper.frame.insert"]')
    field.fill("1 in")
    phone.page.locator("text=Keep these").tap()
    phone.page.wait_for_url("**/facts?saved")
    assert live_server.ask(f"/vehicles/{tight}/report")["doubts"] == []
