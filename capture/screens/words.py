"""Sentences people read, apart from the code that decides which of them is true."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from capture import stages
from capture.lengths import MINUS, say

AXLES = {"front": "Front", "rear": "Rear"}

TROUBLES = {  # what went another way than meant, by the number that travels with the answer
    400: ("That did not come through", "What arrived could not be read; go back and try once more."),
    403: ("Not from here", "This change did not come from a page of this program; open it here and send it again."),
    404: ("Nothing here by that address", "The vehicle or page is not on this laptop; it may be under another name."),
    405: ("That page takes no such message", "Open it from the list of vehicles instead."),
    408: ("That took too long", "It did not arrive in time; try once more."),
    409: ("Two entries share one name", "What is stored stays as it was; load the page again."),
    413: ("That file is too large", "A vehicle file is far smaller; look whether it is the right one."),
    415: ("That is not a file Plumbtack reads", "Choose a vehicle file that Plumbtack wrote, ending in .json."),
    421: ("This is not the laptop’s own address", "Open the address that Plumbtack shows on the laptop."),
    422: ("That could not be taken", "What is stored stays as it was; go back and look at what was typed."),
    503: ("Not just now", "Nothing of this was kept; try again in a moment."),
    500: ("Plumbtack itself slipped", "Every reading that was marked saved is still there; load the page again."),
}

TO_GUESTS = "You came in with the guests’ code: look at everything, nothing you tap changes it."
TO_GUESTS_MEASURING = "You came in with the guests’ code: you may look, not record."
TO_THE_VEHICLES = "Back to the vehicles"
TO_THE_WALK = "Back to the walk"
TAP_THE_ADDRESS = "Tap the address it shows. That is all."
PRINTED = "with the browser’s own print, on A4 or letter. It is made for black and white."
NOTHING_MEASURED = "Nothing is measured yet"
SIDES = (  # where a point stands along each axis, in words a person uses at the vehicle: forth and back
    ("ahead of the axle", "behind the axle"),
    ("left of centre", "right of centre"),
    ("above floor", "below floor"),
)
TO_THE_RECORD = "Back to the record"
ON_WITH_THE_WALK = "On with the walk"
NOT_CUT_LENGTHS = "Cut lengths are not bolt-to-bolt lengths: take off both joints, jam nuts and inserts."
TO_SECOND_LOOK = "Back to second look"


def stage(key: str | None) -> str:
    """How a stage is called in a line of text."""
    return stages.said(key or "")


def sentence_start(text: str) -> str:
    """The same words beginning with a capital."""
    return text[:1].upper() + text[1:]


def counted(number: int, one: str, many: str | None = None) -> str:
    """"1 doubt", "3 doubts"."""
    return f"{number} {one if number == 1 else many or one + 's'}"


def listed(parts: Sequence[str], last: str = "and", more: int = 0) -> str:
    """"a", "a and b", "a, b and 3 more"; names that hold commas themselves are set apart by semicolons."""
    *before, end = [*parts, *([f"{more} more"] if more else [])] or [""]
    if not before:
        return end
    comma, space = ("; ", "; ") if any("," in part for part in parts) else (", ", " ")
    return f"{comma.join(before)}{space}{last} {end}"


def fields_refused(number: int) -> str:
    """Over a form of which some fields could not be taken."""
    below = "it" if number == 1 else "them"
    return f"{counted(number, 'field')} could not be taken; nothing was changed. Look at {below} below."


def trouble(number: int) -> tuple[str, str]:
    """Title and sentence for an answer that is not what was asked for."""
    return TROUBLES.get(number) or TROUBLES[500 if number >= 500 else 400]


def moment(at: str | None) -> str:
    """A time of the log, "2 May 2026, 11:14", as this laptop's clock would have shown it."""
    if not at:
        return ""
    there = datetime.fromisoformat(at.replace("Z", "+00:00")).astimezone()
    return f"{there.day} {there:%b %Y, %H:%M}"


def lately(at: str | None, now: datetime | None = None) -> str:
    """The same for a list: "today 11:14", "2 May", "2 May 2025"."""
    if not at:
        return ""
    there = datetime.fromisoformat(at.replace("Z", "+00:00")).astimezone()
    now = now or datetime.now().astimezone()
    if there.date() == now.date():
        return f"today {there:%H:%M}"
    return f"{there.day} {there:%b}" + ("" if there.year == now.year else f" {there.year}")


def axle_and_layout(worked_axle: str, layout: str) -> str:
    """"Front, three links and a panhard bar"."""
    return f"{AXLES.get(worked_axle, worked_axle)}, {layout}"


