"""Each named rule is quiet on a sound vehicle and speaks when it does not hold."""

import pytest

from geometry.correction import likeliest
from geometry.doubt import judge
from geometry.figures import Facts
from geometry.figures.parts import ThreadFact, TubeFact
from geometry.fit import Fit, Observation, Setup, fit
from geometry.rules import RULES, broken
from tests.geometry.vehicles import clean

SETUP = Setup("three_link_panhard", "front", 2700.0, 840.0)
WHEELS = ("wheel_left.centre", "wheel_right.centre")


def of(readings: dict[str, float]) -> Fit:
    return fit(SETUP, [Observation(name, value, name) for name, value in readings.items()])


def at(point: str, x: float, y: float, z: float) -> dict[str, float]:
    return {f"fore_aft:{point}": x, f"lateral:{point}": y, f"height:{point}": z}


HUBS = at(WHEELS[0], 0.0, 780.0, 400.0) | at(WHEELS[1], 0.0, -780.0, 400.0)
REAR = {f"fore_aft:other_{side}.centre": -2700.0 for side in ("left", "right")}
SHORT_LINKS = HUBS
for _name, _place in {
    "lower_left.axle": (-40.0, 470.0, 340.0), "lower_left.frame": (-340.0, 430.0, 340.0),
    "lower_right.axle": (-40.0, -470.0, 340.0), "lower_right.frame": (-340.0, -430.0, 340.0),
    "upper.axle": (-10.0, -210.0, 560.0), "upper.frame": (-310.0, -210.0, 560.0),
    "panhard.axle": (130.0, -430.0, 550.0), "panhard.frame": (130.0, 430.0, 590.0),
}.items():
    SHORT_LINKS = SHORT_LINKS | at(_name, *_place)
LINK = "lower_left.axle~lower_left.frame"
BROKEN = {
    "wheelbase_against_axles": HUBS | REAR | {"wheelbase:left": 2725.4, "wheelbase:right": 2700.0},
    "wheelbases_unlike": {"wheelbase:left": 2740.0, "wheelbase:right": 2700.0},
    "cg_below_axle": HUBS | {"cg_height:estimate": 330.0},
    "cg_above_roof": HUBS | {"cg_height:estimate": 1700.0},
    "cg_outside": {"weight:front": 1800.0, "weight:rear": 200.0},
    "weights_add_up": {"weight:front": 1000.0, "weight:rear": 900.0, "weight:total": 2100.0},
    "upper_below_lower": HUBS | at("upper.axle", -10.0, -210.0, 300.0) | at("lower_left.axle", -40.0, 470.0, 340.0)
    | at("lower_right.axle", -40.0, -470.0, 340.0),
    "joint_in_floor": at("lower_left.axle", -40.0, 470.0, 340.0)
    | {"rise:lower_left.axle~lower_left.frame": -400.0, "fore_aft:lower_left.frame": -900.0,
       "lateral:lower_left.frame": 430.0},
    "joint_in_tyre": HUBS | at("lower_left.axle", -40.0, 760.0, 340.0),
    "link_too_short": at("lower_left.axle", -40.0, 470.0, 340.0) | at("lower_left.frame", -940.0, 430.0, 440.0)
    | {f"span:{LINK}": 850.0},
    "driveshaft_too_short": at("driveshaft.axle", -200.0, 0.0, 420.0) | at("driveshaft.frame", -1200.0, 0.0, 560.0)
    | {"span:driveshaft.axle~driveshaft.frame": 900.0},
    "tyre_squash": HUBS | {"diameter:tyre": 760.0},
    # Links of 300: by hand the lower ones, level, are upright and bind before 300 of travel.
    "travel_beyond_links": SHORT_LINKS | {"travel:bump": 420.0},
}
FINE_INCH = 25.4 / 16
"""Pitch of 3/4-16, mm."""


def stated(tube: TubeFact, thread: ThreadFact | None = None) -> Facts:
    """Facts of the left lower link: its tube and the thread at its frame end."""
    return Facts(tubes={"lower_left": tube}, threads={"lower_left": {"frame": thread}} if thread else {})


