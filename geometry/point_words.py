"""What points are called."""

from __future__ import annotations

BALL_AT_THE_BOX = "ball at the steering box arm"
BALL_AT_THE_KNUCKLE = "ball at the knuckle"


def kingpin(end: str, side: str) -> str:
    return f"the {end} of the {side} kingpin"


def tie_rod_ball(side: str) -> str:
    return f"the tie rod's {side} ball"


def middle_of(link: str) -> str:
    return f"the middle of the {link}"
