"""Deciding in a real browser: a bolt dragged, stepped and typed on the phone, plans kept, a hole chosen, aims answered;
with the page's script and without it."""

from __future__ import annotations

import json
import re
import signal
from collections.abc import Iterator
from typing import Any
from urllib.parse import parse_qs, urlsplit

import pytest
from axe_playwright_python.sync_playwright import Axe

from capture import places
from tests.conftest import LiveServer, free_port, network_host

RULES = {"runOnly": ["wcag2a", "wcag2aa", "wcag21aa", "wcag22aa", "best-practice"]}
PHONE, BENCH = {"width": 360, "height": 640}, {"width": 1280, "height": 800}
SIXTEENTH = 25.4 / 16
SCREENS = {
    "what-if": "what-if",
    "what-if-moved": "what-if?point=upper.frame&do=by,upper.frame,-30,0,50&view=top&every=1",
    "what-if-both": "what-if?point=lower_left.frame&both=1&do=both,lower_left.frame,0,30,0&view=front",
    "what-if-kept": "what-if?plan=Higher+upper",
    "plans": "plans",
    "holes": "holes",
    "holes-near": "holes?figure=anti_dive&near=50&turn=1/4&view=front",
    "aims": "aims?answer",
}


@pytest.fixture(scope="module")
def server(tmp_path_factory: pytest.TempPathFactory) -> Iterator[LiveServer]:
    host = network_host()
    running = LiveServer(tmp_path_factory.mktemp("deciding"), host, free_port(host))
    running.start()
    yield running
    running.stop(signal.SIGKILL)


def made(server: LiveServer) -> str:
    """The demo truck, as a vehicle of its own."""
    path = next(path for path in places.demo_vehicles() if path.stem == "orchard_truck")
    return str(server.ask("/vehicles", json.loads(path.read_text(encoding="utf-8")))["id"])


@pytest.fixture
def truck(server: LiveServer) -> str:
    return made(server)


@pytest.fixture(scope="module")
def decided(server: LiveServer) -> str:
    """A truck with a plan, two rows of holes, and aims that fight."""
    vehicle_id = made(server)
    here = server.ask(f"/vehicles/{vehicle_id}/report")["points"]["upper.frame"]
    low, high = ([here["x"], here["y"], here["z"] + far] for far in (-60.0, 60.0))
    bodies: list[dict[str, Any]] = [
        {"type": "move_plan", "name": "Higher upper",
         "moves": [{"move": "point_by", "point": "upper.frame", "by": [0.0, 0.0, 50.0]}]},
        {"type": "holes", "point": "upper.frame", "places": [[0.0, 0.0, -25.4], [0.0, 0.0, 0.0]], "used": 1},
        {"type": "holes", "point": "panhard.frame", "places": [[0.0, 0.0, 19.05 * at] for at in range(4)]},
        {"type": "aims", "rooms": [{"point": "upper.frame", "low": low, "high": high}], "keep_outs": [],
         "wants": [{"figure": "anti_dive", "low": 30.0, "high": 40.0},
                   {"figure": "caster_change_75", "low": -0.2, "high": 0.2}]},
    ]  # fmt: skip
    stamped = [{"id": f"decided-{at:06d}", "at": "2026-05-02T09:14:07Z"} | body for at, body in enumerate(bodies)]
    server.ask(f"/vehicles/{vehicle_id}/entries", {"entries": stamped})
    return vehicle_id


def paired(chromium: Any, server: LiveServer, **options: Any) -> Any:
    context = chromium.new_context(viewport=PHONE, has_touch=True, reduced_motion="reduce", **options)
    page = context.new_page()
    page.goto(server.way_in)
    return page


