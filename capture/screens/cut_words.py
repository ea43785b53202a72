"""What the cut list says beside its numbers: their worth, why there is none yet, what the drawing is true to."""

from __future__ import annotations

from collections.abc import Iterator

from geometry.cutting import finest

from capture.cut_list import COARSE, GUESSED, PARTS, CutLine
from capture.lengths import say
from capture.screens import words

STANDING = "From its centre to where its thread begins."
WELDED_ON = f"{STANDING} Welded on: to the tube."
STANDING_OF_AN_ARM = "From the middle between its two axle bolts to where the tube begins."
SOLID = "As thick as half the outside means solid."
MADE_SUCH_AS = "Your words, for the sheet: “rod end, 3/4 bolt”."
MADE = "Your words, for the sheet."
ANOTHER_FROM_THE_FACTS = "another, from the facts"
THREAD_LENGTH = "Length of the thread"
ALL_OF_IT = "All of it, on the shank."
JAM_NUT = "Height of the jam nut"
JAM_NUT_NONE = "0 where there is none."
LIP = "Lip of the insert"
LIP_IS = "How far its flange stands out of the tube; 0 where it sits flush."
LIP_NONE = "Empty where the thread is cut in the tube."
THREAD_OUTSIDE = "Outside of the thread"
CHOOSE_A_THREAD = "Choose one of the threads in the list."
NOT_SET_SO = "By what is stated now it cannot be set so: work the turns out again, then write down what was set."
JOINT_TO_JOINT = "Joint to joint."
FROM_THE_SHOULDER = "From the joint’s shoulder to the insert, nut included."
SEEN_FROM_THE_LEFT = "seen from the left end, looking towards the right"
SEEN_FROM_THE_FRAME = "seen from the frame end, looking towards the axle"
LOOKING_AT_THE_JOINT = "looking at the joint from outside"
CANNOT_GO_IN = "It cannot go in so far: its nut comes up against the joint."
NOT_HALF_A_TURN = "not half a turn"
MORE_THAN_CAN_BE_SET = "More give or take than can be set: measure more."
TO_THE_CUT_LIST = "Back to the cut list"


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


def end_title(end: str) -> str:
    return f"The joint at the {end}"


def nothing_nearer(off: str, way: str, step: str) -> str:
    return f"{off} {way} than wanted: no other {step} comes nearer."


def thread_showing(shows: str, end: str) -> str:
    return f"{shows} of thread showing at the {end}"


def the_joint(end: str) -> str:
    return f"the joint at the {end}"


def turned_so(shortest: str, longest: str) -> str:
    return f"Turned so it reaches from {shortest} to {longest}."


def set_from(link: str, now: str, reached: str, turned: str, seen: str, showing: str) -> str:
    return f"{link} set from {now} to {reached}: {turned}, {seen}; then {showing}."


def too_little_engaged(engaged: str, least: str) -> str:
    return f"Only {engaged} would stay in: one diameter, {least}, is the least in common practice."


def can_be_set(each_way: str) -> str:
    return f"Can be set {each_way} either way."


def tube_left_out(out: str) -> str:
    return f"{out} of tube left out"
