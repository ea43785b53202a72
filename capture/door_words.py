"""What the door says to programs and phones that it turns away."""

from __future__ import annotations

NO_ROOM_TITLE = "No room on the laptop"
TOO_DEEP = "Brackets stand in each other far too deep for anything this program takes."
NO_REQUEST = "This cannot be read as a request: open the address the program printed, in a browser, or send HTTP/1.1."
CANNOT_START = "The program could not start: the laptop's terminal says why and what to do."
TOO_MUCH = "This is far more than the program takes at once: send less of it."
ENTRIES_ALONE = 'The request must be an object {"entries": [...]} and nothing else.'
IDS_ALONE = 'The request must be an object {"ids": [...]} with the ids of entries.'
NOT_OUR_NAME = "This name is not one the program gave out: open the address it printed, or start it with --host NAME."
NOT_OUR_PAGE = "This change did not come from a page of this program: open the page here and send it again."
NO_KEY = (
    "This page opens with the code that the laptop shows: point the phone's camera at it, or open the whole address "
    "printed there."
)
NO_KEY_FOR_PROGRAMS = (
    "The key is missing or another one's: send Authorization: Bearer KEY (plumbtack --print-key shows it)."
)
KEY_OF_BEFORE = "This code is no longer the right one: point the camera at the code the laptop shows now."
GUEST_MAY_LOOK = (
    "You are here to look, so nothing was changed: who measures comes in with the other code of the laptop."
)
KEYS_ARE_MADE_ON_THE_LAPTOP = (
    "A new key is made on the laptop itself: open the page there, in a browser that is paired."
)
ONLY_ON_THE_LAPTOP = "Only on the laptop"


def too_many_entries(most: int) -> str:
    return f"At most {most} entries at once: send them in smaller parts."


def no_such_stage(there_are: str) -> str:
    return f"The stage must be one of {there_are}."


def no_reading_to_set_aside(of: str) -> str:
    return f"of names {of}, which is no reading; only readings can be set aside."


def too_many_keys(seconds: int) -> str:
    return f"Too many keys that do not fit came from there: wait {seconds} s, then use the code the laptop shows."
