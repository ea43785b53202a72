"""The laptop is away, and the person is not at the walk: every room says so, no button leads to the browser's own error
page, nothing typed is gone, and what can wait on the phone goes over once."""

from __future__ import annotations

import shutil
import signal
from collections.abc import Callable
from typing import Any

import pytest

from tests.browser.test_measure import DEMO, INCH, PHONE, Window, entries, phone, truck, window
from tests.browser.test_second_look import mistaken

__all__ = ["mistaken", "phone", "truck", "window"]

LONG = 30_000
ROOMS = ("walk", "second-look", "shape", "behaviour", "record", "facts", "stage", "photos", "what-if", "new")
STRIP = ".laptopaway"
LOSE_AN_ANSWER = """() => {
    const real = window.fetch;
    window.fetch = (...asked) => real(...asked).then(answer => {
      if ((asked[1] || {}).method !== "POST") return answer;
      window.fetch = real;
      throw new TypeError(`${answer.status} lost on the way`);
    });
}"""


def log(server: Any, vehicle: str, *kinds: str) -> list[dict[str, Any]]:
    """The entries of these kinds, in the log's order."""
    return [one for one in server.ask(f"/vehicles/{vehicle}/file")["entries"] if one["type"] in kinds]


def taken_back(server: Any, vehicle: str) -> list[dict[str, Any]]:
    """What was withdrawn since the demo was made."""
    return [one for one in log(server, vehicle, "withdraw") if not one["id"].startswith("orchard-")]


def go(phone: Window, server: Any, vehicle: str, room: str) -> Any:
    """The room, once its page can hold what is typed."""
    phone.page.goto(at(server, vehicle, room))
    ready(phone.page)
    return phone.page


def at(server: Any, vehicle: str, room: str) -> str:
    return f"{server.base}/{room}" if room == "new" else f"{server.base}/vehicles/{vehicle}/{room}"


def ready(page: Any) -> None:
    page.wait_for_selector("[data-onphone][data-ready]", state="attached")


def until_over(page: Any) -> None:
    page.locator("[data-onphone]", has_text="on the laptop now").wait_for(timeout=LONG)


def eventually(page: Any, holds: Callable[[], Any]) -> Any:
    for _ in range(200):
        if found := holds():
            return found
        page.wait_for_timeout(100)
    raise AssertionError("it did not come to hold")


# ---- the strip ----


def test_every_room_says_that_the_laptop_is_away_and_how_much_waits_and_stops_saying_it(
    phone: Window, truck: str, live_server: Any
):
    tabs = {}
    for room in ROOMS:
        tabs[room] = phone.context.new_page()
        tabs[room].goto(at(live_server, truck, room))
        ready(tabs[room])
        assert tabs[room].locator(STRIP).is_hidden()
    phone.open(truck, at="height:mark.front_left")
    live_server.stop(signal.SIGKILL)
    phone.tap("2", "4", "Record")
    for room, tab in tabs.items():
        strip = tab.locator(STRIP, has_text="Laptop away, 1 waiting")
        strip.wait_for(timeout=LONG)
        assert strip.get_attribute("role") == "status", room
    live_server.start()
    for tab in tabs.values():
        tab.locator(STRIP).wait_for(state="hidden", timeout=LONG)
    phone.landed()
    assert len(entries(live_server, truck)) == 1


def test_what_is_pressed_in_vain_says_at_once_that_the_laptop_is_away(phone: Window, live_server: Any):
    page = phone.page
    page.clock.install()  # nothing is asked by itself any more once the page stands
    page.goto(at(live_server, "", "new"))
    ready(page)
    page.clock.pause_at(page.evaluate("Date.now()") + 1000)
    filled_in(page)
    page.route("**/*", lambda route: route.abort())
    page.get_by_role("button", name="Start the walk").click()
    page.locator(STRIP, has_text="Laptop away").wait_for()


def test_a_link_to_another_room_stays_on_this_page_while_the_laptop_is_away(
    phone: Window, truck: str, live_server: Any
):
    page = go(phone, live_server, truck, "walk")
    address = page.url
    live_server.stop(signal.SIGKILL)
    page.locator(STRIP).wait_for(timeout=LONG)
    page.locator(".rooms a", has_text="Shape").click()
    page.locator(STRIP, has_text="That page is on the laptop").wait_for()
    assert page.url == address
    live_server.start()
    page.locator(STRIP).wait_for(state="hidden", timeout=LONG)
    page.locator(".rooms a", has_text="Shape").click()
    page.wait_for_url("**/shape*")


