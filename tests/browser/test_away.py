"""The laptop is away: what a browser allows on plain http is done, and what it does not is said beforehand."""

from __future__ import annotations

import signal
from typing import Any

import pytest

from tests.browser.test_measure import INCH, PHONE, Window, entries, orchard, phone, truck, window

__all__ = ["orchard", "phone", "truck", "window"]


def kept(one: Window) -> None:
    """Waits until the page has kept itself."""
    one.page.wait_for_selector("[data-kept]")


def tab(one: Window, address: str) -> Window:
    """Another tab of the same browser, looked at as the first one is."""
    other = Window.__new__(Window)
    other.server, other.context, other.faults, other.elsewhere = one.server, one.context, [], []
    other.page = one.context.new_page()
    other.page.on("pageerror", lambda fault: one.faults.append(str(fault)))
    other.page.goto(address)
    other.page.wait_for_selector("[data-ready]")
    return other


def test_with_the_laptop_away_a_new_tab_opens_the_walk_stands_at_the_next_reading_and_records(
    phone: Window, truck: str, live_server: Any
):
    phone.open(truck, at="height:mark.front_left")
    kept(phone)
    live_server.stop(signal.SIGKILL)
    phone.tap("2", "4", "Record")
    phone.comes("height:mark.front_right")
    address = phone.page.url
    phone.page.close()
    other = tab(phone, address)
    other.until("plumbtack.measure.outbox.waiting().length === 1")
    assert other.step == "floor_slope:fore_aft", "without the address of a reading it is the first that waits"
    other.tap("Skip", "Skip")
    assert other.step == "height:mark.front_right", "what was recorded in the closed tab is taken"
    other.tap("2", "5", "Record")
    other.page.locator(".tb.away", has_text="2 waiting, carry on").wait_for(timeout=20_000)
    live_server.start()
    other.landed()
    assert [one["value"] for one in entries(live_server, truck)] == pytest.approx([24 * INCH, 25 * INCH])


def test_that_a_reload_shows_an_empty_page_meanwhile_is_said_before_and_a_new_tab_then_opens_it_again(
    phone: Window, truck: str, live_server: Any
):
    from playwright.sync_api import Error

    phone.open(truck, at="height:mark.front_left")
    kept(phone)
    address = phone.page.url
    live_server.stop(signal.SIGKILL)
    banner = phone.page.locator(".banner", has_text="Do not reload")
    banner.wait_for(timeout=20_000)
    assert "open it in a new tab" in banner.inner_text()
    assert phone.axe() == [] and not phone.scrolls()
    asked = []
    phone.page.on("dialog", lambda dialog: (asked.append(dialog.type), dialog.accept()))
    phone.tap("2", "4", "Record")
    with pytest.raises(Error, match="ERR_CONNECTION_REFUSED"):
        phone.page.reload()
    assert asked == ["beforeunload"], "the browser asks before it throws the page away"
    other = tab(phone, address)
    other.until("plumbtack.measure.outbox.waiting().length === 1")
    live_server.start()
    other.landed()
    assert [one["value"] for one in entries(live_server, truck)] == pytest.approx([24 * INCH])


def test_once_the_laptop_is_back_a_page_opened_from_what_was_kept_takes_in_what_came_meanwhile(
    window: Any, truck: str, live_server: Any
):
    phone = window(**PHONE)
    phone.open(truck, at="height:mark.front_left")
    kept(phone)
    address = phone.page.url
    other = window(**PHONE)
    other.open(truck, at="height:mark.front_left")
    other.tap("2", "4", "Record")
    other.landed()
    live_server.stop()
    phone.page.close()
    again = tab(phone, address)
    assert again.page.evaluate("plumbtack.measure.data.entries.length") == 0, "the kept page is the older one"
    live_server.start()
    again.until("plumbtack.measure.data.entries.length === 1")
    assert "24 in" in again.said


def test_a_laptop_back_after_moments_leaves_no_word_of_it(phone: Window, truck: str, live_server: Any):
    phone.open(truck, at="height:mark.front_left")
    live_server.stop(signal.SIGKILL)
    phone.page.locator(".tb.away").wait_for(timeout=20_000)
    live_server.start()
    phone.page.locator(".tb:not(.away)").wait_for(timeout=20_000)
    assert phone.page.locator(".banner").is_hidden()


def test_the_way_back_does_not_lose_the_page_while_the_laptop_is_away(phone: Window, truck: str, live_server: Any):
    phone.open(truck, at="height:mark.front_left")
    address = phone.page.url
    live_server.stop(signal.SIGKILL)
    phone.page.locator(".tb.away").wait_for(timeout=20_000)
    phone.page.locator(".banner button").tap()
    phone.page.locator(".tb-back").tap()
    phone.page.wait_for_timeout(300)
    assert phone.page.url == address and phone.page.locator(".banner").is_visible()
    rows = phone.page.locator(".side:not([hidden]) [data-row] a")
    assert rows.first.is_visible()
    rows.nth(1).tap()
    phone.page.locator(".banner button").tap()
    phone.tap("2", "4", "Record")
    live_server.start()
    phone.page.locator(".tb:not(.away)").wait_for(timeout=20_000)
    phone.page.locator(".tb-back").tap()
    phone.page.wait_for_url("**/walk*")


def test_a_doubt_about_a_reading_taken_while_away_is_said_whichever_was_taken_after_it(
    phone: Window, orchard: str, live_server: Any
):
    doubted, fitting = "height:lower_left.frame", "height:lower_right.axle"
    phone.open(orchard, at=doubted)
    phone.until("!plumbtack.measure.state.fetching")
    before = phone.page.evaluate("plumbtack.measure.data.doubts")
    live_server.stop(signal.SIGKILL)
    for step, off in ((doubted, 3), (fitting, 0)):
        phone.page.evaluate(f"plumbtack.measure.show(plumbtack.measure.find({step!r}))")
        expected = phone.page.evaluate("plumbtack.measure.state.step.expected") / INCH
        phone.page.keyboard.type(str(round(8 * expected) / 8 + off))
        phone.page.keyboard.press("Enter")
        if off:
            phone.page.locator(".remark [data-do=keep]").tap()
        phone.until("!plumbtack.measure.state.saving && !plumbtack.measure.state.text")
    live_server.start()
    phone.landed()
    phone.page.locator(".val .look2", has_text="second look").wait_for()
    assert "saved" in phone.said
    assert doubted in set(phone.page.evaluate("plumbtack.measure.data.doubts")) - set(before)
