"""The bench's board: three views in line at one scale, every reading lit once, all it asks for on the paper."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest
from flask.testing import FlaskClient

from capture.drawings.lit import spots_of
from capture.drawings.marks import lights, step_of
from capture.drawings.measure_board import HEIGHT, WIDTH, measure_boards, panels, region_of
from capture.drawings.scenes import known
from capture.report import build
from capture.screens import pictures
from capture.vehicle_file import read_vehicle_file
from capture.walk import walk_of
from tests.conftest import vehicle_object

DEMOS = sorted((Path(__file__).parents[2] / "demo_vehicles").glob("*.json"))
LAYOUTS = ("three_link_panhard", "four_link", "four_link_panhard", "radius_arms_panhard")


def demo(path: Path):
    """(the vehicle as drawings see it, the steps of its walk)."""
    made = read_vehicle_file(path.read_bytes(), path.name)
    return drawn(made)


def drawn(made):
    steps = walk_of(made.layout, made.worked_axle).steps
    names = dict.fromkeys(step.reading for step in steps)
    return pictures.vehicle(build(made)), [step_of(name, made.layout, made.worked_axle) for name in names]


def empty(layout: str, axle: str):
    return drawn(read_vehicle_file(json.dumps(vehicle_object(layout=layout, worked_axle=axle)), "empty.json"))


EVERY = [pytest.param(lambda path=path: demo(path), id=path.stem) for path in DEMOS] + [
    pytest.param(lambda layout=layout, axle=axle: empty(layout, axle), id=f"empty {axle} {layout}")
    for layout in LAYOUTS for axle in ("front", "rear")
]


@pytest.mark.parametrize("made", EVERY)
def test_a_point_lies_on_one_upright_and_one_level_line_through_the_views(made):
    vehicle, steps = made()
    seen = 0
    for step in steps:
        top, side, end = panels(vehicle, region_of(vehicle, step), "board")
        assert top.window.scale == side.window.scale == end.window.scale
        for spot in spots_of(vehicle, step):
            seen += 1
            assert top.at(spot.place)[0] == pytest.approx(side.at(spot.place)[0], abs=1e-6)
            assert side.at(spot.place)[1] == pytest.approx(end.at(spot.place)[1], abs=1e-6)
            assert top.at(spot.place)[1] < side.at(spot.place)[1]  # the top view stands above
    assert seen > 40


@pytest.mark.parametrize("made", EVERY)
def test_all_a_reading_asks_for_is_on_the_paper_in_every_view(made):
    vehicle, steps = made()
    for step in steps:
        for panel in panels(vehicle, region_of(vehicle, step), "board"):
            assert panel.left >= 0 and panel.left + panel.window.width <= WIDTH + 1e-6
            assert panel.top >= 0 and panel.top + panel.window.height <= HEIGHT + 1e-6
            for spot in spots_of(vehicle, step):
                x, y = panel.window.at(spot.place)
                assert 10 <= x <= panel.window.width - 10, (step.reading, panel.window.view.key)
                assert 10 <= y <= panel.window.height - 10, (step.reading, panel.window.view.key)


@pytest.mark.parametrize("made", EVERY)
def test_every_reading_is_lit_in_one_view_with_one_place_for_its_value(made):
    vehicle, steps = made()
    boards = measure_boards(vehicle, steps)
    for step in steps:
        figure = boards.figure[step.reading]
        assert figure.count("data-asked") == 1 and figure.count("<use ") == 3
        if known(vehicle, step) and lights(step).reach(vehicle, step).asked:
            assert figure.count("data-typed") == 1, step.reading


@pytest.mark.parametrize("path", DEMOS, ids=lambda path: path.stem)
def test_readings_of_one_part_share_its_views(path: Path):
    vehicle, steps = demo(path)
    boards = measure_boards(vehicle, steps)
    scenes = re.findall(r'<g id="(board-\d+-\w+)"', boards.defs) + re.findall(
        r'<g class="d" id="(board-\d+-\w+)"', boards.defs)
    used = {name for figure in boards.figure.values() for name in re.findall(r'href="#([\w-]+)"', figure)}
    assert used == set(scenes) and len(scenes) < len(steps)


def test_a_left_reading_is_seen_from_the_left_and_a_right_one_from_the_right():
    vehicle, steps = demo(DEMOS[-1])
    views = {step.reading: [panel.window.view.key for panel in panels(vehicle, region_of(vehicle, step), "b")]
             for step in steps}
    assert views["height:lower_left.frame"][:2] == ["top_left", "left"]
    assert views["height:lower_right.frame"][:2] == ["top_right", "right"]


def test_the_page_carries_the_board_in_view_and_the_others_come_on_request(client: FlaskClient):
    raw = json.loads(DEMOS[-1].read_text(encoding="utf-8"))
    at = f"/vehicles/{client.post('/vehicles', json=raw).json['id']}/measure"
    page = client.get(at).text
    assert page.count('class="d board wide"') == 1
    some, whole = client.get(f"{at}/drawings").text, client.get(f"{at}/drawings?boards=1").text
    assert 'class="d board wide"' not in some
    assert whole.count('class="d board wide"') == whole.count("data-key=") > 60
    for drawings in (page, whole):
        used = set(re.findall(r'<use href="#([\w-]+)"', drawings))
        assert used <= set(re.findall(r'id="([\w-]+)"', drawings))
