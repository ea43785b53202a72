"""Rails and other still bodies: gaps by hand, against sampled surfaces, and a sentence wherever one cannot be had."""

import math

import numpy as np
import pytest
from scipy.optimize import minimize

from geometry.figures import Facts
from geometry.figures.clearance import clearances
from geometry.figures.parts import BodyFact, TubeFact
from geometry.figures.tight_spot import shapes_at
from tests.outside.shapes import T1, fitted
from tests.reference.motion import Axle

STILL = (("travel:bump", 0.0, 1e-3), ("travel:droop", 0.0, 1e-3))
TRAVELS = (("travel:bump", 80.0, 1e-4), ("travel:droop", 100.0, 1e-4))
LINKS = ("lower_left", "lower_right", "upper_left", "upper_right")
RAIL = {"mark.rail_front": (1200.0, 450.0, 700.0), "mark.rail_rear": (-900.0, 450.0, 700.0)}


def facts(**body):
    rail = BodyFact("mark.rail_front", "mark.rail_rear", **body)
    return Facts(tubes={link: TubeFact(50.0) for link in LINKS}, bodies={"left_rail": rail}, tyre_width=300.0,
                 tyre_diameter=840.0, steer_lock=30.0)


def rows(stated, places=T1 | RAIL, axle="rear", more=STILL, **rest):
    table = clearances(fitted(places, "four_link", axle, more=more, **rest), stated)
    return {(row.one, row.other): row for row in table.rows}, table


def test_a_rail_read_on_its_outer_face_stands_inward_of_it():
    # By hand: a tyre 300 wide at 780 begins at 630. The rail's outer face is at 450: 180. Read in its middle, 60 wide,
    # the face is at 480: 150; read inside, at 510: 120.
    for across, gap in (("outside", 180.0), ("middle", 150.0), ("inside", 120.0)):
        found, _ = rows(facts(width=60.0, height=120.0, across=across))
        assert found["tyre_left", "body.left_rail"].least == pytest.approx(gap, abs=1e-3), across


def test_a_rail_read_at_its_underside_stands_above_it():
    # By hand: the axle's upper link ends 60 ahead of the axle, at y 150 .. 480 and z 600 .. 640; where it passes under
    # the rail's edge decides. A lower link's tube is seen square from below: a level tube at z 480 under a rail at 700.
    level = T1 | {f"lower_left.{end}": (x, 450.0, 480.0) for end, x in (("axle", 0.0), ("frame", 950.0))} | RAIL
    for upright, gap in (("underside", 195.0), ("middle", 135.0), ("top", 75.0)):
        found, _ = rows(facts(width=60.0, height=120.0, upright=upright), level)
        row = found["lower_left", "body.left_rail"]
        assert row.least == pytest.approx(700.0 - 480.0 - 25.0 - (195.0 - gap), abs=1e-3), upright
        assert row.words == ("left lower link", "left rail")
        assert row.spots[0][2] == pytest.approx(505.0, abs=1e-3)
        assert row.spots[1][2] == pytest.approx(505.0 + gap, abs=1e-3)


def test_a_round_body_is_held_as_a_bar_of_its_diameter():
    # By hand: a pipe of 60 along the rail's line at z 700, over a level link tube of 50 at z 480: 220 - 30 - 25.
    level = T1 | {f"lower_left.{end}": (x, 450.0, 480.0) for end, x in (("axle", 0.0), ("frame", 950.0))} | RAIL
    found, _ = rows(facts(diameter=60.0), level)
    assert found["lower_left", "body.left_rail"].least == pytest.approx(165.0, abs=1e-3)


def test_a_link_bolted_to_the_rail_is_not_said_to_run_into_it_there():
    # A link whose frame bolt stands inside the rail's section: its first 120 mm belong to the bracket.
    hung = T1 | RAIL | {"mark.rail_front": (1200.0, 450.0, 480.0), "mark.rail_rear": (900.0, 450.0, 480.0)}
    found, _ = rows(facts(width=40.0, height=40.0), hung)
    assert found["lower_left", "body.left_rail"].least > 0.0


def box_points(rail, width, height):
    """Corners' axes of the sampled box: middle, along, beside, up and halves."""
    front, rear = (np.array(rail[f"mark.rail_{end}"]) for end in ("front", "rear"))
    along = (rear - front) / np.linalg.norm(rear - front)
    beside = np.cross([0.0, 0.0, 1.0], along)
    beside /= np.linalg.norm(beside)
    return 0.5 * (front + rear), (along, beside, np.cross(along, beside)), 0.5 * np.array(
        [np.linalg.norm(rear - front), width, height])


def test_over_travel_a_sloping_rail_is_as_near_as_a_search_of_its_surface_says():
    slope = {"mark.rail_front": (1100.0, 560.0, 730.0), "mark.rail_rear": (-500.0, 500.0, 850.0)}
    found, _ = rows(facts(width=60.0, height=110.0), T1 | slope, more=TRAVELS)
    row = found["upper_left", "body.left_rail"]
    middle, ways, halves = box_points(slope, 60.0, 110.0)
    axle = Axle({name: np.array(place) for name, place in T1.items()}, "four_link")
    pose = axle.pose(row.travel, row.lift)
    start, end = np.array(T1["upper_left.frame"]), axle.carried(np.array(T1["upper_left.axle"]), pose)
    trimmed = start + 120.0 / np.linalg.norm(end - start) * (end - start)

    def off(spot):
        on_box = middle + sum(share * half * way for share, half, way in zip(spot[1:], halves, ways, strict=True))
        return math.dist(trimmed + spot[0] * (end - trimmed), on_box)

    starts = [[0.5, 0.0, side, up] for side in (-1.0, 1.0) for up in (-1.0, 1.0)]
    best = min(minimize(off, begin, bounds=[(0, 1), (-1, 1), (-1, 1), (-1, 1)]).fun for begin in starts)
    assert row.least == pytest.approx(best - 25.0, abs=0.01)
    assert math.dist(*row.spots) == pytest.approx(abs(row.least), abs=1e-3)