@pytest.mark.parametrize("gone", ["the laptop", "the network"])
@pytest.mark.parametrize(("room", "tapped"), [
    ("facts", ".rooms a >> text=Shape"), ("shape", ".rooms a >> text=Behaviour"), ("walk", "text=Measure it"),
    ("cut", "main li a >> nth=0"),
])  # fmt: skip
def test_a_tap_made_before_anybody_could_notice_does_not_leave_the_page_either(
    phone: Window, mistaken: str, live_server: Any, room: str, tapped: str, gone: str
):
    page = go(phone, live_server, mistaken, room)
    if room == "walk":
        page.locator("main input[type=text]").fill("oil pan")
    here = page.url
    if gone == "the network":
        page.context.set_offline(True)
    else:
        live_server.stop(signal.SIGKILL)
        page.wait_for_timeout(1600)  # what the page last heard of the laptop is no news any more
    page.locator(tapped).first.click()
    page.locator(STRIP, has_text="Laptop away").wait_for(timeout=LONG)
    assert page.url == here and page.locator("main h1, main .tb-name").count()


@pytest.mark.parametrize(("room", "tapped", "leads"), [
    ("shape?view=side", ".v a >> nth=1", "**/shape?*point=*"), ("walk", ".plan a >> nth=2", "**/measure?at=*"),
    ("record", "a:has-text('Start tacked, welded')", "**/stage"), ("facts", ".rooms a >> text=Shape", "**/shape*"),
    ("walk", "text=Measure it", "**/measure?*"),
])  # fmt: skip
def test_with_the_laptop_there_a_page_that_was_left_alone_for_a_while_leads_on_as_ever(
    phone: Window, mistaken: str, live_server: Any, room: str, tapped: str, leads: str
):
    page = go(phone, live_server, mistaken, room)
    page.evaluate("document.addEventListener('htmx:beforeRequest', event => event.preventDefault())")
    if "Measure it" in tapped:
        page.locator("main input[type=text]").fill("oil pan")
    page.wait_for_timeout(2000)  # the page has not heard of the laptop for a moment and asks first
    page.locator(tapped).first.click(force=True)
    page.wait_for_url(leads)


def test_a_step_in_what_if_that_the_laptop_did_not_answer_is_said_where_it_would_have_shown(
    phone: Window, mistaken: str, live_server: Any
):
    page = go(phone, live_server, mistaken, "what-if?point=upper.frame")
    page.route("**/what-if?*", lambda route: route.abort("connectionrefused"))
    page.get_by_role("button", name="up", exact=True).click()
    said = page.get_by_text("The laptop works these figures out and does not answer")
    said.wait_for()
    assert said.is_visible()
    page.unroute("**/what-if?*")
    page.get_by_role("button", name="up", exact=True).click()
    said.wait_for(state="hidden")
    page.wait_for_url("**do=by*")


# ---- what waits ----


def settled_by_keeping(phone: Window, server: Any, vehicle: str) -> Any:
    page = go(phone, server, vehicle, "second-look")
    page.locator("a[href*='/settle']").first.click()
    ready(page)
    page.context.set_offline(True)
    page.get_by_label("Or in your words").fill("The bracket is so")
    page.get_by_role("button", name="Keep it as read").click()
    return page


def test_keeping_a_doubted_reading_waits_with_its_reason_and_arrives_once(
    phone: Window, mistaken: str, live_server: Any
):
    page = settled_by_keeping(phone, live_server, mistaken)
    page.get_by_text("Kept on this phone. It goes over by itself").wait_for(timeout=LONG)
    assert page.get_by_label("Or in your words").input_value() == "The bracket is so"
    page.get_by_role("button", name="Keep it as read").click()  # once more: it is the same one
    page.wait_for_timeout(300)
    assert log(live_server, mistaken, "keep") == []
    page.context.set_offline(False)
    until_over(page)
    (kept,) = log(live_server, mistaken, "keep")
    assert kept["note"] == "The bracket is so"


def test_an_answer_lost_on_the_way_settles_no_doubt_twice(phone: Window, mistaken: str, live_server: Any):
    page, lost = go(phone, live_server, mistaken, "second-look"), []

    def swallow(route: Any) -> None:
        if route.request.method == "POST" and not lost:
            lost.append(route.fetch().status)
            return route.abort()
        return route.continue_()

    page.route("**/settle", swallow)
    page.locator("a[href*='/settle']").first.click()
    ready(page)
    page.get_by_role("button", name="Correct").first.click()
    until_over(page)
    assert lost == [200]
    assert len(taken_back(live_server, mistaken)) == 1
    assert len([one for one in log(live_server, mistaken, "reading") if one["note"].startswith("corrected")]) == 1


