"""Poses with a way to them: nothing past a jump counts as reached, and nothing before one is lost."""

from dataclasses import replace

import numpy as np
import pytest
from scipy.optimize import root
from scipy.spatial.transform import Rotation

from geometry import motion
from geometry.unbroken import how_far, unbroken
from tests.geometry.test_motion import ARMS, FIVE, THREE, TRAVEL, rig

HALF_LENGTH = rig(
    [(-10, 480, 340), (30, -490, 320), (0, 80, 600), (30, 370, 580)],
    [(430, 490, 390), (480, -480, 420), (390, 90, 640), (0, -50, 620)],
)
"""Links of half the usual length: at 250 mm of droop they close another way round, past two dead centres."""
STEPS = np.arange(-250.0, 251.0, 25.0)
LONG_MM, SHORT_MM = 900.0, 80.0
SHORT_PANHARD = rig(
    [(0, 500, 330), (0, -500, 330), (0, 0, 600), (0, 430, 560)],
    [(LONG_MM, 500, 330), (LONG_MM, -500, 330), (LONG_MM, 0, 600), (0, 430 - SHORT_MM, 560)],
)
"""Parallel links of one length do not turn the axle: how far a short panhard bar lets it rise can be worked out."""
SHORT_FIVE = rig(
    [(0, 500, 330), (0, -500, 330), (60, 300, 600), (60, -300, 600), (-150, 430, 560)],
    [(90, 500, 345), (80, -500, 350), (130, 300, 605), (140, -300, 600), (-150, -420, 620)],
)


def walked(built, way, most, step=0.1):
    """The poses scipy finds going on from one to the next in short steps, and where it can no longer: shifts by step
    number, and how many steps."""
    frame, axle, length = built.frame[0], built.axle[0], built.length[0]

    def misses(unknowns, travel):
        turn = Rotation.from_rotvec(unknowns[2:]).as_matrix()
        ends = built.centre[0] + [unknowns[0], unknowns[1], travel] + axle @ turn.T
        level = (turn @ built.contact_span[0])[2] - built.contact_span[0, 2]
        return np.append(np.linalg.norm(ends - frame, axis=-1) - length, level)

    place, found, last = np.zeros(5), {0: np.zeros(3)}, 0.0
    for number in range(1, round(most / step) + 1):
        answer = root(misses, place, args=(way * number * step,), tol=1e-12)
        moved = np.abs((answer.x - place) * motion.WEIGHT).max()
        if np.abs(answer.fun).max() > 1e-9 or moved > 1.0 + 3.0 * last:
            return found, number
        place, last = answer.x, moved
        found[number] = np.array([place[0], place[1], way * number * step])
    return found, None


def test_a_pose_past_two_dead_centres_is_settled_and_yet_not_reached():
    assert motion.sweep(HALF_LENGTH, STEPS).reached.all()
    swept = unbroken(HALF_LENGTH, STEPS)
    assert swept.reached.tolist() == [False] + 20 * [True]
    found, end = walked(HALF_LENGTH, -1.0, 250.0)
    assert how_far(HALF_LENGTH, (0.0, 0.0), (-250.0, 0.0)) * 250.0 == pytest.approx(end * 0.1, abs=0.2)
    for number in range(10):
        assert swept.pose.shift[0, 10 - number] == pytest.approx(found[250 * number], abs=1e-6)


def highest_on_a_short_panhard():
    """With the axle y to the right and z up the links pull it x ahead; the bar keeps its length. The most z can be."""
    y = np.linspace(0.0, 1.2 * SHORT_MM, 20001)
    x = z = np.zeros_like(y)
    for _ in range(50):
        z = np.sqrt(np.maximum(SHORT_MM**2 - (SHORT_MM - y) ** 2 - x**2, 0.0))
        x = LONG_MM - np.sqrt(LONG_MM**2 - y**2 - z**2)
    return z.max()


