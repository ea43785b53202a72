"""Caster of the steering axes, and how far the road wheels steer themselves when the axle moves."""

from __future__ import annotations

from functools import partial

import numpy as np

from geometry.complex_step import Complex, acos, atan2, norm
from geometry.figures.base import Band, FigureKind, NotYet
from geometry.figures.ride import Ride
from geometry.motion import Pose

DEGREE = 180.0 / np.pi
SIDES = ("left", "right")


def kingpin(ride: Ride, at: str) -> Complex:
    """One side's steering axis, bottom to top, (P, 3) mm."""
    return ride.point(f"kingpin_{at}.top") - ride.point(f"kingpin_{at}.bottom")


def caster_of(axis: Complex) -> Complex:
    """Lean of an axis in side view against the floor's normal, deg, + top rearward: (..., 3) -> (...)."""
    return DEGREE * atan2(-axis[..., 0], axis[..., 2])


def caster(ride: Ride, at: str) -> Complex:
    """Caster of one side against the floor, deg."""
    return caster_of(kingpin(ride, at))


def mean_caster(ride: Ride) -> Complex:
    """Mean of both sides, deg."""
    return 0.5 * (caster(ride, "left") + caster(ride, "right"))


def caster_change(ride: Ride, pose: Pose) -> Complex:
    """Change of caster from ride height, (P, T) deg: of the steering axes, or the axle's own upright where unread."""
    axes = [kingpin(ride, at) for at in SIDES if ride.has(f"kingpin_{at}.top", f"kingpin_{at}.bottom")]
    if not axes:
        upright = np.zeros_like(ride.centre)
        upright[:, 2] = 1.0
        axes = [upright]
    change = [caster_of(_turned(pose, axis)) - caster_of(axis)[:, None] for axis in axes]
    return np.asarray(sum(change) / len(change))


def yaw(pose: Pose) -> Complex:
    """Heading of the axle against the frame, (P, T) deg, + to the left."""
    return DEGREE * atan2(pose.turn[..., 1, 0], pose.turn[..., 0, 0])


def self_steer(ride: Ride, pose: Pose) -> Complex:
    """Turn of the knuckle about its kingpin against the axle, (P, T) deg, + left, the steering box arm held.

    The drag link keeps its length; its axle end swings about the kingpin that stands nearest to it. Of the two ways to
    close the link the one that passes through 0 at ride height is taken. nan where the link cannot reach.
    """
    box, ball = ride.point("drag_link.frame"), ride.point("drag_link.axle")
    at = min(SIDES, key=lambda side: _distance_to_axis(ride, side, ball))
    foot, axis = ride.point(f"kingpin_{at}.bottom"), kingpin(ride, at)
    axis = axis / norm(axis)[:, None]
    arm = ball - foot
    along = np.einsum("pi,pi->p", arm, axis)[:, None] * axis
    radial = arm - along
    sideways = np.cross(axis, radial)
    hub = foot + along - ride.centre
    reach = ride.centre[:, None] + pose.shift + _turned(pose, hub) - box[:, None]
    radial_now, sideways_now = _turned(pose, radial), _turned(pose, sideways)
    by_cosine = 2.0 * np.einsum("pti,pti->pt", reach, radial_now)
    by_sine = 2.0 * np.einsum("pti,pti->pt", reach, sideways_now)
    square = np.einsum("pi,pi->p", ball - box, ball - box) - np.einsum("pi,pi->p", radial, radial)
    rest = square[:, None] - np.einsum("pti,pti->pt", reach, reach)
    start = 2.0 * np.einsum("pi,pi->p", hub + ride.centre - box, sideways)
    branch = np.where(start.real[:, None] > 0, 1.0, -1.0)
    with np.errstate(all="ignore"):
        size = np.sqrt(by_cosine**2 + by_sine**2)
        return np.asarray(DEGREE * (atan2(by_sine, by_cosine) - branch * acos(rest / size)))


def _distance_to_axis(ride: Ride, at: str, ball: Complex) -> float:
    if not ride.has(f"kingpin_{at}.top", f"kingpin_{at}.bottom"):
        raise NotYet(("caster:left", "caster:right"))
    axis = kingpin(ride, at)[0].real
    arm = (ball - ride.point(f"kingpin_{at}.bottom"))[0].real
    return float(np.linalg.norm(np.cross(arm, axis)) / np.linalg.norm(axis))


def _turned(pose: Pose, arm: Complex) -> Complex:
    """(P, 3) carried by the axle: (P, T, 3)."""
    return np.asarray(np.einsum("ptij,pj->pti", pose.turn, arm))


def figures(layout_name: str, worked_axle: str) -> tuple[FigureKind, ...]:
    """Every figure of this family: a front axle's."""
    if worked_axle != "front":
        return ()
    usual = Band(4.0, 7.0, "usual", other_view="5 to 8 with large tyres at road speed; 3 is the floor")
    return (
        FigureKind("caster", "deg", "steering", "Caster", mean_caster, _says_caster, usual, True),
        *(
            FigureKind(f"caster.{at}", "deg", "steering", f"Caster, {at}", partial(caster, at=at), _says_caster, usual)
            for at in SIDES
        ),
    )


def _says_caster(value: float, sd: float) -> str:
    if value < -2 * sd:
        return "The steering axis leans forward: the wheels will not find straight ahead by themselves."
    if value < 3.0:
        return "The steering axis leans rearward only a little: it may wander."
    return "The steering axis leans rearward enough to find its own way straight."
