"""The remark beside the value as it is typed, on a phone of 360 x 640: what it says, when it keeps still, and that the
phone, with the page alone, names the slips the laptop names."""

from __future__ import annotations

import json
from typing import Any

import pytest

from capture.lengths import parts
from capture.report import build
from capture.vehicle_file import read_vehicle_file
from geometry.remark import remark
from tests.browser.test_measure import DEMO, RULES, Window, phone, window

__all__ = ["RULES", "phone", "window"]

HEIGHT = "height:upper.frame"
SIDEWAYS = "lateral:upper.frame"
INCH = 25.4


@pytest.fixture
def truck(live_server: Any) -> str:
    return live_server.ask("/vehicles", json.loads(DEMO.read_text(encoding="utf-8")))["id"]


@pytest.fixture(scope="module")
def fit() -> Any:
    return build(read_vehicle_file(DEMO.read_text(encoding="utf-8"), "demo")).fit


def soon(phone: Window) -> str:
    """What stands in the place of what to do; "" while that itself stands there."""
    shown = phone.page.locator(".step:not([hidden]) .soon:not([hidden])")
    return shown.inner_text() if shown.count() else ""


def plain(found: Any) -> str:
    """Its words on one line."""
    return " ".join(found.inner_text().split())


def typed(phone: Window, text: str) -> str:
    phone.page.keyboard.press("Escape")
    phone.page.keyboard.type(text)
    return soon(phone)


def test_an_inch_too_much_is_remarked_before_it_is_recorded_and_goes_with_the_last_digit(phone, truck, fit, pictures):
    phone.open(truck, at=HEIGHT)
    true = float(fit.predict([HEIGHT])[0][0])
    said = "".join(typed(phone, str(parts(true + INCH))).split())
    assert "Therestsays" in said and "Oneinch?" in said and str(parts(true)).replace(" ", "") in said
    assert phone.axe() == [] and not phone.scrolls()
    if pictures:
        phone.page.screenshot(path=pictures / "remark-while-typing.png")
    assert phone.page.locator(".step:not([hidden]) .hint").is_hidden()
    assert typed(phone, str(parts(true))) == ""
    assert phone.page.locator(".step:not([hidden]) .hint").is_visible()


def test_it_keeps_still_while_further_digits_may_make_it_fit(phone, truck, fit):
    phone.open(truck, at=HEIGHT)
    whole = str(parts(float(fit.predict([HEIGHT])[0][0])))
    assert "/" in whole
    for end in range(1, whole.index("/") + 1):
        if whole[:end].rstrip() == whole[:end] and whole[:end].isdigit():
            assert typed(phone, whole[:end]) == "", whole[:end]
    far = str(int(whole.split()[0]) + 4)
    assert typed(phone, far[0]) == ""
    assert "The rest says" in typed(phone, far)


def test_it_keeps_still_while_the_first_value_is_hidden(phone, truck, fit):
    phone.open(truck, at=f"{HEIGHT}&blind=1")
    assert typed(phone, "3") == "" and typed(phone, "39 1/2") == ""


def test_no_key_waits_for_the_laptop(phone, truck, fit):
    phone.open(truck, at=HEIGHT)
    phone.context.set_offline(True)
    true = float(fit.predict([HEIGHT])[0][0])
    assert "The rest says" in typed(phone, str(parts(true + INCH)))
    phone.tap("Record")
    assert phone.page.locator(".remark").is_visible()
    assert "inch" in phone.page.locator(".remark .likely").inner_text()


