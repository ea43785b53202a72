"""The axle's pose and velocity against the frame: one solver for every layout, for many poses and geometries at once.

What the links demand stands in `closure`. Nudged geometries are followed from a solved one in `following`.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from geometry.closure import Equations, Pose, Rig, at_ride, driven_to, equations
from geometry.complex_step import Complex
from geometry.frame import Array

__all__ = [
    "Equations", "Motion", "Pose", "Rig", "Sweep", "as_motion", "at_ride", "equations", "heave", "nudged", "roll",
    "settle", "solve_linear", "sweep",
]  # fmt: skip

ROUNDS = 40
SETTLED = 5e-7
"""mm of shift, or of a point LEVER_MM off: the step that would follow is smaller."""
SHORT = 1e-6
"""The same: the shortest step whose shrinking tells what would follow; shorter ones are rounding."""
STRAIGHT = 0.02
"""Share of the first of Newton's steps that the second has where the theorem's one half is far off: poses of another
assembly were found at 0.13 and more, links of usual length stay below 0.02."""
LEVER_MM = 1000.0
WEIGHT = np.array([1.0, 1.0, LEVER_MM, LEVER_MM, LEVER_MM])
IDENTITY = np.eye(3)
RISING = np.array([[1.0], [0.0], [1.0]])
AT_ONCE = 25
"""Geometries worked out together: as many as stay in the processor's own memory from one step to the next."""
WIDEST_TURN = 0.3
"""Radian a step may turn the axle about one of its axes; a wider one is shortened."""
TURNING = np.array([
    [[0.0, 0.0, 0.0], [0.0, 0.0, -1.0], [0.0, 1.0, 0.0]],
    [[0.0, 0.0, 1.0], [0.0, 0.0, 0.0], [-1.0, 0.0, 0.0]],
    [[0.0, -1.0, 0.0], [1.0, 0.0, 0.0], [0.0, 0.0, 0.0]],
])  # fmt: skip
"""For each part of a turn d the matrix whose product with an arm is that part's d x arm."""


@dataclass(frozen=True)
class Motion:
    """Velocity of the axle per unit of the drive: of its centre (P, T, 3) mm, and of its turn (P, T, 3) radian."""

    velocity: Complex
    spin: Complex


@dataclass(frozen=True)
class Sweep:
    """Poses along a path, with the closure there.

    reached (T,) is False where the links cannot follow, or only past a dead centre; reached_by (P, T) says it for each
    geometry. What is not reached is no pose. straight (P, T): the guess led there so straight that there is one such
    pose only, and those before it on the way lead to it: no jump.
    """

    pose: Pose
    closure: Equations
    reached: np.ndarray
    reached_by: np.ndarray
    straight: np.ndarray


def solve_linear(matrix: Complex, right: Complex) -> Complex:
    """matrix (..., m, m) x = right (..., m); the least solution where the matrix has no inverse."""
    try:
        return np.linalg.solve(matrix, right[..., None])[..., 0]
    except np.linalg.LinAlgError:
        return np.asarray(np.einsum("...ij,...j->...i", np.linalg.pinv(matrix), right))


def heave(rig: Rig, pose: Pose, closure: Equations) -> Motion:
    """Velocity per mm that the centre rises, both contact points lifted alike."""
    return as_motion(solve_linear(closure.matrix, -closure.by_rise), 1.0)


def roll(rig: Rig, pose: Pose, closure: Equations) -> Motion:
    """Velocity per mm that the left contact point rises over the right one, the centre's height kept."""
    drive = np.zeros_like(closure.miss)
    drive[..., -1] = 1.0
    return as_motion(solve_linear(closure.matrix, drive), 0.0)


def as_motion(rate: Complex, rise: float) -> Motion:
    """A rate (P, T, m) in the unknowns as velocity and spin; rise is that of the centre."""
    velocity = np.empty((*rate.shape[:-1], 3), rate.dtype)
    velocity[..., :2] = rate[..., :2]
    velocity[..., 2] = rise
    return Motion(velocity, rate[..., 2:5])


def sweep(rig: Rig, travel: Array, lift: Array | None = None) -> Sweep:
    """Poses of real geometries at travel (T,) mm and lift (T,) mm, each solved from where ride height's velocity and
    acceleration lead.

    A pose counts as reached when it settles with its closure's determinant of the same sign as ride height's: past one
    dead centre it has the other, and the axle would have jumped to another way of assembling the same links. Past two
    it has the same again; `unbroken` knows these too.
    """
    lift = np.zeros_like(travel) if lift is None else lift
    if len(rig.centre) > AT_ONCE:
        return _joined([sweep(part, travel, lift) for part in rig.parts(AT_ONCE)])
    with np.errstate(all="ignore"):
        pose, closure, reached_by, straight = settle(rig, _first_guess(rig, travel, lift), travel, lift)
    return Sweep(pose, closure, np.asarray(reached_by.all(axis=0)), reached_by, straight)


