"""What the report to read on paper or in a terminal says."""

from __future__ import annotations

NO_READING_COUNTS = "No reading counts yet: all that follows is guessed from the layout."
NONE_YET = "None can be had yet."
QUESTION_MARK = "A ? stands before a figure that hangs on a reading in doubt: see Second look first."
LEANS_ON_A_GUESS = "      Leans on a guess so far."
BY_CONVENTION = "By convention: how the bushings give decides."
LEANS_ON_DOUBT = "      Leans on a reading in doubt."
NOTHING_STANDS_OUT = "Nothing stands out: the readings go together."
LOOK_AGAIN = "Look at them again."
NO_TYPED_TEXT = "without its typed text"
IN_PLACE_OF_GUESSES = "These readings would take the place of guesses"
POINTS_DO_NOT_GIVE_IT = "the points do not give it."
NOT_USED = "Kept in the log, not used"


def carried_over(number: int, of: int) -> str:
    if number == of:
        return ", all of them carried over from an earlier stage: nothing was read at this one"
    return f", {number} of them carried over from an earlier stage"


def axes(unit: str, axle: str) -> str:
    return f"In {unit}: x ahead of the {axle} axle, y to the left, z above the floor."


def would_be(said: str) -> str:
    return f"Leans on a reading in doubt: {said} with that corrected as is likeliest."


def likely_slip(slip: str, fits: str) -> str:
    return f" Likely slip: {slip}; {fits} would fit."
