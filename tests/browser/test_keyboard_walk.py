"""The walk by keyboard alone at 360 x 640: no tap; Tab, arrows, digits and Enter, from opening to settling."""

from __future__ import annotations

import json
from typing import Any

import pytest

from tests.browser.test_measure import DEMO, Window, entries, truck, window
from tests.browser.test_second_look import DOUBTED

__all__ = ["truck", "window"]

SMALL = {"viewport": {"width": 360, "height": 640}}
FOCUSED = """() => {
    const node = document.activeElement;
    if (!node || node === document.body) return null;
    const box = node.getBoundingClientRect();
    const over = document.elementFromPoint(box.left + box.width / 2, box.top + box.height / 2);
    const label = node.labels && node.labels.length ? node.labels[0] : node;
    return {
        words: (node.getAttribute("aria-label") || label.innerText || "")
            .trim().replace(/\\s+/g, " ").replace(" / ", "/"),
        seen: box.width > 0 && box.top >= 0 && box.bottom <= innerHeight + 1
            && (!!over && (node.contains(over) || label.contains(over) || over.contains(node)
                || (!!node.ownerSVGElement && node.ownerSVGElement.contains(over)))),  // bolts in line with each other
        ringed: getComputedStyle(node).outlineStyle !== "none" || label !== node,
    };
}"""


class Keys:
    """A person with a keyboard only. Every stop of Tab must be in sight and ringed."""

    def __init__(self, opened: Window) -> None:
        self.window, self.page = opened, opened.page

    def press(self, *keys: str) -> None:
        for key in keys:
            self.page.keyboard.press(key)

    def write(self, text: str) -> None:
        self.page.keyboard.type(text)

    def tab_to(self, words: str, most: int = 40) -> None:
        """Tabs until the thing that begins with these words has the focus."""
        met = []
        for _ in range(most):
            self.press("Tab")
            at = self.page.evaluate(FOCUSED)
            if at is None:
                continue
            met.append(at["words"])
            assert at["seen"], f"{at['words']!r} has the focus out of sight"
            assert at["ringed"], f"{at['words']!r} has the focus and does not show it"
            if at["words"].startswith(words):
                return
        raise AssertionError(f"{words!r} was not met in {most} presses of Tab; met: {met}")


@pytest.fixture
def keys(window: Any) -> Keys:
    return Keys(window(**SMALL))


@pytest.fixture
def nearly(live_server: Any) -> str:
    """The demo truck without the reading that holds its mistake."""
    truck = json.loads(DEMO.read_text(encoding="utf-8"))
    truck["entries"] = [entry for entry in truck["entries"] if entry.get("reading") != DOUBTED]
    return live_server.ask("/vehicles", truck)["id"]


def test_a_walk_from_opening_to_a_settled_doubt_by_keyboard_alone(keys: Keys, live_server: Any, nearly: str):
    window, page = keys.window, keys.page
    before = len(entries(live_server, nearly))
    _opened_at_the_doubted(keys)
    # Typed as the tape shows it; another value than the rest says is remarked on.
    keys.write("18 13/16")
    keys.press("Enter")
    window.until("!plumbtack.measure.dom.remark.hidden")
    # Looked at again: nothing is kept, and the next digit begins anew.
    keys.tab_to("Look again", 3)
    keys.press("Enter")
    assert page.locator(".remark").is_hidden() and window.step == DOUBTED
    keys.write("17 13/16")
    keys.press("Enter")
    window.until("plumbtack.measure.state.last && plumbtack.measure.state.last.landed")
    assert window.step != DOUBTED
    # Taken back, and the same reading is asked again.
    keys.tab_to("take back")
    keys.press("Enter")
    window.comes(DOUBTED)
    window.landed()
    # Typed off once more, and kept this time.
    keys.write("18 13/16")
    keys.press("Enter")
    window.until("!plumbtack.measure.dom.remark.hidden")
    keys.tab_to("Keep 18 13/16", 4)
    keys.press("Enter")
    window.until("plumbtack.measure.state.last && plumbtack.measure.state.last.look")
    looked = page.locator(".val .look2").inner_text()
    keys.tab_to(looked)
    keys.press("Enter")
    page.wait_for_url("**/second-look*")
    keys.tab_to("Correct, keep or set aside")
    keys.press("Enter")
    page.wait_for_url("**/settle*")
    # One of the reasons by the arrows, and kept.
    keys.tab_to("I read it twice")
    keys.press("ArrowDown")
    reason = page.evaluate("document.querySelector('[name=reason]:checked').value")
    assert reason != "I read it twice"
    keys.tab_to("Keep it as read")
    keys.press("Enter")
    page.wait_for_url("**/second-look*")
    assert "Settled: 1" in " ".join(page.locator("main").inner_text().split())
    assert live_server.ask(f"/vehicles/{nearly}/report")["doubts"] == []
    first, taken_back, second, kept = entries(live_server, nearly)[before:]
    assert (first["text"], first["reading"]) == ("17 13/16", DOUBTED)
    assert (taken_back["type"], taken_back["of"]) == ("withdraw", first["id"])
    assert (second["text"], second["kept"]) == ("18 13/16", True)
    assert reason in json.dumps(kept, ensure_ascii=False)


