"""Rows of holes: what is answered to what was typed, and how a row is said."""

from __future__ import annotations

LENGTHS_KEPT = "Links keep their lengths, and the axle follows."
LINKS_FITTED = "Links are made to fit."
TURNED_BY_LESS_THAN_NOTHING = "Links turned by less than nothing: type how far they can go either way, such as 1."
CHOOSE_A_BOLT = "Choose the bolt that has a row of holes."
NONE_IN_USE = "None of these is the hole in use: give it a line of its own, 0, 0, 0."
HOLE_IN_USE = "the hole in use"
AT_THE_SAME_PLACE = "at the same place"
NO_HOLE_TYPED = "No hole is typed yet: one a line, such as 0, 0, 1 1/2."


def too_many_holes(number: int, most: int) -> str:
    return f"{number} holes are too many for one row; {most} is the most."


def whole_number(about: str) -> str:
    return f"Type a whole number for {about}, such as 3."


def three_lengths(line: int, has: str) -> str:
    return f"Line {line} has {has} and needs 3: forward, left, up, with commas between."


def same_hole(line: int, first: int) -> str:
    return f"Line {line} is the same hole as line {first}; leave one of them out."


def hole_in_use_is(number: int) -> str:
    return f"hole {number} is in use"


def row_of_holes(number: int, step: str, used: str) -> str:
    return f"{number} holes, each {step} of the one before; {used}"
