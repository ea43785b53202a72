"""Travel: how far the wheel goes from ride height to the stop."""

from __future__ import annotations

from collections.abc import Mapping
from typing import ClassVar

from geometry.readings.kind import Setting, Terms, Wording
from geometry.readings.single import Single
from geometry.slips import TAPED


class Travel(Single):
    """Wheel travel, both wheels together, up or down."""

    name = "travel"
    noun = "travel"
    usual_sd = 5.0
    subjects = ("bump", "droop")
    low, high = 0.0, 600.0
    effort = 10.0
    slips = TAPED
    view = "side"
    shape = "travel"
    wording = Wording(
        title="Travel up from ride height to the stop",
        do_this=(
            "Springs out, a jack under each end of the axle; raise both alike until the stop touches.",
            "Read how far the hubs rose.",
        ),
        mistakes=("The frame rose off its stands and not the axle.", "Only one wheel went up."),
        care="Two jacks, slowly, hands clear of the links; stands under the frame before touching anything.",
    )
    special: ClassVar[Mapping[str, Wording]] = {
        "droop": Wording(
            title="Travel down from ride height to the stop",
            do_this=(
                "Lower both ends of the axle alike until the strap or stop holds.",
                "Read how far the hubs went down.",
            ),
            mistakes=("The axle hung by a hose or the driveshaft and not by its strap.", "Only one wheel went down."),
            care="Never let the axle hang by the driveshaft or a brake hose; straps first.",
        )
    }

    def terms(self, subject: str, setting: Setting) -> Terms:
        """That travel."""
        self.points(subject, setting)
        return Terms((f"travel.{subject}",), (1.0,))
