"""What goes wrong on the phone itself or between it and the laptop, beyond a laptop that does not answer: nothing typed
is lost by it, and what is said about it is true."""

from __future__ import annotations

import json
import shutil
from pathlib import Path
from typing import Any

import pytest

from capture.fingerprint import fingerprint
from capture.vehicle_file import read_vehicle_file
from tests.browser.test_away import kept, tab
from tests.browser.test_measure import INCH, PHONE, Window, entries, phone, truck, window
from tests.conftest import reading_object, vehicle_object

__all__ = ["phone", "truck", "window"]

FIRST, SECOND = "height:mark.front_left", "height:mark.front_right"
SLOW_TO_OPEN = """
    const open = IDBFactory.prototype.open;
    IDBFactory.prototype.open = function (...given) {
      const real = open.apply(this, given), late = {};
      real.onupgradeneeded = event => { late.result = real.result; late.onupgradeneeded(event); };
      real.onsuccess = () => setTimeout(() => { late.result = real.result; late.onsuccess(); }, 3000);
      return late;
    };"""
FULL = """
    const put = IDBObjectStore.prototype.put;
    window.full = false;
    IDBObjectStore.prototype.put = function (row) {
      if (window.full) throw new DOMException("full", "QuotaExceededError");
      return put.call(this, row);
    };"""
CLOSE_EVERY_CONNECTION = """() => new Promise(done => {
    const asked = indexedDB.open("plumbtack", 99);
    asked.onsuccess = () => { asked.result.close(); done(true); };
    asked.onblocked = () => done(false);
})"""
WAITING = "plumbtack.measure.outbox.waiting().length"


def values(server: Any, truck: str) -> list[float]:
    return [one["value"] / INCH for one in entries(server, truck)]


def test_what_is_recorded_before_the_phones_store_has_opened_is_kept_behind_what_was_there(
    phone: Window, truck: str, live_server: Any
):
    phone.open(truck, at=FIRST)
    phone.tap("2", "4", "Record")
    phone.landed()
    phone.page.add_init_script(SLOW_TO_OPEN)
    phone.page.goto(f"{live_server.base}/vehicles/{truck}/measure?at={SECOND}")
    phone.page.locator(".pad").wait_for()
    phone.until("plumbtack.measure.state")
    phone.page.context.set_offline(True)
    phone.tap("2", "5", "Record")
    phone.page.wait_for_selector("[data-ready]")
    phone.until(f"{WAITING} === 1")
    assert phone.page.evaluate("plumbtack.measure.outbox.rows.map(row => row.entry.reading)") == [FIRST, SECOND]
    assert phone.page.locator(".banner", has_text="own store").is_hidden()
    phone.page.context.set_offline(False)
    phone.landed()
    assert values(live_server, truck) == pytest.approx([24, 25])


def test_a_store_that_a_newer_page_or_the_browser_closed_is_opened_again_for_the_next_reading(
    phone: Window, truck: str, live_server: Any
):
    phone.open(truck, at=FIRST)
    phone.page.wait_for_timeout(500)  # nothing of the page's own is being written any more
    assert phone.page.evaluate(CLOSE_EVERY_CONNECTION), "an open page stands in nobody's way"
    phone.page.context.set_offline(True)
    phone.tap("2", "4", "Record")
    phone.until(f"{WAITING} === 1")
    assert not phone.page.evaluate("plumbtack.measure.outbox.fleeting()")
    assert phone.page.locator(".banner", has_text="own store").is_hidden()
    phone.page.close()
    phone.context.set_offline(False)
    other = tab(phone, f"{live_server.base}/vehicles/{truck}/measure")
    other.landed()
    assert values(live_server, truck) == pytest.approx([24])


