"""What the tables of a family say over and under their numbers."""

from __future__ import annotations

WHOLE_TURN = (
    "Where a joint’s rating or its bolt’s direction is not stated, the angle is the whole turn from ride height."
)
MOST_EACH_JOINT_LEANS = "The most each joint leans"
USUAL_ROOM = (
    "People usually leave 25 mm (1 in) round a tyre and a sump, 20 round the shaft, 12 to 20 between bars: brackets, "
    "bent tubes and soft bushings use up 10 to 15. Common practice, no source."
)
A_POINT_IS_A_POINT = "A point that must not be touched is a point: give a large thing several, or state it as a body."
LEAST_GAPS = "The least gap of each pair"
COUNTED_WITH = (
    "Counted with your level weights as they stand, and scales good to 1 % where you have not said how good they are: "
    "with finer ones say so at each weight, under more. The springs must be held so that they do not move, and the "
    "wheels must roll freely."
)
HOW_HIGH = "How high to raise one end"
WEIGH_TWICE = "Weigh the front wheels level, then with the rear wheels raised: the higher, the surer."
NEVER_UNDER = "Never under a raised vehicle: wheels chocked, on a platform that cannot roll or tip."
HIGHEST_IS_TOO_LITTLE = (
    "Even the highest lift leaves more doubt in the anti figures than the other readings do: weigh at three heights, "
    "up and down again."
)
STRAIGHT_UP_OR_DOWN = "Straight up or down"
BY_A_GUESS = "Bump steer is mostly guessed so far, and this with it: drill no hole by it yet."
FLATTEN = "To flatten bump steer, move the panhard’s frame end"
OVER_THE_TRAVEL = "Over 75 mm (3 in) of travel each way; the bar’s length goes with its end."
BEST_OF_ALL = "Best of all"
WAYS = (("back", "forward"), ("right", "left"), ("down", "up"))
AT = (
    ("behind the axle", "ahead of the axle"),
    ("right of the middle", "left of the middle"),
    ("below the floor", "above the floor"),
)


def wheel_stands(side: str, length: str, way: str) -> str:
    """way: up or down of a wheel that has moved alone, higher of one against the other."""
    return f"with the {side} wheel {length} {way}"


def usual_joints(plain: float, most: float, soft: float, softest: float) -> str:
    return (
        f"Plain rod ends are usually good for {plain:.0f} to {most:.0f}° each way, 30 or more with spacers; rubber "
        f"gives {soft:.0f} to {softest:.0f}° freely. Common practice, no source."
    )


def more_pairs(rest: int) -> str:
    return f"{rest} more pairs have more room."


def taken_as_usual(taken: str) -> str:
    return f"Taken as usual, as it is not stated: {taken}."


def known_already(now: str) -> str:
    return f"The height is known as well already as a lift would tell it ({now})."


def tells_more_from(rise: str, now: str) -> str:
    return f"From {rise} on a lift tells more than what is known now ({now})."


def high_enough_from(rise: str) -> str:
    return (
        f"High enough is {rise}: from there on the other readings leave more doubt in the anti figures than the height "
        "does."
    )
