"""The page of plain text: in the person's unit, with two sd, naming what is in doubt and what is missing."""

import re
from pathlib import Path

import pytest

from capture import report
from capture.report_text import WIDTH, page
from capture.vehicle_file import VehicleFile, read_vehicle_file

DEMOS = {path.stem: path for path in (Path(__file__).parents[2] / "demo_vehicles").glob("*.json")}


def demo(name: str) -> VehicleFile:
    return read_vehicle_file(DEMOS[name].read_bytes(), name)


@pytest.fixture(scope="module")
def pages() -> dict[str, str]:
    return {name: page(report.build(demo(name))) for name in DEMOS}


@pytest.mark.parametrize("name", sorted(DEMOS))
def test_no_line_is_wider_than_a_terminal(pages, name):
    assert max(len(line) for line in pages[name].splitlines()) <= WIDTH
    assert not any(line != line.rstrip() for line in pages[name].splitlines())


def test_the_page_says_vehicle_stage_and_number_of_readings(pages):
    top = pages["orchard_truck"].splitlines()[:4]
    assert top[0] == "Orchard truck (invented)"
    assert "Front axle, three links and a panhard bar, at mock-up." in top[2]
    carried = len(report.build(demo("quarry_hauler")).stage_view.carried)
    assert "Rear axle" in pages["quarry_hauler"] and f"{carried} of them carried over" in pages["quarry_hauler"]


def test_points_are_told_in_the_unit_of_the_file_with_two_sd(pages):
    made = report.build(demo("quarry_hauler"))
    point = made.fit.placed()["lower_left.frame"]
    lines = pages["quarry_hauler"].splitlines()
    line = lines[lines.index("left lower link, frame bolt") + 1]
    assert f"z {round(point.z, 1):g} ± " in line
    shown = float(line.rpartition("±")[2])
    assert shown == pytest.approx(2 * point.sd[2], abs=0.26)
    assert '1/16' not in pages["quarry_hauler"] and "/16" in pages["orchard_truck"]


def test_guessed_points_are_called_guessed(pages):
    assert "panhard bar, frame bolt   (guessed)" in pages["creek_wagon"]
    assert "left lower link, frame bolt   (guessed in part)" in pages["creek_wagon"]
    assert "panhard bar, frame bolt\n" in pages["orchard_truck"]


def test_a_figure_is_told_with_its_spread_and_its_meaning(pages):
    made = report.build(demo("orchard_truck")).sheet.figures["anti_dive"]
    line = next(line for line in pages["orchard_truck"].splitlines() if "Anti-dive" in line)
    assert line.endswith(f"{made.value:.0f} % ± {2 * made.sd:.0f}")
    assert "Under hard braking" in pages["orchard_truck"]


def test_a_figure_on_a_doubted_reading_is_marked_and_the_doubt_told_with_what_was_typed(pages):
    told = pages["orchard_truck"]
    assert "? Anti-dive" in told and "  Caster ...." in told
    doubt = " ".join(told[told.index("Second look") :].split())
    assert "typed 18 13/16 in" in doubt and "17 13/16 in would fit" in doubt


def test_without_doubts_the_page_says_so(pages):
    assert "Nothing stands out: the readings go together." in pages["creek_wagon"]


def test_what_is_missing_names_its_reading_in_words(pages):
    told = " ".join(pages["creek_wagon"].split())
    assert "Anti-lift, driving: waits for the front axle's share of driving." in told
    assert "Pinion: waits for incline, pinion." in told
    assert "incline:pinion" not in told


def test_what_was_taken_back_or_read_in_another_posture_is_listed(pages):
    told = " ".join(pages["orchard_truck"].split())
    assert "withdrawn: read the bracket, not the bolt." in told
    assert "taken at full bump." in told


def test_the_page_of_an_empty_vehicle_says_that_all_is_guessed():
    told = page(report.build(demo("creek_wagon").model_copy(update={"entries": []})))
    assert "No reading counts yet: all that follows is guessed from the layout." in told
    assert "left lower link, frame bolt   (guessed)" in told


def test_no_word_of_statistics_or_blame_stands_on_the_page(pages):
    for told in pages.values():
        for word in ("deviation", "error", "invalid", "wrong", "outlier", "safe", "exact", "residual", "nan"):
            assert word not in re.findall(r"[a-z]+", told.lower()), word


def test_a_stage_at_which_nothing_was_read_is_said_to_stand_on_earlier_readings():
    told = re.sub(r"\s+", " ", page(report.build(demo("orchard_truck"), "tacked")))
    assert "at tacked. 101 readings, all of them carried over from an earlier stage: nothing was read at this" in told