@pytest.fixture
def page(chromium: Any, server: LiveServer) -> Iterator[Any]:
    """A paired page on the phone's screen. Requests to other machines and words on the console fail the test."""
    opened = paired(chromium, server)
    strange: list[str] = []
    opened.on("request", lambda request: strange.append(request.url) if not request.url.startswith(
        (server.base, "data:")) else None)
    opened.on("pageerror", lambda trouble: strange.append(str(trouble)))
    opened.on("console", lambda said: strange.append(said.text) if not said.text.startswith(
        "Failed to load resource") else None)
    yield opened
    opened.context.close()
    assert strange == []


def open_at(page: Any, server: LiveServer, vehicle_id: str, room: str) -> None:
    page.goto(f"{server.base}/vehicles/{vehicle_id}/{room}")


def moves_of(page: Any) -> list[str]:
    return parse_qs(urlsplit(page.url).query).get("do", [])


def row(page: Any, title: str) -> str:
    """A figure's row as plain text."""
    return re.sub(r"\s+", " ", page.locator(".beside tr", has_text=title).first.inner_text())


def until_moved(page: Any, words: str) -> None:
    page.wait_for_function("words => document.querySelector('.hand').innerText.includes(words)", arg=words)


@pytest.mark.parametrize("screen", SCREENS)
def test_no_screen_of_deciding_holds_a_barrier(page, server, decided, pictures, screen):
    open_at(page, server, decided, SCREENS[screen])
    page.evaluate("document.querySelectorAll('details').forEach(one => { one.open = true })")
    for size, name in ((PHONE, "phone"), (BENCH, "bench")):
        page.set_viewport_size(size)
        page.set_viewport_size(size | {"height": max(size["height"], page.evaluate("document.body.scrollHeight"))})
        for scheme in ("light", "dark"):
            page.emulate_media(color_scheme=scheme)
            if pictures:
                page.screenshot(path=pictures / f"{screen}-{name}-{scheme}-whole.png")
            found = Axe().run(page, options=RULES)
            assert found.violations_count == 0, f"{name}, {scheme}: {found.generate_report()}"


@pytest.mark.parametrize("screen", SCREENS)
def test_nothing_scrolls_sideways_and_every_key_is_tall_enough(page, server, decided, screen):
    open_at(page, server, decided, SCREENS[screen])
    page.evaluate("document.querySelectorAll('details').forEach(one => { one.open = true })")
    assert page.evaluate("document.documentElement.scrollWidth") <= PHONE["width"]
    low = page.evaluate("""() => [...document.querySelectorAll(
        '.btn, .rooms a, .vtabs a, .tb-back, summary, input[type=text], select, .beside th a, .check1 label')]
        .filter(key => key.offsetParent)
        .map(key => [key.outerHTML.slice(0, 80), key.getBoundingClientRect().height])
        .filter(([, height]) => height < 47.5)""")
    assert low == []


def test_drawing_figures_and_step_keys_stand_in_one_view_of_the_phone(page, server, truck):
    open_at(page, server, truck, "what-if")
    drawing, keys = (page.locator(part).bounding_box() for part in (".inhand svg", ".stepkeys"))
    figure = page.locator(".beside tbody tr").first.bounding_box()
    assert drawing["y"] < figure["y"] < keys["y"]
    assert figure["y"] + figure["height"] <= keys["y"] and keys["y"] + keys["height"] <= PHONE["height"] + 1
    assert "Nothing here is measured." in page.inner_text("body")


def test_a_step_key_moves_the_bolt_and_the_figures_follow_without_a_new_page(page, server, truck):
    open_at(page, server, truck, "what-if?point=upper.frame")
    page.evaluate("window.here = true")
    before = row(page, "Anti-dive")
    assert before.endswith("same")
    for times in (1, 2):
        page.get_by_role("button", name="up", exact=True).tap()
        until_moved(page, f"{times}/16" if times == 1 else "1/8")
    assert moves_of(page) == ["by,upper.frame,0,0,3.175"]
    after = row(page, "Anti-dive")
    assert after != before and "sure" in after
    assert page.evaluate("window.here") is True and page.evaluate("scrollY") == 0
    page.reload()
    assert row(page, "Anti-dive") == after


