"""A photo taken on the phone: made smaller there, sent, held while the laptop is away, shown, and withdrawn."""

from __future__ import annotations

import io
import signal
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import pytest
from axe_playwright_python.sync_playwright import Axe
from PIL import Image

from tests.browser.test_rooms import BENCH, PHONE, RULES
from tests.conftest import LiveServer, reading_object, vehicle_object

POINT = "lower_left.frame"


@dataclass
class Phone:
    """A paired page on the phone's screen, and what it said and sent."""

    server: LiveServer
    page: Any
    truck: str
    said: list[str] = field(default_factory=list)
    sent: list[int] = field(default_factory=list)

    def at(self, path: str) -> None:
        self.page.goto(f"{self.server.base}/vehicles/{self.truck}/{path}")

    def photos(self) -> list[dict[str, Any]]:
        entries = self.server.ask(f"/vehicles/{self.truck}/file")["entries"]
        return [entry for entry in entries if entry["type"] == "photo"]


@pytest.fixture
def phone(chromium: Any, live_server: LiveServer) -> Iterator[Phone]:
    truck = live_server.ask("/vehicles", vehicle_object(entries=[reading_object(1)]))["id"]
    context = chromium.new_context(viewport=PHONE, has_touch=True, reduced_motion="reduce")
    page = context.new_page()
    found = Phone(live_server, page, truck)
    page.on("pageerror", lambda trouble: found.said.append(str(trouble)))
    page.on("console", lambda said: found.said.append(said.text) if "net::ERR" not in said.text else None)
    page.on("request", lambda request: found.sent.append(len(request.post_data_buffer or b""))
            if request.method == "POST" else None)  # fmt: skip
    page.goto(live_server.way_in)
    yield found
    context.close()
    assert found.said == []


@pytest.fixture
def picture(tmp_path: Path) -> Path:
    """As a camera of 12 megapixels makes it, standing upright, with a place in it."""
    exif = Image.Exif()
    exif[0x0112], exif[0x8825] = 6, {1: "N", 2: (51.0, 30.0, 0.0)}
    file = tmp_path / "IMG_0001.JPG"
    Image.effect_noise((500, 375), 12).resize((4000, 3000)).convert("RGB").save(file, quality=95, exif=exif)
    return file


def test_a_photo_of_a_bracket_is_made_smaller_sent_and_shown_at_its_point(phone: Phone, picture: Path):
    phone.at(f"photos?point={POINT}")
    phone.page.set_input_files("#picture", str(picture))
    phone.page.fill("#note", "upper hole")
    with phone.page.expect_navigation():
        phone.page.click("text=Keep this photo")
    (entry,) = phone.photos()
    assert (entry["point"], entry["note"], entry["width"], entry["height"]) == (POINT, "upper hole", 1200, 1600)
    assert max(phone.sent) < picture.stat().st_size / 2
    shown = phone.page.locator(f"#photo-{entry['id']} img")
    shown.wait_for()
    assert shown.evaluate("image => image.decode().then(() => image.naturalHeight)") == 320
    phone.at(f"shape?point={POINT}")
    assert phone.page.locator(".thumbs img").count() == 1


def test_without_script_the_same_form_sends_the_picture_itself(chromium: Any, live_server: LiveServer, picture: Path):
    truck = live_server.ask("/vehicles", vehicle_object())["id"]
    context = chromium.new_context(viewport=PHONE, java_script_enabled=False)
    page = context.new_page()
    page.goto(live_server.way_in)
    page.goto(f"{live_server.base}/vehicles/{truck}/photos")
    page.set_input_files("#chosen", str(picture))
    page.click("text=Keep this photo")
    page.locator(".photos img").wait_for()
    context.close()
    (entry,) = live_server.ask(f"/vehicles/{truck}/file")["entries"]
    assert (entry["width"], entry["height"]) == (1200, 1600)


def test_measure_takes_a_photo_without_leaving_the_reading(phone: Phone, picture: Path):
    phone.at("measure?at=height:lower_left.frame")
    step = phone.page.locator(".step:not([hidden])")
    step.locator("details.more summary").click()
    with phone.page.expect_file_chooser() as chosen:
        step.locator("a[data-photo]").click()
    chosen.value.set_files(str(picture))
    step.get_by_text("The photo is on the laptop.").wait_for()
    (entry,) = phone.photos()
    assert entry["reading"] == "height:lower_left.frame" and "/measure" in phone.page.url


