"""Measuring on a phone of 360 x 640, with real taps, against the real program at a network address."""

from __future__ import annotations

import json
import re
import shutil
import signal
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from capture import report
from capture.lengths import parts
from capture.screens.measure_words import stands_now
from capture.screens.words import sentence_start
from capture.vehicle_file import read_vehicle_file
from capture.walk import CHECK, walk_of
from geometry.figures import catalogue
from geometry.layouts import LAYOUTS
from tests.conftest import vehicle_object

PHONE = {"viewport": {"width": 360, "height": 640}, "is_mobile": True, "has_touch": True}
BENCH = {"viewport": {"width": 1280, "height": 800}}
DEMO = Path(__file__).parents[2] / "demo_vehicles" / "orchard_truck.json"
RULES = ["wcag2a", "wcag2aa", "wcag21aa", "wcag22aa", "best-practice"]
INCH = 25.4


class Window:
    """One window on the program, paired: its page, and what went wrong in it."""

    def __init__(self, chromium: Any, server: Any, **look: Any) -> None:
        self.server = server
        self.context = chromium.new_context(**look)
        self.page = self.context.new_page()
        self.faults: list[str] = []
        self.elsewhere: list[str] = []
        self.page.on("pageerror", lambda fault: self.faults.append(str(fault)))
        self.page.on("request", lambda asked: asked.url.startswith(server.base) or self.elsewhere.append(asked.url))
        self.page.goto(server.way_in)

    def open(self, vehicle: str, room: str = "measure", at: str = "") -> None:
        self.page.goto(f"{self.server.base}/vehicles/{vehicle}/{room}" + (f"?at={at}" if at else ""))
        if room == "measure":
            self.page.wait_for_selector("[data-ready]")

    @property
    def step(self) -> str:
        """The key of the step in view."""
        return self.page.locator(".step:not([hidden])").get_attribute("data-key")

    @property
    def said(self) -> str:
        """The words beside the value, as a screen reader hears them."""
        return self.page.locator(".val .say").evaluate("(place) => plumbtack.heard(place)")

    def tap(self, *keys: str) -> None:
        """Taps keys of the keypad: digits, "5/8", "+1/16", "up", or the words on a key."""
        for key in keys:
            where = f'[data-put="{key}"]' if len(key) == 1 else f'[data-fraction="{key}"]'
            words = {"Record": "[data-do=record]", "+1/16": "[data-do=sixteenth]", "Skip": "[data-do=skip]",
                     "Cannot": "[data-do=cannot]", "unit": "[data-do=unit]", "up": '[data-side="+"]',
                     "down": '[data-side="-"]', "clear": "[data-do=clear]:visible"}
            self.page.locator(".pad " + words.get(key, where)).tap()

    def record(self, key: str, value: float) -> None:
        """Reads this value at this step as a person would: in inches to a sixteenth, or in degrees to a tenth."""
        assert self.step == key
        self.until("plumbtack.measure.data.entries.length >= plumbtack.measure.outbox.rows.length")
        if key.startswith(("incline", "caster", "floor_slope")):
            for side in ("-", "+"):
                if (value < 0) == (side == "-"):
                    self.page.locator(f'.pad [data-side="{side}"]').tap()
            self.page.keyboard.type(f"{abs(value):.1f}")
        else:
            sides = self.page.locator(".step:not([hidden]) .sides")
            if sides.is_visible():
                sides.locator(f'[data-side="{"-" if value < 0 else "+"}"]').tap()
            self.page.keyboard.type(str(parts(abs(value))))
        self.tap("Record")

    def until(self, true: str, seconds: float = 20.0) -> None:
        """Waits until a script expression is true; asked from outside, since the page's own policy forbids eval."""
        for _ in range(int(seconds * 20)):
            if self.page.evaluate(f"Boolean({true})"):
                return
            self.page.wait_for_timeout(50)
        shown = self.page.locator("main").inner_text()
        raise AssertionError(f"not within {seconds} s: {true}; the page shows {shown!r}")

    def landed(self) -> None:
        """Waits until everything recorded is on the laptop's disk."""
        self.until("!plumbtack.measure.state.saving && plumbtack.measure.outbox.rows.length && "
                   "plumbtack.measure.outbox.rows.every(row => row.landed || row.refused)")

    def comes(self, key: str) -> None:
        """Waits until that step is in view."""
        self.until(f"plumbtack.measure.state.step && plumbtack.measure.state.step.key === {key!r}")

    def axe(self) -> list[str]:
        """What an accessibility check finds in the page as it stands."""
        from axe_playwright_python.sync_playwright import Axe

        found = Axe().run(self.page, options={"runOnly": {"type": "tag", "values": RULES}})
        return [f"{one['id']}: {one['nodes'][0]['html'][:200]}" for one in found.response["violations"]]

    def scrolls(self) -> bool:
        return self.page.evaluate(
            "document.documentElement.scrollHeight > innerHeight || document.documentElement.scrollWidth > innerWidth")


