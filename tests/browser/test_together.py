"""Two phones and the laptop on one vehicle at once, and two tabs of one phone: nothing lost, and all see the same."""

from __future__ import annotations

import json
import statistics
import time
from typing import Any

import pytest

from tests.browser.test_away import tab
from tests.browser.test_measure import BENCH, DEMO, INCH, PHONE, Window, entries, phone, truck, window

__all__ = ["phone", "truck", "window"]

MARKS = ("height:mark.front_left", "height:mark.front_right", "height:mark.rear_right", "height:mark.rear_left")
SOON, AT_MOST = 2.0, 5.0
"""Seconds: the middle one of several, and the longest on a machine that has much else to do."""


def seconds_until(one: Window, true: str) -> float:
    began = time.monotonic()
    one.until(true)
    return time.monotonic() - began


def count_is(number: int) -> str:
    return f"plumbtack.measure.data.entries.length === {number}"


def record_is(number: int) -> str:
    return f"document.querySelector('#readings').innerText === 'Readings: {number}'"


def test_each_of_two_phones_and_the_laptop_sees_what_the_others_read_within_two_seconds(
    window: Any, truck: str, live_server: Any
):
    first, second, bench = window(**PHONE), window(**PHONE), window(**BENCH)
    bench.open(truck, "record")
    first.open(truck, at=MARKS[0])
    second.open(truck, at=MARKS[2])
    took = []
    for number, (one, other) in enumerate(((first, second), (second, first)) * 2, start=1):
        one.tap("2", "4", "Record")
        one.landed()
        took += [seconds_until(other, count_is(number)), seconds_until(bench, record_is(number))]
    assert statistics.median(took) < SOON and max(took) < AT_MOST, took
    first.page.locator(".tb-count").tap()
    row = f"document.querySelector('[data-row=\"{MARKS[2]}\"]').dataset.state === 'done'"
    first.until(row)


def test_the_same_reading_taken_on_both_phones_is_two_takes_and_both_see_both(
    window: Any, truck: str, live_server: Any
):
    first, second = window(**PHONE), window(**PHONE)
    for one in (first, second):
        one.open(truck, at=MARKS[0])
    second.tap("2", "4")  # is typing while the other records
    first.tap("2", "4", "1/8", "Record")
    first.landed()
    second.until(count_is(1))
    assert second.page.evaluate("plumbtack.measure.state.text") == "24", "what is being typed stays"
    second.tap("Record")
    second.landed()
    assert [one["value"] for one in entries(live_server, truck)] == pytest.approx([24.125 * INCH, 24 * INCH])
    takes = f"plumbtack.measure.takesOf({MARKS[0]!r}).length === 2"
    for one in (first, second):
        one.until(takes)
    report = live_server.ask(f"/vehicles/{truck}/report")
    assert {MARKS[0], f"{MARKS[0]}#2"} <= set(report["fit"]["each"])


def test_what_another_phone_reads_or_withdraws_at_the_reading_in_view_is_said_and_shown(
    window: Any, truck: str, live_server: Any
):
    first, second, bench = window(**PHONE), window(**PHONE), window(**BENCH)
    first.open(truck, at=MARKS[0])
    second.open(truck, at=MARKS[0])
    first.tap("2", "4", "1/8", "Record")
    first.landed()
    second.until("document.querySelector('.say').innerText.includes('Just read elsewhere: 24 1/8')")
    second.page.locator(".val .undo").tap()
    assert second.page.locator(".readhere li").count() == 1
    bench.open(truck, "record")
    first.open(truck, at=MARKS[0])
    first.page.locator(".val .undo").tap()
    first.page.locator(".readhere [data-reason=Misread]").tap()
    first.landed()
    second.until("!document.querySelector('.readhere li')")
    assert "Withdrawn elsewhere: 24 1/8" in second.page.locator(".announce").inner_text()
    second.page.locator(".readhere [data-do=close]").tap()
    assert "Withdrawn elsewhere: 24 1/8" in second.said and second.axe() == []
    bench.page.locator("li.gone", has_text="Misread").wait_for(timeout=int(1000 * AT_MOST))


def test_a_doubt_settled_elsewhere_meanwhile_is_said_and_leads_back_without_a_second_withdrawal(
    window: Any, live_server: Any
):
    orchard = live_server.ask("/vehicles", json.loads(DEMO.read_text(encoding="utf-8")))["id"]
    bench, phone = window(**BENCH), window(**PHONE)
    for one in (bench, phone):
        one.open(orchard, "second-look")
        one.page.get_by_text("Correct, keep or set aside").first.click()
    phone.page.get_by_role("button", name="Set it aside").click()
    phone.page.wait_for_url("**/second-look**")
    before = len(entries(live_server, orchard))
    bench.page.get_by_role("button", name="Set it aside").click()
    bench.page.get_by_role("alert").filter(has_text="It was settled already").wait_for()
    assert len(entries(live_server, orchard)) == before
    bench.page.get_by_role("link", name="Back to second look").click()
    bench.page.wait_for_url("**/second-look")


def test_two_tabs_at_the_same_reading_are_pointed_out_in_both_and_both_takes_are_kept(
    phone: Window, truck: str, live_server: Any
):
    phone.open(truck, at=MARKS[0])
    other = tab(phone, f"{live_server.base}/vehicles/{truck}/measure?at={MARKS[0]}")
    for one in (phone, other):
        one.page.locator(".tb.away", has_text="open at this reading in another tab").wait_for()
    assert other.axe() == []
    phone.tap("2", "4", "Record")
    other.page.locator(".tb:not(.away)").wait_for()
    other.until(f"plumbtack.measure.takesOf({MARKS[0]!r}).length === 1")
    other.tap("2", "4", "1/8", "Record")
    for one in (phone, other):
        one.landed()
        one.until(f"plumbtack.measure.takesOf({MARKS[0]!r}).length === 2")
    assert len(entries(live_server, truck)) == 2


def test_what_waits_in_a_closed_tab_goes_over_from_the_one_that_is_still_open(
    phone: Window, truck: str, live_server: Any
):
    phone.open(truck, at=MARKS[0])
    other = tab(phone, f"{live_server.base}/vehicles/{truck}/measure?at={MARKS[1]}")
    live_server.stop(9)
    other.tap("2", "5", "Record")
    other.until("plumbtack.measure.outbox.waiting().length === 1")
    other.page.close()
    phone.until("plumbtack.measure.outbox.waiting().length === 1")
    live_server.start()
    phone.landed()
    assert [one["reading"] for one in entries(live_server, truck)] == [MARKS[1]]
