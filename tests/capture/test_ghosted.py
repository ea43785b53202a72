"""The drawing of a plan: true to scale, the measured vehicle behind it where something moved, steps along the paper."""

from __future__ import annotations

import re

import pytest

from capture.drawings.curve import curve
from capture.drawings.ghosted import Ring, ghosted, planned, rings
from capture.drawings.vehicle import Vehicle, vehicle_of
from geometry.fit import Setup, fit

AXES = {"x": (1.0, 0.0, 0.0), "y": (0.0, 1.0, 0.0), "z": (0.0, 0.0, 1.0)}


@pytest.fixture(scope="module", params=["front", "rear"])
def truck(request) -> Vehicle:
    return vehicle_of(fit(Setup("three_link_panhard", request.param), []))


def drawn(was: Vehicle, now: Vehicle, view: str = "side", chosen: str = "upper.frame") -> str:
    return str(ghosted(was, now, view, chosen, lambda name: f"?point={name}").drawing)


def moved(was: Vehicle, name: str, by: tuple[float, float, float]) -> Vehicle:
    place = was.spots[name].place
    return planned(was, {name: tuple(a + b for a, b in zip(place, by, strict=True))})


def centre(drawing: str, name: str) -> tuple[float, float]:
    found = re.search(rf'data-point="{re.escape(name)}".*?<circle class="hit" cx="([-\d.]+)" cy="([-\d.]+)"', drawing)
    if found is None:
        found = re.search(rf'<a [^>]*data-point="{re.escape(name)}"[^>]*><circle[^>]* cx="([-\d.]+)" cy="([-\d.]+)"',
                          drawing)
    return float(found[1]), float(found[2])


@pytest.mark.parametrize("view", ["side", "top", "front"])
def test_a_bolt_goes_on_the_paper_as_far_as_it_moves_times_the_scale_the_drawing_states(truck, view):
    far = (30.0, -20.0, 40.0)
    before, after = drawn(truck, truck, view), drawn(truck, moved(truck, "upper.frame", far), view)
    scale = float(re.search('data-scale="([^"]+)"', after)[1])
    right, up = ([float(part) for part in re.search(f'data-{way}="([^"]+)"', after)[1].split(",")]
                 for way in ("right", "up"))
    (x0, y0), (x1, y1) = centre(before, "upper.frame"), centre(after, "upper.frame")
    along = [sum(a * b for a, b in zip(far, way, strict=True)) * scale for way in (right, up)]
    assert (x1 - x0, y0 - y1) == pytest.approx(along, abs=0.11)


@pytest.mark.parametrize("view", ["side", "top", "front"])
def test_each_step_key_goes_where_its_arrow_points(truck, view):
    handle = ghosted(truck, truck, view, "upper.frame", str)
    before = centre(str(handle.drawing), "upper.frame")
    for act, (across, down) in zip(handle.ways, ((-1, 0), (1, 0), (0, -1), (0, 1)), strict=True):
        size = 50.0 if act[1] == "+" else -50.0
        by = tuple(size * part for part in AXES[act[0]])
        after = centre(drawn(truck, moved(truck, "upper.frame", by), view), "upper.frame")
        steps = [(new > old + 1) - (new < old - 1) for old, new in zip(before, after, strict=True)]
        assert steps == [across, down], act


def test_the_measured_link_is_a_ghost_only_where_it_moved(truck):
    assert "was" not in re.findall('class="([a-z]+)', drawn(truck, truck))
    ghost = drawn(truck, moved(truck, "upper.frame", (0.0, 0.0, 60.0)))
    assert "was" in re.findall('class="([a-z]+)', ghost) and "dashed: as measured" in ghost


def test_the_window_holds_still_while_a_bolt_moves(truck):
    still, far = drawn(truck, truck), drawn(truck, moved(truck, "upper.frame", (0.0, 0.0, 200.0)))
    assert centre(still, "lower_left.frame") == centre(far, "lower_left.frame")


def test_the_bolt_in_hand_lies_on_top_and_is_the_current_one(truck):
    names = re.findall('data-point="([^"]+)"', drawn(truck, truck, chosen="panhard.frame"))
    assert names[-1] == "panhard.frame" and len(set(names)) == len(names)
    assert re.search('aria-current="true"', drawn(truck, truck))


def test_every_hole_is_drawn_at_its_place(truck):
    x, y, z = truck.spots["upper.frame"].place
    row = (Ring((x, y, z), True), Ring((x, y, z + 25.0), False), Ring((x, y, z + 50.0), False))
    shown = str(rings(truck, "side", {"upper.frame": row}))
    downs = [float(found) for found in re.findall(r'class="hole" cx="[-\d.]+" cy="([-\d.]+)"', shown)]
    (used,) = [float(found) for found in re.findall(r'class="litf" cx="[-\d.]+" cy="([-\d.]+)"', shown)]
    assert used - downs[0] == pytest.approx(downs[0] - downs[1], abs=0.11) and used > downs[0] > downs[1]


def test_a_curve_shows_another_state_dashed_and_makes_room_for_it():
    travel, now, was = (-10.0, 0.0, 10.0), (1.0, 2.0, 3.0), (1.0, 20.0, 30.0)
    alone = str(curve(travel, now, (0.1, 0.1, 0.1), unit="%"))
    both = str(curve(travel, now, (0.1, 0.1, 0.1), unit="%", was=was))
    assert 'class="was"' in both and 'class="was"' not in alone
    (end,) = re.findall(r'class="was" d="M[-\d.]+ [-\d.]+L[-\d.]+ [-\d.]+L[-\d.]+ ([-\d.]+)', both)
    assert float(end) >= 20.0  # inside the drawing's frame
