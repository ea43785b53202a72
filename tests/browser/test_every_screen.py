"""Every screen the program has, found by following its own links: no barrier in any state, no loss with text twice as
large, nothing too small for a thumb, nothing the keyboard does not reach, nothing moving where less motion is wanted.

A new screen is in here by itself: the addresses come from the program, and one that no link leads to fails the test.
"""

from __future__ import annotations

import html
import io
import json
import re
import signal
import tempfile
import urllib.parse
import urllib.request
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import pytest
from axe_playwright_python.sync_playwright import Axe
from PIL import Image
from werkzeug.exceptions import HTTPException

from capture import create_app, places
from capture.settings import Settings
from tests.browser.test_rooms import BENCH, PHONE, RULES
from tests.capture.test_hostile_words import LONG, vehicle_with
from tests.conftest import LiveServer, free_port, network_host, vehicle_object

NO_SCREENS = {  # GET addresses that answer with something else than a page of its own
    "/static/<path:name>": "a file", "/in": "leads on", "/vehicles": "for programs",
    "/vehicles/<vehicle_id>/file": "for programs", "/vehicles/<vehicle_id>/report": "for programs",
    "/vehicles/<vehicle_id>/walk/own": "leads on", "/vehicles/<vehicle_id>/measure/drawings": "part of a page",
    "/vehicles/<vehicle_id>/expectations": "for a script", "/vehicles/<vehicle_id>/remark": "part of a page",
    "/vehicles/<vehicle_id>/fresh": "part of a page", "/vehicles/<vehicle_id>/aims/answer": "part of a page",
}  # fmt: skip
ON_PAPER = {"/vehicles/<vehicle_id>/sheet"}  # laid out for A4, in points; all of it stands on the screens too
STATES = ("empty", "doubt", "stages", "closed")
MOST_PAGES = 260
"""Pages followed in one state; figures and points are many of a kind."""
OF_A_KIND = 2
"""Pages of one address that are looked at in one state; three times as many are followed."""
DECIDED = (  # so that screens which show what was decided have something to show
    {"type": "move_plan", "name": "Upper bolt up", "keep_lengths": True,
     "moves": [{"move": "point_by", "point": "upper.frame", "by": [0.0, 0.0, 12.0]}]},
    {"type": "aims", "wants": [{"figure": "anti_dive", "low": 30.0, "high": 60.0}],
     "rooms": [{"point": "upper.frame", "low": [-10.0, -10.0, -40.0], "high": [10.0, 10.0, 40.0]}]},
    {"type": "holes", "point": "upper.frame", "places": [[0.0, 0.0, 0.0], [0.0, 0.0, 25.4]], "used": 0},
)  # fmt: skip


def rules() -> Any:
    with tempfile.TemporaryDirectory() as folder:
        app = create_app(Settings(Path(folder) / "data"))
        app.extensions["plumbtack"].store.close()
    return app.url_map


URL_MAP = rules()
SCREENS = sorted({rule.rule for rule in URL_MAP.iter_rules() if "GET" in rule.methods} - NO_SCREENS.keys())


def rule_of(path: str) -> str | None:
    try:
        return URL_MAP.bind("here").match(path, return_rule=True)[0].rule
    except HTTPException:
        return None


