"""What is said about a doubt: geometry names the reason and the numbers, the sentences stand here."""

from __future__ import annotations

from collections.abc import Callable, Iterable

from geometry.doubt import Broken, Doubt, Likely, SharedFacts
from geometry.layouts import LAYOUTS
from geometry.rules.tubes import ENDS, RODS

from capture.lengths import say, say_with_spread

FOOT_IN_METRES = 0.3048
SHARED = {  # the sentence of a mistake that readings share, and its way when they are read too much and too little
    "cross_line": (
        "They were taken from a cross line that had moved: all read {amount} too far {way}.", ("forward", "rearward")),
    "centreline": (
        "They were taken from a centreline that had moved, or from its other edge: all read {amount} too far {way}.",
        ("left", "right")),
    "cross_skew": (
        "The cross line does not stand square to the centreline: it is off by {amount} in each {far}.", None),
    "centre_skew": ("The centreline is chalked at an angle to the vehicle: it is off by {amount} in each {far}.", None),
    "heights": (
        "These heights are all {amount} too {way}: the vehicle had settled or was jacked, or the tape stood on another "
        "floor.", ("high", "low")),
    "one_end": (
        "These heights are off by a ramp of {amount} in each {far}: one end stood higher while they were read.", None),
    "tape": ("These tape readings are all {amount} too {way}: the tape’s hook or its end is off.", ("long", "short")),
    "gauge": (
        "These angles are all {amount} too {way}: the gauge had another zero while they were read.", ("high", "low")),
    "wheels_turned": ("The front wheels were turned {amount} from straight ahead while these were read.", None),
    "same_name": (
        "All takes of it agree with each other and are {amount} too {way} for the rest: perhaps another point was "
        "read.", ("much", "little")),
    "exchanged": ("Left and right look written down for each other.", None),
}
BY_LENGTH = ("cross_skew", "centre_skew", "one_end")
"""Whose amount is for each metre along the line."""
TITLES = {
    "cross_line": "The cross line", "centreline": "The centreline", "cross_skew": "The cross line",
    "centre_skew": "The centreline", "heights": "Heights that moved together", "one_end": "One end stood higher",
    "tape": "The tape itself", "gauge": "The angle gauge", "wheels_turned": "Wheels not straight ahead",
    "exchanged": "Left and right",
}
RULES = {  # a named rule that does not hold: title, sentence with its numbers
    "wheelbase_against_axles": (
        "Wheelbase against the plumb marks, {about}",
        "The {about} wheelbase was read as {read}, but that side's two wheels are plumbed {apart} apart.",
    ),
    "wheelbases_unlike": (
        "Left and right wheelbase",
        "Left is {left}, right {right}: either one was misread or the axle stands crooked.",
    ),
    "cg_below_axle": (
        "Centre of gravity too low",
        "A centre of gravity at {cg} would lie below the axle's centre at {axle}; a vehicle's lies above it.",
    ),
    "cg_above_roof": (
        "Centre of gravity too high",
        "A centre of gravity at {cg} is higher than a vehicle of this track can stand: {highest} at most.",
    ),
    "cg_outside": (
        "One axle carries next to nothing",
        "Of {total} in all, the {about} axle would carry {load}; weigh it again.",
    ),
    "weights_add_up": (
        "Weights that do not add up",
        "The parts add up to {added}, the whole was read as {whole}.",
    ),
    "upper_below_lower": (
        "Uppers below lowers at the axle",
        "By these heights the upper links hold {difference} below the lower ones at the axle.",
    ),
    "joint_in_floor": ("A joint under the floor", "By these readings a joint lies at {height}, under the floor."),
    "joint_in_tyre": ("A joint inside the tyre", "By these readings a link's joint lies {inside} inside the tyre."),
    "link_too_short": (
        "A link shorter than the way between its bolts",
        "It was read as {length}, but its two bolts are {apart} apart.",
    ),
    "driveshaft_too_short": (
        "A driveshaft shorter than its way",
        "It was read as {length}, but its two joints are {apart} apart.",
    ),
    "travel_beyond_links": (
        "Travel beyond the links",
        "The {about} travel was read as {travel}, but by these points the links bind after {binds}.",
    ),
    "tyre_squash": (
        "Tyre and wheel height",
        "A tyre {diameter} high standing {radius} from hub to floor is {about}.",
    ),
}
RULES |= {  # about what is stated of the parts
    "tube_wall": (
        "A wall thicker than its tube, {about}",
        "The wall is stated as {wall}, more than half of the {outside} outside. Look at both numbers again.",
    ),
    "tube_too_narrow": (
        "Tube and thread, {about}",
        "The joint’s thread is {thread} across and the tube {outside} outside: too little is left round the thread. "
        "Measure both with a caliper.",
    ),
    "tube_neither_nor": (
        "Tube and thread, {about}",
        "The tube is {inside} inside: too wide to cut a thread of {thread} in it, too tight for an insert round one. "
        "Measure tube, wall and thread, or state the insert.",
    ),
    "insert_too_wide": (
        "Tube and insert, {about}",
        "The insert is {insert} outside and the tube {inside} inside: it does not go in. Measure both again.",
    ),
    "insert_too_narrow": (
        "Thread and insert, {about}",
        "The thread is {thread} across and its insert {insert} outside. Measure both again.",
    ),
}
WEIGHED = ("cg_outside", "weights_add_up")
ONE_OF_THESE = "one of these readings"
KEPT_AGAINST_THE_REMARK = "Kept against the remark when it was typed."


