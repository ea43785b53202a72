"""What passes unseen is listed, and the next check is the one that truly gains most."""

import numpy as np
import pytest

from geometry.doubt import judge
from geometry.fit import Observation, Setup, fit
from geometry.next_check import in_the_way, next_checks, telling, unchecked, watched, watched_readings
from tests.geometry.vehicles import SETUP, clean, fitted, with_slip

LINK = "lower_left.axle~lower_left.frame"
HEIGHTS = [
    Observation("height:lower_left.axle", 340.0, "height:lower_left.axle"),
    Observation("height:lower_left.frame", 440.0, "height:lower_left.frame"),
    Observation(f"span:{LINK}", 905.5, f"span:{LINK}"),
]
LEVEL_FLOOR = Observation("floor_slope:fore_aft", 0.0, "floor_slope:fore_aft")


def test_readings_with_nothing_beside_them_are_unchecked() -> None:
    blind = unchecked(fit(SETUP, HEIGHTS))
    assert {one.key for one in blind} == {one.key for one in HEIGHTS}
    # Twins and typical places do not count as a check.
    assert all(one.notice < 0.05 for one in blind)


def test_the_incline_is_the_next_check_after_a_links_heights_and_length() -> None:
    # Source: a workshop rule: length is blind to heights, the gauge along the link is the cheap guard.
    names = ["fore_aft:lower_left.axle", f"incline:{LINK}", "height:upper.axle"]
    best = next_checks(fit(SETUP, [*HEIGHTS, LEVEL_FLOOR]), names)[0]
    assert best.name == f"incline:{LINK}"
    assert {"height:lower_left.axle", "height:lower_left.frame"} <= set(best.watches)
    assert not best.again


def test_a_dearer_check_falls_behind_a_cheaper_one() -> None:
    fitted_ = fit(SETUP, HEIGHTS)
    names = [f"incline:{LINK}", f"rise:{LINK}"]
    assert next_checks(fitted_, names, dict.fromkeys(names, 1.0))[0].name == f"rise:{LINK}"
    assert next_checks(fitted_, names, {names[0]: 0.5, names[1]: 20.0})[0].name == names[0]


@pytest.mark.parametrize("name", [f"incline:{LINK}", "height:lower_left.middle", "height:lower_left.frame"])
def test_what_a_check_is_said_to_open_is_what_a_fit_with_it_opens(name: str) -> None:
    before = fit(SETUP, HEIGHTS)
    (check,) = next_checks(before, [name])
    value = float(before.predict([name])[0][0])
    after = watched(fit(SETUP, [*HEIGHTS, Observation(name, value, f"{name}#next")]))
    opened = {one.key for one in after if not one.unchecked} & {one.key for one in unchecked(before)}
    assert set(check.watches) == opened
    gain = sum(one.notice for one in after[:3]) - sum(one.notice for one in watched(before))
    assert check.gain == pytest.approx(gain, abs=0.02)


def test_only_what_stands_in_the_way_counts_where_it_is_said() -> None:
    # A weight is cheap to read twice and gains as much; it is no way on to the left lower link.
    seen = [*HEIGHTS, LEVEL_FLOOR, Observation("weight:front", 1000.0, "weight:front")]
    made, names = fit(SETUP, seen), ["weight:front", "weight:front_left", f"incline:{LINK}"]
    minutes = {"weight:front": 0.1, "weight:front_left": 0.1, f"incline:{LINK}": 20.0}
    assert next_checks(made, names, minutes)[0].name == "weight:front"
    wanted = ("height:lower_left.axle", "height:lower_left.frame")
    (check,) = next_checks(made, names, minutes, wanted)
    assert check.name == f"incline:{LINK}"
    assert set(check.watches) == set(wanted)


def test_a_guess_made_twice_is_no_check() -> None:
    seen = [*clean(3), Observation("cg_height:estimate", 700.0, "cg_height:estimate")]
    assert next_checks(fitted(seen), ["cg_height:estimate"], {"cg_height:estimate": 0.001}) == ()


def test_a_second_take_is_said_to_be_one() -> None:
    (check,) = next_checks(fit(SETUP, HEIGHTS), ["height:lower_left.frame"])
    assert check.again and check.watches == ("height:lower_left.frame",)


def test_a_reading_far_from_everything_gains_nothing() -> None:
    assert next_checks(fit(SETUP, HEIGHTS), ["weight:front", "diameter:tyre"]) == ()


