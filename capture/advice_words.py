"""What to grind, shim or turn to bring the figures back, in plain directions and in the person's unit."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from geometry.bring_back import BRACKETS, Advice, Back, Way
from geometry.compare import Comparison
from geometry.figures import catalogue
from geometry.figures.figure_words import COMMON_PRACTICE
from geometry.layouts import LAYOUTS
from geometry.points import point_named

from capture import stages
from capture.compare_words import direction
from capture.lengths import say, say_length
from capture.vehicle_file import VehicleFile

WHOLE_MM = 0.25
"""A move said to be nothing is below this."""


@dataclass(frozen=True)
class Deed:
    """One thing to do: a bolt moved, or a link set. words: the sentence; link, by: of a link, mm longer; turns: of its
    tube or joint, None while its threads are not stated."""

    words: str
    link: str = ""
    by: float = 0.0
    turns: float | None = None


def opening(advice: Advice, vehicle: VehicleFile, before: str) -> str:
    """Whether anything needs doing, in a sentence."""
    if advice.needed:
        count = len(advice.changed)
        what = "One figure left its spread" if count == 1 else f"{count} figures left their spread"
        return f"{what}; to have {'it' if count == 1 else 'them'} as at {stages.said(before)}:"
    if advice.small:
        return "Nothing needs doing: what changed for sure is too little to be worth the work."
    if not advice.moved:
        return "Nothing needs doing: no bolt and no figure changed beyond the tape."
    names = [_phrase(vehicle, name) for name in advice.moved]
    moved = names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"
    return f"Nothing needs doing: {moved} moved, but no figure left its spread."


def no_way(advice: Advice) -> str:
    """What to say where something changed and no way was found."""
    if not advice.needed or advice.ways:
        return ""
    return "No bolt that moved for sure and no link alone explains it: read more of the bolts again, then compare anew."


NOT_WORTH = "Sure, but not worth the grinder"


def small(advice: Advice, vehicle: VehicleFile) -> Iterator[str]:
    """The figures that changed for sure by too little, each with from where on it would count and why."""
    kinds, unit = catalogue(vehicle.layout, vehicle.worked_axle), vehicle.display_unit
    for one in advice.small:
        before, after = (say(value, one.unit, unit) for value in (one.before, one.after))
        went = f"from {before} to {after}" if before != after else (
            f"changed by {say(one.after - one.before, one.unit, unit, signed=True)}")
        yield f"{kinds[one.key].title}: {went}. Less than {say(one.least, one.unit, unit)} does not count: {one.why}."


def title(way: Way, after: str) -> str:
    """The heading of a way."""
    if way.kind == BRACKETS:
        return "At the bracket, before the final weld" if after == stages.TACKED else "At the bracket"
    return "By turning" if len(way.lengths) > 1 else "By turning one link"


def deeds(way: Way, vehicle: VehicleFile, found: Comparison) -> Iterator[Deed]:
    """What to do, one sentence a bolt or link."""
    sides = {change.name: change.before[1] for change in found.points}
    unit = vehicle.display_unit
    for name, by in way.points.items():
        words = " and ".join(f"{say_length(abs(mm), unit)} {direction(axis, mm, sides[name])}"
                             for axis, mm in enumerate(by) if abs(mm) >= WHOLE_MM)
        phrase = _phrase(vehicle, name)
        yield Deed(f"{phrase[:1].upper()}{phrase[1:]}: {words}.")
    for link, by in way.lengths.items():
        yield _length_deed(vehicle, link, by)


def how(way: Way) -> str:
    """How it is done in metal."""
    if way.kind == BRACKETS:
        ways = ["grind the tacks and set it anew, or slot the hole and weld a washer on"]
        if any(by[1] for by in way.points.values()):
            ways.append("sideways washers beside the joint do too, where the bolt is long enough")
        return f"{'; '.join(ways)[:1].upper()}{'; '.join(ways)[1:]}."
    return "The axle follows; loosen the jam nuts, turn, and look how much thread stays in."


def results(way: Way, vehicle: VehicleFile, before: str) -> Iterator[str]:
    """What becomes of the figures: those that changed, and those this would move."""
    for figure in way.figures:
        yield _result(figure, vehicle, before)
    along, across = way.axle
    if max(abs(along), abs(across)) >= WHOLE_MM and way.lengths:
        unit = vehicle.display_unit
        parts = [f"{say_length(abs(mm), unit)} {direction(axis, mm, 0.0)}"
                 for axis, mm in enumerate((along, across)) if abs(mm) >= 2.0 * WHOLE_MM]
        if parts:
            yield f"The axle then stands {' and '.join(parts)} of where it is."


def _result(figure: Back, vehicle: VehicleFile, before: str) -> str:
    name = catalogue(vehicle.layout, vehicle.worked_axle)[figure.key].title
    unit = vehicle.display_unit
    wanted, now, then = (say(value, figure.unit, unit) for value in (figure.wanted, figure.now, figure.then))
    if not figure.changed:
        return f"{name} would leave its spread: {then} in place of {now}."
    rest = f", as at {stages.said(before)}" if wanted == then else f"; at {stages.said(before)} it was {wanted}"
    short = "" if figure.back else ", so it does not come back whole"
    return f"{name}: from {now} to {then}{rest}{short}."


def _length_deed(vehicle: VehicleFile, link: str, by: float) -> Deed:
    words = next(one.words for one in LAYOUTS[vehicle.layout].links if one.name == link)
    turns, what = turned(vehicle, link, by)
    longer = f"{say_length(abs(by), vehicle.display_unit)} {'longer' if by > 0 else 'shorter'}"
    said = f", about {_quarters(turns)} of {what}" if turns else ""
    return Deed(f"The {words} {longer}{said}.", link, by, turns)


def turned(vehicle: VehicleFile, link: str, by: float) -> tuple[float | None, str]:
    """Turns for a change of length, and of what: the tube where its ends have opposite hands, else one joint."""
    stated = vehicle.facts.threads.get(link, {})
    ends = [stated[end] for end in ("frame", "axle") if end in stated]
    if not ends:
        return None, ""
    if len(ends) == 2 and ends[0].hand != ends[1].hand:
        return abs(by) / (ends[0].pitch + ends[1].pitch), "the tube"
    return abs(by) / ends[0].pitch, "its joint"


def _quarters(turns: float) -> str:
    whole, quarter = divmod(max(round(turns * 4), 1), 4)
    part = ("", "1/4", "1/2", "3/4")[quarter]
    said = " ".join(piece for piece in (str(whole) if whole else "", part) if piece)
    return f"{said} turn" + ("" if whole == 0 or (whole == 1 and not part) else "s")


def _phrase(vehicle: VehicleFile, name: str) -> str:
    return point_named(name, vehicle.layout, vehicle.worked_axle).phrase


def as_json(advice: Advice, vehicle: VehicleFile, before: str) -> dict[str, object]:
    """As programs read it. Lengths mm; a way's points in the vehicle frame, its lengths longer."""
    return {
        "needed": advice.needed,
        "said": opening(advice, vehicle, before),
        "moved": list(advice.moved),
        "changed": list(advice.changed),
        "small": {
            one.key: {"before": one.before, "after": one.after, "least": one.least, "unit": one.unit, "why": one.why,
                      "source": COMMON_PRACTICE}
            for one in advice.small
        },
        "ways": [
            {
                "kind": way.kind,
                "enough": way.enough,
                "points": {name: list(by) for name, by in way.points.items()},
                "lengths": dict(way.lengths),
                "turns": {link: turned(vehicle, link, by)[0] for link, by in way.lengths.items()},
                "axle": list(way.axle),
                "figures": {
                    figure.key: {"wanted": figure.wanted, "now": figure.now, "then": figure.then, "sd": figure.sd,
                                 "unit": figure.unit, "back": figure.back, "changed": figure.changed}
                    for figure in way.figures
                },
            }
            for way in advice.ways
        ],
    }  # fmt: skip