def test_while_the_laptop_is_away_the_phone_holds_the_photo_and_sends_it_later(phone: Phone, picture: Path):
    phone.at(f"photos?point={POINT}")
    phone.server.stop(signal.SIGKILL)
    phone.page.set_input_files("#picture", str(picture))
    phone.page.click("text=Keep this photo")
    phone.page.get_by_text("The photo waits on this phone until the laptop is there.").wait_for()
    phone.server.start()
    with phone.page.expect_response(lambda answer: answer.request.method == "POST" and answer.ok):
        phone.at(f"photos?point={POINT}")
    (entry,) = phone.photos()
    assert entry["point"] == POINT
    phone.at("photos")  # what has landed is not sent again
    phone.page.wait_for_timeout(300)
    assert len(phone.photos()) == 1


def take_while_away(phone: Phone, picture: Path) -> None:
    phone.page.context.set_offline(True)
    phone.page.set_input_files("#picture", str(picture))
    phone.page.click("text=Keep this photo")
    phone.page.locator(".strip", has_text="The photo waits on this phone").wait_for()


def test_a_phone_no_longer_let_in_keeps_its_photos_and_sends_them_once_it_is(phone: Phone, picture: Path):
    phone.at("photos")
    take_while_away(phone, picture)
    phone.page.context.clear_cookies()
    with phone.page.expect_response(lambda answer: answer.request.method == "POST" and answer.status == 401):
        phone.page.context.set_offline(False)
    phone.page.set_input_files("#picture", str(picture))
    phone.page.click("text=Keep this photo")
    phone.page.get_by_text("which is not let in any more").wait_for()
    phone.page.get_by_text("2 photos wait on this phone").wait_for()
    phone.said.clear()  # the browser itself notes the refusals
    phone.page.goto(phone.server.way_in)
    phone.at("photos")
    for _ in range(100):
        if len(phone.photos()) == 2:
            break
        phone.page.wait_for_timeout(100)
    assert len(phone.photos()) == 2


def test_a_photo_refused_later_is_said_until_it_is_let_go_and_holds_up_no_other(phone: Phone, picture: Path):
    phone.at("photos")
    take_while_away(phone, picture)
    take_while_away(phone, picture)
    refused = []

    def refuse_one(route: Any) -> None:
        if route.request.method != "POST" or refused:
            return route.continue_()
        refused.append(route)
        return route.fulfill(status=422, content_type="application/json", body='{"error": "There are 100 already."}')

    phone.page.route("**/photos", refuse_one)
    phone.page.context.set_offline(False)
    told = phone.page.locator("[data-photos-held]", has_text="was not taken by the laptop")
    told.wait_for()
    assert "There are 100 already." in told.inner_text()
    phone.page.wait_for_function("() => plumbtack.photos === 0")
    assert len(phone.photos()) == 1
    phone.said.clear()  # the browser itself notes the refusal
    phone.at("photos")
    told.wait_for()
    for scheme in ("light", "dark"):
        phone.page.emulate_media(color_scheme=scheme)
        assert Axe().run(phone.page, options={"runOnly": RULES["runOnly"]}).response["violations"] == []
    phone.page.get_by_role("button", name="Let it go").click()
    told.wait_for(state="hidden")
    phone.at("photos")
    phone.page.wait_for_function("() => !plumbtack.photos")
    assert told.is_hidden() and len(phone.photos()) == 1


def until_over(phone: Phone, page: Any) -> None:
    """Waits until the one photo is on the laptop."""
    for _ in range(200):
        if phone.photos():
            break
        page.wait_for_timeout(100)
    assert len(phone.photos()) == 1


@pytest.mark.parametrize("room", ["walk", "shape", "second-look", "what-if", "facts", ""])
def test_a_photo_that_waits_goes_over_from_whatever_room_is_opened(phone: Phone, picture: Path, room: str):
    phone.at("photos")
    take_while_away(phone, picture)
    phone.page.goto("about:blank")
    phone.page.context.set_offline(False)
    phone.page.goto(f"{phone.server.base}/vehicles/{phone.truck}/{room}" if room else phone.server.base)
    until_over(phone, phone.page)