def test_the_smallest_slip_noticed_is_noticed_four_times_in_five() -> None:
    # Counted: 400 seeded vehicles of the same readings with that slip planted, by the plain test value.
    seen = clean(2)
    made = fitted(seen)
    target = next(k for k, one in enumerate(seen) if one.name == "height:upper.frame")
    slip = made.smallest_findable[target]
    rng = np.random.default_rng(0)
    true = made.predicted
    hits = 0
    root = np.sqrt(made.redundancy[target])
    weights = made.design_matrix[: len(seen)]
    gain = -weights @ made.covariance @ weights[target]
    gain[target] += 1.0
    for _ in range(4000):
        scatter = rng.normal(size=len(seen))
        scatter[target] += slip / made.sd[target]
        # The whitened residual is linear in the whitened scatter; assumptions hold as they are.
        hits += abs(gain @ scatter) / root > 3.2905
    assert true.shape == (len(seen),)
    assert hits / 4000 == pytest.approx(0.80, abs=0.03)


def test_of_a_tie_the_reading_is_asked_that_tells() -> None:
    made = fit(SETUP, [*HEIGHTS, Observation(f"incline:{LINK}", 9.4, f"incline:{LINK}"),
                       LEVEL_FLOOR])
    (doubt,) = judge(made)
    assert doubt.reason == "tie"
    told = doubt.telling
    assert told is not None
    # Reading it as the first suspect's correction foretells leaves that suspect alone in doubt.
    without = fit(SETUP, [o for o in made.observations if o.key != doubt.readings[0]])
    value = float(without.predict([told])[0][0])
    again = judge(fit(SETUP, [*made.observations, Observation(told, value, f"{told}#next")]))
    assert again[0].readings[0] == doubt.readings[0]
    assert len(again[0].readings) < len(doubt.readings)


def test_the_retake_of_a_tie_is_of_the_reading_that_is_likeliest_off_and_not_of_a_far_fetched_one() -> None:
    # Half a walk of an invented truck; the upper link's frame height should be 24 15/16. A plumb mark would have to be
    # off by a foot to explain it: its retake tells clearest whether it is the one, and is the least likely to be.
    typed = {
        "floor_slope:fore_aft": (0.4, "0.4"), "height:wheel_left.centre": (428.625, "16 7/8"),
        "fore_aft:wheel_left.centre": (1049.3375, "41 5/16"), "height:wheel_right.centre": (427.0375, "16 13/16"),
        "fore_aft:wheel_right.centre": (1046.1625, "41 3/16"), "height:upper.axle": (595.3125, "23 7/16"),
        "height:upper.frame": (658.8125, "25 15/16"), "incline:upper.axle~upper.frame": (2.7, "2.7"),
        "fore_aft:upper.axle": (1062.0375, "41 13/16"), "fore_aft:upper.frame": (354.0125, "13 15/16"),
        "lateral:upper.axle": (-149.225, "-5 7/8"), "lateral:upper.frame": (-201.6125, "-7 15/16"),
    }
    seen = [Observation(name, value, name, text=text, unit="deg" if value in (0.4, 2.7) else "in")
            for name, (value, text) in typed.items()]
    (doubt,) = judge(fit(Setup("three_link_panhard", "front", 2641.6, 939.8), seen))
    assert doubt.reason == "tie" and doubt.readings[0] == "height:upper.frame"
    assert "fore_aft:upper.frame" in doubt.readings and doubt.suspects[0].share > 0.5
    assert doubt.retake == "height:upper.frame"
    # Halfway between the two ends a height shows which of them it is, or that it is neither, by one reading.
    assert doubt.telling == "height:upper.middle"


def test_nothing_tells_between_takes_that_nothing_else_touches() -> None:
    setup = Setup("three_link_panhard", "front")
    made = fit(setup, [Observation("weight:front", 1000.0, "a"), Observation("weight:front", 1100.0, "b")])
    assert telling(made, ["a"]) is None


def test_what_stands_in_the_way_of_a_link_is_named_and_goes_away() -> None:
    few = {one.link: one for one in in_the_way(fit(SETUP, HEIGHTS), ())}
    assert few["lower_left"].guessed and not few["lower_left"].ready
    assert set(few["lower_left"].unchecked) == {one.key for one in HEIGHTS}
    full = fitted(with_slip(clean(3), "height:upper.frame", 25.4))
    ways = {one.link: one for one in in_the_way(full, [key for doubt in judge(full) for key in doubt.readings])}
    assert ways["upper"].doubted == ("height:upper.frame",)
    assert not ways["upper"].ready
    assert not ways["lower_left"].doubted and not ways["lower_left"].guessed
    assert ways["lower_left"].length_sd < 2.0


def test_every_reading_is_listed_once_however_often_it_was_taken() -> None:
    fitted = fit(SETUP, [*HEIGHTS, *(Observation(HEIGHTS[0].name, 410.0, f"{HEIGHTS[0].name}#{k}") for k in (2, 3))])
    once = watched_readings(fitted)
    assert [one.key for one in once] == [seen.key for seen in HEIGHTS]
    every = {one.key: one for one in watched(fitted)}
    assert all(one == every[one.key] for one in once)
