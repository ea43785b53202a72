"""What is said about a doubt: geometry names the reason and the numbers, the sentences stand here."""

from __future__ import annotations

from geometry.doubt import Doubt

from capture.lengths import say, say_with_spread
from capture.screens import words

SHARED = {
    "cross_line": "These fore-and-aft readings were taken from a line that had moved, by {amount}.",
    "centreline": "These sideways readings were taken from a line that had moved, or from its other edge: {amount}.",
    "cross_skew": "The cross line does not stand square to the centreline.",
    "centre_skew": "The centreline is chalked at an angle to the vehicle.",
    "heights": "These heights are all off alike, by {amount}: the vehicle settled, or the tape stood on another floor.",
    "one_end": "The heights are off by a ramp: one end stood higher while they were read.",
    "tape": "Everything read with the tape is off alike, by {amount}.",
    "gauge": "Everything read with the angle gauge is off alike, by {amount}.",
    "wheels_turned": "The front wheels were not straight ahead while the steering points were read.",
    "same_name": "All takes of it agree with each other and not with the rest: perhaps another point was read.",
    "exchanged": "Left and right look written down for each other.",
}
TITLES = {
    "cross_line": "The cross line", "centreline": "The centreline", "cross_skew": "The cross line",
    "centre_skew": "The centreline", "heights": "Heights that moved together", "one_end": "One end stood higher",
    "tape": "The tape itself", "gauge": "The angle gauge", "wheels_turned": "Wheels not straight ahead",
    "exchanged": "Left and right",
}


def title(doubt: Doubt) -> str:
    """For a doubt about several readings."""
    if doubt.shared is not None:
        return TITLES.get(doubt.shared.family, "Readings that are off together")
    return f"One of these {len(doubt.readings)} readings"


def sentence(doubt: Doubt, display_unit: str) -> str:
    """What is the matter, in one sentence."""
    if doubt.shared is not None:
        shared = doubt.shared
        amount = say_with_spread(abs(shared.amount), shared.sd, shared.unit, display_unit)
        many = f" {words.counted(len(doubt.readings), 'reading')} in all." if len(doubt.readings) > 1 else ""
        return SHARED.get(shared.family, "These readings are off together, by {amount}.").format(amount=amount) + many
    if doubt.reason == "tie":
        return "One of them does not fit; the numbers alone cannot tell which."
    if doubt.reason == "takes_disagree":
        return "Its takes differ, and nothing else says which one holds."
    if doubt.reason.startswith("rule:"):
        return words.RULES.get(doubt.reason.removeprefix("rule:"), "This does not fit yet with the rest.")
    return "It does not fit with the rest."


def likely(doubt: Doubt, display_unit: str) -> str:
    """The slip that would explain it, and the value that would fit; empty where none does."""
    if doubt.likely is None or not doubt.suspects:
        return ""
    fits = say(doubt.likely.value, doubt.suspects[0].unit, display_unit)
    how = doubt.likely.how or f"{words.sentence_start(doubt.likely.mistake)}."
    return f"{how[:1].lower()}{how[1:]} {fits} would fit."


def deed(doubt: Doubt, short: str) -> str:
    """What is written on the key."""
    if len(doubt.readings) == 1:
        return "Read it again"
    return f"Read again: {short}"
