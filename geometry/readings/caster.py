"""Caster: how far the steering axis leans rearward at its top, against gravity."""

from __future__ import annotations

import numpy as np

from geometry.errors import BadName
from geometry.frame import Array
from geometry.readings import reading_words
from geometry.readings.kind import Kind, Setting, Terms, Wording
from geometry.readings.tilt import NEAR_FOR_ANGLES, ups
from geometry.slips import GAUGED


class Caster(Kind):
    """How far the axis leans rearward of gravity's up, seen from the side; on a level floor atan2(x_bottom - x_top,
    z_top - z_bottom). A floor that climbs to the front adds its pitch."""

    name = "caster"
    noun = "caster"
    unit = "deg"
    instrument = "gauge"
    usual_sd = 0.3
    signed = True
    subjects = ("left", "right")
    low, high = -20.0, 45.0
    effort = 2.0
    slips = GAUGED
    view = "side"
    shape = "caster"
    wording = Wording(
        title="Caster, {subject} side",
        do_this=(
            "Wheels straight ahead; lay the gauge along the vehicle on the knuckle's machined flat.",
            "Turn the gauge end for end and read again; half the difference is the angle.",
        ),
        mistakes=(
            "The gauge stood on the casting's draft and not on a machined face: 0.5 to 1.5 degrees.",
            "Forward and rearward mixed up: the top of the steering axis usually leans rearward.",
            "The gauge stood askew to the vehicle.",
        ),
        sides=("top leans rearward", "top leans forward"),
        side_keys=("rear", "fore"),
    )

    def points(self, subject: str, setting: Setting) -> tuple[str, ...]:
        """The top and bottom of that side's kingpin. Errors: BadName on a rear axle."""
        if setting.worked_axle != "front":
            raise BadName(reading_words.CASTER_ON_A_REAR_AXLE)
        super().points(subject, setting)
        return f"kingpin_{subject}.top", f"kingpin_{subject}.bottom"

    def terms(self, subject: str, setting: Setting) -> Terms:
        """Top, bottom and both slopes."""
        return Terms((*self.points(subject, setting), "floor.pitch", "floor.bank"))

    def predicted(self, inputs: Array, constants: Array) -> Array:
        """inputs: top, bottom, pitch, bank, (n, 8). Radian."""
        up, _, _ = ups(inputs[:, 6], inputs[:, 7])
        rearward, upward, _ = _leg(inputs[:, :3] - inputs[:, 3:6], up)
        angle: Array = np.arctan2(rearward, upward)
        return angle

    def partials(self, inputs: Array, constants: Array) -> Array:
        """Per mm of each coordinate and per radian of both slopes."""
        axis = inputs[:, :3] - inputs[:, 3:6]
        up, by_pitch, by_bank = ups(inputs[:, 6], inputs[:, 7])
        rearward, upward, level = _leg(axis, up)
        far = np.maximum(rearward**2 + upward**2, NEAR_FOR_ANGLES**2)
        by_axis = -(upward[:, None] * level + rearward[:, None] * up) / far[:, None]
        partials = np.empty_like(inputs)
        partials[:, :3], partials[:, 3:6] = by_axis, -by_axis
        for column, turn in ((6, by_pitch), (7, by_bank)):
            lifted = np.einsum("ij,ij->i", axis, turn)
            forward, flat = up[:, 0], 1.0 - up[:, 0] ** 2
            moved = (turn[:, 0] * upward + forward * lifted) / np.sqrt(flat) + rearward * forward * turn[:, 0] / flat
            partials[:, column] = (upward * moved - rearward * lifted) / far
        return partials

    def possible(self, setting: Setting) -> tuple[str, ...]:
        """Both sides of a front axle."""
        return ("left", "right") if setting.worked_axle == "front" else ()


def _leg(axis: Array, up: Array) -> tuple[Array, Array, Array]:
    """How far a steering axis (n, 3) leans rearward and rises, (n,) each, and the level forward direction."""
    level = -up[:, :1] * up
    level[:, 0] += 1.0
    level /= np.sqrt(1.0 - up[:, :1] ** 2)
    return -np.einsum("ij,ij->i", axis, level), np.einsum("ij,ij->i", axis, up), level
