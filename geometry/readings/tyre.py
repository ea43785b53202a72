"""The free tyre: its diameter, read straight or by the tape round its tread."""

from __future__ import annotations

import math

from geometry.readings.kind import Setting, Terms, Wording
from geometry.readings.single import Single
from geometry.slips import TAPED


class Diameter(Single):
    """Free diameter of the tyre."""

    name = "diameter"
    noun = "diameter"
    usual_sd = 4.0
    taped = True
    subjects = ("tyre",)
    low, high = 300.0, 1600.0
    effort = 1.0
    slips = TAPED
    view = "side"
    shape = "diameter"
    tells = "tyre_diameter"
    wording = Wording(
        title="Diameter of the tyre, off the floor",
        do_this=("Raise the wheel so that the tyre hangs free.", "Read between two squares stood against the tread."),
        mistakes=(
            "The tyre still stood on the floor.",
            "The size on the sidewall was taken: real ones run 5 to 20 mm small.",
        ),
        care="Stands under the axle before a wheel hangs free; a jack alone does not hold.",
    )

    def terms(self, subject: str, setting: Setting) -> Terms:
        """The free diameter."""
        self.points(subject, setting)
        return Terms(("tyre.free_diameter",), (1.0,))


class Circumference(Single):
    """Once round the free tyre."""

    name = "circumference"
    noun = "circumference"
    usual_sd = 4.0
    taped = True
    subjects = ("tyre",)
    low, high = 900.0, 5000.0
    effort = 1.0
    view = "side"
    shape = "circumference"
    tells = "tyre_diameter"
    tells_per = 1.0 / math.pi
    slips = TAPED
    wording = Wording(
        title="Once round the tyre, off the floor",
        do_this=(
            "Raise the wheel so that the tyre hangs free.",
            "Lay a cloth tape round the middle of the tread; read the lap.",
        ),
        mistakes=("A whole foot or inch is missed.", "The tape wandered off the middle of the tread."),
        care="Stands under the axle before a wheel hangs free; a jack alone does not hold.",
    )

    def terms(self, subject: str, setting: Setting) -> Terms:
        """pi times the free diameter."""
        self.points(subject, setting)
        return Terms(("tyre.free_diameter",), (math.pi,))
