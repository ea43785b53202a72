"""How near parts come: by hand where nothing moves, and against poses closed another way where it does."""

import math

import numpy as np
import pytest
from scipy.spatial.transform import Rotation

from geometry.figures import Facts
from geometry.figures.base import NotYet
from geometry.figures.clearance import clearances
from geometry.figures.parts import TubeFact
from tests.outside.shapes import T1, fitted
from tests.reference.motion import Axle

STILL = (("travel:bump", 0.0, 1e-3), ("travel:droop", 0.0, 1e-3))
TRAVELS = (("travel:bump", 80.0, 1e-4), ("travel:droop", 100.0, 1e-4))
THIN = Facts(tubes={link: TubeFact(50.0) for link in ("lower_left", "lower_right", "upper_left", "upper_right")})
ARMS = {f"arm_{side}{end}": (x, y, z) for side, y in (("left", 400.0), ("right", -400.0))
        for end, x, z in ((".frame", 950.0, 520.0), (".axle_front", 90.0, 400.0), (".axle_rear", -90.0, 400.0))}
BAR = {"panhard.axle": (-150.0, 430.0, 560.0), "panhard.frame": (-150.0, -420.0, 560.0)}
STEERED = {
    "kingpin_left.top": (-14.0, 662.0, 520.0), "kingpin_left.bottom": (12.0, 705.0, 310.0),
    "kingpin_right.top": (-14.0, -662.0, 520.0), "kingpin_right.bottom": (12.0, -705.0, 310.0),
    "drag_link.frame": (160.0, 420.0, 640.0), "drag_link.axle": (150.0, -560.0, 560.0),
    "tie_rod.left": (-140.0, 640.0, 400.0), "tie_rod.right": (-140.0, -640.0, 400.0),
}  # fmt: skip


def rows(places, layout="four_link", axle="rear", facts=THIN, more=TRAVELS, spreads=None):
    table = clearances(fitted(places, layout, axle, more=more, spreads=spreads), facts)
    return {(row.one, row.other): row for row in table.rows}, table


def mirrored(places):
    return {name: (-x, y, z) for name, (x, y, z) in places.items()}


def test_a_still_vehicle_s_gap_is_that_by_hand():
    # By hand: the lower left link runs from (0, 500, 330) to (950, 450, 480); a point 100 square off its middle.
    middle = 0.5 * (np.array(T1["lower_left.axle"]) + T1["lower_left.frame"])
    along = np.subtract(T1["lower_left.frame"], T1["lower_left.axle"])
    square = np.cross(along, [0.0, 1.0, 0.0])
    point = tuple(middle + 100.0 * square / np.linalg.norm(square))
    found, table = rows(T1 | {"keep_clear.pipe": point}, more=STILL)
    row = found["lower_left", "keep_clear.pipe"]
    assert row.least == pytest.approx(100.0 - 25.0, abs=1e-4)
    skin = middle + 25.0 * (np.array(point) - middle) / 100.0
    assert row.place == pytest.approx(tuple(0.5 * (skin + np.array(point))), abs=1e-3)
    assert row.spots == (pytest.approx(tuple(skin), abs=1e-3), pytest.approx(point, abs=1e-3))
    assert row.words == ("left lower link", "pipe") and row.lift == row.steer == 0.0
    assert [row.least for row in table.rows] == sorted(row.least for row in table.rows)


def test_over_travel_and_articulation_it_is_the_least_of_poses_closed_by_scipy():
    pipe = (400.0, 330.0, 700.0)
    found, _ = rows(T1 | {"keep_clear.pipe": pipe})
    row = found["upper_left", "keep_clear.pipe"]
    axle = Axle({name: np.array(place) for name, place in T1.items()}, "four_link")
    gaps = {}
    steps = [*((float(step), 0.0) for step in range(-100, 81, 10))]
    shares = np.arange(-10, 11) / 10.0
    for share in shares:
        left, right = share * (80.0 if share > 0 else 100.0), -share * (100.0 if share > 0 else 80.0)
        steps.append((0.5 * (left + right), left - right))
    for travel, lift in steps:
        pose = axle.pose(travel, lift)
        end, start = axle.carried(np.array(T1["upper_left.axle"]), pose), np.array(T1["upper_left.frame"])
        share = np.clip((np.array(pipe) - start) @ (end - start) / ((end - start) @ (end - start)), 0.0, 1.0)
        gaps[travel, lift] = math.dist(pipe, start + share * (end - start)) - 25.0
    least = min(gaps, key=gaps.get)
    assert row.least == pytest.approx(gaps[least], abs=2e-3)
    assert (row.travel, row.lift) == pytest.approx(least, abs=1e-3)


