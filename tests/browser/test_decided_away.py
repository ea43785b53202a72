"""Plans, rows of holes and aims typed while the laptop is away: each is on the phone's disk first and arrives once."""

from __future__ import annotations

import shutil
import signal
from collections.abc import Iterator
from typing import Any

import pytest
from axe_playwright_python.sync_playwright import Axe

from tests.browser.test_deciding import PHONE, RULES, made, open_at, paired
from tests.conftest import LiveServer, free_port, network_host

MOVED = "what-if?point=upper.frame&do=by,upper.frame,0,0,25.4"
LONG = 30_000


@pytest.fixture
def server(tmp_path: Any) -> Iterator[LiveServer]:
    host = network_host()
    running = LiveServer(tmp_path, host, free_port(host))
    running.start()
    yield running
    running.stop(signal.SIGKILL)


@pytest.fixture
def truck(server: LiveServer) -> str:
    return made(server)


@pytest.fixture
def page(chromium: Any, server: LiveServer) -> Iterator[Any]:
    opened = paired(chromium, server)
    faults: list[str] = []
    opened.on("pageerror", lambda trouble: faults.append(str(trouble)))
    yield opened
    opened.context.close()
    assert faults == []


def decided(server: LiveServer, truck: str) -> list[dict[str, Any]]:
    """What the log holds of decisions, in its order."""
    log = server.ask(f"/vehicles/{truck}/file")["entries"]
    return [entry for entry in log if entry["type"] in ("move_plan", "holes", "aims")]


def ready(page: Any) -> None:
    page.wait_for_selector("[data-onphone][data-ready]", state="attached")


def keep_plan(page: Any, name: str) -> None:
    page.get_by_label("Name").fill(name)
    page.get_by_role("button", name="Keep it").click()


def said_to_wait(page: Any, what: str) -> None:
    page.locator("[data-onphone]", has_text=what).wait_for(timeout=LONG)


def until_over(page: Any) -> None:
    page.locator("[data-onphone]", has_text="on the laptop now").wait_for(timeout=LONG)


def test_a_plan_kept_while_the_network_is_cut_arrives_once_when_it_is_back(page, server, truck):
    open_at(page, server, truck, MOVED)
    ready(page)
    page.context.set_offline(True)
    keep_plan(page, "An inch up")
    page.get_by_text("Kept on this phone. It goes over by itself").wait_for()
    said_to_wait(page, "The plan “An inch up”")
    assert decided(server, truck) == []
    page.context.set_offline(False)
    until_over(page)
    (plan,) = decided(server, truck)
    assert (plan["type"], plan["name"]) == ("move_plan", "An inch up")
    assert plan["moves"] == [{"move": "point_by", "point": "upper.frame", "by": [0.0, 0.0, 25.4]}]
    page.reload()
    ready(page)
    page.wait_for_timeout(500)
    assert len(decided(server, truck)) == 1 and page.locator("[data-onphone]").is_hidden()


def test_with_the_laptop_there_the_page_goes_on_to_the_plan_at_once(page, server, truck):
    open_at(page, server, truck, MOVED)
    ready(page)
    keep_plan(page, "An inch up")
    page.wait_for_url("**plan=An+inch+up**")
    assert page.get_by_role("button", name="Kept").count() == 1 and len(decided(server, truck)) == 1


def test_a_plan_survives_the_page_and_the_laptop_both_gone_and_comes_over_from_the_next_page(page, server, truck):
    open_at(page, server, truck, MOVED)
    ready(page)
    server.stop(signal.SIGKILL)
    keep_plan(page, "An inch up")
    page.get_by_text("Kept on this phone").wait_for(timeout=LONG)
    context = page.context
    page.close()
    server.start()
    other = context.new_page()
    other.goto(f"{server.base}/vehicles/{truck}/plans")
    until_over(other)
    other.get_by_role("link", name="Load this page again").click()
    other.get_by_role("heading", name="An inch up").wait_for()
    assert [entry["name"] for entry in decided(server, truck)] == ["An inch up"]


def test_the_page_of_readings_brings_a_plan_over_too_in_the_order_they_were_made(page, server, truck):
    open_at(page, server, truck, MOVED)
    ready(page)
    page.context.set_offline(True)
    keep_plan(page, "An inch up")
    page.get_by_text("Kept on this phone").wait_for()
    page.goto("about:blank")
    page.context.set_offline(False)
    open_at(page, server, truck, "measure")
    page.wait_for_selector("[data-measure][data-ready]")
    page.wait_for_function("() => plumbtack.measure.outbox.rows.length && !plumbtack.measure.outbox.waiting().length")
    assert [entry["name"] for entry in decided(server, truck)] == ["An inch up"]
    assert page.locator(".banner").is_hidden()


def test_an_answer_lost_on_the_way_makes_no_second_plan(page, server, truck):
    open_at(page, server, truck, MOVED)
    ready(page)
    lost = []

    def swallow(route: Any) -> None:
        if route.request.method == "POST" and not lost:
            lost.append(route.fetch().status)
            return route.abort()
        return route.continue_()

    page.route("**/plans", swallow)
    keep_plan(page, "An inch up")
    until_over(page)
    assert lost == [200] and len(decided(server, truck)) == 1