# Tubes by outside and wall; threads by their names: 3/4-16 is 19.05 across, 1-14 25.4, 1 1/4-12 31.75 (ASME B1.1).
BROKEN_FACTS = {
    "tube_wall": stated(TubeFact(50.8, 30.0)),
    "tube_too_narrow": stated(TubeFact(19.05, 3.0), ThreadFact(FINE_INCH, 19.05)),
    # By hand: 38.1 less two walls of 6.35 is 25.4 inside, as wide as the thread: nothing to cut it in, nothing between.
    "tube_neither_nor": stated(TubeFact(38.1, 6.35), ThreadFact(25.4 / 14, 25.4)),
    "insert_too_wide": stated(TubeFact(50.8, 6.35), ThreadFact(25.4 / 12, 31.75, insert=44.45)),
    "insert_too_narrow": stated(TubeFact(50.8, 6.35), ThreadFact(25.4 / 12, 31.75, insert=25.4)),
}
SOUND_FACTS = {
    "tube_wall": stated(TubeFact(50.8, 25.4)),
    # 3/4-16 cut in a tube of 1 in by 0.188: 3.2 of steel round it.
    "tube_too_narrow": stated(TubeFact(25.4, 4.775), ThreadFact(FINE_INCH, 19.05)),
    # The same 1-14 in a tube of 2 in by 1/4, with 6.35 for an insert all round; its size need not be stated.
    "tube_neither_nor": stated(TubeFact(50.8, 6.35), ThreadFact(25.4 / 14, 25.4)),
    "insert_too_wide": stated(TubeFact(50.8, 6.35), ThreadFact(25.4 / 12, 31.75, insert=38.1)),
    "insert_too_narrow": stated(TubeFact(38.1, 6.35), ThreadFact(25.4 / 14, 25.4, insert=25.4)),
}
SOUND = {
    "wheelbase_against_axles": HUBS | REAR | {"wheelbase:left": 2703.0, "wheelbase:right": 2697.0},
    "wheelbases_unlike": {"wheelbase:left": 2710.0, "wheelbase:right": 2700.0},
    "cg_below_axle": HUBS | {"cg_height:estimate": 430.0},
    "cg_above_roof": HUBS | {"cg_height:estimate": 1200.0},
    "cg_outside": {"weight:front": 1300.0, "weight:rear": 700.0},
    "weights_add_up": {"weight:front": 1000.0, "weight:rear": 900.0, "weight:total": 1915.0},
    "upper_below_lower": HUBS | at("upper.axle", -10.0, -210.0, 545.0) | at("lower_left.axle", -40.0, 470.0, 340.0)
    | at("lower_right.axle", -40.0, -470.0, 340.0),
    "joint_in_floor": at("lower_left.axle", -40.0, 470.0, 5.0),
    "joint_in_tyre": HUBS | at("lower_left.axle", -40.0, 520.0, 340.0),
    "link_too_short": at("lower_left.axle", -40.0, 470.0, 340.0) | at("lower_left.frame", -940.0, 430.0, 440.0)
    | {f"span:{LINK}": 906.0},
    "driveshaft_too_short": at("driveshaft.axle", -200.0, 0.0, 420.0) | at("driveshaft.frame", -1200.0, 0.0, 560.0)
    | {"span:driveshaft.axle~driveshaft.frame": 1010.0},
    "tyre_squash": HUBS | {"diameter:tyre": 845.0},
    "travel_beyond_links": SHORT_LINKS | {"travel:bump": 120.0},
}


@pytest.mark.parametrize("rule", [rule.name for rule in RULES])
def test_each_rule_speaks_when_it_does_not_hold(rule: str) -> None:
    found = {one.rule: one for one in broken(*case_of(rule))}
    assert rule in found
    assert set(found[rule].readings) <= set(BROKEN.get(rule, {}))
    assert found[rule].readings or found[rule].stated
    assert found[rule].beyond > 0.0 and found[rule].facts


def case_of(rule: str) -> tuple[Fit, Facts | None]:
    """Readings and facts by which a rule does not hold."""
    return of(BROKEN.get(rule, {})), BROKEN_FACTS.get(rule)


