"""Caster: how far the steering axis leans rearward at its top, against gravity."""

from __future__ import annotations

import numpy as np

from geometry.errors import BadName
from geometry.frame import Array
from geometry.readings.kind import Kind, Setting, Terms, Wording
from geometry.readings.tilt import NEAR_FOR_ANGLES
from geometry.slips import GAUGED


class Caster(Kind):
    """atan2(-(x_top - x_bottom), z_top - z_bottom) + pitch.

    In the side plane a floor that climbs to the front leans the whole axle rearward by its pitch.
    """

    name = "caster"
    noun = "caster"
    unit = "deg"
    usual_sd = 0.3
    signed = True
    subjects = ("left", "right")
    low, high = -20.0, 45.0
    effort = 2.0
    slips = GAUGED
    view = "side"
    shape = "caster"
    wording = Wording(
        title="Caster, {subject} side, + when the top leans rearward",
        do_this=(
            "Wheels straight ahead; lay the gauge along the vehicle on the knuckle's machined flat.",
            "Turn the gauge end for end and read again; half the difference is the angle.",
        ),
        mistakes=(
            "The gauge stood on the casting's draft and not on a machined face: 0.5 to 1.5 degrees.",
            "The sign: + when the top of the steering axis leans rearward.",
            "The gauge stood askew to the vehicle.",
        ),
    )

    def points(self, subject: str, setting: Setting) -> tuple[str, ...]:
        """The top and bottom of that side's kingpin. Errors: BadName on a rear axle."""
        if setting.worked_axle != "front":
            raise BadName("caster belongs to a front axle, and this vehicle file is about a rear one.")
        super().points(subject, setting)
        return f"kingpin_{subject}.top", f"kingpin_{subject}.bottom"

    def terms(self, subject: str, setting: Setting) -> Terms:
        """Top, bottom and the slope along the vehicle."""
        return Terms((*self.points(subject, setting), "floor.pitch"))

    def predicted(self, inputs: Array, constants: Array) -> Array:
        """inputs: top, bottom, pitch, (n, 7). Radian."""
        return np.arctan2(inputs[:, 3] - inputs[:, 0], inputs[:, 2] - inputs[:, 5]) + inputs[:, 6]

    def partials(self, inputs: Array, constants: Array) -> Array:
        """Per mm of each coordinate and per radian of pitch."""
        forward, upward = inputs[:, 0] - inputs[:, 3], inputs[:, 2] - inputs[:, 5]
        far = np.maximum(forward**2 + upward**2, NEAR_FOR_ANGLES**2)
        partials = np.zeros_like(inputs)
        partials[:, 0], partials[:, 2] = -upward / far, forward / far
        partials[:, 3], partials[:, 5] = -partials[:, 0], -partials[:, 2]
        partials[:, 6] = 1.0
        return partials

    def possible(self, setting: Setting) -> tuple[str, ...]:
        """Both sides of a front axle."""
        return ("left", "right") if setting.worked_axle == "front" else ()
