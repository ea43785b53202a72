"""Every point taken along with the axle: links keep their lengths, wheels go where they are sent, and stand as told."""

from __future__ import annotations

import json
from dataclasses import replace

import numpy as np
import pytest

from capture import places, report
from capture.vehicle_file import read_vehicle_file
from geometry import motion
from geometry.figures import Facts, articulation, catalogue, sheet, standing
from geometry.figures.nudges import nudges
from geometry.figures.poses import poses
from geometry.figures.ride import Ride
from geometry.figures.taken import real_rig
from geometry.figures.trust import answers
from geometry.layouts import LAYOUTS

FACTS = Facts(brake_share_front=0.7, drive_share_front=0.5)
DEMOS = {path.stem: path for path in places.demo_vehicles()}


@pytest.fixture(scope="module", params=list(DEMOS))
def fitted(request):
    path = DEMOS[request.param]
    assert json.loads(path.read_text(encoding="utf-8"))["name"]
    return report.build(read_vehicle_file(path.read_text(encoding="utf-8"), path.name)).fit


@pytest.mark.parametrize("crossed", [False, True])
def test_every_link_keeps_its_length_at_every_pose(fitted, crossed):
    still = {name: (point.x, point.y, point.z) for name, point in fitted.placed().items()}
    for pose in poses(fitted, FACTS, crossed):
        for link in LAYOUTS[fitted.setup.layout].links:
            ends = [np.array(still[link.frame]), np.array(pose.places[link.axle[0]])]
            rest = np.linalg.norm(np.array(still[link.axle[0]]) - ends[0])
            assert np.linalg.norm(ends[1] - ends[0]) == pytest.approx(rest, abs=1e-6)


def test_the_tie_rod_and_the_drag_link_keep_their_lengths_too():
    path = DEMOS["orchard_truck"]
    found = report.build(read_vehicle_file(path.read_text(encoding="utf-8"), path.name)).fit
    still = {name: np.array((point.x, point.y, point.z)) for name, point in found.placed().items()}
    for pose in (*poses(found, FACTS), *poses(found, FACTS, True)):
        now = {name: np.array(place) for name, place in pose.places.items()}
        rod = np.linalg.norm(still["tie_rod.left"] - still["tie_rod.right"])
        link = np.linalg.norm(still["drag_link.frame"] - still["drag_link.axle"])
        assert np.linalg.norm(now["tie_rod.left"] - now["tie_rod.right"]) == pytest.approx(rod, abs=1e-6)
        assert np.linalg.norm(still["drag_link.frame"] - now["drag_link.axle"]) == pytest.approx(link, abs=1e-6)


def test_the_axles_centre_rises_by_the_way_and_frame_points_are_left_out(fitted):
    for pose in poses(fitted, FACTS):
        assert "lower_left.frame" not in pose.places and "other_left.centre" not in pose.places
        axle_ends = np.mean([pose.places["wheel_left.centre"][2], pose.places["wheel_right.centre"][2]])
        rest = np.mean([fitted.placed()[f"wheel_{side}.centre"].z for side in ("left", "right")])
        assert axle_ends - rest == pytest.approx(pose.way, abs=0.5), "knuckles turn a little: wheels move with them"


def test_the_wheel_goes_up_on_the_side_that_is_lifted(fitted):
    last = poses(fitted, FACTS, True)[-1]
    assert last.way > 100 and last.lean > 3
    left, right = (last.places[f"wheel_{side}.centre"][2] for side in ("left", "right"))
    assert left - right > 0.8 * last.way


def test_headings_are_the_axles_yaw_and_the_steer_of_the_drag_links_side():
    path = DEMOS["orchard_truck"]
    found = report.build(read_vehicle_file(path.read_text(encoding="utf-8"), path.name)).fit
    tables = sheet(found, FACTS).sweep, articulation(found, FACTS)
    for table, whole in zip(tables, standing(found, FACTS), strict=True):
        yaw, steer, toe = (np.array(table.columns[key].values) for key in ("yaw", "steer", "toe_in"))
        left, right = (np.array(whole.columns[f"heading.{side}"].values) for side in ("left", "right"))
        # Source: the drag link of this vehicle ends at the right knuckle; toe-in is right less left, model of signs.
        assert right == pytest.approx(yaw + steer, abs=1e-9)
        assert right - left == pytest.approx(toe, abs=1e-9)


def test_caster_and_pinion_over_travel_are_ride_and_change():
    path = DEMOS["orchard_truck"]
    found = report.build(read_vehicle_file(path.read_text(encoding="utf-8"), path.name)).fit
    sheet_, (heave, _) = sheet(found, FACTS), standing(found, FACTS)
    for whole, change in (("caster", "caster_change"), ("pinion_angle", "pinion_change")):
        ride = sheet_.figures[whole].value
        wanted = [ride + value for value in sheet_.sweep.columns[change].values]
        assert heave.columns[whole].values == pytest.approx(wanted, abs=1e-9)
        at = heave.travel.index(0.0)
        assert heave.columns[whole].sd[at] == pytest.approx(sheet_.figures[whole].sd, rel=1e-9)
    left, right = (np.array(heave.columns[f"caster.{side}"].values) for side in ("left", "right"))
    assert (left + right) / 2 == pytest.approx(heave.columns["caster"].values, abs=1e-9)
    assert left[at] == pytest.approx(sheet_.figures["caster.left"].value, abs=1e-9)


def test_a_nudge_says_what_a_really_moved_point_does(fitted):
    """Source: the figure worked out anew with the point moved 0.01 mm."""
    kind = catalogue(fitted.setup.layout, fitted.setup.worked_axle)["anti_geometric"]
    step = 0.01
    for nudge in nudges(answers(fitted, FACTS, kind), step)[:4]:
        axis, sign = {"higher": (2, 1), "lower": (2, -1), "further forward": (0, 1), "further back": (0, -1),
                      "further left": (1, 1), "further right": (1, -1)}[nudge.way]
        estimate = fitted.estimate.copy()
        estimate[fitted.slot[nudge.point] + axis] += sign * step
        moved = replace(fitted, estimate=estimate)
        before, after = (sheet(one, FACTS).figures["anti_geometric"].value for one in (fitted, moved))
        assert after - before == pytest.approx(nudge.more, rel=2e-3)


def test_the_roll_centre_over_travel_is_where_small_rolls_leave_the_axle_in_place(fitted):
    """Source: worked out from two solved poses 0.2 mm of lift apart, at ride height and 50 mm of bump."""
    heave, _ = standing(fitted, FACTS)
    column = heave.columns["roll_centre"]
    ride_at = heave.travel.index(0.0)
    figure = sheet(fitted, FACTS).figures["roll_centre_height"]
    assert column.values[ride_at] == pytest.approx(figure.value, abs=1e-6)
    assert column.sd[ride_at] == pytest.approx(figure.sd, rel=1e-6)
    rig = real_rig(Ride(fitted, FACTS))
    poses_ = motion.sweep(rig, np.array([50.0, 50.0, 50.0]), np.array([-0.1, 0.0, 0.1])).pose
    sideways = (poses_.shift[0, 2, 1] - poses_.shift[0, 0, 1]) / 0.2
    turned = (poses_.turn[0, 2] - poses_.turn[0, 0]) / 0.2 @ poses_.turn[0, 1].T
    above_centre = sideways / turned[2, 1]
    below = (poses_.turn[0, 1] @ rig.contact[0])[2]
    assert column.values[heave.travel.index(50.0)] == pytest.approx(above_centre - below, abs=0.01)
