"""What the as-built sheet says, apart from its fixed headings."""

from __future__ import annotations

AS_IT_WAS = "every entry before it is as it was."
NOT_AS_IT_WAS = "an entry before it is NOT as it was."
ON_A_GUESS_UNTIL = "stands on a guess until it has"
POINTS_DO_NOT_GIVE_IT = "the points do not give it"
NOT_HERE = (
    "Measured geometry only: no strength of a weld, bracket, bolt or tube was worked out for this sheet. Bands are "
    "common practice, not a rating."
)
CODE_LEADS_THERE = (
    "The record itself, on the laptop it was printed from, while Plumbtack runs there: scan it on the same network."
)
CODE_IS_TEXT = "The name of the vehicle and its fingerprint, as text, to hold against a file."


def carried_over(carried: int) -> str:
    return f", {carried} of them carried over"


def record_of(name: str, entries: int, digits: str) -> str:
    return f"Plumbtack record of {name}: {entries} entries, SHA-256 {digits}"


def bar_is(paper: float, vehicle: float) -> str:
    return f"{paper:g} mm on this paper, {vehicle:g} mm on the vehicle"


def kept_against_the_remark(at: str) -> str:
    return f"kept against the remark when it was typed, {at}"


def nothing_in_its_place(why: str) -> str:
    return f"{why}; nothing stands in its place"


def from_the_left(scale: str) -> str:
    return f"From the left, {scale}, front at left"


def from_above(scale: str) -> str:
    return f"From above, {scale}, front at left, left side below"


def from_the_end(where: str, scale: str, left: str, right: str) -> str:
    return f"{where}, {scale}, {left} side at left, {right} at right"


def cut_to(length: str) -> str:
    return f"tube cut to {length}"


def cut_about(length: str) -> str:
    return f"tube about {length}: measured no better"


def set_to(length: str, day: str) -> str:
    return f"set to {length} on {day}"