def short(text: str, most: int) -> str:
    """The text, or its beginning with an ellipsis."""
    return text if len(text) <= most else text[: most - 1] + "…"

FAMILIES = {"anti": "Braking and driving, side view", "roll": "Roll", "steering": "Steering", "links": "Links",
            "driveline": "Driveline", "balance": "Weights and centre of gravity", "joints": "Joints"}
SIGNED = ("roll_steer", "roll_axis_incline", "instant_centre.x", "pinion_angle")  # the sign says which way


def signed(key: str) -> bool:
    """Whether a plus is written before a figure."""
    return key in SIGNED


AGAINST_BAND = {  # where a figure with its spread stands to what people usually build; never a verdict
    "above": "Above the usual band.",
    "below": "Below the usual band.",
    "inside": "Inside the usual band.",
    "edge": "At the edge of the usual band: the spread reaches both sides of it.",
}


def band(usual: Any, unit: str, display_unit: str) -> str:
    """"Usual on the road: 20 to 60 %. Common practice, no source." with the other opinion where there is one."""
    ends = [end_of_band(end, unit, display_unit) for end in (usual.low, usual.high) if end is not None]
    reach = " to ".join(ends) if len(ends) == 2 else ("up to " if usual.low is None else "from ") + ends[0] + (
        "" if usual.low is None else " on")
    other = f" {sentence_start(usual.other_view)}." if usual.other_view else ""
    return f"{sentence_start(usual.words)}: {reach}.{other} {sentence_start(usual.source)}."


def end_of_band(end: float, unit: str, display_unit: str) -> str:
    """Where a band ends, with all its decimals: a quarter of a degree is no third."""
    if unit == "deg":
        return f"{end:g}°".replace("-", MINUS)
    return say(end, unit, display_unit)


BUSHINGS_DECIDE = "How the bushings give decides this one; the number is for bushings that are all alike."
STATE_IT = "State it"
IF_CORRECTED = "if the likeliest correction is right."


def carry_the_sign(doubts: int) -> str:
    """Over figures of which some rest on a reading in doubt."""
    them = "it" if doubts == 1 else "them"
    return f"{counted(doubts, 'doubt is', 'doubts are')} still open; figures that rest on {them} carry this sign."


ABOUT_BRAKES = "Of all braking, how much the front axle does; 60 to 70 is common when it is not known better."
ABOUT_DRIVE = "Of all driving: 100 front drive alone, 0 rear alone, 50 with both axles locked together."
ABOUT_UNSPRUNG = "Axle, wheels, brakes, half of links and shaft: such as 240 kg or 530 lb. Leave it empty if not known."
ABOUT_TAPE = "The class stands in an oval near the start of the tape."

COUNTED_WITH = {  # which facts a figure was counted with
    "anti_dive": ("brake_share_front",), "anti_lift_braking": ("brake_share_front",),
    "anti_lift_driving": ("drive_share_front",), "anti_squat": ("drive_share_front",),
}


@dataclass(frozen=True)
class Trouble:
    """A page with one sentence and one way on."""

    title: str
    sentence: str
    href: str = "/"
    deed: str = "To the vehicles"


GUESSED_POINT = "In some direction it still stands where such points usually are; no reading holds it there."
GUESSED_ALONG = {  # by the one view in which nothing of it is guessed
    "side": "Sideways it still stands where such points usually are; no reading holds it there.",
    "top": "In height it still stands where such points usually are; no reading holds it there.",
    "end": "Fore and aft it still stands where such points usually are; no reading holds it there.",
}


def verdict(measured: bool, doubts: int, unchecked: int, guessed: int) -> tuple[str, str]:
    """The head of the second look: a short verdict and what stands in the way. Advice, never a lock.

    unchecked: readings of link bolts; guessed: links with a bolt that stands on a guess.
    """
    if not measured:
        return NOTHING_MEASURED, "Once there are readings, this page says what does not go together."
    ways = [counted(doubts, "doubt")] if doubts else []
    ways += [counted(unchecked, "unchecked reading")] if unchecked else []
    ways += [counted(guessed, "link") + " with a bolt still guessed"] if guessed else []
    if not ways:
        return "Nothing in doubt, nothing unchecked", "As far as tape and gauge can tell, you are ready to cut."
    verb = "stands" if doubts + unchecked + guessed == 1 else "stand"
    return "Ready to cut? Not yet.", f"{sentence_start(listed(ways))} {verb} in the way."


def unchecked(least: float | None, unit: str, display_unit: str) -> str:
    """Why a reading that nothing checks matters."""
    if least is None:
        return "A slip of any size would pass unseen."
    return f"A slip below {say(least, unit, display_unit)} would pass unseen."
