"""The as-built sheet: whole in itself, true to scale, every number with its ±, and what is missing said."""

from __future__ import annotations

import base64
import hashlib
import io
import json
import re
from datetime import datetime
from html import unescape
from pathlib import Path
from typing import Any

import pytest
from flask.testing import FlaskClient
from PIL import Image

from capture import places, report
from capture.cut_list import cut_lines
from capture.fingerprint import fingerprint, in_groups
from capture.lengths import say_with_spread
from capture.qr import as_svg
from capture.report import Report
from capture.screens import pictures
from capture.screens.filters import fractions
from capture.sheet import paper, tables, trust_part, views
from capture.sheet.page import Wanted, sheet, style
from capture.sheet.parts_used import part_lines
from capture.store import Store
from capture.vehicle_file import VehicleFile, read_vehicle_file
from geometry.layouts import LAYOUTS
from tests.capture.test_store_photos import a_picture, an_entry
from tests.conftest import reading_object, vehicle_object

DEMOS = {path.stem: path for path in places.demo_vehicles()}
MADE = datetime(2026, 5, 3)


def a_report(name: str = "orchard_truck", *more: dict[str, Any]) -> Report:
    raw = json.loads(Path(DEMOS[name]).read_text(encoding="utf-8"))
    raw["entries"] += more
    return report.build(read_vehicle_file(json.dumps(raw), name))


def made(shown: Report, short: bool = False, pictured: dict[str, bytes] | None = None, **more: Any) -> str:
    return sheet(shown, Wanted((pictured or {}).get, short, made=MADE, **more))


def words(html: str) -> str:
    """What a reader reads."""
    text = re.sub(r"<style>.*?</style>|<[^>]+>", " ", html, flags=re.S)
    return re.sub(r"\s+", " ", unescape(text))


@pytest.fixture(scope="module")
def orchard() -> Report:
    return a_report()


@pytest.fixture(scope="module")
def whole(orchard: Report) -> str:
    return made(orchard)


# ---- a file of its own ----


@pytest.mark.parametrize("short", [True, False])
def test_it_fetches_nothing_and_runs_nothing(orchard: Report, short: bool):
    html = made(orchard, short)
    assert not re.search(r"<script|<link|<iframe|<object|\son\w+=|javascript:|@import|url\(|\sstyle=", html)
    assert not re.findall(r'(?:href|src)="(?!data:|#)[^"]*"', html)
    digest = base64.b64encode(hashlib.sha256(style().encode()).digest()).decode()
    assert f"default-src 'none'; style-src 'sha256-{digest}'; img-src data:" in html


@pytest.mark.parametrize("short", [True, False])
def test_nothing_is_told_by_colour_or_grey(orchard: Report, short: bool):
    html = made(orchard, short)
    assert set(re.findall(r"#[0-9a-fA-F]{3,8}\b(?=[;}\s\"])", html)) <= {"#000", "#fff"}
    assert not re.search(r"rgba?\(|hsl|opacity|gray|grey", html)


@pytest.mark.parametrize("short", [True, False])
def test_the_same_vehicle_gives_the_same_sheet(orchard: Report, short: bool):
    assert made(orchard, short) == made(a_report(), short)


@pytest.mark.parametrize("name", DEMOS)
@pytest.mark.parametrize("short", [True, False])
def test_every_demo_vehicle_has_a_sheet(name: str, short: bool):
    shown = a_report(name)
    said = words(made(shown, short))
    assert shown.vehicle.name in said and "Traceback" not in said and not re.search(r"\bnan\b|None(?! were)", said)


@pytest.mark.parametrize("layout", LAYOUTS)
@pytest.mark.parametrize("axle", ["front", "rear"])
def test_every_layout_has_one_before_anything_is_measured_and_it_says_so(layout: str, axle: str):
    shown = report.build(VehicleFile.model_validate(vehicle_object(layout=layout, worked_axle=axle)))
    said = words(made(shown))
    assert "No reading is in the record" in said and "There is no reading to check" in said
    assert "not measured" in said and "No figure can be had" in said and "None were taken." in said
    assert "No figure can be had yet" in words(made(shown, short=True))


