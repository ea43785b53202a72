"""The walk as a numbered list, for paper and for a table to fill in: the same numbers in the same order everywhere."""

from __future__ import annotations

from dataclasses import dataclass

from geometry.readings import ReadingName, Words, describe, parse_name

from capture.tape_words import on_the_tape
from capture.vehicle_file import Reading, VehicleFile
from capture.walk import MORE, Station, Step, Walk, walk_of


@dataclass(frozen=True)
class BlankLine:
    """One reading to take. number: counted through the whole walk from 1."""

    number: int
    step: Step
    name: ReadingName
    words: Words

    @property
    def unit(self) -> str:
        """Of the file: mm, deg or kg."""
        return str(self.name.kind.unit)


@dataclass(frozen=True)
class BlankStation:
    station: Station
    lines: tuple[BlankLine, ...]


def blank_walk(vehicle: VehicleFile, walk: Walk, whole: bool = False) -> tuple[BlankStation, ...]:
    """The stations with their numbered readings. whole: also those for whoever wants them."""
    wanted = [step for step in walk.steps if whole or step.priority != MORE]
    number = 0
    found = []
    for station in walk.stations:
        lines = []
        for step in (step for step in wanted if step.station == station.key):
            number += 1
            name = parse_name(step.reading, vehicle.layout, vehicle.worked_axle)
            lines.append(BlankLine(number, step, name, on_the_tape(describe(name), vehicle.display_unit)))
        if lines:
            found.append(BlankStation(station, tuple(lines)))
    return tuple(found)


def blank_readings(vehicle: VehicleFile, walk: Walk | None = None) -> list[tuple[str, str]]:
    """Each reading's name and words, in the order of the paper; of the whole vehicle's walk where none is given."""
    names = dict.fromkeys(entry.reading for entry in vehicle.entries if isinstance(entry, Reading))
    walk = walk or walk_of(vehicle.layout, vehicle.worked_axle, names)
    return [(line.step.reading, f"{line.number}. {line.words.short}")
            for station in blank_walk(vehicle, walk) for line in station.lines]