@dataclass
class Site:
    """The program serving one vehicle in each state. pages: state -> rule -> addresses found by following links."""

    server: LiveServer
    vehicles: dict[str, str]
    pages: dict[str, dict[str, list[str]]] = field(default_factory=dict)
    reached: set[str] = field(default_factory=set)

    def follow(self, state: str) -> dict[str, list[str]]:
        """The pages of a state, from the walk and the first page on, the vehicle's own only."""
        if state in self.pages:
            return self.pages[state]
        vehicle = self.vehicles[state]
        found: dict[str, list[str]] = {}
        waiting, met = ["/", f"/vehicles/{vehicle}/walk"], set()
        while waiting and len(met) < MOST_PAGES:
            address = waiting.pop(0)
            path = address.partition("?")[0]
            rule = rule_of(path)
            others = path.startswith("/vehicles/") and f"/{vehicle}/" not in path
            if address in met or rule is None or rule in NO_SCREENS or others:
                continue
            if len(found.get(rule, ())) >= 3 * OF_A_KIND:
                continue
            met.add(address)
            self.reached.add(rule)
            answer = self._read(address)
            if answer is None:
                continue
            found.setdefault(rule, []).append(address)
            links = re.findall(r'\s(?:href|src)="([^"#]*)[^"]*"', answer)
            waiting += [urllib.parse.urljoin(address, html.unescape(link)) for link in links if link]
        self.pages[state] = found
        return found

    def _read(self, address: str) -> str | None:
        """The page's text; None for what is no page."""
        asked = urllib.request.Request(
            self.server.base + urllib.parse.quote(address, safe="/?&=%:~,.+@-_"),
            headers={"Authorization": f"Bearer {self.server.key}", "Accept": "text/html"})
        with urllib.request.urlopen(asked, timeout=60) as answer:
            if "text/html" not in answer.headers["Content-Type"] or answer.headers["Content-Disposition"]:
                return None
            return str(answer.read().decode())

    def send(self, path: str, **form: str) -> None:
        """A form of one of the pages, sent as a program does."""
        asked = urllib.request.Request(
            self.server.base + path, data=urllib.parse.urlencode(form).encode(),
            headers={"Authorization": f"Bearer {self.server.key}", "Accept": "text/html"})
        with urllib.request.urlopen(asked, timeout=60) as answer:
            assert answer.status == 200, path

    def photo(self, state: str) -> None:
        """A photo, sent as the form on its page does."""
        picture = io.BytesIO()
        Image.new("RGB", (400, 300), (90, 120, 200)).save(picture, "JPEG")
        fields = {"id": "photo-000001", "stage": "mock_up", "point": "upper.frame", "note": "upper hole"}
        parts = [f'--x\r\nContent-Disposition: form-data; name="{name}"\r\n\r\n{text}\r\n'.encode()
                 for name, text in fields.items()]
        head = b'--x\r\nContent-Disposition: form-data; name="picture"; filename="1.jpg"\r\n\r\n'
        asked = urllib.request.Request(
            f"{self.server.base}/vehicles/{self.vehicles[state]}/photos",
            data=b"".join(parts) + head + picture.getvalue() + b"\r\n--x--\r\n",
            headers={"Authorization": f"Bearer {self.server.key}", "Accept": "text/html",
                     "Content-Type": "multipart/form-data; boundary=x"})
        with urllib.request.urlopen(asked, timeout=60) as answer:
            assert "upper hole" in answer.read().decode()


@pytest.fixture(scope="module")
def site(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Site]:
    host = network_host()
    server = LiveServer(tmp_path_factory.mktemp("screens"), host, free_port(host))
    server.start()
    demo = {path.stem: json.loads(path.read_text(encoding="utf-8")) for path in places.demo_vehicles()}
    made = {"empty": vehicle_object(name="Nothing measured"), "doubt": demo["orchard_truck"],
            "stages": demo["quarry_hauler"], "closed": demo["creek_wagon"], "wordy": vehicle_with(LONG)}
    site = Site(server, {state: server.ask("/vehicles", vehicle)["id"] for state, vehicle in made.items()})
    decided = [{"id": f"decided-{number:06d}", "at": "2026-05-03T09:00:00Z"} | entry
               for number, entry in enumerate(DECIDED)]
    server.ask(f"/vehicles/{site.vehicles['doubt']}/entries", {"entries": decided})
    site.photo("doubt")
    site.send(f"/vehicles/{site.vehicles['closed']}/close", stage=demo["creek_wagon"]["entries"][-1]["stage"])
    yield site
    server.stop(signal.SIGKILL)


@pytest.fixture
def paired(chromium: Any, site: Site) -> Iterator[Any]:
    """Makes a paired page, on the phone's screen where nothing else is said. A script's fault fails the test."""
    contexts, faults = [], []

    def opened(way_in: str = "", **look: Any) -> Any:
        context = chromium.new_context(**({"viewport": PHONE, "has_touch": True, "reduced_motion": "reduce"} | look))
        contexts.append(context)
        page = context.new_page()
        page.on("pageerror", lambda fault: faults.append(str(fault)))
        page.goto(way_in or site.server.way_in)
        return page

    yield opened
    for context in contexts:
        context.close()
    assert faults == []


def visit(page: Any, site: Site, address: str, size: dict[str, int] = PHONE) -> None:
    """The page in its whole length: axe takes what is under the room bar at this moment for out of reach."""
    page.set_viewport_size(size)
    page.goto(site.server.base + address)
    if "/measure" in page.url:  # a closed record leads on to its stages
        page.wait_for_selector("[data-ready]")
        return
    lay_out(page, size)


def lay_out(page: Any, size: dict[str, int] = PHONE) -> None:
    """The page in its whole length, what is folded unfolded."""
    page.evaluate("document.querySelectorAll('.rooms').forEach(bar => { bar.style.position = 'static'; })")
    page.locator("[hx-trigger=load]").wait_for(state="detached")
    page.evaluate("document.querySelectorAll('main details').forEach((one, at) => { one.open ||= at < 12; })")
    page.set_viewport_size(size | {"height": max(size["height"], page.evaluate("document.body.scrollHeight"))})


