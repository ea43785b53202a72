"""Takes the README's pictures of the demo vehicle anew: `python -m tests.browser.take_pictures`.

Every picture is a real page of a real server at 360 x 640, the demo truck with its planted slip, light scheme.
"""

from __future__ import annotations

import signal
import tempfile
from pathlib import Path
from typing import Any

from playwright.sync_api import Page, sync_playwright

from tests.browser.conftest import browser_path
from tests.conftest import LiveServer, free_port, network_host

FOLDER = Path(__file__).parents[2] / "demo_vehicles" / "pictures"
AT = "height:upper.frame"
"""Read as 24 3/16 in the demo; here it is typed an inch too long."""
ROOMS = {
    "walk": "walk",
    "second-look": "second-look",
    "shape": "shape?point=lower_left.frame",
    "behaviour": "behaviour",
    "record": "record",
}
DECIDING = {
    "what-if": "what-if?point=upper.frame&do=by,upper.frame,-50.8,0,38.1",
    "holes": "holes",
    "aims": "aims?answer",
}


def decided(server: LiveServer, truck: str) -> list[dict[str, Any]]:
    """Two rows of holes, and aims for the upper link's frame bolt within three inches up and down."""
    here = server.ask(f"/vehicles/{truck}/report")["points"]["upper.frame"]
    low, high = ([here["x"], here["y"], here["z"] + far] for far in (-76.2, 76.2))
    bodies: list[dict[str, Any]] = [
        {"type": "holes", "point": "upper.frame", "places": [[0.0, 0.0, 25.4 * at] for at in (-1, 0, 1)], "used": 1},
        {"type": "holes", "point": "panhard.frame", "places": [[0.0, 0.0, 19.05 * at] for at in range(4)]},
        {"type": "aims", "rooms": [{"point": "upper.frame", "low": low, "high": high}],
         "wants": [{"figure": "anti_dive", "low": 30.0, "high": 45.0}]},
    ]
    return [{"id": f"picture-{at:06d}", "at": "2026-05-02T12:00:00Z"} | body for at, body in enumerate(bodies)]


def main() -> None:
    """Writes one PNG a screen into FOLDER."""
    FOLDER.mkdir(exist_ok=True)
    with tempfile.TemporaryDirectory() as data, sync_playwright() as started:
        host = network_host()
        server = LiveServer(Path(data), host, free_port(host), options={"demo": True})
        server.start()
        browser = started.chromium.launch(executable_path=browser_path(), args=["--no-sandbox"])
        try:
            screen = {"width": 360, "height": 640}
            page = browser.new_context(viewport=screen, has_touch=True, is_mobile=True).new_page()
            page.goto(server.way_in)
            truck = next(one["id"] for one in server.ask("/vehicles") if one["name"].startswith("Orchard"))
            take(page, f"{server.base}/vehicles/{truck}")
            paper(browser, server, truck)
            server.ask(f"/vehicles/{truck}/entries", {"entries": decided(server, truck)})
            for name, room in DECIDING.items():
                shoot(page, name, f"{server.base}/vehicles/{truck}/{room}")
        finally:
            browser.close()
            server.stop(signal.SIGTERM)


def paper(browser: Any, server: LiveServer, truck: str) -> None:
    """The short form of the as-built sheet, as it lies on A4."""
    page = browser.new_context(viewport={"width": 794, "height": 1123}).new_page()
    page.goto(server.way_in)
    page.goto(f"{server.base}/vehicles/{truck}/sheet?short=1")
    lies = page.locator("main").bounding_box()
    assert lies is not None
    clip = {"x": lies["x"] - 24, "y": lies["y"], "width": lies["width"] + 48, "height": lies["height"] + 16}
    page.screenshot(path=str(FOLDER / "as-built.png"), clip=clip, full_page=True)


def take(page: Page, vehicle: str) -> None:
    """All pictures of one vehicle."""
    for name, room in ROOMS.items():
        shoot(page, name, f"{vehicle}/{room}")
    page.goto(f"{vehicle}/measure?at={AT}")
    page.wait_for_timeout(1500)
    type_on(page, "25")
    page.wait_for_timeout(300)
    keep(page, "measure")
    type_on(page, " 3/16")
    page.keyboard.press("Enter")
    page.wait_for_timeout(1500)
    keep(page, "remark")


def type_on(page: Page, text: str) -> None:
    """As on the laptop's keyboard; the keypad shows it alike."""
    page.keyboard.type(text, delay=30)


def shoot(page: Page, name: str, address: str) -> None:
    """One page as it opens."""
    page.goto(address)
    page.wait_for_timeout(800)
    keep(page, name)


def keep(page: Any, name: str) -> None:
    """The screen as it stands."""
    page.screenshot(path=FOLDER / f"{name}.png")


if __name__ == "__main__":
    main()