def test_quick_taps_are_as_many_steps_although_the_laptop_is_slow(page, server, truck):
    open_at(page, server, truck, "what-if?point=upper.frame")
    page.route("**/what-if?*", lambda route: (page.wait_for_timeout(300), route.continue_()))
    for _ in range(4):
        page.get_by_role("button", name="up", exact=True).tap()
    until_moved(page, "1/4")
    assert moves_of(page) == ["by,upper.frame,0,0,6.35"]
    page.unroute("**/what-if?*")


def test_a_bolt_is_dragged_with_a_finger_and_the_ghost_stays(page, server, truck):
    open_at(page, server, truck, "what-if")
    scale = float(page.locator(".inhand svg").get_attribute("data-scale"))
    box = page.locator('[data-point="upper.frame"] circle').last.bounding_box()
    x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
    finger = page.context.new_cdp_session(page)

    def touch(kind: str, *at: tuple[float, float]) -> None:
        finger.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": [{"x": a, "y": b} for a, b in at]})

    touch("touchStart", (x, y))
    for step in range(1, 11):
        touch("touchMove", (x + 2 * step, y - step))
    page.wait_for_function("() => document.querySelectorAll('.inhand .was').length > 0")
    touch("touchEnd")
    page.wait_for_function("() => location.search.includes('upper.frame')")
    page.wait_for_timeout(500)  # the place where the finger was lifted is asked for last
    (word,) = moves_of(page)
    kind, name, *far = word.split(",")
    along, left, up = map(float, far)
    # By hand: 20 px right is back in the side view, 10 px up is up, in whole sixteenths.
    assert (kind, name, left) == ("by", "upper.frame", 0.0)
    assert along == pytest.approx(-20 / scale, abs=SIXTEENTH) and up == pytest.approx(10 / scale, abs=SIXTEENTH)
    assert up / SIXTEENTH == pytest.approx(round(up / SIXTEENTH), abs=1e-3)
    assert "back" in page.inner_text(".hand") and page.locator('[data-point="upper.frame"][aria-current]').count() == 1


def test_a_tap_on_a_bolt_takes_it_in_hand_and_moves_nothing(page, server, truck):
    open_at(page, server, truck, "what-if?view=top")
    page.locator('[data-point="panhard.frame"] circle').last.tap()
    until_moved(page, "Panhard bar, frame bolt")
    assert moves_of(page) == [] and "as measured" in page.inner_text(".hand")


def test_arrow_keys_move_the_bolt_that_has_the_keyboard_and_keep_it(page, server, truck):
    open_at(page, server, truck, "what-if?step=mm")
    page.locator('[data-point="lower_left.frame"]').focus()
    for key, words in (("ArrowUp", "up"), ("ArrowLeft", "forward"), ("ArrowLeft", "1/16")):
        page.keyboard.press(key)
        until_moved(page, words)
    page.wait_for_function("() => location.search.includes('2%2C0%2C0')")
    assert moves_of(page) == ["by,lower_left.frame,0,0,1", "by,lower_left.frame,2,0,0"]
    assert page.evaluate("document.activeElement.dataset.point") == "lower_left.frame"


def test_undo_and_start_over(page, server, truck):
    open_at(page, server, truck, "what-if?point=upper.frame&do=by,upper.frame,0,0,5&do=tyre,880")
    page.get_by_role("button", name="Undo").tap()
    page.wait_for_function("() => !location.search.includes('tyre')")
    page.get_by_role("button", name="Start over").click()
    until_moved(page, "as measured")
    assert moves_of(page) in ([], [""]) and page.get_by_role("button", name="Undo").is_disabled()


