"""Fore and aft: a plumb mark's distance from the cross line, + forward."""

from __future__ import annotations

from geometry.readings.kind import Wording
from geometry.readings.plumbed import Plumbed


class ForeAft(Plumbed):
    """x_P - z_P tan(pitch)."""

    name = "fore_aft"
    noun = "fore and aft"
    datum = "cross line"
    low, high = -8000.0, 8000.0
    slope = "floor.pitch"
    column = 0
    shape = "fore_aft"
    tells = "cross_line"
    wording = Wording(
        title="Cross line to {p}, plumbed",
        do_this=(
            "Hang the plumb cord; mark the floor under the still bob.",
            "Read square from the cross line to the mark.",
        ),
        mistakes=(
            "The cord hung at the side of the bolt's head and not over its centre: 9 to 14 mm.",
            "The tape ran slantwise: 50 mm sideways in 500 mm reads 2.5 mm long.",
            "Forward and rearward of the cross line mixed up.",
            "The end of the bolt was plumbed and not the middle of the joint: 20 to 40 mm.",
        ),
        sides=("ahead of the cross line", "behind the cross line"),
    )
