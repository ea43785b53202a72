"""From mock-up to tacked to closed, at 360 x 640 with real taps against the real program: a bracket pulled 4 mm by its
weld is found and named, what to do is said, the record is closed, and what comes later begins a stage of its own."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from tests.browser.test_measure import Window, phone, window
from tests.browser.test_second_look import seen
from tests.reference.pulled import two_stages

__all__ = ["phone", "window"]

PULLED = "panhard.frame"


@pytest.fixture(scope="module")
def read() -> dict[str, Any]:
    """Mock-up and tacked, read to half a millimetre; the panhard bar's bracket went 4 mm up."""
    return two_stages(4, (0.0, 0.0, 4.0), sd=0.5, moved=PULLED, worked_axle="front")


@pytest.fixture
def mocked_up(live_server: Any, read: dict[str, Any]) -> str:
    entries = [entry for entry in read["entries"] if entry["stage"] == "mock_up"]
    return live_server.ask("/vehicles", read | {"entries": entries})["id"]


def sound(phone: Window, pictures: Path | None, state: str) -> None:
    """No barrier in either scheme, on the phone and on the bench; nothing to be pushed sideways."""
    for width, height in ((1280, 800), (360, 640)):
        for scheme in ("dark", "light"):
            phone.page.emulate_media(color_scheme=scheme, reduced_motion="reduce")
            phone.page.set_viewport_size({"width": width, "height": height})
            if pictures:
                phone.page.screenshot(path=pictures / f"stages-{state}-{width}-{scheme}.png", full_page=True)
            whole = phone.page.evaluate("document.body.scrollHeight")
            phone.page.set_viewport_size({"width": width, "height": max(height, whole)})
            assert phone.axe() == [], (state, width, scheme)
            assert phone.page.evaluate("document.documentElement.scrollWidth") <= width
    phone.page.set_viewport_size({"width": 360, "height": 640})


def go(phone: Window, live_server: Any, address: str) -> str:
    phone.page.goto(live_server.base + address)
    return seen(phone)


def test_a_weld_pull_of_4_mm_from_mock_up_to_a_closed_record(phone, live_server, mocked_up, read, pictures):
    here = f"/vehicles/{mocked_up}"
    said = go(phone, live_server, f"{here}/stage")
    assert "Start tacked" in said and "count on until you read them again" in said
    sound(phone, pictures, "start")
    phone.page.locator("form .btn.go").tap()
    phone.page.wait_for_url("**/cautions?*")
    assert "A tack holds shape, not people" in seen(phone)
    sound(phone, pictures, "cautions")
    phone.page.locator("form .btn.go").tap()
    phone.page.wait_for_url("**/walk?*")
    assert "tacked" in seen(phone) and "Cautions for this stage" not in seen(phone)
    sound(phone, pictures, "walk")
    phone.page.locator(".goon a").tap()
    phone.page.wait_for_selector("[data-ready]")
    assert phone.page.evaluate("plumbtack.measure.data.stage") == "tacked"

    tacked = [entry for entry in read["entries"] if entry["stage"] == "tacked"]
    live_server.ask(f"{here}/entries", {"entries": tacked})
    said = go(phone, live_server, f"{here}/compare")
    assert "The panhard bar's frame bolt went 4" in said and "up, sure; the rest is within the tape." in said
    assert "Roll centre went from" in said and "too little to be worth the work" in said
    assert "Sure, but not worth the grinder" in said and "Less than 10 mm does not count" in said
    sound(phone, pictures, "compare")

    assert "Close tacked for good" in go(phone, live_server, f"{here}/close")
    sound(phone, pictures, "close")
    phone.page.locator("form .btn.go").tap()
    phone.page.wait_for_selector(".print")
    assert "are as they were" in seen(phone)
    sound(phone, pictures, "closed")

    late = tacked[0] | {"id": "late-reading-1", "value": tacked[0]["value"] + 1.0}
    with pytest.raises(Exception, match="422"):
        live_server.ask(f"{here}/entries", {"entries": [late]})
    go(phone, live_server, f"{here}/measure?stage=tacked")  # a page the phone kept finds out by itself
    phone.page.wait_for_url("**/stage?closed=tacked")
    said = seen(phone)
    assert "The record of tacked is closed since" in said and "Start welded" in said
    sound(phone, pictures, "refused")
    phone.page.locator("form .btn.go").tap()
    phone.page.wait_for_url("**/cautions?stage=welded*")
    live_server.ask(f"{here}/entries", {"entries": [late | {"stage": "welded"}]})
    phone.page.goto(f"{live_server.base}{here}/stage")
    phone.page.locator("#name").fill("summer tyres, 2 in lower")
    phone.page.locator("form .btn.go").tap()
    phone.page.wait_for_url("**/cautions?stage=setting_1*")
    assert "setting 1 (summer tyres, 2 in lower)" in seen(phone)
    log = live_server.ask(f"{here}/file")["entries"]
    kinds = [entry["type"] for entry in log]
    assert [kind for kind in kinds if kind in ("begin", "close")] == ["begin", "close", "begin", "begin"]
