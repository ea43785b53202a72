"""Front view and body roll: roll centre, roll axis, roll steer.

The axis of roll is that of the axle's motion against the body with one contact point lifted as much as the other is
lowered. With more links than freedoms it hangs on how bushings give; then the figures carry `convention`.
"""

from __future__ import annotations

import numpy as np

from geometry.complex_step import Complex, atan2
from geometry.figures import figure_words
from geometry.figures.base import Band, FigureKind, side
from geometry.figures.ride import Ride

DEGREE = 180.0 / np.pi
KEYS = ("roll_centre_height", "roll_axis_incline", "roll_steer")


def centre_height(ride: Ride) -> Complex:
    """Where the axis of roll crosses the plane x = 0, mm above the floor: z_C + v_y / w_x."""
    turn = ride.roll
    return ride.centre[:, 2] + turn.velocity[:, 0, 1] / turn.spin[:, 0, 0]


def axis_incline(ride: Ride) -> Complex:
    """atan(w_z / w_x), deg, + rises to the front."""
    spin = ride.roll.spin[:, 0]
    return DEGREE * atan2(spin[:, 2] / spin[:, 0], np.ones_like(spin[:, 0]))


def steer(ride: Ride) -> Complex:
    """Yaw of the axle per degree of body roll, deg/deg: -w_z / w_x. Front + oversteer, rear + understeer."""
    spin = ride.roll.spin[:, 0]
    return -spin[:, 2] / spin[:, 0]


def figures(layout_name: str, worked_axle: str) -> tuple[FigureKind, ...]:
    """Every figure of this family."""
    front = worked_axle == "front"
    usual = (-0.08, 0.0) if front else (0.0, 0.08)
    return (
        FigureKind(
            "roll_centre_height", "mm", "roll", "Roll centre", centre_height,
            lambda value, sd: figure_words.LEANS_ABOUT,
            Band(400.0, 750.0, "usual"), True,
        ),
        FigureKind(
            "roll_steer", "deg/deg", "roll", "Roll steer", steer,
            lambda value, sd: _says_steer(value if front else -value, sd),
            Band(*usual, "usual, a little understeer"), True,
        ),
        FigureKind(
            "roll_axis_incline", "deg", "roll", "Roll axis, incline", axis_incline,
            lambda value, sd: figure_words.line_of_lean(side(value >= 0, "rises", "falls")),
            Band(-3.0, 3.0, "usual"),
        ),
    )  # fmt: skip


def _says_steer(into: float, sd: float) -> str:
    """into: + turns the vehicle further into the bend."""
    if abs(into) <= 2 * sd or abs(into) < 0.005:
        return figure_words.STAYS_SQUARE
    if into > 0:
        return figure_words.OVERSTEER
    return figure_words.UNDERSTEER
