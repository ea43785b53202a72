"""The solver itself: closure, branches, least changes, and derivatives followed through it."""

from dataclasses import replace

import numpy as np
import pytest

from geometry import motion
from geometry.complex_step import STEP
from geometry.following import follow, follow_motion

CENTRE = np.array([[0.0, 0.0, 400.0]])


def rig(axle, frame, held=()):
    """A rear axle 1560 wide on 400 mm wheels; axle and frame ends in the vehicle frame."""
    return motion.Rig(
        CENTRE,
        np.array([[0.0, 0.0, -400.0]]),
        np.array([[0.0, 1560.0, 0.0]]),
        np.array([frame], float),
        np.array([axle], float) - CENTRE[:, None],
        (np.array([held], float) if held else np.zeros((1, 0, 3))) - CENTRE[:, None],
    )


THREE = rig(
    [(0, 500, 330), (0, -500, 330), (40, 0, 620), (0, 430, 560)],
    [(950, 500, 480), (950, -500, 480), (760, 0, 650), (0, -420, 620)],
)
FIVE = rig(
    [(0, 500, 330), (0, -500, 330), (60, 300, 600), (60, -300, 600), (-150, 430, 560)],
    [(950, 500, 480), (950, -500, 480), (800, 300, 640), (800, -300, 640), (-150, -420, 620)],
)
ARMS = rig([(-150, 430, 560)], [(-150, -420, 620)], [(950, 400, 520), (950, -400, 520)])
TRAVEL = np.arange(-100.0, 101.0, 10.0)


def places(built, swept):
    """Axle ends at each pose, (T, n, 3)."""
    turned = np.einsum("tij,nj->tni", swept.pose.turn[0], built.axle[0])
    return built.centre[0] + swept.pose.shift[0][:, None] + turned


def test_links_keep_their_lengths_over_the_travel():
    swept = motion.sweep(THREE, TRAVEL)
    lengths = np.linalg.norm(places(THREE, swept) - THREE.frame[0], axis=-1)
    assert swept.reached.all()
    assert np.abs(lengths - THREE.length[0]).max() < 1e-9


def test_both_contact_points_rise_alike_in_heave_and_apart_by_the_lift_in_roll():
    swept = motion.sweep(THREE, np.array([60.0, 0.0]), np.array([0.0, 120.0]))
    rise = (swept.pose.turn[0] @ THREE.contact_span[0])[:, 2]
    assert rise == pytest.approx([0.0, 120.0], abs=1e-9)
    assert swept.pose.shift[0, :, 2] == pytest.approx([60.0, 0.0], abs=0)


def test_the_turn_stays_a_rotation():
    turn = motion.sweep(THREE, TRAVEL).pose.turn[0]
    assert np.abs(turn @ np.swapaxes(turn, -1, -2) - np.eye(3)).max() < 1e-12


def test_parallel_links_of_one_length_do_not_turn_the_axle():
    built = rig(
        [(0, 500, 330), (0, -500, 330), (0, 0, 600), (-150, 430, 560)],
        [(900, 500, 380), (900, -500, 380), (900, 0, 650), (-150, -420, 620)],
    )
    swept = motion.sweep(built, np.array([-75.0, 75.0]))
    pitch = np.arcsin(swept.pose.turn[0, :, 0, 2])
    assert np.abs(pitch).max() < 1e-9


def test_a_travel_the_links_cannot_reach_is_not_called_reached():
    short = rig(
        [(0, 500, 330), (0, -500, 330), (0, 0, 620), (0, 430, 560)],
        [(120, 500, 330), (120, -500, 330), (120, 0, 650), (0, -420, 620)],
    )
    swept = motion.sweep(short, np.array([-300.0, -20.0, 20.0, 300.0]))
    assert swept.reached.tolist() == [False, True, True, False]


@pytest.mark.parametrize("built", [FIVE, ARMS], ids=["five links", "radius arms"])
@pytest.mark.parametrize(("travel", "lift"), [(80.0, 0.0), (-100.0, 0.0), (0.0, 150.0), (50.0, -120.0)])
def test_a_compromise_pose_has_less_change_of_length_than_its_neighbours(built, travel, lift):
    swept = motion.sweep(built, np.array([travel]), np.array([lift]))
    assert swept.reached.all()
    best = cost(built, swept.pose)
    rng = np.random.default_rng(4)
    for _ in range(40):
        step = rng.normal(size=5) * [0.3, 0.3, 3e-4, 3e-4, 3e-4]
        shift = swept.pose.shift.copy()
        shift[0, 0, :2] += step[:2]
        turn = turned(step[2:]) @ swept.pose.turn[0, 0]
        turn = level_again(turn, built.contact_span[0], lift)
        near = motion.Pose(shift, turn[None, None], swept.pose.multiplier)
        assert cost(built, near) >= best - 1e-12