def test_typed_places_move_it_and_what_cannot_be_read_stays_as_typed(page, server, truck):
    open_at(page, server, truck, "what-if?point=upper.frame")
    page.get_by_text("Type where the bolt goes").click()
    page.get_by_label("above floor").fill("25 1/2")
    page.get_by_label("above floor").press("Enter")
    page.wait_for_function("() => location.search.includes('647.7')")
    assert page.get_by_label("above floor").is_visible()  # what was unfolded stays so
    page.get_by_label("above floor").fill("twenty")
    page.locator("#d-put").get_by_role("button", name="Put it there").click()
    page.wait_for_selector("#refused-put")
    assert "“twenty” is not a number that can be read" in page.inner_text("#refused-put")
    assert page.get_by_label("above floor").input_value() == "twenty"
    assert moves_of(page) == ["to,upper.frame,,,647.7"]


def test_a_link_a_tyre_and_the_ride_height_are_changed_by_typing(page, server, truck):
    open_at(page, server, truck, "what-if?point=upper.frame")
    for summary, label, text, deed, part in (
        ("A link’s length", "Length, bolt to bolt", "28 3/4", "Make it so long", "link,upper"),
        ("Tyres", "Diameter of all four", "35", "Put them on", "tyre,889"),
        ("Ride height", "over this axle", "2", "Raise it", "ride,50.8"),
    ):
        page.get_by_text(summary, exact=True).click()
        page.get_by_label(label).fill(text)
        page.get_by_role("button", name=deed).click()
        page.wait_for_function("part => decodeURIComponent(location.search).includes(part)", arg=part)
    assert page.locator(".moves li").first.inner_text().startswith("Upper link: ")
    assert len(moves_of(page)) == 3


def test_a_move_the_links_cannot_follow_is_said_and_not_done(page, server, truck):
    open_at(page, server, truck, "what-if?point=upper.frame&keep=1&do=by,upper.frame,0,0,5")
    page.get_by_text("A link’s length", exact=True).click()
    page.get_by_label("Length, bolt to bolt").fill("60")
    page.get_by_role("button", name="Make it so long").click()
    page.wait_for_selector("#refused-link")
    assert "they do not reach" in page.inner_text("#refused-link")
    assert moves_of(page) == ["by,upper.frame,0,0,5"]


def test_while_the_laptop_is_away_the_page_stays_and_the_next_deed_works(page, server, truck):
    open_at(page, server, truck, "what-if?point=upper.frame")
    page.context.set_offline(True)
    page.get_by_role("button", name="up", exact=True).tap()
    page.wait_for_timeout(300)
    assert "as measured" in page.inner_text(".hand") and page.locator(".inhand svg").count() == 1
    page.context.set_offline(False)
    page.get_by_role("button", name="up", exact=True).tap()
    until_moved(page, "1/16")


def test_everything_works_without_script(chromium, server, truck):
    page = paired(chromium, server, java_script_enabled=False)
    open_at(page, server, truck, "what-if")
    page.locator('[data-point="upper.frame"]').click(force=True)
    page.get_by_role("link", name="1/4").click()
    page.get_by_role("button", name="up", exact=True).click()
    assert moves_of(page) == ["by,upper.frame,0,0,6.35"]
    page.get_by_role("link", name="Front", exact=True).click()
    page.get_by_role("button", name="left", exact=True).click()
    page.get_by_role("button", name="Undo").click()
    assert moves_of(page) == ["by,upper.frame,0,0,6.35"]
    page.get_by_label("Name").fill("A quarter up")
    page.get_by_role("button", name="Keep it").click()
    assert "plan=A+quarter+up" in page.url
    open_at(page, server, truck, "aims")
    page.get_by_text("Bands of common practice").click()
    page.get_by_role("button", name="Anti-dive").click()
    page.get_by_label("up", exact=True).fill("2")
    page.get_by_role("button", name="Let it move so far").click()
    page.get_by_role("link", name="Find the places").click()
    assert "Everything wanted can be met" in page.inner_text("body")
    page.context.close()


