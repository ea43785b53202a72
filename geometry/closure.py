"""What the links demand of the axle's pose: how far a pose misses it, and how the misses change with the pose.

The axle is a rigid body. Each distance link keeps the distance of its two joint centres; a radius arm is rigid with
the axle and its frame end is held in place. The pose is driven by how far the axle's centre has risen (`travel`) and by
how much higher the left contact point has risen than the right one (`lift`).

- Four distance links leave the axle just these two freedoms: the pose is where all four lengths are kept.
- More links than that cannot all be kept. The pose is then the one with the least sum of squared changes of length, all
  links weighed alike, a held end counting with its miss as a vector of three: our convention, bushings decide in the
  metal.

A pose is a shift (3,) of the axle's centre and a turn (3, 3); turns are nudged from the left, x -> x + d x x, so that
every formula below is exact to first order in a nudge and the second-order terms are written out. Arrays lead with
(P, T): P geometries (nudged ones, random ones), T poses. Everything is analytic, so complex geometries pass through.
"""

from __future__ import annotations

from dataclasses import dataclass, fields, replace
from functools import cached_property
from typing import Any, Self

import numpy as np
from numpy.typing import NDArray

from geometry.complex_step import Complex, cross, norm
from geometry.frame import Array

UNKNOWN = np.array([0, 1, 3, 4, 5])
"""Shift forward and left, and the three turns; the shift upward is driven."""
UPWARD = 2
Chosen = NDArray[Any] | list[int]
"""Which of several poses: their numbers, or one yes or no each."""


@dataclass(frozen=True)
class Rig:
    """P geometries of one layout at ride height. Lengths mm; axle points are given from the axle's centre."""

    centre: Complex  # (P, 3)
    contact: Complex  # (P, 3) mean of the two contact points, from the centre
    contact_span: Complex  # (P, 3) left contact point less right
    frame: Complex  # (P, n, 3) distance links: frame ends
    axle: Complex  # (P, n, 3) and axle ends, from the centre
    held: Complex  # (P, k, 3) radius arms' frame ends, from the centre

    @cached_property
    def length(self) -> Complex:
        """(P, n) joint centre to joint centre."""
        return norm(self.centre[:, None] + self.axle - self.frame)

    @property
    def anchor(self) -> Complex:
        """(P, k, 3) where the arms' frame ends are held on the frame, from the centre."""
        return self.held

    @property
    def determinate(self) -> bool:
        """Whether four distance links fix the pose without a compromise."""
        return bool(self.axle.shape[1] == 4 and self.held.shape[1] == 0)

    def parts(self, most: int) -> list[Self]:
        """The same geometries, at most so many at a time."""
        names = [part.name for part in fields(self)]
        return [
            replace(self, **{name: getattr(self, name)[at : at + most] for name in names})
            for at in range(0, len(self.centre), most)
        ]

    @cached_property
    def arms(self) -> Complex:
        """(P, 3, n) the links' axle ends as columns."""
        return np.ascontiguousarray(np.swapaxes(self.axle, -1, -2))

    @cached_property
    def apart(self) -> Complex:
        """(3, P, 1, n) from the links' frame ends to the axle's centre."""
        return np.ascontiguousarray((self.centre[:, None] - self.frame).transpose(2, 0, 1))[:, :, None]

    @cached_property
    def at_rest(self) -> Equations:
        """The closure at ride height, (P, 1, ...)."""
        return equations(self, at_ride(self), np.zeros(1), np.zeros(1))


@dataclass(frozen=True)
class Pose:
    """Where the axle stands: shift (P, T, 3) mm, turn (P, T, 3, 3), and the multiplier (P, T) that lifts one wheel."""

    shift: Complex
    turn: Complex
    multiplier: Complex

    def at(self, chosen: Chosen) -> Pose:
        """Some of the T poses."""
        return Pose(*(np.ascontiguousarray(part[:, chosen]) for part in (self.shift, self.turn, self.multiplier)))