def barriers(page: Any, schemes: tuple[str, ...] = ("light", "dark")) -> list[str]:
    found = []
    for scheme in schemes:
        page.emulate_media(color_scheme=scheme)
        for one in Axe().run(page, options=RULES).response["violations"]:
            found += [f"{scheme}: {one['id']}: {node['html'][:160]}" for node in one["nodes"][:3]]
    return found


SMALL = """() => {
  const inText = one => getComputedStyle(one).display.startsWith('inline')
    && [...one.parentNode.childNodes].some(near => near.nodeType === 3 && near.textContent.trim().length > 1);
  const lent = one => one.matches('input') && one.labels && [...one.labels].some(label => {
    const box = label.getBoundingClientRect(); return box.width >= 47.5 && box.height >= 47.5; });
  return [...document.querySelectorAll('a[href], button, summary, input:not([type=hidden]), select, textarea')]
    .filter(one => one.checkVisibility({visibilityProperty: true}) && !one.closest('svg, .sr') && !one.disabled)
    .filter(one => !inText(one) && !lent(one))
    .map(one => [one.getBoundingClientRect(), one.outerHTML.slice(0, 140)])
    .filter(([box]) => box.width > 1 && (box.height < 47.5 || box.width < 47.5))
    .map(([box, text]) => `${Math.round(box.width)} x ${Math.round(box.height)}: ${text}`);
}"""
MOVING = """() => document.getAnimations().length + [...document.querySelectorAll('body *')].filter(one => {
  const style = getComputedStyle(one);
  return style.animationName !== 'none' || style.transitionDuration.split(',').some(time => parseFloat(time) > 0);
}).length"""
OUT_OF_REACH = """() => {
  const seen = [...document.querySelectorAll('a[href], button, summary, input, select, textarea, [tabindex]')]
    .filter(one => one.checkVisibility({visibilityProperty: true}) && !one.disabled && one.type !== 'hidden');
  return seen.filter(one => {
    one.focus({preventScroll: true});
    if (document.activeElement !== one || one.tabIndex > 0) return true;
    if (one.tabIndex < 0) return false;
    const shows = [one, ...(one.labels || [])].some(shown => {
      const style = getComputedStyle(shown);
      return style.outlineStyle !== 'none' && parseFloat(style.outlineWidth) >= 2;
    });
    return !shows;
  }).map(one => one.outerHTML.slice(0, 140));
}"""
LOST = """() => {
const scrolled = one => {
  for (let near = one.parentElement; near && near !== document.body; near = near.parentElement)
    if (near.scrollWidth > near.clientWidth && /auto|scroll/.test(getComputedStyle(near).overflowX)) return true;
  return false;
};
return [...document.querySelectorAll('body *')].filter(one => {
  if (!one.checkVisibility({visibilityProperty: true}) || one.closest('svg, .sr, template')) return false;
  const style = getComputedStyle(one), box = one.getBoundingClientRect();
  if (box.width < 2 || !one.innerText || !one.innerText.trim()) return false;
  const cutAcross = style.overflowX === 'hidden' && one.scrollWidth > one.clientWidth + 2;
  const cutDown = style.overflowY === 'hidden' && one.scrollHeight > one.clientHeight + parseFloat(style.fontSize) / 2;
  const outside = [...one.childNodes].some(near => near.nodeType === 3 && near.textContent.trim())
    && (box.right > innerWidth + 1 || box.left < -1) && !scrolled(one);
  return cutAcross || cutDown || outside;
}).map(one => one.outerHTML.slice(0, 140));
}"""
LARGER = """() => {
  const sizes = [...document.querySelectorAll('body, body *')].filter(one => !one.closest('svg'))
    .map(one => [one, parseFloat(getComputedStyle(one).fontSize), getComputedStyle(one).lineHeight]);
  sizes.forEach(([one, size, line]) => {
    one.style.setProperty('font-size', `${2 * size}px`, 'important');
    if (line !== 'normal') one.style.setProperty('line-height', `${2 * parseFloat(line)}px`, 'important');
  });
}"""


def addresses(site: Site, screen: str, *states: str) -> list[tuple[str, str]]:
    """State and address of the pages of this kind; where nothing is in doubt, one of a kind is enough."""
    return [(state, address) for state in states
            for address in site.follow(state).get(screen, [])[: OF_A_KIND if state == "doubt" else 1]]


@pytest.mark.parametrize("screen", SCREENS)
def test_a_link_leads_to_every_screen(site: Site, screen: str):
    for state in STATES:
        site.follow(state)
    assert screen in site.reached