def test_what_people_wrote_stays_text():
    hostile = "<script>alert(1)</script>\"'&{{7*191}}‮"
    picture = a_picture()
    entries = [reading_object(1, note=hostile, text=hostile, unit=hostile),
               an_entry(picture, 1, note=hostile).model_dump(exclude_unset=True),
               {"id": "withdraw-1", "at": "2026-05-02T10:00:00Z", "type": "withdraw", "of": "entry-000001",
                "note": hostile}]  # fmt: skip
    vehicle = VehicleFile.model_validate(vehicle_object(name=hostile, entries=entries))
    for short in (True, False):
        html = made(report.build(vehicle), short, {"photo-000001": picture.content})
        assert "<script" not in html and "1337" not in html


# ---- true to scale ----


@pytest.mark.parametrize("name", DEMOS)
@pytest.mark.parametrize("short", [True, False])
def test_the_wheelbase_on_paper_times_the_scale_is_the_wheelbase(name: str, short: bool):
    shown = a_report(name)
    vehicle = pictures.vehicle(shown)
    scale = views.scale_of(vehicle, short)
    (side,) = views.views(shown, vehicle, ["side"], scale)
    level = [float(right) - float(left) for left, y1, right, y2 in
             re.findall(r'class="dim" d="M([\d.]+) ([\d.]+)L([\d.]+) ([\d.]+)"', side.picture) if y1 == y2]  # fmt: skip
    size = float(re.search(r'width="([\d.]+)mm"', side.picture)[1]) / float(
        re.search(r'viewBox="0 0 ([\d.]+)', side.picture)[1])
    assert f"1:{scale:g}" in side.caption
    assert max(level) * size * scale == pytest.approx(shown.sheet.figures["wheelbase"].value, rel=0.01)


@pytest.mark.parametrize("name", DEMOS)
@pytest.mark.parametrize("short", [True, False])
def test_the_views_fit_on_both_papers(name: str, short: bool):
    vehicle = pictures.vehicle(a_report(name))
    drawn = views.views(a_report(name), vehicle, ["side", "top", "end"], views.scale_of(vehicle, short))
    across = [float(re.search(r'width="([\d.]+)mm"', view.picture)[1]) for view in drawn]
    down = [float(re.search(r'height="([\d.]+)mm"', view.picture)[1]) for view in drawn]
    assert max(across) <= (127.0 if short else paper.WIDTH)  # A4 less twice 12 mm is 186 mm across
    assert max(down) <= paper.HEIGHT and paper.HEIGHT <= 279 - 24 and paper.WIDTH <= 210 - 24


def test_the_bar_is_50_mm_long(whole: str):
    found = re.search(r'viewBox="0 0 208 30" width="52mm".*?d="M4 14v10h(\d+)V14', whole)
    assert int(found[1]) * 52 / 208 == 50.0
    assert "50 mm on this paper, 1000 mm on the vehicle" in words(whole)


def test_the_numbers_of_the_views_are_those_of_the_table(orchard: Report):
    vehicle = pictures.vehicle(orchard)
    numbers = views.numbered(vehicle)
    rows = list(tables.point_rows(orchard, vehicle))
    assert [row.number for row in rows] == [*range(1, len(numbers) + 1), 0, 0, 0, 0]
    (top,) = views.views(orchard, vehicle, ["top"], 20.0)
    lettered = re.findall(r'class="t12 tb1"[^>]*>(\d+)<', top.picture)
    assert sorted(map(int, lettered)) == list(range(1, len(numbers) + 1))


# ---- what it says ----


def test_every_coordinate_length_and_figure_has_its_spread(orchard: Report, whole: str):
    cells = [words(cell) for row in re.findall(r'<table class="points">.*?</table>', whole, re.S)
             for cell in re.findall(r'<td class="n">(.*?)</td>', row, re.S)]  # fmt: skip
    numbers = [cell for cell in cells if re.search(r"\d", cell) and not re.fullmatch(r" ?\d+ ?", cell)]
    assert len(numbers) == 3 * len(orchard.fit.placed()) and all(cell.count("±") == 2 for cell in numbers)
    figures = re.findall(r'<td class="n nw">(.*?)</td><td>', whole, re.S)
    assert len(figures) > 20 and all("±" in words(cell) or " to " in words(cell) for cell in figures)


def test_a_point_that_nobody_measured_has_no_coordinates():
    creek = a_report("creek_wagon")
    rows = {row.words: row for row in tables.point_rows(creek, pictures.vehicle(creek))}
    assert rows["Panhard bar, frame bolt"].places == (None, None, None)
    assert rows["Panhard bar, frame bolt"].trust == "guessed"


