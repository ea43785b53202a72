"""The vehicle taken to other poses: every nudged geometry followed there, with its velocity in heave."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from geometry import motion
from geometry.complex_step import Complex
from geometry.figures import anti, figure_words
from geometry.figures.base import NotYet
from geometry.figures.ride import Ride
from geometry.following import Followed, follow, follow_motion
from geometry.frame import Array
from geometry.unbroken import how_far, unbroken


@dataclass(frozen=True)
class Taken:
    """P nudged geometries at T poses; closure (1, T) is that of the real one. Of drawn ones each has its own."""

    travel: Array
    lift: Array
    pose: motion.Pose
    closure: motion.Equations
    rig: motion.Rig

    @cached_property
    def inverse(self) -> Array:
        """Of the closure's matrix, (1 or P, T, m, m)."""
        return np.linalg.inv(self.closure.matrix)

    @cached_property
    def heave(self) -> motion.Motion:
        """Velocity per mm of rise of the centre, both contact points rising alike: (P, T, 3)."""
        rate = motion.solve_linear(self.closure.matrix, -self.closure.by_rise)
        return self._moving(rate, 1.0)

    @cached_property
    def roll(self) -> motion.Motion:
        """Velocity per mm that the left contact point rises over the right one, the centre held: (P, T, 3)."""
        return self._moving(self.inverse[..., -1], 0.0)

    @cached_property
    def centre(self) -> Complex:
        """Where the axle's centre stands, (P, T, 3) mm."""
        return np.asarray(self.rig.centre[:, None] + self.pose.shift)

    @cached_property
    def instant_centre(self) -> tuple[Complex, Complex]:
        """In heave, x and z (P, T) mm, however far away."""
        return anti.centre_of_heave(self.heave, self.centre)

    def _moving(self, rate: Array, rise: float) -> motion.Motion:
        if isinstance(self.pose, Followed):
            return follow_motion(self.rig, self.pose, self.inverse, rate, rise)
        return motion.as_motion(rate, rise)

    @classmethod
    def followed(cls, rig: motion.Rig, real: Taken) -> Taken:
        """Nudged geometries taken where the real one is."""
        pose = follow(rig, real.pose, real.inverse, real.travel, real.lift)
        taken = cls(real.travel, real.lift, pose, real.closure, rig)
        taken.__dict__["inverse"] = real.inverse
        return taken


def real_rig(ride: Ride) -> motion.Rig:
    """The fitted geometry without nudges, P = 1."""
    return ride.real_rig


def take(ride: Ride, travel: Array, lift: Array | None = None) -> tuple[Taken, np.ndarray]:
    """Poses at travel (T,) mm and lift (T,) mm; and which were reached (T,). Only those reached stand in Taken.

    The ride keeps them: several figures look at the same poses.
    """
    ride.heave  # noqa: B018  says NotYet where the links leave the axle loose at ride height already
    lift = np.zeros_like(travel) if lift is None else lift
    way = travel.tobytes() + lift.tobytes()
    found: tuple[Taken, np.ndarray] | None = ride.taken.get(way)
    if found is None:  # kept in hand too: another thread may let go of all of them meanwhile
        found = _take_each(ride, travel, lift) if ride.drawn else _take_nudged(ride, travel, lift)
        ride.taken[way] = found
    return found


def _take_nudged(ride: Ride, travel: Array, lift: Array) -> tuple[Taken, np.ndarray]:
    swept = unbroken(ride.real_rig, travel, lift)
    reached = swept.reached
    if not reached.any():
        raise NotYet((), figure_words.NONE_OF_THESE)
    pose, closure = swept.pose.at(reached), swept.closure.at(reached)
    real = Taken(travel[reached], lift[reached], pose, closure, ride.real_rig)
    return Taken.followed(ride.rig, real), reached


def _take_each(ride: Ride, travel: Array, lift: Array) -> tuple[Taken, np.ndarray]:
    """The same for vehicles of their own, each solved for itself; nan where one of them does not reach."""
    swept = unbroken(ride.rig, travel, lift)
    if swept.reached.all():
        return Taken(travel, lift, swept.pose, swept.closure, ride.rig), swept.reached
    each = swept.reached_by
    reached = np.asarray(each.any(axis=0))
    if not reached.any():
        raise NotYet((), figure_words.NONE_OF_THESE)
    travel, lift, lost = travel[reached], lift[reached], ~each[:, reached]
    shift = np.where(lost[..., None], np.nan, swept.pose.shift[:, reached])
    turn = np.where(lost[..., None, None], np.nan, swept.pose.turn[:, reached])
    pose = motion.Pose(shift, turn, swept.pose.multiplier[:, reached])
    closure = swept.closure.at(reached)
    by_rise = np.where(lost[..., None], np.nan, closure.by_rise)
    matrix = np.where(lost[..., None, None], np.eye(by_rise.shape[-1]), closure.matrix)
    return Taken(travel, lift, pose, motion.Equations(closure.miss, matrix, by_rise), ride.rig), reached


def limit(ride: Ride, good: tuple[float, float], lost: tuple[float, float]) -> float:
    """How far the links reach on the way from a pose they do reach to one they do not, both (travel, lift): 0 .. 1."""
    return how_far(real_rig(ride), good, lost)