def _opened_at_the_doubted(keys: Keys) -> None:
    """From the first page through the walk to its next reading, and by the station's list to the one to be read."""
    window, page = keys.window, keys.page
    page.goto(window.server.base + "/")
    keys.tab_to("Orchard truck")
    keys.press("Enter")
    page.wait_for_url("**/walk*")
    keys.tab_to("Go on")
    keys.press("Enter")
    page.wait_for_selector("[data-ready]")
    assert window.step == DOUBTED
    for end, key in (("axle", "height:lower_right.axle"), ("frame", DOUBTED)):
        keys.tab_to("Readings here")
        keys.press("Enter")
        first = page.evaluate(FOCUSED)["words"]  # the list takes the keyboard to its first row
        if not first.startswith(f"Height, right lower link, {end}"):
            keys.tab_to(f"Height, right lower link, {end}")
        keys.press("Enter")
        window.comes(key)


def test_a_side_is_chosen_and_the_value_recorded_by_keyboard_alone(keys: Keys, live_server: Any, truck: str):
    window = keys.window
    window.open(truck, at="lateral:upper.frame")
    keys.tab_to("right of the centreline")
    keys.press("Enter")
    keys.write("4")
    keys.press("Enter")
    window.landed()
    assert [entry["value"] for entry in entries(live_server, truck)] == [-101.6]


def test_the_list_over_the_keypad_gives_way_where_the_keyboard_goes_on(keys: Keys, live_server: Any, truck: str):
    page = keys.page
    page.goto(f"{live_server.base}/vehicles/{truck}/measure")
    page.wait_for_selector("[data-ready]")
    page.locator(".tb-count").focus()
    page.keyboard.press("Enter")
    assert page.locator(".tb-count").get_attribute("aria-expanded") == "true"
    for _ in range(60):
        page.keyboard.press("Tab")
        if page.evaluate("document.activeElement.closest('.side, .tb') === null"):
            break
    assert page.evaluate("document.activeElement.closest('main') !== null")
    assert page.locator(".tb-count").get_attribute("aria-expanded") == "false"


def test_behaviour_a_plan_and_the_end_of_a_stage_by_keyboard_alone(keys: Keys, live_server: Any, nearly: str):
    window, page = keys.window, keys.page
    page.goto(window.server.base + "/")
    keys.tab_to("Orchard truck")
    keys.press("Enter")
    page.wait_for_url("**/walk*")
    # A figure, its axle moved through its travel by the arrows, and the way on.
    keys.tab_to("Behaviour")
    keys.press("Enter")
    page.wait_for_url("**/behaviour*")
    keys.tab_to("Roll centre")
    keys.press("Enter")
    page.wait_for_url("**/behaviour/roll_centre*")
    keys.tab_to("Place on the way")
    before = page.locator("input[type=range]").first.input_value()
    keys.press("ArrowRight", "ArrowRight")
    assert page.locator("input[type=range]").first.input_value() != before
    keys.tab_to("Behaviour")
    keys.press("Enter")
    page.wait_for_url("**/behaviour")
    # A bolt taken in hand, stepped up, and the plan kept by its name.
    keys.tab_to("What if")
    keys.press("Enter")
    page.wait_for_url("**/what-if*")
    keys.tab_to("Upper link, frame bolt, take in hand")
    keys.press("Enter")
    page.get_by_label("Upper link, frame bolt, in hand").wait_for(state="attached")
    keys.tab_to("up", 60)
    keys.press("Enter")
    page.wait_for_url("**upper.frame*")
    keys.tab_to("Name", 60)
    keys.write("A little up")
    keys.tab_to("Keep it", 3)
    keys.press("Enter")
    page.wait_for_url("**plan=A+little+up**")
    # The record of the stage closed, for good.
    page.goto(f"{window.server.base}/vehicles/{nearly}/record")
    keys.tab_to("Close the record")
    keys.press("Enter")
    page.wait_for_url("**/close*")
    keys.tab_to("Close mock-up for good")
    keys.press("Enter")
    page.wait_for_selector(".print")
    kinds = [entry["type"] for entry in entries(live_server, nearly)]
    assert [kind for kind in kinds if kind in ("move_plan", "close")] == ["move_plan", "close"]
