"""Wheelbase: the distance along the floor of one side's two wheel centres."""

from __future__ import annotations

import numpy as np

from geometry.frame import Array
from geometry.readings.kind import Kind, Mark, Setting, Terms, Wording
from geometry.readings.tilt import unit
from geometry.slips import TAPED


class Wheelbase(Kind):
    """Horizontal distance of that side's two wheel centres, not only its part along x."""

    name = "wheelbase"
    noun = "wheelbase"
    usual_sd = 3.0
    taped = True
    subjects = ("left", "right")
    low, high = 1000.0, 6000.0
    effort = 3.0
    slips = TAPED
    view = "side"
    shape = "wheelbase"
    tells = "wheelbase"
    wording = Wording(
        title="Wheelbase, {subject} side",
        do_this=("Set the wheels straight ahead.", "Plumb both hubs to the floor and read from mark to mark."),
        mistakes=(
            "The steering was off centre: 2 to 8 mm.",
            "The tape ran over the bulge of a tyre: 2 to 6 mm long.",
            "A whole foot or inch is missed.",
        ),
    )

    def points(self, subject: str, setting: Setting) -> tuple[str, ...]:
        """That side's two wheel centres, the worked axle's first."""
        super().points(subject, setting)
        return f"wheel_{subject}.centre", f"other_{subject}.centre"

    def predicted(self, inputs: Array, constants: Array) -> Array:
        """inputs: both wheel centres, (n, 6)."""
        return unit(inputs[:, 3:5] - inputs[:, :2])[0]

    def partials(self, inputs: Array, constants: Array) -> Array:
        """The level direction between them."""
        _, along = unit(inputs[:, 3:5] - inputs[:, :2])
        partials = np.zeros_like(inputs)
        partials[:, :2], partials[:, 3:5] = -along, along
        return partials

    def terms(self, subject: str, setting: Setting) -> Terms:
        """Both wheel centres."""
        return Terms(self.points(subject, setting))

    def marks_of(self, subject: str, setting: Setting) -> tuple[Mark, ...]:
        """Hub to hub."""
        return (Mark(self.shape, self.points(subject, setting)),)
