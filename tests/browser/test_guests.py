"""Who may come in, seen from the screens: guests look and change nothing, and a new key made on the laptop throws
everybody else out after saying so."""

from __future__ import annotations

import json
from typing import Any

import pytest

from tests.browser.test_measure import BENCH, DEMO, PHONE, Window, entries, phone, window
from tests.conftest import LiveServer

__all__ = ["phone", "window"]

ROOMS = ("walk", "measure?at=height:lower_left.axle", "second-look", "ready", "shape", "behaviour", "record", "facts")
AT_REST = """() => [...document.querySelectorAll('form[method=post] :is(input, select, textarea, button)')]
    .filter(one => one.type !== 'hidden' && !one.disabled && one.checkVisibility()).map(one => one.outerHTML)"""


@pytest.fixture
def orchard(live_server: LiveServer) -> str:
    """The demo truck with its whole log and its one mistake."""
    return live_server.ask("/vehicles", json.loads(DEMO.read_text(encoding="utf-8")))["id"]


@pytest.fixture
def guest(phone: Window, live_server: LiveServer) -> Window:
    """A phone that came in with the code for guests."""
    phone.context.clear_cookies()
    phone.page.goto(next(word for line in live_server.said.splitlines() if line.startswith("For guests")
                         for word in line.split() if word.startswith("http")))
    return phone


@pytest.mark.parametrize("room", ROOMS)
def test_on_a_guests_screens_what_would_change_something_is_hidden_or_at_rest_and_it_says_so(
    guest: Window, orchard: str, room: str
):
    guest.page.goto(f"{guest.server.base}/vehicles/{orchard}/{room}")
    assert "with the guests’ code" in guest.page.locator("body").inner_text()
    assert guest.page.evaluate(AT_REST) == []
    assert guest.page.evaluate("document.documentElement.scrollWidth") <= 360
    guest.page.evaluate("document.querySelectorAll('.rooms').forEach(bar => { bar.style.position = 'static'; })")
    whole = guest.page.evaluate("document.body.scrollHeight")
    guest.page.set_viewport_size({"width": 360, "height": max(640, whole)})
    assert guest.axe() == []


def test_the_first_page_offers_a_guest_nothing_that_makes_a_vehicle_or_shows_a_key(guest: Window, orchard: str):
    guest.page.goto(guest.server.base)
    text = guest.page.locator("main").inner_text()
    assert "Orchard truck" in text
    assert not any(words in text for words in ("New vehicle", "Open a vehicle file", "Let the phone in"))
    assert guest.page.goto(guest.server.base + "/let-in").status == 403
    assert "nothing was changed" in guest.page.locator("main").inner_text()


def test_to_a_guest_the_keypad_says_look_not_record_and_keys_and_keyboard_record_nothing(
    guest: Window, orchard: str, live_server: LiveServer
):
    before = entries(live_server, orchard)
    guest.open(orchard, at="height:lower_left.axle")
    assert guest.page.locator(".pad").is_hidden() and guest.page.locator(".val .undo").is_hidden()
    assert "you may look, not record" in guest.page.locator("main").inner_text()
    assert "taken:" in guest.said
    guest.page.keyboard.type("24 1/8")
    guest.page.keyboard.press("Enter")
    guest.page.get_by_role("button", name="Next").tap()
    there = guest.step
    guest.page.get_by_role("button", name="Before").tap()
    assert (guest.step, there != guest.step) == ("height:lower_left.axle", True)
    assert guest.page.evaluate("plumbtack.measure.outbox.rows.length") == 0
    assert entries(live_server, orchard) == before


def test_readings_that_wait_on_a_phone_that_is_now_a_guest_stay_there_and_it_says_how_they_come_over(
    guest: Window, orchard: str, live_server: LiveServer
):
    before = len(entries(live_server, orchard))
    guest.open(orchard, at="height:lower_left.axle")
    guest.page.evaluate("""() => plumbtack.measure.outbox.add({id: plumbtack.newId(), at: "2026-05-02T09:14:07Z",
        stage: "mock_up", type: "reading", reading: "height:lower_left.axle", value: 357.2})""")
    guest.page.locator(".banner", has_text="other code of the laptop").wait_for()
    assert len(entries(live_server, orchard)) == before
    guest.page.goto(live_server.way_in)
    guest.open(orchard)
    guest.landed()
    assert len(entries(live_server, orchard)) == before + 1


