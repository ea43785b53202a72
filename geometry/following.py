"""Nudged geometries beside a solved one: where their axles stand and how they move, exact to first order in the nudge.

The real parts of P nudged geometries are all alike, so what the closure costs is paid once: the implicit function
theorem gives how the pose answers a nudge of any joint, and how its velocity does. No equation is solved anew.

For kept lengths these derivatives are written out as products of matrices. With u the unit vector of a link from frame
to axle, a its axle end's arm, L its length, w = v + s x a the speed of that end for a velocity v and a spin s:

- a change dp of frame to axle end changes the length by u . dp;
- the speed of closing u . w then changes by q . dp + (u x s) . da, where q = (w - u (u . w)) / L and da is the change
  of the arm.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from geometry.closure import Pose, Rig, equations, least_miss
from geometry.complex_step import Complex, cross
from geometry.frame import Array
from geometry.motion import TURNING, Motion, as_motion


@dataclass(frozen=True)
class Followed(Pose):
    """Poses (P, T) of nudged geometries. nudge (T, m, P): the imaginary part of each unknown's step from the real one;
    travel, lift (T,) mm."""

    nudge: Array
    travel: Array
    lift: Array


def follow(rig: Rig, pose: Pose, inverse: Array, travel: Array, lift: Array) -> Followed:
    """Poses of nudged (complex) geometries (P, ...) beside a real solved pose (1, T).

    inverse (1, T, m, m) is that of the real closure.
    """
    miss = _length_misses(rig, pose) if rig.determinate else _least_misses(rig, pose, travel, lift)
    return _stepped(pose, -inverse[0] @ miss, travel, lift)


def resting(rig: Rig, pose: Pose) -> Followed:
    """Ride height of nudged geometries: there every one of them stands as it was read. pose (1, T)."""
    poses, unknowns = pose.multiplier.shape[1], 5 if rig.determinate else 6
    none = np.zeros(poses)
    return _stepped(pose, np.zeros((poses, unknowns, rig.centre.shape[0])), none, none)


def follow_motion(rig: Rig, pose: Followed, inverse: Array, rate: Array, rise: float) -> Motion:
    """Velocity of nudged geometries (P, T) beside the real one's rate (1, T, m) in the unknowns, rise that of the
    centre."""
    if rig.determinate:
        defect = _speed_defect(rig, pose, rate[0], rise)
    else:
        closure = equations(rig, pose, pose.travel, pose.lift)
        whole = np.einsum("ptij,qtj->tip", closure.matrix.imag, rate)
        defect = whole + rise * closure.by_rise.imag.transpose(1, 2, 0)
    return as_motion(_nudged_like(rate[0], -inverse[0] @ defect), rise)


def _nudged_like(real: Array, imaginary: Array) -> Complex:
    """real (T, k) and imaginary (T, k, P) as nudged values (P, T, k); each component's values lie side by side."""
    both = np.empty((real.shape[1], real.shape[0], imaginary.shape[2]), complex)
    both.real = real.T[:, :, None]
    both.imag = imaginary.transpose(1, 0, 2)
    return both.transpose(2, 1, 0)


def _stepped(pose: Pose, nudge: Array, travel: Array, lift: Array) -> Followed:
    """The poses after the nudges (T, m, P) in the unknowns."""
    steps, unknowns, count = nudge.shape
    turn = pose.turn[0]
    by_spin = np.einsum("kij,tjl->tilk", TURNING, turn).reshape(steps, 9, 3)
    turned = _nudged_like(turn.reshape(steps, 9), by_spin @ nudge[:, 2:5]).reshape(count, steps, 3, 3)
    shifted = _nudged_like(pose.shift[0], np.concatenate([nudge[:, :2], np.zeros((steps, 1, count))], axis=1))
    multiplier = np.repeat(pose.multiplier, count, axis=0)
    return Followed(
        shifted, turned, multiplier + 1j * nudge[:, 5].T if unknowns == 6 else multiplier, nudge, travel, lift
    )


def _least_misses(rig: Rig, pose: Pose, travel: Array, lift: Array) -> Array:
    """By how much each nudged geometry misses the real pose, (T, m, P): complex arithmetic does it."""
    count = rig.centre.shape[0]
    wide = Pose(*(np.repeat(part, count, axis=0) for part in (pose.shift, pose.turn, pose.multiplier)))
    return least_miss(rig, wide, travel, lift).imag.transpose(1, 2, 0)


def _length_misses(rig: Rig, pose: Pose) -> Array:
    """The same for kept lengths."""
    turn, unit = pose.turn[0], _Links(rig, pose).unit
    miss = np.empty((turn.shape[0], 5, rig.centre.shape[0]))
    miss[:, :4] = _by_joints(rig, unit, unit, turn) - rig.length.imag.T
    miss[:, 4] = (turn[:, 2] - np.array([0.0, 0.0, 1.0])) @ rig.contact_span.imag.T
    return miss


def _speed_defect(rig: Rig, pose: Followed, rate: Array, rise: float) -> Array:
    """How the nudged links' lengths, and the level, would change at the real one's rate (T, 5): (T, 5, P)."""
    real = Pose(*(part[:1].real for part in (pose.shift, pose.turn, pose.multiplier)))
    links, turn = _Links(rig, real), real.turn[0]
    moving = as_motion(rate[None], rise)
    velocity, spin = moving.velocity[0][:, None], moving.spin[0][:, None]
    speed = velocity + cross(spin, links.arm)
    closing = np.einsum("tni,tni->tn", links.unit, speed)[..., None]
    pull = (speed - links.unit * closing) / links.length[..., None]
    lever = pull + cross(links.unit, spin)
    by_pose = np.concatenate([pull[..., :2], cross(links.arm, lever)], axis=-1)
    defect = np.empty((turn.shape[0], 5, rig.centre.shape[0]))
    defect[:, :4] = _by_joints(rig, pull, lever, turn) + by_pose @ pose.nudge
    tilt = turn @ rig.contact_span[0].real
    level = cross(np.array([0.0, 0.0, 1.0]), spin[:, 0])
    defect[:, 4] = (level[:, None] @ turn)[:, 0] @ rig.contact_span.imag.T
    defect[:, 4] += (cross(tilt, level)[:, None] @ pose.nudge[:, 2:5])[:, 0]
    return defect


class _Links:
    """The real links at real poses: arms, unit vectors (T, n, 3) and lengths (T, n)."""

    def __init__(self, rig: Rig, pose: Pose) -> None:
        self.arm = rig.axle[0].real @ np.swapaxes(pose.turn[0], -1, -2)
        along = self.arm + (rig.centre[0] - rig.frame[0]).real + pose.shift[0][:, None]
        self.length = np.sqrt(np.einsum("tni,tni->tn", along, along))
        self.unit = along / self.length[..., None]


def _by_joints(rig: Rig, on_apart: Array, on_arm: Array, turn: Array) -> Array:
    """What the nudges of the links' joints come to, (T, n, P): on_apart, on_arm (T, n, 3) weigh a change of the way
    from frame end to the axle's centre, and one of the arm as it stands after the turn (T, 3, 3)."""
    weights = np.concatenate([on_apart, on_arm @ turn], axis=-1)
    nudges = np.concatenate([(rig.centre[:, None] - rig.frame).imag, rig.axle.imag], axis=-1)
    return np.asarray((weights.transpose(1, 0, 2) @ nudges.transpose(1, 2, 0)).transpose(1, 0, 2))
