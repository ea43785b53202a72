"""The rooms of a vehicle: what each shows, what its forms take and refuse, and that nothing asked ends in a fault."""

from __future__ import annotations

import json
import re
from html import unescape
from io import BytesIO

import pytest

from capture import places
from capture.screens import fresh, words
from capture.screens.figure_rows import against
from capture.screens.filters import fractions
from capture.screens.record import file_name
from capture.vehicle_file import read_vehicle_file, write_vehicle_file
from geometry.figures import Band, Figure, catalogue
from tests.conftest import reading_object, vehicle_object

ROOMS = ("second-look", "shape", "behaviour", "record")
DEMOS = ("orchard_truck", "creek_wagon", "quarry_hauler")


def demo(name):
    return next(path for path in places.demo_vehicles() if path.stem == name).read_text(encoding="utf-8")


@pytest.fixture(params=DEMOS)
def demo_id(client, request):
    return client.post("/vehicles", json=json.loads(demo(request.param))).json["id"]


@pytest.fixture
def orchard(client):
    return client.post("/vehicles", json=json.loads(demo("orchard_truck"))).json["id"]


@pytest.fixture
def creek(client):
    return client.post("/vehicles", json=json.loads(demo("creek_wagon"))).json["id"]


# ---- every room, every vehicle ----


@pytest.mark.parametrize("room", ROOMS)
def test_every_room_opens_on_every_demo_vehicle_without_inline_style_or_script(client, demo_id, room):
    page = client.get(f"/vehicles/{demo_id}/{room}")
    assert page.status_code == 200
    assert 'aria-current="page"' in page.text
    assert "style=" not in page.text
    assert not re.search(r"<script(?![^>]*\bsrc=)(?![^>]*application/json)", page.text)
    assert not re.search(r"\son[a-z]+=", page.text)


def test_every_figure_of_every_demo_vehicle_has_its_page(client, demo_id, app):
    report = app.extensions["plumbtack"].models.at(demo_id)
    for key in catalogue(report.vehicle.layout, report.vehicle.worked_axle):
        assert client.get(f"/vehicles/{demo_id}/behaviour/{key}").status_code == 200, key


@pytest.mark.parametrize("room", ROOMS)
def test_every_room_opens_on_a_vehicle_with_nothing_measured(client, vehicle_id, room):
    assert client.get(f"/vehicles/{vehicle_id}/{room}").status_code == 200


@pytest.mark.parametrize("path", ["nowhere/shape", "nowhere/behaviour", "nowhere/record", "nowhere/second-look",
                                  "nowhere/fresh", "nowhere/record/file", "%F0%9F%98%80/shape", "a/b/c"])
def test_an_unknown_vehicle_is_a_404_in_the_same_look(client, path):
    answer = client.get(f"/vehicles/{path}")
    assert answer.status_code == 404
    assert "Plumbtack" in answer.text
    assert "Traceback" not in answer.text


@pytest.mark.parametrize("query", ["?view=", "?view=inside", "?point=", "?point=nobody", "?point=<b>&view=%00",
                                   "?view=top&view=side", "?stage=never"])
def test_a_view_or_point_that_does_not_exist_is_as_if_not_asked_for(client, orchard, query):
    answer = client.get(f"/vehicles/{orchard}/shape{query}")
    assert answer.status_code == 200
    assert "<b>&" not in answer.text


def test_an_unknown_figure_is_a_404(client, orchard):
    assert client.get(f"/vehicles/{orchard}/behaviour/anti_gravity").status_code == 404


# ---- shape ----


def test_a_tapped_point_says_where_it_is_with_its_spread_and_what_fixes_it(client, orchard):
    page = client.get(f"/vehicles/{orchard}/shape?point=lower_left.frame&view=top").text
    for said in ("behind the axle", "left of centre", "above floor", "Fixed by", "Left lower link, frame bolt"):
        assert said in page
    assert "at=height%3Alower_left.frame" in page


def test_a_point_nobody_read_is_called_guessed_and_says_what_to_read(client, creek, app):
    placed = app.extensions["plumbtack"].models.at(creek).fit.placed()
    name = next(name for name, place in placed.items() if not place.known)
    page = client.get(f"/vehicles/{creek}/shape?point={name}").text
    assert words.GUESSED_POINT in page
    assert "guessed</span></header>" in page