def test_a_steered_tyre_is_as_near_to_a_rail_as_a_search_of_both_surfaces_says():
    mirrored = {name: (-x, y, z) for name, (x, y, z) in T1.items()}
    rail = {"mark.rail_front": (700.0, 390.0, 610.0), "mark.rail_rear": (-900.0, 350.0, 560.0)}
    found, _ = rows(facts(width=60.0, height=110.0), mirrored | rail, "front")
    row = found["tyre_left", "body.left_rail"]
    assert abs(row.steer) == pytest.approx(30.0)
    middle, ways, halves = box_points(rail, 60.0, 110.0)
    turn = math.radians(row.steer)
    spindle, ahead = np.array([-math.sin(turn), math.cos(turn), 0.0]), np.array([math.cos(turn), math.sin(turn), 0.0])
    hub = np.array([0.0, 780.0, 400.0])

    def apart(spot):
        on_box = middle + sum(share * half * way for share, half, way in zip(spot[:3], halves, ways, strict=True))
        round_ = math.cos(spot[5]) * ahead + math.sin(spot[5]) * np.array([0.0, 0.0, 1.0])
        return math.dist(on_box, hub + 150.0 * spot[3] * spindle + 420.0 * spot[4] * round_)

    bounds = [(-1, 1)] * 4 + [(0, 1), (-math.pi, math.pi)]
    starts = [[x, side, 0.0, -1.0, 1.0, angle] for x in (-0.3, 0.0, 0.3) for side in (-1.0, 1.0)
              for angle in (0.7, 2.4)]
    best = min(minimize(apart, begin, bounds=bounds).fun for begin in starts)
    assert row.least == pytest.approx(best, abs=0.8)
    assert row.least >= best - 1e-3


def test_the_spread_of_a_rail_s_marks_goes_into_the_gap():
    # By hand: a rail along the tyre: each mark's sd of 4 across counts by its share at the nearest place.
    found, _ = rows(facts(width=60.0, height=120.0),
                    spreads={"lateral:mark.rail_front": 4.0, "lateral:mark.rail_rear": 4.0})
    row = found["tyre_left", "body.left_rail"]
    share = (1200.0 - row.spots[0][0]) / 2100.0
    assert row.sd == pytest.approx(4.0 * math.hypot(share, 1.0 - share), rel=1e-3)


def test_a_body_whose_marks_are_not_read_waits_for_them():
    _, table = rows(facts(width=60.0, height=120.0), T1)
    assert "height:mark.rail_front" in table.needs and "lateral:mark.rail_rear" in table.needs
    assert not any(row.other.startswith("body.") for row in table.rows)


@pytest.mark.parametrize("body, said", [
    (BodyFact("mark.rail_front", "mark.rail_front", width=60.0, height=90.0), "in one place"),
    (BodyFact("mark.rail_front", "lower_left.axle", width=60.0, height=90.0), "moves with the axle"),
    (BodyFact("mark.rail_front", "lower_left.nowhere", width=60.0, height=90.0), "there is no point"),
    (BodyFact("mark.rail_front", "mark.rail_rear", width=60.0), "State how thick"),
])
def test_a_body_that_cannot_be_looked_at_says_why(body, said):
    stated = Facts(bodies={"left_rail": body})
    _, table = rows(stated)
    assert len(table.unfit) == 1 and said in table.unfit[0] and "left rail" in table.unfit[0]
    assert not any(row.other.startswith("body.") for row in table.rows)


def test_an_upright_body_has_a_size_too():
    post = T1 | {"mark.rail_front": (0.0, 300.0, 100.0), "mark.rail_rear": (0.0, 300.0, 900.0)}
    found, _ = rows(facts(width=60.0, height=120.0), post)
    # By hand: 60 across, from y 270 to 330; the tyre begins at 630.
    assert found["tyre_left", "body.left_rail"].least == pytest.approx(300.0, abs=1e-3)


def test_the_picture_s_bodies_stand_where_the_gap_was_found():
    found, _ = rows(facts(width=60.0, height=120.0), {name: (-x, y, z) for name, (x, y, z) in T1.items()} | RAIL,
                    "front", TRAVELS)
    for row in list(found.values())[:6]:
        fit_again = fitted({name: (-x, y, z) for name, (x, y, z) in T1.items()} | RAIL, "four_link", "front",
                           more=TRAVELS)
        shapes = {shape.name: shape for shape in shapes_at(fit_again, facts(width=60.0, height=120.0), row)}
        assert {row.one, row.other} <= set(shapes)
        for name, spot in zip((row.one, row.other), row.spots, strict=True):
            places = np.array(shapes[name].places)
            reach = 0.5 * shapes[name].diameter + 1.0
            assert (places.min(axis=0) - reach <= spot).all() and (spot <= places.max(axis=0) + reach).all(), name
