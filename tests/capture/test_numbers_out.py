"""Points, links and views to take away: the report's own numbers, and drawings one to one in the vehicle frame."""

import csv
import io
import math
from itertools import pairwise
from pathlib import Path
from xml.etree import ElementTree

import pytest

from capture import numbers_out, report
from capture.cli import main
from capture.vehicle_file import read_vehicle_file

DEMOS = Path(__file__).parents[2] / "demo_vehicles"
SVG = "{http://www.w3.org/2000/svg}"


@pytest.fixture(scope="module")
def orchard() -> report.Report:
    return report.build(read_vehicle_file((DEMOS / "orchard_truck.json").read_bytes(), "orchard"))


def lines_of(text: str) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(text)))


def test_the_points_are_the_reports_with_two_sds(orchard):
    told = orchard.as_json()["points"]
    lines = lines_of(numbers_out.points_table(orchard))
    assert [line["point"] for line in lines] == list(told)
    for line in lines:
        point = told[line["point"]]
        for axis, sd in zip("xyz", point["sd"], strict=True):
            assert float(line[f"{axis} (mm)"]) == pytest.approx(point[axis], abs=0.0051)
            assert float(line[f"± {axis} (mm)"]) == pytest.approx(2 * sd, abs=0.0051)
        assert (line["known"] == "yes") == point["known"]


def test_the_lines_are_the_links_with_their_lengths(orchard):
    figures = orchard.as_json()["figures"]
    lines = lines_of(numbers_out.lines_table(orchard))
    assert [line["link"] for line in lines] == ["lower_left", "lower_right", "upper", "panhard"]
    for line in lines:
        told = figures[f"link_length.{line['link']}"]
        assert float(line["length (mm)"]) == pytest.approx(told["value"], abs=0.0051)
        assert float(line["± length (mm)"]) == pytest.approx(2 * told["sd"], abs=0.0051)


@pytest.mark.parametrize(("view", "axes"), [("side", "xz"), ("top", "xy"), ("end", "yz")])
def test_a_mm_of_the_drawing_is_a_mm_of_the_vehicle(orchard, view, axes):
    root = ElementTree.fromstring(numbers_out.drawing(orchard, view))
    width = float(root.get("width").removesuffix("mm"))
    assert root.get("height").endswith("mm") and float(root.get("viewBox").split()[2]) == pytest.approx(width, abs=0.1)
    at = {}
    for group in root.iter(f"{SVG}g"):
        disc = group.find(f"{SVG}circle")
        at[group.get("id")] = (float(disc.get("cx")), float(disc.get("cy")))
    told = orchard.as_json()["points"]
    assert set(at) == set(told)
    names = list(told)
    for first, second in pairwise(names):
        seen = math.dist(at[first], at[second])
        real = math.dist([told[first][a] for a in axes], [told[second][a] for a in axes])
        assert seen == pytest.approx(real, abs=0.15), (first, second)


def test_up_is_up_and_every_point_lies_on_the_sheet(orchard):
    root = ElementTree.fromstring(numbers_out.drawing(orchard, "side"))
    left, top, width, height = (float(part) for part in root.get("viewBox").split())
    at = {g.get("id"): g.find(f"{SVG}circle") for g in root.iter(f"{SVG}g")}
    assert float(at["upper.axle"].get("cy")) < float(at["lower_left.axle"].get("cy")) < 0.0
    for disc in at.values():
        assert left < float(disc.get("cx")) < left + width and top < float(disc.get("cy")) < top + height


def test_a_name_cannot_break_out_of_the_drawing(orchard):
    named = report.Report(orchard.vehicle.model_copy(update={"name": "<script>&"}), orchard.stage_view)
    assert ElementTree.fromstring(numbers_out.drawing(named, "top")).find(f"{SVG}title").text.startswith("<script>&")


@pytest.mark.parametrize(
    ("options", "start"),
    [((), "point,words,x (mm)"), (("--lines",), "link,words,from"), (("--drawing", "end"), "<svg")],
)
def test_the_command_prints_them(options, start, capsys):
    assert main(("points", str(DEMOS / "quarry_hauler.json"), *options)) == 0
    assert capsys.readouterr().out.startswith(start)


def test_a_stage_without_readings_is_refused(capsys):
    assert main(("points", str(DEMOS / "orchard_truck.json"), "--stage", "plan")) == 2
    assert "there are no readings at plan" in capsys.readouterr().err