@dataclass(frozen=True)
class Equations:
    """The closure at a pose: misses (P, T, m), their matrix (P, T, m, m), and their change per mm of rise (P, T, m)."""

    miss: Complex
    matrix: Complex
    by_rise: Complex

    def at(self, chosen: Chosen) -> Equations:
        """Those of some of the T poses."""
        return Equations(self.miss[:, chosen], self.matrix[:, chosen], self.by_rise[:, chosen])


def at_ride(rig: Rig, poses: int = 1) -> Pose:
    """The pose at ride height, (P, poses)."""
    count = rig.centre.shape[0]
    kind = rig.centre.dtype
    return Pose(
        np.zeros((count, poses, 3), kind),
        np.broadcast_to(np.eye(3, dtype=kind), (count, poses, 3, 3)),
        np.zeros((count, poses), kind),
    )


def equations(rig: Rig, pose: Pose, travel: Array, lift: Array) -> Equations:
    """The closure at a pose driven to travel (T,) mm at the centre and lift (T,) mm of left contact over right."""
    driven = Pose(driven_to(pose.shift, travel), pose.turn, pose.multiplier)
    return _kept_lengths(rig, driven, lift) if rig.determinate else _least_changes(rig, driven, lift)


def driven_to(shift: Complex, travel: Array) -> Complex:
    """A shift (P, T, 3) with its upward part put to the travel."""
    driven = shift.copy()
    driven[..., UPWARD] = travel
    return driven


def _kept_lengths(rig: Rig, pose: Pose, lift: Array) -> Equations:
    """Four lengths and the level: four rows of unit vectors with their moments, and that of the contact span.

    Each of x, y, z has its values side by side, (3, P, T, n): that is what arithmetic is quickest on.
    """
    count, steps = pose.multiplier.shape
    turn = pose.turn.transpose(2, 0, 1, 3)
    arm, tilt = turn @ rig.arms, (turn @ rig.contact_span[..., None])[..., 0]
    along = arm + rig.apart
    along += pose.shift.transpose(2, 0, 1)[..., None]
    x, y, z = along
    length = np.sqrt(x * x + y * y + z * z)
    along /= length
    ahead, left, up = arm
    matrix = np.zeros((count, steps, 5, 5), along.dtype)
    links = matrix[..., :4, :]
    links[..., 0], links[..., 1] = x, y
    links[..., 2], links[..., 3], links[..., 4] = left * z - up * y, up * x - ahead * z, ahead * y - left * x
    matrix[..., 4, 2], matrix[..., 4, 3] = tilt[1], -tilt[0]
    miss, by_rise = np.zeros((2, count, steps, 5), along.dtype)
    miss[..., :4] = length - rig.length[:, None]
    miss[..., 4] = tilt[2] - (rig.contact_span[:, 2, None] + lift)
    by_rise[..., :4] = z
    return Equations(miss, matrix, by_rise)


def _least_changes(rig: Rig, pose: Pose, lift: Array) -> Equations:
    """Where the sum of squares is least under the level constraint: gradient, Hessian bordered by the constraint."""
    pull = _Pull(rig, pose, lift)
    hessian, level_row = pull.hessian(), pull.level_row
    matrix = np.zeros((*level_row.shape[:-1], 6, 6), hessian.dtype)
    matrix[..., :5, :5] = hessian[..., UNKNOWN[:, None], UNKNOWN]
    matrix[..., :5, 5] = matrix[..., 5, :5] = level_row[..., UNKNOWN]
    by_rise = np.concatenate([hessian[..., UNKNOWN, UPWARD], level_row[..., UPWARD, None]], axis=-1)
    return Equations(pull.miss(), matrix, by_rise)


def least_miss(rig: Rig, pose: Pose, travel: Array, lift: Array) -> Complex:
    """The misses (P, T, 6) of a layout with more links than freedoms, without their matrix."""
    return _Pull(rig, Pose(driven_to(pose.shift, travel), pose.turn, pose.multiplier), lift).miss()