@pytest.fixture
def window(chromium: Any, live_server: Any) -> Iterator[Any]:
    """window(**look) opens one more window; at the end no script may have failed and nothing have left the laptop."""
    windows: list[Window] = []

    def opened(**look: Any) -> Window:
        windows.append(Window(chromium, live_server, **look))
        return windows[-1]

    yield opened
    for one in windows:
        one.context.close()
    assert [fault for one in windows for fault in one.faults] == []
    assert [url for one in windows for url in one.elsewhere] == []


@pytest.fixture
def phone(window: Any) -> Window:
    return window(**PHONE)


@pytest.fixture
def truck(live_server: Any) -> str:
    """A front three-link in inches, nothing measured."""
    return live_server.ask("/vehicles", vehicle_object(display_unit="in", facts={"brake_share_front": 0.62}))["id"]


@pytest.fixture
def orchard(live_server: Any) -> str:
    """The demo truck with its whole log."""
    import json

    return live_server.ask("/vehicles", json.loads(DEMO.read_text(encoding="utf-8")))["id"]


@pytest.fixture(scope="session")
def true_values() -> Any:
    """What each reading shows on one and the same invented truck: the demo truck as its own fit has it."""
    fitted = report.build(read_vehicle_file(DEMO.read_text(encoding="utf-8"), "demo")).fit
    return lambda reading: float(fitted.predict([reading.partition("#")[0]])[0][0])


def entries(server: Any, vehicle: str) -> list[dict[str, Any]]:
    return server.ask(f"/vehicles/{vehicle}/file")["entries"]


def test_fifteen_readings_one_an_inch_off_are_walked_remarked_corrected_and_give_a_figure(
    phone: Window, truck: str, live_server: Any, true_values: Any
):
    phone.open(truck, at="height:lower_left.axle")
    off_by_an_inch = "height:lower_left.frame"
    walked = []
    for _ in range(14):
        key = phone.step
        if key == off_by_an_inch:
            phone.tap("Skip")
            key = phone.step
        phone.record(key, true_values(key))
        phone.until(f"plumbtack.measure.state.step.key !== {key!r}")
        walked.append(key)
    phone.landed()
    phone.page.locator(".tb-count").tap()   # not this station any more: the walk has moved on
    phone.open(truck, at=off_by_an_inch)
    true = true_values(off_by_an_inch)
    phone.record(off_by_an_inch, true + INCH)
    phone.until("!document.querySelector('.remark').hidden")
    remark = phone.page.locator(".remark")
    assert "This does not fit yet" in remark.inner_text() and "Likely:" in remark.inner_text()
    assert phone.page.locator(".pad").is_hidden()
    phone.page.locator(".remark [data-do=again]").tap()
    phone.record(off_by_an_inch, true)
    phone.landed()
    stored = {entry["reading"]: entry["value"] for entry in entries(live_server, truck)}
    assert len(stored) == 15 and set(stored) == {*walked, off_by_an_inch}
    assert stored[off_by_an_inch] == pytest.approx(true, abs=INCH / 32)
    phone.open(truck, "behaviour/link_length.lower_left")
    length = live_server.ask(f"/vehicles/{truck}/report")["figures"]["link_length.lower_left"]
    assert length["value"] == pytest.approx(true_values("span:lower_left.axle~lower_left.frame"), abs=6)
    assert str(parts(length["value"])) in phone.page.locator("main").text_content()