def test_from_the_figures_through_what_if_to_choosing_a_hole(page, server, truck):
    before = server.ask(f"/vehicles/{truck}/report")
    open_at(page, server, truck, "behaviour")
    page.get_by_role("link", name="What if").click()
    page.locator('[data-point="upper.frame"] circle').last.tap()
    until_moved(page, "Upper link, frame bolt")
    page.get_by_role("link", name="1/4 in").tap()
    page.wait_for_selector(".stride[data-focus=step-quarter][aria-current]")
    page.get_by_role("button", name="up", exact=True).tap()
    until_moved(page, "in up")
    page.get_by_label("Name").fill("A quarter up")
    page.get_by_role("button", name="Keep it").click()
    page.wait_for_url("**plan=A+quarter+up*")
    assert page.get_by_role("button", name="Kept").count() == 1

    open_at(page, server, truck, "holes")
    page.get_by_label("Bolt").select_option("upper.frame")
    page.get_by_label("How many holes").fill("0")
    page.get_by_role("button", name="Keep this row").click()
    page.get_by_role("alert").filter(has_text="A row of 0 holes has no hole to use").wait_for()
    page.get_by_label("How many holes").fill("3")
    page.get_by_label("In use is hole").fill("2")
    page.get_by_role("button", name="Keep this row").click()
    page.get_by_text("Another row of holes").click()
    page.get_by_label("Bolt").select_option("panhard.frame")
    page.get_by_label("How many holes").fill("4")
    page.get_by_label("Apart").fill("3/4")
    page.get_by_role("button", name="Keep this row").click()
    page.wait_for_function("() => document.querySelectorAll('.combos tbody tr').length === 12")
    assert page.locator(".combos tr:has-text('as it is')").count() == 1

    page.get_by_text("Sort and show otherwise").click()
    page.locator("#figure").select_option("anti_dive")
    page.get_by_label("Nearest to").fill("45")
    page.get_by_role("button", name="Sort and show").click()
    best = page.locator(".combos tbody tr").first
    assert "45 %" in best.inner_text()
    best.get_by_role("link").click()
    assert moves_of(page) == ["by,upper.frame,0,0,25.4", "by,panhard.frame,0,0,38.1"]
    assert "45 %" in row(page, "Anti-dive")
    chosen = "Upper link, frame, hole 3; Panhard bar, frame, hole 3"
    assert page.get_by_label("Name").input_value() == chosen
    page.get_by_role("button", name="Keep it").click()
    page.wait_for_url("**plan=Upper+link*")
    page.get_by_role("link", name="Plans side by side").click()
    heads = page.locator(".many thead th").all_inner_texts()
    assert heads == ["measured", "A quarter up", chosen]
    assert server.ask(f"/vehicles/{truck}/report") == before  # nothing of it touched a reading


def test_aims_that_fight_say_so_and_lead_to_the_nearest_answer(page, server, decided):
    open_at(page, server, decided, "aims")
    page.wait_for_selector(".answer .fights")
    said = page.inner_text(".answer")
    assert "Anti-dive and caster change fight each other" in said
    page.get_by_role("link", name="Look at it on paper").click()
    page.wait_for_selector(".inhand svg")
    assert page.get_by_label("Name").input_value() == "As aimed" and moves_of(page)[0].startswith("to,upper.frame,")


def test_while_places_are_looked_for_the_page_says_so(page, server, decided):
    page.route("**/aims/answer", lambda route: (page.wait_for_timeout(600), route.continue_()))
    open_at(page, server, decided, "aims")
    page.get_by_text("Looking for places within the boxes. This takes").wait_for()
    assert page.get_by_role("link", name="Find the places").is_hidden()
    page.wait_for_selector(".answer .fights")
    assert page.get_by_text("Looking for places").count() == 0


def test_aims_that_contradict_themselves_are_refused_in_one_sentence(page, server, truck):
    open_at(page, server, truck, "aims")
    page.get_by_label("from").fill("75")
    page.get_by_label("up to").fill("50")
    page.get_by_role("button", name="Want it so").click()
    assert page.get_by_role("alert").inner_text() == (
        "Anti-dive cannot be at least 75 % and at most 50 %: change one of the two.")
    assert (page.get_by_label("from").input_value(), page.get_by_label("up to").input_value()) == ("75", "50")
