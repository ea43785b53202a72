"""Behaviour's families in a real browser: no barriers, the axle follows buttons, slider and finger, and without the
script the same by links; nothing moves by itself where a person asked for less motion."""

from __future__ import annotations

import json
import re
import signal
from collections.abc import Iterator
from typing import Any

import pytest
from axe_playwright_python.sync_playwright import Axe

from capture import places
from capture.screens.families import FAMILIES
from tests.browser.test_rooms import BENCH, PHONE, RULES
from tests.conftest import LiveServer, free_port, network_host

SCREENS = {family.key: f"/vehicles/{{orchard_truck}}/behaviour/family/{family.key}" for family in FAMILIES} | {
    "loads-waiting": "/vehicles/{creek_wagon}/behaviour/family/loads",
    "driveline-waiting": "/vehicles/{creek_wagon}/behaviour/family/driveline",
    "caster": "/vehicles/{orchard_truck}/behaviour/caster",
    "facts": "/vehicles/{orchard_truck}/facts",
    "tight": "/vehicles/{orchard_truck}/behaviour/family/clearance?pair=panhard~drag_link&view=end",
}


@pytest.fixture(scope="module")
def server(tmp_path_factory: pytest.TempPathFactory) -> Iterator[LiveServer]:
    host = network_host()
    running = LiveServer(tmp_path_factory.mktemp("behaviour"), host, free_port(host))
    running.start()
    yield running
    running.stop(signal.SIGKILL)


@pytest.fixture(scope="module")
def vehicles(server: LiveServer) -> dict[str, str]:
    """The demo vehicles: name -> id."""
    return {path.stem: server.ask("/vehicles", json.loads(path.read_text(encoding="utf-8")))["id"]
            for path in places.demo_vehicles()}


@pytest.fixture
def opened(chromium: Any, server: LiveServer) -> Iterator[Any]:
    """Makes a paired page on the phone's screen. Words on the console and requests elsewhere fail the test."""
    contexts, strange = [], []

    def page(**options: Any) -> Any:
        context = chromium.new_context(**({"viewport": PHONE, "has_touch": True, "reduced_motion": "reduce"} | options))
        contexts.append(context)
        made = context.new_page()
        made.on("request", lambda request: strange.append(request.url) if not request.url.startswith(
            (server.base, "data:")) else None)
        made.on("pageerror", lambda trouble: strange.append(str(trouble)))
        made.on("console", lambda said: strange.append(said.text))
        made.goto(server.way_in)
        return made

    yield page
    for context in contexts:
        context.close()
    assert strange == []


def wheel(page: Any) -> float:
    """How far down the paper the wheel stands, px."""
    return page.evaluate("document.querySelector('svg.moving g[data-turn]').transform.baseVal[0].matrix.f")


@pytest.mark.parametrize("screen", SCREENS)
def test_no_family_holds_a_barrier_in_either_scheme_on_either_size(opened, server, vehicles, pictures, screen):
    page = opened()
    page.goto(server.base + SCREENS[screen].format(**vehicles))
    for size, name in ((PHONE, "phone"), (BENCH, "bench")):
        page.set_viewport_size(size)
        assert page.evaluate("document.documentElement.scrollWidth") <= size["width"], "no sideways scroll"
        page.set_viewport_size(size | {"height": max(size["height"], page.evaluate("document.body.scrollHeight"))})
        for scheme in ("light", "dark"):
            page.emulate_media(color_scheme=scheme)
            if pictures:
                page.screenshot(path=pictures / f"family-{screen}-{name}-{scheme}.png")
            found = Axe().run(page, options=RULES)
            assert found.violations_count == 0, f"{name}, {scheme}: {found.generate_report()}"


def test_every_part_of_the_facts_opened_holds_no_barrier_and_every_key_takes_a_thumb(opened, server, vehicles):
    page = opened()
    page.goto(server.base + SCREENS["facts"].format(**vehicles))
    page.evaluate("for (const part of document.querySelectorAll('details')) part.open = true")
    assert page.evaluate("document.documentElement.scrollWidth") <= PHONE["width"], "no sideways scroll"
    keys = page.locator("form select, form input[type=text], form summary, form button")
    low = [key.get_attribute("name") for key in keys.all() if (key.bounding_box() or {"height": 0})["height"] < 48]
    assert keys.count() > 80 and low == []
    page.set_viewport_size(PHONE | {"height": page.evaluate("document.body.scrollHeight")})
    for scheme in ("light", "dark"):
        page.emulate_media(color_scheme=scheme)
        found = Axe().run(page, options=RULES)
        assert found.violations_count == 0, f"{scheme}: {found.generate_report()}"