def test_the_expected_value_is_not_shown_before_a_digit_is_typed(
    phone: Window, live_server: Any, true_values: Any
):
    demo = json.loads(DEMO.read_text(encoding="utf-8"))
    demo["entries"] = [one for one in demo["entries"] if one.get("reading") != "height:upper.middle"]
    phone.open(live_server.ask("/vehicles", demo)["id"], at="height:upper.middle")
    shown = phone.page.locator("main").evaluate("(place) => plumbtack.heard(place)")
    expected = phone.page.evaluate("plumbtack.measure.state.step.expected")
    assert phone.page.locator(".val output").inner_text().strip() == "0"
    assert expected == pytest.approx(true_values("height:upper.middle"), abs=3.0)
    for value in (expected, true_values("height:upper.middle")):
        assert str(parts(value)) not in shown


def test_36_5_8_takes_four_taps_and_36_11_16_five_with_the_one_that_records_it(
    phone: Window, truck: str, live_server: Any
):
    # 36 5/8 in = 930.275 mm, 36 11/16 in = 931.8625 mm, by the definition of the inch.
    phone.open(truck, at="height:wheel_left.centre")
    phone.tap("3", "6", "5/8", "Record")
    phone.page.locator(".remark [data-do=keep]").tap() if phone.page.locator(".remark").is_visible() else None
    phone.open(truck, at="height:other_left.centre")
    phone.tap("3", "6", "5/8", "+1/16", "Record")
    phone.page.wait_for_timeout(600)
    phone.page.locator(".remark [data-do=keep]").tap() if phone.page.locator(".remark").is_visible() else None
    phone.landed()
    assert [entry["value"] for entry in entries(live_server, truck)] == [930.275, 931.8625]


@pytest.mark.parametrize(("keys", "text"), [
    (("7/8", "+1/16"), "15/16"), (("+1/16",), "1/16"), (("1", "9", "1/8", "3/4"), "19 3/4"), (("3/8", "+1/16"), "7/16"),
    (("2", "7/8", "+1/16", "+1/16"), "3"), (("1", ".", "5"), "1.5"), (("1", "9", "1/8", "2"), "192 1/8"),
])
def test_fraction_keys_add_up_to_what_the_tape_shows(phone: Window, truck: str, keys: tuple[str, ...], text: str):
    phone.open(truck, at="height:wheel_left.centre")
    phone.tap(*keys)
    assert phone.page.evaluate("plumbtack.measure.state.text") == text


def test_rubbing_out_takes_a_fraction_off_whole(phone: Window, truck: str):
    phone.open(truck, at="height:wheel_left.centre")
    phone.tap("1", "9", "1/8")
    for left in ("19", "1", ""):
        phone.page.locator("[data-do=rub]").tap()
        assert phone.page.evaluate("plumbtack.measure.state.text") == left


def test_typing_and_enter_record_too(phone: Window, truck: str, live_server: Any):
    phone.open(truck, at="height:mark.front_left")
    phone.page.keyboard.type("24 1/8")
    phone.page.keyboard.press("Enter")
    phone.landed()
    (entry,) = entries(live_server, truck)
    assert (entry["value"], entry["text"], entry["unit"]) == (612.775, "24 1/8", "in")
    assert phone.step == "height:mark.front_right"


def test_every_unit_is_within_reach(phone: Window, truck: str):
    phone.open(truck, at="height:mark.front_left")
    seen = []
    for _ in range(4):
        seen.append(phone.page.locator(".unitname").inner_text())
        phone.page.locator(".unitname").tap()
    assert seen == ["in", "ft", "mm", "cm"]
    phone.tap("unit", "4", "8", "6")
    assert phone.said == "19 1/8 in".replace(" ", "") or "19" in phone.said


def test_taps_faster_than_the_page_make_one_row(phone: Window, truck: str, live_server: Any):
    phone.open(truck, at="height:mark.front_left")
    phone.tap("2", "4")
    phone.page.evaluate("for (let i = 0; i < 5; i++) document.querySelector('[data-do=record]').click()")
    phone.page.locator("[data-do=record]").dblclick()
    phone.landed()
    assert len(entries(live_server, truck)) == 1


