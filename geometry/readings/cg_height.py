"""Height of the centre of gravity when it is only guessed."""

from __future__ import annotations

from geometry.readings.kind import Setting, Terms, Wording
from geometry.readings.single import Single
from geometry.slips import TAPED


class CgHeight(Single):
    """z of the whole vehicle's centre of gravity."""

    name = "cg_height"
    noun = "centre of gravity height"
    usual_sd = 50.0
    tells = "cg_height"
    subjects = ("estimate",)
    low, high = 100.0, 2500.0
    effort = 1.0
    guessed = True
    slips = TAPED
    view = "side"
    shape = "cg_height"
    wording = Wording(
        title="Height of the centre of gravity, guessed",
        do_this=(
            "Read the floor to the camshaft line of the engine, or take 50 to 150 mm above the frame's top.",
            "Enter it as a guess; it counts give or take 100 mm.",
        ),
        mistakes=("The top of the engine was taken.", "The bare vehicle was taken, not the finished one."),
    )

    def terms(self, subject: str, setting: Setting) -> Terms:
        """z of the centre of gravity."""
        self.points(subject, setting)
        return Terms(("cg.z",), (1.0,))
