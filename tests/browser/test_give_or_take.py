"""One reading stated finer or coarser than usual, on a phone of 360 x 640: chosen or typed, kept, sent, said."""

from __future__ import annotations

import signal
from pathlib import Path
from typing import Any

import pytest

from tests.browser.test_measure import INCH, PHONE, Window, entries, orchard, phone, truck, window  # noqa: F401
from tests.conftest import vehicle_object

MORE = ".step:not([hidden]) .more"


def opened(phone: Window) -> Any:  # noqa: F811
    """Opens what stands under more, and gives its give or take, laid out as the page does once it knows of it."""
    phone.page.locator(f"{MORE} summary").tap()
    phone.page.evaluate("new Promise(seen => requestAnimationFrame(() => requestAnimationFrame(seen)))")
    return phone.page.locator(f"{MORE} .give")


def stated(phone: Window, text: str) -> Any:  # noqa: F811
    give = opened(phone)
    give.locator("input").fill(text)
    give.locator("[data-do=give]").tap()
    return give


def test_a_typed_give_or_take_goes_over_with_this_reading_only(phone: Window, truck: str, live_server: Any):  # noqa: F811
    # ± 1/16 in is two sds: one is 25.4 / 32 = 0.79375 mm, by the definition of the inch.
    phone.open(truck, at="height:mark.front_left")
    stated(phone, "1/16")
    phone.page.keyboard.type("7")
    assert phone.page.locator(".val output").inner_text().strip() == "7"
    phone.page.keyboard.press("Escape")
    assert phone.page.locator(MORE).get_attribute("open") is None
    assert "± 1/16 in" in phone.said.replace("\n", "")
    phone.tap("2", "4", "Record")
    phone.comes("height:mark.front_right")
    phone.until("document.querySelector('.val .say').innerText.includes('saved')")
    assert "± 1/16 saved" in phone.said.replace("\n", "")
    phone.tap("2", "4", "Record")
    phone.landed()
    first, second = entries(live_server, truck)
    assert first["sd"] == pytest.approx(INCH / 32) and "sd" not in second


def test_a_further_take_keeps_it_until_it_is_usual_again(phone: Window, truck: str, live_server: Any):  # noqa: F811
    for give in ("half", None, "usual"):
        phone.open(truck, at="height:mark.front_left")
        if give:
            key = opened(phone).locator(".gives button", has_text=give)
            key.tap()
        phone.tap("2", "4", "Record")
        phone.landed()
        phone.until("plumbtack.measure.data.entries.length >= plumbtack.measure.outbox.rows.length")
    sds = [entry.get("sd") for entry in entries(live_server, truck)]
    assert sds[0] is not None and sds[1] == sds[0] and sds[2] is None


def test_it_waits_on_the_phone_with_the_value_while_the_laptop_is_away(
    phone: Window, truck: str, live_server: Any  # noqa: F811
):
    phone.open(truck, at="height:mark.front_left")
    live_server.stop(signal.SIGKILL)
    stated(phone, "± 2 mm")
    phone.tap("2", "4", "Record")
    phone.until("plumbtack.measure.outbox.rows.length === 1 && plumbtack.measure.outbox.away")
    assert phone.page.evaluate("plumbtack.measure.outbox.rows[0].entry.sd") == 1.0
    live_server.start()
    phone.landed()
    assert [(entry["value"], entry["sd"]) for entry in entries(live_server, truck)] == [(pytest.approx(24 * INCH), 1.0)]


@pytest.mark.parametrize("text", ["0", "-1/16", "1000", "0.001", "fine", ""])
def test_what_cannot_be_meant_is_said_in_one_sentence_and_nothing_is_stated(
    phone: Window, truck: str, text: str  # noqa: F811
):
    phone.open(truck, at="height:mark.front_left")
    give = stated(phone, text)
    sentence = give.locator(".refused span").inner_text()
    assert sentence.endswith(".") and ("type" in sentence)
    assert phone.page.evaluate("plumbtack.measure.stated(plumbtack.measure.state.step)") is None


def test_a_coarser_reading_is_remarked_later(phone: Window, orchard: str):  # noqa: F811
    phone.open(orchard, at="height:lower_left.axle")

    def limit() -> float:
        return phone.page.evaluate("plumbtack.measure.limit(plumbtack.measure.state.step)")

    usual = limit()
    stated(phone, "1")
    phone.until(f"plumbtack.measure.limit(plumbtack.measure.state.step) > {2 * usual}")
    stated(phone, "1/32")
    phone.until(f"plumbtack.measure.limit(plumbtack.measure.state.step) < {usual}")


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_the_field_holds_no_barrier_moves_nothing_and_lasts_at_twice_the_text(
    window: Any, live_server: Any, scheme: str, pictures: Path | None  # noqa: F811
):
    truck = live_server.ask("/vehicles", vehicle_object(display_unit="in"))["id"]  # noqa: F811
    phone = window(**PHONE, color_scheme=scheme)  # noqa: F811
    phone.open(truck, at="height:mark.front_left")
    pad, value = (phone.page.locator(one).bounding_box() for one in (".pad", ".val"))
    give = opened(phone)
    give.scroll_into_view_if_needed()
    for key in give.locator("button, input").all():
        assert key.bounding_box()["height"] >= 48 and key.bounding_box()["width"] >= 48
    give.locator("input").fill("1000")
    give.locator("[data-do=give]").tap()
    _picture(phone, pictures, f"give-{scheme}-refused")
    assert phone.axe() == [] and not phone.scrolls()
    give.locator("input").fill("5/64")
    give.locator("[data-do=give]").tap()
    phone.page.keyboard.type("24 11/16")
    _picture(phone, pictures, f"give-{scheme}-typed")
    assert (phone.page.locator(".pad").bounding_box(), phone.page.locator(".val").bounding_box()) == (pad, value)
    phone.tap("Record")
    phone.until("document.querySelector('.val .say').innerText.includes('saved')")
    _picture(phone, pictures, f"give-{scheme}-landed")
    assert phone.page.locator(".pad").bounding_box() == pad
    phone.open(truck, at="height:mark.front_left")
    phone.page.evaluate("document.documentElement.style.fontSize = '32px'")
    give = opened(phone)
    give.scroll_into_view_if_needed()
    _picture(phone, pictures, f"give-{scheme}-large")
    for part in give.locator("button, input").all():
        assert part.evaluate("node => node.scrollWidth <= node.clientWidth + 1"), part.inner_text()
        assert part.bounding_box()["x"] + part.bounding_box()["width"] <= 360
    assert phone.page.evaluate("document.documentElement.scrollWidth <= innerWidth")


def _picture(phone: Window, pictures: Path | None, name: str) -> None:  # noqa: F811
    if pictures:
        pictures.mkdir(parents=True, exist_ok=True)
        phone.page.screenshot(path=pictures / f"{name}.png")