def test_one_wheel_alone_is_looked_at_too():
    # scipy's closure: right wheel up by 80 alone, the upper link passes the pipe 1.9 mm nearer than on the two ways of
    # both wheels.
    pipe = (88.0, 80.0, 633.0)
    found, _ = rows(T1 | {"keep_clear.pipe": pipe})
    row = found["upper_left", "keep_clear.pipe"]
    axle = Axle({name: np.array(place) for name, place in T1.items()}, "four_link")
    start, end = np.array(T1["upper_left.frame"]), axle.carried(np.array(T1["upper_left.axle"]), axle.pose(40.0, -80.0))
    share = np.clip((np.array(pipe) - start) @ (end - start) / ((end - start) @ (end - start)), 0.0, 1.0)
    assert row.least == pytest.approx(math.dist(pipe, start + share * (end - start)) - 25.0, abs=2e-3)
    assert (row.travel, row.lift) == pytest.approx((40.0, -80.0), abs=1e-3)


def test_a_wheel_that_steers_is_nearest_where_the_tread_s_edge_comes_by_whatever_the_steer():
    # By hand: wheel 840 high, 300 wide, turning about its own centre; a point 450 from the hub, 30 deg out. The edge of
    # the tread, hypot(420, 150) = 445.98 from the hub, comes by when the wheel has turned to it: 4.02 at 10.35 deg.
    hub = np.array([0.0, 780.0, 400.0])
    point = tuple(hub + 450.0 * np.array([math.cos(math.pi / 6), math.sin(math.pi / 6), 0.0]))
    places = mirrored(T1) | {"keep_clear.post": point}
    facts = Facts(tyre_diameter=840.0, tyre_width=300.0, steer_lock=30.0)
    found, table = rows(places, axle="front", facts=facts, more=STILL)
    row = found["tyre_left", "keep_clear.post"]
    assert row.least == pytest.approx(450.0 - math.hypot(420.0, 150.0), abs=1e-2)
    assert row.steer == pytest.approx(30.0 - math.degrees(math.atan2(150.0, 420.0)), abs=0.1)
    assert any("no kingpin was read" in one.words for one in table.assumed)


def test_steer_about_the_kingpin_swings_the_wheel_as_a_rotation_does():
    # scipy Rotation about the kingpin, the least of 601 steers; the wheel as the points within its radius and half
    # width.
    post = np.array([-430.0, 660.0, 420.0])
    kingpins = {name: place for name, place in STEERED.items() if name.startswith("kingpin")}
    places = mirrored(T1) | kingpins | {"keep_clear.post": tuple(post)}
    facts = Facts(tyre_diameter=840.0, tyre_width=250.0, steer_lock=30.0)
    found, table = rows(places, axle="front", facts=facts, more=STILL)
    foot = np.array(STEERED["kingpin_left.bottom"])
    axis = STEERED["kingpin_left.top"] - foot
    axis /= np.linalg.norm(axis)
    gaps = {}
    for steer in np.linspace(-30.0, 30.0, 601):
        turn = Rotation.from_rotvec(np.radians(steer) * axis)
        off = post - foot - turn.apply(np.array(places["wheel_left.centre"]) - foot)
        beside = float(off @ turn.apply([0.0, 1.0, 0.0]))
        out, past = math.sqrt(off @ off - beside**2) - 420.0, abs(beside) - 125.0
        gaps[steer] = math.hypot(max(out, 0.0), max(past, 0.0)) if max(out, past) > 0 else max(out, past)
    row = found["tyre_left", "keep_clear.post"]
    assert row.steer == pytest.approx(min(gaps, key=gaps.get), abs=0.1)
    assert row.least == pytest.approx(min(gaps.values()), abs=0.02)
    assert max(gaps.values()) > row.least + 20.0
    assert not any("kingpin" in one.words for one in table.assumed)


def test_a_rod_and_the_tyre_of_its_own_knuckle_are_no_pair():
    found, _ = rows(mirrored(T1) | STEERED, axle="front")
    assert ("tie_rod", "tyre_left") not in found
    assert ("drag_link", "tyre_right") not in found and ("drag_link", "tyre_left") in found


