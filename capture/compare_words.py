"""What changed between two stages, said as one would say it: "went 3 mm inboard, sure; the rest is within the tape"."""

from __future__ import annotations

from collections.abc import Sequence

from geometry.compare import NOT_READ, NOT_SEEN, SURE, Comparison, FigureChange, PointChange
from geometry.figures import catalogue
from geometry.points import point_named

from capture.lengths import say, say_length
from capture.vehicle_file import VehicleFile
from capture.walk import FRAME_MARKS

MOST_NAMED = 4
PLAIN = 2.0
"""A direction is named when the move along it is beyond so many of its sds, or is the largest."""
ONLY_HEIGHTS = frozenset(f"mark.{mark}" for mark in FRAME_MARKS)
"""Nothing else is ever asked of them: first and last they tell whether the vehicle stood as it did."""

NOT_READ_AGAIN = "Not read again"
STILL_ON_A_GUESS = "Still on a guess"


def summary(comparison: Comparison, vehicle: VehicleFile, most: int | None = None) -> list[str]:
    """The whole comparison in a few sentences, what is sure first. most: figures said, the rest counted."""
    said = [point_sentence(change, vehicle) for change in comparison.points if change.category == SURE]
    rest = [change for change in comparison.points if change.category not in (SURE, NOT_SEEN, NOT_READ)]
    if said and rest:
        said[-1] = f"{said[-1][:-1]}; the rest is within the tape."
    elif rest:
        said = ["No point changed beyond the tape."]
    not_read = [change for change in comparison.points if change.category == NOT_READ]
    if not_read:
        verb = "was" if len(not_read) == 1 else "were"
        said.append(f"{_names(not_read, vehicle)} {verb} not read again: a move there would not show.")
    guessed = [one for one in comparison.points if one.category == NOT_SEEN and one.name not in ONLY_HEIGHTS]
    if guessed:
        verb = "stands" if len(guessed) == 1 else "stand"
        said.append(f"{_names(guessed, vehicle)} still {verb} on a guess in some direction: a move cannot be told.")
    figures = figure_sentences(comparison, vehicle)
    if most is not None and len(figures) > most:
        rest = len(figures) - most
        figures = [*figures[:most], f"And {rest} more figure{'s' if rest > 1 else ''} for sure."]
    return said + figures


def point_sentence(change: PointChange, vehicle: VehicleFile) -> str:
    """"The right lower link's frame bolt went 3 mm inboard, sure." """
    phrase = point_named(change.name, vehicle.layout, vehicle.worked_axle).phrase
    return f"{phrase[:1].upper()}{phrase[1:]} went {moved(change, vehicle.display_unit)}, sure."


def moved(change: PointChange, unit: str) -> str:
    """Which way and how far, the largest first: "3 mm inboard and 2 mm up"."""
    told = sorted(zip(change.by, change.sd, range(3), strict=True), key=lambda part: -abs(part[0]))
    named = [told[0], *(part for part in told[1:] if abs(part[0]) > PLAIN * part[1])]
    return " and ".join(f"{say_length(abs(by), unit)} {direction(axis, by, change.before[1])}" for by, _, axis in named)


def direction(axis: int, by: float, side: float) -> str:
    """Which way `by` goes along an axis: ahead, up, inboard. side: y of the point, mm."""
    if axis == 0:
        return "ahead" if by > 0 else "rearward"
    if axis == 2:
        return "up" if by > 0 else "down"
    if abs(side) < 50.0:
        return "to the left" if by > 0 else "to the right"
    return "outboard" if by * side > 0 else "inboard"


def figure_sentences(comparison: Comparison, vehicle: VehicleFile) -> list[str]:
    """Figures that changed for sure, each in a sentence; one sentence when none did."""
    sure = [change for change in comparison.figures if change.category == SURE]
    if sure:
        return [figure_sentence(change, vehicle) for change in sure]
    return ["No figure changed beyond the tape."] if comparison.figures else []


def figure_sentence(change: FigureChange, vehicle: VehicleFile) -> str:
    """"Anti-dive went from 61 % to 52 %, sure." """
    title = catalogue(vehicle.layout, vehicle.worked_axle)[change.key].title
    before, after = (say(value, change.unit, vehicle.display_unit) for value in (change.before, change.after))
    if before == after:
        by = say(change.by, change.unit, vehicle.display_unit, signed=True)
        return f"{title} changed by {by}, sure."
    return f"{title} went from {before} to {after}, sure."


def _names(changes: Sequence[PointChange], vehicle: VehicleFile) -> str:
    phrases = [point_named(change.name, vehicle.layout, vehicle.worked_axle).phrase for change in changes]
    if len(phrases) > MOST_NAMED:
        return f"{len(phrases)} points"
    joined = phrases[0] if len(phrases) == 1 else f"{', '.join(phrases[:-1])} and {phrases[-1]}"
    return joined[:1].upper() + joined[1:]