def test_a_settling_and_its_taking_back_both_wait_and_go_over_in_order(
    phone: Window, mistaken: str, live_server: Any
):
    page = go(phone, live_server, mistaken, "second-look")
    page.locator("a[href*='/settle']").first.click()
    ready(page)
    page.get_by_role("button", name="Set it aside").click()
    page.wait_for_url("**/second-look?settled=*")
    ready(page)
    page.context.set_offline(True)
    page.locator(".settled form button").first.click()
    page.get_by_text("Kept on this phone").wait_for(timeout=LONG)
    page.context.set_offline(False)
    until_over(page)
    aside, back = log(live_server, mistaken, "set_aside", "withdraw")[-2:]
    assert (aside["type"], back["type"], back["of"]) == ("set_aside", "withdraw", aside["id"])


def test_a_reading_withdrawn_in_the_record_waits_with_its_reason(phone: Window, mistaken: str, live_server: Any):
    page = go(phone, live_server, mistaken, "record")
    page.context.set_offline(True)
    page.locator(".take-back summary").first.click()
    form = page.locator(".take-back form").first
    form.get_by_label("Why?").fill("Misread")
    form.get_by_role("button", name="Withdraw it").click()
    page.get_by_text("Kept on this phone").wait_for(timeout=LONG)
    assert form.get_by_label("Why?").input_value() == "Misread"
    page.context.set_offline(False)
    until_over(page)
    (gone,) = taken_back(live_server, mistaken)
    assert gone["note"] == "Misread"


def test_facts_typed_while_away_wait_and_only_what_was_typed_is_changed(
    phone: Window, mistaken: str, live_server: Any
):
    page = go(phone, live_server, mistaken, "facts")
    share = page.get_by_label("Yokes out of line by")
    page.context.set_offline(True)
    share.fill("12")
    page.get_by_role("button", name="Keep these").click()
    page.get_by_text("Kept on this phone").wait_for(timeout=LONG)
    assert share.input_value() == "12"
    before = live_server.ask(f"/vehicles/{mistaken}/file")["facts"]
    page.context.set_offline(False)
    until_over(page)
    after = live_server.ask(f"/vehicles/{mistaken}/file")["facts"]
    changed = {key for key in {**before, **after} if before.get(key) != after.get(key)}
    assert len(changed) == 1, changed


def test_what_figures_are_counted_with_waits_too(phone: Window, mistaken: str, live_server: Any):
    page = go(phone, live_server, mistaken, "record")
    page.context.set_offline(True)
    page.get_by_label("Front share of braking, %").fill("61")
    page.locator("#facts button").click()
    page.get_by_text("Kept on this phone").wait_for(timeout=LONG)
    page.context.set_offline(False)
    until_over(page)
    assert live_server.ask(f"/vehicles/{mistaken}/file")["facts"]["brake_share_front"] == 0.61


def test_a_stage_started_while_away_is_begun_once(phone: Window, mistaken: str, live_server: Any):
    page = go(phone, live_server, mistaken, "stage")
    page.context.set_offline(True)
    page.locator("form .btn.go").click()
    page.get_by_text("Kept on this phone").wait_for(timeout=LONG)
    page.context.set_offline(False)
    until_over(page)
    (begun,) = log(live_server, mistaken, "begin")
    assert begun["stage"] == "tacked"


def test_with_the_laptop_there_a_settling_goes_on_to_what_became_of_it(
    phone: Window, mistaken: str, live_server: Any
):
    page = go(phone, live_server, mistaken, "second-look")
    page.locator("a[href*='/settle']").first.click()
    ready(page)
    page.get_by_role("button", name="Correct").first.click()
    page.wait_for_url("**/second-look?settled=*")
    page.get_by_text("That doubt is gone").wait_for()


def test_a_value_that_cannot_be_taken_is_refused_at_its_field_with_what_was_typed(
    phone: Window, mistaken: str, live_server: Any
):
    page = go(phone, live_server, mistaken, "facts")
    field = page.get_by_label("Yokes out of line by")
    field.fill("rubbish")
    page.get_by_role("button", name="Keep these").click()
    page.locator("[aria-invalid=true]").wait_for()
    assert field.get_attribute("aria-invalid") == "true" and field.input_value() == "rubbish"
    assert page.get_by_role("alert").first.is_visible()
    field.fill("12")
    page.get_by_role("button", name="Keep these").click()
    page.locator(".saved", has_text="Kept.").wait_for()


# ---- what cannot wait ----


def filled_in(page: Any) -> None:
    page.get_by_label("What do you call it?").fill("Barn find")
    page.get_by_label("Wheelbase, about").fill("106 in")
    page.get_by_label("Tyre, about").fill("35")
    page.locator("label[for=axle-rear]").click()


