"""What is said while a doubt is settled and once it is."""

from __future__ import annotations

LOOKED = "I have looked, it is so"
CORRECT_OR_KEEP = "Correct, keep or set aside"
KEPT_AS_STATED = "Kept as stated, until one of its sizes is changed."
KEPT_AS_READ = "Kept as read. That doubt is settled."
SET_ASIDE = "Set aside. It counts for nothing until you bring it back."
STILL_IN_DOUBT = "Still in doubt: see below what would tell."
GONE_TITLE = "That doubt is gone"
GONE = "It was settled already, or a later reading answered it."
CHOOSE_THE_READING = "Choose which of the readings is corrected."
THAT_STANDS_ALREADY = "That is what stands there already: type what it should be, or keep it with a reason."
WOULD_CHECK = "It would check what is nearby."
NOTHING_MOVED = "The frame marks read the same first and last: nothing moved."


def takes_count(number: int) -> str:
    return f" All {number} takes count."


def doubt_is_gone(several: str) -> str:
    return f"It goes with the rest now. That doubt is gone.{several}"


def look_once_more(low: str, high: str) -> str:
    return f"Readings of this kind lie between {low} and {high}: look at the number once more."


def fit_together(number: int) -> str:
    return f"{number} readings fit together; every link bolt is checked by another reading."
