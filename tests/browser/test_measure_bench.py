"""Measuring on the laptop on the bench: three views in line with the keypad in the margin, true to what is typed."""

from __future__ import annotations

import json
import signal
from collections.abc import Iterator
from typing import Any

import pytest
from axe_playwright_python.sync_playwright import Axe

from capture import places
from tests.conftest import LiveServer, free_port, network_host, reading_object, vehicle_object

RULES = {"runOnly": ["wcag2a", "wcag2aa", "wcag21aa", "wcag22aa", "best-practice"]}
BENCH, PHONE = {"width": 1280, "height": 800}, {"width": 360, "height": 640}
LAPTOPS = ({"width": 1280, "height": 720}, {"width": 1366, "height": 768}, {"width": 1920, "height": 1080},
           {"width": 1024, "height": 768})
ASKED = ("height:lower_left.frame", "lateral:lower_right.axle", "fore_aft:lower_left.axle",
         "incline:lower_left.axle~lower_left.frame", "span:panhard.axle~panhard.frame", "wheelbase:left")


@pytest.fixture(scope="module")
def server(tmp_path_factory: pytest.TempPathFactory) -> Iterator[LiveServer]:
    host = network_host()
    running = LiveServer(tmp_path_factory.mktemp("bench"), host, free_port(host))
    running.start()
    yield running
    running.stop(signal.SIGKILL)


@pytest.fixture(scope="module")
def vehicles(server: LiveServer) -> dict[str, str]:
    made = {path.stem: server.ask("/vehicles", json.loads(path.read_text(encoding="utf-8")))["id"]
            for path in places.demo_vehicles()}
    return made | {"empty": server.ask("/vehicles", vehicle_object(name="Empty one"))["id"]}


@pytest.fixture
def page(chromium: Any, server: LiveServer) -> Iterator[Any]:
    context = chromium.new_context(viewport=BENCH, reduced_motion="reduce")
    opened = context.new_page()
    strange: list[str] = []
    opened.on("pageerror", lambda trouble: strange.append(str(trouble)))
    opened.on("console", lambda said: strange.append(said.text))
    opened.goto(server.way_in)
    yield opened
    context.close()
    assert strange == []


def opened(page: Any, server: LiveServer, vehicle: str, at: str = "") -> None:
    page.goto(f"{server.base}/vehicles/{vehicle}/measure" + (f"?at={at}" if at else ""))
    page.wait_for_selector("[data-ready]")
    page.wait_for_selector(".step[hidden] .board", state="attached")


def shown(page: Any) -> list[str]:
    """Which drawings of the step in view can be seen."""
    return page.evaluate("""() => [...document.querySelectorAll('.step:not([hidden]) .stage > svg')]
        .filter(svg => svg.getBoundingClientRect().width)
        .map(svg => svg.classList.contains('board') ? 'board' : 'phone')""")


def test_the_bench_shows_the_board_and_the_phone_its_one_view(page: Any, server: LiveServer, vehicles: dict[str, str]):
    opened(page, server, vehicles["orchard_truck"])
    assert shown(page) == ["board"]
    page.set_viewport_size(PHONE)
    assert shown(page) == ["phone"]


def test_a_phone_is_sent_no_boards_but_the_one_in_view(
    chromium: Any, server: LiveServer, vehicles: dict[str, str]
):
    context = chromium.new_context(viewport=PHONE, has_touch=True)
    phone = context.new_page()
    asked: list[str] = []
    phone.on("request", lambda request: asked.append(request.url))
    phone.goto(server.way_in)
    phone.goto(f"{server.base}/vehicles/{vehicles['orchard_truck']}/measure")
    phone.wait_for_selector("[data-ready]")
    phone.wait_for_timeout(600)
    assert phone.locator(".board").count() == 1
    assert not [url for url in asked if "boards" in url]
    # Turned into a wide window, it has them too.
    phone.set_viewport_size(BENCH)
    phone.wait_for_selector(".step[hidden] .board", state="attached")
    context.close()