# ---- behaviour ----


def test_a_figure_that_leans_on_guesses_is_said_with_about_and_what_it_waits_for(client, creek, app):
    figure = app.extensions["plumbtack"].models.at(creek).sheet.figures["anti_dive"]
    assert figure.leans
    page = client.get(f"/vehicles/{creek}/behaviour").text
    assert "Mostly guessed" in page
    guessed = page.split("<small>about</small>")[1:]
    assert guessed and all("±" in line.partition("</p>")[0] for line in guessed)
    first = figure.needs[0].replace(":", "%3A").replace("~", "~")
    assert f"measure?at={first}" in page


def test_figures_that_rest_on_the_doubted_reading_carry_the_sign_and_the_others_do_not(client, orchard):
    page = client.get(f"/vehicles/{orchard}/behaviour").text
    assert "1 doubt is still open" in page
    rows = {re.split("<h2>| <svg|</h2>", row)[1]: row for row in page.split("<li class=") if "<h2>" in row}
    assert "rests on a reading in doubt" in rows["Anti-dive"]
    assert "rests on a reading in doubt" not in rows["Roll centre"]


def test_anti_dive_without_a_brake_share_leads_to_the_field_that_takes_it(client):
    vehicle = json.loads(demo("orchard_truck"))
    del vehicle["facts"]["brake_share_front"]
    made = client.post("/vehicles", json=vehicle).json["id"]
    assert f"/vehicles/{made}/facts#brake_share_front" in client.get(f"/vehicles/{made}/behaviour").text
    client.post(f"/vehicles/{made}/facts", data={"brake_share_front": "62 %", "tape_class": "II"})
    assert "braking, %" in client.get(f"/vehicles/{made}/record").text
    assert f"/vehicles/{made}/facts#brake_share_front" not in client.get(f"/vehicles/{made}/behaviour").text


@pytest.mark.parametrize(("value", "sd", "band", "place"), [
    (61.0, 0.4, (20.0, 60.0), "above"), (61.0, 0.6, (20.0, 60.0), "edge"), (19.0, 0.4, (20.0, 60.0), "below"),
    (40.0, 5.0, (20.0, 60.0), "inside"), (40.0, 15.0, (20.0, 60.0), "edge"), (900.0, 5.0, (800.0, None), "inside"),
    (1.0, 0.1, (None, 2.0), "inside"), (3.0, 0.1, (None, 2.0), "above"),
])
def test_inside_or_outside_the_band_is_said_only_as_far_as_two_spreads_allow(value, sd, band, place):
    assert against(Band(*band, "usual"), Figure("x", "%", value, sd)) == place


# ---- record ----


def test_the_export_read_back_is_the_same_vehicle_bit_for_bit(client, orchard, store):
    answer = client.get(f"/vehicles/{orchard}/record/file")
    assert answer.headers["Content-Disposition"] == 'attachment; filename="orchard-truck-invented.json"'
    again = client.post("/import", data={"file": (BytesIO(answer.data), "again.json")})
    assert again.status_code == 303
    new = again.headers["Location"].split("/")[2]
    assert write_vehicle_file(store.vehicle(new)) == answer.text
    assert read_vehicle_file(answer.text, "x") == store.vehicle(orchard)


@pytest.mark.parametrize(("name", "file"), [
    ("Orchard truck", "orchard-truck.json"), ("../../etc/passwd", "etc-passwd.json"), ("Žluťák №5", "zlutak-no5.json"),
    ("吉普", "vehicle.json"), ('"; x', "x.json"),
])
def test_a_file_name_holds_plain_letters_only(name, file):
    assert file_name(name) == file


def test_a_withdrawn_reading_stays_struck_out_with_its_reason(client, vehicle_id, store):
    client.post(f"/vehicles/{vehicle_id}/entries", json={"entries": [reading_object(1), reading_object(2, 615.0)]})
    answer = client.post(f"/vehicles/{vehicle_id}/withdraw", data={"of": "entry-000001", "note": "the <wrong> bolt"})
    assert answer.status_code == 303
    assert answer.headers["Location"].endswith("/record?take=entry-000001#take-entry-000001")
    page = client.get(f"/vehicles/{vehicle_id}/record").text
    assert "<del>" in page
    assert "the &lt;wrong&gt; bolt" in page
    assert len(store.vehicle(vehicle_id).entries) == 3


