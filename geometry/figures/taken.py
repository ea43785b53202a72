"""The vehicle taken to other poses: every nudged geometry followed there, with its velocity in heave."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from geometry import motion
from geometry.figures.base import NotYet
from geometry.figures.ride import Ride
from geometry.frame import Array

HALVINGS = 12


@dataclass(frozen=True)
class Taken:
    """P nudged geometries at T poses; `inverse` is that of the real closure. Of drawn ones each has its own."""

    travel: Array
    lift: Array
    pose: motion.Pose
    closure: motion.Equations
    inverse: Array

    @cached_property
    def heave(self) -> motion.Motion:
        """Velocity per mm of rise of the centre, both contact points rising alike: (P, T, 3)."""
        if not np.iscomplexobj(self.closure.matrix):
            return motion.as_motion(-np.einsum("ptij,ptj->pti", self.inverse, self.closure.by_rise), 1.0)
        real = np.einsum("qtij,qtj->qti", self.inverse, -self.closure.by_rise[:1].real)
        rate = motion.follow_rate(self.closure, self.inverse, real.astype(complex), self.closure.by_rise)
        return motion.as_motion(rate, 1.0)


def real_rig(ride: Ride) -> motion.Rig:
    """The fitted geometry without nudges, P = 1."""
    rig = ride.rig
    return motion.Rig(*(np.ascontiguousarray(part[:1].real) for part in (
        rig.centre, rig.contact, rig.contact_span, rig.frame, rig.axle, rig.held)))  # fmt: skip


def take(ride: Ride, travel: Array, lift: Array | None = None) -> tuple[Taken, np.ndarray]:
    """Poses at travel (T,) mm and lift (T,) mm; and which were reached (T,). Only those reached stand in Taken.

    The ride keeps them: several figures look at the same poses.
    """
    ride.heave  # noqa: B018  says NotYet where the links leave the axle loose at ride height already
    lift = np.zeros_like(travel) if lift is None else lift
    way = travel.tobytes() + lift.tobytes()
    if way not in ride.taken:
        ride.taken[way] = _take_each(ride, travel, lift) if ride.drawn else _take_nudged(ride, travel, lift)
    found: tuple[Taken, np.ndarray] = ride.taken[way]
    return found


def _take_nudged(ride: Ride, travel: Array, lift: Array) -> tuple[Taken, np.ndarray]:
    rig = real_rig(ride)
    swept = motion.sweep(rig, travel, lift)
    reached = _without_gaps(travel, lift, swept.reached)
    if not reached.any():
        raise NotYet((), "The links do not reach any of these positions.")
    travel, lift = travel[reached], lift[reached]
    pose = motion.Pose(swept.pose.shift[:, reached], swept.pose.turn[:, reached], swept.pose.multiplier[:, reached])
    inverse = np.linalg.inv(motion.equations(rig, pose, travel, lift).matrix)
    followed, closure = motion.follow(ride.rig, pose, inverse, travel, lift)
    return Taken(travel, lift, followed, closure, inverse), reached


def _take_each(ride: Ride, travel: Array, lift: Array) -> tuple[Taken, np.ndarray]:
    """The same for vehicles of their own, each solved for itself; nan where one of them does not reach."""
    swept = motion.sweep(ride.rig, travel, lift)
    each = np.array([_without_gaps(travel, lift, reached) for reached in swept.reached_by])
    reached = np.asarray(each.any(axis=0))
    if not reached.any():
        raise NotYet((), "The links do not reach any of these positions.")
    travel, lift, lost = travel[reached], lift[reached], ~each[:, reached]
    shift = np.where(lost[..., None], np.nan, swept.pose.shift[:, reached])
    turn = np.where(lost[..., None, None], np.nan, swept.pose.turn[:, reached])
    pose = motion.Pose(shift, turn, swept.pose.multiplier[:, reached])
    closure = motion.equations(ride.rig, pose, travel, lift)
    matrix = np.where(lost[..., None, None], np.eye(closure.matrix.shape[-1]), closure.matrix)
    return Taken(travel, lift, pose, closure, np.linalg.inv(matrix)), reached


def _without_gaps(travel: Array, lift: Array, reached: np.ndarray) -> np.ndarray:
    """A pose counts only when all those on the way from ride height count too."""
    good = reached.copy()
    way = travel + 0.5 * np.abs(lift)
    for outward in (way > 0, way < 0):
        lost = outward & ~reached
        if lost.any():
            good &= ~outward | (np.abs(way) < np.abs(way[lost]).min())
    return good


def limit(ride: Ride, good: tuple[float, float], lost: tuple[float, float]) -> float:
    """How far the links reach on the way from a pose they do reach to one they do not, both (travel, lift): 0 .. 1."""
    rig = real_rig(ride)
    low, high = 0.0, 1.0
    for _ in range(HALVINGS):
        share = 0.5 * (low + high)
        at = [np.array([a + share * (b - a)]) for a, b in zip(good, lost, strict=True)]
        low, high = (share, high) if motion.sweep(rig, *at).reached[0] else (low, share)
    return low
