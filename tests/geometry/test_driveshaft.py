"""The driveshaft's joints, evenness and plunge on made vehicles."""

import math

import numpy as np
import pytest

from geometry.figures import Facts, driveshaft
from geometry.figures.base import NotYet
from geometry.figures.ride import Ride
from geometry.hooke import pair_swing
from tests.outside.shapes import T1, columns_at, fitted

SHAFT = T1 | {"driveshaft.axle": (180.0, 30.0, 430.0), "driveshaft.frame": (1500.0, 30.0, 560.0)}
TRAVELS = (("travel:bump", 100.0, 1e-3), ("travel:droop", 120.0, 1e-3))
RADIAN = math.pi / 180.0


def ride(facts=None, pinion=4.0, output=-3.0, places=None, spreads=None, bare=False):
    """T1 with its driveshaft; pinion and gearbox output in deg, joint end up."""
    shafts = () if bare else (("incline:pinion", pinion, 1e-6), ("incline:gearbox_output", output, 1e-6))
    base = fitted(places or SHAFT, "four_link", more=(*TRAVELS, *shafts), spreads=spreads)
    return Ride(base, facts or Facts())


def value(answer):
    return float(np.asarray(answer)[0].real)


def sd(at, answer):
    gradient = np.asarray(answer).imag / 1e-30
    chosen = at.fit.covariance[np.ix_(at.unknowns, at.unknowns)]
    return float(np.sqrt(gradient @ chosen @ gradient))


def test_joint_angles_at_ride_height_are_those_of_the_closed_linkage():
    # scipy: 1.62463 deg at the pinion, 2.62463 at the gearbox.
    at = ride()
    assert value(driveshaft.angle(at, "axle")) == pytest.approx(1.62463, abs=1e-5)
    assert value(driveshaft.angle(at, "frame")) == pytest.approx(2.62463, abs=1e-5)


def test_shafts_in_one_plane_swing_as_the_difference_of_their_angles():
    # Closed form for joints in one plane: cos a / cos b less its inverse, a and b as above; both bend the same way.
    found = value(driveshaft.unevenness(ride(Facts(driveshaft_joints="single"))))
    ratio = math.cos(1.62463 * RADIAN) / math.cos(2.62463 * RADIAN)
    assert found == pytest.approx(100.0 * (ratio - 1.0 / ratio), abs=1e-4)


def test_parallel_shafts_even_each_other_out_and_a_yoke_out_of_phase_does_not():
    parallel = ride(Facts(driveshaft_joints="single"), pinion=3.0, output=-3.0)
    assert value(driveshaft.off_parallel(parallel)) == pytest.approx(0.0, abs=1e-4)
    assert value(driveshaft.unevenness(parallel)) == pytest.approx(0.0, abs=1e-4)
    turned = ride(Facts(driveshaft_joints="single", driveshaft_phase=90.0), pinion=3.0, output=-3.0)
    angle = value(driveshaft.angle(turned, "axle")) * RADIAN
    # Square yokes add up: a first joint's swing and the same again.
    assert value(driveshaft.unevenness(turned)) == pytest.approx(200.0 * math.tan(angle) * math.sin(angle), rel=1e-3)


def test_a_shaft_that_runs_askew_bends_in_two_planes():
    askew = SHAFT | {"driveshaft.frame": (1500.0, 180.0, 560.0)}
    at = ride(Facts(driveshaft_joints="single"), pinion=7.0, output=-3.0, places=askew)
    shaft = np.array([1320.0, 150.0, 130.0]) / math.sqrt(1320.0**2 + 150.0**2 + 130.0**2)
    square = np.cross(shaft, [0.0, 0.0, 1.0])
    square /= np.linalg.norm(square)
    basis = np.stack([square, np.cross(shaft, square)])
    flanges = [np.array([math.cos(turn * RADIAN), 0.0, math.sin(turn * RADIAN)]) for turn in (3.0, 7.0)]
    expected = 100.0 * float(pair_swing(basis @ flanges[0], basis @ flanges[1]))
    assert value(driveshaft.unevenness(at)) == pytest.approx(expected, rel=1e-4)
    assert expected > 0.5


def _followed(axes, phase):
    """Swing of the pinion's speed, %, of two crosses followed in space. axes: along gearbox output, shaft and pinion,
    each towards the pinion; phase: the yoke at the pinion's end, radian, right-handed about the shaft the other way."""
    gearbox, shaft, pinion = (axis / np.linalg.norm(axis) for axis in axes)
    turn = np.linspace(0.0, 2.0 * np.pi, 7201)

    def square(axis):
        first = np.cross(axis, [0.0, 0.0, 1.0])
        first /= np.linalg.norm(first)
        return first, np.cross(axis, first)

    def around(axis, angle):
        first, second = square(axis)
        return np.cos(angle)[:, None] * first + np.sin(angle)[:, None] * second

    def angle_of(arm, axis):
        first, second = square(axis)
        return np.unwrap(np.arctan2(arm @ second, arm @ first))

    near = angle_of(np.cross(shaft, around(gearbox, turn)), shaft)
    out = angle_of(np.cross(pinion, around(shaft, near - phase)), pinion)
    speed = np.gradient(out, turn)[2:-2]
    return 100.0 * float(speed.max() - speed.min())