def test_a_long_record_comes_in_pages_with_the_newest_first_to_be_seen_and_every_reading_on_one(client, vehicle_id):
    entries = [reading_object(number, 600.0 + number) for number in range(1, 251)]
    client.post(f"/vehicles/{vehicle_id}/entries", json={"entries": entries})
    address, seen, pages = f"/vehicles/{vehicle_id}/record", [], []
    while address:
        page = client.get(address).text
        pages.append(re.findall(r'id="take-entry-(\d+)"', page))
        earlier = re.search(r'href="([^"]*)">Earlier readings', page)
        address = earlier[1] if earlier else ""
    seen = [int(number) for numbers in reversed(pages) for number in numbers]
    assert [len(numbers) for numbers in pages][:2] == [100, 100]
    assert pages[0][-1] == "000250"
    assert sorted(set(seen)) == list(range(1, 251))
    assert "Readings: 250" in page
    assert "Later readings" in page


@pytest.mark.parametrize("asked", ["from=0", "from=-3", "from=99999999", "from=x", "take=nobody", "from=²"])
def test_a_page_of_the_record_that_is_not_there_shows_readings_all_the_same(client, vehicle_id, asked):
    entries = [reading_object(number) for number in range(1, 121)]
    client.post(f"/vehicles/{vehicle_id}/entries", json={"entries": entries})
    assert client.get(f"/vehicles/{vehicle_id}/record?{asked}").text.count('id="take-') == 100


def test_a_reading_taken_back_is_on_the_page_its_form_leads_to_however_long_the_record(client, vehicle_id):
    entries = [reading_object(number) for number in range(1, 301)]
    client.post(f"/vehicles/{vehicle_id}/entries", json={"entries": entries})
    answer = client.post(f"/vehicles/{vehicle_id}/withdraw", data={"of": "entry-000020", "note": "misread"})
    assert 'id="take-entry-000020"' in client.get(answer.headers["Location"]).text


@pytest.mark.parametrize("reason", ["", "   ", "x" * 401])
def test_a_withdrawal_without_a_fitting_reason_is_asked_for_one_and_nothing_changes(client, vehicle_id, store, reason):
    client.post(f"/vehicles/{vehicle_id}/entries", json={"entries": [reading_object(1)]})
    answer = client.post(f"/vehicles/{vehicle_id}/withdraw", data={"of": "entry-000001", "note": reason})
    assert answer.status_code == 422
    assert 'id="why-entry-000001-refused"' in answer.text
    assert len(store.vehicle(vehicle_id).entries) == 1


def test_withdrawing_twice_or_what_is_not_there_adds_nothing(client, vehicle_id, store):
    client.post(f"/vehicles/{vehicle_id}/entries", json={"entries": [reading_object(1)]})
    for _ in range(2):
        client.post(f"/vehicles/{vehicle_id}/withdraw", data={"of": "entry-000001", "note": "slipped"})
    assert len(store.vehicle(vehicle_id).entries) == 2
    assert client.post(f"/vehicles/{vehicle_id}/withdraw", data={"of": "nobody", "note": "x"}).status_code == 404
    assert client.post(f"/vehicles/{vehicle_id}/withdraw", data={}).status_code == 404


@pytest.mark.parametrize(("field", "typed"), [("brake_share_front", "140"), ("brake_share_front", "most"),
                                              ("drive_share_front", "-5"), ("unsprung_mass", "heavy"),
                                              ("unsprung_mass", "2 kg"), ("tape_class", "IV")])
def test_a_fact_that_cannot_be_taken_is_said_at_its_field_and_the_old_one_stays(client, orchard, store, field, typed):
    before = store.vehicle(orchard).facts
    good = {"brake_share_front": "62", "drive_share_front": "50", "unsprung_mass": "240 kg", "tape_class": "II"}
    answer = client.post(f"/vehicles/{orchard}/facts", data=good | {field: typed})
    assert answer.status_code == 422
    assert f'id="{field}-refused"' in answer.text
    assert store.vehicle(orchard).facts == before