def test_plain_http_has_no_random_uuid_and_ids_are_made_all_the_same(phone: Window, truck: str, live_server: Any):
    if live_server.host == "127.0.0.1":
        pytest.skip("this machine has no network address: a loopback page is a secure one")
    phone.open(truck, at="height:mark.front_left")
    assert phone.page.evaluate("[isSecureContext, typeof crypto.randomUUID]") == [False, "undefined"]
    phone.tap("2", "4", "Record")
    phone.landed()
    assert len(entries(live_server, truck)[0]["id"]) == 32


def test_left_or_right_is_asked_only_where_it_could_be_either(
    phone: Window, truck: str, orchard: str, live_server: Any
):
    phone.open(truck, at="lateral:upper.frame")
    sides = phone.page.locator(".step:not([hidden]) .sides")
    assert sides.is_visible()
    phone.tap("4", "Record")
    phone.page.wait_for_timeout(200)
    assert phone.said == "Left or right? Tap one."
    assert not phone.page.evaluate("plumbtack.measure.outbox.rows.length")
    sides.get_by_text("right of the centreline").tap()
    phone.tap("Record")
    phone.landed()
    assert [entry["value"] for entry in entries(live_server, truck)] == [-101.6]
    assert entries(live_server, truck)[0]["text"] == "-4"
    phone.open(orchard, at="lateral:lower_right.frame")
    assert phone.page.locator(".step:not([hidden]) .sides").is_hidden()
    phone.tap("1", "5")
    assert phone.said.endswith(", right")


@pytest.mark.parametrize("typed", [(), ("1", "1")])
def test_the_side_keys_stay_while_the_reading_is_in_view_though_an_answer_makes_the_side_sure(
    phone: Window, live_server: Any, typed: tuple[str, ...]
):
    demo = json.loads(DEMO.read_text(encoding="utf-8"))
    taken = next(one for one in demo["entries"] if one.get("reading") == "lateral:upper.frame")
    demo["entries"] = [one for one in demo["entries"] if "upper" not in one.get("reading", "")]
    made = live_server.ask("/vehicles", demo)["id"]
    phone.open(made, at="lateral:upper.frame")
    sides = phone.page.locator(".step:not([hidden]) .sides")
    assert sides.is_visible()
    phone.tap(*typed)
    before = sides.bounding_box()
    live_server.ask(f"/vehicles/{made}/entries", {"entries": [taken | {"id": "elsewhere-01"}]})
    phone.until("plumbtack.measure.sideOf(plumbtack.measure.state.step) !== null")
    phone.page.wait_for_timeout(100)
    assert sides.is_visible() and sides.bounding_box() == before
    pressed = sides.locator("[aria-pressed=true]")
    assert pressed.count() == (0 if typed else 1), "what is being typed has no side but the one he taps"
    sides.get_by_text("left of the centreline").tap()
    assert pressed.inner_text() == "left of the centreline"
    assert phone.page.get_by_role("button", name="other side").is_hidden()
    phone.page.evaluate("plumbtack.measure.show(plumbtack.measure.find('height:upper.frame'))")
    phone.page.evaluate("plumbtack.measure.show(plumbtack.measure.find('lateral:upper.frame'))")
    assert sides.is_hidden()


def test_where_the_cross_line_is_nobody_assumes(phone: Window, truck: str):
    phone.open(truck, at="fore_aft:lower_left.frame")
    assert phone.page.locator(".step:not([hidden]) .sides").is_visible()
    phone.open(truck, at="lateral:lower_left.frame")
    assert phone.page.locator(".step:not([hidden]) .sides").is_hidden()