def test_open_doubts_settled_ones_and_withdrawn_readings_stand_there_with_their_reasons(orchard: Report):
    (open_one,) = trust_part.still_open(orchard)
    assert open_one.readings == "Height, right lower link, frame bolt" and open_one.how == "open: not settled"
    (withdrawn,) = trust_part.settled(orchard)
    assert withdrawn.why == "read the bracket, not the bolt" and withdrawn.how.startswith("withdrawn; read again: ")
    doubt = orchard.doubts[0]
    keep = {"id": "keep-000001", "at": "2026-05-02T15:00:00Z", "type": "keep", "doubt": doubt.reason,
            "of": [orchard.stage_view.by_key[key].id for key in doubt.readings], "beyond": abs(doubt.w),
            "note": "measured it again by hand"}  # fmt: skip
    settled = words(made(a_report("orchard_truck", keep)))
    assert "kept as read, 2 May 2026" in settled and "measured it again by hand" in settled
    assert "open: not settled" not in settled and "1 kept against advice" in settled


def test_what_nobody_checked_is_listed_by_name(orchard: Report, whole: str):
    blind = trust_part.unchecked(orchard)
    assert f"{len(blind)} readings that nothing checks" in words(whole)
    assert all(one.words in words(whole) for one in blind)
    seen = trust_part.checked(orchard)
    view = orchard.stage_view
    assert len(blind) + len(seen) == len(view.by_name) == len(view.takes) - 1  # one was read twice, and stands once


def test_a_figure_that_rests_on_a_doubt_is_marked(orchard: Report, whole: str):
    assert orchard.doubted
    links = {key.partition(".")[2] for key in orchard.doubted if key.startswith("link_")}
    others = [key for key in orchard.doubted if not key.startswith("link_")]
    assert links and whole.count('<b class="tag">in doubt</b>') == len(links) + len(others)


def test_the_hole_in_use_and_the_parts_are_named():
    row = {"id": "holes-00001", "at": "2026-05-02T15:00:00Z", "type": "holes", "point": "upper.frame",
           "places": [[0.0, 0.0, -25.4], [0.0, 0.0, 0.0], [0.0, 0.0, 25.4]], "used": 1}  # fmt: skip
    said = words(made(a_report("orchard_truck", row)))
    assert "hole 2 of 3" in said and "left-hand" in said and "2 in outside, wall 0.250 in" in said


SET = {"id": "set-000001", "at": "2026-05-02T15:00:00Z", "stage": "mock_up", "type": "note", "note": "set",
       "link_set": {"link": "panhard", "length": 857.25, "showing": {"axle": 38.1, "frame": 31.75}}}


def test_the_tube_is_that_of_the_cut_list_and_what_was_set_is_not_left_to_be_written_in():
    shown = a_report("orchard_truck", SET)
    (line,) = [one for one in part_lines(shown, pictures.vehicle(shown)) if one.words == "Panhard bar"]
    (cut,) = [one for one in cut_lines(shown) if one.link.name == "panhard"]
    assert cut.made is not None and say_with_spread(cut.made.length, cut.made.sd, "mm", "in") in line.cut
    assert line.set_to == "set to 33 3/4 in on 2 May 2026"  # by hand: 857.25 / 25.4
    assert {end.words: end.showing for end in line.ends} == {"frame end": "1 1/4 in", "axle end": "1 1/2 in"}
    html = made(shown)
    assert str(fractions(line.set_to)) in html and str(fractions(line.cut)) in html
    assert f'<td class="nw">{fractions("1 1/2 in")}</td>' in html


def test_a_length_set_later_or_taken_back_is_not_that_of_this_stage():
    later = {**SET, "stage": "tacked"}
    back = {"id": "withdraw-2", "at": "2026-05-02T15:10:00Z", "type": "withdraw", "of": SET["id"]}
    for entries in ([later], [SET, back]):
        shown = a_report("orchard_truck", *entries)
        assert shown.stage == "mock_up"
        assert not any(line.set_to for line in part_lines(shown, pictures.vehicle(shown)))