def test_another_pair_and_another_view_are_a_tap_away_and_the_picture_is_in_sight(opened, server, vehicles):
    page = opened()
    page.goto(server.base + SCREENS["clearance"].format(**vehicles))
    first = page.locator("svg.tight").get_attribute("aria-label")
    page.locator("table a").nth(1).tap()
    page.wait_for_load_state()
    second = page.locator("svg.tight").get_attribute("aria-label")
    assert second != first and page.locator("svg.tight").bounding_box()["y"] < PHONE["height"] / 2
    page.get_by_role("link", name="From the side").tap()
    page.wait_for_load_state()
    assert page.locator("svg.tight").get_attribute("aria-label") == second
    assert page.get_by_role("link", name="From the side").get_attribute("aria-current") == "true"


def test_the_axle_and_the_curves_follow_the_buttons_the_slider_and_a_finger(opened, server, vehicles):
    page = opened()
    page.goto(server.base + SCREENS["anti"].format(**vehicles))
    where, told = page.locator("[data-where]"), page.locator("output").first
    rest, at_ride = wheel(page), told.inner_text()
    page.get_by_role("link", name="Bump", exact=True).tap()
    assert "in bump" in where.inner_text() and wheel(page) < rest - 5
    assert told.inner_text() != at_ride and "in bump:" in told.inner_text()
    page.get_by_role("link", name="Left up", exact=True).tap()
    assert "left wheel" in where.inner_text() and told.inner_text() == at_ride, "a curve of the other way rests"
    slider = page.get_by_role("slider")
    slider.focus()
    page.keyboard.press("ArrowLeft")
    assert slider.get_attribute("aria-valuetext") == where.evaluate(HEARD)
    curve = page.locator("svg.curved").first
    curve.scroll_into_view_if_needed()
    box = curve.bounding_box()
    page.touchscreen.tap(box["x"] + box["width"] * 0.3, box["y"] + box["height"] / 2)
    assert "droop" in where.inner_text() and told.inner_text().startswith(where.inner_text())
    page.get_by_role("link", name="Ride", exact=True).tap()
    assert wheel(page) == pytest.approx(rest, abs=0.2) and told.inner_text() == at_ride


HEARD = """(node) => { const copy = node.cloneNode(true);
  copy.querySelectorAll("[aria-hidden=true]").forEach((one) => one.remove()); return copy.textContent; }"""
SEEN = """(node) => { const copy = node.cloneNode(true);
  copy.querySelectorAll(".sr").forEach((one) => one.remove()); return copy.innerHTML; }"""


def test_under_the_axle_and_its_curves_fractions_are_set_as_elsewhere_and_heard_whole(opened, server, vehicles):
    page = opened()
    page.goto(server.base + SCREENS["roll"].format(**vehicles) + "?path=heave&way=-120")
    where, told = page.locator("[data-where]"), page.locator("output").first
    as_sent = (where.inner_html(), told.inner_html())
    assert "/" in where.evaluate(HEARD) and "/" in told.evaluate(HEARD)
    page.get_by_role("link", name="Bump", exact=True).tap()
    page.get_by_role("link", name="Droop", exact=True).tap()
    assert (where.inner_html(), told.inner_html()) == as_sent, "the phone sets them as the laptop does"
    slider = page.get_by_role("slider")
    assert slider.get_attribute("aria-valuetext") == where.evaluate(HEARD)
    for place in (where, told):
        assert '<span class="fr"><b>' in place.evaluate(SEEN)
        assert not re.search(r"\d+ \d+/\d", place.evaluate(SEEN))


def test_play_moves_the_axle_until_paused(opened, server, vehicles):
    page = opened(reduced_motion="no-preference")
    page.goto(server.base + SCREENS["driveline"].format(**vehicles))
    rest = wheel(page)
    page.wait_for_timeout(300)
    assert wheel(page) == rest, "nothing moves before it is asked to"
    page.get_by_role("button", name="Play").tap()
    page.wait_for_function(
        "from => Math.abs(document.querySelector('svg.moving g[data-turn]').transform.baseVal[0].matrix.f - from) > 2",
        arg=rest)
    page.get_by_role("button", name="Pause").tap()
    page.wait_for_timeout(100)
    paused = wheel(page)
    page.wait_for_timeout(300)
    assert wheel(page) == paused


def test_with_less_motion_asked_for_there_is_nothing_to_play(opened, server, vehicles):
    page = opened()
    page.goto(server.base + SCREENS["roll"].format(**vehicles))
    assert page.get_by_role("slider").is_visible() and not page.get_by_text("Play").is_visible()