def test_a_full_store_takes_what_was_held_once_there_is_room_and_the_person_comes_back(
    phone: Window, truck: str, live_server: Any
):
    phone.page.add_init_script(FULL)
    phone.open(truck, at=FIRST)
    phone.page.context.set_offline(True)
    phone.page.evaluate("window.full = true")
    phone.tap("2", "4", "Record")
    banner = phone.page.locator(".banner", has_text="takes nothing more")
    banner.wait_for()
    phone.page.evaluate("window.full = false")
    phone.page.evaluate("document.dispatchEvent(new Event('visibilitychange'))")
    banner.wait_for(state="hidden")
    phone.page.close()
    phone.context.set_offline(False)
    tab(phone, f"{live_server.base}/vehicles/{truck}/measure").landed()
    assert values(live_server, truck) == pytest.approx([24])


def test_a_page_that_alone_holds_a_reading_is_not_left_without_asking(phone: Window, truck: str, live_server: Any):
    phone.page.add_init_script(FULL)
    phone.open(truck, at=FIRST)
    address, asked = phone.page.url, []
    phone.page.evaluate("window.full = true")
    phone.context.clear_cookies()  # the laptop answers, and does not let this phone record
    phone.tap("2", "4", "Record")
    phone.page.locator(".banner", has_text="held only while this page stays open").wait_for()
    phone.comes(SECOND)
    phone.page.locator(".tb-back").tap()
    phone.page.wait_for_timeout(500)
    assert phone.page.url.split("?")[0] == address.split("?")[0]
    phone.page.on("dialog", lambda dialog: (asked.append(dialog.type), dialog.dismiss()))
    phone.page.evaluate("location.assign('/')")
    phone.page.wait_for_timeout(500)
    assert asked == ["beforeunload"]
    phone.context.new_page().goto(live_server.way_in)
    phone.landed()
    assert values(live_server, truck) == pytest.approx([24])


def test_a_fault_in_showing_what_landed_does_not_stop_what_is_sent_after_it(
    phone: Window, truck: str, live_server: Any
):
    phone.open(truck, at=FIRST)
    phone.page.evaluate("""() => { const shown = plumbtack.measure.outbox.onlanded; let first = true;
        plumbtack.measure.outbox.onlanded = (...told) => {
            if (first) { first = false; throw new Error("cannot be shown"); }
            shown(...told); }; }""")
    phone.tap("2", "4", "Record")
    phone.until("plumbtack.measure.outbox.rows.length === 1 && !plumbtack.measure.state.saving")
    phone.comes(SECOND)
    phone.tap("2", "5", "Record")
    phone.landed()
    assert values(live_server, truck) == pytest.approx([24, 25])
    assert [fault for fault in phone.faults if "cannot be shown" in fault] == phone.faults
    phone.faults.clear()


def test_a_page_opened_from_what_was_kept_counts_only_what_really_waits(phone: Window, truck: str, live_server: Any):
    phone.open(truck, at=FIRST)
    kept(phone)
    address = f"{live_server.base}/vehicles/{truck}/measure"
    for key, digits in ((FIRST, "24"), (SECOND, "25")):
        phone.comes(key)
        phone.tap(*digits, "Record")
        phone.landed()
    live_server.stop(9)
    phone.page.close()
    other = tab(phone, address)
    assert other.page.evaluate("plumbtack.measure.data.entries") == [], "the kept page is the older one"
    other.page.locator(".tb.away", has_text="laptop away, carry on").wait_for(timeout=20_000)
    assert other.page.evaluate(WAITING) == 0
    other.tap("up", "2", "Record")
    other.until(f"{WAITING} === 1")
    live_server.start()
    other.landed()
    assert len(entries(live_server, truck)) == 3


def test_a_laptop_that_answers_and_takes_nothing_is_not_called_away_and_its_own_reason_is_said(
    phone: Window, truck: str, live_server: Any
):
    full = '{"error": "The laptop\'s disk is full: nothing of this request was kept, make room and try again."}'
    phone.open(truck, at=FIRST)
    phone.page.route("**/entries", lambda route: route.fulfill(
        status=507, content_type="application/json", body=full))
    phone.tap("2", "4", "Record")
    banner = phone.page.locator(".banner", has_text="The laptop's disk is full")
    banner.wait_for()
    assert "does not answer" not in banner.inner_text() and "kept on the phone" in phone.said
    assert phone.page.locator(".tb.away", has_text="1 waiting, carry on").is_visible()
    assert phone.axe() == []
    banner.get_by_role("button", name="Seen").tap()
    assert banner.is_hidden()
    phone.page.unroute("**/entries")
    phone.landed()
    assert values(live_server, truck) == pytest.approx([24])
    phone.page.locator(".tb:not(.away)").wait_for()