def test_an_axle_rises_as_far_as_its_panhard_lets_it():
    most = highest_on_a_short_panhard()
    assert 79.0 < most < 80.0
    assert how_far(SHORT_PANHARD, (0.0, 0.0), (100.0, 0.0)) * 100.0 == pytest.approx(most, abs=0.01)
    assert how_far(SHORT_PANHARD, (60.0, 0.0), (-100.0, 0.0)) * 160.0 == pytest.approx(60.0 + most, abs=0.01)
    swept = unbroken(SHORT_PANHARD, np.array([-90.0, -79.0, 0.0, 79.0, 81.0]))
    assert swept.reached.tolist() == [False, True, True, True, False]


def test_a_compromise_that_snaps_to_another_least_place_is_not_reached():
    travel = np.arange(0.0, -101.0, -10.0)
    assert motion.sweep(SHORT_FIVE, travel).reached.all()
    swept = unbroken(SHORT_FIVE, travel)
    fine = unbroken(SHORT_FIVE, np.arange(0.0, -100.5, -0.25))
    end = 0.25 * int(fine.reached.argmin())
    assert 20.0 < end < 100.0
    assert swept.reached.tolist() == (-travel < end).tolist()
    assert how_far(SHORT_FIVE, (0.0, 0.0), (-100.0, 0.0)) * 100.0 == pytest.approx(end, abs=0.3)
    at = swept.reached
    assert swept.pose.shift[0, at] == pytest.approx(fine.pose.shift[0, ::40][at], abs=1e-6)
    steps = np.abs(np.diff(fine.pose.shift[0, fine.reached], axis=0)).max()
    assert steps < 5.0  # 0.25 mm of travel, and no snap among those that count


@pytest.mark.parametrize("built", [THREE, FIVE, ARMS], ids=["three links", "five links", "radius arms"])
def test_links_of_usual_length_stand_where_they_are_solved(built):
    ways = [(TRAVEL, np.zeros_like(TRAVEL)), (0.3 * TRAVEL, 2.0 * TRAVEL), (np.zeros_like(TRAVEL), -TRAVEL)]
    for travel, lift in ways:
        there, solved = unbroken(built, travel, lift), motion.sweep(built, travel, lift)
        assert there.reached.all()
        assert (there.pose.shift == solved.pose.shift).all()


def test_one_long_step_counts_as_many_short_ones_do():
    for travel, lift in ((-230.0, 0.0), (-245.0, 0.0), (40.0, 380.0)):
        many = unbroken(HALF_LENGTH, np.linspace(0.0, travel, 40), np.linspace(0.0, lift, 40))
        one = unbroken(HALF_LENGTH, np.array([travel]), np.array([lift]))
        assert one.reached[0] == many.reached[-1]


def test_each_way_out_ends_for_itself_and_in_any_order():
    travel = np.array([79.0, 85.0, -79.0, 0.0, 0.0, 0.0])
    lift = np.array([0.0, 0.0, 0.0, 40.0, 0.0, -40.0])
    assert unbroken(SHORT_PANHARD, travel, lift).reached.tolist() == [True, False, True, True, True, True]
    turned = unbroken(SHORT_PANHARD, travel[::-1], lift[::-1])
    assert turned.reached.tolist() == [True, True, True, True, False, True]


def test_of_many_geometries_each_is_followed_for_itself():
    scatter = np.random.default_rng(5)
    frames = HALF_LENGTH.frame + scatter.normal(0.0, 12.0, (30, 4, 3))
    many = replace(
        HALF_LENGTH, **{name: np.repeat(getattr(HALF_LENGTH, name), 30, axis=0)
                        for name in ("centre", "contact", "contact_span", "axle", "held")}, frame=frames,
    )  # fmt: skip
    swept = unbroken(many, STEPS)
    ends = set()
    for number in range(30):
        alone = unbroken(replace(HALF_LENGTH, frame=frames[number : number + 1]), STEPS)
        assert swept.reached_by[number].tolist() == alone.reached.tolist()
        at = alone.reached
        assert np.abs(swept.pose.shift[number, at] - alone.pose.shift[0, at]).max() < 1e-6
        ends.add(int(alone.reached.sum()))
    assert len(ends) > 1
    assert (swept.reached == swept.reached_by.all(axis=0)).all()