@pytest.mark.parametrize(("frame", "ball", "gap"), [
    # By hand: 70 above and 20 ahead of the tie rod at its frame end, where it is nearest.
    ((-120.0, 420.0, 470.0), (-100.0, -560.0, 600.0), math.hypot(20.0, 70.0) - 17.5 - 19.0),
    # By hand: straight above the rod, 40 at the ball; 120 mm on from it 120 x 200 / hypot(980, 200) more.
    ((-140.0, 420.0, 640.0), (-140.0, -560.0, 440.0), 40.0 + 24000.0 / math.hypot(980.0, 200.0) - 17.5 - 19.0),
])  # fmt: skip
def test_drag_link_and_tie_rod_are_a_pair_but_for_the_bit_at_the_knuckle_they_share(frame, ball, gap):
    facts = Facts(tubes=THIN.tubes, steer_lock=1e-6)
    places = mirrored(T1) | STEERED | {"drag_link.frame": frame, "drag_link.axle": ball}
    found, _ = rows(places, axle="front", facts=facts, more=STILL)
    assert found["drag_link", "tie_rod"].least == pytest.approx(gap, abs=1e-2)


def test_in_bump_the_tie_rod_comes_up_to_the_drag_link_and_it_is_said():
    # By hand: axle and tie rod rise by 80, the drag link's frame end stays: 150 above the rod at its frame end becomes
    # about 70, less what the axle's swing and its own steer move them.
    facts = Facts(tubes=THIN.tubes, steer_lock=1e-6)
    ends = {"drag_link.frame": (-140.0, 420.0, 550.0), "drag_link.axle": (-140.0, -560.0, 560.0)}
    found, _ = rows(mirrored(T1) | STEERED | ends, axle="front", facts=facts)
    row = found["drag_link", "tie_rod"]
    assert row.least == pytest.approx(70.0 - 17.5 - 19.0, abs=5.0)
    assert row.travel + 0.5 * row.lift == pytest.approx(80.0, abs=1e-3) and row.spots[0][1] > 350.0


def other_turn(tie, base, lead):
    """The left wheel's turn for a right one turned by `lead` deg, by hand in plan: arms (x, y) = `tie` from upright
    kingpins `base` apart. nan where the tie rod is too short."""
    arm, rod = math.hypot(*tie), base - 2.0 * tie[1]
    turn = math.radians(lead)
    end = (tie[0] * math.cos(turn) - tie[1] * math.sin(turn), tie[0] * math.sin(turn) + tie[1] * math.cos(turn) - base)
    far = math.hypot(*end)
    share = (arm**2 + far**2 - rod**2) / (2.0 * arm * far)
    at = math.atan2(end[0], -end[1]) + math.acos(share) if abs(share) <= 1.0 else math.nan
    return -math.degrees(math.atan2(tie[0], tie[1]) - at)


def test_no_wheel_is_looked_at_further_than_its_stop_lets_it_turn():
    # Steering arms ahead with the rod's ends inboard: turned right by 27 deg the rod stands in line with the left arm
    # and that wheel could be anywhere. No stop lets it get there.
    upright = {f"kingpin_{side}.{end}": (0.0, y, z) for side, y in (("left", 690.0), ("right", -690.0))
               for end, z in (("top", 520.0), ("bottom", 310.0))}
    rod = {"tie_rod.left": (150.0, 605.0, 400.0), "tie_rod.right": (150.0, -605.0, 400.0)}
    places = mirrored(T1) | STEERED | upright | rod
    assert abs(other_turn((150.0, 85.0), 1380.0, -25.0)) > 36.0
    assert math.isnan(other_turn((150.0, 85.0), 1380.0, -30.0))
    found, table = rows(places, axle="front", facts=Facts(tyre_diameter=840.0, tyre_width=300.0, steer_lock=30.0))
    assert "lets the wheels steer 30° left and 23° right" in table.remark, "35 = 30 and the usual 5 at 23.4, by hand"
    assert abs(other_turn((150.0, 85.0), 1380.0, -23.0)) < 35.0 < abs(other_turn((150.0, 85.0), 1380.0, -24.0))
    tyred = [row for row in found.values() if "tyre_left" in (row.one, row.other)]
    assert len(tyred) >= 3
    for row in tyred:
        assert row.sd < 15.0, (row.words, row.steer, row.sd)
        assert abs(other_turn((150.0, 85.0), 1380.0, row.steer)) < 37.0, (row.words, row.steer)