def test_put_back_to_a_copy_without_this_vehicle_is_said_and_all_goes_over_once_a_newer_one_is_back(
    window: Any, live_server: Any
):
    without, newer = (live_server.data.with_name(name) for name in ("without", "newer"))
    live_server.stop()
    shutil.copytree(live_server.data, without)
    live_server.start()
    truck = live_server.ask("/vehicles", vehicle_object(display_unit="in"))["id"]
    phone = window(**PHONE)
    phone.open(truck, at=FIRST)
    live_server.stop()
    shutil.copytree(live_server.data, newer)
    put_back(live_server, without)
    banner = phone.page.locator(".banner", has_text="does not have this vehicle any more")
    banner.wait_for(timeout=20_000)
    banner.get_by_role("button", name="Seen").tap()
    phone.tap("2", "4", "Record")
    phone.page.locator(".tb.away", has_text="1 waiting, carry on").wait_for()
    live_server.stop()
    put_back(live_server, newer)
    phone.landed()
    assert values(live_server, truck) == pytest.approx([24])
    phone.page.locator(".tb:not(.away)").wait_for()


def put_back(server: Any, copy: Path) -> None:
    shutil.rmtree(server.data)
    shutil.copytree(copy, server.data)
    server.start()


@pytest.mark.parametrize("status", [400, 404, 405, 409, 413, 415, 422])
def test_a_refusal_in_the_middle_is_set_apart_and_what_stands_behind_it_goes_over(
    phone: Window, truck: str, live_server: Any, status: int
):
    phone.open(truck, at=FIRST)
    phone.page.context.set_offline(True)
    for key, digits in ((FIRST, "24"), (SECOND, "25")):
        phone.comes(key)
        phone.tap(*digits, "Record")
    phone.until(f"{WAITING} === 2")

    def refused(route: Any) -> None:
        if FIRST in (route.request.post_data or ""):
            return route.fulfill(status=status, content_type="application/json", body='{"error": "Not this one."}')
        return route.continue_()

    phone.page.route("**/entries", refused)
    phone.page.context.set_offline(False)
    phone.landed()
    assert values(live_server, truck) == pytest.approx([25])
    said = phone.page.locator(".banner").inner_text()
    assert "was not taken by the laptop and stays on the phone. Not this one." in said


def test_a_refusal_that_was_seen_is_not_told_again_and_what_was_refused_stays_on_the_phone(phone: Window, truck: str):
    phone.open(truck, at=FIRST)
    phone.page.route("**/entries", lambda route: route.fulfill(
        status=422, content_type="application/json", body='{"error": "Not this one."}'))
    phone.tap("2", "4", "Record")
    banner = phone.page.locator(".banner")
    banner.get_by_text("Not this one.").wait_for()
    phone.open(truck, at=FIRST)
    banner.get_by_text("Not this one.").wait_for()  # not seen yet
    banner.locator("button").click()
    banner.wait_for(state="hidden")
    phone.open(truck, at=FIRST)
    assert not banner.is_visible()
    assert phone.page.locator(".tb", has_text="not taken").count() == 0, "nor does the strip go on about it"
    assert phone.page.evaluate("plumbtack.measure.outbox.rows.map(row => row.entry.text)") == ["24"]


def test_a_phone_that_is_not_let_in_any_more_is_told_before_it_records(phone: Window, truck: str, live_server: Any):
    phone.open(truck, at=FIRST)
    phone.context.clear_cookies()
    phone.page.locator(".banner", has_text="This phone is not let in any more").wait_for()


