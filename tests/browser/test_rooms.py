"""The rooms in a real browser: nothing to trip over for a screen reader, a thumb or a keyboard, in both schemes and on
both screens; and the laptop's page follows the phone."""

from __future__ import annotations

import json
import signal
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from axe_playwright_python.sync_playwright import Axe

from capture import places
from tests.conftest import LiveServer, free_port, network_host, reading_object, vehicle_object

RULES = {"runOnly": ["wcag2a", "wcag2aa", "wcag21aa", "wcag22aa", "best-practice"]}
PHONE, BENCH = {"width": 360, "height": 640}, {"width": 1280, "height": 800}
SCREENS = {
    "start": "/",
    "new": "/new",
    "let-in": "/let-in",
    "trouble": "/vehicles/nobody/shape",
    "second-look": "/vehicles/{orchard_truck}/second-look",
    "second-look-empty": "/vehicles/{empty}/second-look",
    "shape": "/vehicles/{orchard_truck}/shape?point=lower_left.frame",
    "shape-top": "/vehicles/{creek_wagon}/shape?view=top",
    "shape-front": "/vehicles/{quarry_hauler}/shape?view=front&point=upper_left.axle",
    "behaviour": "/vehicles/{orchard_truck}/behaviour",
    "behaviour-guessed": "/vehicles/{creek_wagon}/behaviour",
    "behaviour-empty": "/vehicles/{empty}/behaviour",
    "anti-dive": "/vehicles/{orchard_truck}/behaviour/anti_dive",
    "roll-centre": "/vehicles/{quarry_hauler}/behaviour/roll_centre_height",
    "caster-waiting": "/vehicles/{creek_wagon}/behaviour/caster",
    "record": "/vehicles/{orchard_truck}/record",
    "record-two-stages": "/vehicles/{quarry_hauler}/record",
    "record-empty": "/vehicles/{empty}/record",
}


@pytest.fixture(scope="module")
def server(tmp_path_factory: pytest.TempPathFactory) -> Iterator[LiveServer]:
    host = network_host()
    running = LiveServer(tmp_path_factory.mktemp("rooms"), host, free_port(host))
    running.start()
    yield running
    running.stop(signal.SIGKILL)


@pytest.fixture(scope="module")
def vehicles(server: LiveServer) -> dict[str, str]:
    """The demo vehicles and an empty one: name -> id."""
    made = {path.stem: server.ask("/vehicles", json.loads(path.read_text(encoding="utf-8")))["id"]
            for path in places.demo_vehicles()}
    return made | {"empty": server.ask("/vehicles", vehicle_object(name="Empty one"))["id"]}


@pytest.fixture
def page(chromium: Any, server: LiveServer) -> Iterator[Any]:
    """A paired page on the phone's screen. Requests to other machines and words on the console fail the test."""
    # Reduced motion: a key on its way from one scheme to the other has neither scheme's contrast.
    context = chromium.new_context(viewport=PHONE, has_touch=True, reduced_motion="reduce")
    opened = context.new_page()
    strange: list[str] = []
    opened.on("request", lambda request: strange.append(request.url) if not request.url.startswith(
        (server.base, "data:")) else None)
    opened.on("pageerror", lambda trouble: strange.append(str(trouble)))
    opened.on("console", lambda said: strange.append(said.text) if "404" not in said.text else None)
    opened.goto(server.way_in)
    yield opened
    context.close()
    assert strange == []


@pytest.mark.parametrize("screen", SCREENS)
def test_no_screen_holds_a_barrier_in_either_scheme_on_either_size(page, server, vehicles, pictures, screen):
    page.goto(server.base + SCREENS[screen].format(**vehicles))
    for size, name in ((PHONE, "phone"), (BENCH, "bench")):
        page.set_viewport_size(size)
        if pictures:
            page.screenshot(path=pictures / f"{screen}-{name}.png")
        # The whole page at once: axe takes what is scrolled under the room bar at this moment for out of reach.
        page.set_viewport_size(size | {"height": max(size["height"], page.evaluate("document.body.scrollHeight"))})
        for scheme in ("light", "dark"):
            page.emulate_media(color_scheme=scheme)
            if pictures:
                page.screenshot(path=pictures / f"{screen}-{name}-{scheme}-whole.png")
            found = Axe().run(page, options=RULES)
            assert found.violations_count == 0, f"{name}, {scheme}: {found.generate_report()}"


