"""The walk as a numbered list, for paper and for a table to fill in: the same numbers in the same order everywhere."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from geometry.readings import ReadingName, Words, describe, parse_name

from capture.vehicle_file import Reading, VehicleFile
from capture.walk import MORE, Station, Step, walk_of


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


def blank_walk(vehicle: VehicleFile, whole: bool = False) -> tuple[BlankStation, ...]:
    """The stations with their numbered readings. whole: also those for whoever wants them."""
    names = dict.fromkeys(entry.reading for entry in vehicle.entries if isinstance(entry, Reading))
    walk = walk_of(vehicle.layout, vehicle.worked_axle, names)
    wanted = [step for step in walk.steps if whole or step.priority != MORE]
    numbers = {step.key: number for number, step in enumerate(_in_order(walk.stations, wanted), start=1)}
    found = []
    for station in walk.stations:
        steps = [step for step in wanted if step.station == station.key]
        lines = tuple(_line(vehicle, step, numbers[step.key]) for step in steps)
        if lines:
            found.append(BlankStation(station, lines))
    return tuple(found)


def _in_order(stations: tuple[Station, ...], steps: list[Step]) -> Iterator[Step]:
    for station in stations:
        yield from (step for step in steps if step.station == station.key)


def _line(vehicle: VehicleFile, step: Step, number: int) -> BlankLine:
    name = parse_name(step.reading, vehicle.layout, vehicle.worked_axle)
    return BlankLine(number, step, name, describe(name))


def blank_readings(vehicle: VehicleFile, whole: bool = False) -> list[tuple[str, str]]:
    """Each reading's name and words, in the order of the paper."""
    return [(line.step.reading, f"{line.number}. {line.words.short}")
            for station in blank_walk(vehicle, whole) for line in station.lines]
