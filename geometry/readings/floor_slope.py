"""Floor slope: how much the floor climbs to the front, or to the left."""

from __future__ import annotations

from collections.abc import Mapping
from typing import ClassVar

from geometry.readings.kind import Mark, Setting, Terms, Wording
from geometry.readings.single import Single
from geometry.slips import DIGITS

SLOPES = {"fore_aft": "floor.pitch", "across": "floor.bank"}


class FloorSlope(Single):
    """pitch or bank, as they are."""

    name = "floor_slope"
    noun = "floor slope"
    unit = "deg"
    instrument = "gauge"
    usual_sd = 0.1
    signed = True
    subjects = tuple(SLOPES)
    low, high = -15.0, 15.0
    effort = 1.0
    slips = ("gauge from the other end", "one degree", *DIGITS)
    view = "side"
    shape = "floor_slope"
    wording = Wording(
        title="Slope of the floor along the vehicle",
        do_this=(
            "Lay a long level on the floor along the centreline, the gauge on it.",
            "Turn both end for end and read again; half the difference is the slope.",
        ),
        mistakes=(
            "Up and down mixed up: up means that the floor climbs to the front.",
            "The gauge was zeroed on the floor and shows none of the slope.",
        ),
        sides=("climbing to the front", "falling to the front"),
    )
    special: ClassVar[Mapping[str, Wording]] = {
        "across": Wording(
            title="Slope of the floor across the vehicle",
            do_this=(
                "Lay a long level on the floor across the vehicle, the gauge on it.",
                "Turn both end for end and read again; half the difference is the slope.",
            ),
            mistakes=(
                "Up and down mixed up: up means that the floor climbs to the left, as seated.",
                "The gauge was zeroed on the floor and shows none of the slope.",
            ),
            sides=("climbing to the left", "falling to the left"),
        )
    }

    def terms(self, subject: str, setting: Setting) -> Terms:
        """That slope alone."""
        self.points(subject, setting)
        return Terms((SLOPES[subject],), (1.0,))

    def view_of(self, subject: str, setting: Setting) -> str:
        """From ahead for the slope across."""
        return "front" if subject == "across" else self.view

    def marks_of(self, subject: str, setting: Setting) -> tuple[Mark, ...]:
        """Nothing between points: the floor line itself."""
        return ()
