"""What the page of stated facts answers when something typed cannot be taken."""

from __future__ import annotations

TYPE_THE_WIDTH = "Type its width too."
TYPE_THE_HEIGHT = "Type its height too."
NAME_THE_BODY = "Say what it is, in letters: exhaust, crossmember."
NAME_IS_TAKEN = "There is a body of that name already: give this one another."
CHOOSE_THE_POINTS = "Choose the points it runs between."
TYPE_THE_OUTSIDE = "Type the tube’s outside diameter too: without it the rest of the tube says nothing."
WALL_TOO_THICK = "A wall cannot be more than half the outside: look at both again."
BOTH_OR_NEITHER = "State the section modulus and the area, or neither."
TYPE_THE_PITCH = "Type the thread’s pitch too."
CHOOSE_THE_HAND = "Choose the thread’s hand too."
CHOOSE_HOW_IT_LIES = "Choose how the bolt lies before it is tilted or turned."
CHOOSE_ANOTHER_POINT = "Choose another point: it has to run from one to another."
SUCH_AS_A_YIELD = "Type a yield stress such as 379 or 55 ksi."
SUCH_AS_A_TORQUE = "Type a torque such as 2500 N m or 1850 lb ft."
SUCH_AS_A_MODULUS = "Type a section modulus such as 12 cm3 or 0.75 in3."
SUCH_AS_AN_AREA = "Type an area such as 14 cm2 or 2.2 in2."
SUCH_AS_A_SHARE = "Type a share between 0 and 100, such as 62."
SUCH_AS_A_NUMBER = "Type a plain number, such as 0.8."
SUCH_AS_A_PITCH = "Type how many threads an inch has, such as 12 per inch."


def too_long(number: int) -> str:
    return f"{number} characters are too many here: type one number."


def out_of_reach(words: str, low: str, high: str) -> str:
    return f"{words}: it should lie between {low} and {high}."


def no_number(text: str, such: str) -> str:
    return f"“{text}” is not a number that can be read: type one such as {such}."