@pytest.mark.parametrize("phase", [0.0, 20.0, -20.0, 65.0])
def test_a_yoke_turned_clockwise_seen_from_the_pinion_counts_plus(phase):
    """A shaft askew, so that one way round makes it better and the other worse."""
    askew = SHAFT | {"driveshaft.frame": (1500.0, 300.0, 560.0)}
    at = ride(Facts(driveshaft_joints="single", driveshaft_phase=phase), pinion=9.0, output=-1.0, places=askew)
    gearbox = np.array([-math.cos(RADIAN), 0.0, -math.sin(RADIAN)])
    shaft = np.array(askew["driveshaft.axle"]) - np.array(askew["driveshaft.frame"])
    pinion = np.array([-math.cos(9.0 * RADIAN), 0.0, -math.sin(9.0 * RADIAN)])
    expected = _followed((gearbox, shaft, pinion), phase * RADIAN)
    other_way = _followed((gearbox, shaft, pinion), -phase * RADIAN)
    assert value(driveshaft.unevenness(at)) == pytest.approx(expected, rel=1e-3)
    assert phase == 0.0 or abs(other_way / expected - 1.0) > 0.05


def test_a_double_joint_leaves_the_pinion_s_own_swing():
    found = value(driveshaft.unevenness(ride(Facts(driveshaft_joints="double"))))
    angle = 1.62463 * RADIAN
    assert found == pytest.approx(100.0 * math.tan(angle) * math.sin(angle), abs=1e-5)


def test_the_pinion_against_the_line_to_the_gearbox_joint():
    # By hand: the shaft climbs atan(130/1320) = 5.62462 deg to the front, the pinion 4.
    assert value(driveshaft.off_line(ride())) == pytest.approx(4.0 - math.degrees(math.atan2(130, 1320)), abs=1e-4)


def test_plunge_is_the_longest_less_the_shortest_on_the_way():
    found = columns_at(SHAFT, "four_link", tuple(range(-120, 101, 10)), more=(("incline:pinion", 4.0, 1e-6),))
    heave = found["driveshaft_length_change"]
    at = ride(Facts(slip_travel=60.0))
    need = value(driveshaft.plunge(at))
    assert need >= max(heave) - min(heave) - 1e-6
    assert need == pytest.approx(max(heave) - min(heave), rel=0.3)
    assert value(driveshaft.slip_left(at)) == pytest.approx(60.0 - need, abs=1e-9)


def test_the_greatest_angle_is_at_least_that_of_every_step():
    found = columns_at(SHAFT, "four_link", tuple(range(-120, 101, 10)),
                       more=(("incline:pinion", 4.0, 1e-6), ("incline:gearbox_output", -3.0, 1e-6)))  # fmt: skip
    for end in ("frame", "axle"):
        assert value(driveshaft.most_angle(ride(), end)) >= max(found[f"driveshaft_angle.{end}"]) - 1e-5


def test_the_spread_of_a_greatest_value_is_that_of_many_drawn_vehicles():
    spreads = {f"{axis}:{name}": 2.0 for name in SHAFT for axis in ("height", "fore_aft", "lateral")
               if not name.startswith(("wheel", "other"))}  # fmt: skip
    at = ride(Facts(driveshaft_joints="double"), spreads=spreads)
    root = np.linalg.cholesky(at.fit.covariance + 1e-15 * np.eye(at.fit.unknowns))
    drawn = at.fit.estimate + np.random.default_rng(3).standard_normal((400, at.fit.unknowns)) @ root.T
    many = Ride(at.fit, at.facts, drawn)
    for of in (driveshaft.plunge, lambda one: driveshaft.most_angle(one, "frame"), driveshaft.unevenness):
        assert np.asarray(of(many)).std() == pytest.approx(sd(at, of(at)), rel=0.12)


def test_what_is_missing_is_named():
    bare = ride(bare=True, places=T1)
    needs = {}
    for name in ("unevenness", "plunge", "slip_left", "off_parallel", "off_line"):
        with pytest.raises(NotYet) as wait:
            getattr(driveshaft, name)(bare)
        needs[name] = wait.value.needs
    assert "driveshaft_joints" in needs["unevenness"] and "incline:pinion" in needs["unevenness"]
    assert needs["off_parallel"] == ("incline:pinion", "incline:gearbox_output")
    assert "slip_travel" in needs["slip_left"] and "height:driveshaft.frame" in needs["slip_left"]
    assert "height:driveshaft.axle" in needs["plunge"] or "height:driveshaft.frame" in needs["plunge"]


def test_joints_in_one_place_and_folded_joints_get_a_sentence():
    together = SHAFT | {"driveshaft.axle": SHAFT["driveshaft.frame"]}
    for of in (driveshaft.plunge, driveshaft.off_line, lambda at: driveshaft.angle(at, "axle")):
        with pytest.raises(NotYet, match="in one place"):
            of(ride(places=together))
    with pytest.raises(NotYet, match="folded square"):
        driveshaft.unevenness(ride(Facts(driveshaft_joints="double"), pinion=-89.0))
