"""Aims: what is answered to what was asked for, and how the answer is said."""

from __future__ import annotations

NO_SUCH_DEED = "That is no deed of this page; load it again."
CHOOSE_A_FIGURE = "Choose a figure that this vehicle has already."
NO_USUAL_BAND = "There is no usual band for that figure; type one."
CHOOSE_A_BOLT = "Choose the bolt that may move."
MAY_NOT_MOVE = "The bolt may not move at all so: type how far it may go, at least one way."
SAY_WHAT_TO_KEEP_CLEAR = "Say what is to be kept clear, such as: sump."
ALONG = ("Ahead of the axle", "Left of centre", "Above the floor")
ROOM_AROUND = "Room around it: type how much to leave each way, above 0."
NOTHING_AIMED_AT = "Nothing is aimed at yet."
STAYS = "stays where it is"
NEAREST = "Not everything wanted can be met within these boxes. This comes nearest."
ALL_CAN_BE_MET = "Everything wanted can be met."
NOT_ALL_SETTLED = " The readings do not settle all of it."
MAY_BE_MORE = "There may be more that stands in the way: with so much wanted, not all of it was looked for."
ONE_IN_OTHER_OUT = "what brings the one in takes the other out"
EACH_ALONE = "each can be met alone, not both within these boxes"
MET_WITHIN_THE_TAPE = "met, within the tape"


def the_most(most: int) -> str:
    return f"{most} of these are the most; drop one first."


def say_from_or_up_to(title: str) -> str:
    return f"{title}: say from where or up to where it should lie; neither is typed."


def at_least_and_at_most(title: str, least: str, most: int) -> str:
    return f"{title} cannot be at least {least} and at most {most}: change one of the two."


def how_far_it_may_go(way: str, far: str) -> str:
    return f"{way}: type how far it may go, from 0 to {far}."


def still_enters(name: str) -> str:
    return f"At the nearest answer a link or bolt still enters the place of the {name}."


def none_reaches(figure: str) -> str:
    return f"No place in the boxes reaches what is wanted of {figure}, even alone."


def without(figure: str) -> str:
    return f"Without what is wanted of {figure}, all the rest can be met."


def fight(first: str, second: str, why: str) -> str:
    return f"{first} and {second} fight each other: {why}."


def left_open(parts: str) -> str:
    return f"The readings leave it open by {parts}."
