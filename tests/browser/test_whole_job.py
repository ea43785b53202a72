"""The whole job on one vehicle, at 360 x 640 with taps: the last reading measured, a bolt moved on paper, a hole
chosen, a tube's parts stated and cut, tacked with a 4 mm weld pull, compared, and the sheet printed on both papers."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

import pytest

from tests.browser.test_measure import INCH, Window, phone, window
from tests.browser.test_print import PAPERS, pages_of, poppler
from tests.browser.test_second_look import seen
from tests.reference.pulled import two_stages

__all__ = ["phone", "poppler", "window"]

LAST = "height:upper.frame"
PULLED = "panhard.frame"


@pytest.fixture(scope="module")
def read() -> dict[str, Any]:
    """Both stages, read to half a millimetre; the panhard bar's bracket went 4 mm up when it was tacked."""
    return two_stages(4, (0.0, 0.0, 4.0), sd=0.5, moved=PULLED, worked_axle="front") | {"display_unit": "in"}


def test_from_the_last_reading_to_the_printed_sheet(phone: Window, live_server: Any, read, poppler, tmp_path):
    mock_up = [entry for entry in read["entries"] if entry["stage"] == "mock_up"]
    (last,) = [entry for entry in mock_up if entry["reading"] == LAST]
    without = read | {"entries": [entry for entry in mock_up if entry is not last]}
    vehicle = live_server.ask("/vehicles", without)["id"]
    here = f"{live_server.base}/vehicles/{vehicle}"
    page = phone.page

    phone.open(vehicle, at=LAST)
    phone.record(LAST, last["value"])
    phone.landed()
    page.goto(f"{here}/record")
    assert f"{round(last['value'] / INCH * 16) // 16}" in seen(phone)

    page.goto(f"{here}/what-if?point=upper.frame")
    before = page.locator(".beside tr", has_text="Anti-dive").inner_text()
    for _ in range(4):
        page.get_by_role("button", name="up", exact=True).tap()
    page.wait_for_function("() => document.querySelector('.hand').innerText.includes('1/4')")
    after = page.locator(".beside tr", has_text="Anti-dive").inner_text()
    assert after != before and "sure" in after
    page.get_by_label("Name").fill("A quarter up")
    page.get_by_role("button", name="Keep it").click()
    page.wait_for_url("**plan=A+quarter+up*")

    page.goto(f"{here}/holes")
    page.get_by_label("Bolt").select_option("upper.frame")
    page.get_by_label("How many holes").fill("3")
    page.get_by_label("In use is hole").fill("2")
    page.get_by_role("button", name="Keep this row").click()
    combinations = page.locator(".combos tbody tr")
    combinations.nth(2).wait_for()
    assert combinations.count() == 3
    chosen = combinations.filter(has_not_text="as it is").first
    chosen.get_by_role("link").first.click()
    page.wait_for_url("**/what-if*")
    assert re.search(r"by(,|%2C)upper\.frame", page.url)

    page.goto(f"{here}/cut/panhard?plan=A+quarter+up")
    for end, hand in (("frame", "right"), ("axle", "left")):
        page.fill(f"[id='joints.panhard.{end}.standing']", "1 5/8")
        page.select_option(f"[id='threads.panhard.{end}.size']", "7/8-14")
        page.select_option(f"[id='threads.panhard.{end}.hand']", hand)
        for part, text in (("length", "2 1/4"), ("jam_nut", "1/2"), ("lip", "0")):
            page.fill(f"[id='threads.panhard.{end}.{part}']", text)
    page.get_by_role("button", name="Keep these").click()
    page.locator("main", has_text="Cut the tube to").wait_for()

    page.goto(f"{here}/stage")
    page.locator("form .btn.go").tap()
    page.wait_for_url("**/cautions?*")
    page.locator("form .btn.go").tap()
    page.wait_for_url("**/walk?*")
    tacked = [entry for entry in read["entries"] if entry["stage"] == "tacked"]
    (pulled,) = [entry for entry in tacked if entry["reading"] == f"height:{PULLED}"]
    live_server.ask(f"/vehicles/{vehicle}/entries", {"entries": [one for one in tacked if one is not pulled]})
    phone.open(vehicle, at=pulled["reading"])
    phone.record(pulled["reading"], pulled["value"])
    phone.landed()
    stored = live_server.ask(f"/vehicles/{vehicle}/file")["entries"]
    assert [one["stage"] for one in stored if one.get("reading") == pulled["reading"]] == ["mock_up", "tacked"]

    page.goto(f"{here}/compare")
    assert "The panhard bar’s frame bolt went" in seen(phone).replace("'", "’") and "up, sure" in seen(phone)

    page.goto(f"{here}/sheet")
    for name, (wide, high) in PAPERS.items():
        pdf = Path(tmp_path) / f"{name}.pdf"
        page.pdf(path=str(pdf), format=name, prefer_css_page_size=True)
        pages = pages_of(pdf)
        text = " ".join(word.text for words in pages for word in words)
        for words in ("Bolt centres", "Tacked (this sheet)", "2 of 3", "What was never checked", "Fingerprint"):
            assert words in text, words
        for word in (word for words in pages for word in words):
            assert word.left > 0 and word.right < wide and word.top > 0 and word.bottom < high, word
