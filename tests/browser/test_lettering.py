"""Lettering in drawings stays near the size of the text around it, however wide the screen is.

All but the value being typed: that one is to be read from beneath the vehicle, as `test_measure_bench` has it.
"""

from __future__ import annotations

import json
from typing import Any

import pytest

from tests.browser.test_measure import DEMO, RULES, Window, window

__all__ = ["RULES", "window"]

ROOMS = ("walk", "measure?at=height:upper.frame", "shape", "shape?view=top", "behaviour", "behaviour/family/steering",
         "behaviour/family/loads", "behaviour/family/clearance", "behaviour/anti_dive", "what-if?point=upper.frame",
         "cut/lower_left")
SIZES = """[...document.querySelectorAll("main svg text:not([data-typed])")]
  .filter((text) => text.getBoundingClientRect().width)
  .map((text) => {
    const by = text.getScreenCTM();
    return [parseFloat(getComputedStyle(text).fontSize) * Math.hypot(by.b, by.d), text.textContent];
  })"""
TEXT = 16.0
"""px: the text of a page, as its stylesheet has it."""


@pytest.mark.parametrize(("width", "height", "least"), [
    (360, 640, 10.0), (768, 1024, 11.5), (900, 800, 10.0), (1024, 768, 11.0), (1280, 800, 11.0), (1920, 1080, 11.0),
    (2560, 1440, 11.0),
])
def test_lettering_in_drawings_is_near_the_size_of_the_text(window, live_server: Any, width, height, least):
    truck = live_server.ask("/vehicles", json.loads(DEMO.read_text(encoding="utf-8")))["id"]
    screen: Window = window(viewport={"width": width, "height": height}, is_mobile=width < 400)
    seen = 0
    for room in ROOMS:
        screen.page.goto(f"{live_server.base}/vehicles/{truck}/{room}")
        if room.startswith("measure"):
            screen.page.wait_for_selector("[data-ready]")
            screen.page.keyboard.type("2")
        sizes = screen.page.evaluate(SIZES)
        seen += len(sizes)
        out = [(round(size, 1), words, room) for size, words in sizes if not least <= size <= 1.2 * TEXT]
        assert out == []
    assert seen > 100
