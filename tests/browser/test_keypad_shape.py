"""The keypad keeps its shape on every phone: digits in threes, fractions beside them, Record at the bottom right."""

from __future__ import annotations

from typing import Any

import pytest

from tests.browser.test_measure import PHONE, truck, window

__all__ = ["truck", "window"]
SCREENS = [(320, 568), (360, 640), (384, 832), (393, 852), (412, 915), (430, 932), (768, 1024), (640, 360), (844, 390),
           (915, 412), (1280, 800)]
WHERE = """() => Object.fromEntries([...document.querySelectorAll('.pad button')].filter(key => key.offsetParent)
    .map(key => [key.innerText.replace(/\\s+/g, '') || key.dataset.do, key.getBoundingClientRect()])
    .map(([name, box]) => [name, [box.left, box.top, box.right, box.bottom].map(Math.round)]))"""
ROWS = (("1", "2", "3", "1/8", "5/8"), ("4", "5", "6", "1/4", "3/4"), ("7", "8", "9", "3/8", "7/8"))


@pytest.mark.parametrize(("width", "height"), SCREENS)
def test_the_keypad_is_five_across_and_whole_on_the_screen(window: Any, truck: str, width: int, height: int):
    phone = window(**PHONE | {"viewport": {"width": width, "height": height}})
    phone.open(truck, at="height:lower_left.frame")
    keys = phone.page.evaluate(WHERE)
    tops = [{keys[name][1] for name in row} for row in ROWS]
    assert all(len(top) == 1 for top in tops) and sorted(tops, key=min) == tops, "each row on one line, in order"
    for columns in zip(*ROWS, strict=True):
        assert len({keys[name][0] for name in columns}) == 1, f"{columns} stand below each other"
    record = keys["Record"]
    assert record[2] == max(box[2] for box in keys.values()) and record[3] == max(box[3] for box in keys.values())
    assert record[2] <= width
    if height >= 568 or width > height:
        assert record[3] <= height, "nothing to scroll for"
    drawing = phone.page.locator(".step:not([hidden]) .stage").bounding_box()
    assert drawing["height"] >= 60 and drawing["width"] >= 280