def test_without_script_the_poses_are_links(opened, server, vehicles):
    page = opened(java_script_enabled=False)
    page.goto(server.base + SCREENS["steering"].format(**vehicles))
    page.get_by_role("link", name="Droop", exact=True).tap()
    assert "droop" in page.locator("[data-where]").inner_text()
    assert "droop:" in page.locator("output").first.inner_text()
    assert not page.get_by_text("Play").is_visible()
    page.goto(server.base + SCREENS["caster"].format(**vehicles))
    page.get_by_text("The same as a table").tap()
    assert page.get_by_role("table").first.is_visible()


def test_the_page_still_follows_the_phone_after_the_axle_was_moved(opened, server, vehicles):
    page = opened()
    page.goto(server.base + SCREENS["anti"].format(**vehicles))
    page.get_by_role("link", name="Bump", exact=True).tap()
    asked = page.locator("#room").get_attribute("hx-get")
    server.ask(f"/vehicles/{vehicles['orchard_truck']}/entries", {"entries": [{
        "id": "later-0001", "at": "2026-05-03T09:00:00Z", "stage": "mock_up", "type": "reading",
        "reading": "cg_height:estimate", "value": 700.0, "text": "700", "unit": "mm", "note": ""}]})
    page.wait_for_function("asked => document.querySelector('#room').getAttribute('hx-get') !== asked", arg=asked)
    assert "in bump" in page.locator("[data-where]").inner_text(), "it stays where it was moved to"


@pytest.mark.parametrize("screen", [family.key for family in FAMILIES])
def test_the_picture_and_its_sentence_stand_together_in_the_first_view(opened, server, vehicles, screen):
    page = opened()
    page.goto(server.base + SCREENS[screen].format(**vehicles))
    bar = page.locator("nav.rooms").bounding_box()["y"]
    picture, lead = page.locator("svg.d:visible").first.bounding_box(), page.locator(".lead").bounding_box()
    assert picture["y"] < lead["y"] and lead["y"] + lead["height"] <= bar


@pytest.mark.parametrize("screen", ["anti", "steering", "joints", "loads", "balance", "links", "driveline"])
def test_with_text_twice_as_large_every_value_keeps_its_spread_in_sight(opened, server, vehicles, screen):
    page = opened()
    page.goto(server.base + SCREENS[screen].format(**vehicles))
    page.evaluate("document.documentElement.style.fontSize = '32px'")
    edges = page.evaluate("[...document.querySelectorAll('section.family td.n')].map(one => "
                          "[one.textContent.trim(), Math.round(one.getBoundingClientRect().right)])")
    assert len(edges) >= 6 and [edge for edge in edges if edge[1] > PHONE["width"]] == []


def test_what_a_link_waits_for_is_asked_for_beside_the_name_of_that_link(opened, server, vehicles):
    page = opened()
    page.goto(server.base + SCREENS["loads"].format(**vehicles))
    page.get_by_role("link", name="State it").first.tap()
    page.wait_for_url("**/facts#tubes.lower_right.yield_stress")
    label, field = page.locator("label[for='tubes.lower_right.yield_stress']"), page.locator(":target")
    name = page.locator("details[open] > summary:visible")
    assert name.inner_text().startswith("Right lower link")
    of_name, of_label = name.bounding_box(), label.bounding_box()
    assert of_name["y"] >= 0 and of_name["y"] + of_name["height"] <= of_label["y"]
    assert field.bounding_box()["y"] + 48 < PHONE["height"] / 2


def test_at_the_bench_two_curves_stand_side_by_side(opened, server, vehicles):
    page = opened(viewport=BENCH)
    page.goto(server.base + SCREENS["roll"].format(**vehicles))
    first, second = (page.locator("figure.curvef").nth(number).bounding_box() for number in (0, 1))
    assert first["y"] == pytest.approx(second["y"], abs=30) and second["x"] >= first["x"] + first["width"]


def test_a_link_to_a_fact_lands_with_the_words_of_its_field_in_sight(opened, server, vehicles):
    page = opened()
    page.goto(server.base + SCREENS["driveline"].format(**vehicles))
    links = page.locator(".waits a[href*='/facts#']")
    assert links.count() == 2
    for number in range(2):
        page.goto(server.base + SCREENS["driveline"].format(**vehicles))
        links.nth(number).tap()
        page.wait_for_url("**/facts#*")
        field = page.locator(":target")
        label = page.locator(f"label[for={page.evaluate('location.hash.slice(1)')}]")
        assert label.bounding_box()["y"] >= 0 and field.is_visible()