def rule_sentence(broken: Broken, display_unit: str) -> str:
    """The sentence of one broken rule with its numbers in the person's unit."""
    unit = "kg" if broken.rule in WEIGHED else "mm"
    said = {name: say(abs(value) if name == "difference" else value, unit, display_unit)
            for name, value in broken.facts.items()}
    return RULES[broken.rule][1].format(**said, about=broken.about)


def sentence_start(text: str) -> str:
    return text[:1].upper() + text[1:]


MOST_SLIPS = 3
"""Slips named beside one doubt."""
NUMBERS = ("no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve")


def number(count: int) -> str:
    """A small number as a word."""
    return NUMBERS[count] if count < len(NUMBERS) else str(count)


def title(doubt: Doubt) -> str:
    """For a doubt about several readings."""
    if doubt.shared is not None:
        return TITLES.get(doubt.shared.family, "Readings that are off together")
    if doubt.reason.startswith("rule:"):
        return RULES[doubt.rules[0].rule][0].format(about=doubt.rules[0].about)
    return f"One of these {number(len(doubt.readings))}"


def part_title(reason: str, places: Iterable[str], layout: str) -> str:
    """The title of a doubt about stated parts, from its reason and the places of the facts it hangs on."""
    links = {link.name: link.words for link in LAYOUTS[layout].links} | RODS
    longest = max((place.split(".") for place in places), key=len, default=[])
    said = [links.get(part, part) for part in longest[1:2]]
    about = ", ".join([*said, *(ENDS.get(end, end) for end in longest[2:3])])
    rule = RULES.get(reason.removeprefix("rule:"))
    return rule[0].format(about=about) if rule else about


def sentence(doubt: Doubt, display_unit: str, place: str = "") -> str:
    """What is the matter. place: where and when the readings of a shared mistake were taken."""
    if doubt.shared is not None:
        said = shared_sentence(doubt.shared, display_unit)
        return f"{said} {sentence_start(place)}." if place else said
    if doubt.reason == "tie":
        return "One of them does not fit; the numbers alone cannot tell which. The likeliest stands first."
    if doubt.reason == "takes_disagree":
        return "Its takes differ, and nothing else says which one holds."
    if doubt.reason.startswith("rule:"):
        return " ".join(rule_sentence(broken, display_unit) for broken in doubt.rules)
    rules = (rule_sentence(broken, display_unit) for broken in doubt.rules)
    return " ".join(["It does not fit with the rest.", *rules])


def shared_sentence(shared: SharedFacts, display_unit: str) -> str:
    """A shared mistake with its amount, and whether that is too much or too little."""
    text, ways = SHARED.get(shared.family, ("These readings are off together, by {amount}.", None))
    each = FOOT_IN_METRES if shared.family in BY_LENGTH and display_unit == "in" else 1.0
    amount = say_with_spread(abs(shared.amount) * each, shared.sd * each, shared.unit, display_unit)
    way = ways[0 if shared.amount > 0 else 1] if ways else ""
    return text.format(amount=amount, way=way, far="foot" if display_unit == "in" else "metre")


def likely(doubt: Doubt, display_unit: str, side_of: Callable[[float], str] = lambda value: "") -> str:
    """The slips that would explain it, and the values that would fit; empty where none does. side_of: the words for
    the side a value lies on, in place of its sign."""
    if not doubt.suspects or not doubt.suspects[0].likely:
        return ""
    suspect = doubt.suspects[0]
    groups: list[list[Likely]] = []
    for one in suspect.likely[:MOST_SLIPS]:
        same = next((group for group in groups if one.same_as(group[0])), None)
        if same is None:
            groups.append([one])
        else:
            same.append(one)
    said = []
    for group in groups:
        side = side_of(group[0].value)
        value = abs(group[0].value) if side else group[0].value
        fits = f"{say_with_spread(value, max(suspect.sd, 0.0), suspect.unit, display_unit)} {side}".rstrip()
        hows = [one.how or f"{sentence_start(one.mistake)}." for one in group]
        way = " either way" if len(group) > 1 else ""
        said.append(f"{' Or: '.join(hows)} {fits} would fit{way}.")
    whole = " Or: ".join(said)
    return whole[:1].lower() + whole[1:]


def deed(doubt: Doubt, short: str) -> str:
    """What is written on the key."""
    if len(doubt.readings) == 1:
        return "Read it again"
    return f"Read again: {short}"