@pytest.mark.parametrize("at", ASKED)
def test_what_is_typed_stands_once_on_the_board_within_its_view(
    page: Any, server: LiveServer, vehicles: dict[str, str], pictures: Any, at: str
):
    opened(page, server, vehicles["orchard_truck"], at)
    page.keyboard.type("19 1/8")
    placed = page.evaluate("""() => {
        const board = document.querySelector('.step:not([hidden]) .board');
        const typed = [...board.querySelectorAll('[data-typed]')].filter(text => text.textContent);
        const edge = board.getBoundingClientRect(), box = typed.length && typed[0].getBoundingClientRect();
        return { count: typed.length, words: typed.map(text => text.textContent),
                 inside: box && box.left >= edge.left && box.right <= edge.right && box.top >= edge.top
                     && box.bottom <= edge.bottom, tall: box && box.height };
    }""")
    assert placed["count"] == 1 and placed["inside"] and placed["words"][0].startswith("19")
    assert placed["tall"] > 20  # large enough to be read from beneath the vehicle
    if pictures:
        page.screenshot(path=pictures / f"bench-{at.partition(':')[0]}.png")


def test_the_board_follows_a_reading_that_another_phone_took(
    page: Any, server: LiveServer, vehicles: dict[str, str]
):
    vehicle = server.ask("/vehicles", vehicle_object(name="Followed"))["id"]
    opened(page, server, vehicle, "height:lower_left.frame")
    page.keyboard.type("6")
    before = page.locator(".step:not([hidden]) .board").inner_html()
    server.ask(f"/vehicles/{vehicle}/entries", {"entries": [
        reading_object(1, 500.0, reading="height:lower_left.axle"),
        reading_object(2, 700.0, reading="height:upper.axle"),
    ]})
    for _ in range(200):
        if page.locator(".step:not([hidden]) .board").inner_html() != before:
            break
        page.wait_for_timeout(50)
    else:
        raise AssertionError("the board stayed as it was")
    assert page.locator(".step:not([hidden]) .board [data-typed]").first.inner_html().startswith("6")
    assert shown(page) == ["board"]


@pytest.mark.parametrize("vehicle", ["orchard_truck", "quarry_hauler"])
def test_the_glass_of_the_remark_stands_in_the_free_corner(
    page: Any, server: LiveServer, vehicles: dict[str, str], pictures: Any, vehicle: str
):
    opened(page, server, vehicles[vehicle], "height:lower_left.frame")
    page.keyboard.type("100 mm")
    page.keyboard.press("Enter")
    page.wait_for_selector(".lens")
    covered = page.evaluate("""() => {
        const glass = document.querySelector('.lens').getBoundingClientRect();
        const board = document.querySelector('.step:not([hidden]) .board');
        return [...board.querySelectorAll('[data-asked] .lit, .litf')].map(one => one.getBoundingClientRect())
            .filter(box => box.left < glass.right && box.right > glass.left && box.top < glass.bottom
                && box.bottom > glass.top).length;
    }""")
    assert covered == 0
    if pictures:
        page.screenshot(path=pictures / f"bench-remark-{vehicle}.png")


@pytest.mark.parametrize("size", LAPTOPS, ids=lambda size: f"{size['width']}x{size['height']}")
def test_board_question_and_keypad_fit_every_laptop_without_scrolling(
    page: Any, server: LiveServer, vehicles: dict[str, str], pictures: Any, size: dict[str, int]
):
    page.set_viewport_size(size)
    opened(page, server, vehicles["orchard_truck"], "height:lower_left.frame")
    assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")
    assert page.evaluate("document.documentElement.scrollHeight <= innerHeight")
    for part in (".step:not([hidden]) .board", ".pad", ".val", ".step:not([hidden]) .ask"):
        box = page.locator(part).bounding_box()
        assert box["x"] >= 0 and box["x"] + box["width"] <= size["width"] + 1, part
        assert box["y"] >= 0 and box["y"] + box["height"] <= size["height"] + 1, part
    board, pad = page.locator(".step:not([hidden]) .board").bounding_box(), page.locator(".pad").bounding_box()
    assert board["x"] + board["width"] <= pad["x"] + 1
    if pictures:
        page.screenshot(path=pictures / f"bench-{size['width']}.png")


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("vehicle", ["orchard_truck", "quarry_hauler", "creek_wagon", "empty"])
def test_the_bench_holds_no_barrier(
    page: Any, server: LiveServer, vehicles: dict[str, str], pictures: Any, vehicle: str, scheme: str
):
    page.emulate_media(color_scheme=scheme)
    opened(page, server, vehicles[vehicle], "height:upper.frame" if vehicle != "quarry_hauler" else "")
    found = Axe().run(page, options=RULES).response["violations"]
    assert [f"{one['id']}: {[node['html'][:140] for node in one['nodes'][:2]]}" for one in found] == []
    if pictures:
        page.screenshot(path=pictures / f"bench-{vehicle}-{scheme}.png")