def test_at_the_end_what_was_skipped_is_said_and_asked_for(phone: Window, live_server: Any):
    demo = json.loads(DEMO.read_text(encoding="utf-8"))
    left = ("height:upper.frame", "height:upper.axle")
    checks = [step.reading for step in walk_of("three_link_panhard", "front").steps if step.priority == CHECK]
    kept = [one for one in demo["entries"] if one.get("reading") not in left and one["type"] == "reading"]
    unread = {*checks, *(step.reading for step in walk_of("three_link_panhard", "front").steps)} - {
        one["reading"] for one in kept} - set(left)
    notes = [{"id": f"cannot-{number:03d}", "at": "2026-05-02T09:00:00Z", "stage": "mock_up", "type": "note",
              "reading": reading, "note": "cannot reach"} for number, reading in enumerate(sorted(unread))]
    truck = live_server.ask("/vehicles", demo | {"entries": [*kept, *notes]})["id"]
    phone.open(truck)
    assert phone.step in left
    end = phone.page.locator(".walkdone")
    while not end.is_visible():
        phone.tap("Skip")
        phone.page.wait_for_timeout(50)
    assert "2 readings you skipped are left" in end.inner_text() and "is taken" not in end.inner_text()
    assert phone.axe() == []
    end.get_by_role("button", name="Take what was skipped").tap()
    assert phone.step in left
    phone.tap("2", "4", "3/8", "Record")
    phone.page.wait_for_timeout(300)
    if phone.page.locator(".remark").is_visible():
        phone.page.locator(".remark [data-do=keep]").tap()
    phone.until("document.querySelector('.step:not([hidden])')")
    phone.tap("Skip")
    end.wait_for()
    assert "One reading you skipped is left" in end.inner_text()


def test_at_a_check_the_count_says_how_many_of_them_are_left(phone: Window, live_server: Any):
    demo = json.loads(DEMO.read_text(encoding="utf-8"))
    checks = {step.reading for step in walk_of("three_link_panhard", "front").steps if step.priority == CHECK}
    demo["entries"] = [one for one in demo["entries"] if one.get("reading") not in checks]
    phone.open(live_server.ask("/vehicles", demo)["id"], at="across:lower_left.axle~lower_right.axle")
    counted = " ".join(phone.page.locator(".tb-count").inner_text().split())
    assert re.fullmatch(rf"{len(checks)} checks", counted), counted


def test_a_value_that_cannot_be_read_is_said_beside_the_number_and_nothing_is_kept(phone: Window, truck: str):
    phone.open(truck, at="height:mark.front_left")
    phone.page.keyboard.type("24 9/8")
    phone.page.keyboard.press("Enter")
    assert "did you mean 25 1/8" in phone.said
    assert phone.page.evaluate("plumbtack.measure.outbox.rows.length") == 0


def test_out_of_range_is_remarked_and_kept_is_kept(phone: Window, truck: str, live_server: Any):
    phone.open(truck, at="height:mark.front_left")
    phone.tap("2", "5", "1", "Record")
    phone.page.locator(".remark").wait_for()
    phone.page.locator(".remark [data-do=keep]").tap()
    phone.landed()
    (entry,) = entries(live_server, truck)
    assert entry["kept"] is True and entry["value"] == pytest.approx(251 * INCH)


def test_what_landed_is_said_with_what_it_did_and_can_be_taken_back(phone: Window, orchard: str, live_server: Any):
    before = len(entries(live_server, orchard))
    phone.open(orchard, at="height:lower_left.axle")
    phone.page.keyboard.type("14 1/16")
    phone.page.keyboard.press("Enter")
    phone.until("document.querySelector('.val .say').innerText.includes('saved, fits')")
    phone.page.locator(".val .undo").tap()
    phone.comes("height:lower_left.axle")
    phone.landed()
    after = entries(live_server, orchard)
    assert len(after) == before + 2
    assert (after[-1]["type"], after[-1]["of"]) == ("withdraw", after[-2]["id"])


def test_a_take_is_withdrawn_with_a_reason_and_stays_in_the_log(phone: Window, orchard: str, live_server: Any):
    phone.open(orchard, at="height:lower_left.axle")
    phone.page.locator(".val .undo").tap()
    phone.page.locator(".readhere [data-reason=Misread]").first.tap()
    phone.landed()
    last = entries(live_server, orchard)[-1]
    assert (last["type"], last["note"]) == ("withdraw", "Misread")
    assert phone.said == ""


def test_skip_stays_on_the_phone_and_cannot_reach_goes_into_the_log(phone: Window, truck: str, live_server: Any):
    phone.open(truck)
    phone.tap("Skip")
    assert phone.step == "floor_slope:across"
    phone.tap("Cannot")
    phone.comes("height:mark.front_left")
    phone.landed()
    (note,) = entries(live_server, truck)
    assert (note["type"], note["reading"], note["note"]) == ("note", "floor_slope:across", "cannot reach")
    phone.open(truck)
    assert phone.step == "height:mark.front_left"