def test_a_new_vehicle_is_not_made_while_the_laptop_is_away_and_its_answers_stay(phone: Window, live_server: Any):
    page = go(phone, live_server, "", "new")
    filled_in(page)
    page.context.set_offline(True)
    page.get_by_role("button", name="Start the walk").click()
    said = page.get_by_role("alert").filter(has_text="The laptop does not answer")
    said.wait_for(timeout=LONG)
    assert "Press again later" in said.inner_text()
    assert page.get_by_label("Wheelbase, about").input_value() == "106 in" and page.locator("#axle-rear").is_checked()
    page.context.set_offline(False)
    page.get_by_role("button", name="Start the walk").click()
    page.wait_for_url("**/walk*")
    assert [one["name"] for one in vehicles(live_server)] == ["Barn find"]


def test_pressing_again_after_a_lost_answer_makes_no_second_vehicle(phone: Window, live_server: Any):
    page, lost = go(phone, live_server, "", "new"), []

    def swallow(route: Any) -> None:
        if route.request.method == "POST" and not lost:
            lost.append(route.fetch(max_redirects=0).status)
            return route.abort()
        return route.continue_()

    page.route("**/new", swallow)
    filled_in(page)
    page.get_by_role("button", name="Start the walk").click()
    page.get_by_role("alert").filter(has_text="The laptop does not answer").wait_for(timeout=LONG)
    page.get_by_role("button", name="Start the walk").click()
    page.wait_for_url("**/walk*")
    assert lost == [303] and len(vehicles(live_server)) == 1


def test_a_new_vehicle_refused_comes_back_as_it_was_typed(phone: Window, live_server: Any):
    page = go(phone, live_server, "", "new")
    filled_in(page)
    page.get_by_label("Wheelbase, about").fill("very long")
    page.get_by_role("button", name="Start the walk").click()
    page.locator("#wheelbase[aria-invalid=true]").wait_for()
    assert page.get_by_label("What do you call it?").input_value() == "Barn find"
    page.get_by_label("Wheelbase, about").fill("106 in")
    page.get_by_role("button", name="Start the walk").click()
    page.wait_for_url("**/walk*")


def test_a_file_is_brought_in_once_however_often_it_is_pressed(phone: Window, live_server: Any):
    page = phone.page
    page.goto(live_server.base)
    ready(page)
    page.evaluate(LOSE_AN_ANSWER)
    page.get_by_text("Open a vehicle file").click()
    page.locator("input[type=file]").set_input_files(DEMO)
    page.get_by_role("button", name="Bring it in").click()
    page.get_by_role("alert").filter(has_text="The laptop does not answer").wait_for(timeout=LONG)
    assert page.locator("input[type=file]").evaluate("field => field.files.length") == 1
    page.get_by_role("button", name="Bring it in").click()
    page.wait_for_url("**/walk*")
    assert len(vehicles(live_server)) == 1


def vehicles(server: Any) -> list[dict[str, Any]]:
    found: list[dict[str, Any]] = server.ask("/vehicles")
    return found


# ---- after an older copy was put back ----


@pytest.mark.parametrize("room", ["walk", "second-look", "facts", "plans"])
def test_a_laptop_put_back_to_an_older_copy_is_offered_the_readings_from_whatever_room_is_opened(
    phone: Window, truck: str, live_server: Any, room: str
):
    live_server.stop()
    older = live_server.data.with_name("older")
    shutil.copytree(live_server.data, older)
    live_server.start()
    phone.open(truck, at="height:mark.front_left")
    phone.tap("2", "4", "Record")
    phone.landed()
    live_server.stop()
    shutil.rmtree(live_server.data)
    shutil.copytree(older, live_server.data)
    live_server.start()
    assert entries(live_server, truck) == []
    page = go(phone, live_server, truck, room)
    (back,) = eventually(page, lambda: entries(live_server, truck))
    assert back["value"] == pytest.approx(24 * INCH)


def test_a_room_left_open_over_the_putting_back_offers_them_by_itself(phone: Window, truck: str, live_server: Any):
    live_server.stop()
    older = live_server.data.with_name("older")
    shutil.copytree(live_server.data, older)
    live_server.start()
    phone.open(truck, at="height:mark.front_left")
    phone.tap("2", "4", "Record")
    phone.landed()
    page = go(phone, live_server, truck, "facts")
    live_server.stop()
    page.locator(STRIP).wait_for(timeout=LONG)
    shutil.rmtree(live_server.data)
    shutil.copytree(older, live_server.data)
    live_server.start()
    assert eventually(page, lambda: entries(live_server, truck))