@pytest.mark.parametrize("screen", SCREENS)
def test_no_screen_holds_a_barrier_in_any_state(site: Site, paired: Any, screen: str):
    page, bench, found = paired(), paired(viewport=BENCH), {}
    for state, address in addresses(site, screen, *STATES):
        visit(page, site, address)
        found[address] = barriers(page, ("light", "dark") if state == "doubt" else ("light",))
        if page.evaluate("document.documentElement.scrollWidth") > PHONE["width"]:
            found[address].append("it scrolls sideways")
        if state == "doubt":
            visit(bench, site, address, BENCH)
            found[address] += [f"wide, {one}" for one in barriers(bench, ("dark",))]
            if bench.evaluate("document.documentElement.scrollWidth") > BENCH["width"]:
                found[address].append("wide: it scrolls sideways")
    assert {address: faults for address, faults in found.items() if faults} == {}


@pytest.mark.parametrize("screen", SCREENS)
def test_no_screen_has_a_key_too_small_for_a_thumb_and_nothing_moves_where_less_motion_is_wanted(
    site: Site, paired: Any, screen: str
):
    page, found = paired(), {}
    for _, address in addresses(site, screen, "empty", "doubt", "closed"):
        visit(page, site, address)
        found[address] = page.evaluate(SMALL)
        if moving := page.evaluate(MOVING):
            found[address].append(f"{moving} things move")
    assert {address: faults for address, faults in found.items() if faults} == {}


@pytest.mark.parametrize("screen", SCREENS)
def test_every_key_of_every_screen_takes_the_keyboard_and_shows_it(site: Site, paired: Any, screen: str):
    page, found = paired(has_touch=False), {}
    for _, address in addresses(site, screen, "doubt"):
        visit(page, site, address)
        page.keyboard.press("Tab")
        found[address] = page.evaluate(OUT_OF_REACH)
    assert {address: faults for address, faults in found.items() if faults} == {}


@pytest.mark.parametrize("screen", [screen for screen in SCREENS if screen not in ON_PAPER])
def test_with_text_twice_as_large_nothing_is_lost(site: Site, paired: Any, screen: str):
    page, found = paired(), {}
    for _, address in addresses(site, screen, "doubt"):
        for way in ("document.documentElement.style.fontSize = '32px'", LARGER):
            visit(page, site, address)
            page.evaluate(way)
            faults = page.evaluate(LOST)
            wide = page.evaluate("document.documentElement.scrollWidth")
            faults += [f"it scrolls sideways: {wide}"] if wide > PHONE["width"] + 1 else []
            if faults:
                found[f"{address} {'text alone' if way is LARGER else 'all of it'}"] = faults
    assert found == {}


@pytest.mark.parametrize("screen", [screen for screen in SCREENS if screen not in ON_PAPER])
def test_a_word_longer_than_a_line_makes_no_screen_scroll_sideways(site: Site, paired: Any, screen: str):
    page, wide = paired(), {}
    for _, address in addresses(site, screen, "wordy"):
        page.goto(site.server.base + address)
        page.evaluate("document.querySelectorAll('main details').forEach(one => { one.open = true; })")
        if (width := page.evaluate("document.documentElement.scrollWidth")) > PHONE["width"]:
            wide[address] = width
    assert wide == {}


@pytest.mark.parametrize("screen", SCREENS)
def test_what_changes_something_is_at_rest_for_guests_on_every_screen(site: Site, paired: Any, screen: str):
    from tests.browser.test_guests import AT_REST

    said = next(line for line in site.server.said.splitlines() if line.startswith("For guests"))
    page, found = paired(way_in=said.split()[-1]), {}
    for _, address in addresses(site, screen, "doubt"):
        answer = page.goto(site.server.base + address)
        if answer.status == 403:
            continue
        visit(page, site, address)
        found[address] = page.evaluate(AT_REST) + barriers(page, ("light",))
    assert {address: faults for address, faults in found.items() if faults} == {}


def test_the_page_for_those_not_let_in_and_the_one_for_what_is_not_there_hold_no_barrier(
    site: Site, paired: Any, chromium: Any
):
    stranger = chromium.new_context(viewport=PHONE, reduced_motion="reduce")
    for page in (stranger.new_page(), paired()):
        page.goto(f"{site.server.base}/vehicles/nobody/walk")
        assert barriers(page) == [] and page.evaluate(SMALL) == []
        page.evaluate("document.documentElement.style.fontSize = '32px'")
        assert page.evaluate(LOST) == [] and page.evaluate("document.documentElement.scrollWidth") <= PHONE["width"]
    stranger.close()