def test_the_page_for_those_not_let_in_holds_no_barrier_and_names_no_vehicle(chromium, server):
    stranger = chromium.new_context(viewport=PHONE)
    page = stranger.new_page()
    for scheme in ("light", "dark"):
        page.emulate_media(color_scheme=scheme)
        assert page.goto(server.base + "/").status == 403
        found = Axe().run(page, options=RULES)
        assert found.violations_count == 0, f"{scheme}: {found.generate_report()}"
        assert "truck" not in page.inner_text("body").lower()
    stranger.close()


@pytest.mark.parametrize("screen", SCREENS)
def test_nothing_scrolls_sideways_on_the_phone_and_every_key_is_tall_enough(page, server, vehicles, screen):
    page.goto(server.base + SCREENS[screen].format(**vehicles))
    assert page.evaluate("document.documentElement.scrollWidth") <= PHONE["width"]
    low = page.evaluate("""() => [...document.querySelectorAll('.btn, .rooms a, .vtabs a, .tb-back, summary, input')]
        .filter(key => key.offsetParent && !['radio', 'hidden'].includes(key.type))
        .map(key => [key.outerHTML.slice(0, 80), key.getBoundingClientRect().height])
        .filter(([, height]) => height < 47.5)""")
    assert low == []


def test_an_open_page_follows_the_phone_within_four_seconds(page, server, vehicles):
    page.set_viewport_size(BENCH)
    made = server.ask("/vehicles", vehicle_object(name="Followed"))["id"]
    page.goto(f"{server.base}/vehicles/{made}/record")
    assert "Readings: 0" in page.inner_text("#readings")
    server.ask(f"/vehicles/{made}/entries", {"entries": [reading_object(1)]})
    page.wait_for_selector("#readings:has-text('Readings: 1')", timeout=4000)


def test_a_reason_being_typed_is_not_swept_away_when_the_log_grows(page, server, vehicles):
    made = server.ask("/vehicles", vehicle_object(name="Typing"))["id"]
    server.ask(f"/vehicles/{made}/entries", {"entries": [reading_object(1)]})
    page.goto(f"{server.base}/vehicles/{made}/record")
    page.click("text=Withdraw")
    page.fill("#why-entry-000001", "read the other bo")
    server.ask(f"/vehicles/{made}/entries", {"entries": [reading_object(2)]})
    page.wait_for_timeout(3000)
    assert page.input_value("#why-entry-000001") == "read the other bo"


def test_what_was_refused_and_how_it_was_typed_is_not_swept_away(chromium, server):
    made = server.ask("/vehicles", vehicle_object(name="Refused"))["id"]
    context = chromium.new_context(viewport=PHONE)
    page = context.new_page()
    page.goto(server.way_in)
    for room, field, typed in (("record", "#brake_share_front", "most of it"), ("walk", "#own", "<>")):
        page.goto(f"{server.base}/vehicles/{made}/{room}")
        with page.expect_request("**/fresh*"):  # an open page follows by itself
            pass
        page.fill(field, typed)
        page.press(field, "Enter")
        page.wait_for_selector("[role=alert]")
        page.wait_for_timeout(4000)
        assert page.locator("[role=alert]").count() == 1 and page.input_value(field) == typed
    context.close()


def test_a_vehicle_is_made_and_a_reading_withdrawn_without_any_script(chromium, server):
    context = chromium.new_context(viewport=PHONE, java_script_enabled=False)
    page = context.new_page()
    page.goto(server.way_in)
    page.click("text=New vehicle")
    page.fill("#name", "No script")
    page.click("label[for=axle-rear]")
    page.fill("#wheelbase", "2700")
    page.fill("#tyre", "315/75R16")
    page.click("text=Start the walk")
    made = page.url.split("/")[4]
    assert page.url.endswith("/walk")
    server.ask(f"/vehicles/{made}/entries", {"entries": [reading_object(1)]})
    page.goto(f"{server.base}/vehicles/{made}/record")
    page.click("summary:has-text('Withdraw')")
    page.fill("#why-entry-000001", "read the other bolt")
    page.click("text=Withdraw it")
    assert "read the other bolt" in page.inner_text("#take-entry-000001")
    context.close()