# ---- what was refused for good ----


def test_a_refused_reading_can_be_read_in_every_room_until_it_is_let_go_and_measure_then_says_no_more_of_it(
    phone: Window, truck: str, live_server: Any
):
    phone.open(truck, at="height:mark.front_left")
    phone.page.route("**/entries", lambda route: route.fulfill(
        status=422, content_type="application/json", body='{"error": "Not this one."}'))
    phone.tap("2", "4", "Record")
    phone.page.locator(".banner").get_by_text("Not this one.").wait_for()
    title = phone.page.evaluate("plumbtack.measure.find('height:mark.front_left').title")
    page = go(phone, live_server, truck, "record")
    line = page.locator("[data-onphone]", has_text="was not taken by the laptop")
    line.wait_for()
    assert f"{title}, 24 in" in line.inner_text() and "Not this one." in line.inner_text()
    page = go(phone, live_server, truck, "shape")
    page.get_by_role("button", name="Let it go").click()
    page.locator("[data-onphone]").wait_for(state="hidden")
    phone.open(truck, at="height:mark.front_left")
    assert phone.page.locator(".banner").is_hidden()
    assert phone.page.locator(".tb", has_text="not taken").count() == 0
    assert phone.page.evaluate("plumbtack.measure.outbox.rows.length") == 0


# ---- no barrier ----


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_the_strip_and_what_is_said_at_a_form_hold_no_barrier_at_twice_the_text(
    phone: Window, mistaken: str, live_server: Any, scheme: str
):
    page = settled_by_keeping(phone, live_server, mistaken)
    page.get_by_text("Kept on this phone").wait_for(timeout=LONG)
    page.locator(STRIP).wait_for(timeout=LONG)
    page.emulate_media(color_scheme=scheme)
    assert phone.axe() == []
    page.evaluate("document.documentElement.style.fontSize = '32px'")
    assert page.evaluate("document.documentElement.scrollWidth") <= PHONE["viewport"]["width"] \
        if "viewport" in PHONE else True
    strip = page.locator(STRIP)
    assert strip.evaluate("one => one.scrollWidth <= one.clientWidth + 1")
    page.context.set_offline(False)


# ---- what the phone itself can tell ----


def refused_here(page: Any, field: Any, words: str) -> None:
    """The field is refused on the phone, with what was typed, and nothing of its form waits."""
    said = page.get_by_role("alert").filter(has_text=words)
    said.wait_for()
    assert field.get_attribute("aria-invalid") == "true"
    assert field.get_attribute("aria-describedby") in said.evaluate("one => [one.id, one.parentNode.id]")
    assert page.evaluate("plumbtack.held.outbox.waiting().length") == 0


@pytest.mark.parametrize("room", ["facts", "record"])
def test_a_value_that_cannot_be_read_is_refused_at_once_while_the_laptop_is_away(
    phone: Window, mistaken: str, live_server: Any, room: str
):
    page = go(phone, live_server, mistaken, room)
    field = page.get_by_label("Unsprung mass of this axle")
    key = page.locator("form", has=field).get_by_role("button", name="Keep these")
    page.context.set_offline(True)
    field.fill("12 rubbish")
    key.click()
    refused_here(page, field, "is not one used here")
    field.fill("530")
    assert field.get_attribute("aria-invalid") is None and page.get_by_role("alert").count() == 0
    key.click()
    page.get_by_text("Kept on this phone").wait_for(timeout=LONG)
    page.context.set_offline(False)
    until_over(page)
    facts = live_server.ask(f"/vehicles/{mistaken}/file")["facts"]
    assert facts["unsprung_mass"] == pytest.approx(530 * 0.45359237)


def test_a_correction_that_cannot_be_read_is_refused_at_once_while_the_laptop_is_away(
    phone: Window, mistaken: str, live_server: Any
):
    page = go(phone, live_server, mistaken, "second-look")
    page.locator("a[href*='/settle']").first.click()
    ready(page)
    page.context.set_offline(True)
    field = page.get_by_label("should be").first
    field.fill("24 1/3")
    page.get_by_role("button", name="Correct").first.click()
    refused_here(page, field, "A tape has no 1/3")


def test_a_row_of_holes_that_cannot_be_read_is_refused_at_once_while_the_laptop_is_away(
    phone: Window, mistaken: str, live_server: Any
):
    page = go(phone, live_server, mistaken, "holes")
    page.context.set_offline(True)
    field = page.get_by_label("Apart")
    field.fill("an inch or so")
    page.get_by_role("button", name="Keep this row").click()
    refused_here(page, field, "is not a number that can be read")
