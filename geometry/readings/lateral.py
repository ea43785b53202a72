"""Sideways: a plumb mark's distance from the centreline, + left."""

from __future__ import annotations

from geometry.points import point_named
from geometry.readings.kind import Setting, Wording
from geometry.readings.plumbed import Plumbed


class Lateral(Plumbed):
    """y_P - z_P tan(bank)."""

    name = "lateral"
    noun = "sideways"
    datum = "centreline"
    low, high = -2500.0, 2500.0
    slope = "floor.bank"
    column = 1
    shape = "lateral"
    wording = Wording(
        title="Centreline to {p}, plumbed",
        do_this=(
            "Hang the plumb cord; mark the floor under the still bob.",
            "Read square from the centreline to the mark; left is the driver's left.",
        ),
        mistakes=(
            "Left and right mixed up: the side is the driver's, seated facing forward.",
            "The cord hung at the side of the bolt's head and not over its centre: 9 to 14 mm.",
            "The other edge of the chalk line was used: 2 to 4 mm.",
        ),
        sides=("left of the centreline", "right of the centreline"),
    )

    def side(self, subject: str, setting: Setting) -> int:
        """A left point is left of the centreline."""
        return point_named(subject, setting.layout, setting.worked_axle).side