def test_going_back_shows_the_reading_before_and_the_list_leads_anywhere(phone: Window, truck: str):
    phone.open(truck, at="height:mark.front_left")
    phone.tap("2", "4", "Record")
    phone.comes("height:mark.front_right")
    phone.page.go_back()
    assert phone.step == "height:mark.front_left"
    phone.page.locator(".tb-count").tap()
    phone.page.locator('.side:not([hidden]) [data-row="height:mark.rear_right"] a').tap()
    assert phone.step == "height:mark.rear_right"


def test_with_the_server_away_entries_wait_and_then_land_once(phone: Window, truck: str, live_server: Any):
    phone.open(truck, at="height:mark.front_left")
    live_server.stop(signal.SIGKILL)
    for digits in ("24", "25", "26"):
        phone.tap(*digits, "Record")
        phone.page.wait_for_timeout(150)
    phone.page.locator(".tb.away", has_text="3 waiting, carry on").wait_for(timeout=15_000)
    assert phone.step == "height:mark.rear_right"
    live_server.start()
    phone.landed()
    values = [entry["value"] for entry in entries(live_server, truck)]
    assert values == pytest.approx([24 * INCH, 25 * INCH, 26 * INCH])
    phone.until("!document.querySelector('.tb.away')")


def test_a_reload_keeps_what_waits_and_stands_at_the_next_reading(phone: Window, truck: str, live_server: Any):
    phone.open(truck)
    live_server.stop(signal.SIGKILL)
    for _ in range(2):
        phone.page.keyboard.type("0.1")
        phone.tap("up", "Record")
        phone.page.wait_for_timeout(150)
    live_server.start()
    phone.page.reload()
    phone.page.wait_for_selector("[data-ready]")
    assert phone.step == "height:mark.front_left"
    phone.landed()
    assert [entry["reading"] for entry in entries(live_server, truck)] == ["floor_slope:fore_aft", "floor_slope:across"]


def test_a_laptop_put_back_to_an_older_backup_gets_the_entries_again(phone: Window, truck: str, live_server: Any):
    live_server.stop()
    backup = live_server.data.with_name("backup")
    shutil.copytree(live_server.data, backup)
    live_server.start()
    assert entries(live_server, truck) == []  # so has the backup; later the phone may be quicker than we are
    phone.open(truck, at="height:mark.front_left")
    phone.tap("2", "4", "Record")
    phone.landed()
    live_server.stop()
    shutil.rmtree(live_server.data)
    shutil.copytree(backup, live_server.data)
    live_server.start()
    phone.open(truck)
    phone.until("plumbtack.measure.data.entries.length === 1")
    assert [entry["value"] for entry in entries(live_server, truck)] == pytest.approx([24 * INCH])


def test_an_entry_the_laptop_will_not_take_does_not_hold_up_the_next(phone: Window, truck: str, live_server: Any):
    phone.open(truck, at="height:mark.front_left")
    phone.page.evaluate("""() => plumbtack.measure.outbox.add({id: plumbtack.newId(), at: "2026-05-02T09:14:07Z",
        stage: "mock_up", type: "reading", reading: "height:no.such.point", value: 1})""")
    phone.tap("2", "4", "Record")
    phone.landed()
    phone.page.locator(".tb", has_text="1 not taken by the laptop").wait_for()
    banner = phone.page.locator(".banner")
    assert "stays on the phone" in banner.inner_text()
    banner.get_by_role("button", name="Seen").tap()
    assert banner.is_hidden()
    assert [entry["value"] for entry in entries(live_server, truck)] == pytest.approx([24 * INCH])


def test_a_full_phone_store_is_said_and_the_entry_still_goes_over(phone: Window, truck: str, live_server: Any):
    phone.open(truck, at="height:mark.front_left")
    phone.page.evaluate(
        "() => { IDBObjectStore.prototype.put = () => { throw new DOMException('full', 'QuotaExceededError') } }")
    live_server.stop(signal.SIGKILL)
    phone.tap("2", "4", "Record")
    phone.page.locator(".banner", has_text="takes nothing more").wait_for()
    live_server.start()
    phone.landed()
    assert [entry["value"] for entry in entries(live_server, truck)] == pytest.approx([24 * INCH])