def test_the_views_of_the_shape_and_its_points_are_reached_by_keyboard(page, server, vehicles):
    page.goto(f"{server.base}/vehicles/{vehicles['orchard_truck']}/shape")
    for _ in range(3):
        page.keyboard.press("Tab")
    assert page.evaluate("document.activeElement.innerText") == "Top"
    page.keyboard.press("Enter")
    page.wait_for_url("**view=top*")
    page.focus("svg a[href*='lower_left.frame'] >> nth=0")
    page.keyboard.press("Enter")
    page.wait_for_url("**point=lower_left.frame*")
    assert page.inner_text("#point-words") == "Left lower link, frame bolt"


def test_the_file_taken_away_is_brought_back_in_by_the_first_page(page, server, vehicles, tmp_path: Path):
    page.goto(f"{server.base}/vehicles/{vehicles['creek_wagon']}/record")
    with page.expect_download() as taken:
        page.click("text=Take the vehicle file away")
    file = tmp_path / taken.value.suggested_filename
    taken.value.save_as(file)
    assert file.name == "creek-wagon-invented.json"
    page.goto(server.base)
    page.click("text=Open a vehicle file")
    page.set_input_files("input[type=file]", file)
    page.click("text=Bring it in")
    page.wait_for_url("**/walk")
    assert "Creek wagon" in page.inner_text("body")


def test_the_examples_of_a_new_vehicle_speak_the_unit_of_the_tape(page, server):
    page.goto(f"{server.base}/new")
    assert page.get_attribute("#wheelbase", "placeholder") == "106 in"
    page.click("label[for=unit-mm]")
    assert page.get_attribute("#wheelbase", "placeholder") == "2700 mm"
    assert page.get_attribute("#tyre", "placeholder") == "315/75R16"
    page.click("label[for=unit-in]")
    assert page.get_attribute("#tyre", "placeholder") == "35"


def test_the_readings_of_the_record_are_one_tap_from_its_top(page, server, vehicles):
    page.goto(f"{server.base}/vehicles/{vehicles['orchard_truck']}/record")
    page.click("text=To the 103 readings")
    assert page.evaluate("document.getElementById('readings').getBoundingClientRect().top") < 320


SQUEEZED = """() => [...document.querySelectorAll('body *')].filter(one =>
    /flex/.test(getComputedStyle(one).display) && !one.classList.contains('fr')
    && [...one.children].some(child => child.classList.contains('fr'))
    && [...one.childNodes].some(node => node.nodeType === 3 && node.textContent.trim())).map(one => one.textContent)"""


@pytest.mark.parametrize("room", ["behaviour/family/joints", "behaviour/family/clearance", "record", "cut", "ready",
                                  "measure?at=height:lower_left.frame"])
def test_no_fraction_loses_the_space_before_it_with_or_without_script(chromium, server, vehicles, room):
    context = chromium.new_context(viewport=PHONE, java_script_enabled=False)
    page = context.new_page()
    page.goto(server.way_in)
    page.goto(f"{server.base}/vehicles/{vehicles['orchard_truck']}/{room}")
    assert page.locator(".fr").count() and page.evaluate(SQUEEZED) == []
    context.close()


def test_a_refused_file_is_told_in_sight_however_many_vehicles_stand_above(chromium, server, tmp_path: Path):
    # A page of its own: a refused form is an error on the browser's console.
    page = chromium.new_context(viewport=PHONE, has_touch=True).new_page()
    page.goto(server.way_in)
    for number in range(5):
        server.ask("/vehicles", vehicle_object(name=f"Truck {number}"))
    bad = tmp_path / "bad.json"
    bad.write_text("{}", encoding="utf-8")
    page.goto(server.base + "/")
    page.get_by_text("Open a vehicle file").click()
    page.locator("input[type=file]").set_input_files(bad)
    page.get_by_role("button", name="Bring it in").click()
    told = page.locator("#refused")
    told.wait_for()
    box, high = told.bounding_box(), page.viewport_size["height"]
    page.context.close()
    assert box["y"] >= 0 and box["y"] + box["height"] <= high, box


def test_no_choice_of_a_new_vehicle_runs_over_its_frame_when_it_is_chosen(page, server):
    page.goto(f"{server.base}/new")
    over = []
    for label in page.locator("form.newv label[for^='layout-'], form.newv label[for^='axle-']").all():
        label.tap()
        words = label.evaluate("""(one) => {
            const text = document.createRange();
            text.selectNodeContents(one);
            const inside = one.getBoundingClientRect().right - parseFloat(getComputedStyle(one).borderRightWidth);
            return text.getBoundingClientRect().right > inside - 2 ? one.textContent : "";
        }""")
        over += [words] if words else []
    assert over == []
