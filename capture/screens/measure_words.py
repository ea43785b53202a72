"""What is said of a reading typed without script, and round the walk."""

from __future__ import annotations

from capture.screens.words import short

MOST_OF_A_TITLE = 32
SAY_WHICH_SIDE = "Say which side it is on."
NOTHING_ON_PAPER = "Nothing is typed yet; fill in what stands on the paper."
PAPER_TITLE = "Type the paper in"
TO_THE_PAPER = "Back to the paper"
NAME_YOUR_POINT = "Give it a name of letters or digits, such as oil pan."
CLOSED_ON = "Closed: to the next stage"
ALL_TAKEN = "All taken: second look"


def give_or_take_between(ends: str) -> str:
    return f"Give or take lies between {ends} for this reading: type it once more."


def under_give_or_take(refusal: str) -> str:
    return f"Under give or take: {refusal}"


def look_again(low: str, high: str) -> str:
    return f"Readings of this kind lie between {low} and {high}: look again, or record it as it is."


def look_at_the_paper(low: str, high: str) -> str:
    return (
        f"Readings of this kind lie between {low} and {high}: look at the paper again. Sent once more as it is, it is "
        "taken."
    )


def compare_with(before: str) -> str:
    return f"Compare with {before}"


def all_taken_compare(before: str) -> str:
    return f"All taken: compare with {before}"


def stands_now(title: str) -> str:
    """Beside the keys there is room for two lines of it: a longer title is told without what follows its comma."""
    return f"{title if len(title) <= MOST_OF_A_TITLE else short(title.partition(',')[0], MOST_OF_A_TITLE)}: known now"
