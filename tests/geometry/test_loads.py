"""Static balance of the axle, written out again by hand or with plain forces and moments."""

import numpy as np
import pytest

from geometry.figures.base import Facts, NotYet
from geometry.figures.loads import CASES, Assumed, Push, balance, link_loads, slips_first, taken
from geometry.figures.parts import LoadFact
from geometry.figures.ride import Ride
from geometry.fit import Observation, Setup, fit

TRIANGULATED = {
    "lower_left.axle": (0.0, 500.0, 330.0), "lower_left.frame": (950.0, 450.0, 480.0),
    "lower_right.axle": (0.0, -500.0, 330.0), "lower_right.frame": (950.0, -450.0, 480.0),
    "upper_left.axle": (60.0, 150.0, 600.0), "upper_left.frame": (800.0, 480.0, 640.0),
    "upper_right.axle": (60.0, -150.0, 600.0), "upper_right.frame": (800.0, -480.0, 640.0),
    "wheel_left.centre": (0.0, 780.0, 400.0), "wheel_right.centre": (0.0, -780.0, 400.0),
    "other_left.centre": (2700.0, 780.0, 400.0), "other_right.centre": (2700.0, -780.0, 400.0),
}  # fmt: skip


def fitted(weights=True):
    """The triangulated rear four-link of the published cases, read without scatter."""
    level = [("floor_slope:fore_aft", 0.0, 1e-3), ("floor_slope:across", 0.0, 1e-3)]
    found = [*level, ("cg_height:estimate", 700.0, 0.01)]
    for name, place in TRIANGULATED.items():
        kinds = zip(("fore_aft", "lateral", "height"), place, strict=True)
        found += [(f"{kind}:{name}", value, 0.01) for kind, value in kinds]
    if weights:
        corners = ("front_left", "front_right", "rear_left", "rear_right")
        found += [(f"weight:{corner}", 500.0, 0.1) for corner in corners]
    observed = [Observation(name, value, name, sd=sd) for name, value, sd in found]
    return fit(Setup("four_link", "rear", 2700.0, 840.0), observed)


def force_at(x, y, z, force):
    at = np.array([[x, y, z - 400.0]])
    return Push(np.array([force], float), at)


def test_links_and_springs_of_a_driven_axle_are_those_of_the_six_equations():
    # Source: two independent routes, six equilibrium equations and pin-ended bars on a stiff body in a frame program:
    # each tyre (2700, 0, 4900) N at (0, +-780, 0), springs upright at (0, +-450, .).
    ride = Ride(fitted(), Facts())
    ride = Ride(ride.fit, Facts(), ride.fit.estimate[None, :])
    pushes = [force_at(0, side * 780, 0, (2700, 0, 4900)) for side in (1, -1)]
    forces, springs = balance(ride, pushes, Assumed(spring_across=450 / 780))
    assert forces["lower_left"][0] == pytest.approx(-6123.208, abs=0.5)
    assert forces["lower_right"][0] == pytest.approx(-6123.208, abs=0.5)
    assert forces["upper_left"][0] == pytest.approx(3661.647, abs=0.5)
    assert springs[0] == pytest.approx([4126.844, 4126.844], abs=0.5)


def test_a_side_force_at_the_roll_centre_does_not_move_the_springs():
    # Source: the force test of the roll centre, same two routes: 1000 N at (0, 0, 617.10247).
    base = fitted()
    ride = Ride(base, Facts(), base.estimate[None, :])
    forces, springs = balance(ride, [force_at(0, 0, 617.10247, (0, 1000, 0))], Assumed(spring_across=450 / 780))
    assert springs[0] == pytest.approx([0.0, 0.0], abs=0.1)
    assert forces["lower_left"][0] == pytest.approx(272.245, abs=0.1)
    assert forces["upper_left"][0] == pytest.approx(-1194.396, abs=0.1)


@pytest.mark.parametrize("case", CASES, ids=lambda case: case.key)
def test_every_case_is_in_balance(case):
    base = fitted()
    ride = Ride(base, Facts(), base.estimate[None, :])
    assumed = Assumed()
    pushes = case.pushes(ride, assumed)
    forces, springs = balance(ride, pushes, assumed)
    force, moment = np.zeros(3), np.zeros(3)
    for push in pushes:
        force += push.force[0].real
        moment += np.cross(push.at[0], push.force[0]).real
    for name, value in forces.items():
        along = ride.link(name)[0]
        pull = value[0] * along / np.linalg.norm(along)
        force += pull
        moment += np.cross(ride.axle_end(name)[0] - ride.centre[0], pull)
    for side, spring in zip((1, -1), springs[0], strict=True):
        down = np.array([0.0, 0.0, -spring])
        force += down
        moment += np.cross([0.0, side * assumed.spring_across * 780.0, 0.0], down)
    assert np.abs(force).max() < 1e-3 and np.abs(moment).max() < 1.0


def test_locked_wheels_of_a_rear_axle_pull_its_lower_links():
    loads = {(load.link, load.case): load for load in link_loads(fitted(), Facts())}
    assert loads["lower_left", "braking"].force > 0
    assert loads["lower_left", "driving"].force < 0
    assert all(load.sd > 0 for load in loads.values() if abs(load.force) > 1)