@pytest.mark.parametrize(("unit", "typed", "kg", "shown"), [("in", "530", 530 * 0.45359237, "530 lb"),
                                                            ("mm", "240", 240.0, "240 kg"),
                                                            ("in", "240 kg", 240.0, "240 kg")])
def test_an_unsprung_mass_typed_bare_is_in_the_unit_it_has_in_every_room(client, store, unit, typed, kg, shown):
    vehicle = client.post("/vehicles", json=vehicle_object(display_unit=unit)).json["id"]
    for room, address in (("record", "facts"), ("facts", "facts/parts")):
        client.post(f"/vehicles/{vehicle}/{address}", data={"unsprung_mass": typed, "tape_class": "II"})
        assert store.vehicle(vehicle).facts.unsprung_mass == pytest.approx(kg), room
        for asked in ("record", "facts"):
            page = client.get(f"/vehicles/{vehicle}/{asked}").text
            assert re.search(f'name="unsprung_mass" value="{shown}"', page), asked


def test_facts_left_empty_are_forgotten_and_the_others_stay(client, orchard, store):
    before = store.vehicle(orchard).facts
    answer = client.post(f"/vehicles/{orchard}/facts", data={"brake_share_front": "65", "tape_class": "I"})
    assert answer.status_code == 303
    now = store.vehicle(orchard).facts
    assert (now.brake_share_front, now.drive_share_front, now.tape_class) == (0.65, None, "I")
    assert now.rough_wheelbase == before.rough_wheelbase


def test_two_stages_stand_side_by_side_and_only_what_is_beyond_the_spread_is_a_sure_change(client, app):
    vehicle = json.loads(demo("orchard_truck"))
    moved = {"type": "reading", "stage": "tacked", "reading": "height:panhard.axle", "unit": "in", "note": ""}
    old = next(entry["value"] for entry in vehicle["entries"] if entry.get("reading") == "height:panhard.axle")
    for number in (1, 2):
        vehicle["entries"].append(moved | {"id": f"tacked-0000{number}", "at": "2026-05-09T09:00:00Z",
                                           "value": old + 40.0, "text": ""})
    made = client.post("/vehicles", json=vehicle).json["id"]
    page = client.get(f"/vehicles/{made}/record").text
    assert "carried over" in page
    rows = {re.search(r'scope="row">([^<]*)', row)[1]: row for row in page.split("<tr class=")[1:]}
    assert rows["Roll centre"].startswith('"sure"')
    assert rows["Left lower link, length"].startswith('"tape"')


def signed_lengths(client, vehicle_id: str) -> list[str]:
    """The rows of the record's lengths that carry the sign of a doubt."""
    page = client.get(f"/vehicles/{vehicle_id}/record").text
    table = page[page.index('id="lengths"'):page.index("Cut lengths are not")]
    return [row for row in table.split("<tr>") if "rests on a reading in doubt" in row]


def test_a_length_that_rests_on_a_reading_in_doubt_carries_its_sign_in_the_record(client, orchard):
    assert signed_lengths(client, orchard) == [], "its one doubt is about no link"
    length = next(one for one in client.get(f"/vehicles/{orchard}/file").json["entries"]
                  if one.get("reading") == "span:upper.axle~upper.frame")
    too_long = length | {"id": "four-inches-more", "value": length["value"] + 101.6, "text": "", "unit": "mm"}
    client.post(f"/vehicles/{orchard}/entries", json={"entries": [too_long]})
    (row,) = signed_lengths(client, orchard)
    assert "Upper link" in row


# ---- start ----


def test_nothing_on_the_laptop_says_how_to_begin(client):
    assert "No vehicle yet" in client.get("/").text


def test_the_list_shows_name_count_and_doubts(client, orchard):
    page = client.get("/").text
    assert "Orchard truck" in page
    assert "1 doubt<" in page, "as many as Second look has, not the readings they name"
    assert re.search(r"\d+ of \d+", page)


@pytest.mark.parametrize("content", [
    b"", b"not json", b"[]", b'{"format": "plumbtack vehicle", "version": 9}', b"\xff\xfe\x00", b"[" * 100_000,
])
def test_a_file_that_cannot_be_read_is_refused_in_one_sentence_and_nothing_is_made(client, store, content):
    answer = client.post("/import", data={"file": (BytesIO(content), "<b>.json")})
    assert answer.status_code == 422
    assert 'id="refused"' in answer.text
    assert "<b>.json" not in answer.text
    assert store.vehicles() == []


