"""How long the remark takes in a real browser: from the last key to the frame after it is on the page.

The demo truck's walk at 360 x 640, a height typed an inch too long: "while typing" from the key that makes it complete,
"on Record" from the tap on Record to the panel. Beside them the keypad alone: a key after which nothing is remarked.
"""

from __future__ import annotations

import json
import signal
import statistics
import tempfile
from pathlib import Path
from typing import Any

from tests.browser.conftest import browser_path
from tests.conftest import LiveServer, free_port, network_host

ROUNDS = 30
DEMO = Path(__file__).parents[2] / "demo_vehicles" / "orchard_truck.json"
READING = "height:upper.frame"
PHONE = {"viewport": {"width": 360, "height": 640}, "is_mobile": True, "has_touch": True}
CLOCK = """(what) => {
  window.timed = null;
  const shown = { soon: () => document.querySelector(".step:not([hidden]) .soon:not([hidden])"),
                  panel: () => document.querySelector(".remark:not([hidden])"),
                  key: () => true }[what];
  const began = () => {
    const start = performance.now();
    const look = () => requestAnimationFrame(() => {
      const channel = new MessageChannel();
      channel.port1.onmessage = () => { if (shown()) window.timed = performance.now() - start; else look(); };
      channel.port2.postMessage(0);
    });
    look();
  };
  document.addEventListener(what === "panel" ? "click" : "keydown", began, { capture: true, once: true });
}"""


def run() -> None:
    try:
        from playwright.sync_api import sync_playwright
    except ImportError:
        print("\nThe remark in the browser: playwright is not installed, nothing was timed.")
        return
    host = network_host()
    with tempfile.TemporaryDirectory() as folder, sync_playwright() as started:
        server = LiveServer(Path(folder) / "live", host, free_port(host))
        server.start()
        browser = started.chromium.launch(executable_path=browser_path(), args=["--no-sandbox"])
        try:
            timed(browser, server)
        finally:
            browser.close()
            server.stop(signal.SIGKILL)


def timed(browser: Any, server: LiveServer) -> None:
    vehicle = server.ask("/vehicles", json.loads(DEMO.read_text(encoding="utf-8")))["id"]
    page = browser.new_context(**PHONE).new_page()
    page.goto(server.way_in)
    page.goto(f"{server.base}/vehicles/{vehicle}/measure?at={READING}")
    page.wait_for_selector("[data-ready]")
    expected = page.evaluate("plumbtack.measure.state.step.expected") / 25.4
    whole = f"{int(expected) + 1} {int((expected % 1) * 8)}/8"
    print(f"\nThe remark in the browser, {ROUNDS} times, from the key to the frame that shows it")
    for words, taken in (
        ("a key, nothing to remark", [typing(page, "key", whole[:1]) for _ in range(ROUNDS)]),
        ("while typing", [typing(page, "soon", whole) for _ in range(ROUNDS)]),
        ("the panel on Record", [recording(page, whole) for _ in range(ROUNDS)]),
    ):
        taken.sort()
        most = taken[int(0.95 * ROUNDS)]
        print(f"  {words:26s}median {statistics.median(taken):6.1f} ms   19 of 20 within {most:6.1f} ms")


def typing(page: Any, what: str, text: str) -> float:
    """ms from the last key of a text typed on an empty line."""
    page.keyboard.press("Escape")
    page.keyboard.type(text[:-1])
    page.evaluate(CLOCK, what)
    page.keyboard.press(text[-1])
    return clock(page)


def recording(page: Any, text: str) -> float:
    """ms from the tap on Record to the panel, the value just typed."""
    page.keyboard.press("Escape")
    page.keyboard.type(text)
    page.evaluate(CLOCK, "panel")
    page.locator("[data-do=record]").tap()
    taken = clock(page)
    page.locator(".remark [data-do=again]").tap()
    return taken


def clock(page: Any) -> float:
    for _ in range(200):
        taken = page.evaluate("window.timed")
        if taken is not None:
            return float(taken)
        page.wait_for_timeout(10)
    raise SystemExit("the remark did not show within two seconds")
