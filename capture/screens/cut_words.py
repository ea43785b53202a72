"""What the cut list says beside its numbers: their worth, why there is none yet, what the drawing is true to."""

from __future__ import annotations

from collections.abc import Iterator

from geometry.cutting import finest

from capture.cut_list import COARSE, GUESSED, PARTS, CutLine
from capture.lengths import say
from capture.screens import words


def why_not(line: CutLine) -> str:
    """Why there is no number yet."""
    if line.state == GUESSED:
        return "Its length is mostly guessed yet."
    if line.state == PARTS:
        missing = [said_as for _, said_as in line.parts.missing]
        return f"Not stated yet: {words.listed(list(dict.fromkeys(missing)))}."
    return line.said


def scale_words(line: CutLine, out: float, unit: str) -> str:
    """What the drawing is true to."""
    outside = "" if line.parts.outside else " The tube’s outside is not stated; it is drawn at a usual size."
    if not out:
        return f"To scale along its length.{outside}"
    return f"To scale along its length, but for {say(out, 'mm', unit)} of the tube left out at the break.{outside}"


def sentences(line: CutLine, unit: str) -> Iterator[str]:
    """What the number is worth."""
    if line.made is None:
        yield why_not(line)
        return
    each, give = say(line.made.each_way, "mm", unit), say(2 * line.made.sd, "mm", unit)
    hands = {end.left for end in line.parts.ends if end.thread}
    if line.state == COARSE and not line.made.each_way:
        yield (f"Nothing turns at either end, so nothing can be set afterwards, and the give or take is {give}. "
               "No length finer than that can be stated: measure more, or cut long and trim it to the bolts.")
    elif line.state == COARSE:
        little = "little" if each.startswith("0 ") else each
        yield (f"The give or take, {give}, is more than the {little} it can be set either way. No length finer than "
               f"{say(finest(2 * line.made.sd, unit), 'mm', unit)} can be stated yet. Measure more first; or cut it "
               f"{say(line.made.cut_long, 'mm', unit)} longer still and shorten it once its length is known.")
    else:
        yield (f"Cut for the middle of the adjustment: it can be set {each} longer or shorter, more than the give or "
               f"take of {give}.")
    if len([end for end in line.parts.ends if end.thread]) == 2 and len(hands) == 1:
        yield ("Both ends have the same hand: turning the tube screws one in as the other comes out. Make one of them "
               "left-hand, or take a joint off its bolt to set the length.")
    left = [end for end in line.parts.ends if end.thread and end.left]
    if len(left) == 1 and len(hands) == 2:
        yield f"The {left[0].words} is the left-hand one: weld the left-hand insert there."
