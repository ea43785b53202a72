"""Rod ends over travel and articulation, against what they are rated for."""

import math

import numpy as np
import pytest

from geometry.figures import Facts
from geometry.figures.base import NotYet
from geometry.figures.joints import joint_swings
from geometry.figures.parts import JointFact
from tests.outside.shapes import T1, columns_at, fitted

TRAVELS = (("travel:bump", 100.0, 1e-3), ("travel:droop", 120.0, 1e-3))
SPREADS = {f"{axis}:{name}": 2.0 for name in T1 for axis in ("height", "fore_aft", "lateral")
           if not name.startswith(("wheel", "other"))}  # fmt: skip


def swings(facts=None, places=T1, layout="four_link", spreads=None):
    base = fitted(places, layout, more=TRAVELS, spreads=spreads)
    return {(one.link, one.end): one for one in joint_swings(base, facts or Facts())}, base


def test_without_a_bolt_it_is_the_greatest_turn_from_ride_height():
    found, _ = swings()
    heave = columns_at(T1, "four_link", (-120.0, 100.0))
    assert len(found) == 8
    for (link, end), one in found.items():
        assert not one.about_bolt and one.reserve is None
        assert one.most >= max(heave[f"joint.{link}.{end}"]) - 1e-6


def test_a_joint_turns_freely_about_its_bolt_and_leans_only_sideways():
    # By hand: with its bolt across the vehicle the lower link's lean is how far it points sideways in plan.
    across = {"frame": JointFact(rated=25.0, bolt=(0.0, 2.0, 0.0))}
    found, _ = swings(Facts(joints={"lower_left": across}))
    one = found["lower_left", "frame"]
    at_ride = math.degrees(math.asin(50.0 / math.dist(T1["lower_left.frame"], T1["lower_left.axle"])))
    assert one.about_bolt and at_ride < one.most < 8.0
    assert one.reserve == pytest.approx(25.0 - one.most)
    assert abs(one.lift) > 200.0
    assert "stays within" in one.sentence


def test_the_least_reserve_comes_first_and_a_joint_beyond_its_rating_is_said_to_bind():
    facts = {
        "upper_left": {"axle": JointFact(rated=2.0)},
        "lower_left": {"axle": JointFact(rated=30.0)},
    }
    base = fitted(T1, "four_link", more=TRAVELS)
    found = joint_swings(base, Facts(joints=facts))
    assert [(one.link, one.end) for one in found[:2]] == [("upper_left", "axle"), ("lower_left", "axle")]
    assert found[0].reserve < 0 and "binds" in found[0].sentence
    assert [one.most for one in found[2:]] == sorted((one.most for one in found[2:]), reverse=True)


def test_the_spread_is_that_of_many_drawn_vehicles():
    facts = Facts(joints={"upper_left": {"axle": JointFact(25.0, (0.3, 1.0, 0.1))}})
    found, base = swings(facts, spreads=SPREADS)
    rng = np.random.default_rng(5)
    places = {name: np.array(place) for name, place in T1.items()}
    axes = ("fore_aft", "lateral", "height")
    drawn = {"with": [], "without": []}
    for _ in range(150):
        off = {name: place + [rng.normal(0.0, SPREADS.get(f"{axis}:{name}", 0.0)) for axis in axes]
               for name, place in places.items()}  # fmt: skip
        other, _ = swings(facts, {name: tuple(place) for name, place in off.items()})
        drawn["with"].append(other["upper_left", "axle"].most)
        drawn["without"].append(other["lower_left", "frame"].most)
    assert np.std(drawn["with"]) == pytest.approx(found["upper_left", "axle"].sd, rel=0.2)
    assert np.std(drawn["without"]) == pytest.approx(found["lower_left", "frame"].sd, rel=0.2)
    assert base.converged


def test_a_radius_arm_has_a_joint_at_the_frame_only():
    arms = {f"arm_{side}{end}": (x, y, z) for side, y in (("left", 400.0), ("right", -400.0))
            for end, x, z in ((".frame", 950.0, 520.0), (".axle_front", 90.0, 400.0), (".axle_rear", -90.0, 400.0))}
    bar = {"panhard.axle": (-150.0, 430.0, 560.0), "panhard.frame": (-150.0, -420.0, 560.0)}
    wheels = {name: place for name, place in T1.items() if name.startswith(("wheel", "other"))}
    found, _ = swings(places=arms | bar | wheels, layout="radius_arms_panhard")
    assert set(found) == {("arm_left", "frame"), ("arm_right", "frame"), ("panhard", "frame"), ("panhard", "axle")}


@pytest.mark.parametrize("layout", ["four_link", "four_link_panhard"])
def test_a_link_whose_ends_are_in_one_place_is_named(layout):
    bar = {"panhard.axle": (-150.0, 430.0, 560.0), "panhard.frame": (-150.0, -420.0, 560.0)}
    places = T1 | (bar if layout.endswith("panhard") else {}) | {"upper_left.frame": T1["upper_left.axle"]}
    with pytest.raises(NotYet, match="left upper link's two ends are in one place"):
        joint_swings(fitted(places, layout, more=TRAVELS), Facts())