@pytest.mark.parametrize("away", [True, False])
def test_use_and_keep_say_the_side_where_only_the_side_is_wrong(phone, truck, fit, away):
    phone.open(truck, at=SIDEWAYS)
    phone.context.set_offline(away)
    true = str(parts(abs(float(fit.predict([SIDEWAYS])[0][0]))))
    phone.page.keyboard.type(true)
    phone.page.get_by_role("button", name="other side").tap()
    assert "left" in phone.said
    phone.page.wait_for_timeout(600)
    phone.tap("Record")
    words = plain(phone.page.locator(".remark .words"))
    assert "right of the centreline, give or take" in words
    assert "left of the centreline" in words.partition("You typed")[2] and " apart" in words
    use, keep = (plain(phone.page.locator(f".remark [data-do={deed}]")) for deed in ("use", "keep"))
    assert use.startswith("Use") and use.endswith("right") and keep.startswith("Keep") and keep.endswith("left")
    phone.context.set_offline(False)


def test_more_and_less_go_by_how_far_from_the_line(phone, truck, fit):
    phone.open(truck, at=SIDEWAYS)
    phone.context.set_offline(True)
    expected = float(fit.predict([SIDEWAYS])[0][0])
    assert expected < -100
    for off, said in ((-60, "less"), (60, "more")):
        phone.page.keyboard.press("Escape")
        phone.page.keyboard.type(str(parts(abs(expected) + off)))
        phone.tap("Record")
        assert plain(phone.page.locator(".remark .words p").first).endswith(f" in {said}.")
        phone.page.locator(".remark [data-do=again]").tap()


@pytest.mark.parametrize(("reading", "off"), [
    (HEIGHT, lambda value: value + INCH), (HEIGHT, lambda value: value - 12 * INCH),
    ("span:upper.axle~upper.frame", lambda value: value - 100.0), ("lateral:lower_left.axle", lambda value: -value),
    ("fore_aft:upper.frame", lambda value: value / 2.54), ("height:lower_left.axle", lambda value: value + 77.0),
    ("incline:upper.axle~upper.frame", lambda value: -value - 0.0 if abs(value) > 1 else value + 10.0),
])  # fmt: skip
def test_the_phone_names_the_slip_the_laptop_names(phone, truck, fit, reading, off):
    wrong = round(off(float(fit.predict([reading])[0][0])), 1)
    phone.open(truck, at=reading)
    found = phone.page.evaluate(
        """(value) => { const M = plumbtack.measure, step = M.state.step;
        const unit = step.unit === "deg" ? "deg" : "mm", entry = { unit: unit, text: String(Math.abs(value)) };
        M.openRemark(step, { value: value, entry: entry }, { judged: M.judge(step, value), answer: null });
        const words = document.querySelector(".remark .words");
        return { use: words.dataset.use ? Number(words.dataset.use) : null, text: words.innerText }; }""", wrong)
    told = remark(fit, reading, wrong, unit="deg" if reading.startswith("incline") else "mm", text=str(abs(wrong)))
    assert told is not None
    if told.likely is None:
        assert found["use"] is None
    else:
        assert found["use"] == pytest.approx(told.likely.value, abs=0.01)
        assert told.likely.how[1:] in found["text"]


@pytest.mark.parametrize(("end", "named"), [(".25", True), (" 1/4", False)])
def test_phone_and_laptop_name_no_metric_slip_where_a_fraction_was_typed(phone, truck, fit, end, named):
    true = float(fit.predict([HEIGHT])[0][0])
    text = f"{round(true / 10 - 0.25)}{end}"  # so many centimetres, typed as inches
    wrong = (round(true / 10 - 0.25) + 0.25) * INCH
    phone.open(truck, at=HEIGHT)
    found = phone.page.evaluate(
        """([value, text]) => { const M = plumbtack.measure, step = M.state.step, entry = { unit: "in", text: text };
        step.sd = 4;  // the text is what is looked at here, so that it fits to a centimetre is enough
        M.openRemark(step, { value: value, entry: entry }, { judged: M.judge(step, value), answer: null });
        return document.querySelector(".remark .words").innerText; }""", [wrong, text])
    told = remark(fit, HEIGHT, wrong, unit="in", text=text, sd=4.0)
    assert ("centimetres was typed as inches" in found) is named
    assert (told.likely is not None and told.likely.mistake == "cm read as inch") is named
