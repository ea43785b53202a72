"""The phone's own store and clock: full soon is said before it is full, a laptop put back to an older copy is given
what it lacks while the page stays open, and a clock an hour off changes which take comes first and nothing else."""

from __future__ import annotations

import shutil
from datetime import datetime
from pathlib import Path
from typing import Any

import pytest

from tests.browser.test_measure import INCH, PHONE, Window, entries, phone, truck, window

__all__ = ["phone", "truck", "window"]

SMALL_STORE = """
    const put = IDBObjectStore.prototype.put;
    IDBObjectStore.prototype.put = function (row) {
      if (row.bytes && row.bytes.length > 500000) throw new DOMException("full", "QuotaExceededError");
      return put.call(this, row);
    };"""
HOUR_AHEAD = """
    const real = Date;
    window.Date = class extends real {
      constructor(...given) { if (given.length) super(...given); else super(real.now() + 3600000); }
      static now() { return real.now() + 3600000; }
    };"""
FIRST = "height:mark.front_left"


def test_a_phone_store_that_is_nearly_full_is_said_before_it_is_and_readings_still_land(
    phone: Window, truck: str, live_server: Any
):
    phone.page.add_init_script(SMALL_STORE)
    phone.open(truck, at=FIRST)
    banner = phone.page.locator(".banner", has_text="nearly full")
    banner.wait_for()
    assert phone.axe() == []
    banner.get_by_role("button", name="Seen").tap()
    phone.tap("2", "4", "Record")
    phone.landed()
    assert banner.is_hidden() and len(entries(live_server, truck)) == 1


def test_looking_for_room_leaves_nothing_in_the_store_and_is_never_sent(phone: Window, truck: str, live_server: Any):
    phone.open(truck, at=FIRST)
    assert phone.page.locator(".banner").is_hidden()
    phone.tap("2", "4", "Record")
    phone.landed()
    phone.page.evaluate("""() => { const asked = indexedDB.open("plumbtack", 1);
        asked.onsuccess = () => { const rows = asked.result.transaction("entries").objectStore("entries").getAllKeys();
            rows.onsuccess = () => { window.found = rows.result; }; }; }""")
    phone.until("window.found")
    assert phone.page.evaluate("window.found") == [entries(live_server, truck)[0]["id"]]


def test_an_open_page_gives_a_laptop_put_back_to_an_older_copy_what_it_lacks(
    phone: Window, truck: str, live_server: Any
):
    live_server.stop()
    older: Path = live_server.data.with_name("older")
    shutil.copytree(live_server.data, older)
    live_server.start()
    assert entries(live_server, truck) == []  # so has the older copy; later the phone may be quicker than we are
    phone.open(truck, at=FIRST)
    phone.tap("2", "4", "Record")
    phone.landed()
    live_server.stop()
    shutil.rmtree(live_server.data)
    shutil.copytree(older, live_server.data)
    live_server.start()
    for _ in range(100):
        if entries(live_server, truck):
            break
        phone.page.wait_for_timeout(100)
    assert [one["value"] for one in entries(live_server, truck)] == pytest.approx([24 * INCH])


def test_with_one_phones_clock_an_hour_ahead_both_takes_count_and_the_later_time_is_the_second(
    window: Any, truck: str, live_server: Any
):
    ahead, right = window(**PHONE), window(**PHONE)
    ahead.page.add_init_script(HOUR_AHEAD)
    ahead.open(truck, at=FIRST)
    ahead.tap("2", "4", "1/8", "Record")
    ahead.landed()
    right.open(truck, at=FIRST)
    right.tap("2", "4", "Record")
    right.landed()
    first, second = entries(live_server, truck)
    apart = datetime.fromisoformat(first["at"]) - datetime.fromisoformat(second["at"])
    assert 3000 < apart.total_seconds() <= 3600, "the log keeps the order of arrival and what each phone wrote"
    report = live_server.ask(f"/vehicles/{truck}/report")["fit"]["each"]
    residuals = {key: report[key]["residual"] for key in (FIRST, f"{FIRST}#2")}
    assert residuals[FIRST] - residuals[f"{FIRST}#2"] == pytest.approx(INCH / 8), "the one read at the later time is #2"
    for one in (ahead, right):
        one.until(f"plumbtack.measure.takesOf({FIRST!r}).length === 2")