def test_a_page_kept_for_a_guest_is_not_what_the_same_phone_gets_once_it_may_record(
    guest: Window, orchard: str, live_server: LiveServer
):
    guest.open(orchard)
    guest.page.wait_for_selector("[data-kept]")
    guest.page.goto(live_server.way_in)
    guest.open(orchard)
    assert guest.page.locator(".pad").is_visible()


def let_in(page: Any) -> str:
    return page.locator("main").inner_text()


def test_the_page_that_lets_in_has_a_second_code_for_guests_folded_away_from_the_first(window: Any):
    bench = window(**BENCH)
    bench.page.goto(bench.server.base + "/let-in")
    assert bench.page.locator("figure.qr:visible").count() == bench.page.locator(".lock figure.qr").count() >= 1
    bench.page.get_by_text("A code for guests").click()
    code = bench.page.locator(".ways figure.qr code").first.inner_text()
    assert bench.page.locator(".ways figure.qr svg").first.is_visible()
    other = window(**PHONE)
    other.context.clear_cookies()
    other.page.goto(code)
    assert "nothing you tap changes it" in other.page.locator("body").inner_text()


def test_a_new_key_is_made_on_the_laptop_itself_only_and_from_elsewhere_it_says_where(window: Any, live_server: Any):
    if live_server.host == "127.0.0.1":
        pytest.skip("this machine has no network address to come from")
    bench = window(**BENCH)
    bench.page.goto(bench.server.base + "/let-in")
    bench.page.get_by_text("A new key, and").click()
    assert bench.page.get_by_role("button", name="Make a new key").count() == 0
    assert "on the laptop itself" in let_in(bench.page)


@pytest.fixture
def here(tmp_path: Any) -> Any:
    """The program as it usually runs: on every network, so that the laptop reaches it as localhost."""
    from tests.conftest import free_port

    server = LiveServer(tmp_path / "here", "127.0.0.1", free_port("127.0.0.1"))
    server.start()
    yield server
    server.stop(9)


def test_a_new_key_says_before_whom_it_throws_out_then_does_it_and_keeps_what_waits(chromium: Any, here: LiveServer):
    laptop = chromium.new_context(viewport=BENCH["viewport"]).new_page()
    laptop.goto(here.way_in)
    truck = here.ask("/vehicles", json.loads(DEMO.read_text(encoding="utf-8")))["id"]
    other = Window(chromium, here, **PHONE)
    other.open(truck, at="height:lower_left.axle")
    look = Window(chromium, here, **PHONE)
    look.open(truck, "record")
    laptop.goto(here.base + "/let-in")
    laptop.get_by_text("A new key, and").click()
    before = let_in(laptop)
    assert "every phone and browser but this one is outside" in before and "wait on a phone stay there" in before
    laptop.get_by_role("button", name="Make a new key").click()
    laptop.wait_for_url("**/let-in?renewed")
    assert "There is a new key" in let_in(laptop)
    other.page.keyboard.type("14 1/16")
    other.page.keyboard.press("Enter")
    other.page.locator(".banner", has_text="not let in any more").wait_for()
    other.until("plumbtack.measure.outbox.waiting().length === 1")
    look.page.get_by_text("This phone is not paired yet").wait_for()
    assert laptop.goto(f"{here.base}/vehicles/{truck}/record").status == 200
    here.key = laptop.context.cookies()[-1]["value"]
    count = len(entries(here, truck))
    other.context.new_page().goto(here.way_in)  # the camera opens the new code in a tab of its own
    other.page.bring_to_front()
    other.landed()
    assert len(entries(here, truck)) == count + 1
    for one in (other.context, look.context, laptop.context):
        one.close()
