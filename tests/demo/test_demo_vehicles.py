"""The demo files are what they claim: invented, reproducible, complete or sparse, one slip and no other."""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np
import pytest

from capture import entry, report
from capture.vehicle_file import read_vehicle_file
from geometry.readings import parse_name
from tests.demo import invented
from tests.demo.make_demo_vehicles import FOLDER, INVENTED, SLIP, all_vehicles, as_text
from tests.reference.readings import predicted

FILES = sorted(all_vehicles())
SHAPES = {
    "orchard_truck.json": (invented.ORCHARD_PLACES, invented.ORCHARD_SCALARS, invented.ORCHARD_CROSS_LINE),
    "creek_wagon.json": (invented.CREEK_PLACES, invented.CREEK_SCALARS, invented.CREEK_CROSS_LINE),
    "quarry_hauler.json": (invented.QUARRY_PLACES, invented.QUARRY_SCALARS, invented.QUARRY_CROSS_LINE),
}


def vehicle(name: str):
    return read_vehicle_file((FOLDER / name).read_bytes(), name)


def readings(name: str) -> list[dict]:
    return [each for each in all_vehicles()[name]["entries"] if each["type"] == "reading"]


@pytest.mark.parametrize("name", FILES)
def test_the_file_is_the_one_the_generator_writes(name):
    assert (FOLDER / name).read_text(encoding="utf-8") == as_text(all_vehicles()[name])


def test_there_is_no_other_demo_file():
    assert sorted(path.name for path in Path(FOLDER).glob("*.json")) == FILES


@pytest.mark.parametrize("name", FILES)
def test_it_says_in_the_file_that_it_is_invented(name):
    told = json.loads((FOLDER / name).read_text(encoding="utf-8"))
    assert "invented" in told["name"]
    assert told["entries"][0]["note"] == INVENTED


@pytest.mark.parametrize("name", FILES)
def test_what_was_typed_is_what_was_stored(name):
    setting = all_vehicles()[name]
    for each in readings(name):
        unit = parse_name(each["reading"], setting["layout"], setting["worked_axle"]).kind.unit
        typed = entry.parse(each["text"].lstrip("-"), each["unit"], unit)
        assert typed.value == pytest.approx(abs(each["value"]), abs=1e-4), each["reading"]
        assert each["text"].startswith("-") == (each["value"] < 0)


@pytest.mark.parametrize("name", FILES)
def test_no_reading_but_the_planted_one_is_far_from_the_invented_shape(name):
    places, scalars, cross_line = SHAPES[name]
    floor = invented.in_floor_frame(places, cross_line)
    axle = all_vehicles()[name]["worked_axle"]
    fitted = report.build(vehicle(name), "mock_up").fit
    spread = {seen.name: sd for seen, sd in zip(fitted.observations, fitted.sd, strict=True)}
    taken_back = {each["of"] for each in all_vehicles()[name]["entries"] if each["type"] == "withdraw"}
    far = []
    for each in readings(name):
        if each["id"] in taken_back or each["stage"] != "mock_up" or "state" in each:
            continue
        off = each["value"] - predicted(each["reading"], floor, scalars, axle)
        if abs(off) > 3.5 * spread[each["reading"]]:
            far.append(each["reading"])
    assert far == ([SLIP] if name == "orchard_truck.json" else [])


def test_the_orchard_truck_has_one_reading_an_inch_too_much_and_it_can_be_found():
    built = report.build(vehicle("orchard_truck.json"))
    assert len(readings("orchard_truck.json")) > 80
    assert all(point.known for point in built.fit.placed().values())
    assert built.doubts[0].readings == (SLIP,)
    assert built.doubts[0].likely.mistake == "one inch"
    taken = next(each["value"] for each in readings("orchard_truck.json") if each["reading"] == SLIP)
    assert built.doubts[0].likely.value == pytest.approx(taken - 25.4, abs=0.5)


def test_without_its_slip_nothing_in_the_orchard_truck_is_in_doubt():
    told = all_vehicles()["orchard_truck.json"]
    for each in told["entries"]:
        if each.get("reading") == SLIP:
            each["value"] -= 25.4
    cured = report.build(read_vehicle_file(json.dumps(told).encode(), "orchard_truck.json"))
    assert cured.doubts == ()
    # The invented shape: anti-dive 51.96 %, caster 5.99, roll centre 543 mm; each within three spreads.
    for key, true in (("anti_dive", 51.96), ("caster", 5.994), ("roll_centre_height", 543.4), ("wheelbase", 2640.0)):
        figure = cured.sheet.figures[key]
        assert abs(figure.value - true) < 3.0 * figure.sd, key


def test_the_creek_wagon_has_twelve_readings_and_figures_that_lean():
    built = report.build(vehicle("creek_wagon.json"))
    assert len(readings("creek_wagon.json")) == 12
    anti_dive, roll = built.sheet.figures["anti_dive"], built.sheet.figures["roll_centre_height"]
    assert anti_dive.value is not None and anti_dive.sd > 5.0
    assert roll.leans and roll.needs
    assert built.doubts == ()


def test_the_quarry_hauler_is_complete_at_both_stages_and_nothing_is_in_doubt():
    for stage in ("mock_up", "tacked"):
        built = report.build(vehicle("quarry_hauler.json"), stage)
        assert built.doubts == ()
        figures = built.sheet.figures.values()
        assert [figure.key for figure in figures if figure.leans] == []
        # Facts may be missing; its front was weighed as one axle, which says nothing of left and right.
        assert {need for figure in figures if figure.key != "cg.y" for need in figure.needs if ":" in need} == set()
        assert built.sheet.figures["cg.y"].needs == ("weight:front_left", "weight:front_right")
        assert all(point.known for point in built.fit.placed().values())
    moved = report.build(vehicle("quarry_hauler.json"), "tacked")
    assert sum(each.carried for each in moved.fit.observations) > 50


@pytest.mark.parametrize("name", ["orchard_truck.json", "quarry_hauler.json"])
def test_points_of_the_complete_ones_come_out_where_they_were_invented(name):
    built = report.build(vehicle(name), "mock_up")
    places = SHAPES[name][0]
    for point, placed in built.fit.placed().items():
        if point.startswith("lower_right"):
            continue
        off = np.subtract((placed.x, placed.y, placed.z), places[point]) / placed.sd
        assert np.abs(off).max() < 4.5, point