def test_an_import_without_a_file_says_so(client):
    for data in ({}, {"file": (BytesIO(b""), "")}):
        answer = client.post("/import", data=data, content_type="multipart/form-data")
        assert answer.status_code == 422
        assert "No file was chosen" in answer.text


# ---- following the phone ----


def followed(text: str) -> str:
    """What the open page asks every second."""
    return unescape(re.search(r'hx-get="([^"]+)"', text)[1])


@pytest.mark.parametrize("room", ROOMS)
def test_a_page_is_sent_anew_only_when_it_shows_something_else(client, vehicle_id, room):
    asks = followed(client.get(f"/vehicles/{vehicle_id}/{room}").text)
    assert client.get(asks).status_code == 204
    client.post(f"/vehicles/{vehicle_id}/entries", json={"entries": [reading_object(1)]})
    anew = client.get(asks)
    assert anew.status_code == 200
    assert anew.text.lstrip().startswith("<main")
    asks = followed(anew.text)
    assert f"room={room}" in asks and client.get(asks).status_code == 204
    note = {"id": "noted-0001", "at": "2026-05-02T09:20:07Z", "type": "note", "note": "the floor is painted"}
    client.post(f"/vehicles/{vehicle_id}/entries", json={"entries": [note]})
    answer = client.get(asks)
    assert answer.status_code == (200 if room == "record" else 204)
    if answer.status_code == 200:
        assert followed(answer.text) != asks and "the floor is painted" in answer.text


def test_a_room_that_shows_the_same_is_not_even_made_again_while_the_log_stands(client, orchard, monkeypatch):
    asks = followed(client.get(f"/vehicles/{orchard}/shape").text)
    note = {"id": "noted-0001", "at": "2026-05-02T09:20:07Z", "type": "note", "note": "the floor is painted"}
    client.post(f"/vehicles/{orchard}/entries", json={"entries": [note]})
    made = []
    really = fresh.ROOMS["shape"]
    monkeypatch.setitem(fresh.ROOMS, "shape", lambda *asked: made.append(1) or really(*asked))
    assert [client.get(asks).status_code for _ in range(3)] == [204] * 3
    assert made == [1]


def test_the_fragment_keeps_view_point_and_figure(client, orchard):
    address = f"/vehicles/{orchard}/fresh"
    shape = client.get(address, query_string={"v": "0", "room": "shape", "view": "top", "point": "upper.frame"}).text
    assert "view=top&amp;point=upper.frame" in shape
    figure = client.get(address, query_string={"v": "0", "room": "behaviour", "figure": "caster"}).text
    assert "<h1>Caster</h1>" in figure


@pytest.mark.parametrize("query", ["", "?room=kitchen", "?v=x&room=", "?v=" + "9" * 400 + "&room=kitchen"])
def test_a_room_that_does_not_follow_is_a_404(client, orchard, query):
    assert client.get(f"/vehicles/{orchard}/fresh{query}").status_code == 404


# ---- small things ----


def test_a_fraction_is_raised_for_the_eye_and_plain_for_the_ear():
    assert '<span class="sr">19 1/8</span>' in fractions("read 19 1/8 in")
    assert "<b>1</b><i>/</i><u>8</u>" in fractions("read 19 1/8 in")


@pytest.mark.parametrize("text", ["315/75R16", "2/5/2026", "1/3", "a/4", "24.1/8"])
def test_what_is_no_fraction_of_an_inch_is_left_alone(text):
    assert fractions(text) == text


def test_markup_in_a_sentence_is_escaped():
    assert "<b>x" not in fractions("<b>x</b> 1/8")


def test_a_name_of_markup_shows_as_typed_in_every_room(client):
    made = client.post("/vehicles", json=vehicle_object(name="<img src=x> & \u05d0")).json["id"]
    for room in ROOMS:
        page = client.get(f"/vehicles/{made}/{room}").text
        assert "<img src=x>" not in page
        assert "&lt;img src=x&gt;" in page
