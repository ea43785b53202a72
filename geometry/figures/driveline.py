"""Pinion, gearbox output and the shaft between them."""

from __future__ import annotations

import numpy as np

from geometry.complex_step import Complex, asin, between, norm
from geometry.figures import figure_words
from geometry.figures.base import FigureKind
from geometry.figures.ride import Ride
from geometry.motion import Pose

DEGREE = 180.0 / np.pi
JOINTS = ("driveshaft.frame", "driveshaft.axle")
"""The shaft's two ends."""


def pinion_angle(ride: Ride) -> Complex:
    """Against the floor at ride height, deg, + nose up."""
    return DEGREE * ride.scalar("pinion")


def pinion_axis(ride: Ride) -> Complex:
    """Which way the pinion's joint end points, (P, 3): rearward on a front axle, forward on a rear one."""
    angle = ride.scalar("pinion") if ride.has("pinion") else np.zeros_like(ride.centre[:, 0])
    return _axis(angle, -1.0 if ride.front else 1.0)


def gearbox_axis(ride: Ride) -> Complex:
    """Which way the gearbox output's joint end points, (P, 3): towards the worked axle."""
    return _axis(ride.scalar("gearbox_output"), 1.0 if ride.front else -1.0)


def _axis(angle: Complex, ahead: float) -> Complex:
    return np.stack([ahead * np.cos(angle), np.zeros_like(angle), np.sin(angle)], axis=-1)


def pinion_change(ride: Ride, pose: Pose) -> Complex:
    """Change of the pinion's angle from ride height, (P, T) deg, + nose up."""
    axis = pinion_axis(ride)
    return DEGREE * (asin(_turned(pose, axis)[..., 2]) - asin(axis[:, 2])[:, None])


def shaft(ride: Ride, pose: Pose) -> Complex:
    """From the pinion's joint to the gearbox's, (P, T, 3) mm."""
    joint = ride.point("driveshaft.axle") - ride.centre
    return ride.point("driveshaft.frame")[:, None] - ride.centre[:, None] - pose.shift - _turned(pose, joint)


def length_change(ride: Ride, pose: Pose) -> Complex:
    """Of the distance of the two joints, from ride height, (P, T) mm."""
    ride_length = norm(ride.point("driveshaft.frame") - ride.point("driveshaft.axle"))
    return norm(ride.once(shaft, pose)) - ride_length[:, None]


def angle_at_axle(ride: Ride, pose: Pose) -> Complex:
    """Between the shaft and the pinion's axis, (P, T) deg."""
    ride.wait_for(*JOINTS, "pinion")
    return DEGREE * between(ride.once(shaft, pose), _turned(pose, pinion_axis(ride)))


def angle_at_frame(ride: Ride, pose: Pose) -> Complex:
    """Between the shaft and the gearbox output's axis, (P, T) deg."""
    ride.wait_for(*JOINTS, "gearbox_output")
    return DEGREE * between(-ride.once(shaft, pose), gearbox_axis(ride)[:, None])


def _turned(pose: Pose, arm: Complex) -> Complex:
    return np.asarray(np.einsum("ptij,pj->pti", pose.turn, arm))


def figures(layout_name: str, worked_axle: str) -> tuple[FigureKind, ...]:
    """Every figure of this family at ride height."""
    return (
        FigureKind(
            "pinion_angle", "deg", "driveline", "Pinion", pinion_angle,
            lambda value, sd: figure_words.pinion_points("up" if value >= 0 else "down"),
            None, True,
        ),
    )  # fmt: skip
