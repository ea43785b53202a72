"""What readings ask for alike, and why a name is none."""

from __future__ import annotations

CASTER_ON_A_REAR_AXLE = "caster belongs to a front axle, and this vehicle file is about a rear one."
NOBODY_UNDER = "Nobody under a vehicle that a jack alone holds: stands first, then push it by hand before going under."
END_FOR_END = "Turn the gauge end for end and read again; half the difference is the angle."
WRITE_A_PAIR = "; write P~Q, pinion or gearbox_output."
ONE_END_UP = (
    "A vehicle with one end up on free wheels rolls or falls: have a shop with a lift do it, or guess the height "
    "instead. Never go under it, and never lift it by a jack."
)
LOCK_THE_SUSPENSION = "Lock the suspension: solid bars in place of the shocks, so that springs and axles cannot move."


def no_incline(subject: str, help_: str) -> str:
    return f"there is no incline of {subject}{help_}"


def no_such_subject(kind: str, subject: str, help_: str) -> str:
    return f"there is no {kind} of {subject}{help_}"


def one_point(subject: str) -> str:
    return f"{subject} is one point; write two with ~ between, such as {subject}~axle.centre."


def same_point(point: str) -> str:
    return f"{point} stands on both sides of the ~; write two different points."


def no_colon(name: str) -> str:
    return f"{name}: a reading's name is kind:subject, such as height:lower_left.frame."


def no_such_kind(name: str, kind: str, near: str) -> str:
    return f"{name}: there is no kind of reading {kind}{near}"


def hang_the_cord(point: str) -> str:
    return f"Hang the plumb cord from {point}; mark the floor under the still bob."