def test_a_photo_that_waits_goes_over_from_a_room_that_stood_open_while_the_laptop_was_away(
    phone: Phone, picture: Path
):
    shape = phone.page.context.new_page()
    shape.goto(f"{phone.server.base}/vehicles/{phone.truck}/shape")
    phone.at("photos")
    phone.server.stop(signal.SIGKILL)
    phone.page.set_input_files("#picture", str(picture))
    phone.page.click("text=Keep this photo")
    phone.page.locator(".strip", has_text="The photo waits on this phone").wait_for()
    phone.page.close()
    shape.locator(".laptopaway", has_text="1 waiting").wait_for()
    shape.get_by_text("A photo waits on this phone").wait_for()
    phone.server.start()
    until_over(phone, shape)
    shape.get_by_text("A photo waits on this phone").wait_for(state="hidden")


def test_a_photo_the_laptop_would_not_take_is_said_in_every_room(phone: Phone, picture: Path):
    phone.at("photos")
    take_while_away(phone, picture)
    phone.page.goto("about:blank")
    phone.page.route("**/photos", lambda route: route.fulfill(
        status=422, content_type="application/json", body='{"error": "There are 100 already."}'))
    phone.page.context.set_offline(False)
    phone.at("shape")
    phone.page.get_by_text("There are 100 already.").wait_for()
    phone.page.get_by_role("button", name="Let it go").click()
    phone.page.get_by_text("There are 100 already.").wait_for(state="hidden")
    phone.said.clear()  # the browser itself notes the refusal


def test_measure_says_that_a_photo_waits_until_it_is_over(phone: Phone, picture: Path):
    phone.at("photos")
    take_while_away(phone, picture)
    phone.page.goto("about:blank")
    held_up = []

    def hold_up(route: Any) -> None:
        held_up.append(route)
        route.fulfill(status=503, content_type="application/json", body='{"error": "Not now."}')

    phone.page.route("**/photos", hold_up)
    phone.page.context.set_offline(False)
    phone.at("measure")
    phone.page.locator(".tb.away", has_text="a photo waits here").wait_for()
    phone.page.unroute("**/photos")
    phone.page.evaluate("window.dispatchEvent(new Event('online'))")
    phone.page.locator(".tb:not(.away)").wait_for()
    phone.said.clear()  # the browser itself notes the refusal
    assert held_up and len(phone.photos()) == 1


def test_what_is_no_photo_is_told_beside_the_field(phone: Phone, tmp_path: Path):
    wrong = tmp_path / "drawing.jpg"
    wrong.write_bytes(b"not a picture at all")
    phone.at("photos")
    phone.page.set_input_files("#picture", str(wrong))
    phone.page.click("text=Keep this photo")
    phone.page.get_by_text("This is no photo that can be read here").wait_for()
    phone.said.clear()  # the browser itself notes the refusal
    assert phone.photos() == []


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_photos_and_sheet_hold_no_barrier(phone: Phone, picture: Path, scheme: str):
    phone.at("photos")
    phone.page.set_input_files("#picture", str(picture))
    with phone.page.expect_navigation():
        phone.page.click("text=Keep this photo")
    for path in ("photos", f"photos?point={POINT}", "sheet", "sheet?short=1", "record"):
        phone.at(path)
        for size in (PHONE, BENCH):
            phone.page.set_viewport_size(size)
            phone.page.emulate_media(color_scheme=scheme)
            found = Axe().run(phone.page, options={"runOnly": RULES["runOnly"]}).response["violations"]
            assert [(one["id"], one["nodes"][0]["html"][:120]) for one in found] == [], path
            wide = phone.page.evaluate("document.documentElement.scrollWidth")
            assert wide <= size["width"], path


def test_a_withdrawn_photo_leaves_the_page(phone: Phone, picture: Path):
    phone.at("photos")
    phone.page.set_input_files("#picture", str(picture))
    with phone.page.expect_navigation():
        phone.page.click("text=Keep this photo")
    phone.page.locator(".photos summary").click()
    phone.page.fill(".photos input[name=note]", "the wrong side")
    with phone.page.expect_navigation():
        phone.page.click("text=Withdraw it")
    assert phone.page.locator(".photos img").count() == 0
    assert "the wrong side" in phone.page.content()


def test_the_picture_that_is_kept_has_no_place_in_it(phone: Phone, picture: Path):
    phone.at("photos")
    phone.page.set_input_files("#picture", str(picture))
    with phone.page.expect_navigation():
        phone.page.click("text=Keep this photo")
    (entry,) = phone.photos()
    content = phone.page.request.get(f"{phone.server.base}/vehicles/{phone.truck}/photos/{entry['id']}").body()
    assert b"Exif" not in content and not Image.open(io.BytesIO(content)).getexif()