class _Pull:
    """The sum of squared changes of length as links and arms pull at a pose."""

    def __init__(self, rig: Rig, pose: Pose, lift: Array) -> None:
        self.pose = pose
        self.arm = turned(pose.turn, rig.axle)
        along = rig.centre[:, None, None] + pose.shift[:, :, None] + self.arm - rig.frame[:, None]
        self.length = norm(along)
        self.unit = along / np.where(self.length == 0, 1.0, self.length)[..., None]
        self.row = np.concatenate([self.unit, cross(self.arm, self.unit)], axis=-1)
        self.change = self.length - rig.length[:, None]
        self.held = turned(pose.turn, rig.held)
        self.off = pose.shift[:, :, None] + self.held - rig.anchor[:, None]
        self.tilt = turned(pose.turn, rig.contact_span[:, None])[..., 0, :]
        self.level = self.tilt[..., 2] - rig.contact_span[:, None, 2] - lift
        self.level_row = np.zeros((*self.level.shape, 6), self.level.dtype)
        self.level_row[..., 3], self.level_row[..., 4] = self.tilt[..., 1], -self.tilt[..., 0]

    def miss(self) -> Complex:
        """The gradient with the constraint's share, and the miss of the level: (P, T, 6)."""
        gradient = np.einsum("ptn,ptni->pti", self.change, self.row)
        if self.held.shape[2]:
            gradient = gradient + np.einsum("ptnai,ptna->pti", _lever(self.held), self.off)
        gradient = gradient + self.pose.multiplier[..., None] * self.level_row
        return np.concatenate([gradient[..., UNKNOWN], self.level[..., None]], axis=-1)

    def hessian(self) -> Complex:
        """Second derivative by shift and turn, (P, T, 6, 6)."""
        hessian = np.einsum("ptni,ptnj->ptij", self.row, self.row)
        lever = _lever(self.arm)
        across = np.eye(3) - self.unit[..., :, None] * self.unit[..., None, :]
        bend = across * (self.change / self.length)[..., None, None]
        hessian = hessian + (np.swapaxes(lever, -1, -2) @ (bend @ lever)).sum(axis=2)
        hessian[..., 3:, 3:] += np.einsum("ptn,ptnij->ptij", self.change, _swing(self.unit, self.arm))
        if self.held.shape[2]:
            lever = _lever(self.held)
            hessian = hessian + np.einsum("ptnai,ptnaj->ptij", lever, lever)
            hessian[..., 3:, 3:] += _swing(self.off, self.held).sum(axis=-3)
        upward = np.broadcast_to(np.array([0.0, 0.0, 1.0]), self.tilt.shape)
        hessian[..., 3:, 3:] += self.pose.multiplier[..., None, None] * _swing(upward, self.tilt)
        return np.asarray(hessian)


def turned(turn: Complex, arms: Complex) -> Complex:
    """Arms (P, n, 3) turned with the axle: (P, T, n, 3)."""
    return np.swapaxes(turn @ np.swapaxes(arms, -1, -2)[:, None], -1, -2)


def _lever(arm: Complex) -> Complex:
    """How a carried point moves with shift and turn: (..., 3, 6)."""
    lever = np.zeros((*arm.shape[:-1], 3, 6), arm.dtype)
    lever[..., 0, 0] = lever[..., 1, 1] = lever[..., 2, 2] = 1.0
    x, y, z = arm[..., 0], arm[..., 1], arm[..., 2]
    lever[..., 0, 4], lever[..., 0, 5] = z, -y
    lever[..., 1, 3], lever[..., 1, 5] = -z, x
    lever[..., 2, 3], lever[..., 2, 4] = y, -x
    return lever


def _swing(force: Complex, arm: Complex) -> Complex:
    """Second derivative by the turn of force . (turned arm): (..., 3, 3). From exp(d) = 1 + [d] + [d][d]/2."""
    outer = force[..., :, None] * arm[..., None, :]
    along = np.einsum("...i,...i->...", force, arm)
    return np.asarray(0.5 * (outer + np.swapaxes(outer, -1, -2)) - along[..., None, None] * np.eye(3))