def test_the_open_page_on_the_laptop_follows_the_phone_without_disturbing_what_is_typed(
    window: Any, phone: Window, truck: str
):
    bench = window(**BENCH)
    bench.open(truck, at="height:mark.rear_right")
    bench.page.keyboard.type("24 1")
    phone.open(truck, at="height:mark.front_left")
    phone.tap("2", "4", "Record")
    phone.landed()
    row = bench.page.locator('.side:not([hidden]) [data-row="height:mark.front_left"]')
    bench.until("document.querySelector('[data-row=\"height:mark.front_left\"]').dataset.state === 'done'", 6)
    assert "24" in row.inner_text()
    assert bench.page.evaluate("plumbtack.measure.state.text") == "24 1"


def test_the_keypad_for_the_other_hand_is_remembered(phone: Window, truck: str):
    def left_edge(key: str) -> float:
        return phone.page.locator(f'.pad [data-do="{key}"]').bounding_box()["x"]

    phone.open(truck, at="height:mark.front_left")
    assert left_edge("record") > left_edge("unit")
    phone.page.locator(".step:not([hidden]) summary").tap()
    phone.page.locator(".step:not([hidden]) [data-do=lefty]").tap()
    phone.open(truck, at="height:mark.front_left")
    assert left_edge("record") < left_edge("unit")


def test_a_point_of_ones_own_is_added_by_its_name(phone: Window, truck: str, live_server: Any):
    phone.open(truck, "walk")
    phone.page.locator("#own").fill("Oil pan <b>left</b>")
    phone.page.get_by_role("button", name="Measure it").tap()
    phone.page.wait_for_selector("[data-ready]")
    assert phone.step == "height:keep_clear.oil_pan_b_left_b"
    phone.tap("1", "2", "Record")
    phone.landed()
    assert entries(live_server, truck)[0]["reading"] == "height:keep_clear.oil_pan_b_left_b"


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_no_state_of_the_walk_has_an_accessibility_violation_or_scrolls(window: Any, orchard: str, scheme: str):
    phone = window(**PHONE, color_scheme=scheme)
    found: dict[str, list[str]] = {}

    def look(state: str) -> None:
        found[state] = phone.axe() + (["it scrolls"] if phone.scrolls() else [])

    phone.open(orchard, at="height:lower_left.frame")
    look("measure")
    phone.page.locator(".step:not([hidden]) summary").tap()
    look("more")
    phone.page.locator(".step:not([hidden]) summary").tap()
    phone.page.locator(".tb-count").tap()
    look("list")
    phone.page.locator(".tb-count").tap()
    phone.page.locator(".val .undo").tap()
    look("takes")
    phone.page.keyboard.press("Escape")
    phone.page.keyboard.type("20 1/8")
    phone.page.keyboard.press("Enter")
    phone.page.locator(".remark").wait_for()
    look("remark")
    phone.open(orchard, at="incline:pinion")
    look("angle")
    phone.page.keyboard.press("Escape")
    phone.open(orchard, at="weight:front")
    look("weight")
    phone.open(orchard, "walk")
    found["stations"] = phone.axe()
    assert {state: trouble for state, trouble in found.items() if trouble} == {}


def test_what_a_reading_gained_is_never_cut_off_whatever_it_is_called(phone: Window, truck: str, live_server: Any):
    kinds = [catalogue(layout, axle) for layout in LAYOUTS for axle in ("front", "rear")]
    titles = {kind.title for known in kinds for kind in known.values()}
    phone.open(truck, at="height:mark.front_left")
    phone.tap("1", "0", "7", "7/8", "+1/16", "Record")
    if phone.page.locator(".remark").is_visible():
        phone.page.locator(".remark [data-do=keep]").tap()
    phone.landed()
    phone.page.locator(".val .saved").wait_for()
    cut = phone.page.locator(".val .say").evaluate("""(say, lines) => lines.filter(words => {
        say.querySelectorAll(".gained, .look2").forEach(one => one.remove());
        const line = document.createElement("span");
        line.className = "gained";
        line.textContent = words;
        say.append(line);
        return say.scrollHeight > say.clientHeight;
    })""", [stands_now(sentence_start(title)) for title in sorted(titles)])
    assert cut == []
