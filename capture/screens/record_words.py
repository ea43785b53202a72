"""What the record answers, and how it says what became of a reading."""

from __future__ import annotations

KEPT_UNTIL = "kept, until its sizes were changed"
NOT_IN_THE_RECORD = "That reading is not in the record"
CHOOSE_IT_THERE = "Load the record again and choose it there."
SAY_WHY = "Say in a few words why: later you will want to know."
CHOOSE_THE_CLASS = "Choose the class printed on the tape, I, II or III."
KEPT_AGAINST_THE_REMARK = "kept against the remark"


def reason_too_long(number: int, most: int) -> str:
    return f"That is {number} characters; {most} is the most for a reason."


def kept_when_in_doubt(why: str) -> str:
    return f"kept when in doubt, “{why}”"


def spread_of_its_own(give: str) -> str:
    return f"with a spread of its own, ± {give}"