def test_a_row_of_holes_and_a_want_made_away_arrive_once_each_and_in_order(page, server, truck):
    open_at(page, server, truck, "aims")
    ready(page)
    holes = page.context.new_page()
    open_at(holes, server, truck, "holes")
    ready(holes)
    page.context.set_offline(True)
    holes.get_by_role("button", name="Keep this row").click()
    holes.get_by_text("Kept on this phone").wait_for()
    page.get_by_text("Bands of common practice").click()
    page.get_by_role("button", name="Anti-dive").click()
    said_to_wait(page, "What is wanted")
    page.context.set_offline(False)
    until_over(page)
    for _ in range(100):
        if len(decided(server, truck)) == 2:
            break
        page.wait_for_timeout(100)
    assert [entry["type"] for entry in decided(server, truck)] == ["holes", "aims"]


def test_what_the_laptop_would_not_take_is_said_at_the_form_and_what_was_typed_stays(page, server, truck):
    open_at(page, server, truck, "holes")
    ready(page)
    page.get_by_label("How many holes").fill("0")
    page.get_by_role("button", name="Keep this row").click()
    page.get_by_role("alert").filter(has_text="no hole to use").wait_for()
    assert page.get_by_label("How many holes").input_value() == "0"
    page.get_by_label("How many holes").fill("4")
    page.get_by_role("button", name="Keep this row").click()
    page.get_by_label("Every combination of holes").wait_for()
    assert [len(entry["places"]) for entry in decided(server, truck)] == [4]


def test_refused_later_it_is_said_on_the_next_page_until_it_is_let_go(page, server, truck):
    open_at(page, server, truck, "holes")
    ready(page)
    page.context.set_offline(True)
    page.get_by_label("How many holes").fill("0")
    page.get_by_role("button", name="Keep this row").click()
    page.get_by_text("Kept on this phone").wait_for()
    page.goto("about:blank")
    page.context.set_offline(False)
    open_at(page, server, truck, "plans")
    said_to_wait(page, "The row of holes was not taken by the laptop.")
    page.set_viewport_size(PHONE)
    for scheme in ("light", "dark"):
        page.emulate_media(color_scheme=scheme)
        found = Axe().run(page, options=RULES)
        assert found.violations_count == 0, found.generate_report()
    page.get_by_role("button", name="Let it go").click()
    page.locator("[data-onphone]").wait_for(state="hidden")
    page.reload()
    ready(page)
    assert page.locator("[data-onphone]").is_hidden() and decided(server, truck) == []


def test_a_plan_withdrawn_is_not_sent_again_with_every_reading(page, server, truck):
    open_at(page, server, truck, MOVED)
    ready(page)
    keep_plan(page, "An inch up")
    page.wait_for_url("**plan=An+inch+up**")
    open_at(page, server, truck, "plans")
    ready(page)
    page.get_by_text("Withdraw", exact=False).first.click()
    page.get_by_role("button", name="Withdraw").last.click()
    page.wait_for_url("**said=withdrawn**")
    sent = []
    ready(page)
    page.on("request", lambda asked: sent.append(asked.url)
            if asked.method == "POST" and not asked.url.endswith("/lacking") else None)  # asks by ids
    open_at(page, server, truck, "measure?at=height:mark.front_left")
    page.wait_for_selector("[data-measure][data-ready]")
    count = page.evaluate("plumbtack.measure.data.entries.length")
    page.keyboard.type("24")
    page.keyboard.press("Enter")
    page.locator(".remark [data-do=keep]").click()
    page.wait_for_function(f"() => plumbtack.measure.data.entries.length === {count + 1}")
    page.wait_for_timeout(300)
    assert [url.rpartition("/")[2] for url in sent] == ["entries"]
    assert page.evaluate("plumbtack.measure.outbox.waiting().length") == 0


def test_a_laptop_put_back_to_an_older_copy_is_given_the_plan_and_its_withdrawal_again(page, server, truck):
    open_at(page, server, truck, MOVED)
    ready(page)
    server.stop()
    older = server.data.with_name("older")
    shutil.copytree(server.data, older)
    server.start()
    keep_plan(page, "An inch up")
    page.wait_for_url("**plan=An+inch+up**")
    open_at(page, server, truck, "plans")
    ready(page)
    page.get_by_text("Withdraw", exact=False).first.click()
    page.get_by_role("button", name="Withdraw").last.click()
    page.wait_for_url("**said=withdrawn**")
    server.stop()
    shutil.rmtree(server.data)
    shutil.copytree(older, server.data)
    server.start()
    open_at(page, server, truck, "measure")
    page.wait_for_selector("[data-measure][data-ready]")
    kinds: list[str] = []
    for _ in range(100):
        kinds = [entry["type"] for entry in server.ask(f"/vehicles/{truck}/file")["entries"]]
        if kinds[-1] == "withdraw":
            break
        page.wait_for_timeout(100)
    assert kinds[-2:] == ["move_plan", "withdraw"]


def test_a_plan_without_a_name_and_one_that_moves_nothing_are_not_sent_off(page, server, truck):
    open_at(page, server, truck, MOVED)
    ready(page)
    page.context.set_offline(True)
    keep_plan(page, " ")
    page.get_by_role("alert").filter(has_text="The plan needs a name").wait_for()
    page.context.set_offline(False)
    open_at(page, server, truck, "what-if")
    ready(page)
    keep_plan(page, "Nothing")
    page.get_by_role("alert").filter(has_text="Nothing is moved yet").wait_for()
    assert decided(server, truck) == []
