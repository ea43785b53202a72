"""Checks of the instruments themselves: each measures the one amount by which everything read with it is off.

Without such a reading an instrument is taken to be true within its spread. With one, the offset is an unknown of the
fit that every reading by that instrument shares (`Kind.offset`), so that it is estimated and its doubt carried on.
"""

from __future__ import annotations

from geometry.readings.kind import Setting, Terms, Wording
from geometry.readings.single import Single
from geometry.slips import DIGITS


class GaugeCheck(Single):
    """Angle gauge turned end for end on one spot: what it shows first, s + o, less what it shows turned, s - o: 2 o."""

    name = "gauge_check"
    noun = "check of the angle gauge"
    unit = "deg"
    usual_sd = 0.15
    signed = True
    subjects = ("turned",)
    low, high = -20.0, 20.0
    effort = 1.0
    slips = DIGITS
    view = "side"
    shape = "none"
    wording = Wording(
        title="Angle gauge, turned end for end",
        do_this=(
            "Lay the gauge on a flat that leans a little, the end you keep ahead uphill, and read it.",
            "Turn it end for end on the same spot and read again.",
            "Type by how much it showed more the first way.",
        ),
        mistakes=(
            "The gauge was not turned on the very same spot.",
            "It was zeroed between the two: leave it as it is for the whole walk.",
        ),
        sides=("more the first way", "less the first way"),
    )

    def terms(self, subject: str, setting: Setting) -> Terms:
        """Twice the gauge's offset."""
        self.points(subject, setting)
        return Terms(("gauge.offset",), (2.0,))


class TapeCheck(Single):
    """What the tape shows along a known length, less that length: o."""

    name = "tape_check"
    noun = "check of the tape"
    usual_sd = 0.7
    signed = True
    subjects = ("known_length",)
    low, high = -150.0, 150.0
    effort = 1.0
    slips = DIGITS
    view = "side"
    shape = "none"
    wording = Wording(
        title="Tape against a known length",
        do_this=(
            "Lay the tape along a steel rule or a bar of known length, from the end you measure with.",
            "Type by how much the tape shows more.",
        ),
        mistakes=(
            "Another end was used than on the walk: hook and burned end are not alike.",
            "More and less mixed up: more means that the tape shows too much.",
        ),
        sides=("tape shows more", "tape shows less"),
    )

    def terms(self, subject: str, setting: Setting) -> Terms:
        """The tape's offset."""
        self.points(subject, setting)
        return Terms(("tape.offset",), (1.0,))


class LevelCheck(Single):
    """Water level or laser both ways between two marks: the rise read first, r + o, less that read back, r - o: 2 o."""

    name = "level_check"
    noun = "check of the water level"
    usual_sd = 2.0
    signed = True
    subjects = ("both_ways",)
    low, high = -200.0, 200.0
    effort = 2.0
    slips = DIGITS
    view = "side"
    shape = "none"
    wording = Wording(
        title="Water level, both ways",
        do_this=(
            "Read the rise from one mark to another.",
            "Change the two ends of the level over and read the same rise again.",
            "Type by how much it showed more the first way.",
        ),
        mistakes=("The two ends were not changed over.", "Air in the hose: tap it and wait until both ends stand."),
        sides=("more the first way", "less the first way"),
    )

    def terms(self, subject: str, setting: Setting) -> Terms:
        """Twice the level's offset."""
        self.points(subject, setting)
        return Terms(("level.offset",), (2.0,))
