"""Where the wheels head and how caster and pinion stand over the travel: whole values, not only changes."""

from __future__ import annotations

from functools import partial

import numpy as np

from geometry.complex_step import Complex, asin
from geometry.figures import driveline, steering
from geometry.figures.ride import Ride
from geometry.figures.taken import Taken
from geometry.figures.travel import ColumnKind

DEGREE = 180.0 / np.pi


def heading(ride: Ride, at: Taken, side: str) -> Complex:
    """Of one wheel against the frame, from ride height, (P, T) deg, + left: the axle's yaw and its knuckle's turn."""
    turn = dict(zip(steering.SIDES, steering.turns(ride, at.pose), strict=True))[side]
    return np.asarray(steering.yaw(at.pose) + DEGREE * turn)


def caster(ride: Ride, at: Taken) -> Complex:
    """Mean of both sides against the floor of ride height, (P, T) deg. NotYet where no steering axis was read."""
    return np.asarray(steering.mean_caster(ride)[:, None] + steering.caster_change(ride, at.pose))


def pinion(ride: Ride, at: Taken) -> Complex:
    """The pinion against the floor of ride height, (P, T) deg, + nose up."""
    ride.scalar("pinion")
    axis = np.einsum("ptij,pj->pti", at.pose.turn, driveline.pinion_axis(ride))
    return np.asarray(DEGREE * asin(axis[..., 2]))


def columns(worked_axle: str) -> tuple[ColumnKind, ...]:
    """Every column of this kind, in the order people read them."""
    up = ColumnKind("pinion_angle", "deg", "Pinion", pinion)
    if worked_axle != "front":
        return (up,)
    return (
        ColumnKind("heading.left", "deg", "Left wheel turns left", partial(heading, side="left")),
        ColumnKind("heading.right", "deg", "Right wheel turns left", partial(heading, side="right")),
        ColumnKind("caster", "deg", "Caster", caster),
        up,
    )
