"""Where the wheels head and how caster, pinion, roll centre and anti figures stand over the travel: whole values."""

from __future__ import annotations

from functools import partial

import numpy as np

from geometry.complex_step import Complex, asin
from geometry.figures import anti, driveline, steering
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


def caster_of_side(ride: Ride, at: Taken, side: str) -> Complex:
    """One side's caster against the floor of ride height, (P, T) deg."""
    axis = np.einsum("ptij,pj->pti", at.pose.turn, steering.kingpin(ride, side))
    return steering.caster_of(axis)


def pinion(ride: Ride, at: Taken) -> Complex:
    """The pinion against the floor of ride height, (P, T) deg, + nose up."""
    ride.scalar("pinion")
    axis = np.einsum("ptij,pj->pti", at.pose.turn, driveline.pinion_axis(ride))
    return np.asarray(DEGREE * asin(axis[..., 2]))


def roll_centre(ride: Ride, at: Taken) -> Complex:
    """Where the axis of roll crosses the plane through the axle's centre, over the floor at the wheels, (P, T) mm."""
    below = np.einsum("ptij,pj->pti", at.pose.turn, ride.rig.contact)[..., 2]
    return np.asarray(at.roll.velocity[..., 1] / at.roll.spin[..., 0] - below)


def anti_figure(ride: Ride, at: Taken, fact: str) -> Complex:
    """What the links carry of the load transfer, with the axle's share and, on request, its own mass, (P, T) %."""
    contact = np.einsum("ptij,pj->pti", at.pose.turn, ride.rig.contact)
    return anti.carried(ride, at.heave, contact, fact)


def columns(worked_axle: str) -> tuple[ColumnKind, ...]:
    """Every column of this kind, in the order people read them."""
    common = (
        ColumnKind("pinion_angle", "deg", "Pinion", pinion),
        ColumnKind("roll_centre", "mm", "Roll centre above the floor", roll_centre),
        ColumnKind("anti_braking", "%", "", partial(anti_figure, fact="brake_share_front")),
        ColumnKind("anti_driving", "%", "", partial(anti_figure, fact="drive_share_front")),
    )
    if worked_axle != "front":
        return common
    return (
        ColumnKind("heading.left", "deg", "Left wheel turns left", partial(heading, side="left")),
        ColumnKind("heading.right", "deg", "Right wheel turns left", partial(heading, side="right")),
        ColumnKind("caster", "deg", "Caster", caster),
        ColumnKind("caster.left", "deg", "Caster, left", partial(caster_of_side, side="left")),
        ColumnKind("caster.right", "deg", "Caster, right", partial(caster_of_side, side="right")),
        *common,
    )
