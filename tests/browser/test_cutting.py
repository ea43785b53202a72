"""Cutting, setting, paper and tables in a real browser: no barriers in either scheme on either screen, nothing wider
than the phone, keys for a thumb; the paper printed on A4 and letter without anything cut off."""

from __future__ import annotations

import json
import re
import signal
from collections.abc import Iterator
from typing import Any

import pytest
from axe_playwright_python.sync_playwright import Axe

from capture import places
from tests.capture.test_cut_list import facts_with, planned, thread
from tests.conftest import LiveServer, free_port, network_host, vehicle_object

RULES = {"runOnly": ["wcag2a", "wcag2aa", "wcag21aa", "wcag22aa", "best-practice"]}
PHONE, BENCH = {"width": 360, "height": 640}, {"width": 1280, "height": 800}
MM = 96 / 25.4
PRINTED = {"A4": (210 - 24) * MM, "Letter": (215.9 - 24) * MM}
"""CSS px between the margins."""
SET = "set?now=33+5/8&wanted=34+1/8&frame=1+5/16&axle=1+1/4"
SCREENS = {
    "cut": "/vehicles/{truck}/cut",
    "cut-plans": "/vehicles/{planned}/cut?plan=Longer+%26+lower",
    "cut-empty": "/vehicles/{empty}/cut",
    "cut-link": "/vehicles/{truck}/cut/lower_left",
    "cut-coarse": "/vehicles/{short}/cut/lower_left",
    "cut-guessed": "/vehicles/{creek_wagon}/cut/panhard",
    "set": "/vehicles/{truck}/cut/lower_left/set",
    "set-turned": "/vehicles/{truck}/cut/lower_left/" + SET,
    "set-too-far": "/vehicles/{truck}/cut/lower_left/" + SET.replace("34+1/8", "36"),
    "set-joint": "/vehicles/{truck}/cut/lower_left/" + SET.replace("34+1/8", "33+7/8") + "&turn=frame",
    "set-nothing": "/vehicles/{truck}/cut/upper/set",
    "table": "/vehicles/{truck}/table",
    "paper": "/vehicles/{truck}/paper",
    "paper-in": "/vehicles/{empty}/paper/in",
}


@pytest.fixture(scope="module")
def server(tmp_path_factory: pytest.TempPathFactory) -> Iterator[LiveServer]:
    host = network_host()
    running = LiveServer(tmp_path_factory.mktemp("cutting"), host, free_port(host))
    running.start()
    yield running
    running.stop(signal.SIGKILL)


@pytest.fixture(scope="module")
def vehicles(server: LiveServer) -> dict[str, str]:
    """The demo vehicles; the truck with parts stated, with too short a thread, and with a plan; an empty one."""
    raw = {path.stem: json.loads(path.read_text(encoding="utf-8")) for path in places.demo_vehicles()}
    truck = raw["orchard_truck"]
    raw["truck"] = {**truck, "facts": facts_with()}
    raw["short"] = {**truck, "facts": facts_with(threads={"lower_left": {"frame": thread("right", 48.2)}})}
    raw["planned"] = planned(880.0)
    raw["empty"] = vehicle_object(name="Empty one", display_unit="in")
    return {name: server.ask("/vehicles", one)["id"] for name, one in raw.items()}


@pytest.fixture
def page(chromium: Any, server: LiveServer) -> Iterator[Any]:
    context = chromium.new_context(viewport=PHONE, has_touch=True, reduced_motion="reduce")
    opened = context.new_page()
    strange: list[str] = []
    opened.on("pageerror", lambda trouble: strange.append(str(trouble)))
    opened.on("console", lambda said: strange.append(said.text) if "422" not in said.text else None)
    opened.goto(server.way_in)
    yield opened
    context.close()
    assert strange == []


def barriers(page: Any) -> list[str]:
    found = Axe().run(page, options=RULES)
    return [f"{one['id']}: {[node['html'][:140] for node in one['nodes'][:2]]}" for one in found.response["violations"]]


@pytest.mark.parametrize("screen", SCREENS)
def test_no_screen_holds_a_barrier_in_either_scheme_on_either_size(page, server, vehicles, pictures, screen):
    page.goto(server.base + SCREENS[screen].format(**vehicles))
    for size, name in ((PHONE, "phone"), (BENCH, "bench")):
        page.set_viewport_size(size)
        assert page.evaluate("document.documentElement.scrollWidth <= innerWidth"), "wider than the screen"
        # As tall as the page: what the room bar hides for now can be scrolled from under it.
        page.set_viewport_size({**size, "height": page.evaluate("document.documentElement.scrollHeight")})
        for scheme in ("light", "dark"):
            page.emulate_media(color_scheme=scheme)
            assert barriers(page) == []
            if pictures:
                page.screenshot(path=pictures / f"{screen}-{name}-{scheme}.png", full_page=True)


@pytest.mark.parametrize("screen", SCREENS)
def test_every_key_and_field_is_large_enough_for_a_thumb(page, server, vehicles, screen):
    page.goto(server.base + SCREENS[screen].format(**vehicles))
    small = page.evaluate("""() => [...document.querySelectorAll(
        'main .btn, main button, main input[type=text], main textarea, main select, main .seg label, main .list a')]
        .filter(one => one.offsetParent).map(one => [one.textContent.trim().slice(0, 30), one.getBoundingClientRect()])
        .filter(([, box]) => box.height < 47.5).map(([words, box]) => words + ' ' + box.height)""")
    assert small == []