def test_what_is_stated_counts_and_the_rest_is_assumed():
    assumed = taken(Facts(loads=LoadFact(grip=1.0, bump=4.0)))
    assert (assumed.grip, assumed.bump) == (1.0, 4.0)
    assert (assumed.side_grip, assumed.step) == (Assumed().side_grip, Assumed().step)
    usual = {(load.link, load.case): load.force for load in link_loads(fitted(), Facts())}
    twice = {(load.link, load.case): load.force for load in link_loads(fitted(), Facts(loads=LoadFact(side_grip=1.4)))}
    assert twice["upper_left", "cornering"] != pytest.approx(usual["upper_left", "cornering"], rel=0.1)
    assert twice["upper_left", "braking"] == pytest.approx(usual["upper_left", "braking"])


def lower_left_driven(base, **stated):
    found = link_loads(base, Facts(loads=LoadFact(**stated)))
    return next(load.force for load in found if (load.link, load.case) == ("lower_left", "driving"))


def test_the_torque_limits_the_drive_until_the_tyres_slip():
    # By hand: 1600 N m at a loaded radius of 400 mm push with 4000 N; each tyre 2000 N. The published case has 2700 N
    # a tyre and lower links at -6123.208, upper ones at 3661.647, all in proportion to the push as it runs along level.
    base = fitted()
    level = Ride(base, Facts(), base.estimate[None, :])
    forces, _ = balance(level, [force_at(0, side * 780, 0, (2000, 0, 4900)) for side in (1, -1)], Assumed())
    driven = lower_left_driven(base, drive_torque=1600.0)
    assert driven == pytest.approx(float(forces["lower_left"][0]), rel=1e-4)
    assert driven == pytest.approx(-6123.208 * 2000 / 2700, rel=1e-3)
    assert lower_left_driven(base, drive_torque=1e6) == pytest.approx(lower_left_driven(base))
    assert slips_first(level, Assumed()) and slips_first(level, Assumed(drive_torque=1e6))
    assert not slips_first(level, Assumed(drive_torque=1600.0))


@pytest.mark.parametrize("torque", [4600.0, 5200.0, 6000.0, 1e5])
def test_a_torque_the_tyres_cannot_hold_is_the_same_as_none_stated(torque):
    # By hand: all four tyres at 0.8 put 0.5 x 19613 + 0.8 x 19613 x 700 / 2700 = 13874 N on this axle, of which the
    # tyres hold 0.8, 11100 N: 4440 N m at 400 mm. With springs ahead of the axle the links feel the wheels' load too.
    base = fitted()
    usual = {(load.link, load.case): load.force for load in link_loads(base, Facts(loads=LoadFact(spring_ahead=150.0)))}
    for load in link_loads(base, Facts(loads=LoadFact(drive_torque=torque, spring_ahead=150.0))):
        assert load.force == pytest.approx(usual[load.link, load.case], rel=1e-9), load.case


def test_without_weights_the_loads_name_the_scales():
    with pytest.raises(NotYet) as wait:
        link_loads(fitted(weights=False), Facts())
    assert wait.value.needs == ("weight:front", "weight:rear")


def test_all_that_the_loads_cannot_do_without_is_named_at_once():
    bare = fit(Setup("four_link", "rear", 2700.0, 840.0), [Observation("height:lower_left.axle", 330.0, "a")])
    with pytest.raises(NotYet) as wait:
        link_loads(bare, Facts())
    assert wait.value.needs == ("weight:front", "weight:rear", "cg_height:estimate")


def test_a_load_that_stands_on_a_guess_says_so_and_names_what_was_not_read():
    read = [("weight:front", 900.0), ("weight:rear", 900.0), ("cg_height:estimate", 700.0),
            ("height:upper_left.axle", 600.0)]
    few = fit(Setup("four_link", "rear", 2700.0, 840.0), [Observation(name, value, name) for name, value in read])
    guessed = [load for load in link_loads(few, Facts()) if load.case == "braking"]
    assert all(load.leans and load.needs for load in guessed)
    assert not {name for load in guessed for name in load.needs} & {name for name, _ in read}
    assert not any(load.leans or load.needs for load in link_loads(fitted(), Facts()))


@pytest.mark.parametrize(("left", "right"), [("cornering", "cornering_right"), ("step", "step_right")])
def test_the_other_side_s_case_is_the_mirrored_one(left, right):
    # The made four-link is alike on both sides: by symmetry left and right change places.
    loads = {(load.link, load.case): load.force for load in link_loads(fitted(), Facts())}
    for pair in ("lower", "upper"):
        assert loads[f"{pair}_left", left] == pytest.approx(loads[f"{pair}_right", right], abs=0.5)
        assert loads[f"{pair}_right", left] == pytest.approx(loads[f"{pair}_left", right], abs=0.5)
    assert loads["upper_left", left] != pytest.approx(loads["upper_right", left], rel=0.1)
