"""Weight on a wheel, on an axle, or of the whole vehicle, kg."""

from __future__ import annotations

from geometry.points import LOADS
from geometry.readings.kind import Setting, Terms, Wording
from geometry.readings.single import Single
from geometry.slips import WEIGHED

WHEELS = tuple(load.partition(".")[2] for load in LOADS)
SHARE = 0.01
"""One sd as a share of the reading; never under `LEAST_KG`."""
LEAST_KG = 1.0


class Weight(Single):
    """Sum of the wheel loads it covers."""

    name = "weight"
    noun = "weight"
    unit = "kg"
    usual_sd = LEAST_KG
    subjects = (*WHEELS, "front", "rear", "total")
    low, high = 10.0, 12000.0
    effort = 5.0
    slips = WEIGHED
    view = "top"
    shape = "weight"
    wording = Wording(
        title="Weight, {subject}",
        do_this=(
            "All scales level within 3 mm; roll on, brakes off, wheels straight.",
            "Same fuel, people and tools as for the heights.",
        ),
        mistakes=(
            "The suspension had not settled, or the brakes were on: 5 to 8 kg.",
            "Scales not at one height: the load moves to the other corners.",
        ),
        care="Chock the wheels on the scales before stepping away.",
    )

    def terms(self, subject: str, setting: Setting) -> Terms:
        """All four loads, those it covers with 1."""
        self.points(subject, setting)
        covers = [subject in (wheel, wheel.partition("_")[0], "total") for wheel in WHEELS]
        return Terms(LOADS, tuple(map(float, covers)))

    def sd(self, value: float, tape_class: str = "II") -> float:
        """1 % of the reading, not under 1 kg."""
        return max(SHARE * abs(value), LEAST_KG)