@pytest.mark.parametrize("screen", ["cut-link", "cut-coarse", "set-turned", "set-joint"])
def test_no_lettering_of_a_drawing_collides_or_leaves_its_paper(page, server, vehicles, screen):
    page.goto(server.base + SCREENS[screen].format(**vehicles))
    assert page.evaluate("""() => {
        const drawn = document.querySelector('.linkd, .turnd'), paper = drawn.getBoundingClientRect();
        const boxes = [...drawn.querySelectorAll('text')].filter(t => t.textContent.trim())
            .map(t => [t.textContent, t.getBoundingClientRect()]);
        const bad = [];
        boxes.forEach(([words, b], i) => {
            if (b.left < paper.left - 1 || b.right > paper.right + 1 || b.bottom > paper.bottom + 1) bad.push(words);
            boxes.slice(i + 1).forEach(([others, c]) => {
                const wide = Math.min(b.right, c.right) - Math.max(b.left, c.left);
                const tall = Math.min(b.bottom, c.bottom) - Math.max(b.top, c.top);
                if (wide > 1 && tall > 4) bad.push(words + ' on ' + others);
            });
        });
        return bad;
    }""") == []


def test_parts_are_stated_the_tube_cut_its_length_set_and_the_note_written(page, server, vehicles):
    """From nothing stated to the note in the record, by forms alone."""
    at = f"{server.base}/vehicles/{vehicles['orchard_truck']}"
    page.goto(f"{at}/record")
    page.get_by_role("link", name=re.compile("^Cut list")).click()
    page.get_by_role("link", name=re.compile("^Upper link")).click()
    for end in ("frame", "axle"):
        page.fill(f"[id='joints.upper.{end}.standing']", "1 5/8")
        page.select_option(f"[id='threads.upper.{end}.size']", "7/8-14")
        page.select_option(f"[id='threads.upper.{end}.hand']", "right" if end == "frame" else "left")
        for part, text in (("length", "2 1/4"), ("jam_nut", "1/2"), ("lip", "0")):
            page.fill(f"[id='threads.upper.{end}.{part}']", text)
    page.get_by_role("button", name="Keep these").click()
    page.locator("main", has_text="Cut the tube to").wait_for()
    page.get_by_role("link", name="Set its length by turning").click()
    page.fill("#now", "28 7/16")
    page.fill("#wanted", "28 11/16 in")
    page.get_by_role("button", name="How far to turn").click()
    # By hand: 14 threads an inch at both ends, so 1/7 in a turn; 1/4 in is 1.75 turns, to the flat 1 and 4 or 5.
    assert re.search(r"1 turn and [45] flats clockwise", page.inner_text("main"))
    page.get_by_role("button", name="It is set: write it down").click()
    page.locator(".saved", has_text="Written into the record").wait_for()
    page.goto(f"{at}/record")
    assert "the tube turned 1 turn and" in page.inner_text("main")


def test_a_table_comes_in_from_a_file_after_being_looked_at(page, server, vehicles):
    at = f"{server.base}/vehicles/{vehicles['empty']}"
    page.goto(f"{at}/table")
    table = "reading;value (in)\r\nheight:upper.frame;24 1/8\r\nheight:upper.axle;22,5\r\n".encode("utf-16")
    page.set_input_files("#file", {"name": "garage.csv", "mimeType": "text/csv", "buffer": table})
    page.get_by_role("button", name="Look at it first").click()
    page.locator("main", has_text="garage.csv").wait_for()
    assert barriers(page) == []
    page.get_by_role("button", name="Take 2 readings in").click()
    page.locator("main", has_text="2 readings taken in.").wait_for()
    page.set_input_files("#file", {"name": "bad.csv", "mimeType": "text/csv", "buffer": b"reading,value\nheight:x,3\n"})
    page.get_by_role("button", name="Look at it first").click()
    page.locator("main", has_text="Nothing of it was taken.").wait_for()
    assert barriers(page) == []


@pytest.mark.parametrize("paper", PRINTED)
@pytest.mark.parametrize("vehicle", ["empty", "truck", "quarry_hauler", "creek_wagon"])
def test_the_walk_prints_on_either_paper_without_anything_cut_off(page, server, vehicles, pictures, vehicle, paper):
    page.goto(f"{server.base}/vehicles/{vehicles[vehicle]}/paper?whole")
    page.emulate_media(media="print", color_scheme="dark")
    page.set_viewport_size({"width": int(PRINTED[paper]), "height": 900})
    lines = page.locator(".paperline").count()
    assert lines > 60
    out = page.evaluate("""() => [...document.querySelectorAll('main *')].filter(one => {
        const box = one.getBoundingClientRect();
        return box.width && !one.closest('.sr') && !one.closest('svg') && (box.right > innerWidth + 1 || box.left < -1);
    }).map(one => one.className + ' ' + one.textContent.slice(0, 40))""")
    assert out == []
    tallest = page.evaluate("Math.max(...[...document.querySelectorAll('.paperline')].map(one => one.offsetHeight))")
    assert tallest < 60 * MM  # one line is never taller than a page, so none is torn apart
    assert page.evaluate("getComputedStyle(document.querySelector('.noprint')).display") == "none"
    assert page.evaluate("getComputedStyle(document.body).color") == "rgb(0, 0, 0)"
    assert page.evaluate("getComputedStyle(document.documentElement).backgroundColor") == "rgb(255, 255, 255)"
    made = page.pdf(format=paper, print_background=True)
    pages = len(re.findall(rb"/Type\s*/Page\b(?!s)", made))
    assert lines / 10 < pages < lines / 4
    if pictures:
        (pictures / f"paper-{vehicle}-{paper}.pdf").write_bytes(made)