@pytest.mark.parametrize("page", ["", "vehicles/{}/walk", "vehicles/{}/record"])
def test_what_waits_from_a_closed_page_goes_over_from_whatever_page_is_opened_next(
    phone: Window, truck: str, live_server: Any, page: str
):
    phone.open(truck, at=FIRST)
    phone.page.context.set_offline(True)
    phone.tap("2", "4", "Record")
    phone.until(f"{WAITING} === 1")
    phone.page.close()
    phone.context.set_offline(False)
    other = phone.context.new_page()
    other.on("pageerror", lambda fault: phone.faults.append(str(fault)))
    other.goto(f"{live_server.base}/{page.format(truck)}")
    for _ in range(100):
        if entries(live_server, truck):
            break
        other.wait_for_timeout(100)
    assert values(live_server, truck) == pytest.approx([24])


def test_a_page_of_an_older_program_is_made_anew_at_the_same_reading_once_nothing_is_being_typed(
    phone: Window, truck: str, live_server: Any
):
    phone.open(truck, at=SECOND)
    phone.page.evaluate("plumbtack.measure.data.program = 'an older one'")
    phone.tap("2", "4")
    live_server.stop()
    live_server.start()  # another run: the page is told all anew
    phone.until("plumbtack.measure.data.run !== null && !plumbtack.measure.outbox.away")
    phone.page.wait_for_timeout(2500)
    assert phone.page.evaluate("plumbtack.measure.state.text") == "24", "what is being typed stays"
    phone.tap("Record")
    phone.page.wait_for_function("() => performance.getEntriesByType('navigation')[0].type === 'reload'")
    phone.page.wait_for_selector("[data-ready]")
    assert phone.page.evaluate("plumbtack.measure.data.program") != "an older one"
    assert phone.step == "height:mark.rear_left", "the reading that was in view"
    assert values(live_server, truck) == pytest.approx([24])


def test_a_reading_of_another_phone_that_this_page_lacks_makes_it_anew(window: Any, truck: str, live_server: Any):
    phone = window(**PHONE)
    phone.open(truck, at=FIRST)
    own = "height:keep_clear.tank"
    with phone.page.expect_navigation():
        live_server.ask(f"/vehicles/{truck}/entries", {"entries": [reading_object(1, reading=own)]})
    phone.page.wait_for_selector("[data-ready]")
    assert phone.page.evaluate(f"plumbtack.measure.takesOf({own!r}).length") == 1
    assert phone.page.evaluate(f"plumbtack.measure.data.steps.some(step => step.reading === {own!r})")
    assert phone.step == FIRST


def test_readings_of_a_stage_closed_meanwhile_are_shown_with_their_values_before_the_page_goes_on(
    phone: Window, truck: str, live_server: Any
):
    phone.open(truck, at=FIRST)
    kept(phone)
    phone.tap("2", "4", "Record")
    phone.landed()
    phone.page.context.set_offline(True)
    for digits in ("25", "26"):
        phone.until("!plumbtack.measure.state.saving")
        phone.tap(*digits, "Record")
    phone.until(f"{WAITING} === 2")
    file = read_vehicle_file(json.dumps(live_server.ask(f"/vehicles/{truck}/file")), "truck")
    close = {"id": "close-000001", "at": "2026-05-02T09:14:07Z", "type": "close", "stage": "mock_up",
             "fingerprint": fingerprint(file.entries)}
    live_server.ask(f"/vehicles/{truck}/entries", {"entries": [close]})
    phone.page.context.set_offline(False)
    banner = phone.page.locator(".banner", has_text="were not taken by the laptop and stay on the phone.")
    banner.wait_for(timeout=20_000)
    assert ", 25 in; " in banner.inner_text() and ", 26 in." in banner.inner_text()
    assert "on the phone. The record of mock-up is closed" in banner.inner_text() and phone.axe() == []
    banner.get_by_role("button", name="Seen").tap()
    phone.page.wait_for_url("**/stage?closed=mock_up")
    begin = {"id": "begin-000001", "at": "2026-05-02T09:15:07Z", "type": "begin", "stage": "tacked"}
    live_server.ask(f"/vehicles/{truck}/entries", {"entries": [begin]})
    phone.page.goto(f"{live_server.base}/vehicles/{truck}/measure")  # the kept page, of the stage that is closed
    phone.page.wait_for_url("**/measure?stage=tacked")
