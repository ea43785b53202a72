"""What the page for reading two stages side by side says."""

from __future__ import annotations

CHANGES_HEAD = "The change of each with its give or take. A * marks a sure change."
AS_MUCH_AS_READINGS_ALLOW = "To tell moves as closely as readings allow"


def no_such_stage(stage: str, stages: str) -> str:
    return f"there is no stage {stage}; the stages are {stages}."


def with_itself(stage: str) -> str:
    return f"{stage} is compared with itself; name two stages."


def wrong_way(before: str, after: str, first: str, second: str) -> str:
    return f"{before} comes after {after}; name the earlier stage first: {first} {second}."


def heading(earlier: str, later: str, carried: str) -> str:
    return (
        f"From {earlier} to {later}; readings carried over, which stand in both: {carried}. Every ± holds in about 19 "
        "cases of 20; a change is called sure when scatter alone would make it once in a thousand such comparisons."
    )


def how_far(unit: str) -> str:
    return f"How far each went, in {unit}: x ahead, y to the left, z up. A * marks a sure change."


def at_every_bracket(small: str) -> str:
    return f"To tell the move of every bracket ± {small}"


def no_closer(small: str) -> str:
    return f"± {small} is not reached everywhere, however often these are read."


def more_steps(number: int) -> str:
    return f"  and {number} more; the JSON has them all."