@pytest.mark.parametrize("rule", [rule.name for rule in RULES])
def test_each_rule_is_quiet_on_a_sound_vehicle(rule: str) -> None:
    assert broken(of(SOUND.get(rule, {})), SOUND_FACTS.get(rule)) == ()


USUAL = (
    # outside, wall, thread outside, pitch: as links are commonly made, in inches; common practice, no source
    (2.0, 0.25, 1.25, 1 / 12), (1.75, 0.25, 1.0, 1 / 14), (1.5, 0.25, 0.75, 1 / 16), (1.5, 0.12, 0.875, 1 / 14),
    (1.25, 0.25, 0.875, 1 / 14), (1.25, 0.12, 0.75, 1 / 16), (1.0, 0.188, 0.75, 1 / 16), (1.0, 0.095, 0.625, 1 / 18),
    (0.875, 0.156, 0.625, 1 / 18), (0.75, 0.375, 0.625, 1 / 18), (1.0, 0.5, 1.0, 1 / 14),
)  # fmt: skip


@pytest.mark.parametrize("sizes", USUAL)
def test_tubes_and_threads_as_links_are_commonly_made_go_together(sizes: tuple[float, ...]) -> None:
    outside, wall, thread, pitch = (25.4 * size for size in sizes)
    assert broken(of({}), stated(TubeFact(outside, wall), ThreadFact(pitch, thread))) == ()


@pytest.mark.parametrize("size", [0.0, -5.0, float("nan"), float("inf")])
def test_sizes_that_cannot_be_say_nothing_and_break_nothing(size: float) -> None:
    for tube in (TubeFact(size, 3.0), TubeFact(50.8, size), TubeFact(size, size)):
        for thread in (ThreadFact(size, 19.05), ThreadFact(FINE_INCH, size), ThreadFact(size, size, insert=size)):
            assert broken(of({}), stated(tube, thread)) == ()


def test_a_tube_that_does_not_fit_is_a_doubt_without_readings_and_moves_nothing() -> None:
    fitted = of(HUBS)
    (found,) = judge(fitted, BROKEN_FACTS["tube_neither_nor"])
    assert (found.reason, found.readings, found.likely, found.retake) == ("rule:tube_neither_nor", (), None, None)
    assert found.stated == ("tubes.lower_left", "threads.lower_left.frame")
    assert found.rules[0].about == "left lower link, frame end"
    assert found.rules[0].facts == pytest.approx({"thread": 25.4, "inside": 25.4})
    assert likeliest(fitted, (found,)) is fitted


def test_a_tube_that_does_not_fit_is_said_before_anything_is_measured() -> None:
    assert [one.reason for one in judge(of({}), BROKEN_FACTS["tube_too_narrow"])] == ["rule:tube_too_narrow"]


@pytest.mark.parametrize("seed", range(5))
def test_no_rule_speaks_on_a_clean_set_of_readings(seed: int) -> None:
    assert broken(fit(SETUP, clean(seed))) == ()


def test_no_rule_speaks_before_anything_is_read() -> None:
    assert broken(fit(SETUP, [])) == ()


def test_a_centre_of_gravity_below_the_axle_becomes_a_doubt_of_its_own() -> None:
    (found,) = judge(of(BROKEN["cg_below_axle"]))
    assert found.reason == "rule:cg_below_axle"
    assert found.readings[0] == "cg_height:estimate" and found.retake == "cg_height:estimate"
    # By hand: 400 of the wheels against 330 of the estimate.
    assert found.rules[0].facts["difference"] == pytest.approx(-70.0, abs=2.0)


def test_a_rule_about_readings_already_in_doubt_stands_beside_that_doubt() -> None:
    found = judge(of(BROKEN["wheelbase_against_axles"]))
    assert len(found) == 1
    assert "wheelbase:left" in found[0].readings
    assert [rule.rule for rule in found[0].rules] == ["wheelbase_against_axles"]
    assert found[0].rules[0].facts["difference"] == pytest.approx(25.4)