def turned(vector):
    angle = max(float(np.linalg.norm(vector)), 1e-12)
    x, y, z = vector / angle
    cross = np.array([[0, -z, y], [z, 0, -x], [-y, x, 0]])
    return np.eye(3) + np.sin(angle) * cross + (1 - np.cos(angle)) * cross @ cross


def level_again(turn, span, lift):
    """Roll about x until the contact points stand `lift` apart again."""
    for _ in range(30):
        tilt = turn @ span
        turn = turned(np.array([(lift - tilt[2]) / tilt[1], 0.0, 0.0])) @ turn
    return turn


def cost(built, pose):
    turn, shift = pose.turn[0, 0], pose.shift[0, 0]
    ends = built.centre[0] + shift + built.axle[0] @ turn.T
    change = np.linalg.norm(ends - built.frame[0], axis=-1) - built.length[0]
    miss = shift + built.held[0] @ turn.T - built.held[0]
    return float((change**2).sum() + (miss**2).sum())


@pytest.mark.parametrize("built", [THREE, FIVE, ARMS], ids=["three links", "five links", "radius arms"])
def test_velocity_in_heave_is_how_the_pose_changes_with_travel(built):
    at, small = 60.0, 1e-3
    swept = motion.sweep(built, np.array([at - small, at, at + small]))
    pose = motion.Pose(swept.pose.shift[:, 1:2], swept.pose.turn[:, 1:2], swept.pose.multiplier[:, 1:2])
    closure = motion.equations(built, pose, np.array([at]), np.zeros(1))
    rise = motion.heave(built, pose, closure)
    moved = (swept.pose.shift[0, 2] - swept.pose.shift[0, 0]) / (2 * small)
    assert rise.velocity[0, 0] == pytest.approx(moved, abs=1e-6)
    spin = (swept.pose.turn[0, 2] - swept.pose.turn[0, 0]) / (2 * small) @ pose.turn[0, 0].T
    assert rise.spin[0, 0] == pytest.approx([spin[2, 1], spin[0, 2], spin[1, 0]], abs=1e-8)


@pytest.mark.parametrize("built", [THREE, FIVE, ARMS], ids=["three links", "five links", "radius arms"])
def test_a_nudged_geometry_is_followed_as_if_it_had_been_solved_anew(built):
    rng = np.random.default_rng(11)
    nudge = {name: rng.normal(size=getattr(built, name).shape) for name in ("frame", "axle", "held")}
    travel, lift = np.array([-80.0, 45.0]), np.array([0.0, 60.0])
    swept = motion.sweep(built, travel, lift)
    inverse = np.linalg.inv(motion.equations(built, swept.pose, travel, lift).matrix)
    complex_rig = replace(built, **{name: getattr(built, name) + 1j * STEP * nudge[name] for name in nudge})
    pose = follow(complex_rig, swept.pose, inverse, travel, lift)
    rate = -np.einsum("qtij,qtj->qti", inverse, swept.closure.by_rise)
    rise = follow_motion(complex_rig, pose, inverse, rate, 1.0)
    size = 1e-4
    ends = []
    for sign in (-1, 1):
        moved = replace(built, **{name: getattr(built, name) + sign * size * nudge[name] for name in nudge})
        there = motion.sweep(moved, travel, lift)
        close = motion.equations(moved, there.pose, travel, lift)
        ends.append((there.pose.shift[0], there.pose.turn[0], motion.heave(moved, there.pose, close)))
    by_differences = (ends[1][0] - ends[0][0]) / (2 * size)
    assert pose.shift[0].imag / STEP == pytest.approx(by_differences, abs=2e-6)
    assert pose.turn[0].imag / STEP == pytest.approx((ends[1][1] - ends[0][1]) / (2 * size), abs=1e-8)
    faster = (ends[1][2].velocity[0] - ends[0][2].velocity[0]) / (2 * size)
    assert rise.velocity[0].imag / STEP == pytest.approx(faster, abs=1e-8)


def test_many_geometries_stand_as_each_does_alone_where_one_of_them_does_not_reach():
    scatter = np.random.default_rng(3)
    frames = THREE.frame + scatter.normal(0.0, 10.0, (60, 4, 3))
    frames[40] = THREE.axle[0] + CENTRE + [30.0, 0.0, 0.0]  # links too short to follow
    many = motion.Rig(*(np.repeat(part, 60, axis=0) for part in (CENTRE, THREE.contact, THREE.contact_span)),
                      frames, np.repeat(THREE.axle, 60, axis=0), np.zeros((60, 0, 3)))
    swept = motion.sweep(many, TRAVEL)
    assert swept.reached_by.all(axis=1).tolist() == [number != 40 for number in range(60)]
    for number in (0, 24, 25, 59):
        alone = motion.sweep(replace(THREE, frame=frames[number : number + 1]), TRAVEL)
        assert np.abs(swept.pose.shift[number] - alone.pose.shift[0]).max() < 1e-6
        assert np.abs(swept.closure.matrix[number] - alone.closure.matrix[0]).max() < 1e-6
