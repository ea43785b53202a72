"""Each mistake that readings can share, planted in a made vehicle read along its walk, two minutes a reading: it is
found, and its sentence names the amount and its way, the stations and the time."""

from __future__ import annotations

import json
import math
import re
from collections.abc import Callable
from datetime import datetime, timedelta

import numpy as np
import pytest

from capture import doubt_words
from capture import report as reports
from capture.doubt_place import clock, place_of, takes_of
from capture.vehicle_file import read_vehicle_file
from capture.walk import walk_of
from geometry.doubt import Doubt
from tests.benchmarks.doubt_harness import draw

BEGAN = datetime(2026, 5, 2, 9, 0)
LENGTHS = ("height", "span", "across", "floor_span", "wheelbase", "fore_aft", "lateral", "rise", "diameter",
           "circumference", "travel")  # fmt: skip
TRACK_ARM = 670.0
"""mm from the middle to a kingpin: the arm a wheel turns about, as the vehicle is drawn."""


def made() -> dict:
    vehicle = draw(np.random.default_rng(7), "three_link_panhard", "front")
    entries = [
        {"id": f"made-{number:05d}", "at": f"{BEGAN + timedelta(minutes=2 * number):%Y-%m-%dT%H:%M:%SZ}",
         "stage": "mock_up", "type": "reading", "reading": seen.name, "value": float(seen.value)}
        for number, seen in enumerate(vehicle.clean)
    ]  # fmt: skip
    facts = {"rough_wheelbase": vehicle.setup.wheelbase, "tyre_diameter": vehicle.setup.tyre_diameter}
    return {"format": "plumbtack vehicle", "version": 1, "name": "Made", "worked_axle": "front",
            "layout": "three_link_panhard", "facts": facts, "entries": entries}  # fmt: skip


@pytest.fixture(scope="module")
def clean() -> reports.Report:
    report = reports.build(read_vehicle_file(json.dumps(made()), "made"))
    assert report.doubts == ()
    return report


Change = Callable[[str, str, str, object], float]
"""kind, point, station, placed points: what the mistake adds to a reading."""


def planted(clean: reports.Report, change: Change) -> reports.Report:
    vehicle, walk, placed = made(), walk_of("three_link_panhard", "front"), clean.fit.placed()
    for entry in vehicle["entries"]:
        kind, _, point = entry["reading"].partition(":")
        step = walk.find(entry["reading"])
        entry["value"] += change(kind, point, step.station if step else "", placed.get(point), entry["value"])
    return reports.build(read_vehicle_file(json.dumps(vehicle), "made"))


def ways(report: reports.Report) -> list[Doubt]:
    """The worst doubt and the other ways to see it."""
    return [report.doubts[0], *report.doubts[0].also]


def wheels(kind: str, point: str, degrees: float, place) -> float:
    if point not in ("drag_link.axle", "tie_rod.left", "tie_rod.right") or kind not in ("lateral", "fore_aft"):
        return 0.0
    outward = place.y - math.copysign(TRACK_ARM, place.y)
    return math.radians(degrees) * (place.x if kind == "lateral" else -outward)


CASES = {
    # family: what is added, amount planted, the words of its way, a station that is named ("" where all round)
    "cross_line": (lambda k, p, s, at, v: 50.0 * (k == "fore_aft" and s == "under_right"), 50.0, "too far forward",
                   "Under, right side"),
    "centreline": (lambda k, p, s, at, v: -50.0 * (k == "lateral" and s == "under_left"), -50.0, "too far right",
                   "Under, left side"),
    "heights": (lambda k, p, s, at, v: -40.0 * (k == "height" and "_left" in p), -40.0, "too low", ""),
    "tape": (lambda k, p, s, at, v: math.copysign(25.4, v) * (k in LENGTHS), 25.4, "too long", ""),
    "gauge": (lambda k, p, s, at, v: 2.0 * (k in ("incline", "caster")), 2.0, "too high", ""),
    "wheels_turned": (lambda k, p, s, at, v: wheels(k, p, 6.0, at), 6.0, "from straight ahead", "Front of axle"),
    "centre_skew": (lambda k, p, s, at, v: 0.03 * at.x if k == "lateral" and at else 0.0, 30.0, "in each metre", ""),
    "cross_skew": (lambda k, p, s, at, v: 0.03 * at.y if k == "fore_aft" and at else 0.0, 30.0, "in each metre", ""),
    "one_end": (lambda k, p, s, at, v: 0.03 * at.x if k == "height" and p.endswith(".frame") and at else 0.0, 30.0,
                "in each metre", ""),
}  # fmt: skip


@pytest.mark.parametrize("family", CASES)
def test_it_is_found_and_its_sentence_names_amount_way_stations_and_time(clean, family):
    change, amount, way, station = CASES[family]
    report = planted(clean, change)
    found = next((one for one in ways(report) if one.shared is not None and one.shared.family == family), None)
    assert found is not None, [(one.reason, one.readings) for one in ways(report)]
    assert found.shared.amount == pytest.approx(amount, abs=max(4.0 * found.shared.sd, 0.1 * abs(amount)))
    said = doubt_words.sentence(found, "mm", place_of(report, found))
    number = re.search(r"(\d+(?:\.\d+)?)(?: mm|°) ± ", said)
    assert number and float(number[1]) == pytest.approx(abs(found.shared.amount), abs=0.51)
    takes = takes_of(report, found)
    first, last = clock(min(take.at for take in takes)), clock(max(take.at for take in takes))
    assert way in said and f"{len(takes)} readings at " in said
    assert station in said and ("stations" in said or station)
    assert f", {first} to {last.partition(', ')[2]}." in said


def test_a_reading_of_another_point_taken_twice_is_one_mistake_with_both_its_times(clean):
    vehicle = made()
    (once,) = [entry for entry in vehicle["entries"] if entry["reading"] == "height:lower_left.middle"]
    once["value"] += 60.0
    vehicle["entries"].append({**once, "id": "made-again", "at": "2026-05-02T15:00:00Z"})
    report = reports.build(read_vehicle_file(json.dumps(vehicle), "made"))
    (doubt, *_) = report.doubts
    assert doubt.shared is not None and doubt.shared.family == "same_name"
    said = doubt_words.sentence(doubt, "mm", place_of(report, doubt))
    assert "too much for the rest" in said and "2 readings at Under, left side" in said
    assert said.endswith(f"{clock(once['at'])} to {clock('2026-05-02T15:00:00Z').partition(', ')[2]}.")


def test_amounts_by_length_are_said_by_the_foot_to_who_measures_in_inches(clean):
    report = planted(clean, CASES["centre_skew"][0])
    said = doubt_words.sentence(report.doubts[0], "in")
    # By hand: 30 mm in a metre is 9.1 mm in a foot, 3/8 in to the nearest sixteenth.
    assert "3/8 in ± " in said and "in each foot" in said
