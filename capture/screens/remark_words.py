"""What is said about a value that does not fit yet, before it is recorded: in the unit it was typed in."""

from __future__ import annotations

from dataclasses import dataclass

from geometry.readings import ReadingName, parse_name
from geometry.remark import Remark

from capture.lengths import MINUS, say, say_spread
from capture.screens.words import listed
from capture.vehicle_file import VehicleFile

SHOWN_IN = {"in": "in", "ft": "ft", "lb": "in", "mm": "mm", "cm": "mm", "kg": "mm", "deg": "mm"}
"""The display unit that goes with the unit typed."""


@dataclass(frozen=True)
class Said:
    """expected, sd: file unit, for the drawing. use: the value a likely slip would leave, file unit, or None."""

    sentence: str
    likely: str
    expected: float
    sd: float
    use: float | None


def said(found: Remark, name: ReadingName, vehicle: VehicleFile, unit: str) -> Said:
    """The remark in words: what the rest says, what was typed, how far apart, and how it may have come about."""
    kind, display = name.kind, SHOWN_IN[unit]

    def value(amount: float) -> str:
        return _bare(say(amount, kind.unit, display)).removeprefix(MINUS)

    apart = say(abs(found.typed - found.expected), kind.unit, display)
    here, there = _sides(found.expected, found.typed, name)
    more = "apart" if here else "more" if abs(found.typed) > abs(found.expected) else "less"
    give = _bare(say_spread(2 * found.sd, kind.unit, display)).removeprefix("± ")
    sentence = (
        f"{_by(found.rests_on, name, vehicle)} {value(found.expected)}{here}, "
        f"give or take {give}. You typed {value(found.typed)}{there}, {apart} {more}."
    )
    likely = found.likely
    return Said(sentence, _lower_first(likely.how) if likely else "", found.expected, found.sd,
                likely.value if likely else None)


def _by(rests_on: tuple[str, ...], name: ReadingName, vehicle: VehicleFile) -> str:
    """What the expectation rests on, by kind: the screen has no room for names. One's own earlier take comes first."""
    if rests_on and _plain(rests_on[0], vehicle) == name.canonical:
        return "By your earlier take this is"
    nouns = [parse_name(other.partition("#")[0], vehicle.layout, vehicle.worked_axle).kind.noun for other in rests_on]
    nearby = [f"the {noun}" for noun in dict.fromkeys(nouns)][:3]
    return f"By {listed(nearby)} read nearby this is" if nearby else "By the other readings this is"


def _plain(text: str, vehicle: VehicleFile) -> str:
    return parse_name(text.partition("#")[0], vehicle.layout, vehicle.worked_axle).canonical


def _sides(expected: float, typed: float, name: ReadingName) -> tuple[str, str]:
    """On which side it is expected and on which it was typed, where these are not the same."""
    sides = name.kind.describe(name.subject, name.setting).sides if name.kind.signed else None
    if not sides or expected * typed >= 0:
        return "", ""
    here, there = sides if expected > 0 else sides[::-1]
    return f" {here}", f" {there}"


def _bare(text: str) -> str:
    for unit in (" in", " mm"):
        text = text.removesuffix(unit)
    return text


def _lower_first(sentence: str) -> str:
    return sentence[:1].lower() + sentence[1:]
