"""Where the panhard bar's frame end would flatten bump steer: vehicles whose answer is known beforehand."""

import math

import numpy as np
import pytest

from geometry.figures import Facts
from geometry.figures.flatten import LOOK, POINT, flattening
from tests.outside.shapes import columns_at, fitted, pair, wheels

RUN = np.array([10.0, 880.0, 70.0])
"""From axle end to frame end, of the drag link and of a panhard bar that matches it."""
BALL, BOLT = np.array([150.0, -500.0, 520.0]), np.array([60.0, -430.0, 480.0])


def vehicle(off=(0.0, 0.0, 0.0), longer=0.0):
    """A front axle on very long links, led across by its bar alone, whose frame end stands `off` from its match."""
    bar = RUN * (1.0 + longer / math.sqrt(RUN @ RUN))
    return {
        **pair("lower", ".axle", 0.0, 500.0, 330.0),
        **pair("lower", ".frame", -9e4, 500.0, 330.0),
        "upper.axle": (0.0, 0.0, 600.0),
        "upper.frame": (-9e4, 0.0, 600.0),
        "panhard.axle": tuple(BOLT),
        POINT: tuple(BOLT + bar + off),
        "kingpin_left.top": (0.0, 662.0, 520.0),
        "kingpin_left.bottom": (0.0, 662.0, 310.0),
        "kingpin_right.top": (0.0, -662.0, 520.0),
        "kingpin_right.bottom": (0.0, -662.0, 310.0),
        "drag_link.axle": tuple(BALL),
        "drag_link.frame": tuple(BALL + RUN),
        **wheels(400.0, 780.0, 2700.0, "front"),
    }


def looked_at(places, **more):
    return flattening(fitted(places, "three_link_panhard", "front", **more), Facts())


def test_a_bar_raised_off_its_match_is_sent_straight_back():
    # By hand: bar and drag link alike in length, slope and plan never steer; raised 35, it must come down 35.
    found = looked_at(vehicle((0.0, 0.0, 35.0))).upright
    assert found.by == pytest.approx((0.0, 0.0, -35.0), abs=0.1)
    assert found.before > 0.5 and found.after < 0.01
    assert found.place == pytest.approx(tuple(BOLT + RUN), abs=0.15)
    assert "leaves" in found.sentence and not found.held


def test_the_free_move_flattens_at_least_as_well_and_keeps_near():
    both = looked_at(vehicle((20.0, -40.0, 30.0)))
    assert both.free.after <= both.upright.after + 1e-3
    assert both.free.after < 0.02 < both.free.before
    assert np.linalg.norm(both.free.by) < 1.2 * np.linalg.norm((20.0, 40.0, 30.0))


def test_the_curve_after_the_move_is_that_of_a_vehicle_built_so():
    places = vehicle((0.0, 30.0, 25.0))
    found = looked_at(places).upright
    built = places | {POINT: tuple(np.array(places[POINT]) + found.by)}
    columns = columns_at(built, "three_link_panhard", tuple(LOOK.tolist()), "front")
    heading = np.array(columns["yaw"]) + np.array(columns["steer"])
    assert found.curve == pytest.approx(tuple(heading), abs=1e-5)
    assert found.after == pytest.approx(np.abs(heading).max(), abs=1e-5)
    # Nothing a millimetre up or down does better, in the sum of squares that is made least.
    for more in (-1.0, 1.0):
        other = built | {POINT: tuple(np.add(built[POINT], (0.0, 0.0, more)))}
        columns = columns_at(other, "three_link_panhard", tuple(LOOK.tolist()), "front")
        beside = np.array(columns["yaw"]) + np.array(columns["steer"])
        assert beside @ beside > heading @ heading


def test_a_bar_that_matches_is_left_where_it_is():
    found = looked_at(vehicle())
    assert found.upright.by == pytest.approx((0.0, 0.0, 0.0), abs=0.05)
    assert "leave the bar" in found.upright.sentence


def test_a_bar_of_another_length_gains_little_by_going_up():
    found = looked_at(vehicle(longer=250.0)).upright
    assert found.after > 0.5 * found.before
    assert found.before > 0.02


def test_the_spread_of_the_move_is_that_of_many_drawn_vehicles():
    places = vehicle((0.0, 0.0, 35.0))
    ends = (POINT, "panhard.axle", "drag_link.frame", "drag_link.axle")
    spreads = {f"{axis}:{name}": 1.0 for name in ends for axis in ("height", "lateral")}
    found = looked_at(places, spreads=spreads).upright
    rng = np.random.default_rng(2)
    drawn = []
    for _ in range(60):
        moved = places | {name: tuple(np.add(places[name], (0.0, *rng.normal(0.0, 1.0, 2)))) for name in ends}
        drawn.append(looked_at(moved).upright.by[2])
    assert np.std(drawn) == pytest.approx(found.sd[2], rel=0.3)
    assert found.sd[:2] == (0.0, 0.0)


def test_layouts_without_a_bar_or_a_drag_link_get_a_sentence():
    rear = {name: (-x, y, z) for name, (x, y, z) in vehicle().items()
            if not name.startswith(("kingpin", "drag_link"))}  # fmt: skip
    assert "no drag link" in flattening(fitted(rear, "three_link_panhard"), Facts()).reason
    four = {**pair("lower", ".axle", 0.0, 500.0, 330.0), **pair("lower", ".frame", -950.0, 450.0, 480.0),
            **pair("upper", ".axle", -60.0, 150.0, 600.0), **pair("upper", ".frame", -800.0, 480.0, 640.0),
            **wheels(400.0, 780.0, 2700.0, "front")}  # fmt: skip
    assert "no panhard bar" in flattening(fitted(four, "four_link", "front"), Facts()).reason


def test_what_is_not_read_yet_is_named():
    bare = {name: place for name, place in vehicle().items() if not name.startswith(("kingpin", "drag_link"))}
    found = looked_at(bare)
    assert found.free is None and found.needs
    assert all(":" in name for name in found.needs)


def test_a_drag_link_too_short_for_the_travel_gets_a_sentence():
    places = vehicle() | {"drag_link.frame": tuple(np.add(BALL, (0.0, 12.0, 2.0)))}
    found = looked_at(places)
    assert found.free is None and "do not reach" in found.reason