def test_a_drag_link_that_hangs_on_the_tie_rod_is_no_pair_with_it():
    places = mirrored(T1) | STEERED | {"drag_link.axle": (-140.0, -560.0, 420.0)}
    assert ("drag_link", "tie_rod") not in rows(places, axle="front")[0]


def test_a_rear_axle_does_not_steer():
    _, table = rows(T1)
    assert {row.steer for row in table.rows} == {0.0} and table.remark is None
    assert {row.one for row in table.rows} >= {"lower_left", "upper_right"}


def test_links_that_share_a_joint_and_arms_that_are_rigid_with_the_axle_are_no_pair():
    joined = T1 | {"upper_right.frame": T1["upper_left.frame"]}
    found, _ = rows(joined)
    assert ("upper_left", "upper_right") not in found and ("lower_left", "lower_right") in found
    wheels = {name: place for name, place in T1.items() if name.startswith(("wheel", "other"))}
    found, _ = rows(ARMS | BAR | wheels, "radius_arms_panhard", facts=Facts())
    assert ("arm_left", "arm_right") not in found and ("arm_left", "tyre_left") not in found
    assert ("arm_left", "panhard") in found


def test_crossing_links_overlap_by_their_thickness():
    # By hand: the upper links' lines meet in one spot on the centreline; both 50 thick.
    places = T1 | {
        "upper_left.axle": (60.0, 200.0, 600.0), "upper_left.frame": (800.0, -200.0, 640.0),
        "upper_right.axle": (60.0, -200.0, 600.0), "upper_right.frame": (800.0, 200.0, 640.0),
    }  # fmt: skip
    found, _ = rows(places, more=STILL)
    row = found["upper_left", "upper_right"]
    assert row.least == pytest.approx(-50.0, abs=1e-3)
    assert math.isfinite(row.sd)


def test_the_spread_is_that_of_many_drawn_vehicles():
    places = T1 | {"keep_clear.pipe": (400.0, 330.0, 700.0)}
    spreads = {f"{axis}:{name}": 2.0 for name in places for axis in ("height", "fore_aft", "lateral")
               if not name.startswith(("wheel", "other"))}  # fmt: skip
    found, _ = rows(places, spreads=spreads)
    rng = np.random.default_rng(11)
    keys = [("upper_left", "keep_clear.pipe"), ("lower_left", "tyre_left")]
    drawn = {key: [] for key in keys}
    for _ in range(120):
        moved = {name: tuple(np.array(place) + [rng.normal(0.0, spreads.get(f"{axis}:{name}", 0.0))
                                                for axis in ("fore_aft", "lateral", "height")])
                 for name, place in places.items()}  # fmt: skip
        other, _ = rows(moved)
        for key in keys:
            drawn[key].append(other[key].least)
    for key in keys:
        assert np.std(drawn[key]) == pytest.approx(found[key].sd, rel=0.2)
        assert np.mean(drawn[key]) == pytest.approx(found[key].least, abs=3.0 * found[key].sd / math.sqrt(120) + 0.2)


def test_a_loose_axle_is_refused_with_a_sentence():
    places = T1 | {"upper_left.frame": T1["upper_left.axle"]}
    with pytest.raises(NotYet, match="in one place"):
        rows(places)


def test_travel_beyond_the_links_reach_is_said():
    places = T1 | {"upper_left.frame": (180.0, 260.0, 640.0), "upper_right.frame": (180.0, -260.0, 640.0)}
    _, table = rows(places, more=(("travel:bump", 400.0, 1e-3), ("travel:droop", 400.0, 1e-3)))
    assert table.remark is not None and "bind before the stops" in table.remark
    assert all(math.isfinite(row.least) and math.isfinite(row.sd) for row in table.rows)


def test_a_gap_that_stands_on_an_unread_point_says_so():
    more = (("height:keep_clear.pipe", 700.0, 1.0), *TRAVELS)
    found, _ = rows(T1, more=more)
    row = found["upper_left", "keep_clear.pipe"]
    assert row.leans and set(row.needs) <= {"fore_aft:keep_clear.pipe", "lateral:keep_clear.pipe"} and row.needs
    assert not found["upper_left", "tyre_left"].leans and found["upper_left", "tyre_left"].needs == ()
