"""What is said of a link's parts, and why a plan cannot be cut from."""

from __future__ import annotations

STANDS_OUT = "how far the joint stands out"
RODS = {"drag_link": "drag link", "tie_rod": "tie rod"}
LIP_OF_THE_INSERT = "the lip of the insert"
NO_SUCH_PLAN = "There is no plan of that name; these are the lengths as measured."


def plan_cannot_be_followed(trouble: object) -> str:
    return f"This plan cannot be followed: {trouble}"