def settle(
    rig: Rig, guess: Pose, travel: Array, lift: Array, rounds: int = ROUNDS
) -> tuple[Pose, Equations, np.ndarray, np.ndarray]:
    """The pose (P, T) that a guess leads to by Newton's steps; the closure there; whether it is one: settled, and
    assembled the way ride height is; and whether the steps shrank so fast that no other pose can be near (Kantorovich's
    theorem, with room to spare). travel, lift: (T,) or (P, T) mm."""
    pose, size, straight = guess, np.float64(0.0), np.ones(guess.multiplier.shape, bool)
    for done in range(rounds):
        closure = equations(rig, pose, travel, lift)
        step = solve_linear(closure.matrix, -closure.miss)
        last, size = np.maximum(size, SHORT), np.abs(step[..., :5] * WEIGHT).max(axis=-1)
        pose = nudged(pose, step if size.max() < LEVER_MM * WIDEST_TURN else _shortened(step))
        share = size / last  # of the step before; Newton's steps shrink as their squares
        settled = (share < 1.0) & (share * share * size < SETTLED)
        if done == 1:
            straight = share < STRAIGHT
        if settled.all():
            break
    closure = equations(rig, pose, travel, lift)
    same_way = np.sign(np.linalg.det(closure.matrix)) == np.sign(np.linalg.det(rig.at_rest.matrix))
    return Pose(driven_to(pose.shift, travel), pose.turn, pose.multiplier), closure, settled & same_way, straight


def _joined(parts: list[Sweep]) -> Sweep:
    """The sweeps of some geometries each as one of all."""
    poses = ((p.pose.shift, p.pose.turn, p.pose.multiplier) for p in parts)
    pose = Pose(*(np.concatenate(each) for each in zip(*poses, strict=True)))
    closures = ((p.closure.miss, p.closure.matrix, p.closure.by_rise) for p in parts)
    closure = Equations(*(np.concatenate(each) for each in zip(*closures, strict=True)))
    reached_by, straight = (np.concatenate([getattr(p, name) for p in parts]) for name in ("reached_by", "straight"))
    return Sweep(pose, closure, np.asarray(reached_by.all(axis=0)), reached_by, straight)


def _first_guess(rig: Rig, travel: Array, lift: Array) -> Pose:
    """Where going on as the axle sets out from ride height would lead, (P, T)."""
    rest = rig.at_rest
    inverse = _inverse(rest.matrix[:, 0])
    drive = np.zeros((rig.centre.shape[0], 3, inverse.shape[-1]))  # rising, lifting one wheel, and both at once
    drive[:, 0], drive[:, 1:, -1] = -rest.by_rise[:, 0], 1.0
    drive[:, 2] += drive[:, 0]
    rate = drive @ np.swapaxes(inverse, -1, -2)
    if not rig.determinate:
        return nudged(at_ride(rig, travel.size), np.stack([travel, lift], axis=-1) @ rate[:, :2])
    bend = _bending(rig, rate)
    bend[:, 2] -= bend[:, 0] + bend[:, 1]
    by_each = np.concatenate([rate[:, :2], -bend @ np.swapaxes(inverse, -1, -2)], axis=1)
    way = np.stack([travel, lift, 0.5 * travel * travel, 0.5 * lift * lift, travel * lift], axis=-1)
    return nudged(at_ride(rig, travel.size), way @ by_each)


def _inverse(matrix: Array) -> Array:
    try:
        return np.asarray(np.linalg.inv(matrix), np.float64)
    except np.linalg.LinAlgError:
        return np.asarray(np.linalg.pinv(matrix), np.float64)


def _bending(rig: Rig, rate: Array) -> Array:
    """By how much kept lengths and level would be left at constant speed: second derivatives (P, 3, 5) on the way out
    from ride height at rates (P, 3, 5), of which the first and the last rise a millimetre each."""
    spin = _crossing(rate[..., 2:5])
    around = spin @ rig.arms[:, None]
    speed = around + rate[..., :3, None]
    speed[:, :, 2] = around[:, :, 2] + RISING
    along = rig.apart.transpose(1, 2, 0, 3) + rig.arms[:, None]
    excess = np.empty_like(rate)
    excess[..., :4] = (speed * speed + along * (spin @ around)).sum(axis=2) / rig.length[:, None]
    excess[..., 4] = (spin @ (spin @ rig.contact_span[:, None, :, None]))[:, :, 2, 0]
    return excess


def _crossing(vector: Complex) -> Complex:
    """The matrices that multiply like v x: (..., 3) -> (..., 3, 3)."""
    return np.asarray((vector @ TURNING.reshape(3, 9)).reshape(*vector.shape, 3))


def _shortened(step: Array) -> Array:
    """A step no wider than it may be; none where it cannot be told."""
    step = np.where(np.isfinite(step), step, 0.0)
    turn = np.abs(step[..., 2:5]).max(axis=-1)
    return np.asarray(step * np.minimum(1.0, WIDEST_TURN / np.maximum(turn, 1e-300))[..., None])


def nudged(pose: Pose, step: Complex) -> Pose:
    """The pose after a step in the unknowns, the turn kept a rotation (Cayley's form, for finite real steps)."""
    shift = pose.shift.copy()
    shift[..., :2] += step[..., :2]
    half = 0.5 * step[..., 2:5]
    square = np.einsum("...i,...i->...", half, half)[..., None, None]
    by = _crossing(half) + half[..., :, None] * half[..., None, :] - square * IDENTITY
    turn = pose.turn + (2.0 / (1.0 + square)) * (by @ pose.turn)
    multiplier = pose.multiplier + step[..., 5] if step.shape[-1] == 6 else pose.multiplier
    return Pose(shift, turn, multiplier)