def test_the_photos_are_in_the_file_and_the_withdrawn_ones_are_not():
    one, other = a_picture(90), a_picture(200)
    entries = [an_entry(one, 1, note="upper hole").model_dump(exclude_unset=True),
               an_entry(other, 2, note="the wrong side").model_dump(exclude_unset=True),
               {"id": "withdraw-1", "at": "2026-05-02T15:00:00Z", "type": "withdraw", "of": "photo-000002"}]
    shown = a_report("orchard_truck", *entries)
    html = made(shown, pictured={"photo-000001": one.content, "photo-000002": other.content})
    (inside,) = re.findall(r'src="data:image/jpeg;base64,([^"]+)"', html)
    assert Image.open(io.BytesIO(base64.b64decode(inside))).size == (one.width, one.height)
    assert "upper hole" in html and "the wrong side" not in html
    assert "1 photo in the record, left behind by the file this sheet was made from" in words(made(shown))


def test_the_fingerprint_is_that_of_the_log_and_a_closing_is_told(orchard: Report, whole: str):
    assert in_groups(fingerprint(orchard.vehicle.entries)) in words(whole)
    assert "No stage is closed yet" in words(whole)
    close = {"id": "close-00001", "at": "2026-05-03T09:00:00Z", "type": "close", "stage": "mock_up",
             "fingerprint": fingerprint(orchard.vehicle.entries)}  # fmt: skip
    said = words(made(a_report("orchard_truck", close)))
    assert "Closed at mock-up, 3 May 2026" in said and "every entry before it is as it was" in said


def test_the_square_code_leads_to_the_record_or_holds_the_fingerprint(orchard: Report):
    address = "http://192.168.1.20:8424/vehicles/3f0c11aa22bb33cc/record"
    says = "The record itself, on the laptop it was printed from"
    assert says in words(made(orchard, address=address)) and says not in words(made(orchard))
    code = str(as_svg(address, "x")).partition('d="')[2].partition(">")[0]
    assert code in made(orchard, address=address) and code not in made(orchard)


def test_it_says_what_it_is_not_and_who_decides(whole: str, orchard: Report):
    for said in (words(whole), words(made(orchard, short=True))):
        assert "no strength of a weld" in said and "Local codes and licensed people" in said
    assert "Before raising" in words(whole) and "Retorque" in words(whole)


def test_a_stage_before_the_latest_can_be_shown():
    raw = json.loads(Path(DEMOS["quarry_hauler"]).read_text(encoding="utf-8"))
    vehicle = read_vehicle_file(json.dumps(raw), "x")
    assert "Stage: tacked" in words(made(report.build(vehicle)))
    assert "Stage: mock-up" in words(made(report.build(vehicle, "mock_up")))


# ---- served ----


def test_the_server_gives_it_to_look_at_and_to_keep(client: FlaskClient, store: Store):
    made_id = store.create(read_vehicle_file(Path(DEMOS["orchard_truck"]).read_bytes(), "x"))
    seen = client.get(f"/vehicles/{made_id}/sheet")
    policy = seen.headers["Content-Security-Policy"]
    assert "script" not in policy and "'unsafe-inline'" not in policy and "default-src 'none'" in policy
    assert all(f'href="/vehicles/{made_id}/{to}"' in seen.text for to in ("record", "sheet?short=1"))
    kept = client.get(f"/vehicles/{made_id}/sheet?short=1&keep=1")
    assert kept.headers["Content-Disposition"] == 'attachment; filename="orchard-truck-invented-as-built-short.html"'
    assert "href=" not in kept.text and "key=" not in kept.text
    assert f'href="/vehicles/{made_id}/sheet"' in client.get(f"/vehicles/{made_id}/record").text


@pytest.mark.parametrize("query", ["stage=finished", "stage=<script>", "short=", "keep=x"])
def test_what_cannot_be_asked_for_counts_as_not_asked(client: FlaskClient, vehicle_id: str, query: str):
    assert client.get(f"/vehicles/{vehicle_id}/sheet?{query}").status_code == 200


def test_a_stage_without_readings_is_refused_in_a_sentence(client: FlaskClient, store: Store):
    made_id = store.create(VehicleFile.model_validate(vehicle_object(entries=[reading_object(1, stage="tacked")])))
    answer = client.get(f"/vehicles/{made_id}/sheet?stage=mock_up")
    assert answer.status_code == 422 and "no readings at mock-up" in answer.text
